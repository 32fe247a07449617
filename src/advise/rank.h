/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * rank: cloths for what is to be sewn, or what may be sewn of a cloth.
 *
 * Every candidate is put into the project in turn, expanded, advised and judged
 * like any other; the order follows from the findings and from what the entries
 * state, and from nothing else:
 *
 *     not suited   a grave finding, a doubtful one about the cloth itself that no
 *                  entry speaks against, or the entry says so
 *     find out     nothing against it fails, but a graver rule is undecided and
 *                  no entry states that it suits
 *     with care    a doubtful finding, or a mention where no entry states that it suits
 *     well suited  nothing against it
 *
 * Within a class: fewer doubtful findings first, then those stated to suit more of what
 * was said, then fewer mentions, fewer open questions, then the order of the knowledge.
 */
#ifndef BODKIN_RANK_H
#define BODKIN_RANK_H

#include "advise/advise.h"

enum suitability { SUIT_WELL, SUIT_CARE, SUIT_FIND_OUT, SUIT_NOT, SUIT__COUNT };

struct suited {
	uint32_t entry;                    /* NONE: a cloth known by its words only */
	enum suitability is;
	bool stated, stated_not;           /* an entry says so, by a link */
	uint32_t n_stated;                 /* of how many things said it says so */
	struct finding *against;           /* gravest first; one for each rule */
	uint32_t n_against;
	struct question *open;             /* what would settle it */
	uint32_t n_open;
	const struct model *model;         /* to put findings into words */
};
struct ranking { struct suited *s; uint32_t n; };

struct suited suit_judge(struct arena *, struct knowledge *, const struct project *,
    uint32_t cloth);
	/* The project with CLOTH (a fabric entry) as its main material; NONE: as it
	 * is said. */
struct project *suit_with(struct arena *, struct knowledge *, const struct project *,
    uint32_t cloth);
	/* The project that suit_judge judges: the same, with CLOTH as its main material. */
struct ranking suit_cloths(struct arena *, struct knowledge *, const struct project *);
	/* All entries that take the role of the garment's cloth, best first. */
struct ranking suit_things(struct arena *, struct knowledge *, const struct project *,
    const char *kind);
	/* For the cloth that the project says: all entries of a kind ("garment",
	 * "feature") that could be made of it, best first. */

bool suit_asked(const struct craft *, uint32_t setting);
	/* Is the setting the question whether a cloth suits, which no advice
	 * answers but the ranking does? */
struct ranking suit_answer(struct arena *, struct knowledge *, const struct project *);
	/* To that question: where the project names its cloth, that one first, as
	 * it stands; then all cloths, best first, but
	 * for those of which the project says otherwise ("a soft cloth"). */

int suit_compare(const struct suited *, const struct suited *);
	/* Below 0: the first is better suited; 0: no reason to prefer either. */

#endif
