/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A list of materials, second part: which column is which.
 *
 * The headings are found by their words (kb/ says which there are); what stands
 * in brackets behind one, or after a comma, may be the unit of the numbers below.
 */
#include "project/list_impl.h"

#include <string.h>

enum { HEAD_WITHIN = 12, HEADS_LEAST = 2 };        /* rows looked at; headings it takes */

static bool
word_char(char c)
{
	return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || (unsigned char)c >= 0x80;
}

uint32_t
list_word_at(const struct craft *c, uint32_t column, uint8_t does, strview folded, size_t from,
    size_t *used)
{
	uint32_t best = NONE;

	*used = 0;
	for (uint32_t i = 0; i < c->n_list_word; i++) {
		strview w = sv(craft_text(c, c->list_word[i].folded));

		if (c->list_word[i].column != column || c->list_word[i].does != does ||
		    w.n <= *used || w.n > folded.n - from ||
		    memcmp(w.p, folded.p + from, w.n) != 0 ||
		    (from + w.n < folded.n && word_char(folded.p[from + w.n])))
			continue;
		best = i;
		*used = w.n;
	}
	return best;
}

static uint16_t
heads(const struct craft *c, strview folded)
{
	for (uint32_t i = 0; i < c->n_list_word; i++)
		if (c->list_word[i].does == LIST_HEADS &&
		    sv_is(folded, craft_text(c, c->list_word[i].folded)))
			return c->list_word[i].column;
	return NO16;
}

/* "weight (g/m2)", "weight, g/m2": the words, and what may be a unit. */
static strview
parted(strview s, strview *unit)
{
	size_t at = 0;

	*unit = (strview){"", 0};
	while (at < s.n && strchr("([,/", s.p[at]) == NULL)
		at++;
	if (at > 0 && at < s.n) {
		*unit = (strview){s.p + at + 1, s.n - at - 1};
		while (unit->n > 0 && strchr(")] ", unit->p[unit->n - 1]) != NULL)
			unit->n--;
		*unit = sv_trim(*unit);
		s.n = at;
	}
	return sv_trim(s);
}

static int
unit_called(const struct terms *t, strview folded)
{
	const struct name *first;
	uint32_t n = folded.n > 0 ? kb_names(t->c, folded, &first) : 0;

	for (uint32_t i = 0; i < n; i++)
		if (first[i].target == NAME_UNIT)
			return (int)first[i].id;
	return -1;
}

/* "g/m2" alone heads the property that is measured so. */
static uint16_t
measured_in(const struct terms *t, int unit)
{
	for (uint16_t i = 0; unit >= 0 && i < t->c->n_list_column; i++) {
		uint16_t p = t->c->list_column[i].property;

		if (t->c->list_column[i].does == LIST_PROPERTY && p != NO16 &&
		    dim_eq(t->c->property[p].dim, t->c->units->u[unit].dim))
			return i;
	}
	return NO16;
}

static uint16_t
column_of(struct arena *a, const struct terms *t, strview text, int *unit)
{
	strview folded = sv(name_key(a, text)), tail, words;
	uint16_t whole = heads(t->c, folded);

	*unit = unit_called(t, sv(text_fold(a, text)));
	if (whole != NO16) {                   /* "tex" heads the column, and is its unit */
		if (*unit >= 0 && (t->c->list_column[whole].property == NO16 ||
		    !dim_eq(t->c->property[t->c->list_column[whole].property].dim,
		    t->c->units->u[*unit].dim)))
			*unit = -1;
		return whole;
	}
	if (*unit >= 0)
		return measured_in(t, *unit);
	words = parted(text, &tail);
	*unit = unit_called(t, sv(text_fold(a, tail)));
	return heads(t->c, sv(name_key(a, words)));
}

static uint32_t
headings_in(struct arena *a, const struct terms *t, const struct list_row *row)
{
	uint32_t n = 0;
	int unit;

	for (uint32_t i = 0; i < row->n; i++)
		n += row->cells[i].text.n > 0 && column_of(a, t, row->cells[i].text, &unit) != NO16;
	return n;
}

static void
not_read(struct arena *a, const struct terms *t, const struct list_cell *cell, struct diags *ds)
{
	struct near near = {0};
	strview folded = sv(text_fold(a, cell->text));

	for (uint32_t i = 0; i < t->c->n_list_word; i++)
		if (t->c->list_word[i].does == LIST_HEADS)
			near_offer(&near, folded, craft_text(t->c, t->c->list_word[i].folded));
	diag(ds, cell->place, D_LIST_COLUMN, arena_text(a, cell->text.p, cell->text.n));
	diag_near(ds, &near);
}

bool
list_head(struct arena *a, const struct terms *t, const struct list_table *table,
    struct list_head *h, struct diags *ds)
{
	uint32_t best = 0;
	const struct list_row *row;

	*h = (struct list_head){.row = NONE};
	for (uint32_t i = 0; i < table->n_rows && i < HEAD_WITHIN; i++) {
		uint32_t n = headings_in(a, t, &table->rows[i]);

		if (n > best && n >= HEADS_LEAST) {
			best = n;
			h->row = i;
		}
	}
	if (h->row == NONE) {
		diag(ds, table->n_rows > 0 ? table->rows[0].cells[0].place
		    : (struct place){table->source, 0, 0}, D_LIST_NO_HEAD);
		return false;
	}
	row = &table->rows[h->row];
	h->n = row->n;
	h->column = arena_alloc(a, (row->n + 1) * sizeof *h->column);
	h->unit = arena_alloc(a, (row->n + 1) * sizeof *h->unit);
	for (uint32_t i = 0; i < row->n; i++) {
		h->column[i] = NO16;
		h->unit[i] = -1;
		if (row->cells[i].text.n == 0)
			continue;
		h->column[i] = column_of(a, t, row->cells[i].text, &h->unit[i]);
		if (h->column[i] == NO16)
			not_read(a, t, &row->cells[i], ds);
	}
	return true;
}
