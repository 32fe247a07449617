/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A handout for programs: the verdicts, every cell of the page, and what else
 * stands on it.
 */
#include "command/handout_impl.h"

static const char *const suited_names[SUIT__COUNT] = {
	[SUIT_WELL] = "well", [SUIT_CARE] = "care", [SUIT_FIND_OUT] = "find-out", [SUIT_NOT] = "not",
};

static void
named(struct json *j, const char *key, const char *text)
{
	json_key(j, key);
	json_str(j, text);
}

static void
cloths(struct handout *h, struct json *j)
{
	const struct craft *c = h->r->craft;

	json_key(j, "cloths");
	json_open(j, '[');
	for (uint32_t k = 0; k < h->n_cloths; k++) {
		const struct handout_cloth *q = &h->cloths[k];

		json_open(j, '{');
		named(j, "name", q->name);
		named(j, "entry", q->entry != NONE ? craft_text(c, c->entry[q->entry].name) : NULL);
		json_own(j, q->entry != NONE ? c->entry[q->entry].own : 0);
		json_key(j, "suited");
		json_open(j, '[');
		for (uint32_t t = 0; t < h->n_things; t++) {
			json_open(j, '{');
			named(j, "for", h->things[t].name);
			named(j, "suited", suited_names[q->suited[t].is]);
			json_close(j, '}');
		}
		json_close(j, ']');
		json_close(j, '}');
	}
	json_close(j, ']');
}

static void
cells(struct handout *h, struct json *j)
{
	const struct craft *c = h->r->craft;

	json_key(j, "cells");
	json_open(j, '[');
	for (uint32_t i = 0; i < h->n_cells; i++) {
		const struct handout_cell *q = &h->cells[i];

		json_open(j, '{');
		named(j, "part", craft_text(c, c->sheet_part[q->part].name));
		named(j, "line", craft_text(c, c->sheet_line[q->line].name));
		named(j, "about", q->subject);
		named(j, "label", q->label);
		named(j, "text", *q->text != '\0' ? q->text : NULL);
		json_key(j, "hidden");
		json_bool(j, q->hidden);
		json_close(j, '}');
	}
	json_close(j, ']');
}

static void
entries(struct handout *h, struct json *j, const char *key, const uint32_t *list, uint32_t n)
{
	const struct craft *c = h->r->craft;

	json_key(j, key);
	json_open(j, '[');
	for (uint32_t i = 0; i < n; i++) {
		json_open(j, '{');
		named(j, "name", handout_name(h, list[i]));
		named(j, "entry", craft_text(c, c->entry[list[i]].name));
		named(j, "says", craft_text(c, c->entry[list[i]].says));
		json_close(j, '}');
	}
	json_close(j, ']');
}

void
handout_json(struct handout *h)
{
	struct json j;

	json_begin(h->r, &j);
	named(&j, "sheet", craft_text(h->r->craft, h->sheet->name));
	cloths(h, &j);
	cells(h, &j);
	json_key(&j, "cautions");
	json_open(&j, '[');
	for (uint32_t i = 0; i < h->n_cautions; i++)
		json_str(&j, h->cautions[i]);
	json_close(&j, ']');
	entries(h, &j, "exercises", h->exercises, h->n_exercises);
	entries(h, &j, "glossary", h->terms, h->n_terms);
	json_sources(h->r, &j);
	json_end(h->r, &j);
}
