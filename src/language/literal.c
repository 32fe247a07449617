/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The numbers of a program as they were written, for whoever moves them.
 *
 * Operands are emitted in the order in which they are written, so the k-th
 * number of the text is the k-th constant of the program; only an exponent
 * is no constant, and pi is a constant without digits.
 */
#include "language/language_impl.h"

static int
decimals(strview t)
{
	size_t i = 0;
	int n = 0;

	while (i < t.n && t.p[i] >= '0' && t.p[i] <= '9')
		i++;
	if (i + 1 >= t.n || t.p[i] != '.')
		return 0;
	for (i++; i < t.n && t.p[i] >= '0' && t.p[i] <= '9'; i++)
		n++;
	return n;
}

static double
unit_size(const struct craft *c, const struct token *t, double last)
{
	double low, high;

	if (t->unit < 0)
		return last;
	if (!unit_to_base(&c->units->u[t->unit], t->number, &low)
	    || !unit_to_base(&c->units->u[t->unit], t->number + last, &high))
		return last;
	return high > low ? high - low : low - high;
}

/* Skips an exponent: "^" ["-"] number, or "^" "(" ... ")". */
static void
skip_exponent(struct lexer *l)
{
	struct token t = lexer_next(l);

	if (token_is(&t, "-"))
		t = lexer_next(l);
	if (!token_is(&t, "("))
		return;
	while (t.type != TOKEN_END && t.type != TOKEN_BAD && !token_is(&t, ")"))
		t = lexer_next(l);
}

uint32_t
program_literals(const struct craft *c, uint32_t program, struct literal *out, uint32_t max)
{
	const struct program *g = &c->program[program];
	strview text = sv(craft_text(c, g->written));
	struct lexer l = {.units = c->units, .text = text};
	uint32_t at = g->first, n = 0;

	for (;;) {
		struct token t = lexer_next(&l);
		double last = 1;

		if (t.type == TOKEN_END || t.type == TOKEN_BAD)
			return n;
		if (token_is(&t, "^"))
			skip_exponent(&l);
		if (t.type != TOKEN_NUMBER && !token_is(&t, "pi"))
			continue;
		while (at < g->first + g->n && c->instr[at].op != OP_CONST)
			at++;
		if (at == g->first + g->n || n == max)
			return n;
		for (int i = decimals(t.text); i > 0; i--)
			last /= 10;
		if (t.type == TOKEN_NUMBER)
			out[n++] = (struct literal){at, unit_size(c, &t, last), t.text};
		at++;
	}
}
