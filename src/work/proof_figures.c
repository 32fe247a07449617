/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The measures of a sheet: figures with a unit of length, alone, in ranges, as
 * "1-1/2 in" and as "10 x 15 cm".  A figure without a unit is none.
 */
#include "work/proof_impl.h"

#include <string.h>

static uint32_t
mark_at(const struct sheet_text *t, uint32_t at)
{
	uint32_t lo = 0, hi = t->n;

	while (lo < hi) {
		uint32_t mid = lo + (hi - lo) / 2;

		if (t->marks[mid].at + t->marks[mid].n <= at)
			lo = mid + 1;
		else
			hi = mid;
	}
	return lo;
}

struct lengths { struct reading_for f; uint16_t units[64]; };

static void
length_units(const struct craft *c, struct lengths *l)
{
	uint32_t n = 0;

	*l = (struct lengths){.f = {.bare = -1, .domain = range_all(), .about = 0}};
	for (uint32_t i = 0; i < c->units->n && n < 64; i++) {
		const struct unit *u = &c->units->u[i];

		if (u->form != UNIT_SCALE || u->numbering != 0 || u->dim.length != 6 || u->dim.mass != 0 ||
		    u->dim.time != 0 || u->dim.temperature != 0 || u->factor < 0.0009)
			continue;
		l->f.dim = u->dim;
		l->units[n++] = (uint16_t)i;
	}
	l->f.units = l->units;
	l->f.n_units = n;
}

/* One figure with its unit at AT; a hyphen between a whole number and a fraction
 * joins them ("1-1/2 in"). */
static struct reading
figure_at(const struct sheet_text *t, const struct lengths *l, size_t at, size_t end)
{
	char text[64];
	size_t n = end - at < sizeof text - 1 ? end - at : sizeof text - 1, i = 0, k;
	struct reading r;

	memcpy(text, t->src->text.p + at, n);
	text[n] = '\0';
	while (i < n && digit(text[i]))
		i++;
	if (i > 0 && i + 1 < n && text[i] == '-') {
		for (k = i + 1; k < n && digit(text[k]); k++)
			;
		if (k > i + 1 && k + 1 < n && text[k] == '/' && digit(text[k + 1]))
			text[i] = ' ';
	}
	r = reading_of(t->c->units, t->c->range_words, &l->f, (strview){text, n}, false);
	if (r.used > n)
		r.fault = READ_NOTHING;
	return r;
}

/* The sign of multiplication between blanks, before a figure; its bytes. */
static size_t
times_sign(strview v)
{
	size_t k = 0;

	while (k < v.n && v.p[k] == ' ')
		k++;
	if (k < v.n && (v.p[k] == 'x' || v.p[k] == 'X') && k + 1 < v.n && (v.p[k + 1] == ' ' ||
	    digit(v.p[k + 1])))
		k++;
	else if (k + 1 < v.n && memcmp(v.p + k, "\xc3\x97", 2) == 0)
		k += 2;
	else
		return 0;
	while (k < v.n && v.p[k] == ' ')
		k++;
	return k < v.n && digit(v.p[k]) ? k : 0;
}

/* "10 x" before a measure: the plain number there. */
static size_t
times_at(strview v, double *x)
{
	size_t n = 0, k;

	if (!number_read(v, &n, x))
		return 0;
	k = times_sign((strview){v.p + n, v.n - n});
	return k > 0 ? n + k : 0;
}

static bool
measure_here(const struct sheet_text *t, const struct lengths *l, size_t at, size_t end,
    struct measure_at *m)
{
	double times[2];
	uint32_t n_times = 0;
	size_t from = at;
	struct reading r;

	while (n_times < 2) {
		size_t k = times_at((strview){t->src->text.p + at, end - at}, &times[n_times]);

		if (k == 0)
			break;
		at += k;
		n_times++;
	}
	r = figure_at(t, l, at, end);
	if (r.fault != READ_FINE || r.used == 0 || r.unit < 0 || !(r.value.lo >= 0) ||
	    !(r.value.hi < 1e4))
		return false;
	*m = (struct measure_at){.at = (uint32_t)from, .n = (uint32_t)(at - from + r.used), .unit = r.unit,
	    .metric = unit_is_metric(&t->c->units->u[r.unit]), .pair = NONE};
	for (uint32_t i = 0; i < n_times; i++)
		m->value[m->n_values++] = range_exact(times[i] * t->c->units->u[r.unit].factor);
	m->value[m->n_values++] = r.value;
	/* "30 cm x 40 cm" */
	while (m->n_values < 3) {
		strview rest = {t->src->text.p + from + m->n, end - from - m->n};
		size_t k = times_sign(rest);

		if (k == 0)
			break;
		r = figure_at(t, l, from + m->n + k, end);
		if (r.fault != READ_FINE || r.used == 0 || r.unit < 0 || !(r.value.hi < 1e4) ||
		    unit_is_metric(&t->c->units->u[r.unit]) != m->metric)
			break;
		m->value[m->n_values++] = r.value;
		m->n += (uint32_t)(k + r.used);
	}
	return true;
}

static bool
begins_figure(const char *p, size_t at, size_t end)
{
	if (at > 0 && (of_word(p[at - 1]) || p[at - 1] == '.' || p[at - 1] == '/'))
		return false;
	if (digit(p[at]))
		return true;
	return end - at >= 2 && (((unsigned char)p[at] == 0xc2 && (unsigned char)p[at + 1] >= 0xbc &&
	    (unsigned char)p[at + 1] <= 0xbe) || (end - at >= 3 && (unsigned char)p[at] == 0xe2 &&
	    (unsigned char)p[at + 1] == 0x85));
}

void
sheet_measures(struct sheet_text *t)
{
	const char *p = t->src->text.p;
	size_t size = t->src->text.n, i = 0, end = 0;
	struct lengths l;

	length_units(t->c, &l);
	while (i < size) {
		struct measure_at m;

		if (i >= end)
			for (end = i; end < size && p[end] != '\n'; end++)
				;
		if (i == end) {
			i++;
			end = i;
			continue;
		}
		if (!begins_figure(p, i, end) || !measure_here(t, &l, i, end, &m)) {
			i++;
			continue;
		}
		m.mark = mark_at(t, m.at);
		m.after = mark_at(t, m.at + m.n);
		for (uint32_t k = m.mark; k < m.after && k < t->n; k++)
			t->marks[k].figure = true;
		t->measures = proof_more(t->arena, t->measures, t->n_measures, &t->cap_measures,
		    sizeof *t->measures);
		t->measures[t->n_measures++] = m;
		i += m.n;
	}
}
