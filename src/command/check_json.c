/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The same results as the page of a check, for programs.
 */
#include "command/command_impl.h"

#include "advise/rank.h"

/* ---- the project ------------------------------------------------------------- */

static const char *
entry_name(const struct run *r, uint32_t e)
{
	return e != NONE && e < r->craft->n_entry ? craft_text(r->craft, r->craft->entry[e].name) : NULL;
}

static const char *
role_name(const struct run *r, uint16_t role)
{
	uint32_t set = set_find(r->craft, SV("role"));

	if (role == NO16 || set == NONE || role >= r->craft->word_set[set].n)
		return NULL;
	return craft_text(r->craft, r->craft->word[r->craft->word_set[set].first + role].name);
}

static void
property_key(struct run *r, struct json *j, uint32_t property)
{
	const struct property *p = &r->craft->property[property];

	json_key(j, "property");
	json_str(j, arena_print(r->arena, "%s.%s", craft_text(r->craft, r->craft->kind[p->kind].name),
	    craft_text(r->craft, p->name)));
}

static void
project_json(struct run *r, struct json *j, const struct checked *c)
{
	const struct project *p = c->project;

	json_key(j, "project");
	json_open(j, '{');
	json_key(j, "title");
	json_str(j, p->title);
	json_key(j, "things");
	json_open(j, '[');
	for (uint32_t i = 0; i < p->n_things; i++) {
		const struct said_thing *t = &p->things[i];

		json_open(j, '{');
		json_key(j, "kind");
		json_str(j, craft_text(r->craft, r->craft->kind[t->kind].name));
		json_key(j, "role");
		json_str(j, role_name(r, t->role));
		json_key(j, "entry");
		json_str(j, entry_name(r, t->entry));
		json_own(j, t->entry < r->craft->n_entry ? r->craft->entry[t->entry].own : 0);
		json_key(j, "count");
		json_number(j, t->count);
		json_key(j, "denied");
		json_bool(j, t->denied);
		json_key(j, "place");
		json_place(j, t->place);
		json_close(j, '}');
	}
	json_close(j, ']');
	json_key(j, "values");
	json_open(j, '[');
	for (uint32_t i = 0; i < p->n_values; i++) {
		const struct said_value *v = &p->values[i];

		json_open(j, '{');
		property_key(r, j, v->property);
		json_key(j, "thing");
		if (v->thing != NONE)
			json_number(j, v->thing);
		else
			json_str(j, NULL);
		json_key(j, "at");
		json_str(j, entry_name(r, v->scope_entry));
		json_key(j, "value");
		json_value(r, j, c->model, v->property, &v->value);
		json_key(j, "measured");
		json_bool(j, v->measured);
		json_key(j, "place");
		json_place(j, v->place);
		json_close(j, '}');
	}
	json_close(j, ']');
	json_key(j, "not_used");
	json_open(j, '[');
	for (uint32_t i = 0; i < p->n_uses; i++)
		if (p->uses[i].use == USED_NOT)
			json_place(j, p->uses[i].place);
	json_close(j, ']');
	json_close(j, '}');
}

static void
notes_json(struct run *r, struct json *j)
{
	static const char *const levels[DIAG__LEVELS] = {
		[DIAG_ERROR] = "error", [DIAG_REPAIRED] = "repaired", [DIAG_NOTE] = "note",
	};

	json_key(j, "notes");
	json_open(j, '[');
	for (size_t i = 0; i < r->diags.n; i++) {
		const struct diagnostic *d = &r->diags.d[i];

		json_open(j, '{');
		json_key(j, "id");
		json_str(j, diag_name(d->id));
		json_key(j, "level");
		json_str(j, levels[diag_level(d->id)]);
		json_key(j, "message");
		json_str(j, d->message);
		json_key(j, "remedy");
		json_str(j, d->remedy);
		json_key(j, "near");
		json_str(j, d->near);
		json_key(j, "place");
		json_place(j, d->place);
		json_close(j, '}');
	}
	json_close(j, ']');
}

/* ---- findings ------------------------------------------------------------------ */

static void
fact_json(struct run *r, struct json *j, const struct checked *c, struct fact f, uint32_t pedigree)
{
	json_open(j, '{');
	property_key(r, j, f.property);
	json_key(j, "object");
	json_str(j, f.object < c->model->n_objects ? object_name(c->model, f.object) : NULL);
	json_key(j, "value");
	json_value(r, j, c->model, f.property, model_slot(c->model, f.object, f.property));
	json_key(j, "basis");
	json_str(j, pedigree_text(r, c->model, pedigree));
	json_key(j, "place");
	json_place(j, c->model->pedigrees[pedigree].place);
	json_close(j, '}');
}

static void
tip_json(struct run *r, struct json *j, const struct checked *c, const struct tip *t)
{
	json_open(j, '{');
	property_key(r, j, t->fact.property);
	json_key(j, "object");
	json_str(j, t->fact.object < c->model->n_objects ? object_name(c->model, t->fact.object) : NULL);
	if (r->craft->property[t->fact.property].type == TYPE_WORDS) {
		json_key(j, "holds_for");
		json_str(j, words_text(r, t->fact.property, t->set_true));
	} else {
		json_key(j, "at");
		json_str(j, at_text(r, t->fact.property, t->at));
		json_key(j, "next");
		json_str(j, at_text(r, t->fact.property, t->next));
		json_key(j, "below");
		json_str(j, tri_name(t->below));
		json_key(j, "above");
		json_str(j, tri_name(t->above));
	}
	json_key(j, "find_out");
	json_str(j, craft_text(r->craft, r->craft->property[t->fact.property].ask));
	json_close(j, '}');
}

static void
finding_json(struct run *r, struct json *j, const struct checked *c, const struct finding *f)
{
	const struct rule *u = &r->craft->rule[f->rule];
	struct buf b = {0};

	json_open(j, '{');
	json_key(j, "rule");
	json_str(j, craft_text(r->craft, u->id));
	json_key(j, "verdict");
	json_str(j, f->verdict == TRI_FALSE ? "fails" : "undecided");
	json_key(j, "degree");
	json_str(j, degree_names[f->degree]);
	json_key(j, "safety");
	json_bool(j, u->safety != 0);
	json_key(j, "touches");
	json_open(j, '[');
	for (uint32_t i = 0; i < u->n_touches; i++)
		json_str(j, craft_text(r->craft, r->craft->setting[u->touches[i]].name));
	json_close(j, ']');
	json_key(j, "object");
	json_str(j, object_name(c->model, f->binding.object[0]));
	json_key(j, "same");
	json_number(j, f->same);
	if (f->n_others > 0) {
		json_key(j, "others");
		json_open(j, '[');
		for (uint32_t i = 0; i < f->n_others; i++)
			json_str(j, object_name(c->model, f->others[i]));
		json_close(j, ']');
	}
	finding_says(&b, r->kb, c->model, f);
	json_key(j, "says");
	json_text(j, (strview){b.n > 0 ? b.p : "", b.n});
	json_key(j, "because");
	json_open(j, '[');
	for (uint32_t i = 0; i < f->n_reasons; i++) {
		buf_clear(&b);
		finding_because(&b, r->kb, c->model, f, i);
		json_text(j, (strview){b.n > 0 ? b.p : "", b.n});
	}
	json_close(j, ']');
	buf_clear(&b);
	if (u->settle.n > 0)
		message_fill(&b, r->craft, c->model, &u->settle, &f->binding, &f->limit,
		    f->limit_property);
	json_key(j, "remedy");
	if (u->settle.n > 0)
		json_text(j, (strview){b.n > 0 ? b.p : "", b.n});
	else
		json_str(j, NULL);
	buf_free(&b);
	json_key(j, "scrap_test");
	json_str(j, craft_text(r->craft, u->scrap_test));
	json_key(j, "why");
	json_str(j, craft_text(r->craft, u->why));
	json_key(j, "by_assumption");
	json_bool(j, f->by_assumption);
	json_key(j, "seen_differs");
	json_bool(j, f->seen_differs);
	json_key(j, "rests_on");
	json_open(j, '[');
	for (uint32_t i = 0; i < f->n_origins; i++)
		fact_json(r, j, c, f->origins[i].fact, f->origins[i].pedigree);
	json_close(j, ']');
	json_key(j, "tips");
	json_open(j, '[');
	for (uint32_t i = 0; f->verdict == TRI_UNKNOWN && i < f->truth.n_tips && i < 3; i++)
		tip_json(r, j, c, &f->truth.tips[i]);
	json_close(j, ']');
	json_own(j, u->own ? ENTRY_OWN : 0);
	json_key(j, "sources");
	json_cited(r, j, u->first_source, u->n_sources);
	json_close(j, '}');
}

static void
questions_json(struct run *r, struct json *j, const struct checked *c)
{
	const struct judgement *g = c->judgement;

	json_key(j, "questions");
	json_open(j, '[');
	for (uint32_t i = 0; i < g->n_questions; i++) {
		const struct question *q = &g->questions[i];

		json_open(j, '{');
		json_key(j, "tip");
		tip_json(r, j, c, &q->tip);
		json_key(j, "rules");
		json_open(j, '[');
		for (uint32_t k = 0; k < q->n; k++)
			json_str(j, craft_text(r->craft,
			    r->craft->rule[g->undecided[q->first + k].rule].id));
		json_close(j, ']');
		json_close(j, '}');
	}
	json_close(j, ']');
}

/* ---- settings --------------------------------------------------------------------- */

static void
choice_json(struct run *r, struct json *j, const struct checked *c, const struct choice *k)
{
	const struct setting *s = &r->craft->setting[k->setting];

	json_open(j, '{');
	json_key(j, "setting");
	json_str(j, craft_text(r->craft, s->name));
	json_key(j, "object");
	json_str(j, object_name(c->model, k->object));
	json_key(j, "said");
	json_bool(j, k->said);
	json_key(j, "start");
	json_value(r, j, c->model, s->property, &k->start);
	json_key(j, "lighter");
	json_value(r, j, c->model, s->property, &k->lighter);
	json_key(j, "heavier");
	json_value(r, j, c->model, s->property, &k->heavier);
	json_key(j, "changes");
	json_str(j, k->flips ? flip_text(r, c, k) : NULL);
	json_key(j, "changes_to");
	if (k->flips)
		json_value(r, j, c->model, s->property, &k->other);
	else
		json_str(j, NULL);
	json_key(j, "reasons");
	json_open(j, '[');
	for (uint32_t i = 0; i < k->n_advice; i++) {
		const struct advice *a = &r->craft->advice[k->advice[i]];

		json_open(j, '{');
		json_key(j, "advice");
		json_str(j, craft_text(r->craft, a->id));
		json_own(j, a->own ? ENTRY_OWN : 0);
		json_key(j, "strength");
		json_str(j, strength_names[a->strength]);
		json_key(j, "why");
		json_str(j, choice_reason(r, c, k, i));
		json_key(j, "sources");
		json_cited(r, j, a->first_source, a->n_sources);
		json_close(j, '}');
	}
	json_close(j, ']');
	json_key(j, "dropped");
	json_str(j, k->empty && k->dropped != NONE ?
	    craft_text(r->craft, r->craft->advice[k->dropped].id) : NULL);
	json_key(j, "scrap_test");
	json_str(j, craft_text(r->craft, s->scrap_test));
	json_key(j, "alike");
	json_number(j, k->alike);
	json_close(j, '}');
}

static void
assumed_json(struct json *j, const struct checked *c)
{
	const struct model *m = c->model;

	json_key(j, "assumed");
	json_open(j, '[');
	for (uint32_t o = 0; o < m->n_objects; o++)
		if ((m->objects[o].flags & OBJECT_ASSUMED) != 0 && m->objects[o].parent == NONE)
			json_str(j, object_name(m, o));
	json_close(j, ']');
}

static void
counts_json(struct json *j, const struct judgement *g)
{
	uint32_t fails[DEGREE__COUNT] = {0};

	for (uint32_t i = 0; i < g->n_fails; i++)
		fails[g->fails[i].degree]++;
	json_key(j, "counts");
	json_open(j, '{');
	for (size_t d = DEGREE__COUNT; d-- > 0; ) {
		json_key(j, degree_names[d]);
		json_number(j, fails[d]);
	}
	json_key(j, "undecided");
	json_number(j, g->n_undecided);
	json_key(j, "not_judged");
	json_number(j, g->not_judged);
	json_key(j, "holds");
	json_number(j, g->holds);
	json_key(j, "not_run");
	json_number(j, g->absent);
	json_close(j, '}');
}

/* ---- the objects ---------------------------------------------------------------------- */

void
check_json(struct run *r, const struct checked *c)
{
	const struct judgement *g = c->judgement;
	struct json j;

	json_begin(r, &j);
	project_json(r, &j, c);
	notes_json(r, &j);
	json_key(&j, "findings");
	json_open(&j, '[');
	for (uint32_t i = 0; i < g->n_fails; i++)
		finding_json(r, &j, c, &g->fails[i]);
	for (uint32_t i = 0; i < g->n_undecided; i++)
		finding_json(r, &j, c, &g->undecided[i]);
	json_close(&j, ']');
	questions_json(r, &j, c);
	json_key(&j, "settings");
	json_open(&j, '[');
	for (uint32_t i = 0; i < c->advised->n; i++)
		choice_json(r, &j, c, &c->advised->c[i]);
	json_close(&j, ']');
	assumed_json(&j, c);
	counts_json(&j, g);
	json_sources(r, &j);
	json_end(r, &j);
}

void
check_answer_json(struct run *r, const struct checked *c, uint32_t setting)
{
	uint32_t object = NONE;
	const struct choice *k = advise_for(c->advised, c->model, setting, c->project, &object);
	struct choice here;
	struct json j;

	if (suit_asked(r->craft, setting)) {
		suit_json(r, c, setting);
		return;
	}
	if (k == NULL)
		k = advise_anyway(r->arena, r->kb, c->model, setting, c->project, &object);

	json_begin(r, &j);
	json_key(&j, "setting");
	json_str(&j, craft_text(r->craft, r->craft->setting[setting].name));
	json_key(&j, "answer");
	if (k != NULL) {
		here = *k;
		here.object = object;
		choice_json(r, &j, c, &here);
	} else {
		json_str(&j, NULL);
	}
	notes_json(r, &j);
	json_sources(r, &j);
	json_end(r, &j);
}
