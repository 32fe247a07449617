/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A check in a few lines, for the conversation: findings numbered as on the
 * page, the one question that would settle most, and what a change has done.
 */
#include "command/command_impl.h"

#include <string.h>

enum { SETTINGS_NAMED = 60, PLACES_NAMED = 3 };

static const char *
says(struct run *r, const struct checked *c, const struct finding *f)
{
	struct buf b = {0};

	finding_says(&b, r->kb, c->model, f);
	return run_kept(r, &b);
}

static bool
holds_finding(const struct checked *c, const struct checked *of, const struct finding *f)
{
	const char *name = object_name(of->model, f->binding.object[0]);

	for (uint32_t i = 0; i < c->judgement->n_fails; i++) {
		const struct finding *g = &c->judgement->fails[i];

		if (g->rule == f->rule &&
		    strcmp(object_name(c->model, g->binding.object[0]), name) == 0)
			return true;
	}
	return false;
}

static void
gone(struct run *r, const struct checked *c, const struct checked *before)
{
	bool any = false;

	for (uint32_t i = 0; i < before->judgement->n_fails; i++) {
		const struct finding *f = &before->judgement->fails[i];

		if (holds_finding(c, before, f))
			continue;
		if (!any)
			page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "prompt.cleared"));
		any = true;
		page_item(r->page, 0, TONE_GOOD, degree_text(r, f->degree), says(r, before, f));
	}
}

static void
findings(struct run *r, const struct checked *c, const struct checked *before, bool fresh)
{
	bool any = false;

	for (uint32_t i = 0; i < c->judgement->n_fails; i++) {
		const struct finding *f = &c->judgement->fails[i];

		if (before != NULL && holds_finding(before, c, f) == fresh)
			continue;
		if (!any)
			page_add(r->page, BLOCK_HEADING, NULL, before != NULL && fresh ?
			    SAY(r, "prompt.new") : SAY(r, "check.findings"));
		any = true;
		page_item(r->page, 0, degree_tone(f->degree), arena_print(r->arena, "%u. %s",
		    (unsigned)i + 1, degree_text(r, f->degree)), says(r, c, f));
	}
}

/* ---- settings that moved ---------------------------------------------------------- */

/* The same choice before: places of one name are told apart by their order. */
static const struct choice *
same_place(const struct checked *c, const struct checked *of, uint32_t which)
{
	const struct choice *k = &of->advised->c[which];
	const char *name = object_name(of->model, k->object);
	uint32_t nth = 0;

	for (uint32_t i = 0; i < which; i++)
		nth += of->advised->c[i].setting == k->setting &&
		    strcmp(object_name(of->model, of->advised->c[i].object), name) == 0;
	for (uint32_t i = 0; i < c->advised->n; i++) {
		const struct choice *h = &c->advised->c[i];

		if (h->setting == k->setting && strcmp(object_name(c->model, h->object), name) == 0 &&
		    nth-- == 0)
			return h;
	}
	return NULL;
}

struct move { const char *label, *then, *now; struct buf places; uint32_t n; };

static void
moved(struct run *r, const struct checked *c, const struct checked *before)
{
	struct move moves[SETTINGS_NAMED] = {{0}};
	uint32_t n = 0, k;

	for (uint32_t i = 0; i < c->advised->n; i++) {
		const struct choice *h = &c->advised->c[i], *was = same_place(before, c, i);
		uint32_t property = r->craft->setting[h->setting].property;
		const char *label = craft_text(r->craft, r->craft->setting[h->setting].label);
		const char *now, *then, *place = object_name(c->model, h->object);

		if (was == NULL || was->start.state != VALUE_KNOWN || h->start.state != VALUE_KNOWN)
			continue;
		now = value_text(r, c->model, property, &h->start);
		then = value_text(r, before->model, property, &was->start);
		if (strcmp(now, then) == 0)
			continue;
		for (k = 0; k < n; k++)
			if (moves[k].label == label && strcmp(moves[k].now, now) == 0 &&
			    strcmp(moves[k].then, then) == 0)
				break;
		if (k == SETTINGS_NAMED)
			break;
		if (k == n)
			moves[n++] = (struct move){label, then, now, {0}, 0};
		if (moves[k].n < PLACES_NAMED && (moves[k].n == 0 ||
		    strstr(moves[k].places.p, place) == NULL)) {
			buf_print(&moves[k].places, "%s%s", moves[k].n > 0 ? ", " : "", place);
			moves[k].n++;
		}
	}
	for (k = 0; k < n; k++) {
		if (k == 0)
			page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "prompt.changed"));
		page_item(r->page, 0, TONE_PLAIN, moves[k].label, SAY(r, "choice.was",
		    "before", moves[k].then, "now", moves[k].now, "place", moves[k].places.p));
		buf_free(&moves[k].places);
	}
}

/* ---- the question that settles most -------------------------------------------------- */

static bool
said_kind(const struct run *r, const struct project *p, strview kind)
{
	for (uint32_t i = 0; i < p->n_things; i++)
		if (!p->things[i].denied &&
		    sv_is(kind, craft_text(r->craft, r->craft->kind[p->things[i].kind].name)))
			return true;
	return false;
}

static void
question(struct run *r, const struct checked *c)
{
	const struct property *p;

	/* What it is and what it is made of come before any measurement. */
	if (!said_kind(r, c->project, SV("garment"))) {
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "ask.garment"));
		return;
	}
	if (!said_kind(r, c->project, SV("component"))) {
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "ask.cloth"));
		return;
	}
	if (c->judgement->n_questions == 0)
		return;
	p = &r->craft->property[c->judgement->questions[0].fact.property];
	page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "ask.one",
	    "label", fact_text(r, c->model, c->judgement->questions[0].fact),
	    "how", craft_text(r->craft, p->ask)));
}

void
check_short(struct run *r, const struct checked *c, const struct checked *before)
{
	const struct judgement *j = c->judgement;

	check_notes(r, c);
	if (before != NULL)
		gone(r, c, before);
	findings(r, c, before, true);
	if (before != NULL) {
		moved(r, c, before);
		findings(r, c, before, false);
	}
	if (j->n_fails == 0)
		page_add(r->page, BLOCK_PARAGRAPH, NULL, j->n_questions > 0 ?
		    SAY(r, "check.sound-so-far") : SAY(r, "check.sound"));
	question(r, c);
}
