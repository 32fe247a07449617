/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Search: a name first, else every word for what it is worth.
 *
 * Words typed that are a name as a whole, or with words that ask before and behind
 * it, or one with a slip in it, come first.
 * Else each word that does not only ask is looked for by itself. A word is worth
 * its rarity, log2 of entries over those that hold it; an entry is worth
 *
 *     what its texts say      bm25 of every word, names and synonyms weighing most
 *     how much it covers      the share of the words' worth that it holds at all
 *     its own names           worth of the words of a name that stands whole in the
 *                             question, by the share of the question that it is
 *     how it was asked        kinds say which words ask for them (schema: `asked`)
 *
 * so a short common name in a long question weighs little, a rare one much. Words
 * that name an entry are looked for by its own name too. A word that stands
 * nowhere is taken as the beginning of one, then as a name with a slip.
 *
 * What a person types never reaches the full-text engine as it stands: its
 * words are the engine's syntax. It is split at blanks, cleared of words that
 * only ask, and every token is put in quotes.
 */
#include "knowledge/knowledge_impl.h"

#include <sqlite3.h>
#include <stdlib.h>
#include <string.h>

enum { TOKENS_MOST = 32, TOKEN_LONGEST = 64, GRAM_LONGEST = 6, LOOSE_MOST = 8 };

struct finding_out {
	struct knowledge *k;
	const struct craft *c;
	struct arena *arena;
	const char *kind;
	struct hit *hit;
	uint32_t n, max;
	strview token[TOKENS_MOST];        /* of the folded words */
	uint32_t n_tokens;
	bool asks[TOKENS_MOST];            /* a word that only asks */
	bool chooses;                      /* the words ask for a setting: "which foot" */
	double worth[TOKENS_MOST], whole;  /* of each word, and together */
	double *score, *covered, *named;   /* per entry */
	uint64_t in_names;                 /* bit n: word n is part of a name */
	uint64_t *held;                    /* per entry: bit n: word n is covered already */
};

#define SCORE_NAME 1000.0
#define SCORE_LOOSE 900.0
#define SCORE_ASKED 850.0
#define SCORE_MEANT 800.0
#define SCORE_NEAR 10.0

/* How the parts weigh against each other; tried on questions of our own, see
 * tests/unit/check_phrases.c. */
#define COVER_LEAST 0.15                   /* of an entry that covers next to nothing */
#define NAME_WEIGHT 3.0
#define BY_OTHER_NAME 0.7
#define ASKED_WEIGHT 1.5
#define CHOICE_WEIGHT 4.0                  /* of entries that are what a setting can be */

static bool
wanted_kind(const struct finding_out *f, uint32_t entry)
{
	const struct entry_kind *k = &f->c->entry_kind[f->c->entry[entry].kind];

	return f->kind == NULL || strcmp(f->kind, craft_text(f->c, k->name)) == 0 ||
	    strcmp(f->kind, craft_text(f->c, k->plural)) == 0;
}

static void
add_hit(struct finding_out *f, uint32_t entry, double score, bool all)
{
	if (f->n == f->max || entry >= f->c->n_entry || !wanted_kind(f, entry))
		return;
	for (uint32_t i = 0; i < f->n; i++)
		if (f->hit[i].entry == entry)
			return;
	f->hit[f->n++] = (struct hit){entry, score, all};
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
				add_hit(f, first[i].id, score - 50 * inflected, true);
			}
	return found;
}

static uint32_t
add_loose(struct finding_out *f, strview words, double score)
{
	uint32_t out[LOOSE_MOST], n = kb_names_loose(f->c, words, f->kind, out, LOOSE_MOST);

	for (uint32_t i = 0; i < n; i++)
		add_hit(f, out[i], score, true);
	return n;
}

/* A stop word, or a phrase that asks or joins: it carries nothing to look for. */
static bool
only_asks(struct finding_out *f, strview folded)
{
	const struct craft *c = f->c;
	const struct name *first;
	uint32_t n = kb_names(c, folded, &first);

	for (uint32_t i = 0; i < n; i++) {
		if (first[i].target == NAME_STOP || first[i].target == NAME_ASKING)
			return true;
		if (first[i].target == NAME_PHRASE) {
			uint8_t does = c->phrase[first[i].id].does;

			f->chooses = f->chooses || does == PHRASE_ASK;
			if (does == PHRASE_ASK || does == PHRASE_ABOUT || does == PHRASE_CLAUSE)
				return true;
		}
	}
	return false;
}

/* Words FROM .. FROM + N - 1 with blanks between; a slip is put right in them. */
static strview
gram(const struct finding_out *f, uint32_t from, uint32_t n)
{
	struct buf b = {0};
	strview t;

	for (uint32_t i = from; i < from + n; i++) {
		if (i > from)
			buf_char(&b, ' ');
		buf_sv(&b, f->token[i]);
	}
	t = (strview){arena_text(f->arena, b.p != NULL ? b.p : "", b.n), b.n};
	buf_free(&b);
	return t;
}

/* Entries whose name differs from these words by a slip; how many. */
static uint32_t
add_near(struct finding_out *f, strview folded, int farthest, double score)
{
	struct near near = {0};
	uint32_t found = 0;

	kb_names_near(f->c, folded, &near);
	for (int i = 0; i < near.n; i++)
		if (near.distance[i] <= farthest && near.distance[i] == near.distance[0])
			found += add_named(f, sv(name_key(f->arena, sv(near.name[i]))),
			    score - near.distance[i]);
	return found;
}

/* A word that stands nowhere, but for a slip only asks: "diffrence". */
static bool
nearly_asks(struct finding_out *f, strview t)
{
	const struct name *first;
	struct near near = {0};

	if (t.n < 6 || kb_names(f->c, t, &first) > 0)
		return false;
	for (uint32_t i = 0; i < f->c->n_name; i++)
		if (f->c->name[i].target == NAME_STOP || f->c->name[i].target == NAME_ASKING)
			near_offer(&near, t, craft_text(f->c, f->c->name[i].folded));
	return near.n > 0 && near.distance[0] <= (t.n < 8 ? 1 : 2);
}

/* Groups of words that only ask are marked; where nothing else would be left, only
 * the small words are. */
static void
mark_asking(struct finding_out *f)
{
	bool all = true;

	for (uint32_t i = 0; i < f->n_tokens; i++)
		for (uint32_t n = f->n_tokens - i < GRAM_LONGEST ? f->n_tokens - i :
		    GRAM_LONGEST; n > 0; n--)
			if (only_asks(f, gram(f, i, n))) {
				for (uint32_t k = 0; k < n; k++)
					f->asks[i + k] = true;
				i += n - 1;
				break;
			}
	for (uint32_t i = 0; i < f->n_tokens; i++)
		all = all && f->asks[i];
	for (uint32_t i = 0; i < f->n_tokens && all; i++) {
		const struct name *first;
		uint32_t n = kb_names(f->c, f->token[i], &first);

		f->asks[i] = n == 0 || first[n - 1].target != NAME_ASKING;
	}
}

/* What is left when the asking before and behind is taken off is a name: "what is
 * the eye of a needle called". */
static bool
add_asked(struct finding_out *f)
{
	uint32_t from = 0, n = f->n_tokens;

	while (n > 0 && f->asks[from + n - 1])
		n--;
	for (; n > 0 && f->asks[from]; n--)
		from++;
	return n > 0 && n < f->n_tokens && !f->chooses && (add_named(f, gram(f, from, n),
	    SCORE_ASKED) > 0 ||
	    add_loose(f, gram(f, from, n), SCORE_ASKED) > 0);
}

/* ---- words ----------------------------- */

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

/* log2, straight between powers of two: enough to weigh words by, and the same
 * everywhere. */
static double
log2_about(double x)
{
	double n = 0;

	for (; x >= 2; x /= 2)
		n++;
	return n + x - 1;
}

/* Rows of a query in the engine's words: how many, and for each the entry and what
 * its texts say to it. */
struct row { uint32_t entry; double rank; };

static uint32_t
rows(struct finding_out *f, const char *q, struct row *out)
{
	struct sqlite3_stmt *st;
	uint32_t n = 0;
	int rc;

	if (f->k->search == NULL)
		f->k->search = kb_prepare(f->k,
		    "SELECT rowid, bm25(search, 10.0, 8.0, 4.0, 1.0) FROM search WHERE search MATCH ?");
	st = f->k->search;
	f->k->turns = 0;
	sqlite3_bind_text(st, 1, q, -1, SQLITE_TRANSIENT);
	while ((rc = sqlite3_step(st)) == SQLITE_ROW) {
		sqlite3_int64 id = sqlite3_column_int64(st, 0);

		if (id < 1 || id > (sqlite3_int64)f->c->n_entry || n == f->c->n_entry)
			continue;
		out[n].entry = (uint32_t)(id - 1);
		out[n++].rank = -sqlite3_column_double(st, 1);
	}
	if (rc != SQLITE_DONE)
		kb_damaged(f->k, "its full-text index");
	sqlite3_reset(st);
	return n;
}

static double
worth_of(const struct finding_out *f, uint32_t n_rows)
{
	return log2_about(((double)f->c->n_entry + 1) / ((double)n_rows + 1)) + 0.1;
}

/* The rows speak for words FROM .. FROM + N - 1, so far as those do not stand there
 * themselves. */
static void
speak(struct finding_out *f, const struct row *r, uint32_t n_rows, uint32_t from, uint32_t n,
    double by)
{
	for (; n_rows > 0; n_rows--, r++) {
		bool held = true;

		for (uint32_t i = from; i < from + n; i++) {
			uint64_t bit = (uint64_t)1 << i;

			if (f->held[r->entry] & bit || f->asks[i])
				continue;
			held = false;
			f->held[r->entry] |= bit;
			f->covered[r->entry] += by * f->worth[i];
		}
		if (!held)
			f->score[r->entry] += by * r->rank;
	}
}

/* The word as it stands, else as the beginning of one, else as a name with a slip. */
static void
look_for(struct finding_out *f, uint32_t i, struct row *r)
{
	strview t = f->token[i];
	const struct name *first;
	struct near near = {0};
	struct buf q = {0};
	uint32_t n;

	quoted(&q, t, false);
	n = rows(f, q.p, r);
	if (n == 0 && nearly_asks(f, t)) {
		f->asks[i] = true;
		buf_free(&q);
		return;
	}
	if (n == 0 && kb_names(f->c, t, &first) == 0) {
		if (t.n >= 2) {
			buf_clear(&q);
			quoted(&q, t, true);
			n = rows(f, q.p, r);
		}
		if (n == 0 && t.n >= 4)
			kb_names_near(f->c, t, &near);
		if (near.n > 0 && near.distance[0] <= (t.n < 6 ? 1 : 2)) {
			const char *meant = name_key(f->arena, sv(near.name[0]));

			f->token[i] = sv(meant);
			buf_clear(&q);
			quoted(&q, f->token[i], false);
			n = rows(f, q.p, r);
		}
	}
	f->worth[i] = worth_of(f, n);
	f->whole += f->worth[i];
	speak(f, r, n, i, 1, 1);
	buf_free(&q);
}

/* ---- names within the words ----------------------------- */

/* A name that stands whole among the words: worth of its words, by how much of the
 * question they are. */
static void
name_stands(struct finding_out *f, uint32_t entry, uint32_t from, uint32_t n, double by)
{
	double worth = 0;

	for (uint32_t i = from; i < from + n; i++) {
		worth += f->asks[i] ? 0 : f->worth[i];
		f->in_names |= (uint64_t)1 << i;
		if (!f->asks[i] && !(f->held[entry] >> i & 1)) {
			f->held[entry] |= (uint64_t)1 << i;
			f->covered[entry] += f->worth[i];
		}
	}
	f->named[entry] += by * worth;
}

/* Where the words are nothing but names, each of them is meant. */
static void
weigh_names(struct finding_out *f)
{
	bool all = true;

	for (uint32_t i = 0; i < f->n_tokens; i++)
		all = all && (f->asks[i] || (f->in_names >> i & 1));
	for (uint32_t e = 0; e < f->c->n_entry && f->whole > 0; e++)
		f->score[e] += NAME_WEIGHT * f->named[e] * (all ? 1 : f->named[e] / f->whole);
}

/* Texts that call by its own name what the words call by another. */
static void
by_own_name(struct finding_out *f, uint32_t entry, uint32_t from, uint32_t n, struct row *r)
{
	const char *own = name_key(f->arena, sv(craft_text(f->c, f->c->entry[entry].name)));
	struct buf q = {0};

	if (sv_is(gram(f, from, n), own))
		return;
	quoted(&q, sv(own), false);
	speak(f, r, rows(f, q.p, r), from, n, BY_OTHER_NAME);
	buf_free(&q);
}

static uint32_t
names_at(struct finding_out *f, strview text, uint32_t from, uint32_t n, struct row *r)
{
	const struct name *first;
	uint32_t many = kb_names(f->c, text, &first), found = 0, one = NONE;
	bool several = false;

	for (uint32_t i = 0; i < many; i++) {
		if (first[i].target != NAME_ENTRY)
			continue;
		several = several || (one != NONE && one != first[i].id);
		one = first[i].id;
		found++;
		name_stands(f, first[i].id, from, n, first[i].inflected ? 0.9 : 1);
	}
	if (one != NONE && !several)
		by_own_name(f, one, from, n, r);
	return found;
}

/* A group with a word in it that stands nowhere may be a name with a slip. */
static uint32_t
names_near(struct finding_out *f, uint32_t from, uint32_t n, struct row *r)
{
	double rarest = worth_of(f, 0);
	struct near near = {0};
	bool stranger = false;
	uint32_t found = 0;

	for (uint32_t i = from; i < from + n; i++)
		stranger = stranger || (f->token[i].n >= 4 && f->worth[i] >= rarest);
	if (!stranger || n < 2 || n > 4)
		return 0;
	kb_names_near(f->c, gram(f, from, n), &near);
	for (int i = 0; i < near.n; i++)
		if (near.distance[i] <= 2 && near.distance[i] == near.distance[0])
			found += names_at(f, sv(name_key(f->arena, sv(near.name[i]))), from, n, r);
	return found;
}

/* Longest first; a name within a longer one is not meant. */
static void
names_within(struct finding_out *f, struct row *r)
{
	for (uint32_t i = 0; i < f->n_tokens; i++) {
		uint32_t most = f->n_tokens - i < GRAM_LONGEST ? f->n_tokens - i : GRAM_LONGEST;

		for (uint32_t n = most; n > 0; n--) {
			if (n == 1 && f->asks[i])
				break;
			if (names_at(f, gram(f, i, n), i, n, r) == 0 && names_near(f, i, n, r) == 0)
				continue;
			i += n - 1;
			break;
		}
	}
}

/* ---- how it was asked ----------------------------- */

/* Does one of the lines stand among the words? */
static bool
asked_by(const char *lines, const char *among)
{
	struct buf b = {0};
	bool found = false;

	while (*lines != '\0' && !found) {
		size_t n = strcspn(lines, "\n");

		buf_clear(&b);
		buf_char(&b, ' ');
		buf_add(&b, lines, n);
		buf_char(&b, ' ');
		found = strstr(among, b.p) != NULL;
		lines += n + (lines[n] == '\n');
	}
	buf_free(&b);
	return found;
}

/* "which foot": the words ask for a setting that is chosen from these entries. */
static bool
chosen_from(const struct finding_out *f, uint32_t setting, uint32_t kind)
{
	const struct property *q = &f->c->property[f->c->setting[setting].property];

	return q->type == TYPE_WORDS && f->c->word_set[q->word_set].entries_of == kind;
}

static void
weigh_choices(struct finding_out *f, double *by)
{
	for (uint32_t i = 0; i < f->n_tokens; i++)
		for (uint32_t n = 1; n <= GRAM_LONGEST && i + n <= f->n_tokens; n++) {
			const struct name *first;
			uint32_t many = f->asks[i] ? kb_names(f->c, gram(f, i, n), &first) : 0;

			for (uint32_t k = 0; k < many; k++) {
				const struct phrase *p = first[k].target == NAME_PHRASE ?
				    &f->c->phrase[first[k].id] : NULL;

				for (uint32_t e = 0; e < f->c->n_entry_kind; e++)
					if (p != NULL && p->does == PHRASE_ASK && chosen_from(f, p->entry, e))
						by[e] = CHOICE_WEIGHT;
			}
		}
}

static void
weigh_kinds(struct finding_out *f)
{
	double *by = arena_alloc(f->arena, (f->c->n_entry_kind + 1) * sizeof *by);
	struct buf among = {0};

	buf_char(&among, ' ');
	for (uint32_t i = 0; i < f->n_tokens; i++) {
		buf_sv(&among, f->token[i]);
		buf_char(&among, ' ');
	}
	for (uint32_t i = 0; i < f->c->n_entry_kind; i++)
		by[i] = asked_by(craft_text(f->c, f->c->entry_kind[i].asked), among.p) ? ASKED_WEIGHT : 1;
	weigh_choices(f, by);
	for (uint32_t e = 0; e < f->c->n_entry; e++)
		f->score[e] *= by[f->c->entry[e].kind];
	buf_free(&among);
}

/* ---- the whole ----------------------------- */

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

/* The best of all entries that hold anything, until the list is full. */
static void
take_best(struct finding_out *f)
{
	while (f->n < f->max) {
		uint32_t best = NONE;

		for (uint32_t e = 0; e < f->c->n_entry; e++)
			if (f->score[e] > 0 && wanted_kind(f, e) &&
			    (best == NONE || f->score[e] > f->score[best]))
				best = e;
		if (best == NONE)
			return;
		add_hit(f, best, f->score[best] < SCORE_MEANT / 2 ? f->score[best] : SCORE_MEANT / 2,
		    f->covered[best] > 0.99 * f->whole);
		f->score[best] = 0;
	}
}

/* Does every word stand somewhere? Then two letters off is another thing, not a slip:
 * "needle blunt" is no bent needle. */
static bool
all_stand(struct finding_out *f, struct row *r)
{
	bool all = f->n_tokens > 1;

	for (uint32_t i = 0; i < f->n_tokens && all; i++) {
		struct buf q = {0};

		quoted(&q, f->token[i], false);
		all = f->asks[i] || rows(f, q.p, r) > 0;
		buf_free(&q);
	}
	return all;
}

static void
whole_near(struct finding_out *f, const char *folded, struct row *r)
{
	if (!add_asked(f) && strlen(folded) >= 5)
		add_near(f, sv(folded), strlen(folded) < 8 || all_stand(f, r) ? 1 : 2, SCORE_MEANT);
}

uint32_t
kb_search(struct knowledge *k, struct arena *a, strview words, const char *kind, struct hit *hits,
    uint32_t max)
{
	struct finding_out f = {.k = k, .c = &k->craft, .arena = a, .kind = kind, .hit = hits,
	    .max = max};
	const char *folded = text_fold(a, words);
	size_t n_entry = (size_t)f.c->n_entry + 1;
	struct row *r = arena_alloc(a, n_entry * sizeof *r);

	f.score = arena_alloc(a, n_entry * sizeof *f.score);
	f.covered = arena_alloc(a, n_entry * sizeof *f.covered);
	f.named = arena_alloc(a, n_entry * sizeof *f.named);
	f.held = arena_alloc(a, n_entry * sizeof *f.held);
	split(&f, folded);
	mark_asking(&f);
	/* The whole is a name, one written otherwise, or one with a slip in it. */
	if (add_named(&f, sv(name_key(a, words)), SCORE_NAME) == 0 && add_loose(&f, words,
	    SCORE_LOOSE) == 0)
		whole_near(&f, folded, r);
	for (uint32_t i = 0; i < f.n_tokens; i++)
		if (!f.asks[i] && has_letter(f.token[i]))
			look_for(&f, i, r);
	names_within(&f, r);
	weigh_names(&f);
	for (uint32_t e = 0; e < f.c->n_entry && f.whole > 0; e++) {
		double share = f.covered[e] / f.whole;

		f.score[e] *= COVER_LEAST + (1 - COVER_LEAST) * share;
	}
	weigh_kinds(&f);
	take_best(&f);
	if (f.n == 0) {
		add_near(&f, sv(folded), 3, SCORE_NEAR);
		for (uint32_t i = 0; i < f.n_tokens && f.n == 0; i++)
			if (!f.asks[i])
				add_near(&f, f.token[i], 3, SCORE_NEAR);
	}
	sort_hits(&f);
	return f.n;
}
