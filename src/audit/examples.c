/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Examples, the whole way: plain words, expansion, advice, judgement.
 *
 * A rule whose facts no reader ever produces cannot pass here, and a rule that
 * is said to stay quiet must not even be undecided.
 */
#include "audit/audit_impl.h"
#include "work/order.h"

struct model *
audit_model(struct arena *a, struct knowledge *kb, const char *words, struct project **project)
{
	struct diags d;
	struct source *src = source_new(a, "<words>", sv(words));
	struct project *p;

	diags_init(&d, a);
	p = project_from_words(a, kb, src, &d);
	if (project != NULL)
		*project = p;
	return p != NULL ? model_expand(a, kb, p, &d) : NULL;
}

static const char *
shown(struct arena *a, const struct craft *c, const struct model *m, const value *v,
    uint32_t property)
{
	struct buf b = {0};
	const char *s;

	cell_print(&b, c, m, eval_value(v, c->property[property].type), property);
	s = arena_text(a, b.p, b.n);
	buf_free(&b);
	return s;
}

static int
half_step(const struct craft *c, uint32_t property, double a, double b)
{
	double d = a - b, half = c->property[property].step / 2 + 1e-12;

	return d < half && d > -half;
}

/* Is the choice the value an author wrote? The value is read for the property. */
static bool
choice_is(struct knowledge *kb, const struct choice *ch, const char *written)
{
	const struct craft *c = kb_craft(kb);
	uint32_t property = c->setting[ch->setting].property;
	const struct property *q = &c->property[property];

	if (ch->start.state != VALUE_KNOWN)
		return false;
	if (q->type == TYPE_WORDS) {
		const struct word_set *s = &c->word_set[q->word_set];

		for (uint32_t i = 0; i < s->n; i++)
			if (strcmp(craft_text(c, c->word[s->first + i].name), written) == 0)
				return ch->start.set[i >> 6] >> (i & 63) & 1;
		return false;
	}
	struct reading_for f = {.dim = q->dim, .units = c->unit_list + q->first_unit,
	    .n_units = q->n_units,
	    .bare = q->bare_unit == NO16 ? -1 : q->bare_unit, .domain = q->domain, .about = q->about};
	struct reading r = reading_of(c->units, c->range_words, &f, sv(written), true);

	return r.fault == READ_FINE && ch->start.r.lo >= r.value.lo - c->property[property].step / 2
	    && ch->start.r.hi <= r.value.hi + c->property[property].step / 2
	    && (r.value.hi > r.value.lo || half_step(c, property, ch->start.r.lo, r.value.lo));
}

static bool
advice_example(struct arena *a, struct knowledge *kb, struct model *m, const struct project *p,
    uint32_t advice, const struct example *e, const char **said)
{
	const struct craft *c = m->craft;
	const struct advised *all = advise(a, kb, m);
	const struct choice *ch = advise_for(all, m, c->advice[advice].setting, p, NULL);
	bool is;

	if (ch == NULL) {
		*said = "the setting applies nowhere";
		return false;
	}
	*said = shown(a, c, m, &ch->start, c->setting[ch->setting].property);
	is = choice_is(kb, ch, craft_text(c, e->value));
	return e->kind == EXAMPLE_GIVES ? is : !is;
}

bool
audit_example(struct arena *a, struct knowledge *kb, struct model *m, const struct project *p,
    uint32_t rule, uint32_t advice, const struct example *e, const char **said)
{
	tri t;

	if (advice != NONE)
		return advice_example(a, kb, m, p, advice, e, said);
	advise(a, kb, m);
	t = judge_rule(a, m, rule, NULL);
	*said = t == TRI_FALSE ? "it fires" : t == TRI_UNKNOWN ? "it is undecided"
	    : t == TRI_ABSENT ? "it does not run" : "it holds";
	switch ((enum example_kind)e->kind) {
	case EXAMPLE_FIRES:
		return t == TRI_FALSE;
	case EXAMPLE_QUIET:
		return t == TRI_TRUE || t == TRI_ABSENT;
	case EXAMPLE_UNDECIDED:
		return t == TRI_UNKNOWN;
	case EXAMPLE_GIVES:
	case EXAMPLE_GIVES_NOT:
		break;
	}
	return false;
}

static const char *const kinds[] = {
	[EXAMPLE_FIRES] = "should fire", [EXAMPLE_QUIET] = "should stay quiet",
	[EXAMPLE_UNDECIDED] = "should be undecided", [EXAMPLE_GIVES] = "should give",
	[EXAMPLE_GIVES_NOT] = "should not give",
};

static void
try_one(struct audit *out, struct audit_part *p, struct knowledge *kb, struct arena *a,
    uint32_t rule,
    uint32_t advice, uint32_t number)
{
	const struct craft *c = kb_craft(kb);
	const struct example *e = &c->example[number];
	const char *said = "no model", *words = craft_text(c, e->words);
	struct project *project;
	struct model *m = audit_model(a, kb, words, &project);

	p->tried++;
	if (m == NULL || !audit_example(a, kb, m, project, rule, advice, e, &said)) {
		const char *file = craft_text(c, rule != NONE ? c->rule[rule].file :
		    c->advice[advice].file);

		if (rule != NONE)
			audit_fail(out, p, "%s:%u: rule %s %s, but %s: bodkin check --words \"%s\"", file, e->line,
			    craft_text(c, c->rule[rule].id), kinds[e->kind], said, words);
		else
			audit_fail(out, p, "%s:%u: advice %s %s %s, but gives %s: "
			    "bodkin check --words \"%s\" --setting %s", file, e->line,
			    craft_text(c, c->advice[advice].id), kinds[e->kind], craft_text(c, e->value), said, words,
			    craft_text(c, c->setting[c->advice[advice].setting].name));
	}
	arena_reset(a);
}

static void
try_order(struct audit *out, struct audit_part *p, struct knowledge *kb, struct arena *a,
    uint32_t rule, uint32_t number)
{
	const struct craft *c = kb_craft(kb);
	const struct order_rule *r = &c->order_rule[rule];
	const struct example *e = &c->example[number];
	const char *words = craft_text(c, e->words);
	struct model *m = audit_model(a, kb, words, NULL);
	bool speaks = false;

	p->tried++;
	if (m != NULL) {
		advise(a, kb, m);
		speaks = order_rule_speaks(a, m, rule);
	}
	if (m == NULL || speaks != (e->kind == EXAMPLE_FIRES))
		audit_fail(out, p, "%s:%u: order rule %s %s, but %s: bodkin order --words \"%s\"",
		    craft_text(c, r->file), e->line, craft_text(c, r->id), kinds[e->kind],
		    m == NULL ? "no model" : speaks ? "it puts two steps in order"
		    : "it puts no two steps in order", words);
	arena_reset(a);
}

/* Published figures worked out again by the formulas that cite them. */
static void
try_worked(struct audit *out, struct knowledge *kb)
{
	const struct craft *c = kb_craft(kb);
	struct audit_part *p = audit_part(out, "worked examples");
	const struct worked *w;
	uint32_t n = kb_worked(kb, &w);

	for (uint32_t i = 0; i < n; i++) {
		tri valid;
		struct cell got = formula_work_out(c, w[i].formula, w[i].with, &valid);

		p->tried++;
		if (valid != TRI_TRUE || got.r.lo < w[i].gives.lo - w[i].within - 1e-15
		    || got.r.hi > w[i].gives.hi + w[i].within + 1e-15) {
			struct buf b = {0};

			buf_number(&b, got.r.lo, 9);
			buf_str(&b, " for ");
			buf_number(&b, w[i].gives.lo, 9);
			audit_fail(out, p, "%s:%u: formula %s gives %s (base units)%s", craft_text(c, w[i].file),
			    w[i].line, craft_text(c, c->formula[w[i].formula].name), b.p,
			    valid != TRI_TRUE ? ", outside its validity" : "");
			buf_free(&b);
		}
	}
}

void
audit_examples(struct audit *out, struct knowledge *kb)
{
	const struct craft *c = kb_craft(kb);
	struct arena *a = arena_new();
	struct audit_part *p = audit_part(out, "rule examples");

	for (uint32_t i = 0; i < c->n_rule; i++)
		for (uint32_t k = 0; audit_wanted(out, craft_text(c, c->rule[i].id))
		    && k < c->rule[i].n_examples; k++)
			try_one(out, p, kb, a, i, NONE, c->rule[i].first_example + k);
	p = audit_part(out, "advice examples");
	for (uint32_t i = 0; i < c->n_advice; i++)
		for (uint32_t k = 0; audit_wanted(out, craft_text(c, c->advice[i].id))
		    && k < c->advice[i].n_examples; k++)
			try_one(out, p, kb, a, NONE, i, c->advice[i].first_example + k);
	p = audit_part(out, "order examples");
	for (uint32_t i = 0; i < c->n_order_rule; i++)
		for (uint32_t k = 0; audit_wanted(out, craft_text(c, c->order_rule[i].id))
		    && k < c->order_rule[i].n_examples; k++)
			try_order(out, p, kb, a, i, c->order_rule[i].first_example + k);
	if (out->n_only == 0)
		try_worked(out, kb);
	arena_free(a);
}
