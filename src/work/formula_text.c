/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A formula of the schema put into the words of what it is worked out from.
 *
 * Works on the text its author wrote. Where it says `if has X then A else B`
 * only the way that was taken is shown; a call of a formula is replaced by
 * that formula's own text with the arguments put in; a path becomes the label
 * of its last property. Anything not of these forms stays as it is written.
 */
#include "work/sizes.h"

#include <string.h>

enum { DEEPEST = 6, ARGUMENTS_MOST = 12 };

struct met { struct fact *facts; uint32_t n, most; };

struct telling {
	struct arena *a;
	const struct craft *c;
	const struct model *m;
	uint32_t object;
	bool numbers;
	int depth;
	struct met *met;                   /* base facts on the way, or NULL */
};

struct argument { strview name, is; };
struct arguments { struct argument of[ARGUMENTS_MOST]; uint32_t n; };

static void tell(struct buf *, struct telling *, strview, const struct arguments *);

static bool
word_char(char c)
{
	return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_'
	    || (unsigned char)c >= 0x80;
}

/* A name: letters, digits, and dots or hyphens within. */
static size_t
name_length(strview t)
{
	size_t n = 0;

	if (t.n == 0 || !word_char(t.p[0]) || (t.p[0] >= '0' && t.p[0] <= '9'))
		return 0;
	while (n < t.n && (word_char(t.p[n])
	    || ((t.p[n] == '.' || t.p[n] == '-') && n + 1 < t.n && word_char(t.p[n + 1]))))
		n++;
	return n;
}

static size_t
skip_quoted(strview t, size_t i)
{
	size_t k = i + 1;

	while (k < t.n && t.p[k] != '"')
		k++;
	return k < t.n ? k + 1 : t.n;
}

/* Where the WORD stands that belongs to the `if` this text follows; t.n: nowhere. */
static size_t
partner(strview t, const char *word)
{
	int round = 0, nested = 0;

	for (size_t i = 0; i < t.n;) {
		size_t n = name_length((strview){t.p + i, t.n - i});

		if (n > 0 && round == 0) {
			strview w = {t.p + i, n};

			if (nested == 0 && sv_is(w, word))
				return i;
			nested += sv_is(w, "if");
			/* A whole `if` within ends with its `else`. */
			nested -= nested > 0 && sv_is(w, "else");
		}
		round += t.p[i] == '(';
		round -= t.p[i] == ')';
		i = t.p[i] == '"' ? skip_quoted(t, i) : i + (n > 0 ? n : 1);
	}
	return t.n;
}

/* ---- paths ---------------------------------------------------------------------------- */

/* The property of the kind whose name the text begins with: the longest. */
static uint32_t
property_at(const struct craft *c, uint32_t kind, strview t, size_t *used)
{
	uint32_t best = NONE;

	*used = 0;
	for (uint32_t i = 0; i < c->kind[kind].n_properties; i++) {
		const char *name = craft_text(c, c->property[c->kind[kind].first_property + i].name);
		size_t n = strlen(name);

		if (n > *used && n <= t.n && memcmp(name, t.p, n) == 0 && (n == t.n || t.p[n] == '.')) {
			*used = n;
			best = c->kind[kind].first_property + i;
		}
	}
	return best;
}

/* Follows a path as it is written; the property NONE: it is none. */
static struct fact
follow(const struct telling *t, strview path)
{
	const struct craft *c = t->c;
	struct fact none = {NONE, NONE}, at = {t->object, NONE};
	const char *dot = memchr(path.p, '.', path.n);
	size_t n = dot != NULL ? (size_t)(dot - path.p) : path.n;
	uint32_t kind = kind_find(c, (strview){path.p, n});

	if (dot == NULL || kind == NONE)
		return none;
	/* What a gathering runs through has no one object. */
	if (t->object == NONE || t->m->objects[t->object].kind != kind)
		at.object = c->kind[kind].singleton ? t->m->first_of_kind[kind] : NONE;
	path = (strview){dot + 1, path.n - n - 1};
	for (;;) {
		uint32_t p = property_at(c, kind, path, &n);

		if (p == NONE)
			return none;
		at.property = p;
		if (n >= path.n)
			return at;
		if (c->property[p].type != TYPE_REF)
			return none;
		kind = c->property[p].ref_kind;
		if (at.object != NONE) {
			const value *v = model_slot(t->m, at.object, p);

			at.object = v->state == VALUE_KNOWN && v->ref >= 0 ? (uint32_t)v->ref : NONE;
		}
		path = (strview){path.p + n + 1, path.n - n - 1};
	}
}

static void
note_fact(struct met *met, struct fact f)
{
	for (uint32_t i = 0; i < met->n; i++)
		if (met->facts[i].object == f.object && met->facts[i].property == f.property)
			return;
	if (met->n < met->most)
		met->facts[met->n++] = f;
}

/* A fact that was told or is missing; of one worked out, what it is worked out from. */
static void
meet(struct telling *t, struct fact f)
{
	const struct property *q = &t->c->property[f.property];
	struct telling inner = *t;
	struct buf unused = {0};
	const value *v;

	if (t->met == NULL || f.object == NONE || q->type != TYPE_QUANTITY)
		return;
	v = model_slot(t->m, f.object, f.property);
	if (q->formula == NONE || t->depth >= DEEPEST
	    || t->m->pedigrees[v->pedigree].kind != PEDIGREE_DERIVED) {
		note_fact(t->met, f);
		return;
	}
	inner.object = f.object;
	inner.depth++;
	tell(&unused, &inner, sv(craft_text(t->c, t->c->program[q->formula].written)), NULL);
	buf_free(&unused);
}

static void
tell_path(struct buf *b, struct telling *t, struct fact f)
{
	const struct property *q = &t->c->property[f.property];
	const value *v = f.object != NONE ? model_slot(t->m, f.object, f.property) : NULL;

	meet(t, f);
	if (t->numbers && v != NULL && v->state == VALUE_KNOWN && q->type == TYPE_QUANTITY
	    && q->n_units > 0)
		range_print(b, t->c->units, t->c->unit_list[q->first_unit], v->r, q->step);
	else
		buf_str(b, craft_text(t->c, q->label));
}

/* ---- choices and calls ------------------------------------------------------------------ */

/* `has PATH` alone: is there such a value? Else unknown. */
static tri
holds(const struct telling *t, strview condition)
{
	strview has = sv_trim(condition);
	struct fact f;

	if (has.n < 5 || memcmp(has.p, "has ", 4) != 0)
		return TRI_UNKNOWN;
	has = sv_trim((strview){has.p + 4, has.n - 4});
	if (name_length(has) != has.n)
		return TRI_UNKNOWN;
	f = follow(t, has);
	if (f.property == NONE)
		return TRI_UNKNOWN;
	return f.object != NONE && model_slot(t->m, f.object, f.property)->state == VALUE_KNOWN
	    ? TRI_TRUE : TRI_FALSE;
}

/* What stands behind `if`: tells the way taken; false: it cannot be told apart. */
static bool
tell_choice(struct buf *b, struct telling *t, strview rest, const struct arguments *args)
{
	size_t then = partner(rest, "then"), otherwise;
	strview after, last;
	tri is;

	if (then == rest.n)
		return false;
	after = (strview){rest.p + then + 4, rest.n - then - 4};
	otherwise = partner(after, "else");
	if (otherwise == after.n || (is = holds(t, (strview){rest.p, then})) == TRI_UNKNOWN)
		return false;
	last = (strview){after.p + otherwise + 4, after.n - otherwise - 4};
	tell(b, t, sv_trim(is == TRI_TRUE ? (strview){after.p, otherwise} : last), args);
	return true;
}

static uint32_t
formula_named(const struct craft *c, strview name)
{
	for (uint32_t i = 0; i < c->n_formula; i++)
		if (sv_is(name, craft_text(c, c->formula[i].name)))
			return i;
	return NONE;
}

/* One argument told; in brackets where something would bind into it. */
static strview
argument(struct telling *t, strview is, const struct arguments *args)
{
	struct buf b = {0};
	const char *kept;
	size_t n;

	is = sv_trim(is);
	tell(&b, t, is, args);
	kept = arena_text(t->a, b.n > 0 ? b.p : "", b.n);
	n = b.n;
	buf_free(&b);
	if (strstr(kept, " + ") != NULL || strstr(kept, " - ") != NULL
	    || strstr(kept, " / ") != NULL) {
		kept = arena_print(t->a, "(%s)", kept);
		n += 2;
	}
	return (strview){kept, n};
}

/* OPEN is where the bracket stands; gives where the call ends, 0: not closed. */
static size_t
arguments_read(struct telling *t, strview text, size_t open, const struct arguments *outer,
    struct arguments *out)
{
	size_t from = open + 1;
	int round = 0;

	for (size_t i = from; i < text.n; i++) {
		char c = text.p[i];

		round += c == '(';
		if ((c == ',' || c == ')') && round == 0) {
			if (out->n < ARGUMENTS_MOST && i > from)
				out->of[out->n++].is = argument(t, (strview){text.p + from, i - from}, outer);
			from = i + 1;
		}
		if (c == ')' && round-- == 0)
			return i + 1;
	}
	return 0;
}

static size_t
tell_call(struct buf *b, struct telling *t, strview text, size_t n, const struct arguments *outer)
{
	uint32_t f = formula_named(t->c, (strview){text.p, n});
	const struct formula *q = f != NONE ? &t->c->formula[f] : NULL;
	struct arguments args = {.n = 0};
	size_t end;

	if (q == NULL || t->depth >= DEEPEST)
		return 0;
	end = arguments_read(t, text, n, outer, &args);
	if (end == 0 || args.n != q->n_parameters)
		return 0;
	for (uint32_t i = 0; i < args.n; i++)
		args.of[i].name = sv(craft_text(t->c, t->c->parameter[q->first_parameter + i].name));
	t->depth++;
	tell(b, t, sv(craft_text(t->c, t->c->program[q->body].written)), &args);
	t->depth--;
	return end;
}

/* ---- the whole ---------------------------------------------------------------------------- */

static size_t
tell_name(struct buf *b, struct telling *t, strview text, size_t n, const struct arguments *args)
{
	strview name = {text.p, n};
	struct fact f;

	if (n < text.n && text.p[n] == '(') {
		size_t end = tell_call(b, t, text, n, args);

		if (end > 0)
			return end;
	}
	for (uint32_t i = 0; args != NULL && i < args->n; i++)
		if (name.n == args->of[i].name.n && memcmp(name.p, args->of[i].name.p, n) == 0) {
			buf_add(b, args->of[i].is.p, args->of[i].is.n);
			return n;
		}
	f = follow(t, name);
	if (f.property != NONE)
		tell_path(b, t, f);
	else
		buf_add(b, text.p, n);
	return n;
}

static void
tell(struct buf *b, struct telling *t, strview text, const struct arguments *args)
{
	size_t n = name_length(text);

	if (n == 2 && memcmp(text.p, "if", 2) == 0
	    && tell_choice(b, t, (strview){text.p + 2, text.n - 2}, args))
		return;
	for (size_t i = 0; i < text.n;) {
		strview rest = {text.p + i, text.n - i};

		n = name_length(rest);
		if (n > 0 && (i == 0 || !word_char(text.p[i - 1]))) {
			i += tell_name(b, t, rest, n, args);
		} else if (rest.n >= 6 && memcmp(rest.p, "^(1/2)", 6) == 0) {
			buf_str(b, "^½");
			i += 6;
		} else if (text.p[i] == '*') {
			buf_str(b, "×");
			i++;
		} else {
			buf_char(b, text.p[i++]);
		}
	}
}

/* Does it look through many objects? Then what is met cannot be told from its text. */
static bool
gathers(const struct craft *c, uint32_t program)
{
	for (uint32_t i = 0; i < c->program[program].n; i++)
		if (c->instr[c->program[program].first + i].op == OP_GATHER)
			return true;
	return false;
}

const char *
size_formula(struct arena *a, const struct model *m, uint32_t object, uint32_t property,
    bool numbers)
{
	struct telling t = {.a = a, .c = m->craft, .m = m, .object = object, .numbers = numbers};
	const struct property *q = &m->craft->property[property];
	struct buf b = {0};
	const char *told;

	if (q->formula == NONE || gathers(m->craft, q->formula))
		return "";
	tell(&b, &t, sv(craft_text(m->craft, m->craft->program[q->formula].written)), NULL);
	told = arena_text(a, b.n > 0 ? b.p : "", b.n);
	buf_free(&b);
	return told;
}

uint32_t
size_facts(struct arena *a, const struct model *m, uint32_t object, uint32_t property,
    struct fact *facts, uint32_t most)
{
	struct met met = {.facts = facts, .most = most};
	struct telling t = {.a = a, .c = m->craft, .m = m, .object = object, .met = &met};
	const struct property *q = &m->craft->property[property];
	struct binding b = {{object}};
	struct watch w = {.all = true};
	struct buf unused = {0};

	if (q->formula == NONE)
		return 0;
	tell(&unused, &t, sv(craft_text(m->craft, m->craft->program[q->formula].written)), NULL);
	buf_free(&unused);
	if (!gathers(m->craft, q->formula))
		return met.n;
	(void)eval(m->craft, m, q->formula, &b, NULL, &w);
	for (uint32_t i = 0; i < w.n; i++)
		if (w.facts[i].object != NONE
		    && m->craft->property[w.facts[i].property].type == TYPE_QUANTITY)
			note_fact(&met, w.facts[i]);
	return met.n;
}

bool
size_formula_names(const struct craft *c, uint32_t property, uint32_t nth, const char **name)
{
	const struct program *g = &c->program[c->property[property].formula];

	for (uint32_t i = g->first; i < g->first + g->n; i++)
		if (c->instr[i].op == OP_CALL && nth-- == 0) {
			*name = craft_text(c, c->formula[c->instr[i].b].name);
			return true;
		}
	return false;
}
