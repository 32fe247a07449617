/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What is reckoned up for a project: the lines of `amounts` and `estimate`,
 * which are one for each object a reckoning of kb/ speaks of.
 */
#ifndef BODKIN_RECKON_H
#define BODKIN_RECKON_H

#include "command/command_impl.h"
#include "work/lay.h"

enum { RECKON_FACTS_MOST = 6 };
struct reckoned {
	uint32_t reckoning, object;
	value need, buy, have;             /* VALUE_ABSENT where the reckoning names none */
	tri enough;                        /* have against need; TRI_ABSENT: nothing to compare */
	struct fact decides;               /* from which most of the spread of .need comes */
	double left;                       /* part of the spread that stays when it is known */
	bool spread;                       /* .decides is told */
	struct fact missing[RECKON_FACTS_MOST];    /* unknown altogether, so that .need is */
	uint32_t n_missing;
};

struct reckoned *reckon(struct run *, struct model *, enum reckon_page, const struct lay_work *,
    uint32_t n_works, uint32_t *n);
	/* The model comes back unchanged. */
const char *reckon_both(struct run *, const struct model *, uint32_t property, const value *);
	/* "2.4 m (2 5/8 yd)": in the unit the property is shown in, and in its first
	 * unit that has fractions. */
const char *reckon_name(struct run *, const struct model *, uint32_t object);
	/* "seam (collar)" */
const char *reckon_shop(struct run *, const struct model *, const struct reckoned *);
	/* What is asked for in the shop, the larger end of a range. "" if nothing. */
void reckon_ask(struct run *, const struct model *, const struct reckoned *);
	/* What is not known and how to find out, as items of the page. */
void reckon_json(struct run *, struct json *, const struct model *, const struct reckoned *);
bool reckon_usable(const struct craft *, uint16_t property, const value *);
	/* Known, and narrower than all that can be. */

/* ---- what a length that is there suffices for (suffices.c) ---------------------- */

struct suffices {
	uint32_t entry;                    /* a thing to be sewn */
	tri enough;
	range need;                        /* of the first of what is there */
	uint32_t property;                 /* whose units show it */
};
struct suffices *suffices_for(struct run *, const struct project *, uint32_t *n);
	/* Largest first; none where the project names what is to be sewn, or tells
	 * of nothing how much there is. */
void suffices_page(struct run *, const struct suffices *, uint32_t n);
void suffices_json(struct run *, struct json *, const struct suffices *, uint32_t n);

struct project *reckon_project(struct run *, const char *usage_text);
	/* The project of --words or of the one file; NULL with a message. */

#endif
