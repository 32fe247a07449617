/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Why a verdict came out so.
 *
 * Reasons are read off a trace of the very program that gave the verdict.
 * Which property lends its units to a comparison, and where each of its sides
 * begins, is found by walking the program with a stack of names instead of
 * values.
 */
#include "judge/judge_impl.h"

/* ---- which properties stand in a comparison --------------------------------- */

/* difference: of two values of one property, as of two temperatures; it has no
 * zero point of its own. */
struct side {
	uint32_t property, path, from;     /* from: its first instruction */
	uint8_t reg;
	bool difference;
};
struct walk {
	const struct craft *c;
	struct side stack[256], local[16];
	uint32_t n, wanted;
	struct sides found;
	bool done;
};

static const struct side nothing = { .property = NONE, .path = NONE };

static struct side
side_of_path(const struct craft *c, uint32_t number, uint8_t reg)
{
	const struct path *path = &c->path[number];

	return (struct side){ .path = number, .reg = reg,
	    .property = path->n ? path->prop[path->n - 1] : NONE };
}

bool
is_comparison(uint8_t op)
{
	return op >= OP_LT && op <= OP_IS;
}

bool
compares_quantities(uint8_t op)
{
	return op >= OP_LT && op <= OP_IN_BAND;
}

static struct side *
top(struct walk *w, uint32_t below)
{
	return &w->stack[w->n > below ? w->n - 1 - below : 0];
}

static void
push(struct walk *w, struct side s, uint32_t from)
{
	s.from = from;
	if (w->n < 256)
		w->stack[w->n++] = s;
}

/* The topmost TAKEN become one, which begins where the first of them did. */
static void
replace(struct walk *w, uint32_t at, uint32_t taken, struct side s)
{
	uint32_t from = taken > 0 && taken <= w->n ? w->stack[w->n - taken].from : at;

	w->n -= taken <= w->n ? taken : w->n;
	push(w, s, from);
}

static void walk(struct walk *, uint32_t from, uint32_t to, unsigned depth);

/* The three instructions of a gathering, its condition and its body. */
static uint32_t
walk_gather(struct walk *w, uint32_t i, unsigned depth)
{
	const struct instr *size = &w->c->instr[i + 2];
	uint32_t n = w->n, body = i + 3 + size->a, end = body + size->b;
	struct side s = nothing;

	if (size->a) {
		walk(w, i + 3, body, depth + 1);
		w->n = n;
	}
	if (size->b) {
		walk(w, body, end, depth + 1);
		s = w->n > n ? *top(w, 0) : nothing;
		w->n = n;
	}
	s.path = NONE;
	push(w, s, i);
	return end;
}

static void
walk(struct walk *w, uint32_t from, uint32_t to, unsigned depth)
{
	const struct craft *c = w->c;

	for (uint32_t i = from; i < to && !w->done && depth < 8; i++) {
		const struct instr *in = &c->instr[i];
		struct side l = *top(w, 1), r = *top(w, 0);

		if (i == w->wanted) {
			if (in->op == OP_BETWEEN)
				l = *top(w, 2), r = *top(w, 1);
			else if (in->op == OP_WORD_IN) {
				l = r;
				r = l;
			} else if (in->op == OP_IS) {
				l = side_of_path(c, in->a, in->reg);
				r = nothing;
			}
			w->found = (struct sides){ .left_property = l.property,
			    .right_property = r.property, .left_path = l.path,
			    .left_reg = l.reg, .left_from = l.from,
			    .right_from = in->op == OP_WORD_IN || in->op == OP_IS ? i : r.from,
			    .difference = l.difference || r.difference };
			w->done = true;
			return;
		}
		switch ((enum op)in->op) {
		case OP_LOAD:
			push(w, side_of_path(c, in->b, in->reg), i);
			break;
		case OP_CONST:
		case OP_WORDS:
		case OP_HAS:
		case OP_PARAMETER:
		case OP_IS:
			push(w, nothing, i);
			break;
		case OP_STORE:
			if (in->a < 16)
				w->local[in->a] = r;
			w->n -= w->n > 0;
			break;
		case OP_FETCH:
			push(w, in->a < 16 ? w->local[in->a] : nothing, i);
			break;
		case OP_ADD:
		case OP_SUB:
		case OP_LEAST:
		case OP_GREATEST:
			/* still a value of the same property; no longer one object's */
			if (in->op == OP_SUB && l.property != NONE && r.property != NONE)
				l.difference = l.difference == r.difference;
			l = l.property != NONE ? l : r;
			l.path = NONE;
			replace(w, i, 2, l);
			break;
		case OP_ROUND:
		case OP_FLOOR:
		case OP_CEIL:
			l.path = NONE;
			replace(w, i, 2, l);
			break;
		case OP_NEG:
		case OP_ABS:
			top(w, 0)->path = NONE;
			break;
		case OP_POWER:
		case OP_BARE:
		case OP_TABLE:
		case OP_NOT:
		case OP_WORD_IN:
			replace(w, i, 1, nothing);
			break;
		case OP_CALL:
			replace(w, i, in->a, nothing);
			break;
		case OP_MUL:
		case OP_DIV:
		case OP_LT:
		case OP_LE:
		case OP_EQ:
		case OP_NE:
		case OP_GE:
		case OP_GT:
		case OP_IN_BAND:
		case OP_WORD_LT:
		case OP_WORD_LE:
		case OP_WORD_EQ:
		case OP_WORD_NE:
		case OP_WORD_GE:
		case OP_WORD_GT:
		case OP_AND:
		case OP_OR:
		case OP_KEEP_LEFT:
		case OP_KEEP_RIGHT:
			replace(w, i, 2, nothing);
			break;
		case OP_BETWEEN:
			replace(w, i, 3, nothing);
			break;
		case OP_CHOOSE:
			l = l.property != NONE ? l : r;
			l.path = NONE;
			replace(w, i, 3, l);
			break;
		case OP_GATHER:
			i = walk_gather(w, i, depth) - 1;
			break;
		case OP_SKIP:
		case OP_GATHER_OF:
		case OP_GATHER_SIZE:
		case OP__COUNT:
			break;
		}
	}
}

struct sides
comparison_sides(const struct craft *c, uint32_t program, uint32_t instr)
{
	const struct program *p = &c->program[program];
	struct walk w = { .c = c, .wanted = instr,
	    .found = { .left_property = NONE,
	    .right_property = NONE, .left_path = NONE } };

	w.stack[0] = nothing;
	walk(&w, p->first, p->first + p->n, 0);
	return w.found;
}

/* ---- reasons --------------------------------------------------------------- */

/* A difference as it must be handed to cell_print: the zero point of the unit
 * shown is put in, since it will be taken off again. */
static struct cell
without_zero(const struct craft *c, struct cell cell, uint32_t property)
{
	const struct property *p = &c->property[property];
	double zero = p->n_units ? c->unit[c->unit_list[p->first_unit]].offset : 0;

	if (cell.type == TYPE_QUANTITY || cell.type == TYPE_BAND) {
		cell.r.lo += zero;
		cell.r.hi += zero;
	}
	return cell;
}

/* What the left side of a comparison read, when it is no bare property. */
static void
read_left(struct reason *r, const struct model *m, const struct sides *sides,
    const struct trace *trace)
{
	const struct craft *c = m->craft;

	for (uint32_t i = 0; i < trace->n && r->n_from < 3; i++) {
		const struct step *s = &trace->steps[i];
		const struct path *path;
		struct fact fact;
		bool there = false;

		if (s->instr < sides->left_from || s->instr >= sides->right_from ||
		    c->instr[s->instr].op != OP_LOAD || s->object == NONE)
			continue;
		path = &c->path[c->instr[s->instr].b];
		if (path->n == 0)
			continue;
		fact = (struct fact){ s->object, path->prop[path->n - 1] };
		if (c->property[fact.property].type == TYPE_REF)
			continue;
		for (uint32_t k = 0; k < r->n_from && !there; k++)
			there = r->from[k].object == fact.object &&
			    r->from[k].property == fact.property;
		if (!there)
			r->from[r->n_from++] = fact;
	}
}

static void
add_reason(struct finding *f, const struct model *m, uint32_t program, const struct trace *trace,
    const struct step *s, bool in_when)
{
	const struct craft *c = m->craft;
	struct sides sides = comparison_sides(c, program, s->instr);
	struct reason *r = &f->reasons[f->n_reasons++];

	*r = (struct reason){ .instr = s->instr, .left = s->left, .right = s->right,
	    .left_property = sides.left_property, .right_property = sides.right_property,
	    .object = NONE, .truth = s->result.truth, .in_when = in_when };
	if (sides.left_path != NONE)
		r->object = path_object(m, &c->path[sides.left_path], sides.left_reg, &f->binding);
	else
		read_left(r, m, &sides, trace);
	/* both sides have one dimension, or one set of words: either's will serve,
	 * or else the units in which such a quantity is shown anywhere */
	if (r->left_property == NONE && r->right_property == NONE &&
	    compares_quantities(c->instr[s->instr].op))
		r->left_property = property_of_dim(c, instr_dimension(&c->instr[s->instr]));
	if (r->right_property == NONE)
		r->right_property = r->left_property;
	if (r->left_property == NONE)
		r->left_property = r->right_property;
	if (sides.difference && r->left_property != NONE) {
		r->left = without_zero(c, r->left, r->left_property);
		r->right = without_zero(c, r->right, r->left_property);
	}
	if (c->instr[s->instr].op == OP_IS) {
		r->left = (struct cell){ .ref = r->object == NONE ? -1 : (int64_t)r->object,
		    .type = TYPE_REF, .state = r->object == NONE ? VALUE_ABSENT : VALUE_KNOWN };
		r->right = (struct cell){ .type = TYPE_TRUTH, .state = VALUE_ABSENT };
	}
}

/* The comparisons of one truth, or where there are none, all of them. */
static void
reasons_of(struct finding *f, const struct model *m, uint32_t program, bool in_when, tri wanted)
{
	const struct craft *c = m->craft;
	const struct program *p = &c->program[program];
	struct step steps[TRACE_MAX];
	struct trace trace = { .steps = steps, .cap = TRACE_MAX };
	uint32_t before = f->n_reasons;

	eval(c, m, program, &f->binding, &trace, NULL);
	for (int pass = 0; pass < 2 && f->n_reasons == before; pass++)
		for (uint32_t i = 0; i < trace.n && f->n_reasons < 6; i++) {
			const struct step *s = &steps[i];

			/* steps outside are those of a formula called */
			if (s->instr < p->first || s->instr >= p->first + p->n ||
			    !is_comparison(c->instr[s->instr].op) ||
			    (pass == 0 && s->result.truth != wanted) ||
			    s->result.truth == TRI_ABSENT)
				continue;
			add_reason(f, m, program, &trace, s, in_when);
		}
}

/* The base facts a program read, down through what is worked out from them. */
static void
origins_of(struct finding *f, const struct model *m, uint32_t program, const struct binding *b,
    unsigned depth)
{
	const struct craft *c = m->craft;
	struct step steps[TRACE_MAX];
	struct trace trace = { .steps = steps, .cap = TRACE_MAX };

	if (depth > 4)
		return;
	eval(c, m, program, b, &trace, NULL);
	for (uint32_t i = 0; i < trace.n && f->n_origins < 6; i++) {
		const struct instr *in = &c->instr[steps[i].instr];
		struct fact fact = { .object = steps[i].object };
		const struct path *path;
		const value *v;
		bool there = false;

		if (in->op != OP_LOAD || fact.object == NONE)
			continue;
		path = &c->path[in->b];
		if (path->n == 0)
			continue;
		fact.property = path->prop[path->n - 1];
		if (c->property[fact.property].type == TYPE_REF)
			continue;
		v = model_slot(m, fact.object, fact.property);
		if (m->pedigrees[v->pedigree].kind == PEDIGREE_DERIVED &&
		    c->property[fact.property].formula != NONE) {
			struct binding inner = binding_of(fact.object, NONE);

			origins_of(f, m, c->property[fact.property].formula, &inner, depth + 1);
			continue;
		}
		for (uint32_t k = 0; k < f->n_origins && !there; k++)
			there = f->origins[k].fact.object == fact.object &&
			    f->origins[k].fact.property == fact.property;
		if (!there)
			f->origins[f->n_origins++] = (struct origin){ fact, v->pedigree };
	}
}

void
verdict_reasons(struct finding *f, const struct model *m)
{
	const struct rule *rule = &m->craft->rule[f->rule];

	f->n_reasons = f->n_origins = 0;
	f->limit = (struct cell){ .type = TYPE_QUANTITY, .state = VALUE_ABSENT };
	f->limit_property = NONE;
	reasons_of(f, m, rule->must, false, f->verdict);
	/* the first figure, or where there is none, the first word */
	for (uint32_t i = 0; i < f->n_reasons; i++)
		if (i == 0 || f->limit.type == TYPE_WORDS) {
			f->limit = f->reasons[i].right;
			f->limit_property = f->reasons[i].right_property;
		}
	if (f->limit.type == TYPE_WORDS) {
		f->limit = f->reasons[0].right;
		f->limit_property = f->reasons[0].right_property;
	}
	origins_of(f, m, rule->must, &f->binding, 0);
	if (rule->when != NONE) {
		reasons_of(f, m, rule->when, true, TRI_TRUE);
		origins_of(f, m, rule->when, &f->binding, 0);
	}
}

/* ---- where -------------------------------------------------------------------- */

struct place
origin_place(const struct model *m, const struct origin *origin)
{
	const struct pedigree *p = &m->pedigrees[origin->pedigree];
	uint32_t o = origin->fact.object;

	if (p->kind == PEDIGREE_SAID && p->place.src != NULL)
		return p->place;
	while (o != NONE && m->objects[o].place.src == NULL)
		o = m->objects[o].parent;
	return o != NONE ? m->objects[o].place : (struct place){0};
}
