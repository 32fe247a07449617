/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What was understood of a project: every thing and value that was said, and
 * every word that was of no use.
 */
#include "command/command_impl.h"

#include <string.h>

/* What a class word came to: the value of the thing it was said of. */
static const value *
model_has(const struct checked *c, const struct said_value *v)
{
	const struct model *m = c->model;
	const struct said_thing *t = v->thing != NONE ? &c->project->things[v->thing] : NULL;

	for (uint32_t o = 0; t != NULL && o < m->n_objects; o++)
		if (m->objects[o].kind == t->kind && m->objects[o].entry == t->entry &&
		    (m->objects[o].flags & OBJECT_SAID) != 0 &&
		    m->craft->property[v->property].kind == t->kind)
			return model_slot(m, o, v->property);
	return NULL;
}

static const char *
said_value_text(struct run *r, const struct checked *c, const struct said_value *v)
{
	const struct property *p = &r->craft->property[v->property];
	const char *t, *label = craft_text(r->craft, p->label);
	struct buf b = {0};

	if (v->value.state == VALUE_UNKNOWN) {
		t = SAY(r, "value.unknown");
	} else if (v->typical_part && model_has(c, v) != NULL) {
		return SAY(r, "understood.part", "property", label, "words", place_text(r, v->place),
		    "value", value_text(r, c->model, v->property, model_has(c, v)));
	} else if (p->type == TYPE_QUANTITY && v->unit >= 0) {
		range_print(&b, r->craft->units, v->unit, v->value.r, 0);
		t = arena_text(r->arena, b.p, b.n);
		buf_free(&b);
	} else {
		t = value_text(r, c->model, v->property, &v->value);
	}
	if (v->scope_entry != NONE)
		return SAY(r, "understood.value-at", "property", label, "value", t, "place",
		    craft_text(r->craft, r->craft->entry[v->scope_entry].name));
	return SAY(r, "understood.value", "property", label, "value", t);
}

static const char *
thing_label(struct run *r, const struct said_thing *t)
{
	uint32_t roles = set_find(r->craft, SV("role"));

	if (t->role != NO16 && roles != NONE && t->role < r->craft->word_set[roles].n)
		return craft_text(r->craft,
		    r->craft->word[r->craft->word_set[roles].first + t->role].name);
	return craft_text(r->craft, r->craft->kind[t->kind].name);
}

static void
thing_line(struct run *r, const struct checked *c, uint32_t i)
{
	const struct project *p = c->project;
	const struct said_thing *t = &p->things[i];
	const char *name = t->entry != NONE ? entry_mark(r, t->entry,
	    craft_text(r->craft, r->craft->entry[t->entry].name)) : t->denied ? thing_label(r, t) : "";
	struct buf b = {0};

	if (t->denied)
		buf_str(&b, SAY(r, "understood.denied", "what", name));
	else if (t->count > 1)
		buf_str(&b, SAY(r, "understood.count", "count", number_text(r, t->count, 6),
		    "what", name));
	else
		buf_str(&b, name);
	for (uint32_t k = 0; k < p->n_values; k++) {
		if (p->values[k].thing != i && p->values[k].scope_thing != i)
			continue;
		if (b.n > 0)
			buf_str(&b, "; ");
		buf_str(&b, said_value_text(r, c, &p->values[k]));
	}
	if (b.n > 0)
		page_add(r->page, BLOCK_PAIR, thing_label(r, t), b.p);
	buf_free(&b);
}

/* Does a note say what became of this word? */
static bool
noted(const struct run *r, struct place at)
{
	for (size_t i = 0; i < r->diags.n; i++) {
		struct place p = r->diags.d[i].place;

		if (diag_level(r->diags.d[i].id) == DIAG_NOTE && p.src == at.src && p.at <= at.at &&
		    p.at + p.n >= at.at + at.n)
			return true;
	}
	return false;
}

static void
unused_words(struct run *r, const struct project *p)
{
	struct buf b = {0};

	for (uint32_t i = 0; i < p->n_uses; i++) {
		struct place at = p->uses[i].place;

		if (p->uses[i].use != USED_NOT || at.src == NULL || noted(r, at))
			continue;
		if (b.n > 0)
			buf_str(&b, ", ");
		buf_add(&b, at.src->text.p + at.at, at.n);
	}
	if (b.n > 0)
		page_add(r->page, BLOCK_PAIR, SAY(r, "check.unused"), b.p);
	buf_free(&b);
}

/* The same of another place, in plain words: once is enough. */
static bool
said_before(const struct run *r, size_t which)
{
	const struct diagnostic *d = &r->diags.d[which];

	for (size_t i = 0; i < which && !place_in_file(d->place); i++)
		if (r->diags.d[i].id == d->id && strcmp(r->diags.d[i].message, d->message) == 0)
			return true;
	return false;
}

/* Notes belong to what was understood; errors and repairs go to stderr. */
static void
notes(struct run *r)
{
	size_t kept = 0;

	for (size_t i = 0; i < r->diags.n; i++) {
		const struct diagnostic *d = &r->diags.d[i];
		struct buf b = {0};

		if (diag_level(d->id) != DIAG_NOTE) {
			r->diags.d[kept++] = *d;
			continue;
		}
		if (said_before(r, i))
			continue;
		if (place_in_file(d->place)) {
			place_name(&b, d->place);
			buf_str(&b, ": ");
		}
		buf_str(&b, d->message);
		if (*d->near != '\0')
			buf_print(&b, "; %s", d->near);
		if (*d->remedy != '\0')
			buf_print(&b, "; %s", d->remedy);
		page_item(r->page, 0, TONE_MENTION, SAY(r, "label.note"), b.p);
		buf_free(&b);
	}
	r->diags.n = kept;
}

void
check_notes(struct run *r, const struct checked *c)
{
	unused_words(r, c->project);
	notes(r);
}

void
check_understood(struct run *r, const struct checked *c)
{
	const struct project *p = c->project;

	page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "check.understood"));
	for (uint32_t i = 0; i < p->n_things; i++)
		thing_line(r, c, i);
	for (uint32_t i = 0; i < p->n_values; i++) {
		const struct said_value *v = &p->values[i];

		const struct kind *k = &r->craft->kind[r->craft->property[v->property].kind];

		if (v->thing == NONE && v->scope_thing == NONE)
			page_add(r->page, BLOCK_PAIR, k->singleton ? craft_text(r->craft, k->name)
			    : SAY(r, "label.settled"), said_value_text(r, c, v));
	}
	check_notes(r, c);
}
