/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Source texts, places in them, and complaints about them.
 *
 * The catalogue is diagnostics.def.  A complaint is stored as raw text; it is
 * made safe for the terminal when printed.  The shown line has its tabs widened
 * here and is cut to a window around the caret, both in terminal cells.
 */
#include "base/base.h"

#include <assert.h>
#include <string.h>

/* ---- the catalogue ----------------------------------------------------- */

enum { NAME_MAX_LETTERS = 39, STORED = 200, TAB = 4, WINDOW = 100 };

struct entry {
	char name[NAME_MAX_LETTERS + 1];
	enum diag_level level;
	const char *text, *remedy;
};

/* FILE_MISSING becomes "file-missing" while compiling: the name is the
 * identifier, so that one list serves and one search joins them. */
#define AT(s, i) ((s)[(i) < sizeof(s) ? (i) : sizeof(s) - 1])
#define LETTER(s, i) (AT(s, i) == '_' ? '-' : \
	AT(s, i) >= 'A' && AT(s, i) <= 'Z' ? (char)(AT(s, i) + 32) : AT(s, i))
#define FOUR(s, i) LETTER(s, i), LETTER(s, i + 1), LETTER(s, i + 2), LETTER(s, i + 3)
#define NAME(s) { FOUR(s, 0), FOUR(s, 4), FOUR(s, 8), FOUR(s, 12), FOUR(s, 16), \
	FOUR(s, 20), FOUR(s, 24), FOUR(s, 28), FOUR(s, 32), FOUR(s, 36) }

static const struct entry catalogue[D__COUNT] = {
#define D(id, lv, txt, rem) [D_##id] = \
	{ .name = NAME(#id), .level = DIAG_##lv, .text = txt, .remedy = rem },
#include "base/diagnostics.def"
#undef D
};

#define D(id, lv, txt, rem) \
	_Static_assert(sizeof(#id) <= NAME_MAX_LETTERS + 1, "name too long: " #id);
#include "base/diagnostics.def"
#undef D

static const struct { const char *word, *colour; } levels[DIAG__LEVELS] = {
	[DIAG_ERROR] = {"error", "\033[1;31m"},
	[DIAG_REPAIRED] = {"repaired", "\033[1;33m"},
	[DIAG_NOTE] = {"note", "\033[1;36m"},
};

enum diag_level
diag_level(enum diag_id id)
{
	return catalogue[id].level;
}

const char *
diag_name(enum diag_id id)
{
	return catalogue[id].name;
}

/* ---- sources and places ------------------------------------------------ */

struct source *
source_new(struct arena *a, const char *name, strview text)
{
	struct source *s = arena_alloc(a, sizeof *s);
	uint32_t *line, n = 1;

	if (text.n >= UINT32_MAX)
		die(EXIT_NOT_RUN, "%s is too large", name);
	for (size_t i = 0; i < text.n; i++)
		n += text.p[i] == '\n' && i + 1 < text.n;
	line = arena_alloc(a, n * sizeof *line);
	n = 1;
	for (size_t i = 0; i + 1 < text.n; i++)
		if (text.p[i] == '\n')
			line[n++] = (uint32_t)i + 1;
	s->name = arena_text(a, name, strlen(name));
	s->text = text;
	s->line = line;
	s->n_lines = n;
	return s;
}

/* Index of the line that holds byte AT. */
static uint32_t
line_at(const struct source *s, uint32_t at)
{
	uint32_t lo = 0, hi = s->n_lines;

	while (hi - lo > 1) {
		uint32_t mid = lo + (hi - lo) / 2;

		if (s->line[mid] <= at)
			lo = mid;
		else
			hi = mid;
	}
	return lo;
}

static strview
line_text(const struct source *s, uint32_t i)
{
	size_t from = s->line[i];
	size_t to = i + 1 < s->n_lines ? s->line[i + 1] : s->text.n;

	while (to > from && (s->text.p[to - 1] == '\n' || s->text.p[to - 1] == '\r'))
		to--;
	return (strview){s->text.p + from, to - from};
}

void
place_line_column(struct place p, uint32_t *line, uint32_t *column)
{
	uint32_t i, at, c = 1;

	*line = *column = 0;
	if (p.src == NULL)
		return;
	at = p.at <= p.src->text.n ? p.at : (uint32_t)p.src->text.n;
	i = line_at(p.src, at);
	for (size_t b = p.src->line[i]; b < at; b += utf8_step(p.src->text, b))
		c++;
	*line = i + 1;
	*column = c;
}

void
place_name(struct buf *b, struct place p)
{
	uint32_t line, column;

	buf_add(b, "", 0);
	if (p.src == NULL)
		return;
	place_line_column(p, &line, &column);
	buf_print(b, "%s:%u:%u", p.src->name, (unsigned)line, (unsigned)column);
}

/* ---- making ------------------------------------------------------------ */

void
diags_init(struct diags *ds, struct arena *a)
{
	*ds = (struct diags){.arena = a};
}

static const char *
filled(struct arena *a, const char *text, va_list *ap)
{
	struct buf b = {0};
	const char *t;

	buf_add(&b, "", 0);
	for (; *text != '\0'; text++) {
		if (text[0] == '{' && text[1] == '}') {
			const char *arg = va_arg(*ap, const char *);

			buf_str(&b, arg != NULL ? arg : "?");
			text++;
		} else {
			buf_char(&b, *text);
		}
	}
	t = arena_text(a, b.p, b.n);
	buf_free(&b);
	return t;
}

void
diag(struct diags *ds, struct place place, enum diag_id id, ...)
{
	size_t limit = ds->limit > 0 ? ds->limit : STORED;
	struct diagnostic *d;
	va_list ap;

	assert(id < D__COUNT);
	ds->errors += catalogue[id].level == DIAG_ERROR;
	if (ds->n >= limit) {
		ds->dropped++;
		return;
	}
	if (ds->n == ds->cap) {
		size_t cap = ds->cap > 0 ? ds->cap * 2 : 8;

		d = arena_alloc(ds->arena, cap * sizeof *d);
		if (ds->n > 0)
			memcpy(d, ds->d, ds->n * sizeof *d);
		ds->d = d;
		ds->cap = cap;
	}
	d = &ds->d[ds->n++];
	*d = (struct diagnostic){.id = id, .place = place, .near = ""};
	va_start(ap, id);
	d->message = filled(ds->arena, catalogue[id].text, &ap);
	d->remedy = filled(ds->arena, catalogue[id].remedy, &ap);
	va_end(ap);
}

void
diag_near(struct diags *ds, const struct near *near)
{
	struct buf b = {0};

	/* Once one was dropped, the last stored is not the one just made. */
	if (near->n == 0 || ds->n == 0 || ds->dropped > 0)
		return;
	buf_str(&b, "did you mean ");
	for (int i = 0; i < near->n; i++) {
		if (i > 0)
			buf_str(&b, i + 1 < near->n ? ", " : " or ");
		buf_str(&b, near->name[i]);
	}
	buf_char(&b, '?');
	ds->d[ds->n - 1].near = arena_text(ds->arena, b.p, b.n);
	buf_free(&b);
}

bool
source_check(const struct source *s, struct diags *ds)
{
	size_t before = ds->errors, n;

	for (size_t i = 0; i < s->text.n; i += n) {
		unsigned char c = (unsigned char)s->text.p[i];
		struct place at = {s, (uint32_t)i, 1};
		char shown[16];

		n = 1;
		if (c >= 0x20 && c < 0x7f)
			continue;
		if (c < 0x80) {
			if (c == '\t' || c == '\n' || c == '\r')
				continue;
			snprintf(shown, sizeof shown, "\\x%02x", c);
			diag(ds, at, D_CONTROL_CHARACTER, shown);
		} else if ((n = utf8_step(s->text, i)) == 1) {
			/* One is enough: in a file of another encoding every
			 * accent would be named. */
			snprintf(shown, sizeof shown, "\\x%02x", c);
			diag(ds, at, D_NOT_UTF8, shown);
			return false;
		} else if (c == 0xc2 && (unsigned char)s->text.p[i + 1] < 0xa0) {
			at.n = 2;
			snprintf(shown, sizeof shown, "\\u{%x}", (unsigned char)s->text.p[i + 1]);
			diag(ds, at, D_CONTROL_CHARACTER, shown);
		}
		if (ds->errors - before >= 10)
			return false;
	}
	return ds->errors == before;
}

/* ---- printing ---------------------------------------------------------- */

/* Safe text of V with tabs widened to the next stop, counted from CELL. */
static size_t
widened(struct buf *b, strview v, size_t cell)
{
	size_t n;

	for (size_t i = 0; i < v.n; i += n) {
		n = utf8_step(v, i);
		if (v.p[i] == '\t') {
			do
				buf_char(b, ' ');
			while (++cell % TAB != 0);
		} else {
			text_safe(b, (strview){v.p + i, n});
			cell += text_cells((strview){v.p + i, n});
		}
	}
	return cell;
}

static size_t
cells_from(strview v, size_t cell)
{
	struct buf b = {0};
	size_t end = widened(&b, v, cell);

	buf_free(&b);
	return end;
}

static void
excerpt(struct buf *b, struct place p, const char *on, const char *off)
{
	uint32_t i = line_at(p.src, p.at);
	strview line = line_text(p.src, i);
	size_t at = p.at - p.src->line[i], from = 0, to, end;
	size_t cell, caret, width;
	char gutter[16];

	if (at > line.n)
		at = line.n;
	end = p.n < line.n - at ? at + p.n : line.n;
	/* A long line is shown from a little before the caret. */
	if (at > WINDOW / 2) {
		size_t back = at - WINDOW / 2;

		while (from < back)
			from += utf8_step(line, from);
		while (cells_from((strview){line.p + from, at - from}, 0) > WINDOW / 2)
			from += utf8_step(line, from);
	}
	to = from;
	cell = 0;
	while (to < line.n && cell < WINDOW) {
		size_t n = utf8_step(line, to);

		cell = cells_from((strview){line.p + to, n}, cell);
		to += n;
	}
	if (to < at)
		to = at;
	if (end > to)
		end = to;
	caret = cells_from((strview){line.p + from, at - from}, 0);
	width = cells_from((strview){line.p + at, end - at}, caret) - caret;

	snprintf(gutter, sizeof gutter, "%u", (unsigned)i + 1);
	buf_print(b, "  %s | %s", gutter, from > 0 ? "..." : "");
	widened(b, (strview){line.p + from, to - from}, 0);
	buf_print(b, "%s\n  %*s | ", to < line.n ? "..." : "", (int)strlen(gutter), "");
	for (size_t k = 0; k < caret + (from > 0 ? 3 : 0); k++)
		buf_char(b, ' ');
	buf_str(b, on);
	do
		buf_char(b, '^');
	while (width-- > 1);
	buf_str(b, off);
	buf_char(b, '\n');
}

void
place_excerpt(struct buf *b, struct place p)
{
	buf_add(b, "", 0);
	if (p.src != NULL && p.src->text.n > 0)
		excerpt(b, p, "", "");
}

void
diags_lines(struct buf *b, const struct diags *ds, const char *unplaced)
{
	buf_add(b, "", 0);
	for (size_t i = 0; i < ds->n; i++) {
		const struct diagnostic *d = &ds->d[i];
		uint32_t line = 1, column = 1;
		const char *name = d->place.src != NULL ? d->place.src->name : unplaced;

		if (d->place.src != NULL)
			place_line_column(d->place, &line, &column);
		text_safe(b, sv(strcmp(name, "<words>") == 0 ? "words" : name));
		buf_print(b, ":%u:%u: %s: ", (unsigned)line, (unsigned)column,
		    levels[catalogue[d->id].level].word);
		text_safe(b, sv(d->message));
		if (d->near[0] != '\0') {
			buf_str(b, "; ");
			text_safe(b, sv(d->near));
		}
		buf_print(b, " [%s]\n", catalogue[d->id].name);
	}
	if (ds->dropped > 0)
		buf_print(b, "%s:1:1: note: %zu more not shown\n", unplaced, ds->dropped);
}

void
diags_print(struct buf *b, const struct diags *ds, bool colour)
{
	buf_add(b, "", 0);
	for (size_t i = 0; i < ds->n; i++) {
		const struct diagnostic *d = &ds->d[i];
		enum diag_level lv = catalogue[d->id].level;
		const char *on = colour ? levels[lv].colour : "";
		const char *off = colour ? "\033[0m" : "";
		struct buf where = {0};

		place_name(&where, d->place);
		text_safe(b, (strview){where.p, where.n});
		if (where.n > 0)
			buf_str(b, ": ");
		buf_free(&where);
		buf_print(b, "%s%s%s: ", on, levels[lv].word, off);
		text_safe(b, sv(d->message));
		buf_print(b, " [%s]\n", catalogue[d->id].name);
		if (d->place.src != NULL && d->place.src->text.n > 0)
			excerpt(b, d->place, on, off);
		if (d->near[0] != '\0') {
			buf_str(b, "  ");
			text_safe(b, sv(d->near));
			buf_char(b, '\n');
		}
		if (d->remedy[0] != '\0') {
			buf_str(b, "  remedy: ");
			text_safe(b, sv(d->remedy));
			buf_char(b, '\n');
		}
	}
	if (ds->dropped > 0)
		buf_print(b, "%zu more not shown\n", ds->dropped);
}
