/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * handout: a sheet for a class or a card for the machine, of chosen cloths and
 * what is to be sewn of them.
 *
 * All judging is done before the units are chosen in which values are shown,
 * since what a bare number means goes by the order of a property's units.
 */
#include "command/handout_impl.h"

#include <string.h>

/* ---- which sheet ----------------------------------------------------------------- */

static bool
not_known(struct run *r, const char *what, const char *given, const struct near *near,
    const char *among)
{
	struct buf b = {0};

	buf_print(&b, "there is no %s %.200s", what, given);
	for (int i = 0; i < near->n; i++)
		buf_print(&b, "%s%s", i == 0 ? "; did you mean " : " or ", near->name[i]);
	if (near->n > 0)
		buf_char(&b, '?');
	else
		buf_print(&b, "; there are: %s", among);
	usage(r, "%s", b.p);
	buf_free(&b);
	return false;
}

static bool
sheet_wanted(struct handout *h)
{
	struct run *r = h->r;
	const struct craft *c = r->craft;
	const char *name = r->ask->sheet;
	struct near near = {0};
	struct buf all = {0};

	if (c->n_sheet == 0) {
		usage(r, "the knowledge holds no sheets");
		return false;
	}
	h->sheet = name == NULL ? &c->sheet[0] : NULL;
	for (uint32_t i = 0; name != NULL && i < c->n_sheet; i++) {
		if (strcmp(name, craft_text(c, c->sheet[i].name)) == 0)
			h->sheet = &c->sheet[i];
		near_offer(&near, sv(name), craft_text(c, c->sheet[i].name));
		buf_print(&all, "%s%s", i > 0 ? ", " : "", craft_text(c, c->sheet[i].name));
	}
	if (h->sheet == NULL)
		not_known(r, "sheet", name, &near, all.p);
	buf_free(&all);
	return h->sheet != NULL;
}

/* ---- units and country ------------------------------------------------------------- */

static bool
measures_wanted(struct handout *h)
{
	struct run *r = h->r;
	const struct craft *c = r->craft;
	const char *name = r->ask->measures;
	struct near near = {0};
	struct buf all = {0};
	bool found = name == NULL;

	for (uint32_t i = 0; name != NULL && i < c->n_measures; i++) {
		found = found || strcmp(name, craft_text(c, c->measures[i].name)) == 0;
		near_offer(&near, sv(name), craft_text(c, c->measures[i].name));
		buf_print(&all, "%s%s", i > 0 ? ", " : "", craft_text(c, c->measures[i].name));
	}
	if (!found)
		not_known(r, "kind of measures", name, &near, all.n > 0 ? all.p : "");
	buf_free(&all);
	return found;
}

static bool
country_wanted(struct handout *h)
{
	struct run *r = h->r;
	const struct craft *c = r->craft;
	const char *name = r->ask->country;
	uint32_t set = set_find(c, SV("region")), w;
	struct near near = {0};
	struct buf all = {0};

	h->region = NO16;
	if (name == NULL)
		return true;
	w = set != NONE ? word_find(c, set, sv(name)) : NONE;
	if (w != NONE) {
		h->region = (uint16_t)w;
		return true;
	}
	for (uint32_t i = 0; set != NONE && i < c->word_set[set].n; i++) {
		const char *known = craft_text(c, c->word[c->word_set[set].first + i].name);

		near_offer(&near, sv(name), known);
		buf_print(&all, "%s%s", i > 0 ? ", " : "", known);
	}
	not_known(r, "country", name, &near, all.n > 0 ? all.p : "");
	buf_free(&all);
	return false;
}

/* ---- what is to be sewn ---------------------------------------------------------------- */

static struct project *
empty_project(struct run *r)
{
	struct project *p = arena_alloc(r->arena, sizeof *p);

	p->arena = r->arena;
	p->title = "";
	p->asked = p->asked_scope = NONE;
	p->things = arena_alloc(r->arena, HANDOUT_THINGS_MOST * sizeof *p->things);
	p->values = arena_alloc(r->arena, sizeof *p->values);
	p->uses = arena_alloc(r->arena, sizeof *p->uses);
	p->cap_things = HANDOUT_THINGS_MOST;
	p->cap_values = p->cap_uses = 1;
	return p;
}

static bool
is_material(const struct craft *c, const struct said_thing *t)
{
	return t->role != NO16 || (t->entry != NONE &&
	    c->entry_kind[c->entry[t->entry].kind].role != NO16);
}

/* A thing alone, with what was said of it and of nothing in particular. */
static struct project *
alone(struct run *r, const struct project *p, uint32_t thing)
{
	struct project *t = empty_project(r);

	t->source = p->source;
	t->values = arena_alloc(r->arena, (p->n_values + 1) * sizeof *t->values);
	t->cap_values = p->n_values + 1;
	t->things[t->n_things++] = p->things[thing];
	for (uint32_t i = 0; i < p->n_values; i++) {
		struct said_value v = p->values[i];

		if (v.thing != thing || (v.scope_thing != NONE && v.scope_thing != thing))
			continue;
		v.thing = 0;
		v.scope_thing = v.scope_thing == thing ? 0 : NONE;
		t->values[t->n_values++] = v;
	}
	return t;
}

/* A garment is judged with all its details at once; details without one are
 * judged each by itself. */
static void
things_of(struct handout *h)
{
	struct run *r = h->r;
	const struct project *p = h->project;
	const struct craft *c = r->craft;
	uint32_t garment = kind_find(c, SV("garment")), feature = kind_find(c, SV("feature"));
	const struct said_thing *whole = NULL;
	uint32_t details = 0;

	h->things = arena_alloc(r->arena, HANDOUT_THINGS_MOST * sizeof *h->things);
	for (uint32_t i = 0; i < p->n_things; i++) {
		const struct said_thing *t = &p->things[i];

		if (t->denied || t->entry == NONE)
			continue;
		if (t->kind == garment)
			whole = t;
		details += t->kind == feature;
	}
	if (whole != NULL || details == 1) {
		const char *name = NULL;

		for (uint32_t i = 0; i < p->n_things && name == NULL; i++)
			if (&p->things[i] == whole || (whole == NULL && p->things[i].kind == feature &&
			    !p->things[i].denied && p->things[i].entry != NONE))
				name = handout_name(h, p->things[i].entry);
		h->things[h->n_things++] = (struct handout_thing){name, h->project};
		return;
	}
	for (uint32_t i = 0; i < p->n_things && h->n_things < HANDOUT_THINGS_MOST; i++) {
		const struct said_thing *t = &p->things[i];

		if (!t->denied && t->entry != NONE && t->kind == feature)
			h->things[h->n_things++] = (struct handout_thing){handout_name(h, t->entry),
			    alone(r, p, i)};
	}
}

/* Details that a sheet cannot do without, where nothing was said to be sewn. */
static void
usual_things(struct handout *h)
{
	const struct craft *c = h->r->craft;
	struct project *p = h->project;

	for (uint32_t i = 0; i < p->n_things; i++)
		if (!p->things[i].denied && !is_material(c, &p->things[i]))
			return;
	if (h->sheet->n_usual == 0)
		return;
	p->things = memcpy(arena_alloc(h->r->arena, (p->n_things + h->sheet->n_usual + 1) *
	    sizeof *p->things), p->things, p->n_things * sizeof *p->things);
	p->cap_things = p->n_things + h->sheet->n_usual + 1;
	for (uint32_t i = 0; i < h->sheet->n_usual; i++) {
		uint32_t e = c->sheet_entry[h->sheet->first_usual + i];

		p->things[p->n_things++] = (struct said_thing){.kind =
		    c->entry_kind[c->entry[e].kind].object_kind, .role = NO16, .entry = e, .count = 1,
		    .of = NONE};
	}
}

/* ---- judging ------------------------------------------------------------------------------ */

/* The entry a setting was given by choice, if it is one that becomes a thing; NONE. */
static uint32_t
chosen_entry(const struct handout *h, const struct checked *c, uint32_t setting)
{
	const struct craft *v = h->r->craft;
	const struct property *p = &v->property[v->setting[setting].property];
	const struct choice *k = advise_for(c->advised, c->model, setting, c->project, NULL);
	const struct word_set *set = p->type == TYPE_WORDS ? &v->word_set[p->word_set] : NULL;

	if (k == NULL || k->start.state != VALUE_KNOWN || set == NULL || set->entries_of == NO16)
		return NONE;
	for (uint32_t w = 0; w < set->n; w++)
		if (k->start.set[w >> 6] >> (w & 63) & 1) {
			uint32_t e = v->word[set->first + w].entry;

			return v->entry_kind[v->entry[e].kind].object_kind != NO16 ? e : NONE;
		}
	return NONE;
}

/* What was chosen put into the project, as if it had been said; false: nothing was. */
static bool
chosen_taken(struct handout *h, struct handout_cloth *k, struct project *p)
{
	const struct craft *v = h->r->craft;
	bool any = false;

	for (uint32_t i = 0; i < h->sheet->n_taken; i++) {
		uint32_t e = chosen_entry(h, &k->c, v->choice[h->sheet->first_taken + i]);
		const struct entry_kind *q = e != NONE ? &v->entry_kind[v->entry[e].kind] : NULL;
		bool said = q == NULL;

		for (uint32_t t = 0; t < p->n_things; t++)
			said = said || (p->things[t].role == q->role && p->things[t].kind == q->object_kind);
		if (said)
			continue;
		p->things = memcpy(arena_alloc(h->r->arena, (p->n_things + 2) * sizeof *p->things),
		    p->things, p->n_things * sizeof *p->things);
		p->cap_things = p->n_things + 2;
		p->things[p->n_things++] = (struct said_thing){.kind = q->object_kind, .role = q->role,
		    .entry = e, .count = 1, .of = NONE};
		any = true;
	}
	return any;
}

static bool
judged(struct handout *h, struct handout_cloth *k)
{
	struct run *r = h->r;
	struct project *p = suit_with(r->arena, r->kb, h->project, k->entry);
	size_t notes = r->diags.n;
	bool good = check_project(r, p, &k->c);

	if (good && chosen_taken(h, k, p))
		good = check_project(r, p, &k->c);

	/* What is noted of the project would be said again for each cloth. */
	if (good && k != h->cloths)
		r->diags.n = notes;
	if (!good)
		return false;
	for (uint32_t i = 0; i < h->n_things; i++)
		k->suited[i] = suit_judge(r->arena, r->kb, h->things[i].project, k->entry);
	k->object = NONE;
	for (uint32_t o = 0; o < k->c.model->n_objects && k->object == NONE; o++) {
		const struct object *q = &k->c.model->objects[o];
		const struct craft *c = r->craft;

		if ((q->flags & OBJECT_SAID) && !(q->flags & OBJECT_DENIED) &&
		    (k->entry != NONE ? q->entry == k->entry : c->kind[q->kind].n_properties > 0 &&
		    q->entry == NONE && !c->kind[q->kind].singleton))
			k->object = o;
	}
	return true;
}

/* ---- the command ----------------------------------------------------------------------------- */

static bool
project_wanted(struct handout *h)
{
	struct run *r = h->r;
	const struct request *ask = r->ask;

	if (ask->words != NULL)
		h->project = project_from_words(r->arena, r->kb,
		    source_new(r->arena, "<words>", sv(ask->words)), &r->diags);
	else if (ask->n_args == 1)
		h->project = project_read(r->arena, r->kb, ask->args[0], &r->diags);
	else
		h->project = ask->talked != NULL ? ask->talked : empty_project(r);
	return h->project != NULL && r->diags.errors == 0;
}

bool
handout_make(struct handout *h, struct run *r)
{
	const struct request *ask = r->ask;

	*h = (struct handout){.r = r, .region = NO16};
	if (!sheet_wanted(h) || !measures_wanted(h) || !country_wanted(h) || !project_wanted(h))
		return false;
	things_of(h);
	if (!handout_choose(h))
		return false;
	usual_things(h);
	for (uint32_t i = 0; i < h->n_cloths; i++)
		if (!judged(h, &h->cloths[i]))
			return false;
	if (ask->blank != NULL && !handout_blanks(h))
		return false;
	if (ask->measures != NULL)
		kb_show_in(r->kb, ask->measures);
	handout_page(h);
	return true;
}

int
command_handout(struct run *r)
{
	const struct request *ask = r->ask;
	struct handout h;

	if (!run_knowledge(r))
		return EXIT_NOT_RUN;
	if (ask->words != NULL ? ask->n_args > 0 : ask->n_args > 1)
		return usage(r, "handout takes one project file, or --words and a text in quotes; name cloths "
		    "after --cloths");
	if (ask->key != NULL && ask->blank == NULL)
		return usage(r, "there is no key where nothing is left blank; say what with --blank");
	if (ask->key != NULL && !report_allowed(r, ask->key))
		return EXIT_NOT_RUN;
	if (!handout_make(&h, r))
		return EXIT_NOT_RUN;
	if (ask->json) {
		handout_json(&h);
		r->page = page_new(r->arena);
	}
	return ask->key == NULL || report_write(r, handout_key(&h), ask->key) ? EXIT_SOUND : EXIT_NOT_RUN;
}
