/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A report put into a file: which kind by the ending of its name, and what
 * must not be written over.
 *
 * HTML, text and JSON are made here. For PDF the page goes in its text form to
 * a program of its own, bodkin-print, so that this one links no library that
 * draws.
 */
#include "command/command_impl.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

enum { TEXT_WIDTH = 80 };

static const struct { const char *ending; enum report_kind kind; } kinds[] = {
	{".html", REPORT_HTML}, {".htm", REPORT_HTML}, {".pdf", REPORT_PDF}, {".txt", REPORT_TEXT},
	{".json", REPORT_JSON},
};

enum report_kind
report_kind(const char *path)
{
	size_t n = strlen(path);

	for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
		size_t k = strlen(kinds[i].ending);

		if (n > k && path[n - k - 1] != '/' && strcmp(path + n - k, kinds[i].ending) == 0)
			return kinds[i].kind;
	}
	return REPORT_NONE;
}

static bool
same_file(const char *a, const char *b)
{
	struct stat sa, sb;

	return stat(a, &sa) == 0 && stat(b, &sb) == 0 && sa.st_dev == sb.st_dev &&
	    sa.st_ino == sb.st_ino;
}

bool
report_allowed(struct run *r, const char *path)
{
	const struct request *ask = r->ask;
	enum report_kind kind = report_kind(path);
	bool read = ask->kb != NULL && same_file(path, ask->kb);

	for (int i = 0; i < ask->n_args; i++)
		read = read || same_file(path, ask->args[i]);
	if (kind == REPORT_NONE)
		usage(r, "a report is written to a name ending in .html, .pdf, .txt or .json; not %s",
		    path);
	else if (read)
		usage(r, "%s is what is read; the report needs a name of its own", path);
	else if (ask->json && kind != REPORT_JSON)
		usage(r, "with --json the name must end in .json; not %s", path);
	else if (ask->stages != NULL)
		usage(r, "--dump prints, and writes no report");
	else
		return true;
	return false;
}

/* ---- PDF, by its own program ---------------------------------------------------- */

static char *
printer_path(struct run *r)
{
	static const char *const near[] = {"bodkin-print", "../libexec/bodkin/bodkin-print"};
	strview folder = own_folder(r->arena, r->ask->program);
	char *path;

	for (size_t i = 0; i < sizeof near / sizeof *near && folder.n > 0; i++) {
		path = arena_print(r->arena, "%.*s%s", (int)folder.n, folder.p, near[i]);
		if (access(path, X_OK) == 0)
			return path;
	}
	path = arena_print(r->arena, "%s/libexec/bodkin/bodkin-print", PREFIX);
	return access(path, X_OK) == 0 ? path : NULL;
}

/* "bodkin: WHAT: HOW", always false. */
static bool
fault(const char *what, const char *how)
{
	struct buf b = {0};

	text_safe(&b, sv(what));
	fprintf(stderr, "bodkin: %s: %s\n", b.p != NULL ? b.p : "", how);
	buf_free(&b);
	return false;
}

/* Everything PROGRAM writes when it is fed TEXT; its complaints go to ours.
 * What it reads lies in a file, so that neither waits for the other. */
static bool
piped(const char *program, const struct sheet *sheet, const struct buf *text, struct buf *out)
{
	FILE *in = tmpfile();
	int ends[2], status = 0;
	char part[65536];
	ssize_t n;
	pid_t child;

	if (in == NULL || fwrite(text->p, 1, text->n, in) != text->n || fflush(in) != 0 ||
	    fseek(in, 0, SEEK_SET) != 0 || pipe(ends) != 0) {
		if (in != NULL)
			fclose(in);
		return fault("the page could not be handed on", strerror(errno));
	}
	child = fork();
	if (child == 0) {
		if (lseek(fileno(in), 0, SEEK_SET) == 0 && dup2(fileno(in), STDIN_FILENO) >= 0 &&
		    dup2(ends[1], STDOUT_FILENO) >= 0) {
			close(ends[0]);
			close(ends[1]);
			execl(program, "bodkin-print", "--paper", paper_names[sheet->paper],
			    sheet->large ? "--large" : NULL, (char *)NULL);
		}
		_exit(127);
	}
	close(ends[1]);
	while (child > 0 && ((n = read(ends[0], part, sizeof part)) > 0 || (n < 0 && errno == EINTR)))
		if (n > 0)
			buf_add(out, part, (size_t)n);
	close(ends[0]);
	fclose(in);
	if (child < 0)
		return fault(program, "could not be started");
	while (waitpid(child, &status, 0) < 0 && errno == EINTR)
		continue;
	return (WIFEXITED(status) && WEXITSTATUS(status) == 0 && out->n > 0) ||
	    fault(program, "made no PDF");
}

static bool
pdf(struct run *r, const struct page *p, const struct sheet *sheet, struct buf *out)
{
	const char *program = printer_path(r);
	struct buf text = {0};
	bool good;

	if (program == NULL)
		return fault("bodkin-print", "this program writes PDF, and is neither beside bodkin nor in "
		    "libexec/bodkin; a name ending in .html needs none");
	page_write(&text, p);
	good = piped(program, sheet, &text, out);
	buf_free(&text);
	return good;
}

/* ---- writing ------------------------------------------------------------------------ */

static void
tell_about(struct run *r, struct page *p)
{
	if (r->craft == NULL)
		return;
	if (p->about.language == NULL)
		p->about.language = SAY(r, "print.language");
	if (p->about.foot == NULL)
		p->about.foot = SAY(r, "print.foot", "version", bodkin_version);
	if (page_head(p) == NULL && p->about.title == NULL)
		p->about.title = SAY(r, "print.title", "command", r->ask->command->name, "what",
		    r->ask->words != NULL ? r->ask->words : joined_args(r, 0));
}

bool
report_write(struct run *r, struct page *p, const char *path)
{
	struct sheet sheet = {.paper = r->ask->paper, .large = r->ask->large};
	struct look look = {.width = r->ask->width >= 0 ? r->ask->width : TEXT_WIDTH,
	    .ascii = r->ask->ascii};
	struct buf b = {0};
	const char *why;
	bool good = true;

	tell_about(r, p);
	switch (report_kind(path)) {
	case REPORT_HTML:
		page_html(&b, p, &sheet);
		break;
	case REPORT_TEXT:
		page_terminal(&b, p, &look);
		break;
	case REPORT_PDF:
		good = pdf(r, p, &sheet, &b);
		break;
	case REPORT_JSON:
		buf_add(&b, r->out.n > 0 ? r->out.p : "", r->out.n);
		break;
	case REPORT_NONE:
		good = false;
		break;
	}
	if (good && !file_replace(path, (strview){b.p, b.n}, true, &why))
		good = fault(path, why);
	buf_clear(&b);
	if (good && report_kind(path) != REPORT_JSON && r->craft != NULL) {
		text_safe(&b, sv(SAY(r, "print.written", "file", path)));
		buf_char(&b, '\n');
		out_write(stdout, (strview){b.p, b.n}, "standard output");
	}
	buf_free(&b);
	return good;
}
