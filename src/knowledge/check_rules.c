/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Rules and advice looked through once more, when it is known what every
 * derived property hangs on: do they read what they claim to touch, nothing
 * that is settled later, no entry by its name, and can their start be taken?
 */
#include "knowledge/knowledge_impl.h"

#include <string.h>

/* ---- what is read ----------------------------- */

typedef bool visit(void *arg, const struct craft *, uint32_t property);    /* true: enough */

static bool
visit_path(const struct craft *v, uint32_t path, visit *f, void *arg)
{
	for (uint8_t i = 0; i < v->path[path].n; i++)
		if (f(arg, v, v->path[path].prop[i]))
			return true;
	return false;
}

/* Every property a program names, those of references on the way too. */
static bool
visit_reads(const struct craft *v, uint32_t program, visit *f, void *arg)
{
	const struct program *g = &v->program[program];

	for (uint32_t i = 0; i < g->n; i++) {
		const struct instr *k = &v->instr[g->first + i];

		if ((k->op == OP_LOAD || k->op == OP_HAS) && visit_path(v, k->b, f, arg))
			return true;
		if (k->op == OP_IS && visit_path(v, k->a, f, arg))
			return true;
		if (k->op == OP_GATHER_OF && k->a != NO16 && f(arg, v, k->a))
			return true;
	}
	return false;
}

static bool
stands_for(void *arg, const struct craft *v, uint32_t property)
{
	uint32_t wanted = *(const uint32_t *)arg;

	return property == wanted || property_depends(v, property, wanted);
}

struct later { uint32_t setting, found; };

/* Does the property hang on a setting that is settled no earlier? */
static bool
is_later(void *arg, const struct craft *v, uint32_t property)
{
	struct later *l = arg;

	for (uint32_t s = l->setting; s < v->n_setting; s++) {
		uint32_t p = v->setting[s].property;

		if (v->setting[s].chosen && (property == p || property_depends(v, property, p))) {
			l->found = s;
			return true;
		}
	}
	return false;
}

static void
check_rule(struct compiler *c, const struct craft *v, const struct judged *j)
{
	const struct rule *r = &v->rule[j->index];
	const char *id = craft_text(v, r->id);

	if (j->broken)
		return;
	for (uint8_t t = 0; t < r->n_touches; t++) {
		const struct setting *s = &v->setting[r->touches[t]];
		uint32_t wanted = s->property;
		bool read = !s->chosen;            /* a judgement reads whatever it must */

		for (uint32_t i = 0; i < j->n_programs && !read; i++)
			read = visit_reads(v, j->program[i], stands_for, &wanted);
		for (uint32_t a = 0; a < s->n_also; a++) {
			uint32_t also = v->also[s->first_also + a];

			for (uint32_t i = 0; i < j->n_programs && !read; i++)
				read = visit_reads(v, j->program[i], stands_for, &also);
		}
		if (!read)
			diag(c->ds, j->id, D_RULE_TOUCHES_UNREAD, id, craft_text(v, s->name),
			    arena_print(c->arena, "%s.%s",
			    craft_text(v, v->kind[v->property[wanted].kind].name),
			    craft_text(v, v->property[wanted].name)));
	}
}

static void
check_names(struct compiler *c, const struct craft *v, const struct judged *j)
{
	const char *id = craft_text(v, j->advice ? v->advice[j->index].id : v->rule[j->index].id);

	for (uint32_t i = 0; i < j->n_programs && !j->names_entry; i++) {
		const struct program *g = &v->program[j->program[i]];

		for (uint32_t k = 0; k < g->n; k++)
			if (v->instr[g->first + k].op == OP_IS) {
				diag(c->ds, j->id, D_RULE_NAMES_ENTRY, arena_print(c->arena,
				    "the %s %s", j->advice ? "advice" : "rule", id),
				    craft_text(v, v->entry[v->instr[g->first + k].b].name));
				return;
			}
	}
}

static void
check_advice(struct compiler *c, const struct craft *v, const struct judged *j)
{
	const struct advice *a = &v->advice[j->index];
	struct later l = {a->setting, NONE};

	for (uint32_t i = 0; i < j->n_programs; i++)
		if (visit_reads(v, j->program[i], is_later, &l)) {
			diag(c->ds, j->id, D_ADVICE_READS_LATER, craft_text(v, a->id),
			    craft_text(v, v->setting[l.found].name),
			    craft_text(v, v->setting[a->setting].name));
			return;
		}
}

/* ---- a start nobody can take ----------------------------- */

/* The number a program is, when it hangs on nothing. */
static bool
constant_of(const struct craft *v, uint32_t program, range *x)
{
	const struct program *g = program != NONE ? &v->program[program] : NULL;

	if (g == NULL || g->n != 1 || v->instr[g->first].op != OP_CONST)
		return false;
	*x = v->constant[v->instr[g->first].b];
	return true;
}

static bool
word_taken(const struct craft *v, const struct advice *a, const struct mask *words)
{
	for (uint32_t i = 0; i < a->n_choices; i++) {
		uint16_t w = v->choice[a->first_choice + i];

		if (w < 128 && (words->set[w >> 6] >> (w & 63) & 1))
			return true;
	}
	return a->n_choices == 0;
}

static bool
obtainable(const struct craft *v, const struct setting *s, range x)
{
	double step = v->property[s->property].step / 2;

	for (uint32_t i = 0; i < s->n_obtainable; i++) {
		double o = v->obtainable[s->first_obtainable + i];

		if (x.lo - step <= o && o <= x.hi + step)
			return true;
	}
	return s->n_obtainable == 0;
}

static void
check_start(struct compiler *c, const struct craft *v, const struct judged *j)
{
	const struct advice *a = &v->advice[j->index];
	const struct program *g;
	const char *id, *start;
	range x, bound;

	if (!j->advice || a->best == NONE)
		return;
	id = craft_text(v, a->id);
	g = &v->program[a->best];
	start = craft_text(v, g->written);
	if (g->n == 1 && v->instr[g->first].op == OP_WORDS) {
		if (!word_taken(v, a, &v->mask[v->instr[g->first].b]))
			diag(c->ds, j->start, D_ADVICE_START_OUTSIDE, start, id);
		return;
	}
	if (!constant_of(v, a->best, &x))
		return;
	if ((constant_of(v, a->low, &bound) && x.hi < bound.lo) ||
	    (constant_of(v, a->high, &bound) && x.lo > bound.hi))
		diag(c->ds, j->start, D_ADVICE_START_OUTSIDE, start, id);
	else if (!obtainable(v, &v->setting[a->setting], x))
		diag(c->ds, j->start, D_ADVICE_START_NOT_SOLD, start,
		    craft_text(v, v->setting[a->setting].name));
}

/* ---- areas ----------------------------- */

/* A field of its own that is nearly another's is a slip of the pen. */
static void
check_area(struct compiler *c, const struct judged *j)
{
	struct near near = {0};

	for (uint32_t i = 0; i < c->n_judged; i++) {
		const struct judged *o = &c->judged[i];

		if (o == j)
			continue;
		if (sv_eq(sv(o->area), sv(j->area)))
			return;
		near_offer(&near, sv(j->area), o->area);
	}
	if (near.n == 0)
		return;
	diag(c->ds, j->area_at, D_AREA_ALONE, j->area);
	diag_near(c->ds, &near);
}

void
check_judged(struct compiler *c, const struct craft *v)
{
	for (uint32_t i = 0; i < c->n_judged; i++) {
		const struct judged *j = &c->judged[i];

		if (j->advice)
			check_advice(c, v, j);
		else
			check_rule(c, v, j);
		check_names(c, v, j);
		check_start(c, v, j);
		check_area(c, j);
	}
}
