/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Drawings of constructions: shapes whose coordinates are expressions over the
 * object that is drawn, called `it`.
 */
#include "knowledge/knowledge_impl.h"

#include <string.h>

static const char *const drawing_keys[] = {"!drawing", "!of", "when", "!words", "!shapes", "note",
    NULL};
static const char *const shape_keys[] = {"line", "area", "circle", "arc", "text", "dimension",
    "pen",
	"fill", "anchor", "radius", "from", "to", "says", "of", "beyond", "when", "repeat", "step", NULL};
static const char *const type_names[PLAN__COUNT] = {
	[PLAN_LINE] = "line", [PLAN_AREA] = "area", [PLAN_CIRCLE] = "circle", [PLAN_ARC] = "arc",
	[PLAN_TEXT] = "text", [PLAN_DIMENSION] = "dimension",
};
/* In the order of the enums of present/drawing.h. */
static const char *const pens[] = {"plain", "thin", "thick", "dashed", "none", NULL};
static const char *const fills[] = {"none", "light", "hatch", "dark", "white", NULL};
static const char *const anchors[] = {"start", "middle", "end", NULL};

struct drawn {
	struct compiler *c;
	struct scope scope;
	uint32_t kind;
};

static uint8_t
one_of(struct compiler *c, const struct node *item, const char *key, const char *const *words)
{
	const struct node *n = node_get(item, key);
	struct buf all = {0};

	if (n == NULL || !is_text(c, n, key))
		return 0;
	for (uint8_t i = 0; words[i] != NULL; i++) {
		if (sv_is(sv_trim(n->text), words[i])) {
			buf_free(&all);
			return i;
		}
		buf_print(&all, "%s%s", i > 0 ? ", " : "", words[i]);
	}
	diag(c->ds, n->place, D_ONE_OF_KEYS, key, all.p);
	buf_free(&all);
	return 0;
}

static uint32_t
compiled(struct drawn *d, const struct node *n, uint8_t type, bool length)
{
	struct expected want = {.type = type};

	if (length)
		(void)dim_read(SV("length"), &want.dim);
	return compile_expression(d->c, n, 0, &d->scope, &want);
}

static uint32_t
optional(struct drawn *d, const struct node *item, const char *key, uint8_t type, bool length)
{
	const struct node *n = node_get(item, key);

	return n == NULL || !is_text(d->c, n, key) ? NONE : compiled(d, n, type, length);
}

static void
number(struct drawn *d, struct plan_shape *s, const struct node *n, bool length)
{
	uint32_t program = n != NULL && is_text(d->c, n, "a coordinate")
	    ? compiled(d, n, TYPE_QUANTITY, length) : NONE, at;

	if (program == NONE)
		return;
	at = maker_add_plan_number(d->c->m, &program, 1);
	if (s->n_numbers++ == 0)
		s->first_number = at;
}

/* A point is a list of two; a shape of one point may leave the outer list out. */
static uint32_t
points(struct drawn *d, struct plan_shape *s, const struct node *list)
{
	uint32_t n = 0;

	if (list->type == NODE_LIST && list->first != NULL && list->first->type != NODE_LIST) {
		number(d, s, list->first, true);
		number(d, s, list->first->next, true);
		return 1;
	}
	if (list->type != NODE_LIST) {
		diag(d->c->ds, list->place, D_EXPECTED_LIST, "points");
		return 0;
	}
	for (const struct node *p = list->first; p != NULL; p = p->next) {
		if (p->type != NODE_LIST || p->n != 2) {
			diag(d->c->ds, p->place, D_EXPECTED_LIST, "a point, [x, y]");
			continue;
		}
		if (n == PLAN_POINTS_MOST) {
			diag(d->c->ds, p->place, D_TOO_MANY, "points", "64");
			return n;
		}
		number(d, s, p->first, true);
		number(d, s, p->first->next, true);
		n++;
	}
	return n;
}

/* The number of points a type has: exactly, or at the least. */
static bool
points_fit(enum plan_type type, uint32_t n)
{
	switch (type) {
	case PLAN_LINE: return n >= 2;
	case PLAN_AREA: return n >= 3;
	case PLAN_CIRCLE: case PLAN_ARC: case PLAN_TEXT: return n == 1;
	case PLAN_DIMENSION: return n == 2;
	case PLAN__COUNT: break;
	}
	return false;
}

static void
shape(struct drawn *d, const struct node *item, uint32_t *n)
{
	struct compiler *c = d->c;
	struct plan_shape s = {.type = PLAN__COUNT, .of = NONE};
	const struct node *where = NULL, *of;

	if (item->type != NODE_MAP || !keys_known(c, item, "a shape", shape_keys)) {
		if (item->type != NODE_MAP)
			diag(c->ds, item->place, D_EXPECTED_MAP, "a shape");
		return;
	}
	for (uint8_t t = 0; t < PLAN__COUNT; t++)
		if (node_get(item, type_names[t]) != NULL && s.type == PLAN__COUNT) {
			s.type = t;
			where = node_get(item, type_names[t]);
		}
	if (where == NULL) {
		diag(c->ds, item->place, D_ONE_OF_KEYS, "a shape",
		    "line, area, circle, arc, text, dimension");
		return;
	}
	if (!points_fit((enum plan_type)s.type, points(d, &s, where))) {
		diag(c->ds, where->place, D_ONE_OF_KEYS, type_names[s.type],
		    "a line of two points or more, an area of three, a dimension of two, else one");
		return;
	}
	if (s.type == PLAN_CIRCLE || s.type == PLAN_ARC)
		number(d, &s, node_get(item, "radius"), true);
	if (s.type == PLAN_ARC) {
		number(d, &s, node_get(item, "from"), false);
		number(d, &s, node_get(item, "to"), false);
	}
	s.pen = one_of(c, item, "pen", pens);
	s.fill = one_of(c, item, "fill", fills);
	s.anchor = one_of(c, item, "anchor", anchors);
	s.says = get_text_at(c, item, "says");
	s.beyond = get_yes(c, item, "beyond", false);
	s.when = optional(d, item, "when", TYPE_TRUTH, false);
	s.repeat = optional(d, item, "repeat", TYPE_QUANTITY, false);
	s.step = optional(d, item, "step", TYPE_QUANTITY, true);
	of = node_get(item, "of");
	if (of != NULL && is_text(c, of, "of"))
		s.of = find_property(c, of, d->kind, sv_trim(of->text));
	if ((s.type == PLAN_CIRCLE && s.n_numbers != 3) || (s.type == PLAN_ARC && s.n_numbers != 5)) {
		diag(c->ds, where->place, D_ONE_OF_KEYS, type_names[s.type], "radius; of an arc from, to");
		return;
	}
	maker_add_plan_shape(c->m, &s, 1);
	++*n;
}

static void
drawing(struct compiler *c, const struct node *item)
{
	const struct node *name = item->type == NODE_MAP ? node_get(item, "drawing") : NULL, *of, *shapes;
	struct drawn d = {.c = c, .scope = {.n_variables = 1, .formula = NONE, .for_property = NONE}};
	struct draft_plan p = {.when = NONE};
	const struct node *words;

	if (!keys_known(c, item, "a drawing", drawing_keys) || !is_text(c, name, "drawing")
	    || !is_text(c, (of = node_get(item, "of")), "of")
	    || !is_text(c, (words = node_get(item, "words")), "words"))
		return;
	d.kind = find_kind(c, of, sv_trim(of->text));
	if (d.kind == NONE)
		return;
	shapes = node_get(item, "shapes");
	if (shapes->type != NODE_LIST) {
		diag(c->ds, shapes->place, D_EXPECTED_LIST, "shapes");
		return;
	}
	d.scope.variable_kind[0] = (uint16_t)d.kind;
	d.scope.variable_name[0] = "it";
	p.name = maker_text(c->m, sv_trim(name->text));
	p.kind = (uint16_t)d.kind;
	p.when = optional(&d, item, "when", TYPE_TRUTH, false);
	if (!message_compile(c->m, sv_trim(words->text), words->place, &d.scope, &p.words))
		return;
	p.first_shape = maker_view(c->m)->n_plan_shape;
	for (const struct node *n = shapes->first; n != NULL; n = n->next)
		shape(&d, n, &p.n_shapes);
	maker_add_plan(c->m, &p, 1);
}

void
read_drawings(struct compiler *c)
{
	each_item(c, "drawings", drawing);
}
