/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Causes of a fault in their order, one step of it at a time, on the small
 * knowledge of kb-judge: what the conditions say, what was tried, and how a
 * fault is known by the words people use.
 */
#include <check.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "advise/trouble.h"

static struct arena *arena;
static struct knowledge *kb;
static const struct craft *craft;
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
	snprintf(folder, sizeof folder, "%s/check-trouble-XXXXXX", build != NULL ? build : "build");
	ck_assert_ptr_nonnull(mkdtemp(folder));
	path = arena_print(arena, "%s/small.db", folder);
	if (!kb_compile("tests/unit/kb-judge/kb", "tests/unit/kb-judge/rules", path, &ds)) {
		diags_print(&b, &ds, false);
		ck_abort_msg("%s", b.p);
	}
	kb = kb_open(path, &why);
	ck_assert_msg(kb != NULL, "%s", why);
	craft = kb_craft(kb);
}

static void
end(void)
{
	kb_close(kb);
	remove(path);
	rmdir(folder);
	arena_free(arena);
}

/* "fault + fault: cause, cause (tried)" */
static const char *
looked(const char *symptom, const char *with, const char *tried)
{
	struct trouble t;
	struct diags ds;
	struct project *p;
	struct model *m = NULL;
	struct buf b = {0};
	const char *out;

	diags_init(&ds, arena);
	if (*with != '\0') {
		p = project_from_words(arena, kb, source_new(arena, "<words>", sv(with)), &ds);
		m = model_expand(arena, kb, p, &ds);
	}
	t = trouble_look(arena, kb, sv(symptom), m, sv(tried));
	for (uint32_t i = 0; i < t.n_faults; i++)
		buf_print(&b, "%s%s", i > 0 ? " + " : "", craft_text(craft, craft->entry[t.fault[i]].name));
	for (uint32_t i = 0; i < t.n; i++)
		buf_print(&b, "%s%s%s", i > 0 ? ", " : ": ",
		    craft_text(craft, craft->entry[t.s[i].cause].name), t.s[i].tried ? " (tried)" : "");
	out = arena_text(arena, b.n > 0 ? b.p : "", b.n);
	buf_free(&b);
	return out;
}

static const struct { const char *symptom, *with, *tried, *expected; } cases[] = {
	/* the fault's own order; found by its name, a synonym, its symptom, a slip */
	{"snarled wake", "", "", "snarled wake: slack winch, thin blade, thick cloth, bent blade, worn rope"},
	{"knots behind the needle", "", "",
	    "snarled wake: slack winch, thin blade, thick cloth, bent blade, worn rope"},
	{"there are loops like weed", "", "",
	    "snarled wake: slack winch, thin blade, thick cloth, bent blade, worn rope"},
	{"snarled wakke", "", "", "snarled wake: slack winch, thin blade, thick cloth, bent blade, worn rope"},
	/* spoken for moves up; spoken against moves down, behind what is open */
	{"snarled wake", "storm sailcloth coat", "",
	    "snarled wake: thick cloth, slack winch, thin blade, bent blade, worn rope"},
	{"snarled wake", "mist coat", "",
	    "snarled wake: slack winch, thin blade, bent blade, worn rope, thick cloth"},
	/* open: 200-300 of a cloth said to be 300-400 straddles the limit */
	{"snarled wake", "coat in cloth of 300-400 g/m2", "",
	    "snarled wake: slack winch, thin blade, thick cloth, bent blade, worn rope"},
	/* tried goes last, whatever the conditions say; a broad look stands for its kinds */
	{"snarled wake", "storm sailcloth coat", "thick cloth",
	    "snarled wake: slack winch, thin blade, bent blade, worn rope, thick cloth (tried)"},
	{"snarled wake", "", "new blade; wound the winch",
	    "snarled wake: thick cloth, worn rope, slack winch (tried), thin blade (tried), bent blade (tried)"},
	/* words that are no look at a cause move nothing */
	{"snarled wake", "", "sang to the crew",
	    "snarled wake: slack winch, thin blade, thick cloth, bent blade, worn rope"},
	{"zzyzx", "", "", ""},
	/* a fault without causes is still found */
	{"torn leech", "", "", "torn leech"},
};

START_TEST(in_order)
{
	ck_assert_str_eq(looked(cases[_i].symptom, cases[_i].with, cases[_i].tried), cases[_i].expected);
}
END_TEST

START_TEST(read_back)
{
	const struct entry_record *r = kb_entry(kb, kb_entry_find(craft, SV("thin blade"), "cause"));

	ck_assert_str_eq(entry_says(r, "remedy"), "Take a thicker one.");
	ck_assert_str_eq(entry_says(r, "touches"), "needle.size");
	ck_assert_str_eq(entry_says(r, "caution"), "");
	ck_assert_uint_eq(trouble_ease(craft, r), 0);
	ck_assert_uint_ne(r->when, NONE);
	ck_assert_uint_eq(r->each, kind_find(craft, SV("operation")));
	r = kb_entry(kb, kb_entry_find(craft, SV("slack winch"), "cause"));
	ck_assert_uint_eq(r->when, NONE);
	ck_assert_str_eq(craft_text(craft, craft->source[r->basis_low].id), "trial");
	r = kb_entry(kb, kb_entry_find(craft, SV("worn rope"), "cause"));
	ck_assert_uint_eq(trouble_ease(craft, r), 1);
}
END_TEST

int
main(void)
{
	Suite *s = suite_create("trouble");
	TCase *t = tcase_create("trouble");
	SRunner *run;
	int failed;

	tcase_add_unchecked_fixture(t, begin, end);
	tcase_add_loop_test(t, in_order, 0, (int)(sizeof cases / sizeof *cases));
	tcase_add_test(t, read_back);
	suite_add_tcase(s, t);
	run = srunner_create(s);
	srunner_run_all(run, CK_NORMAL);
	failed = srunner_ntests_failed(run);
	srunner_free(run);
	return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
