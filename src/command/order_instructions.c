/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The sheet of instructions: materials, cautions and numbered steps in words,
 * as Markdown to edit. Its wordings stand in kb/; where a sheet says the same
 * twice in a row it is said once.
 */
#include "command/command_impl.h"

#include <string.h>

#include "work/instruct.h"

enum { LINE_CELLS = 78, LINES_MOST = 400 };

struct making {
	struct run *r;
	const struct checked *c;
	const struct order_work *w;
	uint16_t region;
	struct buf out;
	const char **told;  uint32_t n_told;     /* lines that are not said again */
};

static const char *
in_country(struct making *s, const char *text)
{
	struct buf b = {0};

	instruct_country(&b, s->r->craft, sv(text), s->region);
	return run_kept(s->r, &b);
}

static const char *
capital(struct run *r, const char *text)
{
	char *t = arena_text(r->arena, text, strlen(text));

	if (t[0] >= 'a' && t[0] <= 'z')
		t[0] = (char)(t[0] - 32);
	return t;
}

static bool
told_before(struct making *s, const char *text)
{
	for (uint32_t i = 0; i < s->n_told; i++)
		if (strcmp(s->told[i], text) == 0)
			return true;
	if (s->n_told < LINES_MOST)
		s->told[s->n_told++] = text;
	return false;
}

/* FIRST before the first line, blanks as wide before the others. */
static void
wrapped(struct making *s, const char *first, size_t indent, const char *text)
{
	size_t at = 0, column = indent + strlen(first);

	for (size_t i = 0; i < indent; i++)
		buf_char(&s->out, ' ');
	buf_str(&s->out, first);
	while (text[at] != '\0') {
		size_t n = strcspn(text + at, " \n"), cells = 0;

		for (size_t i = 0; i < n; i++)
			cells += ((unsigned char)text[at + i] & 0xc0) != 0x80;
		if (column > indent + strlen(first) && column + 1 + cells > LINE_CELLS) {
			buf_char(&s->out, '\n');
			for (size_t i = 0; i < indent + strlen(first); i++)
				buf_char(&s->out, ' ');
			column = indent + strlen(first);
		} else if (column > indent + strlen(first)) {
			buf_char(&s->out, ' ');
			column++;
		}
		buf_add(&s->out, text + at, n);
		column += cells;
		at += n;
		at += strspn(text + at, " \n");
	}
	buf_char(&s->out, '\n');
}

static void
heading(struct making *s, const char *marks, const char *text)
{
	if (s->out.n > 1 && s->out.p[s->out.n - 2] != '\n')
		buf_char(&s->out, '\n');
	wrapped(s, marks, 0, in_country(s, text));
	buf_char(&s->out, '\n');
}

static bool
holds(const struct making *s, uint32_t program, uint32_t object)
{
	struct binding b;

	for (size_t i = 0; i < VARIABLES_MAX; i++)
		b.object[i] = NONE;
	b.object[0] = object;
	return program == NONE || eval_truth(s->r->craft, s->c->model, program, &b) == TRI_TRUE;
}

/* Every line the objects give, each once; how many. */
static uint32_t
materials(struct making *s, const char **out, uint32_t most)
{
	const struct craft *c = s->r->craft;
	const struct model *m = s->c->model;
	uint32_t n = 0;

	for (uint32_t i = 0; i < c->n_work_line; i++) {
		const struct work_line *l = &c->work_line[i];

		if (l->list != WORK_LIST_MATERIALS)
			continue;
		for (uint32_t o = m->first_of_kind[l->each]; o != NONE; o = m->objects[o].next) {
			struct buf b = {0};
			const char *t;

			if (!(m->objects[o].flags & OBJECT_DENIED) && holds(s, l->when, o))
				instruct_fill(&b, c, m, &l->tell, o, false);
			t = in_country(s, run_kept(s->r, &b));
			if (*t != '\0' && !told_before(s, t) && n < most)
				out[n++] = t;
		}
	}
	return n;
}

static const char *
caution_of(struct making *s, uint32_t object)
{
	uint32_t entry = s->c->model->objects[object].entry;
	const struct entry_record *rec = entry != NONE ? kb_entry(s->r->kb, entry) : NULL;

	for (uint32_t i = 0; rec != NULL && i < rec->n_texts; i++)
		if (strcmp(rec->texts[i].key, "caution") == 0) {
			const char *t = in_country(s, SAY(s->r, "instructions.caution", "caution",
			    rec->texts[i].text));

			return told_before(s, t) ? NULL : t;
		}
	return NULL;
}

/* What a step says, with its place in front; NULL: there is nothing to say. */
static const char *
step_text(struct making *s, uint32_t object)
{
	struct buf b = {0};
	const char *place = order_place(s->r, s->c->model, object), *t;

	if (!instruct_step(&b, s->r->kb, s->c->model, object)) {
		buf_free(&b);
		return NULL;
	}
	t = run_kept(s->r, &b);
	return in_country(s, place == NULL ? t : SAY(s->r, "instructions.step", "place",
	    capital(s->r, place), "step", t));
}

/* Findings of safety rules: they belong on the sheet whatever else is sound. */
static uint32_t
safety(struct making *s, const char **out, uint32_t most)
{
	uint32_t n = 0;

	for (uint32_t i = 0; i < s->c->judgement->n_fails; i++) {
		const struct finding *f = &s->c->judgement->fails[i];
		struct buf b = {0};
		const char *t;

		if (!s->r->craft->rule[f->rule].safety)
			continue;
		finding_says(&b, s->r->kb, s->c->model, f);
		t = in_country(s, SAY(s->r, "instructions.caution", "caution",
		    capital(s->r, run_kept(s->r, &b))));
		if (!told_before(s, t) && n < most)
			out[n++] = t;
	}
	return n;
}

struct lines { const char *line[LINES_MOST]; const char *caution[LINES_MOST]; uint32_t n; };

/* What is to be done to a detail before its first step, though no step of the model
 * says so. */
static void
before_step(struct making *s, uint32_t object, struct lines *l)
{
	const struct craft *c = s->r->craft;
	const struct model *m = s->c->model;

	for (uint32_t i = 0; i < c->n_work_line; i++) {
		const struct work_line *w = &c->work_line[i];

		for (uint32_t o = w->list == WORK_LIST_BEFORE ? m->first_of_kind[w->each] : NONE; o != NONE;
		    o = m->objects[o].next) {
			struct buf b = {0};
			const char *t;

			if (m->objects[o].parent == m->objects[object].parent && m->objects[o].parent != NONE &&
			    !(m->objects[o].flags & OBJECT_DENIED) && holds(s, w->when, o))
				instruct_fill(&b, c, m, &w->tell, o, false);
			t = in_country(s, capital(s->r, run_kept(s->r, &b)));
			if (*t == '\0' || told_before(s, t) || l->n == LINES_MOST)
				continue;
			l->caution[l->n] = NULL;
			l->line[l->n++] = t;
		}
	}
}

static void
steps(struct making *s, struct lines *l)
{
	const char *before = "";

	for (uint32_t i = 0; i < s->w->n && l->n < LINES_MOST; i++) {
		uint32_t object = s->w->object[s->w->found.steps[i]];
		const char *t = step_text(s, object);

		if (t == NULL || strcmp(t, before) == 0)
			continue;
		before = t;
		before_step(s, object, l);
		if (l->n == LINES_MOST)
			break;
		l->caution[l->n] = caution_of(s, object);
		l->line[l->n++] = t;
	}
}

static const char *
words_of(struct making *s)
{
	uint32_t set = set_find(s->r->craft, SV("region"));
	const char *name;

	if (s->region == NO16 || set == NONE)
		return NULL;
	name = craft_text(s->r->craft, s->r->craft->word[s->r->craft->word_set[set].first +
	    s->region].name);
	return SAY(s->r, arena_print(s->r->arena, "instructions.words-%s", name));
}

static void
strings_json(struct json *j, const char *key, const char *const *t, uint32_t n)
{
	json_key(j, key);
	json_open(j, '[');
	for (uint32_t i = 0; i < n; i++)
		json_str(j, t[i]);
	json_close(j, ']');
}

static void
programs(struct making *s, const char *title, const char *const *bought, uint32_t n_bought,
    const char *const *safe, uint32_t n_safe, const struct lines *l)
{
	struct json j;

	json_begin(s->r, &j);
	json_key(&j, "title");
	json_str(&j, title);
	json_key(&j, "words_of");
	json_str(&j, s->r->ask->country);
	strings_json(&j, "materials", bought, n_bought);
	strings_json(&j, "cautions", safe, n_safe);
	json_key(&j, "instructions");
	json_open(&j, '[');
	for (uint32_t i = 0; i < l->n; i++) {
		json_open(&j, '{');
		json_key(&j, "number");
		json_number(&j, i + 1);
		json_key(&j, "text");
		json_str(&j, l->line[i]);
		json_key(&j, "caution");
		json_str(&j, l->caution[i]);
		json_close(&j, '}');
	}
	json_close(&j, ']');
	json_end(s->r, &j);
}

/* The same for paper. */
static void
on_page(struct making *s, const char *title, const char *words, const char *const *bought,
    uint32_t n_bought, const char *const *safe, uint32_t n_safe, const struct lines *l)
{
	struct run *r = s->r;

	page_add(r->page, BLOCK_TITLE, NULL, title);
	if (words != NULL)
		page_add(r->page, BLOCK_PARAGRAPH, NULL, words);
	if (n_bought > 0)
		page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "instructions.materials"))->level = 1;
	for (uint32_t i = 0; i < n_bought; i++)
		page_item(r->page, 1, TONE_PLAIN, "-", bought[i]);
	if (n_safe > 0)
		page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "instructions.cautions"))->level = 1;
	for (uint32_t i = 0; i < n_safe; i++)
		page_item(r->page, 1, TONE_PLAIN, "-", safe[i]);
	page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "instructions.steps"))->level = 1;
	for (uint32_t i = 0; i < l->n; i++) {
		page_item(r->page, 1, TONE_PLAIN, arena_print(r->arena, "%u.", (unsigned)(i + 1)), l->line[i]);
		if (l->caution[i] != NULL)
			page_item(r->page, 2, TONE_MENTION, "!", l->caution[i]);
	}
}

bool
region_read(struct run *r, uint16_t *region)
{
	uint32_t set = set_find(r->craft, SV("region")), word;
	struct near near = {0};
	struct buf all = {0};

	*region = NO16;
	if (r->ask->country == NULL)
		return true;
	word = set != NONE ? word_find(r->craft, set, sv(r->ask->country)) : NONE;
	for (uint32_t i = 0; i < r->craft->n_country_word; i++) {
		uint16_t k = r->craft->country_word[i].region;

		if (k == word)
			*region = k;
		bool met = false;

		for (uint32_t n = 0; n < i; n++)
			met = met || r->craft->country_word[n].region == k;
		if (met)
			continue;
		near_offer(&near, sv(r->ask->country), craft_text(r->craft,
		    r->craft->word[r->craft->word_set[set].first + k].name));
		buf_print(&all, "%s%s", all.n > 0 ? ", " : "", craft_text(r->craft,
		    r->craft->word[r->craft->word_set[set].first + k].name));
	}
	if (*region != NO16) {
		buf_free(&all);
		return true;
	}
	usage(r, "--country takes one of: %s%s%s%s", all.n > 0 ? all.p : "", near.n > 0
	    ? "; did you mean " : "", near.n > 0 ? near.name[0] : "", near.n > 0 ? "?" : "");
	buf_free(&all);
	return false;
}

void
order_instructions(struct run *r, const struct checked *c, const struct order_work *w,
    uint16_t region)
{
	struct making s = {.r = r, .c = c, .w = w, .region = region};
	const char *bought[LINES_MOST], *safe[LINES_MOST], *title, *words;
	struct lines *l = arena_alloc(r->arena, sizeof *l);
	uint32_t n_bought, n_safe;

	s.told = arena_alloc(r->arena, LINES_MOST * sizeof *s.told);
	n_bought = materials(&s, bought, LINES_MOST);
	n_safe = safety(&s, safe, LINES_MOST);
	steps(&s, l);
	title = c->project->title[0] != '\0' ? c->project->title
	    : SAY(r, "instructions.title", "what", object_name(c->model, 0));
	title = in_country(&s, title);
	words = words_of(&s);
	if (r->ask->json) {
		programs(&s, title, bought, n_bought, safe, n_safe, l);
		return;
	}
	if (r->ask->out != NULL) {
		on_page(&s, title, words, bought, n_bought, safe, n_safe, l);
		return;
	}
	heading(&s, "# ", title);
	if (words != NULL)
		wrapped(&s, "", 0, words);
	if (l->n == 0)
		wrapped(&s, "", 0, SAY(r, "order.nothing"));
	if (n_bought > 0)
		heading(&s, "## ", SAY(r, "instructions.materials"));
	for (uint32_t i = 0; i < n_bought; i++)
		wrapped(&s, "- ", 0, bought[i]);
	if (n_safe > 0)
		heading(&s, "## ", SAY(r, "instructions.cautions"));
	for (uint32_t i = 0; i < n_safe; i++)
		wrapped(&s, "- ", 0, safe[i]);
	if (l->n > 0)
		heading(&s, "## ", SAY(r, "instructions.steps"));
	for (uint32_t i = 0; i < l->n; i++) {
		const char *number = arena_print(r->arena, "%u. ", (unsigned)(i + 1));

		wrapped(&s, number, 0, l->line[i]);
		if (l->caution[i] != NULL)
			wrapped(&s, "", strlen(number), l->caution[i]);
	}
	buf_add(&r->out, s.out.p, s.out.n);
	buf_free(&s.out);
}
