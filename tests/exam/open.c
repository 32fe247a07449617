/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What an exam needs before its first row: the knowledge, the stemmer, and
 * this room's own sheets.
 */
#include "exam.h"

bool
exam_open(struct exam *x, const char *home, struct knowledge *kb, const char **why)
{
	*x = (struct exam){.home = home, .kb = kb, .c = kb_craft(kb), .arena = arena_new(),
	    .row = arena_new(), .stemmer = stemmer_new()};
	return csv_rows_read(x->arena, home, "families.csv", &x->families, why) &&
	    csv_rows_read(x->arena, home, "units.csv", &x->units, why);
}

void
exam_close(struct exam *x)
{
	stemmer_free(x->stemmer);
	arena_free(x->row);
	arena_free(x->arena);
}

bool
exam_sheet(struct exam *x, const char *file, struct sheet *s)
{
	const char *why;

	if (csv_rows_read(x->arena, x->folder, file, s, &why))
		return true;
	printf("skipped %s: %s\n", file, why);
	return false;
}
