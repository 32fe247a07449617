/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Is a project whole?  Names the part that is not.
 */
#include "project/project_impl.h"

static bool
thing_whole(const struct terms *t, const struct project *p, uint32_t i, const char **culprit)
{
	const struct said_thing *s = &p->things[i];

	*culprit = "a thing's kind";
	if (s->kind >= t->c->n_kind)
		return false;
	*culprit = "a thing's entry";
	if (s->entry != NONE && (s->entry >= t->c->n_entry ||
	    entry_object_kind(t, s->entry) != s->kind))
		return false;
	*culprit = "a thing's role";
	if (s->role != NO16 && (t->role_set == NONE || s->role >= t->c->word_set[t->role_set].n))
		return false;
	*culprit = "a thing's count";
	if (!(s->count >= 1))
		return false;
	*culprit = "what a thing is part of";
	return s->of == NONE || (s->of < p->n_things && s->of != i && p->things[s->of].of == NONE);
}

static bool
value_whole(const struct terms *t, const struct project *p, uint32_t i, const char **culprit)
{
	const struct said_value *v = &p->values[i];
	const struct property *q;

	*culprit = "a value's property";
	if (v->property >= t->c->n_property)
		return false;
	q = &t->c->property[v->property];
	*culprit = "a value's thing";
	if (v->thing != NONE && (v->thing >= p->n_things || p->things[v->thing].kind != q->kind))
		return false;
	*culprit = "a value's place";
	if ((v->scope_thing != NONE && v->scope_thing >= p->n_things) ||
	    (v->scope_entry != NONE && v->scope_entry >= t->c->n_entry))
		return false;
	*culprit = "a value's range";
	if (v->value.state == VALUE_KNOWN && property_is_quantity(t, v->property))
		return v->value.r.lo <= v->value.r.hi;
	*culprit = "a value's words";
	return v->value.state != VALUE_KNOWN || q->type != TYPE_WORDS || !mask_empty(v->value.set);
}

bool
project_check(const struct knowledge *kb, const struct project *p, const char **culprit)
{
	struct terms t;
	const char *what = "";
	bool whole = true;

	terms_init(&t, (struct knowledge *)(uintptr_t)kb);
	for (uint32_t i = 0; i < p->n_things && whole; i++)
		whole = thing_whole(&t, p, i, &what);
	for (uint32_t i = 0; i < p->n_values && whole; i++)
		whole = value_whole(&t, p, i, &what);
	if (whole && p->asked != NONE && p->asked >= t.c->n_setting) {
		what = "the setting asked for";
		whole = false;
	}
	if (culprit != NULL)
		*culprit = whole ? "" : what;
	return whole;
}
