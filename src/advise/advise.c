/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Every setting of a model in the order in which they are settled.
 *
 * What is chosen goes into the model at once, so that later settings see it;
 * a setting that was said, or that an entry brings with it, is left alone.
 */
#include "advise/advise_impl.h"

struct choices {                           /* growing in the arena */
	struct choice *c;
	uint32_t n, cap;
};

static struct choice *
add_choice(struct arena *a, struct choices *list)
{
	if (list->n == list->cap) {
		uint32_t cap = list->cap > 0 ? list->cap * 2 : 64;
		struct choice *grown = arena_alloc(a, cap * sizeof *grown);

		if (list->n > 0)
			memcpy(grown, list->c, list->n * sizeof *grown);
		list->c = grown;
		list->cap = cap;
	}
	return &list->c[list->n++];
}

static void
candidates(struct weighing *w)
{
	const struct setting *s = &w->c->setting[w->setting];
	const struct property *q = &w->c->property[s->property];

	w->words = q->type == TYPE_WORDS;
	w->n_candidates = w->words ? w->c->word_set[q->word_set].n : s->n_obtainable;
	if (w->n_candidates > CANDIDATES_MAX)
		w->n_candidates = CANDIDATES_MAX;
	for (uint32_t i = 0; i < w->n_candidates; i++)
		w->candidate[i] = w->words ? (double)i : w->c->obtainable[s->first_obtainable + i];
}

static value
value_of(const struct weighing *w, uint32_t k)
{
	value v;

	memset(&v, 0, sizeof v);
	if (k >= w->n_candidates)
		return v;                  /* VALUE_ABSENT */
	v.state = VALUE_KNOWN;
	if (w->words) {
		uint32_t n = (uint32_t)w->candidate[k];
		v.set[n >> 6] = (uint64_t)1 << (n & 63);
	} else
		v.r = range_exact(w->candidate[k]);
	return v;
}

static uint32_t
lightest_accepted(const struct weighing *w, bool heaviest)
{
	uint32_t found = NONE;

	for (uint32_t k = 0; k < w->n_candidates; k++)
		for (uint32_t i = 0; i < w->n_pieces; i++)
			if (w->piece[i].ok[k] && (found == NONE || heaviest))
				found = k;
	return found;
}

static void
fill_band(const struct weighing *w, struct choice *c)
{
	uint32_t low = lightest_accepted(w, false), high = lightest_accepted(w, true);

	if (low == NONE)
		return;
	if (!w->words) {
		c->band = (range){w->candidate[low], w->candidate[high]};
		return;
	}
	for (uint32_t k = 0; k < w->n_candidates; k++)
		for (uint32_t i = 0; i < w->n_pieces; i++)
			if (w->piece[i].ok[k])
				c->allowed[k >> 6] |= (uint64_t)1 << (k & 63);
}

/* Did this piece set the start: by its own `start`, or by the word it lists first? */
static bool
sets_start(const struct weighing *w, const struct advice *a, uint32_t best)
{
	struct binding b = {{w->object}};
	struct cell at;
	double d, half = w->c->property[w->property].step / 2;

	if (w->words)
		return a->n_choices > 0 && w->c->choice[a->first_choice] == (uint16_t)w->candidate[best];
	if (a->best == NONE)
		return false;
	at = eval(w->c, w->m, a->best, &b, NULL, NULL);
	d = at.r.lo + (at.r.hi - at.r.lo) / 2 - w->candidate[best];
	return at.state == VALUE_KNOWN && (d < 0 ? -d : d) <= half + 1e-12;
}

/* The reason people read first is that of the piece that set the start. */
static void
lead(const struct weighing *w, struct choice *c, uint32_t best)
{
	for (uint32_t i = 0; i < c->n_advice; i++) {
		uint32_t a = c->advice[i];

		if (!sets_start(w, &w->c->advice[a], best))
			continue;
		memmove(c->advice + 1, c->advice, i * sizeof *c->advice);
		c->advice[0] = a;
		return;
	}
}

/* The advice that led to the choice: of the largest piece that accepts it,
 * firmest first. */
static void
fill_advice(const struct weighing *w, struct choice *c, uint32_t best)
{
	const struct piece *p = NULL;

	for (uint32_t i = 0; i < w->n_pieces; i++)
		if (w->piece[i].ok[best] && (p == NULL || w->piece[i].share > p->share))
			p = &w->piece[i];
	if (p == NULL)
		return;
	for (int strength = STRENGTH__COUNT - 1; strength >= 0; strength--)
		for (uint32_t i = 0; i < p->n; i++)
			if (p->a[i].strength == strength && !p->a[i].dropped
			    && c->n_advice < sizeof c->advice / sizeof *c->advice)
				c->advice[c->n_advice++] = p->a[i].advice;
	c->dropped = p->dropped;
	c->empty = p->dropped != NONE;
	lead(w, c, best);
}

/* What flips the choice: the tip between a piece that would begin with it and a
 * neighbour that would begin elsewhere. */
static void
fill_flip(struct weighing *w, struct choice *c, uint32_t best)
{
	for (uint32_t i = 0; i + 1 < w->n_pieces; i++) {
		uint32_t here = w->piece[i].best, there = w->piece[i + 1].best;

		if ((here == best) == (there == best) || here == NONE || there == NONE)
			continue;
		weigh_flip(w, i, best);
		c->flips = true;
		c->other = value_of(w, here == best ? there : here);
		c->flip = w->tips[i];
		return;
	}
}

/* ---- alike ------------------------------------------------------------------- */

/* The advice for the setting at hand, and what it sees of an object. */
static void
gather_advice(struct weighing *w)
{
	w->n_advice = 0;
	w->sight.n = 0;
	w->sight.full = false;
	for (uint32_t i = w->first_of[w->setting]; i != NONE; i = w->next_of[i]) {
		const struct advice *a = &w->c->advice[i];
		uint32_t programs[] = {a->when, a->low, a->high, a->best};

		w->lasting[w->n_advice] = TRI_UNKNOWN;
		w->advice[w->n_advice++] = i;
		for (size_t k = 0; k < sizeof programs / sizeof *programs; k++)
			if (programs[k] != NONE)
				sight_add(&w->sight, w->c, programs[k]);
	}
}

struct alike { uint64_t *row; uint32_t n, choice; struct alike *next; };

/* An earlier choice of this setting for an object that looks the same to all its
 * advice, or NULL. One that hangs on a fact of that object is not ours. */
static const struct choice *
settled_alike(const struct choices *list, const struct alike *a, const uint64_t *row, uint32_t n)
{
	for (; a != NULL; a = a->next) {
		const struct choice *c = &list->c[a->choice];

		if (a->n == n && memcmp(a->row, row, n * sizeof *row) == 0 &&
		    !(c->flips && c->flip.fact.object == c->object))
			return c;
	}
	return NULL;
}

static struct alike *
note_alike(struct arena *a, struct alike *before, const uint64_t *row, uint32_t n, uint32_t choice)
{
	struct alike *new = arena_alloc(a, sizeof *new);

	new->row = arena_alloc(a, n * sizeof *row);
	memcpy(new->row, row, n * sizeof *row);
	new->n = n;
	new->choice = choice;
	new->next = before;
	return new;
}

/* ---- one setting of one object ------------------------------------------------- */

static void
settle(struct weighing *w, struct choice *c)
{
	uint32_t best;

	weigh(w);
	best = weigh_best(w, &c->share);
	c->start = value_unknown(w->c, w->property);
	c->lighter = c->heavier = value_of(w, NONE);
	c->dropped = NONE;
	if (best == NONE)
		return;
	c->start = value_of(w, best);
	if (!w->words) {
		if (best > 0)
			c->lighter = value_of(w, best - 1);
		c->heavier = value_of(w, best + 1);
	}
	fill_band(w, c);
	fill_advice(w, c, best);
	fill_flip(w, c, best);
	c->start.pedigree = pedigree_add(w->m, (struct pedigree){.kind = PEDIGREE_ADVISED,
	    .property = (uint16_t)w->property, .entry = NONE,
	    .by = c->n_advice > 0 ? c->advice[0] : NONE});
	if (!c->said)                      /* what was said stays as it was said */
		*model_slot(w->m, w->object, w->property) = c->start;
}

/* Does a value leave a choice, and is there something obtainable in it? */
static bool
leaves_choice(struct weighing *w, const value *v)
{
	w->limited = false;
	if (v->state != VALUE_KNOWN)
		return false;
	w->within = v->r;
	w->among[0] = v->set[0];
	w->among[1] = v->set[1];
	if (w->words)
		return w->limited = __builtin_popcountll(v->set[0]) + __builtin_popcountll(v->set[1]) > 1;
	if (v->r.hi - v->r.lo <= w->c->property[w->property].step)
		return false;
	for (uint32_t k = 0; k < w->n_candidates && !w->limited; k++)
		w->limited = w->candidate[k] >= v->r.lo && w->candidate[k] <= v->r.hi;
	return w->limited;
}

/* Neighbours of a value that was said: the obtainable ones on either side. */
static void
said_neighbours(const struct weighing *w, struct choice *c)
{
	double half = w->c->property[w->property].step / 2;

	c->lighter = c->heavier = value_of(w, NONE);
	if (w->words || c->start.state != VALUE_KNOWN)
		return;
	for (uint32_t k = 0; k < w->n_candidates; k++) {
		if (w->candidate[k] < c->start.r.lo - half)
			c->lighter = value_of(w, k);
		if (c->heavier.state == VALUE_ABSENT && w->candidate[k] > c->start.r.hi + half)
			c->heavier = value_of(w, k);
	}
}

static bool
same_choice(const struct choice *a, const struct choice *b)
{
	return a->setting == b->setting && a->said == b->said && a->kept == b->kept
	    && a->start.state == b->start.state
	    && a->start.set[0] == b->start.set[0] && a->start.set[1] == b->start.set[1]
	    && a->n_advice == b->n_advice
	    && memcmp(a->advice, b->advice, a->n_advice * sizeof *a->advice) == 0
	    && a->flips == b->flips;
}

static void
mark_repeats(struct advised *out)
{
	for (uint32_t i = 0; i < out->n; i++) {
		out->c[i].repeats = NONE;
		for (uint32_t k = 0; k < i; k++)
			if (out->c[k].repeats == NONE && same_choice(&out->c[i], &out->c[k])) {
				out->c[i].repeats = k;
				out->c[k].alike++;
				break;
			}
	}
}

static struct weighing *
weighing_new(struct arena *a, struct knowledge *kb, struct model *m)
{
	const struct craft *c = m->craft;
	struct weighing *w = arena_alloc(a, sizeof *w);

	w->advice = arena_alloc(a, (c->n_advice + 1) * sizeof *w->advice);
	w->lasting = arena_alloc(a, (c->n_advice + 1) * sizeof *w->lasting);
	w->plain = arena_alloc(a, (c->n_advice + 1) * sizeof *w->plain);
	w->next_of = arena_alloc(a, (c->n_advice + 1) * sizeof *w->next_of);
	w->first_of = arena_alloc(a, (c->n_setting + 1) * sizeof *w->first_of);
	for (uint32_t s = 0; s < c->n_setting; s++)
		w->first_of[s] = NONE;
	for (uint32_t i = c->n_advice; i-- > 0;) {
		w->next_of[i] = w->first_of[c->advice[i].setting];
		w->first_of[c->advice[i].setting] = i;
	}
	w->kb = kb;
	w->c = c;
	w->m = m;
	return w;
}

static void
begin_setting(struct weighing *w, uint32_t setting)
{
	w->setting = setting;
	w->property = w->c->setting[setting].property;
	candidates(w);
	gather_advice(w);
}

const struct choice *
advise_anyway(struct arena *a, struct knowledge *kb, struct model *m, uint32_t setting,
    const struct project *p, uint32_t *object)
{
	const struct craft *c = m->craft;
	uint32_t o = advise_nearest(m, c->property[c->setting[setting].property].kind, p);
	struct weighing *w;
	struct choice *ch;

	if (o == NONE || !c->setting[setting].chosen)
		return NULL;
	w = weighing_new(a, kb, m);
	begin_setting(w, setting);
	w->object = o;
	ch = arena_alloc(a, sizeof *ch);
	*ch = (struct choice){.setting = setting, .object = o, .dropped = NONE, .share = 1,
	    .repeats = NONE};
	settle(w, ch);
	if (object != NULL)
		*object = o;
	return ch->start.state == VALUE_KNOWN ? ch : NULL;
}

struct advised *
advise(struct arena *a, struct knowledge *kb, struct model *m)
{
	const struct craft *c = m->craft;
	struct advised *out = arena_alloc(a, sizeof *out);
	struct weighing *w = weighing_new(a, kb, m);
	struct choices list = {0};
	uint64_t row[ROW_MAX];

	for (uint32_t s = 0; s < c->n_setting; s++) {
		const struct setting *set = &c->setting[s];
		struct alike *alike = NULL;
		bool changed = false;

		if (!set->chosen || m->first_of_kind[c->property[set->property].kind] == NONE)
			continue;
		begin_setting(w, s);
		for (uint32_t o = m->first_of_kind[c->property[set->property].kind]; o != NONE;
		    o = m->objects[o].next) {
			struct binding b = {{o}};
			value *slot = model_slot(m, o, set->property);
			enum pedigree_kind from = (enum pedigree_kind)m->pedigrees[slot->pedigree].kind;
			const struct choice *same;
			struct choice *ch;
			uint32_t n;

			if (set->applies != NONE && eval_truth(c, m, set->applies, &b) != TRI_TRUE)
				continue;
			w->object = o;
			ch = add_choice(a, &list);
			*ch = (struct choice){.setting = s, .object = o, .dropped = NONE, .share = 1};
			w->limited = false;
			if (slot->state == VALUE_KNOWN && from != PEDIGREE_ADVISED) {
				ch->start = *slot;
				ch->said = from == PEDIGREE_SAID || from == PEDIGREE_DERIVED;
				ch->kept = !ch->said;
				said_neighbours(w, ch);
				if (!leaves_choice(w, slot))
					continue;
			}
			changed = true;
			n = slot->state == VALUE_KNOWN ? 0 : sight_of(&w->sight, m, o, row, ROW_MAX);
			same = n > 0 ? settled_alike(&list, alike, row, n) : NULL;
			if (same != NULL) {
				*ch = *same;
				ch->object = o;
				*slot = ch->start;
				continue;
			}
			settle(w, ch);
			if (n > 0)
				alike = note_alike(a, alike, row, n, list.n - 1);
		}
		if (changed)
			model_derive(m, set->property);
	}
	out->c = list.c;
	out->n = list.n;
	mark_repeats(out);
	return out;
}
