/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Shared between the parts of the reader of materials lists.
 */
#ifndef BODKIN_LIST_IMPL_H
#define BODKIN_LIST_IMPL_H

#include "project/project_impl.h"

enum { LIST_COLUMNS_MOST = 400, LIST_ROWS_MOST = 50000, LIST_PIECES_MOST = 10000 };

struct list_cell { struct place place; strview text; };    /* text: without its quotes */
struct list_row { struct list_cell *cells; uint32_t n; };
struct list_table {
	const struct source *source;       /* the whole, as UTF-8 */
	struct list_row *rows; uint32_t n_rows;    /* those that say something */
	char separator;
};

strview list_utf8(struct arena *, strview bytes, const char **was);
	/* The text as UTF-8, without a mark; WAS: its encoding, NULL if it was so. */
uint8_t list_western(uint32_t character);  /* in Windows-1252; "?" if it has none */
bool list_cells(struct arena *, const char *name, strview bytes, struct list_table *,
    struct diags *);
	/* False with a message: an open quote, a control character, too many rows. */

struct list_head {                         /* what each column holds */
	uint32_t row;                      /* the row that says so */
	uint32_t n;                        /* columns */
	uint16_t *column;                  /* in .list_column, or NO16 */
	int *unit;                         /* of the numbers below it, or -1 */
};

bool list_head(struct arena *, const struct terms *, const struct list_table *,
    struct list_head *, struct diags *);
	/* Finds the row of headings among the first; notes what is not read. */
uint32_t list_word_at(const struct craft *, uint32_t column, uint8_t does, strview folded,
    size_t from, size_t *used);
	/* The longest phrase of the column that stands at FROM, on whole words: its
	 * number in .list_word, or NONE. */
void list_contents(const struct terms *, struct project *, const struct list_cell *, uint32_t thing,
    struct diags *);
	/* Gives the thing the fibres the cell names, with their shares; a material
	 * named there, where the thing has no name yet, names it.  The rest is noted. */

#endif
