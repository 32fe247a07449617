/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Sheet after sheet: margins, what stands at the head and foot of each, and
 * when the next begins.
 */
#include "print/print.h"

enum { MARGIN = 18, FOOT = 12 };           /* mm; the foot line lies within the margin */

/* Head and foot lines are smaller than the rest in large print, or they would
 * not fit; what they say is of no need to read the page. */
static void
margin_line(struct press *p, const char *text, double y, bool right)
{
	PangoLayout *l;
	double w;

	if (text == NULL || *text == '\0')
		return;
	l = text_new(p, STYLE_MARGIN, text, 0);
	pango_layout_set_width(l, (int)((p->right - p->left) * (right ? 1.0 : 0.86) * PANGO_SCALE));
	pango_layout_set_height(l, -1);
	pango_layout_set_ellipsize(l, PANGO_ELLIPSIZE_END);
	w = text_width(l);
	text_put(p, l, right ? p->right - w : p->left, y);
	g_object_unref(l);
}

static void
margins(struct press *p)
{
	struct buf b = {0};

	margin_line(p, p->page->about.class_line, 9 * MM, true);
	margin_line(p, p->page->about.foot, p->height - FOOT * MM, false);
	buf_print(&b, "%d / %d", p->number, p->total > 0 ? p->total : 999);
	margin_line(p, b.p, p->height - FOOT * MM, true);
	buf_free(&b);
}

void
sheet_begin(struct press *p)
{
	p->left = p->top = MARGIN * MM;
	p->right = p->width - MARGIN * MM;
	p->bottom = p->height - MARGIN * MM;
	p->y = p->top;
	p->fresh = true;
	p->number++;
}

void
sheet_end(struct press *p)
{
	margins(p);
	cairo_show_page(p->cr);
}

void
sheet_next(struct press *p)
{
	sheet_end(p);
	sheet_begin(p);
}

void
sheet_room(struct press *p, double height)
{
	if (!p->fresh && p->y + height > p->bottom + 0.01)
		sheet_next(p);
}

void
sheet_space(struct press *p, double gap)
{
	if (!p->fresh)
		p->y += gap;
}
