/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Sizes gathered from a model, with what each rests on.
 *
 * Which fact makes a result wide is found by trying: each fact in turn is held
 * at its middle, what hangs on it is worked out anew, and the one that narrows
 * the result most is named. Facts are few, and a copy of the model is used.
 */
#include "work/sizes.h"

#include <math.h>
#include <string.h>

static double
width(range r)
{
	return isfinite(r.lo) && isfinite(r.hi) ? r.hi - r.lo : 0;
}

static bool
untold(const struct model *m, struct fact f)
{
	return f.object != NONE && model_slot(m, f.object, f.property)->state != VALUE_KNOWN;
}


/* How wide the result would be if these facts were known exactly. */
static double
width_without(struct model *trial, const struct fact *f, uint32_t n, const struct size_group *g,
    uint32_t property)
{
	value was[SIZE_FACTS_MOST];
	double left;

	for (uint32_t i = 0; i < n; i++) {
		value *slot = model_slot(trial, f[i].object, f[i].property);

		was[i] = *slot;
		slot->r = range_exact((slot->r.lo + slot->r.hi) / 2);
		model_derive(trial, f[i].property);
	}
	left = width(model_slot(trial, g->object, property)->r);
	for (uint32_t i = n; i-- > 0;) {
		*model_slot(trial, f[i].object, f[i].property) = was[i];
		model_derive(trial, f[i].property);
	}
	return left;
}

static void
find_mostly(struct size_row *row, struct model *trial, const struct size_group *g)
{
	double all = width(row->value->r), least = all;

	row->mostly = NONE;
	if (row->value->state != VALUE_KNOWN || all <= 0)
		return;
	for (uint32_t i = 0; i < row->n_facts; i++) {
		double left;

		if (width(model_slot(trial, row->facts[i].object, row->facts[i].property)->r) <= 0)
			continue;
		left = width_without(trial, &row->facts[i], 1, g, row->property);
		if (left < least) {
			least = left;
			row->mostly = i;
		}
	}
	row->share = (all - least) / all;
	row->own = width_without(trial, row->facts, row->n_facts, g, row->property) / all;
}

static void
add_input(struct size_group *g, struct fact f)
{
	for (uint32_t i = 0; i < g->n_inputs; i++)
		if (g->inputs[i].object == f.object && g->inputs[i].property == f.property)
			return;
	g->inputs[g->n_inputs++] = f;
}

static void
work_row(struct arena *a, struct size_group *g, const struct model *m, struct model *trial,
    uint32_t property)
{
	const struct craft *c = m->craft;
	const struct property *q = &c->property[property];
	struct size_row *row = &g->rows[g->n_rows++];
	struct binding b = {{g->object}};
	struct cell got;

	*row = (struct size_row){.property = property, .value = model_slot(m, g->object, property),
	    .mostly = NONE};
	got = eval(c, m, q->formula, &b, NULL, NULL);
	row->n_facts = size_facts(a, m, g->object, property, row->facts, SIZE_FACTS_MOST);
	for (uint32_t i = 0; i < row->n_facts; i++)
		row->lacking += untold(m, row->facts[i]);
	if (got.state == VALUE_KNOWN && row->value->state != VALUE_KNOWN
	    && (got.r.hi < q->domain.lo || got.r.lo > q->domain.hi)) {
		row->beyond = true;
		row->raw = got.r;
	}
	find_mostly(row, trial, g);
	for (uint32_t i = 0; i < row->n_facts; i++)
		add_input(g, row->facts[i]);
}

static void
work_group(struct arena *a, struct sizes *s, const struct model *m, struct model *trial,
    uint32_t object)
{
	const struct craft *c = m->craft;
	const struct kind *k = &c->kind[m->objects[object].kind];
	struct size_group *g = &s->groups[s->n++];
	uint32_t owner = m->objects[object].parent;

	*g = (struct size_group){.object = object, .owner = owner};
	g->said = owner != NONE && m->objects[owner].flags & OBJECT_SAID
	    && m->objects[owner].place.src != NULL;
	g->rows = arena_alloc(a, (k->n_properties + 1u) * sizeof *g->rows);
	g->inputs = arena_alloc(a, (k->n_properties + 1u) * SIZE_FACTS_MOST * sizeof *g->inputs);
	for (uint32_t p = k->first_property; p < k->first_property + k->n_properties; p++)
		if (c->property[p].size != 0 && c->property[p].formula != NONE
		    && c->property[p].type == TYPE_QUANTITY)
			work_row(a, g, m, trial, p);
}

struct sizes *
sizes_work(struct arena *a, const struct model *m)
{
	struct sizes *s = arena_alloc(a, sizeof *s), said = {0};
	struct model *trial = model_copy(a, m);
	uint32_t n = 0;

	for (uint32_t o = 0; o < m->n_objects; o++)
		n += m->craft->kind[m->objects[o].kind].sizes;
	*s = (struct sizes){.groups = arena_alloc(a, (n + 1) * sizeof *s->groups)};
	said.groups = arena_alloc(a, (n + 1) * sizeof *said.groups);
	for (uint32_t o = 0; o < m->n_objects; o++)
		if (m->craft->kind[m->objects[o].kind].sizes && !(m->objects[o].flags & OBJECT_DENIED))
			work_group(a, &said, m, trial, o);
	for (int first = 1; first >= 0; first--)
		for (uint32_t i = 0; i < said.n; i++)
			if (said.groups[i].said == (first == 1))
				s->groups[s->n++] = said.groups[i];
	return s;
}
