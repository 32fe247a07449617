/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Objects that programs cannot tell apart.
 *
 * Ten seams of one coat read the same cloth, the same thread and the same
 * needle: what is worked out for one holds for all. What programs can see of an
 * object is written down as a row of numbers; equal rows mean equal results,
 * down to the facts a result hangs on:
 *
 *     a certain fact              its value
 *     one that leaves room        its value and whose it is, for it may decide
 *     worked out for itself       its value, and what its formula sees
 *     worked out for another      its value and whose it is
 *     what `is` asks of           which entry it stands for
 *     what a gathering is of      the object itself
 */
#include "language/language_impl.h"

enum { FORMULAS_DEEP = 6 };

static bool
see(struct sight *s, uint32_t path, enum sight_how how)
{
	for (uint32_t i = 0; i < s->n; i++)
		if (s->seen[i].path == path && s->seen[i].how == how)
			return true;
	if (s->n == SIGHT_MAX)
		return s->full = true;
	s->seen[s->n].path = path;
	s->seen[s->n++].how = how;
	return true;
}

void
sight_add(struct sight *s, const struct craft *c, uint32_t program)
{
	const struct program *g = &c->program[program];

	for (uint32_t at = g->first; at < g->first + g->n; at++) {
		const struct instr *i = &c->instr[at];

		if (i->reg != 0)
			continue;
		if (i->op == OP_LOAD || i->op == OP_HAS)
			see(s, i->b, SIGHT_VALUE);
		else if (i->op == OP_IS)
			see(s, i->a, SIGHT_ENTRY);
		else if (i->op == OP_GATHER_OF && i->a != NO16)
			see(s, i->b, SIGHT_OBJECT);
		else if (i->op == OP_GATHER)
			s->full = true;    /* it binds the object's own variable anew */
	}
}

struct row { uint64_t *out; uint32_t n, cap; bool full; };

static void
put(struct row *r, uint64_t x)
{
	if (r->n == r->cap)
		r->full = true;
	else
		r->out[r->n++] = x;
}

static bool
leaves_room(const value *v, uint8_t type)
{
	if (v->state == VALUE_ABSENT)
		return false;
	if (type == TYPE_WORDS)
		return mask_several(v->set);
	return type == TYPE_QUANTITY && !range_is_exact(v->r);
}

static void look(struct row *, const struct model *, const struct sight *, uint32_t object,
    int depth);

static void
look_along(struct row *r, const struct model *m, uint32_t number, enum sight_how how,
    uint32_t object,
    int depth)
{
	const struct craft *c = m->craft;
	const struct path *p = &c->path[number];
	const struct property *q = NULL;
	const value *v = NULL;
	uint32_t o = object;

	if (m->objects[o].kind != p->root) {
		put(r, NONE);
		return;
	}
	for (uint8_t i = 0; i < p->n; i++) {
		bool last = i + 1 == p->n;

		q = &c->property[p->prop[i]];
		if (m->objects[o].kind != q->kind) {
			put(r, NONE);
			return;
		}
		v = model_slot(m, o, p->prop[i]);
		if (last && how == SIGHT_VALUE)
			break;
		if (v->state == VALUE_ABSENT || v->ref < 0 || (uint64_t)v->ref >= m->n_objects) {
			put(r, NONE);
			return;
		}
		o = (uint32_t)v->ref;
	}
	if (how == SIGHT_ENTRY || how == SIGHT_OBJECT || q == NULL) {
		put(r, how == SIGHT_ENTRY ? m->objects[o].entry : o);
		return;
	}
	put(r, v->set[0]);
	put(r, v->set[1]);
	put(r, v->state);
	if (q->formula != NONE && m->pedigrees[v->pedigree].kind == PEDIGREE_DERIVED) {
		put(r, o == object ? 1 : 2 + (uint64_t)o);
		if (o == object) {
			struct sight inner = {.n = 0};

			sight_add(&inner, c, q->formula);
			look(r, m, &inner, o, depth + 1);
		}
	} else if (leaves_room(v, q->type)) {
		put(r, 2 + (uint64_t)o);
	} else {
		put(r, 0);
	}
}

static void
look(struct row *r, const struct model *m, const struct sight *s, uint32_t object, int depth)
{
	if (s->full || depth > FORMULAS_DEEP)
		r->full = true;
	for (uint32_t i = 0; i < s->n && !r->full; i++)
		look_along(r, m, s->seen[i].path, s->seen[i].how, object, depth);
}

uint32_t
sight_of(const struct sight *s, const struct model *m, uint32_t object, uint64_t *out, uint32_t cap)
{
	struct row r = {.out = out, .cap = cap};

	look(&r, m, s, object, 0);
	return r.full ? 0 : r.n;
}
