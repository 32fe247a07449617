/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A project file, from its bytes to the findings.
 */
#include "fuzz.h"

int
LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	struct knowledge *kb = fuzz_kb();
	struct arena *a = arena_new();
	struct diags d;
	struct project *p;
	struct buf b = {0};
	const char *culprit = "";

	diags_init(&d, a);
	p = project_from_yaml(a, kb, fuzz_source(a, "file.yaml", data, size), &d);
	HOLDS((p == NULL) == (d.errors > 0));
	diags_print(&b, &d, true);
	HOLDS(b.n == 0 || utf8_valid((strview){b.p, b.n}, &(size_t){0}));
	if (p != NULL) {
		HOLDS(project_check(kb, p, &culprit));
		fuzz_whole(a, kb, p, true);
	}
	buf_free(&b);
	arena_free(a);
	return 0;
}
