/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Plain words, first half: text into tokens, tokens into items.
 *
 * A token is a word with its place.  An item is the longest run of tokens that
 * names something (up to six; a hyphen, a blank and nothing between two words
 * are equal), or a written quantity.  What a quantity measures stays open: all
 * properties that can be read so are kept with it.  A word of five letters or
 * more that names nothing is read as the one name a slip away, if there is
 * only one.
 */
#include "project/project_impl.h"

#include <string.h>

enum {
	MOST_TOKENS = 2000,
	LONGEST_NAME = 6,                  /* tokens */
	LONGEST_WORD = 48,                 /* bytes; longer words are not looked up */
	MOST_SLIPS = 40,                   /* look-ups of misspelt words in one text */
};

/* ---- tokens ------------------------------------------------------------- */

enum letter { LETTER_WORD, LETTER_BLANK, LETTER_BREAK, LETTER_JOIN, LETTER_ALONE };

static bool
digit(char c)
{
	return c >= '0' && c <= '9';
}

/* What the character at AT does to the word it stands by. */
static enum letter
letter_at(strview t, size_t at, size_t *n)
{
	char c = t.p[at], before = at > 0 ? t.p[at - 1] : ' ', after = ' ';
	strview rest = {t.p + at, t.n - at};

	*n = utf8_step(t, at);
	if (at + *n < t.n)
		after = t.p[at + *n];
	if (c == ' ' || c == '\t' || sv_starts(rest, "\xc2\xa0") || sv_starts(rest, "\xe2\x80\xaf"))
		return LETTER_BLANK;
	if (c == '.' || c == ',')
		return digit(after) && (digit(before) || (c == '.' && before == ' ')) ?
		    LETTER_WORD : LETTER_BREAK;
	if (c == '\n' || c == '\r' || strchr(";!?()[]{}|", c) != NULL)
		return LETTER_BREAK;
	if (c == ':' || c == '*' || c == '_')
		return LETTER_BLANK;
	if (c == '/')
		return digit(before) && digit(after) ? LETTER_WORD : LETTER_JOIN;
	if (c == '"' || sv_starts(rest, "\xe2\x80\x9d") || sv_starts(rest, "\xe2\x80\xb3"))
		return digit(before) ? LETTER_WORD : LETTER_BLANK;
	if (sv_starts(rest, "\xe2\x80\x9c"))
		return LETTER_BLANK;
	if (c == '-' || sv_starts(rest, "\xe2\x80\x90") || sv_starts(rest, "\xe2\x80\x91") ||
	    sv_starts(rest, "\xe2\x80\x93") || sv_starts(rest, "\xe2\x80\x94")) {
		bool open = before == ' ' || before == '\n' || at == 0;

		return open && after == ' ' ? LETTER_BREAK : open ? LETTER_WORD : LETTER_JOIN;
	}
	if (c == '&' || c == '+')
		return LETTER_ALONE;
	return LETTER_WORD;
}

static void
token_end(struct reader *r, size_t from, size_t to, uint8_t joined, bool breaks)
{
	struct token *k;

	if (to == from)
		return;
	k = &r->tokens[r->n_tokens++];
	k->place = (struct place){r->src, (uint32_t)from, (uint32_t)(to - from)};
	k->text = text_fold(r->arena, (strview){r->src->text.p + from, to - from});
	k->joined = r->n_tokens > 1 ? joined : 0;
	k->breaks = breaks;
}

/* The tokens of one part of the text. */
static void
tokens_of(struct reader *r, struct place part)
{
	strview t = {r->src->text.p, (size_t)part.at + part.n};
	size_t n, from = 0;
	bool breaks = r->n_tokens > 0 && !r->parts_join, in_word = false;
	uint8_t joined = 0;

	for (size_t i = part.at; i < t.n && r->n_tokens < MOST_TOKENS; i += n) {
		enum letter what = letter_at(t, i, &n);

		if (what == LETTER_WORD) {
			if (!in_word)
				from = i;
			in_word = true;
			continue;
		}
		if (in_word) {
			token_end(r, from, i, joined, breaks);
			breaks = false;
			joined = 0;
		}
		in_word = false;
		if (what == LETTER_BREAK) {
			breaks = true;
		} else if (what == LETTER_JOIN) {
			joined = 1;
		} else if (what == LETTER_ALONE && r->n_tokens < MOST_TOKENS) {
			token_end(r, i, i + n, 0, breaks);
			breaks = false;
		} else {
			joined = 0;
		}
	}
	if (in_word && r->n_tokens < MOST_TOKENS)
		token_end(r, from, t.n, joined, breaks);
}

bool
words_tokens(struct reader *r)
{
	struct place whole = {r->src, 0, (uint32_t)r->src->text.n};
	const struct place *parts = r->n_parts > 0 ? r->parts : &whole;
	uint32_t n_parts = r->n_parts > 0 ? r->n_parts : 1;
	size_t most = 1;

	for (uint32_t i = 0; i < n_parts; i++)
		most += parts[i].n / 2 + 1;
	if (most > MOST_TOKENS)
		most = MOST_TOKENS;
	r->tokens = arena_alloc(r->arena, most * sizeof *r->tokens);
	for (uint32_t i = 0; i < n_parts; i++)
		tokens_of(r, parts[i]);
	if (r->n_tokens == MOST_TOKENS) {
		char digits[16];

		snprintf(digits, sizeof digits, "%d", MOST_TOKENS);
		diag(r->ds, r->tokens[r->n_tokens - 1].place, D_SAID_TOO_MUCH, digits);
	}
	return r->n_tokens > 0;
}

/* ---- names ---------------------------------------------------------------- */

/* Tokens FIRST .. FIRST + N - 1 with GAP between them; OWNER: without the
 * sign of a genitive ("the child's", "bargees'").  False: too long. */
static bool
joined_text(const struct reader *r, struct buf *b, uint32_t first, uint32_t n, const char *gap,
    bool owner)
{
	buf_clear(b);
	for (uint32_t i = 0; i < n; i++) {
		const char *text = r->tokens[first + i].text;
		size_t len = strlen(text);

		if (len > LONGEST_WORD)
			return false;
		if (i > 0)
			buf_str(b, gap);
		if (owner && len > 2 && strcmp(text + len - 2, "'s") == 0)
			len -= 2;
		else if (owner && len > 2 && text[len - 1] == '\'')
			len--;
		buf_add(b, text, len);
	}
	return b->n > 0;
}

/* Short names are for places where the kind is understood, as it is not here. */
static uint32_t
long_names(const struct reader *r, const struct buf *b, const struct name **names)
{
	uint32_t n = kb_names(r->t.c, (strview){b->p, b->n}, names);

	while (n > 0 && (*names)[n - 1].target >= NAME_SHORT)
		n--;
	return n;
}

static enum means means_of(const struct reader *, const struct name *);

/* Names of faults, causes and the like make nothing in a model. In a group they
 * must not swallow the words that do (`wavy hem in jersey` is about jersey). */
static bool
say_nothing(const struct reader *r, const struct name *names, uint32_t n)
{
	for (uint32_t i = 0; i < n; i++)
		if (names[i].target != NAME_ENTRY || means_of(r, &names[i]) != MEANS_NOTHING)
			return false;
	return true;
}

/* To the lexicon a hyphen is a blank; nothing at all is tried here. */
static uint32_t
look_up(const struct reader *r, struct buf *b, uint32_t first, uint32_t n,
    const struct name **names)
{
	uint32_t found;

	if (!joined_text(r, b, first, n, " ", false))
		return 0;
	found = long_names(r, b, names);
	if (n > 1 && say_nothing(r, *names, found))
		found = 0;
	/* "top stitch" is "topstitch"; "a lining" is no form of "A-line". */
	if (found == 0 && n == 2 && r->tokens[first].text[1] != '\0' &&
	    joined_text(r, b, first, n, "", false))
		found = long_names(r, b, names);
	for (uint32_t i = 0; i < n && found == 0; i++)
		if (strchr(r->tokens[first + i].text, '\'') != NULL)
			return joined_text(r, b, first, n, " ", true) ?
			    long_names(r, b, names) : 0;
	return found;
}

/* First name not before this text. */
static uint32_t
first_name(const struct reader *r, const char *text)
{
	const struct craft *c = r->t.c;
	uint32_t lo = 0, hi = c->n_name;

	while (lo < hi) {
		uint32_t mid = lo + (hi - lo) / 2;

		if (strcmp(craft_text(c, c->name[mid].folded), text) < 0)
			lo = mid + 1;
		else
			hi = mid;
	}
	return lo;
}

/* Does any name of more than one word begin with this word? */
static bool
begins_names(const struct reader *r, const char *word)
{
	size_t n = strlen(word);

	for (uint32_t i = first_name(r, word); i < r->t.c->n_name; i++) {
		const char *name = craft_text(r->t.c, r->t.c->name[i].folded);

		if (strncmp(name, word, n) != 0)
			return false;
		if (name[n] != '\0')
			return true;
	}
	return false;
}

void
words_near(const struct reader *r, strview text, struct near *near)
{
	char head[2] = {text.n > 0 ? text.p[0] : '\0', '\0'};

	for (uint32_t i = first_name(r, head); i < r->t.c->n_name && text.n > 0; i++) {
		const struct name *n = &r->t.c->name[i];
		const char *name = craft_text(r->t.c, n->folded);

		if (name[0] != head[0])
			return;
		if (n->target != NAME_STOP && n->target < NAME_SHORT && !n->inflected)
			near_offer(near, text, name);
	}
}

/* Longest name at token AT: its tokens, 0 if there is none. */
static uint32_t
name_at(const struct reader *r, struct buf *b, uint32_t at, const struct name **names,
    uint32_t *n_names)
{
	uint32_t most = r->n_tokens - at;

	if (most > LONGEST_NAME)
		most = LONGEST_NAME;
	for (uint32_t n = 2; n <= most; n++)
		if (r->tokens[at + n - 1].breaks)
			most = n - 1;
	if (most > 1 && !begins_names(r, r->tokens[at].text) &&
	    strchr(r->tokens[at].text, '\'') == NULL)
		most = 2;                      /* two tokens may still be one closed word */
	for (uint32_t n = most; n > 0; n--) {
		*n_names = look_up(r, b, at, n, names);
		if (*n_names > 0)
			return n;
	}
	return 0;
}

/* ---- misspelt words ---------------------------------------------------------- */

/* Could a person who meant MEANT have written TEXT?  People lose, double and
 * exchange letters; a wrong letter in a short word is more likely another word,
 * and so is another beginning or another ending. */
static bool
likely_slip(strview text, strview meant)
{
	size_t longer = text.n > meant.n ? text.n : meant.n;
	int differ = 0;

	if (meant.n == 0 || text.n == 0 || text.p[0] != meant.p[0])
		return false;
	/* "poplim" may be meant for another ending, "slippers" has its own. */
	if (text.p[text.n - 1] != meant.p[meant.n - 1] &&
	    (edit_distance(text, meant, 1) != 1 || (text.n != meant.n ? longer < 9 :
	    strchr("sdyrge", text.p[text.n - 1]) != NULL)))
		return false;
	for (size_t i = 0; text.n == meant.n && i < text.n; i++)
		differ += text.p[i] != meant.p[i];
	return text.n >= 6 || text.n != meant.n || differ == 2;
}

/* The one name near enough to TEXT that it can be meant, or NULL. */
static const char *
slip_of(const struct reader *r, strview text)
{
	struct near near = {0};
	const struct name *a, *b;
	uint32_t n;
	size_t letters = 0;
	char *folded;

	for (size_t i = 0; i < text.n; i += utf8_step(text, i))
		letters++;
	if (letters < 5)
		return NULL;
	words_near(r, text, &near);
	if (near.n == 0 || near.distance[0] > (letters >= 8 ? 2 : 1))
		return NULL;
	folded = text_fold(r->arena, sv(near.name[0]));
	/* A name that tells a description nothing explains no word of it. */
	if (!likely_slip(text, sv(folded)) || (n = kb_names(r->t.c, sv(folded), &a)) == 0 ||
	    say_nothing(r, a, n))
		return NULL;
	/* Another name as near is no matter if it means the same. */
	for (int i = 1; i < near.n && near.distance[i] == near.distance[0]; i++) {
		char *other = text_fold(r->arena, sv(near.name[i]));

		if (kb_names(r->t.c, sv(other), &b) == 0 || a->target != b->target ||
		    a->id != b->id)
			return NULL;
	}
	return folded;
}

/* Of several words only the unknown one may be misspelt. */
static bool
others_stand(const struct reader *r, uint32_t first, uint32_t n, uint32_t at, const char *meant)
{
	for (uint32_t i = 0; i < n; i++) {
		size_t len = strcspn(meant, " -");
		const char *text = r->tokens[first + i].text;
		bool same = strlen(text) == len && memcmp(text, meant, len) == 0;

		if (len == 0 || (first + i != at && !same) || (first + i == at &&
		    (strlen(text) < 5 || !likely_slip(sv(text), (strview){meant, len}) ||
		    edit_distance(sv(text), (strview){meant, len}, 2) > (len >= 8 ? 2 : 1))))
			return false;
		meant += len;
		meant += *meant != '\0';
	}
	return *meant == '\0';
}

/* A corrected word may belong to a longer name with what stands round it. */
static void
read_again(struct reader *r, struct buf *b, struct item *item)
{
	uint32_t end = item->first + 1;

	for (uint32_t keep = r->n_items > 2 ? r->n_items - 2 : 0; keep <= r->n_items; keep++) {
		uint32_t first = keep < r->n_items ? r->items[keep].first : item->first;
		const struct name *names;
		uint32_t n_names, n;

		if (keep < r->n_items && r->items[keep].is == ITEM_QUANTITY)
			continue;
		n = name_at(r, b, first, &names, &n_names);
		if (first + n >= end && n > 0) {
			r->n_items = keep;
			*item = (struct item){.first = first, .n = n, .is = ITEM_NAME,
				.names = names, .n_names = n_names};
			return;
		}
	}
}

/* Looks for a slip in a run of tokens around AT; the run is then read as ITEM. */
static bool
slip_at(struct reader *r, struct buf *b, uint32_t at, struct item *item)
{
	static const struct { uint32_t back, n; } runs[] = {
		{0, 1}, {0, 2}, {1, 2}, {0, 3}, {1, 3}, {2, 3}
	};

	for (size_t i = 0; i < sizeof runs / sizeof *runs; i++) {
		uint32_t first = at - runs[i].back, n = runs[i].n;
		const char *meant;
		struct item *last;

		if (runs[i].back > at || first + n > r->n_tokens)
			continue;
		for (uint32_t k = 1; k < n; k++)
			if (r->tokens[first + k].breaks)
				n = 0;
		/* Words before that are part of a longer item stay there. */
		last = r->n_items > 0 ? &r->items[r->n_items - 1] : NULL;
		if (n == 0 || (runs[i].back > 0 && (last == NULL || last->first < first ||
		    last->is == ITEM_QUANTITY)))
			continue;
		if (!joined_text(r, b, first, n, " ", false))
			continue;
		meant = slip_of(r, (strview){b->p, b->n});
		/* Only written names are searched: a plural by its singular. */
		if (meant == NULL && b->n >= 6 && b->p[b->n - 1] == 's')
			meant = slip_of(r, (strview){b->p, b->n - 1});
		if (meant == NULL || (n > 1 && !others_stand(r, first, n, at, meant)))
			continue;
		while (r->n_items > 0 && r->items[r->n_items - 1].first >= first)
			r->n_items--;
		*item = (struct item){.first = first, .n = n, .is = ITEM_NAME};
		item->n_names = kb_names(r->t.c, sv(meant), &item->names);
		diag(r->ds, item_place(r, first, n), D_SAID_MISSPELT, item_text(r, item), meant);
		if (n == 1) {
			r->tokens[first].text = meant;
			read_again(r, b, item);
		}
		return true;
	}
	return false;
}

/* ---- items --------------------------------------------------------------------- */

struct place
item_place(const struct reader *r, uint32_t first, uint32_t n)
{
	struct place a = r->tokens[first].place, b = r->tokens[first + n - 1].place;

	a.n = b.at + b.n - a.at;
	return a;
}

const char *
item_text(const struct reader *r, const struct item *item)
{
	struct place p = item_place(r, item->first, item->n);

	return arena_text(r->arena, p.src->text.p + p.at, p.n);
}

const struct phrase *
item_phrase(const struct reader *r, const struct item *item, int does)
{
	for (uint32_t i = 0; item->is == ITEM_NAME && i < item->n_names; i++)
		if (item->names[i].target == NAME_PHRASE &&
		    r->t.c->phrase[item->names[i].id].does == does)
			return &r->t.c->phrase[item->names[i].id];
	return NULL;
}

/* What each meaning of a name counts as. */
static enum means
means_of(const struct reader *r, const struct name *n)
{
	uint32_t set, within;
	uint16_t kind;

	switch ((enum name_target)n->target) {
	case NAME_PHRASE:
		return r->t.c->phrase[n->id].does == PHRASE_MEASURE ? MEANS_PROPERTY : MEANS_PHRASE;
	case NAME_ENTRY:
		kind = entry_object_kind(&r->t, n->id);
		if (kind == NO16) {
			for (uint32_t i = 0; i < r->t.c->n_word_set; i++)
				if (r->t.c->word_set[i].entries_of == r->t.c->entry[n->id].kind)
					return MEANS_VALUE;
			return MEANS_NOTHING;
		}
		return kind == r->t.content ? MEANS_CONTENT : MEANS_THING;
	case NAME_WORD:
		set = set_of_word(&r->t, n->id, &within);
		if (set == NONE || set == 0)
			return MEANS_NOTHING;  /* a plain yes or no says nothing by itself */
		return set == r->t.role_set ? MEANS_ROLE : MEANS_VALUE;
	case NAME_PROPERTY:
	case NAME_SETTING:
		return MEANS_PROPERTY;
	case NAME_STOP:
		return MEANS_STOP;
	case NAME_UNIT:
	case NAME_KIND:
	case NAME_SHORT:
	case NAME_ASKING:
		return MEANS_NOTHING;
	}
	return MEANS_NOTHING;
}

static uint32_t
entry_meant(const struct reader *r, const struct item *item)
{
	const struct name *best = NULL;

	/* Written names before made ones, plain ones before those of a region. */
	for (uint32_t i = 0; i < item->n_names; i++) {
		const struct name *n = &item->names[i];

		if (n->target != NAME_ENTRY || means_of(r, n) != item->means)
			continue;
		if (best == NULL || n->inflected < best->inflected ||
		    (n->inflected == best->inflected && best->region != NO16 && n->region == NO16))
			best = n;
	}
	return best != NULL ? best->id : NONE;
}

static void
settle_item(const struct reader *r, struct item *item)
{
	item->means = MEANS_NOTHING;
	item->entry = item->thing = NONE;
	for (uint32_t i = 0; i < item->n_names; i++) {
		enum means m = means_of(r, &item->names[i]);

		if (m < item->means)
			item->means = m;
	}
	item->entry = entry_meant(r, item);
	/* "garment" for the garment says nothing. */
	if (item->means == MEANS_THING && item->entry != NONE) {
		const struct kind *k = &r->t.c->kind[entry_object_kind(&r->t, item->entry)];

		if (k->singleton &&
		    strcmp(craft_text(r->t.c, k->name), entry_title(&r->t, item->entry)) == 0)
			item->means = MEANS_STOP;
	}
	if (item->is == ITEM_NAME && item->means == MEANS_STOP)
		item->is = ITEM_STOP;
}

/* Numbers the stretches between commas, and between joining words. */
static void
number_parts(struct reader *r)
{
	uint32_t clause = 0, part = 0;

	for (uint32_t i = 0; i < r->n_items; i++) {
		struct item *item = &r->items[i];

		if (r->tokens[item->first].breaks) {
			clause++;
			part++;
		}
		if (item_phrase(r, item, PHRASE_CLAUSE) != NULL) {
			clause++;
			part++;
		} else if (item_phrase(r, item, PHRASE_ABOUT) != NULL) {
			part++;
		}
		item->clause = clause;
		item->part = part;
	}
}

static bool
names_content(const struct reader *r, const struct name *names, uint32_t n)
{
	for (uint32_t i = 0; i < n; i++)
		if (names[i].target == NAME_ENTRY &&
		    entry_object_kind(&r->t, names[i].id) == r->t.content)
			return true;
	return false;
}

/* `65 % silk 35 % cotton poplin`: a share before a name of several words that
 * begins with a fibre is that fibre's, if the rest is a name too. */
static void
part_fibre(struct reader *r, struct buf *b, struct item *item)
{
	const struct item *last = r->n_items > 0 ? &r->items[r->n_items - 1] : NULL;
	struct item fibre = {.first = item->first, .n = 1, .is = ITEM_NAME}, rest;
	bool share = false;

	if (last == NULL || last->is != ITEM_QUANTITY || last->bare || item->n < 2 ||
	    item->is != ITEM_NAME || r->t.share == NONE)
		return;
	for (uint32_t i = 0; i < last->n_measured; i++)
		share = share || last->measured[i].property == r->t.share;
	if (!share || (fibre.n_names = look_up(r, b, item->first, 1, &fibre.names)) == 0 ||
	    !names_content(r, fibre.names, fibre.n_names))
		return;
	rest = (struct item){.first = item->first + 1, .n = item->n - 1, .is = ITEM_NAME};
	rest.n_names = look_up(r, b, rest.first, rest.n, &rest.names);
	if (rest.n_names == 0)
		return;
	settle_item(r, &fibre);
	r->items[r->n_items++] = fibre;
	*item = rest;
}

/* "pressed at high heat": a group that names what is measured, with nothing measured
 * behind it, gives its last word to a longer group that begins there. */
static uint32_t
without_its_end(const struct reader *r, struct buf *b, uint32_t at, uint32_t n, struct item *item)
{
	struct item figures = {0};
	const struct name *names;
	uint32_t n_names, end = at + n;

	for (uint32_t i = 0; i < item->n_names; i++)
		if (item->names[i].target != NAME_PHRASE ||
		    r->t.c->phrase[item->names[i].id].does != PHRASE_MEASURE)
			return n;
	if (n < 2 || end >= r->n_tokens || r->tokens[end].breaks ||
	    words_quantity(r, end, &figures) > 0 || name_at(r, b, end - 1, &names, &n_names) < 2)
		return n;
	n_names = look_up(r, b, at, n - 1, &names);
	if (n_names == 0)
		return n;
	item->names = names;
	item->n_names = n_names;
	return n - 1;
}

void
words_items(struct reader *r)
{
	struct buf b = {0};
	int slips = 0;

	r->items = arena_alloc(r->arena, r->n_tokens * sizeof *r->items);
	for (uint32_t at = 0; at < r->n_tokens; ) {
		struct item item = {.first = at, .n = 1, .is = ITEM_UNKNOWN}, figures = item;
		uint32_t n = name_at(r, &b, at, &item.names, &item.n_names);
		uint32_t p = words_passing(r, &b, at, n, &item.names, &item.n_names);
		uint32_t q = words_quantity(r, at, &figures);

		n = p > n ? p : n;
		n = n > 0 ? without_its_end(r, &b, at, n, &item) : 0;
		if (q > 0 && q >= n) {
			item = figures;
			item.is = ITEM_QUANTITY;
			item.n = q;
		} else if (n > 0) {
			item.is = ITEM_NAME;
			item.n = n;
		} else if (slips < MOST_SLIPS && !digit(r->tokens[at].text[0])) {
			slips++;
			slip_at(r, &b, at, &item);
		}
		part_fibre(r, &b, &item);
		settle_item(r, &item);
		at = item.first + item.n;
		r->items[r->n_items++] = item;
	}
	buf_free(&b);
	number_parts(r);
}

uint32_t
item_after(const struct reader *r, uint32_t item)
{
	while (++item < r->n_items)
		if (r->items[item].is != ITEM_STOP)
			return item;
	return NONE;
}

uint32_t
item_before(const struct reader *r, uint32_t item)
{
	while (item-- > 0)
		if (r->items[item].is != ITEM_STOP)
			return item;
	return NONE;
}
