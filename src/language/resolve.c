/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What the names of an expression mean: words of a set, variables, paths,
 * locals, parameters and constants; and the complaints of the type pass.
 */
#include "language/language_impl.h"

enum { WORDS_SHOWN = 16 };

const char *
type_copy(struct parse *p, strview s)
{
	return arena_text(p->arena, s.p, s.n);
}

static struct place
place_of(const struct parse *p, const struct tree *t)
{
	return parse_place(p, t->at, t->n);
}

bool
type_fail(struct parse *p, const struct tree *t, enum diag_id id, const char *a, const char *b,
    const char *c)
{
	if (!p->failed)
		diag(p->diags, place_of(p, t), id, a, b, c);
	p->failed = true;
	return false;
}

const char *
type_named(struct parse *p, const struct kindred *k)
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

/* The words of a set, as many as a reader takes in. */
static const char *
words_listed(struct parse *p, const struct word_set *s)
{
	struct buf b = {0};
	const char *t;

	buf_add(&b, "", 0);
	for (uint32_t i = 0; i < s->n && i < WORDS_SHOWN; i++)
		buf_print(&b, "%s%s", i > 0 ? ", " : "",
		    craft_text(p->craft, p->craft->word[s->first + i].name));
	if (s->n > WORDS_SHOWN)
		buf_str(&b, " ...");
	t = type_copy(p, sv(b.p));
	buf_free(&b);
	return t;
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

			type_fail(p, w, D_WORD_UNKNOWN, type_copy(p, w->name), craft_text(c, s->name),
			    words_listed(p, s));
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

bool
type_word_side(struct parse *p, struct tree *t, uint16_t set)
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
type_variable(struct parse *p, strview name, uint8_t *reg, uint16_t *kind)
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

void
type_offer_variables(struct parse *p, strview name)
{
	struct near near = {0};

	for (uint32_t i = 0; i < p->n_variables; i++)
		near_offer(&near, name, type_copy(p, p->variable_name[i]));
	for (uint32_t i = 0; i < p->craft->n_kind; i++)
		if (p->craft->kind[i].singleton)
			near_offer(&near, name, craft_text(p->craft, p->craft->kind[i].name));
	diag_near(p->diags, &near);
}

/* "operation, garment and machine": what paths can begin with. */
static const char *
variables_here(struct parse *p)
{
	struct buf b = {0};
	const char *s;

	for (uint32_t i = 0; i < p->n_variables; i++)
		if (p->variable_kind[i] != NO16) {
			buf_str(&b, b.n > 0 ? ", " : "");
			buf_sv(&b, p->variable_name[i]);
		}
	for (uint32_t i = 0; i < p->craft->n_kind; i++)
		if (p->craft->kind[i].singleton) {
			buf_str(&b, b.n > 0 ? ", " : "");
			buf_str(&b, craft_text(p->craft, p->craft->kind[i].name));
		}
	s = arena_text(p->arena, b.n > 0 ? b.p : "", b.n);
	buf_free(&b);
	return s;
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

/* Does the name begin with a property of the first variable, where such names
 * need no path? */
static bool
property_bare(const struct parse *p, strview name)
{
	strview rest = name;

	return p->scope->bare_properties && p->n_variables > 0 &&
	    longest_property(p->craft, p->variable_kind[0], &rest) != NONE;
}

bool
type_path(struct parse *p, struct tree *t, uint8_t *reg, struct path *path, struct kindred *is)
{
	const struct craft *c = p->craft;
	const char *dot = memchr(t->name.p, '.', t->name.n);
	strview root = {t->name.p, dot != NULL ? (size_t)(dot - t->name.p) : t->name.n};
	strview rest = {dot != NULL ? dot + 1 : root.p + root.n, dot != NULL ? t->name.n - root.n - 1 : 0};
	uint16_t kind;
	uint32_t q = NONE;

	*path = (struct path){.root = NO16, .prop = {NO16, NO16, NO16, NO16}};
	if (property_bare(p, t->name)) {
		rest = t->name;
		*reg = 0;
		kind = p->variable_kind[0];
	} else if (!type_variable(p, root, reg, &kind)) {
		type_fail(p, t, D_VARIABLE_UNKNOWN, type_copy(p, root), variables_here(p), NULL);
		type_offer_variables(p, root);
		return false;
	}
	path->root = kind;
	*is = (struct kindred){.type = TYPE_REF, .ref_kind = kind, .property = NONE};
	while (rest.n > 0) {
		if (q != NONE && c->property[q].type != TYPE_REF)
			return type_fail(p, t, D_PATH_THROUGH_VALUE, craft_text(c, c->property[q].name),
			    type_copy(p, rest), NULL);
		strview before = rest;
		q = longest_property(c, kind, &rest);
		if (q == NONE) {
			struct near near = {0};
			const struct kind *k = &c->kind[kind];

			type_fail(p, t, D_PROPERTY_UNKNOWN, craft_text(c, k->name), type_copy(p, before), NULL);
			for (uint32_t i = 0; i < k->n_properties; i++)
				near_offer(&near, before, craft_text(c, c->property[k->first_property + i].name));
			diag_near(p->diags, &near);
			return false;
		}
		if (path->n == 4)
			return type_fail(p, t, D_PATH_TOO_LONG, NULL, NULL, NULL);
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

uint32_t
formula_named(const struct craft *c, strview name)
{
	for (uint32_t i = 0; i < c->n_formula; i++)
		if (sv_is(name, craft_text(c, c->formula[i].name)))
			return i;
	return NONE;
}

uint32_t
table_named(const struct craft *c, strview name)
{
	for (uint32_t i = 0; i < c->n_table; i++)
		if (sv_is(name, craft_text(c, c->table[i].name)))
			return i;
	return NONE;
}

/* Is it the beginning of a word of any set? (a name with blanks is read as it goes) */
static bool
some_word(const struct craft *c, strview name)
{
	for (uint32_t i = 0; i < c->n_word; i++) {
		const char *w = craft_text(c, c->word[i].name);

		if (strncmp(w, name.p, name.n) == 0 && (w[name.n] == '\0' || w[name.n] == ' '))
			return true;
	}
	return false;
}

bool
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
	if (property_bare(p, t->name) || type_variable(p, t->name, &t->reg, &kind)) {
		t->type = TREE_PATH;
		return type_path(p, t, &t->reg, &t->path, &t->is);
	}
	if (sv_is(t->name, "pi")) {
		t->type = TREE_NUMBER;
		t->number = 3.14159265358979323846;
		t->is = (struct kindred){.type = TYPE_QUANTITY, .property = NONE};
		return true;
	}
	f = formula_named(c, t->name);
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
	if (p->scope->bare_properties && !some_word(c, t->name)) {
		const struct kind *k = &c->kind[p->variable_kind[0]];
		struct near near = {0};

		type_fail(p, t, D_PROPERTY_UNKNOWN, craft_text(c, k->name), type_copy(p, t->name), NULL);
		for (uint32_t i = 0; i < k->n_properties; i++)
			near_offer(&near, t->name, craft_text(c, c->property[k->first_property + i].name));
		for (uint32_t i = 0; i < c->n_word; i++)       /* or it was meant for a word */
			if (c->word[i].entry == NONE)
				near_offer(&near, t->name, craft_text(c, c->word[i].name));
		diag_near(p->diags, &near);
		return false;
	}
	t->is = (struct kindred){.type = TYPE_WORDS, .bare = true, .property = NONE};
	return true;
}

