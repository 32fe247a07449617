/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The exam as a program: exam DATABASE HOME [FOLDER].
 *
 * Always ends with status 0 when it could run: how well it went is in what it
 * prints, not in its status.
 */
#include "exam.h"

static void
disputed(struct exam *x)
{
	struct sheet s;
	const char *why;

	if (!csv_rows_read(x->arena, x->home, "disputed.csv", &s, &why)) {
		printf("skipped disputed.csv: %s\n", why);
		return;
	}
	for (uint32_t r = 0; r < s.n_rows; r++)
		printf("disputed %s (still counted): %s; better: %s\n", sheet_cell(&s, r, "id"),
		    sheet_cell(&s, r, "reason"), sheet_cell(&s, r, "better_source"));
}

int
main(int argc, char **argv)
{
	static void (*const parts[])(struct exam *) = {
		part_pairings, part_questions, part_faults, part_vocabulary, part_projects,
		part_lists, part_values,
	};
	struct exam x;
	struct knowledge *kb;
	const char *why;

	if (argc < 3 || argc > 4) {
		fprintf(stderr, "usage: %s DATABASE HOME [FOLDER]\n", argv[0]);
		return EXIT_NOT_RUN;
	}
	kb = kb_open(argv[1], &why);
	if (kb == NULL)
		die(EXIT_NOT_RUN, "%s: %s", argv[1], why);
	if (!exam_open(&x, argv[2], kb, &why))
		die(EXIT_NOT_RUN, "%s: %s", argv[2], why);
	x.folder = argc > 3 && *argv[3] != '\0' ? argv[3]
	    : arena_print(x.arena, "%s/demo", argv[2]);
	printf("exam of %s, knowledge %s\n", argc > 3 && *argv[3] != '\0' ? "the folder given" :
	    "the demo scenario", kb_version(kb));
	for (size_t i = 0; i < sizeof parts / sizeof *parts; i++)
		parts[i](&x);
	disputed(&x);
	exam_close(&x);
	kb_close(kb);
	out_close(stdout, "standard output");
	return EXIT_SOUND;
}
