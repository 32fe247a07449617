/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * From what was said to a model.
 *
 * First the one garment and the one machine, then what the work is made of,
 * then the features, each with what its entry knows and what was said of it;
 * then everything those bring; last what was said of places.  A said value
 * replaces a typical one, a closer saying a broader one.  At the end every
 * formula is worked out.
 */
#include "project/expand_impl.h"

/* ---- what was said --------------------------------------------------------- */

/* A class word beside a name: its part of the name's own usual range. */
static value
said_value_of(const struct expansion *x, const struct said_value *s, uint32_t object,
    struct pedigree *p)
{
	uint32_t entry = x->m->objects[object].entry;
	const struct entry_record *rec;

	if (!s->typical_part || entry == NONE ||
	    x->craft->property[s->property].type != TYPE_QUANTITY)
		return s->value;
	rec = kb_entry(x->kb, entry);
	for (uint32_t i = 0; rec && i < rec->n_typicals; i++) {
		const struct typical *t = &rec->typicals[i];
		double width = t->usual.r.hi - t->usual.r.lo;

		if (t->property != s->property || t->usual.state != VALUE_KNOWN)
			continue;
		p->entry = entry;
		p->source_low = t->basis_low;
		p->source_high = t->basis_high;
		return (value){ .r = { t->usual.r.lo + s->part_lo * width,
		    t->usual.r.lo + s->part_hi * width }, .state = VALUE_KNOWN };
	}
	return s->value;
}

static void
set_said(struct expansion *x, uint32_t object, const struct said_value *s, enum level level)
{
	struct pedigree p = pedigree_of(PEDIGREE_SAID, s->property, NONE);
	value v;

	p.place = s->place;
	p.measured = s->measured;
	v = said_value_of(x, s, object, &p);
	expand_set(x, object, s->property, v, p, level);
}

/* Values said of the thing an object is. */
static void
set_own(struct expansion *x, uint32_t object, uint32_t thing)
{
	uint16_t kind = x->m->objects[object].kind;

	for (uint32_t i = 0; i < x->project->n_values; i++) {
		const struct said_value *s = &x->project->values[i];

		if (s->thing == thing && x->craft->property[s->property].kind == kind)
			set_said(x, object, s, LEVEL_OWN);
	}
}

static const char *
thing_name(const struct expansion *x, const struct said_thing *t)
{
	const struct craft *c = x->craft;

	if (t->entry != NONE)
		return craft_text(c, c->entry[t->entry].name);
	if (t->role != NO16 && x->role_set != NONE && t->role < c->word_set[x->role_set].n)
		return craft_text(c, c->word[c->word_set[x->role_set].first + t->role].name);
	return craft_text(c, c->kind[t->kind].name);
}

static void
set_count(struct expansion *x, uint32_t object, const struct said_thing *t)
{
	uint32_t p = property_find(x->craft, t->kind, SV("count"));
	struct pedigree q = pedigree_of(PEDIGREE_SAID, p, t->entry);

	if (p == NONE || x->craft->property[p].type != TYPE_QUANTITY)
		return;
	q.place = t->place;
	/* nobody counts what has a formula for how many there usually are */
	if (t->count == 1 && x->craft->property[p].formula != NONE)
		return;
	/* one is what a bare mention means; an entry may know better */
	if (t->count == 1 && expand_filled(x, object, p))
		return;
	if (x->level[x->m->objects[object].slot + x->craft->property[p].slot] == LEVEL_NONE)
		expand_set(x, object, p, (value){ .r = { t->count, t->count },
		    .state = VALUE_KNOWN }, q, t->count == 1 ? LEVEL_NONE : LEVEL_OWN);
}

/* The object of a said thing, with all that is known and said of it, but
 * without what it brings. */
static uint32_t
thing_object(struct expansion *x, uint32_t thing, uint32_t parent)
{
	const struct said_thing *t = &x->project->things[thing];
	uint16_t role = t->role;
	uint32_t o = expand_object(x, t->kind, t->entry, parent,
	    t->denied ? OBJECT_DENIED : OBJECT_SAID, thing_name(x, t));

	if (o == NONE)
		return NONE;
	x->thing[o] = thing;
	if (x->object[thing] == NONE)
		x->object[thing] = o;
	if (t->entry != NONE) {
		expand_word_of_entry(x, o, t->entry);
		expand_typicals(x, o, t->entry);
		if (role == NO16)
			role = x->craft->entry_kind[x->craft->entry[t->entry].kind].role;
	}
	set_own(x, o, thing);
	set_count(x, o, t);
	if (t->kind == x->role_kind && role != NO16) {
		struct pedigree p = pedigree_of(PEDIGREE_SAID, x->role_property, NONE);

		p.place = t->place;
		expand_role_taken(x, o, role, p);
	}
	return o;
}

/* ---- the order of things --------------------------------------------------- */

/* The entry that bears its kind's own name: what every such thing has, and
 * what stands in where none is named. */
static uint32_t
root_of(const struct craft *c, uint16_t kind)
{
	strview name = sv(craft_text(c, c->kind[kind].name));
	const struct name *first;
	uint32_t n = kb_names(c, name, &first), e = NONE;

	/* by that very name, not by one written otherwise */
	for (uint32_t i = 0; i < n && e == NONE; i++)
		if (first[i].target == NAME_ENTRY)
			e = kb_entry_find(c, name, NULL);

	return e != NONE && c->entry_kind[c->entry[e].kind].object_kind == kind ? e : NONE;
}

static void
singletons(struct expansion *x)
{
	for (uint16_t kind = 0; kind < x->craft->n_kind; kind++) {
		uint32_t o = NONE, root;

		if (!x->craft->kind[kind].singleton)
			continue;
		for (uint32_t i = 0; i < x->project->n_things && o == NONE; i++)
			if (x->project->things[i].kind == kind && !x->project->things[i].denied)
				o = thing_object(x, i, NONE);
		if (o == NONE)
			o = expand_object(x, kind, NONE, NONE, 0,
			    craft_text(x->craft, x->craft->kind[kind].name));
		if (o == NONE)
			return;
		root = x->root[kind];
		if (x->m->objects[o].entry == NONE && root != NONE)
			expand_typicals(x, o, root);
		for (uint32_t i = 0; i < x->project->n_values; i++) {
			const struct said_value *s = &x->project->values[i];

			if (s->thing == NONE && x->craft->property[s->property].kind == kind)
				set_said(x, o, s, LEVEL_OWN);
		}
	}
}

static void
components(struct expansion *x)
{
	const struct project *project = x->project;
	uint32_t n = x->m->n_objects;

	for (uint32_t i = 0; i < project->n_things; i++)
		if (project->things[i].kind == x->role_kind)
			thing_object(x, i, NONE);
	/* parts of a thing: contents of a cloth */
	for (uint32_t i = 0; i < project->n_things; i++) {
		const struct said_thing *t = &project->things[i];
		uint32_t o, whole = t->of < project->n_things ? x->object[t->of] : NONE;

		if (t->of == NONE || t->denied || whole == NONE || x->object[i] != NONE)
			continue;
		o = thing_object(x, i, whole);
		if (o != NONE)
			expand_references(x, o);
	}
	for (uint32_t o = n; o < x->m->n_objects && !x->full; o++)
		if (x->m->objects[o].kind == x->role_kind && x->thing[o] != NONE &&
		    !(x->m->objects[o].flags & OBJECT_DENIED))
			expand_brings(x, o, x->m->objects[o].entry, 0);
}

/* Is something brought that a said thing can be told by?  Such a thing waits
 * until all is brought: what the words say was done is done to the work that
 * is there anyway. */
static bool
waits(const struct expansion *x, const struct said_thing *t)
{
	const struct kind *k = &x->craft->kind[t->kind];

	return t->kind != x->role_kind && t->of == NONE && !k->singleton && !k->usual;
}

static void
features(struct expansion *x)
{
	const struct project *project = x->project;
	uint32_t n = x->m->n_objects, end;

	for (uint32_t i = 0; i < project->n_things; i++) {
		const struct said_thing *t = &project->things[i];

		if (x->object[i] == NONE && t->of == NONE && !waits(x, t) &&
		    !x->craft->kind[t->kind].singleton)
			thing_object(x, i, NONE);
	}
	end = x->m->n_objects;
	for (uint32_t o = n; o < end; o++)
		if (!(x->m->objects[o].flags & OBJECT_DENIED))
			expand_references(x, o);
	for (uint32_t o = n; o < end && !x->full; o++)
		if (!(x->m->objects[o].flags & OBJECT_DENIED))
			expand_brings(x, o, x->m->objects[o].entry, 0);
}

static void
singletons_bring(struct expansion *x)
{
	for (uint16_t kind = 0; kind < x->craft->n_kind && !x->full; kind++) {
		uint32_t o = x->m->first_of_kind[kind], root;

		if (!x->craft->kind[kind].singleton || o == NONE)
			continue;
		expand_brings(x, o, x->m->objects[o].entry, 0);
		root = x->root[kind];
		if (root != NONE && root != x->m->objects[o].entry)
			expand_brings(x, o, root, 0);
	}
}

/* May the object be what was said, nobody having said anything else of it? */
static bool
waits_for(const struct expansion *x, uint32_t object, const struct said_thing *t)
{
	uint32_t e = x->m->objects[object].entry;

	return t->entry != NONE && e != NONE && x->thing[object] == NONE &&
	    kb_entry_is(x->craft, e, t->entry);
}

/* Said of what is there, or else there because it was said. */
static void
waiting(struct expansion *x)
{
	const struct project *project = x->project;

	for (uint32_t i = 0; i < project->n_things && !x->full; i++) {
		const struct said_thing *t = &project->things[i];
		bool found = false, certain = false;
		uint32_t o;

		if (x->object[i] != NONE || !waits(x, t))
			continue;
		for (o = x->m->first_of_kind[t->kind]; o != NONE && !t->denied;
		    o = x->m->objects[o].next)
			certain |= waits_for(x, o, t) && !(x->m->objects[o].flags & OBJECT_ASSUMED);
		for (o = x->m->first_of_kind[t->kind]; o != NONE && !t->denied;
		    o = x->m->objects[o].next) {
			if (!waits_for(x, o, t))
				continue;
			found = true;
			x->thing[o] = i;
			if (x->object[i] == NONE || (certain &&
			    x->m->objects[x->object[i]].flags & OBJECT_ASSUMED))
				x->object[i] = o;
			/* What is there for certain is what was meant; an assumed
			 * one takes the values and stays assumed. */
			if (!certain)
				x->m->objects[o].flags = (uint16_t)((x->m->objects[o].flags |
				    OBJECT_SAID) & ~(unsigned)OBJECT_ASSUMED);
			set_own(x, o, i);
		}
		if (found)
			continue;
		o = thing_object(x, i, NONE);
		if (o == NONE || t->denied)
			continue;
		expand_references(x, o);
		expand_brings(x, o, t->entry, 0);
	}
}

/* ---- places ---------------------------------------------------------------- */

static bool
is_place(const struct expansion *x, uint32_t object, uint32_t thing, uint32_t entry)
{
	uint32_t e = x->m->objects[object].entry;

	return (thing != NONE && x->thing[object] == thing) ||
	    (entry != NONE && e != NONE && kb_entry_is(x->craft, e, entry));
}

/* Is the object the place meant, within it, or made of it? */
static bool
within(const struct expansion *x, uint32_t object, uint32_t thing, uint32_t entry)
{
	const struct kind *k = &x->craft->kind[x->m->objects[object].kind];

	for (uint32_t up = object; up != NONE; up = x->m->objects[up].parent)
		if (is_place(x, up, thing, entry))
			return true;
	for (uint32_t i = 0; i < k->n_properties; i++) {
		const value *v;

		if (x->craft->property[k->first_property + i].type != TYPE_REF)
			continue;
		v = model_slot(x->m, object, k->first_property + i);
		if (v->state == VALUE_KNOWN && v->ref >= 0 &&
		    is_place(x, (uint32_t)v->ref, thing, entry))
			return true;
	}
	return false;
}

/* What is only judged, never chosen, is a fact like any other. */
static uint32_t
setting_of(const struct craft *c, uint32_t property)
{
	for (uint32_t i = 0; i < c->n_setting; i++)
		if (c->setting[i].property == property && c->setting[i].chosen)
			return i;
	return NONE;
}

static bool
holds_for(const struct expansion *x, uint32_t program, uint32_t object)
{
	struct binding binding;

	if (program == NONE)
		return true;
	for (int i = 0; i < VARIABLES_MAX; i++)
		binding.object[i] = NONE;
	binding.object[0] = object;
	return eval_truth(x->craft, x->m, program, &binding) == TRI_TRUE;
}

static bool
applies(const struct expansion *x, uint32_t setting, uint32_t object)
{
	return setting == NONE || holds_for(x, x->craft->setting[setting].applies, object);
}

static bool
takes_unplaced(const struct expansion *x, uint32_t setting, uint32_t object)
{
	return applies(x, setting, object) && (setting == NONE ||
	    holds_for(x, x->craft->setting[setting].unplaced, object));
}

/* It and all that came with it are no assumption any more. */
static void
is_said(struct expansion *x, uint32_t object)
{
	struct model *m = x->m;

	for (uint32_t o = object; o < m->n_objects; o++) {
		uint32_t up = o;

		while (up != NONE && up != object)
			up = m->objects[up].parent;
		if (up == object)
			m->objects[o].flags = (uint16_t)((m->objects[o].flags | OBJECT_SAID) &
			    ~(unsigned)OBJECT_ASSUMED);
	}
}

/* Said for no place: a setting for every object that has it and is meant so
 * (no stitch length but its own is meant for stitches that come out again); another property
 * for the first thing said of its kind; else words for all of the kind, while a
 * measure that belongs to nothing said belongs to nothing.  Where only assumed
 * things can be meant, they are: who says "rolled hem" speaks of the skirt's hem. */
static void
set_everywhere(struct expansion *x, const struct said_value *s)
{
	uint16_t kind = x->craft->property[s->property].kind;
	uint32_t setting = setting_of(x->craft, s->property), o;
	bool act = x->craft->property[s->property].flags & PROPERTY_ACT, certain = setting == NONE;

	for (o = x->m->first_of_kind[kind]; o != NONE && setting == NONE && !act;
	    o = x->m->objects[o].next)
		if (x->thing[o] != NONE) {
			set_said(x, o, s, LEVEL_EVERYWHERE);
			return;
		}
	if (setting == NONE && !act && x->craft->property[s->property].type == TYPE_QUANTITY)
		return;
	for (o = x->m->first_of_kind[kind]; o != NONE && !certain; o = x->m->objects[o].next)
		certain = !(x->m->objects[o].flags & (OBJECT_ASSUMED | OBJECT_DENIED)) &&
		    takes_unplaced(x, setting, o);
	for (o = x->m->first_of_kind[kind]; o != NONE; o = x->m->objects[o].next)
		if (takes_unplaced(x, setting, o)) {
			set_said(x, o, s, LEVEL_EVERYWHERE);
			if (!certain)
				is_said(x, o);
		}
}

static void
set_places(struct expansion *x)
{
	const struct project *project = x->project;

	for (uint32_t i = 0; i < project->n_values; i++) {
		const struct said_value *s = &project->values[i];
		const struct property *prop = &x->craft->property[s->property];
		uint32_t thing = s->scope_thing, setting = setting_of(x->craft, s->property);

		/* of a thing of the same kind: set when it was made */
		if (s->thing != NONE && project->things[s->thing].kind == prop->kind)
			continue;
		if (s->thing == NONE && x->craft->kind[prop->kind].singleton)
			continue;
		if (thing == NONE)
			thing = s->thing;
		if (thing == NONE && s->scope_entry == NONE) {
			set_everywhere(x, s);
			continue;
		}
		for (uint32_t o = x->m->first_of_kind[prop->kind]; o != NONE;
		    o = x->m->objects[o].next)
			if (within(x, o, thing, s->scope_entry) && applies(x, setting, o))
				set_said(x, o, s, LEVEL_PLACE);
	}
}

/* ---- what was said is used -------------------------------------------------- */

/* Does the operation work with the component, by a reference of its own? */
static bool
works_with(const struct expansion *x, uint32_t operation, uint32_t component)
{
	const struct kind *k = &x->craft->kind[x->m->objects[operation].kind];

	for (uint32_t p = k->first_property; p < k->first_property + k->n_properties; p++) {
		const value *v;

		if (x->craft->property[p].type != TYPE_REF ||
		    x->craft->property[p].ref_kind != x->role_kind)
			continue;
		v = model_slot(x->m, operation, p);
		if (v->state == VALUE_KNOWN && v->ref == (int32_t)component)
			return true;
	}
	return false;
}

/* Whoever names a thread for topstitching has some done: where only assumed work would use
 * what was said, that work was said with it. */
static void
said_is_used(struct expansion *x, uint32_t operation)
{
	if (operation == NONE || x->role_kind == NO16)
		return;
	for (uint32_t c = x->m->first_of_kind[x->role_kind]; c != NONE;
	    c = x->m->objects[c].next) {
		bool certain = false;

		if (!(x->m->objects[c].flags & OBJECT_SAID) ||
		    x->m->objects[c].flags & OBJECT_DENIED)
			continue;
		for (uint32_t o = x->m->first_of_kind[operation]; o != NONE && !certain;
		    o = x->m->objects[o].next)
			certain = !(x->m->objects[o].flags & OBJECT_ASSUMED) && works_with(x, o, c);
		for (uint32_t o = x->m->first_of_kind[operation]; o != NONE && !certain;
		    o = x->m->objects[o].next)
			if (works_with(x, o, c))
				x->m->objects[o].flags = (uint16_t)((x->m->objects[o].flags |
				    OBJECT_SAID) & ~(unsigned)OBJECT_ASSUMED);
	}
}

/* ---- the whole ------------------------------------------------------------- */

static void
roles_find(struct expansion *x)
{
	const struct craft *c = x->craft;

	x->role_property = NONE;
	x->role_kind = NO16;
	x->role_set = set_find(c, SV("role"));
	for (uint32_t i = 0; i < ROLES_MAX; i++)
		x->filled[i] = NONE;
	for (uint32_t p = 0; p < c->n_property && x->role_set != NONE; p++)
		if (c->property[p].type == TYPE_WORDS && c->property[p].word_set == x->role_set &&
		    sv_is(sv(craft_text(c, c->property[p].name)), "role")) {
			x->role_property = p;
			x->role_kind = c->property[p].kind;
			break;
		}
	for (uint32_t i = 0; i < x->project->n_things; i++) {
		const struct said_thing *t = &x->project->things[i];

		if (t->denied && t->entry == NONE && t->role < ROLES_MAX)
			x->denied[t->role] = true;
	}
}

struct model *
model_expand(struct arena *arena, struct knowledge *kb, const struct project *project,
    struct diags *diags)
{
	struct expansion *x = arena_alloc(arena, sizeof *x);
	const struct craft *c = kb_craft(kb);
	struct model *m = arena_alloc(arena, sizeof *m);
	size_t n_kinds = c->n_kind ? c->n_kind : 1;

	x->arena = arena;
	x->kb = kb;
	x->craft = c;
	x->project = project;
	x->diags = diags;
	x->m = m;
	m->craft = c;
	m->arena = arena;
	m->cap_pedigrees = 256;
	m->pedigrees = arena_alloc(arena, m->cap_pedigrees * sizeof *m->pedigrees);
	m->pedigrees[0] = pedigree_of(PEDIGREE_NONE, NONE, NONE);
	m->n_pedigrees = 1;
	m->first_of_kind = arena_alloc(arena, n_kinds * sizeof *m->first_of_kind);
	x->last_of_kind = arena_alloc(arena, n_kinds * sizeof *x->last_of_kind);
	x->root = arena_alloc(arena, n_kinds * sizeof *x->root);
	for (uint16_t i = 0; i < c->n_kind; i++) {
		m->first_of_kind[i] = x->last_of_kind[i] = NONE;
		x->root[i] = c->kind[i].singleton ? root_of(c, i) : NONE;
	}
	x->object = arena_alloc(arena, (project->n_things + 1) * sizeof *x->object);
	for (uint32_t i = 0; i < project->n_things; i++)
		x->object[i] = NONE;
	expand_name(x, "");
	roles_find(x);

	singletons(x);
	components(x);
	for (uint16_t kind = 0; kind < c->n_kind; kind++)
		if (c->kind[kind].singleton && m->first_of_kind[kind] != NONE)
			expand_references(x, m->first_of_kind[kind]);
	/* conditions below may ask for what follows from the cloth */
	model_derive(m, NONE);
	features(x);
	singletons_bring(x);
	waiting(x);
	for (uint32_t o = 0; o < m->n_objects; o++)
		if (!(m->objects[o].flags & OBJECT_DENIED))
			expand_references(x, o);
	expand_late(x);
	set_places(x);
	expand_late(x);                    /* which leaves every formula worked out */
	said_is_used(x, kind_find(c, SV("operation")));
	for (uint32_t o = 0; o < m->n_objects; o++)
		if (x->thing[o] != NONE)
			m->objects[o].place = project->things[x->thing[o]].place;
	return m;
}
