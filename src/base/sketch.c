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
take_points(strview s, struct sketch_mark *m)
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
	return m->n >= 2;
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

bool
sketch_read(strview text, struct sketch_mark *m)
{
	strview s = sv_trim(text);
	size_t word = 0;
	strview does;

	memset(m, 0, sizeof *m);
	while (word < s.n && s.p[word] != ' ')
		word++;
	does = (strview){s.p, word};
	s.p += word;
	s.n -= word;
	if (sv_is(does, "line")) {
		m->does = SKETCH_LINE;
		return take_points(s, m);
	}
	m->does = sv_is(does, "cross") ? SKETCH_CROSS : SKETCH_WRAP;
	return (m->does == SKETCH_CROSS || sv_is(does, "wrap")) &&
	    take_span(s, m, m->does == SKETCH_WRAP);
}
