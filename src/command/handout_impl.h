/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * handout: what its files share.
 *
 * A sheet of the knowledge base tells the parts and lines; chosen cloths are
 * judged and advised each in the same project, and every cell made of them is
 * kept, so that page, key and JSON say the same.
 */
#ifndef BODKIN_HANDOUT_IMPL_H
#define BODKIN_HANDOUT_IMPL_H

#include "advise/rank.h"
#include "command/command_impl.h"

enum { HANDOUT_CLOTHS_MOST = 60, HANDOUT_THINGS_MOST = 12, HANDOUT_BLANKS_MOST = 64 };

struct handout_cloth {
	uint32_t entry;                    /* NONE: as described in words */
	const char *name;
	uint32_t object;                   /* of the cloth in the model, or NONE */
	struct checked c;                  /* the whole project in this cloth */
	struct suited suited[HANDOUT_THINGS_MOST];     /* for each thing it is judged for */
};
struct handout_thing { const char *name; struct project *project; };
struct handout_blank { uint32_t line, cloth; };    /* cloth NONE: all of them */

struct handout_cell {                      /* one cell or line of the page */
	uint32_t part, line;               /* in .sheet_part, .sheet_line */
	const char *subject;               /* what its row is about */
	const char *label, *text;
	uint32_t cloth;                    /* of the handout's, or NONE */
	bool hidden;                       /* left blank on the page; its text stands in the key */
};

struct handout {
	struct run *r;
	const struct sheet_plan *sheet;
	struct project *project;           /* as it was said, whatever the cloth */
	struct handout_thing *things;  uint32_t n_things;      /* what cloths are judged for */
	struct handout_cloth *cloths;  uint32_t n_cloths;
	uint32_t left_out;                 /* cloths that the condition may or may not hold for */
	struct handout_blank blanks[HANDOUT_BLANKS_MOST];
	uint32_t n_blanks;
	uint16_t region;                   /* word of the set region, or NO16 */
	struct handout_cell *cells;  uint32_t n_cells, cap_cells;
	uint32_t *terms, n_terms;          /* explained on the page, entries */
	uint32_t *exercises, n_exercises;
	const char **cautions;  uint32_t n_cautions;
	uint32_t *here, n_here;            /* sources of the part being made, in .source */
	const char *rests;                 /* what each part rests on, or NULL */
	uint32_t n_tables;
};

/* handout.c */
bool handout_make(struct handout *, struct run *);
	/* The whole handout, its page in the run's; false with a message. What its
	 * measures ask for stays chosen in the knowledge. */

/* handout_choose.c */
bool handout_choose(struct handout *);     /* cloths by name, by condition, or the best */
bool handout_blanks(struct handout *);     /* --blank read; false with a message */

/* handout_text.c: what lines say */
void handout_cite(struct handout *, uint32_t source);      /* NONE: nothing to cite */
const char *handout_text(struct handout *, uint32_t entry, const char *key);
	/* A text of an entry, or "". */
const char *handout_name(struct handout *, uint32_t entry);
	/* As people of the reader's country call it. */
const char *handout_line(struct handout *, const struct sheet_line *, const struct handout_cloth *,
    uint32_t object);
	/* OBJECT: the place the line is about, or NONE: as the line itself tells. "" where
	 * nothing is known. */
const char *handout_fact(struct handout *, const struct sheet_line *, uint32_t entry);
	/* The same of what an entry holds. */
const char *handout_why(struct handout *, const struct handout_cloth *);
uint32_t handout_object(const struct handout *, const struct handout_cloth *, uint16_t kind,
    uint32_t at);
	/* The first object of the kind for which the program holds for certain, or NONE. */
extern const char *const handout_suited_ids[SUIT__COUNT];

/* handout_try.c, handout_draw.c: parts of a page */
void handout_cautions(struct handout *, uint32_t part);
void handout_exercises(struct handout *, uint32_t part);
void handout_bars(struct handout *, uint32_t part);
void handout_drawings(struct handout *, uint32_t part);
int handout_in_use(const struct handout *, uint32_t entry);
	/* 1: it, or a kind of it, is done or chosen for one of the cloths; 2: people
	 * named it themselves. */

/* handout_page.c */
void handout_heading(struct handout *, const struct sheet_part *, uint8_t level);
struct block *handout_table(struct handout *, uint32_t part, uint32_t rows, uint32_t columns,
    const char **cells);
const char *handout_cell(struct handout *, uint32_t part, uint32_t line, uint32_t cloth,
    const char *subject, const char *label, const char *text);
	/* Notes the cell; gives what stands on the page: TEXT, or room to write it in. */
void handout_note(struct handout *, struct handout_cell);
void handout_page(struct handout *);
struct page *handout_key(struct handout *);    /* what was left blank */

/* handout_terms.c */
void handout_terms(struct handout *, const struct sheet_part *);
	/* Entries of the part's kinds that the page made so far speaks of. */

/* handout_json.c */
void handout_json(struct handout *);

#endif
