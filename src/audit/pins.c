/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Pins: is each number, each relation and each part of a rule held in place by
 * one of the rule's own examples?
 *
 * One thing at a time is changed in a private copy of the compiled craft, and
 * the examples of that rule are run again on the models made before. If no
 * example comes out otherwise, nobody would notice the change: the thing is
 * loose. Changed are:
 *
 *     a number       one step of the property it is compared with, up and down;
 *                    a bare coefficient: one in its last written digit
 *     < and <=       into each other; likewise > and >=
 *     and            one of its parts left out, each in turn
 *     a written set  each of its members left out
 *     a scale word   moved one place up and one down
 */
#include <stdlib.h>

#include "audit/audit_impl.h"

/* ---- running the examples of one rule ------------------------------------------ */

const struct example *
audit_example_of(const struct bench *b, uint32_t i)
{
	const struct craft *c = kb_craft(b->kb);

	return &c->example[(b->rule != NONE ? c->rule[b->rule].first_example
	    : c->advice[b->advice].first_example) + i];
}

static bool
passes(struct bench *b, uint32_t i)
{
	const char *said;
	struct model *m = model_copy(b->scratch, b->model[i]);
	bool ok;

	m->craft = &b->mutant;
	m->arena = b->scratch;
	m->cap_pedigrees = m->n_pedigrees; /* grow in the scratch arena */
	if (b->rule == NONE)
		ok = audit_example(b->scratch, b->kb, m, b->project[i], NONE, b->advice,
		    audit_example_of(b, i), &said);
	else {
		tri t = judge_rule(b->scratch, m, b->rule, NULL);
		enum example_kind k = (enum example_kind)audit_example_of(b, i)->kind;

		ok = k == EXAMPLE_FIRES ? t == TRI_FALSE : k == EXAMPLE_UNDECIDED ? t == TRI_UNKNOWN
		    : t == TRI_TRUE || t == TRI_ABSENT;
	}
	arena_reset(b->scratch);
	return ok;
}

bool
audit_noticed(struct bench *b)
{
	for (uint32_t i = 0; i < b->n; i++)
		if (passes(b, i) != b->passes[i])
			return true;
	return false;
}

static bool
marked_loose(struct bench *b, strview written)
{
	const struct loose *l;
	uint32_t n = kb_loose(b->kb, &l);

	for (uint32_t i = 0; i < n; i++)
		if (strcmp(l[i].owner, b->owner) == 0
		    && (sv_is(written, l[i].number)
			|| (sv_starts(written, l[i].number) && written.p[strlen(l[i].number)] == ' ')))
			return true;
	return false;
}

static void
loose(struct bench *b, uint32_t program, const char *what, strview written)
{
	const struct craft *c = kb_craft(b->kb);
	const struct program *g = &c->program[program];
	bool of_and = strstr(what, "`and`") != NULL;
	char text[640];

	written = sv_trim(written);
	snprintf(text, sizeof text, "%s:%u: %s (%s: %s): no example notices %s%s%.*s",
	    craft_text(c, g->file), g->line,
	    b->owner, b->where, craft_text(c, g->written), what,
	    written.n > 0 ? " " : "", (int)written.n, written.p);
	if (of_and && b->nth_and > 0) {
		size_t n = strlen(text);

		snprintf(text + n, sizeof text - n, " (the %u. from within)", b->nth_and);
	}
	if (b->suggest != NULL) {
		buf_print(b->suggest, "# %s\n", text);
		(void)audit_suggest(b);
	}
	audit_fail(b->out, b->part, "%s", text);
}

/* ---- numbers ----------------------------------------------------------------------- */

static bool
compares(uint8_t op)
{
	return (op >= OP_LT && op <= OP_IN_BAND);
}

/* The step by which a number is moved: that of the comparison it stands in by
 * itself, else one in its last written digit. */
static double
step_of(const struct craft *c, const struct program *g, const struct literal *l)
{
	uint32_t end = g->first + g->n;
	uint32_t next = l->instr + 1;

	if (next < end && compares(c->instr[next].op) && c->instr[next].step > 0)
		return c->instr[next].step;
	if (next + 1 < end && c->instr[next].op == OP_CONST && c->instr[next + 1].op == OP_BETWEEN
	    && c->instr[next + 1].step > 0)
		return c->instr[next + 1].step;
	return l->last_digit;
}

static void
pin_numbers(struct bench *b, uint32_t program, double band_step)
{
	const struct craft *c = kb_craft(b->kb);
	struct literal l[64];
	uint32_t n = program_literals(c, program, l, 64);

	for (uint32_t i = 0; i < n; i++) {
		range *x = &b->constants[c->instr[l[i].instr].b];
		double step = step_of(c, &c->program[program], &l[i]);
		range keep = *x;

		if (sv_is(l[i].written, "0") || sv_is(l[i].written, "1") || marked_loose(b, l[i].written))
			continue;
		if (band_step > 0 && c->program[program].n == 1)
			step = band_step;
		for (int sign = -1; sign <= 1; sign += 2) {
			b->part->tried++;
			*x = (range){keep.lo + sign * step, keep.hi + sign * step};
			if (!audit_noticed(b))
				loose(b, program, sign < 0 ? "lowering" : "raising", l[i].written);
		}
		*x = keep;
	}
}

/* ---- relations, parts and words ----------------------------------------------------- */

static void
pin_op(struct bench *b, uint32_t program, uint32_t at, enum op other,
    const char *what, const char *mark)
{
	uint8_t keep = b->instrs[at].op;

	if (marked_loose(b, sv(mark)))
		return;
	b->part->tried++;
	b->instrs[at].op = (uint8_t)other;
	if (!audit_noticed(b))
		loose(b, program, what, SV(""));
	b->instrs[at].op = keep;
}

static void
pin_members(struct bench *b, uint32_t program, const struct instr *i)
{
	const struct craft *c = kb_craft(b->kb);
	struct mask *k = &b->masks[i->b], keep = *k;
	uint32_t n = 0;

	for (uint32_t w = 0; w < 128; w++)
		n += keep.set[w >> 6] >> (w & 63) & 1;
	if (n < 2)
		return;
	for (uint32_t w = 0; w < c->word_set[i->a].n; w++) {
		const char *word = craft_text(c, c->word[c->word_set[i->a].first + w].name);

		if (!(keep.set[w >> 6] >> (w & 63) & 1) || marked_loose(b, sv(word)))
			continue;
		b->part->tried++;
		k->set[w >> 6] &= ~((uint64_t)1 << (w & 63));
		if (!audit_noticed(b))
			loose(b, program, "leaving out", sv(word));
		*k = keep;
	}
}

/* A word of a scale, one place up and one down. */
static void
pin_scale(struct bench *b, uint32_t program, const struct instr *i)
{
	const struct craft *c = kb_craft(b->kb);
	struct mask *k = &b->masks[i->b], keep = *k;
	uint32_t n = c->word_set[i->a].n, w = 0;

	if (!c->word_set[i->a].ordered)
		return;
	while (w < n && !(keep.set[w >> 6] >> (w & 63) & 1))
		w++;
	if (marked_loose(b, sv(craft_text(c, c->word[c->word_set[i->a].first + w].name))))
		return;
	for (int sign = -1; sign <= 1; sign += 2) {
		uint32_t to = w + (uint32_t)sign;

		if (to >= n)               /* also past the lower end */
			continue;
		b->part->tried++;
		*k = (struct mask){{0}};
		k->set[to >> 6] |= (uint64_t)1 << (to & 63);
		if (!audit_noticed(b))
			loose(b, program, sign < 0 ? "lowering" : "raising",
			    sv(craft_text(c, c->word[c->word_set[i->a].first + w].name)));
		*k = keep;
	}
}

static void
pin_program(struct bench *b, uint32_t program, const char *where, double band_step)
{
	const struct craft *c = kb_craft(b->kb);
	const struct program *g;

	if (program == NONE)
		return;
	g = &c->program[program];
	b->where = where;
	b->nth_and = 0;
	pin_numbers(b, program, band_step);
	for (uint32_t at = g->first; at < g->first + g->n; at++) {
		const struct instr *i = &c->instr[at];

		switch ((enum op)i->op) {
		case OP_LT: pin_op(b, program, at, OP_LE, "turning < into <=", "<"); break;
		case OP_LE: pin_op(b, program, at, OP_LT, "turning <= into <", "<="); break;
		case OP_GT: pin_op(b, program, at, OP_GE, "turning > into >=", ">"); break;
		case OP_GE: pin_op(b, program, at, OP_GT, "turning >= into >", ">="); break;
		case OP_AND:
			b->nth_and++;
			pin_op(b, program, at, OP_KEEP_LEFT, "leaving out what follows the `and`", "and");
			pin_op(b, program, at, OP_KEEP_RIGHT, "leaving out what stands before the `and`", "and");
			break;
		case OP_WORD_IN:
			if (i->reg == 0)
				pin_members(b, program, i);
			break;
		case OP_WORDS:
			pin_scale(b, program, i);
			break;
		default:
			break;
		}
	}
}

/* ---- the whole --------------------------------------------------------------------------- */

static void
bench_examples(struct bench *b, uint32_t n)
{
	b->n = 0;
	arena_reset(b->arena);
	for (uint32_t i = 0; i < n && i < EXAMPLES_MAX; i++) {
		const char *words = craft_text(kb_craft(b->kb), audit_example_of(b, i)->words);

		b->model[i] = audit_model(b->arena, b->kb, words, &b->project[i]);
		if (b->model[i] == NULL)
			return;
		if (b->rule != NONE)
			advise(b->arena, b->kb, b->model[i]);
		b->n = i + 1;
	}
	for (uint32_t i = 0; i < b->n; i++)
		b->passes[i] = passes(b, i);
}

void
audit_bench_rule(struct bench *b, uint32_t rule)
{
	const struct craft *c = kb_craft(b->kb);

	b->rule = rule;
	b->advice = NONE;
	snprintf(b->owner, sizeof b->owner, "rule %s", craft_text(c, c->rule[rule].id));
	bench_examples(b, c->rule[rule].n_examples);
}

void
audit_bench_advice(struct bench *b, uint32_t advice)
{
	const struct craft *c = kb_craft(b->kb);

	b->rule = NONE;
	b->advice = advice;
	snprintf(b->owner, sizeof b->owner, "advice %s", craft_text(c, c->advice[advice].id));
	bench_examples(b, c->advice[advice].n_examples);
}

/* A band is moved by one obtainable value, or nothing obtainable changes. */
double
audit_choice_step(const struct craft *c, const struct setting *s)
{
	double step = c->property[s->property].step;

	for (uint32_t k = 1; k < s->n_obtainable; k++) {
		double d = c->obtainable[s->first_obtainable + k] - c->obtainable[s->first_obtainable + k - 1];

		step = d > step ? d : step;
	}
	return step;
}

static void
pin_rules(struct bench *b)
{
	const struct craft *c = kb_craft(b->kb);

	for (uint32_t i = 0; i < c->n_rule; i++) {
		if (!audit_wanted(b->out, craft_text(c, c->rule[i].id)))
			continue;
		audit_bench_rule(b, i);
		pin_program(b, c->rule[i].when, "when", 0);
		pin_program(b, c->rule[i].must, "must", 0);
	}
}

static void
pin_advice(struct bench *b)
{
	const struct craft *c = kb_craft(b->kb);

	for (uint32_t i = 0; i < c->n_advice; i++) {
		const struct advice *a = &c->advice[i];
		double step = audit_choice_step(c, &c->setting[a->setting]);

		if (!audit_wanted(b->out, craft_text(c, a->id)))
			continue;
		audit_bench_advice(b, i);
		pin_program(b, a->when, "when", 0);
		pin_program(b, a->low, "take, lower end", step);
		if (a->high != a->low)
			pin_program(b, a->high, "take, upper end", step);
	}
}

static void *
twin(const void *p, size_t n, size_t size)
{
	void *copy = mem_alloc((n + 1) * size);

	if (n > 0)
		memcpy(copy, p, n * size);
	return copy;
}

void
audit_pins(struct audit *out, struct knowledge *kb, struct buf *suggest)
{
	const struct craft *c = kb_craft(kb);
	struct bench *b = mem_alloc(sizeof *b);

	b->out = out;
	b->kb = kb;
	b->suggest = suggest;
	b->arena = arena_new();
	b->scratch = arena_new();
	b->constants = twin(c->constant, c->n_constant, sizeof *b->constants);
	b->instrs = twin(c->instr, c->n_instr, sizeof *b->instrs);
	b->masks = twin(c->mask, c->n_mask, sizeof *b->masks);
	b->mutant = *c;
	b->mutant.constant = b->constants;
	b->mutant.instr = b->instrs;
	b->mutant.mask = b->masks;
	b->part = audit_part(out, "rule pins");
	pin_rules(b);
	b->part = audit_part(out, "advice pins");
	pin_advice(b);
	audit_figures(b);
	free(b->constants);
	free(b->instrs);
	free(b->masks);
	arena_free(b->arena);
	arena_free(b->scratch);
	free(b);
}
