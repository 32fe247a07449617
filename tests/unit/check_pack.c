/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Packing: pieces cut from one rectangle go back into it; what cannot fit is
 * refused; no layout lets pieces overlap.
 *
 *   check_pack --problem SEED     prints a small problem as data for
 *                                 tests/pack.mod, and our answer as a comment
 */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "work/pack.h"

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

static uint32_t
after_that(uint32_t *seed)             /* xorshift: the same problems everywhere */
{
	*seed ^= *seed << 13;
	*seed ^= *seed >> 17;
	*seed ^= *seed << 5;
	return *seed;
}

/* ---- known optima --------------------------------------------------------------- */

struct cut { uint32_t w, h; };

/* A rectangle cut through again and again, each time across one of its parts. */
static uint32_t
cut_up(struct cut *parts, uint32_t want, uint32_t *seed)
{
	uint32_t n = 1;

	for (uint32_t tries = 0; n < want && tries < 1000; tries++) {
		uint32_t i = after_that(seed) % n, at;
		bool wide = after_that(seed) & 1;
		uint32_t side = wide ? parts[i].w : parts[i].h;

		if (side < 4)
			continue;
		at = 1 + after_that(seed) % (side - 1);
		parts[n] = parts[i];
		if (wide) {
			parts[n].w = side - at;
			parts[i].w = at;
		} else {
			parts[n].h = side - at;
			parts[i].h = at;
		}
		n++;
	}
	return n;
}

START_TEST(a_rectangle_cut_up_goes_back_into_itself)
{
	for (uint32_t seed = 1; seed <= 40; seed++) {
		uint32_t s = seed * 2654435761u, culprit, n, width = 20 + seed % 7;
		struct cut parts[16] = {{width, 15 + seed % 11}};
		struct pack_piece p[16];
		struct pack_found f;
		uint32_t tall = parts[0].h;

		n = cut_up(parts, 4 + seed % 5, &s);
		for (uint32_t i = 0; i < n; i++)
			p[i] = (struct pack_piece){parts[i].w, parts[i].h, 1, seed % 3 == 0};
		ck_assert_int_eq(pack_find(arena, width, p, n, PACK_STATES_USUAL, &f, &culprit), PACK_FINE);
		ck_assert(pack_check(width, p, n, &f));
		ck_assert_uint_eq(f.length, tall);
		ck_assert(f.exact);
	}
}
END_TEST

START_TEST(strips_of_one_size_lie_side_by_side)
{
	/* 45 x 200 on 900: twenty abreast; forty-one need a third row */
	struct pack_piece p = {45, 200, 40, false};
	struct pack_found f;
	uint32_t culprit;

	ck_assert_int_eq(pack_find(arena, 900, &p, 1, PACK_STATES_USUAL, &f, &culprit), PACK_FINE);
	ck_assert_uint_eq(f.length, 400);
	ck_assert(f.exact);
	p.count = 41;
	ck_assert_int_eq(pack_find(arena, 900, &p, 1, PACK_STATES_USUAL, &f, &culprit), PACK_FINE);
	ck_assert_uint_eq(f.length, 600);
	ck_assert(pack_check(900, &p, 1, &f));
}
END_TEST

START_TEST(turning_helps_only_where_it_is_allowed)
{
	struct pack_piece p = {300, 40, 1, false};
	struct pack_found f;
	uint32_t culprit;

	ck_assert_int_eq(pack_find(arena, 200, &p, 1, 1000, &f, &culprit), PACK_TOO_WIDE);
	ck_assert_uint_eq(culprit, 0);
	p.turned = true;
	ck_assert_int_eq(pack_find(arena, 200, &p, 1, 1000, &f, &culprit), PACK_FINE);
	ck_assert_uint_eq(f.length, 300);
	p = (struct pack_piece){40, 300, 1, true};
	ck_assert_int_eq(pack_find(arena, 900, &p, 1, 1000, &f, &culprit), PACK_FINE);
	ck_assert_uint_eq(f.length, 40);
}
END_TEST

START_TEST(what_cannot_be_reckoned_with_is_refused)
{
	struct pack_piece p = {10, 10, PACK_SPOTS_MOST + 1, false};
	struct pack_found f;
	uint32_t culprit;

	ck_assert_int_eq(pack_find(arena, 100, &p, 1, 1000, &f, &culprit), PACK_TOO_MANY);
	p = (struct pack_piece){0, 10, 1, false};
	ck_assert_int_eq(pack_find(arena, 100, &p, 1, 1000, &f, &culprit), PACK_TOO_LONG);
	p = (struct pack_piece){UINT32_MAX, UINT32_MAX, UINT32_MAX, true};
	ck_assert_int_eq(pack_find(arena, 100, &p, 1, 1000, &f, &culprit), PACK_TOO_LONG);
	p = (struct pack_piece){1, 1, 1, false};
	ck_assert_int_eq(pack_find(arena, 0, &p, 1, 1000, &f, &culprit), PACK_TOO_WIDE);
	ck_assert_int_eq(pack_find(arena, 100, &p, 0, 1000, &f, &culprit), PACK_FINE);
	ck_assert_uint_eq(f.length, 0);
}
END_TEST

START_TEST(many_pieces_stay_near_the_bound)
{
	struct pack_piece p[12];
	struct pack_found f;
	uint32_t seed = 99, culprit;

	for (uint32_t i = 0; i < 12; i++)
		p[i] = (struct pack_piece){20 + after_that(&seed) % 200, 20 + after_that(&seed) % 400,
		    30, i % 2 == 0};
	ck_assert_int_eq(pack_find(arena, 900, p, 12, PACK_STATES_USUAL, &f, &culprit), PACK_FINE);
	ck_assert(pack_check(900, p, 12, &f));
	ck_assert(f.bound <= f.length);
	ck_assert(f.length * 100 <= f.bound * 112);     /* measured: within 12 % */
}
END_TEST

/* ---- problems for another solver --------------------------------------------------- */

static int
problem(uint32_t seed)
{
	uint32_t s = seed * 2246822519u + 1, n = 4 + seed % 3, width = 10 + after_that(&s) % 6, culprit;
	struct pack_piece p[8];
	struct pack_found f;

	for (uint32_t i = 0; i < n; i++) {
		p[i] = (struct pack_piece){1 + after_that(&s) % (width - 3), 1 + after_that(&s) % 9, 1,
		    seed % 2 == 1 && i % 2 == 0};
	}
	if (pack_find(arena, width, p, n, UINT32_MAX - 1, &f, &culprit) != PACK_FINE || !f.exact ||
	    !pack_check(width, p, n, &f))
		return 1;
	printf("# answer %llu ways %u\n", (unsigned long long)f.length, f.states);
	printf("data;\nparam n := %u;\nparam width := %u;\nparam: w h turned :=\n", n, width);
	for (uint32_t i = 0; i < n; i++)
		printf("%u %u %u %d\n", i + 1, p[i].across, p[i].along, p[i].turned);
	printf(";\nend;\n");
	return 0;
}

int
main(int argc, char **argv)
{
	Suite *s = suite_create("pack");
	TCase *t = tcase_create("layouts");
	SRunner *r;
	int failed;

	if (argc == 3 && strcmp(argv[1], "--problem") == 0) {
		arena_begin();
		failed = problem((uint32_t)atoi(argv[2]));
		arena_end();
		return failed;
	}
	tcase_set_timeout(t, 60);
	tcase_add_checked_fixture(t, arena_begin, arena_end);
	tcase_add_test(t, a_rectangle_cut_up_goes_back_into_itself);
	tcase_add_test(t, strips_of_one_size_lie_side_by_side);
	tcase_add_test(t, turning_helps_only_where_it_is_allowed);
	tcase_add_test(t, what_cannot_be_reckoned_with_is_refused);
	tcase_add_test(t, many_pieces_stay_near_the_bound);
	suite_add_tcase(s, t);
	r = srunner_create(s);
	srunner_run_all(r, CK_NORMAL);
	failed = srunner_ntests_failed(r);
	srunner_free(r);
	return failed > 0;
}
