/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What the files of language/ share and nobody else sees: the tree of an
 * expression, the growing craft, and the passes over a tree.
 */
#ifndef BODKIN_LANGUAGE_IMPL_H
#define BODKIN_LANGUAGE_IMPL_H

#include <string.h>
#include "language/language.h"

#define STACK_MAX 48
#define LOCALS_MAX 8
#define PARAMETERS_MAX 12
#define GATHERS_MAX 3                      /* gatherings within each other */

/* ---- tokens ----------------------------------------------------------- */

enum token_type {
	TOKEN_END, TOKEN_NUMBER, TOKEN_NAME, TOKEN_PATH, TOKEN_QUOTED, TOKEN_MARK, TOKEN_UNIT, TOKEN_BAD
};
struct token {
	enum token_type type;
	uint32_t at, n;                    /* within the expression */
	strview text;                      /* name, path, quoted without its quotes */
	double number;
	int unit;                          /* TOKEN_NUMBER: unit written behind it, or -1 */
};
struct lexer {
	const struct units *units;
	strview text;
	uint32_t at;
};
struct token lexer_next(struct lexer *);
bool token_is(const struct token *, const char *mark_or_word);

/* ---- trees ------------------------------------------------------------ */

enum tree_type {
#define T(name, text) TREE_##name,
#include "language/trees.def"
#undef T
	TREE__COUNT
};

struct kindred {                           /* the type of a tree */
	uint8_t type;                      /* enum value_type */
	bool bare;                         /* a word whose set is not known yet */
	dimension dim;
	uint16_t word_set;
	uint16_t ref_kind;
	uint32_t property;                 /* whose units show it, or NONE */
	double step;
};

struct tree {
	enum tree_type type;
	uint32_t at, n;                    /* span in the expression */
	strview name;                      /* names, paths, calls, gatherings */
	struct tree *kid[3];
	struct tree *next;                 /* in a list of arguments or words */
	struct tree *list;
	double number;
	int unit;
	int num, den;                      /* exponent */
	enum op op;                        /* operators and comparisons, before words are told apart */
	/* set by the type pass */
	struct kindred is;
	uint8_t reg;
	struct path path;
	uint32_t ref;                      /* formula, table, kind, entry */
	strview by;                        /* TREE_GATHER: the reference of `by`, or empty */
	uint16_t of_property;
	uint8_t of_reg;
	struct path of_path;
	uint64_t set[2];
};

struct parse {                             /* one expression on its way */
	struct craft_maker *maker;         /* NULL: a dump over a finished craft */
	const struct craft *craft;
	struct arena *arena;
	struct diags *diags;
	strview text;
	struct place place;                /* of the whole text in its file */
	const struct scope *scope;
	struct lexer lexer;
	struct token token, last;          /* the one looked at, and the one before */
	uint32_t depth;
	bool failed;
	/* variables bound while the tree is walked */
	uint16_t variable_kind[VARIABLES_MAX];
	strview variable_name[VARIABLES_MAX];
	uint32_t n_variables;
	strview local_name[LOCALS_MAX];
	struct kindred local_is[LOCALS_MAX];
	uint32_t n_locals;
	uint32_t gathers;
};

struct place parse_place(const struct parse *, uint32_t at, uint32_t n);
struct tree *parse_expression(struct parse *);             /* NULL with diagnostics */
struct tree *parse_sum(struct parse *);
void parse_start(struct parse *);
bool parse_ended(struct parse *);
struct tree *parse_word(struct parse *, bool in_braces);
bool parse_accept(struct parse *, const char *mark_or_word);
struct tree *tree_new(struct parse *, enum tree_type, uint32_t at);
void tree_print(struct buf *, const struct craft *, const struct tree *, int indent, bool typed);
void token_print(struct buf *, const struct token *);

bool type_tree(struct parse *, struct tree *, const struct expected *);
bool type_words(struct parse *, struct tree *word_list, uint16_t set, bool narrower,
    uint64_t out[2]);
/* resolve.c, for types.c: */
const char *type_copy(struct parse *, strview);
bool type_fail(struct parse *, const struct tree *, enum diag_id, const char *, const char *,
    const char *);
	/* Always false; only the first complaint about an expression is made. */
const char *type_named(struct parse *, const struct kindred *);     /* a type, in words */
bool type_word_side(struct parse *, struct tree *, uint16_t set);   /* a bare word takes its set */
void type_offer_variables(struct parse *, strview name);
bool type_path(struct parse *, struct tree *, uint8_t *reg, struct path *, struct kindred *);
bool type_name(struct parse *, struct tree *);
uint32_t formula_named(const struct craft *, strview);
uint32_t table_named(const struct craft *, strview);
uint32_t emit_program(struct parse *, struct tree *);       /* program index */

/* ---- the growing craft --------------------------------------------------- */

struct craft_maker {
	struct arena *arena;
	struct diags *diags;
	struct craft view;
	struct text_slot { text_at at; } *texts;   /* open hash of interned text; heap */
	uint32_t n_texts, cap_texts;
	uint32_t units_seen;               /* .unit count when view.units was made */
	size_t cap[64];                    /* one for each section */
};

const struct units *units_build(struct arena *, const struct craft *);
const struct reading_words *range_words_build(struct arena *, const struct craft *);
bool craft_verify(const struct craft *, struct arena *, const char **why);
bool order_properties(struct craft_maker *);                /* fills .order and .depends */
bool entry_is(const struct craft *, uint32_t entry, uint32_t broader);

void derive_slot(struct model *, uint32_t object, uint32_t property);
	/* Works out one slot that was derived before, anew. */

/* ---- paths ------------------------------------------------------------- */

/* The object at the end of a path, whose property its last one is, or NONE where
 * it leads nowhere. For paths that end in a property. */
static inline uint32_t
path_end(const struct model *m, uint8_t reg, const struct path *p, const struct binding *b)
{
	const struct craft *c = m->craft;
	uint32_t o = reg == VARIABLE_ONE ? m->first_of_kind[p->root] : b->object[reg];
	uint16_t kind = p->root;

	for (uint8_t i = 0;; i++) {
		const struct property *q = &c->property[p->prop[i]];
		const value *v;

		if (o >= m->n_objects || m->objects[o].kind != kind)
			return NONE;
		if (i + 1 == p->n)
			return o;
		v = &m->slots[m->objects[o].slot + q->slot];
		if (v->state == VALUE_ABSENT || v->ref < 0 || v->ref > UINT32_MAX - 1)
			return NONE;
		o = (uint32_t)v->ref;
		kind = q->ref_kind;
	}
}

/* ---- cells ------------------------------------------------------------- */

struct cell cell_absent(uint8_t type);
struct cell cell_truth(tri);
struct cell cell_quantity(range, uint8_t state);
uint8_t state_worse(uint8_t, uint8_t);     /* ABSENT < UNKNOWN < KNOWN */
struct cell cell_from(const value *, uint8_t type);
struct cell cell_arithmetic(enum op, struct cell, struct cell);
struct cell cell_compare(enum op, struct cell, struct cell, double step);
struct cell cell_compare_words(enum op, struct cell, struct cell);
struct cell cell_words_in(struct cell, const struct mask *);
struct cell cell_choose(struct cell condition, struct cell, struct cell);
struct cell cell_bare_number(const struct craft *, struct cell, uint32_t unit);
struct cell cell_look_up(const struct craft *, uint32_t table, struct cell);

/* mask helpers: words are bits of two 64-bit halves */
static inline bool
mask_has(const uint64_t m[2], uint32_t bit)
{
	return bit < 128 && (m[bit >> 6] >> (bit & 63) & 1);
}

static inline void
mask_add(uint64_t m[2], uint32_t bit)
{
	if (bit < 128)
		m[bit >> 6] |= (uint64_t)1 << (bit & 63);
}

static inline int
mask_count(const uint64_t m[2])
{
	return __builtin_popcountll(m[0]) + __builtin_popcountll(m[1]);
}

static inline bool
mask_several(const uint64_t m[2])          /* more than one word */
{
	return (m[0] & (m[0] - 1)) != 0 || (m[1] & (m[1] - 1)) != 0 || (m[0] != 0 && m[1] != 0);
}

static inline bool
mask_single(const uint64_t m[2])           /* exactly one word */
{
	return (m[0] | m[1]) != 0 && !mask_several(m);
}

static inline void
mask_all(uint64_t m[2], uint32_t n)
{
	m[0] = n >= 64 ? ~(uint64_t)0 : ((uint64_t)1 << n) - 1;
	m[1] = n <= 64 ? 0 : n >= 128 ? ~(uint64_t)0 : ((uint64_t)1 << (n - 64)) - 1;
}

#endif
