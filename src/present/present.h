/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * present: a page of blocks, and the ways to show one.
 *
 * Knows base and measure only: no finding, no rule, no cloth. A command
 * composes a page; a renderer turns it into text for a terminal. The page has
 * a text form that can be written and read back, for golden files.
 */
#ifndef BODKIN_PRESENT_H
#define BODKIN_PRESENT_H

#include "measure/measure.h"

enum block_type {
	BLOCK_TITLE, BLOCK_HEADING, BLOCK_PARAGRAPH, BLOCK_ITEM, BLOCK_EXCERPT, BLOCK_TABLE,
	BLOCK_PAIR, BLOCK__COUNT
};
enum tone {
	TONE_PLAIN, TONE_GRAVE, TONE_DOUBTFUL, TONE_MENTION, TONE_OPEN, TONE_GOOD, TONE__COUNT
};

struct block {
	enum block_type type;
	enum tone tone;                    /* colour only repeats what a word says */
	uint8_t level;                     /* headings 1-3; items: nesting */
	const char *label;                 /* item: the word before it ("grave"); pair: the term */
	const char *text;
	const char *const *cells;          /* table: rows * columns, first row is the header */
	uint32_t rows, columns;
	struct block *next;
};
struct page { struct arena *arena; struct block *first, *last; };

struct page *page_new(struct arena *);
struct block *page_add(struct page *, enum block_type, const char *label, const char *text);
struct block *page_item(struct page *, int level, enum tone, const char *label, const char *text);
struct block *page_table(struct page *, uint32_t rows, uint32_t columns, const char *const *cells);
bool page_check(const struct page *, const char **culprit);

struct look { int width; bool colour; bool ascii; };       /* width 0: not wrapped */
void page_terminal(struct buf *, const struct page *, const struct look *);
void page_write(struct buf *, const struct page *);        /* the text form */
struct page *page_read(struct arena *, strview, struct diags *);

#endif
