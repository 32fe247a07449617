/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Names to choose from: everything of one sort the knowledge holds, and, for the
 * completion of shells, what may stand where the last word of a call stands.
 *
 *     bodkin help -d names entries -- wool fl      prints "flannel", among others
 *
 * A name with blanks may be typed as several words; what is printed is the rest
 * of it from the last word on, as that is what a shell replaces.
 */
#include "command/command_impl.h"

#include <stdlib.h>
#include <string.h>

const char *const completes_names[COMPLETES__COUNT] = {
	[COMPLETES_NOTHING] = "nothing", [COMPLETES_FILES] = "files",
	[COMPLETES_ENTRIES] = "entries", [COMPLETES_RULES] = "rules",
	[COMPLETES_KINDS] = "kinds", [COMPLETES_FORMULAS] = "formulas",
	[COMPLETES_SETTINGS] = "settings", [COMPLETES_COMMANDS] = "commands",
	[COMPLETES_STAGES] = "stages", [COMPLETES_SHEETS] = "sheets",
	[COMPLETES_MEASURES] = "measures", [COMPLETES_REGIONS] = "regions",
};

void
names_each(const struct craft *c, enum completes what, void (*take)(void *, const char *), void *to)
{
	uint32_t set = set_find(c, SV("region"));

	switch (what) {
	case COMPLETES_ENTRIES:
		for (uint32_t i = 0; i < c->n_name; i++)
			if (c->name[i].target == NAME_ENTRY && !c->name[i].inflected)
				take(to, craft_text(c, c->name[i].written));
		break;
	case COMPLETES_RULES:
		for (uint32_t i = 0; i < c->n_rule; i++)
			take(to, craft_text(c, c->rule[i].id));
		for (uint32_t i = 0; i < c->n_advice; i++)
			take(to, craft_text(c, c->advice[i].id));
		for (uint32_t i = 0; i < c->n_order_rule; i++)
			take(to, craft_text(c, c->order_rule[i].id));
		break;
	case COMPLETES_KINDS:
		for (uint32_t i = 0; i < c->n_entry_kind; i++)
			take(to, craft_text(c, c->entry_kind[i].plural));
		break;
	case COMPLETES_FORMULAS:
		for (uint32_t i = 0; i < c->n_formula; i++)
			take(to, craft_text(c, c->formula[i].name));
		break;
	case COMPLETES_SETTINGS:
		for (uint32_t i = 0; i < c->n_setting; i++)
			take(to, craft_text(c, c->setting[i].name));
		break;
	case COMPLETES_SHEETS:
		for (uint32_t i = 0; i < c->n_sheet; i++)
			take(to, craft_text(c, c->sheet[i].name));
		break;
	case COMPLETES_MEASURES:
		for (uint32_t i = 0; i < c->n_measures; i++)
			take(to, craft_text(c, c->measures[i].name));
		break;
	case COMPLETES_REGIONS:
		for (uint32_t i = 0; set != NONE && i < c->word_set[set].n; i++)
			take(to, craft_text(c, c->word[c->word_set[set].first + i].name));
		break;
	case COMPLETES_COMMANDS: case COMPLETES_FILES: case COMPLETES_STAGES: case COMPLETES_NOTHING:
	case COMPLETES__COUNT:
		break;
	}
}

/* ---- what may stand there ------------------------------------------------------ */

struct found {
	struct run *run;
	const char *typed;                 /* all words, a blank between */
	size_t n, skip;                    /* .skip: where the last of them begins */
	const char **p;
	size_t n_p, cap;
};

/* ASCII and without the locale, as at the prompt. */
static bool
begins(const char *name, const char *typed, size_t n)
{
	for (size_t i = 0; i < n; i++) {
		int a = name[i], b = typed[i];

		a += a >= 'A' && a <= 'Z' ? 32 : 0;
		b += b >= 'A' && b <= 'Z' ? 32 : 0;
		if (a == 0 || a != b)
			return false;
	}
	return true;
}

static void
found_take(void *of, const char *name)
{
	struct found *f = of;

	if (!begins(name, f->typed, f->n))
		return;
	f->p = mem_grow(f->p, &f->cap, f->n_p + 1, sizeof *f->p);
	f->p[f->n_p++] = name + f->skip;
}

static int
by_text(const void *a, const void *b)
{
	return strcmp(*(const char *const *)a, *(const char *const *)b);
}

/* After a formula stand its figures, each once. */
static void
figures(struct found *f, const char *formula)
{
	const struct craft *c = f->run->craft;
	const struct request *ask = f->run->ask;

	for (uint32_t i = 0; i < c->n_formula; i++) {
		const struct formula *m = &c->formula[i];

		if (!sv_is(sv(formula), craft_text(c, m->name)))
			continue;
		for (uint32_t k = 0; k < m->n_parameters; k++) {
			const char *with = arena_print(f->run->arena, "%s=",
			    craft_text(c, c->parameter[m->first_parameter + k].name));
			bool given = false;

			for (int w = 2; w < ask->n_args - 1; w++)
				given |= sv_starts(sv(ask->args[w]), with);
			if (!given)
				found_take(f, with);
		}
	}
}

static enum completes
completes_find(strview name)
{
	for (size_t i = 0; i < COMPLETES__COUNT; i++)
		if (sv_is(name, completes_names[i]))
			return (enum completes)i;
	return COMPLETES__COUNT;
}

int
names_print(struct run *r)
{
	const struct request *ask = r->ask;
	const char *last = ask->n_args > 1 ? ask->args[ask->n_args - 1] : "";
	enum completes what = ask->n_args > 0 ? completes_find(sv(ask->args[0])) : COMPLETES__COUNT;
	struct found f = {.run = r, .typed = last, .n = strlen(last)};

	if (what == COMPLETES__COUNT)
		return usage(r, "-d names takes what to name: entries, rules, kinds, formulas, settings "
		    "or commands, then the words typed so far");
	if (!run_knowledge(r))
		return EXIT_NOT_RUN;
	if (what == COMPLETES_COMMANDS)
		for (const struct command *c = commands; c->name != NULL; c++)
			found_take(&f, c->name);
	else if (what == COMPLETES_FORMULAS && ask->n_args > 2)
		figures(&f, ask->args[1]);
	else {
		/* Rules have names of one word each; there may be several. */
		if (what != COMPLETES_RULES && ask->n_args > 1) {
			f.typed = joined_args(r, 1);
			f.n = strlen(f.typed);
			f.skip = f.n - strlen(last);
		}
		names_each(r->craft, what, found_take, &f);
	}
	if (f.n_p > 0)
		qsort(f.p, f.n_p, sizeof *f.p, by_text);
	for (size_t i = 0; i < f.n_p; i++)
		if (i == 0 || strcmp(f.p[i], f.p[i - 1]) != 0)
			buf_print(&r->out, "%s\n", f.p[i]);
	free(f.p);
	return r->out.n > 0 ? EXIT_SOUND : EXIT_FINDINGS;
}
