/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * One rule against one binding of its objects.
 *
 * A rule is a promise "where WHEN, MUST".  It runs where WHEN may hold; it
 * fails only where both are certain.  What hangs on an act nobody said or
 * advised has no verdict at all.
 */
#include "judge/judge_impl.h"

struct binding
binding_of(uint32_t each, uint32_t other)
{
	struct binding b;

	for (int i = 0; i < VARIABLES_MAX; i++)
		b.object[i] = NONE;
	b.object[0] = each;
	b.object[1] = other;
	return b;
}

/* ---- rounds ---------------------------------------------------------------- */

struct round
round_of(const struct model *m, const struct rule *rule)
{
	return (struct round){ .m = m, .rule = rule, .each = m->first_of_kind[rule->each],
	    .other = rule->other == NO16 ? NONE : m->first_of_kind[rule->other] };
}

bool
round_next(struct round *r, struct binding *b)
{
	bool pairs = r->rule->other != NO16;

	while (r->each != NONE) {
		uint32_t each = r->each, other = r->other;

		if (pairs && other == NONE) {
			r->each = r->m->objects[each].next;
			r->other = r->m->first_of_kind[r->rule->other];
			continue;
		}
		if (pairs)
			r->other = r->m->objects[other].next;
		else
			r->each = r->m->objects[each].next;
		if (pairs && other == each)
			continue;      /* nothing is a pair with itself */
		*b = binding_of(each, other);
		return true;
	}
	return false;
}

/* ---- acts ------------------------------------------------------------------ */

uint32_t
path_object(const struct model *m, const struct path *path, uint8_t reg, const struct binding *b)
{
	uint32_t o = reg == VARIABLE_ONE ? m->first_of_kind[path->root]
	    : reg < VARIABLES_MAX ? b->object[reg] : NONE;

	for (uint8_t i = 0; o != NONE && i + 1 < path->n; i++) {
		const value *v = model_slot(m, o, path->prop[i]);

		o = v->state == VALUE_KNOWN && v->ref >= 0 ? (uint32_t)v->ref : NONE;
	}
	return o;
}

static bool
act_unsaid(const struct model *m, struct fact f)
{
	return (m->craft->property[f.property].flags & PROPERTY_ACT) &&
	    model_slot(m, f.object, f.property)->state == VALUE_UNKNOWN;
}

#define ACT_DEPTH 6                        /* formulas within formulas that are looked into */

/* Does the program read such an act itself, or through what is worked out? */
static bool
loads_unsaid_act(const struct model *m, uint32_t program, const struct binding *b, unsigned depth)
{
	const struct craft *c = m->craft;
	const struct program *p = &c->program[program];

	for (uint32_t i = p->first; i < p->first + p->n; i++) {
		const struct path *path;
		uint32_t o, property, formula;
		const value *v;

		if (c->instr[i].op != OP_LOAD)
			continue;
		path = &c->path[c->instr[i].b];
		if (path->n == 0)
			continue;
		o = path_object(m, path, c->instr[i].reg, b);
		if (o == NONE)
			continue;
		property = path->prop[path->n - 1];
		if (act_unsaid(m, (struct fact){ o, property }))
			return true;
		formula = c->property[property].formula;
		v = model_slot(m, o, property);
		if (formula != NONE && depth < ACT_DEPTH && v->state != VALUE_ABSENT &&
		    m->pedigrees[v->pedigree].kind == PEDIGREE_DERIVED) {
			struct binding inner = binding_of(o, NONE);

			if (loads_unsaid_act(m, formula, &inner, depth + 1))
				return true;
		}
	}
	return false;
}

/* Is there such an act among the facts a truth hangs on? */
static bool
watched_unsaid_act(const struct model *m, const struct watch *watch)
{
	for (uint32_t i = 0; i < watch->n; i++)
		if (act_unsaid(m, watch->facts[i]))
			return true;
	return false;
}

/* Is nothing known of any fact watched? */
static bool
nothing_known(const struct model *m, const struct watch *watch)
{
	for (uint32_t i = 0; i < watch->n; i++)
		if (model_slot(m, watch->facts[i].object, watch->facts[i].property)->state !=
		    VALUE_UNKNOWN)
			return false;
	return watch->n > 0 && !watch->full;
}

/* ---- the verdict ----------------------------------------------------------- */

#define ROW_MAX 256                        /* numbers that tell what is seen of an object */

struct alike_truth {
	uint32_t program, n;
	enum look look;
	uint64_t *row;
	struct truth truth;
	bool on_act;
	struct alike_truth *next;
};

/* Does it hang on a fact of this very object? Then it holds for no other. */
static bool
hangs_on_itself(const struct truth *t, uint32_t object)
{
	for (uint32_t i = 0; i < t->n_facts; i++)
		if (t->facts[i].object == object)
			return true;
	for (uint32_t i = 0; i < t->n_tips; i++)
		if (t->tips[i].fact.object == object)
			return true;
	return false;
}

/* The exact truth of a program that is not certain at once, unless it hangs on an
 * act nobody said: then there is nothing to decide.  Nor is there, if it matters
 * only what is listed, where nothing is known of what decides. */
static struct truth
closer_truth(struct model *m, uint32_t program, const struct binding *b, enum look look,
    bool *on_act)
{
	struct truth t = { .is = TRI_UNKNOWN };
	struct watch watch = { .n = 0 };

	eval(m->craft, m, program, b, NULL, &watch);
	if (watched_unsaid_act(m, &watch)) {
		*on_act = true;
		return t;
	}
	if (look == LOOK_FULLY || !nothing_known(m, &watch))
		return look == LOOK_COUNTED ? decide_without_tips(m->craft, m, program, b)
		    : decide(m->craft, m, program, b);
	t.whole_domain = true;
	for (; t.n_facts < watch.n && t.n_facts < 3; t.n_facts++)
		t.facts[t.n_facts] = watch.facts[t.n_facts];
	return t;
}

/* What the program can see of an object, noted once for a rule. */
static const struct sight *
sight_for(struct truths_alike *alike, const struct craft *c, uint32_t program)
{
	uint32_t i = 0;

	while (i < alike->n && alike->program[i] != program)
		i++;
	if (i == alike->n) {
		assert(i < 2);
		alike->program[alike->n++] = program;
		alike->sight[i].n = 0;
		alike->sight[i].full = false;
		sight_add(&alike->sight[i], c, program);
	}
	return &alike->sight[i];
}

/* The truth of a program that is not certain at first sight. */
static void
truth_of(struct truth *t, struct model *m, uint32_t program, const struct binding *b,
    enum look look,
    bool *on_act, struct truths_alike *alike)
{
	uint64_t row[ROW_MAX];
	uint32_t n = 0;
	struct alike_truth *new;
	bool act = false;

	/* told sooner than whether an object like this one was seen */
	if (loads_unsaid_act(m, program, b, 0)) {
		*on_act = true;
		*t = (struct truth){ .is = TRI_UNKNOWN };
		return;
	}
	if (alike != NULL && b->object[1] == NONE)
		n = sight_of(sight_for(alike, m->craft, program), m, b->object[0], row, ROW_MAX);
	for (struct alike_truth *a = n > 0 ? alike->first : NULL; a != NULL; a = a->next)
		if (a->program == program && a->look == look && a->n == n &&
		    memcmp(a->row, row, n * sizeof *row) == 0) {
			*on_act = *on_act || a->on_act;
			*t = a->truth;
			return;
		}
	*t = closer_truth(m, program, b, look, &act);
	*on_act = *on_act || act;
	if (n == 0 || hangs_on_itself(t, b->object[0]))
		return;
	new = arena_alloc(alike->arena, sizeof *new);
	*new = (struct alike_truth){ .program = program, .n = n, .look = look, .truth = *t,
	    .on_act = act, .next = alike->first };
	new->row = arena_alloc(alike->arena, n * sizeof *row);
	memcpy(new->row, row, n * sizeof *row);
	alike->first = new;
}

struct plain
plain_truths(const struct model *m, const struct rule *rule, const struct binding *b)
{
	struct plain p = { .when = TRI_TRUE, .must = TRI__COUNT };

	if (rule->when != NONE)
		p.when = eval_truth(m->craft, m, rule->when, b);
	if (p.when == TRI_TRUE)
		p.must = eval_truth(m->craft, m, rule->must, b);
	return p;
}

struct verdict
verdict_of(struct model *m, const struct rule *rule, const struct binding *b, struct plain plain,
    enum look look, struct truths_alike *alike)
{
	struct verdict v = { .is = TRI_TRUE, .when_certain = true };
	enum look open = look == LOOK_LISTED ? LOOK_COUNTED : look;
	struct truth when;

	if (plain.when == TRI_UNKNOWN) {
		/* what hangs on an open condition is not listed */
		truth_of(&when, m, rule->when, b, open, &v.on_act, alike);
		plain.when = when.is;
		v.when_certain = when.is == TRI_TRUE;
	}
	if (plain.when == TRI_FALSE || plain.when == TRI_ABSENT) {
		v.is = TRI_ABSENT;
		return v;
	}
	if (v.on_act) {
		v.is = TRI_UNKNOWN;
		return v;
	}
	v.truth.is = plain.must != TRI__COUNT ? plain.must
	    : eval_truth(m->craft, m, rule->must, b);
	if (v.truth.is == TRI_UNKNOWN)
		truth_of(&v.truth, m, rule->must, b, v.when_certain ? look : open, &v.on_act,
		    alike);
	v.is = v.truth.is;
	if (!v.when_certain && (v.is == TRI_FALSE || v.is == TRI_UNKNOWN)) {
		v.is = TRI_UNKNOWN;
		v.truth = when;
	}
	return v;
}
