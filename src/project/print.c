/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A project written as a project file.
 *
 * What is written reads back to the same project.  Two values that contradict
 * each other, which only plain words can bring, are written as what spans
 * them: a file may not say a thing twice.
 */
#include "project/project_impl.h"

#include <string.h>

/* ---- values -------------------------------------------------------------------- */

/* The words of the class that is this part of a range, or NULL. */
static const char *
class_words(const struct terms *t, const struct said_value *v)
{
	for (uint32_t i = 0; i < t->c->n_phrase; i++) {
		const struct phrase *p = &t->c->phrase[i];

		if (p->does == PHRASE_CLASS && p->property == v->property &&
		    p->fraction_lo == v->part_lo && p->fraction_hi == v->part_hi)
			return craft_text(t->c, p->words);
	}
	return NULL;
}

static bool
takes_unit(const struct terms *t, const struct property *p, int unit)
{
	for (uint32_t i = 0; i < p->n_units; i++)
		if (t->c->unit_list[p->first_unit + i] == unit)
			return true;
	return false;
}

/* The unit a value is written in: the author's, if the property takes it. */
static int
unit_for(const struct terms *t, const struct said_value *v)
{
	const struct property *p = &t->c->property[v->property];

	if (v->unit >= 0 && (uint32_t)v->unit < t->c->units->n && takes_unit(t, p, v->unit))
		return v->unit;
	return p->n_units > 0 ? t->c->unit_list[p->first_unit] : -1;
}

/* Written in full, so that nothing is lost in reading it back. */
static void
quantity_words(struct buf *b, const struct terms *t, const struct said_value *v)
{
	const struct property *p = &t->c->property[v->property];
	int unit = unit_for(t, v);
	const struct unit *u = unit >= 0 ? &t->c->units->u[unit] : NULL;
	bool ok = true, named;
	range x = v->value.r;

	if (u != NULL)
		x = unit_range_from_base(u, v->value.r, &ok);
	/* An open end may lie off the ladder it was written on. */
	for (uint32_t i = 0; !ok && i < p->n_units; i++) {
		u = &t->c->units->u[t->c->unit_list[p->first_unit + i]];
		x = unit_range_from_base(u, v->value.r, &ok);
	}
	named = u != NULL && strcmp(u->name, "1") != 0;
	/* One end is that of all that can be: then only the other was said. */
	if (v->value.r.hi > v->value.r.lo && u != NULL && u->form == UNIT_SCALE && u->factor > 0) {
		const struct reading_words *w = t->c->range_words;
		const range *domain = &t->c->property[v->property].domain;

		if (w != NULL && w->under != NULL && v->value.r.lo <= domain->lo &&
		    v->value.r.hi < domain->hi) {
			buf_print(b, "%s ", w->under[0]);
			x.lo = x.hi;
		} else if (w != NULL && w->over != NULL && v->value.r.hi >= domain->hi &&
		    v->value.r.lo > domain->lo) {
			buf_print(b, "%s ", w->over[0]);
			x.hi = x.lo;
		}
	}
	if (named && u->before && !u->after)
		buf_print(b, "%s ", u->name);
	buf_number(b, x.lo, 12);
	if (x.hi > x.lo) {
		buf_char(b, '-');
		buf_number(b, x.hi, 12);
	}
	if (named && (u->after || !u->before))
		buf_print(b, " %s", u->name);
}

static void
set_words(struct buf *b, const struct terms *t, const struct said_value *v)
{
	uint32_t set = t->c->property[v->property].word_set;
	bool first = true;

	for (uint32_t i = 0; i < t->c->word_set[set].n; i++) {
		if (!mask_has(v->value.set, i))
			continue;
		if (!first)
			buf_str(b, " or ");
		buf_str(b, word_title(t, set, i));
		first = false;
	}
}

void
value_words(struct buf *b, const struct terms *t, const struct said_value *v, bool for_people)
{
	const char *words = v->typical_part ? class_words(t, v) : NULL;

	buf_add(b, "", 0);
	if (words != NULL)
		buf_str(b, words);
	else if (v->value.state != VALUE_KNOWN)
		buf_str(b, "unknown");
	else if (property_is_quantity(t, v->property) && for_people && unit_for(t, v) >= 0)
		range_print(b, t->c->units, unit_for(t, v), v->value.r,
		    t->c->property[v->property].step);
	else if (property_is_quantity(t, v->property))
		quantity_words(b, t, v);
	else
		set_words(b, t, v);
}

/* ---- YAML ------------------------------------------------------------------------ */

/* A text as YAML takes it: quoted whenever it could be taken for something else. */
static void
scalar(struct buf *b, strview text)
{
	bool plain = text.n > 0 && strchr(" -?:,[]{}#&*!|>'\"%@`=<~.+", text.p[0]) == NULL &&
	    text.p[text.n - 1] != ' ';

	for (size_t i = 0; plain && i < text.n; i++)
		plain = (unsigned char)text.p[i] >= 0x20 && text.p[i] != 0x7f &&
		    strchr(":#,[]{}\"\\", text.p[i]) == NULL;
	if (plain) {
		buf_sv(b, text);
		return;
	}
	buf_char(b, '"');
	for (size_t i = 0; i < text.n; i++) {
		unsigned char c = (unsigned char)text.p[i];

		if (c == '"' || c == '\\')
			buf_print(b, "\\%c", c);
		else if (c < 0x20 || c == 0x7f)
			buf_char(b, ' ');
		else
			buf_char(b, (char)c);
	}
	buf_char(b, '"');
}

static void
key_value(struct buf *b, const char *indent, const char *key, strview text)
{
	buf_str(b, indent);
	scalar(b, sv(key));
	buf_str(b, ": ");
	scalar(b, text);
	buf_char(b, '\n');
}

/* Would the two be written in the same place?  A place is written by its name,
 * which two things can share. */
static bool
same_place(const struct said_value *a, const struct said_value *b)
{
	return a->thing == b->thing && a->property == b->property &&
	    a->scope_entry == b->scope_entry &&
	    (a->scope_entry != NONE || a->scope_thing == b->scope_thing);
}

/* Value I, with all later ones of the same slot in it; false when an earlier
 * one has it already. */
static bool
merged(const struct terms *t, const struct project *p, uint32_t i, struct said_value *out)
{
	*out = p->values[i];
	for (uint32_t k = 0; k < i; k++)
		if (same_place(&p->values[k], &p->values[i]))
			return false;
	for (uint32_t k = i + 1; k < p->n_values; k++) {
		const struct said_value *v = &p->values[k];
		range both;

		if (!same_place(v, out) || v->value.state != VALUE_KNOWN)
			continue;
		if (out->value.state != VALUE_KNOWN || (out->typical_part && !v->typical_part)) {
			*out = *v;             /* a figure says more than a class */
		} else if (v->typical_part) {
			continue;
		} else if (property_is_quantity(t, out->property)) {
			out->value.r = range_meet(out->value.r, v->value.r, &both) ? both :
			    range_hull(out->value.r, v->value.r);
		} else if (mask_meets(out->value.set, v->value.set)) {
			out->value.set[0] &= v->value.set[0];
			out->value.set[1] &= v->value.set[1];
		} else {
			out->value.set[0] |= v->value.set[0];
			out->value.set[1] |= v->value.set[1];
		}
	}
	return true;
}

static void
print_value(struct buf *b, const struct terms *t, const struct said_value *v, const char *indent,
    const char *key)
{
	struct buf words = {0};

	value_words(&words, t, v, false);
	key_value(b, indent, key, (strview){words.p, words.n});
	buf_free(&words);
}

/* The values of a thing; measured ones stand elsewhere. */
static void
print_values(struct buf *b, const struct terms *t, const struct project *p, uint32_t thing,
    const char *indent)
{
	for (uint32_t i = 0; i < p->n_values; i++) {
		struct said_value v;

		if (p->values[i].thing == thing && !p->values[i].measured && merged(t, p, i, &v))
			print_value(b, t, &v, indent,
			    craft_text(t->c, t->c->property[v.property].name));
	}
}

/* What a thing is called in the file: by its role, else by its entry. */
static const char *
thing_key(const struct terms *t, const struct said_thing *s)
{
	if (s->role != NO16)
		return role_title(t, s->role);
	if (s->entry != NONE)
		return entry_title(t, s->entry);
	return craft_text(t->c, t->c->kind[s->kind].name);
}

static const char *
content_key(const struct terms *t)
{
	for (uint32_t i = 0; t->content != NONE && i < t->c->n_property; i++)
		if (t->c->property[i].kind == t->content && t->c->property[i].type == TYPE_WORDS &&
		    t->c->word_set[t->c->property[i].word_set].entries_of != NO16)
			return craft_text(t->c, t->c->property[i].name);
	return "content";
}

static void
print_contents(struct buf *b, const struct terms *t, const struct project *p, uint32_t thing)
{
	struct buf list = {0};

	for (uint32_t i = 0; i < p->n_things; i++) {
		struct said_value v;

		if (p->things[i].of != thing)
			continue;
		if (list.n > 0)
			buf_str(&list, ", ");
		buf_str(&list, p->things[i].entry != NONE ? entry_title(t, p->things[i].entry) :
		    "unknown");
		for (uint32_t k = 0; k < p->n_values; k++)
			if (p->values[k].thing == i && p->values[k].property == t->share &&
			    merged(t, p, k, &v)) {
				buf_char(&list, ' ');
				value_words(&list, t, &v, false);
			}
	}
	if (list.n > 0)
		key_value(b, "    ", content_key(t), (strview){list.p, list.n});
	buf_free(&list);
}

static void
print_count(struct buf *b, const struct said_thing *s)
{
	if (s->count != 1) {
		buf_str(b, "    count: ");
		buf_number(b, s->count, 6);
		buf_char(b, '\n');
	}
}

static void
print_things(struct buf *b, const struct terms *t, const struct project *p, uint32_t kind,
    const char *head, const char *key)
{
	bool any = false;

	for (uint32_t i = 0; i < p->n_things; i++) {
		const struct said_thing *s = &p->things[i];

		if (s->kind != kind || s->denied)
			continue;
		if (!any)
			buf_print(b, "%s:\n", head);
		any = true;
		buf_str(b, "  - ");
		key_value(b, "", key != NULL ? key :
		    s->role == NO16 ? "material" : role_title(t, s->role),
		    sv(s->entry != NONE ? entry_title(t, s->entry) : "unknown"));
		print_count(b, s);
		print_values(b, t, p, i, "    ");
		print_contents(b, t, p, i);
	}
}

/* Does another entry that can be denied have the same name? */
static bool
shares_title(const struct terms *t, uint32_t entry)
{
	const struct name *names;
	struct buf folded = {0};
	uint32_t n, others = 0;

	buf_fold(&folded, sv(entry_title(t, entry)));
	n = kb_names(t->c, (strview){folded.p, folded.n}, &names);
	for (uint32_t i = 0; i < n; i++)
		others += names[i].target == NAME_ENTRY && names[i].id != entry &&
		    entry_object_kind(t, names[i].id) != NO16;
	buf_free(&folded);
	return others > 0;
}

static void
print_denied(struct buf *b, const struct terms *t, const struct project *p)
{
	bool any = false;

	for (uint32_t i = 0; i < p->n_things; i++) {
		const struct said_thing *s = &p->things[i];

		if (!s->denied)
			continue;
		buf_str(b, any ? ", " : "without: [");
		any = true;
		if (s->entry != NONE && shares_title(t, s->entry)) {
			buf_char(b, '{');
			scalar(b, sv(craft_text(t->c,
			    t->c->entry_kind[t->c->entry[s->entry].kind].name)));
			buf_str(b, ": ");
			scalar(b, sv(entry_title(t, s->entry)));
			buf_char(b, '}');
		} else {
			scalar(b, sv(s->entry != NONE ? entry_title(t, s->entry) :
			    thing_key(t, s)));
		}
	}
	if (any)
		buf_str(b, "]\n");
}

/* Values of no thing: settings, and what is said of every such object. */
static void
print_settings(struct buf *b, const struct terms *t, const struct project *p)
{
	bool any = false;

	for (uint32_t i = 0; i < p->n_values; i++) {
		const struct property *q = &t->c->property[p->values[i].property];
		struct said_value v;
		uint32_t setting;
		struct buf key = {0};

		if (p->values[i].thing != NONE || t->c->kind[q->kind].singleton ||
		    p->values[i].measured || !merged(t, p, i, &v))
			continue;
		if (!any)
			buf_str(b, "settings:\n");
		any = true;
		setting = setting_of(t, v.property);
		if (setting != NONE)
			buf_str(&key, craft_text(t->c, t->c->setting[setting].name));
		else
			buf_print(&key, "%s.%s", craft_text(t->c, t->c->kind[q->kind].name),
			    craft_text(t->c, q->name));
		buf_str(b, "  - ");
		print_value(b, t, &v, "", key.p);
		buf_free(&key);
		if (v.scope_entry != NONE)
			key_value(b, "    ", "at", sv(entry_title(t, v.scope_entry)));
		else if (v.scope_thing != NONE)
			key_value(b, "    ", "at", sv(thing_key(t, &p->things[v.scope_thing])));
	}
}

static void
print_measured(struct buf *b, const struct terms *t, const struct project *p)
{
	bool any = false;

	for (uint32_t i = 0; i < p->n_values; i++) {
		struct said_value v;
		struct buf key = {0};

		if (!p->values[i].measured || !merged(t, p, i, &v))
			continue;
		if (!any)
			buf_str(b, "measured:\n");
		any = true;
		buf_print(&key, "%s.%s", v.thing != NONE ? thing_key(t, &p->things[v.thing]) :
		    craft_text(t->c, t->c->kind[t->c->property[v.property].kind].name),
		    craft_text(t->c, t->c->property[v.property].name));
		buf_str(b, "  - ");
		print_value(b, t, &v, "", key.p);
		buf_free(&key);
	}
}

/* Garment and machine: values of the one thing, whether it was named or not. */
static void
print_single(struct buf *b, const struct terms *t, const struct project *p, uint32_t kind)
{
	const char *indent = kind == t->garment ? "" : "  ";
	bool head = kind == t->garment;

	for (uint32_t i = 0; i < p->n_things; i++)
		if (p->things[i].kind == kind && p->things[i].entry != NONE &&
		    !p->things[i].denied) {
			key_value(b, "", craft_text(t->c, t->c->kind[kind].name),
			    sv(entry_title(t, p->things[i].entry)));
			break;
		}
	for (uint32_t i = 0; i < p->n_values; i++) {
		struct said_value v;

		if (t->c->property[p->values[i].property].kind != kind || p->values[i].measured ||
		    !merged(t, p, i, &v))
			continue;
		if (!head)
			buf_print(b, "%s:\n", craft_text(t->c, t->c->kind[kind].name));
		head = true;
		/* At the top a property may share its name with a head of the format. */
		print_value(b, t, &v, indent, craft_text(t->c, kind == t->garment &&
		    project_head(sv(craft_text(t->c, t->c->property[v.property].name))) ?
		    t->c->property[v.property].label : t->c->property[v.property].name));
	}
}

void
project_print(struct buf *b, struct knowledge *kb, const struct project *p)
{
	struct terms t;

	terms_init(&t, kb);
	buf_add(b, "", 0);
	if (p->title[0] != '\0')
		key_value(b, "", "project", sv(p->title));
	print_single(b, &t, p, t.garment);
	print_things(b, &t, p, t.component, "materials", NULL);
	print_things(b, &t, p, t.feature, "features", "feature");
	print_things(b, &t, p, t.operation, "operations", "operation");
	print_denied(b, &t, p);
	print_settings(b, &t, p);
	print_measured(b, &t, p);
	for (uint32_t kind = 0; kind < t.c->n_kind; kind++)
		if (t.c->kind[kind].singleton && kind != t.garment)
			print_single(b, &t, p, kind);
	if (p->asked != NONE) {
		key_value(b, "", "asked", sv(craft_text(t.c, t.c->setting[p->asked].name)));
		if (p->asked_scope != NONE)
			key_value(b, "", "asked at", sv(entry_title(&t, p->asked_scope)));
	}
	if (b->n == 0)
		buf_str(b, "materials: []\n");
}
