/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * How many projects a second one process reads, expands, advises and judges.
 *
 * The projects are the examples of all rules, taken round and round; each is
 * done whole, in an arena that is reset after it. Says also how much time the
 * stages take, how many undecided items a project has, and how memory grows.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <time.h>

#include "advise/advise.h"

static double
now(void)
{
	struct timespec t;

	clock_gettime(CLOCK_MONOTONIC, &t);
	return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

static long
peak_kib(void)
{
	struct rusage r;

	getrusage(RUSAGE_SELF, &r);
	return r.ru_maxrss;
}

int
main(int argc, char **argv)
{
	const char *why;
	struct knowledge *kb = kb_open(argc > 1 ? argv[1] : "build/bodkin.db", &why);
	unsigned long n = argc > 2 ? strtoul(argv[2], NULL, 10) : 10000;
	struct arena *a = arena_new();
	double start, stage[4] = {0}, t0, t1;
	unsigned long undecided = 0, fails = 0, objects = 0;
	const struct craft *c;
	long early = 0;

	if (kb == NULL) {
		fprintf(stderr, "bench: %s\n", why);
		return EXIT_FAILURE;
	}
	c = kb_craft(kb);
	start = now();
	for (unsigned long i = 0; i < n; i++) {
		const char *words = craft_text(c, c->example[i % c->n_example].words);
		struct diags d;
		struct project *p;
		struct model *m;
		struct judgement *j;

		diags_init(&d, a);
		t0 = now();
		p = project_from_words(a, kb, source_new(a, "<words>", sv(words)), &d);
		stage[0] += (t1 = now()) - t0;
		m = p != NULL ? model_expand(a, kb, p, &d) : NULL;
		stage[1] += (t0 = now()) - t1;
		if (m == NULL)
			continue;
		objects += m->n_objects;
		advise(a, kb, m);
		stage[2] += (t1 = now()) - t0;
		j = judge(a, kb, m);
		stage[3] += now() - t1;
		undecided += j->n_questions;
		fails += j->n_fails;
		arena_reset(a);
		if (i == n / 10)
			early = peak_kib();
	}
	t0 = now() - start;
	printf("%lu projects in %.2f s: %.0f a second\n", n, t0, (double)n / t0);
	printf("read %.1f, expand %.1f, advise %.1f, judge %.1f microseconds a project\n",
	    stage[0] * 1e6 / (double)n,
	    stage[1] * 1e6 / (double)n, stage[2] * 1e6 / (double)n, stage[3] * 1e6 / (double)n);
	printf("%.1f objects, %.2f findings, %.2f undecided items a project\n",
	    (double)objects / (double)n,
	    (double)fails / (double)n, (double)undecided / (double)n);
	printf("peak memory %ld KiB, %ld KiB after a tenth of them\n", peak_kib(), early);
	arena_free(a);
	kb_close(kb);
	return EXIT_SUCCESS;
}
