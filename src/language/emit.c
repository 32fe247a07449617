/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A typed tree into a program: operands first, then the operation, so that a
 * stack of cells is all that running it needs.
 */
#include <stdlib.h>

#include "language/language_impl.h"

struct emitter {
	struct parse *p;
	struct instr *code;                /* heap, moved into the craft at the end */
	size_t n, cap;
	int depth, deepest;
};

static void emit(struct emitter *, struct tree *);

static void
put(struct emitter *e, enum op op, uint8_t reg, uint16_t a, uint32_t b, double step, int grows)
{
	e->code = mem_grow(e->code, &e->cap, e->n + 1, sizeof *e->code);
	e->code[e->n++] = (struct instr){.op = (uint8_t)op, .reg = reg, .a = a, .b = b, .step = step};
	e->depth += grows;
	if (e->depth > e->deepest)
		e->deepest = e->depth;
}

static uint32_t
path_number(struct craft_maker *m, const struct path *path)
{
	for (uint32_t i = 0; i < m->view.n_path; i++)
		if (memcmp(&m->view.path[i], path, sizeof *path) == 0)
			return i;
	return maker_add_path(m, path, 1);
}

static uint32_t
constant_number(struct craft_maker *m, double x)
{
	range r = range_exact(x);

	return maker_add_constant(m, &r, 1);
}

static uint32_t
mask_number(struct craft_maker *m, const uint64_t set[2])
{
	struct mask k = {{set[0], set[1]}};

	return maker_add_mask(m, &k, 1);
}

/* Comparisons carry the dimension of their sides, for those who show them. */
static uint32_t
dimension_bits(dimension d)
{
	uint32_t bits;

	memcpy(&bits, &d, sizeof bits);
	return bits;
}

static void
emit_list(struct emitter *e, struct tree *list)
{
	for (; list != NULL; list = list->next)
		emit(e, list);
}

static uint32_t
list_length(const struct tree *list)
{
	uint32_t n = 0;

	for (; list != NULL; list = list->next)
		n++;
	return n;
}

static void
emit_call(struct emitter *e, struct tree *t)
{
	uint32_t n = list_length(t->list);

	if (t->op == OP_LEAST || t->op == OP_GREATEST) {
		emit(e, t->list);
		for (struct tree *a = t->list->next; a != NULL; a = a->next) {
			emit(e, a);
			put(e, t->op, 0, 0, 0, 0, -1);
		}
		return;
	}
	emit_list(e, t->list);
	put(e, t->op, 0, (uint16_t)n, t->ref == NONE ? 0 : t->ref, 0, 1 - (int)n);
}

static void
emit_gather(struct emitter *e, struct tree *t)
{
	struct craft_maker *m = e->p->maker;
	size_t size_at, from;

	put(e, OP_GATHER, t->reg, (uint16_t)t->num, t->ref, 0, 0);
	put(e, OP_GATHER_OF, t->of_reg, t->of_property,
	    t->kid[0] != NULL ? path_number(m, &t->of_path) : 0, 0, 0);
	size_at = e->n;
	put(e, OP_GATHER_SIZE, 0, 0, 0, 0, 0);
	from = e->n;
	if (t->kid[1] != NULL) {
		emit(e, t->kid[1]);
		e->depth--;
	}
	e->code[size_at].a = (uint16_t)(e->n - from);
	from = e->n;
	if (t->kid[2] != NULL) {
		emit(e, t->kid[2]);
		e->depth--;
	}
	e->code[size_at].b = (uint32_t)(e->n - from);
	e->depth++;
	if (e->depth + 1 > e->deepest)
		e->deepest = e->depth + 1;
}

static void
emit_other_side(struct emitter *e, struct tree *t)
{
	size_t skip = e->n;

	put(e, OP_SKIP, 0, 0, 0, 0, 0);
	emit(e, t);
	e->code[skip].b = (uint32_t)(e->n - skip);
}

static void
emit(struct emitter *e, struct tree *t)
{
	struct craft_maker *m = e->p->maker;

	switch (t->type) {
	case TREE_NUMBER:
		put(e, OP_CONST, 0, 0, constant_number(m, t->number), 0, 1);
		break;
	case TREE_WORDS:
		put(e, OP_WORDS, 0, t->is.word_set, mask_number(m, t->set), 0, 1);
		break;
	case TREE_PATH:
		put(e, OP_LOAD, t->reg, 0, path_number(m, &t->path), 0, 1);
		break;
	case TREE_HAS:
		put(e, OP_HAS, t->reg, 0, path_number(m, &t->path), 0, 1);
		break;
	case TREE_LOCAL:
		put(e, OP_FETCH, 0, (uint16_t)t->ref, 0, 0, 1);
		break;
	case TREE_PARAMETER:
		put(e, OP_PARAMETER, 0, (uint16_t)t->ref, 0, 0, 1);
		break;
	case TREE_CONSTANT:
		put(e, OP_CALL, 0, 0, t->ref, 0, 1);
		break;
	case TREE_BINARY:
		emit(e, t->kid[0]);
		if (t->op == OP_AND || t->op == OP_OR) {
			emit_other_side(e, t->kid[1]);
		} else {
			emit(e, t->kid[1]);
		}
		put(e, t->op, 0, 0, 0, 0, -1);
		break;
	case TREE_NEG:
	case TREE_NOT:
		emit(e, t->kid[0]);
		put(e, t->type == TREE_NEG ? OP_NEG : OP_NOT, 0, 0, 0, 0, 0);
		break;
	case TREE_POWER:
		emit(e, t->kid[0]);
		put(e, OP_POWER, 0, (uint16_t)(int16_t)t->num, (uint32_t)t->den, 0, 0);
		break;
	case TREE_BARE:
		emit(e, t->kid[0]);
		put(e, OP_BARE, 0, 0, (uint32_t)t->unit, 0, 0);
		break;
	case TREE_COMPARE:
		emit(e, t->kid[0]);
		emit(e, t->kid[1]);
		put(e, t->op, 0, 0, dimension_bits(t->kid[0]->is.dim), t->is.step, -1);
		break;
	case TREE_IN_WORDS:
		emit(e, t->kid[0]);
		put(e, OP_WORD_IN, 0, t->kid[0]->is.word_set, mask_number(m, t->set), 0, 0);
		break;
	case TREE_BETWEEN:
		emit(e, t->kid[0]);
		emit(e, t->kid[1]);
		emit(e, t->kid[2]);
		put(e, OP_BETWEEN, 0, 0, dimension_bits(t->kid[0]->is.dim), t->is.step, -2);
		break;
	case TREE_IN_BAND:
		emit(e, t->kid[0]);
		emit(e, t->kid[1]);
		put(e, OP_IN_BAND, 0, 0, dimension_bits(t->kid[0]->is.dim), t->is.step, -1);
		break;
	case TREE_IS:
		if (t->ref == NONE) {
			emit(e, t->kid[0]);
			/* reg 1: "is", whose set holds narrower words nobody wrote */
			put(e, OP_WORD_IN, 1, t->kid[0]->is.word_set, mask_number(m, t->set), 0, 0);
		} else
			put(e, OP_IS, t->kid[0]->reg, (uint16_t)path_number(m, &t->kid[0]->path), t->ref, 0, 1);
		break;
	case TREE_CALL:
		emit_call(e, t);
		break;
	case TREE_GATHER:
		emit_gather(e, t);
		break;
	case TREE_IF:
		emit(e, t->kid[0]);
		emit(e, t->kid[1]);
		emit(e, t->kid[2]);
		put(e, OP_CHOOSE, 0, 0, 0, 0, -2);
		break;
	case TREE_LET:
		emit(e, t->kid[0]);
		put(e, OP_STORE, 0, (uint16_t)t->ref, 0, 0, -1);
		emit(e, t->kid[1]);
		break;
	case TREE_NAME:                    /* the type pass leaves none of these */
	case TREE_QUOTED:
	case TREE__COUNT:
		die(EXIT_OUR_FAULT, "an untyped word reached the emitter");
	}
}

uint32_t
emit_program(struct parse *p, struct tree *t)
{
	struct emitter e = {.p = p};
	struct program g = {.type = t->is.type, .dim = t->is.dim, .word_set = t->is.word_set,
	    .property = t->is.property, .variables = p->scope->n_variables};

	emit(&e, t);
	if (e.deepest >= STACK_MAX - 1 || e.n > 4000) {
		diag(p->diags, parse_place(p, t->at, t->n), D_EXPRESSION_TOO_LARGE);
		free(e.code);
		return NONE;
	}
	g.first = maker_add_instr(p->maker, e.code, (uint32_t)e.n);
	g.n = (uint32_t)e.n;
	g.stack = (uint8_t)e.deepest;
	g.written = maker_text(p->maker, p->text);
	if (p->place.src != NULL) {
		uint32_t line, column;

		place_line_column(p->place, &line, &column);
		g.file = maker_text(p->maker, sv(p->place.src->name));
		g.line = line;
	}
	free(e.code);
	return maker_add_program(p->maker, &g, 1);
}
