/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Expansion: from things said to a model, on a knowledge base made for it
 * (tests/unit/kb-judge).
 */
#include "said.h"

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

#define ck_range(v, l, h) do { \
	ck_assert_int_eq((v)->state, VALUE_KNOWN); \
	ck_assert_double_eq_tol((v)->r.lo, (l), 1e-9); \
	ck_assert_double_eq_tol((v)->r.hi, (h), 1e-9); \
} while (0)

static uint32_t
count_kind(const struct model *m, const char *kind)
{
	uint32_t n = 0;

	for (uint32_t o = m->first_of_kind[kind_find(craft, sv(kind))]; o != NONE;
	    o = m->objects[o].next)
		n++;
	return n;
}

/* ---- what is not said -------------------------------------------------- */

START_TEST(nothing_said_is_a_model)
{
	struct model *m = expanded();
	uint32_t garment = m->first_of_kind[kind_find(craft, SV("garment"))];
	uint32_t seam = object_named(m, "operation", "seam", 0);

	ck_assert_uint_eq(count_kind(m, "garment"), 1);
	ck_assert_uint_eq(count_kind(m, "machine"), 1);
	ck_assert_int_eq(slot_of(m, garment, "shell")->ref, -1);
	/* every garment has its seams, and a seam needs thread and needle */
	ck_assert_uint_eq(m->objects[seam].flags & OBJECT_ASSUMED, 0);
	ck_assert_uint_ne(m->objects[seam].flags & OBJECT_MAIN, 0);
	ck_assert_int_eq(slot_of(m, seam, "cloth")->ref, -1);
	ck_assert_uint_eq(m->objects[slot_of(m, seam, "thread-used")->ref].flags, OBJECT_ASSUMED);
	ck_assert_str_eq(object_name(m, (uint32_t)slot_of(m, seam, "thread-used")->ref), "thread");
	ck_assert_str_eq(object_name(m, (uint32_t)slot_of(m, seam, "needle-used")->ref), "needle");
	ck_assert_uint_eq(count_kind(m, "component"), 2);
	ck_assert_uint_eq(pedigree_at(m, (uint32_t)slot_of(m, seam, "needle-used")->ref,
	    "role")->kind, PEDIGREE_ASSUMED);
}
END_TEST

START_TEST(usual_features_are_assumed_said_ones_are_not)
{
	struct model *m;
	uint32_t pocket, topstitch, seams;

	say_thing("garment", "coat", NULL);
	m = expanded();
	pocket = object_named(m, "feature", "pocket", 0);
	topstitch = object_named(m, "operation", "topstitch", 0);
	seams = object_named(m, "feature", "long seams", 0);
	ck_assert_uint_ne(m->objects[pocket].flags & OBJECT_ASSUMED, 0);
	ck_assert_uint_ne(m->objects[topstitch].flags & OBJECT_ASSUMED, 0);
	ck_assert_uint_eq(m->objects[seams].flags & OBJECT_ASSUMED, 0);
	ck_range(slot_of(m, pocket, "width"), 0.180, 0.180);
	ck_assert_uint_eq(pedigree_at(m, pocket, "width")->kind, PEDIGREE_BROUGHT);

	say_thing("feature", "flapped pocket", NULL);
	m = expanded();
	/* the flapped pocket is the pocket the coat usually has */
	ck_assert_uint_eq(object_named(m, "feature", "pocket", 0), NONE);
	pocket = object_named(m, "feature", "flapped pocket", 0);
	ck_assert_uint_eq(m->objects[pocket].flags & (OBJECT_SAID | OBJECT_ASSUMED), OBJECT_SAID);
	ck_range(slot_of(m, pocket, "width"), 0.150, 0.150);
	ck_assert_uint_ne(m->objects[object_named(m, "operation", "bind", 0)].flags &
	    OBJECT_SAID, 0);
}
END_TEST

START_TEST(denied_is_left_out_and_kept_apart)
{
	struct model *m;
	uint32_t t, denied = NONE;

	say_thing("garment", "coat", NULL);
	t = say_thing("feature", "pocket", NULL);
	said->things[t].denied = true;
	t = say_thing("component", NULL, "button");
	said->things[t].denied = true;
	m = expanded();
	ck_assert_uint_eq(object_named(m, "feature", "pocket", 0), NONE);
	ck_assert_uint_eq(object_named(m, "operation", "topstitch", 0), NONE);
	ck_assert_uint_eq(object_named(m, "component", "horn button", 0), NONE);
	for (uint32_t o = 0; o < m->n_objects; o++)
		if ((m->objects[o].flags & OBJECT_DENIED) &&
		    m->objects[o].kind == kind_find(craft, SV("feature")))
			denied = o;
	ck_assert_str_eq(object_name(m, denied), "pocket");
}
END_TEST

START_TEST(a_denied_role_is_not_assumed)
{
	struct model *m;
	uint32_t t = say_thing("component", NULL, "needle");

	said->things[t].denied = true;
	m = expanded();
	ck_assert_int_eq(slot_of(m, object_named(m, "operation", "seam", 0), "needle-used")->ref,
	    -1);
}
END_TEST

/* ---- cloth ------------------------------------------------------------- */

START_TEST(typical_values_follow_the_name)
{
	struct model *m;
	uint32_t shell, garment, seam;
	const struct pedigree *p;

	say_thing("component", "sailcloth", NULL);
	m = expanded();
	shell = object_named(m, "component", "sailcloth", 0);
	garment = m->first_of_kind[kind_find(craft, SV("garment"))];
	seam = object_named(m, "operation", "seam", 0);
	ck_range(slot_of(m, shell, "weight"), 0.2, 0.3);
	p = pedigree_at(m, shell, "weight");
	ck_assert_uint_eq(p->kind, PEDIGREE_TYPICAL);
	ck_assert_uint_eq(p->entry, entry_named("sailcloth"));
	ck_assert_str_eq(craft_text(craft, craft->source[p->source_low].id), "trial");
	ck_assert_double_eq_tol(p->seen.r.lo, 0.1, 1e-9);
	ck_assert_double_eq_tol(p->seen.r.hi, 0.4, 1e-9);
	/* worked out: 200..300 g/m2 over 500 kg/m3 */
	ck_range(slot_of(m, shell, "thickness"), 0.0004, 0.0006);
	ck_assert_uint_eq(pedigree_at(m, shell, "thickness")->kind, PEDIGREE_DERIVED);
	ck_range(slot_of(m, shell, "heat-limit"), 473, 473);
	ck_assert_int_eq(slot_of(m, garment, "shell")->ref, shell);
	ck_assert_int_eq(slot_of(m, garment, "lining")->ref, -1);
	ck_assert_int_eq(slot_of(m, seam, "cloth")->ref, shell);
	ck_range(slot_of(m, seam, "pile"), 0.0008, 0.0012);
	/* its own name among the words made of fabrics */
	ck_assert_uint_eq(slot_of(m, shell, "name")->set[0],
	    (uint64_t)1 << word_find(craft, set_find(craft, SV("cloth name")), SV("sailcloth")));
}
END_TEST

START_TEST(said_replaces_typical)
{
	struct model *m;
	uint32_t t = say_thing("component", "sailcloth", NULL), shell;

	say_range(t, "component", "weight", 0.25, 0.25);
	m = expanded();
	shell = object_named(m, "component", "sailcloth", 0);
	ck_range(slot_of(m, shell, "weight"), 0.25, 0.25);
	ck_assert_uint_eq(pedigree_at(m, shell, "weight")->kind, PEDIGREE_SAID);
	ck_range(slot_of(m, shell, "thickness"), 0.0005, 0.0005);
}
END_TEST

START_TEST(a_class_word_takes_its_part_of_the_name)
{
	struct model *m;
	uint32_t named = say_thing("component", "sailcloth", NULL);
	uint32_t other = say_thing("component", NULL, "lining");
	struct said_value *s = say_range(named, "component", "weight", 0.06, 0.15);

	s->typical_part = true;
	s->part_lo = 0;
	s->part_hi = 1.0 / 3;
	s = say_range(other, "component", "weight", 0.06, 0.15);
	s->typical_part = true;
	s->part_hi = 1.0 / 3;
	m = expanded();
	ck_range(slot_of(m, object_named(m, "component", "sailcloth", 0), "weight"),
	    0.2, 0.2 + 0.1 / 3);
	/* alone: the absolute class */
	ck_range(slot_of(m, object_named(m, "component", "lining", 0), "weight"), 0.06, 0.15);
}
END_TEST

START_TEST(unknown_can_be_said)
{
	struct model *m;
	uint32_t t = say_thing("component", "sailcloth", NULL), shell;

	say_value(t, "component", "weight", (value){ .state = VALUE_UNKNOWN });
	m = expanded();
	shell = object_named(m, "component", "sailcloth", 0);
	ck_assert_uint_eq(slot_of(m, shell, "weight")->state, VALUE_UNKNOWN);
	ck_assert_double_eq_tol(slot_of(m, shell, "weight")->r.hi, 3, 1e-9);
	ck_assert_uint_eq(pedigree_at(m, shell, "weight")->kind, PEDIGREE_SAID);
}
END_TEST

START_TEST(measured_beats_believed_and_two_beliefs_are_both_kept)
{
	struct model *m;
	uint32_t t = say_thing("component", "sailcloth", NULL), shell;
	struct said_value *s;

	say_range(t, "component", "weight", 0.26, 0.30);
	say_range(t, "component", "weight", 0.20, 0.21);
	m = expanded();
	shell = object_named(m, "component", "sailcloth", 0);
	ck_range(slot_of(m, shell, "weight"), 0.20, 0.30);
	s = say_range(t, "component", "weight", 0.272, 0.272);
	s->measured = true;
	m = expanded();
	ck_range(slot_of(m, shell, "weight"), 0.272, 0.272);
	ck_assert_uint_ne(pedigree_at(m, shell, "weight")->measured, 0);
}
END_TEST

START_TEST(said_fibres_replace_those_of_the_name)
{
	struct model *m;
	uint32_t t = say_thing("component", "sailcloth", NULL), f, shell;

	f = say_thing("content", "glass hair", NULL);
	said->things[f].of = t;
	m = expanded();
	shell = object_named(m, "component", "sailcloth", 0);
	ck_assert_uint_eq(count_kind(m, "content"), 1);
	ck_assert_int_eq(slot_of(m, object_named(m, "content", "glass hair", 0), "component")->ref,
	    shell);
	ck_range(slot_of(m, shell, "heat-limit"), 353, 353);
	/* a fibre nobody knows */
	said->things[f].entry = NONE;
	m = expanded();
	ck_assert_uint_eq(count_kind(m, "content"), 1);
	ck_assert_uint_eq(slot_of(m, shell, "heat-limit")->state, VALUE_UNKNOWN);
}
END_TEST

START_TEST(what_is_told_of_other_roles_is_absent)
{
	struct model *m;
	uint32_t shell, needle;

	say_thing("component", "sailcloth", NULL);
	m = expanded();
	shell = object_named(m, "component", "sailcloth", 0);
	needle = object_named(m, "component", "needle", 0);
	ck_assert_uint_eq(slot_of(m, shell, "blade")->state, VALUE_ABSENT);
	ck_assert_uint_eq(slot_of(m, needle, "blade")->state, VALUE_UNKNOWN);
	ck_assert_uint_eq(slot_of(m, needle, "diameter")->state, VALUE_ABSENT);
	/* told of any role */
	ck_assert_uint_eq(slot_of(m, needle, "weight")->state, VALUE_UNKNOWN);
}
END_TEST

/* ---- features ---------------------------------------------------------- */

START_TEST(a_feature_brings_what_it_takes)
{
	struct model *m;
	uint32_t t = say_thing("feature", "pocket", NULL), pocket, bag, topstitch, shell;

	say_thing("component", "sailcloth", NULL);
	say_thing("component", "twine", NULL);
	say_range(t, "feature", "width", 0.120, 0.120);
	said->things[t].count = 2;
	m = expanded();
	shell = object_named(m, "component", "sailcloth", 0);
	pocket = object_named(m, "feature", "pocket", 0);
	bag = object_named(m, "piece", "bag", 0);
	topstitch = object_named(m, "operation", "topstitch", 0);
	ck_range(slot_of(m, pocket, "count"), 2, 2);
	/* two of them do not bring everything twice */
	ck_assert_uint_eq(object_named(m, "piece", "bag", 1), NONE);
	ck_range(slot_of(m, bag, "width"), 0.140, 0.140);
	ck_range(slot_of(m, bag, "count"), 2, 2);
	ck_assert_int_eq(slot_of(m, bag, "feature")->ref, pocket);
	ck_assert_int_eq(slot_of(m, bag, "component")->ref, shell);
	ck_assert_int_eq(slot_of(m, topstitch, "feature")->ref, pocket);
	ck_assert_int_eq(slot_of(m, topstitch, "piece")->ref, bag);
	ck_assert_int_eq(slot_of(m, topstitch, "cloth")->ref, shell);
	/* nobody said a topstitching thread: the sewing thread does it */
	ck_assert_int_eq(slot_of(m, topstitch, "thread-used")->ref,
	    object_named(m, "component", "twine", 0));
	ck_range(slot_of(m, topstitch, "pile"), 0.0012, 0.0018);
	/* made only when the pocket is lined */
	ck_assert_uint_eq(object_named(m, "piece", "pocket lining", 0), NONE);
}
END_TEST

START_TEST(conditions_hear_what_was_said)
{
	struct model *m;
	uint32_t t = say_thing("feature", "pocket", NULL), lining;

	say_thing("component", "mist", "lining");
	say_thing("component", "sailcloth", NULL);
	say_word(t, "feature", "lined", "yes");
	m = expanded();
	lining = object_named(m, "component", "mist", 0);
	ck_assert_int_eq(slot_of(m, object_named(m, "piece", "pocket lining", 0),
	    "component")->ref, lining);
	/* three of sailcloth and one of the lining; a layer counts once unless said */
	ck_range(slot_of(m, object_named(m, "operation", "topstitch", 0), "pile"),
	    0.0012 + 0.03 / 400, 0.0018 + 0.04 / 400);
}
END_TEST

START_TEST(a_reference_named_to_nobody_stays_empty)
{
	struct model *m;
	uint32_t t = say_thing("feature", "pocket", NULL);

	say_thing("component", "sailcloth", NULL);
	say_word(t, "feature", "lined", "yes");
	m = expanded();
	/* asked for the lining: the shell must not slip in */
	ck_assert_int_eq(slot_of(m, object_named(m, "piece", "pocket lining", 0),
	    "component")->ref, -1);
}
END_TEST

START_TEST(nested_entries_bring_too)
{
	struct model *m;
	uint32_t bind;

	say_thing("component", "sailcloth", NULL);
	say_thing("feature", "flapped pocket", NULL);
	m = expanded();
	bind = object_named(m, "operation", "bind", 0);
	ck_assert_int_eq(slot_of(m, bind, "stack")->ref, object_named(m, "stack", "binding", 0));
	ck_assert_int_eq(slot_of(m, bind, "feature")->ref,
	    object_named(m, "feature", "flapped pocket", 0));
	ck_range(slot_of(m, bind, "pile"), 0.0016, 0.0024);
	ck_assert_int_eq(slot_of(m, object_named(m, "stack", "binding", 0), "feature")->ref,
	    object_named(m, "feature", "flapped pocket", 0));
}
END_TEST

START_TEST(a_brought_notion_stands_back_for_the_said_one)
{
	struct model *m;
	uint32_t stand;

	say_thing("feature", "button stand", NULL);
	m = expanded();
	stand = object_named(m, "feature", "button stand", 0);
	ck_assert_int_eq(slot_of(m, stand, "button")->ref,
	    object_named(m, "component", "horn button", 0));
	say_thing("component", NULL, "button");
	m = expanded();
	stand = object_named(m, "feature", "button stand", 0);
	ck_assert_uint_eq(object_named(m, "component", "horn button", 0), NONE);
	ck_assert_int_eq(slot_of(m, stand, "button")->ref,
	    object_named(m, "component", "button", 0));
}
END_TEST

START_TEST(depth_and_budget_have_an_end)
{
	struct model *m;

	/* four in each, six deep, would be 5,461 boxes */
	say_thing("feature", "stack of boxes", NULL);
	m = expanded();
	ck_assert_uint_le(m->n_objects, 4000);
	ck_assert_uint_eq(complaints.errors, 1);
	ck_assert_int_eq(complaints.d[complaints.n - 1].id, D_MODEL_TOO_LARGE);
}
END_TEST

/* ---- places ------------------------------------------------------------ */

START_TEST(a_setting_goes_where_it_was_said)
{
	struct model *m;
	uint32_t seam, topstitch, press, t;
	struct said_value *s;

	t = say_thing("feature", "pocket", NULL);
	say_range(NONE, "operation", "stitch.length", 0.0025, 0.0025);
	s = say_range(NONE, "operation", "stitch.length", 0.003, 0.003);
	s->scope_entry = entry_named("pocket");
	s = say_range(NONE, "operation", "needle.size", 0.0011, 0.0011);
	s->scope_thing = t;
	m = expanded();
	seam = object_named(m, "operation", "seam", 0);
	topstitch = object_named(m, "operation", "topstitch", 0);
	press = object_named(m, "operation", "press", 0);
	ck_range(slot_of(m, seam, "stitch.length"), 0.0025, 0.0025);
	ck_range(slot_of(m, topstitch, "stitch.length"), 0.003, 0.003);
	/* pressing has no stitch */
	ck_assert_uint_eq(slot_of(m, press, "stitch.length")->state, VALUE_UNKNOWN);
	ck_range(slot_of(m, topstitch, "needle.size"), 0.0011, 0.0011);
	ck_assert_uint_eq(slot_of(m, seam, "needle.size")->state, VALUE_UNKNOWN);
}
END_TEST

START_TEST(a_said_needle_serves_every_step)
{
	struct model *m;
	uint32_t t = say_thing("component", "plain point", NULL);

	say_range(t, "component", "blade", 0.0008, 0.0008);
	say_thing("feature", "pocket", NULL);
	m = expanded();
	ck_range(slot_of(m, object_named(m, "operation", "seam", 0), "needle.size"),
	    0.0008, 0.0008);
	ck_range(slot_of(m, object_named(m, "operation", "topstitch", 0), "needle.size"),
	    0.0008, 0.0008);
}
END_TEST

START_TEST(a_said_step_is_the_step_that_is_there)
{
	struct model *m;
	uint32_t t, topstitch, n;

	say_thing("garment", "coat", NULL);
	m = expanded();
	n = count_kind(m, "operation");
	t = say_thing("operation", "topstitch", NULL);
	say_range(t, "operation", "stitch.length", 0.0035, 0.0035);
	m = expanded();
	topstitch = object_named(m, "operation", "topstitch", 0);
	ck_assert_uint_eq(count_kind(m, "operation"), n);
	ck_assert_uint_eq(m->objects[topstitch].flags & (OBJECT_SAID | OBJECT_ASSUMED),
	    OBJECT_SAID);
	ck_range(slot_of(m, topstitch, "stitch.length"), 0.0035, 0.0035);
	/* one that nothing brings is there because it was said */
	say_thing("operation", "bind", NULL);
	m = expanded();
	ck_assert_uint_eq(count_kind(m, "operation"), n + 1);
	ck_assert_int_ge(slot_of(m, object_named(m, "operation", "bind", 0), "stack")->ref, 0);
}
END_TEST

START_TEST(the_garment_hears_what_is_said_of_no_thing)
{
	struct model *m;

	say_word(NONE, "garment", "lined", "no");
	say_range(NONE, "machine", "takes", 0.004, 0.004);
	m = expanded();
	ck_assert_uint_eq(slot_of(m, m->first_of_kind[kind_find(craft, SV("garment"))],
	    "lined")->set[0], 1);
	ck_range(slot_of(m, m->first_of_kind[kind_find(craft, SV("machine"))], "takes"),
	    0.004, 0.004);
}
END_TEST

START_TEST(a_measure_of_nothing_said_goes_nowhere)
{
	struct model *m;

	say_thing("garment", "coat", NULL);
	say_range(NONE, "feature", "width", 0.5, 0.5);
	m = expanded();
	ck_range(slot_of(m, object_named(m, "feature", "pocket", 0), "width"), 0.18, 0.18);
	say_thing("feature", "pocket", NULL);
	m = expanded();
	ck_range(slot_of(m, object_named(m, "feature", "pocket", 0), "width"), 0.5, 0.5);
}
END_TEST

START_TEST(same_said_same_model)
{
	struct buf a = { 0 }, b = { 0 };

	say_thing("garment", "coat", NULL);
	say_thing("component", "sailcloth", NULL);
	model_print(&a, expanded());
	model_print(&b, expanded());
	ck_assert_str_eq(a.p, b.p);
	buf_free(&a);
	buf_free(&b);
}
END_TEST

int
main(void)
{
	Suite *s = suite_create("expand");
	TCase *t = tcase_create("expand");
	SRunner *r;
	int failed;

	unused();
	tcase_set_timeout(t, 60);
	tcase_add_checked_fixture(t, setup, teardown);
	tcase_add_test(t, nothing_said_is_a_model);
	tcase_add_test(t, usual_features_are_assumed_said_ones_are_not);
	tcase_add_test(t, denied_is_left_out_and_kept_apart);
	tcase_add_test(t, a_denied_role_is_not_assumed);
	tcase_add_test(t, typical_values_follow_the_name);
	tcase_add_test(t, said_replaces_typical);
	tcase_add_test(t, a_class_word_takes_its_part_of_the_name);
	tcase_add_test(t, unknown_can_be_said);
	tcase_add_test(t, measured_beats_believed_and_two_beliefs_are_both_kept);
	tcase_add_test(t, said_fibres_replace_those_of_the_name);
	tcase_add_test(t, what_is_told_of_other_roles_is_absent);
	tcase_add_test(t, a_feature_brings_what_it_takes);
	tcase_add_test(t, conditions_hear_what_was_said);
	tcase_add_test(t, a_reference_named_to_nobody_stays_empty);
	tcase_add_test(t, nested_entries_bring_too);
	tcase_add_test(t, a_brought_notion_stands_back_for_the_said_one);
	tcase_add_test(t, depth_and_budget_have_an_end);
	tcase_add_test(t, a_setting_goes_where_it_was_said);
	tcase_add_test(t, a_said_needle_serves_every_step);
	tcase_add_test(t, a_said_step_is_the_step_that_is_there);
	tcase_add_test(t, the_garment_hears_what_is_said_of_no_thing);
	tcase_add_test(t, a_measure_of_nothing_said_goes_nowhere);
	tcase_add_test(t, same_said_same_model);
	suite_add_tcase(s, t);
	r = srunner_create(s);
	srunner_run_all(r, CK_ENV);
	failed = srunner_ntests_failed(r);
	srunner_free(r);
	return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
