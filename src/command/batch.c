/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * batch: a project a line in, an answer a line out, in the same order.
 *
 * Lines go in chunks to worker processes, each with its own handle on the
 * knowledge; the answers of a round are taken in the order in which the chunks
 * were given.  A worker reads its whole chunk before it writes, and is written
 * to only after its answer was read, so that neither side waits for the other.
 * What a line brings lives in an arena that is emptied behind it: memory does
 * not grow with the number of lines, and a bad line is answered like any other.
 */
#include "command/command_impl.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

enum {
	WORKERS_MOST = 64,
	CHUNK_LINES = 64,
	CHUNK_BYTES = 256 << 10,
	LINE_BYTES_MOST = 1 << 20,
};

/* ---- one line -------------------------------------------------------------- */

struct line { strview text; uint64_t number; bool too_long; };

static struct project *
project_of(struct run *r, const struct line *l, const struct node **id)
{
	struct source *src = source_new(r->arena, "<line>", l->text);
	const struct node *root, *words, *project;

	*id = NULL;
	root = yaml_read(r->arena, src, yaml_project_limits, &r->diags);
	if (root == NULL)
		return NULL;
	if (root->type != NODE_MAP)
		return project_from_node(r->arena, r->kb, src, root, &r->diags);
	*id = node_get(root, "id");
	words = node_get(root, "words");
	project = node_get(root, "project");
	if (words != NULL && words->type == NODE_TEXT)
		return project_from_words(r->arena, r->kb,
		    source_new(r->arena, "<words>", words->text), &r->diags);
	return project_from_node(r->arena, r->kb, src,
	    project != NULL && project->type == NODE_MAP ? project : root, &r->diags);
}

static void
finding_json(struct run *r, struct json *j, const struct checked *c, const struct finding *f)
{
	const struct rule *u = &r->craft->rule[f->rule];
	struct buf says = {0};

	json_open(j, '{');
	json_key(j, "rule");
	json_str(j, craft_text(r->craft, u->id));
	json_own(j, u->own ? ENTRY_OWN : 0);
	json_key(j, "degree");
	json_str(j, degree_names[f->degree]);
	json_key(j, "subject");
	json_str(j, object_name(c->model, f->binding.object[0]));
	json_key(j, "touches");
	json_open(j, '[');
	for (uint32_t i = 0; i < u->n_touches; i++)
		json_str(j, craft_text(r->craft, r->craft->setting[u->touches[i]].name));
	json_close(j, ']');
	if (f->verdict == TRI_FALSE) {
		finding_says(&says, r->kb, c->model, f);
		json_key(j, "says");
		json_text(j, (strview){says.n > 0 ? says.p : "", says.n});
		buf_free(&says);
	}
	json_close(j, '}');
}

static void
answer_json(struct run *r, struct json *j, const struct checked *c)
{
	const struct judgement *g = c->judgement;

	json_key(j, "findings");
	json_open(j, '[');
	for (uint32_t i = 0; i < g->n_fails; i++)
		finding_json(r, j, c, &g->fails[i]);
	json_close(j, ']');
	json_key(j, "undecided");
	json_open(j, '[');
	for (uint32_t i = 0; i < g->n_undecided; i++)
		finding_json(r, j, c, &g->undecided[i]);
	json_close(j, ']');
}

static void
errors_json(struct run *r, struct json *j, const struct line *l)
{
	json_key(j, "errors");
	json_open(j, '[');
	for (size_t i = 0; i < r->diags.n; i++)
		if (diag_level(r->diags.d[i].id) == DIAG_ERROR)
			json_str(j, r->diags.d[i].message);
	if (l->too_long)
		json_str(j, "the line is longer than 1 MiB");
	json_close(j, ']');
}

/* Answers one line; the run's arena is emptied behind it. */
static void
answer_line(const struct request *ask, struct knowledge *kb, struct arena *a, const struct line *l,
    struct buf *out)
{
	struct json j = {.out = out};
	const struct node *id = NULL;
	struct project *p = NULL;
	struct checked c;
	struct run r;
	bool fine;

	run_begin(&r, ask, a, kb);
	if (!l->too_long)
		p = project_of(&r, l, &id);
	fine = p != NULL && r.diags.errors == 0 && check_project(&r, p, &c);
	json_open(&j, '{');
	json_key(&j, "line");
	json_number(&j, (double)l->number);
	json_key(&j, "id");
	if (id != NULL && id->type == NODE_TEXT)
		json_text(&j, id->text);
	else
		json_str(&j, NULL);
	json_key(&j, "status");
	json_number(&j, !fine ? EXIT_NOT_RUN :
	    judge_findings(c.judgement, DEGREE_DOUBTFUL) > 0 ? EXIT_FINDINGS : EXIT_SOUND);
	if (fine)
		answer_json(&r, &j, &c);
	else
		errors_json(&r, &j, l);
	json_close(&j, '}');
	buf_char(out, '\n');
	run_end(&r);
	arena_reset(a);
}

/* ---- chunks ------------------------------------------------------------------ */

/* Lines of a chunk, as they travel: number, length and bytes of each. */
static void
put_line(struct buf *chunk, uint64_t number, strview text, bool too_long)
{
	uint32_t n = too_long ? UINT32_MAX : (uint32_t)text.n;

	buf_add(chunk, (const char *)&number, sizeof number);
	buf_add(chunk, (const char *)&n, sizeof n);
	if (!too_long)
		buf_sv(chunk, text);
}

static void
answer_chunk(const struct request *ask, struct knowledge *kb, struct arena *a, strview chunk,
    struct buf *out)
{
	while (chunk.n > 0) {
		struct line l = {0};
		uint32_t n;

		memcpy(&l.number, chunk.p, sizeof l.number);
		memcpy(&n, chunk.p + sizeof l.number, sizeof n);
		chunk.p += sizeof l.number + sizeof n;
		chunk.n -= sizeof l.number + sizeof n;
		l.too_long = n == UINT32_MAX;
		l.text = (strview){chunk.p, l.too_long ? 0 : n};
		chunk.p += l.text.n;
		chunk.n -= l.text.n;
		answer_line(ask, kb, a, &l, out);
	}
}

struct lines {                             /* what is still to be read */
	FILE *in;
	struct buf rest;
	uint64_t number;
};

/* The next line without its end; false at the end of the input. */
static bool
next_line(struct lines *in, struct buf *line, bool *too_long)
{
	int c;
	bool any = false;

	buf_clear(line);
	*too_long = false;
	while ((c = getc_unlocked(in->in)) != EOF) {
		any = true;
		if (c == '\n')
			break;
		if (line->n < LINE_BYTES_MOST)
			buf_char(line, (char)c);
		else
			*too_long = true;
	}
	in->number += any;
	return any;
}

/* False when there is nothing more. Blank lines are passed over. */
static bool
next_chunk(struct lines *in, struct buf *chunk)
{
	struct buf line = {0};
	bool too_long;

	buf_clear(chunk);
	for (int n = 0; n < CHUNK_LINES && chunk->n < CHUNK_BYTES && next_line(in, &line, &too_long);) {
		strview text = sv_trim((strview){line.n > 0 ? line.p : "", line.n});

		if (text.n > 0 && text.p[text.n - 1] == '\r')
			text.n--;
		if (text.n == 0 && !too_long)
			continue;
		put_line(chunk, in->number, text, too_long);
		n++;
	}
	buf_free(&line);
	return chunk->n > 0;
}

/* ---- workers ------------------------------------------------------------------ */

struct worker { pid_t pid; int to, from; bool busy; };

static bool
move_all(int fd, char *p, size_t n, bool out)
{
	while (n > 0) {
		ssize_t done = out ? write(fd, p, n) : read(fd, p, n);

		if (done < 0 && errno == EINTR)
			continue;
		if (done <= 0)
			return false;
		p += done;
		n -= (size_t)done;
	}
	return true;
}

static bool
send(int fd, const struct buf *b)
{
	uint64_t n = b->n;

	return move_all(fd, (char *)&n, sizeof n, true) && move_all(fd, b->p, b->n, true);
}

static bool
receive(int fd, struct buf *b)
{
	char part[65536];
	uint64_t n;

	buf_clear(b);
	if (!move_all(fd, (char *)&n, sizeof n, false))
		return false;
	while (n > 0) {
		size_t most = n < sizeof part ? (size_t)n : sizeof part;

		if (!move_all(fd, part, most, false))
			return false;
		buf_add(b, part, most);
		n -= most;
	}
	return true;
}

static _Noreturn void
work(const struct request *ask, int in, int out)
{
	struct arena *a = arena_new(), *lasting = arena_new();
	struct buf chunk = {0}, answer = {0};
	const char *why = "";
	struct own_state own;
	struct knowledge *kb = knowledge_open(lasting, ask, &own, true, &why);

	if (kb == NULL)
		die(EXIT_OUR_FAULT, "a worker cannot open the knowledge: %s", why);
	while (receive(in, &chunk)) {
		buf_clear(&answer);
		buf_add(&answer, "", 0);
		answer_chunk(ask, kb, a, (strview){chunk.p, chunk.n}, &answer);
		if (!send(out, &answer))
			break;
	}
	buf_free(&chunk);
	buf_free(&answer);
	kb_close(kb);
	arena_free(a);
	arena_free(lasting);
	_exit(0);
}

static bool
start(const struct request *ask, struct worker *w, uint32_t before)
{
	int to[2], from[2];

	if (pipe(to) != 0)
		return false;
	if (pipe(from) != 0) {
		close(to[0]);
		close(to[1]);
		return false;
	}
	w[before] = (struct worker){.pid = fork(), .to = to[1], .from = from[0]};
	if (w[before].pid == 0) {
		/* Ends of the others' pipes would keep them open past their day. */
		for (uint32_t i = 0; i < before; i++) {
			close(w[i].to);
			close(w[i].from);
		}
		close(to[1]);
		close(from[0]);
		work(ask, to[0], from[1]);
	}
	close(to[0]);
	close(from[1]);
	return w[before].pid > 0;
}

static void
print(const struct buf *b)
{
	out_write(stdout, (strview){b->n > 0 ? b->p : "", b->n}, "standard output");
}

static bool
rounds(struct lines *in, struct worker *w, uint32_t n)
{
	struct buf chunk = {0}, answer = {0};
	bool more = true, fine = true;

	while (more && fine) {
		for (uint32_t i = 0; i < n && more && fine; i++) {
			more = next_chunk(in, &chunk);
			w[i].busy = more;
			fine = !more || send(w[i].to, &chunk);
		}
		for (uint32_t i = 0; i < n && fine; i++) {
			if (!w[i].busy)
				continue;
			fine = receive(w[i].from, &answer);
			w[i].busy = false;
			print(&answer);
		}
	}
	buf_free(&chunk);
	buf_free(&answer);
	return fine;
}

static int
with_workers(struct run *r, struct lines *in, uint32_t n)
{
	struct worker w[WORKERS_MOST];
	uint32_t started = 0;
	bool fine;

	while (started < n && start(r->ask, w, started))
		started++;
	if (started == 0)
		return usage(r, "no worker could be started");
	fine = rounds(in, w, started);
	for (uint32_t i = 0; i < started; i++) {
		close(w[i].to);
		close(w[i].from);
		waitpid(w[i].pid, NULL, 0);
	}
	if (!fine)
		die(EXIT_OUR_FAULT, "a worker ended before its work was done");
	return EXIT_SOUND;
}

static int
alone(struct run *r, struct lines *in)
{
	struct arena *a = arena_new();
	struct buf chunk = {0}, answer = {0};

	while (next_chunk(in, &chunk)) {
		buf_clear(&answer);
		answer_chunk(r->ask, r->kb, a, (strview){chunk.p, chunk.n}, &answer);
		print(&answer);
	}
	buf_free(&chunk);
	buf_free(&answer);
	arena_free(a);
	return EXIT_SOUND;
}

int
command_batch(struct run *r)
{
	const char *path = r->ask->n_args > 0 ? r->ask->args[0] : "-";
	struct lines in = {.in = stdin};
	long cores = sysconf(_SC_NPROCESSORS_ONLN);
	long jobs = r->ask->jobs > 0 ? r->ask->jobs : cores < WORKERS_MOST ? cores : WORKERS_MOST;
	int status;

	if (r->ask->n_args > 1)
		return usage(r, "one file of lines at a time, or none for the standard input");
	if (!run_knowledge(r))
		return EXIT_NOT_RUN;
	if (strcmp(path, "-") != 0 && (in.in = fopen(path, "re")) == NULL)
		return usage(r, "%s cannot be read: %s", path, strerror(errno));
	status = jobs <= 1 ? alone(r, &in) : with_workers(r, &in, (uint32_t)jobs);
	if (in.in != stdin)
		fclose(in.in);
	return status;
}
