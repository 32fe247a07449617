/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * sizes: for each construction of a project what to cut for what is to be
 * finished, and back, with how each size comes about and what it rests on.
 */
#include "command/command_impl.h"

#include <string.h>

#include "work/sizes.h"

struct sizes_view {
	struct run *r;
	const struct checked *c;
	const struct sizes *s;
};

/* ---- one value in both systems ------------------------------------------------------- */

/* A constant of the knowledge base by its name, or OTHERWISE. */
static double
constant_of(const struct craft *c, const char *name, double otherwise)
{
	tri valid = TRI_UNKNOWN;

	for (uint32_t i = 0; i < c->n_formula; i++)
		if (c->formula[i].n_parameters == 0 && sv_is(sv(name), craft_text(c, c->formula[i].name))) {
			struct cell got = formula_work_out(c, i, NULL, &valid);

			return got.state == VALUE_KNOWN ? got.r.lo : otherwise;
		}
	return otherwise;
}

/* The first unit that is shown in fractions, or NONE. */
static uint32_t
fraction_unit(const struct craft *c, const struct property *q)
{
	for (uint32_t i = 0; i < q->n_units; i++)
		if (c->unit[c->unit_list[q->first_unit + i]].fraction)
			return c->unit_list[q->first_unit + i];
	return NONE;
}

const char *
sizes_both_text(struct run *r, uint32_t property, range of)
{
	const struct craft *c = r->craft;
	const struct property *q = &c->property[property];
	uint32_t other = fraction_unit(c, q);
	double least = 2 * constant_of(c, "inch-rounding", 0);     /* to the nearest, either way */
	struct buf b = {0}, f = {0};
	const char *first;

	range_print(&b, c->units, c->unit_list[q->first_unit], of, q->step);
	first = run_kept(r, &b);
	if (other == NONE)
		return first;
	range_print(&f, c->units, (int)other, of, least > 0 ? least : q->step);
	return SAY(r, "sizes.both", "value", first, "other", run_kept(r, &f));
}

static const char *
in_both(const struct sizes_view *v, uint32_t property, range of)
{
	return sizes_both_text(v->r, property, of);
}

static const char *
label_of(const struct sizes_view *v, uint32_t property)
{
	return craft_text(v->r->craft, v->r->craft->property[property].label);
}

static const char *
thing_of(const struct sizes_view *v, const struct size_group *g)
{
	return object_name(v->c->model, g->owner != NONE ? g->owner : g->object);
}

static const value *
fact_value(const struct sizes_view *v, struct fact f)
{
	return model_slot(v->c->model, f.object, f.property);
}

static bool
lacks(const struct sizes_view *v, struct fact f)
{
	return fact_value(v, f)->state != VALUE_KNOWN;
}

static enum pedigree_kind
pedigree_of_fact(const struct sizes_view *v, struct fact f)
{
	return (enum pedigree_kind)v->c->model->pedigrees[fact_value(v, f)->pedigree].kind;
}

/* Is anything told of it, that its sizes are of use though nobody named it? */
static bool
told_of(const struct sizes_view *v, const struct size_group *g)
{
	for (uint32_t i = 0; i < g->n_inputs; i++)
		if (!lacks(v, g->inputs[i]) && pedigree_of_fact(v, g->inputs[i]) == PEDIGREE_SAID)
			return true;
	return false;
}

static bool
shown(const struct sizes_view *v, const struct size_group *g)
{
	return g->n_rows > 0 && (g->said || v->r->ask->all || told_of(v, g));
}

/* ---- for people ------------------------------------------------------------------------- */

/* Told of the construction itself or of the whole, a label is enough. */
static const char *
fact_label(const struct sizes_view *v, const struct size_group *g, struct fact f)
{
	return f.object == g->owner || v->r->craft->kind[v->r->craft->property[f.property].kind].singleton
	    ? label_of(v, f.property) : fact_text(v->r, v->c->model, f);
}

static void
inputs(const struct sizes_view *v, const struct size_group *g)
{
	struct run *r = v->r;
	bool any = false;

	for (uint32_t i = 0; i < g->n_inputs; i++) {
		struct fact f = g->inputs[i];
		const value *x = fact_value(v, f);
		const char *cites = "";
		const struct pedigree *p = &v->c->model->pedigrees[x->pedigree];

		if (lacks(v, f))
			continue;
		if (!any)
			page_item(r->page, 0, TONE_PLAIN, "", SAY(r, "sizes.from"));
		any = true;
		if (p->kind == PEDIGREE_TYPICAL && cite(r, p->source_low) > 0)
			cites = arena_print(r->arena, " %s", cite_text(r, p->source_low));
		page_item(r->page, 1, TONE_PLAIN, fact_label(v, g, f), arena_print(r->arena, "%s%s",
		    SAY(r, "sizes.input", "value", in_both(v, f.property, x->r), "pedigree",
		        pedigree_text(r, v->c->model, x->pedigree)), cites));
	}
}

/* The facts a row lacks, joined in words; NULL: none. */
static const char *
facts_lacking(const struct sizes_view *v, const struct size_row *row)
{
	const char *text = NULL;

	for (uint32_t i = 0; i < row->n_facts; i++) {
		struct fact f = row->facts[i];

		if (!lacks(v, f))
			continue;
		text = text == NULL ? label_of(v, f.property) : SAY(v->r, "sizes.and", "first", text,
		    "then", label_of(v, f.property));
	}
	return text;
}

static uint32_t
wide_facts(const struct sizes_view *v, const struct size_row *row)
{
	uint32_t n = 0;

	for (uint32_t i = 0; i < row->n_facts; i++)
		n += !lacks(v, row->facts[i]) && !range_is_exact(fact_value(v, row->facts[i])->r);
	return n;
}

static void
row_range(const struct sizes_view *v, const struct size_row *row)
{
	struct fact f;

	if (row->value->state != VALUE_KNOWN || range_is_exact(row->value->r))
		return;
	if (row->mostly == NONE || row->own > row->share) {
		page_item(v->r->page, 2, TONE_PLAIN, "", SAY(v->r, "sizes.range-own"));
		return;
	}
	f = row->facts[row->mostly];
	page_item(v->r->page, 2, TONE_PLAIN, "", SAY(v->r, wide_facts(v, row) > 1 ? "sizes.range"
	    : "sizes.range-one", "facts", SAY(v->r, "sizes.range-fact", "fact", label_of(v, f.property),
	        "value", in_both(v, f.property, fact_value(v, f)->r))));
}

/* A size whose formula is a single fact that was told needs no formula. */
static bool
as_told(const struct sizes_view *v, const struct size_row *row, const char *formula)
{
	return row->n_facts == 1 && strcmp(formula, label_of(v, row->facts[0].property)) == 0;
}

static void
row_item(const struct sizes_view *v, const struct size_group *g, const struct size_row *row)
{
	struct run *r = v->r;
	const char *formula = size_formula(r->arena, v->c->model, g->object, row->property, false);
	const char *says = craft_text(r->craft, r->craft->property[row->property].says), *text;
	const char *facts;
	enum tone tone = TONE_PLAIN;

	if (row->beyond) {
		text = SAY(r, "sizes.beyond", "value", in_both(v, row->property, row->raw), "formula",
		    formula);
		tone = TONE_GRAVE;
	} else if (row->value->state == VALUE_KNOWN && row->n_facts == 0) {
		return;                        /* nothing of it was told: it is not there */
	} else if (row->value->state == VALUE_KNOWN) {
		text = *formula == '\0' || as_told(v, row, formula) ? in_both(v, row->property, row->value->r)
		    : SAY(r, "sizes.row", "value", in_both(v, row->property, row->value->r), "formula",
		        formula);
	} else if ((facts = facts_lacking(v, row)) != NULL) {
		text = SAY(r, "sizes.lacking", "facts", facts);
		tone = TONE_OPEN;
	} else {
		return;
	}
	page_item(r->page, 1, tone, label_of(v, row->property), text);
	row_range(v, row);
	if (*says != '\0' && row->value->state == VALUE_KNOWN)
		page_item(r->page, 2, TONE_PLAIN, "", says);
}

static uint32_t
group_words(const struct craft *c)
{
	uint32_t set = set_find(c, SV("size group"));

	return set == NONE ? 0 : c->word_set[set].n;
}

static const char *
group_word(const struct craft *c, uint32_t n)
{
	return craft_text(c, c->word[c->word_set[set_find(c, SV("size group"))].first + n].name);
}

static void
rows(const struct sizes_view *v, const struct size_group *g)
{
	const struct craft *c = v->r->craft;

	for (uint32_t w = 0; w < group_words(c); w++) {
		bool any = false;

		for (uint32_t i = 0; i < g->n_rows; i++) {
			if (c->property[g->rows[i].property].size != w + 1)
				continue;
			if (!any)
				page_item(v->r->page, 0, TONE_PLAIN, "", group_word(c, w));
			any = true;
			row_item(v, g, &g->rows[i]);
		}
	}
}

/* ---- what is still to be told ------------------------------------------------------- */

static const char *
unit_name(const struct craft *c, const struct property *q)
{
	uint32_t u = q->bare_unit != NO16 ? q->bare_unit : q->n_units > 0
	    ? c->unit_list[q->first_unit] : NONE;
	const char *name = u == NONE ? "" : craft_text(c, c->unit[u].name);

	return *name >= '0' && *name <= '9' ? "" : name;
}

/* Words after which a figure is read for the property, or NULL. */
static const char *
words_for(const struct craft *c, uint32_t property)
{
	/* Of a thing its label serves; of the whole, where a bare girth says little, a phrase. */
	for (uint32_t i = 0; i < c->n_phrase && c->kind[c->property[property].kind].singleton; i++)
		if (c->phrase[i].does == PHRASE_MEASURE && c->phrase[i].property == property)
			return craft_text(c, c->phrase[i].words);
	return c->property[property].n_units > 0 ? craft_text(c, c->property[property].label) : NULL;
}

static const char *
yaml_for(const struct sizes_view *v, const struct size_group *g, struct fact f)
{
	const struct craft *c = v->r->craft;
	const struct property *q = &c->property[f.property];
	const char *name = craft_text(c, q->name), *unit = unit_name(c, q);

	if (c->kind[q->kind].singleton)
		return SAY(v->r, "sizes.yaml-garment", "property", name, "unit", unit);
	if (f.object != g->owner)
		return SAY(v->r, "sizes.yaml-component", "property", name, "unit", unit);
	return SAY(v->r, "sizes.yaml-feature", "thing", thing_of(v, g), "property", name, "unit", unit);
}

/* Is it lacking for more than what is only worth knowing, the last of the groups? */
static bool
needed(const struct sizes_view *v, const struct size_group *g, struct fact f)
{
	for (uint32_t i = 0; i < g->n_rows; i++) {
		const struct size_row *row = &g->rows[i];

		if (row->lacking == 0
		    || v->r->craft->property[row->property].size == group_words(v->r->craft))
			continue;
		for (uint32_t k = 0; k < row->n_facts; k++)
			if (row->facts[k].object == f.object && row->facts[k].property == f.property)
				return true;
	}
	return false;
}

static void
missing(const struct sizes_view *v, const struct size_group *g)
{
	struct run *r = v->r;
	bool any = false;

	for (uint32_t i = 0; i < g->n_inputs; i++) {
		struct fact f = g->inputs[i];
		const struct property *q = &r->craft->property[f.property];
		const char *ask = craft_text(r->craft, q->ask), *words = words_for(r->craft, f.property);

		if (!lacks(v, f) || !needed(v, g, f))
			continue;
		if (!any)
			page_item(r->page, 0, TONE_PLAIN, "", SAY(r, "sizes.missing"));
		any = true;
		if (words != NULL && f.object == g->owner)
			words = SAY(r, "sizes.words-of", "thing", thing_of(v, g), "words", words);
		page_item(r->page, 1, TONE_OPEN, label_of(v, f.property), words != NULL
		    ? SAY(r, "sizes.missing-say", "words", words, "unit", unit_name(r->craft, q), "yaml",
		        yaml_for(v, g, f)) : SAY(r, "sizes.missing-file", "yaml", yaml_for(v, g, f)));
		if (*ask != '\0')
			page_item(r->page, 2, TONE_PLAIN, "", ask);
	}
}

/* ---- findings that speak of sizes --------------------------------------------------- */

static bool
of_sizes(const struct craft *c, const struct finding *f)
{
	return c->kind[c->rule[f->rule].each].sizes
	    || strcmp(craft_text(c, c->rule[f->rule].area), "sizes") == 0;
}

static uint32_t
findings(const struct sizes_view *v)
{
	const struct judgement *j = v->c->judgement;
	uint32_t shown_n = 0;

	for (uint32_t i = 0; i < j->n_fails; i++) {
		const struct finding *f = &j->fails[i];
		const struct rule *u = &v->r->craft->rule[f->rule];
		struct buf say = {0};

		if (!of_sizes(v->r->craft, f))
			continue;
		if (shown_n++ == 0)
			page_add(v->r->page, BLOCK_HEADING, NULL, SAY(v->r, "sizes.findings"));
		finding_says(&say, v->r->kb, v->c->model, f);
		page_item(v->r->page, 0, degree_tone(f->degree), degree_text(v->r, f->degree),
		    run_kept(v->r, &say));
		if (u->settle.n > 0) {
			struct buf b = {0};

			message_fill(&b, v->r->craft, v->c->model, &u->settle, &f->binding, &f->limit,
			    f->limit_property);
			page_item(v->r->page, 1, TONE_PLAIN, SAY(v->r, "finding.settle"), run_kept(v->r, &b));
		}
		page_item(v->r->page, 1, TONE_PLAIN, SAY(v->r, "label.rule"), arena_print(v->r->arena,
		    "%s %s", craft_text(v->r->craft, u->id),
		    cites_text(v->r, u->first_source, u->n_sources)));
	}
	return shown_n;
}

static const char *
whole_name(const struct sizes_view *v)
{
	const struct craft *c = v->r->craft;

	if (*v->c->project->title != '\0')
		return v->c->project->title;
	for (uint32_t o = 0; o < v->c->model->n_objects; o++)
		if (c->kind[v->c->model->objects[o].kind].singleton)
			return object_name(v->c->model, o);
	return "";
}

static void
people(const struct sizes_view *v)
{
	struct run *r = v->r;
	uint32_t n = 0, kept = 0;

	page_add(r->page, BLOCK_TITLE, NULL, SAY(r, "sizes.title", "what", whole_name(v)));
	for (uint32_t i = 0; i < v->s->n; i++) {
		const struct size_group *g = &v->s->groups[i];

		if (!shown(v, g)) {
			kept += g->n_rows > 0;
			continue;
		}
		n++;
		page_add(r->page, BLOCK_HEADING, NULL, SAY(r, g->said || g->owner == NONE
		    ? "sizes.group" : "sizes.group-assumed", "thing", thing_of(v, g)));
		inputs(v, g);
		rows(v, g);
		sizes_drawing(r, v->c->model, g);
		if (g->said || r->ask->all)
			missing(v, g);
	}
	if (n == 0)
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "sizes.nothing"));
	if (kept > 0)
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "sizes.kept", "n",
		    arena_print(r->arena, "%u", (unsigned)kept)));
	findings(v);
	check_sources(r);
}

/* ---- for programs ------------------------------------------------------------------- */

static void
fact_json(const struct sizes_view *v, struct json *j, const struct size_group *g, struct fact f)
{
	struct run *r = v->r;
	const struct property *q = &r->craft->property[f.property];
	const char *words = words_for(r->craft, f.property);

	json_open(j, '{');
	json_key(j, "property");
	json_str(j, arena_print(r->arena, "%s.%s", craft_text(r->craft, r->craft->kind[q->kind].name),
	    craft_text(r->craft, q->name)));
	json_key(j, "label");
	json_str(j, label_of(v, f.property));
	json_key(j, "value");
	json_value(r, j, v->c->model, f.property, fact_value(v, f));
	if (lacks(v, f)) {
		json_key(j, "say");
		json_str(j, words);
		json_key(j, "write");
		json_str(j, yaml_for(v, g, f));
	}
	json_close(j, '}');
}

static void
row_json(const struct sizes_view *v, struct json *j, const struct size_group *g,
    const struct size_row *row)
{
	struct run *r = v->r;
	const struct craft *c = r->craft;
	const char *name;

	json_open(j, '{');
	json_key(j, "property");
	json_str(j, craft_text(c, c->property[row->property].name));
	json_key(j, "label");
	json_str(j, label_of(v, row->property));
	json_key(j, "group");
	json_str(j, group_word(c, c->property[row->property].size - 1u));
	json_key(j, "value");
	json_value(r, j, v->c->model, row->property, row->value);
	json_key(j, "shown");
	json_str(j, row->beyond ? in_both(v, row->property, row->raw)
	    : row->value->state == VALUE_KNOWN ? in_both(v, row->property, row->value->r) : NULL);
	json_key(j, "cannot_be");
	json_bool(j, row->beyond);
	json_key(j, "formula");
	json_str(j, size_formula(r->arena, v->c->model, g->object, row->property, false));
	json_key(j, "with_values");
	json_str(j, size_formula(r->arena, v->c->model, g->object, row->property, true));
	json_key(j, "formulas");
	json_open(j, '[');
	for (uint32_t i = 0; size_formula_names(c, row->property, i, &name); i++)
		json_str(j, name);
	json_close(j, ']');
	json_key(j, "convention");
	json_str(j, craft_text(c, c->property[row->property].says));
	json_key(j, "mostly");
	json_str(j, row->mostly == NONE ? NULL : label_of(v, row->facts[row->mostly].property));
	json_key(j, "share");
	json_number(j, row->mostly == NONE ? 0 : row->share);
	json_close(j, '}');
}

static void
group_json(const struct sizes_view *v, struct json *j, const struct size_group *g)
{
	json_open(j, '{');
	json_key(j, "of");
	json_str(j, thing_of(v, g));
	json_key(j, "kind");
	json_str(j, craft_text(v->r->craft,
	    v->r->craft->kind[v->c->model->objects[g->object].kind].name));
	json_key(j, "said");
	json_bool(j, g->said);
	json_key(j, "from");
	json_open(j, '[');
	for (uint32_t i = 0; i < g->n_inputs; i++)
		fact_json(v, j, g, g->inputs[i]);
	json_close(j, ']');
	json_key(j, "sizes");
	json_open(j, '[');
	for (uint32_t i = 0; i < g->n_rows; i++)
		row_json(v, j, g, &g->rows[i]);
	json_close(j, ']');
	json_close(j, '}');
}

static void
programs(const struct sizes_view *v)
{
	const struct judgement *found = v->c->judgement;
	struct json j;

	json_begin(v->r, &j);
	json_key(&j, "constructions");
	json_open(&j, '[');
	for (uint32_t i = 0; i < v->s->n; i++)
		if (v->s->groups[i].n_rows > 0)
			group_json(v, &j, &v->s->groups[i]);
	json_close(&j, ']');
	json_key(&j, "findings");
	json_open(&j, '[');
	for (uint32_t i = 0; i < found->n_fails; i++)
		if (of_sizes(v->r->craft, &found->fails[i])) {
			struct buf b = {0};

			json_open(&j, '{');
			json_key(&j, "rule");
			json_str(&j, craft_text(v->r->craft, v->r->craft->rule[found->fails[i].rule].id));
			json_key(&j, "degree");
			json_str(&j, degree_names[found->fails[i].degree]);
			json_key(&j, "says");
			finding_says(&b, v->r->kb, v->c->model, &found->fails[i]);
			json_str(&j, run_kept(v->r, &b));
			json_close(&j, '}');
		}
	json_close(&j, ']');
	json_end(v->r, &j);
}

/* ---- the command -------------------------------------------------------------------- */

/* A length that cannot be was told: it is refused, whatever else is sound. */
static bool
refused(const struct diags *ds)
{
	for (size_t i = 0; i < ds->n; i++)
		if (ds->d[i].id == D_SAID_BEYOND)
			return true;
	return false;
}

/* Anything that works out at a size that cannot be, or a graver finding about one? */
static bool
unsound(const struct sizes_view *v)
{
	const struct judgement *j = v->c->judgement;

	for (uint32_t i = 0; i < v->s->n; i++)
		for (uint32_t k = 0; k < v->s->groups[i].n_rows; k++)
			if (v->s->groups[i].rows[k].beyond)
				return true;
	for (uint32_t i = 0; i < j->n_fails; i++)
		if (of_sizes(v->r->craft, &j->fails[i]) && j->fails[i].degree >= DEGREE_DOUBTFUL)
			return true;
	return false;
}

int
command_sizes(struct run *r)
{
	struct sizes_view v = {.r = r};
	struct checked c;
	struct project *p;

	p = project_told(r, "sizes takes one project file, or --words and a text in quotes");
	if (p != NULL && refused(&r->diags)) {
		fprintf(stderr, "bodkin: %s\n", SAY(r, "sizes.refused"));
		return EXIT_NOT_RUN;
	}
	if (p == NULL || r->diags.errors > 0 || !check_project(r, p, &c))
		return EXIT_NOT_RUN;
	v.c = &c;
	if (r->ask->stages != NULL && !wants_stage(r->ask, "page")) {
		check_dump(r, &c);
		return EXIT_SOUND;
	}
	v.s = sizes_work(r->arena, c.model);
	if (r->ask->json)
		programs(&v);
	else
		people(&v);
	return unsound(&v) ? EXIT_FINDINGS : EXIT_SOUND;
}
