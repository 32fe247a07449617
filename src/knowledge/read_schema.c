/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The schema: word sets, kinds and their properties; and the look-ups that
 * complain of a name nobody declared and offer near ones.
 */
#include "knowledge/knowledge_impl.h"

#include <string.h>

/* ---- look-ups with complaints ----------------------------- */

static uint32_t
find_in(struct compiler *c, const struct symbols *s, const struct node *n, strview name, size_t at,
    enum diag_id id)
{
	const struct symbol *y = symbols_find(s, name, NULL);
	struct near near = {0};

	if (y != NULL)
		return y->id;
	diag(c->ds, text_place(n, at, name.n), id, kept(c, name));
	symbols_near(s, name, &near);
	diag_near(c->ds, &near);
	return NONE;
}

uint32_t
find_set(struct compiler *c, const struct node *n, strview name)
{
	return find_in(c, &c->sets, n, name, 0, D_UNKNOWN_SET);
}

uint32_t
find_kind(struct compiler *c, const struct node *n, strview name)
{
	return find_in(c, &c->kinds, n, name, 0, D_UNKNOWN_KIND);
}

uint32_t
find_setting(struct compiler *c, const struct node *n, strview name)
{
	const struct symbol *y = symbols_find(&c->settings, name, NULL);
	struct near near = {0};
	struct buf all = {0};

	if (y != NULL)
		return y->id;
	buf_add(&all, "", 0);
	for (uint32_t i = 0; i < maker_view(c->m)->n_setting; i++)
		buf_print(&all, "%s%s", i > 0 ? ", " : "", craft_text(maker_view(c->m),
		    maker_view(c->m)->setting[i].name));
	diag(c->ds, text_place(n, 0, name.n), D_UNKNOWN_SETTING, kept(c, name), all.p);
	buf_free(&all);
	symbols_near(&c->settings, name, &near);
	diag_near(c->ds, &near);
	return NONE;
}

uint32_t
find_source(struct compiler *c, const struct node *n, strview name)
{
	return find_in(c, &c->sources, n, name, 0, D_UNKNOWN_SOURCE);
}

uint32_t
find_role(struct compiler *c, const struct node *n, strview name)
{
	uint64_t set[2];

	if (c->role_set == NONE || !get_words(c, n, name, 0, c->role_set, set))
		return NONE;
	for (uint32_t i = 0; i < 128; i++)
		if (set[i >> 6] >> (i & 63) & 1)
			return i;
	return NONE;
}

static const char *
kind_name(struct compiler *c, uint32_t kind)
{
	return craft_text(maker_view(c->m), maker_at_kind(c->m, kind)->name);
}

static uint32_t
property_named(struct compiler *c, const struct node *n, uint32_t kind, strview name, size_t at)
{
	struct near near = {0};
	const struct kind *k = maker_at_kind(c->m, kind);

	for (uint32_t i = 0; i < k->n_properties; i++) {
		const char *its = craft_text(maker_view(c->m),
		    maker_at_property(c->m, k->first_property + i)->name);

		if (sv_is(name, its))
			return k->first_property + i;
		near_offer(&near, name, its);
	}
	diag(c->ds, text_place(n, at, name.n), D_UNKNOWN_PROPERTY, kind_name(c, kind),
	    kept(c, name));
	diag_near(c->ds, &near);
	return NONE;
}

uint32_t
find_property(struct compiler *c, const struct node *n, uint32_t kind, strview name)
{
	return property_named(c, n, kind, name, 0);
}

/* path = kind "." property */
uint32_t
find_path_property(struct compiler *c, const struct node *n, strview path, size_t at)
{
	const char *dot = memchr(path.p, '.', path.n);
	size_t k = dot != NULL ? (size_t)(dot - path.p) : path.n;
	uint32_t kind = find_in(c, &c->kinds, n, (strview){path.p, k}, at, D_UNKNOWN_KIND);

	if (kind == NONE)
		return NONE;
	if (dot == NULL) {
		diag(c->ds, text_place(n, at, path.n), D_UNKNOWN_PROPERTY, kind_name(c, kind),
		    "\"\"");
		return NONE;
	}
	return property_named(c, n, kind, (strview){path.p + k + 1, path.n - k - 1}, at + k + 1);
}

/* The name goes into the table unless it stands there already. */
bool
new_name(struct compiler *c, struct symbols *s, const char *what, const struct node *n,
    strview name, uint32_t id)
{
	const struct symbol *y = symbols_find(s, name, NULL);
	struct buf where = {0};

	if (y == NULL) {
		symbols_add(s, kept(c, name), id, n->place);
		return true;
	}
	place_name(&where, y->place);
	diag(c->ds, n->place, D_DUPLICATE_NAME, what, kept(c, name), where.n > 0 ? where.p :
	    "built in");
	buf_free(&where);
	return false;
}

bool
get_basis(struct compiler *c, const struct node *n, uint32_t *low, uint32_t *high)
{
	const struct node *a = n, *b = n;

	if (n->type == NODE_LIST && n->n == 2) {
		a = n->first;
		b = a->next;
	} else if (n->type == NODE_LIST && n->n == 1) {
		a = b = n->first;
	}
	if (!is_text(c, a, "basis") || (b != a && !is_text(c, b, "basis")))
		return false;
	*low = find_source(c, a, sv_trim(a->text));
	*high = a == b ? *low : find_source(c, b, sv_trim(b->text));
	return *low != NONE && *high != NONE;
}

/* ---- word sets ----------------------------- */

static const char *const set_keys[] = {"!set", "values", "ordered", "by name", "entries of", "says",
	NULL};

static void
built_in_sets(struct compiler *c)
{
	struct word no = {maker_text(c->m, SV("no")), NONE}, yes = {maker_text(c->m, SV("yes")),
	    NONE};
	struct word_set s = {.name = maker_text(c->m, SV("yes-no")), .n = 2, .entries_of = NO16};

	s.first = maker_add_word(c->m, &no, 1);
	maker_add_word(c->m, &yes, 1);
	symbols_add(&c->sets, "yes-no", maker_add_word_set(c->m, &s, 1), (struct place){0});
}

static void
set_full(struct compiler *c, struct place p, const char *name, uint32_t n)
{
	char count[16];

	snprintf(count, sizeof count, "%u", (unsigned)n);
	diag(c->ds, p, D_TOO_MANY_WORDS, name, count);
}

static void
word_set(struct compiler *c, const struct node *item)
{
	const struct node *name = node_get(item, "set"), *from = node_get(item, "entries of");
	struct word_set s = {.entries_of = NO16};
	struct symbols seen = {0};
	struct texts words;
	strview n;

	if (!keys_known(c, item, "a word set", set_keys) || !is_text(c, name, "set"))
		return;
	n = sv_trim(name->text);
	if (!new_name(c, &c->sets, "a word set", name, n, maker_view(c->m)->n_word_set))
		return;
	if ((from != NULL) == (node_get(item, "values") != NULL))
		diag(c->ds, name->place, D_ONE_OF_KEYS, kept(c, n), "values, entries of");
	words = get_texts(c, item, "values");
	s.name = maker_text(c->m, n);
	s.ordered = get_yes(c, item, "ordered", false);
	s.by_name = get_yes(c, item, "by name", false);
	s.first = maker_view(c->m)->n_word;
	for (uint32_t i = 0; i < words.n; i++) {
		strview w = sv_trim(words.node[i]->text);
		struct word word = {maker_text(c->m, w), NONE};

		if (!new_name(c, &seen, "a word of this set", words.node[i], w, i))
			continue;
		if (s.n == 128) {
			set_full(c, name->place, kept(c, n), words.n);
			break;
		}
		maker_add_word(c->m, &word, 1);
		s.n++;
	}
	maker_add_word_set(c->m, &s, 1);
	symbols_free(&seen);
}

void
read_word_sets(struct compiler *c)
{
	const struct symbol *y;

	built_in_sets(c);
	each_item(c, "word sets", word_set);
	c->role_set = (y = symbols_find(&c->sets, SV("role"), NULL)) != NULL ? y->id : NONE;
	c->region_set = (y = symbols_find(&c->sets, SV("region"), NULL)) != NULL ? y->id : NONE;
	if (c->role_set == NONE)
		diag(c->ds, (struct place){0}, D_BUILT_IN_MISSING, "the word set role");
}

static void
bind_word_set(struct compiler *c, const struct node *item)
{
	const struct node *from = node_get(item, "entries of"), *name = node_get(item, "set");
	const struct symbol *y;
	struct word_set *s;
	uint32_t kind, n = 0, first, set;

	if (from == NULL || name == NULL || name->type != NODE_TEXT ||
	    !is_text(c, from, "entries of"))
		return;
	y = symbols_find(&c->sets, sv_trim(name->text), NULL);
	kind = find_in(c, &c->entry_kinds, from, sv_trim(from->text), 0, D_UNKNOWN_ENTRY_KIND);
	if (y == NULL || kind == NONE || y->place.at != name->place.at ||
	    y->place.src != name->place.src)
		return;
	set = y->id;
	first = maker_view(c->m)->n_word;
	for (uint32_t i = 0; i < c->n_drafts; i++) {
		struct word w = {maker_text(c->m, sv(c->drafts[i].name)), i};

		if (c->drafts[i].kind != kind)
			continue;
		if (++n <= 128)
			maker_add_word(c->m, &w, 1);
	}
	if (n > 128) {
		set_full(c, name->place, kept(c, sv_trim(name->text)), n);
		n = 128;
	}
	s = maker_at_word_set(c->m, set);
	s->entries_of = (uint16_t)kind;
	s->first = first;
	s->n = n;
}

void
fill_word_sets(struct compiler *c)
{
	each_item(c, "word sets", bind_word_set);
}

/* ---- kinds and properties ----------------------------- */

static const char *const kind_keys[] = {"!kind", "!plural", "says", "one", "usual", "sizes",
	"!properties", NULL};
static const char *const property_keys[] = {"!property", "label", "quantity", "words", "band",
	"refers to", "units", "bare", "step", "domain", "about", "own", "ask", "act", "formula",
	"basis", "role", "roles", "elsewhere", "by name", "late", "says", "size", NULL};

static uint32_t
unit_named(struct compiler *c, const struct node *n)
{
	return find_in(c, &c->unit_names, n, sv_trim(n->text), 0, D_UNKNOWN_UNIT);
}

/* Unit names point into the drafts, some of which may be left out. */
uint32_t
find_unit(struct compiler *c, const struct node *n)
{
	uint32_t i = unit_named(c, n);

	if (i == NONE)
		return NONE;
	for (i = 0; i < c->units.n; i++)
		if (sv_is(sv_trim(n->text), c->units.u[i].name))
			return i;
	return NONE;
}

static bool
property_units(struct compiler *c, const struct node *item, struct property *p)
{
	struct texts units = get_texts(c, item, "units");
	const struct node *bare = node_get(item, "bare");

	for (uint32_t i = 0; i < units.n; i++) {
		uint32_t u = find_unit(c, units.node[i]), at;
		uint16_t small = (uint16_t)u;

		if (u == NONE)
			continue;
		if (!dim_eq(c->units.u[u].dim, p->dim)) {
			struct buf dim = {0};

			dim_print(&dim, p->dim);
			diag(c->ds, units.node[i]->place, D_VALUE_WRONG_DIMENSION,
			    c->units.u[u].name,
			    craft_text(maker_view(c->m), p->name), dim.p,
			    "units of that dimension");
			buf_free(&dim);
			continue;
		}
		at = maker_add_unit_list(c->m, &small, 1);
		if (p->n_units++ == 0)
			p->first_unit = at;
	}
	if (p->n_units == 0) {
		diag(c->ds, node_get(item, "property")->place, D_MISSING_KEY, "a quantity", "units",
		    "units");
		return false;
	}
	if (bare != NULL && is_text(c, bare, "bare")) {
		uint32_t u = find_unit(c, bare);

		if (u != NONE)
			p->bare_unit = (uint16_t)u;
	}
	return true;
}

static struct wanted
wanted_of(struct compiler *c, const struct property *p, const char *what)
{
	struct wanted all = wanted_dimension(c, what, p->dim), w = all;
	uint16_t *units = arena_alloc(c->arena, (p->n_units + all.f.n_units + 1) * sizeof *units);

	/* Steps and domains may be written in any unit of the dimension, but
	 * those of the property go first where a spelling has two meanings. */
	for (uint32_t i = 0; i < p->n_units; i++)
		units[i] = *maker_at_unit_list(c->m, p->first_unit + i);
	memcpy(units + p->n_units, all.f.units, all.f.n_units * sizeof *units);
	w.f.units = units;
	w.f.n_units = p->n_units + all.f.n_units;
	if (p->bare_unit != NO16)
		w.f.bare = p->bare_unit;
	return w;
}

static void
property_figures(struct compiler *c, const struct node *item, struct property *p)
{
	const struct node *step = node_get(item, "step"), *domain = node_get(item, "domain");
	const struct node *about = node_get(item, "about");
	struct wanted w = wanted_of(c, p, "step");
	dimension none = {0, 0, 0, 0};
	range r;

	p->domain = range_all();
	w.exact = w.difference = true;
	if (step != NULL && get_range(c, step, &w, &r))
		p->step = r.lo;
	w = wanted_of(c, p, "domain");
	if (domain != NULL && get_range(c, domain, &w, &r))
		p->domain = r;
	w = wanted_dimension(c, "about", none);
	w.exact = true;
	if (about != NULL && get_range(c, about, &w, &r))
		p->about = r.lo;
}

/* The heading under which a size is shown: a word of the set so called. */
static uint8_t
size_group(struct compiler *c, const struct node *item)
{
	const struct node *n = node_get(item, "size");
	const struct symbol *y = symbols_find(&c->sets, SV("size group"), NULL);
	uint64_t set[2] = {0, 0};

	if (n == NULL || !is_text(c, n, "size"))
		return 0;
	if (y == NULL) {
		diag(c->ds, n->place, D_BUILT_IN_MISSING, "the word set size group");
		return 0;
	}
	if (!get_words(c, n, sv_trim(n->text), 0, y->id, set))
		return 0;
	for (uint8_t i = 0; i < 64; i++)
		if (set[0] >> i & 1)
			return (uint8_t)(i + 1);
	return 0;
}

static void
one_property(struct compiler *c, const struct node *item, uint32_t kind, uint32_t slot)
{
	static const struct { const char *key; uint8_t type; } types[] = {
		{"quantity", TYPE_QUANTITY}, {"words", TYPE_WORDS}, {"band", TYPE_BAND},
		    {"refers to", TYPE_REF},
	};
	struct property p = {.kind = (uint16_t)kind, .slot = (uint16_t)slot, .bare_unit = NO16,
	    .ref_kind = NO16, .word_set = NO16, .formula = NONE, .formula_entry = NONE,
	    .elsewhere = NONE, .from_default = NONE,
	    .domain = range_all()};
	const struct node *name = node_get(item, "property"), *of = NULL;
	const struct node *role = node_get(item, "role");
	struct texts told_of;
	uint32_t ways = 0, i;
	strview label, path;

	for (size_t t = 0; t < sizeof types / sizeof *types; t++)
		if (node_get(item, types[t].key) != NULL) {
			of = node_get(item, types[t].key);
			p.type = types[t].type;
			ways++;
		}
	p.name = maker_text(c->m, sv_trim(name->text));
	label = get_text(c, item, "label");
	p.label = maker_text(c->m, label.n > 0 ? label : sv_trim(name->text));
	p.ask = get_text_at(c, item, "ask");
	p.says = get_text_at(c, item, "says");
	p.size = size_group(c, item);
	p.flags = (uint8_t)((get_yes(c, item, "act", false) ? PROPERTY_ACT : 0) |
	    (get_yes(c, item, "own", false) ? PROPERTY_OWN : 0) |
	    (get_yes(c, item, "by name", false) ? PROPERTY_BY_NAME : 0) |
	    (get_yes(c, item, "late", false) ? PROPERTY_LATE : 0) |
	    (node_get(item, "formula") != NULL ? PROPERTY_DERIVED : 0));
	if (ways != 1) {
		diag(c->ds, name->place, D_ONE_OF_KEYS, kept(c, name->text),
		    "quantity, words, band, refers to");
		p.type = TYPE_WORDS;
		p.word_set = 0;
	} else if (!is_text(c, of, kept(c, name->text))) {
		p.type = TYPE_WORDS;
		p.word_set = 0;
	} else if (p.type == TYPE_WORDS) {
		i = find_set(c, of, sv_trim(of->text));
		p.word_set = i == NONE ? 0 : (uint16_t)i;
	} else if (p.type == TYPE_REF) {
		/* Kinds may stand in any order: bound later. Until then, and if
		 * there is no such kind, to its own, so that paths stay whole. */
		p.ref_kind = (uint16_t)kind;
	} else if (!dim_read(sv_trim(of->text), &p.dim)) {
		diag(c->ds, of->place, D_UNKNOWN_DIMENSION, kept(c, of->text));
	} else if (property_units(c, item, &p)) {
		property_figures(c, item, &p);
	}
	if (role != NULL && is_text(c, role, "role")) {
		i = find_role(c, role, sv_trim(role->text));
		p.role = i == NONE ? 0 : (uint16_t)(i + 1);
	}
	told_of = get_texts(c, item, "roles");
	for (uint32_t t = 0; t < told_of.n; t++)
		if ((i = find_role(c, told_of.node[t], told_of.node[t]->text)) < 32)
			p.roles |= (uint32_t)1 << i;
	if (node_get(item, "formula") != NULL && node_get(item, "basis") == NULL)
		diag(c->ds, node_key(item, "formula")->place, D_NO_BASIS, "a formula");
	else if (node_get(item, "basis") != NULL)
		get_basis(c, node_get(item, "basis"), &p.from_default, &i);
	path = sv(arena_print(c->arena, "%s.%.*s", kind_name(c, kind), (int)sv_trim(name->text).n,
	    sv_trim(name->text).p));
	i = maker_add_property(c->m, &p, 1);
	new_name(c, &c->properties, "a property", name, path, i);
}

static void
one_kind(struct compiler *c, const struct node *item)
{
	const struct node *name = node_get(item, "kind"), *list = node_get(item, "properties");
	struct kind k = {.name_property = NONE};
	uint32_t kind, n = 0;

	if (!keys_known(c, item, "a kind", kind_keys) || !is_text(c, name, "kind"))
		return;
	if (list->type != NODE_LIST) {
		diag(c->ds, list->place, D_EXPECTED_LIST, "properties");
		return;
	}
	if (!new_name(c, &c->kinds, "a kind", name, sv_trim(name->text), maker_view(c->m)->n_kind))
		return;
	k.name = maker_text(c->m, sv_trim(name->text));
	k.plural = get_text_at(c, item, "plural");
	k.says = get_text_at(c, item, "says");
	k.singleton = get_yes(c, item, "one", false);
	k.usual = get_yes(c, item, "usual", false);
	k.sizes = get_yes(c, item, "sizes", false);
	k.first_property = maker_view(c->m)->n_property;
	kind = maker_add_kind(c->m, &k, 1);
	for (const struct node *i = list->first; i != NULL; i = i->next)
		if (keys_known(c, i, "a property", property_keys) &&
		    is_text(c, node_get(i, "property"), "property"))
			one_property(c, i, kind, n++);
	maker_at_kind(c->m, kind)->n_properties = n;
}

static void
bind_references(struct compiler *c, const struct node *item)
{
	const struct node *name = node_get(item, "kind"), *list = node_get(item, "properties");

	if (name == NULL || name->type != NODE_TEXT || list == NULL || list->type != NODE_LIST)
		return;
	for (const struct node *i = list->first; i != NULL; i = i->next) {
		const struct node *of = i->type == NODE_MAP ? node_get(i, "refers to") : NULL;
		const struct node *p = of != NULL ? node_get(i, "property") : NULL;
		const struct symbol *y;
		uint32_t kind;

		if (of == NULL || of->type != NODE_TEXT || p == NULL || p->type != NODE_TEXT)
			continue;
		kind = find_kind(c, of, sv_trim(of->text));
		y = symbols_find(&c->properties, sv(arena_print(c->arena, "%.*s.%.*s",
		    (int)sv_trim(name->text).n, sv_trim(name->text).p, (int)sv_trim(p->text).n,
		    sv_trim(p->text).p)), NULL);
		if (kind != NONE && y != NULL && maker_at_property(c->m, y->id)->type == TYPE_REF)
			maker_at_property(c->m, y->id)->ref_kind = (uint16_t)kind;
	}
}

void
read_kinds(struct compiler *c)
{
	static const char *const needed[] = {"garment", "component", NULL};
	const struct symbol *y;

	each_item(c, "kinds", one_kind);
	each_item(c, "kinds", bind_references);
	for (int i = 0; needed[i] != NULL; i++)
		if (symbols_find(&c->kinds, sv(needed[i]), NULL) == NULL)
			diag(c->ds, (struct place){0}, D_BUILT_IN_MISSING,
			    arena_print(c->arena, "the kind %s", needed[i]));
	y = symbols_find(&c->properties, SV("component.role"), NULL);
	if (y == NULL || maker_at_property(c->m, y->id)->word_set != c->role_set)
		diag(c->ds, (struct place){0}, D_BUILT_IN_MISSING,
		    "the property component.role (words: role)");
}
