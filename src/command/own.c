/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * own: the user's own knowledge: where it lies, what is in it, whether it is
 * sound, and a first file to begin with.
 */
#include "audit/audit.h"
#include "command/command_impl.h"

#include <string.h>
#include <unistd.h>

struct told {                              /* what of the knowledge is the user's */
	const char *what, *name, *says, *file;
	uint32_t line;
	bool refined;
};
struct all_own { struct told *t; uint32_t n; const char **ids; uint32_t n_ids; };

/* ---- what there is ------------------------------------------------------------ */

static void
put(struct run *r, struct all_own *all, struct told t, text_at file)
{
	t.file = craft_text(r->craft, file);
	all->t[all->n++] = t;
}

static struct all_own
collect(struct run *r)
{
	const struct craft *c = r->craft;
	uint32_t most = c->n_entry + c->n_rule + c->n_advice + c->n_order_rule;
	struct all_own all = {.t = arena_alloc(r->arena, ((size_t)most + 1) * sizeof *all.t),
	    .ids = arena_alloc(r->arena, ((size_t)most + 1) * sizeof *all.ids)};

	for (uint32_t i = 0; i < c->n_entry; i++)
		if (c->entry[i].own != ENTRY_SHIPPED)
			put(r, &all, (struct told){
			    .what = craft_text(c, c->entry_kind[c->entry[i].kind].name),
			    .name = craft_text(c, c->entry[i].name),
			    .says = craft_text(c, c->entry[i].says), .line = c->entry[i].line,
			    .refined = c->entry[i].own == ENTRY_REFINED}, c->entry[i].file);
	for (uint32_t i = 0; i < c->n_rule; i++)
		if (c->rule[i].own)
			put(r, &all, (struct told){.what = "rule", .name = craft_text(c, c->rule[i].id),
			    .says = craft_text(c, c->rule[i].why), .line = c->rule[i].line},
			    c->rule[i].file);
	for (uint32_t i = 0; i < c->n_advice; i++)
		if (c->advice[i].own)
			put(r, &all, (struct told){.what = "advice",
			    .name = craft_text(c, c->advice[i].id),
			    .says = craft_text(c, c->setting[c->advice[i].setting].name),
			    .line = c->advice[i].line}, c->advice[i].file);
	for (uint32_t i = 0; i < c->n_order_rule; i++)
		if (c->order_rule[i].own)
			put(r, &all, (struct told){.what = "order rule",
			    .name = craft_text(c, c->order_rule[i].id),
			    .says = craft_text(c, c->order_rule[i].why),
			    .line = c->order_rule[i].line}, c->order_rule[i].file);
	for (uint32_t i = 0; i < all.n; i++)
		if (strcmp(all.t[i].what, "rule") == 0 || strcmp(all.t[i].what, "advice") == 0 ||
		    strcmp(all.t[i].what, "order rule") == 0)
			all.ids[all.n_ids++] = all.t[i].name;
	return all;
}

/* Do their examples come out as written? With --all the pins as well. */
static void
try_out(struct run *r, const struct all_own *all, struct audit *a)
{
	if (all->n_ids > 0)
		audit_run(a, r->kb, AUDIT_EXAMPLES | (r->ask->all ? AUDIT_PINS : 0), all->ids,
		    all->n_ids);
}

/* ---- a first file -------------------------------------------------------------- */

static int
start(struct run *r, const char *folder)
{
	char *path = arena_text(r->arena, folder, strlen(folder));
	const char *file = arena_print(r->arena, "%s/example.yaml", folder), *why = NULL;
	const char *text = SAY(r, "own.example", "open", "{", "close", "}");

	if (access(file, F_OK) == 0) {
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "own.example-there", "file", file));
		return EXIT_SOUND;
	}
	if (!own_make_folder(path))
		return usage(r, "the folder %s cannot be made", folder);
	if (!file_replace(file, sv(text), false, &why))
		return usage(r, "%s cannot be written: %s", file, why);
	page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "own.example-written", "file", file));
	return EXIT_SOUND;
}

/* ---- answers -------------------------------------------------------------------- */

static void
own_json(struct run *r, const char *folder, const struct all_own *all, const struct audit *a)
{
	struct json j;
	strview rest = {a->report.n > 0 ? a->report.p : "", a->report.n};

	json_begin(r, &j);
	json_key(&j, "folder");
	json_str(&j, folder);
	json_key(&j, "files");
	json_open(&j, '[');
	for (uint32_t i = 0; i < r->own.folder.n; i++)
		json_str(&j, r->own.folder.files[i].path);
	json_close(&j, ']');
	json_key(&j, "sound");
	json_bool(&j, r->own.is != LAYER_FAULTY);
	json_key(&j, "items");
	json_open(&j, '[');
	for (uint32_t i = 0; i < all->n; i++) {
		const struct told *t = &all->t[i];

		json_open(&j, '{');
		json_key(&j, "kind");
		json_str(&j, t->what);
		json_key(&j, "name");
		json_str(&j, t->name);
		json_key(&j, "says");
		json_str(&j, t->says);
		json_key(&j, "refines");
		json_bool(&j, t->refined);
		json_key(&j, "file");
		json_str(&j, t->file);
		json_key(&j, "line");
		json_number(&j, t->line);
		json_close(&j, '}');
	}
	json_close(&j, ']');
	json_lines(&j, "advice", rest);
	json_end(r, &j);
}

static void
own_page(struct run *r, const char *folder, const struct all_own *all, const struct audit *a)
{
	page_add(r->page, BLOCK_TITLE, NULL, SAY(r, "own.title"));
	page_add(r->page, BLOCK_PAIR, SAY(r, "own.folder"), folder);
	for (uint32_t i = 0; i < r->own.folder.n; i++)
		page_add(r->page, BLOCK_PAIR, i == 0 ? SAY(r, "own.files") : "",
		    r->own.folder.files[i].path + strlen(r->own.folder.path) + 1);
	if (r->own.folder.n == 0) {
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "own.nothing"));
		return;
	}
	if (r->own.is == LAYER_FAULTY) {
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "own.faulty", "count",
		    arena_print(r->arena, "%zu", r->own.errors)));
		return;
	}
	if (all->n > 0)
		page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "own.holds"));
	for (uint32_t i = 0; i < all->n; i++) {
		const struct told *t = &all->t[i];
		const char *file = strrchr(t->file, '/');

		page_item(r->page, 0, TONE_PLAIN, t->name, SAY(r, t->refined ? "own.refines" :
		    "own.item", "kind", t->what, "says", t->says));
		page_item(r->page, 1, TONE_PLAIN, SAY(r, "own.stands"), arena_print(r->arena,
		    "%s:%u", file != NULL ? file + 1 : t->file, (unsigned)t->line));
	}
	page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, all->n > 0 ? "own.sound" : "own.only-remarks"));
	if (a->report.n > 0) {
		page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "own.advice"));
		page_add(r->page, BLOCK_EXCERPT, NULL, a->report.p);
	}
}

int
command_own(struct run *r)
{
	const char *folder = own_path(r->arena);
	struct all_own all;
	struct audit a = {.n_parts = 0};

	if (r->ask->n_args > 1 || (r->ask->n_args == 1 && strcmp(r->ask->args[0], "start") != 0))
		return usage(r, "own takes nothing, or the word start");
	if (folder == NULL)
		return usage(r, "no folder is known: set HOME, XDG_CONFIG_HOME or BODKIN_OWN");
	if (!run_knowledge(r))
		return EXIT_NOT_RUN;
	if (r->ask->n_args == 1)
		return start(r, folder);
	all = collect(r);
	try_out(r, &all, &a);
	if (r->ask->json)
		own_json(r, folder, &all, &a);
	else
		own_page(r, folder, &all, &a);
	audit_free(&a);
	return r->own.is == LAYER_FAULTY ? EXIT_NOT_RUN : EXIT_SOUND;
}
