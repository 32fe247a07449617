/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A project changed by a few words.
 *
 * The words are read as a small project of their own, which is then laid over
 * the old one: a garment replaces the garment, a material the one of its role,
 * a detail joins the others, a denial takes away what is called so, and a value
 * replaces the value of the same property in the same place.  The old project
 * is left as it was.
 */
#include "project/project_impl.h"

#include <string.h>

struct change {
	struct terms t;
	struct project *p;                 /* the new project */
	const struct project *d;           /* what the words say */
	uint32_t *now;                     /* thing of the words: its number in the new one */
	bool any;
};

static struct project *
copy(struct arena *a, const struct project *old, const struct source *src)
{
	struct project *p = project_new(a, src);

	p->title = old->title;
	for (uint32_t i = 0; i < old->n_things; i++)
		thing_add(p, old->things[i]);
	for (uint32_t i = 0; i < old->n_values; i++)
		value_add(p, old->values[i]);
	return p;
}

/* The words by which the change called thing I, folded. */
static strview
called(struct change *c, uint32_t i)
{
	struct place at = c->d->things[i].place;

	return sv(text_fold(c->p->arena, (strview){at.src->text.p + at.at, at.n}));
}

/* Is old thing K the one that thing I of the change speaks of? */
static bool
meant_by(struct change *c, uint32_t k, uint32_t i, strview name)
{
	const struct said_thing *old = &c->p->things[k], *new = &c->d->things[i];

	if (old->of != NONE)
		return false;
	if (old->kind == new->kind && old->kind == c->t.component && new->role != NO16 &&
	    new->entry == NONE && old->role == new->role)
		return true;
	if (old->entry == NONE)
		return false;
	if (new->entry != NONE && old->entry != new->entry &&
	    (kb_entry_is(c->t.c, old->entry, new->entry) ||
	    kb_entry_is(c->t.c, new->entry, old->entry)))
		return true;
	return old->entry == new->entry || (name.n > 0 && entry_called(&c->t, old->entry, name));
}

/* Removes thing K of the new project; what stands behind it moves up. */
static void
take(struct change *c, uint32_t k)
{
	for (uint32_t i = c->p->n_things; i-- > k + 1; )
		if (c->p->things[i].of == k)
			take(c, i);            /* contents have none themselves */
	thing_remove(c->p, k);
	for (uint32_t i = 0; i < c->d->n_things; i++)
		if (c->now[i] != NONE && c->now[i] > k)
			c->now[i]--;
	c->any = true;
}

/* ---- taking away -------------------------------------------------------------------- */

static void
take_away(struct change *c, uint32_t i)
{
	struct said_thing gone = c->d->things[i];
	strview name = called(c, i), singular = name;
	bool had = false;

	/* "the pockets" are each called "pocket": the last letters of a made
	 * plural are left off only when nothing is called so in full. */
	for (int turn = 0; turn < 2 && !had; turn++) {
		for (uint32_t k = c->p->n_things; k-- > 0; ) {
			if (k >= c->p->n_things || !meant_by(c, k, i, singular))
				continue;
			take(c, k);
			had = true;
		}
		if (singular.n > 3 && singular.p[singular.n - 1] == 's')
			singular.n--;
	}
	gone.of = NONE;
	thing_add(c->p, gone);
	c->any = true;
}

/* ---- things ----------------------------------------------------------------------------- */

static bool
has_contents(const struct project *p, uint32_t thing)
{
	for (uint32_t i = 0; i < p->n_things; i++)
		if (p->things[i].of == thing)
			return true;
	return false;
}

/* Another material in the same role: what was known of the old one goes, what
 * was done to it stays. */
static void
forget(struct change *c, uint32_t thing)
{
	uint32_t n = 0;

	for (uint32_t i = c->p->n_things; i-- > 0; )
		if (c->p->things[i].of == thing)
			take(c, i);        /* stands after its cloth: THING keeps its number */
	for (uint32_t i = 0; i < c->p->n_values; i++) {
		const struct said_value *v = &c->p->values[i];

		if (v->thing == thing && !(c->t.c->property[v->property].flags & PROPERTY_ACT))
			continue;
		c->p->values[n++] = *v;
	}
	c->p->n_values = n;
}

/* Words such as "unlined" deny a role and set a value at once.  When there is
 * something of the role after all, that value no longer holds; when
 * another value is said, neither does the denial. */
static void
undo_denial(struct change *c, uint16_t role, const struct said_value *v)
{
	const struct craft *craft = c->t.c;

	for (uint32_t i = 0; i < craft->n_phrase; i++) {
		const struct phrase *none = &craft->phrase[i];

		for (uint32_t k = 0; none->does == PHRASE_WITHOUT && k < craft->n_phrase; k++) {
			const struct phrase *set = &craft->phrase[k];
			uint32_t n = 0;

			if (set->does != PHRASE_SET || set->words != none->words ||
			    craft->property[set->property].type != TYPE_WORDS)
				continue;
			if (v != NULL) {
				if (v->property == set->property &&
				    !mask_meets(v->value.set, set->set))
					for (uint32_t t = c->p->n_things; t-- > 0; )
						if (c->p->things[t].denied &&
						    c->p->things[t].role == none->role)
							take(c, t);
				continue;
			}
			for (uint32_t o = 0; o < c->p->n_values; o++) {
				const struct said_value *old = &c->p->values[o];

				if (none->role != role || old->property != set->property ||
				    !mask_meets(old->value.set, set->set))
					c->p->values[n++] = *old;
			}
			c->p->n_values = n;
		}
	}
}

static void
component(struct change *c, uint32_t i)
{
	const struct said_thing *new = &c->d->things[i];
	uint32_t to = NONE;

	undo_denial(c, new->role, NULL);
	for (uint32_t k = c->p->n_things; k-- > 0 && new->role != NO16; )
		if (c->p->things[k].denied && c->p->things[k].role == new->role)
			take(c, k);
	for (uint32_t k = c->p->n_things; k-- > 0 && !new->beside; )
		if (c->p->things[k].kind == new->kind && c->p->things[k].role == new->role &&
		    c->p->things[k].of == NONE)
			to = k;
	if (to == NONE) {
		c->now[i] = thing_add(c->p, *new);
		c->any = true;
		return;
	}
	if (new->entry != NONE || has_contents(c->d, i)) {
		forget(c, to);
		c->p->things[to].entry = new->entry;
		c->p->things[to].place = new->place;
		c->any = true;
	}
	if (new->count != 1)
		c->p->things[to].count = new->count;
	c->now[i] = to;
}

static void
detail(struct change *c, uint32_t i)
{
	const struct said_thing *new = &c->d->things[i];
	bool single = c->t.c->kind[new->kind].singleton;

	/* What was taken away under this name is there again. */
	for (uint32_t k = c->p->n_things; k-- > 0 && new->entry != NONE; ) {
		const struct said_thing *old = &c->p->things[k];
		const char *name = old->entry != NONE ? entry_title(&c->t, old->entry) :
		    role_title(&c->t, old->role);

		if (old->denied && old->of == NONE &&
		    entry_called(&c->t, new->entry, sv(text_fold(c->p->arena, sv(name)))))
			take(c, k);
	}
	for (uint32_t k = 0; k < c->p->n_things; k++) {
		struct said_thing *old = &c->p->things[k];

		if (old->kind != new->kind || (old->entry != new->entry && !single) || new->beside)
			continue;
		c->any = c->any || old->entry != new->entry || old->denied ||
		    old->count != new->count;
		*old = *new;
		c->now[i] = k;
		return;
	}
	c->now[i] = thing_add(c->p, *new);
	c->any = true;
}

/* ---- values --------------------------------------------------------------------------------- */

static void
set_value(struct change *c, struct said_value v)
{
	uint32_t n = 0;

	undo_denial(c, NO16, &v);
	if (v.thing != NONE)
		v.thing = c->now[v.thing];
	if (v.scope_thing != NONE)
		v.scope_thing = c->now[v.scope_thing];
	for (uint32_t i = 0; i < c->p->n_values; i++)
		if (!same_slot(&c->p->values[i], &v))
			c->p->values[n++] = c->p->values[i];
	c->p->n_values = n;
	value_add(c->p, v);
	c->any = true;
}

struct project *
project_changed(struct arena *a, struct knowledge *kb, const struct project *old,
    const struct source *src, struct diags *ds)
{
	struct change c = {0};
	struct project *d = words_read(a, kb, src, true, ds);

	if (d == NULL)
		return NULL;
	terms_init(&c.t, kb);
	c.d = d;
	c.p = copy(a, old, src);
	c.now = arena_alloc(a, (d->n_things + 1) * sizeof *c.now);
	for (uint32_t i = 0; i < d->n_things; i++)
		c.now[i] = NONE;
	for (uint32_t i = 0; i < d->n_things; i++)
		if (d->things[i].denied)
			take_away(&c, i);
	for (uint32_t i = 0; i < d->n_things; i++) {
		if (d->things[i].denied || d->things[i].of != NONE)
			continue;
		if (d->things[i].kind == c.t.component)
			component(&c, i);
		else
			detail(&c, i);
	}
	for (uint32_t i = 0; i < d->n_things; i++) {
		struct said_thing t = d->things[i];

		if (t.of == NONE || c.now[t.of] == NONE)
			continue;
		t.of = c.now[t.of];
		c.now[i] = thing_add(c.p, t);
		c.any = true;
	}
	for (uint32_t i = 0; i < c.p->n_things; i++)
		c.p->things[i].beside = false;
	for (uint32_t i = 0; i < d->n_values; i++)
		if (d->values[i].thing == NONE || c.now[d->values[i].thing] != NONE)
			set_value(&c, d->values[i]);
	c.p->uses = d->uses;
	c.p->n_uses = d->n_uses;
	c.p->cap_uses = d->cap_uses;
	c.p->asked = d->asked;
	c.p->asked_scope = d->asked_scope;
	c.p->conflicts = d->conflicts;
	if (!c.any && d->asked == NONE)
		diag(ds, (struct place){src, 0, (uint32_t)src->text.n}, D_CHANGE_NOTHING);
	return c.p;
}
