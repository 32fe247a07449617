/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Ranges shown to people, in the unit they wrote.
 *
 * A number is shown on the grid of half a step where the unit's decimals can
 * hold that grid, else with the fewest decimals within a quarter step: 12.3481
 * mm in steps of 1 mm is 12.5 mm.  Without a step the unit's decimals decide.
 */
#include "measure/measure_impl.h"

#include <math.h>
#include <string.h>

static double
ten_to(int n)
{
	double x = 1;

	for (; n > 0; n--)
		x *= 10;
	return x;
}

static double
to_decimals(double x, int n)
{
	double scale = ten_to(n);

	/* Already as whole as a double can be. */
	if (fabs(x) * scale > 4503599627370496.0)
		return x;
	return (x < 0 ? -floor(-x * scale + 0.5) : floor(x * scale + 0.5)) / scale;
}

/* Has x no more than n decimals? */
static bool
fits_decimals(double x, int n)
{
	return fabs(x - to_decimals(x, n)) <= 1e-9 * fabs(x);
}

/* x as it is shown: `step` in the same written unit. */
static double
rounded(double x, double step, int digits)
{
	double y;

	if (step > 0 && fits_decimals(step / 2, digits)) {
		y = floor(fabs(x) / (step / 2) + 0.5) * (step / 2);
		y = to_decimals(x < 0 ? -y : y, digits);
	} else {
		double steps = step > 0 ? floor(fabs(x) / step + 0.5) : 0;
		/* A whole number of steps is what somebody sets: 2.75, not 2.8. */
		bool whole = step > 0 && fits_decimals(step, digits) &&
		    fabs(fabs(x) - steps * step) <= 1e-9 * step;

		y = to_decimals(x, digits);
		for (int n = 0; !whole && step > 0 && n < digits; n++)
			if (fabs(to_decimals(x, n) - x) <= step / 4) {
				y = to_decimals(x, n);
				break;
			}
	}
	/* What is there must not vanish. */
	for (int n = digits + 1; y == 0 && x != 0 && n < 12; n++)
		y = to_decimals(x, n);
	return y;
}

/* "1 3/8", when a fraction in 64ths or coarser comes near enough; a whole
 * number counts as one. */
static bool
print_fraction(struct buf *b, double x, double step)
{
	double whole = floor(fabs(x)), part = fabs(x) - whole;

	if (fabs(x) > 1e6)
		return false;
	for (int den = 1; den <= 64; den *= 2) {
		double top = floor(part * den + 0.5);
		double allowed = step > 0 ? step / 4 : 1e-6;
		int num = (int)top;

		if (fabs(top / den - part) > allowed || (whole == 0 && num == 0 && x != 0))
			continue;
		if (num == den) {
			whole += 1;
			num = 0;
		}
		if (x < 0)
			buf_char(b, '-');
		if (whole > 0 || num == 0)
			buf_number(b, whole, 15);
		if (num > 0)
			buf_print(b, "%s%d/%d", whole > 0 ? " " : "", num, den);
		return true;
	}
	return false;
}

/* One bound without its unit. */
static void
print_bound(struct buf *b, const struct units *us, int unit, double written, double step)
{
	const struct unit *u = &us->u[unit];
	int other = unit_partner(us, unit);
	double base, old;

	if (u->fraction && print_fraction(b, written, step))
		return;
	if (other >= 0 && unit_to_base(u, written, &base) &&
	    unit_from_base(&us->u[other], base, &old) && fits_decimals(old, 0)) {
		buf_number(b, rounded(written, 0, u->digits), 15);
		buf_char(b, '/');
		buf_number(b, old, 15);
		return;
	}
	buf_number(b, rounded(written, step, u->digits), 15);
}

static const char *
label_of(const struct unit *u, bool one)
{
	if (u->name[0] >= '0' && u->name[0] <= '9')
		return "";                     /* the plain number */
	return one || u->plural == NULL ? u->name : u->plural;
}

static void
print_with_unit(struct buf *b, const struct units *us, int unit, const char *number, bool one)
{
	const struct unit *u = &us->u[unit];
	const char *label = label_of(u, one);

	/* A pair of numberings says what it is. */
	if (unit_partner(us, unit) >= 0 && strchr(number, '/') != NULL)
		label = "";
	if (u->before && label[0] != '\0') {
		buf_str(b, u->name);
		buf_char(b, ' ');
	}
	buf_str(b, number);
	if (!u->before && label[0] != '\0') {
		if (strchr("\"'", label[0]) == NULL)
			buf_char(b, ' ');
		buf_str(b, label);
	}
}

static double
step_written(const struct unit *u, double step)
{
	/* where the zero lies elsewhere, multiples of a step are no round figures */
	if (u->offset != 0 && u->factor != 1)
		return 0;
	return u->form == UNIT_SCALE && u->factor != 0 ? step / fabs(u->factor) : 0;
}

void
range_print(struct buf *b, const struct units *us, int unit, range base, double step)
{
	const struct unit *u;
	struct buf lo = {0}, hi = {0};
	bool ok, one;
	range w;
	double s;

	if (unit < 0 || (uint32_t)unit >= us->n)
		die(EXIT_OUR_FAULT, "a range to be shown without a unit");
	u = &us->u[unit];
	w = unit_range_from_base(u, base, &ok);
	if (u->form == UNIT_INVERSE && isinf(base.hi) && w.lo == 0)
		w.lo = -INFINITY;
	if (u->form == UNIT_INVERSE && base.lo <= 0)
		w.hi = INFINITY;
	if (!ok) {
		/* Outside the ladder: in the first plain scale of the dimension. */
		for (uint32_t i = 0; i < us->n; i++)
			if (us->u[i].form == UNIT_SCALE && dim_eq(us->u[i].dim, u->dim)) {
				range_print(b, us, (int)i, base, step);
				return;
			}
		buf_str(b, "?");
		return;
	}
	s = step_written(u, step);
	if (isinf(w.lo) && isinf(w.hi)) {
		buf_str(b, "any");
		return;
	}
	buf_add(&lo, "", 0);
	buf_add(&hi, "", 0);
	if (!isinf(w.lo))
		print_bound(&lo, us, unit, w.lo, s);
	if (!isinf(w.hi))
		print_bound(&hi, us, unit, w.hi, s);
	one = strcmp(hi.n > 0 ? hi.p : lo.p, "1") == 0;
	if (lo.n == 0) {
		buf_str(b, "under ");
	} else if (hi.n == 0) {
		buf_str(b, "at least ");
	} else if (strcmp(lo.p, hi.p) != 0) {
		/* A hyphen is plain between plain numbers only. */
		bool word = strpbrk(lo.p, "-/") != NULL || strpbrk(hi.p, "-/") != NULL;

		buf_str(&lo, word ? " to " : "-");
		buf_add(&lo, hi.p, hi.n);
	}
	print_with_unit(b, us, unit, lo.n > 0 ? lo.p : hi.p, one);
	buf_free(&lo);
	buf_free(&hi);
}
