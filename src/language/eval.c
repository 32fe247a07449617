/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Running a program over a model: a stack of cells, no allocation.
 *
 * Every cell is a range, a set of words, an object or a truth, with a state.
 * ABSENT means that the path led nowhere; arithmetic with it stays absent, and
 * a comparison gives TRI_ABSENT. UNKNOWN means that the value spans all that
 * can be; it takes part like any other range.
 */
#include "language/language_impl.h"

struct run {
	const struct craft *c;
	const struct model *m;
	struct binding bound;
	struct cell stack[STACK_MAX];
	int top;                           /* cells in use */
	struct cell local[LOCALS_MAX];
	const struct cell *parameter;
	int calls;
	struct trace *trace;
	struct watch *watch;
};

static void run(struct run *, uint32_t first, uint32_t n);

/* ---- paths ----------------------------------------------------------------- */

static void watch_slot(struct run *, uint32_t object, uint32_t property);
static struct cell follow(struct run *, uint8_t reg, uint32_t number, uint32_t *owner);

static int64_t
root_object(const struct run *s, uint8_t reg, const struct path *p)
{
	uint32_t o = reg == VARIABLE_ONE ? s->m->first_of_kind[p->root] : s->bound.object[reg];

	return o < s->m->n_objects && s->m->objects[o].kind == p->root ? (int64_t)o : -1;
}

/* The slot at the end of a path, or NULL. For evaluations that nobody watches. */
static const value *
slot_at(const struct model *m, uint8_t reg, const struct path *p, const struct binding *b)
{
	uint32_t o = path_end(m, reg, p, b);

	return o == NONE ? NULL
	    : &m->slots[m->objects[o].slot + m->craft->property[p->prop[p->n - 1]].slot];
}

/* Most conditions ask whether a word is one of a few: the slot is then held
 * against the words without a way over the stack. Instructions that do so, or 0. */
static uint32_t
asks_for_words(const struct craft *c, const struct instr *i, uint32_t left)
{
	if (i->op != OP_LOAD || left < 2 || c->path[i->b].n == 0)
		return 0;
	if (i[1].op == OP_WORD_IN)
		return 2;
	return left >= 3 && i[1].op == OP_WORDS && (i[2].op == OP_WORD_EQ || i[2].op == OP_WORD_NE)
	    ? 3 : 0;
}

/* What TAKEN instructions from I on come to. */
static tri
words_at_once(const struct craft *c, const struct model *m, const struct instr *i, uint32_t taken,
    const struct binding *b)
{
	const uint64_t *k = c->mask[i[1].b].set;
	const value *v = slot_at(m, i->reg, &c->path[i->b], b);
	uint64_t both[2];
	tri t;

	if (v == NULL || v->state == VALUE_ABSENT)
		return TRI_ABSENT;
	both[0] = v->set[0] & k[0];
	both[1] = v->set[1] & k[1];
	if (taken == 2) {
		if (both[0] == v->set[0] && both[1] == v->set[1])
			return TRI_TRUE;
		return (both[0] | both[1]) != 0 ? TRI_UNKNOWN : TRI_FALSE;
	}
	if ((v->set[0] | v->set[1]) == 0 || (k[0] | k[1]) == 0)
		return TRI_ABSENT;
	if ((both[0] | both[1]) == 0)
		t = TRI_FALSE;
	else
		t = mask_single(v->set) && mask_single(k) ? TRI_TRUE : TRI_UNKNOWN;
	return i[2].op == OP_WORD_EQ ? t : tri_not(t);
}

/* Does T decide what stands before the `and` or `or` that a skip leads to? */
static bool
skips(const struct instr *skip, tri t)
{
	uint8_t op = skip[skip->b].op;

	return (t == TRI_FALSE && op == OP_AND) || (t == TRI_TRUE && op == OP_OR);
}

/* As follow(), where nobody watches. */
static struct cell
load(struct run *s, const struct instr *i)
{
	const struct path *p = &s->c->path[i->b];
	uint32_t owner;
	const value *v;
	uint8_t type;

	if (p->n == 0)
		return follow(s, i->reg, i->b, &owner);
	type = s->c->property[p->prop[p->n - 1]].type;
	v = slot_at(s->m, i->reg, p, &s->bound);
	return v != NULL ? cell_from(v, type) : cell_absent(type);
}

static struct cell
follow(struct run *s, uint8_t reg, uint32_t number, uint32_t *owner)
{
	const struct path *p = &s->c->path[number];
	int64_t o = root_object(s, reg, p);
	const struct property *q = NULL;
	const value *v = NULL;

	*owner = NONE;
	for (uint8_t i = 0; i < p->n; i++) {
		q = &s->c->property[p->prop[i]];
		if (o < 0 || (uint32_t)o >= s->m->n_objects || s->m->objects[o].kind != q->kind)
			return cell_absent(s->c->property[p->prop[p->n - 1]].type);
		v = &s->m->slots[s->m->objects[o].slot + q->slot];
		*owner = (uint32_t)o;
		if (s->watch != NULL && i + 1 == p->n)
			watch_slot(s, (uint32_t)o, p->prop[i]);
		if (i + 1 < p->n) {
			if (v->state == VALUE_ABSENT || v->ref < 0)
				return cell_absent(s->c->property[p->prop[p->n - 1]].type);
			o = v->ref;
		}
	}
	if (q == NULL)
		return (struct cell){.ref = o, .type = TYPE_REF,
		    .state = o < 0 ? VALUE_ABSENT : VALUE_KNOWN};
	return cell_from(v, q->type);
}

/* ---- watching: which base facts a verdict hangs on ------------------------------ */

static bool
certain(const value *v, uint8_t type)
{
	if (v->state == VALUE_ABSENT)
		return true;
	switch ((enum value_type)type) {
	case TYPE_QUANTITY:
		return range_is_exact(v->r);
	case TYPE_WORDS:
		return !mask_several(v->set);
	case TYPE_REF:
	case TYPE_BAND:
	case TYPE_TRUTH:
	case TYPE__COUNT:
		break;
	}
	return true;
}

static bool
watched_already(const struct watch *w, uint32_t object, uint32_t property)
{
	for (uint32_t i = 0; i < w->n; i++)
		if (w->facts[i].object == object && w->facts[i].property == property)
			return true;
	return false;
}

static void
watch_slot(struct run *s, uint32_t object, uint32_t property)
{
	const struct property *q = &s->c->property[property];
	const value *v = &s->m->slots[s->m->objects[object].slot + q->slot];
	struct watch *w = s->watch;

	if (v->state == VALUE_ABSENT || (!w->all && certain(v, q->type)))
		return;
	if (q->formula != NONE && s->m->pedigrees[v->pedigree].kind == PEDIGREE_DERIVED) {
		struct run inner = {.c = s->c, .m = s->m, .watch = w, .calls = s->calls + 1};
		uint32_t before = w->n;

		if (inner.calls > 12)
			return;
		inner.bound.object[0] = object;
		run(&inner, s->c->program[q->formula].first, s->c->program[q->formula].n);
		if (w->n > before)
			return;
		/* Uncertain, though nothing it read is: the formula itself spans a
		 * range (a table, a validity limit), or all it hangs on was met before. */
		return;
	}
	if (watched_already(w, object, property))
		return;
	if (w->n == sizeof w->facts / sizeof *w->facts) {
		w->full = true;
		return;
	}
	w->facts[w->n++] = (struct fact){object, property};
}

/* ---- formulas ---------------------------------------------------------------------- */

static struct cell
call(struct run *s, const struct instr *i)
{
	const struct formula *f = &s->c->formula[i->b];
	const struct cell *keep = s->parameter;
	struct cell args[PARAMETERS_MAX], out;
	uint8_t state = VALUE_KNOWN;
	tri valid = TRI_TRUE;

	for (uint16_t k = 0; k < i->a; k++) {
		args[k] = s->stack[s->top - i->a + k];
		state = state_worse(state, args[k].state);
	}
	s->top -= i->a;
	if (state == VALUE_ABSENT)
		return cell_absent(TYPE_QUANTITY);
	if (s->calls >= 12 || s->top + s->c->program[f->body].stack >= STACK_MAX ||
	    (f->valid != NONE && s->top + s->c->program[f->valid].stack >= STACK_MAX))
		return cell_quantity(range_all(), VALUE_UNKNOWN);
	s->calls++;
	s->parameter = args;
	if (f->valid != NONE) {
		run(s, s->c->program[f->valid].first, s->c->program[f->valid].n);
		valid = s->stack[--s->top].truth;
	}
	run(s, s->c->program[f->body].first, s->c->program[f->body].n);
	out = s->stack[--s->top];
	s->parameter = keep;
	s->calls--;
	/* Outside its validity a formula says nothing. Where that is open, the
	 * result may be anything, but `has` must not take it for missing: for some
	 * values within the ranges it is there. */
	if (valid != TRI_TRUE)
		return cell_quantity(range_all(), valid == TRI_UNKNOWN ? state : VALUE_UNKNOWN);
	out.state = state_worse(out.state, state);
	return out;
}

/* ---- gatherings ---------------------------------------------------------------------- */

enum { ANY, EVERY, COUNT, SUM, LEAST, GREATEST };

struct gathered {
	tri truth;
	range r, maybe;                    /* of those surely in; of those perhaps in */
	uint8_t state;
	bool some, some_maybe;
};

static void
gather_one(struct gathered *g, uint16_t how, struct cell body, tri in)
{
	range r;

	if (how == ANY || how == EVERY) {
		tri t = how == ANY ? tri_and(in, body.truth) : tri_or(tri_not(in), body.truth);

		if (t != TRI_ABSENT)
			g->truth = how == ANY ? tri_or(g->truth, t) : tri_and(g->truth, t);
		return;
	}
	if (how == COUNT)
		body = cell_quantity(range_exact(1), VALUE_KNOWN);
	if (body.state == VALUE_ABSENT)
		return;
	g->state = state_worse(g->state, body.state);
	r = body.r;
	if (how == COUNT || how == SUM) {
		if (in == TRI_UNKNOWN)
			r = range_hull(r, range_exact(0));
		g->r = g->some ? range_add(g->r, r) : r;
		g->some = true;
	} else if (in == TRI_UNKNOWN) {
		g->maybe = !g->some_maybe ? r
		    : how == LEAST ? range_least(g->maybe, r) : range_greatest(g->maybe, r);
		g->some_maybe = true;
	} else {
		g->r = !g->some ? r : how == LEAST ? range_least(g->r, r) : range_greatest(g->r, r);
		g->some = true;
	}
}

static struct cell
gather_result(const struct gathered *g, uint16_t how)
{
	switch (how) {
	case ANY:
	case EVERY:
		return cell_truth(g->truth);
	case COUNT:
		return cell_quantity(g->some ? g->r : range_exact(0), VALUE_KNOWN);
	case SUM:
		return g->some ? cell_quantity(g->r, g->state) : cell_absent(TYPE_QUANTITY);
	default:
		if (!g->some)
			return g->some_maybe ? cell_quantity(g->maybe, g->state) : cell_absent(TYPE_QUANTITY);
		if (!g->some_maybe)
			return cell_quantity(g->r, g->state);
		return cell_quantity(range_hull(g->r, how == LEAST ? range_least(g->r, g->maybe)
			: range_greatest(g->r, g->maybe)), g->state);
	}
}

/* Runs the gathering at I; its condition and body follow the three heads. */
static struct cell
gather(struct run *s, uint32_t at)
{
	const struct instr *i = &s->c->instr[at], *of = i + 1, *size = i + 2;
	struct gathered g = {.truth = i->a == ANY ? TRI_FALSE : TRI_TRUE, .state = VALUE_KNOWN};
	uint32_t keep = s->bound.object[i->reg], where = at + 3, body = where + size->a;
	int64_t owner = -1;

	if (of->a != NO16) {
		uint32_t ignored;
		struct cell c = follow(s, of->reg, of->b, &ignored);

		if (c.state == VALUE_ABSENT)
			return i->a == ANY || i->a == EVERY ? cell_truth(TRI_ABSENT) : cell_absent(TYPE_QUANTITY);
		owner = c.ref;
	}
	for (uint32_t o = s->m->first_of_kind[i->b]; o != NONE; o = s->m->objects[o].next) {
		tri in = TRI_TRUE;
		struct cell c = cell_truth(TRI_TRUE);

		if (of->a != NO16) {
			const value *v = &s->m->slots[s->m->objects[o].slot + s->c->property[of->a].slot];

			if (v->state == VALUE_ABSENT || v->ref != owner)
				continue;
		}
		s->bound.object[i->reg] = o;
		if (size->a > 0) {
			run(s, where, size->a);
			in = s->stack[--s->top].truth;
		}
		if (in == TRI_FALSE || in == TRI_ABSENT)
			continue;
		if (size->b > 0) {
			run(s, body, size->b);
			c = s->stack[--s->top];
		}
		gather_one(&g, i->a, c, in);
	}
	s->bound.object[i->reg] = keep;
	return gather_result(&g, i->a);
}

/* ---- the loop -------------------------------------------------------------------------- */

static struct cell
is_entry(struct run *s, const struct instr *i)
{
	uint32_t ignored;
	struct cell c = follow(s, i->reg, i->a, &ignored);

	if (c.state == VALUE_ABSENT)
		return cell_truth(TRI_ABSENT);
	if (s->m->objects[c.ref].entry == NONE)
		return cell_truth(TRI_UNKNOWN);
	return cell_truth(entry_is(s->c, s->m->objects[c.ref].entry, i->b) ? TRI_TRUE : TRI_FALSE);
}

static void
record(struct run *s, uint32_t at, const struct cell *left, const struct cell *right,
    uint32_t owner)
{
	if (s->trace->n == s->trace->cap)
		return;
	s->trace->steps[s->trace->n++] = (struct step){.instr = at, .result = s->stack[s->top - 1],
	    .left = *left, .right = *right, .object = owner};
}

static void
run(struct run *s, uint32_t first, uint32_t n)
{
	for (uint32_t at = first; at < first + n; at++) {
		const struct instr *i = &s->c->instr[at];
		struct cell *t = s->stack + s->top;    /* first free cell */
		struct cell left, right;       /* what a trace shows of the two sides */
		uint32_t owner = NONE;

		if (s->trace != NULL) {
			right = s->top >= 1 ? t[-1] : (struct cell){0};
			left = s->top >= 2 ? t[-2] : right;
		}
		switch ((enum op)i->op) {
		case OP_CONST:
			t[0] = cell_quantity(s->c->constant[i->b], VALUE_KNOWN);
			s->top++;
			continue;
		case OP_WORDS:
			t[0] = (struct cell){.set = {s->c->mask[i->b].set[0], s->c->mask[i->b].set[1]},
			    .type = TYPE_WORDS, .state = VALUE_KNOWN};
			s->top++;
			continue;
		case OP_LOAD: {
			bool unseen = s->trace == NULL && s->watch == NULL;
			uint32_t taken = unseen ? asks_for_words(s->c, i, first + n - at) : 0;

			s->top++;
			if (taken > 0) {
				t[0] = cell_truth(words_at_once(s->c, s->m, i, taken, &s->bound));
				at += taken - 1;
				continue;
			}
			t[0] = unseen ? load(s, i) : follow(s, i->reg, i->b, &owner);
			break;
		}
		case OP_HAS: {
			struct watch *keep = s->watch;

			s->watch = NULL;
			t[0] = cell_truth(follow(s, i->reg, i->b, &owner).state == VALUE_KNOWN ? TRI_TRUE : TRI_FALSE);
			s->watch = keep;
			s->top++;
			break;
		}
		case OP_PARAMETER:
			t[0] = s->parameter != NULL ? s->parameter[i->a] : cell_absent(TYPE_QUANTITY);
			s->top++;
			continue;
		case OP_STORE:
			s->local[i->a] = t[-1];
			s->top--;
			continue;
		case OP_FETCH:
			t[0] = s->local[i->a];
			s->top++;
			continue;
		case OP_ADD: case OP_SUB: case OP_MUL: case OP_DIV: case OP_LEAST: case OP_GREATEST:
		case OP_ROUND: case OP_FLOOR: case OP_CEIL:
			t[-2] = cell_arithmetic((enum op)i->op, t[-2], t[-1]);
			s->top--;
			break;
		case OP_NEG:
			if (t[-1].state != VALUE_ABSENT)
				t[-1].r = range_neg(t[-1].r);
			break;
		case OP_ABS:
			if (t[-1].state != VALUE_ABSENT)
				t[-1].r = range_abs(t[-1].r);
			break;
		case OP_POWER:
			if (t[-1].state != VALUE_ABSENT)
				t[-1].r = range_pow(t[-1].r, (int16_t)i->a, (int)i->b);
			break;
		case OP_BARE:
			t[-1] = cell_bare_number(s->c, t[-1], i->b);
			break;
		case OP_CALL: {
			struct cell c = call(s, i);

			s->stack[s->top++] = c;
			break;
		}
		case OP_TABLE:
			t[-1] = cell_look_up(s->c, i->b, t[-1]);
			break;
		case OP_LT: case OP_LE: case OP_EQ: case OP_NE: case OP_GE: case OP_GT: case OP_IN_BAND:
			t[-2] = cell_compare((enum op)i->op, t[-2], t[-1], i->step);
			s->top--;
			break;
		case OP_BETWEEN: {
			struct cell low = cell_compare(OP_GE, t[-3], t[-2], i->step);
			struct cell high = cell_compare(OP_LE, t[-3], t[-1], i->step);

			left = t[-3];
			right = (struct cell){.r = {t[-2].r.lo, t[-1].r.hi}, .type = TYPE_BAND, .state = VALUE_KNOWN};
			t[-3] = cell_truth(tri_and(low.truth, high.truth));
			s->top -= 2;
			break;
		}
		case OP_WORD_LT: case OP_WORD_LE: case OP_WORD_EQ: case OP_WORD_NE: case OP_WORD_GE:
		case OP_WORD_GT:
			t[-2] = cell_compare_words((enum op)i->op, t[-2], t[-1]);
			s->top--;
			break;
		case OP_WORD_IN:
			left = t[-1];
			right = (struct cell){.set = {s->c->mask[i->b].set[0], s->c->mask[i->b].set[1]},
			    .type = TYPE_WORDS, .state = VALUE_KNOWN};
			t[-1] = cell_words_in(t[-1], &s->c->mask[i->b]);
			break;
		case OP_IS:
			t[0] = is_entry(s, i);
			s->top++;
			break;
		case OP_AND:
			t[-2] = cell_truth(tri_and(t[-2].truth, t[-1].truth));
			s->top--;
			break;
		case OP_OR:
			t[-2] = cell_truth(tri_or(t[-2].truth, t[-1].truth));
			s->top--;
			break;
		case OP_SKIP:
			/* A trace and a watch want to see both sides. */
			if (s->trace == NULL && s->watch == NULL && skips(i, t[-1].truth))
				at += i->b;
			continue;
		case OP_NOT:
			t[-1] = cell_truth(tri_not(t[-1].truth));
			break;
		case OP_KEEP_LEFT:
			s->top--;
			break;
		case OP_KEEP_RIGHT:
			t[-2] = t[-1];
			s->top--;
			break;
		case OP_CHOOSE:
			t[-3] = cell_choose(t[-3], t[-2], t[-1]);
			s->top -= 2;
			break;
		case OP_GATHER: {
			const struct instr *size = i + 2;
			struct cell c = gather(s, at);

			s->stack[s->top++] = c;
			at += 2u + size->a + size->b;
			break;
		}
		case OP_GATHER_OF:
		case OP_GATHER_SIZE:
		case OP__COUNT:
			continue;
		}
		if (s->trace != NULL)
			record(s, at, &left, &right, owner);
	}
}

/* The stack stays as it comes: no cell is read before it is written. */
static void
start(struct run *s, const struct craft *c, const struct model *m, const struct binding *b)
{
	s->c = c;
	s->m = m;
	s->bound = *b;
	s->top = 0;
	s->parameter = NULL;
	s->calls = 0;
	s->trace = NULL;
	s->watch = NULL;
}

struct cell
eval(const struct craft *c, const struct model *m, uint32_t program, const struct binding *b,
    struct trace *trace, struct watch *watch)
{
	struct run s;

	start(&s, c, m, b);
	s.trace = trace;
	s.watch = watch;
	run(&s, c->program[program].first, c->program[program].n);
	return s.stack[0];
}

struct cell
eval_value(const value *v, uint8_t type)
{
	return cell_from(v, type);
}

tri
eval_truth(const struct craft *c, const struct model *m, uint32_t program, const struct binding *b)
{
	const struct program *g = &c->program[program];
	const struct instr *i = &c->instr[g->first];
	uint32_t at = asks_for_words(c, i, g->n);
	struct run s;
	tri t;

	if (at == 0)
		return eval(c, m, program, b, NULL, NULL).truth;
	/* most conditions are settled by their first word: "of a buttonhole, and ..." */
	t = words_at_once(c, m, i, at, b);
	while (at < g->n && i[at].op == OP_SKIP && skips(&i[at], t))
		at += i[at].b + 1;
	if (at == g->n)
		return t;
	start(&s, c, m, b);
	s.stack[s.top++] = cell_truth(t);
	run(&s, g->first + at, g->n - at);
	return s.stack[0].truth;
}

struct cell
formula_work_out(const struct craft *c, uint32_t formula, const range *arguments, tri *valid)
{
	const struct formula *f = &c->formula[formula];
	struct cell args[PARAMETERS_MAX];
	struct model none = {.craft = c};
	struct run s = {.c = c, .m = &none, .parameter = args};

	*valid = TRI_TRUE;
	for (uint32_t i = 0; i < f->n_parameters && i < PARAMETERS_MAX; i++)
		args[i] = cell_quantity(arguments[i], VALUE_KNOWN);
	if (f->valid != NONE) {
		run(&s, c->program[f->valid].first, c->program[f->valid].n);
		*valid = s.stack[--s.top].truth;
	}
	if (*valid != TRI_TRUE)
		return cell_quantity(range_all(), VALUE_UNKNOWN);
	run(&s, c->program[f->body].first, c->program[f->body].n);
	return s.stack[0];
}
