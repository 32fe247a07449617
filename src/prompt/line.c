/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Lines from a person or from a pipe.
 *
 * Readline is used only where both input and output are a terminal: elsewhere
 * it would write the prompt and echo the input.  Its globals are touched in
 * this file alone.
 */
#define _GNU_SOURCE                        /* getline, sigaction */

#include "prompt/prompt_impl.h"

#include <errno.h>
#include <fcntl.h>
#include <locale.h>
#include <poll.h>
#include <readline/history.h>
#include <readline/readline.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { HISTORY_LINES = 1000, LINE_LONGEST = 65536 };

struct lines {
	bool terminal;
	char *history;                     /* file, or NULL: none kept */
	struct sigaction before;
};

/* What readline calls back has no argument to carry these. */
static const struct craft *completing_for;
static volatile sig_atomic_t interrupted;
static char *taken;                        /* the line just ended; NULL: end of input */
static bool ended;

/* ---- history ---------------------------------------------------------------- */

static bool
make_folders(char *path)
{
	for (char *p = path + 1; *p != '\0'; p++) {
		if (*p != '/')
			continue;
		*p = '\0';
		if (mkdir(path, 0700) != 0 && errno != EEXIST) {
			*p = '/';
			return false;
		}
		*p = '/';
	}
	return true;
}

/* Where the history is kept; NULL where none is wanted or possible. */
static char *
history_path(void)
{
	const char *own = getenv("BODKIN_HISTORY"), *state = getenv("XDG_STATE_HOME");
	const char *home = getenv("HOME");
	struct buf b = {0};

	if (own != NULL && *own == '\0')
		return NULL;
	if (own != NULL)
		buf_str(&b, own);
	else if (state != NULL && *state == '/')
		buf_print(&b, "%s/bodkin/history", state);
	else if (home != NULL && *home == '/')
		buf_print(&b, "%s/.local/state/bodkin/history", home);
	return b.p;                            /* NULL when nothing was added */
}

static char *
history_open(void)
{
	char *path = history_path();
	int fd;

	if (path == NULL)
		return NULL;
	fd = make_folders(path) ? open(path, O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0600) : -1;
	if (fd < 0) {
		struct buf b = {0};

		text_safe(&b, sv(path));
		fprintf(stderr, "bodkin: no history is kept: %s cannot be written\n", b.p);
		buf_free(&b);
		free(path);
		return NULL;
	}
	close(fd);
	using_history();
	stifle_history(HISTORY_LINES);
	read_history(path);
	return path;
}

static void
remember(struct lines *l, const char *text)
{
	HIST_ENTRY *last = history_length > 0 ? history_get(history_base + history_length - 1) : NULL;

	if (*text == '\0' || *text == ' ' || (last != NULL && strcmp(last->line, text) == 0))
		return;
	add_history(text);
	if (l->history != NULL)
		append_history(1, l->history);
}

/* ---- signals ---------------------------------------------------------------- */

static void
on_interrupt(int number)
{
	(void)number;
	interrupted = 1;
}

/* ---- opening and closing ------------------------------------------------------ */

static char **
attempt(const char *text, int start, int end)
{
	(void)text;
	rl_attempted_completion_over = !complete_files(rl_line_buffer);
	return complete_line(completing_for, rl_line_buffer, start, end);
}

struct lines *
lines_open(const struct request *ask, const struct craft *c)
{
	struct lines *l = mem_alloc(sizeof *l);
	struct sigaction sa = {.sa_handler = on_interrupt};

	(void)ask;
	l->terminal = isatty(STDIN_FILENO) == 1 && isatty(STDOUT_FILENO) == 1;
	if (!l->terminal)
		return l;
	setlocale(LC_CTYPE, "");               /* so that readline moves over whole letters */
	completing_for = c;
	rl_readline_name = "bodkin";
	rl_attempted_completion_function = attempt;
	rl_completer_word_break_characters = " \t\n,";
	rl_persistent_signal_handlers = 1;     /* while we wait, too: a resize is not lost */
	l->history = history_open();
	sigemptyset(&sa.sa_mask);
	sigaction(SIGINT, &sa, &l->before);
	return l;
}

void
lines_close(struct lines *l)
{
	if (l->terminal) {
		sigaction(SIGINT, &l->before, NULL);
		if (l->history != NULL)
			history_truncate_file(l->history, HISTORY_LINES);
		clear_history();
	}
	free(l->history);
	free(l);
}

bool
lines_terminal(const struct lines *l)
{
	return l->terminal;
}

/* ---- reading ------------------------------------------------------------------ */

static enum line_got
from_pipe(char **text)
{
	struct buf b = {0};
	int c;

	buf_add(&b, "", 0);
	while ((c = getchar()) != EOF && c != '\n')
		if (b.n < LINE_LONGEST)
			buf_char(&b, (char)c);
	if (c == EOF && b.n == 0) {
		buf_free(&b);
		return LINE_END;
	}
	if (b.n > 0 && b.p[b.n - 1] == '\r')
		b.p[--b.n] = '\0';
	*text = b.p;
	return LINE_TEXT;
}

static void
take(char *line)
{
	rl_callback_handler_remove();          /* the terminal as it was, before we answer */
	taken = line;
	ended = true;
}

/* Waits for keys itself, so that Ctrl-C can drop the line at once: readline
 * on its own would take one more key to notice. */
static void
edit(const char *shown)
{
	struct pollfd in = {.fd = STDIN_FILENO, .events = POLLIN};

	taken = NULL;
	ended = false;
	interrupted = 0;
	rl_callback_handler_install(shown, take);
	while (!ended) {
		int n = poll(&in, 1, 200);

		if (n < 0)
			rl_check_signals();
		if (interrupted) {
			rl_free_line_state();
			rl_callback_sigcleanup();
			rl_callback_handler_remove();
			break;
		}
		if (n > 0)
			rl_callback_read_char();
	}
}

enum line_got
line_read(struct lines *l, const char *shown, char **text)
{
	*text = NULL;
	fflush(stdout);
	if (!l->terminal)
		return from_pipe(text);
	edit(shown);
	if (interrupted) {
		free(taken);
		putchar('\n');
		return LINE_DROPPED;
	}
	if (taken == NULL) {
		putchar('\n');
		return LINE_END;
	}
	*text = taken;
	remember(l, taken);
	return LINE_TEXT;
}
