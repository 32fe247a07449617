/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Plain words, last part: what is asked, and what is used for one operation alone.
 *
 * "topstitched with a 100/16 needle" names a needle for that operation, not
 * the needle of the project.  It becomes settings of the operation, by the
 * properties that follow the needle's own through a reference.
 */
#include "project/project_impl.h"

#include <string.h>

/* ---- questions and places ------------------------------------------------------------------ */

void
words_question(struct reader *r, uint32_t i)
{
	const struct phrase *p = item_phrase(r, &r->items[i], PHRASE_ASK);
	int near;
	uint32_t at;

	if (p == NULL || p->entry == NONE)
		return;
	r->p->asked = p->entry;
	at = item_scope(r, i, &near);
	for (uint32_t j = i + 1; at == NONE && j < r->n_items &&
	    r->items[j].clause == r->items[i].clause; j++)
		if (r->items[j].means == MEANS_THING && r->items[j].thing != NONE &&
		    r->p->things[r->items[j].thing].kind == r->t.feature)
			at = r->items[j].thing;
	if (at != NONE)
		r->p->asked_scope = r->p->things[at].entry;
	r->items[i].used = true;
	r->items[i].meant = craft_text(r->t.c, r->t.c->setting[p->entry].label);
}

/* "shirt collar" and "collar of a shirt" speak of the collar; "shirt with a collar" and
 * "fly-front trousers" speak of the whole. */
static bool
speaks_of(const struct reader *r, uint32_t thing)
{
	for (uint32_t i = 0; i < r->n_items; i++) {
		uint32_t before = item_before(r, i), after = item_after(r, i);

		if (r->items[i].thing != thing || r->items[i].means != MEANS_THING)
			continue;
		if (before != NONE && item_phrase(r, &r->items[before], PHRASE_ABOUT) != NULL)
			return false;
		return after == NONE || r->tokens[r->items[after].first].breaks ||
		    r->items[after].thing == NONE ||
		    r->p->things[r->items[after].thing].kind != r->t.garment;
	}
	return false;
}

/* Of the one detail the words name, if it is what they speak of. */
static uint32_t
one_detail(const struct reader *r)
{
	uint32_t one = NONE;

	for (uint32_t i = 0; i < r->p->n_things; i++) {
		if (r->p->things[i].kind != r->t.feature || r->p->things[i].entry == NONE)
			continue;
		if (one != NONE || r->p->things[i].denied)
			return NONE;
		one = i;
	}
	return one != NONE && speaks_of(r, one) ? r->p->things[one].entry : NONE;
}

/* Without a question in the words: the one operation they name, or the one detail. */
void
words_place(struct reader *r)
{
	uint32_t one = NONE;

	for (uint32_t i = 0; i < r->p->n_things; i++) {
		const struct said_thing *t = &r->p->things[i];

		if (t->kind != r->t.operation || t->denied || t->entry == NONE)
			continue;
		if (one != NONE && one != t->entry)
			return;
		one = t->entry;
	}
	if (one == NONE)
		one = one_detail(r);
	if (r->p->asked_scope == NONE)
		r->p->asked_scope = one;
}

/* "double-turned hem on boiled wool", "voile curtain, fullness 2.5": a setting of a detail
 * that nobody named.  The detail after which the setting is called is there then. */
void
words_details(struct reader *r)
{
	for (uint32_t i = 0; i < r->p->n_things; i++)
		if (r->p->things[i].kind == r->t.feature)
			return;
	for (uint32_t i = 0, n = r->p->n_values; i < n; i++) {
		const struct said_value *v = &r->p->values[i];
		const struct property *p = &r->t.c->property[v->property];
		const char *name = craft_text(r->t.c, p->name), *dot = strchr(name, '.');
		const struct name *names;
		uint32_t n_names;

		if (p->kind != r->t.feature || (p->flags & PROPERTY_SETTING) == 0 || dot == NULL ||
		    v->thing != NONE)
			continue;
		n_names = kb_names(r->t.c, (strview){name, (size_t)(dot - name)}, &names);
		for (uint32_t k = 0; k < n_names; k++) {
			if ((names[k].target != NAME_ENTRY && names[k].target != NAME_SHORT) ||
			    entry_object_kind(&r->t, names[k].id) != r->t.feature)
				continue;
			thing_add(r->p, (struct said_thing){.kind = (uint16_t)r->t.feature,
			    .role = NO16, .entry = names[k].id, .count = 1, .of = NONE,
			    .place = v->place});
			return;
		}
	}
}

/* ---- needle and thread of one operation alone ---------------------------- */

/* Role that a reference of an operation falls to. */
static bool
served(const struct reader *r, uint16_t role)
{
	for (uint32_t i = 0; i < r->t.c->n_property; i++)
		if (r->t.c->property[i].kind == r->t.operation &&
		    r->t.c->property[i].type == TYPE_REF && r->t.c->property[i].role == role + 1u)
			return true;
	return false;
}

/* Makes settings of an operation out of what is said of its needle; false when
 * something could not be said so. */
static bool
scoped(struct reader *r, uint32_t thing, uint32_t place)
{
	struct said_thing *t = &r->p->things[thing];
	uint32_t n = r->p->n_values, twin = NONE, word = NONE;

	if (t->entry != NONE) {
		for (uint32_t i = 0; i < r->t.c->n_property && twin == NONE; i++) {
			const struct property *q = &r->t.c->property[i];

			if (q->kind != r->t.component || q->type != TYPE_WORDS ||
			    r->t.c->word_set[q->word_set].entries_of !=
			    r->t.c->entry[t->entry].kind)
				continue;
			twin = setting_twin(&r->t, i, r->t.operation);
		}
		if (twin != NONE)
			word = word_of_entry(&r->t, r->t.c->property[twin].word_set, t->entry);
		if (word == NONE)
			return false;
	}
	for (uint32_t i = 0; i < n; i++)
		if (r->p->values[i].thing == thing &&
		    setting_twin(&r->t, r->p->values[i].property, r->t.operation) == NONE)
			return false;
	for (uint32_t i = 0; i < r->p->n_things; i++)
		if (r->p->things[i].of == thing)
			return false;
	if (word != NONE) {
		struct said_value v = value_of(place, twin, t->place);

		v.value.state = VALUE_KNOWN;
		v.value.set[0] = v.value.set[1] = 0;
		mask_add(v.value.set, word);
		value_add(r->p, v);
	}
	for (uint32_t i = 0; i < n; i++) {
		struct said_value *v = &r->p->values[i];

		if (v->thing != thing)
			continue;
		v->property = setting_twin(&r->t, v->property, r->t.operation);
		v->thing = place;
	}
	return true;
}

void
words_scopes(struct reader *r)
{
	for (uint32_t i = r->n_items; i-- > 0; ) {
		struct item *item = &r->items[i];
		uint32_t thing = item->thing, place;
		int near;

		if (item->is != ITEM_NAME || thing == NONE || r->p->things[thing].denied ||
		    r->p->things[thing].kind != r->t.component ||
		    !served(r, r->p->things[thing].role))
			continue;
		place = item_scope(r, i, &near);
		if (place == NONE || r->p->things[place].kind != r->t.operation ||
		    !scoped(r, thing, place))
			continue;
		thing_remove(r->p, thing);
		for (uint32_t j = 0; j < r->n_items; j++) {
			if (r->items[j].thing == thing)
				r->items[j].thing = NONE;
			else if (r->items[j].thing != NONE && r->items[j].thing > thing)
				r->items[j].thing--;
		}
	}
}
