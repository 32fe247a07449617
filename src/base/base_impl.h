/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Shared between the files of this room only.
 */
#ifndef BODKIN_BASE_IMPL_H
#define BODKIN_BASE_IMPL_H

#include "base/base.h"

/* What libyaml said about a text it could not read, with places already in
 * bytes.  CONTEXT is where the construct began, AT where it broke. */
struct yaml_fault {
	const char *problem, *context;     /* libyaml's words; either may be NULL */
	uint32_t at, context_at;
	bool reader;                       /* the bytes, not the grammar, were wrong */
};

/* The same as one of our own diagnostics, with a corrected example. */
void yaml_explain(const struct source *, const struct yaml_fault *, struct diags *);

#endif
