/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A materials list of any bytes: refused with a sentence, or read into sound
 * projects whose values lie where the file has them.
 */
#include "fuzz.h"

int
LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	struct knowledge *kb = fuzz_kb();
	struct arena *a = arena_new();
	struct project_list *list;
	const char *culprit = "";
	struct diags d;

	diags_init(&d, a);
	list = projects_from_list(a, kb, "list.csv",
	    (strview){arena_text(a, (const char *)data, size), size}, &d);
	if (list == NULL)
		HOLDS(d.n > 0);
	for (uint32_t i = 0; list != NULL && i < list->n; i++) {
		const struct project *p = list->of[i].project;

		HOLDS(project_check(kb, p, &culprit));
		for (uint32_t k = 0; k < p->n_values; k++)
			HOLDS(p->values[k].place.src == NULL || (size_t)p->values[k].place.at +
			    p->values[k].place.n <= list->source->text.n);
	}
	arena_free(a);
	return 0;
}
