/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The proof as a whole: what was found, in the order of the text.
 */
#include "work/proof_impl.h"

#include <stdlib.h>
#include <string.h>

static int
by_place(const void *a, const void *b)
{
	const struct proof_finding *x = a, *y = b;

	if (x->place.at != y->place.at)
		return x->place.at < y->place.at ? -1 : 1;
	return strcmp(x->check, y->check) != 0 ? strcmp(x->check, y->check) : strcmp(x->says, y->says);
}

struct proof *
proof_sheet(struct arena *a, struct knowledge *kb, const struct source *src, struct diags *ds)
{
	struct sheet_text *t = sheet_read(a, kb, src, ds);
	struct proof *p = arena_alloc(a, sizeof *p);
	struct findings f = {.p = p, .arena = a};

	if (t == NULL)
		return NULL;
	proof_measures(t, &f);
	proof_names(t, &f);
	proof_model(t, &f);
	p->steps = t->n_steps;
	if (p->n > 1)
		qsort(p->f, p->n, sizeof *p->f, by_place);
	return p;
}

void
proof_tokens(struct buf *b, struct arena *a, struct knowledge *kb, const struct source *src,
    struct diags *ds)
{
	static const char *const areas[] = {[AREA_TALK] = "talk", [AREA_MATERIALS] = "materials",
	    [AREA_ASIDE] = "aside", [AREA_STEP] = "step"};
	struct sheet_text *t = sheet_read(a, kb, src, ds);

	if (t == NULL)
		return;
	buf_add(b, "", 0);
	for (uint32_t i = 0, k = 0, q = 0; i < t->n; i++) {
		const struct mark *m = &t->marks[i];
		uint32_t line, column;

		place_line_column(mark_place(t, i, 1), &line, &column);
		buf_print(b, "%u:%u\t%s\t%s%s%s\t", (unsigned)line, (unsigned)column, m->text,
		    m->heads ? "heading" : areas[m->area], m->muted ? ", not now" : "",
		    m->figure ? ", measure" : "");
		while (k < t->n_named && t->named[k].first < i)
			k++;
		while (q < t->n_measures && t->measures[q].mark < i)
			q++;
		if (q < t->n_measures && t->measures[q].mark == i) {
			range_print(b, t->c->units, t->measures[q].unit, t->measures[q].value[0], 0);
		} else if (k < t->n_named && t->named[k].first == i) {
			for (uint32_t x = 0, n = 0; x < t->named[k].n_names; x++)
				if (t->named[k].names[x].target == NAME_ENTRY) {
					const struct entry *e = &t->c->entry[t->named[k].names[x].id];

					buf_print(b, "%s%s: %s", n++ > 0 ? "; " : "", craft_text(t->c,
					    t->c->entry_kind[e->kind].name), craft_text(t->c, e->name));
				}
		}
		buf_char(b, '\n');
	}
}
