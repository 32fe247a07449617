/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A list of materials, first part: bytes into rows of cells (RFC 4180, and what
 * spreadsheets make of it).
 *
 * The text becomes UTF-8 first: by its byte-order mark, else as it is, else as
 * the Western code page spreadsheets write.  The separator is the one a line
 * `sep=;` names, else the one of comma, semicolon and tab that parts the first
 * lines into the same number of cells most often.  A cell keeps its place, so
 * that whatever is said of it later points at it.
 */
#include "project/list_impl.h"

#include <string.h>

enum { SNIFFED_LINES = 20 };

/* ---- encodings ----------------------------------------------------------- */

static void
put_utf8(struct buf *b, uint32_t c)
{
	if (c < 0x80) {
		buf_char(b, (char)c);
	} else if (c < 0x800) {
		buf_char(b, (char)(0xc0 | c >> 6));
		buf_char(b, (char)(0x80 | (c & 0x3f)));
	} else if (c < 0x10000) {
		buf_char(b, (char)(0xe0 | c >> 12));
		buf_char(b, (char)(0x80 | (c >> 6 & 0x3f)));
		buf_char(b, (char)(0x80 | (c & 0x3f)));
	} else {
		buf_char(b, (char)(0xf0 | c >> 18));
		buf_char(b, (char)(0x80 | (c >> 12 & 0x3f)));
		buf_char(b, (char)(0x80 | (c >> 6 & 0x3f)));
		buf_char(b, (char)(0x80 | (c & 0x3f)));
	}
}

static void
from_utf16(struct buf *b, strview t, bool little)
{
	for (size_t i = 2; i + 1 < t.n; i += 2) {
		uint32_t x = (unsigned char)t.p[i], y = (unsigned char)t.p[i + 1];
		uint32_t c = little ? x | y << 8 : x << 8 | y;

		if (c >= 0xd800 && c < 0xdc00 && i + 3 < t.n) {
			uint32_t u = (unsigned char)t.p[i + 2], v = (unsigned char)t.p[i + 3];
			uint32_t low = little ? u | v << 8 : u << 8 | v;

			if (low >= 0xdc00 && low < 0xe000) {
				c = 0x10000 + ((c - 0xd800) << 10) + (low - 0xdc00);
				i += 2;
			}
		}
		put_utf8(b, c >= 0xd800 && c < 0xe000 ? 0xfffd : c);
	}
}

/* Windows-1252, as the WHATWG Encoding Standard has it: where it differs from
 * Latin-1. */
static const uint16_t western[32] = {
	0x20ac, 0x81, 0x201a, 0x192, 0x201e, 0x2026, 0x2020, 0x2021, 0x2c6, 0x2030, 0x160, 0x2039,
	0x152, 0x8d, 0x17d, 0x8f, 0x90, 0x2018, 0x2019, 0x201c, 0x201d, 0x2022, 0x2013, 0x2014,
	0x2dc, 0x2122, 0x161, 0x203a, 0x153, 0x9d, 0x17e, 0x178,
};

uint8_t
list_western(uint32_t c)
{
	for (int i = 0; i < 32; i++)
		if (western[i] == c)
			return (uint8_t)(0x80 + i);
	return c < 0x80 || (c >= 0xa0 && c < 0x100) ? (uint8_t)c : (uint8_t)'?';
}

strview
list_utf8(struct arena *a, strview t, const char **was)
{
	struct buf b = {0};
	strview out = t;
	size_t bad;

	*was = NULL;
	if (t.n >= 2 && (memcmp(t.p, "\xff\xfe", 2) == 0 || memcmp(t.p, "\xfe\xff", 2) == 0)) {
		*was = "UTF-16";
		from_utf16(&b, t, t.p[0] == '\xff');
	} else if (!utf8_valid(t, &bad)) {
		*was = "Windows-1252";
		for (size_t i = 0; i < t.n; i++) {
			unsigned char c = (unsigned char)t.p[i];

			put_utf8(&b, c >= 0x80 && c < 0xa0 ? western[c - 0x80] : c);
		}
	} else if (sv_starts(t, "\xef\xbb\xbf")) {
		out = (strview){t.p + 3, t.n - 3};
	}
	if (*was != NULL)
		out = (strview){arena_text(a, b.p != NULL ? b.p : "", b.n), b.n};
	buf_free(&b);
	return out;
}

/* ---- the separator --------------------------------------------------------- */

/* "sep=;" in the first line: the separator, and where the next line begins. */
static char
separator_said(strview t, size_t *from)
{
	size_t n = 5;

	if (t.n < 6 || (memcmp(t.p, "sep=", 4) != 0 && memcmp(t.p, "SEP=", 4) != 0))
		return '\0';
	while (n < t.n && (t.p[n] == '\r' || t.p[n] == '\n'))
		n++;
	*from = n;
	return t.p[4];
}

/* How often each candidate stands outside quotes in each of the first lines. */
static char
separator_seen(strview t)
{
	static const char candidates[] = ",;\t";
	uint32_t seen[3][SNIFFED_LINES] = {{0}}, lines = 0, best = 0, best_score = 0;
	bool quoted = false;

	for (size_t i = 0; i < t.n && lines < SNIFFED_LINES; i++) {
		if (t.p[i] == '"')
			quoted = !quoted;
		for (uint32_t k = 0; k < 3 && !quoted; k++)
			seen[k][lines] += t.p[i] == candidates[k];
		lines += t.p[i] == '\n' && !quoted;
	}
	for (uint32_t k = 0; k < 3; k++) {
		uint32_t score = 0;

		for (uint32_t i = 0; i < SNIFFED_LINES; i++)
			score += seen[k][i] > 0 && seen[k][i] == seen[k][0] ? 2 : seen[k][i] > 0;
		if (score > best_score) {
			best_score = score;
			best = k;
		}
	}
	return candidates[best];
}

/* ---- cells ------------------------------------------------------------------- */

/* Doubled quotes of a quoted cell made one. */
static strview
unquoted(struct arena *a, strview s)
{
	char *p;
	size_t n = 0;

	if (s.n == 0 || memchr(s.p, '"', s.n) == NULL)
		return s;
	p = arena_text(a, s.p, s.n);
	for (size_t i = 0; i < s.n; i++) {
		p[n++] = s.p[i];
		if (s.p[i] == '"' && i + 1 < s.n && s.p[i + 1] == '"')
			i++;
	}
	return (strview){p, n};
}

struct cutter {
	struct arena *arena;
	struct list_table *t;
	struct diags *ds;
	strview text;
	char separator;
	struct list_row row;
	uint32_t cap_cells, cap_rows;
	bool blank;                        /* the row has said nothing yet */
};

static void
cell_done(struct cutter *k, size_t from, size_t to, bool quoted)
{
	strview raw = {k->text.p + from, to - from}, bare = sv_trim(raw);
	struct list_cell cell = {.place = {k->t->source,
	    (uint32_t)(bare.n > 0 ? (size_t)(bare.p - k->text.p) : from), (uint32_t)bare.n},
	    .text = quoted ? unquoted(k->arena, bare) : bare};

	if (k->row.n == LIST_COLUMNS_MOST)
		return;
	if (k->row.n == k->cap_cells) {
		uint32_t cap = k->cap_cells > 0 ? k->cap_cells * 2 : 16;
		struct list_cell *more = arena_alloc(k->arena, cap * sizeof *more);

		if (k->row.n > 0)
			memcpy(more, k->row.cells, k->row.n * sizeof *more);
		k->row.cells = more;
		k->cap_cells = cap;
	}
	k->row.cells[k->row.n++] = cell;
	k->blank = k->blank && cell.text.n == 0;
}

static void
row_done(struct cutter *k)
{
	struct list_table *t = k->t;

	if (!k->blank && t->n_rows < LIST_ROWS_MOST) {
		if (t->n_rows == k->cap_rows) {
			uint32_t cap = k->cap_rows > 0 ? k->cap_rows * 2 : 64;
			struct list_row *more = arena_alloc(k->arena, cap * sizeof *more);

			if (t->n_rows > 0)
				memcpy(more, t->rows, t->n_rows * sizeof *more);
			t->rows = more;
			k->cap_rows = cap;
		}
		t->rows[t->n_rows++] = k->row;
	}
	k->row = (struct list_row){0};
	k->cap_cells = 0;
	k->blank = true;
}

/* A quoted cell from FROM (behind its quote); where what follows it begins. */
static bool
quoted_cell(struct cutter *k, size_t from, size_t *next)
{
	size_t i = from;

	while (i < k->text.n && !(k->text.p[i] == '"' &&
	    (i + 1 == k->text.n || k->text.p[i + 1] != '"')))
		i += k->text.p[i] == '"' ? 2 : 1;
	if (i >= k->text.n) {
		diag(k->ds, (struct place){k->t->source, (uint32_t)(from - 1), 1}, D_LIST_QUOTE);
		return false;
	}
	cell_done(k, from, i, true);
	i++;
	while (i < k->text.n && k->text.p[i] != k->separator && k->text.p[i] != '\n' &&
	    k->text.p[i] != '\r')
		i++;
	*next = i;
	return true;
}

static bool
cut(struct cutter *k, size_t from)
{
	size_t i = from;

	while (i < k->text.n) {
		size_t start = i;

		while (k->separator != ' ' && start < k->text.n && k->text.p[start] == ' ')
			start++;
		if (start < k->text.n && k->text.p[start] == '"') {
			if (!quoted_cell(k, start + 1, &i))
				return false;
		} else {
			while (i < k->text.n && k->text.p[i] != k->separator &&
			    k->text.p[i] != '\n' && k->text.p[i] != '\r')
				i++;
			cell_done(k, start < i ? start : i, i, false);
		}
		if (i < k->text.n && k->text.p[i] == k->separator) {
			i++;
			if (i == k->text.n)
				cell_done(k, i, i, false);
			continue;
		}
		if (i < k->text.n && k->text.p[i] == '\r')
			i++;
		if (i < k->text.n && k->text.p[i] == '\n')
			i++;
		row_done(k);
	}
	if (k->row.n > 0)
		row_done(k);
	return true;
}

bool
list_cells(struct arena *a, const char *name, strview bytes, struct list_table *t, struct diags *ds)
{
	const char *was;
	strview text = list_utf8(a, bytes, &was);
	struct cutter k = {.arena = a, .t = t, .ds = ds, .text = text, .blank = true};
	size_t from = 0;

	*t = (struct list_table){.source = source_new(a, name, text)};
	if (was != NULL)
		diag(ds, (struct place){t->source, 0, 0}, D_LIST_DECODED, was);
	if (!source_check(t->source, ds))
		return false;
	k.separator = separator_said(text, &from);
	if (k.separator == '\0')
		k.separator = separator_seen(text);
	t->separator = k.separator;
	if (!cut(&k, from))
		return false;
	if (t->n_rows == LIST_ROWS_MOST) {
		diag(ds, t->rows[t->n_rows - 1].cells[0].place, D_LIST_TOO_LONG);
		return false;
	}
	return true;
}
