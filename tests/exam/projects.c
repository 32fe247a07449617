/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Whole descriptions: how many of the details they name are in the model.
 */
#include "exam.h"

#include <stdlib.h>
#include <string.h>

enum { NAMED_MOST = 64 };

static bool
in_model(const struct exam *x, const struct model *m, uint32_t entry)
{
	for (uint32_t i = 0; i < m->n_objects; i++) {
		const struct object *o = &m->objects[i];

		if (!(o->flags & OBJECT_DENIED) && o->entry != NONE && kb_entry_is(x->c, o->entry, entry))
			return true;
	}
	return false;
}

/* Is a value of some object in the model the entry, as one of its words? */
static bool
is_value(const struct exam *x, const struct model *m, uint32_t entry)
{
	const struct craft *c = x->c;

	for (uint32_t i = 0; i < m->n_objects; i++) {
		const struct kind *k = &c->kind[m->objects[i].kind];

		for (uint32_t p = k->first_property; p < k->first_property + k->n_properties; p++) {
			const value *v = model_slot(m, i, p);
			struct answer a[2];

			if (c->property[p].type == TYPE_WORDS && v->state == VALUE_KNOWN &&
			    answers_of(x, p, v, a, 2) == 1 && a[0].is == ANSWER_ENTRY &&
			    kb_entry_is(c, a[0].entry, entry) &&
			    m->pedigrees[v->pedigree].kind == PEDIGREE_SAID)
				return true;
		}
	}
	return false;
}

static bool
thing_there(const struct exam *x, const struct model *m, const struct said_thing *t)
{
	for (uint32_t k = 0; k < m->n_objects; k++) {
		const struct object *o = &m->objects[k];
		uint32_t role = property_find(x->c, o->kind, SV("role"));
		const value *v;

		if (o->kind != t->kind || (o->flags & OBJECT_DENIED) ||
		    (t->entry != NONE && (o->entry == NONE || !kb_entry_is(x->c, o->entry, t->entry))))
			continue;
		if (t->role == NO16 || role == NONE)
			return true;
		v = model_slot(m, k, role);
		if (v->state == VALUE_KNOWN && (v->set[t->role >> 6] >> (t->role & 63) & 1))
			return true;
	}
	return false;
}

/* What a phrase denies, the description must have denied too. */
static bool
denied_there(const struct exam *x, const struct project *p, const struct said_thing *t)
{
	for (uint32_t i = 0; i < p->n_things; i++) {
		const struct said_thing *d = &p->things[i];

		if (d->denied && d->kind == t->kind && d->role == t->role && (d->entry == t->entry ||
		    (d->entry != NONE && t->entry != NONE && kb_entry_is(x->c, t->entry, d->entry))))
			return true;
	}
	return false;
}

/* A phrase that names no entry but says something: what it says, read alone,
 * must be so in the model. */
static bool
says_the_same(struct exam *x, const struct judged *j, const char *phrase)
{
	struct diags quiet;
	struct project *p;
	bool any = false;

	diags_init(&quiet, x->row);
	p = project_from_words(x->row, x->kb, source_new(x->row, "<words>", sv(phrase)), &quiet);
	if (p == NULL)
		return false;
	for (uint32_t i = 0; i < p->n_uses; i++)
		if (p->uses[i].use == USED_NOT)
			return false;      /* half understood is not understood */
	for (uint32_t i = 0; i < p->n_things; i++) {
		any = true;
		if (!(p->things[i].denied ? denied_there(x, j->project, &p->things[i]) :
		    thing_there(x, j->model, &p->things[i])))
			return false;
	}
	for (uint32_t i = 0; i < p->n_values; i++) {
		const struct said_value *said = &p->values[i];
		bool there = false;

		for (uint32_t k = 0; k < j->model->n_objects && !there; k++) {
			const struct model *m = j->model;
			const value *v;

			if (m->objects[k].kind != x->c->property[said->property].kind)
				continue;
			v = model_slot(m, k, said->property);
			there = v->state == said->value.state && v->set[0] == said->value.set[0] &&
			    v->set[1] == said->value.set[1];
		}
		any = true;
		if (!there)
			return false;
	}
	return any;
}

static bool
feature_understood(struct exam *x, const struct judged *j, const char *phrase)
{
	uint32_t named[NAMED_MOST], n = entries_named(x, phrase, named, NAMED_MOST);

	for (uint32_t i = 0; i < n; i++)
		if (in_model(x, j->model, named[i]) || is_value(x, j->model, named[i]))
			return true;
	return says_the_same(x, j, phrase);
}

void
part_projects(struct exam *x)
{
	struct tally t = {.part = "projects/features"};
	struct sheet s;

	if (!exam_sheet(x, "projects.csv", &s))
		return;
	for (uint32_t r = 0; r < s.n_rows; r++) {
		struct judged j;
		struct list l;
		struct buf missed = {0};

		arena_reset(x->row);
		l = list_split(x->row, sheet_cell(&s, r, "features"), '|');
		t.of += l.n;
		if (!judge_words(x, sheet_cell(&s, r, "description_free_text"), &j)) {
			fell_short(x, t.part, sheet_cell(&s, r, "id"), "could not be read");
			continue;
		}
		for (uint32_t i = 0; i < l.n; i++) {
			uint32_t named[1];

			if (feature_understood(x, &j, l.item[i])) {
				t.right++;
				continue;
			}
			buf_print(&missed, "%s%s%s", missed.n > 0 ? ", " : "", l.item[i],
			    entries_named(x, l.item[i], named, 1) == 0 ? " (no name here)" : "");
		}
		if (missed.n > 0)
			fell_short(x, t.part, sheet_cell(&s, r, "id"), "not understood: %s", missed.p);
		buf_free(&missed);
	}
	tally_print(&t);
	part_order(x);
}
