/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * convert: a quantity in another unit or numbering, exactly and as the trade
 * would say it.
 */
#include "command/command_impl.h"

#include <math.h>
#include <string.h>

enum { EXACT_DIGITS = 12 };

/* Everything of the dimension may be written; nothing is meant by a bare number.
 * PLAIN: no numberings, so that 5/8 in is a fraction and not a size in two schemes. */
static struct reading_for
any_of(struct run *r, dimension dim, bool plain)
{
	const struct units *us = r->craft->units;
	uint16_t *list = arena_alloc(r->arena, (us->n + 1) * sizeof *list);
	struct reading_for f = {.dim = dim, .units = list, .bare = -1, .domain = range_all(),
	    .about = 0.1};

	if (dim_none(dim))                     /* a plain number needs no unit */
		f.bare = unit_find(us, SV("1"));
	for (uint32_t i = 0; i < us->n; i++)
		if (dim_eq(us->u[i].dim, dim) && !(plain && us->u[i].numbering != 0))
			list[f.n_units++] = (uint16_t)i;
	return f;
}

static struct reading
read_as(struct run *r, dimension dim, strview text)
{
	struct reading_for plain = any_of(r, dim, true), all = any_of(r, dim, false);
	struct reading got = reading_of(r->craft->units, r->craft->range_words, &plain, text, true);

	return got.fault == READ_FINE ? got
	    : reading_of(r->craft->units, r->craft->range_words, &all, text, true);
}

static int
refuse(const struct run *r, const char *text)
{
	struct buf b = {0};

	(void)r;
	text_safe(&b, sv(text));
	fprintf(stderr, "bodkin: %s\n", b.p);
	buf_free(&b);
	return EXIT_NOT_RUN;
}

static const char *
dim_text(struct run *r, dimension d)
{
	struct buf b = {0};

	dim_print(&b, d);
	return run_kept(r, &b);
}

/* The quantity cannot be had in the unit: say which of the reasons it is. */
static int
explain(struct run *r, const char *text, const struct unit *to, enum reading_fault fault)
{
	const struct units *us = r->craft->units;

	for (uint32_t i = 0; i < us->n; i++) {
		if (dim_eq(us->u[i].dim, to->dim))
			continue;
		if (read_as(r, us->u[i].dim, sv(text)).fault == READ_FINE)
			return refuse(r, SAY(r, "convert.differs", "quantity", text, "have",
			    dim_text(r, us->u[i].dim), "unit", to->name, "want", dim_text(r, to->dim)));
	}
	if (fault == READ_NO_UNIT)
		return refuse(r, SAY(r, "convert.no-unit", "quantity", text));
	return refuse(r, SAY(r, "convert.not-read", "quantity", text));
}

/* The unit is named by as many of the last arguments as make one. */
static int
target(struct run *r, const char **quantity)
{
	for (int from = 1; from < r->ask->n_args; from++) {
		int unit = unit_find(r->craft->units, sv(joined_args(r, from)));
		struct buf b = {0};

		if (unit < 0)
			continue;
		for (int i = 0; i < from; i++) {
			if (i > 0 && i == from - 1 && strcmp(r->ask->args[i], "to") == 0)
				continue;
			buf_print(&b, "%s%s", i > 0 ? " " : "", r->ask->args[i]);
		}
		*quantity = arena_text(r->arena, b.p, b.n);
		buf_free(&b);
		return unit;
	}
	return -1;
}

static int
unknown_unit(struct run *r)
{
	strview last = sv(r->ask->args[r->ask->n_args - 1]);
	struct near near = {0};
	struct buf b = {0};

	unit_near(r->craft->units, last, &near);
	for (int i = 0; i < near.n; i++)
		buf_print(&b, "%s%s", i == 0 ? "; did you mean " : " or ", near.name[i]);
	usage(r, "there is no unit %s%s%s", last.p, b.n > 0 ? b.p : "",
	    b.n > 0 ? "?" : " (see: bodkin list units)");
	buf_free(&b);
	return EXIT_NOT_RUN;
}

static const char *
exactly(struct run *r, range written)
{
	if (range_is_exact(written))
		return number_text(r, written.lo, EXACT_DIGITS);
	return SAY(r, "convert.range", "low", number_text(r, written.lo, EXACT_DIGITS),
	    "high", number_text(r, written.hi, EXACT_DIGITS));
}

/* In the trade a ladder has rungs and nothing between: the nearest one. */
static range
on_ladder(const struct unit *u, range base)
{
	double nearest = base.lo;

	if (u->form != UNIT_LADDER || !range_is_exact(base))
		return base;
	for (uint32_t i = 0; i < u->n_ladder; i++)
		if (i == 0 || fabs(u->ladder[i].base - base.lo) < fabs(nearest - base.lo))
			nearest = u->ladder[i].base;
	return range_exact(nearest);
}

static void
answer(struct run *r, const char *text, int unit, range base, range written)
{
	const struct unit *u = &r->craft->units->u[unit];
	struct buf shown = {0};
	struct json j;

	range_print(&shown, r->craft->units, unit, on_ladder(u, base), 0);
	if (r->ask->json) {
		json_begin(r, &j);
		json_key(&j, "quantity");
		json_str(&j, text);
		json_key(&j, "unit");
		json_str(&j, u->name);
		json_key(&j, "low");
		json_number(&j, written.lo);
		json_key(&j, "high");
		json_number(&j, written.hi);
		json_key(&j, "shown");
		json_text(&j, (strview){shown.p, shown.n});
		json_end(r, &j);
	} else {
		page_add(r->page, BLOCK_PAIR, SAY(r, "convert.exact"), SAY(r, "convert.is",
		    "from", text, "value", exactly(r, written), "unit", u->name));
		page_add(r->page, BLOCK_PAIR, SAY(r, "convert.trade"), shown.p);
	}
	buf_free(&shown);
}

int
command_convert(struct run *r)
{
	const char *text = NULL;
	struct reading got;
	const struct unit *u;
	range written;
	bool ok;
	int unit;

	if (r->ask->n_args < 2)
		return usage(r, "give a quantity and the unit it is wanted in");
	if (!run_knowledge(r))
		return EXIT_NOT_RUN;
	unit = target(r, &text);
	if (unit < 0)
		return unknown_unit(r);
	u = &r->craft->units->u[unit];
	got = read_as(r, u->dim, sv(text));
	if (got.fault != READ_FINE)
		return explain(r, text, u, got.fault);
	if (r->ask->table)
		return convert_table(r, &got, unit);
	written = unit_range_from_base(u, got.value, &ok);
	if (!ok || isnan(written.lo) || isnan(written.hi))
		return refuse(r, SAY(r, "convert.off-scale", "quantity", text, "unit", u->name));
	answer(r, text, unit, got.value, written);
	return EXIT_SOUND;
}
