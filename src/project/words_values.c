/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Plain words, third part: words and quantities into values of things.
 *
 * A word or quantity can often be a value of several properties.  Each is held
 * against what is near: the thing whose property it would be, and how far off
 * that thing stands.  What has its name beside it ("seam allowance 15 mm") needs
 * no guessing; what stays open between two is left out and said so.
 */
#include "project/project_impl.h"

#include <string.h>

/* ---- names beside values --------------------------------------------------------- */

static bool
names_property(const struct reader *r, const struct item *item, uint32_t property)
{
	for (uint32_t i = 0; item->is == ITEM_NAME && i < item->n_names; i++) {
		const struct name *n = &item->names[i];

		if (n->target == NAME_PROPERTY && n->id == property)
			return true;
		if (n->target == NAME_SETTING && r->t.c->setting[n->id].property == property)
			return true;
		if (n->target == NAME_PHRASE && r->t.c->phrase[n->id].does == PHRASE_MEASURE &&
		    r->t.c->phrase[n->id].property == property)
			return true;
	}
	return false;
}

static bool
is_measure(const struct reader *r, const struct item *item)
{
	return item->is == ITEM_NAME && (item->means == MEANS_PROPERTY ||
	    item_phrase(r, item, PHRASE_MEASURE) != NULL);
}

static bool
names_one(const struct reader *r, uint32_t j, const struct choice *c, uint32_t n)
{
	for (uint32_t k = 0; is_measure(r, &r->items[j]) && k < n; k++)
		if (names_property(r, &r->items[j], c[k].property))
			return true;
	return false;
}

/* The name of a property that stands beside item I: behind it, unless it names
 * what follows in its turn; else before it; else alone in the same clause. */
static uint32_t
measure_beside(const struct reader *r, uint32_t i, const struct choice *c, uint32_t n)
{
	uint32_t sides[2] = {item_after(r, i), item_before(r, i)}, next, far = NONE;

	if (sides[0] != NONE && names_one(r, sides[0], c, n)) {
		next = item_after(r, sides[0]);
		if (next != NONE && r->items[next].is == ITEM_QUANTITY &&
		    r->items[next].clause == r->items[i].clause && sides[1] != NONE &&
		    names_one(r, sides[1], c, n))
			sides[0] = NONE;
	}
	if (sides[1] != NONE && item_phrase(r, &r->items[sides[1]], PHRASE_ABOUT) != NULL &&
	    !names_one(r, sides[1], c, n))
		sides[1] = item_before(r, sides[1]);
	for (int taken = 0; taken < 2; taken++)
		for (int side = 0; side < 2; side++) {
			uint32_t j = sides[side];

			if (j != NONE && r->items[j].clause == r->items[i].clause &&
			    r->items[j].named == (taken == 1) && names_one(r, j, c, n))
				return j;
		}
	for (uint32_t j = i > REACH_OF_VALUE ? i - REACH_OF_VALUE : 0; j < r->n_items && j <=
	    i + REACH_OF_VALUE; j++) {
		if (r->items[j].clause != r->items[i].clause || r->items[j].is == ITEM_QUANTITY ||
		    r->items[j].named || j == i || !names_one(r, j, c, n))
			continue;
		if (far != NONE)
			return NONE;           /* two of them: neither for certain */
		far = j;
	}
	return r->items[i].is == ITEM_QUANTITY && !r->items[i].bare ? far : NONE;
}

/* ---- setting a value ----------------------------------------------------------------- */

static void
contradictions(struct reader *r, const struct said_value *v)
{
	for (uint32_t i = 0; i + 1 < r->p->n_values; i++) {
		const struct said_value *o = &r->p->values[i];
		struct buf a = {0}, b = {0};

		if (!values_differ(&r->t, o, v))
			continue;
		value_words(&a, &r->t, o, true);
		value_words(&b, &r->t, v, true);
		diag(r->ds, v->place, D_SAID_TWICE, property_title(&r->t, v->property), a.p, b.p);
		buf_free(&a);
		buf_free(&b);
		r->p->conflicts++;
		return;
	}
}

static void
set_value(struct reader *r, uint32_t i, const struct choice *c)
{
	struct item *item = &r->items[i];
	const struct property *p = &r->t.c->property[c->property];
	struct said_value v = value_of(c->thing, c->property, item_place(r, item->first, item->n));

	if (c->make)
		v.thing = thing_add(r->p, (struct said_thing){
			.kind = (uint16_t)r->t.component, .entry = NONE, .count = 1, .of = NONE,
			.role = role_for(&r->t, c->property), .place = v.place,
		});
	/* Of the one garment or machine, whether it was named or not. */
	if (r->t.c->kind[p->kind].singleton)
		v.thing = NONE;
	v.value.state = VALUE_KNOWN;
	v.unit = c->unit;
	if (c->scope != NONE && r->p->things[c->scope].kind == p->kind) {
		v.thing = c->scope;
	} else if (c->scope != NONE) {
		v.scope_thing = c->scope;
		v.scope_entry = r->p->things[c->scope].entry;
	}
	if (property_is_quantity(&r->t, c->property)) {
		v.value.r = c->quantity;
	} else if (item->denied) {
		mask_other(&r->t, p->word_set, c->set, v.value.set);
		if (mask_empty(v.value.set))
			return;
	} else {
		v.value.set[0] = c->set[0];
		v.value.set[1] = c->set[1];
	}
	if (c->phrase != NULL) {
		v.typical_part = true;
		v.part_lo = c->phrase->fraction_lo;
		v.part_hi = c->phrase->fraction_hi;
		if (!(c->quantity.lo <= c->quantity.hi) || p->type != TYPE_QUANTITY)
			v.value = value_unknown(r->t.c, c->property);
	}
	item->used = true;
	if (item->thing == NONE && (item->means == MEANS_VALUE || item->is == ITEM_QUANTITY))
		item->thing = c->make ? v.thing : c->thing;
	item->meant = property_title(&r->t, c->property);
	value_add(r->p, v);
	contradictions(r, &v);
}

/* ---- words --------------------------------------------------------------------------- */

static uint32_t
word_choices(const struct reader *r, const struct item *item, struct choice *out, uint32_t most)
{
	uint32_t n = 0;

	for (uint32_t k = 0; k < item->n_names; k++) {
		const struct name *name = &item->names[k];
		uint32_t set = NONE, within = NONE;

		if (name->target == NAME_WORD)
			set = set_of_word(&r->t, name->id, &within);
		if (set == 0 || (set != NONE && set == r->t.role_set))
			continue;
		for (uint32_t i = 0; i < r->t.c->n_property && n < most; i++) {
			const struct property *p = &r->t.c->property[i];
			uint32_t w = within;
			bool have = false;

			if (p->type != TYPE_WORDS || !property_is_said(&r->t, i))
				continue;
			if (name->target == NAME_ENTRY &&
			    r->t.c->word_set[p->word_set].entries_of ==
			    r->t.c->entry[name->id].kind)
				w = word_of_entry(&r->t, p->word_set, name->id);
			else if (set != p->word_set)
				continue;
			for (uint32_t o = 0; o < n && w != NONE; o++)
				if (out[o].property == i) {
					mask_add(out[o].set, w);
					have = true;
				}
			if (w == NONE || have)
				continue;
			out[n] = (struct choice){.property = i, .unit = -1};
			mask_add(out[n++].set, w);
		}
	}
	return n;
}

static uint32_t
sets_of(const struct reader *r, const struct choice *c, uint32_t n)
{
	uint32_t sets = 0;

	for (uint32_t k = 0; k < n; k++) {
		uint16_t set = r->t.c->property[c[k].property].word_set;
		uint32_t o = 0;

		while (o < k && r->t.c->property[c[o].property].word_set != set)
			o++;
		sets += o == k;
	}
	return sets;
}

/* Sets the best of these; two properties of one thing are both meant ("smooth"
 * is felt and seen).  A word of three scales or more ("moderate") says nothing
 * without a name beside it. */
static bool
set_best(struct reader *r, uint32_t i, struct choice *c, uint32_t n)
{
	uint32_t beside = measure_beside(r, i, c, n), best = NONE, same = 0;

	if (beside == NONE && sets_of(r, c, n) > 2)
		return false;
	for (uint32_t k = 0; k < n; k++) {
		words_aim(r, i, &c[k]);
		if (r->t.c->word_set[r->t.c->property[c[k].property].word_set].by_name)
			c[k].near = 0;
		if (beside != NONE && names_property(r, &r->items[beside], c[k].property))
			c[k].score += SCORE_NAMED;
		else if (c[k].near == 0)
			c[k].score = OUT;
		if (c[k].score != OUT && (best == NONE || c[k].score > c[best].score))
			best = k;
	}
	if (best == NONE)
		return false;
	if (beside != NONE)
		r->items[beside].used = r->items[beside].named = true;
	for (uint32_t k = 0; k < n; k++)
		same += c[k].score + MARGIN > c[best].score;
	if (same > 2 || (same == 2 && beside != NONE))
		return false;
	/* The one thing made must take both. */
	for (uint32_t k = 0, made = NONE; k < n; k++) {
		if (c[k].score + MARGIN <= c[best].score)
			continue;
		if (c[k].make && made != NONE) {
			c[k].make = false;
			c[k].thing = made;
		}
		set_value(r, i, &c[k]);
		if (c[k].make)
			made = r->p->n_things - 1;
	}
	return true;
}

static void
word_value(struct reader *r, uint32_t i)
{
	struct choice c[24];
	uint32_t n = word_choices(r, &r->items[i], c, sizeof c / sizeof *c);

	if (n > 0)
		set_best(r, i, c, n);
}

/* The material that an item stands directly before, or NONE. */
static uint32_t
material_after(const struct reader *r, uint32_t i)
{
	for (uint32_t j = i + 1; j < r->n_items && j < i + REACH_OF_VALUE; j++) {
		if (r->items[j].part != r->items[i].part)
			return NONE;
		if (material_at(r, j) != NONE)
			return material_at(r, j);
		if (!item_modifies(r, &r->items[j]) || r->items[j].is == ITEM_QUANTITY)
			return NONE;
	}
	return NONE;
}

/* ---- phrases that set ---------------------------------------------------------------- */

static void
phrase_value(struct reader *r, uint32_t i)
{
	struct item *item = &r->items[i];
	struct choice c[12];
	uint32_t n = 0, after = material_after(r, i);
	int best = 0;

	if (item->named)                       /* "2 mm thick" is not thick cloth */
		return;
	for (uint32_t k = 0; k < item->n_names && n < sizeof c / sizeof *c; k++) {
		const struct phrase *p;

		if (item->names[k].target != NAME_PHRASE)
			continue;
		p = &r->t.c->phrase[item->names[k].id];
		if ((p->does != PHRASE_SET && p->does != PHRASE_CLASS) || p->property == NO16)
			continue;
		if (p->does == PHRASE_CLASS && item->denied)
			continue;
		c[n] = (struct choice){.property = p->property, .unit = -1, .quantity = p->quantity,
			.set = {p->set[0], p->set[1]}};
		if (p->does == PHRASE_CLASS)
			c[n].phrase = p;
		words_aim(r, i, &c[n]);
		/* What stands before the lining is said of it, not of the whole. */
		if (p->does == PHRASE_SET && c[n].thing != NONE && c[n].thing == after &&
		    r->p->things[after].role != r->t.first_role)
			c[n].near = c[n].score = NEAR_MEANT;
		/* No thread there, so nothing that could be a strong one. */
		if (c[n].near == 0 && r->t.c->property[p->property].kind == r->t.component)
			continue;
		if (c[n].near > best)
			best = c[n].near;
		n++;
	}
	/* All that are said of what is nearest. */
	for (uint32_t k = 0; k < n; k++)
		if (c[k].near + MARGIN > best)
			set_value(r, i, &c[k]);
}

/* ---- quantities ------------------------------------------------------------------------ */

/* Does the text of the quantity hold the unit's own name, not a by-name? */
static bool
written_so(const struct reader *r, const struct item *item, int unit)
{
	const char *name = unit >= 0 ? r->t.c->units->u[unit].name : "";
	const char *text = item_text(r, item), *at = strstr(text, name);

	return name[0] != '\0' && at != NULL &&
	    (at[strlen(name)] == '\0' || at[strlen(name)] == ' ');
}

static void
quantity_value(struct reader *r, uint32_t i)
{
	struct item *item = &r->items[i];
	struct choice *c = arena_alloc(r->arena, (item->n_measured + 1) * sizeof *c);
	uint32_t n = item->n_measured, best = NONE, second = NONE, beside, other;
	int doubt = OUT;                       /* score of what it is hardly meant as */
	bool clear;

	n = 0;
	for (uint32_t k = 0; k < item->n_measured; k++) {
		uint32_t p = item->measured[k].property;

		/* How many there are is said of the thing, not measured. */
		if (strcmp(craft_text(r->t.c, r->t.c->property[p].name), "count") != 0)
			c[n++] = (struct choice){.property = p, .quantity = item->measured[k].value,
				.unit = item->measured[k].unit};
	}
	beside = measure_beside(r, i, c, n);
	if (beside == NONE && words_beyond(r, i))
		return;
	for (uint32_t k = 0; k < n; k++) {
		const struct property *p = &r->t.c->property[c[k].property];
		const struct unit *u = c[k].unit >= 0 ? &r->t.c->units->u[c[k].unit] : NULL;

		bool named = beside != NONE && names_property(r, &r->items[beside], c[k].property);

		words_aim(r, i, &c[k]);
		/* "hem, depth 30 mm"; but not "27 mm long" of nothing that is long. */
		if (named && c[k].near == 0)
			c[k].thing = c[k].far;
		named = named && (c[k].near > 0 || p->kind != r->t.feature || c[k].far != NONE);
		if ((p->flags & PROPERTY_BY_NAME) != 0 && !named)
			continue;
		/* A bare number says little by itself. */
		if (item->bare && p->kind == r->t.component &&
		    (c[k].near < SCORE_NEAR || (p->roles == 0 && !named)))
			continue;
		if ((item->bare || c[k].near == 0) && !named)
			if (item->bare ? p->roles == 0 || c[k].near < SCORE_NEAR : true)
				continue;
		if (named)
			c[k].score += SCORE_NAMED;
		if (u != NULL && u->numbering != 0)
			c[k].score += 6;
		if (written_so(r, item, c[k].unit))
			c[k].score += 10;
		for (uint32_t s = 0; s < p->n_units && s < 3; s++)
			if ((int)r->t.c->unit_list[p->first_unit + s] == c[k].unit)
				c[k].score += 6 - 2 * (int)s;
		if (words_unit_doubtful(r, i, &c[k])) {
			doubt = c[k].score > doubt ? c[k].score : doubt;
			continue;
		}
		if (best == NONE || c[k].score > c[best].score) {
			second = best;
			best = k;
		} else if (second == NONE || c[k].score > c[second].score) {
			second = k;
		}
	}
	if (best == NONE)
		return;
	clear = (second == NONE || c[second].score + MARGIN <= c[best].score) &&
	    doubt + MARGIN <= c[best].score;
	/* "size 50 thread" that no thread has is not the size of something else. */
	other = c[best].score < SCORE_NAMED ? material_after(r, i) : NONE;
	if (other != NONE && other != c[best].thing)
		return;
	if (clear && n > 1 && c[best].score < SCORE_NAMED && c[best].near < SCORE_NEAR) {
		const struct property *p = &r->t.c->property[c[best].property];

		clear = p->roles != 0 || (c[best].unit >= 0 &&
		    r->t.c->units->u[c[best].unit].numbering != 0);
	}
	if (!clear) {
		diag(r->ds, item_place(r, item->first, item->n), D_SAID_UNMEASURED,
		    item_text(r, item), property_title(&r->t, c[best].property),
		    item_text(r, item));
		item->told = true;
		return;
	}
	if (beside != NONE && names_property(r, &r->items[beside], c[best].property))
		r->items[beside].used = r->items[beside].named = true;
	set_value(r, i, &c[best]);
}

/* ---- the whole ---------------------------------------------------------- */

/* `light poplin, 140 g/m2`: the figure says more than the class. */
static void
figures_over_classes(struct reader *r)
{
	uint32_t n = 0;

	for (uint32_t i = 0; i < r->p->n_values; i++) {
		const struct said_value *v = &r->p->values[i];
		bool figure = false;

		for (uint32_t k = 0; v->typical_part && k < r->p->n_values; k++)
			figure = figure || (!r->p->values[k].typical_part &&
			    same_slot(&r->p->values[k], v));
		for (uint32_t k = 0; figure && k < r->n_items; k++) {
			struct item *item = &r->items[k];

			if (r->tokens[item->first].place.at != v->place.at)
				continue;
			item->used = false;
			item->told = true;
			diag(r->ds, v->place, D_SAID_LESS, item_text(r, item),
			    property_title(&r->t, v->property));
		}
		if (!figure)
			r->p->values[n++] = *v;
	}
	r->p->n_values = n;
}

void
words_values(struct reader *r)
{
	for (uint32_t i = 0; i < r->n_items; i++) {
		struct item *item = &r->items[i];

		if (item->used && item->means != MEANS_PHRASE)
			continue;
		if (item->is == ITEM_QUANTITY)
			quantity_value(r, i);
		else if (item->is == ITEM_NAME && item->means == MEANS_VALUE)
			word_value(r, i);
		else if (item->is == ITEM_NAME && item->means == MEANS_PHRASE) {
			phrase_value(r, i);
			words_question(r, i);
		}
	}
	figures_over_classes(r);
	words_details(r);
	words_place(r);
}
