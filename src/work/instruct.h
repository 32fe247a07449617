/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * work, sheet: steps put into words for other hands to follow.
 *
 * Every wording is data: instructions, lines and columns of kb/.  A measure is
 * shown for both kinds of ruler from its one stored value; how it is rounded
 * stands in kb/ too, and the proof of a sheet goes by the same limits.
 */
#ifndef BODKIN_INSTRUCT_H
#define BODKIN_INSTRUCT_H

#include "work/order.h"

/* ---- rounding ------------------------------------------------------------------ */

double fair_difference(const struct craft *, double distance, double unit);
	/* Largest difference, in metres, between two figures of one measure of
	 * about DISTANCE that is still fair rounding; UNIT: one of the unit the
	 * coarser figure is written in.  0 where kb/ has no such formula. */
double small_difference(const struct craft *, double distance);
	/* Up to there an unfair one is worth a mention only. */
double fair_fraction(const struct craft *, double base, const struct unit *);
	/* The length rounded to the coarsest mark of the unit's ruler that is fair,
	 * in units of its own. */
bool unit_is_metric(const struct unit *);  /* a power of ten of the base unit */
void both_rulers(struct buf *, const struct craft *, uint32_t property, range, bool every);
	/* "15 mm (5/8 in)", "2.5 mm (10 stitches per inch)"; EVERY: in every count the
	 * property takes, "2.5 mm (10 stitches per inch, 4 stitches per cm)". */

/* ---- wording --------------------------------------------------------------------- */

bool instruct_fill(struct buf *, const struct craft *, const struct model *, const struct message *,
    uint32_t object, bool every);
	/* The text for one object; false, and nothing added, where a slot's value is
	 * not known. */
bool instruct_step(struct buf *, struct knowledge *, const struct model *, uint32_t object);
	/* What the sheet says for a step: its instruction, else what its entry
	 * says of itself; false where there is neither. */
void instruct_country(struct buf *, const struct craft *, strview text, uint16_t region);
	/* The text with the words of the house put into those of a region (word of
	 * the set `region`, NO16: as it is). */
const char *instruct_fact(struct arena *, struct knowledge *, const struct model *,
    const struct work_line *, uint32_t object);
	/* A column that tells a fact of the entry a property names; NULL: none. */

#endif
