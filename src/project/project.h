/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * project: what a person said, and the model that follows from it.
 *
 * Three readers (plain words, YAML, later a materials list) give one kind of
 * project: things that were said, values said of them, and where.  A project
 * is a value with a text form, and a change to it is a small statement.
 * Expansion turns it into a model: features bring pieces, operations and
 * stacks, typical facts fill the gaps, formulas derive the rest.
 */
#ifndef BODKIN_PROJECT_H
#define BODKIN_PROJECT_H

#include "knowledge/knowledge.h"

struct said_thing {                        /* a garment, component, feature, operation */
	uint16_t kind;                     /* object kind */
	uint16_t role;                     /* word of the set role (components), or NO16 */
	uint32_t entry;                    /* or NONE: a nameless thing, known by its properties */
	double count;                      /* 1 unless said */
	bool denied;                       /* said not to be there */
	bool beside;                       /* only in a change: it replaces nothing */
	uint32_t of;                       /* a content: the thing it is part of; else NONE.
	                                    * A thing with contents has no others; one without
	                                    * an entry is an unknown one. */
	struct place place;
};

struct said_value {                        /* a property of a thing, or of a place */
	uint32_t thing;                    /* index of the thing, or NONE: see kind, scope */
	uint32_t property;
	value value;                       /* state KNOWN or UNKNOWN ("unknown" is said too) */
	bool measured;
	bool typical_part;                 /* a class word: part_lo..part_hi of the entry's own range,
	                                    * `value` when it has none */
	double part_lo, part_hi;
	uint32_t scope_entry;              /* operation or feature it was said for, or NONE: everywhere */
	uint32_t scope_thing;              /* said thing it was said for, or NONE */
	int unit;                          /* as written */
	struct place place;
};

enum token_use { USED_NOT, USED_STOP, USED_YES };
struct word_use {                          /* one token of plain words and what became of it */
	struct place place;
	enum token_use use;
	const char *meant;                 /* "fabric: ...": what it was taken for; for the token dump */
};

struct project {
	struct arena *arena;
	const struct source *source;       /* the last one read */
	const char *title;                 /* "" if none */
	struct said_thing *things;  uint32_t n_things, cap_things;
	struct said_value *values;  uint32_t n_values, cap_values;
	struct word_use *uses;      uint32_t n_uses, cap_uses;
	uint32_t asked;                    /* setting the words ask for, or NONE */
	uint32_t asked_scope;              /* entry (operation, feature) named as its place, or NONE */
	uint32_t conflicts;                /* contradictions kept (plain words) */
};

struct project *project_from_words(struct arena *, struct knowledge *, const struct source *,
    struct diags *);
	/* Never fails but for empty or unreadable text: unknown words are notes
	 * (near names offered), contradictions are kept and noted. */
struct project *project_from_yaml(struct arena *, struct knowledge *, const struct source *,
    struct diags *);
	/* NULL when there are errors. */
bool project_head(strview key);
	/* A key of the format itself ("materials"), whatever the schema holds. */
struct project *project_from_node(struct arena *, struct knowledge *, const struct source *,
    const struct node *root, struct diags *);
	/* The same of a document read already, or of a mapping within one. */
struct project *project_from_text(struct arena *, struct knowledge *, const struct source *,
    struct diags *);
	/* YAML or plain words, by its first line. */
struct project *project_read(struct arena *, struct knowledge *, const char *path, struct diags *);
	/* A file: YAML by its content, otherwise words. */

struct listed {                            /* one thing to be sewn, of a list of materials */
	struct project *project;
	const char *name;                  /* as its rows call it, "" if they do not */
	struct place place;                /* of the name, or of its first row */
};
struct project_list {
	const struct source *source;       /* as UTF-8; all places lie in it */
	struct listed *of;  uint32_t n;
};
bool project_is_list(const char *path);    /* by its ending: .csv, .tsv, .tab */
struct project_list *projects_from_list(struct arena *, struct knowledge *, const char *name,
    strview bytes, struct diags *);
	/* A spreadsheet of materials saved as text: one project for each thing to
	 * be sewn.  A row is a material in a role; its description is read as plain
	 * words, its other cells as what their headings say.  What is not
	 * understood is noted.  NULL with a message: no headings, an open quote. */
/* What is written beside a row of a list, in columns of its own. */
enum { LIST_COPY_COLUMNS = 4 };
struct list_remark {
	size_t at;                         /* in the list as UTF-8: which row is meant */
	const char *cell[LIST_COPY_COLUMNS];
};
bool list_copy(struct arena *, struct knowledge *, const char *name, strview bytes,
    const char *const heads[LIST_COPY_COLUMNS], const struct list_remark *, uint32_t n,
    struct buf *out, struct diags *);
	/* The list with the columns added, in its own separator, encoding and
	 * quoting; every cell of it stays byte for byte. Several remarks of a row
	 * stand in one cell, parted by " | ". False with a message: as
	 * projects_from_list(). */
struct project *project_changed(struct arena *, struct knowledge *, const struct project *,
    const struct source *, struct diags *);
	/* A new project: the old one with a change in words applied ("make it
	 * chiffon", "80/12 needle", "drop the zip"). A thing named again replaces
	 * the one of its role; a feature is added; a denial takes away. */
void project_print(struct buf *, struct knowledge *, const struct project *);
	/* As a project file, read back to the same project. */
void project_tokens(struct buf *, struct knowledge *, const struct project *);
	/* The words and what each was taken for. */
bool project_check(const struct knowledge *, const struct project *, const char **culprit);

struct model *model_expand(struct arena *, struct knowledge *, const struct project *,
    struct diags *);
	/* Things become objects (garment and machine always; assumed components for
	 * the advised roles), entries bring theirs, said values and typical ones are
	 * set, fullest knowledge last: said over typical; then everything is
	 * derived. Budget: 4,000 objects; beyond it a diagnostic. What was denied is
	 * an object too (OBJECT_DENIED), but in no list of its kind: no rule and no
	 * gathering sees it. */
bool model_check(const struct model *, const char **culprit);

#endif
