/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What the reader says it used, it used.
 *
 * Every example of the rules and advice that a person wrote is read whole, and
 * again with one item left out at a time: a name, a quantity, a phrase. If the
 * model and the project are then the same to the letter, the item told nothing,
 * and it was wrong to call it used. A role said of a thing that has that role by
 * itself ("lined with acetate lining") is the one kind allowed.
 */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "project/project.h"

static const char *
everything(struct arena *a, struct knowledge *kb, const char *words)
{
	struct diags d;
	struct buf b = {0};
	struct project *p;
	struct model *m;
	const char *s;

	diags_init(&d, a);
	p = project_from_words(a, kb, source_new(a, "<words>", sv(words)), &d);
	m = p != NULL ? model_expand(a, kb, p, &d) : NULL;
	if (m == NULL)
		return "";
	model_print(&b, m);
	project_print(&b, kb, p);
	s = arena_text(a, b.p, b.n);
	buf_free(&b);
	return s;
}

static bool
same_item(const struct word_use *a, const struct word_use *b)
{
	return a->use == USED_YES && b->use == USED_YES && a->meant != NULL && b->meant != NULL
	    && strcmp(a->meant, b->meant) == 0;
}

static const char *
without(struct arena *a, const char *words, size_t at, size_t n)
{
	struct buf b = {0};
	const char *s;

	buf_add(&b, words, at);
	buf_str(&b, words + at + n);
	s = arena_text(a, b.p, b.n);
	buf_free(&b);
	return s;
}

static bool
so_already(const struct project *p, uint32_t first, uint32_t last)
{
	const char *meant = p->uses[first].meant;

	if (meant == NULL)
		return false;
	if (strncmp(meant, "role: ", 6) == 0 || strcmp(meant, "what is measured") == 0)
		return true;
	for (uint32_t i = 0; i < p->n_uses; i++)
		if ((i < first || i > last) && p->uses[i].meant != NULL && strcmp(p->uses[i].meant, meant) == 0)
			return true;
	return false;
}

START_TEST(items)
{
	const char *b = getenv("B"), *why = "";
	struct arena *a = arena_new(), *kept = arena_new();
	struct knowledge *kb = kb_open(arena_print(kept, "%s/bodkin.db", b != NULL ? b : "build"), &why);
	const struct craft *c;
	uint32_t used = 0, idle = 0, roles = 0;

	ck_assert_msg(kb != NULL, "%s", why);
	c = kb_craft(kb);
	for (uint32_t e = 0; e < c->n_example; e++) {
		const char *words = craft_text(c, c->example[e].words), *whole;
		struct project *p;
		struct diags d;

		if (c->example[e].by_tool)
			continue;
		arena_reset(a);
		diags_init(&d, a);
		whole = everything(a, kb, words);
		p = project_from_words(a, kb, source_new(a, "<words>", sv(words)), &d);
		for (uint32_t i = 0; p != NULL && i < p->n_uses; i++) {
			uint32_t first = i;
			size_t at = p->uses[i].place.at, n;

			if (p->uses[i].use != USED_YES)
				continue;
			while (i + 1 < p->n_uses && same_item(&p->uses[i], &p->uses[i + 1]))
				i++;
			n = p->uses[i].place.at + p->uses[i].place.n - at;
			used++;
			if (strcmp(everything(a, kb, without(a, words, at, n)), whole) != 0)
				continue;
			if (so_already(p, first, i))
				roles++;
			else {
				idle++;
				printf("told nothing: %.*s (%s) in: %s\n", (int)n, words + at,
				    p->uses[first].meant, words);
			}
		}
	}
	printf("%u items called used, %u told nothing, %u said what was so already\n", used, idle, roles);
	ck_assert_uint_gt(used, 500);
	ck_assert_msg(idle * 100 <= used, "%u of %u items told nothing", idle, used);
	arena_free(a);
	arena_free(kept);
	kb_close(kb);
}
END_TEST

int
main(void)
{
	Suite *s = suite_create("used");
	TCase *t = tcase_create("items");
	SRunner *r;
	int failed;

	tcase_set_timeout(t, 300);
	tcase_add_test(t, items);
	suite_add_tcase(s, t);
	r = srunner_create(s);
	srunner_run_all(r, CK_NORMAL);
	failed = srunner_ntests_failed(r);
	srunner_free(r);
	return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
