/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The parts of the manual page that the tables know, in mdoc.
 *
 * Each part begins with a line @NAME@; the build puts it where the page under
 * docs/manual has that line. So the page can speak of no option that is not
 * there, and leave none out.
 */
#include "command/command_impl.h"

#include <string.h>

enum { LINE = 76 };                        /* source lines stay below 80 */

/* One word with nothing in it that a formatter would read as its own. */
static void
word(struct buf *b, strview w, bool begins_line)
{
	if (begins_line && w.n > 0 && (w.p[0] == '.' || w.p[0] == '\''))
		buf_str(b, "\\&");
	for (size_t i = 0; i < w.n; i++) {
		if (w.p[i] == '\\')
			buf_str(b, "\\e");
		else if (w.p[i] == '-')
			buf_str(b, "\\-");
		else
			buf_char(b, w.p[i]);
	}
}

/* Running text: lines of moderate length, a new one after each sentence. */
static void
prose(struct buf *b, const char *text)
{
	size_t column = 0;
	bool sentence = false;

	while (*text != '\0') {
		size_t n = strcspn(text, " \n");

		if (n > 0) {
			if (column > 0 && (sentence || column + 1 + n > LINE)) {
				buf_char(b, '\n');
				column = 0;
			} else if (column > 0) {
				buf_char(b, ' ');
				column++;
			}
			word(b, (strview){text, n}, column == 0);
			column += n;
			sentence = strchr(".!?", text[n - 1]) != NULL;
		}
		text += n + (text[n] != '\0');
	}
	buf_char(b, '\n');
}

/* One argument of a macro. */
static void
argument(struct buf *b, const char *text)
{
	buf_str(b, " \"");
	for (; *text != '\0'; text++) {
		if (*text == '"')
			buf_str(b, "\"\"");
		else
			word(b, (strview){text, 1}, false);
	}
	buf_char(b, '"');
}

static void
option(struct buf *b, const struct option_row *o)
{
	buf_str(b, ".It");
	if (o->is_short) {
		buf_print(b, " Fl %c", o->letter);
		if (o->arg != NULL)
			buf_print(b, " Ar %s", o->arg);
		buf_str(b, " ,");
	}
	buf_print(b, " Fl \\-%s", o->name);
	if (o->arg != NULL)
		buf_print(b, " Ar %s", o->arg);
	buf_char(b, '\n');
	prose(b, o->help);
}

static void
options_of(struct buf *b, const struct command *c)
{
	bool any = false;

	for (const struct option_row *o = options; o->name != NULL; o++) {
		if (c != NULL ? c->options == NULL || strchr(c->options, o->letter) == NULL : !o->common)
			continue;
		if (!any)
			buf_str(b, ".Bl -tag -width Ds\n");
		any = true;
		option(b, o);
	}
	if (any)
		buf_str(b, ".El\n");
}

static void
command(struct run *r, const struct command *c)
{
	struct buf *b = &r->out;
	const char *call, *stages = c->stages;
	strview stage;

	buf_print(b, ".It Ic %s", c->name);
	if (*c->args != '\0') {
		buf_str(b, " Ar");
		argument(b, c->args);
	}
	buf_char(b, '\n');
	prose(b, c->help);
	options_of(b, c);
	for (int i = 1; i <= EXAMPLES_MOST && (call = example_of(r, c, i)) != NULL; i++) {
		buf_str(b, i == 1 ? ".Bd -literal -offset 2n\n" : "");
		buf_str(b, "$ bodkin ");
		word(b, sv(call), false);
		buf_char(b, '\n');
	}
	if (example_of(r, c, 1) != NULL)
		buf_str(b, ".Ed\n");
	for (bool first = true; commas_next(&stages, &stage); first = false) {
		buf_str(b, first ? ".Pp\nStages for\n.Fl \\-dump :\n.Cm" : " , Cm");
		buf_print(b, " %.*s", (int)stage.n, stage.p);
	}
	if (c->stages != NULL && *c->stages != '\0')
		buf_str(b, " .\n");
}

static void
rows(struct buf *b, const char *part, const char *macro, const struct word_row *w)
{
	buf_print(b, "@%s@\n.Bl -tag -width Ds\n", part);
	for (; w->name != NULL; w++) {
		buf_print(b, ".It %s %s\n", macro, w->name);
		prose(b, w->help);
	}
	buf_str(b, ".El\n");
}

void
manual_print(struct run *r)
{
	buf_str(&r->out, "@commands@\n.Bl -tag -width Ds\n");
	for (const struct command *c = commands; c->name != NULL; c++)
		command(r, c);
	buf_str(&r->out, ".El\n@options@\n");
	options_of(&r->out, NULL);
	rows(&r->out, "environment", "Ev", environment);
	rows(&r->out, "status", "Li", exit_statuses);
}
