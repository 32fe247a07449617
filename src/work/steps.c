/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The steps of a model and what goes before what.
 *
 * Reasons come from the entries that brought the steps and from the order
 * rules.  What an entry says of its own steps is closer to the matter than a
 * rule for all: a rule gives way wherever the entries, taken together, put the
 * two steps the other way round.  Circles that are left are found by going
 * back from a step that cannot be placed; the weakest reason of each is set
 * aside, until an order is possible.
 */
#include <string.h>

#include "work/order.h"

enum { NEEDS_MOST = 254 };                 /* of different ones; further ones count as none */

struct steps {
	struct arena *arena;
	const struct model *m;
	const struct craft *c;
	struct order_work *w;
	uint32_t cap_reasons, words;
	uint32_t *step_of;                 /* per object, or NONE */
	uint64_t *behind;                  /* n * words: what the entries put behind a step */
};

static bool
in_set(const uint64_t *s, uint32_t i)
{
	return s[i >> 6] >> (i & 63) & 1;
}

static uint64_t *
row(const struct steps *s, uint64_t *sets, uint32_t step)
{
	return sets + (size_t)step * s->words;
}

/* ---- reasons --------------------------------------------------------------- */

static void
reason(struct steps *s, struct order_reason r)
{
	struct order_work *w = s->w;

	if (r.first == r.then)
		return;
	for (uint32_t i = 0; i < w->n_reasons && r.rule == NONE; i++)
		if (w->reasons[i].first == r.first && w->reasons[i].then == r.then)
			return;
	if (w->n_reasons == s->cap_reasons) {
		uint32_t cap = s->cap_reasons > 0 ? s->cap_reasons * 2 : 256;
		struct order_reason *grown = arena_alloc(s->arena, cap * sizeof *grown);

		if (w->n_reasons > 0)
			memcpy(grown, w->reasons, w->n_reasons * sizeof *grown);
		w->reasons = grown;
		s->cap_reasons = cap;
	}
	w->reasons[w->n_reasons++] = r;
}

/* Is the step the object, or brought by it at any remove? */
static bool
belongs(const struct steps *s, uint32_t step, uint32_t object)
{
	for (uint32_t o = s->w->object[step]; o != NONE; o = s->m->objects[o].parent)
		if (o == object)
			return true;
	return false;
}

static void
from_entries(struct steps *s)
{
	const struct model *m = s->m;

	for (uint32_t i = 0; i < m->n_pairs; i++) {
		const struct order_pair *p = &m->pairs[i];

		for (uint32_t a = 0; a < s->w->n; a++) {
			if (!belongs(s, a, p->first))
				continue;
			for (uint32_t b = 0; b < s->w->n; b++)
				if (belongs(s, b, p->then) && !belongs(s, b, p->first) &&
				    !belongs(s, a, p->then))
					reason(s, (struct order_reason){a, b, NONE, p->entry, false});
		}
	}
}

/* What stands behind each step at any remove, by the reasons there are. */
static void
close_over(const struct steps *s, uint64_t *behind)
{
	const struct order_work *w = s->w;
	bool more = true;

	memset(behind, 0, (size_t)w->n * s->words * sizeof *behind);
	while (more) {
		more = false;
		for (uint32_t i = w->n_reasons; i-- > 0;) {
			uint64_t *to = row(s, behind, w->reasons[i].first);
			const uint64_t *from = row(s, behind, w->reasons[i].then);
			uint32_t then = w->reasons[i].then;

			for (uint32_t k = 0; k < s->words; k++) {
				uint64_t is = to[k] | from[k];

				if (k == then >> 6)
					is |= (uint64_t)1 << (then & 63);
				more = more || is != to[k];
				to[k] = is;
			}
		}
	}
}

static bool
holds(const struct steps *s, uint32_t program, uint32_t step)
{
	struct binding b;

	if (program == NONE)
		return true;
	for (size_t i = 0; i < VARIABLES_MAX; i++)
		b.object[i] = NONE;
	b.object[0] = s->w->object[step];
	return eval_truth(s->c, s->m, program, &b) == TRI_TRUE;
}

static bool
lead_to_one(const struct steps *s, const struct order_rule *r, uint32_t a, uint32_t b)
{
	for (uint16_t i = 0; i < r->n_same; i++) {
		const value *x = model_slot(s->m, s->w->object[a], r->same[i]);
		const value *y = model_slot(s->m, s->w->object[b], r->same[i]);

		if (x->state == VALUE_KNOWN && y->state == VALUE_KNOWN && x->ref >= 0 && x->ref == y->ref)
			return true;
	}
	return r->n_same == 0;
}

/* Does the rule put B behind A, of which its first half holds? A step that is
 * both goes neither before nor after its like. */
static bool
goes_by(const struct steps *s, const struct order_rule *r, uint32_t a, uint32_t b)
{
	return holds(s, r->then, b) && lead_to_one(s, r, a, b) &&
	    !(holds(s, r->then, a) && holds(s, r->first, b)) &&
	    !in_set(row(s, s->behind, b), a);
}

static void
from_rules(struct steps *s)
{
	uint32_t n = s->w->n;

	for (uint32_t i = 0; i < s->c->n_order_rule; i++) {
		const struct order_rule *r = &s->c->order_rule[i];

		for (uint32_t a = 0; a < n; a++) {
			if (!holds(s, r->first, a))
				continue;
			for (uint32_t b = 0; b < n; b++)
				if (!in_set(row(s, s->behind, a), b) && goes_by(s, r, a, b))
					reason(s, (struct order_reason){a, b, i, NONE, false});
		}
	}
}

/* ---- circles ------------------------------------------------------------------ */

/* Of the reasons a step waits for, one whose step cannot be placed either. */
static uint32_t
waits_for(const struct order_work *w, const bool *placed, uint32_t step)
{
	for (uint32_t i = 0; i < w->n_reasons; i++)
		if (w->reasons[i].then == step && !placed[w->reasons[i].first])
			return i;
	return NONE;
}

static void
place_all(const struct steps *s, bool *placed)
{
	const struct order_work *w = s->w;
	bool *waits = arena_alloc(s->arena, w->n + 1), more = true;

	memset(placed, 0, w->n);
	while (more) {
		more = false;
		memset(waits, 0, w->n);
		for (uint32_t i = 0; i < w->n_reasons; i++)
			if (!placed[w->reasons[i].first])
				waits[w->reasons[i].then] = true;
		for (uint32_t v = 0; v < w->n; v++)
			if (!placed[v] && !waits[v])
				more = placed[v] = true;
	}
}

/* The weaker of two reasons: that of the later rule; entries are stronger than
 * rules, and of those the one met last is weaker. */
static bool
weaker(const struct order_reason *a, const struct order_reason *b, bool later)
{
	if (a->rule == b->rule)
		return later;
	if (a->rule == NONE || b->rule == NONE)
		return b->rule == NONE;
	return a->rule > b->rule;
}

static void
without_circles(struct steps *s)
{
	struct order_work *w = s->w;
	bool *placed = arena_alloc(s->arena, w->n + 1);
	uint32_t *path = arena_alloc(s->arena, (w->n + 1) * sizeof *path);
	uint32_t *seen = arena_alloc(s->arena, (w->n + 1) * sizeof *seen);

	w->loops = arena_alloc(s->arena, ORDER_LOOPS_SHOWN * sizeof *w->loops);
	for (;;) {
		struct order_loop loop = {0};
		uint32_t at = 0, n = 0, weakest;

		place_all(s, placed);
		while (at < w->n && placed[at])
			at++;
		if (at == w->n)
			return;
		/* back and back again, until a step comes round */
		memset(seen, 0xff, w->n * sizeof *seen);
		while (seen[at] == NONE) {
			seen[at] = n;
			path[n] = waits_for(w, placed, at);
			at = w->reasons[path[n++]].first;
		}
		loop.n = n - seen[at];
		loop.round = arena_alloc(s->arena, loop.n * sizeof *loop.round);
		weakest = path[n - 1];
		for (uint32_t i = 0; i < loop.n; i++) {
			uint32_t r = path[n - 1 - i];

			loop.round[i] = w->reasons[r];
			if (weaker(&w->reasons[r], &w->reasons[weakest], r > weakest)) {
				weakest = r;
				loop.dropped = i;
			}
		}
		if (w->n_loops < ORDER_LOOPS_SHOWN)
			w->loops[w->n_loops++] = loop;
		w->n_dropped++;
		memmove(w->reasons + weakest, w->reasons + weakest + 1,
		    (w->n_reasons - weakest - 1) * sizeof *w->reasons);
		w->n_reasons--;
	}
}

/* A reason is needed unless others lead from its first step to its second. */
static void
mark_needed(struct steps *s)
{
	struct order_work *w = s->w;
	uint64_t *next = arena_alloc(s->arena, ((size_t)w->n * s->words + 1) * sizeof *next);

	close_over(s, s->behind);
	for (uint32_t i = 0; i < w->n_reasons; i++)
		row(s, next, w->reasons[i].first)[w->reasons[i].then >> 6] |=
		    (uint64_t)1 << (w->reasons[i].then & 63);
	for (uint32_t i = 0; i < w->n_reasons; i++) {
		struct order_reason *r = &w->reasons[i];

		r->needed = true;
		for (uint32_t v = 0; v < w->n && r->needed; v++)
			r->needed = !in_set(row(s, next, r->first), v) ||
			    !in_set(row(s, s->behind, v), r->then);
	}
}

/* ---- what a step needs ---------------------------------------------------------- */

static bool
same_need(const struct steps *s, const struct order_change *g, uint32_t a, uint32_t b)
{
	for (uint16_t i = 0; i < g->n_of; i++) {
		const value *x = model_slot(s->m, s->w->object[a], g->of[i]);
		const value *y = model_slot(s->m, s->w->object[b], g->of[i]);

		if (x->state != y->state)
			return false;
		if (x->state != VALUE_KNOWN)
			continue;
		if (s->c->property[g->of[i]].type == TYPE_REF ? x->ref != y->ref :
		    x->set[0] != y->set[0] || x->set[1] != y->set[1])
			return false;
	}
	return true;
}

static bool
needs_it(const struct steps *s, const struct order_change *g, uint32_t a)
{
	bool any = false;

	for (uint16_t i = 0; i < g->n_of; i++)
		any = any || model_slot(s->m, s->w->object[a], g->of[i])->state == VALUE_KNOWN;
	return any && holds(s, g->where, a);
}

static void
needs(struct steps *s)
{
	struct order_work *w = s->w;
	uint32_t kinds = s->c->n_order_change;

	w->needs = arena_alloc(s->arena, ((size_t)w->n * kinds + 1) * sizeof *w->needs);
	for (uint32_t k = 0; k < kinds; k++) {
		const struct order_change *g = &s->c->order_change[k];
		uint16_t n = 0;

		for (uint32_t a = 0; a < w->n; a++) {
			uint16_t *need = &w->needs[(size_t)a * kinds + k];

			*need = NO16;
			if (!needs_it(s, g, a))
				continue;
			for (uint32_t b = 0; b < a && *need == NO16; b++) {
				uint16_t other = w->needs[(size_t)b * kinds + k];

				if (other != NO16 && same_need(s, g, a, b))
					*need = other;
			}
			if (*need == NO16 && n < NEEDS_MOST)
				*need = n++;
		}
	}
}

/* ---- the whole ------------------------------------------------------------------- */

/* The steps, and what the entries say of their order. */
static struct steps
steps_of(struct arena *arena, const struct model *m)
{
	struct order_work *w = arena_alloc(arena, sizeof *w);
	struct steps s = {.arena = arena, .m = m, .c = m->craft, .w = w};
	uint32_t kind = kind_find(m->craft, SV("operation"));

	for (uint32_t o = kind == NONE ? NONE : m->first_of_kind[kind]; o != NONE;
	    o = m->objects[o].next)
		w->n++;
	w->object = arena_alloc(arena, (w->n + 1) * sizeof *w->object);
	w->n = 0;
	for (uint32_t o = kind == NONE ? NONE : m->first_of_kind[kind]; o != NONE;
	    o = m->objects[o].next)
		w->object[w->n++] = o;
	s.words = (w->n + 63) / 64;
	s.behind = arena_alloc(arena, ((size_t)w->n * s.words + 1) * sizeof *s.behind);
	from_entries(&s);
	close_over(&s, s.behind);
	return s;
}

bool
order_rule_speaks(struct arena *arena, const struct model *m, uint32_t rule)
{
	struct steps s = steps_of(arena, m);
	const struct order_rule *r = &s.c->order_rule[rule];

	for (uint32_t a = 0; a < s.w->n; a++)
		for (uint32_t b = 0; holds(&s, r->first, a) && b < s.w->n; b++)
			if (a != b && goes_by(&s, r, a, b))
				return true;
	return false;
}

struct order_work *
order_reasons(struct arena *arena, const struct model *m)
{
	struct steps s = steps_of(arena, m);

	from_rules(&s);
	without_circles(&s);
	mark_needed(&s);
	return s.w;
}

struct order_work *
order_work(struct arena *arena, const struct model *m)
{
	struct steps s = steps_of(arena, m);
	struct order_work *w = s.w;
	struct order_problem p = {.n = w->n};
	struct order_edge *edges;
	uint32_t *group = arena_alloc(arena, (w->n + 1) * sizeof *group);

	for (uint32_t a = 0; a < w->n; a++)
		group[a] = m->objects[w->object[a]].parent;
	from_rules(&s);
	without_circles(&s);
	mark_needed(&s);
	needs(&s);
	edges = arena_alloc(arena, (w->n_reasons + 1) * sizeof *edges);
	for (uint32_t i = 0; i < w->n_reasons; i++)
		edges[i] = (struct order_edge){w->reasons[i].first, w->reasons[i].then};
	p.n_changes = m->craft->n_order_change;
	p.needs = w->needs;
	p.edges = edges;
	p.n_edges = w->n_reasons;
	p.group = group;
	if (!order_find(arena, &p, ORDER_STATES_USUAL, &w->found))
		die(EXIT_OUR_FAULT, "the steps of a model go round in a circle");
	return w;
}
