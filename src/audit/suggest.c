/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Examples beside a limit.
 *
 * When a change goes unnoticed, this looks for a project that would notice it:
 * one of the rule's own examples with one more fact said ("..., weight 120
 * g/m2"). The fact is any the rule reads; its value lies where the verdict of
 * the rule as written and of the changed rule part. What is found is tried the
 * whole way before it is offered, and marked as made by the tool.
 */
#include "audit/audit_impl.h"

#define GRID 48

struct probe {
	struct bench *b;
	struct model *m;                   /* a copy of an example's model */
	const struct project *p;
	struct fact fact;
};

/* ---- what comes out, under the craft as written and under the changed one --------- */

struct outcome { tri truth; value start; };

static struct outcome
outcome_of(struct bench *b, struct model *m, const struct project *p, const struct craft *c)
{
	struct outcome o = {.truth = TRI_ABSENT};

	m->craft = c;
	if (b->rule != NONE) {
		o.truth = judge_rule(b->scratch, m, b->rule, NULL);
		return o;
	}
	const struct choice *ch = advise_for(advise(b->scratch, b->kb, m), m,
	    c->advice[b->advice].setting, p, NULL);
	if (ch != NULL && ch->start.state == VALUE_KNOWN) {
		o.start = ch->start;
		o.truth = TRI_TRUE;
	}
	return o;
}

static bool
differ(const struct outcome *a, const struct outcome *b)
{
	return a->truth != b->truth || a->start.set[0] != b->start.set[0]
	    || a->start.set[1] != b->start.set[1];
}

static struct model *
with_fact(struct probe *q, const value *v)
{
	struct model *m = model_copy(q->b->scratch, q->m);
	value *slot = model_slot(m, q->fact.object, q->fact.property);

	m->arena = q->b->scratch;
	m->cap_pedigrees = m->n_pedigrees;
	slot->state = VALUE_KNOWN;
	slot->set[0] = v->set[0];
	slot->set[1] = v->set[1];
	model_derive(m, q->fact.property);
	return m;
}

static bool
parts_at(struct probe *q, const value *v)
{
	struct outcome a = outcome_of(q->b, with_fact(q, v), q->p, kb_craft(q->b->kb));
	struct outcome b = outcome_of(q->b, with_fact(q, v), q->p, &q->b->mutant);

	return differ(&a, &b);
}

/* ---- saying it ----------------------------------------------------------------------- */

static const char *
words_with(struct probe *q, const char *words, const value *v)
{
	const struct craft *c = kb_craft(q->b->kb);
	struct buf s = {0};
	const char *out;

	buf_print(&s, "%s, %s ", words, craft_text(c, c->property[q->fact.property].label));
	cell_print(&s, c, q->m, eval_value(v, c->property[q->fact.property].type), q->fact.property);
	out = arena_text(q->b->scratch, s.p, s.n);
	buf_free(&s);
	return out;
}

static void
offer(struct probe *q, const char *words, const struct outcome *o)
{
	struct bench *b = q->b;
	const struct craft *c = kb_craft(b->kb);

	if (b->suggest->n > 0 && strstr(b->suggest->p, words) != NULL)
		return;                    /* one example may pin several things */
	buf_print(b->suggest, "%s\n", b->owner);
	b->suggested++;
	if (b->rule != NONE) {
		buf_print(b->suggest, "      - %s: \"%s\"\n        by tool: yes\n",
		    o->truth == TRI_FALSE ? "fires" : o->truth == TRI_UNKNOWN ? "undecided" : "quiet", words);
		return;
	}
	uint32_t property = c->setting[c->advice[b->advice].setting].property;
	buf_print(b->suggest, "      - for: \"%s\"\n        gives: ", words);
	cell_print(b->suggest, c, q->m, eval_value(&o->start, c->property[property].type), property);
	buf_str(b->suggest, "\n        by tool: yes\n");
}

/* The whole way: read, expanded, advised, judged. */
static bool
confirmed(struct probe *q, const char *words)
{
	struct bench *b = q->b;
	struct project *p;
	struct model *m = audit_model(b->scratch, b->kb, words, &p);
	struct outcome one, other;
	struct model *twin;

	if (m == NULL)
		return false;
	twin = model_copy(b->scratch, m);
	if (b->rule != NONE) {
		advise(b->scratch, b->kb, m);
		twin = model_copy(b->scratch, m);
	}
	one = outcome_of(b, m, p, kb_craft(b->kb));
	other = outcome_of(b, twin, p, &b->mutant);
	if (!differ(&one, &other) || (b->rule == NONE && one.truth != TRI_TRUE))
		return false;
	offer(q, words, &one);
	return true;
}

/* ---- where the two part -------------------------------------------------------------- */

/* To a round number in the unit people read, HALF being half a step. */
static double
rounded(const struct craft *c, uint32_t property, double base, double half, int off)
{
	const struct property *r = &c->property[property];
	const struct unit *u = r->n_units > 0 ? &c->units->u[c->unit_list[r->first_unit]] : NULL;
	double at, next, back;

	if (u == NULL || !unit_from_base(u, base, &at) || !unit_from_base(u, base + half, &next)
	    || !(next > at))
		return base;
	half = next - at;
	at = ((double)(long)(at / half + 0.5) + off) * half;
	return unit_to_base(u, at, &back) ? back : base;
}

static double
grid_point(range domain, uint32_t i)
{
	double share = (double)i / (GRID - 1);

	/* closer together where the numbers are small, as most limits are */
	return domain.lo + (domain.hi - domain.lo) * share * share * share;
}

static bool
try_quantity(struct probe *q, const char *words)
{
	const struct craft *c = kb_craft(q->b->kb);
	const struct property *r = &c->property[q->fact.property];
	double step = r->step > 0 ? r->step : (r->domain.hi - r->domain.lo) / 100;
	struct outcome last[2] = {{0}};
	double before = r->domain.lo;

	for (uint32_t i = 0; i < GRID; i++) {
		double at = grid_point(r->domain, i);
		value v = {.r = range_exact(at), .state = VALUE_KNOWN};
		struct outcome now[2] = {
			outcome_of(q->b, with_fact(q, &v), q->p, kb_craft(q->b->kb)),
			outcome_of(q->b, with_fact(q, &v), q->p, &q->b->mutant),
		};
		bool apart = differ(&now[0], &now[1]);

		/* a tip of either lies between: walk it in half steps */
		if (i > 0 && !apart && (differ(&now[0], &last[0]) || differ(&now[1], &last[1]))) {
			double lo = before, hi = at;

			for (int k = 0; k < 40 && !apart && hi - lo > step / 8; k++) {
				double mid = lo + (hi - lo) / 2;
				value w = {.r = range_exact(mid), .state = VALUE_KNOWN};
				struct outcome o = outcome_of(q->b, with_fact(q, &w), q->p, kb_craft(q->b->kb));

				if (differ(&o, &last[0]))
					hi = mid;
				else
					lo = mid;
			}
			for (int k = -6; k <= 6 && !apart; k++) {
				value w = {.r = range_exact(rounded(c, q->fact.property, lo, step / 2, k)),
				    .state = VALUE_KNOWN};

				if (w.r.lo >= r->domain.lo && w.r.lo <= r->domain.hi && parts_at(q, &w)
				    && confirmed(q, words_with(q, words, &w)))
					return true;
			}
		} else if (apart) {
			value w = {.r = range_exact(rounded(c, q->fact.property, at, step / 2, 0)),
			    .state = VALUE_KNOWN};

			if (parts_at(q, &w) && confirmed(q, words_with(q, words, &w)))
				return true;
		}
		last[0] = now[0];
		last[1] = now[1];
		before = at;
	}
	return false;
}

static bool
try_words(struct probe *q, const char *words)
{
	const struct craft *c = kb_craft(q->b->kb);
	const struct word_set *s = &c->word_set[c->property[q->fact.property].word_set];

	for (uint32_t w = 0; w < s->n; w++) {
		value v = {.set = {0, 0}, .state = VALUE_KNOWN};

		v.set[w >> 6] = (uint64_t)1 << (w & 63);
		if (parts_at(q, &v) && confirmed(q, words_with(q, words, &v)))
			return true;
	}
	return false;
}

static void
facts_of(struct bench *b, struct model *m, struct watch *w)
{
	const struct craft *c = kb_craft(b->kb);
	uint16_t each = b->rule != NONE ? c->rule[b->rule].each : c->advice[b->advice].each;
	uint32_t programs[4] = {NONE, NONE, NONE, NONE};

	w->n = 0;
	w->full = false;
	w->all = true;
	if (b->rule != NONE) {
		programs[0] = c->rule[b->rule].when;
		programs[1] = c->rule[b->rule].must;
	} else {
		programs[0] = c->advice[b->advice].when;
		programs[1] = c->advice[b->advice].low;
		programs[2] = c->advice[b->advice].high;
	}
	for (uint32_t o = m->first_of_kind[each]; o != NONE; o = m->objects[o].next)
		for (int i = 0; i < 4; i++)
			if (programs[i] != NONE) {
				struct binding bind = {{o, o}};

				(void)eval(c, m, programs[i], &bind, NULL, w);
			}
}

bool
audit_suggest(struct bench *b)
{
	const struct craft *c = kb_craft(b->kb);
	struct watch w;

	for (uint32_t i = 0; i < b->n; i++) {
		const char *words = craft_text(c, audit_example_of(b, i)->words);

		facts_of(b, b->model[i], &w);
		for (uint32_t f = 0; f < w.n && f < 24; f++) {
			struct probe q = {.b = b, .m = b->model[i], .p = b->project[i], .fact = w.facts[f]};
			const value *v = model_slot(b->model[i], w.facts[f].object, w.facts[f].property);
			uint8_t type = c->property[w.facts[f].property].type;
			bool done;

			/* what the example says already is not said again otherwise */
			if (b->model[i]->pedigrees[v->pedigree].kind == PEDIGREE_SAID)
				continue;
			done = type == TYPE_QUANTITY ? try_quantity(&q, words)
			    : type == TYPE_WORDS && try_words(&q, words);

			arena_reset(b->scratch);
			if (done)
				return true;
		}
	}
	return false;
}
