/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The audit finds what is wrong with knowledge, and is silent where nothing
 * is: one rule over the base of tests/unit/kb-judge, with examples that are
 * right, wrong, or prove too little.
 */
#include "audit/audit.h"

#include <check.h>
#include <stdlib.h>
#include <string.h>

static struct arena *arena;
static struct knowledge *kb;
static struct audit audit;
static char folder[256];

/* The rule says a shell of 150 g/m2 or less is light; EXAMPLES and WORKED are
 * what changes from test to test. */
static void
audit_of(unsigned which, const char *examples, const char *worked)
{
	const char *b = getenv("B"), *why = "";
	struct diags d;
	struct buf said = {0};
	char *path;
	bool fine;
	FILE *f;

	arena = arena_new();
	diags_init(&d, arena);
	snprintf(folder, sizeof folder, "%s/check-audit-XXXXXX", b != NULL ? b : "build");
	ck_assert_ptr_nonnull(mkdtemp(folder));
	ck_assert_int_eq(system(arena_print(arena,
	    "cp -r tests/unit/kb-judge/kb '%s/kb' && mkdir '%s/rules'", folder, folder)), 0);
	f = fopen(arena_print(arena, "%s/rules/rules.yaml", folder), "w");
	ck_assert_ptr_nonnull(f);
	fprintf(f, "rules:\n"
	    "  - id: cloth-not-light\n"
	    "    area: cloth\n"
	    "    each: component\n"
	    "    when: component.role = shell\n"
	    "    must: component.weight > 150 g/m2\n"
	    "    degree: doubtful\n"
	    "    touches: [weight]\n"
	    "    say: \"{component} is light\"\n"
	    "    why: It is light.\n"
	    "    source: [practice]\n"
	    "    examples:\n%s"
	    "formulas:\n"
	    "  - formula: twice\n"
	    "    says: Twice as much.\n"
	    "    takes: {weight: g/m2}\n"
	    "    gives: g/m2\n"
	    "    is: 2 * weight\n"
	    "    basis: practice\n"
	    "    examples: [%s]\n", examples, worked);
	ck_assert_int_eq(fclose(f), 0);
	path = arena_print(arena, "%s/out.db", folder);
	fine = kb_compile(arena_print(arena, "%s/kb", folder), arena_print(arena, "%s/rules", folder),
	    path, &d);
	diags_print(&said, &d, false);
	ck_assert_msg(fine, "%.1500s", said.p != NULL ? said.p : "");
	buf_free(&said);
	kb = kb_open(path, &why);
	ck_assert_msg(kb != NULL, "%s", why);
	memset(&audit, 0, sizeof audit);
	audit_run(&audit, kb, which, NULL, 0);
}

static void
teardown(void)
{
	audit_free(&audit);
	kb_close(kb);
	ck_assert_int_eq(system(arena_print(arena, "rm -rf '%s'", folder)), 0);
	arena_free(arena);
}

static void
part_is(const char *name, uint32_t tried, uint32_t failed)
{
	for (uint32_t i = 0; i < audit.n_parts; i++)
		if (strcmp(audit.parts[i].name, name) == 0) {
			ck_assert_msg(audit.parts[i].tried == tried && audit.parts[i].failed == failed,
			    "%s: %u of %u failed, not %u of %u\n%.1500s", name, audit.parts[i].failed,
			    audit.parts[i].tried, failed, tried, audit.report.p ? audit.report.p : "");
			return;
		}
	ck_abort_msg("there is no part %s", name);
}

static void
reports(const char *words)
{
	ck_assert_msg(audit.report.p != NULL && strstr(audit.report.p, words) != NULL,
	    "nothing is said of %s:\n%.1500s", words, audit.report.p != NULL ? audit.report.p : "");
}

#define RIGHT \
	"      - fires: coat in mist\n" \
	"      - quiet: coat in storm sailcloth\n"
#define RIGHT_SUM "{with: {weight: 100 g/m2}, gives: 200 g/m2, within: 1 g/m2, source: practice}"

START_TEST(right_examples_pass)
{
	audit_of(AUDIT_EXAMPLES, RIGHT, RIGHT_SUM);
	part_is("rule examples", 2, 0);
	part_is("worked examples", 1, 0);
}
END_TEST

START_TEST(an_example_that_does_not_fire_is_reported)
{
	audit_of(AUDIT_EXAMPLES, RIGHT "      - fires: coat in sailcloth\n", RIGHT_SUM);
	part_is("rule examples", 3, 1);
	reports("cloth-not-light");
	reports("coat in sailcloth");
}
END_TEST

START_TEST(an_example_that_is_not_quiet_is_reported)
{
	audit_of(AUDIT_EXAMPLES, RIGHT "      - quiet: waistcoat in mist\n", RIGHT_SUM);
	part_is("rule examples", 3, 1);
	reports("cloth-not-light");
}
END_TEST

START_TEST(a_wrong_sum_is_reported)
{
	audit_of(AUDIT_EXAMPLES, RIGHT,
	    "{with: {weight: 100 g/m2}, gives: 210 g/m2, within: 1 g/m2, source: practice}");
	part_is("worked examples", 1, 1);
	reports("twice");
}
END_TEST

START_TEST(a_limit_no_example_is_near_is_reported)
{
	audit_of(AUDIT_PINS, RIGHT, RIGHT_SUM);
	reports("150 g/m2");
}
END_TEST

START_TEST(one_rule_alone_can_be_looked_at)
{
	static const char *const other[] = {"no-such-rule"};
	uint32_t failed = 0;

	audit_of(AUDIT_BASIS, RIGHT "      - fires: coat in storm sailcloth\n", RIGHT_SUM);
	audit_free(&audit);
	memset(&audit, 0, sizeof audit);
	audit_run(&audit, kb, AUDIT_EXAMPLES, other, 1);
	for (uint32_t i = 0; i < audit.n_parts; i++)
		failed += audit.parts[i].failed;
	ck_assert_uint_eq(failed, 0);
	audit_free(&audit);
	memset(&audit, 0, sizeof audit);
	audit_run(&audit, kb, AUDIT_EXAMPLES, (const char *const[]){"cloth-not-light"}, 1);
	part_is("rule examples", 3, 1);
}
END_TEST

/* One just under and one just over it: either way of moving the limit shows. */
START_TEST(a_limit_between_two_examples_is_pinned)
{
	audit_of(AUDIT_PINS, RIGHT
	    "      - fires: coat in sailcloth of 150 g/m2\n"
	    "      - quiet: coat in sailcloth of 155 g/m2\n", RIGHT_SUM);
	ck_assert_msg(audit.report.p == NULL || strstr(audit.report.p, "150 g/m2") == NULL, "%s",
	    audit.report.p);
}
END_TEST

START_TEST(a_suggested_example_pins)
{
	struct buf b = {0};

	audit_of(AUDIT_PINS, RIGHT, RIGHT_SUM);
	audit_suggestions(&b, kb, NULL, 0);
	ck_assert_msg(b.p != NULL && strstr(b.p, "cloth-not-light") != NULL, "%s", b.p ? b.p : "");
	buf_free(&b);
}
END_TEST

/* Every cloth with every detail: what is tried grows with both. */
START_TEST(every_cloth_is_swept)
{
	uint32_t tried = 0;

	audit_of(AUDIT_SWEEP | AUDIT_TWINS, RIGHT, RIGHT_SUM);
	for (uint32_t i = 0; i < audit.n_parts; i++)
		tried += audit.parts[i].tried;
	ck_assert_uint_ge(tried, 3 * 3);       /* three cloths of the base */
}
END_TEST

START_TEST(shares_are_of_all_bounds)
{
	audit_of(AUDIT_BASIS, RIGHT, RIGHT_SUM);
	reports("basis all values");
	reports("from memory");
	part_is("signs of decoration", audit.parts[0].tried, 1);
	reports("mist: what was seen of its weight");      /* 20-180 about 30-40 g/m2 */
}
END_TEST

int
main(void)
{
	Suite *s = suite_create("audit");
	TCase *t = tcase_create("audit");
	SRunner *r;
	int failed;

	tcase_set_timeout(t, 60);
	tcase_add_checked_fixture(t, NULL, teardown);
	tcase_add_test(t, right_examples_pass);
	tcase_add_test(t, an_example_that_does_not_fire_is_reported);
	tcase_add_test(t, an_example_that_is_not_quiet_is_reported);
	tcase_add_test(t, a_wrong_sum_is_reported);
	tcase_add_test(t, a_limit_no_example_is_near_is_reported);
	tcase_add_test(t, a_limit_between_two_examples_is_pinned);
	tcase_add_test(t, a_suggested_example_pins);
	tcase_add_test(t, one_rule_alone_can_be_looked_at);
	tcase_add_test(t, every_cloth_is_swept);
	tcase_add_test(t, shares_are_of_all_bounds);
	suite_add_tcase(s, t);
	r = srunner_create(s);
	srunner_run_all(r, CK_ENV);
	failed = srunner_ntests_failed(r);
	srunner_free(r);
	return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
