/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The measure room: truth, dimensions, ranges, units, readings, showing.  The
 * units here are a small table of our own; the program's stand in kb/.
 */
#include "measure/measure.h"

#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#define COUNT(t) (sizeof(t) / sizeof *(t))
#define INF INFINITY

/* ---- truth ------------------------------------------------------------- */

START_TEST(truth_tables)
{
	/* One letter a state; rows are the left side. */
	static const char state[] = "FUTA";
	static const char *const both[] = {"FFFF", "FUUA", "FUTA", "FAAA"};
	static const char *const either[] = {"FUTF", "UUTU", "TTTT", "FUTA"};

	for (int a = 0; a < TRI__COUNT; a++) {
		for (int b = 0; b < TRI__COUNT; b++) {
			ck_assert_int_eq(state[tri_and((tri)a, (tri)b)], both[a][b]);
			ck_assert_int_eq(state[tri_or((tri)a, (tri)b)], either[a][b]);
			/* Order never matters. */
			ck_assert_int_eq(tri_and((tri)a, (tri)b), tri_and((tri)b, (tri)a));
			ck_assert_int_eq(tri_or((tri)a, (tri)b), tri_or((tri)b, (tri)a));
			for (int c = 0; c < TRI__COUNT; c++) {
				ck_assert_int_eq(tri_and(tri_and((tri)a, (tri)b), (tri)c),
				    tri_and((tri)a, tri_and((tri)b, (tri)c)));
				ck_assert_int_eq(tri_or(tri_or((tri)a, (tri)b), (tri)c),
				    tri_or((tri)a, tri_or((tri)b, (tri)c)));
			}
		}
		ck_assert_int_eq(tri_not(tri_not((tri)a)), a);
	}
	ck_assert_int_eq(tri_not(TRI_ABSENT), TRI_ABSENT);
	ck_assert_int_eq(tri_not(TRI_TRUE), TRI_FALSE);
	ck_assert_str_eq(tri_name(TRI_UNKNOWN), "unknown");
}
END_TEST

/* ---- dimensions -------------------------------------------------------- */

static const struct { const char *text; bool good; dimension d; const char *shown; } dims[] = {
	{"number", true, {0, 0, 0, 0}, "number"},
	{"length", true, {6, 0, 0, 0}, "length"},
	{"mass/length^2", true, {-12, 6, 0, 0}, "mass/length^2"},
	{"mass*length/time^2", true, {6, 6, -12, 0}, "mass*length/time^2"},
	{"mass^1/2", true, {0, 3, 0, 0}, "mass^1/2"},
	{"mass^1/2/length^1/2", true, {-3, 3, 0, 0}, "mass^1/2/length^1/2"},
	{"1/length", true, {-6, 0, 0, 0}, "1/length"},
	{"length^-1", true, {-6, 0, 0, 0}, "1/length"},
	{"length^2/3", true, {4, 0, 0, 0}, "length^2/3"},
	{"length^5/6", true, {5, 0, 0, 0}, "length^5/6"},
	{"length/length", true, {0, 0, 0, 0}, "number"},
	{"length^1/4", false, {0, 0, 0, 0}, ""}, {"breadth", false, {0, 0, 0, 0}, ""},
	{"length^", false, {0, 0, 0, 0}, ""}, {"length*", false, {0, 0, 0, 0}, ""},
	{"", false, {0, 0, 0, 0}, ""}, {"length^99", false, {0, 0, 0, 0}, ""},
	{"length mass", false, {0, 0, 0, 0}, ""}, {"length^1/0", false, {0, 0, 0, 0}, ""},
};

START_TEST(dimension_read_and_shown)
{
	dimension d = {0}, again = {0};
	struct buf b = {0};

	ck_assert_msg(dim_read(sv(dims[_i].text), &d) == dims[_i].good, "%s", dims[_i].text);
	if (dims[_i].good) {
		ck_assert(dim_eq(d, dims[_i].d));
		dim_print(&b, d);
		ck_assert_str_eq(b.p, dims[_i].shown);
		ck_assert(dim_read((strview){b.p, b.n}, &again) && dim_eq(d, again));
	}
	buf_free(&b);
}
END_TEST

START_TEST(dimension_arithmetic)
{
	dimension mass = {0, 6, 0, 0}, length = {6, 0, 0, 0}, d, e, big = {120, 0, 0, 0};

	ck_assert(dim_div(mass, length, &d) && dim_pow(d, 1, 2, &e));
	ck_assert(dim_eq(e, (dimension){-3, 3, 0, 0}));
	ck_assert(dim_mul(e, e, &e) && dim_eq(e, d));
	ck_assert(!dim_pow(length, 1, 4, &e));
	ck_assert(!dim_pow(length, 1, 0, &e));
	ck_assert(!dim_mul(big, big, &e));
	ck_assert(!dim_pow(big, 3, 1, &e));
	ck_assert(dim_div(big, big, &e) && dim_none(e));
}
END_TEST

/* ---- ranges ------------------------------------------------------------ */

enum op { ADD, SUB, MUL, DIV, ABS, NEG, LEAST, GREATEST, HULL, ROUND, FLOOR, CEIL };

static range
apply(enum op op, range a, range b)
{
	switch (op) {
	case ADD: return range_add(a, b);
	case SUB: return range_sub(a, b);
	case MUL: return range_mul(a, b);
	case DIV: return range_div(a, b);
	case ABS: return range_abs(a);
	case NEG: return range_neg(a);
	case LEAST: return range_least(a, b);
	case GREATEST: return range_greatest(a, b);
	case HULL: return range_hull(a, b);
	case ROUND: return range_round(a, b);
	case FLOOR: return range_floor(a, b);
	case CEIL: return range_ceil(a, b);
	}
	return a;
}

static const struct { enum op op; range a, b, is; } sums[] = {
	{ADD, {1, 2}, {3, 5}, {4, 7}}, {ADD, {1, INF}, {-INF, 2}, {-INF, INF}},
	{SUB, {1, 2}, {3, 5}, {-4, -1}}, {SUB, {0, INF}, {0, INF}, {-INF, INF}},
	{SUB, {INF, INF}, {INF, INF}, {-INF, INF}},
	{MUL, {2, 3}, {4, 5}, {8, 15}}, {MUL, {-2, 3}, {-5, 4}, {-15, 12}},
	{MUL, {0, 0}, {-INF, INF}, {0, 0}}, {MUL, {0, 1}, {0, INF}, {0, INF}},
	{MUL, {-1, 0}, {1, INF}, {-INF, 0}}, {MUL, {-INF, INF}, {-INF, INF}, {-INF, INF}},
	{DIV, {6, 6}, {3, 3}, {2, 2}}, {DIV, {49, 49}, {49, 49}, {1, 1}},
	{DIV, {1, 2}, {4, 8}, {0.125, 0.5}}, {DIV, {-1, 2}, {4, 8}, {-0.25, 0.5}},
	{DIV, {1, 2}, {-8, -4}, {-0.5, -0.125}}, {DIV, {1, 2}, {-1, 1}, {-INF, INF}},
	{DIV, {1, 2}, {0, 4}, {0.25, INF}}, {DIV, {-2, -1}, {0, 4}, {-INF, -0.25}},
	{DIV, {0, 2}, {0, 4}, {0, INF}}, {DIV, {1, 2}, {0, 0}, {-INF, INF}},
	{DIV, {0, 0}, {-1, 1}, {0, 0}}, {DIV, {1, INF}, {1, INF}, {0, INF}},
	{DIV, {INF, INF}, {INF, INF}, {0, INF}}, {DIV, {1, 2}, {-4, 0}, {-INF, -0.25}},
	{ABS, {-3, 2}, {0, 0}, {0, 3}}, {ABS, {-3, -2}, {0, 0}, {2, 3}}, {ABS, {2, 3}, {0, 0}, {2, 3}},
	{ABS, {-INF, INF}, {0, 0}, {0, INF}}, {NEG, {0, 3}, {0, 0}, {-3, 0}},
	{LEAST, {1, 5}, {2, 3}, {1, 3}}, {GREATEST, {1, 5}, {2, 3}, {2, 5}},
	{HULL, {1, 2}, {4, 5}, {1, 5}},
	{ROUND, {1.2, 1.8}, {0.5, 0.5}, {1, 2}}, {FLOOR, {1.2, 1.8}, {0.5, 0.5}, {1, 1.5}},
	{CEIL, {1.2, 1.8}, {0.5, 0.5}, {1.5, 2}}, {FLOOR, {0.75, 0.75}, {0.25, 0.25}, {0.75, 0.75}},
	{CEIL, {3.0000000000000004, 3.0000000000000004}, {1, 1}, {3, 3}},
	{ROUND, {-INF, 7.4}, {1, 1}, {-INF, 7}}, {ROUND, {1, 2}, {0, 0}, {1, 2}},
	{FLOOR, {10, 20}, {1, 3}, {7, 20}}, {ROUND, {-2.5, -2.5}, {1, 1}, {-2, -2}},
};

START_TEST(range_arithmetic)
{
	range r = apply(sums[_i].op, sums[_i].a, sums[_i].b);

	ck_assert_msg(r.lo == sums[_i].is.lo && r.hi == sums[_i].is.hi, "row %d: [%g, %g]", _i,
	    r.lo, r.hi);
	ck_assert(!signbit(r.lo) || r.lo != 0);
}
END_TEST

/* Of every pair of awkward bounds: never NaN, low never above high, never a
 * negative zero, and every product of points inside lies inside. */
START_TEST(range_never_breaks)
{
	static const double v[] = {-INF, -1e308, -2, -0.5, 0, 0.5, 3, 1e308, INF};
	size_t n = COUNT(v);

	for (size_t i = 0; i < n; i++)
	for (size_t j = i; j < n; j++)
	for (size_t k = 0; k < n; k++)
	for (size_t m = k; m < n; m++)
	for (int op = ADD; op <= CEIL; op++) {
		range a = {v[i], v[j]}, b = {v[k], v[m]}, r = apply((enum op)op, a, b);

		ck_assert_msg(r.lo <= r.hi, "op %d on [%g,%g] [%g,%g]: [%g,%g]", op, a.lo, a.hi,
		    b.lo, b.hi, r.lo, r.hi);
		ck_assert(!(r.lo == 0 && signbit(r.lo)) && !(r.hi == 0 && signbit(r.hi)));
		for (size_t x = i; x <= j && op <= DIV; x++)
		for (size_t y = k; y <= m; y++) {
			double p = v[x], q = v[y], is;

			if (isinf(p) || isinf(q) || (op == DIV && q == 0))
				continue;
			is = op == ADD ? p + q : op == SUB ? p - q : op == MUL ? p * q : p / q;
			ck_assert_msg(r.lo <= is && is <= r.hi, "op %d: %g, %g", op, p, q);
		}
	}
}
END_TEST

static const struct { range a; int num, den; range is; } powers[] = {
	{{2, 3}, 2, 1, {4, 9}}, {{-3, 2}, 2, 1, {0, 9}}, {{-3, -2}, 3, 1, {-27, -8}},
	{{4, 9}, 1, 2, {2, 3}}, {{-4, 9}, 1, 2, {0, 3}}, {{-9, -4}, 1, 2, {0, 0}},
	{{8, 27}, 2, 3, {4, 9}}, {{-8, 27}, 1, 3, {-2, 3}}, {{64, 64}, 1, 6, {2, 2}},
	{{4, 4}, 3, 2, {8, 8}}, {{4, 4}, 2, 4, {2, 2}}, {{2, 4}, -1, 1, {0.25, 0.5}},
	{{0, 4}, -1, 2, {0.5, INF}}, {{-INF, INF}, 0, 1, {1, 1}}, {{0, INF}, 1, 2, {0, INF}},
	{{-INF, INF}, 2, 1, {0, INF}}, {{2, 3}, 1, 5, {-INF, INF}}, {{2, 3}, 1, 0, {-INF, INF}},
	{{1e200, 1e200}, 2, 1, {INF, INF}}, {{4, 9}, 1, -2, {1.0 / 3, 0.5}},
};

START_TEST(range_powers)
{
	range r = range_pow(powers[_i].a, powers[_i].num, powers[_i].den);

	ck_assert_msg(fabs(r.lo - powers[_i].is.lo) <= 1e-12 || r.lo == powers[_i].is.lo,
	    "row %d: [%g, %g]", _i, r.lo, r.hi);
	ck_assert_msg(fabs(r.hi - powers[_i].is.hi) <= 1e-12 || r.hi == powers[_i].is.hi,
	    "row %d: [%g, %g]", _i, r.lo, r.hi);
}
END_TEST

/* lt, le, eq, in: one letter each. */
static const struct { range a, b; double step; const char *is; } comparisons[] = {
	{{1, 2}, {3, 4}, 0, "TTFF"}, {{1, 3}, {3, 4}, 0, "UTUU"}, {{1, 3}, {2, 4}, 0, "UUUU"},
	{{3, 4}, {1, 2}, 0, "FFFF"}, {{3, 3}, {3, 3}, 0, "FTTT"}, {{3, 4}, {1, 3}, 0, "FUUU"},
	{{2, 3}, {1, 4}, 0, "UUUT"}, {{0, INF}, {5, INF}, 0, "UUUU"}, {{5, 9}, {5, INF}, 0, "UUUT"},
	{{-INF, INF}, {-INF, INF}, 0, "UUUT"}, {{-INF, 4}, {5, 5}, 0, "TTFF"},
	/* 5/8 in, 15.9 mm and 16 mm in steps of 1 mm are one size. */
	{{15.875, 15.875}, {16, 16}, 1, "FTTT"}, {{16, 16}, {15.875, 15.875}, 1, "FTTT"},
	{{15.9, 15.9}, {16, 16}, 1, "FTTT"},
	/* Half a step counts, whatever binary fractions make of it. */
	{{0.0155, 0.0155}, {0.016, 0.016}, 0.001, "TTFF"},
	{{0.016, 0.016}, {0.0155, 0.0155}, 0.001, "FFFF"},
	{{15, 17}, {15.4, 16.6}, 1, "UUUT"}, {{15, 17}, {15.6, 16.6}, 1, "UUUU"},
};

START_TEST(range_comparisons)
{
	static const char state[] = "FUT";
	range a = comparisons[_i].a, b = comparisons[_i].b;
	double s = comparisons[_i].step;
	char is[5] = {
		state[range_lt(a, b, s)], state[range_le(a, b, s)], state[range_eq(a, b, s)],
		state[range_in(a, b, s)], '\0'
	};

	ck_assert_msg(strcmp(is, comparisons[_i].is) == 0, "row %d: %s, not %s", _i, is,
	    comparisons[_i].is);
	ck_assert_int_eq(range_eq(a, b, s), range_eq(b, a, s));
}
END_TEST

START_TEST(range_meeting)
{
	range r;

	ck_assert(range_meet((range){1, 3}, (range){2, 4}, &r) && r.lo == 2 && r.hi == 3);
	ck_assert(range_meet((range){1, 2}, (range){2, 4}, &r) && range_is_exact(r));
	ck_assert(!range_meet((range){1, 2}, (range){3, 4}, &r));
	ck_assert(!range_is_exact((range){INF, INF}) && !range_is_exact(range_all()));
}
END_TEST

/* ---- units ------------------------------------------------------------- */

/* Cotton count: ASTM D2260 gives 590.5 as tex times count; ladder: the usual
 * pairs printed on needle packets. */
static const struct rung old_sizes[] = {
	{8, 0.60e-3}, {9, 0.65e-3}, {10, 0.70e-3}, {11, 0.75e-3}, {12, 0.80e-3}, {14, 0.90e-3},
	{16, 1.00e-3}, {18, 1.10e-3}
};
static const struct rung dots[] = {{1, 383.15}, {2, 423.15}, {3, 473.15}};

enum { MM, CM, IN, GSM, OZ, TEX, NE, NM, METRIC, OLD, CEL, DOTS, PERCENT, ONE, MOMME, UNITS };

static const char *const mm_also[] = {"millimetre", "millimetres", NULL};
static const char *const in_also[] = {"\"", "inch", "inches", NULL};
static const char *const gsm_also[] = {"gsm", "grams per square metre", NULL};
static const char *const oz_also[] = {"oz", "ounce", NULL};
static const char *const momme_also[] = {"mm", "mommes", NULL};
static const char *const old_also[] = {"no.", "size", NULL};

#define LENGTH {6, 0, 0, 0}
#define SURFACE {-12, 6, 0, 0}
#define FINENESS {-6, 6, 0, 0}

static const struct unit rows[UNITS] = {
	[MM] = {.name = "mm", .spellings = mm_also, .dim = LENGTH, .factor = 1e-3, .digits = 1},
	[CM] = {.name = "cm", .dim = LENGTH, .factor = 1e-2, .digits = 1},
	[IN] = {.name = "in", .spellings = in_also, .dim = LENGTH, .factor = 0.0254, .digits = 2,
	    .fraction = true},
	[GSM] = {.name = "g/m2", .plural = "g/m\xc2\xb2", .spellings = gsm_also, .dim = SURFACE,
	    .factor = 1e-3},
	[OZ] = {.name = "oz/yd2", .spellings = oz_also, .dim = SURFACE, .factor = 0.0339057475,
	    .digits = 1},
	[TEX] = {.name = "tex", .dim = FINENESS, .factor = 1e-6, .before = true, .after = true},
	[NE] = {.name = "Ne", .dim = FINENESS, .form = UNIT_INVERSE, .factor = 590.541e-6,
	    .before = true, .after = true, .numbering = 1, .digits = 1},
	[NM] = {.name = "Nm", .dim = FINENESS, .form = UNIT_INVERSE, .factor = 1000e-6,
	    .before = true, .after = true, .numbering = 2},
	[METRIC] = {.name = "metric size", .dim = LENGTH, .factor = 1e-5, .after = true,
	    .numbering = 3},
	[OLD] = {.name = "old size", .spellings = old_also, .dim = LENGTH, .form = UNIT_LADDER,
	    .ladder = old_sizes, .n_ladder = COUNT(old_sizes), .before = true, .after = true,
	    .numbering = 3},
	[CEL] = {.name = "\xc2\xb0" "C", .dim = {0, 0, 0, 6}, .factor = 1, .offset = 273.15},
	[DOTS] = {.name = "dot", .plural = "dots", .dim = {0, 0, 0, 6}, .form = UNIT_LADDER,
	    .ladder = dots, .n_ladder = COUNT(dots)},
	[PERCENT] = {.name = "%", .factor = 0.01, .digits = 1},
	[ONE] = {.name = "1", .factor = 1, .digits = 2},
	[MOMME] = {.name = "momme", .spellings = momme_also, .dim = SURFACE, .factor = 4.340e-3,
	    .digits = 1},
};
static const struct units units = {rows, UNITS};

static const struct { int unit; double written, base; bool good; } conversions[] = {
	{MM, 3, 0.003, true}, {IN, 0.625, 0.015875, true}, {CEL, 150, 423.15, true},
	{NE, 30, 590.541e-6 / 30, true}, {NE, 0, 0, false}, {OLD, 12, 0.8e-3, true},
	{OLD, 13, 0.85e-3, true}, {OLD, 7, 0, false}, {OLD, 19, 0, false}, {DOTS, 2, 423.15, true},
	{MM, INF, 0, false}, {OLD, 14, 0.9e-3, true},
};

START_TEST(unit_conversion)
{
	const struct unit *u = &rows[conversions[_i].unit];
	double base = -1, back = -1;

	ck_assert(unit_to_base(u, conversions[_i].written, &base) == conversions[_i].good);
	if (conversions[_i].good) {
		ck_assert_double_eq_tol(base, conversions[_i].base, 1e-12);
		ck_assert(unit_from_base(u, base, &back));
		ck_assert_double_eq_tol(back, conversions[_i].written, 1e-9);
	}
}
END_TEST

START_TEST(unit_ranges)
{
	bool ok;
	range r = unit_range_to_base(&rows[NE], (range){20, 40}, &ok);

	ck_assert(ok && r.lo < r.hi);
	ck_assert_double_eq_tol(r.hi, 590.541e-6 / 20, 1e-15);
	r = unit_range_to_base(&rows[NE], (range){-INF, 40}, &ok);
	ck_assert(ok && isinf(r.hi) && r.lo > 0);
	r = unit_range_to_base(&rows[MM], (range){-INF, 4}, &ok);
	ck_assert(ok && isinf(r.lo) && r.hi == 0.004);
	r = unit_range_to_base(&rows[OLD], (range){12, INF}, &ok);
	ck_assert(ok && isinf(r.hi));
	r = unit_range_to_base(&rows[OLD], (range){2, 12}, &ok);
	ck_assert(!ok && isinf(r.lo) && isinf(r.hi));
}
END_TEST

static const struct { const char *text; int unit; } found[] = {
	{"mm", MM}, {"MM", MM}, {"inches", IN}, {"\"", IN}, {"\xe2\x80\xb3", IN}, {"g/m\xc2\xb2", GSM},
	{"Grams per  square metre", GSM}, {"Nm", NM}, {"\xc2\xb0" "c", CEL}, {"furlong", -1}, {"", -1},
	{"m", -1}, {"1", ONE}, {" cm ", CM},
};

START_TEST(unit_found)
{
	ck_assert_msg(unit_find(&units, sv(found[_i].text)) == found[_i].unit, "%s", found[_i].text);
}
END_TEST

START_TEST(unit_near_names)
{
	struct near n = {0};

	ck_assert_int_gt(unit_near(&units, SV("milimetres"), &n), 0);
	ck_assert_str_eq(n.name[0], "mm");
}
END_TEST

/* ---- readings ---------------------------------------------------------- */

static const char *const about_words[] = {"about", "around", "~", "ca.", NULL};
static const char *const under_words[] = {"under", "up to", "at most", "less than", NULL};
static const char *const over_words[] = {"over", "at least", "more than", NULL};
static const char *const to_words[] = {"to", NULL};
static const char *const between_words[] = {"between", NULL};
static const char *const and_words[] = {"and", NULL};
static const struct reading_words words = {
	about_words, under_words, over_words, to_words, between_words, and_words
};

static const uint16_t length_units[] = {MM, CM, IN}, surface_units[] = {GSM, OZ, MOMME},
    fineness_units[] = {TEX, NE, NM}, size_units[] = {METRIC, OLD}, heat_units[] = {CEL, DOTS},
    share_units[] = {PERCENT}, plain_units[] = {ONE}, any_length_units[] = {MM, CM, IN, METRIC, OLD};

enum { FOR_LENGTH, FOR_SURFACE, FOR_FINENESS, FOR_SIZE, FOR_HEAT, FOR_SHARE, FOR_PLAIN, FOR_ANY_LENGTH };

static const struct reading_for fors[] = {
	[FOR_LENGTH] = {LENGTH, length_units, 3, -1, {0, 10}, 0.1},
	[FOR_SURFACE] = {SURFACE, surface_units, 3, GSM, {0.005, 3}, 0.1},
	[FOR_FINENESS] = {FINENESS, fineness_units, 3, TEX, {2e-6, 400e-6}, 0.1},
	[FOR_SIZE] = {LENGTH, size_units, 2, METRIC, {0.4e-3, 3e-3}, 0.05},
	[FOR_HEAT] = {{0, 0, 0, 6}, heat_units, 2, CEL, {293.15, 573.15}, 0.05},
	[FOR_SHARE] = {{0, 0, 0, 0}, share_units, 1, PERCENT, {-1, 3}, 0.1},
	[FOR_PLAIN] = {{0, 0, 0, 0}, plain_units, 1, ONE, {0, 100}, 0.1},
	[FOR_ANY_LENGTH] = {LENGTH, any_length_units, 5, -1, {0, 10}, 0.1},
};

static const struct { const char *text; int f; double lo, hi; int unit; const char *flags; } good[] = {
	/* flags: a about, l open low, h open high */
	{"1 3/8 in", FOR_LENGTH, 0.034925, 0.034925, IN, ""},
	{"1\xe2\x85\x9c\"", FOR_LENGTH, 0.034925, 0.034925, IN, ""},
	{"1 \xe2\x85\x9c \xe2\x80\xb3", FOR_LENGTH, 0.034925, 0.034925, IN, ""},
	{"1-3/8\"", FOR_LENGTH, 0.034925, 0.034925, IN, ""},
	{"5/8\"", FOR_LENGTH, 0.015875, 0.015875, IN, ""},
	{"5\xe2\x81\x84" "8 inch", FOR_LENGTH, 0.015875, 0.015875, IN, ""},
	{"5/8-inch", FOR_LENGTH, 0.015875, 0.015875, IN, ""},
	{"\xc2\xbd in.", FOR_LENGTH, 0.0127, 0.0127, IN, ""},
	{"11/8 in", FOR_LENGTH, 0.034925, 0.034925, IN, ""},
	{"2.5 to 3 mm", FOR_LENGTH, 0.0025, 0.003, MM, ""},
	{"2.5mm-3mm", FOR_LENGTH, 0.0025, 0.003, MM, ""},
	{"2.5 mm to 3", FOR_LENGTH, 0.0025, 0.003, MM, ""},
	{"5 mm - 1 cm", FOR_LENGTH, 0.005, 0.01, CM, ""},
	{"1/2 to 5/8 in", FOR_LENGTH, 0.0127, 0.015875, IN, ""},
	{"1 1/4 - 1 1/2\"", FOR_LENGTH, 0.03175, 0.0381, IN, ""},
	{"between 2 and 3 mm", FOR_LENGTH, 0.002, 0.003, MM, ""},
	{"2,5 mm", FOR_LENGTH, 0.0025, 0.0025, MM, ""},
	{"0,125 mm", FOR_LENGTH, 0.000125, 0.000125, MM, ""},
	{"over 3 mm", FOR_LENGTH, 0.003, 10, MM, "h"},
	{"At Least 3 mm", FOR_LENGTH, 0.003, 10, MM, "h"},
	{"up to 3 mm", FOR_LENGTH, 0, 0.003, MM, "l"},
	{"3 mm ", FOR_LENGTH, 0.003, 0.003, MM, ""},
	{"3\xc2\xa0mm", FOR_LENGTH, 0.003, 0.003, MM, ""},
	{"110-130 g/m\xc2\xb2", FOR_SURFACE, 0.11, 0.13, GSM, ""},
	{"110\xe2\x80\x93" "130 g/m2", FOR_SURFACE, 0.11, 0.13, GSM, ""},
	{"110 to 130 g/m2", FOR_SURFACE, 0.11, 0.13, GSM, ""},
	{"110..130 g/m2", FOR_SURFACE, 0.11, 0.13, GSM, ""},
	{"110-130", FOR_SURFACE, 0.11, 0.13, GSM, ""},
	{"under 150 g/m2", FOR_SURFACE, 0.005, 0.15, GSM, "l"},
	{"under about 150 g/m2", FOR_SURFACE, 0.005, 0.165, GSM, "al"},
	{"150 gsm", FOR_SURFACE, 0.15, 0.15, GSM, ""},
	{"about 100 g/m2", FOR_SURFACE, 0.09, 0.11, GSM, "a"},
	{"about 2900 g/m2", FOR_SURFACE, 2.61, 3, GSM, "a"},       /* stops at the domain */
	{"16 mm", FOR_SURFACE, 0.06944, 0.06944, MOMME, ""},       /* here mm means something else */
	{"16 mm", FOR_LENGTH, 0.016, 0.016, MM, ""},
	{"about tex 40", FOR_FINENESS, 36e-6, 44e-6, TEX, "a"},
	{"40 tex", FOR_FINENESS, 40e-6, 40e-6, TEX, ""},
	{"~40", FOR_FINENESS, 36e-6, 44e-6, TEX, "a"},
	{"tex40", FOR_FINENESS, 40e-6, 40e-6, TEX, ""},
	{"tex 30-40", FOR_FINENESS, 30e-6, 40e-6, TEX, ""},
	{"Ne 20-40", FOR_FINENESS, 590.541e-6 / 40, 590.541e-6 / 20, NE, ""},
	{"Nm 50", FOR_FINENESS, 20e-6, 20e-6, NM, ""},
	{"under Ne 30", FOR_FINENESS, 590.541e-6 / 30, 400e-6, NE, "h"},   /* thicker than that */
	{"80/12", FOR_SIZE, 0.8e-3, 0.8e-3, METRIC, ""},
	{"12/80", FOR_SIZE, 0.8e-3, 0.8e-3, METRIC, ""},
	{"80/12", FOR_ANY_LENGTH, 0.8e-3, 0.8e-3, METRIC, ""},
	{"1/2 in", FOR_ANY_LENGTH, 0.0127, 0.0127, IN, ""}, {"5/8 in", FOR_ANY_LENGTH, 0.015875, 0.015875, IN, ""},
	{"70/10-90/14", FOR_SIZE, 0.7e-3, 0.9e-3, METRIC, ""},
	{"70/10 to 90/14", FOR_SIZE, 0.7e-3, 0.9e-3, METRIC, ""},
	{"80", FOR_SIZE, 0.8e-3, 0.8e-3, METRIC, ""},
	{"12", FOR_SIZE, 0.8e-3, 0.8e-3, OLD, ""},                 /* 0.12 mm cannot be */
	{"size 14", FOR_SIZE, 0.9e-3, 0.9e-3, OLD, ""},
	{"12 metric size", FOR_SIZE, 0.8e-3, 0.8e-3, OLD, ""},     /* nor can this */
	{"no.14", FOR_SIZE, 0.9e-3, 0.9e-3, OLD, ""},
	{"150 \xc2\xb0" "C", FOR_HEAT, 423.15, 423.15, CEL, ""},
	{"150\xc2\xb0" "c", FOR_HEAT, 423.15, 423.15, CEL, ""},
	{"about 150", FOR_HEAT, 415.65, 430.65, CEL, "a"},         /* of the degrees, not of kelvin */
	{"2 dots", FOR_HEAT, 423.15, 423.15, DOTS, ""},
	{"-5 %", FOR_SHARE, -0.05, -0.05, PERCENT, ""},
	{"-5 to -3%", FOR_SHARE, -0.05, -0.03, PERCENT, ""},
	{"\xe2\x88\x92" "5%", FOR_SHARE, -0.05, -0.05, PERCENT, ""},
	{"0.5", FOR_PLAIN, 0.5, 0.5, ONE, ""}, {"1 1/2", FOR_PLAIN, 1.5, 1.5, ONE, ""},
};

START_TEST(reading_good)
{
	struct reading r = reading_of(&units, &words, &fors[good[_i].f], sv(good[_i].text), true);
	char flags[4];

	snprintf(flags, sizeof flags, "%s%s%s", r.about ? "a" : "", r.open_low ? "l" : "",
	    r.open_high ? "h" : "");
	ck_assert_msg(r.fault == READ_FINE, "%s: %s", good[_i].text, reading_fault_name(r.fault));
	ck_assert_msg(fabs(r.value.lo - good[_i].lo) <= 1e-9 * fabs(good[_i].lo) &&
	    fabs(r.value.hi - good[_i].hi) <= 1e-9 * fabs(good[_i].hi), "%s: [%.9g, %.9g]",
	    good[_i].text, r.value.lo, r.value.hi);
	ck_assert_msg(r.unit == good[_i].unit, "%s: unit %d", good[_i].text, r.unit);
	ck_assert_str_eq(flags, good[_i].flags);
}
END_TEST

static const struct { const char *text; int f; enum reading_fault fault; size_t at, n; } bad[] = {
	{"", FOR_LENGTH, READ_NOTHING, 0, 0}, {"wide", FOR_LENGTH, READ_NOTHING, 0, 4},
	{"about", FOR_LENGTH, READ_NOTHING, 0, 5},
	{"3", FOR_LENGTH, READ_NO_UNIT, 0, 1}, {"2-3", FOR_LENGTH, READ_NO_UNIT, 0, 3},
	{"3 furlong", FOR_LENGTH, READ_UNKNOWN_UNIT, 2, 7},
	{"3 mmx", FOR_LENGTH, READ_UNKNOWN_UNIT, 2, 3},
	{"3 g/m2", FOR_LENGTH, READ_WRONG_DIMENSION, 2, 4},
	{"30 old size", FOR_LENGTH, READ_NOT_TAKEN, 3, 8},
	{"80 mm", FOR_SIZE, READ_NOT_TAKEN, 3, 2},
	{"20 m", FOR_LENGTH, READ_UNKNOWN_UNIT, 3, 1},
	{"2000 cm", FOR_LENGTH, READ_OUT_OF_DOMAIN, 0, 4},
	{"-3 mm", FOR_LENGTH, READ_OUT_OF_DOMAIN, 0, 2},
	{"over 2000 cm", FOR_LENGTH, READ_OUT_OF_DOMAIN, 5, 4},
	{"3 to 2 mm", FOR_LENGTH, READ_LOW_ABOVE_HIGH, 0, 6},
	{"1 in to 1 cm", FOR_LENGTH, READ_LOW_ABOVE_HIGH, 0, 9},
	{"Ne 40-20", FOR_FINENESS, READ_LOW_ABOVE_HIGH, 3, 5},
	{"1,500 mm", FOR_LENGTH, READ_BAD_NUMBER, 0, 5},
	{"1,234,567 mm", FOR_LENGTH, READ_BAD_NUMBER, 0, 5},
	{"80/12 in", FOR_LENGTH, READ_BAD_NUMBER, 0, 5}, {"5/0 in", FOR_LENGTH, READ_BAD_NUMBER, 0, 3},
	{"80/14", FOR_SIZE, READ_BAD_NUMBER, 0, 5}, {"3", FOR_SIZE, READ_OUT_OF_DOMAIN, 0, 1},
	{"Ne 0", FOR_FINENESS, READ_BAD_NUMBER, 3, 1},
	{"3 mm wide", FOR_LENGTH, READ_TRAILING, 5, 4}, {"3 mm 4", FOR_LENGTH, READ_TRAILING, 5, 1},
	{"80 90", FOR_SURFACE, READ_TRAILING, 3, 2}, {"3 mm -", FOR_LENGTH, READ_TRAILING, 5, 1},
	{"1e5 mm", FOR_LENGTH, READ_UNKNOWN_UNIT, 1, 2}, {"0x10", FOR_SURFACE, READ_UNKNOWN_UNIT, 1, 3},
	{"nan", FOR_PLAIN, READ_NOTHING, 0, 3}, {"inf", FOR_PLAIN, READ_NOTHING, 0, 3},
	{"between 2 mm", FOR_LENGTH, READ_TRAILING, 12, 0},
	{"99999999999999999999999999999999999999999999999999999999999999999999", FOR_PLAIN,
	 READ_BAD_NUMBER, 0, 68},
};

START_TEST(reading_bad)
{
	struct reading r = reading_of(&units, &words, &fors[bad[_i].f], sv(bad[_i].text), true);

	ck_assert_msg(r.fault == bad[_i].fault, "%s: %s", bad[_i].text, reading_fault_name(r.fault));
	ck_assert_msg(r.fault_at == bad[_i].at && r.fault_n == bad[_i].n, "%s: span %zu+%zu",
	    bad[_i].text, r.fault_at, r.fault_n);
	ck_assert_int_eq(r.unit, -1);
}
END_TEST

/* In plain words a reading takes what is its own and leaves the rest. */
static const struct { const char *text; int f; size_t used; double lo, hi; } starts[] = {
	{"3 mm, then pressed", FOR_LENGTH, 4, 0.003, 0.003},
	{"2.5 to 3 mm from the edge", FOR_LENGTH, 11, 0.0025, 0.003},
	{"3 mm to the left", FOR_LENGTH, 4, 0.003, 0.003},
	{"5/8-inch seam", FOR_LENGTH, 8, 0.015875, 0.015875},
	{"150 g/m2 drill", FOR_SURFACE, 8, 0.15, 0.15}, {"150 drill", FOR_SURFACE, 3, 0.15, 0.15},
	{"80/12 sharp", FOR_SIZE, 5, 0.8e-3, 0.8e-3},
	{"tex 40 thread", FOR_FINENESS, 6, 40e-6, 40e-6},
	{"3 mm. Then", FOR_LENGTH, 4, 0.003, 0.003},
	{"100 - or so", FOR_SURFACE, 3, 0.1, 0.1},
};

START_TEST(reading_start)
{
	struct reading r = reading_of(&units, &words, &fors[starts[_i].f], sv(starts[_i].text), false);

	ck_assert_msg(r.fault == READ_FINE, "%s: %s", starts[_i].text, reading_fault_name(r.fault));
	ck_assert_uint_eq(r.used, starts[_i].used);
	ck_assert_double_eq_tol(r.value.lo, starts[_i].lo, 1e-9);
	ck_assert_double_eq_tol(r.value.hi, starts[_i].hi, 1e-9);
}
END_TEST

/* Whatever bytes come, a reading ends, stays inside the text and the domain. */
START_TEST(reading_survives_anything)
{
	static const char *const bits[] = {
		"1", "/", "-", "\xe2\x80\x93", "3/8", "mm", "tex", " ", "about", "to", "\xff", "\xe2\x85\x9c",
		",5", ".", "\"", "between", "and", "over", "99999999999999999999", "\xc2", "80/12", "no."
	};
	uint32_t seed = 12345;

	for (int i = 0; i < 20000; i++) {
		struct buf b = {0};
		struct reading r;
		int f = i % (int)COUNT(fors);

		buf_add(&b, "", 0);
		for (int k = 0; k < 1 + i % 7; k++) {
			seed = seed * 1664525 + 1013904223;
			buf_str(&b, bits[(seed >> 16) % COUNT(bits)]);
		}
		r = reading_of(&units, &words, &fors[f], (strview){b.p, b.n}, i % 2 == 0);
		ck_assert_uint_le(r.used, b.n);
		ck_assert_uint_le(r.fault_at, b.n);
		ck_assert_uint_le(r.fault_n, b.n - r.fault_at);
		ck_assert(r.value.lo <= r.value.hi);
		if (r.fault == READ_FINE) {
			ck_assert(r.unit >= 0 && r.unit < UNITS && r.used > 0);
			ck_assert(r.value.lo >= fors[f].domain.lo - 1e-9);
			ck_assert(r.value.hi <= fors[f].domain.hi + 1e-9);
		}
		buf_free(&b);
	}
}
END_TEST

/* ---- showing ----------------------------------------------------------- */

static const struct { int unit; range base; double step; const char *text; } showings[] = {
	{GSM, {0.11, 0.13}, 0.005, "110-130 g/m\xc2\xb2"}, {GSM, {0.11, 0.11}, 0, "110 g/m\xc2\xb2"},
	{GSM, {0.001, 0.001}, 0, "1 g/m2"},
	{GSM, {-INF, 0.15}, 0, "under 150 g/m\xc2\xb2"}, {MM, {0.003, INF}, 0, "at least 3 mm"},
	{MM, {-INF, INF}, 0, "any"},
	{IN, {0.034925, 0.034925}, 0, "1 3/8 in"}, {IN, {0.0127, 0.015875}, 0, "1/2 to 5/8 in"},
	{IN, {0.016, 0.016}, 0.001, "5/8 in"}, {IN, {0.0254, 0.0508}, 0, "1-2 in"},
	{IN, {0.01, 0.01}, 0, "0.39 in"}, {IN, {0.0253, 0.0253}, 0.001, "1 in"},
	{METRIC, {0.8e-3, 0.8e-3}, 0, "80/12"}, {METRIC, {0.7e-3, 0.9e-3}, 0, "70/10 to 90/14"},
	{METRIC, {1.2e-3, 1.2e-3}, 0, "120 metric size"},
	{TEX, {40e-6, 40e-6}, 0, "tex 40"}, {TEX, {30e-6, 40e-6}, 2e-6, "tex 30-40"},
	{NE, {590.541e-6 / 40, 590.541e-6 / 20}, 0, "Ne 20-40"},
	{NE, {590.541e-6 / 30, INF}, 0, "under Ne 30"},
	{MM, {0.0123481, 0.0123481}, 0.001, "12.5 mm"}, {MM, {0.0123481, 0.0123481}, 0, "12.3 mm"},
	{MM, {0.0031, 0.0032}, 0.001, "3 mm"}, {MM, {0.00001, 0.00001}, 0.001, "0.01 mm"},
	{CEL, {423.15, 423.15}, 10, "150 \xc2\xb0" "C"}, {DOTS, {423.15, 423.15}, 0, "2 dots"},
	{DOTS, {383.15, 383.15}, 0, "1 dot"}, {DOTS, {293.15, 293.15}, 0, "20 \xc2\xb0" "C"},
	{PERCENT, {0.05, 0.125}, 0, "5-12.5 %"}, {PERCENT, {-0.05, -0.03}, 0, "-5 to -3 %"},
	{ONE, {0.5, 0.5}, 0, "0.5"},
};

START_TEST(shown_range)
{
	struct buf b = {0};

	range_print(&b, &units, showings[_i].unit, showings[_i].base, showings[_i].step);
	ck_assert_str_eq(b.p, showings[_i].text);
	buf_free(&b);
}
END_TEST

/* A ladder of another scheme makes a pair only where its rungs are whole. */
START_TEST(pair_of_two_schemes)
{
	struct unit t[3] = {rows[METRIC], rows[OLD], rows[METRIC]};
	struct units us = {t, 3};
	struct buf b = {0};

	t[1].numbering = 9;
	t[2].factor = 0.635e-3;
	t[2].numbering = 10;
	range_print(&b, &us, 0, range_exact(0.8e-3), 0);
	ck_assert_str_eq(b.p, "80/12");
	buf_clear(&b);
	range_print(&b, &us, 2, range_exact(0.635e-3), 0);
	ck_assert_str_eq(b.p, "1 metric size");
	t[0].numbering = 0;                    /* no numbering, no pair */
	buf_clear(&b);
	range_print(&b, &us, 0, range_exact(0.8e-3), 0);
	ck_assert_str_eq(b.p, "80 metric size");
	buf_free(&b);
}
END_TEST

/* What is shown exactly can be read again. */
START_TEST(shown_reads_back)
{
	for (size_t i = 0; i < COUNT(good); i++) {
		struct reading r = reading_of(&units, &words, &fors[good[i].f], sv(good[i].text), true), s;
		struct buf b = {0};

		if (r.about || r.open_low || r.open_high || r.unit == MOMME ||
		    r.value.lo == 0.000125)
			continue;              /* rounded when shown */
		range_print(&b, &units, r.unit, r.value, 0);
		s = reading_of(&units, &words, &fors[good[i].f], (strview){b.p, b.n}, true);
		ck_assert_msg(s.fault == READ_FINE &&
		    fabs(s.value.lo - r.value.lo) <= 1e-9 * fabs(r.value.lo) &&
		    fabs(s.value.hi - r.value.hi) <= 1e-9 * fabs(r.value.hi), "%s became %s (%s)",
		    good[i].text, b.p, reading_fault_name(s.fault));
		buf_free(&b);
	}
}
END_TEST

#define ROWS(test, table) tcase_add_loop_test(t, test, 0, (int)COUNT(table))

int
main(void)
{
	Suite *s = suite_create("measure");
	TCase *t = tcase_create("measure");
	SRunner *r;
	int failed;

	tcase_set_timeout(t, 60);
	tcase_add_test(t, truth_tables);
	ROWS(dimension_read_and_shown, dims);
	tcase_add_test(t, dimension_arithmetic);
	ROWS(range_arithmetic, sums);
	tcase_add_test(t, range_never_breaks);
	ROWS(range_powers, powers);
	ROWS(range_comparisons, comparisons);
	tcase_add_test(t, range_meeting);
	ROWS(unit_conversion, conversions);
	tcase_add_test(t, unit_ranges);
	ROWS(unit_found, found);
	tcase_add_test(t, unit_near_names);
	ROWS(reading_good, good);
	ROWS(reading_bad, bad);
	ROWS(reading_start, starts);
	tcase_add_test(t, reading_survives_anything);
	ROWS(shown_range, showings);
	tcase_add_test(t, pair_of_two_schemes);
	tcase_add_test(t, shown_reads_back);
	suite_add_tcase(s, t);
	r = srunner_create(s);
	srunner_run_all(r, CK_ENV);
	failed = srunner_ntests_failed(r);
	srunner_free(r);
	return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
