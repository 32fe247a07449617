/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The measures of a sheet: the two figures of one measure against each other,
 * and the sizes of one thing in two places.
 *
 * What is fair between two rulers stands in kb/.  A size is held against
 * another only where both stand directly beside the same words, in sentences
 * that name the same details and no change of the measure.
 */
#include "work/proof_impl.h"

#include <math.h>
#include <string.h>

enum { GAP_MARKS = 3, GAP_BYTES = 24, DETAILS_MOST = 4, SIZES_MOST = 2048, SENTENCE_MOST = 60 };

struct proof_finding *
finding_add(struct findings *f, const char *check, enum degree degree, struct place place)
{
	struct proof_finding *x;

	f->p->f = proof_more(f->arena, f->p->f, f->p->n, &f->cap, sizeof *f->p->f);
	x = &f->p->f[f->p->n++];
	*x = (struct proof_finding){.check = check, .degree = degree, .place = place, .says = ""};
	return x;
}

const char *
proof_say(const struct sheet_text *t, const char *id, ...)
{
	const char *slot[4] = {NULL, NULL, NULL, NULL}, *told[4] = {"", "", "", ""};
	struct buf b = {0};
	const char *out;
	va_list ap;

	va_start(ap, id);
	for (int i = 0; i < 4 && (slot[i] = va_arg(ap, const char *)) != NULL; i++)
		told[i] = va_arg(ap, const char *);
	va_end(ap);
	user_message(&b, t->c, id, slot[0], told[0], slot[1], told[1], slot[2], told[2], slot[3],
	    told[3], (const char *)NULL);
	out = arena_text(t->arena, b.n > 0 ? b.p : "", b.n);
	buf_free(&b);
	return out;
}

/* ---- two rulers ---------------------------------------------------------------- */

/* Does a bracket open behind it? Then its other figure stands in there. */
static bool
opens(const struct sheet_text *t, const struct measure_at *m)
{
	size_t k = m->at + m->n;

	while (k < t->src->text.n && t->src->text.p[k] == ' ')
		k++;
	return k < t->src->text.n && (t->src->text.p[k] == '(' || t->src->text.p[k] == '[' ||
	    t->src->text.p[k] == '/');
}

/* Nothing between the two but signs and words that join figures. */
static bool
joined(const struct sheet_text *t, const struct measure_at *a, const struct measure_at *b)
{
	const char *p = t->src->text.p;
	uint32_t i = a->after;

	if (b->at - (a->at + a->n) > GAP_BYTES || t->marks[a->mark].item != t->marks[b->mark].item)
		return false;
	for (size_t k = a->at + a->n; k < b->at; k++)
		if (p[k] == ';' || p[k] == '!' || p[k] == '?' || p[k] == ')' || p[k] == ']' ||
		    (p[k] == '.' && p[k + 1] == ' ') || (p[k] == ',' && opens(t, b)))
			return false;
	while (i < b->mark) {
		uint32_t n;

		if (proof_word_at(t, i, PROOF_JOINS, &n) == NULL)
			return false;
		i += n;
	}
	return true;
}

static double
apart(range a, range b)
{
	return a.lo > b.hi ? a.lo - b.hi : b.lo > a.hi ? b.lo - a.hi : 0;
}

static const char *
shown(const struct sheet_text *t, range r, int unit)
{
	struct buf b = {0};
	const char *out;

	range_print(&b, t->c->units, unit, r, 0);
	out = arena_text(t->arena, b.p, b.n);
	buf_free(&b);
	return out;
}

/* The metric value in the other unit, as the trade would write it. */
static const char *
fitting(const struct sheet_text *t, const struct measure_at *metric, uint32_t i, int unit)
{
	const struct unit *u = &t->c->units->u[unit];
	range r = metric->value[i];

	if (u->fraction)
		r = (range){fair_fraction(t->c, r.lo, u) * u->factor, fair_fraction(t->c, r.hi, u) * u->factor};
	return shown(t, r, unit);
}

/* A range is fair if its ends are, or if a single figure beside it is near it. */
static double
worst(const struct sheet_text *t, range metric, range inch, double unit, double *limit)
{
	double d = apart(metric, inch), far = metric.hi > inch.hi ? metric.hi : inch.hi;

	*limit = fair_difference(t->c, far, unit);
	if (!range_is_exact(metric) && !range_is_exact(inch)) {
		double low = fabs(metric.lo - inch.lo), high = fabs(metric.hi - inch.hi);
		double low_limit = fair_difference(t->c, metric.lo > inch.lo ? metric.lo : inch.lo, unit);

		/* both ends are told on both rulers */
		if (low - low_limit > high - *limit) {
			*limit = low_limit;
			d = low;
		} else {
			d = high;
		}
	}
	return d;
}

static void
one_pair(struct sheet_text *t, struct findings *f, struct measure_at *a, struct measure_at *b)
{
	struct measure_at *metric = a->metric ? a : b, *inch = a->metric ? b : a;
	double unit = t->c->units->u[inch->unit].factor;

	if (a->n_values != b->n_values)
		return;
	for (uint32_t i = 0; i < a->n_values; i++) {
		double limit, d = worst(t, metric->value[i], inch->value[i], unit, &limit);
		double near = metric->value[i].hi < inch->value[i].lo ? inch->value[i].lo : metric->value[i].lo;
		struct proof_finding *x;

		if (d <= limit + 1e-9)
			continue;
		x = finding_add(f, "measure", d <= small_difference(t->c, near) ? DEGREE_MENTION
		    : DEGREE_DOUBTFUL, (struct place){t->src, a->at, b->at + b->n - a->at});
		x->says = proof_say(t, "proof.measure", "metric", shown(t, metric->value[i], metric->unit),
		    "other", shown(t, inch->value[i], inch->unit), "is",
		    shown(t, (range){floor(inch->value[i].lo * 2000 + 0.5) / 2000,
		        floor(inch->value[i].hi * 2000 + 0.5) / 2000}, metric->unit), (const char *)NULL);
		x->remedy = proof_say(t, "proof.measure-fits", "metric",
		    shown(t, metric->value[i], metric->unit), "fits", fitting(t, metric, i, inch->unit),
		    (const char *)NULL);
		return;
	}
}

static void
pairs(struct sheet_text *t, struct findings *f)
{
	for (uint32_t i = 0; i + 1 < t->n_measures; i++) {
		struct measure_at *a = &t->measures[i], *b = &t->measures[i + 1];

		if (a->pair != NONE || a->metric == b->metric || !joined(t, a, b))
			continue;
		a->pair = i + 1;
		b->pair = i;
		one_pair(t, f, a, b);
	}
}

/* ---- one size, told twice ---------------------------------------------------------- */

struct size {
	const struct measure_at *m;
	uint32_t row, extent;              /* of the words; NONE */
	uint32_t details[DETAILS_MOST], n_details;
	uint32_t first, n;                 /* marks of its words */
	bool listed;                       /* among the materials */
};

static bool
otherwise(const struct sheet_text *t, uint32_t mark)
{
	uint32_t n, i = mark;

	while (i > 0 && mark - i < SENTENCE_MOST && t->marks[i - 1].sentence == t->marks[mark].sentence &&
	    t->marks[i - 1].item == t->marks[mark].item)
		i--;
	for (; i < t->n && i < mark + SENTENCE_MOST && t->marks[i].sentence == t->marks[mark].sentence &&
	    t->marks[i].item == t->marks[mark].item; i++)
		if (proof_word_at(t, i, PROOF_OTHERWISE, &n) != NULL)
			return true;
	return t->marks[mark].muted;
}

/* Words that have a size, directly before or behind the measure. */
static const struct proof_word *
beside(const struct sheet_text *t, const struct measure_at *m, const struct measure_at *last,
    uint32_t *first, uint32_t *n)
{
	const struct proof_word *w;

	w = last->after < t->n && (last != m || !t->marks[last->after].breaks) &&
	    t->marks[last->after].item == t->marks[m->mark].item
	    ? proof_word_at(t, last->after, PROOF_MEASURED, n) : NULL;
	if (w != NULL) {
		*first = last->after;
		return w;
	}
	for (uint32_t back = 1; back <= 5 && back <= m->mark; back++) {
		uint32_t at = m->mark - back, k;

		if (t->marks[at].item != t->marks[m->mark].item || t->marks[at].figure)
			return NULL;
		w = proof_word_at(t, at, PROOF_MEASURED, n);
		if (w == NULL || at + *n > m->mark)
			continue;
		/* only "is", "of", "at" and the like between, and nothing before that says more */
		for (k = at + *n; k < m->mark; k++) {
			uint32_t joins;

			if (proof_word_at(t, k, PROOF_IS, &joins) == NULL &&
			    proof_word_at(t, k, PROOF_JOINS, &joins) == NULL)
				return NULL;
		}
		while (at > 0 && proof_word_at(t, at - 1, PROOF_MEASURED, &k) == w && at - 1 + k > at)
			at--;
		*first = at;
		return w;
	}
	return NULL;
}

static void
details_of(const struct sheet_text *t, struct size *s)
{
	uint32_t mark = s->m->mark;

	for (uint32_t i = 0; i < t->n_named; i++) {
		const struct named *m = &t->named[i];
		uint32_t e;

		if (t->marks[m->first].sentence != t->marks[mark].sentence ||
		    t->marks[m->first].item != t->marks[mark].item || s->n_details == DETAILS_MOST ||
		    (m->first < s->first + s->n && m->first + m->n > s->first && s->extent == NONE))
			continue;
		if ((e = name_entry(t, m, t->kind_feature)) == NONE)
			e = name_entry(t, m, t->kind_component);
		if (e != NONE)
			s->details[s->n_details++] = e;
	}
	/* what the heading or the item is about, where the sentence says nothing */
	for (uint32_t i = 0; i < t->n_named && s->n_details == 0; i++) {
		const struct mark *m = &t->marks[t->named[i].first];

		if (m->heads && m->heading == t->marks[mark].heading && m->heading > 0 &&
		    name_entry(t, &t->named[i], t->kind_feature) != NONE)
			s->details[s->n_details++] = name_entry(t, &t->named[i], t->kind_feature);
	}
}

static bool
same_size(const struct size *a, const struct size *b)
{
	if (a->row != b->row || a->extent != b->extent || a->m->n_values != 1 || b->m->n_values != 1)
		return false;
	/* what the list of materials has is what the steps speak of */
	if (a->row != NONE && (a->listed != b->listed))
		return true;
	if (a->n_details != b->n_details)
		return false;
	for (uint32_t i = 0; i < a->n_details; i++) {
		bool met = false;

		for (uint32_t k = 0; k < b->n_details; k++)
			met = met || a->details[i] == b->details[k];
		if (!met)
			return false;
	}
	return true;
}

static void
sizes(struct sheet_text *t, struct findings *f)
{
	struct size *s = arena_alloc(t->arena, SIZES_MOST * sizeof *s);
	uint32_t n = 0;

	for (uint32_t i = 0; i < t->n_measures && n < SIZES_MOST; i++) {
		const struct measure_at *m = &t->measures[i], *last = m;
		struct size x = {.m = m, .row = NONE, .extent = NONE};
		const struct proof_word *w;
		uint32_t k;

		if (m->pair != NONE && m->pair < i)
			continue;              /* the second figure of a pair */
		if (m->pair != NONE)
			last = &t->measures[m->pair];
		if (otherwise(t, m->mark) || (m->mark < t->n && t->marks[m->mark].area == AREA_ASIDE))
			continue;
		if ((w = beside(t, m, last, &x.first, &x.n)) != NULL) {
			x.row = w->row;
		} else if (last->after < t->n && t->marks[last->after].item == t->marks[m->mark].item &&
		    (w = proof_word_at(t, last->after, PROOF_EXTENT, &k)) != NULL) {
			x.extent = w->row;
			x.first = last->after;
			x.n = k;
		} else {
			continue;
		}
		details_of(t, &x);
		x.listed = t->marks[m->mark].area == AREA_MATERIALS;
		if (x.extent != NONE && x.n_details != 1)
			continue;              /* of what is not plain */
		s[n] = x;
		for (k = 0; k < n; k++) {
			const struct measure_at *o = s[k].m;
			double d = apart(o->value[0], m->value[0]), limit;
			struct proof_finding *z;

			limit = fair_difference(t->c, m->value[0].hi, t->c->units->u[m->metric
			    ? o->unit : m->unit].factor);
			if (!same_size(&s[k], &x) || d <= (m->metric == o->metric ? 1e-6 : limit))
				continue;
			z = finding_add(f, "size", DEGREE_DOUBTFUL, (struct place){t->src, m->at, m->n});
			z->other = (struct place){t->src, o->at, o->n};
			{
				uint32_t line, column;

				place_line_column(z->other, &line, &column);
				z->says = proof_say(t, "proof.size", "this", shown(t, m->value[0], m->unit),
				    "that", shown(t, o->value[0], o->unit), "line",
				    arena_print(t->arena, "%u", (unsigned)line), (const char *)NULL);
			}
			break;
		}
		n += k == n;
	}
}

void
proof_measures(struct sheet_text *t, struct findings *f)
{
	pairs(t, f);
	sizes(t, f);
	f->p->measures = t->n_measures;
}
