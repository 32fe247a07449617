/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A page as one HTML file: what a block is, said in the elements made for it.
 *
 * Nothing is fetched and nothing is run. Runs of items become nested lists, of
 * pairs one list of terms; the first row of a table is its head, and each cell
 * of it names its column; a drawing is a figure whose caption tells all it
 * shows. Every text passes html_text().
 */
#include "present/present_impl.h"

#include <string.h>

struct web {
	struct buf *out;
	const struct page *page;
	const struct sheet *sheet;
	const char *under;                 /* the last heading, to name what has no caption */
};

static void
element(struct web *w, const char *open, const char *text, const char *close)
{
	buf_str(w->out, open);
	html_text(w->out, text);
	buf_str(w->out, close);
}

/* ` class="..."`, or nothing for a plain tone. */
static void
tone_class(struct web *w, const char *also, enum tone tone)
{
	const char *name = tone == TONE_PLAIN ? "" : tone_names[tone];

	if (*also == '\0' && *name == '\0')
		return;
	buf_print(w->out, " class=\"%s%s%s\"", also, *also != '\0' && *name != '\0' ? " " : "", name);
}

static void
heading(struct web *w, const struct block *b)
{
	int level = b->type == BLOCK_TITLE ? 1 : b->level + 1;

	if (b == page_head(w->page))
		level = 1;
	buf_print(w->out, "<h%d", level);
	tone_class(w, "", b->tone);
	element(w, ">", b->text, "");
	buf_print(w->out, "</h%d>\n", level);
	w->under = b->text;
}

/* ---- lists -------------------------------------------------------------------- */

static void
item(struct web *w, const struct block *b)
{
	buf_str(w->out, b->label[0] == '\0' ? "<li class=\"bare\">" : "<li>");
	if (b->label[0] != '\0') {
		buf_str(w->out, "<span");
		tone_class(w, "label", b->tone);
		element(w, ">", b->label, b->text[0] != '\0' ? "</span> " : "</span>");
	}
	html_text(w->out, b->text);
}

/* A run of items; deeper ones become a list inside the item before them. */
static const struct block *
items(struct web *w, const struct block *b)
{
	uint8_t at[LEVEL_DEEPEST + 2];
	int depth = 0;

	buf_str(w->out, "<ul>\n");
	at[0] = b->level;
	for (const struct block *first = b; b != NULL && b->type == BLOCK_ITEM; b = b->next) {
		if (b != first && b->level > at[depth] && depth < LEVEL_DEEPEST) {
			buf_str(w->out, "<ul>\n");
			at[++depth] = b->level;
		} else if (b != first) {
			buf_str(w->out, "</li>\n");
			for (; depth > 0 && b->level < at[depth]; depth--)
				buf_str(w->out, "</ul></li>\n");
		}
		item(w, b);
	}
	for (; depth > 0; depth--)
		buf_str(w->out, "</li>\n</ul>");
	buf_str(w->out, "</li>\n</ul>\n");
	return b;
}

static const struct block *
pairs(struct web *w, const struct block *b)
{
	buf_str(w->out, "<dl>\n");
	for (; b != NULL && b->type == BLOCK_PAIR; b = b->next) {
		buf_str(w->out, "<div><dt");
		tone_class(w, "", b->tone);
		element(w, ">", b->label, "</dt>");
		element(w, "<dd>", b->text, "</dd></div>\n");
	}
	buf_str(w->out, "</dl>\n");
	return b;
}

/* ---- what may be too wide --------------------------------------------------------- */

static void
frame(struct web *w, const char *name)
{
	buf_str(w->out, "<div class=\"wide\" role=\"group\" tabindex=\"0\"");
	if (*name == '\0')
		name = *w->under != '\0' ? w->under : page_title(w->page);
	element(w, " aria-label=\"", name, "\">");
}

static void
cell(struct web *w, const struct block *b, uint32_t row, uint32_t column)
{
	size_t i = (size_t)row * b->columns + column;
	bool side = b->row_heads && column == 0;
	const char *name = row == 0 || side ? "th" : "td";

	/* the corner above row heads, left empty, is the head of nothing */
	if (row == 0 && b->cells[i][0] == '\0')
		name = "td";
	buf_print(w->out, "<%s", name);
	if (*name == 't' && name[1] == 'h')
		buf_print(w->out, " scope=\"%s\"", row == 0 ? "col" : "row");
	tone_class(w, "", b->tones != NULL ? b->tones[i] : TONE_PLAIN);
	element(w, ">", b->cells[i], "");
	buf_print(w->out, "</%s>", name);
}

static void
row(struct web *w, const struct block *b, uint32_t r)
{
	buf_str(w->out, "<tr");
	if (r > 0 && b->height > 0) {
		buf_str(w->out, " style=\"height:");
		buf_number(w->out, b->height, 6);
		buf_str(w->out, "mm\"");
	}
	buf_char(w->out, '>');
	for (uint32_t c = 0; c < b->columns; c++)
		cell(w, b, r, c);
	buf_str(w->out, "</tr>\n");
}

static void
cards(struct web *w, const struct block *b)
{
	if (b->label[0] != '\0')
		element(w, "<p class=\"label\">", b->label, "</p>\n");
	buf_str(w->out, "<ul class=\"cards\">\n");
	for (uint32_t r = 1; r < b->rows; r++) {
		const char *const *line = b->cells + (size_t)r * b->columns;

		element(w, "<li><p>", line[0], "</p><dl>");
		for (uint32_t c = 1; c < b->columns; c++) {
			if (b->cells[c][0] == '\0' && line[c][0] == '\0')
				continue;
			element(w, "<div><dt>", b->cells[c], "</dt><dd");
			tone_class(w, "", b->tones != NULL ? b->tones[r * b->columns + c] : TONE_PLAIN);
			element(w, ">", line[c], "</dd></div>");
		}
		buf_str(w->out, "</dl></li>\n");
	}
	buf_str(w->out, "</ul>\n");
}

static void
table(struct web *w, const struct block *b)
{
	if (b->rows == 0 || b->columns == 0)
		return;
	if (table_as_cards(b, w->sheet)) {
		cards(w, b);
		return;
	}
	frame(w, b->label);
	buf_str(w->out, "<table>\n");
	if (b->label[0] != '\0')
		element(w, "<caption>", b->label, "</caption>\n");
	buf_str(w->out, "<thead>");
	row(w, b, 0);
	buf_str(w->out, "</thead>\n<tbody>\n");
	for (uint32_t r = 1; r < b->rows; r++)
		row(w, b, r);
	buf_str(w->out, "</tbody>\n</table></div>\n");
}

static void
excerpt(struct web *w, const struct block *b)
{
	frame(w, "");
	element(w, "<pre>", b->text, "</pre></div>\n");
}

/* ---- figures and frames -------------------------------------------------------------- */

static void
drawing(struct web *w, const struct drawing *d)
{
	if (d == NULL)
		return;
	buf_str(w->out, "<figure>\n");
	drawing_svg(w->out, d, w->sheet->large);
	buf_str(w->out, "\n<figcaption>");
	if (*d->title != '\0')
		element(w, "<strong>", d->title, "</strong> ");
	if (d->measured) {
		buf_str(w->out, "1:");
		buf_number(w->out, drawing_ratio(d), 6);
		buf_char(w->out, ' ');
	}
	element(w, *d->title != '\0' ? "\n" : "", d->words, "</figcaption>\n</figure>\n");
}

static void
box_size(struct web *w, const char *what, double mm)
{
	buf_str(w->out, what);
	buf_number(w->out, mm, 6);
	buf_str(w->out, "mm");
}

static const struct block *
boxes(struct web *w, const struct block *b)
{
	buf_str(w->out, "<div class=\"boxes\">\n");
	for (; b != NULL && b->type == BLOCK_BOX; b = b->next) {
		buf_str(w->out, "<p class=\"box\" style=\"");
		if (b->width > 0)
			box_size(w, "width:", b->width);
		else
			buf_str(w->out, "width:100%");
		box_size(w, ";min-height:", b->height);
		element(w, "\">", b->label, "</p>\n");
	}
	buf_str(w->out, "</div>\n");
	return b;
}

static const struct block *
block(struct web *w, const struct block *b)
{
	switch (b->type) {
	case BLOCK_TITLE: case BLOCK_HEADING:
		heading(w, b);
		break;
	case BLOCK_PARAGRAPH:
		buf_str(w->out, "<p");
		tone_class(w, "", b->tone);
		element(w, ">", b->text, "</p>\n");
		break;
	case BLOCK_ITEM:
		return items(w, b);
	case BLOCK_PAIR:
		return pairs(w, b);
	case BLOCK_EXCERPT:
		excerpt(w, b);
		break;
	case BLOCK_TABLE:
		table(w, b);
		break;
	case BLOCK_DRAWING:
		drawing(w, b->drawing);
		break;
	case BLOCK_BOX:
		return boxes(w, b);
	case BLOCK_BREAK:
		buf_str(w->out, "<hr>\n");
		break;
	case BLOCK__COUNT:
		break;
	}
	return b->next;
}

void
page_html(struct buf *out, const struct page *p, const struct sheet *sheet)
{
	struct web w = {out, p, sheet, ""};
	const char *language = p->about.language != NULL ? p->about.language : "en";
	const struct block *head = page_head(p), *b = p->first;

	element(&w, "<!DOCTYPE html>\n<html lang=\"", language, "\">\n<head>\n<meta charset=\"utf-8\">\n"
	    "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n");
	element(&w, "<title>", page_title(p), "</title>\n");
	html_style(out, p, sheet);
	buf_str(out, "</head>\n<body>\n<main>\n");
	if (head != NULL) {
		heading(&w, head);
		b = head->next;
	} else {
		element(&w, "<h1>", page_title(p), "</h1>\n");
	}
	if (p->about.class_line != NULL && *p->about.class_line != '\0')
		element(&w, "<p class=\"class\">", p->about.class_line, "</p>\n");
	while (b != NULL)
		b = block(&w, b);
	buf_str(out, "</main>\n");
	if (p->about.foot != NULL && *p->about.foot != '\0')
		element(&w, "<footer><p>", p->about.foot, "</p></footer>\n");
	buf_str(out, "</body>\n</html>\n");
}
