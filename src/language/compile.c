/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * From the text of an expression, a band of advice or a message to programs in
 * the growing craft.
 */
#include "language/language_impl.h"

static void
begin(struct parse *p, struct craft_maker *m, strview text, struct place place,
    const struct scope *scope)
{
	*p = (struct parse){.maker = m, .craft = maker_view(m), .arena = m->arena, .diags = m->diags,
	    .text = text, .place = place, .scope = scope};
}

static uint32_t
tree_program(struct parse *p, struct tree *t, const struct expected *e)
{
	if (t == NULL || !type_tree(p, t, e))
		return NONE;
	return emit_program(p, t);
}

uint32_t
expression_compile(struct craft_maker *m, strview text, struct place place,
    const struct scope *scope,
    const struct expected *e)
{
	struct parse p;

	begin(&p, m, text, place, scope);
	return tree_program(&p, parse_expression(&p), e);
}

/* ---- bands of advice ------------------------------------------------------- */

static bool
two_words(struct parse *p, const char *first, const char *second)
{
	struct lexer keep = p->lexer;
	struct token keep_token = p->token;

	if (parse_accept(p, first) && parse_accept(p, second))
		return true;
	p->lexer = keep;
	p->token = keep_token;
	return false;
}

static bool
take_words(struct parse *p, uint32_t property, uint32_t *first_choice, uint32_t *n_choices)
{
	const struct craft *c = p->craft;
	uint16_t set = c->property[property].word_set;
	bool many = parse_accept(p, "{");
	uint16_t choice[128];
	uint32_t n = 0;

	do {
		struct tree *w = parse_word(p, many);
		uint64_t mask[2];

		if (w == NULL || !type_words(p, w, set, false, mask))
			return false;
		for (uint16_t k = 0; k < c->word_set[set].n && n < 128; k++)
			if (mask_has(mask, k))
				choice[n++] = k;
	} while (many && parse_accept(p, ","));
	if (many && !parse_accept(p, "}")) {
		diag(p->diags, parse_place(p, p->token.at, p->token.n), D_EXPRESSION_ENDS, "}");
		return false;
	}
	if (!parse_ended(p))
		return false;
	*first_choice = maker_add_choice(p->maker, choice, n);
	*n_choices = n;
	return true;
}

/* One bound of a band, whose program remembers its own text and not all of it. */
static uint32_t
bound_program(struct parse *p, strview text, struct tree *t, const struct expected *e)
{
	uint32_t program = tree_program(p, t, e);

	if (program != NONE)
		maker_at_program(p->maker, program)->written = maker_text(p->maker, sv_trim(text));
	return program;
}

/* take = sum [".." sum] | "at" "least" sum | "at" "most" sum | words */
bool
take_compile(struct craft_maker *m, strview text, struct place place, const struct scope *scope,
    uint32_t property, uint32_t *low, uint32_t *high, uint32_t *first_choice, uint32_t *n_choices)
{
	struct parse p;
	const struct property *q;
	struct expected e = {.type = TYPE_QUANTITY};
	struct tree *a = NULL, *b = NULL;
	strview a_text, b_text = {NULL, 0};
	bool least, most;

	begin(&p, m, text, place, scope);
	q = &p.craft->property[property];
	e.dim = q->dim;
	*low = *high = NONE;
	*first_choice = *n_choices = 0;
	parse_start(&p);
	if (q->type == TYPE_WORDS)
		return take_words(&p, property, first_choice, n_choices);
	least = two_words(&p, "at", "least");
	most = !least && two_words(&p, "at", "most");
	a_text.p = text.p + p.token.at;
	a = parse_sum(&p);
	if (a == NULL)
		return false;
	a_text.n = (size_t)(text.p + p.token.at - a_text.p);
	if (!least && !most && parse_accept(&p, "..")) {
		b_text.p = text.p + p.token.at;
		b = parse_sum(&p);
		if (b == NULL)
			return false;
		b_text.n = (size_t)(text.p + p.token.at - b_text.p);
	}
	if (!parse_ended(&p))
		return false;
	if (most)
		return (*high = bound_program(&p, a_text, a, &e)) != NONE;
	*low = bound_program(&p, a_text, a, &e);
	if (least)
		return *low != NONE;
	*high = b != NULL ? bound_program(&p, b_text, b, &e) : *low;
	return *low != NONE && *high != NONE;
}

/* ---- messages ------------------------------------------------------------------ */

static uint32_t
slot_program(struct craft_maker *m, strview slot, struct place place, const struct scope *scope)
{
	slot = sv_trim(slot);
	if (sv_is(slot, "limit"))
		return PART_LIMIT;
	return expression_compile(m, slot, place, scope, NULL);
}

bool
message_compile(struct craft_maker *m, strview text, struct place place, const struct scope *scope,
    struct message *out)
{
	size_t at = 0;
	struct part parts[64];
	uint32_t n = 0;
	bool sound = true;

	while (at < text.n || n == 0) {
		const char *open = memchr(text.p + at, '{', text.n - at);
		size_t literal = open != NULL ? (size_t)(open - text.p) - at : text.n - at;
		struct part part = {.literal = maker_text(m, (strview){text.p + at, literal}), .program = NONE};

		at += literal;
		if (open != NULL) {
			const char *shut = memchr(open, '}', text.n - at);
			struct place where = place;

			if (shut == NULL) {
				diag(m->diags, place, D_SLOT_OPEN);
				return false;
			}
			where.at += (uint32_t)at + 1;
			part.program = slot_program(m, (strview){open + 1, (size_t)(shut - open) - 1}, where, scope);
			if (part.program == NONE)
				sound = false;
			at = (size_t)(shut - text.p) + 1;
		}
		if (n == sizeof parts / sizeof *parts) {
			diag(m->diags, place, D_EXPRESSION_TOO_LARGE);
			return false;
		}
		parts[n++] = part;
		if (at >= text.n)
			break;
	}
	if (!sound)
		return false;
	out->first = maker_add_part(m, parts, n);
	out->n = n;
	return true;
}
