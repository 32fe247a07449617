/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The glossary of a page: the page is read over, and what it speaks of under a
 * name of an entry is explained once, in the order of the alphabet.
 *
 * Of the words at one place the longest name counts. An entry of a kind the
 * glossary is not about takes its words with it ("silk taffeta" is no "taffeta").
 */
#include "command/handout_impl.h"

#include <string.h>

enum { WORDS_IN_A_NAME = 6, TERMS_MOST = 400, SENTENCE_LEAST = 24 };

struct reading_over {
	struct handout *h;
	const struct sheet_part *part;
	uint32_t *terms, n;
};

static bool
in_list(const uint32_t *list, uint32_t n, uint32_t x)
{
	for (uint32_t i = 0; i < n; i++)
		if (list[i] == x)
			return true;
	return false;
}

/* Of the forms the compiler makes only those that add to the name: "pleats" speaks of
 * the pleat, "bone" not of boning. */
static bool
grown(struct arena *a, strview words, const char *name)
{
	const char *key = name_key(a, words), *own = name_key(a, sv(name));

	return strncmp(key, own, strlen(own)) == 0;
}

/* Synonyms are too many, and too ordinary, to be taken for the term wherever they
 * stand: it has to be called by its own name, or by that of the reader's country. */
static bool
by_its_name(const struct reading_over *o, strview words, uint32_t entry)
{
	const struct craft *c = o->h->r->craft;

	return grown(o->h->r->arena, words, craft_text(c, c->entry[entry].name)) ||
	    grown(o->h->r->arena, words, handout_name(o->h, entry));
}

/* The entry the words mean to this reader, or NONE. */
static uint32_t
meaning(const struct reading_over *o, strview words)
{
	const struct craft *c = o->h->r->craft;
	const struct name *first;
	uint32_t n = kb_names(c, sv(name_key(o->h->r->arena, words)), &first), best = NONE;
	int rank = 0;

	for (uint32_t i = 0; i < n; i++) {
		const struct name *m = &first[i];
		int its;

		if (m->target != NAME_ENTRY || (m->region != NO16 && o->h->region != NO16 &&
		    m->region != o->h->region))
			continue;
		/* of the glossary's kinds before others; this country's before all */
		its = 1 + 4 * in_list(c->sheet_entry + o->part->first_kind, o->part->n_kinds,
		    c->entry[m->id].kind) + 2 * (m->region != NO16 && m->region == o->h->region) +
		    !m->inflected;
		if (its > rank) {
			rank = its;
			best = m->id;
		}
	}
	return best;
}

static bool
part_of_word(char b)
{
	return (b >= 'a' && b <= 'z') || (b >= 'A' && b <= 'Z') || (b >= '0' && b <= '9') ||
	    (unsigned char)b >= 0x80 || b == '\'' || b == '-';
}

static void
meet(struct reading_over *o, strview words, uint32_t entry)
{
	const struct craft *c = o->h->r->craft;

	if (by_its_name(o, words, entry) &&
	    in_list(c->sheet_entry + o->part->first_kind, o->part->n_kinds, c->entry[entry].kind) &&
	    !in_list(c->sheet_entry + o->part->first_entry, o->part->n_entries, entry) &&
	    !in_list(o->terms, o->n, entry) && o->n < TERMS_MOST)
		o->terms[o->n++] = entry;
}

static void
read_over(struct reading_over *o, const char *text)
{
	strview t = sv(text);
	size_t at = 0;

	while (at < t.n) {
		size_t ends[WORDS_IN_A_NAME] = {0}, i = at;
		uint32_t words = 0, entry = NONE;

		if (!part_of_word(t.p[at])) {
			at++;
			continue;
		}
		while (words < WORDS_IN_A_NAME && i < t.n) {
			while (i < t.n && part_of_word(t.p[i]))
				i++;
			ends[words++] = i;
			if (i >= t.n || t.p[i] != ' ' || i + 1 >= t.n || !part_of_word(t.p[i + 1]))
				break;
			i++;
		}
		while (words > 0 && entry == NONE)
			entry = meaning(o, (strview){t.p + at, ends[--words] - at});
		if (entry != NONE)
			meet(o, (strview){t.p + at, ends[words] - at}, entry);
		at = ends[entry != NONE ? words : 0];
	}
}

static const char *
folded(struct handout *h, uint32_t entry)
{
	return text_fold(h->r->arena, sv(handout_name(h, entry)));
}

static void
sort_by_name(struct handout *h, uint32_t *terms, uint32_t n)
{
	for (uint32_t i = 1; i < n; i++) {
		uint32_t x = terms[i], k = i;

		for (; k > 0 && strcmp(folded(h, terms[k - 1]), folded(h, x)) > 0; k--)
			terms[k] = terms[k - 1];
		terms[k] = x;
	}
}

/* What it is stands first; what to do about it after that. */
static const char *
first_sentence(struct run *r, const char *text)
{
	for (const char *p = text; (p = strstr(p, ". ")) != NULL; p++)
		if (p - text > SENTENCE_LEAST && p[2] >= 'A' && p[2] <= 'Z')
			return arena_text(r->arena, text, (size_t)(p - text) + 1);
	return text;
}

void
handout_terms(struct handout *h, const struct sheet_part *p)
{
	struct run *r = h->r;
	struct reading_over o = {.h = h, .part = p,
	    .terms = arena_alloc(r->arena, TERMS_MOST * sizeof *o.terms)};

	for (const struct block *b = r->page->first; b != NULL; b = b->next) {
		if (b->label != NULL)
			read_over(&o, b->label);
		if (b->text != NULL)
			read_over(&o, b->text);
		for (uint32_t i = 0; b->cells != NULL && i < b->rows * b->columns; i++)
			read_over(&o, b->cells[i]);
	}
	h->terms = o.terms;
	h->n_terms = o.n;
	if (o.n == 0)
		return;
	sort_by_name(h, o.terms, o.n);
	page_add(r->page, BLOCK_HEADING, NULL, craft_text(r->craft, p->heading))->level = 1;
	if (*craft_text(r->craft, p->says) != '\0')
		page_add(r->page, BLOCK_PARAGRAPH, NULL, craft_text(r->craft, p->says));
	for (uint32_t i = 0; i < o.n; i++) {
		const char *own = craft_text(r->craft, r->craft->entry[o.terms[i]].name);
		const char *name = handout_name(h, o.terms[i]);

		page_item(r->page, 0, TONE_PLAIN, strcmp(name, own) == 0 ? own
		    : SAY(r, "handout.term", "name", name, "own", own),
		    first_sentence(r, craft_text(r->craft, r->craft->entry[o.terms[i]].says)));
	}
}
