/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The user's own text beside the shipped: what its files may hold, and how an
 * item of theirs meets one that stands already.
 *
 * An item with the name of a shipped entry refines it: its values take the
 * place of the shipped ones, its links and names are added, and its texts stand
 * beside the shipped texts and never instead of them, so that no caution can be
 * written away.  An item that is `like` another takes from it what it does not
 * say itself.  Both are done on the nodes as they were read, each of which
 * knows its place; what is made of them is then read as any other item.
 */
#include "knowledge/knowledge_impl.h"

#include <string.h>

bool
is_own(const struct compiler *c, struct place p)
{
	for (uint32_t i = c->n_files - c->n_own; p.src != NULL && i < c->n_files; i++)
		if (c->files[i].src == p.src)
			return true;
	return false;
}

/* ---- what may stand in a file ----------------------------- */

/* Besides the plurals of entry kinds. Schema, units, messages and the words of
 * the reader are the same for everybody: whoever could change them could make
 * the shipped rules speak of something else. */
static const char *const lists[] = {"sources", "constants", "tables", "formulas", "rules", "advice",
	"order rules", "list columns", "list phrases", NULL};
static const char *const shipped_only[] = {"units", "range words", "word sets", "kinds",
	"entry kinds", "settings", "advised roles", "role falls back", "phrases", "stop words",
	"asking words", "same words", "messages", "order changes", NULL};

bool
own_may_hold(struct compiler *c, const struct node *key)
{
	struct buf all = {0};

	for (size_t i = 0; shipped_only[i] != NULL; i++) {
		if (!sv_is(key->text, shipped_only[i]))
			continue;
		for (size_t k = 0; lists[k] != NULL; k++)
			buf_print(&all, "%s%s", k > 0 ? ", " : "", lists[k]);
		diag(c->ds, key->place, D_OWN_TOP_KEY, kept(c, key->text), all.p);
		buf_free(&all);
		return false;
	}
	return true;
}

/* ---- nodes made of nodes ----------------------------- */

static struct node *
key_node(struct compiler *c, const struct node *k, const char *name, struct node *v)
{
	struct node *n = arena_alloc(c->arena, sizeof *n);

	*n = (struct node){.type = NODE_TEXT, .place = k->place, .text = name != NULL ? sv(name) :
	    k->text, .value = v};
	return n;
}

static void
append(struct node *to, struct node *n)
{
	struct node **at = &to->first;

	while (*at != NULL)
		at = &(*at)->next;
	n->next = NULL;
	*at = n;
	to->n++;
}

static struct node *
empty(struct compiler *c, enum node_type type, struct place p)
{
	struct node *n = arena_alloc(c->arena, sizeof *n);

	*n = (struct node){.type = type, .place = p};
	return n;
}

static void
append_items(struct compiler *c, struct node *list, const struct node *from)
{
	if (from->type != NODE_LIST) {
		struct node *one = arena_alloc(c->arena, sizeof *one);

		*one = *from;
		append(list, one);
		return;
	}
	for (const struct node *i = from->first; i != NULL; i = i->next) {
		struct node *one = arena_alloc(c->arena, sizeof *one);

		*one = *i;
		append(list, one);
	}
}

/* Both as one list; the place is that of the second. */
static struct node *
joined(struct compiler *c, const struct node *a, const struct node *b)
{
	struct node *list = empty(c, NODE_LIST, b->place);

	append_items(c, list, a);
	append_items(c, list, b);
	return list;
}

static struct node *
own_basis(struct compiler *c, struct place p)
{
	struct node *n = empty(c, NODE_TEXT, p);

	n->text = SV("own");
	return n;
}

/* The value with its basis in it, so that it can stand in another item. */
static struct node *
with_basis(struct compiler *c, const struct node *k, const struct node *basis)
{
	struct node *map = empty(c, NODE_MAP, k->value->place);
	struct node *b = basis != NULL ? arena_alloc(c->arena, sizeof *b) : NULL;

	if (k->value->type == NODE_MAP)
		for (const struct node *i = k->value->first; i != NULL; i = i->next)
			append(map, key_node(c, i, NULL, i->value));
	else
		append(map, key_node(c, k, "is", k->value));
	if (node_get(map, "basis") == NULL && b != NULL) {
		*b = *basis;
		append(map, key_node(c, k, "basis", b));
	}
	return key_node(c, k, NULL, map);
}

/* Values of BELOW, but where ABOVE has one of the property that one; each with
 * the basis of the item it comes from. */
static struct node *
values(struct compiler *c, const struct node *below, const struct node *below_basis,
    const struct node *above, const struct node *above_basis)
{
	struct node *map = empty(c, NODE_MAP, above != NULL ? above->place : below->place);

	for (const struct node *k = below != NULL ? below->first : NULL; k != NULL; k = k->next) {
		const struct node *key = above != NULL ?
		    node_key(above, kept(c, k->text)) : NULL;

		append(map, key != NULL ? with_basis(c, key, above_basis) :
		    with_basis(c, k, below_basis));
	}
	for (const struct node *k = above != NULL ? above->first : NULL; k != NULL; k = k->next)
		if (below == NULL || node_key(below, kept(c, k->text)) == NULL)
			append(map, with_basis(c, k, above_basis));
	return map;
}

static bool
listed(const char *const *keys, strview key)
{
	for (; *keys != NULL; keys++)
		if (sv_is(key, *keys))
			return true;
	return false;
}

static const struct node *
basis_of(struct compiler *c, const struct node *item)
{
	const struct node *basis = node_get(item, "basis");

	return basis != NULL ? basis : is_own(c, item->place) ? own_basis(c, item->place) : NULL;
}

static const struct node *
map_under(struct compiler *c, const struct node *item, const char *key)
{
	const struct node *n = node_get(item, key);

	if (n != NULL && n->type != NODE_MAP) {
		diag(c->ds, n->place, D_EXPECTED_MAP, key);
		return NULL;
	}
	return n;
}

const struct node *
own_refines(struct compiler *c, const struct entry_draft *shipped, const struct node *item)
{
	struct node *map = empty(c, NODE_MAP, shipped->item->place);
	const struct node *below = node_get(shipped->item, "values");
	const struct node *above = map_under(c, item, "values");

	for (const struct node *k = shipped->item->first; k != NULL; k = k->next) {
		const struct node *more = node_get(item, kept(c, k->text));

		if (sv_is(k->text, "values"))
			continue;
		if (more != NULL && (sv_is(k->text, "kind of") ||
		    listed(entry_link_keys, k->text)))
			append(map, key_node(c, k, NULL, joined(c, k->value, more)));
		else
			append(map, key_node(c, k, NULL, k->value));
	}
	for (const struct node *k = item->first; k != NULL; k = k->next)
		if (node_key(shipped->item, kept(c, k->text)) == NULL &&
		    (sv_is(k->text, "kind of") || listed(entry_link_keys, k->text)))
			append(map, key_node(c, k, NULL, k->value));
	if (below != NULL || above != NULL)
		append(map, key_node(c, above != NULL ? node_key(item, "values") :
		    node_key(shipped->item, "values"), NULL, values(c, below,
		    basis_of(c, shipped->item), above, basis_of(c, item))));
	return map;
}

/* Texts that warn: what is said of the one holds of what is like it. */
static const char *const warns[] = {"caution", "law", "limits", NULL};
static const char *const never_taken[] = {"also", "short", "basis", "values", "kind of", "like",
	NULL};

const struct node *
own_like(struct compiler *c, const struct entry_draft *model, const struct node *item)
{
	struct node *map = empty(c, NODE_MAP, item->place);
	const struct node *below = node_get(model->item, "values");
	const struct node *above = map_under(c, item, "values");
	const struct node *name = model->item->first;

	for (const struct node *k = item->first; k != NULL; k = k->next) {
		const struct node *more = node_get(model->item, kept(c, k->text));

		if (sv_is(k->text, "values") || sv_is(k->text, "like"))
			continue;
		append(map, key_node(c, k, NULL, more != NULL && listed(warns, k->text) ?
		    joined(c, more, k->value) : k->value));
	}
	for (const struct node *k = name; k != NULL; k = k->next)
		if (!listed(never_taken, k->text) && node_key(map, kept(c, k->text)) == NULL &&
		    !(k->value->type == NODE_TEXT && sv_is(sv_trim(k->value->text), model->name)))
			append(map, key_node(c, k, NULL, k->value));
	if (node_get(item, "kind of") == NULL) {
		struct node *of = empty(c, NODE_TEXT, node_get(item, "like")->place);

		of->text = sv(model->name);
		append(map, key_node(c, node_key(item, "like"), "kind of", of));
	}
	if (below != NULL || above != NULL)
		append(map, key_node(c, above != NULL ? node_key(item, "values") :
		    node_key(item, "like"), "values", values(c, below, basis_of(c, model->item),
		    above, basis_of(c, item))));
	return map;
}

/* ---- names ----------------------------- */

/* Is this a name by which plain words are understood? */
static const char *
meaning(struct compiler *c, const struct name_draft *n)
{
	const struct craft *v = maker_view(c->m);

	switch ((enum name_target)n->target) {
	case NAME_ENTRY:
		if (v->entry_kind[c->drafts[n->id].kind].object_kind == NO16)
			return NULL;           /* a term of the reference: reads as nothing */
		return arena_print(c->arena, "the %s %s", craft_text(v,
		    v->entry_kind[c->drafts[n->id].kind].name), c->drafts[n->id].name);
	case NAME_WORD: return "a word for a property";
	case NAME_UNIT: return "a unit";
	case NAME_PHRASE: case NAME_STOP: return "words of the reader";
	case NAME_KIND: return "a kind of thing";
	case NAME_SETTING: case NAME_PROPERTY: return "the name of a property";
	case NAME_SHORT: case NAME_ASKING: return NULL;
	}
	return NULL;
}

void
own_names_check(struct compiler *c)
{
	for (uint32_t i = 0; i < c->n_names; i++) {
		const struct name_draft *mine = &c->names[i];
		const char *is = NULL;

		if (!mine->own || mine->inflected || mine->target != NAME_ENTRY ||
		    maker_at_entry_kind(c->m, c->drafts[mine->id].kind)->object_kind == NO16)
			continue;
		for (uint32_t k = 0; k < c->n_names && is == NULL; k++) {
			const struct name_draft *n = &c->names[k];

			if (!n->own && strcmp(n->folded, mine->folded) == 0 &&
			    !(n->target == NAME_ENTRY && (n->id == mine->id ||
			    c->drafts[n->id].own == ENTRY_OWN)))
				is = meaning(c, n);
		}
		if (is != NULL)
			diag(c->ds, c->drafts[mine->id].own_place, D_OWN_NAME_TAKEN,
			    mine->written, is);
	}
}
