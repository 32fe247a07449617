/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * show: everything the knowledge base holds on one name, with what each figure
 * rests on.  A name with several meanings shows them all.
 */
#include "command/command_impl.h"

#include <string.h>

enum { MEANINGS = 16, VALUE_COLUMNS = 4 };

static const char *
entry_name(const struct run *r, uint32_t e)
{
	return craft_text(r->craft, r->craft->entry[e].name);
}

/* ---- which entries are meant -------------------------------------------------- */

static bool
kind_fits(const struct run *r, uint32_t e)
{
	const struct entry_kind *k = &r->craft->entry_kind[r->craft->entry[e].kind];

	return r->ask->kind == NULL || strcmp(r->ask->kind, craft_text(r->craft, k->name)) == 0 ||
	    strcmp(r->ask->kind, craft_text(r->craft, k->plural)) == 0;
}

static uint32_t
meanings(struct run *r, strview written, uint32_t out[MEANINGS])
{
	const struct name *first;
	strview folded = sv(text_fold(r->arena, written));
	uint32_t n = 0, names = kb_names(r->craft, folded, &first);

	/* Names as written go before those the compiler made. */
	for (int inflected = 0; inflected < 2 && n == 0; inflected++) {
		for (uint32_t i = 0; i < names && n < MEANINGS; i++) {
			bool before = false;

			if (first[i].target != NAME_ENTRY || first[i].inflected != inflected ||
			    !kind_fits(r, first[i].id))
				continue;
			for (uint32_t k = 0; k < n; k++)
				before = before || out[k] == first[i].id;
			if (!before)
				out[n++] = first[i].id;
		}
	}
	if (n == 0)
		n = kb_names_loose(r->craft, written, r->ask->kind, out, MEANINGS);
	return n;
}

static void
near_names(struct run *r, strview written)
{
	struct near near = {0};
	struct buf b = {0};

	kb_names_near(r->craft, sv(text_fold(r->arena, written)), &near);
	for (int i = 0; i < near.n; i++)
		buf_print(&b, "%s%s", i == 0 ? "" : ", ", near.name[i]);
	if (b.n > 0)
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "show.near", "near", b.p));
	buf_free(&b);
}

/* ---- the page -------------------------------------------------------------------- */

static void
pair(struct run *r, const char *label, struct buf *b)
{
	if (b->n > 0)
		page_add(r->page, BLOCK_PAIR, label, b->p);
	buf_free(b);
}

static const char *
region_name(const struct run *r, uint16_t region)
{
	uint32_t set = set_find(r->craft, SV("region"));

	if (region == NO16 || set == NONE || region >= r->craft->word_set[set].n)
		return NULL;
	return craft_text(r->craft, r->craft->word[r->craft->word_set[set].first + region].name);
}

static void
also_called(struct run *r, uint32_t e)
{
	struct buf b = {0};

	for (uint32_t i = 0; i < r->craft->n_name; i++) {
		const struct name *n = &r->craft->name[i];
		const char *region = region_name(r, n->region);

		if (n->target != NAME_ENTRY || n->id != e || n->inflected ||
		    strcmp(craft_text(r->craft, n->written), entry_name(r, e)) == 0)
			continue;
		buf_print(&b, "%s%s", b.n > 0 ? ", " : "", craft_text(r->craft, n->written));
		if (region != NULL)
			buf_print(&b, " (%s)", region);
	}
	pair(r, SAY(r, "show.also"), &b);
}

static void
broader(struct run *r, uint32_t e)
{
	const struct entry *h = &r->craft->entry[e];
	struct buf b = {0};

	buf_str(&b, craft_text(r->craft, r->craft->entry_kind[h->kind].name));
	for (uint32_t i = 0; i < h->n_broader; i++)
		buf_print(&b, ", %s", entry_name(r, r->craft->broader[h->first_broader + i]));
	pair(r, SAY(r, "show.broader"), &b);
}

static void
links(struct run *r, const struct entry_record *rec)
{
	for (uint32_t i = 0; i < rec->n_links; i++) {
		const char *how = rec->links[i].how;
		struct buf b = {0};
		bool before = false;

		for (uint32_t k = 0; k < i; k++)
			before = before || strcmp(rec->links[k].how, how) == 0;
		if (before)
			continue;
		for (uint32_t k = i; k < rec->n_links; k++)
			if (strcmp(rec->links[k].how, how) == 0)
				buf_print(&b, "%s%s", b.n > 0 ? ", " : "",
				    entry_name(r, rec->links[k].entry));
		pair(r, how, &b);
	}
}

static const char *
basis_text(struct run *r, const struct typical *t)
{
	const char *low = cite_text(r, t->basis_low), *high = cite_text(r, t->basis_high);

	if (t->basis_low == t->basis_high || *high == '\0')
		return low;
	return arena_print(r->arena, "%s %s", low, high);
}

static void
values(struct run *r, const struct entry_record *rec)
{
	const char **cells = arena_alloc(r->arena, ((size_t)rec->n_typicals + 1) * VALUE_COLUMNS *
	    sizeof *cells);

	if (rec->n_typicals == 0)
		return;
	cells[0] = SAY(r, "column.property");
	cells[1] = SAY(r, "show.usual");
	cells[2] = SAY(r, "show.seen");
	cells[3] = SAY(r, "column.basis");
	for (uint32_t i = 0; i < rec->n_typicals; i++) {
		const struct typical *t = &rec->typicals[i];
		const char **row = cells + ((size_t)i + 1) * VALUE_COLUMNS;

		row[0] = craft_text(r->craft, r->craft->property[t->property].label);
		row[1] = value_text(r, NULL, t->property, &t->usual);
		row[2] = t->seen.state == VALUE_KNOWN ? value_text(r, NULL, t->property, &t->seen) : "";
		row[3] = basis_text(r, t);
		if (t->note != NULL && *t->note != '\0')
			row[3] = arena_print(r->arena, "%s %s", row[3], t->note);
	}
	page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "show.values"));
	page_table(r->page, rec->n_typicals + 1, VALUE_COLUMNS, cells);
}

static const char *
brought_value(struct run *r, const struct entry_record *rec, const struct bring_set *s)
{
	uint32_t roles = set_find(r->craft, SV("role"));

	switch ((enum bring_how)s->how) {
	case BRING_VALUE:
		return value_text(r, NULL, s->property, &rec->bring_values[s->typical].usual);
	case BRING_PROGRAM:
		return arena_print(r->arena, "= %s", craft_text(r->craft,
		    r->craft->program[s->program].written));
	case BRING_LOCAL:
		return rec->brings[s->local].name;
	case BRING_ROLE:
		if (roles != NONE && s->role < r->craft->word_set[roles].n)
			return craft_text(r->craft, r->craft->word[
			    r->craft->word_set[roles].first + s->role].name);
		break;
	}
	return "";
}

/* An item as its author wrote it: what it is part of, when it is made, what it
 * follows and what is said of it. */
static void
brought(struct run *r, const struct entry_record *rec, const struct bring *b)
{
	if (b->parent != NONE)
		page_item(r->page, 1, TONE_PLAIN, craft_text(r->craft,
		    r->craft->property[b->parent_property].name), rec->brings[b->parent].name);
	if (b->when != NONE)
		page_item(r->page, 1, TONE_PLAIN, SAY(r, "why.when"),
		    craft_text(r->craft, r->craft->program[b->when].written));
	for (uint32_t i = 0; i < b->n_after; i++)
		page_item(r->page, 1, TONE_PLAIN, SAY(r, "show.after"),
		    rec->brings[b->after[i]].name);
	for (uint32_t i = 0; i < b->n_set; i++) {
		const char *name = craft_text(r->craft,
		    r->craft->property[b->set[i].property].name);
		const char *what = brought_value(r, rec, &b->set[i]);

		/* Several roles are a list, the first that is there. */
		for (; i + 1 < b->n_set && b->set[i + 1].property == b->set[i].property; i++)
			what = arena_print(r->arena, "%s, %s", what,
			    brought_value(r, rec, &b->set[i + 1]));
		page_item(r->page, 1, TONE_PLAIN, name, what);
	}
}

static void
brings(struct run *r, const struct entry_record *rec)
{
	bool any = false;

	for (uint32_t i = 0; i < rec->n_brings; i++) {
		const struct bring *b = &rec->brings[i];

		if (b->parent != NONE && !r->ask->all)
			continue;
		if (!any)
			page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "show.brings"));
		any = true;
		if (r->ask->all) {
			page_item(r->page, 0, TONE_PLAIN,
			    craft_text(r->craft, r->craft->kind[b->kind].name), b->name);
			brought(r, rec, b);
			continue;
		}
		page_add(r->page, BLOCK_PAIR, craft_text(r->craft, r->craft->kind[b->kind].name),
		    b->name != NULL && *b->name != '\0' ? b->name :
		    b->entry != NONE ? entry_name(r, b->entry) : "");
	}
}

/* What the user adds to a shipped entry has keys of its own. */
static bool
added(const char *key)
{
	return strncmp(key, "own:", 4) == 0;
}

static const char *
text_label(struct run *r, const char *key)
{
	return added(key) ? SAY(r, "own.text", "key", key + 4) : key;
}

static void
entry_page(struct run *r, uint32_t e)
{
	const struct entry_record *rec = kb_entry(r->kb, e);
	const struct entry *h = &r->craft->entry[e];
	struct drawing *drawn[2] = {NULL, NULL};

	page_add(r->page, BLOCK_HEADING, NULL, entry_name(r, e));
	if (h->own != ENTRY_SHIPPED)
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, h->own == ENTRY_OWN ?
		    "own.entry" : "own.entry-refined", "place", own_place(r, h->file, h->line)));
	if (*craft_text(r->craft, r->craft->entry[e].says) != '\0')
		page_add(r->page, BLOCK_PARAGRAPH, NULL, craft_text(r->craft, r->craft->entry[e].says));
	broader(r, e);
	also_called(r, e);
	for (uint32_t i = 0; i < rec->n_texts; i++) {
		if (strcmp(rec->texts[i].key, "section") == 0)
			drawn[0] = section_drawing(r, entry_name(r, e), sv(rec->texts[i].text));
		else if (strcmp(rec->texts[i].key, "shape") == 0)
			drawn[1] = shape_drawing(r, entry_name(r, e), sv(rec->texts[i].text));
		else if (strcmp(rec->texts[i].key, "says") != 0)
			page_add(r->page, BLOCK_PAIR, text_label(r, rec->texts[i].key),
			    rec->texts[i].text);
	}
	links(r, rec);
	for (int i = 0; i < 2; i++)
		if (drawn[i] != NULL)
			page_drawing(r->page, drawn[i]);
	values(r, rec);
	brings(r, rec);
}

/* ---- JSON ------------------------------------------------------------------------- */

static void
entry_json(struct run *r, struct json *j, uint32_t e)
{
	const struct entry *h = &r->craft->entry[e];
	const struct entry_record *rec = kb_entry(r->kb, e);

	json_open(j, '{');
	json_key(j, "name");
	json_str(j, entry_name(r, e));
	json_key(j, "kind");
	json_str(j, craft_text(r->craft, r->craft->entry_kind[h->kind].name));
	json_key(j, "says");
	json_str(j, craft_text(r->craft, h->says));
	json_own(j, h->own);
	json_key(j, "broader");
	json_open(j, '[');
	for (uint32_t i = 0; i < h->n_broader; i++)
		json_str(j, entry_name(r, r->craft->broader[h->first_broader + i]));
	json_close(j, ']');
	json_key(j, "also");
	json_open(j, '[');
	for (uint32_t i = 0; i < r->craft->n_name; i++) {
		const struct name *n = &r->craft->name[i];

		if (n->target != NAME_ENTRY || n->id != e || n->inflected)
			continue;
		json_open(j, '{');
		json_key(j, "name");
		json_str(j, craft_text(r->craft, n->written));
		json_key(j, "region");
		json_str(j, region_name(r, n->region));
		json_close(j, '}');
	}
	json_close(j, ']');
	json_key(j, "texts");
	json_open(j, '[');
	for (uint32_t i = 0; i < rec->n_texts; i++) {
		json_open(j, '{');
		json_key(j, "key");
		json_str(j, rec->texts[i].key + (added(rec->texts[i].key) ? 4 : 0));
		json_own(j, added(rec->texts[i].key) ? ENTRY_OWN : 0);
		json_key(j, "text");
		json_str(j, rec->texts[i].text);
		json_close(j, '}');
	}
	json_close(j, ']');
	json_key(j, "links");
	json_open(j, '[');
	for (uint32_t i = 0; i < rec->n_links; i++) {
		json_open(j, '{');
		json_key(j, "how");
		json_str(j, rec->links[i].how);
		json_key(j, "entry");
		json_str(j, entry_name(r, rec->links[i].entry));
		json_close(j, '}');
	}
	json_close(j, ']');
	json_key(j, "values");
	json_open(j, '[');
	for (uint32_t i = 0; i < rec->n_typicals; i++) {
		const struct typical *t = &rec->typicals[i];

		json_open(j, '{');
		json_key(j, "property");
		json_str(j, craft_text(r->craft, r->craft->property[t->property].name));
		json_key(j, "usual");
		json_value(r, j, NULL, t->property, &t->usual);
		json_key(j, "seen");
		json_value(r, j, NULL, t->property, &t->seen);
		json_key(j, "basis");
		json_open(j, '[');
		json_str(j, craft_text(r->craft, r->craft->source[t->basis_low].id));
		json_str(j, craft_text(r->craft, r->craft->source[t->basis_high].id));
		json_close(j, ']');
		json_key(j, "note");
		json_str(j, t->note);
		json_close(j, '}');
		cite(r, t->basis_low);
		cite(r, t->basis_high);
	}
	json_close(j, ']');
	json_close(j, '}');
}

int
command_show(struct run *r)
{
	const char *name = joined_args(r, 0);
	uint32_t found[MEANINGS], n;
	struct json j;

	if (r->ask->n_args == 0)
		return usage(r, "name what to show");
	if (!run_knowledge(r))
		return EXIT_NOT_RUN;
	n = meanings(r, sv(name), found);
	if (r->ask->json) {
		json_begin(r, &j);
		json_key(&j, "entries");
		json_open(&j, '[');
		for (uint32_t i = 0; i < n; i++)
			entry_json(r, &j, found[i]);
		json_close(&j, ']');
		json_sources(r, &j);
		json_end(r, &j);
	} else if (n == 0) {
		page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "show.not-found", "name", name));
		near_names(r, sv(name));
	} else {
		if (n > 1)
			page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "show.meanings", "name", name,
			    "count", arena_print(r->arena, "%u", (unsigned)n)));
		for (uint32_t i = 0; i < n; i++)
			entry_page(r, found[i]);
		check_sources(r);
	}
	return n > 0 ? EXIT_SOUND : EXIT_FINDINGS;
}
