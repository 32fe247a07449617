/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * One value of a project file, read for the property it is given to.
 *
 * The schema decides everything: units, what a bare number means, which words
 * there are, which stretches of a scale.  Each way of being wrong has a message
 * of its own, at the very letters that are wrong.
 */
#include "project/yaml_impl.h"

#include <string.h>

/* ---- places ------------------------------------------------------------------ */

/* Part of a text node: its own place when the text stands in the file as it is. */
struct place
node_part(const struct yaml_reader *y, const struct node *n, size_t at, size_t len)
{
	const char *file = y->src->text.p;

	if (n->text.p < file || n->text.p + n->text.n > file + y->src->text.n || at > n->text.n)
		return n->place;
	if (len == 0 || len > n->text.n - at)
		len = n->text.n - at;
	return (struct place){y->src, (uint32_t)((size_t)(n->text.p - file) + at), (uint32_t)len};
}

const char *
node_words(const struct yaml_reader *y, strview text)
{
	return arena_text(y->arena, text.p, text.n);
}

/* ---- quantities ----------------------------------------------------------------- */

static const char *
units_taken(const struct yaml_reader *y, const struct property *p)
{
	struct buf b = {0};
	const char *t;

	buf_add(&b, "", 0);
	for (uint32_t i = 0; i < p->n_units; i++)
		buf_print(&b, "%s%s", i > 0 ? ", " : "",
		    y->t.c->units->u[y->t.c->unit_list[p->first_unit + i]].name);
	t = arena_text(y->arena, b.p, b.n);
	buf_free(&b);
	return t;
}

static const char *
range_in_words(const struct yaml_reader *y, const struct property *p, range r)
{
	struct buf b = {0};
	const char *t;

	buf_add(&b, "", 0);
	if (p->n_units > 0)
		range_print(&b, y->t.c->units, y->t.c->unit_list[p->first_unit], r, 0);
	t = arena_text(y->arena, b.p, b.n);
	buf_free(&b);
	return t;
}

/* A quantity as an example of how to write one. */
static const char *
sample(const struct yaml_reader *y, const struct property *p, strview number)
{
	const char *unit = p->n_units > 0 ?
	    y->t.c->units->u[y->t.c->unit_list[p->first_unit]].name : "";

	return arena_print(y->arena, "%.*s%s%s", (int)number.n, number.p,
	    unit[0] != '\0' ? " " : "", unit);
}

static void
complain(struct yaml_reader *y, uint32_t property, const struct node *n, const struct reading *r)
{
	const struct property *p = &y->t.c->property[property];
	size_t at = r->fault_at <= n->text.n ? r->fault_at : n->text.n;
	size_t len = r->fault_n <= n->text.n - at ? r->fault_n : n->text.n - at;
	struct place place = node_part(y, n, at, len);
	strview bad = {n->text.p + at, len};
	const char *title = property_title(&y->t, property), *word = node_words(y, bad);
	struct near near = {0};

	switch (r->fault) {
	case READ_FINE:
	case READ__COUNT:
		break;
	case READ_NOTHING:
		diag(y->ds, place, D_PROJECT_VALUE_NUMBER, title,
		    range_in_words(y, p, range_exact(p->domain.lo)));
		break;
	case READ_NO_UNIT:
		diag(y->ds, place, D_PROJECT_VALUE_UNIT, title, sample(y, p, bad));
		break;
	case READ_UNKNOWN_UNIT:
		diag(y->ds, place, D_PROJECT_VALUE_NO_UNIT, word, units_taken(y, p));
		for (uint32_t i = 0; i < p->n_units; i++)
			near_offer(&near, sv(text_fold(y->arena, bad)),
			    y->t.c->units->u[y->t.c->unit_list[p->first_unit + i]].name);
		diag_near(y->ds, &near);
		break;
	case READ_WRONG_DIMENSION:
		diag(y->ds, place, D_PROJECT_VALUE_OTHER, word, title, units_taken(y, p));
		break;
	case READ_NOT_TAKEN:
		diag(y->ds, place, D_PROJECT_VALUE_NOT_TAKEN, word, title, units_taken(y, p));
		break;
	case READ_OUT_OF_DOMAIN:
		diag(y->ds, place, D_PROJECT_VALUE_DOMAIN, title, node_words(y, n->text),
		    range_in_words(y, p, p->domain));
		break;
	case READ_LOW_ABOVE_HIGH:
		diag(y->ds, place, D_PROJECT_VALUE_ORDER, node_words(y, n->text));
		break;
	case READ_BAD_NUMBER:
		diag(y->ds, place, D_PROJECT_VALUE_BAD, word, sample(y, p, SV("2.5")));
		break;
	case READ_TRAILING:
		diag(y->ds, place, D_PROJECT_VALUE_TRAILING, word);
		break;
	}
}

/* "light" of a weight: a class word of that very property. */
static bool
class_word(const struct yaml_reader *y, uint32_t property, strview folded, struct said_value *v)
{
	const struct name *names;
	uint32_t n = kb_names(y->t.c, folded, &names);

	for (uint32_t i = 0; i < n; i++) {
		const struct phrase *p;

		if (names[i].target != NAME_PHRASE)
			continue;
		p = &y->t.c->phrase[names[i].id];
		if (p->property != property || (p->does != PHRASE_CLASS && p->does != PHRASE_SET))
			continue;
		v->value = value_unknown(y->t.c, property);
		if (p->quantity.lo <= p->quantity.hi) {
			v->value.r = p->quantity;
			v->value.state = VALUE_KNOWN;
		}
		v->typical_part = p->does == PHRASE_CLASS;
		v->part_lo = p->fraction_lo;
		v->part_hi = p->fraction_hi;
		return true;
	}
	return false;
}

static bool
quantity(struct yaml_reader *y, uint32_t property, const struct node *n, struct said_value *v)
{
	struct reading_for f = property_reading(&y->t, property);
	struct reading r = reading_of(y->t.c->units, y->t.c->range_words, &f, n->text, true);

	if (r.fault == READ_FINE) {
		v->value.r = r.value;
		v->value.state = VALUE_KNOWN;
		v->unit = r.unit;
		return true;
	}
	if (class_word(y, property, sv(text_fold(y->arena, n->text)), v))
		return true;
	complain(y, property, n, &r);
	return false;
}

/* ---- words ------------------------------------------------------------------------- */

/* The words of a set that one piece of text names, by any of their names. */
static bool
word_named(const struct yaml_reader *y, uint32_t property, strview text, uint64_t set[2])
{
	uint32_t s = y->t.c->property[property].word_set, w, n;
	const struct name *names;
	strview folded = sv(text_fold(y->arena, text));
	bool found = false;

	w = word_find(y->t.c, s, sv_trim(text));
	if (w == NONE)
		w = word_find(y->t.c, s, folded);
	if (w != NONE) {
		mask_add(set, w);
		return true;
	}
	n = kb_names(y->t.c, folded, &names);
	for (uint32_t i = 0; i < n; i++) {
		uint32_t within = NONE;

		if (names[i].target == NAME_WORD && set_of_word(&y->t, names[i].id, &within) != s)
			within = NONE;
		else if (names[i].target == NAME_ENTRY || names[i].target == NAME_SHORT)
			within = word_of_entry(&y->t, s, names[i].id);
		else if (names[i].target == NAME_PHRASE &&
		    y->t.c->phrase[names[i].id].does == PHRASE_SET &&
		    y->t.c->phrase[names[i].id].property == property) {
			set[0] |= y->t.c->phrase[names[i].id].set[0];
			set[1] |= y->t.c->phrase[names[i].id].set[1];
			found = true;
		}
		if (within != NONE) {
			mask_add(set, within);
			found = true;
		}
	}
	return found;
}

/* "slight to moderate": a stretch of a scale. */
static bool
stretch(const struct yaml_reader *y, uint32_t property, strview text, uint64_t set[2])
{
	const struct word_set *s = &y->t.c->word_set[y->t.c->property[property].word_set];

	for (size_t i = 0; s->ordered && i + 4 < text.n; i++) {
		uint64_t low[2] = {0, 0}, high[2] = {0, 0};
		uint32_t from = NONE, to = NONE;

		if (memcmp(text.p + i, " to ", 4) != 0 ||
		    !word_named(y, property, (strview){text.p, i}, low) ||
		    !word_named(y, property, (strview){text.p + i + 4, text.n - i - 4}, high))
			continue;
		for (uint32_t w = 0; w < s->n; w++) {
			if (from == NONE && mask_has(low, w))
				from = w;
			if (mask_has(high, w))
				to = w;
		}
		if (from == NONE || to == NONE || from > to)
			return false;
		for (uint32_t w = from; w <= to; w++)
			mask_add(set, w);
		return true;
	}
	return false;
}

/* Where the next "or" or comma stands in a text, and how long it is. */
static size_t
joint(strview t, size_t *len)
{
	for (size_t i = 0; i < t.n; i++) {
		if (t.p[i] == ',') {
			*len = 1;
			return i;
		}
		if (i + 4 < t.n && memcmp(t.p + i, " or ", 4) == 0) {
			*len = 4;
			return i;
		}
	}
	*len = 0;
	return t.n;
}

static void
no_such_word(struct yaml_reader *y, uint32_t property, struct place place, strview text)
{
	const struct word_set *s = &y->t.c->word_set[y->t.c->property[property].word_set];
	struct near near = {0};
	strview folded = sv(text_fold(y->arena, text));

	diag(y->ds, place, D_PROJECT_VALUE_WORDS, node_words(y, text),
	    property_title(&y->t, property));
	for (uint32_t w = 0; w < s->n; w++)
		near_offer(&near, folded, craft_text(y->t.c, y->t.c->word[s->first + w].name));
	/* A short list is shown whole. */
	if (near.n == 0 && s->n <= 3)
		for (uint32_t w = 0; w < s->n; w++)
			near.name[near.n++] = craft_text(y->t.c, y->t.c->word[s->first + w].name);
	diag_near(y->ds, &near);
}

/* Complains of a piece: of the end that is wrong when it is a stretch. */
static void
wrong_piece(struct yaml_reader *y, uint32_t property, const struct node *n, strview piece)
{
	bool ordered = y->t.c->word_set[y->t.c->property[property].word_set].ordered;

	for (size_t i = 1; ordered && i + 4 < piece.n; i++) {
		strview ends[2] = {{piece.p, i}, {piece.p + i + 4, piece.n - i - 4}};
		uint64_t set[2] = {0, 0};

		if (memcmp(piece.p + i, " to ", 4) != 0)
			continue;
		for (int e = 0; e < 2; e++)
			if (!word_named(y, property, ends[e], set)) {
				no_such_word(y, property, node_part(y, n,
				    (size_t)(ends[e].p - n->text.p), ends[e].n), ends[e]);
				return;
			}
		diag(y->ds, node_part(y, n, (size_t)(piece.p - n->text.p), piece.n),
		    D_PROJECT_VALUE_ORDER, node_words(y, piece));
		return;
	}
	no_such_word(y, property, node_part(y, n, (size_t)(piece.p - n->text.p), piece.n), piece);
}

static bool
words(struct yaml_reader *y, uint32_t property, const struct node *n, uint64_t set[2])
{
	strview rest = n->text;
	size_t at = 0;
	bool good = true;

	if (word_named(y, property, rest, set) || stretch(y, property, rest, set))
		return true;
	while (at < n->text.n) {
		size_t len, end;
		strview piece;

		rest = (strview){n->text.p + at, n->text.n - at};
		end = joint(rest, &len);
		piece = sv_trim((strview){rest.p, end});
		if (piece.n > 0 && !word_named(y, property, piece, set) &&
		    !stretch(y, property, piece, set)) {
			wrong_piece(y, property, n, piece);
			good = false;
		}
		at += end + len;
	}
	if (good && mask_empty(set)) {
		no_such_word(y, property, n->place, n->text);
		good = false;
	}
	return good;
}

/* ---- the value ------------------------------------------------------------------------ */

static bool
text_value(struct yaml_reader *y, uint32_t property, const struct node *n, struct said_value *v)
{
	if (property_is_quantity(&y->t, property))
		return quantity(y, property, n, v);
	if (!words(y, property, n, v->value.set))
		return false;
	v->value.state = VALUE_KNOWN;
	return true;
}

bool
yaml_value(struct yaml_reader *y, uint32_t property, const struct node *n, struct said_value *v)
{
	const struct property *p = &y->t.c->property[property];

	v->property = property;
	v->place = n->place;
	v->value = value_unknown(y->t.c, property);
	if (p->type == TYPE_REF) {
		diag(y->ds, n->place, D_PROJECT_NOT_SAID, property_title(&y->t, property));
		return false;
	}
	if (n->type == NODE_TEXT && !n->quoted &&
	    sv_is(sv(text_fold(y->arena, n->text)), "unknown"))
		return true;
	if (p->type == TYPE_WORDS)
		v->value.set[0] = v->value.set[1] = 0;
	if (n->type == NODE_LIST && p->type == TYPE_WORDS && n->n > 0) {
		bool good = true;

		for (const struct node *k = n->first; k != NULL; k = k->next)
			good = k->type == NODE_TEXT && text_value(y, property, k, v) && good;
		return good;
	}
	if (n->type != NODE_TEXT || n->text.n == 0) {
		diag(y->ds, n->place, D_PROJECT_SHAPE, property_title(&y->t, property), "a value",
		    "name: value");
		return false;
	}
	return text_value(y, property, n, v);
}
