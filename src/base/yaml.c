/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * YAML read into nodes that know their place.
 *
 * libyaml hands over events; the nesting is kept here on a stack of our own
 * with a cap, because libyaml 0.2.5 has none and grows slow without bounds on
 * nested brackets.  Anchors, tags and directives are refused: nothing in these
 * files needs them, and without them a text means what it shows.  Everything
 * stays text: whether "no" or "1:30" is a number is for the rooms above.
 */
#include "base/base_impl.h"

#include <stdlib.h>
#include <string.h>
#include <yaml.h>

const struct yaml_limits yaml_project_limits = {64, 10000, 256 * 1024};
const struct yaml_limits yaml_knowledge_limits = {64, 1000000, 16 * 1024 * 1024};

struct frame {
	struct node *box, *last;           /* the list or map, and its last child */
	struct node *key;                  /* in a map: the key that waits for its value */
};

struct reader {
	struct arena *arena;
	const struct source *src;
	struct diags *ds;
	struct frame *frame;               /* in the arena */
	size_t depth;
	struct node *root;
	struct node **keys;                /* heap: scratch for duplicate keys */
	size_t n_keys_cap;
	size_t chars, bytes;               /* the same spot counted both ways */
};

/*
 * libyaml counts characters.  Marks come nearly in order, so the spot last
 * asked for is moved to the next; the whole file is walked about once.
 */
static uint32_t
byte_at(struct reader *r, size_t index)
{
	strview t = r->src->text;

	while (r->chars < index && r->bytes < t.n) {
		r->bytes += utf8_step(t, r->bytes);
		r->chars++;
	}
	while (r->chars > index && r->bytes > 0) {
		do
			r->bytes--;
		while (r->bytes > 0 && ((unsigned char)t.p[r->bytes] & 0xc0) == 0x80);
		r->chars--;
	}
	return (uint32_t)r->bytes;
}

static struct place
span(struct reader *r, const yaml_event_t *e)
{
	uint32_t from = byte_at(r, e->start_mark.index);
	uint32_t to = byte_at(r, e->end_mark.index);

	return (struct place){r->src, from, to > from ? to - from : 0};
}

/* ---- building ---------------------------------------------------------- */

static void
attach(struct reader *r, struct node *n)
{
	struct frame *f;

	if (r->depth == 0) {
		r->root = n;
		return;
	}
	f = &r->frame[r->depth - 1];
	if (f->key != NULL) {
		f->key->value = n;
		f->key = NULL;
		return;
	}
	if (f->box->type == NODE_MAP) {
		f->key = n;
		if (n->type != NODE_TEXT)
			diag(r->ds, n->place, D_YAML_KEY_NOT_TEXT);
		else if (n->text.n == 0)
			diag(r->ds, n->place, D_YAML_KEY_EMPTY);
		else if (!n->quoted && sv_is(n->text, "<<"))
			diag(r->ds, n->place, D_YAML_ANCHOR);
	}
	if (f->last != NULL)
		f->last->next = n;
	else
		f->box->first = n;
	f->last = n;
	f->box->n++;
}

static int
by_text(const void *a, const void *b)
{
	const struct node *x = *(struct node *const *)a, *y = *(struct node *const *)b;
	int c = sv_cmp(x->text, y->text);

	if (c != 0)
		return c;
	return x->place.at < y->place.at ? -1 : x->place.at > y->place.at;
}

/* Sorted, not hashed: nobody can choose keys that make this slow. */
static void
refuse_duplicates(struct reader *r, const struct node *map)
{
	size_t n = 0, first = 0;

	if (map->n < 2)
		return;
	r->keys = mem_grow(r->keys, &r->n_keys_cap, map->n, sizeof *r->keys);
	for (struct node *k = map->first; k != NULL; k = k->next)
		if (k->type == NODE_TEXT && k->text.n > 0)
			r->keys[n++] = k;
	qsort(r->keys, n, sizeof *r->keys, by_text);
	for (size_t i = 1; i < n; i++) {
		uint32_t line, column;
		char digits[16];
		struct buf name = {0};

		if (!sv_eq(r->keys[i]->text, r->keys[first]->text)) {
			first = i;
			continue;
		}
		place_line_column(r->keys[first]->place, &line, &column);
		snprintf(digits, sizeof digits, "%u", (unsigned)line);
		buf_sv(&name, r->keys[i]->text);
		diag(r->ds, r->keys[i]->place, D_DUPLICATE_KEY, name.p, digits);
		buf_free(&name);
	}
}

static void
refuse_controls(struct reader *r, const struct node *n)
{
	for (size_t i = 0; i < n->text.n; i++) {
		unsigned char c = (unsigned char)n->text.p[i];
		unsigned char next = i + 1 < n->text.n ? (unsigned char)n->text.p[i + 1] : 0;
		char shown[16];

		if (c == 0xc2 && next >= 0x80 && next < 0xa0)
			snprintf(shown, sizeof shown, "\\u{%x}", next);
		else if ((c < 0x20 && c != '\n' && c != '\t') || c == 0x7f)
			snprintf(shown, sizeof shown, "\\x%02x", c);
		else
			continue;
		diag(r->ds, n->place, D_CONTROL_CHARACTER, shown);
		return;
	}
}

static void
scalar(struct reader *r, const yaml_event_t *e)
{
	struct node *n = arena_alloc(r->arena, sizeof *n);
	const char *value = (const char *)e->data.scalar.value;
	size_t length = e->data.scalar.length, at;

	n->type = NODE_TEXT;
	n->place = span(r, e);
	n->quoted = e->data.scalar.style == YAML_SINGLE_QUOTED_SCALAR_STYLE ||
	    e->data.scalar.style == YAML_DOUBLE_QUOTED_SCALAR_STYLE;
	/* Most values stand in the file exactly as they are meant: then the
	 * text is a view of it, and a complaint about a part of the value can
	 * point into it. */
	at = n->place.at + n->quoted;
	if (at <= r->src->text.n && length <= r->src->text.n - at &&
	    memcmp(r->src->text.p + at, value, length) == 0)
		n->text = (strview){r->src->text.p + at, length};
	else
		n->text = (strview){arena_text(r->arena, value, length), length};
	refuse_controls(r, n);
	attach(r, n);
}

/* Refused; an empty text takes its place so that reading can go on. */
static void
alias(struct reader *r, const yaml_event_t *e)
{
	struct node *n = arena_alloc(r->arena, sizeof *n);

	n->place = span(r, e);
	n->text = SV("*");
	diag(r->ds, n->place, D_YAML_ANCHOR);
	attach(r, n);
}

static bool
begin(struct reader *r, const yaml_event_t *e, enum node_type type, size_t deepest)
{
	struct node *n = arena_alloc(r->arena, sizeof *n);
	char digits[32];

	n->type = type;
	n->place = span(r, e);
	if (r->depth == deepest) {
		snprintf(digits, sizeof digits, "%zu", deepest);
		n->place.n = 1;
		diag(r->ds, n->place, D_YAML_TOO_DEEP, digits);
		return false;
	}
	attach(r, n);
	r->frame[r->depth++] = (struct frame){.box = n};
	return true;
}

static void
end(struct reader *r, const yaml_event_t *e)
{
	struct node *box = r->frame[--r->depth].box;
	uint32_t to = byte_at(r, e->end_mark.index);

	/* A block ends where the next thing begins: leave the blanks out. */
	while (to > box->place.at && strchr(" \t\r\n", r->src->text.p[to - 1]) != NULL)
		to--;
	box->place.n = to - box->place.at;
	if (box->type == NODE_MAP)
		refuse_duplicates(r, box);
}

/* ---- events ------------------------------------------------------------ */

/* Anchor or tag of an event that has one. */
static void
refuse_extras(struct reader *r, const yaml_event_t *e, const void *anchor, const void *tag)
{
	struct place p = {r->src, 0, 1};

	if (anchor == NULL && tag == NULL)
		return;
	p.at = byte_at(r, e->start_mark.index);
	diag(r->ds, p, anchor != NULL ? D_YAML_ANCHOR : D_YAML_TAG);
}

/* False: stop reading. */
static bool
event(struct reader *r, const yaml_event_t *e, const struct yaml_limits *limits, bool *more)
{
	struct place p;

	switch (e->type) {
	case YAML_NO_EVENT:
	case YAML_STREAM_START_EVENT:
	case YAML_DOCUMENT_END_EVENT:
		return true;
	case YAML_STREAM_END_EVENT:
		*more = false;
		return true;
	case YAML_DOCUMENT_START_EVENT:
		p = span(r, e);
		if (r->root != NULL) {
			diag(r->ds, p, D_MORE_THAN_ONE_DOCUMENT);
			return false;
		}
		if (e->data.document_start.version_directive != NULL ||
		    e->data.document_start.tag_directives.start !=
		    e->data.document_start.tag_directives.end)
			diag(r->ds, p, D_YAML_DIRECTIVE);
		return true;
	case YAML_ALIAS_EVENT:
		alias(r, e);
		return true;
	case YAML_SCALAR_EVENT:
		refuse_extras(r, e, e->data.scalar.anchor, e->data.scalar.tag);
		scalar(r, e);
		return true;
	case YAML_SEQUENCE_START_EVENT:
		refuse_extras(r, e, e->data.sequence_start.anchor, e->data.sequence_start.tag);
		return begin(r, e, NODE_LIST, limits->depth);
	case YAML_MAPPING_START_EVENT:
		refuse_extras(r, e, e->data.mapping_start.anchor, e->data.mapping_start.tag);
		return begin(r, e, NODE_MAP, limits->depth);
	case YAML_SEQUENCE_END_EVENT:
	case YAML_MAPPING_END_EVENT:
		end(r, e);
		return true;
	}
	return true;
}

static void
explain(struct reader *r, const yaml_parser_t *y, size_t skipped)
{
	struct yaml_fault f = {.problem = y->problem, .context = y->context};

	if (y->error == YAML_MEMORY_ERROR)
		die(EXIT_NOT_RUN, "not enough memory");
	f.reader = y->error == YAML_READER_ERROR;
	if (f.reader) {
		f.at = (uint32_t)(skipped + y->problem_offset);      /* this one is in bytes */
	} else {
		f.context_at = byte_at(r, y->context_mark.index);
		f.at = byte_at(r, y->problem_mark.index);
	}
	yaml_explain(r->src, &f, r->ds);
}

static bool
acceptable(const struct source *src, struct yaml_limits limits, struct diags *ds)
{
	struct place nowhere = {0};
	char digits[32];

	if (src->text.n > limits.bytes) {
		snprintf(digits, sizeof digits, "%zu", limits.bytes);
		diag(ds, nowhere, D_FILE_TOO_LARGE, src->name, digits);
		return false;
	}
	return source_check(src, ds);
}

struct node *
yaml_read(struct arena *a, const struct source *src, struct yaml_limits limits, struct diags *ds)
{
	struct reader r = {.arena = a, .src = src, .ds = ds};
	size_t errors = ds->errors, events = 0;
	size_t skip = sv_starts(src->text, "\xef\xbb\xbf") ? 3 : 0;  /* byte order mark */
	yaml_parser_t y;
	yaml_event_t e;
	bool more = true;
	char digits[32];

	if (!acceptable(src, limits, ds))
		return NULL;
	if (!yaml_parser_initialize(&y))
		die(EXIT_NOT_RUN, "not enough memory");
	r.frame = arena_alloc(a, (limits.depth + 1) * sizeof *r.frame);
	r.bytes = skip;
	yaml_parser_set_encoding(&y, YAML_UTF8_ENCODING);
	yaml_parser_set_input_string(&y, (const unsigned char *)src->text.p + skip,
	    src->text.n - skip);
	while (more) {
		if (!yaml_parser_parse(&y, &e)) {
			explain(&r, &y, skip);
			break;
		}
		if (++events > limits.events) {
			struct place p = span(&r, &e);

			snprintf(digits, sizeof digits, "%zu", limits.events);
			diag(ds, p, D_YAML_TOO_MANY, digits);
			more = false;
		} else if (!event(&r, &e, &limits, &more)) {
			more = false;
		}
		yaml_event_delete(&e);
	}
	yaml_parser_delete(&y);
	free(r.keys);
	if (ds->errors > errors)
		return NULL;
	if (r.root == NULL ||
	    (r.root->type == NODE_TEXT && r.root->text.n == 0 && !r.root->quoted)) {
		diag(ds, (struct place){0}, D_YAML_NOTHING, src->name);
		return NULL;
	}
	return r.root;
}

struct node *
node_key(const struct node *map, const char *key)
{
	if (map == NULL || map->type != NODE_MAP)
		return NULL;
	for (struct node *k = map->first; k != NULL; k = k->next)
		if (sv_is(k->text, key))
			return k;
	return NULL;
}

struct node *
node_get(const struct node *map, const char *key)
{
	struct node *k = node_key(map, key);

	return k != NULL ? k->value : NULL;
}
