/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A drawing as one SVG element: no script, no style sheet, nothing fetched, no
 * identifiers that could clash with those of another drawing on the page.
 *
 * Widths of lines and sizes of letters are those on paper, so they are
 * multiplied by the ratio of the drawing's units to mm of paper.
 */
#include "present/present_impl.h"

#include <string.h>

static const char *const fill_colours[FILL__COUNT] = {
	[FILL_NONE] = "none", [FILL_LIGHT] = "#dcdcdc", [FILL_HATCH] = "#fff", [FILL_DARK] = "#595959",
	[FILL_WHITE] = "#fff",
};
static const char *const anchor_words[ANCHOR__COUNT] = {
	[ANCHOR_START] = "start", [ANCHOR_MIDDLE] = "middle", [ANCHOR_END] = "end",
};

struct svg { struct buf *out; double ratio; };

static void
number(struct svg *v, const char *before, double x)
{
	buf_str(v->out, before);
	/* a thousandth of a unit is enough, and keeps the file short */
	buf_number(v->out, x > -0.0005 && x < 0.0005 ? 0 : x, 6);
}

static void
line(struct svg *v, enum pen pen, double x0, double y0, double x1, double y1)
{
	number(v, "<line x1=\"", x0);
	number(v, "\" y1=\"", y0);
	number(v, "\" x2=\"", x1);
	number(v, "\" y2=\"", y1);
	number(v, "\" stroke-width=\"", pen_widths[pen] * v->ratio);
	buf_str(v->out, "\"/>");
}

static void
hatch(void *to, double x0, double y0, double x1, double y1)
{
	line(to, PEN_THIN, x0, y0, x1, y1);
}

static void
paint(struct svg *v, enum pen pen, enum fill fill)
{
	buf_print(v->out, "\" fill=\"%s", fill_colours[fill]);
	if (pen == PEN_NONE)
		buf_str(v->out, "\" stroke=\"none");
	else
		number(v, "\" stroke-width=\"", pen_widths[pen] * v->ratio);
	if (pen == PEN_DASHED) {
		number(v, "\" stroke-dasharray=\"", 1.6 * v->ratio);
		number(v, " ", 1.1 * v->ratio);
	}
	buf_str(v->out, "\"/>");
}

static void
points(struct svg *v, const struct shape *s)
{
	buf_str(v->out, s->type == SHAPE_AREA ? "<polygon points=\"" : "<polyline points=\"");
	for (uint32_t i = 0; i < s->n; i++) {
		number(v, i > 0 ? " " : "", s->x[i]);
		number(v, ",", s->y[i]);
	}
	paint(v, s->pen, s->type == SHAPE_AREA ? s->fill : FILL_NONE);
}

static void
circle(struct svg *v, const struct shape *s)
{
	number(v, "<circle cx=\"", s->x[0]);
	number(v, "\" cy=\"", s->y[0]);
	number(v, "\" r=\"", s->radius);
	paint(v, s->pen, s->fill);
}

static void
arc(struct svg *v, const struct shape *s)
{
	double x, y, turn = s->to - s->from;

	if (turn >= 360) {
		circle(v, s);
		return;
	}
	arc_point(s, s->from, &x, &y);
	number(v, "<path d=\"M", x);
	number(v, ",", y);
	arc_point(s, s->to, &x, &y);
	number(v, "A", s->radius);
	number(v, ",", s->radius);
	buf_print(v->out, " 0 %d 1 ", turn > 180);
	number(v, "", x);
	number(v, ",", y);
	paint(v, s->pen, FILL_NONE);
}

static void
letters(struct svg *v, enum anchor anchor, double x, double y, const char *text)
{
	if (*text == '\0')
		return;
	number(v, "<text x=\"", x);
	/* the middle of small letters and capitals lies 0.35 of the size above the line */
	number(v, "\" y=\"", y + 0.35 * DRAWING_LETTERS * v->ratio);
	buf_print(v->out, "\" text-anchor=\"%s\" fill=\"currentColor\" stroke=\"none\">",
	    anchor_words[anchor]);
	html_text(v->out, text);
	buf_str(v->out, "</text>");
}

static void
dimension_put(struct svg *v, const struct shape *s)
{
	double x[2], y[2], tick = 0.9 * v->ratio, lx, ly;
	enum anchor anchor;

	dimension_line(s, x, y);
	for (int i = 0; i < 2 && s->offset != 0; i++)
		line(v, PEN_THIN, s->x[i], s->y[i], x[i], y[i]);
	line(v, PEN_THIN, x[0], y[0], x[1], y[1]);
	for (int i = 0; i < 2; i++)
		line(v, PEN_PLAIN, x[i] - tick, y[i] + tick, x[i] + tick, y[i] - tick);
	anchor = dimension_label(s, DRAWING_LETTERS * v->ratio, &lx, &ly);
	letters(v, anchor, lx, ly, s->text);
}

static void
range_put(struct svg *v, const struct shape *s)
{
	double half = 0.35 * DRAWING_LETTERS * v->ratio, y = s->y[0];

	line(v, PEN_PLAIN, s->x[0], y, s->x[1], y);
	line(v, PEN_PLAIN, s->x[2], y, s->x[3], y);
	for (int i = 0; i < 4; i += 3)
		if (s->x[0] < s->x[1] || s->x[2] < s->x[3])
			line(v, PEN_PLAIN, s->x[i], y - half / 2, s->x[i], y + half / 2);
	number(v, "<rect x=\"", s->x[1]);
	number(v, "\" y=\"", y - half);
	number(v, "\" width=\"", s->x[2] > s->x[1] ? s->x[2] - s->x[1] : 0.4 * v->ratio);
	number(v, "\" height=\"", 2 * half);
	paint(v, PEN_PLAIN, FILL_DARK);
	letters(v, ANCHOR_START, s->x[3] + 1.5 * v->ratio, y, s->text);
}

static void
shape(struct svg *v, const struct shape *s)
{
	bool hatched = (s->type == SHAPE_AREA || s->type == SHAPE_CIRCLE) && s->fill == FILL_HATCH;

	switch (s->type) {
	case SHAPE_LINE: case SHAPE_AREA:
		points(v, s);
		break;
	case SHAPE_CIRCLE:
		circle(v, s);
		break;
	case SHAPE_ARC:
		arc(v, s);
		break;
	case SHAPE_TEXT:
		letters(v, s->anchor, s->x[0], s->y[0], s->text);
		break;
	case SHAPE_DIMENSION:
		dimension_put(v, s);
		break;
	case SHAPE_RANGE:
		range_put(v, s);
		break;
	case SHAPE__COUNT:
		break;
	}
	if (hatched)
		drawing_hatch(s, HATCH_APART * v->ratio, hatch, v);
}

void
drawing_svg(struct buf *b, const struct drawing *d, bool large)
{
	struct svg v = {b, drawing_ratio(d)};
	double k = large ? drawing_enlarged(d) : 1;

	number(&v, "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" viewBox=\"0 0 ", d->width);
	number(&v, " ", d->height);
	number(&v, "\" width=\"", d->width / v.ratio * k);
	number(&v, "mm\" height=\"", d->height / v.ratio * k);
	buf_str(b, "mm\" fill=\"none\" stroke=\"currentColor\" stroke-linejoin=\"round\" aria-label=\"");
	html_text(b, *d->title != '\0' ? d->title : d->words);
	number(&v, "\"><g font-family=\"sans-serif\" font-size=\"", DRAWING_LETTERS * v.ratio);
	buf_str(b, "\">");
	for (const struct shape *s = d->first; s != NULL; s = s->next)
		shape(&v, s);
	buf_str(b, "</g></svg>");
}
