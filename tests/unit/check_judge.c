/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Judgement: verdicts, rationing, merging, questions and their words, on a
 * knowledge base made for it (tests/unit/kb-judge).
 */
#include "said.h"
#include "judge/judge.h"

static void
setup(void)
{
	kb_from("tests/unit/kb-judge/kb", "tests/unit/kb-judge/rules");
	say_nothing();
}

static void
teardown(void)
{
	kb_done();
}

static uint32_t
rule_named(const char *id)
{
	for (uint32_t i = 0; i < craft->n_rule; i++)
		if (strcmp(craft_text(craft, craft->rule[i].id), id) == 0)
			return i;
	ck_abort_msg("no rule %s", id);
	return NONE;
}

static const struct finding *
finding_in(const struct finding *f, uint32_t n, const char *id)
{
	for (uint32_t i = 0; i < n; i++)
		if (f[i].rule == rule_named(id))
			return &f[i];
	return NULL;
}

static const struct finding *
fails(const struct judgement *j, const char *id)
{
	return finding_in(j->fails, j->n_fails, id);
}

static const struct finding *
open_(const struct judgement *j, const char *id)
{
	return finding_in(j->undecided, j->n_undecided, id);
}

#define ck_says(m, f, text) do { \
	struct buf b_ = { 0 }; \
	finding_says(&b_, kb, (m), (f)); \
	ck_assert_str_eq(b_.p, (text)); \
	buf_free(&b_); \
} while (0)
#define ck_because(m, f, nth, text) do { \
	struct buf b_ = { 0 }; \
	finding_because(&b_, kb, (m), (f), (nth)); \
	ck_assert_str_eq(b_.p, (text)); \
	buf_free(&b_); \
} while (0)

static void
say_needle(double mm)
{
	uint32_t t = say_thing("component", "plain point", NULL);

	say_range(t, "component", "blade", mm / 1000, mm / 1000);
}

/* ---- verdicts ---------------------------------------------------------- */

START_TEST(what_fails_says_so_with_its_limit)
{
	struct judgement *j;
	struct model *m;
	const struct finding *f;

	say_thing("component", "twine", NULL);
	say_needle(0.7);
	m = expanded();
	j = judge(arena, kb, m);
	f = fails(j, "thread-fits");
	ck_assert_ptr_nonnull(f);
	ck_assert_int_eq(f->degree, DEGREE_GRAVE);
	ck_assert(!f->by_assumption && !f->seen_differs);
	ck_says(m, f, "twine is 0.3-0.4 mm thick, over 0.28 mm");
	ck_because(m, f, 0, "thread thickness of twine (0.3-0.4 mm) is over 0.28 mm");
	ck_assert_uint_ge(f->n_reasons, 2);
	ck_assert(f->reasons[1].in_when);
	ck_because(m, f, 1, "sewn of seam is yes");
	ck_assert_uint_eq(judge_findings(j, DEGREE_DOUBTFUL), 1);
	/* it rests on what was said of the needle and what twine usually is */
	ck_assert_uint_ge(f->n_origins, 2);
	ck_assert_uint_eq(m->pedigrees[f->origins[0].pedigree].kind, PEDIGREE_TYPICAL);
	ck_assert_uint_eq(m->pedigrees[f->origins[1].pedigree].kind, PEDIGREE_SAID);
}
END_TEST

START_TEST(overlapping_is_open_and_knows_its_tip)
{
	struct judgement *j;
	struct model *m;
	const struct finding *f;

	say_thing("component", "twine", NULL);
	say_needle(0.8);
	m = expanded();
	j = judge(arena, kb, m);
	ck_assert_ptr_null(fails(j, "thread-fits"));
	f = open_(j, "thread-fits");
	ck_assert_ptr_nonnull(f);
	ck_assert_uint_eq(f->truth.n_tips, 1);
	/* 0.40 of 0.8 mm, and half a step of thickness more counts as equal */
	ck_assert_double_eq_tol(f->truth.tips[0].at, 0.000325, 0.000001);
	ck_assert_int_eq(f->truth.tips[0].below, TRI_TRUE);
	ck_assert_int_eq(f->truth.tips[0].above, TRI_FALSE);
	ck_because(m, f, 0, "thread thickness of twine (0.3-0.4 mm) may be either side of 0.32 mm");
}
END_TEST

START_TEST(one_cloth_over_itself_is_exact)
{
	say_thing("component", "sailcloth", NULL);
	ck_assert_int_eq(judge_rule(arena, expanded(), rule_named("ratio-is-one"), NULL),
	    TRI_TRUE);
}
END_TEST

START_TEST(words_may_be_open_too)
{
	struct judgement *j;
	struct model *m;
	const struct finding *f;

	say_thing("component", "sailcloth", NULL);
	m = expanded();
	j = judge(arena, kb, m);
	f = open_(j, "frays-little");
	ck_assert_ptr_nonnull(f);
	/* slight, of slight and moderate */
	ck_assert_uint_eq(f->truth.tips[0].set_true[0], 2);
	ck_says(m, f, "sailcloth frays: slight or moderate");
}
END_TEST

START_TEST(pairs_are_tried_both_ways)
{
	struct judgement *j;
	struct model *m;

	say_thing("component", "mist", NULL);
	say_thing("component", "sailcloth", "lining");
	m = expanded();
	j = judge(arena, kb, m);
	ck_assert_ptr_nonnull(fails(j, "lining-lighter"));
	ck_says(m, fails(j, "lining-lighter"), "sailcloth is heavier than mist");
	ck_assert_uint_eq(fails(j, "lining-lighter")->same, 0);
}
END_TEST

START_TEST(what_is_not_there_is_not_judged)
{
	struct judgement *j = judge(arena, kb, expanded());

	ck_assert_uint_eq(j->n_fails, 0);
	ck_assert_uint_eq(j->n_undecided, 0);
	ck_assert_int_eq(judge_rule(arena, expanded(), rule_named("pile-fits-machine"), NULL),
	    TRI_ABSENT);
}
END_TEST

START_TEST(what_is_worked_out_says_from_what)
{
	struct model *m;
	struct finding worst;
	uint32_t t = say_thing("component", "sailcloth", "padding");

	say_range(t, "component", "weight", 0.1, 0.1);
	say_range(t, "component", "bulk", 500, 500);
	m = expanded();
	ck_assert_int_eq(judge_rule(arena, m, rule_named("padding-is-thick"), &worst), TRI_FALSE);
	ck_because(m, &worst, 0,
	    "0.4 mm (worked out from thickness of sailcloth) is under 1 mm");
}
END_TEST

/* ---- acts, assumptions, outermost values --------------------------------- */

START_TEST(an_act_nobody_said_gives_no_verdict)
{
	struct judgement *j;
	uint32_t t = say_thing("component", "sailcloth", NULL);

	say_thing("garment", "coat", NULL);
	j = judge(arena, kb, expanded());
	ck_assert_ptr_null(fails(j, "shrink-first"));
	ck_assert_ptr_null(open_(j, "shrink-first"));
	ck_assert_ptr_null(open_(j, "iron-cool"));
	say_word(t, "component", "shrunk", "no");
	j = judge(arena, kb, expanded());
	ck_assert_ptr_nonnull(fails(j, "shrink-first"));
	ck_assert_int_eq(fails(j, "shrink-first")->degree, DEGREE_GRAVE);
}
END_TEST

START_TEST(an_assumed_subject_is_a_mention_at_most)
{
	struct judgement *j;
	const struct finding *f;
	uint32_t t;

	say_thing("garment", "coat", NULL);
	j = judge(arena, kb, expanded());
	f = fails(j, "pockets-narrow");
	ck_assert_ptr_nonnull(f);
	ck_assert(f->by_assumption);
	ck_assert_int_eq(f->degree, DEGREE_MENTION);
	ck_assert_uint_eq(judge_findings(j, DEGREE_DOUBTFUL), 0);
	t = say_thing("feature", "pocket", NULL);
	say_range(t, "feature", "width", 0.18, 0.18);
	j = judge(arena, kb, expanded());
	f = fails(j, "pockets-narrow");
	ck_assert(!f->by_assumption);
	ck_assert_int_eq(f->degree, DEGREE_GRAVE);
}
END_TEST

START_TEST(outermost_values_are_tried)
{
	struct judgement *j;

	say_thing("component", "mist", NULL);
	j = judge(arena, kb, expanded());
	/* 30-40 fails, but mist of 180 has been seen */
	ck_assert(fails(j, "cloth-not-light")->seen_differs);
	say_nothing();
	say_thing("component", "storm sailcloth", NULL);
	j = judge(arena, kb, expanded());
	ck_assert(!fails(j, "cloth-not-too-heavy")->seen_differs);
}
END_TEST

/* ---- rationing ----------------------------------------------------------- */

START_TEST(nothing_known_is_only_counted)
{
	struct judgement *j;

	say_thing("component", NULL, "shell");
	j = judge(arena, kb, expanded());
	ck_assert_uint_eq(j->n_undecided, 0);
	/* weight is what most of them lack: two heavy rules, one light, and the pile */
	ck_assert_uint_ge(j->not_judged, 4);
	ck_assert_uint_eq(j->not_judged_fact, property_named("component", "weight"));
}
END_TEST

START_TEST(rules_of_one_fact_and_tip_are_one_question)
{
	struct judgement *j;
	const struct question *q;

	say_thing("component", "sailcloth", NULL);
	say_thing("feature", "pocket", NULL);
	j = judge(arena, kb, expanded());
	q = &j->questions[0];
	ck_assert_uint_eq(q->fact.property, property_named("component", "weight"));
	ck_assert_uint_eq(q->n, 2);
	/* gravest first within it; the seam and the topstitching count as one finding */
	ck_assert_uint_eq(j->undecided[q->first].rule, rule_named("cloth-for-long-coats"));
	ck_assert_uint_eq(j->undecided[q->first + 1].rule, rule_named("cloth-not-too-heavy"));
	ck_assert_uint_eq(j->undecided[q->first + 1].same, 1);
	ck_assert_double_ge(q->weight, 4);
	/* less than 250 by half a step of 5 */
	ck_assert_double_eq_tol(q->tip.at, 0.2475, 1e-6);
	for (uint32_t i = 1; i < j->n_questions; i++)
		ck_assert_double_le(j->questions[i].weight, j->questions[i - 1].weight);
}
END_TEST

START_TEST(gravest_first)
{
	struct judgement *j;

	say_thing("component", "storm sailcloth", NULL);
	j = judge(arena, kb, expanded());
	ck_assert_uint_eq(j->n_fails, 2);
	ck_assert_uint_eq(j->fails[0].rule, rule_named("cloth-for-long-coats"));
	ck_assert_uint_eq(j->fails[1].rule, rule_named("cloth-not-too-heavy"));
}
END_TEST

START_TEST(the_model_comes_back_unchanged)
{
	struct model *m;
	struct buf before = { 0 }, after = { 0 };

	say_thing("garment", "coat", NULL);
	say_thing("component", "sailcloth", NULL);
	say_thing("component", "twine", NULL);
	say_needle(0.8);
	m = expanded();
	model_print(&before, m);
	judge(arena, kb, m);
	model_print(&after, m);
	ck_assert_str_eq(before.p, after.p);
	buf_free(&before);
	buf_free(&after);
}
END_TEST

/* ---- words --------------------------------------------------------------- */

static const struct { uint64_t set; const char *shown; } word_rows[] = {
	{ 1, "none" }, { 2, "slight" }, { 6, "slight or moderate" },
	{ 14, "slight, moderate or strong" }, { 15, "not known" },
};

START_TEST(words_are_joined)
{
	struct buf b = { 0 };
	struct cell cell = { .type = TYPE_WORDS, .state = VALUE_KNOWN };

	cell.set[0] = word_rows[_i].set;
	cell.set[1] = 0;
	cell_print(&b, craft, NULL, cell, property_named("component", "ravel"));
	ck_assert_str_eq(b.p, word_rows[_i].shown);
	buf_free(&b);
}
END_TEST

START_TEST(pedigrees_are_told)
{
	struct model *m;
	struct buf b = { 0 };
	uint32_t shell, t = say_thing("component", "sailcloth", NULL);

	say_range(t, "component", "bulk", 500, 500);
	m = expanded();
	shell = object_named(m, "component", "sailcloth", 0);
	pedigree_print(&b, kb, m, slot_of(m, shell, "weight")->pedigree);
	ck_assert_str_eq(b.p, "typical of sailcloth, Trial book");
	buf_clear(&b);
	pedigree_print(&b, kb, m, slot_of(m, shell, "ravel")->pedigree);
	ck_assert_str_eq(b.p, "typical of sailcloth, common practice");
	buf_clear(&b);
	pedigree_print(&b, kb, m, slot_of(m, shell, "bulk")->pedigree);
	ck_assert_str_eq(b.p, "said");
	buf_clear(&b);
	pedigree_print(&b, kb, m, slot_of(m, shell, "thickness")->pedigree);
	ck_assert_str_eq(b.p, "worked out");
	buf_free(&b);
}
END_TEST

START_TEST(a_missing_message_loses_nothing)
{
	struct buf b = { 0 };

	user_message(&b, craft, "no.such", "slot", "towpath", (char *)NULL);
	ck_assert_str_eq(b.p, "[no.such] towpath");
	buf_free(&b);
}
END_TEST

START_TEST(the_trace_shows_each_step)
{
	struct buf b = { 0 };

	say_thing("component", "twine", NULL);
	say_needle(0.7);
	ck_assert(judge_trace(&b, kb, expanded(), rule_named("thread-fits")));
	ck_assert_ptr_nonnull(strstr(b.p, "0.3-0.4 mm <= 0.28 mm : false"));
	ck_assert(!judge_trace(&b, kb, expanded(), craft->n_rule));
	buf_free(&b);
}
END_TEST

int
main(void)
{
	Suite *s = suite_create("judge");
	TCase *t = tcase_create("judge");
	SRunner *r;
	int failed;

	unused();
	tcase_set_timeout(t, 60);
	tcase_add_checked_fixture(t, setup, teardown);
	tcase_add_test(t, what_fails_says_so_with_its_limit);
	tcase_add_test(t, overlapping_is_open_and_knows_its_tip);
	tcase_add_test(t, one_cloth_over_itself_is_exact);
	tcase_add_test(t, words_may_be_open_too);
	tcase_add_test(t, what_is_worked_out_says_from_what);
	tcase_add_test(t, pairs_are_tried_both_ways);
	tcase_add_test(t, what_is_not_there_is_not_judged);
	tcase_add_test(t, an_act_nobody_said_gives_no_verdict);
	tcase_add_test(t, an_assumed_subject_is_a_mention_at_most);
	tcase_add_test(t, outermost_values_are_tried);
	tcase_add_test(t, nothing_known_is_only_counted);
	tcase_add_test(t, rules_of_one_fact_and_tip_are_one_question);
	tcase_add_test(t, gravest_first);
	tcase_add_test(t, the_model_comes_back_unchanged);
	tcase_add_loop_test(t, words_are_joined, 0, (int)(sizeof word_rows / sizeof *word_rows));
	tcase_add_test(t, pedigrees_are_told);
	tcase_add_test(t, a_missing_message_loses_nothing);
	tcase_add_test(t, the_trace_shows_each_step);
	suite_add_tcase(s, t);
	r = srunner_create(s);
	srunner_run_all(r, CK_ENV);
	failed = srunner_ntests_failed(r);
	srunner_free(r);
	return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
