/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Is a model well made?  Every index in bounds, every list closed, every value
 * of its property's type and no wider than what can be.
 */
#include "project/project.h"

static const char *
value_fault(const struct model *m, const struct property *p, const value *v)
{
	if (v->pedigree >= m->n_pedigrees)
		return "a value without pedigree";
	if (v->state > VALUE_KNOWN)
		return "a value of no state";
	switch ((enum value_type)p->type) {
	case TYPE_QUANTITY:
	case TYPE_BAND:
		if (v->state == VALUE_KNOWN && !(v->r.lo <= v->r.hi))
			return "a range whose low bound is above its high";
		break;
	case TYPE_WORDS:
		if (v->state == VALUE_KNOWN && !v->set[0] && !v->set[1])
			return "a word that is none of its set";
		break;
	case TYPE_REF:
		if (v->state != VALUE_KNOWN || v->ref < 0)
			break;
		if (v->ref >= (int64_t)m->n_objects)
			return "a reference out of the model";
		if (m->objects[v->ref].kind != p->ref_kind)
			return "a reference to the wrong kind of object";
		break;
	case TYPE_TRUTH:
	case TYPE__COUNT:
		return "a property of no type";
	}
	return NULL;
}

bool
model_check(const struct model *m, const char **culprit)
{
	const struct craft *c = m->craft;
	uint32_t listed = 0, shown = 0;

	*culprit = NULL;
	for (uint32_t o = 0; o < m->n_objects; o++) {
		const struct object *object = &m->objects[o];
		const struct kind *k;

		*culprit = "an object of no kind";
		if (object->kind >= c->n_kind)
			return false;
		k = &c->kind[object->kind];
		*culprit = "an object whose slots are not there";
		if (object->slot > m->n_slots || k->n_properties > m->n_slots - object->slot)
			return false;
		*culprit = "an object brought by itself or by none";
		if (object->parent != NONE && (object->parent >= m->n_objects ||
		    object->parent == o))
			return false;
		*culprit = "an object of an entry that is not there";
		if (object->entry != NONE && object->entry >= c->n_entry)
			return false;
		*culprit = "an object both said and denied";
		if ((object->flags & OBJECT_DENIED) && (object->flags & OBJECT_SAID))
			return false;
		shown += !(object->flags & OBJECT_DENIED);
		for (uint32_t i = 0; i < k->n_properties; i++) {
			*culprit = value_fault(m, &c->property[k->first_property + i],
			    &m->slots[object->slot + i]);
			if (*culprit)
				return false;
		}
	}
	for (uint32_t kind = 0; kind < c->n_kind; kind++)
		for (uint32_t o = m->first_of_kind[kind]; o != NONE; o = m->objects[o].next) {
			*culprit = "a list of objects that is broken";
			if (o >= m->n_objects || m->objects[o].kind != kind ||
			    (m->objects[o].flags & OBJECT_DENIED) || ++listed > m->n_objects)
				return false;
		}
	for (uint32_t i = 0; i < m->n_pairs; i++) {
		*culprit = "an order of objects that are not there";
		if (m->pairs[i].first >= m->n_objects || m->pairs[i].then >= m->n_objects ||
		    m->pairs[i].first == m->pairs[i].then)
			return false;
	}
	*culprit = "an object that is in no list";
	if (listed != shown)
		return false;
	*culprit = NULL;
	return true;
}
