/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Questions as beginners ask them, and what must be among the first three entries
 * found.  Run on the database that was built (B).
 *
 * "entries" are parted by "|": any of them answers.
 */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "knowledge/knowledge.h"

static struct arena *arena;
static struct knowledge *kb;
static const struct craft *craft;

static void
open_built(void)
{
	const char *b = getenv("B"), *why = "";

	arena = arena_new();
	kb = kb_open(arena_print(arena, "%s/bodkin.db", b != NULL ? b : "build"), &why);
	ck_assert_msg(kb != NULL, "%s", why);
	craft = kb_craft(kb);
}

static void
close_built(void)
{
	kb_close(kb);
	arena_free(arena);
}

static const struct { const char *question, *entries; } questions[] = {
	{"do I have to leave a bias skirt hanging before I hem it and how long for?",
	    "let it hang|hem dips|bias not hung|how long a bias hem hangs"},
	{"what do the little triangles on the edge of the pattern piece mean?", "notch"},
	{"how do I stop the edges of my fabric from unravelling?",
	    "finish edge|seam finish|edge unfinished|fraying allowances"},
	{"what is the difference between warp and weft?", "warp|weft"},
	{"why does my sewing machine eat the fabric", "cloth pulled into the plate"},
	{"the underside is a mess of loops but the top looks fine", "bird's nest below"},
	{"thread keeps snapping when I sew fast", "thread shreds or breaks"},
	{"what is the metal thing you push the needle with on your finger?", "thimble"},
	{"how do i pull elastic through the waistband channel?",
	    "bodkin|elastic casing|attach elastic"},
	{"can I iron velvet without ruining it?", "crushed pile|velvet|needle board"},
	{"how do I keep two layers of satin from slipping apart while I sew them?",
	    "layers creep|walking foot"},
	{"my needle keeps snapping on thick seams", "needle breaks"},
	{"shiny marks after ironing black trousers", "shine from the iron"},
	{"there are holes left where I unpicked a seam in leather",
	    "needle holes stay|cloth that never heals|needle holes in cloth"},
	{"what is the stretchy stitch that looks like a bolt of lightning?", "lightning stitch"},
	{"what is an armhole called in patterns?", "armscye"},
	{"what do the dots on the iron sign of a washing label mean?", "iron dots"},
	{"can I use a normal presser foot to sew in an invisible zipper?",
	    "concealed-zip foot|concealed zip fastening|concealed zip"},
	{"the zip in my cardigan won't lie flat, it ripples", "wavy zip"},
	{"can buttons on baby clothes be a choking risk?",
	    "buttons on clothes for under-threes|tiny parts on clothes for under-threes"},
	{"what are the lines on the needle plate for?", "seam guide lines"},
	{"how do I get sharp corners when I turn a collar out?",
	    "trim the corner|sharp corner|point turner|lumpy corner"},
	{"the neckline of my top gapes at the front", "gaping neckline"},
	{"buttons keep coming off my coat", "buttons fall off"},
	{"the interfacing went bubbly on my collar", "fusing bubbles"},
	{"pieces of corduroy look lighter and darker next to each other",
	    "pieces shade differently|nap turned|shading of pile"},
	{"how do I measure how much a knit stretches?", "stretch gauge|stretch percentage"},
	{"my trouser leg twists round when I wear it", "twisted leg or side seam"},
	{"why did my cotton dress get smaller after the first wash?",
	    "shrank after making|relaxation shrinkage|shrinkage"},
	{"the red dye ran into the white parts", "colour runs|dye bleeding"},
	{"static makes my skirt stick to my tights", "cloth clings|cling|two synthetics rub"},
	{"the inner thighs of my jeans always wear out", "wears thin or through"},
	{"little balls of fluff on my jumper", "pilling"},
	{"what is overlocking for?", "overlocked finish|overlocker|overlock stitch"},
	{"tool for turning a thin tube of cloth right side out", "loop turner|turn a tube"},
	{"how do I make a curved seam lie flat?",
	    "clip|clipping a curve|curved seam will not lie flat|curve not clipped"},
	{"what is the sausage for pressing sleeve seams?", "seam roll"},
	{"what is the round cushion for pressing darts?", "tailors ham"},
	{"what do I use to press wool so that it does not shine?",
	    "press cloth|wool press cloth|shine from the iron|self-fabric"},
	{"how do I shorten a zip that is too long?", "shorten the zip"},
	{"my machine makes a loud grinding noise", "machine noisy or stiff"},
	{"bobbin thread shows on the top of the fabric",
	    "tension out of balance|loops on the right side|upper tension too tight"},
	{"the fabric won't move under the foot", "cloth does not move"},
	{"my foot keeps sticking to vinyl", "foot sticks to the cloth|non-stick foot"},
	{"what does easing in a sleeve mean?", "ease|set the sleeve|cap ease|setting in"},
	{"the hem on my jersey dress is wavy", "wavy seam in knit"},
	/* slips */
	{"what is a walkng foot for?", "walking foot"},
	{"the hem on my jersy dress is wavy", "wavy seam in knit"},
};
enum { FIRST = 3 };

START_TEST(a_question_finds_its_answer)
{
	const char *list = questions[_i].entries;
	struct hit hit[FIRST];
	uint32_t n = kb_search(kb, arena, sv(questions[_i].question), NULL, hit, FIRST);
	bool found = false;

	for (uint32_t i = 0; i < n && !found; i++) {
		const char *name = craft_text(craft, craft->entry[hit[i].entry].name);
		size_t len = strlen(name);

		for (const char *p = list; (p = strstr(p, name)) != NULL && !found; p += len)
			found = (p == list || p[-1] == '|') && (p[len] == '|' || p[len] == '\0');
	}
	ck_assert_msg(found, "\"%s\" finds %s first", questions[_i].question,
	    n > 0 ? craft_text(craft, craft->entry[hit[0].entry].name) : "nothing");
}
END_TEST

/* A short name that happens to stand in a long question is not what it is about. */
static const struct { const char *question, *name; } passing[] = {
	{"do I have to leave a bias skirt hanging before I hem it and how long for?", "bias"},
	{"do I have to leave a bias skirt hanging before I hem it and how long for?", "skirt"},
	{"what do the little triangles on the edge of the pattern piece mean?", "raw edge"},
	{"how do I get sharp corners when I turn a collar out?", "collar"},
	{"there is a little bubble at the end of my dart", "dart"},
};

START_TEST(a_name_in_passing_is_not_first)
{
	struct hit hit;

	ck_assert_uint_eq(kb_search(kb, arena, sv(passing[_i].question), NULL, &hit, 1), 1);
	ck_assert_str_ne(craft_text(craft, craft->entry[hit.entry].name), passing[_i].name);
}
END_TEST

/* But what is nothing than a name, or names, is found by them. */
static const struct { const char *words, *first; } named[] = {
	{"walking foot", "walking foot"},
	{"What is a walking foot?", "walking foot"},
	{"which foot for piping", "piping foot"},
	{"armscye", "armscye"},
	{"iron dots", "iron dots"},
};

START_TEST(a_name_alone_is_first)
{
	struct hit hit;

	ck_assert_uint_eq(kb_search(kb, arena, sv(named[_i].words), NULL, &hit, 1), 1);
	ck_assert_str_eq(craft_text(craft, craft->entry[hit.entry].name), named[_i].first);
}
END_TEST

/* Names parted or joined otherwise, and with words people add; NULL: no name. */
static const struct { const char *written, *entry; } otherwise[] = {
	{"top stitch", "topstitch"}, {"top-stitch", "topstitch"}, {"hongkong finish", "Hong Kong finish"},
	{"frenchseam", "French seam"}, {"over lock stitch", "overlock stitch"},
	{"jeans needles", "jeans needle"}, {"corduroy cloth", "corduroy"}, {"velvet material", "velvet"},
	{"zipper presser foot", "zip foot"}, {"universal needle point", "universal needle"},
	{"stay fabric", NULL}, {"bias cloth", NULL}, {"gap material", NULL},
};

START_TEST(a_name_written_otherwise_is_known)
{
	uint32_t e = kb_entry_find(craft, sv(otherwise[_i].written), NULL);
	struct hit hit;

	if (otherwise[_i].entry == NULL) {
		ck_assert_uint_eq(e, NONE);
		return;
	}
	ck_assert_uint_ne(e, NONE);
	ck_assert_str_eq(craft_text(craft, craft->entry[e].name), otherwise[_i].entry);
	ck_assert_uint_eq(kb_search(kb, arena, sv(otherwise[_i].written), NULL, &hit, 1), 1);
	ck_assert_uint_eq(hit.entry, e);
}
END_TEST

int
main(void)
{
	Suite *s = suite_create("questions");
	TCase *t = tcase_create("questions");
	SRunner *r;
	int failed;

	tcase_add_unchecked_fixture(t, open_built, close_built);
	tcase_add_loop_test(t, a_question_finds_its_answer, 0,
	    (int)(sizeof questions / sizeof *questions));
	tcase_add_loop_test(t, a_name_in_passing_is_not_first, 0,
	    (int)(sizeof passing / sizeof *passing));
	tcase_add_loop_test(t, a_name_alone_is_first, 0, (int)(sizeof named / sizeof *named));
	tcase_add_loop_test(t, a_name_written_otherwise_is_known, 0,
	    (int)(sizeof otherwise / sizeof *otherwise));
	suite_add_tcase(s, t);
	r = srunner_create(s);
	srunner_run_all(r, CK_ENV);
	failed = srunner_ntests_failed(r);
	srunner_free(r);
	return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
