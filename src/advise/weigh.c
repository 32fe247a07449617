/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * One setting of one object: which obtainable values the advice accepts.
 *
 * Where a condition is undecided, the fact that decides most of the conditions
 * is cut at its tips and each piece is weighed apart, at its middle. A piece
 * meets all advice that applies there; where nothing obtainable is left, the
 * weakest advice is left out until something is.
 */
#include "advise/advise_impl.h"

/* ---- the deciding fact -------------------------------------------------------- */

static void
keep_tip(struct weighing *w, const struct tip *t)
{
	for (uint32_t i = 0; i < w->n_tips; i++) {
		double d = w->tips[i].at - t->at;

		if (d < 1e-12 && d > -1e-12)
			return;
	}
	if (w->n_tips + 1 < PIECES_MAX)
		w->tips[w->n_tips++] = *t;
}

static void
sort_tips(struct weighing *w)
{
	for (uint32_t i = 1; i < w->n_tips; i++)
		for (uint32_t k = i; k > 0 && w->tips[k].at < w->tips[k - 1].at; k--) {
			struct tip t = w->tips[k];

			w->tips[k] = w->tips[k - 1];
			w->tips[k - 1] = t;
		}
}

#define EVEN_PIECES 4

struct undecided { struct tip tips[3]; uint32_t n_tips; };

/* The quantity that most undecided conditions tip on. */
static void
choose_fact(struct weighing *w, const struct undecided *u, uint32_t n)
{
	uint32_t most = 0;

	w->fact = (struct fact){NONE, NONE};
	for (uint32_t i = 0; i < n; i++)
		for (uint32_t t = 0; t < u[i].n_tips; t++) {
			struct fact f = u[i].tips[t].fact;
			uint32_t count = 0;

			if (w->c->property[f.property].type != TYPE_QUANTITY
			    || model_slot(w->m, f.object, f.property)->state != VALUE_KNOWN)
				continue;
			for (uint32_t k = 0; k < n; k++)
				for (uint32_t s = 0; s < u[k].n_tips; s++)
					count += u[k].tips[s].fact.object == f.object
					    && u[k].tips[s].fact.property == f.property;
			if (count > most) {
				most = count;
				w->fact = f;
			}
		}
	if (w->fact.property == NONE)
		return;
	for (uint32_t i = 0; i < n; i++)
		for (uint32_t t = 0; t < u[i].n_tips; t++)
			if (u[i].tips[t].fact.object == w->fact.object
			    && u[i].tips[t].fact.property == w->fact.property)
				keep_tip(w, &u[i].tips[t]);
	sort_tips(w);
}

/* ---- one piece ------------------------------------------------------------------- */

static value
middle_of(const struct craft *c, uint32_t property, value v)
{
	if (c->property[property].type == TYPE_QUANTITY)
		v.r = range_exact(v.r.lo + (v.r.hi - v.r.lo) / 2);
	return v;
}

/* What the advice reads here; only where a fact is moved does it matter. */
static void
note_reads(struct weighing *w)
{
	struct binding b = {{w->object}};

	if (w->reads_noted)
		return;
	w->reads_noted = true;
	w->reads.n = 0;
	w->reads.all = false;
	for (uint32_t i = 0; i < w->n_advice; i++) {
		const struct advice *a = &w->c->advice[w->advice[i]];
		uint32_t programs[] = {a->when, a->low, a->high, a->best};

		for (size_t k = 0; k < sizeof programs / sizeof *programs; k++)
			if (programs[k] != NONE && !w->reads.all)
				reads_add(&w->reads, w->c, w->m, programs[k], &b);
	}
}

/* The truth of a condition with the facts it hangs on at their middles: the most
 * ordinary case. Words that stay open leave it unknown, and it does not apply. */
static tri
ordinary_truth(struct weighing *w, uint32_t program, const struct binding *b)
{
	struct watch watch = {.n = 0};
	tri t = eval_truth(w->c, w->m, program, b);
	value keep[8];
	uint32_t n;

	if (t != TRI_UNKNOWN)
		return t;
	(void)eval(w->c, w->m, program, b, NULL, &watch);
	if (watch.full)
		return t;
	n = watch.n < 8 ? watch.n : 8;
	note_reads(w);
	for (uint32_t i = 0; i < n; i++) {
		value *slot = model_slot(w->m, watch.facts[i].object, watch.facts[i].property);

		keep[i] = *slot;
		if (slot->state == VALUE_KNOWN)
			*slot = middle_of(w->c, watch.facts[i].property, *slot);
		reads_derive(&w->reads, w->m, watch.facts[i].property);
	}
	t = eval_truth(w->c, w->m, program, b);
	for (uint32_t i = 0; i < n; i++) {
		*model_slot(w->m, watch.facts[i].object, watch.facts[i].property) = keep[i];
		reads_derive(&w->reads, w->m, watch.facts[i].property);
	}
	return t;
}

static double
ordinary_bound(struct weighing *w, uint32_t program, const struct binding *b, double open, bool *ok)
{
	struct cell c;

	if (program == NONE)
		return open;
	c = eval(w->c, w->m, program, b, NULL, NULL);
	if (c.state != VALUE_KNOWN)
		*ok = false;
	return c.r.lo + (c.r.hi - c.r.lo) / 2;
}

static void
add_applying(struct weighing *w, struct piece *p, uint32_t number, const struct binding *b)
{
	const struct advice *a = &w->c->advice[number];
	struct applying *x = &p->a[p->n];
	double infinity = range_all().hi;
	bool ok = true;

	if (p->n == APPLYING_MAX)
		return;
	*x = (struct applying){.advice = number, .strength = a->strength};
	if (w->words) {
		for (uint32_t k = 0; k < a->n_choices; k++) {
			uint16_t word = w->c->choice[a->first_choice + k];

			x->words[word >> 6] |= (uint64_t)1 << (word & 63);
		}
	} else {
		x->band.lo = ordinary_bound(w, a->low, b, -infinity, &ok);
		x->band.hi = ordinary_bound(w, a->high, b, infinity, &ok);
		if (!ok || x->band.lo > x->band.hi)
			return;
	}
	p->n++;
}

static bool
accepts(const struct weighing *w, const struct applying *x, double candidate)
{
	double half = w->c->property[w->property].step / 2;

	if (w->words) {
		uint32_t n = (uint32_t)candidate;
		return x->words[n >> 6] >> (n & 63) & 1;
	}
	return candidate > x->band.lo - half && candidate < x->band.hi + half;
}

/* What was said may leave a choice ("2-3 mm", "pinked or overlocked"): then
 * advice chooses among that. */
static bool
within_limit(const struct weighing *w, double candidate)
{
	double half = w->c->property[w->property].step / 2;
	uint32_t n = (uint32_t)candidate;

	if (!w->limited)
		return true;
	if (w->words)
		return w->among[n >> 6] >> (n & 63) & 1;
	return candidate > w->within.lo - half && candidate < w->within.hi + half;
}

/* Meet the advice, firmest first; what would leave nothing is left out. */
static void
meet(struct weighing *w, struct piece *p)
{
	for (uint32_t k = 0; k < w->n_candidates; k++)
		p->ok[k] = within_limit(w, w->candidate[k]);
	p->dropped = NONE;
	for (int strength = STRENGTH__COUNT - 1; strength >= 0; strength--)
		for (uint32_t i = 0; i < p->n; i++) {
			uint32_t left = 0;

			if (p->a[i].strength != strength)
				continue;
			for (uint32_t k = 0; k < w->n_candidates; k++)
				left += p->ok[k] && accepts(w, &p->a[i], w->candidate[k]);
			if (left == 0) {
				p->a[i].dropped = true;
				if (p->dropped == NONE && strength >= STRENGTH_USUAL)
					p->dropped = p->a[i].advice;
				continue;
			}
			for (uint32_t k = 0; k < w->n_candidates; k++)
				p->ok[k] = p->ok[k] && accepts(w, &p->a[i], w->candidate[k]);
		}
}

/* Where to begin within what is acceptable: for words the order in which the
 * advice lists them, the firmest first. */
static double
rank_of_word(const struct weighing *w, const struct piece *p, uint32_t k)
{
	double rank = 0, weight = 1;

	for (int strength = STRENGTH__COUNT - 1; strength >= 0; strength--, weight /= 200)
		for (uint32_t i = 0; i < p->n; i++) {
			const struct advice *a = &w->c->advice[p->a[i].advice];

			if (p->a[i].strength != strength || p->a[i].dropped)
				continue;
			for (uint32_t n = 0; n < a->n_choices; n++)
				if (w->c->choice[a->first_choice + n] == (uint16_t)w->candidate[k])
					rank += weight * n;
		}
	return rank;
}

/* And for quantities: near the value the firmest advice names, else near the middle
 * of the acceptable. */
static double
aim(struct weighing *w, const struct piece *p, const struct binding *b)
{
	double low = 0, high = 0;
	bool any = false;

	for (int strength = STRENGTH__COUNT - 1; strength >= 0; strength--)
		for (uint32_t i = 0; i < p->n; i++) {
			const struct advice *a = &w->c->advice[p->a[i].advice];
			bool ok = true;
			double at;

			if (p->a[i].strength != strength || p->a[i].dropped || a->best == NONE)
				continue;
			at = ordinary_bound(w, a->best, b, 0, &ok);
			if (ok)
				return at;
		}
	for (uint32_t i = 0; i < w->n_candidates; i++)
		if (p->ok[i]) {
			if (!any)
				low = w->candidate[i];
			high = w->candidate[i];
			any = true;
		}
	return (low + high) / 2;
}

/* Whether something is known at all may differ within a range (a formula speaks
 * only within its validity); comparisons that are certain stay so. */
static bool
lasting(struct weighing *w, uint32_t i)
{
	uint32_t when = w->c->advice[w->advice[i]].when;
	const struct program *g = when == NONE ? NULL : &w->c->program[when];

	if (w->lasting[i] == TRI_UNKNOWN) {
		w->lasting[i] = TRI_TRUE;
		for (uint32_t at = 0; g != NULL && at < g->n; at++)
			if (w->c->instr[g->first + at].op == OP_HAS)
				w->lasting[i] = TRI_FALSE;
	}
	return w->lasting[i] == TRI_TRUE;
}

static void
weigh_piece(struct weighing *w, struct piece *p)
{
	struct binding b = {{w->object}};
	double least = 0, at;

	p->n = 0;
	for (uint32_t i = 0; i < w->n_advice; i++) {
		const struct advice *a = &w->c->advice[w->advice[i]];

		tri t = w->plain[i];

		if (t == TRI_UNKNOWN || (w->n_tips > 0 && !lasting(w, i)))
			t = a->when == NONE ? TRI_TRUE : ordinary_truth(w, a->when, &b);
		if (t == TRI_TRUE)
			add_applying(w, p, w->advice[i], &b);
	}
	p->best = NONE;
	if (p->n == 0 && !w->limited) {
		p->dropped = NONE;
		memset(p->ok, 0, w->n_candidates);
		return;
	}
	meet(w, p);
	at = w->words ? 0 : aim(w, p, &b);
	for (uint32_t k = 0; k < w->n_candidates; k++) {
		double d;

		if (!p->ok[k])
			continue;
		d = w->words ? rank_of_word(w, p, k) : w->candidate[k] - at;
		d = d < 0 ? -d : d;
		if (p->best == NONE || d < least) {
			least = d;
			p->best = k;
		}
	}
}

/* ---- all pieces --------------------------------------------------------------------- */

/* No condition is undecided, but a bound may move with a fact that is not known
 * exactly: then the fact's range is cut evenly. */
static void
cut_evenly(struct weighing *w)
{
	struct binding b = {{w->object}};
	struct watch watch = {.n = 0};

	for (uint32_t i = 0; i < w->n_advice; i++) {
		const struct advice *a = &w->c->advice[w->advice[i]];

		if (w->words || w->plain[i] != TRI_TRUE)
			continue;
		if (a->low != NONE)
			(void)eval(w->c, w->m, a->low, &b, NULL, &watch);
		if (a->high != NONE)
			(void)eval(w->c, w->m, a->high, &b, NULL, &watch);
	}
	for (uint32_t i = 0; i < watch.n; i++) {
		const value *v = model_slot(w->m, watch.facts[i].object, watch.facts[i].property);

		if (w->c->property[watch.facts[i].property].type != TYPE_QUANTITY || v->state != VALUE_KNOWN)
			continue;
		w->fact = watch.facts[i];
		for (int k = 1; k < EVEN_PIECES; k++) {
			double at = v->r.lo + (v->r.hi - v->r.lo) * k / EVEN_PIECES;

			w->tips[w->n_tips++] = (struct tip){.fact = w->fact, .at = at, .next = at,
			    .below = TRI_TRUE, .above = TRI_FALSE};
		}
		return;
	}
}

static void
find_tips(struct weighing *w)
{
	struct undecided u[APPLYING_MAX];
	struct binding b = {{w->object}};
	uint32_t n = 0;

	for (uint32_t i = 0; i < w->n_advice; i++) {
		const struct advice *a = &w->c->advice[w->advice[i]];

		w->plain[i] = a->when == NONE ? TRI_TRUE : eval_truth(w->c, w->m, a->when, &b);
		if (w->plain[i] != TRI_UNKNOWN || n == APPLYING_MAX)
			continue;
		u[n].n_tips = decide_tips(w->c, w->m, a->when, &b, u[n].tips);
		n += u[n].n_tips > 0;
	}
	w->n_tips = 0;
	choose_fact(w, u, n);
	if (w->n_tips == 0)
		cut_evenly(w);
}

void
weigh(struct weighing *w)
{
	value *slot, whole;
	double from;

	w->reads_noted = false;
	find_tips(w);
	w->n_pieces = w->n_tips + 1;
	if (w->n_tips == 0) {
		w->piece[0].share = 1;
		weigh_piece(w, &w->piece[0]);
		return;
	}
	note_reads(w);
	slot = model_slot(w->m, w->fact.object, w->fact.property);
	whole = *slot;
	from = whole.r.lo;
	for (uint32_t i = 0; i < w->n_pieces; i++) {
		double to = i < w->n_tips ? w->tips[i].at : whole.r.hi;

		w->piece[i].share = (to - from) / (whole.r.hi - whole.r.lo);
		/* a sliver narrower than the fact's step is nothing the trade tells apart */
		if (to - from < w->c->property[w->fact.property].step && w->piece[i].share < 0.1)
			w->piece[i].share = 0;
		slot->r = range_exact(from + (to - from) / 2);
		reads_derive(&w->reads, w->m, w->fact.property);
		weigh_piece(w, &w->piece[i]);
		from = i < w->n_tips ? w->tips[i].next : to;
	}
	*slot = whole;
	reads_derive(&w->reads, w->m, w->fact.property);
}

/* Where between pieces AT and AT + 1 the candidate stops (or begins) being the one
 * to start with: to an eighth of the fact's step. */
void
weigh_flip(struct weighing *w, uint32_t at, uint32_t candidate)
{
	value *slot = model_slot(w->m, w->fact.object, w->fact.property), whole = *slot;
	struct tip *t = &w->tips[at];
	double lo = at > 0 ? w->tips[at - 1].next : whole.r.lo;
	double hi = at + 1 < w->n_tips ? w->tips[at + 1].at : whole.r.hi;
	double fine = w->c->property[w->fact.property].step / 8;
	bool low_ok = w->piece[at].best == candidate;

	if (t->next > t->at)               /* a tip of a condition is exact already */
		return;
	lo += (t->at - lo) / 2;            /* the middles of the two pieces were weighed */
	hi = t->at + (hi - t->at) / 2;
	for (int i = 0; i < 40 && hi - lo > fine; i++) {
		double mid = lo + (hi - lo) / 2;

		slot->r = range_exact(mid);
		reads_derive(&w->reads, w->m, w->fact.property);
		weigh_piece(w, &w->spare);
		if ((w->spare.best == candidate) == low_ok)
			lo = mid;
		else
			hi = mid;
	}
	t->at = lo;
	t->next = hi;
	t->below = low_ok ? TRI_TRUE : TRI_FALSE;
	t->above = low_ok ? TRI_FALSE : TRI_TRUE;
	*slot = whole;
	reads_derive(&w->reads, w->m, w->fact.property);
}

/* The candidate acceptable in the largest part of the range; among equals the
 * one the largest piece begins with, else the one nearest to it. */
uint32_t
weigh_best(const struct weighing *w, double *share)
{
	uint32_t best = NONE, largest = 0;
	double most = 0, least = 0;

	for (uint32_t i = 1; i < w->n_pieces; i++)
		if (w->piece[i].best != NONE
		    && (w->piece[largest].best == NONE || w->piece[i].share > w->piece[largest].share))
			largest = i;
	if (w->piece[largest].best == NONE)
		return NONE;
	for (uint32_t k = 0; k < w->n_candidates; k++) {
		double s = 0, d = w->candidate[k] - w->candidate[w->piece[largest].best];

		for (uint32_t i = 0; i < w->n_pieces; i++)
			s += w->piece[i].ok[k] ? w->piece[i].share : 0;
		d = d < 0 ? -d : d;
		if (s > most + 1e-9 || (s > most - 1e-9 && best != NONE && d < least)) {
			most = s;
			least = d;
			best = k;
		}
	}
	*share = most;
	return best;
}
