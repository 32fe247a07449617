/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * check: a project read, judged, and answered as a page, as JSON, as lines or
 * as the dump of a stage.
 */
#include "command/command_impl.h"

#include "advise/rank.h"

#include <string.h>

bool
check_project(struct run *r, struct project *p, struct checked *c)
{
	const char *culprit;

	*c = (struct checked){.project = p};
	if (!project_check(r->kb, p, &culprit))
		die(EXIT_OUR_FAULT, "a project is not sound: %s", culprit);
	c->model = model_expand(r->arena, r->kb, p, &r->diags);
	if (c->model == NULL || r->diags.errors > 0)
		return false;
	if (!model_check(c->model, &culprit))
		die(EXIT_OUR_FAULT, "a model is not sound: %s", culprit);
	c->advised = advise(r->arena, r->kb, c->model);
	c->judgement = judge(r->arena, r->kb, c->model);
	return true;
}

static struct project *
project_asked(struct run *r)
{
	const struct request *ask = r->ask;

	if (ask->words != NULL)
		return project_from_words(r->arena, r->kb,
		    source_new(r->arena, "<words>", sv(ask->words)), &r->diags);
	return project_read(r->arena, r->kb, ask->args[0], &r->diags);
}

/* ---- lines ------------------------------------------------------------------ */

/* For editors: always a file, a line and a column. What hangs on nothing that was
 * written stands at the beginning. */
static void
line_head(struct run *r, struct place at, const struct source *src)
{
	uint32_t line = 1, column = 1;

	if (at.src != NULL) {
		place_line_column(at, &line, &column);
		src = at.src;
	}
	text_safe(&r->out, sv(src != NULL && src->name[0] != '<' ? src->name : "words"));
	buf_print(&r->out, ":%u:%u", (unsigned)line, (unsigned)column);
}

static void
brief_line(struct run *r, const struct checked *c, const struct finding *f, const char *degree)
{
	struct place at = finding_place(c->model, f);
	const struct source *src = c->project->source;
	struct buf text = {0};

	finding_says(&text, r->kb, c->model, f);
	if (r->ask->lines)
		line_head(r, at, src);
	else if (place_in_file(at))
		text_safe(&r->out, sv(place_text(r, at)));
	else
		text_safe(&r->out, sv(src != NULL && src->name[0] != '<' ? src->name : "words"));
	buf_print(&r->out, ": %s: ", degree);
	text_safe(&r->out, sv(text.p));
	buf_print(&r->out, " [%s]", rule_name(r, f->rule));
	if (!r->ask->lines) {
		buf_char(&r->out, ' ');
		text_safe(&r->out, sv(object_name(c->model, f->binding.object[0])));
	}
	buf_char(&r->out, '\n');
	buf_free(&text);
}

static void
brief(struct run *r, const struct checked *c)
{
	const struct judgement *j = c->judgement;

	for (uint32_t i = 0; i < j->n_fails; i++)
		brief_line(r, c, &j->fails[i], degree_names[j->fails[i].degree]);
	for (uint32_t i = 0; i < j->n_undecided; i++)
		brief_line(r, c, &j->undecided[i], "undecided");
}

/* ---- stages ----------------------------------------------------------------- */

static void
rules_dump(struct run *r, const struct checked *c)
{
	struct finding worst;

	for (uint32_t i = 0; i < r->craft->n_rule; i++) {
		tri t = judge_rule(r->arena, c->model, i, &worst);

		buf_print(&r->out, "%-10s %s\n",
		    t == TRI_TRUE ? "holds" : t == TRI_FALSE ? "fails" :
		    t == TRI_UNKNOWN ? "undecided" : "not run",
		    craft_text(r->craft, r->craft->rule[i].id));
	}
}

static void
trace_dump(struct run *r, const struct checked *c)
{
	const struct judgement *j = c->judgement;

	for (uint32_t i = 0; i < j->n_fails + j->n_undecided; i++) {
		const struct finding *f = i < j->n_fails ? &j->fails[i]
		    : &j->undecided[i - j->n_fails];

		bool before = false;

		for (uint32_t k = 0; k < i; k++)
			before = before || f->rule == (k < j->n_fails ? &j->fails[k]
			    : &j->undecided[k - j->n_fails])->rule;
		if (before)
			continue;
		buf_print(&r->out, "rule %s\n", craft_text(r->craft, r->craft->rule[f->rule].id));
		judge_trace(&r->out, r->kb, c->model, f->rule);
	}
}

void
check_dump(struct run *r, const struct checked *c)
{
	if (wants_stage(r->ask, "tokens"))
		project_tokens(&r->out, r->kb, c->project);
	if (wants_stage(r->ask, "project"))
		project_print(&r->out, r->kb, c->project);
	if (wants_stage(r->ask, "model"))
		model_print(&r->out, c->model);
	if (wants_stage(r->ask, "advise"))
		advise_trace(&r->out, r->kb, c->model, c->advised);
	if (wants_stage(r->ask, "rules"))
		rules_dump(r, c);
	if (wants_stage(r->ask, "trace"))
		trace_dump(r, c);
}

/* ---- the command -------------------------------------------------------------- */

uint32_t
setting_wanted(struct run *r, strview name)
{
	uint32_t s = setting_find(r->craft, name);
	struct near near = {0};
	struct buf b = {0};

	if (s != NONE)
		return s;
	for (uint32_t i = 0; i < r->craft->n_setting; i++)
		near_offer(&near, name, craft_text(r->craft, r->craft->setting[i].name));
	buf_print(&b, "there is no setting %.*s", (int)(name.n < 200 ? name.n : 200), name.p);
	for (int i = 0; i < near.n; i++)
		buf_print(&b, "%s%s", i == 0 ? "; did you mean " : " or ", near.name[i]);
	buf_str(&b, near.n > 0 ? "?" : " (see: bodkin list settings)");
	usage(r, "%s", b.p);
	buf_free(&b);
	return NONE;
}

static int
answer(struct run *r, const struct checked *c, uint32_t setting)
{
	uint32_t object;
	bool applies = suit_asked(r->craft, setting) ||
	    advise_for(c->advised, c->model, setting, c->project, &object) != NULL ||
	    advise_anyway(r->arena, r->kb, c->model, setting, c->project, &object) != NULL;

	if (r->ask->json)
		check_answer_json(r, c, setting);
	else
		check_answer(r, c, setting);
	return applies ? EXIT_SOUND : EXIT_FINDINGS;
}

/* The answer of one project, in the form asked for; its exit status. */
static int
report(struct run *r, const struct checked *c, uint32_t setting)
{
	const struct request *ask = r->ask;

	if (setting == NONE && c->project->asked != NONE && !ask->json && ask->stages == NULL &&
	    !ask->brief && !ask->lines)
		setting = c->project->asked;
	if (ask->stages != NULL && !wants_stage(ask, "page"))
		check_dump(r, c);
	else if (setting != NONE)
		return answer(r, c, setting);
	else if (ask->json)
		check_json(r, c);
	else if (ask->brief || ask->lines)
		brief(r, c);
	else
		check_page(r, c);
	if (judge_findings(c->judgement, DEGREE_DOUBTFUL) > 0)
		return EXIT_FINDINGS;
	return ask->strict && c->judgement->n_undecided > 0 ? EXIT_FINDINGS : EXIT_SOUND;
}

/* ---- a list of materials ------------------------------------------------------ */

enum { LIST_BYTES_MOST = 16 << 20 };

/* Each thing to be sewn by itself; the worst status of all. */
static int
check_list(struct run *r, uint32_t setting)
{
	const char *path = r->ask->args[0];
	struct project_list *list;
	struct check_copy copy = {0};
	int worst = EXIT_SOUND;
	strview bytes;

	if (!file_read(r->arena, path, LIST_BYTES_MOST, &bytes, &r->diags))
		return EXIT_NOT_RUN;
	list = projects_from_list(r->arena, r->kb, path, bytes, &r->diags);
	if (list == NULL || r->diags.errors > 0)
		return EXIT_NOT_RUN;
	if (r->ask->copy != NULL && !check_copy_allowed(r, r->ask->copy))
		return EXIT_NOT_RUN;
	for (uint32_t i = 0; i < list->n; i++) {
		struct checked c;
		int status;

		if (!check_project(r, list->of[i].project, &c))
			return EXIT_NOT_RUN;
		if (r->ask->copy != NULL)
			check_copy_take(r, &copy, &c, list->of[i].place);
		status = report(r, &c, setting);
		worst = status > worst ? status : worst;
	}
	if (r->ask->copy != NULL && !check_copy_write(r, &copy, bytes))
		return EXIT_NOT_RUN;
	return worst;
}

int
command_check(struct run *r)
{
	const struct request *ask = r->ask;
	struct project *p;
	struct checked c;
	uint32_t setting = NONE;

	if (ask->words != NULL && ask->n_args > 0)
		return usage(r, "give a file or --words, not both");
	if (ask->words == NULL && ask->n_args == 0)
		return usage(r, "give a project file, or --words and a text in quotes");
	if (ask->n_args > 1)
		return usage(r, "one file at a time; put plain words after --words, in quotes");
	if (!run_knowledge(r))
		return EXIT_NOT_RUN;
	if (ask->copy != NULL && (ask->words != NULL || !project_is_list(ask->args[0])))
		return usage(r, "--copy takes a list of materials (.csv, .tsv)");
	if (ask->setting != NULL && (setting = setting_wanted(r, sv(ask->setting))) == NONE)
		return EXIT_NOT_RUN;
	if (ask->words == NULL && project_is_list(ask->args[0]))
		return check_list(r, setting);
	p = project_asked(r);
	if (p == NULL || r->diags.errors > 0 || !check_project(r, p, &c))
		return EXIT_NOT_RUN;
	return report(r, &c, setting);
}
