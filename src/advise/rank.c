/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Ranking by judging: see rank.h for the order and its reasons.
 */
#include <stdlib.h>

#include "advise/advise_impl.h"
#include "advise/rank.h"

/* ---- a project with one thing exchanged ------------------------------------------ */

static struct project *
twin_of(struct arena *a, const struct project *p)
{
	struct project *t = arena_alloc(a, sizeof *t);

	*t = *p;
	t->arena = a;
	t->cap_things = p->n_things + 2;
	t->things = arena_alloc(a, t->cap_things * sizeof *t->things);
	if (p->n_things > 0)
		memcpy(t->things, p->things, p->n_things * sizeof *t->things);
	return t;
}

static void
put(struct project *p, uint16_t kind, uint16_t role, uint32_t entry, uint32_t at)
{
	if (at == NONE)
		at = p->n_things++;
	p->things[at] = (struct said_thing){.kind = kind, .role = role, .entry = entry, .count = 1,
	    .of = NONE};
}

/* The thing that is the main material: the first with the role that cloth takes. */
static uint32_t
main_material(const struct craft *c, const struct project *p, uint16_t role)
{
	(void)c;
	for (uint32_t i = 0; i < p->n_things; i++)
		if (p->things[i].role == role && !p->things[i].denied)
			return i;
	return NONE;
}

static bool
links(struct knowledge *kb, uint32_t from, const char *how, uint32_t to)
{
	const struct entry_record *r;

	if (from == NONE || to == NONE)
		return false;
	r = kb_entry(kb, from);
	for (uint32_t i = 0; i < r->n_links; i++)
		if (strcmp(r->links[i].how, how) == 0
		    && (kb_entry_is(kb_craft(kb), to, r->links[i].entry)
			|| kb_entry_is(kb_craft(kb), r->links[i].entry, to)))
			return true;
	return false;
}

/* ---- one verdict -------------------------------------------------------------------- */

/* About the cloth itself: touches a setting that nobody chooses. */
static bool
about_the_cloth(const struct craft *c, const struct rule *r)
{
	for (uint8_t i = 0; i < r->n_touches; i++)
		if (!c->setting[r->touches[i]].chosen)
			return true;
	return false;
}

static enum suitability
class_of(const struct craft *c, const struct suited *s)
{
	bool care = false;

	if (s->stated_not)
		return SUIT_NOT;
	for (uint32_t i = 0; i < s->n_against; i++) {
		const struct rule *r = &c->rule[s->against[i].rule];

		if (r->safety)             /* a caution speaks to the maker, not against a cloth */
			continue;
		if (s->against[i].degree == DEGREE_GRAVE
		    || (s->against[i].degree == DEGREE_DOUBTFUL && about_the_cloth(c, r) && !s->stated))
			return SUIT_NOT;
		care = care || s->against[i].degree >= DEGREE_DOUBTFUL || !s->stated;
	}
	if (care)
		return SUIT_CARE;
	return s->n_open > 0 && !s->stated ? SUIT_FIND_OUT : SUIT_WELL;
}

static void
keep_one_of_each_rule(struct suited *s, const struct judgement *j)
{
	for (uint32_t i = 0; i < j->n_fails; i++) {
		bool have = false;

		for (uint32_t k = 0; k < s->n_against && !have; k++)
			have = s->against[k].rule == j->fails[i].rule;
		if (!have)
			s->against[s->n_against++] = j->fails[i];
	}
}

static struct suited
verdict(struct arena *a, struct knowledge *kb, const struct project *p, uint32_t entry)
{
	struct suited s = {.entry = entry};
	struct diags d;
	struct model *m;
	struct judgement *j;

	diags_init(&d, a);
	m = model_expand(a, kb, p, &d);
	if (m == NULL)
		return s;
	advise(a, kb, m);
	j = judge(a, kb, m);
	s.model = m;
	s.against = arena_alloc(a, (j->n_fails + 1) * sizeof *s.against);
	keep_one_of_each_rule(&s, j);
	s.open = j->questions;
	s.n_open = j->n_questions;
	return s;
}

/* What the entries state: of a cloth, the garments and details it suits. */
static void
statements(struct knowledge *kb, const struct project *p, uint32_t cloth, struct suited *s)
{
	for (uint32_t i = 0; i < p->n_things; i++) {
		if (p->things[i].denied || p->things[i].entry == NONE || p->things[i].entry == cloth)
			continue;
		s->n_stated += links(kb, cloth, "suits", p->things[i].entry);
		s->stated_not |= links(kb, cloth, "suits not", p->things[i].entry);
	}
}

struct project *
suit_with(struct arena *a, struct knowledge *kb, const struct project *p, uint32_t cloth)
{
	const struct craft *c = kb_craft(kb);
	struct project *t = twin_of(a, p);

	if (cloth != NONE) {
		const struct entry_kind *k = &c->entry_kind[c->entry[cloth].kind];

		put(t, k->object_kind, k->role, cloth, main_material(c, t, k->role));
	}
	return t;
}

struct suited
suit_judge(struct arena *a, struct knowledge *kb, const struct project *p, uint32_t cloth)
{
	struct project *t = suit_with(a, kb, p, cloth);
	struct suited s = verdict(a, kb, t, cloth);

	statements(kb, t, cloth, &s);
	s.stated = s.n_stated > 0;
	s.is = class_of(kb_craft(kb), &s);
	return s;
}

/* ---- the order ------------------------------------------------------------------------ */

static uint32_t
graver_ones(const struct suited *s)
{
	uint32_t n = 0;

	for (uint32_t i = 0; i < s->n_against; i++)
		n += s->against[i].degree >= DEGREE_DOUBTFUL;
	return n;
}

int
suit_compare(const struct suited *a, const struct suited *b)
{
	uint32_t x = graver_ones(a), y = graver_ones(b);

	if (a->is != b->is)
		return (int)a->is - (int)b->is;
	if (x != y)
		return x < y ? -1 : 1;
	if (a->n_stated != b->n_stated)
		return a->n_stated > b->n_stated ? -1 : 1;
	if (a->n_against != b->n_against)
		return a->n_against < b->n_against ? -1 : 1;
	if (a->n_open != b->n_open)
		return a->n_open < b->n_open ? -1 : 1;
	return 0;
}

static int
by_suitability(const void *x, const void *y)
{
	const struct suited *a = x, *b = y;
	int d = suit_compare(a, b);

	return d != 0 ? d : a->entry < b->entry ? -1 : a->entry > b->entry;
}

static void
sort(struct ranking *r)
{
	if (r->n > 1)
		qsort(r->s, r->n, sizeof *r->s, by_suitability);
}

/* The role a cloth takes when no words give it another. */
static uint16_t
cloth_role(const struct craft *c)
{
	for (uint32_t i = 0; i < c->n_entry_kind; i++)
		if (c->entry_kind[i].object_kind != NO16 && c->entry_kind[i].role != NO16)
			return c->entry_kind[i].role;
	return NO16;
}

struct ranking
suit_cloths(struct arena *a, struct knowledge *kb, const struct project *p)
{
	const struct craft *c = kb_craft(kb);
	struct ranking r = {.n = 0};
	uint16_t role = cloth_role(c);

	r.s = arena_alloc(a, (c->n_entry + 1) * sizeof *r.s);
	for (uint32_t e = 0; e < c->n_entry; e++)
		if (c->entry_kind[c->entry[e].kind].role == role)
			r.s[r.n++] = suit_judge(a, kb, p, e);
	sort(&r);
	return r;
}

bool
suit_asked(const struct craft *c, uint32_t setting)
{
	const struct property *q = &c->property[c->setting[setting].property];

	/* set 0 is no and yes */
	return !c->setting[setting].chosen && q->type == TYPE_WORDS && q->word_set == 0;
}

/* Does the project say of its cloth what an entry rules out? */
static bool
says_otherwise(struct knowledge *kb, const struct project *p, uint32_t thing, uint32_t cloth)
{
	const struct craft *c = kb_craft(kb);
	const struct entry_record *r = kb_entry(kb, cloth);

	for (uint32_t i = 0; i < p->n_values; i++)
		for (uint32_t k = 0; k < r->n_typicals; k++) {
			const value *said = &p->values[i].value, *is = &r->typicals[k].usual;
			uint8_t type = c->property[r->typicals[k].property].type;
			range both;

			if (p->values[i].thing != thing || p->values[i].property != r->typicals[k].property
			    || said->state != VALUE_KNOWN || is->state != VALUE_KNOWN)
				continue;
			if (type == TYPE_QUANTITY ? !range_meet(said->r, is->r, &both)
			    : type == TYPE_WORDS && ((said->set[0] & is->set[0]) | (said->set[1] & is->set[1])) == 0)
				return true;
		}
	return false;
}

struct ranking
suit_answer(struct arena *a, struct knowledge *kb, const struct project *p)
{
	uint32_t at = main_material(kb_craft(kb), p, cloth_role(kb_craft(kb)));
	struct ranking all = suit_cloths(a, kb, p), r = {.n = 0};
	uint32_t said = at != NONE ? p->things[at].entry : NONE;

	r.s = arena_alloc(a, (all.n + 1) * sizeof *r.s);
	if (said != NONE)
		r.s[r.n++] = suit_judge(a, kb, p, said);
	for (uint32_t i = 0; i < all.n; i++)
		if (all.s[i].entry != said && (at == NONE || said != NONE ||
		    !says_otherwise(kb, p, at, all.s[i].entry)))
			r.s[r.n++] = all.s[i];
	return r;
}

struct ranking
suit_things(struct arena *a, struct knowledge *kb, const struct project *p, const char *kind)
{
	const struct craft *c = kb_craft(kb);
	struct ranking r = {.n = 0};
	uint32_t at = main_material(c, p, cloth_role(c));
	uint32_t cloth = at != NONE ? p->things[at].entry : NONE;

	r.s = arena_alloc(a, (c->n_entry + 1) * sizeof *r.s);
	for (uint32_t e = 0; e < c->n_entry; e++) {
		const struct entry_kind *k = &c->entry_kind[c->entry[e].kind];
		struct project *t;
		struct suited s;

		if (strcmp(craft_text(c, k->name), kind) != 0)
			continue;
		t = twin_of(a, p);
		put(t, k->object_kind, NO16, e, NONE);
		s = verdict(a, kb, t, e);
		s.stated = links(kb, cloth, "suits", e);
		s.n_stated = s.stated;
		s.stated_not = links(kb, cloth, "suits not", e);
		s.is = class_of(c, &s);
		r.s[r.n++] = s;
	}
	sort(&r);
	return r;
}
