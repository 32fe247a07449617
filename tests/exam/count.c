/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * How results are printed: one line for each row that fell short, one for
 * each part.
 */
#include "exam.h"

#include <stdlib.h>

/* Tenths of a per cent, rounded half up, by whole numbers alone. */
static void
score_print(const char *lead, const struct tally *t)
{
	uint64_t tenths = t->of > 0 ? ((uint64_t)t->right * 2000 + t->of) / ((uint64_t)t->of * 2) : 0;

	printf("%s %s %u/%u %u.%u %%\n", lead, t->part, (unsigned)t->right, (unsigned)t->of,
	    (unsigned)(tenths / 10), (unsigned)(tenths % 10));
}

void
tally_print(const struct tally *t)
{
	score_print("exam", t);
}

void
control_print(const struct tally *t)
{
	score_print("exam-control", t);
}

static int
by_size(const void *a, const void *b)
{
	const uint32_t *x = a, *y = b;

	return *x < *y ? -1 : *x > *y;
}

void
control_mean(const char *part, const uint32_t *n, uint32_t of)
{
	uint64_t sum = 0, hundredths;
	uint32_t *sorted = mem_alloc((of + 1) * sizeof *sorted), ninth;

	for (uint32_t i = 0; i < of; i++) {
		sorted[i] = n[i];
		sum += n[i];
	}
	qsort(sorted, of, sizeof *sorted, by_size);
	ninth = of > 0 ? sorted[((uint64_t)of * 9 + 9) / 10 - 1] : 0;      /* nearest rank */
	hundredths = of > 0 ? (sum * 200 + of) / ((uint64_t)of * 2) : 0;
	printf("exam-control %s %u/%u mean %u.%02u, 90th percentile %u\n", part, (unsigned)sum,
	    (unsigned)of, (unsigned)(hundredths / 100), (unsigned)(hundredths % 100), (unsigned)ninth);
	free(sorted);
}

void
not_offered(const char *part)
{
	printf("exam %s not offered\n", part);
}

void
fell_short(const struct exam *x, const char *part, const char *id, const char *fmt, ...)
{
	struct buf raw = {0}, safe = {0};
	va_list ap;
	char line[1024];

	(void)x;
	va_start(ap, fmt);
	vsnprintf(line, sizeof line, fmt, ap);
	va_end(ap);
	buf_str(&raw, line);
	text_safe(&safe, (strview){raw.p, raw.n});
	printf("short %s %s: %s\n", part, id, safe.n > 0 ? safe.p : "");
	buf_free(&raw);
	buf_free(&safe);
}
