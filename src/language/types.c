/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Names and types: what every part of a tree refers to, and whether the parts
 * fit together.
 *
 * A bare word has no type of its own; it takes the word set of the other side
 * of its comparison. Everything else is known from its leaves upward.
 */
#include "language/language_impl.h"

static bool type_of(struct parse *, struct tree *);

static const char *
copy(struct parse *p, strview s)
{
	return arena_text(p->arena, s.p, s.n);
}

static struct place
place_of(const struct parse *p, const struct tree *t)
{
	return parse_place(p, t->at, t->n);
}

static bool
fail(struct parse *p, const struct tree *t, enum diag_id id, const char *a, const char *b, const char *c)
{
	if (!p->failed)
		diag(p->diags, place_of(p, t), id, a, b, c);
	p->failed = true;
	return false;
}

static const char *
type_words_for(struct parse *p, const struct kindred *k)
{
	struct buf b = {0};
	const char *s;

	switch ((enum value_type)k->type) {
	case TYPE_QUANTITY:
		buf_str(&b, "a quantity of ");
		dim_print(&b, k->dim);
		break;
	case TYPE_WORDS:
		buf_str(&b, k->bare ? "a word" : "one of the words of ");
		if (!k->bare)
			buf_str(&b, craft_text(p->craft, p->craft->word_set[k->word_set].name));
		break;
	case TYPE_REF:
		buf_str(&b, "an object");
		break;
	case TYPE_BAND:
		buf_str(&b, "a band of ");
		dim_print(&b, k->dim);
		break;
	case TYPE_TRUTH:
		buf_str(&b, "a condition");
		break;
	case TYPE__COUNT:
		break;
	}
	s = arena_text(p->arena, b.p, b.n);
	buf_free(&b);
	return s;
}

/* ---- words --------------------------------------------------------------- */

static uint32_t
word_number(const struct craft *c, const struct word_set *s, strview name)
{
	for (uint32_t i = 0; i < s->n; i++) {
		const char *w = craft_text(c, c->word[s->first + i].name);
		size_t n = strlen(w), j;

		if (n != name.n)
			continue;
		for (j = 0; j < n; j++)     /* "semi-sheer" also for "semi sheer" */
			if (w[j] != name.p[j] && !(w[j] == ' ' && name.p[j] == '-'))
				break;
		if (j == n)
			return i;
	}
	return NONE;
}

bool
type_words(struct parse *p, struct tree *list, uint16_t set, bool narrower, uint64_t out[2])
{
	const struct craft *c = p->craft;
	const struct word_set *s = &c->word_set[set];

	out[0] = out[1] = 0;
	for (struct tree *w = list; w != NULL; w = w->next) {
		uint32_t n = word_number(c, s, w->name);

		if (n == NONE) {
			struct near near = {0};

			fail(p, w, D_WORD_UNKNOWN, copy(p, w->name), craft_text(c, s->name), NULL);
			for (uint32_t i = 0; i < s->n; i++)
				near_offer(&near, w->name, craft_text(c, c->word[s->first + i].name));
			diag_near(p->diags, &near);
			return false;
		}
		mask_add(out, n);
		if (!narrower || c->word[s->first + n].entry == NONE)
			continue;
		for (uint32_t i = 0; i < s->n; i++)
			if (c->word[s->first + i].entry != NONE
			    && entry_is(c, c->word[s->first + i].entry, c->word[s->first + n].entry))
				mask_add(out, i);
	}
	return true;
}

static bool
word_side(struct parse *p, struct tree *t, uint16_t set)
{
	if (t->type != TREE_NAME && t->type != TREE_QUOTED)
		return true;
	struct tree *next = t->next;
	bool ok;

	t->next = NULL;
	ok = type_words(p, t, set, false, t->set);
	t->next = next;
	t->type = TREE_WORDS;
	t->is = (struct kindred){.type = TYPE_WORDS, .word_set = set, .property = NONE};
	return ok;
}

/* ---- names and paths ------------------------------------------------------- */

static bool
variable(struct parse *p, strview name, uint8_t *reg, uint16_t *kind)
{
	const struct craft *c = p->craft;

	for (uint32_t i = p->n_variables; i-- > 0;)
		if (p->variable_kind[i] != NO16 && sv_eq(p->variable_name[i], name)) {
			*reg = (uint8_t)i;
			*kind = p->variable_kind[i];
			return true;
		}
	for (uint32_t i = 0; i < c->n_kind; i++)
		if (c->kind[i].singleton && sv_is(name, craft_text(c, c->kind[i].name))) {
			*reg = VARIABLE_ONE;
			*kind = (uint16_t)i;
			return true;
		}
	return false;
}

static void
offer_variables(struct parse *p, strview name)
{
	struct near near = {0};

	for (uint32_t i = 0; i < p->n_variables; i++)
		near_offer(&near, name, copy(p, p->variable_name[i]));
	for (uint32_t i = 0; i < p->craft->n_kind; i++)
		if (p->craft->kind[i].singleton)
			near_offer(&near, name, craft_text(p->craft, p->craft->kind[i].name));
	diag_near(p->diags, &near);
}

/* The longest property of KIND that REST begins with; REST moves past it. */
static uint32_t
longest_property(const struct craft *c, uint16_t kind, strview *rest)
{
	strview try = *rest;

	for (;;) {
		uint32_t q = property_find(c, kind, try);

		if (q != NONE) {
			size_t used = try.n < rest->n ? try.n + 1 : try.n;
			rest->p += used;
			rest->n -= used;
			return q;
		}
		while (try.n > 0 && try.p[try.n - 1] != '.')
			try.n--;
		if (try.n == 0)
			return NONE;
		try.n--;
	}
}

static bool
resolve_path(struct parse *p, struct tree *t, uint8_t *reg, struct path *path, struct kindred *is)
{
	const struct craft *c = p->craft;
	const char *dot = memchr(t->name.p, '.', t->name.n);
	strview root = {t->name.p, dot != NULL ? (size_t)(dot - t->name.p) : t->name.n};
	strview rest = {dot != NULL ? dot + 1 : root.p + root.n, dot != NULL ? t->name.n - root.n - 1 : 0};
	uint16_t kind;
	uint32_t q = NONE;

	*path = (struct path){.root = NO16, .prop = {NO16, NO16, NO16, NO16}};
	if (!variable(p, root, reg, &kind)) {
		fail(p, t, D_VARIABLE_UNKNOWN, copy(p, root), NULL, NULL);
		offer_variables(p, root);
		return false;
	}
	path->root = kind;
	*is = (struct kindred){.type = TYPE_REF, .ref_kind = kind, .property = NONE};
	while (rest.n > 0) {
		if (q != NONE && c->property[q].type != TYPE_REF)
			return fail(p, t, D_PATH_THROUGH_VALUE, craft_text(c, c->property[q].name),
			    copy(p, rest), NULL);
		strview before = rest;
		q = longest_property(c, kind, &rest);
		if (q == NONE) {
			struct near near = {0};
			const struct kind *k = &c->kind[kind];

			fail(p, t, D_PROPERTY_UNKNOWN, craft_text(c, k->name), copy(p, before), NULL);
			for (uint32_t i = 0; i < k->n_properties; i++)
				near_offer(&near, before, craft_text(c, c->property[k->first_property + i].name));
			diag_near(p->diags, &near);
			return false;
		}
		if (path->n == 4)
			return fail(p, t, D_PATH_TOO_LONG, NULL, NULL, NULL);
		path->prop[path->n++] = (uint16_t)q;
		kind = c->property[q].ref_kind;
	}
	if (q != NONE) {
		const struct property *r = &c->property[q];

		*is = (struct kindred){.type = r->type, .dim = r->dim, .word_set = r->word_set,
		    .ref_kind = r->ref_kind, .property = q, .step = r->step};
	}
	return true;
}

static uint32_t
formula_find(const struct craft *c, strview name)
{
	for (uint32_t i = 0; i < c->n_formula; i++)
		if (sv_is(name, craft_text(c, c->formula[i].name)))
			return i;
	return NONE;
}

static uint32_t
table_find(const struct craft *c, strview name)
{
	for (uint32_t i = 0; i < c->n_table; i++)
		if (sv_is(name, craft_text(c, c->table[i].name)))
			return i;
	return NONE;
}

static bool
type_name(struct parse *p, struct tree *t)
{
	const struct craft *c = p->craft;
	uint16_t kind;
	uint32_t f;

	for (uint32_t i = p->n_locals; i-- > 0;)
		if (sv_eq(p->local_name[i], t->name)) {
			t->type = TREE_LOCAL;
			t->ref = i;
			t->is = p->local_is[i];
			return true;
		}
	if (p->scope->formula != NONE) {
		const struct formula *g = &c->formula[p->scope->formula];

		for (uint32_t i = 0; i < g->n_parameters; i++) {
			const struct parameter *q = &c->parameter[g->first_parameter + i];
			if (sv_is(t->name, craft_text(c, q->name))) {
				t->type = TREE_PARAMETER;
				t->ref = i;
				t->is = (struct kindred){.type = TYPE_QUANTITY, .dim = q->dim, .property = NONE};
				return true;
			}
		}
	}
	if (variable(p, t->name, &t->reg, &kind)) {
		t->type = TREE_PATH;
		return resolve_path(p, t, &t->reg, &t->path, &t->is);
	}
	if (sv_is(t->name, "pi")) {
		t->type = TREE_NUMBER;
		t->number = 3.14159265358979323846;
		t->is = (struct kindred){.type = TYPE_QUANTITY, .property = NONE};
		return true;
	}
	f = formula_find(c, t->name);
	if (f != NONE && c->formula[f].n_parameters == 0) {
		t->type = TREE_CONSTANT;
		t->ref = f;
		t->is = (struct kindred){.type = TYPE_QUANTITY, .property = NONE};
		if (c->formula[f].body != NONE)
			t->is.dim = c->program[c->formula[f].body].dim;
		else if (c->formula[f].unit != NONE)
			t->is.dim = c->unit[c->formula[f].unit].dim;
		return true;
	}
	t->is = (struct kindred){.type = TYPE_WORDS, .bare = true, .property = NONE};
	return true;
}

/* ---- expressions --------------------------------------------------------------- */

static bool
want(struct parse *p, struct tree *t, enum value_type type, const char *what)
{
	if (t->is.type == type && !t->is.bare)
		return true;
	if (t->is.bare) {
		fail(p, t, D_NAME_UNKNOWN, copy(p, t->name), what, NULL);
		offer_variables(p, t->name);
		return false;
	}
	return fail(p, t, D_TYPE_WRONG, type_words_for(p, &t->is), what, NULL);
}

static bool
same_dim(struct parse *p, struct tree *t, struct tree *a, struct tree *b)
{
	if (dim_eq(a->is.dim, b->is.dim))
		return true;
	return fail(p, t, D_DIMENSIONS_DIFFER, type_words_for(p, &a->is), type_words_for(p, &b->is), NULL);
}

static bool
type_arithmetic(struct parse *p, struct tree *t)
{
	struct tree *a = t->kid[0], *b = t->kid[1];

	if (a->is.type == TYPE_BAND || b->is.type == TYPE_BAND)
		return fail(p, t, D_BAND_ARITHMETIC, NULL, NULL, NULL);
	if (!want(p, a, TYPE_QUANTITY, "a quantity") || !want(p, b, TYPE_QUANTITY, "a quantity"))
		return false;
	t->is = (struct kindred){.type = TYPE_QUANTITY, .dim = a->is.dim, .property = NONE};
	if (t->op == OP_ADD || t->op == OP_SUB) {
		t->is.property = a->is.property != NONE ? a->is.property : b->is.property;
		return same_dim(p, t, a, b);
	}
	if (!(t->op == OP_MUL ? dim_mul(a->is.dim, b->is.dim, &t->is.dim)
		: dim_div(a->is.dim, b->is.dim, &t->is.dim)))
		return fail(p, t, D_DIMENSION_TOO_LARGE, NULL, NULL, NULL);
	if (a->is.property != NONE && dim_eq(t->is.dim, a->is.dim))
		t->is.property = a->is.property;
	else if (t->op == OP_MUL && b->is.property != NONE && dim_eq(t->is.dim, b->is.dim))
		t->is.property = b->is.property;
	return true;
}

static bool
type_compare(struct parse *p, struct tree *t)
{
	struct tree *a = t->kid[0], *b = t->kid[1];

	t->is = (struct kindred){.type = TYPE_TRUTH, .property = NONE};
	if (a->is.bare && b->is.bare)
		return want(p, a, TYPE_QUANTITY, "a path or a quantity on one side");
	if (a->is.type == TYPE_BAND || b->is.type == TYPE_BAND)
		return fail(p, t, D_BAND_COMPARED, NULL, NULL, NULL);
	if (a->is.type == TYPE_WORDS || b->is.type == TYPE_WORDS) {
		struct tree *sure = a->is.bare ? b : a, *other = a->is.bare ? a : b;
		const struct word_set *s;

		if (!want(p, sure, TYPE_WORDS, "a word"))
			return false;
		if (other->is.bare && !word_side(p, other, sure->is.word_set))
			return false;
		if (!want(p, other, TYPE_WORDS, "a word"))
			return false;
		if (sure->is.word_set != other->is.word_set)
			return fail(p, t, D_WORDS_DIFFER, type_words_for(p, &a->is),
			    type_words_for(p, &b->is), NULL);
		s = &p->craft->word_set[sure->is.word_set];
		if (!s->ordered && t->op != OP_EQ && t->op != OP_NE)
			return fail(p, t, D_WORDS_UNORDERED, craft_text(p->craft, s->name), NULL, NULL);
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
		return fail(p, t, D_IS_ONE_ENTRY, NULL, NULL, NULL);
	for (uint32_t i = 0; i < c->n_entry; i++) {
		if (c->entry_kind[c->entry[i].kind].object_kind != a->is.ref_kind)
			continue;
		if (sv_is(t->list->name, craft_text(c, c->entry[i].name))) {
			t->ref = i;
			return true;
		}
		near_offer(&near, t->list->name, craft_text(c, c->entry[i].name));
	}
	fail(p, t->list, D_ENTRY_UNKNOWN, copy(p, t->list->name), NULL, NULL);
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
		return fail(p, t, D_ARGUMENTS_NUMBER, copy(p, t->name),
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
		fail(p, t, D_ARGUMENTS_NUMBER, copy(p, t->name), arena_text(p->arena, b.p, b.n), NULL);
		buf_free(&b);
		return false;
	}
	for (struct tree *a = t->list; a != NULL; a = a->next, i++) {
		const struct parameter *q = &c->parameter[g->first_parameter + i];
		struct kindred wanted = {.type = TYPE_QUANTITY, .dim = q->dim, .property = NONE};

		if (!want(p, a, TYPE_QUANTITY, "a quantity"))
			return false;
		if (!dim_eq(a->is.dim, q->dim))
			return fail(p, a, D_ARGUMENT_DIMENSION, craft_text(c, q->name),
			    type_words_for(p, &wanted), type_words_for(p, &a->is));
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
		return fail(p, t, D_ARGUMENTS_NUMBER, copy(p, t->name), "one", NULL);
	if (g->by_word) {
		if (t->list->is.bare && !word_side(p, t->list, g->word_set))
			return false;
		if (!want(p, t->list, TYPE_WORDS, "a word"))
			return false;
		if (t->list->is.word_set != g->word_set)
			return fail(p, t, D_TYPE_WRONG, type_words_for(p, &t->list->is),
			    craft_text(p->craft, p->craft->word_set[g->word_set].name), NULL);
	} else {
		if (!want(p, t->list, TYPE_QUANTITY, "a quantity"))
			return false;
		if (!dim_eq(t->list->is.dim, g->from))
			return fail(p, t->list, D_ARGUMENT_DIMENSION, copy(p, t->name),
			    type_words_for(p, &wanted), type_words_for(p, &t->list->is));
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
	if ((f = formula_find(p->craft, t->name)) != NONE)
		return type_formula(p, t, f);
	if ((f = table_find(p->craft, t->name)) != NONE)
		return type_table(p, t, f);
	for (uint32_t i = 0; i < p->craft->n_formula; i++)
		near_offer(&near, t->name, craft_text(p->craft, p->craft->formula[i].name));
	for (uint32_t i = 0; i < p->craft->n_table; i++)
		near_offer(&near, t->name, craft_text(p->craft, p->craft->table[i].name));
	fail(p, t, D_CALL_UNKNOWN, copy(p, t->name), NULL, NULL);
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
		many++;
		if (found == NONE || sv_is(sv(craft_text(c, q->name)), craft_text(c, c->kind[to].name)))
			found = k->first_property + i;
	}
	if (found == NONE || (many > 1
	    && !sv_is(sv(craft_text(c, c->property[found].name)), craft_text(c, c->kind[to].name))))
		return fail(p, t, D_GATHER_OF, craft_text(c, k->plural), craft_text(c, c->kind[to].name), NULL);
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
			return fail(p, t, D_GATHER_BODY, "a condition in brackets", NULL, NULL);
		return body == NULL || want(p, body, TYPE_TRUTH, "a condition");
	case COUNT:
		return body == NULL || fail(p, t, D_GATHER_BODY, "no brackets after count; use where (...)", NULL, NULL);
	default:
		if (body == NULL)
			return fail(p, t, D_GATHER_BODY, "a quantity in brackets", NULL, NULL);
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
		fail(p, t, D_KIND_UNKNOWN, copy(p, t->name), NULL, NULL);
		diag_near(p->diags, &near);
		return false;
	}
	t->ref = kind;
	t->of_property = NO16;
	if (t->kid[0] != NULL) {
		struct kindred is;

		if (!resolve_path(p, t->kid[0], &t->of_reg, &t->of_path, &is))
			return false;
		if (is.type != TYPE_REF)
			return fail(p, t->kid[0], D_TYPE_WRONG, type_words_for(p, &is), "an object", NULL);
		if (!referring_property(p, t, (uint16_t)kind, is.ref_kind))
			return false;
	}
	if (p->n_variables == VARIABLES_MAX || ++p->gathers > GATHERS_MAX)
		return fail(p, t, D_GATHER_TOO_DEEP, NULL, NULL, NULL);
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
	if (a->is.bare && !b->is.bare && b->is.type == TYPE_WORDS && !word_side(p, a, b->is.word_set))
		return false;
	if (b->is.bare && !a->is.bare && a->is.type == TYPE_WORDS && !word_side(p, b, a->is.word_set))
		return false;
	if (a->is.type != b->is.type || a->is.type == TYPE_REF)
		return fail(p, t, D_BRANCHES_DIFFER, type_words_for(p, &a->is), type_words_for(p, &b->is), NULL);
	if (a->is.type == TYPE_WORDS && a->is.bare && b->is.bare) {
		if (p->scope->for_property == NONE)
			return want(p, a, TYPE_QUANTITY, "a quantity");
		uint16_t set = p->craft->property[p->scope->for_property].word_set;
		if (!word_side(p, a, set) || !word_side(p, b, set))
			return false;
	}
	t->is = a->is;
	if (t->is.property == NONE)
		t->is.property = b->is.property;
	if (a->is.type == TYPE_WORDS && a->is.word_set != b->is.word_set)
		return fail(p, t, D_BRANCHES_DIFFER, type_words_for(p, &a->is), type_words_for(p, &b->is), NULL);
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
		return fail(p, t, D_GATHER_TOO_DEEP, NULL, NULL, NULL);
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
		return fail(p, t, D_NUMBER_OFF_LADDER, u->name, NULL, NULL);
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
	return want(p, b, TYPE_QUANTITY, "a quantity") && type_of(p, c) && want(p, c, TYPE_QUANTITY, "a quantity")
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
		return resolve_path(p, t, &t->reg, &t->path, &t->is);
	case TREE_HAS:
		t->is = (struct kindred){.type = TYPE_TRUTH, .property = NONE};
		{
			struct kindred ignored;
			return resolve_path(p, t, &t->reg, &t->path, &ignored);
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
		    || fail(p, t, D_EXPONENT, NULL, NULL, NULL);
	case TREE_BARE:
		if (!type_of(p, t->kid[0]) || !want(p, t->kid[0], TYPE_QUANTITY, "a quantity"))
			return false;
		u = &p->craft->units->u[t->unit];
		t->is = (struct kindred){.type = TYPE_QUANTITY, .property = NONE};
		return dim_eq(u->dim, t->kid[0]->is.dim)
		    || fail(p, t, D_UNIT_DIMENSION, u->name, type_words_for(p, &t->kid[0]->is), NULL);
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
	if (t->is.bare && e != NULL && e->type == TYPE_WORDS && !word_side(p, t, e->word_set))
		return false;
	if (e == NULL)
		return !t->is.bare || want(p, t, TYPE_QUANTITY, "a path or a quantity");
	wanted = (struct kindred){.type = e->type, .dim = e->dim, .word_set = e->word_set, .property = NONE};
	if (t->is.type != e->type || t->is.bare)
		return want(p, t, (enum value_type)e->type, type_words_for(p, &wanted));
	if (e->type == TYPE_QUANTITY && !e->any_dim && !dim_eq(e->dim, t->is.dim))
		return fail(p, t, D_TYPE_WRONG, type_words_for(p, &t->is), type_words_for(p, &wanted), NULL);
	if (e->type == TYPE_WORDS && e->word_set != t->is.word_set)
		return fail(p, t, D_TYPE_WRONG, type_words_for(p, &t->is), type_words_for(p, &wanted), NULL);
	return true;
}
