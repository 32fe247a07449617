/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * sizes: what is worked out of the lengths told of each construction.
 *
 * Kinds of object marked `sizes` in the schema hold nothing but formulas over
 * what is told of the thing that brought them. Here their results are gathered
 * with what they rest on: which facts were read, which of them nobody told,
 * and which one makes the result as wide as it is.
 */
#ifndef BODKIN_SIZES_H
#define BODKIN_SIZES_H

#include "knowledge/knowledge.h"

enum { SIZE_FACTS_MOST = 16 };

struct size_row {
	uint32_t property;                 /* of the sizes object; derived */
	const value *value;
	bool beyond;                       /* a figure came out that cannot be; it is .raw */
	range raw;
	struct fact facts[SIZE_FACTS_MOST];        /* it rests on, in the order read */
	uint32_t n_facts;
	uint32_t lacking;                  /* of those nobody told: how many */
	uint32_t mostly;                   /* .facts that makes it so wide, or NONE */
	double share;                      /* part of its width that would go with that one, 0..1 */
	double own;                        /* part that stays when all facts are held: the formula's */
};

struct size_group {                        /* one construction */
	uint32_t object, owner;            /* owner: what brought it */
	bool said;                         /* the owner was named by the person */
	struct size_row *rows;  uint32_t n_rows;   /* in the order of the schema */
	struct fact *inputs;    uint32_t n_inputs; /* all facts of its rows, each once */
};

struct sizes { struct size_group *groups; uint32_t n; };

struct sizes *sizes_work(struct arena *, const struct model *);
	/* Of everything in the model, what was said first. The model is only
	 * copied, never changed. */

const char *size_formula(struct arena *, const struct model *, uint32_t object,
    uint32_t property, bool numbers);
	/* How it is worked out, in the labels of what it is worked out from: only
	 * the way that was taken where the formula has several. Formulas called by
	 * name are written out. NUMBERS: their values in place of labels. Empty where
	 * it looks through many objects. */
uint32_t size_facts(struct arena *, const struct model *, uint32_t object, uint32_t property,
    struct fact *, uint32_t most);
	/* What it rests on along the way that was taken: facts told, typical or
	 * missing, each once; how many. */
bool size_formula_names(const struct craft *, uint32_t property, uint32_t nth, const char **name);
	/* The NTH formula of the knowledge base that is called, from 0. */

#endif
