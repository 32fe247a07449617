/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Shared between the two files that read a project file.
 */
#ifndef BODKIN_YAML_IMPL_H
#define BODKIN_YAML_IMPL_H

#include "project/project_impl.h"

struct yaml_reader {
	struct terms t;
	struct project *p;
	struct diags *ds;
	const struct source *src;
	struct arena *arena;
};

struct place node_part(const struct yaml_reader *, const struct node *, size_t at, size_t n);
const char *node_words(const struct yaml_reader *, strview);
bool yaml_value(struct yaml_reader *, uint32_t property, const struct node *, struct said_value *);
	/* Fills in property, value, unit and place; false after a complaint. */


struct wanted {                            /* which entries will do */
	uint32_t kind;                     /* object kind, or NONE: any that makes an object */
	uint32_t also;                     /* another, or NONE */
	uint16_t role;                     /* preferred where there are several, or NO16 */
	uint16_t entry_kind;               /* only of this kind of entry, or NO16 */
	const char *what;                  /* in a complaint: "a garment" */
};
uint32_t yaml_meanings(const struct yaml_reader *, strview, const struct name **);
uint32_t yaml_entry(struct yaml_reader *, const struct node *, strview, const struct wanted *,
    bool quiet);
	/* NONE: none or several, complained of unless QUIET. */
uint16_t yaml_role(const struct yaml_reader *, strview);       /* or NO16 */
bool yaml_is_unknown(const struct node *);
bool yaml_is_empty(const struct node *);                       /* NULL too */
void yaml_shape(struct yaml_reader *, const struct node *, const char *what, const char *needs,
    const char *sample);
void yaml_add(struct yaml_reader *, const struct said_value *);
	/* A second value for one property is a complaint. */
uint32_t yaml_property(const struct yaml_reader *, uint32_t kind, strview key);
void yaml_unknown_key(struct yaml_reader *, const struct node *key, uint32_t kind,
    const char *const *others);

bool yaml_scope(struct yaml_reader *, const struct node *, struct said_value *);
void yaml_settings(struct yaml_reader *, const struct node *);
void yaml_measured(struct yaml_reader *, const struct node *);

#endif
