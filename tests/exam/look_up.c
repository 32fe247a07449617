/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Questions and names: what the program's search puts first.
 */
#include "exam.h"

#include <stdlib.h>
#include <string.h>

enum { FIRST = 3, HITS_MOST = 16, NAMED_MOST = 64 };

static const char *
hits_text(struct exam *x, const struct hit *h, uint32_t n)
{
	struct buf b = {0};
	const char *t;

	for (uint32_t i = 0; i < n && i < FIRST; i++) {
		buf_str(&b, i > 0 ? ", " : "");
		buf_str(&b, craft_text(x->c, x->c->entry[h[i].entry].name));
	}
	t = arena_text(x->row, b.n > 0 ? b.p : "nothing", b.n > 0 ? b.n : 7);
	buf_free(&b);
	return t;
}

/* ---- questions ------------------------------------------------------------------- */

/* Which of the questions an entry would answer. */
static void
answered_by(struct exam *x, const struct sheet *s, uint32_t entry, bool *out)
{
	arena_reset(x->row);
	for (uint32_t r = 0; r < s->n_rows; r++) {
		struct list l = list_split(x->row, sheet_cell(s, r, "expected_entries"), '|');

		out[r] = false;
		for (uint32_t i = 0; i < l.n && !out[r]; i++)
			out[r] = match_entry_named(x, entry, l.item[i]);
	}
}

/* The three entries that, given to every question, would answer the most: each
 * the best addition to those before it. */
static void
same_three(struct exam *x, const struct sheet *s)
{
	struct tally t = {.part = "questions/same-three", .of = s->n_rows};
	uint32_t n = x->c->n_entry;
	bool *by = mem_alloc((size_t)n * (s->n_rows + 1) + 1), *done = mem_alloc(s->n_rows + 1);

	for (uint32_t e = 0; e < n; e++)
		answered_by(x, s, e, by + (size_t)e * s->n_rows);
	for (int k = 0; k < FIRST; k++) {
		uint32_t best = 0, most = 0;

		for (uint32_t e = 0; e < n; e++) {
			uint32_t more = 0;

			for (uint32_t r = 0; r < s->n_rows; r++)
				more += by[(size_t)e * s->n_rows + r] && !done[r];
			if (more > most) {
				most = more;
				best = e;
			}
		}
		for (uint32_t r = 0; r < s->n_rows && most > 0; r++)
			done[r] = done[r] || by[(size_t)best * s->n_rows + r];
		t.right += most;
	}
	control_print(&t);
	free(by);
	free(done);
}

void
part_questions(struct exam *x)
{
	struct tally t = {.part = "questions/first-three"};
	struct sheet s;

	if (!exam_sheet(x, "questions.csv", &s))
		return;
	for (uint32_t r = 0; r < s.n_rows; r++) {
		struct hit h[FIRST];
		struct list l;
		uint32_t n;
		bool right = false;

		arena_reset(x->row);
		l = list_split(x->row, sheet_cell(&s, r, "expected_entries"), '|');
		n = kb_search(x->kb, x->row, sv(sheet_cell(&s, r, "question")), NULL, h, FIRST);
		for (uint32_t i = 0; i < n && !right; i++)
			for (uint32_t k = 0; k < l.n && !right; k++)
				right = match_entry_named(x, h[i].entry, l.item[k]);
		t.of++;
		t.right += right;
		if (!right)
			fell_short(x, t.part, sheet_cell(&s, r, "id"), "\"%s\": %s; expected %s",
			    sheet_cell(&s, r, "question"), hits_text(x, h, n),
			    sheet_cell(&s, r, "expected_entries"));
	}
	tally_print(&t);
	same_three(x, &s);
}

/* ---- names ----------------------------------------------------------------------- */

/* "NAME (REGISTER)": the register is no part of the name. */
static char *
without_bracket(struct exam *x, const char *term, strview *bracket)
{
	const char *open = strchr(term, '('), *close = open != NULL ? strchr(open, ')') : NULL;
	strview head;

	*bracket = (strview){0};
	if (close == NULL)
		return arena_text(x->row, term, strlen(term));
	*bracket = sv_trim((strview){open + 1, (size_t)(close - open - 1)});
	head = sv_trim((strview){term, (size_t)(open - term)});
	return arena_text(x->row, head.p, head.n);
}

/* The entries a term names; where names carry regions, those of the term's own,
 * else those of none. */
static uint32_t
meant(struct exam *x, const char *term, uint32_t *out)
{
	const struct name *name;
	strview bracket;
	char *folded = text_fold(x->row, sv(without_bracket(x, term, &bracket)));
	char *register_ = text_fold(x->row, bracket);
	uint32_t n = kb_names(x->c, sv(folded), &name), found = 0;
	uint32_t set = set_find(x->c, SV("region")), region = NONE;

	if (bracket.n > 0 && set != NONE)
		region = word_find(x->c, set, sv(register_));
	for (int pass = 0; pass < 3 && found == 0; pass++)
		for (uint32_t i = 0; i < n && found < NAMED_MOST; i++)
			if (name[i].target == NAME_ENTRY && (pass == 2 ||
			    (pass == 0 && region != NONE && name[i].region == region) ||
			    (pass == 1 && name[i].region == NO16)))
				out[found++] = name[i].id;
	return found;
}

/* How many of the first hits count: one, but a word with several meanings shows
 * them all, and each of them counts. */
static uint32_t
counted(struct exam *x, const char *word, bool beginner)
{
	uint32_t named[NAMED_MOST], n = entries_named(x, word, named, NAMED_MOST);

	if (beginner && n < FIRST)
		return FIRST;
	return n > 1 ? n : 1;
}

static void
name_asked(struct exam *x, struct tally *t, const char *term, const char *word, bool beginner,
    const uint32_t *entries, uint32_t n_entries)
{
	struct hit h[HITS_MOST];
	uint32_t n = kb_search(x->kb, x->row, sv(word), NULL, h, HITS_MOST);
	uint32_t first = counted(x, word, beginner);
	bool right = false;

	for (uint32_t i = 0; i < n && i < first && !right; i++)
		for (uint32_t k = 0; k < n_entries && !right; k++)
			right = h[i].entry == entries[k];
	t->of++;
	t->right += right;
	if (!right)
		fell_short(x, t->part, term, "\"%s\": %s%s", word, hits_text(x, h, n),
		    n_entries == 0 ? "; the term is no name here" : "");
}

void
part_vocabulary(struct exam *x)
{
	struct tally t = {.part = "vocabulary/entry"};
	struct sheet s;

	if (!exam_sheet(x, "vocabulary.csv", &s))
		return;
	for (uint32_t r = 0; r < s.n_rows; r++) {
		const char *term = sheet_cell(&s, r, "term");
		uint32_t entries[NAMED_MOST], n;
		struct list l;
		strview bracket;

		arena_reset(x->row);
		l = list_split(x->row, sheet_cell(&s, r, "variants"), '|');
		n = meant(x, term, entries);
		name_asked(x, &t, term, without_bracket(x, term, &bracket), false, entries, n);
		for (uint32_t i = 0; i < l.n; i++) {
			const char *colon = strchr(l.item[i], ':'), *word = l.item[i];
			bool beginner = strncmp(word, "bg:", 3) == 0;

			if (colon != NULL)
				word = colon + 1;
			name_asked(x, &t, term, without_bracket(x, word, &bracket), beginner, entries, n);
		}
	}
	tally_print(&t);
}
