/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What the parts of an audit share.
 */
#ifndef BODKIN_AUDIT_IMPL_H
#define BODKIN_AUDIT_IMPL_H

#include <string.h>

#include "audit/audit.h"

struct audit_part *audit_part(struct audit *, const char *name);
void audit_fail(struct audit *, struct audit_part *, const char *fmt, ...)
    __attribute__((format(printf, 3, 4)));

bool audit_wanted(const struct audit *, const char *id);     /* is this rule or advice looked at? */
/* Plain words through the reader and expansion; NULL when they give no model. */
struct model *audit_model(struct arena *, struct knowledge *, const char *words,
    struct project **project);
/* Does the example come out as its author says? The model is as expanded; it is
 * advised here. SAID: what came out instead. */
bool audit_example(struct arena *, struct knowledge *, struct model *, const struct project *,
    uint32_t rule, uint32_t advice, const struct example *, const char **said);

/* ---- one rule under test, and the craft in which one thing is changed --------- */

#define EXAMPLES_MAX 96

struct bench {                             /* one rule or piece of advice under test */
	struct audit *out;
	struct audit_part *part;
	struct knowledge *kb;
	struct arena *arena;               /* models of the examples */
	struct arena *scratch;             /* one run */
	struct craft mutant;
	range *constants;
	struct instr *instrs;
	struct mask *masks;
	uint32_t rule, advice;
	char owner[256];                   /* "rule ID" */
	const char *where;                 /* the part of it: "when", "take, upper end" */
	uint32_t nth_and;
	struct model *model[EXAMPLES_MAX];
	struct project *project[EXAMPLES_MAX];
	bool passes[EXAMPLES_MAX];
	uint32_t n;
	struct buf *suggest;               /* where examples that would pin go, or NULL */
	uint32_t suggested;                /* of this rule so far */
};

void audit_bench_rule(struct bench *, uint32_t rule);       /* its examples made ready */
void audit_bench_advice(struct bench *, uint32_t advice);
bool audit_noticed(struct bench *);        /* does an example come out otherwise in the mutant? */
double audit_choice_step(const struct craft *, const struct setting *);
void audit_figures(struct bench *);        /* tables, constants, formulas (figures.c) */
const struct example *audit_example_of(const struct bench *, uint32_t i);
bool audit_suggest(struct bench *);
	/* The change standing in the mutant is noticed by no example: find a
	 * project, one fact away from one of them, that would. True when found. */

void audit_examples(struct audit *, struct knowledge *);
void audit_pins(struct audit *, struct knowledge *, struct buf *suggest);
void audit_sweep(struct audit *, struct knowledge *);
void audit_twins(struct audit *, struct knowledge *);
void audit_basis(struct audit *, struct knowledge *);

uint32_t audit_kind(const struct craft *, const char *entry_kind);

#endif
