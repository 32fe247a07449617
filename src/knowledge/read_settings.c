/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The rest of the schema: what is done about roles, entry kinds, the settings
 * in their order, the formulas of derived properties; and the sources that
 * everything rests on.
 */
#include "knowledge/knowledge_impl.h"

#include <stdlib.h>
#include <string.h>

/* ---- roles ----------------------------- */

static struct role_note *
note_of(struct role_note *notes, uint32_t *n, uint32_t role)
{
	for (uint32_t i = 0; i < *n; i++)
		if (notes[i].role == role)
			return &notes[i];
	notes[*n] = (struct role_note){.role = (uint16_t)role, .falls_back = NO16};
	return &notes[(*n)++];
}

void
read_roles(struct compiler *c)
{
	struct role_note notes[128];
	uint32_t n = 0, role, other;

	for (uint32_t i = 0; i < c->n_files && c->role_set != NONE; i++) {
		const struct node *root = c->files[i].root, *map;
		struct texts t;

		if (root == NULL)
			continue;
		t = get_texts(c, root, "advised roles");
		for (uint32_t k = 0; k < t.n; k++)
			if ((role = find_role(c, t.node[k], t.node[k]->text)) != NONE)
				note_of(notes, &n, role)->advised = 1;
		map = node_get(root, "role falls back");
		if (map == NULL)
			continue;
		if (map->type != NODE_MAP) {
			diag(c->ds, map->place, D_EXPECTED_MAP, "role falls back");
			continue;
		}
		for (const struct node *k = map->first; k != NULL; k = k->next) {
			if (!is_text(c, k->value, "role falls back"))
				continue;
			role = find_role(c, k, k->text);
			other = find_role(c, k->value, k->value->text);
			if (role != NONE && other != NONE)
				note_of(notes, &n, role)->falls_back = (uint16_t)other;
		}
	}
	if (n > 0)
		maker_add_role_note(c->m, notes, n);
}

/* ---- entry kinds ----------------------------- */

static const char *const entry_kind_keys[] = {"!entry kind", "!plural", "becomes", "facts", "role",
	"head", "said after", "asked", "says", NULL};

/* The texts of a list as names are looked up, a line each. */
static text_at
folded_lines(struct compiler *c, const struct node *item, const char *key)
{
	struct texts t = get_texts(c, item, key);
	struct buf lines = {0};
	text_at at;

	for (uint32_t i = 0; i < t.n; i++) {
		buf_fold(&lines, sv_trim(t.node[i]->text));
		buf_char(&lines, '\n');
	}
	at = maker_text(c->m, (strview){lines.p != NULL ? lines.p : "", lines.n});
	buf_free(&lines);
	return at;
}

static void
entry_kind(struct compiler *c, const struct node *item)
{
	const struct node *name = node_get(item, "entry kind"), *plural = node_get(item, "plural");
	const struct node *becomes = node_get(item, "becomes"), *role = node_get(item, "role");
	const struct node *facts = node_get(item, "facts");
	struct entry_kind k = {.object_kind = NO16, .role = NO16, .fact_kind = NO16};
	struct buf lines = {0};
	struct texts heads;
	uint32_t i;

	if (!keys_known(c, item, "an entry kind", entry_kind_keys) ||
	    !is_text(c, name, "entry kind") ||
	    !is_text(c, plural, "plural"))
		return;
	if (!new_name(c, &c->entry_kinds, "an entry kind", name, sv_trim(name->text),
	    maker_view(c->m)->n_entry_kind))
		return;
	k.name = maker_text(c->m, sv_trim(name->text));
	k.plural = maker_text(c->m, sv_trim(plural->text));
	k.says = get_text_at(c, item, "says");
	heads = get_texts(c, item, "head");
	for (uint32_t h = 0; h < heads.n; h++) {
		buf_sv(&lines, sv_trim(heads.node[h]->text));
		buf_char(&lines, '\n');
	}
	k.heads = maker_text(c->m, (strview){lines.p != NULL ? lines.p : "", lines.n});
	k.after = folded_lines(c, item, "said after");
	k.asked = folded_lines(c, item, "asked");
	buf_free(&lines);
	if (becomes != NULL && is_text(c, becomes, "becomes") &&
	    (i = find_kind(c, becomes, sv_trim(becomes->text))) != NONE)
		k.object_kind = k.fact_kind = (uint16_t)i;
	if (facts != NULL && becomes != NULL) {
		diag(c->ds, facts->place, D_FACTS_AND_OBJECT, craft_text(maker_view(c->m), k.plural));
	} else if (facts != NULL && is_text(c, facts, "facts") &&
	    (i = find_kind(c, facts, sv_trim(facts->text))) != NONE) {
		k.fact_kind = (uint16_t)i;
		maker_at_kind(c->m, i)->on_paper = 1;
	}
	if (role != NULL && is_text(c, role, "role") &&
	    (i = find_role(c, role, role->text)) != NONE)
		k.role = (uint16_t)i;
	maker_add_entry_kind(c->m, &k, 1);
}

void
read_entry_kinds(struct compiler *c)
{
	each_item(c, "entry kinds", entry_kind);
}

/* ---- sources ----------------------------- */

static const char *const source_keys[] = {"!id", "!title", "body", "author", "year", "url", "note",
	"says", NULL};

static void
built_in_source(struct compiler *c, const char *id, const char *title, enum basis basis)
{
	struct cited_source s = {.id = maker_text(c->m, sv(id)), .title = maker_text(c->m,
	    sv(title)),
	    .basis = (uint8_t)basis};

	symbols_add(&c->sources, id, maker_add_source(c->m, &s, 1), (struct place){0});
}

static void
source(struct compiler *c, const struct node *item)
{
	const struct node *id = node_get(item, "id");
	struct cited_source s = {.basis = BASIS_PUBLISHED};
	strview body;

	if (!keys_known(c, item, "a source", source_keys) || !is_text(c, id, "id"))
		return;
	if (!new_name(c, &c->sources, "a source", id, sv_trim(id->text),
	    maker_view(c->m)->n_source))
		return;
	body = get_text(c, item, "body");
	if (body.n == 0)
		body = get_text(c, item, "author");
	if (body.n == 0)
		diag(c->ds, id->place, D_ONE_OF_KEYS, kept(c, id->text), "body, author");
	s.id = maker_text(c->m, sv_trim(id->text));
	s.title = get_text_at(c, item, "title");
	s.body = maker_text(c->m, body);
	s.year = get_text_at(c, item, "year");
	s.url = get_text_at(c, item, "url");
	s.own = is_own(c, id->place);
	maker_add_source(c->m, &s, 1);
}

void
read_sources(struct compiler *c)
{
	/* Their names for people are messages of kb/. */
	built_in_source(c, "practice", "", BASIS_PRACTICE);
	built_in_source(c, "memory", "", BASIS_MEMORY);
	if (c->n_own > 0) {
		c->own_source = maker_view(c->m)->n_source;
		built_in_source(c, "own", "", BASIS_OWN);
		maker_at_source(c->m, c->own_source)->own = true;
	}
	each_item(c, "sources", source);
}

/* ---- settings ----------------------------- */

static const char *const setting_keys[] = {"!setting", "!property", "label", "applies", "unplaced",
	"obtainable", "every", "from", "up to", "lighter", "heavier", "scrap test", "chosen",
	"stands out", "says", "also", NULL};

enum { OBTAINABLE_MOST = 2000 };

static int
by_size(const void *a, const void *b)
{
	double x = *(const double *)a, y = *(const double *)b;

	return (x > y) - (x < y);
}

static void
obtainable(struct compiler *c, const struct node *item, uint32_t property, struct setting *s)
{
	struct texts list = get_texts(c, item, "obtainable");
	const struct node *every = node_get(item, "every"), *from = node_get(item, "from");
	const struct node *upto = node_get(item, "up to"), *name = node_get(item, "setting");
	const struct property *p = maker_at_property(c->m, property);
	struct wanted w;
	double *all;
	uint32_t n = 0;
	range step, low, high;

	if (p->type != TYPE_QUANTITY && p->type != TYPE_BAND)
		return;
	w = wanted_property(c, kept(c, sv(craft_text(maker_view(c->m), s->name))), property);
	w.exact = true;
	w.f.bare = w.f.n_units > 0 ? w.f.units[0] : -1;
	if (list.n > 0) {
		all = arena_alloc(c->arena, list.n * sizeof *all);
		for (uint32_t i = 0; i < list.n; i++)
			if (get_range(c, list.node[i], &w, &low))
				all[n++] = low.lo;
		qsort(all, n, sizeof *all, by_size);
	} else if (every != NULL && from != NULL && upto != NULL) {
		struct wanted d = w;

		d.difference = true;
		d.f.domain = range_all();
		if (!get_range(c, every, &d, &step) || !get_range(c, from, &w, &low) ||
		    !get_range(c, upto, &w, &high))
			return;
		if (step.lo <= 0 || high.lo < low.lo ||
		    (high.lo - low.lo) / step.lo > OBTAINABLE_MOST) {
			diag(c->ds, every->place, D_TOO_MANY, "obtainable values", "2000");
			return;
		}
		all = arena_alloc(c->arena, (OBTAINABLE_MOST + 2) * sizeof *all);
		/* Counted, not added up: no error piles up. */
		while (n <= OBTAINABLE_MOST && low.lo + n * step.lo <= high.lo + step.lo * 1e-6) {
			all[n] = low.lo + n * step.lo;
			n++;
		}
	} else {
		diag(c->ds, name->place, D_ONE_OF_KEYS, kept(c, name->text),
		    "obtainable, or every with from and up to");
		return;
	}
	s->n_obtainable = n;
	if (n > 0)
		s->first_obtainable = maker_add_obtainable(c->m, all, n);
}

static void
setting(struct compiler *c, const struct node *item)
{
	const struct node *name = node_get(item, "setting"), *path = node_get(item, "property");
	struct setting s = {.applies = NONE, .unplaced = NONE};
	strview label;
	uint32_t p;

	if (!keys_known(c, item, "a setting", setting_keys) || !is_text(c, name, "setting") ||
	    !is_text(c, path, "property"))
		return;
	if (!new_name(c, &c->settings, "a setting", name, sv_trim(name->text),
	    maker_view(c->m)->n_setting))
		return;
	s.name = maker_text(c->m, sv_trim(name->text));
	label = get_text(c, item, "label");
	s.label = maker_text(c->m, label.n > 0 ? label : sv_trim(name->text));
	s.scrap_test = get_text_at(c, item, "scrap test");
	s.lighter = get_text_at(c, item, "lighter");
	s.heavier = get_text_at(c, item, "heavier");
	s.chosen = get_yes(c, item, "chosen", true);
	s.stands_out = get_yes(c, item, "stands out", false);
	p = find_path_property(c, path, sv_trim(path->text), 0);
	if (p != NONE) {
		s.property = (uint16_t)p;
		maker_at_property(c->m, p)->flags |= PROPERTY_SETTING;
		if (s.chosen)
			obtainable(c, item, p, &s);
	}
	maker_add_setting(c->m, &s, 1);
}

/* Properties that stand for a setting besides its own: a rule that touches it
 * may read any of them. */
static void
setting_also(struct compiler *c, const struct node *item)
{
	const struct node *name = node_get(item, "setting");
	struct texts list = get_texts(c, item, "also");
	uint32_t s = name != NULL ? setting_find(maker_view(c->m), sv_trim(name->text)) : NONE;

	for (uint32_t i = 0; i < list.n && s != NONE; i++) {
		uint32_t p = find_path_property(c, list.node[i], sv_trim(list.node[i]->text), 0);
		uint16_t also = (uint16_t)p;
		uint32_t at;

		if (p == NONE)
			continue;
		at = maker_add_also(c->m, &also, 1);
		if (maker_at_setting(c->m, s)->n_also++ == 0)
			maker_at_setting(c->m, s)->first_also = at;
	}
}

void
read_settings(struct compiler *c)
{
	each_item(c, "settings", setting);
	each_item(c, "settings", setting_also);
}

/* ---- what needs the expression language ----------------------------- */

static void
derive_kind(struct compiler *c, const struct node *item)
{
	const struct node *name = node_get(item, "kind"), *list = node_get(item, "properties");
	const struct symbol *k;

	if (name == NULL || name->type != NODE_TEXT || list == NULL || list->type != NODE_LIST ||
	    (k = symbols_find(&c->kinds, sv_trim(name->text), NULL)) == NULL)
		return;
	for (const struct node *i = list->first; i != NULL; i = i->next) {
		static const char *const keys[] = {"formula", "elsewhere"};
		bool elsewhere = i->type == NODE_MAP && node_get(i, keys[1]) != NULL;
		const struct node *formula = i->type == NODE_MAP ? node_get(i, keys[elsewhere])
		    : NULL;
		const struct node *p = formula != NULL ? node_get(i, "property") : NULL;
		struct scope scope = {.variable_kind = {(uint16_t)k->id},
		    .variable_name = {k->text},
		    .n_variables = 1, .formula = NONE};
		struct expected expected = {0};
		const struct symbol *y;
		const struct property *of;
		uint32_t program;

		if (p == NULL || p->type != NODE_TEXT || !is_text(c, formula, keys[elsewhere]))
			continue;
		y = symbols_find(&c->properties, sv(arena_print(c->arena, "%s.%.*s", k->text,
		    (int)sv_trim(p->text).n, sv_trim(p->text).p)), NULL);
		if (y == NULL)
			continue;
		of = maker_at_property(c->m, y->id);
		expected = (struct expected){.type = of->type, .dim = of->dim,
		    .word_set = of->word_set};
		if (elsewhere) {
			expected = (struct expected){.type = TYPE_TRUTH};
			scope.for_property = NONE;
			program = compile_expression(c, formula, 0, &scope, &expected);
			maker_at_property(c->m, y->id)->elsewhere = program;
			continue;
		}
		scope.for_property = y->id;
		program = compile_expression(c, formula, 0, &scope, &expected);
		maker_at_property(c->m, y->id)->formula = program;
	}
}

/* The condition under KEY on objects that can have the setting of number S; NONE: none. */
static uint32_t
setting_condition(struct compiler *c, const struct node *item, const char *key, uint32_t s)
{
	const struct node *n = node_get(item, key);
	struct scope scope = {.n_variables = 1, .formula = NONE, .for_property = NONE};
	struct expected truth = {.type = TYPE_TRUTH};
	uint16_t kind;

	if (n == NULL || !is_text(c, n, key))
		return NONE;
	kind = maker_at_property(c->m, maker_at_setting(c->m, s)->property)->kind;
	scope.variable_kind[0] = kind;
	scope.variable_name[0] = kept(c,
	    sv(craft_text(maker_view(c->m), maker_at_kind(c->m, kind)->name)));
	return compile_expression(c, n, 0, &scope, &truth);
}

static void
setting_applies(struct compiler *c, const struct node *item)
{
	const struct node *name = node_get(item, "setting");
	const struct symbol *y;
	uint32_t program;

	if (name == NULL || name->type != NODE_TEXT ||
	    (y = symbols_find(&c->settings, sv_trim(name->text), NULL)) == NULL)
		return;
	program = setting_condition(c, item, "applies", y->id);
	maker_at_setting(c->m, y->id)->applies = program;
	program = setting_condition(c, item, "unplaced", y->id);
	maker_at_setting(c->m, y->id)->unplaced = program;
}

void
read_derived(struct compiler *c)
{
	each_item(c, "kinds", derive_kind);
	each_item(c, "settings", setting_applies);
}
