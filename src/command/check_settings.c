/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The settings of a project: what most places take in one table, what differs
 * from place to place in another, then once for each choice why it was made and the scrap test
 * that decides; or one setting alone, answered in full.
 */
#include "command/command_impl.h"

#include <string.h>

#include "advise/rank.h"

enum { COLUMNS = 6, PLACES_NAMED = 3, REASONS_MOST = 1 };

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

	for (size_t i = 0; i < VARIABLES_MAX; i++)
		binding.object[i] = NONE;
	binding.object[0] = k->object;
	message_fill(&b, r->craft, c->model, &a->why, &binding, NULL, NONE);
	return run_kept(r, &b);
}

/* ---- rows: a choice and the places that take it --------------------------------- */

struct row {
	const struct choice *choice;
	uint32_t *objects, n;
	bool common, shown;                /* common: taken wherever nothing else is told */
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

static uint32_t
rows_of(struct run *r, const struct checked *c, struct row *rows)
{
	const struct advised *ad = c->advised;
	uint32_t n = 0, k;

	for (uint32_t i = 0; i < ad->n; i++) {
		if (ad->c[i].start.state != VALUE_KNOWN && !r->ask->all)
			continue;
		for (k = 0; k < n && !same_choice(rows[k].choice, &ad->c[i]); k++)
			;
		if (k == n)
			rows[n++] = (struct row){.choice = &ad->c[i],
			    .objects = arena_alloc(r->arena, (ad->n + 1) * sizeof(uint32_t))};
		rows[k].objects[rows[k].n++] = ad->c[i].object;
	}
	return n;
}

/* For each setting of several places, the choice that most of them take. */
static bool
mark_common(struct row *rows, uint32_t n)
{
	bool any = false;

	for (uint32_t i = 0; i < n; i++) {
		uint32_t places = 0, most = 0;

		for (uint32_t k = 0; k < n; k++) {
			if (rows[k].choice->setting != rows[i].choice->setting)
				continue;
			places += rows[k].n;
			most = rows[k].n > most ? rows[k].n : most;
		}
		rows[i].common = rows[i].n == most && rows[i].n > 1 && 2 * rows[i].n > places;
		any = any || rows[i].common;
	}
	return any;
}

static bool
same_objects(const struct row *a, const struct row *b)
{
	if (a->n != b->n)
		return false;
	for (uint32_t i = 0; i < a->n; i++)
		if (a->objects[i] != b->objects[i])
			return false;
	return true;
}

static const char *
places_text(struct run *r, const struct checked *c, const struct row *w)
{
	struct buf b = {0};
	uint32_t named = 0, more = 0;
	const char *t;

	for (uint32_t i = 0; i < w->n; i++) {
		const char *name = object_name(c->model, w->objects[i]);
		bool before = false;

		for (uint32_t k = 0; k < i; k++)
			before = before || strcmp(object_name(c->model, w->objects[k]), name) == 0;
		if (before)
			continue;
		if (named == PLACES_NAMED) {
			more++;
			continue;
		}
		buf_print(&b, "%s%s", named++ > 0 ? ", " : "", name);
	}
	t = arena_text(r->arena, b.n > 0 ? b.p : "", b.n);
	buf_free(&b);
	return more == 0 ? t : SAY(r, "settings.places-more", "places", t,
	    "n", arena_print(r->arena, "%u", (unsigned)more));
}

/* ---- tables ------------------------------------------------------------------------ */

struct grid { const char **cells; uint32_t rows; };

static void
grid_row(struct run *r, const struct checked *c, struct grid *g, const struct choice *k,
    const char *place)
{
	const char **cell = g->cells + (size_t)g->rows++ * COLUMNS;

	cell[0] = place;
	cell[1] = craft_text(r->craft, setting_of(r, k)->label);
	cell[2] = k->start.state != VALUE_KNOWN ? SAY(r, "value.no-advice")
	    : k->said ? SAY(r, "settings.yours", "value", choice_value(r, c, k, &k->start))
	    : choice_value(r, c, k, &k->start);
	cell[3] = choice_value(r, c, k, &k->lighter);
	cell[4] = choice_value(r, c, k, &k->heavier);
	cell[5] = flip_text(r, c, k);
}

static void
grid_begin(struct run *r, struct grid *g, uint32_t most)
{
	g->cells = arena_alloc(r->arena, ((size_t)most + 1) * COLUMNS * sizeof *g->cells);
	g->cells[0] = SAY(r, "label.place");
	g->cells[1] = SAY(r, "column.setting");
	g->cells[2] = SAY(r, "column.start");
	g->cells[3] = SAY(r, "column.lighter");
	g->cells[4] = SAY(r, "column.heavier");
	g->cells[5] = SAY(r, "column.changes");
	g->rows = 1;
}

/* Columns in which nothing stands are left out. */
static void
grid_end(struct run *r, struct grid *g, const char *heading)
{
	uint32_t kept[COLUMNS], n = 0;
	const char **cells;

	if (g->rows == 1)
		return;
	for (uint32_t k = 0; k < COLUMNS; k++) {
		bool any = false;

		for (uint32_t i = 1; i < g->rows; i++)
			any = any || *g->cells[i * COLUMNS + k] != '\0';
		if (any)
			kept[n++] = k;
	}
	cells = arena_alloc(r->arena, (size_t)g->rows * n * sizeof *cells);
	for (uint32_t i = 0; i < g->rows; i++)
		for (uint32_t k = 0; k < n; k++)
			cells[i * n + k] = g->cells[i * COLUMNS + kept[k]];
	page_add(r->page, BLOCK_HEADING, NULL, heading)->level = 2;
	page_table(r->page, g->rows, n, cells);
}

static void
tables(struct run *r, const struct checked *c, struct row *rows, uint32_t n)
{
	bool common = mark_common(rows, n);
	struct grid g;

	grid_begin(r, &g, n);
	for (uint32_t i = 0; i < n; i++)
		if (rows[i].common)
			grid_row(r, c, &g, rows[i].choice, "");
	grid_end(r, &g, SAY(r, "settings.everywhere"));
	grid_begin(r, &g, n);
	for (uint32_t i = 0; i < n; i++) {
		const char *place = places_text(r, c, &rows[i]);

		if (rows[i].common || rows[i].shown)
			continue;
		for (uint32_t k = i; k < n; k++) {
			if (rows[k].common || rows[k].shown || !same_objects(&rows[i], &rows[k]))
				continue;
			grid_row(r, c, &g, rows[k].choice, k == i ? place : "");
			rows[k].shown = true;
		}
	}
	grid_end(r, &g, common ? SAY(r, "settings.by-place") : SAY(r, "check.settings"));
}

/* ---- why, and the scrap test ----------------------------------------------------- */

static const char *
test_text(const struct run *r, const struct choice *k)
{
	for (uint32_t i = 0; i < k->n_advice; i++) {
		const char *t = craft_text(r->craft, r->craft->advice[k->advice[i]].scrap_test);

		if (*t != '\0')
			return t;
	}
	return craft_text(r->craft, setting_of(r, k)->scrap_test);
}

static const char *
reason_text(struct run *r, const struct checked *c, const struct choice *k, uint32_t nth)
{
	const struct advice *a = &r->craft->advice[k->advice[nth]];

	return SAY(r, "choice.reason", "why", choice_reason(r, c, k, nth),
	    "advice", own_mark(r, a->own, craft_text(r->craft, a->id)),
	    "sources", cites_text(r, a->first_source, a->n_sources));
}

/* Reasons and test of one choice; LABEL stands beside the reasons. */
static void
choice_words(struct run *r, const struct checked *c, const struct choice *k, const char *label)
{
	uint32_t most = r->ask->all ? UINT32_MAX : REASONS_MOST;

	for (uint32_t i = 0; i < k->n_advice && i < most; i++)
		page_item(r->page, 1, TONE_PLAIN, label, reason_text(r, c, k, i));
	if (k->empty && k->dropped != NONE)
		page_item(r->page, 1, TONE_PLAIN, SAY(r, "label.note"), SAY(r, "choice.dropped",
		    "advice", craft_text(r->craft, r->craft->advice[k->dropped].id)));
}

static bool
told_before(const struct advised *ad, uint32_t i)
{
	for (uint32_t k = 0; k < i; k++) {
		if (ad->c[k].setting == ad->c[i].setting && same_value(&ad->c[k].start, &ad->c[i].start) &&
		    ad->c[k].n_advice > 0 && ad->c[k].advice[0] == ad->c[i].advice[0])
			return true;
	}
	return false;
}

/* Of one setting: the reason for each choice made, then its test. */
static bool
setting_words(struct run *r, const struct checked *c, uint32_t setting, bool any)
{
	const struct advised *ad = c->advised;
	const struct choice *first = NULL;
	const char *test;

	for (uint32_t i = 0; i < ad->n && first == NULL; i++)
		if (ad->c[i].setting == setting && ad->c[i].start.state == VALUE_KNOWN)
			first = &ad->c[i];
	if (first == NULL || (first->n_advice == 0 && *test_text(r, first) == '\0'))
		return any;
	if (!any)
		page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "heading.why-and-test"));
	page_item(r->page, 0, TONE_PLAIN, craft_text(r->craft, setting_of(r, first)->label), "");
	for (uint32_t i = 0; i < ad->n; i++)
		if (ad->c[i].setting == setting && ad->c[i].start.state == VALUE_KNOWN &&
		    !told_before(ad, i))
			choice_words(r, c, &ad->c[i], choice_value(r, c, &ad->c[i], &ad->c[i].start));
	test = test_text(r, first);
	if (*test != '\0')
		page_item(r->page, 1, TONE_PLAIN, SAY(r, "finding.scrap-test"), test);
	return true;
}

static void
why_and_test(struct run *r, const struct checked *c)
{
	bool any = false;

	for (uint32_t s = 0; s < r->craft->n_setting; s++)
		any = setting_words(r, c, s, any);
}

void
check_settings(struct run *r, const struct checked *c)
{
	struct row *rows = arena_alloc(r->arena, (c->advised->n + 1) * sizeof *rows);
	uint32_t n = rows_of(r, c, rows);

	if (n == 0)
		return;
	page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "check.settings"));
	tables(r, c, rows, n);
	why_and_test(r, c);
}

/* ---- one setting -------------------------------------------------------------------- */

/* A neighbour of the choice, with the words the schema has for it. */
static void
step_item(struct run *r, const struct checked *c, const struct choice *k, const value *v,
    const char *label, text_at what)
{
	const char *words = craft_text(r->craft, what), *t = choice_value(r, c, k, v);

	if (v->state == VALUE_KNOWN)
		page_item(r->page, 1, TONE_PLAIN, label, *words == '\0' ? t
		    : SAY(r, "answer.step", "value", t, "what", words));
}

bool
check_answer(struct run *r, const struct checked *c, uint32_t setting)
{
	const struct setting *s = &r->craft->setting[setting];
	uint32_t object = NONE;
	const struct choice *k = advise_for(c->advised, c->model, setting, c->project, &object);
	const char *label = craft_text(r->craft, s->label), *flip;

	if (suit_asked(r->craft, setting))
		return suit_page(r, c);
	if (k == NULL)
		k = advise_anyway(r->arena, r->kb, c->model, setting, c->project, &object);
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
	step_item(r, c, k, &k->lighter, SAY(r, "column.lighter"), s->lighter);
	step_item(r, c, k, &k->heavier, SAY(r, "column.heavier"), s->heavier);
	flip = flip_text(r, c, k);
	if (*flip != '\0')
		page_item(r->page, 1, TONE_PLAIN, SAY(r, "column.changes"), flip);
	choice_words(r, c, k, SAY(r, "finding.why"));
	if (*test_text(r, k) != '\0')
		page_item(r->page, 1, TONE_PLAIN, SAY(r, "finding.scrap-test"), test_text(r, k));
	check_sources(r);
	return true;
}
