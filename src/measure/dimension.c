/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Dimensions: what kind of quantity a number is.
 *
 * Four exponents in sixths.  The notation is the one printed to people and
 * written in the schema:
 *
 *     dimension = "number" | factor (("*" | "/") factor)*
 *     factor    = "1" | name ("^" exponent)?
 *     exponent  = integer ("/" integer)?
 *
 * "mass^1/2/time" is unambiguous, as no factor but "1" begins with a digit.
 */
#include "measure/measure.h"

#include <string.h>

enum { SIXTHS = 6, KINDS = 4 };

static const char *const names[KINDS] = {"length", "mass", "time", "temperature"};

static void
unpack(dimension d, int e[KINDS])
{
	e[0] = d.length;
	e[1] = d.mass;
	e[2] = d.time;
	e[3] = d.temperature;
}

static bool
pack(const int e[KINDS], dimension *out)
{
	for (int i = 0; i < KINDS; i++)
		if (e[i] < -127 || e[i] > 127)
			return false;
	*out = (dimension){(int8_t)e[0], (int8_t)e[1], (int8_t)e[2], (int8_t)e[3]};
	return true;
}

bool
dim_eq(dimension a, dimension b)
{
	return a.length == b.length && a.mass == b.mass && a.time == b.time &&
	    a.temperature == b.temperature;
}

bool
dim_none(dimension d)
{
	return dim_eq(d, (dimension){0});
}

static bool
sum(dimension a, dimension b, int sign, dimension *out)
{
	int x[KINDS], y[KINDS];

	unpack(a, x);
	unpack(b, y);
	for (int i = 0; i < KINDS; i++)
		x[i] += sign * y[i];
	return pack(x, out);
}

bool
dim_mul(dimension a, dimension b, dimension *out)
{
	return sum(a, b, 1, out);
}

bool
dim_div(dimension a, dimension b, dimension *out)
{
	return sum(a, b, -1, out);
}

bool
dim_pow(dimension d, int num, int den, dimension *out)
{
	int e[KINDS];

	if (den == 0 || num < -1000 || num > 1000 || den < -1000 || den > 1000)
		return false;
	unpack(d, e);
	for (int i = 0; i < KINDS; i++) {
		if (e[i] * num % den != 0)
			return false;
		e[i] = e[i] * num / den;
	}
	return pack(e, out);
}

static void
print_factor(struct buf *b, int kind, int sixths)
{
	buf_str(b, names[kind]);
	if (sixths == SIXTHS)
		return;
	if (sixths % 6 == 0)
		buf_print(b, "^%d", sixths / 6);
	else if (sixths % 3 == 0)
		buf_print(b, "^%d/2", sixths / 3);
	else if (sixths % 2 == 0)
		buf_print(b, "^%d/3", sixths / 2);
	else
		buf_print(b, "^%d/6", sixths);
}

/* Mass first, as people say it: "mass/length^2". */
void
dim_print(struct buf *b, dimension d)
{
	static const int order[KINDS] = {1, 0, 2, 3};
	int e[KINDS], above = 0;

	if (dim_none(d)) {
		buf_str(b, "number");
		return;
	}
	unpack(d, e);
	for (int i = 0; i < KINDS; i++) {
		if (e[order[i]] > 0) {
			if (above++ > 0)
				buf_char(b, '*');
			print_factor(b, order[i], e[order[i]]);
		}
	}
	if (above == 0)
		buf_char(b, '1');
	for (int i = 0; i < KINDS; i++) {
		if (e[order[i]] < 0) {
			buf_char(b, '/');
			print_factor(b, order[i], -e[order[i]]);
		}
	}
}

/* ---- reading ----------------------------------------------------------- */

static bool
eat(strview *v, char c)
{
	if (v->n == 0 || v->p[0] != c)
		return false;
	v->p++;
	v->n--;
	return true;
}

static bool
integer(strview *v, int *out)
{
	bool minus = eat(v, '-');
	int x = 0;
	size_t digits = 0;

	while (v->n > 0 && v->p[0] >= '0' && v->p[0] <= '9') {
		if (++digits > 3)
			return false;
		x = x * 10 + (v->p[0] - '0');
		v->p++;
		v->n--;
	}
	*out = minus ? -x : x;
	return digits > 0;
}

/* exponent = integer ("/" integer)? */
static bool
exponent(strview *v, int *sixths)
{
	int num, den = 1;

	if (!integer(v, &num))
		return false;
	if (v->n > 1 && v->p[0] == '/' && v->p[1] >= '0' && v->p[1] <= '9' &&
	    (!eat(v, '/') || !integer(v, &den)))
		return false;
	if (den < 1 || num * SIXTHS % den != 0)
		return false;
	*sixths = num * SIXTHS / den;
	return true;
}

/* factor = "1" | name ("^" exponent)? */
static bool
factor(strview *v, int sign, int e[KINDS])
{
	int k, sixths = SIXTHS;

	if (eat(v, '1'))
		return true;
	for (k = 0; k < KINDS; k++)
		if (sv_starts(*v, names[k]))
			break;
	if (k == KINDS)
		return false;
	v->p += strlen(names[k]);
	v->n -= strlen(names[k]);
	if (eat(v, '^') && !exponent(v, &sixths))
		return false;
	e[k] += sign * sixths;
	return true;
}

bool
dim_read(strview v, dimension *out)
{
	int e[KINDS] = {0}, sign = 1;

	v = sv_trim(v);
	if (sv_is(v, "number")) {
		*out = (dimension){0};
		return true;
	}
	if (v.n > 200)
		return false;
	for (;;) {
		if (!factor(&v, sign, e))
			return false;
		if (v.n == 0)
			return pack(e, out);
		if (eat(&v, '*'))
			sign = 1;
		else if (eat(&v, '/'))
			sign = -1;
		else
			return false;
	}
}
