/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The order of work: what goes before what, whichever detail brings the two,
 * and what is to change as seldom as can be from step to step.
 *
 * Both speak of one kind of object, the steps.
 */
#include "knowledge/knowledge_impl.h"

#include <stdlib.h>
#include <string.h>

static const char *const rule_keys[] = {"!id", "!first", "!then", "same", "!why", "!source",
	"names entry", "note", "!examples", NULL};
static const char *const change_keys[] = {"!change", "!label", "!of", "where", "note", NULL};

static uint32_t
kind_of_steps(struct compiler *c, const struct node *n)
{
	return find_kind(c, n, SV("operation"));
}

static uint32_t
condition(struct compiler *c, const struct node *item, const char *key, uint32_t kind)
{
	struct scope scope = {.n_variables = 1, .formula = NONE, .for_property = NONE};
	struct expected truth = {.type = TYPE_TRUTH};
	const struct node *n = node_get(item, key);

	if (n == NULL || !is_text(c, n, key))
		return NONE;
	scope.variable_kind[0] = (uint16_t)kind;
	scope.variable_name[0] = kept(c, sv(craft_text(maker_view(c->m),
	    maker_at_kind(c->m, (uint32_t)kind)->name)));
	return compile_expression(c, n, 0, &scope, &truth);
}

/* An order that hangs on a name holds for nothing that is called otherwise. */
static void
no_names(struct compiler *c, const struct node *item, const struct node *id, uint32_t program)
{
	const struct craft *v = maker_view(c->m);
	const struct program *g = program != NONE ? &v->program[program] : NULL;

	if (g == NULL || node_get(item, "names entry") != NULL)
		return;
	for (uint32_t k = 0; k < g->n; k++)
		if (v->instr[g->first + k].op == OP_IS) {
			diag(c->ds, id->place, D_RULE_NAMES_ENTRY, arena_print(c->arena,
			    "the order rule %s", kept(c, sv_trim(id->text))),
			    craft_text(v, v->entry[v->instr[g->first + k].b].name));
			return;
		}
}

static void
order_rule(struct compiler *c, const struct node *item)
{
	const struct node *id = item->type == NODE_MAP ? node_get(item, "id") : NULL;
	struct order_rule r = {.first = NONE, .then = NONE};
	struct texts same;
	uint32_t kind, column;

	if (!keys_known(c, item, "an order rule", rule_keys) || !is_text(c, id, "id"))
		return;
	if (symbols_find(&c->rules, sv_trim(id->text), NULL) != NULL ||
	    symbols_find(&c->advices, sv_trim(id->text), NULL) != NULL) {
		/* One look-up (`why ID`) serves all. */
		diag(c->ds, id->place, D_ORDER_NAME_TAKEN, kept(c, sv_trim(id->text)));
		return;
	}
	if (!new_name(c, &c->order_rules, "an order rule", id, sv_trim(id->text),
	    maker_view(c->m)->n_order_rule) || (kind = kind_of_steps(c, id)) == NONE)
		return;
	r.id = maker_text(c->m, sv_trim(id->text));
	r.why = get_text_at(c, item, "why");
	r.first = condition(c, item, "first", kind);
	r.then = condition(c, item, "then", kind);
	no_names(c, item, id, r.first);
	no_names(c, item, id, r.then);
	same = get_texts(c, item, "same");
	if (same.n > ORDER_SAME_MOST)
		diag(c->ds, same.node[ORDER_SAME_MOST]->place, D_TOO_MANY, "properties under same", "3");
	for (uint32_t i = 0; i < same.n && r.n_same < ORDER_SAME_MOST; i++) {
		uint32_t p = find_property(c, same.node[i], kind, sv_trim(same.node[i]->text));

		if (p == NONE)
			continue;
		if (maker_at_property(c->m, p)->type != TYPE_REF)
			diag(c->ds, same.node[i]->place, D_ORDER_NO_REFERENCE,
			    kept(c, sv_trim(same.node[i]->text)));
		r.same[r.n_same++] = (uint16_t)p;
	}
	if (!(read_examples(c, item, false, &r.first_example, &r.n_examples) & 1u << EXAMPLE_FIRES))
		diag(c->ds, id->place, D_RULE_NO_FIRING, kept(c, id->text));
	r.n_sources = read_cited(c, item, &r.first_source);
	place_line_column(id->place, &r.line, &column);
	r.file = maker_text(c->m, sv(id->place.src->name));
	r.own = is_own(c, id->place);
	if (r.first != NONE && r.then != NONE)
		maker_add_order_rule(c->m, &r, 1);
}

static void
order_change(struct compiler *c, const struct node *item)
{
	const struct node *name = item->type == NODE_MAP ? node_get(item, "change") : NULL;
	struct order_change r = {.where = NONE};
	struct texts of;
	uint32_t kind;

	if (!keys_known(c, item, "an order change", change_keys) || !is_text(c, name, "change"))
		return;
	if (!new_name(c, &c->order_changes, "an order change", name, sv_trim(name->text),
	    maker_view(c->m)->n_order_change) || (kind = kind_of_steps(c, name)) == NONE)
		return;
	if (maker_view(c->m)->n_order_change == ORDER_CHANGES_MOST) {
		diag(c->ds, name->place, D_TOO_MANY, "order changes", "4");
		return;
	}
	r.name = maker_text(c->m, sv_trim(name->text));
	r.label = get_text_at(c, item, "label");
	r.where = condition(c, item, "where", kind);
	of = get_texts(c, item, "of");
	if (of.n > ORDER_CHANGE_OF_MOST)
		diag(c->ds, of.node[ORDER_CHANGE_OF_MOST]->place, D_TOO_MANY, "properties under of", "4");
	for (uint32_t i = 0; i < of.n && r.n_of < ORDER_CHANGE_OF_MOST; i++) {
		uint32_t p = find_property(c, of.node[i], kind, sv_trim(of.node[i]->text));

		if (p != NONE)
			r.of[r.n_of++] = (uint16_t)p;
	}
	maker_add_order_change(c->m, &r, 1);
}

void
read_order(struct compiler *c)
{
	each_item(c, "order rules", order_rule);
	each_item(c, "order changes", order_change);
}
