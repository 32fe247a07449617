/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Units, numberings and the words for ranges.
 *
 * A unit may be defined by one that stands further down; definitions are
 * worked out round by round until none moves any more.
 */
#include "knowledge/knowledge_impl.h"

#include <stdlib.h>
#include <string.h>

static const char *const unit_keys[] = {"!unit", "!dimension", "plural", "is", "inverse", "ladder",
	"base", "offset", "also", "digits", "fraction", "numbering", "written", "source", NULL};

struct unit_draft {
	const struct node *item, *from;    /* from: value of is, inverse or ladder */
	const char *name;
	dimension dim;
	enum unit_form form;
	double factor, offset;
	struct rung *rungs;
	uint32_t n_rungs;
	bool known;                        /* factor worked out */
	bool wrong;
};
struct unit_drafts { struct unit_draft *d; uint32_t n; size_t cap; };

static struct unit_draft *
draft_named(struct unit_drafts *ds, strview name)
{
	for (uint32_t i = 0; i < ds->n; i++)
		if (sv_is(name, ds->d[i].name))
			return &ds->d[i];
	return NULL;
}

/* "25.4 mm" in base units; FINE when the unit named is worked out already. */
static bool
definition(struct compiler *c, struct unit_drafts *ds, struct unit_draft *d, const struct node *n,
    bool last, bool difference, double *out)
{
	strview t = sv_trim(n->text), name;
	struct unit_draft *of;
	size_t blank = 0;
	double x;

	if (!is_text(c, n, d->name)) {
		d->wrong = true;
		return false;
	}
	while (blank < t.n && t.p[blank] != ' ')
		blank++;
	name = blank < t.n ? sv_trim((strview){t.p + blank, t.n - blank}) : SV("1");
	of = draft_named(ds, name);
	if (of != NULL && of->wrong) {
		d->wrong = true;                /* its fault was named already */
		return false;
	}
	if (of == NULL) {
		struct near near = {0};

		for (uint32_t i = 0; i < ds->n; i++)
			near_offer(&near, name, ds->d[i].name);
		diag(c->ds, text_place(n, (size_t)(name.p >= n->text.p &&
		    name.p < n->text.p + n->text.n ?
		    name.p - n->text.p : 0), name.n), D_UNKNOWN_UNIT, kept(c, name));
		diag_near(c->ds, &near);
		d->wrong = true;
		return false;
	}
	if (!of->known || of->form != UNIT_SCALE) {
		if (last) {
			diag(c->ds, n->place, D_UNIT_CIRCLE, d->name);
			d->wrong = true;
		}
		return false;
	}
	if (!dim_eq(of->dim, d->dim)) {
		struct buf dim = {0};

		dim_print(&dim, d->dim);
		diag(c->ds, n->place, D_VALUE_WRONG_DIMENSION, kept(c, name), d->name, dim.p,
		    "a unit of that dimension");
		buf_free(&dim);
		d->wrong = true;
		return false;
	}
	if (!get_number(c, n, (strview){t.p, blank}, &x)) {
		d->wrong = true;
		return false;
	}
	*out = x * of->factor + (difference ? 0 : of->offset);
	return true;
}

static bool
ladder(struct compiler *c, struct unit_drafts *ds, struct unit_draft *d, bool last)
{
	uint32_t n = 0;
	int way = 0;

	if (d->from->type != NODE_MAP || d->from->n == 0) {
		diag(c->ds, d->from->place, D_EXPECTED_MAP, d->name);
		d->wrong = true;
		return false;
	}
	d->rungs = arena_alloc(c->arena, d->from->n * sizeof *d->rungs);
	for (const struct node *k = d->from->first; k != NULL; k = k->next) {
		struct rung *r = &d->rungs[n];

		if (!definition(c, ds, d, k->value, last, false, &r->base))
			return false;
		if (!get_number(c, k, k->text, &r->written)) {
			d->wrong = true;
			return false;
		}
		if (n > 0) {
			int turn = (r->written > r[-1].written) == (r->base > r[-1].base) ? 1 : -1;

			if (r->written == r[-1].written || r->base == r[-1].base ||
			    (way != 0 && turn != way) || r->written < r[-1].written) {
				diag(c->ds, k->place, D_LADDER_ORDER, d->name);
				d->wrong = true;
				return false;
			}
			way = turn;
		}
		n++;
	}
	d->n_rungs = n;
	return true;
}

static void
work_out(struct compiler *c, struct unit_drafts *ds, struct unit_draft *d, bool last)
{
	const struct node *offset = node_get(d->item, "offset");

	if (d->form == UNIT_LADDER) {
		d->known = ladder(c, ds, d, last);
		return;
	}
	if (!definition(c, ds, d, d->from, last, true, &d->factor))
		return;
	if (offset != NULL && !definition(c, ds, d, offset, last, true, &d->offset))
		return;
	d->known = true;
}

static void
draft_unit(struct compiler *c, struct unit_drafts *ds, const struct node *item)
{
	static const struct { const char *key; enum unit_form form; } forms[] = {
		{"is", UNIT_SCALE}, {"inverse", UNIT_INVERSE}, {"ladder", UNIT_LADDER},
	};
	const struct node *name = node_get(item, "unit");
	struct unit_draft d = {.item = item, .factor = 1};
	uint32_t ways = 0;
	strview dim;

	if (!keys_known(c, item, "a unit", unit_keys) || !is_text(c, name, "unit"))
		return;
	if (!new_name(c, &c->unit_names, "a unit", name, sv_trim(name->text), ds->n))
		return;
	d.name = kept(c, sv_trim(name->text));
	dim = get_text(c, item, "dimension");
	if (!dim_read(dim, &d.dim)) {
		if (dim.n > 0)
			diag(c->ds, node_get(item, "dimension")->place, D_UNKNOWN_DIMENSION,
			    kept(c, dim));
		return;
	}
	for (size_t i = 0; i < sizeof forms / sizeof *forms; i++)
		if (node_get(item, forms[i].key) != NULL) {
			d.from = node_get(item, forms[i].key);
			d.form = forms[i].form;
			ways++;
		}
	if (get_yes(c, item, "base", false)) {
		d.known = true;
		ways++;
	}
	if (ways != 1) {
		diag(c->ds, name->place, D_ONE_OF_KEYS, d.name, "is, inverse, ladder, base: yes");
		return;
	}
	ds->d = mem_grow(ds->d, &ds->cap, ds->n + 1, sizeof *ds->d);
	ds->d[ds->n++] = d;
}

static void
store_unit(struct compiler *c, const struct unit_draft *d, struct unit *u,
    struct symbols *numberings)
{
	struct texts also = get_texts(c, d->item, "also");
	strview written = get_text(c, d->item, "written"), numbering = get_text(c, d->item,
	    "numbering");
	strview plural = get_text(c, d->item, "plural"), digits = get_text(c, d->item, "digits");
	const struct node *source = node_get(d->item, "source");
	struct craft_unit cu = {.dim = d->dim, .form = (uint8_t)d->form, .factor = d->factor,
	    .offset = d->offset, .digits = 2, .n_rungs = d->n_rungs};
	const char **spellings = arena_alloc(c->arena, (also.n + 1) * sizeof *spellings);
	double x;

	cu.before = sv_is(written, "both") || sv_is(written, "before");
	cu.after = !sv_is(written, "before");
	if (written.n > 0 && !cu.before && !sv_is(written, "after"))
		diag(c->ds, node_get(d->item, "written")->place, D_UNKNOWN_WORD, kept(c, written),
		    "written", "before, after, both");
	cu.fraction = get_yes(c, d->item, "fraction", false);
	if (digits.n > 0 && get_number(c, node_get(d->item, "digits"), digits, &x))
		cu.digits = x >= 0 && x <= 9 ? (int32_t)x : 2;
	if (numbering.n > 0) {
		const struct symbol *y = symbols_find(numberings, numbering, NULL);

		if (y == NULL)
			symbols_add(numberings, kept(c, numbering), numberings->n + 1,
			    d->item->place);
		cu.numbering = y != NULL ? y->id : numberings->n;
	}
	if (source != NULL && is_text(c, source, "source"))
		find_source(c, source, sv_trim(source->text));
	cu.name = maker_text(c->m, sv(d->name));
	cu.plural = maker_text(c->m, plural.n > 0 ? plural : sv(d->name));
	if (d->n_rungs > 0)
		cu.first_rung = maker_add_rung(c->m, d->rungs, d->n_rungs);
	cu.n_spellings = also.n;
	for (uint32_t i = 0; i < also.n; i++) {
		/* Unfolded: "Nm" and "nm" are two units. */
		text_at t = maker_text(c->m, sv_trim(also.node[i]->text));
		uint32_t at = maker_add_spelling(c->m, &t, 1);

		if (i == 0)
			cu.first_spelling = at;
		spellings[i] = kept(c, sv_trim(also.node[i]->text));
	}
	maker_add_unit(c->m, &cu, 1);
	*u = (struct unit){.name = d->name, .plural = plural.n > 0 ? kept(c, plural) : d->name,
	    .spellings = spellings, .dim = d->dim, .form = d->form, .factor = d->factor,
	    .offset = d->offset, .before = cu.before, .after = cu.after, .numbering = cu.numbering,
	    .ladder = d->rungs, .n_ladder = d->n_rungs, .digits = cu.digits,
	    .fraction = cu.fraction};
}

/* The range words, as the maker keeps them and as measure takes them. */
static const char *const range_word_keys[] = {"about", "under", "over", "to", "between", "and",
	NULL};

static void
read_range_words(struct compiler *c)
{
	const char *const **lists[] = {&c->range_words.about, &c->range_words.under,
	    &c->range_words.over,
	    &c->range_words.to, &c->range_words.between, &c->range_words.and_};
	const char *empty = NULL;
	text_at end = 0;

	for (int k = 0; range_word_keys[k] != NULL; k++) {
		const char **words = arena_alloc(c->arena, sizeof empty);
		uint32_t n = 0;

		for (uint32_t i = 0; i < c->n_files; i++) {
			const struct node *map = c->files[i].root != NULL ?
			    node_get(c->files[i].root, "range words") : NULL;
			struct texts t;
			const char **more;

			if (map == NULL || map->type != NODE_MAP)
				continue;
			if (k == 0)
				keys_known(c, map, "range words", range_word_keys);
			t = get_texts(c, map, range_word_keys[k]);
			more = arena_alloc(c->arena, (n + t.n + 1) * sizeof *more);
			memcpy(more, words, n * sizeof *more);
			for (uint32_t w = 0; w < t.n; w++)
				more[n++] = text_fold(c->arena, t.node[w]->text);
			words = more;
		}
		*lists[k] = words;
		for (uint32_t w = 0; w < n; w++) {
			text_at at = maker_text(c->m, sv(words[w]));

			maker_add_range_word(c->m, &at, 1);
		}
		maker_add_range_word(c->m, &end, 1);
	}
}

void
read_units(struct compiler *c)
{
	struct unit_drafts ds = {0};
	struct symbols numberings = {0};
	struct unit *u;

	for (uint32_t i = 0; i < c->n_files; i++) {
		const struct node *list = c->files[i].root != NULL ?
		    node_get(c->files[i].root, "units") : NULL;

		for (const struct node *n = list != NULL && list->type == NODE_LIST ? list->first :
		    NULL;
		    n != NULL; n = n->next)
			draft_unit(c, &ds, n);
	}
	if (ds.n > NO16 - 1)
		ds.n = NO16 - 1;
	/* A definition may rest on a unit that comes later: until nothing moves. */
	for (bool moved = true; moved;) {
		moved = false;
		for (uint32_t i = 0; i < ds.n; i++)
			if (!ds.d[i].known && !ds.d[i].wrong) {
				work_out(c, &ds, &ds.d[i], false);
				moved |= ds.d[i].known;
			}
	}
	for (uint32_t i = 0; i < ds.n; i++)
		if (!ds.d[i].known && !ds.d[i].wrong)
			work_out(c, &ds, &ds.d[i], true);
	u = arena_alloc(c->arena, (ds.n + 1) * sizeof *u);
	for (uint32_t i = 0; i < ds.n; i++)
		store_unit(c, &ds.d[i], &u[i], &numberings);
	c->units = (struct units){u, ds.n};
	free(ds.d);
	symbols_free(&numberings);
	read_range_words(c);
}
