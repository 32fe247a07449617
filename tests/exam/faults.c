/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Faults: whether a cause that others name first or second for a symptom is
 * among the first three that the program gives under the same conditions.
 */
#include "exam.h"

#include <stdlib.h>
#include <string.h>

#include "advise/trouble.h"

enum { FIRST = 3, NAMED = 2 };

/* The cause a phrase stands for: what the search, kept to causes, puts first. */
static uint32_t
cause_meant(struct exam *x, const char *phrase)
{
	const char *bracket = strchr(phrase, '[');
	strview words = bracket != NULL ? (strview){phrase, (size_t)(bracket - phrase)} : sv(phrase);
	struct hit h;

	return kb_search(x->kb, x->row, sv_trim(words), "cause", &h, 1) > 0 ? h.entry : NONE;
}

/* As the command does it: the conditions and the symptom are read as words. */
static struct trouble
trouble_of(struct exam *x, const char *symptom, const char *conditions)
{
	const char *text = *conditions != '\0' ? arena_print(x->row, "%s, %s", conditions, symptom)
	    : symptom;
	struct diags quiet;
	struct project *p;
	struct model *m = NULL;

	diags_init(&quiet, x->row);
	p = project_from_words(x->row, x->kb, source_new(x->row, "<words>", sv(text)), &quiet);
	if (p != NULL)
		m = model_expand(x->row, x->kb, p, &quiet);
	return trouble_look(x->row, x->kb, sv(symptom), m, SV(""));
}

static const char *
name_of(const struct exam *x, uint32_t entry)
{
	return entry != NONE ? craft_text(x->c, x->c->entry[entry].name) : "nothing known";
}

static const char *
given_text(struct exam *x, const struct trouble *t)
{
	struct buf b = {0};
	const char *out;

	buf_str(&b, t->n_faults > 0 ? "" : "no fault");
	for (uint32_t f = 0; f < t->n_faults; f++)
		buf_print(&b, "%s%s", f > 0 ? ", " : "", name_of(x, t->fault[f]));
	for (uint32_t i = 0; i < t->n && i < FIRST; i++)
		buf_print(&b, "%s%s", i > 0 ? ", " : ": ", name_of(x, t->s[i].cause));
	out = arena_text(x->row, b.n > 0 ? b.p : "", b.n);
	buf_free(&b);
	return out;
}

/* One wording of a row. EACH counts for how many wordings a cause is right. */
static void
asked(struct exam *x, struct tally *t, const struct sheet *s, uint32_t row, const char *symptom,
    uint32_t *each)
{
	struct list l;
	struct trouble got;
	uint32_t meant[NAMED] = {NONE, NONE};
	bool right = false;

	arena_reset(x->row);
	l = list_split(x->row, sheet_cell(s, row, "causes_ranked"), '|');
	for (uint32_t i = 0; i < NAMED && i < l.n; i++) {
		meant[i] = cause_meant(x, l.item[i]);
		if (meant[i] != NONE && (i == 0 || meant[i] != meant[0]))
			each[meant[i]]++;
	}
	got = trouble_of(x, symptom, sheet_cell(s, row, "conditions"));
	for (uint32_t i = 0; i < got.n && i < FIRST; i++)
		right = right || got.s[i].cause == meant[0] || got.s[i].cause == meant[1];
	t->of++;
	t->right += right;
	if (!right)
		fell_short(x, t->part, sheet_cell(s, row, "id"), "\"%s\": %s; expected %s, %s", symptom,
		    given_text(x, &got), name_of(x, meant[0]), name_of(x, meant[1]));
}

/* The three causes that are right most often, given to every symptom: at most
 * this many, since a wording may be counted for two of them. */
static void
same_three(const struct exam *x, const struct tally *asked_all, uint32_t *each)
{
	struct tally t = {.part = "faults/same-three", .of = asked_all->of};

	for (int k = 0; k < FIRST; k++) {
		uint32_t best = 0;

		for (uint32_t e = 0; e < x->c->n_entry; e++)
			if (each[e] > each[best])
				best = e;
		t.right += each[best];
		each[best] = 0;
	}
	if (t.right > t.of)
		t.right = t.of;
	control_print(&t);
}

void
part_faults(struct exam *x)
{
	struct tally t = {.part = "faults/first-three"};
	struct sheet s;
	uint32_t *each;

	if (!exam_sheet(x, "faults.csv", &s))
		return;
	each = mem_alloc(((size_t)x->c->n_entry + 1) * sizeof *each);
	for (uint32_t r = 0; r < s.n_rows; r++) {
		struct list l = list_split(x->arena, sheet_cell(&s, r, "variants"), '|');

		asked(x, &t, &s, r, sheet_cell(&s, r, "symptom"), each);
		for (uint32_t i = 0; i < l.n; i++)
			asked(x, &t, &s, r, l.item[i], each);
	}
	tally_print(&t);
	same_three(x, &t, each);
	free(each);
}
