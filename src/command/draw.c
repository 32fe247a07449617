/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Drawings of constructions: the shapes of the knowledge base worked out over
 * one object of a model. What is a range is drawn at its middle.
 */
#include "command/command_impl.h"

#include <math.h>
#include <string.h>

#include "work/sizes.h"

#define LETTER_WIDTH 0.55                  /* of a letter's height, on the average */
enum { MARGIN_LETTERS = 4, NUMBERS_MOST = 2 * PLAN_POINTS_MOST + 3 };
#define MM 1000.0                          /* drawing units in one base unit of length */

struct drafting {
	struct run *r;
	const struct model *m;             /* its lengths held at their middles */
	const struct model *told;          /* as they are, for labels */
	const struct draft_plan *plan;
	struct binding it;
	double left, top, right, bottom;   /* of all that is drawn, in the plan's own place */
	struct drawing *d;                 /* NULL: only measuring */
	double letters;                    /* height of a line of letters, drawing units */
	size_t beside[2];                  /* letters of the longest label left and right of it */
};

static bool
worked_out(const struct drafting *f, uint32_t program, double unit, double *out)
{
	struct cell got = eval(f->r->craft, f->m, program, &f->it, NULL, NULL);

	if (got.state != VALUE_KNOWN || !isfinite(got.r.lo) || !isfinite(got.r.hi))
		return false;
	*out = (got.r.lo + got.r.hi) / 2 * unit;
	return isfinite(*out);
}

static bool
wanted(const struct drafting *f, uint32_t when)
{
	return when == NONE || eval_truth(f->r->craft, f->m, when, &f->it) == TRI_TRUE;
}

static void
reach(struct drafting *f, double x, double y)
{
	f->left = fmin(f->left, x);
	f->right = fmax(f->right, x);
	f->top = fmin(f->top, y);
	f->bottom = fmax(f->bottom, y);
}

/* What the arc itself takes; the whole circle's box would waste the sheet. */
static void
reach_arc(struct drafting *f, const double *n)
{
	enum { PIECES = 24 };

	for (int i = 0; i <= PIECES; i++) {
		double cx = n[0], cy = n[1], x, y;
		struct shape s = {.type = SHAPE_ARC, .n = 1, .x = &cx, .y = &cy, .radius = n[2]};

		arc_point(&s, n[3] + (n[4] - n[3]) * i / PIECES, &x, &y);
		reach(f, x, y);
	}
}

/* Ranges would crowd the sheet in two systems. */
static const char *
length_label(const struct drafting *f, uint32_t property, const value *v)
{
	return range_is_exact(v->r) ? sizes_both_text(f->r, property, v->r)
	    : value_text(f->r, f->told, property, v);
}

static const char *
label(const struct drafting *f, const struct plan_shape *s)
{
	return s->of == NONE ? craft_text(f->r->craft, s->says)
	    : length_label(f, s->of, model_slot(f->told, f->it.object[0], s->of));
}

static void
add(struct drafting *f, const struct plan_shape *s, double *n, double away)
{
	double x[PLAN_POINTS_MOST], y[PLAN_POINTS_MOST];
	uint32_t points = s->type == PLAN_CIRCLE || s->type == PLAN_ARC ? 1 : s->n_numbers / 2;
	enum pen pen = (enum pen)s->pen;

	for (uint32_t i = 0; i < points; i++) {
		n[2 * i] += away;
		x[i] = n[2 * i] - f->left;
		y[i] = n[2 * i + 1] - f->top;
	}
	if (f->d == NULL) {
		for (uint32_t i = 0; i < points && s->type != PLAN_CIRCLE && s->type != PLAN_ARC; i++)
			reach(f, n[2 * i], n[2 * i + 1]);
		if (s->type == PLAN_DIMENSION && fabs(n[3] - n[1]) > fabs(n[2] - n[0])) {
			size_t long_is = strlen(label(f, s));

			if (long_is > f->beside[s->beyond])
				f->beside[s->beyond] = long_is;
		}
		if (s->type == PLAN_ARC)
			reach_arc(f, n);
		if (s->type == PLAN_CIRCLE) {
			reach(f, n[0] - n[2], n[1] - n[2]);
			reach(f, n[0] + n[2], n[1] + n[2]);
		}
		return;
	}
	switch ((enum plan_type)s->type) {
	case PLAN_LINE: drawing_line(f->d, pen, points, x, y); break;
	case PLAN_AREA: drawing_area(f->d, (enum fill)s->fill, pen, points, x, y); break;
	case PLAN_CIRCLE: drawing_circle(f->d, (enum fill)s->fill, pen, x[0], y[0], n[2]); break;
	case PLAN_ARC: drawing_arc(f->d, pen, x[0], y[0], n[2], n[3], n[4]); break;
	case PLAN_TEXT: drawing_text(f->d, (enum anchor)s->anchor, x[0], y[0], label(f, s)); break;
	case PLAN_DIMENSION:
		drawing_dimension(f->d, x[0], y[0], x[1], y[1],
		    (s->beyond ? -1 : 1) * 2 * f->letters, label(f, s));
		break;
	case PLAN__COUNT: break;
	}
}

/* False: a coordinate is not known, so that the shape cannot be drawn. */
static bool
draft(struct drafting *f, const struct plan_shape *s)
{
	const struct craft *c = f->r->craft;
	double times = 1, step = 0, n[NUMBERS_MOST], copy[NUMBERS_MOST];

	if (!wanted(f, s->when))
		return true;
	for (uint32_t i = 0; i < s->n_numbers; i++)
		if (!worked_out(f, c->plan_number[s->first_number + i],
		    s->type == PLAN_ARC && i > 2 ? 1 : MM, &n[i]))
			return false;
	if (s->repeat != NONE && (!worked_out(f, s->repeat, 1, &times)
	    || (s->step != NONE && !worked_out(f, s->step, MM, &step))))
		return false;
	times = fmin(floor(times + 0.5), PLAN_REPEAT_MOST);
	for (double k = 0; k < times; k++) {
		memcpy(copy, n, sizeof copy);
		add(f, s, copy, k * step);
	}
	return true;
}

static bool
draft_all(struct drafting *f)
{
	bool whole = true;

	for (uint32_t i = 0; i < f->plan->n_shapes; i++)
		whole = draft(f, &f->r->craft->plan_shape[f->plan->first_shape + i]) && whole;
	return whole;
}

static struct drawing *
drawn(struct run *r, const struct model *m, const struct model *told, uint32_t object,
    const struct draft_plan *plan)
{
	struct drafting f = {.r = r, .m = m, .told = told, .plan = plan, .it = {{object}},
	    .left = INFINITY,
	    .top = INFINITY, .right = -INFINITY, .bottom = -INFINITY};
	struct drawing *trial;
	struct buf words = {0};
	double margin = 0, side[2] = {0, 0};

	if (!wanted(&f, plan->when) || !draft_all(&f) || !(f.right > f.left) || !(f.bottom > f.top))
		return NULL;
	message_fill(&words, r->craft, told, &plan->words, &f.it, NULL, NONE);
	/* The scale hangs on the size, and the room for letters on the scale. */
	trial = drawing_new(r->arena, f.right - f.left, f.bottom - f.top, "", "-");
	trial->measured = true;
	for (int i = 0; i < 3; i++) {
		double letters = DRAWING_LETTERS * drawing_ratio(trial);

		margin = MARGIN_LETTERS * letters;
		for (int k = 0; k < 2; k++)
			side[k] = margin + LETTER_WIDTH * letters * (double)f.beside[k];
		trial->width = f.right - f.left + side[0] + side[1];
		trial->height = f.bottom - f.top + 2 * margin;
	}
	f.d = drawing_new(r->arena, trial->width, trial->height, craft_text(r->craft, plan->name),
	    words.n > 0 ? words.p : craft_text(r->craft, plan->name));
	f.d->measured = true;
	f.letters = DRAWING_LETTERS * drawing_ratio(f.d);
	f.left -= side[0];
	f.top -= margin;
	buf_free(&words);
	return draft_all(&f) ? f.d : NULL;
}

/* Facts that are ranges held at their middles, so that all coordinates fit each other. */
static const struct model *
held(struct run *r, const struct model *m, const struct size_group *g)
{
	struct model *copy = model_copy(r->arena, m);

	for (uint32_t i = 0; i < g->n_inputs; i++) {
		const struct property *q = &r->craft->property[g->inputs[i].property];
		value *v = model_slot(copy, g->inputs[i].object, g->inputs[i].property);
		double middle = (v->r.lo + v->r.hi) / 2;

		if (v->state != VALUE_KNOWN || range_is_exact(v->r))
			continue;
		/* Half a pleat is none. */
		if (dim_none(q->dim) && q->step >= 1)
			middle = floor(middle / q->step + 0.5) * q->step;
		v->r = range_exact(middle);
		model_derive(copy, g->inputs[i].property);
	}
	return copy;
}

bool
sizes_drawing(struct run *r, const struct model *told, const struct size_group *g)
{
	const struct craft *c = r->craft;
	const struct model *m = held(r, told, g);
	uint32_t object = g->object;
	bool any = false;

	for (uint32_t i = 0; i < c->n_plan; i++) {
		struct drawing *d = c->plan[i].kind == m->objects[object].kind
		    ? drawn(r, m, told, object, &c->plan[i]) : NULL;
		const char *culprit;

		if (d == NULL || !drawing_check(d, &culprit))
			continue;
		page_drawing(r->page, d);
		any = true;
	}
	return any;
}
