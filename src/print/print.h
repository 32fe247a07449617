/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * print: a page on sheets of paper, as PDF, by cairo and pango.
 *
 * A program of its own. It reads the text form of a page and lays its blocks
 * one below the other; what does not fit starts the next sheet. All lengths
 * here are points (72 to the inch); what drawings and boxes measure in mm is
 * multiplied by MM.
 */
#ifndef BODKIN_PRINT_H
#define BODKIN_PRINT_H

#include <cairo-pdf.h>
#include <pango/pangocairo.h>

#include "present/present.h"

#define MM (72 / 25.4)

enum style { STYLE_TITLE, STYLE_HEAD_1, STYLE_HEAD_2, STYLE_HEAD_3, STYLE_BODY, STYLE_BOLD,
	STYLE_SMALL, STYLE_MARGIN, STYLE_FIXED, STYLE__COUNT };

struct press {
	cairo_surface_t *surface;
	cairo_t *cr;
	const struct page *page;
	const struct sheet *sheet;
	double width, height;              /* of the paper */
	double left, right, top, bottom;   /* of what may be printed on; bottom > top */
	double y;                          /* where the next thing goes */
	bool fresh;                        /* nothing stands on this sheet yet */
	int number, total;                 /* of this sheet; of all, 0 while they are counted */
};

/* ---- text (text.c) ------------------------------------------------------------- */

double style_size(const struct press *, enum style);       /* of its letters */
PangoLayout *text_new(struct press *, enum style, const char *, double width);
	/* Wrapped at WIDTH; not wrapped when it is 0. The caller unrefs it. */
void text_bold(PangoLayout *, size_t bytes, enum tone);
	/* The first BYTES in bold and in the tone's colour. */
double text_height(PangoLayout *);
double text_width(PangoLayout *);
void text_put(struct press *, PangoLayout *, double x, double y);
void text_flow(struct press *, PangoLayout *, double x);
	/* Line by line from .y down, over as many sheets as it takes. */
void tone_ink(cairo_t *, enum tone);

/* ---- sheets (sheets.c) ------------------------------------------------------------ */

void sheet_begin(struct press *);          /* the first */
void sheet_next(struct press *);
void sheet_end(struct press *);            /* the last */
void sheet_room(struct press *, double height);
	/* Starts the next sheet unless so much fits on this one, or it is fresh. */
void sheet_space(struct press *, double);  /* a gap, but not at the head of a sheet */

/* ---- blocks --------------------------------------------------------------------------- */

void print_page(struct press *);           /* blocks.c */
void print_table(struct press *, const struct block *);    /* table.c */
double table_start(struct press *, const struct block *);  /* height of head and first row */
void print_drawing(struct press *, const struct drawing *);    /* drawing.c */
double drawing_height(struct press *, const struct drawing *);
void print_cards(struct press *, const struct block *);    /* table.c: a row a card */

void pdf_finish(struct buf *, const char *language);
	/* Adds what cairo does not write: the language, and that a reader shows
	 * the title. Left as it is when its form is not the known one. */

#endif
