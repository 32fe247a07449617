/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Words to look for: none is ever understood as a query of the engine.
 */
#include "fuzz.h"

enum { HITS = 10 };

static void
search(struct knowledge *kb, struct arena *a, strview words, const char *kind)
{
	const struct craft *c = kb_craft(kb);
	struct hit hit[HITS];
	uint32_t n = kb_search(kb, a, words, kind, hit, HITS);

	HOLDS(n <= HITS);
	for (uint32_t i = 0; i < n; i++) {
		HOLDS(hit[i].entry < c->n_entry);
		HOLDS(i == 0 || hit[i].score <= hit[i - 1].score);
		for (uint32_t k = 0; k < i; k++)
			HOLDS(hit[k].entry != hit[i].entry);
	}
}

int
LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	struct knowledge *kb = fuzz_kb();
	const struct craft *c = kb_craft(kb);
	struct arena *a = arena_new();
	strview words = {arena_text(a, (const char *)data, size), size};
	const struct name *first;
	struct near near = {{NULL}, {0}, 0};
	char *folded = text_fold(a, words);
	uint32_t n;

	search(kb, a, words, NULL);
	if (c->n_entry_kind > 0)
		search(kb, a, words, craft_text(c, c->entry_kind[size % c->n_entry_kind].name));
	n = kb_names(c, sv(folded), &first);
	for (uint32_t i = 0; i < n; i++)
		HOLDS(first + i < c->name + c->n_name);
	kb_names_near(c, sv(folded), &near);
	HOLDS(near.n <= 3);
	n = kb_entry_find(c, words, NULL);
	HOLDS(n == NONE || n < c->n_entry);
	arena_free(a);
	return 0;
}
