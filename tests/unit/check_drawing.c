/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Drawings: their text form, as characters, as SVG, and the blocks of a page
 * that only paper needs.
 */
#include "present/present.h"

#include <check.h>
#include <math.h>
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

static const char *
kept(struct buf *b)
{
	const char *t = arena_text(arena, b->p != NULL ? b->p : "", b->n);

	buf_free(b);
	return t;
}

static const char *
written(const struct page *p)
{
	struct buf b = {0};

	page_write(&b, p);
	return kept(&b);
}

static const char *
shown(const struct page *p, struct look look)
{
	struct buf b = {0};

	page_terminal(&b, p, &look);
	return kept(&b);
}

/* One of each kind of shape. */
static struct drawing *
all_shapes(void)
{
	static const double x[] = {0, 10, 10, 0}, y[] = {0, 0, 5.25, 5.25}, bar[] = {1, 2, 7, 9.5};
	struct drawing *d = drawing_new(arena, 40, 20, "A \"thing\"", "It lies\nthere.");

	drawing_line(d, PEN_DASHED, 4, x, y);
	drawing_area(d, FILL_HATCH, PEN_THICK, 4, x, y);
	drawing_box(d, FILL_LIGHT, PEN_NONE, 20, 10, 5, -2);
	drawing_circle(d, FILL_DARK, PEN_THIN, 5, 5, 1.5);
	drawing_arc(d, PEN_PLAIN, 5, 5, 2, -90, 45.5);
	drawing_text(d, ANCHOR_END, 30, -1, "a <b> & \\ c");
	drawing_dimension(d, 0, 0, 10, 0, -3, "10 mm");
	drawing_range(d, 15, bar, "1-9");
	return d;
}

/* ---- the text form ------------------------------------------------------------ */

START_TEST(every_shape_reads_back)
{
	struct diags ds;
	struct page *again;
	const char *first, *culprit;

	diags_init(&ds, arena);
	page_drawing(page, all_shapes());
	((struct drawing *)page->last->drawing)->measured = true;
	page_add(page, BLOCK_PARAGRAPH, NULL, "after");
	first = written(page);
	ck_assert_msg(page_check(page, &culprit), "%s", culprit);
	again = page_read(arena, sv(first), &ds);
	ck_assert_ptr_nonnull(again);
	ck_assert_str_eq(written(again), first);
	ck_assert_uint_eq(again->first->drawing->n, 8);
	ck_assert(again->first->drawing->measured);
	ck_assert_str_eq(again->first->drawing->words, "It lies\nthere.");
	ck_assert_int_eq(again->first->next->type, BLOCK_PARAGRAPH);
}
END_TEST

START_TEST(blocks_of_paper_read_back)
{
	static const char *const cells[] = {"", "poor", "good", "one", "a", "b"};
	struct diags ds;
	struct page *again;
	struct block *t;
	const char *first;

	diags_init(&ds, arena);
	page->about = (struct about){"A sheet", "en", "Class 3", "from here"};
	t = page_table(page, 2, 3, cells);
	page_caption(page, t, "What suits");
	page_cell_tone(page, t, 1, 2, TONE_GOOD);
	t->row_heads = true;
	t->height = 12.5;
	page_box(page, "a swatch", 60, 40);
	page_add(page, BLOCK_BREAK, NULL, NULL);
	page_add(page, BLOCK_PARAGRAPH, NULL, "next");
	first = written(page);
	again = page_read(arena, sv(first), &ds);
	ck_assert_ptr_nonnull(again);
	ck_assert_str_eq(written(again), first);
	ck_assert_str_eq(again->about.class_line, "Class 3");
	t = again->first;
	ck_assert_str_eq(t->label, "What suits");
	ck_assert(t->row_heads);
	ck_assert(fabs(t->height - 12.5) < 1e-9);
	ck_assert_int_eq(t->tones[5], TONE_GOOD);
	ck_assert_int_eq(t->tones[4], TONE_PLAIN);
	ck_assert(fabs(t->next->height - 40) < 1e-9);
}
END_TEST

static const char *const broken[] = {
	"drawing 10 \"t\" \"w\"", "drawing 10 10 \"t\"", "drawing 10 10 \"t\" \"\"",
	"drawing 0 10 \"t\" \"w\"", "drawing 10 10 \"t\" \"w\"\n  line 1,1",
	"drawing 10 10 \"t\" \"w\"\n  line 1,1 2", "drawing 10 10 \"t\" \"w\"\n  star 1,1 2,2",
	"drawing 10 10 \"t\" \"w\"\n  line 1,1 2000,2", "drawing 10 10 \"t\" \"w\"\n  circle 1,1",
	"drawing 10 10 \"t\" \"w\"\n  circle 1,1 0", "drawing 10 10 \"t\" \"w\"\n  text 1,1",
	"drawing 10 10 \"t\" \"w\"\n  range 4,1 3,1 5,1 6,1 \"x\"",
	"drawing 10 10 \"t\" \"w\"\n  dimension 1,1 1,1 0 \"x\"",
	"box 10 \"x\"", "box \"x\"", "about colour \"x\"", "about title", "break \"x\"",
	"table 1 1 high \"x\"\n  \"a\"", "table 1 1 heads\n  green \"a\"",
};

START_TEST(broken_form_refused)
{
	struct diags ds;

	diags_init(&ds, arena);
	ck_assert_ptr_null(page_read(arena, sv(broken[_i]), &ds));
	ck_assert_uint_gt(ds.errors, 0);
}
END_TEST

/* ---- geometry -------------------------------------------------------------------- */

struct sum { double length; uint32_t n; const struct shape *s; };

static void
add_length(void *to, double x0, double y0, double x1, double y1)
{
	struct sum *s = to;

	s->length += sqrt((x1 - x0) * (x1 - x0) + (y1 - y0) * (y1 - y0));
	s->n++;
}

/* Lines one step apart cover what the area measures, whatever its outline. */
START_TEST(hatch_fills_its_area)
{
	static const double x[] = {0, 60, 60, 30, 30, 0}, y[] = {0, 0, 60, 60, 30, 30};
	struct drawing *d = drawing_new(arena, 100, 100, "", "w");
	struct sum s = {0};

	drawing_hatch(drawing_area(d, FILL_HATCH, PEN_PLAIN, 6, x, y), 0.5, add_length, &s);
	ck_assert_msg(fabs(s.length * 0.5 - 2700) < 27, "%g", s.length * 0.5);
	s = (struct sum){0};
	drawing_hatch(drawing_circle(d, FILL_HATCH, PEN_PLAIN, 50, 50, 20), 0.5, add_length, &s);
	ck_assert_msg(fabs(s.length * 0.5 - 1256.6) < 13, "%g", s.length * 0.5);
}
END_TEST

static const struct { double width, height; bool measured; double ratio; } ratios[] = {
	{100, 50, true, 1}, {100, 50, false, 1}, {161, 50, true, 2}, {320, 50, false, 2},
	{10, 900, true, 5}, {200, 10, false, 1.25}, {16000, 1, true, 100},
};

START_TEST(large_things_are_drawn_smaller)
{
	struct drawing *d = drawing_new(arena, ratios[_i].width, ratios[_i].height, "", "w");

	d->measured = ratios[_i].measured;
	ck_assert(fabs(drawing_ratio(d) - ratios[_i].ratio) < 1e-9);
}
END_TEST

/* ---- characters --------------------------------------------------------------------- */

static const char *
characters(const struct drawing *d, int width, bool ascii)
{
	struct buf b = {0};

	return drawing_characters(&b, d, 0, width, ascii) ? kept(&b) : NULL;
}

START_TEST(box_in_characters)
{
	struct drawing *d = drawing_new(arena, 32, 9.6, "", "w");

	drawing_box(d, FILL_NONE, PEN_PLAIN, 0, 0, 16, 6.4);
	drawing_text(d, ANCHOR_START, 3.2, 3.2, "in it");
	drawing_dimension(d, 0, 6.4, 16, 6.4, 3.2, "16");
	ck_assert_str_eq(characters(d, 80, true),
	    "+---------+\n"
	    "| in it   |\n"
	    "+---------+\n"
	    "+-- 16 ---+\n");
	ck_assert_str_eq(characters(d, 80, false),
	    "┌─────────┐\n"
	    "│ in it   │\n"
	    "└─────────┘\n"
	    "├── 16 ───┤\n");
}
END_TEST

START_TEST(close_lines_stay_apart)
{
	struct drawing *d = drawing_new(arena, 32, 0.3, "", "w");

	drawing_stroke(d, PEN_PLAIN, 0, 0, 32, 0);
	drawing_stroke(d, PEN_THICK, 0, 0.1, 32, 0.1);
	drawing_stroke(d, PEN_DASHED, 16, 0, 16, 0.3);
	ck_assert_str_eq(characters(d, 80, true),
	    "----------+----------\n"
	    "==========+==========\n"
	    "          :\n");
}
END_TEST

/* What would not read well is not drawn in characters at all. */
START_TEST(words_where_characters_fail)
{
	struct look look = {.width = 60};
	struct drawing *d;

	ck_assert_ptr_null(characters(all_shapes(), 80, false));
	d = drawing_new(arena, 32, 10, "Title", "All it shows, in words.");
	drawing_stroke(d, PEN_PLAIN, 0, 5, 32, 5);
	ck_assert_ptr_nonnull(characters(d, 80, false));
	ck_assert_ptr_null(characters(d, 15, false));
	drawing_text(d, ANCHOR_START, 5, 5, "on the line");
	ck_assert_ptr_null(characters(d, 80, false));
	page_drawing(page, d);
	ck_assert_str_eq(shown(page, look), "Title\nAll it shows, in words.\n");
}
END_TEST

START_TEST(words_instead_on_request)
{
	struct look drawn = {.width = 60}, told = {.width = 60, .words = true};
	struct drawing *d = drawing_new(arena, 32, 10, "", "A line.");

	drawing_stroke(d, PEN_PLAIN, 0, 0, 32, 0);
	page_drawing(page, d);
	ck_assert_str_ne(shown(page, drawn), "A line.\n");
	ck_assert_str_eq(shown(page, told), "A line.\n");
}
END_TEST

START_TEST(no_control_through_a_drawing)
{
	struct look look = {.width = 60};
	struct drawing *d = drawing_new(arena, 32, 10, "t\033[1m", "w\033[2J");
	const char *t;

	drawing_text(d, ANCHOR_START, 1, 1, "x\033[0m");
	page_drawing(page, d);
	page_box(page, "b\007", 10, 10);
	page_add(page, BLOCK_BREAK, NULL, NULL);
	page_add(page, BLOCK_PARAGRAPH, NULL, "p");
	t = shown(page, look);
	ck_assert_ptr_null(strchr(t, '\033'));
	ck_assert_ptr_null(strchr(t, '\007'));
	ck_assert_ptr_nonnull(strstr(t, "x\\x1b"));
}
END_TEST

/* ---- SVG ------------------------------------------------------------------------------- */

START_TEST(svg_escapes_and_keeps_to_itself)
{
	struct drawing *d = all_shapes();
	struct buf b = {0};
	const char *t;

	drawing_text(d, ANCHOR_START, 1, 1, "\"><script>alert(1)</script>\033");
	drawing_svg(&b, d, false);
	t = kept(&b);
	ck_assert_ptr_null(strstr(t, "<script"));
	ck_assert_ptr_null(strchr(t, '\033'));
	ck_assert_ptr_nonnull(strstr(t, "a &lt;b&gt; &amp; \\ c"));
	ck_assert_ptr_nonnull(strstr(t, "aria-label=\"A &quot;thing&quot;\""));
	ck_assert_ptr_null(strstr(t, "href"));
	ck_assert_ptr_null(strstr(t, " id="));
	ck_assert_str_eq(t + strlen(t) - 10, "</g></svg>");
}
END_TEST

int
main(void)
{
	Suite *s = suite_create("drawing");
	TCase *t = tcase_create("drawing");
	SRunner *r;
	int failed;

	tcase_add_checked_fixture(t, begin, end);
	tcase_add_test(t, every_shape_reads_back);
	tcase_add_test(t, blocks_of_paper_read_back);
	tcase_add_loop_test(t, broken_form_refused, 0, (int)COUNT(broken));
	tcase_add_test(t, hatch_fills_its_area);
	tcase_add_loop_test(t, large_things_are_drawn_smaller, 0, (int)COUNT(ratios));
	tcase_add_test(t, box_in_characters);
	tcase_add_test(t, close_lines_stay_apart);
	tcase_add_test(t, words_where_characters_fail);
	tcase_add_test(t, words_instead_on_request);
	tcase_add_test(t, no_control_through_a_drawing);
	tcase_add_test(t, svg_escapes_and_keeps_to_itself);
	suite_add_tcase(s, t);
	r = srunner_create(s);
	srunner_run_all(r, CK_ENV);
	failed = srunner_ntests_failed(r);
	srunner_free(r);
	return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
