/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * JSON written as it comes: the writer looks after commas and nesting, and
 * makes any bytes into valid JSON that is also safe to show on a terminal.
 */
#include "base/base.h"

#include <assert.h>
#include <math.h>

enum { DEEPEST = 64 };

static void
separate(struct json *j)
{
	if (j->after_key) {
		j->after_key = false;
		return;
	}
	if (j->depth == 0)
		return;
	if (!j->first[j->depth - 1])
		buf_char(j->out, ',');
	j->first[j->depth - 1] = false;
}

void
json_open(struct json *j, char bracket)
{
	assert(bracket == '{' || bracket == '[');
	separate(j);
	if (j->depth == DEEPEST)
		die(EXIT_OUR_FAULT, "JSON nested too deeply");
	buf_char(j->out, bracket);
	j->first[j->depth++] = true;
}

void
json_close(struct json *j, char bracket)
{
	assert(j->depth > 0 && !j->after_key);
	buf_char(j->out, bracket);
	j->depth--;
}

static void
unit16(struct buf *b, unsigned c)
{
	buf_print(b, "\\u%04x", c);
}

static void
quoted(struct buf *b, strview v)
{
	size_t n;

	buf_char(b, '"');
	for (size_t i = 0; i < v.n; i += n) {
		unsigned char c = (unsigned char)v.p[i];
		strview one;
		struct buf shown = {0};

		n = utf8_step(v, i);
		one = (strview){v.p + i, n};
		if (c == '"' || c == '\\') {
			buf_char(b, '\\');
			buf_char(b, (char)c);
		} else if (c == '\n') {
			buf_str(b, "\\n");
		} else if (c == '\t') {
			buf_str(b, "\\t");
		} else if (c < 0x20 || c == 0x7f) {
			unit16(b, c);
		} else if (c < 0x80) {
			buf_char(b, (char)c);
		} else if (n == 1) {
			buf_str(b, "\xef\xbf\xbd");    /* a byte that is no UTF-8 */
		} else {
			/* What people must not be shown raw goes as \uNNNN; those
			 * characters all lie in the first plane. */
			text_safe(&shown, one);
			if (shown.p[0] == '\\')
				unit16(b, n == 2 ? (unsigned)((c & 0x1f) << 6 | (v.p[i + 1] & 0x3f))
				    : (unsigned)((c & 0x0f) << 12 | (v.p[i + 1] & 0x3f) << 6 |
				    (v.p[i + 2] & 0x3f)));
			else
				buf_sv(b, one);
			buf_free(&shown);
		}
	}
	buf_char(b, '"');
}

void
json_key(struct json *j, const char *key)
{
	assert(!j->after_key);
	separate(j);
	quoted(j->out, sv(key));
	buf_char(j->out, ':');
	j->after_key = true;
}

void
json_text(struct json *j, strview v)
{
	separate(j);
	quoted(j->out, v);
}

void
json_str(struct json *j, const char *s)
{
	if (s != NULL) {
		json_text(j, sv(s));
		return;
	}
	separate(j);
	buf_str(j->out, "null");
}

void
json_number(struct json *j, double x)
{
	separate(j);
	if (isinf(x) || isnan(x))
		buf_str(j->out, "null");
	else
		buf_number(j->out, x, 15);
}

void
json_bool(struct json *j, bool yes)
{
	separate(j);
	buf_str(j->out, yes ? "true" : "false");
}

uint64_t
hash_bytes(const void *p, size_t n, uint64_t seed)
{
	const unsigned char *b = p;
	uint64_t h = UINT64_C(14695981039346656037) ^ seed;

	/* FNV-1a, 64 bits: offset basis and prime as its authors publish them. */
	for (size_t i = 0; i < n; i++) {
		h ^= b[i];
		h *= UINT64_C(1099511628211);
	}
	return h;
}
