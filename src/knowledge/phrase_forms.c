/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * One written phrase, many forms of it.
 *
 * People tell an act in a handful of ways that differ by a word here and there.
 * "(edges|seams) left (raw|)" stands for all of them: of each pair of brackets
 * one part is taken, and nothing may be one of the parts.
 */
#include "knowledge/knowledge_impl.h"

#include <string.h>

enum { MOST_GROUPS = 6, MOST_FORMS = 2000 };

struct group {                             /* one pair of brackets in the text */
	size_t from, to;                   /* of what stands between them */
	uint32_t n, taken;                 /* parts, and the one whose turn it is */
};

/* The pairs of brackets; false: one is not closed, or there are too many. */
static bool
groups_of(strview t, struct group *g, uint32_t *n, uint32_t *forms)
{
	*n = 0;
	*forms = 1;
	for (size_t i = 0; i < t.n; i++) {
		if (t.p[i] == ')' || (t.p[i] == '(' && *n == MOST_GROUPS))
			return false;
		if (t.p[i] != '(')
			continue;
		g[*n] = (struct group){.from = i + 1, .n = 1};
		while (++i < t.n && t.p[i] != ')') {
			if (t.p[i] == '(')
				return false;
			g[*n].n += t.p[i] == '|';
		}
		if (i == t.n)
			return false;
		g[*n].to = i;
		*forms *= g[*n].n;
		if (*forms > MOST_FORMS)
			return false;
		(*n)++;
	}
	return true;
}

static strview
part_taken(strview t, const struct group *g)
{
	size_t from = g->from, to;

	for (uint32_t k = 0; k < g->taken; k++) {
		while (t.p[from] != '|')
			from++;
		from++;
	}
	for (to = from; to < g->to && t.p[to] != '|'; )
		to++;
	return (strview){t.p + from, to - from};
}

/* Blanks at the ends and doubled ones fall out: an empty part leaves some. */
static void
add_text(struct buf *b, strview t)
{
	for (size_t i = 0; i < t.n; i++)
		if (t.p[i] != ' ' || (b->n > 0 && b->p[b->n - 1] != ' '))
			buf_add(b, t.p + i, 1);
}

void
phrase_forms(struct compiler *c, const struct node *written, uint32_t id)
{
	strview t = sv_trim(written->text);
	struct group g[MOST_GROUPS];
	uint32_t n, forms;
	struct buf b = {0};

	if (!groups_of(t, g, &n, &forms)) {
		diag(c->ds, written->place, D_PHRASE_BRACKETS, kept(c, t));
		return;
	}
	for (uint32_t f = 0; f < forms; f++) {
		size_t at = 0;
		uint32_t rest = f;

		buf_clear(&b);
		for (uint32_t k = 0; k < n; k++) {
			g[k].taken = rest % g[k].n;
			rest /= g[k].n;
			add_text(&b, (strview){t.p + at, g[k].from - 1 - at});
			add_text(&b, part_taken(t, &g[k]));
			at = g[k].to + 1;
		}
		add_text(&b, (strview){t.p + at, t.n - at});
		if (sv_trim((strview){b.p, b.n}).n > 0)
			add_name(c, sv_trim((strview){b.p, b.n}), NAME_PHRASE, id, NO16);
	}
	buf_free(&b);
}
