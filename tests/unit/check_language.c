/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The expression language, driven by the tables in tests/lang: three
 * lines a case (expression, facts, expected), over a small craft made here.
 */
#include <check.h>
#include <dirent.h>
#include <stdlib.h>
#include <string.h>

#include "language/language.h"

#ifndef LANG_FOLDER
#define LANG_FOLDER "tests/lang"
#endif

struct bench {
	struct arena *arena;
	struct diags diags;
	struct craft_maker *maker;
	struct model model;
	uint32_t thing, part;
};

/* ---- a small craft: things made of parts -------------------------------------- */

static const dimension length = {6, 0, 0, 0}, mass_area = {-12, 6, 0, 0}, number = {0, 0, 0, 0};

static void
add_unit(struct bench *b, const char *name, dimension d, double factor)
{
	struct craft_unit u = {.name = maker_text(b->maker, sv(name)), .dim = d, .form = UNIT_SCALE,
	    .after = 1, .factor = factor, .digits = 2};

	maker_add_unit(b->maker, &u, 1);
}

static uint32_t
add_set(struct bench *b, const char *name, bool ordered, const char *const *words)
{
	struct word_set s = {.name = maker_text(b->maker, sv(name)), .ordered = ordered, .entries_of = NO16};
	uint32_t n = 0;

	for (; words[n] != NULL; n++) {
		struct word w = {.name = maker_text(b->maker, sv(words[n])), .entry = NONE};
		uint32_t at = maker_add_word(b->maker, &w, 1);
		if (n == 0)
			s.first = at;
	}
	s.n = n;
	return maker_add_word_set(b->maker, &s, 1);
}

static struct property
quantity_property(struct bench *b, const char *name, uint16_t unit, dimension d, double step, range domain)
{
	struct property p = {.name = maker_text(b->maker, sv(name)), .label = maker_text(b->maker, sv(name)),
	    .type = TYPE_QUANTITY, .dim = d, .step = step, .domain = domain, .formula = NONE,
	    .formula_entry = NONE, .from_default = NONE, .bare_unit = unit, .n_units = 1};

	p.first_unit = maker_add_unit_list(b->maker, &unit, 1);
	return p;
}

static uint32_t
add_property(struct bench *b, uint32_t kind, struct property p)
{
	struct kind *k = maker_at_kind(b->maker, kind);
	uint32_t at;

	p.kind = (uint16_t)kind;
	p.slot = (uint16_t)k->n_properties;
	at = maker_add_property(b->maker, &p, 1);
	k = maker_at_kind(b->maker, kind);
	if (k->n_properties++ == 0)
		k->first_property = at;
	return at;
}

static void
formula(struct bench *b, uint32_t property, const char *text)
{
	struct scope s = {.n_variables = 1, .formula = NONE, .for_property = NONE};
	struct property *q = maker_at_property(b->maker, property);
	struct expected e = {.type = q->type, .dim = q->dim, .word_set = q->word_set};
	uint32_t g;

	s.variable_kind[0] = q->kind;
	g = expression_compile(b->maker, sv(text), (struct place){0}, &s, &e);
	ck_assert_uint_ne(g, NONE);
	maker_at_property(b->maker, property)->formula = g;
}

static void
setup(struct bench *b)
{
	static const char *const yes_no[] = {"no", "yes", NULL};
	static const char *const feel[] = {"soft", "crisp", "stiff", NULL};
	static const char *const colour[] = {"red", "green", "blue", "world", NULL};
	struct kind kinds[3] = {{0}, {0}, {0}};
	struct property p;
	uint32_t twice, total;

	memset(b, 0, sizeof *b);
	b->arena = arena_new();
	diags_init(&b->diags, b->arena);
	b->maker = maker_new(b->arena, &b->diags);
	add_unit(b, "1", number, 1);
	add_unit(b, "mm", length, 0.001);
	add_unit(b, "cm", length, 0.01);
	add_unit(b, "g/m2", mass_area, 0.001);
	add_unit(b, "%", number, 0.01);
	add_set(b, "yes-no", false, yes_no);
	add_set(b, "feel", true, feel);
	add_set(b, "colour", false, colour);
	kinds[0].name = maker_text(b->maker, SV("thing"));
	kinds[0].plural = maker_text(b->maker, SV("things"));
	kinds[1].name = maker_text(b->maker, SV("part"));
	kinds[1].plural = maker_text(b->maker, SV("parts"));
	kinds[2].name = maker_text(b->maker, SV("world"));
	kinds[2].singleton = 1;
	maker_add_kind(b->maker, kinds, 3);
	b->thing = 0;
	b->part = 1;

	add_property(b, 0, quantity_property(b, "weight", 3, mass_area, 0.005, (range){0.005, 2}));
	add_property(b, 0, quantity_property(b, "width", 1, length, 0.001, (range){0, 2}));
	add_property(b, 0, quantity_property(b, "thread.size", 1, length, 0.00001, (range){0, 0.01}));
	p = (struct property){.name = maker_text(b->maker, SV("feel")), .type = TYPE_WORDS, .word_set = 1,
	    .formula = NONE, .formula_entry = NONE, .from_default = NONE};
	add_property(b, 0, p);
	p.name = maker_text(b->maker, SV("colour"));
	p.word_set = 2;
	add_property(b, 0, p);
	p = (struct property){.name = maker_text(b->maker, SV("friend")), .type = TYPE_REF, .ref_kind = 0,
	    .formula = NONE, .formula_entry = NONE, .from_default = NONE};
	add_property(b, 0, p);
	p = quantity_property(b, "reach", 1, length, 0, (range){0, 2});
	p.type = TYPE_BAND;
	add_property(b, 0, p);
	twice = add_property(b, 0, quantity_property(b, "double", 3, mass_area, 0.005, (range){0, 4}));
	total = add_property(b, 0, quantity_property(b, "total", 1, length, 0.001, (range){0, 50}));

	p = (struct property){.name = maker_text(b->maker, SV("thing")), .type = TYPE_REF, .ref_kind = 0,
	    .formula = NONE, .formula_entry = NONE, .from_default = NONE};
	add_property(b, 1, p);
	add_property(b, 1, quantity_property(b, "length", 1, length, 0.001, (range){0, 5}));
	add_property(b, 2, quantity_property(b, "gravity", 0, number, 0.1, (range){0, 20}));
	formula(b, twice, "2 * thing.weight");
	formula(b, total, "sum part of thing (part.length)");
	maker_finish(b->maker);
}

static void
teardown(struct bench *b)
{
	maker_free(b->maker);
	arena_free(b->arena);
}

/* Object 0: the thing asked about; 1: its friend; 2, 3: its parts; 4: the world. */
static void
make_model(struct bench *b)
{
	static const uint16_t kinds[] = {0, 0, 1, 1, 2};
	const struct craft *c = maker_view(b->maker);
	struct model *m = &b->model;
	uint32_t last[3] = {NONE, NONE, NONE};

	memset(m, 0, sizeof *m);
	m->craft = c;
	m->arena = b->arena;
	m->names = "";
	m->n_objects = 5;
	m->objects = arena_alloc(b->arena, 5 * sizeof *m->objects);
	m->first_of_kind = arena_alloc(b->arena, 3 * sizeof *m->first_of_kind);
	m->slots = arena_alloc(b->arena, 64 * sizeof *m->slots);
	for (uint32_t i = 0; i < 3; i++)
		m->first_of_kind[i] = NONE;
	pedigree_add(m, (struct pedigree){.kind = PEDIGREE_NONE});
	pedigree_add(m, (struct pedigree){.kind = PEDIGREE_SAID});
	for (uint32_t o = 0; o < 5; o++) {
		const struct kind *k = &c->kind[kinds[o]];

		m->objects[o] = (struct object){.kind = kinds[o], .slot = m->n_slots, .entry = NONE,
		    .parent = NONE, .next = NONE};
		if (last[kinds[o]] == NONE)
			m->first_of_kind[kinds[o]] = o;
		else
			m->objects[last[kinds[o]]].next = o;
		last[kinds[o]] = o;
		for (uint32_t i = 0; i < k->n_properties; i++)
			m->slots[m->n_slots++] = value_unknown(c, k->first_property + i);
	}
	for (uint32_t o = 2; o <= 3; o++) {
		value *v = model_slot(m, o, property_find(c, 1, SV("thing")));
		v->ref = 0;
		v->state = VALUE_KNOWN;
		v = model_slot(m, o, property_find(c, 1, SV("length")));
		v->r = (range){0.010 * o, 0.010 * o};
		v->state = VALUE_KNOWN;
	}
}

/* facts = name "=" (low [".." high] unit | word ("|" word)* | "friend") (";" ...)* */
static void
read_facts(struct bench *b, strview facts)
{
	const struct craft *c = b->model.craft;

	while (facts.n > 0) {
		const char *end = memchr(facts.p, ';', facts.n);
		strview one = sv_trim((strview){facts.p, end != NULL ? (size_t)(end - facts.p) : facts.n});
		const char *eq = memchr(one.p, '=', one.n);
		strview name, text;
		uint32_t q;
		value *v;

		facts.n -= end != NULL ? (size_t)(end - facts.p) + 1 : facts.n;
		facts.p = end != NULL ? end + 1 : facts.p;
		if (one.n == 0)
			continue;
		ck_assert_ptr_nonnull(eq);
		name = sv_trim((strview){one.p, (size_t)(eq - one.p)});
		text = sv_trim((strview){eq + 1, one.n - (size_t)(eq - one.p) - 1});
		q = property_find(c, 0, name);
		ck_assert_msg(q != NONE, "no property %.*s", (int)name.n, name.p);
		v = model_slot(&b->model, 0, q);
		v->pedigree = 1;
		v->state = VALUE_KNOWN;
		if (c->property[q].type == TYPE_REF) {
			v->ref = 1;
		} else if (c->property[q].type == TYPE_WORDS) {
			v->set[0] = 0;
			while (text.n > 0) {
				const char *bar = memchr(text.p, '|', text.n);
				size_t n = bar != NULL ? (size_t)(bar - text.p) : text.n;
				uint32_t w = word_find(c, c->property[q].word_set, sv_trim((strview){text.p, n}));

				ck_assert_uint_ne(w, NONE);
				v->set[0] |= (uint64_t)1 << w;
				text.p += n + (bar != NULL);
				text.n -= n + (bar != NULL);
			}
		} else {
			size_t used;
			double lo, hi;
			int u;

			ck_assert(number_read(text, &used, &lo));
			hi = lo;
			text = sv_trim((strview){text.p + used, text.n - used});
			if (sv_starts(text, "..")) {
				text.p += 2;
				text.n -= 2;
				ck_assert(number_read(text, &used, &hi));
				text = sv_trim((strview){text.p + used, text.n - used});
			}
			u = unit_find(c->units, text);
			ck_assert_msg(u >= 0, "no unit %.*s", (int)text.n, text.p);
			ck_assert(unit_to_base(&c->units->u[u], lo, &v->r.lo));
			ck_assert(unit_to_base(&c->units->u[u], hi, &v->r.hi));
		}
	}
	model_derive(&b->model, NONE);
}

static void
describe(struct bench *b, struct buf *out, struct cell got, const struct truth *t)
{
	static const char *const words[] = {
		[TRI_FALSE] = "fails", [TRI_UNKNOWN] = "undecided", [TRI_TRUE] = "holds", [TRI_ABSENT] = "absent",
	};
	const struct craft *c = b->model.craft;

	if (got.type == TYPE_TRUTH) {
		buf_str(out, words[t->is]);
		for (uint32_t i = 0; i < t->n_tips; i++) {
			const struct property *q = &c->property[t->tips[i].fact.property];

			buf_print(out, " %s ", craft_text(c, q->name));
			if (q->type == TYPE_QUANTITY) {
				double w;

				ck_assert(unit_from_base(&c->units->u[c->unit_list[q->first_unit]], t->tips[i].at, &w));
				buf_number(out, w, 6);
			} else
				buf_print(out, "%llx", (unsigned long long)t->tips[i].set_true[0]);
		}
	} else if (got.state == VALUE_ABSENT) {
		buf_str(out, "absent");
	} else if (got.type == TYPE_QUANTITY) {
		buf_number(out, got.r.lo, 6);
		if (got.r.hi > got.r.lo) {
			buf_str(out, "..");
			buf_number(out, got.r.hi, 6);
		}
	} else
		buf_str(out, "other");
}

static void
run_case(const char *file, size_t line, strview expression, strview facts, strview wanted)
{
	struct bench b;
	struct buf got = {0};
	struct scope s = {.n_variables = 1, .formula = NONE, .for_property = NONE};
	struct source *src;
	uint32_t g;

	setup(&b);
	src = source_new(b.arena, "case", expression);
	s.variable_kind[0] = 0;
	g = expression_compile(b.maker, expression, (struct place){src, 0, (uint32_t)expression.n}, &s, NULL);
	if (g == NONE) {
		ck_assert_msg(b.diags.n > 0, "%s:%zu: refused without a word", file, line);
		buf_str(&got, diag_name(b.diags.d[0].id));
		if (b.diags.d[0].near[0] != '\0')
			buf_str(&got, " near");
	} else {
		struct binding bind = {{0}};
		struct truth t = {.is = TRI_UNKNOWN};
		struct cell out;
		const char *why = "";

		ck_assert_msg(b.diags.n == 0, "%s:%zu: accepted with a complaint", file, line);
		ck_assert_msg(craft_unpack(&(struct craft){0}, b.arena, craft_pack(b.arena, maker_view(b.maker)), &why),
		    "%s:%zu: the packed craft is refused: %s", file, line, why);
		make_model(&b);
		read_facts(&b, facts);
		out = eval(b.model.craft, &b.model, g, &bind, NULL, NULL);
		if (out.type == TYPE_TRUTH) {
			struct model *before = model_copy(b.arena, &b.model);

			t = decide(b.model.craft, &b.model, g, &bind);
			ck_assert_msg(memcmp(before->slots, b.model.slots, b.model.n_slots * sizeof(value)) == 0,
			    "%s:%zu: deciding changed the model", file, line);
		}
		describe(&b, &got, out, &t);
	}
	ck_assert_msg(wanted.n == got.n && memcmp(wanted.p, got.p, got.n) == 0,
	    "%s:%zu: %.*s\n  with %.*s\n  gives    %s\n  expected %.*s", file, line, (int)expression.n,
	    expression.p, (int)facts.n, facts.p, got.p, (int)wanted.n, wanted.p);
	buf_free(&got);
	teardown(&b);
}

static size_t
run_file(const char *path)
{
	struct arena *a = arena_new();
	struct diags d;
	strview text, part[3];
	size_t line = 0, cases = 0, filled = 0, first = 0;

	diags_init(&d, a);
	ck_assert_msg(file_read(a, path, 1 << 20, &text, &d), "%s cannot be read", path);
	while (text.n > 0) {
		const char *end = memchr(text.p, '\n', text.n);
		strview one = {text.p, end != NULL ? (size_t)(end - text.p) : text.n};

		text.n -= one.n + (end != NULL);
		text.p += one.n + (end != NULL);
		line++;
		if (filled == 0 && (one.n == 0 || one.p[0] == '#'))
			continue;
		if (filled == 0)
			first = line;
		part[filled++] = sv_trim(one);
		if (filled == 3) {
			run_case(path, first, part[0], sv_is(part[1], "-") ? SV("") : part[1], part[2]);
			cases++;
			filled = 0;
		}
	}
	ck_assert_msg(filled == 0, "%s: the last case is not whole", path);
	arena_free(a);
	return cases;
}

START_TEST(tables)
{
	DIR *d = opendir(LANG_FOLDER);
	struct dirent *e;
	size_t cases = 0;

	ck_assert_msg(d != NULL, "no folder " LANG_FOLDER);
	while ((e = readdir(d)) != NULL) {
		char path[512];
		size_t n = strlen(e->d_name);

		if (n < 5 || strcmp(e->d_name + n - 5, ".test") != 0)
			continue;
		snprintf(path, sizeof path, "%s/%s", LANG_FOLDER, e->d_name);
		cases += run_file(path);
	}
	closedir(d);
	ck_assert_uint_ge(cases, 90);
}
END_TEST

/* A damaged block is refused: every byte flipped in turn, every cut. */
START_TEST(damage)
{
	struct bench b;
	strview block;
	char *copy;
	const char *why;
	size_t refused = 0;

	setup(&b);
	block = craft_pack(b.arena, maker_view(b.maker));
	copy = aligned_alloc(16, (block.n + 15) / 16 * 16);
	for (size_t i = 0; i < block.n; i++) {
		struct craft c;

		memcpy(copy, block.p, block.n);
		copy[i] = (char)(copy[i] ^ 0x41);
		refused += !craft_unpack(&c, b.arena, (strview){copy, block.n}, &why) && why[0] != '\0';
	}
	ck_assert_uint_eq(refused, block.n);
	memcpy(copy, block.p, block.n);
	for (size_t n = 0; n < block.n; n += 7) {
		struct craft c;
		ck_assert(!craft_unpack(&c, b.arena, (strview){copy, n}, &why));
	}
	free(copy);
	teardown(&b);
}
END_TEST

START_TEST(circle)
{
	struct bench b;

	setup(&b);
	formula(&b, property_find(maker_view(b.maker), 0, SV("weight")), "thing.double / 2");
	maker_finish(b.maker);
	ck_assert_uint_eq(b.diags.errors, 1);
	ck_assert_int_eq(b.diags.d[0].id, D_PROPERTY_CIRCLE);
	teardown(&b);
}
END_TEST

START_TEST(messages_and_bands)
{
	struct bench b;
	struct scope s = {.n_variables = 1, .formula = NONE, .for_property = NONE};
	struct message m;
	uint32_t low, high, first, n;

	setup(&b);
	s.variable_kind[0] = 0;
	ck_assert(message_compile(b.maker, SV("{thing.weight} is over {limit}, so there"), (struct place){0}, &s, &m));
	ck_assert_uint_eq(m.n, 3);
	ck_assert_uint_eq(maker_view(b.maker)->part[m.first + 1].program, PART_LIMIT);
	ck_assert(!message_compile(b.maker, SV("{thing.wieght}"), (struct place){0}, &s, &m));
	ck_assert_int_eq(b.diags.d[0].id, D_PROPERTY_UNKNOWN);
	ck_assert(!message_compile(b.maker, SV("{thing.weight"), (struct place){0}, &s, &m));

	uint32_t width = property_find(maker_view(b.maker), 0, SV("width"));
	uint32_t feel = property_find(maker_view(b.maker), 0, SV("feel"));
	ck_assert(take_compile(b.maker, SV("2 mm .. 1 cm"), (struct place){0}, &s, width, &low, &high, &first, &n));
	ck_assert(low != NONE && high != NONE);
	ck_assert(take_compile(b.maker, SV("at least 2 mm"), (struct place){0}, &s, width, &low, &high, &first, &n));
	ck_assert(low != NONE && high == NONE);
	ck_assert(take_compile(b.maker, SV("at most 2 * thing.width"), (struct place){0}, &s, width, &low, &high, &first, &n));
	ck_assert(low == NONE && high != NONE);
	ck_assert(take_compile(b.maker, SV("{stiff, soft}"), (struct place){0}, &s, feel, &low, &high, &first, &n));
	ck_assert_uint_eq(n, 2);
	ck_assert_uint_eq(maker_view(b.maker)->choice[first], 2);
	ck_assert(!take_compile(b.maker, SV("2 g/m2"), (struct place){0}, &s, width, &low, &high, &first, &n));
	ck_assert(!take_compile(b.maker, SV("{stiff, bouncy}"), (struct place){0}, &s, feel, &low, &high, &first, &n));
	teardown(&b);
}
END_TEST

int
main(void)
{
	Suite *s = suite_create("language");
	TCase *t = tcase_create("core");
	SRunner *r;
	int failed;

	tcase_set_timeout(t, 120);
	tcase_add_test(t, tables);
	tcase_add_test(t, damage);
	tcase_add_test(t, circle);
	tcase_add_test(t, messages_and_bands);
	suite_add_tcase(s, t);
	r = srunner_create(s);
	srunner_run_all(r, CK_NORMAL);
	failed = srunner_ntests_failed(r);
	srunner_free(r);
	return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
