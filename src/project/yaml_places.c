/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The parts of a project file that speak of what stands elsewhere in it:
 * settings at a place, and what was measured.
 */
#include "project/yaml_impl.h"

#include <string.h>

/* ---- settings and measures --------------------------------------------- */

/* A thing of the project by its role, entry or kind; NONE if there is none. */
static uint32_t
thing_named(const struct yaml_reader *y, strview text)
{
	uint16_t role = yaml_role(y, text);
	const struct name *names;
	uint32_t found = yaml_meanings(y, text, &names);

	for (uint32_t i = 0; i < y->p->n_things; i++) {
		const struct said_thing *t = &y->p->things[i];

		if (t->denied || t->of != NONE)
			continue;
		if (role != NO16 && t->role == role)
			return i;
		for (uint32_t k = 0; k < found; k++)
			if (t->entry != NONE && names[k].target == NAME_ENTRY &&
			    kb_entry_is(y->t.c, t->entry, names[k].id))
				return i;
	}
	return NONE;
}

bool
yaml_scope(struct yaml_reader *y, const struct node *n, struct said_value *v)
{
	uint32_t kinds[2] = {y->t.operation, y->t.feature};

	if (n->type != NODE_TEXT || n->text.n == 0) {
		yaml_shape(y, n, "at", "a name", "at: name");
		return false;
	}
	v->scope_thing = thing_named(y, n->text);
	if (v->scope_thing != NONE) {
		v->scope_entry = y->p->things[v->scope_thing].entry;
		return true;
	}
	/* What a feature brings along need not be named under operations. */
	for (int i = 0; i < 2; i++) {
		struct wanted w = {kinds[i], NONE, NO16, NO16, ""};

		v->scope_entry = yaml_entry(y, n, n->text, &w, true);
		if (v->scope_entry != NONE)
			return true;
	}
	diag(y->ds, n->place, D_PROJECT_NO_SUCH, node_words(y, n->text));
	return false;
}

static uint32_t
setting_property(struct yaml_reader *y, const struct node *key)
{
	uint32_t s = setting_find(y->t.c, key->text), found = NONE;
	struct near near = {0};
	strview folded;

	if (s != NONE)
		return y->t.c->setting[s].property;
	for (uint32_t kind = 0; kind < y->t.c->n_kind; kind++) {
		strview name = sv(craft_text(y->t.c, y->t.c->kind[kind].name));
		uint32_t p;

		if (y->t.c->kind[kind].on_paper || y->t.c->kind[kind].sizes || key->text.n <= name.n + 1 ||
		    memcmp(key->text.p, name.p, name.n) != 0 ||
		    key->text.p[name.n] != '.')
			continue;
		p = property_find(y->t.c, kind, (strview){key->text.p + name.n + 1,
		    key->text.n - name.n - 1});
		if (p != NONE)
			found = p;
	}
	if (found != NONE)
		return found;
	folded = sv(text_fold(y->arena, key->text));
	diag(y->ds, key->place, D_PROJECT_NAME, node_words(y, key->text), "a setting");
	for (uint32_t i = 0; i < y->t.c->n_setting; i++)
		near_offer(&near, folded, craft_text(y->t.c, y->t.c->setting[i].name));
	diag_near(y->ds, &near);
	return NONE;
}

void
yaml_settings(struct yaml_reader *y, const struct node *n)
{
	const struct node *at = node_get(n, "at");
	struct said_value where = value_of(NONE, NONE, n->place);

	if (n->type != NODE_MAP) {
		yaml_shape(y, n, "an item of settings", "a setting and its value",
		    "- setting: value");
		return;
	}
	if (at != NULL && !yaml_scope(y, at, &where))
		return;
	for (const struct node *k = n->first; k != NULL; k = k->next) {
		struct said_value v = where;
		uint32_t p;

		if (sv_is(k->text, "at"))
			continue;
		p = setting_property(y, k);
		if (p == NONE || !yaml_value(y, p, k->value, &v))
			continue;
		/* A setting of the thing that "at" names is a value of it. */
		if (v.scope_thing != NONE &&
		    y->p->things[v.scope_thing].kind == y->t.c->property[p].kind) {
			v.thing = v.scope_thing;
			v.scope_thing = v.scope_entry = NONE;
		}
		yaml_add(y, &v);
	}
}

void
yaml_measured(struct yaml_reader *y, const struct node *n)
{
	if (n->type != NODE_MAP) {
		yaml_shape(y, n, "an item of measured", "a thing, a dot and a property",
		    "- name.property: value");
		return;
	}
	for (const struct node *k = n->first; k != NULL; k = k->next) {
		struct said_value v = value_of(NONE, NONE, k->place);
		uint32_t p = NONE;
		bool thing = false;

		for (size_t i = 1; i + 1 < k->text.n && p == NONE; i++) {
			strview name = {k->text.p, i};
			strview rest = {k->text.p + i + 1, k->text.n - i - 1};
			uint32_t kind = kind_find(y->t.c, name);

			if (k->text.p[i] != '.')
				continue;
			v.thing = NONE;
			if (kind == NONE || !y->t.c->kind[kind].singleton) {
				v.thing = thing_named(y, name);
				kind = v.thing != NONE ? y->p->things[v.thing].kind : NONE;
			}
			thing = thing || kind != NONE;
			if (kind != NONE)
				p = yaml_property(y, kind, rest);
			if (p == NONE && kind != NONE && v.thing != NONE)
				v.thing = NONE;
		}
		if (p == NONE && !thing)
			diag(y->ds, k->place, D_PROJECT_NO_SUCH, node_words(y, k->text));
		else if (p == NONE)
			yaml_unknown_key(y, k, y->t.component, NULL);
		v.measured = true;
		if (p != NONE && yaml_value(y, p, k->value, &v))
			yaml_add(y, &v);
	}
}
