/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * An entry as bytes: written when compiled, read when first asked for.
 *
 *   record = checksum counts typical* figure* bring* typical* text* link* when each basis basis
 *
 * Whole numbers are seven bits a byte, least first; NONE is written as 0, all
 * else one higher. Figures are eight bytes, least first. Nothing in it points
 * anywhere, and every index is held against the craft when read, so that a
 * damaged record is refused and never followed.
 */
#include "knowledge/knowledge_impl.h"

#include <stdlib.h>
#include <string.h>

void
record_free(struct record *r)
{
	free(r->typicals);
	free(r->figures);
	free(r->brings);
	free(r->bring_values);
	free(r->texts);
	free(r->links);
	*r = (struct record){0};
}

/* ---- writing ----------------------------- */

static void
put_whole(struct buf *b, uint64_t x)
{
	for (; x > 0x7f; x >>= 7)
		buf_char(b, (char)(unsigned char)(0x80 | (x & 0x7f)));
	buf_char(b, (char)x);
}

static void
put_index(struct buf *b, uint32_t x)
{
	put_whole(b, x == NONE ? 0 : (uint64_t)x + 1);
}

static void
put_eight(struct buf *b, uint64_t x)
{
	for (int i = 0; i < 8; i++)
		buf_char(b, (char)(unsigned char)(x >> (8 * i) & 0xff));
}

static void
put_text(struct buf *b, const char *s)
{
	size_t n = strlen(s);

	put_whole(b, n);
	buf_add(b, s, n);
}

/* Both forms a value can have are sixteen bytes. */
static void
put_value(struct buf *b, const value *v)
{
	put_whole(b, v->state);
	if (v->state == VALUE_KNOWN) {
		put_eight(b, v->set[0]);
		put_eight(b, v->set[1]);
	}
}

static void
put_typicals(struct buf *b, const struct typical *t, uint32_t n)
{
	for (; n > 0; n--, t++) {
		put_index(b, t->property);
		put_index(b, t->basis_low);
		put_index(b, t->basis_high);
		put_value(b, &t->usual);
		put_value(b, &t->seen);
		put_whole(b, t->first_figure);
		put_whole(b, t->n_figures);
		put_text(b, t->note);
	}
}

static void
put_bring(struct buf *b, const struct bring *x)
{
	put_whole(b, x->kind);
	put_whole(b, x->main);
	put_index(b, x->entry);
	put_text(b, x->name);
	put_index(b, x->when);
	put_index(b, x->parent);
	put_index(b, x->parent_property);
	put_whole(b, x->n_set);
	for (uint32_t i = 0; i < x->n_set; i++) {
		const struct bring_set *s = &x->set[i];

		put_index(b, s->property);
		put_whole(b, s->how);
		put_index(b, s->typical);
		put_index(b, s->program);
		put_index(b, s->local);
		put_whole(b, s->role);
	}
	put_whole(b, x->n_after);
	for (uint32_t i = 0; i < x->n_after; i++)
		put_index(b, x->after[i]);
}

strview
record_write(struct arena *a, const struct record *r)
{
	struct buf b = {0};
	strview out;
	uint64_t sum;

	put_eight(&b, 0);
	put_whole(&b, r->n_typicals);
	put_whole(&b, r->n_figures);
	put_whole(&b, r->n_brings);
	put_whole(&b, r->n_bring_values);
	put_whole(&b, r->n_texts);
	put_whole(&b, r->n_links);
	put_typicals(&b, r->typicals, r->n_typicals);
	for (uint32_t i = 0; i < r->n_figures; i++) {
		put_index(&b, r->figures[i].source);
		put_value(&b, &r->figures[i].value);
	}
	for (uint32_t i = 0; i < r->n_brings; i++)
		put_bring(&b, &r->brings[i]);
	put_typicals(&b, r->bring_values, r->n_bring_values);
	for (uint32_t i = 0; i < r->n_texts; i++) {
		put_text(&b, r->texts[i].key);
		put_text(&b, r->texts[i].text);
	}
	for (uint32_t i = 0; i < r->n_links; i++) {
		put_text(&b, r->links[i].how);
		put_index(&b, r->links[i].entry);
	}
	put_index(&b, r->when);
	put_whole(&b, r->each);
	put_index(&b, r->basis_low);
	put_index(&b, r->basis_high);
	sum = hash_bytes(b.p + 8, b.n - 8, 0);
	for (int i = 0; i < 8; i++)
		b.p[i] = (char)(unsigned char)(sum >> (8 * i) & 0xff);
	out = (strview){arena_text(a, b.p, b.n), b.n};
	buf_free(&b);
	return out;
}

/* ---- reading ----------------------------- */

struct reader {
	struct arena *arena;
	const struct craft *craft;
	const unsigned char *p, *end;
	bool bad;
};

static uint64_t
whole(struct reader *r)
{
	uint64_t x = 0;

	for (int shift = 0; shift < 63; shift += 7) {
		if (r->p == r->end)
			break;
		x |= (uint64_t)(*r->p & 0x7f) << shift;
		if (!(*r->p++ & 0x80))
			return x;
	}
	r->bad = true;
	return 0;
}

/* NONE, or an index below LIMIT. */
static uint32_t
index_below(struct reader *r, uint32_t limit)
{
	uint64_t x = whole(r);

	if (x > limit)
		r->bad = true;
	return x == 0 || r->bad ? NONE : (uint32_t)(x - 1);
}

static uint32_t
index_needed(struct reader *r, uint32_t limit)
{
	uint32_t i = index_below(r, limit);

	if (i == NONE)
		r->bad = true;
	return r->bad ? 0 : i;
}

/* A count of things that take at least a byte each. */
static uint32_t
count(struct reader *r)
{
	uint64_t x = whole(r);

	if (x > (uint64_t)(r->end - r->p))
		r->bad = true;
	return r->bad ? 0 : (uint32_t)x;
}

static uint64_t
eight(struct reader *r)
{
	uint64_t x = 0;

	if (r->end - r->p < 8) {
		r->bad = true;
		return 0;
	}
	for (int i = 0; i < 8; i++)
		x |= (uint64_t)*r->p++ << (8 * i);
	return x;
}

static const char *
text(struct reader *r)
{
	uint32_t n = count(r);
	const char *s;

	if (r->bad)
		return "";
	s = arena_text(r->arena, (const char *)r->p, n);
	r->p += n;
	return s;
}

static value
read_value(struct reader *r)
{
	value v = {.set = {0, 0}};
	uint64_t state = whole(r);

	if (state > VALUE_KNOWN)
		r->bad = true;
	v.state = (uint8_t)state;
	if (v.state == VALUE_KNOWN) {
		v.set[0] = eight(r);
		v.set[1] = eight(r);
	}
	return v;
}

static const struct typical *
typicals(struct reader *r, uint32_t n, uint32_t n_figures)
{
	const struct craft *c = r->craft;
	struct typical *t = arena_alloc(r->arena, (n + 1) * sizeof *t);

	for (uint32_t i = 0; i < n && !r->bad; i++) {
		t[i].property = index_needed(r, c->n_property);
		t[i].basis_low = index_needed(r, c->n_source);
		t[i].basis_high = index_needed(r, c->n_source);
		t[i].usual = read_value(r);
		t[i].seen = read_value(r);
		t[i].first_figure = (uint32_t)whole(r);
		t[i].n_figures = count(r);
		if (t[i].first_figure > n_figures || t[i].n_figures > n_figures - t[i].first_figure)
			r->bad = true;
		t[i].note = text(r);
	}
	return t;
}

static void
read_bring(struct reader *r, struct bring *x, uint32_t n_brings, uint32_t n_values)
{
	const struct craft *c = r->craft;
	struct bring_set *set;
	uint32_t *after;
	uint64_t kind = whole(r), how, role;

	if (kind >= c->n_kind)
		r->bad = true;
	x->kind = (uint16_t)kind;
	x->main = whole(r) != 0;
	x->entry = index_below(r, c->n_entry);
	x->name = text(r);
	x->when = index_below(r, c->n_program);
	x->parent = index_below(r, n_brings);
	x->parent_property = index_below(r, c->n_property);
	x->n_set = count(r);
	set = arena_alloc(r->arena, (x->n_set + 1) * sizeof *set);
	for (uint32_t i = 0; i < x->n_set && !r->bad; i++) {
		set[i].property = index_needed(r, c->n_property);
		how = whole(r);
		if (how > BRING_ROLE)
			r->bad = true;
		set[i].how = (uint8_t)how;
		set[i].typical = index_below(r, n_values);
		set[i].program = index_below(r, c->n_program);
		set[i].local = index_below(r, n_brings);
		role = whole(r);
		if (role > NO16 || (how == BRING_VALUE && set[i].typical == NONE) ||
		    (how == BRING_PROGRAM && set[i].program == NONE) ||
		    (how == BRING_LOCAL && set[i].local == NONE) ||
		    (how == BRING_ROLE && role >= 128))
			r->bad = true;
		set[i].role = (uint16_t)role;
	}
	x->set = set;
	x->n_after = count(r);
	after = arena_alloc(r->arena, (x->n_after + 1) * sizeof *after);
	for (uint32_t i = 0; i < x->n_after && !r->bad; i++)
		after[i] = index_needed(r, n_brings);
	x->after = after;
}

static void
read_rest(struct reader *r, struct entry_record *e)
{
	struct figure *f = arena_alloc(r->arena, (e->n_figures + 1) * sizeof *f);
	struct bring *b = arena_alloc(r->arena, (e->n_brings + 1) * sizeof *b);
	struct entry_text *t = arena_alloc(r->arena, (e->n_texts + 1) * sizeof *t);
	struct entry_link *l = arena_alloc(r->arena, (e->n_links + 1) * sizeof *l);
	uint64_t each;

	for (uint32_t i = 0; i < e->n_figures && !r->bad; i++) {
		f[i].source = index_needed(r, r->craft->n_source);
		f[i].value = read_value(r);
	}
	for (uint32_t i = 0; i < e->n_brings && !r->bad; i++)
		read_bring(r, &b[i], e->n_brings, e->n_bring_values);
	e->bring_values = typicals(r, r->bad ? 0 : e->n_bring_values, e->n_figures);
	for (uint32_t i = 0; i < e->n_texts && !r->bad; i++) {
		t[i].key = text(r);
		t[i].text = text(r);
	}
	for (uint32_t i = 0; i < e->n_links && !r->bad; i++) {
		l[i].how = text(r);
		l[i].entry = index_needed(r, r->craft->n_entry);
	}
	e->when = index_below(r, r->craft->n_program);
	each = whole(r);
	if (each > NO16 || (each != NO16 && each >= r->craft->n_kind) ||
	    (e->when != NONE && each == NO16))
		r->bad = true;
	e->each = (uint16_t)each;
	e->basis_low = index_below(r, r->craft->n_source);
	e->basis_high = index_below(r, r->craft->n_source);
	e->figures = f;
	e->brings = b;
	e->texts = t;
	e->links = l;
}

const struct entry_record *
record_read(struct arena *a, const struct craft *c, strview blob)
{
	struct reader r = {.arena = a, .craft = c, .p = (const unsigned char *)blob.p,
	    .end = (const unsigned char *)blob.p + blob.n};
	struct entry_record *e;
	uint64_t sum = eight(&r);

	if (r.bad || hash_bytes(blob.p + 8, blob.n - 8, 0) != sum)
		return NULL;
	e = arena_alloc(a, sizeof *e);
	e->n_typicals = count(&r);
	e->n_figures = count(&r);
	e->n_brings = count(&r);
	e->n_bring_values = count(&r);
	e->n_texts = count(&r);
	e->n_links = count(&r);
	if (r.bad)
		return NULL;
	e->typicals = typicals(&r, e->n_typicals, e->n_figures);
	read_rest(&r, e);
	return r.bad || r.p != r.end ? NULL : e;
}
