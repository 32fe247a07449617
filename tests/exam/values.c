/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Figures: those that are worked out from numbers, and those that are known.
 */
#include "values.h"

#include <string.h>

static bool
is_flag(const struct sheet *map, const char *name)
{
	for (uint32_t r = 0; r < map->n_rows; r++)
		if (strcmp(sheet_cell(map, r, "how"), "flag") == 0 &&
		    strcmp(sheet_cell(map, r, "inputs"), name) == 0)
			return true;
	return false;
}

/* "1.75", "1 1/4", "35-36": digits and what joins them. */
static bool
is_number(const char *text)
{
	bool digit = false;

	for (const char *p = text; *p != '\0'; p++) {
		if (*p >= '0' && *p <= '9')
			digit = true;
		else if (strchr("./- ", *p) == NULL)
			return false;
	}
	return digit;
}

static void
input_read(struct exam *x, const char *text, const struct sheet *map, struct input *in)
{
	const char *eq = strchr(text, '='), *bracket, *label;
	strview name = sv_trim((strview){text, eq != NULL ? (size_t)(eq - text) : strlen(text)});
	strview said = {"", 0};

	if (eq != NULL) {
		bracket = strchr(eq + 1, '(');
		said = sv_trim((strview){eq + 1,
		    bracket != NULL ? (size_t)(bracket - eq - 1) : strlen(eq + 1)});
	}
	in->name = arena_text(x->row, name.p, name.n);
	label = strstr(in->name, ": ");            /* "collar: width": a remark, then the input */
	if (label != NULL)
		in->name = label + 2;
	in->text = arena_text(x->row, said.p, said.n);
	in->number = is_number(in->text) && !is_flag(map, in->name);
}

void
figures_read(struct exam *x, const struct sheet *s, uint32_t r, const struct sheet *map,
    struct figures *f)
{
	struct list l = list_split(x->row, sheet_cell(s, r, "inputs"), ';');

	*f = (struct figures){.id = sheet_cell(s, r, "id"), .domain = sheet_cell(s, r, "domain"),
	    .output = sheet_cell(s, r, "output_name"), .expected = sheet_cell(s, r, "expected"),
	    .tolerance = sheet_cell(s, r, "tolerance"), .unit = sheet_cell(s, r, "unit")};
	for (uint32_t i = 0; i < l.n && f->n_inputs < INPUTS_MOST; i++) {
		struct input in;

		input_read(x, l.item[i], map, &in);
		f->computed = f->computed || in.number;
		if (!is_flag(map, in.name))
			f->input[f->n_inputs++] = in;
	}
}

static const char *
range_text(struct exam *x, range r)
{
	struct buf b = {0};
	const char *t;

	buf_number(&b, r.lo, 9);
	if (!range_is_exact(r)) {
		buf_str(&b, "..");
		buf_number(&b, r.hi, 9);
	}
	t = arena_text(x->row, b.p, b.n);
	buf_free(&b);
	return t;
}

void
part_values(struct exam *x)
{
	struct tally offered = {.part = "values/offered"}, right = {.part = "values/right"};
	struct tally known = {.part = "values/looked-up"};
	struct tally narrow = {.part = "values/looked-up-narrow"};
	struct sheet s, map;
	const char *why;

	if (!exam_sheet(x, "check_values.csv", &s))
		return;
	if (!csv_rows_read(x->arena, x->home, "values_map.csv", &map, &why))
		die(EXIT_NOT_RUN, "%s/values_map.csv: %s", x->home, why);
	for (uint32_t r = 0; r < s.n_rows; r++) {
		struct figures f;
		struct outcome o;
		bool agrees;

		arena_reset(x->row);
		figures_read(x, &s, r, &map, &f);
		o = work_out(x, &f, &map);
		if (!f.computed) {
			known.of++;
			agrees = o.offered && figure_within(&f, &o);
			known.right += agrees;
			/* A range right by being wide says little: no more than half as much again. */
			narrow.of++;
			narrow.right += agrees && o.is.hi <= 1.5 * o.is.lo;
			if (!agrees)
				fell_short(x, known.part, f.id, "%s %s: %s, expected %s", f.domain, f.output,
				    o.offered ? range_text(x, o.is) : o.why, f.expected);
			continue;
		}
		offered.of++;
		if (!o.offered) {
			fell_short(x, offered.part, f.id, "%s %s: %s", f.domain, f.output, o.why);
			continue;
		}
		offered.right++;
		right.of++;
		agrees = figure_agrees(&f, (o.is.lo + o.is.hi) / 2);
		right.right += agrees;
		if (!agrees)
			fell_short(x, right.part, f.id, "%s %s: %s, expected %s within %s", f.domain,
			    f.output, range_text(x, o.is), f.expected, f.tolerance);
	}
	tally_print(&offered);
	tally_print(&right);
	tally_print(&known);
	control_print(&narrow);
}
