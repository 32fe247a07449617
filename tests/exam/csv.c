/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Spreadsheets as comma-separated text, and cells that hold several phrases.
 */
#include "exam.h"

#include <stdlib.h>
#include <string.h>

enum { SHEET_LARGEST = 8 * 1024 * 1024 };

struct cells {                             /* growing; heap until the sheet is done */
	const char **cell;
	size_t n, cap;
};

static void
cells_add(struct cells *c, const char *text)
{
	c->cell = mem_grow(c->cell, &c->cap, c->n + 1, sizeof *c->cell);
	c->cell[c->n++] = text;
}

/* cell = quoted | text without comma and line end.  Returns where it stopped. */
static size_t
cell_read(struct arena *a, strview t, size_t at, const char **out, const char **why)
{
	struct buf b = {0};

	if (at < t.n && t.p[at] == '"') {
		for (at++; ; at++) {
			if (at >= t.n) {
				*why = "a quote is not closed";
				break;
			}
			if (t.p[at] == '"' && at + 1 < t.n && t.p[at + 1] == '"')
				at++;
			else if (t.p[at] == '"') {
				at++;
				break;
			}
			buf_char(&b, t.p[at]);
		}
	} else {
		while (at < t.n && t.p[at] != ',' && t.p[at] != '\n' && t.p[at] != '\r')
			buf_char(&b, t.p[at++]);
	}
	*out = arena_text(a, b.n > 0 ? b.p : "", b.n);
	buf_free(&b);
	return at;
}

static bool
only_empty(const struct cells *c, size_t from)
{
	return c->n == from + 1 && c->cell[from][0] == '\0';
}

bool
sheet_parse(struct arena *a, strview t, struct sheet *s, const char **why)
{
	struct cells all = {0};
	size_t at = 0, width = 0;
	const char **kept;

	*s = (struct sheet){0};
	*why = NULL;
	if (t.n >= 3 && memcmp(t.p, "\xef\xbb\xbf", 3) == 0)
		at = 3;
	while (at < t.n && *why == NULL) {
		size_t from = all.n;

		for (;;) {
			const char *text;

			at = cell_read(a, t, at, &text, why);
			cells_add(&all, text);
			if (*why != NULL || at >= t.n || t.p[at] != ',')
				break;
			at++;
		}
		if (*why == NULL && at < t.n && t.p[at] != '\r' && t.p[at] != '\n')
			*why = "something stands between a closing quote and the comma";
		while (at < t.n && (t.p[at] == '\r' || t.p[at] == '\n'))
			at++;
		if (only_empty(&all, from)) {
			all.n = from;
		} else if (width == 0) {
			width = all.n - from;
		} else if (all.n - from > width && *why == NULL) {
			*why = "a row has more cells than there are headings";
		} else {
			while (all.n - from < width)
				cells_add(&all, "");
		}
	}
	if (width == 0 && *why == NULL)
		*why = "there are no headings";
	if (*why == NULL) {
		kept = arena_alloc(a, (all.n + 1) * sizeof *kept);
		memcpy(kept, all.cell, all.n * sizeof *kept);
		s->heads = kept;
		s->n_heads = (uint32_t)width;
		s->cells = kept + width;
		s->n_rows = (uint32_t)(all.n / width) - 1;
	}
	free(all.cell);
	return *why == NULL;
}

bool
csv_rows_read(struct arena *a, const char *folder, const char *file, struct sheet *s, const char **why)
{
	struct diags quiet;
	strview text;

	diags_init(&quiet, a);
	*s = (struct sheet){0};
	if (!file_read(a, arena_print(a, "%s/%s", folder, file), SHEET_LARGEST, &text, &quiet)) {
		*why = quiet.n > 0 ? quiet.d[0].message : "it cannot be read";
		return false;
	}
	return sheet_parse(a, text, s, why);
}

const char *
sheet_cell(const struct sheet *s, uint32_t row, const char *head)
{
	for (uint32_t i = 0; i < s->n_heads; i++)
		if (strcmp(s->heads[i], head) == 0)
			return s->cells[(size_t)row * s->n_heads + i];
	return "";
}

struct list
list_split(struct arena *a, const char *text, char at)
{
	struct list l = {0};
	size_t most = 1;

	for (const char *p = text; *p != '\0'; p++)
		most += *p == at;
	l.item = arena_alloc(a, most * sizeof *l.item);
	for (const char *p = text; ; ) {
		const char *end = strchr(p, at);
		strview part = sv_trim((strview){p, end != NULL ? (size_t)(end - p) : strlen(p)});

		if (part.n > 0)
			l.item[l.n++] = arena_text(a, part.p, part.n);
		if (end == NULL)
			return l;
		p = end + 1;
	}
}
