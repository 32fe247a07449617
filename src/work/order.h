/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * work, order: in what order the steps of a project are done.
 *
 * The steps are the objects of the kind `operation` of a model.  What goes
 * before what comes from the entries (`after` in their bring lists) and from
 * the order rules of kb/; what is to change seldom, from its order changes.
 * Among all orders that keep every constraint one with the fewest changes is
 * taken: first of what stands first in the list, then of the next.
 */
#ifndef BODKIN_ORDER_H
#define BODKIN_ORDER_H

#include "advise/advise.h"

/* ---- the bare problem ----------------------------------------------------- */

struct order_edge { uint32_t first, then; };       /* steps */

struct order_problem {
	uint32_t n;                        /* steps */
	uint32_t n_changes;                /* at most ORDER_CHANGES_MOST */
	const uint16_t *needs;             /* n * n_changes: which one the step needs, numbered
	                                    * from 0; NO16: none, so that what is set stays set */
	const struct order_edge *edges;    /* without a circle */
	uint32_t n_edges;
	const uint32_t *group;             /* steps that would rather stand together; may be NULL */
};

/* changes, the first setting up not counted */
struct order_cost { uint16_t of[ORDER_CHANGES_MOST]; };

struct order_found {
	uint32_t *steps;                   /* in their order */
	struct order_cost cost;
	struct order_cost bound;           /* no order has fewer, in the order of the list */
	bool exact;                        /* bound and cost are the same */
	uint32_t *naive;                   /* as listed, put right where a constraint wants it */
	struct order_cost naive_cost;
	uint32_t states;                   /* that were looked at */
};

#define ORDER_EXACT_MOST 512               /* beyond, the naive order is all there is */
#define ORDER_STATES_USUAL 60000

bool order_find(struct arena *, const struct order_problem *, uint32_t most_states,
    struct order_found *);
	/* False: the edges go round in a circle, or a needed thing has a number of
	 * its own above 254. */
struct order_cost order_cost_of(const struct order_problem *, const uint32_t *steps);
int order_cost_cmp(const struct order_problem *, const struct order_cost *,
    const struct order_cost *);

/* ---- the steps of a model -------------------------------------------------- */

struct order_reason {                      /* why a step goes before another */
	uint32_t first, then;              /* steps */
	uint32_t rule;                     /* in .order_rule, or NONE: */
	uint32_t entry;                    /* the entry that says so */
	bool needed;                       /* follows from no other two */
};
struct order_loop {                        /* reasons that go round in a circle */
	struct order_reason *round;  uint32_t n;
	uint32_t dropped;                  /* the one that was set aside, in .round */
};
#define ORDER_LOOPS_SHOWN 8

struct order_work {
	uint32_t n;
	uint32_t *object;                  /* of each step */
	uint16_t *needs;                   /* as in the problem */
	struct order_reason *reasons;  uint32_t n_reasons;     /* that are kept */
	struct order_loop *loops;  uint32_t n_loops;           /* the first of them */
	uint32_t n_dropped;                /* reasons set aside, those not shown too */
	struct order_found found;
};

bool order_rule_speaks(struct arena *, const struct model *, uint32_t rule);
	/* Does the order rule put some two steps in order, the entries not being
	 * against it? */
struct order_work *order_reasons(struct arena *, const struct model *);
	/* The steps and what goes before what, without looking for an order:
	 * .needs and .found are empty. The model need not be advised. */
struct order_work *order_work(struct arena *, const struct model *);
	/* Of an advised model.  An order rule gives way where the entries put the
	 * two steps the other way round; where reasons still go in a circle, the
	 * loop is told and its weakest reason set aside: the rule that stands last
	 * in kb/, else the entry met last. */

#endif
