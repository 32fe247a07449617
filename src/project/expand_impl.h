/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What the files of expansion share: a model while it grows.
 *
 * The model is whole at every moment, so that the conditions of bring lists
 * can be evaluated on what is there already.  Beside each slot stands how
 * particular the saying was that filled it, so that a broader one never
 * replaces a closer one.
 */
#ifndef BODKIN_EXPAND_IMPL_H
#define BODKIN_EXPAND_IMPL_H

#include <assert.h>
#include <string.h>
#include "project/project.h"

#define OBJECTS_MAX 4000
#define BRING_DEPTH 6
#define ROLES_MAX 128
#define FALLBACK_MAX 8                     /* roles that stand in for roles */
#define PASSES_MAX 3                       /* rounds of programs that hang on derived values */

enum level { LEVEL_NONE, LEVEL_EVERYWHERE, LEVEL_PLACE, LEVEL_OWN };

struct late_value {                        /* a brought value that is worked out */
	uint32_t object, property, program, by;    /* by: the object that brought it */
	uint32_t entry;
};
struct late_role {                         /* a reference named by its role */
	uint32_t object, property;
	uint16_t role;
	uint32_t entry;
};

struct expansion {
	struct arena *arena;
	struct knowledge *kb;
	const struct craft *craft;
	const struct project *project;
	struct diags *diags;
	struct model *m;
	uint32_t cap_objects, cap_slots, cap_names, cap_pairs, n_names;
	char *names;
	uint8_t *level;                    /* per slot: enum level */
	uint32_t *thing;                   /* per object: the said thing it is, or NONE */
	uint32_t *object;                  /* per said thing: its object, or NONE */
	uint32_t *last_of_kind;
	uint32_t *root;                    /* of a singleton kind: the entry of its name, or NONE */
	struct late_value *values;  uint32_t n_values, cap_values;
	struct late_role *roles;    uint32_t n_roles, cap_roles;
	uint32_t role_set, role_property;  /* NONE: the craft has no roles */
	uint16_t role_kind;                /* kind of what fills a role */
	uint32_t filled[ROLES_MAX];        /* object of each role, or NONE */
	uint32_t stand_in[ROLES_MAX];      /* 1 + assumed object where the said one is not meant; 0 */
	bool denied[ROLES_MAX];
	bool full;                         /* the budget is used up */
};

/* ---- objects and values ---------------------------------------------------- */

uint32_t expand_name(struct expansion *, const char *);    /* its offset in the names */
void *expand_grow(struct arena *, void *p, uint32_t *cap, uint32_t want, size_t elem);
uint32_t expand_object(struct expansion *, uint16_t kind, uint32_t entry, uint32_t parent,
    unsigned flags, const char *name);
	/* NONE once the budget is used up. A denied object stands in no list of
	 * its kind: no rule sees it. */
void expand_set(struct expansion *, uint32_t object, uint32_t property, value,
    struct pedigree, enum level);
	/* A closer saying stays; two of one closeness are both kept, unless one
	 * of them was measured. */
bool expand_filled(const struct expansion *, uint32_t object, uint32_t property);
	/* Does anything but a formula say what it is? */
void expand_typicals(struct expansion *, uint32_t object, uint32_t entry);
void expand_word_of_entry(struct expansion *, uint32_t object, uint32_t entry);
	/* Properties whose words are entries of that kind take the entry. */
struct pedigree pedigree_of(enum pedigree_kind, uint32_t property, uint32_t entry);
value value_word(uint32_t word);
value value_ref(uint32_t object);

/* ---- bringing -------------------------------------------------------------- */

void expand_brings(struct expansion *, uint32_t object, uint32_t entry, unsigned depth);
void expand_references(struct expansion *, uint32_t object);
	/* Fills the references nobody named. */
uint32_t expand_role(struct expansion *, uint16_t role);
	/* The component of a role, its stand-in, an assumed one, or NONE. */
void expand_role_taken(struct expansion *, uint32_t object, uint16_t role, struct pedigree);
	/* The object has the role from now on. */
void expand_late(struct expansion *);
	/* Works out brought values and references whose time had not come. */
bool expand_refused(const struct expansion *, uint16_t kind, uint32_t entry, uint16_t role);
	/* Was it said not to be there? */

#endif
