/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The names of a sheet: materials against steps, and words that mean one thing
 * to one reader and another to the next.
 *
 * A material is held by its role: who lists a zip and sews in a zipper has it.
 */
#include "work/proof_impl.h"

#include <string.h>

enum { ROLES_MOST = 64 };

/* The role an entry plays by its own value, else by its kind; NO16. */
static uint16_t
role_of(const struct sheet_text *t, uint32_t entry)
{
	const struct entry_record *rec = kb_entry(t->kb, entry);
	uint32_t p = t->kind_component != NONE ? property_find(t->c, t->kind_component, SV("role")) : NONE;

	for (uint32_t i = 0; i < rec->n_typicals && p != NONE; i++)
		if (rec->typicals[i].property == p)
			for (uint16_t w = 0; w < ROLES_MOST; w++)
				if (rec->typicals[i].usual.set[0] >> w & 1)
					return w;
	return t->c->entry_kind[t->c->entry[entry].kind].role;
}

/* The material a name stands for, where it stands for nothing that is done. */
static uint32_t
material(const struct sheet_text *t, const struct named *m)
{
	if (name_entry(t, m, t->kind_operation) != NONE)
		return NONE;
	return name_entry(t, m, t->kind_component);
}

static bool
throughout(const struct sheet_text *t, uint16_t role)
{
	for (uint32_t i = 0; i < t->c->n_proof_word; i++)
		if (t->c->proof_word[i].means == PROOF_ROLE_PLAIN && t->c->proof_word[i].role == role)
			return true;
	return false;
}

static bool
has_words(const struct sheet_text *t, uint16_t role)
{
	for (uint32_t i = 0; i < t->c->n_proof_word; i++)
		if (t->c->proof_word[i].means == PROOF_ROLE_USED && t->c->proof_word[i].role == role)
			return true;
	return false;
}

/* Is anything of the role named there, in whatever form? */
static bool
role_word_at(const struct sheet_text *t, uint32_t mark, uint16_t role)
{
	for (uint32_t i = 0; i < t->c->n_proof_word; i++) {
		const struct proof_word *w = &t->c->proof_word[i];
		uint32_t n;

		if (w->means == PROOF_ROLE_USED && w->role == role &&
		    words_at(t, mark, craft_text(t->c, w->folded), &n))
			return true;
	}
	return false;
}

static bool
is_used(const struct sheet_text *t, uint32_t entry, uint16_t role)
{
	for (uint32_t i = 0; i < t->n; i++)
		if ((t->marks[i].area == AREA_STEP || t->marks[i].area == AREA_TALK) && !t->marks[i].heads &&
		    role_word_at(t, i, role))
			return true;
	for (uint32_t i = 0; i < t->n_named; i++) {
		uint32_t e;

		if (t->marks[t->named[i].first].area == AREA_MATERIALS ||
		    t->marks[t->named[i].first].area == AREA_ASIDE)
			continue;
		e = name_entry(t, &t->named[i], t->kind_component);
		if (e != NONE && (e == entry || role_of(t, e) == role))
			return true;
	}
	return false;
}

static const char *
written(const struct sheet_text *t, const struct named *m)
{
	struct place p = mark_place(t, m->first, m->n);

	return arena_text(t->arena, t->src->text.p + p.at, p.n);
}

/* A role called by its own word, as a thing: "the zip", not "trim the seam". */
static uint16_t
role_called(const struct sheet_text *t, const struct named *m)
{
	uint32_t set = set_find(t->c, SV("role")), n;

	if (m->first == 0 || t->marks[m->first].breaks ||
	    proof_word_at(t, m->first - 1, PROOF_IS, &n) == NULL)
		return NO16;
	if (set != NONE && m->n == 1 &&
	    (n = word_find(t->c, set, sv(t->marks[m->first].text))) != NONE)
		return (uint16_t)n;
	return NO16;
}

static void
materials(struct sheet_text *t, struct findings *f)
{
	bool listed[ROLES_MOST] = {false}, told[ROLES_MOST] = {false};

	for (uint32_t i = 0; i < t->n; i++)
		for (uint16_t r = 0; r < ROLES_MOST && t->marks[i].area == AREA_MATERIALS; r++)
			listed[r] = listed[r] || (has_words(t, r) && role_word_at(t, i, r));
	for (uint32_t i = 0; i < t->n_named; i++) {
		uint32_t e = name_entry(t, &t->named[i], t->kind_component);
		uint16_t r;

		if (t->marks[t->named[i].first].area == AREA_MATERIALS && e != NONE &&
		    (r = role_of(t, e)) < ROLES_MOST)
			listed[r] = true;
	}
	for (uint32_t i = 0; i < t->n_named; i++) {
		const struct named *m = &t->named[i];
		const struct mark *k = &t->marks[m->first];
		uint32_t e = material(t, m);
		uint16_t r = e != NONE ? role_of(t, e) : role_called(t, m);
		struct proof_finding *x;

		if (r >= ROLES_MOST || throughout(t, r) || told[r] || m->denied || !has_words(t, r))
			continue;
		if (k->area == AREA_STEP && !k->muted && !listed[r]) {
			x = finding_add(f, "unlisted", DEGREE_DOUBTFUL, mark_place(t, m->first, m->n));
			x->says = proof_say(t, "proof.unlisted", "what", written(t, m), (const char *)NULL);
			told[r] = true;
		} else if (k->area == AREA_MATERIALS && e != NONE && !is_used(t, e, r)) {
			x = finding_add(f, "unused", DEGREE_MENTION, mark_place(t, m->first, m->n));
			x->says = proof_say(t, "proof.unused", "what", written(t, m), (const char *)NULL);
			told[r] = true;
		}
	}
}

/* ---- words that part countries ------------------------------------------------------ */

static bool
is_country(const struct sheet_text *t, uint16_t region)
{
	for (uint32_t i = 0; i < t->c->n_country_word; i++)
		if (t->c->country_word[i].region == region)
			return true;
	return false;
}

static bool
says_whose_words(const struct sheet_text *t)
{
	uint32_t n;

	for (uint32_t i = 0; i < t->n; i++)
		if (proof_word_at(t, i, PROOF_WORDS_OF, &n) != NULL)
			return true;
	return false;
}

static const char *
region_name(const struct sheet_text *t, uint16_t region)
{
	uint32_t set = set_find(t->c, SV("region"));

	return proof_say(t, arena_print(t->arena, "proof.reader-%s", craft_text(t->c,
	    t->c->word[t->c->word_set[set].first + region].name)), (const char *)NULL);
}

/* What a name means to readers of a country: an entry that names the country, else
 * one that all have. */
static uint32_t
means_in(const struct named *m, uint16_t region)
{
	uint32_t e = NONE;

	for (uint32_t i = 0; i < m->n_names; i++)
		if (m->names[i].target == NAME_ENTRY && m->names[i].region == region &&
		    !m->names[i].inflected)
			e = e == NONE ? m->names[i].id : e;
	return e;
}

static void
two_meanings(struct sheet_text *t, struct findings *f)
{
	if (says_whose_words(t))
		return;
	for (uint32_t i = 0; i < t->n_named; i++) {
		const struct named *m = &t->named[i];
		uint32_t n, first = NONE, then = NONE;
		uint16_t first_in = NO16, then_in = NO16;
		struct proof_finding *x;
		bool told = false;

		for (uint32_t k = 0; k < m->n_names && then == NONE; k++) {
			uint16_t region = m->names[k].region;
			uint32_t e;

			if (m->names[k].target != NAME_ENTRY || region == NO16 || !is_country(t, region) ||
			    (e = means_in(m, region)) == NONE)
				continue;
			if (first == NONE) {
				first = e;
				first_in = region;
			} else if (e != first && region != first_in) {
				then = e;
				then_in = region;
			}
		}
		for (uint32_t k = 0; k < i && then != NONE && !told; k++)
			told = t->named[k].names == m->names;
		if (then == NONE || told || proof_word_at(t, m->first, PROOF_SAME_EVERYWHERE, &n) != NULL)
			continue;
		x = finding_add(f, "two-meanings", DEGREE_MENTION, mark_place(t, m->first, m->n));
		x->says = arena_print(t->arena, "%s", proof_say(t, "proof.two-meanings", "word",
		    written(t, m), "one", proof_say(t, "proof.meaning", "country", region_name(t, first_in),
		    "what", craft_text(t->c, t->c->entry[first].name), (const char *)NULL), "other",
		    proof_say(t, "proof.meaning", "country", region_name(t, then_in), "what",
		    craft_text(t->c, t->c->entry[then].name), (const char *)NULL), (const char *)NULL));
		x->remedy = proof_say(t, "proof.two-meanings-remedy", (const char *)NULL);
	}
}

void
proof_names(struct sheet_text *t, struct findings *f)
{
	if (t->listed)
		materials(t, f);
	two_meanings(t, f);
}
