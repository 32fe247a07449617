/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Completion of commands and of names with blanks in them.
 *
 * Readline hands over the last word only.  The name meant may have begun words
 * earlier: the longest tail of the line that begins some name decides, and
 * what is offered is the rest of that name from the last word on.
 */
#include "prompt/prompt_impl.h"

#include <stdlib.h>
#include <string.h>

enum { OFFERS_MOST = 500 };

struct offers {
	char **p;                          /* [0] is left for the common beginning */
	size_t n, cap;
};

/* ASCII only and without the locale: names are mostly that, and the rest
 * must match as typed. */
static bool
begins(const char *name, const char *typed, size_t n)
{
	for (size_t i = 0; i < n; i++) {
		char a = name[i], b = typed[i];

		if (a >= 'A' && a <= 'Z')
			a = (char)(a + 32);
		if (b >= 'A' && b <= 'Z')
			b = (char)(b + 32);
		if (a == '\0' || a != b)
			return false;
	}
	return true;
}

static char *
copy(const char *s, size_t n)
{
	char *t = mem_alloc(n + 1);

	memcpy(t, s, n);
	return t;
}

static void
offer(struct offers *o, const char *text)
{
	if (o->n >= OFFERS_MOST)
		return;
	for (size_t i = 0; i < o->n; i++)
		if (strcmp(o->p[i + 1], text) == 0)
			return;
	o->p = mem_grow(o->p, &o->cap, o->n + 3, sizeof *o->p);
	o->p[++o->n] = copy(text, strlen(text));
}

static void
offer_name(struct offers *o, const char *name, const char *tail, size_t tail_n, size_t skip)
{
	if (begins(name, tail, tail_n) && strlen(name) >= skip)
		offer(o, name + skip);
}

/* Which words may stand here? */
static void
commands_too(struct offers *o, const char *tail, size_t n)
{
	for (const struct word_command *w = word_commands; w->name != NULL; w++)
		offer_name(o, w->name, tail, n, 0);
	for (const struct command *c = commands; c->name != NULL; c++)
		if (c->at_prompt)
			offer_name(o, c->name, tail, n, 0);
}

struct sought { struct offers *o; const char *tail; size_t n, skip; };

static void
sought_take(void *of, const char *name)
{
	const struct sought *s = of;

	offer_name(s->o, name, s->tail, s->n, s->skip);
}

static void
names_of(struct offers *o, const struct craft *c, enum completes what, const char *tail, size_t n,
    size_t skip)
{
	struct sought s = {o, tail, n, skip};

	names_each(c, what, sought_take, &s);
}

/* What the first word makes of the rest; *from: where the rest begins. */
static enum completes
argument_kind(const char *line, size_t *from)
{
	static const struct { const char *name; enum completes what; } own[] = {
		{"why", COMPLETES_RULES}, {"show", COMPLETES_ENTRIES}, {"what if", COMPLETES_ENTRIES},
		{"save", COMPLETES_FILES}, {"open", COMPLETES_FILES}, {"check", COMPLETES_FILES},
	};
	size_t n;

	for (size_t i = 0; i < sizeof own / sizeof *own; i++) {
		n = strlen(own[i].name);
		if (begins(own[i].name, line, n) && strncmp(line, own[i].name, n) == 0 && line[n] == ' ') {
			*from = n + 1;
			return own[i].what;
		}
	}
	for (const struct command *c = commands; c->name != NULL; c++) {
		n = strlen(c->name);
		if (c->at_prompt && strncmp(line, c->name, n) == 0 && line[n] == ' ') {
			*from = n + 1;
			return c->completes;
		}
	}
	*from = 0;
	return COMPLETES_ENTRIES;
}

bool
complete_files(const char *line)
{
	size_t from;

	return argument_kind(line, &from) == COMPLETES_FILES;
}

/* The longest beginning that all offers share, and the array for readline. */
static char **
finished(struct offers *o)
{
	size_t common;

	if (o->n == 0)
		return NULL;
	common = strlen(o->p[1]);
	for (size_t i = 2; i <= o->n; i++) {
		size_t k = 0;

		while (k < common && o->p[i][k] == o->p[1][k])
			k++;
		common = k;
	}
	o->p[0] = copy(o->p[1], common);
	o->p[o->n + 1] = NULL;
	if (o->n == 1) {                       /* readline wants a single one alone */
		free(o->p[1]);
		o->p[1] = NULL;
	}
	return o->p;
}

char **
complete_line(const struct craft *c, const char *line, int start, int end)
{
	struct offers o = {0};
	size_t from, at = (size_t)start, stop = (size_t)end;
	enum completes what = argument_kind(line, &from);

	if (from > at)
		from = at;
	for (size_t i = from; i <= at && o.n == 0; i++) {
		if (i > from && line[i - 1] != ' ' && line[i - 1] != ',')
			continue;
		if (line[i] == ' ')
			continue;
		/* From three letters on a command goes before names that begin alike. */
		if (i == 0)
			commands_too(&o, line, stop);
		if (o.n == 0 || stop < 3)
			names_of(&o, c, what, line + i, stop - i, at - i);
	}
	return finished(&o);
}
