/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Names looked up in the lexicon, which is sorted by folded text.
 */
#include "knowledge/knowledge_impl.h"

#include <string.h>

enum { ALIKE_MOST = 16 };

/* Order of a folded view against a key of the lexicon, hyphens as blanks. */
static int
against(strview v, const char *key)
{
	for (size_t i = 0;; i++) {
		unsigned char a = i < v.n ? (unsigned char)v.p[i] : 0;
		unsigned char b = (unsigned char)key[i];

		/* A name of nothing but hyphens keeps them. */
		if (a == '-' && b != '-')
			a = ' ';
		if (a != b || a == 0)
			return (int)a - (int)b;
	}
}

uint32_t
kb_names(const struct craft *c, strview folded, const struct name **first)
{
	uint32_t lo = 0, hi = c->n_name, n = 0;

	*first = NULL;
	while (lo < hi) {
		uint32_t mid = lo + (hi - lo) / 2;

		if (against(folded, craft_text(c, c->name[mid].folded)) > 0)
			lo = mid + 1;
		else
			hi = mid;
	}
	while (lo + n < c->n_name && against(folded, craft_text(c, c->name[lo + n].folded)) == 0)
		n++;
	if (n > 0)
		*first = &c->name[lo];
	return n;
}

/* Into the best three, as near_offer would: a name once, the nearest first. */
static void
near_keep(struct near *near, const char *name, int distance)
{
	int at = near->n < 3 ? near->n : 2;

	for (int i = 0; i < near->n; i++)
		if (strcmp(near->name[i], name) == 0)
			return;
	if (near->n == 3 && distance >= near->distance[2])
		return;
	for (; at > 0 && near->distance[at - 1] > distance; at--) {
		near->name[at] = near->name[at - 1];
		near->distance[at] = near->distance[at - 1];
	}
	near->name[at] = name;
	near->distance[at] = distance;
	if (near->n < 3)
		near->n++;
}

/* Which letters occur: a slip changes at most two of them. */
static uint32_t
letters_in(strview v)
{
	uint32_t set = 0;

	for (size_t i = 0; i < v.n; i++)
		if (v.p[i] >= 'a' && v.p[i] <= 'z')
			set |= (uint32_t)1 << (v.p[i] - 'a');
	return set;
}

uint32_t
kb_names_near(const struct craft *c, strview folded, struct near *near)
{
	uint32_t mine = letters_in(folded);
	int most = 2 * edit_allowance(folded.n);

	for (uint32_t i = 0; i < c->n_name; i++) {
		const struct name *n = &c->name[i];
		const char *key = craft_text(c, n->folded);
		size_t letters = strlen(key), apart = letters > folded.n ? letters - folded.n :
		    folded.n - letters;
		struct near one = {0};

		if (n->target == NAME_STOP || n->target == NAME_ASKING || n->inflected || apart > 3 ||
		    __builtin_popcount(mine ^ letters_in((strview){key, letters})) > most)
			continue;
		near_offer(&one, folded, key);
		if (one.n == 0)
			continue;
		/* Measured by the folded name, offered as it is written. */
		near_keep(near, craft_text(c, n->written), one.distance[0]);
	}
	return (uint32_t)near->n;
}

uint32_t
kb_word_of(const struct craft *c, uint32_t set, uint32_t entry)
{
	if (set >= c->n_word_set || entry == NONE)
		return NONE;
	for (uint32_t i = 0; i < c->word_set[set].n; i++)
		if (c->word[c->word_set[set].first + i].entry == entry)
			return i;
	return NONE;
}

uint32_t
kb_word_set(const struct craft *c, uint32_t word, uint32_t *number)
{
	for (uint32_t s = 0; s < c->n_word_set; s++)
		if (word >= c->word_set[s].first &&
		    word - c->word_set[s].first < c->word_set[s].n) {
			*number = word - c->word_set[s].first;
			return s;
		}
	*number = 0;
	return NONE;
}

static bool
of_kind(const struct craft *c, uint32_t entry, const char *kind)
{
	const struct entry_kind *k = &c->entry_kind[c->entry[entry].kind];

	if (kind == NULL || strcmp(kind, craft_text(c, k->name)) == 0 ||
	    strcmp(kind, craft_text(c, k->plural)) == 0)
		return true;
	return k->object_kind != NO16 &&
	    strcmp(kind, craft_text(c, c->kind[k->object_kind].name)) == 0;
}

/* ---- names people write otherwise ------------------------------------------------ */

struct meant {
	const struct craft *c;
	const char *kind;
	uint32_t *out, n, max;
};

static void
mean(struct meant *m, uint32_t entry)
{
	for (uint32_t i = 0; i < m->n; i++)
		if (m->out[i] == entry)
			return;
	if (m->n < m->max && of_kind(m->c, entry, m->kind))
		m->out[m->n++] = entry;
}

/* The same letters, wherever the blanks stand: "top stitch", "hongkong finish". */
static bool
same_letters(const char *a, const char *b)
{
	for (;; a++, b++) {
		while (*a == ' ' || *a == '-')
			a++;
		while (*b == ' ' || *b == '-')
			b++;
		if (*a != *b || *a == '\0')
			return *a == *b;
	}
}

/* ENTRY_KIND: only entries of that kind; NONE: any. Names as written go first. */
static void
mean_letters(struct meant *m, const char *key, uint32_t entry_kind)
{
	const struct craft *c = m->c;
	uint32_t before = m->n;

	for (int inflected = 0; inflected < 2 && m->n == before; inflected++)
		for (uint32_t i = 0; i < c->n_name; i++) {
			const struct name *n = &c->name[i];

			if (n->target == NAME_ENTRY && n->inflected == inflected &&
			    (entry_kind == NONE || c->entry[n->id].kind == entry_kind) &&
			    same_letters(key, craft_text(c, n->folded)))
				mean(m, n->id);
		}
}

/* Without a word that people add to names of the kind. */
static void
mean_without(struct meant *m, struct arena *a, const char *key, strview word, uint32_t entry_kind)
{
	const struct name *first;
	size_t n = strlen(key);
	uint32_t many;
	char *rest;

	if (n > word.n + 2 && key[n - 1] == 's' && word.n > 0 && word.p[word.n - 1] != 's')
		n--;                       /* "jeans needles" */
	if (n < word.n + 2 || key[n - word.n - 1] != ' ' ||
	    memcmp(key + n - word.n, word.p, word.n) != 0)
		return;
	rest = arena_text(a, key, n - word.n - 1);
	many = kb_names(m->c, sv(rest), &first);
	for (uint32_t i = 0; i < many; i++)
		if ((first[i].target == NAME_ENTRY || first[i].target == NAME_SHORT) &&
		    m->c->entry[first[i].id].kind == entry_kind)
			mean(m, first[i].id);
	if (m->n == 0)
		mean_letters(m, rest, entry_kind);
}

uint32_t
kb_names_loose(const struct craft *c, strview written, const char *kind, uint32_t *out,
    uint32_t max)
{
	struct arena *a = arena_new();
	const char *key = name_key(a, written);
	struct meant m = {.c = c, .kind = kind, .out = out, .max = max};
	const struct name *first;
	uint32_t many, alike[ALIKE_MOST];

	if (strlen(key) >= 5)
		mean_letters(&m, key, NONE);
	for (uint32_t k = 0; k < c->n_entry_kind && m.n == 0; k++) {
		text_at lists[] = {c->entry_kind[k].heads, c->entry_kind[k].after};

		for (int l = 0; l < 2; l++)
			for (const char *p = craft_text(c, lists[l]); *p != '\0' && m.n == 0;) {
				size_t n = strcspn(p, "\n");

				mean_without(&m, a, key, (strview){p, n}, k);
				p += n + (p[n] == '\n');
			}
	}
	many = m.n == 0 ? kb_names(c, sv(key), &first) : 0;
	for (uint32_t i = 0; i < many; i++)
		if (first[i].target == NAME_SHORT)
			mean(&m, first[i].id);
	many = m.n == 0 ? names_alike(c, key, alike, ALIKE_MOST) : 0;
	for (uint32_t i = 0; i < many; i++)
		mean(&m, alike[i]);
	arena_free(a);
	return m.n;
}

uint32_t
kb_entry_find(const struct craft *c, strview written, const char *kind)
{
	struct arena *a = arena_new();
	const char *key = name_key(a, written);
	const struct name *first;
	uint32_t n = kb_names(c, sv(key), &first), found = NONE;
	int best = 0;                      /* 1 inflected, 2 regional, 3 a synonym, 4 its own */
	bool several = false;

	for (uint32_t i = 0; i < n; i++) {
		bool brief = first[i].target == NAME_SHORT && kind != NULL;
		int rank;

		if ((first[i].target != NAME_ENTRY && !brief) || !of_kind(c, first[i].id, kind))
			continue;
		rank = brief || first[i].inflected ? 1 :
		    strcmp(name_key(a, sv(craft_text(c, c->entry[first[i].id].name))), key) == 0 ?
		    4 :
		    first[i].region == NO16 ? 3 : 2;
		if (rank > best || found == NONE) {
			best = rank;
			found = first[i].id;
			several = false;
		} else if (rank == best && first[i].id != found) {
			several = true;
		}
	}
	arena_free(a);
	if (found == NONE && kb_names_loose(c, written, kind, &found, 1) == 0)
		found = NONE;
	return several ? NONE : found;
}

/* Circles are refused when compiling; the cap is for damaged files. */
static bool
is_within(const struct craft *c, uint32_t entry, uint32_t broader, int depth)
{
	const struct entry *e;

	if (entry == broader)
		return true;
	if (entry >= c->n_entry || depth == 0)
		return false;
	e = &c->entry[entry];
	for (uint32_t i = 0; i < e->n_broader; i++)
		if (is_within(c, c->broader[e->first_broader + i], broader, depth - 1))
			return true;
	return false;
}

bool
kb_entry_is(const struct craft *c, uint32_t entry, uint32_t broader)
{
	return entry < c->n_entry && is_within(c, entry, broader, 12);
}

/* ---- what the block's own check leaves to this room ----------------------------- */

static bool
name_sound(const struct craft *c, const struct name *n)
{
	const uint32_t most[] = {[NAME_ENTRY] = c->n_entry, [NAME_WORD] = c->n_word,
	    [NAME_UNIT] = c->n_unit,
	    [NAME_PHRASE] = c->n_phrase, [NAME_SETTING] = c->n_setting,
	    [NAME_PROPERTY] = c->n_property,
	    [NAME_KIND] = c->n_kind, [NAME_STOP] = STOP_KINDS, [NAME_SHORT] = c->n_entry,
	    [NAME_ASKING] = 1};

	return n->target <= NAME_ASKING && n->id < most[n->target];
}

static bool
phrase_sound(const struct craft *c, const struct phrase *p)
{
	switch ((enum phrase_does)p->does) {
	case PHRASE_SET:
	case PHRASE_CLASS:
	case PHRASE_MEASURE:
		return p->property < c->n_property;
	case PHRASE_ASK:
		return p->property < c->n_property && p->entry < c->n_setting;
	case PHRASE_ROLE_BEFORE:
	case PHRASE_ROLE_AFTER:
	case PHRASE_WITHOUT:
		return p->role < 128;
	case PHRASE_NOT:
	case PHRASE_COUNT:
	case PHRASE_ABOUT:
	case PHRASE_SCOPE:
	case PHRASE_CLAUSE:
	case PHRASE_DROP:
	case PHRASE_ADD:
		return true;
	}
	return false;
}

bool
names_sound(const struct craft *c)
{
	for (uint32_t i = 0; i < c->n_name; i++)
		if (!name_sound(c, &c->name[i]))
			return false;
	for (uint32_t i = 0; i < c->n_phrase; i++)
		if (!phrase_sound(c, &c->phrase[i]) ||
		    (c->phrase[i].source != NONE && c->phrase[i].source >= c->n_source))
			return false;
	for (uint32_t i = 0; i < c->n_list_column; i++)
		if (c->list_column[i].property != NO16 && c->list_column[i].property >= c->n_property)
			return false;
	for (uint32_t i = 0; i < c->n_list_word; i++)
		if (c->list_word[i].column >= c->n_list_column ||
		    (c->list_word[i].place != NONE && c->list_word[i].place >= c->n_entry) ||
		    (c->list_word[i].property != NO16 && c->list_word[i].property >= c->n_property))
			return false;
	for (uint32_t i = 0; i < c->n_word; i++)
		if (c->word[i].entry != NONE && c->word[i].entry >= c->n_entry)
			return false;
	for (uint32_t i = 0; i < c->n_entry_kind; i++)
		if ((c->entry_kind[i].object_kind != NO16 &&
		    c->entry_kind[i].object_kind >= c->n_kind) ||
		    (c->entry_kind[i].fact_kind != NO16 &&
		    c->entry_kind[i].fact_kind >= c->n_kind))
			return false;
	for (uint32_t i = 0; i < c->n_formula; i++) {
		const struct formula *f = &c->formula[i];

		if (f->body >= c->n_program || (f->valid != NONE && f->valid >= c->n_program) ||
		    (f->unit != NONE && f->unit >= c->n_unit) || f->source >= c->n_source)
			return false;
	}
	return true;
}
