/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What a stored craft must satisfy before anything is run: indices inside
 * their arrays, programs that keep to their stack, gatherings inside their
 * program. After this the evaluator needs no checks of its own.
 */
#include "language/language_impl.h"

/* Cells taken and given by each operation; gatherings are handled apart. */
static const struct { int8_t takes, gives; } effects[OP__COUNT] = {
	[OP_CONST] = {0, 1}, [OP_WORDS] = {0, 1}, [OP_LOAD] = {0, 1}, [OP_HAS] = {0, 1},
	[OP_PARAMETER] = {0, 1}, [OP_STORE] = {1, 0}, [OP_FETCH] = {0, 1},
	[OP_ADD] = {2, 1}, [OP_SUB] = {2, 1}, [OP_MUL] = {2, 1}, [OP_DIV] = {2, 1},
	[OP_NEG] = {1, 1}, [OP_ABS] = {1, 1}, [OP_POWER] = {1, 1},
	[OP_LEAST] = {2, 1}, [OP_GREATEST] = {2, 1}, [OP_ROUND] = {2, 1}, [OP_FLOOR] = {2, 1},
	[OP_CEIL] = {2, 1}, [OP_BARE] = {1, 1}, [OP_CALL] = {0, 1}, [OP_TABLE] = {1, 1},
	[OP_LT] = {2, 1}, [OP_LE] = {2, 1}, [OP_EQ] = {2, 1}, [OP_NE] = {2, 1}, [OP_GE] = {2, 1},
	[OP_GT] = {2, 1}, [OP_BETWEEN] = {3, 1}, [OP_IN_BAND] = {2, 1},
	[OP_WORD_LT] = {2, 1}, [OP_WORD_LE] = {2, 1}, [OP_WORD_EQ] = {2, 1}, [OP_WORD_NE] = {2, 1},
	[OP_WORD_GE] = {2, 1}, [OP_WORD_GT] = {2, 1}, [OP_WORD_IN] = {1, 1}, [OP_IS] = {0, 1},
	[OP_AND] = {2, 1}, [OP_OR] = {2, 1}, [OP_NOT] = {1, 1}, [OP_SKIP] = {0, 0},
	[OP_KEEP_LEFT] = {2, 1},
	[OP_KEEP_RIGHT] = {2, 1}, [OP_CHOOSE] = {3, 1},
	[OP_GATHER] = {0, 1}, [OP_GATHER_OF] = {0, 0}, [OP_GATHER_SIZE] = {0, 0},
};

static bool
path_sound(const struct craft *c, uint32_t number)
{
	const struct path *p = &c->path[number];
	uint16_t kind = p->root;

	if (p->n > 4 || kind >= c->n_kind)
		return false;
	for (uint8_t i = 0; i < p->n; i++) {
		const struct property *q;

		if (p->prop[i] >= c->n_property)
			return false;
		q = &c->property[p->prop[i]];
		if (q->kind != kind || (i + 1 < p->n && q->type != TYPE_REF))
			return false;
		kind = q->ref_kind;
		if (i + 1 < p->n && kind >= c->n_kind)
			return false;
	}
	return true;
}

static bool
operand_sound(const struct craft *c, const struct instr *i, uint32_t parameters)
{
	switch ((enum op)i->op) {
	case OP_CONST:
		return i->b < c->n_constant;
	case OP_WORDS:
	case OP_WORD_IN:
		return i->b < c->n_mask && i->a < c->n_word_set;
	case OP_LOAD:
	case OP_HAS:
		return i->b < c->n_path && (i->reg < VARIABLES_MAX || i->reg == VARIABLE_ONE);
	case OP_IS:
		return i->a < c->n_path && (i->reg < VARIABLES_MAX || i->reg == VARIABLE_ONE)
		    && i->b < c->n_entry;
	case OP_PARAMETER:
		return i->a < parameters;
	case OP_STORE:
	case OP_FETCH:
		return i->a < LOCALS_MAX;
	case OP_BARE:
		return i->b < c->n_unit;
	case OP_POWER:
		return i->b == 1 || i->b == 2 || i->b == 3 || i->b == 6;
	case OP_CALL:
		return i->b < c->n_formula && c->formula[i->b].n_parameters == i->a
		    && i->a <= PARAMETERS_MAX && c->formula[i->b].body < c->n_program;
	case OP_TABLE:
		return i->b < c->n_table;
	case OP_GATHER:
		return i->reg < VARIABLES_MAX && i->b < c->n_kind && i->a < 6;
	case OP_GATHER_OF:
		return i->a == NO16 || (i->a < c->n_property && i->b < c->n_path
		    && (i->reg < VARIABLES_MAX || i->reg == VARIABLE_ONE));
	default:
		return i->op < OP__COUNT;
	}
}

/* The audit leaves out a side of an `and` in a copy of its own. */
static bool
joins(uint8_t op)
{
	return op == OP_AND || op == OP_OR;
}

/* A run of instructions that must leave exactly one cell, and never more on the
 * stack than the program says: calls go by that. */
static bool
run_sound(const struct craft *c, uint32_t first, uint32_t n, int depth, int deepest,
    uint32_t parameters, int nested)
{
	int start = depth;
	struct { uint32_t to; int depth; } skip[STACK_MAX];
	uint32_t skips = 0;                /* that lead to an instruction still ahead */

	for (uint32_t k = 0; k < n; k++) {
		const struct instr *i = &c->instr[first + k];

		if (i->op >= OP__COUNT || !operand_sound(c, i, parameters))
			return false;
		if (i->op == OP_GATHER) {
			const struct instr *size = i + 2;
			uint32_t where, body;

			if (k + 2 >= n || i[1].op != OP_GATHER_OF || size->op != OP_GATHER_SIZE
			    || nested == GATHERS_MAX || !operand_sound(c, i + 1, parameters))
				return false;
			where = size->a;
			body = size->b;
			if (body > n || where + body > n - k - 3)
				return false;
			if (where > 0 && !run_sound(c, first + k + 3, where, depth, deepest, parameters,
			    nested + 1))
				return false;
			if (body > 0 && !run_sound(c, first + k + 3 + where, body, depth, deepest,
			    parameters, nested + 1))
				return false;
			k += 2 + where + body;
			depth++;
		} else {
			int takes = i->op == OP_CALL ? i->a : effects[i->op].takes;

			if (depth - start < takes)
				return false;
			depth += effects[i->op].gives - takes;
		}
		/* A skip leads over a whole side: from a truth on top to the same
		 * height, and such ways lie within each other. */
		if (i->op == OP_SKIP) {
			if (depth == start || i->b == 0 || i->b >= n - k || skips == STACK_MAX
			    || (skips > 0 && k + i->b >= skip[skips - 1].to)
			    || !joins(c->instr[first + k + i->b].op))
				return false;
			skip[skips].to = k + i->b;
			skip[skips++].depth = depth;
		}
		if (skips > 0 && skip[skips - 1].to == k && skip[--skips].depth != depth)
			return false;
		if (depth >= STACK_MAX - 1 || depth > deepest)
			return false;
	}
	return depth == start + 1 && skips == 0;
}

/* The cells of a table: by word within a set, else rising. */
static bool
points_sound(const struct craft *c, const struct table *t)
{
	const struct point *p = c->point + t->first;

	if (t->by_word && t->word_set >= c->n_word_set)
		return false;
	for (uint32_t i = 0; i < t->n; i++)
		if (!(t->by_word ? p[i].x >= 0 && p[i].x < 128 : i == 0 || p[i].x > p[i - 1].x))
			return false;
	return t->source == NONE || t->source < c->n_source;
}

/* Properties lie where their kind says, in the order of its slots. */
static bool
slots_sound(const struct craft *c)
{
	for (uint32_t i = 0; i < c->n_kind; i++) {
		const struct kind *k = &c->kind[i];

		for (uint32_t n = 0; n < k->n_properties; n++)
			if (c->property[k->first_property + n].kind != i ||
			    c->property[k->first_property + n].slot != n)
				return false;
		if (k->name_property != NONE && k->name_property >= c->n_property)
			return false;
	}
	return true;
}

static bool
property_of(const struct craft *c, uint16_t property, uint32_t kind, enum value_type type)
{
	return property < c->n_property && c->property[property].kind == kind
	    && (type == TYPE__COUNT || c->property[property].type == type);
}

#define SPAN(first, n, section) if ((first) > c->n_##section \
    || (n) > c->n_##section - (first)) return false;

/* Drawings: as many numbers as their shapes take. */
static bool
plans_sound(const struct craft *c)
{
	for (uint32_t i = 0; i < c->n_plan; i++) {
		SPAN(c->plan[i].first_shape, c->plan[i].n_shapes, plan_shape)
		SPAN(c->plan[i].words.first, c->plan[i].words.n, part)
		if (c->plan[i].kind >= c->n_kind
		    || (c->plan[i].when != NONE && c->plan[i].when >= c->n_program))
			return false;
	}
	for (uint32_t i = 0; i < c->n_plan_shape; i++) {
		const struct plan_shape *s = &c->plan_shape[i];

		SPAN(s->first_number, s->n_numbers, plan_number)
		if (s->type >= PLAN__COUNT || s->n_numbers < 2 || s->n_numbers > 2 * PLAN_POINTS_MOST + 3
		    || (s->type == PLAN_CIRCLE && s->n_numbers != 3)
		    || (s->type == PLAN_ARC && s->n_numbers != 5)
		    || (s->type == PLAN_DIMENSION && s->n_numbers != 4)
		    || (s->when != NONE && s->when >= c->n_program)
		    || (s->repeat != NONE && s->repeat >= c->n_program)
		    || (s->step != NONE && s->step >= c->n_program)
		    || (s->of != NONE && s->of >= c->n_property))
			return false;
	}
	for (uint32_t i = 0; i < c->n_plan_number; i++)
		if (c->plan_number[i] >= c->n_program)
			return false;
	return true;
}

/* What is reckoned up speaks of its own kind; what is laid, of quantities. */
static bool
reckonings_sound(const struct craft *c)
{
	for (uint32_t i = 0; i < c->n_reckoning; i++) {
		const struct reckoning *r = &c->reckoning[i];
		const uint16_t quantity[] = {r->need, r->buy, r->have};

		if (r->each >= c->n_kind || r->page >= RECKON__COUNT || r->n_shows > RECKON_SHOWS_MOST
		    || (r->when != NONE && r->when >= c->n_program) || r->shop.first > c->n_part
		    || r->shop.n > c->n_part - r->shop.first || r->first_source > c->n_cited
		    || r->n_sources > c->n_cited - r->first_source)
			return false;
		for (int k = 0; k < 3; k++)
			if (quantity[k] != NO16 && !property_of(c, quantity[k], r->each, TYPE_QUANTITY))
				return false;
		for (uint8_t k = 0; k < r->n_shows; k++)
			if (!property_of(c, r->shows[k], r->each, TYPE__COUNT))
				return false;
	}
	for (uint32_t i = 0; i < c->n_laying; i++) {
		const struct laying *l = &c->laying[i];
		const uint32_t program[] = {l->across, l->along, l->count};

		if (l->each >= c->n_kind || !property_of(c, l->onto, l->each, TYPE_REF)
		    || !property_of(c, l->roll, c->property[l->onto].ref_kind, TYPE_QUANTITY)
		    || !property_of(c, l->gives, c->property[l->onto].ref_kind, TYPE_QUANTITY)
		    || (l->when != NONE && l->when >= c->n_program)
		    || (l->turned != NONE && l->turned >= c->n_program))
			return false;
		for (int k = 0; k < 3; k++)
			if (program[k] >= c->n_program || c->program[program[k]].type != TYPE_QUANTITY)
				return false;
	}
	return true;
}

static bool
spans_sound(const struct craft *c)
{
	uint32_t steps = NONE;

	for (uint32_t i = 0; i < c->n_unit; i++) {
		SPAN(c->unit[i].first_spelling, c->unit[i].n_spellings, spelling)
		SPAN(c->unit[i].first_rung, c->unit[i].n_rungs, rung)
		if (c->unit[i].form > UNIT_LADDER)
			return false;
	}
	for (uint32_t i = 0; i < c->n_word_set; i++) {
		SPAN(c->word_set[i].first, c->word_set[i].n, word)
		if (c->word_set[i].n > 128)
			return false;
	}
	for (uint32_t i = 0; i < c->n_kind; i++)
		SPAN(c->kind[i].first_property, c->kind[i].n_properties, property)
	for (uint32_t i = 0; i < c->n_property; i++) {
		const struct property *q = &c->property[i];

		SPAN(q->first_unit, q->n_units, unit_list)
		if (q->kind >= c->n_kind || q->type >= TYPE_TRUTH || q->slot >= c->kind[q->kind].n_properties
		    || (q->type == TYPE_WORDS && q->word_set >= c->n_word_set)
		    || (q->type == TYPE_REF && q->ref_kind >= c->n_kind)
		    || (q->formula != NONE && q->formula >= c->n_program)
		    || (q->elsewhere != NONE && q->elsewhere >= c->n_program)
		    || (q->formula_entry != NONE && q->formula_entry >= c->n_entry)
		    || (q->from_default != NONE && q->from_default >= c->n_source)
		    || (q->bare_unit != NO16 && q->bare_unit >= c->n_unit) || q->role > 128)
			return false;
	}
	if (!slots_sound(c))
		return false;
	for (uint32_t i = 0; i < c->n_unit_list; i++)
		if (c->unit_list[i] >= c->n_unit)
			return false;
	for (uint32_t i = 0; i < c->n_table; i++) {
		SPAN(c->table[i].first, c->table[i].n, point)
		if (!points_sound(c, &c->table[i]))
			return false;
	}
	for (uint32_t i = 0; i < c->n_formula; i++)
		SPAN(c->formula[i].first_parameter, c->formula[i].n_parameters, parameter)
	for (uint32_t i = 0; i < c->n_rule; i++) {
		const struct rule *r = &c->rule[i];

		SPAN(r->say.first, r->say.n, part)
		SPAN(r->settle.first, r->settle.n, part)
		SPAN(r->first_source, r->n_sources, cited)
		SPAN(r->first_example, r->n_examples, example)
		if (r->each >= c->n_kind || (r->other != NO16 && r->other >= c->n_kind) || r->n_touches > 3
		    || r->must >= c->n_program || (r->when != NONE && r->when >= c->n_program)
		    || r->degree >= DEGREE__COUNT)
			return false;
		for (uint8_t k = 0; k < r->n_touches; k++)
			if (r->touches[k] >= c->n_setting)
				return false;
	}
	for (uint32_t i = 0; i < c->n_advice; i++) {
		const struct advice *r = &c->advice[i];

		SPAN(r->why.first, r->why.n, part)
		SPAN(r->first_source, r->n_sources, cited)
		SPAN(r->first_choice, r->n_choices, choice)
		SPAN(r->first_example, r->n_examples, example)
		if (r->setting >= c->n_setting || r->each >= c->n_kind || r->strength >= STRENGTH__COUNT
		    || (r->when != NONE && r->when >= c->n_program) || (r->low != NONE && r->low >= c->n_program)
		    || (r->high != NONE && r->high >= c->n_program) || (r->best != NONE
		        && r->best >= c->n_program))
			return false;
	}
	if (c->n_order_rule + c->n_order_change > 0 && (steps = kind_find(c, SV("operation"))) == NONE)
		return false;
	for (uint32_t i = 0; i < c->n_order_rule; i++) {
		const struct order_rule *r = &c->order_rule[i];

		SPAN(r->first_source, r->n_sources, cited)
		SPAN(r->first_example, r->n_examples, example)
		if (r->first >= c->n_program || r->then >= c->n_program || r->n_same > ORDER_SAME_MOST)
			return false;
		for (uint16_t k = 0; k < r->n_same; k++)
			if (r->same[k] >= c->n_property || c->property[r->same[k]].type != TYPE_REF
			    || c->property[r->same[k]].kind != steps)
				return false;
	}
	if (c->n_order_change > ORDER_CHANGES_MOST)
		return false;
	for (uint32_t i = 0; i < c->n_order_change; i++) {
		const struct order_change *r = &c->order_change[i];

		if ((r->where != NONE && r->where >= c->n_program) || r->n_of > ORDER_CHANGE_OF_MOST)
			return false;
		for (uint16_t k = 0; k < r->n_of; k++)
			if (r->of[k] >= c->n_property || c->property[r->of[k]].kind != steps)
				return false;
	}
	for (uint32_t i = 0; i < c->n_instruction; i++) {
		const struct instruction *r = &c->instruction[i];

		SPAN(r->tell.first, r->tell.n, part)
		if (r->entry >= c->n_entry || (r->when != NONE && r->when >= c->n_program))
			return false;
	}
	for (uint32_t i = 0; i < c->n_work_line; i++) {
		const struct work_line *r = &c->work_line[i];

		SPAN(r->tell.first, r->tell.n, part)
		if (r->list >= WORK_LIST__COUNT || (r->when != NONE && r->when >= c->n_program)
		    || (r->step != NONE && r->step >= c->n_program)
		    || (r->each != NO16 && r->each >= c->n_kind)
		    || (r->of != NO16 && r->of >= c->n_property)
		    || (r->fact != NO16 && r->fact >= c->n_property))
			return false;
	}
	for (uint32_t i = 0; i < c->n_proof_check; i++) {
		const struct proof_check *r = &c->proof_check[i];

		SPAN(r->say.first, r->say.n, part)
		SPAN(r->first_named, r->n_named, proof_text)
		SPAN(r->first_also, r->n_also, proof_text)
		SPAN(r->first_wanted, r->n_wanted, proof_text)
		SPAN(r->first_source, r->n_sources, cited)
		if (r->degree >= DEGREE__COUNT || (r->each != NO16 && r->each >= c->n_kind)
		    || (r->when != NONE && r->when >= c->n_program))
			return false;
	}
	for (uint32_t i = 0; i < c->n_proof_word; i++)
		if (c->proof_word[i].means >= PROOF__MEANS
		    || (c->proof_word[i].entry != NONE && c->proof_word[i].entry >= c->n_entry))
			return false;
	if (!reckonings_sound(c))
		return false;
	if (!plans_sound(c))
		return false;
	for (uint32_t i = 0; i < c->n_setting; i++) {
		SPAN(c->setting[i].first_obtainable, c->setting[i].n_obtainable, obtainable)
		SPAN(c->setting[i].first_also, c->setting[i].n_also, also)
		if (c->setting[i].property >= c->n_property
		    || (c->setting[i].applies != NONE && c->setting[i].applies >= c->n_program)
		    || (c->setting[i].unplaced != NONE && c->setting[i].unplaced >= c->n_program))
			return false;
	}
	for (uint32_t i = 0; i < c->n_user_message; i++)
		SPAN(c->user_message[i].text.first, c->user_message[i].text.n, part)
	for (uint32_t i = 0; i < c->n_part; i++)
		if (c->part[i].program < PART_LIMIT && c->part[i].program >= c->n_program)
			return false;
	for (uint32_t i = 0; i < c->n_cited; i++)
		if (c->cited[i] >= c->n_source)
			return false;
	for (uint32_t i = 0; i < c->n_entry; i++) {
		SPAN(c->entry[i].first_broader, c->entry[i].n_broader, broader)
		if (c->entry[i].kind >= c->n_entry_kind)
			return false;
	}
	for (uint32_t i = 0; i < c->n_broader; i++)
		if (c->broader[i] >= c->n_entry)
			return false;
	for (uint32_t i = 0; i < c->n_also; i++)
		if (c->also[i] >= c->n_property)
			return false;
	for (uint32_t i = 0; i < c->n_order; i++)
		if (c->order[i] >= c->n_property)
			return false;
	for (uint32_t i = 0; i < c->n_sheet; i++) {
		SPAN(c->sheet[i].first_part, c->sheet[i].n_parts, sheet_part)
		SPAN(c->sheet[i].first_usual, c->sheet[i].n_usual, sheet_entry)
		SPAN(c->sheet[i].first_taken, c->sheet[i].n_taken, choice)
		for (uint32_t k = 0; k < c->sheet[i].n_taken; k++)
			if (c->choice[c->sheet[i].first_taken + k] >= c->n_setting)
				return false;
		for (uint32_t k = 0; k < c->sheet[i].n_usual; k++)
			if (c->sheet_entry[c->sheet[i].first_usual + k] >= c->n_entry)
				return false;
	}
	for (uint32_t i = 0; i < c->n_sheet_part; i++) {
		const struct sheet_part *q = &c->sheet_part[i];

		SPAN(q->first_line, q->n_lines, sheet_line)
		SPAN(q->first_entry, q->n_entries, sheet_entry)
		SPAN(q->first_kind, q->n_kinds, sheet_entry)
		for (uint32_t k = 0; k < q->n_kinds; k++)
			if (c->sheet_entry[q->first_kind + k] >= c->n_entry_kind)
				return false;
		for (uint32_t k = 0; k < q->n_entries; k++)
			if (c->sheet_entry[q->first_entry + k] >= c->n_entry)
				return false;
		if (q->shows >= SHEET__COUNT || (q->where != NONE && q->where >= c->n_program)
		    || (q->kind != NO16 && q->kind >= c->n_kind)
		    || (q->source != NONE && q->source >= c->n_source)
		    || (q->shows == SHEET_PLACES && q->kind == NO16))
			return false;
	}
	for (uint32_t i = 0; i < c->n_sheet_line; i++) {
		const struct sheet_line *q = &c->sheet_line[i];

		SPAN(q->first_item, q->n_items, sheet_item)
		SPAN(q->first_case, q->n_cases, sheet_case)
		if (q->is > SHEET_WRITE || q->kind >= c->n_kind || (q->at != NONE && q->at >= c->n_program)
		    || (q->source != NONE && q->source >= c->n_source))
			return false;
	}
	for (uint32_t i = 0; i < c->n_sheet_item; i++)
		if (c->sheet_item[i].property >= c->n_property
		    || (c->sheet_item[i].setting != NO16 && c->sheet_item[i].setting >= c->n_setting))
			return false;
	for (uint32_t i = 0; i < c->n_sheet_case; i++) {
		SPAN(c->sheet_case[i].says.first, c->sheet_case[i].says.n, part)
		if (c->sheet_case[i].when != NONE && c->sheet_case[i].when >= c->n_program)
			return false;
	}
	for (uint32_t i = 0; i < c->n_measures; i++) {
		SPAN(c->measures[i].first, c->measures[i].n, unit_list)
		SPAN(c->measures[i].first_beside, c->measures[i].n_beside, unit_list)
	}
#undef SPAN
	return c->n_depends == c->n_property;
}

/* Programs in general, then the bodies and limits of formulas, which alone have
 * parameters: of a program used by two formulas, as many as the first has. */
static bool
programs_sound(const struct craft *c, struct arena *a)
{
	uint32_t *parameters = arena_alloc(a, (c->n_program + 1) * sizeof *parameters);

	for (uint32_t i = 0; i < c->n_path; i++)
		if (!path_sound(c, i))
			return false;
	for (uint32_t i = c->n_formula; i-- > 0;) {
		const struct formula *f = &c->formula[i];

		if (f->body < c->n_program)
			parameters[f->body] = f->n_parameters;
		if (f->valid < c->n_program)
			parameters[f->valid] = f->n_parameters;
	}
	for (uint32_t i = 0; i < c->n_program; i++) {
		const struct program *g = &c->program[i];

		if (g->first > c->n_instr || g->n > c->n_instr - g->first || g->variables > VARIABLES_MAX
		    || g->type >= TYPE__COUNT || (g->type == TYPE_WORDS && g->word_set >= c->n_word_set)
		    || (g->property != NONE && g->property >= c->n_property)
		    || !run_sound(c, g->first, g->n, 0, g->stack, parameters[i], 0))
			return false;
	}
	return true;
}

bool
craft_verify(const struct craft *c, struct arena *a, const char **why)
{
	*why = "the compiled knowledge is damaged";
	if (c->n_text == 0 || c->text[c->n_text - 1] != '\0' || c->n_kind >= NO16 || c->n_property > 1024
	    || !spans_sound(c))
		return false;
	if (!programs_sound(c, a)) {
		*why = "a compiled expression is damaged";
		return false;
	}
	*why = "";
	return true;
}
