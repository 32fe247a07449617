/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Plain words: whose value something would be, and how good a guess that is.
 *
 * Nearness is counted in items, and a clause weighs more than a few items; a
 * thing whose entry knows such a property, and values like this one, is more
 * likely meant.
 */
#include "project/project_impl.h"

#include <string.h>

uint32_t
material_at(const struct reader *r, uint32_t i)
{
	uint32_t thing = r->items[i].thing;

	if (thing != NONE && r->p->things[thing].of != NONE)
		thing = r->p->things[thing].of;
	if (thing == NONE || r->p->things[thing].kind != r->t.component ||
	    r->p->things[thing].denied)
		return NONE;
	return thing;
}

/* The thing at item J that can have property P, or NONE. */
static uint32_t
thing_for(const struct reader *r, uint32_t j, const struct property *p)
{
	uint32_t thing = r->items[j].thing;

	if (r->items[j].is != ITEM_NAME || thing == NONE)
		return NONE;
	if (p->kind == r->t.component) {
		thing = material_at(r, j);
		if (thing == NONE || !property_takes_role(&r->t, (uint32_t)(p - r->t.c->property),
		    r->p->things[thing].role))
			return NONE;
		return thing;
	}
	return r->p->things[thing].kind == p->kind && !r->p->things[thing].denied ? thing : NONE;
}

static int
nearness(const struct reader *r, uint32_t i, uint32_t j)
{
	const struct item *a = &r->items[i], *b = &r->items[j];
	uint32_t d = i < j ? j - i : i - j;
	int base;

	if (a->clause == b->clause)
		base = a->part == b->part ? (j > i ? 100 : 92) : (j > i ? 80 : 88);
	else
		base = j < i ? 42 : 30;
	return base - (int)(d < REACH_OF_VALUE ? d : REACH_OF_VALUE) * 3;
}

/* The nearest thing that can have property P; how near, 0 if there is none. */
static int
nearest(const struct reader *r, uint32_t i, const struct property *p, uint32_t *thing)
{
	int best = 0;

	*thing = NONE;
	for (uint32_t j = i > 40 ? i - 40 : 0; j < r->n_items && j < i + 40; j++) {
		uint32_t t;
		int near;

		if (j == i && r->items[j].means != MEANS_CONTENT)
			continue;
		t = thing_for(r, j, p);
		near = t != NONE ? nearness(r, i, j) : 0;
		if (near > best) {
			best = near;
			*thing = t;
		}
	}
	if (*thing != NONE)
		return best;
	/* Long texts: what was named far before still counts. */
	for (uint32_t t = 0; t < r->p->n_things; t++)
		if (r->p->things[t].kind == p->kind && !r->p->things[t].denied &&
		    (p->kind != r->t.component || property_takes_role(&r->t,
		    (uint32_t)(p - r->t.c->property), r->p->things[t].role))) {
			*thing = t;
			return 10;
		}
	return 0;
}

/* Operation or feature that is the place of what is said at item I, or NONE. */
uint32_t
item_scope(const struct reader *r, uint32_t i, int *how_near)
{
	uint32_t best = NONE;

	*how_near = 0;
	for (uint32_t j = i > 40 ? i - 40 : 0; j < r->n_items && j < i + 40; j++) {
		const struct item *b = &r->items[j];
		uint32_t thing = b->thing;
		int near;

		if (b->clause != r->items[i].clause || b->is != ITEM_NAME || thing == NONE ||
		    r->p->things[thing].denied || b->means != MEANS_THING)
			continue;
		near = nearness(r, i, j);
		if (r->p->things[thing].kind == r->t.feature)
			near = b->part == r->items[i].part ? near - 20 : 0;
		else if (r->p->things[thing].kind != r->t.operation)
			continue;
		if (near > *how_near) {
			*how_near = near;
			best = thing;
		}
	}
	return best;
}

/* Does the thing's entry know such a property, and values like this one? */
static int
entry_tells(const struct reader *r, uint32_t thing, const struct choice *c)
{
	const struct entry_record *e;
	range both;

	if (thing == NONE || r->p->things[thing].entry == NONE)
		return 0;
	e = kb_entry(r->t.kb, r->p->things[thing].entry);
	for (uint32_t i = 0; e != NULL && i < e->n_typicals; i++) {
		if (e->typicals[i].property != c->property)
			continue;
		return property_is_quantity(&r->t, c->property) &&
		    range_meet(e->typicals[i].usual.r, c->quantity, &both) ? 18 : 12;
	}
	return 0;
}

/* Settings and acts hold wherever there is such a thing; "sleeve" or "curved"
 * mean one certain feature. */
static bool
placeless(const struct reader *r, uint32_t property)
{
	return (r->t.c->property[property].flags & (PROPERTY_ACT | PROPERTY_SETTING)) != 0;
}

/* Is the property called after the entry: a buttonhole's buttonhole length? */
static bool
called_after(const struct reader *r, uint32_t of, uint32_t property)
{
	const char *entry, *label = craft_text(r->t.c, r->t.c->property[property].label);
	const char *last = strrchr(label, ' ');
	size_t n, head = last != NULL ? (size_t)(last - label) : 0;

	if (head == 0 || of == NONE)
		return false;
	entry = entry_title(&r->t, of);
	n = strlen(entry);
	return n >= head && memcmp(entry + n - head, label, head) == 0 &&
	    (n == head || entry[n - head - 1] == ' ');
}

/* "3 mm straight stitch": beside it stands a word after which it is called. */
static bool
called_after_word(const struct reader *r, uint32_t i, uint32_t property)
{
	uint32_t sides[2] = {item_after(r, i), item_before(r, i)};

	for (int side = 0; r->items[i].is == ITEM_QUANTITY && side < 2; side++) {
		const struct item *item = sides[side] != NONE ? &r->items[sides[side]] : NULL;

		if (item != NULL && item->is == ITEM_NAME && item->means == MEANS_VALUE &&
		    item->part == r->items[i].part && called_after(r, item->entry, property))
			return true;
	}
	return false;
}

/* "machine-washable shirt with a canvas interfacing": what stands before the garment is
 * said of the garment's cloth, not of a part told behind it. */
static bool
before_the_garment(const struct reader *r, uint32_t i, uint32_t thing)
{
	uint32_t j = i + 1;

	while (j < r->n_items && j < i + 4 && !r->tokens[r->items[j].first].breaks &&
	    (r->items[j].is == ITEM_STOP || r->items[j].means == MEANS_VALUE ||
	    item_phrase(r, &r->items[j], PHRASE_SET) != NULL || item_modifies(r, &r->items[j])))
		j++;
	if (j >= r->n_items || r->tokens[r->items[j].first].breaks || r->items[j].thing == NONE ||
	    r->p->things[r->items[j].thing].kind != r->t.garment ||
	    r->p->things[thing].role == r->t.first_role)
		return false;
	for (uint32_t k = 0; k <= j; k++)
		if (r->items[k].thing == thing)
			return false;
	return true;
}

/* Fills in whose value it would be and how good a guess that is; near 0: none. */
void
words_aim(const struct reader *r, uint32_t i, struct choice *c)
{
	const struct property *p = &r->t.c->property[c->property];
	uint32_t of;
	int near;

	c->thing = c->scope = c->far = NONE;
	c->make = false;
	if (p->kind == r->t.component) {
		c->near = nearest(r, i, p, &c->thing);
		if (c->thing != NONE && before_the_garment(r, i, c->thing))
			c->thing = NONE;
		/* A word can make a cloth, but not a needle or a zip. */
		c->make = c->thing == NONE;
		if (c->make)
			c->near = !property_takes_role(&r->t, c->property, r->t.first_role) ? 0 :
			    p->flags & PROPERTY_OWN || p->roles != 0 ? SCORE_MADE : 1;
	} else if (r->t.c->kind[p->kind].singleton) {
		c->near = nearest(r, i, p, &c->thing);
		/* A word before the garment it heads is said of that garment,
		 * whatever cloth stands between. */
		if (c->near > 80)
			c->near = 115;
		else if (c->near < 30)
			c->near = 30;
	} else if (p->kind == r->t.feature || p->kind == r->t.content) {
		c->near = nearest(r, i, p, &c->thing);
		if (c->near < SCORE_NEAR) {
			c->far = c->thing;
			c->thing = NONE;
			c->near = placeless(r, c->property) ? SCORE_PLAIN - 8 : 0;
		}
	} else {
		c->scope = item_scope(r, i, &near);
		c->near = near > SCORE_PLAIN ? near : placeless(r, c->property) ? SCORE_PLAIN : 0;
		/* Layers and pieces are for the program to count. */
		if (p->kind != r->t.operation && c->near > 0)
			c->near = c->near > 16 ? c->near - 15 : 1;
	}
	if (placeless(r, c->property) && called_after_word(r, i, c->property))
		c->near = NEAR_BESIDE;
	c->score = c->near;
	c->score += entry_tells(r, c->thing != NONE ? c->thing : c->scope, c);
	of = c->thing != NONE ? c->thing : c->scope;
	if (of != NONE && called_after(r, r->p->things[of].entry, c->property))
		c->score += 14;
	if (p->roles != 0)
		c->score += 8;
	if ((p->flags & PROPERTY_DERIVED) != 0 && (p->flags & (PROPERTY_OWN | PROPERTY_ACT)) == 0)
		c->score -= 10;
}
