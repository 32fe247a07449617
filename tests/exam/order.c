/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Whole descriptions: are the cloths a source recommends ranked above those it
 * warns against? The mean over rows of the share of pairs in order; a tie is
 * not in order, nor is a phrase that tells nothing of a cloth.
 */
#include "exam.h"

#include <stdlib.h>
#include <string.h>

#include "advise/rank.h"

enum { NAMED_MOST = 64 };

/* The role that cloth takes when no words give it another. */
static uint16_t
cloth_role(const struct craft *c)
{
	for (uint32_t i = 0; i < c->n_entry_kind; i++)
		if (c->entry_kind[i].object_kind != NO16 && c->entry_kind[i].role != NO16)
			return c->entry_kind[i].role;
	return NO16;
}

static uint32_t
cloth_named(const struct exam *x, const char *phrase, uint16_t role)
{
	uint32_t named[NAMED_MOST], n = entries_named(x, phrase, named, NAMED_MOST);

	for (uint32_t i = 0; i < n; i++)
		if (x->c->entry_kind[x->c->entry[named[i]].kind].role == role)
			return named[i];
	return NONE;
}

/* The description with a cloth known by its words alone; NULL when they tell
 * nothing of one. */
static struct project *
described(struct exam *x, const struct project *p, const char *phrase, uint16_t role)
{
	struct diags quiet;
	struct project *cloth, *both;
	uint32_t offset, told = 0;

	diags_init(&quiet, x->row);
	cloth = project_from_words(x->row, x->kb, source_new(x->row, "<words>", sv(phrase)), &quiet);
	if (cloth == NULL)
		return NULL;
	for (uint32_t i = 0; i < cloth->n_things; i++)
		told += cloth->things[i].role == role || cloth->things[i].of != NONE;
	for (uint32_t i = 0; i < cloth->n_values; i++)
		told += cloth->values[i].thing != NONE;
	if (told == 0)
		return NULL;
	both = arena_alloc(x->row, sizeof *both);
	*both = *p;
	both->cap_things = p->n_things + cloth->n_things;
	both->things = arena_alloc(x->row, (both->cap_things + 1) * sizeof *both->things);
	memcpy(both->things, p->things, p->n_things * sizeof *both->things);
	both->cap_values = p->n_values + cloth->n_values;
	both->values = arena_alloc(x->row, (both->cap_values + 1) * sizeof *both->values);
	memcpy(both->values, p->values, p->n_values * sizeof *both->values);
	offset = p->n_things;
	for (uint32_t i = 0; i < p->n_things; i++)     /* the described cloth takes its place */
		if (both->things[i].role == role)
			both->things[i].denied = true;
	for (uint32_t i = 0; i < cloth->n_things; i++) {
		struct said_thing t = cloth->things[i];

		if (t.of != NONE)
			t.of += offset;
		both->things[both->n_things++] = t;
	}
	for (uint32_t i = 0; i < cloth->n_values; i++) {
		struct said_value v = cloth->values[i];

		if (v.thing != NONE)
			v.thing += offset;
		if (v.scope_thing != NONE)
			v.scope_thing += offset;
		both->values[both->n_values++] = v;
	}
	return both;
}

static bool
suited_as(struct exam *x, const struct project *p, const char *phrase, struct suited *out)
{
	uint16_t role = cloth_role(x->c);
	uint32_t entry = cloth_named(x, phrase, role);
	struct project *d;

	if (entry != NONE) {
		*out = suit_judge(x->row, x->kb, p, entry);
		return true;
	}
	d = described(x, p, phrase, role);
	if (d == NULL)
		return false;
	*out = suit_judge(x->row, x->kb, d, NONE);
	return true;
}

void
part_order(struct exam *x)
{
	struct sheet s;
	double sum = 0;
	uint32_t rows = 0;

	if (!exam_sheet(x, "projects.csv", &s))
		return;
	for (uint32_t r = 0; r < s.n_rows; r++) {
		struct judged j;
		struct list good, bad;
		struct suited *g;
		bool *told;
		uint32_t in_order = 0;
		struct buf missed = {0};

		arena_reset(x->row);
		good = list_split(x->row, sheet_cell(&s, r, "recommended_fabrics"), '|');
		bad = list_split(x->row, sheet_cell(&s, r, "unsuitable_fabrics"), '|');
		if (good.n == 0 || bad.n == 0)
			continue;
		rows++;
		if (!judge_words(x, sheet_cell(&s, r, "description_free_text"), &j))
			continue;
		g = arena_alloc(x->row, good.n * sizeof *g);
		told = arena_alloc(x->row, good.n * sizeof *told);
		for (uint32_t i = 0; i < good.n; i++)
			told[i] = suited_as(x, j.project, good.item[i], &g[i]);
		for (uint32_t k = 0; k < bad.n; k++) {
			struct suited b;
			bool bad_told = suited_as(x, j.project, bad.item[k], &b);

			for (uint32_t i = 0; i < good.n; i++) {
				if (told[i] && bad_told && suit_compare(&g[i], &b) < 0)
					in_order++;
				else
					buf_print(&missed, "%s%s over %s%s", missed.n > 0 ? ", " : "", good.item[i],
					    bad.item[k], told[i] && bad_told ? "" : " (tells nothing of a cloth)");
			}
		}
		sum += (double)in_order / (double)(good.n * bad.n);
		if (missed.n > 0)
			fell_short(x, "projects/order", sheet_cell(&s, r, "id"), "not in order: %s", missed.p);
		buf_free(&missed);
	}
	if (rows > 0) {
		struct buf b = {0};

		buf_str(&b, "exam projects/order ");
		buf_number(&b, sum, 4);
		buf_print(&b, "/%u ", rows);
		buf_number(&b, 100 * sum / rows, 3);
		printf("%s %%\n", b.p);
		buf_free(&b);
	}
}
