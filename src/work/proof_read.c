/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A sheet of instructions into words, with what part of the sheet each stands
 * in.  Its measures are found in proof_figures.c.
 *
 * Sheets differ: Markdown, numbered lists, plain prose.  Headings are told by
 * their marks or by standing alone, parts by the words in headings.  Where a
 * sheet numbers its steps only those are steps; else, where it has a list, the
 * items of the list; else every paragraph of the work.
 */
#include "work/proof_impl.h"

#include <string.h>

enum { WORDS_OF_HEADING = 9, NAME_LONGEST = 6, LONGEST_WORD = 60 };

void *
proof_more(struct arena *a, void *old, uint32_t n, uint32_t *cap, size_t size)
{
	uint32_t want = *cap > 0 ? *cap * 2 : 64;
	void *p;

	if (n < *cap)
		return old;
	p = arena_alloc(a, want * size);
	if (old != NULL)
		memcpy(p, old, n * size);
	*cap = want;
	return p;
}

/* ---- signs ---------------------------------------------------------------------- */

/* Signs of more than one byte that are no letters: dashes, quotes, bullets, dots. */
static bool
is_sign(const char *p, size_t n)
{
	return n >= 3 && (unsigned char)p[0] == 0xe2 && ((unsigned char)p[1] == 0x80 ||
	    (unsigned char)p[1] == 0x96 || (unsigned char)p[1] == 0x97 || (unsigned char)p[1] == 0x9c);
}

struct place
mark_place(const struct sheet_text *t, uint32_t first, uint32_t n)
{
	const struct mark *a = &t->marks[first], *b = &t->marks[first + (n > 0 ? n - 1 : 0)];

	return (struct place){t->src, a->at, b->at + b->n - a->at};
}

bool
words_at(const struct sheet_text *t, uint32_t mark, const char *folded, uint32_t *n)
{
	const char *p = folded;

	for (*n = 0; *p != '\0'; (*n)++) {
		size_t len = strcspn(p, " ");
		const char *is;

		if (mark + *n >= t->n || (*n > 0 && t->marks[mark + *n].breaks))
			return false;
		is = t->marks[mark + *n].text;
		if (p[len - 1] == '*' ? strncmp(is, p, len - 1) != 0
		    : strncmp(is, p, len) != 0 || is[len] != '\0')
			return false;
		p += len;
		p += *p == ' ';
	}
	return *n > 0;
}

const struct proof_word *
proof_word_at(const struct sheet_text *t, uint32_t mark, enum proof_means means, uint32_t *n)
{
	const struct proof_word *best = NULL;

	*n = 0;
	for (uint32_t i = 0; i < t->c->n_proof_word; i++) {
		const struct proof_word *w = &t->c->proof_word[i];
		uint32_t k;

		if (w->means == means && words_at(t, mark, craft_text(t->c, w->folded), &k) && k > *n) {
			best = w;
			*n = k;
		}
	}
	return best;
}

/* ---- lines into marks --------------------------------------------------------------- */

struct line { uint32_t at, n; };           /* without blanks at its ends */
struct shape {                             /* of a line */
	bool blank, heading, numbered, bullet, table, rule;
	uint32_t level, skip;              /* of a heading; bytes before its text */
	uint32_t number, indent;
};

static struct shape
shape_of(const char *p, size_t n, size_t indent)
{
	struct shape s = {.indent = (uint32_t)indent};
	size_t i = 0;

	s.blank = n == 0;
	while (i < n && p[i] == '#')
		i++;
	if (i > 0 && i <= 6 && (i == n || p[i] == ' ')) {
		s.heading = true;
		s.level = (uint32_t)i;
		s.skip = (uint32_t)i;
		return s;
	}
	for (i = 0; i < n && strchr("=-*_|: +", p[i]) != NULL;)
		i++;
	if (n >= 3 && i == n) {
		s.rule = true;
		return s;
	}
	s.table = n > 0 && p[0] == '|';
	i = 0;
	if (n > 6 && sv_starts((strview){p, n}, "**")) {
		size_t end = 2;

		while (end + 1 < n && memcmp(p + end, "**", 2) != 0)
			end++;
		/* a whole line in strong letters */
		if (end + 1 < n && end >= n - 3) {
			s.heading = true;
			s.level = 7;
			s.skip = 2;
			return s;
		}
	}
	for (i = 0; i < n && i < 4 && digit(p[i]); i++)
		s.number = s.number * 10 + (uint32_t)(p[i] - '0');
	if (i > 0 && i + 1 < n && (p[i] == '.' || p[i] == ')' || p[i] == ':') && p[i + 1] == ' ') {
		s.numbered = true;
		s.skip = (uint32_t)i + 2;
	} else if (n > 5 && (sv_starts((strview){p, n}, "Step ") || sv_starts((strview){p, n}, "STEP ")) &&
	    digit(p[5])) {
		for (i = 5; i < n && digit(p[i]); i++)
			;
		s.numbered = true;
		s.skip = (uint32_t)i;
	} else if (n > 1 && strchr("-*+", p[0]) != NULL && p[1] == ' ') {
		s.bullet = true;
		s.skip = 2;
	} else if (n > 4 && (memcmp(p, "\xe2\x80\xa2", 3) == 0 || memcmp(p, "\xe2\x80\x93 ", 4) == 0 ||
	    memcmp(p, "\xe2\x96\xaa", 3) == 0 || memcmp(p, "\xe2\x97\x8b", 3) == 0)) {
		s.bullet = true;
		s.skip = 3;
	}
	return s;
}

struct state {                             /* on the way through the lines */
	struct sheet_text *t;
	uint32_t sentence, item, heading;
	enum sheet_area area;              /* of the section */
	uint32_t level;                    /* of the heading that began it */
	uint32_t items_here;               /* lines of it so far */
	bool numbered_here;                /* items of this section carry numbers */
	bool inline_list;                  /* ends with the paragraph */
	uint8_t *numbered, *bullet;        /* by item */
	uint32_t cap_items;
	bool breaks;
	int brackets;
};

static void
add_mark(struct state *s, uint32_t at, uint32_t n, bool heads)
{
	struct sheet_text *t = s->t;
	struct mark m = {.at = at, .n = n, .sentence = s->sentence, .item = s->item,
	    .heading = s->heading, .area = (uint8_t)s->area, .breaks = s->breaks, .heads = heads};

	m.text = n <= LONGEST_WORD ? text_fold(t->arena, (strview){t->src->text.p + at, n}) : "";
	t->marks = proof_more(t->arena, t->marks, t->n, &t->cap, sizeof *t->marks);
	t->marks[t->n++] = m;
	s->breaks = false;
}

/* The words from AT to END. */
static void
mark_words(struct state *s, uint32_t at, uint32_t end, bool heads)
{
	const char *p = s->t->src->text.p;

	while (at < end) {
		uint32_t from = at;

		if (is_sign(p + at, end - at)) {
			/* dashes part clauses, quotes part nothing */
			if ((unsigned char)p[at + 1] == 0x80 && ((unsigned char)p[at + 2] == 0x93 ||
			    (unsigned char)p[at + 2] == 0x94))
				s->breaks = true;
			at += 3;
			continue;
		}
		while (at < end && !is_sign(p + at, end - at) && (of_word(p[at]) || (at > from &&
		    p[at] == '\'' && at + 1 < end && of_word(p[at + 1])) || (at > from && p[at] == '.' &&
		    digit(p[at - 1]) && at + 1 < end && digit(p[at + 1]))))
			at++;
		if (at > from) {
			add_mark(s, from, at - from, heads);
			continue;
		}
		switch (p[at]) {
		case '.': case '!': case '?':
			if (at + 1 >= end || p[at + 1] == ' ' || p[at + 1] == ')' || p[at + 1] == '*') {
				s->sentence++;
				s->breaks = true;
			}
			break;
		case ';':
			s->sentence++;
			s->breaks = true;
			break;
		case ',': case ':': case '(': case ')': case '[': case ']': case '|': case '"':
			s->breaks = true;
			break;
		default:
			break;
		}
		at++;
	}
}

static uint32_t
words_in(const char *p, size_t n)
{
	uint32_t words = 0;

	for (size_t i = 0; i < n; i++)
		words += of_word(p[i]) && (i == 0 || !of_word(p[i - 1]));
	return words;
}

/* What part of a sheet the marks FROM on head: the longest phrase that begins, or
 * ends, the heading. */
static bool
heads_area(const struct sheet_text *t, uint32_t from, uint32_t to, bool whole,
    enum sheet_area *area)
{
	static const struct { enum proof_means means; enum sheet_area area; } parts[] = {
		{PROOF_MATERIALS, AREA_MATERIALS}, {PROOF_TOOLS, AREA_ASIDE}, {PROOF_STEPS, AREA_STEP},
	};
	uint32_t most = 0;

	for (size_t k = 0; k < sizeof parts / sizeof *parts; k++)
		for (uint32_t i = from; i < to; i++) {
			uint32_t n;

			if (proof_word_at(t, i, parts[k].means, &n) == NULL || i + n > to || n <= most)
				continue;
			if (whole ? i != from || i + n != to : i != from && i + n != to)
				continue;
			most = n;
			*area = parts[k].area;
		}
	return most > 0;
}

static void
next_item(struct state *s, bool numbered, bool bullet)
{
	uint32_t cap = s->cap_items;

	s->item++;
	s->sentence++;
	s->breaks = true;
	s->numbered = proof_more(s->t->arena, s->numbered, s->item, &cap, 1);
	cap = s->cap_items;
	s->bullet = proof_more(s->t->arena, s->bullet, s->item, &cap, 1);
	s->cap_items = cap;
	s->numbered[s->item] = numbered;
	s->bullet[s->item] = bullet;
}

/* A heading: it may begin a part; one that names none goes on with the work, or
 * parts a list of materials. */
static void
begin_section(struct state *s, uint32_t from, uint32_t level)
{
	enum sheet_area area;

	if (heads_area(s->t, from, s->t->n, level == 8, &area)) {
		s->area = area;
		s->level = level;
		s->numbered_here = false;
		s->items_here = 0;
	} else if (level <= s->level && s->area != AREA_STEP && s->t->n > from && s->level > 0) {
		s->area = AREA_STEP;
		s->level = level;
	}
	for (uint32_t i = from; i < s->t->n; i++)
		s->t->marks[i].area = AREA_TALK;
}

/* "Materials: cloth, thread" in one line. */
static uint32_t
list_in_line(struct state *s, uint32_t at, uint32_t end)
{
	const char *p = s->t->src->text.p;
	const char *colon = memchr(p + at, ':', end - at);
	uint32_t from = s->t->n, head;
	enum sheet_area area;

	if (colon == NULL || words_in(p + at, (size_t)(colon - p) - at) > 6 ||
	    words_in(p + at, (size_t)(colon - p) - at) == 0)
		return at;
	head = (uint32_t)(colon - p);
	mark_words(s, at, head, true);
	if (!heads_area(s->t, from, s->t->n, true, &area)) {
		s->t->n = from;
		return at;
	}
	for (uint32_t i = from; i < s->t->n; i++)
		s->t->marks[i].area = AREA_TALK;
	s->area = area;
	s->level = 8;
	s->items_here = 1;
	s->inline_list = area != AREA_STEP && words_in(colon, end - head) > 0;
	s->breaks = true;
	return head + 1;
}

static void
one_line(struct state *s, uint32_t at, uint32_t end, const struct shape *h, bool after_blank,
    bool underlined)
{
	const char *p = s->t->src->text.p;
	bool alone = !h->numbered && !h->bullet && !h->table && after_blank &&
	    words_in(p + at, end - at) <= WORDS_OF_HEADING && end > at && p[end - 1] != '.' &&
	    p[end - 1] != ',' && p[end - 1] != ';' && words_in(p + at, end - at) > 0;
	uint32_t from = s->t->n;
	const char *colon = memchr(p + at, ':', end - at);

	/* "Materials: cloth, thread" stands alone and says more */
	alone = alone && (colon == NULL || colon == p + end - 1);
	if (after_blank && s->inline_list) {
		s->inline_list = false;
		s->area = AREA_STEP;
	}
	if (h->heading || underlined) {
		next_item(s, false, false);
		s->heading++;
		mark_words(s, at + h->skip, end, true);
		begin_section(s, from, h->heading ? h->level : 2);
		return;
	}
	if (alone) {
		enum sheet_area area;

		next_item(s, false, false);
		mark_words(s, at, end, true);
		if (p[end - 1] == ':' || heads_area(s->t, from, s->t->n, true, &area) || h->indent == 0) {
			s->heading++;
			for (uint32_t i = from; i < s->t->n; i++)
				s->t->marks[i].heading = s->heading;
			begin_section(s, from, 8);
			return;
		}
		s->t->n = from;
	}
	/* a list of materials that nothing ends goes on until the steps are counted, or
	 * sentences begin */
	if (h->numbered && h->number == 1 && s->area == AREA_MATERIALS && !s->numbered_here &&
	    after_blank && s->items_here > 0)
		s->area = AREA_STEP;
	if (after_blank && s->area == AREA_MATERIALS && !h->numbered && !h->bullet && !h->table &&
	    h->indent == 0 && s->items_here > 0 && (words_in(p + at, end - at) >= 9 ||
	    (words_in(p + at, end - at) >= 5 && p[end - 1] == '.')))
		s->area = AREA_STEP;
	s->items_here++;
	if (h->numbered || h->bullet || h->table || after_blank ||
	    (s->area == AREA_MATERIALS && h->indent == 0))
		next_item(s, h->numbered, h->bullet);
	s->numbered_here = s->numbered_here || h->numbered;
	at += h->skip;
	if (after_blank || h->bullet)
		at = list_in_line(s, at, end);
	mark_words(s, at, end, false);
}

static bool
all_of(const char *p, size_t n, char x)
{
	for (size_t i = 0; i < n; i++)
		if (p[i] != x)
			return false;
	return n >= 3;
}

static void
lines(struct state *s)
{
	const char *p = s->t->src->text.p;
	size_t size = s->t->src->text.n, i = sv_starts(s->t->src->text, "\xef\xbb\xbf") ? 3 : 0;
	bool after_blank = true;

	while (i < size) {
		size_t end = i, at, to, next, next_end;
		struct shape h;
		bool underlined;

		while (end < size && p[end] != '\n')
			end++;
		for (at = i; at < end && (p[at] == ' ' || p[at] == '\t' || p[at] == '>'); at++)
			;
		for (to = end; to > at && (p[to - 1] == ' ' || p[to - 1] == '\t' || p[to - 1] == '\r'); to--)
			;
		h = shape_of(p + at, to - at, at - i);
		for (next = end + 1, next_end = next; next_end < size && p[next_end] != '\n' &&
		    p[next_end] != '\r'; next_end++)
			;
		underlined = to > at && next < size && (all_of(p + next, next_end - next, '=') ||
		    all_of(p + next, next_end - next, '-')) && !h.bullet && !h.table;
		if (h.blank || h.rule) {
			after_blank = true;
		} else {
			one_line(s, (uint32_t)at, (uint32_t)to, &h, after_blank, underlined);
			after_blank = h.heading || underlined || (s->t->n > 0 && s->t->marks[s->t->n - 1].heads);
		}
		i = end + 1;
	}
}

/* Which items of the work are steps. */
static void
choose_steps(struct state *s)
{
	struct sheet_text *t = s->t;
	uint32_t numbers = 0, bullets = 0, last = NONE;

	for (uint32_t i = 0; i < t->n; i++) {
		const struct mark *m = &t->marks[i];

		if (m->item == last || m->area != AREA_STEP || m->heads)
			continue;
		last = m->item;
		numbers += s->numbered[last];
		bullets += s->bullet[last];
	}
	last = NONE;
	for (uint32_t i = 0; i < t->n; i++) {
		struct mark *m = &t->marks[i];

		if (m->area == AREA_STEP && ((numbers >= 2 && !s->numbered[m->item] &&
		    !s->bullet[m->item]) || (numbers < 2 && bullets >= 3 && !s->bullet[m->item]) || m->heads))
			m->area = AREA_TALK;
		if (m->area == AREA_STEP && m->item != last) {
			last = m->item;
			t->n_steps++;
		}
		t->listed = t->listed || m->area == AREA_MATERIALS;
	}
}

/* What follows "before", "until", "not" in its clause is done at another time;
 * a caution, a note, a tip is no step. */
static void
mute(struct sheet_text *t)
{
	bool muted = false, remark = false;

	for (uint32_t i = 0; i < t->n; i++) {
		struct mark *m = &t->marks[i];
		uint32_t n;

		if (i == 0 || m->item != t->marks[i - 1].item)
			remark = false;
		if (m->breaks || i == 0 || m->item != t->marks[i - 1].item)
			muted = false;
		if ((i == 0 || m->sentence != t->marks[i - 1].sentence) &&
		    proof_word_at(t, i, PROOF_REMARK, &n) != NULL && i + n < t->n && t->marks[i + n].breaks)
			remark = true;
		if (proof_word_at(t, i, PROOF_NOT_NOW, &n) != NULL)
			muted = true;
		m->muted = muted || remark;
	}
}

/* ---- names ------------------------------------------------------------------------------ */

uint32_t
name_entry(const struct sheet_text *t, const struct named *m, uint32_t object_kind)
{
	uint32_t best = NONE;

	for (uint32_t i = 0; i < m->n_names; i++) {
		uint32_t e = m->names[i].id;

		if (m->names[i].target == NAME_ENTRY && object_kind != NONE &&
		    t->c->entry_kind[t->c->entry[e].kind].object_kind == object_kind &&
		    (best == NONE || m->names[i].region == NO16))
			best = e;
	}
	return best;
}

static bool
is_denial(const struct sheet_text *t, const struct named *m)
{
	for (uint32_t i = 0; i < m->n_names; i++)
		if (m->names[i].target == NAME_PHRASE && t->c->phrase[m->names[i].id].does == PHRASE_NOT)
			return true;
	return false;
}

/* What is done names what it is done to: "attach the waistband". The longest end
 * of such a name that is a detail or a material. */
static void
name_within(struct sheet_text *t, const struct named *whole)
{
	uint32_t roles = set_find(t->c, SV("role"));

	if (name_entry(t, whole, t->kind_operation) == NONE ||
	    name_entry(t, whole, t->kind_feature) != NONE ||
	    name_entry(t, whole, t->kind_component) != NONE)
		return;
	for (uint32_t from = 1; from < whole->n; from++) {
		struct named m = {.first = whole->first + from, .n = whole->n - from,
		    .denied = whole->denied};
		struct buf b = {0};
		bool role;

		for (uint32_t k = 0; k < m.n; k++)
			buf_print(&b, "%s%s", k > 0 ? " " : "", t->marks[m.first + k].text);
		m.n_names = kb_names(t->c, (strview){b.p, b.n}, &m.names);
		buf_free(&b);
		role = m.n == 1 && roles != NONE &&
		    word_find(t->c, roles, sv(t->marks[m.first].text)) != NONE;
		if (!role && (m.n_names == 0 || name_entry(t, &m, t->kind_operation) != NONE ||
		    (name_entry(t, &m, t->kind_feature) == NONE &&
		    name_entry(t, &m, t->kind_component) == NONE)))
			continue;
		t->named = proof_more(t->arena, t->named, t->n_named, &t->cap_named, sizeof *t->named);
		t->named[t->n_named++] = m;
		return;
	}
}

static void
find_names(struct sheet_text *t)
{
	bool denied = false;

	for (uint32_t i = 0; i < t->n;) {
		struct named m = {.first = i};
		struct buf b = {0};

		for (uint32_t n = 1; n <= NAME_LONGEST && i + n <= t->n; n++) {
			const struct mark *k = &t->marks[i + n - 1];
			const struct name *first;
			uint32_t found;

			if ((n > 1 && (k->breaks || k->item != t->marks[i].item)) || *k->text == '\0')
				break;
			buf_print(&b, "%s%s", n > 1 ? " " : "", k->text);
			found = kb_names(t->c, (strview){b.p, b.n}, &first);
			if (found > 0) {
				m.n = n;
				m.names = first;
				m.n_names = found;
			}
		}
		buf_free(&b);
		if (m.n == 0) {
			i++;
			continue;
		}
		if (t->marks[i].breaks)
			denied = false;
		m.denied = denied;
		denied = is_denial(t, &m) || (denied && m.names[0].target == NAME_STOP);
		t->named = proof_more(t->arena, t->named, t->n_named, &t->cap_named, sizeof *t->named);
		t->named[t->n_named++] = m;
		name_within(t, &m);
		i += m.n;
	}
}

/* ---- the whole ------------------------------------------------------------------------------- */

struct sheet_text *
sheet_read(struct arena *a, struct knowledge *kb, const struct source *src, struct diags *ds)
{
	struct sheet_text *t = arena_alloc(a, sizeof *t);
	struct state s = {.t = t, .area = AREA_STEP, .breaks = true};

	if (!source_check(src, ds))
		return NULL;
	t->arena = a;
	t->kb = kb;
	t->c = kb_craft(kb);
	t->src = src;
	t->kind_feature = kind_find(t->c, SV("feature"));
	t->kind_component = kind_find(t->c, SV("component"));
	t->kind_operation = kind_find(t->c, SV("operation"));
	t->kind_garment = kind_find(t->c, SV("garment"));
	next_item(&s, false, false);
	lines(&s);
	if (t->n == 0) {
		diag(ds, (struct place){src, 0, 0}, D_SAID_NOTHING);
		return NULL;
	}
	t->n_items = s.item + 1;
	t->n_headings = s.heading + 1;
	choose_steps(&s);
	mute(t);
	find_names(t);
	sheet_measures(t);
	return t;
}
