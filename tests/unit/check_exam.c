/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The exam's own arithmetic and its matching: what must match, and as many
 * that must not.
 */
#include "said.h"
#include "values.h"

#ifndef EXAM_HOME
#define EXAM_HOME "tests/exam"
#endif

static struct exam x;

static void
open_exam(void)
{
	const char *why = "";

	kb_from("tests/unit/kb-exam/kb", "tests/unit/kb-exam/rules");
	ck_assert_msg(exam_open(&x, EXAM_HOME, kb, &why), "%s", why);
	(void)say_nothing;
	unused();
}

static void
close_exam(void)
{
	exam_close(&x);
	kb_done();
}

/* ---- words ---------------------------------------------------------------------- */

static struct answer
entry_answer(const char *name, const char *kind)
{
	uint32_t e = kb_entry_find(craft, sv(name), kind);

	ck_assert_msg(e != NONE, "no %s", name);
	return (struct answer){.is = ANSWER_ENTRY, .entry = e};
}

static struct answer
word_answer(const char *set, const char *word)
{
	uint32_t s = set_find(craft, sv(set));

	return (struct answer){.is = ANSWER_WORD, .set = s, .word = word_find(craft, s, sv(word))};
}

/* An answer that is an entry, what was expected, and whether they match. */
static const struct { const char *answer, *kind, *expected; bool match; } names[] = {
	/* the same entry: own name, synonym, a plural, case and hyphens */
	{"felled seam", "seam type", "felled seam", true},
	{"felled seam", "seam type", "Felled Seams", true},
	{"felled seam", "seam type", "flat seam", true},
	{"felled seam", "seam type", "flat-seam", true},
	{"barge canvas", "fabric", "tarred cloth", true},
	{"lock velvet", "fabric", "muslin", true},
	{"sail cloth", "fabric", "muslin", true},
	/* a broader kind of the answer, one and two steps up */
	{"mock felled seam", "seam type", "felled seam", true},
	{"mock felled seam", "seam type", "flat seam", true},
	{"barge canvas", "fabric", "canvas", true},
	/* one of several phrases */
	{"felled seam", "seam type", "plain seam|bound|flat seam", true},
	{"heron gauze", "fabric", "gauze of herons", false},
	/* a phrase that names nothing, by all its words whatever their order */
	{"heron gauze", "fabric", "gauzes heron", true},
	{"mock felled seam", "seam type", "felled mock seam", true},
	{"barge canvas", "fabric", "barges' canvas", true},
	{"plain seam", "seam type", "seam, plain", true},

	/* never the narrower for the broader */
	{"felled seam", "seam type", "mock felled seam", false},
	{"sail cloth", "fabric", "barge canvas", false},
	/* never a root: what says no more than the sort of thing */
	{"plain seam", "seam type", "seam", false},
	{"mock felled seam", "seam type", "seams", false},
	{"barge canvas", "fabric", "fabric", false},
	{"lock velvet", "fabric", "cloth of the weir", false},
	/* a sister is no match */
	{"plain seam", "seam type", "felled seam", false},
	{"lock velvet", "fabric", "heron gauze", false},
	/* no part of the words, no part of a word */
	{"heron gauze", "fabric", "gauze", false},
	{"heron gauze", "fabric", "light", false},
	{"heron gauze", "fabric", "light gauze", false},
	{"mock felled seam", "seam type", "felled", false},
	{"barge canvas", "fabric", "barge canvas and tar", false},
	/* no spelling is forgiven */
	{"barge canvas", "fabric", "barge canvass cloth", false},
	{"felled seam", "seam type", "feled seam", false},
	/* a name of another thing is not read as mere words */
	{"lock velvet", "fabric", "nap", false},
	{"felled seam", "seam type", "", false},
	{"felled seam", "seam type", "|", false},
};

START_TEST(matches_names)
{
	struct answer a = entry_answer(names[_i].answer, names[_i].kind);

	ck_assert_msg(match_expected(&x, &a, names[_i].expected) == names[_i].match,
	    "%s and \"%s\" should%s match", names[_i].answer, names[_i].expected,
	    names[_i].match ? "" : " not");
}
END_TEST

static const struct { const char *set, *answer, *expected; bool match; } words[] = {
	{"attach", "sew-in", "sew-in", true},
	{"attach", "sew-in", "sew in", true},
	{"attach", "sew-in", "stitched on", true},
	{"attach", "sew-in", "bonded|sewn to the canvas", true},
	{"attach", "fusible", "Fusible", true},
	{"layout", "one way", "one-way", true},
	{"layout", "one way", "way one", true},
	{"attach", "fusible", "sew-in", false},
	{"attach", "fusible", "stitched on", false},
	{"attach", "sew-in", "any old way", false},
	{"layout", "one way", "one", false},
	{"layout", "either way", "way", false},
	{"attach", "tear-away", "tear", false},
	{"layout", "one way", "fusible", false},
};

START_TEST(matches_words)
{
	struct answer a = word_answer(words[_i].set, words[_i].answer);

	ck_assert_msg(match_expected(&x, &a, words[_i].expected) == words[_i].match,
	    "%s and \"%s\" should%s match", words[_i].answer, words[_i].expected,
	    words[_i].match ? "" : " not");
}
END_TEST

/* ---- numbers --------------------------------------------------------------------- */

static const dimension length = {6, 0, 0, 0};
static const dimension mass_area = {-12, 6, 0, 0}, mass_length = {-6, 6, 0, 0};

static const struct {
	double lo, hi;
	const dimension *dim;
	const char *min, *max, *unit;
	bool match;
} numbers[] = {
	{0.0025, 0.0025, &length, "2", "3", "mm", true},
	{0.0025, 0.0025, &length, "2.5", "2.5", "mm", true},
	{0.002, 0.002, &length, "2", "3", "mm", true},         /* ends included */
	{0.003, 0.003, &length, "2", "3", "mm", true},
	{0.0127, 0.0127, &length, "0.5", "0.5", "in", true},
	{0.0127, 0.0127, &length, "1.2", "1.3", "cm", true},
	{0.0025, 0.0025, &length, "2", "", "mm", true},
	{0.012, 0.012, &mass_area, "3", "3", "mm", true},      /* the same letters, another unit */
	{0.00004, 0.00004, &mass_length, "25", "25", "knots", true},
	{0.0019, 0.0019, &length, "2", "3", "mm", false},
	{0.0031, 0.0031, &length, "2", "3", "mm", false},
	{0.0025, 0.0025, &length, "2", "3", "cm", false},
	{0.0025, 0.0025, &length, "", "", "mm", false},        /* nothing expected */
	{0.0025, 0.0025, &length, "2", "3", "tex", false},     /* another dimension */
	{0.0025, 0.0025, &length, "2", "3", "furlong", false},
	{0.0015, 0.0025, &length, "2", "3", "mm", false},      /* not all of it within */
	{0.00004, 0.00004, &mass_length, "26", "30", "knots", false},
};

START_TEST(matches_numbers)
{
	struct answer a = {.is = ANSWER_NUMBER, .number = {numbers[_i].lo, numbers[_i].hi},
	    .dim = *numbers[_i].dim, .property = NONE};

	ck_assert_int_eq(match_number(&x, &a, numbers[_i].min, numbers[_i].max, numbers[_i].unit),
	    numbers[_i].match);
}
END_TEST

/* A number held against words: only what says a number of that property. */
static const struct { double length; const char *expected; bool match; } said_numbers[] = {
	{0.003, "3 mm", true}, {0.003, "2-4 mm", true}, {0.00635, "1/4 in", true},
	{0.003, "long stitches", true}, {0.004, "plain seam|long stitches", true},
	{0.003, "4 mm", false}, {0.0025, "3-4 mm", false}, {0.003, "3", false},
	{0.003, "3 tex", false}, {0.0025, "long stitches", false}, {0.003, "plain seam", false},
	{0.003, "fusible", false},
};

START_TEST(matches_said_numbers)
{
	struct answer a = {.is = ANSWER_NUMBER, .dim = length,
	    .number = {said_numbers[_i].length, said_numbers[_i].length},
	    .property = property_named("operation", "length")};

	ck_assert_int_eq(match_expected(&x, &a, said_numbers[_i].expected), said_numbers[_i].match);
}
END_TEST

START_TEST(a_word_is_no_number)
{
	struct answer seam = entry_answer("plain seam", "seam type");

	ck_assert(!match_number(&x, &seam, "0", "100", "mm"));
}
END_TEST

START_TEST(every_value_left_open_must_be_told)
{
	struct answer a[8];
	value v = {.state = VALUE_KNOWN};
	uint32_t p = property_named("component", "attach");

	v.set[0] = 5;                      /* fusible or tear-away */
	v.set[1] = 0;
	ck_assert_uint_eq(answers_of(&x, p, &v, a, 8), 2);
	ck_assert(match_phrase(&x, &a[0], "fusible"));
	ck_assert(!match_phrase(&x, &a[1], "fusible"));
	v.state = VALUE_UNKNOWN;
	ck_assert_uint_eq(answers_of(&x, p, &v, a, 8), 0);
}
END_TEST

/* ---- families ---------------------------------------------------------------------- */

START_TEST(families)
{
	ck_assert(touches(&x, "needle.size", "needle.size"));
	ck_assert(touches(&x, "needle.size", "thread.size"));
	ck_assert(touches(&x, "thread.size", "needle.size"));
	ck_assert(touches(&x, "hem.kind", "stitch.kind"));
	ck_assert(touches(&x, "preshrink", "care"));
	ck_assert(touches(&x, "other", "foot"));
	ck_assert(!touches(&x, "needle.point", "needle.size"));
	ck_assert(!touches(&x, "needle.size", "stitch.length"));
	ck_assert(!touches(&x, "interfacing.weight", "press.heat"));
	ck_assert(!touches(&x, "foot", "other"));
	ck_assert(!touches(&x, "care", "press.heat"));
	ck_assert(!touches(&x, "seam.kind", "seam.allowance"));
}
END_TEST

/* ---- sheets -------------------------------------------------------------------------- */

START_TEST(sheets)
{
	struct sheet s;
	const char *why;

	ck_assert(sheet_parse(arena, SV("\xef\xbb\xbf" "id,said\r\n"
	    "1,\"a, \"\"b\"\"\nc\"\r\n\n2\r\n"), &s, &why));
	ck_assert_uint_eq(s.n_rows, 2);
	ck_assert_str_eq(sheet_cell(&s, 0, "id"), "1");
	ck_assert_str_eq(sheet_cell(&s, 0, "said"), "a, \"b\"\nc");
	ck_assert_str_eq(sheet_cell(&s, 1, "said"), "");
	ck_assert_str_eq(sheet_cell(&s, 1, "no such"), "");
	ck_assert(sheet_parse(arena, SV("a,b\n1,2"), &s, &why));
	ck_assert_str_eq(sheet_cell(&s, 0, "b"), "2");
	ck_assert(!sheet_parse(arena, SV("a,b\n1,\"2"), &s, &why));
	ck_assert(!sheet_parse(arena, SV("a,b\n1,2,3\n"), &s, &why));
	ck_assert(!sheet_parse(arena, SV("a,b\n\"1\"x,2\n"), &s, &why));
	ck_assert(!sheet_parse(arena, SV("\n\n"), &s, &why));
}
END_TEST

START_TEST(lists)
{
	struct list l = list_split(arena, " a | b c||d ", '|');

	ck_assert_uint_eq(l.n, 3);
	ck_assert_str_eq(l.item[1], "b c");
	ck_assert_uint_eq(list_split(arena, "", '|').n, 0);
}
END_TEST

/* ---- figures ------------------------------------------------------------------------- */

static const struct { const char *expected, *tolerance; double ours; bool agrees; } figures[] = {
	{"2.5", "0.1", 2.55, true}, {"2.5", "0.1", 2.6, true}, {"2.5", "0.1", 2.61, false},
	{"2.5", "0", 2.54, true}, {"2.5", "0", 2.46, true}, {"2.5", "0", 2.56, false},
	{"3", "0", 3.4, true}, {"3", "0", 2.4, false}, {"3.00", "0", 3.004, true},
	{"3.00", "0", 3.006, false}, {"0.98", "1e-06", 0.9800005, true},
	{"0.98", "1e-06", 0.98001, false}, {"-2", "0.5", -2.2, true}, {"-2", "0.5", 2, false},
	{"heavy", "0", 3, false},
};

START_TEST(tolerances)
{
	struct figures f = {.expected = figures[_i].expected, .tolerance = figures[_i].tolerance};

	ck_assert_int_eq(figure_agrees(&f, figures[_i].ours), figures[_i].agrees);
}
END_TEST

static const char map_text[] =
    "domain,inputs,output,how,what,with,gives,end\n"
    ",seen,,flag,,,,\n"
    "rope,rope_size;metres;colour?,weight_kg,formula,{sort}-weight,"
    "size=rope_size:tex;length=metres:m,kg,\n"
    "rope,sort;rope_size;metres,weight_kg,formula,{sort}-weight,"
    "size=rope_size:tex;length=metres:m,kg,\n"
    "rope,sort;knots;metres,weight_kg,formula,{sort}-weight,size=knots:knots;length=metres:m,kg,\n"
    "*,inches,mm,convert,,inches:in,mm,\n"
    "cloth,cloth,weight_min,property,fabric.weight,{cloth},g/m2,low\n"
    "cloth,cloth,weight,property,fabric.weight,{cloth},g/m2,\n"
    "cloth,cloth,grams,property,fabric.how heavy,{cloth},g/m2,\n"
    "cloth,cloth,grams,property,fabric.weights,{cloth},g/m2,\n"
    "gate,*,load,table,no_such,{*},kg,\n"
    "gate,*,load,table,gate_weight,{*},kg,\n"
    "gate,*,load_most,table,gate_weight,{*},kg,high\n"
    "rope,rope_size,ten_metres_kg,formula,rope-weight,size=rope_size:tex;length=10:m,kg,\n";

static const struct {
	const char *domain, *inputs, *output, *expected;
	bool computed, offered;
	double ours;
	bool within;
} worked[] = {
	{"rope", "sort=rope;rope_size=50;metres=20", "weight_kg", "0.001", true, true, 0.001, true},
	{"rope", "sort=rope;knots=20;metres=20;seen=1", "weight_kg", "0.001", true, true, 0.001, true},
	{"rope", "sort=rope;rope_size=50;metres=200", "weight_kg", "0.01", true, false, 0, false},
	/* not valid; no such formula; an input short, and one too many */
	{"rope", "sort=wire;rope_size=50;metres=20", "weight_kg", "0.01", true, false, 0, false},
	{"rope", "sort=rope;rope_size=50", "weight_kg", "0.01", true, false, 0, false},
	{"rope", "sort=rope;rope_size=50;metres=20;age=3", "weight_kg", "0.01", true, false, 0, false},
	{"lock", "inches=1 1/4", "mm", "31.75", true, true, 31.75, true},
	{"lock", "gate: inches=2 (wide)", "mm", "50.8", true, true, 50.8, true},
	{"lock", "inches=1-3", "mm", "40", true, true, 50.8, true},
	{"lock", "inches=broad", "mm", "40", false, false, 0, false},
	{"cloth", "cloth=sail_cloth", "weight", "250", false, true, 260, true},
	{"cloth", "cloth=sail_cloth", "weight", "330", false, true, 260, true},   /* one source's */
	{"cloth", "cloth=sail_cloth", "weight", "300", false, true, 260, false},
	{"cloth", "cloth=sail_cloth", "weight_min", "240", false, true, 240, true},
	{"cloth", "cloth=barge_canvas", "weight", "240", false, false, 0, false}, /* not known */
	{"cloth", "cloth=moonlight", "weight", "240", false, false, 0, false},
	/* by a word of its label, in the second line that fits */
	{"cloth", "cloth=sail_cloth", "grams", "250", false, true, 260, true},
	/* a cell by its words: the one of most, a bare input, several as one, none */
	{"gate", "place=the_lock;part=gates", "load", "900", false, true, 900, true},
	{"gate", "sort=oak_gate", "load", "500", false, true, 550, true},
	{"gate", "sort=oak_gate", "load_most", "600", false, true, 600, true},
	{"gate", "sluice", "load", "150", false, true, 150, true},
	{"gate", "sluice;part=gate", "load", "90", false, true, 350, false},
	{"gate", "part=towpath", "load", "150", false, false, 0, false},
	/* a number in the map stands for itself */
	{"rope", "rope_size=50", "ten_metres_kg", "0.0005", true, true, 0.0005, true},
};

START_TEST(works_out)
{
	const char *why;
	struct sheet map, s;
	struct figures f;
	struct outcome o;
	char *row = arena_print(arena, "id,domain,inputs,output_name,expected,tolerance,unit\n"
	    "1,%s,%s,%s,%s,0,\n", worked[_i].domain, worked[_i].inputs, worked[_i].output,
	    worked[_i].expected);

	ck_assert(sheet_parse(arena, sv(map_text), &map, &why));
	ck_assert_msg(sheet_parse(arena, sv(row), &s, &why), "%s", why);
	figures_read(&x, &s, 0, &map, &f);
	ck_assert_int_eq(f.computed, worked[_i].computed);
	o = work_out(&x, &f, &map);
	ck_assert_msg(o.offered == worked[_i].offered, "%s: %s", worked[_i].inputs, o.why);
	if (o.offered) {
		ck_assert_double_eq_tol((o.is.lo + o.is.hi) / 2, worked[_i].ours, 1e-9);
		ck_assert_int_eq(figure_within(&f, &o), worked[_i].within);
	}
}
END_TEST

/* What heads a cell of a table is no word of a description. */
START_TEST(cells_are_no_names)
{
	const struct name *name;

	ck_assert_uint_eq(kb_names(craft, sv("sluice"), &name), 0);
	ck_assert_uint_eq(kb_names(craft, sv("fusible"), &name), 1);
}
END_TEST

#define N(table) (int)(sizeof table / sizeof *table)

int
main(void)
{
	Suite *suite = suite_create("exam");
	TCase *all = tcase_create("exam");
	SRunner *runner = srunner_create(suite);
	int failed;

	tcase_add_checked_fixture(all, open_exam, close_exam);
	tcase_add_loop_test(all, matches_names, 0, N(names));
	tcase_add_loop_test(all, matches_words, 0, N(words));
	tcase_add_loop_test(all, matches_numbers, 0, N(numbers));
	tcase_add_loop_test(all, matches_said_numbers, 0, N(said_numbers));
	tcase_add_test(all, a_word_is_no_number);
	tcase_add_test(all, every_value_left_open_must_be_told);
	tcase_add_test(all, families);
	tcase_add_test(all, sheets);
	tcase_add_test(all, lists);
	tcase_add_test(all, cells_are_no_names);
	tcase_add_loop_test(all, tolerances, 0, N(figures));
	tcase_add_loop_test(all, works_out, 0, N(worked));
	suite_add_tcase(suite, all);
	srunner_run_all(runner, CK_NORMAL);
	failed = srunner_ntests_failed(runner);
	srunner_free(runner);
	return failed == 0 ? 0 : 1;
}
