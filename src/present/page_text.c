/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A page as text that can be compared and read back.
 *
 *     page    = { "about" what quoted "\n" } { block "\n" }
 *     what    = "title" | "language" | "class" | "foot"
 *     block   = type [level] [tone] [quoted-label] quoted-text
 *             | "table" [tone] rows columns ["heads"] ["high" mm] [quoted-caption]
 *                   { "\n  " cell { " " cell } }
 *             | "drawing" drawing       (drawing_text.c)
 *             | "box" mm mm quoted
 *             | "break"
 *     cell    = [tone] quoted
 *     quoted  = '"' { character | \" | \\ | \n | \xNN } '"'
 *
 * Level, tone and sizes are written when they are not the usual ones.
 */
#include "present/present_impl.h"

#include <string.h>

/* ---- writing ----------------------------------------------------------- */

void
write_quoted(struct buf *b, const char *s)
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
write_number(struct buf *b, double x)
{
	buf_number(b, x, 9);
}

static const char *const about_names[] = {"title", "language", "class", "foot"};
enum { ABOUTS = sizeof about_names / sizeof *about_names };

/* The same order as the names above. */
static const char **
about_place(struct about *a, int which)
{
	const char **places[ABOUTS] = {&a->title, &a->language, &a->class_line, &a->foot};

	return places[which];
}

static void
table_write(struct buf *b, const struct block *k)
{
	buf_print(b, " %u %u", (unsigned)k->rows, (unsigned)k->columns);
	if (k->row_heads)
		buf_str(b, " heads");
	if (k->height > 0) {
		buf_str(b, " high ");
		write_number(b, k->height);
	}
	if (k->label[0] != '\0') {
		buf_char(b, ' ');
		write_quoted(b, k->label);
	}
	for (uint32_t i = 0; i < k->rows * k->columns; i++) {
		buf_str(b, i % k->columns == 0 ? "\n  " : " ");
		if (k->tones != NULL && k->tones[i] != TONE_PLAIN)
			buf_print(b, "%s ", tone_names[k->tones[i]]);
		write_quoted(b, k->cells[i]);
	}
}

static void
block_write(struct buf *b, const struct block *k)
{
	buf_str(b, block_names[k->type]);
	if (k->type == BLOCK_HEADING || (k->type == BLOCK_ITEM && k->level > 0))
		buf_print(b, " %u", (unsigned)k->level);
	if (k->tone != TONE_PLAIN)
		buf_print(b, " %s", tone_names[k->tone]);
	switch (k->type) {
	case BLOCK_TABLE:
		table_write(b, k);
		return;
	case BLOCK_DRAWING:
		if (k->drawing != NULL)
			drawing_write(b, k->drawing);
		return;
	case BLOCK_BREAK:
		return;
	case BLOCK_BOX:
		buf_char(b, ' ');
		write_number(b, k->width);
		buf_char(b, ' ');
		write_number(b, k->height);
		buf_char(b, ' ');
		write_quoted(b, k->label);
		return;
	case BLOCK_TITLE: case BLOCK_HEADING: case BLOCK_PARAGRAPH: case BLOCK_ITEM:
	case BLOCK_EXCERPT: case BLOCK_PAIR: case BLOCK__COUNT:
		break;
	}
	if (k->label[0] != '\0') {
		buf_char(b, ' ');
		write_quoted(b, k->label);
	}
	buf_char(b, ' ');
	write_quoted(b, k->text);
}

void
page_write(struct buf *b, const struct page *p)
{
	struct about about = p->about;

	buf_add(b, "", 0);
	for (int i = 0; i < ABOUTS; i++) {
		const char *t = *about_place(&about, i);

		if (t == NULL)
			continue;
		buf_print(b, "about %s ", about_names[i]);
		write_quoted(b, t);
		buf_char(b, '\n');
	}
	for (const struct block *k = p->first; k != NULL; k = k->next) {
		block_write(b, k);
		buf_char(b, '\n');
	}
}

/* ---- reading ----------------------------------------------------------- */

void
read_blanks(struct reader *r)
{
	while (r->at < r->src->text.n && r->src->text.p[r->at] == ' ')
		r->at++;
}

char
read_peek(const struct reader *r)
{
	return r->at < r->src->text.n ? r->src->text.p[r->at] : '\0';
}

strview
read_word(struct reader *r)
{
	strview w;

	read_blanks(r);
	w = (strview){r->src->text.p + r->at, 0};
	while (r->at + w.n < r->src->text.n && w.p[w.n] >= 'a' && w.p[w.n] <= 'z')
		w.n++;
	r->at += w.n;
	return w;
}

/* A small one, of seven digits at most. */
bool
read_whole(struct reader *r, uint32_t *out)
{
	uint32_t x = 0;
	size_t digits = 0;

	read_blanks(r);
	for (; read_peek(r) >= '0' && read_peek(r) <= '9' && digits < 7; digits++, r->at++)
		x = x * 10 + (uint32_t)(read_peek(r) - '0');
	*out = x;
	return digits > 0;
}

static int
hex(char c)
{
	return c >= '0' && c <= '9' ? c - '0' : c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1;
}

const char *
read_quoted(struct reader *r)
{
	struct buf b = {0};
	const char *t = NULL;

	read_blanks(r);
	if (read_peek(r) != '"')
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

bool
read_number(struct reader *r, double *out)
{
	strview rest;
	size_t used;
	bool minus;

	read_blanks(r);
	minus = read_peek(r) == '-';
	rest = (strview){r->src->text.p + r->at + minus, r->src->text.n - r->at - minus};
	if (!number_read(rest, &used, out))
		return false;
	r->at += used + minus;
	if (minus)
		*out = -*out;
	return true;
}

int
read_name(struct reader *r, const char *const *names, int n)
{
	size_t from;
	strview w;

	read_blanks(r);
	from = r->at;
	w = read_word(r);
	for (int i = 0; i < n; i++)
		if (w.n > 0 && sv_is(w, names[i]))
			return i;
	r->at = from;
	return -1;
}

/* A tone where one stands; false where another word does. */
static bool
tone_read(struct reader *r, enum tone *out)
{
	int tone;

	*out = TONE_PLAIN;
	read_blanks(r);
	if (read_peek(r) < 'a' || read_peek(r) > 'z')
		return true;
	tone = read_name(r, tone_names, TONE__COUNT);
	if (tone >= 0)
		*out = (enum tone)tone;
	return tone >= 0;
}

static bool
table_read(struct reader *r, struct page *p, enum tone tone)
{
	static const char *const heads[] = {"heads"}, *const high[] = {"high"};
	uint32_t rows, columns;
	const char **cells, *caption = NULL;
	enum tone *tones;
	double height = 0;
	bool row_heads, toned = false;
	struct block *b;

	if (!read_whole(r, &rows) || !read_whole(r, &columns) || columns > COLUMNS_MOST ||
	    rows > r->src->text.n || (size_t)rows * columns > r->src->text.n)
		return false;
	row_heads = read_name(r, heads, 1) == 0;
	if (read_name(r, high, 1) == 0 && !read_number(r, &height))
		return false;
	read_blanks(r);
	if (read_peek(r) == '"' && (caption = read_quoted(r)) == NULL)
		return false;
	cells = arena_alloc(r->arena, ((size_t)rows * columns + 1) * sizeof *cells);
	tones = arena_alloc(r->arena, ((size_t)rows * columns + 1) * sizeof *tones);
	for (uint32_t i = 0; i < rows * columns; i++) {
		if (i % columns == 0) {
			read_blanks(r);
			if (read_peek(r) == '\n')
				r->at++;
		}
		if (!tone_read(r, &tones[i]) || (cells[i] = read_quoted(r)) == NULL)
			return false;
		toned = toned || tones[i] != TONE_PLAIN;
	}
	b = page_table(p, rows, columns, cells);
	b->tone = tone;
	b->row_heads = row_heads;
	b->height = height;
	b->tones = toned ? tones : NULL;
	if (caption != NULL)
		b->label = caption;
	return true;
}

static bool
box_read(struct reader *r, struct page *p)
{
	double width, height;
	const char *label;

	if (!read_number(r, &width) || !read_number(r, &height) ||
	    (label = read_quoted(r)) == NULL)
		return false;
	page_box(p, label, width, height);
	return true;
}

static bool
about_read(struct reader *r, struct page *p)
{
	int which = read_name(r, about_names, ABOUTS);
	const char *text = read_quoted(r);

	if (which < 0 || text == NULL)
		return false;
	*about_place(&p->about, which) = text;
	return true;
}

static bool
drawing_block(struct reader *r, struct page *p)
{
	struct drawing *d = drawing_read(r);
	const char *culprit;

	if (d == NULL || !drawing_check(d, &culprit))
		return false;
	page_drawing(p, d);
	return true;
}

/* One block, up to the end of its line. */
static bool
block(struct reader *r, struct page *p)
{
	static const char *const about[] = {"about"};
	const char *first, *second = NULL;
	enum tone tone;
	uint32_t level;
	struct block *b;
	int type;

	if (read_name(r, about, 1) == 0)
		return about_read(r, p);
	type = read_name(r, block_names, BLOCK__COUNT);
	if (type < 0)
		return false;
	if (type == BLOCK_DRAWING)
		return drawing_block(r, p);
	if (type == BLOCK_BOX)
		return box_read(r, p);
	if (type == BLOCK_BREAK) {
		page_add(p, BLOCK_BREAK, NULL, NULL);
		return true;
	}
	level = type == BLOCK_HEADING;
	read_blanks(r);
	if (type != BLOCK_TABLE && read_peek(r) >= '0' && read_peek(r) <= '9')
		read_whole(r, &level);
	if (!tone_read(r, &tone) || level > LEVEL_DEEPEST)
		return false;
	if (type == BLOCK_TABLE)
		return table_read(r, p, tone);
	first = read_quoted(r);
	read_blanks(r);
	if (first != NULL && read_peek(r) == '"') {
		second = read_quoted(r);
		if (second == NULL)
			return false;
	}
	if (first == NULL)
		return false;
	b = page_add(p, (enum block_type)type, second != NULL ? first : NULL,
	    second != NULL ? second : first);
	b->level = (uint8_t)level;
	b->tone = tone;
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

		if (read_peek(&r) == '\n') {
			r.at++;
			continue;
		}
		if (!block(&r, p) || (read_peek(&r) != '\n' && read_peek(&r) != '\0')) {
			size_t bad = r.at > start ? r.at : start;

			diag(ds, (struct place){r.src, (uint32_t)bad, 1}, D_PAGE_BLOCK);
			while (r.at < text.n && text.p[r.at] != '\n')
				r.at++;
		}
	}
	return ds->errors == errors ? p : NULL;
}
