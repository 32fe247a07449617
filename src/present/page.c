/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A page as a list of blocks: adding to one, and finding out whether it is
 * fit to be shown.
 */
#include "present/present_impl.h"

#include <string.h>

const char *const block_names[BLOCK__COUNT] = {
	[BLOCK_TITLE] = "title", [BLOCK_HEADING] = "heading", [BLOCK_PARAGRAPH] = "paragraph",
	[BLOCK_ITEM] = "item", [BLOCK_EXCERPT] = "excerpt", [BLOCK_TABLE] = "table",
	[BLOCK_PAIR] = "pair", [BLOCK_DRAWING] = "drawing", [BLOCK_BOX] = "box",
	[BLOCK_BREAK] = "break",
};

const char *const tone_names[TONE__COUNT] = {
	[TONE_PLAIN] = "plain", [TONE_GRAVE] = "grave", [TONE_DOUBTFUL] = "doubtful",
	[TONE_MENTION] = "mention", [TONE_OPEN] = "open", [TONE_GOOD] = "good",
};

struct page *
page_new(struct arena *a)
{
	struct page *p = arena_alloc(a, sizeof *p);

	p->arena = a;
	return p;
}

static const char *
kept(struct page *p, const char *s)
{
	return s != NULL ? arena_text(p->arena, s, strlen(s)) : "";
}

struct block *
page_add(struct page *p, enum block_type type, const char *label, const char *text)
{
	struct block *b = arena_alloc(p->arena, sizeof *b);

	b->type = type;
	b->label = kept(p, label);
	b->text = kept(p, text);
	b->level = type == BLOCK_HEADING ? 1 : 0;
	if (p->last != NULL)
		p->last->next = b;
	else
		p->first = b;
	p->last = b;
	return b;
}

struct block *
page_item(struct page *p, int level, enum tone tone, const char *label, const char *text)
{
	struct block *b = page_add(p, BLOCK_ITEM, label, text);

	b->level = (uint8_t)(level < 0 ? 0 : level > LEVEL_DEEPEST ? LEVEL_DEEPEST : level);
	b->tone = tone;
	return b;
}

struct block *
page_table(struct page *p, uint32_t rows, uint32_t columns, const char *const *cells)
{
	struct block *b = page_add(p, BLOCK_TABLE, NULL, NULL);
	size_t n = (size_t)rows * columns;
	const char **copy = arena_alloc(p->arena, (n + 1) * sizeof *copy);

	for (size_t i = 0; i < n; i++)
		copy[i] = kept(p, cells[i]);
	b->rows = rows;
	b->columns = columns;
	b->cells = copy;
	return b;
}

void
page_caption(struct page *p, struct block *table, const char *caption)
{
	table->label = kept(p, caption);
}

void
page_cell_tone(struct page *p, struct block *table, uint32_t row, uint32_t column,
    enum tone tone)
{
	size_t n = (size_t)table->rows * table->columns;
	enum tone *tones = arena_alloc(p->arena, (n + 1) * sizeof *tones);

	if (row >= table->rows || column >= table->columns)
		die(EXIT_OUR_FAULT, "a tone for a cell outside its table");
	if (table->tones != NULL)
		memcpy(tones, table->tones, n * sizeof *tones);
	tones[(size_t)row * table->columns + column] = tone;
	table->tones = tones;
}

struct block *
page_drawing(struct page *p, const struct drawing *d)
{
	struct block *b = page_add(p, BLOCK_DRAWING, NULL, NULL);

	b->drawing = d;
	return b;
}

struct block *
page_box(struct page *p, const char *label, double width, double height)
{
	struct block *b = page_add(p, BLOCK_BOX, label, NULL);

	b->width = width;
	b->height = height;
	return b;
}

const char *const paper_names[PAPER__COUNT] = {[PAPER_A4] = "A4", [PAPER_LETTER] = "Letter"};

enum { LARGE_COLUMNS = 3 };                /* as many as large print has room for */

const struct block *
page_head(const struct page *p)
{
	const struct block *b = p->first;

	return b != NULL && (b->type == BLOCK_TITLE || (b->type == BLOCK_HEADING && b->level == 1 &&
	    p->about.title == NULL)) ? b : NULL;
}

const char *
page_title(const struct page *p)
{
	const struct block *b = page_head(p);

	return p->about.title != NULL ? p->about.title : b != NULL ? b->text : "";
}

bool
table_as_cards(const struct block *b, const struct sheet *sheet)
{
	return sheet->large && b->columns > LARGE_COLUMNS;
}

static bool
paper_size(double mm, double least)
{
	return mm >= least && mm <= 1000;
}

bool
page_check(const struct page *p, const char **culprit)
{
	int heading = 0;

	*culprit = NULL;
	for (const struct block *b = p->first; b != NULL && *culprit == NULL; b = b->next) {
		if (b->type >= BLOCK__COUNT || b->tone >= TONE__COUNT)
			*culprit = "a block of an unknown type or tone";
		else if (b->label == NULL || b->text == NULL)
			*culprit = "a block without text";
		else if (b->type == BLOCK_TITLE && b != p->first)
			*culprit = "a title that is not the first block";
		else if (b->type == BLOCK_HEADING && (b->level < 1 || b->level > heading + 1))
			*culprit = "a heading that skips a level";
		else if (b->type == BLOCK_TABLE &&
		    (b->rows == 0 || b->columns == 0 || b->columns > COLUMNS_MOST))
			*culprit = "a table without a header, or with too many columns";
		else if (b->type == BLOCK_PAIR && b->label[0] == '\0')
			*culprit = "a pair without its term";
		else if (b->type == BLOCK_TABLE && !paper_size(b->height, 0))
			*culprit = "a table with rows of no fit height";
		else if (b->type == BLOCK_BOX &&
		    (!paper_size(b->width, 0) || !paper_size(b->height, 1)))
			*culprit = "a box without a fit size";
		else if (b->type == BLOCK_DRAWING && b->drawing == NULL)
			*culprit = "a drawing that is not there";
		else if (b->type == BLOCK_DRAWING)
			drawing_check(b->drawing, culprit);
		if (b->type == BLOCK_HEADING)
			heading = b->level;
	}
	return *culprit == NULL;
}
