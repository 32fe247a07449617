/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What a line of a sheet says of one cloth: choices, properties, or the first of
 * its own texts whose condition holds for certain.
 */
#include "command/handout_impl.h"

#include <string.h>

enum { REASONS_MOST = 2, FORM_MOST = 8 };

const char *const handout_suited_ids[SUIT__COUNT] = {
	[SUIT_WELL] = "handout.well", [SUIT_CARE] = "handout.care",
	[SUIT_FIND_OUT] = "handout.find-out", [SUIT_NOT] = "handout.not",
};

void
handout_cite(struct handout *h, uint32_t source)
{
	const struct craft *c = h->r->craft;

	if (source == NONE || source >= c->n_source)
		return;
	cite(h->r, source);
	if (h->here == NULL)
		h->here = arena_alloc(h->r->arena, (c->n_source + 1) * sizeof *h->here);
	for (uint32_t i = 0; i < h->n_here; i++)
		if (h->here[i] == source)
			return;
	h->here[h->n_here++] = source;
}

/* ---- names ---------------------------------------------------------------------- */

const char *
handout_name(struct handout *h, uint32_t entry)
{
	const struct craft *c = h->r->craft;

	for (uint32_t i = 0; h->region != NO16 && i < c->n_name; i++)
		if (c->name[i].target == NAME_ENTRY && c->name[i].id == entry &&
		    c->name[i].region == h->region && !c->name[i].inflected)
			return craft_text(c, c->name[i].written);
	return craft_text(c, c->entry[entry].name);
}

/* ---- objects -------------------------------------------------------------------- */

static struct binding
bound(uint32_t object)
{
	struct binding b;

	for (size_t i = 0; i < VARIABLES_MAX; i++)
		b.object[i] = NONE;
	b.object[0] = object;
	return b;
}

uint32_t
handout_object(const struct handout *h, const struct handout_cloth *k, uint16_t kind, uint32_t at)
{
	const struct model *m = k->c.model;

	for (uint32_t o = m->first_of_kind[kind]; o != NONE; o = m->objects[o].next) {
		struct binding b = bound(o);

		if (at == NONE || eval_truth(h->r->craft, m, at, &b) == TRI_TRUE)
			return o;
	}
	return NONE;
}

/* Objects that are part of the cloth: those of a kind with a reference to it. */
static bool
is_part_of(const struct craft *c, const struct model *m, uint32_t object, uint32_t whole)
{
	const struct kind *q = &c->kind[m->objects[object].kind];

	for (uint32_t i = 0; i < q->n_properties; i++) {
		const struct property *p = &c->property[q->first_property + i];

		if (p->type == TYPE_REF && p->ref_kind == m->objects[whole].kind) {
			const value *v = model_slot(m, object, q->first_property + i);

			if (v->state == VALUE_KNOWN && v->ref == (int64_t)whole)
				return true;
		}
	}
	return false;
}

/* ---- one item --------------------------------------------------------------------- */

/* The values where the line's form has places for them, if there are as many; else
 * with commas between. */
static const char *
formed(struct handout *h, const struct sheet_line *l, const char *const *values, uint32_t n)
{
	strview form = sv(craft_text(h->r->craft, l->form));
	uint32_t places = 0, at = 0;
	struct buf b = {0};

	buf_add(&b, "", 0);
	for (size_t i = 0; i + 1 < form.n; i++)
		places += form.p[i] == '{' && form.p[i + 1] == '}';
	if (places != n || n == 0) {
		for (uint32_t i = 0; i < n; i++)
			buf_print(&b, "%s%s", i > 0 ? ", " : "", values[i]);
		return run_kept(h->r, &b);
	}
	for (size_t i = 0; i < form.n; i++)
		if (form.p[i] == '{' && i + 1 < form.n && form.p[i + 1] == '}') {
			buf_str(&b, values[at++]);
			i++;
		} else {
			buf_char(&b, form.p[i]);
		}
	return run_kept(h->r, &b);
}

struct values { const char *of[FORM_MOST]; uint32_t n; };

static void
joined(struct values *b, const char *text)
{
	if (*text != '\0' && b->n < FORM_MOST)
		b->of[b->n++] = text;
}

/* In a word of a set made of entries, what people of the reader's country say. */
static const char *
shown(struct handout *h, const struct handout_cloth *k, uint32_t property, const value *v)
{
	const struct craft *c = h->r->craft;
	const struct property *p = &c->property[property];
	const struct word_set *set = p->type == TYPE_WORDS ? &c->word_set[p->word_set] : NULL;

	if (v == NULL || v->state != VALUE_KNOWN)
		return "";
	for (uint32_t i = 0; set != NULL && set->entries_of != NO16 && i < set->n; i++)
		if (v->set[i >> 6] == (uint64_t)1 << (i & 63) && v->set[!(i >> 6)] == 0)
			return handout_name(h, c->word[set->first + i].entry);
	return value_text(h->r, k->c.model, property, v);
}

static void
setting_item(struct handout *h, struct values *b, const struct sheet_item *it,
    const struct sheet_line *l, const struct handout_cloth *k, uint32_t object)
{
	const struct choice *best = NULL;

	if (object == NONE && l->at == NONE)
		best = advise_for(k->c.advised, k->c.model, it->setting, k->c.project, NULL);
	if (object == NONE && l->at != NONE)
		object = handout_object(h, k, l->kind, l->at);
	for (uint32_t i = 0; i < k->c.advised->n && best == NULL && object != NONE; i++)
		if (k->c.advised->c[i].setting == it->setting && k->c.advised->c[i].object == object)
			best = &k->c.advised->c[i];
	if (best != NULL) {
		joined(b, shown(h, k, it->property, &best->start));
		for (uint32_t i = 0; i < best->n_advice && best->start.state == VALUE_KNOWN; i++) {
			const struct advice *a = &h->r->craft->advice[best->advice[i]];

			for (uint32_t s = 0; s < a->n_sources; s++)
				handout_cite(h, h->r->craft->cited[a->first_source + s]);
		}
	}
}

static void
property_item(struct handout *h, struct values *b, const struct sheet_item *it,
    const struct sheet_line *l, const struct handout_cloth *k, uint32_t object)
{
	const struct craft *c = h->r->craft;
	const struct model *m = k->c.model;
	uint16_t kind = c->property[it->property].kind;

	if (object == NONE && l->at != NONE)
		object = handout_object(h, k, kind, l->at);
	else if (object == NONE && k->object != NONE && m->objects[k->object].kind == kind)
		object = k->object;
	if (object != NONE && m->objects[object].kind == kind) {
		joined(b, shown(h, k, it->property, model_slot(m, object, it->property)));
		return;
	}
	for (uint32_t o = k->object != NONE ? m->first_of_kind[kind] : NONE; o != NONE;
	    o = m->objects[o].next)
		if (is_part_of(c, m, o, k->object))
			joined(b, shown(h, k, it->property, model_slot(m, o, it->property)));
}

/* ---- a line ------------------------------------------------------------------------- */

static void
cases(struct handout *h, struct buf *b, const struct sheet_line *l, const struct handout_cloth *k,
    uint32_t object)
{
	const struct craft *c = h->r->craft;

	if (object == NONE && l->at != NONE)
		object = handout_object(h, k, l->kind, l->at);
	else if (object == NONE && c->kind[l->kind].singleton)
		object = k->c.model->first_of_kind[l->kind];
	else if (object == NONE)
		object = k->object;
	if (object == NONE || k->c.model->objects[object].kind != l->kind)
		return;
	for (uint32_t i = 0; i < l->n_cases; i++) {
		const struct sheet_case *q = &c->sheet_case[l->first_case + i];
		struct binding bind = bound(object);

		if (q->when != NONE && eval_truth(c, k->c.model, q->when, &bind) != TRI_TRUE)
			continue;
		message_fill(b, c, k->c.model, &q->says, &bind, NULL, NONE);
		handout_cite(h, l->source);
		return;
	}
}

const char *
handout_line(struct handout *h, const struct sheet_line *l, const struct handout_cloth *k,
    uint32_t object)
{
	struct values v = {.n = 0};
	struct buf b = {0};

	for (uint32_t i = 0; i < l->n_items; i++) {
		const struct sheet_item *it = &h->r->craft->sheet_item[l->first_item + i];

		if (it->setting != NO16)
			setting_item(h, &v, it, l, k, object);
		else
			property_item(h, &v, it, l, k, object);
	}
	if (l->n_items > 0)
		return formed(h, l, v.of, v.n);
	buf_add(&b, "", 0);
	cases(h, &b, l, k, object);
	return run_kept(h->r, &b);
}

const char *
handout_text(struct handout *h, uint32_t entry, const char *key)
{
	const struct entry_record *e = kb_entry(h->r->kb, entry);

	for (uint32_t i = 0; i < e->n_texts; i++)
		if (strcmp(e->texts[i].key, key) == 0) {
			handout_cite(h, e->basis_low);
			handout_cite(h, e->basis_high);
			return e->texts[i].text;
		}
	/* what it is stands at its head */
	return strcmp(key, "says") == 0 ? craft_text(h->r->craft, h->r->craft->entry[entry].says) : "";
}

const char *
handout_fact(struct handout *h, const struct sheet_line *l, uint32_t entry)
{
	const struct entry_record *e = kb_entry(h->r->kb, entry);
	const char *values[FORM_MOST];
	uint32_t n = 0;

	if (*craft_text(h->r->craft, l->text) != '\0')
		return handout_text(h, entry, craft_text(h->r->craft, l->text));
	for (uint32_t i = 0; i < l->n_items; i++)
		for (uint32_t t = 0; t < e->n_typicals && n < FORM_MOST; t++)
			if (e->typicals[t].property == h->r->craft->sheet_item[l->first_item + i].property) {
				values[n++] = value_text(h->r, NULL, e->typicals[t].property,
				    &e->typicals[t].usual);
				handout_cite(h, e->typicals[t].basis_low);
				handout_cite(h, e->typicals[t].basis_high);
			}
	return formed(h, l, values, n);
}

/* ---- reasons ---------------------------------------------------------------------------- */

/* One after the other; a full stop at the end would stand before the next. */
static void
reason(struct buf *b, const char *text)
{
	size_t n = strlen(text);

	if (n > 0 && text[n - 1] == '.')
		n--;
	buf_print(b, "%s%.*s", b->n > 0 ? "; " : "", (int)n, text);
}

static void
reasons_of(struct handout *h, struct buf *b, const struct suited *s)
{
	struct run *r = h->r;

	if (s->stated_not)
		reason(b, SAY(r, "suit.stated-not"));
	for (uint32_t i = 0, n = 0; i < s->n_against && n < (h->n_things > 1 ? 1 : REASONS_MOST); i++) {
		const struct rule *q = &r->craft->rule[s->against[i].rule];
		struct buf says = {0};

		if (q->safety)
			continue;
		finding_says(&says, r->kb, s->model, &s->against[i]);
		reason(b, run_kept(r, &says));
		for (uint32_t k = 0; k < q->n_sources; k++)
			handout_cite(h, r->craft->cited[q->first_source + k]);
		n++;
	}
	if (s->is == SUIT_FIND_OUT && s->n_open > 0)
		reason(b, SAY(r, "suit.ask", "fact", fact_text(r, s->model, s->open[0].fact), "how",
		    craft_text(r->craft, r->craft->property[s->open[0].fact.property].ask)));
	if (b->n == 0 && s->stated)
		reason(b, SAY(r, "suit.stated"));
}

/* What speaks against it; where there are several things, each reason once, with the
 * thing it is about. */
const char *
handout_why(struct handout *h, const struct handout_cloth *k)
{
	struct buf all = {0};
	const char *told[HANDOUT_THINGS_MOST];
	uint32_t n = 0;

	buf_add(&all, "", 0);
	for (uint32_t i = 0; i < h->n_things; i++) {
		struct buf one = {0};
		bool before = false;

		buf_add(&one, "", 0);
		reasons_of(h, &one, &k->suited[i]);
		told[n] = run_kept(h->r, &one);
		for (uint32_t t = 0; t < n; t++)
			before = before || strcmp(told[t], told[n]) == 0;
		if (*told[n] == '\0' || before)
			continue;
		/* a reason that begins with the thing says already what it is about */
		reason(&all, h->n_things == 1 || strncmp(told[n], h->things[i].name,
		    strlen(h->things[i].name)) == 0 ? told[n] : SAY(h->r, "handout.of-thing", "thing",
		    h->things[i].name, "why", told[n]));
		n++;
	}
	if (all.n == 0)
		buf_str(&all, SAY(h->r, "handout.nothing-against"));
	return run_kept(h->r, &all);
}
