/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Plain words: a written quantity, with everything that it can measure.
 *
 * The reading is tried for each property of the schema; those for which most
 * of the text makes sense are kept, and which is meant is decided later, by
 * what stands near.
 */
#include "project/project_impl.h"

#include <string.h>

enum { LONGEST_QUANTITY = 120 };           /* bytes */

static bool
digit(char c)
{
	return c >= '0' && c <= '9';
}

static bool
figure(const char *text)
{
	return digit(text[0]) || (text[0] == '.' && digit(text[1])) ||
	    (strchr("~<>=-", text[0]) != NULL && text[0] != '\0' && digit(text[1]));
}

static bool
same_reading(const struct property *a, const struct property *b)
{
	return dim_eq(a->dim, b->dim) && a->first_unit == b->first_unit &&
	    a->n_units == b->n_units &&
	    a->bare_unit == b->bare_unit && a->domain.lo == b->domain.lo &&
	    a->domain.hi == b->domain.hi && a->about == b->about;
}

/* How far a quantity reaches whose value cannot be, with its unit. */
static void
beyond(const struct reader *r, uint32_t property, strview text, size_t *reach)
{
	struct reading_for f = property_reading(&r->t, property);
	struct reading again;

	f.domain = range_all();
	again = reading_of(r->t.c->units, r->t.c->range_words, &f, text, false);
	if (again.fault == READ_FINE && again.used > *reach)
		*reach = again.used;
}

/* Where the part of the text that holds FROM ends: no quantity crosses it. */
static size_t
part_end(const struct reader *r, size_t from)
{
	for (uint32_t i = 0; i < r->n_parts; i++)
		if (from >= r->parts[i].at && from < (size_t)r->parts[i].at + r->parts[i].n)
			return (size_t)r->parts[i].at + r->parts[i].n;
	return r->src->text.n;
}

/* A quantity at token AT, with all it can measure; its tokens, 0 if none. */
uint32_t
words_quantity(const struct reader *r, uint32_t at, struct item *item)
{
	const struct craft *c = r->t.c;
	size_t from = r->tokens[at].place.at, used = 0, too_far = 0;
	strview text = {r->src->text.p + from, part_end(r, from) - from};
	struct measured *m = NULL;
	struct reading last = {0};
	struct units_met met = {0};
	uint32_t n = 0, last_of = NONE, tokens = 0;
	bool near_figure = false;

	for (uint32_t i = 0; i < 4 && at + i < r->n_tokens; i++)
		near_figure = near_figure || (figure(r->tokens[at + i].text) &&
		    (i == 0 || !r->tokens[at + i].breaks));
	if (!near_figure)
		return 0;
	if (text.n > LONGEST_QUANTITY) {
		text.n = LONGEST_QUANTITY;
		while (text.n > 0 && ((unsigned char)text.p[text.n] & 0xc0) == 0x80)
			text.n--;
	}
	item->fault = READ_NOTHING;
	for (uint32_t i = 0; i < c->n_property; i++) {
		if (!property_is_quantity(&r->t, i))
			continue;
		/* Neighbours in the schema are often read alike. */
		if (last_of == NONE || !same_reading(&c->property[last_of], &c->property[i])) {
			struct reading_for f = property_reading(&r->t, i);

			f.met = &met;
			last = reading_of(c->units, c->range_words, &f, text, false);
			last_of = i;
		}
		/* Whether a number stands here at all, no property decides. */
		if (last.fault == READ_NOTHING)
			break;
		if (last.fault == READ_OUT_OF_DOMAIN && last_of == i)
			beyond(r, i, text, &too_far);
		if (last.fault != READ_FINE) {
			if (item->fault == READ_NOTHING)
				item->fault = last.fault;
			continue;
		}
		if (last.used == 0 || last.used < used)
			continue;
		if (last.used > used)
			n = 0;
		used = last.used;
		if (m == NULL)
			m = arena_alloc(r->arena, c->n_property * sizeof *m);
		m[n++] = (struct measured){i, last.value, last.unit};
	}
	if (n == 0 && too_far > 0) {
		used = too_far;
		item->fault = READ_OUT_OF_DOMAIN;
	} else if (n == 0 && figure(r->tokens[at].text)) {
		used = r->tokens[at].place.n;
	}
	if (used == 0)
		return 0;
	/* The next part may stand earlier in the text. */
	while (at + tokens < r->n_tokens && r->tokens[at + tokens].place.at >= from &&
	    r->tokens[at + tokens].place.at < from + used)
		tokens++;
	item->measured = m;
	item->n_measured = n;
	item->bare = item->whole = true;
	for (size_t i = 0; i < used; i++) {
		item->whole = item->whole && digit(text.p[i]);
		item->bare = item->bare && strchr("0123456789., ", text.p[i]) != NULL;
	}
	/* "2-piece" is no quantity of two, but "90-110 g/m2" is one of both. */
	if (item->whole && !number_read((strview){text.p, used}, NULL, &item->number))
		item->whole = false;
	return tokens;
}

/* ---- what it cannot be ------------------------------------------------------------- */

/* Is item J a name beside item I that is free to name what I measures? */
static bool
names_it(const struct reader *r, uint32_t i, uint32_t j)
{
	const struct item *item = j != NONE ? &r->items[j] : NULL;
	uint32_t next;

	if (item == NULL || item->is != ITEM_NAME || item->named ||
	    item->clause != r->items[i].clause ||
	    (item->means != MEANS_PROPERTY && item_phrase(r, item, PHRASE_MEASURE) == NULL))
		return false;
	/* "30 mm, stitch length 2.5 mm": the name of what follows it. */
	next = j > i ? item_after(r, j) : NONE;
	return next == NONE || r->items[next].is != ITEM_QUANTITY ||
	    r->items[next].clause != item->clause;
}

static uint32_t
property_named(const struct reader *r, const struct name *n)
{
	if (n->target == NAME_PROPERTY)
		return n->id;
	if (n->target == NAME_SETTING)
		return r->t.c->setting[n->id].property;
	if (n->target == NAME_PHRASE && r->t.c->phrase[n->id].does == PHRASE_MEASURE)
		return r->t.c->phrase[n->id].property;
	return NONE;
}

/* Would it be a value of the property, if only that could be so small or large? */
static bool
only_beyond(const struct reader *r, const struct item *item, uint32_t property)
{
	const char *text = item_text(r, item);
	struct reading_for f = property_reading(&r->t, property);
	struct reading was, again;

	was = reading_of(r->t.c->units, r->t.c->range_words, &f, sv(text), false);
	f.domain = range_all();
	again = reading_of(r->t.c->units, r->t.c->range_words, &f, sv(text), false);
	return was.fault == READ_OUT_OF_DOMAIN && again.fault == READ_FINE &&
	    again.used == strlen(text);
}

bool
words_beyond(struct reader *r, uint32_t i)
{
	uint32_t sides[2] = {item_after(r, i), item_before(r, i)};
	struct item *item = &r->items[i];

	for (int side = 0; side < 2; side++) {
		uint32_t j = sides[side];

		if (j != NONE && side == 1 && item_phrase(r, &r->items[j], PHRASE_ABOUT) != NULL)
			j = item_before(r, j);
		for (uint32_t k = 0; names_it(r, i, j) && k < r->items[j].n_names; k++) {
			uint32_t p = property_named(r, &r->items[j].names[k]);
			const struct property *q;
			struct buf b = {0};

			if (p == NONE || !property_is_quantity(&r->t, p) ||
			    !only_beyond(r, item, p))
				continue;
			q = &r->t.c->property[p];
			buf_add(&b, "", 0);
			if (q->n_units > 0)
				range_print(&b, r->t.c->units,
				    r->t.c->unit_list[q->first_unit], q->domain, 0);
			diag(r->ds, item_place(r, item->first, item->n), D_SAID_BEYOND,
			    property_title(&r->t, p), item_text(r, item), b.p);
			buf_free(&b);
			item->told = r->items[j].told = r->items[j].named = true;
			return true;
		}
	}
	return false;
}

/* The unit whose own name stands in the text, or NONE. */
static uint32_t
unit_written(const struct reader *r, const char *text)
{
	const struct units *all = r->t.c->units;
	size_t n = strlen(text);

	for (uint32_t u = 0; u < all->n; u++) {
		size_t len = strlen(all->u[u].name);

		if (len > 0 && len < n && strcmp(text + n - len, all->u[u].name) == 0 &&
		    (text[n - len - 1] == ' ' || digit(text[n - len - 1])))
			return u;
	}
	return NONE;
}

/* Does anything in the clause name a property of this dimension? */
static bool
measured_near(const struct reader *r, uint32_t i, dimension dim)
{
	for (uint32_t j = 0; j < r->n_items; j++) {
		if (r->items[j].clause != r->items[i].clause || r->items[j].is != ITEM_NAME)
			continue;
		for (uint32_t k = 0; k < r->items[j].n_names; k++) {
			uint32_t p = property_named(r, &r->items[j].names[k]);

			if (p != NONE && property_is_quantity(&r->t, p) &&
			    dim_eq(r->t.c->property[p].dim, dim))
				return true;
		}
	}
	return false;
}

bool
words_unit_doubtful(const struct reader *r, uint32_t i, const struct choice *c)
{
	uint32_t own = unit_written(r, item_text(r, &r->items[i])), entry;
	const struct entry_record *e;
	bool told = false;
	range both;

	if (own == NONE || c->unit < 0 || own == (uint32_t)c->unit ||
	    dim_eq(r->t.c->units->u[own].dim, r->t.c->units->u[c->unit].dim))
		return false;
	if (measured_near(r, i, r->t.c->units->u[own].dim) || c->thing == NONE)
		return true;
	entry = r->p->things[c->thing].entry;
	e = entry != NONE ? kb_entry(r->t.kb, entry) : NULL;
	for (uint32_t k = 0; e != NULL && k < e->n_typicals; k++) {
		if (e->typicals[k].property != c->property)
			continue;
		told = true;
		if (range_meet(e->typicals[k].usual.r, c->quantity, &both) ||
		    range_meet(e->typicals[k].seen.r, c->quantity, &both))
			return false;
	}
	return told;
}
