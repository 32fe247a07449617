/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Values, facts, places and sources put into words for a page: short texts in
 * the run's arena.  What stands around them comes from the messages of kb/.
 */
#include "command/command_impl.h"

#include <math.h>
#include <string.h>

const char *const degree_names[DEGREE__COUNT] = {
	[DEGREE_MENTION] = "mention", [DEGREE_DOUBTFUL] = "doubtful", [DEGREE_GRAVE] = "grave",
};
const char *const basis_names[BASIS__COUNT] = {
	[BASIS_MEMORY] = "memory", [BASIS_OWN] = "own",
	[BASIS_PRACTICE] = "practice", [BASIS_PUBLISHED] = "published",
};
const char *const strength_names[STRENGTH__COUNT] = {
	[STRENGTH_LEANING] = "leaning", [STRENGTH_USUAL] = "usual", [STRENGTH_FIRM] = "firm",
};

const char *
run_kept(struct run *r, struct buf *b)
{
	const char *t = arena_text(r->arena, b->n > 0 ? b->p : "", b->n);

	buf_free(b);
	return t;
}

/* ---- values -------------------------------------------------------------- */

struct cell
value_cell(const struct craft *c, uint32_t property, const value *v)
{
	struct cell cell = {.type = c->property[property].type, .state = v->state};

	switch ((enum value_type)cell.type) {
	case TYPE_QUANTITY: case TYPE_BAND:
		cell.r = v->r;
		break;
	case TYPE_WORDS:
		cell.set[0] = v->set[0];
		cell.set[1] = v->set[1];
		break;
	case TYPE_REF:
		cell.ref = v->ref;
		break;
	case TYPE_TRUTH: case TYPE__COUNT:
		break;
	}
	return cell;
}

const char *
value_text(struct run *r, const struct model *m, uint32_t property, const value *v)
{
	struct buf b = {0};

	cell_print(&b, r->craft, m, value_cell(r->craft, property, v), property);
	return run_kept(r, &b);
}

const char *
fact_text(struct run *r, const struct model *m, struct fact f)
{
	const char *label = craft_text(r->craft, r->craft->property[f.property].label);

	if (*label == '\0')
		label = craft_text(r->craft, r->craft->property[f.property].name);
	if (f.object == NONE || f.object >= m->n_objects)
		return label;
	return SAY(r, "fact.name", "property", label, "object", object_name(m, f.object));
}

const char *
pedigree_text(struct run *r, const struct model *m, uint32_t pedigree)
{
	struct buf b = {0};

	pedigree_print(&b, r->kb, m, pedigree);
	return run_kept(r, &b);
}

const char *
number_text(struct run *r, double x, int significant)
{
	struct buf b = {0};

	buf_number(&b, x, significant);
	return run_kept(r, &b);
}

const char *
at_text(struct run *r, uint32_t property, double at)
{
	value v = {.r = range_exact(at), .state = VALUE_KNOWN};

	return value_text(r, NULL, property, &v);
}

const char *
words_text(struct run *r, uint32_t property, const uint64_t set[2])
{
	value v = {.state = VALUE_KNOWN};

	v.set[0] = set[0];
	v.set[1] = set[1];
	return value_text(r, NULL, property, &v);
}

/* ---- places ----------------------------------------------------------------- */

bool
place_in_file(struct place p)
{
	return p.src != NULL && p.src->name[0] != '<';
}

const char *
place_text(struct run *r, struct place p)
{
	struct buf b = {0};

	if (p.src == NULL)
		return "";
	if (place_in_file(p)) {
		place_name(&b, p);
	} else {
		buf_char(&b, '"');
		buf_add(&b, p.src->text.p + p.at, p.n);
		buf_char(&b, '"');
	}
	return run_kept(r, &b);
}

const char *
excerpt_text(struct run *r, struct place p)
{
	struct buf b = {0};

	place_name(&b, p);
	buf_char(&b, '\n');
	place_excerpt(&b, p);
	return run_kept(r, &b);
}

/* ---- what is the user's -------------------------------------------------------- */

const char *
own_mark(struct run *r, bool own, const char *text)
{
	return own ? SAY(r, "own.mark", "says", text) : text;
}

const char *
entry_mark(struct run *r, uint32_t entry, const char *text)
{
	if (entry >= r->craft->n_entry)
		return text;
	switch ((enum whose)r->craft->entry[entry].own) {
	case ENTRY_SHIPPED: return text;
	case ENTRY_REFINED: return SAY(r, "own.refined-mark", "says", text);
	case ENTRY_OWN: return SAY(r, "own.mark", "says", text);
	}
	return text;
}

const char *
rule_name(struct run *r, uint32_t rule)
{
	const struct rule *u = &r->craft->rule[rule];

	return own_mark(r, u->own, craft_text(r->craft, u->id));
}

const char *
own_place(struct run *r, text_at file, uint32_t line)
{
	return arena_print(r->arena, "%s:%u", craft_text(r->craft, file), (unsigned)line);
}

/* ---- sources ------------------------------------------------------------------ */

uint32_t
cite(struct run *r, uint32_t source)
{
	if (source == NONE || source >= r->craft->n_source ||
	    r->craft->source[source].basis != BASIS_PUBLISHED)
		return 0;
	for (uint32_t i = 0; i < r->n_cited; i++)
		if (r->cited[i] == source)
			return i + 1;
	if (r->n_cited == r->cap_cited) {
		uint32_t cap = r->cap_cited > 0 ? r->cap_cited * 2 : 16;
		uint32_t *more = arena_alloc(r->arena, cap * sizeof *more);

		if (r->n_cited > 0)
			memcpy(more, r->cited, r->n_cited * sizeof *more);
		r->cited = more;
		r->cap_cited = cap;
	}
	r->cited[r->n_cited++] = source;
	return r->n_cited;
}

const char *
cite_text(struct run *r, uint32_t source)
{
	uint32_t n = cite(r, source);

	if (n > 0)
		return arena_print(r->arena, "[%u]", (unsigned)n);
	if (source == NONE || source >= r->craft->n_source)
		return "";
	return r->craft->source[source].basis == BASIS_PRACTICE ? SAY(r, "basis.practice") :
	    r->craft->source[source].basis == BASIS_OWN ? SAY(r, "basis.own") :
	    SAY(r, "basis.memory");
}

const char *
cites_text(struct run *r, uint32_t first, uint32_t n)
{
	struct buf b = {0};

	for (uint32_t i = 0; i < n && first + i < r->craft->n_cited; i++) {
		if (i > 0)
			buf_char(&b, ' ');
		buf_str(&b, cite_text(r, r->craft->cited[first + i]));
	}
	return run_kept(r, &b);
}

const char *
source_text(struct run *r, uint32_t source)
{
	const struct cited_source *s = &r->craft->source[source];
	const char *parts[] = {craft_text(r->craft, s->title), craft_text(r->craft, s->body),
	    craft_text(r->craft, s->year), craft_text(r->craft, s->url)};
	struct buf b = {0};

	buf_add(&b, "", 0);
	for (size_t k = 0; k < sizeof parts / sizeof *parts; k++)
		if (*parts[k] != '\0')
			buf_print(&b, "%s%s", b.n > 0 ? ", " : "", parts[k]);
	return run_kept(r, &b);
}

void
check_sources(struct run *r)
{
	if (r->n_cited == 0)
		return;
	page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "check.sources"));
	for (uint32_t i = 0; i < r->n_cited; i++)
		page_item(r->page, 0, TONE_PLAIN, arena_print(r->arena, "[%u]", (unsigned)i + 1),
		    source_text(r, r->cited[i]));
}

/* ---- degrees -------------------------------------------------------------------- */

const char *
degree_text(struct run *r, enum degree d)
{
	switch (d) {
	case DEGREE_GRAVE: return SAY(r, "degree.grave");
	case DEGREE_DOUBTFUL: return SAY(r, "degree.doubtful");
	case DEGREE_MENTION: return SAY(r, "degree.mention");
	case DEGREE__COUNT: break;
	}
	return "";
}

enum tone
degree_tone(enum degree d)
{
	switch (d) {
	case DEGREE_GRAVE: return TONE_GRAVE;
	case DEGREE_DOUBTFUL: return TONE_DOUBTFUL;
	case DEGREE_MENTION: return TONE_MENTION;
	case DEGREE__COUNT: break;
	}
	return TONE_PLAIN;
}
