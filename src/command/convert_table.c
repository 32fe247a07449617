/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * convert --table: a run of values of one unit in another, for print, each with
 * what the trade would say and how far off that is.
 */
#include "command/command_impl.h"

#include <math.h>
#include <string.h>

enum { ROWS_MOST = 400, COLUMNS = 4, EXACT_DIGITS = 6 };

struct table_asked {
	struct run *r;
	const struct unit *from, *to;
	double low, high, every;           /* in FROM */
	double round;                      /* in TO; 0: nothing is rounded */
};

static double
constant_length(const struct run *r, const char *name, dimension dim)
{
	tri valid = TRI_UNKNOWN;

	for (uint32_t i = 0; i < r->craft->n_formula; i++) {
		const struct formula *f = &r->craft->formula[i];
		struct cell got;

		if (f->n_parameters != 0 || !sv_is(sv(name), craft_text(r->craft, f->name))
		    || !dim_eq(r->craft->units->u[f->unit].dim, dim))
			continue;
		got = formula_work_out(r->craft, i, NULL, &valid);
		return got.state == VALUE_KNOWN ? got.r.lo : 0;
	}
	return 0;
}

/* A step of a unit from what was typed, in that unit; false with a message. */
static bool
step_read(struct run *r, const char *option, const char *text, const struct unit *u, double *out)
{
	const struct units *us = r->craft->units;
	uint16_t *list = arena_alloc(r->arena, (us->n + 1) * sizeof *list);
	struct reading_for f = {.dim = u->dim, .units = list, .bare = (int)(u - us->u),
	    .domain = range_all()};
	struct reading got;
	strview bare = sv_trim(sv(text));
	bool fine = true;
	size_t used = 0;

	if (number_read(bare, &used, out) && used == bare.n) {
		/* a bare number is in the unit of the column */
	} else {
		list[f.n_units++] = (uint16_t)(u - us->u);
		/* A step is a difference: another unit serves where neither has a zero of its own. */
		for (uint32_t i = 0; i < us->n && u->form == UNIT_SCALE && u->offset == 0; i++)
			if (dim_eq(us->u[i].dim, u->dim) && &us->u[i] != u
			    && us->u[i].form == UNIT_SCALE && us->u[i].offset == 0)
				list[f.n_units++] = (uint16_t)i;
		got = reading_of(us, r->craft->range_words, &f, sv(text), true);
		fine = got.fault == READ_FINE && range_is_exact(got.value)
		    && unit_from_base(u, got.value.lo, out);
	}
	if (!fine) {
		usage(r, "--%s takes one quantity, as 0.5 %s; not %s", option, u->name, text);
		return false;
	}
	if (!(*out > 0) || !isfinite(*out)) {
		usage(r, "--%s must be more than nothing; not %s", option, text);
		return false;
	}
	return true;
}

static const char *
written(struct run *r, const struct unit *u, double x)
{
	struct buf b = {0};
	double base;

	if (!unit_to_base(u, x, &base))
		return number_text(r, x, EXACT_DIGITS);
	range_print(&b, r->craft->units, (int)(u - r->craft->units->u), range_exact(base), 0);
	return run_kept(r, &b);
}

static const char *
signed_text(struct run *r, double x, int digits)
{
	return arena_print(r->arena, "%s%s", x > 0 ? "+" : "", number_text(r, x, digits));
}

/* A rounded figure, to the digit it was rounded to. */
static const char *
rounded_text(struct run *r, const struct unit *u, double x)
{
	return u->fraction ? written(r, u, x)
	    : arena_print(r->arena, "%s %s", number_text(r, x, EXACT_DIGITS), u->name);
}

struct table_row { double from, exact, rounded; bool known; };

static struct table_row
row_of(const struct table_asked *t, double from)
{
	struct table_row w = {.from = from};
	double base;

	if (!unit_to_base(t->from, from, &base) || !unit_from_base(t->to, base, &w.exact)
	    || !isfinite(w.exact))
		return w;
	w.known = true;
	w.rounded = t->round > 0 ? floor(w.exact / t->round + 0.5) * t->round : w.exact;
	return w;
}

/* The deviation in the unit the table starts from, and as a part of the whole. */
static const char *
deviation(const struct table_asked *t, const struct table_row *w)
{
	double base, back;

	if (t->round <= 0 || !unit_to_base(t->to, w->rounded, &base)
	    || !unit_from_base(t->from, base, &back))
		return "";
	back -= w->from;
	if (fabs(back) < 1e-9 * fmax(1, fabs(w->from)))
		return SAY(t->r, "convert.table-exact");
	return SAY(t->r, "convert.table-off", "off", signed_text(t->r, back, 2), "unit",
	    t->from->name, "part", w->from != 0
	        ? signed_text(t->r, 100 * back / fabs(w->from), 2) : "?");
}

static uint32_t
rows_of(const struct table_asked *t)
{
	double n = floor((t->high - t->low) / t->every + 1e-9) + 1;

	return n >= 1 && n <= ROWS_MOST ? (uint32_t)n : 0;
}

static void
people(const struct table_asked *t, uint32_t n)
{
	struct run *r = t->r;
	uint32_t columns = t->round > 0 ? COLUMNS : 2;
	const char **cells = arena_alloc(r->arena, (n + 1) * columns * sizeof *cells);

	cells[0] = t->from->name;
	cells[1] = t->to->name;
	if (t->round > 0) {
		cells[2] = SAY(r, "convert.table-rounded", "step", rounded_text(r, t->to, t->round));
		cells[3] = SAY(r, "convert.table-deviation");
	}
	for (uint32_t i = 0; i < n; i++) {
		struct table_row w = row_of(t, t->low + i * t->every);
		const char **row = cells + (i + 1) * columns;

		row[0] = written(r, t->from, w.from);
		row[1] = w.known ? number_text(r, w.exact, EXACT_DIGITS) : "-";
		if (columns == COLUMNS) {
			row[2] = w.known ? rounded_text(r, t->to, w.rounded) : "-";
			row[3] = w.known ? deviation(t, &w) : "-";
		}
	}
	page_add(r->page, BLOCK_TITLE, NULL, SAY(r, "convert.table-title", "from", t->from->name,
	    "to", t->to->name));
	page_table(r->page, n + 1, columns, cells);
	if (t->round > 0)
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "convert.table-note", "from",
		    t->from->name));
}

static void
programs(const struct table_asked *t, uint32_t n)
{
	struct json j;

	json_begin(t->r, &j);
	json_key(&j, "from");
	json_str(&j, t->from->name);
	json_key(&j, "unit");
	json_str(&j, t->to->name);
	json_key(&j, "rounded_to");
	json_number(&j, t->round);
	json_key(&j, "rows");
	json_open(&j, '[');
	for (uint32_t i = 0; i < n; i++) {
		struct table_row w = row_of(t, t->low + i * t->every);

		json_open(&j, '{');
		json_key(&j, "from");
		json_number(&j, w.from);
		json_key(&j, "exact");
		json_number(&j, w.known ? w.exact : INFINITY);
		json_key(&j, "rounded");
		json_number(&j, w.known ? w.rounded : INFINITY);
		json_key(&j, "shown");
		json_str(&j, w.known ? rounded_text(t->r, t->to, w.rounded) : NULL);
		json_close(&j, '}');
	}
	json_close(&j, ']');
	json_end(t->r, &j);
}

/* Where nothing is asked for: in fractions as the shops have them, in mm by halves. */
static double
usual_rounding(const struct table_asked *t)
{
	double base = constant_length(t->r, t->to->fraction ? "inch-rounding" : "metric-rounding",
	    t->to->dim), one;

	return base > 0 && t->to->form == UNIT_SCALE && t->from->numbering == 0 && t->to->numbering == 0
	    && unit_from_base(t->to, base, &one) ? one : 0;
}

int
convert_table(struct run *r, const struct reading *got, int unit)
{
	const struct units *us = r->craft->units;
	struct table_asked t = {.r = r, .from = &us->u[got->unit], .to = &us->u[unit], .every = 1};
	bool ok;
	range asked = unit_range_from_base(t.from, got->value, &ok);
	uint32_t n;

	if (!ok || !isfinite(asked.lo) || !isfinite(asked.hi) || range_is_exact(asked))
		return usage(r, "--table takes a range with both ends, as: convert --table \"1-30 cm\" in");
	t.low = asked.lo;
	t.high = asked.hi;
	if (r->ask->every != NULL && !step_read(r, "every", r->ask->every, t.from, &t.every))
		return EXIT_NOT_RUN;
	if (r->ask->round == NULL)
		t.round = usual_rounding(&t);
	else if (!step_read(r, "round", r->ask->round, t.to, &t.round))
		return EXIT_NOT_RUN;
	n = rows_of(&t);
	if (n == 0)
		return usage(r, "that would be more than 400 rows; ask for a longer step with --every");
	if (r->ask->json)
		programs(&t, n);
	else
		people(&t, n);
	return EXIT_SOUND;
}
