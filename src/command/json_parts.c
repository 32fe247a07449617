/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What the JSON of all commands has in common.  The shape is described in
 * docs/json.md and docs/report.schema.json: within one major number keys are
 * added, never renamed or taken away.
 */
#include "command/command_impl.h"

#include <string.h>

static const char schema_name[] = "bodkin.report/1";

void
json_begin(struct run *r, struct json *j)
{
	*j = (struct json){.out = &r->out};
	json_open(j, '{');
	json_key(j, "schema");
	json_str(j, schema_name);
	json_key(j, "tool_version");
	json_str(j, bodkin_version);
	json_key(j, "kb_version");
	json_str(j, r->kb != NULL ? kb_version(r->kb) : NULL);
	json_key(j, "command");
	json_str(j, r->ask->command->name);
}

void
json_end(struct run *r, struct json *j)
{
	json_close(j, '}');
	buf_char(&r->out, '\n');
}

static void
json_bound(struct json *j, const char *key, const struct unit *u, double base)
{
	double written;

	json_key(j, key);
	if (unit_from_base(u, base, &written))
		json_number(j, written);
	else
		json_str(j, NULL);             /* open, or off the scale of the unit */
}

static void
json_quantity(struct run *r, struct json *j, const struct property *p, range v)
{
	const struct units *us = r->craft->units;
	uint32_t unit = p->n_units > 0 ? r->craft->unit_list[p->first_unit] : NONE;
	const struct unit *u = unit < us->n ? &us->u[unit] : NULL;
	/* A count falls as what it counts grows: its lower number is the upper bound. */
	bool falls = u != NULL && u->form == UNIT_INVERSE;

	if (u == NULL)
		return;
	json_bound(j, "low", u, falls ? v.hi : v.lo);
	json_bound(j, "high", u, falls ? v.lo : v.hi);
	json_key(j, "unit");
	json_str(j, u->name);
}

void
json_value(struct run *r, struct json *j, const struct model *m, uint32_t property, const value *v)
{
	const struct property *p = &r->craft->property[property];
	const struct word_set *set;

	json_open(j, '{');
	json_key(j, "text");
	json_str(j, v->state == VALUE_KNOWN ? value_text(r, m, property, v) : NULL);
	json_key(j, "state");
	json_str(j, v->state == VALUE_KNOWN ? "known" : v->state == VALUE_UNKNOWN ? "unknown" : "absent");
	if (v->state == VALUE_KNOWN && (p->type == TYPE_QUANTITY || p->type == TYPE_BAND))
		json_quantity(r, j, p, v->r);
	if (v->state == VALUE_KNOWN && p->type == TYPE_WORDS) {
		set = &r->craft->word_set[p->word_set];
		json_key(j, "words");
		json_open(j, '[');
		for (uint32_t i = 0; i < set->n && i < 128; i++)
			if (v->set[i / 64] >> (i % 64) & 1)
				json_str(j, craft_text(r->craft, r->craft->word[set->first + i].name));
		json_close(j, ']');
	}
	json_close(j, '}');
}

void
json_own(struct json *j, uint32_t own)
{
	if (own == 0)
		return;
	json_key(j, "own");
	if (own == ENTRY_REFINED)
		json_str(j, "refined");
	else
		json_bool(j, true);
}

void
json_place(struct json *j, struct place p)
{
	uint32_t line, column;

	if (p.src == NULL) {
		json_str(j, NULL);
		return;
	}
	place_line_column(p, &line, &column);
	json_open(j, '{');
	json_key(j, "file");
	json_str(j, place_in_file(p) ? p.src->name : NULL);
	json_key(j, "line");
	json_number(j, line);
	json_key(j, "column");
	json_number(j, column);
	json_key(j, "offset");
	json_number(j, p.at);
	json_key(j, "length");
	json_number(j, p.n);
	json_key(j, "text");
	json_text(j, (strview){p.src->text.p + p.at, p.n});
	json_close(j, '}');
}

void
json_source(struct run *r, struct json *j, uint32_t source)
{
	const struct cited_source *s = &r->craft->source[source];

	json_open(j, '{');
	json_key(j, "id");
	json_str(j, craft_text(r->craft, s->id));
	json_key(j, "title");
	json_str(j, craft_text(r->craft, s->title));
	json_key(j, "body");
	json_str(j, craft_text(r->craft, s->body));
	json_key(j, "year");
	json_str(j, craft_text(r->craft, s->year));
	json_key(j, "url");
	json_str(j, craft_text(r->craft, s->url));
	json_close(j, '}');
}

void
json_sources(struct run *r, struct json *j)
{
	json_key(j, "sources");
	json_open(j, '[');
	for (uint32_t i = 0; i < r->n_cited; i++)
		json_source(r, j, r->cited[i]);
	json_close(j, ']');
}

void
json_cited(struct run *r, struct json *j, uint32_t first, uint32_t n)
{
	json_open(j, '[');
	for (uint32_t i = 0; i < n && first + i < r->craft->n_cited; i++) {
		uint32_t s = r->craft->cited[first + i];

		cite(r, s);
		json_str(j, craft_text(r->craft, r->craft->source[s].id));
	}
	json_close(j, ']');
}

void
json_lines(struct json *j, const char *key, strview text)
{
	json_key(j, key);
	json_open(j, '[');
	while (text.n > 0) {
		size_t n = 0;

		while (n < text.n && text.p[n] != '\n')
			n++;
		json_text(j, (strview){text.p, n});
		n += n < text.n;
		text.p += n;
		text.n -= n;
	}
	json_close(j, ']');
}
