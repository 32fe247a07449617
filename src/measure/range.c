/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Truth in four states, and arithmetic of ranges.
 *
 * Plain double arithmetic on the bounds, no outward rounding: the trade's
 * figures carry two or three digits, and comparisons have a step of their own.
 * What IEEE 754 leaves open is settled here, so that no bound is ever NaN or a
 * negative zero:
 *
 *     0 * inf  = 0        nothing of something, however large, is nothing
 *     inf - inf           low bound -inf, high bound inf: nothing is known
 *     x / 0               as wide as it must be; 0 over anything but 0 is 0
 *     inf / inf           low bound 0, high bound inf (signs as usual)
 *
 * Only + - * / sqrt cbrt floor ceil fabs are used, each rounded once, so every
 * compiler and level of optimisation gives the same bits.
 */
#include "measure/measure.h"

#include <math.h>

/* ---- truth ------------------------------------------------------------- */

#define F TRI_FALSE
#define U TRI_UNKNOWN
#define T TRI_TRUE
#define A TRI_ABSENT

/* Rows: left side; columns: right side; both in the order of enum tri. */
tri
tri_and(tri a, tri b)
{
	static const tri is[TRI__COUNT][TRI__COUNT] = {
		[F] = {F, F, F, F},
		[U] = {F, U, U, A},
		[T] = {F, U, T, A},
		[A] = {F, A, A, A},
	};

	return is[a][b];
}

tri
tri_or(tri a, tri b)
{
	static const tri is[TRI__COUNT][TRI__COUNT] = {
		[F] = {F, U, T, F},
		[U] = {U, U, T, U},
		[T] = {T, T, T, T},
		[A] = {F, U, T, A},
	};

	return is[a][b];
}

#undef F
#undef U
#undef T
#undef A

tri
tri_not(tri a)
{
	switch (a) {
	case TRI_FALSE: return TRI_TRUE;
	case TRI_UNKNOWN: return TRI_UNKNOWN;
	case TRI_TRUE: return TRI_FALSE;
	case TRI_ABSENT: return TRI_ABSENT;
	case TRI__COUNT: break;
	}
	die(EXIT_OUR_FAULT, "not a truth: %d", (int)a);
}

const char *
tri_name(tri a)
{
	switch (a) {
	case TRI_FALSE: return "false";
	case TRI_UNKNOWN: return "unknown";
	case TRI_TRUE: return "true";
	case TRI_ABSENT: return "absent";
	case TRI__COUNT: break;
	}
	die(EXIT_OUR_FAULT, "not a truth: %d", (int)a);
}

/* ---- making ------------------------------------------------------------ */

static double
least(double a, double b)
{
	return a < b ? a : b;
}

static double
greatest(double a, double b)
{
	return a > b ? a : b;
}

/* The one place where a range is put together: no NaN, no negative zero. */
static range
made(double lo, double hi)
{
	if (isnan(lo))
		lo = -INFINITY;
	if (isnan(hi))
		hi = INFINITY;
	return (range){lo + 0.0, hi + 0.0};
}

range
range_exact(double x)
{
	return made(x, x);
}

range
range_all(void)
{
	return (range){-INFINITY, INFINITY};
}

bool
range_is_exact(range r)
{
	return r.lo == r.hi && !isinf(r.lo);
}

/* ---- arithmetic -------------------------------------------------------- */

range
range_neg(range a)
{
	return made(-a.hi, -a.lo);
}

range
range_add(range a, range b)
{
	return made(a.lo + b.lo, a.hi + b.hi);
}

range
range_sub(range a, range b)
{
	return range_add(a, range_neg(b));
}

static double
times(double a, double b)
{
	return a == 0 || b == 0 ? 0 : a * b;
}

range
range_mul(range a, range b)
{
	double p = times(a.lo, b.lo), q = times(a.lo, b.hi);
	double r = times(a.hi, b.lo), s = times(a.hi, b.hi);

	return made(least(least(p, q), least(r, s)), greatest(greatest(p, q), greatest(r, s)));
}

/* Nearest to zero (or farthest from it) that X over a divisor within
 * [near, far], 0 <= near <= far, can be. */
static double
inward(double x, double far)
{
	return isinf(far) ? 0 : x / far;
}

static double
outward(double x, double near)
{
	if (x == 0)
		return 0;
	if (near == 0 || isinf(x))
		return x < 0 ? -INFINITY : INFINITY;
	return x / near;
}

range
range_div(range a, range b)
{
	if (b.lo == 0 && b.hi == 0)
		return range_all();
	if (a.lo == 0 && a.hi == 0)
		return made(0, 0);
	if (b.lo < 0 && b.hi > 0)
		return range_all();
	if (b.hi <= 0) {
		a = range_neg(a);
		b = range_neg(b);
	}
	return made(a.lo >= 0 ? inward(a.lo, b.hi) : outward(a.lo, b.lo),
	    a.hi >= 0 ? outward(a.hi, b.lo) : inward(a.hi, b.hi));
}

range
range_abs(range a)
{
	if (a.lo >= 0)
		return a;
	if (a.hi <= 0)
		return range_neg(a);
	return made(0, greatest(-a.lo, a.hi));
}

range
range_least(range a, range b)
{
	return made(least(a.lo, b.lo), least(a.hi, b.hi));
}

range
range_greatest(range a, range b)
{
	return made(greatest(a.lo, b.lo), greatest(a.hi, b.hi));
}

range
range_hull(range a, range b)
{
	return made(least(a.lo, b.lo), greatest(a.hi, b.hi));
}

bool
range_meet(range a, range b, range *out)
{
	double lo = greatest(a.lo, b.lo), hi = least(a.hi, b.hi);

	if (lo > hi)
		return false;
	*out = made(lo, hi);
	return true;
}

/* ---- powers ------------------------------------------------------------ */

static double
power(double x, int n)
{
	double y = 1;

	for (; n > 0; n >>= 1) {
		if (n & 1)
			y = times(y, x);
		if (n > 1)
			x = times(x, x);
	}
	return y;
}

static double
root(double x, int den)
{
	switch (den) {
	case 2: return sqrt(greatest(x, 0));
	case 3: return cbrt(x);
	case 6: return cbrt(sqrt(greatest(x, 0)));
	}
	return x;
}

range
range_pow(range a, int num, int den)
{
	int x = num < 0 ? -num : num, y = den < 0 ? -den : den;
	bool under = (num < 0) != (den < 0);

	if (num < -1000 || num > 1000 || den == 0)
		return range_all();
	if (num == 0)
		return made(1, 1);
	while (y != 0) {                       /* lowest terms: x^(2/6) is x^(1/3) */
		int t = x % y;

		x = y;
		y = t;
	}
	num = (num < 0 ? -num : num) / x;
	den = (den < 0 ? -den : den) / x;
	if (den != 1 && den != 2 && den != 3 && den != 6)
		return range_all();
	/* The root first: it keeps the numbers small. */
	a = made(root(a.lo, den), root(a.hi, den));
	if (num % 2 == 0)
		a = range_abs(a);
	a = made(power(a.lo, num), power(a.hi, num));
	return under ? range_div(made(1, 1), a) : a;
}

/* ---- steps ------------------------------------------------------------- */

enum rounding { NEAREST, DOWN, UP };

static double
to_step(double x, double step, enum rounding how)
{
	double q = x / step, whole;

	/* Beyond 2^52 every number is whole. */
	if (!(fabs(q) < 4503599627370496.0))
		return x;
	/* 0.3 / 0.1 is a hair below 3: what is whole but for that stays. */
	whole = floor(q + 0.5);
	if (fabs(q - whole) > 1e-9 * greatest(1, fabs(q)))
		switch (how) {
		case NEAREST: break;
		case DOWN: whole = floor(q); break;
		case UP: whole = ceil(q); break;
		}
	return whole * step;
}

static range
stepped(range a, range step, enum rounding how)
{
	if (!(step.hi > 0) || isinf(step.hi))
		return step.hi > 0 ? range_all() : a;
	if (step.lo == step.hi)
		return made(to_step(a.lo, step.lo, how), to_step(a.hi, step.lo, how));
	/* Of a step that is not known only its largest bounds the change. */
	switch (how) {
	case NEAREST: return made(a.lo - step.hi / 2, a.hi + step.hi / 2);
	case DOWN: return made(a.lo - step.hi, a.hi);
	case UP: return made(a.lo, a.hi + step.hi);
	}
	return a;
}

range
range_round(range a, range step)
{
	return stepped(a, step, NEAREST);
}

range
range_floor(range a, range step)
{
	return stepped(a, step, DOWN);
}

range
range_ceil(range a, range step)
{
	return stepped(a, step, UP);
}

/* ---- comparisons ------------------------------------------------------- */

/* From a up to b; equal infinities lie no way apart. */
static double
gap(double a, double b)
{
	return a == b ? 0 : b - a;
}

/* Is `d` a difference that counts?  The hair below half a step takes up what
 * binary fractions do to 16 mm - 15.5 mm. */
static bool
counts(double d, double step)
{
	return step > 0 ? d >= step / 2 * (1 - 1e-9) : d > 0;
}

tri
range_lt(range a, range b, double step)
{
	if (counts(gap(a.hi, b.lo), step))
		return TRI_TRUE;
	return counts(gap(a.lo, b.hi), step) ? TRI_UNKNOWN : TRI_FALSE;
}

tri
range_le(range a, range b, double step)
{
	return tri_not(range_lt(b, a, step));
}

tri
range_eq(range a, range b, double step)
{
	if (counts(gap(a.hi, b.lo), step) || counts(gap(b.hi, a.lo), step))
		return TRI_FALSE;
	if (isinf(a.lo) || isinf(a.hi) || isinf(b.lo) || isinf(b.hi))
		return TRI_UNKNOWN;
	return counts(gap(a.lo, b.hi), step) || counts(gap(b.lo, a.hi), step) ?
	    TRI_UNKNOWN : TRI_TRUE;
}

tri
range_in(range a, range band, double step)
{
	if (counts(gap(a.hi, band.lo), step) || counts(gap(band.hi, a.lo), step))
		return TRI_FALSE;
	return counts(gap(a.lo, band.lo), step) || counts(gap(band.hi, a.hi), step) ?
	    TRI_UNKNOWN : TRI_TRUE;
}
