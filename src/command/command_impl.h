/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Shared between the files of this room only.
 */
#ifndef BODKIN_COMMAND_IMPL_H
#define BODKIN_COMMAND_IMPL_H

#include "command/command.h"

/* One function a command, in the file of its name. */
int command_check(struct run *);
int command_show(struct run *);
int command_find_words(struct run *);
int command_why(struct run *);
int command_list(struct run *);
int command_convert(struct run *);
int command_work_out(struct run *);
int command_suit(struct run *);
int command_order(struct run *);
int command_sizes(struct run *);
int command_handout(struct run *);
int command_amounts(struct run *);
int command_estimate(struct run *);
int command_proof(struct run *);
int command_trouble(struct run *);
int command_batch(struct run *);
int command_own(struct run *);
int command_compile(struct run *);
int command_audit(struct run *);
int command_help(struct run *);
int command_version(struct run *);

int usage(const struct run *, const char *fmt, ...) __attribute__((format(printf, 2, 3)));
	/* Message on stderr with the way to the help; returns EXIT_NOT_RUN. */
const char *joined_args(struct run *, int from);     /* arguments with blanks between */
bool wants_stage(const struct request *, const char *stage);
bool stages_known(struct run *);           /* false with a message */

/* ---- a report as a file (report.c) ---------------------------------------------- */

enum report_kind { REPORT_NONE, REPORT_HTML, REPORT_PDF, REPORT_TEXT, REPORT_JSON };
enum report_kind report_kind(const char *path);      /* by the ending of the name */
bool report_allowed(struct run *, const char *path);
	/* False with a message: an ending without a kind, a file that is read. Ask
	 * before anything is worked out. */
bool report_write(struct run *, struct page *, const char *path);
	/* The page in the form the ending names, on the paper that was asked for;
	 * tells language, foot and title where the composer did not. The file is
	 * replaced at once or not at all. False with a message. run_print() does
	 * this with the run's own page for --output; a command calls it for a
	 * second file. */
bool command_reports(const struct command *);        /* composes a page that can go to a file */
strview own_folder(struct arena *, const char *program);

/* ---- drawings -------------------------------------------------------------------- */

struct drawing *section_drawing(struct run *, const char *name, strview marks);
	/* Of an entry's text `section`, a mark a line; NULL where it is none. */
struct drawing *shape_drawing(struct run *, const char *name, strview marks);
	/* The same of its text `shape`. */

/* ---- what help prints for the build and for shells ----------------------------- */

struct word_row { const char *name, *help; };
extern const struct word_row environment[], exit_statuses[];   /* ended by a row without name */

enum { EXAMPLES_MOST = 4 };
const char *example_of(struct run *, const struct command *, int nth);
	/* From 1 on, as typed after the program's name; NULL: no such. */
bool commas_next(const char **list, strview *);    /* the next name of a list with commas */
void schema_print(struct run *);           /* of project files, for editors, into r->out */
void manual_print(struct run *);           /* parts of the manual page, into r->out */
void shell_print(struct run *, const char *shell); /* parts of its completion, into r->out */
int names_print(struct run *);             /* what may stand where the last argument stands */
extern const char *const completes_names[COMPLETES__COUNT];

/* ---- values and facts in words (tell.c) ------------------------------------ */

const char *run_kept(struct run *, struct buf *);    /* a copy in the arena; the buffer is freed */
struct cell value_cell(const struct craft *, uint32_t property, const value *);
const char *value_text(struct run *, const struct model *, uint32_t property, const value *);
const char *fact_text(struct run *, const struct model *, struct fact);
	/* `weight of cotton poplin` */
const char *pedigree_text(struct run *, const struct model *, uint32_t pedigree);
const char *number_text(struct run *, double x, int significant);
const char *at_text(struct run *, uint32_t property, double at);   /* one value in shown units */
const char *words_text(struct run *, uint32_t property, const uint64_t set[2]);
const char *place_text(struct run *, struct place);  /* "file:3:14", or the words quoted */
const char *excerpt_text(struct run *, struct place);    /* the line and a caret */
bool place_in_file(struct place);
struct project *project_told(struct run *, const char *usage_text);
	/* The project a command is about: its one file, the text of --words, or what is
	 * talked about at the prompt. NULL with a message: USAGE_TEXT, or what is
	 * wrong with the project; the knowledge is open after it. */
/* the text, marked as the user's */
const char *own_mark(struct run *, bool own, const char *);
const char *entry_mark(struct run *, uint32_t entry, const char *);
	/* The same for what is told of an entry, which may be refined only. */
const char *rule_name(struct run *, uint32_t rule);  /* its id, marked */
const char *own_place(struct run *, text_at file, uint32_t line);    /* "FILE:3" */
void json_own(struct json *, uint32_t own);
	/* Key "own", where it is the user's: true; "refined" for a shipped entry
	 * with values of theirs. */
uint32_t cite(struct run *, uint32_t source);        /* its number from 1; 0: has none */
const char *cite_text(struct run *, uint32_t source);    /* "[2]", or "common practice" */
const char *cites_text(struct run *, uint32_t first, uint32_t n);    /* a run of .cited */
const char *source_text(struct run *, uint32_t source);      /* title, body, year, address */
const char *degree_text(struct run *, enum degree);
enum tone degree_tone(enum degree);
extern const char *const degree_names[DEGREE__COUNT];
extern const char *const basis_names[BASIS__COUNT];
extern const char *const strength_names[STRENGTH__COUNT];

/* ---- JSON (json_parts.c) ---------------------------------------------------- */

void json_begin(struct run *, struct json *);        /* '{', schema, versions, command */
void json_end(struct run *, struct json *);
void json_value(struct run *, struct json *, const struct model *, uint32_t property,
    const value *);
void json_lines(struct json *, const char *key, strview text);     /* a list of its lines */
void json_place(struct json *, struct place);
void json_source(struct run *, struct json *, uint32_t source);
void json_sources(struct run *, struct json *);      /* key "sources": those cited so far */
void json_cited(struct run *, struct json *, uint32_t first, uint32_t n);    /* a list of ids */
void check_json(struct run *, const struct checked *);
bool suit_page(struct run *, const struct checked *);
	/* Whether the cloth suits; and which do. */
void suit_json(struct run *, const struct checked *, uint32_t setting);
void check_answer_json(struct run *, const struct checked *, uint32_t setting);

/* ---- papers made from the order of work (order_instructions.c, order_seams.c) --------- */

struct order_work;
const char *order_place(struct run *, const struct model *, uint32_t object);
	/* Where a step is done: "collar", "pocket, flap"; NULL: the thing as a whole. */
bool region_read(struct run *, uint16_t *region);
	/* What --country asks for; false with a message. */
void order_instructions(struct run *, const struct checked *, const struct order_work *,
    uint16_t region);
void order_seams(struct run *, const struct checked *, const struct order_work *);

/* ---- a checked copy of a list (check_copy.c) ---------------------------------- */

struct check_copy { struct list_remark *m; uint32_t n; size_t cap; };      /* heap */
bool check_copy_allowed(struct run *, const char *path);   /* false with a message */
void check_copy_take(struct run *, struct check_copy *, const struct checked *, struct place style);
	/* What was found of one thing of the list; STYLE: its first row. */
/* frees what was taken */
bool check_copy_write(struct run *, struct check_copy *, strview bytes);
struct place finding_place(const struct model *, const struct finding *);
	/* A value the person said before a thing they named; .src NULL: neither. */

/* ---- turning (convert.c, convert_table.c) ----------------------------------- */

struct reading;
int convert_table(struct run *, const struct reading *, int unit);
	/* A range of values in a unit, for print; the exit status. */

/* ---- sizes (sizes.c, draw.c) ------------------------------------------------ */

const char *sizes_both_text(struct run *, uint32_t property, range);
	/* In its first unit, and in fractions of an inch where it takes them. */
struct size_group;
bool sizes_drawing(struct run *, const struct model *, const struct size_group *);
	/* The drawings of a construction added to the page; false: there is none. */

/* ---- checking ---------------------------------------------------------------- */

const char *flip_text(struct run *, const struct checked *, const struct choice *);
const char *choice_reason(struct run *, const struct checked *, const struct choice *,
    uint32_t nth);
uint32_t setting_wanted(struct run *, strview name); /* or NONE, with a message */
void check_dump(struct run *, const struct checked *);

#endif
