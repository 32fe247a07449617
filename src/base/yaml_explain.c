/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * libyaml's words made plain.
 *
 * libyaml says what its grammar missed; people need to know what to write
 * instead.  One table leads from its words to our catalogue; two messages
 * that cover several mistakes are told apart by looking at the line.
 */
#include "base/base_impl.h"

#include <string.h>

enum where { HERE, BEGAN };                /* point at the break, or where it began */

/* First row whose words occur in libyaml's problem (and context, if given).
 * To add one: the words as libyaml 0.2 spells them, the longer before the
 * shorter, and a case in check_base.c. */
static const struct {
	const char *problem, *context;
	enum where where;
	enum diag_id id;
} words[] = {
	{ "mapping values are not allowed", NULL, HERE, D_YAML_COLON },
	{ "cannot start any token", NULL, HERE, D_YAML_START_CHARACTER },
	{ "found a tab character", NULL, HERE, D_YAML_TAB },
	{ "could not find expected ':'", NULL, BEGAN, D_YAML_NO_COLON },
	{ "did not find expected key", NULL, HERE, D_YAML_EXPECTED_KEY },
	{ "did not find expected '-' indicator", NULL, HERE, D_YAML_EXPECTED_DASH },
	{ "',' or ']'", NULL, BEGAN, D_YAML_OPEN_LIST },
	{ "',' or '}'", NULL, BEGAN, D_YAML_OPEN_MAP },
	{ "unexpected end of stream", "quoted scalar", BEGAN, D_YAML_OPEN_QUOTE },
	{ "unexpected document indicator", "quoted scalar", BEGAN, D_YAML_OPEN_QUOTE },
	{ "did not find expected node content", NULL, HERE, D_YAML_MISSING_VALUE },
	{ "block sequence entries are not allowed", NULL, HERE, D_YAML_DASH_MISPLACED },
	{ "mapping keys are not allowed", NULL, HERE, D_YAML_QUESTION_MARK },
	{ "unknown escape character", NULL, HERE, D_YAML_ESCAPE },
	{ "hexdecimal number", "quoted scalar", HERE, D_YAML_ESCAPE },
	{ "invalid Unicode character escape", NULL, HERE, D_YAML_ESCAPE },
	{ "expected comment or line break", "directive", BEGAN, D_YAML_PERCENT },
	{ "expected comment or line break", NULL, HERE, D_YAML_BLOCK_HEADER },
	{ "indentation indicator equal to 0", NULL, HERE, D_YAML_BLOCK_HEADER },
	{ "found unexpected ':'", NULL, HERE, D_YAML_FLOW_COLON },
	{ "alphabetic or numeric", NULL, BEGAN, D_YAML_STAR },
	{ "found undefined alias", NULL, HERE, D_YAML_ANCHOR },
	{ "undefined tag handle", NULL, HERE, D_YAML_TAG },
	{ "found unexpected document indicator", NULL, HERE, D_YAML_AFTER_END },
	{ "did not find expected <document start>", NULL, HERE, D_YAML_AFTER_END },
	{ "unknown directive name", NULL, BEGAN, D_YAML_PERCENT },
	{ "", "%YAML directive", BEGAN, D_YAML_PERCENT },
	{ "", "%TAG directive", BEGAN, D_YAML_PERCENT },
	{ "", "scanning a directive", BEGAN, D_YAML_PERCENT },
	{ "", "a tag", BEGAN, D_YAML_TAG },
	{ "incompatible YAML document", NULL, HERE, D_YAML_DIRECTIVE },
	{ "duplicate %", NULL, HERE, D_YAML_DIRECTIVE },
};

static strview
line_around(const struct source *s, uint32_t at, size_t *offset)
{
	size_t from = at < s->text.n ? at : s->text.n, to = from;

	while (from > 0 && s->text.p[from - 1] != '\n')
		from--;
	while (to < s->text.n && s->text.p[to] != '\n' && s->text.p[to] != '\r')
		to++;
	*offset = at - from;
	return (strview){s->text.p + from, to - from};
}

static size_t
indentation(strview line)
{
	size_t n = 0;

	while (n < line.n && line.p[n] == ' ')
		n++;
	return n;
}

/* Byte of the first colon that ends a name ("a: b", "a:" at the end). */
static size_t
first_colon(strview line)
{
	for (size_t i = 0; i < line.n; i++)
		if (line.p[i] == ':' && (i + 1 == line.n || line.p[i + 1] == ' '))
			return i;
	return line.n;
}

/* "note: a: b" with its value in quotes.  FROM is the byte after the name's
 * colon.  Single quotes when the value holds double ones. */
static void
requoted(struct buf *b, strview line, size_t from)
{
	strview head = sv_trim((strview){line.p, from});
	strview value = sv_trim((strview){line.p + from, line.n - from});
	size_t remark = value.n;
	char mark = '"';

	for (size_t i = 1; i < value.n; i++)
		if (value.p[i] == '#' && value.p[i - 1] == ' ') {
			remark = i;
			break;
		}
	value = sv_trim((strview){value.p, remark});
	for (size_t i = 0; i < value.n; i++)
		if (value.p[i] == '"' || value.p[i] == '\\')
			mark = '\'';
	buf_sv(b, head);
	buf_char(b, ' ');
	buf_char(b, mark);
	for (size_t i = 0; i < value.n; i++) {
		if (value.p[i] == mark)
			buf_char(b, mark);
		buf_char(b, value.p[i]);
	}
	buf_char(b, mark);
}

/* A colon where none may stand: a text with a colon in it, or a line indented
 * under a line that has a value. */
static void
colon(const struct source *s, uint32_t at, struct diags *ds)
{
	size_t offset, first;
	strview line = line_around(s, at, &offset);
	struct buf b = {0};
	struct place here = {s, at, 1};

	first = first_colon(line);
	if (first < offset && line.n < 400) {
		requoted(&b, line, first + 1);
		diag(ds, here, D_YAML_COLON, b.p);
	} else if (first < offset) {
		diag(ds, here, D_YAML_COLON, "name: \"text: more text\"");
	} else {
		strview own = sv_trim(line);

		here.at = (uint32_t)(at - offset + indentation(line));
		here.n = (uint32_t)own.n;
		buf_str(&b, "  ");
		buf_add(&b, own.p, own.n < 400 ? own.n : 400);
		diag(ds, here, D_YAML_CHILD_OF_TEXT, b.p);
	}
	buf_free(&b);
}

void
yaml_explain(const struct source *s, const struct yaml_fault *f, struct diags *ds)
{
	const char *problem = f->problem != NULL ? f->problem : "";
	const char *context = f->context != NULL ? f->context : "";
	struct place here = {s, f->at, 1};
	size_t i, n = sizeof words / sizeof *words;
	char sign[8] = "";

	if (here.at >= s->text.n && s->text.n > 0)
		here.at = (uint32_t)s->text.n - 1;
	if (f->reader) {
		size_t k = utf8_step(s->text, here.at);
		bool broken = k == 1 && (unsigned char)s->text.p[here.at] >= 0x80;

		here.n = (uint32_t)k;
		diag(ds, here, broken ? D_NOT_UTF8 : D_CONTROL_CHARACTER, problem);
		return;
	}
	for (i = 0; i < n; i++)
		if (strstr(problem, words[i].problem) != NULL &&
		    (words[i].context == NULL || strstr(context, words[i].context) != NULL))
			break;
	if (i == n) {
		diag(ds, here, D_YAML_OTHER, problem);
		return;
	}
	if (words[i].where == BEGAN && context[0] != '\0') {
		here.at = f->context_at;
		if (here.at >= s->text.n && s->text.n > 0)
			here.at = (uint32_t)s->text.n - 1;
	}
	if (words[i].id == D_YAML_COLON) {
		colon(s, here.at, ds);
		return;
	}
	if (words[i].id == D_YAML_START_CHARACTER) {
		size_t k = utf8_step(s->text, here.at);

		if (s->text.p[here.at] == '\t') {
			diag(ds, here, D_YAML_TAB);
			return;
		}
		memcpy(sign, s->text.p + here.at, k < sizeof sign ? k : 1);
	}
	diag(ds, here, words[i].id, sign, sign);
}
