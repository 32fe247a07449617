/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * work-out: a formula of the knowledge base with the user's own figures; with
 * none given, what it takes and what it is good for.
 */
#include "command/command_impl.h"

#include <string.h>

enum { TAKES_MOST = 12 };

static uint32_t
formula_find(const struct craft *c, strview name)
{
	for (uint32_t i = 0; i < c->n_formula; i++)
		if (sv_is(name, craft_text(c, c->formula[i].name)))
			return i;
	return NONE;
}

static int
no_formula(struct run *r, strview name)
{
	struct near near = {0};
	struct buf b = {0};

	for (uint32_t i = 0; i < r->craft->n_formula; i++)
		near_offer(&near, name, craft_text(r->craft, r->craft->formula[i].name));
	for (int i = 0; i < near.n; i++)
		buf_print(&b, "%s%s", i == 0 ? "; did you mean " : " or ", near.name[i]);
	usage(r, "there is no formula %s%s%s", name.p, b.n > 0 ? b.p : "",
	    b.n > 0 ? "?" : " (see: bodkin list formulas)");
	buf_free(&b);
	return EXIT_NOT_RUN;
}

static const struct parameter *
parameter_of(const struct run *r, const struct formula *f, uint32_t i)
{
	return &r->craft->parameter[f->first_parameter + i];
}

static const char *
unit_name(const struct run *r, uint32_t unit)
{
	return unit < r->craft->units->n ? r->craft->units->u[unit].name : "";
}

/* ---- the formula itself ---------------------------------------------------------- */

static void
describe(struct run *r, const struct formula *f)
{
	page_add(r->page, BLOCK_TITLE, NULL, craft_text(r->craft, f->name));
	if (*craft_text(r->craft, f->says) != '\0')
		page_add(r->page, BLOCK_PARAGRAPH, NULL, craft_text(r->craft, f->says));
	page_add(r->page, BLOCK_PAIR, SAY(r, "work-out.is"),
	    craft_text(r->craft, r->craft->program[f->body].written));
	for (uint32_t i = 0; i < f->n_parameters; i++) {
		const struct parameter *p = parameter_of(r, f, i);

		page_add(r->page, BLOCK_PAIR, SAY(r, "work-out.takes"), SAY(r, "work-out.parameter",
		    "name", craft_text(r->craft, p->name), "unit", unit_name(r, p->unit)));
	}
	page_add(r->page, BLOCK_PAIR, SAY(r, "work-out.gives"), unit_name(r, f->unit));
	if (*craft_text(r->craft, f->validity_text) != '\0')
		page_add(r->page, BLOCK_PAIR, SAY(r, "work-out.valid"),
		    craft_text(r->craft, f->validity_text));
	page_add(r->page, BLOCK_PAIR, SAY(r, "why.from"), cite_text(r, f->source));
}

/* ---- reading the figures ------------------------------------------------------------- */

static bool
figure_read(struct run *r, const struct parameter *p, strview text, range *out)
{
	const struct units *us = r->craft->units;
	uint16_t *list = arena_alloc(r->arena, (us->n + 1) * sizeof *list);
	struct reading_for f = {.dim = p->dim, .units = list, .bare = (int)p->unit,
	    .domain = range_all(), .about = 0.1};
	struct reading got;

	list[f.n_units++] = (uint16_t)p->unit;
	for (uint32_t i = 0; i < us->n; i++)
		if (dim_eq(us->u[i].dim, p->dim) && i != p->unit)
			list[f.n_units++] = (uint16_t)i;
	got = reading_of(us, r->craft->range_words, &f, text, true);
	*out = got.value;
	if (got.fault == READ_FINE)
		return true;
	usage(r, "%s=%.*s: %s; it is read in %s", craft_text(r->craft, p->name),
	    (int)(text.n < 200 ? text.n : 200), text.p, reading_fault_name(got.fault),
	    unit_name(r, p->unit));
	return false;
}

static bool
figures_read(struct run *r, const struct formula *f, range *out)
{
	bool have[TAKES_MOST] = {false};

	for (int a = 1; a < r->ask->n_args; a++) {
		const char *arg = r->ask->args[a];
		size_t n = strcspn(arg, "=");
		uint32_t i = 0;

		while (i < f->n_parameters && !sv_is((strview){arg, n},
		    craft_text(r->craft, parameter_of(r, f, i)->name)))
			i++;
		if (arg[n] != '=' || i >= f->n_parameters || i >= TAKES_MOST) {
			usage(r, "%s is no figure of this formula; see: bodkin work-out %s", arg,
			    r->ask->args[0]);
			return false;
		}
		if (have[i]) {
			usage(r, "%.*s is given twice", (int)n, arg);
			return false;
		}
		if (!figure_read(r, parameter_of(r, f, i), sv(arg + n + 1), &out[i]))
			return false;
		have[i] = true;
	}
	for (uint32_t i = 0; i < f->n_parameters && i < TAKES_MOST; i++) {
		if (!have[i]) {
			usage(r, "%s is missing (in %s)",
			    craft_text(r->craft, parameter_of(r, f, i)->name),
			    unit_name(r, parameter_of(r, f, i)->unit));
			return false;
		}
	}
	return true;
}

/* ---- the answer ------------------------------------------------------------------------ */

static const char *
shown(struct run *r, uint32_t unit, range base)
{
	struct buf b = {0};

	range_print(&b, r->craft->units, (int)unit, base, 0);
	return run_kept(r, &b);
}

static void
answer_json(struct run *r, const struct formula *f, const range *in, struct cell got, tri valid)
{
	bool ok = false;
	range written = unit_range_from_base(&r->craft->units->u[f->unit], got.r, &ok);
	struct json j;

	json_begin(r, &j);
	json_key(&j, "formula");
	json_str(&j, craft_text(r->craft, f->name));
	json_key(&j, "with");
	json_open(&j, '[');
	for (uint32_t i = 0; i < f->n_parameters; i++) {
		json_open(&j, '{');
		json_key(&j, "name");
		json_str(&j, craft_text(r->craft, parameter_of(r, f, i)->name));
		json_key(&j, "shown");
		json_str(&j, shown(r, parameter_of(r, f, i)->unit, in[i]));
		json_close(&j, '}');
	}
	json_close(&j, ']');
	json_key(&j, "valid");
	json_str(&j, tri_name(valid));
	json_key(&j, "low");
	json_number(&j, ok && valid == TRI_TRUE ? written.lo : range_all().hi);
	json_key(&j, "high");
	json_number(&j, ok && valid == TRI_TRUE ? written.hi : range_all().hi);
	json_key(&j, "unit");
	json_str(&j, unit_name(r, f->unit));
	json_key(&j, "shown");
	json_str(&j, valid == TRI_TRUE ? shown(r, f->unit, got.r) : NULL);
	cite(r, f->source);
	json_sources(r, &j);
	json_end(r, &j);
}

static void
answer_page(struct run *r, const struct formula *f, const range *in, struct cell got, tri valid)
{
	const char *name = craft_text(r->craft, f->name);

	if (valid == TRI_TRUE && got.state != VALUE_ABSENT)
		page_add(r->page, BLOCK_TITLE, NULL, SAY(r, "work-out.result", "name", name,
		    "value", shown(r, f->unit, got.r)));
	else
		page_add(r->page, BLOCK_TITLE, NULL, SAY(r, "work-out.outside", "name", name,
		    "validity", craft_text(r->craft, f->validity_text)));
	for (uint32_t i = 0; i < f->n_parameters; i++)
		page_add(r->page, BLOCK_PAIR, craft_text(r->craft, parameter_of(r, f, i)->name),
		    shown(r, parameter_of(r, f, i)->unit, in[i]));
	page_add(r->page, BLOCK_PAIR, SAY(r, "work-out.is"),
	    craft_text(r->craft, r->craft->program[f->body].written));
	if (*craft_text(r->craft, f->validity_text) != '\0')
		page_add(r->page, BLOCK_PAIR, SAY(r, "work-out.valid"),
		    craft_text(r->craft, f->validity_text));
	page_add(r->page, BLOCK_PAIR, SAY(r, "why.from"), cite_text(r, f->source));
}

static void
dump(struct run *r, uint32_t formula)
{
	static const char *const stages[] = {"lex", "parse", "type"};
	struct scope scope = {.formula = formula, .for_property = NONE};
	const char *written = craft_text(r->craft,
	    r->craft->program[r->craft->formula[formula].body].written);

	for (size_t i = 0; i < VARIABLES_MAX; i++)
		scope.variable_kind[i] = NO16;
	for (size_t i = 0; i < sizeof stages / sizeof *stages; i++)
		if (wants_stage(r->ask, stages[i]))
			expression_dump(&r->out, r->craft, sv(written), stages[i], &scope, &r->diags);
}

int
command_work_out(struct run *r)
{
	const struct formula *f;
	range in[TAKES_MOST] = {{0, 0}};
	struct cell got;
	uint32_t i;
	tri valid;

	if (r->ask->n_args == 0)
		return usage(r, "name a formula; they are listed by: bodkin list formulas");
	if (!run_knowledge(r))
		return EXIT_NOT_RUN;
	i = formula_find(r->craft, sv(r->ask->args[0]));
	if (i == NONE)
		return no_formula(r, sv(r->ask->args[0]));
	f = &r->craft->formula[i];
	if (r->ask->stages != NULL && !wants_stage(r->ask, "page")) {
		dump(r, i);
		return EXIT_SOUND;
	}
	if (r->ask->n_args == 1 && f->n_parameters > 0 && !r->ask->json) {
		describe(r, f);
		check_sources(r);
		return EXIT_SOUND;
	}
	if (!figures_read(r, f, in))
		return EXIT_NOT_RUN;
	got = formula_work_out(r->craft, i, in, &valid);
	if (r->ask->json)
		answer_json(r, f, in, got, valid);
	else {
		answer_page(r, f, in, got, valid);
		check_sources(r);
	}
	return valid == TRI_TRUE ? EXIT_SOUND : EXIT_FINDINGS;
}
