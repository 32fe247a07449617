/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The page of a handout, part by part as its sheet tells; every cell is noted
 * on the way, and what is to be left blank is held back for the key.
 */
#include "command/handout_impl.h"

#include <string.h>

enum { WRITING_HEIGHT = 14, SWATCH = 40 };    /* mm of paper */

static const struct sheet_part *
part_at(const struct handout *h, uint32_t part)
{
	return &h->r->craft->sheet_part[part];
}

static const struct sheet_line *
line_at(const struct handout *h, uint32_t line)
{
	return &h->r->craft->sheet_line[line];
}

/* ---- cells -------------------------------------------------------------------------- */

static bool
blanked(const struct handout *h, uint32_t line, uint32_t cloth)
{
	for (uint32_t i = 0; i < h->n_blanks; i++)
		if (h->blanks[i].line == line && (h->blanks[i].cloth == NONE || cloth == NONE ||
		    h->blanks[i].cloth == cloth))
			return true;
	return false;
}

static void
note(struct handout *h, struct handout_cell q)
{
	if (h->n_cells == h->cap_cells) {
		uint32_t cap = h->cap_cells > 0 ? 2 * h->cap_cells : 64;
		struct handout_cell *more = arena_alloc(h->r->arena, cap * sizeof *more);

		if (h->n_cells > 0)
			memcpy(more, h->cells, h->n_cells * sizeof *more);
		h->cells = more;
		h->cap_cells = cap;
	}
	h->cells[h->n_cells++] = q;
}

/* What stands on the page for a text: the text, or room to write it in. */
static const char *
cell(struct handout *h, uint32_t part, uint32_t line, uint32_t cloth, const char *subject,
    const char *label, const char *text)
{
	bool hidden = blanked(h, line, cloth);

	note(h, (struct handout_cell){.part = part, .line = line, .subject = subject, .label = label,
	    .text = text, .cloth = cloth, .hidden = hidden});
	if (hidden || line_at(h, line)->is == SHEET_WRITE)
		return SAY(h->r, "handout.blank");
	return *text != '\0' ? text : SAY(h->r, "handout.not-known");
}

static const char *
label_of(const struct handout *h, uint32_t line)
{
	return craft_text(h->r->craft, line_at(h, line)->label);
}

/* What a part says of itself is the caption of its table, where it is one. */
static void
heading(struct handout *h, const struct sheet_part *p, uint8_t level)
{
	const char *text = craft_text(h->r->craft, p->heading), *says = craft_text(h->r->craft, p->says);
	bool tabled = p->shows == SHEET_SUITS || p->shows == SHEET_TABLE || p->shows == SHEET_PLACES;

	if (*text != '\0')
		page_add(h->r->page, BLOCK_HEADING, NULL, text)->level = level;
	if (*says != '\0' && !tabled)
		page_add(h->r->page, BLOCK_PARAGRAPH, NULL, says);
	if (*says != '\0')
		handout_cite(h, p->source);
}

static struct block *
tabled(struct handout *h, uint32_t part, uint32_t rows, uint32_t columns, const char **cells)
{
	const struct sheet_part *p = part_at(h, part);
	struct block *t = page_table(h->r->page, rows, columns, cells);

	t->row_heads = true;
	page_caption(h->r->page, t, SAY(h->r, "handout.caption", "n", number_text(h->r, ++h->n_tables, 3),
	    "says", craft_text(h->r->craft, p->says)));
	for (uint32_t i = 0; i < p->n_lines && t->height == 0; i++)
		if (line_at(h, p->first_line + i)->is == SHEET_WRITE || blanked(h, p->first_line + i, NONE))
			t->height = WRITING_HEIGHT;
	return t;
}

/* ---- which cloth suits ------------------------------------------------------------------ */

static const char *
degree(struct handout *h, const struct suited *s)
{
	return SAY(h->r, handout_suited_ids[s->is]);
}

/* Columns: the cloth, then each line; one that tells how it suits stands once for each
 * thing. */
static void
suits(struct handout *h, uint32_t part, const struct handout_cloth *only)
{
	const struct sheet_part *p = part_at(h, part);
	uint32_t columns = 1, rows = only != NULL ? 1 : h->n_cloths, n = 0;
	const char **cells;

	if (h->n_things == 0)
		return;
	for (uint32_t i = 0; i < p->n_lines; i++)
		columns += line_at(h, p->first_line + i)->is == SHEET_SUITED ? h->n_things : 1;
	cells = arena_alloc(h->r->arena, (size_t)(rows + 1) * columns * sizeof *cells);
	cells[n++] = SAY(h->r, "handout.cloth");
	for (uint32_t i = 0; i < p->n_lines; i++) {
		bool each = line_at(h, p->first_line + i)->is == SHEET_SUITED;

		for (uint32_t t = 0; t < (each ? h->n_things : 1); t++)
			cells[n++] = each ? h->things[t].name : label_of(h, p->first_line + i);
	}
	for (uint32_t k = 0; k < h->n_cloths; k++) {
		const struct handout_cloth *q = &h->cloths[k];

		if (only != NULL && q != only)
			continue;
		cells[n++] = q->name;
		for (uint32_t i = 0; i < p->n_lines; i++) {
			uint32_t line = p->first_line + i;
			bool each = line_at(h, line)->is == SHEET_SUITED;

			for (uint32_t t = 0; t < (each ? h->n_things : 1); t++)
				cells[n++] = cell(h, part, line, k, q->name, each ? h->things[t].name
				    : label_of(h, line), each ? degree(h, &q->suited[t])
				    : line_at(h, line)->is == SHEET_WHY ? handout_why(h, q)
				    : handout_line(h, line_at(h, line), q, NONE));
		}
	}
	heading(h, p, 1);
	tabled(h, part, rows + 1, columns, cells);
}

/* ---- tables and cards ---------------------------------------------------------------------- */

static void
table(struct handout *h, uint32_t part)
{
	const struct sheet_part *p = part_at(h, part);
	uint32_t columns = p->n_lines + 1, n = 0;
	const char **cells = arena_alloc(h->r->arena, (size_t)(h->n_cloths + 1) * columns *
	    sizeof *cells);

	cells[n++] = SAY(h->r, "handout.cloth");
	for (uint32_t i = 0; i < p->n_lines; i++)
		cells[n++] = label_of(h, p->first_line + i);
	for (uint32_t k = 0; k < h->n_cloths; k++) {
		cells[n++] = h->cloths[k].name;
		for (uint32_t i = 0; i < p->n_lines; i++)
			cells[n++] = cell(h, part, p->first_line + i, k, h->cloths[k].name,
			    label_of(h, p->first_line + i),
			    handout_line(h, line_at(h, p->first_line + i), &h->cloths[k], NONE));
	}
	heading(h, p, 1);
	tabled(h, part, h->n_cloths + 1, columns, cells);
}

static void
lines(struct handout *h, uint32_t part, uint32_t k)
{
	const struct sheet_part *p = part_at(h, part);

	heading(h, p, 2);
	for (uint32_t i = 0; i < p->n_lines; i++) {
		const struct sheet_line *l = line_at(h, p->first_line + i);
		const char *text = l->is == SHEET_NAME ? h->cloths[k].name
		    : handout_line(h, l, &h->cloths[k], NONE);

		if (*text == '\0' && l->is == SHEET_VALUES && l->n_cases > 0)
			continue;              /* nothing to say here */
		page_add(h->r->page, BLOCK_PAIR, label_of(h, p->first_line + i),
		    cell(h, part, p->first_line + i, k, h->cloths[k].name,
		    label_of(h, p->first_line + i), text));
	}
}

/* ---- places ------------------------------------------------------------------------------------ */

struct place_row { const char *place, *cloths; const char **text; uint32_t cloth; };

static bool
same_row(const struct place_row *a, const struct place_row *b, uint32_t n)
{
	if (strcmp(a->place, b->place) != 0)
		return false;
	for (uint32_t i = 0; i < n; i++)
		if (strcmp(a->text[i], b->text[i]) != 0)
			return false;
	return true;
}

/* A row for each place and what it takes; cloths that take the same share it. */
static void
places(struct handout *h, uint32_t part)
{
	const struct sheet_part *p = part_at(h, part);
	struct place_row rows[HANDOUT_CLOTHS_MOST * 4];
	uint32_t n = 0, most = p->most > 0 && p->most < HANDOUT_CLOTHS_MOST * 4 ? p->most
	    : HANDOUT_CLOTHS_MOST * 4, columns = p->n_lines + 2, at = 0;
	const char **cells;

	for (uint32_t k = 0; k < h->n_cloths; k++) {
		const struct handout_cloth *q = &h->cloths[k];

		for (uint32_t o = q->c.model->first_of_kind[p->kind]; o != NONE;
		    o = q->c.model->objects[o].next) {
			struct place_row row = {object_name(q->c.model, o), q->name,
			    arena_alloc(h->r->arena, (p->n_lines + 1) * sizeof *row.text), k};
			struct binding b;
			uint32_t same = 0;

			for (size_t i = 0; i < VARIABLES_MAX; i++)
				b.object[i] = NONE;
			b.object[0] = o;
			if (p->where != NONE && eval_truth(h->r->craft, q->c.model, p->where, &b) != TRI_TRUE)
				continue;
			for (uint32_t i = 0; i < p->n_lines; i++)
				row.text[i] = handout_line(h, line_at(h, p->first_line + i), q, o);
			while (same < n && !same_row(&rows[same], &row, p->n_lines))
				same++;
			if (same == n && n < most)
				rows[n++] = row;
			else if (same < n && rows[same].cloth != k) {
				rows[same].cloths = arena_print(h->r->arena, "%s, %s", rows[same].cloths,
				    q->name);
				rows[same].cloth = k;
			}
		}
	}
	if (n == 0)
		return;
	cells = arena_alloc(h->r->arena, (size_t)(n + 1) * columns * sizeof *cells);
	cells[at++] = SAY(h->r, "handout.place");
	cells[at++] = SAY(h->r, "handout.cloths");
	for (uint32_t i = 0; i < p->n_lines; i++)
		cells[at++] = label_of(h, p->first_line + i);
	for (uint32_t k = 0; k < n; k++) {
		const char *subject = SAY(h->r, "handout.place-of", "place", rows[k].place, "cloths",
		    rows[k].cloths);

		cells[at++] = rows[k].place;
		cells[at++] = rows[k].cloths;
		for (uint32_t i = 0; i < p->n_lines; i++)
			cells[at++] = cell(h, part, p->first_line + i, NONE, subject,
			    label_of(h, p->first_line + i), rows[k].text[i]);
	}
	heading(h, p, 1);
	tabled(h, part, n + 1, columns, cells);
}

/* ---- cautions ------------------------------------------------------------------------------------- */

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
static void
cautions(struct handout *h, uint32_t part)
{
	const struct sheet_part *p = part_at(h, part);
	const struct craft *c = h->r->craft;

	h->cautions = arena_alloc(h->r->arena, HANDOUT_CLOTHS_MOST * sizeof *h->cautions);
	heading(h, p, 1);
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
			const char *text = handout_fact(h, line_at(h, p->first_line + n), e);

			buf_print(&b, "%s%s", b.n > 0 && *text != '\0' ? " " : "", text);
		}
		caution(h, handout_name(h, e), run_kept(h->r, &b));
	}
}

/* ---- exercises --------------------------------------------------------------------------------------- */

/* Is the entry named, done or chosen anywhere? 2: people said it themselves. */
static int
in_use(const struct handout *h, uint32_t entry)
{
	const struct craft *c = h->r->craft;
	int use = 0;

	for (uint32_t k = 0; k < h->n_cloths; k++) {
		const struct model *m = h->cloths[k].c.model;
		const struct advised *a = h->cloths[k].c.advised;

		for (uint32_t o = 0; o < m->n_objects; o++)
			if (m->objects[o].entry != NONE && !(m->objects[o].flags & OBJECT_DENIED) &&
			    kb_entry_is(c, m->objects[o].entry, entry))
				use = m->objects[o].flags & OBJECT_SAID ? 2 : use > 1 ? use : 1;
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

/* Those that teach what is used: first what people named themselves, then the rest,
 * each in the order of the knowledge. */
static void
exercises(struct handout *h, uint32_t part)
{
	const struct sheet_part *p = part_at(h, part);
	const struct craft *c = h->r->craft;
	uint32_t most = p->most > 0 ? p->most : c->n_entry, first = h->n_exercises;

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
					int u = in_use(h, rec->links[i].entry);

					use = u > use ? u : use;
				}
			if (use == wanted)
				h->exercises[h->n_exercises++] = e;
		}
	if (h->n_exercises == first)
		return;
	heading(h, p, 1);
	for (uint32_t i = first; i < h->n_exercises; i++) {
		uint32_t e = h->exercises[i];

		page_add(h->r->page, BLOCK_HEADING, NULL, handout_name(h, e))->level = 2;
		for (uint32_t n = 0; n < p->n_lines; n++) {
			uint32_t line = p->first_line + n;
			const char *text = handout_fact(h, line_at(h, line), e);
			const char *label = label_of(h, line);

			if (line_at(h, line)->ticked) {
				strview rest = sv(text);

				note(h, (struct handout_cell){part, line, handout_name(h, e), label, text, NONE,
				    false});
				page_add(h->r->page, BLOCK_PARAGRAPH, NULL, label);
				while (rest.n > 0) {
					const char *end = memchr(rest.p, ';', rest.n);
					size_t len = end != NULL ? (size_t)(end - rest.p) : rest.n;
					strview one = sv_trim((strview){rest.p, len});

					page_item(h->r->page, 1, TONE_PLAIN, SAY(h->r, "handout.tick"),
					    arena_text(h->r->arena, one.p, one.n));
					len += end != NULL;
					rest = (strview){rest.p + len, rest.n - len};
				}
				continue;
			}
			if (*text != '\0' || line_at(h, line)->is == SHEET_WRITE)
				page_add(h->r->page, BLOCK_PAIR, label, cell(h, part, line, NONE,
				    handout_name(h, e), label, text));
		}
	}
}

/* ---- swatches --------------------------------------------------------------------------------------- */

static void
swatches(struct handout *h, uint32_t part, uint32_t only)
{
	heading(h, part_at(h, part), 1);
	for (uint32_t k = 0; k < h->n_cloths; k++)
		if (only == NONE || only == k)
			page_box(h->r->page, h->cloths[k].name, SWATCH, SWATCH);
}

/* ---- the whole ----------------------------------------------------------------------------------------- */

static void
rests_on(struct handout *h)
{
	struct buf b = {0};

	buf_add(&b, "", 0);
	for (uint32_t i = 0; i < h->n_here; i++)
		buf_print(&b, "%s%s", b.n > 0 ? " " : "", cite_text(h->r, h->here[i]));
	if (b.n > 0)
		page_add(h->r->page, BLOCK_PARAGRAPH, NULL, SAY(h->r, "handout.rests-on", "sources", b.p));
	buf_free(&b);
}

static void
compose(struct handout *h, uint32_t part, uint32_t k)
{
	h->n_here = 0;
	switch ((enum sheet_shows)part_at(h, part)->shows) {
	case SHEET_SUITS: suits(h, part, k != NONE ? &h->cloths[k] : NULL); break;
	case SHEET_TABLE: table(h, part); break;
	case SHEET_PLACES: places(h, part); break;
	case SHEET_LINES:
		for (uint32_t i = 0; i < h->n_cloths; i++)
			if (k == NONE || i == k)
				lines(h, part, i);
		break;
	case SHEET_CAUTIONS: cautions(h, part); break;
	case SHEET_EXERCISES: exercises(h, part); break;
	case SHEET_GLOSSARY: handout_terms(h, part_at(h, part)); break;
	case SHEET_SWATCHES: swatches(h, part, k); break;
	case SHEET_SOURCES: check_sources(h->r); break;
	case SHEET_NOTE: heading(h, part_at(h, part), 1); break;
	case SHEET__COUNT: break;
	}
	if (k == NONE || part_at(h, part)->once)
		rests_on(h);
}

/* A report carries it at the head of each of its sheets. */
static void
class_told(struct run *r, struct page *page)
{
	page->about.class_line = r->ask->class_line;
	if (r->ask->class_line != NULL && r->ask->out == NULL && r->ask->stages == NULL)
		page_add(page, BLOCK_PARAGRAPH, NULL, r->ask->class_line);
}

static const char *
things_named(struct handout *h)
{
	struct buf b = {0};

	buf_add(&b, "", 0);
	for (uint32_t i = 0; i < h->n_things; i++)
		buf_print(&b, "%s%s", i > 0 ? ", " : "", h->things[i].name);
	return run_kept(h->r, &b);
}

static void
head(struct handout *h)
{
	struct run *r = h->r;

	page_add(r->page, BLOCK_TITLE, NULL, r->ask->title != NULL ? r->ask->title
	    : craft_text(r->craft, h->sheet->title));
	class_told(r, r->page);
	if (h->n_blanks > 0)
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "handout.name-and-date"));
	if (h->n_things > 0 && !h->sheet->cards)
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "handout.for", "things", things_named(h)));
	if (*craft_text(r->craft, h->sheet->says) != '\0')
		page_add(r->page, BLOCK_PARAGRAPH, NULL, craft_text(r->craft, h->sheet->says));
	if (h->left_out > 0)
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "handout.left-out", "n", number_text(r,
		    h->left_out, 6)));
}

void
handout_page(struct handout *h)
{
	const struct sheet_plan *s = h->sheet;

	head(h);
	for (uint32_t k = 0; s->cards && k < h->n_cloths; k++) {
		page_add(h->r->page, BLOCK_HEADING, NULL, h->cloths[k].name)->level = 1;
		for (uint32_t i = 0; i < s->n_parts; i++)
			if (!part_at(h, s->first_part + i)->once)
				compose(h, s->first_part + i, k);
	}
	for (uint32_t i = 0; i < s->n_parts; i++)
		if (!s->cards || part_at(h, s->first_part + i)->once)
			compose(h, s->first_part + i, NONE);
}

/* ---- the key ---------------------------------------------------------------------------------------------- */

static uint32_t
number_of(const char **names, uint32_t *n, const char *name)
{
	uint32_t i = 0;

	while (i < *n && strcmp(names[i], name) != 0)
		i++;
	if (i == *n)
		names[(*n)++] = name;
	return i;
}

/* Of one part the cells held back, each in its row and column. */
static void
key_part(struct handout *h, struct page *page, uint32_t part)
{
	const char **rows = arena_alloc(h->r->arena, (h->n_cells + 1) * sizeof *rows);
	const char **columns = arena_alloc(h->r->arena, (h->n_cells + 1) * sizeof *columns), **cells;
	uint32_t n_rows = 0, n_columns = 0;

	for (uint32_t i = 0; i < h->n_cells; i++)
		if (h->cells[i].part == part && h->cells[i].hidden) {
			number_of(rows, &n_rows, h->cells[i].subject);
			number_of(columns, &n_columns, h->cells[i].label);
		}
	if (n_rows == 0)
		return;
	cells = arena_alloc(h->r->arena, (size_t)(n_rows + 1) * (n_columns + 1) * sizeof *cells);
	for (size_t i = 0; i < (size_t)(n_rows + 1) * (n_columns + 1); i++)
		cells[i] = "";
	for (uint32_t i = 0; i < n_columns; i++)
		cells[i + 1] = columns[i];
	for (uint32_t i = 0; i < n_rows; i++)
		cells[(size_t)(i + 1) * (n_columns + 1)] = rows[i];
	for (uint32_t i = 0; i < h->n_cells; i++)
		if (h->cells[i].part == part && h->cells[i].hidden) {
			uint32_t x = number_of(columns, &n_columns, h->cells[i].label);
			uint32_t y = number_of(rows, &n_rows, h->cells[i].subject);

			cells[(size_t)(y + 1) * (n_columns + 1) + x + 1] = *h->cells[i].text != '\0'
			    ? h->cells[i].text : SAY(h->r, "handout.not-known");
		}
	page_add(page, BLOCK_HEADING, NULL, craft_text(h->r->craft, part_at(h, part)->heading))->level = 1;
	page_table(page, n_rows + 1, n_columns + 1, cells)->row_heads = true;
}

struct page *
handout_key(struct handout *h)
{
	struct page *page = page_new(h->r->arena);

	page_add(page, BLOCK_TITLE, NULL, SAY(h->r, "handout.key", "title", h->r->ask->title != NULL
	    ? h->r->ask->title : craft_text(h->r->craft, h->sheet->title)));
	class_told(h->r, page);
	for (uint32_t i = 0; i < h->sheet->n_parts; i++)
		key_part(h, page, h->sheet->first_part + i);
	return page;
}
