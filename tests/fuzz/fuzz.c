/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "fuzz.h"

#include "advise/advise.h"

#include <math.h>
#include <setjmp.h>
#include <stdlib.h>

static jmp_buf net;
static bool netted;

_Noreturn void __wrap_die(enum exit_status status, const char *fmt, ...);

_Noreturn void
__wrap_die(enum exit_status status, const char *fmt, ...)
{
	va_list ap;

	if (netted && status == EXIT_NOT_RUN)
		longjmp(net, 1);
	fprintf(stderr, "die(%d): ", (int)status);
	va_start(ap, fmt);
	vfprintf(stderr, fmt, ap);
	va_end(ap);
	fputc('\n', stderr);
	abort();
}

_Noreturn void
fuzz_broken(const char *truth, const char *file, int line)
{
	fprintf(stderr, "%s:%d: does not hold: %s\n", file, line, truth);
	abort();
}

bool
fuzz_netted(void (*run)(void *), void *arg)
{
	if (setjmp(net) != 0) {
		netted = false;
		return false;
	}
	netted = true;
	run(arg);
	netted = false;
	return true;
}

struct knowledge *
fuzz_kb(void)
{
	static struct knowledge *kb;
	const char *path = getenv("FUZZ_KB"), *why = "";

	if (kb == NULL)
		kb = kb_open(path != NULL ? path : "build/bodkin.db", &why);
	if (kb == NULL) {
		fprintf(stderr, "FUZZ_KB: %s\n", why);
		exit(2);
	}
	return kb;
}

struct source *
fuzz_source(struct arena *a, const char *name, const uint8_t *data, size_t size)
{
	return source_new(a, name, (strview){arena_text(a, (const char *)data, size), size});
}

/* ---- a project taken all the way --------------------------------------------- */

static void
values_hold(const struct model *m)
{
	for (uint32_t o = 0; o < m->n_objects; o++) {
		const struct kind *k = &m->craft->kind[m->objects[o].kind];

		for (uint32_t i = 0; i < k->n_properties; i++) {
			const value *v = &m->slots[m->objects[o].slot + i];
			uint8_t type = m->craft->property[k->first_property + i].type;

			HOLDS(v->state <= VALUE_KNOWN);
			HOLDS(v->pedigree < m->n_pedigrees);
			if (v->state == VALUE_KNOWN && (type == TYPE_QUANTITY || type == TYPE_BAND))
				HOLDS(v->r.lo <= v->r.hi);             /* no NaN either */
			if (v->state == VALUE_KNOWN && type == TYPE_REF)
				HOLDS(v->ref < (int64_t)m->n_objects);
		}
	}
}

void
fuzz_whole(struct arena *a, struct knowledge *kb, const struct project *p, bool sound)
{
	struct diags d;
	struct model *m;
	struct advised *advised;
	struct judgement *j;
	struct buf b = {0};
	const char *culprit = "";

	diags_init(&d, a);
	m = model_expand(a, kb, p, &d);
	HOLDS(m != NULL);
	if (sound) {
		HOLDS(model_check(m, &culprit));
		values_hold(m);
	}
	if (m->n_objects > 300)                /* many things take long and show little more */
		return;
	advised = advise(a, kb, m);
	if (sound)
		values_hold(m);
	j = judge(a, kb, m);
	for (uint32_t i = 0; i < j->n_fails; i++) {
		finding_says(&b, kb, m, &j->fails[i]);
		for (uint32_t k = 0; k < j->fails[i].n_reasons; k++)
			finding_because(&b, kb, m, &j->fails[i], k);
	}
	for (uint32_t i = 0; i < j->n_undecided; i++)
		finding_says(&b, kb, m, &j->undecided[i]);
	(void)advised;
	HOLDS(!sound || utf8_valid((strview){b.p != NULL ? b.p : "", b.n}, &(size_t){0}));
	buf_free(&b);
}
