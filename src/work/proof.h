/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * work, proof: a sheet of instructions, by whatever hand, read and held against
 * what is known: its two rulers against each other, its steps against the order
 * of work, its materials against its steps, and what it must not leave out.
 *
 * Nothing is gravely wrong with a text: findings are doubtful or mentions.
 * What cannot be told for certain is passed over in silence.
 */
#ifndef BODKIN_PROOF_H
#define BODKIN_PROOF_H

#include "work/instruct.h"

struct proof_finding {
	const char *check;                 /* "measure", "size", "order", "unlisted", "unused",
	                                    * "two-meanings", or the id of a proof check of kb/ */
	enum degree degree;
	struct place place;
	struct place other;                /* a second place it speaks of; .src NULL: none */
	const char *says, *remedy;         /* remedy: NULL where there is none */
};
struct proof {
	struct proof_finding *f;
	uint32_t n;
	uint32_t steps, measures;          /* that were read */
};

#define PROOF_LARGEST (1024 * 1024)        /* bytes of a sheet */

struct proof *proof_sheet(struct arena *, struct knowledge *, const struct source *,
    struct diags *);
	/* NULL with diagnostics: broken UTF-8, control characters, nothing in it. */
void proof_tokens(struct buf *, struct arena *, struct knowledge *, const struct source *,
    struct diags *);
	/* What each word was taken for. */

#endif
