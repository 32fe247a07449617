/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A JSON Schema for project files, so that editors complete and check them
 * while they are written.
 *
 * Everything in it comes from the knowledge: keys are the schema's properties
 * and roles, values its words, units and names.  It refuses what the reader
 * refuses as far as a schema can say it, and nothing the reader takes: names
 * with capital letters, which are folded when read, are let through unchecked.
 * Draft 7, which editors know best.
 */
#include "command/schema_impl.h"

#include <stdlib.h>
#include <string.h>

/* ---- things ---------------------------------------------------------------------- */

/* Where keys stand decides what else a key may be there. */
enum stands { WITHIN, AT_TOP, BY_ROLE };

static bool
taken(struct schema *m, enum stands at, const char *key)
{
	struct words l = {0};
	bool found = false;

	if (at == AT_TOP)
		return project_head(sv(key));
	if (at != BY_ROLE || property_find(m->c, m->component, sv(key)) != NONE)
		return false;                  /* the material's own property goes first */
	schema_add_roles(m, &l);
	for (uint32_t i = 0; i < l.n && !found; i++)
		found = strcmp(l.w[i], key) == 0;
	free(l.w);
	return found;
}

/* The keys by which properties of a kind are said, within "properties". */
static void
property_keys(struct schema *m, uint32_t kind, enum stands at)
{
	for (uint32_t i = 0; i < m->c->n_property; i++) {
		const char *name = craft_text(m->c, m->c->property[i].name);
		const char *label = craft_text(m->c, m->c->property[i].label);
		bool again = *label == '\0' || strcmp(label, name) == 0;

		if (m->c->property[i].kind != kind || !schema_said(m, i))
			continue;
		if (!taken(m, at, name)) {
			json_key(&m->j, name);
			schema_refer(m, "", schema_full_name(m, i));
		}
		again = again || taken(m, at, label);
		/* A label that is another property's name means that one. */
		for (uint32_t k = 0; k < m->c->n_property; k++)
			again = again || (m->c->property[k].kind == kind && k != i &&
			    (strcmp(label, craft_text(m->c, m->c->property[k].name)) == 0 ||
			    (k < i && strcmp(label,
			    craft_text(m->c, m->c->property[k].label)) == 0)));
		if (again)
			continue;
		json_key(&m->j, label);
		schema_refer(m, "", schema_full_name(m, i));
	}
	if (kind == m->component && m->content != NONE)
		for (uint32_t i = 0; i < m->c->n_property; i++)
			if (m->c->property[i].kind == m->content &&
			    m->c->property[i].type == TYPE_WORDS &&
			    m->c->word_set[m->c->property[i].word_set].entries_of != NO16) {
				json_key(&m->j, craft_text(m->c, m->c->property[i].name));
				schema_refer(m, "", "text or list");
			}
	if (!m->c->kind[kind].singleton && property_find(m->c, kind, SV("count")) == NONE) {
		json_key(&m->j, "count");
		json_open(&m->j, '{');
		schema_text(m, "description", "How many.");
		schema_open_key(m, "anyOf", '[');
		schema_of_type(m, "number");
		schema_pattern(m, "^[0-9]+$");
		json_close(&m->j, ']');
		json_close(&m->j, '}');
	}
}

static void
closed(struct schema *m)
{
	json_key(&m->j, "additionalProperties");
	json_bool(&m->j, false);
}

/* KEY: a mapping of the properties of a kind. */
static void
properties_schema(struct schema *m, const char *key, uint32_t kind, const char *names)
{
	schema_open_key(m, key, '{');
	schema_text(m, "type", "object");
	schema_open_key(m, "properties", '{');
	if (names != NULL) {
		json_key(&m->j, "is");
		schema_refer(m, "", names);
	}
	property_keys(m, kind, WITHIN);
	json_close(&m->j, '}');
	closed(m);
	json_close(&m->j, '}');
}

static void
material_schema(struct schema *m)
{
	struct words l = {0};

	schema_add_roles(m, &l);
	schema_once(&l);
	schema_open_key(m, "material item", '{');
	schema_open_key(m, "anyOf", '[');
	schema_refer(m, "", "material name");
	json_open(&m->j, '{');
	schema_text(m, "type", "object");
	schema_open_key(m, "properties", '{');
	for (uint32_t i = 0; i < l.n; i++) {
		if (property_find(m->c, m->component, sv(l.w[i])) != NONE)
			continue;
		json_key(&m->j, l.w[i]);
		schema_refer(m, "", "material");
	}
	property_keys(m, m->component, BY_ROLE);
	json_close(&m->j, '}');
	closed(m);
	schema_open_key(m, "anyOf", '[');
	for (uint32_t i = 0; i < l.n; i++) {
		json_open(&m->j, '{');
		schema_open_key(m, "required", '[');
		json_str(&m->j, l.w[i]);
		json_close(&m->j, ']');
		json_close(&m->j, '}');
	}
	json_close(&m->j, ']');
	json_close(&m->j, '}');
	json_close(&m->j, ']');
	json_close(&m->j, '}');
	free(l.w);

	/* What may stand behind a role. */
	schema_open_key(m, "material", '{');
	schema_open_key(m, "anyOf", '[');
	schema_of_type(m, "null");
	schema_refer(m, "", "material name");
	schema_of_type(m, "number");
	schema_pattern(m, DIGIT);
	schema_refer(m, "", "component properties");
	json_close(&m->j, ']');
	json_close(&m->j, '}');
}

/* A detail: its name; KIND: name with properties; or name: properties. */
static void
detail_schema(struct schema *m, const char *key, uint32_t kind)
{
	const char *kind_name = craft_text(m->c, m->c->kind[kind].name);
	const char *names = arena_print(m->run->arena, "%s name", kind_name);
	struct words l = {0};

	schema_open_key(m, key, '{');
	schema_open_key(m, "anyOf", '[');
	schema_refer(m, "", names);
	json_open(&m->j, '{');
	schema_text(m, "type", "object");
	schema_open_key(m, "properties", '{');
	json_key(&m->j, kind_name);
	schema_refer(m, "", names);
	property_keys(m, kind, WITHIN);
	json_close(&m->j, '}');
	closed(m);
	schema_open_key(m, "required", '[');
	json_str(&m->j, kind_name);
	json_close(&m->j, ']');
	json_close(&m->j, '}');
	json_open(&m->j, '{');
	schema_text(m, "type", "object");
	schema_open_key(m, "propertyNames", '{');
	schema_open_key(m, "anyOf", '[');
	schema_refer(m, "", names);
	schema_refer(m, "", arena_print(m->run->arena, "%s keys", kind_name));
	json_close(&m->j, ']');
	json_close(&m->j, '}');
	schema_open_key(m, "properties", '{');
	property_keys(m, kind, WITHIN);
	json_close(&m->j, '}');
	schema_open_key(m, "additionalProperties", '{');
	schema_open_key(m, "anyOf", '[');
	schema_of_type(m, "null");
	schema_refer(m, "", arena_print(m->run->arena, "%s properties", kind_name));
	json_close(&m->j, ']');
	json_close(&m->j, '}');
	json_close(&m->j, '}');
	json_close(&m->j, ']');
	json_close(&m->j, '}');

	schema_open_key(m, arena_print(m->run->arena, "%s keys", kind_name), '{');
	schema_open_key(m, "anyOf", '[');
	schema_add(&l, "count");
	for (uint32_t i = 0; i < m->c->n_property; i++)
		if (m->c->property[i].kind == kind && schema_said(m, i)) {
			schema_add(&l, craft_text(m->c, m->c->property[i].name));
			schema_add(&l, craft_text(m->c, m->c->property[i].label));
		}
	schema_put_words(m, &l);
	json_close(&m->j, ']');
	json_close(&m->j, '}');
}

static void
settings_schema(struct schema *m)
{
	struct buf b = {0};

	schema_open_key(m, "settings item", '{');
	schema_text(m, "type", "object");
	schema_open_key(m, "properties", '{');
	json_key(&m->j, "at");
	json_open(&m->j, '{');
	schema_text(m, "description", "A feature, an operation or a role named in the project.");
	schema_text(m, "type", "string");
	json_close(&m->j, '}');
	for (uint32_t i = 0; i < m->c->n_setting; i++) {
		json_key(&m->j, craft_text(m->c, m->c->setting[i].name));
		schema_refer(m, "", schema_full_name(m, m->c->setting[i].property));
	}
	json_close(&m->j, '}');
	for (uint32_t k = 0; k < m->c->n_kind; k++)
		if (!m->c->kind[k].on_paper)
			buf_print(&b, "%s%s", b.n > 0 ? "|" : "",
			    craft_text(m->c, m->c->kind[k].name));
	schema_open_key(m, "patternProperties", '{');
	json_key(&m->j, arena_print(m->run->arena, "^(?:%s)\\.", b.n > 0 ? b.p : ""));
	schema_refer(m, "", "value");
	json_close(&m->j, '}');
	buf_free(&b);
	closed(m);
	json_close(&m->j, '}');
}

/* ---- the whole ---------------------------------------------------------------------- */

static void
list_of(struct schema *m, const char *key, const char *items, const char *says)
{
	schema_open_key(m, key, '{');
	schema_text(m, "description", says);
	schema_open_key(m, "anyOf", '[');
	schema_of_type(m, "null");
	json_open(&m->j, '{');
	schema_text(m, "type", "array");
	json_key(&m->j, "items");
	schema_refer(m, "", items);
	json_close(&m->j, '}');
	if (strcmp(key, "settings") == 0)
		schema_refer(m, "", items);
	json_close(&m->j, ']');
	json_close(&m->j, '}');
}

static void
definitions(struct schema *m)
{
	schema_open_key(m, "definitions", '{');
	for (uint32_t i = 0; i < m->c->n_property; i++)
		if (schema_said(m, i))
			schema_value(m, i);
	schema_open_key(m, "value", '{');
	schema_open_key(m, "anyOf", '[');
	schema_of_type(m, "string");
	schema_of_type(m, "number");
	schema_of_type(m, "boolean");
	schema_of_type(m, "array");
	json_close(&m->j, ']');
	json_close(&m->j, '}');
	schema_open_key(m, "text or list", '{');
	schema_open_key(m, "anyOf", '[');
	schema_of_type(m, "string");
	schema_of_type(m, "array");
	json_close(&m->j, ']');
	json_close(&m->j, '}');
	schema_names(m, "garment name", m->garment, NONE);
	schema_names(m, "material name", m->component, m->content);
	schema_names(m, arena_print(m->run->arena, "%s name",
	    craft_text(m->c, m->c->kind[m->feature].name)), m->feature, NONE);
	schema_names(m, arena_print(m->run->arena, "%s name",
	    craft_text(m->c, m->c->kind[m->operation].name)), m->operation, NONE);
	properties_schema(m, "component properties", m->component, "material name");
	properties_schema(m, arena_print(m->run->arena, "%s properties",
	    craft_text(m->c, m->c->kind[m->feature].name)), m->feature, NULL);
	properties_schema(m, arena_print(m->run->arena, "%s properties",
	    craft_text(m->c, m->c->kind[m->operation].name)), m->operation, NULL);
	for (uint32_t k = 0; k < m->c->n_kind; k++)
		if (m->c->kind[k].singleton && !m->c->kind[k].on_paper)
			properties_schema(m, arena_print(m->run->arena, "%s mapping",
			    craft_text(m->c, m->c->kind[k].name)), k,
			    k == m->garment ? "garment name" : "value");
	material_schema(m);
	detail_schema(m, "feature item", m->feature);
	detail_schema(m, "operation item", m->operation);
	settings_schema(m);
	schema_open_key(m, "measured item", '{');
	schema_text(m, "type", "object");
	schema_open_key(m, "patternProperties", '{');
	json_key(&m->j, "^.+\\..+$");
	schema_refer(m, "", "value");
	json_close(&m->j, '}');
	closed(m);
	json_close(&m->j, '}');
	json_close(&m->j, '}');
}

/* What the project is without: a name, a list of them, or {KIND: name}. */
static void
without_schema(struct schema *m)
{
	schema_open_key(m, "without", '{');
	schema_text(m, "description", "What there is not: entries, features or roles.");
	schema_open_key(m, "anyOf", '[');
	schema_of_type(m, "null");
	schema_of_type(m, "string");
	schema_of_type(m, "object");
	json_open(&m->j, '{');
	schema_text(m, "type", "array");
	schema_open_key(m, "items", '{');
	schema_open_key(m, "type", '[');
	json_str(&m->j, "string");
	json_str(&m->j, "object");
	json_close(&m->j, ']');
	json_close(&m->j, '}');
	json_close(&m->j, '}');
	json_close(&m->j, ']');
	json_close(&m->j, '}');
}

static void
singles(struct schema *m)
{
	for (uint32_t k = 0; k < m->c->n_kind; k++) {
		const char *name = craft_text(m->c, m->c->kind[k].name);

		if (!m->c->kind[k].singleton || m->c->kind[k].on_paper)
			continue;
		schema_open_key(m, name, '{');
		schema_text(m, "description", craft_text(m->c, m->c->kind[k].says));
		schema_open_key(m, "anyOf", '[');
		schema_of_type(m, "null");
		if (k == m->garment)
			schema_refer(m, "", "garment name");
		else
			schema_of_type(m, "string");
		schema_refer(m, "", arena_print(m->run->arena, "%s mapping", name));
		json_close(&m->j, ']');
		json_close(&m->j, '}');
	}
}

static void
top(struct schema *m)
{
	schema_open_key(m, "properties", '{');
	schema_open_key(m, "project", '{');
	schema_text(m, "description", "A title.");
	schema_open_key(m, "type", '[');
	json_str(&m->j, "string");
	json_str(&m->j, "number");
	json_close(&m->j, ']');
	json_close(&m->j, '}');
	singles(m);
	list_of(m, "materials", "material item", "One item for each thing it is made of.");
	list_of(m, "features", "feature item", "One item for each detail.");
	list_of(m, "operations", "operation item", "What is done beyond what the features bring.");
	without_schema(m);
	list_of(m, "settings", "settings item", "What you have settled yourself.");
	list_of(m, "measured", "measured item", "Facts found by measuring: NAME.PROPERTY: value.");
	schema_open_key(m, "notes", '{');
	schema_text(m, "description", "Any text, kept and not read.");
	json_close(&m->j, '}');
	schema_open_key(m, "asked", '{');
	schema_text(m, "type", "string");
	json_close(&m->j, '}');
	schema_open_key(m, "asked at", '{');
	schema_text(m, "type", "string");
	json_close(&m->j, '}');
	property_keys(m, m->garment, AT_TOP);
	json_close(&m->j, '}');
	closed(m);
}

void
schema_print(struct run *r)
{
	struct schema m = {.run = r, .c = r->craft, .j = {.out = &r->out}};

	if (r->craft == NULL)
		return;
	m.component = kind_find(m.c, SV("component"));
	m.garment = kind_find(m.c, SV("garment"));
	m.feature = kind_find(m.c, SV("feature"));
	m.operation = kind_find(m.c, SV("operation"));
	m.content = kind_find(m.c, SV("content"));
	m.roles = set_find(m.c, SV("role"));
	if (m.component == NONE || m.garment == NONE || m.feature == NONE || m.operation == NONE ||
	    m.roles == NONE)
		return;                        /* a craft without them has no such files */
	json_open(&m.j, '{');
	schema_text(&m, "$schema", "http://json-schema.org/draft-07/schema#");
	schema_text(&m, "title", "A project file of bodkin");
	schema_text(&m, "description", arena_print(r->arena, "Made from the knowledge %s.",
	    kb_version(r->kb)));
	schema_text(&m, "type", "object");
	top(&m);
	definitions(&m);
	json_close(&m.j, '}');
	buf_char(&r->out, '\n');
}
