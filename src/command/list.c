/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * list: the kinds of thing the knowledge base holds, or all of one kind.
 */
#include "command/command_impl.h"

#include <stdlib.h>
#include <string.h>

/* Things that are no entries but can be listed by a name of their own.
 * To add one: a row, and its case in other_item(). */
enum other { OTHER_RULES, OTHER_ADVICE, OTHER_SETTINGS, OTHER_FORMULAS, OTHER_UNITS, OTHER_SOURCES,
	OTHER__COUNT };
static const char *const others[OTHER__COUNT] = {
	[OTHER_RULES] = "rules", [OTHER_ADVICE] = "advice", [OTHER_SETTINGS] = "settings",
	[OTHER_FORMULAS] = "formulas", [OTHER_UNITS] = "units", [OTHER_SOURCES] = "sources",
};

struct item { const char *name, *says; uint32_t own; };

static uint32_t
other_count(const struct craft *c, enum other o)
{
	switch (o) {
	case OTHER_RULES: return c->n_rule;
	case OTHER_ADVICE: return c->n_advice;
	case OTHER_SETTINGS: return c->n_setting;
	case OTHER_FORMULAS: return c->n_formula;
	case OTHER_UNITS: return c->n_unit;
	case OTHER_SOURCES: return c->n_source;
	case OTHER__COUNT: break;
	}
	return 0;
}

static struct item
other_item(struct run *r, enum other o, uint32_t i)
{
	const struct craft *c = r->craft;
	struct buf b = {0};
	struct item it = {"", "", 0};

	switch (o) {
	case OTHER_RULES:
		return (struct item){craft_text(c, c->rule[i].id), craft_text(c, c->rule[i].why),
		    c->rule[i].own ? ENTRY_OWN : 0};
	case OTHER_ADVICE:
		return (struct item){craft_text(c, c->advice[i].id),
		    craft_text(c, c->setting[c->advice[i].setting].name),
		    c->advice[i].own ? ENTRY_OWN : 0};
	case OTHER_SETTINGS:
		return (struct item){craft_text(c, c->setting[i].name), craft_text(c, c->setting[i].label), 0};
	case OTHER_FORMULAS:
		return (struct item){craft_text(c, c->formula[i].name), craft_text(c, c->formula[i].says), 0};
	case OTHER_UNITS:
		dim_print(&b, c->units->u[i].dim);
		it = (struct item){c->units->u[i].name, arena_text(r->arena, b.p, b.n), 0};
		buf_free(&b);
		return it;
	case OTHER_SOURCES:
		return (struct item){craft_text(c, c->source[i].id), craft_text(c, c->source[i].title),
		    c->source[i].own ? ENTRY_OWN : 0};
	case OTHER__COUNT:
		break;
	}
	return it;
}

/* ---- which kind --------------------------------------------------------------- */

static uint32_t
entry_kind_find(const struct craft *c, strview name)
{
	for (uint32_t i = 0; i < c->n_entry_kind; i++)
		if (sv_is(name, craft_text(c, c->entry_kind[i].name)) ||
		    sv_is(name, craft_text(c, c->entry_kind[i].plural)))
			return i;
	return NONE;
}

static enum other
other_find(strview name)
{
	for (size_t i = 0; i < OTHER__COUNT; i++)
		if (sv_is(name, others[i]))
			return (enum other)i;
	return OTHER__COUNT;
}

static int
by_name(const void *a, const void *b)
{
	return strcmp(((const struct item *)a)->name, ((const struct item *)b)->name);
}

static struct item *
collect(struct run *r, uint32_t kind, enum other other, uint32_t *n)
{
	const struct craft *c = r->craft;
	uint32_t most = kind != NONE ? c->n_entry : other_count(c, other);
	struct item *items = arena_alloc(r->arena, ((size_t)most + 1) * sizeof *items);

	*n = 0;
	for (uint32_t i = 0; i < most; i++) {
		if (kind == NONE)
			items[(*n)++] = other_item(r, other, i);
		else if (c->entry[i].kind == kind)
			items[(*n)++] = (struct item){craft_text(c, c->entry[i].name),
			    craft_text(c, c->entry[i].says), c->entry[i].own};
	}
	if (kind != NONE)
		qsort(items, *n, sizeof *items, by_name);
	return items;
}

/* ---- answers -------------------------------------------------------------------- */

static void
answer(struct run *r, const char *title, const struct item *items, uint32_t n)
{
	struct json j;

	if (r->ask->json) {
		json_begin(r, &j);
		json_key(&j, "kind");
		json_str(&j, title);
		json_key(&j, "items");
		json_open(&j, '[');
		for (uint32_t i = 0; i < n; i++) {
			json_open(&j, '{');
			json_key(&j, "name");
			json_str(&j, items[i].name);
			json_key(&j, "says");
			json_str(&j, items[i].says);
			json_own(&j, items[i].own);
			json_close(&j, '}');
		}
		json_close(&j, ']');
		json_end(r, &j);
		return;
	}
	page_add(r->page, BLOCK_TITLE, NULL, title);
	for (uint32_t i = 0; i < n; i++)
		page_add(r->page, BLOCK_PAIR, items[i].name, items[i].own == 0 ? items[i].says :
		    SAY(r, items[i].own == ENTRY_OWN ? "own.mark" : "own.refined-mark", "says",
		    items[i].says));
	page_add(r->page, BLOCK_PARAGRAPH, NULL,
	    SAY(r, "list.count", "count", arena_print(r->arena, "%u", (unsigned)n)));
}

static struct item
kind_row(struct run *r, const char *name, uint32_t count, const char *says)
{
	return (struct item){name, SAY(r, "list.kind", "count",
	    arena_print(r->arena, "%u", (unsigned)count), "says", says), 0};
}

static void
all_kinds(struct run *r)
{
	const struct craft *c = r->craft;
	struct item *items = arena_alloc(r->arena, (c->n_entry_kind + OTHER__COUNT + 1) * sizeof *items);
	uint32_t n = 0, count;

	for (uint32_t k = 0; k < c->n_entry_kind; k++) {
		count = 0;
		for (uint32_t i = 0; i < c->n_entry; i++)
			count += c->entry[i].kind == k;
		items[n++] = kind_row(r, craft_text(c, c->entry_kind[k].plural), count,
		    craft_text(c, c->entry_kind[k].says));
	}
	for (size_t o = 0; o < OTHER__COUNT; o++)
		items[n++] = kind_row(r, others[o], other_count(c, (enum other)o), "");
	answer(r, SAY(r, "list.kinds"), items, n);
}

static int
no_kind(struct run *r, strview name)
{
	struct near near = {0};
	struct buf b = {0};

	for (uint32_t k = 0; k < r->craft->n_entry_kind; k++)
		near_offer(&near, name, craft_text(r->craft, r->craft->entry_kind[k].plural));
	for (size_t o = 0; o < OTHER__COUNT; o++)
		near_offer(&near, name, others[o]);
	for (int i = 0; i < near.n; i++)
		buf_print(&b, "%s%s", i == 0 ? "; did you mean " : " or ", near.name[i]);
	usage(r, "there is no kind %.*s%s%s", (int)(name.n < 200 ? name.n : 200), name.p,
	    b.n > 0 ? b.p : "", b.n > 0 ? "?" : "");
	buf_free(&b);
	return EXIT_NOT_RUN;
}

int
command_list(struct run *r)
{
	strview name = sv(joined_args(r, 0));
	uint32_t kind, n;
	enum other other;
	struct item *items;

	if (!run_knowledge(r))
		return EXIT_NOT_RUN;
	if (r->ask->n_args == 0) {
		all_kinds(r);
		return EXIT_SOUND;
	}
	kind = entry_kind_find(r->craft, name);
	other = other_find(name);
	if (kind == NONE && other == OTHER__COUNT)
		return no_kind(r, name);
	items = collect(r, kind, other, &n);
	answer(r, name.p, items, n);
	return EXIT_SOUND;
}
