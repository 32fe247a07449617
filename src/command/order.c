/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * order: in what order the steps of a project are done, with what is set for
 * each and why it stands where it stands.
 */
#include "command/command_impl.h"

#include <string.h>

#include "work/order.h"

struct steps_view {
	struct run *r;
	const struct checked *c;
	const struct order_work *w;
	uint32_t *place;                   /* of each step, from 1 */
};

static const char *
step_name(const struct steps_view *v, uint32_t step)
{
	return object_name(v->c->model, v->w->object[step]);
}

/* What brought the step, or what it is done to where that is told; NULL: the
 * thing as a whole. */
static const char *
step_part(const struct steps_view *v, uint32_t step)
{
	const struct model *m = v->c->model;
	uint32_t up = m->objects[v->w->object[step]].parent;

	if (up == NONE || v->r->craft->kind[m->objects[up].kind].singleton)
		return NULL;
	return object_name(m, up);
}

static const char *
step_title(const struct steps_view *v, uint32_t step)
{
	const char *part = step_part(v, step);

	return part == NULL ? step_name(v, step)
	    : SAY(v->r, "order.step", "step", step_name(v, step), "part", part);
}

/* The property of the dearest change tells where a step is done. */
static const value *
station_of(const struct steps_view *v, uint32_t step, uint32_t *property)
{
	const struct craft *c = v->r->craft;

	if (c->n_order_change == 0 || c->order_change[0].n_of == 0)
		return NULL;
	*property = c->order_change[0].of[0];
	return model_slot(v->c->model, v->w->object[step], *property);
}

static const char *
station_text(const struct steps_view *v, uint32_t step)
{
	uint32_t property;
	const value *s = station_of(v, step, &property);

	return s == NULL || s->state != VALUE_KNOWN ? NULL
	    : value_text(v->r, v->c->model, property, s);
}

static const char *
reason_text(const struct steps_view *v, const struct order_reason *q)
{
	const struct craft *c = v->r->craft;

	return q->rule != NONE ? craft_text(c, c->order_rule[q->rule].why)
	    : SAY(v->r, "order.own", "entry", craft_text(c, c->entry[q->entry].name));
}

/* ---- what is set ------------------------------------------------------------------ */

static const struct choice *
choice_at(const struct steps_view *v, uint32_t step, uint32_t setting)
{
	for (uint32_t i = 0; i < v->c->advised->n; i++) {
		const struct choice *k = &v->c->advised->c[i];

		if (k->setting == setting && k->object == v->w->object[step] &&
		    k->start.state == VALUE_KNOWN)
			return k;
	}
	return NULL;
}

static bool
same_start(const value *a, const value *b)
{
	return a->set[0] == b->set[0] && a->set[1] == b->set[1];
}

/* What has to be set anew for the step: all that the last step which had the
 * setting had otherwise. */
static const char *
set_anew(const struct steps_view *v, const value **last, uint32_t step)
{
	const struct craft *c = v->r->craft;
	struct buf b = {0};

	buf_add(&b, "", 0);
	for (uint32_t s = 0; s < c->n_setting; s++) {
		const struct choice *k = choice_at(v, step, s);

		if (k == NULL)
			continue;
		if (last[s] == NULL || !same_start(last[s], &k->start) || v->r->ask->all)
			buf_print(&b, "%s%s", b.n > 0 ? "; " : "", SAY(v->r, "order.setting", "setting",
			    craft_text(c, c->setting[s].label), "value",
			    value_text(v->r, v->c->model, c->setting[s].property, &k->start)));
		last[s] = &k->start;
	}
	return run_kept(v->r, &b);
}

/* ---- for people ---------------------------------------------------------------------- */

static void
counts_table(const struct steps_view *v)
{
	struct run *r = v->r;
	const struct craft *c = r->craft;
	const struct order_found *f = &v->w->found;
	uint32_t n = c->n_order_change, columns = f->exact ? 3 : 4;
	const char **cell = arena_alloc(r->arena, ((size_t)n + 1) * columns * sizeof *cell);
	bool alike = true;                     /* a bound speaks only where all before it are met */

	cell[0] = "";
	cell[1] = SAY(r, "order.here");
	cell[2] = SAY(r, "order.as-listed");
	if (!f->exact)
		cell[3] = SAY(r, "order.at-least");
	for (uint32_t k = 0; k < n; k++) {
		const char **row = cell + (size_t)(k + 1) * columns;

		row[0] = craft_text(c, c->order_change[k].label);
		row[1] = number_text(r, f->cost.of[k], 6);
		row[2] = number_text(r, f->naive_cost.of[k], 6);
		if (!f->exact)
			row[3] = alike ? number_text(r, f->bound.of[k], 6) : "";
		alike = alike && f->cost.of[k] == f->bound.of[k];
	}
	page_table(r->page, n + 1, columns, cell);
	page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, f->exact ? "order.proved" : "order.not-proved"));
}

static void
loops(const struct steps_view *v)
{
	struct run *r = v->r;

	if (v->w->n_loops == 0)
		return;
	page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "order.loops"))->level = 1;
	for (uint32_t i = 0; i < v->w->n_loops; i++) {
		const struct order_loop *l = &v->w->loops[i];
		struct buf b = {0};

		for (uint32_t k = 0; k < l->n; k++)
			buf_print(&b, "%s%s", k > 0 ? "; " : "", SAY(r, "order.before", "first",
			    step_title(v, l->round[k].first), "then", step_title(v, l->round[k].then)));
		page_item(r->page, 1, TONE_DOUBTFUL, SAY(r, "order.loop"), run_kept(r, &b));
		for (uint32_t k = 0; k < l->n; k++)
			page_item(r->page, 2, TONE_PLAIN, SAY(r, k == l->dropped ? "order.set-aside"
			    : "order.kept"), reason_text(v, &l->round[k]));
	}
	if (v->w->n_dropped > v->w->n_loops)
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "order.more-loops", "n",
		    number_text(r, v->w->n_dropped - v->w->n_loops, 6)));
}

/* Of the reasons that hold a step back the one whose step comes last; rules
 * before entries, since those tell a reason. */
static const struct order_reason *
held_by(const struct steps_view *v, uint32_t step)
{
	const struct order_reason *best = NULL;

	for (uint32_t i = 0; i < v->w->n_reasons; i++) {
		const struct order_reason *q = &v->w->reasons[i];

		if (q->then != step || !q->needed)
			continue;
		if (best == NULL || v->place[q->first] > v->place[best->first])
			best = q;
	}
	return best;
}

static void
people(const struct steps_view *v)
{
	struct run *r = v->r;
	const struct order_work *w = v->w;
	const value **last = arena_alloc(r->arena, ((size_t)r->craft->n_setting + 1) * sizeof *last);
	bool *told = arena_alloc(r->arena, (size_t)r->craft->n_order_rule + 1);
	const char *at = NULL;

	page_add(r->page, BLOCK_TITLE, NULL, SAY(r, "order.title"));
	if (w->n == 0) {
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "order.nothing"));
		return;
	}
	counts_table(v);
	loops(v);
	for (uint32_t i = 0; i < w->n; i++) {
		uint32_t step = w->found.steps[i];
		const char *station = station_text(v, step), *set = set_anew(v, last, step);
		const struct order_reason *q = held_by(v, step);

		if (station != NULL && (at == NULL || strcmp(at, station) != 0))
			page_add(r->page, BLOCK_HEADING, NULL, station)->level = 1;
		at = station != NULL ? station : at;
		page_item(r->page, 1, TONE_PLAIN, arena_print(r->arena, "%u.", (unsigned)(i + 1)),
		    step_title(v, step));
		if (*set != '\0')
			page_item(r->page, 2, TONE_PLAIN, SAY(r, "order.set"), set);
		/* a reason is told once; its rule alone would say it again and again */
		if (q == NULL || (q->rule == NONE && !r->ask->all) || (q->rule != NONE && told[q->rule] &&
		    !r->ask->all))
			continue;
		if (q->rule != NONE)
			told[q->rule] = true;
		page_item(r->page, 2, TONE_PLAIN, SAY(r, "order.after", "n", number_text(r,
		    v->place[q->first], 6)), q->rule == NONE ? reason_text(v, q)
		    : SAY(r, "order.why", "why", reason_text(v, q), "sources",
		        cites_text(r, r->craft->order_rule[q->rule].first_source,
		            r->craft->order_rule[q->rule].n_sources)));
	}
	check_sources(r);
}

/* ---- for programs ------------------------------------------------------------------------ */

static void
cost_json(const struct steps_view *v, struct json *j, const char *key,
    const struct order_cost *cost)
{
	const struct craft *c = v->r->craft;

	json_key(j, key);
	json_open(j, '[');
	for (uint32_t k = 0; k < c->n_order_change; k++) {
		json_open(j, '{');
		json_key(j, "change");
		json_str(j, craft_text(c, c->order_change[k].name));
		json_key(j, "count");
		json_number(j, cost->of[k]);
		json_close(j, '}');
	}
	json_close(j, ']');
}

static void
reason_json(const struct steps_view *v, struct json *j, const struct order_reason *q)
{
	const struct craft *c = v->r->craft;

	json_key(j, "rule");
	json_str(j, q->rule != NONE ? craft_text(c, c->order_rule[q->rule].id) : NULL);
	json_key(j, "entry");
	json_str(j, q->rule == NONE ? craft_text(c, c->entry[q->entry].name) : NULL);
	json_key(j, "why");
	json_str(j, reason_text(v, q));
}

static void
step_json(const struct steps_view *v, struct json *j, uint32_t step)
{
	const struct craft *c = v->r->craft;

	json_open(j, '{');
	json_key(j, "number");
	json_number(j, v->place[step]);
	json_key(j, "step");
	json_str(j, step_name(v, step));
	json_key(j, "part");
	json_str(j, step_part(v, step));
	json_key(j, "station");
	json_str(j, station_text(v, step));
	json_key(j, "settings");
	json_open(j, '[');
	for (uint32_t s = 0; s < c->n_setting; s++) {
		const struct choice *k = choice_at(v, step, s);

		if (k == NULL)
			continue;
		json_open(j, '{');
		json_key(j, "setting");
		json_str(j, craft_text(c, c->setting[s].name));
		json_key(j, "said");
		json_bool(j, k->said);
		json_key(j, "value");
		json_value(v->r, j, v->c->model, c->setting[s].property, &k->start);
		json_close(j, '}');
	}
	json_close(j, ']');
	json_key(j, "after");
	json_open(j, '[');
	for (uint32_t i = 0; i < v->w->n_reasons; i++) {
		const struct order_reason *q = &v->w->reasons[i];

		if (q->then != step || !q->needed)
			continue;
		json_open(j, '{');
		json_key(j, "number");
		json_number(j, v->place[q->first]);
		reason_json(v, j, q);
		json_close(j, '}');
	}
	json_close(j, ']');
	json_close(j, '}');
}

static void
programs(const struct steps_view *v)
{
	const struct order_work *w = v->w;
	struct json j;

	json_begin(v->r, &j);
	json_key(&j, "steps");
	json_open(&j, '[');
	for (uint32_t i = 0; i < w->n; i++)
		step_json(v, &j, w->found.steps[i]);
	json_close(&j, ']');
	cost_json(v, &j, "changes", &w->found.cost);
	cost_json(v, &j, "as_listed", &w->found.naive_cost);
	cost_json(v, &j, "at_least", &w->found.bound);
	json_key(&j, "proved");
	json_bool(&j, w->found.exact);
	json_key(&j, "loops");
	json_open(&j, '[');
	for (uint32_t i = 0; i < w->n_loops; i++) {
		json_open(&j, '[');
		for (uint32_t k = 0; k < w->loops[i].n; k++) {
			json_open(&j, '{');
			json_key(&j, "first");
			json_number(&j, v->place[w->loops[i].round[k].first]);
			json_key(&j, "then");
			json_number(&j, v->place[w->loops[i].round[k].then]);
			reason_json(v, &j, &w->loops[i].round[k]);
			json_key(&j, "set_aside");
			json_bool(&j, k == w->loops[i].dropped);
			json_close(&j, '}');
		}
		json_close(&j, ']');
	}
	json_close(&j, ']');
	json_end(v->r, &j);
}

/* ---- the command --------------------------------------------------------------------------- */

int
command_order(struct run *r)
{
	struct steps_view v = {.r = r};
	struct checked c;
	struct project *p;
	uint16_t region = NO16;

	if (r->ask->seams && r->ask->instructions)
		return usage(r, "--seams and --instructions are two papers; ask for one");
	if (r->ask->country != NULL && !r->ask->instructions)
		return usage(r, "--country goes with --instructions");
	p = project_told(r, "order takes one project file, or --words and a text in quotes");
	if (p == NULL || !region_read(r, &region))
		return EXIT_NOT_RUN;
	if (p == NULL || r->diags.errors > 0 || !check_project(r, p, &c))
		return EXIT_NOT_RUN;
	v.c = &c;
	if (r->ask->stages != NULL && !wants_stage(r->ask, "page")) {
		check_dump(r, &c);
		return EXIT_SOUND;
	}
	v.w = order_work(r->arena, c.model);
	v.place = arena_alloc(r->arena, (v.w->n + 1) * sizeof *v.place);
	for (uint32_t i = 0; i < v.w->n; i++)
		v.place[v.w->found.steps[i]] = i + 1;
	if (r->ask->seams)
		order_seams(r, &c, v.w);
	else if (r->ask->instructions)
		order_instructions(r, &c, v.w, region);
	else if (r->ask->json)
		programs(&v);
	else
		people(&v);
	return v.w->n_dropped > 0 ? EXIT_FINDINGS : EXIT_SOUND;
}
