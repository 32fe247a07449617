/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Findings, values and pedigrees in words.
 *
 * Every sentence and every joining word is a message of the knowledge base;
 * every number is shown in the units its property is shown in.  A message the
 * knowledge base lacks is shown by its id, so that nothing is lost.
 */
#include "judge/judge_impl.h"

/* ---- messages -------------------------------------------------------------- */

#define SLOTS_MAX 16

static strview
slot_value(strview name, const char *const slots[SLOTS_MAX][2], int n)
{
	for (int i = 0; i < n; i++)
		if (sv_is(name, slots[i][0]))
			return sv(slots[i][1]);
	return SV("");
}

void
user_message(struct buf *b, const struct craft *c, const char *id, ...)
{
	const char *slots[SLOTS_MAX][2], *slot;
	const struct user_message *u;
	uint32_t at = message_find(c, id);
	strview names;
	int n = 0;
	va_list ap;

	va_start(ap, id);
	while ((slot = va_arg(ap, const char *)) != NULL && n < SLOTS_MAX) {
		slots[n][0] = slot;
		slots[n][1] = va_arg(ap, const char *);
		n++;
	}
	va_end(ap);
	if (at == NONE) {
		buf_print(b, "[%s]", id);
		for (int i = 0; i < n; i++)
			buf_print(b, " %s", slots[i][1] ? slots[i][1] : "");
		return;
	}
	u = &c->user_message[at];
	names = sv(craft_text(c, u->slots));
	for (uint32_t i = 0; i < u->text.n; i++) {
		size_t len = 0;

		buf_str(b, craft_text(c, c->part[u->text.first + i].literal));
		if (i + 1 == u->text.n)
			break;
		while (len < names.n && names.p[len] != ' ')
			len++;
		buf_sv(b, slot_value((strview){ names.p, len }, slots, n));
		names.p += len < names.n ? len + 1 : len;
		names.n -= len < names.n ? len + 1 : len;
	}
}

/* ---- values ---------------------------------------------------------------- */

uint32_t
property_of_dim(const struct craft *c, dimension d)
{
	for (uint32_t i = 0; i < c->n_property && !dim_none(d); i++)
		if (c->property[i].type == TYPE_QUANTITY && c->property[i].n_units &&
		    dim_eq(c->property[i].dim, d))
			return i;
	return NONE;
}

static const char *
take(const struct buf *b)
{
	return b->p ? b->p : "";
}

static bool
all_words(const struct word_set *set, const uint64_t m[2])
{
	for (uint32_t i = 0; i < set->n; i++)
		if (!(m[i >> 6] >> (i & 63) & 1))
			return false;
	return true;
}

/* "a", "a or b", "a, b or c" */
static void
print_words(struct buf *b, const struct craft *c, uint16_t word_set, const uint64_t m[2])
{
	const struct word_set *set = &c->word_set[word_set];
	struct buf so_far = { 0 }, joined = { 0 };
	const char *last = NULL;

	if (all_words(set, m) && set->n > 1) {
		user_message(b, c, "value.unknown", (char *)NULL);
		return;
	}
	for (uint32_t i = 0; i < set->n; i++) {
		if (!(m[i >> 6] >> (i & 63) & 1))
			continue;
		if (last && !so_far.n) {
			buf_str(&so_far, last);
		} else if (last) {
			buf_clear(&joined);
			user_message(&joined, c, "value.list", "first", take(&so_far), "next",
			    last, (char *)NULL);
			buf_clear(&so_far);
			buf_str(&so_far, take(&joined));
		}
		last = craft_text(c, c->word[set->first + i].name);
	}
	if (!last)
		user_message(b, c, "value.none", (char *)NULL);
	else if (!so_far.n)
		buf_str(b, last);
	else
		user_message(b, c, "value.either", "first", take(&so_far), "last", last,
		    (char *)NULL);
	buf_free(&so_far);
	buf_free(&joined);
}

static int
plain_unit(const struct craft *c)
{
	for (uint32_t i = 0; i < c->units->n; i++)
		if (dim_none(c->units->u[i].dim) && c->units->u[i].form == UNIT_SCALE &&
		    c->units->u[i].factor == 1 && c->units->u[i].offset == 0)
			return (int)i;
	return -1;
}

/* Whoever chose the units takes round fractions for what they are about (15 mm is
 * 5/8 in to a maker). A fraction is kept within a quarter of the step. */
static double
step_in(const struct craft *c, const struct property *p, uint32_t unit, range r)
{
	double free = 4 * p->about * (r.lo > 0 ? r.lo : 0);

	return c->beside && c->unit[unit].fraction && free > p->step && free < 1e6 ? free : p->step;
}

/* The same in the other unit, in brackets. */
static void
print_beside(struct buf *b, const struct craft *c, range r, uint32_t property)
{
	struct buf other = { 0 };

	range_print(&other, c->units, c->beside[property], r,
	    step_in(c, &c->property[property], c->beside[property], r));
	user_message(b, c, "value.beside", "other", take(&other), (char *)NULL);
	buf_free(&other);
}

static void
print_quantity(struct buf *b, const struct craft *c, struct cell cell, uint32_t property)
{
	const struct property *p = property == NONE ? NULL : &c->property[property];
	int unit = p && p->n_units ? (int)c->unit_list[p->first_unit] : plain_unit(c);
	bool everything = cell.r.lo <= -1e300 && cell.r.hi >= 1e300;

	if (p && cell.state == VALUE_UNKNOWN)
		everything = everything || (cell.r.lo <= p->domain.lo && cell.r.hi >= p->domain.hi);
	if (everything) {
		user_message(b, c, "value.unknown", (char *)NULL);
	} else if (unit >= 0) {
		range_print(b, c->units, unit, cell.r, p ? step_in(c, p, (uint32_t)unit, cell.r) : 0);
		if (p && c->beside && c->beside[property] != NO16)
			print_beside(b, c, cell.r, property);
	} else {
		buf_number(b, cell.r.lo, 3);
		if (!range_is_exact(cell.r)) {
			buf_char(b, '-');
			buf_number(b, cell.r.hi, 3);
		}
	}
}

void
cell_print(struct buf *b, const struct craft *c, const struct model *m, struct cell cell,
    uint32_t property)
{
	const struct property *p = property == NONE ? NULL : &c->property[property];

	if (cell.state == VALUE_ABSENT && cell.type != TYPE_TRUTH) {
		user_message(b, c, "value.none", (char *)NULL);
		return;
	}
	switch ((enum value_type)cell.type) {
	case TYPE_QUANTITY:
	case TYPE_BAND:
		print_quantity(b, c, cell, property);
		break;
	case TYPE_WORDS:
		if (p && p->type == TYPE_WORDS)
			print_words(b, c, p->word_set, cell.set);
		else
			user_message(b, c, "value.unknown", (char *)NULL);
		break;
	case TYPE_REF:
		if (m && cell.ref >= 0)
			buf_str(b, object_name(m, (uint32_t)cell.ref));
		else
			user_message(b, c, "value.none", (char *)NULL);
		break;
	case TYPE_TRUTH:
		if (cell.truth == TRI_TRUE || cell.truth == TRI_FALSE) {
			const struct word_set *yes_no = &c->word_set[0];

			buf_str(b, craft_text(c,
			    c->word[yes_no->first + (cell.truth == TRI_TRUE)].name));
		} else {
			user_message(b, c, "value.unknown", (char *)NULL);
		}
		break;
	case TYPE__COUNT:
		break;
	}
}

/* ---- templates ------------------------------------------------------------- */

void
message_fill(struct buf *b, const struct craft *c, const struct model *m,
    const struct message *message, const struct binding *binding, const struct cell *limit,
    uint32_t limit_property)
{
	for (uint32_t i = 0; i < message->n; i++) {
		const struct part *part = &c->part[message->first + i];
		const struct program *program;
		uint32_t property;
		struct cell cell;

		buf_str(b, craft_text(c, part->literal));
		if (part->program == PART_LIMIT) {
			if (limit)
				cell_print(b, c, m, *limit, limit_property);
			continue;
		}
		if (part->program == NONE)
			continue;
		program = &c->program[part->program];
		cell = eval(c, m, part->program, binding, NULL, NULL);
		property = program->property;
		if (property == NONE && cell.type == TYPE_QUANTITY)
			property = property_of_dim(c, program->dim);
		cell_print(b, c, m, cell, property);
	}
}

void
finding_says(struct buf *b, struct knowledge *kb, const struct model *m, const struct finding *f)
{
	const struct craft *c = kb_craft(kb);

	struct buf says = { 0 }, others = { 0 };

	if (!f->n_others) {
		message_fill(b, c, m, &c->rule[f->rule].say, &f->binding, &f->limit,
		    f->limit_property);
		return;
	}
	message_fill(&says, c, m, &c->rule[f->rule].say, &f->binding, &f->limit, f->limit_property);
	for (uint32_t i = 0; i < f->n_others; i++)
		buf_print(&others, "%s%s", i > 0 ? ", " : "", object_name(m, f->others[i]));
	user_message(b, c, "finding.others-too", "says", take(&says), "others", take(&others),
	    (char *)NULL);
	buf_free(&says);
	buf_free(&others);
}

/* The message for a comparison that came out so. */
static const char *
compared(uint8_t op, tri truth, bool words)
{
	bool yes = truth == TRI_TRUE;

	if (truth == TRI_UNKNOWN)
		return words ? "compare.may-be" : "compare.undecided";
	switch ((enum op)op) {
	case OP_LT:
	case OP_WORD_LT:
		return yes ? "compare.less" : "compare.at-least";
	case OP_LE:
	case OP_WORD_LE:
		return yes ? "compare.at-most" : "compare.greater";
	case OP_GE:
	case OP_WORD_GE:
		return yes ? "compare.at-least" : "compare.less";
	case OP_GT:
	case OP_WORD_GT:
		return yes ? "compare.greater" : "compare.at-most";
	case OP_EQ:
	case OP_WORD_EQ:
		return yes ? "compare.equal" : "compare.not-equal";
	case OP_NE:
	case OP_WORD_NE:
		return yes ? "compare.not-equal" : "compare.equal";
	case OP_BETWEEN:
	case OP_IN_BAND:
		return yes ? "compare.in" : "compare.not-in";
	case OP_WORD_IN:
	case OP_IS:
		return yes ? "compare.is" : "compare.is-not";
	case OP_CONST: case OP_WORDS: case OP_LOAD: case OP_HAS: case OP_PARAMETER:
	case OP_STORE: case OP_FETCH: case OP_ADD: case OP_SUB: case OP_MUL: case OP_DIV:
	case OP_NEG: case OP_ABS: case OP_POWER: case OP_LEAST: case OP_GREATEST:
	case OP_ROUND: case OP_FLOOR: case OP_CEIL: case OP_BARE: case OP_CALL: case OP_TABLE:
	case OP_AND: case OP_OR: case OP_NOT: case OP_CHOOSE: case OP_GATHER:
	case OP_GATHER_OF: case OP_GATHER_SIZE: case OP_SKIP: case OP_KEEP_LEFT: case OP_KEEP_RIGHT:
	case OP__COUNT:
		break;
	}
	return "compare.is";
}

static void
fact_print(struct buf *b, const struct craft *c, const struct model *m, struct fact f)
{
	const char *label = craft_text(c, c->property[f.property].label);

	if (!*label)
		label = craft_text(c, c->property[f.property].name);
	user_message(b, c, "fact.name", "property", label, "object", object_name(m, f.object),
	    (char *)NULL);
}

/* The left side of a comparison: a fact with its value, or a value with the
 * facts it is worked out from. */
static void
left_print(struct buf *b, const struct craft *c, const struct model *m, const struct reason *r,
    const struct buf *name)
{
	struct buf figure = { 0 }, facts = { 0 }, one = { 0 }, both = { 0 };

	cell_print(&figure, c, m, r->left, r->left_property);
	for (uint32_t i = 0; i < r->n_from; i++) {
		bool last = i + 1 == r->n_from;

		buf_clear(&one);
		fact_print(&one, c, m, r->from[i]);
		if (i == 0) {
			buf_str(&facts, take(&one));
			continue;
		}
		buf_clear(&both);
		user_message(&both, c, last ? "value.both" : "value.list", "first", take(&facts),
		    last ? "last" : "next", take(&one), (char *)NULL);
		buf_clear(&facts);
		buf_str(&facts, take(&both));
	}
	if (name->n)
		user_message(b, c, "because.value", "fact", take(name), "value", take(&figure),
		    (char *)NULL);
	else if (facts.n)
		user_message(b, c, "because.from", "value", take(&figure), "facts", take(&facts),
		    (char *)NULL);
	else
		buf_str(b, take(&figure));
	buf_free(&figure);
	buf_free(&facts);
	buf_free(&one);
	buf_free(&both);
}

void
finding_because(struct buf *b, struct knowledge *kb, const struct model *m,
    const struct finding *f, uint32_t nth)
{
	const struct craft *c = kb_craft(kb);
	const struct reason *r = &f->reasons[nth < f->n_reasons ? nth : 0];
	uint8_t op = c->instr[r->instr].op;
	bool words = r->left.type == TYPE_WORDS || op == OP_IS;
	struct buf left = { 0 }, right = { 0 }, name = { 0 };

	if (nth >= f->n_reasons)
		return;
	if (op == OP_IS) {
		buf_str(&left, r->object == NONE ? "" : object_name(m, r->object));
		buf_str(&right, craft_text(c, c->entry[c->instr[r->instr].b].name));
	} else {
		if (r->object != NONE && r->left_property != NONE)
			fact_print(&name, c, m, (struct fact){ r->object, r->left_property });
		if (name.n && r->left.state == VALUE_UNKNOWN) {
			user_message(b, c, "compare.unknown", "what", take(&name), (char *)NULL);
			goto done;
		}
		if (name.n && r->truth == TRI_TRUE && (op == OP_WORD_EQ || op == OP_WORD_IN)) {
			/* it is what was asked for: said once is enough */
			buf_str(&left, take(&name));
			cell_print(&right, c, m, r->left, r->left_property);
		} else {
			left_print(&left, c, m, r, &name);
			cell_print(&right, c, m, r->right, r->right_property);
		}
	}
	user_message(b, c, compared(op, r->truth, words), "left", take(&left), "right",
	    take(&right), (char *)NULL);
done:
	buf_free(&left);
	buf_free(&right);
	buf_free(&name);
}

/* ---- pedigrees ------------------------------------------------------------- */

static void
source_print(struct buf *b, const struct craft *c, uint32_t source)
{
	const struct cited_source *s;

	if (source >= c->n_source)
		return;
	s = &c->source[source];
	switch ((enum basis)s->basis) {
	case BASIS_MEMORY:
		user_message(b, c, "basis.memory", (char *)NULL);
		break;
	case BASIS_OWN:
		user_message(b, c, "basis.own", (char *)NULL);
		break;
	case BASIS_PRACTICE:
		user_message(b, c, "basis.practice", (char *)NULL);
		break;
	case BASIS_PUBLISHED:
		buf_str(b, craft_text(c, s->title));
		break;
	case BASIS__COUNT:
		break;
	}
}

/* The basis of both bounds: once where it is the same. */
static void
bases_print(struct buf *b, const struct craft *c, const struct pedigree *p)
{
	struct buf low = { 0 }, high = { 0 };

	source_print(&low, c, p->source_low);
	source_print(&high, c, p->source_high);
	if (!low.n || !high.n || strcmp(take(&low), take(&high)) == 0)
		buf_str(b, low.n ? take(&low) : take(&high));
	else
		user_message(b, c, "value.list", "first", take(&low), "next", take(&high),
		    (char *)NULL);
	buf_free(&low);
	buf_free(&high);
}

static void
place_print(struct buf *b, struct place place)
{
	if (!place.src)
		return;
	/* words are shown themselves; a file is named with line and column */
	if (place.src->name[0] == '<')
		text_safe(b, (strview){ place.src->text.p + place.at, place.n });
	else
		place_name(b, place);
}

void
pedigree_print(struct buf *b, struct knowledge *kb, const struct model *m, uint32_t pedigree)
{
	const struct craft *c = kb_craft(kb);
	const struct pedigree *p;
	struct buf basis = { 0 }, place = { 0 }, name = { 0 };
	const char *entry;
	bool entry_own;

	if (pedigree >= m->n_pedigrees)
		return;
	p = &m->pedigrees[pedigree];
	entry = p->entry < c->n_entry ? craft_text(c, c->entry[p->entry].name) : "";
	entry_own = p->entry < c->n_entry && c->entry[p->entry].own == ENTRY_OWN;
	bases_print(&basis, c, p);
	place_print(&place, p->place);
	switch ((enum pedigree_kind)p->kind) {
	case PEDIGREE_NONE:
		user_message(b, c, "pedigree.unknown", (char *)NULL);
		break;
	case PEDIGREE_SAID:
		if (place.n)
			user_message(b, c, p->measured ? "pedigree.measured-at" :
			    "pedigree.said-at", "place", take(&place), (char *)NULL);
		else
			user_message(b, c, p->measured ? "pedigree.measured" : "pedigree.said",
			    (char *)NULL);
		break;
	case PEDIGREE_TYPICAL:
		if (entry_own && (p->source_low >= c->n_source ||
		    c->source[p->source_low].basis != BASIS_OWN))
			user_message(&name, c, "own.mark", "says", entry, (char *)NULL);
		if (name.n)
			entry = take(&name);
		user_message(b, c, basis.n ? "pedigree.typical-by" : "pedigree.typical", "entry",
		    entry, "basis", take(&basis), (char *)NULL);
		break;
	case PEDIGREE_BROUGHT:
		user_message(b, c, "pedigree.brought", "entry", entry, (char *)NULL);
		break;
	case PEDIGREE_DERIVED:
		user_message(b, c, "pedigree.derived", (char *)NULL);
		break;
	case PEDIGREE_ADVISED:
		user_message(b, c, "pedigree.advised", (char *)NULL);
		break;
	case PEDIGREE_ASSUMED:
		user_message(b, c, "pedigree.assumed", (char *)NULL);
		break;
	}
	buf_free(&basis);
	buf_free(&place);
	buf_free(&name);
}
