/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The order with the fewest changes.
 *
 * A state is what has been done (an ideal of the precedence order) and what is
 * set up (one value for each kind of change).  Two facts keep them few.  A step
 * that needs nothing but what is set up costs nothing and changes nothing, and
 * taking it out of its later place never adds a change there; so it is done as
 * soon as it may be, and only ideals closed under such steps are met.  And two
 * steps that lead to the same set-up lead to the same closed ideal: one branch
 * for each set-up.
 *
 * Best first over these states (A*), costs compared kind by kind.  The bound on
 * what is still to come: for each value, the most separate blocks of it that
 * any chain of remaining steps has, one less where it is set up and the chain
 * begins with it; summed over the values of a kind.  A block serves one value
 * only, and no order can merge two that a third stands between on a chain, so
 * the bound is never too high.  A narrow search of fixed width (a beam) goes
 * first and gives an order to beat; when the states run out, the least bound of
 * those left open is a bound for all.
 *
 * Sources: dynamic programming over the ideals of a precedence order, L.
 * Schrage and K. R. Baker, Operations Research 26 (1978), 444-449; best-first
 * search, P. E. Hart, N. J. Nilsson and B. Raphael, IEEE Transactions on
 * Systems Science and Cybernetics 4 (1968), 100-107 (both from memory).  The
 * closure and the bound are our own; the tests prove them against every order
 * of small problems.
 */
#include "work/order.h"

#include <stdlib.h>
#include <string.h>

enum { KINDS = ORDER_CHANGES_MOST, BEAM = 48, NOTHING_SET = 255, VALUES_MOST = 255 };

struct spot {
	uint64_t cost, total;              /* packed: so far, and with the bound */
	uint32_t parent, hash_next;
	uint32_t step;                     /* that led here; the closure follows from it */
	uint32_t done;                     /* steps */
	uint8_t set[KINDS];
};

struct search {
	struct arena *arena;
	const struct order_problem *p;
	uint32_t n, words, kinds;
	uint64_t *before, *after;          /* direct neighbours: n * words */
	uint64_t *behind;                  /* everything behind a step, at any remove */
	uint32_t *topological;
	uint32_t values[KINDS];
	uint8_t *need;                     /* n * KINDS; NOTHING_SET: none */
	uint8_t *blocks[KINDS];            /* n * values: R(step, value) */
	struct spot *nodes;  uint32_t n_nodes;  size_t cap_nodes;     /* heap */
	uint64_t *bits;  size_t cap_bits;                             /* heap; n_nodes * words */
	uint32_t *hash;  uint32_t n_hash;
	uint32_t *heap;  uint32_t n_heap;  size_t cap_heap;           /* heap */
};

/* ---- costs ---------------------------------------------------------------- */

static uint64_t
one_change(uint32_t kind)
{
	return (uint64_t)1 << (16 * (KINDS - 1 - kind));
}

static struct order_cost
unpack(uint64_t c)
{
	struct order_cost out;

	for (uint32_t k = 0; k < KINDS; k++)
		out.of[k] = (uint16_t)(c >> (16 * (KINDS - 1 - k)));
	return out;
}

struct order_cost
order_cost_of(const struct order_problem *p, const uint32_t *steps)
{
	struct order_cost cost = {{0}};

	for (uint32_t k = 0; k < p->n_changes; k++) {
		uint16_t set = NO16;

		for (uint32_t i = 0; i < p->n; i++) {
			uint16_t need = p->needs[(size_t)steps[i] * p->n_changes + k];

			if (need == NO16)
				continue;
			cost.of[k] = (uint16_t)(cost.of[k] + (set != NO16 && set != need));
			set = need;
		}
	}
	return cost;
}

int
order_cost_cmp(const struct order_problem *p, const struct order_cost *a,
    const struct order_cost *b)
{
	for (uint32_t k = 0; k < p->n_changes; k++)
		if (a->of[k] != b->of[k])
			return a->of[k] < b->of[k] ? -1 : 1;
	return 0;
}

/* ---- sets of steps ---------------------------------------------------------- */

static bool
in_set(const uint64_t *s, uint32_t i)
{
	return s[i >> 6] >> (i & 63) & 1;
}

static void
add(uint64_t *s, uint32_t i)
{
	s[i >> 6] |= (uint64_t)1 << (i & 63);
}

static bool
may_be_done(const struct search *s, const uint64_t *done, uint32_t step)
{
	const uint64_t *b = s->before + (size_t)step * s->words;

	for (uint32_t w = 0; w < s->words; w++)
		if (b[w] & ~done[w])
			return false;
	return true;
}

/* ---- before the search -------------------------------------------------------- */

/* The order as listed, put right: of the steps that may be done, always the
 * first of the list. */
static bool
naive(struct search *s, uint32_t *out)
{
	uint64_t *done = arena_alloc(s->arena, s->words * sizeof *done);

	for (uint32_t i = 0; i < s->n; i++) {
		uint32_t step = 0;

		while (step < s->n && (in_set(done, step) || !may_be_done(s, done, step)))
			step++;
		if (step == s->n)
			return false;
		add(done, step);
		out[i] = step;
	}
	return true;
}

/* Everything behind each step, and R(step, value): the most separate blocks of
 * the value on any chain that begins with the step. */
static void
look_ahead(struct search *s)
{
	for (uint32_t i = s->n; i-- > 0;) {
		uint32_t v = s->topological[i];
		uint64_t *behind = s->behind + (size_t)v * s->words;

		for (uint32_t w = 0; w < s->n; w++) {
			if (!in_set(s->after + (size_t)v * s->words, w))
				continue;
			add(behind, w);
			for (uint32_t k = 0; k < s->words; k++)
				behind[k] |= s->behind[(size_t)w * s->words + k];
		}
		for (uint32_t k = 0; k < s->kinds; k++) {
			uint8_t own = s->need[v * KINDS + k];
			uint8_t *r = s->blocks[k] + (size_t)v * s->values[k];

			if (own == NOTHING_SET)
				continue;
			r[own] = 1;
			for (uint32_t w = 0; w < s->n; w++) {
				uint8_t other = s->need[w * KINDS + k];
				const uint8_t *q = s->blocks[k] + (size_t)w * s->values[k];

				if (other == NOTHING_SET || !in_set(behind, w))
					continue;
				for (uint32_t x = 0; x < s->values[k]; x++) {
					uint32_t there = q[x] + (x == own && other != own ? 1u : 0u);

					if (there > r[x])
						r[x] = (uint8_t)(there < 255 ? there : 255);
				}
			}
		}
	}
}

static uint64_t
still_to_come(const struct search *s, const uint64_t *done, const uint8_t *set)
{
	uint64_t sum = 0;

	for (uint32_t k = 0; k < s->kinds; k++) {
		uint8_t most[VALUES_MOST];
		uint32_t n = s->values[k], all = 0;

		memset(most, 0, n);
		for (uint32_t w = 0; w < s->words; w++) {
			uint64_t left = ~done[w];

			if (w == s->words - 1 && (s->n & 63) != 0)
				left &= ((uint64_t)1 << (s->n & 63)) - 1;
			while (left != 0) {
				uint32_t v = w * 64 + (uint32_t)__builtin_ctzll(left);
				uint8_t own = s->need[v * KINDS + k];
				const uint8_t *r = s->blocks[k] + (size_t)v * n;

				left &= left - 1;
				if (own == NOTHING_SET)
					continue;
				for (uint32_t x = 0; x < n; x++) {
					uint8_t here = (uint8_t)(r[x] - (x == own && x == set[k]));

					if (here > most[x])
						most[x] = here;
				}
			}
		}
		for (uint32_t x = 0; x < n; x++)
			all += most[x];
		sum += one_change(k) * all;
	}
	return sum;
}

/* ---- one step on --------------------------------------------------------------- */

static bool
needs_only(const struct search *s, const uint8_t *set, uint32_t step)
{
	const uint8_t *need = s->need + (size_t)step * KINDS;

	for (uint32_t k = 0; k < s->kinds; k++)
		if (need[k] != NOTHING_SET && need[k] != set[k])
			return false;
	return true;
}

/* Does everything that costs nothing; how many. OUT, if there is one, takes them
 * in their order. */
static uint32_t
close_up(const struct search *s, uint64_t *done, const uint8_t *set, uint32_t *out)
{
	uint32_t n = 0;

	/* once over is enough: what a step frees stands behind it in this list */
	for (uint32_t i = 0; i < s->n; i++) {
		uint32_t v = s->topological[i];

		if (in_set(done, v) || !needs_only(s, set, v) || !may_be_done(s, done, v))
			continue;
		add(done, v);
		if (out != NULL)
			out[n] = v;
		n++;
	}
	return n;
}

static uint64_t
set_up(const struct search *s, uint8_t *set, uint32_t step)
{
	const uint8_t *need = s->need + (size_t)step * KINDS;
	uint64_t cost = 0;

	for (uint32_t k = 0; k < s->kinds; k++)
		if (need[k] != NOTHING_SET && need[k] != set[k]) {
			cost += one_change(k);
			set[k] = need[k];
		}
	return cost;
}

/* ---- states ---------------------------------------------------------------------- */

static uint32_t
hash_of(const struct search *s, const uint64_t *done, const uint8_t *set)
{
	uint64_t h = 0x9e3779b97f4a7c15u;

	for (uint32_t w = 0; w < s->words; w++)
		h = (h ^ done[w]) * 0xff51afd7ed558ccdu, h ^= h >> 32;
	for (uint32_t k = 0; k < KINDS; k++)
		h = (h ^ set[k]) * 0xff51afd7ed558ccdu, h ^= h >> 32;
	return (uint32_t)h & (s->n_hash - 1);
}

static uint32_t
node_new(struct search *s, const struct spot *x, const uint64_t *done)
{
	s->nodes = mem_grow(s->nodes, &s->cap_nodes, s->n_nodes + 1, sizeof *s->nodes);
	s->bits = mem_grow(s->bits, &s->cap_bits, ((size_t)s->n_nodes + 1) * s->words,
	    sizeof *s->bits);
	s->nodes[s->n_nodes] = *x;
	memcpy(s->bits + (size_t)s->n_nodes * s->words, done, s->words * sizeof *done);
	return s->n_nodes++;
}

/* Is A to be looked at before B? What is further on goes first, then the older. */
static bool
sooner(const struct search *s, uint32_t a, uint32_t b)
{
	const struct spot *x = &s->nodes[a], *y = &s->nodes[b];

	if (x->total != y->total)
		return x->total < y->total;
	if (x->done != y->done)
		return x->done > y->done;
	return a < b;
}

static void
heap_push(struct search *s, uint32_t node)
{
	uint32_t i = s->n_heap++;

	s->heap = mem_grow(s->heap, &s->cap_heap, s->n_heap, sizeof *s->heap);
	for (; i > 0 && sooner(s, node, s->heap[(i - 1) / 2]); i = (i - 1) / 2)
		s->heap[i] = s->heap[(i - 1) / 2];
	s->heap[i] = node;
}

static uint32_t
heap_pop(struct search *s)
{
	uint32_t top = s->heap[0], last = s->heap[--s->n_heap], i = 0, child;

	while ((child = 2 * i + 1) < s->n_heap) {
		child += child + 1 < s->n_heap && sooner(s, s->heap[child + 1], s->heap[child]);
		if (!sooner(s, s->heap[child], last))
			break;
		s->heap[i] = s->heap[child];
		i = child;
	}
	s->heap[i] = last;
	return top;
}

/* Puts the state in unless one as good is known: a node, or NONE. */
static uint32_t
state(struct search *s, struct spot *x, const uint64_t *done)
{
	uint32_t h = hash_of(s, done, x->set), node;

	for (uint32_t i = s->hash[h]; i != NONE; i = s->nodes[i].hash_next)
		if (memcmp(s->nodes[i].set, x->set, sizeof x->set) == 0 &&
		    memcmp(s->bits + (size_t)i * s->words, done, s->words * sizeof *done) == 0 &&
		    s->nodes[i].cost <= x->cost)
			return NONE;
	x->hash_next = s->hash[h];
	node = node_new(s, x, done);
	s->hash[h] = node;
	return node;
}

/* Every set-up that some step needs next, one state each; OUT: at most n. */
static uint32_t
states_after(struct search *s, uint32_t from, uint64_t worst, uint64_t *done, uint32_t *out)
{
	uint32_t n = 0;

	for (uint32_t i = 0; i < s->n; i++) {
		uint32_t v = s->topological[i];
		struct spot x = s->nodes[from];
		bool met = false;

		memcpy(done, s->bits + (size_t)from * s->words, s->words * sizeof *done);
		if (in_set(done, v) || !may_be_done(s, done, v))
			continue;
		x.cost += set_up(s, x.set, v);
		for (uint32_t k = 0; k < i && !met; k++) {
			uint32_t w = s->topological[k];
			uint8_t set[KINDS];

			if (in_set(done, w) || !may_be_done(s, done, w))
				continue;
			memcpy(set, s->nodes[from].set, sizeof set);
			set_up(s, set, w);
			met = memcmp(set, x.set, sizeof set) == 0;
		}
		if (met)
			continue;
		add(done, v);
		x.done += 1 + close_up(s, done, x.set, NULL);
		x.total = x.cost + still_to_come(s, done, x.set);
		x.parent = from;
		x.step = v;
		if (x.total < worst && (out[n] = state(s, &x, done)) != NONE)
			n++;
	}
	return n;
}

/* ---- the search -------------------------------------------------------------------- */

static void
forget(struct search *s)
{
	struct spot root = {.parent = NONE, .step = NONE};
	uint64_t *done = arena_alloc(s->arena, s->words * sizeof *done);

	s->n_nodes = s->n_heap = 0;
	for (uint32_t i = 0; i < s->n_hash; i++)
		s->hash[i] = NONE;
	memset(root.set, NOTHING_SET, sizeof root.set);
	root.done = close_up(s, done, root.set, NULL);
	root.total = still_to_come(s, done, root.set);
	s->hash[hash_of(s, done, root.set)] = node_new(s, &root, done);
	s->nodes[0].hash_next = NONE;
}

static void
write_down(struct search *s, uint32_t node, uint32_t *out)
{
	uint32_t *path = arena_alloc(s->arena, (s->n + 1) * sizeof *path), n = 0, k = 0;
	uint64_t *done = arena_alloc(s->arena, s->words * sizeof *done);

	for (uint32_t i = node; i != NONE; i = s->nodes[i].parent)
		path[n++] = i;
	while (n-- > 0) {
		const struct spot *x = &s->nodes[path[n]];

		if (x->step != NONE) {
			add(done, x->step);
			out[k++] = x->step;
		}
		k += close_up(s, done, x->set, out + k);
	}
}

/* The cost of the order it wrote, or WORST where it found no better one. */
static uint64_t
beam(struct search *s, uint64_t worst, uint32_t *out)
{
	uint32_t *level = arena_alloc(s->arena, (BEAM + 1) * sizeof *level), n = 1;
	uint32_t *next = arena_alloc(s->arena, ((size_t)s->n + 1) * sizeof *next);
	uint64_t *done = arena_alloc(s->arena, s->words * sizeof *done);
	uint64_t best = worst;

	forget(s);
	level[0] = 0;
	if (s->nodes[0].done == s->n) {
		write_down(s, 0, out);
		return 0;
	}
	while (n > 0) {
		s->n_heap = 0;
		for (uint32_t i = 0; i < n; i++) {
			uint32_t m = states_after(s, level[i], best, done, next);

			for (uint32_t k = 0; k < m; k++) {
				if (s->nodes[next[k]].done < s->n) {
					heap_push(s, next[k]);
				} else if (s->nodes[next[k]].cost < best) {
					best = s->nodes[next[k]].cost;
					write_down(s, next[k], out);
				}
			}
		}
		for (n = 0; n < BEAM && s->n_heap > 0; n++)
			level[n] = heap_pop(s);
	}
	return best;
}

/* Returns a bound for every order; BEST and OUT are made better where they can be. */
static uint64_t
best_first(struct search *s, uint32_t most_states, uint64_t *best, uint32_t *out)
{
	uint32_t *next = arena_alloc(s->arena, ((size_t)s->n + 1) * sizeof *next);
	uint64_t *done = arena_alloc(s->arena, s->words * sizeof *done);

	forget(s);
	heap_push(s, 0);
	while (s->n_heap > 0) {
		uint32_t at, m;

		if (s->nodes[s->heap[0]].total >= *best)
			break;
		if (s->n_nodes >= most_states)
			return s->nodes[s->heap[0]].total;
		at = heap_pop(s);
		if (s->nodes[at].done == s->n) {
			*best = s->nodes[at].cost;
			write_down(s, at, out);
			break;
		}
		m = states_after(s, at, *best, done, next);
		for (uint32_t k = 0; k < m; k++)
			heap_push(s, next[k]);
	}
	return *best;
}

/* ---- steps that stand together ------------------------------------------------------- */

/* Within a stretch in which nothing is changed any order costs the same: steps
 * of one group go together, and otherwise as listed. */
static void
settle(struct search *s, uint32_t *steps)
{
	uint64_t *done = arena_alloc(s->arena, s->words * sizeof *done);
	uint8_t set[KINDS];
	uint32_t from = 0;

	memset(set, NOTHING_SET, sizeof set);
	while (from < s->n) {
		uint32_t to = from + 1, group = NONE;

		set_up(s, set, steps[from]);
		while (to < s->n && needs_only(s, set, steps[to]))
			to++;
		for (uint32_t i = from; i < to; i++) {
			uint32_t pick = NONE, v;

			for (uint32_t k = i; k < to; k++) {
				bool kin, best_kin;

				if (!may_be_done(s, done, steps[k]))
					continue;
				if (pick == NONE) {
					pick = k;
					continue;
				}
				kin = s->p->group != NULL && s->p->group[steps[k]] == group;
				best_kin = s->p->group != NULL && s->p->group[steps[pick]] == group;
				if (kin != best_kin ? kin : steps[k] < steps[pick])
					pick = k;
			}
			if (pick == NONE)
				die(EXIT_OUR_FAULT, "an order of steps breaks a constraint");
			v = steps[pick];
			steps[pick] = steps[i];
			steps[i] = v;
			add(done, v);
			group = s->p->group != NULL ? s->p->group[v] : NONE;
		}
		from = to;
	}
}

/* ---- the whole -------------------------------------------------------------------------- */

static bool
begin(struct search *s)
{
	const struct order_problem *p = s->p;
	struct arena *a = s->arena;
	size_t sets = (size_t)s->n * s->words;

	s->before = arena_alloc(a, sets * sizeof *s->before);
	s->after = arena_alloc(a, sets * sizeof *s->after);
	s->need = arena_alloc(a, (size_t)s->n * KINDS);
	memset(s->need, NOTHING_SET, (size_t)s->n * KINDS);
	for (uint32_t i = 0; i < p->n_edges; i++) {
		add(s->before + (size_t)p->edges[i].then * s->words, p->edges[i].first);
		add(s->after + (size_t)p->edges[i].first * s->words, p->edges[i].then);
	}
	for (uint32_t v = 0; v < s->n; v++)
		for (uint32_t k = 0; k < s->kinds; k++) {
			uint16_t need = p->needs[(size_t)v * s->kinds + k];

			if (need == NO16)
				continue;
			if (need >= VALUES_MOST)
				return false;
			s->need[v * KINDS + k] = (uint8_t)need;
			if (need >= s->values[k])
				s->values[k] = need + 1u;
		}
	return true;
}

bool
order_find(struct arena *a, const struct order_problem *p, uint32_t most_states,
    struct order_found *f)
{
	struct search s = {.arena = a, .p = p, .n = p->n, .words = (p->n + 63) / 64,
	    .kinds = p->n_changes, .n_hash = 1u << 16};
	uint64_t first = 0, best, bound;

	*f = (struct order_found){.exact = true};
	f->steps = arena_alloc(a, (p->n + 1) * sizeof *f->steps);
	f->naive = arena_alloc(a, (p->n + 1) * sizeof *f->naive);
	if (p->n == 0)
		return true;
	if (!begin(&s) || !naive(&s, f->naive))
		return false;
	f->naive_cost = order_cost_of(p, f->naive);
	memcpy(f->steps, f->naive, p->n * sizeof *f->steps);
	s.topological = f->naive;
	/* What is set up first counts as a change while searching, in every order
	 * alike. */
	for (uint32_t k = 0; k < s.kinds; k++)
		first += s.values[k] > 0 ? one_change(k) : 0;
	best = first;
	for (uint32_t k = 0; k < s.kinds; k++)
		best += one_change(k) * f->naive_cost.of[k];
	bound = first;
	if (p->n <= ORDER_EXACT_MOST) {
		s.behind = arena_alloc(a, (size_t)s.n * s.words * sizeof *s.behind);
		for (uint32_t k = 0; k < s.kinds; k++)
			s.blocks[k] = arena_alloc(a, (size_t)s.n * s.values[k] + 1);
		look_ahead(&s);
		s.hash = arena_alloc(a, s.n_hash * sizeof *s.hash);
		best = beam(&s, best, f->steps);
		f->states = s.n_nodes;
		bound = best_first(&s, most_states, &best, f->steps);
		f->states += s.n_nodes;
		free(s.nodes);
		free(s.bits);
		free(s.heap);
		settle(&s, f->steps);
	}
	f->cost = order_cost_of(p, f->steps);
	f->bound = unpack(bound - first);
	f->exact = bound == best;
	return true;
}
