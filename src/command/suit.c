/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * suit: which cloths suit what is to be sewn, or what may be sewn of a cloth.
 *
 * When a garment or a detail is named, cloths are ranked for it; when only a
 * cloth is named (or described), garments and details are ranked for that.
 */
#include "command/command_impl.h"

#include <string.h>

#include "advise/rank.h"

enum { SHOWN_OF_A_CLASS = 12, REASONS_SHOWN = 3, ANSWERS = 6 };

static const char *const class_ids[SUIT__COUNT] = {
	[SUIT_WELL] = "suit.well", [SUIT_CARE] = "suit.care", [SUIT_FIND_OUT] = "suit.find-out",
	[SUIT_NOT] = "suit.not",
};
static const char *const class_names[SUIT__COUNT] = {
	[SUIT_WELL] = "well", [SUIT_CARE] = "care", [SUIT_FIND_OUT] = "find-out", [SUIT_NOT] = "not",
};
static const enum tone class_tones[SUIT__COUNT] = {
	[SUIT_WELL] = TONE_GOOD, [SUIT_CARE] = TONE_DOUBTFUL, [SUIT_FIND_OUT] = TONE_OPEN,
	[SUIT_NOT] = TONE_GRAVE,
};

static const char *
finding_text(struct run *r, const struct suited *s, const struct finding *f)
{
	struct buf b = {0};
	const char *t;

	finding_says(&b, r->kb, s->model, f);
	t = arena_text(r->arena, b.n > 0 ? b.p : "", b.n);
	buf_free(&b);
	return t;
}

/* ---- for people ---------------------------------------------------------------- */

static const char *
name_of(struct run *r, const struct suited *s)
{
	return s->entry != NONE ? craft_text(r->craft, r->craft->entry[s->entry].name)
	    : SAY(r, "suit.as-described");
}

static void
one(struct run *r, const struct suited *s)
{
	struct buf b = {0};

	if (s->stated)
		buf_str(&b, SAY(r, "suit.stated"));
	if (s->stated_not)
		buf_str(&b, SAY(r, "suit.stated-not"));
	for (uint32_t i = 0; i < s->n_against && i < REASONS_SHOWN; i++) {
		if (b.n > 0)
			buf_str(&b, "; ");
		buf_str(&b, finding_text(r, s, &s->against[i]));
		buf_print(&b, " (%s)", rule_name(r, s->against[i].rule));
	}
	if (s->is == SUIT_FIND_OUT && s->n_open > 0) {
		const struct question *q = &s->open[0];

		if (b.n > 0)
			buf_str(&b, "; ");
		buf_str(&b, SAY(r, "suit.ask", "fact", fact_text(r, s->model, q->fact), "how",
		    craft_text(r->craft, r->craft->property[q->fact.property].ask)));
	}
	page_item(r->page, 1, class_tones[s->is], entry_mark(r, s->entry, name_of(r, s)),
	    arena_text(r->arena, b.n > 0 ? b.p
	    : "", b.n));
	buf_free(&b);
}

static void
people(struct run *r, const struct ranking *k, const char *title)
{
	page_add(r->page, BLOCK_TITLE, NULL, title);
	for (int class = 0; class < SUIT__COUNT; class++) {
		uint32_t n = 0;

		for (uint32_t i = 0; i < k->n; i++) {
			if ((int)k->s[i].is != class)
				continue;
			if (n == 0)
				page_add(r->page, BLOCK_HEADING, NULL, SAY(r, class_ids[class]))->level = 1;
			if (n++ < SHOWN_OF_A_CLASS || r->ask->all)
				one(r, &k->s[i]);
		}
		if (n > SHOWN_OF_A_CLASS && !r->ask->all)
			page_add(r->page, BLOCK_PARAGRAPH, NULL, SAY(r, "suit.more", "count",
			    number_text(r, (double)(n - SHOWN_OF_A_CLASS), 6)));
	}
}

/* ---- for programs ---------------------------------------------------------------- */

static void
programs(struct run *r, struct json *j, const struct ranking *k, const char *key)
{
	json_key(j, key);
	json_open(j, '[');
	for (uint32_t i = 0; i < k->n; i++) {
		const struct suited *s = &k->s[i];

		json_open(j, '{');
		json_key(j, "name");
		json_str(j, name_of(r, s));
		json_own(j, s->entry != NONE ? r->craft->entry[s->entry].own : 0);
		json_key(j, "suited");
		json_str(j, class_names[s->is]);
		json_key(j, "stated");
		json_bool(j, s->stated);
		json_key(j, "stated_not");
		json_bool(j, s->stated_not);
		json_key(j, "against");
		json_open(j, '[');
		for (uint32_t f = 0; f < s->n_against; f++) {
			json_open(j, '{');
			json_key(j, "rule");
			json_str(j, craft_text(r->craft, r->craft->rule[s->against[f].rule].id));
			json_key(j, "degree");
			json_str(j, degree_names[s->against[f].degree]);
			json_key(j, "says");
			json_str(j, finding_text(r, s, &s->against[f]));
			json_close(j, '}');
		}
		json_close(j, ']');
		json_key(j, "find_out");
		json_open(j, '[');
		for (uint32_t q = 0; q < s->n_open; q++)
			json_str(j, fact_text(r, s->model, s->open[q].fact));
		json_close(j, ']');
		json_close(j, '}');
	}
	json_close(j, ']');
}

/* ---- as the answer to a setting ------------------------------------------------------ */

/* The cloth said, or the best; then others that suit. */
static uint32_t
answers(struct run *r, const struct checked *c, struct ranking *k)
{
	uint32_t n = 1;

	*k = suit_answer(r->arena, r->kb, c->project);
	if (k->n == 0)
		return 0;
	while (n < k->n && n < ANSWERS && k->s[n].is == SUIT_WELL)
		n++;
	return n;
}

bool
suit_page(struct run *r, const struct checked *c)
{
	struct ranking k;
	uint32_t n = answers(r, c, &k);

	if (n == 0)
		return false;
	page_add(r->page, BLOCK_TITLE, NULL, SAY(r, "answer.cloth", "cloth", name_of(r, &k.s[0]),
	    "suited", SAY(r, class_ids[k.s[0].is])));
	one(r, &k.s[0]);
	if (n > 1)
		page_add(r->page, BLOCK_HEADING, NULL, SAY(r, "answer.cloths-too"));
	for (uint32_t i = 1; i < n; i++)
		one(r, &k.s[i]);
	return true;
}

void
suit_json(struct run *r, const struct checked *c, uint32_t setting)
{
	struct ranking k;
	struct json j;

	k.n = answers(r, c, &k);
	json_begin(r, &j);
	json_key(&j, "setting");
	json_str(&j, craft_text(r->craft, r->craft->setting[setting].name));
	json_key(&j, "answer");
	json_str(&j, NULL);
	programs(r, &j, &k, "cloths");
	json_key(&j, "notes");
	json_open(&j, '[');
	json_close(&j, ']');
	json_sources(r, &j);
	json_end(r, &j);
}

/* ---- the command ------------------------------------------------------------------- */

static bool
names_a_thing(struct run *r, const struct project *p)
{
	uint32_t garment = kind_find(r->craft, SV("garment")), feature = kind_find(r->craft,
	    SV("feature"));

	for (uint32_t i = 0; i < p->n_things; i++)
		if (!p->things[i].denied && (p->things[i].kind == garment || p->things[i].kind == feature)
		    && p->things[i].entry != NONE)
			return true;
	return false;
}

int
command_suit(struct run *r)
{
	struct ranking first, second = {.n = 0};
	struct project *p;
	struct json j;
	bool cloths;

	if (!run_knowledge(r))
		return EXIT_NOT_RUN;
	if (r->ask->words == NULL && r->ask->n_args == 0)
		return usage(r, "suit takes a file, or --words and a description");
	p = r->ask->words != NULL
	    ? project_from_words(r->arena, r->kb, source_new(r->arena, "<words>", sv(r->ask->words)),
	        &r->diags)
	    : project_read(r->arena, r->kb, r->ask->args[0], &r->diags);
	if (p == NULL || r->diags.errors > 0)
		return EXIT_NOT_RUN;
	cloths = names_a_thing(r, p);
	if (cloths)
		first = suit_cloths(r->arena, r->kb, p);
	else {
		first = suit_things(r->arena, r->kb, p, "garment");
		second = suit_things(r->arena, r->kb, p, "feature");
	}
	if (r->ask->json) {
		json_begin(r, &j);
		programs(r, &j, &first, cloths ? "cloths" : "garments");
		if (!cloths)
			programs(r, &j, &second, "features");
		json_end(r, &j);
	} else {
		people(r, &first, SAY(r, cloths ? "suit.cloths" : "suit.garments"));
		if (!cloths)
			people(r, &second, SAY(r, "suit.features"));
	}
	return first.n > 0 && first.s[0].is == SUIT_WELL ? EXIT_SOUND : EXIT_FINDINGS;
}
