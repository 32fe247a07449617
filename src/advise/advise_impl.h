/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What the files of advise/ share: one setting of one object being weighed.
 */
#ifndef BODKIN_ADVISE_IMPL_H
#define BODKIN_ADVISE_IMPL_H

#include <string.h>

#include "advise/advise.h"

#define CANDIDATES_MAX 512                 /* obtainable values of one setting */
#define PIECES_MAX 8                       /* pieces a deciding fact is cut into */
#define APPLYING_MAX 24                    /* pieces of advice that can meet in one place */

struct applying {                          /* one piece of advice in one piece of the range */
	uint32_t advice;
	range band;                        /* quantities; infinite where open */
	uint64_t words[2];
	uint8_t strength;
	bool dropped;
};

struct piece {                             /* part of the deciding fact's range */
	double share;
	struct applying a[APPLYING_MAX];
	uint32_t n;
	uint8_t ok[CANDIDATES_MAX];        /* candidate acceptable here */
	uint32_t best;                     /* the candidate this piece would choose, or NONE */
	uint32_t dropped;                  /* weightiest advice left out, or NONE */
};

#define ROW_MAX 512                        /* numbers that tell what is seen of an object */

struct weighing {
	struct knowledge *kb;
	uint32_t *advice, n_advice;        /* of the setting, in the order of the craft */
	uint32_t *first_of, *next_of;      /* per setting its first advice; per advice the next of
	                                    * the same setting; NONE */
	tri *lasting;                      /* of each: once certain, its condition stays so while a
	                                    * fact is narrowed; unknown: not looked at yet */
	tri *plain;                        /* of each: its truth here, before any fact is moved */
	struct sight sight;                /* what they see of an object */
	const struct craft *c;
	struct model *m;
	uint32_t setting, object, property;
	bool words;
	double candidate[CANDIDATES_MAX];  /* base units; words: their numbers */
	uint32_t n_candidates;
	bool limited;                      /* something was said that leaves a choice: */
	range within;                      /* quantities: a value in here; */
	uint64_t among[2];                 /* words: one of these */
	struct reads reads;                /* what the advice for this setting reads here, */
	bool reads_noted;                  /* once it was wanted */
	struct fact fact;                  /* the deciding fact; property NONE: none */
	struct tip tips[PIECES_MAX];
	uint32_t n_tips;
	struct piece piece[PIECES_MAX];
	uint32_t n_pieces;
	struct piece spare;                /* for a look between two pieces */
};

uint32_t advise_nearest(const struct model *, uint16_t kind, const struct project *);
	/* The object of a kind that is meant, or NONE. */
void weigh(struct weighing *);             /* fills the pieces */
void weigh_flip(struct weighing *, uint32_t at, uint32_t candidate);
uint32_t weigh_best(const struct weighing *, double *share);   /* candidate, or NONE */

#endif
