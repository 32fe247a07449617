/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Materials lists as spreadsheets write them: separators, encodings, quotes,
 * headings in any order and wording, units in cells and in headings, several
 * things to be sewn in one file; and what is said where one cannot be read.
 * All lists are of the demo scenario.
 */
#include "said.h"

static struct project_list *
read_list(const char *p, size_t n)
{
	diags_init(&complaints, arena);
	return projects_from_list(arena, kb, "list.csv", (strview){p, n}, &complaints);
}

static const char *
printed(const struct project *p)
{
	struct buf b = {0};
	const char *kept;

	project_print(&b, kb, p);
	kept = arena_text(arena, b.p != NULL ? b.p : "", b.n);
	buf_free(&b);
	return kept;
}

/* Each line of LINES (parted by |) stands in the text, blanks at its ends aside. */
static void
ck_lines(const char *text, const char *lines)
{
	while (*lines != '\0') {
		size_t n = strcspn(lines, "|");
		bool found = false;

		for (const char *t = text; *t != '\0' && !found; ) {
			size_t len;

			t += strspn(t, " ");
			len = strcspn(t, "\n");
			found = len == n && strncmp(t, lines, n) == 0;
			t += len + (t[len] != '\0');
		}
		ck_assert_msg(found, "no %.*s in\n%s", (int)n, lines, text);
		lines += n + (lines[n] != '\0');
	}
}

static const char *
said_of(void)
{
	struct buf b = {0};
	const char *kept;

	diags_print(&b, &complaints, false);
	kept = arena_text(arena, b.p != NULL ? b.p : "", b.n);
	buf_free(&b);
	return kept;
}

/* ---- what is read --------------------------------------------------------------- */

#define COAT "- shell: wool flannel|weight: 280 g/m2|fibre: wool 100 %"

static const struct { const char *text, *lines; } lists[] = {
	{"part,description,composition,weight\nshell,wool flannel,100% wool,280 g/m2\n", COAT},
	{"part;description;composition;weight\nshell;wool flannel;100% wool;280\n", COAT},
	{"part\tdescription\tcomposition\tweight\r\nshell\twool flannel\t100% wool\t280\r\n", COAT},
	{"sep=;\npart;description;composition;weight\nshell;wool flannel;100% wool;280\n", COAT},
	{"\xef\xbb\xbfpart,description,composition,weight\nshell,wool flannel,100% wool,280", COAT},
	/* any order and wording, a title above the headings, blank rows, unknown columns */
	{"Lock-keeper's coat,,,\n\nGSM,Fibre content,Item,Component\n,,,\n280,WOOL 100%,"
	    "\"wool flannel\",Main fabric\n", COAT},
	/* units in the heading, in the cell, another measure than the heading names */
	{"part,description,weight (oz/yd2)\nshell,denim,12\n", "- shell: denim|weight: 12 oz/yd2"},
	{"part,description,weight\nshell,denim,12 oz/yd2\n", "- shell: denim|weight: 12 oz/yd2"},
	{"part,description,weight\nshell,cowhide leather,1.4 mm\n", "thickness: 1.4 mm"},
	/* a needle beside its thread: a size, a pair, in words; a unit as the heading */
	{"part,item,tex,needle\nthread,polyester thread,27,80/12\n",
	    "- thread: spun polyester thread|size: 27 tex|- needle: unknown|blade: 80 needle metric"},
	{"part,item,ticket,needle size\nthread,polyester thread,120,ballpoint 75/11\n",
	    "size: 120 metric ticket|- needle: ballpoint needle|blade: 75 needle metric"},
	{"part,item,needle\ntopstitching thread,,100/16\n",
	    "- operation: topstitch|needle.size: 100 needle metric"},
	/* the part to the right of a description that ends in a figure */
	{"item,part\n75/11,ballpoint\nneedle size,75/11\n",
	    "- needle: ballpoint needle|blade: 75 needle metric"},
	/* contents with nothing between them; what bears no water */
	{"part,description,composition\nshell,linen,55% linen 45% cotton\n",
	    "fibre: \"linen 55 %, cotton 45 %\""},
	{"part,description,composition,care\ntrim,leather strap,leather,wipe clean\n",
	    "- trim: leather|washable: no"},
	{"part,description,care\nbinding,leather,do not wash\n", "- binding: leather|washable: no"},
	/* decimal commas */
	{"part;description;made of;amount;unit\nshell;chino twill;97,5% CO 2,5% EL;1,4;m\n",
	    "fibre: \"cotton 97.5 %, elastane 2.5 %\"|amount: 1.4 m"},
	/* compositions */
	{"part,description,made of\nlining,twill lining,65% PES / 35% CO\n",
	    "fibre: \"polyester 65 %, cotton 35 %\""},
	{"part,description,made of\nshell,poplin,\"cotton 60 %, polyester 40 %\"\n",
	    "fibre: \"cotton 60 %, polyester 40 %\""},
	/* quotes, doubled quotes, a line end within quotes */
	{"part,description\nbinding,\"bias \"\"binding\"\"\n12 mm\"\n", "materials:"},
	/* care is of the row's own material */
	{"part,description,care\nshell,denim,machine wash 40\ntrim,ribbon trim,dry clean only\n",
	    "washable: yes|wash-limit: 40 °C|washable: no|dry-cleanable: yes"},
	/* the part names the thing where the description does not */
	{"part,description\nbuttons,17 mm across\nshell,denim\n",
	    "- button: flat button|diameter-across: 17 mm"},
	/* a needle told beside the topstitching thread is not the needle of the seams */
	{"part,description\nshell,denim\nthread,\"tex 40, needle 90/14\"\n"
	    "topstitching thread,\"tex 75, needle 110/18\"\n",
	    "blade: 90 needle metric|- operation: topstitch|needle.size: 110 needle metric"},
	/* what is sewn is told by its row, not by a needle good for jeans */
	{"part,description\nstyle,bargee's waistcoat\nshell,denim\nthread,needle 100/16 jeans\n",
	    "garment: waistcoat"},
};

START_TEST(lists_are_read)
{
	struct project_list *l = read_list(lists[_i].text, strlen(lists[_i].text));
	const char *culprit;

	ck_assert_msg(l != NULL, "%s", said_of());
	ck_assert_uint_eq(l->n, 1);
	ck_assert_msg(project_check(kb, l->of[0].project, &culprit), "%s", culprit);
	ck_lines(printed(l->of[0].project), lists[_i].lines);
}
END_TEST

START_TEST(sixteen_bits)
{
	static const char text[] = "part\tdescription\tweight\nshell\twool flannel\t280 g/m\xb2\n";
	char little[2 * sizeof text + 2], big[2 * sizeof text + 2];
	size_t n = sizeof text - 1;

	memcpy(little, "\xff\xfe", 2);
	memcpy(big, "\xfe\xff", 2);
	for (size_t i = 0; i < n; i++) {
		little[2 + 2 * i] = big[3 + 2 * i] = text[i];
		little[3 + 2 * i] = big[2 + 2 * i] = '\0';
	}
	for (int turn = 0; turn < 2; turn++) {
		struct project_list *l = read_list(turn == 0 ? little : big, 2 * n + 2);

		ck_assert_msg(l != NULL, "%s", said_of());
		ck_lines(printed(l->of[0].project), "- shell: wool flannel|weight: 280 g/m2");
		ck_assert_ptr_nonnull(strstr(said_of(), "UTF-16"));
	}
}
END_TEST

START_TEST(western_code_page)
{
	static const char text[] = "part;description;weight\nshell;wool flannel \x93soft\x94;280 g/m\xb2\n";
	struct project_list *l = read_list(text, sizeof text - 1);

	ck_assert_msg(l != NULL, "%s", said_of());
	ck_lines(printed(l->of[0].project), "- shell: wool flannel|weight: 280 g/m2");
	ck_assert_ptr_nonnull(strstr(said_of(), "Windows-1252"));
}
END_TEST

START_TEST(several_things)
{
	static const char by_column[] =
	    "style,part,description\n"
	    "lock-keeper's coat,shell,wool flannel\n"
	    "lock-keeper's coat,lining,cupro lining\n"
	    "bargee's waistcoat,shell,corduroy\n";
	static const char by_rows[] =
	    "part,description\nstyle,lock-keeper's coat\nshell,wool flannel\n"
	    "style,bargee's waistcoat\nshell,corduroy\n";
	const char *texts[] = {by_column, by_rows};

	for (int i = 0; i < 2; i++) {
		struct project_list *l = read_list(texts[i], strlen(texts[i]));

		ck_assert_msg(l != NULL, "%s", said_of());
		ck_assert_uint_eq(l->n, 2);
		ck_lines(printed(l->of[0].project), "garment: coat|- shell: wool flannel");
		ck_lines(printed(l->of[1].project), "garment: waistcoat|- shell: corduroy");
		ck_assert_str_eq(l->of[1].project->title, "bargee's waistcoat");
	}
}
END_TEST

START_TEST(places_are_in_the_file)
{
	static const char text[] = "part,description,weight\nshell,wool flannel,\"280 g/m2\"\n";
	struct project_list *l = read_list(text, strlen(text));
	uint32_t line = 0, column = 0;

	ck_assert_ptr_nonnull(l);
	for (uint32_t i = 0; i < l->of[0].project->n_values; i++)
		place_line_column(l->of[0].project->values[i].place, &line, &column);
	ck_assert_uint_eq(line, 2);
	ck_assert_uint_eq(column, 21);
}
END_TEST

/* ---- what cannot be read ---------------------------------------------------------- */

static const struct { const char *text, *says, *at; } refused[] = {
	{"wool flannel,280\ncupro,70\n", "no row names the columns", "list.csv:1:1"},
	{"part,description\nshell,\"wool flannel\n", "never closed", "list.csv:2:7"},
	{"part,description\n", "no row of this list", "list.csv:1:1"},
	{"part,description\nshell,wool\x01 flannel\n", "control", "list.csv:2:11"},
};

START_TEST(refusals_tell_the_place)
{
	struct project_list *l = read_list(refused[_i].text, strlen(refused[_i].text));

	ck_assert_ptr_null(l);
	ck_assert_msg(strstr(said_of(), refused[_i].says) != NULL, "%s", said_of());
	ck_assert_msg(strstr(said_of(), refused[_i].at) != NULL, "%s", said_of());
}
END_TEST

START_TEST(what_is_not_understood_is_noted)
{
	static const char text[] =
	    "part,description,compositon,shade name\nshell,wool flannel,100% wol,moss\n";
	struct project_list *l = read_list(text, strlen(text));

	ck_assert_ptr_nonnull(l);
	ck_assert_ptr_nonnull(strstr(said_of(), "compositon"));
	ck_assert_ptr_nonnull(strstr(said_of(), "did you mean composition"));
}
END_TEST

int
main(void)
{
	Suite *s = suite_create("list");
	TCase *t = tcase_create("list");
	SRunner *r;
	int failed;

	(void)said;
	(void)say_nothing;
	unused();
	(void)kb_from;
	tcase_add_unchecked_fixture(t, open_built, kb_done);
	tcase_add_loop_test(t, lists_are_read, 0, (int)(sizeof lists / sizeof *lists));
	tcase_add_test(t, sixteen_bits);
	tcase_add_test(t, western_code_page);
	tcase_add_test(t, several_things);
	tcase_add_test(t, places_are_in_the_file);
	tcase_add_loop_test(t, refusals_tell_the_place, 0, (int)(sizeof refused / sizeof *refused));
	tcase_add_test(t, what_is_not_understood_is_noted);
	suite_add_tcase(s, t);
	r = srunner_create(s);
	srunner_run_all(r, CK_ENV);
	failed = srunner_ntests_failed(r);
	srunner_free(r);
	return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
