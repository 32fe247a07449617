/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Shared between the two files that make the schema of project files: what
 * writes the small parts, values and names.
 */
#ifndef BODKIN_SCHEMA_IMPL_H
#define BODKIN_SCHEMA_IMPL_H

#include "command/command_impl.h"

struct schema {
	struct run *run;
	const struct craft *c;
	struct json j;
	uint32_t component, garment, feature, operation, content, roles;
};
struct words { const char **w; uint32_t n; size_t cap; };

#define DIGIT "[0-9\xc2\xbd\xc2\xbc\xc2\xbe\xe2\x85\x93\xe2\x85\x94\xe2\x85\x9b]"

void schema_text(struct schema *, const char *key, const char *says);
void schema_open_key(struct schema *, const char *key, char bracket);
void schema_refer(struct schema *, const char *kind, const char *name);
	/* To the definition of that name. */
void schema_of_type(struct schema *, const char *type);
void schema_pattern(struct schema *, const char *regular);
void schema_add(struct words *, const char *);
void schema_once(struct words *);           /* sorted, each once */
void schema_put_words(struct schema *, struct words *);     /* all of them, once; freed */
bool schema_said(const struct schema *, uint32_t property);
	/* Can it be said in a project at all? */
const char *schema_full_name(const struct schema *, uint32_t property);
void schema_value(struct schema *, uint32_t property);      /* its definition */
void schema_names(struct schema *, const char *key, uint32_t kind, uint32_t other);
	/* All names of entries that become an object of the kind, or of the other. */
void schema_add_roles(struct schema *, struct words *);

#endif
