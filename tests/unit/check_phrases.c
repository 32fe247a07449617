/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The shipped words: what people of a wardrobe room say, and the lines of the
 * project that must come of it.  Run on the database that was built (B).
 *
 * "lines" are parted by "|"; each must stand in the project as printed.
 * "unused" are the words that must count as not used, in order.
 */
#include "said.h"

static const struct { const char *words, *lines, *unused; } phrases[] = {
	{"unlined jacket in light cotton poplin with a fly-front zip and two boxed patch pockets, "
	    "90/14 needle, fusible interfacing",
	    "garment: jacket|lined: no|- shell: cotton poplin|weight: light|blade: 90 needle "
	    "metric|"
	    "- feature: fly-front zip|- feature: boxed patch pocket|count: 2|without: [lining]",
	    ""},
	{"lock-keeper's coat in wool flannel, lined in silk",
	    "garment: coat|- shell: wool flannel|- lining: unknown|fibre: silk", "lock keeper's"},
	{"bargee's jacket, denim, topstitched in tex 60, jeans needle 100/16",
	    "- shell: denim|- topstitching thread: unknown|size: 60 tex|- needle: jeans needle|"
	    "blade: 100 needle metric", "bargee's"},
	{"denim jacket topstitched with a 100/16 jeans needle, 80/12 universal needle",
	    "- operation: topstitch|needle.size: 100 needle metric|needle.point: jeans needle|"
	    "- needle: universal needle|blade: 80 needle metric", ""},
	{"bargee's waistcoat in corduroy, cut one way", "layout.nap: one way|- shell: corduroy",
	    "bargee's"},
	{"ferryman's shirt in chambray, French seams, 2.5 mm stitch",
	    "- shell: chambray|- seam.kind: French seam|- stitch.length: 2.5 mm", "ferryman's"},
	{"towpath cloak in wool flannel 280 g/m2, not preshrunk",
	    "weight: 280 g/m2|preshrink: nothing", "towpath"},
	{"romper for a child in cotton jersey, stretch needle",
	    "wearer: child|- needle: stretch needle", ""},
	{"gown in silk chiffon, rolled hem, size 60 needle",
	    "- shell: silk chiffon|blade: 60 needle metric", ""},
	{"duck canvas bag, tex 60 thread, 18 oz canvas",
	    "garment: bag|weight: 18 oz/yd2|size: 60 tex", ""},
	{"trousers in denim, fly-front zip 20 cm, waistband",
	    "- feature: fly-front zip|length: 20 cm|- feature: waistband", ""},
	{"coat in tweed, underlined with cotton lawn", "- shell: tweed|- underlining: cotton lawn",
	    ""},
	{"skirt in viscose challis, drapey, elastic", "drape: soft or fluid|- elastic: woven elastic",
	    ""},
	{"trousers, cotton twill, prewashed", "preshrink: gentle wash or warm wash or hot wash",
	    ""},
	{"canvas smock, no zip, no lining", "- shell: canvas|without: [zip, lining]|lined: no", ""},
	{"collar in cotton poplin, topstitched 5 mm from the edge",
	    "- operation: topstitch|topstitch.distance: 5 mm", ""},
	{"wool coating coat, stitch length 50 mm", "- shell: wool coating", "stitch length 50 mm"},
	{"slipstitch, stitch length 50 mm", "- operation: slipstitch", "stitch length 50 mm"},
	{"wool coating coat, seam stitch length 50 mm", "- operation: seam",
	    "stitch length 50 mm"},
	{"wool coating coat, stitch length 11 mm", "- stitch.length: 11 mm", ""},
	{"silk chiffon blouse, 8 mm silk chiffon", "weight: 8 momme", ""},
	{"poplin shirt, 3 mm straight stitch", "- stitch.length: 3 mm|- stitch.kind: straight stitch",
	    ""},
	{"coat with 3 mm straight stitch in wool coating", "- stitch.length: 3 mm", ""},
	{"moleskin jacket with suede elbow patches",
	    "- shell: moleskin|- contrast: suede|- feature: reinforcement patch", ""},
	{"suede jacket with elbow patches", "- shell: suede", ""},
	{"garment leather skirt", "garment: skirt|- shell: leather", ""},
	{"coat, buttonholes 27 mm long", "buttonhole.length: 27 mm", "long"},
	{"wool coat with a dry-clean-only lining", "- lining: unknown|washable: no", ""},
	{"wool coat, dry clean only", "care: dry clean", ""},
	{"jacket with an 8 momme silk lining", "- lining: unknown|weight: 8 momme|fibre: silk", ""},
	{"ladies' blouse in silk crepe de chine, hand washed first",
	    "wearer: adult|preshrink: gentle wash", ""},
	{"linen shirt, preshrunk, flat-felled seams, seam allowance 1.5 cm",
	    "- seam.kind: flat-felled seam|- seam.allowance: 1.5 cm", ""},
	{"dress, 65% polyester 35% cotton poplin, loose-fitting",
	    "fit: loose|- shell: cotton poplin|fibre: \"polyester 65 %, cotton 35 %\"", ""},
	{"shirt in cotton with 3 % elastane", "fibre: \"cotton, elastane 3 %\"", ""},
	{"cotton shirt in poplin", "- shell: cotton poplin|fibre: cotton", ""},
	{"what needle for wool flannel", "- shell: wool flannel|asked: needle.size", ""},
	{"which interfacing for the collar in poplin",
	    "- feature: collar|asked: interfacing.kind|asked at: collar", ""},
	{"how wide a seam allowance in a tweed coat", "asked: seam.allowance|- shell: tweed", ""},
	{"3 patch pockets, 7 buttons, shirt", "count: 3|count: 7", ""},
	{"two pairs of boxed patch pockets on the jacket", "count: 4", ""},
	{"jacket lined with cotton lawn", "- lining: cotton lawn", ""},
	/* small words inside a phrase; a choice of words written in brackets */
	{"poplin dress, the curves were not all clipped", "- operation.clipping: not clipped", ""},
	{"tweed coat, the layers left at one width", "- operation.graded: no", ""},
	{"velvet skirt with one panel cut upside down", "layout.nap: either way", ""},
	{"crepe jacket, its fused fronts moved while they were still hot",
	    "- interfacing.attach: fusible|- operation.cooled: no", ""},
	/* the thread of the row just told of, not another */
	{"cotton lawn shirt topstitched with tex 80 thread",
	    "- operation: topstitch|thread.size: 80 tex", ""},
	/* one layer held against another */
	{"shirt cuffs with an interfacing heavier than the shirting itself",
	    "- interfacing: unknown|against-cloth: heavier", ""},
	{"lined wool flannel jacket", "lined: yes|- shell: wool flannel", ""},
	{"denim jacket, heavy topstitching thread",
	    "- shell: denim|- topstitching thread: polyester topstitching thread|size: thick", ""},
	{"fine thread, cotton lawn blouse", "- shell: cotton lawn|- thread: ", ""},
	{"lightweight denim skirt", "weight: light", ""},
	{"heavy denim skirt", "weight: heavy", ""},
	{"coat under 300 g/m2", "weight: under 300 g/m2", ""},
	{"denim between 300 and 400 g/m²", "weight: 300-400 g/m2", ""},
	{"cotton poplin about 110 g/m2", "weight: 99-121 g/m2", ""},
	{"shirt for a child, 5 years old", "wearer: child|age: 5 year", ""},
	{"close-fitting dress in stretchy jersey", "fit: close|stretch-across: 20-100 %", ""},
	{"boxy linen jacket", "fit: loose|garment: jacket", ""},
	{"loose linen jacket", "fit: loose", ""},
	{"scratchy thick wool", "hand: harsh|weight: heavy|fibre: wool", ""},
	{"does not fray, see-through", "ravel: none|opacity: transparent or sheer or semi-sheer",
	    ""},
	{"frays badly, slippery satin", "- shell: satin|ravel: strong|slip: strong", ""},
	{"cotten poplin shrit", "garment: shirt|- shell: cotton poplin", ""},
	{"corderoy trousers", "- shell: corduroy", ""},
	{"intefacing and linning", "- interfacing: unknown|- lining: unknown", ""},
	{"household machine, no overlocker", "class: household|overlock: no", ""},
	{"press cloth, 150 °C iron", "- press.aid: press cloth|- press.heat: 150 °C", ""},
	{"dart, hem 4 cm deep", "- feature: dart|- feature: hem|depth: 4 cm", ""},
	{"5/8\" seam allowance", "- seam.allowance: 0.625 in", ""},
	{"12 stitches per inch", "- stitch.length: 12 stitches per inch", ""},
	{"80/12 universal needle, polyester thread",
	    "- needle: universal needle|blade: 80 needle metric", ""},
	{"polyester dress with cotton thread", "garment: dress|fibre: polyester", ""},
	{"jacket with metal zip", "- zip: metal zip", ""},
	{"cotton shirt, flat buttons 12 mm across and 2 mm thick, 15 mm machine buttonholes",
	    "diameter-across: 12 mm|height: 2 mm|buttonhole.length: 15 mm", ""},
	{"dress in velvet, no buttons, without a zip", "without: [button, zip]", ""},
	{"coat, strong", "garment: coat", "strong"},
	{"jacket for the prompter, in puce", "garment: jacket", "prompter puce"},
	{"iron-on interfacing, poplin shirt", "- interfacing: ", ""},
	{"sleeveless dress that drapes well", "garment: dress|shape: flowing", ""},
};

/* Does the line stand in the text by itself, or begin one when it ends in a blank? */
static bool
has_line(const char *text, const char *line, size_t n)
{
	while (*text != '\0') {
		size_t len;

		text += strspn(text, " ");
		len = strcspn(text, "\n");
		if ((len == n || (len > n && n > 0 && line[n - 1] == ' ')) && strncmp(text, line,
		    n) == 0)
			return true;
		text += len + (text[len] != '\0');
	}
	return false;
}

START_TEST(shipped_words_are_understood)
{
	const char *line = phrases[_i].lines, *culprit;
	struct source *src = source_new(arena, "<words>", sv(phrases[_i].words));
	struct buf b = {0}, unused_words = {0}, again = {0};
	struct project *p, *q;

	diags_init(&complaints, arena);
	p = project_from_words(arena, kb, src, &complaints);
	ck_assert_ptr_nonnull(p);
	ck_assert_msg(project_check(kb, p, &culprit), "%s", culprit);
	project_print(&b, kb, p);
	while (*line != '\0') {
		size_t n = strcspn(line, "|");

		ck_assert_msg(has_line(b.p, line, n), "\"%s\": no %.*s in\n%s",
		    phrases[_i].words, (int)n, line, b.p);
		line += n + (line[n] != '\0');
	}
	buf_add(&unused_words, "", 0);
	for (uint32_t i = 0; i < p->n_uses; i++)
		if (p->uses[i].use == USED_NOT) {
			if (unused_words.n > 0)
				buf_char(&unused_words, ' ');
			buf_add(&unused_words, src->text.p + p->uses[i].place.at,
			    p->uses[i].place.n);
		}
	ck_assert_msg(strcmp(unused_words.p, phrases[_i].unused) == 0, "\"%s\" leaves \"%s\"",
	    phrases[_i].words, unused_words.p);
	diags_init(&complaints, arena);
	q = project_from_yaml(arena, kb, source_new(arena, "x.yaml", (strview){b.p, b.n}),
	    &complaints);
	ck_assert_msg(q != NULL, "not read back:\n%s", b.p);
	project_print(&again, kb, q);
	ck_assert_str_eq(again.p, b.p);
	buf_free(&b);
	buf_free(&again);
	buf_free(&unused_words);
}
END_TEST

int
main(void)
{
	Suite *s = suite_create("phrases");
	TCase *t = tcase_create("phrases");
	SRunner *r;
	int failed;

	unused();
	(void)say_nothing;
	(void)kb_from;
	tcase_add_unchecked_fixture(t, open_built, kb_done);
	tcase_add_loop_test(t, shipped_words_are_understood, 0,
	    (int)(sizeof phrases / sizeof *phrases));
	suite_add_tcase(s, t);
	r = srunner_create(s);
	srunner_run_all(r, CK_ENV);
	failed = srunner_ntests_failed(r);
	srunner_free(r);
	return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
