/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * bodkin-print: the text form of a page in, PDF out.
 *
 *     bodkin-print [--paper A4|Letter] [--large] [--html] [-o FILE] [FILE]
 *
 * With --html the same page as HTML, for who has a page and no database.
 * Laid out twice: once to count the sheets, then for good. The same page gives
 * the same bytes: no date is written unless SOURCE_DATE_EPOCH tells one.
 */
#include "print/print.h"

#include <getopt.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { INPUT_MOST = 64 << 20 };

static const struct { double width, height; } papers[PAPER__COUNT] = {
	[PAPER_A4] = {210 * MM, 297 * MM}, [PAPER_LETTER] = {612, 792},
};

static cairo_status_t
keep(void *to, const unsigned char *data, unsigned int n)
{
	if (to != NULL)
		buf_add(to, (const char *)data, n);
	return CAIRO_STATUS_SUCCESS;
}

static void
date(cairo_surface_t *surface)
{
	const char *epoch = getenv("SOURCE_DATE_EPOCH");
	char text[40] = "";
	struct tm tm;
	time_t t;

	if (epoch != NULL && *epoch != '\0' && strspn(epoch, "0123456789") == strlen(epoch) &&
	    strlen(epoch) < 12) {
		t = (time_t)strtoll(epoch, NULL, 10);
		if (gmtime_r(&t, &tm) != NULL)
			strftime(text, sizeof text, "%Y-%m-%dT%H:%M:%SZ", &tm);
	}
	cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, text);
}

/* TOTAL 0: to count. Returns the number of sheets. */
static int
lay_out(const struct page *page, const struct sheet *sheet, int total, struct buf *out)
{
	struct press p = {.page = page, .sheet = sheet, .total = total};
	cairo_status_t status;

	p.width = papers[sheet->paper].width;
	p.height = papers[sheet->paper].height;
	p.surface = cairo_pdf_surface_create_for_stream(keep, out, p.width, p.height);
	cairo_pdf_surface_restrict_to_version(p.surface, CAIRO_PDF_VERSION_1_5);
	cairo_pdf_surface_set_metadata(p.surface, CAIRO_PDF_METADATA_TITLE, page_title(page));
	cairo_pdf_surface_set_metadata(p.surface, CAIRO_PDF_METADATA_CREATOR, "bodkin-print " VERSION);
	date(p.surface);
	p.cr = cairo_create(p.surface);
	print_page(&p);
	cairo_destroy(p.cr);
	cairo_surface_finish(p.surface);
	status = cairo_surface_status(p.surface);
	cairo_surface_destroy(p.surface);
	if (status != CAIRO_STATUS_SUCCESS)
		die(EXIT_NOT_RUN, "the PDF could not be made: %s", cairo_status_to_string(status));
	return p.number;
}

static int
usage(void)
{
	fputs("Usage: bodkin-print [--paper A4|Letter] [--large] [--html] [-o FILE] [FILE]\n"
	    "Reads the text form of a page (bodkin ... -d page), writes PDF or HTML.\n", stderr);
	return EXIT_NOT_RUN;
}

static bool
asked(int argc, char **argv, struct sheet *sheet, bool *html, const char **out)
{
	static const struct option longs[] = {
		{"paper", required_argument, NULL, 'p'}, {"large", no_argument, NULL, 'L'},
		{"html", no_argument, NULL, 'H'},
		{"output", required_argument, NULL, 'o'}, {NULL, 0, NULL, 0},
	};
	int c;

	while ((c = getopt_long(argc, argv, "o:", longs, NULL)) != -1) {
		if (c == 'p' && strcmp(optarg, paper_names[PAPER_LETTER]) == 0)
			sheet->paper = PAPER_LETTER;
		else if (c == 'p' && strcmp(optarg, paper_names[PAPER_A4]) == 0)
			sheet->paper = PAPER_A4;
		else if (c == 'L')
			sheet->large = true;
		else if (c == 'H')
			*html = true;
		else if (c == 'o')
			*out = optarg;
		else
			return false;
	}
	return argc - optind <= 1;
}

int
main(int argc, char **argv)
{
	struct arena *a = arena_new();
	struct sheet sheet = {.paper = PAPER_A4};
	struct diags ds;
	struct buf b = {0};
	const char *out = NULL, *culprit, *why;
	struct page *page;
	strview text;
	bool html = false;
	int total;

	diags_init(&ds, a);
	if (!asked(argc, argv, &sheet, &html, &out))
		return usage();
	if (!file_read(a, optind < argc ? argv[optind] : "-", INPUT_MOST, &text, &ds) ||
	    (page = page_read(a, text, &ds)) == NULL) {
		diags_print(&b, &ds, false);
		out_write(stderr, (strview){b.p, b.n}, "standard error");
		return EXIT_NOT_RUN;
	}
	if (!page_check(page, &culprit))
		die(EXIT_NOT_RUN, "the page cannot be printed: %s", culprit);
	if (out == NULL && !html && isatty(STDOUT_FILENO) == 1)
		die(EXIT_NOT_RUN, "PDF is nothing for a terminal; give -o FILE");
	if (html) {
		page_html(&b, page, &sheet);
	} else {
		total = lay_out(page, &sheet, 0, NULL);
		lay_out(page, &sheet, total, &b);
		pdf_finish(&b, page->about.language);
	}
	if (out == NULL) {
		out_write(stdout, (strview){b.p, b.n}, "standard output");
		out_close(stdout, "standard output");
	} else if (!file_replace(out, (strview){b.p, b.n}, true, &why)) {
		die(EXIT_NOT_RUN, "%s: %s", out, why);
	}
	buf_free(&b);
	arena_free(a);
	return EXIT_SOUND;
}
