/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Handouts, on the shipped knowledge: what stands in their cells is held against
 * the ranking and the advice it claims to repeat, worksheets against their keys,
 * and the glossary against the words of the page.
 */
#include "said.h"

#include "command/handout_impl.h"

static struct handout made;
static struct run running;

static void
end(void)
{
	run_end(&running);
	kb_done();
}

/* The handout that was asked for. */
static void
make(const struct request *ask)
{
	run_end(&running);             /* of one made before */
	run_begin(&running, ask, arena, kb);
	ck_assert(handout_make(&made, &running));
	ck_assert_uint_gt(made.n_cloths, 0);
}

static const struct handout_cell *
cell_of(const char *line, const char *subject, uint32_t nth)
{
	for (uint32_t i = 0; i < made.n_cells; i++)
		if (strcmp(craft_text(craft, craft->sheet_line[made.cells[i].line].name), line) == 0 &&
		    strcmp(made.cells[i].subject, subject) == 0 && nth-- == 0)
			return &made.cells[i];
	ck_abort_msg("no cell %s of %s", line, subject);
	return NULL;
}

static struct project *
read_words(const char *words)
{
	struct diags d;

	diags_init(&d, arena);
	return project_from_words(arena, kb, source_new(arena, "<words>", sv(words)), &d);
}

/* ---- what it claims --------------------------------------------------------------- */

/* Each degree is the one the ranking gives for the detail alone. */
START_TEST(degrees_are_those_of_the_ranking)
{
	static const char *const things[] = {"patch pocket", "knife pleats", "gathers"};
	struct request ask = {.cloths = "cotton poplin, denim, silk chiffon, velvet, wool flannel, felt",
	    .words = "patch pocket, knife pleats, gathers", .width = -1};
	uint32_t of[SUIT__COUNT] = {0}, kinds = 0;

	make(&ask);
	ck_assert_uint_eq(made.n_things, 3);
	for (uint32_t t = 0; t < 3; t++) {
		struct ranking k = suit_cloths(arena, kb, read_words(things[t]));

		for (uint32_t i = 0; i < made.n_cloths; i++)
			for (uint32_t s = 0; s < k.n; s++)
				if (k.s[s].entry == made.cloths[i].entry) {
					of[k.s[s].is]++;
					ck_assert_msg(strcmp(cell_of("suited", made.cloths[i].name, t)->text,
					    SAY(&running, handout_suited_ids[k.s[s].is])) == 0, "%s for %s",
					    made.cloths[i].name, things[t]);
				}
	}
	for (int i = 0; i < SUIT__COUNT; i++)
		kinds += of[i] > 0;
	ck_assert_msg(kinds >= 3, "the cloths do not differ enough to prove anything");
}
END_TEST

/* A garment is judged with all that was said of it, as a whole. */
START_TEST(a_garment_is_judged_whole)
{
	struct request ask = {.cloths = "cotton poplin, silk chiffon", .words = "unlined jacket with "
	    "patch pockets", .width = -1};

	make(&ask);
	ck_assert_uint_eq(made.n_things, 1);
	for (uint32_t i = 0; i < made.n_cloths; i++) {
		struct suited s = suit_judge(arena, kb, read_words(ask.words), made.cloths[i].entry);

		ck_assert_str_eq(cell_of("suited", made.cloths[i].name, 0)->text,
		    SAY(&running, handout_suited_ids[s.is]));
	}
}
END_TEST

/* Every line that shows settings shows what a check of that cloth advises. */
START_TEST(settings_are_those_of_a_check)
{
	struct request ask = {.cloths = "cotton poplin, denim, silk chiffon, cotton jersey, velvet",
	    .words = "patch pocket", .width = -1};
	uint32_t held = 0;

	make(&ask);
	for (uint32_t k = 0; k < made.n_cloths; k++) {
		struct checked c;

		ck_assert(check_project(&running, read_words(arena_print(arena, "%s, patch pocket",
		    made.cloths[k].name)), &c));
		for (uint32_t i = 0; i < made.n_cells; i++) {
			const struct sheet_line *l = &craft->sheet_line[made.cells[i].line];

			if (made.cells[i].cloth != k || craft->sheet_part[made.cells[i].part].shows != SHEET_TABLE)
				continue;
			for (uint32_t n = 0; n < l->n_items; n++) {
				const struct sheet_item *it = &craft->sheet_item[l->first_item + n];
				const struct choice *q = it->setting != NO16 ? advise_for(c.advised, c.model,
				    it->setting, c.project, NULL) : NULL;
				const char *says;

				if (q == NULL || q->start.state != VALUE_KNOWN)
					continue;
				says = value_text(&running, c.model, it->property, &q->start);
				ck_assert_msg(strstr(made.cells[i].text, says) != NULL, "%s: %s, not %s",
				    made.cloths[k].name, made.cells[i].text, says);
				held++;
			}
		}
	}
	ck_assert_uint_ge(held, 5 * 8);
}
END_TEST

/* ---- worksheets --------------------------------------------------------------------- */

static const struct block *
table_nth(const struct page *p, uint32_t nth)
{
	for (const struct block *b = p->first; b != NULL; b = b->next)
		if (b->type == BLOCK_TABLE && nth-- == 0)
			return b;
	return NULL;
}

static bool
holds_text(const struct page *p, const char *text)
{
	for (const struct block *b = p->first; b != NULL; b = b->next)
		for (uint32_t i = 0; b->cells != NULL && i < b->rows * b->columns; i++)
			if (strcmp(b->cells[i], text) == 0)
				return true;
	return false;
}

/* Only what was chosen is blank, all of that stands in the key, and nothing else does. */
START_TEST(a_worksheet_and_its_key)
{
	struct request plain = {.cloths = "cotton poplin, denim, velvet", .words = "knife pleats",
	    .width = -1}, ask = plain;
	const struct page *full, *key;
	const char *blank, *longer;
	uint32_t differ = 0, hidden = 0, in_key = 0;

	make(&plain);
	full = running.page;
	ask.blank = "needle, why, thread of denim";
	make(&ask);
	key = handout_key(&made);
	blank = SAY(&running, "handout.blank");
	longer = SAY(&running, "handout.long-blank");
	for (uint32_t t = 0; table_nth(full, t) != NULL; t++) {
		const struct block *a = table_nth(full, t), *b = table_nth(running.page, t);

		ck_assert_uint_eq(a->rows, b->rows);
		ck_assert_uint_eq(a->columns, b->columns);
		for (uint32_t i = 0; i < a->rows * a->columns; i++) {
			if (strcmp(a->cells[i], b->cells[i]) == 0)
				continue;
			ck_assert(strcmp(b->cells[i], blank) == 0 || strcmp(b->cells[i], longer) == 0);
			ck_assert_msg(holds_text(key, a->cells[i]), "the key lacks %s", a->cells[i]);
			differ++;
		}
	}
	for (uint32_t i = 0; i < made.n_cells; i++)
		hidden += made.cells[i].hidden;
	ck_assert_uint_eq(hidden, 3 + 3 + 1);
	ck_assert_uint_eq(differ, hidden);
	for (const struct block *b = key->first; b != NULL; b = b->next)
		for (uint32_t i = 0; b->cells != NULL && i < b->rows * b->columns; i++)
			in_key += i % b->columns > 0 && i >= b->columns && *b->cells[i] != '\0';
	ck_assert_uint_eq(in_key, hidden);
}
END_TEST

/* What is hidden is not given away by the words explained below it. */
START_TEST(a_worksheet_does_not_explain_what_it_hides)
{
	struct request ask = {.cloths = "cotton jersey", .words = "neckband", .width = -1};
	bool before = false, after = false;
	uint32_t e;

	make(&ask);
	for (uint32_t i = 0; i < made.n_terms; i++)
		before = before || strstr(cell_of("needle", "cotton jersey", 0)->text,
		    craft_text(craft, craft->entry[made.terms[i]].name)) != NULL;
	ck_assert(before);
	e = made.n_terms;
	ask.blank = "needle";
	make(&ask);
	for (uint32_t i = 0; i < made.n_terms; i++)
		after = after || strstr(cell_of("needle", "cotton jersey", 0)->text,
		    craft_text(craft, craft->entry[made.terms[i]].name)) != NULL;
	ck_assert(!after);
	ck_assert_uint_lt(made.n_terms, e);
}
END_TEST

/* ---- the glossary -------------------------------------------------------------------- */

static const struct sheet_part *
part_that(enum sheet_shows shows)
{
	for (uint32_t i = 0; i < made.sheet->n_parts; i++)
		if (craft->sheet_part[made.sheet->first_part + i].shows == shows)
			return &craft->sheet_part[made.sheet->first_part + i];
	ck_abort_msg("no such part");
	return NULL;
}

static bool
among(const uint32_t *list, uint32_t n, uint32_t x)
{
	for (uint32_t i = 0; i < n; i++)
		if (list[i] == x)
			return true;
	return false;
}

/* All of the page but the glossary and the sources, in small letters. */
static const char *
words_of_page(const struct sheet_part *glossary)
{
	struct buf b = {0};
	const char *t;

	for (const struct block *k = running.page->first; k != NULL; k = k->next) {
		if (k->type == BLOCK_HEADING && strcmp(k->text, craft_text(craft, glossary->heading)) == 0)
			break;
		buf_print(&b, " %s. %s.", k->label != NULL ? k->label : "", k->text != NULL ? k->text : "");
		for (uint32_t i = 0; k->cells != NULL && i < k->rows * k->columns; i++)
			buf_print(&b, " %s.", k->cells[i]);
	}
	t = text_fold(arena, (strview){b.p, b.n});
	buf_free(&b);
	return t;
}

START_TEST(the_glossary_holds_each_term_used_and_no_other)
{
	struct request ask = {.cloths = "cotton poplin, denim, silk chiffon, cotton jersey, velvet",
	    .words = "patch pocket, knife pleats", .width = -1};
	const struct sheet_part *p;
	const char *page;
	uint32_t chosen = 0;

	make(&ask);
	p = part_that(SHEET_GLOSSARY);
	page = words_of_page(p);
	ck_assert_uint_gt(made.n_terms, 10);
	for (uint32_t i = 0; i < made.n_terms; i++) {
		const char *name = text_fold(arena, sv(craft_text(craft,
		    craft->entry[made.terms[i]].name)));

		ck_assert_msg(strstr(page, name) != NULL, "%s is explained and not used", name);
		ck_assert(!among(made.terms, i, made.terms[i]));
	}
	/* whatever was chosen, of the kinds it explains, is explained */
	for (uint32_t k = 0; k < made.n_cloths; k++)
		for (uint32_t i = 0; i < made.n_cells; i++) {
			const struct sheet_line *l = &craft->sheet_line[made.cells[i].line];

			for (uint32_t n = 0; made.cells[i].cloth == k && n < l->n_items; n++) {
				const struct property *q = &craft->property[craft->sheet_item[l->first_item +
				    n].property];
				const struct word_set *set = q->type == TYPE_WORDS ? &craft->word_set[q->word_set]
				    : NULL;

				for (uint32_t w = 0; set != NULL && set->entries_of != NO16 && w < set->n; w++) {
					uint32_t e = craft->word[set->first + w].entry;
					const char *name = craft_text(craft, craft->entry[e].name);
					const char *at = strstr(made.cells[i].text, name);

					if (at == NULL || (at != made.cells[i].text && at[-2] != ',') ||
					    (at[strlen(name)] != '\0' && at[strlen(name)] != ',') ||
					    !among(craft->sheet_entry + p->first_kind, p->n_kinds,
					    craft->entry[e].kind) || among(craft->sheet_entry + p->first_entry,
					    p->n_entries, e))
						continue;
					ck_assert_msg(among(made.terms, made.n_terms, e), "%s is not explained", name);
					chosen++;
				}
			}
		}
	ck_assert_uint_gt(chosen, 20);
}
END_TEST

/* ---- choosing -------------------------------------------------------------------------- */

/* Every cloth taken by a condition keeps it over its whole usual range. */
START_TEST(a_condition_holds_for_all_that_are_taken)
{
	struct request ask = {.where = "weight < 120 g/m2 and structure = woven", .most = 30, .width = -1};

	make(&ask);
	ck_assert_uint_gt(made.n_cloths, 3);
	ck_assert_uint_gt(made.left_out, 0);
	for (uint32_t k = 0; k < made.n_cloths; k++) {
		const struct model *m = made.cloths[k].c.model;
		uint32_t o = made.cloths[k].object;

		ck_assert(slot_of(m, o, "weight")->r.hi < 0.120);
		ck_assert_str_eq(value_text(&running, m, property_named("component", "structure"),
		    slot_of(m, o, "structure")), "woven");
	}
}
END_TEST

/* Those that suit: none that was left out is better suited than one that was taken. */
START_TEST(the_best_are_the_best)
{
	struct request ask = {.words = "gathered skirt", .most = 5, .width = -1};
	struct ranking k;

	make(&ask);
	ck_assert_uint_eq(made.n_cloths, 5);
	k = suit_cloths(arena, kb, read_words("gathered skirt"));
	for (uint32_t i = 0; i < 5; i++)
		ck_assert_uint_eq(made.cloths[i].entry, k.s[i].entry);
}
END_TEST

/* ---- measures ------------------------------------------------------------------------------ */

/* 15 mm is 5/8 in to a maker; 1 in = 25.4 mm exactly, 200 °C = 392 °F (BIPM, SI brochure, 9th
 * edition, 2019; NIST SP 811, 2008). */
START_TEST(both_measures_come_from_one_value)
{
	struct request ask = {.cloths = "cotton poplin", .words = "patch pocket", .measures = "both",
	    .width = -1};

	make(&ask);
	ck_assert_ptr_nonnull(strstr(cell_of("seam", "cotton poplin", 0)->text, "15 mm (5/8 in)"));
	ck_assert_ptr_nonnull(strstr(cell_of("iron", "cotton poplin", 0)->text, "200 °C (392 °F)"));
	ask.measures = "inch";
	make(&ask);
	ck_assert_ptr_nonnull(strstr(cell_of("seam", "cotton poplin", 0)->text, "5/8 in"));
	ck_assert_ptr_null(strstr(cell_of("seam", "cotton poplin", 0)->text, "mm"));
	ask.measures = "metric";
	make(&ask);
	ck_assert_ptr_null(strstr(cell_of("seam", "cotton poplin", 0)->text, "in)"));
}
END_TEST

/* ---- all sheets ------------------------------------------------------------------------------ */

/* Each sheet of the knowledge makes a sound page, and tells what it rests on. */
START_TEST(every_sheet_can_be_made)
{
	for (uint32_t s = 0; s < craft->n_sheet; s++) {
		const char *culprit = "";
		struct request ask = {.cloths = "cotton poplin, silk chiffon, cotton jersey",
		    .sheet = craft_text(craft, craft->sheet[s].name), .width = -1};

		make(&ask);
		ck_assert_msg(page_check(running.page, &culprit), "%s: %s", ask.sheet, culprit);
		ck_assert_uint_gt(made.n_cells + (uint32_t)(made.rests != NULL), 0);
		ck_assert_msg(made.rests != NULL, "%s does not say what it rests on", ask.sheet);
	}
}
END_TEST

/* A fusing card fuses what is fused, and says so where nothing is. */
START_TEST(a_fusing_card)
{
	struct request ask = {.cloths = "cotton poplin, silk chiffon", .sheet = "fusing card",
	    .width = -1};
	uint32_t fused = 0, sewn = 0;

	make(&ask);
	for (uint32_t k = 0; k < made.n_cloths; k++) {
		bool fuses = strstr(cell_of("interfacing", made.cloths[k].name, 0)->text, "fus") != NULL;

		for (uint32_t i = 0; i < made.n_cells; i++) {
			const char *line = craft_text(craft, craft->sheet_line[made.cells[i].line].name);

			if (made.cells[i].cloth != k)
				continue;
			ck_assert(strcmp(line, "cooling") != 0 || fuses);
			ck_assert(strcmp(line, "sewn in") != 0 || !fuses);
			fused += strcmp(line, "time") == 0;
			sewn += strcmp(line, "sewn in") == 0;
		}
	}
	ck_assert_uint_eq(fused, 1);
	ck_assert_uint_eq(sewn, 1);
}
END_TEST

int
main(void)
{
	Suite *s = suite_create("handout");
	TCase *t = tcase_create("handout");
	SRunner *r;
	int bad;

	tcase_add_checked_fixture(t, open_built, end);
	tcase_set_timeout(t, 60);
	tcase_add_test(t, degrees_are_those_of_the_ranking);
	tcase_add_test(t, a_garment_is_judged_whole);
	tcase_add_test(t, settings_are_those_of_a_check);
	tcase_add_test(t, a_worksheet_and_its_key);
	tcase_add_test(t, a_worksheet_does_not_explain_what_it_hides);
	tcase_add_test(t, the_glossary_holds_each_term_used_and_no_other);
	tcase_add_test(t, a_condition_holds_for_all_that_are_taken);
	tcase_add_test(t, the_best_are_the_best);
	tcase_add_test(t, both_measures_come_from_one_value);
	tcase_add_test(t, every_sheet_can_be_made);
	tcase_add_test(t, a_fusing_card);
	suite_add_tcase(s, t);
	r = srunner_create(s);
	srunner_run_all(r, CK_NORMAL);
	bad = srunner_ntests_failed(r);
	srunner_free(r);
	unused();
	return bad == 0 ? 0 : 1;
}
