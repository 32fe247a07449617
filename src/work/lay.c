/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Pieces of a model on the rolls they are cut from.
 *
 * Everything is laid on a grid of one millimetre: pieces are taken up to the
 * next, the roll down, so that what fits on paper fits on the table.
 */
#include "work/lay.h"

#include <math.h>

static const double grid = 0.001;          /* metres */
static const double speck = 1e-6;          /* of the grid: what counts as whole */

static uint32_t
whole(double metres, bool up)
{
	double x = metres / grid;

	x = up ? ceil(x - speck) : floor(x + speck);
	return !(x > 0) ? 0 : x > PACK_SIDE_MOST ? PACK_SIDE_MOST + 1 : (uint32_t)x;
}

static uint32_t
pieces_of(double count, bool up)
{
	double x = up ? ceil(count - speck) : floor(count + speck);

	return !(x > 0) ? 0 : x > PACK_SPOTS_MOST ? PACK_SPOTS_MOST + 1 : (uint32_t)x;
}

static bool
quantity(const struct model *m, uint32_t program, uint32_t object, range *out)
{
	struct binding b = {{object}};
	struct cell c = eval(m->craft, m, program, &b, NULL, NULL);

	*out = c.r;
	return c.state == VALUE_KNOWN && isfinite(c.r.lo) && isfinite(c.r.hi);
}

static tri
truth(const struct model *m, uint32_t program, uint32_t object)
{
	struct binding b = {{object}};

	return program == NONE ? TRI_TRUE : eval_truth(m->craft, m, program, &b);
}

static struct lay_work *
work_for(struct lay_work *w, uint32_t *n, uint32_t laying, uint32_t onto, uint32_t most,
    struct arena *a)
{
	for (uint32_t i = 0; i < *n; i++)
		if (w[i].laying == laying && w[i].onto == onto)
			return &w[i];
	w[*n] = (struct lay_work){.laying = laying, .onto = onto,
	    .pieces = arena_alloc(a, most * sizeof *w->pieces)};
	return &w[(*n)++];
}

static void
pack_end(struct arena *a, struct lay_work *w, bool high)
{
	struct pack_piece *p = arena_alloc(a, (w->n + 1) * sizeof *p);
	uint32_t *which = arena_alloc(a, (w->n + 1) * sizeof *which), n = 0, culprit = 0;
	enum pack_fault fault;

	for (uint32_t i = 0; i < w->n; i++) {
		const struct lay_piece *q = &w->pieces[i];

		if (!q->known)
			continue;
		which[n] = i;
		p[n++] = (struct pack_piece){
			.across = whole(high ? q->across.hi : q->across.lo, true),
			.along = whole(high ? q->along.hi : q->along.lo, true),
			.count = pieces_of(high ? q->count.hi : q->count.lo, high), .turned = q->turned};
	}
	fault = pack_find(a, whole(high ? w->width.lo : w->width.hi, false), p, n,
	    PACK_STATES_USUAL, high ? &w->high : &w->low, &culprit);
	if (fault != PACK_FINE) {
		w->fault = fault;
		w->culprit = n > 0 ? which[culprit] : 0;
	}
}

static void
length_into(struct model *m, const struct lay_work *w)
{
	uint32_t p = m->craft->laying[w->laying].gives;
	value *slot = model_slot(m, w->onto, p);

	if (slot->state == VALUE_KNOWN && m->pedigrees[slot->pedigree].kind == PEDIGREE_SAID)
		return;
	*slot = (value){.r = w->length, .state = VALUE_KNOWN};
	slot->pedigree = pedigree_add(m, (struct pedigree){.kind = PEDIGREE_DERIVED,
	    .property = (uint16_t)p, .entry = NONE, .source_low = NONE, .source_high = NONE, .by = NONE});
	model_derive(m, p);
}

struct lay_work *
lay_all(struct arena *a, struct model *m, uint32_t *n)
{
	const struct craft *c = m->craft;
	struct lay_work *w = arena_alloc(a, ((size_t)m->n_objects + 1) * sizeof *w);

	*n = 0;
	for (uint32_t l = 0; l < c->n_laying; l++) {
		const struct laying *y = &c->laying[l];
		uint32_t most = 0;

		for (uint32_t o = m->first_of_kind[y->each]; o != NONE; o = m->objects[o].next)
			most++;
		for (uint32_t o = m->first_of_kind[y->each]; o != NONE && *n < m->n_objects;
		    o = m->objects[o].next) {
			const value *to = model_slot(m, o, y->onto);
			struct lay_piece p = {.object = o};
			struct lay_work *here;

			if (to->state != VALUE_KNOWN || to->ref < 0 || truth(m, y->when, o) != TRI_TRUE)
				continue;
			here = work_for(w, n, l, (uint32_t)to->ref, most, a);
			p.has_across = quantity(m, y->across, o, &p.across);
			p.has_along = quantity(m, y->along, o, &p.along);
			p.has_count = quantity(m, y->count, o, &p.count);
			p.known = p.has_across && p.has_along && p.has_count;
			p.turned = y->turned != NONE && truth(m, y->turned, o) == TRI_TRUE;
			here->n_known += p.known;
			here->pieces[here->n++] = p;
		}
	}
	for (uint32_t i = 0; i < *n; i++) {
		const value *roll = model_slot(m, w[i].onto, c->laying[w[i].laying].roll);

		w[i].width = roll->r;
		w[i].width_known = roll->state == VALUE_KNOWN;
		if (!w[i].width_known || w[i].n_known == 0)
			continue;
		pack_end(a, &w[i], false);
		pack_end(a, &w[i], true);
		if (w[i].fault != PACK_FINE)
			continue;
		w[i].length = (range){(double)w[i].low.length * grid, (double)w[i].high.length * grid};
		if (w[i].length.lo > w[i].length.hi)   /* greedy layouts need not rise with their pieces */
			w[i].length.lo = w[i].length.hi;
		length_into(m, &w[i]);
	}
	return w;
}

const struct lay_work *
lay_on(const struct lay_work *w, uint32_t n, uint32_t object)
{
	for (uint32_t i = 0; i < n; i++)
		if (w[i].onto == object)
			return &w[i];
	return NULL;
}
