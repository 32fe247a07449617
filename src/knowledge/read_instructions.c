/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Sheets of instructions: what is written for each step, the words by which a
 * sheet of another hand is read, what it must not leave out, and the words of
 * one country in place of the words of the house.
 */
#include "knowledge/knowledge_impl.h"

#include <string.h>

static const char *const instruction_keys[] = {"!operation", "when", "!tell", "names entry", "note",
	NULL};
static const char *const check_keys[] = {"!check", "each", "when", "named", "and named", "!wants",
    "!degree", "!say",
	"!why", "!source", "names entry", "note", NULL};
static const char *const word_keys[] = {"!means", "!words", "operation", "role", "region", "note",
    NULL};

static const char *const line_keys[] = {"!list", "column", "each", "when", "step", "tell", "of",
    "fact",
	"names entry", "note", NULL};

static const struct { const char *word; uint8_t means; } meanings[] = {
	{"list of materials", PROOF_MATERIALS}, {"list of tools", PROOF_TOOLS}, {"the work", PROOF_STEPS},
	{"remark", PROOF_REMARK}, {"joins two figures", PROOF_JOINS}, {"not now", PROOF_NOT_NOW},
	    {"in order", PROOF_THEN},
	{"step", PROOF_STEP}, {"doing", PROOF_DOING}, {"extent", PROOF_EXTENT},
	{"role used", PROOF_ROLE_USED}, {"role used throughout", PROOF_ROLE_PLAIN},
	{"words of", PROOF_WORDS_OF}, {"whole", PROOF_WHOLE}, {"measured", PROOF_MEASURED}, {"is",
	    PROOF_IS}, {"any time", PROOF_ANY_TIME}, {"material of", PROOF_MATERIAL_OF},
	{"otherwise", PROOF_OTHERWISE}, {"same everywhere", PROOF_SAME_EVERYWHERE},
};

static struct scope
scope_of(struct compiler *c, uint32_t kind)
{
	struct scope s = {.n_variables = kind != NONE, .formula = NONE, .for_property = NONE};

	for (size_t i = 0; i < VARIABLES_MAX; i++)
		s.variable_kind[i] = NO16;
	if (kind != NONE) {
		s.variable_kind[0] = (uint16_t)kind;
		s.variable_name[0] = kept(c, sv(craft_text(maker_view(c->m),
		    maker_at_kind(c->m, kind)->name)));
	}
	return s;
}

static uint32_t
condition(struct compiler *c, const struct node *item, const char *key, const struct scope *scope)
{
	static const struct expected truth = {.type = TYPE_TRUTH};
	const struct node *n = node_get(item, key);

	return n == NULL || !is_text(c, n, key) ? NONE : compile_expression(c, n, 0, scope, &truth);
}

static void
message(struct compiler *c, const struct node *item, const char *key, const struct scope *scope,
    struct message *m)
{
	const struct node *n = node_get(item, key);

	if (is_text(c, n, key))
		message_compile(c->m, n->text, text_place(n, 0, n->text.n), scope, m);
}

/* An entry of the kind `operation`, by any of its names. */
static uint32_t
operation(struct compiler *c, const struct node *n)
{
	const struct symbol *kind = symbols_find(&c->entry_kinds, SV("operation"), NULL);
	uint32_t e = find_entry(c, n, sv_trim(n->text), kind != NULL ? kind->id : NONE);

	if (e != NONE && kind != NULL && c->drafts[e].kind != kind->id) {
		diag(c->ds, n->place, D_INSTRUCTION_NO_OPERATION, kept(c, sv_trim(n->text)));
		return NONE;
	}
	return e;
}

static bool
shows_values(struct compiler *c, const struct message *m)
{
	for (uint32_t i = 0; i < m->n; i++)
		if (maker_at_part(c->m, m->first + i)->program != NONE)
			return true;
	return false;
}

static void
instruction(struct compiler *c, const struct node *item)
{
	const struct node *op = item->type == NODE_MAP ? node_get(item, "operation") : NULL;
	struct instruction r = {.when = NONE};
	struct scope scope;
	uint32_t kind, column;

	if (!keys_known(c, item, "an instruction", instruction_keys) || !is_text(c, op, "operation") ||
	    (kind = find_kind(c, op, SV("operation"))) == NONE || (r.entry = operation(c, op)) == NONE)
		return;
	scope = scope_of(c, kind);
	r.when = condition(c, item, "when", &scope);
	if (node_get(item, "when") != NULL && r.when == NONE)
		return;
	for (uint32_t i = 0; i < maker_view(c->m)->n_instruction; i++) {
		const struct instruction *q = maker_at_instruction(c->m, i);

		if (q->entry == r.entry && q->when == NONE && !shows_values(c, &q->tell)) {
			/* what stands behind one that always holds is never taken */
			diag(c->ds, op->place, D_INSTRUCTION_NEVER_TAKEN, kept(c, sv_trim(op->text)));
			return;
		}
	}
	message(c, item, "tell", &scope, &r.tell);
	place_line_column(op->place, &r.line, &column);
	r.file = maker_text(c->m, sv(op->place.src->name));
	maker_add_instruction(c->m, &r, 1);
}

static uint32_t
proof_texts(struct compiler *c, const struct node *item, const char *key, uint32_t *first)
{
	struct texts t = get_texts(c, item, key);

	*first = maker_view(c->m)->n_proof_text;
	for (uint32_t i = 0; i < t.n; i++) {
		text_at folded = maker_text(c->m, sv(name_key(c->arena, sv_trim(t.node[i]->text))));

		maker_add_proof_text(c->m, &folded, 1);
	}
	return t.n;
}

static void
proof_check(struct compiler *c, const struct node *item)
{
	static const char *const degrees[] = {"mention", "doubtful", NULL};
	const struct node *id = item->type == NODE_MAP ? node_get(item, "check") : NULL;
	const struct node *each, *degree;
	struct proof_check r = {.each = NO16, .when = NONE};
	struct scope scope;
	uint32_t kind = NONE, column;

	if (!keys_known(c, item, "a sheet check", check_keys) || !is_text(c, id, "check") ||
	    !is_text(c, degree = node_get(item, "degree"), "degree"))
		return;
	for (uint32_t i = 0; i < maker_view(c->m)->n_proof_check; i++)
		if (sv_is(sv_trim(id->text), craft_text(maker_view(c->m),
		    maker_at_proof_check(c->m, i)->id))) {
			diag(c->ds, id->place, D_ORDER_NAME_TAKEN, kept(c, sv_trim(id->text)));
			return;
		}
	while (degrees[r.degree] != NULL && !sv_is(sv_trim(degree->text), degrees[r.degree]))
		r.degree++;
	if (degrees[r.degree] == NULL) {
		diag(c->ds, degree->place, D_UNKNOWN_WORD, kept(c, degree->text), "degree",
		    "mention, doubtful");
		return;
	}
	if ((each = node_get(item, "each")) != NULL) {
		if (!is_text(c, each, "each") || (kind = find_kind(c, each, sv_trim(each->text))) == NONE)
			return;
		r.each = (uint16_t)kind;
	}
	r.id = maker_text(c->m, sv_trim(id->text));
	r.why = get_text_at(c, item, "why");
	scope = scope_of(c, kind);
	r.when = condition(c, item, "when", &scope);
	message(c, item, "say", &scope, &r.say);
	r.n_named = proof_texts(c, item, "named", &r.first_named);
	r.n_also = proof_texts(c, item, "and named", &r.first_also);
	r.n_wanted = proof_texts(c, item, "wants", &r.first_wanted);
	r.n_sources = read_cited(c, item, &r.first_source);
	place_line_column(id->place, &r.line, &column);
	r.file = maker_text(c->m, sv(id->place.src->name));
	maker_add_proof_check(c->m, &r, 1);
}

/* Materials: each, when, tell. Seams: when. Columns: column, and tell (of the seam,
 * or of a step near it) or of with fact. */
static void
work_line(struct compiler *c, const struct node *item)
{
	static const char *const lists[] = {[WORK_LIST_MATERIALS] = "materials",
	    [WORK_LIST_SEAMS] = "seams", [WORK_LIST_COLUMN] = "seam plan", [WORK_LIST_PLACE] = "place",
	    [WORK_LIST_BEFORE] = "before"};
	const struct node *list = item->type == NODE_MAP ? node_get(item, "list") : NULL;
	const struct node *each = list != NULL ? node_get(item, "each") : NULL, *of, *fact;
	struct work_line r = {.when = NONE, .step = NONE, .each = NO16, .of = NO16, .fact = NO16};
	struct scope scope;
	uint32_t kind, p;

	if (!keys_known(c, item, "a line of a sheet", line_keys) || !is_text(c, list, "list"))
		return;
	while (r.list < WORK_LIST__COUNT && !sv_is(sv_trim(list->text), lists[r.list]))
		r.list++;
	if (r.list == WORK_LIST__COUNT) {
		diag(c->ds, list->place, D_UNKNOWN_WORD, kept(c, list->text), "list",
		    "materials, seams, seam plan, before, place");
		return;
	}
	if ((kind = each == NULL ? find_kind(c, list, SV("operation"))
	    : is_text(c, each, "each") ? find_kind(c, each, sv_trim(each->text)) : NONE) == NONE)
		return;
	r.each = (uint16_t)kind;
	scope = scope_of(c, kind);
	r.head = get_text_at(c, item, "column");
	r.when = condition(c, item, "when", &scope);
	r.step = condition(c, item, "step", &scope);
	if (node_get(item, "tell") != NULL)
		message(c, item, "tell", &scope, &r.tell);
	of = node_get(item, "of");
	fact = node_get(item, "fact");
	if (of != NULL && is_text(c, of, "of") &&
	    (p = find_path_property(c, of, sv_trim(of->text), 0)) != NONE)
		r.of = (uint16_t)p;
	if (fact != NULL && is_text(c, fact, "fact") &&
	    (p = find_path_property(c, fact, sv_trim(fact->text), 0)) != NONE)
		r.fact = (uint16_t)p;
	if (r.list != WORK_LIST_SEAMS && (r.tell.n > 0) == (r.of != NO16 && r.fact != NO16)) {
		diag(c->ds, list->place, D_ONE_OF_KEYS, "a line of a sheet", "tell, of with fact");
		return;
	}
	maker_add_work_line(c->m, &r, 1);
}

/* The one word of a set written there, or NO16 with a message. */
static uint16_t
one_word(struct compiler *c, const struct node *n, uint32_t set)
{
	uint64_t m[2] = {0, 0};
	uint16_t w = 0;

	if (set == NONE || !get_words(c, n, sv_trim(n->text), 0, set, m))
		return NO16;
	while (w < 127 && !(m[w >> 6] >> (w & 63) & 1))
		w++;
	return w;
}

static void
proof_word(struct compiler *c, const struct node *item)
{
	const struct node *means = item->type == NODE_MAP ? node_get(item, "means") : NULL;
	const struct node *op, *role, *region;
	struct proof_word w = {.role = NO16, .region = NO16, .entry = NONE, .means = PROOF__MEANS};
	struct buf known = {0};
	struct texts t;

	if (!keys_known(c, item, "words of a sheet", word_keys) || !is_text(c, means, "means"))
		return;
	for (size_t i = 0; i < sizeof meanings / sizeof *meanings; i++) {
		buf_print(&known, "%s%s", i > 0 ? ", " : "", meanings[i].word);
		if (sv_is(sv_trim(means->text), meanings[i].word))
			w.means = meanings[i].means;
	}
	if (w.means == PROOF__MEANS)
		diag(c->ds, means->place, D_UNKNOWN_WORD, kept(c, means->text), "means", known.p);
	buf_free(&known);
	op = node_get(item, "operation");
	role = node_get(item, "role");
	region = node_get(item, "region");
	if ((op != NULL) != (w.means == PROOF_STEP || w.means == PROOF_DOING ||
	    w.means == PROOF_WHOLE || w.means == PROOF_MATERIAL_OF ||
	    w.means == PROOF_ANY_TIME) ||
	    (role != NULL) != (w.means == PROOF_ROLE_USED || w.means == PROOF_ROLE_PLAIN) ||
	    (region != NULL) != (w.means == PROOF_WORDS_OF)) {
		diag(c->ds, means->place, D_INSTRUCTION_WORD_KEYS);
		return;
	}
	if ((op != NULL && (!is_text(c, op, "operation") || (w.entry = operation(c, op)) == NONE)) ||
	    (role != NULL && (!is_text(c, role, "role") ||
	    (w.role = one_word(c, role, c->role_set)) == NO16)) ||
	    (region != NULL && (!is_text(c, region, "region") ||
	    (w.region = one_word(c, region, c->region_set)) == NO16)))
		return;
	t = get_texts(c, item, "words");
	w.row = maker_view(c->m)->n_proof_word == 0 ? 0 : (uint16_t)(1 +
	    maker_at_proof_word(c->m, maker_view(c->m)->n_proof_word - 1)->row);
	for (uint32_t i = 0; i < t.n && w.means != PROOF__MEANS; i++) {
		w.folded = maker_text(c->m, sv(name_key(c->arena, sv_trim(t.node[i]->text))));
		maker_add_proof_word(c->m, &w, 1);
	}
}

/* word = as the house has it; REGION = as they have it there. */
static void
country_word(struct compiler *c, const struct node *item)
{
	const struct node *word = item->type == NODE_MAP ? node_get(item, "word") : NULL;
	struct country_word w = {0};

	if (word == NULL) {
		diag(c->ds, item->place, D_MISSING_KEY, "a country word", "word", "word");
		return;
	}
	if (!is_text(c, word, "word"))
		return;
	w.word = maker_text(c->m, sv_trim(word->text));
	for (const struct node *k = item->first; k != NULL; k = k->next) {
		if (sv_is(k->text, "word") || !is_text(c, k->value, "a country word"))
			continue;
		if ((w.region = one_word(c, k, c->region_set)) == NO16)
			continue;
		w.there = maker_text(c->m, sv_trim(k->value->text));
		maker_add_country_word(c->m, &w, 1);
	}
}

void
read_instructions(struct compiler *c)
{
	each_item(c, "instructions", instruction);
	each_item(c, "work lines", work_line);
	each_item(c, "proof checks", proof_check);
	each_item(c, "proof words", proof_word);
	each_item(c, "country words", country_word);
}
