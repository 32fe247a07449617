/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The trace dump: one rule step by step, for those who want to see why.
 * A dump for developers, so its few words stand here and in ops.def.
 */
#include "judge/judge_impl.h"

static const char *const op_text[OP__COUNT] = {
#define O(name, text) [OP_##name] = text,
#include "language/ops.def"
#undef O
};

static void
path_print(struct buf *b, const struct model *m, const struct instr *in)
{
	const struct craft *c = m->craft;
	const struct path *path = &c->path[in->op == OP_IS ? in->a : in->b];

	buf_str(b, craft_text(c, c->kind[path->root].name));
	for (uint8_t i = 0; i < path->n; i++)
		buf_print(b, ".%s", craft_text(c, c->property[path->prop[i]].name));
}

static void
cell_dump(struct buf *b, const struct model *m, struct cell cell, uint32_t property)
{
	if (cell.type == TYPE_TRUTH)
		buf_str(b, tri_name(cell.truth));
	else if (cell.state == VALUE_ABSENT)
		buf_str(b, "absent");
	else
		cell_print(b, m->craft, m, cell, property);
}

static void
step_dump(struct buf *b, const struct model *m, uint32_t program, const struct step *s)
{
	const struct craft *c = m->craft;
	const struct instr *in = &c->instr[s->instr];
	struct sides sides = { .left_property = NONE, .right_property = NONE, .left_path = NONE };
	uint32_t property = NONE;

	buf_str(b, "        ");
	if (in->op == OP_LOAD || in->op == OP_HAS) {
		const struct path *path = &c->path[in->b];

		buf_print(b, "%s ", op_text[in->op]);
		path_print(b, m, in);
		if (s->object != NONE)
			buf_print(b, " of #%u", s->object);
		if (in->op == OP_LOAD && path->n)
			property = path->prop[path->n - 1];
	} else if (in->op == OP_IS) {
		path_print(b, m, in);
		buf_print(b, " is %s", craft_text(c, c->entry[in->b].name));
	} else if (is_comparison(in->op)) {
		sides = comparison_sides(c, program, s->instr);
		if (sides.left_property == NONE && sides.right_property == NONE &&
		    compares_quantities(in->op))
			sides.left_property = property_of_dim(c, instr_dimension(in));
		if (sides.right_property == NONE)
			sides.right_property = sides.left_property;
		if (sides.left_property == NONE)
			sides.left_property = sides.right_property;
		cell_dump(b, m, s->left, sides.left_property);
		buf_print(b, " %s ", op_text[in->op]);
		cell_dump(b, m, s->right, sides.right_property);
	} else {
		buf_str(b, op_text[in->op]);
	}
	buf_str(b, " : ");
	cell_dump(b, m, s->result, property);
	buf_char(b, '\n');
}

static tri
program_dump(struct buf *b, const struct model *m, const char *what, uint32_t program,
    const struct binding *binding)
{
	const struct craft *c = m->craft;
	struct step steps[TRACE_MAX];
	struct trace trace = { .steps = steps, .cap = TRACE_MAX };
	tri t = eval(c, m, program, binding, &trace, NULL).truth;

	buf_print(b, "    %s %s : %s\n", what, craft_text(c, c->program[program].written),
	    tri_name(t));
	for (uint32_t i = 0; i < trace.n; i++)
		step_dump(b, m, program, &steps[i]);
	return t;
}

static void
truth_dump(struct buf *b, const struct model *m, const struct truth *t)
{
	const struct craft *c = m->craft;

	for (uint32_t i = 0; i < t->n_facts; i++)
		buf_print(b, "    hangs on %s of #%u\n",
		    craft_text(c, c->property[t->facts[i].property].name), t->facts[i].object);
	for (uint32_t i = 0; i < t->n_tips; i++) {
		const struct tip *tip = &t->tips[i];
		const struct property *p = &c->property[tip->fact.property];

		buf_print(b, "    tips in %s at ", craft_text(c, p->name));
		if (p->type == TYPE_WORDS) {
			cell_dump(b, m, (struct cell){ .set = { tip->set_true[0],
			    tip->set_true[1] }, .type = TYPE_WORDS, .state = VALUE_KNOWN },
			    tip->fact.property);
			buf_char(b, '\n');
			continue;
		}
		cell_dump(b, m, (struct cell){ .r = { tip->at, tip->at }, .type = TYPE_QUANTITY,
		    .state = VALUE_KNOWN }, tip->fact.property);
		buf_print(b, ": %s below, %s above\n", tri_name(tip->below), tri_name(tip->above));
	}
}

bool
judge_trace(struct buf *b, struct knowledge *kb, struct model *m, uint32_t number)
{
	const struct craft *c = kb_craft(kb);
	const struct rule *rule;
	struct round round;
	struct binding binding;

	if (number >= c->n_rule)
		return false;
	rule = &c->rule[number];
	round = round_of(m, rule);
	while (round_next(&round, &binding)) {
		struct verdict v = verdict_of(m, rule, &binding,
		    plain_truths(m, rule, &binding), LOOK_FULLY, NULL);

		buf_print(b, "  #%u %s", binding.object[0], object_name(m, binding.object[0]));
		if (binding.object[1] != NONE)
			buf_print(b, ", #%u %s", binding.object[1],
			    object_name(m, binding.object[1]));
		buf_print(b, " : %s%s\n", tri_name(v.is), v.on_act ? " (an act nobody said)" : "");
		if (rule->when != NONE) {
			tri t = program_dump(b, m, "when", rule->when, &binding);

			if (t == TRI_FALSE || t == TRI_ABSENT)
				continue;
		}
		program_dump(b, m, "must", rule->must, &binding);
		if (v.is == TRI_UNKNOWN)
			truth_dump(b, m, &v.truth);
	}
	return true;
}
