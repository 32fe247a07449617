/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A cross-section written as marks (base.h) made into a drawing, and into words
 * that tell the same: each layer, where it comes from and how often it is
 * folded; each row of stitching, and how many thicknesses it goes through.
 */
#include "command/command_impl.h"

#include <math.h>

enum { MARKS = 64 };
#define ACROSS 96.0                        /* mm of paper, for the whole width */
#define LAYER 5.0                          /* mm between two layers */
#define EDGE 3.0                           /* how far threads round an edge reach, in mm of cloth */

struct section {
	struct sketch_mark mark[MARKS];
	uint32_t n;
	double left, right, low, high;     /* what the layers span */
};

static bool
section_read(struct section *s, strview text)
{
	s->n = 0;
	s->left = s->low = INFINITY;
	s->right = s->high = -INFINITY;
	while (text.n > 0) {
		size_t n = 0;
		struct sketch_mark *m = &s->mark[s->n];

		while (n < text.n && text.p[n] != '\n')
			n++;
		if (s->n == MARKS || !sketch_read((strview){text.p, n}, m))
			return false;
		s->n++;
		text.p += n + (n < text.n);
		text.n -= n + (n < text.n);
		for (uint32_t i = 0; m->does == SKETCH_LINE && i < m->n; i++) {
			s->left = m->x[i] < s->left ? m->x[i] : s->left;
			s->right = m->x[i] > s->right ? m->x[i] : s->right;
			s->low = m->y[i] < s->low ? m->y[i] : s->low;
			s->high = m->y[i] > s->high ? m->y[i] : s->high;
		}
	}
	return s->right > s->left && s->high - s->low < 40;
}

/* The heights a row of stitching or a wrapping spans. */
static void
span(const struct section *s, const struct sketch_mark *m, double *low, double *high)
{
	*low = m->n == 0 ? s->low : m->y[0] < m->y[1] ? m->y[0] : m->y[1];
	*high = m->n == 0 ? s->high : m->y[0] < m->y[1] ? m->y[1] : m->y[0];
}

/* ---- in words -------------------------------------------------------------------- */

/* How many thicknesses lie at X between two heights. */
static uint32_t
thicknesses(const struct section *s, double x, double low, double high)
{
	uint32_t n = 0;

	for (uint32_t i = 0; i < s->n; i++) {
		const struct sketch_mark *m = &s->mark[i];

		for (uint32_t k = 0; m->does == SKETCH_LINE && k + 1 < m->n; k++) {
			double from = m->x[k] < m->x[k + 1] ? m->x[k] : m->x[k + 1];
			double to = m->x[k] < m->x[k + 1] ? m->x[k + 1] : m->x[k];
			double y = (m->y[k] + m->y[k + 1]) / 2;

			n += to > from && x >= from && x <= to && y >= low - 0.5 && y <= high + 0.5;
		}
	}
	return n;
}

/* Turns from one way along the cloth to the other. */
static uint32_t
folds(const struct sketch_mark *m)
{
	double way = 0;
	uint32_t n = 0;

	for (uint32_t k = 0; k + 1 < m->n; k++) {
		double step = m->x[k + 1] - m->x[k];

		if (step != 0 && way != 0 && (step > 0) != (way > 0))
			n++;
		way = step != 0 ? step : way;
	}
	return n;
}

static const char *
layer_words(struct run *r, const struct section *s, const struct sketch_mark *m, uint32_t number)
{
	static const char *const says[3][3] = {
		{"section.left-flat", "section.left-once", "section.left-folded"},
		{"section.right-flat", "section.right-once", "section.right-folded"},
		{"section.apart-flat", "section.apart-once", "section.apart-folded"},
	};
	uint32_t n = folds(m);
	double ends[2] = {m->x[0], m->x[m->n - 1]};
	double first = ends[0] < ends[1] ? ends[0] : ends[1], last = ends[0] < ends[1] ? ends[1] : ends[0];
	int where = first <= s->left ? 0 : last >= s->right ? 1 : 2;

	return SAY(r, says[where][n > 2 ? 2 : n > 1 ? 2 : n], "n",
	    arena_print(r->arena, "%u", (unsigned)number), "folds",
	    arena_print(r->arena, "%u", (unsigned)n));
}

static const char *
thread_words(struct run *r, const struct section *s, const struct sketch_mark *m, uint32_t number)
{
	double low, high;
	uint32_t n;
	bool row = m->does == SKETCH_CROSS;

	span(s, m, &low, &high);
	n = thicknesses(s, m->x[0], low, high);
	return SAY(r, row ? (n == 1 ? "section.row-one" : "section.row") :
	    n == 1 ? "section.wrap-one" : "section.wrap", "n",
	    arena_print(r->arena, "%u", (unsigned)number), "thicknesses",
	    arena_print(r->arena, "%u", (unsigned)n));
}

static const char *
words(struct run *r, const struct section *s)
{
	struct buf b = {0};
	uint32_t count[3] = {0};

	for (enum sketch_does does = SKETCH_LINE; does <= SKETCH_WRAP; does++) {
		for (uint32_t i = 0; i < s->n; i++) {
			const struct sketch_mark *m = &s->mark[i];

			if (m->does != does)
				continue;
			if (b.n > 0)
				buf_char(&b, ' ');
			count[does]++;
			buf_str(&b, does == SKETCH_LINE ? layer_words(r, s, m, count[does])
			    : thread_words(r, s, m, count[does]));
		}
	}
	return run_kept(r, &b);
}

/* ---- as a drawing ------------------------------------------------------------------ */

static double
paper_x(const struct section *s, double x)
{
	return (x - s->left) * (ACROSS / (s->right - s->left));
}

static double
paper_y(const struct section *s, double y)
{
	return (s->high - y + 1) * LAYER;
}

/* To which side of an edge the cloth lies: -1 or 1. */
static double
cloth_side(const struct section *s, double x, double low, double high)
{
	return thicknesses(s, x - EDGE / 2, low, high) >= thicknesses(s, x + EDGE / 2, low, high) ? -1
	    : 1;
}

static void
threads(struct drawing *d, const struct section *s, const struct sketch_mark *m)
{
	double low, high, top, foot, side;

	span(s, m, &low, &high);
	top = paper_y(s, high + 0.6);
	foot = paper_y(s, low - 0.6);
	if (m->does == SKETCH_CROSS) {
		drawing_stroke(d, PEN_DASHED, paper_x(s, m->x[0]), top, paper_x(s, m->x[0]), foot);
	} else {
		double out = paper_x(s, m->x[0]), in;

		side = cloth_side(s, m->x[0], low, high);
		in = paper_x(s, m->x[0] + side * EDGE);
		out -= side * 1.6;
		drawing_line(d, PEN_DASHED, 4, (double[]){in, out, out, in},
		    (double[]){top, top, foot, foot});
	}
}

struct drawing *
section_drawing(struct run *r, const char *name, strview marks)
{
	struct section s;
	struct drawing *d;

	if (!section_read(&s, marks))
		return NULL;
	d = drawing_new(r->arena, ACROSS, (s.high - s.low + 2) * LAYER,
	    SAY(r, "section.title", "name", name), words(r, &s));
	for (uint32_t i = 0; i < s.n; i++) {
		const struct sketch_mark *m = &s.mark[i];
		double x[SKETCH_POINTS], y[SKETCH_POINTS];

		for (uint32_t k = 0; m->does == SKETCH_LINE && k < m->n; k++) {
			x[k] = paper_x(&s, m->x[k]);
			y[k] = paper_y(&s, m->y[k]);
		}
		if (m->does == SKETCH_LINE)
			drawing_line(d, PEN_THICK, m->n, x, y);
	}
	for (uint32_t i = 0; i < s.n; i++)
		if (s.mark[i].does != SKETCH_LINE)
			threads(d, &s, &s.mark[i]);
	return d;
}
