/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Published figures, one by one, against the compiled knowledge base: units
 * and numberings through unit_to_base and unit_from_base, sums through
 * formula_work_out.
 *
 * Each figure stands beside the page it was read on.  WITHIN is half of the
 * last digit that page prints, unless the page itself rounds to a size of the
 * trade.  Where a page is wrong, or rounds the wrong way, `printed` keeps what
 * it says and `is` what it should have said: the test holds us to `is`, and
 * fails if the page turns out to be right after all.
 *
 * To add a figure: a row of `turned` or `worked`, and its page in `pages`.
 */
#include "knowledge/knowledge.h"

#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#define COUNT(t) (sizeof(t) / sizeof *(t))

enum page {
	ASTM_YARNS, YARN_TABLES, MILL_TABLE, TEX_CARDS, INDIA_COURSE, UNITS_DATA, TICKETS,
	SPUN_CHART, PEIRCE, TEXTILE_UNITS, COVER_NOTES, NEEDLES, NEEDLE_NOTES, CUTTER, MOMME,
	WEAVE_WEIGHT, SIX_WEAVES, SEAM_BOOK, STITCH_LENGTH, INCHES, STRIPS, FAST, LOADS, YIELDS,
	PAGE__COUNT
};
static const struct { const char *title, *body, *year; } pages[PAGE__COUNT] = {
	[ASTM_YARNS] = {"D2260 Standard Tables of Conversion Factors and Equivalent Yarn Numbers "
	    "(scope page)", "ASTM International", "2013"},
	[YARN_TABLES] = {"Yarn conversions", "Textile School", "undated"},
	[MILL_TABLE] = {"Common measures and conversions, lineal density",
	    "Conneaut, textile manufacturer", "undated"},
	[TEX_CARDS] = {"Calculation of tex and decitex, study cards", "Brainscape", "undated"},
	[INDIA_COURSE] = {"Sewing thread sizing, course page", "ICAR / IASRI e-courses, India",
	    "2011"},
	[UNITS_DATA] = {"GNU units definitions data file 3.15", "Free Software Foundation", "2022"},
	[TICKETS] = {"Difference between Tex and Tkt in thread numbering",
	    "Online Clothing Study", "2013"},
	[SPUN_CHART] = {"Spun polyester sewing threads, size chart", "MH thread company", "2024"},
	[PEIRCE] = {"Cover factor of fibre, yarn and fabric", "Fibres2Fabrics, after Peirce",
	    "2013"},
	[TEXTILE_UNITS] = {"Units of textile measurement", "encyclopaedia copy", "undated"},
	[COVER_NOTES] = {"Woven fabric calculation: cover factor", "lecture notes, unsigned",
	    "undated"},
	[NEEDLES] = {"Needle number system", "Apparel Science", "undated"},
	[NEEDLE_NOTES] = {"Did you know: needle and thread", "GWSMS sewing machine service",
	    "undated"},
	[CUTTER] = {"Check your GSM cutter", "Testerinlab, test equipment maker", "undated"},
	[MOMME] = {"Mommes, unit of measure for silk", "Apparel Search", "undated"},
	[WEAVE_WEIGHT] = {"Calculate GSM of woven fabric from its construction", "Learn Textile",
	    "2013"},
	[SIX_WEAVES] = {"Analysis of a Fabric Drape Profile, Fibres and Textiles 1/2018",
	    "Technical University of Liberec", "2018"},
	[SEAM_BOOK] = {"Stitch and seam book, page 35", "thread maker", "undated"},
	[STITCH_LENGTH] = {"How is stitch length calculated", "The Sweetheart Tree", "undated"},
	[INCHES] = {"Imperial to metric conversion guide", "Echidna Sewing", "2022"},
	[STRIPS] = {"Square yards to linear yards", "Math Central, University of Regina", "2007"},
	[FAST] = {"Fabric Assurance by Simple Testing, laboratory report", "university student report",
	    "2014"},
	[LOADS] = {"FAST definitions and limits", "De Boos and Tester, CSIRO, as quoted by IEEE SA",
	    "1994, 2020"},
	[YIELDS] = {"Fabric weight classification", "Kaotan", "undated"},
};

static struct knowledge *kb;
static const struct craft *craft;

static void
open_kb(void)
{
	const char *b = getenv("B"), *why = "";
	struct buf path = {0};

	buf_print(&path, "%s/bodkin.db", b != NULL ? b : "build");
	kb = kb_open(path.p, &why);
	ck_assert_msg(kb != NULL, "%s: %s", path.p, why);
	buf_free(&path);
	craft = kb_craft(kb);
}

static void
close_kb(void)
{
	kb_close(kb);
}

static const struct unit *
unit(const char *name)
{
	int i = unit_find(craft->units, sv(name));

	ck_assert_msg(i >= 0, "there is no unit %s", name);
	return &craft->units->u[i];
}

/* ---- a quantity in another unit --------------------------------------------- */

struct turned {
	double written;
	const char *unit, *into;
	double is, within;
	enum page page;
	double printed;                    /* 0: as it is */
};
static const struct turned turned[] = {
	/* yarn numbers of the standard */
	{10, "Ne", "worsted count", 15, 0.05, ASTM_YARNS, 0},
	{30, "tex", "Ne", 19.7, 0.05, ASTM_YARNS, 0},
	{1, "Ne", "tex", 590.541, 0.0005, ASTM_YARNS, 0},
	{1, "worsted count", "tex", 885.812, 0.0005, ASTM_YARNS, 0},
	{1, "woollen run", "tex", 310.034, 0.0005, ASTM_YARNS, 0},
	{1, "linen lea", "tex", 1653.52, 0.005, ASTM_YARNS, 0},
	{1, "Ne", "denier", 5314.87, 0.005, ASTM_YARNS, 0},
	{496055, "yards per pound", "tex", 1, 0.000001, ASTM_YARNS, 0},
	{1, "Ne", "woollen run", 0.525, 0.0005, ASTM_YARNS, 0},
	{1, "Ne", "linen lea", 2.8, 0.0005, ASTM_YARNS, 0},
	{1, "worsted count", "woollen run", 0.35, 0.0005, ASTM_YARNS, 0},
	{1, "Ne", "yards per pound", 840, 0.0005, ASTM_YARNS, 0},
	{1, "worsted count", "yards per pound", 560, 0.0005, ASTM_YARNS, 0},
	{1, "tex", "denier", 9, 1e-9, ASTM_YARNS, 0},
	/* the same from tables that round */
	{1, "Ne", "Nm", 1.6934, 0.00005, YARN_TABLES, 0},
	{1, "Nm", "Ne", 0.5905, 0.00005, YARN_TABLES, 0},
	{1, "linen lea", "Nm", 0.6048, 0.00005, YARN_TABLES, 0},
	{1, "Nm", "linen lea", 1.6535, 0.00005, YARN_TABLES, 0},
	{1, "Nm", "denier", 9000, 0.0005, YARN_TABLES, 0},
	{1, "linen lea", "denier", 14882, 0.5, YARN_TABLES, 0},
	{1, "yards per pound", "denier", 4464492, 0.5, MILL_TABLE, 0},
	{1, "yards per pound", "tex", 496055, 0.5, MILL_TABLE, 0},
	{1, "Ne", "denier", 5315, 0.5, MILL_TABLE, 0},
	{27, "denier", "tex", 3, 1e-9, TEX_CARDS, 0},
	{9, "denier", "tex", 1, 1e-9, TEX_CARDS, 0},
	{3, "tex", "dtex", 30, 1e-9, TEX_CARDS, 0},
	{1, "Ne", "tex", 590.541247, 5e-7, UNITS_DATA, 0},
	{1, "worsted count", "tex", 885.811871, 5e-7, UNITS_DATA, 0},
	{1, "linen lea", "tex", 1653.51549, 5e-6, UNITS_DATA, 0},
	{1, "woollen run", "tex", 310.034155, 5e-7, UNITS_DATA, 0},
	{1, "woollen cut", "tex", 1653.51549, 5e-6, UNITS_DATA, 0},
	{1, "drams per 1000 yd", "tex", 1.93771347, 5e-9, UNITS_DATA, 0},
	{1, "lb per million yd", "tex", 0.496054648, 5e-10, UNITS_DATA, 0},
	{1, "gf/tex", "cN/tex", 0.980665, 5e-7, UNITS_DATA, 0},
	/* tickets of thread */
	{40, "tex", "metric ticket", 75, 1e-9, TICKETS, 0},
	{1, "tex", "metric ticket", 3000, 1e-6, YARN_TABLES, 0},
	{120, "metric ticket", "tex", 25, 1e-9, YARN_TABLES, 0},
	/* needles: a metric number is the blade in hundredths of a millimetre */
	{50, "needle metric", "mm", 0.5, 1e-9, NEEDLES, 0},
	{60, "needle metric", "mm", 0.6, 1e-9, NEEDLES, 0},
	{90, "needle metric", "mm", 0.9, 1e-9, NEEDLES, 0},
	{110, "needle metric", "mm", 1.1, 1e-9, NEEDLES, 0},
	{120, "needle metric", "mm", 1.2, 1e-9, NEEDLES, 0},
	{12, "needle number", "needle metric", 80, 1e-9, NEEDLES, 0},
	{0.80, "mm", "needle metric", 80, 1e-9, NEEDLE_NOTES, 0},
	{1.1, "mm", "needle metric", 110, 1e-9, NEEDLE_NOTES, 0},
	/* weight of cloth */
	{1, "oz/yd2", "g/m2", 33.9057475, 5e-8, UNITS_DATA, 0},
	{1, "momme", "g/m2", 4.33993568, 5e-9, UNITS_DATA, 0},
	{1, "sailmaker's ounce", "g/m2", 42.8283126, 5e-8, UNITS_DATA, 0},
	{1, "momme", "g/m2", 4.34, 0.005, MOMME, 0},
	{8, "momme", "g/m2", 35, 0.5, MOMME, 0},
	/* the same file works momme out a second time, from the Japanese measures of a
	 * narrow silk; silk is sold by pounds to a hundred yards of 45 inches */
	{1, "momme", "g/m2", 4.33993568, 5e-9, UNITS_DATA, 4.33446057},
	{10, "oz/yd", "yards per pound", 1.6, 1e-9, YIELDS, 0},
	/* stitches */
	{2.4, "mm", "stitches per inch", 10.58, 0.005, STITCH_LENGTH, 0},
	{12, "stitches per inch", "mm", 2.11, 0.01, STITCH_LENGTH, 0},
	{28, "per cm", "per inch", 71, 0.5, COVER_NOTES, 0},
	{20, "tex", "Ne", 29.5, 0.05, COVER_NOTES, 0},
	/* inches and yards of a shop */
	{1.0 / 8, "in", "mm", 3, 0.5, INCHES, 0},
	{1.0 / 4, "in", "mm", 6, 0.5, INCHES, 0},
	{1.0 / 3, "in", "mm", 8, 0.5, INCHES, 0},
	{3.0 / 8, "in", "mm", 10, 0.5, INCHES, 0},
	{1.0 / 2, "in", "mm", 12.7, 0.05, INCHES, 12},     /* a full millimetre is 13 */
	{5.0 / 8, "in", "mm", 16, 0.5, INCHES, 0},
	{2.0 / 3, "in", "mm", 17, 0.5, INCHES, 0},
	{3.0 / 4, "in", "mm", 19, 0.5, INCHES, 0},
	{1, "in", "cm", 2.5, 0.05, INCHES, 0},
	{1.25, "in", "cm", 3.2, 0.05, INCHES, 0},
	{1.5, "in", "cm", 3.8, 0.05, INCHES, 0},
	{1.75, "in", "cm", 4.4, 0.05, INCHES, 0},
	{2, "in", "cm", 5.1, 0.05, INCHES, 0},
	{2.5, "in", "cm", 6.4, 0.05, INCHES, 0},
	{3, "in", "cm", 7.6, 0.05, INCHES, 0},
	{4, "in", "cm", 10.2, 0.05, INCHES, 0},
	{5, "in", "cm", 12.7, 0.05, INCHES, 0},
	{6, "in", "cm", 15.2, 0.05, INCHES, 0},
	{8, "in", "cm", 20.3, 0.05, INCHES, 0},
	{10, "in", "cm", 25.4, 0.05, INCHES, 0},
	{12, "in", "cm", 30.5, 0.05, INCHES, 0},
	{1.0 / 8, "yd", "cm", 11.4, 0.05, INCHES, 0},
	{1.0 / 4, "yd", "cm", 22.9, 0.05, INCHES, 0},
	{3.0 / 8, "yd", "cm", 34.3, 0.05, INCHES, 0},
	{1.0 / 2, "yd", "cm", 45.7, 0.05, INCHES, 0},
	{5.0 / 8, "yd", "cm", 57.2, 0.05, INCHES, 0},
	{3.0 / 4, "yd", "cm", 68.6, 0.05, INCHES, 0},
	{1, "yd", "cm", 91.4, 0.05, INCHES, 0},
	{1.5, "yd", "cm", 137.2, 0.05, INCHES, 0},
	{2, "yd", "cm", 182.9, 0.05, INCHES, 0},
	{2.75, "yd", "cm", 251.5, 0.05, INCHES, 0},
	{3.5, "yd", "cm", 320, 0.05, INCHES, 0},
	{4, "yd", "cm", 365.8, 0.05, INCHES, 0},
	{54, "in", "yd", 1.5, 1e-9, STRIPS, 0},
	{1, "leather ounce", "mm", 0.396875, 5e-8, UNITS_DATA, 0},
	/* loads of a cloth test */
	{5, "gf/cm", "N/m", 4.9, 0.05, LOADS, 0},
	{100, "gf/cm", "N/m", 98.1, 0.05, LOADS, 0},
	{1, "mg cm", "uN m", 0.0980665, 5e-8, UNITS_DATA, 0},
};

START_TEST(a_quantity_is_turned_as_published)
{
	const struct turned *t = &turned[_i];
	const struct unit *from = unit(t->unit), *into = unit(t->into);
	double base, got, back;

	ck_assert_msg(dim_eq(from->dim, into->dim), "%s and %s measure different things", t->unit,
	    t->into);
	ck_assert(unit_to_base(from, t->written, &base));
	ck_assert(unit_from_base(into, base, &got));
	/* The grain of the doubles, beside half of the last printed digit. */
	ck_assert_msg(fabs(got - t->is) <= t->within * (1 + 1e-9) + 1e-12 * fabs(t->is),
	    "%g %s is %.10g %s, not %.10g (%s, %s, %s)", t->written, t->unit, got, t->into, t->is,
	    pages[t->page].title, pages[t->page].body, pages[t->page].year);
	if (t->printed != 0)
		ck_assert_msg(fabs(got - t->printed) > t->within,
		    "%g %s: %s is right after all", t->written, t->unit, pages[t->page].title);
	/* The way back leads to the same number. */
	ck_assert(unit_to_base(into, got, &base));
	ck_assert(unit_from_base(from, base, &back));
	ck_assert_msg(fabs(back - t->written) <= 1e-12 * fabs(t->written) * 4,
	    "%.17g %s came back as %.17g", t->written, t->unit, back);
}
END_TEST

/* ---- a sum ------------------------------------------------------------------- */

struct worked_out {
	const char *formula;
	struct { const char *parameter; double written; const char *unit; } with[5];
	const char *into;
	double is, within;
	enum page page;
	double printed;
};
#define PLIED(ne, plies) {{"single", ne, "Ne"}, {"plies", plies, "1"}}
#define WEAVE(ends, picks) {{"ends", ends, "per cm"}, {"picks", picks, "per cm"}, \
	{"warp", 36.9, "tex"}, {"weft", 28.27, "tex"}, {"crimp", 0, "%"}}
static const struct worked_out worked[] = {
	{"plied-size", {{"single", 180, "dtex"}, {"plies", 2, "1"}}, "dtex", 360, 1e-9,
	    INDIA_COURSE, 0},
	{"plied-size", {{"single", 80, "Nm"}, {"plies", 2, "1"}}, "metric ticket", 120, 1e-6,
	    TICKETS, 0},
	{"size-ratio", {{"first", 20, "metric ticket"}, {"second", 40, "metric ticket"}}, "1", 2,
	    1e-9, INDIA_COURSE, 0},
	/* what the chart prints is the size of the trade next to the sum */
	{"plied-size", PLIED(12, 3), "tex", 150, 3.5, SPUN_CHART, 0},
	{"plied-size", PLIED(12, 4), "tex", 200, 4.5, SPUN_CHART, 0},
	{"plied-size", PLIED(20, 2), "tex", 60, 1.7, SPUN_CHART, 0},
	{"plied-size", PLIED(20, 3), "tex", 90, 2.3, SPUN_CHART, 0},
	{"plied-size", PLIED(20, 6), "tex", 180, 4.1, SPUN_CHART, 0},
	{"plied-size", PLIED(20, 9), "tex", 270, 5.9, SPUN_CHART, 0},
	{"plied-size", PLIED(30, 2), "tex", 40, 1.3, SPUN_CHART, 0},
	{"plied-size", PLIED(30, 3), "tex", 60, 1.7, SPUN_CHART, 0},
	{"plied-size", PLIED(40, 2), "tex", 30, 1.1, SPUN_CHART, 0},
	{"plied-size", PLIED(40, 3), "tex", 45, 1.4, SPUN_CHART, 0},
	{"plied-size", PLIED(50, 2), "tex", 24, 1.0, SPUN_CHART, 0},
	{"plied-size", PLIED(50, 3), "tex", 36, 1.2, SPUN_CHART, 0},
	{"plied-size", PLIED(60, 2), "tex", 20, 0.9, SPUN_CHART, 0},
	{"plied-size", PLIED(60, 3), "tex", 30, 1.1, SPUN_CHART, 0},
	/* thickness of yarn and cover of cloth */
	{"cotton-yarn-diameter", {{"size", 1, "Ne"}}, "in", 0.035714, 5e-7, PEIRCE, 0},
	{"cotton-yarn-diameter", {{"size", 30, "Ne"}}, "mm", 0.1656, 0.00005, PEIRCE, 0},
	{"fibre-diameter", {{"size", 1, "denier"}, {"density", 1.38, "g/cm3"}}, "um", 10, 0.5,
	    TEXTILE_UNITS, 0},
	{"cover-factor", {{"threads", 28, "per cm"}, {"size", 20, "tex"}}, "1", 12.5, 0.05,
	    COVER_NOTES, 0},
	{"cover-fraction", {{"factor", 28, "1"}}, "1", 1, 1e-9, PEIRCE, 0},
	{"cover-fraction", {{"factor", 14, "1"}}, "1", 0.5, 1e-9, PEIRCE, 0},
	/* weight of cloth */
	{"disc-area", {{"diameter", 113, "mm"}}, "cm2", 100.29, 0.005, CUTTER, 0},
	{"swatches-in-square-metre", {{"area", 100.29, "cm2"}}, "1", 99.71, 0.005, CUTTER, 0},
	{"weight-of-disc", {{"mass", 1.85, "g"}, {"diameter", 113, "mm"}}, "g/m2", 184.46, 0.01,
	    CUTTER, 0},
	{"weight-of-swatch", {{"mass", 1.85, "g"}, {"area", 100, "cm2"}}, "g/m2", 185, 1e-9,
	    CUTTER, 0},
	/* the page's factor is 23.27; tex of a cotton count over mm of an inch,
	 * 590.541 / 25.4, is 23.25 */
	{"weight-of-weave", {{"ends", 133, "per inch"}, {"picks", 72, "per inch"},
	    {"warp", 40, "Ne"}, {"weft", 40, "Ne"}, {"crimp", 6, "%"}}, "g/m2", 126.3038, 0.0001,
	    WEAVE_WEIGHT, 126.414},
	/* measured on cloth, its crimp not given: within 3.5 % */
	{"weight-of-weave", WEAVE(46, 20), "g/m2", 221.46, 7.8, SIX_WEAVES, 0},
	{"weight-of-weave", WEAVE(45, 27), "g/m2", 248.11, 8.7, SIX_WEAVES, 0},
	{"weight-of-weave", WEAVE(45, 26.5), "g/m2", 248.93, 8.7, SIX_WEAVES, 0},
	{"weight-of-weave", WEAVE(44, 27), "g/m2", 241.76, 8.5, SIX_WEAVES, 0},
	{"weight-of-weave", WEAVE(46, 22), "g/m2", 231.31, 8.1, SIX_WEAVES, 0},
	{"weight-of-weave", WEAVE(46, 26), "g/m2", 245.9, 8.6, SIX_WEAVES, 0},
	{"bending-rigidity", {{"weight", 168, "g/m2"}, {"bending", 15, "mm"}}, "uN m", 5.56, 0.005,
	    FAST, 0},
	{"bending-rigidity", {{"weight", 168, "g/m2"}, {"bending", 14.5, "mm"}}, "uN m", 5.02,
	    0.005, FAST, 0},
	/* seams and lengths */
	{"seam-in-a-minute", {{"stitches", 5000, "1"}, {"stitch", 8, "stitches per inch"}}, "yd",
	    17.4, 0.05, SEAM_BOOK, 0},
	{"seam-in-a-minute", {{"stitches", 5000, "1"}, {"stitch", 14, "stitches per inch"}}, "yd",
	    9.9, 0.05, SEAM_BOOK, 0},
	{"length-of-area", {{"area", 3, "yd2"}, {"width", 54, "in"}}, "yd", 2, 1e-9, STRIPS, 0},
};

static const struct formula *
formula(const char *name, uint32_t *number)
{
	for (uint32_t i = 0; i < craft->n_formula; i++)
		if (strcmp(craft_text(craft, craft->formula[i].name), name) == 0) {
			*number = i;
			return &craft->formula[i];
		}
	ck_abort_msg("there is no formula %s", name);
	return NULL;
}

START_TEST(a_sum_comes_out_as_published)
{
	const struct worked_out *w = &worked[_i];
	uint32_t number = 0;
	const struct formula *f = formula(w->formula, &number);
	range with[COUNT(w->with)];
	struct cell result;
	double lo, hi;
	tri valid;

	ck_assert_uint_le(f->n_parameters, COUNT(w->with));
	for (uint32_t i = 0; i < f->n_parameters; i++) {
		const struct parameter *p = &craft->parameter[f->first_parameter + i];
		const struct unit *u = unit(w->with[i].unit);
		double base;

		ck_assert_str_eq(craft_text(craft, p->name), w->with[i].parameter);
		ck_assert_msg(dim_eq(u->dim, p->dim), "%s is not told in %s", w->with[i].parameter,
		    w->with[i].unit);
		ck_assert(unit_to_base(u, w->with[i].written, &base));
		with[i] = range_exact(base);
	}
	ck_assert(f->n_parameters == COUNT(w->with) || w->with[f->n_parameters].parameter == NULL);
	result = formula_work_out(craft, number, with, &valid);
	ck_assert_int_eq(valid, TRI_TRUE);
	ck_assert_int_eq(result.state, VALUE_KNOWN);
	ck_assert_int_eq(result.type, TYPE_QUANTITY);
	ck_assert(unit_from_base(unit(w->into), result.r.lo, &lo));
	ck_assert(unit_from_base(unit(w->into), result.r.hi, &hi));
	ck_assert_msg(fabs(lo - w->is) <= w->within && fabs(hi - w->is) <= w->within,
	    "%s gives %.10g to %.10g %s, not %.10g (%s, %s, %s)", w->formula, lo, hi, w->into, w->is,
	    pages[w->page].title, pages[w->page].body, pages[w->page].year);
	if (w->printed != 0)
		ck_assert_msg(fabs(lo - w->printed) > w->within, "%s: %s is right after all",
		    w->formula, pages[w->page].title);
}
END_TEST

/* A page without a row would only look like a proof. */
START_TEST(every_page_is_used)
{
	bool used[PAGE__COUNT] = {false};

	for (size_t i = 0; i < COUNT(turned); i++)
		used[turned[i].page] = true;
	for (size_t i = 0; i < COUNT(worked); i++)
		used[worked[i].page] = true;
	for (int p = 0; p < PAGE__COUNT; p++)
		ck_assert_msg(used[p] && pages[p].title != NULL && pages[p].body != NULL &&
		    pages[p].year != NULL, "page %d", p);
}
END_TEST

int
main(void)
{
	Suite *s = suite_create("standards");
	TCase *t = tcase_create("standards");
	SRunner *r;
	int failed;

	tcase_add_unchecked_fixture(t, open_kb, close_kb);
	tcase_add_loop_test(t, a_quantity_is_turned_as_published, 0, (int)COUNT(turned));
	tcase_add_loop_test(t, a_sum_comes_out_as_published, 0, (int)COUNT(worked));
	tcase_add_test(t, every_page_is_used);
	suite_add_tcase(s, t);
	r = srunner_create(s);
	srunner_run_all(r, CK_ENV);
	failed = srunner_ntests_failed(r);
	srunner_free(r);
	return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
