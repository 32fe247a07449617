/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A drawing in characters, for a terminal.
 *
 * Only what reads well is drawn: lines along the two axes, small circles, and
 * texts that stand on nothing else. Every place at which something begins, bends
 * or ends gets a column and a row of its own, in order, so that lines lying
 * close together stay apart; between such places the scale is even. Anything
 * that does not fit makes the whole drawing give way to its words.
 */
#include "present/present_impl.h"

#include <math.h>
#include <string.h>

enum { NORTH = 1, EAST = 2, SOUTH = 4, WEST = 8 };
enum { PLACES = 160, ROWS_MOST = 48, COLUMNS_LEAST = 20 };
#define MM_OF_COLUMN 1.6                   /* of paper; a row is two columns high */
#define SAME 1e-6                          /* of a unit: two places that are one */

struct spot {
	uint8_t arms, heavy, dashed;       /* towards which sides lines run */
	char sign[8];                      /* a letter or a filling, else empty */
	bool letter;                       /* no line may run through it */
	bool second;                       /* right half of a letter two cells wide */
};
struct axis { double at[PLACES]; int cell[PLACES]; uint32_t n; bool full; };
struct grid {
	struct spot *spot;
	int rows, columns;
	struct axis x, y;
	bool ascii, good;
};

/* ---- places ------------------------------------------------------------------ */

static void
place_add(struct axis *a, double at)
{
	uint32_t i = 0, k;

	while (i < a->n && a->at[i] < at - SAME)
		i++;
	if (i < a->n && a->at[i] < at + SAME)
		return;
	if (a->n == PLACES) {
		a->full = true;
		return;
	}
	for (k = a->n++; k > i; k--)
		a->at[k] = a->at[k - 1];
	a->at[i] = at;
}

/* Cells for all places, in order, PACE units apart where there is room. */
static int
place_cells(struct axis *a, double pace)
{
	int last = -1;

	for (uint32_t i = 0; i < a->n; i++) {
		double even = floor(a->at[i] / pace + 0.5);
		int cell = even < 0 ? 0 : even > 10000 ? 10000 : (int)even;

		if (cell <= last)
			cell = last + 1;
		a->cell[i] = last = cell;
	}
	return last + 1;
}

static int
cell_at(const struct axis *a, double at, double pace)
{
	uint32_t i = 0;
	double part, cell;

	while (i < a->n && a->at[i] < at - SAME)
		i++;
	if (i < a->n && a->at[i] < at + SAME)
		return a->cell[i];
	if (i == 0) {                          /* before the first, after the last: even steps */
		cell = a->n > 0 ? a->cell[0] - (a->at[0] - at) / pace : at / pace;
	} else if (i == a->n) {
		cell = a->cell[i - 1] + (at - a->at[i - 1]) / pace;
	} else {
		part = (at - a->at[i - 1]) / (a->at[i] - a->at[i - 1]);
		cell = a->cell[i - 1] + part * (a->cell[i] - a->cell[i - 1]);
	}
	cell = floor(cell + 0.5);
	return cell < 0 ? 0 : cell > 10000 ? 10000 : (int)cell;
}

static bool
along_axes(uint32_t n, const double *x, const double *y, bool closed)
{
	for (uint32_t i = 0; i + 1 < n + closed; i++) {
		uint32_t k = (i + 1) % n;

		if (fabs(x[i] - x[k]) > SAME && fabs(y[i] - y[k]) > SAME)
			return false;
	}
	return true;
}

/* The places a shape needs; false when it cannot be drawn in characters. */
static bool
shape_places(struct grid *g, const struct shape *s, double ratio)
{
	double x[2], y[2];

	switch (s->type) {
	case SHAPE_LINE: case SHAPE_AREA: case SHAPE_RANGE:
		if (!along_axes(s->n, s->x, s->y, s->type == SHAPE_AREA))
			return false;
		for (uint32_t i = 0; i < s->n; i++) {
			place_add(&g->x, s->x[i]);
			place_add(&g->y, s->y[i]);
		}
		return true;
	case SHAPE_CIRCLE:
		place_add(&g->x, s->x[0]);
		place_add(&g->y, s->y[0]);
		return s->radius <= 3 * ratio;
	case SHAPE_DIMENSION:
		dimension_line(s, x, y);
		for (int i = 0; i < 2; i++) {
			place_add(&g->x, x[i]);
			place_add(&g->y, y[i]);
		}
		return along_axes(2, x, y, false);
	case SHAPE_TEXT:
		return true;
	case SHAPE_ARC: case SHAPE__COUNT:
		break;
	}
	return false;
}

/* ---- putting things down -------------------------------------------------------- */

struct setting { struct grid *g; double column, row; };    /* units for a column, for a row */

static struct spot *
spot(struct grid *g, int row, int column)
{
	if (row < 0 || row >= g->rows || column < 0 || column >= g->columns) {
		g->good = false;
		return NULL;
	}
	return &g->spot[row * g->columns + column];
}

static void
arm(struct grid *g, int row, int column, uint8_t arms, enum pen pen)
{
	struct spot *p = spot(g, row, column);

	if (p == NULL || arms == 0)
		return;
	if (p->letter)
		g->good = false;
	p->sign[0] = '\0';
	p->arms = (uint8_t)(p->arms | arms);
	p->heavy = (uint8_t)(pen == PEN_THICK ? p->heavy | arms : p->heavy & ~arms);
	p->dashed = (uint8_t)(pen == PEN_DASHED ? p->dashed | arms : p->dashed & ~arms);
}

static void
stroke(struct setting *t, enum pen pen, double x0, double y0, double x1, double y1)
{
	struct grid *g = t->g;
	int r0 = cell_at(&g->y, y0, t->row), r1 = cell_at(&g->y, y1, t->row);
	int c0 = cell_at(&g->x, x0, t->column), c1 = cell_at(&g->x, x1, t->column), k;

	if (pen == PEN_NONE)
		return;
	if (r0 > r1 || c0 > c1) {
		k = r0, r0 = r1, r1 = k;
		k = c0, c0 = c1, c1 = k;
	}
	for (int c = c0; r0 == r1 && c <= c1; c++)
		arm(g, r0, c, (uint8_t)((c > c0 ? WEST : 0) | (c < c1 ? EAST : 0)), pen);
	for (int r = r0; c0 == c1 && r <= r1; r++)
		arm(g, r, c0, (uint8_t)((r > r0 ? NORTH : 0) | (r < r1 ? SOUTH : 0)), pen);
}

static void
sign(struct grid *g, int row, int column, const char *u, const char *plain)
{
	struct spot *p = spot(g, row, column);

	if (p == NULL)
		return;
	*p = (struct spot){0};
	memcpy(p->sign, g->ascii ? plain : u, strlen(g->ascii ? plain : u));
}

/* Is the middle of a cell inside the outline?  A ray to the right. */
static bool
inside(const struct setting *t, const struct shape *s, int row, int column)
{
	bool in = false;

	for (uint32_t i = 0; i < s->n; i++) {
		uint32_t k = (i + 1) % s->n;
		int r0 = cell_at(&t->g->y, s->y[i], t->row), r1 = cell_at(&t->g->y, s->y[k], t->row);
		int c = cell_at(&t->g->x, s->x[i], t->column);

		if (r0 != r1 && c > column && (r0 <= row) != (r1 <= row))
			in = !in;
	}
	return in;
}

static void
area(struct setting *t, const struct shape *s)
{
	static const char *const signs[FILL__COUNT] = {
		[FILL_NONE] = "", [FILL_LIGHT] = "\xe2\x96\x91", [FILL_HATCH] = "/",
		[FILL_DARK] = "\xe2\x96\x93", [FILL_WHITE] = " ",
	};
	static const char *const plain[FILL__COUNT] = {
		[FILL_NONE] = "", [FILL_LIGHT] = ".", [FILL_HATCH] = "/", [FILL_DARK] = "#",
		[FILL_WHITE] = " ",
	};

	for (int r = 0; s->fill != FILL_NONE && r < t->g->rows; r++)
		for (int c = 0; c < t->g->columns; c++)
			if (inside(t, s, r, c))
				sign(t->g, r, c, signs[s->fill], plain[s->fill]);
	for (uint32_t i = 0; i < s->n; i++) {
		uint32_t k = (i + 1) % s->n;

		stroke(t, s->pen, s->x[i], s->y[i], s->x[k], s->y[k]);
	}
}

/* TEXT from COLUMN on; the drawing is no good when something stands there. */
static void
letters(struct grid *g, int row, int column, const char *text)
{
	strview v = sv(text);

	for (size_t at = 0, n; at < v.n; at += n) {
		struct spot *p = spot(g, row, column);
		size_t cells;

		n = utf8_step(v, at);
		cells = text_cells((strview){v.p + at, n});
		if (p == NULL || p->arms != 0 || p->letter || n >= sizeof p->sign ||
		    cells < 1 || cells > 2) {
			g->good = false;
			return;
		}
		memcpy(p->sign, v.p + at, n);
		p->sign[n] = '\0';
		p->letter = true;
		if (cells == 2 && (p = spot(g, row, column + 1)) != NULL)
			p->second = p->letter = true;
		column += (int)cells;
	}
}

static int
wide(const char *text)
{
	size_t n = text_cells(sv(text));

	return n > 1000 ? 1000 : (int)n;
}

static void
text_at(struct grid *g, enum anchor anchor, int row, int column, const char *text)
{
	int w = wide(text);

	column -= anchor == ANCHOR_MIDDLE ? w / 2 : anchor == ANCHOR_END ? w - 1 : 0;
	if (column < 0 && anchor == ANCHOR_MIDDLE)
		column = 0;
	letters(g, row, column, text);
}

static void
dimension_put(struct setting *t, const struct shape *s)
{
	struct grid *g = t->g;
	double x[2], y[2];
	int row[2], column[2], w = wide(s->text);
	bool level;

	dimension_line(s, x, y);
	for (int i = 0; i < 2; i++) {
		row[i] = cell_at(&g->y, y[i], t->row);
		column[i] = cell_at(&g->x, x[i], t->column);
	}
	level = row[0] == row[1];
	stroke(t, PEN_THIN, x[0], y[0], x[1], y[1]);
	for (int i = 0; i < 2; i++)
		arm(g, row[i], column[i], level ? NORTH | SOUTH : EAST | WEST, PEN_THIN);
	if (level) {
		int low = column[0] < column[1] ? column[0] : column[1];
		int room = column[0] + column[1] - 2 * low - 1, from = low + 1 + (room - w) / 2;

		if (room < w + 2) {            /* too short to be broken: after its end */
			text_at(g, ANCHOR_START, row[0], low + room + 3, s->text);
			return;
		}
		for (int c = from - 1; c < from + w + 1; c++)
			*spot(g, row[0], c) = (struct spot){0};
		letters(g, row[0], from, s->text);
	} else {
		bool left = s->offset > 0 ? s->y[1] > s->y[0] : s->offset < 0 && s->y[1] < s->y[0];

		text_at(g, left ? ANCHOR_END : ANCHOR_START, (row[0] + row[1]) / 2,
		    column[0] + (left ? -2 : 2), s->text);
	}
}

static void
range_put(struct setting *t, const struct shape *s)
{
	struct grid *g = t->g;
	int row = cell_at(&g->y, s->y[0], t->row), at[4];

	for (int i = 0; i < 4; i++)
		at[i] = cell_at(&g->x, s->x[i], t->column);
	stroke(t, PEN_THIN, s->x[0], s->y[0], s->x[3], s->y[0]);
	for (int c = at[1]; c <= at[2]; c++)
		sign(g, row, c, "\xe2\x96\x88", "=");
	text_at(g, ANCHOR_START, row, at[3] + 2, s->text);
}

static void
put(struct setting *t, const struct shape *s)
{
	struct grid *g = t->g;

	switch (s->type) {
	case SHAPE_LINE:
		for (uint32_t i = 0; i + 1 < s->n; i++)
			stroke(t, s->pen, s->x[i], s->y[i], s->x[i + 1], s->y[i + 1]);
		break;
	case SHAPE_AREA:
		area(t, s);
		break;
	case SHAPE_CIRCLE:
		sign(g, cell_at(&g->y, s->y[0], t->row), cell_at(&g->x, s->x[0], t->column), "o", "o");
		break;
	case SHAPE_TEXT:
		text_at(g, s->anchor, cell_at(&g->y, s->y[0], t->row),
		    cell_at(&g->x, s->x[0], t->column), s->text);
		break;
	case SHAPE_DIMENSION:
		dimension_put(t, s);
		break;
	case SHAPE_RANGE:
		range_put(t, s);
		break;
	case SHAPE_ARC: case SHAPE__COUNT:
		g->good = false;
	}
}

/* ---- out ------------------------------------------------------------------------- */

static const char *
spot_text(const struct grid *g, const struct spot *p)
{
	static const char *const light[16] = {
		" ", "│", "─", "└", "│", "│", "┌", "├",
		"─", "┘", "─", "┴", "┐", "┤", "┬", "┼",
	};
	static const char *const heavy[16] = {
		" ", "┃", "━", "┗", "┃", "┃", "┏", "┣",
		"━", "┛", "━", "┻", "┓", "┫", "┳", "╋",
	};
	static const struct { uint8_t arms; const char *sign; } mixed[] = {  /* heavy along only */
		{NORTH | EAST | SOUTH, "┝"}, {NORTH | SOUTH | WEST, "┥"}, {NORTH | EAST | WEST, "┷"},
		{EAST | SOUTH | WEST, "┯"}, {NORTH | EAST | SOUTH | WEST, "┿"},
	};
	static const char plain[16][2] = {" ", "|", "-", "+", "|", "|", "+", "+", "-", "+", "-", "+",
	    "+", "+", "+", "+"};

	if (p->sign[0] != '\0')
		return p->sign;
	if (g->ascii)
		return p->arms == 0 || (p->heavy != p->arms && p->dashed != p->arms) ? plain[p->arms]
		    : (p->arms & (NORTH | SOUTH)) == 0 ? (p->heavy == p->arms ? "=" : ".")
		    : (p->arms & (EAST | WEST)) == 0 && p->dashed == p->arms ? ":" : plain[p->arms];
	if (p->dashed == p->arms && p->arms != 0) {
		if ((p->arms & (EAST | WEST)) == 0)
			return "┆";
		if ((p->arms & (NORTH | SOUTH)) == 0)
			return "┄";
	}
	for (size_t i = 0; i < sizeof mixed / sizeof *mixed; i++)
		if (p->arms == mixed[i].arms && p->heavy == (mixed[i].arms & (EAST | WEST)))
			return mixed[i].sign;
	return p->heavy == p->arms ? heavy[p->arms] : light[p->arms];
}

/* How far something stands in a row. */
static int
row_length(const struct grid *g, int r)
{
	const struct spot *line = g->spot + (size_t)r * (size_t)g->columns;
	int n = g->columns;

	while (n > 0 && line[n - 1].arms == 0 && !line[n - 1].second &&
	    (line[n - 1].sign[0] == '\0' || line[n - 1].sign[0] == ' '))
		n--;
	return n;
}

static void
print_grid(struct buf *b, const struct grid *g, int indent)
{
	int first = 0, last = g->rows - 1;

	while (first <= last && row_length(g, first) == 0)
		first++;
	while (last > first && row_length(g, last) == 0)
		last--;
	for (int r = first; r <= last; r++) {
		const struct spot *line = g->spot + (size_t)r * (size_t)g->columns;
		int n = row_length(g, r);

		for (int i = 0; n > 0 && i < indent; i++)
			buf_char(b, ' ');
		for (int c = 0; c < n; c++)
			if (!line[c].second)
				buf_str(b, spot_text(g, &line[c]));
		buf_char(b, '\n');
	}
}

bool
drawing_characters(struct buf *b, const struct drawing *d, int indent, int width, bool ascii)
{
	double ratio = drawing_ratio(d), paper = d->width / ratio;
	int room = width == 0 ? 100 : width - indent, want = (int)floor(paper / MM_OF_COLUMN) + 1;
	struct arena *a;
	struct grid g = {.ascii = ascii, .good = true};
	struct setting t = {.g = &g};

	if (room < COLUMNS_LEAST)
		return false;
	if (want > room)
		want = room;
	t.column = d->width / (want - 1);
	t.row = 2 * t.column;
	for (const struct shape *s = d->first; s != NULL; s = s->next)
		if (!shape_places(&g, s, ratio))
			return false;
	if (g.x.full || g.y.full || place_cells(&g.x, t.column) > room ||
	    place_cells(&g.y, t.row) > ROWS_MOST)
		return false;
	g.columns = room;
	g.rows = cell_at(&g.y, d->height, t.row) + 1;
	if (g.rows > ROWS_MOST)
		return false;
	a = arena_new();
	g.spot = arena_alloc(a, (size_t)g.rows * (size_t)g.columns * sizeof *g.spot);
	for (const struct shape *s = d->first; s != NULL && g.good; s = s->next)
		put(&t, s);
	if (g.good)
		print_grid(b, &g, indent);
	arena_free(a);
	return g.good;
}
