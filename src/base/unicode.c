/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The few Unicode services: is it UTF-8, fold it for matching, how wide is it,
 * make it safe to show, wrap it.  Tables come from utf8proc.
 */
#include "base/base.h"

#include <stdlib.h>
#include <string.h>
#include <utf8proc.h>

/* One character at the start of V; -1 when the bytes are not UTF-8, and then
 * *N is 1. */
static int32_t
decode(strview v, size_t *n)
{
	utf8proc_int32_t c;
	utf8proc_ssize_t k;

	if ((unsigned char)v.p[0] < 0x80) {
		*n = 1;
		return (unsigned char)v.p[0];
	}
	k = utf8proc_iterate((const utf8proc_uint8_t *)v.p, (utf8proc_ssize_t)v.n, &c);
	if (k <= 0) {
		*n = 1;
		return -1;
	}
	*n = (size_t)k;
	return c;
}

static strview
rest(strview v, size_t at)
{
	return (strview){v.p + at, v.n - at};
}

static void
encode(struct buf *b, int32_t c)
{
	utf8proc_uint8_t t[4];
	utf8proc_ssize_t n = utf8proc_encode_char(c, t);

	buf_add(b, (const char *)t, n > 0 ? (size_t)n : 0);
}

bool
utf8_valid(strview v, size_t *bad_at)
{
	size_t n;

	for (size_t i = 0; i < v.n; i += n) {
		if (decode(rest(v, i), &n) < 0) {
			if (bad_at != NULL)
				*bad_at = i;
			return false;
		}
	}
	return true;
}

size_t
utf8_step(strview v, size_t at)
{
	size_t n;

	if (at >= v.n)
		return 1;
	decode(rest(v, at), &n);
	return n;
}

/* ---- folding ----------------------------------------------------------- */

/* Typographic forms that compatibility mapping leaves or spoils. */
static const char *
plain_form(int32_t c)
{
	if (c >= 0x2010 && c <= 0x2015)
		return "-";
	switch (c) {
	case 0x2018: case 0x2019: case 0x201a: case 0x201b: case 0x2032: case 0x00b4: case 0x02bc:
		return "'";
	case 0x201c: case 0x201d: case 0x201e: case 0x201f: case 0x2033:
		return "\"";
	case 0x2212: case 0x2043: case 0xfe58: case 0xfe63: case 0xff0d:
		return "-";
	case 0x2044: case 0x2215:
		return "/";
	case 0x0085: case 0x2028: case 0x2029:
		return " ";
	}
	return NULL;
}

static bool
vulgar_fraction(int32_t c)
{
	return (c >= 0xbc && c <= 0xbe) || (c >= 0x2150 && c <= 0x215f);
}

static void
fold_char(struct buf *b, int32_t c, size_t start)
{
	utf8proc_int32_t to[32];
	const char *plain = plain_form(c);
	int boundary = 0;
	utf8proc_ssize_t n;

	/* "1" and "3/8" must not become "13/8". */
	if (vulgar_fraction(c) && b->n > start && b->p[b->n - 1] >= '0' && b->p[b->n - 1] <= '9')
		buf_char(b, ' ');
	if (plain == NULL && c < 0x80 && c > 0x20) {
		buf_char(b, c >= 'A' && c <= 'Z' ? (char)(c + 32) : (char)c);
		return;
	}
	if (plain != NULL) {
		to[0] = plain[0];
		n = 1;
	} else if (c <= 0x20) {
		to[0] = ' ';
		n = 1;
	} else {
		n = utf8proc_decompose_char(c, to, 32,
		    UTF8PROC_STABLE | UTF8PROC_COMPAT | UTF8PROC_DECOMPOSE | UTF8PROC_CASEFOLD |
		    UTF8PROC_STRIPMARK | UTF8PROC_IGNORE, &boundary);
	}
	for (utf8proc_ssize_t i = 0; i < n && i < 32; i++) {
		if (to[i] == 0x2044)
			to[i] = '/';
		if (to[i] == ' ') {
			if (b->n > start && b->p[b->n - 1] != ' ')
				buf_char(b, ' ');
			continue;
		}
		encode(b, to[i]);
	}
}

void
buf_fold(struct buf *b, strview v)
{
	size_t n, start;

	buf_add(b, "", 0);
	start = b->n;
	for (size_t i = 0; i < v.n; i += n) {
		int32_t c = decode(rest(v, i), &n);

		fold_char(b, c < 0 ? 0xfffd : c, start);
	}
	if (b->n > start && b->p[b->n - 1] == ' ')
		b->p[--b->n] = '\0';
}

char *
text_fold(struct arena *a, strview v)
{
	struct buf b = {0};
	char *t;

	buf_fold(&b, v);
	t = arena_text(a, b.p, b.n);
	buf_free(&b);
	return t;
}

/* ---- showing ----------------------------------------------------------- */

static bool
unsafe(int32_t c)
{
	return c < 0x20 || (c >= 0x7f && c <= 0x9f) ||
	    c == 0x061c || c == 0x200e || c == 0x200f || c == 0x2028 || c == 0x2029 ||
	    (c >= 0x202a && c <= 0x202e) || (c >= 0x2066 && c <= 0x2069);
}

/* How an unsafe character is shown; returns its length. */
static size_t
escape(char t[16], int32_t c, unsigned char byte)
{
	int n;

	if (c < 0)
		n = snprintf(t, 16, "\\x%02x", byte);
	else if (c < 0x80)
		n = snprintf(t, 16, "\\x%02x", (unsigned)c);
	else
		n = snprintf(t, 16, "\\u{%x}", (unsigned)c);
	return (size_t)n;
}

size_t
text_cells(strview v)
{
	size_t cells = 0, n;
	char t[16];

	for (size_t i = 0; i < v.n; i += n) {
		int32_t c = decode(rest(v, i), &n);

		if (unsafe(c)) {
			cells += escape(t, c, (unsigned char)v.p[i]);
		} else if (c < 0x80) {
			cells++;
		} else {
			int w = utf8proc_charwidth(c);

			cells += w > 0 ? (size_t)w : 0;
		}
	}
	return cells;
}

void
text_safe(struct buf *b, strview v)
{
	size_t n;
	char t[16];

	buf_add(b, "", 0);
	for (size_t i = 0; i < v.n; i += n) {
		int32_t c = decode(rest(v, i), &n);

		if (unsafe(c))
			buf_add(b, t, escape(t, c, (unsigned char)v.p[i]));
		else
			buf_add(b, v.p + i, n);
	}
}

void
text_wrap(struct buf *b, const char *s, int indent, int width)
{
	size_t room = width > 0 ? (size_t)width : SIZE_MAX;
	size_t start = indent > 0 ? (size_t)indent : 0;
	size_t at = start;
	bool first = true;

	buf_add(b, "", 0);
	while (*s != '\0') {
		size_t n = strcspn(s, " \t\n\r");
		size_t cells;

		if (n == 0) {
			s++;
			continue;
		}
		cells = text_cells((strview){s, n});
		if (!first && (cells >= room || at + 1 > room - cells)) {
			buf_char(b, '\n');
			for (size_t i = 0; i < start; i++)
				buf_char(b, ' ');
			at = start;
		} else if (!first) {
			buf_char(b, ' ');
			at++;
		}
		buf_add(b, s, n);
		at += cells;
		first = false;
		s += n;
	}
}
