/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The proof of a sheet, on the shipped knowledge: what fair rounding passes,
 * what each planted slip is told as and where, and that what is sound stays
 * quiet. The pairs of two rulers are common practice of the trade.
 */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "work/proof.h"

static struct arena *arena;
static struct knowledge *kb;
static const struct craft *craft;

static void
begin(void)
{
	const char *b = getenv("B"), *why = "";

	arena = arena_new();
	kb = kb_open(arena_print(arena, "%s/bodkin.db", b != NULL ? b : "build"), &why);
	ck_assert_msg(kb != NULL, "%s", why);
	craft = kb_craft(kb);
}

static void
end(void)
{
	kb_close(kb);
	arena_free(arena);
}

/* "check:line check:line", in the order of the text. */
static const char *
found(const char *text)
{
	struct diags ds;
	struct proof *p;
	struct buf b = {0};
	const char *out;

	diags_init(&ds, arena);
	p = proof_sheet(arena, kb, source_new(arena, "sheet.txt", sv(text)), &ds);
	ck_assert_ptr_nonnull(p);
	for (uint32_t i = 0; i < p->n; i++) {
		uint32_t line, column;

		ck_assert_uint_le(p->f[i].place.at + p->f[i].place.n, strlen(text));
		ck_assert_str_ne(p->f[i].says, "");
		place_line_column(p->f[i].place, &line, &column);
		buf_print(&b, "%s%s:%u", i > 0 ? " " : "", p->f[i].check, (unsigned)line);
	}
	out = arena_text(arena, b.n > 0 ? b.p : "", b.n);
	buf_free(&b);
	return out;
}

/* ---- two rulers ------------------------------------------------------------------ */

enum verdict { FAIR, MENTIONED, DOUBTED };
static const struct { const char *text; enum verdict is; } pairs[] = {
	{"1.5 cm = 5/8 in", FAIR}, {"1 cm = 3/8 in", FAIR}, {"2 cm = 3/4 in", FAIR},
	{"5 cm = 2 in", FAIR}, {"5-6 mm = 1/4 in", FAIR}, {"3 mm = 1/8 in", FAIR},
	{"1-2 mm = 1/8 in", DOUBTED}, {"10 cm = 3 in", DOUBTED}, {"4 cm = 1 1/4 in", DOUBTED},
	{"8 mm = 1/2 in", DOUBTED},
	/* the same, otherwise written */
	{"1.5cm (5/8\")", FAIR}, {"5/8in (1.5cm)", FAIR}, {"\xe2\x85\x9d\" / 15mm", FAIR},
	{"4 cm (1\xc2\xbd in)", FAIR}, {"4cm [1-1/2 inches]", FAIR}, {"1.5 cm or 5/8 inch", FAIR},
	{"about 2.5 cm (about 1 in)", FAIR}, {"| 6 mm | 1/4 in |", FAIR}, {"1,5 cm (5/8\")", FAIR},
	{"10 x 15 cm (4 x 6 in)", FAIR}, {"30 cm x 40 cm (12 in x 16 in)", FAIR},
	{"115 cm (45\"), 1.5 m (1 5/8 yd)", FAIR}, {"22 cm (9 in)", FAIR}, {"150 cm (60 in)", FAIR},
	{"0.5 m (1/2 yd)", FAIR}, {"1-1.5 cm (3/8-5/8 in)", FAIR},
	{"1-1.5 cm (3/8-1 in)", DOUBTED}, {"10 x 15 cm (4 x 8 in)", DOUBTED},
	{"2 m (1 1/2 yd)", DOUBTED}, {"1.5 cm (1/2 in)", DOUBTED}, {"20 cm (7 in)", DOUBTED},
	/* little at little */
	{"5 mm (1/4 in)", MENTIONED}, {"4 mm (1/8 in)", MENTIONED},
	/* no pair at all */
	{"5 mm and 2 in", FAIR}, {"2 m of tape 1 in wide", FAIR}, {"Fold 10 cm. 3 in remain", FAIR},
};

START_TEST(rulers)
{
	struct diags ds;
	struct proof *p;
	enum verdict is = FAIR;

	diags_init(&ds, arena);
	p = proof_sheet(arena, kb, source_new(arena, "pair.txt", sv(pairs[_i].text)), &ds);
	ck_assert_ptr_nonnull(p);
	for (uint32_t i = 0; i < p->n; i++)
		if (strcmp(p->f[i].check, "measure") == 0)
			is = p->f[i].degree == DEGREE_MENTION ? MENTIONED : DOUBTED;
	ck_assert_msg(is == pairs[_i].is, "%s: %d", pairs[_i].text, (int)is);
}
END_TEST

/* What a metric length is written beside; by common practice of the trade. */
static const struct { double mm; const char *inches; } written[] = {
	{15, "5/8 in"}, {10, "3/8 in"}, {20, "3/4 in"}, {50, "2 in"}, {6, "1/4 in"}, {3, "1/8 in"},
	{25, "1 in"}, {30, "1 1/4 in"}, {40, "1 1/2 in"}, {100, "4 in"}, {150, "6 in"}, {14, "9/16 in"},
};

START_TEST(fractions)
{
	int in = unit_find(craft->units, SV("in"));
	const struct unit *u = &craft->units->u[in];
	double x = fair_fraction(craft, written[_i].mm / 1000, u);
	struct buf b = {0};

	range_print(&b, craft->units, in, range_exact(x * u->factor), 0);
	ck_assert_msg(strcmp(b.p, written[_i].inches) == 0, "%d mm: %s", (int)written[_i].mm, b.p);
	buf_free(&b);
}
END_TEST

/* Whatever we write we read back as fair. */
START_TEST(what_is_written_is_fair)
{
	const struct unit *u = &craft->units->u[unit_find(craft->units, SV("in"))];

	for (int half = 1; half <= 4000; half++) {
		double base = half * 0.0005, x = fair_fraction(craft, base, u) * u->factor;
		double d = x > base ? x - base : base - x;

		ck_assert_msg(d <= fair_difference(craft, x > base ? x : base, u->factor) + 1e-9,
		    "%d half millimetres", half);
	}
}
END_TEST

/* ---- slips ------------------------------------------------------------------------- */

#define STEPS "# Bargee's skirt\n\n## Steps\n"
static const struct { const char *text, *found; } slips[] = {
	/* order, in a list, in prose, and told of another time */
	{STEPS "1. Overlock all edges.\n2. Turn up the hem and press it.\n3. Sew the side seams.\n", "order:6"},
	{STEPS "1. Overlock all edges.\n2. Sew the side seams.\n3. Turn up the hem and press it.\n", ""},
	{STEPS "1. Overlock all edges.\n2. Before you turn up the hem, sew the side seams and press.\n"
	    "3. Hem the skirt.\n", ""},
	{STEPS "1. Finish the edges.\n2. Sew the side seams; the hem will be turned up later.\n"
	    "3. Turn up the hem and press it.\n", ""},
	{"Overlock the edges of the skirt. Turn up the hem and press. Then sew the side seams.\n", "order:1"},
	{STEPS "- Fuse the interfacing to the collar.\n- Sew the collar, matching the notches, and press.\n"
	    "- Turn the collar right side out and topstitch the collar.\n", ""},
	{STEPS "- Sew the collar, matching the notches, and press.\n- Topstitch the collar.\n"
	    "- Fuse the interfacing to the collar.\n", "order:6"},
	/* one size told twice */
	{STEPS "1. Seam allowances are 1.5 cm.\n2. Sew with a 1 cm seam allowance.\n3. Overlock.\n", "size:5"},
	{STEPS "1. Seam allowances are 1.5 cm.\n2. Trim the seam allowance to 5 mm.\n3. Overlock.\n", ""},
	{STEPS "1. Seam allowance 1.5 cm (5/8 in).\n2. Sew, seam allowance 5/8\".\n", ""},
	{STEPS "1. Cut the waistband 8 cm wide; interface it and press.\n2. Notch the waistband, 9 cm wide.\n",
	    "size:5"},
	/* materials */
	{"Materials\n- linen\n- thread\n\nSteps\n1. Sew in the zip and press.\n2. Hem the cloth and press.\n",
	    "unlisted:6"},
	{"Materials\n- linen\n- a zipper\n- thread\n\nSteps\n1. Insert the zip and press.\n", ""},
	{"Materials: linen, elastic, thread\n\nSteps\n1. Hem the cloth and press it.\n", "unused:1"},
	/* edges, details, cautions */
	{STEPS "1. Sew the side seams with the shell right sides together.\n2. Press them open.\n",
	    "edges-never-finished:4"},
	{STEPS "1. Sew the side seams as French seams.\n2. Press.\n", ""},
	{STEPS "1. Attach the waistband, matching the notches.\n2. Press it.\n",
	    "interfacing-never-mentioned:4"},
	{STEPS "1. Interface the waistband.\n2. Attach the waistband and press it.\n",
	    "notches-never-mentioned:4"},
	{"Cut the cloth with a rotary cutter.\n", "caution-rotary-blade:1"},
	{"Cut the cloth with a rotary cutter. Close the guard, cut away from you.\n", ""},
	{"Child's hood\n\nSew a drawstring through the hood and press it.\n", "caution-childs-cord:1"},
	{"Do a burn test on a thread.\n", "caution-burn-test:1"},
	{"Do a burn test on a thread over water, with tweezers.\n", ""},
	/* words */
	{"Press the vest.\n", "two-meanings:1"}, {"UK terms.\n\nPress the vest.\n", ""},
	{"Press the coat.\n", ""},
};

START_TEST(planted)
{
	const char *is = found(slips[_i].text);

	ck_assert_msg(strcmp(is, slips[_i].found) == 0, "\n%s\nfound: %s\nexpected: %s", slips[_i].text, is,
	    slips[_i].found);
}
END_TEST

/* ---- whatever comes ------------------------------------------------------------------- */

START_TEST(what_is_no_text_is_refused)
{
	static const struct { const char *bytes; size_t n; } bad[] = {
		{"\xff\xfe", 2}, {"a\0b", 3}, {"\x1b[31m", 5}, {"   \n\n", 5}, {"\xe2\x28", 2},
	};

	for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
		struct diags ds;

		diags_init(&ds, arena);
		ck_assert_ptr_null(proof_sheet(arena, kb, source_new(arena, "bad.txt",
		    (strview){bad[i].bytes, bad[i].n}), &ds));
		ck_assert_uint_gt(ds.errors, 0);
	}
}
END_TEST

START_TEST(a_huge_line_is_read)
{
	struct buf b = {0};

	for (int i = 0; i < 4000; i++)
		buf_str(&b, "sew 1.5 cm (5/8 in) ");
	ck_assert_str_eq(found(b.p), "");
	buf_free(&b);
}
END_TEST

int
main(void)
{
	Suite *s = suite_create("proof");
	TCase *t = tcase_create("proof");
	SRunner *run;
	int failed;

	tcase_add_unchecked_fixture(t, begin, end);
	tcase_set_timeout(t, 60);
	tcase_add_loop_test(t, rulers, 0, (int)(sizeof pairs / sizeof *pairs));
	tcase_add_loop_test(t, fractions, 0, (int)(sizeof written / sizeof *written));
	tcase_add_test(t, what_is_written_is_fair);
	tcase_add_loop_test(t, planted, 0, (int)(sizeof slips / sizeof *slips));
	tcase_add_test(t, what_is_no_text_is_refused);
	tcase_add_test(t, a_huge_line_is_read);
	suite_add_tcase(s, t);
	run = srunner_create(s);
	srunner_run_all(run, CK_NORMAL);
	failed = srunner_ntests_failed(run);
	srunner_free(run);
	return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
