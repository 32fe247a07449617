/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A list of materials, third part: rows into projects.
 *
 * A row speaks of one material.  Its description is read as plain words, by
 * itself, so that nothing said there reaches another row; the material those
 * words name takes the role the row is there for, and then what the other cells
 * say: of what it is made, how heavy it is, what care it bears.  What else the
 * description names (a detail, a needle beside its thread) is said of the whole.
 */
#include "project/list_impl.h"

#include <string.h>

struct lister {
	struct terms t;
	struct arena *arena;
	struct knowledge *kb;
	struct diags *ds;
	struct list_table table;
	struct list_head head;
	struct project_list *list;
	uint32_t cap;
	const struct list_row *row;
	struct project *p;                 /* of the row */
	uint32_t material;                 /* the row's thing, or NONE */
	uint16_t role;                     /* the row's, or NO16 */
};

static const struct list_column *
column(const struct lister *l, uint32_t i)
{
	return i < l->head.n && l->head.column[i] != NO16 ?
	    &l->t.c->list_column[l->head.column[i]] : NULL;
}

static const struct list_cell *
cell_of(const struct lister *l, uint8_t does)
{
	for (uint32_t i = 0; i < l->row->n; i++)
		if (column(l, i) != NULL && column(l, i)->does == does && l->row->cells[i].text.n > 0)
			return &l->row->cells[i];
	return NULL;
}

static strview
key_of(const struct lister *l, strview text)
{
	return sv(name_key(l->arena, text));
}

static const char *
written(const struct lister *l, strview text)
{
	return arena_text(l->arena, text.p, text.n);
}

/* ---- what the row is there for ---------------------------------------------- */

/* A phrase of the part's column that the cell is, or ends or begins with. */
static const struct list_word *
part_word(const struct lister *l, const struct list_cell *cell, uint8_t does)
{
	strview key = key_of(l, cell->text);

	for (uint32_t i = 0; i < l->head.n; i++) {
		uint32_t c = l->head.column[i];

		if (c == NO16 || l->t.c->list_column[c].does != LIST_PART)
			continue;
		for (size_t from = 0; from < key.n; from++) {
			size_t used;
			uint32_t w;

			if (from > 0 && key.p[from - 1] != ' ')
				continue;
			w = list_word_at(l->t.c, c, does, key, from, &used);
			if (w != NONE && (from + used == key.n || from == 0))
				return &l->t.c->list_word[w];
		}
	}
	return NULL;
}

/* "body lining" is a lining, "buttons" are what they are called: the role of
 * the longest last words that are one, or of what they name. */
static uint16_t
role_of(const struct lister *l, const struct list_cell *cell)
{
	const struct list_word *w = part_word(l, cell, LIST_ROLE);
	strview key = key_of(l, cell->text);

	if (w != NULL)
		return w->role;
	for (size_t from = 0; from < key.n; from++) {
		strview rest = {key.p + from, key.n - from};
		const struct name *first;
		uint16_t role;
		uint32_t n;

		if (from > 0 && key.p[from - 1] != ' ')
			continue;
		role = role_called(&l->t, rest);
		if (role != NO16)
			return role;
		n = kb_names(l->t.c, rest, &first);
		for (uint32_t i = 0; i < n; i++)
			if (first[i].target == NAME_ENTRY &&
			    entry_object_kind(&l->t, first[i].id) == l->t.component)
				return entry_role(&l->t, first[i].id);
	}
	return NO16;
}

/* ---- the material ---------------------------------------------------------------- */

/* The thing of the description that the row is about: the first material that can
 * have the row's role; where the row has none, the first material. */
static uint32_t
material_of(const struct lister *l)
{
	for (uint32_t i = 0; i < l->p->n_things; i++) {
		const struct said_thing *t = &l->p->things[i];

		if (t->kind != l->t.component || t->of != NONE || t->denied)
			continue;
		if (l->role == NO16 || t->role == l->role || roles_are_kin(&l->t, t->role, l->role))
			return i;
	}
	return NONE;
}

static uint32_t
material(struct lister *l, struct place place)
{
	if (l->material == NONE)
		l->material = thing_add(l->p, (struct said_thing){
			.kind = (uint16_t)l->t.component,
			.role = l->role != NO16 ? l->role : l->t.first_role,
			.entry = role_entry(&l->t, l->role),
			.count = 1, .of = NONE, .place = place,
		});
	return l->material;
}

/* Said twice of the row's own material: the cell under its heading knows better. */
static void
say(struct lister *l, struct said_value v)
{
	uint32_t n = 0;

	for (uint32_t i = 0; i < l->p->n_values; i++)
		if (!same_slot(&l->p->values[i], &v))
			l->p->values[n++] = l->p->values[i];
	l->p->n_values = n;
	value_add(l->p, v);
}

static void
add_to(struct project *whole, const struct project *row)
{
	uint32_t first = whole->n_things;

	for (uint32_t i = 0; i < row->n_things; i++) {
		struct said_thing t = row->things[i];

		if (t.of != NONE)
			t.of += first;
		thing_add(whole, t);
	}
	for (uint32_t i = 0; i < row->n_values; i++) {
		struct said_value v = row->values[i];

		if (v.thing != NONE)
			v.thing += first;
		if (v.scope_thing != NONE)
			v.scope_thing += first;
		value_add(whole, v);
	}
	for (uint32_t i = 0; i < row->n_uses; i++)
		use_add(whole, row->uses[i]);
	whole->conflicts += row->conflicts;
}

/* ---- a number under its heading -------------------------------------------------- */

static bool
number_alone(strview s)
{
	for (size_t i = 0; i < s.n; i++)
		if (strchr("0123456789.,- ", s.p[i]) == NULL)
			return false;
	return true;
}

/* "1.4 mm" as a weight: a by-name of one unit that is another unit's own name, and
 * no such weight is known of the material. */
static bool
another_unit(const struct lister *l, strview text, uint32_t property, const struct reading *r)
{
	const struct units *units = l->t.c->units;
	const struct entry_record *e;
	uint32_t entry;
	range both;
	bool own = false;

	while (text.n > 0 && strchr("0123456789.,-/ ", text.p[0]) != NULL) {
		text.p++;
		text.n--;
	}
	for (uint32_t i = 0; i < l->t.c->n_unit; i++)
		own = own || (sv_is(text, craft_text(l->t.c, l->t.c->unit[i].name)) && r->unit >= 0 &&
		    !dim_eq(units->u[i].dim, units->u[r->unit].dim));
	if (!own)
		return false;
	entry = l->material != NONE ? l->p->things[l->material].entry : NONE;
	e = entry != NONE ? kb_entry(l->kb, entry) : NULL;
	for (uint32_t k = 0; e != NULL && k < e->n_typicals; k++)
		if (e->typicals[k].property == property &&
		    range_meet(e->typicals[k].usual.r, r->value, &both))
			return false;
	return true;
}

/* The cell as such a quantity, with the heading's unit where it has none. */
static bool
reads_as(struct lister *l, const struct list_cell *cell, int unit, uint32_t property,
    struct reading *r)
{
	struct reading_for f = property_reading(&l->t, property);
	strview text = cell->text;

	if (unit >= 0 && number_alone(text))
		text = sv(arena_print(l->arena, "%.*s %s", (int)text.n, text.p,
		    craft_text(l->t.c, l->t.c->unit[unit].name)));
	*r = reading_of(l->t.c->units, l->t.c->range_words, &f, text, true);
	return r->fault == READ_FINE;
}

static bool
read_as(struct lister *l, const struct list_cell *cell, int unit, uint32_t property)
{
	struct said_value v;
	struct reading r;

	if (!reads_as(l, cell, unit, property, &r) ||
	    another_unit(l, cell->text, property, &r))
		return false;
	v = value_of(material(l, cell->place), property, cell->place);
	v.value.state = VALUE_KNOWN;
	v.value.r = r.value;
	v.unit = r.unit;
	say(l, v);
	return true;
}

/* The role a thing of the column would have, where it is not the row's: a needle in
 * the row of a thread. */
static uint16_t
role_told(const struct lister *l, uint32_t property)
{
	uint32_t roles = l->t.c->property[property].roles;

	for (uint16_t i = 0; i < 32; i++)
		if (roles >> i & 1)
			return i;
	return NO16;
}

/* "80/12", or in words "jeans 90/14", under the heading of something that stands
 * beside the row's material. */
static bool
of_another(struct lister *l, const struct list_cell *cell, const struct list_cell *heading,
    int unit, uint32_t property)
{
	uint16_t role = role_told(l, property);
	strview first = cell->text, then = heading->text;          /* "jeans 90/14 needle" */
	struct project *best = NULL;
	uint32_t best_named = 0;
	struct reading r;
	struct diags quiet;

	if (role == NO16)
		return false;
	if (reads_as(l, cell, unit, property, &r)) {
		struct said_value v = value_of(thing_add(l->p, (struct said_thing){
			.kind = (uint16_t)l->t.component, .role = role,
			.entry = NONE, .count = 1, .of = NONE, .place = cell->place}),
		    property, cell->place);

		v.value.state = VALUE_KNOWN;
		v.value.r = r.value;
		v.unit = r.unit;
		value_add(l->p, v);
		return true;
	}
	diags_init(&quiet, l->arena);
	for (int turn = 0; turn < 2; turn++) {
		const char *both = arena_print(l->arena, "%.*s %.*s", (int)first.n, first.p,
		    (int)then.n, then.p);
		struct project *p = words_read(l->arena, l->kb, source_new(l->arena, "<cell>",
		    sv(both)), false, &quiet);
		uint32_t found = 0;

		if (p == NULL)
			continue;

		for (uint32_t i = p->n_things; i-- > 0; ) {
			if (p->things[i].role != role)
				thing_remove(p, i);
			else
				found += p->things[i].entry != NONE ? 2 : 1;
		}
		if (found > best_named) {
			best = p;
			best_named = found;
		}
		first = heading->text;
		then = cell->text;
	}
	if (best == NULL)
		return false;
	/* Read apart from the list, so whatever was said stands in the cell. */
	for (uint32_t i = 0; i < best->n_things; i++)
		best->things[i].place = cell->place;
	for (uint32_t i = 0; i < best->n_values; i++)
		best->values[i].place = cell->place;
	best->n_uses = 0;
	add_to(l->p, best);
	return best != NULL;
}

/* The heading's property, or another of the material that has such units: people
 * put the thickness of a hide where other rows have a weight. */
static void
measured(struct lister *l, const struct list_cell *cell, const struct list_cell *heading,
    int unit, uint32_t property)
{
	const struct craft *c = l->t.c;
	uint16_t role = l->material != NONE ? l->p->things[l->material].role : l->role;

	if (property_takes_role(&l->t, property, role) && read_as(l, cell, unit, property))
		return;
	for (uint32_t i = 0; i < c->n_property; i++)
		if (c->property[i].kind == l->t.component && i != property &&
		    (c->property[i].flags & PROPERTY_OWN) && property_is_quantity(&l->t, i) &&
		    property_takes_role(&l->t, i, role) && !number_alone(cell->text) &&
		    read_as(l, cell, -1, i))
			return;
	if (property_takes_role(&l->t, property, role) ||
	    !of_another(l, cell, heading, unit, property))
		diag(l->ds, cell->place, D_LIST_CELL, written(l, cell->text),
		    property_title(&l->t, property));
}

/* ---- phrases of a column (care) ---------------------------------------------------- */

static void
set_value(struct lister *l, const struct list_word *w, struct place place)
{
	struct said_value v;

	if (l->t.c->property[w->property].kind == l->t.component)
		v = value_of(material(l, place), w->property, place);
	else
		v = value_of(NONE, w->property, place);
	v.value.state = VALUE_KNOWN;
	if (l->t.c->property[w->property].type == TYPE_WORDS)
		memcpy(v.value.set, w->set, sizeof v.value.set);
	else
		v.value.r = w->quantity;
	say(l, v);
}

/* "wash 40": the figure behind the word. */
static size_t
number_behind(struct lister *l, const struct list_word *w, const struct list_cell *cell,
    strview key, size_t from)
{
	struct reading_for f = property_reading(&l->t, w->property);
	struct said_value v;
	struct reading r;

	while (from < key.n && key.p[from] == ' ')
		from++;
	r = reading_of(l->t.c->units, l->t.c->range_words, &f,
	    (strview){key.p + from, key.n - from}, false);
	if (r.fault != READ_FINE)
		return from;
	v = value_of(material(l, cell->place), w->property, cell->place);
	v.value.state = VALUE_KNOWN;
	v.value.r = r.value;
	v.unit = r.unit;
	say(l, v);
	return from + r.used;
}

static void
phrases(struct lister *l, const struct list_cell *cell, uint32_t c)
{
	strview key = key_of(l, cell->text);
	bool any = false;

	for (size_t from = 0; from < key.n; ) {
		size_t used, measured_used;
		uint32_t set, measure;

		if (from > 0 && key.p[from - 1] != ' ') {
			from++;
			continue;
		}
		set = list_word_at(l->t.c, c, LIST_SETS, key, from, &used);
		measure = list_word_at(l->t.c, c, LIST_MEASURES, key, from, &measured_used);
		any = any || set != NONE || measure != NONE;
		for (uint32_t i = 0; set != NONE && i < l->t.c->n_list_word; i++) {
			const struct list_word *w = &l->t.c->list_word[i];

			if (w->column == c && w->does == LIST_SETS &&
			    strcmp(craft_text(l->t.c, w->folded),
			    craft_text(l->t.c, l->t.c->list_word[set].folded)) == 0)
				set_value(l, w, cell->place);
		}
		if (measure != NONE)
			used = number_behind(l, &l->t.c->list_word[measure], cell, key,
			    from + measured_used) - from;
		from += used > 0 ? used : 1;
	}
	if (!any)
		diag(l->ds, cell->place, D_LIST_CELL, written(l, cell->text),
		    craft_text(l->t.c, l->t.c->list_column[c].name));
}

/* ---- one row -------------------------------------------------------------------------- */

static void
other_cells(struct lister *l)
{
	for (uint32_t i = 0; i < l->row->n; i++) {
		const struct list_column *c = column(l, i);
		const struct list_cell *cell = &l->row->cells[i];

		if (c == NULL || cell->text.n == 0)
			continue;
		if (c->does == LIST_PROPERTY)
			measured(l, cell, &l->table.rows[l->head.row].cells[i], l->head.unit[i],
			    c->property);
		else if (c->does == LIST_SAYS)
			phrases(l, cell, l->head.column[i]);
	}
}

/* The row's words: its description; where that names no material the part's name
 * before it ("buttons", "horn 30 mm"). */
static void
description(struct lister *l)
{
	struct place parts[2];
	const struct list_cell *part = cell_of(l, LIST_PART), *what = cell_of(l, LIST_WHAT);
	struct diags quiet;
	uint32_t n = 0;

	if (what != NULL) {
		diags_init(&quiet, l->arena);
		l->p = words_read_parts(l->arena, l->kb, l->table.source, &what->place, 1, true,
		    &quiet);
	}
	if (part != NULL && (what == NULL || material_of(l) == NONE))
		parts[n++] = part->place;
	if (what != NULL)
		parts[n++] = what->place;
	l->p = words_read_parts(l->arena, l->kb, l->table.source, parts, n, true, l->ds);
}

/* What is to be sewn, with what is said of the whole. */
static void
whole_thing(struct lister *l)
{
	struct place parts[LIST_COLUMNS_MOST];
	uint32_t n = 0;

	for (uint32_t i = 0; i < l->row->n; i++) {
		const struct list_column *c = column(l, i);

		if (c != NULL && l->row->cells[i].text.n > 0 &&
		    (c->does == LIST_WHAT || c->does == LIST_SAYS || c->does == LIST_MADE_OF))
			parts[n++] = l->row->cells[i].place;
	}
	l->p = words_read_parts(l->arena, l->kb, l->table.source, parts, n, false, l->ds);
}

/* What is sewn is told by its name or by the row of its main cloth, not by a
 * thread that is good for jeans. */
static void
drop_garments(struct lister *l, const struct project *whole)
{
	bool has = l->role != NO16 && l->role != l->t.first_role;

	for (uint32_t i = 0; i < whole->n_things; i++)
		has = has || whole->things[i].kind == l->t.garment;
	for (uint32_t i = l->p->n_things; has && i-- > 0; )
		if (l->p->things[i].kind == l->t.garment)
			thing_remove(l->p, i);
}

/* The work this role's material is for, or NONE. */
static uint32_t
work_of(const struct lister *l, uint16_t role)
{
	for (uint32_t i = 0; i < l->t.c->n_list_word; i++)
		if (l->t.c->list_word[i].does == LIST_ROLE && l->t.c->list_word[i].role == role &&
		    l->t.c->list_word[i].place != NONE)
			return l->t.c->list_word[i].place;
	return NONE;
}

/* "topstitching thread, needle 100/16": the needle is that of the thread's work,
 * so what is said of it is said of that work. */
static void
beside(struct lister *l)
{
	uint32_t work = l->material != NONE ? work_of(l, l->p->things[l->material].role) : NONE;
	uint32_t place = NONE;

	for (uint32_t i = l->p->n_things; work != NONE && i-- > 0; ) {
		struct said_thing *t = &l->p->things[i];
		bool all = t->entry == NONE;

		if (i == l->material || t->kind != l->t.component || t->of != NONE)
			continue;
		for (uint32_t k = 0; k < l->p->n_values; k++)
			all = all && (l->p->values[k].thing != i || setting_twin(&l->t,
			    l->p->values[k].property, l->t.operation) != NONE);
		if (!all)
			continue;
		if (place == NONE)
			place = thing_add(l->p, (struct said_thing){
				.kind = (uint16_t)l->t.operation, .role = NO16, .entry = work,
				.count = 1, .of = NONE, .place = t->place});
		for (uint32_t k = 0; k < l->p->n_values; k++) {
			struct said_value *v = &l->p->values[k];

			if (v->thing != i)
				continue;
			v->property = setting_twin(&l->t, v->property, l->t.operation);
			v->thing = place;
		}
		thing_remove(l->p, i);
		place--;                       /* what stood behind has moved up */
	}
}

/* Pieces, sets and spools are no length: so many, of what people count. */
static void
counted(struct lister *l, const struct list_cell *cell, const struct list_cell *unit)
{
	uint32_t property = property_find(l->t.c, l->t.component, SV("count"));
	strview text = sv_trim(cell->text);
	struct said_value v;
	size_t used;
	double x;

	if (property == NONE || !number_read(text, &used, &x) || x < 1 || x > LIST_PIECES_MOST ||
	    x != (double)(uint32_t)x ||
	    !property_takes_role(&l->t, property, l->p->things[l->material].role))
		return;
	text = sv_trim((strview){text.p + used, text.n - used});
	if (text.n == 0 && unit != NULL)
		text = sv_trim(unit->text);
	if (text.n > 0 && unit_find(l->t.c->units, text) >= 0)
		return;
	v = value_of(l->material, property, cell->place);
	v.value.state = VALUE_KNOWN;
	v.value.r = range_exact(x);
	say(l, v);
}

/* How much, with the unit of its own cell or of the next. */
static void
amount(struct lister *l)
{
	const struct list_cell *n = cell_of(l, LIST_AMOUNT), *unit = cell_of(l, LIST_UNIT);
	uint32_t property = property_find(l->t.c, l->t.component, SV("amount"));
	struct list_cell both;

	if (n == NULL || l->material == NONE || property == NONE ||
	    !property_takes_role(&l->t, property, l->p->things[l->material].role))
		return;
	both = *n;
	if (unit != NULL && number_alone(n->text))
		both.text = sv(arena_print(l->arena, "%.*s %.*s", (int)n->text.n, n->text.p,
		    (int)unit->text.n, unit->text.p));
	if (number_alone(both.text) || !read_as(l, &both, -1, property))
		counted(l, n, unit);
}

/* A thread of one fibre wrapped in another is no second cloth: fibres told without a
 * cloth, in a row that is there for something else, are those of its material. */
static void
fold_fibres(struct lister *l)
{
	uint16_t role = l->material != NONE ? l->p->things[l->material].role : NO16;

	if (role == NO16 || roles_are_kin(&l->t, role, l->t.first_role))
		return;
	for (uint32_t i = l->p->n_things; i-- > 0; ) {
		const struct said_thing *t = &l->p->things[i];
		uint32_t before = l->material;

		if (i == l->material || t->kind != l->t.component || t->of != NONE || t->denied ||
		    t->entry != NONE || t->role != l->t.first_role)
			continue;
		thing_remove(l->p, i);
		l->material -= before > i;
	}
}

static void
material_row(struct lister *l, struct project *whole)
{
	const struct list_cell *part = cell_of(l, LIST_PART), *made_of = cell_of(l, LIST_MADE_OF);

	l->role = part != NULL ? role_of(l, part) : NO16;
	description(l);
	drop_garments(l, whole);
	l->material = material_of(l);
	if (l->material != NONE && l->role != NO16) {
		l->p->things[l->material].role = l->role;
		if (l->p->things[l->material].entry == NONE && made_of == NULL)
			l->p->things[l->material].entry = role_entry(&l->t, l->role);
	}
	fold_fibres(l);
	if (made_of != NULL)
		list_contents(&l->t, l->p, made_of, material(l, made_of->place), l->ds);
	other_cells(l);
	amount(l);
	beside(l);
	add_to(whole, l->p);
}

/* ---- things to be sewn ------------------------------------------------------------------ */

static struct listed *
new_style(struct lister *l, const struct list_cell *name)
{
	struct project_list *list = l->list;

	if (list->n == l->cap) {
		uint32_t cap = l->cap > 0 ? l->cap * 2 : 8;
		struct listed *more = arena_alloc(l->arena, cap * sizeof *more);

		if (list->n > 0)
			memcpy(more, list->of, list->n * sizeof *more);
		list->of = more;
		l->cap = cap;
	}
	list->of[list->n] = (struct listed){
		.project = project_new(l->arena, l->table.source),
		.name = name != NULL ? written(l, name->text) : "",
		.place = name != NULL ? name->place : l->row->cells[0].place,
	};
	return &list->of[list->n++];
}

/* Materials the name of the thing carries give way to the row
 * that tells more of the same role. */
static void
settle(struct lister *l, struct listed *s, uint32_t from_name)
{
	for (uint32_t i = from_name; i-- > 0; ) {
		const struct said_thing *t = &s->project->things[i];
		bool again = false;

		for (uint32_t k = from_name; k < s->project->n_things; k++)
			again = again || (t->kind == l->t.component && t->of == NONE &&
			    s->project->things[k].kind == t->kind &&
			    s->project->things[k].role == t->role);
		if (again)
			thing_remove(s->project, i);
	}
}

static void
rows(struct lister *l)
{
	struct listed *s = NULL;
	const struct list_cell *last = NULL;
	uint32_t from_name = 0;

	for (uint32_t i = l->head.row + 1; i < l->table.n_rows; i++) {
		const struct list_cell *name, *part;
		bool names;

		l->row = &l->table.rows[i];
		name = cell_of(l, LIST_STYLE);
		part = cell_of(l, LIST_PART);
		names = part != NULL && part_word(l, part, LIST_NAMES_STYLE) != NULL;
		if (s == NULL || (name != NULL && last != NULL && !sv_eq(name->text, last->text)) ||
		    (names && last == NULL && name == NULL && s->project->n_things > 0)) {
			if (s != NULL)
				settle(l, s, from_name);
			s = new_style(l, name);
			from_name = 0;
			if (name != NULL) {
				struct diags quiet;
				struct project *p;

				/* A number of an order is no word one has to know. */
				diags_init(&quiet, l->arena);
				p = words_read_parts(l->arena, l->kb,
				    l->table.source, &name->place, 1, true, &quiet);

				add_to(s->project, p);
				from_name = s->project->n_things;
			}
		}
		last = name != NULL ? name : last;
		if (names) {
			l->role = NO16;
			whole_thing(l);
			drop_garments(l, s->project);
			add_to(s->project, l->p);
			from_name = s->project->n_things;
			if (s->name[0] == '\0' && cell_of(l, LIST_WHAT) != NULL)
				s->name = written(l, cell_of(l, LIST_WHAT)->text);
		} else {
			material_row(l, s->project);
		}
	}
	if (s != NULL)
		settle(l, s, from_name);
	for (uint32_t i = 0; i < l->list->n; i++)
		l->list->of[i].project->title = l->list->of[i].name;
}

bool
project_is_list(const char *path)
{
	static const char *const endings[] = {".csv", ".CSV", ".tsv", ".TSV", ".tab"};
	size_t n = strlen(path);

	for (size_t i = 0; i < sizeof endings / sizeof *endings; i++)
		if (n > strlen(endings[i]) && strcmp(path + n - strlen(endings[i]), endings[i]) == 0)
			return true;
	return false;
}

struct project_list *
projects_from_list(struct arena *a, struct knowledge *kb, const char *name, strview bytes,
    struct diags *ds)
{
	struct lister l = {.arena = a, .kb = kb, .ds = ds};

	terms_init(&l.t, kb);
	if (!list_cells(a, name, bytes, &l.table, ds) ||
	    !list_head(a, &l.t, &l.table, &l.head, ds))
		return NULL;
	l.list = arena_alloc(a, sizeof *l.list);
	*l.list = (struct project_list){.source = l.table.source};
	rows(&l);
	if (l.list->n == 0) {
		diag(ds, l.table.rows[l.head.row].cells[0].place, D_LIST_EMPTY);
		return NULL;
	}
	return l.list;
}
