/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A block that holds nonsense under a right checksum is refused: each row
 * spoils one field of the shipped craft, which is then packed anew.
 *
 * To add a row: the section, the member of it, and what is put there.
 */
#include "knowledge/knowledge.h"

#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#define COUNT(t) (sizeof(t) / sizeof *(t))

static struct arena *arena;
static struct diags diags;
static struct knowledge *kb;
static const struct craft *craft;
static struct craft_maker *maker;

static void
setup(void)
{
	const char *b = getenv("B"), *why = "";

	arena = arena_new();
	diags_init(&diags, arena);
	kb = kb_open(arena_print(arena, "%s/bodkin.db", b != NULL ? b : "build"), &why);
	ck_assert_msg(kb != NULL, "%s", why);
	craft = kb_craft(kb);
	maker = maker_new(arena, &diags);
	/* Text begins with the empty one in both. */
	maker_add_text(maker, craft->text + 1, craft->n_text - 1);
#define SECTION(type, name) \
	if (strcmp(#name, "text") != 0) \
		maker_add_##name(maker, (const type *)craft->name, craft->n_##name);
#include "language/sections.def"
#undef SECTION
	maker_view(maker);                     /* makes its units while they are sound */
}

static void
teardown(void)
{
	maker_free(maker);
	kb_close(kb);
	arena_free(arena);
}

static bool
taken(void)
{
	struct craft c;
	const char *why = "";
	bool sound = craft_unpack(&c, arena, craft_pack(arena, maker_view(maker)), &why);

	ck_assert(sound == (why[0] == '\0'));
	return sound;
}

START_TEST(unspoilt_it_is_taken)
{
	ck_assert(taken());
}
END_TEST

/* ---- fields ------------------------------------------------------------------ */

/* First of a section whose member is as the condition says. */
#define FIRST(section, condition, change) { \
	uint32_t i = 0; \
	while (i < craft->n_##section && !(maker_at_##section(maker, i)->condition)) \
		i++; \
	ck_assert_uint_lt(i, craft->n_##section); \
	maker_at_##section(maker, i)->change; \
	break; \
}
#define ANY(section, change) { maker_at_##section(maker, 0)->change; break; }

static const char *
spoil(int row)
{
	switch (row) {
	case 0: ANY(unit, first_spelling = NONE)
	case 1: ANY(unit, n_spellings = 1u << 30)
	case 2: FIRST(unit, form == UNIT_LADDER, first_rung = craft->n_rung)
	case 3: ANY(unit, form = UNIT_LADDER + 1)
	case 4: ANY(word_set, n = 129)
	case 5: ANY(word_set, first = craft->n_word)
	case 6: ANY(kind, n_properties = craft->n_property + 1)
	case 7: ANY(kind, first_property = 1)              /* slots of another kind */
	case 8: ANY(kind, name_property = craft->n_property)
	case 9: ANY(property, kind = NO16)
	case 10: ANY(property, slot = 999)
	case 11: ANY(property, type = TYPE__COUNT)
	case 12: FIRST(property, type == TYPE_WORDS, word_set = NO16)
	case 13: FIRST(property, type == TYPE_REF, ref_kind = NO16)
	case 14: FIRST(property, formula != NONE, formula = craft->n_program)
	case 15: ANY(property, from_default = craft->n_source)
	case 16: FIRST(property, bare_unit != NO16, bare_unit = 9999)
	case 17: FIRST(property, n_units > 0, n_units = 1u << 30)
	case 18: ANY(property, role = 129)
	case 19: ANY(table, n = craft->n_point + 1)
	case 20: FIRST(table, by_word != 0, word_set = NO16)
	case 21: ANY(table, source = craft->n_source)
	case 22: ANY(formula, n_parameters = craft->n_parameter + 1)
	case 23: ANY(rule, each = NO16 - 1)
	case 24: ANY(rule, must = craft->n_program)
	case 25: ANY(rule, degree = DEGREE__COUNT)
	case 26: ANY(rule, touches[0] = 9999)
	case 27: ANY(rule, n_touches = 4)
	case 28: ANY(rule, say.first = craft->n_part)
	case 29: ANY(rule, first_source = craft->n_cited + 1)
	case 30: ANY(rule, n_examples = 1u << 30)
	case 31: ANY(advice, setting = 9999)
	case 32: ANY(advice, strength = STRENGTH__COUNT)
	case 33: FIRST(advice, low != NONE, low = craft->n_program)
	case 34: FIRST(advice, n_choices > 0, first_choice = craft->n_choice)
	case 35: ANY(setting, property = 1024)
	case 36: ANY(setting, n_obtainable = 1u << 30)
	case 37: FIRST(part, program < PART_LIMIT, program = craft->n_program)
	case 38: ANY(entry, kind = 999)
	case 39: ANY(entry, first_broader = craft->n_broader + 1)
	case 40: ANY(user_message, text.n = 1u << 30)
	case 41: ANY(program, first = craft->n_instr)
	case 42: ANY(program, variables = VARIABLES_MAX + 1)
	case 43: FIRST(program, stack > 1, stack = 1)      /* more than it says */
	case 44: ANY(program, type = TYPE__COUNT)
	case 45: FIRST(program, n > 1, n = 0)
	case 46: ANY(program, property = craft->n_property)
	case 47: ANY(order_rule, first = craft->n_program)
	case 48: ANY(order_rule, then = NONE)
	case 49: FIRST(order_rule, n_same > 0, same[0] = 9999)
	case 50: FIRST(order_rule, n_same > 0, same[0] = 0)
	case 51: ANY(order_rule, n_same = ORDER_SAME_MOST + 1)
	case 52: ANY(order_rule, first_example = craft->n_example)
	case 53: ANY(order_change, of[0] = 0)
	case 54: ANY(order_change, n_of = 9)
	case 55: ANY(order_change, where = craft->n_program)
	default: return NULL;
	}
	return "";
}

START_TEST(a_spoilt_field_is_refused)
{
	ck_assert_ptr_nonnull(spoil(_i));
	ck_assert_msg(!taken(), "row %d of spoil() went through", _i);
}
END_TEST

enum { FIELDS = 56 };

START_TEST(every_row_is_tried)
{
	ck_assert_ptr_null(spoil(FIELDS));
}
END_TEST

/* Lists of bare numbers: one beyond the end of what they point into. */
START_TEST(a_spoilt_list_is_refused)
{
	switch (_i) {
	case 0: *maker_at_unit_list(maker, 0) = (uint16_t)craft->n_unit; break;
	case 1: *maker_at_cited(maker, 0) = craft->n_source; break;
	case 2: *maker_at_broader(maker, 0) = craft->n_entry; break;
	case 3: *maker_at_also(maker, 0) = (uint16_t)craft->n_property; break;
	case 4: *maker_at_order(maker, 0) = (uint16_t)craft->n_property; break;
	case 5: *maker_at_text(maker, craft->n_text - 1) = 'x'; break;
	}
	ck_assert(!taken());
}
END_TEST

START_TEST(a_table_that_does_not_rise_is_refused)
{
	uint32_t i = 0;

	while (craft->table[i].by_word != 0 || craft->table[i].n < 2)
		i++;
	maker_at_point(maker, craft->table[i].first + 1)->x = _i == 0
	    ? craft->point[craft->table[i].first].x : (double)NAN;
	ck_assert(!taken());
}
END_TEST

START_TEST(a_cell_of_no_word_is_refused)
{
	uint32_t i = 0;

	while (craft->table[i].by_word == 0)
		i++;
	maker_at_point(maker, craft->table[i].first)->x = _i == 0 ? -1 : 128;
	ck_assert(!taken());
}
END_TEST

/* ---- instructions -------------------------------------------------------------- */

static const struct { enum op op; bool b; uint32_t put; } operands[] = {
	{OP_CONST, true, NONE}, {OP_WORDS, true, NONE}, {OP_WORD_IN, true, NONE},
	{OP_LOAD, true, NONE}, {OP_HAS, true, NONE}, {OP_IS, true, NONE}, {OP_IS, false, 0xfff0},
	{OP_PARAMETER, false, 99}, {OP_BARE, true, NONE}, {OP_POWER, true, 4},
	{OP_CALL, true, NONE}, {OP_CALL, false, 7}, {OP_TABLE, true, NONE}, {OP_GATHER, true, NONE},
	{OP_GATHER, false, 9}, {OP_GATHER_SIZE, true, 9999}, {OP_GATHER_SIZE, false, 9999},
};

START_TEST(a_spoilt_operand_is_refused)
{
	uint32_t i = 0;
	struct instr *it;

	while (i < craft->n_instr && craft->instr[i].op != operands[_i].op)
		i++;
	ck_assert_msg(i < craft->n_instr, "no program of the craft has such an operation");
	it = maker_at_instr(maker, i);
	if (operands[_i].b)
		it->b = operands[_i].put;
	else
		it->a = (uint16_t)operands[_i].put;
	ck_assert(!taken());
}
END_TEST

START_TEST(an_unknown_operation_is_refused)
{
	maker_at_instr(maker, 0)->op = OP__COUNT;
	ck_assert(!taken());
}
END_TEST

START_TEST(a_variable_too_many_is_refused)
{
	uint32_t i = 0;

	while (craft->instr[i].op != OP_LOAD)
		i++;
	maker_at_instr(maker, i)->reg = VARIABLES_MAX;
	ck_assert(!taken());
}
END_TEST

START_TEST(a_path_that_leads_astray_is_refused)
{
	uint32_t i = 0;

	while (i < craft->n_path && craft->path[i].n < 2)
		i++;
	switch (_i) {
	case 0: maker_at_path(maker, i)->root = NO16; break;
	case 1: maker_at_path(maker, i)->n = 5; break;
	case 2: maker_at_path(maker, i)->prop[1] = NO16; break;
	case 3: maker_at_path(maker, i)->prop[0] = craft->path[i].prop[1]; break;
	}
	ck_assert(!taken());
}
END_TEST

int
main(void)
{
	Suite *s = suite_create("damage");
	TCase *t = tcase_create("damage");
	SRunner *r;
	int failed;

	tcase_set_timeout(t, 60);
	tcase_add_checked_fixture(t, setup, teardown);
	tcase_add_test(t, unspoilt_it_is_taken);
	tcase_add_loop_test(t, a_spoilt_field_is_refused, 0, FIELDS);
	tcase_add_test(t, every_row_is_tried);
	tcase_add_loop_test(t, a_spoilt_list_is_refused, 0, 6);
	tcase_add_loop_test(t, a_table_that_does_not_rise_is_refused, 0, 2);
	tcase_add_loop_test(t, a_cell_of_no_word_is_refused, 0, 2);
	tcase_add_loop_test(t, a_spoilt_operand_is_refused, 0, (int)COUNT(operands));
	tcase_add_test(t, an_unknown_operation_is_refused);
	tcase_add_test(t, a_variable_too_many_is_refused);
	tcase_add_loop_test(t, a_path_that_leads_astray_is_refused, 0, 4);
	suite_add_tcase(s, t);
	r = srunner_create(s);
	srunner_run_all(r, CK_ENV);
	failed = srunner_ntests_failed(r);
	srunner_free(r);
	return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
