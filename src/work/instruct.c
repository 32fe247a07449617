/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Wordings of kb/ filled from a model, and measures for two rulers.
 *
 * An inch figure is rounded to the coarsest mark that is fair, so that 15 mm is
 * 5/8 in as the trade writes it and 14 mm is 9/16 in, since 1/2 in would be a
 * different measure.
 */
#include "work/instruct.h"

#include <math.h>
#include <string.h>

/* ---- rounding -------------------------------------------------------------------- */

static double
worked_out(const struct craft *c, const char *name, double a, double b)
{
	range in[2] = {{a, a}, {b, b}};

	for (uint32_t i = 0; i < c->n_formula; i++) {
		struct cell got;
		tri valid;

		if (!sv_is(sv(name), craft_text(c, c->formula[i].name)) || c->formula[i].n_parameters > 2)
			continue;
		got = formula_work_out(c, i, in, &valid);
		return got.type == TYPE_QUANTITY && got.state == VALUE_KNOWN ? got.r.hi : 0;
	}
	return 0;
}

double
fair_difference(const struct craft *c, double distance, double unit)
{
	return worked_out(c, "fair-difference", distance, unit);
}

double
small_difference(const struct craft *c, double distance)
{
	return worked_out(c, "small-difference", distance, 0);
}

double
fair_fraction(const struct craft *c, double base, const struct unit *u)
{
	double mark = worked_out(c, "inch-mark", base, u->factor) / u->factor;

	if (!(mark > 0) || !(base < 1e6))
		return base / u->factor;
	for (int halvings = 0; halvings < 8; halvings++, mark /= 2) {
		double x = floor(base / u->factor / mark + 0.5) * mark;
		double greater = base > x * u->factor ? base : x * u->factor;

		if (x > 0 && fabs(x * u->factor - base) <=
		    worked_out(c, "written-difference", greater, u->factor) + 1e-12)
			return x;
	}
	return floor(base / u->factor / mark + 0.5) * mark;
}

bool
unit_is_metric(const struct unit *u)
{
	double x = u->factor;

	while (x < 0.99999 && x > 1e-9)
		x *= 10;
	while (x > 1.00001 && x < 1e9)
		x /= 10;
	return fabs(x - 1) < 1e-5;
}

static bool
is_plain(const struct unit *u)
{
	return u->form == UNIT_SCALE && u->numbering == 0;
}

/* The unit of the other ruler: of those the property takes, else for a length any
 * that is written in fractions; -1: none. */
static int
other_ruler(const struct craft *c, const struct property *p)
{
	const struct unit *first = &c->units->u[c->unit_list[p->first_unit]];

	if (!is_plain(first) || !unit_is_metric(first))
		return -1;
	for (uint32_t i = 1; i < p->n_units; i++) {
		const struct unit *u = &c->units->u[c->unit_list[p->first_unit + i]];

		if (is_plain(u) && (!unit_is_metric(u) || u->offset > first->offset + 1e-9 ||
		    u->offset < first->offset - 1e-9))
			return c->unit_list[p->first_unit + i];
	}
	for (uint32_t i = 0; i < c->units->n; i++)
		if (c->units->u[i].fraction && dim_eq(c->units->u[i].dim, p->dim))
			return (int)i;
	return -1;
}

void
both_rulers(struct buf *b, const struct craft *c, uint32_t property, range r, bool every)
{
	const struct property *p = &c->property[property];
	int other = p->n_units > 0 ? other_ruler(c, p) : -1;
	uint32_t more = 0;

	if (p->n_units == 0)
		return;
	range_print(b, c->units, c->unit_list[p->first_unit], r, p->step);
	for (uint32_t i = 1; i < p->n_units && (every || more == 0); i++)
		if (is_plain(&c->units->u[c->unit_list[p->first_unit]]) && r.lo > 0 &&
		    c->units->u[c->unit_list[p->first_unit + i]].form == UNIT_INVERSE) {
			buf_str(b, more++ == 0 ? " (" : ", ");
			range_print(b, c->units, c->unit_list[p->first_unit + i], r, 0);
		}
	if (more > 0) {
		buf_char(b, ')');
	} else if (other >= 0) {
		const struct unit *u = &c->units->u[other];

		if (u->fraction && r.lo > 0 && r.hi < 1e6)
			r = (range){fair_fraction(c, r.lo, u) * u->factor, fair_fraction(c, r.hi, u) * u->factor};
		buf_str(b, " (");
		range_print(b, c->units, other, r, 0);
		buf_char(b, ')');
	}
}

/* ---- wording ---------------------------------------------------------------------- */

static bool
slot(struct buf *b, const struct craft *c, const struct model *m, uint32_t program,
    const struct binding *binding, bool every)
{
	struct cell cell = eval(c, m, program, binding, NULL, NULL);
	uint32_t property = c->program[program].property;
	const struct property *p = property != NONE ? &c->property[property] : NULL;

	if (cell.type == TYPE_REF ? cell.ref < 0 : cell.state != VALUE_KNOWN && cell.type != TYPE_TRUTH)
		return false;
	if (cell.type == TYPE_QUANTITY && p != NULL && (!(fabs(cell.r.lo) < 1e12) ||
	    !(fabs(cell.r.hi) < 1e12)))
		return false;
	if (cell.type == TYPE_QUANTITY && p != NULL)
		both_rulers(b, c, property, cell.r, every);
	else
		cell_print(b, c, m, cell, property);
	return true;
}

bool
instruct_fill(struct buf *b, const struct craft *c, const struct model *m, const struct message *t,
    uint32_t object, bool every)
{
	size_t before = b->n;
	struct binding binding;

	for (size_t i = 0; i < VARIABLES_MAX; i++)
		binding.object[i] = NONE;
	binding.object[0] = object;
	for (uint32_t i = 0; i < t->n; i++) {
		const struct part *part = &c->part[t->first + i];

		buf_str(b, craft_text(c, part->literal));
		if (part->program < c->n_program && !slot(b, c, m, part->program, &binding, every)) {
			b->n = before;
			if (b->p != NULL)
				b->p[before] = '\0';
			return false;
		}
	}
	return true;
}

static bool
holds(const struct craft *c, const struct model *m, uint32_t program, uint32_t object)
{
	struct binding binding;

	for (size_t i = 0; i < VARIABLES_MAX; i++)
		binding.object[i] = NONE;
	binding.object[0] = object;
	return program == NONE || eval_truth(c, m, program, &binding) == TRI_TRUE;
}

bool
instruct_step(struct buf *b, struct knowledge *kb, const struct model *m, uint32_t object)
{
	const struct craft *c = m->craft;
	uint32_t entry = m->objects[object].entry;

	for (uint32_t i = 0; i < c->n_instruction && entry != NONE; i++) {
		const struct instruction *r = &c->instruction[i];

		if ((r->entry == entry || kb_entry_is(c, entry, r->entry)) &&
		    holds(c, m, r->when, object) && instruct_fill(b, c, m, &r->tell, object, false))
			return true;
	}
	(void)kb;
	if (entry == NONE || *craft_text(c, c->entry[entry].says) == '\0')
		return false;
	buf_str(b, craft_text(c, c->entry[entry].says));
	return true;
}

static bool
letter(char x)
{
	unsigned char u = (unsigned char)x;

	return (u >= 'a' && u <= 'z') || (u >= 'A' && u <= 'Z') || (u >= '0' && u <= '9') || u >= 0x80;
}

static char
small(char x)
{
	return x >= 'A' && x <= 'Z' ? (char)(x + 32) : x;
}

/* Does the whole word stand at AT? Its first letter may be a capital. */
static bool
stands(strview text, size_t at, strview word)
{
	if (at + word.n > text.n || (at > 0 && letter(text.p[at - 1])) ||
	    (at + word.n < text.n && letter(text.p[at + word.n])) || word.n == 0 ||
	    small(text.p[at]) != small(word.p[0]))
		return false;
	return memcmp(text.p + at + 1, word.p + 1, word.n - 1) == 0;
}

void
instruct_country(struct buf *b, const struct craft *c, strview text, uint16_t region)
{
	size_t i = 0;

	buf_add(b, "", 0);
	while (i < text.n) {
		const struct country_word *best = NULL;
		size_t best_n = 0;

		for (uint32_t k = 0; k < c->n_country_word && region != NO16; k++) {
			strview w = sv(craft_text(c, c->country_word[k].word));

			if (c->country_word[k].region == region && w.n > best_n && stands(text, i, w)) {
				best = &c->country_word[k];
				best_n = w.n;
			}
		}
		if (best == NULL) {
			buf_char(b, text.p[i++]);
			continue;
		}
		{
			const char *there = craft_text(c, best->there);
			bool capital = text.p[i] >= 'A' && text.p[i] <= 'Z' && there[0] >= 'a' && there[0] <= 'z';

			buf_char(b, capital ? (char)(there[0] - 32) : there[0]);
			buf_str(b, there + 1);
		}
		i += best_n;
	}
}

const char *
instruct_fact(struct arena *a, struct knowledge *kb, const struct model *m,
    const struct work_line *line, uint32_t object)
{
	const struct craft *c = m->craft;
	const struct property *p = &c->property[line->of];
	const value *v = model_slot(m, object, line->of);
	const struct word_set *set;
	uint32_t word = NONE, entry;
	const struct entry_record *rec;

	if (v->state != VALUE_KNOWN || p->type != TYPE_WORDS)
		return NULL;
	set = &c->word_set[p->word_set];
	for (uint32_t i = 0; i < set->n; i++)
		if (v->set[i >> 6] >> (i & 63) & 1) {
			if (word != NONE)
				return NULL;           /* one of several */
			word = i;
		}
	entry = word != NONE ? c->word[set->first + word].entry : NONE;
	if (entry == NONE)
		return NULL;
	rec = kb_entry(kb, entry);
	for (uint32_t i = 0; i < rec->n_typicals; i++)
		if (rec->typicals[i].property == line->fact) {
			struct buf b = {0};
			const value *t = &rec->typicals[i].usual;
			struct cell cell = {.type = c->property[line->fact].type, .state = t->state};
			const char *text;

			if (cell.type == TYPE_QUANTITY)
				cell.r = t->r;
			else
				memcpy(cell.set, t->set, sizeof cell.set);
			cell_print(&b, c, m, cell, line->fact);
			text = arena_text(a, b.n > 0 ? b.p : "", b.n);
			buf_free(&b);
			return text;
		}
	return NULL;
}
