/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A drawing in the text form of a page.
 *
 *     drawing = ["measured"] width height quoted-title quoted-words { "\n  " shape }
 *     shape   = type { fill | pen | anchor } point { " " point } { " " number } [quoted]
 *     point   = number "," number
 *
 * The numbers after the points: a circle's radius; an arc's radius, from and to;
 * a dimension's offset. Texts, dimensions and ranges end with what they say.
 */
#include "present/present_impl.h"

#include <string.h>

enum { EXTRAS = 3 };

static const struct { const char *name; uint32_t extras; bool says; } shapes[SHAPE__COUNT] = {
	[SHAPE_LINE] = {"line", 0, false}, [SHAPE_AREA] = {"area", 0, false},
	[SHAPE_CIRCLE] = {"circle", 1, false}, [SHAPE_ARC] = {"arc", 3, false},
	[SHAPE_TEXT] = {"text", 0, true}, [SHAPE_DIMENSION] = {"dimension", 1, true},
	[SHAPE_RANGE] = {"range", 0, true},
};

/* All words are different, so that they need no order. The first are not written. */
static const char *const pens[PEN__COUNT] = {
	[PEN_PLAIN] = "plain", [PEN_THIN] = "thin", [PEN_THICK] = "thick", [PEN_DASHED] = "dashed",
	[PEN_NONE] = "edgeless",
};
static const char *const fills[FILL__COUNT] = {
	[FILL_NONE] = "hollow", [FILL_LIGHT] = "light", [FILL_HATCH] = "hatch", [FILL_DARK] = "dark",
	[FILL_WHITE] = "white",
};
static const char *const anchors[ANCHOR__COUNT] = {
	[ANCHOR_START] = "start", [ANCHOR_MIDDLE] = "middle", [ANCHOR_END] = "end",
};

static void
extra_numbers(const struct shape *s, double of[EXTRAS])
{
	of[0] = s->type == SHAPE_DIMENSION ? s->offset : s->radius;
	of[1] = s->from;
	of[2] = s->to;
}

static void
shape_write(struct buf *b, const struct shape *s)
{
	double extra[EXTRAS];

	buf_print(b, "\n  %s", shapes[s->type].name);
	if (s->fill != FILL_NONE)
		buf_print(b, " %s", fills[s->fill]);
	if (s->pen != PEN_PLAIN)
		buf_print(b, " %s", pens[s->pen]);
	if (s->anchor != ANCHOR_START)
		buf_print(b, " %s", anchors[s->anchor]);
	for (uint32_t i = 0; i < s->n; i++) {
		buf_char(b, ' ');
		write_number(b, s->x[i]);
		buf_char(b, ',');
		write_number(b, s->y[i]);
	}
	extra_numbers(s, extra);
	for (uint32_t i = 0; i < shapes[s->type].extras; i++) {
		buf_char(b, ' ');
		write_number(b, extra[i]);
	}
	if (shapes[s->type].says) {
		buf_char(b, ' ');
		write_quoted(b, s->text);
	}
}

void
drawing_write(struct buf *b, const struct drawing *d)
{
	buf_str(b, d->measured ? " measured " : " ");
	write_number(b, d->width);
	buf_char(b, ' ');
	write_number(b, d->height);
	buf_char(b, ' ');
	write_quoted(b, d->title);
	buf_char(b, ' ');
	write_quoted(b, d->words);
	for (const struct shape *s = d->first; s != NULL; s = s->next)
		shape_write(b, s);
}

/* ---- reading --------------------------------------------------------------- */

/* The words after a shape's type; true while there was one. */
static bool
manner(struct reader *r, struct shape *s)
{
	int i;

	if ((i = read_name(r, pens, PEN__COUNT)) >= 0)
		s->pen = (enum pen)i;
	else if ((i = read_name(r, fills, FILL__COUNT)) >= 0)
		s->fill = (enum fill)i;
	else if ((i = read_name(r, anchors, ANCHOR__COUNT)) >= 0)
		s->anchor = (enum anchor)i;
	return i >= 0;
}

static bool
number_here(const struct reader *r)
{
	char c = read_peek(r);

	return c == '-' || c == '.' || (c >= '0' && c <= '9');
}

static bool
points_read(struct reader *r, struct shape *s, double extra[EXTRAS], uint32_t *extras)
{
	double x[DRAWING_POINTS], y[DRAWING_POINTS], first;

	for (read_blanks(r); number_here(r); read_blanks(r)) {
		if (!read_number(r, &first))
			return false;
		if (read_peek(r) != ',') {
			if (*extras == EXTRAS)
				return false;
			extra[(*extras)++] = first;
			continue;
		}
		r->at++;
		if (*extras > 0 || s->n == DRAWING_POINTS || !read_number(r, &y[s->n]))
			return false;
		x[s->n++] = first;
	}
	s->x = arena_alloc(r->arena, (s->n + 1) * sizeof *s->x);
	s->y = arena_alloc(r->arena, (s->n + 1) * sizeof *s->y);
	if (s->n > 0) {
		memcpy(s->x, x, s->n * sizeof *x);
		memcpy(s->y, y, s->n * sizeof *y);
	}
	return true;
}

static struct shape *
shape_read(struct reader *r)
{
	const char *names[SHAPE__COUNT];
	double extra[EXTRAS] = {0};
	struct shape *s = arena_alloc(r->arena, sizeof *s);
	uint32_t extras = 0;
	int type;

	for (int i = 0; i < SHAPE__COUNT; i++)
		names[i] = shapes[i].name;
	type = read_name(r, names, SHAPE__COUNT);
	if (type < 0)
		return NULL;
	s->type = (enum shape_type)type;
	s->text = "";
	while (manner(r, s))
		continue;
	if (!points_read(r, s, extra, &extras) || extras != shapes[type].extras)
		return NULL;
	*(s->type == SHAPE_DIMENSION ? &s->offset : &s->radius) = extra[0];
	s->from = extra[1];
	s->to = extra[2];
	if (shapes[type].says && (s->text = read_quoted(r)) == NULL)
		return NULL;
	return s;
}

struct drawing *
drawing_read(struct reader *r)
{
	static const char *const measured[] = {"measured"};
	const strview all = r->src->text;
	bool to_scale = read_name(r, measured, 1) == 0;
	double width, height;
	const char *title, *words;
	struct drawing *d;
	struct shape *s;

	if (!read_number(r, &width) || !read_number(r, &height) ||
	    (title = read_quoted(r)) == NULL || (words = read_quoted(r)) == NULL)
		return NULL;
	d = drawing_new(r->arena, width, height, title, words);
	d->measured = to_scale;
	while (all.n - r->at > 3 && memcmp(all.p + r->at, "\n  ", 3) == 0) {
		r->at++;
		s = shape_read(r);
		if (s == NULL || d->n == DRAWING_SHAPES)
			return NULL;
		if (d->last != NULL)
			d->last->next = s;
		else
			d->first = s;
		d->last = s;
		d->n++;
	}
	return d;
}
