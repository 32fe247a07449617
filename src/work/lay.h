/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * work, laying: which pieces of a model are cut from which roll, and how much
 * of it they take (the layings of kb/).
 *
 * Sizes that are ranges give a range: the smallest pieces on the widest roll,
 * and the largest on the narrowest.
 */
#ifndef BODKIN_LAY_H
#define BODKIN_LAY_H

#include "work/pack.h"

struct lay_piece {
	uint32_t object;
	range across, along, count;        /* metres; pieces */
	bool turned;                       /* may lie either way for certain */
	bool has_across, has_along, has_count;
	bool known;                        /* all three: it can be laid */
};
struct lay_work {
	uint32_t laying;                   /* in .laying */
	uint32_t onto;                     /* object they are cut from */
	struct lay_piece *pieces;  uint32_t n, n_known;
	range width;                       /* of the roll, metres */
	bool width_known;
	enum pack_fault fault;             /* of the larger end */
	uint32_t culprit;                  /* PACK_TOO_WIDE, PACK_TOO_LONG: of .pieces */
	range length;                      /* metres, where known pieces were laid without fault */
	struct pack_found low, high;       /* in millimetres; .piece counts the known pieces */
};

struct lay_work *lay_all(struct arena *, struct model *, uint32_t *n);
	/* Of an advised model.  The lengths are put into the properties the
	 * layings give, and what hangs on them is worked out again. */
const struct lay_work *lay_on(const struct lay_work *, uint32_t n, uint32_t object);
	/* The one whose pieces are cut from the object, or NULL. */

#endif
