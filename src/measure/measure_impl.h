/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Shared between the files of this room only.
 */
#ifndef BODKIN_MEASURE_IMPL_H
#define BODKIN_MEASURE_IMPL_H

#include "measure/measure.h"

enum boundary {
	BOUND_WORD,                        /* no letter, digit or "/" may follow a letter */
	BOUND_NUMBER                       /* a digit may: "tex40" */
};

/* Bytes at the start of TEXT that spell SPELLING, 0 when they do not.  A blank
 * matches any run of blanks.  EXACT: letter for letter; else folded. */
size_t spelled(strview text, const char *spelling, bool exact, enum boundary);

/* The unit that stands at the start of TEXT: the longest spelling; of equals
 * one that FOR takes (may be NULL), then one spelled exactly.  BEFORE: among
 * those written before their number, else after.  -1: none. */
int unit_at(const struct units *, const struct reading_for *, strview text, bool before,
    size_t *used);

/* Numbers at the start of a view; bytes taken, 0 when there is none. */
size_t number_vulgar(strview, double *x);                       /* one character: "⅜" */
size_t number_fraction(strview, double *num, double *den);      /* integer "/" integer */
size_t number_decimal(strview, double *x, bool *integer, size_t *bad);
	/* "12", "2.5", "2,5".  BAD: bytes of a number that cannot be read, such
	 * as "1,500"; else 0.  INTEGER: written without decimals. */

bool unit_falls(const struct unit *);      /* the number falls while the quantity rises */

bool reading_takes(const struct reading_for *, int unit);

/* The other half of a pair such as "80/12": for a SCALE numbering the LADDER of
 * its scheme, else a LADDER numbering of its dimension whose rungs are all
 * whole numbers of UNIT; -1 when there is none. */
int unit_partner(const struct units *, int unit);

#endif
