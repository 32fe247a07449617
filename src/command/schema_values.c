/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The schema of project files, its small parts: what a value of each property
 * can be, by units, words and numbers, and the names of entries.
 */
#include "command/schema_impl.h"

#include <stdlib.h>
#include <string.h>

void
schema_text(struct schema *m, const char *key, const char *says)
{
	json_key(&m->j, key);
	json_str(&m->j, says);
}

void
schema_open_key(struct schema *m, const char *key, char bracket)
{
	json_key(&m->j, key);
	json_open(&m->j, bracket);
}

void
schema_refer(struct schema *m, const char *kind, const char *name)
{
	json_open(&m->j, '{');
	schema_text(m, "$ref", arena_print(m->run->arena, "#/definitions/%s%s", kind, name));
	json_close(&m->j, '}');
}

void
schema_of_type(struct schema *m, const char *type)
{
	json_open(&m->j, '{');
	schema_text(m, "type", type);
	json_close(&m->j, '}');
}

void
schema_pattern(struct schema *m, const char *regular)
{
	json_open(&m->j, '{');
	schema_text(m, "type", "string");
	schema_text(m, "pattern", regular);
	json_close(&m->j, '}');
}

static void
one_of_words(struct schema *m, const char *const *words, uint32_t n)
{
	json_open(&m->j, '{');
	schema_open_key(m, "enum", '[');
	for (uint32_t i = 0; i < n; i++)
		json_str(&m->j, words[i]);
	json_close(&m->j, ']');
	json_close(&m->j, '}');
}

/* ---- lists of names, each once ------------------------------------------------ */


static int
by_text(const void *a, const void *b)
{
	return strcmp(*(const char *const *)a, *(const char *const *)b);
}

void
schema_add(struct words *l, const char *w)
{
	if (*w == '\0')
		return;
	l->w = mem_grow(l->w, &l->cap, l->n + 1, sizeof *l->w);
	l->w[l->n++] = w;
}

void
schema_once(struct words *l)
{
	uint32_t n = 0;

	if (l->n > 0)
		qsort(l->w, l->n, sizeof *l->w, by_text);
	for (uint32_t i = 0; i < l->n; i++)
		if (n == 0 || strcmp(l->w[i], l->w[n - 1]) != 0)
			l->w[n++] = l->w[i];
	l->n = n;
}

void
schema_put_words(struct schema *m, struct words *l)
{
	schema_once(l);
	if (l->n > 0)
		one_of_words(m, l->w, l->n);
	free(l->w);
	*l = (struct words){0};
}

/* A name as it is written and as it is read. */
static void
schema_add_name(struct schema *m, struct words *l, const struct name *n)
{
	schema_add(l, craft_text(m->c, n->written));
	schema_add(l, craft_text(m->c, n->folded));
}

/* ---- values -------------------------------------------------------------------- */

static void
add_escaped(struct buf *b, const char *s)
{
	for (; *s != '\0'; s++) {
		if (*s == '2' || *s == '3')
			buf_str(b, *s == '2' ? "[2\xc2\xb2]" : "[3\xc2\xb3]");
		else if (strchr("\\^$.|?*+()[]{}/", *s) != NULL)
			buf_print(b, "\\%c", *s);
		else
			buf_char(b, *s);
	}
}

static void
add_unit(struct schema *m, struct buf *b, uint32_t unit)
{
	const struct craft_unit *u = &m->c->unit[unit];
	text_at names[2] = {u->name, u->plural};

	for (uint32_t i = 0; i < 2 + u->n_spellings; i++) {
		const char *s = craft_text(m->c, i < 2 ? names[i] :
		    m->c->spelling[u->first_spelling + i - 2]);

		if (*s == '\0' || strcmp(s, "1") == 0)
			continue;
		buf_str(b, b->n > 0 ? "|" : "");
		add_escaped(b, s);
	}
}

/* A figure and one of the units; where a bare number means something, without. */
static void
quantity_schema(struct schema *m, const struct property *p)
{
	struct buf units = {0}, bare = {0};
	bool number = p->bare_unit != NO16;

	for (uint32_t i = 0; i < p->n_units; i++) {
		uint16_t u = m->c->unit_list[p->first_unit + i];

		number = number || strcmp(craft_text(m->c, m->c->unit[u].name), "1") == 0;
		add_unit(m, &units, u);
	}
	if (number)
		schema_of_type(m, "number");
	if (units.n > 0)
		schema_pattern(m, arena_print(m->run->arena, "^(?=.*" DIGIT ").*(?:%s)", units.p));
	/* Needle numbers, "80/12", are a pair of bare ones. */
	for (uint32_t i = 0; i < m->c->n_range_word; i++) {
		const char *w = craft_text(m->c, m->c->range_word[i]);

		if (*w == '\0')
			continue;
		buf_str(&bare, "|");
		add_escaped(&bare, w);
	}
	if (number)
		schema_pattern(m, arena_print(m->run->arena, "^(?=.*" DIGIT ")(?:" DIGIT
		    "|[-., /\xe2\x80\x93]%s)+$", bare.n > 0 ? bare.p : ""));
	buf_free(&units);
	buf_free(&bare);
}

/* Words of a set by all their names; a phrase that sets the property too. */
static void
words_schema(struct schema *m, uint32_t property)
{
	const struct property *p = &m->c->property[property];
	struct words l = {0};
	uint32_t number;

	if (p->type == TYPE_WORDS) {
		const struct word_set *s = &m->c->word_set[p->word_set];

		for (uint32_t i = 0; i < s->n; i++)
			schema_add(&l, craft_text(m->c, m->c->word[s->first + i].name));
	}
	for (uint32_t i = 0; i < m->c->n_name; i++) {
		const struct name *n = &m->c->name[i];
		bool fits = false;

		if (n->target == NAME_WORD && p->type == TYPE_WORDS)
			fits = kb_word_set(m->c, n->id, &number) == p->word_set;
		else if ((n->target == NAME_ENTRY || n->target == NAME_SHORT) &&
		    p->type == TYPE_WORDS)
			fits = kb_word_of(m->c, p->word_set, n->id) != NONE;
		else if (n->target == NAME_PHRASE)
			fits = m->c->phrase[n->id].property == property &&
			    (m->c->phrase[n->id].does == PHRASE_SET ||
			    m->c->phrase[n->id].does == PHRASE_CLASS);
		if (fits)
			schema_add_name(m, &l, n);
	}
	schema_add(&l, "unknown");
	schema_put_words(m, &l);
}

bool
schema_said(const struct schema *m, uint32_t p)
{
	return m->c->property[p].type != TYPE_REF && !m->c->kind[m->c->property[p].kind].on_paper;
}

const char *
schema_full_name(const struct schema *m, uint32_t p)
{
	return arena_print(m->run->arena, "%s.%s",
	    craft_text(m->c, m->c->kind[m->c->property[p].kind].name),
	    craft_text(m->c, m->c->property[p].name));
}

void
schema_value(struct schema *m, uint32_t property)
{
	const struct property *p = &m->c->property[property];
	const char *label = craft_text(m->c, p->label), *ask = craft_text(m->c, p->ask);

	schema_open_key(m, schema_full_name(m, property), '{');
	schema_text(m, "description", *ask != '\0' ? arena_print(m->run->arena, "%s. %s", label, ask) :
	    label);
	schema_open_key(m, "anyOf", '[');
	if (p->type == TYPE_WORDS) {
		if (p->word_set == 0)
			schema_of_type(m, "boolean");
		words_schema(m, property);
		schema_pattern(m, "[A-Z]| or | to |,");
		json_open(&m->j, '{');
		schema_text(m, "type", "array");
		json_key(&m->j, "minItems");
		json_number(&m->j, 1);
		json_close(&m->j, '}');
	} else {
		quantity_schema(m, p);
		words_schema(m, property);
	}
	json_close(&m->j, ']');
	json_close(&m->j, '}');
}

/* ---- names ---------------------------------------------------------------------- */

/* All names of entries that become an object of the kind, or of the other. */
void
schema_names(struct schema *m, const char *key, uint32_t kind, uint32_t other)
{
	struct words l = {0};

	for (uint32_t i = 0; i < m->c->n_name; i++) {
		const struct name *n = &m->c->name[i];
		uint32_t of;

		if (n->target != NAME_ENTRY && n->target != NAME_SHORT)
			continue;
		of = m->c->entry_kind[m->c->entry[n->id].kind].object_kind;
		if (of == kind || (other != NONE && of == other))
			schema_add_name(m, &l, n);
	}
	schema_add(&l, "unknown");
	schema_open_key(m, key, '{');
	schema_open_key(m, "anyOf", '[');
	schema_put_words(m, &l);
	schema_pattern(m, "[A-Z-]");
	json_close(&m->j, ']');
	json_close(&m->j, '}');
}

void
schema_add_roles(struct schema *m, struct words *l)
{
	uint32_t number;

	for (uint32_t i = 0; i < m->c->word_set[m->roles].n; i++)
		schema_add(l, craft_text(m->c, m->c->word[m->c->word_set[m->roles].first + i].name));
	for (uint32_t i = 0; i < m->c->n_name; i++)
		if (m->c->name[i].target == NAME_WORD &&
		    kb_word_set(m->c, m->c->name[i].id, &number) == m->roles)
			schema_add_name(m, l, &m->c->name[i]);
	schema_add(l, "material");
}
