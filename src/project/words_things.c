/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Plain words, second half: names into things.
 *
 * What an item makes is decided by its entry kind.  A fibre beside a cloth is
 * what that cloth is made of; a fibre alone makes a cloth without a name.  A
 * role is given by a phrase before ("lined in"), by a phrase or role word
 * after ("... lining"), or by the entry itself.  A second cloth to which no
 * words give a role keeps the role of its entry beside the first; the first is
 * the one that counts where only one can.
 */
#include "project/project_impl.h"

#include <string.h>

enum { REACH = 6 };                        /* items over which a word still looks for its thing */

bool
item_modifies(const struct reader *r, const struct item *item)
{
	/* May stand between two words that belong together. */
	return item->is == ITEM_STOP || item->is == ITEM_QUANTITY ||
	    item->is == ITEM_UNKNOWN || item->means == MEANS_VALUE ||
	    item_phrase(r, item, PHRASE_CLASS) != NULL ||
	    item_phrase(r, item, PHRASE_COUNT) != NULL;
}

bool
thing_is_component(const struct reader *r, uint32_t thing)
{
	return thing != NONE && r->p->things[thing].kind == r->t.component;
}

const char *
words_meant(const struct reader *r, const char *what, const char *which)
{
	return arena_print(r->arena, "%s: %s", what, which);
}

/* ---- denial ------------------------------------------------------------------ */

static bool
can_be_denied(const struct reader *r, const struct item *item)
{
	if (item->is != ITEM_NAME)
		return false;
	switch (item->means) {
	case MEANS_PHRASE:
		return item_phrase(r, item, PHRASE_SET) != NULL ||
		    item_phrase(r, item, PHRASE_ROLE_BEFORE) != NULL ||
		    item_phrase(r, item, PHRASE_ROLE_AFTER) != NULL;
	case MEANS_ROLE:
	case MEANS_THING:
	case MEANS_VALUE:
		return true;
	case MEANS_CONTENT:
	case MEANS_PROPERTY:
	case MEANS_STOP:
	case MEANS_NOTHING:
		return false;
	}
	return false;
}

/* "no zip", "without a lining", "drop the pockets", "add a belt": what the
 * word before is about. */
static void
verbs(struct reader *r)
{
	for (uint32_t i = 0; i < r->n_items; i++) {
		bool no = item_phrase(r, &r->items[i], PHRASE_NOT) != NULL;
		bool drop = item_phrase(r, &r->items[i], PHRASE_DROP) != NULL;
		bool add = item_phrase(r, &r->items[i], PHRASE_ADD) != NULL;

		if (!no && !drop && !add)
			continue;
		for (uint32_t j = i + 1; j < r->n_items && j <= i + REACH; j++) {
			struct item *to = &r->items[j];

			if (r->tokens[to->first].breaks)
				break;
			if (add && (to->means == MEANS_THING || to->means == MEANS_CONTENT)) {
				to->beside = r->items[i].used = true;
				break;
			}
			if (add || !can_be_denied(r, to))
				continue;
			to->denied = r->items[i].used = true;
			to->dropped = drop;
			/* `no silk lining` is about the lining. */
			if (to->means == MEANS_VALUE && j + 1 < r->n_items &&
			    r->items[j + 1].part == to->part &&
			    (r->items[j + 1].means == MEANS_ROLE ||
			    r->items[j + 1].means == MEANS_THING)) {
				r->items[j + 1].denied = true;
				to->denied = false;
			}
			break;
		}
	}
}

/* ---- cloths, fibres and the rest ----------------------------------------------- */

uint32_t
words_thing(struct reader *r, struct item *item, uint32_t kind, uint16_t role, uint32_t entry)
{
	return thing_add(r->p, (struct said_thing){
		.kind = (uint16_t)kind, .role = role, .entry = entry, .count = 1,
		.denied = item->denied, .beside = item->beside, .of = NONE,
		.place = item_place(r, item->first, item->n),
	});
}

/* The same words as a part of the one thing ("dress with a gathered skirt"), or NONE. */
static uint32_t
part_called(const struct reader *r, const struct item *item)
{
	for (uint32_t k = 0; k < item->n_names; k++) {
		const struct name *n = &item->names[k];

		if (n->target == NAME_ENTRY && n->id != item->entry &&
		    entry_object_kind(&r->t, n->id) != NO16 &&
		    !r->t.c->kind[entry_object_kind(&r->t, n->id)].singleton)
			return n->id;
	}
	return NONE;
}

/* One thing is sewn: the head of a compound ("coat dress"), else the first.
 * False: the item is a part of it and still to be read. */
static bool
single(struct reader *r, uint32_t i, uint32_t kind)
{
	struct item *item = &r->items[i];

	for (uint32_t j = 0; j < i; j++) {
		struct item *other = &r->items[j];
		struct said_thing *had;

		if (other->means != MEANS_THING || other->thing == NONE ||
		    r->p->things[other->thing].kind != kind || r->p->things[other->thing].denied)
			continue;
		had = &r->p->things[other->thing];
		if (item->entry == had->entry) {
			item->thing = other->thing;
			item->used = true;
		} else if ((j + 1 == i && item->part == other->part) ||
		    kb_entry_is(r->t.c, item->entry, had->entry)) {
			had->entry = item->entry;
			item->thing = other->thing;
			item->used = true;
		} else if (part_called(r, item) != NONE) {
			item->entry = part_called(r, item);
			return false;
		} else {
			diag(r->ds, item_place(r, item->first, item->n), D_SAID_ANOTHER,
			    item_text(r, item), entry_title(&r->t, had->entry));
			item->entry = NONE;
			item->means = MEANS_NOTHING;
			item->told = true;     /* already complained of */
		}
		return true;
	}
	item->thing = words_thing(r, item, kind, NO16, item->entry);
	item->used = true;
	return true;
}

/* `cotton shirt in poplin`: the poplin is the cotton cloth named before the
 * garment.  Takes its name then. */
static uint32_t
fibre_before(struct reader *r, uint32_t i)
{
	const struct item *cloth = &r->items[i];
	uint32_t j = item_before(r, i), owner_of;

	while (j != NONE && item_modifies(r, &r->items[j]))
		j = item_before(r, j);
	if (j == NONE || item_phrase(r, &r->items[j], PHRASE_ABOUT) == NULL)
		return NONE;
	j = item_before(r, j);
	if (j == NONE || r->items[j].thing == NONE || r->items[j].clause != cloth->clause ||
	    !r->t.c->kind[r->p->things[r->items[j].thing].kind].singleton)
		return NONE;
	j = item_before(r, j);
	if (j == NONE || r->items[j].means != MEANS_CONTENT || r->items[j].thing == NONE)
		return NONE;
	owner_of = r->p->things[r->items[j].thing].of;
	if (owner_of == NONE || r->p->things[owner_of].entry != NONE ||
	    entry_role(&r->t, cloth->entry) != r->p->things[owner_of].role)
		return NONE;
	r->p->things[owner_of].entry = cloth->entry;
	return owner_of;
}

void
words_make(struct reader *r, uint32_t i)
{
	struct item *item = &r->items[i];
	uint16_t kind = entry_object_kind(&r->t, item->entry);

	item->meant = words_meant(r, craft_text(r->t.c, r->t.c->entry_kind[
	    r->t.c->entry[item->entry].kind].name), entry_title(&r->t, item->entry));
	if (r->t.c->kind[kind].singleton && !item->denied) {
		if (single(r, i, kind))
			return;
		kind = entry_object_kind(&r->t, item->entry);
	}
	item->used = true;
	/* "no buttons" is about all of them, whatever plain one has that name. */
	if (item->denied && kind == r->t.component) {
		struct place at = item_place(r, item->first, item->n);
		uint16_t role_word = role_called(&r->t,
		    sv(text_fold(r->arena, (strview){r->src->text.p + at.at, at.n})));

		if (role_word != NO16) {
			item->thing = words_thing(r, item, kind, role_word, NONE);
			return;
		}
	}
	if (item->thing == NONE && kind == r->t.component && !item->denied)
		item->thing = fibre_before(r, i);
	/* The same named twice is one, unless it is added to itself. */
	for (uint32_t k = 0; k < r->p->n_things && item->thing == NONE && !item->beside; k++)
		if (r->p->things[k].kind == kind && r->p->things[k].entry == item->entry &&
		    r->p->things[k].denied == item->denied && r->p->things[k].of == NONE)
			item->thing = k;
	if (item->thing == NONE)
		item->thing = words_thing(r, item, kind, kind == r->t.component ?
		    entry_role(&r->t, item->entry) : NO16, item->entry);
}

/* ---- cloth of one feature ------------------------------------------------------------ */

/* The role the entry gives, before that of the whole, to what its things are
 * made of, or NO16. */
static uint16_t
own_role(const struct reader *r, uint32_t entry)
{
	const struct entry_record *e = entry != NONE ? kb_entry(r->t.kb, entry) : NULL;

	for (uint32_t i = 0; e != NULL && i < e->n_brings; i++)
		for (uint32_t k = 0; k + 1 < e->brings[i].n_set; k++) {
			const struct bring_set *s = &e->brings[i].set[k];

			if (s->how == BRING_ROLE && s[1].how == BRING_ROLE &&
			    s[1].property == s->property && s[1].role == r->t.first_role)
				return s->role;
		}
	return NO16;
}

/* "moleskin jacket with suede elbow patches": the suede is for the patches. */
static void
cloth_of_feature(struct reader *r, uint32_t i)
{
	uint32_t cloth = words_component_of(r, i), j = i + 1;
	bool first = true;
	uint16_t own;

	if (cloth == NONE || r->p->things[cloth].denied || words_role_told(r, cloth) ||
	    r->p->things[cloth].role != r->t.first_role)
		return;
	for (uint32_t k = 0; k < i; k++) {
		uint32_t other = words_component_of(r, k);

		first = first && (other == NONE || other == cloth ||
		    r->p->things[other].denied ||
		    r->p->things[other].role != r->t.first_role);
	}
	while (j < r->n_items && j <= i + REACH && item_modifies(r, &r->items[j]))
		j++;
	if (first || j >= r->n_items || j > i + REACH || r->items[j].part != r->items[i].part ||
	    r->items[j].thing == NONE || r->p->things[r->items[j].thing].kind != r->t.feature)
		return;
	own = own_role(r, r->p->things[r->items[j].thing].entry);
	if (own == NO16 || !roles_are_kin(&r->t, r->t.first_role, own))
		return;
	r->p->things[cloth].role = own;
	r->items[i].told = true;
	r->items[i].meant = words_meant(r, role_title(&r->t, own), arena_print(r->arena, "of the %s",
	    entry_title(&r->t, r->p->things[r->items[j].thing].entry)));
}

/* ---- how many ---------------------------------------------------------------------- */

/* Is the word for it a plural? */
static bool
several(const struct reader *r, const struct item *item)
{
	const char *last = r->tokens[item->first + item->n - 1].text;

	for (uint32_t i = 0; i < item->n_names; i++)
		if (item->names[i].inflected)
			return item->means != MEANS_CONTENT;
	return last[0] != '\0' && last[strlen(last) - 1] == 's';
}

/* "two patch pockets", "7 buttons": the next thing of which there can be several. */
static void
count(struct reader *r, uint32_t i)
{
	struct item *item = &r->items[i];
	const struct phrase *phrase = item_phrase(r, item, PHRASE_COUNT);
	double n = phrase != NULL ? phrase->quantity.lo : item->number;

	if (phrase == NULL && (item->is != ITEM_QUANTITY || !item->whole || item->used))
		return;
	if (!(n >= 1 && n <= 200))
		return;
	for (uint32_t j = i + 1; j < r->n_items && j <= i + REACH; j++) {
		const struct item *to = &r->items[j];
		struct said_thing *thing;

		if (to->part != item->part || to->is == ITEM_QUANTITY)
			return;
		if (to->thing == NONE)
			continue;
		thing = &r->p->things[to->thing];
		/* One garment, and cloth is not counted; what is one of many has
		 * a plural: "7 buttons", but not "80 needle". */
		if (r->t.c->kind[thing->kind].singleton || thing->of != NONE)
			return;
		if (phrase == NULL && thing->kind == r->t.component && !several(r, to))
			return;
		thing->count = n;
		item->thing = to->thing;
		item->used = true;
		item->meant = "how many";
		return;
	}
}

void
words_things(struct reader *r)
{
	verbs(r);
	for (uint32_t i = 0; i < r->n_items; ) {
		struct item *item = &r->items[i];

		if (r->t.content != NONE && (item->means == MEANS_CONTENT ||
		    (item_is_share(r, item) && i + 1 < r->n_items &&
		    r->items[i + 1].means == MEANS_CONTENT))) {
			i = words_fibres(r, i);
			continue;
		}
		if (item->is == ITEM_NAME && item->means == MEANS_THING && item->entry != NONE)
			words_make(r, i);
		i++;
	}
	if (r->t.role_set != NONE && r->t.component != NONE)
		for (uint32_t i = 0; i < r->n_items; i++)
			words_role(r, i);
	if (r->t.role_set != NONE && r->t.component != NONE && r->t.feature != NONE)
		for (uint32_t i = 0; i < r->n_items; i++)
			cloth_of_feature(r, i);
	for (uint32_t i = 0; i < r->n_items; i++)
		count(r, i);
}
