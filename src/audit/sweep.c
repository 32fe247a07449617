/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The sweep and the nameless twins.
 *
 * Sweep: every cloth with every feature on the feature's plainest garment, the
 * cloth being all that is said, at its usual range, its low end and its high
 * end. (a) No rule fails that touches only settings which advice chooses,
 * unless advice reported that it could not meet. (b) Where the entries state
 * that cloth and garment suit each other, no rule of the two graver degrees
 * fails, and at the two ends none that hangs on an advised setting is open.
 *
 * Twins: every cloth judged and advised by name, and again with its properties
 * but without its name. Only a rule that says why it names an entry may differ.
 */
#include "audit/audit_impl.h"

enum end { USUAL, LOW, HIGH, END__COUNT };
static const char *const end_names[] = {[USUAL] = "usual", [LOW] = "low end", [HIGH] = "high end"};

struct trial {
	struct audit *out;
	struct knowledge *kb;
	const struct craft *c;
	struct arena *arena;
	struct audit_part *part;
	uint32_t garment, cloth, feature;  /* entries; feature NONE: none */
	bool suited;
};

/* ---- a project made of entries --------------------------------------------------- */

static void
say(struct project *p, uint16_t kind, uint16_t role, uint32_t entry)
{
	p->things[p->n_things++] = (struct said_thing){.kind = kind, .role = role,
	    .entry = entry, .count = 1,
	    .of = NONE};
}

static struct model *
model_of(struct trial *t)
{
	const struct craft *c = t->c;
	struct project *p = arena_alloc(t->arena, sizeof *p);
	struct diags d;
	const struct entry_kind *k = &c->entry_kind[c->entry[t->cloth].kind];

	diags_init(&d, t->arena);
	*p = (struct project){.arena = t->arena, .title = "", .asked = NONE, .asked_scope = NONE};
	p->things = arena_alloc(t->arena, 3 * sizeof *p->things);
	p->cap_things = 3;
	if (t->garment != NONE)
		say(p, c->entry_kind[c->entry[t->garment].kind].object_kind, NO16, t->garment);
	say(p, k->object_kind, k->role, t->cloth);
	if (t->feature != NONE)
		say(p, c->entry_kind[c->entry[t->feature].kind].object_kind, NO16, t->feature);
	return model_expand(t->arena, t->kb, p, &d);
}

/* The object that stands for the cloth. */
static uint32_t
cloth_object(const struct trial *t, const struct model *m)
{
	for (uint32_t o = 0; o < m->n_objects; o++)
		if (m->objects[o].entry == t->cloth)
			return o;
	return NONE;
}

static void
to_end(const struct trial *t, struct model *m, enum end end)
{
	uint32_t o = cloth_object(t, m);
	const struct kind *k;

	if (end == USUAL || o == NONE)
		return;
	k = &t->c->kind[m->objects[o].kind];
	for (uint32_t i = 0; i < k->n_properties; i++) {
		value *v = model_slot(m, o, k->first_property + i);

		if (v->state != VALUE_KNOWN || m->pedigrees[v->pedigree].kind != PEDIGREE_TYPICAL)
			continue;
		if (t->c->property[k->first_property + i].type == TYPE_QUANTITY)
			v->r = range_exact(end == LOW ? v->r.lo : v->r.hi);
		else if (t->c->property[k->first_property + i].type == TYPE_WORDS) {
			uint32_t w = 0;

			for (uint32_t n = 0; n < 128; n++) {
				uint32_t at = end == LOW ? n : 127 - n;
				if (v->set[at >> 6] >> (at & 63) & 1) {
					w = at;
					break;
				}
			}
			v->set[0] = v->set[1] = 0;
			v->set[w >> 6] = (uint64_t)1 << (w & 63);
		}
	}
	model_derive(m, NONE);
}

/* ---- one pair --------------------------------------------------------------------- */

static bool
touches_only_chosen(const struct craft *c, const struct rule *r)
{
	for (uint8_t i = 0; i < r->n_touches; i++)
		if (!c->setting[r->touches[i]].chosen)
			return false;
	return r->n_touches > 0;
}

static bool
touches_chosen(const struct craft *c, const struct rule *r)
{
	for (uint8_t i = 0; i < r->n_touches; i++)
		if (c->setting[r->touches[i]].chosen)
			return true;
	return false;
}

static bool
reported_empty(const struct rule *r, const struct advised *a)
{
	for (uint32_t i = 0; i < a->n; i++)
		for (uint8_t k = 0; k < r->n_touches; k++)
			if (a->c[i].empty && a->c[i].setting == r->touches[k])
				return true;
	return false;
}

static void
complain(struct trial *t, enum end end, const struct rule *r, const char *what)
{
	const struct craft *c = t->c;

	audit_fail(t->out, t->part, "%s %s (%s): bodkin check --words \"%s in %s%s%s\"",
	    craft_text(c, r->id), what,
	    end_names[end], craft_text(c, c->entry[t->garment].name),
	    craft_text(c, c->entry[t->cloth].name),
	    t->feature != NONE ? " with " : "",
	    t->feature != NONE ? craft_text(c, c->entry[t->feature].name) : "");
}

static void
try_pair(struct trial *t, enum end end)
{
	const struct craft *c = t->c;
	struct model *m = model_of(t);
	struct advised *a;
	struct judgement *j;

	t->part->tried++;
	if (m == NULL)
		return;
	to_end(t, m, end);
	a = advise(t->arena, t->kb, m);
	j = judge(t->arena, t->kb, m);
	for (uint32_t i = 0; i < j->n_fails; i++) {
		const struct rule *r = &c->rule[j->fails[i].rule];

		if (r->safety || reported_empty(r, a))
			continue;
		if (touches_only_chosen(c, r))
			complain(t, end, r, "fails though advice chose");
		else if (t->suited && j->fails[i].degree >= DEGREE_DOUBTFUL)
			complain(t, end, r, "fails though the entries say they suit");
	}
	if (t->suited && end != USUAL)
		for (uint32_t i = 0; i < j->n_undecided; i++) {
			const struct rule *r = &c->rule[j->undecided[i].rule];

			if (touches_chosen(c, r))
				complain(t, end, r, "is undecided though advice chose");
		}
}

/* ---- all pairs ----------------------------------------------------------------------- */

static uint32_t
link_of(struct knowledge *kb, uint32_t entry, const char *how, uint32_t wanted)
{
	const struct entry_record *r = kb_entry(kb, entry);

	for (uint32_t i = 0; i < r->n_links; i++)
		if (strcmp(r->links[i].how, how) == 0 && (wanted == NONE || r->links[i].entry == wanted))
			return r->links[i].entry;
	return NONE;
}

/* The plainest garment that has the feature: the one the entry names, else the
 * first garment that brings it by itself. */
static uint32_t
carrier(struct trial *t, uint32_t feature, uint32_t garments)
{
	uint32_t g = link_of(t->kb, feature, "carrier", NONE), first = NONE;

	if (g != NONE)
		return g;
	for (uint32_t i = 0; i < t->c->n_entry; i++) {
		const struct entry_record *r;

		if (t->c->entry[i].kind != garments)
			continue;
		if (first == NONE)
			first = i;
		r = kb_entry(t->kb, i);
		for (uint32_t k = 0; k < r->n_brings; k++)
			if (r->brings[k].entry == feature)
				return i;
	}
	return first;
}

void
audit_sweep(struct audit *out, struct knowledge *kb)
{
	const struct craft *c = kb_craft(kb);
	struct trial t = {.out = out, .kb = kb, .c = c, .arena = arena_new(),
	    .part = audit_part(out, "sweep")};
	uint32_t cloths = audit_kind(c, "fabric"), features = audit_kind(c, "feature");
	uint32_t garments = audit_kind(c, "garment");

	for (uint32_t f = 0; f < c->n_entry; f++) {
		if (c->entry[f].kind != features)
			continue;
		t.feature = f;
		t.garment = carrier(&t, f, garments);
		for (uint32_t i = 0; i < c->n_entry; i++) {
			if (c->entry[i].kind != cloths)
				continue;
			t.cloth = i;
			t.suited = link_of(kb, i, "suits", t.garment) != NONE && link_of(kb, i, "suits not", f) == NONE;
			for (int end = USUAL; end < END__COUNT; end++) {
				try_pair(&t, (enum end)end);
				arena_reset(t.arena);
			}
		}
	}
	arena_free(t.arena);
}

/* ---- twins ----------------------------------------------------------------------------- */

struct outcome { uint32_t rule; tri is; };

static uint32_t
outcomes(const struct judgement *j, struct outcome *o, uint32_t max)
{
	uint32_t n = 0;

	for (uint32_t i = 0; i < j->n_fails && n < max; i++)
		o[n++] = (struct outcome){j->fails[i].rule, TRI_FALSE};
	for (uint32_t i = 0; i < j->n_undecided && n < max; i++)
		o[n++] = (struct outcome){j->undecided[i].rule, TRI_UNKNOWN};
	return n;
}

static void
missing_outcomes(struct trial *t, const struct outcome *a, uint32_t na,
    const struct outcome *b, uint32_t nb,
    const char *what)
{
	for (uint32_t i = 0; i < na; i++) {
		bool found = false;

		for (uint32_t k = 0; k < nb; k++)
			found |= a[i].rule == b[k].rule && a[i].is == b[k].is;
		if (!found && craft_text(t->c, t->c->rule[a[i].rule].names_entry)[0] == '\0')
			audit_fail(t->out, t->part, "%s: %s only %s its name",
			    craft_text(t->c, t->c->entry[t->cloth].name),
			    craft_text(t->c, t->c->rule[a[i].rule].id), what);
	}
}

static void
try_twin(struct trial *t)
{
	const struct craft *c = t->c;
	struct model *named = model_of(t), *nameless = model_of(t);
	struct advised *a, *b;
	struct outcome x[256], y[256];
	uint32_t nx, ny, o;

	t->part->tried++;
	if (named == NULL || nameless == NULL)
		return;
	o = cloth_object(t, nameless);
	if (o == NONE)
		return;
	nameless->objects[o].entry = NONE;
	a = advise(t->arena, t->kb, named);
	b = advise(t->arena, t->kb, nameless);
	nx = outcomes(judge(t->arena, t->kb, named), x, 256);
	ny = outcomes(judge(t->arena, t->kb, nameless), y, 256);
	missing_outcomes(t, x, nx, y, ny, "with");
	missing_outcomes(t, y, ny, x, nx, "without");
	for (uint32_t i = 0; i < a->n && i < b->n; i++)
		if (a->c[i].start.set[0] != b->c[i].start.set[0] || a->c[i].start.set[1] != b->c[i].start.set[1])
			audit_fail(t->out, t->part, "%s: another choice of %s without its name",
			    craft_text(c, c->entry[t->cloth].name), craft_text(c, c->setting[a->c[i].setting].name));
}

void
audit_twins(struct audit *out, struct knowledge *kb)
{
	const struct craft *c = kb_craft(kb);
	struct trial t = {.out = out, .kb = kb, .c = c, .arena = arena_new(), .feature = NONE,
	    .part = audit_part(out, "nameless twins")};
	uint32_t cloths = audit_kind(c, "fabric"), garments = audit_kind(c, "garment"), first = NONE;

	for (uint32_t i = 0; i < c->n_entry && first == NONE; i++)
		if (c->entry[i].kind == garments)
			first = i;
	for (uint32_t i = 0; i < c->n_entry; i++) {
		if (c->entry[i].kind != cloths)
			continue;
		t.cloth = i;
		t.garment = link_of(kb, i, "suits", NONE);
		if (t.garment == NONE || c->entry[t.garment].kind != garments)
			t.garment = first;
		try_twin(&t);
		arena_reset(t.arena);
	}
	arena_free(t.arena);
}
