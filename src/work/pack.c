/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The shortest piece of a roll on which a set of rectangles can be laid.
 *
 * The upper edge of what has been laid is kept as a skyline: level stretches
 * from left to right.  Each way of laying begins at the lowest stretch, the
 * leftmost of several: either some piece rests on it, the first of them at a
 * place where sides of pieces can add up to (a normal pattern), or none does
 * and the stretch is lost up to its lower neighbour.  In any layout in which
 * nothing can be pushed towards the beginning or to the left, one of these is
 * the case at every step, so trying them all misses no length; the tests hold
 * the answers against those of a general solver.
 *
 * Lengths are bounded from below by area, and by area in which wide pieces
 * count as the full width and narrow ones not at all (dual feasible functions:
 * S. P. Fekete and J. Schepers, Mathematical Methods of Operations Research 60
 * (2004), 311-329; normal patterns: N. Christofides and C. Whitlock, Operations
 * Research 25 (1977), 30-44; both from memory).  Many pieces are laid greedily
 * in several orders and the best is kept; the bound tells how good it is.
 */
#include "work/pack.h"

#include <stdlib.h>
#include <string.h>

struct stretch { uint32_t x, width; uint64_t y; };

struct skyline {
	struct stretch *s;
	uint32_t n;
};

struct search {
	const struct pack_piece *p;
	uint32_t n, width, total;          /* kinds of pieces; pieces in all */
	uint32_t *left;                    /* of each kind, not yet laid */
	uint64_t area_left, lost;
	uint64_t *normal;                  /* bit x: sides can add up to x */
	struct stretch *room;              /* a skyline for each depth */
	struct pack_spot *spots, *best_spots;
	uint64_t best, bound;
	uint32_t states, most;
	bool cut_short;
};

/* ---- the skyline ------------------------------------------------------------- */

static uint32_t
lowest(const struct skyline *k)
{
	uint32_t best = 0;

	for (uint32_t i = 1; i < k->n; i++)
		if (k->s[i].y < k->s[best].y)
			best = i;
	return best;
}

static void
drop(struct skyline *k, uint32_t i)
{
	memmove(k->s + i, k->s + i + 1, (k->n - i - 1) * sizeof *k->s);
	k->n--;
}

static void
join_level(struct skyline *k)
{
	for (uint32_t i = 0; i + 1 < k->n;) {
		if (k->s[i].y != k->s[i + 1].y) {
			i++;
			continue;
		}
		k->s[i].width += k->s[i + 1].width;
		drop(k, i + 1);
	}
}

/* The stretch is lost up to its lower neighbour; how much area that is.  0: it has none. */
static uint64_t
raise(struct skyline *k, uint32_t i)
{
	uint64_t left = i > 0 ? k->s[i - 1].y : UINT64_MAX;
	uint64_t right = i + 1 < k->n ? k->s[i + 1].y : UINT64_MAX;
	uint64_t to = left < right ? left : right, area;

	if (to == UINT64_MAX)
		return 0;
	area = (to - k->s[i].y) * k->s[i].width;
	k->s[i].y = to;
	join_level(k);
	return area;
}

static void
insert(struct skyline *k, uint32_t at, struct stretch s)
{
	memmove(k->s + at + 1, k->s + at, (k->n - at) * sizeof *k->s);
	k->s[at] = s;
	k->n++;
}

/* A piece on stretch I, its left side OFF from the stretch's beginning; what lies to
 * its left there stays empty.  The area that is lost. */
static uint64_t
lay(struct skyline *k, uint32_t i, uint32_t off, uint32_t w, uint32_t h)
{
	struct stretch s = k->s[i];
	uint64_t lost = 0;

	if (off + w < s.width)
		insert(k, i + 1, (struct stretch){s.x + off + w, s.width - off - w, s.y});
	if (off > 0) {
		insert(k, i + 1, (struct stretch){s.x + off, w, s.y + h});
		k->s[i].width = off;
		lost = raise(k, i);
	} else {
		k->s[i] = (struct stretch){s.x, w, s.y + h};
	}
	join_level(k);
	return lost;
}

static uint64_t
height(const struct skyline *k)
{
	uint64_t y = 0;

	for (uint32_t i = 0; i < k->n; i++)
		y = k->s[i].y > y ? k->s[i].y : y;
	return y;
}

/* ---- bounds -------------------------------------------------------------------- */

static uint64_t
counted(uint32_t side, uint32_t width, uint32_t narrow)
{
	return side > width - narrow ? width : side < narrow ? 0 : side;
}

static uint64_t
bound_for(const struct pack_piece *p, uint32_t n, uint32_t width, uint32_t narrow)
{
	uint64_t sum = 0;

	for (uint32_t i = 0; i < n; i++) {
		uint64_t one = counted(p[i].across, width, narrow) * p[i].along;
		uint64_t other = p[i].turned && p[i].along <= width
		    ? counted(p[i].along, width, narrow) * p[i].across : one;

		if (p[i].across > width)
			one = other;
		sum += (one < other ? one : other) * p[i].count;
	}
	return (sum + width - 1) / width;
}

static uint64_t
bound_of(const struct pack_piece *p, uint32_t n, uint32_t width)
{
	uint64_t best = bound_for(p, n, width, 0);

	for (uint32_t i = 0; i < n; i++) {
		bool either = p[i].turned && p[i].along <= width;
		uint64_t least = !either || (p[i].across <= width && p[i].along < p[i].across)
		    ? p[i].along : p[i].across;
		const uint32_t sides[] = {p[i].across, p[i].along, p[i].across + 1, p[i].along + 1};

		if (p[i].across > width)
			least = p[i].across;
		if (p[i].count > 0 && least > best)
			best = least;
		for (int k = 0; k < 4; k++) {
			uint64_t b = sides[k] * 2ull <= width ? bound_for(p, n, width, sides[k]) : 0;

			best = b > best ? b : best;
		}
	}
	if (width > 1) {
		uint64_t b = bound_for(p, n, width, width / 2);

		best = b > best ? b : best;
	}
	return best;
}

/* ---- laid greedily ----------------------------------------------------------------- */

enum by { BY_ALONG, BY_ACROSS, BY_AREA, BY_ROUND, BY__COUNT };

static uint64_t
weight(const struct pack_piece *p, enum by by)
{
	switch (by) {
	case BY_ALONG: return p->along;
	case BY_ACROSS: return p->across;
	case BY_AREA: return (uint64_t)p->across * p->along;
	case BY_ROUND: return (uint64_t)p->across + p->along;
	case BY__COUNT: break;
	}
	return 0;
}

/* Lowest stretch first; on it the piece that fills it best, wide ones before
 * narrow, ties by the order wanted. */
static uint64_t
greedy(struct search *q, enum by by, bool widest, struct skyline *k)
{
	uint32_t laid = 0;

	k->n = 1;
	k->s[0] = (struct stretch){0, q->width, 0};
	for (uint32_t i = 0; i < q->n; i++)
		q->left[i] = q->p[i].count;
	while (laid < q->total) {
		uint32_t at = lowest(k), best = NONE;
		uint32_t room = k->s[at].width;
		bool best_turned = false;

		for (uint32_t i = 0; i < q->n; i++) {
			for (int turn = 0; turn <= (q->p[i].turned ? 1 : 0); turn++) {
				uint32_t w = turn ? q->p[i].along : q->p[i].across;
				uint32_t now = best == NONE ? 0 : best_turned ? q->p[best].along
				    : q->p[best].across;
				bool better = best == NONE || (widest ? w > now || (w == now &&
				    weight(&q->p[i], by) > weight(&q->p[best], by))
				    : weight(&q->p[i], by) > weight(&q->p[best], by));

				if (q->left[i] == 0 || w > room || !better)
					continue;
				best = i;
				best_turned = turn == 1;
			}
		}
		if (best == NONE) {
			if (raise(k, at) == 0)
				return UINT64_MAX;
			continue;
		}
		q->spots[laid++] = (struct pack_spot){best, k->s[at].x, (uint32_t)k->s[at].y, best_turned};
		q->left[best]--;
		(void)lay(k, at, 0, best_turned ? q->p[best].along : q->p[best].across,
		    best_turned ? q->p[best].across : q->p[best].along);
	}
	return height(k);
}

static void
greedily(struct search *q)
{
	struct skyline k = {.s = q->room};

	for (int by = 0; by < BY__COUNT; by++)
		for (int widest = 0; widest < 2; widest++) {
			uint64_t y = greedy(q, (enum by)by, widest == 1, &k);

			if (y >= q->best)
				continue;
			q->best = y;
			memcpy(q->best_spots, q->spots, q->total * sizeof *q->spots);
		}
}

/* ---- every way --------------------------------------------------------------------- */

static void
normal_patterns(struct search *q)
{
	uint32_t words = q->width / 64 + 1;

	q->normal[0] = 1;
	for (uint32_t i = 0; i < q->n; i++)
		for (uint32_t c = 0; c < q->p[i].count; c++)
			for (int turn = 0; turn <= (q->p[i].turned ? 1 : 0); turn++) {
				uint32_t by = turn ? q->p[i].along : q->p[i].across;

				for (uint32_t w = words; w-- > by / 64;) {
					uint64_t v = q->normal[w - by / 64] << by % 64;

					if (by % 64 > 0 && w > by / 64)
						v |= q->normal[w - by / 64 - 1] >> (64 - by % 64);
					q->normal[w] |= v;
				}
			}
}

static bool
is_normal(const struct search *q, uint32_t x)
{
	return q->normal[x / 64] >> x % 64 & 1;
}

static void try_all(struct search *q, const struct skyline *k, uint32_t laid);

/* One piece at every place of the stretch where it may be the first to rest. */
static void
try_piece(struct search *q, const struct skyline *k, uint32_t at, uint32_t laid, uint32_t i,
    bool turn)
{
	uint32_t w = turn ? q->p[i].along : q->p[i].across, h = turn ? q->p[i].across : q->p[i].along;
	const struct stretch *s = &k->s[at];
	uint64_t area = (uint64_t)w * h;

	if (w > s->width || s->y + h >= q->best)
		return;
	for (uint32_t off = 0; off + w <= s->width && q->best > q->bound && !q->cut_short; off++) {
		struct skyline next = {.s = q->room + (size_t)(laid + 1) * (2 * q->total + 2), .n = k->n};
		uint64_t lost;

		if (off > 0 && !is_normal(q, s->x + off))
			continue;
		memcpy(next.s, k->s, k->n * sizeof *k->s);
		lost = lay(&next, at, off, w, h);
		if (q->lost + lost > (q->best - 1) * q->width - q->area_left)
			break;             /* further to the right only more is lost */
		q->spots[laid] = (struct pack_spot){i, s->x + off, (uint32_t)s->y, turn};
		q->left[i]--;
		q->lost += lost;
		q->area_left -= area;
		/* area below the skyline is no longer counted as left, so neither is its room */
		q->lost += area;
		try_all(q, &next, laid + 1);
		q->lost -= area + lost;
		q->area_left += area;
		q->left[i]++;
	}
}

/* q->lost: area that is laid or lost.  Depth: one call for each piece laid, at most
 * PACK_EXACT_MOST; raising is done in the loop. */
static void
try_all(struct search *q, const struct skyline *from, uint32_t laid)
{
	struct skyline k = *from;
	uint64_t lost_before = q->lost;

	while (q->best > q->bound && !q->cut_short) {
		uint32_t at;
		uint64_t lost;

		if (++q->states > q->most) {
			q->cut_short = true;
			break;
		}
		if (laid == q->total) {
			uint64_t y = height(&k);

			if (y < q->best) {
				q->best = y;
				memcpy(q->best_spots, q->spots, q->total * sizeof *q->spots);
			}
			break;
		}
		if (q->lost + q->area_left > (q->best - 1) * q->width)
			break;
		at = lowest(&k);
		for (uint32_t i = 0; i < q->n; i++) {
			if (q->left[i] == 0)
				continue;
			try_piece(q, &k, at, laid, i, false);
			if (q->p[i].turned && q->p[i].along != q->p[i].across)
				try_piece(q, &k, at, laid, i, true);
		}
		lost = raise(&k, at);          /* and nothing rests there at all */
		if (lost == 0)
			break;
		q->lost += lost;
	}
	q->lost = lost_before;
}

/* ---- the answer ---------------------------------------------------------------------- */

static enum pack_fault
sizes_fit(uint32_t width, const struct pack_piece *p, uint32_t n, uint64_t *total,
    uint32_t *culprit)
{
	*total = 0;
	for (uint32_t i = 0; i < n; i++) {
		*culprit = i;
		if (p[i].across == 0 || p[i].along == 0 || p[i].across > PACK_SIDE_MOST ||
		    p[i].along > PACK_SIDE_MOST)
			return PACK_TOO_LONG;
		if (p[i].across > width && !(p[i].turned && p[i].along <= width))
			return PACK_TOO_WIDE;
		*total += p[i].count;
	}
	if (width == 0 || width > PACK_SIDE_MOST)
		return PACK_TOO_WIDE;
	return *total > PACK_SPOTS_MOST ? PACK_TOO_MANY : PACK_FINE;
}

enum pack_fault
pack_find(struct arena *a, uint32_t width, const struct pack_piece *p, uint32_t n,
    uint32_t most_states, struct pack_found *f, uint32_t *culprit)
{
	struct search q = {.p = p, .n = n, .width = width, .most = most_states, .best = UINT64_MAX};
	enum pack_fault fault;
	uint64_t total;
	size_t rooms;

	*f = (struct pack_found){.exact = true};
	fault = sizes_fit(width, p, n, &total, culprit);
	if (fault != PACK_FINE || total == 0)
		return fault;
	q.total = (uint32_t)total;
	rooms = q.total <= PACK_EXACT_MOST ? (size_t)q.total + 2 : 1;
	q.left = arena_alloc(a, n * sizeof *q.left);
	q.room = arena_alloc(a, rooms * (2 * (size_t)q.total + 2) * sizeof *q.room);
	q.spots = arena_alloc(a, q.total * sizeof *q.spots);
	q.best_spots = arena_alloc(a, q.total * sizeof *q.best_spots);
	q.bound = bound_of(p, n, width);
	greedily(&q);
	if (q.best > q.bound && q.total <= PACK_EXACT_MOST) {
		struct skyline k = {.s = q.room, .n = 1};

		q.normal = arena_alloc(a, (width / 64 + 1) * sizeof *q.normal);
		normal_patterns(&q);
		k.s[0] = (struct stretch){0, width, 0};
		for (uint32_t i = 0; i < n; i++) {
			q.left[i] = p[i].count;
			q.area_left += (uint64_t)p[i].across * p[i].along * p[i].count;
		}
		try_all(&q, &k, 0);
		if (!q.cut_short)
			q.bound = q.best;
	}
	f->length = q.best;
	f->bound = q.bound;
	f->exact = q.best == q.bound;
	f->spots = q.best_spots;
	f->n = q.total;
	f->states = q.states;
	return PACK_FINE;
}

bool
pack_check(uint32_t width, const struct pack_piece *p, uint32_t n, const struct pack_found *f)
{
	for (uint32_t i = 0; i < n; i++) {
		uint32_t have = 0;

		for (uint32_t k = 0; k < f->n; k++)
			have += f->spots[k].piece == i;
		if (have != p[i].count)
			return false;
	}
	for (uint32_t i = 0; i < f->n; i++) {
		const struct pack_spot *s = &f->spots[i];
		const struct pack_piece *a = &p[s->piece];
		uint64_t w = s->turned ? a->along : a->across, h = s->turned ? a->across : a->along;

		if (s->x + w > width || s->y + h > f->length || (s->turned && !a->turned))
			return false;
		for (uint32_t k = 0; k < i; k++) {
			const struct pack_spot *o = &f->spots[k];
			const struct pack_piece *b = &p[o->piece];
			uint64_t ow = o->turned ? b->along : b->across;
			uint64_t oh = o->turned ? b->across : b->along;

			if (s->x < o->x + ow && o->x < s->x + w && s->y < o->y + oh && o->y < s->y + h)
				return false;
		}
	}
	return true;
}
