/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Plain words into a project, and what became of each word.
 *
 * Nothing a person says is refused: what is not known is noted with near
 * names, what contradicts itself is kept twice and said so.  A word counts as
 * used only if a thing or a value of the project would be missing without it.
 */
#include "project/project_impl.h"

#include <stdlib.h>
#include <string.h>

enum { MOST_NOTES = 40 };                  /* on unknown words in one text */

/* A word that only joins is neither used nor in the way. */
static bool
only_joins(const struct reader *r, const struct item *item)
{
	if (item->is == ITEM_STOP)
		return true;
	if (item->is == ITEM_UNKNOWN)          /* a lone sign: "&", "+", "-" */
		return item->n == 1 && r->tokens[item->first].place.n == 1 &&
		    strchr("&+-'.,", r->src->text.p[r->tokens[item->first].place.at]) != NULL;
	return item_phrase(r, item, PHRASE_ABOUT) != NULL ||
	    item_phrase(r, item, PHRASE_CLAUSE) != NULL ||
	    item_phrase(r, item, PHRASE_ADD) != NULL;
}

static void
note_unused(struct reader *r, struct item *item, int *notes)
{
	struct place place = item_place(r, item->first, item->n);
	struct near near = {0};
	char *folded;

	if (item->told || ++*notes > MOST_NOTES)
		return;
	if (item->is == ITEM_QUANTITY && item->n_measured == 0 && item->fault != READ_NOTHING) {
		diag(r->ds, place, D_SAID_CANNOT_BE, item_text(r, item),
		    reading_fault_name(item->fault));
	} else if (item->is != ITEM_UNKNOWN) {
		diag(r->ds, place, D_SAID_UNUSED, item_text(r, item));
	} else {
		diag(r->ds, place, D_SAID_UNKNOWN, item_text(r, item));
		folded = text_fold(r->arena, (strview){r->src->text.p + place.at, place.n});
		if (place.n <= 48)
			words_near(r, sv(folded), &near);
		diag_near(r->ds, &near);
	}
}

static const char *
known_as(const struct reader *r, const struct item *item)
{
	if (item->meant != NULL)
		return item->meant;
	if (item->means == MEANS_PROPERTY || item_phrase(r, item, PHRASE_MEASURE) != NULL)
		return "what is measured";
	if (item_phrase(r, item, PHRASE_NOT) != NULL || item_phrase(r, item, PHRASE_DROP) != NULL)
		return "not";
	return "";
}

static void
account(struct reader *r)
{
	int notes = 0;

	for (uint32_t i = 0; i < r->n_items; i++) {
		struct item *item = &r->items[i];
		bool joins = !item->used && only_joins(r, item);

		if (!item->used && !joins)
			note_unused(r, item, &notes);
		for (uint32_t k = 0; k < item->n; k++)
			use_add(r->p, (struct word_use){
				.place = r->tokens[item->first + k].place,
				.use = item->used ? USED_YES : joins ? USED_STOP : USED_NOT,
				.meant = item->used ? known_as(r, item) : "",
			});
	}
}

/* A material called by its role and no more: "button". */
static void
plain_roles(struct reader *r)
{
	for (uint32_t i = 0; i < r->p->n_things; i++) {
		struct said_thing *t = &r->p->things[i];
		bool made_of = false;

		if (t->kind != r->t.component || t->entry != NONE || t->of != NONE || t->denied ||
		    t->role == NO16 || t->place.src == NULL ||
		    role_called(&r->t, sv(text_fold(r->arena, (strview){r->src->text.p + t->place.at,
		    t->place.n}))) != t->role)
			continue;
		for (uint32_t k = 0; k < r->p->n_things; k++)
			made_of = made_of || r->p->things[k].of == i;
		if (!made_of)
			t->entry = role_entry(&r->t, t->role);
	}
}

static struct project *
read_through(struct reader *r)
{
	words_items(r);
	words_things(r);
	if (!r->change)
		plain_roles(r);
	words_values(r);
	words_scopes(r);
	account(r);
	return r->p;
}

struct project *
words_read(struct arena *a, struct knowledge *kb, const struct source *src, bool change,
    struct diags *ds)
{
	struct reader r = {.ds = ds, .src = src, .arena = a, .change = change};

	r.p = project_new(a, src);
	if (!source_check(src, ds))
		return NULL;
	terms_init(&r.t, kb);
	if (!words_tokens(&r)) {
		diag(ds, (struct place){src, 0, 0}, D_SAID_NOTHING);
		return NULL;
	}
	return read_through(&r);
}

struct project *
words_read_parts(struct arena *a, struct knowledge *kb, const struct source *src,
    const struct place *parts, uint32_t n, bool join, struct diags *ds)
{
	struct reader r = {.ds = ds, .src = src, .arena = a, .parts = parts, .n_parts = n,
	    .parts_join = join};

	r.p = project_new(a, src);
	terms_init(&r.t, kb);
	return n > 0 && words_tokens(&r) ? read_through(&r) : r.p;
}

struct project *
project_from_words(struct arena *a, struct knowledge *kb, const struct source *src,
    struct diags *ds)
{
	return words_read(a, kb, src, false, ds);
}

/* ---- a file of either kind ------------------------------------------------------------ */

/* Does the first line that says anything look like "name: ..." or "- ..."? */
static bool
looks_like_yaml(strview t)
{
	size_t i = sv_starts(t, "\xef\xbb\xbf") ? 3 : 0;

	while (i < t.n) {
		size_t end = i, at;

		while (end < t.n && t.p[end] != '\n')
			end++;
		at = i;
		while (at < end && (t.p[at] == ' ' || t.p[at] == '\t' || t.p[at] == '\r'))
			at++;
		i = end + 1;
		if (at == end || t.p[at] == '#')
			continue;
		if (end - at >= 3 && memcmp(t.p + at, "---", 3) == 0)
			return true;
		if (t.p[at] == '{' || t.p[at] == '%' ||
		    (t.p[at] == '-' && at + 1 < end && t.p[at + 1] == ' '))
			return true;
		for (size_t k = at; k < end && k - at < 40; k++) {
			if (t.p[k] == ':')
				return k + 1 == end || t.p[k + 1] == ' ' || t.p[k + 1] == '\r';
			if (t.p[k] == ',' || t.p[k] == ';')
				return false;
		}
		return false;
	}
	return false;
}

static bool
named_yaml(const char *path)
{
	size_t n = strlen(path);

	return (n > 5 && strcmp(path + n - 5, ".yaml") == 0) ||
	    (n > 4 && strcmp(path + n - 4, ".yml") == 0);
}

struct project *
project_from_text(struct arena *a, struct knowledge *kb, const struct source *src, struct diags *ds)
{
	return looks_like_yaml(src->text) ? project_from_yaml(a, kb, src, ds)
	    : project_from_words(a, kb, src, ds);
}

struct project *
project_read(struct arena *a, struct knowledge *kb, const char *path, struct diags *ds)
{
	const struct source *src;
	strview text;

	if (!file_read(a, path, yaml_project_limits.bytes, &text, ds))
		return NULL;
	src = source_new(a, strcmp(path, "-") == 0 ? "<input>" : path, text);
	return named_yaml(path) ? project_from_yaml(a, kb, src, ds)
	    : project_from_text(a, kb, src, ds);
}

/* ---- looking inside ---------------------------------------------------------------------- */

void
project_tokens(struct buf *b, struct knowledge *kb, const struct project *p)
{
	static const char *const uses[] = {
		[USED_NOT] = "not used", [USED_STOP] = "joins", [USED_YES] = "used"
	};

	(void)kb;
	buf_add(b, "", 0);
	for (uint32_t i = 0; i < p->n_uses; i++) {
		const struct word_use *u = &p->uses[i];
		uint32_t line, column;

		place_line_column(u->place, &line, &column);
		buf_print(b, "%u:%u\t", (unsigned)line, (unsigned)column);
		text_safe(b, (strview){u->place.src->text.p + u->place.at, u->place.n});
		buf_print(b, "\t%s%s%s\n", uses[u->use], u->meant[0] != '\0' ? "\t" : "", u->meant);
	}
}
