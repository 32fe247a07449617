/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Near names: how far two spellings lie apart, and the best three of many.
 *
 * Optimal string alignment: insert, leave out, change one letter, or exchange
 * two neighbours, each costing one.  Works on bytes of folded text.
 */
#include "base/base.h"

#include <string.h>

enum { LONGEST = 128 };                    /* names are shorter; beyond it only equality counts */

static int
least(int a, int b)
{
	return a < b ? a : b;
}

int
edit_distance(strview a, strview b, int limit)
{
	int rows[3][LONGEST + 1];
	int *before = rows[0], *last = rows[1], *now = rows[2];
	size_t apart = a.n > b.n ? a.n - b.n : b.n - a.n;

	if (sv_eq(a, b))
		return 0;
	if (limit < 1 || a.n > LONGEST || b.n > LONGEST || apart > (size_t)limit)
		return limit + 1;
	memset(rows, 0, sizeof rows);
	for (size_t j = 0; j <= b.n; j++)
		last[j] = (int)j;
	for (size_t i = 1; i <= a.n; i++) {
		int best = now[0] = (int)i;
		int *t;

		for (size_t j = 1; j <= b.n; j++) {
			int d = last[j - 1] + (a.p[i - 1] != b.p[j - 1]);

			d = least(d, least(last[j], now[j - 1]) + 1);
			if (i > 1 && j > 1 && a.p[i - 1] == b.p[j - 2] && a.p[i - 2] == b.p[j - 1])
				d = least(d, before[j - 2] + 1);
			now[j] = d;
			best = least(best, d);
		}
		/* An exchange reaches back two rows, so only a row whose
		 * forerunner was over the limit as well may end the search. */
		if (best > limit + 1)
			return limit + 1;
		t = before;
		before = last;
		last = now;
		now = t;
	}
	return last[b.n] > limit ? limit + 1 : last[b.n];
}

int
edit_allowance(size_t letters)
{
	return letters <= 4 ? 1 : letters <= 8 ? 2 : 3;
}

static size_t
letters(strview v)
{
	size_t n = 0;

	for (size_t i = 0; i < v.n; i += utf8_step(v, i))
		n++;
	return n;
}

void
near_offer(struct near *best, strview wanted, const char *candidate)
{
	size_t n = letters(wanted);
	int limit = edit_allowance(n), d, at;
	strview c = sv(candidate);

	/* At least one letter must remain as written. */
	if (n < 2)
		limit = 0;
	d = edit_distance(wanted, c, limit);
	if (d > limit)
		return;
	for (int i = 0; i < best->n; i++)
		if (sv_is(c, best->name[i]))
			return;
	for (at = best->n; at > 0 && best->distance[at - 1] > d; at--)
		if (at < 3) {
			best->name[at] = best->name[at - 1];
			best->distance[at] = best->distance[at - 1];
		}
	if (at >= 3)
		return;
	best->name[at] = candidate;
	best->distance[at] = d;
	if (best->n < 3)
		best->n++;
}
