/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Ranking the causes of a fault: see trouble.h for the order and its reasons.
 */
#include <stdlib.h>
#include <string.h>

#include "advise/trouble.h"

#define CLOSE 0.7                          /* share of the first score a second fault needs */

static const char of_faults[] = "fault", of_causes[] = "cause", in_list[] = "causes";

/* ---- the fault -------------------------------------------------- */

static void
find_faults(struct arena *a, struct knowledge *kb, strview symptom, struct trouble *t)
{
	struct hit h[FAULTS_MOST];
	uint32_t n = kb_search(kb, a, symptom, of_faults, h, FAULTS_MOST);

	for (uint32_t i = 0; i < n; i++)
		if (i == 0 || h[i].score >= CLOSE * h[0].score)
			t->fault[t->n_faults++] = h[i].entry;
}

/* ---- what was tried -------------------------------------------------- */

static void
read_tried(struct arena *a, struct knowledge *kb, strview words, struct trouble *t)
{
	size_t at = 0;

	while (at < words.n && t->n_tried < TRIED_MOST) {
		size_t n = 0;
		struct hit h;
		strview part;

		while (at + n < words.n && words.p[at + n] != ',' && words.p[at + n] != ';')
			n++;
		part = sv_trim((strview){words.p + at, n});
		at += n + 1;
		if (part.n == 0)
			continue;
		t->tried[t->n_tried++] = (struct tried){part,
		    kb_search(kb, a, part, of_causes, &h, 1) > 0 && h.all ? h.entry : NONE};
	}
}

static bool
was_tried(const struct craft *c, const struct trouble *t, struct suspect *s)
{
	for (uint32_t i = 0; i < t->n_tried; i++)
		if (t->tried[i].cause != NONE && kb_entry_is(c, s->cause, t->tried[i].cause)) {
			s->by = i;
			return true;
		}
	return false;
}

/* ---- what the conditions say ----------------------------------------------------------- */

static tri
likely(const struct craft *c, const struct entry_record *r, const struct model *m)
{
	struct binding b;
	bool any = false, open = false;

	if (r->when == NONE || m == NULL)
		return TRI_UNKNOWN;
	for (size_t i = 0; i < VARIABLES_MAX; i++)
		b.object[i] = NONE;
	for (uint32_t o = m->first_of_kind[r->each]; o != NONE; o = m->objects[o].next) {
		tri is;

		b.object[0] = o;
		is = eval_truth(c, m, r->when, &b);
		if (is == TRI_TRUE)
			return TRI_TRUE;
		any = any || is != TRI_ABSENT;
		open = open || is == TRI_UNKNOWN;
	}
	return any && !open ? TRI_FALSE : TRI_UNKNOWN;
}

/* ---- the order -------------------------------------------------- */

static int
by_rank(const void *x, const void *y)
{
	const struct suspect *a = x, *b = y;

	if (a->tried != b->tried)
		return a->tried ? 1 : -1;
	if (a->likely != b->likely)            /* TRI_FALSE is the least */
		return a->likely > b->likely ? -1 : 1;
	if (a->place != b->place)
		return a->place < b->place ? -1 : 1;
	return a->fault < b->fault ? -1 : a->fault > b->fault;
}

static void
suspect(struct knowledge *kb, struct trouble *t, uint32_t fault, uint32_t cause, uint32_t place,
    const struct model *m)
{
	const struct entry_record *r = kb_entry(kb, cause);
	struct suspect s = {.cause = cause, .fault = fault, .place = place,
	    .likely = likely(kb_craft(kb), r, m), .has_when = r->when != NONE, .by = NONE};

	for (uint32_t i = 0; i < t->n; i++)
		if (t->s[i].cause == cause) {
			if (place < t->s[i].place) {
				t->s[i].place = place;
				t->s[i].fault = fault;
			}
			return;
		}
	s.tried = was_tried(kb_craft(kb), t, &s);
	t->s[t->n++] = s;
}

struct trouble
trouble_look(struct arena *a, struct knowledge *kb, strview symptom, const struct model *conditions,
    strview tried)
{
	struct trouble t = {.n = 0};
	uint32_t most = 0;

	find_faults(a, kb, symptom, &t);
	read_tried(a, kb, tried, &t);
	for (uint32_t f = 0; f < t.n_faults; f++)
		most += kb_entry(kb, t.fault[f])->n_links;
	t.s = arena_alloc(a, (most + 1) * sizeof *t.s);
	for (uint32_t f = 0; f < t.n_faults; f++) {
		const struct entry_record *r = kb_entry(kb, t.fault[f]);
		uint32_t place = 0;

		for (uint32_t i = 0; i < r->n_links; i++)
			if (strcmp(r->links[i].how, in_list) == 0)
				suspect(kb, &t, f, r->links[i].entry, place++, conditions);
	}
	if (t.n > 1)
		qsort(t.s, t.n, sizeof *t.s, by_rank);
	return t;
}

/* ---- of an entry -------------------------------------------------- */

const char *
entry_says(const struct entry_record *r, const char *key)
{
	for (uint32_t i = 0; i < r->n_texts; i++)
		if (strcmp(r->texts[i].key, key) == 0)
			return r->texts[i].text;
	return "";
}

uint32_t
trouble_ease(const struct craft *c, const struct entry_record *r)
{
	uint32_t set = set_find(c, SV("ease"));
	const char *word = entry_says(r, "ease");

	return set == NONE || *word == '\0' ? NONE : word_find(c, set, sv(word));
}
