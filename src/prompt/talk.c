/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The project being talked about, as a row of versions.
 *
 * Each change makes a new version; undo steps back, redo forward, a change
 * after undo forgets what lay ahead.  A version may point into the texts of
 * those before it, so they are freed only from the end.
 */
#include "prompt/prompt_impl.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

struct project *
talk_project(const struct talk *t)
{
	return t->at > 0 ? t->versions[t->at - 1].project : NULL;
}

static void
forget_ahead(struct talk *t)
{
	while (t->n > t->at)
		arena_free(t->versions[--t->n].arena);
}

void
talk_close(struct talk *t)
{
	t->at = 0;
	forget_ahead(t);
	free(t->versions);
}

static void
push(struct talk *t, struct arena *a, struct project *p, const char *by)
{
	forget_ahead(t);
	t->versions = mem_grow(t->versions, &t->cap, t->n + 1, sizeof *t->versions);
	t->versions[t->n++] = (struct version){a, p, arena_text(a, by, strlen(by))};
	if (t->saved > t->at)
		t->saved = SIZE_MAX;           /* what was saved can no longer be reached */
	t->at = t->n;
}

/* ---- answers ---------------------------------------------------------------- */

static void
answer_begin(struct talk *t, struct run *r)
{
	run_begin(r, t->ask, arena_new(), t->kb);
}

static void
answer_end(struct run *r)
{
	run_print(r);
	run_end(r);
	arena_free(r->arena);
}

void
talk_say(struct talk *t, const char *id)
{
	struct run r;

	answer_begin(t, &r);
	page_add(r.page, BLOCK_PARAGRAPH, NULL, SAY(&r, id));
	answer_end(&r);
}

static void
say_with(struct talk *t, const char *id, const char *slot, const char *text)
{
	struct run r;

	answer_begin(t, &r);
	page_add(r.page, BLOCK_PARAGRAPH, NULL, SAY(&r, id, slot, text));
	answer_end(&r);
}

static bool
same_project(struct talk *t, const struct project *a, const struct project *b)
{
	struct buf x = {0}, y = {0};
	bool same;

	project_print(&x, t->kb, a);
	project_print(&y, t->kb, b);
	same = x.n == y.n && (x.n == 0 || memcmp(x.p, y.p, x.n) == 0);
	buf_free(&x);
	buf_free(&y);
	return same;
}

/* The project after WORDS; NULL with the complaints printed. Lives in A. */
static struct project *
changed(struct talk *t, struct run *r, struct arena *a, const char *words)
{
	struct project *old = talk_project(t);
	const char *kept = arena_text(a, words, strlen(words));
	const struct source *src = source_new(a, "<words>", sv(kept));
	struct project *p;

	diags_init(&r->diags, a);
	p = old != NULL ? project_changed(a, t->kb, old, src, &r->diags)
	    : project_from_words(a, t->kb, src, &r->diags);
	return p != NULL && r->diags.errors == 0 ? p : NULL;
}

void
talk_words(struct talk *t, const char *words)
{
	struct arena *a = arena_new();
	struct project *old = talk_project(t), *p;
	struct checked now, before;
	bool keep = false, had;
	struct run r;

	answer_begin(t, &r);
	p = changed(t, &r, a, words);
	had = p != NULL && old != NULL && check_project(&r, old, &before);
	if (p != NULL && check_project(&r, p, &now)) {
		bool same = old != NULL && same_project(t, old, p);

		/* A question changes nothing, unless it also begins the talk. */
		keep = !same && (p->n_things > 0 || p->n_values > 0) &&
		    (p->asked == NONE || old == NULL);
		if (p->asked != NONE)
			check_answer(&r, &now, p->asked);
		else if (keep && !had)
			check_understood(&r, &now);
		if (keep)
			check_short(&r, &now, had ? &before : NULL);
		else if (p->asked == NONE) {
			check_notes(&r, &now);
			page_add(r.page, BLOCK_PARAGRAPH, NULL, old != NULL ? SAY(&r, "prompt.same")
			    : SAY(&r, "check.nothing-understood"));
		}
	}
	answer_end(&r);
	if (keep)
		push(t, a, p, words);
	else
		arena_free(a);
}

void
talk_what_if(struct talk *t, const char *words)
{
	struct arena *a = arena_new();
	struct project *old = talk_project(t), *p;
	struct checked now, before;
	struct run r;

	if (old == NULL) {
		talk_say(t, "prompt.empty");
		arena_free(a);
		return;
	}
	answer_begin(t, &r);
	p = changed(t, &r, a, words);
	if (p != NULL && check_project(&r, old, &before) && check_project(&r, p, &now))
		check_short(&r, &now, &before);
	answer_end(&r);
	arena_free(a);
}

/* ---- whole projects ------------------------------------------------------------ */

static void
take_project(struct talk *t, struct run *r, struct arena *a, struct project *p, const char *by)
{
	struct checked now;
	bool good = p != NULL && r->diags.errors == 0 && check_project(r, p, &now);

	if (good) {
		check_understood(r, &now);
		check_short(r, &now, NULL);
	}
	answer_end(r);
	if (good)
		push(t, a, p, by);
	else
		arena_free(a);
}

void
talk_block(struct talk *t, const char *text)
{
	struct arena *a = arena_new();
	const char *kept = arena_text(a, text, strlen(text));
	struct run r;

	answer_begin(t, &r);
	diags_init(&r.diags, a);
	take_project(t, &r, a, project_from_text(a, t->kb,
	    source_new(a, "<words>", sv(kept)), &r.diags), "check");
}

void
talk_open(struct talk *t, const char *path)
{
	struct arena *a = arena_new();
	struct project *p;
	size_t n = t->at;
	struct run r;

	answer_begin(t, &r);
	diags_init(&r.diags, a);
	p = project_read(a, t->kb, path, &r.diags);
	take_project(t, &r, a, p, path);
	if (t->at > n)
		t->saved = t->at;
}

void
talk_save(struct talk *t, const char *path)
{
	struct project *p = talk_project(t);
	struct buf b = {0};
	size_t n = strlen(path);
	char *file;
	bool over;
	const char *why;

	if (p == NULL) {
		talk_say(t, "prompt.empty");
		return;
	}
	over = n > 5 && strcmp(path + n - 5, " over") == 0;
	file = mem_alloc(n + 1);
	memcpy(file, path, over ? n - 5 : n);
	project_print(&b, t->kb, p);
	if (!over && access(file, F_OK) == 0) {
		say_with(t, "prompt.exists", "file", file);
	} else if (file_replace(file, (strview){b.p, b.n}, over, &why)) {
		t->saved = t->at;
		say_with(t, "prompt.saved", "file", file);
	} else {
		say_with(t, "prompt.not-written", "why", why);
	}
	buf_free(&b);
	free(file);
}

bool
talk_unsaved(const struct talk *t)
{
	return t->saved != t->at && talk_project(t) != NULL;
}

/* ---- steps ------------------------------------------------------------------------ */

void
talk_new(struct talk *t)
{
	if (talk_project(t) != NULL)
		push(t, arena_new(), NULL, "new");
	talk_say(t, "prompt.empty");
}

void
talk_undo(struct talk *t)
{
	if (t->at == 0) {
		talk_say(t, "prompt.nothing-to-undo");
		return;
	}
	t->at--;
	say_with(t, "prompt.undone", "what", t->versions[t->at].by);
}

void
talk_redo(struct talk *t)
{
	if (t->at == t->n) {
		talk_say(t, "prompt.nothing-to-redo");
		return;
	}
	t->at++;
	say_with(t, "prompt.redone", "what", t->versions[t->at - 1].by);
}

/* ---- questions about it ------------------------------------------------------------ */

static bool
about(struct talk *t, struct run *r, struct checked *c)
{
	struct project *p = talk_project(t);

	if (p == NULL) {
		talk_say(t, "prompt.empty");
		return false;
	}
	answer_begin(t, r);
	if (check_project(r, p, c))
		return true;
	answer_end(r);
	return false;
}

void
talk_settings(struct talk *t)
{
	struct checked c;
	struct run r;

	if (!about(t, &r, &c))
		return;
	check_settings(&r, &c);
	check_sources(&r);
	answer_end(&r);
}

void
talk_show(struct talk *t)
{
	struct checked c;
	struct run r;

	if (!about(t, &r, &c))
		return;
	check_page(&r, &c);
	answer_end(&r);
}

static bool
whole_number(const char *s, uint32_t *out)
{
	double x = 0;
	size_t used = 0;

	if (!number_read(sv(s), &used, &x) || s[used] != '\0' || x < 0 || x > 100000 ||
	    x != (double)(uint32_t)x)
		return false;
	*out = (uint32_t)x;
	return true;
}

void
talk_why(struct talk *t, const char *which)
{
	struct checked c;
	struct run r;
	uint32_t nth = 1;
	bool numbered = *which == '\0' || whole_number(which, &nth);

	if (!numbered) {
		answer_begin(t, &r);
		if (!rule_page(&r, sv(which)))
			page_add(r.page, BLOCK_PARAGRAPH, NULL, SAY(&r, "why.not-found", "name", which));
		answer_end(&r);
		return;
	}
	if (!about(t, &r, &c))
		return;
	if (!check_reason(&r, &c, nth))
		page_add(r.page, BLOCK_PARAGRAPH, NULL, *which == '\0' ? SAY(&r, "check.sound")
		    : SAY(&r, "why.no-number"));
	check_sources(&r);
	answer_end(&r);
}
