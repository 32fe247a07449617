/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Shared between the files of this room only.
 */
#ifndef BODKIN_PROMPT_IMPL_H
#define BODKIN_PROMPT_IMPL_H

#include "prompt/prompt.h"

/* ---- lines (line.c): the only file that knows readline --------------------- */

enum line_got { LINE_TEXT, LINE_DROPPED, LINE_END };     /* dropped: Ctrl-C */

struct lines;
struct lines *lines_open(const struct request *, const struct craft *);
void lines_close(struct lines *);
bool lines_terminal(const struct lines *);
enum line_got line_read(struct lines *, const char *shown, char **text);
	/* TEXT: heap, the caller's to free; no line end. */

/* ---- completion (complete.c) ------------------------------------------------- */

char **complete_line(const struct craft *, const char *line, int start, int end);
	/* For readline: heap array ended by NULL, the common beginning first;
	 * NULL for none. START..END is the last word of LINE. */

bool complete_files(const char *line);     /* a file is named here: readline knows those */

/* ---- what is talked about (talk.c) -------------------------------------------- */

struct version {                           /* one state of the project */
	struct arena *arena;
	struct project *project;
	const char *by;                    /* words that led here */
};
struct talk {
	const struct request *ask;
	struct knowledge *kb;
	struct version *versions;          /* heap; freed by talk_close */
	size_t n, cap, at;                 /* at: versions in force; those behind can be redone */
	size_t saved;                      /* value of AT when last saved or opened */
};
void talk_close(struct talk *);
struct project *talk_project(const struct talk *);       /* NULL: none yet */

/* Each answers on standard output. */
void talk_words(struct talk *, const char *words);       /* describe, change or ask */
void talk_block(struct talk *, const char *text);        /* a whole project, words or YAML */
void talk_what_if(struct talk *, const char *words);
void talk_settings(struct talk *);
void talk_show(struct talk *);
void talk_why(struct talk *, const char *which);
void talk_undo(struct talk *);
void talk_redo(struct talk *);
void talk_new(struct talk *);
void talk_open(struct talk *, const char *path);
void talk_save(struct talk *, const char *path);
bool talk_unsaved(const struct talk *);
void talk_say(struct talk *, const char *id);            /* one message */

/* ---- what can be typed (prompt.c) ----------------------------------------------- */

struct word_command {                      /* besides the commands of the shell */
	const char *name, *args, *help;
};
extern const struct word_command word_commands[];        /* ended by a row without name */

#endif
