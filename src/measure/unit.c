/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Units and numberings: to base units and back, and found by their spelling.
 *
 * The table is handed down; a linear scan serves, it never holds more than a
 * hundred rows.
 */
#include "measure/measure_impl.h"

#include <math.h>
#include <string.h>

/* ---- conversion -------------------------------------------------------- */

/* Walks the ladder from one column to the other. */
static bool
climb(const struct unit *u, double x, bool to_base, double *out)
{
	for (uint32_t i = 0; i < u->n_ladder; i++) {
		const struct rung *r = &u->ladder[i];
		double here = to_base ? r->written : r->base;
		double there = to_base ? r->base : r->written;

		if (fabs(x - here) <= 1e-9 * fabs(here)) {
			*out = there;
			return true;
		}
		if (i + 1 < u->n_ladder) {
			double next = to_base ? r[1].written : r[1].base;
			double beyond = to_base ? r[1].base : r[1].written;

			if ((x > here && x < next) || (x < here && x > next)) {
				if (fabs(x - next) <= 1e-9 * fabs(next))
					continue;
				*out = there + (x - here) / (next - here) * (beyond - there);
				return true;
			}
		}
	}
	return false;
}

bool
unit_to_base(const struct unit *u, double x, double *base)
{
	double y = 0;

	if (isnan(x) || isinf(x))
		return false;
	switch (u->form) {
	case UNIT_SCALE:
		y = x * u->factor + u->offset;
		break;
	case UNIT_INVERSE:
		if (x == 0)
			return false;
		y = u->factor / x;
		break;
	case UNIT_LADDER:
		if (!climb(u, x, true, &y))
			return false;
		break;
	}
	if (isnan(y) || isinf(y))
		return false;
	*base = y + 0.0;
	return true;
}

bool
unit_from_base(const struct unit *u, double base, double *written)
{
	double y = 0;

	if (isnan(base) || isinf(base))
		return false;
	switch (u->form) {
	case UNIT_SCALE:
		if (u->factor == 0)
			return false;
		y = (base - u->offset) / u->factor;
		break;
	case UNIT_INVERSE:
		if (base == 0)
			return false;
		y = u->factor / base;
		break;
	case UNIT_LADDER:
		if (!climb(u, base, false, &y))
			return false;
		break;
	}
	if (isnan(y) || isinf(y))
		return false;
	*written = y + 0.0;
	return true;
}

bool
unit_falls(const struct unit *u)
{
	switch (u->form) {
	case UNIT_SCALE: return u->factor < 0;
	case UNIT_INVERSE: return true;
	case UNIT_LADDER:
		return u->n_ladder > 1 &&
		    (u->ladder[0].written < u->ladder[u->n_ladder - 1].written) !=
		    (u->ladder[0].base < u->ladder[u->n_ladder - 1].base);
	}
	return false;
}

/* One bound either way; an open one stays open. */
static bool
bound(const struct unit *u, double x, bool to_base, double *out)
{
	if (u->form == UNIT_INVERSE) {
		if (x <= 0) {                  /* a count below nothing: no end of thickness */
			*out = INFINITY;
			return x == 0 || isinf(x);
		}
		if (isinf(x)) {
			*out = 0;
			return true;
		}
	} else if (isinf(x)) {
		*out = unit_falls(u) ? -x : x;
		return true;
	}
	return to_base ? unit_to_base(u, x, out) : unit_from_base(u, x, out);
}

static range
convert(const struct unit *u, range r, bool to_base, bool *ok)
{
	double a = 0, b = 0;

	*ok = bound(u, r.lo, to_base, &a) && bound(u, r.hi, to_base, &b);
	if (!*ok)
		return range_all();
	return a <= b ? (range){a, b} : (range){b, a};
}

range
unit_range_to_base(const struct unit *u, range written, bool *ok)
{
	return convert(u, written, true, ok);
}

range
unit_range_from_base(const struct unit *u, range base, bool *ok)
{
	return convert(u, base, false, ok);
}

/* ---- spelling ---------------------------------------------------------- */

static bool
blank(char c)
{
	return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

static bool
digit(char c)
{
	return c >= '0' && c <= '9';
}

static bool
letter(char c)
{
	return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (unsigned char)c >= 0x80;
}

/* Folded bytes one after the other, without folding the whole text. */
struct folder {
	strview v;
	size_t at;                         /* next character of v */
	char made[32];
	size_t n, i;                       /* bytes made from the last one, and used */
};

/* -1 at the end.  A run of blanks gives one blank. */
static int
folded(struct folder *f)
{
	while (f->i == f->n) {
		char c;

		if (f->at >= f->v.n)
			return -1;
		c = f->v.p[f->at];
		f->i = 0;
		f->n = 1;
		if (blank(c)) {
			while (f->at < f->v.n && blank(f->v.p[f->at]))
				f->at++;
			f->made[0] = ' ';
		} else if ((unsigned char)c < 0x80) {
			f->made[0] = c >= 'A' && c <= 'Z' ? (char)(c + 32) : c;
			f->at++;
		} else {
			struct buf b = {0};
			size_t k = utf8_step(f->v, f->at);

			buf_fold(&b, (strview){f->v.p + f->at, k});
			f->n = b.n < sizeof f->made ? b.n : sizeof f->made;
			memcpy(f->made, b.p, f->n);
			buf_free(&b);
			f->at += k;
		}
	}
	return (unsigned char)f->made[f->i++];
}

static char
small(char c)
{
	return c >= 'A' && c <= 'Z' ? (char)(c + 32) : c;
}

static size_t
prefix_folded(strview text, const char *spelling)
{
	struct folder a = {.v = text}, b = {.v = sv(spelling)};

	/* Plain letters need no folding but their case; most spellings end here. */
	for (size_t i = 0;; i++) {
		if (spelling[i] == '\0')
			return i;
		if ((unsigned char)spelling[i] >= 0x80 || (i < text.n && (unsigned char)text.p[i] >= 0x80))
			break;
		if (i == text.n)
			return 0;
		if (blank(text.p[i]) != blank(spelling[i]))
			return 0;
		if (blank(text.p[i]))
			break;
		if (small(text.p[i]) != small(spelling[i]))
			return 0;
	}
	for (;;) {
		int y = folded(&b), x;

		if (y < 0)
			return a.i == a.n ? a.at : 0;  /* not in the middle of a character */
		x = folded(&a);
		if (x != y)
			return 0;
	}
}

static size_t
prefix_exact(strview text, const char *spelling)
{
	size_t at = 0;

	for (; *spelling != '\0'; spelling++) {
		if (at >= text.n)
			return 0;
		if (*spelling == ' ' && blank(text.p[at])) {
			while (at < text.n && blank(text.p[at]))
				at++;
			continue;
		}
		if (text.p[at++] != *spelling)
			return 0;
	}
	return at;
}

/* Most spellings differ in the first letter already. */
static bool
other_letter(strview text, const char *spelling)
{
	char a = text.n > 0 ? text.p[0] : '\0', b = spelling[0];

	return (unsigned char)a < 0x80 && (unsigned char)b < 0x80 && small(a) != small(b) &&
	    !(blank(a) && blank(b));
}

size_t
spelled(strview text, const char *spelling, bool exact, enum boundary how)
{
	size_t n = other_letter(text, spelling) ? 0 :
	    exact ? prefix_exact(text, spelling) : prefix_folded(text, spelling);
	char last, next;

	if (n == 0 || n >= text.n)
		return n;
	last = text.p[n - 1];
	next = text.p[n];
	if (!letter(last) && !digit(last))
		return n;                      /* a sign ends itself */
	if (letter(next)) {
		/* Dashes and fraction signs are no letters, superscripts are. */
		if (sv_starts((strview){text.p + n, text.n - n}, "\xe2\x80"))
			return n;
		return 0;
	}
	if (how == BOUND_WORD && (digit(next) || next == '/' || next == '^'))
		return 0;
	return n;
}

static const char *
spelling_of(const struct unit *u, size_t i)
{
	if (i == 0)
		return u->name;
	if (i == 1)
		return u->plural != NULL ? u->plural : u->name;
	return u->spellings != NULL ? u->spellings[i - 2] : NULL;
}

bool
reading_takes(const struct reading_for *f, int unit)
{
	if (f == NULL || unit < 0)
		return false;
	for (uint32_t i = 0; i < f->n_units; i++)
		if (f->units[i] == unit)
			return true;
	return false;
}

/* One spelling that stands here is as good as another but for its length, whether
 * the property takes the unit, and whether it is letter for letter. */
struct best { int unit, rank; size_t used; };

static void
consider(struct best *b, const struct reading_for *f, int unit, size_t used, bool exact)
{
	int rank = 2 * reading_takes(f, unit) + exact;

	if (used < b->used || (used == b->used && rank <= b->rank))
		return;
	*b = (struct best){unit, rank, used};
}

int
unit_at(const struct units *us, const struct reading_for *f, strview text, bool before,
    size_t *used)
{
	struct units_met *met = f != NULL ? f->met : NULL;
	struct best best = {-1, -1, 0};
	uint32_t place = 0, n_met = 0;

	for (; met != NULL && place < MET_PLACES && met->place[place].at != NULL; place++)
		if (met->place[place].at == text.p && met->place[place].before == before) {
			for (uint32_t i = 0; i < met->place[place].n; i++)
				consider(&best, f, met->place[place].u[i].unit,
				    met->place[place].u[i].used, met->place[place].u[i].exact);
			*used = best.used;
			return best.unit;
		}
	for (uint32_t i = 0; i < us->n; i++) {
		const struct unit *u = &us->u[i];
		const char *s;

		if (before ? !u->before : u->before && !u->after)
			continue;
		for (size_t k = 0; (s = spelling_of(u, k)) != NULL; k++) {
			enum boundary how = before ? BOUND_NUMBER : BOUND_WORD;
			bool exact;
			size_t n;

			/* The plain number's "1" is never a spelling in a text. */
			if (digit(s[0]))
				continue;
			n = spelled(text, s, false, how);
			if (n == 0)
				continue;
			exact = spelled(text, s, true, how) > 0;
			consider(&best, f, (int)i, n, exact);
			if (met != NULL && place < MET_PLACES && n_met < MET_UNITS) {
				met->place[place].u[n_met].unit = (int)i;
				met->place[place].u[n_met].used = n;
				met->place[place].u[n_met].exact = exact;
			}
			n_met++;
		}
	}
	if (met != NULL && place < MET_PLACES && n_met <= MET_UNITS) {
		met->place[place].at = text.p;
		met->place[place].before = before;
		met->place[place].n = n_met;
	}
	*used = best.used;
	return best.unit;
}

int
unit_find(const struct units *us, strview spelling)
{
	const char *s;

	spelling = sv_trim(spelling);
	if (spelling.n == 0)
		return -1;
	for (int exact = 1; exact >= 0; exact--)
		for (uint32_t i = 0; i < us->n; i++)
			for (size_t k = 0; (s = spelling_of(&us->u[i], k)) != NULL; k++)
				if (spelled(spelling, s, exact, BOUND_WORD) == spelling.n)
					return (int)i;
	return -1;
}

int
unit_near(const struct units *us, strview spelling, struct near *near)
{
	struct buf b = {0};
	const char *s;

	buf_fold(&b, spelling);
	for (uint32_t i = 0; i < us->n; i++) {
		int least = 1000;

		/* The unit is offered by its one name, however it was met. */
		for (size_t k = 0; (s = spelling_of(&us->u[i], k)) != NULL; k++) {
			struct buf c = {0};
			int limit = edit_allowance(b.n), d;

			buf_fold(&c, sv(s));
			d = edit_distance((strview){b.p, b.n}, (strview){c.p, c.n}, limit);
			if (d <= limit && d < least && (b.n > 1 || d == 0))
				least = d;
			buf_free(&c);
		}
		if (least < 1000) {
			int at = near->n < 3 ? near->n : 3;

			for (; at > 0 && near->distance[at - 1] > least; at--)
				if (at < 3) {
					near->name[at] = near->name[at - 1];
					near->distance[at] = near->distance[at - 1];
				}
			if (at < 3) {
				near->name[at] = us->u[i].name;
				near->distance[at] = least;
				near->n += near->n < 3;
			}
		}
	}
	buf_free(&b);
	return near->n;
}

/* Is each rung a whole number of the scale?  (80 and 12; not 33 and 12.) */
static bool
rungs_whole(const struct unit *scale, const struct unit *ladder)
{
	double x;

	for (uint32_t i = 0; i < ladder->n_ladder; i++)
		if (!unit_from_base(scale, ladder->ladder[i].base, &x) ||
		    fabs(x - floor(x + 0.5)) > 1e-6)
			return false;
	return ladder->n_ladder > 0;
}

int
unit_partner(const struct units *us, int unit)
{
	const struct unit *u;
	int other = -1;

	if (unit < 0 || (uint32_t)unit >= us->n)
		return -1;
	u = &us->u[unit];
	if (u->numbering == 0 || u->form != UNIT_SCALE)
		return -1;
	for (uint32_t i = 0; i < us->n; i++) {
		const struct unit *l = &us->u[i];

		if (l->form != UNIT_LADDER || l->numbering == 0 || !dim_eq(l->dim, u->dim))
			continue;
		if (l->numbering == u->numbering)
			return (int)i;
		if (other < 0 && rungs_whole(u, l))
			other = (int)i;
	}
	return other;
}
