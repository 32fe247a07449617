/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Phrases, stop words, and the lexicon: every name there is, folded and sorted,
 * with the plural and the other forms a person may write.
 */
#include "knowledge/knowledge_impl.h"

#include <stdlib.h>
#include <string.h>

enum { STOP_WORDS_MOST = 150, SHORTEST_INFLECTED = 3, LONGEST_VERB = 16 };

void
add_name(struct compiler *c, strview written, enum name_target target, uint32_t id, uint16_t region)
{
	c->names = mem_grow(c->names, &c->cap_names, c->n_names + 1, sizeof *c->names);
	c->names[c->n_names++] = (struct name_draft){.folded = name_key(c->arena, written),
	    .written = kept(c, written), .target = (uint8_t)target, .region = region, .id = id,
	    .own = c->own_naming};
}

/* ---- phrases ----------------------------- */

static const char *const phrase_keys[] = {"!words", "role of next", "role of previous", "sets",
	"class of", "part", "alone", "basis", "denies", "count", "measures", "asks", "clause",
	"takes away", "adds", "note", "without", NULL};

/* sets = KIND.PROPERTY "=" value */
bool
phrase_sets(struct compiler *c, const struct node *n, struct phrase *p)
{
	const char *eq = memchr(n->text.p, '=', n->text.n);
	struct node part;
	strview path;
	uint32_t property;
	size_t at;
	value v;

	if (eq == NULL) {
		diag(c->ds, n->place, D_EXPECTED_SETS, kept(c, n->text));
		return false;
	}
	path = sv_trim((strview){n->text.p, (size_t)(eq - n->text.p)});
	property = find_path_property(c, n, path, (size_t)(path.p - n->text.p));
	if (property == NONE)
		return false;
	at = (size_t)(eq - n->text.p) + 1;
	while (at < n->text.n && n->text.p[at] == ' ')
		at++;
	part = (struct node){.type = NODE_TEXT, .place = text_place(n, at, n->text.n - at),
	    .text = sv_trim((strview){n->text.p + at, n->text.n - at})};
	part.place.n = (uint32_t)part.text.n;
	p->does = PHRASE_SET;
	p->property = (uint16_t)property;
	if (!get_value(c, &part, property, &v))
		return false;
	if (maker_at_property(c->m, property)->type == TYPE_WORDS)
		memcpy(p->set, v.set, sizeof p->set);
	else
		p->quantity = v.r;
	return true;
}

/* part = number ".." number, shares of a range */
static bool
phrase_part(struct compiler *c, const struct node *n, struct phrase *p)
{
	size_t i = 0;

	if (!is_text(c, n, "part"))
		return false;
	while (i + 1 < n->text.n && !(n->text.p[i] == '.' && n->text.p[i + 1] == '.'))
		i++;
	if (i + 1 >= n->text.n ||
	    !get_number(c, n, (strview){n->text.p, i}, &p->fraction_lo) ||
	    !get_number(c, n, (strview){n->text.p + i + 2, n->text.n - i - 2}, &p->fraction_hi) ||
	    p->fraction_lo < 0 || p->fraction_hi > 1 || p->fraction_lo >= p->fraction_hi) {
		diag(c->ds, n->place, D_EXPECTED_PART, kept(c, n->text));
		return false;
	}
	return true;
}

static bool
phrase_class(struct compiler *c, const struct node *item, struct phrase *p)
{
	const struct node *of = node_get(item, "class of"), *part = node_get(item, "part");
	const struct node *alone = node_get(item, "alone"), *basis = node_get(item, "basis");
	uint32_t property, high;
	value v;

	if (!is_text(c, of, "class of") ||
	    (property = find_path_property(c, of, sv_trim(of->text), 0)) == NONE)
		return false;
	p->does = PHRASE_CLASS;
	p->property = (uint16_t)property;
	p->fraction_hi = 1;
	p->quantity = maker_at_property(c->m, property)->domain;
	if (maker_at_property(c->m, property)->type != TYPE_QUANTITY) {
		diag(c->ds, of->place, D_EXPECTED_PART, kept(c, of->text));
		return false;
	}
	if (part == NULL || alone == NULL) {
		diag(c->ds, node_key(item, "class of")->place, D_MISSING_KEY, "a class word",
		    part == NULL ? "part" : "alone", part == NULL ? "part" : "alone");
		return false;
	}
	if (basis == NULL)
		diag(c->ds, node_key(item, "alone")->place, D_NO_BASIS,
		    "the range of a class word");
	else
		get_basis(c, basis, &p->source, &high);
	if (!phrase_part(c, part, p) || !get_value(c, alone, property, &v))
		return false;
	p->quantity = v.r;
	return true;
}

static void
keep_phrase(struct compiler *c, struct phrase *p, const struct texts *words)
{
	uint32_t id;

	p->words = maker_text(c->m, sv_trim(words->node[0]->text));
	id = maker_add_phrase(c->m, p, 1);
	for (uint32_t i = 0; i < words->n; i++)
		phrase_forms(c, words->node[i], id);
}

static const struct phrase no_phrase = {.property = NO16, .role = NO16, .entry = NONE,
    .source = NONE};

static const struct { const char *key, *word; uint8_t does; } worded[] = {
	{"denies", "next", PHRASE_NOT},
	{"takes away", "next", PHRASE_DROP},
	{"adds", "next", PHRASE_ADD},
	{"clause", "goes on", PHRASE_ABOUT},
	{"clause", "ends", PHRASE_CLAUSE},
};

/* Keys whose value is one of a few set words; how many were there. */
static uint32_t
phrase_worded(struct compiler *c, const struct node *item, const struct texts *words)
{
	uint32_t done = 0;

	for (size_t i = 0; i < sizeof worded / sizeof *worded; i++) {
		const struct node *n = node_get(item, worded[i].key);
		struct phrase p = no_phrase;
		bool more = i + 1 < sizeof worded / sizeof *worded &&
		    strcmp(worded[i].key, worded[i + 1].key) == 0;

		if (n == NULL || !is_text(c, n, worded[i].key))
			continue;
		if (!sv_is(sv_trim(n->text), worded[i].word)) {
			bool other = i > 0 && strcmp(worded[i].key, worded[i - 1].key) == 0 &&
			    sv_is(sv_trim(n->text), worded[i - 1].word);

			if (!more && !other)
				diag(c->ds, n->place, D_UNKNOWN_WORD, kept(c, n->text),
				    worded[i].key,
				    strcmp(worded[i].key, "clause") == 0 ? "goes on, ends" :
				    worded[i].word);
			done += !more && !other;
			continue;
		}
		p.does = worded[i].does;
		keep_phrase(c, &p, words);
		done++;
	}
	return done;
}

static uint32_t
phrase_roles(struct compiler *c, const struct node *item, const struct texts *words)
{
	static const struct { const char *key; uint8_t does; } roles[] = {
		{"role of next", PHRASE_ROLE_BEFORE}, {"role of previous", PHRASE_ROLE_AFTER},
		{"without", PHRASE_WITHOUT},
	};
	uint32_t done = 0;

	for (size_t i = 0; i < sizeof roles / sizeof *roles; i++) {
		const struct node *n = node_get(item, roles[i].key);
		struct phrase p = no_phrase;
		uint32_t role;

		if (n == NULL)
			continue;
		done++;
		if (!is_text(c, n, roles[i].key) || (role = find_role(c, n, n->text)) == NONE)
			continue;
		p.does = roles[i].does;
		p.role = (uint16_t)role;
		keep_phrase(c, &p, words);
	}
	return done;
}

static void
phrase(struct compiler *c, const struct node *item)
{
	struct texts words = get_texts(c, item, "words"), sets;
	const struct node *n;
	uint32_t done;
	double x;

	if (!keys_known(c, item, "a phrase", phrase_keys) || words.n == 0)
		return;
	done = phrase_roles(c, item, &words) + phrase_worded(c, item, &words);
	sets = get_texts(c, item, "sets");
	for (uint32_t i = 0; i < sets.n; i++, done++) {
		struct phrase p = no_phrase;

		if (phrase_sets(c, sets.node[i], &p))
			keep_phrase(c, &p, &words);
	}
	if (node_get(item, "class of") != NULL) {
		struct phrase p = no_phrase;

		done++;
		if (phrase_class(c, item, &p))
			keep_phrase(c, &p, &words);
	}
	if ((n = node_get(item, "count")) != NULL) {
		struct phrase p = no_phrase;

		done++;
		p.does = PHRASE_COUNT;
		if (is_text(c, n, "count") && get_number(c, n, n->text, &x)) {
			p.quantity = range_exact(x);
			keep_phrase(c, &p, &words);
		}
	}
	if ((n = node_get(item, "measures")) != NULL) {
		struct phrase p = no_phrase;
		uint32_t property = is_text(c, n, "measures") ? find_path_property(c, n,
		    sv_trim(n->text), 0) : NONE;

		done++;
		p.does = PHRASE_MEASURE;
		p.property = (uint16_t)property;
		if (property != NONE)
			keep_phrase(c, &p, &words);
	}
	if ((n = node_get(item, "asks")) != NULL) {
		struct phrase p = no_phrase;

		done++;
		p.does = PHRASE_ASK;
		p.entry = is_text(c, n, "asks") ? find_setting(c, n, sv_trim(n->text)) : NONE;
		if (p.entry != NONE) {
			p.property = maker_at_setting(c->m, p.entry)->property;
			keep_phrase(c, &p, &words);
		}
	}
	if (done == 0)
		diag(c->ds, item->first->place, D_ONE_OF_KEYS, "a phrase",
		    "role of next, role of previous, sets, "
		    "class of, denies, count, measures, asks, clause, takes away, adds, without");
}

void
read_phrases(struct compiler *c)
{
	uint32_t n = 0;
	char count[16];

	each_item(c, "phrases", phrase);
	for (uint32_t i = 0; i < c->n_files; i++) {
		struct texts t;

		if (c->files[i].root == NULL)
			continue;
		t = get_texts(c, c->files[i].root, "passed over");
		for (uint32_t k = 0; k < t.n; k++)
			add_name(c, sv_trim(t.node[k]->text), NAME_STOP, STOP_PASSED, NO16);
		t = get_texts(c, c->files[i].root, "asking words");
		for (uint32_t k = 0; k < t.n; k++)
			add_name(c, sv_trim(t.node[k]->text), NAME_ASKING, 0, NO16);
		t = get_texts(c, c->files[i].root, "stop words");
		for (uint32_t k = 0; k < t.n; k++)
			add_name(c, sv_trim(t.node[k]->text), NAME_STOP, STOP_PLAIN, NO16);
		n += t.n;
		if (t.n > 0 && n > STOP_WORDS_MOST) {
			snprintf(count, sizeof count, "%u", (unsigned)n);
			diag(c->ds, node_key(c->files[i].root, "stop words")->place,
			    D_TOO_MANY_STOP_WORDS, count);
		}
	}
}

/* ---- inflections ----------------------------- */

static bool
ends(strview s, const char *tail)
{
	size_t n = strlen(tail);

	return s.n >= n && memcmp(s.p + s.n - n, tail, n) == 0;
}

static bool
vowel(char ch)
{
	return ch != '\0' && strchr("aeiou", ch) != NULL;
}

static void
inflected(struct compiler *c, const struct name_draft *of, const char *form)
{
	struct name_draft d = *of;

	d.folded = form;
	d.inflected = 1;
	c->names = mem_grow(c->names, &c->cap_names, c->n_names + 1, sizeof *c->names);
	c->names[c->n_names++] = d;
}

static const char *
form(struct compiler *c, strview stem, const char *tail)
{
	return arena_print(c->arena, "%.*s%s", (int)stem.n, stem.p, tail);
}

/* The plural of the last word; nothing for what looks like one. */
static void
add_plural(struct compiler *c, const struct name_draft *d, strview k)
{
	if (ends(k, "s") && !ends(k, "ss"))
		return;
	if (ends(k, "y") && k.n > 1 && !vowel(k.p[k.n - 2]))
		inflected(c, d, form(c, (strview){k.p, k.n - 1}, "ies"));
	else if (ends(k, "ss") || ends(k, "x") || ends(k, "z") || ends(k, "ch") || ends(k, "sh"))
		inflected(c, d, form(c, k, "es"));
	else
		inflected(c, d, form(c, k, "s"));
}

/* The singular of a name written as a plural. */
static void
add_singular(struct compiler *c, const struct name_draft *d, strview k)
{
	static const char *const not_plural[] = {"ss", "us", "is", "as", "os"};

	if (!ends(k, "s"))
		return;
	for (size_t i = 0; i < sizeof not_plural / sizeof *not_plural; i++)
		if (ends(k, not_plural[i]))
			return;
	if (ends(k, "ies") && k.n > 4)
		inflected(c, d, form(c, (strview){k.p, k.n - 3}, "y"));
	else if (ends(k, "sses") || ends(k, "xes") || ends(k, "ches") || ends(k, "shes"))
		inflected(c, d, form(c, (strview){k.p, k.n - 2}, ""));
	else
		inflected(c, d, form(c, (strview){k.p, k.n - 1}, ""));
}

/* "hem" doubles its last letter, "gather" does not: one vowel, then one
 * consonant, and no vowel before. */
static bool
doubles(strview k)
{
	size_t i = 0;

	if (k.n < 3 || vowel(k.p[k.n - 1]) || strchr("wxy", k.p[k.n - 1]) != NULL ||
	    !vowel(k.p[k.n - 2]))
		return false;
	for (i = 0; i + 2 < k.n; i++)
		if (vowel(k.p[i]))
			return false;
	return true;
}

static void
add_verb(struct compiler *c, const struct name_draft *d, strview k)
{
	strview stem = k;
	const char *twice = "";
	char last[2] = {k.p[k.n - 1], '\0'};

	if (k.n > LONGEST_VERB || memchr(k.p, ' ', k.n) != NULL || ends(k, "ed") ||
	    ends(k, "ing") || ends(k, "s"))
		return;
	if (doubles(k))
		twice = last;
	if (ends(k, "ie")) {
		inflected(c, d, form(c, k, "d"));
		inflected(c, d, form(c, (strview){k.p, k.n - 2}, "ying"));
		return;
	}
	if (ends(k, "y") && !vowel(k.p[k.n - 2]))
		inflected(c, d, form(c, (strview){k.p, k.n - 1}, "ied"));
	else
		inflected(c, d, ends(k, "e") ? form(c, k, "d") : arena_print(c->arena, "%.*s%sed",
		    (int)k.n, k.p, twice));
	if (ends(k, "e") && !ends(k, "ee"))
		stem.n--;
	inflected(c, d, arena_print(c->arena, "%.*s%sing", (int)stem.n, stem.p, twice));
}

static bool
letters_only(strview k)
{
	for (size_t i = 0; i < k.n; i++)
		if (!(k.p[i] >= 'a' && k.p[i] <= 'z') && k.p[i] != ' ')
			return false;
	return true;
}

/* Which forms a name is given: things have a plural, and what may be a deed has
 * those of a verb as well. Words of a scale are qualities and have neither: "it
 * closes" says nothing of how close. */
enum { FORM_PLURAL = 1, FORM_VERB = 2 };

static unsigned
forms_of(const struct craft *v, const struct name_draft *d)
{
	const struct entry_kind *k;
	uint32_t number, set;

	switch ((enum name_target)d->target) {
	case NAME_ENTRY:
		k = &v->entry_kind[v->entry[d->id].kind];
		if (k->role != NO16 || (k->object_kind != NO16 &&
		    v->kind[k->object_kind].singleton))
			return FORM_PLURAL;
		return FORM_PLURAL | FORM_VERB;
	case NAME_WORD:
		set = kb_word_set(v, d->id, &number);
		return set == NONE || v->word_set[set].ordered ? 0 : FORM_PLURAL | FORM_VERB;
	case NAME_SETTING:
		return FORM_PLURAL;
	case NAME_UNIT:
	case NAME_PHRASE:
	case NAME_PROPERTY:
	case NAME_KIND:
	case NAME_STOP:
	case NAME_SHORT:
	case NAME_ASKING:
		break;
	}
	return 0;
}

static void
inflect(struct compiler *c, uint32_t i)
{
	struct name_draft d = c->names[i];     /* copied: the list grows */
	unsigned forms = forms_of(maker_view(c->m), &d);
	strview k = sv(d.folded);

	if (d.target == NAME_ENTRY && d.inflected)
		forms &= FORM_PLURAL;          /* made from one that has its own verb forms */
	if (k.n < SHORTEST_INFLECTED || !letters_only(k))
		return;
	/* "A-line" makes no "a lining". */
	if (k.p[1] == ' ')
		forms &= ~(unsigned)FORM_VERB;
	if (forms & FORM_PLURAL) {
		add_plural(c, &d, k);
		add_singular(c, &d, k);
	}
	if (forms & FORM_VERB)
		add_verb(c, &d, k);
}

/* ---- the lexicon ----------------------------- */

/* Words that only head the cells of a table: nobody says them of a project. */
static bool
only_in_tables(const struct craft *v, uint32_t set)
{
	bool table = false;

	for (uint32_t i = 0; i < v->n_table; i++)
		table = table || (v->table[i].by_word && v->table[i].word_set == set);
	for (uint32_t i = 0; table && i < v->n_property; i++)
		table = v->property[i].word_set != set;
	return table;
}

static void
schema_names(struct compiler *c)
{
	const struct craft *v = maker_view(c->m);

	/* Set 0 is yes and no; regions mark names and are none. */
	for (uint32_t s = 1; s < v->n_word_set; s++)
		for (uint32_t w = 0; s != c->region_set && w < v->word_set[s].n &&
		    v->word_set[s].entries_of == NO16 && !only_in_tables(v, s); w++)
			add_name(c, sv(craft_text(v, v->word[v->word_set[s].first + w].name)),
			    NAME_WORD,
			    v->word_set[s].first + w, NO16);
	for (uint32_t u = 0; u < v->n_unit; u++) {
		add_name(c, sv(craft_text(v, v->unit[u].name)), NAME_UNIT, u, NO16);
		if (v->unit[u].plural != v->unit[u].name)
			add_name(c, sv(craft_text(v, v->unit[u].plural)), NAME_UNIT, u, NO16);
		for (uint32_t i = 0; i < v->unit[u].n_spellings; i++)
			add_name(c, sv(craft_text(v, v->spelling[v->unit[u].first_spelling + i])),
			    NAME_UNIT, u, NO16);
	}
	for (uint32_t s = 0; s < v->n_setting; s++) {
		add_name(c, sv(craft_text(v, v->setting[s].name)), NAME_SETTING, s, NO16);
		add_name(c, sv(craft_text(v, v->setting[s].label)), NAME_SETTING, s, NO16);
	}
	/* Nobody says a project's facts of a kind that stands on paper only, nor
	 * sizes that are worked out. */
	for (uint32_t p = 0; p < v->n_property; p++)
		if (!v->kind[v->property[p].kind].on_paper && !v->kind[v->property[p].kind].sizes)
			add_name(c, sv(craft_text(v, v->property[p].label)), NAME_PROPERTY, p, NO16);
	for (uint32_t k = 0; k < v->n_kind; k++) {
		if (v->kind[k].on_paper || v->kind[k].sizes)
			continue;
		add_name(c, sv(craft_text(v, v->kind[k].name)), NAME_KIND, k, NO16);
		if (v->kind[k].plural != 0)
			add_name(c, sv(craft_text(v, v->kind[k].plural)), NAME_KIND, k, NO16);
	}
}

static int
by_folded(const void *a, const void *b)
{
	const struct name_draft *x = a, *y = b;
	int d = strcmp(x->folded, y->folded);

	if (d == 0)
		d = x->inflected - y->inflected;
	if (d == 0)
		d = x->target - y->target;
	if (d == 0)
		d = (x->id > y->id) - (x->id < y->id);
	return d != 0 ? d : (x->region > y->region) - (x->region < y->region);
}

static const char *
kind_and_name(struct compiler *c, const struct entry_draft *e)
{
	const struct craft *v = maker_view(c->m);

	return arena_print(c->arena, "the %s %s", craft_text(v, v->entry_kind[e->kind].name),
	    e->name);
}

/* One plain name for two things of different kinds: the reader takes the first
 * of them, and whoever wrote the other is told. */
static void
note_taken_over(struct compiler *c, const struct name_draft *first, const struct name_draft *d)
{
	const struct entry_draft *a = &c->drafts[first->id], *b = &c->drafts[d->id];
	const struct entry_draft *late = first->id > d->id ? a : b;

	if (first->target != NAME_ENTRY || d->target != NAME_ENTRY || first->region != NO16 ||
	    d->region != NO16 || first->inflected || d->inflected || a->kind == b->kind ||
	    maker_at_entry_kind(c->m, a->kind)->object_kind == NO16 ||
	    maker_at_entry_kind(c->m, b->kind)->object_kind == NO16)
		return;
	diag(c->ds, late->place, D_NAME_TAKEN_OVER, d->written, kind_and_name(c, a),
	    kind_and_name(c, b));
}

/* An inflected form gives way wherever somebody wrote that name, and no
 * meaning stands twice under one name. */
void
write_lexicon(struct compiler *c)
{
	uint32_t written, run = 0;

	schema_names(c);
	read_same_words(c);
	written = c->n_names;
	for (uint32_t i = 0; i < written; i++)
		inflect(c, i);
	if (c->n_own > 0)
		own_names_check(c);
	if (c->n_names > 0)
		qsort(c->names, c->n_names, sizeof *c->names, by_folded);
	for (uint32_t i = 0; i < c->n_names; i++) {
		const struct name_draft *d = &c->names[i];
		struct name n = {.target = d->target, .inflected = d->inflected,
		    .region = d->region, .id = d->id};
		bool again = false;

		if (i > 0 && strcmp(d->folded, c->names[run].folded) != 0)
			run = i;
		if (d->folded[0] == '\0' || (d->inflected && !c->names[run].inflected))
			continue;
		for (uint32_t k = run; k < i && !again; k++)
			again = c->names[k].target == d->target && c->names[k].id == d->id;
		if (again)
			continue;
		if (i > run)
			note_taken_over(c, &c->names[run], d);
		n.folded = maker_text(c->m, sv(d->folded));
		n.written = maker_text(c->m, sv(d->written));
		maker_add_name(c->m, &n, 1);
	}
}
