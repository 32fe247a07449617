/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * trouble: what may be behind a fault that someone describes.
 *
 * The fault is found by its names and by what people say of it (kb_search kept
 * to faults). Its entry lists its causes, likeliest first. No figure weighs one
 * cause against another; the order is, each step only among equals of the one
 * before:
 *
 *     not tried yet      before those whose check or remedy was tried
 *     spoken for         by the conditions: its `when` holds for one object at least
 *     not spoken of      it has no `when`, or what would decide it is not known
 *     spoken against     its `when` fails for every object of its kind
 *     its place          in the list of the fault
 *     the nearer fault   where two faults fit the words about equally well
 *
 * A cause in two lists counts where it stands further up. The second fault is
 * taken in when its score is no more than three tenths below that of the first.
 */
#ifndef BODKIN_TROUBLE_H
#define BODKIN_TROUBLE_H

#include "advise/advise.h"

enum { FAULTS_MOST = 2, TRIED_MOST = 16 };

struct suspect {
	uint32_t cause;                    /* entry */
	uint32_t fault;                    /* in .fault: whose list it stands in */
	uint32_t place;                    /* in that list, from 0 */
	tri likely;                        /* what the conditions say of it */
	bool has_when;                     /* the conditions could say something */
	bool tried;
	uint32_t by;                       /* if tried: in .tried */
};
struct tried { strview words; uint32_t cause; };     /* cause NONE: not understood */
struct trouble {
	uint32_t fault[FAULTS_MOST], n_faults;       /* entries, nearest first; 0: none found */
	struct tried tried[TRIED_MOST];
	uint32_t n_tried;
	struct suspect *s;
	uint32_t n;
};

struct trouble trouble_look(struct arena *, struct knowledge *, strview symptom,
    const struct model *conditions, strview tried);
	/* CONDITIONS: as expanded, before any advice, so that nothing we advise
	 * speaks for a cause; NULL: none. TRIED: commas or semicolons between;
	 * each part stands for the cause that the search, kept to causes, puts
	 * first, and for all kinds of it; nothing where only some of its words
	 * are found. */
uint32_t trouble_ease(const struct craft *, const struct entry_record *);
	/* Number of its word in the set `ease`, or NONE. */
const char *entry_says(const struct entry_record *, const char *key);      /* a text, or "" */

#endif
