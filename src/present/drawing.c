/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A drawing as a list of shapes: adding to one, finding out whether it is fit
 * to be shown, and the geometry all its renderers share.
 */
#include "present/present_impl.h"

#include <math.h>
#include <string.h>

struct drawing *
drawing_new(struct arena *a, double width, double height, const char *title, const char *words)
{
	struct drawing *d = arena_alloc(a, sizeof *d);

	d->arena = a;
	d->width = width;
	d->height = height;
	d->title = arena_text(a, title != NULL ? title : "", title != NULL ? strlen(title) : 0);
	d->words = arena_text(a, words != NULL ? words : "", words != NULL ? strlen(words) : 0);
	return d;
}

static struct shape *
add(struct drawing *d, enum shape_type type, uint32_t n, const double *x, const double *y)
{
	struct shape *s = arena_alloc(d->arena, sizeof *s);

	s->type = type;
	s->n = n;
	s->x = arena_alloc(d->arena, (size_t)n * sizeof *s->x);
	s->y = arena_alloc(d->arena, (size_t)n * sizeof *s->y);
	memcpy(s->x, x, (size_t)n * sizeof *x);
	memcpy(s->y, y, (size_t)n * sizeof *y);
	s->text = "";
	if (d->last != NULL)
		d->last->next = s;
	else
		d->first = s;
	d->last = s;
	d->n++;
	return s;
}

static struct shape *
lettered(struct drawing *d, struct shape *s, const char *text)
{
	if (text != NULL)
		s->text = arena_text(d->arena, text, strlen(text));
	return s;
}

struct shape *
drawing_line(struct drawing *d, enum pen pen, uint32_t n, const double *x, const double *y)
{
	struct shape *s = add(d, SHAPE_LINE, n, x, y);

	s->pen = pen;
	return s;
}

struct shape *
drawing_stroke(struct drawing *d, enum pen pen, double x0, double y0, double x1, double y1)
{
	const double x[2] = {x0, x1}, y[2] = {y0, y1};

	return drawing_line(d, pen, 2, x, y);
}

struct shape *
drawing_area(struct drawing *d, enum fill fill, enum pen pen, uint32_t n, const double *x,
    const double *y)
{
	struct shape *s = add(d, SHAPE_AREA, n, x, y);

	s->fill = fill;
	s->pen = pen;
	return s;
}

struct shape *
drawing_box(struct drawing *d, enum fill fill, enum pen pen, double x, double y, double width,
    double height)
{
	const double xs[4] = {x, x + width, x + width, x}, ys[4] = {y, y, y + height, y + height};

	return drawing_area(d, fill, pen, 4, xs, ys);
}

struct shape *
drawing_circle(struct drawing *d, enum fill fill, enum pen pen, double x, double y,
    double radius)
{
	struct shape *s = add(d, SHAPE_CIRCLE, 1, &x, &y);

	s->fill = fill;
	s->pen = pen;
	s->radius = radius;
	return s;
}

struct shape *
drawing_arc(struct drawing *d, enum pen pen, double x, double y, double radius, double from,
    double to)
{
	struct shape *s = add(d, SHAPE_ARC, 1, &x, &y);

	s->pen = pen;
	s->radius = radius;
	s->from = from;
	s->to = to;
	return s;
}

struct shape *
drawing_text(struct drawing *d, enum anchor anchor, double x, double y, const char *text)
{
	struct shape *s = add(d, SHAPE_TEXT, 1, &x, &y);

	s->anchor = anchor;
	return lettered(d, s, text);
}

struct shape *
drawing_dimension(struct drawing *d, double x0, double y0, double x1, double y1, double offset,
    const char *label)
{
	const double x[2] = {x0, x1}, y[2] = {y0, y1};
	struct shape *s = add(d, SHAPE_DIMENSION, 2, x, y);

	s->offset = offset;
	return lettered(d, s, label);
}

struct shape *
drawing_range(struct drawing *d, double y, const double x[4], const char *label)
{
	const double ys[4] = {y, y, y, y};

	return lettered(d, add(d, SHAPE_RANGE, 4, x, ys), label);
}

/* ---- fit to be shown ------------------------------------------------------ */

static bool
near_paper(double at, double size)
{
	return at >= -size && at <= 2 * size;  /* false for what is no number */
}

static const char *
shape_fault(const struct drawing *d, const struct shape *s)
{
	static const uint32_t least[SHAPE__COUNT] = {
		[SHAPE_LINE] = 2, [SHAPE_AREA] = 3, [SHAPE_CIRCLE] = 1, [SHAPE_ARC] = 1,
		[SHAPE_TEXT] = 1, [SHAPE_DIMENSION] = 2, [SHAPE_RANGE] = 4,
	};

	if (s->type >= SHAPE__COUNT || s->pen >= PEN__COUNT || s->fill >= FILL__COUNT ||
	    s->anchor >= ANCHOR__COUNT)
		return "a shape of an unknown kind";
	if (s->n < least[s->type] || s->n > DRAWING_POINTS)
		return "a shape with too few or too many points";
	for (uint32_t i = 0; i < s->n; i++)
		if (!near_paper(s->x[i], d->width) || !near_paper(s->y[i], d->height))
			return "a shape off its drawing";
	if ((s->type == SHAPE_CIRCLE || s->type == SHAPE_ARC) &&
	    !(s->radius > 0 && s->radius <= d->width + d->height))
		return "a circle without a fit radius";
	if (s->type == SHAPE_ARC && !(s->from >= -720 && s->from < s->to && s->to <= 720))
		return "an arc that does not run from a lower to a higher angle";
	if (s->type == SHAPE_DIMENSION && !near_paper(s->offset, d->width + d->height))
		return "a dimension off its drawing";
	if (s->type == SHAPE_DIMENSION && s->x[0] == s->x[1] && s->y[0] == s->y[1])
		return "a dimension without length";
	for (uint32_t i = 1; s->type == SHAPE_RANGE && i < s->n; i++)
		if (s->x[i] < s->x[i - 1])
			return "a range whose low end is above its high end";
	return NULL;
}

bool
drawing_check(const struct drawing *d, const char **culprit)
{
	*culprit = NULL;
	if (!(d->width > 0 && d->width <= 100000 && d->height > 0 && d->height <= 100000))
		*culprit = "a drawing without a fit size";
	else if (*d->words == '\0')
		*culprit = "a drawing without words for it";
	else if (d->n > DRAWING_SHAPES)
		*culprit = "a drawing of too many shapes";
	for (const struct shape *s = d->first; s != NULL && *culprit == NULL; s = s->next)
		*culprit = shape_fault(d, s);
	return *culprit == NULL;
}

/* ---- shared geometry -------------------------------------------------------- */

const double pen_widths[PEN__COUNT] = {
	[PEN_PLAIN] = 0.35, [PEN_THIN] = 0.18, [PEN_THICK] = 0.8, [PEN_DASHED] = 0.35,
	[PEN_NONE] = 0,
};

/* libm's sine is not the same everywhere; the sum of its series is, and is good
 * to 12 digits. */
static double
sine(double degrees)
{
	double x, term, sum;

	while (degrees > 180)
		degrees -= 360;
	while (degrees < -180)
		degrees += 360;
	if (degrees > 90)
		degrees = 180 - degrees;
	if (degrees < -90)
		degrees = -180 - degrees;
	x = degrees * 3.14159265358979323846 / 180;
	term = sum = x;
	for (int k = 2; k < 22; k += 2) {
		term *= -x * x / (k * (k + 1));
		sum += term;
	}
	return sum;
}

void
arc_point(const struct shape *s, double degrees, double *x, double *y)
{
	*x = s->x[0] + s->radius * sine(degrees + 90);
	*y = s->y[0] + s->radius * sine(degrees);
}

double
drawing_ratio(const struct drawing *d)
{
	static const double ratios[] = {1, 2, 5, 10, 20, 50, 100};
	double wide = d->width / DRAWING_WIDEST, tall = d->height / DRAWING_TALLEST;
	double needed = wide > tall ? wide : tall;

	if (!d->measured)
		return needed > 1 ? needed : 1;
	for (size_t i = 0; i < sizeof ratios / sizeof *ratios; i++)
		if (needed <= ratios[i])
			return ratios[i];
	return needed;
}

double
drawing_enlarged(const struct drawing *d)
{
	double wide = DRAWING_WIDEST / d->width, tall = DRAWING_TALLEST / d->height;
	double k = wide < tall ? wide : tall;

	return d->measured || k < 1 ? 1 : k > 2 ? 2 : k;
}

void
dimension_line(const struct shape *s, double x[2], double y[2])
{
	double dx = s->x[1] - s->x[0], dy = s->y[1] - s->y[0];
	double length = sqrt(dx * dx + dy * dy);

	for (int i = 0; i < 2; i++) {
		x[i] = s->x[i] - (length > 0 ? dy / length * s->offset : 0);
		y[i] = s->y[i] + (length > 0 ? dx / length * s->offset : 0);
	}
}

enum anchor
dimension_label(const struct shape *s, double letters, double *x, double *y)
{
	double lx[2], ly[2], side = s->offset < 0 ? -1 : 1;
	double dx = s->x[1] - s->x[0], dy = s->y[1] - s->y[0];
	double length = sqrt(dx * dx + dy * dy);

	dimension_line(s, lx, ly);
	*x = (lx[0] + lx[1]) / 2;
	*y = (ly[0] + ly[1]) / 2;
	if (length <= 0)
		return ANCHOR_MIDDLE;
	/* the side away from the points, as for the line itself */
	*x -= side * dy / length * letters * 0.5;
	*y += side * dx / length * letters * 0.75;
	if (fabs(dx) > fabs(dy))
		return ANCHOR_MIDDLE;
	return side * dy > 0 ? ANCHOR_END : ANCHOR_START;
}

/*
 * Lines x + y = c, for c rising by STEP times the square root of two. Along
 * such a line the outline is crossed at points told apart by x; between the
 * first and second, third and fourth ... lies the inside. Plain insertion
 * sort: an outline has few corners.
 */
static void
hatch_area(const struct shape *s, double c, void (*line)(void *, double, double, double, double),
    void *to)
{
	double at[DRAWING_POINTS];
	uint32_t n = 0;

	for (uint32_t i = 0; i < s->n && i < DRAWING_POINTS; i++) {
		uint32_t k = (i + 1) % s->n, j;
		double a = s->x[i] + s->y[i] - c, b = s->x[k] + s->y[k] - c, x;

		if ((a < 0) == (b < 0))
			continue;
		x = s->x[i] + (s->x[k] - s->x[i]) * (a / (a - b));
		for (j = n++; j > 0 && at[j - 1] > x; j--)
			at[j] = at[j - 1];
		at[j] = x;
	}
	for (uint32_t i = 0; i + 1 < n; i += 2)
		line(to, at[i], c - at[i], at[i + 1], c - at[i + 1]);
}

static void
hatch_circle(const struct shape *s, double c,
    void (*line)(void *, double, double, double, double), void *to)
{
	/* distance of the line from the middle, and half the chord along x */
	double off = (s->x[0] + s->y[0] - c) / 2, half = s->radius * s->radius / 2 - off * off;
	double x = s->x[0] - off, dx;

	if (half <= 0)
		return;
	dx = sqrt(half);
	line(to, x - dx, c - x + dx, x + dx, c - x - dx);
}

void
drawing_hatch(const struct shape *s, double step,
    void (*line)(void *, double x0, double y0, double x1, double y1), void *to)
{
	double low = s->x[0] + s->y[0], high = low, pace = step * sqrt(2.0);

	for (uint32_t i = 1; i < s->n; i++) {
		double c = s->x[i] + s->y[i];

		low = c < low ? c : low;
		high = c > high ? c : high;
	}
	if (s->type == SHAPE_CIRCLE) {
		low -= 2 * s->radius;
		high += 2 * s->radius;
	}
	if (!(pace > 0) || (high - low) / pace > DRAWING_SHAPES)
		return;
	for (double c = (floor(low / pace) + 0.5) * pace; c < high; c += pace) {
		if (s->type == SHAPE_CIRCLE)
			hatch_circle(s, c, line, to);
		else
			hatch_area(s, c, line, to);
	}
}
