/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Types: whether the parts of an expression fit together.
 *
 * A bare word has no type of its own; it takes the word set of the other side
 * of its comparison. Everything else is known from its leaves upward.
 */
#include "language/language_impl.h"

static bool type_of(struct parse *, struct tree *);

/* ---- expressions --------------------------------------------------------------- */

static bool
want(struct parse *p, struct tree *t, enum value_type type, const char *what)
{
	if (t->is.type == type && !t->is.bare)
		return true;
	if (t->is.bare) {
		type_fail(p, t, D_NAME_UNKNOWN, type_copy(p, t->name), what, NULL);
		type_offer_variables(p, t->name);
		return false;
	}
	return type_fail(p, t, D_TYPE_WRONG, type_named(p, &t->is), what, NULL);
}

/* A number written bare beside a property that has units. */
static bool
without_unit(struct parse *p, struct tree *number, struct tree *other)
{
	const struct property *q;
	struct buf b = {0};

	if (number->type != TREE_NUMBER || number->unit >= 0 || other->is.property == NONE)
		return false;
	q = &p->craft->property[other->is.property];
	if (q->n_units == 0)
		return false;
	buf_sv(&b, (strview){p->text.p + number->at, number->n});
	buf_print(&b, " %s", craft_text(p->craft,
	    p->craft->unit[p->craft->unit_list[q->first_unit]].name));
	type_fail(p, number, D_NUMBER_WITHOUT_UNIT, type_named(p, &other->is),
	    arena_text(p->arena, b.p, b.n), NULL);
	buf_free(&b);
	return true;
}

static bool
same_dim(struct parse *p, struct tree *t, struct tree *a, struct tree *b)
{
	if (dim_eq(a->is.dim, b->is.dim))
		return true;
	if (without_unit(p, a, b) || without_unit(p, b, a))
		return false;
	return type_fail(p, t, D_DIMENSIONS_DIFFER, type_named(p, &a->is), type_named(p, &b->is), NULL);
}

static bool
type_arithmetic(struct parse *p, struct tree *t)
{
	struct tree *a = t->kid[0], *b = t->kid[1];

	if (a->is.type == TYPE_BAND || b->is.type == TYPE_BAND)
		return type_fail(p, t, D_BAND_ARITHMETIC, NULL, NULL, NULL);
	if (!want(p, a, TYPE_QUANTITY, "a quantity") || !want(p, b, TYPE_QUANTITY, "a quantity"))
		return false;
	t->is = (struct kindred){.type = TYPE_QUANTITY, .dim = a->is.dim, .property = NONE};
	if (t->op == OP_ADD || t->op == OP_SUB) {
		t->is.property = a->is.property != NONE ? a->is.property : b->is.property;
		return same_dim(p, t, a, b);
	}
	if (!(t->op == OP_MUL ? dim_mul(a->is.dim, b->is.dim, &t->is.dim)
		: dim_div(a->is.dim, b->is.dim, &t->is.dim)))
		return type_fail(p, t, D_DIMENSION_TOO_LARGE, NULL, NULL, NULL);
	if (a->is.property != NONE && dim_eq(t->is.dim, a->is.dim))
		t->is.property = a->is.property;
	else if (t->op == OP_MUL && b->is.property != NONE && dim_eq(t->is.dim, b->is.dim))
		t->is.property = b->is.property;
	return true;
}

/* "operation.station = machine": the word, though an object has that name too. */
static void
word_after_all(const struct tree *other, struct tree *t)
{
	if (other->is.type != TYPE_WORDS || other->is.bare || t->type != TREE_PATH || t->path.n > 0)
		return;
	t->type = TREE_NAME;
	t->is = (struct kindred){.type = TYPE_WORDS, .bare = true, .property = NONE};
}

static bool
type_compare(struct parse *p, struct tree *t)
{
	struct tree *a = t->kid[0], *b = t->kid[1];

	word_after_all(a, b);
	word_after_all(b, a);
	t->is = (struct kindred){.type = TYPE_TRUTH, .property = NONE};
	if (a->is.bare && b->is.bare)
		return want(p, a, TYPE_QUANTITY, "a path or a quantity on one side");
	if (a->is.type == TYPE_BAND || b->is.type == TYPE_BAND)
		return type_fail(p, t, D_BAND_COMPARED, NULL, NULL, NULL);
	if (a->is.type == TYPE_WORDS || b->is.type == TYPE_WORDS) {
		struct tree *sure = a->is.bare ? b : a, *other = a->is.bare ? a : b;
		const struct word_set *s;

		if (!want(p, sure, TYPE_WORDS, "a word"))
			return false;
		if (other->is.bare && !type_word_side(p, other, sure->is.word_set))
			return false;
		if (!want(p, other, TYPE_WORDS, "a word"))
			return false;
		if (sure->is.word_set != other->is.word_set)
			return type_fail(p, t, D_WORDS_DIFFER, type_named(p, &a->is),
			    type_named(p, &b->is), NULL);
		s = &p->craft->word_set[sure->is.word_set];
		if (!s->ordered && t->op != OP_EQ && t->op != OP_NE)
			return type_fail(p, t, D_WORDS_UNORDERED, craft_text(p->craft, s->name), NULL, NULL);
		t->op = (enum op)(t->op - OP_LT + OP_WORD_LT);
		return true;
	}
	if (!want(p, a, TYPE_QUANTITY, "a quantity") || !want(p, b, TYPE_QUANTITY, "a quantity"))
		return false;
	t->is.step = a->is.step;
	return same_dim(p, t, a, b);
}

static bool
type_is(struct parse *p, struct tree *t)
{
	struct tree *a = t->kid[0];
	const struct craft *c = p->craft;
	struct near near = {0};

	t->is = (struct kindred){.type = TYPE_TRUTH, .property = NONE};
	if (a->is.type == TYPE_WORDS && !a->is.bare)
		return type_words(p, t->list, a->is.word_set, true, t->set);
	if (!want(p, a, TYPE_REF, "an object or a word"))
		return false;
	if (t->list->next != NULL)
		return type_fail(p, t, D_IS_ONE_ENTRY, NULL, NULL, NULL);
	for (uint32_t i = 0; i < c->n_entry; i++) {
		if (c->entry_kind[c->entry[i].kind].object_kind != a->is.ref_kind)
			continue;
		if (sv_is(t->list->name, craft_text(c, c->entry[i].name))) {
			t->ref = i;
			return true;
		}
		near_offer(&near, t->list->name, craft_text(c, c->entry[i].name));
	}
	type_fail(p, t->list, D_ENTRY_UNKNOWN, type_copy(p, t->list->name), NULL, NULL);
	diag_near(p->diags, &near);
	return false;
}

static const struct { const char *name; enum op op; uint8_t least, most; } built_in[] = {
	{"abs", OP_ABS, 1, 1}, {"least", OP_LEAST, 2, 8}, {"greatest", OP_GREATEST, 2, 8},
	{"round", OP_ROUND, 2, 2}, {"floor", OP_FLOOR, 2, 2}, {"ceil", OP_CEIL, 2, 2},
};

static uint32_t
count_list(const struct tree *list)
{
	uint32_t n = 0;

	for (; list != NULL; list = list->next)
		n++;
	return n;
}

static bool
type_built_in(struct parse *p, struct tree *t, size_t which)
{
	uint32_t n = count_list(t->list);

	if (n < built_in[which].least || n > built_in[which].most)
		return type_fail(p, t, D_ARGUMENTS_NUMBER, type_copy(p, t->name),
		    built_in[which].least == 1 ? "one" : "two", NULL);
	t->op = built_in[which].op;
	for (struct tree *a = t->list; a != NULL; a = a->next)
		if (!want(p, a, TYPE_QUANTITY, "a quantity") || !same_dim(p, t, t->list, a))
			return false;
	t->is = t->list->is;
	t->ref = NONE;
	return true;
}

static bool
type_formula(struct parse *p, struct tree *t, uint32_t f)
{
	const struct craft *c = p->craft;
	const struct formula *g = &c->formula[f];
	uint32_t i = 0;

	t->op = OP_CALL;
	t->ref = f;
	if (count_list(t->list) != g->n_parameters) {
		struct buf b = {0};

		buf_print(&b, "%u", g->n_parameters);
		type_fail(p, t, D_ARGUMENTS_NUMBER, type_copy(p, t->name), arena_text(p->arena, b.p, b.n), NULL);
		buf_free(&b);
		return false;
	}
	for (struct tree *a = t->list; a != NULL; a = a->next, i++) {
		const struct parameter *q = &c->parameter[g->first_parameter + i];
		struct kindred wanted = {.type = TYPE_QUANTITY, .dim = q->dim, .property = NONE};

		if (!want(p, a, TYPE_QUANTITY, "a quantity"))
			return false;
		if (!dim_eq(a->is.dim, q->dim))
			return type_fail(p, a, D_ARGUMENT_DIMENSION, craft_text(c, q->name),
			    type_named(p, &wanted), type_named(p, &a->is));
	}
	t->is = (struct kindred){.type = TYPE_QUANTITY, .property = NONE};
	if (g->unit != NONE)
		t->is.dim = c->unit[g->unit].dim;
	return true;
}

static bool
type_table(struct parse *p, struct tree *t, uint32_t f)
{
	const struct table *g = &p->craft->table[f];
	struct kindred wanted = {.type = TYPE_QUANTITY, .dim = g->from, .property = NONE};

	t->op = OP_TABLE;
	t->ref = f;
	if (count_list(t->list) != 1)
		return type_fail(p, t, D_ARGUMENTS_NUMBER, type_copy(p, t->name), "one", NULL);
	if (g->by_word) {
		if (t->list->is.bare && !type_word_side(p, t->list, g->word_set))
			return false;
		if (!want(p, t->list, TYPE_WORDS, "a word"))
			return false;
		if (t->list->is.word_set != g->word_set)
			return type_fail(p, t, D_TYPE_WRONG, type_named(p, &t->list->is),
			    craft_text(p->craft, p->craft->word_set[g->word_set].name), NULL);
	} else {
		if (!want(p, t->list, TYPE_QUANTITY, "a quantity"))
			return false;
		if (!dim_eq(t->list->is.dim, g->from))
			return type_fail(p, t->list, D_ARGUMENT_DIMENSION, type_copy(p, t->name),
			    type_named(p, &wanted), type_named(p, &t->list->is));
	}
	t->is = (struct kindred){.type = g->result_band ? TYPE_BAND : TYPE_QUANTITY, .dim = g->to,
	    .property = NONE};
	return true;
}

static bool
type_call(struct parse *p, struct tree *t)
{
	struct near near = {0};
	uint32_t f;

	for (struct tree *a = t->list; a != NULL; a = a->next)
		if (!type_of(p, a))
			return false;
	for (size_t i = 0; i < sizeof built_in / sizeof *built_in; i++) {
		if (sv_is(t->name, built_in[i].name))
			return type_built_in(p, t, i);
		near_offer(&near, t->name, built_in[i].name);
	}
	if ((f = formula_named(p->craft, t->name)) != NONE)
		return type_formula(p, t, f);
	if ((f = table_named(p->craft, t->name)) != NONE)
		return type_table(p, t, f);
	for (uint32_t i = 0; i < p->craft->n_formula; i++)
		near_offer(&near, t->name, craft_text(p->craft, p->craft->formula[i].name));
	for (uint32_t i = 0; i < p->craft->n_table; i++)
		near_offer(&near, t->name, craft_text(p->craft, p->craft->table[i].name));
	type_fail(p, t, D_CALL_UNKNOWN, type_copy(p, t->name), NULL, NULL);
	diag_near(p->diags, &near);
	return false;
}

/* The property by which objects of KIND refer to one of TO. */
static bool
referring_property(struct parse *p, struct tree *t, uint16_t kind, uint16_t to)
{
	const struct craft *c = p->craft;
	const struct kind *k = &c->kind[kind];
	uint32_t found = NONE, many = 0;

	for (uint32_t i = 0; i < k->n_properties; i++) {
		const struct property *q = &c->property[k->first_property + i];

		if (q->type != TYPE_REF || q->ref_kind != to)
			continue;
		if (t->by.n > 0) {             /* which of its references is meant is written */
			if (!sv_is(t->by, craft_text(c, q->name)))
				continue;
			t->of_property = (uint16_t)(k->first_property + i);
			return true;
		}
		many++;
		if (found == NONE || sv_is(sv(craft_text(c, q->name)), craft_text(c, c->kind[to].name)))
			found = k->first_property + i;
	}
	if (found == NONE || (many > 1
	    && !sv_is(sv(craft_text(c, c->property[found].name)), craft_text(c, c->kind[to].name))))
		return type_fail(p, t, D_GATHER_OF, craft_text(c, k->plural), craft_text(c, c->kind[to].name),
		    NULL);
	t->of_property = (uint16_t)found;
	return true;
}

enum { ANY, EVERY, COUNT, SUM, LEAST, GREATEST };

static bool
gather_body(struct parse *p, struct tree *t)
{
	struct tree *where = t->kid[1], *body = t->kid[2];

	if (where != NULL && (!type_of(p, where) || !want(p, where, TYPE_TRUTH, "a condition")))
		return false;
	if (body != NULL && !type_of(p, body))
		return false;
	t->is = (struct kindred){.type = TYPE_QUANTITY, .property = NONE};
	switch (t->num) {
	case ANY:
	case EVERY:
		t->is.type = TYPE_TRUTH;
		if (body == NULL && (t->num == EVERY || where == NULL))
			return type_fail(p, t, D_GATHER_BODY, "a condition in brackets", NULL, NULL);
		return body == NULL || want(p, body, TYPE_TRUTH, "a condition");
	case COUNT:
		return body == NULL || type_fail(p, t, D_GATHER_BODY,
		    "no brackets after count; use where (...)", NULL, NULL);
	default:
		if (body == NULL)
			return type_fail(p, t, D_GATHER_BODY, "a quantity in brackets", NULL, NULL);
		if (!want(p, body, TYPE_QUANTITY, "a quantity"))
			return false;
		t->is = body->is;
		return true;
	}
}

static bool
type_gather(struct parse *p, struct tree *t)
{
	uint32_t kind = kind_find(p->craft, t->name);
	bool ok;

	if (kind == NONE) {
		struct near near = {0};

		for (uint32_t i = 0; i < p->craft->n_kind; i++)
			near_offer(&near, t->name, craft_text(p->craft, p->craft->kind[i].name));
		type_fail(p, t, D_KIND_UNKNOWN, type_copy(p, t->name), NULL, NULL);
		diag_near(p->diags, &near);
		return false;
	}
	t->ref = kind;
	t->of_property = NO16;
	if (t->kid[0] != NULL) {
		struct kindred is;

		if (!type_path(p, t->kid[0], &t->of_reg, &t->of_path, &is))
			return false;
		if (is.type != TYPE_REF)
			return type_fail(p, t->kid[0], D_TYPE_WRONG, type_named(p, &is), "an object", NULL);
		if (!referring_property(p, t, (uint16_t)kind, is.ref_kind))
			return false;
	}
	if (p->n_variables == VARIABLES_MAX || ++p->gathers > GATHERS_MAX)
		return type_fail(p, t, D_GATHER_TOO_DEEP, NULL, NULL, NULL);
	t->reg = (uint8_t)p->n_variables;
	p->variable_kind[p->n_variables] = (uint16_t)kind;
	p->variable_name[p->n_variables++] = t->name;
	ok = gather_body(p, t);
	p->n_variables--;
	p->gathers--;
	return ok;
}

static bool
type_if(struct parse *p, struct tree *t)
{
	struct tree *c = t->kid[0], *a = t->kid[1], *b = t->kid[2];

	if (!type_of(p, c) || !want(p, c, TYPE_TRUTH, "a condition") || !type_of(p, a) || !type_of(p, b))
		return false;
	if (a->is.bare && !b->is.bare && b->is.type == TYPE_WORDS && !type_word_side(p, a, b->is.word_set))
		return false;
	if (b->is.bare && !a->is.bare && a->is.type == TYPE_WORDS && !type_word_side(p, b, a->is.word_set))
		return false;
	if (a->is.type != b->is.type || a->is.type == TYPE_REF)
		return type_fail(p, t, D_BRANCHES_DIFFER, type_named(p, &a->is), type_named(p, &b->is), NULL);
	if (a->is.type == TYPE_WORDS && a->is.bare && b->is.bare) {
		if (p->scope->for_property == NONE)
			return want(p, a, TYPE_QUANTITY, "a quantity");
		uint16_t set = p->craft->property[p->scope->for_property].word_set;
		if (!type_word_side(p, a, set) || !type_word_side(p, b, set))
			return false;
	}
	t->is = a->is;
	if (t->is.property == NONE)
		t->is.property = b->is.property;
	if (a->is.type == TYPE_WORDS && a->is.word_set != b->is.word_set)
		return type_fail(p, t, D_BRANCHES_DIFFER, type_named(p, &a->is), type_named(p, &b->is), NULL);
	return a->is.type != TYPE_QUANTITY || same_dim(p, t, a, b);
}

static bool
type_let(struct parse *p, struct tree *t)
{
	bool ok;

	if (!type_of(p, t->kid[0]))
		return false;
	if (t->kid[0]->is.bare)
		return want(p, t->kid[0], TYPE_QUANTITY, "a quantity");
	if (p->n_locals == LOCALS_MAX)
		return type_fail(p, t, D_GATHER_TOO_DEEP, NULL, NULL, NULL);
	t->ref = p->n_locals;
	p->local_name[p->n_locals] = t->name;
	p->local_is[p->n_locals++] = t->kid[0]->is;
	ok = type_of(p, t->kid[1]);
	p->n_locals--;
	t->is = t->kid[1]->is;
	return ok;
}

static bool
type_number(struct parse *p, struct tree *t)
{
	const struct unit *u;
	double base;

	t->is = (struct kindred){.type = TYPE_QUANTITY, .property = NONE};
	if (t->unit < 0)
		return true;
	u = &p->craft->units->u[t->unit];
	if (!unit_to_base(u, t->number, &base))
		return type_fail(p, t, D_NUMBER_OFF_LADDER, u->name, NULL, NULL);
	t->number = base;
	t->is.dim = u->dim;
	return true;
}

static bool
type_membership(struct parse *p, struct tree *t)
{
	struct tree *a = t->kid[0], *b = t->kid[1], *c = t->kid[2];

	t->is = (struct kindred){.type = TYPE_TRUTH, .property = NONE, .step = a->is.step};
	if (t->type == TREE_IN_WORDS)
		return want(p, a, TYPE_WORDS, "a word") && type_words(p, t->list, a->is.word_set, false, t->set);
	if (!want(p, a, TYPE_QUANTITY, "a quantity") || !type_of(p, b))
		return false;
	if (t->type == TREE_IN_BAND)
		return want(p, b, TYPE_BAND, "a band, or low .. high") && same_dim(p, t, a, b);
	return want(p, b, TYPE_QUANTITY, "a quantity") && type_of(p, c) && want(p, c, TYPE_QUANTITY,
	    "a quantity")
	    && same_dim(p, t, a, b) && same_dim(p, t, a, c);
}

static bool
type_of(struct parse *p, struct tree *t)
{
	const struct unit *u;

	switch (t->type) {
	case TREE_NUMBER:
		return type_number(p, t);
	case TREE_NAME:
		return type_name(p, t);
	case TREE_QUOTED:
		t->is = (struct kindred){.type = TYPE_WORDS, .bare = true, .property = NONE};
		return true;
	case TREE_PATH:
		return type_path(p, t, &t->reg, &t->path, &t->is);
	case TREE_HAS:
		t->is = (struct kindred){.type = TYPE_TRUTH, .property = NONE};
		{
			struct kindred ignored;
			return type_path(p, t, &t->reg, &t->path, &ignored);
		}
	case TREE_BINARY:
		if (!type_of(p, t->kid[0]) || !type_of(p, t->kid[1]))
			return false;
		if (t->op == OP_AND || t->op == OP_OR) {
			t->is = (struct kindred){.type = TYPE_TRUTH, .property = NONE};
			return want(p, t->kid[0], TYPE_TRUTH, "a condition")
			    && want(p, t->kid[1], TYPE_TRUTH, "a condition");
		}
		return type_arithmetic(p, t);
	case TREE_NEG:
		if (!type_of(p, t->kid[0]) || !want(p, t->kid[0], TYPE_QUANTITY, "a quantity"))
			return false;
		t->is = t->kid[0]->is;
		return true;
	case TREE_NOT:
		t->is = (struct kindred){.type = TYPE_TRUTH, .property = NONE};
		return type_of(p, t->kid[0]) && want(p, t->kid[0], TYPE_TRUTH, "a condition");
	case TREE_POWER:
		if (!type_of(p, t->kid[0]) || !want(p, t->kid[0], TYPE_QUANTITY, "a quantity"))
			return false;
		t->is = (struct kindred){.type = TYPE_QUANTITY, .property = NONE};
		return dim_pow(t->kid[0]->is.dim, t->num, t->den, &t->is.dim)
		    || type_fail(p, t, D_EXPONENT, NULL, NULL, NULL);
	case TREE_BARE:
		if (!type_of(p, t->kid[0]) || !want(p, t->kid[0], TYPE_QUANTITY, "a quantity"))
			return false;
		u = &p->craft->units->u[t->unit];
		t->is = (struct kindred){.type = TYPE_QUANTITY, .property = NONE};
		return dim_eq(u->dim, t->kid[0]->is.dim)
		    || type_fail(p, t, D_UNIT_DIMENSION, u->name, type_named(p, &t->kid[0]->is), NULL);
	case TREE_COMPARE:
		return type_of(p, t->kid[0]) && type_of(p, t->kid[1]) && type_compare(p, t);
	case TREE_IN_WORDS:
	case TREE_IN_BAND:
	case TREE_BETWEEN:
		return type_of(p, t->kid[0]) && type_membership(p, t);
	case TREE_IS:
		return type_of(p, t->kid[0]) && type_is(p, t);
	case TREE_CALL:
		return type_call(p, t);
	case TREE_GATHER:
		return type_gather(p, t);
	case TREE_IF:
		return type_if(p, t);
	case TREE_LET:
		return type_let(p, t);
	case TREE_LOCAL:
	case TREE_PARAMETER:
	case TREE_CONSTANT:
	case TREE_WORDS:
		return true;
	case TREE__COUNT:
		break;
	}
	return false;
}

bool
type_tree(struct parse *p, struct tree *t, const struct expected *e)
{
	struct kindred wanted;

	p->n_variables = p->scope->n_variables;
	for (uint32_t i = 0; i < p->scope->n_variables; i++) {
		uint16_t k = p->scope->variable_kind[i];

		p->variable_kind[i] = k;
		p->variable_name[i] = p->scope->variable_name[i] != NULL ? sv(p->scope->variable_name[i])
		    : k != NO16 ? sv(craft_text(p->craft, p->craft->kind[k].name)) : sv("");
	}
	p->n_locals = p->gathers = 0;
	if (!type_of(p, t))
		return false;
	if (t->is.bare && e != NULL && e->type == TYPE_WORDS && !type_word_side(p, t, e->word_set))
		return false;
	if (e == NULL)
		return !t->is.bare || want(p, t, TYPE_QUANTITY, "a path or a quantity");
	wanted = (struct kindred){.type = e->type, .dim = e->dim, .word_set = e->word_set,
	    .property = NONE};
	if (t->is.type != e->type || t->is.bare)
		return want(p, t, (enum value_type)e->type, type_named(p, &wanted));
	if (e->type == TYPE_QUANTITY && !e->any_dim && !dim_eq(e->dim, t->is.dim))
		return type_fail(p, t, D_TYPE_WRONG, type_named(p, &t->is), type_named(p, &wanted), NULL);
	if (e->type == TYPE_WORDS && e->word_set != t->is.word_set)
		return type_fail(p, t, D_TYPE_WRONG, type_named(p, &t->is), type_named(p, &wanted), NULL);
	return true;
}
