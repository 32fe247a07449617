/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Models: flat objects, their slots, and the properties worked out from others.
 */
#include "language/language_impl.h"

struct model *
model_copy(struct arena *a, const struct model *m)
{
	struct model *copy = arena_alloc(a, sizeof *copy);

	*copy = *m;
	copy->slots = arena_alloc(a, (m->n_slots + 1) * sizeof *copy->slots);
	memcpy(copy->slots, m->slots, m->n_slots * sizeof *copy->slots);
	return copy;
}

value *
model_slot(const struct model *m, uint32_t object, uint32_t property)
{
	return &m->slots[m->objects[object].slot + m->craft->property[property].slot];
}

const char *
object_name(const struct model *m, uint32_t object)
{
	return object < m->n_objects ? m->names + m->objects[object].name : "";
}

uint32_t
pedigree_add(struct model *m, struct pedigree p)
{
	if (m->n_pedigrees == m->cap_pedigrees) {
		uint32_t cap = m->cap_pedigrees > 0 ? m->cap_pedigrees * 2 : 64;
		struct pedigree *grown = arena_alloc(m->arena, cap * sizeof *grown);

		if (m->n_pedigrees > 0)
			memcpy(grown, m->pedigrees, m->n_pedigrees * sizeof *grown);
		m->pedigrees = grown;
		m->cap_pedigrees = cap;
	}
	m->pedigrees[m->n_pedigrees] = p;
	return m->n_pedigrees++;
}

value
value_unknown(const struct craft *c, uint32_t property)
{
	const struct property *q = &c->property[property];
	value v;

	memset(&v, 0, sizeof v);
	v.state = VALUE_UNKNOWN;
	switch ((enum value_type)q->type) {
	case TYPE_QUANTITY:
	case TYPE_BAND:
		v.r = q->domain;
		break;
	case TYPE_WORDS:
		mask_all(v.set, c->word_set[q->word_set].n);
		break;
	case TYPE_REF:
		v.ref = -1;
		v.state = VALUE_ABSENT;
		break;
	case TYPE_TRUTH:
	case TYPE__COUNT:
		break;
	}
	return v;
}

/* What a formula gave, kept within what can be at all. */
static value
derived(const struct craft *c, uint32_t property, struct cell got)
{
	const struct property *q = &c->property[property];
	value v = value_unknown(c, property);

	if (got.state == VALUE_ABSENT) {
		v.state = VALUE_ABSENT;
		if (q->type == TYPE_REF)
			v.ref = -1;
		return v;
	}
	if (q->type == TYPE_WORDS) {
		if (got.type == TYPE_TRUTH) {      /* no is word 0, yes word 1 */
			if (got.truth == TRI_ABSENT) {
				v.state = VALUE_ABSENT;
				return v;
			}
			if (got.truth != TRI_UNKNOWN) {
				v.set[0] = got.truth == TRI_TRUE ? 2 : 1;
				v.state = VALUE_KNOWN;
			}
			return v;
		}
		v.set[0] = got.set[0];
		v.set[1] = got.set[1];
		v.state = got.state;
		return v;
	}
	if (q->type == TYPE_REF) {
		v.ref = got.ref;
		v.state = VALUE_KNOWN;
		return v;
	}
	if (range_meet(got.r, q->domain, &v.r))
		v.state = got.state;
	else
		v.r = q->domain;
	return v;
}

/* Is this slot ours to work out? Said, typical and advised values are kept. */
static bool
to_derive(const struct model *m, const value *v)
{
	enum pedigree_kind k = (enum pedigree_kind)m->pedigrees[v->pedigree].kind;

	return k == PEDIGREE_NONE || k == PEDIGREE_DERIVED;
}

static uint32_t
pedigree_of_formula(struct model *m, uint32_t property)
{
	const struct property *q = &m->craft->property[property];

	for (uint32_t i = 0; i < m->n_pedigrees; i++)
		if (m->pedigrees[i].kind == PEDIGREE_DERIVED && m->pedigrees[i].property == property)
			return i;
	return pedigree_add(m, (struct pedigree){.kind = PEDIGREE_DERIVED, .property = (uint16_t)property,
	    .entry = NONE, .source_low = q->from_default, .source_high = q->from_default,
	        .by = q->formula});
}

static void
derive_property(struct model *m, uint32_t property)
{
	const struct craft *c = m->craft;
	const struct property *q = &c->property[property];
	uint32_t pedigree = NONE;

	for (uint32_t o = m->first_of_kind[q->kind]; o != NONE; o = m->objects[o].next) {
		struct binding b = {{o}};
		value *slot = &m->slots[m->objects[o].slot + q->slot];

		if (!to_derive(m, slot))
			continue;
		if (pedigree == NONE)
			pedigree = slot->pedigree != 0 ? slot->pedigree : pedigree_of_formula(m, property);
		*slot = derived(c, property, eval(c, m, q->formula, &b, NULL, NULL));
		slot->pedigree = pedigree;
	}
}

void
derive_slot(struct model *m, uint32_t object, uint32_t property)
{
	const struct craft *c = m->craft;
	struct binding b = {{object}};
	value *slot = model_slot(m, object, property);
	uint32_t pedigree = slot->pedigree;

	*slot = derived(c, property, eval(c, m, c->property[property].formula, &b, NULL, NULL));
	slot->pedigree = pedigree;
}

void
model_derive(struct model *m, uint32_t changed)
{
	const struct craft *c = m->craft;

	for (uint32_t i = 0; i < c->n_order; i++)
		if ((changed == NONE || property_depends(c, c->order[i], changed)) &&
		    (m->late || !(c->property[c->order[i]].flags & PROPERTY_LATE)))
			derive_property(m, c->order[i]);
}

void
model_derive_late(struct model *m)
{
	const struct craft *c = m->craft;

	m->late = true;
	for (uint32_t i = 0; i < c->n_order; i++)
		if (c->property[c->order[i]].flags & PROPERTY_LATE)
			derive_property(m, c->order[i]);
}

/* ---- the dump ------------------------------------------------------------------ */

static void
print_words(struct buf *b, const struct craft *c, const struct property *q, const uint64_t set[2])
{
	const struct word_set *s = &c->word_set[q->word_set];
	bool first = true;

	for (uint32_t i = 0; i < s->n; i++)
		if (mask_has(set, i)) {
			buf_str(b, first ? "" : " | ");
			buf_str(b, craft_text(c, c->word[s->first + i].name));
			first = false;
		}
}

static void
print_value(struct buf *b, const struct model *m, uint32_t property, const value *v)
{
	const struct craft *c = m->craft;
	const struct property *q = &c->property[property];

	if (v->state == VALUE_UNKNOWN) {
		buf_str(b, "?");
		return;
	}
	switch ((enum value_type)q->type) {
	case TYPE_QUANTITY:
	case TYPE_BAND:
		range_print(b, c->units, q->n_units > 0 ? c->unit_list[q->first_unit] : -1, v->r, q->step);
		break;
	case TYPE_WORDS:
		print_words(b, c, q, v->set);
		break;
	case TYPE_REF:
		buf_print(b, "-> #%d %s", (int)v->ref, object_name(m, (uint32_t)v->ref));
		break;
	case TYPE_TRUTH:
	case TYPE__COUNT:
		break;
	}
}

void
model_print(struct buf *b, const struct model *m)
{
	static const char *const kinds[] = {
		[PEDIGREE_NONE] = "", [PEDIGREE_SAID] = "said", [PEDIGREE_TYPICAL] = "typical",
		[PEDIGREE_DERIVED] = "derived", [PEDIGREE_ADVISED] = "advised",
		[PEDIGREE_ASSUMED] = "assumed", [PEDIGREE_BROUGHT] = "brought",
	};
	const struct craft *c = m->craft;

	for (uint32_t o = 0; o < m->n_objects; o++) {
		const struct object *x = &m->objects[o];
		const struct kind *k = &c->kind[x->kind];

		buf_print(b, "#%u %s \"", o, craft_text(c, k->name));
		text_safe(b, sv(object_name(m, o)));
		buf_str(b, "\"");
		if (x->flags & OBJECT_SAID)
			buf_str(b, " said");
		if (x->flags & OBJECT_ASSUMED)
			buf_str(b, " assumed");
		if (x->flags & OBJECT_DENIED)
			buf_str(b, " denied");
		if (x->flags & OBJECT_MAIN)
			buf_str(b, " main");
		if (x->parent != NONE)
			buf_print(b, " of #%u", x->parent);
		buf_char(b, '\n');
		for (uint32_t i = 0; i < k->n_properties; i++) {
			const value *v = model_slot(m, o, k->first_property + i);

			if (v->state == VALUE_ABSENT)
				continue;
			buf_print(b, "    %-22s ", craft_text(c, c->property[k->first_property + i].name));
			print_value(b, m, k->first_property + i, v);
			if (m->pedigrees[v->pedigree].kind != PEDIGREE_NONE)
				buf_print(b, "  (%s)", kinds[m->pedigrees[v->pedigree].kind]);
			buf_char(b, '\n');
		}
		for (uint32_t i = 0; i < m->n_pairs; i++)
			if (m->pairs[i].then == o)
				buf_print(b, "    after                  -> #%u %s\n", m->pairs[i].first,
				    object_name(m, m->pairs[i].first));
	}
}
