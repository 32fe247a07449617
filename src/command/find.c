/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * find: entries by words.  Words that ask for a setting are answered by the
 * same advice as a project, with the entries beside it.
 */
#include "command/command_impl.h"

enum { HITS = 10, HITS_ALL = 200 };

/* The project the words describe, when they ask for a setting. */
static bool
asked(struct run *r, const char *words, struct checked *c)
{
	struct diags quiet;
	struct project *p;

	diags_init(&quiet, r->arena);
	p = project_from_words(r->arena, r->kb, source_new(r->arena, "<words>", sv(words)), &quiet);
	return p != NULL && p->asked != NONE && quiet.errors == 0 && check_project(r, p, c);
}

static void
hits_page(struct run *r, const char *words, const struct hit *h, uint32_t n)
{
	if (n == 0) {
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "find.none", "words", words));
		return;
	}
	page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "find.entries"));
	for (uint32_t i = 0; i < n; i++) {
		const struct entry *e = &r->craft->entry[h[i].entry];

		page_item(r->page, 0, TONE_PLAIN, craft_text(r->craft, e->name), SAY(r, "find.hit",
		    "kind", craft_text(r->craft, r->craft->entry_kind[e->kind].name),
		    "says", entry_mark(r, h[i].entry, craft_text(r->craft, e->says))));
	}
}

static void
hits_json(struct run *r, const struct checked *c, const struct hit *h, uint32_t n)
{
	struct json j;

	json_begin(r, &j);
	json_key(&j, "asks");
	json_str(&j, c->project != NULL ?
	    craft_text(r->craft, r->craft->setting[c->project->asked].name) : NULL);
	json_key(&j, "hits");
	json_open(&j, '[');
	for (uint32_t i = 0; i < n; i++) {
		const struct entry *e = &r->craft->entry[h[i].entry];

		json_open(&j, '{');
		json_key(&j, "name");
		json_str(&j, craft_text(r->craft, e->name));
		json_key(&j, "kind");
		json_str(&j, craft_text(r->craft, r->craft->entry_kind[e->kind].name));
		json_key(&j, "says");
		json_str(&j, craft_text(r->craft, e->says));
		json_own(&j, e->own);
		json_key(&j, "score");
		json_number(&j, h[i].score);
		json_close(&j, '}');
	}
	json_close(&j, ']');
	json_end(r, &j);
}

int
command_find_words(struct run *r)
{
	const char *words = joined_args(r, 0);
	uint32_t most = r->ask->all ? HITS_ALL : HITS, n;
	struct hit *h = arena_alloc(r->arena, HITS_ALL * sizeof *h);
	struct checked c = {0};
	bool answered;

	if (r->ask->n_args == 0)
		return usage(r, "give the words to look for");
	if (!run_knowledge(r))
		return EXIT_NOT_RUN;
	answered = asked(r, words, &c);
	n = kb_search(r->kb, r->arena, sv(words), r->ask->kind, h, most);
	if (r->ask->json) {
		hits_json(r, &c, h, n);
	} else {
		if (answered)
			check_answer(r, &c, c.project->asked);
		hits_page(r, words, h, n);
	}
	return n > 0 || answered ? EXIT_SOUND : EXIT_FINDINGS;
}
