/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A drawing as a list of shapes, made once and shown as SVG, in a PDF, in
 * characters or in words.
 *
 * Paper is measured in mm from the top left corner: x to the right, y downward.
 * Letters are DRAWING_LETTERS high on paper, whatever the drawing's scale. A
 * drawing always carries words that tell all it shows, for those who cannot
 * see it and for whatever cannot draw it. The list knows no cloth: what a line
 * stands for is the composer's affair, and told in the words.
 *
 * A plain drawing's units are mm on paper. One that is .measured has units of
 * mm of the thing itself: it is printed 1:1, or where that is too large 1:2,
 * 1:5 and so on, and the ratio is told below it.
 */
#ifndef BODKIN_DRAWING_H
#define BODKIN_DRAWING_H

#include "base/base.h"

enum pen { PEN_PLAIN, PEN_THIN, PEN_THICK, PEN_DASHED, PEN_NONE, PEN__COUNT };
enum fill { FILL_NONE, FILL_LIGHT, FILL_HATCH, FILL_DARK, FILL_WHITE, FILL__COUNT };
enum anchor { ANCHOR_START, ANCHOR_MIDDLE, ANCHOR_END, ANCHOR__COUNT };

enum shape_type {
	SHAPE_LINE,                        /* through all its points, open */
	SHAPE_AREA,                        /* the same closed, and filled */
	SHAPE_CIRCLE,                      /* round x[0],y[0] with .radius */
	SHAPE_ARC,                         /* of it, .from to .to degrees: 0 is right, 90 down */
	SHAPE_TEXT,                        /* beside x[0]; y[0] is the middle of its height */
	SHAPE_DIMENSION,                   /* from point 0 to point 1, ticks at both ends, label */
	SHAPE_RANGE,                       /* a bar x[1]..x[2], thin ends to x[0] and x[3], label after */
	SHAPE__COUNT
};

struct shape {
	enum shape_type type;
	enum pen pen;
	enum fill fill;
	enum anchor anchor;
	uint32_t n;                        /* points */
	double *x, *y;
	double radius, from, to;
	double offset;                     /* dimension: how far its line stands from the points */
	const char *text;
	struct shape *next;
};

struct drawing {
	struct arena *arena;
	const char *title, *words;         /* words: the text alternative, never empty */
	double width, height;              /* in the drawing's units */
	bool measured;                     /* units are mm of the thing; see above */
	struct shape *first, *last;
	uint32_t n;
};

enum { DRAWING_WIDEST = 160, DRAWING_TALLEST = 200 };      /* mm on paper, A4 and Letter alike */
enum { DRAWING_POINTS = 400, DRAWING_SHAPES = 4000 };      /* at most, of a shape; of a drawing */
#define DRAWING_LETTERS 3.2                /* mm on paper: size of type, about 9 points */

struct drawing *drawing_new(struct arena *, double width, double height, const char *title,
    const char *words);
	/* Texts are copied, here and below. */
struct shape *drawing_line(struct drawing *, enum pen, uint32_t n, const double *x,
    const double *y);
struct shape *drawing_stroke(struct drawing *, enum pen, double x0, double y0, double x1,
    double y1);
struct shape *drawing_area(struct drawing *, enum fill, enum pen, uint32_t n, const double *x,
    const double *y);
struct shape *drawing_box(struct drawing *, enum fill, enum pen, double x, double y,
    double width, double height);
struct shape *drawing_circle(struct drawing *, enum fill, enum pen, double x, double y,
    double radius);
struct shape *drawing_arc(struct drawing *, enum pen, double x, double y, double radius,
    double from, double to);
struct shape *drawing_text(struct drawing *, enum anchor, double x, double y, const char *);
struct shape *drawing_dimension(struct drawing *, double x0, double y0, double x1, double y1,
    double offset, const char *label);
	/* OFFSET moves its line, at right angles: below points that run to the
	 * right, left of points that run down; negative the other way. Thin lines
	 * join it to the points. */
struct shape *drawing_range(struct drawing *, double y, const double x[4], const char *label);
	/* x: seen low, usual low, usual high, seen high; not falling. */

bool drawing_check(const struct drawing *, const char **culprit);
	/* Fit to be shown: has a size, words, and finite points near its paper. */
double drawing_ratio(const struct drawing *);
	/* Drawing units for one mm of paper: 1, or of a measured drawing 2, 5, 10,
	 * 20, 50 or 100; of a plain one too large just what makes it fit. Known as
	 * soon as width, height and .measured are: letters are DRAWING_LETTERS
	 * times it high in the drawing's units. */
double drawing_enlarged(const struct drawing *);
	/* How much larger a plain drawing is shown in large print, letters and all:
	 * up to twice, as far as there is room. A measured one keeps its ratio: 1. */
void drawing_hatch(const struct shape *, double step,
    void (*line)(void *, double x0, double y0, double x1, double y1), void *);
	/* Slanting lines that fill an area or a circle, STEP apart. */
void arc_point(const struct shape *, double degrees, double *x, double *y);
	/* Where an arc, or a circle, is at an angle: 0 is right, 90 down. */
void dimension_line(const struct shape *, double x[2], double y[2]);
	/* Where a dimension's line itself runs. */
enum anchor dimension_label(const struct shape *, double letters, double *x, double *y);
	/* Where its label stands, on the side away from the points: leave room for
	 * a line of letters there. LETTERS: their height in the drawing's units. */

void drawing_svg(struct buf *, const struct drawing *, bool large);
	/* One <svg> element, complete in itself, every text escaped. */
bool drawing_characters(struct buf *, const struct drawing *, int indent, int width, bool ascii);
	/* In box characters, lines ended by newlines; false, nothing added, where
	 * it would not read well (slanting lines, too crowded, too wide): then the
	 * words serve. */

#endif
