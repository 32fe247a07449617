/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The compiler's driver: both folders read, the passes in their order, the
 * checks that need everything, and the file written if nothing was wrong.
 *
 * The order is that of need: a quantity needs the units, a property the word
 * sets, a word the names of all entries, an expression all of these.
 */
#include "knowledge/knowledge_impl.h"

#include <dirent.h>
#include <errno.h>
#include <sqlite3.h>
#include <stdlib.h>
#include <string.h>

enum { FILES_MOST = 4096 };

/* ---- the folders ----------------------------- */

struct listing { const char **name; uint32_t n; size_t cap; };

static int
by_name(const void *a, const void *b)
{
	return strcmp(*(const char *const *)a, *(const char *const *)b);
}

static const char *
refusal(int err)
{
	switch (err) {
	case ENOENT: return "it does not exist";
	case ENOTDIR: return "it is not a folder";
	case EACCES: return "not permitted";
	}
	return "the system refused";
}

static bool
list_folder(struct compiler *c, const char *folder, struct listing *l)
{
	DIR *d = opendir(folder);
	const struct dirent *e;

	if (d == NULL) {
		diag(c->ds, (struct place){0}, D_FOLDER_UNREADABLE, folder, refusal(errno));
		return false;
	}
	while ((e = readdir(d)) != NULL && l->n < FILES_MOST) {
		size_t n = strlen(e->d_name);

		/* Hidden files are editors' own. */
		if (e->d_name[0] == '.' || n < 6 || strcmp(e->d_name + n - 5, ".yaml") != 0)
			continue;
		l->name = mem_grow(l->name, &l->cap, l->n + 1, sizeof *l->name);
		l->name[l->n++] = kept(c, sv(e->d_name));
	}
	closedir(d);
	if (l->n == 0) {
		diag(c->ds, (struct place){0}, D_FOLDER_NO_YAML, folder);
		return false;
	}
	qsort(l->name, l->n, sizeof *l->name, by_name);
	return true;
}

/* The content hash knows each file by its own name, so that it is the same
 * wherever the folders lie. */
static void
take_in(struct compiler *c, const char *name, strview text)
{
	c->hash = hash_bytes(name, strlen(name) + 1, c->hash);
	c->hash = hash_bytes(text.p, text.n, c->hash);
}

static void
add_file(struct compiler *c, const struct source *src, bool rules, bool own)
{
	struct kb_file *f = &c->files[c->n_files++];

	*f = (struct kb_file){.src = src, .rules = rules, .own = own};
	f->root = yaml_read(c->arena, src, yaml_knowledge_limits, c->ds);
	c->n_own += own;
}

static void
read_folder(struct compiler *c, const char *folder, bool rules)
{
	struct listing l = {0};
	size_t n = strlen(folder);
	struct kb_file *more;

	while (n > 1 && folder[n - 1] == '/')
		n--;
	if (list_folder(c, folder, &l)) {
		more = arena_alloc(c->arena, (c->n_files + l.n) * sizeof *more);
		if (c->n_files > 0)
			memcpy(more, c->files, c->n_files * sizeof *more);
		c->files = more;
		for (uint32_t i = 0; i < l.n; i++) {
			const char *path = arena_print(c->arena, "%.*s/%s", (int)n, folder,
			    l.name[i]);
			strview text;

			if (!file_read(c->arena, path, yaml_knowledge_limits.bytes, &text, c->ds))
				continue;
			take_in(c, l.name[i], text);
			add_file(c, source_new(c->arena, path, text), rules, false);
		}
	}
	free(l.name);
}

/* ---- top keys ----------------------------- */

enum shape { LIST_OF_MAPS, LIST_OF_TEXTS, MAP };
static const struct { const char *key; enum shape shape; } top_keys[] = {
	{"units", LIST_OF_MAPS}, {"range words", MAP}, {"word sets", LIST_OF_MAPS},
	    {"kinds", LIST_OF_MAPS},
	{"entry kinds", LIST_OF_MAPS}, {"settings", LIST_OF_MAPS}, {"advised roles", LIST_OF_TEXTS},
	{"role falls back", MAP}, {"sources", LIST_OF_MAPS}, {"constants", LIST_OF_MAPS},
	{"tables", LIST_OF_MAPS}, {"formulas", LIST_OF_MAPS}, {"phrases", LIST_OF_MAPS},
	{"stop words", LIST_OF_TEXTS}, {"passed over", LIST_OF_TEXTS},
	{"asking words", LIST_OF_TEXTS},
	    {"same words", LIST_OF_TEXTS}, {"list columns", LIST_OF_MAPS},
	    {"list phrases", LIST_OF_MAPS}, {"messages", LIST_OF_MAPS}, {"rules", LIST_OF_MAPS},
	    {"advice", LIST_OF_MAPS}, {"order rules", LIST_OF_MAPS}, {"order changes", LIST_OF_MAPS},
	{"drawings", LIST_OF_MAPS},
	{"sheets", LIST_OF_MAPS}, {"measures", LIST_OF_MAPS},
	{"instructions", LIST_OF_MAPS}, {"work lines", LIST_OF_MAPS}, {"proof checks", LIST_OF_MAPS},
	    {"proof words", LIST_OF_MAPS},
	    {"country words", LIST_OF_MAPS},
	    {"reckonings", LIST_OF_MAPS}, {"layings", LIST_OF_MAPS},
};
enum { TOP_KEYS = sizeof top_keys / sizeof *top_keys };

/* Whether a top key is one of ours, and its value of the shape it takes. Maps
 * within a list are looked at by each pass, with the name of what they hold. */
static void
check_top(struct compiler *c, struct kb_file *f)
{
	const struct craft *v = maker_view(c->m);

	for (const struct node *k = f->root->first; k != NULL; k = k->next) {
		enum shape shape = LIST_OF_MAPS;
		struct near near = {0};
		bool known = false;

		if (f->own && !own_may_hold(c, k))
			continue;
		for (int i = 0; i < TOP_KEYS && !known; i++) {
			known = sv_is(k->text, top_keys[i].key);
			shape = top_keys[i].shape;
			near_offer(&near, k->text, top_keys[i].key);
		}
		for (uint32_t i = 0; i < v->n_entry_kind && !known; i++) {
			known = sv_is(k->text, craft_text(v, v->entry_kind[i].plural));
			shape = LIST_OF_MAPS;
			near_offer(&near, k->text, craft_text(v, v->entry_kind[i].plural));
		}
		if (!known) {
			diag(c->ds, k->place, D_UNKNOWN_TOP_KEY, kept(c, k->text));
			diag_near(c->ds, &near);
		} else if (shape == MAP && k->value->type != NODE_MAP) {
			diag(c->ds, k->value->place, D_EXPECTED_MAP, kept(c, k->text));
		} else if (shape != MAP && k->value->type != NODE_LIST) {
			diag(c->ds, k->value->type == NODE_MAP ? k->place : k->value->place,
			    D_EXPECTED_LIST,
			    kept(c, k->text));
		}
	}
}

/* ---- the passes ----------------------------- */

static void
read_all(struct compiler *c)
{
	read_sources(c);
	read_units(c);
	read_word_sets(c);
	read_kinds(c);
	read_roles(c);
	read_entry_kinds(c);
	for (uint32_t i = 0; i < c->n_files; i++)
		if (c->files[i].root != NULL)
			check_top(c, &c->files[i]);
	declare_entries(c);
	fill_word_sets(c);
	read_settings(c);
	declare_figures(c);
	read_figures(c);
	read_derived(c);
	c->schema_sound = c->ds->errors == c->errors_before;
	read_entries(c);
	read_phrases(c);
	read_lists(c);
	read_messages(c);
	read_rules(c);
	read_order(c);
	read_drawings(c);
	read_sheets(c);
	read_instructions(c);
	read_reckonings(c);
}

static void
free_all(struct compiler *c)
{
	struct symbols *all[] = {&c->unit_names, &c->sets, &c->kinds, &c->properties,
	    &c->entry_kinds, &c->settings,
	    &c->sources, &c->callables, &c->entries, &c->rules, &c->advices, &c->messages,
	    &c->order_rules, &c->order_changes, &c->sheets, &c->measures, &c->reckonings, &c->layings};

	for (size_t i = 0; i < sizeof all / sizeof *all; i++)
		symbols_free(all[i]);
	for (uint32_t i = 0; i < c->n_drafts; i++) {
		record_free(&c->drafts[i].record);
		buf_free(&c->drafts[i].also);
		buf_free(&c->drafts[i].body);
	}
	free(c->drafts);
	free(c->names);
	free(c->worked);
	free(c->loose);
	free(c->judged);
	maker_free(c->m);
}

/* Complaints in the order of the files, and within one in that of its lines:
 * the passes go over each file many times. */
static int
by_place(const void *a, const void *b)
{
	const struct diagnostic *x = a, *y = b;

	if (x->place.src != y->place.src) {
		const char *m = x->place.src != NULL ? x->place.src->name : "";
		const char *n = y->place.src != NULL ? y->place.src->name : "";

		return strcmp(m, n);
	}
	if (x->place.at != y->place.at)
		return x->place.at < y->place.at ? -1 : 1;
	return (int)x->id - (int)y->id;
}

/* What has been read made into the bytes of a database. */
static bool
compile(struct compiler *c, struct buf *out)
{
	struct diags *ds = c->ds;
	size_t before = c->errors_before, first = ds->n;
	bool good;

	for (uint32_t i = 0; i < c->n_files; i++)
		if (c->files[i].root != NULL && c->files[i].root->type != NODE_MAP) {
			diag(ds, c->files[i].root->place, D_EXPECTED_MAP, "a file of knowledge");
			c->files[i].root = NULL;
		}
	if (c->n_files > 0)
		read_all(c);
	/* What rules read can be judged though one of them, or an entry, has a
	 * fault: its writer wants to hear of everything at once. */
	if (c->schema_sound) {
		const struct craft *craft;

		write_lexicon(c);
		craft = maker_finish(c->m);
		check_formula_circles(c, craft);
		check_judged(c, craft);
	}
	good = ds->errors == before && store_bytes(c, maker_view(c->m), out);
	free_all(c);
	if (ds->n > first)
		qsort(ds->d + first, ds->n - first, sizeof *ds->d, by_place);
	return good;
}

static void
begin(struct compiler *c, struct diags *ds)
{
	*c = (struct compiler){.ds = ds, .role_set = NONE, .region_set = NONE, .own_source = NONE,
	    .errors_before = ds->errors};
	/* Diagnostics keep places in the sources, so these live as long. */
	c->arena = ds->arena;
	c->m = maker_new(c->arena, ds);
}

bool
kb_compile(const char *kb_folder, const char *rules_folder, const char *out_path, struct diags *ds)
{
	struct compiler c;
	struct buf bytes = {0};
	const char *why = NULL;
	bool good;

	begin(&c, ds);
	read_folder(&c, kb_folder, false);
	read_folder(&c, rules_folder, true);
	snprintf(c.content, sizeof c.content, "%016llx", (unsigned long long)c.hash);
	good = compile(&c, &bytes);
	if (good && !file_replace(out_path, (strview){bytes.p, bytes.n}, true, &why)) {
		diag(ds, (struct place){0}, D_WRITE_FAILED, out_path, why);
		good = false;
	}
	buf_free(&bytes);
	return good;
}

/* The text a database was compiled from, as it stands in it. */
static void
take_shipped(struct compiler *c, struct knowledge *shipped, uint32_t room)
{
	sqlite3_stmt *st = kb_prepare(shipped, "SELECT name, rules, text FROM source_text ORDER BY id");

	shipped->turns = 0;
	c->files = arena_alloc(c->arena, (FILES_MOST + room) * sizeof *c->files);
	while (sqlite3_step(st) == SQLITE_ROW && c->n_files < FILES_MOST) {
		const char *name = (const char *)sqlite3_column_text(st, 0);
		const char *text = sqlite3_column_blob(st, 2);
		size_t n = (size_t)sqlite3_column_bytes(st, 2);

		if (name == NULL || text == NULL)
			continue;
		text = arena_text(c->arena, text, n);
		add_file(c, source_new(c->arena, name, (strview){text, n}),
		    sqlite3_column_int(st, 1) != 0, false);
	}
	sqlite3_finalize(st);
}

bool
kb_compile_own(struct knowledge *shipped, struct own_folder *own, struct buf *out,
    struct diags *ds)
{
	struct compiler c;

	if (!own_read(ds->arena, own, ds))
		return false;
	begin(&c, ds);
	take_shipped(&c, shipped, own->n);
	if (c.n_files == 0) {
		diag(ds, (struct place){0}, D_OWN_NOTHING_BELOW);
		free_all(&c);
		return false;
	}
	for (uint32_t i = 0; i < own->n; i++) {
		if (own->files[i].bare)
			continue;
		take_in(&c, own->files[i].path, own->files[i].text);
		add_file(&c, source_new(c.arena, own->files[i].path, own->files[i].text), true, true);
	}
	c.own_key = own->key;
	snprintf(c.content, sizeof c.content, "%.16s+%016llx", kb_version(shipped),
	    (unsigned long long)c.hash);
	return compile(&c, out);
}
