/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * One description taken the whole way, as `check --words` takes it.
 */
#include "exam.h"

enum { SHOWN_UNASKED = 5 };                /* undecided items on a page; see check_page.c */

bool
judge_words(struct exam *x, const char *words, struct judged *j)
{
	struct diags quiet;

	*j = (struct judged){0};
	diags_init(&quiet, x->row);
	j->project = project_from_words(x->row, x->kb,
	    source_new(x->row, "<words>", sv(arena_text(x->row, words, sv(words).n))), &quiet);
	if (j->project == NULL)
		return false;
	j->model = model_expand(x->row, x->kb, j->project, &quiet);
	if (j->model == NULL || quiet.errors > 0)
		return false;
	j->advised = advise(x->row, x->kb, j->model);
	j->judgement = judge(x->row, x->kb, j->model);
	return true;
}

uint32_t
findings_touching(const struct exam *x, const struct judged *j, const char *setting)
{
	const struct craft *c = x->c;
	uint32_t n = 0;

	for (uint32_t i = 0; i < j->judgement->n_fails; i++) {
		const struct finding *f = &j->judgement->fails[i];
		const struct rule *r = &c->rule[f->rule];
		bool it = setting == NULL;

		/* A caution for the law's sake is no complaint about sound work. */
		if (f->degree < DEGREE_DOUBTFUL || (setting == NULL && r->safety))
			continue;
		for (uint32_t k = 0; !it && k < r->n_touches; k++)
			it = touches(x, setting, craft_text(c, c->setting[r->touches[k]].name));
		n += it;
	}
	return n;
}

void
findings_list(struct buf *b, const struct exam *x, const struct judged *j)
{
	bool any = false;

	for (uint32_t i = 0; i < j->judgement->n_fails; i++) {
		const struct finding *f = &j->judgement->fails[i];

		if (f->degree < DEGREE_DOUBTFUL)
			continue;
		buf_str(b, any ? ", " : "");
		buf_str(b, craft_text(x->c, x->c->rule[f->rule].id));
		any = true;
	}
	if (!any)
		buf_str(b, "no finding");
}

uint32_t
undecided_shown(const struct judged *j)
{
	return j->judgement->n_questions < SHOWN_UNASKED ? j->judgement->n_questions : SHOWN_UNASKED;
}

void
unread_list(struct buf *b, const struct judged *j)
{
	const struct project *p = j->project;
	bool any = false;

	for (uint32_t i = 0; i < p->n_uses; i++) {
		const struct word_use *w = &p->uses[i];

		if (w->use != USED_NOT || w->place.src == NULL)
			continue;
		buf_str(b, any ? ", " : "; not used: ");
		buf_add(b, w->place.src->text.p + w->place.at, w->place.n);
		any = true;
	}
}
