/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A sheet of instructions of any bytes: refused with a sentence, or proofread,
 * with every finding at a place of the text.
 */
#include "fuzz.h"

#include "work/proof.h"

int
LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	struct arena *a = arena_new();
	struct source *src = fuzz_source(a, "sheet.md", data, size);
	struct buf b = {0};
	struct proof *p;
	struct diags d;

	diags_init(&d, a);
	p = proof_sheet(a, fuzz_kb(), src, &d);
	HOLDS(p != NULL || d.n > 0);
	for (uint32_t i = 0; p != NULL && i < p->n; i++) {
		HOLDS((size_t)p->f[i].place.at + p->f[i].place.n <= src->text.n);
		HOLDS(p->f[i].degree != DEGREE_GRAVE && p->f[i].says[0] != '\0');
	}
	proof_tokens(&b, a, fuzz_kb(), src, &d);
	buf_free(&b);
	arena_free(a);
	return 0;
}
