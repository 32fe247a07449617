/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The blocks of a page, one below the other.
 */
#include "print/print.h"

#include <string.h>

static double
gap(const struct press *p)
{
	return style_size(p, STYLE_BODY) * 0.5;
}

/* ---- headings ------------------------------------------------------------------- */

/* So much must fit below a heading, or it goes to the next sheet with it. */
static double
start_height(struct press *p, const struct block *b)
{
	double line = style_size(p, STYLE_BODY) * 1.4, high = 0;

	/* a heading right below a heading stays with it as well */
	for (int i = 0; b != NULL && b->type == BLOCK_HEADING && i < 4; i++, b = b->next)
		high += style_size(p, STYLE_HEAD_1) * 2.2;
	if (b == NULL)
		return high;
	switch (b->type) {
	case BLOCK_TABLE:
		return high + table_start(p, b);
	case BLOCK_DRAWING:
		return high + drawing_height(p, b->drawing);
	case BLOCK_BOX:
		return high + b->height * MM + line;
	case BLOCK_EXCERPT: case BLOCK_PARAGRAPH: case BLOCK_ITEM: case BLOCK_PAIR:
		return high + 2 * line;
	case BLOCK_TITLE: case BLOCK_HEADING: case BLOCK_BREAK: case BLOCK__COUNT:
		break;
	}
	return high;
}

/* An entry in the reader's list of contents. */
static void
contents(struct press *p, const struct block *b, int *parent)
{
	struct buf at = {0};
	int id;

	if (p->total == 0)
		return;
	buf_print(&at, "page=%d pos=[", p->number);
	buf_number(&at, p->left, 6);
	buf_char(&at, ' ');
	buf_number(&at, p->y, 6);
	buf_char(&at, ']');
	id = cairo_pdf_surface_add_outline(p->surface, b->level > 1 && *parent != 0 ? *parent :
	    CAIRO_PDF_OUTLINE_ROOT, b->text, at.p, b->level > 1 ? 0 : CAIRO_PDF_OUTLINE_FLAG_OPEN);
	if (b->level <= 1)
		*parent = id;
	buf_free(&at);
}

static void
title(struct press *p, const char *text)
{
	PangoLayout *l = text_new(p, STYLE_TITLE, text, p->right - p->left);

	if (*text != '\0')
		text_flow(p, l, p->left);
	g_object_unref(l);
	if (p->page->about.class_line != NULL && *p->page->about.class_line != '\0') {
		l = text_new(p, STYLE_BOLD, p->page->about.class_line, p->right - p->left);
		text_flow(p, l, p->left);
		g_object_unref(l);
	}
	p->y += gap(p);
}

static void
heading(struct press *p, const struct block *b, int *parent)
{
	enum style style = b->level <= 1 ? STYLE_HEAD_1 : b->level == 2 ? STYLE_HEAD_2 : STYLE_HEAD_3;
	PangoLayout *l = text_new(p, style, b->text, p->right - p->left);
	double high = text_height(l);

	sheet_space(p, gap(p) * (b->level <= 1 ? 2.4 : 1.6));
	sheet_room(p, high + gap(p) + start_height(p, b->next));
	contents(p, b, parent);
	text_flow(p, l, p->left);
	if (b->level <= 1) {
		cairo_set_source_rgb(p->cr, 0, 0, 0);
		cairo_set_line_width(p->cr, p->sheet->large ? 1.5 : 0.6);
		cairo_move_to(p->cr, p->left, p->y + 1);
		cairo_line_to(p->cr, p->right, p->y + 1);
		cairo_stroke(p->cr);
	}
	p->y += gap(p);
	g_object_unref(l);
}

/* ---- text ----------------------------------------------------------------------- */

static void
paragraph(struct press *p, const struct block *b)
{
	PangoLayout *l = text_new(p, STYLE_BODY, b->text, p->right - p->left);

	sheet_space(p, gap(p) * 0.3);
	if (b->tone != TONE_PLAIN)
		text_bold(l, strlen(pango_layout_get_text(l)), b->tone);
	text_flow(p, l, p->left);
	p->y += gap(p) * 0.8;
	g_object_unref(l);
}

/* Label and text in one run, so that long labels need no column. */
static void
item(struct press *p, const struct block *b)
{
	double x = p->left + b->level * (p->sheet->large ? 4 : 5) * MM;
	struct buf text = {0}, label = {0};
	PangoLayout *l;
	size_t n;

	text_safe(&label, sv(b->label));
	n = label.n;
	if (n == 0)
		buf_str(&text, "\xe2\x80\x93 ");
	buf_add(&text, label.p != NULL ? label.p : "", label.n);
	if (n > 0 && b->text[0] != '\0')
		buf_str(&text, "  ");
	buf_str(&text, b->text);
	l = text_new(p, STYLE_BODY, text.p, p->right - x);
	pango_layout_set_indent(l, -(int)(3 * MM * PANGO_SCALE));
	if (n > 0)
		text_bold(l, n, b->tone);
	if (b->level == 0)
		sheet_space(p, gap(p) * 0.5);
	text_flow(p, l, x);
	p->y += gap(p) * 0.35;
	g_object_unref(l);
	buf_free(&text);
	buf_free(&label);
}

static void
pair(struct press *p, const struct block *b)
{
	double column = p->sheet->large ? 0 : 45 * MM, high;
	PangoLayout *term = text_new(p, STYLE_BOLD, b->label, column > 0 ? column - 3 * MM :
	    p->right - p->left);
	PangoLayout *says = text_new(p, STYLE_BODY, b->text, p->right - p->left - column);

	high = text_height(term);
	if (column > 0) {
		double y;

		sheet_room(p, high);
		y = p->y;
		text_put(p, term, p->left, y);
		p->fresh = false;
		text_flow(p, says, p->left + column);
		if (p->y > y && p->y < y + high)
			p->y = y + high;
	} else {
		sheet_room(p, high * 2);
		text_flow(p, term, p->left);
		text_flow(p, says, p->left + 4 * MM);
	}
	p->y += gap(p) * 0.35;
	g_object_unref(term);
	g_object_unref(says);
}

static void
excerpt(struct press *p, const struct block *b)
{
	size_t n = strlen(b->text);
	PangoLayout *l;
	double high, y;
	int sheet;

	while (n > 0 && b->text[n - 1] == '\n')
		n--;
	l = text_new(p, STYLE_FIXED, arena_text(p->page->arena, b->text, n), p->right - p->left - 4 * MM);
	high = text_height(l);

	if (high < p->bottom - p->top)
		sheet_room(p, high + gap(p));
	y = p->y;
	sheet = p->number;
	text_flow(p, l, p->left + 4 * MM);
	if (p->number == sheet) {              /* all on one sheet: a bar beside it */
		cairo_set_source_rgb(p->cr, 0.35, 0.35, 0.35);
		cairo_rectangle(p->cr, p->left, y, 1.2, p->y - y);
		cairo_fill(p->cr);
	}
	p->y += gap(p) * 1.2;
	g_object_unref(l);
}

/* ---- boxes ------------------------------------------------------------------------ */

/* Side by side as far as they go, their labels inside at the top. */
static const struct block *
boxes(struct press *p, const struct block *b)
{
	const double apart = 4 * MM, room = p->right - p->left;

	while (b != NULL && b->type == BLOCK_BOX) {
		const struct block *from = b;
		double used = 0, tallest = 0, x = p->left;

		for (; b != NULL && b->type == BLOCK_BOX; b = b->next) {
			double w = b->width > 0 && b->width * MM < room ? b->width * MM : room;
			double h = b->height * MM;

			if (b != from && used + apart + w > room + 0.01)
				break;
			used += (b != from ? apart : 0) + w;
			h = h < p->bottom - p->top ? h : p->bottom - p->top;
			tallest = h > tallest ? h : tallest;
		}
		sheet_room(p, tallest);
		for (; from != b; from = from->next) {
			double w = from->width > 0 && from->width * MM < room ? from->width * MM : room;
			double h = from->height * MM < tallest ? from->height * MM : tallest;
			PangoLayout *l = text_new(p, STYLE_SMALL, from->label, w - 3 * MM);

			pango_layout_set_height(l, (int)((h - 2 * MM) * PANGO_SCALE));
			pango_layout_set_ellipsize(l, PANGO_ELLIPSIZE_END);
			text_put(p, l, x + 1.5 * MM, p->y + 1 * MM);
			g_object_unref(l);
			cairo_set_line_width(p->cr, p->sheet->large ? 1.5 : 0.8);
			cairo_rectangle(p->cr, x, p->y, w, h);
			cairo_stroke(p->cr);
			x += w + apart;
		}
		p->y += tallest + apart;
		p->fresh = false;
	}
	return b;
}

/* ---- all of them -------------------------------------------------------------------- */

static const struct block *
block(struct press *p, const struct block *b, int *parent)
{
	switch (b->type) {
	case BLOCK_TITLE:
		title(p, b->text);
		break;
	case BLOCK_HEADING:
		heading(p, b, parent);
		break;
	case BLOCK_PARAGRAPH:
		paragraph(p, b);
		break;
	case BLOCK_ITEM:
		item(p, b);
		break;
	case BLOCK_PAIR:
		pair(p, b);
		break;
	case BLOCK_EXCERPT:
		excerpt(p, b);
		break;
	case BLOCK_TABLE:
		print_table(p, b);
		break;
	case BLOCK_DRAWING:
		print_drawing(p, b->drawing);
		break;
	case BLOCK_BOX:
		return boxes(p, b);
	case BLOCK_BREAK:
		if (!p->fresh)
			sheet_next(p);
		break;
	case BLOCK__COUNT:
		break;
	}
	return b->next;
}

void
print_page(struct press *p)
{
	const struct block *head = page_head(p->page), *b = p->page->first;
	int parent = 0;

	sheet_begin(p);
	title(p, head != NULL ? head->text : page_title(p->page));
	if (head != NULL)
		b = head->next;
	while (b != NULL)
		b = block(p, b, &parent);
	sheet_end(p);
}
