/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * judge: every rule against a model, and what came of it.
 *
 * A pure function of a model. Rules that hold are only counted; those that
 * fail become findings; those that are undecided are rationed and grouped by
 * the fact that decides. What is printed as the reason comes from the trace
 * of the very evaluation that gave the verdict.
 */
#ifndef BODKIN_JUDGE_H
#define BODKIN_JUDGE_H

#include "project/project.h"

struct reason {                            /* one comparison of the trace, ready for words */
	uint32_t instr;                    /* the comparison */
	struct cell left, right;
	uint32_t left_property, right_property;    /* whose units show them, or NONE */
	uint32_t object;                   /* whose property stands on the left, or NONE */
	struct fact from[3];               /* when none: what the left is worked out from */
	uint32_t n_from;
	tri truth;
	bool in_when;
};
struct origin { struct fact fact; uint32_t pedigree; };    /* a base fact the verdict rests on */

struct finding {
	uint32_t rule;
	struct binding binding;
	tri verdict;                       /* TRI_FALSE fails, TRI_UNKNOWN undecided */
	enum degree degree;                /* after lowering for assumed subjects */
	bool by_assumption;                /* its subject is only assumed */
	bool seen_differs;                 /* the outermost published values would change it */
	uint32_t same;                     /* further objects of which the same is said */
	uint32_t others[4], n_others;      /* of which it is said likewise, of the same cause:
	                                    * of a pair, further second objects */
	struct reason reasons[6];  uint32_t n_reasons;
	struct origin origins[6];  uint32_t n_origins;
	struct cell limit;                 /* right side of the comparison that failed */
	uint32_t limit_property;
	struct truth truth;                /* undecided: facts and tips */
};
struct question {                          /* undecided rules that hang on one fact and tip */
	struct fact fact;
	struct tip tip;
	uint32_t first, n;                 /* in .undecided, sorted together */
	double weight;                     /* how much an answer would settle */
};
struct judgement {
	struct finding *fails;      uint32_t n_fails;      /* gravest first */
	struct finding *undecided;  uint32_t n_undecided;  /* those that are listed */
	struct question *questions; uint32_t n_questions;  /* most settling first */
	uint32_t not_judged;               /* undecided, but not worth a line */
	uint32_t not_judged_fact;          /* property most of them lack, or NONE */
	uint32_t holds, absent;
};
struct judgement *judge(struct arena *, struct knowledge *, struct model *);
	/* The model comes back unchanged. */
struct judgement *judge_fails(struct arena *, struct knowledge *, struct model *);
	/* As judge(), for those who want what fails and nothing else: the same rules
	 * fail; none is listed as undecided, and .seen_differs is not worked out. */
uint32_t judge_findings(const struct judgement *, enum degree at_least);   /* how many fail */
tri judge_rule(struct arena *, struct model *, uint32_t rule, struct finding *worst);
	/* One rule over all its objects: the worst verdict. */
bool judge_trace(struct buf *, struct knowledge *, struct model *, uint32_t rule);
	/* Each step with its value, for the trace dump. */

struct place origin_place(const struct model *, const struct origin *);
	/* Where a person said it, or named the thing that typically has it; what is
	 * brought lies where its bringer was named.  .src NULL: nowhere. */

/* In words, through the messages of kb/: */
void finding_says(struct buf *, struct knowledge *, const struct model *, const struct finding *);
void finding_because(struct buf *, struct knowledge *, const struct model *,
    const struct finding *, uint32_t nth);
void message_fill(struct buf *, const struct craft *, const struct model *, const struct message *,
    const struct binding *, const struct cell *limit, uint32_t limit_property);
void cell_print(struct buf *, const struct craft *, const struct model *, struct cell,
    uint32_t property);
void pedigree_print(struct buf *, struct knowledge *, const struct model *, uint32_t pedigree);
void user_message(struct buf *, const struct craft *, const char *id, ...);
	/* Message ID of kb/messages.yaml; then pairs const char *slot, const char
	 * *value, ended by NULL. */

#endif
