/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * exam: cases with known answers put to the program, and counted.
 *
 * A case is a row of a spreadsheet in a folder named by the caller; without
 * one the rows of tests/exam/demo are used.  The rooms of the program are
 * linked in and called as the commands call them, so that an exam of hundreds
 * of rows takes seconds.  Nothing here knows a trade word: what an answer is
 * called is looked up in the program's own names, and what ties a sheet's
 * words to ours stands in small sheets beside this file.
 */
#ifndef BODKIN_EXAM_H
#define BODKIN_EXAM_H

#include "advise/advise.h"

/* ---- sheets (csv.c) --------------------------------------------------- */

struct sheet {                             /* a spreadsheet with a line of headings */
	const char *const *heads;
	uint32_t n_heads;
	const char *const *cells;          /* n_rows * n_heads; a short row is filled with "" */
	uint32_t n_rows;
};
bool sheet_parse(struct arena *, strview text, struct sheet *, const char **why);
	/* Commas, quotes doubled inside quotes, line ends of either sort; WHY
	 * says what is wrong (an open quote, a row too long, no headings). */
bool csv_rows_read(struct arena *, const char *folder, const char *file, struct sheet *,
    const char **why);
const char *sheet_cell(const struct sheet *, uint32_t row, const char *head);
	/* "" where the sheet has no such column. */
struct list { const char **item; uint32_t n; };
struct list list_split(struct arena *, const char *text, char at);
	/* Parts with the blanks taken off both ends; empty ones are left out. */

/* ---- stems (stem.c) ---------------------------------------------------- */

struct stemmer;                            /* the English stemmer of the database library */
struct stemmer *stemmer_new(void);
void stemmer_free(struct stemmer *);
struct list stems_of(struct stemmer *, strview text);
	/* The words of a text: lower case, stemmed, each once, in bytewise order;
	 * they live as long as the stemmer. */
bool stems_equal(struct list, struct list);

/* ---- the exam ----------------------------------------------------------- */

struct exam {
	const char *folder, *home;         /* of the cases; of this room's own sheets */
	struct knowledge *kb;
	const struct craft *c;
	struct stemmer *stemmer;
	struct arena *arena;               /* whole run */
	struct arena *row;                 /* one row: reset before each */
	struct sheet families, units;
};
bool exam_open(struct exam *, const char *home, struct knowledge *, const char **why);
void exam_close(struct exam *);            /* not the knowledge */
bool exam_sheet(struct exam *, const char *file, struct sheet *);
	/* A sheet of the folder. False, having said so on a line of its own, when
	 * it is not there or cannot be read. */
int unit_written(const struct exam *, const char *written, dimension);
	/* The unit so written of that dimension, or -1; units.csv has the ways
	 * of writing that are no unit's own. */

/* ---- matching (match.c) --------------------------------------------------- */

enum answer_is { ANSWER_NONE, ANSWER_ENTRY, ANSWER_WORD, ANSWER_NUMBER };
struct answer {
	enum answer_is is;
	uint32_t entry;                    /* ANSWER_ENTRY */
	uint32_t set, word;                /* ANSWER_WORD: number within the set */
	range number;                      /* ANSWER_NUMBER: base units */
	dimension dim;
	uint32_t property;                 /* ANSWER_NUMBER: whose it is, or NONE */
};
uint32_t answers_of(const struct exam *, uint32_t property, const value *, struct answer *,
    uint32_t max);
	/* The value of a property as answers: one, or one for each word that a
	 * set still holds. 0 when nothing is known. */
bool match_phrase(struct exam *, const struct answer *, const char *phrase);
	/* Does the phrase name the answer, or a broader kind of it that is no
	 * root? Never a part of a word. Of a number: a phrase that says a value
	 * of its property, or is one written out, holding all of the answer. */
bool match_expected(struct exam *, const struct answer *, const char *phrases);
	/* One of several, parted by "|". */
bool match_number(const struct exam *, const struct answer *, const char *min, const char *max,
    const char *unit);
bool match_entry_named(struct exam *, uint32_t entry, const char *phrase);
	/* The very entry, by any of its names. */
uint32_t entries_named(const struct exam *, const char *phrase, uint32_t *out, uint32_t max);
	/* All entries of that name, exact or inflected. */
bool touches(const struct exam *, const char *setting, const char *other);
	/* The same, or one of its family; families.csv. */
void answer_print(struct buf *, const struct exam *, const struct answer *, uint32_t property);

/* ---- counting (count.c) ---------------------------------------------------- */

struct tally { const char *part; uint32_t right, of; };
void tally_print(const struct tally *);            /* "exam PART 162/175 92.6 %" */
void control_print(const struct tally *);          /* the same, "exam-control PART ..." */
void control_mean(const char *part, const uint32_t *n, uint32_t of);
	/* "exam-control PART 53/40 mean 1.33, 90th percentile 3" */
void not_offered(const char *part);
void fell_short(const struct exam *, const char *part, const char *id, const char *fmt, ...)
    __attribute__((format(printf, 4, 5)));

/* ---- one row judged (judged.c) ----------------------------------------------- */

struct judged {
	struct project *project;           /* NULL: the words could not be read */
	struct model *model;
	struct advised *advised;
	struct judgement *judgement;
};
bool judge_words(struct exam *, const char *words, struct judged *);
	/* As `check --words`; in the arena of the row. */
uint32_t findings_touching(const struct exam *, const struct judged *, const char *setting);
	/* Failing, grave or doubtful; setting NULL: any but safety cautions. */
void findings_list(struct buf *, const struct exam *, const struct judged *);      /* rule ids */
void unread_list(struct buf *, const struct judged *);     /* "; not used: ..." or nothing */
uint32_t undecided_shown(const struct judged *);   /* as many as a page shows unasked */

/* ---- the parts ----------------------------------------------------------------- */

void part_pairings(struct exam *);
void part_words(struct exam *, const struct sheet *pairings);
void part_twins(struct exam *, const struct sheet *pairings);
void part_questions(struct exam *);
void part_faults(struct exam *);
void part_vocabulary(struct exam *);
void part_order(struct exam *);          /* after projects/features */
void part_projects(struct exam *);
void part_lists(struct exam *);
void part_values(struct exam *);

#endif
