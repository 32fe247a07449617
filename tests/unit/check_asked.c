/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What people of several countries ask and complain of, long-winded and with slips,
 * and names in other spellings.  Run on the database that was built (B).
 *
 * Entries are parted by "|": any of them answers.  A question must find one among
 * the first three entries, a symptom one among the first three causes.
 */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "advise/trouble.h"

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

enum { FIRST = 3 };

/* Is the entry's name one of the parts of the list? */
static bool
listed(const char *list, uint32_t entry)
{
	const char *name = craft_text(craft, craft->entry[entry].name);
	size_t len = strlen(name);

	for (const char *p = list; (p = strstr(p, name)) != NULL; p += len)
		if ((p == list || p[-1] == '|') && (p[len] == '|' || p[len] == '\0'))
			return true;
	return false;
}

static const struct { const char *question, *entries; } questions[] = {
	{"how to stop a neckline from stretching before i sew it",
	    "staystitch|stay tape|edge stretched out of shape"},
	{"how do i sew a button on a thick coat", "sew on button|button shank|backing button"},
	{"what is interfacing used for", "interfacing"},
	{"how can I hem trousers without a machine",
	    "blind hem by hand|hand stitches|take up a hem|sew by hand"
	    "|hand blind hemming stitch|catchstitch"},
	{"my iron on interfacing is peeling off", "interfacing comes off"},
	{"my bobbin keeps running out or tangling",
	    "bird's nest below|bobbin wound badly|thread nest below|bobbin"},
	{"what is a pressing ham", "tailors ham"},
	{"can i use fabric glue instead of sewing",
	    "fabric glue|glue the allowances|glue and spray or pins and thread"},
	{"how do i make bias tape", "bias tape maker|continuous bias|bias strip|bias binding"},
	{"what's the best thread for jeans topstitching", "polyester topstitching thread"},
	{"how long should a zip be for a skirt", "zip length by opening|zip length"},
	{"how do i get chalk marks off fabric", "marks will not come out|tailors chalk"},
	{"should i oil my sewing machine", "is a household machine oiled|sewing machine oil"},
	{"whats a good seam finish for chiffon", "French seam|Hong Kong finish|seam finish"},
	{"how do i adjust the tension",
	    "tension out of balance|thread tension|tension test|upper tension"},
	{"how do i gather a long piece of fabric evenly", "gather|gathers uneven|gathers"},
	{"what is grading in sewing, trimming the seam layers", "grade|grading"},
	{"what is bias and why is it stretchy", "bias"},
	{"do i cut notches inwards or outwards", "notch|notch snips"},
	{"how do i join two pieces of bias binding",
	    "bias strips joined slanting or straight|continuous bias|bias binding"
	    "|bias strip"},
	{"whats a basting stitch for", "baste|long basting row|basting"},
	{"how do you measure for trousers crotch", "crotch depth|crotch length|rise"},
	{"can you sew over pins", "sewing over pins"},
	{"what's high bust", "high bust"},
	{"which way do i press darts", "which way darts are pressed|dart"},
	{"what is ease in a pattern", "ease"},
	{"why does my zip have a bump at the bottom", "bubble at the end of the zip"},
	{"how much ease for a coat", "ease|ease allowance"},
	{"whats the difference between calico and muslin",
	    "calico|muslin cloth|cotton muslin|calico cloth"},
	{"how to sew a rolled hem on chiffon", "rolled hem|rolled-hem foot|roll the hem"},
	{"is polyester pajamas safe for children",
	    "children's sleepwear in the United States"
	    "|children's nightwear in the United Kingdom"
	    "|children's nightwear in Australia and New Zealand"
	    "|children's nightwear in the European Union"
	    "|brushed and piled cloth near flame"},
	{"why does my hem flip out", "hem flips up"},
	{"how to test if colour will run", "bleed test|washing beside white|colourfast"},
	{"how long should a buttonhole be", "how long a buttonhole is made"},
	{"how do i find the grain",
	    "grain|straight of grain|straighten the grain|tear or cut to find the grain"},
	{"shirt gapes between the buttons at bust", "gap between buttons"},
	{"what does RST mean in sewing", "right sides together|pattern abbreviations"},
	{"my lining is showing below the hem", "lining hangs out"},
	{"I'm making my first dress and the pattern says finish the seam allowances, what "
	    "does that mean and do I have to?", "seam finish|finish edge"},
	{"I bought a lovely piece of wool coating and I don't know whether I should steam it "
	    "before I cut it, any advice?",
	    "must wool be shrunk before cutting|shrink beforehand|press before cutting"
	    "|steam shrinking|wool coating"},
	{"Help! every time I start sewing the thread comes out of the needle and I have to "
	    "thread it again", "needle unthreads at the start"},
	{"when I sew the two layers the top one always ends up longer than the bottom one",
	    "layers creep"},
	{"is there a way to sew knits with an ordinary sewing machine so the seams don't pop "
	    "when I pull it over my head",
	    "popped stitches in stretch|zigzag width for knit seams|stretch fabric"
	    "|narrow zigzag|lightning stitch"},
	{"the pattern tells me to ease the sleeve into the armhole but I always get tucks",
	    "sleeve head puckers|set the sleeve|ease"},
	{"can somebody explain the difference between single jersey and interlock",
	    "interlock|cotton jersey"},
	{"how can I tell if the fabric in my stash is cotton or polyester",
	    "snippet in the flame|burn tests at home"},
	{"my pressed seams leave a line on the right side of the trousers",
	    "ridge of the allowance shows through|press over a pad"},
	{"I can never get my invisible zip to be invisible, you can see the tape",
	    "concealed zip shows"},
	{"how do i make my own pattern from a skirt i already have", "rub-off"},
	{"i have a pear shape, size 12 on top and 16 on the hips which size do i cut",
	    "between sizes|multi-size pattern"},
	{"what do those numbers like 70/10 and 80/12 on needle packets mean",
	    "needle size 80/12|needle size 70/10|needle size"
	    "|number of a 110 or 120 needle"},
	{"my fabric slides around on the table when i cut it out",
	    "cut out|slippery fabric|weights|tissue and freezer paper"},
	{"is a serger worth it or can I just zigzag the edges",
	    "overlocker|machine-overcast edge|zigzagged edge|seam finish"},
	{"what does it mean to sew with right sides together", "right sides together"},
	{"how do you get a crisp edge on a facing that stays inside",
	    "understitch|facing rolls out|press the edge"},
	{"I washed my new dress and the lining is now hanging below the hem",
	    "lining hangs out|layers shrank unequally"},
	{"sewing machine stitches look fine on top but there are big loops underneath",
	    "bird's nest below"},
	{"how do you sew a straight line", "crooked stitching line|seam guide lines|seam guide"},
	{"which side of the iron on interfacing has the glue",
	    "fusible|fuse interfacing|glue dots"},
	{"whats a good first project for someone who has never sewn", "first project"},
	{"is it better to cut with a rotary cutter or with scissors",
	    "rotary cutter|cutting equipment|dressmaking shears"},
	{"how do I know how much ease a pattern has built in",
	    "ease|finished measure|finished garment measurements"},
};

START_TEST(a_question_finds_its_answer)
{
	struct hit hit[FIRST];
	uint32_t n = kb_search(kb, arena, sv(questions[_i].question), NULL, hit, FIRST);
	bool found = false;

	for (uint32_t i = 0; i < n && !found; i++)
		found = listed(questions[_i].entries, hit[i].entry);
	ck_assert_msg(found, "\"%s\" finds %s first", questions[_i].question,
	    n > 0 ? craft_text(craft, craft->entry[hit[0].entry].name) : "nothing");
}
END_TEST

static const struct { const char *symptom, *with, *tried, *causes; } symptoms[] = {
	{"overlocker looper thread breaks", "", "",
	    "looper threaded out of order|looper tension too tight"
	    "|thread caught at the spool"},
	{"hem of my jersey top is wavy like lettuce", "cotton jersey", "",
	    "cloth stretched by hand|foot pressure too high"},
	{"overlocker chops badly and chews edge", "", "",
	    "knife blunt|knife not set level|lint below|knife swung away"},
	{"top layer is longer at the end of the seam", "", "",
	    "lower layer runs ahead|foot pressure too high"},
	{"coverstitch comes undone at the end", "", "", "end of the chain not secured"},
	{"big mess of thread under the fabric when I begin", "", "",
	    "threading slipped|tails not held at the start|foot not lowered"},
	{"machine chews up the beginning of the seam on chiffon", "silk chiffon", "",
	    "tails not held at the start|wrong plate or foot for the stitch"
	    "|needle too thick|worn needle|started at the very edge"},
	{"dress shrank in the wash", "", "", "not preshrunk|dried too hot"},
	{"vinyl sticks to the presser foot", "vinyl", "", "coated face drags"},
	{"jumper went tiny and thick in the machine", "wool", "", "rubbed and hot in the wash"},
	{"little holes next to the stitching in my jersey", "cotton jersey, sharp needle", "",
	    "needle point not for knits|worn needle|needle too thick"},
	{"t-shirt side seams spiral round", "", "", "cloth has a twist of its own|cut off grain"},
	{"pulls in the satin along the seam line", "satin", "", "worn needle|needle too thick"},
	{"checks don't meet at the side seam", "", "",
	    "lower layer runs ahead|held by too few pins|no notches"},
	{"needle snapped in the middle of a seam and hit the plate", "", "",
	    "bent needle|needle not seated|needle pulled aside by the hands"
	    "|hit a pin or metal"},
	{"dots of glue show through on the front of the silk", "silk chiffon", "",
	    "glue too coarse for the cloth|fused too hot or too long"},
	{"threads pulling apart at the seam of a tight satin skirt", "satin", "",
	    "cloth slips at seams|seam allowance too small|garment too tight"},
	{"front of jacket became smaller when I fused it", "wool crepe", "",
	    "moisture in the fusing|not preshrunk|shrank under the press"},
	{"elastic flips over inside the waistband", "", "", "casing too wide|elastic too soft"},
	{"stretch seam thread snaps", "cotton elastane jersey, straight stitch", "",
	    "stitch without give"},
	{"velvet got flattened when pressed", "velvet", "",
	    "pressed on the right side|hard board"},
	{"chalk lines wont wash out", "", "", "mark set by the iron|wax in the chalk"},
	{"water drips leave rings on silk", "silk", "",
	    "pressed too hard or too damp|scale in the iron"},
	{"machine clunks and knocks loudly", "", "",
	    "worn needle|thread end in the hook|bent needle|dry or gummed bearings"},
	{"fusible came unstuck at the collar", "", "", "fused too cool|fused too short"},
	{"zipper gets stuck on the lining", "", "", "lining not clear of the teeth"},
	{"needle comes unthreaded as soon as I press the pedal", "", "",
	    "tails not held at the start"},
	{"buttonhole has holes and looks stretched in a knit", "cotton jersey", "",
	    "nothing behind it to steady it|interfacing gives along the hole"},
	{"shiny patches on black trousers where I ironed", "", "",
	    "pressed on the right side|iron too hot"},
	{"neckband flares out on t shirt", "", "", "band too long"},
	{"puckers in the sleeve cap", "", "",
	    "edges not eased together|cloth takes up no ease|pattern too long there"},
	{"bias binding twists", "", "", "strip not on the bias|lower layer runs ahead"},
	{"skipping stitches on t-shirt fabric", "cotton jersey, 80/12 universal needle", "new needle",
	    "needle point not for knits"},
	{"collar ends turn upward", "", "", "no turn of cloth|roll not shaped by steam"},
	{"fur stuck in the seam", "faux fur", "",
	    "pile not brushed in|seam allowance not shorn|layers crept on the pile"},
	{"skirt hem longer in some places after hanging", "", "",
	    "bias not hung|edge on the bias"},
	{"zipper splits open under the pull", "", "",
	    "slider worn or bent|stitched on the coil|garment too tight|coil too thin"},
	{"seam in trousers crotch ripped", "", "",
	    "garment too tight|thread too weak for the strain|strain not spread"
	    "|stitch too long|stitch without give"},
	{"shirt gaps at the bust button", "", "",
	    "button not at the fullest line|garment too tight"},
	{"dart tip makes a dimple", "", "", "dart ends too steeply|pressed flat on the board"},
};

START_TEST(a_symptom_finds_its_cause)
{
	const char *said = *symptoms[_i].with == '\0' ? symptoms[_i].symptom :
	    arena_print(arena, "%s, %s", symptoms[_i].with, symptoms[_i].symptom);
	struct diags ds;
	struct project *p;
	struct model *m;
	struct trouble t;
	bool found = false;

	diags_init(&ds, arena);
	p = project_from_words(arena, kb, source_new(arena, "<words>", sv(said)), &ds);
	m = p != NULL ? model_expand(arena, kb, p, &ds) : NULL;
	t = trouble_look(arena, kb, sv(symptoms[_i].symptom), m, sv(symptoms[_i].tried));
	for (uint32_t i = 0; i < t.n && i < FIRST && !found; i++)
		found = listed(symptoms[_i].causes, t.s[i].cause);
	ck_assert_msg(found, "\"%s\" is laid to %s", symptoms[_i].symptom,
	    t.n > 0 ? craft_text(craft, craft->entry[t.s[0].cause].name) : "nothing");
}
END_TEST

/* A name is known in the spelling of another country and with "of" in it; NULL: no
 * entry is meant. */
static const struct { const char *written, *entry; } otherwise[] = {
	{"mercerizing", "mercerised"}, {"mercerisation", "mercerised"},
	{"gauge of a knit", "gauge of knit"}, {"the needle plate", "needle plate"},
	{"swayback adjustment", "sway back adjustment"}, {"needle blunt", "worn needle"},
	{"dress wrap", NULL}, {"plate needle foot", NULL},
};

START_TEST(a_name_spelt_otherwise_is_known)
{
	uint32_t e = kb_entry_find(craft, sv(otherwise[_i].written), NULL);

	if (otherwise[_i].entry == NULL) {
		ck_assert_msg(e == NONE, "%s is taken for something", otherwise[_i].written);
		return;
	}
	ck_assert_msg(e != NONE, "%s is not known", otherwise[_i].written);
	ck_assert_str_eq(craft_text(craft, craft->entry[e].name), otherwise[_i].entry);
}
END_TEST

/* Words that only frame a question do not hide what is asked, nor does a slip in one. */
static const struct { const char *question, *entry; } framed[] = {
	{"please can somebody explain what a walking foot is used for", "walking foot"},
	{"what is the best way to use a tailors ham", "tailors ham"},
	{"whats the diffrence between warp and weft", "warp"},
	{"what is the eye of a needle called", "needle eye"},
};

START_TEST(framing_words_hide_nothing)
{
	struct hit hit[2];
	uint32_t n = kb_search(kb, arena, sv(framed[_i].question), NULL, hit, 2);

	ck_assert_uint_ge(n, 1);
	ck_assert_msg(listed(framed[_i].entry, hit[0].entry) ||
	    (n > 1 && listed(framed[_i].entry, hit[1].entry)), "\"%s\" finds %s",
	    framed[_i].question, craft_text(craft, craft->entry[hit[0].entry].name));
}
END_TEST

/* Where every word is one, two letters off is another thing. */
START_TEST(a_word_of_its_own_is_no_slip)
{
	struct hit hit;

	ck_assert_uint_eq(kb_search(kb, arena, SV("presser foot pressure too light"), "cause", &hit,
	    1), 1);
	ck_assert_str_eq(craft_text(craft, craft->entry[hit.entry].name), "foot pressure too low");
}
END_TEST

int
main(void)
{
	Suite *s = suite_create("asked");
	TCase *t = tcase_create("asked");
	SRunner *r;
	int failed;

	tcase_add_unchecked_fixture(t, open_built, close_built);
	tcase_add_loop_test(t, a_question_finds_its_answer, 0,
	    (int)(sizeof questions / sizeof *questions));
	tcase_add_loop_test(t, a_symptom_finds_its_cause, 0,
	    (int)(sizeof symptoms / sizeof *symptoms));
	tcase_add_loop_test(t, a_name_spelt_otherwise_is_known, 0,
	    (int)(sizeof otherwise / sizeof *otherwise));
	tcase_add_loop_test(t, framing_words_hide_nothing, 0,
	    (int)(sizeof framed / sizeof *framed));
	tcase_add_test(t, a_word_of_its_own_is_no_slip);
	suite_add_tcase(s, t);
	r = srunner_create(s);
	srunner_run_all(r, CK_ENV);
	failed = srunner_ntests_failed(r);
	srunner_free(r);
	return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
