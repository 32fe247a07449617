/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The cloths of a handout: named, those a condition holds for, or the best for
 * what is to be sewn; and which of its cells are to be left blank.
 *
 * A condition is an expression of the rule language over the cloth. It is
 * compiled into a copy of the craft, and tried on each cloth by itself with
 * what is typical of it.
 */
#include "command/handout_impl.h"

#include <string.h>

enum { USUAL_NUMBER = 6, FILTER_NUMBER = 12 };

/* ---- by name -------------------------------------------------------------------- */

static bool
is_cloth(const struct craft *c, uint32_t e, uint16_t role)
{
	return c->entry_kind[c->entry[e].kind].role == role;
}

/* The role a cloth takes when no words give it another, and the kind of such entries. */
static uint16_t
cloth_role(const struct craft *c, uint16_t *kind)
{
	for (uint32_t i = 0; i < c->n_entry_kind; i++)
		if (c->entry_kind[i].object_kind != NO16 && c->entry_kind[i].role != NO16) {
			*kind = (uint16_t)i;
			return c->entry_kind[i].role;
		}
	return NO16;
}

static bool
take_cloth(struct handout *h, uint32_t entry)
{
	for (uint32_t i = 0; i < h->n_cloths; i++)
		if (h->cloths[i].entry == entry)
			return true;
	if (h->n_cloths == HANDOUT_CLOTHS_MOST) {
		usage(h->r, "a handout holds %d cloths at most", (int)HANDOUT_CLOTHS_MOST);
		return false;
	}
	h->cloths[h->n_cloths++] = (struct handout_cloth){.entry = entry, .object = NONE,
	    .name = entry != NONE ? own_mark(h->r, h->r->craft->entry[entry].own != 0,
	    handout_name(h, entry)) : SAY(h->r, "suit.as-described")};
	return true;
}

static bool
name_taken(struct handout *h, strview name, const char *kind)
{
	struct run *r = h->r;
	uint32_t e = kb_entry_find(r->craft, name, kind), some[2];
	struct near near = {0};
	struct buf b = {0};

	if (e == NONE && kb_names_loose(r->craft, name, kind, some, 2) == 1)
		e = some[0];
	if (e != NONE)
		return take_cloth(h, e);
	for (uint32_t i = 0; i < r->craft->n_name; i++) {
		const struct name *n = &r->craft->name[i];
		const struct entry_kind *k = n->target == NAME_ENTRY && !n->inflected ?
		    &r->craft->entry_kind[r->craft->entry[n->id].kind] : NULL;

		if (k != NULL && strcmp(craft_text(r->craft, k->name), kind) == 0)
			near_offer(&near, sv(text_fold(r->arena, name)), craft_text(r->craft, n->written));
	}
	buf_print(&b, "no %s is called %.*s", kind, (int)(name.n < 200 ? name.n : 200), name.p);
	for (int i = 0; i < near.n; i++)
		buf_print(&b, "%s%s", i == 0 ? "; did you mean " : " or ", near.name[i]);
	buf_str(&b, near.n > 0 ? "?" : " (bodkin list tells the kinds there are)");
	usage(r, "%s", b.p);
	buf_free(&b);
	return false;
}

/* ---- by condition ------------------------------------------------------------------ */

static uint32_t
condition_compiled(struct run *r, struct craft_maker *m, uint16_t kind)
{
	struct scope scope = {.n_variables = 1, .formula = NONE, .for_property = NONE,
	    .bare_properties = true};
	struct expected truth = {.type = TYPE_TRUTH};
	strview text = sv(r->ask->where);
	struct place all = {source_new(r->arena, "<condition>", text), 0, (uint32_t)text.n};

#define SECTION(type, name) if (r->craft->n_##name > 0 && strcmp(#name, "text") != 0) \
	maker_add_##name(m, r->craft->name, r->craft->n_##name);
#include "language/sections.def"
#undef SECTION
	/* the maker begins with an empty text, as the craft's own does */
	maker_add_text(m, r->craft->text + 1, r->craft->n_text - 1);
	scope.variable_kind[0] = kind;
	scope.variable_name[0] = craft_text(r->craft, r->craft->kind[kind].name);
	return expression_compile(m, text, all, &scope, &truth);
}

/* What stands behind a number and is no unit: the units it may have been meant for. */
static void
offer_units(struct run *r)
{
	const struct diagnostic *d = r->diags.n > 0 ? &r->diags.d[r->diags.n - 1] : NULL;
	struct near near = {0};

	if (d == NULL || d->id != D_EXPRESSION_UNEXPECTED || d->place.src == NULL)
		return;
	unit_near(r->craft->units, (strview){d->place.src->text.p + d->place.at, d->place.n}, &near);
	diag_near(&r->diags, &near);
}

/* Does it hold for the cloth, as it usually is? */
static tri
holds_for(struct run *r, const struct craft *c, uint32_t program, struct project *p)
{
	struct diags d;
	struct model *m;

	diags_init(&d, r->arena);
	m = model_expand(r->arena, r->kb, p, &d);
	for (uint32_t o = 0; m != NULL && o < m->n_objects; o++) {
		struct binding b;

		if (m->objects[o].entry != p->things[p->n_things - 1].entry)
			continue;
		for (size_t i = 0; i < VARIABLES_MAX; i++)
			b.object[i] = NONE;
		b.object[0] = o;
		return eval_truth(c, m, program, &b);
	}
	return TRI_UNKNOWN;
}

static bool
by_condition(struct handout *h, bool *fits, uint16_t role, uint16_t kind)
{
	struct run *r = h->r;
	struct craft_maker *m = maker_new(r->arena, &r->diags);
	uint32_t program = condition_compiled(r, m, r->craft->entry_kind[kind].object_kind);
	struct project none = {.arena = r->arena, .title = "", .asked = NONE, .asked_scope = NONE};

	for (uint32_t e = 0; program != NONE && e < r->craft->n_entry; e++) {
		tri t;

		if (!is_cloth(r->craft, e, role))
			continue;
		t = holds_for(r, maker_view(m), program, suit_with(r->arena, r->kb, &none, e));
		fits[e] = t == TRI_TRUE;
		h->left_out += t == TRI_UNKNOWN;
	}
	if (program == NONE)
		offer_units(r);
	maker_free(m);
	return program != NONE;
}

/* ---- choosing ------------------------------------------------------------------------ */

static uint32_t
said_cloth(const struct project *p, uint16_t role, bool *described)
{
	for (uint32_t i = 0; i < p->n_things; i++)
		if (p->things[i].role == role && !p->things[i].denied) {
			*described = p->things[i].entry == NONE;
			return p->things[i].entry;
		}
	return NONE;
}

static bool
named(struct handout *h, const char *kind)
{
	const char *list = h->r->ask->cloths;
	strview name;

	while (commas_next(&list, &name))
		if (sv_trim(name).n > 0 && !name_taken(h, sv_trim(name), kind))
			return false;
	if (h->n_cloths == 0)
		usage(h->r, "name cloths after --cloths, commas between");
	return h->n_cloths > 0;
}

/* The best for the first thing; where several are judged apart, the worst of them counts. */
static int
worst_of(const struct suited *s, uint32_t n)
{
	int worst = 0;

	for (uint32_t i = 0; i < n; i++)
		worst = (int)s[i].is > worst ? (int)s[i].is : worst;
	return worst;
}

static bool
best(struct handout *h, const bool *fits, uint16_t role, uint32_t most)
{
	struct run *r = h->r;
	const struct craft *c = r->craft;
	struct ranking k = suit_cloths(r->arena, r->kb, h->things[0].project);
	struct suited others[HANDOUT_THINGS_MOST];

	for (int class = 0; class < SUIT__COUNT; class++)
		for (uint32_t i = 0; i < k.n && h->n_cloths < most; i++) {
			if ((fits != NULL && !fits[k.s[i].entry]) || !is_cloth(c, k.s[i].entry, role))
				continue;
			others[0] = k.s[i];
			if ((int)k.s[i].is > class)
				continue;
			for (uint32_t t = 1; t < h->n_things; t++)
				others[t] = suit_judge(r->arena, r->kb, h->things[t].project, k.s[i].entry);
			if (worst_of(others, h->n_things) == class && !take_cloth(h, k.s[i].entry))
				return false;
		}
	return true;
}

static bool
nothing_chosen(struct handout *h)
{
	usage(h->r, "say what the handout is about. Cloths by name: bodkin %s; or what is to be sewn, "
	    "for the cloths that suit it: bodkin %s", SAY(h->r, "help.handout.1"),
	    SAY(h->r, "help.handout.2"));
	return false;
}

bool
handout_choose(struct handout *h)
{
	struct run *r = h->r;
	uint16_t kind = 0, role = cloth_role(r->craft, &kind);
	const char *kind_name = craft_text(r->craft, r->craft->entry_kind[kind].name);
	bool *fits = NULL, described = false;
	uint32_t said = said_cloth(h->project, role, &described);
	uint32_t most = r->ask->most > 0 ? (uint32_t)r->ask->most : r->ask->where != NULL &&
	    h->n_things == 0 ? FILTER_NUMBER : USUAL_NUMBER;

	h->cloths = arena_alloc(r->arena, HANDOUT_CLOTHS_MOST * sizeof *h->cloths);
	if (r->ask->cloths != NULL && r->ask->where != NULL)
		return usage(r, "either name the cloths or give a condition, not both"), false;
	if (r->ask->cloths != NULL)
		return named(h, kind_name);
	if (r->ask->where != NULL) {
		fits = arena_alloc(r->arena, r->craft->n_entry + 1);
		if (!by_condition(h, fits, role, kind))
			return false;
	} else if (said != NONE || described) {
		return take_cloth(h, said);
	} else if (h->n_things == 0) {
		return nothing_chosen(h);
	}
	if (h->n_things > 0) {
		if (!best(h, fits, role, most))
			return false;
	} else {
		for (uint32_t e = 0; e < r->craft->n_entry && h->n_cloths < most; e++)
			if (fits[e] && !take_cloth(h, e))
				return false;
	}
	if (h->n_cloths == 0)
		usage(r, "%s", h->left_out == 0 ? SAY(r, "handout.none-fits") : SAY(r, "handout.none-fit",
		    "n", number_text(r, h->left_out, 6)));
	return h->n_cloths > 0;
}

/* ---- what is left blank ---------------------------------------------------------------- */

static bool
line_blankable(const struct sheet_line *l)
{
	return l->is != SHEET_NAME && l->is != SHEET_WRITE;
}

/* Part by part: the parts of a sheet lie together, and the lines of each. */
static bool
one_blank(struct handout *h, strview what, uint32_t cloth)
{
	const struct craft *c = h->r->craft;
	bool all = sv_is(what, "all"), found = all;
	struct near near = {0};
	struct buf known = {0}, b = {0};

	for (uint32_t p = 0; p < h->sheet->n_parts; p++) {
		const struct sheet_part *part = &c->sheet_part[h->sheet->first_part + p];

		for (uint32_t i = part->first_line; i < part->first_line + part->n_lines; i++) {
			const char *name = craft_text(c, c->sheet_line[i].name);

			if (!line_blankable(&c->sheet_line[i]))
				continue;
			near_offer(&near, what, name);
			buf_print(&known, "%s%s", known.n > 0 ? ", " : "", name);
			if (!all && !sv_is(what, name))
				continue;
			found = true;
			if (h->n_blanks < HANDOUT_BLANKS_MOST)
				h->blanks[h->n_blanks++] = (struct handout_blank){i, cloth};
		}
	}
	if (!found) {
		buf_print(&b, "nothing on this sheet is called %.*s", (int)(what.n < 100 ? what.n : 100),
		    what.p);
		for (int i = 0; i < near.n; i++)
			buf_print(&b, "%s%s", i == 0 ? "; did you mean " : " or ", near.name[i]);
		buf_print(&b, "%s it has: %s, or all", near.n > 0 ? "?" : ";", known.p);
		usage(h->r, "%s", b.p);
	}
	buf_free(&known);
	buf_free(&b);
	return found;
}

/* blank = line ("of" cloth)? */
bool
handout_blanks(struct handout *h)
{
	const char *list = h->r->ask->blank;
	strview item;

	while (commas_next(&list, &item)) {
		strview what = sv_trim(item), of = {NULL, 0};
		uint32_t cloth = NONE;

		if (what.n == 0)
			continue;
		for (size_t i = 1; i + 4 < what.n && of.p == NULL; i++)
			if (memcmp(what.p + i, " of ", 4) == 0) {
				of = sv_trim((strview){what.p + i + 4, what.n - i - 4});
				what = sv_trim((strview){what.p, i});
			}
		for (uint32_t k = 0; of.p != NULL && k < h->n_cloths; k++)
			if (sv_is(of, h->cloths[k].name) || (h->cloths[k].entry != NONE &&
			    kb_entry_find(h->r->craft, of, NULL) == h->cloths[k].entry))
				cloth = k;
		if (of.p != NULL && cloth == NONE) {
			usage(h->r, "no cloth of this handout is called %.*s", (int)(of.n < 100 ? of.n : 100),
			    of.p);
			return false;
		}
		if (!one_blank(h, what, cloth))
			return false;
	}
	return true;
}
