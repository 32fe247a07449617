/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The order of work.  Small made-up problems are held against every order
 * there is; small models against what their entries and rules say.
 */
#include <check.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "work/order.h"

static struct arena *arena;

static void
arena_begin(void)
{
	arena = arena_new();
}

static void
arena_end(void)
{
	arena_free(arena);
}

/* ---- problems ---------------------------------------------------------------- */

static uint32_t
after_that(uint32_t *seed)             /* xorshift: the same problems everywhere */
{
	*seed ^= *seed << 13;
	*seed ^= *seed >> 17;
	*seed ^= *seed << 5;
	return *seed;
}

struct made {
	struct order_problem p;
	uint16_t needs[4 * 64];
	struct order_edge edges[2048];
};

/* Steps in a shuffled list, so that the order as listed is seldom a good one. */
static struct made *
random_problem(uint32_t n, uint32_t changes, uint32_t values, uint32_t percent, uint32_t seed)
{
	struct made *m = arena_alloc(arena, sizeof *m);
	uint32_t place[64], *s = &seed;

	for (uint32_t i = 0; i < n; i++)
		place[i] = i;
	for (uint32_t i = n; i-- > 1;) {
		uint32_t k = after_that(s) % (i + 1), t = place[i];

		place[i] = place[k];
		place[k] = t;
	}
	for (uint32_t i = 0; i < n * changes; i++)
		m->needs[i] = after_that(s) % 6 == 0 ? NO16 : (uint16_t)(after_that(s) % values);
	m->p = (struct order_problem){.n = n, .n_changes = changes, .needs = m->needs,
	    .edges = m->edges};
	for (uint32_t a = 0; a < n; a++)
		for (uint32_t b = a + 1; b < n; b++)
			if (after_that(s) % 100 < percent)
				m->edges[m->p.n_edges++] = (struct order_edge){place[a], place[b]};
	return m;
}

static bool
keeps(const struct order_problem *p, const uint32_t *steps)
{
	uint32_t place[512], seen = 0;

	for (uint32_t i = 0; i < p->n; i++)
		place[i] = NONE;
	for (uint32_t i = 0; i < p->n; i++) {
		if (steps[i] >= p->n || place[steps[i]] != NONE)
			return false;
		place[steps[i]] = i;
		seen++;
	}
	for (uint32_t i = 0; i < p->n_edges; i++)
		if (place[p->edges[i].first] >= place[p->edges[i].then])
			return false;
	return seen == p->n;
}

/* Every order that keeps the constraints, one after the other. */
struct every { const struct order_problem *p; uint32_t at[8]; struct order_cost best; uint32_t n; };

static void
every_order(struct every *e, uint32_t k, unsigned done)
{
	if (k == e->p->n) {
		struct order_cost c = order_cost_of(e->p, e->at);

		if (e->n++ == 0 || order_cost_cmp(e->p, &c, &e->best) < 0)
			e->best = c;
		return;
	}
	for (uint32_t v = 0; v < e->p->n; v++) {
		bool free_now = !(done >> v & 1);

		for (uint32_t i = 0; i < e->p->n_edges && free_now; i++)
			free_now = e->p->edges[i].then != v || (done >> e->p->edges[i].first & 1);
		if (!free_now)
			continue;
		e->at[k] = v;
		every_order(e, k + 1, done | 1u << v);
	}
}

static void
against_every_order(const struct order_problem *p, const char *which)
{
	struct every e = {.p = p};
	struct order_found f;
	struct order_cost again;

	every_order(&e, 0, 0);
	ck_assert_uint_gt(e.n, 0);
	ck_assert(order_find(arena, p, ORDER_STATES_USUAL, &f));
	ck_assert_msg(keeps(p, f.steps), "%s: a constraint is broken", which);
	ck_assert_msg(keeps(p, f.naive), "%s: the listed order breaks one", which);
	again = order_cost_of(p, f.steps);
	ck_assert_msg(order_cost_cmp(p, &again, &f.cost) == 0, "%s: miscounted", which);
	ck_assert_msg(f.exact, "%s: not proved", which);
	ck_assert_msg(order_cost_cmp(p, &f.cost, &e.best) == 0,
	    "%s: %u.%u.%u.%u found, %u.%u.%u.%u possible", which, f.cost.of[0], f.cost.of[1],
	    f.cost.of[2], f.cost.of[3], e.best.of[0], e.best.of[1], e.best.of[2], e.best.of[3]);
	ck_assert_msg(order_cost_cmp(p, &f.bound, &e.best) == 0, "%s: a wrong bound", which);
	ck_assert(order_cost_cmp(p, &f.naive_cost, &e.best) >= 0);
}

START_TEST(small_random_problems)
{
	for (uint32_t seed = 1; seed <= 700; seed++) {
		uint32_t n = 1 + seed % 8, changes = 1 + seed / 8 % 4, values = 2 + seed / 3 % 3;
		uint32_t percent = (uint32_t[]){10, 25, 40, 70}[seed % 4];
		struct made *m;

		if (n == 8 && percent == 10)
			percent = 25;          /* 40,320 orders at most, and seldom so many */
		m = random_problem(n, changes, values, percent, seed * 2654435761u);
		against_every_order(&m->p, arena_print(arena, "problem %u", (unsigned)seed));
	}
}
END_TEST

/* Where two kinds of change pull apart the first of the list wins: doing the
 * two places in turn once costs a change of thread more. */
static const struct {
	const char *what;
	uint32_t n, changes;
	uint16_t needs[16];
	uint32_t n_edges;
	struct order_edge edges[8];
	uint16_t cost[2], naive[2];
} known[] = {
	{"a chain has one order", 4, 1, {0, 1, 0, 1}, 3, {{0, 1}, {1, 2}, {2, 3}}, {3}, {3}},
	{"free steps are sorted", 4, 1, {0, 1, 0, 1}, 0, {{0, 0}}, {1}, {3}},
	{"two chains side by side", 6, 1, {0, 1, 0, 0, 1, 0}, 4, {{0, 1}, {1, 2}, {3, 4}, {4, 5}},
	    {2}, {4}},
	{"two chains out of step", 6, 1, {0, 1, 0, 1, 0, 1}, 4, {{0, 1}, {1, 2}, {3, 4}, {4, 5}},
	    {3}, {5}},
	/* place, thread: 0 m/a, 1 iron, 2 m/b after 1, 3 m/a after 1 */
	{"the dearer change decides", 4, 2, {0, 0, 1, NO16, 0, 1, 0, 0}, 2, {{1, 2}, {1, 3}},
	    {1, 1}, {2, 2}},
	/* what a step does not need stays set up while it is done */
	{"a thread stays in", 3, 2, {0, 0, 1, NO16, 0, 0}, 2, {{0, 1}, {1, 2}}, {2, 0}, {2, 0}},
	{"nothing to do", 0, 1, {0}, 0, {{0, 0}}, {0}, {0}},
};

START_TEST(known_optima)
{
	struct order_problem p = {.n = known[_i].n, .n_changes = known[_i].changes,
	    .needs = known[_i].needs, .edges = known[_i].edges, .n_edges = known[_i].n_edges};
	struct order_found f;

	ck_assert(order_find(arena, &p, ORDER_STATES_USUAL, &f));
	for (uint32_t k = 0; k < p.n_changes && p.n > 0; k++) {
		ck_assert_msg(f.cost.of[k] == known[_i].cost[k], "%s: %u", known[_i].what, f.cost.of[k]);
		ck_assert_msg(f.naive_cost.of[k] == known[_i].naive[k], "%s: %u as listed",
		    known[_i].what, f.naive_cost.of[k]);
	}
	if (p.n > 0)
		against_every_order(&p, known[_i].what);
}
END_TEST

START_TEST(a_circle_has_no_order)
{
	static const uint16_t needs[] = {0, 1, 0};
	static const struct order_edge edges[] = {{0, 1}, {1, 2}, {2, 0}};
	struct order_problem p = {.n = 3, .n_changes = 1, .needs = needs, .edges = edges, .n_edges = 3};
	struct order_found f;

	ck_assert(!order_find(arena, &p, ORDER_STATES_USUAL, &f));
	p.n_edges = 2;
	ck_assert(order_find(arena, &p, ORDER_STATES_USUAL, &f));
}
END_TEST

static double
seconds(void)
{
	struct timespec t;

	clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
	return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

/* 40 steps as details bring them: chains side by side, with a few constraints
 * between them; then the same with constraints strewn at random. */
static struct made *
forty(uint32_t seed, uint32_t chains, uint32_t percent)
{
	struct made *m = random_problem(40, 4, 4, 0, seed);

	for (uint32_t v = chains; v < 40; v++)
		m->edges[m->p.n_edges++] = (struct order_edge){v - chains, v};
	for (uint32_t a = 0; a < 40; a++)
		for (uint32_t b = a + 1; b < 40; b++)
			if (after_that(&seed) % 100 < percent)
				m->edges[m->p.n_edges++] = (struct order_edge){a, b};
	return m;
}

START_TEST(forty_steps_within_a_second)
{
	static const struct { uint32_t chains, percent; } kinds[] = {{2, 0}, {3, 2}, {4, 3}, {5, 3}, {6, 4}};
	uint32_t proved = 0, all = 0;

	for (uint32_t seed = 1; seed <= 3; seed++)
		for (size_t k = 0; k < sizeof kinds / sizeof *kinds; k++) {
			struct made *m = forty(seed * 77551u + (uint32_t)k, kinds[k].chains, kinds[k].percent);
			double from = seconds(), took;
			struct order_found f;

			ck_assert(order_find(arena, &m->p, ORDER_STATES_USUAL, &f));
			took = seconds() - from;
			ck_assert_msg(keeps(&m->p, f.steps), "a constraint is broken");
			ck_assert_int_le(order_cost_cmp(&m->p, &f.bound, &f.cost), 0);
			ck_assert_int_le(order_cost_cmp(&m->p, &f.cost, &f.naive_cost), 0);
			ck_assert_int_eq(f.exact, order_cost_cmp(&m->p, &f.bound, &f.cost) == 0);
			ck_assert_msg(took < 1, "%u chains: %d ms", (unsigned)kinds[k].chains, (int)(took * 1000));
			if (getenv("ORDER_TALK") != NULL)
				printf("%u chains %u%%: %d ms, %u states, %s, %u.%u.%u.%u of %u.%u.%u.%u, bound %u.%u.%u.%u\n",
				    (unsigned)kinds[k].chains, (unsigned)kinds[k].percent, (int)(took * 1000),
				    (unsigned)f.states, f.exact ? "proved" : "open",
				    f.cost.of[0], f.cost.of[1], f.cost.of[2], f.cost.of[3],
				    f.naive_cost.of[0], f.naive_cost.of[1], f.naive_cost.of[2], f.naive_cost.of[3],
				    f.bound.of[0], f.bound.of[1], f.bound.of[2], f.bound.of[3]);
			proved += f.exact;
			all++;
		}
	ck_assert_uint_ge(proved * 2, all);
}
END_TEST

/* The same problem with hardly any states left: still an order, with a bound
 * that is no higher than the true least. */
START_TEST(a_short_search_is_honest)
{
	for (uint32_t seed = 1; seed <= 60; seed++) {
		struct made *m = random_problem(8, 3, 3, 25, seed * 7919u);
		struct every e = {.p = &m->p};
		struct order_found f;

		every_order(&e, 0, 0);
		ck_assert(order_find(arena, &m->p, 2, &f));
		ck_assert(keeps(&m->p, f.steps));
		ck_assert_int_le(order_cost_cmp(&m->p, &f.bound, &e.best), 0);
		ck_assert_int_ge(order_cost_cmp(&m->p, &f.cost, &e.best), 0);
		if (f.exact)
			ck_assert_int_eq(order_cost_cmp(&m->p, &f.cost, &e.best), 0);
	}
}
END_TEST

/* Steps of one group stand together where that costs nothing. */
START_TEST(groups_stand_together)
{
	static const uint16_t needs[] = {0, 0, 0, 0};
	static const uint32_t group[] = {7, 8, 7, 8};
	struct order_problem p = {.n = 4, .n_changes = 1, .needs = needs, .group = group};
	struct order_found f;

	ck_assert(order_find(arena, &p, ORDER_STATES_USUAL, &f));
	ck_assert_uint_eq(f.steps[0], 0);
	ck_assert_uint_eq(f.steps[1], 2);
	ck_assert_uint_eq(f.steps[2], 1);
	ck_assert_uint_eq(f.steps[3], 3);
}
END_TEST

/* ---- models -------------------------------------------------------------------- */

static struct knowledge *kb;
static char folder[256];
static const char *path;

static void
begin(void)
{
	struct diags ds;
	struct buf b = {0};
	const char *why, *build = getenv("B");

	arena = arena_new();
	diags_init(&ds, arena);
	snprintf(folder, sizeof folder, "%s/check-order-XXXXXX", build != NULL ? build : "build");
	ck_assert_ptr_nonnull(mkdtemp(folder));
	path = arena_print(arena, "%s/small.db", folder);
	if (!kb_compile("tests/unit/kb-order/kb", "tests/unit/kb-order/rules", path, &ds)) {
		diags_print(&b, &ds, false);
		ck_abort_msg("%s", b.p);
	}
	kb = kb_open(path, &why);
	ck_assert_msg(kb != NULL, "%s", why);
}

static void
end(void)
{
	kb_close(kb);
	remove(path);
	rmdir(folder);
	arena_free(arena);
}

static struct model *
model_of(const char *words)
{
	struct diags ds;
	struct model *m;
	const char *culprit;

	diags_init(&ds, arena);
	m = model_expand(arena, kb, project_from_words(arena, kb,
	    source_new(arena, "<words>", sv(words)), &ds), &ds);
	ck_assert_ptr_nonnull(m);
	ck_assert_msg(model_check(m, &culprit), "%s", culprit);
	return m;
}

static const struct { const char *words, *expected; } ordered[] = {
	/* a rule turns what the list has the other way round */
	{"lock flap", "fuse join close"},
	/* what the list itself says goes before a rule */
	{"crooked flap", "join fuse"},
	/* after a detail is after all its steps, and before one is before all */
	{"gate coat", "begin fuse join close close"},
	/* the rule holds within one piece only; places are changed once */
	{"crooked flap, lock flap", "join fuse fuse join close"},
};

START_TEST(steps_in_order)
{
	const struct model *m = model_of(ordered[_i].words);
	struct order_work *w = order_work(arena, m);
	struct buf b = {0};

	for (uint32_t i = 0; i < w->n; i++)
		buf_print(&b, "%s%s", i > 0 ? " " : "", object_name(m, w->object[w->found.steps[i]]));
	ck_assert_str_eq(b.p, ordered[_i].expected);
	ck_assert_uint_eq(w->n_loops, 0);
	ck_assert(w->found.exact);
	buf_free(&b);
}
END_TEST

/* A step left out hands on what it waited for: close still comes after join. */
START_TEST(pairs_are_kept)
{
	const struct model *m = model_of("lock flap");
	struct buf b = {0};

	ck_assert_uint_eq(m->n_pairs, 1);
	ck_assert_str_eq(object_name(m, m->pairs[0].first), "join");
	ck_assert_str_eq(object_name(m, m->pairs[0].then), "close");
	model_print(&b, m);
	ck_assert_ptr_nonnull(strstr(b.p, "after                  -> #"));
	buf_free(&b);
}
END_TEST

START_TEST(a_loop_is_told)
{
	const struct model *m = model_of("knotted flap");
	struct order_work *w = order_work(arena, m);
	const struct craft *c = kb_craft(kb);

	ck_assert_uint_eq(w->n_loops, 1);
	ck_assert_uint_eq(w->n_dropped, 1);
	ck_assert_uint_eq(w->loops[0].n, 2);
	/* each reason goes on where the one before it ends */
	ck_assert_uint_eq(w->loops[0].round[0].then, w->loops[0].round[1].first);
	ck_assert_uint_eq(w->loops[0].round[1].then, w->loops[0].round[0].first);
	/* the rule that stands last gives way */
	ck_assert_str_eq(craft_text(c,
	    c->order_rule[w->loops[0].round[w->loops[0].dropped].rule].id), "awkward-first");
	ck_assert_str_eq(object_name(m, w->object[w->found.steps[0]]), "fuse");
}
END_TEST

int
main(void)
{
	Suite *s = suite_create("order");
	TCase *t = tcase_create("problems"), *u = tcase_create("models");
	SRunner *run;
	int failed;

	tcase_add_checked_fixture(t, arena_begin, arena_end);
	tcase_set_timeout(t, 60);
	tcase_add_test(t, small_random_problems);
	tcase_add_loop_test(t, known_optima, 0, (int)(sizeof known / sizeof *known));
	tcase_add_test(t, a_circle_has_no_order);
	tcase_add_test(t, forty_steps_within_a_second);
	tcase_add_test(t, a_short_search_is_honest);
	tcase_add_test(t, groups_stand_together);
	suite_add_tcase(s, t);
	tcase_add_unchecked_fixture(u, begin, end);
	tcase_add_loop_test(u, steps_in_order, 0, (int)(sizeof ordered / sizeof *ordered));
	tcase_add_test(u, pairs_are_kept);
	tcase_add_test(u, a_loop_is_told);
	suite_add_tcase(s, u);
	run = srunner_create(s);
	srunner_run_all(run, CK_NORMAL);
	failed = srunner_ntests_failed(run);
	srunner_free(run);
	return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
