/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Shared between the files of this room only.
 */
#ifndef BODKIN_PRESENT_IMPL_H
#define BODKIN_PRESENT_IMPL_H

#include "present/present.h"

enum { LEVEL_DEEPEST = 3, COLUMNS_MOST = 12 };

extern const char *const block_names[BLOCK__COUNT];
extern const char *const tone_names[TONE__COUNT];

/* ---- the text form, word by word (page_text.c) ----------------------------- */

struct reader {
	struct arena *arena;
	const struct source *src;
	size_t at;
};
char read_peek(const struct reader *);     /* the next byte as it is, '\0' at the end */
void read_blanks(struct reader *);
strview read_word(struct reader *);        /* of small letters; may be empty */
bool read_whole(struct reader *, uint32_t *);
bool read_number(struct reader *, double *);       /* with a sign */
const char *read_quoted(struct reader *);  /* NULL when no well-formed quoted text stands here */
int read_name(struct reader *, const char *const *names, int n);   /* its index, or -1: not moved */
void write_quoted(struct buf *, const char *);
void write_number(struct buf *, double);

/* ---- drawings in the text form (drawing_text.c) ----------------------------- */

void drawing_write(struct buf *, const struct drawing *);  /* what follows the word "drawing" */
struct drawing *drawing_read(struct reader *);             /* the same; NULL where it is broken */

/* ---- drawing one (drawing.c) ------------------------------------------------- */

extern const double pen_widths[PEN__COUNT];                /* mm on paper */
#define HATCH_APART 1.8                    /* mm on paper */

/* ---- HTML (html_text.c, html_style.c) ------------------------------------------------------ */

void html_text(struct buf *, const char *);
	/* Escaped for an element or a quoted attribute; controls made visible. */
void html_style(struct buf *, const struct page *, const struct sheet *);

#endif
