/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Shared between the files of the proof only: a sheet as it was read.
 */
#ifndef BODKIN_PROOF_IMPL_H
#define BODKIN_PROOF_IMPL_H

#include "work/proof.h"

enum sheet_area { AREA_TALK, AREA_MATERIALS, AREA_ASIDE, AREA_STEP };

struct mark {                              /* one word, or figure, or sign of the text */
	uint32_t at, n;
	const char *text;                  /* folded */
	uint32_t sentence, item, heading;  /* numbered from 0; item: a step, or a paragraph */
	uint8_t area;                      /* enum sheet_area */
	bool breaks;                       /* a clause begins with it */
	bool heads;                        /* stands in a heading */
	bool muted;                        /* told of another time, or in a remark */
	bool figure;                       /* part of a measure */
};
struct named {                             /* the longest name that begins there */
	uint32_t first, n;                 /* marks */
	const struct name *names;  uint32_t n_names;
	bool denied;
};
struct measure_at {
	uint32_t at, n;                    /* bytes */
	uint32_t mark;                     /* the first of its marks */
	uint32_t after;                    /* the mark behind it */
	range value[3];  uint32_t n_values;    /* one, or "10 x 15 cm" */
	int unit;
	bool metric;
	uint32_t pair;                     /* the other figure of the same measure, or NONE */
};
struct done {                              /* a step that the text does */
	uint32_t mark, n;
	uint32_t entry;                    /* operation */
	bool whole;
	uint64_t *steps;                   /* of the model that it may be */
	bool any;
};
struct sheet_text {
	struct arena *arena;
	struct knowledge *kb;
	const struct craft *c;
	const struct source *src;
	struct mark *marks;  uint32_t n, cap;
	struct named *named;  uint32_t n_named, cap_named;
	struct measure_at *measures;  uint32_t n_measures, cap_measures;
	uint32_t n_items, n_headings;
	uint32_t n_steps;                  /* items that are steps */
	bool listed;                       /* it has a list of materials */
	uint32_t kind_feature, kind_component, kind_operation, kind_garment;    /* or NONE */
};

static inline bool
digit(char x)
{
	return x >= '0' && x <= '9';
}

static inline bool
of_word(char x)
{
	unsigned char u = (unsigned char)x;

	return (u >= 'a' && u <= 'z') || (u >= 'A' && u <= 'Z') || digit(x) || u >= 0x80;
}

void *proof_more(struct arena *, void *, uint32_t n, uint32_t *cap, size_t size);
	/* Room for one more. */
struct sheet_text *sheet_read(struct arena *, struct knowledge *, const struct source *,
    struct diags *);
void sheet_measures(struct sheet_text *);   /* proof_figures.c: finds them all */
bool words_at(const struct sheet_text *, uint32_t mark, const char *folded, uint32_t *n);
	/* Does the phrase stand there? Its last word may end in *, a beginning. */
const struct proof_word *proof_word_at(const struct sheet_text *, uint32_t mark, enum proof_means,
    uint32_t *n);                          /* the longest */
uint32_t name_entry(const struct sheet_text *, const struct named *, uint32_t object_kind);
	/* The entry among the names that becomes such an object, or NONE. */
struct place mark_place(const struct sheet_text *, uint32_t first, uint32_t n);

/* what is found */
struct findings { struct proof *p; struct arena *arena; uint32_t cap; };
struct proof_finding *finding_add(struct findings *, const char *check, enum degree, struct place);
const char *proof_say(const struct sheet_text *, const char *id, ...);

void proof_measures(struct sheet_text *, struct findings *);       /* proof_measure.c */
void proof_names(struct sheet_text *, struct findings *);          /* proof_names.c */
void proof_model(struct sheet_text *, struct findings *);          /* proof_order.c */

#endif
