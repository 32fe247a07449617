/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The question the other way round: what a length that is there suffices for.
 *
 * Every thing that can be sewn is put into the project in turn, and what it
 * takes is held against what there is.
 */
#include "command/reckon.h"

#include <stdlib.h>
#include <string.h>

static bool
names_kind(const struct project *p, uint32_t kind)
{
	for (uint32_t i = 0; i < p->n_things; i++)
		if (p->things[i].kind == kind && p->things[i].entry != NONE && !p->things[i].denied)
			return true;
	return false;
}

static const struct project *
with_entry(struct arena *a, const struct project *p, uint16_t kind, uint32_t entry)
{
	struct project *t = arena_alloc(a, sizeof *t);

	*t = *p;
	t->arena = a;
	t->cap_things = p->n_things + 1;
	t->things = arena_alloc(a, t->cap_things * sizeof *t->things);
	if (p->n_things > 0)
		memcpy(t->things, p->things, p->n_things * sizeof *t->things);
	t->things[t->n_things++] = (struct said_thing){.kind = kind, .role = NO16, .entry = entry,
	    .count = 1, .of = NONE};
	return t;
}

/* All that there is of anything against what it takes; false: nothing can be told. */
static bool
held_against(const struct model *m, struct suffices *out)
{
	const struct craft *c = m->craft;
	bool any = false;

	out->enough = TRI_TRUE;
	for (uint32_t i = 0; i < c->n_reckoning; i++) {
		const struct reckoning *k = &c->reckoning[i];

		for (uint32_t o = m->first_of_kind[k->each]; o != NONE && k->have != NO16 &&
		    k->need != NO16; o = m->objects[o].next) {
			struct binding b = {{o}};
			const value *need = model_slot(m, o, k->need), *have = model_slot(m, o, k->have);

			if (have->state != VALUE_KNOWN ||
			    (k->when != NONE && eval_truth(c, m, k->when, &b) != TRI_TRUE))
				continue;
			if (need->state != VALUE_KNOWN || !reckon_usable(c, k->need, need))
				return false;
			out->enough = tri_and(out->enough, range_le(need->r, have->r,
			    c->property[k->need].step));
			if (!any)
				out->need = need->r;
			out->property = any ? out->property : k->need;
			any = true;
		}
	}
	return any;
}

static int
by_need(const void *a, const void *b)
{
	const struct suffices *x = a, *y = b;

	if (x->need.hi != y->need.hi)
		return x->need.hi > y->need.hi ? -1 : 1;
	return x->entry < y->entry ? -1 : x->entry > y->entry;
}

struct suffices *
suffices_for(struct run *r, const struct project *p, uint32_t *n)
{
	const struct craft *c = r->craft;
	struct suffices *all = arena_alloc(r->arena, ((size_t)c->n_entry + 1) * sizeof *all);
	uint32_t kind = kind_find(c, SV("garment"));
	struct arena *scratch;

	*n = 0;
	if (kind == NONE || names_kind(p, kind))
		return all;
	scratch = arena_new();
	for (uint32_t e = 0; e < c->n_entry; e++) {
		struct suffices one = {.entry = e};
		struct diags ignored;
		struct model *m;

		if (c->entry_kind[c->entry[e].kind].object_kind != kind)
			continue;
		arena_reset(scratch);
		diags_init(&ignored, scratch);
		m = model_expand(scratch, r->kb, with_entry(scratch, p, (uint16_t)kind, e), &ignored);
		if (m != NULL)
			model_derive_late(m);
		if (m != NULL && held_against(m, &one))
			all[(*n)++] = one;
	}
	arena_free(scratch);
	qsort(all, *n, sizeof *all, by_need);
	return all;
}

static void
group(struct run *r, const struct suffices *s, uint32_t n, tri enough, const char *label,
    enum tone tone)
{
	struct buf b = {0};

	for (uint32_t i = 0; i < n; i++) {
		value v = {.r = s[i].need, .state = VALUE_KNOWN};

		if (s[i].enough != enough)
			continue;
		buf_print(&b, "%s%s", b.n > 0 ? "; " : "", SAY(r, "suffices.one", "thing",
		    craft_text(r->craft, r->craft->entry[s[i].entry].name), "need",
		    value_text(r, NULL, s[i].property, &v)));
	}
	if (b.n > 0)
		page_item(r->page, 1, tone, label, run_kept(r, &b));
	else
		buf_free(&b);
}

void
suffices_page(struct run *r, const struct suffices *s, uint32_t n)
{
	bool any = false;

	for (uint32_t i = 0; i < n; i++)
		any = any || s[i].enough != TRI_FALSE;
	if (n == 0)
		return;
	page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "suffices.heading"))->level = 1;
	if (!any)
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "suffices.nothing"));
	group(r, s, n, TRI_TRUE, SAY(r, "suffices.enough"), TONE_GOOD);
	group(r, s, n, TRI_UNKNOWN, SAY(r, "suffices.perhaps"), TONE_OPEN);
	page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "suffices.note"));
}

void
suffices_json(struct run *r, struct json *j, const struct suffices *s, uint32_t n)
{
	json_key(j, "suffices_for");
	json_open(j, '[');
	for (uint32_t i = 0; i < n; i++) {
		value v = {.r = s[i].need, .state = VALUE_KNOWN};

		if (s[i].enough == TRI_FALSE)
			continue;
		json_open(j, '{');
		json_key(j, "thing");
		json_str(j, craft_text(r->craft, r->craft->entry[s[i].entry].name));
		json_key(j, "enough");
		json_str(j, s[i].enough == TRI_TRUE ? "yes" : "open");
		json_key(j, "need");
		json_value(r, j, NULL, s[i].property, &v);
		json_close(j, '}');
	}
	json_close(j, ']');
}
