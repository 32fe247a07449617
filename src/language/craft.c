/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The block of a compiled craft: packed, unpacked, looked up.
 *
 *   magic (8)  version (4)  sections (4)  size (8)  checksum (8)
 *   for each section: offset (8)  count (4)  size of one (4)
 *   the sections, each on a 16-byte boundary
 *
 * Integers are those of the machine; the sizes of the structs are checked, so
 * a block of another build is refused and not misread.
 */
#include <stdlib.h>

#include "language/language_impl.h"

#define BLOCK_MAGIC "bodkin\x1a\x01"
#define BLOCK_VERSION 7u

struct block_head {
	char magic[8];
	uint32_t version, sections;
	uint64_t size, checksum;
};
struct block_section { uint64_t offset; uint32_t count, size; };

enum {
#define SECTION(type, name) NUMBER_##name,
#include "language/sections.def"
#undef SECTION
	NUMBER__COUNT
};

const char *
craft_text(const struct craft *c, text_at at)
{
	return at < c->n_text ? c->text + at : "";
}

/* Eight bytes at a step, in four lanes so that the steps need not wait for each
 * other; the block is a whole number of steps. Every byte counts and every single
 * damage changes the sum: each step is a bijection of its lane, and so is the
 * last of each of them. */
static uint64_t
sum_step(uint64_t h, uint64_t w)
{
	return (h ^ w) * 0xff51afd7ed558ccdu;
}

static uint64_t
block_sum(const char *p, size_t n)
{
	uint64_t a = 0x9e3779b97f4a7c15u, b = 1, c = 2, d = 3, w[4], h;
	size_t i = 0;

	for (; i + sizeof w <= n; i += sizeof w) {
		memcpy(w, p + i, sizeof w);
		a = sum_step(a, w[0]);
		b = sum_step(b, w[1]);
		c = sum_step(c, w[2]);
		d = sum_step(d, w[3]);
	}
	for (; i + sizeof *w <= n; i += sizeof *w) {
		memcpy(w, p + i, sizeof *w);
		a = sum_step(a, w[0]);
	}
	h = sum_step(0, a);
	h = sum_step(h ^ h >> 32, b);
	h = sum_step(h ^ h >> 32, c);
	return sum_step(h ^ h >> 32, d);
}

static void
align(struct buf *b)
{
	static const char zero[16];

	buf_add(b, zero, (16 - b->n % 16) % 16);
}

strview
craft_pack(struct arena *a, const struct craft *c)
{
	struct block_head h = {.version = BLOCK_VERSION, .sections = NUMBER__COUNT};
	struct block_section s[NUMBER__COUNT];
	struct buf b = {0};
	strview out;

	memset(s, 0, sizeof s);
	memcpy(h.magic, BLOCK_MAGIC, sizeof h.magic);
	buf_add(&b, (const char *)&h, sizeof h);
	buf_add(&b, (const char *)s, sizeof s);
#define SECTION(type, name) \
	align(&b); \
	s[NUMBER_##name] = (struct block_section){b.n, c->n_##name, (uint32_t)sizeof(type)}; \
	if (c->n_##name > 0) \
		buf_add(&b, (const char *)c->name, c->n_##name * sizeof(type));
#include "language/sections.def"
#undef SECTION
	align(&b);
	h.size = b.n;
	memcpy(b.p + sizeof h, s, sizeof s);
	h.checksum = block_sum(b.p + sizeof h, b.n - sizeof h);
	memcpy(b.p, &h, sizeof h);
	out = (strview){arena_text(a, b.p, b.n), b.n};
	buf_free(&b);
	return out;
}

bool
craft_unpack(struct craft *c, struct arena *a, strview block, const char **why)
{
	struct block_head h;
	const struct block_section *s;

	memset(c, 0, sizeof *c);
	if (block.n < sizeof h || ((uintptr_t)block.p & 15) != 0) {
		*why = "the compiled knowledge is cut short";
		return false;
	}
	memcpy(&h, block.p, sizeof h);
	if (memcmp(h.magic, BLOCK_MAGIC, sizeof h.magic) != 0 || h.version != BLOCK_VERSION
	    || h.sections != NUMBER__COUNT) {
		*why = "the compiled knowledge is of another version of the program";
		return false;
	}
	if (h.size != block.n || block.n < sizeof h + NUMBER__COUNT * sizeof *s
	    || block.n % 16 != 0 || block_sum(block.p + sizeof h, block.n - sizeof h) != h.checksum) {
		*why = "the compiled knowledge is damaged";
		return false;
	}
	s = (const struct block_section *)(const void *)(block.p + sizeof h);
#define SECTION(type, name) \
	if (s[NUMBER_##name].size != sizeof(type) || s[NUMBER_##name].offset > block.n \
	    || s[NUMBER_##name].offset % 16 != 0 \
	    || (block.n - s[NUMBER_##name].offset) / sizeof(type) < s[NUMBER_##name].count) { \
		*why = "the compiled knowledge is of another build of the program"; \
		return false; \
	} \
	c->name = (const type *)(const void *)(block.p + s[NUMBER_##name].offset); \
	c->n_##name = s[NUMBER_##name].count;
#include "language/sections.def"
#undef SECTION
	if (!craft_verify(c, a, why))
		return false;
	c->arena = a;
	c->units = units_build(a, c);
	c->range_words = range_words_build(a, c);
	return true;
}

/* ---- views for measure ---------------------------------------------------- */

const struct units *
units_build(struct arena *a, const struct craft *c)
{
	struct units *us = arena_alloc(a, sizeof *us);
	struct unit *u = arena_alloc(a, (c->n_unit + 1) * sizeof *u);

	for (uint32_t i = 0; i < c->n_unit; i++) {
		const struct craft_unit *f = &c->unit[i];
		const char **sp = arena_alloc(a, (f->n_spellings + 1) * sizeof *sp);

		for (uint32_t k = 0; k < f->n_spellings; k++)
			sp[k] = craft_text(c, c->spelling[f->first_spelling + k]);
		u[i] = (struct unit){
			.name = craft_text(c, f->name), .plural = craft_text(c, f->plural),
			.spellings = sp, .dim = f->dim, .form = (enum unit_form)f->form,
			.factor = f->factor, .offset = f->offset, .before = f->before, .after = f->after,
			.numbering = f->numbering, .ladder = f->n_rungs > 0 ? c->rung + f->first_rung : NULL,
			.n_ladder = f->n_rungs, .digits = f->digits, .fraction = f->fraction,
		};
	}
	us->u = u;
	us->n = c->n_unit;
	return us;
}

/* .range_word holds six lists, each ended by 0: about, under, over, to,
 * between, and. */
const struct reading_words *
range_words_build(struct arena *a, const struct craft *c)
{
	struct reading_words *w = arena_alloc(a, sizeof *w);
	const char *const **lists[] = {
		&w->about, &w->under, &w->over, &w->to, &w->between, &w->and_,
	};
	uint32_t at = 0;

	for (size_t i = 0; i < sizeof lists / sizeof *lists; i++) {
		uint32_t n = 0;
		const char **l;

		while (at + n < c->n_range_word && c->range_word[at + n] != 0)
			n++;
		l = arena_alloc(a, (n + 1) * sizeof *l);
		for (uint32_t k = 0; k < n; k++)
			l[k] = craft_text(c, c->range_word[at + k]);
		*lists[i] = l;
		at += n + 1;
	}
	return w;
}

/* ---- look-ups --------------------------------------------------------------- */

uint32_t
kind_find(const struct craft *c, strview name)
{
	for (uint32_t i = 0; i < c->n_kind; i++)
		if (sv_is(name, craft_text(c, c->kind[i].name)))
			return i;
	return NONE;
}

uint32_t
property_find(const struct craft *c, uint32_t kind, strview name)
{
	const struct kind *k = &c->kind[kind];

	if (kind >= c->n_kind)
		return NONE;
	for (uint32_t i = 0; i < k->n_properties; i++)
		if (sv_is(name, craft_text(c, c->property[k->first_property + i].name)))
			return k->first_property + i;
	return NONE;
}

uint32_t
setting_find(const struct craft *c, strview name)
{
	for (uint32_t i = 0; i < c->n_setting; i++)
		if (sv_is(name, craft_text(c, c->setting[i].name)))
			return i;
	return NONE;
}

uint32_t
set_find(const struct craft *c, strview name)
{
	for (uint32_t i = 0; i < c->n_word_set; i++)
		if (sv_is(name, craft_text(c, c->word_set[i].name)))
			return i;
	return NONE;
}

uint32_t
word_find(const struct craft *c, uint32_t set, strview name)
{
	if (set >= c->n_word_set)
		return NONE;
	for (uint32_t i = 0; i < c->word_set[set].n; i++)
		if (sv_is(name, craft_text(c, c->word[c->word_set[set].first + i].name)))
			return i;
	return NONE;
}

uint32_t
message_find(const struct craft *c, const char *id)
{
	for (uint32_t i = 0; i < c->n_user_message; i++)
		if (strcmp(craft_text(c, c->user_message[i].id), id) == 0)
			return i;
	return NONE;
}

bool
property_depends(const struct craft *c, uint32_t derived, uint32_t on)
{
	if (derived >= c->n_depends || on >= 1024)
		return false;
	return c->depends[derived].bits[on >> 6] >> (on & 63) & 1;
}

/* Broader entries are followed to a depth of 12; the compiler refuses circles,
 * a damaged file cannot make this run on. */
static bool
entry_is_within(const struct craft *c, uint32_t entry, uint32_t broader, int depth)
{
	const struct entry *e;

	if (entry == broader)
		return true;
	if (depth == 0 || entry >= c->n_entry)
		return false;
	e = &c->entry[entry];
	for (uint32_t i = 0; i < e->n_broader && e->first_broader + i < c->n_broader; i++)
		if (entry_is_within(c, c->broader[e->first_broader + i], broader, depth - 1))
			return true;
	return false;
}

bool
entry_is(const struct craft *c, uint32_t entry, uint32_t broader)
{
	return entry_is_within(c, entry, broader, 12);
}
