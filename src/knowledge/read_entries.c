/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Entries: first all their names, so that everything else may speak of any of
 * them; then what each says, its values, its links and what it brings.
 */
#include "knowledge/knowledge_impl.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Paragraphs for the reader, the same for every entry kind. */
const char *const entry_text_keys[] = {"says", "recognise", "good for", "bad for", "handling",
	"care", "place", "use", "limits", "law", "caution", "note", "test", "confirm in", "symptom",
	"check", "remedy", "ease", "touches", "section", "shape", "kit", NULL};
/* Those that order, tie or draw an entry and hold nothing to look for. */
static const char *const tie_keys[] = {"says", "ease", "touches", "section", "shape", NULL};
const char *const entry_link_keys[] = {"kin", "suits", "suits not", "see", "carrier", "causes",
    NULL};

static const char *
entry_kind_name(struct compiler *c, uint32_t kind)
{
	return craft_text(maker_view(c->m), maker_at_entry_kind(c->m, kind)->name);
}

static bool
among(const char *const *keys, const char *key)
{
	for (size_t i = 0; keys[i] != NULL; i++)
		if (strcmp(keys[i], key) == 0)
			return true;
	return false;
}

/* ---- names ----------------------------- */

static const char *
of_kind(struct compiler *c, uint32_t entry)
{
	return arena_print(c->arena, "%s %s", entry_kind_name(c, c->drafts[entry].kind),
	    c->drafts[entry].name);
}

/* "jeans needle" is "jeans" where it is understood that a needle is meant. */
static void
name_without_head(struct compiler *c, uint32_t entry, strview written)
{
	strview rest = sv(craft_text(maker_view(c->m), maker_at_entry_kind(c->m,
	    c->drafts[entry].kind)->heads));

	while (rest.n > 0) {
		const char *end = memchr(rest.p, '\n', rest.n);
		size_t n = end != NULL ? (size_t)(end - rest.p) : rest.n;

		if (written.n > n + 1 && written.p[written.n - n - 1] == ' '
		    && memcmp(written.p + written.n - n, rest.p, n) == 0) {
			add_name(c, (strview){written.p, written.n - n - 1}, NAME_SHORT, entry,
			    NO16);
			return;
		}
		n += end != NULL;
		rest.p += n;
		rest.n -= n;
	}
}

static void
one_name(struct compiler *c, uint32_t entry, const struct node *n, strview written, uint16_t region)
{
	const char *key = name_key(c->arena, written);
	struct entry_draft *d = &c->drafts[entry];
	const struct symbol *y = NULL;

	/* A word may mean different things in different places: then its region
	 * stands before it, and both meanings are kept. */
	while ((y = symbols_find(&c->entries, sv(key), y)) != NULL)
		if (c->drafts[y->id].kind == d->kind
		    && (y->id == entry || (region == NO16 && y->region == NO16) ||
		    region == y->region)) {
			struct buf where = {0};

			place_name(&where, y->place);
			diag(c->ds, n->place, D_DUPLICATE_NAME, arena_print(c->arena, "%s %s",
			    y->id == entry ? "this same" : "the", of_kind(c, y->id)),
			    kept(c, written), where.p);
			buf_free(&where);
			return;
		}
	name_without_head(c, entry, written);
	symbols_add(&c->entries, key, entry, n->place);
	c->entries.s[c->entries.n - 1].region = region;
	add_name(c, written, NAME_ENTRY, entry, region);
	if (d->place.at != n->place.at || d->place.src != n->place.src) {
		buf_sv(&d->also, written);
		buf_str(&d->also, "\n");
	}
}

/* also = [name, {region: name}, {region: [name, ...]}] */
static void
synonyms(struct compiler *c, uint32_t entry, const struct node *also)
{
	const struct node *first = also->type == NODE_LIST ? also->first : also;

	for (const struct node *n = first; n != NULL; n = also->type == NODE_LIST ? n->next :
	    NULL) {
		if (n->type == NODE_TEXT) {
			if (is_text(c, n, "also"))
				one_name(c, entry, n, sv_trim(n->text), NO16);
			continue;
		}
		if (n->type != NODE_MAP) {
			diag(c->ds, n->place, D_EXPECTED_TEXT, "also", "also");
			continue;
		}
		for (const struct node *k = n->first; k != NULL; k = k->next) {
			uint64_t set[2] = {0, 0};
			uint16_t region = 0;
			const struct node *v = k->value;
			bool list = v->type == NODE_LIST;

			if (c->region_set == NONE || !get_words(c, k, k->text, 0, c->region_set,
			    set))
				continue;
			while (!(set[region >> 6] >> (region & 63) & 1))
				region++;
			for (v = list ? v->first : v; v != NULL; v = list ? v->next : NULL)
				if (is_text(c, v, "also"))
					one_name(c, entry, v, sv_trim(v->text), region);
		}
	}
}

/* short = [name, ...]: what the entry is called where its kind is understood. */
static void
short_names(struct compiler *c, uint32_t entry, const struct node *item)
{
	struct texts t = get_texts(c, item, "short");

	for (uint32_t i = 0; i < t.n; i++)
		add_name(c, sv_trim(t.node[i]->text), NAME_SHORT, entry, NO16);
}

/* ---- the user's ----------------------------- */

/* The keys of an item that refines a shipped one: what only adds to it, and
 * values. */
static bool
refining_keys(struct compiler *c, const struct node *item, uint32_t entry)
{
	const char *keys[40] = {"also", "kind of", "basis", "values"};
	size_t n = 4;

	keys[n++] = kept(c, sv(entry_kind_name(c, c->drafts[entry].kind)));
	for (size_t i = 0; entry_text_keys[i] != NULL; i++)
		if (strcmp(entry_text_keys[i], "says") == 0 || !among(tie_keys, entry_text_keys[i]))
			keys[n++] = entry_text_keys[i];
	for (size_t i = 0; entry_link_keys[i] != NULL; i++)
		keys[n++] = entry_link_keys[i];
	keys[n] = NULL;
	return keys_known(c, item, arena_print(c->arena, "%s, which is refined here,",
	    of_kind(c, entry)), keys);
}

/* Is this a name of a shipped entry of the kind?  Then the two become one. */
static bool
refines(struct compiler *c, const struct node *item, const struct node *name, uint32_t kind)
{
	const char *key = name_key(c->arena, sv_trim(name->text));
	const struct symbol *y = NULL;
	struct buf where = {0};
	uint32_t line, column;
	struct entry_draft *d = NULL;

	while ((y = symbols_find(&c->entries, sv(key), y)) != NULL && d == NULL)
		if (c->drafts[y->id].kind == kind && c->drafts[y->id].own != ENTRY_OWN)
			d = &c->drafts[y->id];
	if (d == NULL)
		return false;
	if (d->own == ENTRY_REFINED) {
		place_name(&where, d->own_place);
		diag(c->ds, name->place, D_OWN_REFINED_TWICE, d->name, where.p);
		buf_free(&where);
		return true;
	}
	refining_keys(c, item, (uint32_t)(d - c->drafts));
	d->item = own_refines(c, d, item);
	d->added = item;
	d->own = ENTRY_REFINED;
	d->own_place = name->place;
	if (node_get(item, "also") != NULL) {
		c->own_naming = true;
		synonyms(c, (uint32_t)(d - c->drafts), node_get(item, "also"));
		c->own_naming = false;
	}
	place_line_column(name->place, &line, &column);
	maker_at_entry(c->m, (uint32_t)(d - c->drafts))->own = ENTRY_REFINED;
	maker_at_entry(c->m, (uint32_t)(d - c->drafts))->file = maker_text(c->m,
	    sv(name->place.src->name));
	maker_at_entry(c->m, (uint32_t)(d - c->drafts))->line = line;
	return true;
}

/* like = an entry of the same kind, shipped or standing further up. */
static bool
is_like(struct compiler *c, struct entry_draft *d, const struct node *item, uint32_t kind)
{
	const struct node *like = node_get(item, "like");
	uint32_t e;

	if (!is_text(c, like, "like"))
		return false;
	e = find_entry(c, like, sv_trim(like->text), kind);
	if (e == NONE)
		return false;
	if (c->drafts[e].kind != kind) {
		diag(c->ds, like->place, D_OWN_LIKE_KIND, of_kind(c, e), entry_kind_name(c, kind));
		return false;
	}
	d->item = own_like(c, &c->drafts[e], item);
	d->model = c->drafts[e].item;
	return true;
}

static void
declare_entry(struct compiler *c, const struct node *item, uint32_t kind)
{
	const char *kind_name = kept(c, sv(entry_kind_name(c, kind)));
	const struct node *name = item->type == NODE_MAP ? node_get(item, kind_name) : NULL;
	struct entry_draft d = {.item = item, .kind = (uint16_t)kind,
	    .record = {.when = NONE, .each = NO16, .basis_low = NONE, .basis_high = NONE}};
	struct entry e = {.kind = (uint16_t)kind};
	uint32_t line, column;

	if (item->type != NODE_MAP) {
		diag(c->ds, item->place, D_EXPECTED_MAP, kind_name);
		return;
	}
	if (name == NULL) {
		diag(c->ds, item->first != NULL ? item->first->place : item->place, D_MISSING_KEY,
		    arena_print(c->arena, "an entry under %s",
		    craft_text(maker_view(c->m), maker_at_entry_kind(c->m, kind)->plural)),
		    kind_name, kind_name);
		return;
	}
	if (!is_text(c, name, kind_name))
		return;
	if (is_own(c, name->place)) {
		if (refines(c, item, name, kind))
			return;
		if (node_get(item, "like") != NULL && !is_like(c, &d, item, kind))
			return;
		d.own = ENTRY_OWN;
		d.own_place = name->place;
		e.own = ENTRY_OWN;
	}
	c->own_naming = d.own == ENTRY_OWN;
	d.name = kept(c, sv_trim(name->text));
	d.place = name->place;
	place_line_column(name->place, &line, &column);
	e.name = maker_text(c->m, sv_trim(name->text));
	e.file = maker_text(c->m, sv(name->place.src->name));
	e.line = line;
	c->drafts = mem_grow(c->drafts, &c->cap_drafts, c->n_drafts + 1, sizeof *c->drafts);
	c->drafts[c->n_drafts] = d;
	c->n_drafts++;
	maker_add_entry(c->m, &e, 1);
	one_name(c, c->n_drafts - 1, name, sv_trim(name->text), NO16);
	if (node_get(item, "also") != NULL)
		synonyms(c, c->n_drafts - 1, node_get(item, "also"));
	short_names(c, c->n_drafts - 1, item);
	c->own_naming = false;
}

void
declare_entries(struct compiler *c)
{
	uint32_t kinds = maker_view(c->m)->n_entry_kind;

	for (uint32_t k = 0; k < kinds; k++) {
		const char *plural = kept(c,
		    sv(craft_text(maker_view(c->m), maker_at_entry_kind(c->m, k)->plural)));

		for (uint32_t i = 0; i < c->n_files; i++) {
			const struct node *list = c->files[i].root != NULL ?
			    node_get(c->files[i].root, plural) : NULL;

			if (list == NULL || list->type != NODE_LIST)
				continue;
			for (const struct node *n = list->first; n != NULL; n = n->next)
				declare_entry(c, n, k);
		}
	}
}

/* How well a name fits: the kind asked for, then an entry's own name, then a
 * synonym used everywhere, then one of some region. */
static int
fit(struct compiler *c, const struct symbol *y, const char *key, uint32_t prefer_kind)
{
	int of_its_kind = c->drafts[y->id].kind == prefer_kind ? 4 : 0;

	if (strcmp(name_key(c->arena, sv(c->drafts[y->id].name)), key) == 0)
		return of_its_kind + 3;
	return of_its_kind + (y->region == NO16 ? 2 : 1);
}

uint32_t
find_entry(struct compiler *c, const struct node *n, strview written, uint32_t prefer_kind)
{
	const char *key = name_key(c->arena, written);
	const struct symbol *y = NULL;
	uint32_t found = NONE;
	bool several = false;
	struct near near = {0};
	struct buf list = {0};
	int best = 0;

	while ((y = symbols_find(&c->entries, sv(key), y)) != NULL) {
		int how = fit(c, y, key, prefer_kind);

		if (how > best) {
			best = how;
			found = y->id;
			several = false;
		} else if (how == best && y->id != found) {
			several = true;
		}
		buf_print(&list, "%s%s", list.n > 0 ? ", " : "", of_kind(c, y->id));
	}
	if (several) {
		diag(c->ds, n->place, D_AMBIGUOUS_ENTRY, kept(c, written), list.p);
		found = NONE;
	} else if (found == NONE) {
		diag(c->ds, n->place, D_UNKNOWN_ENTRY, kept(c, written));
		symbols_near(&c->entries, sv(key), &near);
		diag_near(c->ds, &near);
	}
	buf_free(&list);
	return found;
}

/* ---- values ----------------------------- */

static const char *const value_keys[] = {"is", "usual", "seen", "basis", "figures", "note", NULL};

static bool
holds(const value *wide, const value *narrow, uint8_t type)
{
	if (type == TYPE_WORDS)
		return (narrow->set[0] & ~wide->set[0]) == 0 &&
		    (narrow->set[1] & ~wide->set[1]) == 0;
	/* Bounds read in other units may differ in the last digit. */
	return wide->r.lo <= narrow->r.lo + 1e-9 * fabs(narrow->r.lo) &&
	    wide->r.hi >= narrow->r.hi - 1e-9 * fabs(narrow->r.hi);
}

static void
read_figure_list(struct compiler *c, const struct node *map, uint32_t property, struct record *r,
    struct typical *t)
{
	if (map->type != NODE_MAP) {
		diag(c->ds, map->place, D_EXPECTED_MAP, "figures");
		return;
	}
	for (const struct node *k = map->first; k != NULL; k = k->next) {
		struct figure f = {.source = find_source(c, k, sv_trim(k->text))};

		if (!get_value(c, k->value, property, &f.value) || f.source == NONE)
			continue;
		if (t->n_figures++ == 0)
			t->first_figure = r->n_figures;
		r->figures = mem_grow(r->figures, &r->cap_figures, r->n_figures + 1,
		    sizeof *r->figures);
		r->figures[r->n_figures++] = f;
	}
}

bool
read_typical(struct compiler *c, const struct node *key, uint32_t property, bool has_basis,
    uint32_t low,
    uint32_t high, struct record *r, struct typical *t)
{
	const struct node *v = key->value, *usual = v, *seen = NULL, *basis = NULL;
	uint8_t type = maker_at_property(c->m, property)->type;
	bool good;

	*t = (struct typical){.property = property, .basis_low = low, .basis_high = high,
	    .note = ""};
	if (v->type == NODE_MAP) {
		keys_known(c, v, "a value", value_keys);
		usual = node_get(v, "usual");
		seen = node_get(v, "seen");
		basis = node_get(v, "basis");
		if ((usual != NULL) == (node_get(v, "is") != NULL)) {
			diag(c->ds, key->place, D_ONE_OF_KEYS, kept(c, key->text), "is, usual");
			return false;
		}
		if (usual == NULL)
			usual = node_get(v, "is");
		t->note = kept(c, get_text(c, v, "note"));
		if (node_get(v, "figures") != NULL)
			read_figure_list(c, node_get(v, "figures"), property, r, t);
	}
	good = get_value(c, usual, property, &t->usual);
	if (seen != NULL && get_value(c, seen, property, &t->seen) && good &&
	    !holds(&t->seen, &t->usual, type)) {
		diag(c->ds, seen->place, D_SEEN_NARROWER,
		    seen->type == NODE_TEXT ? kept(c, seen->text) : "the list",
		    usual->type == NODE_TEXT ? kept(c, usual->text) : "the list");
		good = false;
	}
	if (basis != NULL)
		good &= get_basis(c, basis, &t->basis_low, &t->basis_high);
	else if (!has_basis) {
		diag(c->ds, key->place, D_NO_BASIS, kept(c, key->text));
		good = false;
	}
	return good;
}

static void
read_values(struct compiler *c, struct entry_draft *d, const struct node *map, uint32_t object_kind,
    bool has_basis, uint32_t low, uint32_t high)
{
	if (map->type != NODE_MAP) {
		diag(c->ds, map->place, D_EXPECTED_MAP, "values");
		return;
	}
	for (const struct node *k = map->first; k != NULL; k = k->next) {
		uint32_t p = find_property(c, k, object_kind, k->text);
		struct typical t;

		if (p == NONE || !read_typical(c, k, p, has_basis, low, high, &d->record, &t))
			continue;
		d->record.typicals = mem_grow(d->record.typicals, &d->record.cap_typicals,
		    d->record.n_typicals + 1, sizeof *d->record.typicals);
		d->record.typicals[d->record.n_typicals++] = t;
	}
}

/* ---- texts and links ----------------------------- */

static void
read_text(struct compiler *c, struct entry_draft *d, const char *key, const struct node *n)
{
	struct record *r = &d->record;
	struct buf b = {0};

	if (n->type == NODE_LIST) {
		for (const struct node *i = n->first; i != NULL; i = i->next)
			if (is_text(c, i, key)) {
				if (b.n > 0)
					buf_str(&b, "\n");
				buf_sv(&b, sv_trim(i->text));
			}
	} else if (is_text(c, n, key)) {
		buf_sv(&b, sv_trim(n->text));
	}
	if (b.n > 0) {
		r->texts = mem_grow(r->texts, &r->cap_texts, r->n_texts + 1, sizeof *r->texts);
		r->texts[r->n_texts++] = (struct entry_text){key, kept(c, (strview){b.p, b.n})};
		if (!among(tie_keys, key)) {
			buf_add(&d->body, b.p, b.n);
			buf_str(&d->body, "\n");
		}
	}
	buf_free(&b);
}

/* A list called by the plural of an entry kind means entries of that kind. */
static uint32_t
linked_kind(struct compiler *c, const struct entry_draft *d, const char *key)
{
	const struct craft *v = maker_view(c->m);

	for (uint32_t k = 0; k < v->n_entry_kind; k++)
		if (strcmp(craft_text(v, v->entry_kind[k].plural), key) == 0)
			return k;
	return d->kind;
}

static void
read_links(struct compiler *c, struct entry_draft *d, const char *key)
{
	struct texts t = get_texts(c, d->item, key);
	struct record *r = &d->record;
	uint32_t prefer = linked_kind(c, d, key);

	for (uint32_t i = 0; i < t.n; i++) {
		uint32_t e = find_entry(c, t.node[i], sv_trim(t.node[i]->text), prefer);

		if (e == NONE)
			continue;
		r->links = mem_grow(r->links, &r->cap_links, r->n_links + 1, sizeof *r->links);
		r->links[r->n_links++] = (struct entry_link){key, e};
	}
}

static void
read_broader(struct compiler *c, uint32_t entry)
{
	struct entry_draft *d = &c->drafts[entry];
	struct texts t = get_texts(c, d->item, "kind of");
	uint32_t *list = arena_alloc(c->arena, (t.n + 1) * sizeof *list), n = 0, first;

	for (uint32_t i = 0; i < t.n; i++) {
		list[n] = find_entry(c, t.node[i], sv_trim(t.node[i]->text), d->kind);
		n += list[n] != NONE;
	}
	d->broader = list;
	d->n_broader = n;
	first = maker_add_broader(c->m, list, n);
	maker_at_entry(c->m, entry)->first_broader = first;
	maker_at_entry(c->m, entry)->n_broader = (uint16_t)n;
}

/* ---- when there is a reason for it ----------------------------- */

/* each = KIND, when = truth over one object of it. */
static void
read_when(struct compiler *c, struct entry_draft *d)
{
	static const struct expected truth = {.type = TYPE_TRUTH};
	const struct node *when = node_get(d->item, "when"), *each = node_get(d->item, "each");
	struct scope scope = {.n_variables = 1, .formula = NONE, .for_property = NONE};
	uint32_t kind;

	if (when == NULL && each == NULL)
		return;
	if (when == NULL || each == NULL) {
		diag(c->ds, d->place, D_MISSING_KEY, d->name, when == NULL ? "when" : "each",
		    when == NULL ? "when" : "each");
		return;
	}
	if (!is_text(c, each, "each") || (kind = find_kind(c, each, sv_trim(each->text))) == NONE)
		return;
	for (size_t i = 0; i < VARIABLES_MAX; i++)
		scope.variable_kind[i] = NO16;
	scope.variable_kind[0] = (uint16_t)kind;
	scope.variable_name[0] = kept(c,
	    sv(craft_text(maker_view(c->m), maker_at_kind(c->m, kind)->name)));
	d->record.when = compile_expression(c, when, 0, &scope, &truth);
	d->record.each = d->record.when != NONE ? (uint16_t)kind : NO16;
}

/* ease = a word of the set of that name. */
static void
check_ease(struct compiler *c, const struct entry_draft *d)
{
	const struct node *n = node_get(d->item, "ease");
	const struct symbol *set = symbols_find(&c->sets, SV("ease"), NULL);
	uint64_t words[2];

	if (n == NULL || !is_text(c, n, "ease"))
		return;
	if (set == NULL)
		find_set(c, n, SV("ease"));    /* says that there is none */
	else
		get_words(c, n, sv_trim(n->text), 0, set->id, words);
}

/* touches = settings that mend it, in order. */
static void
check_touches(struct compiler *c, const struct entry_draft *d)
{
	struct texts t = get_texts(c, d->item, "touches");

	for (uint32_t i = 0; i < t.n; i++)
		find_setting(c, t.node[i], sv_trim(t.node[i]->text));
}

/* section = marks of a drawing. */
static void
check_section(struct compiler *c, const struct entry_draft *d)
{
	struct texts t = get_texts(c, d->item, "section");
	struct sketch_mark mark;

	for (uint32_t i = 0; i < t.n; i++)
		if (!sketch_read(t.node[i]->text, &mark))
			diag(c->ds, t.node[i]->place, D_SKETCH_MARK,
			    kept(c, sv_trim(t.node[i]->text)));
}

/* shape = marks of a drawing, and words for them. */
static void
check_shape(struct compiler *c, const struct entry_draft *d)
{
	struct texts t = get_texts(c, d->item, "shape");
	struct sketch_mark mark;
	uint32_t told = 0;

	for (uint32_t i = 0; i < t.n; i++) {
		if (!shape_mark_read(t.node[i]->text, &mark))
			diag(c->ds, t.node[i]->place, D_SHAPE_MARK, kept(c, sv_trim(t.node[i]->text)));
		told += mark.does == SKETCH_TELL;
	}
	if (t.n > 0 && told != 1)
		diag(c->ds, t.node[0]->place, D_SHAPE_UNTOLD);
}

/* ---- one entry ----------------------------- */

static void
entry_keys(struct compiler *c, const struct entry_draft *d)
{
	const char *keys[40] = {"also", "short", "kind of", "basis", "values", "brings", "when",
	    "each", "!says"};
	size_t n = 0;

	while (keys[n] != NULL)
		n++;
	keys[n++] = kept(c, sv(entry_kind_name(c, d->kind)));
	for (size_t i = 1; entry_text_keys[i] != NULL; i++)
		keys[n++] = entry_text_keys[i];
	for (size_t i = 0; entry_link_keys[i] != NULL; i++)
		keys[n++] = entry_link_keys[i];
	keys[n] = NULL;
	keys_known(c, d->item, arena_print(c->arena, "%s %s", entry_kind_name(c, d->kind), d->name),
	    keys);
}

/* Texts the user adds to a shipped entry stand beside its own, marked. */
static void
read_added(struct compiler *c, struct entry_draft *d)
{
	for (size_t i = 0; entry_text_keys[i] != NULL; i++) {
		const struct node *n = node_get(d->added, entry_text_keys[i]);

		if (n != NULL && (i == 0 || !among(tie_keys, entry_text_keys[i])))
			read_text(c, d, arena_print(c->arena, "own:%s", entry_text_keys[i]), n);
	}
}

static void
read_entry(struct compiler *c, uint32_t entry)
{
	struct entry_draft *d = &c->drafts[entry];
	const struct node *item = d->item, *basis = node_get(item, "basis");
	const struct node *values = node_get(item, "values"), *brings = node_get(item, "brings");
	uint32_t low = 0, high = 0;
	uint16_t facts = maker_at_entry_kind(c->m, d->kind)->fact_kind;
	bool no_object = maker_at_entry_kind(c->m, d->kind)->object_kind == NO16, has_basis;
	text_at says;

	entry_keys(c, d);
	if (basis == NULL && d->own == ENTRY_OWN) {
		low = high = c->own_source;    /* what nobody else says */
		d->record.basis_low = d->record.basis_high = low;
	} else if (basis != NULL && !get_basis(c, basis, &low, &high)) {
		low = high = 0;
	} else if (basis != NULL) {
		d->record.basis_low = low;
		d->record.basis_high = high;
	} else if (d->record.when != NONE || node_get(item, "remedy") != NULL) {
		diag(c->ds, d->place, D_NO_BASIS, "remedy");
	}
	says = get_text_at(c, item, "says");
	maker_at_entry(c->m, entry)->says = says;
	for (size_t i = 0; entry_text_keys[i] != NULL; i++)
		if (i > 0 && node_get(item, entry_text_keys[i]) != NULL)
			read_text(c, d, entry_text_keys[i], node_get(item, entry_text_keys[i]));
	if (d->own == ENTRY_REFINED)
		read_added(c, d);
	for (size_t i = 0; entry_link_keys[i] != NULL; i++)
		if (node_get(item, entry_link_keys[i]) != NULL)
			read_links(c, d, entry_link_keys[i]);
	read_when(c, d);
	check_ease(c, d);
	check_touches(c, d);
	check_section(c, d);
	check_shape(c, d);
	if ((values != NULL && facts == NO16) || (brings != NULL && no_object)) {
		diag(c->ds, node_key(item, facts == NO16 && values != NULL ? "values" : "brings")->place,
		    D_ENTRY_NO_OBJECT,
		    craft_text(maker_view(c->m), maker_at_entry_kind(c->m, d->kind)->plural));
		return;
	}
	has_basis = basis != NULL || d->own == ENTRY_OWN;
	if (values != NULL)
		read_values(c, d, values, facts, has_basis, low, high);
	if (brings != NULL && d->model != NULL && !is_own(c, brings->place) &&
	    (basis = node_get(d->model, "basis")) != NULL)
		get_basis(c, basis, &low, &high);
	if (brings != NULL)
		read_brings(c, entry, brings, has_basis, low, high);
}

/* ---- circles ----------------------------- */

enum { BROADER_DEEPEST = 12 };             /* as far as look-ups follow */

static bool
leads_to(struct compiler *c, uint32_t from, uint32_t to, int depth)
{
	const struct entry_draft *d = &c->drafts[from];

	for (uint32_t i = 0; i < d->n_broader; i++)
		if (d->broader[i] == to || (depth > 0 && leads_to(c, d->broader[i], to, depth - 1)))
			return true;
	return false;
}

static void
check_circles(struct compiler *c)
{
	for (uint32_t e = 0; e < c->n_drafts; e++)
		for (uint32_t i = 0; i < c->drafts[e].n_broader; i++) {
			uint32_t b = c->drafts[e].broader[i];

			/* Said once, at the entry that stands first. */
			if (b >= e && (b == e || leads_to(c, b, e, BROADER_DEEPEST)))
				diag(c->ds, c->drafts[e].place, D_BROADER_CIRCLE, c->drafts[e].name,
				    c->drafts[b].name);
		}
}

void
read_entries(struct compiler *c)
{
	for (uint32_t i = 0; i < c->n_drafts; i++)
		read_broader(c, i);
	check_circles(c);
	for (uint32_t i = 0; i < c->n_drafts; i++)
		read_entry(c, i);
}
