/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The lines of a page of reckonings, worked out and put into words.
 *
 * Which fact decides most is tried out: each fact the need hangs on is held at
 * its middle in turn, everything that follows is worked out anew, and the one
 * that takes away most of the spread is told.
 */
#include "command/reckon.h"

#include <math.h>
#include <string.h>

/* ---- which fact decides ---------------------------------------------------------- */

static double
spread_of(const value *v)
{
	return v->state == VALUE_KNOWN && isfinite(v->r.hi) && isfinite(v->r.lo) ? v->r.hi - v->r.lo : 0;
}

/* Total area of what is laid: it stands in for a length, which moves in steps. */
static double
laid_spread(const struct model *m, const struct lay_work *w)
{
	const struct laying *l = &m->craft->laying[w->laying];
	double sum = 0;

	for (uint32_t i = 0; i < w->n; i++) {
		struct binding b = {{w->pieces[i].object}};
		range a = eval(m->craft, m, l->across, &b, NULL, NULL).r;

		a = range_mul(a, eval(m->craft, m, l->along, &b, NULL, NULL).r);
		a = range_mul(a, eval(m->craft, m, l->count, &b, NULL, NULL).r);
		if (w->pieces[i].known)
			sum += a.hi - a.lo;
	}
	return sum;
}

static double
spread_now(struct model *m, const struct reckoned *q, const struct lay_work *w)
{
	return w != NULL ? laid_spread(m, w)
	    : spread_of(model_slot(m, q->object, m->craft->reckoning[q->reckoning].need));
}

static void
facts_of(struct model *m, const struct reckoned *q, const struct lay_work *w, struct watch *seen)
{
	const struct craft *c = m->craft;
	uint32_t need = c->property[c->reckoning[q->reckoning].need].formula;
	struct binding b = {{q->object}};

	if (w == NULL) {
		if (need != NONE)
			(void)eval(c, m, need, &b, NULL, seen);
		return;
	}
	/* of what is laid: the sizes themselves, whatever they were worked out from */
	for (uint32_t i = 0; i < w->n; i++) {
		const struct laying *l = &c->laying[w->laying];
		const uint32_t program[] = {l->across, l->along, l->count};

		for (int k = 0; k < 3 && seen->n < sizeof seen->facts / sizeof *seen->facts; k++)
			if (c->program[program[k]].property != NONE &&
			    c->property[c->program[program[k]].property].kind == l->each)
				seen->facts[seen->n++] = (struct fact){w->pieces[i].object,
				    c->program[program[k]].property};
	}
}

/* Held at its middle; of words, at the first that it may be. */
static bool
hold(const struct craft *c, uint32_t property, value *v)
{
	uint64_t low;

	if (v->state != VALUE_KNOWN)
		return false;
	if (c->property[property].type == TYPE_QUANTITY) {
		if (!(v->r.hi > v->r.lo) || !isfinite(v->r.hi) || !isfinite(v->r.lo))
			return false;
		v->r = range_exact((v->r.lo + v->r.hi) / 2);
		return true;
	}
	if (c->property[property].type != TYPE_WORDS)
		return false;
	low = v->set[0] != 0 ? v->set[0] & (~v->set[0] + 1) : 0;
	if (v->set[0] != 0 && (low != v->set[0] || v->set[1] != 0)) {
		v->set[0] = low;
		v->set[1] = 0;
		return true;
	}
	return false;
}

static void
find_deciding(struct model *m, struct reckoned *q, const struct lay_work *w)
{
	const struct craft *c = m->craft;
	struct watch seen = {0};
	double whole = spread_now(m, q, w), best = whole;

	facts_of(m, q, w, &seen);
	for (uint32_t i = 0; i < seen.n; i++) {
		struct fact f = seen.facts[i];
		value *slot = model_slot(m, f.object, f.property), keep = *slot;
		double now;

		if (keep.state == VALUE_UNKNOWN && q->need.state != VALUE_KNOWN &&
		    c->property[f.property].ask != 0 && q->n_missing < RECKON_FACTS_MOST)
			q->missing[q->n_missing++] = f;
		if (!(whole > 0) || !hold(c, f.property, slot))
			continue;
		model_derive(m, f.property);
		now = spread_now(m, q, w);
		*slot = keep;
		model_derive(m, f.property);
		if (now < best) {
			best = now;
			q->decides = f;
			q->spread = true;
		}
	}
	q->left = whole > 0 ? best / whole : 1;
}

/* ---- the lines ------------------------------------------------------------------------ */

static value
slot_or_absent(struct model *m, uint32_t object, uint16_t property)
{
	return property == NO16 ? (value){.state = VALUE_ABSENT} : *model_slot(m, object, property);
}

static bool
speaks_of(const struct model *m, const struct reckoning *k, uint32_t object)
{
	struct binding b = {{object}};

	return k->when == NONE || eval_truth(m->craft, m, k->when, &b) == TRI_TRUE;
}

/* A figure without bounds, or as wide as all that can be, is none. */
bool
reckon_usable(const struct craft *c, uint16_t property, const value *v)
{
	range all = property != NO16 ? c->property[property].domain : range_all();

	return v->state == VALUE_KNOWN && isfinite(v->r.lo) && isfinite(v->r.hi) &&
	    !(v->r.lo <= all.lo && v->r.hi >= all.hi);
}

struct reckoned *
reckon(struct run *r, struct model *m, enum reckon_page page, const struct lay_work *works,
    uint32_t n_works, uint32_t *n)
{
	const struct craft *c = r->craft;
	struct reckoned *all;
	uint32_t most = 0;

	for (uint32_t i = 0; i < c->n_reckoning; i++)
		for (uint32_t o = m->first_of_kind[c->reckoning[i].each]; o != NONE;
		    o = m->objects[o].next)
			most++;
	all = arena_alloc(r->arena, (most + 1) * sizeof *all);
	*n = 0;
	for (uint32_t i = 0; i < c->n_reckoning; i++) {
		const struct reckoning *k = &c->reckoning[i];

		for (uint32_t o = m->first_of_kind[k->each]; o != NONE && k->page == page;
		    o = m->objects[o].next) {
			struct reckoned q = {.reckoning = i, .object = o, .enough = TRI_ABSENT};

			if (!speaks_of(m, k, o))
				continue;
			q.need = slot_or_absent(m, o, k->need);
			q.buy = slot_or_absent(m, o, k->buy);
			q.have = slot_or_absent(m, o, k->have);
			if (k->need != NO16 && q.need.state == VALUE_KNOWN && !reckon_usable(c, k->need, &q.need))
				q.need.state = q.buy.state = VALUE_UNKNOWN;
			if (q.need.state == VALUE_KNOWN && q.have.state == VALUE_KNOWN)
				q.enough = range_le(q.need.r, q.have.r, c->property[k->need].step);
			if (k->need != NO16 && q.need.state != VALUE_ABSENT)
				find_deciding(m, &q, lay_on(works, n_works, o));
			all[(*n)++] = q;
		}
	}
	return all;
}

/* ---- in words ------------------------------------------------------------------------------ */

const char *
reckon_both(struct run *r, const struct model *m, uint32_t property, const value *v)
{
	const struct property *p = &r->craft->property[property];
	const char *first = value_text(r, m, property, v);
	struct buf b = {0};

	if (p->type != TYPE_QUANTITY || v->state != VALUE_KNOWN)
		return first;
	for (uint32_t i = 1; i < p->n_units; i++) {
		uint16_t u = r->craft->unit_list[p->first_unit + i];

		if (!r->craft->units->u[u].fraction)
			continue;
		/* Told beside the first: it may be out by one step, and is the plainer for it. */
		range_print(&b, r->craft->units, u, v->r, 4 * p->step);
		return SAY(r, "reckon.both", "first", first, "second", run_kept(r, &b));
	}
	return first;
}

const char *
reckon_name(struct run *r, const struct model *m, uint32_t object)
{
	uint32_t up = m->objects[object].parent;

	if (up == NONE || r->craft->kind[m->objects[up].kind].singleton)
		return object_name(m, object);
	return SAY(r, "reckon.part", "thing", object_name(m, object), "part", object_name(m, up));
}

const char *
reckon_shop(struct run *r, const struct model *m, const struct reckoned *q)
{
	const struct reckoning *k = &r->craft->reckoning[q->reckoning];
	struct binding b = {{q->object}};
	struct buf out = {0};
	value *slot, keep;

	if (k->shop.n == 0 || k->buy == NO16 || q->buy.state != VALUE_KNOWN)
		return "";
	slot = model_slot(m, q->object, k->buy);
	keep = *slot;
	if (!k->as_range)
		slot->r = range_exact(slot->r.hi);
	message_fill(&out, r->craft, m, &k->shop, &b, NULL, NONE);
	*slot = keep;
	return run_kept(r, &out);
}

void
reckon_ask(struct run *r, const struct model *m, const struct reckoned *q)
{
	for (uint32_t i = 0; i < q->n_missing; i++) {
		page_item(r->page, 2, TONE_OPEN, SAY(r, "reckon.missing"), SAY(r, "reckon.ask", "what",
		    fact_text(r, m, q->missing[i]), "ask", craft_text(r->craft,
		    r->craft->property[q->missing[i].property].ask)));
	}
}

/* ---- for programs ---------------------------------------------------------------- */

static void
value_json(struct run *r, struct json *j, const struct model *m, const char *key, uint16_t property,
    const value *v)
{
	json_key(j, key);
	if (property == NO16)
		json_str(j, NULL);
	else
		json_value(r, j, m, property, v);
}

static void
fact_json(struct run *r, struct json *j, const struct model *m, struct fact f)
{
	json_open(j, '{');
	json_key(j, "fact");
	json_str(j, fact_text(r, m, f));
	json_key(j, "property");
	json_str(j, craft_text(r->craft, r->craft->property[f.property].name));
	json_key(j, "object");
	json_str(j, object_name(m, f.object));
	json_key(j, "value");
	json_value(r, j, m, f.property, model_slot(m, f.object, f.property));
	json_key(j, "ask");
	json_str(j, craft_text(r->craft, r->craft->property[f.property].ask));
	json_close(j, '}');
}

void
reckon_json(struct run *r, struct json *j, const struct model *m, const struct reckoned *q)
{
	const struct reckoning *k = &r->craft->reckoning[q->reckoning];

	json_open(j, '{');
	json_key(j, "reckoning");
	json_str(j, craft_text(r->craft, k->name));
	json_key(j, "object");
	json_str(j, reckon_name(r, m, q->object));
	value_json(r, j, m, "need", k->need, &q->need);
	value_json(r, j, m, "buy", k->buy, &q->buy);
	value_json(r, j, m, "have", k->have, &q->have);
	json_key(j, "enough");
	json_str(j, q->enough == TRI_ABSENT ? NULL : q->enough == TRI_TRUE ? "yes"
	    : q->enough == TRI_FALSE ? "no" : "open");
	json_key(j, "shop");
	json_str(j, *reckon_shop(r, m, q) != '\0' ? reckon_shop(r, m, q) : NULL);
	json_key(j, "figures");
	json_open(j, '[');
	for (uint8_t i = 0; i < k->n_shows; i++) {
		json_open(j, '{');
		json_key(j, "property");
		json_str(j, craft_text(r->craft, r->craft->property[k->shows[i]].name));
		json_key(j, "label");
		json_str(j, craft_text(r->craft, r->craft->property[k->shows[i]].label));
		json_key(j, "value");
		json_value(r, j, m, k->shows[i], model_slot(m, q->object, k->shows[i]));
		json_close(j, '}');
	}
	json_close(j, ']');
	json_key(j, "decides");
	if (q->spread)
		fact_json(r, j, m, q->decides);
	else
		json_str(j, NULL);
	json_key(j, "missing");
	json_open(j, '[');
	for (uint32_t i = 0; i < q->n_missing; i++)
		fact_json(r, j, m, q->missing[i]);
	json_close(j, ']');
	json_key(j, "sources");
	json_cited(r, j, k->first_source, k->n_sources);
	json_close(j, '}');
}

/* ---- the project ----------------------------------------------------------------- */

struct project *
reckon_project(struct run *r, const char *usage_text)
{
	struct project *p = project_told(r, usage_text);

	return p == NULL || r->diags.errors > 0 ? NULL : p;
}
