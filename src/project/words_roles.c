/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Plain words: what one thing is to another.
 *
 * A role is given by a phrase before ("lined in"), by a phrase or role word after
 * ("... lining"), or by the entry itself.  A cloth named directly before the
 * garment is the garment's own, whatever part was told of first.
 */
#include "project/project_impl.h"

#include <string.h>

enum { REACH = 6 };                        /* items over which a word still looks for its thing */

bool
words_role_told(const struct reader *r, uint32_t thing)
{
	for (uint32_t i = 0; i < r->n_items; i++)
		if (r->items[i].thing == thing && r->items[i].told)
			return true;
	return false;
}

/* The component that item I stands for: itself, or the cloth of its fibre. */
uint32_t
words_component_of(const struct reader *r, uint32_t i)
{
	uint32_t thing = r->items[i].thing;

	if (thing != NONE && r->p->things[thing].of != NONE)
		thing = r->p->things[thing].of;
	return thing_is_component(r, thing) ? thing : NONE;
}

static bool
give_role(struct reader *r, struct item *item, uint32_t to, uint16_t role)
{
	struct said_thing *thing = &r->p->things[to];

	if (words_role_told(r, to) && thing->role != role)
		return false;
	if (!roles_are_kin(&r->t, thing->role, role))
		return false;
	thing->role = role;
	thing->denied = thing->denied || item->denied;
	thing->beside = thing->beside || item->beside;
	item->thing = to;
	item->told = item->used = true;
	return true;
}

static void
nameless(struct reader *r, struct item *item, uint16_t role)
{
	for (uint32_t i = 0; i < r->p->n_things; i++)
		if (thing_is_component(r, i) && r->p->things[i].role == role &&
		    r->p->things[i].denied == item->denied && !item->beside) {
			item->thing = i;       /* "the lining" said again */
			item->told = item->used = true;
			return;
		}
	item->thing = words_thing(r, item, r->t.component, role, NONE);
	item->told = item->used = true;
}

/* "backed with fusible interfacing": its own name says what it is there for. */
static bool
called_by_role(const struct reader *r, const struct item *item, uint32_t thing, uint16_t role)
{
	const struct said_thing *t = &r->p->things[thing];
	strview text = sv(text_fold(r->arena, sv(item_text(r, item))));
	uint16_t its = t->entry != NONE ? entry_role(&r->t, t->entry) : NO16;
	strview own = sv(role_title(&r->t, its));

	return own.n > 0 && roles_are_kin(&r->t, its, role) && text.n > own.n &&
	    memcmp(text.p + text.n - own.n, own.p, own.n) == 0 &&
	    text.p[text.n - own.n - 1] == ' ';
}

bool
words_garment_at(const struct reader *r, uint32_t i)
{
	while (i < r->n_items && !r->tokens[r->items[i].first].breaks &&
	    item_modifies(r, &r->items[i]))
		i++;
	return i < r->n_items && !r->tokens[r->items[i].first].breaks &&
	    r->items[i].means == MEANS_THING && r->items[i].entry != NONE &&
	    entry_object_kind(&r->t, r->items[i].entry) == r->t.garment;
}

static bool
role_of_next(struct reader *r, uint32_t i, uint16_t role, bool far)
{
	struct item *item = &r->items[i];

	for (uint32_t j = i + 1; j < r->n_items && j <= i + REACH; j++) {
		struct item *to = &r->items[j];
		uint32_t thing = words_component_of(r, j);

		if (r->tokens[to->first].breaks || item_phrase(r, to, PHRASE_CLAUSE) != NULL)
			return false;
		if (thing != NONE && called_by_role(r, to, thing, role))
			return true;
		/* "a lining in a ponte dress": the ponte is the dress's. */
		if (thing != NONE && !far && words_garment_at(r, j + 1))
			return false;
		if (thing != NONE)
			return give_role(r, item, thing, role);
		if (item_phrase(r, to, PHRASE_ROLE_BEFORE) != NULL || to->means == MEANS_ROLE)
			return false;
		if (!far && !item_modifies(r, to) && item_phrase(r, to, PHRASE_ABOUT) == NULL)
			return false;
	}
	return false;
}

static bool
role_of_previous(struct reader *r, uint32_t i, uint16_t role)
{
	struct item *item = &r->items[i];

	for (uint32_t j = i; j-- > 0 && j + REACH >= i; ) {
		uint32_t thing = words_component_of(r, j);

		if (r->items[j].part != item->part)
			return false;
		if (thing != NONE)
			return give_role(r, item, thing, role);
		if (!item_modifies(r, &r->items[j]))
			return false;
	}
	return false;
}

/* Is the material that item I names one that a role cannot be given to? */
static bool
not_kin(const struct reader *r, uint32_t i, uint16_t role)
{
	uint32_t thing = words_component_of(r, i), within;

	if (thing != NONE)
		return !roles_are_kin(&r->t, r->p->things[thing].role, role);
	for (uint32_t k = 0; r->items[i].means == MEANS_ROLE && k < r->items[i].n_names; k++)
		if (r->items[i].names[k].target == NAME_WORD &&
		    set_of_word(&r->t, r->items[i].names[k].id, &within) == r->t.role_set)
			return !roles_are_kin(&r->t, (uint16_t)within, role);
	return false;
}

/* The role that is the item's own name, or NONE. */
static uint32_t
names_role(const struct reader *r, const struct item *item)
{
	uint32_t within = NONE;

	for (uint32_t k = 0; item->means == MEANS_ROLE && k < item->n_names; k++)
		if (item->names[k].target == NAME_WORD &&
		    set_of_word(&r->t, item->names[k].id, &within) == r->t.role_set)
			return within;
	return NONE;
}

/* Does the item name the role that stands in for this one? */
static bool
for_want_of(const struct reader *r, const struct item *item, uint16_t role)
{
	uint16_t other = falls_back_to(&r->t, role);

	return other != NO16 && names_role(r, item) == other;
}

/* "topstitched with a 100/16 needle": what follows cannot take the role, or has
 * ("... with tex 80 thread") the one that stands in for it, so none is given; if the
 * words begin with the name of something done, that is what they say. */
static bool
only_done(struct reader *r, uint32_t i, uint16_t role)
{
	struct item *item = &r->items[i];
	const struct name *names;
	uint32_t n, j = i + 1;

	while (j < r->n_items && j <= i + REACH && words_component_of(r, j) == NONE &&
	    r->items[j].means != MEANS_ROLE)
		j++;
	if (j >= r->n_items || j > i + REACH || r->items[j].clause != item->clause ||
	    (!not_kin(r, j, role) && !for_want_of(r, &r->items[j], role)))
		return false;
	n = kb_names(r->t.c, sv(r->tokens[item->first].text), &names);
	for (uint32_t k = 0; k < n; k++)
		if (names[k].target == NAME_ENTRY &&
		    entry_object_kind(&r->t, names[k].id) == r->t.operation) {
			item->means = MEANS_THING;
			item->entry = names[k].id;
			words_make(r, i);
			break;
		}
	return true;
}

/* "lined skirt, lining in cupro": the cloth of that role is told elsewhere, so what
 * stands before "lined" is not it. */
static bool
told_elsewhere(const struct reader *r, uint32_t i, uint16_t role)
{
	for (uint32_t j = 0; j < r->n_items; j++) {
		const struct phrase *p = item_phrase(r, &r->items[j], PHRASE_ROLE_BEFORE);

		if (j == i || r->items[j].denied)
			continue;
		if (p != NULL && p->role == role)
			return true;
		p = item_phrase(r, &r->items[j], PHRASE_ROLE_AFTER);
		if (p != NULL && p->role == role && r->tokens[r->items[j].first].breaks &&
		    item_after(r, j) != NONE &&
		    item_phrase(r, &r->items[item_after(r, j)], PHRASE_ABOUT) != NULL)
			return true;
	}
	return false;
}

void
words_role(struct reader *r, uint32_t i)
{
	struct item *item = &r->items[i];
	const struct phrase *before = item_phrase(r, item, PHRASE_ROLE_BEFORE);
	const struct phrase *after = item_phrase(r, item, PHRASE_ROLE_AFTER);
	const struct phrase *none = item_phrase(r, item, PHRASE_WITHOUT);
	uint32_t within = NONE;

	if (none != NULL && !item->denied) {
		item->denied = true;
		nameless(r, item, none->role);
		item->denied = false;          /* what else it says is no denial */
		return;
	}

	if (before != NULL) {
		if (!item->denied && role_of_next(r, i, before->role, true))
			;
		else if (item->denied || !only_done(r, i, before->role))
			nameless(r, item, before->role);
	} else if (after != NULL) {
		/* "lined" says something even where nothing stands before it. */
		if (item_phrase(r, item, PHRASE_SET) != NULL && told_elsewhere(r, i, after->role))
			return;
		if (!role_of_previous(r, i, after->role)) {
			if (item_phrase(r, item, PHRASE_SET) != NULL && !item->denied)
				return;
			/* "..., lining in cupro" */
			if (!item->denied && r->tokens[item->first].breaks &&
			    role_of_next(r, i, after->role, false))
				return;
			nameless(r, item, after->role);
		}
	} else if (item->means == MEANS_ROLE) {
		for (uint32_t k = 0; k < item->n_names && within == NONE; k++)
			if (item->names[k].target == NAME_WORD &&
			    set_of_word(&r->t, item->names[k].id, &within) != r->t.role_set)
				within = NONE;
		if (!role_of_previous(r, i, (uint16_t)within) &&
		    (item->denied || !role_of_next(r, i, (uint16_t)within, false)))
			nameless(r, item, (uint16_t)within);
	} else {
		return;
	}
	if (item->means == MEANS_THING || item->thing == NONE)
		return;
	item->meant = words_meant(r, craft_text(r->t.c, r->t.c->word_set[r->t.role_set].name),
	    role_title(&r->t, r->p->things[item->thing].role));
}
