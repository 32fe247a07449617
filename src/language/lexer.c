/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Text of an expression into tokens.
 *
 * Two things are unusual. A name may hold hyphens ("fibre-density"), so a
 * minus sign needs a blank before it. And a number takes the unit behind it
 * along, the longest spelling that the unit table knows ("12 stitches per
 * inch" is one token).
 */
#include "language/language_impl.h"

static bool
is_letter(char c)
{
	return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (unsigned char)c >= 0x80;
}

static bool
is_digit(char c)
{
	return c >= '0' && c <= '9';
}

static bool
is_blank(char c)
{
	return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

static char
peek(const struct lexer *l, uint32_t ahead)
{
	return l->at + ahead < l->text.n ? l->text.p[l->at + ahead] : '\0';
}

static uint32_t
name_length(const struct lexer *l, uint32_t from)
{
	uint32_t i = from;

	while (i < l->text.n) {
		char c = l->text.p[i];
		char after = i + 1 < l->text.n ? l->text.p[i + 1] : '\0';

		if (is_letter(c) || is_digit(c) || c == '_')
			i++;
		else if (c == '-' && (is_letter(after) || is_digit(after)) && i > from)
			i++;
		else
			break;
	}
	return i - from;
}

/* Ends of up to three words after the number; "g/m2" is one word here. */
static uint32_t
unit_candidates(const struct lexer *l, uint32_t from, uint32_t end[8])
{
	uint32_t i = from, n = 0, words = 0;

	while (i < l->text.n && words < 3 && n < 8) {
		while (i < l->text.n && !is_blank(l->text.p[i])
		    && strchr(",(){}<>=+*!", l->text.p[i]) == NULL) {
			if (l->text.p[i] == '.' && i + 1 < l->text.n && l->text.p[i + 1] == '.')
				break;
			/* "/" may end the unit: "3 mm/2" */
			if (l->text.p[i] == '/' && i > from && n < 7)
				end[n++] = i;
			i++;
		}
		if (n < 8 && i > from && (n == 0 || end[n - 1] != i))
			end[n++] = i;
		words++;
		while (i < l->text.n && l->text.p[i] == ' ')
			i++;
	}
	return n;
}

static bool
only_digits(strview t)
{
	for (size_t i = 0; i < t.n; i++)
		if (!is_digit(t.p[i]) && t.p[i] != '.')
			return false;
	return true;
}

/* Is the "in" behind a number the operator? Then a set, a bound or a unit
 * follows it. */
static bool
in_is_operator(const struct lexer *l, uint32_t after)
{
	uint32_t i = after, n;

	while (i < l->text.n && is_blank(l->text.p[i]))
		i++;
	if (i >= l->text.n)
		return false;
	if (l->text.p[i] == '{' || is_digit(l->text.p[i]))
		return true;
	n = i;
	while (n < l->text.n && !is_blank(l->text.p[n]) && strchr(",(){}<>=+*", l->text.p[n]) == NULL)
		n++;
	return unit_find(l->units, (strview){l->text.p + i, n - i}) >= 0;
}

static void
take_unit(struct lexer *l, struct token *t)
{
	uint32_t from = l->at, end[8], n;

	while (from < l->text.n && l->text.p[from] == ' ')
		from++;
	n = unit_candidates(l, from, end);
	while (n-- > 0) {
		strview s = {l->text.p + from, end[n] - from};
		int u;

		if (s.n == 0 || only_digits(s) || s.p[0] == '/' || s.p[0] == '-' || s.p[0] == '^')
			continue;
		if (sv_is(s, "in") && in_is_operator(l, end[n]))
			continue;
		u = unit_find(l->units, s);
		if (u >= 0) {
			t->unit = u;
			l->at = end[n];
			return;
		}
	}
}

static struct token
number(struct lexer *l)
{
	struct token t = {.type = TOKEN_NUMBER, .at = l->at, .unit = -1};
	uint32_t i = l->at;
	size_t used;

	while (i < l->text.n && is_digit(l->text.p[i]))
		i++;
	if (i + 1 < l->text.n && l->text.p[i] == '.' && is_digit(l->text.p[i + 1]))
		for (i++; i < l->text.n && is_digit(l->text.p[i]); i++)
			;
	if (!number_read((strview){l->text.p + l->at, i - l->at}, &used, &t.number))
		t.type = TOKEN_BAD;
	l->at = i;
	take_unit(l, &t);
	t.n = l->at - t.at;
	t.text = (strview){l->text.p + t.at, t.n};
	return t;
}

static struct token
name_or_path(struct lexer *l)
{
	struct token t = {.type = TOKEN_NAME, .at = l->at, .unit = -1};

	l->at += name_length(l, l->at);
	while (peek(l, 0) == '.' && is_letter(peek(l, 1))) {
		t.type = TOKEN_PATH;
		l->at++;
		l->at += name_length(l, l->at);
	}
	t.n = l->at - t.at;
	t.text = (strview){l->text.p + t.at, t.n};
	return t;
}

static struct token
quoted(struct lexer *l)
{
	struct token t = {.type = TOKEN_QUOTED, .at = l->at, .unit = -1};
	char q = peek(l, 0);
	uint32_t i = l->at + 1;

	while (i < l->text.n && l->text.p[i] != q)
		i++;
	t.text = (strview){l->text.p + l->at + 1, i - l->at - 1};
	if (i >= l->text.n)
		t.type = TOKEN_BAD;
	else
		i++;
	t.n = i - t.at;
	l->at = i;
	return t;
}

struct token
lexer_next(struct lexer *l)
{
	static const char *const pairs[] = {"<=", ">=", "!=", ".."};
	struct token t = {.type = TOKEN_END, .unit = -1};
	char c;

	while (l->at < l->text.n && is_blank(l->text.p[l->at]))
		l->at++;
	t.at = l->at;
	c = peek(l, 0);
	if (l->at >= l->text.n)
		return t;
	if (is_digit(c))
		return number(l);
	if (is_letter(c))
		return name_or_path(l);
	if (c == '"' || c == '\'')
		return quoted(l);
	t.type = TOKEN_MARK;
	t.n = 1;
	for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++)
		if (c == pairs[i][0] && peek(l, 1) == pairs[i][1])
			t.n = 2;
	if (t.n == 1 && strchr("+-*/^()<>={},%", c) == NULL)
		t.type = TOKEN_BAD;
	t.text = (strview){l->text.p + l->at, t.n};
	l->at += t.n;
	return t;
}

bool
token_is(const struct token *t, const char *mark_or_word)
{
	return (t->type == TOKEN_MARK || t->type == TOKEN_NAME) && sv_is(t->text, mark_or_word);
}

void
token_print(struct buf *b, const struct token *t)
{
	static const char *const names[] = {
		[TOKEN_END] = "end", [TOKEN_NUMBER] = "number", [TOKEN_NAME] = "name",
		[TOKEN_PATH] = "path", [TOKEN_QUOTED] = "quoted", [TOKEN_MARK] = "mark",
		[TOKEN_UNIT] = "unit", [TOKEN_BAD] = "bad",
	};

	buf_print(b, "%u-%u\t%s\t", t->at + 1, t->at + t->n, names[t->type]);
	text_safe(b, t->text);
	buf_char(b, '\n');
}
