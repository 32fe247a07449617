/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What the files of judge/ share: one rule against one binding.
 */
#ifndef BODKIN_JUDGE_IMPL_H
#define BODKIN_JUDGE_IMPL_H

#include <assert.h>
#include <string.h>
#include "judge/judge.h"

#define TRACE_MAX 256                      /* steps of one evaluation that are kept */

struct verdict {                           /* of one rule for one binding */
	tri is;                            /* TRI_ABSENT: the rule does not run here */
	bool when_certain;
	bool on_act;                       /* hangs on an act nobody said or advised */
	struct truth truth;                /* when undecided: of what must hold, or of when */
};

/* What was found for objects of one rule, for those that look the same to it. */
struct truths_alike {
	struct arena *arena;
	struct alike_truth *first;
	struct sight sight[2];             /* what its programs see, each noted once */
	uint32_t program[2], n;
};

/* Truths at first sight. */
struct plain { tri when, must; };          /* must TRI__COUNT: not looked at */
struct plain plain_truths(const struct model *, const struct rule *, const struct binding *);

struct binding binding_of(uint32_t each, uint32_t other);
enum look {                                /* how closely what is undecided is looked at */
	LOOK_FULLY,
	LOOK_LISTED,                       /* but for what would not be listed: nothing is known
	                                    * of what decides, or the condition is open */
	LOOK_COUNTED                       /* it is listed in no case: no tips */
};
struct verdict verdict_of(struct model *, const struct rule *, const struct binding *,
    struct plain, enum look, struct truths_alike *);
	/* From what plain_truths() found. The model's slots are changed while working
	 * and put back. The verdict itself is the same however it is looked at. The
	 * last may be NULL; else one for each rule (set .first and .n back), as long
	 * as the model stays. */
void verdict_reasons(struct finding *, const struct model *);
	/* Fills reasons, limit and origins from a trace of the evaluation. */

struct sides {
	uint32_t left_property, right_property, left_path;
	uint32_t left_from, right_from;    /* first instruction of each side */
	uint8_t left_reg;
	bool difference;
};
struct sides comparison_sides(const struct craft *, uint32_t program, uint32_t instr);
	/* Which properties stand bare on either side of a comparison. */
uint32_t path_object(const struct model *, const struct path *, uint8_t reg,
    const struct binding *);           /* whose property the path ends in, or NONE */
bool is_comparison(uint8_t op);
bool compares_quantities(uint8_t op);
uint32_t property_of_dim(const struct craft *, dimension);
	/* The first property of that dimension, for its units; NONE: a plain number. */

/* The objects of a rule, one binding after another. */
struct round { const struct model *m; const struct rule *rule; uint32_t each, other; };
struct round round_of(const struct model *, const struct rule *);
bool round_next(struct round *, struct binding *);

#endif
