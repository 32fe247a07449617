/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * help and version.  The texts stand in the tables, so that they cannot speak
 * of what is not there.
 */
#include "command/command_impl.h"

#include <string.h>

static void
option_pairs(struct run *r, bool common, const char *letters)
{
	for (const struct option_row *o = options; o->name != NULL; o++) {
		if (common ? !o->common : letters == NULL || strchr(letters, o->letter) == NULL)
			continue;
		page_add(r->page, BLOCK_PAIR, arena_print(r->arena, "%s%c%s--%s%s%s",
		    o->is_short ? "-" : "", o->is_short ? o->letter : ' ', o->is_short ? ", " : "   ",
		    o->name, o->arg != NULL ? " " : "", o->arg != NULL ? o->arg : ""), o->help);
	}
}

/* Examples speak of the trade, so they stand in the knowledge; help goes
 * without them where there is none. */
const char *
example_of(struct run *r, const struct command *c, int nth)
{
	const char *id = arena_print(r->arena, "help.%s.%d", c->name, nth);

	if (r->craft == NULL || message_find(r->craft, id) == NONE)
		return NULL;
	return SAY(r, id);
}

static void
about_command(struct run *r, const struct command *c)
{
	struct buf b = {0};
	const char *call;

	page_add(r->page, BLOCK_PARAGRAPH, NULL, arena_print(r->arena, "bodkin %s %s", c->name, c->args));
	page_add(r->page, BLOCK_PARAGRAPH, NULL, c->help);
	for (int i = 1; i <= EXAMPLES_MOST; i++)
		if ((call = example_of(r, c, i)) != NULL)
			buf_print(&b, "%sbodkin %s", b.n > 0 ? "\n" : "", call);
	if (b.n > 0) {
		page_add(r->page, BLOCK_HEADING, NULL, "Examples");
		page_add(r->page, BLOCK_EXCERPT, NULL, b.p);
	}
	buf_free(&b);
	page_add(r->page, BLOCK_HEADING, NULL, "Options");
	option_pairs(r, false, c->options);
	option_pairs(r, true, NULL);
	if (c->stages != NULL && *c->stages != '\0')
		page_add(r->page, BLOCK_PARAGRAPH, NULL,
		    arena_print(r->arena, "Stages for --dump: %s", c->stages));
}

static void
about_all(struct run *r)
{
	page_add(r->page, BLOCK_PARAGRAPH, NULL,
	    "bodkin tells what goes together in a project, what does not, and which measurement "
	    "would decide where it cannot tell.");
	page_add(r->page, BLOCK_HEADING, NULL, "Commands");
	for (const struct command *c = commands; c->name != NULL; c++)
		page_add(r->page, BLOCK_PAIR, c->name, c->help);
	page_add(r->page, BLOCK_PARAGRAPH, NULL,
	    "bodkin alone begins a conversation: describe what you want to make, change it, and ask.");
	page_add(r->page, BLOCK_HEADING, NULL, "Options of every command");
	option_pairs(r, true, NULL);
	page_add(r->page, BLOCK_HEADING, NULL, "Environment");
	for (const struct word_row *w = environment; w->name != NULL; w++)
		page_add(r->page, BLOCK_PAIR, w->name, w->help);
	page_add(r->page, BLOCK_HEADING, NULL, "Exit status");
	for (const struct word_row *w = exit_statuses; w->name != NULL; w++)
		page_add(r->page, BLOCK_PAIR, w->name, w->help);
	page_add(r->page, BLOCK_PARAGRAPH, NULL, "More on one: bodkin help COMMAND");
}

/* What the build makes the manual and the completion scripts of, and what those
 * scripts ask for. */
static bool
stages_print(struct run *r)
{
	static const char *const shells[] = {"bash", "zsh", "fish"};

	if (wants_stage(r->ask, "manual"))
		manual_print(r);
	if (wants_stage(r->ask, "schema"))
		schema_print(r);
	for (size_t i = 0; i < sizeof shells / sizeof *shells; i++)
		if (wants_stage(r->ask, shells[i]))
			shell_print(r, shells[i]);
	return r->ask->stages != NULL;
}

int
command_help(struct run *r)
{
	const struct command *c;
	const char *why;

	if (wants_stage(r->ask, "names"))
		return names_print(r);

	if (r->kb == NULL)                     /* without knowledge there is help all the same */
		r->kb = knowledge_open(r->arena, r->ask, &r->own, true, &why);
	r->craft = r->kb != NULL ? kb_craft(r->kb) : NULL;
	if (stages_print(r))
		return EXIT_SOUND;
	if (r->ask->n_args == 0) {
		about_all(r);
		return EXIT_SOUND;
	}
	c = command_find(sv(r->ask->args[0]));
	if (c == NULL)
		return usage(r, "there is no command %s", r->ask->args[0]);
	about_command(r, c);
	return EXIT_SOUND;
}

int
command_version(struct run *r)
{
	const char *why;
	struct knowledge *kb = r->kb != NULL ? r->kb :
	    knowledge_open(r->arena, r->ask, &r->own, true, &why);
	struct json j;

	if (r->ask->json) {
		r->kb = kb;
		json_begin(r, &j);
		json_end(r, &j);
		return EXIT_SOUND;
	}
	page_add(r->page, BLOCK_PARAGRAPH, NULL, arena_print(r->arena, "bodkin %s", bodkin_version));
	page_add(r->page, BLOCK_PARAGRAPH, NULL, kb != NULL ?
	    arena_print(r->arena, "knowledge %s", kb_version(kb)) : "knowledge: none found");
	if (kb != NULL && kb != r->kb)
		kb_close(kb);
	return EXIT_SOUND;
}
