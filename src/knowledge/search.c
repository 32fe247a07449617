/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Search: names first, then full text, then near spellings.
 *
 * What a person types never reaches the full-text engine as it stands: its
 * words are the engine's syntax. It is split at blanks, cleared of words that
 * only ask, and every token is put in quotes.
 */
#include "knowledge/knowledge_impl.h"

#include <sqlite3.h>
#include <stdlib.h>
#include <string.h>

enum { TOKENS_MOST = 32, TOKEN_LONGEST = 64, GRAM_LONGEST = 6, ROWS_MOST = 200 };

struct finding_out {
	struct knowledge *k;
	const struct craft *c;
	const char *kind;
	struct hit *hit;
	uint32_t n, max;
	strview token[TOKENS_MOST];        /* of the folded words */
	uint32_t n_tokens;
	bool taken[TOKENS_MOST];           /* part of a name found, or a word that asks */
};

/* Scores fall by where a hit comes from; within full text, by its rank. */
#define SCORE_NAME 1000.0
#define SCORE_MEANT 800.0
#define SCORE_WITHIN 500.0
#define SCORE_ALL 100.0                    /* text that holds every word */
#define SCORE_SLIP 90.0                    /* a name misspelt among other words */
#define SCORE_ANY 50.0
#define SCORE_NEAR 10.0

static bool
wanted_kind(const struct finding_out *f, uint32_t entry)
{
	const struct entry_kind *k = &f->c->entry_kind[f->c->entry[entry].kind];

	return f->kind == NULL || strcmp(f->kind, craft_text(f->c, k->name)) == 0 ||
	    strcmp(f->kind, craft_text(f->c, k->plural)) == 0;
}

static void
add_hit(struct finding_out *f, uint32_t entry, double score)
{
	if (f->n == f->max || entry >= f->c->n_entry || !wanted_kind(f, entry))
		return;
	for (uint32_t i = 0; i < f->n; i++)
		if (f->hit[i].entry == entry)
			return;
	f->hit[f->n++] = (struct hit){entry, score};
}

/* ---- names ----------------------------- */

/* Own names before synonyms before inflections. */
static uint32_t
add_named(struct finding_out *f, strview folded, double score)
{
	const struct name *first;
	uint32_t n = kb_names(f->c, folded, &first), found = 0;

	for (int inflected = 0; inflected < 2; inflected++)
		for (uint32_t i = 0; i < n; i++)
			if (first[i].target == NAME_ENTRY && first[i].inflected == inflected &&
			    wanted_kind(f, first[i].id)) {
				found++;
				add_hit(f, first[i].id, score - 50 * inflected);
			}
	return found;
}

/* A stop word, or a phrase that asks or joins: it carries nothing to look for. */
static bool
only_asks(const struct craft *c, strview folded)
{
	const struct name *first;
	uint32_t n = kb_names(c, folded, &first);

	for (uint32_t i = 0; i < n; i++) {
		if (first[i].target == NAME_STOP)
			return true;
		if (first[i].target == NAME_PHRASE) {
			uint8_t does = c->phrase[first[i].id].does;

			if (does == PHRASE_ASK || does == PHRASE_ABOUT || does == PHRASE_CLAUSE)
				return true;
		}
	}
	return false;
}

static strview
gram(const struct finding_out *f, uint32_t from, uint32_t n)
{
	const char *start = f->token[from].p;
	strview last = f->token[from + n - 1];

	return (strview){start, (size_t)(last.p + last.n - start)};
}

/* Is there a word among these that nobody wrote as a name? Then the group may
 * be a name with a slip in it. */
static bool
holds_stranger(const struct finding_out *f, uint32_t from, uint32_t n)
{
	const struct name *first;

	for (uint32_t i = from; i < from + n; i++)
		if (f->token[i].n >= 4 && kb_names(f->c, f->token[i], &first) == 0)
			return true;
	return false;
}

/* Entries whose name differs from these words by a slip; how many. */
static uint32_t
add_near(struct finding_out *f, struct arena *a, strview folded, int farthest, double score)
{
	struct near near = {0};
	uint32_t found = 0;

	kb_names_near(f->c, folded, &near);
	for (int i = 0; i < near.n; i++)
		if (near.distance[i] <= farthest && near.distance[i] == near.distance[0])
			found += add_named(f, sv(name_key(a, sv(near.name[i]))),
			    score - near.distance[i]);
	return found;
}

/* Names that stand within the words, longest first. */
static void
names_within(struct finding_out *f, struct arena *a)
{
	for (uint32_t i = 0; i < f->n_tokens; i++) {
		uint32_t most = f->n_tokens - i < GRAM_LONGEST ? f->n_tokens - i : GRAM_LONGEST;

		for (uint32_t n = most; n > 0; n--) {
			if (n == 1 && only_asks(f->c, f->token[i]))
				break;
			if (add_named(f, gram(f, i, n), SCORE_WITHIN + n) == 0 &&
			    (n == 1 || n > 4 ||
			    !holds_stranger(f, i, n) ||
			    add_near(f, a, gram(f, i, n), 2, SCORE_WITHIN) == 0))
				continue;
			i += n - 1;
			break;
		}
	}
}

/* Groups of words that only ask are marked. */
static void
mark_asking(struct finding_out *f)
{
	for (uint32_t i = 0; i < f->n_tokens; i++)
		for (uint32_t n = f->n_tokens - i < GRAM_LONGEST ? f->n_tokens - i :
		    GRAM_LONGEST; n > 0; n--)
			if (only_asks(f->c, gram(f, i, n))) {
				for (uint32_t k = 0; k < n; k++)
					f->taken[i + k] = true;
				i += n - 1;
				break;
			}
}

/* ---- full text ----------------------------- */

static bool
has_letter(strview t)
{
	for (size_t i = 0; i < t.n; i++) {
		unsigned char ch = (unsigned char)t.p[i];

		if (ch >= 0x80 || (ch >= 'a' && ch <= 'z') || (ch >= '0' && ch <= '9'))
			return true;
	}
	return false;
}

static void
quoted(struct buf *q, strview t, bool beginning)
{
	buf_char(q, '"');
	for (size_t k = 0; k < t.n; k++) {
		if (t.p[k] == '"')
			buf_char(q, '"');
		buf_char(q, t.p[k]);
	}
	buf_str(q, beginning ? "\"*" : "\"");
}

/* Every token quoted, the last one as the beginning of a word too; "" when
 * nothing is left. */
static void
query(const struct finding_out *f, const char *joint, struct buf *q)
{
	uint32_t last = f->n_tokens;

	buf_clear(q);
	buf_add(q, "", 0);
	for (uint32_t i = 0; i < f->n_tokens; i++)
		if (!f->taken[i] && has_letter(f->token[i]))
			last = i;
	for (uint32_t i = 0; i <= last && last < f->n_tokens; i++) {
		strview t = f->token[i];

		if (f->taken[i] || !has_letter(t))
			continue;
		if (q->n > 0)
			buf_str(q, joint);
		quoted(q, t, i == last && t.n >= 2);
	}
}

/* Whether anything was there, wanted or not; SCORE 0 only looks. */
static bool
full_text(struct finding_out *f, const char *q, double score)
{
	struct sqlite3_stmt *st;
	bool any = false;
	int rc;

	if (q[0] == '\0')
		return false;
	if (f->k->search == NULL)
		f->k->search = kb_prepare(f->k,
		    "SELECT rowid, bm25(search, 10.0, 8.0, 4.0, 1.0) AS rank_ FROM search"
		    " WHERE search MATCH ? ORDER BY rank_, rowid LIMIT ?");
	st = f->k->search;
	f->k->turns = 0;
	sqlite3_bind_text(st, 1, q, -1, SQLITE_TRANSIENT);
	/* Kept to one kind, its entries may stand far behind others. */
	sqlite3_bind_int(st, 2, f->kind == NULL ? ROWS_MOST : (int)f->c->n_entry);
	while ((rc = sqlite3_step(st)) == SQLITE_ROW) {
		sqlite3_int64 id = sqlite3_column_int64(st, 0);
		double rank = -sqlite3_column_double(st, 1);

		any = true;
		if (score > 0 && id >= 1 && id <= (sqlite3_int64)f->c->n_entry)
			add_hit(f, (uint32_t)(id - 1),
			    score + (rank < score - 1 ? rank : score - 1));
	}
	if (rc != SQLITE_DONE)
		kb_damaged(f->k, "its full-text index");
	sqlite3_reset(st);
	return any;
}

/* ---- near spellings ----------------------------- */

/* A word that stands nowhere, neither as a name nor in any text: perhaps it is
 * a name with a slip. */
static void
slips(struct finding_out *f, struct arena *a)
{
	struct buf q = {0};

	for (uint32_t i = 0; i < f->n_tokens; i++) {
		const struct name *first;

		if (f->taken[i] || f->token[i].n < 4 || kb_names(f->c, f->token[i], &first) > 0)
			continue;
		buf_clear(&q);
		quoted(&q, f->token[i], true);
		if (!full_text(f, q.p, 0))
			add_near(f, a, f->token[i], 2, SCORE_SLIP);
	}
	buf_free(&q);
}

static void
split(struct finding_out *f, const char *folded)
{
	const char *p = folded;

	while (*p != '\0' && f->n_tokens < TOKENS_MOST) {
		size_t n = strcspn(p, " ");
		strview t = {p, n};

		p += n + (p[n] == ' ');
		/* Marks around a word are no part of it. */
		while (t.n > 0 && strchr("?!.,;:()[]\"'", t.p[0]) != NULL)
			t = (strview){t.p + 1, t.n - 1};
		while (t.n > 0 && strchr("?!.,;:()[]\"'", t.p[t.n - 1]) != NULL)
			t.n--;
		if (t.n > TOKEN_LONGEST) {
			t.n = TOKEN_LONGEST;
			while (t.n > 0 && ((unsigned char)t.p[t.n] & 0xc0) == 0x80)
				t.n--;
		}
		if (t.n > 0)
			f->token[f->n_tokens++] = t;
	}
}

/* Best first; of equals the one found first. */
static void
sort_hits(struct finding_out *f)
{
	for (uint32_t i = 1; i < f->n; i++) {
		struct hit h = f->hit[i];
		uint32_t at = i;

		for (; at > 0 && f->hit[at - 1].score < h.score; at--)
			f->hit[at] = f->hit[at - 1];
		f->hit[at] = h;
	}
}

uint32_t
kb_search(struct knowledge *k, struct arena *a, strview words, const char *kind, struct hit *hits,
    uint32_t max)
{
	struct finding_out f = {.k = k, .c = &k->craft, .kind = kind, .hit = hits, .max = max};
	const char *folded = text_fold(a, words);
	struct buf q = {0};

	/* The whole is a name, or one with a slip in it. */
	if (add_named(&f, sv(name_key(a, words)), SCORE_NAME) == 0 && strlen(folded) >= 5)
		add_near(&f, a, sv(folded), strlen(folded) < 8 ? 1 : 2, SCORE_MEANT);
	split(&f, folded);
	mark_asking(&f);
	names_within(&f, a);
	query(&f, " ", &q);
	if (!full_text(&f, q.p, SCORE_ALL))
		slips(&f, a);
	query(&f, " OR ", &q);
	full_text(&f, q.p, SCORE_ANY);
	if (f.n == 0) {
		add_near(&f, a, sv(folded), 3, SCORE_NEAR);
		for (uint32_t i = 0; i < f.n_tokens && f.n == 0; i++)
			if (!f.taken[i])
				add_near(&f, a, f.token[i], 3, SCORE_NEAR);
	}
	buf_free(&q);
	sort_hits(&f);
	return f.n;
}
