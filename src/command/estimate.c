/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * estimate: what can be told of a project's parts before a stitch is sewn, and
 * how far it may be trusted.  Nothing here is a finding.
 */
#include "command/reckon.h"

#include <string.h>

/* Rows that say the same of things of one name are one; the parts they belong
 * to are told together while they are few. */
enum { NAMES_TOLD = 3 };

static bool
same_row(const char *const *a, const char *const *b, uint32_t columns)
{
	for (uint32_t i = 1; i < columns; i++)
		if (strcmp(a[i], b[i]) != 0)
			return false;
	return true;
}

/* What was worked out and may come out either way is said so; what nobody knows, too. */
static const char *
cell_text(struct run *r, const struct model *m, uint32_t property, const value *v)
{
	const struct property *p = &r->craft->property[property];
	bool told = p->type == TYPE_WORDS && m->pedigrees[v->pedigree].kind == PEDIGREE_DERIVED &&
	    r->craft->word_set[p->word_set].n == 2 && v->state == VALUE_KNOWN && v->set[0] == 3;

	return told ? SAY(r, "estimate.either") : v->state == VALUE_KNOWN ? value_text(r, m, property, v)
	    : SAY(r, v->state == VALUE_ABSENT ? "reckon.absent" : "reckon.unknown");
}

/* Of one thing alone: a line for each figure. */
static void
list(struct run *r, const struct model *m, const struct reckoned *q)
{
	const struct reckoning *k = &r->craft->reckoning[q->reckoning];

	page_item(r->page, 1, TONE_PLAIN, reckon_name(r, m, q->object), "");
	for (uint8_t i = 0; i < k->n_shows; i++)
		page_item(r->page, 2, TONE_PLAIN, craft_text(r->craft,
		    r->craft->property[k->shows[i]].label), cell_text(r, m, k->shows[i],
		    model_slot(m, q->object, k->shows[i])));
}

static void
table(struct run *r, const struct model *m, const struct reckoned *q, uint32_t n)
{
	const struct reckoning *k = &r->craft->reckoning[q->reckoning];
	uint32_t columns = (uint32_t)k->n_shows + 1, rows = 1;
	const char **cell = arena_alloc(r->arena, ((size_t)n + 1) * columns * sizeof *cell);
	uint32_t *same = arena_alloc(r->arena, ((size_t)n + 1) * sizeof *same);

	cell[0] = "";
	for (uint8_t i = 0; i < k->n_shows; i++)
		cell[i + 1] = craft_text(r->craft, r->craft->property[k->shows[i]].label);
	for (uint32_t o = 0; o < n; o++) {
		const char **row = cell + (size_t)rows * columns;
		uint32_t twin = 1;

		row[0] = reckon_name(r, m, q[o].object);
		for (uint8_t i = 0; i < k->n_shows; i++)
			row[i + 1] = cell_text(r, m, k->shows[i], model_slot(m, q[o].object, k->shows[i]));
		while (twin < rows && !same_row(cell + (size_t)twin * columns, row, columns))
			twin++;
		if (twin == rows) {
			rows++;
			continue;
		}
		if (++same[twin] < NAMES_TOLD && strcmp(cell[(size_t)twin * columns], row[0]) != 0)
			cell[(size_t)twin * columns] = SAY(r, "reckon.and", "first",
			    cell[(size_t)twin * columns], "next", row[0]);
	}
	for (uint32_t i = 1; i < rows; i++)
		if (same[i] >= NAMES_TOLD)
			cell[(size_t)i * columns] = SAY(r, "reckon.and-more", "first",
			    cell[(size_t)i * columns], "n", number_text(r, same[i] - NAMES_TOLD + 1, 6));
	page_table(r->page, rows, columns, cell);
}

static void
people(struct run *r, const struct model *m, const struct reckoned *q, uint32_t n)
{
	page_add(r->page, BLOCK_TITLE, NULL, SAY(r, "estimate.title"));
	if (n == 0)
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "estimate.nothing"));
	for (uint32_t i = 0; i < n;) {
		const struct reckoning *k = &r->craft->reckoning[q[i].reckoning];
		uint32_t end = i;

		while (end < n && q[end].reckoning == q[i].reckoning)
			end++;
		page_add(r->page, BLOCK_HEADING, NULL, craft_text(r->craft, k->heading))->level = 1;
		if (end - i > 1)
			table(r, m, q + i, end - i);
		else
			list(r, m, q + i);
		if (k->says != 0)
			page_add(r->page, BLOCK_PARAGRAPH, NULL, craft_text(r->craft, k->says));
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "reckon.from", "sources",
		    cites_text(r, k->first_source, k->n_sources)));
		i = end;
	}
	check_sources(r);
}

int
command_estimate(struct run *r)
{
	struct project *p = reckon_project(r,
	    "estimate takes one project file, or --words and a text in quotes");
	struct reckoned *q;
	struct checked c;
	struct json j;
	uint32_t n;

	if (p == NULL || !check_project(r, p, &c))
		return EXIT_NOT_RUN;
	model_derive_late(c.model);
	if (r->ask->stages != NULL && !wants_stage(r->ask, "page")) {
		check_dump(r, &c);
		return EXIT_SOUND;
	}
	q = reckon(r, c.model, RECKON_ESTIMATE, NULL, 0, &n);
	if (!r->ask->json) {
		people(r, c.model, q, n);
		return EXIT_SOUND;
	}
	json_begin(r, &j);
	json_key(&j, "lines");
	json_open(&j, '[');
	for (uint32_t i = 0; i < n; i++)
		reckon_json(r, &j, c.model, &q[i]);
	json_close(&j, ']');
	json_sources(r, &j);
	json_end(r, &j);
	return EXIT_SOUND;
}
