/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A shape written as marks (base.h), seen from one side, made into a drawing:
 * once, or over and over along its length.
 */
#include "command/command_impl.h"

#include <math.h>

enum { MARKS = 48, TURNS_LEAST = 4, TURNS_MOST = 40 };
#define LENGTH 30.0                        /* mm of the thing that are shown of what goes on */
#define WIDE 96.0                          /* mm of paper, at most */
#define TALL 26.0
#define ROOM 3.0                           /* mm of paper above and below */

struct shape_marks {
	struct sketch_mark mark[MARKS];
	uint32_t n, turns;
	strview words;
	double every;
	double left, right, low, high;     /* what all turns span */
	bool under;
};

static bool
marks_read(struct shape_marks *s, strview text)
{
	*s = (struct shape_marks){.turns = 1, .left = INFINITY, .low = INFINITY, .right = -INFINITY,
	    .high = -INFINITY};
	while (text.n > 0) {
		size_t n = 0;
		struct sketch_mark *m = &s->mark[s->n];

		while (n < text.n && text.p[n] != '\n')
			n++;
		if (s->n == MARKS || !shape_mark_read((strview){text.p, n}, m))
			return false;
		text.p += n + (n < text.n);
		text.n -= n + (n < text.n);
		if (m->does == SKETCH_TELL)
			s->words = m->says;
		else if (m->does == SKETCH_EVERY)
			s->every = m->x[0];
		else
			s->n++;
		s->under = s->under || m->does == SKETCH_UNDER;
		for (uint32_t i = 0; i < m->n; i++) {
			s->left = m->x[i] < s->left ? m->x[i] : s->left;
			s->right = m->x[i] > s->right ? m->x[i] : s->right;
			s->low = m->y[i] < s->low ? m->y[i] : s->low;
			s->high = m->y[i] > s->high ? m->y[i] : s->high;
		}
	}
	if (s->every > 0) {
		double turns = ceil(LENGTH / s->every);

		s->turns = turns < TURNS_LEAST ? TURNS_LEAST : turns > TURNS_MOST ? TURNS_MOST
		    : (uint32_t)turns;
		s->right += s->every * (s->turns - 1);
	}
	return s->n > 0 && s->words.n > 0 && s->right > s->left;
}

/* MM of paper for one of the thing. */
static double
scale(const struct shape_marks *s)
{
	double wide = WIDE / (s->right - s->left);
	double tall = s->high > s->low ? TALL / (s->high - s->low) : wide;

	return wide < tall ? wide : tall;
}

/* Solid parts first, then thin and hidden lines, then what lies on top. */
static int
layer_of(const struct sketch_mark *m)
{
	return m->does == SKETCH_FILL ? 0 : m->does == SKETCH_THIN || m->does == SKETCH_UNDER ? 1 : 2;
}

static void
mark_put(struct drawing *d, const struct shape_marks *s, const struct sketch_mark *m, double along,
    double k)
{
	double x[SKETCH_POINTS], y[SKETCH_POINTS];

	for (uint32_t i = 0; i < m->n; i++) {
		x[i] = (m->x[i] + along - s->left) * k;
		y[i] = (s->high - m->y[i]) * k + ROOM;
	}
	if (m->does == SKETCH_DOT)
		drawing_circle(d, FILL_DARK, PEN_PLAIN, x[0], y[0], 0.6);
	else if (m->does == SKETCH_FILL)
		drawing_area(d, FILL_LIGHT, PEN_PLAIN, m->n, x, y);
	else
		drawing_line(d, m->does == SKETCH_THIN ? PEN_THIN : m->does == SKETCH_UNDER ? PEN_DASHED
		    : PEN_THICK, m->n, x, y);
}

struct drawing *
shape_drawing(struct run *r, const char *name, strview marks)
{
	struct shape_marks s;
	struct drawing *d;
	double k;

	if (!marks_read(&s, marks))
		return NULL;
	k = scale(&s);
	d = drawing_new(r->arena, (s.right - s.left) * k, (s.high - s.low) * k + 2 * ROOM,
	    SAY(r, s.under ? "shape.title-under" : "shape.title", "name", name),
	    arena_text(r->arena, s.words.p, s.words.n));
	for (int layer = 0; layer < 3; layer++)
		for (uint32_t t = 0; t < s.turns; t++)
			for (uint32_t i = 0; i < s.n; i++)
				if (layer_of(&s.mark[i]) == layer)
					mark_put(d, &s, &s.mark[i], s.every * t, k);
	return d;
}
