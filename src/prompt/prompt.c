/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The line loop: what a line means, and who answers it.
 *
 * A line that begins with a word of the table is a command; every other line
 * describes the project or changes it.  Nothing typed ends the conversation
 * but quit and the end of input.
 */
#include "prompt/prompt_impl.h"

#include <stdlib.h>
#include <string.h>

/* To add a word: a row here and its case in own_command(). */
enum own { OWN_WHY, OWN_SETTINGS, OWN_SHOW, OWN_WHAT_IF, OWN_UNDO, OWN_REDO, OWN_CHECK, OWN_NEW,
	OWN_OPEN, OWN_SAVE, OWN_HELP, OWN_QUIT, OWN__COUNT };

const struct word_command word_commands[] = {
	[OWN_WHY] = {"why", "[NUMBER | RULE]", "explain a finding, or a rule by its name"},
	[OWN_SETTINGS] = {"settings", "", "the settings, place by place"},
	[OWN_SHOW] = {"show", "[NAME]", "the whole report, or one entry"},
	[OWN_WHAT_IF] = {"what if", "WORDS", "try a change without keeping it"},
	[OWN_UNDO] = {"undo", "", "take the last change back"},
	[OWN_REDO] = {"redo", "", "do it again"},
	[OWN_CHECK] = {"check", "[FILE]",
	    "read a project; without a file its lines follow, then one with a full stop"},
	[OWN_NEW] = {"new", "", "begin another project"},
	[OWN_OPEN] = {"open", "FILE", "read a project"},
	[OWN_SAVE] = {"save", "FILE [over]", "write the project; over replaces a file"},
	[OWN_HELP] = {"help", "[COMMAND]", "this list"},
	[OWN_QUIT] = {"quit", "", "leave"},
	[OWN__COUNT] = {NULL, NULL, NULL},
};

struct loop {
	struct talk talk;
	struct lines *lines;
	struct arena *arena;               /* of the line being answered */
	bool warned;                       /* about leaving without saving */
	bool done;
};

/* ---- help -------------------------------------------------------------------- */

static void
help(struct loop *l)
{
	struct run r;

	run_begin(&r, l->talk.ask, l->arena, l->talk.kb);
	page_add(r.page, BLOCK_PARAGRAPH, NULL, SAY(&r, "prompt.help"));
	for (const struct word_command *w = word_commands; w->name != NULL; w++)
		page_add(r.page, BLOCK_PAIR, arena_print(l->arena, "%s%s%s", w->name,
		    *w->args != '\0' ? " " : "", w->args), w->help);
	for (const struct command *c = commands; c->name != NULL; c++)
		if (c->at_prompt && strcmp(c->name, "show") != 0)
			page_add(r.page, BLOCK_PAIR, arena_print(l->arena, "%s %s", c->name, c->args),
			    c->help);
	run_print(&r);
	run_end(&r);
}

/* ---- commands of the shell ------------------------------------------------------ */

/* Words of a line; one that begins with a quote goes to the closing one, so
 * that an inch mark inside a word stays what it is. */
static int
split(struct loop *l, const char *line, char **argv, int most)
{
	int n = 0;

	while (*line != '\0' && n < most) {
		char end = *line == '"' || *line == '\'' ? *line : ' ';
		size_t k;

		if (*line == ' ' || *line == '\t') {
			line++;
			continue;
		}
		line += end != ' ';
		for (k = 0; line[k] != '\0' && line[k] != end; k++)
			;
		argv[n++] = arena_text(l->arena, line, k);
		line += k + (line[k] != '\0');
	}
	argv[n] = NULL;
	return n;
}

static void
shell_command(struct loop *l, const char *line)
{
	enum { MOST = 64 };
	char *argv[MOST + 2];
	struct request ask;
	int n;

	argv[0] = arena_text(l->arena, "bodkin", 6);
	n = split(l, line, argv + 1, MOST);
	if (!request_read(&ask, l->arena, n + 1, argv) || ask.command == NULL)
		return;
	ask.kb = l->talk.ask->kb;
	ask.program = l->talk.ask->program;
	if (ask.width < 0)
		ask.width = l->talk.ask->width;
	ask.colour = l->talk.ask->colour;
	ask.ascii = ask.ascii || l->talk.ask->ascii;
	ask.talked = talk_project(&l->talk);
	command_run(&ask, l->talk.kb);
}

/* ---- commands of the conversation -------------------------------------------------- */

/* A block of lines, ended by a full stop alone or the end of input. */
static void
block(struct loop *l)
{
	struct buf b = {0};
	enum line_got got;
	char *text;

	while ((got = line_read(l->lines, "...> ", &text)) == LINE_TEXT) {
		bool end = strcmp(text, ".") == 0;

		if (!end) {
			buf_str(&b, text);
			buf_char(&b, '\n');
		}
		free(text);
		if (end)
			break;
	}
	if (got != LINE_DROPPED && b.n > 0)
		talk_block(&l->talk, b.p);
	buf_free(&b);
}

static void
quit(struct loop *l)
{
	if (lines_terminal(l->lines) && talk_unsaved(&l->talk) && !l->warned) {
		l->warned = true;
		talk_say(&l->talk, "prompt.not-saved");
		return;
	}
	l->done = true;
}

static void
own_command(struct loop *l, enum own which, const char *rest, const char *line)
{
	switch (which) {
	case OWN_WHY: talk_why(&l->talk, rest); break;
	case OWN_SETTINGS: talk_settings(&l->talk); break;
	case OWN_SHOW:
		if (*rest == '\0')
			talk_show(&l->talk);
		else
			shell_command(l, line);
		break;
	case OWN_WHAT_IF:
		if (*rest == '\0')
			talk_say(&l->talk, "prompt.what-if-what");
		else
			talk_what_if(&l->talk, rest);
		break;
	case OWN_UNDO: talk_undo(&l->talk); break;
	case OWN_REDO: talk_redo(&l->talk); break;
	case OWN_CHECK:
		if (*rest == '\0')
			block(l);
		else
			talk_open(&l->talk, rest);
		break;
	case OWN_NEW: talk_new(&l->talk); break;
	case OWN_OPEN: case OWN_SAVE:
		if (*rest == '\0')
			talk_say(&l->talk, "prompt.which-file");
		else if (which == OWN_OPEN)
			talk_open(&l->talk, rest);
		else
			talk_save(&l->talk, rest);
		break;
	case OWN_HELP:
		if (*rest == '\0')
			help(l);
		else
			shell_command(l, line);
		break;
	case OWN_QUIT: quit(l); break;
	case OWN__COUNT: break;
	}
}

/* ---- a line ---------------------------------------------------------------------- */

/* Does LINE begin with the word or words of NAME?  *rest: what follows. */
static bool
starts(const char *line, const char *name, const char **rest)
{
	size_t n = strlen(name);

	if (strncmp(line, name, n) != 0 || (line[n] != '\0' && line[n] != ' '))
		return false;
	while (line[n] == ' ')
		n++;
	*rest = line + n;
	return true;
}

/* Words that take nothing are commands only when they stand alone: `new` is
 * one, `new linen` is not. */
static bool
meant(enum own which, const char *rest)
{
	return *rest == '\0' || *word_commands[which].args != '\0';
}

static void
answer(struct loop *l, const char *line)
{
	const char *rest;

	if (strcmp(line, "exit") == 0 || strcmp(line, "bye") == 0) {
		quit(l);
		return;
	}
	for (size_t i = 0; i < OWN__COUNT; i++) {
		if (starts(line, word_commands[i].name, &rest) && meant((enum own)i, rest)) {
			own_command(l, (enum own)i, rest, line);
			return;
		}
	}
	for (const struct command *c = commands; c->name != NULL; c++) {
		if (c->at_prompt && starts(line, c->name, &rest)) {
			shell_command(l, line);
			return;
		}
	}
	talk_words(&l->talk, line);
}

/* One line, joined with those after it while a backslash ends it. */
static enum line_got
whole_line(struct loop *l, struct buf *b)
{
	const char *shown = "bodkin> ";
	enum line_got got;
	bool more = true;
	char *text;

	buf_clear(b);
	while (more && (got = line_read(l->lines, shown, &text)) == LINE_TEXT) {
		size_t n = strlen(text);

		more = n > 0 && text[n - 1] == '\\';
		buf_add(b, text, more ? n - 1 : n);
		free(text);
		shown = "...> ";
	}
	if (more && got == LINE_END && b->n > 0)
		return LINE_TEXT;
	return more ? got : LINE_TEXT;
}

static void
welcome(struct loop *l)
{
	printf("bodkin %s, knowledge %s\n", bodkin_version, kb_version(l->talk.kb));
	talk_say(&l->talk, "prompt.welcome");
}

int
prompt_run(const struct request *ask)
{
	struct loop l = {.talk = {.ask = ask}, .arena = arena_new()};
	struct buf line = {0};
	struct run opening;
	enum line_got got;

	run_begin(&opening, ask, l.arena, NULL);
	if (!run_knowledge(&opening)) {
		run_end(&opening);
		arena_free(l.arena);
		return EXIT_NOT_RUN;
	}
	l.talk.kb = opening.kb;
	l.arena = arena_new();
	l.lines = lines_open(ask, opening.craft);
	if (lines_terminal(l.lines))
		welcome(&l);
	while (!l.done && (got = whole_line(&l, &line)) != LINE_END) {
		strview t = sv_trim((strview){line.p != NULL ? line.p : "", line.n});

		if (got == LINE_TEXT && t.n > 0) {
			bool before = l.warned;

			answer(&l, arena_text(l.arena, t.p, t.n));
			l.warned = l.warned && !before;
		}
		arena_reset(l.arena);
	}
	if (lines_terminal(l.lines))
		talk_say(&l.talk, "prompt.goodbye");
	lines_close(l.lines);
	talk_close(&l.talk);
	buf_free(&line);
	arena_free(l.arena);
	run_end(&opening);
	kb_close(opening.kb);
	arena_free(opening.arena);
	return EXIT_SOUND;
}
