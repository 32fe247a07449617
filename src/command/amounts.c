/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * amounts: how much a project takes, what to ask for in the shop, for one or
 * for many, and whether what is there is enough.
 */
#include "command/reckon.h"

#include <math.h>
#include <string.h>

struct amounts_view {
	struct run *r;
	struct model *m;
	const struct reckoned *q;  uint32_t n;
	const struct lay_work *works;  uint32_t n_works;
	uint32_t copies;
	const struct suffices *s;  uint32_t n_s;
};

enum { COPIES_MOST = 2000 };

/* ---- the cutting list ---------------------------------------------------------------- */

static const char *
length_text(struct run *r, uint32_t property, range x)
{
	value v = {.r = x, .state = VALUE_KNOWN};

	return reckon_both(r, NULL, property, &v);
}

/* The property whose units show a length of the pieces: that of what they run along. */
static uint32_t
shown_as(const struct craft *c, const struct laying *l, uint32_t program)
{
	return c->program[program].property != NONE ? c->program[program].property : l->gives;
}

static void
layout_note(const struct amounts_view *v, const struct lay_work *w)
{
	struct run *r = v->r;
	const struct laying *l = &r->craft->laying[w->laying];
	const char *width = length_text(r, l->roll, w->width);

	if (w->fault == PACK_TOO_WIDE && w->n > 0)
		page_item(r->page, 2, TONE_DOUBTFUL, SAY(r, "amounts.layout"), SAY(r, "amounts.too-wide",
		    "piece", reckon_name(r, v->m, w->pieces[w->culprit].object), "width", width));
	else if (w->fault != PACK_FINE)
		page_item(r->page, 2, TONE_DOUBTFUL, SAY(r, "amounts.layout"),
		    SAY(r, w->fault == PACK_TOO_MANY ? "amounts.too-many" : "amounts.too-long"));
	else if (w->n_known > 0 && w->width_known)
		page_item(r->page, 2, TONE_PLAIN, SAY(r, "amounts.layout"),
		    SAY(r, w->high.exact ? "amounts.laid-best" : "amounts.laid", "width", width,
		        "length", length_text(r, l->gives, w->length), "bound", length_text(r, l->gives,
		        range_exact((double)w->high.bound / 1000))));
}

static void
cutting_list(const struct amounts_view *v, const struct lay_work *w)
{
	struct run *r = v->r;
	const struct laying *l = &r->craft->laying[w->laying];
	const char **cell = arena_alloc(r->arena, ((size_t)w->n + 1) * 4 * sizeof *cell);

	if (w->n == 0)
		return;
	cell[0] = SAY(r, "amounts.piece");
	cell[1] = SAY(r, "amounts.pieces");
	cell[2] = SAY(r, "amounts.across");
	cell[3] = SAY(r, "amounts.along");
	for (uint32_t i = 0; i < w->n; i++) {
		const struct lay_piece *p = &w->pieces[i];
		const char **row = cell + ((size_t)i + 1) * 4;

		row[0] = reckon_name(r, v->m, p->object);
		row[1] = p->has_count ? range_is_exact(p->count) ? number_text(r, p->count.lo, 9)
		    : SAY(r, "amounts.from-to", "low", number_text(r, p->count.lo, 9), "high",
		        number_text(r, p->count.hi, 9)) : SAY(r, "reckon.unknown");
		row[2] = p->has_across ? length_text(r, shown_as(r->craft, l, l->across), p->across)
		    : SAY(r, "reckon.unknown");
		row[3] = p->has_along ? length_text(r, shown_as(r->craft, l, l->along), p->along)
		    : SAY(r, "reckon.unknown");
	}
	page_table(r->page, w->n + 1, 4, cell);
	layout_note(v, w);
	if (w->n_known < w->n)
		page_item(r->page, 2, TONE_OPEN, SAY(r, "reckon.missing"), SAY(r, "amounts.not-laid", "n",
		    number_text(r, w->n - w->n_known, 6)));
}

/* ---- one line -------------------------------------------------------------------------- */

static void
there_is(const struct amounts_view *v, const struct reckoned *q)
{
	struct run *r = v->r;
	const struct reckoning *k = &r->craft->reckoning[q->reckoning];
	const char *have = reckon_both(r, v->m, k->have, &q->have);
	range lack = range_sub(q->need.r, q->have.r);

	if (q->enough == TRI_ABSENT)
		return;
	if (lack.lo < 0)
		lack.lo = 0;
	if (q->enough == TRI_TRUE)
		page_item(r->page, 2, TONE_GOOD, SAY(r, "amounts.there-is"),
		    SAY(r, "amounts.enough", "have", have));
	else if (q->enough == TRI_FALSE)
		page_item(r->page, 2, TONE_DOUBTFUL, SAY(r, "amounts.there-is"), SAY(r, "amounts.short",
		    "have", have, "lack", length_text(r, k->need, lack)));
	else
		page_item(r->page, 2, TONE_OPEN, SAY(r, "amounts.there-is"), SAY(r, "amounts.open",
		    "have", have, "lack", length_text(r, k->need, (range){lack.hi, lack.hi})));
}

static void
figure(const struct amounts_view *v, uint32_t object, uint32_t property)
{
	struct run *r = v->r;
	const value *x = model_slot(v->m, object, property);

	if (x->state != VALUE_KNOWN || (r->craft->property[property].type == TYPE_QUANTITY &&
	    x->r.lo == 0 && x->r.hi == 0))
		return;
	page_item(r->page, 2, TONE_PLAIN, craft_text(r->craft, r->craft->property[property].label),
	    SAY(r, "amounts.figure", "value", reckon_both(r, v->m, property, x), "basis",
	        pedigree_text(r, v->m, x->pedigree)));
}

static void
line(const struct amounts_view *v, const struct reckoned *q)
{
	struct run *r = v->r;
	const struct reckoning *k = &r->craft->reckoning[q->reckoning];
	const struct lay_work *w = lay_on(v->works, v->n_works, q->object);

	page_item(r->page, 1, TONE_PLAIN, object_name(v->m, q->object), q->need.state == VALUE_KNOWN
	    ? SAY(r, "amounts.takes", "need", reckon_both(r, v->m, k->need, &q->need))
	    : SAY(r, q->need.state == VALUE_ABSENT ? "amounts.none" : "amounts.not-known"));
	if (w != NULL)
		cutting_list(v, w);
	for (uint8_t i = 0; i < k->n_shows; i++)
		figure(v, q->object, k->shows[i]);
	if (q->spread && q->need.state == VALUE_KNOWN) {
		const char *ask = craft_text(r->craft, r->craft->property[q->decides.property].ask);

		page_item(r->page, 2, TONE_PLAIN, SAY(r, "amounts.decides"), SAY(r, "amounts.decides-most",
		    "fact", fact_text(r, v->m, q->decides), "value", reckon_both(r, v->m,
		        q->decides.property, model_slot(v->m, q->decides.object, q->decides.property)),
		    "ask", ask));
	}
	there_is(v, q);
	reckon_ask(r, v->m, q);
}

/* ---- for people -------------------------------------------------------------------------- */

static void
shopping(const struct amounts_view *v)
{
	struct run *r = v->r;
	bool any = false;

	for (uint32_t i = 0; i < v->n; i++)
		any = any || *reckon_shop(r, v->m, &v->q[i]) != '\0';
	if (!any)
		return;
	page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "amounts.shop"))->level = 1;
	for (uint32_t i = 0; i < v->n; i++) {
		const char *t = reckon_shop(r, v->m, &v->q[i]);

		if (*t != '\0')
			page_item(r->page, 1, TONE_PLAIN, SAY(r, "amounts.box"), t);
	}
}

static void
people(const struct amounts_view *v)
{
	struct run *r = v->r;

	page_add(r->page, BLOCK_TITLE, NULL, v->copies == 1 ? SAY(r, "amounts.title")
	    : SAY(r, "amounts.title-for", "n", number_text(r, v->copies, 6)));
	if (v->n == 0)
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "amounts.nothing"));
	if (v->n_s > 0) {                      /* nothing is named that would take an amount */
		suffices_page(r, v->s, v->n_s);
		return;
	}
	shopping(v);
	for (uint32_t i = 0; i < v->n; i++) {
		const struct reckoning *k = &r->craft->reckoning[v->q[i].reckoning];

		if (i == 0 || v->q[i - 1].reckoning != v->q[i].reckoning)
			page_add(r->page, BLOCK_HEADING, NULL, craft_text(r->craft, k->heading))->level = 1;
		line(v, &v->q[i]);
		if (i + 1 < v->n && v->q[i + 1].reckoning == v->q[i].reckoning)
			continue;
		if (k->says != 0)
			page_add(r->page, BLOCK_PARAGRAPH, NULL, craft_text(r->craft, k->says));
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "reckon.from", "sources",
		    cites_text(r, k->first_source, k->n_sources)));
	}
	check_sources(r);
}

/* ---- for programs -------------------------------------------------------------------------- */

static void
millimetres(struct json *j, const char *key, range x)
{
	json_key(j, key);
	json_open(j, '[');
	json_number(j, ceil(x.lo * 1000 - 1e-6));
	json_number(j, ceil(x.hi * 1000 - 1e-6));
	json_close(j, ']');
}

static void
cuts_json(const struct amounts_view *v, struct json *j, const struct lay_work *w)
{
	json_open(j, '{');
	json_key(j, "from");
	json_str(j, object_name(v->m, w->onto));
	millimetres(j, "width_mm", w->width);
	json_key(j, "laid");
	json_bool(j, w->fault == PACK_FINE && w->width_known && w->n_known > 0);
	millimetres(j, "length_mm", w->length);
	json_key(j, "at_least_mm");
	json_number(j, (double)w->high.bound);
	json_key(j, "proved");
	json_bool(j, w->high.exact);
	json_key(j, "pieces");
	json_open(j, '[');
	for (uint32_t i = 0; i < w->n; i++) {
		const struct lay_piece *p = &w->pieces[i];

		json_open(j, '{');
		json_key(j, "piece");
		json_str(j, reckon_name(v->r, v->m, p->object));
		json_key(j, "known");
		json_bool(j, p->known);
		json_key(j, "count");
		json_open(j, '[');
		json_number(j, p->count.lo);
		json_number(j, p->count.hi);
		json_close(j, ']');
		millimetres(j, "across_mm", p->across);
		millimetres(j, "along_mm", p->along);
		json_key(j, "may_be_turned");
		json_bool(j, p->turned);
		json_close(j, '}');
	}
	json_close(j, ']');
	json_close(j, '}');
}

static void
programs(const struct amounts_view *v)
{
	struct json j;

	json_begin(v->r, &j);
	json_key(&j, "for");
	json_number(&j, v->copies);
	json_key(&j, "lines");
	json_open(&j, '[');
	for (uint32_t i = 0; i < v->n; i++)
		reckon_json(v->r, &j, v->m, &v->q[i]);
	json_close(&j, ']');
	json_key(&j, "cuts");
	json_open(&j, '[');
	for (uint32_t i = 0; i < v->n_works; i++)
		cuts_json(v, &j, &v->works[i]);
	json_close(&j, ']');
	suffices_json(v->r, &j, v->s, v->n_s);
	json_sources(v->r, &j);
	json_end(v->r, &j);
}

/* ---- how many ------------------------------------------------------------------------------- */

static uint32_t
copies_property(const struct craft *c)
{
	uint32_t kind = kind_find(c, SV("garment"));

	return kind == NONE ? NONE : property_find(c, kind, SV("copies"));
}

/* --for N takes the place of what the project says. */
static bool
copies_asked(struct run *r, struct project *p)
{
	uint32_t property = copies_property(r->craft), n = 0;
	struct said_value *more;
	double x;
	size_t used;

	if (r->ask->copies == NULL)
		return true;
	if (property == NONE || !number_read(sv(r->ask->copies), &used, &x) ||
	    r->ask->copies[used] != '\0' || x != floor(x) || x < 1 || x > COPIES_MOST) {
		usage(r, "--for is a whole number from 1 to %d; not %.60s", COPIES_MOST, r->ask->copies);
		return false;
	}
	more = arena_alloc(r->arena, ((size_t)p->n_values + 1) * sizeof *more);
	for (uint32_t i = 0; i < p->n_values; i++)
		if (p->values[i].property != property)
			more[n++] = p->values[i];
	more[n++] = (struct said_value){.thing = NONE, .property = property, .scope_entry = NONE,
	    .scope_thing = NONE, .unit = -1, .value = {.r = {x, x}, .state = VALUE_KNOWN},
	    .place = {.src = source_new(r->arena, "<for>", sv(r->ask->copies)),
	        .n = (uint32_t)used}};
	p->values = more;
	p->n_values = p->cap_values = n;
	return true;
}

int
command_amounts(struct run *r)
{
	struct amounts_view v = {.r = r, .copies = 1};
	struct project *p = reckon_project(r,
	    "amounts takes one project file, or --words and a text in quotes");
	uint32_t property;
	struct checked c;

	if (p == NULL || !copies_asked(r, p) || !check_project(r, p, &c))
		return EXIT_NOT_RUN;
	model_derive_late(c.model);
	if (r->ask->stages != NULL && !wants_stage(r->ask, "page")) {
		check_dump(r, &c);
		return EXIT_SOUND;
	}
	v.m = c.model;
	if ((property = copies_property(r->craft)) != NONE) {
		const value *x = model_slot(v.m, v.m->first_of_kind[r->craft->property[property].kind],
		    property);

		v.copies = x->state == VALUE_KNOWN && x->r.hi >= 1 && x->r.hi <= COPIES_MOST
		    ? (uint32_t)x->r.hi : 1;
	}
	v.s = suffices_for(r, p, &v.n_s);
	v.works = lay_all(r->arena, v.m, &v.n_works);
	v.q = reckon(r, v.m, RECKON_AMOUNTS, v.works, v.n_works, &v.n);
	if (r->ask->json)
		programs(&v);
	else
		people(&v);
	for (uint32_t i = 0; i < v.n; i++)
		if (v.q[i].enough == TRI_FALSE)
			return EXIT_FINDINGS;
	return EXIT_SOUND;
}
