/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Written quantities read for a property.
 *
 *     reading = about? ( limit about? term
 *                      | between term and term
 *                      | term (dash term)? )
 *     term    = unit? number unit?
 *     number  = sign? ( decimal | integer? fraction | integer "/" integer )
 *
 * The words for about, limit (under, over), to, between and and are handed
 * down, as are the units.  What the property takes decides between units of
 * one spelling, what a bare number means, and whether 80/12 is a pair of two
 * numberings or a fraction.
 */
#include "measure/measure_impl.h"

#include <math.h>
#include <string.h>

struct term {
	double x;
	int unit;                          /* -1: none written */
	size_t from, to;                   /* in the text */
	size_t unit_from, unit_to;
};

struct scan {
	const struct units *units;
	const struct reading_words *words;
	const struct reading_for *f;
	strview text;
	size_t at;
	bool whole;
	struct reading *r;
};

enum result { NONE, READ, FAULTY };

static strview
ahead(const struct scan *s)
{
	return (strview){s->text.p + s->at, s->text.n - s->at};
}

static enum result
fault(struct scan *s, enum reading_fault which, size_t from, size_t to)
{
	s->r->fault = which;
	s->r->fault_at = from;
	s->r->fault_n = to > from ? to - from : 0;
	return FAULTY;
}

static bool
digit(char c)
{
	return c >= '0' && c <= '9';
}

static void
blanks(struct scan *s)
{
	while (s->at < s->text.n && (s->text.p[s->at] == ' ' || s->text.p[s->at] == '\t' ||
	    s->text.p[s->at] == '\n' || s->text.p[s->at] == '\r'))
		s->at++;
	if (sv_starts(ahead(s), "\xc2\xa0") || sv_starts(ahead(s), "\xe2\x80\xaf")) {
		s->at += utf8_step(s->text, s->at);    /* no-break blanks */
		blanks(s);
	}
}

/* Takes the longest of these words, if one stands here. */
static bool
word(struct scan *s, const char *const *list)
{
	size_t longest = 0, from = s->at;

	if (list == NULL)
		return false;
	blanks(s);
	for (; *list != NULL; list++) {
		size_t n = spelled(ahead(s), *list, false, BOUND_NUMBER);

		if (n > longest)
			longest = n;
	}
	if (longest == 0)
		s->at = from;
	s->at += longest;
	return longest > 0;
}

static size_t
longest_of(const struct scan *s, const char *const *list)
{
	struct scan t = *s;

	return word(&t, list) ? t.at - s->at : 0;
}

/* "-", an en or em dash, a minus sign, or "..". */
static size_t
dash(strview v)
{
	static const char *const signs[] = {
		"-", "\xe2\x80\x90", "\xe2\x80\x91", "\xe2\x80\x93", "\xe2\x80\x94",
		"\xe2\x88\x92", "...", "..", "\xe2\x80\xa6"
	};

	for (size_t i = 0; i < sizeof signs / sizeof *signs; i++)
		if (sv_starts(v, signs[i]))
			return strlen(signs[i]);
	return 0;
}

/* ---- numbers ----------------------------------------------------------- */

/* Two numberings of one size, "80/12": both must mean the same. */
static enum result
pair(struct scan *s, double first, double second, struct term *t)
{
	int scale = -1, ladder = -1;
	double a, b;

	for (uint32_t i = 0; i < s->f->n_units; i++) {
		int u = s->f->units[i];

		if (ladder < 0 && s->units->u[u].form == UNIT_LADDER)
			ladder = u;
		if (scale < 0 && s->units->u[u].form == UNIT_SCALE)
			scale = u;
		if (unit_partner(s->units, u) >= 0 &&
		    reading_takes(s->f, unit_partner(s->units, u))) {
			scale = u;
			ladder = unit_partner(s->units, u);
			break;
		}
	}
	if (scale < 0 || ladder < 0)
		return NONE;
	for (int turn = 0; turn < 2; turn++) {
		double x = turn ? second : first, y = turn ? first : second;

		/* Within a rung of the coarse end: tables pair 110 with 17 and 18, and
		 * 120 with 19 and 20. The metric number is the one believed. */
		if (unit_to_base(&s->units->u[scale], x, &a) &&
		    unit_to_base(&s->units->u[ladder], y, &b) && fabs(a - b) <= 0.047 * fabs(a)) {
			t->x = x;
			t->unit = scale;
			return READ;
		}
	}
	/* Where lengths of every sort are taken, 1/2 in is still a fraction. */
	for (double part = 2; part <= 64; part *= 2)
		if (second == part && first < second)
			return NONE;
	return fault(s, READ_BAD_NUMBER, t->from, s->at);
}

/* A fraction after a whole number: "1 3/8", "1-3/8", "1⅜". */
static void
mixed(struct scan *s, double *x)
{
	size_t start = s->at, n;
	double num, den, part;

	blanks(s);
	if (s->at == start && sv_starts(ahead(s), "-"))
		s->at++;
	if ((n = number_vulgar(ahead(s), &part)) > 0) {
		*x += part;
		s->at += n;
		return;
	}
	n = s->at > start ? number_fraction(ahead(s), &num, &den) : 0;
	if (n > 0 && num > 0 && num < den) {
		*x += num / den;
		s->at += n;
		return;
	}
	s->at = start;
}

/* number = sign? ( decimal | integer? fraction | integer "/" integer ) */
static enum result
number(struct scan *s, struct term *t)
{
	bool minus = false, integer = false;
	double num, den;
	size_t n;
	enum result got;

	t->from = s->at;
	if ((n = dash(ahead(s))) > 0 && s->at + n < s->text.n && s->text.p[s->at] != '.' &&
	    (digit(s->text.p[s->at + n]) || s->text.p[s->at + n] == '.')) {
		minus = true;
		s->at += n;
	}
	if ((n = number_fraction(ahead(s), &num, &den)) > 0) {
		s->at += n;
		got = minus || t->unit >= 0 ? NONE : pair(s, num, den, t);
		if (got != NONE)
			return got;
		/* 5/8 and 11/8 are fractions; 80/12 is not. */
		if (den == 0 || (num >= den && den > 8))
			return fault(s, READ_BAD_NUMBER, t->from, s->at);
		t->x = num / den;
	} else if ((n = number_vulgar(ahead(s), &t->x)) > 0) {
		s->at += n;
	} else {
		size_t bad;

		n = number_decimal(ahead(s), &t->x, &integer, &bad);
		if (bad > 0)
			return fault(s, READ_BAD_NUMBER, s->at, s->at + bad);
		if (n == 0) {
			s->at = t->from;
			return NONE;
		}
		s->at += n;
		if (integer)
			mixed(s, &t->x);
	}
	if (minus)
		t->x = -t->x;
	return READ;
}

/* ---- terms ------------------------------------------------------------- */

static enum result
check_unit(struct scan *s, const struct term *t)
{
	if (t->unit < 0 || reading_takes(s->f, t->unit))
		return READ;
	if (!dim_eq(s->units->u[t->unit].dim, s->f->dim))
		return fault(s, READ_WRONG_DIMENSION, t->unit_from, t->unit_to);
	if (s->f->n_units > 0)
		return fault(s, READ_NOT_TAKEN, t->unit_from, t->unit_to);
	return READ;
}

/* Something that can only be meant as a unit. */
static size_t
unknown_unit(const struct scan *s)
{
	strview v = ahead(s);
	size_t n = 0;

	if (v.n == 0 || digit(v.p[0]) || dash(v) > 0 || strchr(".,;:()[]+", v.p[0]) != NULL ||
	    longest_of(s, s->words->to) > 0 || longest_of(s, s->words->and_) > 0)
		return 0;
	while (n < v.n && v.p[n] != ' ' && v.p[n] != '\t')
		n++;
	return n;
}

static enum result
unit_after(struct scan *s, struct term *t)
{
	size_t start = s->at, n;
	int u;

	blanks(s);
	/* "5/8-inch": a hyphen before a unit. */
	if (s->at == start && sv_starts(ahead(s), "-"))
		s->at++;
	u = unit_at(s->units, s->f, ahead(s), false, &n);
	if (u < 0) {
		s->at = start;
		if (!s->whole)
			return READ;
		blanks(s);
		n = unknown_unit(s);
		if (n > 0)
			return fault(s, READ_UNKNOWN_UNIT, s->at, s->at + n);
		s->at = start;
		return READ;
	}
	t->unit = u;
	t->unit_from = s->at;
	s->at += n;
	t->unit_to = s->at;
	/* "in." at the end of a value in a file. */
	if (s->whole && sv_starts(ahead(s), ".") &&
	    (s->at + 1 == s->text.n || s->text.p[s->at + 1] == ' '))
		s->at++;
	return READ;
}

/* term = unit? number unit? */
static enum result
term(struct scan *s, struct term *t)
{
	size_t start = s->at, n;
	enum result got;

	*t = (struct term){.unit = -1};
	blanks(s);
	t->unit_from = s->at;
	t->unit = unit_at(s->units, s->f, ahead(s), true, &n);
	if (t->unit >= 0) {
		s->at += n;
		t->unit_to = s->at;
		blanks(s);
	}
	got = number(s, t);
	if (got == NONE)
		s->at = start;
	if (got != READ)
		return got;
	t->to = s->at;
	if (t->unit < 0 && (got = unit_after(s, t)) != READ)
		return got;
	return check_unit(s, t);
}

/* ---- meaning ----------------------------------------------------------- */

static bool
within(const struct scan *s, range v)
{
	range d = s->f->domain;

	/* A hair of room: 3000 g/m2 written in another unit. */
	return v.lo >= d.lo - 1e-9 * fabs(d.lo) && v.hi <= d.hi + 1e-9 * fabs(d.hi);
}

/* The two ends of what was written, in base units. */
static enum result
meaning(struct scan *s, const struct term *a, const struct term *b, int ua, int ub, bool about,
    range *out)
{
	const struct unit *x = &s->units->u[ua], *y = &s->units->u[ub];
	double lo, hi, half = about ? s->f->about : 0;

	if (ua == ub && a->x > b->x)
		return fault(s, READ_LOW_ABOVE_HIGH, a->from, b->to);
	/* A scale with its own zero (degrees) is widened as written. */
	if (!unit_to_base(x, x->offset != 0 ? a->x - half * fabs(a->x) : a->x, &lo))
		return fault(s, READ_BAD_NUMBER, a->from, a->to);
	if (!unit_to_base(y, y->offset != 0 ? b->x + half * fabs(b->x) : b->x, &hi))
		return fault(s, READ_BAD_NUMBER, b->from, b->to);
	if (lo > hi) {
		double t = lo;

		if (ua != ub)
			return fault(s, READ_LOW_ABOVE_HIGH, a->from, b->to);
		lo = hi;
		hi = t;
	}
	*out = (range){lo, hi};
	if (!within(s, *out))
		return fault(s, READ_OUT_OF_DOMAIN, a->from, b->to);
	if (half > 0 && x->offset == 0 && y->offset == 0) {
		range wide = {lo - half * fabs(lo), hi + half * fabs(hi)};

		if (!range_meet(wide, s->f->domain, out))
			*out = (range){lo, hi};
	}
	return READ;
}

/* Gives bare numbers their unit; then the meaning. */
static enum result
resolve(struct scan *s, const struct term *a, const struct term *b, bool about, range *out)
{
	int ua = a->unit >= 0 ? a->unit : b->unit, ub = b->unit >= 0 ? b->unit : a->unit;
	enum result got;
	struct reading kept;

	if (ua >= 0) {
		int other = ua == ub ? unit_partner(s->units, ua) : -1;

		s->r->unit = ub;
		got = meaning(s, a, b, ua, ub, about, out);
		if (got == READ || s->r->fault != READ_OUT_OF_DOMAIN || other < 0 ||
		    !reading_takes(s->f, other))
			return got;
		/* One word serves both halves of a pair: "size 80", "size 12". */
		kept = *s->r;
		s->r->fault = READ_FINE;
		s->r->fault_at = s->r->fault_n = 0;
		s->r->unit = other;
		if (meaning(s, a, b, other, other, about, out) == READ)
			return READ;
		*s->r = kept;
		return FAULTY;
	}
	if (s->f->bare < 0)
		return fault(s, READ_NO_UNIT, a->from, b->to);
	s->r->unit = s->f->bare;
	got = meaning(s, a, b, s->f->bare, s->f->bare, about, out);
	if (got == READ || s->r->fault == READ_LOW_ABOVE_HIGH)
		return got;
	kept = *s->r;
	for (uint32_t i = 0; i < s->f->n_units; i++) {
		int u = s->f->units[i];

		if (s->units->u[u].form != UNIT_LADDER && s->units->u[u].numbering == 0)
			continue;
		s->r->fault = READ_FINE;
		s->r->unit = u;
		if (meaning(s, a, b, u, u, about, out) == READ) {
			s->r->fault_at = s->r->fault_n = 0;
			return READ;
		}
	}
	*s->r = kept;
	return FAULTY;
}

/* Opens the value towards where the written number falls (or rises). */
static void
open_up(struct scan *s, bool under, range *v)
{
	bool down = under != unit_falls(&s->units->u[s->r->unit]);

	if (down) {
		v->lo = s->f->domain.lo;
		s->r->open_low = true;
	} else {
		v->hi = s->f->domain.hi;
		s->r->open_high = true;
	}
}

/* reading = about? ( limit about? term | between term and term | term (dash term)? ) */
static enum result
reading(struct scan *s, range *v)
{
	struct term a, b;
	bool about = word(s, s->words->about), under = false, over = false;
	size_t n_under = longest_of(s, s->words->under), n_over = longest_of(s, s->words->over);
	enum result got;

	/* "not under" is an "over" though it may begin like another word. */
	if (n_under > 0 && n_under >= n_over)
		under = word(s, s->words->under);
	else if (n_over > 0)
		over = word(s, s->words->over);
	if (under || over) {
		about = word(s, s->words->about) || about;
		if ((got = term(s, &a)) != READ || (got = resolve(s, &a, &a, about, v)) != READ)
			return got;
		open_up(s, under, v);
	} else if (word(s, s->words->between)) {
		if ((got = term(s, &a)) != READ)
			return got;
		if (!word(s, s->words->and_) && !word(s, s->words->to))
			return fault(s, READ_TRAILING, s->at, s->text.n);
		if ((got = term(s, &b)) != READ || (got = resolve(s, &a, &b, about, v)) != READ)
			return got;
	} else {
		size_t end, sign = 0;
		bool to;

		if ((got = term(s, &a)) != READ)
			return got;
		b = a;
		end = s->at;
		to = word(s, s->words->to);
		if (!to) {
			blanks(s);
			sign = dash(ahead(s));
			s->at += sign;
		}
		/* No second number: the dash or word was not ours. */
		if ((!to && sign == 0) || (got = term(s, &b)) == NONE) {
			s->at = end;
			b = a;
		} else if (got == FAULTY) {
			return got;
		}
		if ((got = resolve(s, &a, &b, about, v)) != READ)
			return got;
	}
	s->r->about = about;
	return READ;
}

struct reading
reading_of(const struct units *units, const struct reading_words *words,
    const struct reading_for *f, strview text, bool whole)
{
	static const struct reading_words none = {0};
	struct reading r = {.value = range_all(), .unit = -1};
	struct scan s = {units, words != NULL ? words : &none, f, text, 0, whole, &r};
	range v = range_all();
	enum result got = reading(&s, &v);
	size_t end = s.at;

	if (got == NONE) {
		fault(&s, READ_NOTHING, 0, text.n);
	} else if (got == READ && whole) {
		blanks(&s);
		if (s.at < text.n)
			fault(&s, READ_TRAILING, s.at, text.n);
	}
	if (r.fault != READ_FINE)
		return (struct reading){.value = range_all(), .unit = -1, .fault = r.fault,
		    .fault_at = r.fault_at, .fault_n = r.fault_n};
	r.value = v;
	r.used = end;
	return r;
}

const char *
reading_fault_name(enum reading_fault f)
{
	static const char *const names[READ__COUNT] = {
		[READ_FINE] = "fine",
		[READ_NOTHING] = "no number here",
		[READ_NO_UNIT] = "a number without its unit",
		[READ_UNKNOWN_UNIT] = "an unknown unit",
		[READ_WRONG_DIMENSION] = "a unit of another kind of quantity",
		[READ_NOT_TAKEN] = "a unit not used for this",
		[READ_OUT_OF_DOMAIN] = "a value that cannot be",
		[READ_LOW_ABOVE_HIGH] = "the lower value stands above the higher",
		[READ_BAD_NUMBER] = "a number that cannot be read",
		[READ_TRAILING] = "something after the value",
	};

	return names[f];
}
