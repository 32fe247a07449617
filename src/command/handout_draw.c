/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Drawings of a handout: what a property measures on all cloths side by side, as
 * bars on one scale, and the cross-sections and shapes of what was chosen.
 */
#include "command/handout_impl.h"

#include <math.h>
#include <string.h>

#define NAMES 44.0                         /* mm of paper for the names on the left */
#define ROW 7.0                            /* mm from bar to bar */
#define RIGHT 34.0                         /* mm kept free behind the scale for labels */
enum { TICKS_MOST = 4 };

/* ---- bars ---------------------------------------------------------------------- */

struct bar { const char *name, *text; range usual, seen; };

static bool
bar_of(struct handout *h, const struct handout_cloth *k, uint32_t property, struct bar *b)
{
	const struct model *m = k->c.model;
	const value *v, *seen;

	if (k->object == NONE || m->objects[k->object].kind != h->r->craft->property[property].kind)
		return false;
	v = model_slot(m, k->object, property);
	if (v->state != VALUE_KNOWN || !isfinite(v->r.lo) || !isfinite(v->r.hi))
		return false;
	seen = &m->pedigrees[v->pedigree].seen;
	*b = (struct bar){.name = k->name, .text = value_text(h->r, m, property, v), .usual = v->r,
	    .seen = m->pedigrees[v->pedigree].kind == PEDIGREE_TYPICAL && seen->state == VALUE_KNOWN
	    ? range_hull(v->r, seen->r) : v->r};
	handout_cite(h, m->pedigrees[v->pedigree].source_low);
	handout_cite(h, m->pedigrees[v->pedigree].source_high);
	return true;
}

/* The step of a scale of at most TICKS_MOST: 1, 2 or 5 and noughts. */
static double
tick_step(double most)
{
	static const double steps[] = {1, 2, 5};
	double ten = 1e-9;

	for (;; ten *= 10)
		for (size_t i = 0; i < sizeof steps / sizeof *steps; i++)
			if (most <= steps[i] * ten * TICKS_MOST)
				return steps[i] * ten;
}

void
handout_bars(struct handout *h, uint32_t part)
{
	const struct craft *c = h->r->craft;
	const struct sheet_part *p = &c->sheet_part[part];
	const struct sheet_line *l = p->n_lines > 0 ? &c->sheet_line[p->first_line] : NULL;
	struct bar bars[HANDOUT_CLOTHS_MOST];
	struct buf words = {0};
	uint32_t n = 0, property;
	double most = 0, scale, step, wide = DRAWING_WIDEST - NAMES - RIGHT, foot;
	struct drawing *d;

	if (l == NULL || l->n_items == 0)
		return;
	property = c->sheet_item[l->first_item].property;
	for (uint32_t k = 0; k < h->n_cloths; k++)
		n += bar_of(h, &h->cloths[k], property, &bars[n]);
	for (uint32_t i = 0; i < n; i++) {
		most = bars[i].seen.hi > most ? bars[i].seen.hi : most;
		buf_print(&words, "%s%s %s", i > 0 ? "; " : "", bars[i].name, bars[i].text);
	}
	if (n < 2 || most <= 0)
		return;
	step = tick_step(most);
	scale = wide / (step * ceil(most / step));
	foot = ROW * n + 2;
	d = drawing_new(h->r->arena, DRAWING_WIDEST, foot + ROW, craft_text(c, p->says), words.p);
	buf_free(&words);
	for (uint32_t i = 0; i < n; i++) {
		double y = ROW * i + ROW / 2;
		double x[4] = {NAMES + bars[i].seen.lo * scale, NAMES + bars[i].usual.lo * scale,
		    NAMES + bars[i].usual.hi * scale, NAMES + bars[i].seen.hi * scale};

		drawing_text(d, ANCHOR_START, 0, y, bars[i].name);
		drawing_range(d, y, x, bars[i].text);
	}
	drawing_stroke(d, PEN_THIN, NAMES, foot, NAMES + wide, foot);
	for (double at = 0; at <= most + step; at += step) {
		if (at * scale > wide + 0.01)
			break;
		drawing_stroke(d, PEN_THIN, NAMES + at * scale, foot, NAMES + at * scale, foot + 1.5);
		drawing_text(d, ANCHOR_MIDDLE, NAMES + at * scale, foot + 4,
		    at == 0 ? "0" : at_text(h->r, property, at));
	}
	handout_heading(h, p, 1);
	page_drawing(h->r->page, d);
}

/* ---- cross-sections ---------------------------------------------------------------- */

/* Of an entry its cross-section, else its shape; NULL: it has neither. */
static struct drawing *
drawing_of(struct handout *h, uint32_t entry)
{
	const char *section = handout_text(h, entry, "section"), *shape;

	if (*section != '\0')
		return section_drawing(h->r, handout_name(h, entry), sv(section));
	shape = handout_text(h, entry, "shape");
	return *shape != '\0' ? shape_drawing(h->r, handout_name(h, entry), sv(shape)) : NULL;
}

/* Of everything of the part's kinds that was chosen, each once. */
void
handout_drawings(struct handout *h, uint32_t part)
{
	const struct craft *c = h->r->craft;
	const struct sheet_part *p = &c->sheet_part[part];
	bool headed = false;
	uint32_t n = 0;

	for (uint32_t e = 0; e < c->n_entry; e++) {
		struct drawing *d;
		bool of = false;

		for (uint32_t k = 0; k < p->n_kinds; k++)
			of = of || c->sheet_entry[p->first_kind + k] == c->entry[e].kind;
		if (!of || (p->most > 0 && n == p->most) || !handout_in_use(h, e))
			continue;
		d = drawing_of(h, e);
		if (d == NULL)
			continue;
		if (!headed)
			handout_heading(h, p, 1);
		headed = true;
		page_drawing(h->r->page, d);
		n++;
	}
}
