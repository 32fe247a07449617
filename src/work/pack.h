/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * work, packing: how little of a roll a set of rectangles takes.
 *
 * The roll has a width and no end; pieces lie with their sides along it, and
 * may be turned by a quarter only where that is allowed.  All sizes are whole
 * numbers of the caller's own unit.
 */
#ifndef BODKIN_PACK_H
#define BODKIN_PACK_H

#include "advise/advise.h"

struct pack_piece {
	uint32_t across, along;            /* of the roll; from 1 */
	uint32_t count;
	bool turned;                       /* may lie the other way too */
};
struct pack_spot {
	uint32_t piece;                    /* which of the pieces */
	uint32_t x, y;                     /* its corner: from the left edge, from the beginning */
	bool turned;
};
struct pack_found {
	uint64_t length;                   /* of the roll that is taken */
	uint64_t bound;                    /* no way of laying them takes less */
	bool exact;                        /* the two are the same, or every other way was tried */
	struct pack_spot *spots;  uint32_t n;
	uint32_t states;                   /* ways that were looked at */
};

#define PACK_SPOTS_MOST 4096               /* pieces in all */
#define PACK_EXACT_MOST 16                 /* beyond, every way is too many to try */
#define PACK_STATES_USUAL 200000
#define PACK_SIDE_MOST 10000000u           /* longest side, widest roll */

enum pack_fault { PACK_FINE, PACK_TOO_MANY, PACK_TOO_WIDE, PACK_TOO_LONG };
enum pack_fault pack_find(struct arena *, uint32_t width, const struct pack_piece *, uint32_t n,
    uint32_t most_states, struct pack_found *, uint32_t *culprit);
	/* CULPRIT: of TOO_WIDE and TOO_LONG, the piece that does not fit or has a
	 * side of 0 or beyond what can be reckoned with. */
bool pack_check(uint32_t width, const struct pack_piece *, uint32_t n, const struct pack_found *);
	/* Do all pieces lie within the roll, each as often as it should, none over
	 * another? */

#endif
