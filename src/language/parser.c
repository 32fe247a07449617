/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Tokens of an expression into a tree, by recursive descent: a function for
 * each rule of the grammar, the rule above it. The depth is capped, so that no
 * text can exhaust the stack.
 */
#include "language/language_impl.h"

#define DEPTH_MAX 60

static struct tree *expression(struct parse *);

struct place
parse_place(const struct parse *p, uint32_t at, uint32_t n)
{
	struct place where = p->place;

	/* A quoted or folded scalar does not lie byte for byte in its file; then
	 * the whole of it is shown. */
	if (where.src == NULL || where.at + at + n > where.src->text.n
	    || memcmp(where.src->text.p + where.at + at, p->text.p + at, n) != 0) {
		uint32_t skip = 1;
		if (where.src != NULL && where.at + skip + at + n <= where.src->text.n
		    && memcmp(where.src->text.p + where.at + skip + at, p->text.p + at, n) == 0) {
			where.at += skip + at;
			where.n = n > 0 ? n : 1;
		}
		return where;
	}
	where.at += at;
	where.n = n > 0 ? n : 1;
	return where;
}

static void
advance(struct parse *p)
{
	p->last = p->token;
	p->token = lexer_next(&p->lexer);
}

void
parse_start(struct parse *p)
{
	p->lexer = (struct lexer){.units = p->craft->units, .text = p->text};
	p->failed = false;
	p->depth = 0;
	advance(p);
}

bool
parse_accept(struct parse *p, const char *mark_or_word)
{
	if (!token_is(&p->token, mark_or_word))
		return false;
	advance(p);
	return true;
}

static void
complain(struct parse *p, const char *expected)
{
	const struct token *t = &p->token;

	if (p->failed)
		return;
	p->failed = true;
	if (t->type == TOKEN_END)
		diag(p->diags, parse_place(p, p->text.n > 0 ? (uint32_t)p->text.n - 1 : 0, 1),
		    D_EXPRESSION_ENDS, expected);
	else if (token_is(t, "=") && token_is(&p->last, "="))
		diag(p->diags, parse_place(p, p->last.at, t->at + t->n - p->last.at), D_ONE_EQUALS);
	else if (t->type == TOKEN_NAME && p->last.type == TOKEN_NAME)
		diag(p->diags, parse_place(p, p->last.at, t->at + t->n - p->last.at), D_WORD_WITH_BLANKS,
		    arena_text(p->arena, p->text.p + t->at, t->n),
		    arena_text(p->arena, p->text.p + p->last.at, p->last.n));
	else
		diag(p->diags, parse_place(p, t->at, t->n), D_EXPRESSION_UNEXPECTED,
		    arena_text(p->arena, p->text.p + t->at, t->n), expected);
}

static bool
expect(struct parse *p, const char *mark)
{
	if (parse_accept(p, mark))
		return true;
	complain(p, mark);
	return false;
}

bool
parse_ended(struct parse *p)
{
	if (p->token.type == TOKEN_END)
		return true;
	complain(p, "the end of the expression or an operator");
	return false;
}

struct tree *
tree_new(struct parse *p, enum tree_type type, uint32_t at)
{
	struct tree *t = arena_alloc(p->arena, sizeof *t);

	t->type = type;
	t->at = at;
	t->n = (uint32_t)(p->token.at > at ? p->token.at - at : p->token.n);
	t->unit = -1;
	t->ref = NONE;
	t->is.property = NONE;
	return t;
}

static struct tree *
close_span(struct parse *p, struct tree *t)
{
	uint32_t end = p->token.type == TOKEN_END ? (uint32_t)p->text.n : p->token.at;

	while (end > t->at + 1 && (p->text.p[end - 1] == ' ' || p->text.p[end - 1] == '\n'))
		end--;
	if (end > t->at)
		t->n = end - t->at;
	return t;
}

static struct tree *
binary(struct parse *p, enum op op, struct tree *left, struct tree *right)
{
	struct tree *t;

	if (left == NULL || right == NULL)
		return NULL;
	t = tree_new(p, TREE_BINARY, left->at);
	t->op = op;
	t->kid[0] = left;
	t->kid[1] = right;
	return close_span(p, t);
}

/* word = name | quoted; in braces a word may be several names: "hard wear" */
struct tree *
parse_word(struct parse *p, bool in_braces)
{
	struct tree *w;
	bool name = p->token.type == TOKEN_NAME;

	if (!name && p->token.type != TOKEN_QUOTED) {
		complain(p, "a word");
		return NULL;
	}
	w = tree_new(p, TREE_NAME, p->token.at);
	w->n = p->token.n;
	w->name = p->token.text;
	advance(p);
	while (in_braces && name && p->token.type == TOKEN_NAME) {
		w->n = p->token.at + p->token.n - w->at;
		w->name.n = w->n;
		advance(p);
	}
	return w;
}

/* words = "{" word ("," word)* "}" | word */
static struct tree *
words(struct parse *p)
{
	bool many = parse_accept(p, "{");
	struct tree *first = NULL, **tail = &first;

	do {
		struct tree *w = parse_word(p, many);

		if (w == NULL)
			return NULL;
		*tail = w;
		tail = &w->next;
	} while (many && parse_accept(p, ","));
	if (many && !expect(p, "}"))
		return NULL;
	return first;
}

/* call = name "(" [argument ("," argument)*] ")" */
static struct tree *
call(struct parse *p, strview name, uint32_t at)
{
	struct tree *t = tree_new(p, TREE_CALL, at), **tail = &t->list;

	t->name = name;
	if (parse_accept(p, ")"))
		return close_span(p, t);
	do {
		*tail = expression(p);
		if (*tail == NULL)
			return NULL;
		tail = &(*tail)->next;
	} while (parse_accept(p, ","));
	if (!expect(p, ")"))
		return NULL;
	return close_span(p, t);
}

static int
gathering_word(const struct token *t)
{
	static const char *const names[] = {"any", "every", "count", "sum", "least", "greatest"};

	for (int i = 0; i < 6; i++)
		if (t->type == TOKEN_NAME && sv_is(t->text, names[i]))
			return i;
	return -1;
}

/* gathering = how kind ["of" path ["by" name]] ["where" "(" expression ")"] ["(" expression ")"] */
static struct tree *
gathering(struct parse *p, int how, uint32_t at)
{
	struct tree *t = tree_new(p, TREE_GATHER, at);

	t->num = how;
	if (p->token.type != TOKEN_NAME) {
		complain(p, "a kind of object");
		return NULL;
	}
	t->name = p->token.text;
	advance(p);
	if (parse_accept(p, "of")) {
		if (p->token.type != TOKEN_NAME && p->token.type != TOKEN_PATH) {
			complain(p, "a variable or a path");
			return NULL;
		}
		t->kid[0] = tree_new(p, TREE_PATH, p->token.at);
		t->kid[0]->name = p->token.text;
		t->kid[0]->n = p->token.n;
		advance(p);
		if (parse_accept(p, "by")) {
			if (p->token.type != TOKEN_NAME) {
				complain(p, "the name of a reference");
				return NULL;
			}
			t->by = p->token.text;
			advance(p);
		}
	}
	if (parse_accept(p, "where")) {
		if (!expect(p, "(") || (t->kid[1] = expression(p)) == NULL || !expect(p, ")"))
			return NULL;
	}
	if (parse_accept(p, "(")) {
		if ((t->kid[2] = expression(p)) == NULL || !expect(p, ")"))
			return NULL;
	}
	return close_span(p, t);
}

/* "if" expression "then" expression "else" expression */
static struct tree *
conditional(struct parse *p, uint32_t at)
{
	struct tree *t = tree_new(p, TREE_IF, at);

	if ((t->kid[0] = expression(p)) == NULL || !expect(p, "then")
	    || (t->kid[1] = expression(p)) == NULL || !expect(p, "else")
	    || (t->kid[2] = expression(p)) == NULL)
		return NULL;
	return close_span(p, t);
}

/* "let" name "=" expression "then" expression */
static struct tree *
let(struct parse *p, uint32_t at)
{
	struct tree *t = tree_new(p, TREE_LET, at);

	if (p->token.type != TOKEN_NAME) {
		complain(p, "a name");
		return NULL;
	}
	t->name = p->token.text;
	advance(p);
	if (!expect(p, "=") || (t->kid[0] = expression(p)) == NULL || !expect(p, "then")
	    || (t->kid[1] = expression(p)) == NULL)
		return NULL;
	return close_span(p, t);
}

static struct tree *
has(struct parse *p, uint32_t at)
{
	struct tree *t = tree_new(p, TREE_HAS, at);

	if (p->token.type != TOKEN_PATH && p->token.type != TOKEN_NAME) {
		complain(p, "a path");
		return NULL;
	}
	t->name = p->token.text;
	advance(p);
	return close_span(p, t);
}

/* primary = number | "(" expression ")" | path | word | call | gathering | has | if | let */
static struct tree *
primary(struct parse *p)
{
	struct token first = p->token;
	struct tree *t;
	int how;

	switch (first.type) {
	case TOKEN_NUMBER:
		t = tree_new(p, TREE_NUMBER, first.at);
		t->number = first.number;
		t->unit = first.unit;
		t->n = first.n;
		advance(p);
		return t;
	case TOKEN_QUOTED:
	case TOKEN_PATH:
		t = tree_new(p, first.type == TOKEN_PATH ? TREE_PATH : TREE_QUOTED, first.at);
		t->name = first.text;
		t->n = first.n;
		advance(p);
		return t;
	case TOKEN_NAME:
		how = gathering_word(&first);
		advance(p);
		if (token_is(&first, "if"))
			return conditional(p, first.at);
		if (token_is(&first, "let"))
			return let(p, first.at);
		if (token_is(&first, "has"))
			return has(p, first.at);
		if (parse_accept(p, "("))
			return call(p, first.text, first.at);
		if (how >= 0 && p->token.type == TOKEN_NAME)
			return gathering(p, how, first.at);
		t = tree_new(p, TREE_NAME, first.at);
		t->name = first.text;
		t->n = first.n;
		return t;
	case TOKEN_MARK:
		if (parse_accept(p, "(")) {
			t = expression(p);
			return t != NULL && expect(p, ")") ? t : NULL;
		}
		break;
	case TOKEN_END:
	case TOKEN_UNIT:
	case TOKEN_BAD:
		break;
	}
	complain(p, "a quantity, a path or a word");
	return NULL;
}

static bool
whole(struct parse *p, int *out)
{
	bool minus = parse_accept(p, "-");

	if (p->token.type != TOKEN_NUMBER || p->token.unit >= 0 || p->token.number > 12
	    || p->token.number < 0 || (double)(int)p->token.number < p->token.number) {
		complain(p, "a small whole number");
		return false;
	}
	*out = (int)p->token.number * (minus ? -1 : 1);
	advance(p);
	return true;
}

/* power = primary ["^" exponent];  exponent = whole | "(" whole "/" whole ")" */
static struct tree *
power(struct parse *p)
{
	struct tree *base = primary(p), *t;

	if (base == NULL || !token_is(&p->token, "^"))
		return base;
	advance(p);
	t = tree_new(p, TREE_POWER, base->at);
	t->kid[0] = base;
	t->den = 1;
	if (parse_accept(p, "(")) {
		if (!whole(p, &t->num) || !expect(p, "/") || !whole(p, &t->den) || !expect(p, ")"))
			return NULL;
	} else if (!whole(p, &t->num))
		return NULL;
	return close_span(p, t);
}

/* The unit named by the token after "in", or -1. Takes the longest spelling. */
static int
unit_after_in(struct parse *p)
{
	struct lexer trial = {.units = p->lexer.units, .text = p->lexer.text, .at = p->token.at};
	static const char one[] = "1 ";
	char text[96];
	size_t n = trial.text.n - trial.at < 60 ? trial.text.n - trial.at : 60;
	struct lexer l;
	struct token t;

	if (p->token.type != TOKEN_NAME && !token_is(&p->token, "%"))
		return -1;
	memcpy(text, one, 2);
	memcpy(text + 2, trial.text.p + trial.at, n);
	l = (struct lexer){.units = trial.units, .text = {text, n + 2}};
	t = lexer_next(&l);
	if (t.unit < 0)
		return -1;
	p->lexer.at = trial.at + (l.at - 2);
	advance(p);
	return t.unit;
}

/* factor = "-" factor | power ["in" unit] */
static struct tree *
factor(struct parse *p)
{
	uint32_t at = p->token.at;
	struct tree *t;

	if (parse_accept(p, "-")) {
		struct tree *inner = NULL;

		if (++p->depth < DEPTH_MAX)
			inner = factor(p);
		else
			complain(p, "fewer signs in a row");
		p->depth--;
		if (inner == NULL)
			return NULL;
		t = tree_new(p, TREE_NEG, at);
		t->kid[0] = inner;
		return close_span(p, t);
	}
	t = power(p);
	if (t != NULL && token_is(&p->token, "in")) {
		struct lexer keep = p->lexer;
		struct token keep_token = p->token;
		int unit;

		advance(p);
		unit = unit_after_in(p);
		if (unit < 0) {
			p->lexer = keep;
			p->token = keep_token;
			return t;
		}
		struct tree *b = tree_new(p, TREE_BARE, t->at);
		b->kid[0] = t;
		b->unit = unit;
		return close_span(p, b);
	}
	return t;
}

/* product = factor (("*" | "/") factor)* */
static struct tree *
product(struct parse *p)
{
	struct tree *t = factor(p);

	while (t != NULL && (token_is(&p->token, "*") || token_is(&p->token, "/"))) {
		enum op op = token_is(&p->token, "*") ? OP_MUL : OP_DIV;

		advance(p);
		t = binary(p, op, t, factor(p));
	}
	return t;
}

/* sum = product (("+" | "-") product)* */
struct tree *
parse_sum(struct parse *p)
{
	struct tree *t = product(p);

	while (t != NULL && (token_is(&p->token, "+") || token_is(&p->token, "-"))) {
		enum op op = token_is(&p->token, "+") ? OP_ADD : OP_SUB;

		advance(p);
		t = binary(p, op, t, product(p));
	}
	return t;
}

static const struct { const char *mark; enum op op; } comparisons[] = {
	{"<=", OP_LE}, {">=", OP_GE}, {"!=", OP_NE}, {"<", OP_LT}, {">", OP_GT}, {"=", OP_EQ},
};

/* "in" ("{" word... "}" | sum ".." sum | path) */
static struct tree *
membership(struct parse *p, struct tree *left)
{
	struct tree *t;

	if (token_is(&p->token, "{")) {
		t = tree_new(p, TREE_IN_WORDS, left->at);
		t->kid[0] = left;
		t->list = words(p);
		return t->list != NULL ? close_span(p, t) : NULL;
	}
	t = tree_new(p, TREE_IN_BAND, left->at);
	t->kid[0] = left;
	t->kid[1] = parse_sum(p);
	if (t->kid[1] == NULL)
		return NULL;
	if (parse_accept(p, "..")) {
		t->type = TREE_BETWEEN;
		t->kid[2] = parse_sum(p);
		if (t->kid[2] == NULL)
			return NULL;
	}
	return close_span(p, t);
}

/* comparison = sum [relation sum | "in" membership | "is" words] */
static struct tree *
comparison(struct parse *p)
{
	struct tree *left = parse_sum(p), *t;

	if (left == NULL)
		return NULL;
	if (parse_accept(p, "in"))
		return membership(p, left);
	if (parse_accept(p, "is")) {
		t = tree_new(p, TREE_IS, left->at);
		t->kid[0] = left;
		t->list = words(p);
		return t->list != NULL ? close_span(p, t) : NULL;
	}
	for (size_t i = 0; i < sizeof comparisons / sizeof *comparisons; i++)
		if (parse_accept(p, comparisons[i].mark)) {
			t = tree_new(p, TREE_COMPARE, left->at);
			t->op = comparisons[i].op;
			t->kid[0] = left;
			t->kid[1] = parse_sum(p);
			return t->kid[1] != NULL ? close_span(p, t) : NULL;
		}
	return left;
}

/* negation = "not" negation | comparison */
static struct tree *
negation(struct parse *p)
{
	uint32_t at = p->token.at;
	struct tree *t, *inner;

	if (!parse_accept(p, "not"))
		return comparison(p);
	inner = NULL;
	if (++p->depth < DEPTH_MAX)
		inner = negation(p);
	else
		complain(p, "fewer negations in a row");
	p->depth--;
	if (inner == NULL)
		return NULL;
	t = tree_new(p, TREE_NOT, at);
	t->kid[0] = inner;
	return close_span(p, t);
}

/* conjunct = negation ("and" negation)* */
static struct tree *
conjunct(struct parse *p)
{
	struct tree *t = negation(p);

	while (t != NULL && parse_accept(p, "and"))
		t = binary(p, OP_AND, t, negation(p));
	return t;
}

/* expression = conjunct ("or" conjunct)* */
static struct tree *
expression(struct parse *p)
{
	struct tree *t;

	if (++p->depth > DEPTH_MAX) {
		complain(p, "fewer brackets within each other");
		p->depth--;
		return NULL;
	}
	t = conjunct(p);
	while (t != NULL && parse_accept(p, "or"))
		t = binary(p, OP_OR, t, conjunct(p));
	p->depth--;
	return t;
}

struct tree *
parse_expression(struct parse *p)
{
	struct tree *t;

	parse_start(p);
	t = expression(p);
	if (t != NULL && !parse_ended(p))
		return NULL;
	return t;
}
