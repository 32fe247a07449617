/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Names that differ in nothing but spelling and small words.
 *
 * Two names are alike when their keys are equal. A key is the letters of the
 * name's words run together, articles left out, each word brought to one form
 * of English spelling and of number:
 *
 *     -ise -isation -yse     as -ize          "mercerising", "mercerized"
 *     -our -re -ogue         as -or -er -og   "colour", "fibre"
 *     doubled l              as one           "unravelling"
 *     's and plural s        left out         "tailor's", "tailors"
 *     -ed                    as -ing          "calendered", "calendering"
 *
 * "A of B" has the key of "B A". Words in another order are taken only where no name
 * has them in theirs, and only for entries that are no things of a project ("needle
 * blunt", but never "dress shirt" for a shirt dress). A bare word is never alike to
 * one in -ing: both are often names.
 */
#include "knowledge/knowledge_impl.h"

#include <string.h>

enum { KEY_LONGEST = 96, WORDS_MOST = 12, SHORTEST = 4, APART = 12 };

struct key { char p[KEY_LONGEST]; size_t n; bool whole; };

static bool
ends(const char *p, size_t n, const char *tail)
{
	size_t t = strlen(tail);

	return n >= t && memcmp(p + n - t, tail, t) == 0;
}

/* Puts TO where FROM stood at the end. */
static size_t
swap(char *p, size_t n, const char *from, const char *to)
{
	size_t f = strlen(from), t = strlen(to);

	if (n < SHORTEST + f - 1 || !ends(p, n, from))
		return n;
	memcpy(p + n - f, to, t);
	return n - f + t;
}

/* One word, in its place; how long it is then. */
static size_t
one_form(char *p, size_t n)
{
	static const struct { const char *from, *to; } tails[] = {
		{"isation", "ising"}, {"ization", "ising"}, {"izing", "ising"}, {"ized", "ising"},
		{"ize", "ise"}, {"yze", "yse"}, {"our", "or"}, {"oured", "ored"}, {"tre", "ter"},
		{"bre", "ber"}, {"ogue", "og"},
	};
	size_t kept = 0;

	if (ends(p, n, "'s"))
		n -= 2;
	for (size_t i = 0; i < n; i++)
		if (p[i] != '\'' && (p[i] != 'l' || kept == 0 || p[kept - 1] != 'l'))
			p[kept++] = p[i];
	n = kept;
	if (ends(p, n, "ies") && n > 4)
		n = swap(p, n, "ies", "y");
	else if (ends(p, n, "ches") || ends(p, n, "shes") || ends(p, n, "sses") || ends(p, n, "xes"))
		n -= 2;
	else if (n > 3 && ends(p, n, "s") && !ends(p, n, "ss") && !ends(p, n, "us"))
		n--;
	for (size_t i = 0; i < sizeof tails / sizeof *tails; i++) {
		size_t was = n;

		n = swap(p, n, tails[i].from, tails[i].to);
		if (n != was || ends(p, n, tails[i].to))
			break;
	}
	/* As long as four letters are left: "lined" and "lining" are two things. */
	if (n > SHORTEST + 1 && ends(p, n, "ed")) {
		memcpy(p + n - 2, "in", 2);
		p[n++] = 'g';
	}
	return n;
}

static bool
is_article(strview w)
{
	return sv_is(w, "a") || sv_is(w, "an") || sv_is(w, "the");
}

static void
add_words(struct key *k, const strview *w, uint32_t n)
{
	for (uint32_t i = 0; i < n; i++) {
		if (is_article(w[i]))
			continue;
		if (k->n + w[i].n + 2 > sizeof k->p) {
			k->whole = false;
			return;
		}
		memcpy(k->p + k->n, w[i].p, w[i].n);
		k->n += one_form(k->p + k->n, w[i].n);
	}
}

static void
by_alphabet(strview *w, uint32_t n)
{
	for (uint32_t i = 1; i < n; i++)
		for (uint32_t k = i; k > 0 && sv_cmp(w[k - 1], w[k]) > 0; k--) {
			strview t = w[k];

			w[k] = w[k - 1];
			w[k - 1] = t;
		}
}

static struct key
key_of(const char *folded, bool any_order)
{
	struct key k = {.whole = true};
	strview w[WORDS_MOST];
	uint32_t n = 0, of = NONE;

	for (const char *p = folded; *p != '\0';) {
		size_t len = strcspn(p, " -");

		if (len > 0 && n == WORDS_MOST)
			return (struct key){.whole = false};
		if (len > 0) {
			if (len == 2 && memcmp(p, "of", 2) == 0 && n > 0 && of == NONE)
				of = n;
			w[n++] = (strview){p, len};
		}
		p += len + (p[len] != '\0');
	}
	if (any_order)
		by_alphabet(w, n);
	if (any_order || of == NONE || of + 1 == n) {
		add_words(&k, w, n);
	} else {
		add_words(&k, w + of + 1, n - of - 1);
		add_words(&k, w, of);
	}
	return k;
}

/* No rule touches the first letter of a word, but "of" may move it. */
static bool
may_be(const char *name, const struct key *mine)
{
	return name[0] == mine->p[0] || strstr(name, " of ") != NULL ||
	    strncmp(name, "the ", 4) == 0 || strncmp(name, "a ", 2) == 0;
}

static bool
is_thing(const struct craft *c, uint32_t entry)
{
	return c->entry_kind[c->entry[entry].kind].object_kind != NO16;
}

static uint32_t
look(const struct craft *c, const char *folded, bool any_order, uint32_t *out, uint32_t max)
{
	struct key mine = key_of(folded, any_order);
	size_t length = strlen(folded);
	uint32_t n = 0;

	if (!mine.whole || mine.n < SHORTEST)
		return 0;
	/* Names as written go before those the compiler made. */
	for (int inflected = 0; inflected < 2 && n == 0; inflected++)
		for (uint32_t i = 0; i < c->n_name && n < max; i++) {
			const struct name *name = &c->name[i];
			const char *other = craft_text(c, name->folded);
			size_t letters;
			struct key k;

			if (name->target != NAME_ENTRY || name->inflected != inflected ||
			    (any_order ? is_thing(c, name->id) : !may_be(other, &mine)))
				continue;
			letters = strlen(other);
			if (letters > length + APART || length > letters + APART)
				continue;
			k = key_of(other, any_order);
			if (k.whole && k.n == mine.n && memcmp(k.p, mine.p, k.n) == 0)
				out[n++] = name->id;
		}
	return n;
}

uint32_t
names_alike(const struct craft *c, const char *folded, uint32_t *out, uint32_t max)
{
	uint32_t n = look(c, folded, false, out, max);

	return n > 0 || strchr(folded, ' ') == NULL ? n : look(c, folded, true, out, max);
}
