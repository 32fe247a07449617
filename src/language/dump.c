/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Expressions and programs as text, for people who look inside.
 */
#include "language/language_impl.h"

static const char *const tree_names[TREE__COUNT] = {
#define T(name, text) [TREE_##name] = text,
#include "language/trees.def"
#undef T
};

static const char *const op_names[OP__COUNT] = {
#define O(name, text) [OP_##name] = text,
#include "language/ops.def"
#undef O
};

static void
type_print(struct buf *b, const struct craft *c, const struct kindred *k)
{
	switch ((enum value_type)k->type) {
	case TYPE_QUANTITY:
		buf_str(b, "quantity ");
		dim_print(b, k->dim);
		break;
	case TYPE_BAND:
		buf_str(b, "band ");
		dim_print(b, k->dim);
		break;
	case TYPE_WORDS:
		buf_str(b, "word");
		if (!k->bare) {
			buf_str(b, " of ");
			buf_str(b, craft_text(c, c->word_set[k->word_set].name));
		}
		break;
	case TYPE_REF:
		buf_str(b, "object ");
		if (k->ref_kind < c->n_kind)
			buf_str(b, craft_text(c, c->kind[k->ref_kind].name));
		break;
	case TYPE_TRUTH:
		buf_str(b, "truth");
		break;
	case TYPE__COUNT:
		break;
	}
}

void
tree_print(struct buf *b, const struct craft *c, const struct tree *t, int indent, bool typed)
{
	buf_print(b, "%*s%s", indent * 2, "", tree_names[t->type]);
	if (t->type == TREE_BINARY || t->type == TREE_COMPARE)
		buf_print(b, " %s", op_names[t->op]);
	if (t->name.n > 0) {
		buf_char(b, ' ');
		text_safe(b, t->name);
	}
	if (t->type == TREE_NUMBER) {
		buf_char(b, ' ');
		buf_number(b, t->number, 12);
		if (t->unit >= 0 && !typed) {
			buf_char(b, ' ');
			buf_str(b, c->units->u[t->unit].name);
		}
	}
	if (t->type == TREE_POWER)
		buf_print(b, " %d/%d", t->num, t->den);
	if (typed) {
		buf_str(b, "  : ");
		type_print(b, c, &t->is);
	}
	buf_char(b, '\n');
	for (int i = 0; i < 3; i++)
		if (t->kid[i] != NULL)
			tree_print(b, c, t->kid[i], indent + 1, typed);
	for (const struct tree *x = t->list; x != NULL; x = x->next)
		tree_print(b, c, x, indent + 1, typed);
}

void
expression_dump(struct buf *b, const struct craft *c, strview text, const char *stage,
    const struct scope *scope, struct diags *d)
{
	struct parse p = {.craft = c, .arena = d->arena, .diags = d, .text = text, .scope = scope};
	struct source *src = source_new(d->arena, "<expression>", text);
	struct tree *t;

	p.place = (struct place){src, 0, (uint32_t)text.n};
	if (sv_is(sv(stage), "lex")) {
		struct lexer l = {.units = c->units, .text = text};

		for (;;) {
			struct token k = lexer_next(&l);
			token_print(b, &k);
			if (k.type == TOKEN_END || k.type == TOKEN_BAD)
				return;
		}
	}
	t = parse_expression(&p);
	if (t == NULL)
		return;
	if (sv_is(sv(stage), "type") && !type_tree(&p, t, NULL))
		return;
	tree_print(b, c, t, 0, sv_is(sv(stage), "type"));
}

static void
path_print(struct buf *b, const struct craft *c, uint8_t reg, uint32_t number)
{
	const struct path *p = &c->path[number];

	if (reg != VARIABLE_ONE)
		buf_print(b, "%u:", reg);
	buf_str(b, craft_text(c, c->kind[p->root].name));
	for (uint8_t i = 0; i < p->n; i++) {
		buf_char(b, '.');
		buf_str(b, craft_text(c, c->property[p->prop[i]].name));
	}
}

static void
mask_print(struct buf *b, const struct craft *c, uint32_t set, const struct mask *k)
{
	bool first = true;

	buf_char(b, '{');
	for (uint32_t i = 0; i < c->word_set[set].n; i++)
		if (mask_has(k->set, i)) {
			buf_str(b, first ? "" : ", ");
			buf_str(b, craft_text(c, c->word[c->word_set[set].first + i].name));
			first = false;
		}
	buf_char(b, '}');
}

static void
instr_print(struct buf *b, const struct craft *c, const struct instr *i)
{
	buf_str(b, op_names[i->op]);
	buf_char(b, ' ');
	switch ((enum op)i->op) {
	case OP_CONST:
		buf_number(b, c->constant[i->b].lo, 12);
		break;
	case OP_WORDS:
	case OP_WORD_IN:
		mask_print(b, c, i->a, &c->mask[i->b]);
		break;
	case OP_LOAD:
	case OP_HAS:
		path_print(b, c, i->reg, i->b);
		break;
	case OP_IS:
		path_print(b, c, i->reg, i->a);
		buf_print(b, " %s", craft_text(c, c->entry[i->b].name));
		break;
	case OP_CALL:
		buf_str(b, craft_text(c, c->formula[i->b].name));
		break;
	case OP_TABLE:
		buf_str(b, craft_text(c, c->table[i->b].name));
		break;
	case OP_BARE:
		buf_str(b, craft_text(c, c->unit[i->b].name));
		break;
	case OP_POWER:
		buf_print(b, "%d/%u", (int16_t)i->a, i->b);
		break;
	case OP_GATHER:
		buf_print(b, "%u:%s how %u", i->reg, craft_text(c, c->kind[i->b].name), i->a);
		break;
	default:
		break;
	}
	if (i->step > 0) {
		buf_str(b, " step ");
		buf_number(b, i->step, 6);
	}
	buf_char(b, '\n');
}

void
program_print(struct buf *b, const struct craft *c, uint32_t program)
{
	const struct program *g = &c->program[program];

	for (uint32_t i = 0; i < g->n; i++) {
		buf_print(b, "%4u  ", i);
		instr_print(b, c, &c->instr[g->first + i]);
	}
}
