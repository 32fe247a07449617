/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Text on paper: sizes, faces, wrapping, and flowing over sheets.
 *
 * Hinting is off, so that lines break at the same places whatever is drawn on.
 */
#include "print/print.h"

#include <string.h>

static const struct { double size, large; bool bold, fixed; } styles[STYLE__COUNT] = {
	[STYLE_TITLE] = {19, 28, true, false}, [STYLE_HEAD_1] = {14, 24, true, false},
	[STYLE_HEAD_2] = {12, 21, true, false}, [STYLE_HEAD_3] = {10.5, 19, true, false},
	[STYLE_BODY] = {10, 18, false, false}, [STYLE_BOLD] = {10, 18, true, false},
	[STYLE_SMALL] = {8.5, 18, false, false}, [STYLE_MARGIN] = {8.5, 13, false, false},
	[STYLE_FIXED] = {8.5, 18, false, true},
};

/* The same as in HTML, 7 to 1 on white or better. */
static const struct { double red, green, blue; } inks[TONE__COUNT] = {
	[TONE_PLAIN] = {0, 0, 0}, [TONE_GRAVE] = {0.545, 0, 0}, [TONE_DOUBTFUL] = {0.36, 0.24, 0},
	[TONE_MENTION] = {0, 0.247, 0.36}, [TONE_OPEN] = {0.294, 0.12, 0.435},
	[TONE_GOOD] = {0, 0.27, 0.12},
};

void
tone_ink(cairo_t *cr, enum tone tone)
{
	cairo_set_source_rgb(cr, inks[tone].red, inks[tone].green, inks[tone].blue);
}

double
style_size(const struct press *p, enum style style)
{
	return p->sheet->large ? styles[style].large : styles[style].size;
}

PangoLayout *
text_new(struct press *p, enum style style, const char *text, double width)
{
	PangoLayout *l = pango_cairo_create_layout(p->cr);
	PangoFontDescription *face = pango_font_description_new();
	cairo_font_options_t *options = cairo_font_options_create();
	struct buf safe = {0};

	cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
	cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
	pango_cairo_context_set_font_options(pango_layout_get_context(l), options);
	cairo_font_options_destroy(options);
	pango_font_description_set_family_static(face, styles[style].fixed
	    ? "DejaVu Sans Mono, Liberation Mono, monospace"
	    : "DejaVu Sans, Liberation Sans, sans-serif");
	pango_font_description_set_absolute_size(face, style_size(p, style) * PANGO_SCALE);
	if (styles[style].bold)
		pango_font_description_set_weight(face, PANGO_WEIGHT_BOLD);
	pango_layout_set_font_description(l, face);
	pango_font_description_free(face);
	if (width > 0) {
		pango_layout_set_width(l, (int)(width * PANGO_SCALE));
		pango_layout_set_wrap(l, PANGO_WRAP_WORD_CHAR);
	}
	pango_layout_set_line_spacing(l, p->sheet->large ? 1.25F : 1.08F);
	pango_layout_set_auto_dir(l, TRUE);
	for (const char *t = text; *t != '\0';) {      /* lines of its own keep apart */
		size_t n = strcspn(t, "\n");

		text_safe(&safe, (strview){t, n});
		if (t[n] == '\n')
			buf_char(&safe, '\n');
		t += n + (t[n] == '\n');
	}
	pango_layout_set_text(l, safe.p != NULL ? safe.p : "", (int)safe.n);
	buf_free(&safe);
	return l;
}

void
text_bold(PangoLayout *l, size_t bytes, enum tone tone)
{
	PangoAttrList *list = pango_attr_list_new();
	PangoAttribute *a[2] = {pango_attr_weight_new(PANGO_WEIGHT_BOLD),
	    pango_attr_foreground_new((guint16)(inks[tone].red * 65535),
	        (guint16)(inks[tone].green * 65535), (guint16)(inks[tone].blue * 65535))};

	for (int i = 0; i < 2; i++) {
		a[i]->start_index = 0;
		a[i]->end_index = (guint)bytes;
		pango_attr_list_insert(list, a[i]);
	}
	pango_layout_set_attributes(l, list);
	pango_attr_list_unref(list);
}

double
text_height(PangoLayout *l)
{
	int w, h;

	pango_layout_get_size(l, &w, &h);
	return (double)h / PANGO_SCALE;
}

double
text_width(PangoLayout *l)
{
	int w, h;

	pango_layout_get_size(l, &w, &h);
	return (double)w / PANGO_SCALE;
}

void
text_put(struct press *p, PangoLayout *l, double x, double y)
{
	cairo_set_source_rgb(p->cr, 0, 0, 0);
	cairo_move_to(p->cr, x, y);
	pango_cairo_show_layout(p->cr, l);
}

void
text_flow(struct press *p, PangoLayout *l, double x)
{
	PangoLayoutIter *it = pango_layout_get_iter(l);
	int lines = pango_layout_get_line_count(l), left = lines,
	    base = pango_layout_iter_get_baseline(it);
	double rise = (double)base / PANGO_SCALE, foot = text_height(l) - rise;

	for (; left > 0; left--) {
		PangoLayoutLine *line = pango_layout_iter_get_line_readonly(it);
		PangoRectangle r;
		double high;

		/* to the next baseline: the lines' own heights leave their spacing out */
		pango_layout_iter_get_line_extents(it, NULL, &r);
		pango_layout_iter_next_line(it);
		high = left > 1 ? (double)(pango_layout_iter_get_baseline(it) - base) / PANGO_SCALE
		    : lines > 1 ? foot - (double)(base - pango_layout_get_baseline(l)) / PANGO_SCALE + rise
		    : foot + rise;
		base = pango_layout_iter_get_baseline(it);
		/* two lines stay together, at the foot of one sheet and the head of the next */
		sheet_room(p, (left == lines || left == 2) && left > 1 ? 2 * high : high);
		cairo_set_source_rgb(p->cr, 0, 0, 0);
		cairo_move_to(p->cr, x + (double)r.x / PANGO_SCALE, p->y + rise);
		pango_cairo_show_layout_line(p->cr, line);
		p->y += high;
		p->fresh = false;
	}
	pango_layout_iter_free(it);
}
