/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A written quantity, read for the property that the first byte picks.
 */
#include "fuzz.h"

#include <math.h>

static struct reading_for
wanted(const struct craft *c, uint8_t pick)
{
	struct reading_for f = {.bare = -1, .domain = range_all()};

	for (uint32_t i = 0, seen = 0; i < c->n_property; i++) {
		const struct property *p = &c->property[i];

		if (p->n_units == 0 || seen++ != pick)
			continue;
		f = (struct reading_for){.dim = p->dim, .units = &c->unit_list[p->first_unit],
		    .n_units = p->n_units, .bare = p->bare_unit == NO16 ? -1 : p->bare_unit,
		    .domain = p->domain, .about = p->about};
	}
	return f;
}

static void
holds(const struct craft *c, const struct reading_for *f, strview text, bool whole)
{
	struct reading r = reading_of(c->units, c->range_words, f, text, whole);
	struct buf b = {0};

	HOLDS(r.fault < READ__COUNT);
	HOLDS(r.used <= text.n);
	if (r.fault != READ_FINE) {
		HOLDS(r.fault_at <= text.n && r.fault_n <= text.n - r.fault_at);
		return;
	}
	HOLDS(r.value.lo <= r.value.hi);
	HOLDS(r.value.lo >= f->domain.lo && r.value.hi <= f->domain.hi);
	HOLDS(r.used > 0);
	if (whole) {                           /* only blanks follow, of any kind */
		buf_fold(&b, (strview){text.p + r.used, text.n - r.used});
		HOLDS(b.n == 0);
	}
	HOLDS(r.unit >= 0 && (uint32_t)r.unit < c->units->n);
	range_print(&b, c->units, r.unit, r.value, 0);
	HOLDS(b.n > 0 && utf8_valid((strview){b.p, b.n}, &(size_t){0}));
	buf_free(&b);
}

int
LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	const struct craft *c = kb_craft(fuzz_kb());
	struct arena *a;
	struct reading_for f;
	strview text;
	struct near near = {{NULL}, {0}, 0};

	if (size == 0)
		return 0;
	a = arena_new();
	f = wanted(c, data[0]);
	text = (strview){arena_text(a, (const char *)data + 1, size - 1), size - 1};
	holds(c, &f, text, true);
	holds(c, &f, text, false);
	unit_find(c->units, text);
	unit_near(c->units, text, &near);
	arena_free(a);
	return 0;
}
