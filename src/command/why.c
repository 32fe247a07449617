/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * why: a rule or a piece of advice laid open: when it speaks, what it asks,
 * why, what was tried to prove it, and from where it comes.
 */
#include "command/command_impl.h"

#include <string.h>

static void
pair(struct run *r, const char *label, const char *text)
{
	if (text != NULL && *text != '\0')
		page_add(r->page, BLOCK_PAIR, label, text);
}

static const char *
written(const struct run *r, uint32_t program)
{
	return program != NONE ? craft_text(r->craft, r->craft->program[program].written) : "";
}

/* A message as its author wrote it, its slots in brackets. */
static const char *
message_written(struct run *r, const struct message *m)
{
	struct buf b = {0};

	for (uint32_t i = 0; i < m->n; i++) {
		const struct part *p = &r->craft->part[m->first + i];

		buf_str(&b, craft_text(r->craft, p->literal));
		if (p->program == PART_LIMIT)
			buf_str(&b, "{limit}");
		else if (p->program != NONE)
			buf_print(&b, "{%s}", written(r, p->program));
	}
	return run_kept(r, &b);
}

static const char *
touches(struct run *r, const struct rule *u)
{
	struct buf b = {0};

	for (uint32_t i = 0; i < u->n_touches; i++)
		buf_print(&b, "%s%s", i > 0 ? ", " : "",
		    craft_text(r->craft, r->craft->setting[u->touches[i]].name));
	return run_kept(r, &b);
}

/* What a person thought out; where there is nothing else, or all is asked for,
 * what the tool set beside a limit as well. */
static void
examples(struct run *r, uint32_t first, uint32_t n)
{
	bool by_tool = true, headed = false;

	for (uint32_t i = 0; i < n; i++)
		by_tool = by_tool && r->craft->example[first + i].by_tool;
	for (uint32_t i = 0; i < n; i++) {
		const struct example *e = &r->craft->example[first + i];
		const char *words = craft_text(r->craft, e->words);
		const char *label = "";

		switch ((enum example_kind)e->kind) {
		case EXAMPLE_FIRES: label = SAY(r, "why.fires"); break;
		case EXAMPLE_QUIET: label = SAY(r, "why.quiet"); break;
		case EXAMPLE_UNDECIDED: label = SAY(r, "why.undecided"); break;
		case EXAMPLE_GIVES:
			label = SAY(r, "why.gives", "value", craft_text(r->craft, e->value));
			break;
		case EXAMPLE_GIVES_NOT:
			label = SAY(r, "why.gives-not", "value", craft_text(r->craft, e->value));
			break;
		}
		if (e->by_tool && !by_tool && !r->ask->all)
			continue;
		if (!headed)
			page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "why.examples"));
		headed = true;
		page_item(r->page, 0, TONE_PLAIN, label, words);
	}
}

static void
own_line(struct run *r, bool own, const char *id, text_at file, uint32_t line)
{
	struct buf b = {0};

	if (!own)
		return;
	user_message(&b, r->craft, id, "place", own_place(r, file, line), (const char *)NULL);
	page_add(r->page, BLOCK_PARAGRAPH, NULL, run_kept(r, &b));
}

static void
a_rule(struct run *r, const struct rule *u)
{
	page_add(r->page, BLOCK_TITLE, NULL, craft_text(r->craft, u->id));
	own_line(r, u->own, "own.rule", u->file, u->line);
	page_add(r->page, BLOCK_PARAGRAPH, NULL, craft_text(r->craft, u->why));
	pair(r, SAY(r, "why.degree"), SAY(r, "why.degree-means",
	    "degree", degree_text(r, (enum degree)u->degree), "means",
	    u->degree == DEGREE_GRAVE ? SAY(r, "degree.grave.means") :
	    u->degree == DEGREE_DOUBTFUL ? SAY(r, "degree.doubtful.means") :
	    SAY(r, "degree.mention.means")));
	pair(r, SAY(r, "why.each"), craft_text(r->craft, r->craft->kind[u->each].name));
	if (u->other != NO16)
		pair(r, SAY(r, "why.with"), craft_text(r->craft, r->craft->kind[u->other].name));
	pair(r, SAY(r, "why.when"), written(r, u->when));
	pair(r, SAY(r, "why.must"), written(r, u->must));
	pair(r, SAY(r, "why.says"), message_written(r, &u->say));
	pair(r, SAY(r, "finding.settle"), message_written(r, &u->settle));
	pair(r, SAY(r, "finding.scrap-test"), craft_text(r->craft, u->scrap_test));
	pair(r, SAY(r, "why.touches"), touches(r, u));
	pair(r, SAY(r, "why.names-entry"), craft_text(r->craft, u->names_entry));
	pair(r, SAY(r, "why.from"), cites_text(r, u->first_source, u->n_sources));
	examples(r, u->first_example, u->n_examples);
	check_sources(r);
}

/* The author's own words for a bound may begin with which bound it is. */
static void
bound(struct buf *b, const char *which, const char *text)
{
	buf_print(b, "%s%s", strncmp(text, which, strlen(which)) == 0 ? "" : which, text);
}

static const char *
take_written(struct run *r, const struct advice *a)
{
	const struct property *p = &r->craft->property[r->craft->setting[a->setting].property];
	const struct word_set *set = p->word_set < r->craft->n_word_set ?
	    &r->craft->word_set[p->word_set] : NULL;
	struct buf b = {0};

	if (a->low != NONE && a->low == a->high)
		buf_str(&b, written(r, a->low));
	else if (a->low != NONE && a->high != NONE)
		buf_print(&b, "%s .. %s", written(r, a->low), written(r, a->high));
	else if (a->low != NONE)
		bound(&b, "at least ", written(r, a->low));
	else if (a->high != NONE)
		bound(&b, "at most ", written(r, a->high));
	for (uint32_t i = 0; i < a->n_choices && set != NULL; i++) {
		uint16_t w = r->craft->choice[a->first_choice + i];

		if (w < set->n)
			buf_print(&b, "%s%s", b.n > 0 ? ", " : "",
			    craft_text(r->craft, r->craft->word[set->first + w].name));
	}
	return run_kept(r, &b);
}

/* The other advice for the same setting, which it may meet. */
static const char *
same_setting(struct run *r, const struct advice *a)
{
	struct buf b = {0};

	for (uint32_t i = 0; i < r->craft->n_advice; i++) {
		const struct advice *o = &r->craft->advice[i];

		if (o != a && o->setting == a->setting)
			buf_print(&b, "%s%s (%s)", b.n > 0 ? ", " : "", craft_text(r->craft, o->id),
			    strength_names[o->strength]);
	}
	return run_kept(r, &b);
}

static void
an_advice(struct run *r, const struct advice *a)
{
	page_add(r->page, BLOCK_TITLE, NULL, craft_text(r->craft, a->id));
	own_line(r, a->own, "own.advice-of", a->file, a->line);
	page_add(r->page, BLOCK_PARAGRAPH, NULL, message_written(r, &a->why));
	pair(r, SAY(r, "why.for-setting"), craft_text(r->craft, r->craft->setting[a->setting].name));
	pair(r, SAY(r, "why.when"), written(r, a->when));
	pair(r, SAY(r, "why.take"), take_written(r, a));
	pair(r, SAY(r, "column.start"), written(r, a->best));
	pair(r, SAY(r, "why.strength"), a->strength == STRENGTH_FIRM ? SAY(r, "settings.strength.firm")
	    : a->strength == STRENGTH_USUAL ? SAY(r, "settings.strength.usual")
	    : SAY(r, "settings.strength.leaning"));
	pair(r, SAY(r, "finding.scrap-test"), craft_text(r->craft, a->scrap_test));
	pair(r, SAY(r, "why.from"), cites_text(r, a->first_source, a->n_sources));
	pair(r, SAY(r, "why.meets"), same_setting(r, a));
	examples(r, a->first_example, a->n_examples);
	check_sources(r);
}

static uint32_t
rule_find(const struct run *r, strview id)
{
	for (uint32_t i = 0; i < r->craft->n_rule; i++)
		if (sv_is(id, craft_text(r->craft, r->craft->rule[i].id)))
			return i;
	return NONE;
}

static uint32_t
advice_find(const struct run *r, strview id)
{
	for (uint32_t i = 0; i < r->craft->n_advice; i++)
		if (sv_is(id, craft_text(r->craft, r->craft->advice[i].id)))
			return i;
	return NONE;
}

static uint32_t
order_rule_find(const struct run *r, strview id)
{
	for (uint32_t i = 0; i < r->craft->n_order_rule; i++)
		if (sv_is(id, craft_text(r->craft, r->craft->order_rule[i].id)))
			return i;
	return NONE;
}

static const char *
same_written(struct run *r, const struct order_rule *u)
{
	struct buf b = {0};

	for (uint16_t i = 0; i < u->n_same; i++)
		buf_print(&b, "%s%s", i > 0 ? ", " : "",
		    craft_text(r->craft, r->craft->property[u->same[i]].name));
	return run_kept(r, &b);
}

static void
an_order_rule(struct run *r, const struct order_rule *u)
{
	page_add(r->page, BLOCK_TITLE, NULL, craft_text(r->craft, u->id));
	own_line(r, u->own != 0, "own.rule", u->file, u->line);
	page_add(r->page, BLOCK_PARAGRAPH, NULL, craft_text(r->craft, u->why));
	pair(r, SAY(r, "why.first"), written(r, u->first));
	pair(r, SAY(r, "why.then"), written(r, u->then));
	pair(r, SAY(r, "why.same"), same_written(r, u));
	pair(r, SAY(r, "why.from"), cites_text(r, u->first_source, u->n_sources));
	examples(r, u->first_example, u->n_examples);
	check_sources(r);
}

bool
rule_page(struct run *r, strview id)
{
	uint32_t u = rule_find(r, id), a = advice_find(r, id), o = order_rule_find(r, id);

	if (u != NONE)
		a_rule(r, &r->craft->rule[u]);
	else if (a != NONE)
		an_advice(r, &r->craft->advice[a]);
	else if (o != NONE)
		an_order_rule(r, &r->craft->order_rule[o]);
	return u != NONE || a != NONE || o != NONE;
}

/* ---- JSON and dumps ------------------------------------------------------------ */

static void
text_key(struct json *j, const char *key, const char *text)
{
	json_key(j, key);
	json_str(j, text);
}

static void
examples_json(struct run *r, struct json *j, uint32_t first, uint32_t n)
{
	static const char *const kinds[] = {
		[EXAMPLE_FIRES] = "fires", [EXAMPLE_QUIET] = "quiet",
		[EXAMPLE_UNDECIDED] = "undecided", [EXAMPLE_GIVES] = "gives",
		[EXAMPLE_GIVES_NOT] = "gives not",
	};

	json_key(j, "examples");
	json_open(j, '[');
	for (uint32_t i = 0; i < n; i++) {
		const struct example *e = &r->craft->example[first + i];

		json_open(j, '{');
		text_key(j, "kind", kinds[e->kind]);
		text_key(j, "words", craft_text(r->craft, e->words));
		text_key(j, "value", craft_text(r->craft, e->value));
		json_key(j, "by_tool");
		json_bool(j, e->by_tool != 0);
		json_close(j, '}');
	}
	json_close(j, ']');
}

static void
why_json(struct run *r, uint32_t rule, uint32_t advice)
{
	struct json j;

	json_begin(r, &j);
	if (rule != NONE) {
		const struct rule *u = &r->craft->rule[rule];

		json_key(&j, "rule");
		json_open(&j, '{');
		text_key(&j, "id", craft_text(r->craft, u->id));
		json_own(&j, u->own ? ENTRY_OWN : 0);
		text_key(&j, "area", craft_text(r->craft, u->area));
		text_key(&j, "degree", degree_names[u->degree]);
		text_key(&j, "when", written(r, u->when));
		text_key(&j, "must", written(r, u->must));
		text_key(&j, "says", message_written(r, &u->say));
		text_key(&j, "remedy", message_written(r, &u->settle));
		text_key(&j, "why", craft_text(r->craft, u->why));
		text_key(&j, "scrap_test", craft_text(r->craft, u->scrap_test));
		json_key(&j, "touches");
		json_open(&j, '[');
		for (uint32_t i = 0; i < u->n_touches; i++)
			json_str(&j, craft_text(r->craft, r->craft->setting[u->touches[i]].name));
		json_close(&j, ']');
		examples_json(r, &j, u->first_example, u->n_examples);
		json_key(&j, "sources");
		json_cited(r, &j, u->first_source, u->n_sources);
		json_close(&j, '}');
	} else {
		const struct advice *a = &r->craft->advice[advice];

		json_key(&j, "advice");
		json_open(&j, '{');
		text_key(&j, "id", craft_text(r->craft, a->id));
		json_own(&j, a->own ? ENTRY_OWN : 0);
		text_key(&j, "area", craft_text(r->craft, a->area));
		text_key(&j, "setting", craft_text(r->craft, r->craft->setting[a->setting].name));
		text_key(&j, "when", written(r, a->when));
		text_key(&j, "take", take_written(r, a));
		text_key(&j, "strength", strength_names[a->strength]);
		text_key(&j, "why", message_written(r, &a->why));
		text_key(&j, "scrap_test", craft_text(r->craft, a->scrap_test));
		examples_json(r, &j, a->first_example, a->n_examples);
		json_key(&j, "sources");
		json_cited(r, &j, a->first_source, a->n_sources);
		json_close(&j, '}');
	}
	json_sources(r, &j);
	json_end(r, &j);
}

static void
order_rule_json(struct run *r, const struct order_rule *u)
{
	struct json j;

	json_begin(r, &j);
	json_key(&j, "order_rule");
	json_open(&j, '{');
	text_key(&j, "id", craft_text(r->craft, u->id));
	json_own(&j, u->own ? ENTRY_OWN : 0);
	text_key(&j, "first", written(r, u->first));
	text_key(&j, "then", written(r, u->then));
	json_key(&j, "same");
	json_open(&j, '[');
	for (uint16_t i = 0; i < u->n_same; i++)
		json_str(&j, craft_text(r->craft, r->craft->property[u->same[i]].name));
	json_close(&j, ']');
	text_key(&j, "why", craft_text(r->craft, u->why));
	examples_json(r, &j, u->first_example, u->n_examples);
	json_key(&j, "sources");
	json_cited(r, &j, u->first_source, u->n_sources);
	json_close(&j, '}');
	json_sources(r, &j);
	json_end(r, &j);
}

static void
expression_stages(struct run *r, const char *name, uint32_t program, const struct scope *scope)
{
	static const char *const stages[] = {"lex", "parse", "type"};

	if (program == NONE)
		return;
	for (size_t i = 0; i < sizeof stages / sizeof *stages; i++) {
		if (!wants_stage(r->ask, stages[i]))
			continue;
		buf_print(&r->out, "%s: %s\n", name, written(r, program));
		expression_dump(&r->out, r->craft, sv(written(r, program)), stages[i], scope, &r->diags);
	}
}

static void
order_dump(struct run *r, const struct order_rule *u)
{
	struct scope scope = {.n_variables = 1, .formula = NONE, .for_property = NONE};
	uint32_t kind = kind_find(r->craft, SV("operation"));

	for (size_t i = 0; i < VARIABLES_MAX; i++)
		scope.variable_kind[i] = NO16;
	scope.variable_kind[0] = (uint16_t)kind;
	scope.variable_name[0] = craft_text(r->craft, r->craft->kind[kind].name);
	expression_stages(r, "first", u->first, &scope);
	expression_stages(r, "then", u->then, &scope);
}

static void
dump(struct run *r, uint32_t rule, uint32_t advice)
{
	struct scope scope = {.n_variables = 1, .formula = NONE, .for_property = NONE};
	uint16_t each = rule != NONE ? r->craft->rule[rule].each : r->craft->advice[advice].each;

	for (size_t i = 0; i < VARIABLES_MAX; i++)
		scope.variable_kind[i] = NO16;
	scope.variable_kind[0] = each;
	scope.variable_name[0] = craft_text(r->craft, r->craft->kind[each].name);
	if (rule != NONE && r->craft->rule[rule].other != NO16) {
		scope.n_variables = 2;
		scope.variable_kind[1] = r->craft->rule[rule].other;
		scope.variable_name[1] = "other";
	}
	if (rule != NONE) {
		expression_stages(r, "when", r->craft->rule[rule].when, &scope);
		expression_stages(r, "must", r->craft->rule[rule].must, &scope);
	} else {
		expression_stages(r, "when", r->craft->advice[advice].when, &scope);
		expression_stages(r, "low", r->craft->advice[advice].low, &scope);
		expression_stages(r, "high", r->craft->advice[advice].high, &scope);
	}
}

static int
no_such(struct run *r, strview id)
{
	struct near near = {0};
	struct buf b = {0};

	for (uint32_t i = 0; i < r->craft->n_rule; i++)
		near_offer(&near, id, craft_text(r->craft, r->craft->rule[i].id));
	for (uint32_t i = 0; i < r->craft->n_advice; i++)
		near_offer(&near, id, craft_text(r->craft, r->craft->advice[i].id));
	for (uint32_t i = 0; i < r->craft->n_order_rule; i++)
		near_offer(&near, id, craft_text(r->craft, r->craft->order_rule[i].id));
	for (int i = 0; i < near.n; i++)
		buf_print(&b, "%s%s", i == 0 ? "" : ", ", near.name[i]);
	for (uint32_t i = 0, n = 0; near.n == 0 && i < r->craft->n_rule && n < 3; i++) {
		const char *name = craft_text(r->craft, r->craft->rule[i].id);

		if (strstr(name, id.p) != NULL)    /* a part of it may be remembered */
			buf_print(&b, "%s%s", n++ == 0 ? "" : ", ", name);
	}
	page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "why.not-found",
	    "name", arena_text(r->arena, id.p, id.n)));
	if (b.n > 0)
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "show.near", "near", b.p));
	buf_free(&b);
	return EXIT_FINDINGS;
}

int
command_why(struct run *r)
{
	strview id;
	uint32_t rule, advice, order;

	if (r->ask->n_args != 1)
		return usage(r, "name one rule or one piece of advice, as a finding names it");
	if (!run_knowledge(r))
		return EXIT_NOT_RUN;
	id = sv(r->ask->args[0]);
	rule = rule_find(r, id);
	advice = rule == NONE ? advice_find(r, id) : NONE;
	order = order_rule_find(r, id);
	if (rule == NONE && advice == NONE && order == NONE)
		return no_such(r, id);
	if (rule == NONE && advice == NONE) {
		if (r->ask->stages != NULL && !wants_stage(r->ask, "page"))
			order_dump(r, &r->craft->order_rule[order]);
		else if (r->ask->json)
			order_rule_json(r, &r->craft->order_rule[order]);
		else
			rule_page(r, id);
		return EXIT_SOUND;
	}
	if (r->ask->stages != NULL && !wants_stage(r->ask, "page"))
		dump(r, rule, advice);
	else if (r->ask->json)
		why_json(r, rule, advice);
	else
		rule_page(r, id);
	return EXIT_SOUND;
}
