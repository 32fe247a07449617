/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Constants, tables and formulas.
 *
 * Everything that can be called is declared before anything is compiled, so
 * that formulas may call each other in any order; circles are looked for in
 * the finished programs. A constant is a formula without parameters.
 */
#include "knowledge/knowledge_impl.h"

#include <stdlib.h>
#include <string.h>

static const char *const constant_keys[] = {"!constant", "!is", "says", "basis", "not pinned",
	NULL};
static const char *const table_keys[] = {"!table", "from", "words", "!to", "!cells", "steps",
	"says", "basis", "not pinned", NULL};
static const char *const formula_keys[] = {"!formula", "!is", "!gives", "says", "takes", "valid",
	"validity", "basis", "examples", "not pinned", NULL};
static const char *const worked_keys[] = {"!with", "!gives", "within", "source", NULL};

enum { PARAMETERS_MOST = 12, NESTED_MOST = 4 };

uint32_t
compile_expression(struct compiler *c, const struct node *n, size_t at, const struct scope *scope,
    const struct expected *expected)
{
	strview text = {n->text.p + at, n->text.n - at};

	return expression_compile(c->m, text, text_place(n, at, text.n), scope, expected);
}

static bool
part_of_word(strview t, size_t at)
{
	char ch = at < t.n ? t.p[at] : ' ';

	return (ch >= '0' && ch <= '9') || (ch >= 'a' && ch <= 'z') || (ch >= 'A' && ch <= 'Z') ||
	    (ch == '.' && at + 1 < t.n && t.p[at + 1] >= '0' && t.p[at + 1] <= '9');
}

static bool
word_within(strview t, strview word)
{
	for (size_t i = 0; word.n > 0 && i + word.n <= t.n; i++)
		if (memcmp(t.p + i, word.p, word.n) == 0 && (i == 0 || !part_of_word(t, i - 1)) &&
		    !part_of_word(t, i + word.n))
			return true;
	return false;
}

/* Does the number or word stand in a figure or expression below the node? */
static bool
stands_in(const struct node *n, strview word, int depth)
{
	static const char *const told[] = {"not pinned", "examples", "id", "area", "why", "say",
		"says", "settle", "scrap test", "source", "basis", "note", "validity", NULL};

	if (n->type == NODE_TEXT)
		return word_within(n->text, word);
	for (const struct node *k = n->first; depth > 0 && k != NULL; k = k->next) {
		bool figure = true;

		for (size_t i = 0; depth == NESTED_MOST && told[i] != NULL; i++)
			figure = figure && !sv_is(k->text, told[i]);
		if (figure && ((depth < NESTED_MOST && n->type == NODE_MAP &&
		    word_within(k->text, word)) ||
		    stands_in(n->type == NODE_MAP ? k->value : k, word, depth - 1)))
			return true;
	}
	return false;
}

/* `not pinned: {0.5: reason}` of a rule, an advice, a formula ... */
void
note_loose(struct compiler *c, const struct node *item, const char *owner)
{
	const struct node *map = node_get(item, "not pinned");

	if (map == NULL)
		return;
	if (map->type != NODE_MAP) {
		diag(c->ds, map->place, D_EXPECTED_MAP, "not pinned");
		return;
	}
	for (const struct node *k = map->first; k != NULL; k = k->next) {
		if (!is_text(c, k->value, "not pinned"))
			continue;
		if (!stands_in(item, sv_trim(k->text), NESTED_MOST))
			diag(c->ds, k->place, D_NOT_PINNED_ABSENT, kept(c, k->text),
			    arena_print(c->arena, "the %s", owner));
		c->loose = mem_grow(c->loose, &c->cap_loose, c->n_loose + 1, sizeof *c->loose);
		c->loose[c->n_loose++] = (struct loose){owner, kept(c, k->text),
		    kept(c, k->value->text)};
	}
}

static uint32_t
basis_of(struct compiler *c, const struct node *item, const struct node *name)
{
	const struct node *basis = node_get(item, "basis");
	uint32_t low, high;

	if (basis == NULL) {
		diag(c->ds, name->place, D_NO_BASIS, kept(c, name->text));
		return 0;
	}
	return get_basis(c, basis, &low, &high) ? low : 0;
}

/* ---- declaring ----------------------------- */

/* number, or number and unit: what unit is a constant shown in? */
static uint32_t
unit_of_constant(struct compiler *c, strview text)
{
	double x;
	size_t n;
	int u;

	text = sv_trim(text);
	if (!number_read(text, &n, &x))
		return NONE;
	text = sv_trim((strview){text.p + n, text.n - n});
	u = unit_find(&c->units, text.n > 0 ? text : SV("1"));
	return u >= 0 ? (uint32_t)u : NONE;
}

static void
declare_constant(struct compiler *c, const struct node *item)
{
	const struct node *name = node_get(item, "constant");
	struct formula f = {.entry = NONE, .body = NONE, .valid = NONE, .unit = NONE};

	if (!keys_known(c, item, "a constant", constant_keys) || !is_text(c, name, "constant") ||
	    !is_text(c, node_get(item, "is"), "is"))
		return;
	if (!new_name(c, &c->callables, "a constant, table or formula", name, sv_trim(name->text),
	    maker_view(c->m)->n_formula))
		return;
	f.name = maker_text(c->m, sv_trim(name->text));
	f.says = get_text_at(c, item, "says");
	f.source = basis_of(c, item, name);
	f.unit = unit_of_constant(c, node_get(item, "is")->text);
	maker_add_formula(c->m, &f, 1);
	note_loose(c, item, arena_print(c->arena, "constant %s", kept(c, sv_trim(name->text))));
}

static void
declare_parameters(struct compiler *c, const struct node *item, struct formula *f)
{
	const struct node *map = node_get(item, "takes");
	struct parameter p[PARAMETERS_MOST];
	uint32_t n = 0;

	if (map == NULL)
		return;
	if (map->type != NODE_MAP) {
		diag(c->ds, map->place, D_EXPECTED_MAP, "takes");
		return;
	}
	for (const struct node *k = map->first; k != NULL; k = k->next) {
		int u;

		if (!is_text(c, k->value, "takes"))
			continue;
		u = unit_find(&c->units, k->value->text);
		if (u < 0) {
			struct near near = {0};

			diag(c->ds, k->value->place, D_UNKNOWN_UNIT, kept(c, k->value->text));
			unit_near(&c->units, k->value->text, &near);
			diag_near(c->ds, &near);
			u = 0;
		}
		if (n == PARAMETERS_MOST) {
			diag(c->ds, k->place, D_TOO_MANY, "parameters", "12");
			break;
		}
		p[n++] = (struct parameter){.name = maker_text(c->m, k->text),
		    .dim = c->units.n > 0 ? c->units.u[u].dim : (dimension){0},
		    .unit = (uint32_t)u};
	}
	f->n_parameters = n;
	f->first_parameter = maker_add_parameter(c->m, p, n);
}

static void
declare_formula(struct compiler *c, const struct node *item)
{
	const struct node *name = node_get(item, "formula"), *gives = node_get(item, "gives");
	struct formula f = {.entry = NONE, .body = NONE, .valid = NONE, .unit = NONE};

	if (!keys_known(c, item, "a formula", formula_keys) || !is_text(c, name, "formula") ||
	    !is_text(c, node_get(item, "is"), "is") || !is_text(c, gives, "gives"))
		return;
	if (!new_name(c, &c->callables, "a constant, table or formula", name, sv_trim(name->text),
	    maker_view(c->m)->n_formula))
		return;
	f.name = maker_text(c->m, sv_trim(name->text));
	f.says = get_text_at(c, item, "says");
	f.validity_text = get_text_at(c, item, "validity");
	f.source = basis_of(c, item, name);
	declare_parameters(c, item, &f);
	if (unit_find(&c->units, gives->text) >= 0) {
		f.unit = (uint32_t)unit_find(&c->units, gives->text);
	} else {
		struct near near = {0};

		diag(c->ds, gives->place, D_UNKNOWN_UNIT, kept(c, gives->text));
		unit_near(&c->units, gives->text, &near);
		diag_near(c->ds, &near);
	}
	maker_add_formula(c->m, &f, 1);
	note_loose(c, item, arena_print(c->arena, "formula %s", kept(c, sv_trim(name->text))));
}

/* ---- tables ----------------------------- */

static int
by_x(const void *a, const void *b)
{
	double x = ((const struct point *)a)->x, y = ((const struct point *)b)->x;

	return (x > y) - (x < y);
}

static bool
table_word(struct compiler *c, const struct node *k, uint32_t set, double *x)
{
	uint64_t words[2];

	if (!get_words(c, k, k->text, 0, set, words))
		return false;
	for (uint32_t i = 0; i < 128; i++)
		if (words[i >> 6] >> (i & 63) & 1) {
			*x = i;
			return true;
		}
	return false;
}

static void
table_cells(struct compiler *c, const struct node *cells, struct table *t, const char *name)
{
	struct point *p = arena_alloc(c->arena, (cells->n + 1) * sizeof *p);
	struct wanted from = wanted_dimension(c, name, t->from), to = wanted_dimension(c, name,
	    t->to);
	uint32_t n = 0;

	from.exact = true;
	for (const struct node *k = cells->first; k != NULL; k = k->next) {
		range x;

		if (t->by_word ? !table_word(c, k, t->word_set, &p[n].x) : !get_range(c, k, &from,
		    &x))
			continue;
		if (!t->by_word)
			p[n].x = x.lo;
		if (get_range(c, k->value, &to, &p[n].y))
			n++;
	}
	qsort(p, n, sizeof *p, by_x);
	for (uint32_t i = 1; i < n; i++)
		if (p[i].x == p[i - 1].x) {
			diag(c->ds, cells->first->place, D_DUPLICATE_NAME, "a cell",
			    "by that number or word", name);
			break;
		}
	t->n = n;
	t->first = maker_add_point(c->m, p, n);
}

static void
read_table(struct compiler *c, const struct node *item)
{
	const struct node *name = node_get(item, "table"), *from = node_get(item, "from");
	const struct node *words = node_get(item, "words"), *to = node_get(item, "to");
	const struct node *cells = node_get(item, "cells");
	struct table t = {.word_set = NO16};
	uint32_t set;

	if (!keys_known(c, item, "a table", table_keys) || !is_text(c, name, "table") ||
	    !is_text(c, to, "to"))
		return;
	if (!new_name(c, &c->callables, "a constant, table or formula", name, sv_trim(name->text),
	    NONE))
		return;
	/* `from: words` beside `words: SET` says the same twice. */
	if (from != NULL && words != NULL && sv_is(from->text, "words"))
		from = NULL;
	if ((from != NULL) == (words != NULL)) {
		diag(c->ds, name->place, D_ONE_OF_KEYS, kept(c, name->text), "from, words");
		return;
	}
	t.name = maker_text(c->m, sv_trim(name->text));
	t.source = basis_of(c, item, name);
	t.steps = get_yes(c, item, "steps", false);
	note_loose(c, item, arena_print(c->arena, "table %s", kept(c, sv_trim(name->text))));
	if (words != NULL) {
		if (!is_text(c, words, "words") ||
		    (set = find_set(c, words, sv_trim(words->text))) == NONE)
			return;
		t.by_word = 1;
		t.word_set = (uint16_t)set;
	} else if (!is_text(c, from, "from") || !dim_read(sv_trim(from->text), &t.from)) {
		diag(c->ds, from->place, D_UNKNOWN_DIMENSION, kept(c, from->text));
		return;
	}
	if (!dim_read(sv_trim(to->text), &t.to)) {
		diag(c->ds, to->place, D_UNKNOWN_DIMENSION, kept(c, to->text));
		return;
	}
	if (cells->type != NODE_MAP || cells->n == 0) {
		diag(c->ds, cells->place, D_EXPECTED_MAP, "cells");
		return;
	}
	table_cells(c, cells, &t, kept(c, sv_trim(name->text)));
	maker_add_table(c->m, &t, 1);
}

void
declare_figures(struct compiler *c)
{
	each_item(c, "constants", declare_constant);
	each_item(c, "formulas", declare_formula);
	each_item(c, "tables", read_table);
}

/* ---- compiling ----------------------------- */

/* The formula this item declared; NONE: not declared, or by another item. */
static uint32_t
declared(struct compiler *c, const struct node *item, const char *key)
{
	const struct node *name = item->type == NODE_MAP ? node_get(item, key) : NULL;
	const struct symbol *y;

	if (name == NULL || name->type != NODE_TEXT)
		return NONE;
	y = symbols_find(&c->callables, sv_trim(name->text), NULL);
	if (y == NULL || y->place.src != name->place.src || y->place.at != name->place.at)
		return NONE;
	return y->id;
}

static void
compile_constant(struct compiler *c, const struct node *item)
{
	uint32_t f = declared(c, item, "constant"), body;
	struct scope scope = {.formula = f, .for_property = NONE};
	struct expected any = {.type = TYPE_QUANTITY, .any_dim = true};

	if (f == NONE)
		return;
	body = compile_expression(c, node_get(item, "is"), 0, &scope, &any);
	maker_at_formula(c->m, f)->body = body;
}

static void
read_worked(struct compiler *c, const struct node *ex, uint32_t f)
{
	const struct formula *g = maker_at_formula(c->m, f);
	const struct node *with = node_get(ex, "with"), *within = node_get(ex, "within");
	const struct node *source = node_get(ex, "source");
	range *values = arena_alloc(c->arena, (g->n_parameters + 1) * sizeof *values);
	struct worked w = {.formula = f, .source = NONE, .with = values};
	const char *name = kept(c, sv(craft_text(maker_view(c->m), g->name)));
	struct wanted result;
	uint32_t column, given = 0;
	range r;

	if (!keys_known(c, ex, "a worked example", worked_keys))
		return;
	if (with->type != NODE_MAP) {
		diag(c->ds, with->place, D_EXPECTED_MAP, "with");
		return;
	}
	for (const struct node *k = with->first; k != NULL; k = k->next) {
		struct near near = {0};
		uint32_t i = 0;

		for (; i < g->n_parameters; i++) {
			const struct parameter *p = maker_at_parameter(c->m,
			    g->first_parameter + i);
			const char *its = craft_text(maker_view(c->m), p->name);
			struct wanted one;

			near_offer(&near, k->text, its);
			if (!sv_is(k->text, its))
				continue;
			one = wanted_unit(c, kept(c, k->text), (uint16_t)p->unit);
			if (!get_range(c, k->value, &one, &values[i]))
				return;
			given++;
			break;
		}
		if (i == g->n_parameters) {
			diag(c->ds, k->place, D_UNKNOWN_KEY, name, kept(c, k->text),
			    "its parameters");
			diag_near(c->ds, &near);
			return;
		}
	}
	for (uint32_t i = 0; given < g->n_parameters && i < g->n_parameters; i++) {
		const char *its = craft_text(maker_view(c->m), maker_at_parameter(c->m,
		    g->first_parameter + i)->name);

		if (node_get(with, its) == NULL) {
			diag(c->ds, ex->place, D_MISSING_KEY, "the worked example", its, its);
			return;
		}
	}
	if (g->unit == NONE)
		return;
	result = wanted_unit(c, name, (uint16_t)g->unit);
	if (!get_range(c, node_get(ex, "gives"), &result, &w.gives))
		return;
	result.exact = result.difference = true;
	if (within != NULL) {
		if (!get_range(c, within, &result, &r))
			return;
		w.within = r.lo;
	}
	if (source == NULL)
		diag(c->ds, ex->first->place, D_NO_BASIS, "a worked example");
	else if (is_text(c, source, "source"))
		w.source = find_source(c, source, sv_trim(source->text));
	if (ex->first != NULL)
		place_line_column(ex->first->place, &w.line, &column);
	w.file = maker_text(c->m, sv(ex->place.src->name));
	c->worked = mem_grow(c->worked, &c->cap_worked, c->n_worked + 1, sizeof *c->worked);
	c->worked[c->n_worked++] = w;
}

static void
compile_formula(struct compiler *c, const struct node *item)
{
	uint32_t f = declared(c, item, "formula"), body, valid = NONE;
	const struct node *when = f != NONE ? node_get(item, "valid") : NULL;
	const struct node *examples = f != NONE ? node_get(item, "examples") : NULL;
	struct scope scope = {.formula = f, .for_property = NONE};
	struct expected result = {.type = TYPE_QUANTITY}, truth = {.type = TYPE_TRUTH};

	if (f == NONE)
		return;
	if (maker_at_formula(c->m, f)->unit == NONE)
		result.any_dim = true;
	else
		result.dim = c->units.u[maker_at_formula(c->m, f)->unit].dim;
	body = compile_expression(c, node_get(item, "is"), 0, &scope, &result);
	if (when != NULL && is_text(c, when, "valid"))
		valid = compile_expression(c, when, 0, &scope, &truth);
	maker_at_formula(c->m, f)->body = body;
	maker_at_formula(c->m, f)->valid = valid;
	if (examples == NULL)
		return;
	if (examples->type != NODE_LIST) {
		diag(c->ds, examples->place, D_EXPECTED_LIST, "examples");
		return;
	}
	for (const struct node *e = examples->first; e != NULL; e = e->next)
		read_worked(c, e, f);
}

/* Formulas that call constants need their dimension, so these go first. */
void
read_figures(struct compiler *c)
{
	each_item(c, "constants", compile_constant);
	each_item(c, "formulas", compile_formula);
}

/* ---- circles ----------------------------- */

struct circle { struct compiler *c; const struct craft *craft; uint8_t *state; uint32_t depth; };

enum { CALLS_DEEPEST = 32 };

static bool walk_formula(struct circle *, uint32_t formula);

static bool
walk_program(struct circle *w, uint32_t program, uint32_t formula)
{
	const struct program *g;

	if (program == NONE)
		return true;
	g = &w->craft->program[program];
	for (uint32_t i = 0; i < g->n; i++) {
		const struct instr *k = &w->craft->instr[g->first + i];

		if (k->op != OP_CALL || walk_formula(w, k->b))
			continue;
		diag(w->c->ds, (struct place){0}, D_FORMULA_CIRCLE,
		    craft_text(w->craft, w->craft->formula[formula].name),
		    craft_text(w->craft, w->craft->formula[k->b].name));
		return true;                   /* said once */
	}
	return true;
}

static bool
walk_formula(struct circle *w, uint32_t formula)
{
	bool good;

	if (w->state[formula] == 2)
		return true;
	if (w->state[formula] == 1 || w->depth == CALLS_DEEPEST)
		return false;
	w->state[formula] = 1;
	w->depth++;
	good = walk_program(w, w->craft->formula[formula].body, formula) &&
	    walk_program(w, w->craft->formula[formula].valid, formula);
	w->depth--;
	w->state[formula] = 2;
	return good;
}

void
check_formula_circles(struct compiler *c, const struct craft *craft)
{
	struct circle w = {.c = c, .craft = craft};

	w.state = arena_alloc(c->arena, craft->n_formula + 1);
	for (uint32_t i = 0; i < craft->n_formula; i++)
		walk_formula(&w, i);
}
