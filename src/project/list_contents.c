/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A list of materials: of what a material is made, as labels and suppliers
 * write it: shares before or behind the names, commas, strokes or nothing between.
 */
#include "project/list_impl.h"

#include <string.h>

enum { CONTENTS_MOST = 12 };

struct blend_part { strview name; double share; bool shared; };

static bool
digit_at(strview s, size_t i)
{
	return i < s.n && s.p[i] >= '0' && s.p[i] <= '9';
}

/* A comma between two digits belongs to the number. */
static bool
parts_at(strview s, size_t i)
{
	if (s.p[i] == ',' && i > 0 && digit_at(s, i - 1) && digit_at(s, i + 1))
		return false;
	return s.p[i] != '\0' && strchr(",;/+&\n", s.p[i]) != NULL;
}

/* "65 %", "97,5%": the share, and the byte behind its sign; 0 if none stands there. */
static size_t
share_at(strview s, size_t i, double *share)
{
	size_t used;
	double x, tenth = 0.1;

	if (!number_read((strview){s.p + i, s.n - i}, &used, &x))
		return 0;
	i += used;
	if (i < s.n && s.p[i] == ',' && digit_at(s, i + 1))
		for (i++; digit_at(s, i); i++, tenth /= 10)
			x += (s.p[i] - '0') * tenth;
	while (i < s.n && s.p[i] == ' ')
		i++;
	if (i >= s.n || s.p[i] != '%')
		return 0;
	*share = x / 100;
	return i + 1;
}

/* A share begins a new part as a comma does, unless the part still wants one
 * (written behind its name). */
static uint32_t
take_apart(strview text, struct blend_part out[CONTENTS_MOST])
{
	uint32_t n = 0;
	size_t i = 0;

	while (i < text.n && n < CONTENTS_MOST) {
		struct blend_part p = {0};
		size_t from;

		while (i < text.n && (text.p[i] == ' ' || parts_at(text, i)))
			i++;
		from = i;
		while (i < text.n && !parts_at(text, i)) {
			bool starts = i == from || text.p[i - 1] == ' ';
			double share;
			size_t end = starts ? share_at(text, i, &share) : 0;

			if (end == 0) {
				i++;
				continue;
			}
			if (p.shared)
				break;         /* that of the next part */
			p.shared = true;
			p.share = share;
			if (i > from) {
				p.name = sv_trim((strview){text.p + from, i - from});
				i = end;
				break;
			}
			i = from = end;
		}
		if (p.name.n == 0)
			p.name = sv_trim((strview){text.p + from, i - from});
		if (p.name.n > 0)
			out[n++] = p;
	}
	return n;
}

static uint32_t
named(const struct terms *t, struct arena *a, strview text, uint32_t kind)
{
	const struct name *first;
	uint32_t n = kb_names(t->c, sv(name_key(a, text)), &first);

	for (uint32_t i = 0; i < n; i++)
		if ((first[i].target == NAME_ENTRY || first[i].target == NAME_SHORT) &&
		    entry_object_kind(t, first[i].id) == kind)
			return first[i].id;
	return NONE;
}

static bool
has_contents(const struct project *p, uint32_t thing)
{
	for (uint32_t i = 0; i < p->n_things; i++)
		if (p->things[i].of == thing)
			return true;
	return false;
}

void
list_contents(const struct terms *t, struct project *p, const struct list_cell *cell,
    uint32_t thing, struct diags *ds)
{
	struct blend_part parts[CONTENTS_MOST];
	uint32_t n = take_apart(cell->text, parts);
	bool had = has_contents(p, thing);

	for (uint32_t i = 0; i < n; i++) {
		uint32_t fibre = named(t, p->arena, parts[i].name, t->content), material, content, again;
		struct place place = cell->place;
		struct said_value v;

		if (cell->text.p == cell->place.src->text.p + cell->place.at) {
			place.at += (uint32_t)(parts[i].name.p - cell->text.p);
			place.n = (uint32_t)parts[i].name.n;
		}
		material = fibre == NONE && p->things[thing].entry == NONE && !had ?
		    named(t, p->arena, parts[i].name, t->component) : NONE;
		/* "leather" is what a piece of leather is made of. */
		if (fibre == NONE && p->things[thing].entry != NONE &&
		    (again = named(t, p->arena, parts[i].name, t->component)) != NONE &&
		    (kb_entry_is(t->c, p->things[thing].entry, again) ||
		    kb_entry_is(t->c, again, p->things[thing].entry)))
			continue;
		if (material != NONE) {
			p->things[thing].entry = material;
			continue;
		}
		if (fibre == NONE || had) {
			if (fibre == NONE)
				diag(ds, place, D_LIST_CELL, arena_text(p->arena, parts[i].name.p,
				    parts[i].name.n), "what it is made of");
			continue;
		}
		content = thing_add(p, (struct said_thing){.kind = (uint16_t)t->content,
		    .role = NO16, .entry = fibre, .count = 1, .of = thing, .place = place});
		if (!parts[i].shared || t->share == NONE)
			continue;
		v = value_of(content, t->share, place);
		v.value.state = VALUE_KNOWN;
		v.value.r = range_exact(parts[i].share);
		value_add(p, v);
	}
}
