/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Sheets and cards for print: of which parts each is made, and which lines a
 * part has; and the units people of one habit go by.
 *
 * A line tells where its text comes from: choices made for settings, properties
 * of an object, or texts of its own, the first whose condition holds for certain.
 */
#include "knowledge/knowledge_impl.h"

#include <string.h>

static const char *const sheet_keys[] = {"!sheet", "!title", "says", "for", "on a page", "usual",
    "takes", "!parts",
	"note", NULL};
static const char *const part_keys[] = {"!part", "!shows", "heading", "says", "once", "each",
	"where", "most", "wide", "high", "lines", "of", "entries", "basis", "note", NULL};
static const char *const line_keys[] = {"!line", "!label", "is", "settings", "properties", "says",
	"cases", "text", "as", "each", "at", "ticked", "basis", "note", NULL};
static const char *const case_keys[] = {"when", "!says", NULL};
static const char *const measures_keys[] = {"!measures", "!units", "beside", "note", NULL};

static const char *const shows_words[] = {
	[SHEET_SUITS] = "suits", [SHEET_TABLE] = "table", [SHEET_PLACES] = "places",
	[SHEET_LINES] = "lines", [SHEET_CAUTIONS] = "cautions", [SHEET_EXERCISES] = "exercises",
	[SHEET_GLOSSARY] = "glossary", [SHEET_SWATCHES] = "swatches", [SHEET_SOURCES] = "sources",
	[SHEET_NOTE] = "note", [SHEET_BARS] = "bars", [SHEET_DRAWINGS] = "drawings", [SHEET__COUNT] = NULL,
};
static const char *const is_words[] = {
	[SHEET_VALUES] = "values", [SHEET_SUITED] = "suited", [SHEET_WHY] = "why",
	[SHEET_NAME] = "name", [SHEET_WRITE] = "write", [SHEET_WRITE + 1] = NULL,
};
static const char *const for_words[] = {"all cloths", "each cloth", NULL};

/* The number of a word, or 0 with a message. */
static uint8_t
one_word(struct compiler *c, const struct node *map, const char *key, const char *const *words)
{
	const struct node *n = node_get(map, key);
	struct near near = {0};
	struct buf known = {0};
	uint8_t i = 0;

	if (n == NULL || !is_text(c, n, key))
		return 0;
	while (words[i] != NULL && !sv_is(sv_trim(n->text), words[i])) {
		buf_print(&known, "%s%s", i > 0 ? ", " : "", words[i]);
		near_offer(&near, sv_trim(n->text), words[i++]);
	}
	if (words[i] == NULL) {
		diag(c->ds, n->place, D_UNKNOWN_WORD, kept(c, n->text), key, known.p);
		diag_near(c->ds, &near);
		i = 0;
	}
	buf_free(&known);
	return i;
}

static uint32_t
basis_of(struct compiler *c, const struct node *map, bool wanted, const char *what)
{
	const struct node *n = node_get(map, "basis");
	uint32_t low = NONE, high;

	if (n == NULL && wanted)
		diag(c->ds, map->first->place, D_MISSING_KEY, what, "basis", "basis");
	else if (n != NULL && !get_basis(c, n, &low, &high))
		low = NONE;
	return low;
}

static struct scope
sight_of_kind(struct compiler *c, uint32_t kind)
{
	struct scope s = {.n_variables = 1, .formula = NONE, .for_property = NONE};

	s.variable_kind[0] = (uint16_t)kind;
	s.variable_name[0] = kept(c, sv(craft_text(maker_view(c->m),
	    maker_at_kind(c->m, kind)->name)));
	return s;
}

static uint32_t
condition(struct compiler *c, const struct node *map, const char *key, uint32_t kind)
{
	struct scope scope = sight_of_kind(c, kind);
	struct expected truth = {.type = TYPE_TRUTH};
	const struct node *n = node_get(map, key);

	if (n == NULL || !is_text(c, n, key))
		return NONE;
	return compile_expression(c, n, 0, &scope, &truth);
}

static void
one_case(struct compiler *c, const struct node *n, uint32_t when, uint32_t kind)
{
	struct scope scope = sight_of_kind(c, kind);
	struct sheet_case k = {.when = when};

	if (is_text(c, n, "says") && message_compile(c->m, sv_trim(n->text), text_place(n, 0,
	    n->text.n), &scope, &k.says))
		maker_add_sheet_case(c->m, &k, 1);
}

static void
cases(struct compiler *c, const struct node *item, struct sheet_line *l)
{
	const struct node *says = node_get(item, "says"), *list = node_get(item, "cases");

	l->first_case = maker_view(c->m)->n_sheet_case;
	if (says != NULL)
		one_case(c, says, NONE, l->kind);
	if (list != NULL && list->type != NODE_LIST)
		diag(c->ds, list->place, D_EXPECTED_LIST, "cases");
	for (const struct node *i = list != NULL && list->type == NODE_LIST ? list->first : NULL;
	    i != NULL; i = i->next)
		if (keys_known(c, i, "a case", case_keys))
			one_case(c, node_get(i, "says"), condition(c, i, "when", l->kind), l->kind);
	l->n_cases = maker_view(c->m)->n_sheet_case - l->first_case;
}

static void
items(struct compiler *c, const struct node *item, struct sheet_line *l)
{
	struct texts s = get_texts(c, item, "settings"), p = get_texts(c, item, "properties");

	l->first_item = maker_view(c->m)->n_sheet_item;
	for (uint32_t i = 0; i < s.n; i++) {
		uint32_t k = find_setting(c, s.node[i], sv_trim(s.node[i]->text));
		struct sheet_item it = {.setting = (uint16_t)k};

		if (k == NONE)
			continue;
		it.property = maker_at_setting(c->m, k)->property;
		l->kind = maker_at_property(c->m, it.property)->kind;
		maker_add_sheet_item(c->m, &it, 1);
	}
	for (uint32_t i = 0; i < p.n; i++) {
		uint32_t k = find_path_property(c, p.node[i], sv_trim(p.node[i]->text), 0);
		struct sheet_item it = {.setting = NO16, .property = (uint16_t)k};

		if (k == NONE)
			continue;
		l->kind = maker_at_property(c->m, k)->kind;
		maker_add_sheet_item(c->m, &it, 1);
	}
	l->n_items = maker_view(c->m)->n_sheet_item - l->first_item;
}

/* KIND: of the objects the part is about, where the line names none. */
static void
line(struct compiler *c, const struct node *item, uint32_t kind, struct symbols *names)
{
	const struct node *name = item->type == NODE_MAP ? node_get(item, "line") : NULL;
	const struct node *each = item->type == NODE_MAP ? node_get(item, "each") : NULL;
	struct sheet_line l = {.at = NONE, .source = NONE, .kind = (uint16_t)kind};
	static const char *const tells[] = {"settings", "properties", "says", "cases", "text", "is"};
	uint32_t other, told = 0;

	if (!keys_known(c, item, "a line", line_keys) || !is_text(c, name, "line") ||
	    !new_name(c, names, "a line", name, sv_trim(name->text), 0))
		return;
	if (each != NULL && is_text(c, each, "each") &&
	    (other = find_kind(c, each, sv_trim(each->text))) != NONE)
		l.kind = (uint16_t)other;
	l.name = maker_text(c->m, sv_trim(name->text));
	l.label = get_text_at(c, item, "label");
	l.is = one_word(c, item, "is", is_words);
	l.text = get_text_at(c, item, "text");
	l.form = get_text_at(c, item, "as");
	l.ticked = get_yes(c, item, "ticked", false);
	items(c, item, &l);
	l.at = condition(c, item, "at", l.kind);
	cases(c, item, &l);
	l.source = basis_of(c, item, l.n_cases > 0, "a line with texts of its own");
	for (size_t i = 0; i < sizeof tells / sizeof *tells; i++)
		told += node_get(item, tells[i]) != NULL;
	if (told == 0)
		diag(c->ds, name->place, D_ONE_OF_KEYS, "a line",
		    "settings, properties, says, cases, text, is");
	maker_add_sheet_line(c->m, &l, 1);
}

static void
entries(struct compiler *c, const struct node *item, const char *key, uint32_t *first, uint32_t *n)
{
	struct texts t = get_texts(c, item, key);

	*first = maker_view(c->m)->n_sheet_entry;
	for (uint32_t i = 0; i < t.n; i++) {
		uint32_t e = find_entry(c, t.node[i], sv_trim(t.node[i]->text), NONE);

		if (e != NONE)
			maker_add_sheet_entry(c->m, &e, 1);
	}
	*n = maker_view(c->m)->n_sheet_entry - *first;
}

static void
entry_kinds(struct compiler *c, const struct node *item, struct sheet_part *p)
{
	struct texts t = get_texts(c, item, "of");

	p->first_kind = maker_view(c->m)->n_sheet_entry;
	for (uint32_t i = 0; i < t.n; i++) {
		const struct symbol *y = symbols_find(&c->entry_kinds, sv_trim(t.node[i]->text), NULL);
		struct near near = {0};

		if (y == NULL) {
			diag(c->ds, t.node[i]->place, D_UNKNOWN_WORD, kept(c, t.node[i]->text), "of",
			    "the kinds of entries");
			symbols_near(&c->entry_kinds, sv_trim(t.node[i]->text), &near);
			diag_near(c->ds, &near);
			continue;
		}
		maker_add_sheet_entry(c->m, &y->id, 1);
	}
	p->n_kinds = maker_view(c->m)->n_sheet_entry - p->first_kind;
}

/* From 1 to 999, or 0 where none is written. */
static uint32_t
whole_number(struct compiler *c, const struct node *item, const char *key)
{
	const struct node *n = node_get(item, key);
	double x = 0;

	if (n == NULL || !is_text(c, n, key) || !get_number(c, n, sv_trim(n->text), &x))
		return 0;
	if (x >= 1 && x < 1000 && x == (double)(uint32_t)x)
		return (uint32_t)x;
	diag(c->ds, n->place, D_UNKNOWN_WORD, kept(c, n->text), key, "whole numbers from 1 to 999");
	return 0;
}

static void
part(struct compiler *c, const struct node *item, uint32_t cloth, struct symbols *names,
    struct symbols *lines)
{
	const struct node *name = item->type == NODE_MAP ? node_get(item, "part") : NULL;
	const struct node *each = item->type == NODE_MAP ? node_get(item, "each") : NULL;
	const struct node *list = item->type == NODE_MAP ? node_get(item, "lines") : NULL;
	struct sheet_part p = {.where = NONE, .kind = NO16};
	uint32_t kind = cloth, at;

	if (!keys_known(c, item, "a part", part_keys) || !is_text(c, name, "part") ||
	    !new_name(c, names, "a part", name, sv_trim(name->text), 0))
		return;
	p.name = maker_text(c->m, sv_trim(name->text));
	p.heading = get_text_at(c, item, "heading");
	p.says = get_text_at(c, item, "says");
	p.shows = one_word(c, item, "shows", shows_words);
	p.once = get_yes(c, item, "once", false);
	if (each != NULL && is_text(c, each, "each") &&
	    (kind = find_kind(c, each, sv_trim(each->text))) != NONE)
		p.kind = (uint16_t)kind;
	if (p.shows == SHEET_PLACES && each == NULL)
		diag(c->ds, name->place, D_MISSING_KEY, "a part that shows places", "each", "each");
	kind = kind != NONE ? kind : cloth;
	p.where = condition(c, item, "where", kind);
	p.most = whole_number(c, item, "most");
	p.wide = whole_number(c, item, "wide");
	p.high = whole_number(c, item, "high");
	entries(c, item, "entries", &p.first_entry, &p.n_entries);
	entry_kinds(c, item, &p);
	p.source = basis_of(c, item, false, "a part");
	if (list != NULL && list->type != NODE_LIST)
		diag(c->ds, list->place, D_EXPECTED_LIST, "lines");
	at = maker_add_sheet_part(c->m, &p, 1);
	p.first_line = maker_view(c->m)->n_sheet_line;
	for (const struct node *i = list != NULL && list->type == NODE_LIST ? list->first : NULL;
	    i != NULL; i = i->next)
		line(c, i, kind, lines);
	maker_at_sheet_part(c->m, at)->first_line = p.first_line;
	maker_at_sheet_part(c->m, at)->n_lines = maker_view(c->m)->n_sheet_line - p.first_line;
}

static void
takes(struct compiler *c, const struct node *item, struct sheet_plan *s)
{
	struct texts t = get_texts(c, item, "takes");

	s->first_taken = maker_view(c->m)->n_choice;
	for (uint32_t i = 0; i < t.n; i++) {
		uint32_t k = find_setting(c, t.node[i], sv_trim(t.node[i]->text));
		uint16_t small = (uint16_t)k;

		if (k != NONE)
			maker_add_choice(c->m, &small, 1);
	}
	s->n_taken = maker_view(c->m)->n_choice - s->first_taken;
}

/* The kind of object that has a role: the materials, of which the cloth is one. */
static uint32_t
kind_of_cloth(struct compiler *c, const struct node *n)
{
	const struct craft *v = maker_view(c->m);

	for (uint32_t i = 0; i < v->n_entry_kind; i++)
		if (v->entry_kind[i].object_kind != NO16 && v->entry_kind[i].role != NO16)
			return v->entry_kind[i].object_kind;
	diag(c->ds, n->place, D_ONE_OF_KEYS, "an entry kind, so that there can be sheets", "becomes");
	return NONE;
}

static void
sheet(struct compiler *c, const struct node *item)
{
	const struct node *name = item->type == NODE_MAP ? node_get(item, "sheet") : NULL, *list;
	struct symbols parts = {0}, lines = {0};
	struct sheet_plan s = {.cards = 0};
	uint32_t cloth, at;

	if (!keys_known(c, item, "a sheet", sheet_keys) || !is_text(c, name, "sheet") ||
	    !new_name(c, &c->sheets, "a sheet", name, sv_trim(name->text),
	    maker_view(c->m)->n_sheet) || (cloth = kind_of_cloth(c, name)) == NONE)
		return;
	list = node_get(item, "parts");
	s.name = maker_text(c->m, sv_trim(name->text));
	s.title = get_text_at(c, item, "title");
	s.says = get_text_at(c, item, "says");
	s.cards = one_word(c, item, "for", for_words);
	entries(c, item, "usual", &s.first_usual, &s.n_usual);
	s.on_a_page = whole_number(c, item, "on a page");
	takes(c, item, &s);
	at = maker_add_sheet(c->m, &s, 1);
	s.first_part = maker_view(c->m)->n_sheet_part;
	if (list->type != NODE_LIST)
		diag(c->ds, list->place, D_EXPECTED_LIST, "parts");
	for (const struct node *i = list->type == NODE_LIST ? list->first : NULL; i != NULL;
	    i = i->next)
		part(c, i, cloth, &parts, &lines);
	maker_at_sheet(c->m, at)->first_part = s.first_part;
	maker_at_sheet(c->m, at)->n_parts = maker_view(c->m)->n_sheet_part - s.first_part;
	symbols_free(&parts);
	symbols_free(&lines);
}

static uint32_t
unit_list(struct compiler *c, const struct node *item, const char *key, uint32_t *first)
{
	struct texts t = get_texts(c, item, key);

	*first = maker_view(c->m)->n_unit_list;
	for (uint32_t i = 0; i < t.n; i++) {
		uint32_t found = find_unit(c, t.node[i]);
		uint16_t unit = (uint16_t)found;

		if (found != NONE)
			maker_add_unit_list(c->m, &unit, 1);
	}
	return maker_view(c->m)->n_unit_list - *first;
}

static void
measures(struct compiler *c, const struct node *item)
{
	const struct node *name = item->type == NODE_MAP ? node_get(item, "measures") : NULL;
	struct measures m = {0};

	if (!keys_known(c, item, "a list of measures", measures_keys) ||
	    !is_text(c, name, "measures") || !new_name(c, &c->measures, "a list of measures", name,
	    sv_trim(name->text), maker_view(c->m)->n_measures))
		return;
	m.name = maker_text(c->m, sv_trim(name->text));
	m.n = unit_list(c, item, "units", &m.first);
	m.n_beside = unit_list(c, item, "beside", &m.first_beside);
	maker_add_measures(c->m, &m, 1);
}

void
read_sheets(struct compiler *c)
{
	each_item(c, "measures", measures);
	each_item(c, "sheets", sheet);
}
