/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A page as text that can be compared and read back.
 *
 *     page    = { block "\n" }
 *     block   = type [level] [tone] [quoted-label] quoted-text
 *             | "table" [tone] rows columns { "\n  " quoted-cell { " " quoted-cell } }
 *     quoted  = '"' { character | \" | \\ | \n | \xNN } '"'
 *
 * Level and tone are written when they are not the usual ones.
 */
#include "present/present_impl.h"

#include <string.h>

/* ---- writing ----------------------------------------------------------- */

static void
quoted(struct buf *b, const char *s)
{
	buf_char(b, '"');
	for (; *s != '\0'; s++) {
		unsigned char c = (unsigned char)*s;

		if (c == '"' || c == '\\') {
			buf_char(b, '\\');
			buf_char(b, *s);
		} else if (c == '\n') {
			buf_str(b, "\\n");
		} else if (c < 0x20 || c == 0x7f) {
			buf_print(b, "\\x%02x", c);
		} else {
			buf_char(b, *s);
		}
	}
	buf_char(b, '"');
}

void
page_write(struct buf *b, const struct page *p)
{
	buf_add(b, "", 0);
	for (const struct block *k = p->first; k != NULL; k = k->next) {
		buf_str(b, block_names[k->type]);
		if (k->type == BLOCK_HEADING || (k->type == BLOCK_ITEM && k->level > 0))
			buf_print(b, " %u", (unsigned)k->level);
		if (k->tone != TONE_PLAIN)
			buf_print(b, " %s", tone_names[k->tone]);
		if (k->type == BLOCK_TABLE) {
			buf_print(b, " %u %u", (unsigned)k->rows, (unsigned)k->columns);
			for (uint32_t i = 0; i < k->rows * k->columns; i++) {
				buf_str(b, i % k->columns == 0 ? "\n  " : " ");
				quoted(b, k->cells[i]);
			}
		} else {
			if (k->label[0] != '\0') {
				buf_char(b, ' ');
				quoted(b, k->label);
			}
			buf_char(b, ' ');
			quoted(b, k->text);
		}
		buf_char(b, '\n');
	}
}

/* ---- reading ----------------------------------------------------------- */

struct reader {
	struct arena *arena;
	const struct source *src;
	size_t at;
};

static void
blanks(struct reader *r)
{
	while (r->at < r->src->text.n && r->src->text.p[r->at] == ' ')
		r->at++;
}

static char
peek(const struct reader *r)
{
	return r->at < r->src->text.n ? r->src->text.p[r->at] : '\0';
}

static strview
bare_word(struct reader *r)
{
	strview w;

	blanks(r);
	w = (strview){r->src->text.p + r->at, 0};
	while (r->at + w.n < r->src->text.n && w.p[w.n] >= 'a' && w.p[w.n] <= 'z')
		w.n++;
	r->at += w.n;
	return w;
}

/* A small whole number; false when none stands here. */
static bool
whole(struct reader *r, uint32_t *out)
{
	uint32_t x = 0;
	size_t digits = 0;

	blanks(r);
	for (; peek(r) >= '0' && peek(r) <= '9' && digits < 7; digits++, r->at++)
		x = x * 10 + (uint32_t)(peek(r) - '0');
	*out = x;
	return digits > 0;
}

static int
hex(char c)
{
	return c >= '0' && c <= '9' ? c - '0' : c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1;
}

/* NULL when no well-formed quoted text stands here. */
static const char *
quoted_text(struct reader *r)
{
	struct buf b = {0};
	const char *t = NULL;

	blanks(r);
	if (peek(r) != '"')
		return NULL;
	buf_add(&b, "", 0);
	for (r->at++; r->at < r->src->text.n; r->at++) {
		const char *p = r->src->text.p + r->at;
		size_t left = r->src->text.n - r->at;

		if (*p == '"') {
			r->at++;
			t = arena_text(r->arena, b.p, b.n);
			break;
		}
		if (*p == '\n')
			break;
		if (*p != '\\') {
			buf_char(&b, *p);
		} else if (left > 1 && (p[1] == '"' || p[1] == '\\' || p[1] == 'n')) {
			buf_char(&b, p[1] == 'n' ? '\n' : p[1]);
			r->at++;
		} else if (left > 3 && p[1] == 'x' && hex(p[2]) >= 0 && hex(p[3]) >= 0 &&
		    hex(p[2]) * 16 + hex(p[3]) > 0) {
			buf_char(&b, (char)(hex(p[2]) * 16 + hex(p[3])));
			r->at += 3;
		} else {
			break;
		}
	}
	buf_free(&b);
	return t;
}

static int
find(const char *const *names, int n, strview w)
{
	for (int i = 0; i < n; i++)
		if (sv_is(w, names[i]))
			return i;
	return -1;
}

static bool
table_cells(struct reader *r, struct page *p, enum tone tone)
{
	uint32_t rows, columns;
	const char **cells;

	if (!whole(r, &rows) || !whole(r, &columns) || columns > COLUMNS_MOST ||
	    rows > r->src->text.n || (size_t)rows * columns > r->src->text.n)
		return false;
	cells = arena_alloc(r->arena, ((size_t)rows * columns + 1) * sizeof *cells);
	for (uint32_t i = 0; i < rows * columns; i++) {
		if (i % columns == 0 && peek(r) == '\n')
			r->at++;
		cells[i] = quoted_text(r);
		if (cells[i] == NULL)
			return false;
	}
	page_table(p, rows, columns, cells)->tone = tone;
	return true;
}

/* One block, up to the end of its line. */
static bool
block(struct reader *r, struct page *p)
{
	int type = find(block_names, BLOCK__COUNT, bare_word(r)), tone = TONE_PLAIN;
	const char *first, *second = NULL;
	uint32_t level = type == BLOCK_HEADING;
	struct block *b;

	if (type < 0)
		return false;
	blanks(r);
	if (type != BLOCK_TABLE && peek(r) >= '0' && peek(r) <= '9')
		whole(r, &level);
	blanks(r);
	if (peek(r) >= 'a' && peek(r) <= 'z')
		tone = find(tone_names, TONE__COUNT, bare_word(r));
	if (tone < 0 || level > LEVEL_DEEPEST)
		return false;
	if (type == BLOCK_TABLE)
		return table_cells(r, p, (enum tone)tone);
	first = quoted_text(r);
	blanks(r);
	if (first != NULL && peek(r) == '"') {
		second = quoted_text(r);
		if (second == NULL)
			return false;
	}
	if (first == NULL)
		return false;
	b = page_add(p, (enum block_type)type, second != NULL ? first : NULL,
	    second != NULL ? second : first);
	b->level = (uint8_t)level;
	b->tone = (enum tone)tone;
	return true;
}

struct page *
page_read(struct arena *a, strview text, struct diags *ds)
{
	struct reader r = {a, source_new(a, "<page>", text), 0};
	struct page *p = page_new(a);
	size_t errors = ds->errors;

	while (r.at < text.n) {
		size_t start = r.at;

		if (peek(&r) == '\n') {
			r.at++;
			continue;
		}
		if (!block(&r, p) || (peek(&r) != '\n' && peek(&r) != '\0')) {
			size_t bad = r.at > start ? r.at : start;

			diag(ds, (struct place){r.src, (uint32_t)bad, 1}, D_PAGE_BLOCK);
			while (r.at < text.n && text.p[r.at] != '\n')
				r.at++;
		}
	}
	return ds->errors == errors ? p : NULL;
}
