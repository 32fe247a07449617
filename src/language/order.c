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

bool
order_properties(struct craft_maker *m)
{
	struct ordering o = {.m = m, .sound = true};
	uint32_t n = m->view.n_property;

	o.on = arena_alloc(m->arena, (n + 1) * sizeof *o.on);
	o.state = arena_alloc(m->arena, n + 1);
	for (uint32_t i = 0; i < n; i++)
		visit(&o, (uint16_t)i);
	maker_add_depends(m, o.on, n);
	return o.sound;
}
