/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The growing craft: an array for each section, text kept once.
 *
 * The arrays live on the heap while they grow and belong to the maker, which
 * lives as long as its arena's user; craft_pack copies them into a block.
 */
#include <stdlib.h>

#include "language/language_impl.h"

#define TEXT_ROOM ((size_t)32 << 20)

enum section {
#define SECTION(type, name) SECTION_##name,
#include "language/sections.def"
#undef SECTION
	SECTION__COUNT
};

#define SECTION(type, name) \
uint32_t \
maker_add_##name(struct craft_maker *m, const type *x, uint32_t n) \
{ \
	uint32_t first = m->view.n_##name; \
	type *grown = mem_grow((void *)(uintptr_t)m->view.name, &m->cap[SECTION_##name], \
	    (size_t)first + n, sizeof(type)); \
\
	if (n > 0 && x != NULL) \
		memcpy(grown + first, x, n * sizeof(type)); \
	m->view.name = grown; \
	m->view.n_##name = first + n; \
	return first; \
} \
type * \
maker_at_##name(struct craft_maker *m, uint32_t i) \
{ \
	return (type *)(uintptr_t)&m->view.name[i]; \
}
#include "language/sections.def"
#undef SECTION

struct craft_maker *
maker_new(struct arena *a, struct diags *d)
{
	struct craft_maker *m = arena_alloc(a, sizeof *m);

	_Static_assert(SECTION__COUNT <= sizeof m->cap / sizeof *m->cap, "cap has a slot a section");
	m->arena = a;
	m->diags = d;
	m->view.arena = a;
	m->units_seen = NONE;
	/* Room for all text from the start (untouched pages cost nothing), so that a
	 * text once made stays where it is while more is added. */
	m->view.text = mem_alloc(TEXT_ROOM);
	m->cap[SECTION_text] = TEXT_ROOM;
	maker_add_text(m, "", 1);
	return m;
}

void
maker_free(struct craft_maker *m)
{
#define SECTION(type, name) free((void *)(uintptr_t)m->view.name);
#include "language/sections.def"
#undef SECTION
	free(m->texts);
	m->texts = NULL;
}

static void
texts_grow(struct craft_maker *m)
{
	uint32_t cap = m->cap_texts > 0 ? m->cap_texts * 2 : 1024;
	struct text_slot *t = mem_alloc(cap * sizeof *t);

	for (uint32_t i = 0; i < m->cap_texts; i++) {
		const char *s = m->view.text + m->texts[i].at;
		uint32_t h;

		if (m->texts[i].at == 0)
			continue;
		h = (uint32_t)hash_bytes(s, strlen(s), 0) & (cap - 1);
		while (t[h].at != 0)
			h = (h + 1) & (cap - 1);
		t[h] = m->texts[i];
	}
	free(m->texts);
	m->texts = t;
	m->cap_texts = cap;
}

text_at
maker_text(struct craft_maker *m, strview s)
{
	uint32_t h;

	if (s.n == 0)
		return 0;
	if (m->n_texts * 2 >= m->cap_texts)
		texts_grow(m);
	h = (uint32_t)hash_bytes(s.p, s.n, 0) & (m->cap_texts - 1);
	while (m->texts[h].at != 0) {
		const char *have = m->view.text + m->texts[h].at;

		if (strlen(have) == s.n && memcmp(have, s.p, s.n) == 0)
			return m->texts[h].at;
		h = (h + 1) & (m->cap_texts - 1);
	}
	if ((size_t)m->view.n_text + s.n + 1 > TEXT_ROOM)
		die(EXIT_NOT_RUN, "the knowledge holds more than 32 MiB of text");
	m->texts[h].at = maker_add_text(m, NULL, (uint32_t)s.n + 1);
	memcpy(maker_at_text(m, m->texts[h].at), s.p, s.n);
	*maker_at_text(m, m->texts[h].at + (uint32_t)s.n) = '\0';
	m->n_texts++;
	return m->texts[h].at;
}

struct craft *
maker_view(struct craft_maker *m)
{
	if (m->units_seen != m->view.n_unit) {
		m->view.units = units_build(m->arena, &m->view);
		m->units_seen = m->view.n_unit;
	}
	if (m->view.range_words == NULL && m->view.n_range_word > 0)
		m->view.range_words = range_words_build(m->arena, &m->view);
	return &m->view;
}

struct craft *
maker_finish(struct craft_maker *m)
{
	struct craft *c = maker_view(m);

	order_properties(m);
	return c;
}
