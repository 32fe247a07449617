/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The base room: text, numbers, Unicode, near names, diagnostics, files, YAML
 * and JSON.  Tables first; a row added is a test added.
 */
#include "base/base.h"

#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#define COUNT(t) (sizeof(t) / sizeof *(t))

/* ---- memory ------------------------------------------------------------ */

START_TEST(arena_keeps_and_forgets)
{
	struct arena *a = arena_new();
	char *first = arena_text(a, "lock", 4), *large;

	ck_assert_str_eq(first, "lock");
	ck_assert_uint_eq((uintptr_t)arena_alloc(a, 3) % 16, 0);
	large = arena_alloc(a, 1000000);       /* larger than a block, and zeroed */
	for (size_t i = 0; i < 1000000; i++)
		ck_assert_int_eq(large[i], 0);
	memset(large, 'x', 1000000);
	ck_assert_str_eq(arena_print(a, "%s-%d", "weir", 7), "weir-7");
	ck_assert_str_eq(first, "lock");
	ck_assert_uint_gt(arena_used(a), 1000000);
	arena_reset(a);
	ck_assert_uint_eq(arena_used(a), 0);
	for (int i = 0; i < 2000; i++) {
		const char *p = arena_alloc(a, 1000);

		ck_assert_int_eq(p[0], 0);
		ck_assert_int_eq(p[999], 0);
	}
	arena_free(a);
}
END_TEST

/* ---- numbers ----------------------------------------------------------- */

static const struct { double x; int digits; const char *shown; } shown[] = {
	{0.85, 15, "0.85"}, {1200, 15, "1200"}, {-3.5, 15, "-3.5"}, {0, 15, "0"},
	{-0.0, 15, "0"}, {0.1 + 0.2, 15, "0.3"}, {1.0 / 3, 3, "0.333"}, {2.0 / 3, 1, "0.7"},
	{99.96, 3, "100"}, {123456, 2, "120000"}, {1e21, 15, "1000000000000000000000"},
	{1e-7, 15, "0.0000001"}, {0.00012345, 3, "0.000123"}, {15.875, 15, "15.875"},
	{INFINITY, 15, "unbounded"}, {1e15, 15, "1000000000000000"}, {10, 1, "10"},
	{-0.0000001, 1, "-0.0000001"},
};

START_TEST(numbers_shown)
{
	struct buf b = {0};

	buf_number(&b, shown[_i].x, shown[_i].digits);
	ck_assert_str_eq(b.p, shown[_i].shown);
	buf_free(&b);
}
END_TEST

static const struct { const char *text; bool good; size_t used; double x; } numbers[] = {
	{"12", true, 2, 12}, {"0.40", true, 4, 0.40}, {"2,5", true, 1, 2}, {"12.", true, 2, 12},
	{".5", true, 2, 0.5}, {"1.2.3", true, 3, 1.2}, {"1e5", true, 1, 1}, {"0x10", true, 1, 0},
	{"-1", false, 0, 0}, {"inf", false, 0, 0}, {"nan", false, 0, 0}, {"", false, 0, 0},
	{".", false, 0, 0}, {"590.541 tex", true, 7, 590.541}, {"0.1", true, 3, 0.1},
	{"0.3333333333333333333", true, 21, 0.333333333333333}, {"1..2", true, 1, 1},
	{"100000000000000000000", true, 21, 1e20}, {"007", true, 3, 7}, {"0.007", true, 5, 0.007},
	{"11111111111111111111111111111111111111111111111111111111111111111", false, 0, 0},
};

START_TEST(numbers_read)
{
	size_t used = 0;
	double x = 0;
	bool good = number_read(sv(numbers[_i].text), &used, &x);

	ck_assert_msg(good == numbers[_i].good, "%s", numbers[_i].text);
	if (good) {
		ck_assert_uint_eq(used, numbers[_i].used);
		ck_assert_msg(x == numbers[_i].x, "%s gave %.17g", numbers[_i].text, x);
	}
}
END_TEST

static const struct { const char *text; bool good; enum sketch_does does; uint32_t n; } marks[] = {
	{"line 0,0 30,0", true, SKETCH_LINE, 2}, {"line 0,0 12.5,0 12.5,1 -3,1", true, SKETCH_LINE, 4},
	{"cross 10", true, SKETCH_CROSS, 0}, {"cross 10 0 2", true, SKETCH_CROSS, 2},
	{"wrap 30 0 1", true, SKETCH_WRAP, 2}, {"  line  0,0   1,1 ", true, SKETCH_LINE, 2},
	{"line 0,0", false, 0, 0}, {"line 0 0 1 1", false, 0, 0}, {"line 0,0 1,", false, 0, 0},
	{"line 0,0 1,1x", false, 0, 0}, {"wrap 30", false, 0, 0}, {"cross 10 0", false, 0, 0},
	{"cross 10 0 2 3", false, 0, 0}, {"ply 0,0 1,1", false, 0, 0}, {"", false, 0, 0},
	{"line 0,0 1,0 2,0 3,0 4,0 5,0 6,0 7,0 8,0 9,0 10,0 11,0 12,0 13,0 14,0 15,0 16,0",
	    false, 0, 0},
};

START_TEST(section_marks)
{
	struct sketch_mark m;

	ck_assert_msg(sketch_read(sv(marks[_i].text), &m) == marks[_i].good, "%s", marks[_i].text);
	if (marks[_i].good) {
		ck_assert_int_eq(m.does, marks[_i].does);
		ck_assert_uint_eq(m.n, marks[_i].n);
	}
}
END_TEST

static const struct { const char *text; bool good; enum sketch_does does; uint32_t n; } shapes[] = {
	{"line 0,0 2.5,0", true, SKETCH_LINE, 2}, {"thin 0,-1 2,-1", true, SKETCH_THIN, 2},
	{"under 0,0 1,1 2,0", true, SKETCH_UNDER, 3}, {"fill 0,0 1,1 2,0", true, SKETCH_FILL, 3},
	{"dot 1,1", true, SKETCH_DOT, 1}, {"every 2.5", true, SKETCH_EVERY, 0},
	{"tell It runs on.", true, SKETCH_TELL, 0}, {"tell", false, 0, 0}, {"dot 1,1 2,2", false, 0, 0},
	{"fill 0,0 1,1", false, 0, 0}, {"every 0", false, 0, 0}, {"every 2 3", false, 0, 0},
	{"cross 10", false, 0, 0}, {"wrap 30 0 1", false, 0, 0}, {"circle 1,1 2", false, 0, 0},
};

START_TEST(shape_marks)
{
	struct sketch_mark m;

	ck_assert_msg(shape_mark_read(sv(shapes[_i].text), &m) == shapes[_i].good, "%s",
	    shapes[_i].text);
	if (shapes[_i].good) {
		ck_assert_int_eq(m.does, shapes[_i].does);
		ck_assert_uint_eq(m.n, shapes[_i].n);
	}
}
END_TEST

START_TEST(views)
{
	ck_assert(sv_eq(sv_trim(SV(" \t a b\r\n")), SV("a b")));
	ck_assert(sv_eq(sv(NULL), SV("")));
	ck_assert_int_lt(sv_cmp(SV("ab"), SV("abc")), 0);
	ck_assert_int_gt(sv_cmp(SV("\xc3\xa9"), SV("z")), 0);
	ck_assert(sv_starts(SV("needle"), "need"));
	ck_assert(!sv_starts(SV("ne"), "need"));
	/* Test vector: "The FNV Non-Cryptographic Hash Algorithm", Fowler, Noll,
	 * Vo and others, IETF draft-eastlake-fnv, FNV-1a 64 bits of "a". */
	ck_assert_uint_eq(hash_bytes("a", 1, 0), UINT64_C(0xaf63dc4c8601ec8c));
}
END_TEST

/* ---- Unicode ----------------------------------------------------------- */

static const struct { const char *text, *folded; } folds[] = {
	{"Cr\xc3\xaape  de  CHINE", "crepe de chine"}, {"  a \n b ", "a b"},
	{"g/m\xc2\xb2", "g/m2"}, {"1\xe2\x85\x9c\xe2\x80\xb3", "1 3/8\""}, {"\xc2\xbd", "1/2"},
	{"\xe2\x80\x9cx\xe2\x80\x9d", "\"x\""}, {"don\xe2\x80\x99t", "don't"},
	{"70\xe2\x80\x93" "80", "70-80"}, {"\xc2\xb0" "C", "\xc2\xb0" "c"},
	{"\xef\xac\x81ne", "fine"}, {"a\xc2\xa0" "b", "a b"}, {"I\xcc\x87", "i"},
	{"so\xc2\xad" "ft", "soft"}, {"\xff", "\xef\xbf\xbd"}, {"", ""},
	{"stra\xc3\x9f" "e", "strasse"},
};

START_TEST(folded)
{
	struct arena *a = arena_new();

	ck_assert_str_eq(text_fold(a, sv(folds[_i].text)), folds[_i].folded);
	arena_free(a);
}
END_TEST

static const struct { const char *text, *safe; size_t cells; } safes[] = {
	{"plain", "plain", 5}, {"\033[31m", "\\x1b[31m", 8}, {"a\nb", "a\\x0ab", 6},
	{"\xc2\x9b", "\\u{9b}", 6}, {"\xe2\x80\xae" "x", "\\u{202e}x", 9},
	{"\xe2\x80\xa8", "\\u{2028}", 8}, {"\xff\xfe", "\\xff\\xfe", 8}, {"\x7f", "\\x7f", 4},
	{"\xe5\xb8\x83", "\xe5\xb8\x83", 2}, {"e\xcc\x81", "e\xcc\x81", 1},
	{"\xc3\xa9", "\xc3\xa9", 1}, {"\xed\xa0\x80", "\\xed\\xa0\\x80", 12},
};

START_TEST(made_safe)
{
	struct buf b = {0};

	text_safe(&b, sv(safes[_i].text));
	ck_assert_str_eq(b.p, safes[_i].safe);
	ck_assert_uint_eq(text_cells(sv(safes[_i].text)), safes[_i].cells);
	buf_free(&b);
}
END_TEST

static const struct { const char *text; bool good; size_t at; } encodings[] = {
	{"caf\xc3\xa9", true, 0}, {"caf\xe9", false, 3}, {"\xc0\xaf", false, 0},
	{"ab\xed\xa0\x80", false, 2}, {"\xf4\x90\x80\x80", false, 0}, {"a\xe2\x82", false, 1},
	{"", true, 0},
};

START_TEST(is_utf8)
{
	size_t at = 99;

	ck_assert(utf8_valid(sv(encodings[_i].text), &at) == encodings[_i].good);
	if (!encodings[_i].good)
		ck_assert_uint_eq(at, encodings[_i].at);
}
END_TEST

static const struct { const char *text; int indent, width; const char *wrapped; } wraps[] = {
	{"the lock keeper waits", 2, 12, "the lock\n  keeper\n  waits"},
	{"one  two\nthree", 0, 0, "one two three"},
	{"unbreakablelongword a", 1, 5, "unbreakablelongword\n a"},
	{"\xe5\xb8\x83\xe5\xb8\x83 \xe5\xb8\x83", 0, 6, "\xe5\xb8\x83\xe5\xb8\x83\n\xe5\xb8\x83"},
	{"", 4, 10, ""},
};

START_TEST(wrapped)
{
	struct buf b = {0};

	text_wrap(&b, wraps[_i].text, wraps[_i].indent, wraps[_i].width);
	ck_assert_str_eq(b.p, wraps[_i].wrapped);
	buf_free(&b);
}
END_TEST

/* ---- near names -------------------------------------------------------- */

static const struct { const char *a, *b; int limit, distance; } distances[] = {
	{"weight", "weight", 2, 0}, {"weigth", "weight", 2, 1}, {"wieght", "weight", 2, 1},
	{"wight", "weight", 2, 1}, {"needle", "needless", 2, 2}, {"hem", "seam", 2, 2},
	{"abcdef", "ghijkl", 2, 3}, {"", "abc", 3, 3}, {"ca", "abc", 3, 3}, {"ab", "ba", 1, 1},
	{"abcd", "badc", 2, 2},
};

START_TEST(distance)
{
	ck_assert_int_eq(edit_distance(sv(distances[_i].a), sv(distances[_i].b),
	    distances[_i].limit), distances[_i].distance);
	ck_assert_int_eq(edit_distance(sv(distances[_i].b), sv(distances[_i].a),
	    distances[_i].limit), distances[_i].distance);
}
END_TEST

START_TEST(best_three)
{
	struct near n = {0};
	static const char *const names[] = {
		"height", "weights", "weight", "freight", "eight", "weight", "wait"
	};

	for (size_t i = 0; i < COUNT(names); i++)
		near_offer(&n, SV("weigth"), names[i]);
	ck_assert_int_eq(n.n, 3);
	ck_assert_str_eq(n.name[0], "weight");
	ck_assert_int_eq(n.distance[0], 1);
	ck_assert_str_eq(n.name[1], "height");
	ck_assert_str_eq(n.name[2], "weights");
	n = (struct near){0};
	near_offer(&n, SV("x"), "y");          /* a single letter is near nothing */
	near_offer(&n, SV("hem"), "overlock");
	ck_assert_int_eq(n.n, 0);
}
END_TEST

/* ---- diagnostics ------------------------------------------------------- */

START_TEST(catalogue_is_whole)
{
	for (int i = 0; i < D__COUNT; i++) {
		const char *name = diag_name((enum diag_id)i);

		ck_assert_uint_gt(strlen(name), 2);
		for (const char *p = name; *p != '\0'; p++)
			ck_assert_msg(*p == '-' || (*p >= 'a' && *p <= 'z') ||
			    (*p >= '0' && *p <= '9'), "%s", name);
		ck_assert_int_lt(diag_level((enum diag_id)i), DIAG__LEVELS);
		for (int k = 0; k < i; k++)
			ck_assert_str_ne(name, diag_name((enum diag_id)k));
	}
	ck_assert_str_eq(diag_name(D_MORE_THAN_ONE_DOCUMENT), "more-than-one-document");
}
END_TEST

static const struct { const char *text; uint32_t at, n; const char *printed; } carets[] = {
	{"a: b\nweigth: 3\n", 5, 6,
	 "f.yaml:2:1: error: weigth is given twice; the first stands in line 1 [duplicate-key]\n"
	 "  2 | weigth: 3\n    | ^^^^^^\n  remedy: keep one of the two\n"},
	{"\tab: 3\n", 1, 2,                    /* a tab is four cells wide */
	 "f.yaml:1:2: error: weigth is given twice; the first stands in line 1 [duplicate-key]\n"
	 "  1 |     ab: 3\n    |     ^^\n  remedy: keep one of the two\n"},
	{"\xe5\xb8\x83\xe5\xb8\x83: \xe5\xb8\x83\n", 8, 3,     /* wide characters */
	 "f.yaml:1:5: error: weigth is given twice; the first stands in line 1 [duplicate-key]\n"
	 "  1 | \xe5\xb8\x83\xe5\xb8\x83: \xe5\xb8\x83\n    |       ^^\n"
	 "  remedy: keep one of the two\n"},
	{"e\xcc\x81t\xc3\xa9: \033x", 7, 2,    /* accents, then an escape shown as four cells */
	 "f.yaml:1:6: error: weigth is given twice; the first stands in line 1 [duplicate-key]\n"
	 "  1 | e\xcc\x81t\xc3\xa9: \\x1bx\n    |     ^^^^^\n  remedy: keep one of the two\n"},
	{"abc", 3, 0,                          /* the very end */
	 "f.yaml:1:4: error: weigth is given twice; the first stands in line 1 [duplicate-key]\n"
	 "  1 | abc\n    |    ^\n  remedy: keep one of the two\n"},
	{"ab: |\r\n  c\r\n", 0, 12,            /* a span over several lines ends with the first */
	 "f.yaml:1:1: error: weigth is given twice; the first stands in line 1 [duplicate-key]\n"
	 "  1 | ab: |\n    | ^^^^^\n  remedy: keep one of the two\n"},
};

START_TEST(caret_in_cells)
{
	struct arena *a = arena_new();
	struct source *s = source_new(a, "f.yaml", sv(carets[_i].text));
	struct diags ds;
	struct buf b = {0};

	/* The accent row points behind the blank: "e' t e: " is 8 bytes. */
	diags_init(&ds, a);
	diag(&ds, (struct place){s, carets[_i].at, carets[_i].n}, D_DUPLICATE_KEY, "weigth", "1");
	diags_print(&b, &ds, false);
	ck_assert_str_eq(b.p, carets[_i].printed);
	buf_free(&b);
	arena_free(a);
}
END_TEST

START_TEST(long_line_is_cut)
{
	struct arena *a = arena_new();
	char *text = arena_alloc(a, 100001);
	struct source *s;
	struct diags ds;
	struct buf b = {0};
	const char *caret;

	memset(text, 'x', 100000);
	text[60000] = '!';
	s = source_new(a, "long", (strview){text, 100000});
	diags_init(&ds, a);
	diag(&ds, (struct place){s, 60000, 1}, D_YAML_TAB);
	diags_print(&b, &ds, false);
	ck_assert_uint_lt(b.n, 600);
	/* The caret stands under the mark. */
	caret = strchr(strchr(b.p, '!'), '^');
	ck_assert_ptr_nonnull(caret);
	ck_assert_int_eq(strchr(b.p, '!') - (strchr(b.p, '\n') + 1),
	    caret - (strchr(strchr(b.p, '!'), '\n') + 1));
	buf_free(&b);
	arena_free(a);
}
END_TEST

START_TEST(complaints_are_bounded)
{
	struct arena *a = arena_new();
	struct diags ds;
	struct near n = {.name = {"weight", "height", NULL}, .n = 2};
	struct buf b = {0};

	diags_init(&ds, a);
	ds.limit = 3;
	diag(&ds, (struct place){0}, D_FILE_MISSING, "a\033b");
	diag_near(&ds, &n);
	for (int i = 0; i < 9; i++)
		diag(&ds, (struct place){0}, D_FILE_EMPTY, "x");
	diag_near(&ds, &n);                    /* belongs to one that was dropped */
	ck_assert_uint_eq(ds.n, 3);
	ck_assert_uint_eq(ds.errors, 10);
	ck_assert_str_eq(ds.d[0].near, "did you mean weight or height?");
	ck_assert_str_eq(ds.d[2].near, "");
	diags_print(&b, &ds, false);
	ck_assert_ptr_nonnull(strstr(b.p, "there is no file a\\x1bb [file-missing]"));
	ck_assert_ptr_nonnull(strstr(b.p, "7 more not shown"));
	ck_assert_ptr_null(strchr(b.p, '\033'));
	buf_clear(&b);
	diags_print(&b, &ds, true);
	ck_assert_ptr_nonnull(strstr(b.p, "\033[1;31merror\033[0m"));
	buf_free(&b);
	arena_free(a);
}
END_TEST

/* ---- files ------------------------------------------------------------- */

START_TEST(files_replaced_and_read)
{
	char folder[] = "check-base-XXXXXX";
	struct arena *a = arena_new();
	struct diags ds;
	const char *why, *path, *link_path;
	strview got;
	struct stat st;

	diags_init(&ds, a);
	ck_assert_ptr_nonnull(mkdtemp(folder));
	path = arena_print(a, "%s/plan.yaml", folder);
	link_path = arena_print(a, "%s/link.yaml", folder);

	ck_assert(!file_read(a, path, 100, &got, &ds));
	ck_assert_int_eq(ds.d[0].id, D_FILE_MISSING);
	ck_assert(!file_read(a, folder, 100, &got, &ds));
	ck_assert_int_eq(ds.d[1].id, D_FILE_DIRECTORY);
	ck_assert(!file_read(a, "/dev/null", 100, &got, &ds));
	ck_assert_int_eq(ds.d[2].id, D_FILE_NOT_REGULAR);

	ck_assert(file_replace(path, SV("one\0two"), false, &why));
	ck_assert(file_read(a, path, 7, &got, &ds));
	ck_assert(sv_eq(got, SV("one\0two")));
	ck_assert(!file_read(a, path, 6, &got, &ds));
	ck_assert_int_eq(ds.d[3].id, D_FILE_TOO_LARGE);

	ck_assert(!file_replace(path, SV("x"), false, &why));
	ck_assert_str_eq(why, "it exists already");
	ck_assert_int_eq(chmod(path, 0640), 0);
	ck_assert_int_eq(symlink("plan.yaml", link_path), 0);
	ck_assert(file_replace(link_path, SV("three"), true, &why));
	ck_assert_int_eq(lstat(link_path, &st), 0);
	ck_assert(S_ISLNK(st.st_mode));        /* the link still is one */
	ck_assert_int_eq(stat(path, &st), 0);
	ck_assert_int_eq(st.st_mode & 0777, 0640);
	ck_assert(file_read(a, path, 100, &got, &ds));
	ck_assert(sv_is(got, "three"));
	ck_assert(file_replace(path, SV(""), true, &why));
	ck_assert(!file_read(a, path, 100, &got, &ds));
	ck_assert_int_eq(ds.d[4].id, D_FILE_EMPTY);
	ck_assert(!file_replace(folder, SV("x"), true, &why));
	ck_assert_str_eq(why, "it is a folder");
	ck_assert(!file_replace(arena_print(a, "%s/no/such", folder), SV("x"), false, &why));
	ck_assert_str_eq(why, "no such file or folder");

	/* Nothing but the two is left: no temporary stays behind. */
	ck_assert_int_eq(unlink(link_path), 0);
	ck_assert_int_eq(unlink(path), 0);
	ck_assert_int_eq(rmdir(folder), 0);
	arena_free(a);
}
END_TEST

/* ---- YAML -------------------------------------------------------------- */

/* Everything the nodes hold, in one line. */
static void
dump(struct buf *b, const struct node *n)
{
	if (n == NULL) {
		buf_str(b, "(none)");
		return;
	}
	switch (n->type) {
	case NODE_TEXT:
		buf_print(b, n->quoted ? "'%.*s'" : "%.*s", (int)n->text.n, n->text.p);
		return;
	case NODE_LIST:
		buf_char(b, '[');
		for (const struct node *i = n->first; i != NULL; i = i->next) {
			dump(b, i);
			if (i->next != NULL)
				buf_char(b, '|');
		}
		buf_char(b, ']');
		return;
	case NODE_MAP:
		buf_char(b, '{');
		for (const struct node *i = n->first; i != NULL; i = i->next) {
			dump(b, i);
			buf_char(b, '=');
			dump(b, i->value);
			if (i->next != NULL)
				buf_char(b, '|');
		}
		buf_char(b, '}');
		return;
	}
}

static const struct { const char *text, *nodes; } good_yaml[] = {
	{"a: b\n", "{a=b}"}, {"a:\n", "{a=}"}, {"- 1\n- [x, 'y z']\n", "[1|[x|'y z']]"},
	{"# remark\n---\na: no\nb: 1:30\nc: 014\n", "{a=no|b=1:30|c=014}"},
	{"\xef\xbb\xbf" "a: b\n", "{a=b}"}, {"a: |\n  one\n  two\n", "{a=one\ntwo\n}"},
	{"a: {b: c, d: [e]}\n", "{a={b=c|d=[e]}}"}, {"a: \"tab\\there\"\n", "{a='tab\there'}"},
	{"'quoted': \"\"\n", "{'quoted'=''}"}, {"a: b\r\nc: d\r\n", "{a=b|c=d}"},
	{"a: 5/8\"\nb: \xe2\x85\x9c\n", "{a=5/8\"|b=\xe2\x85\x9c}"}, {"plain", "plain"},
	{"a:\n- b\n- c: d\n  e: f\n", "{a=[b|{c=d|e=f}]}"},
};

START_TEST(yaml_good)
{
	struct arena *a = arena_new();
	struct diags ds;
	struct buf b = {0};

	diags_init(&ds, a);
	dump(&b, yaml_read(a, source_new(a, "t", sv(good_yaml[_i].text)), yaml_project_limits, &ds));
	ck_assert_str_eq(b.p, good_yaml[_i].nodes);
	ck_assert_uint_eq(ds.n, 0);
	buf_free(&b);
	arena_free(a);
}
END_TEST

/* Line and column are where a person would look; remedy: a part of it. */
static const struct {
	const char *text;
	size_t n;                          /* 0: strlen */
	enum diag_id id;
	uint32_t line, column;
	const char *remedy;
} bad_yaml[] = {
	{"note: seam: 15 mm\n", 0, D_YAML_COLON, 1, 11, "write  note: \"seam: 15 mm\""},
	{"\xc3\xa9t\xc3\xa9: a\nn: say \"x\": y # z\n", 0, D_YAML_COLON, 2, 11,
	 "write  n: 'say \"x\": y'"},
	{"shell: drill\n  weight: 3\n", 0, D_YAML_CHILD_OF_TEXT, 2, 3, "  weight: 3"},
	{"a:\n\tb: c\n", 0, D_YAML_TAB, 2, 1, "replace the tab"},
	{"a: @b\n", 0, D_YAML_START_CHARACTER, 1, 4, "name: \"@\""},
	{"a: `b\n", 0, D_YAML_START_CHARACTER, 1, 4, "name: \"`\""},
	{"a: b\nc\nd: e\n", 0, D_YAML_NO_COLON, 2, 1, "write  name: value"},
	{"  a: b\n c: d\n", 0, D_YAML_AFTER_END, 2, 2, "give it the indentation"},
	{"a:\n- b\nc: d\n- e\n", 0, D_YAML_EXPECTED_KEY, 4, 1, "same column"},
	{"- a\nb: c\n", 0, D_YAML_EXPECTED_DASH, 2, 1, "- item"},
	{"a: [b, c\nd: e\n", 0, D_YAML_OPEN_LIST, 1, 4, "[first, second]"},
	{"a: {b: c\n", 0, D_YAML_OPEN_MAP, 1, 4, "{first: 1, second: 2}"},
	{"\xc3\xa9: x\na: \"b\nc: d\n", 0, D_YAML_OPEN_QUOTE, 2, 4, "\"text\""},
	{"a: 'b\n", 0, D_YAML_OPEN_QUOTE, 1, 4, "same mark"},
	{"a: ]\n", 0, D_YAML_MISSING_VALUE, 1, 4, "name: value"},
	{"a: - b\n", 0, D_YAML_DASH_MISPLACED, 1, 4, "next line"},
	{"a: ? b\n", 0, D_YAML_QUESTION_MARK, 1, 4, "\"? text\""},
	{"a: \"\\q\"\n", 0, D_YAML_ESCAPE, 1, 5, "\\\\"},
	{"a: \"\\xzz\"\n", 0, D_YAML_ESCAPE, 1, 7, "backslash"},
	{"a: | text\n  b\n", 0, D_YAML_BLOCK_HEADER, 1, 6, "name: |"},
	{"%what\na: b\n", 0, D_YAML_PERCENT, 1, 1, "in quotes"},
	{"a: * b\n", 0, D_YAML_STAR, 1, 4, "\"* text\""},
	{"a: &x b\nc: *x\n", 0, D_YAML_ANCHOR, 1, 4, "write the value out"},
	{"a: *x\n", 0, D_YAML_ANCHOR, 1, 4, ""},
	{"<<: b\n", 0, D_YAML_ANCHOR, 1, 1, ""},
	{"a: !int 3\n", 0, D_YAML_TAG, 1, 4, "mark out"},
	{"a: !x!y 3\n", 0, D_YAML_TAG, 1, 4, ""},
	{"%YAML 1.1\n---\na: b\n", 0, D_YAML_DIRECTIVE, 1, 1, ""},
	{"[a]: b\n", 0, D_YAML_KEY_NOT_TEXT, 1, 1, ""},
	{"\"\": b\n", 0, D_YAML_KEY_EMPTY, 1, 1, ""},
	{"# only a remark\n", 0, D_YAML_NOTHING, 0, 0, ""},
	{"---\n", 0, D_YAML_NOTHING, 0, 0, ""},
	{"a: b\n---\nc: d\n", 0, D_MORE_THAN_ONE_DOCUMENT, 2, 1, ""},
	{"a: 1\nb: 2\n\"a\": 3\n", 0, D_DUPLICATE_KEY, 3, 1, "keep one"},
	{"x: {\xc3\xa9: 1, \xc3\xa9: 2}\n", 0, D_DUPLICATE_KEY, 1, 11, ""},
	{"a: b\0c\n", 7, D_CONTROL_CHARACTER, 1, 5, "delete it"},
	{"a: \033[31m\n", 0, D_CONTROL_CHARACTER, 1, 4, ""},
	{"a: \"\\0\"\n", 0, D_CONTROL_CHARACTER, 1, 4, ""},
	{"a: \"\\e[31m\"\n", 0, D_CONTROL_CHARACTER, 1, 4, ""},
	{"a: \"\\u009b\"\n", 0, D_CONTROL_CHARACTER, 1, 4, ""},
	{"a: \xc2\x9b\n", 0, D_CONTROL_CHARACTER, 1, 4, ""},
	{"a: caf\xe9\n", 0, D_NOT_UTF8, 1, 7, "UTF-8"},
	{"\xff\xfe" "a\0", 4, D_NOT_UTF8, 1, 1, ""},
};

START_TEST(yaml_bad)
{
	struct arena *a = arena_new();
	size_t n = bad_yaml[_i].n > 0 ? bad_yaml[_i].n : strlen(bad_yaml[_i].text);
	struct source *s = source_new(a, "t", (strview){bad_yaml[_i].text, n});
	struct diags ds;
	struct buf b = {0};
	uint32_t line, column;

	diags_init(&ds, a);
	ck_assert_ptr_null(yaml_read(a, s, yaml_project_limits, &ds));
	ck_assert_uint_gt(ds.errors, 0);
	ck_assert_msg(ds.d[0].id == bad_yaml[_i].id, "%s: got %s (%s), wanted %s",
	    bad_yaml[_i].text, diag_name(ds.d[0].id), ds.d[0].message, diag_name(bad_yaml[_i].id));
	place_line_column(ds.d[0].place, &line, &column);
	ck_assert_msg(line == bad_yaml[_i].line && column == bad_yaml[_i].column,
	    "%s: at %u:%u, wanted %u:%u", bad_yaml[_i].text, line, column, bad_yaml[_i].line,
	    bad_yaml[_i].column);
	ck_assert_msg(strstr(ds.d[0].remedy, bad_yaml[_i].remedy) != NULL, "%s: remedy %s",
	    bad_yaml[_i].text, ds.d[0].remedy);
	diags_print(&b, &ds, false);
	ck_assert_ptr_null(strchr(b.p, '\033'));
	buf_free(&b);
	arena_free(a);
}
END_TEST

START_TEST(yaml_names_both_places)
{
	struct arena *a = arena_new();
	struct diags ds;

	diags_init(&ds, a);
	ck_assert_ptr_null(yaml_read(a, source_new(a, "t", SV("k: 1\nx: 2\nk: 3\nx: 4\n")),
	    yaml_project_limits, &ds));
	ck_assert_uint_eq(ds.n, 2);            /* both, not the first alone */
	ck_assert_str_eq(ds.d[0].message, "k is given twice; the first stands in line 1");
	ck_assert_str_eq(ds.d[1].message, "x is given twice; the first stands in line 2");
	arena_free(a);
}
END_TEST

static const char *const bombs[] = {
	"[", "{", "{a: ", "- ", "? ", "[{", "a: [",
	"!a ", "&a ", "'", "\"", "- - ? "
};

/* 200,000 of anything must be refused at once, and never read as good. */
START_TEST(yaml_bomb)
{
	struct arena *a = arena_new();
	size_t n = strlen(bombs[_i]), total = n == 1 ? 199999 : 200000 / n * n;
	char *text = arena_alloc(a, total + 1);
	struct diags ds;
	struct timespec t0, t1;

	for (size_t i = 0; i < total; i += n)
		memcpy(text + i, bombs[_i], n);
	diags_init(&ds, a);
	clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t0);
	ck_assert_ptr_null(yaml_read(a, source_new(a, "bomb", (strview){text, total}),
	    yaml_project_limits, &ds));
	clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t1);
	ck_assert_uint_gt(ds.errors, 0);
	ck_assert_msg((double)(t1.tv_sec - t0.tv_sec) +
	    (double)(t1.tv_nsec - t0.tv_nsec) / 1e9 < 0.5, "%s took too long", bombs[_i]);
	arena_free(a);
}
END_TEST

static bool
nested(size_t depth)
{
	struct arena *a = arena_new();
	struct buf b = {0};
	struct diags ds;
	bool good;

	for (size_t i = 0; i < depth; i++)
		buf_char(&b, '[');
	for (size_t i = 0; i < depth; i++)
		buf_char(&b, ']');
	diags_init(&ds, a);
	good = yaml_read(a, source_new(a, "t", (strview){b.p, b.n}), yaml_project_limits, &ds) != NULL;
	if (!good)
		ck_assert_int_eq(ds.d[0].id, D_YAML_TOO_DEEP);
	buf_free(&b);
	arena_free(a);
	return good;
}

START_TEST(yaml_limits_fit_and_one_more)
{
	struct arena *a = arena_new();
	struct diags ds;
	struct yaml_limits few = {8, 6, 20};

	ck_assert(nested(64));
	ck_assert(!nested(65));
	diags_init(&ds, a);
	/* stream, document, text, document end, stream end: five events */
	ck_assert_ptr_nonnull(yaml_read(a, source_new(a, "t", SV("a")), few, &ds));
	ck_assert_ptr_null(yaml_read(a, source_new(a, "t", SV("[a, b]")), few, &ds));
	ck_assert_int_eq(ds.d[0].id, D_YAML_TOO_MANY);
	ck_assert_ptr_null(yaml_read(a, source_new(a, "t", SV("aaaaaaaaaaaaaaaaaaaaa")), few, &ds));
	ck_assert_int_eq(ds.d[1].id, D_FILE_TOO_LARGE);
	arena_free(a);
}
END_TEST

START_TEST(yaml_places)
{
	struct arena *a = arena_new();
	struct source *s = source_new(a, "p", SV("\xc3\xa9: \xe5\xb8\x83\nlist:\n  - one\n  - 'two'\n"));
	struct diags ds;
	struct node *root, *list;
	struct buf b = {0};

	diags_init(&ds, a);
	root = yaml_read(a, s, yaml_project_limits, &ds);
	ck_assert_ptr_nonnull(root);
	ck_assert_uint_eq(root->n, 2);
	place_name(&b, node_get(root, "\xc3\xa9")->place);
	ck_assert_str_eq(b.p, "p:1:4");
	ck_assert_uint_eq(node_get(root, "\xc3\xa9")->place.n, 3);
	list = node_get(root, "list");
	ck_assert_uint_eq(list->n, 2);
	buf_clear(&b);
	place_name(&b, list->first->next->place);
	ck_assert_str_eq(b.p, "p:4:5");
	/* A value is a view of the file, so its parts have places too. */
	ck_assert_ptr_eq(list->first->next->text.p, s->text.p + list->first->next->place.at + 1);
	ck_assert_ptr_null(node_get(root, "none"));
	ck_assert_ptr_null(node_get(NULL, "none"));
	ck_assert_uint_eq(node_key(root, "list")->place.at, 8);
	buf_free(&b);
	arena_free(a);
}
END_TEST

/* ---- JSON -------------------------------------------------------------- */

START_TEST(json_written)
{
	struct buf b = {0};
	struct json j = {.out = &b};

	json_open(&j, '{');
	json_key(&j, "a\"b");
	json_open(&j, '[');
	json_number(&j, 0.5);
	json_number(&j, INFINITY);
	json_bool(&j, true);
	json_str(&j, NULL);
	json_open(&j, '{');
	json_close(&j, '}');
	json_close(&j, ']');
	json_key(&j, "t");
	json_text(&j, SV("\033\n\t\\\0\xff\xc3\xa9\xe2\x80\xae\xc2\x9b\x7f"));
	json_close(&j, '}');
	ck_assert_str_eq(b.p, "{\"a\\\"b\":[0.5,null,true,null,{}],\"t\":"
	    "\"\\u001b\\n\\t\\\\\\u0000\xef\xbf\xbd\xc3\xa9\\u202e\\u009b\\u007f\"}");
	buf_free(&b);
}
END_TEST

#define ROWS(test, table) tcase_add_loop_test(t, test, 0, (int)COUNT(table))

int
main(void)
{
	Suite *s = suite_create("base");
	TCase *t = tcase_create("base");
	SRunner *r;
	int failed;

	tcase_set_timeout(t, 60);
	tcase_add_test(t, arena_keeps_and_forgets);
	ROWS(numbers_shown, shown);
	ROWS(numbers_read, numbers);
	ROWS(section_marks, marks);
	ROWS(shape_marks, shapes);
	tcase_add_test(t, views);
	ROWS(folded, folds);
	ROWS(made_safe, safes);
	ROWS(is_utf8, encodings);
	ROWS(wrapped, wraps);
	ROWS(distance, distances);
	tcase_add_test(t, best_three);
	tcase_add_test(t, catalogue_is_whole);
	ROWS(caret_in_cells, carets);
	tcase_add_test(t, long_line_is_cut);
	tcase_add_test(t, complaints_are_bounded);
	tcase_add_test(t, files_replaced_and_read);
	ROWS(yaml_good, good_yaml);
	ROWS(yaml_bad, bad_yaml);
	tcase_add_test(t, yaml_names_both_places);
	ROWS(yaml_bomb, bombs);
	tcase_add_test(t, yaml_limits_fit_and_one_more);
	tcase_add_test(t, yaml_places);
	tcase_add_test(t, json_written);
	suite_add_tcase(s, t);
	r = srunner_create(s);
	srunner_run_all(r, CK_ENV);
	failed = srunner_ntests_failed(r);
	srunner_free(r);
	return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
