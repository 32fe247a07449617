/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Every rule against a model: what fails, what is open, what is not worth a
 * line.
 *
 * Rules that hold are counted.  One that fails for several objects in the same
 * words is one finding.  An undecided rule is listed only if it is grave or
 * doubtful, runs for certain, something is known of the facts that decide, and
 * there is a value at which it turns; the rest is a number.  Open rules that
 * hang on one fact and tip are one question.
 */
#include <stdlib.h>
#include "judge/judge_impl.h"

struct found {                             /* a finding with its words, for merging */
	struct finding f;
	const char *says;
	uint32_t order;
};
struct list { struct found *f; uint32_t n, cap; };

struct judging {
	struct arena *arena;
	struct knowledge *kb;
	const struct craft *c;
	struct model *m;
	struct model *seen;                /* typical facts at their outermost; when needed */
	struct buf words;
	struct list fails, open;
	uint32_t *lacking;                 /* per property: rules not judged for want of it */
	bool *lacks;                       /* per property: this rule already counted */
	struct truths_alike alike;         /* of the rule at hand */
	bool fails_only;
};

/* ---- outermost values ------------------------------------------------------ */

static struct model *
seen_model(struct judging *j)
{
	struct model *s;

	if (j->seen)
		return j->seen;
	s = model_copy(j->arena, j->m);
	/* the copy's own pedigrees must not run into the model's */
	s->pedigrees = arena_alloc(j->arena, s->n_pedigrees * sizeof *s->pedigrees);
	memcpy(s->pedigrees, j->m->pedigrees, s->n_pedigrees * sizeof *s->pedigrees);
	s->cap_pedigrees = s->n_pedigrees;
	s->arena = j->arena;
	for (uint32_t i = 0; i < s->n_slots; i++) {
		const struct pedigree *p = &s->pedigrees[s->slots[i].pedigree];
		uint32_t pedigree = s->slots[i].pedigree;

		if ((p->kind != PEDIGREE_TYPICAL && p->kind != PEDIGREE_BROUGHT) ||
		    p->seen.state != VALUE_KNOWN || j->c->property[p->property].type == TYPE_REF)
			continue;
		s->slots[i] = p->seen;
		s->slots[i].pedigree = pedigree;
	}
	model_derive(s, NONE);
	j->seen = s;
	return s;
}

/* Would it not fail over the outermost published values? */
static bool
fails_not_in_seen(struct judging *j, const struct rule *rule, const struct binding *b)
{
	struct model *s = seen_model(j);

	return verdict_of(s, rule, b, plain_truths(s, rule, b), LOOK_COUNTED, NULL).is != TRI_FALSE;
}

/* ---- collecting ------------------------------------------------------------ */

static bool
assumed(const struct model *m, const struct binding *b)
{
	for (int i = 0; i < 2; i++)
		if (b->object[i] != NONE && (m->objects[b->object[i]].flags & OBJECT_ASSUMED))
			return true;
	return false;
}

static bool
same_tip(const struct craft *c, const struct finding *a, const struct finding *b)
{
	const struct tip *x = &a->truth.tips[0], *y = &b->truth.tips[0];
	const struct property *p;

	if ((a->truth.n_tips == 0) != (b->truth.n_tips == 0))
		return false;
	if (a->truth.n_tips == 0)
		return a->truth.n_facts && b->truth.n_facts &&
		    a->truth.facts[0].object == b->truth.facts[0].object &&
		    a->truth.facts[0].property == b->truth.facts[0].property;
	if (x->fact.object != y->fact.object || x->fact.property != y->fact.property)
		return false;
	p = &c->property[x->fact.property];
	if (p->type == TYPE_WORDS)
		return x->set_true[0] == y->set_true[0] && x->set_true[1] == y->set_true[1];
	return x->at <= y->at + p->step / 2 && y->at <= x->at + p->step / 2;
}

static bool
stands_for_touched(const struct craft *c, const struct rule *rule, uint32_t property)
{
	for (uint32_t t = 0; t < rule->n_touches; t++) {
		const struct setting *s = &c->setting[rule->touches[t]];

		if (s->property == property || property_depends(c, s->property, property))
			return true;
		for (uint32_t i = 0; i < s->n_also; i++)
			if (c->also[s->first_also + i] == property)
				return true;
	}
	return false;
}

/* Where the setting was said that the finding hangs on: one needle for all the
 * seams, say. .src NULL: none was, or several. */
static struct place
said_setting(const struct judging *j, const struct finding *f)
{
	struct place found = {0};

	for (uint32_t i = 0; i < f->n_origins; i++) {
		const struct pedigree *p = &j->m->pedigrees[f->origins[i].pedigree];

		if (p->kind != PEDIGREE_SAID || p->place.src == NULL ||
		    !stands_for_touched(j->c, &j->c->rule[f->rule], f->origins[i].fact.property))
			continue;
		if (found.src != NULL && found.at != p->place.at)
			return (struct place){0};
		found = p->place;
	}
	return found;
}

/* One cause makes one finding: a lining that will shrink does not go with three
 * other layers, a needle that was said is too fine at four places; each is told
 * once, with all of them. */
static bool
same_cause(const struct judging *j, const struct finding *a, const struct finding *b)
{
	struct place x, y;

	if (a->rule != b->rule || a->verdict != TRI_FALSE || b->verdict != TRI_FALSE)
		return false;
	if (j->c->rule[a->rule].other != NO16)
		return a->binding.object[0] == b->binding.object[0];
	x = said_setting(j, a);
	y = said_setting(j, b);
	return x.src != NULL && x.src == y.src && x.at == y.at;
}

/* By its name, each once: three seams are told as one. */
static void
add_other(const struct judging *j, struct finding *to, uint32_t object, int which)
{
	const uint32_t most = sizeof to->others / sizeof *to->others;
	const char *name = object_name(j->m, object);

	if (strcmp(name, object_name(j->m, to->binding.object[which])) == 0)
		return;
	for (uint32_t i = 0; i < to->n_others; i++)
		if (strcmp(name, object_name(j->m, to->others[i])) == 0)
			return;
	if (to->n_others < most)
		to->others[to->n_others++] = object;
}

/* The graver of the two stands, and names what the other spoke of. */
static void
join_causes(const struct judging *j, struct finding *to, const struct finding *f)
{
	int which = j->c->rule[f->rule].other != NO16;     /* of the pair's two objects */
	struct finding kept = f->degree > to->degree ? *f : *to;
	const struct finding *less = f->degree > to->degree ? to : f;

	kept.n_others = 0;
	for (uint32_t i = 0; i < to->n_others; i++)
		add_other(j, &kept, to->others[i], which);
	add_other(j, &kept, less->binding.object[which], which);
	kept.same = to->same;
	for (uint32_t i = 0; i < less->n_origins; i++) {
		bool there = kept.n_origins == sizeof kept.origins / sizeof *kept.origins;

		for (uint32_t k = 0; k < kept.n_origins && !there; k++)
			there = kept.origins[k].fact.object == less->origins[i].fact.object &&
			    kept.origins[k].fact.property == less->origins[i].fact.property;
		if (!there)
			kept.origins[kept.n_origins++] = less->origins[i];
	}
	*to = kept;
}

/* Adds a finding, or counts it to one that says the same of something else. */
static void
collect(struct judging *j, struct list *list, uint32_t first, struct finding *f)
{
	struct found *g;

	if (list->n == list->cap) {
		uint32_t cap = list->cap ? list->cap * 2 : 32;
		struct found *grown = arena_alloc(j->arena, cap * sizeof *grown);

		if (list->n)
			memcpy(grown, list->f, list->n * sizeof *grown);
		list->f = grown;
		list->cap = cap;
	}
	buf_clear(&j->words);
	finding_says(&j->words, j->kb, j->m, f);
	for (uint32_t i = first; i < list->n; i++) {
		uint32_t same;

		g = &list->f[i];
		if (strcmp(g->says, j->words.p ? j->words.p : "") != 0 &&
		    same_cause(j, &g->f, f)) {
			join_causes(j, &g->f, f);
			return;
		}
		if (strcmp(g->says, j->words.p ? j->words.p : "") != 0 ||
		    (f->verdict == TRI_UNKNOWN && !same_tip(j->c, &g->f, f)))
			continue;
		same = g->f.same + 1;
		if (f->degree > g->f.degree)
			g->f = *f;     /* the graver stands for all */
		g->f.same = same;
		return;
	}
	g = &list->f[list->n];
	g->f = *f;
	g->says = arena_text(j->arena, j->words.p ? j->words.p : "", j->words.n);
	g->order = list->n++;
}

/* Properties the undecided verdict lacks altogether, each once for a rule. */
static void
count_lacking(struct judging *j, const struct truth *t)
{
	for (uint32_t i = 0; i < t->n_facts; i++) {
		const struct fact *f = &t->facts[i];

		if (model_slot(j->m, f->object, f->property)->state != VALUE_UNKNOWN ||
		    j->lacks[f->property])
			continue;
		j->lacks[f->property] = true;
		j->lacking[f->property]++;
	}
}

/* Would it fail only in a part of the range narrower than the fact's step? The
 * trade does not tell such a part from its neighbour. */
static bool
fails_in_a_sliver(const struct judging *j, const struct truth *t)
{
	const struct tip *tip = &t->tips[0];
	const struct property *q;
	range whole;

	if (t->n_tips == 0)
		return false;
	q = &j->c->property[tip->fact.property];
	if (q->type != TYPE_QUANTITY)
		return false;
	whole = model_slot(j->m, tip->fact.object, tip->fact.property)->r;
	return (tip->below == TRI_FALSE && tip->at - whole.lo < q->step / 2) ||
	    (tip->above == TRI_FALSE && whole.hi - tip->next < q->step / 2);
}

/* One rule over all its objects; what it came to as a whole. */
static void
rule_over_all(struct judging *j, uint32_t number, struct judgement *out)
{
	const struct rule *rule = &j->c->rule[number];
	struct round round = round_of(j->m, rule);
	uint32_t first_fail = j->fails.n, first_open = j->open.n;
	bool holds = false, unjudged = false;
	struct binding b;

	j->alike.first = NULL;
	j->alike.n = 0;
	while (round_next(&round, &b)) {
		struct verdict v;
		struct finding f;
		struct plain soon = plain_truths(j->m, rule, &b);
		bool by_assumption;

		/* most rules do not run, or hold, and that at first sight */
		holds = holds || soon.must == TRI_TRUE;
		if (soon.when == TRI_FALSE || soon.when == TRI_ABSENT ||
		    soon.must == TRI_TRUE || soon.must == TRI_ABSENT)
			continue;
		by_assumption = assumed(j->m, &b);
		v = verdict_of(j->m, rule, &b, soon, j->fails_only || by_assumption ||
		    rule->degree < DEGREE_DOUBTFUL ? LOOK_COUNTED : LOOK_LISTED, &j->alike);
		if (v.is == TRI_TRUE)
			holds = true;
		if ((v.is != TRI_FALSE && v.is != TRI_UNKNOWN) || v.on_act)
			continue;
		f = (struct finding){ .rule = number, .binding = b, .verdict = v.is,
		    .degree = (enum degree)rule->degree, .truth = v.truth };
		f.by_assumption = by_assumption;
		if (f.by_assumption)
			f.degree = DEGREE_MENTION;
		if (v.is == TRI_UNKNOWN && (!v.when_certain || f.degree < DEGREE_DOUBTFUL ||
		    v.truth.whole_domain || v.truth.n_tips == 0 ||
		    fails_in_a_sliver(j, &v.truth))) {
			unjudged = true;
			count_lacking(j, &v.truth);
			continue;
		}
		verdict_reasons(&f, j->m);
		if (v.is == TRI_FALSE) {
			f.seen_differs = !j->fails_only && fails_not_in_seen(j, rule, &b);
			collect(j, &j->fails, first_fail, &f);
		} else {
			collect(j, &j->open, first_open, &f);
		}
	}
	if (unjudged) {
		for (uint32_t i = 0; i < j->c->n_property; i++)
			j->lacks[i] = false;
	}
	if (j->fails.n > first_fail || j->open.n > first_open)
		return;
	if (unjudged)
		out->not_judged++;
	else if (holds)
		out->holds++;
	else
		out->absent++;
}

/* ---- ordering -------------------------------------------------------------- */

static int
by_gravity(const void *a, const void *b)
{
	const struct found *x = a, *y = b;

	if (x->f.degree != y->f.degree)
		return x->f.degree > y->f.degree ? -1 : 1;
	if (x->f.by_assumption != y->f.by_assumption)
		return x->f.by_assumption ? 1 : -1;
	return x->order < y->order ? -1 : x->order > y->order;
}

static double
weight_of(const struct finding *f)
{
	/* a grave rule settled is worth three doubtful ones */
	return (f->degree == DEGREE_GRAVE ? 3.0 : 1.0) * (1.0 + 0.1 * f->same);
}

struct group { uint32_t question; double weight; };
struct sorted { struct found found; struct group group; };

static int
by_weight(const void *a, const void *b)
{
	const struct sorted *x = a, *y = b;

	if (x->group.question != y->group.question) {
		if (x->group.weight < y->group.weight || x->group.weight > y->group.weight)
			return x->group.weight > y->group.weight ? -1 : 1;
		return x->group.question < y->group.question ? -1 : 1;
	}
	return by_gravity(&x->found, &y->found);
}

static void
sort_fails(struct judging *j, struct judgement *out)
{
	struct list *l = &j->fails;

	if (!l->n)
		return;
	qsort(l->f, l->n, sizeof *l->f, by_gravity);
	out->fails = arena_alloc(j->arena, l->n * sizeof *out->fails);
	for (uint32_t i = 0; i < l->n; i++)
		out->fails[i] = l->f[i].f;
	out->n_fails = l->n;
}

static void
ask(struct judging *j, struct judgement *out)
{
	struct list *l = &j->open;
	struct sorted *s;
	double *weight;
	uint32_t n = 0;

	if (!l->n)
		return;
	s = arena_alloc(j->arena, l->n * sizeof *s);
	weight = arena_alloc(j->arena, l->n * sizeof *weight);
	for (uint32_t i = 0; i < l->n; i++) {
		s[i].found = l->f[i];
		s[i].group.question = n;
		for (uint32_t k = 0; k < i && s[i].group.question == n; k++)
			if (same_tip(j->c, &l->f[k].f, &l->f[i].f))
				s[i].group.question = s[k].group.question;
		weight[s[i].group.question] += weight_of(&l->f[i].f);
		if (s[i].group.question == n)
			n++;
	}
	for (uint32_t i = 0; i < l->n; i++)
		s[i].group.weight = weight[s[i].group.question];
	qsort(s, l->n, sizeof *s, by_weight);
	out->undecided = arena_alloc(j->arena, l->n * sizeof *out->undecided);
	out->questions = arena_alloc(j->arena, n * sizeof *out->questions);
	out->n_undecided = l->n;
	for (uint32_t i = 0; i < l->n; i++) {
		const struct finding *f = &s[i].found.f;
		struct question *q;

		out->undecided[i] = *f;
		if (i == 0 || s[i].group.question != s[i - 1].group.question) {
			q = &out->questions[out->n_questions++];
			q->first = i;
			q->weight = s[i].group.weight;
			q->tip = f->truth.tips[0];
			q->fact = f->truth.n_tips ? q->tip.fact : f->truth.facts[0];
		}
		out->questions[out->n_questions - 1].n++;
	}
}

/* ---- the whole ------------------------------------------------------------- */

static struct judgement *
judge_all(struct arena *arena, struct knowledge *kb, struct model *m, bool fails_only)
{
	struct judgement *out = arena_alloc(arena, sizeof *out);
	struct judging j = { .arena = arena, .kb = kb, .c = m->craft, .m = m,
	    .alike.arena = arena, .fails_only = fails_only };
	uint32_t most = 0;

	j.lacking = arena_alloc(arena, (j.c->n_property + 1) * sizeof *j.lacking);
	j.lacks = arena_alloc(arena, (j.c->n_property + 1) * sizeof *j.lacks);
	for (uint32_t i = 0; i < j.c->n_rule; i++)
		rule_over_all(&j, i, out);
	sort_fails(&j, out);
	ask(&j, out);
	out->not_judged_fact = NONE;
	for (uint32_t i = 0; i < j.c->n_property; i++)
		if (j.lacking[i] > most) {
			most = j.lacking[i];
			out->not_judged_fact = i;
		}
	buf_free(&j.words);
	return out;
}

struct judgement *
judge(struct arena *arena, struct knowledge *kb, struct model *m)
{
	return judge_all(arena, kb, m, false);
}

struct judgement *
judge_fails(struct arena *arena, struct knowledge *kb, struct model *m)
{
	return judge_all(arena, kb, m, true);
}

uint32_t
judge_findings(const struct judgement *j, enum degree at_least)
{
	uint32_t n = 0;

	for (uint32_t i = 0; i < j->n_fails; i++)
		n += j->fails[i].degree >= at_least;
	return n;
}

tri
judge_rule(struct arena *arena, struct model *m, uint32_t number, struct finding *worst)
{
	/* worst first; an act nobody said is no verdict at all */
	static const int rank[TRI__COUNT] = { [TRI_FALSE] = 3, [TRI_UNKNOWN] = 2, [TRI_TRUE] = 1,
	    [TRI_ABSENT] = 0 };
	const struct rule *rule = &m->craft->rule[number];
	struct round round = round_of(m, rule);
	struct finding best = { .rule = number, .verdict = TRI_ABSENT,
	    .degree = (enum degree)rule->degree };
	struct binding b;

	(void)arena;
	while (round_next(&round, &b)) {
		struct verdict v = verdict_of(m, rule, &b, plain_truths(m, rule, &b), LOOK_FULLY, NULL);

		if (v.on_act || rank[v.is] < rank[best.verdict] || (v.is == best.verdict &&
		    (!best.by_assumption || assumed(m, &b))))
			continue;
		best.verdict = v.is;
		best.binding = b;
		best.truth = v.truth;
		best.by_assumption = assumed(m, &b);
		best.degree = best.by_assumption ? DEGREE_MENTION : (enum degree)rule->degree;
		if (v.is == TRI_FALSE && !best.by_assumption)
			break;
	}
	if (worst) {
		*worst = best;
		if (best.verdict == TRI_FALSE || best.verdict == TRI_UNKNOWN)
			verdict_reasons(worst, m);
	}
	return best.verdict;
}
