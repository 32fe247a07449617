/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A table on paper: columns as wide as they need where there is room, else
 * narrowed in proportion; no row cut; the head repeated on every sheet. What
 * is too wide for that, and wide tables in large print, become cards.
 */
#include "print/print.h"

#include <string.h>

enum { COLUMNS_MOST = 12 };                /* page_check admits no more */
#define PAD (1.3 * MM)
#define CARD_IN (4 * MM)                   /* how far the lines of a card stand in */

struct columns {
	const struct block *b;
	double width[COLUMNS_MOST];             /* its padding included */
	double left;
	bool cards;
};

static bool
bold_cell(const struct block *b, uint32_t row, uint32_t column)
{
	return row == 0 || (b->row_heads && column == 0);
}

static enum tone
cell_tone(const struct block *b, uint32_t row, uint32_t column)
{
	return b->tones != NULL ? b->tones[(size_t)row * b->columns + column] : TONE_PLAIN;
}

static PangoLayout *
cell(struct press *p, const struct block *b, uint32_t row, uint32_t column, double width)
{
	enum tone tone = cell_tone(b, row, column);
	PangoLayout *l = text_new(p, bold_cell(b, row, column) ? STYLE_BOLD : STYLE_BODY,
	    b->cells[(size_t)row * b->columns + column], width);

	if (tone != TONE_PLAIN)
		text_bold(l, strlen(pango_layout_get_text(l)), tone);
	return l;
}

/* The widest word: wrapped to nearly nothing, lines still hold whole words. */
static double
least_width(PangoLayout *l)
{
	double w;

	pango_layout_set_wrap(l, PANGO_WRAP_WORD);
	pango_layout_set_width(l, PANGO_SCALE);
	w = text_width(l);
	pango_layout_set_width(l, -1);
	return w;
}

static double
row_height(struct press *p, const struct columns *c, uint32_t row)
{
	double tallest = row > 0 ? c->b->height * MM : 0;

	for (uint32_t k = 0; k < c->b->columns; k++) {
		PangoLayout *l = cell(p, c->b, row, k, c->width[k] - 2 * PAD);
		double h = text_height(l) + 2 * PAD;

		tallest = h > tallest ? h : tallest;
		g_object_unref(l);
	}
	return tallest;
}

static void
measure(struct press *p, const struct block *b, struct columns *c)
{
	double least[COLUMNS_MOST] = {0}, room = p->right - p->left, all = 0, all_least = 0;

	*c = (struct columns){.b = b, .left = p->left};
	c->cards = table_as_cards(b, p->sheet) || b->columns > COLUMNS_MOST;
	if (c->cards)
		return;
	for (uint32_t k = 0; k < b->columns; k++) {
		for (uint32_t r = 0; r < b->rows; r++) {
			PangoLayout *l = cell(p, b, r, k, 0);
			double w = text_width(l) + 2 * PAD + 0.5, n = least_width(l) + 2 * PAD + 0.5;

			c->width[k] = w > c->width[k] ? w : c->width[k];
			least[k] = n > least[k] ? n : least[k];
			g_object_unref(l);
		}
		all += c->width[k];
		all_least += least[k];
	}
	c->cards = all_least > room;
	for (uint32_t k = 0; k < b->columns && all > room && !c->cards; k++)
		c->width[k] = least[k] + (c->width[k] - least[k]) * (room - all_least) / (all - all_least);
	/* what is to be written in gets all the room there is */
	for (uint32_t k = 0; k < b->columns && all < room && b->height > 0; k++)
		c->width[k] += (room - all) / b->columns;
	for (uint32_t r = 0; r < b->rows && !c->cards; r++)
		c->cards = row_height(p, c, r) > (p->bottom - p->top) * 0.4;
}

static void
frame(struct press *p, enum tone tone, double x, double y, double w, double h)
{
	static const double dashes[] = {3, 2};
	double thin = p->sheet->large ? 1.2 : 0.5;

	cairo_set_source_rgb(p->cr, 0.2, 0.2, 0.2);
	cairo_set_line_width(p->cr, thin);
	cairo_rectangle(p->cr, x, y, w, h);
	cairo_stroke(p->cr);
	/* what tells tones apart on a grey copy; the words do as well */
	if (tone == TONE_GRAVE || tone == TONE_OPEN || tone == TONE_DOUBTFUL) {
		cairo_set_line_width(p->cr, thin * 2.5);
		if (tone == TONE_OPEN)
			cairo_set_dash(p->cr, dashes, 2, 0);
		if (tone == TONE_DOUBTFUL) {
			cairo_move_to(p->cr, x + 1.5, y + 1);
			cairo_line_to(p->cr, x + 1.5, y + h - 1);
		} else {
			cairo_rectangle(p->cr, x + 1.2, y + 1.2, w - 2.4, h - 2.4);
		}
		cairo_stroke(p->cr);
		cairo_set_dash(p->cr, NULL, 0, 0);
	}
}

static void
row(struct press *p, const struct columns *c, uint32_t r, double high)
{
	double x = c->left;

	for (uint32_t k = 0; k < c->b->columns; k++) {
		PangoLayout *l = cell(p, c->b, r, k, c->width[k] - 2 * PAD);

		if (r == 0) {
			cairo_set_source_rgb(p->cr, 0.93, 0.93, 0.93);
			cairo_rectangle(p->cr, x, p->y, c->width[k], high);
			cairo_fill(p->cr);
		}
		text_put(p, l, x + PAD, p->y + PAD);
		frame(p, cell_tone(c->b, r, k), x, p->y, c->width[k], high);
		x += c->width[k];
		g_object_unref(l);
	}
	p->y += high;
	p->fresh = false;
}

static double
caption_height(struct press *p, const struct block *b, bool put)
{
	PangoLayout *l;
	double h;

	if (b->label[0] == '\0')
		return 0;
	l = text_new(p, STYLE_BOLD, b->label, p->right - p->left);
	h = text_height(l) + 1 * MM;
	if (put) {
		text_put(p, l, p->left, p->y);
		p->y += h;
	}
	g_object_unref(l);
	return h;
}

/* One line of a card: the head of the column, then what stands there. */
static PangoLayout *
card_line(struct press *p, const struct block *b, uint32_t r, uint32_t k)
{
	const char *says = b->cells[(size_t)r * b->columns + k];
	struct buf text = {0};
	size_t head;
	PangoLayout *l;

	if (k == 0)
		return text_new(p, STYLE_BOLD, says, p->right - p->left);
	if (b->cells[k][0] == '\0' && says[0] == '\0')
		return NULL;
	text_safe(&text, sv(b->cells[k]));
	if (text.n > 0)
		buf_str(&text, ": ");
	head = text.n;
	buf_str(&text, says);
	l = text_new(p, STYLE_BODY, text.p, p->right - p->left - CARD_IN);
	text_bold(l, head, TONE_PLAIN);
	buf_free(&text);
	return l;
}

static double
line_gap(const struct press *p)
{
	return p->sheet->large ? style_size(p, STYLE_BODY) * 0.25 : 0.5;
}

/* At most what keeps a card whole; a longer one may begin with three lines. */
static double
card_height(struct press *p, const struct block *b, uint32_t r)
{
	double high = 0, least = 0;

	for (uint32_t k = 0; k < b->columns; k++) {
		PangoLayout *l = card_line(p, b, r, k);

		if (l == NULL)
			continue;
		high += text_height(l) + line_gap(p);
		least = k == 0 ? 3 * text_height(l) : least;
		g_object_unref(l);
	}
	return high < (p->bottom - p->top) * 0.7 ? high + 1 * MM : least;
}

double
table_start(struct press *p, const struct block *b)
{
	struct columns c;

	measure(p, b, &c);
	if (c.cards)
		return caption_height(p, b, false) + (b->rows > 1 ? card_height(p, b, 1) : 0) + 4 * MM;
	return caption_height(p, b, false) + row_height(p, &c, 0) +
	    (b->rows > 1 ? row_height(p, &c, 1) : 0) + 2 * MM;
}

static void
card(struct press *p, const struct block *b, uint32_t r)
{
	sheet_space(p, 2 * MM);
	sheet_room(p, card_height(p, b, r));
	cairo_set_source_rgb(p->cr, 0, 0, 0);
	cairo_set_line_width(p->cr, p->sheet->large ? 1.2 : 0.6);
	cairo_move_to(p->cr, p->left, p->y);
	cairo_line_to(p->cr, p->right, p->y);
	cairo_stroke(p->cr);
	p->y += 1 * MM;
	for (uint32_t k = 0; k < b->columns; k++) {
		PangoLayout *l = card_line(p, b, r, k);

		if (l == NULL)
			continue;
		text_flow(p, l, p->left + (k > 0 ? CARD_IN : 0));
		p->y += line_gap(p);
		g_object_unref(l);
	}
}

void
print_cards(struct press *p, const struct block *b)
{
	caption_height(p, b, true);
	for (uint32_t r = 1; r < b->rows; r++)
		card(p, b, r);
	p->y += 3 * MM;
}

void
print_table(struct press *p, const struct block *b)
{
	struct columns c;
	double head;

	sheet_space(p, 1.5 * MM);
	sheet_room(p, table_start(p, b));
	measure(p, b, &c);
	if (c.cards) {
		print_cards(p, b);
		return;
	}
	head = row_height(p, &c, 0);
	caption_height(p, b, true);
	row(p, &c, 0, head);
	for (uint32_t r = 1; r < b->rows; r++) {
		double high = row_height(p, &c, r);

		if (p->y + high > p->bottom) {
			sheet_next(p);
			row(p, &c, 0, head);
		}
		row(p, &c, r, high);
	}
	p->y += 3 * MM;
}
