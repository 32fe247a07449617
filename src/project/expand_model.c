/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A model while it grows: its objects, their slots, and what fills them.
 */
#include "project/expand_impl.h"

/* ---- values ---------------------------------------------------------------- */

struct pedigree
pedigree_of(enum pedigree_kind kind, uint32_t property, uint32_t entry)
{
	return (struct pedigree){ .kind = (uint8_t)kind, .property = (uint16_t)property,
	    .entry = entry, .source_low = NONE, .source_high = NONE, .by = NONE };
}

value
value_word(uint32_t word)
{
	value v = { .state = VALUE_KNOWN };

	v.set[0] = v.set[1] = 0;
	if (word < 128)
		v.set[word >> 6] = (uint64_t)1 << (word & 63);
	return v;
}

value
value_ref(uint32_t object)
{
	value v = { .state = object == NONE ? VALUE_ABSENT : VALUE_KNOWN };

	v.set[1] = 0;
	v.ref = object == NONE ? -1 : (int64_t)object;
	return v;
}

/* Two sayings of one thing: the truth is one of them. */
static value
value_both(const struct property *p, value a, value b)
{
	if (a.state != VALUE_KNOWN)
		return b;
	if (b.state != VALUE_KNOWN)
		return a;
	if (p->type == TYPE_QUANTITY || p->type == TYPE_BAND) {
		a.r = range_hull(a.r, b.r);
	} else if (p->type == TYPE_WORDS) {
		a.set[0] |= b.set[0];
		a.set[1] |= b.set[1];
	}
	return a;
}

void
expand_set(struct expansion *x, uint32_t object, uint32_t property, value v,
    struct pedigree p, enum level level)
{
	value *slot = model_slot(x->m, object, property);
	size_t at = (size_t)(slot - x->m->slots);

	if (x->level[at] > level)
		return;
	if (x->level[at] == level && level != LEVEL_NONE && slot->pedigree) {
		bool measured = x->m->pedigrees[slot->pedigree].measured;

		if (measured && !p.measured)
			return;
		if (measured == p.measured)
			v = value_both(&x->craft->property[property], *slot, v);
	}
	if (v.state == VALUE_UNKNOWN)
		v = value_unknown(x->craft, property);
	v.pedigree = pedigree_add(x->m, p);
	*slot = v;
	x->level[at] = (uint8_t)level;
}

bool
expand_filled(const struct expansion *x, uint32_t object, uint32_t property)
{
	uint8_t kind = x->m->pedigrees[model_slot(x->m, object, property)->pedigree].kind;

	return kind != PEDIGREE_NONE && kind != PEDIGREE_DERIVED;
}

/* ---- objects --------------------------------------------------------------- */

void *
expand_grow(struct arena *a, void *p, uint32_t *cap, uint32_t want, size_t elem)
{
	uint32_t n = *cap ? *cap : 64;
	void *q;

	if (want <= *cap)
		return p;
	while (n < want)
		n *= 2;
	q = arena_alloc(a, n * elem);
	if (*cap)
		memcpy(q, p, *cap * elem);
	*cap = n;
	return q;
}

uint32_t
expand_name(struct expansion *x, const char *name)
{
	uint32_t at = x->n_names, n = (uint32_t)strlen(name) + 1;

	x->names = expand_grow(x->arena, x->names, &x->cap_names, at + n, 1);
	memcpy(x->names + at, name, n);
	x->n_names = at + n;
	x->m->names = x->names;
	return at;
}

uint32_t
expand_object(struct expansion *x, uint16_t kind, uint32_t entry, uint32_t parent,
    unsigned flags, const char *name)
{
	struct model *m = x->m;
	const struct kind *k = &x->craft->kind[kind];
	uint32_t o = m->n_objects, cap = x->cap_objects, cap_slots = x->cap_slots;
	struct object *object;

	if (o >= OBJECTS_MAX) {
		if (!x->full && x->diags)
			diag(x->diags, (struct place){ 0 }, D_MODEL_TOO_LARGE, "4000");
		x->full = true;
		return NONE;
	}
	m->objects = expand_grow(x->arena, m->objects, &x->cap_objects, o + 1,
	    sizeof *m->objects);
	x->thing = expand_grow(x->arena, x->thing, &cap, o + 1, sizeof *x->thing);
	m->slots = expand_grow(x->arena, m->slots, &x->cap_slots, m->n_slots + k->n_properties,
	    sizeof *m->slots);
	x->level = expand_grow(x->arena, x->level, &cap_slots, m->n_slots + k->n_properties, 1);
	object = &m->objects[o];
	*object = (struct object){ .kind = kind, .flags = (uint16_t)flags, .slot = m->n_slots,
	    .entry = entry, .parent = parent, .next = NONE };
	object->name = expand_name(x, name);
	x->thing[o] = NONE;
	for (uint32_t i = 0; i < k->n_properties; i++)
		m->slots[m->n_slots + i] = value_unknown(x->craft, k->first_property + i);
	m->n_slots += k->n_properties;
	m->n_objects++;
	if (flags & OBJECT_DENIED)
		return o;
	if (m->first_of_kind[kind] == NONE)
		m->first_of_kind[kind] = o;
	else
		m->objects[x->last_of_kind[kind]].next = o;
	x->last_of_kind[kind] = o;
	return o;
}

void
expand_typicals(struct expansion *x, uint32_t object, uint32_t entry)
{
	const struct entry_record *rec = entry == NONE ? NULL : kb_entry(x->kb, entry);

	for (uint32_t i = 0; rec && i < rec->n_typicals; i++) {
		const struct typical *t = &rec->typicals[i];
		const struct property *prop = &x->craft->property[t->property];
		struct pedigree p = pedigree_of(PEDIGREE_TYPICAL, t->property, entry);

		if (prop->kind != x->m->objects[object].kind || prop->type == TYPE_REF)
			continue;
		p.source_low = t->basis_low;
		p.source_high = t->basis_high;
		p.seen = t->seen;
		expand_set(x, object, t->property, t->usual, p, LEVEL_NONE);
	}
}

void
expand_word_of_entry(struct expansion *x, uint32_t object, uint32_t entry)
{
	const struct craft *c = x->craft;
	const struct kind *k = &c->kind[x->m->objects[object].kind];

	for (uint32_t i = 0; i < k->n_properties; i++) {
		uint32_t p = k->first_property + i;
		const struct word_set *set;

		if (c->property[p].type != TYPE_WORDS)
			continue;
		set = &c->word_set[c->property[p].word_set];
		if (set->entries_of != c->entry[entry].kind)
			continue;
		for (uint32_t w = 0; w < set->n; w++)
			if (c->word[set->first + w].entry == entry) {
				struct pedigree q = pedigree_of(PEDIGREE_TYPICAL, p, entry);
				uint32_t t = x->thing[object];

				q.source_low = q.source_high = 0;
				if (t != NONE) {
					q.kind = PEDIGREE_SAID;
					q.place = x->project->things[t].place;
				}
				expand_set(x, object, p, value_word(w), q, LEVEL_NONE);
			}
	}
}
