/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * How people head the columns of a list of materials, and what the cells of
 * some columns say in a few set words.
 */
#include "knowledge/knowledge_impl.h"

#include <string.h>

static const char *const column_keys[] = {"!column", "!called", "is", "property", "note", NULL};
static const char *const phrase_keys[] = {"!column", "!words", "sets", "measures", "role",
	"place", "names the style", "note", NULL};

static const struct { const char *word; uint8_t does; } column_words[] = {
	{"style", LIST_STYLE}, {"part", LIST_PART}, {"description", LIST_WHAT},
	{"made of", LIST_MADE_OF}, {"phrases", LIST_SAYS}, {"amount", LIST_AMOUNT},
	{"unit", LIST_UNIT}, {"passed over", LIST_PASSED_OVER},
};

static void
keep_words(struct compiler *c, const struct texts *t, struct list_word w)
{
	for (uint32_t i = 0; i < t->n; i++) {
		w.folded = maker_text(c->m, sv(name_key(c->arena, sv_trim(t->node[i]->text))));
		maker_add_list_word(c->m, &w, 1);
	}
}

static void
column(struct compiler *c, const struct node *item)
{
	const struct node *name = node_get(item, "column"), *is = node_get(item, "is");
	const struct node *property = node_get(item, "property");
	struct list_column k = {.does = LIST_PROPERTY, .property = NO16};
	struct list_word head = {.does = LIST_HEADS, .property = NO16, .role = NO16,
	    .place = NONE};
	struct texts called;
	uint32_t p;

	if (!keys_known(c, item, "a column", column_keys) || !is_text(c, name, "column"))
		return;
	if ((is == NULL) == (property == NULL)) {
		diag(c->ds, item->first->place, D_ONE_OF_KEYS, "a column", "is, property");
		return;
	}
	if (property != NULL && is_text(c, property, "property") &&
	    (p = find_path_property(c, property, sv_trim(property->text), 0)) != NONE)
		k.property = (uint16_t)p;
	if (is != NULL) {
		struct buf known = {0};
		size_t i = 0;

		if (!is_text(c, is, "is"))
			return;
		while (i < sizeof column_words / sizeof *column_words &&
		    !sv_is(sv_trim(is->text), column_words[i].word)) {
			buf_print(&known, "%s%s", i > 0 ? ", " : "", column_words[i].word);
			i++;
		}
		if (i == sizeof column_words / sizeof *column_words)
			diag(c->ds, is->place, D_UNKNOWN_WORD, kept(c, is->text), "is", known.p);
		else
			k.does = column_words[i].does;
		buf_free(&known);
	}
	k.name = maker_text(c->m, sv_trim(name->text));
	head.column = (uint16_t)maker_add_list_column(c->m, &k, 1);
	called = get_texts(c, item, "called");
	keep_words(c, &called, head);
}

static uint32_t
column_called(struct compiler *c, const struct node *n)
{
	const struct craft *v = maker_view(c->m);
	struct near near = {0};

	for (uint32_t i = 0; i < v->n_list_column; i++) {
		if (sv_is(sv_trim(n->text), craft_text(v, v->list_column[i].name)))
			return i;
		near_offer(&near, n->text, craft_text(v, v->list_column[i].name));
	}
	diag(c->ds, n->place, D_UNKNOWN_COLUMN, kept(c, n->text));
	diag_near(c->ds, &near);
	return NONE;
}

static void
list_phrase(struct compiler *c, const struct node *item)
{
	const struct node *of = node_get(item, "column"), *n;
	struct list_word w = {.property = NO16, .role = NO16,
	    .place = NONE};
	struct texts words, sets;
	uint32_t done = 0, id;

	if (!keys_known(c, item, "a list phrase", phrase_keys) || !is_text(c, of, "column") ||
	    (id = column_called(c, of)) == NONE)
		return;
	w.column = (uint16_t)id;
	words = get_texts(c, item, "words");
	sets = get_texts(c, item, "sets");
	for (uint32_t i = 0; i < sets.n; i++, done++) {
		struct phrase p = {.property = NO16};

		if (!phrase_sets(c, sets.node[i], &p))
			continue;
		w.does = LIST_SETS;
		w.property = p.property;
		w.quantity = p.quantity;
		memcpy(w.set, p.set, sizeof w.set);
		keep_words(c, &words, w);
	}
	if ((n = node_get(item, "measures")) != NULL) {
		done++;
		if (is_text(c, n, "measures") &&
		    (id = find_path_property(c, n, sv_trim(n->text), 0)) != NONE) {
			w.does = LIST_MEASURES;
			w.property = (uint16_t)id;
			keep_words(c, &words, w);
		}
	}
	if ((n = node_get(item, "role")) != NULL) {
		done++;
		if (is_text(c, n, "role") && (id = find_role(c, n, n->text)) != NONE) {
			const struct node *place = node_get(item, "place");

			w.does = LIST_ROLE;
			w.role = (uint16_t)id;
			if (place != NULL && is_text(c, place, "place"))
				w.place = find_entry(c, place, sv_trim(place->text), NONE);
			keep_words(c, &words, w);
		}
	}
	if (get_yes(c, item, "names the style", false)) {
		done++;
		w.does = LIST_NAMES_STYLE;
		keep_words(c, &words, w);
	}
	if (done == 0)
		diag(c->ds, item->first->place, D_ONE_OF_KEYS, "a list phrase",
		    "sets, measures, role, names the style");
}

void
read_lists(struct compiler *c)
{
	each_item(c, "list columns", column);
	each_item(c, "list phrases", list_phrase);
}
