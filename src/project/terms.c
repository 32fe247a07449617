/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What the readers ask of the craft, and the growing of a project.
 *
 * The few names the project format itself fixes (garment, component, content,
 * feature, operation, role, share) are looked up here and nowhere else; which
 * cloths, roles and properties there are, only the knowledge knows.
 */
#include "project/project_impl.h"

#include <string.h>

void
terms_init(struct terms *t, struct knowledge *kb)
{
	const struct craft *c = kb_craft(kb);

	*t = (struct terms){.kb = kb, .c = c, .first_role = NO16};
	t->garment = kind_find(c, SV("garment"));
	t->component = kind_find(c, SV("component"));
	t->content = kind_find(c, SV("content"));
	t->feature = kind_find(c, SV("feature"));
	t->operation = kind_find(c, SV("operation"));
	t->role_set = set_find(c, SV("role"));
	t->share = t->content != NONE ? property_find(c, t->content, SV("share")) : NONE;
	for (uint32_t i = 0; i < c->n_entry_kind && t->first_role == NO16; i++)
		if (t->component != NONE && c->entry_kind[i].object_kind == t->component)
			t->first_role = c->entry_kind[i].role;
}

const char *
property_title(const struct terms *t, uint32_t property)
{
	const struct property *p = &t->c->property[property];
	const char *label = craft_text(t->c, p->label);

	return label[0] != '\0' ? label : craft_text(t->c, p->name);
}

bool
property_is_said(const struct terms *t, uint32_t property)
{
	const struct kind *k = &t->c->kind[t->c->property[property].kind];

	return !k->on_paper && !k->sizes;
}

bool
property_is_quantity(const struct terms *t, uint32_t property)
{
	uint8_t type = t->c->property[property].type;

	if (!property_is_said(t, property))
		return false;
	return type == TYPE_QUANTITY || type == TYPE_BAND;
}

struct reading_for
property_reading(const struct terms *t, uint32_t property)
{
	const struct property *p = &t->c->property[property];
	struct reading_for f = {
		.dim = p->dim,
		.n_units = p->n_units,
		.bare = p->bare_unit == NO16 ? -1 : p->bare_unit,
		.domain = p->domain,
		.about = p->about,
	};

	if (p->n_units > 0)
		f.units = &t->c->unit_list[p->first_unit];
	return f;
}

bool
property_takes_role(const struct terms *t, uint32_t property, uint16_t role)
{
	uint32_t roles = t->c->property[property].roles;

	return roles == 0 || (role < 32 && (roles >> role & 1) != 0);
}

bool
roles_are_kin(const struct terms *t, uint16_t a, uint16_t b)
{
	bool told = false;

	if (a == b || a == NO16 || b == NO16)
		return true;
	for (uint32_t i = 0; i < t->c->n_property; i++) {
		uint32_t roles = t->c->property[i].roles;

		told = told || roles != 0;
		if (a < 32 && b < 32 && (roles >> a & roles >> b & 1) != 0)
			return true;
	}
	return !told;
}

uint16_t
falls_back_to(const struct terms *t, uint16_t role)
{
	for (uint32_t i = 0; i < t->c->n_role_note; i++)
		if (t->c->role_note[i].role == role)
			return t->c->role_note[i].falls_back;
	return NO16;
}

uint16_t
entry_object_kind(const struct terms *t, uint32_t entry)
{
	return t->c->entry_kind[t->c->entry[entry].kind].object_kind;
}

uint32_t
role_entry(const struct terms *t, uint16_t role)
{
	const struct name *first;
	uint32_t n;

	if (role == NO16 || t->role_set == NONE)
		return NONE;
	n = kb_names(t->c, sv(role_title(t, role)), &first);
	for (uint32_t i = 0; i < n; i++)
		if (first[i].target == NAME_ENTRY && !first[i].inflected &&
		    entry_object_kind(t, first[i].id) == t->component &&
		    entry_role(t, first[i].id) == role)
			return first[i].id;
	return NONE;
}

uint16_t
entry_role(const struct terms *t, uint32_t entry)
{
	uint16_t role = t->c->entry_kind[t->c->entry[entry].kind].role;
	const struct entry_record *r = kb_entry(t->kb, entry);

	for (uint32_t i = 0; r != NULL && i < r->n_typicals; i++) {
		const struct typical *v = &r->typicals[i];
		const struct property *p = &t->c->property[v->property];

		if (p->kind != t->component || p->type != TYPE_WORDS || p->word_set != t->role_set)
			continue;
		for (uint16_t w = 0; w < 128; w++)
			if (mask_has(v->usual.set, w))
				return w;
	}
	return role;
}

bool
entry_called(const struct terms *t, uint32_t entry, strview folded)
{
	for (uint32_t i = 0; i < t->c->n_name; i++) {
		const struct name *n = &t->c->name[i];
		strview name;

		if (n->target != NAME_ENTRY || n->id != entry)
			continue;
		name = sv(craft_text(t->c, n->folded));
		if (sv_eq(name, folded))
			return true;
		if (folded.n > 0 && name.n > folded.n &&
		    memcmp(name.p + name.n - folded.n, folded.p, folded.n) == 0 &&
		    (name.p[name.n - folded.n - 1] == ' ' || name.p[name.n - folded.n - 1] == '-'))
			return true;
	}
	return false;
}

uint32_t
word_of_entry(const struct terms *t, uint32_t set, uint32_t entry)
{
	const struct word_set *s = &t->c->word_set[set];

	for (uint32_t i = 0; i < s->n; i++)
		if (t->c->word[s->first + i].entry == entry)
			return i;
	return NONE;
}

uint32_t
set_of_word(const struct terms *t, uint32_t word, uint32_t *within)
{
	for (uint32_t i = 0; i < t->c->n_word_set; i++) {
		const struct word_set *s = &t->c->word_set[i];

		if (word >= s->first && word - s->first < s->n) {
			*within = word - s->first;
			return i;
		}
	}
	return NONE;
}

uint32_t
setting_of(const struct terms *t, uint32_t property)
{
	for (uint32_t i = 0; i < t->c->n_setting; i++)
		if (t->c->setting[i].property == property)
			return i;
	return NONE;
}

const char *
word_title(const struct terms *t, uint32_t set, uint32_t within)
{
	return craft_text(t->c, t->c->word[t->c->word_set[set].first + within].name);
}

uint16_t
role_called(const struct terms *t, strview folded)
{
	uint32_t w = NONE;

	if (t->role_set != NONE)
		w = word_find(t->c, t->role_set, folded);
	/* "buttons": the plural that every role takes. */
	if (w == NONE && t->role_set != NONE && folded.n > 1 && folded.p[folded.n - 1] == 's')
		w = word_find(t->c, t->role_set, (strview){folded.p, folded.n - 1});
	return w == NONE ? NO16 : (uint16_t)w;
}

const char *
role_title(const struct terms *t, uint16_t role)
{
	if (role == NO16 || t->role_set == NONE || role >= t->c->word_set[t->role_set].n)
		return "";
	return word_title(t, t->role_set, role);
}

const char *
entry_title(const struct terms *t, uint32_t entry)
{
	return craft_text(t->c, t->c->entry[entry].name);
}

/* ---- sets of words --------------------------------------------------------- */

void
mask_add(uint64_t set[2], uint32_t word)
{
	if (word < 128)
		set[word / 64] |= (uint64_t)1 << word % 64;
}

bool
mask_has(const uint64_t set[2], uint32_t word)
{
	return word < 128 && (set[word / 64] >> word % 64 & 1) != 0;
}

bool
mask_meets(const uint64_t a[2], const uint64_t b[2])
{
	return (a[0] & b[0]) != 0 || (a[1] & b[1]) != 0;
}

bool
mask_empty(const uint64_t a[2])
{
	return a[0] == 0 && a[1] == 0;
}

void
mask_other(const struct terms *t, uint32_t set, const uint64_t in[2], uint64_t out[2])
{
	uint64_t all[2] = {0, 0};

	for (uint32_t i = 0; i < t->c->word_set[set].n; i++)
		mask_add(all, i);
	out[0] = all[0] & ~in[0];
	out[1] = all[1] & ~in[1];
}

/* ---- building ---------------------------------------------------------------- */

struct project *
project_new(struct arena *a, const struct source *src)
{
	struct project *p = arena_alloc(a, sizeof *p);

	p->arena = a;
	p->source = src;
	p->title = "";
	p->asked = p->asked_scope = NONE;
	return p;
}

/* Room for one more; what was there before stays behind in the arena. */
static void *
grown(struct arena *a, void *old, uint32_t n, uint32_t *cap, size_t size)
{
	uint32_t want = *cap > 0 ? *cap * 2 : 16;
	void *p;

	if (n < *cap)
		return old;
	p = arena_alloc(a, want * size);
	if (n > 0)
		memcpy(p, old, n * size);
	*cap = want;
	return p;
}

uint32_t
thing_add(struct project *p, struct said_thing thing)
{
	p->things = grown(p->arena, p->things, p->n_things, &p->cap_things, sizeof thing);
	p->things[p->n_things] = thing;
	return p->n_things++;
}

uint32_t
value_add(struct project *p, struct said_value v)
{
	p->values = grown(p->arena, p->values, p->n_values, &p->cap_values, sizeof v);
	p->values[p->n_values] = v;
	return p->n_values++;
}

void
use_add(struct project *p, struct word_use use)
{
	p->uses = grown(p->arena, p->uses, p->n_uses, &p->cap_uses, sizeof use);
	p->uses[p->n_uses++] = use;
}

void
thing_remove(struct project *p, uint32_t thing)
{
	uint32_t n = 0;

	for (uint32_t i = p->n_things; i-- > 0; )
		if (p->things[i].of == thing)
			thing_remove(p, i);    /* contents have no contents: one step deep */
	for (uint32_t i = thing; i + 1 < p->n_things; i++)
		p->things[i] = p->things[i + 1];
	p->n_things--;
	for (uint32_t i = 0; i < p->n_things; i++)
		if (p->things[i].of != NONE && p->things[i].of > thing)
			p->things[i].of--;
	for (uint32_t i = 0; i < p->n_values; i++) {
		struct said_value v = p->values[i];

		if (v.thing == thing || v.scope_thing == thing)
			continue;
		if (v.thing != NONE && v.thing > thing)
			v.thing--;
		if (v.scope_thing != NONE && v.scope_thing > thing)
			v.scope_thing--;
		p->values[n++] = v;
	}
	p->n_values = n;
}

struct said_value
value_of(uint32_t thing, uint32_t property, struct place place)
{
	return (struct said_value){
		.thing = thing, .property = property, .place = place, .unit = -1,
		.scope_entry = NONE, .scope_thing = NONE, .value = {.state = VALUE_UNKNOWN},
	};
}

bool
same_slot(const struct said_value *a, const struct said_value *b)
{
	return a->thing == b->thing && a->property == b->property &&
	    a->scope_entry == b->scope_entry && a->scope_thing == b->scope_thing;
}

bool
values_differ(const struct terms *t, const struct said_value *a, const struct said_value *b)
{
	range both;

	if (!same_slot(a, b) || a->typical_part || b->typical_part ||
	    a->value.state != VALUE_KNOWN || b->value.state != VALUE_KNOWN)
		return false;
	if (property_is_quantity(t, a->property))
		return !range_meet(a->value.r, b->value.r, &both);
	return !mask_meets(a->value.set, b->value.set);
}

uint32_t
setting_twin(const struct terms *t, uint32_t property, uint32_t kind)
{
	const struct property *p = &t->c->property[property];
	uint32_t best = NONE;

	for (uint32_t i = 0; i < t->c->n_property; i++) {
		const struct property *q = &t->c->property[i];

		if (q->kind != kind || q->type != p->type || q->formula == NONE ||
		    !(q->flags & PROPERTY_ACT) || !dim_eq(q->dim, p->dim) ||
		    (p->type == TYPE_WORDS && q->word_set != p->word_set))
			continue;
		if (property_depends(t->c, i, property) && best == NONE)
			best = i;
	}
	return best;
}

uint16_t
role_for(const struct terms *t, uint32_t property)
{
	for (uint16_t role = 0; role < 32; role++)
		if ((t->c->property[property].roles >> role & 1) != 0)
			return role;
	return t->first_role;
}
