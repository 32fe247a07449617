/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * command: what can be asked of the program, and how the answers are laid out.
 *
 * One table of commands and one of options serve the shell, the prompt, the
 * help and completion.  A command asks the rooms below for results and composes
 * them twice: as a page for people, and as JSON for programs.
 */
#ifndef BODKIN_COMMAND_H
#define BODKIN_COMMAND_H

#include "advise/advise.h"
#include "present/present.h"

extern const char bodkin_version[];

/* ---- what was asked ------------------------------------------------------- */

enum colour_wish { COLOUR_AUTO, COLOUR_ALWAYS, COLOUR_NEVER };

struct project;

struct request {
	const struct command *command;     /* NULL: none named, the prompt is meant */
	const char *const *args;           /* after the command's name */
	int n_args;
	const char *kb;                    /* --kb; NULL: the usual places */
	const char *copy;                  /* of a list, checked */
	const char *every, *round;         /* steps of a table, and what it rounds to */
	bool table;
	const char *words, *setting, *out, *kind, *with, *tried, *copies;
	const char *cloths, *where, *sheet, *blank, *key, *measures, *country, *title, *class_line;
	int most;                          /* as many at most; 0: as many as is usual */
	bool seams, instructions;          /* order: the seam plan; the sheet of instructions */
	const char *stages;                /* -d: names parted by commas, or NULL */
	bool json, brief, strict, all, ascii, help, version;
	bool lines;                        /* one finding a line, for editors */
	bool without_own;                  /* leave the user's own knowledge out */
	enum colour_wish colour;
	int width;                         /* -1: as wide as the terminal */
	enum paper paper;
	bool large;                        /* large print */
	int jobs;                          /* worker processes; 0: as many as there are cores */
	const char *program;               /* argv[0], to look for the database beside it */
	struct project *talked;            /* at the prompt: what is talked about; taken where no
	                                    * other project is named. NULL: none */
};

bool request_read(struct request *, struct arena *, int argc, char **argv);
	/* False with a message on stderr when the call is not understood. */

/* ---- the tables ----------------------------------------------------------- */

struct run;
enum completes { COMPLETES_NOTHING, COMPLETES_FILES, COMPLETES_ENTRIES, COMPLETES_RULES,
	COMPLETES_KINDS, COMPLETES_FORMULAS, COMPLETES_SETTINGS, COMPLETES_COMMANDS,
	COMPLETES_STAGES, COMPLETES_SHEETS, COMPLETES_MEASURES, COMPLETES_REGIONS, COMPLETES__COUNT };

struct command {
	const char *name, *args, *help;
	const char *options;               /* letters of the options it takes besides the common ones */
	const char *stages;                /* -d: the stages it can print */
	int (*run)(struct run *);
	enum completes completes;          /* what its arguments are */
	const char *among;                 /* and words that may stand there too, or NULL */
	bool at_prompt;                    /* may be typed at the prompt as it is */
};
extern const struct command commands[];    /* ended by a row without name */
const struct command *command_find(strview name);

struct option_row {
	char letter;                       /* also the short option where .is_short */
	bool is_short, common;
	const char *name, *arg, *help;
	enum completes completes;          /* what its argument is */
	const char *among;                 /* or the words it is one of, commas between; else NULL */
};
extern const struct option_row options[];  /* ended by a row without name */

void names_each(const struct craft *, enum completes, void (*take)(void *, const char *), void *);
	/* Everything the knowledge holds of that sort, as it is written; nothing
	 * for what is no matter of knowledge. One name may come more than once. */

/* ---- running one ---------------------------------------------------------- */

/* The user's own knowledge, and what came of laying it over the shipped. */
struct own_state {
	enum { LAYER_NONE, LAYER_LAID, LAYER_FAULTY } is;
	struct own_folder folder;          /* .path NULL: none is looked at */
	const char *shipped;               /* the database below */
	size_t errors;
	bool uncached;                     /* could not be kept for the next start */
};

struct run {
	const struct request *ask;
	struct arena *arena;
	struct knowledge *kb;              /* NULL until run_knowledge */
	struct own_state own;
	const struct craft *craft;
	struct page *page;                 /* what people get */
	struct buf out;                    /* printed instead of the page when not empty */
	struct diags diags;                /* printed on stderr */
	struct buf saying;                 /* a message being put together */
	uint32_t *cited, n_cited, cap_cited;       /* sources in the order they were numbered */
};
int command_run(const struct request *, struct knowledge *);
	/* Runs the command, prints its answer, returns the exit status. With a
	 * knowledge handle of the caller's that one is used, else one is opened. */
void run_begin(struct run *, const struct request *, struct arena *, struct knowledge *);
bool run_knowledge(struct run *);          /* false with a message on stderr */
bool run_print(struct run *);
	/* Diagnostics on stderr, the answer on stdout or in the file asked for;
	 * false with a message when that cannot be written. */
void run_end(struct run *);                /* closes what run_knowledge opened; not the arena */
struct look look_for(const struct request *, int fd);
char *knowledge_path(struct arena *, const struct request *);
	/* Of the shipped database, or the one that was named. */
struct knowledge *knowledge_open(struct arena *, const struct request *, struct own_state *,
    bool quiet, const char **why);
	/* With the user's own laid over it where there is any; NULL: why. What is
	 * wrong in it is told on stderr unless QUIET, and the shipped one returned. */
char *own_path(struct arena *);            /* the user's folder, or NULL: there is none */
bool own_make_folder(char *path);          /* with all above it; false: it cannot be made */

/* A message of kb/ by its id, then slot and value in turn: a text in the
 * run's arena. */
const char *say_end(struct run *);
#define SAY(r, ...) \
	(user_message(&(r)->saying, (r)->craft, __VA_ARGS__, (const char *)NULL), say_end(r))

/* ---- parts of pages the prompt shows too ----------------------------------- */

struct checked {                           /* everything known about one project */
	struct project *project;
	struct model *model;
	struct advised *advised;
	struct judgement *judgement;
};
bool check_project(struct run *, struct project *, struct checked *);
	/* Expanded, advised and judged; false with diagnostics. */
void check_page(struct run *, const struct checked *);
void check_understood(struct run *, const struct checked *);
void check_notes(struct run *, const struct checked *);     /* words not used, notes */
void check_short(struct run *, const struct checked *, const struct checked *before);
	/* A few lines; with BEFORE, what has changed since. */
void check_settings(struct run *, const struct checked *);
bool check_answer(struct run *, const struct checked *, uint32_t setting);
	/* One setting; false when it applies nowhere in the project. */
bool check_reason(struct run *, const struct checked *, uint32_t nth);
	/* Finding or question NTH, as numbered on the page, with everything it
	 * rests on; false: no such. */
void check_sources(struct run *);          /* those numbered so far */
bool rule_page(struct run *, strview id);  /* a rule or a piece of advice; false: no such */

#endif
