/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * One command from its request to its printed answer: which database, which
 * look, where things are printed.
 */
#include "command/command_impl.h"

#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

/* ---- the database -------------------------------------------------------- */

/* The folder of the running program, its slash included; empty if not known. */
strview
own_folder(struct arena *a, const char *program)
{
	char *path = arena_alloc(a, 4096);
	ssize_t n = readlink("/proc/self/exe", path, 4095);
	const char *slash;

	if (n <= 0) {                          /* a system without that link */
		path = arena_text(a, program, strlen(program));
		n = (ssize_t)strlen(path);
	}
	path[n] = '\0';
	slash = strrchr(path, '/');
	return (strview){path, slash != NULL ? (size_t)(slash - path) + 1 : 0};
}

char *
knowledge_path(struct arena *a, const struct request *ask)
{
	static const char *const near[] = {"bodkin.db", "../share/bodkin/bodkin.db"};
	const char *told = ask->kb != NULL ? ask->kb : getenv("BODKIN_KB");
	strview folder;

	if (told != NULL && *told != '\0')
		return arena_text(a, told, strlen(told));
	folder = own_folder(a, ask->program);
	for (size_t i = 0; i < sizeof near / sizeof *near && folder.n > 0; i++) {
		char *path = arena_print(a, "%.*s%s", (int)folder.n, folder.p, near[i]);

		if (access(path, F_OK) == 0)
			return path;
	}
	return arena_print(a, "%s/share/bodkin/bodkin.db", PREFIX);
}

bool
run_knowledge(struct run *r)
{
	const char *why;
	struct buf b = {0};

	if (r->kb == NULL) {
		r->kb = knowledge_open(r->arena, r->ask, &r->own, false, &why);
		if (r->kb == NULL) {
			text_safe(&b, sv(r->own.shipped));
			fprintf(stderr, "bodkin: %s: %s\n", b.p, why);
			buf_free(&b);
			return false;
		}
	}
	r->craft = kb_craft(r->kb);
	return true;
}

/* ---- the look --------------------------------------------------------------- */

static bool
set_and_not(const char *name, const char *no)
{
	const char *v = getenv(name);

	return v != NULL && *v != '\0' && strcmp(v, no) != 0;
}

static bool
coloured(enum colour_wish wish, bool terminal)
{
	const char *cli = getenv("CLICOLOR");

	if (wish != COLOUR_AUTO)
		return wish == COLOUR_ALWAYS;
	if (set_and_not("NO_COLOR", "") || set_and_not("BODKIN_ACCESSIBLE", "0") ||
	    set_and_not("ACCESSIBLE", "0"))
		return false;
	if (set_and_not("CLICOLOR_FORCE", "0"))
		return true;
	return terminal && set_and_not("TERM", "dumb") && (cli == NULL || strcmp(cli, "0") != 0);
}

struct look
look_for(const struct request *ask, int fd)
{
	bool terminal = isatty(fd) == 1;
	struct look look = {.width = 0, .ascii = ask->ascii,
	    .words = set_and_not("BODKIN_ACCESSIBLE", "0") || set_and_not("ACCESSIBLE", "0")};
	const char *columns = getenv("COLUMNS");
	struct winsize w;
	double x;
	size_t used;

	look.colour = coloured(ask->colour, terminal);
	if (ask->width >= 0) {
		look.width = ask->width;
	} else if (terminal) {
		look.width = 80;
		if (ioctl(fd, TIOCGWINSZ, &w) == 0 && w.ws_col >= 20)
			look.width = w.ws_col;
		else if (columns != NULL && number_read(sv(columns), &used, &x) &&
		    columns[used] == '\0' && x >= 20 && x <= 1000)
			look.width = (int)x;
		if (look.width > 100)
			look.width = 100;      /* longer lines are hard to read */
	}
	return look;
}

/* ---- running ---------------------------------------------------------------- */

void
run_begin(struct run *r, const struct request *ask, struct arena *a, struct knowledge *kb)
{
	*r = (struct run){.ask = ask, .arena = a, .kb = kb};
	r->craft = kb != NULL ? kb_craft(kb) : NULL;
	r->page = page_new(a);
	diags_init(&r->diags, a);
}

static void
print(FILE *f, const struct buf *b)
{
	out_write(f, (strview){b->n > 0 ? b->p : "", b->n},
	    f == stdout ? "standard output" : "standard error");
}

bool
run_print(struct run *r)
{
	struct look look = look_for(r->ask, STDOUT_FILENO);
	const char *file = r->ask->command != NULL && command_reports(r->ask->command) ?
	    r->ask->out : NULL;
	struct buf b = {0};
	bool good = true;

	if (r->diags.n > 0) {
		if (r->ask->lines)
			diags_lines(&b, &r->diags, r->ask->n_args > 0 ? r->ask->args[0] : "words");
		else
			diags_print(&b, &r->diags, look_for(r->ask, STDERR_FILENO).colour);
		print(stderr, &b);
		buf_clear(&b);
	}
	if (file != NULL) {
		good = (r->out.n == 0 && r->page->first == NULL) || report_write(r, r->page, file);
	} else if (r->out.n > 0) {
		print(stdout, &r->out);
	} else if (r->page->first != NULL) {
		if (wants_stage(r->ask, "page"))
			page_write(&b, r->page);
		else
			page_terminal(&b, r->page, &look);
		print(stdout, &b);
	}
	buf_free(&b);
	return good;
}

void
run_end(struct run *r)
{
	buf_free(&r->out);
	buf_free(&r->saying);
}

int
command_run(const struct request *ask, struct knowledge *kb)
{
	struct arena *a = arena_new();
	struct request as_json = *ask;
	struct run r;
	int status;
	bool file = ask->out != NULL && command_reports(ask->command) && !ask->help;

	if (file && report_kind(ask->out) == REPORT_JSON) {
		as_json.json = true;
		ask = &as_json;
	}
	run_begin(&r, ask, a, kb);
	if (ask->help && ask->command->run != command_help) {
		struct request help = *ask;
		const char *name[1] = {ask->command->name};

		help.args = name;
		help.n_args = 1;
		r.ask = &help;
		status = command_help(&r);
		r.ask = ask;
	} else {
		status = stages_known(&r) && (!file || report_allowed(&r, ask->out)) ?
		    ask->command->run(&r) : EXIT_NOT_RUN;
	}
	if (!run_print(&r))
		status = EXIT_NOT_RUN;
	if (r.kb != NULL && r.kb != kb)
		kb_close(r.kb);
	run_end(&r);
	arena_free(a);
	return status;
}

/* ---- small helps for the commands ----------------------------------------------- */

const char *
say_end(struct run *r)
{
	const char *t = arena_text(r->arena, r->saying.n > 0 ? r->saying.p : "", r->saying.n);

	buf_clear(&r->saying);
	return t;
}

int
usage(const struct run *r, const char *fmt, ...)
{
	char text[1024];
	struct buf b = {0};
	va_list ap;

	va_start(ap, fmt);
	vsnprintf(text, sizeof text, fmt, ap);
	va_end(ap);
	text_safe(&b, sv(text));
	fprintf(stderr, "bodkin: %s\nTry: bodkin help %s\n", b.p, r->ask->command->name);
	buf_free(&b);
	return EXIT_NOT_RUN;
}

const char *
joined_args(struct run *r, int from)
{
	struct buf b = {0};

	buf_add(&b, "", 0);
	for (int i = from; i < r->ask->n_args; i++) {
		if (i > from)
			buf_char(&b, ' ');
		buf_str(&b, r->ask->args[i]);
	}
	return run_kept(r, &b);
}

/* Is NAME one of the comma-parted names of LIST? */
static bool
listed(const char *list, strview name)
{
	while (list != NULL && *list != '\0') {
		size_t n = strcspn(list, ",");

		if (sv_eq((strview){list, n}, name))
			return true;
		list += n + (list[n] == ',');
	}
	return false;
}

bool
wants_stage(const struct request *ask, const char *stage)
{
	return listed(ask->stages, sv(stage));
}

bool
stages_known(struct run *r)
{
	const char *has = r->ask->command->stages, *p = r->ask->stages;

	while (p != NULL && *p != '\0') {
		size_t n = strcspn(p, ",");

		if (!listed(has, (strview){p, n})) {
			usage(r, "%s has no stage %.*s; it has %s", r->ask->command->name, (int)n, p,
			    has != NULL && *has != '\0' ? has : "none");
			return false;
		}
		p += n + (p[n] == ',');
	}
	return true;
}

/* ---- the project a command is about ------------------------------------------------ */

struct project *
project_told(struct run *r, const char *usage_text)
{
	const struct request *ask = r->ask;
	bool talked = ask->talked != NULL && ask->words == NULL && ask->n_args == 0;
	struct project *p;

	if (!talked && (ask->words != NULL ? ask->n_args > 0 : ask->n_args != 1)) {
		usage(r, "%s", usage_text);
		return NULL;
	}
	if (!run_knowledge(r))
		return NULL;
	if (talked)
		return ask->talked;
	p = ask->words != NULL
	    ? project_from_words(r->arena, r->kb, source_new(r->arena, "<words>", sv(ask->words)),
	        &r->diags)
	    : project_read(r->arena, r->kb, ask->args[0], &r->diags);
	return p;
}
