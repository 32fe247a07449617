/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A sheet against the model of what it makes: its steps against the order of
 * work, and what it must not leave out.
 *
 * The model has the garment and the details the sheet names, and the steps they
 * bring.  A step told may be several of these; it is told too early only if
 * every one it may be has to come after every one that a later step may be.
 */
#include "work/proof_impl.h"

#include <string.h>

enum { DETAILS_MOST = 40, DONE_MOST = 400, CLAUSE_MOST = 40, LOOKS_MOST = 1000 };

struct view {
	struct sheet_text *t;
	struct findings *f;
	struct model *m;
	struct order_work *w;
	uint32_t words;
	uint64_t *behind;                  /* n * words: what comes after a step */
	struct done *done;  uint32_t n_done;
};

static bool
in_set(const uint64_t *s, uint32_t i)
{
	return s[i >> 6] >> (i & 63) & 1;
}

/* ---- the model ---------------------------------------------------------------------- */

static void
add_thing(struct project *p, uint32_t kind, uint32_t entry, struct place place)
{
	for (uint32_t i = 0; i < p->n_things; i++)
		if (p->things[i].entry == entry)
			return;
	p->things = proof_more(p->arena, p->things, p->n_things, &p->cap_things, sizeof *p->things);
	p->things[p->n_things++] = (struct said_thing){.kind = (uint16_t)kind, .role = NO16,
	    .entry = entry, .count = 1, .of = NONE, .place = place};
}

static bool
has_step(const struct model *m, uint32_t kind, uint32_t entry)
{
	for (uint32_t o = m->first_of_kind[kind]; o != NONE; o = m->objects[o].next)
		if (m->objects[o].entry != NONE && kb_entry_is(m->craft, m->objects[o].entry, entry))
			return true;
	return false;
}

/* What some steps are done with though no list has it; and a cloth, known or not. */
static void
materials_of_steps(const struct view *v, struct project *p)
{
	const struct craft *c = v->t->c;
	uint16_t cloth = NO16;
	bool met = false;

	for (uint32_t i = 0; i < v->n_done; i++)
		for (uint32_t k = 0; k < c->n_proof_word; k++) {
			const struct proof_word *w = &c->proof_word[k];
			uint32_t e = w->means == PROOF_MATERIAL_OF && w->entry == v->done[i].entry
			    ? kb_entry_find(c, sv(craft_text(c, w->folded)), NULL) : NONE;

			if (e != NONE && c->entry_kind[c->entry[e].kind].object_kind == v->t->kind_component)
				add_thing(p, v->t->kind_component, e, mark_place(v->t, v->done[i].mark, 1));
		}
	/* the first kind of entry that becomes a material is the one all is made of */
	for (uint32_t k = 0; k < c->n_entry_kind && cloth == NO16; k++)
		if (c->entry_kind[k].object_kind == v->t->kind_component)
			cloth = c->entry_kind[k].role;
	for (uint32_t i = 0; i < p->n_things; i++)
		met = met || (p->things[i].kind == v->t->kind_component &&
		    c->entry_kind[c->entry[p->things[i].entry].kind].role == cloth);
	if (met || cloth == NO16 || v->t->kind_component == NONE)
		return;
	p->things = proof_more(p->arena, p->things, p->n_things, &p->cap_things, sizeof *p->things);
	p->things[p->n_things++] = (struct said_thing){.kind = (uint16_t)v->t->kind_component,
	    .role = cloth, .entry = NONE, .count = 1, .of = NONE, .place = mark_place(v->t, 0, 1)};
}

static struct model *
model_of(struct view *v)
{
	struct sheet_text *t = v->t;
	struct project *p = arena_alloc(t->arena, sizeof *p);
	struct diags ds;
	struct model *m;
	uint32_t details = 0;
	bool garment = false;

	diags_init(&ds, t->arena);
	*p = (struct project){.arena = t->arena, .source = t->src, .title = "", .asked = NONE,
	    .asked_scope = NONE};
	for (uint32_t i = 0; i < t->n_named; i++) {
		const struct named *n = &t->named[i];
		uint32_t e, area = t->marks[n->first].area;

		if (n->denied || area == AREA_ASIDE)
			continue;
		if (!garment && (e = name_entry(t, n, t->kind_garment)) != NONE &&
		    name_entry(t, n, t->kind_operation) == NONE &&
		    name_entry(t, n, t->kind_feature) == NONE) {
			add_thing(p, t->kind_garment, e, mark_place(t, n->first, n->n));
			garment = true;
		}
		if ((area == AREA_STEP || t->marks[n->first].heads || area == AREA_TALK) &&
		    details < DETAILS_MOST && (e = name_entry(t, n, t->kind_feature)) != NONE &&
		    name_entry(t, n, t->kind_operation) == NONE) {
			add_thing(p, t->kind_feature, e, mark_place(t, n->first, n->n));
			details++;
		}
		if (area == AREA_MATERIALS && (e = name_entry(t, n, t->kind_component)) != NONE)
			add_thing(p, t->kind_component, e, mark_place(t, n->first, n->n));
	}
	materials_of_steps(v, p);
	m = model_expand(t->arena, t->kb, p, &ds);
	if (m == NULL)
		return NULL;
	/* steps that no detail brings are there because the sheet does them */
	for (uint32_t i = 0; i < v->n_done; i++)
		if (!has_step(m, t->kind_operation, v->done[i].entry))
			add_thing(p, t->kind_operation, v->done[i].entry, mark_place(t, v->done[i].mark, 1));
	return model_expand(t->arena, t->kb, p, &ds);
}

/* ---- what the sheet does ---------------------------------------------------------------- */

/* Does a clause begin there? Not for a figure in brackets, nor behind it. */
static bool
parts(const struct sheet_text *t, uint32_t mark)
{
	return t->marks[mark].breaks && !t->marks[mark].figure && !(mark > 0 && t->marks[mark - 1].figure);
}

/* Some steps are done only where a word of doing stands in the same clause. */
static bool
is_done(const struct sheet_text *t, uint32_t entry, uint32_t mark)
{
	uint32_t from = mark, to = mark + 1;
	bool asked = false;

	while (from > 0 && mark - from < CLAUSE_MOST && !parts(t, from) &&
	    t->marks[from - 1].item == t->marks[mark].item)
		from--;
	while (to < t->n && to - mark < CLAUSE_MOST && !parts(t, to) &&
	    t->marks[to].item == t->marks[mark].item)
		to++;
	for (uint32_t i = 0; i < t->c->n_proof_word; i++) {
		const struct proof_word *w = &t->c->proof_word[i];

		if (w->means != PROOF_DOING || w->entry != entry)
			continue;
		asked = true;
		for (uint32_t k = from; k < to; k++) {
			uint32_t n;

			if (words_at(t, k, craft_text(t->c, w->folded), &n))
				return true;
		}
	}
	return !asked;
}

static void
add_done(struct view *v, uint32_t mark, uint32_t n, uint32_t entry, bool whole)
{
	if (v->n_done < DONE_MOST)
		v->done[v->n_done++] = (struct done){.mark = mark, .n = n, .entry = entry, .whole = whole};
}

static void
find_done(struct view *v)
{
	struct sheet_text *t = v->t;
	uint32_t k = 0;

	for (uint32_t i = 0; i < t->n; i++) {
		const struct proof_word *w;
		uint32_t n, e;

		while (k < t->n_named && t->named[k].first < i)
			k++;
		if (t->marks[i].area != AREA_STEP || t->marks[i].muted)
			continue;
		if ((w = proof_word_at(t, i, PROOF_STEP, &n)) != NULL) {
			if (is_done(t, w->entry, i))
				add_done(v, i, n, w->entry, false);
			i += n - 1;
			continue;
		}
		if ((w = proof_word_at(t, i, PROOF_WHOLE, &n)) != NULL) {
			if (is_done(t, w->entry, i))
				add_done(v, i, n, w->entry, true);
			i += n - 1;
			continue;
		}
		if (k < t->n_named && t->named[k].first == i && !t->named[k].denied &&
		    (e = name_entry(t, &t->named[k], t->kind_operation)) != NONE && is_done(t, e, i))
			add_done(v, i, t->named[k].n, e, false);
	}
}

/* Details named in the sentence; else in the item, else in its heading: entries. */
static uint32_t
details_at(const struct sheet_text *t, uint32_t mark, uint32_t out[DETAILS_MOST])
{
	uint32_t n = 0;

	for (int how = 0; how < 3 && n == 0; how++)
		for (uint32_t i = 0; i < t->n_named && n < DETAILS_MOST; i++) {
			const struct mark *k = &t->marks[t->named[i].first], *here = &t->marks[mark];
			uint32_t e;

			if (how == 2 ? !k->heads || k->heading != here->heading || here->heading == 0
			    : k->item != here->item || (how == 0 && k->sentence != here->sentence))
				continue;
			if ((e = name_entry(t, &t->named[i], t->kind_feature)) != NONE)
				out[n++] = e;
		}
	return n;
}

static bool
belongs(const struct model *m, uint32_t object, const uint32_t *details, uint32_t n)
{
	for (uint32_t o = object; o != NONE; o = m->objects[o].parent)
		for (uint32_t i = 0; i < n && m->objects[o].entry != NONE; i++)
			if (kb_entry_is(m->craft, m->objects[o].entry, details[i]) ||
			    kb_entry_is(m->craft, details[i], m->objects[o].entry))
				return true;
	return false;
}

/* Is it done to the thing as a whole, or to a part the thing itself brings? */
static bool
is_whole(const struct model *m, uint32_t object)
{
	uint32_t up = m->objects[object].parent;

	return up == NONE || m->craft->kind[m->objects[up].kind].singleton;
}

static void
find_steps(struct view *v)
{
	const struct model *m = v->m;

	for (uint32_t i = 0; i < v->n_done; i++) {
		struct done *d = &v->done[i];
		uint32_t details[DETAILS_MOST], n = d->whole ? 0 : details_at(v->t, d->mark, details);

		d->steps = arena_alloc(v->t->arena, (v->words + 1) * sizeof *d->steps);
		for (uint32_t s = 0; s < v->w->n; s++) {
			uint32_t o = v->w->object[s], e = m->objects[o].entry;

			if (e == NONE || !kb_entry_is(m->craft, e, d->entry) ||
			    (d->whole && !is_whole(m, o)) || (n > 0 && !belongs(m, o, details, n)))
				continue;
			d->steps[s >> 6] |= (uint64_t)1 << (s & 63);
			d->any = true;
		}
	}
}

/* ---- the order ------------------------------------------------------------------------------ */

/* What the details themselves put behind a step, at any remove, and what a rule
 * puts directly behind it: a way round by rules and steps that the sheet may not
 * have is no reason to doubt it. */
static void
close_over(struct view *v)
{
	bool more = true;

	v->words = (v->w->n + 63) / 64;
	v->behind = arena_alloc(v->t->arena, ((size_t)v->w->n * v->words + 1) * sizeof *v->behind);
	while (more) {
		more = false;
		for (uint32_t i = v->w->n_reasons; i-- > 0;) {
			const struct order_reason *q = &v->w->reasons[i];
			uint64_t *to = v->behind + (size_t)q->first * v->words;
			const uint64_t *from = v->behind + (size_t)q->then * v->words;

			for (uint32_t k = 0; k < v->words && q->rule == NONE; k++) {
				uint64_t is = to[k] | from[k];

				if (k == q->then >> 6)
					is |= (uint64_t)1 << (q->then & 63);
				more = more || is != to[k];
				to[k] = is;
			}
		}
	}
	for (uint32_t i = 0; i < v->w->n_reasons; i++) {
		const struct order_reason *q = &v->w->reasons[i];

		if (q->rule != NONE)
			(v->behind + (size_t)q->first * v->words)[q->then >> 6] |= (uint64_t)1 << (q->then & 63);
	}
}

/* Has everything that B may be to come before everything that A may be? */
static bool
must_precede(const struct view *v, const struct done *b, const struct done *a)
{
	if (!a->any || !b->any)
		return false;
	for (uint32_t i = 0; i < v->w->n; i++)
		for (uint32_t k = 0; in_set(b->steps, i) && k < v->w->n; k++)
			if (in_set(a->steps, k) && !in_set(v->behind + (size_t)i * v->words, k))
				return false;
	return true;
}

static bool
meet(const struct view *v, const struct done *a, const struct done *b)
{
	for (uint32_t k = 0; k < v->words; k++)
		if (a->steps[k] & b->steps[k])
			return true;
	return false;
}

/* Why the one goes first: of the reasons on the way from it, one that a rule gives. */
static const char *
why(const struct view *v, const struct done *b, const struct done *a)
{
	const struct craft *c = v->t->c;
	const char *entry = "";

	for (int direct = 1; direct >= 0; direct--)
		for (uint32_t i = 0; i < v->w->n_reasons; i++) {
			const struct order_reason *q = &v->w->reasons[i];
			bool from = in_set(b->steps, q->first), to = in_set(a->steps, q->then);

			for (uint32_t k = 0; k < v->w->n && !direct; k++) {
				from = from || (in_set(b->steps, k) && in_set(v->behind + (size_t)k * v->words,
				    q->first));
				to = to || (in_set(a->steps, k) && in_set(v->behind + (size_t)q->then *
				    v->words, k));
			}
			if (!from || !to)
				continue;
			if (q->rule != NONE)
				return craft_text(c, c->order_rule[q->rule].why);
			if (*entry == '\0')
				entry = proof_say(v->t, "proof.order-entry", "entry",
				    craft_text(c, c->entry[q->entry].name), (const char *)NULL);
		}
	return entry;
}

static const char *
written(const struct view *v, const struct done *d)
{
	struct place p = mark_place(v->t, d->mark, d->n);

	return arena_text(v->t->arena, v->t->src->text.p + p.at, p.n);
}

static bool
any_time(const struct view *v, uint32_t entry)
{
	for (uint32_t i = 0; i < v->t->c->n_proof_word; i++)
		if (v->t->c->proof_word[i].means == PROOF_ANY_TIME && v->t->c->proof_word[i].entry == entry)
			return true;
	return false;
}

static bool
is_breach(const struct view *v, uint32_t i, uint32_t j)
{
	const struct done *early = &v->done[i], *late = &v->done[j];

	if ((v->t->marks[early->mark].item == v->t->marks[late->mark].item &&
	    v->t->marks[early->mark].sentence == v->t->marks[late->mark].sentence) ||
	    any_time(v, early->entry) || !must_precede(v, late, early))
		return false;
	for (uint32_t k = 0; k < i; k++)       /* what was done before may be done again */
		if (meet(v, &v->done[k], late))
			return false;
	return true;
}

static void
tell_breach(struct view *v, uint32_t i, uint32_t j, bool early_at_fault)
{
	const struct done *early = &v->done[i], *late = &v->done[j];
	const struct done *at = early_at_fault ? early : late, *other = early_at_fault ? late : early;
	struct proof_finding *x = finding_add(v->f, "order", DEGREE_DOUBTFUL,
	    mark_place(v->t, at->mark, at->n));
	uint32_t line, column;

	x->other = mark_place(v->t, other->mark, other->n);
	place_line_column(x->other, &line, &column);
	x->says = proof_say(v->t, early_at_fault ? "proof.order-early" : "proof.order", "late",
	    written(v, late), "early", written(v, early), "line",
	    arena_print(v->t->arena, "%u", (unsigned)line), (const char *)NULL);
	x->remedy = why(v, late, early);
}

/* Where one step is at odds with several it is the one that stands wrong, and is
 * told once. */
static void
breaches(struct view *v)
{
	uint8_t *odd = arena_alloc(v->t->arena, (size_t)v->n_done * v->n_done + 1);
	uint32_t n = v->n_done;

	for (uint32_t j = 1; j < n; j++)
		for (uint32_t i = 0; i < j; i++)
			odd[(size_t)i * n + j] = is_breach(v, i, j);
	for (;;) {
		uint32_t most = 0, at = 0, with = 0;
		bool early = false;

		for (uint32_t k = 0; k < n; k++) {
			uint32_t as_early = 0, as_late = 0;

			for (uint32_t q = 0; q < n; q++) {
				as_early += q > k && odd[(size_t)k * n + q];
				as_late += q < k && odd[(size_t)q * n + k];
			}
			if (as_late > most || (as_late == most && most > 0 && early && as_late > 0)) {
				most = as_late;
				at = k;
				early = false;
			}
			if (as_early > most && as_early > 1) {
				most = as_early;
				at = k;
				early = true;
			}
		}
		if (most == 0)
			return;
		for (with = 0; with < n && !(early ? with > at && odd[(size_t)at * n + with]
		    : with < at && odd[(size_t)with * n + at]);)
			with++;
		tell_breach(v, early ? at : with, early ? with : at, early);
		for (uint32_t q = 0; q < n; q++)
			odd[(size_t)at * n + q] = odd[(size_t)q * n + at] = 0;
	}
}

/* ---- what must not be left out ------------------------------------------------------ */

/* Does one of the texts stand in the sheet? OF: an entry; then only where that
 * detail is spoken of, or no other is. */
static bool
stands(const struct view *v, uint32_t first, uint32_t n, uint32_t of, uint32_t *where)
{
	const struct sheet_text *t = v->t;

	for (uint32_t i = 0, looks = 0; i < t->n && looks < LOOKS_MOST; i++) {
		uint32_t details[DETAILS_MOST], found, len;
		bool here = false, its = false;

		if (t->marks[i].area == AREA_ASIDE || (of != NONE && t->marks[i].area == AREA_MATERIALS))
			continue;
		for (uint32_t k = 0; k < n && !here; k++)
			here = words_at(t, i, craft_text(t->c, t->c->proof_text[first + k]), &len);
		if (!here)
			continue;
		*where = i;
		looks++;
		if (of == NONE)
			return true;
		found = details_at(t, i, details);
		for (uint32_t k = 0; k < found && !its; k++)
			its = kb_entry_is(t->c, details[k], of) || kb_entry_is(t->c, of, details[k]);
		if (found == 0 || its)
			return true;
	}
	return false;
}

static uint32_t
named_at(const struct sheet_text *t, uint32_t entry)
{
	for (uint32_t i = 0; i < t->n_named; i++)
		if (name_entry(t, &t->named[i], t->kind_feature) == entry && !t->named[i].denied)
			return i;
	return NONE;
}

static void
one_check(struct view *v, const struct proof_check *k, uint32_t object)
{
	const struct sheet_text *t = v->t;
	uint32_t entry = object != NONE ? v->m->objects[object].entry : NONE, at = NONE, where = 0;
	bool detail = object != NONE && v->m->objects[object].kind == t->kind_feature;
	struct binding b;
	struct buf say = {0};
	struct proof_finding *x;
	struct place place = {t->src, 0, 0};

	for (size_t i = 0; i < VARIABLES_MAX; i++)
		b.object[i] = NONE;
	b.object[0] = object;
	if (detail && (entry == NONE || (v->m->objects[object].flags & OBJECT_DENIED) ||
	    (at = named_at(t, entry)) == NONE))
		return;
	if (k->when != NONE && eval_truth(t->c, v->m, k->when, &b) != TRI_TRUE)
		return;
	if (k->n_named > 0 && !stands(v, k->first_named, k->n_named, NONE, &where))
		return;
	place = mark_place(t, where, 1);
	if (k->n_also > 0 && !stands(v, k->first_also, k->n_also, NONE, &where))
		return;
	if (stands(v, k->first_wanted, k->n_wanted, detail ? entry : NONE, &where))
		return;
	if (at != NONE)
		place = mark_place(t, t->named[at].first, t->named[at].n);
	message_fill(&say, t->c, v->m, &k->say, &b, NULL, NONE);
	x = finding_add(v->f, craft_text(t->c, k->id), (enum degree)k->degree, place);
	x->says = arena_text(t->arena, say.n > 0 ? say.p : "", say.n);
	x->remedy = craft_text(t->c, k->why);
	buf_free(&say);
}

static void
checks(struct view *v)
{
	for (uint32_t i = 0; i < v->t->c->n_proof_check; i++) {
		const struct proof_check *k = &v->t->c->proof_check[i];

		if (k->each == NO16) {
			one_check(v, k, NONE);
			continue;
		}
		for (uint32_t o = v->m->first_of_kind[k->each]; o != NONE; o = v->m->objects[o].next) {
			bool met = false;

			for (uint32_t q = v->m->first_of_kind[k->each]; q != o && !met; q = v->m->objects[q].next)
				met = v->m->objects[q].entry == v->m->objects[o].entry;
			if (!met)
				one_check(v, k, o);
		}
	}
}

void
proof_model(struct sheet_text *t, struct findings *f)
{
	struct view v = {.t = t, .f = f};

	v.done = arena_alloc(t->arena, DONE_MOST * sizeof *v.done);
	if (t->kind_operation == NONE || t->kind_feature == NONE || t->kind_garment == NONE)
		return;
	find_done(&v);
	if ((v.m = model_of(&v)) == NULL)
		return;
	v.w = order_reasons(t->arena, v.m);
	close_over(&v);
	find_steps(&v);
	breaches(&v);
	checks(&v);
}
