/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What a handout asks people to mind and to try: cautions, and the exercises that
 * teach what is done or chosen on it.
 */
#include "command/handout_impl.h"

#include <string.h>

/* ---- cautions ----------------------------------------------------------------------- */

static void
caution(struct handout *h, const char *label, const char *text)
{
	for (uint32_t i = 0; i < h->n_cautions; i++)
		if (strcmp(h->cautions[i], text) == 0)
			return;
	if (h->n_cautions < HANDOUT_CLOTHS_MOST)
		h->cautions[h->n_cautions++] = text;
	page_item(h->r->page, 0, TONE_PLAIN, label, text);
}

/* Findings that are cautions, then the entries the sheet names. */
void
handout_cautions(struct handout *h, uint32_t part)
{
	const struct sheet_part *p = &h->r->craft->sheet_part[part];
	const struct craft *c = h->r->craft;

	h->cautions = arena_alloc(h->r->arena, HANDOUT_CLOTHS_MOST * sizeof *h->cautions);
	handout_heading(h, p, 1);
	for (uint32_t k = 0; k < h->n_cloths; k++) {
		const struct judgement *j = h->cloths[k].c.judgement;

		for (uint32_t i = 0; i < j->n_fails; i++) {
			struct buf b = {0};

			if (!c->rule[j->fails[i].rule].safety)
				continue;
			finding_says(&b, h->r->kb, h->cloths[k].c.model, &j->fails[i]);
			caution(h, h->cloths[k].name, run_kept(h->r, &b));
		}
	}
	for (uint32_t i = 0; i < p->n_entries; i++) {
		uint32_t e = c->sheet_entry[p->first_entry + i];
		struct buf b = {0};

		buf_add(&b, "", 0);
		for (uint32_t n = 0; n < p->n_lines; n++) {
			const char *text = handout_fact(h, &h->r->craft->sheet_line[p->first_line + n], e);

			buf_print(&b, "%s%s", b.n > 0 && *text != '\0' ? " " : "", text);
		}
		caution(h, handout_name(h, e), run_kept(h->r, &b));
	}
}

/* ---- exercises ---------------------------------------------------------------------- */

int
handout_in_use(const struct handout *h, uint32_t entry)
{
	const struct craft *c = h->r->craft;
	int use = 0;

	for (uint32_t i = 0; i < h->project->n_things; i++)
		if (!h->project->things[i].denied && h->project->things[i].entry != NONE &&
		    kb_entry_is(c, h->project->things[i].entry, entry))
			return 2;
	for (uint32_t k = 0; k < h->n_cloths; k++) {
		const struct model *m = h->cloths[k].c.model;
		const struct advised *a = h->cloths[k].c.advised;

		for (uint32_t o = 0; o < m->n_objects; o++)
			if (m->objects[o].entry != NONE && !(m->objects[o].flags & OBJECT_DENIED) &&
			    kb_entry_is(c, m->objects[o].entry, entry))
				use = 1;
		for (uint32_t i = 0; i < a->n && use == 0; i++) {
			const struct property *p = &c->property[c->setting[a->c[i].setting].property];
			const struct word_set *set = p->type == TYPE_WORDS ? &c->word_set[p->word_set] : NULL;

			if (set == NULL || set->entries_of == NO16 || a->c[i].start.state != VALUE_KNOWN)
				continue;
			for (uint32_t w = 0; w < set->n; w++)
				if ((a->c[i].start.set[w >> 6] >> (w & 63) & 1) &&
				    kb_entry_is(c, c->word[set->first + w].entry, entry))
					use = 1;
		}
	}
	return use;
}

/* A list to tick off, an item a line. */
static void
to_tick(struct handout *h, uint32_t part, uint32_t line, uint32_t entry)
{
	struct run *r = h->r;
	const struct sheet_line *l = &r->craft->sheet_line[line];
	const char *text = handout_fact(h, l, entry), *label = craft_text(r->craft, l->label);
	strview rest = sv(text);

	handout_note(h, (struct handout_cell){part, line, handout_name(h, entry), label, text, NONE,
	    false});
	page_add(r->page, BLOCK_PARAGRAPH, NULL, label);
	while (rest.n > 0) {
		const char *end = memchr(rest.p, ';', rest.n);
		size_t len = end != NULL ? (size_t)(end - rest.p) : rest.n;
		strview one = sv_trim((strview){rest.p, len});

		page_item(r->page, 1, TONE_PLAIN, SAY(r, "handout.tick"), arena_text(r->arena, one.p,
		    one.n));
		len += end != NULL;
		rest = (strview){rest.p + len, rest.n - len};
	}
}

/* One under the other, where something of them is to be ticked off. */
static void
exercise_list(struct handout *h, uint32_t part, uint32_t first)
{
	const struct craft *c = h->r->craft;
	const struct sheet_part *p = &c->sheet_part[part];

	for (uint32_t i = first; i < h->n_exercises; i++) {
		uint32_t e = h->exercises[i];

		page_add(h->r->page, BLOCK_HEADING, NULL, handout_name(h, e))->level = 2;
		for (uint32_t line = p->first_line; line < p->first_line + p->n_lines; line++) {
			const struct sheet_line *l = &c->sheet_line[line];
			const char *text = handout_fact(h, l, e), *label = craft_text(c, l->label);

			if (l->ticked)
				to_tick(h, part, line, e);
			else if (*text != '\0' || l->is == SHEET_WRITE)
				page_add(h->r->page, BLOCK_PAIR, label, handout_cell(h, part, line, NONE,
				    handout_name(h, e), label, text));
		}
	}
}

static void
exercise_table(struct handout *h, uint32_t part, uint32_t first)
{
	const struct craft *c = h->r->craft;
	const struct sheet_part *p = &c->sheet_part[part];
	uint32_t rows = h->n_exercises - first + 1, columns = p->n_lines + 1, n = 0;
	const char **cells = arena_alloc(h->r->arena, (size_t)rows * columns * sizeof *cells);

	cells[n++] = SAY(h->r, "handout.exercise");
	for (uint32_t i = 0; i < p->n_lines; i++)
		cells[n++] = craft_text(c, c->sheet_line[p->first_line + i].label);
	for (uint32_t i = first; i < h->n_exercises; i++) {
		uint32_t e = h->exercises[i];

		cells[n++] = handout_name(h, e);
		for (uint32_t line = p->first_line; line < p->first_line + p->n_lines; line++) {
			const char *text = handout_fact(h, &c->sheet_line[line], e);

			cells[n++] = *text == '\0' && c->sheet_line[line].is == SHEET_VALUES ? ""
			    : handout_cell(h, part, line, NONE, handout_name(h, e),
			        craft_text(c, c->sheet_line[line].label), text);
		}
	}
	handout_table(h, part, rows, columns, cells);
}

/* Those that teach what is used: first what people named themselves, then the rest,
 * each in the order of the knowledge. */
void
handout_exercises(struct handout *h, uint32_t part)
{
	const struct sheet_part *p = &h->r->craft->sheet_part[part];
	const struct craft *c = h->r->craft;
	uint32_t most = p->most > 0 ? p->most : c->n_entry, first = h->n_exercises;
	bool ticked = false;

	if (h->exercises == NULL)
		h->exercises = arena_alloc(h->r->arena, (c->n_entry + 1) * sizeof *h->exercises);
	for (int wanted = 2; wanted > 0; wanted--)
		for (uint32_t e = 0; e < c->n_entry; e++) {
			const struct entry_record *rec;
			bool of = false;
			int use = 0;

			for (uint32_t k = 0; k < p->n_kinds; k++)
				of = of || c->sheet_entry[p->first_kind + k] == c->entry[e].kind;
			if (!of || h->n_exercises - first == most)
				continue;
			rec = kb_entry(h->r->kb, e);
			for (uint32_t i = 0; i < rec->n_links; i++)
				if (strcmp(rec->links[i].how, "see") == 0) {
					int u = handout_in_use(h, rec->links[i].entry);

					use = u > use ? u : use;
				}
			if (use == wanted)
				h->exercises[h->n_exercises++] = e;
		}
	if (h->n_exercises == first)
		return;
	handout_heading(h, p, 1);
	for (uint32_t i = 0; i < p->n_lines; i++)
		ticked = ticked || c->sheet_line[p->first_line + i].ticked;
	if (ticked)
		exercise_list(h, part, first);
	else
		exercise_table(h, part, first);
}
