/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Plain words: what cloths are made of.
 *
 * A run of fibres, with or without their shares, belongs to the cloth that
 * follows it or that was just named; else it makes a cloth without a name.
 */
#include "project/project_impl.h"

enum { REACH = 6 };                        /* items between a fibre and its cloth */

bool
item_is_share(const struct reader *r, const struct item *item)
{
	for (uint32_t i = 0; item->is == ITEM_QUANTITY && i < item->n_measured; i++)
		if (item->measured[i].property == r->t.share && !item->bare)
			return true;
	return false;
}

/* Does item B go on with the fibres that A ends: `wool 80 %, silk 20 %`? */
static bool
goes_on(const struct reader *r, const struct item *a, const struct item *b)
{
	if (b->means != MEANS_CONTENT && !item_is_share(r, b))
		return false;
	if (!r->tokens[b->first].breaks)
		return true;
	return item_is_share(r, b) || (item_is_share(r, a) && b->means == MEANS_CONTENT);
}

/* The shares of the fibres among items FROM .. TO - 1: each goes to the fibre
 * beside it that has none yet, the one behind it first where the run begins
 * with a share. */
static void
shares(struct reader *r, uint32_t from, uint32_t to)
{
	bool before = item_is_share(r, &r->items[from]);

	for (uint32_t i = from; i < to; i++) {
		uint32_t of = NONE;
		struct said_value v;

		if (!item_is_share(r, &r->items[i]))
			continue;
		for (int turn = 0; turn < 2 && of == NONE; turn++) {
			uint32_t j = before == (turn == 0) ? i + 1 : i - 1;

			if (j >= from && j < to && r->items[j].means == MEANS_CONTENT &&
			    !r->items[j].named)
				of = j;
		}
		if (of == NONE)
			continue;
		r->items[of].named = true;
		v = value_of(r->items[of].thing, r->t.share,
		    item_place(r, r->items[i].first, r->items[i].n));
		for (uint32_t k = 0; k < r->items[i].n_measured; k++)
			if (r->items[i].measured[k].property == r->t.share) {
				v.value.r = r->items[i].measured[k].value;
				v.unit = r->items[i].measured[k].unit;
			}
		v.value.state = VALUE_KNOWN;
		value_add(r->p, v);
		r->items[i].used = true;
		r->items[i].thing = v.thing;
		r->items[i].meant = property_title(&r->t, r->t.share);
	}
}

/* `sewn with polyester`, `seamed in tex 60 silk`: the material of the role just told of,
 * which no cloth can take.  Its entry is the one called by fibre and role, if there is one. */
static uint32_t
of_the_role_before(struct reader *r, uint32_t from)
{
	struct item *run = &r->items[from];
	const struct phrase *told = NULL;
	uint32_t before = item_before(r, from), n, entry = NONE;
	const struct name *names;
	char *called;

	while (before != NONE && !r->tokens[r->items[before + 1].first].breaks &&
	    (r->items[before].is == ITEM_QUANTITY || r->items[before].means == MEANS_PROPERTY))
		before = item_before(r, before);
	if (before == NONE || r->tokens[r->items[before + 1].first].breaks)
		return NONE;
	told = item_phrase(r, &r->items[before], PHRASE_ROLE_BEFORE);
	if (told == NULL || roles_are_kin(&r->t, r->t.first_role, told->role))
		return NONE;
	called = text_fold(r->arena, sv(arena_print(r->arena, "%s %s", item_text(r, run),
	    role_title(&r->t, told->role))));
	n = kb_names(r->t.c, sv(called), &names);
	for (uint32_t i = 0; i < n && entry == NONE; i++)
		if (names[i].target == NAME_ENTRY &&
		    entry_object_kind(&r->t, names[i].id) == r->t.component)
			entry = names[i].id;
	return words_thing(r, run, r->t.component, told->role, entry);
}

/* The cloth that a run of fibres FROM .. TO - 1 belongs to. */
static uint32_t
owner(struct reader *r, uint32_t from, uint32_t to)
{
	struct item *run = &r->items[from];
	uint32_t next = to, before = item_before(r, from), last = NONE;

	while (next < r->n_items && next < to + REACH && !r->tokens[r->items[next].first].breaks &&
	    item_modifies(r, &r->items[next]))
		next++;
	if (next < r->n_items && next < to + REACH &&
	    r->items[next].part == r->items[to - 1].part &&
	    r->items[next].means == MEANS_THING &&
	    entry_object_kind(&r->t, r->items[next].entry) == r->t.component) {
		struct item *cloth = &r->items[next];

		cloth->thing = words_thing(r, cloth, r->t.component,
		    entry_role(&r->t, cloth->entry), cloth->entry);
		return cloth->thing;
	}
	/* `poplin, 100 % cotton`, `twill in wool`: a cloth just named, none following; but the
	 * silk of `hair canvas in a silk blouse` is the blouse's. */
	if (before != NONE && (item_phrase(r, &r->items[before], PHRASE_ABOUT) != NULL))
		last = words_garment_at(r, next) ? NONE : item_before(r, before);
	else if (before != NONE && (!r->tokens[run->first].breaks || item_is_share(r, run)))
		last = before;
	while (last != NONE && r->items[last].is == ITEM_QUANTITY)
		last = item_before(r, last);
	if (last != NONE && thing_is_component(r, r->items[last].thing) &&
	    r->items[last].means == MEANS_THING) {
		bool has = false;

		for (uint32_t i = 0; i < r->p->n_things; i++)
			has = has || r->p->things[i].of == r->items[last].thing;
		if (!has)
			return r->items[last].thing;
	}
	next = of_the_role_before(r, from);
	return next != NONE ? next : words_thing(r, run, r->t.component, r->t.first_role, NONE);
}

/* `nylon and elastane`: a second fibre beside the first, said of nothing else; but
 * the silk of `wool coat and silk lining` or `cotton and a silk lining` is the lining's. */
static bool
fibre_beside(const struct reader *r, uint32_t i)
{
	uint32_t after = i + 1;

	if (r->items[i].means != MEANS_CONTENT)
		return false;
	while (after < r->n_items && !r->tokens[r->items[after].first].breaks &&
	    (r->items[after].is == ITEM_STOP || item_modifies(r, &r->items[after])))
		after++;
	if (after >= r->n_items || r->tokens[r->items[after].first].breaks)
		return true;
	return item_phrase(r, &r->items[after], PHRASE_ROLE_AFTER) == NULL &&
	    r->items[after].means != MEANS_ROLE;
}

/* The next fibre or share behind a joining word, if it has both. */
static uint32_t
fibre_joined(const struct reader *r, uint32_t i)
{
	if (i + 1 < r->n_items && !r->tokens[r->items[i].first].breaks &&
	    item_phrase(r, &r->items[i], PHRASE_CLAUSE) != NULL && fibre_beside(r, i + 1))
		return i;
	for (uint32_t most = i + 3; i + 1 < r->n_items && i < most; i++) {
		const struct item *a = &r->items[i], *b = &r->items[i + 1];

		if (r->tokens[a->first].breaks)
			return NONE;
		if (a->is == ITEM_STOP || item_phrase(r, a, PHRASE_ABOUT) != NULL ||
		    item_phrase(r, a, PHRASE_CLAUSE) != NULL)
			continue;
		return (item_is_share(r, a) && b->means == MEANS_CONTENT) ||
		    (a->means == MEANS_CONTENT && item_is_share(r, b)) ? i : NONE;
	}
	return NONE;
}

/* `wool, silk and cashmere`: where such a list of bare fibres ends, else FROM + 1. */
static uint32_t
listed(const struct reader *r, uint32_t from)
{
	uint32_t i = from + 1;

	if (r->items[from].means != MEANS_CONTENT)
		return from + 1;
	while (i < r->n_items && r->items[i].means == MEANS_CONTENT &&
	    r->tokens[r->items[i].first].breaks)
		i++;
	return i > from + 1 && i + 1 < r->n_items && !r->tokens[r->items[i].first].breaks &&
	    item_phrase(r, &r->items[i], PHRASE_CLAUSE) != NULL && fibre_beside(r, i + 1) ?
	    i : from + 1;
}

uint32_t
words_fibres(struct reader *r, uint32_t from)
{
	uint32_t to = listed(r, from), cloth, after;

	while (to < r->n_items && goes_on(r, &r->items[to - 1], &r->items[to]))
		to++;
	/* `cotton with 5 % elastane`, `wool 80 % and silk 20 %`: what has a share
	 * goes on even across a joining word. */
	while ((after = fibre_joined(r, to)) != NONE) {
		to = after + 1;
		while (to < r->n_items && goes_on(r, &r->items[to - 1], &r->items[to]))
			to++;
	}
	for (uint32_t i = from; i < to; i++)
		if (r->items[i].means == MEANS_CONTENT)
			break;
		else if (i + 1 == to)
			return to;             /* shares of nothing */
	cloth = owner(r, from, to);
	for (uint32_t i = from; i < to; i++) {
		struct item *item = &r->items[i];
		uint32_t thing;

		if (item->means != MEANS_CONTENT)
			continue;
		thing = words_thing(r, item, r->t.content, NO16, item->entry);
		r->p->things[thing].of = cloth;
		item->thing = thing;
		item->used = true;
		item->meant = words_meant(r, craft_text(r->t.c, r->t.c->entry_kind[
		    r->t.c->entry[item->entry].kind].name), entry_title(&r->t, item->entry));
	}
	shares(r, from, to);
	return to;
}
