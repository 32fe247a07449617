/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The seam plan: one row for each seam of a project. Which steps are seams, and
 * what the columns tell, stands in kb/.
 *
 * Some columns speak of another step of the same place, how its edges are
 * finished or pressed: of those the nearest behind the seam, else before it.
 */
#include "command/command_impl.h"

#include <string.h>

#include "work/instruct.h"

struct plan {
	struct run *r;
	const struct checked *c;
	const struct order_work *w;
	uint32_t *place;                   /* of each step in the order */
};

static bool
holds(const struct plan *p, uint32_t program, uint32_t object)
{
	struct binding b;

	for (size_t i = 0; i < VARIABLES_MAX; i++)
		b.object[i] = NONE;
	b.object[0] = object;
	return program == NONE || eval_truth(p->r->craft, p->c->model, program, &b) == TRI_TRUE;
}

const char *
order_place(struct run *r, const struct model *m, uint32_t object)
{
	const struct craft *c = r->craft;
	const char *place = NULL;

	for (uint32_t i = 0; i < c->n_work_line; i++) {
		const struct work_line *l = &c->work_line[i];
		struct buf b = {0};
		const char *t;

		if (l->list != WORK_LIST_PLACE || !instruct_fill(&b, c, m, &l->tell, object, false)) {
			buf_free(&b);
			continue;
		}
		t = run_kept(r, &b);
		if (place == NULL)
			place = t;
		else if (strcmp(place, t) != 0)
			place = SAY(r, "instructions.place-within", "part", place, "within", t);
	}
	return place;
}

/* Of the steps of the same place for which the column's condition holds. */
static uint32_t
near_step(const struct plan *p, uint32_t seam, uint32_t program)
{
	const struct model *m = p->c->model;
	const struct object *o = &m->objects[p->w->object[seam]];
	uint32_t best = NONE, far = NONE;

	for (uint32_t i = 0; i < p->w->n; i++) {
		uint32_t d = p->place[i] > p->place[seam] ? p->place[i] - p->place[seam]
		    : p->w->n + p->place[seam] - p->place[i];

		if (i == seam || m->objects[p->w->object[i]].parent != o->parent || d >= far ||
		    !holds(p, program, p->w->object[i]))
			continue;
		best = i;
		far = d;
	}
	return best;
}

static const char *
column_text(const struct plan *p, const struct work_line *l, uint32_t seam)
{
	struct run *r = p->r;
	uint32_t step = l->step == NONE ? seam : near_step(p, seam, l->step);
	struct buf b = {0};
	const char *fact;

	if (l->of != NO16) {
		fact = instruct_fact(r->arena, r->kb, p->c->model, l, p->w->object[seam]);
		return fact != NULL ? fact : "";
	}
	if (step != NONE && holds(p, l->when, p->w->object[step]))
		instruct_fill(&b, r->craft, p->c->model, &l->tell, p->w->object[step], true);
	return run_kept(r, &b);
}

static bool
is_seam(const struct plan *p, uint32_t step)
{
	for (uint32_t i = 0; i < p->r->craft->n_work_line; i++)
		if (p->r->craft->work_line[i].list == WORK_LIST_SEAMS &&
		    holds(p, p->r->craft->work_line[i].when, p->w->object[step]))
			return true;
	return false;
}

static const char *
seam_place(const struct plan *p, uint32_t seam)
{
	const char *place = order_place(p->r, p->c->model, p->w->object[seam]);
	const char *name = object_name(p->c->model, p->w->object[seam]);

	return place == NULL ? SAY(p->r, "seams.whole", "step", name)
	    : SAY(p->r, "order.step", "step", name, "part", place);
}

static void
people(const struct plan *p)
{
	struct run *r = p->r;
	const struct craft *c = r->craft;
	uint32_t seams = 0;

	page_add(r->page, BLOCK_TITLE, NULL, SAY(r, "seams.title"));
	for (uint32_t i = 0; i < p->w->n; i++) {
		uint32_t step = p->w->found.steps[i];

		if (!is_seam(p, step))
			continue;
		page_item(r->page, 1, TONE_PLAIN, arena_print(r->arena, "%u.", (unsigned)++seams),
		    seam_place(p, step));
		for (uint32_t k = 0; k < c->n_work_line; k++) {
			const struct work_line *l = &c->work_line[k];
			const char *t = l->list == WORK_LIST_COLUMN ? column_text(p, l, step) : "";

			if (*t != '\0')
				page_item(r->page, 2, TONE_PLAIN, craft_text(c, l->head), t);
		}
	}
	if (seams == 0)
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "seams.nothing"));
}

static void
programs(const struct plan *p)
{
	struct run *r = p->r;
	const struct craft *c = r->craft;
	struct json j;

	json_begin(r, &j);
	json_key(&j, "seams");
	json_open(&j, '[');
	for (uint32_t i = 0; i < p->w->n; i++) {
		uint32_t step = p->w->found.steps[i];

		if (!is_seam(p, step))
			continue;
		json_open(&j, '{');
		json_key(&j, "number");
		json_number(&j, i + 1);
		json_key(&j, "step");
		json_str(&j, object_name(p->c->model, p->w->object[step]));
		json_key(&j, "part");
		json_str(&j, order_place(r, p->c->model, p->w->object[step]));
		json_key(&j, "columns");
		json_open(&j, '[');
		for (uint32_t k = 0; k < c->n_work_line; k++) {
			const struct work_line *l = &c->work_line[k];
			const char *t;

			if (l->list != WORK_LIST_COLUMN)
				continue;
			t = column_text(p, l, step);
			json_open(&j, '{');
			json_key(&j, "column");
			json_str(&j, craft_text(c, l->head));
			json_key(&j, "text");
			json_str(&j, *t != '\0' ? t : NULL);
			json_close(&j, '}');
		}
		json_close(&j, ']');
		json_close(&j, '}');
	}
	json_close(&j, ']');
	json_end(r, &j);
}

void
order_seams(struct run *r, const struct checked *c, const struct order_work *w)
{
	struct plan p = {.r = r, .c = c, .w = w};

	p.place = arena_alloc(r->arena, (w->n + 1) * sizeof *p.place);
	for (uint32_t i = 0; i < w->n; i++)
		p.place[w->found.steps[i]] = i;
	if (r->ask->json)
		programs(&p);
	else
		people(&p);
}
