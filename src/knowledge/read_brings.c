/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What an entry adds to a model besides itself.
 *
 * Items are numbered as they stand, a nested one after the item it belongs to.
 * Names given by `as` are collected first: an item may refer to a later one.
 */
#include "knowledge/knowledge_impl.h"

#include <stdlib.h>
#include <string.h>

struct draft {                             /* one item on its way */
	const struct node *item;
	const struct node *head;           /* key that names its kind */
	const char *name, *as;
};
struct bringing {
	struct compiler *c;
	uint32_t entry;
	struct entry_draft *d;
	struct draft *item;                /* heap; beside d->record.brings */
	size_t cap;
	bool has_basis;
	uint32_t low, high;
	struct scope scope;
};

enum { BRINGS_MOST = 400, NESTED_DEEPEST = 4 };

static const char *const own_keys[] = {"as", "when", "unless", "after", "main", "basis", NULL};

static bool
own_key(strview key)
{
	for (size_t i = 0; own_keys[i] != NULL; i++)
		if (sv_is(key, own_keys[i]))
			return true;
	return false;
}

/* The kind whose plural this key is, if objects of it refer to KIND. */
static uint32_t
nested_kind(struct compiler *c, strview key, uint16_t kind, uint32_t *property)
{
	const struct craft *v = maker_view(c->m);

	for (uint32_t k = 0; k < v->n_kind; k++) {
		if (!sv_is(key, craft_text(v, v->kind[k].plural)))
			continue;
		for (uint32_t i = 0; i < v->kind[k].n_properties; i++) {
			const struct property *p = &v->property[v->kind[k].first_property + i];

			if (p->type == TYPE_REF && p->ref_kind == kind) {
				*property = v->kind[k].first_property + i;
				return k;
			}
		}
	}
	return NONE;
}

/* An entry that becomes an object of this kind, by any of its names. */
static uint32_t
entry_of(struct compiler *c, uint16_t kind, strview name)
{
	const char *key = name_key(c->arena, name);

	for (const struct symbol *y = symbols_find(&c->entries, sv(key), NULL); y != NULL;
	    y = symbols_find(&c->entries, sv(key), y))
		if (maker_at_entry_kind(c->m, c->drafts[y->id].kind)->object_kind == kind)
			return y->id;
	return NONE;
}

/* A name of its own that is one slip away from an entry would lose, unseen,
 * all that the entry says. */
static void
nearly(struct compiler *c, const struct node *n, uint16_t kind)
{
	strview name = sv_trim(n->text);
	struct near near = {0};

	if (name.n < 5)
		return;
	for (uint32_t i = 0; i < c->entries.n; i++) {
		const struct symbol *y = &c->entries.s[i];

		if (maker_at_entry_kind(c->m, c->drafts[y->id].kind)->object_kind == kind &&
		    edit_distance(sv(name_key(c->arena, name)), sv(y->text), 1) == 1)
			near_offer(&near, name, y->text);
	}
	if (near.n == 0)
		return;
	diag(c->ds, n->place, D_NEARLY_AN_ENTRY, kept(c, name));
	diag_near(c->ds, &near);
}

/* ---- first pass: items and their names ----------------------------- */

static void collect(struct bringing *b, const struct node *list, uint32_t kind, uint32_t parent,
    uint32_t property, int depth);

static void
collect_item(struct bringing *b, const struct node *item, uint32_t kind, uint32_t parent,
    uint32_t property,
    int depth)
{
	struct compiler *c = b->c;
	struct record *r = &b->d->record;
	struct bring it = {.entry = NONE, .when = NONE, .parent = parent,
	    .parent_property = property};
	struct draft draft = {.item = item};
	const struct symbol *y = NULL;
	uint32_t number;

	if (item->type != NODE_MAP || item->first == NULL) {
		diag(c->ds, item->place, D_EXPECTED_MAP, "an item under brings");
		return;
	}
	/* The first key names the kind. */
	draft.head = item->first;
	if ((y = symbols_find(&c->kinds, draft.head->text, NULL)) == NULL ||
	    (kind != NONE && y->id != kind)) {
		struct near near = {0};

		symbols_near(&c->kinds, draft.head->text, &near);
		diag(c->ds, draft.head->place, D_UNKNOWN_KIND, kept(c, draft.head->text));
		diag_near(c->ds, &near);
		return;
	}
	if (!is_text(c, draft.head->value, y->text))
		return;
	if (r->n_brings == BRINGS_MOST) {
		diag(c->ds, item->place, D_TOO_MANY, "items under brings", "400");
		return;
	}
	it.kind = (uint16_t)y->id;
	draft.name = kept(c, sv_trim(draft.head->value->text));
	draft.as = kept(c, get_text(c, item, "as"));
	it.name = draft.name;
	it.entry = entry_of(c, it.kind, sv(draft.name));
	if (it.entry == NONE)
		nearly(c, draft.head->value, it.kind);
	it.main = get_yes(c, item, "main", false);
	number = r->n_brings;
	r->brings = mem_grow(r->brings, &r->cap_brings, number + 1, sizeof *r->brings);
	b->item = mem_grow(b->item, &b->cap, number + 1, sizeof *b->item);
	r->brings[number] = it;
	b->item[number] = draft;
	r->n_brings++;
	for (const struct node *k = item->first->next; k != NULL; k = k->next) {
		uint32_t ref, nested = nested_kind(c, k->text, it.kind, &ref);

		if (nested == NONE)
			continue;
		if (k->value->type != NODE_LIST)
			diag(c->ds, k->value->place, D_EXPECTED_LIST, kept(c, k->text));
		else if (depth == NESTED_DEEPEST)
			diag(c->ds, k->place, D_TOO_MANY, "items within each other", "4");
		else
			collect(b, k->value, nested, number, ref, depth + 1);
	}
}

static void
collect(struct bringing *b, const struct node *list, uint32_t kind, uint32_t parent,
    uint32_t property, int depth)
{
	for (const struct node *i = list->first; i != NULL; i = i->next)
		collect_item(b, i, kind, parent, property, depth);
}

/* ---- second pass: what is said of each ----------------------------- */

/* By `as`, else by its own name where that is not ambiguous; KIND NO16: any. */
static uint32_t
local_named(struct bringing *b, strview name, uint16_t kind)
{
	const struct record *r = &b->d->record;
	uint32_t found = NONE;

	for (uint32_t i = 0; i < r->n_brings; i++)
		if ((kind == NO16 || r->brings[i].kind == kind) && sv_is(name, b->item[i].as))
			return i;
	for (uint32_t i = 0; i < r->n_brings; i++)
		if ((kind == NO16 || r->brings[i].kind == kind) && sv_is(name, b->item[i].name)) {
			if (found != NONE)
				return NONE;
			found = i;
		}
	return found;
}

static void
local_unknown(struct bringing *b, const struct node *n)
{
	struct near near = {0};

	for (uint32_t i = 0; i < b->d->record.n_brings; i++) {
		if (b->item[i].as[0] != '\0')
			near_offer(&near, n->text, b->item[i].as);
		near_offer(&near, n->text, b->item[i].name);
	}
	if (b->c->role_set != NONE) {
		const struct craft *v = maker_view(b->c->m);

		for (uint32_t i = 0; i < v->word_set[b->c->role_set].n; i++)
			near_offer(&near, n->text,
			    craft_text(v, v->word[v->word_set[b->c->role_set].first + i].name));
	}
	diag(b->c->ds, n->place, D_UNKNOWN_LOCAL, kept(b->c, n->text));
	diag_near(b->c->ds, &near);
}

static bool
reference(struct bringing *b, const struct node *k, uint16_t ref_kind, struct bring_set *s)
{
	struct compiler *c = b->c;
	strview name;

	if (!is_text(c, k->value, kept(c, k->text)))
		return false;
	name = sv_trim(k->value->text);
	s->local = local_named(b, name, ref_kind);
	if (s->local != NONE) {
		s->how = BRING_LOCAL;
		return true;
	}
	if (c->role_set != NONE) {
		uint32_t role = word_find(maker_view(c->m), c->role_set, name);

		if (role != NONE) {
			s->how = BRING_ROLE;
			s->role = (uint16_t)role;
			return true;
		}
	}
	local_unknown(b, k->value);
	return false;
}

/* A list of roles: one set for each, in their order; the first that is there
 * is meant. Their number. */
static uint32_t
one_of_roles(struct bringing *b, const struct node *k, uint32_t property, struct bring_set *sets)
{
	struct compiler *c = b->c;
	uint32_t n = 0;

	for (const struct node *i = k->value->first; i != NULL; i = i->next) {
		uint32_t role = i->type == NODE_TEXT && c->role_set != NONE ?
		    word_find(maker_view(c->m), c->role_set, sv_trim(i->text)) : NONE;

		if (role == NONE) {
			diag(c->ds, i->place, D_NOT_A_ROLE, kept(c, i->text));
			continue;
		}
		sets[n++] = (struct bring_set){.property = property, .typical = NONE,
		    .program = NONE, .local = NONE, .how = BRING_ROLE, .role = (uint16_t)role};
	}
	return n;
}

static bool
is_expression(const struct node *n)
{
	return n->type == NODE_TEXT && !n->quoted && n->text.n > 2 && n->text.p[0] == '=' &&
	    n->text.p[1] == ' ';
}

static bool
said(struct bringing *b, const struct node *k, uint32_t kind, bool has_basis, uint32_t low,
    uint32_t high,
    struct bring_set *s)
{
	struct compiler *c = b->c;
	struct record *r = &b->d->record;
	uint32_t p = find_property(c, k, kind, k->text);
	const struct property *q;
	struct typical t;

	*s = (struct bring_set){.property = p, .typical = NONE, .program = NONE, .local = NONE,
	    .role = NO16};
	if (p == NONE)
		return false;
	q = maker_at_property(c->m, p);
	if (k->value->type == NODE_TEXT && k->value->text.n > 2 && k->value->text.p[0] == '=' &&
	    (is_expression(k->value) || k->value->text.p[1] == ' ')) {
		struct expected e = {.type = q->type, .dim = q->dim, .word_set = q->word_set};
		struct scope scope = b->scope;

		scope.for_property = p;
		s->how = BRING_PROGRAM;
		s->program = compile_expression(c, k->value, 2, &scope, &e);
		return s->program != NONE;
	}
	if (q->type == TYPE_REF)
		return reference(b, k, q->ref_kind, s);
	if (!read_typical(c, k, p, has_basis, low, high, r, &t))
		return false;
	s->how = BRING_VALUE;
	s->typical = r->n_bring_values;
	r->bring_values = mem_grow(r->bring_values, &r->cap_bring_values, r->n_bring_values + 1,
	    sizeof *r->bring_values);
	r->bring_values[r->n_bring_values++] = t;
	return true;
}

static void
follow_after(struct bringing *b, uint32_t i)
{
	struct compiler *c = b->c;
	struct texts t = get_texts(c, b->item[i].item, "after");
	uint32_t *list = arena_alloc(c->arena, (t.n + 1) * sizeof *list), n = 0;

	for (uint32_t k = 0; k < t.n; k++) {
		list[n] = local_named(b, sv_trim(t.node[k]->text), b->d->record.brings[i].kind);
		if (list[n] == NONE)
			list[n] = local_named(b, sv_trim(t.node[k]->text), NO16);
		if (list[n] == NONE)
			local_unknown(b, t.node[k]);
		else
			n++;
	}
	b->d->record.brings[i].after = list;
	b->d->record.brings[i].n_after = n;
}

/* `when` and `unless` as one condition: nothing of what `unless` names is there. */
static const struct node *
condition(struct bringing *b, uint32_t i)
{
	struct compiler *c = b->c;
	const struct node *item = b->item[i].item, *when = node_get(item, "when"),
	    *unless = node_get(item, "unless");
	const struct bring *it = &b->d->record.brings[i];
	struct texts t = get_texts(c, item, "unless");
	struct buf say = {0};
	struct node *both;

	if (when != NULL && !is_text(c, when, "when"))
		return NULL;
	if (unless == NULL)
		return when;
	if (when != NULL)
		buf_print(&say, "(%.*s)", (int)when->text.n, when->text.p);
	for (uint32_t k = 0; k < t.n; k++) {
		uint32_t e = find_entry(c, t.node[k], sv_trim(t.node[k]->text),
		    it->entry == NONE ? NONE : c->drafts[it->entry].kind);
		const struct craft *v = maker_view(c->m);
		const char *kind;

		if (e == NONE)
			continue;
		if (maker_at_entry_kind(c->m, c->drafts[e].kind)->object_kind == NO16) {
			diag(c->ds, t.node[k]->place, D_UNLESS_NO_OBJECT, kept(c, t.node[k]->text));
			continue;
		}
		kind = craft_text(v, v->kind[maker_at_entry_kind(c->m,
		    c->drafts[e].kind)->object_kind].name);
		buf_print(&say, "%snot any %s (%s is \"%s\")", say.n > 0 ? " and " : "", kind, kind,
		    c->drafts[e].name);
	}
	both = arena_alloc(c->arena, sizeof *both);
	*both = *unless;
	both->type = NODE_TEXT;
	both->first = NULL;
	both->text = sv(kept(c, (strview){say.p, say.n}));
	buf_free(&say);
	return both->text.n > 0 ? both : when;
}

static void
fill_item(struct bringing *b, uint32_t i)
{
	struct compiler *c = b->c;
	const struct node *item = b->item[i].item, *when = condition(b, i),
	    *basis = node_get(item, "basis");
	struct expected truth = {.type = TYPE_TRUTH};
	bool has_basis = b->has_basis;
	uint32_t low = b->low, high = b->high, n = 0, nested, program;
	uint32_t kind = b->d->record.brings[i].kind;
	struct bring_set *sets;
	size_t most = item->n + 1;

	for (const struct node *k = item->first; k != NULL; k = k->next)
		most += k->value->type == NODE_LIST ? k->value->n : 0;
	sets = arena_alloc(c->arena, most * sizeof *sets);

	if (basis != NULL)
		has_basis = get_basis(c, basis, &low, &high);
	if (when != NULL) {
		program = compile_expression(c, when, 0, &b->scope, &truth);
		b->d->record.brings[i].when = program;
	}
	follow_after(b, i);
	for (const struct node *k = item->first->next; k != NULL; k = k->next) {
		if (own_key(k->text) || nested_kind(c, k->text, (uint16_t)kind, &nested) != NONE)
			continue;
		nested = NONE;
		if (k->value->type == NODE_LIST &&
		    (nested = find_property(c, k, kind, k->text)) == NONE)
			continue;
		if (nested != NONE && maker_at_property(c->m, nested)->type == TYPE_REF)
			n += one_of_roles(b, k, nested, &sets[n]);
		else
			n += said(b, k, kind, has_basis || (basis != NULL), low, high, &sets[n]);
	}
	b->d->record.brings[i].set = sets;
	b->d->record.brings[i].n_set = n;
}

/* ---- what must come before ----------------------------- */

/* Kahn's way: whatever cannot be put in order stands on a circle or behind one. */
static void
check_order(struct bringing *b)
{
	const struct record *r = &b->d->record;
	bool *placed = arena_alloc(b->c->arena, r->n_brings + 1);

	for (bool moved = true; moved;) {
		moved = false;
		for (uint32_t i = 0; i < r->n_brings; i++) {
			bool free_now = !placed[i];

			for (uint32_t k = 0; free_now && k < r->brings[i].n_after; k++)
				free_now = placed[r->brings[i].after[k]];
			placed[i] |= free_now;
			moved |= free_now;
		}
	}
	for (uint32_t i = 0; i < r->n_brings; i++)
		if (!placed[i]) {
			uint32_t k = 0;

			while (k + 1 < r->brings[i].n_after && placed[r->brings[i].after[k]])
				k++;
			diag(b->c->ds, b->item[i].head->value->place, D_AFTER_CIRCLE,
			    b->item[i].name,
			    b->item[r->brings[i].after[k]].name);
			return;
		}
}

void
read_brings(struct compiler *c, uint32_t draft, const struct node *list, bool has_basis,
    uint32_t low, uint32_t high)
{
	struct bringing b = {.c = c, .entry = draft, .d = &c->drafts[draft], .has_basis = has_basis,
	    .low = low, .high = high, .scope = {.n_variables = 1, .formula = NONE,
	    .for_property = NONE}};
	uint16_t kind = maker_at_entry_kind(c->m, b.d->kind)->object_kind;

	if (list->type != NODE_LIST) {
		diag(c->ds, list->place, D_EXPECTED_LIST, "brings");
		return;
	}
	b.scope.variable_kind[0] = kind;
	b.scope.variable_name[0] = kept(c,
	    sv(craft_text(maker_view(c->m), maker_at_kind(c->m, kind)->name)));
	collect(&b, list, NONE, NONE, NONE, 0);
	for (uint32_t i = 0; i < b.d->record.n_brings; i++)
		fill_item(&b, i);
	check_order(&b);
	free(b.item);
}
