/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Nodes of a file read as texts, numbers, quantities and words, each with a
 * complaint that points at the very letters meant.
 */
#include "knowledge/knowledge_impl.h"

#include <math.h>
#include <string.h>

const char *
kept(struct compiler *c, strview v)
{
	return arena_text(c->arena, v.p, v.n);
}

/* Where the text of a node begins in its file; false when quoting, escapes or
 * folded lines have moved its bytes about. */
static bool
text_start(const struct node *n, uint32_t *start)
{
	uint32_t quote = n->quoted ? 1 : 0;

	if (n->type != NODE_TEXT || n->place.src == NULL || n->place.n != n->text.n + 2 * quote)
		return false;
	*start = n->place.at + quote;
	return true;
}

struct place
text_place(const struct node *n, size_t at, size_t len)
{
	uint32_t start;

	if (!text_start(n, &start) || at + len > n->text.n)
		return n->place;
	return (struct place){n->place.src, start + (uint32_t)at, (uint32_t)len};
}

/* A block of many lines is shown by its first key. */
static struct place
head_place(const struct node *n)
{
	if (n->type == NODE_MAP && n->first != NULL)
		return n->first->place;
	return n->place;
}

void
each_item(struct compiler *c, const char *top_key, void (*f)(struct compiler *,
    const struct node *))
{
	for (uint32_t i = 0; i < c->n_files; i++) {
		const struct node *list = c->files[i].root != NULL ?
		    node_get(c->files[i].root, top_key) : NULL;

		if (list == NULL || list->type != NODE_LIST)
			continue;
		for (const struct node *item = list->first; item != NULL; item = item->next)
			f(c, item);
	}
}

/* ---- keys ----------------------------- */

static void
keys_listed(struct buf *b, const char *const *keys)
{
	buf_add(b, "", 0);
	for (; *keys != NULL; keys++) {
		if (b->n > 0)
			buf_str(b, ", ");
		buf_str(b, **keys == '!' ? *keys + 1 : *keys);
	}
}

/* Does a key stand behind a comma in the same line? */
static bool
after_comma(const struct node *k)
{
	strview t = k->place.src != NULL ? k->place.src->text : SV("");
	size_t i = k->place.at;

	while (i > 0 && i <= t.n && t.p[i - 1] == ' ')
		i--;
	return i > 0 && i <= t.n && t.p[i - 1] == ',';
}

bool
keys_known(struct compiler *c, const struct node *map, const char *what, const char *const *keys)
{
	bool whole = true;

	if (map->type != NODE_MAP) {
		diag(c->ds, map->place, D_EXPECTED_MAP, what);
		return false;
	}
	for (const struct node *k = map->first; k != NULL; k = k->next) {
		const char *const *at = keys;
		struct near near = {0};
		struct buf list = {0};

		while (*at != NULL && !sv_is(k->text, **at == '!' ? *at + 1 : *at))
			at++;
		if (*at != NULL)
			continue;
		/* {says: this, and that}: the comma has begun a key. */
		if (k->value->type == NODE_TEXT && k->value->text.n == 0 && !k->value->quoted &&
		    after_comma(k)) {
			diag(c->ds, k->place, D_COMMA_IN_TEXT, kept(c, k->text));
			continue;
		}
		for (at = keys; *at != NULL; at++)
			near_offer(&near, k->text, **at == '!' ? *at + 1 : *at);
		keys_listed(&list, keys);
		diag(c->ds, k->place, D_UNKNOWN_KEY, what, kept(c, k->text), list.p);
		diag_near(c->ds, &near);
		buf_free(&list);
	}
	for (const char *const *at = keys; *at != NULL; at++)
		if (**at == '!' && node_get(map, *at + 1) == NULL) {
			diag(c->ds, head_place(map), D_MISSING_KEY, what, *at + 1, *at + 1);
			whole = false;
		}
	return whole;
}

bool
is_text(struct compiler *c, const struct node *n, const char *what)
{
	if (n->type != NODE_TEXT) {
		diag(c->ds, head_place(n), D_EXPECTED_TEXT, what, what);
		return false;
	}
	if (sv_trim(n->text).n == 0) {
		diag(c->ds, n->place, D_EMPTY_TEXT, what);
		return false;
	}
	return true;
}

strview
get_text(struct compiler *c, const struct node *map, const char *key)
{
	const struct node *n = node_get(map, key);

	if (n == NULL || !is_text(c, n, key))
		return SV("");
	return sv_trim(n->text);
}

text_at
get_text_at(struct compiler *c, const struct node *map, const char *key)
{
	return maker_text(c->m, get_text(c, map, key));
}

bool
get_yes(struct compiler *c, const struct node *map, const char *key, bool unsaid)
{
	const struct node *n = node_get(map, key);

	if (n == NULL || !is_text(c, n, key))
		return unsaid;
	if (sv_is(n->text, "yes"))
		return true;
	if (!sv_is(n->text, "no"))
		diag(c->ds, n->place, D_EXPECTED_YES_NO, kept(c, n->text));
	return false;
}

struct texts
get_texts(struct compiler *c, const struct node *map, const char *key)
{
	const struct node *n = node_get(map, key);
	struct texts t = {0};

	if (n == NULL)
		return t;
	if (n->type == NODE_MAP) {
		diag(c->ds, head_place(n), D_EXPECTED_LIST, key);
		return t;
	}
	t.node = arena_alloc(c->arena, (n->type == NODE_LIST ? n->n + 1 : 1) * sizeof *t.node);
	if (n->type == NODE_TEXT) {
		if (is_text(c, n, key))
			t.node[t.n++] = n;
		return t;
	}
	for (const struct node *i = n->first; i != NULL; i = i->next)
		if (is_text(c, i, key))
			t.node[t.n++] = i;
	return t;
}

/* ---- numbers ----------------------------- */

/* number = "-"? decimal ("/" decimal)? */
static bool
number_at(strview v, size_t *used, double *out)
{
	bool minus = v.n > 0 && v.p[0] == '-';
	size_t at = minus ? 1 : 0, n;
	double x, y;

	if (!number_read((strview){v.p + at, v.n - at}, &n, &x))
		return false;
	at += n;
	if (at + 1 < v.n && v.p[at] == '/' &&
	    number_read((strview){v.p + at + 1, v.n - at - 1}, &n, &y) && y != 0) {
		x /= y;
		at += 1 + n;
	}
	*used = at;
	*out = minus ? -x : x;
	return true;
}

bool
get_number(struct compiler *c, const struct node *n, strview v, double *out)
{
	size_t used;

	v = sv_trim(v);
	if (number_at(v, &used, out) && used == v.n)
		return true;
	diag(c->ds, n->place, D_EXPECTED_NUMBER, kept(c, v));
	return false;
}

/* ---- quantities ----------------------------- */

struct wanted
wanted_dimension(struct compiler *c, const char *name, dimension d)
{
	uint16_t *units = arena_alloc(c->arena, (c->units.n + 1) * sizeof *units);
	struct wanted w = {.name = name, .f = {.dim = d, .units = units, .bare = -1,
	    .domain = range_all()}};

	for (uint32_t i = 0; i < c->units.n; i++)
		if (dim_eq(c->units.u[i].dim, d)) {
			units[w.f.n_units++] = (uint16_t)i;
			/* The unit whose name is "1" is what a plain number is in. */
			if (dim_none(d) && strcmp(c->units.u[i].name, "1") == 0)
				w.f.bare = (int)i;
		}
	return w;
}

struct wanted
wanted_property(struct compiler *c, const char *name, uint32_t property)
{
	const struct property *p = maker_at_property(c->m, property);
	uint16_t *units = arena_alloc(c->arena, (p->n_units + 1) * sizeof *units);

	for (uint32_t i = 0; i < p->n_units; i++)
		units[i] = *maker_at_unit_list(c->m, p->first_unit + i);
	return (struct wanted){.name = name, .f = {.dim = p->dim, .units = units,
	    .n_units = p->n_units,
	    .bare = p->bare_unit == NO16 ? -1 : p->bare_unit, .domain = p->domain,
	    .about = p->about}};
}

struct wanted
wanted_unit(struct compiler *c, const char *name, uint16_t unit)
{
	dimension dim = unit < c->units.n ? c->units.u[unit].dim : (dimension){0, 0, 0, 0};
	struct wanted w = wanted_dimension(c, name, dim);
	uint16_t *units = arena_alloc(c->arena, (w.f.n_units + 2) * sizeof *units);
	uint32_t n = 0;

	/* No units at all: that was complained of, and nothing can be read. */
	if (unit >= c->units.n)
		return w;
	/* The unit named goes before others of its dimension. */
	units[n++] = unit;
	for (uint32_t i = 0; i < w.f.n_units; i++)
		if (w.f.units[i] != unit)
			units[n++] = w.f.units[i];
	w.f.units = units;
	w.f.n_units = n;
	if (dim_none(c->units.u[unit].dim))
		w.f.bare = (int)unit;
	return w;
}

static const char *
units_listed(struct compiler *c, const struct wanted *w)
{
	struct buf b = {0};
	const char *s;

	buf_add(&b, "", 0);
	for (uint32_t i = 0; i < w->f.n_units && i < 8; i++) {
		if (i > 0)
			buf_str(&b, ", ");
		buf_str(&b, c->units.u[w->f.units[i]].name);
	}
	s = kept(c, (strview){b.p, b.n});
	buf_free(&b);
	return s;
}

static const char *
domain_shown(struct compiler *c, const struct wanted *w)
{
	struct buf b = {0};
	const char *s;

	buf_add(&b, "", 0);
	range_print(&b, &c->units, w->f.n_units > 0 ? w->f.units[0] : -1, w->f.domain, 0);
	s = kept(c, (strview){b.p, b.n});
	buf_free(&b);
	return s;
}

static void
unread(struct compiler *c, const struct node *n, strview text, size_t at, const struct wanted *w,
    const struct reading *r)
{
	struct place p = r->fault_n > 0 ? text_place(n, at + r->fault_at, r->fault_n) :
	    text_place(n, at, text.n);
	strview bad = r->fault_n > 0 && r->fault_at + r->fault_n <= text.n ?
	    (strview){text.p + r->fault_at, r->fault_n} : text;
	const char *units = units_listed(c, w), *shown = kept(c, bad);
	struct near near = {0};
	struct buf dim = {0};

	switch (r->fault) {
	case READ_FINE:
	case READ__COUNT:
		break;
	case READ_NOTHING:
		diag(c->ds, p, D_VALUE_MISSING, w->name, units);
		break;
	case READ_NO_UNIT:
		diag(c->ds, p, D_VALUE_NO_UNIT, kept(c, text), units);
		break;
	case READ_UNKNOWN_UNIT:
		unit_near(&c->units, bad, &near);
		diag(c->ds, p, D_VALUE_UNKNOWN_UNIT, shown, units);
		diag_near(c->ds, &near);
		break;
	case READ_WRONG_DIMENSION:
		dim_print(&dim, w->f.dim);
		diag(c->ds, p, D_VALUE_WRONG_DIMENSION, shown, w->name, dim.p, units);
		break;
	case READ_NOT_TAKEN:
		diag(c->ds, p, D_VALUE_UNIT_NOT_TAKEN, w->name, shown, units);
		break;
	case READ_OUT_OF_DOMAIN:
		diag(c->ds, p, D_VALUE_OUT_OF_DOMAIN, kept(c, text), w->name, domain_shown(c, w));
		break;
	case READ_LOW_ABOVE_HIGH:
		diag(c->ds, p, D_VALUE_LOW_ABOVE_HIGH, kept(c, text));
		break;
	case READ_BAD_NUMBER:
		diag(c->ds, p, D_VALUE_BAD_NUMBER, shown);
		break;
	case READ_TRAILING:
		diag(c->ds, p, D_VALUE_TRAILING, shown);
		break;
	}
	buf_free(&dim);
}

bool
get_range_of(struct compiler *c, const struct node *n, strview text, size_t at,
    const struct wanted *w,
    range *out)
{
	struct reading r = reading_of(&c->units, &c->range_words, &w->f, text, true);

	if (r.fault != READ_FINE) {
		unread(c, n, text, at, w, &r);
		return false;
	}
	if (w->exact && !range_is_exact(r.value)) {
		diag(c->ds, text_place(n, at, text.n), D_VALUE_NOT_EXACT, w->name);
		return false;
	}
	if (w->difference && r.unit >= 0) {
		r.value.lo -= c->units.u[r.unit].offset;
		r.value.hi -= c->units.u[r.unit].offset;
	}
	*out = r.value;
	return true;
}

bool
get_range(struct compiler *c, const struct node *n, const struct wanted *w, range *out)
{
	if (!is_text(c, n, w->name))
		return false;
	return get_range_of(c, n, n->text, 0, w, out);
}

/* ---- words ----------------------------- */

/* The number of a word within its set, by its name or, where the set is made
 * of entries, by any name of the entry; NONE. */
static uint32_t
word_number(struct compiler *c, uint32_t set, strview w)
{
	const struct word_set *s = maker_at_word_set(c->m, set);
	const char *key = name_key(c->arena, w);

	for (uint32_t i = 0; i < s->n; i++) {
		text_at name = maker_at_word(c->m, s->first + i)->name;

		if (strcmp(name_key(c->arena, sv(craft_text(maker_view(c->m), name))), key) == 0)
			return i;
	}
	if (s->entries_of == NO16)
		return NONE;
	for (const struct symbol *y = symbols_find(&c->entries, sv(key), NULL); y != NULL;
	    y = symbols_find(&c->entries, sv(key), y))
		if (c->drafts[y->id].kind == s->entries_of)
			for (uint32_t i = 0; i < s->n; i++)
				if (maker_at_word(c->m, s->first + i)->entry == y->id)
					return i;
	return NONE;
}

static uint32_t
one_word(struct compiler *c, const struct node *n, strview w, size_t at, uint32_t set)
{
	uint32_t i = word_number(c, set, w);
	const struct word_set *s = maker_at_word_set(c->m, set);
	struct near near = {0};
	struct buf list = {0};

	if (i != NONE)
		return i;
	buf_add(&list, "", 0);
	for (i = 0; i < s->n; i++) {
		const char *name = craft_text(maker_view(c->m),
		    maker_at_word(c->m, s->first + i)->name);

		near_offer(&near, w, name);
		if (i < 16)
			buf_print(&list, "%s%s", i > 0 ? ", " : "", name);
		else if (i == 16)
			buf_str(&list, ", ...");
	}
	diag(c->ds, text_place(n, at, w.n), D_UNKNOWN_WORD, kept(c, w),
	    craft_text(maker_view(c->m), s->name), list.p);
	diag_near(c->ds, &near);
	buf_free(&list);
	return NONE;
}

static size_t
find_joint(strview v, const char *joint)
{
	size_t n = strlen(joint);

	for (size_t i = 1; i + n < v.n; i++)
		if (memcmp(v.p + i, joint, n) == 0)
			return i;
	return v.n;
}

static strview
trimmed(strview v, size_t *at)
{
	while (v.n > 0 && v.p[0] == ' ') {
		v.p++;
		v.n--;
		++*at;
	}
	return sv_trim(v);
}

static void
set_bit(uint64_t m[2], uint32_t bit)
{
	m[bit >> 6] |= (uint64_t)1 << (bit & 63);
}

/* stretch = word (" to " word)? */
static bool
stretch(struct compiler *c, const struct node *n, strview text, size_t at, uint32_t set,
    uint64_t out[2])
{
	uint32_t low = word_number(c, set, text), high;
	size_t joint = find_joint(text, " to ");

	if (low != NONE) {
		set_bit(out, low);
		return true;
	}
	if (joint == text.n) {
		one_word(c, n, text, at, set);
		return false;
	}
	if (!maker_at_word_set(c->m, set)->ordered) {
		diag(c->ds, text_place(n, at, text.n), D_WORD_STRETCH,
		    craft_text(maker_view(c->m), maker_at_word_set(c->m, set)->name));
		return false;
	}
	low = one_word(c, n, sv_trim((strview){text.p, joint}), at, set);
	at += joint + 4;
	text = trimmed((strview){text.p + joint + 4, text.n - joint - 4}, &at);
	high = one_word(c, n, text, at, set);
	if (low == NONE || high == NONE)
		return false;
	if (low > high) {
		diag(c->ds, n->place, D_VALUE_LOW_ABOVE_HIGH, kept(c, n->text));
		return false;
	}
	for (; low <= high; low++)
		set_bit(out, low);
	return true;
}

/* words = stretch (" or " stretch)* */
bool
get_words(struct compiler *c, const struct node *n, strview text, size_t at, uint32_t set,
    uint64_t out[2])
{
	bool good = true;
	uint32_t whole;

	out[0] = out[1] = 0;
	text = trimmed(text, &at);
	/* A word may hold a joint itself, so the whole comes first. */
	whole = word_number(c, set, text);
	if (whole != NONE) {
		set_bit(out, whole);
		return true;
	}
	for (;;) {
		size_t joint = find_joint(text, " or "), start = at;
		strview one = trimmed((strview){text.p, joint}, &start);

		good &= stretch(c, n, one, start, set, out);
		if (joint == text.n)
			return good;
		at += joint + 4;
		text = trimmed((strview){text.p + joint + 4, text.n - joint - 4}, &at);
	}
}

bool
get_value(struct compiler *c, const struct node *n, uint32_t property, value *v)
{
	const struct property *p = maker_at_property(c->m, property);
	const char *name = craft_text(maker_view(c->m), p->name);
	uint8_t type = p->type;
	uint16_t set = p->word_set;
	struct wanted w;
	bool good = true;

	name = kept(c, sv(name));
	*v = (value){.state = VALUE_KNOWN};
	if (type == TYPE_REF) {
		diag(c->ds, n->place, D_VALUE_IS_REFERENCE, name);
		return false;
	}
	if (n->type == NODE_TEXT && n->text.n > 1 && n->text.p[0] == '=' && n->text.p[1] == ' ') {
		diag(c->ds, n->place, D_VALUE_UNDERIVED_EXPRESSION);
		return false;
	}
	if (type == TYPE_QUANTITY || type == TYPE_BAND) {
		w = wanted_property(c, name, property);
		return get_range(c, n, &w, &v->r);
	}
	if (n->type == NODE_LIST) {
		for (const struct node *i = n->first; i != NULL; i = i->next) {
			uint64_t one[2];

			if (!is_text(c, i, name) || !get_words(c, i, i->text, 0, set, one)) {
				good = false;
				continue;
			}
			v->set[0] |= one[0];
			v->set[1] |= one[1];
		}
		return good && n->first != NULL;
	}
	return is_text(c, n, name) && get_words(c, n, n->text, 0, set, v->set);
}
