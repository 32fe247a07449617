/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Sound, and exact for one fact.
 *
 * Interval arithmetic never calls false what may be true, but it can fail to
 * see that a condition always holds (`w < 150 or w >= 150`; a ratio of two
 * thicknesses of one cloth). So an unknown truth is looked at again: the base
 * facts it hangs on are found by watching the evaluation, sampled (a single
 * value of a fact gives an exact truth), and, where all samples agree, their
 * ranges are cut at the tips of the comparisons and the pieces judged apart.
 *
 *     samples disagree            undecided, and the tip lies between them
 *     all pieces give one truth   that is the verdict
 *     64 boxes were not enough    undecided, without a tip
 */
#include "language/language_impl.h"

#define FACTS_MAX 3                        /* facts whose ranges are cut */
/* facts that can be held at their middles while a tip is sought */
#define HELD_MAX 8
#define BOXES_MAX 64
#define TRACE_MAX 96

struct cutting {
	struct reads reads;
	const struct craft *c;
	struct model *m;
	uint32_t program;
	const struct binding *b;
	struct fact fact[HELD_MAX];
	value whole[HELD_MAX];
	uint32_t n;
	struct step (*steps)[TRACE_MAX];   /* two traces, compared while cutting */
};

struct box { value side[HELD_MAX]; };

/* ---- setting facts and judging ---------------------------------------------- */

static bool
is_words(const struct cutting *k, uint32_t f)
{
	return k->c->property[k->fact[f].property].type == TYPE_WORDS;
}

static void
set_fact(struct cutting *k, uint32_t f, const value *v)
{
	value *slot = model_slot(k->m, k->fact[f].object, k->fact[f].property);

	if (is_words(k, f)) {
		if (slot->set[0] == v->set[0] && slot->set[1] == v->set[1])
			return;
		slot->set[0] = v->set[0];
		slot->set[1] = v->set[1];
	} else {
		if (!(slot->r.lo < v->r.lo) && !(slot->r.lo > v->r.lo)
		    && !(slot->r.hi < v->r.hi) && !(slot->r.hi > v->r.hi))
			return;
		slot->r = v->r;
	}
	reads_derive(&k->reads, k->m, k->fact[f].property);
}

static tri
truth_in(struct cutting *k, const struct box *box)
{
	for (uint32_t f = 0; f < k->n; f++)
		set_fact(k, f, &box->side[f]);
	return eval_truth(k->c, k->m, k->program, k->b);
}

static void
put_back(struct cutting *k)
{
	for (uint32_t f = 0; f < k->n; f++)
		set_fact(k, f, &k->whole[f]);
}

/* ---- points of a fact ----------------------------------------------------------- */

static uint32_t
nth_word(const uint64_t set[2], uint32_t n)
{
	for (uint32_t i = 0; i < 128; i++)
		if (mask_has(set, i) && n-- == 0)
			return i;
	return 0;
}

/* Point I of N across a side: both ends among them. */
static value
point(const struct cutting *k, uint32_t f, const value *side, uint32_t i, uint32_t n)
{
	value v = *side;

	if (is_words(k, f)) {
		uint32_t many = (uint32_t)mask_count(side->set);
		uint32_t which = n > 1 ? (uint32_t)((uint64_t)i * (many - 1) / (n - 1)) : many / 2;

		v.set[0] = v.set[1] = 0;
		mask_add(v.set, nth_word(side->set, which));
		return v;
	}
	double at = n > 1 ? side->r.lo + (side->r.hi - side->r.lo) * ((double)i / (double)(n - 1))
	    : side->r.lo + (side->r.hi - side->r.lo) / 2;
	if (i == n - 1 && n > 1)
		at = side->r.hi;
	v.r = range_exact(at);
	return v;
}

static uint32_t
points_of(const struct cutting *k, uint32_t f)
{
	if (is_words(k, f))
		return k->n == 1 ? (uint32_t)mask_count(k->whole[f].set) : 3;
	return k->n == 1 ? 9 : 3;
}

/* All truths met at sample points: bit TRI_x of the result. */
static unsigned
sample(struct cutting *k)
{
	uint32_t count[FACTS_MAX] = {1, 1, 1};
	unsigned seen = 0;

	for (uint32_t f = 0; f < k->n; f++)
		count[f] = points_of(k, f);
	for (uint32_t i = 0; i < count[0] * count[1] * count[2]; i++) {
		uint32_t at[FACTS_MAX] = {i % count[0], i / count[0] % count[1], i / (count[0] * count[1])};
		struct box box = {{{.pedigree = 0}}};

		for (uint32_t f = 0; f < k->n; f++)
			box.side[f] = point(k, f, &k->whole[f], at[f], count[f]);
		seen |= 1u << truth_in(k, &box);
		if ((seen & (1u << TRI_TRUE)) && (seen & (1u << TRI_FALSE)))
			break;
	}
	return seen;
}

/* ---- tips ------------------------------------------------------------------------- */

static double
middle(double lo, double hi)
{
	double m = lo + (hi - lo) / 2;

	return m > lo && m < hi ? m : lo;
}

/* Between two points of different truth: down to neighbouring numbers. */
static void
narrow(struct cutting *k, uint32_t f, struct box *box, double lo, double hi, struct tip *tip)
{
	for (int i = 0; i < 80; i++) {
		double m = middle(lo, hi);
		tri t;

		if (!(m > lo))
			break;
		box->side[f].r = range_exact(m);
		t = truth_in(k, box);
		if (t == tip->below)
			lo = m;
		else {
			hi = m;
			tip->above = t;
		}
	}
	tip->at = lo;
	tip->next = hi;
}

static bool
tip_of_words(struct cutting *k, uint32_t f, struct box *box, struct tip *tip)
{
	uint32_t many = (uint32_t)mask_count(k->whole[f].set);
	unsigned seen = 0;

	for (uint32_t i = 0; i < many; i++) {
		uint32_t w = nth_word(k->whole[f].set, i);
		tri t;

		box->side[f].set[0] = box->side[f].set[1] = 0;
		mask_add(box->side[f].set, w);
		t = truth_in(k, box);
		seen |= 1u << t;
		if (t == TRI_TRUE)
			mask_add(tip->set_true, w);
	}
	tip->below = TRI_FALSE;
	tip->above = TRI_TRUE;
	return (seen & (1u << TRI_TRUE)) && (seen & (1u << TRI_FALSE));
}

/* The tip along one fact, the others standing at their middles, or at their ends:
 * bit G of ENDS tells which. */
enum { MIDDLES = -1 };
static bool
find_tip(struct cutting *k, uint32_t f, int ends, struct tip *tip)
{
	struct box box = {{{.pedigree = 0}}};
	uint32_t n = 9;
	double before = 0;
	tri last = TRI_UNKNOWN;

	*tip = (struct tip){.fact = k->fact[f]};
	for (uint32_t g = 0; g < k->n; g++)
		box.side[g] = ends == MIDDLES ? point(k, g, &k->whole[g], 0, 1)
		    : point(k, g, &k->whole[g], (unsigned)ends >> g & 1, 2);
	if (is_words(k, f))
		return tip_of_words(k, f, &box, tip);
	for (uint32_t i = 0; i < n; i++) {
		tri t;

		box.side[f] = point(k, f, &k->whole[f], i, n);
		t = truth_in(k, &box);
		if (i > 0 && t != last && last != TRI_UNKNOWN && last != TRI_ABSENT) {
			tip->below = last;
			tip->above = t;
			narrow(k, f, &box, before, box.side[f].r.lo, tip);
			return true;
		}
		last = t;
		before = box.side[f].r.lo;
	}
	return false;
}

/* ---- proof by boxes ------------------------------------------------------------------ */

static uint32_t
trace_at(struct cutting *k, const struct box *box, struct step *steps)
{
	struct trace t = {.steps = steps, .cap = TRACE_MAX};

	for (uint32_t f = 0; f < k->n; f++)
		set_fact(k, f, &box->side[f]);
	(void)eval(k->c, k->m, k->program, k->b, &t, NULL);
	return t.n;
}

/* First comparison whose truth differs between two traces, or NONE. */
static uint32_t
comparison_that_turns(const struct step *a, uint32_t na, const struct step *b, uint32_t nb)
{
	for (uint32_t i = 0; i < na && i < nb; i++)
		if (a[i].result.type == TYPE_TRUTH && a[i].instr == b[i].instr
		    && a[i].result.truth != b[i].result.truth)
			return i;
	return NONE;
}

/* Where within LO..HI along F the comparison at STEP of the trace turns. */
static double
turning_point(struct cutting *k, uint32_t f, struct box *box, uint32_t step, double lo, double hi)
{
	tri low = k->steps[0][step].result.truth;

	for (int i = 0; i < 80; i++) {
		double m = middle(lo, hi);

		if (!(m > lo))
			break;
		box->side[f].r = range_exact(m);
		if (trace_at(k, box, k->steps[1]) <= step || k->steps[1][step].result.truth != low)
			hi = m;
		else
			lo = m;
	}
	return lo;
}

static double
next_after(double x)
{
	union { double d; uint64_t u; } v = {x};

	if (x > 0)
		v.u++;
	else if (x < 0)
		v.u--;
	else
		v.u = 1;
	return v.d;
}

/* The side to cut: the widest, as a part of the whole. */
static uint32_t
widest(const struct cutting *k, const struct box *box)
{
	uint32_t best = NONE;
	double most = 0;

	for (uint32_t f = 0; f < k->n; f++) {
		double w;

		if (is_words(k, f))
			w = mask_count(box->side[f].set) > 1
			    ? (double)mask_count(box->side[f].set) / (double)mask_count(k->whole[f].set) : 0;
		else
			w = (box->side[f].r.hi - box->side[f].r.lo) / (k->whole[f].r.hi - k->whole[f].r.lo);
		if (w > most) {
			most = w;
			best = f;
		}
	}
	return best;
}

static bool
cut(struct cutting *k, const struct box *box, struct box *low, struct box *high)
{
	uint32_t f = widest(k, box);
	struct box probe;
	uint32_t na, nb, step;
	double at;

	if (f == NONE)
		return false;
	*low = *high = *box;
	if (is_words(k, f)) {
		uint32_t half = (uint32_t)mask_count(box->side[f].set) / 2;

		low->side[f].set[0] = low->side[f].set[1] = 0;
		for (uint32_t i = 0; i < half; i++)
			mask_add(low->side[f].set, nth_word(box->side[f].set, i));
		high->side[f].set[0] &= ~low->side[f].set[0];
		high->side[f].set[1] &= ~low->side[f].set[1];
		return half > 0;
	}
	for (uint32_t g = 0; g < k->n; g++)
		probe.side[g] = point(k, g, &box->side[g], 0, 1);
	probe.side[f].r = range_exact(box->side[f].r.lo);
	na = trace_at(k, &probe, k->steps[0]);
	probe.side[f].r = range_exact(box->side[f].r.hi);
	nb = trace_at(k, &probe, k->steps[1]);
	step = comparison_that_turns(k->steps[0], na, k->steps[1], nb);
	at = step != NONE
	    ? turning_point(k, f, &probe, step, box->side[f].r.lo, box->side[f].r.hi)
	    : middle(box->side[f].r.lo, box->side[f].r.hi);
	low->side[f].r.hi = at;
	high->side[f].r.lo = next_after(at);
	return high->side[f].r.lo <= high->side[f].r.hi;
}

/* Does every box within the whole give WANTED? */
static bool
proven(struct cutting *k, tri wanted)
{
	struct box work[BOXES_MAX + 1];
	uint32_t n = 1, boxes = 1;

	memcpy(work[0].side, k->whole, sizeof k->whole);
	while (n > 0) {
		struct box box = work[--n], low, high;
		tri t = truth_in(k, &box);

		if (t == wanted)
			continue;
		if (t != TRI_UNKNOWN || boxes >= BOXES_MAX || n + 2 > BOXES_MAX || !cut(k, &box, &low, &high))
			return false;
		boxes++;
		work[n++] = low;
		work[n++] = high;
	}
	return true;
}

/* ---- the whole ----------------------------------------------------------------------- */

static bool
from_whole_domain(const struct cutting *k)
{
	for (uint32_t f = 0; f < k->n; f++)
		if (k->whole[f].state != VALUE_UNKNOWN)
			return false;
	return true;
}

/* The facts an unknown truth hangs on, ready to be moved; false: none can be. */
static bool
prepare(struct cutting *k, const struct watch *w)
{
	k->n = w->n < HELD_MAX ? w->n : HELD_MAX;
	for (uint32_t f = 0; f < k->n; f++) {
		k->fact[f] = w->facts[f];
		k->whole[f] = *model_slot(k->m, w->facts[f].object, w->facts[f].property);
	}
	return w->n > 0 && !w->full;
}

static bool
both(unsigned seen)
{
	return (seen & (1u << TRI_TRUE)) && (seen & (1u << TRI_FALSE));
}

/* It may turn in a corner only. */
static bool
tip_in_a_corner(struct cutting *k, struct tip *tip)
{
	for (uint32_t f = 0; f < k->n; f++)
		for (int ends = 0; ends < 1 << k->n; ends++)
			if (find_tip(k, f, ends, tip))
				return true;
	return false;
}

static struct truth
look_closer(const struct craft *c, struct model *m, uint32_t program, const struct binding *b,
    bool with_tips)
{
	struct step steps[2][TRACE_MAX];
	struct cutting k = {.c = c, .m = m, .program = program, .b = b, .steps = steps};
	struct watch w = {.n = 0};
	struct truth out = {.is = eval(c, m, program, b, NULL, &w).truth};
	bool ready = prepare(&k, &w);
	unsigned seen;

	out.n_facts = w.n < FACTS_MAX ? w.n : FACTS_MAX;
	memcpy(out.facts, k.fact, out.n_facts * sizeof *out.facts);
	if (!ready)
		return out;
	out.whole_domain = from_whole_domain(&k);
	if (w.n > FACTS_MAX && !with_tips)
		return out;
	reads_add(&k.reads, c, m, program, b);
	if (w.n > FACTS_MAX) {             /* too many to cut, but one may still tip it */
		for (uint32_t f = 0; f < FACTS_MAX; f++)
			if (find_tip(&k, f, MIDDLES, &out.tips[out.n_tips]))
				out.n_tips++;
		put_back(&k);
		return out;
	}
	seen = sample(&k);
	if (both(seen)) {
		for (uint32_t f = 0; f < k.n && with_tips; f++)
			if (find_tip(&k, f, MIDDLES, &out.tips[out.n_tips]))
				out.n_tips++;
		if (out.n_tips == 0 && with_tips)
			out.n_tips = tip_in_a_corner(&k, &out.tips[0]);
	} else if (seen == 1u << TRI_TRUE || seen == 1u << TRI_FALSE) {
		tri all = seen == 1u << TRI_TRUE ? TRI_TRUE : TRI_FALSE;

		if (proven(&k, all))
			out.is = all;
	}
	put_back(&k);
	return out;
}

/* ---- tips alone ------------------------------------------------------------------------ */

static bool
known_quantity(const struct cutting *k, uint32_t f)
{
	return k->c->property[k->fact[f].property].type == TYPE_QUANTITY &&
	    k->whole[f].state == VALUE_KNOWN;
}

static uint32_t
tips_along(struct cutting *k, bool known, struct tip tips[FACTS_MAX])
{
	uint32_t n = 0;

	for (uint32_t f = 0; f < k->n && f < FACTS_MAX; f++)
		if (known_quantity(k, f) == known && find_tip(k, f, MIDDLES, &tips[n]))
			n++;
	return n;
}

/* As look_closer(), without what leads to no tip of a known quantity. */
uint32_t
decide_tips(const struct craft *c, struct model *m, uint32_t program, const struct binding *b,
    struct tip tips[3])
{
	struct cutting k = {.c = c, .m = m, .program = program, .b = b};
	struct watch w = {.n = 0};
	struct tip other[FACTS_MAX];
	bool any = false;
	uint32_t n = 0;

	(void)eval(c, m, program, b, NULL, &w);
	if (!prepare(&k, &w))
		return 0;
	for (uint32_t f = 0; f < k.n && f < FACTS_MAX; f++)
		any = any || known_quantity(&k, f);
	if (!any)
		return 0;
	reads_add(&k.reads, c, m, program, b);
	if (w.n > FACTS_MAX || both(sample(&k))) {
		n = tips_along(&k, true, tips);
		if (n == 0 && w.n <= FACTS_MAX && tips_along(&k, false, other) == 0 &&
		    tip_in_a_corner(&k, &other[0]) &&
		    c->property[other[0].fact.property].type == TYPE_QUANTITY) {
			tips[0] = other[0];
			n = 1;
		}
	}
	put_back(&k);
	return n;
}

struct truth
decide(const struct craft *c, struct model *m, uint32_t program, const struct binding *b)
{
	struct truth out = {.is = eval_truth(c, m, program, b)};

	/* Most truths are certain at once; only the others pay for more. */
	return out.is != TRI_UNKNOWN ? out : look_closer(c, m, program, b, true);
}

struct truth
decide_without_tips(const struct craft *c, struct model *m, uint32_t program,
    const struct binding *b)
{
	struct truth out = {.is = eval_truth(c, m, program, b)};

	return out.is != TRI_UNKNOWN ? out : look_closer(c, m, program, b, false);
}
