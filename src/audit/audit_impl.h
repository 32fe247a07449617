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

/* Plain words through the reader and expansion; NULL when they give no model. */
struct model *audit_model(struct arena *, struct knowledge *, const char *words,
    struct project **project);
/* Does the example come out as its author says? The model is as expanded; it is
 * advised here. SAID: what came out instead. */
bool audit_example(struct arena *, struct knowledge *, struct model *, const struct project *,
    uint32_t rule, uint32_t advice, const struct example *, const char **said);

void audit_examples(struct audit *, struct knowledge *);
void audit_pins(struct audit *, struct knowledge *);
void audit_sweep(struct audit *, struct knowledge *);
void audit_twins(struct audit *, struct knowledge *);
void audit_basis(struct audit *, struct knowledge *);

uint32_t audit_kind(const struct craft *, const char *entry_kind);

#endif
