/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A drawing on paper, with its title and its words below. The same shapes,
 * widths and places of letters as in SVG.
 */
#include "print/print.h"

#include <math.h>
#include <string.h>

/* One unit of the drawing is UNIT points; pens and letters are so many points
 * for each mm they measure: more in large print. */
struct ground { struct press *p; double x, y, unit, mm; };

static void
pen(struct ground *g, enum pen k)
{
	static const double thickness[PEN__COUNT] = {      /* mm, as pen_widths of present */
		[PEN_PLAIN] = 0.35, [PEN_THIN] = 0.18, [PEN_THICK] = 0.8, [PEN_DASHED] = 0.35,
	};
	const double dashes[] = {1.6 * g->mm, 1.1 * g->mm};

	cairo_set_source_rgb(g->p->cr, 0, 0, 0);
	cairo_set_line_width(g->p->cr, thickness[k] * g->mm);
	cairo_set_dash(g->p->cr, dashes, k == PEN_DASHED ? 2 : 0, 0);
}

static void
move(struct ground *g, double x, double y)
{
	cairo_move_to(g->p->cr, g->x + x * g->unit, g->y + y * g->unit);
}

static void
to(struct ground *g, double x, double y)
{
	cairo_line_to(g->p->cr, g->x + x * g->unit, g->y + y * g->unit);
}

static void
line(struct ground *g, enum pen k, double x0, double y0, double x1, double y1)
{
	pen(g, k);
	move(g, x0, y0);
	to(g, x1, y1);
	cairo_stroke(g->p->cr);
}

static void
hatch(void *ground, double x0, double y0, double x1, double y1)
{
	line(ground, PEN_THIN, x0, y0, x1, y1);
}

/* The path that stands: filled, hatched and drawn. */
static void
paint(struct ground *g, const struct shape *s)
{
	static const double greys[FILL__COUNT] = {
		[FILL_LIGHT] = 0.86, [FILL_HATCH] = 1, [FILL_DARK] = 0.35, [FILL_WHITE] = 1,
	};
	cairo_t *cr = g->p->cr;
	cairo_path_t *path = cairo_copy_path(cr);

	if (s->fill != FILL_NONE) {
		cairo_set_source_rgb(cr, greys[s->fill], greys[s->fill], greys[s->fill]);
		cairo_fill(cr);
	}
	cairo_new_path(cr);
	if (s->fill == FILL_HATCH)
		drawing_hatch(s, 1.8 * g->mm / g->unit, hatch, g);
	if (s->pen != PEN_NONE) {
		cairo_append_path(cr, path);
		pen(g, s->pen);
		cairo_stroke(cr);
	}
	cairo_new_path(cr);
	cairo_path_destroy(path);
}

static void
letters(struct ground *g, enum anchor anchor, double x, double y, const char *text)
{
	PangoLayout *l;
	PangoFontDescription *face;
	double w, base;

	if (*text == '\0')
		return;
	l = text_new(g->p, STYLE_SMALL, text, 0);
	face = pango_font_description_copy(pango_layout_get_font_description(l));
	pango_font_description_set_absolute_size(face, DRAWING_LETTERS * g->mm * PANGO_SCALE);
	pango_layout_set_font_description(l, face);
	pango_font_description_free(face);
	w = text_width(l);
	base = (double)pango_layout_get_baseline(l) / PANGO_SCALE;
	text_put(g->p, l, g->x + x * g->unit - (anchor == ANCHOR_MIDDLE ? w / 2 :
	    anchor == ANCHOR_END ? w : 0), g->y + y * g->unit + 0.35 * DRAWING_LETTERS * g->mm - base);
	g_object_unref(l);
}

static void
dimension_put(struct ground *g, const struct shape *s)
{
	double x[2], y[2], tick = 0.9 * g->mm / g->unit, lx, ly;
	enum anchor anchor;

	dimension_line(s, x, y);
	for (int i = 0; i < 2 && s->offset != 0; i++)
		line(g, PEN_THIN, s->x[i], s->y[i], x[i], y[i]);
	line(g, PEN_THIN, x[0], y[0], x[1], y[1]);
	for (int i = 0; i < 2; i++)
		line(g, PEN_PLAIN, x[i] - tick, y[i] + tick, x[i] + tick, y[i] - tick);
	anchor = dimension_label(s, DRAWING_LETTERS * g->mm / g->unit, &lx, &ly);
	letters(g, anchor, lx, ly, s->text);
}

static void
range_put(struct ground *g, const struct shape *s)
{
	double half = 0.35 * DRAWING_LETTERS * g->mm / g->unit, y = s->y[0];
	struct shape bar = {.fill = FILL_DARK, .pen = PEN_PLAIN};
	double w = s->x[2] > s->x[1] ? s->x[2] - s->x[1] : 0.4 * g->mm / g->unit;

	line(g, PEN_PLAIN, s->x[0], y, s->x[1], y);
	line(g, PEN_PLAIN, s->x[2], y, s->x[3], y);
	for (int i = 0; i < 4; i += 3)
		if (s->x[0] < s->x[1] || s->x[2] < s->x[3])
			line(g, PEN_PLAIN, s->x[i], y - half / 2, s->x[i], y + half / 2);
	cairo_rectangle(g->p->cr, g->x + s->x[1] * g->unit, g->y + (y - half) * g->unit, w * g->unit,
	    2 * half * g->unit);
	paint(g, &bar);
	letters(g, ANCHOR_START, s->x[3] + 1.5 * g->mm / g->unit, y, s->text);
}

static void
shape(struct ground *g, const struct shape *s)
{
	cairo_t *cr = g->p->cr;
	struct shape bare = *s;

	bare.fill = FILL_NONE;
	switch (s->type) {
	case SHAPE_LINE: case SHAPE_AREA:
		move(g, s->x[0], s->y[0]);
		for (uint32_t i = 1; i < s->n; i++)
			to(g, s->x[i], s->y[i]);
		if (s->type == SHAPE_AREA)
			cairo_close_path(cr);
		paint(g, s->type == SHAPE_AREA ? s : &bare);
		break;
	case SHAPE_CIRCLE: case SHAPE_ARC:
		cairo_new_sub_path(cr);
		cairo_arc(cr, g->x + s->x[0] * g->unit, g->y + s->y[0] * g->unit, s->radius * g->unit,
		    s->type == SHAPE_ARC ? s->from * (3.14159265358979323846 / 180) : 0,
		    (s->type == SHAPE_ARC ? s->to : 360) * (3.14159265358979323846 / 180));
		paint(g, s->type == SHAPE_CIRCLE ? s : &bare);
		break;
	case SHAPE_TEXT:
		letters(g, s->anchor, s->x[0], s->y[0], s->text);
		break;
	case SHAPE_DIMENSION:
		dimension_put(g, s);
		break;
	case SHAPE_RANGE:
		range_put(g, s);
		break;
	case SHAPE__COUNT:
		break;
	}
}

/* Title, ratio and words, as one text under the drawing. */
static PangoLayout *
caption(struct press *p, const struct drawing *d)
{
	struct buf b = {0};
	PangoLayout *l;
	size_t bold;

	text_safe(&b, sv(d->title));
	if (d->measured) {
		buf_str(&b, b.n > 0 ? "  1:" : "1:");
		buf_number(&b, drawing_ratio(d), 6);
	}
	bold = b.n;
	if (b.n > 0)
		buf_char(&b, '\n');
	buf_str(&b, d->words);
	l = text_new(p, STYLE_SMALL, b.p, p->right - p->left);
	if (bold > 0)
		text_bold(l, bold, TONE_PLAIN);
	buf_free(&b);
	return l;
}

static double
enlarged(const struct press *p, const struct drawing *d)
{
	return p->sheet->large ? drawing_enlarged(d) : 1;
}

double
drawing_height(struct press *p, const struct drawing *d)
{
	PangoLayout *l = caption(p, d);
	double words = text_height(l), high = d->height / drawing_ratio(d) * enlarged(p, d) * MM;

	g_object_unref(l);
	return high + (words < 60 ? words : 60) + 5 * MM;
}

void
print_drawing(struct press *p, const struct drawing *d)
{
	double k = enlarged(p, d);
	struct ground g = {p, p->left, 0, MM / drawing_ratio(d) * k, MM * k};
	PangoLayout *l = caption(p, d);

	sheet_space(p, 2 * MM);
	sheet_room(p, drawing_height(p, d));
	g.y = p->y;
	for (const struct shape *s = d->first; s != NULL; s = s->next)
		shape(&g, s);
	cairo_set_dash(p->cr, NULL, 0, 0);
	p->y += d->height * g.unit + 2 * MM;
	p->fresh = false;
	text_flow(p, l, p->left);
	g_object_unref(l);
	p->y += 3 * MM;
}
