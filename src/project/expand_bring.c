/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What an entry adds to a model besides itself.
 *
 * An entry's bring list is walked in order: each item whose condition holds
 * becomes an object, takes what its own entry knows, then what the item says.
 * References come from the item, from objects around it, or from roles.  An
 * item that was said in its own right is not made twice, and one that was said
 * not to be there is left out.
 */
#include "project/expand_impl.h"

/* ---- roles ----------------------------------------------------------------- */

static const struct role_note *
note_of(const struct craft *c, uint16_t role)
{
	for (uint32_t i = 0; i < c->n_role_note; i++)
		if (c->role_note[i].role == role)
			return &c->role_note[i];
	return NULL;
}

static const char *
role_name(const struct expansion *x, uint16_t role)
{
	const struct word_set *set = &x->craft->word_set[x->role_set];

	return role < set->n ? craft_text(x->craft, x->craft->word[set->first + role].name) : "";
}

/* What is never told of a thing of that role does not apply to it: absent, not
 * unknown. */
static void
leave_out(struct expansion *x, uint32_t object, uint16_t role)
{
	const struct kind *k = &x->craft->kind[x->m->objects[object].kind];

	for (uint32_t i = 0; i < k->n_properties; i++) {
		uint32_t p = k->first_property + i;
		const struct property *prop = &x->craft->property[p];

		if (prop->roles && role < 32 && !(prop->roles >> role & 1) &&
		    prop->formula == NONE && !expand_filled(x, object, p))
			model_slot(x->m, object, p)->state = VALUE_ABSENT;
	}
}

void
expand_role_taken(struct expansion *x, uint32_t object, uint16_t role, struct pedigree p)
{
	if (object == NONE || x->role_property == NONE || role >= ROLES_MAX)
		return;
	expand_set(x, object, x->role_property, value_word(role), p, LEVEL_OWN);
	leave_out(x, object, role);
	if (x->filled[role] == NONE && !(x->m->objects[object].flags & OBJECT_DENIED))
		x->filled[role] = object;
}

uint32_t
expand_role(struct expansion *x, uint16_t role)
{
	for (int step = 0; step < FALLBACK_MAX; step++) {
		const struct role_note *note;

		if (x->role_property == NONE || role >= ROLES_MAX)
			return NONE;
		if (x->filled[role] != NONE)
			return x->filled[role];
		note = note_of(x->craft, role);
		if (!note)
			return NONE;
		if (note->falls_back != NO16) {
			role = note->falls_back;
			continue;
		}
		if (note->advised && !x->denied[role]) {
			uint32_t o = expand_object(x, x->role_kind, NONE, NONE, OBJECT_ASSUMED,
			    role_name(x, role));

			expand_role_taken(x, o, role,
			    pedigree_of(PEDIGREE_ASSUMED, x->role_property, NONE));
			return o;
		}
		return NONE;
	}
	return NONE;
}

/* Who does the work of a role where what was said of it is not meant: one
 * stand-in for all such places, told from the said one. */
static uint32_t
stand_in(struct expansion *x, uint16_t role)
{
	const struct role_note *note = note_of(x->craft, role);

	if (note == NULL || !note->advised)
		return NONE;
	if (x->stand_in[role] == 0) {
		uint32_t o = expand_object(x, x->role_kind, NONE, NONE, OBJECT_ASSUMED,
		    role_name(x, role));

		if (o == NONE)
			return NONE;
		expand_role_taken(x, o, role, pedigree_of(PEDIGREE_ASSUMED, x->role_property, NONE));
		x->stand_in[role] = o + 1;
	}
	return x->stand_in[role] - 1;
}

static bool
meant_elsewhere(const struct expansion *x, const struct property *p, uint16_t role, uint32_t object)
{
	struct binding binding;
	uint32_t who = role < ROLES_MAX ? x->filled[role] : NONE;

	if (p->elsewhere == NONE || who == NONE || x->m->objects[who].flags & OBJECT_ASSUMED)
		return false;
	for (int i = 0; i < VARIABLES_MAX; i++)
		binding.object[i] = NONE;
	binding.object[0] = object;
	return eval_truth(x->craft, x->m, p->elsewhere, &binding) == TRI_TRUE;
}

/* ---- references ------------------------------------------------------------ */

static const char *
kind_name(const struct expansion *x, uint16_t kind)
{
	return craft_text(x->craft, x->craft->kind[kind].name);
}

/* A reference of the object's kind that bears a given name and leads to KIND. */
static uint32_t
reference_named(const struct expansion *x, uint16_t of_kind, text_at name, uint16_t kind)
{
	const struct craft *c = x->craft;
	const struct kind *k = &c->kind[of_kind];

	/* One text stands in the craft once. */
	for (uint32_t p = k->first_property; p < k->first_property + k->n_properties; p++)
		if (c->property[p].name == name)
			return c->property[p].type == TYPE_REF && c->property[p].ref_kind == kind ?
			    p : NONE;
	return NONE;
}

/* The nearest object around this one that P can lead to: of P's kind when P
 * bears the kind's name, else whatever the same reference leads to there. */
static uint32_t
from_around(const struct expansion *x, uint32_t object, uint32_t p)
{
	const struct property *prop = &x->craft->property[p];
	text_at name = prop->name;
	bool by_kind = name == x->craft->kind[prop->ref_kind].name;
	uint32_t up = x->m->objects[object].parent;

	for (; up != NONE; up = x->m->objects[up].parent) {
		uint16_t kind = x->m->objects[up].kind;
		uint32_t same;

		if (by_kind && kind == prop->ref_kind)
			return up;
		same = reference_named(x, kind, name, prop->ref_kind);
		if (same != NONE) {
			const value *v = model_slot(x->m, up, same);

			if (v->state == VALUE_KNOWN && v->ref >= 0 && v->ref != (int64_t)object)
				return (uint32_t)v->ref;
		}
	}
	return NONE;
}

void
expand_references(struct expansion *x, uint32_t object)
{
	const struct craft *c = x->craft;
	const struct kind *k = &c->kind[x->m->objects[object].kind];

	for (uint32_t i = 0; i < k->n_properties; i++) {
		uint32_t p = k->first_property + i, to, role = NONE;
		const struct property *prop = &c->property[p];
		const value *v = model_slot(x->m, object, p);

		/* a reference that was named stays, even one that leads nowhere */
		if (prop->type != TYPE_REF || v->pedigree != 0)
			continue;
		to = from_around(x, object, p);
		if (to == NONE && prop->ref_kind == x->role_kind && x->role_set != NONE) {
			role = word_find(c, x->role_set, sv(craft_text(c, prop->name)));
			if (role == NONE && prop->role)
				role = prop->role - 1u;
			if (role != NONE && meant_elsewhere(x, prop, (uint16_t)role, object))
				to = stand_in(x, (uint16_t)role);
			else if (role != NONE)
				to = expand_role(x, (uint16_t)role);
		}
		if (to != NONE && to != object)
			expand_set(x, object, p, value_ref(to),
			    pedigree_of(PEDIGREE_BROUGHT, p, x->m->objects[object].entry),
			    LEVEL_NONE);
	}
}

/* The bringing object's own reference that has the name of the brought one's
 * kind leads to the first one brought. */
static void
refer_back(struct expansion *x, uint32_t object, uint32_t child, uint32_t entry)
{
	uint16_t kind = x->m->objects[child].kind;
	uint32_t p = reference_named(x, x->m->objects[object].kind, x->craft->kind[kind].name, kind);

	if (p != NONE && model_slot(x->m, object, p)->pedigree == 0)
		expand_set(x, object, p, value_ref(child),
		    pedigree_of(PEDIGREE_BROUGHT, p, entry), LEVEL_NONE);
}

/* ---- values that are worked out -------------------------------------------- */

static bool
value_of_cell(const struct expansion *x, uint32_t property, struct cell cell, value *out)
{
	const struct property *p = &x->craft->property[property];

	*out = (value){ .state = VALUE_KNOWN };
	if (cell.state != VALUE_KNOWN)
		return false;
	if (cell.type == TYPE_TRUTH) {
		/* the built-in set of no and yes */
		if (p->type != TYPE_WORDS || (cell.truth != TRI_TRUE && cell.truth != TRI_FALSE))
			return false;
		*out = value_word(cell.truth == TRI_TRUE);
	} else if (cell.type == TYPE_WORDS) {
		out->set[0] = cell.set[0];
		out->set[1] = cell.set[1];
	} else if (cell.type == TYPE_REF) {
		*out = value_ref(cell.ref >= 0 ? (uint32_t)cell.ref : NONE);
	} else if (!range_meet(cell.r, p->domain, &out->r)) {
		return false;
	}
	return true;
}

static bool
value_same(const value *a, const value *b)
{
	return a->state == b->state && a->set[0] == b->set[0] && a->set[1] == b->set[1];
}

/* Works one out on what is there now; was it news? */
static bool
work_out(struct expansion *x, const struct late_value *l)
{
	struct binding binding;
	struct pedigree p = pedigree_of(PEDIGREE_BROUGHT, l->property, l->entry);
	value v, old = *model_slot(x->m, l->object, l->property);

	for (int k = 0; k < VARIABLES_MAX; k++)
		binding.object[k] = NONE;
	binding.object[0] = l->by;
	if (!value_of_cell(x, l->property,
	    eval(x->craft, x->m, l->program, &binding, NULL, NULL), &v) || value_same(&v, &old))
		return false;
	p.by = l->program;
	expand_set(x, l->object, l->property, v, p, LEVEL_NONE);
	return !value_same(&old, model_slot(x->m, l->object, l->property));
}

/* ---- items ----------------------------------------------------------------- */

bool
expand_refused(const struct expansion *x, uint16_t kind, uint32_t entry, uint16_t role)
{
	const struct project *project = x->project;

	for (uint32_t i = 0; i < project->n_things; i++) {
		const struct said_thing *t = &project->things[i];

		if (!t->denied || t->kind != kind)
			continue;
		if (t->entry == NONE ? t->role != NO16 && t->role == role
		    : entry != NONE && kb_entry_is(x->craft, entry, t->entry))
			return true;
	}
	return false;
}

static uint16_t
role_of(const struct expansion *x, const struct bring *b, const struct entry_record *rec)
{
	for (uint32_t i = 0; i < b->n_set; i++) {
		const struct bring_set *s = &b->set[i];

		if (s->property != x->role_property || s->how != BRING_VALUE)
			continue;
		for (uint16_t w = 0; w < ROLES_MAX; w++)
			if (rec->bring_values[s->typical].usual.set[w >> 6] >> (w & 63) & 1)
				return w;
	}
	return b->entry != NONE ? x->craft->entry_kind[x->craft->entry[b->entry].kind].role : NO16;
}

/* The object of a said thing that is what the item would make, or NONE.  What was
 * said is not drawn into a detail that is only assumed: nobody spoke of that one. */
static uint32_t
already_said(const struct expansion *x, const struct bring *b, uint16_t role, uint32_t by)
{
	if (b->kind != x->role_kind && x->m->objects[by].flags & OBJECT_ASSUMED)
		return NONE;
	for (uint32_t i = 0; i < x->project->n_things; i++) {
		const struct said_thing *t = &x->project->things[i];
		uint32_t o = x->object[i];

		if (t->denied || t->of != NONE || o == NONE || o == by || t->kind != b->kind)
			continue;
		if (b->kind == x->role_kind) {
			if (role != NO16 && x->filled[role] == o)
				return o;
		} else if (t->entry != NONE && b->entry != NONE &&
		    (kb_entry_is(x->craft, t->entry, b->entry) ||
		    kb_entry_is(x->craft, b->entry, t->entry))) {
			return o;
		}
	}
	return NONE;
}

/* Contents said of a thing take the place of those its entry has. */
static bool
said_otherwise(const struct expansion *x, uint32_t object, uint16_t kind)
{
	uint32_t thing = x->thing[object];

	if (thing == NONE)
		return false;
	for (uint32_t i = 0; i < x->project->n_things; i++)
		if (x->project->things[i].of == thing && x->project->things[i].kind == kind)
			return true;
	return false;
}

/* Does the root of the kind bring it too, so that every such thing has it? */
static bool
in_root(const struct expansion *x, uint16_t kind, const struct bring *b)
{
	uint32_t root = x->root[kind];
	const struct entry_record *rec = root == NONE ? NULL : kb_entry(x->kb, root);

	for (uint32_t i = 0; rec && i < rec->n_brings; i++) {
		const struct bring *r = &rec->brings[i];

		if (r == b)
			return true;
		if (r->when == NONE && r->kind == b->kind && r->entry != NONE && b->entry != NONE &&
		    kb_entry_is(x->craft, b->entry, r->entry))
			return true;
	}
	return false;
}

static unsigned
flags_of(const struct expansion *x, uint32_t by, const struct bring *b)
{
	const struct object *o = &x->m->objects[by];
	unsigned flags = o->flags & (OBJECT_SAID | OBJECT_ASSUMED);

	if (x->craft->kind[o->kind].singleton && x->craft->kind[b->kind].usual &&
	    !in_root(x, o->kind, b))
		flags = OBJECT_ASSUMED;
	if (b->main)
		flags |= OBJECT_MAIN;
	return flags;
}

static bool
leads(const struct expansion *x, uint32_t object, uint32_t property)
{
	const value *v = model_slot(x->m, object, property);

	return v->state == VALUE_KNOWN && v->ref >= 0;
}

/* Is another role named for the property, should this one not be there? */
static bool
role_beside(const struct bring *b, uint32_t set, bool behind)
{
	uint32_t other = behind ? set + 1 : set - 1;

	return (behind || set > 0) && other < b->n_set && b->set[other].how == BRING_ROLE &&
	    b->set[other].property == b->set[set].property;
}

static void
set_item(struct expansion *x, uint32_t by, uint32_t object, const struct bring *b,
    const struct entry_record *rec, uint32_t entry, bool fill_only)
{
	for (uint32_t i = 0; i < b->n_set; i++) {
		const struct bring_set *s = &b->set[i];
		struct pedigree p = pedigree_of(PEDIGREE_BROUGHT, s->property, entry);

		if (fill_only && expand_filled(x, object, s->property))
			continue;
		switch ((enum bring_how)s->how) {
		case BRING_VALUE: {
			const struct typical *t = &rec->bring_values[s->typical];

			p.source_low = t->basis_low;
			p.source_high = t->basis_high;
			p.seen = t->seen;
			expand_set(x, object, s->property, t->usual, p, LEVEL_NONE);
			break;
		}
		case BRING_PROGRAM:
			x->values = expand_grow(x->arena, x->values, &x->cap_values,
			    x->n_values + 1, sizeof *x->values);
			x->values[x->n_values] = (struct late_value){ .object = object,
			    .property = s->property, .program = s->program, .by = by,
			    .entry = entry };
			work_out(x, &x->values[x->n_values++]);
			break;
		case BRING_ROLE: {
			/* Nothing is assumed as long as another would do. */
			uint32_t to = !role_beside(b, i, true) ? NONE : s->role < ROLES_MAX ?
			    x->filled[s->role] : NONE;

			if (role_beside(b, i, false) && leads(x, object, s->property))
				break;
			if (!role_beside(b, i, true))
				to = expand_role(x, s->role);
			expand_set(x, object, s->property, value_ref(to), p, LEVEL_NONE);
			if (to == NONE) {
				x->roles = expand_grow(x->arena, x->roles, &x->cap_roles,
				    x->n_roles + 1, sizeof *x->roles);
				x->roles[x->n_roles++] = (struct late_role){ .object = object,
				    .property = s->property, .role = s->role, .entry = entry };
			}
			break;
		}
		case BRING_LOCAL:
			break;     /* when all items are there */
		}
	}
}

static const char *
item_name(const struct expansion *x, const struct bring *b)
{
	if (b->name && *b->name)
		return b->name;
	return b->entry != NONE ? craft_text(x->craft, x->craft->entry[b->entry].name)
	    : kind_name(x, b->kind);
}

/* How many there are is one, where the kind counts and nobody says. */
static void
count_one(struct expansion *x, uint32_t object, uint32_t entry)
{
	uint32_t p = property_find(x->craft, x->m->objects[object].kind, SV("count"));

	if (p == NONE || x->craft->property[p].type != TYPE_QUANTITY ||
	    x->craft->property[p].formula != NONE || expand_filled(x, object, p))
		return;
	expand_set(x, object, p, (value){ .r = { 1, 1 }, .state = VALUE_KNOWN },
	    pedigree_of(PEDIGREE_BROUGHT, p, entry), LEVEL_NONE);
}

static void
set_locals(struct expansion *x, const struct bring *b, uint32_t object, const uint32_t *local,
    uint32_t n_local, uint32_t entry, bool fill_only)
{
	for (uint32_t i = 0; i < b->n_set; i++) {
		const struct bring_set *s = &b->set[i];

		if (s->how != BRING_LOCAL || s->local >= n_local)
			continue;
		if (fill_only && expand_filled(x, object, s->property))
			continue;
		expand_set(x, object, s->property, value_ref(local[s->local]),
		    pedigree_of(PEDIGREE_BROUGHT, s->property, entry), LEVEL_NONE);
	}
	if (b->parent != NONE && b->parent < n_local && b->parent_property != NONE)
		expand_set(x, object, b->parent_property, value_ref(local[b->parent]),
		    pedigree_of(PEDIGREE_BROUGHT, b->parent_property, entry), LEVEL_NONE);
}

/* What the object's own entry brought in place of the item, or NONE. */
static uint32_t
already_brought(const struct expansion *x, const struct bring *b, uint32_t object)
{
	const struct model *m = x->m;

	for (uint32_t o = m->first_of_kind[b->kind]; o != NONE; o = m->objects[o].next) {
		uint32_t e = m->objects[o].entry;

		if (m->objects[o].parent != object)
			continue;
		if ((b->main && (m->objects[o].flags & OBJECT_MAIN)) ||
		    (b->entry != NONE && e != NONE && kb_entry_is(x->craft, e, b->entry)) ||
		    (b->entry == NONE && sv_eq(sv(object_name(m, o)), sv(item_name(x, b)))))
			return o;
	}
	return NONE;
}

/* Makes the object of one item, or finds the one said; NONE: left out. */
static uint32_t
item_object(struct expansion *x, uint32_t object, uint32_t entry, const struct entry_record *rec,
    const struct bring *b, uint32_t parent, bool *said)
{
	struct binding binding;
	uint16_t role = b->kind == x->role_kind ? role_of(x, b, rec) : NO16;
	uint32_t o;

	for (int i = 0; i < VARIABLES_MAX; i++)
		binding.object[i] = NONE;
	binding.object[0] = object;
	*said = false;
	if (b->when != NONE && eval_truth(x->craft, x->m, b->when, &binding) != TRI_TRUE)
		return NONE;
	if (expand_refused(x, b->kind, b->entry, role) || said_otherwise(x, object, b->kind))
		return NONE;
	o = already_said(x, b, role, object);
	if (o == NONE && entry != x->m->objects[object].entry)
		o = already_brought(x, b, object);
	if (o != NONE) {
		*said = true;
		x->m->objects[o].flags |= b->main ? OBJECT_MAIN : 0;
		set_item(x, object, o, b, rec, entry, true);
		return o;
	}
	o = expand_object(x, b->kind, b->entry, parent, flags_of(x, object, b), item_name(x, b));
	if (o == NONE)
		return NONE;
	if (b->entry != NONE) {
		expand_word_of_entry(x, o, b->entry);
		expand_typicals(x, o, b->entry);
	}
	set_item(x, object, o, b, rec, entry, false);
	if (role != NO16)
		expand_role_taken(x, o, role,
		    pedigree_of(PEDIGREE_BROUGHT, x->role_property, entry));
	count_one(x, o, entry);
	return o;
}

/* ---- what comes before ----------------------------------------------------- */

/* Item UP goes before item OF. Where UP was left out, whatever it waited for
 * does: a list without a step keeps the order of the others. */
static void
goes_before(struct expansion *x, const struct entry_record *rec, uint32_t entry,
    const uint32_t *local, bool *seen, uint32_t up, uint32_t of)
{
	const struct bring *b = &rec->brings[up];
	struct model *m = x->m;

	if (seen[up])                          /* each is met once: the depth is that of the list */
		return;
	seen[up] = true;
	if (local[up] == NONE) {
		for (uint32_t i = 0; i < b->n_after; i++)
			goes_before(x, rec, entry, local, seen, b->after[i], of);
		return;
	}
	if (local[up] == local[of])
		return;
	m->pairs = expand_grow(x->arena, m->pairs, &x->cap_pairs, m->n_pairs + 1, sizeof *m->pairs);
	m->pairs[m->n_pairs++] = (struct order_pair){local[up], local[of], entry};
}

static void
set_order(struct expansion *x, const struct entry_record *rec, uint32_t entry,
    const uint32_t *local)
{
	bool *seen = arena_alloc(x->arena, rec->n_brings + 1);

	for (uint32_t i = 0; i < rec->n_brings; i++) {
		const struct bring *b = &rec->brings[i];

		if (local[i] == NONE || b->n_after == 0)
			continue;
		memset(seen, 0, rec->n_brings);
		for (uint32_t k = 0; k < b->n_after; k++)
			goes_before(x, rec, entry, local, seen, b->after[k], i);
	}
}

void
expand_brings(struct expansion *x, uint32_t object, uint32_t entry, unsigned depth)
{
	const struct entry_record *rec = entry == NONE ? NULL : kb_entry(x->kb, entry);
	uint32_t n = rec ? rec->n_brings : 0, *local;
	bool *said;

	if (n == 0 || depth >= BRING_DEPTH || x->full)
		return;
	local = arena_alloc(x->arena, n * sizeof *local);
	said = arena_alloc(x->arena, n * sizeof *said);
	for (uint32_t i = 0; i < n; i++) {
		const struct bring *b = &rec->brings[i];
		uint32_t parent = object;

		local[i] = NONE;
		if (b->parent != NONE) {
			/* children stand behind their parent in the list */
			parent = b->parent < i ? local[b->parent] : NONE;
			if (parent == NONE)
				continue;
		}
		local[i] = item_object(x, object, entry, rec, b, parent, &said[i]);
		if (x->full)
			return;
	}
	for (uint32_t i = 0; i < n; i++)
		if (local[i] != NONE)
			set_locals(x, &rec->brings[i], local[i], local, n, entry, said[i]);
	set_order(x, rec, entry, local);
	for (uint32_t i = 0; i < n; i++)
		if (local[i] != NONE && rec->brings[i].parent == NONE)
			refer_back(x, object, local[i], entry);
	for (uint32_t i = 0; i < n; i++) {
		if (local[i] == NONE || said[i])
			continue;
		expand_references(x, local[i]);
		expand_brings(x, local[i], rec->brings[i].entry, depth + 1);
	}
}

/* ---- late ------------------------------------------------------------------ */

void
expand_late(struct expansion *x)
{
	for (uint32_t i = 0; i < x->n_roles; i++) {
		const struct late_role *r = &x->roles[i];
		uint32_t to = leads(x, r->object, r->property) ? NONE : expand_role(x, r->role);

		if (to != NONE)
			expand_set(x, r->object, r->property, value_ref(to),
			    pedigree_of(PEDIGREE_BROUGHT, r->property, r->entry), LEVEL_NONE);
	}
	for (int pass = 0; pass < PASSES_MAX; pass++) {
		bool changed = false;

		model_derive(x->m, NONE);
		for (uint32_t i = 0; i < x->n_values; i++)
			changed = work_out(x, &x->values[i]) || changed;
		if (!changed)
			return;
	}
	model_derive(x->m, NONE);
}
