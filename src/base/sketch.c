/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A cross-section as a handful of written marks, so that whoever keeps the
 * knowledge can draw one in a text file.  What the marks mean stands in base.h.
 */
#include "base/base.h"

#include <string.h>

static void
skip_blanks(strview *s)
{
	while (s->n > 0 && s->p[0] == ' ') {
		s->p++;
		s->n--;
	}
}

static bool
take_number(strview *s, double *out)
{
	bool minus = s->n > 0 && s->p[0] == '-';
	size_t used;

	if (minus) {
		s->p++;
		s->n--;
	}
	if (!number_read(*s, &used, out))
		return false;
	s->p += used;
	s->n -= used;
	if (minus)
		*out = -*out;
	return true;
}

static bool
take_points(strview s, struct sketch_mark *m, uint32_t least)
{
	for (skip_blanks(&s); s.n > 0; skip_blanks(&s)) {
		if (m->n == SKETCH_POINTS || !take_number(&s, &m->x[m->n]) || s.n == 0 ||
		    s.p[0] != ',')
			return false;
		s.p++;
		s.n--;
		if (!take_number(&s, &m->y[m->n++]) || (s.n > 0 && s.p[0] != ' '))
			return false;
	}
	return m->n >= least;
}

/* X, or X and two heights. */
static bool
take_span(strview s, struct sketch_mark *m, bool heights_needed)
{
	skip_blanks(&s);
	if (!take_number(&s, &m->x[0]))
		return false;
	m->x[1] = m->x[0];
	if (s.n == 0)
		return !heights_needed;
	for (; m->n < 2; m->n++) {
		if (s.n == 0 || s.p[0] != ' ')
			return false;
		skip_blanks(&s);
		if (!take_number(&s, &m->y[m->n]))
			return false;
	}
	return s.n == 0;
}

/* The first word of S, which goes on after it. */
static strview
take_word(strview *s)
{
	strview word = {s->p, 0};

	while (word.n < s->n && s->p[word.n] != ' ')
		word.n++;
	s->p += word.n;
	s->n -= word.n;
	return word;
}

bool
sketch_read(strview text, struct sketch_mark *m)
{
	strview s = sv_trim(text), does = take_word(&s);

	memset(m, 0, sizeof *m);
	if (sv_is(does, "line")) {
		m->does = SKETCH_LINE;
		return take_points(s, m, 2);
	}
	m->does = sv_is(does, "cross") ? SKETCH_CROSS : SKETCH_WRAP;
	return (m->does == SKETCH_CROSS || sv_is(does, "wrap")) &&
	    take_span(s, m, m->does == SKETCH_WRAP);
}

bool
shape_mark_read(strview text, struct sketch_mark *m)
{
	static const struct { const char *name; enum sketch_does does; uint32_t least; } marks[] = {
		{"line", SKETCH_LINE, 2}, {"thin", SKETCH_THIN, 2}, {"under", SKETCH_UNDER, 2},
		{"fill", SKETCH_FILL, 3}, {"dot", SKETCH_DOT, 1},
	};
	strview s = sv_trim(text), does = take_word(&s);

	memset(m, 0, sizeof *m);
	for (size_t i = 0; i < sizeof marks / sizeof *marks; i++) {
		if (!sv_is(does, marks[i].name))
			continue;
		m->does = marks[i].does;
		return take_points(s, m, marks[i].least) && (m->does != SKETCH_DOT || m->n == 1);
	}
	skip_blanks(&s);
	m->does = sv_is(does, "every") ? SKETCH_EVERY : SKETCH_TELL;
	if (m->does == SKETCH_EVERY)
		return take_number(&s, &m->x[0]) && s.n == 0 && m->x[0] >= 0.2 && m->x[0] <= 1000;
	m->says = s;
	return sv_is(does, "tell") && s.n > 0;
}
