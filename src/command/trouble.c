/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * trouble: a fault in someone's own words, and what may be behind it.
 *
 * The causes likeliest first, each with its remedy and what it rests on; then
 * the same checks in the order of ease, for who would rather begin with what
 * costs nothing; then the settings that the conditions ask for, advised as for
 * any project.
 */
#include "command/command_impl.h"

#include <string.h>

#include "advise/trouble.h"

enum { CAUSES_SHOWN = 8 };

struct asked {
	const char *symptom;
	struct trouble t;
	struct checked c;                  /* of the conditions; project NULL: none understood */
	bool settings;                     /* the conditions name something to sew or to sew with */
};

static const char *
name_of(struct run *r, uint32_t entry)
{
	return craft_text(r->craft, r->craft->entry[entry].name);
}

/* What it says of itself with what it rests on. */
static const char *
says(struct run *r, uint32_t entry)
{
	const struct entry_record *e = kb_entry(r->kb, entry);
	const char *from = e->basis_low != NONE ? cite_text(r, e->basis_low) : "";
	const char *text = craft_text(r->craft, r->craft->entry[entry].says);

	if (e->basis_high != NONE && e->basis_high != e->basis_low)
		from = arena_print(r->arena, "%s %s", from, cite_text(r, e->basis_high));
	return *from != '\0' ? SAY(r, "trouble.says", "says", text, "basis", from) : text;
}

static const char *
tried_words(struct run *r, const struct asked *q, uint32_t i)
{
	return arena_text(r->arena, q->t.tried[i].words.p, q->t.tried[i].words.n);
}

/* ---- the conditions -------------------------------------------------- */

/* Does the schema assume a thing of this role where nobody names one? */
static bool
advised_role(const struct craft *c, uint16_t role)
{
	for (uint32_t i = 0; role != NO16 && i < c->n_role_note; i++)
		if (c->role_note[i].role == role && c->role_note[i].advised)
			return true;
	return false;
}

/* The project without what is at hand and how it was set: what was in the machine
 * when it went wrong is no wish. */
static struct project *
wished(struct arena *a, const struct craft *c, const struct project *p)
{
	struct project *w = arena_alloc(a, sizeof *w);
	uint32_t *at = arena_alloc(a, ((size_t)p->n_things + 1) * sizeof *at);

	*w = *p;
	w->things = arena_alloc(a, ((size_t)p->n_things + 1) * sizeof *w->things);
	w->values = arena_alloc(a, ((size_t)p->n_values + 1) * sizeof *w->values);
	w->cap_things = p->n_things + 1;
	w->cap_values = p->n_values + 1;
	w->n_things = w->n_values = 0;
	for (uint32_t i = 0; i < p->n_things; i++) {
		at[i] = NONE;
		if (advised_role(c, p->things[i].role) ||
		    (p->things[i].of < i && at[p->things[i].of] == NONE))
			continue;
		at[i] = w->n_things;
		w->things[w->n_things] = p->things[i];
		if (p->things[i].of < i)
			w->things[w->n_things].of = at[p->things[i].of];
		w->n_things++;
	}
	for (uint32_t i = 0; i < p->n_values; i++) {
		struct said_value v = p->values[i];

		if (c->property[v.property].flags & PROPERTY_SETTING ||
		    (v.thing < p->n_things && at[v.thing] == NONE) ||
		    (v.scope_thing < p->n_things && at[v.scope_thing] == NONE))
			continue;
		v.thing = v.thing < p->n_things ? at[v.thing] : v.thing;
		v.scope_thing = v.scope_thing < p->n_things ? at[v.scope_thing] : v.scope_thing;
		w->values[w->n_values++] = v;
	}
	return w;
}

/* The conditions and the symptom too: people name their cloth in it. */
static struct model *
conditions(struct run *r, struct asked *q)
{
	const char *text = r->ask->with != NULL
	    ? arena_print(r->arena, "%s, %s", r->ask->with, q->symptom) : q->symptom;
	struct diags quiet;
	struct project *p;
	struct model *m;

	diags_init(&quiet, r->arena);
	p = project_from_words(r->arena, r->kb, source_new(r->arena, "<words>", sv(text)), &quiet);
	m = p != NULL && quiet.errors == 0 ? model_expand(r->arena, r->kb, p, &quiet) : NULL;
	if (m == NULL || quiet.errors > 0)
		return NULL;
	q->settings = p->n_things > 0 || p->n_values > 0;
	if (!q->settings || !check_project(r, wished(r->arena, r->craft, p), &q->c))
		q->settings = false;
	if (wants_stage(r->ask, "tokens"))
		project_tokens(&r->out, r->kb, p);
	if (wants_stage(r->ask, "model"))
		model_print(&r->out, m);
	return m;
}

/* Settings that the untried causes touch, each once, in their order. */
static uint32_t
touched(struct run *r, const struct asked *q, const struct choice **out, uint32_t max)
{
	uint32_t n = 0;

	for (uint32_t i = 0; i < q->t.n && q->settings; i++) {
		const char *p = entry_says(kb_entry(r->kb, q->t.s[i].cause), "touches");

		while (*p != '\0' && n < max) {
			size_t len = strcspn(p, "\n");
			uint32_t s = setting_find(r->craft, (strview){p, len});
			const struct choice *k = s != NONE && r->craft->setting[s].chosen
			    ? advise_for(q->c.advised, q->c.model, s, q->c.project, NULL) : NULL;
			bool have = k == NULL || k->start.state != VALUE_KNOWN;

			for (uint32_t j = 0; j < n && !have; j++)
				have = out[j]->setting == s;
			if (!have)
				out[n++] = k;
			p += len + (p[len] == '\n');
		}
	}
	return n;
}

/* ---- for people -------------------------------------------------- */

static const char *
standing(struct run *r, const struct asked *q, const struct suspect *s)
{
	if (s->tried)
		return SAY(r, "trouble.tried", "words", tried_words(r, q, s->by));
	if (s->likely == TRI_TRUE)
		return SAY(r, "trouble.spoken-for");
	if (s->likely == TRI_FALSE)
		return SAY(r, "trouble.spoken-against");
	return NULL;
}

static void
lines(struct run *r, const char *label, const char *text)
{
	while (*text != '\0') {
		size_t n = strcspn(text, "\n");

		page_item(r->page, 2, TONE_PLAIN, label, arena_text(r->arena, text, n));
		text += n + (text[n] == '\n');
	}
}

static void
one(struct run *r, const struct asked *q, const struct suspect *s)
{
	const struct entry_record *e = kb_entry(r->kb, s->cause);
	const char *stands = standing(r, q, s), *of = says(r, s->cause);

	page_item(r->page, 1, s->tried || s->likely == TRI_FALSE ? TONE_PLAIN : TONE_DOUBTFUL,
	    name_of(r, s->cause), stands != NULL ? arena_print(r->arena, "%s %s", of, stands) : of);
	if (!s->tried)
		lines(r, SAY(r, "trouble.remedy"), entry_says(e, "remedy"));
	lines(r, SAY(r, "trouble.caution"), entry_says(e, "caution"));
}

static void
checks(struct run *r, const struct asked *q, uint32_t shown)
{
	uint32_t set = set_find(r->craft, SV("ease"));
	uint32_t words = set != NONE ? r->craft->word_set[set].n : 0;

	page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "trouble.checks"));
	for (uint32_t ease = 0; ease < words; ease++)
		for (uint32_t i = 0; i < shown; i++) {
			const struct entry_record *e = kb_entry(r->kb, q->t.s[i].cause);

			if (q->t.s[i].tried || trouble_ease(r->craft, e) != ease)
				continue;
			page_item(r->page, 1, TONE_PLAIN,
			    craft_text(r->craft, r->craft->word[r->craft->word_set[set].first + ease].name),
			    SAY(r, "trouble.check", "check", entry_says(e, "check"), "cause",
			    name_of(r, q->t.s[i].cause)));
		}
}

static void
settings(struct run *r, const struct asked *q)
{
	const struct choice **k = arena_alloc(r->arena,
	    ((size_t)r->craft->n_setting + 1) * sizeof *k);
	uint32_t n = touched(r, q, k, r->craft->n_setting);

	if (n == 0)
		return;
	page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "trouble.settings"));
	for (uint32_t i = 0; i < n; i++) {
		const struct setting *s = &r->craft->setting[k[i]->setting];
		const char *start = value_text(r, q->c.model, s->property, &k[i]->start);

		page_item(r->page, 1, TONE_PLAIN, craft_text(r->craft, s->label),
		    k[i]->said || k[i]->n_advice == 0 ? start : SAY(r, "trouble.setting",
		    "value", start, "why", choice_reason(r, &q->c, k[i], 0), "from",
		    cites_text(r, r->craft->advice[k[i]->advice[0]].first_source,
		    r->craft->advice[k[i]->advice[0]].n_sources)));
	}
}

static void
people(struct run *r, const struct asked *q)
{
	uint32_t shown = q->t.n < CAUSES_SHOWN || r->ask->all ? q->t.n : CAUSES_SHOWN;

	if (q->t.n_faults == 0) {
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "trouble.none", "words", q->symptom));
		return;
	}
	for (uint32_t f = 0; f < q->t.n_faults; f++) {
		const struct entry_record *e = kb_entry(r->kb, q->t.fault[f]);

		page_add(r->page, BLOCK_TITLE, NULL, name_of(r, q->t.fault[f]));
		page_add(r->page, BLOCK_PARAGRAPH, NULL, says(r, q->t.fault[f]));
		if (*entry_says(e, "test") != '\0')
			page_add(r->page, BLOCK_PAIR, SAY(r, "trouble.test"), entry_says(e, "test"));
		if (*entry_says(e, "caution") != '\0')
			page_add(r->page, BLOCK_PAIR, SAY(r, "trouble.caution"), entry_says(e, "caution"));
	}
	for (uint32_t i = 0; i < q->t.n_tried; i++)
		page_add(r->page, BLOCK_PARAGRAPH, NULL, q->t.tried[i].cause == NONE
		    ? SAY(r, "trouble.tried-not", "words", tried_words(r, q, i))
		    : SAY(r, "trouble.tried-as", "words", tried_words(r, q, i), "cause",
		    name_of(r, q->t.tried[i].cause)));
	if (q->t.n > 0) {
		page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "trouble.causes"));
		for (uint32_t i = 0; i < q->t.n; i++)      /* those tried are always told */
			if (i < shown || q->t.s[i].tried)
				one(r, q, &q->t.s[i]);
		if (shown < q->t.n)
			page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "suit.more", "count",
			    number_text(r, (double)(q->t.n - shown), 6)));
		checks(r, q, shown);
	} else {
		for (uint32_t f = 0; f < q->t.n_faults; f++)
			lines(r, SAY(r, "trouble.remedy"),
			    entry_says(kb_entry(r->kb, q->t.fault[f]), "handling"));
	}
	settings(r, q);
	check_sources(r);
}

/* ---- for programs -------------------------------------------------- */

static void
text_key(struct json *j, const char *key, const char *text)
{
	json_key(j, key);
	json_str(j, text != NULL && *text != '\0' ? text : NULL);
}

static void
basis_key(struct run *r, struct json *j, const struct entry_record *e)
{
	json_key(j, "basis");
	json_open(j, '[');
	if (e->basis_low != NONE) {
		cite(r, e->basis_low);
		json_str(j, craft_text(r->craft, r->craft->source[e->basis_low].id));
	}
	if (e->basis_high != NONE && e->basis_high != e->basis_low) {
		cite(r, e->basis_high);
		json_str(j, craft_text(r->craft, r->craft->source[e->basis_high].id));
	}
	json_close(j, ']');
}

static void
faults_json(struct run *r, struct json *j, const struct asked *q)
{
	json_key(j, "faults");
	json_open(j, '[');
	for (uint32_t f = 0; f < q->t.n_faults; f++) {
		const struct entry_record *e = kb_entry(r->kb, q->t.fault[f]);

		json_open(j, '{');
		text_key(j, "name", name_of(r, q->t.fault[f]));
		text_key(j, "says", craft_text(r->craft, r->craft->entry[q->t.fault[f]].says));
		text_key(j, "test", entry_says(e, "test"));
		text_key(j, "handling", entry_says(e, "handling"));
		text_key(j, "caution", entry_says(e, "caution"));
		basis_key(r, j, e);
		json_close(j, '}');
	}
	json_close(j, ']');
}

static void
causes_json(struct run *r, struct json *j, const struct asked *q)
{
	json_key(j, "causes");
	json_open(j, '[');
	for (uint32_t i = 0; i < q->t.n; i++) {
		const struct suspect *s = &q->t.s[i];
		const struct entry_record *e = kb_entry(r->kb, s->cause);

		json_open(j, '{');
		text_key(j, "name", name_of(r, s->cause));
		text_key(j, "fault", name_of(r, q->t.fault[s->fault]));
		text_key(j, "conditions", !s->has_when || s->likely == TRI_UNKNOWN ? "open" :
		    s->likely == TRI_TRUE ? "for" : "against");
		text_key(j, "tried", s->tried ? tried_words(r, q, s->by) : NULL);
		text_key(j, "says", craft_text(r->craft, r->craft->entry[s->cause].says));
		text_key(j, "check", entry_says(e, "check"));
		text_key(j, "ease", entry_says(e, "ease"));
		text_key(j, "remedy", entry_says(e, "remedy"));
		text_key(j, "caution", entry_says(e, "caution"));
		basis_key(r, j, e);
		json_close(j, '}');
	}
	json_close(j, ']');
}

static void
programs(struct run *r, const struct asked *q)
{
	const struct choice **k = arena_alloc(r->arena,
	    ((size_t)r->craft->n_setting + 1) * sizeof *k);
	uint32_t n = touched(r, q, k, r->craft->n_setting);
	struct json j;

	json_begin(r, &j);
	text_key(&j, "symptom", q->symptom);
	faults_json(r, &j, q);
	causes_json(r, &j, q);
	json_key(&j, "tried");
	json_open(&j, '[');
	for (uint32_t i = 0; i < q->t.n_tried; i++) {
		json_open(&j, '{');
		text_key(&j, "words", tried_words(r, q, i));
		text_key(&j, "cause", q->t.tried[i].cause != NONE ? name_of(r, q->t.tried[i].cause) : NULL);
		json_close(&j, '}');
	}
	json_close(&j, ']');
	json_key(&j, "settings");
	json_open(&j, '[');
	for (uint32_t i = 0; i < n; i++) {
		const struct setting *s = &r->craft->setting[k[i]->setting];

		json_open(&j, '{');
		text_key(&j, "setting", craft_text(r->craft, s->name));
		json_key(&j, "start");
		json_value(r, &j, q->c.model, s->property, &k[i]->start);
		json_key(&j, "said");
		json_bool(&j, k[i]->said);
		text_key(&j, "why", k[i]->n_advice > 0 ? choice_reason(r, &q->c, k[i], 0) : NULL);
		json_key(&j, "basis");
		json_cited(r, &j, k[i]->n_advice > 0 ? r->craft->advice[k[i]->advice[0]].first_source : 0,
		    k[i]->n_advice > 0 ? r->craft->advice[k[i]->advice[0]].n_sources : 0);
		json_close(&j, '}');
	}
	json_close(&j, ']');
	json_sources(r, &j);
	json_end(r, &j);
}

/* ---- the command -------------------------------------------------- */

int
command_trouble(struct run *r)
{
	struct asked q = {.symptom = joined_args(r, 0)};
	struct model *m;

	if (r->ask->n_args == 0)
		return usage(r, "say what goes wrong, in your own words");
	if (!run_knowledge(r))
		return EXIT_NOT_RUN;
	m = conditions(r, &q);
	if (r->out.n > 0)                      /* a stage was asked for */
		return EXIT_SOUND;
	q.t = trouble_look(r->arena, r->kb, sv(q.symptom), m,
	    r->ask->tried != NULL ? sv(r->ask->tried) : SV(""));
	if (r->ask->json)
		programs(r, &q);
	else
		people(r, &q);
	return q.t.n_faults > 0 ? EXIT_SOUND : EXIT_FINDINGS;
}
