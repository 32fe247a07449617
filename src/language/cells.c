/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Cells: the values on the evaluator's stack, and what can be done with them.
 *
 * A cell is a range, a set of words, an object or a truth. ABSENT wins over
 * everything; UNKNOWN is carried along, its range being all that can be.
 */
#include "language/language_impl.h"

/* ---- cells --------------------------------------------------------------- */

struct cell
cell_absent(uint8_t type)
{
	return (struct cell){.type = type, .state = VALUE_ABSENT};
}

struct cell
cell_truth(tri t)
{
	return (struct cell){.truth = t, .type = TYPE_TRUTH, .state = VALUE_KNOWN};
}

struct cell
cell_quantity(range r, uint8_t state)
{
	return (struct cell){.r = r, .type = TYPE_QUANTITY, .state = state};
}

uint8_t
state_worse(uint8_t a, uint8_t b)
{
	return a < b ? a : b;              /* ABSENT < UNKNOWN < KNOWN */
}

struct cell
cell_from(const value *v, uint8_t type)
{
	struct cell c = {.type = type, .state = v->state};

	switch ((enum value_type)type) {
	case TYPE_QUANTITY:
	case TYPE_BAND:
		c.r = v->r;
		break;
	case TYPE_WORDS:
		c.set[0] = v->set[0];
		c.set[1] = v->set[1];
		break;
	case TYPE_REF:
		c.ref = v->ref;
		if (v->ref < 0)
			c.state = VALUE_ABSENT;
		break;
	case TYPE_TRUTH:
	case TYPE__COUNT:
		break;
	}
	return c;
}

/* ---- operations ------------------------------------------------------------------ */

struct cell
cell_arithmetic(enum op op, struct cell a, struct cell b)
{
	uint8_t state = state_worse(a.state, b.state);

	if (state == VALUE_ABSENT)
		return cell_absent(TYPE_QUANTITY);
	switch (op) {
	case OP_ADD: return cell_quantity(range_add(a.r, b.r), state);
	case OP_SUB: return cell_quantity(range_sub(a.r, b.r), state);
	case OP_MUL: return cell_quantity(range_mul(a.r, b.r), state);
	case OP_DIV: return cell_quantity(range_div(a.r, b.r), state);
	case OP_LEAST: return cell_quantity(range_least(a.r, b.r), state);
	case OP_GREATEST: return cell_quantity(range_greatest(a.r, b.r), state);
	case OP_ROUND: return cell_quantity(range_round(a.r, b.r), state);
	case OP_FLOOR: return cell_quantity(range_floor(a.r, b.r), state);
	default: return cell_quantity(range_ceil(a.r, b.r), state);
	}
}

struct cell
cell_compare(enum op op, struct cell a, struct cell b, double step)
{
	if (a.state == VALUE_ABSENT || b.state == VALUE_ABSENT)
		return cell_truth(TRI_ABSENT);
	switch (op) {
	case OP_LT: return cell_truth(range_lt(a.r, b.r, step));
	case OP_LE: return cell_truth(range_le(a.r, b.r, step));
	case OP_GT: return cell_truth(tri_not(range_le(a.r, b.r, step)));
	case OP_GE: return cell_truth(tri_not(range_lt(a.r, b.r, step)));
	case OP_EQ: return cell_truth(range_eq(a.r, b.r, step));
	case OP_NE: return cell_truth(tri_not(range_eq(a.r, b.r, step)));
	default: return cell_truth(range_in(a.r, b.r, step));
	}
}

static int
lowest(const uint64_t m[2])
{
	return m[0] != 0 ? __builtin_ctzll(m[0]) : m[1] != 0 ? 64 + __builtin_ctzll(m[1]) : -1;
}

static int
highest(const uint64_t m[2])
{
	return m[1] != 0 ? 127 - __builtin_clzll(m[1]) : m[0] != 0 ? 63 - __builtin_clzll(m[0]) : -1;
}

/* Words of a scale compared by their places. */
struct cell
cell_compare_words(enum op op, struct cell a, struct cell b)
{
	range x, y;

	if (a.state == VALUE_ABSENT || b.state == VALUE_ABSENT || lowest(a.set) < 0 || lowest(b.set) < 0)
		return cell_truth(TRI_ABSENT);
	if (op == OP_WORD_EQ || op == OP_WORD_NE) {
		bool meet = (a.set[0] & b.set[0]) != 0 || (a.set[1] & b.set[1]) != 0;
		tri t = !meet ? TRI_FALSE : mask_single(a.set) && mask_single(b.set) ? TRI_TRUE
		    : TRI_UNKNOWN;

		return cell_truth(op == OP_WORD_EQ ? t : tri_not(t));
	}
	x = (range){lowest(a.set), highest(a.set)};
	y = (range){lowest(b.set), highest(b.set)};
	switch (op) {
	case OP_WORD_LT: return cell_truth(range_lt(x, y, 0));
	case OP_WORD_LE: return cell_truth(range_le(x, y, 0));
	case OP_WORD_GT: return cell_truth(tri_not(range_le(x, y, 0)));
	default: return cell_truth(tri_not(range_lt(x, y, 0)));
	}
}

struct cell
cell_words_in(struct cell a, const struct mask *k)
{
	uint64_t in0 = a.set[0] & k->set[0], in1 = a.set[1] & k->set[1];

	if (a.state == VALUE_ABSENT)
		return cell_truth(TRI_ABSENT);
	if (in0 == a.set[0] && in1 == a.set[1])
		return cell_truth(TRI_TRUE);
	return cell_truth((in0 | in1) != 0 ? TRI_UNKNOWN : TRI_FALSE);
}

struct cell
cell_choose(struct cell cond, struct cell a, struct cell b)
{
	struct cell u = a;

	if (cond.truth == TRI_TRUE)
		return a;
	if (cond.truth == TRI_FALSE || cond.truth == TRI_ABSENT)
		return b;
	if (a.type == TYPE_TRUTH)
		return cell_truth(a.truth == b.truth ? a.truth : TRI_UNKNOWN);
	if (a.state == VALUE_ABSENT && b.state == VALUE_ABSENT)
		return a;
	if (a.state == VALUE_ABSENT || b.state == VALUE_ABSENT) {
		/* There or not, and if there, anything that can be judged is open. */
		u.state = VALUE_UNKNOWN;
		if (a.type == TYPE_WORDS)
			u.set[0] = u.set[1] = ~(uint64_t)0;
		else
			u.r = range_all();
		return u;
	}
	u.state = state_worse(a.state, b.state);
	if (a.type == TYPE_WORDS) {
		u.set[0] |= b.set[0];
		u.set[1] |= b.set[1];
	} else
		u.r = range_hull(a.r, b.r);
	return u;
}

struct cell
cell_bare_number(const struct craft *c, struct cell a, uint32_t unit)
{
	bool ok;

	if (a.state == VALUE_ABSENT)
		return a;
	a.r = unit_range_from_base(&c->units->u[unit], a.r, &ok);
	if (!ok)
		return cell_quantity(range_all(), VALUE_UNKNOWN);
	return a;
}

/* Straight lines between the points, or the cell at or below. */
static range
table_at(const struct table *t, const struct point *p, double x)
{
	uint32_t i = 0;
	double share;

	while (i + 1 < t->n && p[i + 1].x <= x)
		i++;
	if (t->steps || x <= p[i].x || i + 1 == t->n)
		return p[i].y;
	share = (x - p[i].x) / (p[i + 1].x - p[i].x);
	return (range){p[i].y.lo + share * (p[i + 1].y.lo - p[i].y.lo),
	    p[i].y.hi + share * (p[i + 1].y.hi - p[i].y.hi)};
}

struct cell
cell_look_up(const struct craft *c, uint32_t number, struct cell a)
{
	const struct table *t = &c->table[number];
	const struct point *p = c->point + t->first;
	range r = {0, 0};
	bool any = false;

	if (a.state == VALUE_ABSENT || t->n == 0)
		return cell_absent(t->result_band ? TYPE_BAND : TYPE_QUANTITY);
	for (uint32_t i = 0; i < t->n; i++) {
		bool inside = t->by_word ? mask_has(a.set, (uint32_t)p[i].x)
		    : p[i].x >= a.r.lo && p[i].x <= a.r.hi;

		if (!inside)
			continue;
		r = any ? range_hull(r, p[i].y) : p[i].y;
		any = true;
	}
	if (t->by_word) {
		if (!any)
			return cell_quantity(range_all(), VALUE_UNKNOWN);
	} else {
		range ends = range_hull(table_at(t, p, a.r.lo), table_at(t, p, a.r.hi));
		r = any ? range_hull(r, ends) : ends;
	}
	return (struct cell){.r = r, .type = t->result_band ? TYPE_BAND : TYPE_QUANTITY, .state = a.state};
}
