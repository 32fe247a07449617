/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Does an answer match what was expected?
 *
 * Words are looked up in the program's own names, exact or inflected, and
 * compared by what they mean: the same entry or value, or a broader kind of
 * the answer.  Only a phrase that names nothing is compared by its words, and
 * then with all of them.  Numbers are compared in the unit of the case.
 */
#include "exam.h"

#include <string.h>

enum { MEANINGS_MOST = 64 };

int
unit_written(const struct exam *x, const char *written, dimension dim)
{
	const struct units *u = x->c->units;

	for (int pass = 0; pass < 2; pass++) {
		for (uint32_t i = 0; i < u->n; i++) {
			bool it = strcmp(u->u[i].name, written) == 0;

			for (const char *const *s = u->u[i].spellings; !it && *s != NULL; s++)
				it = strcmp(*s, written) == 0;
			if (it && dim_eq(u->u[i].dim, dim))
				return (int)i;
		}
		for (uint32_t r = 0; pass == 0 && r < x->units.n_rows; r++)
			if (strcmp(sheet_cell(&x->units, r, "written"), written) == 0) {
				written = sheet_cell(&x->units, r, "unit");
				break;
			}
	}
	return -1;
}

/* ---- what a phrase means --------------------------------------------------- */

struct meanings {
	uint32_t entry[MEANINGS_MOST], n_entries;
	struct { uint32_t set, word; } word[MEANINGS_MOST];
	uint32_t n_words;
};

/* A phrase that says one value of a set, as people word it. */
static void
phrase_value(const struct craft *c, uint32_t phrase, struct meanings *m)
{
	const struct phrase *p = &c->phrase[phrase];
	uint32_t set, word = NONE;

	if (p->does != PHRASE_SET || p->property == NO16 || p->property >= c->n_property ||
	    c->property[p->property].type != TYPE_WORDS)
		return;
	set = c->property[p->property].word_set;
	for (uint32_t i = 0; i < c->word_set[set].n; i++)
		if (p->set[i >> 6] >> (i & 63) & 1) {
			if (word != NONE)
				return;    /* one of several: names no one value */
			word = i;
		}
	if (word == NONE || m->n_words == MEANINGS_MOST)
		return;
	m->word[m->n_words].set = set;
	m->word[m->n_words++].word = word;
	if (c->word[c->word_set[set].first + word].entry != NONE && m->n_entries < MEANINGS_MOST)
		m->entry[m->n_entries++] = c->word[c->word_set[set].first + word].entry;
}

static void
meanings_of(const struct exam *x, const char *phrase, struct meanings *m)
{
	const struct craft *c = x->c;
	const struct name *name;
	uint32_t n = kb_names(c, sv(text_fold(x->row, sv(phrase))), &name);

	m->n_entries = m->n_words = 0;
	for (uint32_t i = 0; i < n; i++) {
		if ((name[i].target == NAME_ENTRY || name[i].target == NAME_SHORT)
		    && m->n_entries < MEANINGS_MOST) {
			m->entry[m->n_entries++] = name[i].id;
		} else if (name[i].target == NAME_WORD && m->n_words < MEANINGS_MOST) {
			uint32_t number, set = kb_word_set(c, name[i].id, &number);

			if (set != NONE) {
				m->word[m->n_words].set = set;
				m->word[m->n_words++].word = number;
			}
		} else if (name[i].target == NAME_PHRASE) {
			phrase_value(c, name[i].id, m);
		}
	}
}

uint32_t
entries_named(const struct exam *x, const char *phrase, uint32_t *out, uint32_t max)
{
	const struct name *name;
	uint32_t n = kb_names(x->c, sv(text_fold(x->row, sv(phrase))), &name), found = 0;

	for (uint32_t i = 0; i < n && found < max; i++)
		if (name[i].target == NAME_ENTRY)
			out[found++] = name[i].id;
	return found;
}

/* ---- kin --------------------------------------------------------------------- */

static bool
all_in(struct list a, struct list b)
{
	for (uint32_t i = 0; i < a.n; i++) {
		bool there = false;

		for (uint32_t k = 0; k < b.n && !there; k++)
			there = strcmp(a.item[i], b.item[k]) == 0;
		if (!there)
			return false;
	}
	return a.n > 0;
}

/* A root says no more than what sort of thing it is: its name is the name of
 * its kind of entry or part of it, or most entries of the kind are below it. */
static bool
is_root(struct exam *x, uint32_t entry)
{
	const struct craft *c = x->c;
	const struct entry *e = &c->entry[entry];
	const struct entry_kind *k = &c->entry_kind[e->kind];
	struct list own = stems_of(x->stemmer, sv(craft_text(c, e->name)));
	uint32_t below = 0, of = 0;

	if (all_in(own, stems_of(x->stemmer, sv(craft_text(c, k->name)))) ||
	    all_in(own, stems_of(x->stemmer, sv(craft_text(c, k->plural)))))
		return true;
	for (uint32_t i = 0; i < c->n_entry; i++)
		if (c->entry[i].kind == e->kind) {
			of++;
			below += i != entry && kb_entry_is(c, i, entry);
		}
	return of > 2 && below * 2 > of;
}

static bool
is_kin(struct exam *x, uint32_t answer, uint32_t expected)
{
	return answer == expected || (kb_entry_is(x->c, answer, expected) && !is_root(x, expected));
}

static struct list
own_name_stems(struct exam *x, const struct answer *a)
{
	const struct craft *c = x->c;

	if (a->is == ANSWER_WORD) {
		const struct word *w = &c->word[c->word_set[a->set].first + a->word];

		return stems_of(x->stemmer, sv(craft_text(c, w->name)));
	}
	return stems_of(x->stemmer, sv(craft_text(c, c->entry[a->entry].name)));
}

static bool
holds(range whole, range part)
{
	double hair = 1e-9 * (whole.hi > 1 ? whole.hi : 1);

	return whole.lo - hair <= part.lo && part.hi <= whole.hi + hair;
}

/* "cool", where the knowledge says how warm that is; "150 C". */
static bool
number_phrase(const struct exam *x, const struct answer *a, const char *phrase)
{
	const struct craft *c = x->c;
	const struct property *p = &c->property[a->property];
	const struct name *name;
	uint32_t n = kb_names(c, sv(text_fold(x->row, sv(phrase))), &name);
	struct reading_for as = {.dim = p->dim, .units = c->unit_list + p->first_unit,
	    .n_units = p->n_units, .bare = -1, .domain = p->domain, .about = p->about};
	struct reading read;

	for (uint32_t i = 0; i < n; i++) {
		const struct phrase *f = &c->phrase[name[i].id];

		if (name[i].target == NAME_PHRASE && f->does == PHRASE_SET &&
		    f->property == a->property && holds(f->quantity, a->number))
			return true;
	}
	read = reading_of(c->units, c->range_words, &as, sv(phrase), true);
	return read.fault == READ_FINE && holds(read.value, a->number);
}

bool
match_phrase(struct exam *x, const struct answer *a, const char *phrase)
{
	struct meanings m;

	if (a->is == ANSWER_NUMBER)
		return a->property != NONE && number_phrase(x, a, phrase);
	if (a->is != ANSWER_ENTRY && a->is != ANSWER_WORD)
		return false;
	meanings_of(x, phrase, &m);
	for (uint32_t i = 0; a->is == ANSWER_ENTRY && i < m.n_entries; i++)
		if (is_kin(x, a->entry, m.entry[i]))
			return true;
	for (uint32_t i = 0; a->is == ANSWER_WORD && i < m.n_words; i++)
		if (m.word[i].set == a->set && m.word[i].word == a->word)
			return true;
	if (m.n_entries > 0 || m.n_words > 0)
		return false;
	return stems_equal(stems_of(x->stemmer, sv(phrase)), own_name_stems(x, a));
}

bool
match_expected(struct exam *x, const struct answer *a, const char *phrases)
{
	struct list l = list_split(x->row, phrases, '|');

	for (uint32_t i = 0; i < l.n; i++)
		if (match_phrase(x, a, l.item[i]))
			return true;
	return false;
}

bool
match_entry_named(struct exam *x, uint32_t entry, const char *phrase)
{
	uint32_t named[MEANINGS_MOST], n = entries_named(x, phrase, named, MEANINGS_MOST);
	struct answer a = {.is = ANSWER_ENTRY, .entry = entry};

	for (uint32_t i = 0; i < n; i++)
		if (named[i] == entry)
			return true;
	return n == 0 && stems_equal(stems_of(x->stemmer, sv(phrase)), own_name_stems(x, &a));
}

/* ---- numbers ------------------------------------------------------------------- */

static bool
bound(const char *text, double *out)
{
	strview t = sv_trim(sv(text));
	bool minus = t.n > 0 && t.p[0] == '-';
	size_t used;

	if (minus)
		t.p++, t.n--;
	if (t.n == 0 || !number_read(t, &used, out) || used != t.n)
		return false;
	*out = minus ? -*out : *out;
	return true;
}

bool
match_number(const struct exam *x, const struct answer *a, const char *min, const char *max,
    const char *unit)
{
	int u;
	double low, high, hair;
	range r;
	bool ok;

	if (a->is != ANSWER_NUMBER || (u = unit_written(x, unit, a->dim)) < 0)
		return false;
	r = unit_range_from_base(&x->c->units->u[u], a->number, &ok);
	if (!ok)
		return false;
	hair = 1e-9 * (r.hi > 1 ? r.hi : 1);       /* what converting there and back may cost */
	if (bound(min, &low) && r.lo < low - hair)
		return false;
	if (bound(max, &high) && r.hi > high + hair)
		return false;
	return *min != '\0' || *max != '\0';
}

/* ---- answers --------------------------------------------------------------------- */

uint32_t
answers_of(const struct exam *x, uint32_t property, const value *v, struct answer *out,
    uint32_t max)
{
	const struct craft *c = x->c;
	const struct property *p = &c->property[property];
	const struct word_set *s;
	uint32_t n = 0;

	if (v->state != VALUE_KNOWN || max == 0)
		return 0;
	if (p->type == TYPE_QUANTITY || p->type == TYPE_BAND) {
		out[0] = (struct answer){.is = ANSWER_NUMBER, .number = v->r, .dim = p->dim,
		    .property = property};
		return 1;
	}
	if (p->type != TYPE_WORDS)
		return 0;
	s = &c->word_set[p->word_set];
	for (uint32_t i = 0; i < s->n && n < max; i++) {
		uint32_t entry = c->word[s->first + i].entry;

		if (!(v->set[i >> 6] >> (i & 63) & 1))
			continue;
		out[n++] = entry != NONE ? (struct answer){.is = ANSWER_ENTRY, .entry = entry}
		    : (struct answer){.is = ANSWER_WORD, .set = p->word_set, .word = i};
	}
	return n;
}

void
answer_print(struct buf *b, const struct exam *x, const struct answer *a, uint32_t property)
{
	const struct craft *c = x->c;

	switch (a->is) {
	case ANSWER_NONE:
		buf_str(b, "nothing");
		break;
	case ANSWER_ENTRY:
		buf_str(b, craft_text(c, c->entry[a->entry].name));
		break;
	case ANSWER_WORD:
		buf_str(b, craft_text(c, c->word[c->word_set[a->set].first + a->word].name));
		break;
	case ANSWER_NUMBER:
		range_print(b, c->units, property != NONE && c->property[property].n_units > 0 ?
		    (int)c->unit_list[c->property[property].first_unit] : 0, a->number,
		    property != NONE ? c->property[property].step : 0);
		break;
	}
}

/* ---- families ---------------------------------------------------------------------- */

bool
touches(const struct exam *x, const char *setting, const char *other)
{
	if (strcmp(setting, other) == 0)
		return true;
	for (uint32_t r = 0; r < x->families.n_rows; r++) {
		struct list l = list_split(x->row, sheet_cell(&x->families, r, "settings"), '|');
		bool one = false, two = false, any = false;

		for (uint32_t i = 0; i < l.n; i++) {
			one = one || strcmp(l.item[i], setting) == 0;
			two = two || strcmp(l.item[i], other) == 0;
			any = any || strcmp(l.item[i], "*") == 0;
		}
		if (one && (two || any))
			return true;
	}
	return false;
}
