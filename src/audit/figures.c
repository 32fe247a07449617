/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Pins of the figures that rules and advice lean on: the cells of tables, named
 * constants, and the coefficients of formulas.
 *
 * A cell or a constant is pinned when any one rule or piece of advice that uses
 * it has an example that notices the change; a coefficient when a worked
 * example leaves its tolerance. A cell is moved by the step of what it is
 * compared with or chosen for, its place by the step of what it is looked up
 * by; where there is no such step, by a twentieth.
 */
#include <stdlib.h>

#include "audit/audit_impl.h"

enum { DOWN, UP, DIRECTIONS };

struct figure_pins {
	struct bench *b;
	struct point *points;              /* the mutant's own */
	uint8_t *used;                     /* per table */
	uint8_t *place, *low, *high;       /* per point: bit DOWN or UP once noticed */
	uint8_t *constant;                 /* per formula without parameters */
	uint8_t *leaned_on;                /* such a formula is used by some rule or advice */
};

/* ---- steps ------------------------------------------------------------------------- */

static double
twentieth(double x)
{
	double d = (x < 0 ? -x : x) / 20;

	return d > 0 ? d : 1;
}

static double
place_step(const struct craft *c, const struct program *g, uint32_t at, double x)
{
	if (at > g->first && c->instr[at - 1].op == OP_LOAD) {
		const struct path *p = &c->path[c->instr[at - 1].b];
		double step = p->n > 0 ? c->property[p->prop[p->n - 1]].step : 0;

		if (step > 0)
			return step;
	}
	return twentieth(x);
}

static double
result_step(const struct bench *b, const struct program *g, uint32_t at, double y)
{
	const struct craft *c = kb_craft(b->kb);

	if (b->rule == NONE)
		return audit_choice_step(c, &c->setting[c->advice[b->advice].setting]);
	for (uint32_t i = at + 1; i < g->first + g->n; i++)
		if (c->instr[i].op >= OP_LT && c->instr[i].op <= OP_IN_BAND && c->instr[i].step > 0)
			return c->instr[i].step;
	return twentieth(y);
}

/* ---- cells and constants of one owner ----------------------------------------------- */

/* Is the change in the mutant noticed, or is there an example that would? */
static bool
held(struct figure_pins *f)
{
	return audit_noticed(f->b) || (f->b->suggest != NULL && audit_suggest(f->b));
}

static void
move_number(struct figure_pins *f, double *x, double step, uint8_t *noticed)
{
	double keep = *x;

	for (int d = DOWN; d < DIRECTIONS; d++) {
		if (*noticed >> d & 1)
			continue;
		*x = keep + (d == DOWN ? -step : step);
		if (held(f))
			*noticed |= (uint8_t)(1u << d);
		*x = keep;
	}
}

static void
move_table(struct figure_pins *f, const struct program *g, uint32_t at)
{
	const struct craft *c = kb_craft(f->b->kb);
	const struct table *t = &c->table[c->instr[at].b];

	f->used[c->instr[at].b] = 1;
	for (uint32_t i = t->first; i < t->first + t->n; i++) {
		struct point *p = &f->points[i];

		if (!t->by_word)
			move_number(f, &p->x, place_step(c, g, at, p->x), &f->place[i]);
		if (p->y.hi > p->y.lo) {
			move_number(f, &p->y.lo, result_step(f->b, g, at, p->y.lo), &f->low[i]);
			move_number(f, &p->y.hi, result_step(f->b, g, at, p->y.hi), &f->high[i]);
		} else {
			double keep = p->y.lo, step = result_step(f->b, g, at, keep);

			for (int d = DOWN; d < DIRECTIONS; d++) {
				if (f->low[i] >> d & 1)
					continue;
				p->y = range_exact(keep + (d == DOWN ? -step : step));
				if (held(f))
					f->low[i] |= (uint8_t)(1u << d);
				p->y = range_exact(keep);
			}
			f->high[i] = f->low[i];
		}
	}
}

static void
move_constant(struct figure_pins *f, const struct program *g, uint32_t at)
{
	const struct craft *c = kb_craft(f->b->kb);
	uint32_t formula = c->instr[at].b;
	struct literal l[4];
	uint32_t n = program_literals(c, c->formula[formula].body, l, 4);

	f->leaned_on[formula] = 1;
	for (uint32_t i = 0; i < n; i++) {
		range *r = &f->b->constants[c->instr[l[i].instr].b];
		range keep = *r;
		double step = l[i].last_digit;

		if (at + 1 < g->first + g->n && c->instr[at + 1].op >= OP_LT && c->instr[at + 1].op <= OP_IN_BAND
		    && c->instr[at + 1].step > 0)
			step = c->instr[at + 1].step;
		if (f->b->rule == NONE && g->n == 1)
			step = audit_choice_step(c, &c->setting[c->advice[f->b->advice].setting]);
		for (int d = DOWN; d < DIRECTIONS; d++) {
			if (f->constant[formula] >> d & 1)
				continue;
			*r = range_exact(keep.lo + (d == DOWN ? -step : step));
			if (held(f))
				f->constant[formula] |= (uint8_t)(1u << d);
			*r = keep;
		}
	}
}

static void
move_figures(struct figure_pins *f, uint32_t program)
{
	const struct craft *c = kb_craft(f->b->kb);
	const struct program *g;

	if (program == NONE)
		return;
	g = &c->program[program];
	for (uint32_t at = g->first; at < g->first + g->n; at++) {
		if (c->instr[at].op == OP_TABLE)
			move_table(f, g, at);
		if (c->instr[at].op == OP_CALL && c->formula[c->instr[at].b].n_parameters == 0)
			move_constant(f, g, at);
	}
}

/* ---- the reports ------------------------------------------------------------------------ */

static void
complain(struct figure_pins *f, const char *what, const char *name, const char *which,
    double x, uint8_t noticed)
{
	struct buf b = {0};

	buf_number(&b, x, 6);
	for (int d = DOWN; d < DIRECTIONS; d++) {
		f->b->part->tried++;
		if (!(noticed >> d & 1))
			audit_fail(f->b->out, f->b->part, "%s %s: no example notices %s %s%s (base units)", what, name,
			    d == DOWN ? "lowering" : "raising", which, b.p);
	}
	buf_free(&b);
}

static bool
loose_owner(struct figure_pins *f, const char *what, const char *name)
{
	const struct loose *l;
	uint32_t n = kb_loose(f->b->kb, &l);
	char owner[256];

	snprintf(owner, sizeof owner, "%s %s", what, name);
	for (uint32_t i = 0; i < n; i++)
		if (strcmp(l[i].owner, owner) == 0)
			return true;
	return false;
}

static void
report_tables(struct figure_pins *f)
{
	const struct craft *c = kb_craft(f->b->kb);

	f->b->part = audit_part(f->b->out, "table pins");
	for (uint32_t t = 0; t < c->n_table; t++) {
		const char *name = craft_text(c, c->table[t].name);

		if (!f->used[t] || loose_owner(f, "table", name))
			continue;
		for (uint32_t i = c->table[t].first; i < c->table[t].first + c->table[t].n; i++) {
			const struct point *p = &c->point[i];

			if (!c->table[t].by_word)
				complain(f, "table", name, "the place ", p->x, f->place[i]);
			complain(f, "table", name, "the cell ", p->y.lo, f->low[i]);
			if (p->y.hi > p->y.lo)
				complain(f, "table", name, "the upper end ", p->y.hi, f->high[i]);
		}
	}
}

static void
report_constants(struct figure_pins *f)
{
	const struct craft *c = kb_craft(f->b->kb);

	f->b->part = audit_part(f->b->out, "constant pins");
	for (uint32_t i = 0; i < c->n_formula; i++) {
		const char *name = craft_text(c, c->formula[i].name);
		struct binding none = {{0}};
		struct cell is;

		if (!f->leaned_on[i] || loose_owner(f, "constant", name))
			continue;
		is = eval(c, &(struct model){.craft = c}, c->formula[i].body, &none, NULL, NULL);
		complain(f, "constant", name, "", is.r.lo, f->constant[i]);
	}
}

/* Does some worked example of the formula leave its tolerance? */
static bool
worked_notices(struct bench *b, uint32_t formula)
{
	const struct worked *w;
	uint32_t n = kb_worked(b->kb, &w);

	for (uint32_t i = 0; i < n; i++) {
		struct cell got;
		tri valid;

		if (w[i].formula != formula)
			continue;
		got = formula_work_out(&b->mutant, formula, w[i].with, &valid);
		if (valid != TRI_TRUE || got.r.lo < w[i].gives.lo - w[i].within
		    || got.r.hi > w[i].gives.hi + w[i].within)
			return true;
	}
	return false;
}

static void
pin_formulas(struct figure_pins *f)
{
	const struct craft *c = kb_craft(f->b->kb);

	f->b->part = audit_part(f->b->out, "formula pins");
	for (uint32_t i = 0; i < c->n_formula; i++) {
		const char *name = craft_text(c, c->formula[i].name);
		struct literal l[64];
		uint32_t n;

		if (c->formula[i].n_parameters == 0 || loose_owner(f, "formula", name))
			continue;
		n = program_literals(c, c->formula[i].body, l, 64);
		for (uint32_t k = 0; k < n; k++) {
			range *r = &f->b->constants[c->instr[l[k].instr].b], keep = *r;

			if (sv_is(l[k].written, "0") || sv_is(l[k].written, "1"))
				continue;
			for (int d = DOWN; d < DIRECTIONS; d++) {
				f->b->part->tried++;
				*r = range_exact(keep.lo + (d == DOWN ? -l[k].last_digit : l[k].last_digit));
				if (!worked_notices(f->b, i))
					audit_fail(f->b->out, f->b->part, "formula %s: no worked example notices %s %.*s", name,
					    d == DOWN ? "lowering" : "raising", (int)l[k].written.n, l[k].written.p);
				*r = keep;
			}
		}
	}
}

void
audit_figures(struct bench *b)
{
	const struct craft *c = kb_craft(b->kb);
	struct figure_pins f = {.b = b};
	size_t points = c->n_point + 1u;

	f.points = mem_alloc(points * sizeof *f.points);
	if (c->n_point > 0)
		memcpy(f.points, c->point, c->n_point * sizeof *f.points);
	b->mutant.point = f.points;
	f.used = mem_alloc(c->n_table + 1u);
	f.place = mem_alloc(points);
	f.low = mem_alloc(points);
	f.high = mem_alloc(points);
	f.constant = mem_alloc(c->n_formula + 1u);
	f.leaned_on = mem_alloc(c->n_formula + 1u);
	for (uint32_t i = 0; i < c->n_rule; i++) {
		if (!audit_wanted(b->out, craft_text(c, c->rule[i].id)))
			continue;
		audit_bench_rule(b, i);
		move_figures(&f, c->rule[i].when);
		move_figures(&f, c->rule[i].must);
	}
	for (uint32_t i = 0; i < c->n_advice; i++) {
		if (!audit_wanted(b->out, craft_text(c, c->advice[i].id)))
			continue;
		audit_bench_advice(b, i);
		move_figures(&f, c->advice[i].when);
		move_figures(&f, c->advice[i].low);
		if (c->advice[i].high != c->advice[i].low)
			move_figures(&f, c->advice[i].high);
		move_figures(&f, c->advice[i].best);
	}
	if (b->out->n_only == 0) {
		report_tables(&f);
		report_constants(&f);
		pin_formulas(&f);
	}
	b->mutant.point = c->point;
	free(f.points);
	free(f.used);
	free(f.place);
	free(f.low);
	free(f.high);
	free(f.constant);
	free(f.leaned_on);
}
