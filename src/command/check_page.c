/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The page of a check, for a person who reads it for the first time: what it
 * comes to, what was understood, what clashes and how to mend it, what is
 * undecided and how to find out, the settings, what was taken for granted,
 * and the sources.
 */
#include "command/command_impl.h"

#include <string.h>

enum { OPEN_SHOWN = 5, STAKES_SHOWN = 3, REASONS_SHOWN = 2, EXCERPTS_SHOWN = 2,
	FACTS_MOST = 256 };

static const char *
count_text(struct run *r, uint32_t n)
{
	return arena_print(r->arena, "%u", (unsigned)n);
}

/* ---- what it comes to ------------------------------------------------------- */

static uint32_t
fails_of(const struct judgement *j, enum degree d)
{
	uint32_t n = 0;

	for (uint32_t i = 0; i < j->n_fails; i++)
		n += j->fails[i].degree == d;
	return n;
}

static const char *
title_text(struct run *r, const struct project *p)
{
	if (*p->title != '\0')
		return p->title;
	for (uint32_t i = 0; i < p->n_things; i++)
		if (p->things[i].entry != NONE && !p->things[i].denied &&
		    r->craft->kind[p->things[i].kind].singleton)
			return craft_text(r->craft, r->craft->entry[p->things[i].entry].name);
	return SAY(r, "title.project");
}

static void
summary(struct run *r, const struct checked *c)
{
	const struct judgement *j = c->judgement;
	uint32_t grave = fails_of(j, DEGREE_GRAVE), doubtful = fails_of(j, DEGREE_DOUBTFUL);
	uint32_t open = j->n_questions;
	const char *what = grave > 0 ? SAY(r, "summary.grave") : doubtful > 0 ? SAY(r, "summary.doubtful")
	    : open > 0 ? SAY(r, "summary.open") : SAY(r, "check.sound");

	page_add(r->page, BLOCK_TITLE, NULL, title_text(r, c->project));
	page_add(r->page, BLOCK_PARAGRAPH, NULL, what);
	page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "summary.counts",
	    "grave", count_text(r, grave), "doubtful", count_text(r, doubtful),
	    "mention", count_text(r, fails_of(j, DEGREE_MENTION)), "open", count_text(r, open)));
}

/* ---- findings ---------------------------------------------------------------- */

static const char *
because(struct run *r, const struct checked *c, const struct finding *f, uint32_t nth)
{
	struct buf b = {0};

	finding_because(&b, r->kb, c->model, f, nth);
	return run_kept(r, &b);
}

/* A fact one could have said or measured; the rest is how the work is built. */
static bool
tellable(const struct run *r, uint32_t property)
{
	return property != NONE && property < r->craft->n_property &&
	    *craft_text(r->craft, r->craft->property[property].ask) != '\0';
}

/* Does the comparison speak of a fact somebody can look up? */
static bool
of_a_fact(const struct reason *w)
{
	return w->left_property != NONE && w->object != NONE;
}

/* One line for each comparison of the wanted part of the trace, no two alike.
 * NAMED: only those that speak of a fact; else sums as well, but never a bare
 * word, which says nothing without its owner. */
static uint32_t
reason_lines(struct run *r, const struct checked *c, const struct finding *f, bool when, bool named,
    uint32_t most)
{
	const char *label = when ? SAY(r, "label.since") : SAY(r, "finding.because");
	const char *said[sizeof f->reasons / sizeof *f->reasons];
	uint32_t n = 0, k;

	for (uint32_t i = 0; i < f->n_reasons && n < most; i++) {
		const struct reason *w = &f->reasons[i];
		const char *t;

		if (w->in_when != when || (named && !of_a_fact(w)))
			continue;
		if (!r->ask->all && ((when && !tellable(r, w->left_property)) ||
		    (!of_a_fact(w) && w->left.type != TYPE_QUANTITY)))
			continue;
		t = because(r, c, f, i);
		for (k = 0; k < n && strcmp(said[k], t) != 0; k++)
			;
		if (k < n)
			continue;
		said[n++] = t;
		page_item(r->page, 1, TONE_PLAIN, label, t);
	}
	return n;
}

/* What failed comes first; the conditions that made the rule apply after it. */
static void
reasons(struct run *r, const struct checked *c, const struct finding *f)
{
	uint32_t most = r->ask->all ? UINT32_MAX : REASONS_SHOWN;

	if (r->ask->all)
		reason_lines(r, c, f, false, false, most);
	else if (reason_lines(r, c, f, false, true, most) == 0)
		reason_lines(r, c, f, false, false, 1);
	reason_lines(r, c, f, true, false, most);
}

static void
settle_item(struct run *r, const struct checked *c, const struct finding *f)
{
	const struct rule *u = &r->craft->rule[f->rule];
	struct buf b = {0};

	if (u->settle.n == 0)
		return;
	message_fill(&b, r->craft, c->model, &u->settle, &f->binding, &f->limit, f->limit_property);
	page_item(r->page, 1, TONE_PLAIN, SAY(r, "finding.settle"), b.n > 0 ? b.p : "");
	buf_free(&b);
}

static void
text_item(struct run *r, const char *label, const char *text)
{
	if (*text != '\0')
		page_item(r->page, 1, TONE_PLAIN, label, text);
}

/* The lines of the file that the finding hangs on, each once. */
static void
excerpts(struct run *r, const struct checked *c, const struct finding *f)
{
	uint32_t shown = 0, most = r->ask->all ? UINT32_MAX : EXCERPTS_SHOWN;

	for (uint32_t i = 0; i < f->n_origins && shown < most; i++) {
		struct place at = origin_place(c->model, &f->origins[i]);
		bool seen = false;

		if (!place_in_file(at))
			continue;
		for (uint32_t k = 0; k < i; k++) {
			struct place before = origin_place(c->model, &f->origins[k]);

			seen = seen || (before.src == at.src && before.at == at.at);
		}
		if (!seen) {
			page_add(r->page, BLOCK_EXCERPT, NULL, excerpt_text(r, at));
			shown++;
		}
	}
}

static const char *
rule_and_sources(struct run *r, const struct rule *u)
{
	return arena_print(r->arena, "%s %s",
	    own_mark(r, u->own, craft_text(r->craft, u->id)), cites_text(r, u->first_source,
	    u->n_sources));
}

/* Numbered, so that `why 2` can ask on. */
static const char *
numbered(struct run *r, uint32_t nth, const char *label)
{
	return arena_print(r->arena, "%u. %s", (unsigned)nth, label);
}

static void
finding_item(struct run *r, const struct checked *c, const struct finding *f, uint32_t nth)
{
	const struct rule *u = &r->craft->rule[f->rule];
	struct buf say = {0};

	finding_says(&say, r->kb, c->model, f);
	page_item(r->page, 0, degree_tone(f->degree), numbered(r, nth, degree_text(r, f->degree)),
	    f->same == 0 ? (say.n > 0 ? say.p : "") : SAY(r, "finding.same-more",
	    "says", say.n > 0 ? say.p : "", "n", count_text(r, f->same)));
	buf_free(&say);
	reasons(r, c, f);
	settle_item(r, c, f);
	text_item(r, SAY(r, "finding.scrap-test"), craft_text(r->craft, u->scrap_test));
	text_item(r, SAY(r, "finding.why"), craft_text(r->craft, u->why));
	if (u->safety)
		text_item(r, SAY(r, "check.cautions"), SAY(r, "check.by-law"));
	if (f->by_assumption)
		text_item(r, SAY(r, "label.note"), SAY(r, "finding.assumed-subject"));
	if (f->seen_differs)
		text_item(r, SAY(r, "label.note"), SAY(r, "finding.seen-differs"));
	text_item(r, SAY(r, "label.rule"), rule_and_sources(r, u));
	excerpts(r, c, f);
}

static void
findings(struct run *r, const struct checked *c)
{
	const struct judgement *j = c->judgement;

	if (j->n_fails == 0)
		return;
	page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "check.findings"));
	for (uint32_t i = 0; i < j->n_fails; i++)
		finding_item(r, c, &j->fails[i], i + 1);
}

/* ---- open questions -------------------------------------------------------------- */

static const char *
tip_text(struct run *r, const struct checked *c, const struct tip *t)
{
	const char *fact = fact_text(r, c->model, t->fact), *at, *next;

	if (r->craft->property[t->fact.property].type == TYPE_WORDS)
		return SAY(r, "tip.words", "fact", fact, "words",
		    words_text(r, t->fact.property, t->set_true));
	at = at_text(r, t->fact.property, t->at);
	next = at_text(r, t->fact.property, t->next);
	if (strcmp(at, next) == 0)             /* less than one step apart */
		return SAY(r, t->below == TRI_FALSE ? "tip.low-fails-at" : "tip.high-fails-at",
		    "fact", fact, "at", at);
	return SAY(r, t->below == TRI_FALSE ? "tip.low-fails" : "tip.high-fails",
	    "fact", fact, "at", at, "next", next);
}

static void
question_item(struct run *r, const struct checked *c, uint32_t nth, bool all)
{
	const struct judgement *j = c->judgement;
	const struct question *q = &j->questions[nth];
	const char *ask = craft_text(r->craft, r->craft->property[q->tip.fact.property].ask);
	uint32_t shown = all ? q->n : q->n < STAKES_SHOWN ? q->n : STAKES_SHOWN;

	page_item(r->page, 0, TONE_OPEN, numbered(r, j->n_fails + nth + 1, SAY(r, "degree.open")),
	    tip_text(r, c, &q->tip));
	text_item(r, SAY(r, "label.find-out"), ask);
	for (uint32_t i = 0; i < shown; i++) {
		const struct finding *f = &j->undecided[q->first + i];
		struct buf say = {0};

		finding_says(&say, r->kb, c->model, f);
		text_item(r, SAY(r, "label.at-stake"), SAY(r, "question.stake",
		    "degree", degree_text(r, f->degree), "says", say.n > 0 ? say.p : "",
		    "rule", rule_and_sources(r, &r->craft->rule[f->rule])));
		buf_free(&say);
	}
	if (shown < q->n)
		text_item(r, "", SAY(r, "question.more", "n", count_text(r, q->n - shown)));
}

static void
open_questions(struct run *r, const struct checked *c)
{
	const struct judgement *j = c->judgement;
	uint32_t shown = r->ask->all || j->n_questions < OPEN_SHOWN ? j->n_questions : OPEN_SHOWN;

	if (j->n_questions == 0 && j->not_judged == 0)
		return;
	/* What waits for facts that no one measurement gives needs no heading. */
	if (j->n_questions > 0)
		page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "check.undecided"));
	for (uint32_t i = 0; i < shown; i++)
		question_item(r, c, i, r->ask->all);
	if (shown < j->n_questions)
		page_add(r->page, BLOCK_PARAGRAPH, NULL,
		    SAY(r, "check.more-undecided", "count", count_text(r, j->n_questions - shown)));
	if (j->not_judged > 0 && tellable(r, j->not_judged_fact))
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "check.not-judged",
		    "count", count_text(r, j->not_judged), "what",
		    craft_text(r->craft, r->craft->property[j->not_judged_fact].label)));
	else if (j->not_judged > 0)
		page_add(r->page, BLOCK_PARAGRAPH, NULL,
		    SAY(r, "question.not-judged", "n", count_text(r, j->not_judged)));
}

/* ---- what was taken for granted ------------------------------------------------------ */

struct facts { struct fact f[FACTS_MOST]; uint32_t n; };

static void
facts_add(struct facts *s, struct fact f)
{
	for (uint32_t i = 0; i < s->n; i++)
		if (s->f[i].object == f.object && s->f[i].property == f.property)
			return;
	if (s->n < FACTS_MOST)
		s->f[s->n++] = f;
}

static bool
not_said(const struct run *r, const struct model *m, struct fact f)
{
	const value *v;
	int kind;

	if (f.object == NONE || f.object >= m->n_objects || !tellable(r, f.property))
		return false;
	v = model_slot(m, f.object, f.property);
	kind = m->pedigrees[v->pedigree].kind;
	return v->state == VALUE_KNOWN &&
	    (kind == PEDIGREE_TYPICAL || kind == PEDIGREE_ASSUMED || kind == PEDIGREE_BROUGHT);
}

static void
collect(const struct run *r, struct facts *s, const struct model *m, const struct finding *f,
    uint32_t n)
{
	for (uint32_t i = 0; i < n; i++)
		for (uint32_t k = 0; k < f[i].n_origins; k++)
			if (not_said(r, m, f[i].origins[k].fact))
				facts_add(s, f[i].origins[k].fact);
}

/* With --all: every fact of every thing that was said or assumed. */
static void
collect_all(struct run *r, struct facts *s, const struct model *m)
{
	for (uint32_t o = 0; o < m->n_objects; o++) {
		const struct kind *k = &r->craft->kind[m->objects[o].kind];

		if ((m->objects[o].flags & (OBJECT_SAID | OBJECT_ASSUMED)) == 0)
			continue;
		for (uint32_t p = 0; p < k->n_properties; p++) {
			struct fact f = {o, k->first_property + p};

			if (not_said(r, m, f))
				facts_add(s, f);
		}
	}
}

static void
assumptions(struct run *r, const struct checked *c)
{
	const struct model *m = c->model;
	struct facts s = {.n = 0};
	bool any = false;

	collect(r, &s, m, c->judgement->fails, c->judgement->n_fails);
	collect(r, &s, m, c->judgement->undecided, c->judgement->n_undecided);
	for (uint32_t i = 0; i < c->advised->n; i++)
		if (c->advised->c[i].flips && not_said(r, m, c->advised->c[i].flip.fact))
			facts_add(&s, c->advised->c[i].flip.fact);
	if (r->ask->all)
		collect_all(r, &s, m);
	for (uint32_t o = 0; o < m->n_objects; o++) {
		if ((m->objects[o].flags & OBJECT_ASSUMED) == 0 || m->objects[o].parent != NONE)
			continue;
		if (!any)
			page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "check.assumptions"));
		any = true;
		page_item(r->page, 0, TONE_PLAIN, "",
		    SAY(r, "assumed.stand-in", "what", object_name(m, o)));
	}
	for (uint32_t i = 0; i < s.n; i++) {
		const value *v = model_slot(m, s.f[i].object, s.f[i].property);

		if (!any)
			page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "check.assumptions"));
		any = true;
		page_item(r->page, 0, TONE_PLAIN, "", SAY(r, "assumed.value",
		    "what", fact_text(r, m, s.f[i]), "value", value_text(r, m, s.f[i].property, v),
		    "basis", pedigree_text(r, m, v->pedigree)));
	}
}

/* ---- the page --------------------------------------------------------------------------- */

void
check_page(struct run *r, const struct checked *c)
{
	summary(r, c);
	check_understood(r, c);
	findings(r, c);
	open_questions(r, c);
	check_settings(r, c);
	assumptions(r, c);
	check_sources(r);
}

static void
rests_on(struct run *r, const struct checked *c, const struct finding *f)
{
	const struct model *m = c->model;

	for (uint32_t i = 0; i < f->n_origins; i++) {
		struct fact fact = f->origins[i].fact;

		page_item(r->page, 1, TONE_PLAIN, SAY(r, "label.rests-on"), SAY(r, "assumed.value",
		    "what", fact_text(r, m, fact), "value", value_text(r, m, fact.property,
		    model_slot(m, fact.object, fact.property)),
		    "basis", pedigree_text(r, m, f->origins[i].pedigree)));
	}
}

bool
check_reason(struct run *r, const struct checked *c, uint32_t nth)
{
	const struct judgement *j = c->judgement;

	if (nth == 0 || nth > j->n_fails + j->n_questions)
		return false;
	if (nth <= j->n_fails) {
		finding_item(r, c, &j->fails[nth - 1], nth);
		rests_on(r, c, &j->fails[nth - 1]);
	} else {
		question_item(r, c, nth - j->n_fails - 1, true);
		rests_on(r, c, &j->undecided[j->questions[nth - j->n_fails - 1].first]);
	}
	return true;
}
