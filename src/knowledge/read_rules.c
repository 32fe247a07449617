/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Judgement: rules, advice, and the sentences the program itself says.
 *
 * What a rule or an advice reads can only be checked when it is known what
 * every derived property hangs on, so the programs are kept aside and looked
 * through again at the end.
 */
#include "knowledge/knowledge_impl.h"

#include <stdlib.h>
#include <string.h>

static const char *const rule_keys[] = {"!id", "!area", "!each", "with", "when", "!must", "!degree",
	"!touches", "!say", "settle", "!why", "scrap test", "!source", "names entry", "safety",
	"not pinned", "!examples", NULL};
static const char *const advice_keys[] = {"!id", "!area", "when", "!setting", "!take", "start",
	"!strength", "!why", "scrap test", "!source", "names entry", "not pinned", "!examples",
	NULL};
static const char *const degrees[] = {[DEGREE_MENTION] = "mention", [DEGREE_DOUBTFUL] = "doubtful",
	[DEGREE_GRAVE] = "grave", NULL};
static const char *const strengths[] = {[STRENGTH_LEANING] = "leaning", [STRENGTH_USUAL] = "usual",
	[STRENGTH_FIRM] = "firm", NULL};

/* ---- parts of both ----------------------------- */

static uint32_t
one_of(struct compiler *c, const struct node *map, const char *key, const char *const *words)
{
	const struct node *n = node_get(map, key);
	struct near near = {0};
	struct buf list = {0};

	if (!is_text(c, n, key))
		return 0;
	for (uint32_t i = 0; words[i] != NULL; i++) {
		if (sv_is(n->text, words[i])) {
			buf_free(&list);
			return i;
		}
		near_offer(&near, n->text, words[i]);
		buf_print(&list, "%s%s", i > 0 ? ", " : "", words[i]);
	}
	diag(c->ds, n->place, D_UNKNOWN_WORD, kept(c, n->text), key, list.p);
	diag_near(c->ds, &near);
	buf_free(&list);
	return 0;
}

uint8_t
read_cited(struct compiler *c, const struct node *item, uint32_t *first)
{
	struct texts t = get_texts(c, item, "source");
	uint8_t n = 0;

	for (uint32_t i = 0; i < t.n && n < UINT8_MAX; i++) {
		uint32_t s = find_source(c, t.node[i], sv_trim(t.node[i]->text)), at;

		if (s == NONE)
			continue;
		at = maker_add_cited(c->m, &s, 1);
		if (n++ == 0)
			*first = at;
	}
	if (t.n == 0 && node_get(item, "source") != NULL)
		diag(c->ds, node_key(item, "source")->place, D_NO_BASIS, "the source list");
	return n;
}

static uint32_t
condition(struct compiler *c, const struct node *item, const char *key, const struct scope *scope)
{
	const struct node *n = node_get(item, key);
	struct expected truth = {.type = TYPE_TRUTH};

	if (n == NULL || !is_text(c, n, key))
		return NONE;
	return compile_expression(c, n, 0, scope, &truth);
}

static void
message(struct compiler *c, const struct node *item, const char *key, const struct scope *scope,
    struct message *m)
{
	const struct node *n = node_get(item, key);

	if (n != NULL && is_text(c, n, key))
		message_compile(c->m, n->text, text_place(n, 0, n->text.n), scope, m);
}

static void
place_of(struct compiler *c, const struct node *n, uint32_t *file, uint32_t *line)
{
	uint32_t column;

	place_line_column(n->place, line, &column);
	*file = maker_text(c->m, sv(n->place.src->name));
}

static struct judged *
keep_for_checks(struct compiler *c, const struct node *item, const struct node *id, bool advice,
    uint32_t index)
{
	const struct node *start = node_get(item, "start");

	c->judged = mem_grow(c->judged, &c->cap_judged, c->n_judged + 1, sizeof *c->judged);
	c->judged[c->n_judged] = (struct judged){.id = id->place, .advice = advice, .index = index,
	    .names_entry = node_get(item, "names entry") != NULL,
	    .area = kept(c, get_text(c, item, "area")), .area_at = node_get(item, "area")->place,
	    .start = start != NULL ? start->place : id->place};
	return &c->judged[c->n_judged++];
}

static void
also_check(struct judged *j, uint32_t program)
{
	if (program != NONE)
		j->program[j->n_programs++] = program;
}

/* ---- examples ----------------------------- */

static const struct { const char *key; uint8_t kind; } example_words[] = {
	{"fires", EXAMPLE_FIRES}, {"quiet", EXAMPLE_QUIET}, {"undecided", EXAMPLE_UNDECIDED},
};
static const char *const rule_example_keys[] = {"fires", "quiet", "undecided", "by tool",
	"not pinned", NULL};
static const char *const advice_example_keys[] = {"!for", "gives", "gives not", "by tool", NULL};

/* Bit k of the answer: a person thought out an example of kind k. */
unsigned
read_examples(struct compiler *c, const struct node *item, bool advice, uint32_t *first,
    uint32_t *n)
{
	const struct node *list = node_get(item, "examples");
	unsigned seen = 0;

	*first = maker_view(c->m)->n_example;
	*n = 0;
	if (list->type != NODE_LIST) {
		diag(c->ds, list->place, D_EXPECTED_LIST, "examples");
		return ~0u;
	}
	for (const struct node *e = list->first; e != NULL; e = e->next) {
		struct example x = {0};
		uint32_t ways = 0, column;
		const struct node *words = NULL, *gives = NULL;

		if (!keys_known(c, e, "an example", advice ? advice_example_keys :
		    rule_example_keys))
			continue;
		if (advice) {
			words = node_get(e, "for");
			gives = node_get(e, "gives");
			x.kind = gives != NULL ? EXAMPLE_GIVES : EXAMPLE_GIVES_NOT;
			ways = (gives != NULL ? 1u : 0u) + (node_get(e, "gives not") != NULL ? 1u :
			    0u);
			if (gives == NULL)
				gives = node_get(e, "gives not");
		}
		for (size_t i = 0; !advice && i < sizeof example_words / sizeof *example_words; i++)
			if (node_get(e, example_words[i].key) != NULL) {
				words = node_get(e, example_words[i].key);
				x.kind = example_words[i].kind;
				ways++;
			}
		if (ways != 1) {
			diag(c->ds, e->first != NULL ? e->first->place : e->place, D_EXAMPLE_KIND,
			    advice ? "for: ...  and one of gives, gives not" :
			    "fires: , quiet:  or  undecided:");
			continue;
		}
		if (!is_text(c, words, "an example") ||
		    (gives != NULL && !is_text(c, gives, "gives")))
			continue;
		x.by_tool = get_yes(c, e, "by tool", false);
		x.words = maker_text(c->m, sv_trim(words->text));
		if (gives != NULL)
			x.value = maker_text(c->m, sv_trim(gives->text));
		place_line_column(words->place, &x.line, &column);
		maker_add_example(c->m, &x, 1);
		++*n;
		if (!x.by_tool)
			seen |= 1u << x.kind;
	}
	return seen;
}

/* ---- rules ----------------------------- */

static void
touches(struct compiler *c, const struct node *item, struct rule *r)
{
	struct texts t = get_texts(c, item, "touches");
	char count[16];

	if (t.n < 1 || t.n > 3) {
		snprintf(count, sizeof count, "%u", (unsigned)t.n);
		diag(c->ds, node_key(item, "touches")->place, D_RULE_TOUCHES_COUNT, count);
	}
	for (uint32_t i = 0; i < t.n && r->n_touches < 3; i++) {
		uint32_t s = find_setting(c, t.node[i], sv_trim(t.node[i]->text));

		if (s != NONE)
			r->touches[r->n_touches++] = (uint16_t)s;
	}
}

static void
rule(struct compiler *c, const struct node *item)
{
	const struct node *id = item->type == NODE_MAP ? node_get(item, "id") : NULL, *n;
	struct rule r = {.other = NO16, .when = NONE, .must = NONE};
	struct scope scope = {.n_variables = 1, .formula = NONE, .for_property = NONE};
	const char *what = id != NULL && id->type == NODE_TEXT ?
	    arena_print(c->arena, "the rule %s", kept(c, id->text)) : "a rule";
	struct judged *j;
	unsigned seen;
	uint32_t kind;
	bool whole;

	if (!keys_known(c, item, what, rule_keys) || !is_text(c, id, "id"))
		return;
	if (!new_name(c, &c->rules, "a rule", id, sv_trim(id->text), maker_view(c->m)->n_rule))
		return;
	n = node_get(item, "each");
	kind = is_text(c, n, "each") ? find_kind(c, n, sv_trim(n->text)) : NONE;
	whole = kind != NONE;
	r.each = whole ? (uint16_t)kind : 0;
	scope.variable_kind[0] = r.each;
	scope.variable_name[0] = kept(c, sv_trim(n->text));
	n = node_get(item, "with");
	if (n != NULL && is_text(c, n, "with")) {
		kind = find_kind(c, n, sv_trim(n->text));
		whole &= kind != NONE;
		r.other = kind != NONE ? (uint16_t)kind : 0;
		scope.variable_kind[1] = r.other;
		scope.variable_name[1] = "other";
		scope.n_variables = 2;
	}
	r.id = maker_text(c->m, sv_trim(id->text));
	r.area = get_text_at(c, item, "area");
	r.why = get_text_at(c, item, "why");
	r.scrap_test = get_text_at(c, item, "scrap test");
	r.names_entry = get_text_at(c, item, "names entry");
	r.degree = (uint8_t)one_of(c, item, "degree", degrees);
	r.safety = get_yes(c, item, "safety", false);
	touches(c, item, &r);
	/* Of an object of no kind nothing can be asked; the rest can be read. */
	if (whole) {
		r.when = condition(c, item, "when", &scope);
		r.must = condition(c, item, "must", &scope);
		message(c, item, "say", &scope, &r.say);
		message(c, item, "settle", &scope, &r.settle);
	}
	r.n_sources = read_cited(c, item, &r.first_source);
	seen = read_examples(c, item, false, &r.first_example, &r.n_examples);
	if (!(seen & 1u << EXAMPLE_FIRES))
		diag(c->ds, id->place, D_RULE_NO_FIRING, kept(c, id->text));
	if (!(seen & 1u << EXAMPLE_QUIET))
		diag(c->ds, id->place, D_RULE_NO_QUIET, kept(c, id->text));
	place_of(c, id, &r.file, &r.line);
	r.own = is_own(c, id->place);
	note_loose(c, item, arena_print(c->arena, "rule %s", kept(c, sv_trim(id->text))));
	j = keep_for_checks(c, item, id, false, maker_add_rule(c->m, &r, 1));
	also_check(j, r.when);
	also_check(j, r.must);
	j->broken = r.must == NONE || (r.when == NONE && node_get(item, "when") != NULL);
}

/* ---- advice ----------------------------- */

/* A list of words may be written as YAML itself understands it: braces without
 * quotes make a map of names without values, brackets a list. */
static strview
take_text(struct compiler *c, const struct node *n)
{
	struct buf b = {0};
	const char *t;

	if (n->type == NODE_TEXT)
		return sv_trim(n->text);
	buf_str(&b, "{");
	for (const struct node *i = n->first; i != NULL; i = i->next) {
		if (i->type != NODE_TEXT || (n->type == NODE_MAP && i->value->type == NODE_TEXT &&
		    i->value->text.n > 0)) {
			diag(c->ds, i->place, D_EXPECTED_TEXT, "take", "take");
			buf_free(&b);
			return SV("");
		}
		buf_print(&b, "%s\"%s\"", i == n->first ? "" : ", ", kept(c, sv_trim(i->text)));
	}
	buf_str(&b, "}");
	t = kept(c, (strview){b.p, b.n});
	buf_free(&b);
	return sv(t);
}

static void
take(struct compiler *c, const struct node *item, const struct scope *scope, struct advice *a)
{
	uint32_t property = maker_at_setting(c->m, a->setting)->property;
	const struct property *p = maker_at_property(c->m, property);
	const struct node *n = node_get(item, "take"), *start = node_get(item, "start");
	struct expected e = {.type = p->type == TYPE_BAND ? TYPE_QUANTITY : p->type, .dim = p->dim,
	    .word_set = p->word_set};
	struct scope with = *scope;
	strview text = take_text(c, n);

	with.for_property = property;
	if (text.n > 0)
		take_compile(c->m, text, n->type == NODE_TEXT ? text_place(n, 0, n->text.n) :
		    n->place, &with,
		    property, &a->low, &a->high, &a->first_choice, &a->n_choices);
	else if (n->type == NODE_TEXT)
		is_text(c, n, "take");
	if (start != NULL && is_text(c, start, "start"))
		a->best = compile_expression(c, start, 0, &with, &e);
}

/* Nothing is held against a limit here. */
static void
no_limit(struct compiler *c, const struct node *n, const struct message *m)
{
	for (uint32_t i = 0; i < m->n; i++)
		if (maker_at_part(c->m, m->first + i)->program == PART_LIMIT)
			diag(c->ds, n->place, D_ADVICE_LIMIT);
}

static void
advice(struct compiler *c, const struct node *item)
{
	const struct node *id = item->type == NODE_MAP ? node_get(item, "id") : NULL, *n;
	struct advice a = {.when = NONE, .low = NONE, .high = NONE, .best = NONE};
	struct scope scope = {.n_variables = 1, .formula = NONE, .for_property = NONE};
	const char *what = id != NULL && id->type == NODE_TEXT ?
	    arena_print(c->arena, "the advice %s", kept(c, id->text)) : "an advice";
	struct judged *j;
	uint32_t s;
	unsigned seen;

	if (!keys_known(c, item, what, advice_keys) || !is_text(c, id, "id"))
		return;
	if (symbols_find(&c->rules, sv_trim(id->text), NULL) != NULL) {
		/* One look-up (`why ID`) serves both. */
		new_name(c, &c->rules, "a rule", id, sv_trim(id->text), NONE);
		return;
	}
	if (!new_name(c, &c->advices, "an advice", id, sv_trim(id->text),
	    maker_view(c->m)->n_advice))
		return;
	n = node_get(item, "setting");
	s = is_text(c, n, "setting") ? find_setting(c, n, sv_trim(n->text)) : NONE;
	if (s == NONE)
		return;
	if (!maker_at_setting(c->m, s)->chosen) {
		diag(c->ds, n->place, D_ADVICE_NOT_CHOSEN, kept(c, n->text));
		return;
	}
	a.setting = (uint16_t)s;
	a.each = maker_at_property(c->m, maker_at_setting(c->m, s)->property)->kind;
	scope.variable_kind[0] = a.each;
	scope.variable_name[0] = kept(c,
	    sv(craft_text(maker_view(c->m), maker_at_kind(c->m, a.each)->name)));
	a.id = maker_text(c->m, sv_trim(id->text));
	a.area = get_text_at(c, item, "area");
	a.scrap_test = get_text_at(c, item, "scrap test");
	a.strength = (uint8_t)one_of(c, item, "strength", strengths);
	a.when = condition(c, item, "when", &scope);
	take(c, item, &scope, &a);
	message(c, item, "why", &scope, &a.why);
	no_limit(c, node_get(item, "why"), &a.why);
	a.n_sources = read_cited(c, item, &a.first_source);
	seen = read_examples(c, item, true, &a.first_example, &a.n_examples);
	if (!(seen & 1u << EXAMPLE_GIVES) && c->n_unshown++ == 0)
		c->unshown = id->place;
	place_of(c, id, &a.file, &a.line);
	a.own = is_own(c, id->place);
	note_loose(c, item, arena_print(c->arena, "advice %s", kept(c, sv_trim(id->text))));
	j = keep_for_checks(c, item, id, true, maker_add_advice(c->m, &a, 1));
	also_check(j, a.when);
	also_check(j, a.low);
	also_check(j, a.high);
	also_check(j, a.best);
}

void
read_rules(struct compiler *c)
{
	each_item(c, "rules", rule);
	each_item(c, "advice", advice);
	if (c->n_unshown > 0)
		diag(c->ds, c->unshown, D_ADVICE_NO_EXAMPLE, arena_print(c->arena, "%u",
		    (unsigned)c->n_unshown));
}

/* ---- messages ----------------------------- */

static const char *const message_keys[] = {"!id", "!says", "note", NULL};

static bool
slot_name(strview s)
{
	for (size_t i = 0; i < s.n; i++)
		if (!(s.p[i] >= 'a' && s.p[i] <= 'z') && s.p[i] != '-' &&
		    !(s.p[i] >= '0' && s.p[i] <= '9'))
			return false;
	return s.n > 0;
}

/* says = (text | "{" slot "}")* */
static void
user_message(struct compiler *c, const struct node *item)
{
	const struct node *id = item->type == NODE_MAP ? node_get(item, "id") : NULL, *says;
	struct user_message m = {0};
	struct buf slots = {0};
	strview t;
	size_t from = 0;
	bool good = true;

	if (!keys_known(c, item, "a message", message_keys) || !is_text(c, id, "id") ||
	    !is_text(c, (says = node_get(item, "says")), "says"))
		return;
	if (!new_name(c, &c->messages, "a message", id, sv_trim(id->text),
	    maker_view(c->m)->n_user_message))
		return;
	t = says->text;
	m.id = maker_text(c->m, sv_trim(id->text));
	buf_add(&slots, "", 0);
	for (size_t i = 0; i <= t.n && good; i++) {
		struct part part = {.program = NONE};
		const char *end;
		strview slot;

		if (i < t.n && t.p[i] != '{' && t.p[i] != '}')
			continue;
		part.literal = maker_text(c->m, (strview){t.p + from, i - from});
		if (m.text.n == 0)
			m.text.first = maker_add_part(c->m, &part, 1);
		else
			maker_add_part(c->m, &part, 1);
		m.text.n++;
		if (i == t.n)
			break;
		end = t.p[i] == '{' ? memchr(t.p + i, '}', t.n - i) : NULL;
		if (end == NULL) {
			diag(c->ds, text_place(says, i, 1), D_MESSAGE_BRACE);
			good = false;
			break;
		}
		slot = (strview){t.p + i + 1, (size_t)(end - t.p) - i - 1};
		if (!slot_name(slot)) {
			diag(c->ds, text_place(says, i + 1, slot.n), D_MESSAGE_SLOT, kept(c, slot));
			good = false;
			break;
		}
		if (slots.n > 0)
			buf_str(&slots, " ");
		buf_sv(&slots, slot);
		i += slot.n + 1;
		from = i + 1;
	}
	m.slots = maker_text(c->m, (strview){slots.p, slots.n});
	buf_free(&slots);
	if (good)
		maker_add_user_message(c->m, &m, 1);
}

void
read_messages(struct compiler *c)
{
	each_item(c, "messages", user_message);
}
