/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Which place is meant when one setting is asked for, and the trace of advice.
 */
#include "advise/advise_impl.h"

/* Does the object, or what brought it, stand for ENTRY? */
static bool
stands_for(const struct craft *c, const struct model *m, uint32_t object, uint32_t entry)
{
	for (int depth = 0; object != NONE && depth < 8; depth++) {
		if (m->objects[object].entry != NONE && kb_entry_is(c, m->objects[object].entry, entry))
			return true;
		object = m->objects[object].parent;
	}
	return false;
}

static bool
named_in_words(const struct craft *c, const struct model *m, const struct project *p,
    uint32_t object)
{
	for (uint32_t i = 0; i < p->n_things; i++)
		if (!p->things[i].denied && p->things[i].kind == m->objects[object].kind
		    && p->things[i].entry != NONE && stands_for(c, m, object, p->things[i].entry))
			return true;
	return false;
}

/* What was asked for, then what the words name, then the main place, then what
 * hangs on something said. */
static int
nearness(const struct craft *c, const struct model *m, const struct project *p, uint32_t object)
{
	const struct object *o = &m->objects[object];
	int n = 0;

	if (p != NULL && p->asked_scope != NONE && stands_for(c, m, object, p->asked_scope))
		n += 16;
	if (p != NULL && named_in_words(c, m, p, object))
		n += 8;
	if (o->flags & OBJECT_MAIN)
		n += 4;
	if (o->flags & OBJECT_SAID)
		n += 2;
	return n;
}

uint32_t
advise_nearest(const struct model *m, uint16_t kind, const struct project *p)
{
	uint32_t best = NONE;
	int most = -1;

	for (uint32_t o = m->first_of_kind[kind]; o != NONE; o = m->objects[o].next) {
		int n = nearness(m->craft, m, p, o);

		if (n > most) {
			most = n;
			best = o;
		}
	}
	return best;
}

/* Is one choice firmly called for, at a detail that was said? */
static bool
stands_out(const struct model *m, const struct choice *x)
{
	uint32_t of = m->objects[x->object].parent;

	if (of != NONE && m->craft->kind[m->objects[of].kind].singleton)
		return false;
	for (uint32_t i = 0; i < x->n_advice; i++)
		if (m->craft->advice[x->advice[i]].strength == STRENGTH_FIRM)
			return (m->objects[x->object].flags & OBJECT_SAID) != 0;
	return false;
}

const struct choice *
advise_for(const struct advised *a, const struct model *m, uint32_t setting,
    const struct project *p,
    uint32_t *object)
{
	const struct choice *best = NULL;
	int most = -1;

	for (uint32_t i = 0; i < a->n; i++) {
		int n;

		if (a->c[i].setting != setting)
			continue;
		n = nearness(m->craft, m, p, a->c[i].object);
		/* A question in the words tells its own place. */
		if (m->craft->setting[setting].stands_out && stands_out(m, &a->c[i]))
			n += p != NULL && p->asked != NONE ? 8 : 24;
		if (n > most) {
			most = n;
			best = &a->c[i];
		}
	}
	if (best != NULL && object != NULL)
		*object = best->object;
	return best;
}

bool
advise_trace(struct buf *b, struct knowledge *kb, const struct model *m, const struct advised *a)
{
	const struct craft *c = kb_craft(kb);

	for (uint32_t i = 0; i < a->n; i++) {
		const struct choice *x = &a->c[i];
		const struct setting *s = &c->setting[x->setting];

		buf_print(b, "#%u ", x->object);
		text_safe(b, sv(object_name(m, x->object)));
		buf_print(b, "\t%s\t", craft_text(c, s->name));
		cell_print(b, c, m, eval_value(&x->start, c->property[s->property].type), s->property);
		buf_str(b, x->said ? "\tsaid" : x->kept ? "\tkept" : "");
		for (uint32_t k = 0; k < x->n_advice; k++)
			buf_print(b, "\t%s", craft_text(c, c->advice[x->advice[k]].id));
		if (x->dropped != NONE)
			buf_print(b, "\tleft out %s", craft_text(c, c->advice[x->dropped].id));
		buf_char(b, '\n');
	}
	return a->n > 0;
}
