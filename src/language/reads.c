/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What a program reads, so that moving a fact works out again only that.
 *
 * The derived slots are listed each behind those it hangs on. A gathering with
 * a condition may read others once a fact has moved, and so may a program too
 * long for the list: then everything that hangs on the fact is worked out.
 */
#include "language/language_impl.h"

#define TRACE_MAX 96

static void collect(struct reads *, const struct craft *, const struct model *, uint32_t program,
    const struct binding *, int depth);

/* A slot that was worked out stands behind those its formula reads. */
static void
collect_slot(struct reads *l, const struct craft *c, const struct model *m, struct fact f,
    int depth)
{
	struct binding inner = {{f.object}};

	if (f.object == NONE || f.property == NONE
	    || c->property[f.property].formula == NONE
	    || m->pedigrees[model_slot(m, f.object, f.property)->pedigree].kind != PEDIGREE_DERIVED)
		return;
	for (uint32_t n = 0; n < l->n; n++)
		if (l->slot[n].object == f.object && l->slot[n].property == f.property)
			return;
	collect(l, c, m, c->property[f.property].formula, &inner, depth + 1);
	if (l->n == READS_MAX)
		l->all = true;
	else if (!l->all)
		l->slot[l->n++] = f;
}

/* A gathering binds objects of its own: they are seen only while it runs. */
static void
collect_running(struct reads *l, const struct craft *c, const struct model *m, uint32_t program,
    const struct binding *b, int depth)
{
	struct step steps[TRACE_MAX];
	struct trace t = {.steps = steps, .cap = TRACE_MAX};

	(void)eval(c, m, program, b, &t, NULL);
	if (t.n == t.cap)
		l->all = true;
	for (uint32_t i = 0; i < t.n && !l->all; i++) {
		const struct instr *in = &c->instr[steps[i].instr];
		const struct path *p = in->op == OP_LOAD ? &c->path[in->b] : NULL;

		if (p != NULL && p->n > 0)
			collect_slot(l, c, m, (struct fact){steps[i].object, p->prop[p->n - 1]}, depth);
	}
}

static void
collect(struct reads *l, const struct craft *c, const struct model *m, uint32_t program,
    const struct binding *b, int depth)
{
	const struct program *g = &c->program[program];
	bool gathers = false;

	for (uint32_t i = g->first; i < g->first + g->n; i++) {
		gathers = gathers || c->instr[i].op == OP_GATHER;
		if (c->instr[i].op == OP_GATHER_SIZE && c->instr[i].a > 0)
			l->all = true;
	}
	if (l->all || depth > 12) {
		l->all = true;
		return;
	}
	if (gathers) {
		collect_running(l, c, m, program, b, depth);
		return;
	}
	for (uint32_t i = g->first; i < g->first + g->n && !l->all; i++) {
		const struct instr *in = &c->instr[i];
		const struct path *p = in->op == OP_LOAD ? &c->path[in->b] : NULL;
		uint32_t last = p != NULL && p->n > 0 ? p->prop[p->n - 1] : NONE;

		if (last != NONE && c->property[last].formula != NONE)
			collect_slot(l, c, m, (struct fact){path_end(m, in->reg, p, b), last}, depth);
	}
}

void
reads_add(struct reads *l, const struct craft *c, const struct model *m, uint32_t program,
    const struct binding *b)
{
	collect(l, c, m, program, b, 0);
}

void
reads_derive(const struct reads *l, struct model *m, uint32_t changed)
{
	if (l->all) {
		model_derive(m, changed);
		return;
	}
	for (uint32_t i = 0; i < l->n; i++)
		if (property_depends(m->craft, l->slot[i].property, changed))
			derive_slot(m, l->slot[i].object, l->slot[i].property);
}
