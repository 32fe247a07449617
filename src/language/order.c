/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * In what order derived properties are worked out, and what each hangs on.
 *
 * A property hangs on every property its formula reads, through references
 * too. Depth first; a property met again while its own causes are visited
 * hangs on itself, which is an error of the schema.
 */
#include "language/language_impl.h"

struct ordering {
	struct craft_maker *m;
	struct dependence *on;             /* per property */
	uint8_t *state;                    /* 0 not met, 1 being visited, 2 done */
	bool sound;
};

static void
note(struct dependence *d, uint32_t property)
{
	if (property < 1024)
		d->bits[property >> 6] |= (uint64_t)1 << (property & 63);
}

static void
note_path(const struct craft *c, struct dependence *d, uint32_t path)
{
	for (uint8_t k = 0; k < c->path[path].n; k++)
		note(d, c->path[path].prop[k]);
}

static void
reads(const struct craft *c, uint32_t program, struct dependence *d)
{
	const struct program *g = &c->program[program];

	for (uint32_t k = 0; k < g->n; k++) {
		const struct instr *i = &c->instr[g->first + k];

		if (i->op == OP_LOAD || i->op == OP_HAS)
			note_path(c, d, i->b);
		else if (i->op == OP_IS)
			note_path(c, d, i->a);
		else if (i->op == OP_GATHER_OF && i->a != NO16) {
			note(d, i->a);
			note_path(c, d, i->b);
		}
	}
}

static void
visit(struct ordering *o, uint16_t property)
{
	const struct craft *c = &o->m->view;
	const struct property *q = &c->property[property];
	struct dependence direct = {{0}};

	if (o->state[property] == 2 || q->formula == NONE)
		return;
	if (o->state[property] == 1) {
		if (o->sound)
			diag(o->m->diags, (struct place){0}, D_PROPERTY_CIRCLE,
			    craft_text(c, c->kind[q->kind].name), craft_text(c, q->name));
		o->sound = false;
		return;
	}
	o->state[property] = 1;
	reads(c, q->formula, &direct);
	for (uint32_t i = 0; i < c->n_property; i++) {
		if (!(direct.bits[i >> 6] >> (i & 63) & 1))
			continue;
		visit(o, (uint16_t)i);
		for (size_t k = 0; k < sizeof direct.bits / sizeof *direct.bits; k++)
			o->on[property].bits[k] |= o->on[i].bits[k];
		note(&o->on[property], i);
	}
	o->state[property] = 2;
	maker_add_order(o->m, &property, 1);
}

static void
mark(bool *is, uint32_t program)
{
	if (program != NONE)
		is[program] = true;
}

/* Programs that only reckon: they run when their page is asked for. */
static void
mark_reckonings(const struct craft *c, bool *is)
{
	for (uint32_t i = 0; i < c->n_reckoning; i++) {
		const struct reckoning *k = &c->reckoning[i];

		mark(is, k->when);
		for (uint32_t p = k->shop.first; p < k->shop.first + k->shop.n; p++)
			if (c->part[p].program < PART_LIMIT)
				mark(is, c->part[p].program);
	}
	for (uint32_t i = 0; i < c->n_laying; i++) {
		const struct laying *l = &c->laying[i];

		mark(is, l->when);
		mark(is, l->across);
		mark(is, l->along);
		mark(is, l->count);
		mark(is, l->turned);
	}
}

/* What a rule, a piece of advice, an entry or a sheet reads is never late, nor
 * is what that hangs on. */
static void
keep_late(struct craft_maker *m, const struct dependence *on)
{
	const struct craft *c = &m->view;
	bool *apart = arena_alloc(m->arena, c->n_program + 1);
	struct dependence read = {{0}};

	for (uint32_t i = 0; i < c->n_property; i++)
		mark(apart, c->property[i].formula);
	mark_reckonings(c, apart);
	for (uint32_t i = 0; i < c->n_program; i++)
		if (!apart[i])
			reads(c, i, &read);
	for (uint32_t i = 0; i < c->n_property && i < 1024; i++) {
		bool wanted = read.bits[i >> 6] >> (i & 63) & 1;

		if (c->property[i].formula != NONE && !(c->property[i].flags & PROPERTY_LATE))
			wanted = true;
		for (size_t k = 0; wanted && k < sizeof read.bits / sizeof *read.bits; k++)
			read.bits[k] |= on[i].bits[k];
	}
	for (uint32_t i = 0; i < c->n_property && i < 1024; i++)
		if (read.bits[i >> 6] >> (i & 63) & 1)
			maker_at_property(m, i)->flags &= (uint8_t)~PROPERTY_LATE;
}

bool
order_properties(struct craft_maker *m)
{
	struct ordering o = {.m = m, .sound = true};
	uint32_t n = m->view.n_property;

	o.on = arena_alloc(m->arena, (n + 1) * sizeof *o.on);
	o.state = arena_alloc(m->arena, n + 1);
	for (uint32_t i = 0; i < n; i++)
		visit(&o, (uint16_t)i);
	keep_late(m, o.on);
	maker_add_depends(m, o.on, n);
	return o.sound;
}
