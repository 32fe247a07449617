/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A page for a terminal: plain lines, indented under their heading.
 *
 * Everything printed goes through clean(), so that no text from anywhere can
 * send a control sequence.  Colour is put around labels and headings after
 * that, and only repeats what a word says.  Blocks of one sort that follow
 * each other are aligned together; a table too wide for the terminal is
 * shown as one card a row.
 */
#include "present/present_impl.h"

#include <string.h>

enum { GAP = 2, DEEPER = 4, LABEL_WIDEST = 22, NARROWEST_TABLE = 40 };

static const char *const tone_codes[TONE__COUNT] = {
	[TONE_PLAIN] = "\033[1m", [TONE_GRAVE] = "\033[1;31m", [TONE_DOUBTFUL] = "\033[1;33m",
	[TONE_MENTION] = "\033[1;36m", [TONE_OPEN] = "\033[1;35m", [TONE_GOOD] = "\033[1;32m",
};

struct screen {
	struct buf *out;
	const struct look *look;
	struct arena *arena;               /* cleaned texts, for this page only */
	int indent;                        /* of what stands under the last heading */
};

/* ---- text fit to be shown ------------------------------------------------ */

static const struct { const char *sign, *plain; } plain_signs[] = {
	{"\xc2\xb0", "deg"}, {"\xc3\x97", "x"}, {"\xc2\xb1", "+/-"}, {"\xe2\x89\xa4", "<="},
	{"\xe2\x89\xa5", ">="}, {"\xe2\x89\x88", "about "}, {"\xe2\x86\x92", "->"},
	{"\xc2\xb7", "*"}, {"\xe2\x80\xa2", "*"}, {"\xc3\x9f", "ss"},
};

static void
plain_char(struct screen *s, struct buf *b, strview c)
{
	const char *t;

	for (size_t i = 0; i < sizeof plain_signs / sizeof *plain_signs; i++) {
		if (sv_is(c, plain_signs[i].sign)) {
			buf_str(b, plain_signs[i].plain);
			return;
		}
	}
	t = text_fold(s->arena, c);
	if (*t == '\0')
		return;                        /* a mark that only adds to a letter */
	for (const char *p = t; *p != '\0'; p++) {
		if ((unsigned char)*p >= 0x80) {
			buf_char(b, '?');
			return;
		}
	}
	buf_str(b, t);
}

static const char *
clean(struct screen *s, const char *text)
{
	struct buf safe = {0}, plain = {0};
	const char *t;
	size_t n;

	/* Line breaks are ours to place: each line is made safe apart. */
	buf_add(&safe, "", 0);
	for (const char *p = text; *p != '\0'; p += n) {
		n = strcspn(p, "\n");
		text_safe(&safe, (strview){p, n});
		if (p[n] == '\n') {
			buf_char(&safe, '\n');
			n++;
		}
	}
	buf_add(&plain, "", 0);
	for (size_t i = 0; s->look->ascii && i < safe.n; i += n) {
		n = utf8_step((strview){safe.p, safe.n}, i);
		if (n == 1)
			buf_char(&plain, safe.p[i]);
		else
			plain_char(s, &plain, (strview){safe.p + i, n});
	}
	t = s->look->ascii ? arena_text(s->arena, plain.p, plain.n)
	    : arena_text(s->arena, safe.p, safe.n);
	buf_free(&safe);
	buf_free(&plain);
	return t;
}

static int
cells(const char *t)
{
	size_t n = text_cells(sv(t));

	return n > 10000 ? 10000 : (int)n;
}

static void
spaces(struct screen *s, int n)
{
	for (int i = 0; i < n; i++)
		buf_char(s->out, ' ');
}

static void
toned(struct screen *s, enum tone tone, const char *text)
{
	if (s->look->colour)
		buf_str(s->out, tone_codes[tone]);
	buf_str(s->out, text);
	if (s->look->colour)
		buf_str(s->out, "\033[0m");
}

/* TEXT from the column at which the line already stands, wrapped; lines of
 * its own keep apart. */
static void
running(struct screen *s, const char *text, int column)
{
	struct buf line = {0};
	bool first = true;

	while (*text != '\0') {
		size_t n = strcspn(text, "\n");

		if (!first) {
			buf_char(s->out, '\n');
			if (n > 0)
				spaces(s, column);
		}
		buf_clear(&line);
		buf_add(&line, text, n);
		text_wrap(s->out, line.p, column, s->look->width);
		text += n + (text[n] == '\n');
		first = false;
	}
	buf_char(s->out, '\n');
	buf_free(&line);
}

/* ---- blocks --------------------------------------------------------------- */

static void
heading(struct screen *s, const struct block *b)
{
	int column = b->type == BLOCK_TITLE ? 0 : 2 * (b->level - 1);

	if (s->out->n > 0)
		buf_char(s->out, '\n');
	spaces(s, column);
	toned(s, b->tone, clean(s, b->text));
	buf_char(s->out, '\n');
	s->indent = b->type == BLOCK_TITLE ? 0 : 2 * b->level;
}

static bool
one_run(const struct block *a, const struct block *b)
{
	return b != NULL && b->type == a->type;
}

/* Widest label of LEVEL in the run that starts at B; a run of one level is
 * not broken by deeper items. */
static int
label_column(struct screen *s, const struct block *b, uint8_t level)
{
	const struct block *start = b;
	int widest = 0;

	for (; one_run(start, b) && b->level >= level; b = b->next) {
		int w = cells(clean(s, b->label));

		if (b->level == level && w > widest && w <= LABEL_WIDEST)
			widest = w;
	}
	return widest;
}

/* A run of items, or of pairs: the label, then the text beside it. */
static const struct block *
labelled(struct screen *s, const struct block *b)
{
	int column[LEVEL_DEEPEST + 1] = {0}, at[LEVEL_DEEPEST + 1];
	const struct block *start = b;
	int depth = -1;

	for (; one_run(start, b); b = b->next) {
		const char *label = clean(s, b->label), *text = clean(s, b->text);
		int level = b->level > LEVEL_DEEPEST ? LEVEL_DEEPEST : b->level;
		int w = cells(label), from, to;

		for (; depth < level; depth++) {
			int d = depth + 1;

			at[d] = d == 0 ? s->indent : at[d - 1] + (column[d - 1] > 0 ? DEEPER : GAP);
			column[d] = label_column(s, b, (uint8_t)d);
		}
		depth = level;
		if (b->type == BLOCK_ITEM && level == 0 && b != start && b->label[0] != '\0' &&
		    b->next != NULL && b->next->type == BLOCK_ITEM && b->next->level > 0)
			buf_char(s->out, '\n');
		from = at[level];
		to = from + (column[level] > 0 ? column[level] + GAP : GAP);
		spaces(s, from);
		if (w == 0 && column[level] == 0 && b->type == BLOCK_ITEM) {
			buf_str(s->out, "- ");
		} else if (*text == '\0') {
			toned(s, b->tone, label);
		} else if (w > column[level]) {        /* too long to stand beside */
			toned(s, b->tone, label);
			buf_char(s->out, '\n');
			spaces(s, to);
		} else {
			if (w > 0)
				toned(s, b->tone, label);
			spaces(s, to - from - w);
		}
		running(s, text, to);
	}
	return b;
}

static void
excerpt(struct screen *s, const struct block *b)
{
	const char *t = clean(s, b->text);

	while (*t != '\0') {
		size_t n = strcspn(t, "\n");

		spaces(s, s->indent);
		buf_add(s->out, t, n);
		buf_char(s->out, '\n');
		t += n + (t[n] == '\n');
	}
}

/* ---- tables --------------------------------------------------------------- */

struct grid {
	uint32_t rows, columns;
	const char **cell;                 /* cleaned */
	int width[COLUMNS_MOST];
	int least[COLUMNS_MOST];           /* longest word */
};

static int
longest_word(const char *t)
{
	int longest = 0;

	while (*t != '\0') {
		size_t n = strcspn(t, " \n");
		int w = (int)text_cells((strview){t, n});

		longest = w > longest ? w : longest;
		t += n + (t[n] != '\0');
	}
	return longest;
}

static int
grid_sum(const int *w, uint32_t n)
{
	int sum = 0;

	for (uint32_t i = 0; i < n; i++)
		sum += w[i] + (i > 0 ? GAP : 0);
	return sum;
}

static void
measure_grid(struct grid *g)
{
	for (uint32_t i = 0; i < g->rows * g->columns; i++) {
		uint32_t c = i % g->columns;
		int w = cells(g->cell[i]), l = longest_word(g->cell[i]);

		g->width[c] = w > g->width[c] ? w : g->width[c];
		g->least[c] = l > g->least[c] ? l : g->least[c];
	}
}

/* Narrow the widest columns until all fit in ROOM; false when they cannot. */
static bool
fit(struct grid *g, int room)
{
	if (grid_sum(g->least, g->columns) > room)
		return false;
	while (grid_sum(g->width, g->columns) > room) {
		uint32_t widest = g->columns;

		for (uint32_t c = 0; c < g->columns; c++)
			if (g->width[c] > g->least[c] &&
			    (widest == g->columns || g->width[c] > g->width[widest]))
				widest = c;
		if (widest == g->columns)
			return false;
		g->width[widest]--;
	}
	return true;
}

static void
grid_row(struct screen *s, const struct grid *g, uint32_t row)
{
	const char *rest[COLUMNS_MOST];
	bool more = true;

	for (uint32_t c = 0; c < g->columns; c++) {
		struct buf wrapped = {0};

		text_wrap(&wrapped, g->cell[row * g->columns + c], 0,
		    s->look->width == 0 ? 0 : g->width[c]);
		rest[c] = arena_text(s->arena, wrapped.p, wrapped.n);
		buf_free(&wrapped);
	}
	while (more) {
		int owed = s->indent;          /* blanks are written only before something */

		more = false;
		for (uint32_t c = 0; c < g->columns; c++) {
			size_t n = strcspn(rest[c], "\n");
			int w = (int)text_cells((strview){rest[c], n});

			if (n > 0) {
				spaces(s, owed);
				owed = 0;
				if (row == 0 && s->look->colour)
					buf_str(s->out, tone_codes[TONE_PLAIN]);
				buf_add(s->out, rest[c], n);
				if (row == 0 && s->look->colour)
					buf_str(s->out, "\033[0m");
			}
			owed += g->width[c] - w + GAP;
			rest[c] += n + (rest[c][n] == '\n');
			more = more || *rest[c] != '\0';
		}
		buf_char(s->out, '\n');
	}
}

static void
grid_rule(struct screen *s, const struct grid *g)
{
	spaces(s, s->indent);
	for (uint32_t c = 0; c < g->columns; c++) {
		if (c > 0)
			spaces(s, GAP);
		for (int i = 0; i < g->width[c]; i++)
			buf_char(s->out, '-');
	}
	buf_char(s->out, '\n');
}

/* One card a row, for a terminal too narrow for the table. */
static void
cards(struct screen *s, const struct grid *g)
{
	for (uint32_t r = 1; r < g->rows; r++) {
		for (uint32_t c = 0; c < g->columns; c++) {
			const char *t = g->cell[r * g->columns + c];
			const char *head = g->cell[c];

			if (*t == '\0')
				continue;
			spaces(s, s->indent + (c > 0 ? GAP : 0));
			if (*head != '\0') {
				toned(s, TONE_PLAIN, head);
				buf_str(s->out, ": ");
			}
			running(s, t, s->indent + (c > 0 ? GAP : 0) +
			    (*head != '\0' ? cells(head) + 2 : 0));
		}
	}
}

static void
table(struct screen *s, const struct block *b)
{
	struct grid g = {.rows = b->rows, .columns = b->columns};
	int room = s->look->width - s->indent;

	if (g.columns == 0 || g.columns > COLUMNS_MOST || g.rows == 0)
		return;
	g.cell = arena_alloc(s->arena, (size_t)g.rows * g.columns * sizeof *g.cell);
	for (uint32_t i = 0; i < g.rows * g.columns; i++)
		g.cell[i] = clean(s, b->cells[i]);
	if (b->label[0] != '\0') {
		spaces(s, s->indent);
		toned(s, TONE_PLAIN, clean(s, b->label));
		buf_char(s->out, '\n');
	}
	measure_grid(&g);
	if (s->look->width > 0 && (s->look->width < NARROWEST_TABLE || !fit(&g, room))) {
		cards(s, &g);
		return;
	}
	for (uint32_t r = 0; r < g.rows; r++) {
		grid_row(s, &g, r);
		if (r == 0)
			grid_rule(s, &g);
	}
}

/* ---- drawings, and what only paper has --------------------------------------- */

/* Texts are cleaned first: a control sequence in a label must not get through,
 * and plain ASCII must be laid out as it will be seen. */
static const struct drawing *
cleaned(struct screen *s, const struct drawing *d)
{
	struct drawing *copy = arena_alloc(s->arena, sizeof *copy);
	struct shape **to = &copy->first;

	*copy = *d;
	for (const struct shape *k = d->first; k != NULL; k = k->next) {
		struct shape *c = arena_alloc(s->arena, sizeof *c);

		*c = *k;
		c->text = clean(s, k->text);
		*to = c;
		to = &c->next;
	}
	return copy;
}

static void
drawing(struct screen *s, const struct block *b)
{
	const struct drawing *d = b->drawing;

	if (d == NULL)
		return;
	if (*d->title != '\0') {
		spaces(s, s->indent);
		toned(s, TONE_PLAIN, clean(s, d->title));
		buf_char(s->out, '\n');
	}
	if (!s->look->words && drawing_characters(s->out, cleaned(s, d), s->indent, s->look->width,
	    s->look->ascii))
		return;
	spaces(s, s->indent);
	running(s, clean(s, d->words), s->indent);
}

/* A frame is for paper; here its label and size say that there is one. */
static void
box(struct screen *s, const struct block *b)
{
	const char *label = clean(s, b->label);
	struct buf size = {0};

	spaces(s, s->indent);
	buf_str(&size, "[ ");
	buf_str(&size, label);
	if (*label != '\0')
		buf_str(&size, ": ");
	if (b->width > 0) {
		buf_number(&size, b->width, 6);
		buf_str(&size, s->look->ascii ? " x " : " \xc3\x97 ");
	}
	buf_number(&size, b->height, 6);
	buf_str(&size, " mm ]");
	running(s, size.p, s->indent);
	buf_free(&size);
}

/* A blank line between blocks that are not one list, for the eye. */
static bool
stands_apart(const struct block *before, const struct block *b)
{
	if (before == NULL || b->type == BLOCK_TITLE || b->type == BLOCK_HEADING)
		return false;                  /* headings bring their own */
	if (before->type == BLOCK_HEADING || before->type == BLOCK_TITLE)
		return false;
	return b->type == BLOCK_TABLE || before->type == BLOCK_TABLE ||
	    b->type == BLOCK_DRAWING || before->type == BLOCK_DRAWING ||
	    (b->type == BLOCK_BOX) != (before->type == BLOCK_BOX) ||
	    (b->type == BLOCK_ITEM && b->level == 0 && before->type == BLOCK_EXCERPT) ||
	    (b->type == BLOCK_PARAGRAPH && before->type != BLOCK_PARAGRAPH);
}

void
page_terminal(struct buf *out, const struct page *p, const struct look *look)
{
	struct screen s = {.out = out, .look = look, .arena = arena_new()};
	const struct block *before = NULL, *b = p->first, *next;
	bool broken = false;

	buf_add(out, "", 0);
	for (; b != NULL; b = next) {
		next = b->next;
		if (b->type == BLOCK_BREAK) {  /* of paper only; here a blank line */
			broken = before != NULL;
			continue;
		}
		if (stands_apart(before, b) || (broken && b->type != BLOCK_HEADING))
			buf_char(out, '\n');
		broken = false;
		switch (b->type) {
		case BLOCK_TITLE: case BLOCK_HEADING:
			heading(&s, b);
			break;
		case BLOCK_PARAGRAPH:
			spaces(&s, s.indent);
			running(&s, clean(&s, b->text), s.indent);
			break;
		case BLOCK_ITEM: case BLOCK_PAIR:
			next = labelled(&s, b);
			break;
		case BLOCK_EXCERPT:
			excerpt(&s, b);
			break;
		case BLOCK_TABLE:
			table(&s, b);
			break;
		case BLOCK_DRAWING:
			drawing(&s, b);
			break;
		case BLOCK_BOX:
			box(&s, b);
			break;
		case BLOCK_BREAK: case BLOCK__COUNT:
			break;
		}
		before = b;
	}
	arena_free(s.arena);
}
