/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Pairings: one setting asked for, or a whole description judged; and what
 * the same rows give to answers that know nothing.
 */
#include "exam.h"

#include "advise/rank.h"

#include <stdlib.h>
#include <string.h>

enum { GIVEN_MOST = 8, FEW_VALUES = 6 };

struct given {                             /* what was answered to one row */
	struct answer start[GIVEN_MOST];   /* all that the starting choice can still be */
	uint32_t n_start;
	struct answer other[2];            /* alternatives that count, best first */
	uint32_t n_other;
	uint32_t property;
	const char *unread;                /* words that were not used, for the line of a shortfall */
};

struct asked {                             /* the recommend rows that are scored */
	const char *id, *words, *setting, *expected, *min, *max, *unit;
	struct given given;
};

/* ---- recommend ------------------------------------------------------------------ */

static uint32_t
possible_values(const struct craft *c, uint32_t setting)
{
	const struct property *p = &c->property[c->setting[setting].property];

	return p->type == TYPE_WORDS ? c->word_set[p->word_set].n : c->setting[setting].n_obtainable;
}

static void
add_other(struct exam *x, struct given *g, const value *v)
{
	struct answer a;

	if (g->n_other < 2 && v->state == VALUE_KNOWN && answers_of(x, g->property, v, &a, 1) == 1)
		g->other[g->n_other++] = a;
}

static void
ask(struct exam *x, const struct asked *q, struct given *g)
{
	uint32_t setting = setting_find(x->c, sv(q->setting));
	const struct choice *k;
	struct judged j;
	struct buf unread = {0};

	*g = (struct given){.property = NONE, .unread = ""};
	if (setting == NONE || !judge_words(x, q->words, &j))
		return;
	g->property = x->c->setting[setting].property;
	unread_list(&unread, &j);
	g->unread = arena_text(x->arena, unread.n > 0 ? unread.p : "", unread.n);
	buf_free(&unread);
	if (suit_asked(x->c, setting)) {
		struct ranking r = suit_answer(x->row, x->kb, j.project);

		for (uint32_t i = 0; i < r.n && i < 3 && (i == 0 || r.s[i].is == SUIT_WELL); i++) {
			struct answer a = {.is = ANSWER_ENTRY, .entry = r.s[i].entry};

			if (i == 0)
				g->start[g->n_start++] = a;
			else
				g->other[g->n_other++] = a;
		}
		return;
	}
	k = advise_for(j.advised, j.model, setting, j.project, NULL);
	if (k == NULL)
		k = advise_anyway(x->row, x->kb, j.model, setting, j.project, NULL);
	if (k == NULL)
		return;
	g->n_start = answers_of(x, g->property, &k->start, g->start, GIVEN_MOST);
	if (possible_values(x->c, setting) > FEW_VALUES && g->n_start > 0 &&
	    g->start[0].is != ANSWER_NUMBER) {
		if (k->flips)
			add_other(x, g, &k->other);
		add_other(x, g, &k->lighter);
		add_other(x, g, &k->heavier);
	}
}

static bool
fits(struct exam *x, const struct answer *a, const struct asked *q)
{
	if (a->is == ANSWER_NUMBER && (*q->min != '\0' || *q->max != '\0'))
		return match_number(x, a, q->min, q->max, q->unit);
	return match_expected(x, a, q->expected);
}

static bool
given_fits(struct exam *x, const struct given *g, const struct asked *q)
{
	bool start = g->n_start > 0;

	for (uint32_t i = 0; i < g->n_start && start; i++)
		start = fits(x, &g->start[i], q);
	for (uint32_t i = 0; i < g->n_other && !start; i++)
		start = fits(x, &g->other[i], q);
	return start;
}

static const char *
given_text(struct exam *x, const struct given *g)
{
	struct buf b = {0};
	const char *t;

	for (uint32_t i = 0; i < g->n_start; i++) {
		buf_str(&b, i > 0 ? " or " : "");
		answer_print(&b, x, &g->start[i], g->property);
	}
	for (uint32_t i = 0; i < g->n_other; i++) {
		buf_str(&b, "; else ");
		answer_print(&b, x, &g->other[i], g->property);
	}
	t = arena_text(x->row, b.n > 0 ? b.p : "nothing", b.n > 0 ? b.n : 7);
	buf_free(&b);
	return t;
}

static const char *
wanted_text(struct exam *x, const struct asked *q)
{
	if (*q->min == '\0' && *q->max == '\0')
		return q->expected;
	return arena_print(x->row, "%s..%s %s", q->min, q->max, q->unit);
}

/* ---- answers that know nothing ------------------------------------------------------ */

static uint32_t
fitting(struct exam *x, const struct answer *a, const struct asked *q, uint32_t n,
    const char *setting)
{
	uint32_t right = 0;

	for (uint32_t i = 0; i < n; i++)
		right += strcmp(q[i].setting, setting) == 0 && fits(x, a, &q[i]);
	return right;
}

/* Any end of an expected range and any value that can be had. */
static uint32_t
best_number(struct exam *x, const struct asked *q, uint32_t n, uint32_t setting)
{
	const struct craft *c = x->c;
	const struct setting *s = &c->setting[setting];
	const struct property *p = &c->property[s->property];
	const char *name = craft_text(c, s->name);
	struct answer a = {.is = ANSWER_NUMBER, .dim = p->dim, .property = s->property};
	uint32_t best = 0, right;
	size_t used;
	double v;

	for (uint32_t i = 0; i < s->n_obtainable; i++) {
		a.number = range_exact(c->obtainable[s->first_obtainable + i]);
		right = fitting(x, &a, q, n, name);
		best = right > best ? right : best;
	}
	for (uint32_t i = 0; i < n; i++) {
		int u = strcmp(q[i].setting, name) == 0 ? unit_written(x, q[i].unit, p->dim) : -1;

		for (int end = 0; u >= 0 && end < 2; end++) {
			strview t = sv(end == 0 ? q[i].min : q[i].max);

			if (!number_read(t, &used, &v) || used != t.n ||
			    !unit_to_base(&c->units->u[u], v, &v))
				continue;
			a.number = range_exact(v);
			right = fitting(x, &a, q, n, name);
			best = right > best ? right : best;
		}
	}
	return best;
}

/* Any value of the setting's words and any entry at all may be the constant. */
static uint32_t
best_word(struct exam *x, const struct asked *q, uint32_t n, const char *setting, uint32_t property)
{
	const struct craft *c = x->c;
	uint32_t best = 0, right;

	for (uint32_t e = 0; e < c->n_entry; e++) {
		struct answer a = {.is = ANSWER_ENTRY, .entry = e};

		arena_reset(x->row);
		right = fitting(x, &a, q, n, setting);
		best = right > best ? right : best;
	}
	if (c->property[property].type != TYPE_WORDS)
		return best;
	for (uint32_t w = 0; w < c->word_set[c->property[property].word_set].n; w++) {
		struct answer a = {.is = ANSWER_WORD, .set = c->property[property].word_set, .word = w};

		if (c->word[c->word_set[a.set].first + w].entry != NONE)
			continue;
		arena_reset(x->row);
		right = fitting(x, &a, q, n, setting);
		best = right > best ? right : best;
	}
	return best;
}

static void
constants(struct exam *x, const struct asked *q, uint32_t n)
{
	struct tally all = {.part = "pairings/recommend-constant"};

	for (uint32_t i = 0; i < n; i++) {
		uint32_t setting = setting_find(x->c, sv(q[i].setting)), property;
		struct tally t = {.part = arena_print(x->arena, "pairings/recommend-constant/%s",
		    q[i].setting)};
		bool before = false;

		for (uint32_t k = 0; k < i; k++)
			before = before || strcmp(q[k].setting, q[i].setting) == 0;
		for (uint32_t k = 0; k < n; k++)
			t.of += strcmp(q[k].setting, q[i].setting) == 0;
		if (before)
			continue;
		if (setting != NONE) {
			property = x->c->setting[setting].property;
			t.right = x->c->property[property].type == TYPE_QUANTITY ?
			    best_number(x, q, n, setting) :
			    best_word(x, q, n, q[i].setting, property);
		}
		control_print(&t);
		all.right += t.right;
		all.of += t.of;
	}
	control_print(&all);
}

/* Each answer held against what every other row of its setting expects. */
static void
exchanged(struct exam *x, const struct asked *q, uint32_t n)
{
	struct tally t = {.part = "pairings/recommend-exchanged"};

	for (uint32_t i = 0; i < n; i++) {
		arena_reset(x->row);
		for (uint32_t k = 0; k < n; k++) {
			if (i == k || strcmp(q[i].setting, q[k].setting) != 0)
				continue;
			t.right += given_fits(x, &q[i].given, &q[k]);
			t.of++;
		}
	}
	control_print(&t);
}

static void
recommend(struct exam *x, const struct sheet *s)
{
	struct asked *q = mem_alloc((s->n_rows + 1) * sizeof *q);
	struct tally t = {.part = "pairings/recommend"};
	uint32_t n = 0;

	for (uint32_t r = 0; r < s->n_rows; r++) {
		struct asked a = {.id = sheet_cell(s, r, "id"), .words = sheet_cell(s, r, "words"),
		    .setting = sheet_cell(s, r, "setting"), .expected = sheet_cell(s, r, "expected"),
		    .min = sheet_cell(s, r, "min"), .max = sheet_cell(s, r, "max"),
		    .unit = sheet_cell(s, r, "unit")};

		if (strcmp(sheet_cell(s, r, "kind"), "recommend") != 0)
			continue;
		arena_reset(x->row);
		if (strcmp(a.setting, "other") == 0) {
			printf("not scored pairings/recommend %s: \"%s\" expects %s\n", a.id, a.words,
			    wanted_text(x, &a));
			continue;
		}
		ask(x, &a, &a.given);
		q[n++] = a;
		t.of++;
		if (given_fits(x, &a.given, &a))
			t.right++;
		else
			fell_short(x, t.part, a.id, "%s of \"%s\": said %s, expected %s%s", a.setting,
			    a.words, given_text(x, &a.given), wanted_text(x, &a), a.given.unread);
	}
	tally_print(&t);
	constants(x, q, n);
	exchanged(x, q, n);
	free(q);
}

/* ---- mismatch and fine ---------------------------------------------------------------- */

static const char *
list_text(struct exam *x, const struct judged *j)
{
	struct buf b = {0};
	const char *t;

	findings_list(&b, x, j);
	unread_list(&b, j);
	t = arena_text(x->row, b.p, b.n);
	buf_free(&b);
	return t;
}

static void
judged_rows(struct exam *x, const struct sheet *s, const char *kind, bool must_fire)
{
	struct tally t = {.part = arena_print(x->arena, "pairings/%s", kind)};
	uint32_t *findings = mem_alloc((s->n_rows + 1) * sizeof *findings);
	uint32_t *undecided = mem_alloc((s->n_rows + 1) * sizeof *undecided);

	for (uint32_t r = 0; r < s->n_rows; r++) {
		const char *id = sheet_cell(s, r, "id"), *words = sheet_cell(s, r, "words");
		const char *setting = sheet_cell(s, r, "setting");
		struct judged j;
		uint32_t hit;

		if (strcmp(sheet_cell(s, r, "kind"), kind) != 0)
			continue;
		arena_reset(x->row);
		if (!judge_words(x, words, &j)) {
			t.of++;
			fell_short(x, t.part, id, "\"%s\" could not be judged", words);
			continue;
		}
		findings[t.of] = findings_touching(x, &j, NULL);
		undecided[t.of] = undecided_shown(&j);
		hit = must_fire ? findings_touching(x, &j, setting) : findings[t.of];
		t.of++;
		if ((hit > 0) == must_fire)
			t.right++;
		else
			fell_short(x, t.part, id, "%s of \"%s\": %s", setting, words, list_text(x, &j));
	}
	tally_print(&t);
	if (must_fire)
		control_mean(arena_print(x->arena, "findings/%s", kind), findings, t.of);
	control_mean(arena_print(x->arena, "undecided/%s", kind), undecided, t.of);
	free(findings);
	free(undecided);
}

void
part_pairings(struct exam *x)
{
	struct sheet s;

	if (!exam_sheet(x, "pairings.csv", &s))
		return;
	recommend(x, &s);
	judged_rows(x, &s, "mismatch", true);
	judged_rows(x, &s, "fine", false);
	part_twins(x, &s);
	part_words(x, &s);
}
