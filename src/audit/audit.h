/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * audit: proof that what was compiled is what its authors meant.
 *
 * Examples run the whole way (reader, expansion, advice, judgement); each
 * number in a rule is moved and some example must notice; every fabric is
 * tried with every feature; a cloth without its name is judged as with it;
 * and the bases of all values are counted.
 */
#ifndef BODKIN_AUDIT_H
#define BODKIN_AUDIT_H

#include "advise/advise.h"

struct audit_part { const char *name; uint32_t tried, failed; };
struct audit {
	struct audit_part parts[16];
	uint32_t n_parts;
	const char *const *only;           /* ids of the rules and advice to look at; NULL: all */
	uint32_t n_only;
	struct buf report;                 /* a line for each failure, with the command that repeats it */
};
enum audit_which { AUDIT_EXAMPLES = 1, AUDIT_PINS = 2, AUDIT_SWEEP = 4, AUDIT_TWINS = 8,
	AUDIT_BASIS = 16,
	AUDIT_ALL = 31 };
void audit_run(struct audit *, struct knowledge *, unsigned which,
    const char *const *only, uint32_t n_only);
void audit_suggestions(struct buf *, struct knowledge *, const char *const *only, uint32_t n_only);
	/* For each number, relation or part that no example pins: an example that
	 * would, as lines to put under its rule, where one can be found. */
void audit_free(struct audit *);

#endif
