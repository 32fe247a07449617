/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Views, growable text, and numbers written and read without the locale.
 */
#include "base/base.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- views ------------------------------------------------------------- */

strview
sv(const char *s)
{
	return (strview){s != NULL ? s : "", s != NULL ? strlen(s) : 0};
}

bool
sv_eq(strview a, strview b)
{
	return a.n == b.n && (a.n == 0 || memcmp(a.p, b.p, a.n) == 0);
}

bool
sv_is(strview a, const char *s)
{
	return sv_eq(a, sv(s));
}

int
sv_cmp(strview a, strview b)
{
	size_t n = a.n < b.n ? a.n : b.n;
	int c = n > 0 ? memcmp(a.p, b.p, n) : 0;

	if (c != 0)
		return c;
	return a.n < b.n ? -1 : a.n > b.n;
}

static bool
blank(char c)
{
	return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '\f' || c == '\v';
}

strview
sv_trim(strview v)
{
	while (v.n > 0 && blank(v.p[0])) {
		v.p++;
		v.n--;
	}
	while (v.n > 0 && blank(v.p[v.n - 1]))
		v.n--;
	return v;
}

bool
sv_starts(strview v, const char *prefix)
{
	size_t n = strlen(prefix);

	return v.n >= n && (n == 0 || memcmp(v.p, prefix, n) == 0);
}

/* ---- growable text ----------------------------------------------------- */

void
buf_free(struct buf *b)
{
	free(b->p);
	*b = (struct buf){0};
}

void
buf_clear(struct buf *b)
{
	b->n = 0;
	if (b->p != NULL)
		b->p[0] = '\0';
}

void
buf_add(struct buf *b, const char *p, size_t n)
{
	if (n > SIZE_MAX / 2 - b->n)
		die(EXIT_NOT_RUN, "not enough memory");
	b->p = mem_grow(b->p, &b->cap, b->n + n + 1, 1);
	if (n > 0)
		memcpy(b->p + b->n, p, n);
	b->n += n;
	b->p[b->n] = '\0';
}

void
buf_str(struct buf *b, const char *s)
{
	buf_add(b, s, strlen(s));
}

void
buf_sv(struct buf *b, strview v)
{
	buf_add(b, v.p, v.n);
}

void
buf_char(struct buf *b, char c)
{
	buf_add(b, &c, 1);
}

void
buf_print(struct buf *b, const char *fmt, ...)
{
	va_list ap, again;
	int n;

	va_start(ap, fmt);
	va_copy(again, ap);
	n = vsnprintf(NULL, 0, fmt, ap);
	va_end(ap);
	if (n < 0)
		die(EXIT_OUR_FAULT, "a format that cannot be printed: %s", fmt);
	b->p = mem_grow(b->p, &b->cap, b->n + (size_t)n + 1, 1);
	vsnprintf(b->p + b->n, (size_t)n + 1, fmt, again);
	va_end(again);
	b->n += (size_t)n;
}

/* ---- numbers ----------------------------------------------------------- */

void
buf_number(struct buf *b, double x, int significant)
{
	char t[64], digit[20];
	int n = 0, point;
	const char *p;

	assert(!isnan(x));
	if (significant < 1)
		significant = 1;
	if (significant > 15)
		significant = 15;
	if (isinf(x)) {
		buf_str(b, "unbounded");
		return;
	}
	if (x < 0)
		buf_char(b, '-');
	/* %e rounds the exact binary value correctly.  Its decimal mark is the
	 * locale's, so only the digits are taken from it. */
	snprintf(t, sizeof t, "%.*e", significant - 1, fabs(x));
	for (p = t; *p != '\0' && *p != 'e'; p++)
		if (*p >= '0' && *p <= '9' && n < significant)
			digit[n++] = *p;
	point = 1;
	if (*p == 'e') {
		int e = 0;
		bool minus = p[1] == '-';

		for (p += 2; *p >= '0' && *p <= '9'; p++)
			e = e * 10 + (*p - '0');
		point += minus ? -e : e;
	}
	while (n > 1 && digit[n - 1] == '0')
		n--;
	if (n == 1 && digit[0] == '0') {
		if (x < 0)
			b->p[--b->n] = '\0';           /* no minus before nothing */
		buf_char(b, '0');
		return;
	}
	if (point <= 0) {
		buf_str(b, "0.");
		for (int i = point; i < 0; i++)
			buf_char(b, '0');
		buf_add(b, digit, (size_t)n);
		return;
	}
	for (int i = 0; i < n || i < point; i++) {
		if (i == point)
			buf_char(b, '.');
		buf_char(b, i < n ? digit[i] : '0');
	}
}

static const double ten[] = {
	1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22
};

/*
 * The first 15 digits that count are gathered in an integer, which a double
 * holds exactly; the power of ten beside it is exact up to 22.  So what people
 * write is rounded once, as correctly as strtod would, and in any locale.
 */
bool
number_read(strview v, size_t *used, double *out)
{
	enum { DIGITS = 15, LONGEST = 64 };
	uint64_t m = 0;
	int kept = 0, power = 0;
	size_t i = 0, seen = 0;
	bool fraction = false, up = false, rounded = false;
	double x;

	for (; i < v.n; i++) {
		char c = v.p[i];

		if (c == '.' && !fraction && i + 1 < v.n && v.p[i + 1] >= '0' &&
		    v.p[i + 1] <= '9') {
			fraction = true;
			continue;
		}
		if (c < '0' || c > '9')
			break;
		if (++seen > LONGEST)
			return false;
		if (kept == DIGITS) {
			if (!rounded)
				up = c >= '5';
			rounded = true;
			power += !fraction;
			continue;
		}
		m = m * 10 + (uint64_t)(c - '0');
		kept += m > 0;
		power -= fraction;
	}
	if (seen == 0)
		return false;
	x = (double)(m + up);
	for (; power > 0; power -= power > 22 ? 22 : power)
		x *= ten[power > 22 ? 22 : power];
	for (; power < 0; power += power < -22 ? 22 : -power)
		x /= ten[power < -22 ? 22 : -power];
	*out = x;
	if (used != NULL)
		*used = i;
	return true;
}
