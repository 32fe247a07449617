/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What the completion scripts of shells take from the tables of commands and
 * options, in the language of each shell.
 *
 * Each prints one part, @tables@; the build puts it where the script under
 * docs/completion has that line. The scripts hold the workings of a shell, the
 * part all the words. Names of the knowledge are asked for as they are needed
 * (names.c), so that they are those of the database in use.
 */
#include "command/command_impl.h"

#include <string.h>

bool
commas_next(const char **list, strview *out)
{
	const char *p = *list;
	size_t n;

	if (p == NULL || *p == '\0')
		return false;
	n = strcspn(p, ",");
	*out = (strview){p, n};
	*list = p + n + (p[n] == ',');
	return true;
}

/* The names of LIST, a blank before each. */
static void
words(struct buf *b, const char *list)
{
	strview w;

	while (commas_next(&list, &w)) {
		buf_char(b, ' ');
		buf_add(b, w.p, w.n);
	}
}

static bool
has_option(const struct command *c, const struct option_row *o)
{
	return o->common || (c->options != NULL && strchr(c->options, o->letter) != NULL);
}

/* Text inside the quotes of a shell: a backslash before each letter of ESCAPE,
 * and QUOTE for the quote itself. */
static void
quoted(struct buf *b, const char *text, const char *escape, const char *quote)
{
	for (; *text != '\0'; text++) {
		if (*text == '\'') {
			buf_str(b, quote);
			continue;
		}
		if (strchr(escape, *text) != NULL)
			buf_char(b, '\\');
		buf_char(b, *text);
	}
}

/* ---- bash: four functions that answer with words ---------------------------------- */

static void
bash_option_words(struct buf *b, const struct option_row *o, const char *between)
{
	if (o->is_short)
		buf_print(b, "-%c%s", o->letter, between);
	buf_print(b, "--%s", o->name);
}

static void
bash(struct buf *b)
{
	buf_str(b, "_bodkin_commands='");
	for (const struct command *c = commands; c->name != NULL; c++)
		buf_print(b, "%s%s", c == commands ? "" : " ", c->name);
	buf_str(b, "'\n\n# COMMAND: its options\n_bodkin_options() {\n\tcase $1 in\n");
	for (const struct command *c = commands; c->name != NULL; c++) {
		if (c->options == NULL)
			continue;
		buf_print(b, "\t%s) echo", c->name);
		for (const struct option_row *o = options; o->name != NULL; o++) {
			if (o->common || !has_option(c, o))
				continue;
			buf_char(b, ' ');
			bash_option_words(b, o, " ");
		}
		buf_str(b, " ;;\n");
	}
	buf_str(b, "\tesac\n\techo");
	for (const struct option_row *o = options; o->name != NULL; o++) {
		if (!o->common)
			continue;
		buf_char(b, ' ');
		bash_option_words(b, o, " ");
	}
	buf_str(b, "\n}\n\n# OPTION: what follows it; fails where nothing does\n"
	    "_bodkin_follows() {\n\tcase $1 in\n");
	for (const struct option_row *o = options; o->name != NULL; o++) {
		if (o->arg == NULL)
			continue;
		buf_char(b, '\t');
		bash_option_words(b, o, "|");
		buf_print(b, ") echo %s", o->among != NULL ? "among" : completes_names[o->completes]);
		words(b, o->among);
		buf_str(b, " ;;\n");
	}
	buf_str(b, "\t*) return 1 ;;\n\tesac\n}\n\n# COMMAND: what its arguments are\n"
	    "_bodkin_completes() {\n\tcase $1 in\n");
	for (const struct command *c = commands; c->name != NULL; c++) {
		buf_print(b, "\t%s) echo %s", c->name, completes_names[c->completes]);
		words(b, c->among);
		buf_str(b, " ;;\n");
	}
	buf_str(b, "\tesac\n}\n\n# COMMAND: the stages it can print\n_bodkin_stages() {\n\tcase $1 in\n");
	for (const struct command *c = commands; c->name != NULL; c++) {
		if (c->stages == NULL || *c->stages == '\0')
			continue;
		buf_print(b, "\t%s) echo", c->name);
		words(b, c->stages);
		buf_str(b, " ;;\n");
	}
	buf_str(b, "\tesac\n}\n");
}

/* ---- zsh: specifications of _arguments --------------------------------------------- */

/* What completes an argument; HOW: the function that asks for names. */
static void
zsh_action(struct buf *b, enum completes what, const char *among, const char *stages,
    const char *how)
{
	switch (what) {
	case COMPLETES_FILES:
		buf_str(b, "_files");
		return;
	case COMPLETES_STAGES:
		buf_str(b, " _bodkin_stages");
		words(b, stages);
		return;
	case COMPLETES_COMMANDS:
		buf_str(b, "_bodkin_command");
		return;
	case COMPLETES_NOTHING:
		if (among != NULL) {
			buf_str(b, "compadd -");
			words(b, among);
		} else {
			buf_char(b, ' ');
		}
		return;
	case COMPLETES_ENTRIES: case COMPLETES_RULES: case COMPLETES_KINDS: case COMPLETES_FORMULAS:
	case COMPLETES_SETTINGS: case COMPLETES_SHEETS: case COMPLETES_MEASURES:
	case COMPLETES_REGIONS: case COMPLETES__COUNT:
		break;
	}
	buf_print(b, " %s %s", how, completes_names[what]);    /* the blank: nothing is put between */
	words(b, among);
}

static void
zsh_option(struct buf *b, const struct option_row *o, const char *stages, bool is_short)
{
	buf_str(b, "\t\t'");
	if (o->is_short)
		buf_print(b, "(-%c --%s)", o->letter, o->name);
	if (is_short)
		buf_print(b, "-%c%s[", o->letter, o->arg != NULL ? "+" : "");
	else
		buf_print(b, "--%s%s[", o->name, o->arg != NULL ? "=" : "");
	quoted(b, o->help, "[]\\", "'\\''");
	buf_char(b, ']');
	if (o->arg != NULL) {
		buf_print(b, ":%s:", o->arg);
		zsh_action(b, o->completes, o->among, stages, "_bodkin_value");
	}
	buf_str(b, "'\n");
}

static void
zsh_options(struct buf *b, const struct command *c)
{
	for (const struct option_row *o = options; o->name != NULL; o++) {
		if (c == NULL ? !o->common : !has_option(c, o))
			continue;
		if (o->is_short)
			zsh_option(b, o, c != NULL ? c->stages : NULL, true);
		zsh_option(b, o, c != NULL ? c->stages : NULL, false);
	}
}

static void
zsh(struct buf *b)
{
	buf_str(b, "_bodkin_command() {\n\tlocal -a known=(\n");
	for (const struct command *c = commands; c->name != NULL; c++) {
		buf_print(b, "\t\t'%s:", c->name);
		quoted(b, c->help, "\\", "'\\''");
		buf_str(b, "'\n");
	}
	buf_str(b, "\t)\n\t_describe -t commands command known\n}\n\n"
	    "# COMMAND: leaves its specifications in $specs\n_bodkin_specs() {\n\tcase $1 in\n");
	for (const struct command *c = commands; c->name != NULL; c++) {
		buf_print(b, "\t%s) specs=(\n", c->name);
		zsh_options(b, c);
		buf_str(b, "\t\t'*:::");
		quoted(b, *c->args != '\0' ? c->args : " ", ":\\", "'\\''");
		buf_char(b, ':');
		zsh_action(b, c->completes, c->among, c->stages, "_bodkin_names");
		buf_str(b, "'\n\t) ;;\n");
	}
	buf_str(b, "\t*) specs=(\n");
	zsh_options(b, NULL);
	buf_str(b, "\t) ;;\n\tesac\n}\n");
}

/* ---- fish: one call of complete for each option and argument ------------------------ */

static void
fish_action(struct buf *b, enum completes what, const char *among, const char *stages)
{
	switch (what) {
	case COMPLETES_FILES:
		buf_str(b, " -F");
		return;
	case COMPLETES_STAGES:
		buf_str(b, " -a '");
		words(b, stages);
		buf_char(b, '\'');
		return;
	case COMPLETES_COMMANDS:
		buf_str(b, " -a \"$__bodkin_commands\"");
		return;
	case COMPLETES_NOTHING:
		if (among == NULL)
			return;
		buf_str(b, " -a '");
		break;
	case COMPLETES_ENTRIES: case COMPLETES_RULES: case COMPLETES_KINDS: case COMPLETES_FORMULAS:
	case COMPLETES_SETTINGS: case COMPLETES_SHEETS: case COMPLETES_MEASURES:
	case COMPLETES_REGIONS: case COMPLETES__COUNT:
		buf_print(b, " -a '(__bodkin_names %s)", completes_names[what]);
	}
	words(b, among);
	buf_char(b, '\'');
}

static void
fish_option(struct buf *b, const struct option_row *o, const struct command *c)
{
	buf_str(b, "complete -c bodkin");
	if (c != NULL)
		buf_print(b, " -n '__bodkin_in %s'", c->name);
	if (o->is_short)
		buf_print(b, " -s %c", o->letter);
	buf_print(b, " -l %s", o->name);
	if (o->arg != NULL) {
		buf_str(b, o->completes == COMPLETES_FILES ? " -r" : " -x");
		fish_action(b, o->completes, o->among, c != NULL ? c->stages : NULL);
	}
	buf_str(b, " -d '");
	quoted(b, o->help, "\\", "\\'");
	buf_str(b, "'\n");
}

static void
fish(struct buf *b)
{
	buf_str(b, "set -g __bodkin_commands");
	for (const struct command *c = commands; c->name != NULL; c++)
		buf_print(b, " %s", c->name);
	buf_str(b, "\nset -g __bodkin_takes");
	for (const struct option_row *o = options; o->name != NULL; o++) {
		if (o->arg == NULL)
			continue;
		buf_char(b, ' ');
		bash_option_words(b, o, " ");
	}
	buf_str(b, "\n\n");
	for (const struct option_row *o = options; o->name != NULL; o++)
		if (o->common && o->completes != COMPLETES_STAGES)
			fish_option(b, o, NULL);
	for (const struct command *c = commands; c->name != NULL; c++) {
		buf_print(b, "\ncomplete -c bodkin -n '__bodkin_in \"\"' -a %s -d '", c->name);
		quoted(b, c->help, "\\", "\\'");
		buf_str(b, "'\n");
		for (const struct option_row *o = options; o->name != NULL; o++)
			if (has_option(c, o) && (!o->common || o->completes == COMPLETES_STAGES))
				fish_option(b, o, c);
		if (c->completes == COMPLETES_NOTHING && c->among == NULL)
			continue;
		buf_print(b, "complete -c bodkin -n '__bodkin_in %s'", c->name);
		fish_action(b, c->completes, c->among, c->stages);
		buf_char(b, '\n');
	}
}

void
shell_print(struct run *r, const char *shell)
{
	static const struct { const char *name; void (*print)(struct buf *); } shells[] = {
		{"bash", bash}, {"zsh", zsh}, {"fish", fish},
	};

	buf_str(&r->out, "@tables@\n");
	for (size_t i = 0; i < sizeof shells / sizeof *shells; i++)
		if (strcmp(shells[i].name, shell) == 0)
			shells[i].print(&r->out);
}
