/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Two checks that the program reads what it judges.
 *
 * Twins: a description that carries a wrong figure is given the right one and
 * must fall silent about it.  Words: each word is taken out of a description,
 * and what is understood must then differ.
 */
#include "exam.h"

#include <string.h>

/* ---- twins ---------------------------------------------------------------------- */

/* The figure said for the setting: of its property, else of one it hangs on. */
static const struct said_value *
said_figure(const struct exam *x, const struct project *p, uint32_t property)
{
	const struct said_value *found = NULL;

	for (uint32_t i = 0; i < p->n_values; i++) {
		const struct said_value *v = &p->values[i];

		if (v->value.state != VALUE_KNOWN || v->place.src == NULL || v->place.n == 0 ||
		    x->c->property[v->property].type != TYPE_QUANTITY ||
		    !dim_eq(x->c->property[v->property].dim, x->c->property[property].dim))
			continue;
		if (v->property == property)
			return v;
		if (found == NULL && property_depends(x->c, property, v->property))
			found = v;
	}
	return found;
}

static const char *
twin_words(struct exam *x, const struct project *p, const struct said_value *v, uint32_t property,
    const char *min, const char *max, const char *unit)
{
	int u = unit_written(x, unit, x->c->property[property].dim);
	double low, high, base;
	size_t used;
	struct buf b = {0};
	const char *t;

	if (u < 0 || !number_read(sv(min), &used, &low) || !number_read(sv(max), &used, &high) ||
	    !unit_to_base(&x->c->units->u[u], (low + high) / 2, &base))
		return NULL;
	buf_add(&b, p->source->text.p, v->place.at);
	range_print(&b, x->c->units, u, range_exact(base), x->c->property[property].step);
	buf_add(&b, p->source->text.p + v->place.at + v->place.n,
	    p->source->text.n - v->place.at - v->place.n);
	t = arena_text(x->row, b.p, b.n);
	buf_free(&b);
	return t;
}

static void
twin(struct exam *x, const struct sheet *s, uint32_t r, struct tally *t)
{
	const char *id = sheet_cell(s, r, "id"), *setting = sheet_cell(s, r, "setting"), *words;
	uint32_t of = setting_find(x->c, sv(setting));
	const struct said_value *v;
	struct judged j;

	t->of++;
	if (of == NONE || !judge_words(x, sheet_cell(s, r, "words"), &j)) {
		fell_short(x, t->part, id, "could not be judged");
		return;
	}
	v = said_figure(x, j.project, x->c->setting[of].property);
	words = v == NULL ? NULL : twin_words(x, j.project, v, x->c->setting[of].property,
	    sheet_cell(s, r, "min"), sheet_cell(s, r, "max"), sheet_cell(s, r, "unit"));
	if (words == NULL) {
		fell_short(x, t->part, id, "%s: no figure was read in \"%s\"", setting,
		    sheet_cell(s, r, "words"));
		return;
	}
	if (judge_words(x, words, &j) && findings_touching(x, &j, setting) == 0) {
		t->right++;
	} else {
		struct buf b = {0};

		if (j.judgement != NULL)
			findings_list(&b, x, &j);
		fell_short(x, t->part, id, "%s of \"%s\": %s", setting, words, b.n > 0 ? b.p : "");
		buf_free(&b);
	}
}

void
part_twins(struct exam *x, const struct sheet *s)
{
	struct tally t = {.part = "pairings/twins-silent"};

	for (uint32_t r = 0; r < s->n_rows; r++) {
		if (strcmp(sheet_cell(s, r, "kind"), "mismatch") != 0 ||
		    *sheet_cell(s, r, "min") == '\0' || *sheet_cell(s, r, "max") == '\0')
			continue;
		arena_reset(x->row);
		twin(x, s, r, &t);
	}
	control_print(&t);
}

/* ---- words ----------------------------------------------------------------------- */

/* A number for all that a description came to: objects, values, and what kind
 * of thing each value rests on; not where in the words it stood. */
static uint64_t
fingerprint(const struct model *m)
{
	const struct craft *c = m->craft;
	uint64_t h = hash_bytes(&m->n_objects, sizeof m->n_objects, 1);

	for (uint32_t i = 0; i < m->n_objects; i++) {
		const struct object *o = &m->objects[i];
		uint32_t head[4] = {o->kind, o->flags, o->entry, o->parent};

		h = hash_bytes(head, sizeof head, h);
		for (uint32_t k = 0; k < c->kind[o->kind].n_properties; k++) {
			const value *v = &m->slots[o->slot + k];
			uint8_t basis[3] = {v->state, m->pedigrees[v->pedigree].kind,
			    m->pedigrees[v->pedigree].measured};

			h = hash_bytes(v->set, sizeof v->set, hash_bytes(basis, sizeof basis, h));
		}
	}
	return h;
}

static bool
understood(struct exam *x, const char *text, size_t n, struct project **p, uint64_t *print)
{
	struct diags quiet;
	struct model *m;

	diags_init(&quiet, x->row);
	*p = project_from_words(x->row, x->kb,
	    source_new(x->row, "<words>", sv(arena_text(x->row, text, n))), &quiet);
	m = *p != NULL ? model_expand(x->row, x->kb, *p, &quiet) : NULL;
	if (m == NULL)
		return false;
	*print = fingerprint(m);
	return true;
}

void
part_words(struct exam *x, const struct sheet *s)
{
	struct tally changed = {.part = "words/changed-the-model"};
	struct tally taken = {.part = "words/reader-says-used"};

	for (uint32_t r = 0; r < s->n_rows; r++) {
		struct project *whole, *less;
		uint64_t all, rest;
		strview text = sv(sheet_cell(s, r, "words"));

		arena_reset(x->row);
		if (!understood(x, text.p, text.n, &whole, &all))
			continue;
		for (uint32_t i = 0; i < whole->n_uses; i++) {
			const struct word_use *w = &whole->uses[i];
			struct buf b = {0};

			if (w->use == USED_STOP)
				continue;
			taken.of++;
			changed.of++;
			taken.right += w->use == USED_YES;
			buf_add(&b, text.p, w->place.at);
			buf_add(&b, text.p + w->place.at + w->place.n, text.n - w->place.at - w->place.n);
			if (sv_trim((strview){b.p, b.n}).n == 0 || !understood(x, b.p, b.n, &less, &rest) ||
			    rest != all)
				changed.right++;
			buf_free(&b);
		}
	}
	control_print(&changed);
	control_print(&taken);
}
