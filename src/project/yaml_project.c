/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A project file into a project.
 *
 * Only the words of the format stand here (project, materials, features ...);
 * which roles, entries, properties and settings there are is looked up.  The
 * reader goes on after a mistake to find the others, and gives no project
 * where there was one.
 */
#include "project/yaml_impl.h"

#include <string.h>

/* ---- what a thing is made of and has ---------------------------------------- */

/* Is this the key under which a component's contents stand? */
static bool
content_key(const struct yaml_reader *y, strview key)
{
	uint32_t p = y->t.content != NONE ? property_find(y->t.c, y->t.content, key) : NONE;

	return p != NONE && y->t.c->property[p].type == TYPE_WORDS &&
	    y->t.c->word_set[y->t.c->property[p].word_set].entries_of != NO16;
}

static bool
names_content(struct yaml_reader *y, const struct node *n, strview text, const struct wanted *w)
{
	return text.n > 0 && (sv_is(text, "unknown") || yaml_entry(y, n, text, w, true) != NONE);
}

/* Parts `wool 80 %` and `80 % wool`: the longest run of words at one end that
 * names an entry, and the rest.  False: neither end does. */
static bool
share_apart(struct yaml_reader *y, const struct node *n, strview text, const struct wanted *w,
    strview *name, strview *share)
{
	for (size_t i = text.n; i > 0; i--) {
		*name = sv_trim((strview){text.p, i});
		*share = sv_trim((strview){text.p + i, text.n - i});
		if ((i == text.n || text.p[i] == ' ') && names_content(y, n, *name, w))
			return true;
	}
	for (size_t i = 1; i < text.n; i++) {
		*share = sv_trim((strview){text.p, i});
		*name = sv_trim((strview){text.p + i, text.n - i});
		if (text.p[i] == ' ' && names_content(y, n, *name, w))
			return true;
	}
	return false;
}

static void
content(struct yaml_reader *y, const struct node *n, strview text, uint32_t of)
{
	struct wanted w = {y->t.content, NONE, NO16, NO16, "what a yarn is made of"};
	struct said_thing t = {.kind = (uint16_t)y->t.content, .role = NO16, .entry = NONE,
		.count = 1, .of = of};
	struct node part = *n;
	strview name = text;
	size_t words = 0;

	if (!share_apart(y, n, text, &w, &name, &part.text)) {
		/* What stands before the figure is not known. */
		while (words < text.n && (text.p[words] < '0' || text.p[words] > '9'))
			words++;
		name = words > 0 ? sv_trim((strview){text.p, words}) : text;
		part.place = node_part(y, n, (size_t)(name.p - n->text.p), name.n);
		yaml_entry(y, &part, name, &w, false);
		return;
	}
	t.place = node_part(y, n, (size_t)(name.p - n->text.p), name.n);
	if (!sv_is(name, "unknown"))
		t.entry = yaml_entry(y, n, name, &w, true);
	thing_add(y->p, t);
	if (part.text.n > 0 && y->t.share != NONE) {
		struct said_value v = value_of(y->p->n_things - 1, y->t.share, t.place);

		part.place = node_part(y, n, (size_t)(part.text.p - n->text.p), part.text.n);
		if (yaml_value(y, y->t.share, &part, &v))
			yaml_add(y, &v);
	}
}

static void
contents(struct yaml_reader *y, const struct node *n, uint32_t of)
{
	if (n->type == NODE_LIST) {
		for (const struct node *k = n->first; k != NULL; k = k->next)
			contents(y, k, of);
		return;
	}
	if (n->type != NODE_TEXT || n->text.n == 0) {
		yaml_shape(y, n, "this", "names with or without shares", "name 80 %, name 20 %");
		return;
	}
	for (size_t at = 0; at < n->text.n; ) {
		size_t end = at;
		strview piece;

		while (end < n->text.n && n->text.p[end] != ',')
			end++;
		piece = sv_trim((strview){n->text.p + at, end - at});
		if (piece.n > 0)
			content(y, n, piece, of);
		at = end + 1;
	}
}

static void
count(struct yaml_reader *y, const struct node *n, struct said_thing *t)
{
	double x = 0;
	size_t used = 0;

	if (n->type != NODE_TEXT || !number_read(n->text, &used, &x) || used != n->text.n ||
	    !(x >= 1 && x <= 200) || x > (double)(int)x) {
		diag(y->ds, n->place, D_PROJECT_COUNT, node_words(y, n->text));
		return;
	}
	t->count = x;
}

/* The properties of a thing; SKIP: the key that named it. */
static void
properties(struct yaml_reader *y, const struct node *map, const struct node *skip, uint32_t kind,
    uint32_t thing)
{
	bool single = y->t.c->kind[kind].singleton;

	for (const struct node *k = map->first; k != NULL; k = k->next) {
		struct said_value v = value_of(single ? NONE : thing, NONE, k->place);
		uint32_t p;

		if (k == skip || sv_is(k->text, "is"))
			continue;
		if (!single && sv_is(k->text, "count")) {
			count(y, k->value, &y->p->things[thing]);
			continue;
		}
		if (kind == y->t.component && content_key(y, k->text)) {
			contents(y, k->value, thing);
			continue;
		}
		p = yaml_property(y, kind, k->text);
		if (p == NONE)
			yaml_unknown_key(y, k, kind, NULL);
		else if (yaml_value(y, p, k->value, &v))
			yaml_add(y, &v);
	}
}

/* ---- materials ---------------------------------------------------------------------------- */

/* "80/12" of a needle: a quantity by which a thing of this role is known. */
static bool
known_by_size(struct yaml_reader *y, const struct node *n, uint32_t thing)
{
	const struct craft *c = y->t.c;

	for (int told = 1; told >= 0; told--)
		for (uint32_t i = 0; i < c->n_property; i++) {
			struct said_value v = value_of(thing, i, n->place);
			struct reading_for f;
			struct reading r;

			if (c->property[i].kind != y->t.component ||
			    !property_is_quantity(&y->t, i) ||
			    (c->property[i].roles != 0) != (told == 1) ||
			    !property_takes_role(&y->t, i, y->p->things[thing].role))
				continue;
			f = property_reading(&y->t, i);
			r = reading_of(c->units, c->range_words, &f, n->text, true);
			if (r.fault != READ_FINE)
				continue;
			v.value.r = r.value;
			v.value.state = VALUE_KNOWN;
			v.unit = r.unit;
			yaml_add(y, &v);
			return true;
		}
	return false;
}

static void
component_is(struct yaml_reader *y, const struct node *n, uint32_t thing)
{
	struct said_thing *t = &y->p->things[thing];
	struct wanted w = {y->t.component, y->t.content, t->role, NO16, "a material"};
	uint32_t entry;

	if (yaml_is_empty(n) || yaml_is_unknown(n))
		return;
	if (n->type == NODE_MAP) {
		const struct node *is = node_get(n, "is");

		if (is != NULL)
			component_is(y, is, thing);
		properties(y, n, NULL, y->t.component, thing);
		return;
	}
	if (n->type != NODE_TEXT) {
		yaml_shape(y, n, "a material", "a name", "role: name");
		return;
	}
	entry = yaml_entry(y, n, n->text, &w, true);
	if (entry == NONE && known_by_size(y, n, thing))
		return;
	if (entry == NONE)
		entry = yaml_entry(y, n, n->text, &w, false);
	if (entry == NONE)
		return;
	t = &y->p->things[thing];
	if (entry_object_kind(&y->t, entry) == y->t.content) {
		thing_add(y->p, (struct said_thing){.kind = (uint16_t)y->t.content, .role = NO16,
			.entry = entry, .count = 1, .of = thing, .place = n->place});
		return;
	}
	t->entry = entry;
	if (t->role == NO16)
		t->role = entry_role(&y->t, entry);
}

static void
material(struct yaml_reader *y, const struct node *n)
{
	struct said_thing t = {.kind = (uint16_t)y->t.component, .role = NO16, .entry = NONE,
		.count = 1, .of = NONE, .place = n->place};
	const struct node *k = n->first;
	struct near near = {0};
	strview folded;
	uint32_t thing;

	if (n->type == NODE_TEXT && n->text.n > 0) {
		component_is(y, n, thing_add(y->p, t));
		return;
	}
	if (n->type != NODE_MAP || k == NULL) {
		yaml_shape(y, n, "an item of materials", "a role and a name", "- role: name");
		return;
	}
	t.place = k->place;
	t.role = yaml_role(y, k->text);
	if (t.role == NO16 && !sv_is(k->text, "material")) {
		folded = sv(text_fold(y->arena, k->text));
		diag(y->ds, k->place, D_PROJECT_NAME, node_words(y, k->text), "a role");
		for (uint32_t i = 0; y->t.role_set != NONE &&
		    i < y->t.c->word_set[y->t.role_set].n; i++)
			near_offer(&near, folded, role_title(&y->t, (uint16_t)i));
		diag_near(y->ds, &near);
		return;
	}
	thing = thing_add(y->p, t);
	component_is(y, k->value, thing);
	properties(y, n, k, y->t.component, thing);
}

/* ---- features and operations ------------------------------------------- */

static void
detail(struct yaml_reader *y, const struct node *n, uint32_t kind)
{
	const char *name = craft_text(y->t.c, y->t.c->kind[kind].name);
	struct wanted w = {kind, NONE, NO16, NO16, arena_print(y->arena, "the name of %s %s",
	    strchr("aeiou", name[0]) != NULL ? "an" : "a", name)};
	struct said_thing t = {.kind = (uint16_t)kind, .role = NO16, .count = 1, .of = NONE,
		.place = n->place};
	const struct node *k = n->type == NODE_MAP ? n->first : NULL, *named = n, *inner = NULL;
	uint32_t thing;

	if (k != NULL && sv_is(k->text, name)) {
		named = k->value;
	} else if (k != NULL) {
		named = k;
		inner = k->value;
	}
	if (named->type != NODE_TEXT || named->text.n == 0 ||
	    (inner != NULL && inner->type != NODE_MAP && !yaml_is_empty(inner))) {
		yaml_shape(y, inner != NULL ? inner : named, name,
		    inner != NULL ? "its properties" : "a name",
		    inner != NULL ? "- name: {property: value}" : "- name");
		return;
	}
	t.place = named->place;
	t.entry = yaml_entry(y, named, named->text, &w, false);
	if (t.entry == NONE)
		return;
	thing = thing_add(y->p, t);
	if (inner != NULL && inner->type == NODE_MAP)
		properties(y, inner, NULL, kind, thing);
	if (k != NULL)
		properties(y, n, k, kind, thing);
}

static void
without(struct yaml_reader *y, const struct node *n)
{
	struct wanted w = {NONE, NONE, NO16, NO16, "a role, a material, a feature or an operation"};
	struct said_thing t = {.role = NO16, .entry = NONE, .count = 1, .of = NONE, .denied = true,
		.place = n->place};

	if (n->type == NODE_LIST) {
		for (const struct node *k = n->first; k != NULL; k = k->next)
			if (k->type == NODE_LIST)
				yaml_shape(y, k, "without", "names", "without: [name, name]");
			else
				without(y, k);
		return;
	}
	/* {KIND OF ENTRY: name}, for a name that two kinds share */
	if (n->type == NODE_MAP && n->n == 1) {
		for (uint16_t i = 0; i < y->t.c->n_entry_kind; i++)
			if (sv_is(n->first->text, craft_text(y->t.c, y->t.c->entry_kind[i].name)))
				w.entry_kind = i;
		if (w.entry_kind == NO16) {
			yaml_unknown_key(y, n->first, y->t.component, NULL);
			return;
		}
		n = n->first->value;
	}
	if (n->type != NODE_TEXT || n->text.n == 0) {
		yaml_shape(y, n, "without", "names", "without: [name, name]");
		return;
	}
	t.role = w.entry_kind == NO16 ? yaml_role(y, n->text) : NO16;
	t.kind = (uint16_t)y->t.component;
	if (t.role == NO16) {
		t.entry = yaml_entry(y, n, n->text, &w, false);
		if (t.entry == NONE)
			return;
		t.kind = entry_object_kind(&y->t, t.entry);
		if (t.kind == y->t.component)
			t.role = entry_role(&y->t, t.entry);
	}
	thing_add(y->p, t);
}

/* ---- the whole --------------------------------------------------------- */

static void
each(struct yaml_reader *y, const struct node *n, const char *head,
    void (*item)(struct yaml_reader *, const struct node *))
{
	if (yaml_is_empty(n))
		return;
	if (n->type == NODE_MAP && item == yaml_settings) {
		item(y, n);
		return;
	}
	if (n->type != NODE_LIST) {
		yaml_shape(y, n, head, "a list", "- item");
		return;
	}
	for (const struct node *k = n->first; k != NULL; k = k->next)
		item(y, k);
}

static void
feature(struct yaml_reader *y, const struct node *n)
{
	detail(y, n, y->t.feature);
}

static void
operation(struct yaml_reader *y, const struct node *n)
{
	detail(y, n, y->t.operation);
}

/* "machine: household": a word of one of its properties; of the first one when
 * it is a word of none. */
static bool
kind_word(struct yaml_reader *y, const struct node *n, uint32_t kind)
{
	uint32_t first = NONE, fits = NONE;
	struct said_value v = value_of(NONE, NONE, n->place);

	for (uint32_t i = 0; i < y->t.c->n_property; i++) {
		const struct property *p = &y->t.c->property[i];

		if (p->kind != kind || p->type != TYPE_WORDS || p->word_set == 0)
			continue;
		if (first == NONE)
			first = i;
		if (fits == NONE && word_find(y->t.c, p->word_set, n->text) != NONE)
			fits = i;
	}
	if (first == NONE)
		return false;
	if (yaml_value(y, fits != NONE ? fits : first, n, &v))
		yaml_add(y, &v);
	return true;
}

static void
single(struct yaml_reader *y, const struct node *n, uint32_t kind)
{
	const char *name = craft_text(y->t.c, y->t.c->kind[kind].name);
	struct wanted w = {kind, NONE, NO16, NO16, "something to sew"};
	const struct node *is = n->type == NODE_MAP ? node_get(n, "is") : n;
	uint32_t entry;

	if (n->type == NODE_LIST) {
		yaml_shape(y, n, name, "one name", "name: value");
		return;
	}
	if (n->type == NODE_MAP)
		properties(y, n, NULL, kind, NONE);
	if (is == NULL || yaml_is_empty(is) || yaml_is_unknown(is))
		return;
	if (is->type != NODE_TEXT) {
		yaml_shape(y, is, name, "one name", "is: name");
		return;
	}
	if (kind != y->t.garment && kind_word(y, is, kind))
		return;
	entry = yaml_entry(y, is, is->text, &w, false);
	if (entry != NONE)
		thing_add(y->p, (struct said_thing){.kind = (uint16_t)kind, .role = NO16,
			.entry = entry, .count = 1, .of = NONE, .place = is->place});
}

static const char *const heads[] = {"project", "garment", "materials", "features", "operations",
	"without", "settings", "measured", "notes", "asked", "asked at", NULL};

bool
project_head(strview key)
{
	for (size_t i = 0; heads[i] != NULL; i++)
		if (sv_is(key, heads[i]))
			return true;
	return false;
}

/* Keys in the order in which they must be read: what "at" names comes first. */
static void
top(struct yaml_reader *y, const struct node *root)
{
	const struct node *n;

	if ((n = node_get(root, "project")) != NULL) {
		if (n->type == NODE_TEXT)
			y->p->title = node_words(y, n->text);
		else
			yaml_shape(y, n, "project", "a title", "project: title");
	}
	if ((n = node_get(root, "garment")) != NULL && y->t.garment != NONE)
		single(y, n, y->t.garment);
	each(y, node_get(root, "materials"), "materials", material);
	each(y, node_get(root, "features"), "features", feature);
	each(y, node_get(root, "operations"), "operations", operation);
	if (!yaml_is_empty(n = node_get(root, "without")))
		without(y, n);
	each(y, node_get(root, "settings"), "settings", yaml_settings);
	each(y, node_get(root, "measured"), "measured", yaml_measured);
	if ((n = node_key(root, "asked")) != NULL && n->value->type == NODE_TEXT) {
		y->p->asked = setting_find(y->t.c, n->value->text);
		if (y->p->asked == NONE)
			diag(y->ds, n->value->place, D_PROJECT_NAME, node_words(y, n->value->text),
			    "a setting");
	}
	if ((n = node_get(root, "asked at")) != NULL) {
		struct said_value v = value_of(NONE, NONE, n->place);

		if (yaml_scope(y, n, &v))
			y->p->asked_scope = v.scope_entry;
	}
}

/* Complaints in the order of the file, whichever was found first. */
static void
in_order(struct diags *ds, size_t from)
{
	for (size_t i = from + 1; i < ds->n; i++)
		for (size_t k = i; k > from && ds->d[k].place.at < ds->d[k - 1].place.at; k--) {
			struct diagnostic d = ds->d[k];

			ds->d[k] = ds->d[k - 1];
			ds->d[k - 1] = d;
		}
}

struct project *
project_from_yaml(struct arena *a, struct knowledge *kb, const struct source *src, struct diags *ds)
{
	const struct node *root = yaml_read(a, src, yaml_project_limits, ds);

	return root != NULL ? project_from_node(a, kb, src, root, ds) : NULL;
}

struct project *
project_from_node(struct arena *a, struct knowledge *kb, const struct source *src,
    const struct node *root, struct diags *ds)
{
	struct yaml_reader y = {.ds = ds, .src = src, .arena = a};
	size_t errors = ds->errors, from = ds->n;

	terms_init(&y.t, kb);
	y.p = project_new(a, src);
	if (root->type != NODE_MAP) {
		yaml_shape(&y, root, "a project", "names with values", "garment: name");
		return NULL;
	}
	top(&y, root);
	for (const struct node *k = root->first; k != NULL; k = k->next) {
		struct said_value v = value_of(NONE, NONE, k->place);
		uint32_t kind = kind_find(y.t.c, k->text), p = NONE;

		if (project_head(k->text))
			continue;
		if (y.t.garment != NONE)
			p = yaml_property(&y, y.t.garment, k->text);
		if (kind != NONE && y.t.c->kind[kind].singleton)
			single(&y, k->value, kind);
		else if (p == NONE)
			yaml_unknown_key(&y, k, y.t.garment, heads);
		else if (yaml_value(&y, p, k->value, &v))
			yaml_add(&y, &v);
	}
	in_order(ds, from);
	return ds->errors > errors ? NULL : y.p;
}
