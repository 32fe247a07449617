/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Plain words: the first line describes, each further line changes.
 *
 * What is printed as a project file is read back without an error, and to a
 * project that prints the same.
 */
#include "fuzz.h"

#include <string.h>

static void
printed_is_read_back(struct arena *a, struct knowledge *kb, const struct project *p)
{
	struct buf first = {0}, second = {0};
	struct project *again;
	struct diags d;

	diags_init(&d, a);
	project_print(&first, kb, p);
	again = project_from_yaml(a, kb, fuzz_source(a, "printed", (const uint8_t *)first.p, first.n),
	    &d);
	if (again == NULL) {
		diags_print(&second, &d, false);
		fprintf(stderr, "%s\n%s\n", first.p, second.p);
	}
	HOLDS(again != NULL);
	project_print(&second, kb, again);
	if (strcmp(first.p, second.p) != 0)
		fprintf(stderr, "%s\n--- read back ---\n%s\n", first.p, second.p);
	HOLDS(strcmp(first.p, second.p) == 0);
	buf_free(&first);
	buf_free(&second);
}

int
LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	struct knowledge *kb = fuzz_kb();
	struct arena *a = arena_new();
	struct project *p = NULL;
	struct buf tokens = {0};
	const char *culprit = "";

	while (size > 0) {
		const uint8_t *end = memchr(data, '\n', size);
		size_t n = end != NULL ? (size_t)(end - data) : size;
		struct source *src = fuzz_source(a, "<words>", data, n);
		struct project *next;
		struct diags d;

		diags_init(&d, a);
		next = p == NULL ? project_from_words(a, kb, src, &d)
		    : project_changed(a, kb, p, src, &d);
		if (next != NULL)
			p = next;
		else
			HOLDS(d.n > 0);                /* refused with a sentence */
		data += n + (end != NULL);
		size -= n + (end != NULL);
	}
	if (p != NULL) {
		HOLDS(project_check(kb, p, &culprit));
		project_tokens(&tokens, kb, p);
		buf_free(&tokens);
		printed_is_read_back(a, kb, p);
		/* Judging takes ten times as long as reading, and other tests do it. */
		if (p->n_things % 8 == 3)
			fuzz_whole(a, kb, p, true);
	}
	arena_free(a);
	return 0;
}
