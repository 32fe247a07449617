/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The present room: pages in their text form and on a terminal.
 */
#include "present/present.h"

#include <check.h>
#include <stdlib.h>
#include <string.h>

#define COUNT(t) (sizeof(t) / sizeof *(t))

static struct arena *arena;
static struct page *page;

static void
begin(void)
{
	arena = arena_new();
	page = page_new(arena);
}

static void
end(void)
{
	arena_free(arena);
}

/* What the page looks like. */
static const char *
shown(int width, bool colour, bool ascii)
{
	struct look look = {.width = width, .colour = colour, .ascii = ascii};
	struct buf b = {0};
	const char *t;

	page_terminal(&b, page, &look);
	t = arena_text(arena, b.p, b.n);
	buf_free(&b);
	return t;
}

static const char *
written(const struct page *p)
{
	struct buf b = {0};
	const char *t;

	page_write(&b, p);
	t = arena_text(arena, b.p, b.n);
	buf_free(&b);
	return t;
}

/* ---- text form ------------------------------------------------------------ */

START_TEST(text_form_reads_back)
{
	static const char *const cells[] = {"a", "b \"quoted\"", "", "c\\d", "e\nf", "\303\251"};
	struct diags ds;
	struct page *again;
	const char *first;

	diags_init(&ds, arena);
	page_add(page, BLOCK_TITLE, NULL, "A coat");
	page_add(page, BLOCK_HEADING, NULL, "One")->level = 1;
	page_add(page, BLOCK_HEADING, NULL, "Two")->level = 2;
	page_item(page, 0, TONE_GRAVE, "1. grave", "too hot");
	page_item(page, 2, TONE_PLAIN, "", "a line\nand another\twith \x01 in it");
	page_add(page, BLOCK_EXCERPT, NULL, "f:1:2\n  1 | x\n    | ^");
	page_table(page, 3, 2, cells);
	page_add(page, BLOCK_PAIR, "shell", "");
	first = written(page);
	again = page_read(arena, sv(first), &ds);
	ck_assert_ptr_nonnull(again);
	ck_assert_uint_eq(ds.n, 0);
	ck_assert_str_eq(written(again), first);
	ck_assert_str_eq(again->first->next->next->next->label, "1. grave");
	ck_assert_int_eq(again->first->next->next->next->tone, TONE_GRAVE);
}
END_TEST

static const char *const broken[] = {
	"nothing \"x\"", "item", "item \"open", "item 9 \"x\"", "item green \"x\"",
	"table 2 2 \"a\"", "table 2 99 \"a\"", "table 4000000 4000000", "paragraph \"a\\q\"",
	"paragraph \"a\" \"b\" \"c\"", "pair \"a\" \"b", "paragraph \"\\x00\"", "paragraph \"a\nb\"",
};

START_TEST(text_form_refused)
{
	struct diags ds;

	diags_init(&ds, arena);
	ck_assert_ptr_null(page_read(arena, sv(broken[_i]), &ds));
	ck_assert_uint_gt(ds.errors, 0);
}
END_TEST

/* ---- the page's own check ---------------------------------------------------- */

START_TEST(page_faults_named)
{
	const char *culprit;

	page_add(page, BLOCK_PARAGRAPH, NULL, "x");
	ck_assert(page_check(page, &culprit));
	page_add(page, BLOCK_HEADING, NULL, "h")->level = 3;
	ck_assert(!page_check(page, &culprit));
	ck_assert_str_eq(culprit, "a heading that skips a level");
}
END_TEST

/* ---- a terminal ----------------------------------------------------------------- */

START_TEST(text_is_wrapped_under_itself)
{
	page_add(page, BLOCK_HEADING, NULL, "Head");
	page_item(page, 0, TONE_GRAVE, "grave", "one two three four five six");
	ck_assert_str_eq(shown(24, false, false),
	    "Head\n  grave  one two three\n         four five six\n");
	ck_assert_str_eq(shown(0, false, false), "Head\n  grave  one two three four five six\n");
}
END_TEST

START_TEST(labels_stand_in_a_column)
{
	page_add(page, BLOCK_PAIR, "a", "first");
	page_add(page, BLOCK_PAIR, "longer", "second");
	ck_assert_str_eq(shown(40, false, false), "a       first\nlonger  second\n");
}
END_TEST

START_TEST(width_is_counted_in_cells)
{
	/* Two letters of two cells each, and one with an accent of its own. */
	page_add(page, BLOCK_PAIR, "\350\243\201\347\270\253", "x");
	page_add(page, BLOCK_PAIR, "e\314\201t\303\251", "y");
	ck_assert_str_eq(shown(40, false, false),
	    "\350\243\201\347\270\253  x\ne\314\201t\303\251   y\n");
}
END_TEST

START_TEST(no_control_gets_through)
{
	static const char *const cells[] = {"h\033[1m", "\302\233x", "\342\200\256", "\007"};
	const char *t;

	page_add(page, BLOCK_TITLE, NULL, "a\033]0;t\007");
	page_item(page, 0, TONE_PLAIN, "\033[2J", "\r\b\177");
	page_add(page, BLOCK_EXCERPT, NULL, "x\033y\nz");
	page_table(page, 2, 2, cells);
	t = shown(80, false, false);
	for (const char *p = t; *p != '\0'; p++)
		ck_assert(*p == '\n' || (unsigned char)*p >= 0x20);
	ck_assert_ptr_null(strstr(t, "\302\233"));
	ck_assert_ptr_null(strstr(t, "\342\200\256"));
	ck_assert_ptr_nonnull(strstr(t, "\\x1b"));
}
END_TEST

START_TEST(colour_only_adds)
{
	const char *plain;
	struct buf b = {0};

	page_add(page, BLOCK_HEADING, NULL, "Head");
	page_item(page, 0, TONE_GRAVE, "grave", "some words that are long enough to wrap");
	page_item(page, 1, TONE_PLAIN, "because", "of this");
	plain = shown(30, false, false);
	for (const char *p = shown(30, true, false); *p != '\0'; p++) {
		if (*p == '\033') {
			while (*p != 'm')
				p++;
			continue;
		}
		buf_char(&b, *p);
	}
	ck_assert_str_eq(b.p, plain);
	buf_free(&b);
}
END_TEST

START_TEST(plain_ascii_on_request)
{
	page_add(page, BLOCK_PARAGRAPH, NULL,
	    "cr\303\252pe 110 g/m\302\262, 200 \302\260C, \302\275 in, \342\211\245 3 \303\227 2");
	ck_assert_str_eq(shown(0, false, true), "crepe 110 g/m2, 200 degC, 1/2 in, >= 3 x 2\n");
}
END_TEST

START_TEST(table_in_columns)
{
	static const char *const cells[] = {"set", "start", "needle", "80/12", "thread", ""};

	page_table(page, 3, 2, cells);
	ck_assert_str_eq(shown(80, false, false),
	    "set     start\n------  -----\nneedle  80/12\nthread\n");
}
END_TEST

START_TEST(table_narrowed_then_cards)
{
	static const char *const cells[] = {
		"setting", "what changes it", "needle size", "a heavier cloth than this one",
	};

	page_table(page, 2, 2, cells);
	ck_assert_str_eq(shown(40, false, false),
	    "setting      what changes it\n"
	    "-----------  ---------------------------\n"
	    "needle size  a heavier cloth than this\n"
	    "             one\n");
	ck_assert_str_eq(shown(24, false, false),
	    "setting: needle size\n"
	    "  what changes it: a\n"
	    "                   heavier\n"
	    "                   cloth\n"
	    "                   than\n"
	    "                   this\n"
	    "                   one\n");
}
END_TEST

START_TEST(no_blanks_at_line_ends)
{
	static const char *const cells[] = {"a", "b", "c", "x", "", ""};
	const char *t;

	page_item(page, 0, TONE_PLAIN, "label", "");
	page_item(page, 1, TONE_PLAIN, "deeper", "text");
	page_table(page, 2, 3, cells);
	page_add(page, BLOCK_PAIR, "term", "");
	for (int width = 20; width <= 100; width += 10) {
		t = shown(width, false, false);
		ck_assert_ptr_null(strstr(t, " \n"));
	}
}
END_TEST

START_TEST(any_page_survives)
{
	static const char *const texts[] = {
		"", "x", "\377\376", "a\nb\n\nc", "    ", "averyverylongwordthatfitsnowhereatall",
	};

	for (size_t i = 0; i < COUNT(texts); i++) {
		for (int type = 0; type < BLOCK__COUNT; type++) {
			if (type == BLOCK_TABLE)
				page_table(page, 1, 1, &texts[i]);
			else
				page_add(page, (enum block_type)type, texts[i], texts[i]);
		}
		page_item(page, 9, TONE_OPEN, texts[i], texts[i]);
	}
	page_table(page, 0, 0, texts);
	for (int width = 0; width <= 100; width += 20)
		ck_assert_ptr_nonnull(shown(width, true, true));
}
END_TEST

int
main(void)
{
	Suite *s = suite_create("present");
	TCase *t = tcase_create("present");
	SRunner *r;
	int failed;

	tcase_add_checked_fixture(t, begin, end);
	tcase_add_test(t, text_form_reads_back);
	tcase_add_loop_test(t, text_form_refused, 0, (int)COUNT(broken));
	tcase_add_test(t, page_faults_named);
	tcase_add_test(t, text_is_wrapped_under_itself);
	tcase_add_test(t, labels_stand_in_a_column);
	tcase_add_test(t, width_is_counted_in_cells);
	tcase_add_test(t, no_control_gets_through);
	tcase_add_test(t, colour_only_adds);
	tcase_add_test(t, plain_ascii_on_request);
	tcase_add_test(t, table_in_columns);
	tcase_add_test(t, table_narrowed_then_cards);
	tcase_add_test(t, no_blanks_at_line_ends);
	tcase_add_test(t, any_page_survives);
	suite_add_tcase(s, t);
	r = srunner_create(s);
	srunner_run_all(r, CK_ENV);
	failed = srunner_ntests_failed(r);
	srunner_free(r);
	return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
