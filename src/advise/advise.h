/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * advise: one value for every setting nobody has settled.
 *
 * In the order of the schema, for each object that has the setting: what was
 * said is kept; else the advice that applies is met. Where a condition is
 * undecided, the deciding fact is cut at its tips, the pieces are advised
 * apart, and the obtainable value acceptable in the largest part wins.
 */
#ifndef BODKIN_ADVISE_H
#define BODKIN_ADVISE_H

#include "judge/judge.h"

struct choice {
	uint32_t setting, object;
	bool said;                         /* kept, not advised */
	bool empty;                        /* pieces of advice had nothing in common */
	uint32_t dropped;                  /* then: the weakest, left out (advice), or NONE */
	value start;                       /* the one choice; state UNKNOWN: no advice */
	value lighter, heavier;            /* neighbours; state ABSENT: none */
	range band;                        /* all that is acceptable (quantities) */
	uint64_t allowed[2];               /* words acceptable */
	uint32_t advice[6];  uint32_t n_advice;    /* that led here, strongest first */
	double share;                      /* part of the range in which START is acceptable */
	bool flips;                        /* another choice on the other side of a tip */
	struct tip flip;
	value other;                       /* the choice there */
	uint32_t alike;                    /* further objects with the same choice */
	uint32_t repeats;                  /* the earlier choice this one is alike to, or NONE */
	bool kept;                         /* not advised: the entry it stands for brings its own value */
};
struct advised {
	struct choice *c;
	uint32_t n;
};
struct advised *advise(struct arena *, struct knowledge *, struct model *);
	/* Settles every setting in the model (pedigree ADVISED), deriving what
	 * hangs on it. */
const struct choice *advise_for(const struct advised *, const struct model *, uint32_t setting,
    const struct project *, uint32_t *object);
	/* The place meant: what the words name, else the main object; NULL: the
	 * setting applies nowhere in this project. */
const struct choice *advise_anyway(struct arena *, struct knowledge *, struct model *,
    uint32_t setting, const struct project *, uint32_t *object);
	/* Asked for outright where nothing has the setting yet (a fastening of what
	 * is not fastened): what advice would say of the nearest object of its kind.
	 * NULL: there is none, or nothing to say. Of settings that are chosen. */
bool advise_trace(struct buf *, struct knowledge *, const struct model *, const struct advised *);

#endif
