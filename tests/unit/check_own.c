/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The user's own text laid over a small knowledge base: what an item takes
 * from the one it is like, what a refined entry keeps, and on what each value
 * rests.
 */
#include <check.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "knowledge/knowledge.h"

static struct arena *arena;
static struct knowledge *shipped, *kb;
static char folder[256];
static const char *db, *file;
static struct own_folder own;
static struct diags ds;

static void
begin(void)
{
	const char *why = "", *build = getenv("B");

	arena = arena_new();
	diags_init(&ds, arena);
	snprintf(folder, sizeof folder, "%s/check-own-XXXXXX", build != NULL ? build : "build");
	ck_assert_ptr_nonnull(mkdtemp(folder));
	db = arena_print(arena, "%s/small.db", folder);
	file = arena_print(arena, "%s/mine.yaml", folder);
	ck_assert(kb_compile("tests/unit/kb-judge/kb", "tests/unit/kb-judge/rules", db, &ds));
	shipped = kb_open(db, &why);
	ck_assert_msg(shipped != NULL, "%s", why);
	kb = NULL;
}

static void
end(void)
{
	kb_close(kb);
	kb_close(shipped);
	remove(db);
	remove(file);
	rmdir(folder);
	arena_free(arena);
}

/* The text laid over; false when it has a fault. */
static bool
laid(const char *text)
{
	struct buf bytes = {0};
	const char *why = "";
	bool good;

	diags_init(&ds, arena);
	ck_assert(file_replace(file, sv(text), true, &why));
	own_look(arena, folder, &own);
	good = kb_compile_own(shipped, &own, &bytes, &ds);
	if (good) {
		kb_close(kb);
		kb = kb_open_bytes((strview){bytes.p, bytes.n}, &why);
		ck_assert_msg(kb != NULL, "%s", why);
	}
	buf_free(&bytes);
	return good;
}

static bool
complained(enum diag_id id)
{
	for (size_t i = 0; i < ds.n; i++)
		if (ds.d[i].id == id)
			return true;
	return false;
}

static uint32_t
entry(const char *name)
{
	uint32_t e = kb_entry_find(kb_craft(kb), sv(name), NULL);

	ck_assert_uint_ne(e, NONE);
	return e;
}

static const struct typical *
value_of(const char *name, const char *property)
{
	const struct craft *c = kb_craft(kb);
	const struct entry_record *r = kb_entry(kb, entry(name));

	for (uint32_t i = 0; i < r->n_typicals; i++)
		if (strcmp(craft_text(c, c->property[r->typicals[i].property].name), property) == 0)
			return &r->typicals[i];
	return NULL;
}

static const char *
basis(const char *name, const char *property)
{
	const struct typical *t = value_of(name, property);
	const struct craft *c = kb_craft(kb);

	return t != NULL ? craft_text(c, c->source[t->basis_low].id) : "(none)";
}

START_TEST(like_takes_what_is_not_said)
{
	ck_assert(laid("fabrics:\n  - fabric: grey sail\n    like: sailcloth\n    says: Mine.\n"
	    "    values: {weight: 240 g/m2}\n"));
	ck_assert_uint_eq(kb_craft(kb)->entry[entry("grey sail")].own, ENTRY_OWN);
	ck_assert_double_eq_tol(value_of("grey sail", "weight")->usual.r.hi, 0.240, 1e-9);
	ck_assert_str_eq(basis("grey sail", "weight"), "own");
	/* What it was given keeps its figure and its basis. */
	ck_assert_double_eq_tol(value_of("grey sail", "bulk")->usual.r.lo, 500, 1e-9);
	ck_assert_str_eq(basis("grey sail", "bulk"), "practice");
	ck_assert_uint_gt(kb_entry(kb, entry("grey sail"))->n_brings, 0);
	ck_assert(kb_entry_is(kb_craft(kb), entry("grey sail"), entry("sailcloth")));
	/* The other stays as it was. */
	ck_assert_uint_eq(kb_craft(kb)->entry[entry("sailcloth")].own, ENTRY_SHIPPED);
	ck_assert_double_eq_tol(value_of("sailcloth", "weight")->usual.r.hi, 0.300, 1e-9);
}
END_TEST

START_TEST(refined_keeps_what_is_not_said)
{
	ck_assert(laid("fabrics:\n  - fabric: sailcloth\n    says: From the loft.\n"
	    "    also: [loft cloth]\n    values: {weight: 260 g/m2}\n"));
	ck_assert_uint_eq(kb_craft(kb)->entry[entry("sailcloth")].own, ENTRY_REFINED);
	ck_assert_str_eq(basis("sailcloth", "weight"), "own");
	/* What others had seen of it is no longer said of one's own. */
	ck_assert_uint_eq(value_of("sailcloth", "weight")->seen.state, VALUE_ABSENT);
	ck_assert_str_eq(basis("sailcloth", "bulk"), "practice");
	ck_assert_str_eq(craft_text(kb_craft(kb), kb_craft(kb)->entry[entry("sailcloth")].says),
	    "Stiff cloth.");
	ck_assert_uint_eq(entry("loft cloth"), entry("sailcloth"));
	ck_assert_uint_eq(kb_craft(kb)->n_entry, kb_craft(shipped)->n_entry);
}
END_TEST

START_TEST(a_basis_may_be_named)
{
	ck_assert(laid("fabrics:\n  - fabric: grey sail\n    says: Mine.\n    basis: memory\n"
	    "    values:\n      weight: {is: 240 g/m2, basis: practice}\n      bulk: 500 kg/m3\n"));
	ck_assert_str_eq(basis("grey sail", "weight"), "practice");
	ck_assert_str_eq(basis("grey sail", "bulk"), "memory");
	ck_assert(!laid("fabrics:\n  - fabric: grey sail\n    says: Mine.\n    basis: hearsay\n"));
	ck_assert(complained(D_UNKNOWN_SOURCE));
}
END_TEST

START_TEST(refusals)
{
	static const struct { const char *text; enum diag_id id; } bad[] = {
		{"messages:\n  - {id: x, says: y}\n", D_OWN_TOP_KEY},
		{"word sets:\n  - {set: ravel, values: [a]}\n", D_OWN_TOP_KEY},
		{"fabrics:\n  - fabric: a\n    like: twine\n    says: b\n", D_UNKNOWN_ENTRY},
		{"fabrics:\n  - fabric: lining\n    says: b\n", D_OWN_NAME_TAKEN},
		{"fabrics:\n  - fabric: mist\n    says: b\n    brings: [{content: flax}]\n",
		    D_UNKNOWN_KEY},
		{"fabrics:\n  - {fabric: mist, note: a}\n  - {fabric: mist, note: b}\n",
		    D_OWN_REFINED_TWICE},
		{"fabrics:\n  - fabric: a\n    says: b\n    values: {wieght: 3 g/m2}\n",
		    D_UNKNOWN_PROPERTY},
	};

	for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
		ck_assert_msg(!laid(bad[i].text), "taken: %s", bad[i].text);
		ck_assert_msg(complained(bad[i].id), "%zu: %s", i, ds.n > 0 ? ds.d[0].message : "");
		/* Each in the user's file, so that they can find it. */
		for (size_t k = 0; k < ds.n; k++)
			if (diag_level(ds.d[k].id) == DIAG_ERROR)
				ck_assert_ptr_nonnull(strstr(ds.d[k].place.src->name, "mine.yaml"));
	}
}
END_TEST

START_TEST(the_key_tells_of_changes)
{
	uint64_t first;

	ck_assert(laid("fabrics:\n  - {fabric: grey sail, says: Mine.}\n"));
	first = kb_own_key(kb);
	ck_assert_uint_ne(first, 0);
	ck_assert_uint_eq(kb_own_key(shipped), 0);
	own_look(arena, folder, &own);
	ck_assert_uint_eq(own.key, first);
	ck_assert(laid("fabrics:\n  - {fabric: grey sail, says: Still mine.}\n"));
	ck_assert_uint_ne(kb_own_key(kb), first);
	/* Remarks and empty files are passed over. */
	ck_assert(laid("# nothing yet\n\n   # at all\n"));
	ck_assert(own.files[0].bare);
}
END_TEST

int
main(void)
{
	Suite *s = suite_create("own");
	TCase *t = tcase_create("own");
	SRunner *r;
	int failed;

	tcase_add_checked_fixture(t, begin, end);
	tcase_add_test(t, like_takes_what_is_not_said);
	tcase_add_test(t, refined_keeps_what_is_not_said);
	tcase_add_test(t, a_basis_may_be_named);
	tcase_add_test(t, refusals);
	tcase_add_test(t, the_key_tells_of_changes);
	suite_add_tcase(s, t);
	r = srunner_create(s);
	srunner_run_all(r, CK_ENV);
	failed = srunner_ntests_failed(r);
	srunner_free(r);
	return failed > 0;
}
