/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The settings of a project: a compact table for each group of places that
 * take the same, then once for each choice why it was made and the scrap test
 * that decides; or one setting alone, answered in full.
 */
#include "command/command_impl.h"

#include <string.h>

enum { COLUMNS = 5, PLACES_NAMED = 4, REASONS_MOST = 2 };

static const struct setting *
setting_of(const struct run *r, const struct choice *k)
{
	return &r->craft->setting[k->setting];
}

static const char *
choice_value(struct run *r, const struct checked *c, const struct choice *k, const value *v)
{
	if (v->state != VALUE_KNOWN)
		return "";
	return value_text(r, c->model, setting_of(r, k)->property, v);
}

const char *
flip_text(struct run *r, const struct checked *c, const struct choice *k)
{
	const char *other, *fact, *when;

	if (!k->flips)
		return "";
	other = choice_value(r, c, k, &k->other);
	fact = fact_text(r, c->model, k->flip.fact);
	if (r->craft->property[k->flip.fact.property].type == TYPE_WORDS)
		/* set_true: where the choice we start from holds */
		when = SAY(r, "condition.not-words", "words",
		    words_text(r, k->flip.fact.property, k->flip.set_true));
	else if (k->flip.below == TRI_TRUE)
		when = SAY(r, "condition.from", "at", at_text(r, k->flip.fact.property, k->flip.next));
	else
		when = SAY(r, "condition.up-to", "at", at_text(r, k->flip.fact.property, k->flip.at));
	return SAY(r, "choice.flips", "value", other, "fact", fact, "condition", when);
}

const char *
choice_reason(struct run *r, const struct checked *c, const struct choice *k, uint32_t nth)
{
	const struct advice *a = &r->craft->advice[k->advice[nth]];
	struct binding binding;
	struct buf b = {0};
	const char *t;

	for (size_t i = 0; i < VARIABLES_MAX; i++)
		binding.object[i] = NONE;
	binding.object[0] = k->object;
	message_fill(&b, r->craft, c->model, &a->why, &binding, NULL, NONE);
	t = arena_text(r->arena, b.n > 0 ? b.p : "", b.n);
	buf_free(&b);
	return t;
}

/* ---- groups of places that take the same ------------------------------------- */

struct group {
	uint32_t *objects, n;
	uint32_t first;                    /* object whose choices stand for all */
};

static bool
same_value(const value *a, const value *b)
{
	return a->state == b->state && (a->state != VALUE_KNOWN ||
	    (a->set[0] == b->set[0] && a->set[1] == b->set[1]));
}

static bool
same_choice(const struct choice *a, const struct choice *b)
{
	return a->setting == b->setting && a->said == b->said && same_value(&a->start, &b->start) &&
	    same_value(&a->lighter, &b->lighter) && same_value(&a->heavier, &b->heavier) &&
	    a->flips == b->flips && (!a->flips || (same_value(&a->other, &b->other) &&
	    a->flip.fact.property == b->flip.fact.property));
}

/* The choices of an object stand together in no promised order: walk both. */
static bool
same_choices(const struct advised *ad, uint32_t a, uint32_t b)
{
	uint32_t of_a = 0, of_b = 0, matched = 0;

	for (uint32_t i = 0; i < ad->n; i++) {
		of_b += ad->c[i].object == b;
		if (ad->c[i].object != a)
			continue;
		of_a++;
		for (uint32_t k = 0; k < ad->n; k++)
			if (ad->c[k].object == b && same_choice(&ad->c[i], &ad->c[k])) {
				matched++;
				break;
			}
	}
	return of_a == of_b && matched == of_a;
}

static uint32_t
groups_of(struct run *r, const struct checked *c, struct group *g)
{
	const struct advised *ad = c->advised;
	uint32_t n = 0;

	for (uint32_t i = 0; i < ad->n; i++) {
		uint32_t o = ad->c[i].object, k, m;
		bool known = false;

		for (k = 0; k < n && !known; k++)
			for (m = 0; m < g[k].n && !known; m++)
				known = g[k].objects[m] == o;
		if (known)
			continue;
		for (k = 0; k < n; k++)
			if (c->model->objects[g[k].first].kind == c->model->objects[o].kind &&
			    same_choices(ad, g[k].first, o))
				break;
		if (k == n) {
			g[n++] = (struct group){.first = o,
			    .objects = arena_alloc(r->arena, (ad->n + 1) * sizeof(uint32_t))};
		}
		g[k].objects[g[k].n++] = o;
	}
	return n;
}

static const char *
group_name(struct run *r, const struct checked *c, const struct group *g)
{
	struct buf b = {0};
	uint32_t named = 0;
	const char *t;

	for (uint32_t i = 0; i < g->n && named < PLACES_NAMED; i++) {
		const char *name = object_name(c->model, g->objects[i]);
		bool before = false;

		for (uint32_t k = 0; k < i; k++)
			before = before || strcmp(object_name(c->model, g->objects[k]), name) == 0;
		if (before)
			continue;
		if (named++ > 0)
			buf_str(&b, ", ");
		buf_str(&b, name);
	}
	t = arena_text(r->arena, b.n > 0 ? b.p : "", b.n);
	buf_free(&b);
	if (g->n > PLACES_NAMED)
		return SAY(r, "settings.places-more", "places", t,
		    "n", arena_print(r->arena, "%u", (unsigned)(g->n - PLACES_NAMED)));
	return t;
}

static void
group_table(struct run *r, const struct checked *c, const struct group *g)
{
	const struct advised *ad = c->advised;
	const char **cells = arena_alloc(r->arena, (ad->n + 1) * COLUMNS * sizeof *cells);
	uint32_t rows = 1;

	cells[0] = SAY(r, "column.setting");
	cells[1] = SAY(r, "column.start");
	cells[2] = SAY(r, "column.lighter");
	cells[3] = SAY(r, "column.heavier");
	cells[4] = SAY(r, "column.changes");
	for (uint32_t i = 0; i < ad->n; i++) {
		const struct choice *k = &ad->c[i];
		const char **row = cells + (size_t)rows * COLUMNS;

		if (k->object != g->first || (k->start.state != VALUE_KNOWN && !r->ask->all))
			continue;
		row[0] = craft_text(r->craft, setting_of(r, k)->label);
		row[1] = k->start.state != VALUE_KNOWN ? SAY(r, "value.no-advice")
		    : k->said ? SAY(r, "settings.yours", "value", choice_value(r, c, k, &k->start))
		    : choice_value(r, c, k, &k->start);
		row[2] = choice_value(r, c, k, &k->lighter);
		row[3] = choice_value(r, c, k, &k->heavier);
		row[4] = flip_text(r, c, k);
		rows++;
	}
	if (rows == 1)
		return;
	page_add(r->page, BLOCK_HEADING, NULL, group_name(r, c, g))->level = 2;
	page_table(r->page, rows, COLUMNS, cells);
}

/* ---- why, and the scrap test ----------------------------------------------------- */

bool
choice_words(struct run *r, const struct checked *c, const struct choice *k)
{
	const struct setting *s = setting_of(r, k);
	uint32_t shown = k->n_advice < REASONS_MOST || r->ask->all ? k->n_advice : REASONS_MOST;
	const char *test = craft_text(r->craft, s->scrap_test);

	for (uint32_t i = 0; i < shown; i++) {
		const struct advice *a = &r->craft->advice[k->advice[i]];

		if (*craft_text(r->craft, a->scrap_test) != '\0' && i == 0)
			test = craft_text(r->craft, a->scrap_test);
		page_item(r->page, 1, TONE_PLAIN, SAY(r, "finding.why"), SAY(r, "choice.reason",
		    "why", choice_reason(r, c, k, i), "advice", craft_text(r->craft, a->id),
		    "sources", cites_text(r, a->first_source, a->n_sources)));
	}
	if (k->empty && k->dropped != NONE)
		page_item(r->page, 1, TONE_PLAIN, SAY(r, "label.note"), SAY(r, "choice.dropped",
		    "advice", craft_text(r->craft, r->craft->advice[k->dropped].id)));
	if (*test != '\0')
		page_item(r->page, 1, TONE_PLAIN, SAY(r, "finding.scrap-test"), test);
	return k->n_advice > 0 || *test != '\0';
}

static bool
told_before(const struct advised *ad, uint32_t i)
{
	for (uint32_t k = 0; k < i; k++) {
		if (ad->c[k].setting == ad->c[i].setting && ad->c[k].said == ad->c[i].said &&
		    same_value(&ad->c[k].start, &ad->c[i].start) &&
		    ad->c[k].n_advice == ad->c[i].n_advice &&
		    (ad->c[i].n_advice == 0 || ad->c[k].advice[0] == ad->c[i].advice[0]))
			return true;
	}
	return false;
}

static void
why_and_test(struct run *r, const struct checked *c)
{
	const struct advised *ad = c->advised;
	bool any = false;

	for (uint32_t s = 0; s < r->craft->n_setting; s++) {
		for (uint32_t i = 0; i < ad->n; i++) {
			const struct choice *k = &ad->c[i];

			if (k->setting != s || k->start.state != VALUE_KNOWN || told_before(ad, i))
				continue;
			if (!any)
				page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "heading.why-and-test"));
			any = true;
			page_item(r->page, 0, TONE_PLAIN, craft_text(r->craft, setting_of(r, k)->label),
			    choice_value(r, c, k, &k->start));
			choice_words(r, c, k);
		}
	}
}

void
check_settings(struct run *r, const struct checked *c)
{
	struct group *g = arena_alloc(r->arena, (c->advised->n + 1) * sizeof *g);
	uint32_t n = groups_of(r, c, g);
	bool any = false;

	for (uint32_t i = 0; i < c->advised->n; i++)
		any = any || c->advised->c[i].start.state == VALUE_KNOWN;
	if (!any)
		return;
	page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "check.settings"));
	for (uint32_t i = 0; i < n; i++)
		group_table(r, c, &g[i]);
	why_and_test(r, c);
}

/* ---- one setting -------------------------------------------------------------------- */

bool
check_answer(struct run *r, const struct checked *c, uint32_t setting)
{
	const struct setting *s = &r->craft->setting[setting];
	uint32_t object = NONE;
	const struct choice *k = advise_for(c->advised, c->model, setting, c->project, &object);
	const char *label = craft_text(r->craft, s->label), *flip;

	if (k == NULL) {
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "answer.nowhere", "setting", label));
		return false;
	}
	if (k->start.state != VALUE_KNOWN) {
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "answer.none", "setting", label,
		    "place", object_name(c->model, object)));
		return true;
	}
	page_add(r->page, BLOCK_TITLE, NULL, SAY(r, k->said ? "answer.said" : "answer.start",
	    "setting", label, "value", choice_value(r, c, k, &k->start)));
	page_item(r->page, 1, TONE_PLAIN, SAY(r, "label.place"), object_name(c->model, object));
	if (k->lighter.state == VALUE_KNOWN)
		page_item(r->page, 1, TONE_PLAIN, SAY(r, "column.lighter"), SAY(r, "answer.step",
		    "value", choice_value(r, c, k, &k->lighter),
		    "what", craft_text(r->craft, s->lighter)));
	if (k->heavier.state == VALUE_KNOWN)
		page_item(r->page, 1, TONE_PLAIN, SAY(r, "column.heavier"), SAY(r, "answer.step",
		    "value", choice_value(r, c, k, &k->heavier),
		    "what", craft_text(r->craft, s->heavier)));
	flip = flip_text(r, c, k);
	if (*flip != '\0')
		page_item(r->page, 1, TONE_PLAIN, SAY(r, "column.changes"), flip);
	choice_words(r, c, k);
	check_sources(r);
	return true;
}
