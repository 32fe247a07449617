/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Numbers as people write them: fractions, fraction characters, and decimals
 * with a point or, where nothing else can be meant, a comma.
 */
#include "measure/measure_impl.h"

#include <string.h>

static bool
digit(char c)
{
	return c >= '0' && c <= '9';
}

static const struct { const char *sign; int num, den; } vulgar[] = {
	{"\xc2\xbc", 1, 4}, {"\xc2\xbd", 1, 2}, {"\xc2\xbe", 3, 4},
	{"\xe2\x85\x90", 1, 7}, {"\xe2\x85\x91", 1, 9}, {"\xe2\x85\x92", 1, 10},
	{"\xe2\x85\x93", 1, 3}, {"\xe2\x85\x94", 2, 3}, {"\xe2\x85\x95", 1, 5},
	{"\xe2\x85\x96", 2, 5}, {"\xe2\x85\x97", 3, 5}, {"\xe2\x85\x98", 4, 5},
	{"\xe2\x85\x99", 1, 6}, {"\xe2\x85\x9a", 5, 6}, {"\xe2\x85\x9b", 1, 8},
	{"\xe2\x85\x9c", 3, 8}, {"\xe2\x85\x9d", 5, 8}, {"\xe2\x85\x9e", 7, 8},
};

size_t
number_vulgar(strview v, double *x)
{
	for (size_t i = 0; i < sizeof vulgar / sizeof *vulgar; i++)
		if (sv_starts(v, vulgar[i].sign)) {
			*x = (double)vulgar[i].num / vulgar[i].den;
			return strlen(vulgar[i].sign);
		}
	return 0;
}

static size_t
slash(strview v)
{
	if (sv_starts(v, "/"))
		return 1;
	return sv_starts(v, "\xe2\x81\x84") || sv_starts(v, "\xe2\x88\x95") ? 3 : 0;
}

/* Digits only, at most nine. */
static size_t
whole_number(strview v, double *x)
{
	size_t n = 0;
	double y = 0;

	while (n < v.n && digit(v.p[n]) && n < 10)
		y = y * 10 + (v.p[n++] - '0');
	*x = y;
	return n < 10 ? n : 0;
}

size_t
number_fraction(strview v, double *num, double *den)
{
	size_t n = whole_number(v, num), k, m;

	if (n == 0 || (k = slash((strview){v.p + n, v.n - n})) == 0)
		return 0;
	m = whole_number((strview){v.p + n + k, v.n - n - k}, den);
	return m > 0 ? n + k + m : 0;
}

size_t
number_decimal(strview v, double *x, bool *integer, size_t *bad)
{
	size_t n, k = 0;
	char plain[80];

	*bad = 0;
	*integer = false;
	if (v.n == 0 || (!digit(v.p[0]) && v.p[0] != '.'))
		return 0;
	if (!number_read(v, &n, x)) {
		*bad = digit(v.p[0]) ? v.n : 0;
		return 0;
	}
	*integer = memchr(v.p, '.', n) == NULL;
	if (n + 1 >= v.n || v.p[n] != ',' || !digit(v.p[n + 1]))
		return n;
	while (n + 1 + k < v.n && digit(v.p[n + 1 + k]))
		k++;
	/* "1,500" may be fifteen hundred or one and a half. */
	if (!*integer || n + k + 2 > sizeof plain || (k == 3 && v.p[0] != '0') ||
	    (n + 1 + k < v.n && v.p[n + 1 + k] == ',')) {
		*bad = n + 1 + k;
		return 0;
	}
	memcpy(plain, v.p, n);
	plain[n] = '.';
	memcpy(plain + n + 1, v.p + n + 1, k);
	*integer = false;
	if (!number_read((strview){plain, n + 1 + k}, NULL, x)) {
		*bad = n + 1 + k;
		return 0;
	}
	return n + 1 + k;
}
