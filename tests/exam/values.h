/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Shared between values.c and values_work.c: one row of figures read, and the
 * line of values_map.csv that says how we would answer it.
 */
#ifndef BODKIN_EXAM_VALUES_H
#define BODKIN_EXAM_VALUES_H

#include "exam.h"

enum { INPUTS_MOST = 16 };

struct input {
	const char *name, *text;           /* text "": a bare word */
	bool number;
};
struct figures {                           /* a row of check_values.csv */
	const char *id, *domain, *output, *expected, *tolerance, *unit;
	struct input input[INPUTS_MOST];
	uint32_t n_inputs;
	bool computed;                     /* a number is among the inputs */
};
struct outcome {
	bool offered;
	range is;                          /* in the unit of the map's line */
	range other[8]; uint32_t n_other;  /* figures of single sources, where they differ */
	const char *why;                   /* not offered: what is missing */
};

void figures_read(struct exam *, const struct sheet *, uint32_t row, const struct sheet *map,
    struct figures *);
struct outcome work_out(struct exam *, const struct figures *, const struct sheet *map);
bool figure_agrees(const struct figures *, double ours);
	/* Within the tolerance; of tolerance 0, equal when ours is rounded to the
	 * digits of the expected one. */
bool figure_within(const struct figures *, const struct outcome *);
	/* The expected figure lies in our range or in that of one source. */

#endif
