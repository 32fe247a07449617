/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Words that are one another everywhere ("zip" and "zipper", "colour" and
 * "color"): each name that holds one of them is a name with the other as well.
 *
 * A name made so gives way, as an inflection does, wherever somebody wrote it.
 */
#include "knowledge/knowledge_impl.h"

#include <string.h>

enum { GROUP_MOST = 6, NAMES_MOST = 120000 };

static bool
apart(char c)
{
	return c == ' ' || c == '\0';
}

/* Where WORD stands in TEXT as a word of its own, or NULL. */
static const char *
stands(const char *text, const char *word)
{
	size_t n = strlen(word);

	for (const char *p = strstr(text, word); p != NULL; p = strstr(p + 1, word))
		if ((p == text || p[-1] == ' ') && apart(p[n]))
			return p;
	return NULL;
}

static void
with_other(struct compiler *c, uint32_t i, const char *word, const char *other)
{
	struct name_draft d = c->names[i];
	const char *at = stands(d.folded, word);

	if (at == NULL || c->n_names >= NAMES_MOST)
		return;
	d.folded = arena_print(c->arena, "%.*s%s%s", (int)(at - d.folded), d.folded, other,
	    at + strlen(word));
	d.inflected = 1;
	c->names = mem_grow(c->names, &c->cap_names, c->n_names + 1, sizeof *c->names);
	c->names[c->n_names++] = d;
}

static void
group(struct compiler *c, const struct node *list)
{
	const char *word[GROUP_MOST];
	uint32_t n = 0, before = c->n_names;

	if (list->type != NODE_LIST) {
		diag(c->ds, list->place, D_EXPECTED_LIST, "same words");
		return;
	}
	for (const struct node *i = list->first; i != NULL && n < GROUP_MOST; i = i->next)
		if (is_text(c, i, "same words"))
			word[n++] = name_key(c->arena, sv_trim(i->text));
	for (uint32_t i = 0; i < before; i++)
		for (uint32_t k = 0; c->names[i].target == NAME_ENTRY && k < n; k++)
			for (uint32_t o = 0; o < n; o++)
				if (o != k)
					with_other(c, i, word[k], word[o]);
}

void
read_same_words(struct compiler *c)
{
	for (uint32_t f = 0; f < c->n_files; f++) {
		const struct node *list = c->files[f].root != NULL ?
		    node_get(c->files[f].root, "same words") : NULL;

		for (const struct node *g = list != NULL ? list->first : NULL; g != NULL; g = g->next)
			group(c, g);
	}
}
