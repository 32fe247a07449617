/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Names in a project file: entries, roles and properties, with near names for
 * those that are not known and the two meanings of those that have two.
 */
#include "project/yaml_impl.h"

#include <string.h>

/* ---- looking up names ------------------------------------------------------------ */

static bool
suitable(const struct yaml_reader *y, uint32_t entry, const struct wanted *w)
{
	uint16_t kind = entry_object_kind(&y->t, entry);

	if (kind == NO16 || (w->entry_kind != NO16 && y->t.c->entry[entry].kind != w->entry_kind))
		return false;
	return w->kind == NONE || kind == w->kind || (w->also != NONE && kind == w->also);
}

/* All meanings of a name, whatever stands between its words. */
uint32_t
yaml_meanings(const struct yaml_reader *y, strview text, const struct name **names)
{
	char *folded = text_fold(y->arena, text);
	uint32_t n = kb_names(y->t.c, sv(folded), names);

	for (int turn = 0; n == 0 && turn < 2; turn++) {
		for (char *p = folded; *p != '\0'; p++)
			if (*p == "- "[turn])
				*p = " -"[turn];
		n = kb_names(y->t.c, sv(folded), names);
	}
	return n;
}

static bool
better(const struct yaml_reader *y, const struct name *a, const struct name *b,
    const struct wanted *w)
{
	bool fits_a = w->role != NO16 && entry_role(&y->t, a->id) == w->role;
	bool fits_b = w->role != NO16 && entry_role(&y->t, b->id) == w->role;

	if (fits_a != fits_b)
		return fits_a;
	if (a->inflected != b->inflected)
		return a->inflected == 0;
	return a->region == NO16 && b->region != NO16;
}

/* The entry a text names, or NONE; then, unless QUIET, it has been complained of. */
uint32_t
yaml_entry(struct yaml_reader *y, const struct node *n, strview text, const struct wanted *w,
    bool quiet)
{
	const struct name *names, *best = NULL, *rival = NULL;
	uint32_t found = yaml_meanings(y, text, &names);
	struct near near = {0};
	strview folded;

	for (uint32_t i = 0; i < found; i++) {
		if (names[i].target != NAME_ENTRY || !suitable(y, names[i].id, w) ||
		    (best != NULL && best->id == names[i].id))
			continue;
		if (best == NULL || better(y, &names[i], best, w)) {
			rival = NULL;
			best = &names[i];
		} else if (!better(y, best, &names[i], w)) {
			rival = &names[i];
		}
	}
	if (best != NULL && rival != NULL) {
		if (!quiet)
			diag(y->ds, n->place, D_PROJECT_AMBIGUOUS, node_words(y, text),
			    entry_title(&y->t, best->id), entry_title(&y->t, rival->id));
		return NONE;
	}
	if (best != NULL || quiet)
		return best != NULL ? best->id : NONE;
	folded = sv(text_fold(y->arena, text));
	diag(y->ds, n->place, D_PROJECT_NAME, node_words(y, text), w->what);
	for (uint32_t i = 0; i < y->t.c->n_name; i++)
		if (y->t.c->name[i].target == NAME_ENTRY && !y->t.c->name[i].inflected &&
		    suitable(y, y->t.c->name[i].id, w))
			near_offer(&near, folded, craft_text(y->t.c, y->t.c->name[i].folded));
	diag_near(y->ds, &near);
	return NONE;
}

uint16_t
yaml_role(const struct yaml_reader *y, strview text)
{
	const struct name *names;
	uint32_t found, within = NONE;
	uint16_t role = role_called(&y->t, sv(text_fold(y->arena, text)));

	if (role != NO16 || y->t.role_set == NONE)
		return role;
	found = yaml_meanings(y, text, &names);
	for (uint32_t i = 0; i < found; i++)
		if (names[i].target == NAME_WORD &&
		    set_of_word(&y->t, names[i].id, &within) == y->t.role_set)
			return (uint16_t)within;
	return NO16;
}

bool
yaml_is_unknown(const struct node *n)
{
	return n->type == NODE_TEXT && !n->quoted && sv_is(n->text, "unknown");
}

bool
yaml_is_empty(const struct node *n)
{
	return n == NULL || (n->type == NODE_TEXT && n->text.n == 0);
}

void
yaml_shape(struct yaml_reader *y, const struct node *n, const char *what, const char *needs,
    const char *sample)
{
	diag(y->ds, n->place, D_PROJECT_SHAPE, what, needs, sample);
}

/* ---- values ---------------------------------------------------------------------------- */

void
yaml_add(struct yaml_reader *y, const struct said_value *v)
{
	for (uint32_t i = 0; i < y->p->n_values; i++) {
		uint32_t line, column;

		if (!same_slot(&y->p->values[i], v))
			continue;
		/* What was measured takes the place of what was believed. */
		if (v->measured && !y->p->values[i].measured) {
			y->p->values[i] = *v;
			return;
		}
		place_line_column(y->p->values[i].place, &line, &column);
		diag(y->ds, v->place, D_PROJECT_TWO_VALUES, property_title(&y->t, v->property),
		    arena_print(y->arena, "%u", (unsigned)line),
		    arena_print(y->arena, "%u", (unsigned)column));
		return;
	}
	value_add(y->p, *v);
}

/* A property of a kind, by its name or by what people call it. */
uint32_t
yaml_property(const struct yaml_reader *y, uint32_t kind, strview key)
{
	uint32_t p = property_find(y->t.c, kind, key);
	strview folded;

	if (p != NONE)
		return p;
	folded = sv(text_fold(y->arena, key));
	for (uint32_t i = 0; i < y->t.c->n_property; i++)
		if (y->t.c->property[i].kind == kind && y->t.c->property[i].type != TYPE_REF &&
		    (sv_is(folded, craft_text(y->t.c, y->t.c->property[i].name)) ||
		    sv_is(folded, craft_text(y->t.c, y->t.c->property[i].label))))
			return i;
	return NONE;
}

void
yaml_unknown_key(struct yaml_reader *y, const struct node *key, uint32_t kind,
    const char *const *others)
{
	struct near near = {0};
	strview folded = sv(text_fold(y->arena, key->text));

	diag(y->ds, key->place, D_PROJECT_KEY, node_words(y, key->text),
	    others == NULL ? craft_text(y->t.c, y->t.c->kind[kind].name) : "project");
	for (; others != NULL && *others != NULL; others++)
		near_offer(&near, folded, *others);
	for (uint32_t i = 0; i < y->t.c->n_property; i++) {
		const char *name = craft_text(y->t.c, y->t.c->property[i].name);
		const char *last = strrchr(name, '.');

		if (y->t.c->property[i].kind != kind || y->t.c->property[i].type == TYPE_REF)
			continue;
		/* "length" where it is the length of something: that something is meant. */
		if (last != NULL && sv_is(folded, last + 1) && near.n < 3) {
			near.name[near.n] = name;
			near.distance[near.n++] = 0;
		} else {
			near_offer(&near, folded, name);
		}
	}
	diag_near(y->ds, &near);
}
