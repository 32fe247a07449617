/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The readers of projects: plain words, files, changes, and back to text.
 *
 * A row says what a person writes and the project file that must come of it,
 * on a small knowledge base of its own (kb-words).
 */
#include "said.h"

static struct project *
read_words(const char *text)
{
	diags_init(&complaints, arena);
	return project_from_words(arena, kb, source_new(arena, "<words>", sv(text)), &complaints);
}

static struct project *
read_yaml(const char *text)
{
	diags_init(&complaints, arena);
	return project_from_yaml(arena, kb, source_new(arena, "x.yaml", sv(text)), &complaints);
}

static const char *
printed(const struct project *p)
{
	struct buf b = {0};
	const char *t;

	project_print(&b, kb, p);
	t = arena_text(arena, b.p, b.n);
	buf_free(&b);
	return t;
}

static void
ck_whole(const struct project *p)
{
	const char *culprit;

	ck_assert_msg(project_check(kb, p, &culprit), "%s", culprit);
}

/* What is written of a project reads back to the same project. */
static void
ck_round(const struct project *p)
{
	const char *once = printed(p);
	struct diags kept = complaints;
	struct project *q = read_yaml(once);

	ck_assert_msg(q != NULL, "not read back:\n"
	    "%s%s", once, complaints.n > 0 ? complaints.d[0].message : "");
	ck_assert_str_eq(printed(q), once);
	complaints = kept;
}

/* "unknown-word 1:5" for each complaint, parted by "; ". */
static const char *
complained(void)
{
	struct buf b = {0};
	const char *t;

	buf_add(&b, "", 0);
	for (size_t i = 0; i < complaints.n; i++) {
		uint32_t line, column;

		place_line_column(complaints.d[i].place, &line, &column);
		buf_print(&b, "%s%s %u:%u", i > 0 ? "; " : "", diag_name(complaints.d[i].id),
		    (unsigned)line, (unsigned)column);
	}
	t = arena_text(arena, b.p, b.n);
	buf_free(&b);
	return t;
}

/* ---- plain words ------------------------------------------------------------- */

static const struct { const char *words, *project; } said_so[] = {
	{"cotton poplin shirt",
	    "garment: shirt\n"
	    "materials:\n"
	    "  - shell: cotton poplin\n"},
	{"boxed-patch pockets, Patch  Pocket",
	    "features:\n"
	    "  - feature: boxed patch pocket\n"
	    "  - feature: patch pocket\n"},
	{"shirt in poplin, lined in silk",
	    "garment: shirt\n"
	    "materials:\n"
	    "  - shell: cotton poplin\n"
	    "  - lining: unknown\n"
	    "    fibre: silk\n"},
	{"silk chiffon dress",
	    "garment: dress\n"
	    "materials:\n"
	    "  - shell: chiffon\n"
	    "    fibre: silk\n"},
	{"wool 80 %, silk 20 % flannel coat",
	    "garment: coat\n"
	    "materials:\n"
	    "  - shell: wool flannel\n"
	    "    fibre: \"wool 80 %, silk 20 %\"\n"},
	{"80% wool 20% silk coat",
	    "garment: coat\n"
	    "materials:\n"
	    "  - shell: unknown\n"
	    "    fibre: \"wool 80 %, silk 20 %\"\n"},
	{"jersey, 95 % cotton 5 % elastane",
	    "materials:\n"
	    "  - shell: jersey\n"
	    "    fibre: \"cotton 95 %, elastane 5 %\"\n"},
	{"cotton with 5 % elastane jersey dress",
	    "garment: dress\n"
	    "materials:\n"
	    "  - shell: jersey\n"
	    "    fibre: \"cotton, elastane 5 %\"\n"},
	{"cotton shirt in poplin",
	    "garment: shirt\n"
	    "materials:\n"
	    "  - shell: cotton poplin\n"
	    "    fibre: cotton\n"},
	{"denim jacket with linen lining",
	    "garment: jacket\n"
	    "materials:\n"
	    "  - shell: denim\n"
	    "  - lining: linen\n"},
	{"interfaced with fusible interfacing, denim bag",
	    "garment: bag\n"
	    "materials:\n"
	    "  - interfacing: fusible web\n"
	    "  - shell: denim\n"},
	{"light poplin shirt",
	    "garment: shirt\n"
	    "materials:\n"
	    "  - shell: cotton poplin\n"
	    "    weight: light\n"},
	{"light coat",
	    "garment: coat\n"
	    "materials:\n"
	    "  - shell: unknown\n"
	    "    weight: light\n"},
	{"heavy thread, denim bag",
	    "garment: bag\n"
	    "materials:\n"
	    "  - shell: denim\n"
	    "  - thread: unknown\n"
	    "    size: heavy\n"},
	{"two boxed patch pockets and 3 patch pockets",
	    "features:\n"
	    "  - feature: boxed patch pocket\n"
	    "    count: 2\n"
	    "  - feature: patch pocket\n"
	    "    count: 3\n"},
	{"7 buttons",
	    "materials:\n"
	    "  - button: horn button\n"
	    "    count: 7\n"},
	{"90/14 needle",
	    "materials:\n"
	    "  - needle: unknown\n"
	    "    blade: 90 needle metric\n"},
	{"tex 40 thread",
	    "materials:\n"
	    "  - thread: unknown\n"
	    "    size: 40 tex\n"},
	{"tex 40",
	    "settings:\n"
	    "  - thread.size: 40 tex\n"},
	{"16 mm silk satin",
	    "materials:\n"
	    "  - shell: satin\n"
	    "    thickness: 16 mm\n"},
	{"linen 180 g/m2, lining 60 g/m2",
	    "materials:\n"
	    "  - shell: linen\n"
	    "    weight: 180 g/m2\n"
	    "  - lining: unknown\n"
	    "    weight: 60 g/m2\n"},
	{"seam allowance 1.5 cm, 3 mm stitch",
	    "settings:\n"
	    "  - operation.seam.allowance: 1.5 cm\n"
	    "  - stitch.length: 3 mm\n"},
	{"topstitching 6 mm",
	    "operations:\n"
	    "  - operation: topstitch\n"
	    "    topstitch.distance: 6 mm\n"},
	{"horn button 25 mm across",
	    "materials:\n"
	    "  - button: horn button\n"
	    "    diameter-across: 25 mm\n"},
	{"18 cm fly-front zip",
	    "features:\n"
	    "  - feature: fly-front zip\n"
	    "    length: 18 cm\n"},
	{"unlined coat, no zip, without pockets",
	    "garment: coat\n"
	    "lined: no\n"
	    "without: [patch pocket, lining, zip]\n"},
	{"denim, not preshrunk",
	    "materials:\n"
	    "  - shell: denim\n"
	    "    preshrink: nothing\n"},
	{"preshrunk denim",
	    "materials:\n"
	    "  - shell: denim\n"
	    "    preshrink: steam or soak\n"},
	{"ravels badly",
	    "materials:\n"
	    "  - shell: unknown\n"
	    "    ravel: strong\n"},
	{"loose linen jacket",
	    "garment: jacket\n"
	    "fit: loose\n"
	    "materials:\n"
	    "  - shell: linen\n"},
	{"loose linen",
	    "fit: loose\n"
	    "materials:\n"
	    "  - shell: linen\n"},
	{"soft linen",
	    "materials:\n"
	    "  - shell: linen\n"
	    "    drape: soft\n"
	    "    hand: soft\n"},
	{"coat for a child",
	    "garment: coat\n"
	    "wearer: child\n"},
	{"what needle for silk chiffon",
	    "materials:\n"
	    "  - shell: chiffon\n"
	    "    fibre: silk\n"
	    "asked: needle.size\n"},
	{"which needle for the patch pocket",
	    "features:\n"
	    "  - feature: patch pocket\n"
	    "asked: needle.size\n"
	    "asked at: patch pocket\n"},
	{"denim jacket topstitched with a 100/16 jeans needle, 80/12 universal needle",
	    "garment: jacket\n"
	    "materials:\n"
	    "  - shell: denim\n"
	    "  - needle: universal needle\n"
	    "    blade: 80 needle metric\n"
	    "operations:\n"
	    "  - operation: topstitch\n"
	    "    needle.size: 100 needle metric\n"
	    "    needle.point: jeans needle\n"},
	{"denim jacket topstitched in tex 60",
	    "garment: jacket\n"
	    "materials:\n"
	    "  - shell: denim\n"
	    "  - topstitching thread: unknown\n"
	    "    size: 60 tex\n"},
	{"French seams",
	    "settings:\n"
	    "  - seam.kind: French seam\n"},
	{"dress with a rolled hem",
	    "garment: dress\n"
	    "settings:\n"
	    "  - hem.kind: rolled hem\n"},
	{"linen, 5 mm",
	    "materials:\n"
	    "  - shell: linen\n"
	    "    thickness: 5 mm\n"},
	{"denim 300 g/m2, weight 500 g/m2",
	    "materials:\n"
	    "  - shell: denim\n"
	    "    weight: 300-500 g/m2\n"},
	{"cotton poplim shirt",
	    "garment: shirt\n"
	    "materials:\n"
	    "  - shell: cotton poplin\n"},
	{"fly-front zipp on a jaket",
	    "garment: jacket\n"},
	{"metal zip in a denim jacket",
	    "garment: jacket\n"
	    "materials:\n"
	    "  - zip: metal zip\n"
	    "  - shell: denim\n"},
	{"household machine",
	    "machine:\n"
	    "  class: household\n"},
	{"coat dress",
	    "garment: dress\n"},
	{"dress and coat",
	    "garment: dress\n"},
	{"under 200 g/m2 linen",
	    "materials:\n"
	    "  - shell: linen\n"
	    "    weight: under 200 g/m2\n"},
	{"linen between 100 and 150 g/m²",
	    "materials:\n"
	    "  - shell: linen\n"
	    "    weight: 100-150 g/m2\n"},
	{"linen width 150 cm",
	    "materials:\n"
	    "  - shell: linen\n"
	    "    width: 150 cm\n"},
	{"1/2\" seam allowance",
	    "settings:\n"
	    "  - operation.seam.allowance: 0.5 in\n"},
	{"linen 99999 g/m2",
	    "materials:\n"
	    "  - shell: linen\n"},
	{"the garment is a bag",
	    "garment: bag\n"},
	{"child's shirt",
	    "garment: shirt\n"
	    "wearer: child\n"},
	{"topstitched with a 90/14 needle, horn buttons",
	    "materials:\n"
	    "  - button: horn button\n"
	    "operations:\n"
	    "  - operation: topstitch\n"
	    "    needle.size: 90 needle metric\n"},
	{"linen, 16 momme",
	    "materials:\n"
	    "  - shell: linen\n"
	    "    weight: 16 momme\n"},
	{"strong fraying, denim",
	    "materials:\n"
	    "  - shell: denim\n"
	    "    ravel: strong\n"},
	{"3 mm stitch and 1 cm seam allowance",
	    "settings:\n"
	    "  - stitch.length: 3 mm\n"
	    "  - operation.seam.allowance: 1 cm\n"},
	{"denim jacket with a lining and an interfacing",
	    "garment: jacket\n"
	    "materials:\n"
	    "  - shell: denim\n"
	    "  - lining: unknown\n"
	    "  - interfacing: unknown\n"},
};

START_TEST(words_become_a_project)
{
	struct project *p = read_words(said_so[_i].words);

	ck_assert_ptr_nonnull(p);
	ck_whole(p);
	ck_assert_str_eq(printed(p), said_so[_i].project);
	ck_round(p);
}
END_TEST

/* What is noted, and which words count as unused ("" when all were used). */
static const struct { const char *words, *notes, *unused; } noted[] = {
	{"cotton poplin shirt", "", ""},
	{"cotton poplim shirt", "said-misspelt 1:8", ""},
	{"a jaket, popln", "said-misspelt 1:3; said-misspelt 1:10", ""},
	{"glorious denim bag", "said-unknown 1:1", "glorious"},
	{"denim bag, denmi", "said-misspelt 1:12", ""},
	{"coat, jacket", "said-another 1:7", "jacket"},
	{"linen 99999 g/m2", "said-cannot-be 1:7", "99999 g m2"},
	{"bag, 5 cm", "said-unmeasured 1:6", "5 cm"},
	{"denim 300 g/m2, 500 g/m2", "said-twice 1:17", ""},
	{"light poplin, 140 g/m2", "said-less 1:1", "light"},
	{"strong coat", "said-unused 1:1", "strong"},
	{"across the bag", "said-unused 1:1", "across"},
	{"no thing", "said-unused 1:1", "no thing"},
	{"strong fraying, denim", "", ""},
	{"xy", "said-unknown 1:1", "xy"},
};

START_TEST(unused_words_are_told)
{
	struct project *p = read_words(noted[_i].words);
	struct buf b = {0};

	ck_assert_ptr_nonnull(p);
	ck_assert_str_eq(complained(), noted[_i].notes);
	buf_add(&b, "", 0);
	for (uint32_t i = 0; i < p->n_uses; i++) {
		struct place at = p->uses[i].place;

		if (p->uses[i].use != USED_NOT)
			continue;
		if (b.n > 0)
			buf_char(&b, ' ');
		buf_add(&b, at.src->text.p + at.at, at.n);
	}
	ck_assert_str_eq(b.p, noted[_i].unused);
	buf_free(&b);
}
END_TEST

START_TEST(near_names_are_offered)
{
	read_words("shirt in popl");
	ck_assert_str_eq(complained(), "said-unknown 1:10");
	ck_assert_str_eq(complaints.d[0].near, "");
	read_words("sirt");
	ck_assert_str_eq(complaints.d[0].near, "did you mean shirt?");
}
END_TEST

/* A short word a letter away may well be another word. */
START_TEST(short_words_are_not_guessed)
{
	ck_assert_str_eq(printed(read_words("dert bat")), "materials: []\n");
	ck_assert_str_eq(complained(), "said-unknown 1:1; said-unknown 1:6");
}
END_TEST

START_TEST(text_without_words_is_an_error)
{
	ck_assert_ptr_null(read_words(""));
	ck_assert_str_eq(complained(), "said-nothing 1:1");
	ck_assert_ptr_null(read_words(" , . \n"));
	ck_assert_str_eq(complained(), "said-nothing 1:1");
	ck_assert_ptr_null(read_words("coat \xff"));
	ck_assert_str_eq(complained(), "not-utf8 1:6");
	ck_assert_ptr_null(read_words("coat \033[1m"));
	ck_assert_str_eq(complained(), "control-character 1:6");
}
END_TEST

START_TEST(contradictions_are_counted_and_kept)
{
	struct project *p = read_words("denim 300 g/m2, weight 500 g/m2");

	ck_assert_uint_eq(p->conflicts, 1);
	ck_assert_uint_eq(p->n_values, 2);
	ck_assert_uint_eq(read_words("denim 300 g/m2, about 310 g/m2")->conflicts, 0);
}
END_TEST

START_TEST(tokens_tell_what_they_were_taken_for)
{
	struct buf b = {0};

	project_tokens(&b, kb, read_words("poplin shirt with pockts"));
	ck_assert_str_eq(b.p,
	    "1:1\tpoplin\tused\tfabric: cotton poplin\n"
	    "1:8\tshirt\tused\tgarment: shirt\n"
	    "1:14\twith\tjoins\n"
	    "1:19\tpockts\tused\tfeature: patch pocket\n");
	buf_free(&b);
}
END_TEST

/* ---- changes ---------------------------------------------------------------------- */

/* From the project of the first words, step by step. */
static const struct { const char *words, *project; } steps[] = {
	{"unlined jacket in light cotton poplin with a fly-front zip and two boxed patch pockets, "
	    "90/14 needle",
	    "garment: jacket\nlined: no\nmaterials:\n  - shell: cotton poplin\n    weight: light\n"
	    "  - needle: unknown\n    blade: 90 needle metric\nfeatures:\n  - feature: fly-front "
	    "zip\n"
	    "  - feature: boxed patch pocket\n    count: 2\nwithout: [lining]\n"},
	{"make it chiffon",
	    "garment: jacket\nlined: no\nmaterials:\n  - shell: chiffon\n"
	    "  - needle: unknown\n    blade: 90 needle metric\nfeatures:\n  - feature: fly-front "
	    "zip\n"
	    "  - feature: boxed patch pocket\n    count: 2\nwithout: [lining]\n"},
	{"80/12 needle",
	    "garment: jacket\nlined: no\nmaterials:\n  - shell: chiffon\n"
	    "  - needle: unknown\n    blade: 80 needle metric\nfeatures:\n  - feature: fly-front "
	    "zip\n"
	    "  - feature: boxed patch pocket\n    count: 2\nwithout: [lining]\n"},
	{"drop the zip",
	    "garment: jacket\nlined: no\nmaterials:\n  - shell: chiffon\n"
	    "  - needle: unknown\n    blade: 80 needle metric\nfeatures:\n"
	    "  - feature: boxed patch pocket\n    count: 2\nwithout: [lining, zip]\n"},
	{"lined in silk",
	    "garment: jacket\nmaterials:\n  - shell: chiffon\n"
	    "  - needle: unknown\n    blade: 80 needle metric\n  - lining: unknown\n    fibre: "
	    "silk\nfeatures:\n"
	    "  - feature: boxed patch pocket\n    count: 2\nwithout: [zip]\n"},
	{"add a fly-front zip",
	    "garment: jacket\nmaterials:\n  - shell: chiffon\n"
	    "  - needle: unknown\n    blade: 80 needle metric\n  - lining: unknown\n    fibre: "
	    "silk\nfeatures:\n"
	    "  - feature: boxed patch pocket\n    count: 2\n  - feature: fly-front zip\n"},
	{"no lining, no pockets",
	    "garment: jacket\nmaterials:\n  - shell: chiffon\n"
	    "  - needle: unknown\n    blade: 80 needle metric\nfeatures:\n"
	    "  - feature: fly-front zip\nwithout: [patch pocket, lining]\n"},
	{"linen 200 g/m2, 3 mm stitch",
	    "garment: jacket\nmaterials:\n  - shell: linen\n    weight: 200 g/m2\n"
	    "  - needle: unknown\n    blade: 80 needle metric\nfeatures:\n"
	    "  - feature: fly-front zip\nwithout: [patch pocket, lining]\nsettings:\n  - "
	    "stitch.length: 3 mm\n"},
	{"not preshrunk, 2 mm stitch",
	    "garment: jacket\nmaterials:\n  - shell: linen\n    weight: 200 g/m2\n    preshrink: "
	    "nothing\n"
	    "  - needle: unknown\n    blade: 80 needle metric\nfeatures:\n"
	    "  - feature: fly-front zip\nwithout: [patch pocket, lining]\nsettings:\n  - "
	    "stitch.length: 2 mm\n"},
	/* What was known of the old cloth goes, what was done to it stays. */
	{"make it denim",
	    "garment: jacket\nmaterials:\n  - shell: denim\n    preshrink: nothing\n"
	    "  - needle: unknown\n    blade: 80 needle metric\nfeatures:\n"
	    "  - feature: fly-front zip\nwithout: [patch pocket, lining]\nsettings:\n  - "
	    "stitch.length: 2 mm\n"},
	{"coat, jeans needle",
	    "garment: coat\nmaterials:\n  - shell: denim\n    preshrink: nothing\n"
	    "  - needle: jeans needle\nfeatures:\n"
	    "  - feature: fly-front zip\nwithout: [patch pocket, lining]\nsettings:\n  - "
	    "stitch.length: 2 mm\n"},
};

START_TEST(changes_are_laid_over_the_old)
{
	struct project *p = read_words(steps[0].words);

	ck_assert_str_eq(printed(p), steps[0].project);
	for (size_t i = 1; i < sizeof steps / sizeof *steps; i++) {
		const char *before = printed(p);
		struct project *q;

		diags_init(&complaints, arena);
		q = project_changed(arena, kb, p, source_new(arena, "<words>", sv(steps[i].words)),
		    &complaints);
		ck_assert_ptr_nonnull(q);
		ck_whole(q);
		ck_assert_str_eq(complained(), "");
		ck_assert_msg(strcmp(printed(q), steps[i].project) == 0, "%s gives\n%s",
		    steps[i].words, printed(q));
		ck_assert_str_eq(printed(p), before);
		ck_round(q);
		p = q;
	}
}
END_TEST

START_TEST(a_change_of_nothing_says_so)
{
	struct project *p = read_words("denim coat"), *q;

	diags_init(&complaints, arena);
	q = project_changed(arena, kb, p, source_new(arena, "<words>", SV("oops")), &complaints);
	ck_assert_str_eq(complained(), "said-unknown 1:1; change-nothing 1:1");
	ck_assert_str_eq(printed(q), printed(p));
}
END_TEST

/* ---- files --------------------------------------------------------------------------- */

static const char whole_file[] =
    "project: Lock-keeper's coat\n"
    "garment: coat\n"
    "wearer: adult\n"
    "materials:\n"
    "  - shell: wool flannel\n"
    "    preshrink: steam\n"
    "    fibre: \"wool 80 %, silk 20 %\"\n"
    "  - contrast: unknown\n"
    "    weight: light\n"
    "    drape: firm or soft\n"
    "    width: 150 cm\n"
    "  - lining: unknown\n"
    "    fibre: silk\n"
    "  - thread: spun polyester thread\n"
    "    size: 30 tex\n"
    "  - needle: unknown\n"
    "    blade: 80 needle metric\n"
    "  - zip: metal zip\n"
    "features:\n"
    "  - feature: boxed patch pocket\n"
    "    count: 2\n"
    "  - feature: fly-front zip\n"
    "    length: 18 cm\n"
    "operations:\n"
    "  - operation: topstitch\n"
    "    topstitch.distance: 6 mm\n"
    "without: [dart, interfacing, button]\n"
    "settings:\n"
    "  - needle.size: 90 needle metric\n"
    "  - stitch.length: 3 mm\n"
    "    at: fly-front zip\n"
    "  - hem.kind: rolled hem\n"
    "measured:\n"
    "  - shell.weight: 272 g/m2\n"
    "  - garment.girth: 104 cm\n"
    "machine:\n"
    "  class: household\n"
    "  takes: 5 mm\n"
    "asked: needle.size\n"
    "asked at: topstitch\n";

START_TEST(a_file_reads_and_prints_the_same)
{
	struct project *p = read_yaml(whole_file);

	ck_assert_str_eq(complained(), "");
	ck_assert_ptr_nonnull(p);
	ck_whole(p);
	ck_assert_str_eq(printed(p), whole_file);
}
END_TEST

/* Other ways of writing the same. */
static const struct { const char *yaml, *project; } written[] = {
	{"garment: {is: coat, fit: loose}\n", "garment: coat\nfit: loose\n"},
	{"materials: [denim, {shell: flax, share: }]\n", NULL},
	{"materials:\n  - linen fibre\n", "materials:\n  - material: unknown\n    fibre: linen "
	    "fibre\n"},
	{"materials:\n  - needle: 80/12\n  - needle: {is: universal, blade: 70}\n",
	    "materials:\n  - needle: unknown\n    blade: 80 needle metric\n"
	    "  - needle: universal needle\n    blade: 70 needle metric\n"},
	{"materials:\n  - Shell: Cotton  POPLIN\n    Weight: about 100 g/m²\n",
	    "materials:\n  - shell: cotton poplin\n    weight: 90-110 g/m2\n"},
	{"features:\n  - patch-pocket: {length: 6 in}\n", "features:\n  - feature: patch pocket\n "
	    "   length: 6 in\n"},
	{"settings: {needle.size: 90/14}\n", "settings:\n  - needle.size: 90 needle metric\n"},
	{"settings:\n  - needle.size: 90/14\n    at: needle\nmaterials: [{needle: universal}]\n",
	    "materials:\n  - needle: universal needle\nsettings:\n  - needle.size: 90 needle "
	    "metric\n"
	    "    at: universal needle\n"},
	{"without: buttons\n", "without: [button]\n"},
	{"machine: industrial\n", "machine:\n  class: industrial\n"},
	{"drape: soft\n", NULL},
	{"materials:\n  - shell: unknown\n    ravel: slight to strong\n    weight: unknown\n",
	    "materials:\n  - shell: unknown\n    ravel: slight or moderate or strong\n    weight: "
	    "unknown\n"},
	/* what was measured stands before what was believed */
	{"materials:\n  - shell: denim\n    weight: 300 g/m2\nmeasured:\n  - shell.weight: 340 "
	    "g/m2\n",
	    "materials:\n  - shell: denim\nmeasured:\n  - shell.weight: 340 g/m2\n"},
	{"notes: {any: [thing, at, all]}\ngarment: bag\n", "garment: bag\n"},
};

START_TEST(files_may_be_written_otherwise)
{
	struct project *p = read_yaml(written[_i].yaml);

	if (written[_i].project == NULL) {
		ck_assert_ptr_null(p);
		return;
	}
	ck_assert_str_eq(complained(), "");
	ck_whole(p);
	ck_assert_str_eq(printed(p), written[_i].project);
	ck_round(p);
}
END_TEST

static const struct { const char *yaml, *complaint; } wrong[] = {
	{"- coat\n", "project-shape 1:1"},
	{"garmnt: coat\n", "project-key 1:1"},
	{"garment: coot\n", "project-name 1:10"},
	{"garment: [coat]\n", "project-shape 1:10"},
	{"wearer: adlt\n", "project-value-words 1:9"},
	{"fit: close to lose\n", "project-value-words 1:15"},
	{"fit: loose to close\n", "project-value-order 1:6"},
	{"lined: maybe\n", "project-value-words 1:8"},
	{"materials: denim\n", "project-shape 1:12"},
	{"materials:\n  - shel: denim\n", "project-name 2:5"},
	{"materials:\n  - shell: dennim\n", "project-name 2:12"},
	{"materials:\n  - shell: button band\n", "project-name 2:12"},
	{"materials:\n  - shell: denim\n    weigth: 200 g/m2\n", "project-key 3:5"},
	{"materials:\n  - shell: denim\n    weight: 200 tex\n", "project-value-other 3:17"},
	{"materials:\n  - shell: denim\n    weight: many\n", "project-value-number 3:13"},
	{"materials:\n  - shell: denim\n    weight: 200 blurbs\n", "project-value-no-unit 3:17"},
	{"materials:\n  - shell: denim\n    weight: 2 g/m2\n", "project-value-domain 3:13"},
	{"materials:\n  - shell: denim\n    weight: 300-200 g/m2\n", "project-value-order 3:13"},
	{"materials:\n  - shell: denim\n    weight: 1,500\n", "project-value-bad 3:13"},
	{"materials:\n  - shell: denim\n    weight: 200 g/m2 dry\n", "project-value-trailing 3:22"},
	{"materials:\n  - shell: denim\n    width: 150\n", "project-value-unit 3:12"},
	{"materials:\n  - shell: denim\n    width: 150 mm\n", "project-value-not-taken 3:16"},
	{"materials:\n  - shell: denim\n    weight: [1, 2]\n", "project-shape 3:13"},
	{"materials:\n  - shell: denim\n    fibre: cottn 80 %\n", "project-name 3:12"},
	{"materials:\n  - shell: denim\n    fibre: cotton 80 g/m2\n", "project-value-other 3:22"},
	{"materials:\n  - button: horn button\n    count: many\n", "project-count 3:12"},
	{"features:\n  - boxed pach pocket\n", "project-name 2:5"},
	{"features:\n  - dart: 18 cm\n", "project-shape 2:11"},
	{"features:\n  - feature: dart\n    cloth: shell\n", "project-key 3:5"},
	{"without: [nothing]\n", "project-name 1:11"},
	{"settings:\n  - needle.sise: 80\n", "project-name 2:5"},
	{"settings:\n  - stitch.length: 3 mm\n    at: moon\n", "project-no-such 3:9"},
	{"settings:\n  - stitch.length: 3 mm\n  - stitch.length: 2 mm\n", "project-two-values "
	    "3:20"},
	{"settings:\n  - thread.size: 30 tex\n    at: topstitch\n  - thread.size: 40\n    at: "
	    "topstitch\n",
	    "project-two-values 4:18"},
	{"measured:\n  - shell.weight: 272 g/m2\n", "project-no-such 2:5"},
	{"materials: [denim]\nmeasured:\n  - shell.wight: 272 g/m2\n", "project-key 3:5"},
	{"machine: industral\n", "project-value-words 1:10"},
	{"garment: coat\ngarment: bag\n", "duplicate-key 2:1"},
	{"garment: &a coat\n", "yaml-anchor 1:10"},
	{"asked: moon\n", "project-name 1:8"},
	/* all that is wrong is told, in the order of the file */
	{"fit: lose\nwearer: nobody\ngarment: coot\nmachine: {takes: 5 tex}\n",
	    "project-value-words 1:6; project-value-words 2:9; project-name 3:10; "
	    "project-value-other 4:20"},
};

START_TEST(what_is_wrong_in_a_file_is_told)
{
	struct project *p = read_yaml(wrong[_i].yaml);

	ck_assert_str_eq(complained(), wrong[_i].complaint);
	ck_assert_ptr_null(p);
}
END_TEST

START_TEST(both_places_of_two_values_are_named)
{
	read_yaml("settings:\n  - needle.size: 80\n  - needle.size: 90\n");
	ck_assert_str_eq(complaints.d[0].message,
	    "needle size has two values; the first stands in line 2, column 18");
	read_yaml("garment: jaket\n");
	ck_assert_str_eq(complaints.d[0].near, "did you mean jacket?");
}
END_TEST

/* A file says by its content what it is; a name that ends so is believed first. */
static const struct { const char *content; bool yaml; } kinds[] = {
	{"garment: coat\n", true},
	{"# remark\n\n---\ngarment: coat\n", true},
	{"{garment: coat}\n", true},
	{"a coat\n", false},
	{"coat, with a zip: metal\n", false},
	{"\n  a coat\n", false},
};

START_TEST(either_kind_of_file_is_read)
{
	char path[] = "check-file-XXXXXX";
	int fd = mkstemp(path);
	size_t n = strlen(kinds[_i].content);
	struct project *p;

	ck_assert_int_ge(fd, 0);
	ck_assert_int_eq(write(fd, kinds[_i].content, n), (intmax_t)n);
	close(fd);
	diags_init(&complaints, arena);
	p = project_read(arena, kb, path, &complaints);
	unlink(path);
	ck_assert_ptr_nonnull(p);
	ck_assert_uint_eq(p->n_things > 0 ? p->things[0].kind : NO16, kind_find(craft,
	    SV("garment")));
	ck_assert_int_eq(p->n_uses == 0, kinds[_i].yaml);
	ck_assert_ptr_null(project_read(arena, kb, "no such file", &complaints));
}
END_TEST

/* ---- anything at all --------------------------------------------------------------------- */

static uint64_t
roll(uint64_t *seed)
{
	*seed ^= *seed << 13;
	*seed ^= *seed >> 7;
	*seed ^= *seed << 17;
	return *seed;
}

/* Words of the lexicon, odds and ends, whole and spoilt, in any order. */
START_TEST(no_soup_of_words_is_too_much)
{
	static const char *const odd[] = {
		"80/12", "tex 40", "1 3/8 in", "110-130 g/m²", "under", "about", "between 3 and",
		"½", "5/8\"", "50 %", "%", "/", "-", "--", ",", ";", ".", "&", "+", "'", "\"",
		"999999999999", "1e9", "0", "-5 mm", "3-", "#", "0/0", "日本", "\xe2\x80\xae", "é",
		"x-y-z-w-v-u-t", "to", "..", "80/13", "12,5", "1,500", "🪡",
	};
	uint64_t seed = 0x9e3779b97f4a7c15u;
	struct arena *scratch = arena_new();
	struct buf b = {0}, out = {0};

	for (int n = 0; n < 20000; n++) {
		size_t words = 1 + roll(&seed) % (n % 50 == 0 ? 60 : 9);
		struct project *p, *q;
		struct diags ds;
		const char *culprit;

		arena_reset(scratch);
		buf_clear(&b);
		diags_init(&ds, scratch);
		while (words-- > 0) {
			uint64_t what = roll(&seed);

			if (what % 5 == 0)
				buf_str(&b, odd[(what >> 8) % (sizeof odd / sizeof *odd)]);
			else
				buf_str(&b, craft_text(craft,
				    craft->name[(what >> 8) % craft->n_name].written));
			if (what % 11 == 0 && b.n > 1 && (b.p[b.n - 1] & 0x80) == 0)
				b.p[--b.n] = '\0';
			buf_str(&b, what % 7 == 0 ? ", " : what % 13 == 0 ? "-" : " ");
		}
		p = project_from_words(scratch, kb, source_new(scratch, "<words>", (strview){b.p,
		    b.n}), &ds);
		if (p == NULL)
			continue;              /* nothing but signs */
		ck_assert_msg(project_check(kb, p, &culprit), "%s: %s", b.p, culprit);
		buf_clear(&out);
		project_print(&out, kb, p);
		diags_init(&ds, scratch);
		q = project_from_yaml(scratch, kb, source_new(scratch, "x", (strview){out.p,
		    out.n}), &ds);
		ck_assert_msg(q != NULL, "%s\n%s\n%s", b.p, out.p, ds.n > 0 ? ds.d[0].message : "");
		buf_clear(&out);
		q = project_changed(scratch, kb, q, p->source, &ds);
		ck_assert_msg(q != NULL && project_check(kb, q, &culprit), "%s: %s", b.p, culprit);
	}
	buf_free(&b);
	buf_free(&out);
	arena_free(scratch);
}
END_TEST

static void
setup(void)
{
	kb_from("tests/unit/kb-words/kb", "tests/unit/kb-words/rules");
}

#define ROWS(t) (int)(sizeof t / sizeof *t)

int
main(void)
{
	Suite *s = suite_create("project");
	TCase *words = tcase_create("words"), *files = tcase_create("files"), *soup =
	    tcase_create("soup");
	SRunner *r = srunner_create(s);
	int failed;

	unused();
	(void)say_nothing;
	tcase_add_unchecked_fixture(words, setup, kb_done);
	tcase_add_unchecked_fixture(files, setup, kb_done);
	tcase_add_unchecked_fixture(soup, setup, kb_done);
	tcase_add_loop_test(words, words_become_a_project, 0, ROWS(said_so));
	tcase_add_loop_test(words, unused_words_are_told, 0, ROWS(noted));
	tcase_add_test(words, near_names_are_offered);
	tcase_add_test(words, short_words_are_not_guessed);
	tcase_add_test(words, text_without_words_is_an_error);
	tcase_add_test(words, contradictions_are_counted_and_kept);
	tcase_add_test(words, tokens_tell_what_they_were_taken_for);
	tcase_add_test(words, changes_are_laid_over_the_old);
	tcase_add_test(words, a_change_of_nothing_says_so);
	tcase_add_test(files, a_file_reads_and_prints_the_same);
	tcase_add_loop_test(files, files_may_be_written_otherwise, 0, ROWS(written));
	tcase_add_loop_test(files, what_is_wrong_in_a_file_is_told, 0, ROWS(wrong));
	tcase_add_loop_test(files, either_kind_of_file_is_read, 0, ROWS(kinds));
	tcase_add_test(files, both_places_of_two_values_are_named);
	tcase_add_test(soup, no_soup_of_words_is_too_much);
	tcase_set_timeout(soup, 600);
	suite_add_tcase(s, words);
	suite_add_tcase(s, files);
	suite_add_tcase(s, soup);
	srunner_run_all(r, CK_NORMAL);
	failed = srunner_ntests_failed(r);
	srunner_free(r);
	return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
