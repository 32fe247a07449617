/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The page of a handout, part by part as its sheet tells; every cell is noted
 * on the way, and what is to be left blank is held back for the key.
 */
#include "command/handout_impl.h"

#include <string.h>

static const enum tone tones[SUIT__COUNT] = {
	[SUIT_WELL] = TONE_GOOD, [SUIT_CARE] = TONE_DOUBTFUL, [SUIT_FIND_OUT] = TONE_OPEN,
	[SUIT_NOT] = TONE_GRAVE,
};
enum { WRITING_HEIGHT = 14, SWATCH = 40 };    /* mm of paper */
enum { LONG_ANSWER = 40 };                 /* bytes; a longer one gets more room to write */

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

void
handout_note(struct handout *h, struct handout_cell q)
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
const char *
handout_cell(struct handout *h, uint32_t part, uint32_t line, uint32_t cloth, const char *subject,
    const char *label, const char *text)
{
	bool hidden = blanked(h, line, cloth);

	handout_note(h, (struct handout_cell){.part = part, .line = line, .subject = subject,
	    .label = label,
	    .text = text, .cloth = cloth, .hidden = hidden});
	if (hidden || line_at(h, line)->is == SHEET_WRITE)
		return SAY(h->r, line_at(h, line)->is == SHEET_WHY || strlen(text) > LONG_ANSWER
		    ? "handout.long-blank" : "handout.blank");
	return *text != '\0' ? text : SAY(h->r, "handout.not-known");
}

static const char *
label_of(const struct handout *h, uint32_t line)
{
	return craft_text(h->r->craft, line_at(h, line)->label);
}

/* What a part says of itself is the caption of its table, where it is one. */
void
handout_heading(struct handout *h, const struct sheet_part *p, uint8_t level)
{
	const char *text = craft_text(h->r->craft, p->heading), *says = craft_text(h->r->craft, p->says);
	bool table = p->shows == SHEET_SUITS || p->shows == SHEET_TABLE || p->shows == SHEET_PLACES ||
	    p->shows == SHEET_EXERCISES || p->shows == SHEET_BARS;

	if (*text != '\0')
		page_add(h->r->page, BLOCK_HEADING, NULL, text)->level = level;
	if (*says != '\0' && !table)
		page_add(h->r->page, BLOCK_PARAGRAPH, NULL, says);
	if (*says != '\0')
		handout_cite(h, p->source);
}

struct block *
handout_table(struct handout *h, uint32_t part, uint32_t rows, uint32_t columns, const char **cells)
{
	const struct sheet_part *p = part_at(h, part);
	struct block *t = page_table(h->r->page, rows, columns, cells);

	t->row_heads = true;
	for (uint32_t i = 0; i < rows * columns && p->shows == SHEET_SUITS; i++)
		for (int is = 0; is < SUIT__COUNT; is++)
			if (strcmp(cells[i], SAY(h->r, handout_suited_ids[is])) == 0)
				page_cell_tone(h->r->page, t, i / columns, i % columns, tones[is]);
	if (*craft_text(h->r->craft, p->says) != '\0')
		page_caption(h->r->page, t, SAY(h->r, "handout.caption", "n", number_text(h->r,
		    ++h->n_tables, 3), "says", craft_text(h->r->craft, p->says)));
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
				cells[n++] = handout_cell(h, part, line, k, q->name, each ? h->things[t].name
				    : label_of(h, line), each ? degree(h, &q->suited[t])
				    : line_at(h, line)->is == SHEET_WHY ? handout_why(h, q)
				    : handout_line(h, line_at(h, line), q, NONE));
		}
	}
	handout_heading(h, p, 1);
	handout_table(h, part, rows + 1, columns, cells);
}

/* ---- tables and cards --------------------------------------------------------------- */

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
			cells[n++] = handout_cell(h, part, p->first_line + i, k, h->cloths[k].name,
			    label_of(h, p->first_line + i),
			    handout_line(h, line_at(h, p->first_line + i), &h->cloths[k], NONE));
	}
	handout_heading(h, p, 1);
	handout_table(h, part, h->n_cloths + 1, columns, cells);
}

static void
lines(struct handout *h, uint32_t part, uint32_t k)
{
	const struct sheet_part *p = part_at(h, part);

	handout_heading(h, p, 2);
	for (uint32_t i = 0; i < p->n_lines; i++) {
		const struct sheet_line *l = line_at(h, p->first_line + i);
		const char *text = l->is == SHEET_NAME ? h->cloths[k].name
		    : handout_line(h, l, &h->cloths[k], NONE);

		/* nothing to say here, or there is no such place */
		if (l->is == SHEET_VALUES && *text == '\0' && (l->n_cases > 0 || (l->at != NONE &&
		    handout_object(h, &h->cloths[k], l->kind, l->at) == NONE)))
			continue;
		page_add(h->r->page, BLOCK_PAIR, label_of(h, p->first_line + i),
		    handout_cell(h, part, p->first_line + i, k, h->cloths[k].name,
		    label_of(h, p->first_line + i), text));
	}
}

/* ---- places ------------------------------------------------------------------------- */

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
			cells[at++] = handout_cell(h, part, p->first_line + i, NONE, subject,
			    label_of(h, p->first_line + i), rows[k].text[i]);
	}
	handout_heading(h, p, 1);
	handout_table(h, part, n + 1, columns, cells);
}

/* ---- swatches ----------------------------------------------------------------------- */

static void
swatches(struct handout *h, uint32_t part, uint32_t only)
{
	const struct sheet_part *p = part_at(h, part);

	handout_heading(h, p, 1);
	for (uint32_t k = 0; k < h->n_cloths; k++)
		if (only == NONE || only == k)
			page_box(h->r->page, h->cloths[k].name, p->wide > 0 ? p->wide : SWATCH,
			    p->high > 0 ? p->high : SWATCH);
}

/* ---- the whole ---------------------------------------------------------------------- */

/* Title and year, so that they do not fill a page; with all that is known of
 * them where everything was asked for. */
static void
sources(struct handout *h)
{
	struct run *r = h->r;
	struct buf b = {0};

	if (h->rests == NULL)
		return;
	page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "check.sources"))->level = 1;
	page_add(r->page, BLOCK_PARAGRAPH, NULL, h->rests);
	for (uint32_t i = 0; i < r->n_cited && r->ask->all; i++)
		page_item(r->page, 0, TONE_PLAIN, arena_print(r->arena, "[%u]", (unsigned)i + 1),
		    source_text(r, r->cited[i]));
	if (r->ask->all || r->n_cited == 0)
		return;
	for (uint32_t i = 0; i < r->n_cited; i++) {
		const struct cited_source *s = &r->craft->source[r->cited[i]];
		const char *title = craft_text(r->craft, s->title), *year = craft_text(r->craft, s->year);
		const char *note = strpbrk(title, "(:");       /* subtitles, and what we added */
		size_t n = note != NULL && note > title ? (size_t)(note - title) : strlen(title);
		bool dated;

		while (n > 1 && title[n - 1] == ' ')
			n--;
		dated = *year >= '0' && *year <= '9';
		buf_print(&b, "%s[%u] %.*s%s%s.", i > 0 ? " " : "", (unsigned)(i + 1),
		    (int)n, title, dated ? ", " : "", dated ? year : "");
	}
	buf_print(&b, " %s", SAY(r, "handout.addresses"));
	page_add(r->page, BLOCK_PARAGRAPH, NULL, run_kept(r, &b));
}

/* Kept for the end of the page, where the sources stand. */
static void
rests_on(struct handout *h, const char *heading)
{
	struct buf b = {0};

	for (uint32_t i = 0; i < h->n_here; i++)
		buf_print(&b, "%s%s", b.n > 0 ? " " : "", cite_text(h->r, h->here[i]));
	if (b.n > 0)
		h->rests = arena_print(h->r->arena, "%s%s%s", h->rests != NULL ? h->rests : "",
		    h->rests != NULL ? " " : "", *heading != '\0'
		    ? SAY(h->r, "handout.part-rests-on", "part", heading, "sources", b.p)
		    : SAY(h->r, "handout.rests-on", "sources", b.p));
	buf_free(&b);
}

static void
compose(struct handout *h, uint32_t part, uint32_t k)
{
	/* of cards each has the parts: what they rest on is told once, after the last */
	if (k == NONE)
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
	case SHEET_CAUTIONS: handout_cautions(h, part); break;
	case SHEET_EXERCISES: handout_exercises(h, part); break;
	case SHEET_BARS: handout_bars(h, part); break;
	case SHEET_DRAWINGS: handout_drawings(h, part); break;
	case SHEET_GLOSSARY: handout_terms(h, part_at(h, part)); break;
	case SHEET_SWATCHES: swatches(h, part, k); break;
	case SHEET_SOURCES: sources(h); break;
	case SHEET_NOTE: handout_heading(h, part_at(h, part), 1); break;
	case SHEET__COUNT: break;
	}
	if (k == NONE)
		rests_on(h, craft_text(h->r->craft, part_at(h, part)->heading));
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
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "handout.for", "things", things_named(h),
		    "says", craft_text(r->craft, h->sheet->says)));
	else if (*craft_text(r->craft, h->sheet->says) != '\0')
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
		if (s->on_a_page > 0 && k > 0 && k % s->on_a_page == 0)
			page_add(h->r->page, BLOCK_BREAK, NULL, NULL);
		page_add(h->r->page, BLOCK_HEADING, NULL, h->cloths[k].name)->level = 1;
		for (uint32_t i = 0; i < s->n_parts; i++)
			if (!part_at(h, s->first_part + i)->once)
				compose(h, s->first_part + i, k);
	}
	if (s->cards)
		rests_on(h, "");
	for (uint32_t i = 0; i < s->n_parts; i++)
		if (!s->cards || part_at(h, s->first_part + i)->once)
			compose(h, s->first_part + i, NONE);
}

/* ---- the key ------------------------------------------------------------------------ */

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
