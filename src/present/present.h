/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * present: a page of blocks, and the ways to show one.
 *
 * Knows base and measure only: no finding, no rule, no cloth. A command
 * composes a page; a renderer turns it into text for a terminal or into HTML.
 * The page has a text form that can be written and read back (docs/reports.md),
 * for golden files and for the program that prints.
 */
#ifndef BODKIN_PRESENT_H
#define BODKIN_PRESENT_H

#include "measure/measure.h"
#include "present/drawing.h"

enum block_type {
	BLOCK_TITLE, BLOCK_HEADING, BLOCK_PARAGRAPH, BLOCK_ITEM, BLOCK_EXCERPT, BLOCK_TABLE,
	BLOCK_PAIR,
	BLOCK_DRAWING,                     /* with its title and words as caption */
	BLOCK_BOX,                         /* an empty frame to fill: a place for a swatch, for writing;
	                                    * boxes that follow each other stand side by side */
	BLOCK_BREAK,                       /* what follows starts a new sheet of paper */
	BLOCK__COUNT
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
	uint32_t rows, columns;            /* table: its caption is .label */
	bool row_heads;                    /* table: the first cell of a row is its header */
	const enum tone *tones;            /* table: one for each cell, or NULL; see page_cell_tone */
	double width, height;              /* box: of paper, in mm; width 0: as wide as the page.
	                                    * table: .height is the least of a row, to write in */
	const struct drawing *drawing;
	struct block *next;
};

/* What is told of a page as a whole. NULL where nothing is. */
struct about {
	const char *title;                 /* of the document; else that of BLOCK_TITLE */
	const char *language;              /* BCP 47, as "en" */
	const char *class_line;            /* whom it is for, at the head of each sheet */
	const char *foot;                  /* at the foot of each sheet: whence it comes */
};
struct page { struct arena *arena; struct block *first, *last; struct about about; };

struct page *page_new(struct arena *);
struct block *page_add(struct page *, enum block_type, const char *label, const char *text);
struct block *page_item(struct page *, int level, enum tone, const char *label, const char *text);
struct block *page_table(struct page *, uint32_t rows, uint32_t columns, const char *const *cells);
	/* Texts of cells are copied. Caption: page_caption; then .row_heads, .height. */
void page_caption(struct page *, struct block *table, const char *);
void page_cell_tone(struct page *, struct block *table, uint32_t row, uint32_t column, enum tone);
	/* The cell must say in words what its tone repeats. */
struct block *page_drawing(struct page *, const struct drawing *);    /* kept by reference */
struct block *page_box(struct page *, const char *label, double width, double height);
bool page_check(const struct page *, const char **culprit);

struct look {
	int width;                         /* 0: not wrapped */
	bool colour, ascii;
	bool words;                        /* drawings by their words, never in characters */
};
void page_terminal(struct buf *, const struct page *, const struct look *);
void page_write(struct buf *, const struct page *);        /* the text form */
struct page *page_read(struct arena *, strview, struct diags *);

enum paper { PAPER_A4, PAPER_LETTER, PAPER__COUNT };
extern const char *const paper_names[PAPER__COUNT];        /* "A4", "Letter" */
struct sheet {
	enum paper paper;
	bool large;                        /* large print: a layout of its own, not a magnified one */
};
const char *page_title(const struct page *);
	/* What the page is called: as told, its title block, or its first heading;
	 * "" when it has none. */
const struct block *page_head(const struct page *);
	/* The block that says so, to be shown as the title and not again; or NULL. */
bool table_as_cards(const struct block *, const struct sheet *);
	/* In large print a wide table becomes one card a row. */
void page_html(struct buf *, const struct page *, const struct sheet *);
	/* One self-contained file without script, for screen and paper. */

#endif
