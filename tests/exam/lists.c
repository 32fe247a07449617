/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Materials lists: each one put together as a spreadsheet again, its first row
 * the thing to be sewn, and judged as `check LIST.csv` does.
 *
 * A planted mismatch is found when a grave or doubtful finding touches one of its
 * settings and hangs on a row named; a list with more than three times as many
 * findings as planted mismatches counts for nothing.  A sound list is quiet.
 */
#include "exam.h"

#include <stdlib.h>
#include <string.h>

enum { TOO_MANY = 3, ROWS_MOST = 64 };

static const char *const columns[] = {"component", "description", "composition", "weight", "width",
	"care", "qty", "unit", NULL};

static void
put_cell(struct buf *b, const char *text)
{
	buf_char(b, '"');
	for (; *text != '\0'; text++) {
		buf_char(b, *text);
		if (*text == '"')
			buf_char(b, '"');
	}
	buf_char(b, '"');
}

/* The list as a spreadsheet; LINE: the number of the row of each line of it. */
static void
put_together(struct buf *b, const struct sheet *s, const char *id, const char *garment,
    long line[ROWS_MOST], uint32_t *n)
{
	*n = 0;
	for (int i = 0; columns[i] != NULL; i++)
		buf_print(b, "%s%s", i > 0 ? "," : "", columns[i]);
	line[(*n)++] = -1;
	buf_print(b, "\nstyle,");
	put_cell(b, garment);
	line[(*n)++] = 0;
	for (uint32_t r = 0; r < s->n_rows && *n < ROWS_MOST; r++) {
		long no = strtol(sheet_cell(s, r, "line_no"), NULL, 10);

		if (strcmp(sheet_cell(s, r, "list_id"), id) != 0 || no == 0)
			continue;
		buf_char(b, '\n');
		for (int i = 0; columns[i] != NULL; i++) {
			if (i > 0)
				buf_char(b, ',');
			put_cell(b, sheet_cell(s, r, columns[i]));
		}
		line[(*n)++] = no;
	}
	buf_char(b, '\n');
}

static bool
on_line(const struct model *m, const struct finding *f, const struct list *wanted,
    const long line[ROWS_MOST], uint32_t n)
{
	for (uint32_t i = 0; i < f->n_origins; i++) {
		struct place at = origin_place(m, &f->origins[i]);
		uint32_t row, column;

		if (at.src == NULL)
			continue;
		place_line_column(at, &row, &column);
		for (uint32_t k = 0; k < wanted->n && row >= 1 && row <= n; k++)
			if (line[row - 1] == strtol(wanted->item[k], NULL, 10))
				return true;
	}
	return false;
}

static bool
touches_any(const struct exam *x, const struct finding *f, const struct list *settings)
{
	const struct rule *r = &x->c->rule[f->rule];

	for (uint32_t i = 0; i < settings->n; i++)
		for (uint32_t k = 0; k < r->n_touches; k++)
			if (touches(x, settings->item[i], craft_text(x->c,
			    x->c->setting[r->touches[k]].name)))
				return true;
	return false;
}

static struct list
settings_of(struct exam *x, const struct sheet *keys, const char *key)
{
	for (uint32_t r = 0; r < keys->n_rows; r++)
		if (strcmp(sheet_cell(keys, r, "key"), key) == 0)
			return list_split(x->row, sheet_cell(keys, r, "settings"), '|');
	return (struct list){0};
}

static bool
judge_list(struct exam *x, const struct sheet *s, const struct sheet *truth, uint32_t t,
    struct judged *j, long line[ROWS_MOST], uint32_t *n)
{
	struct buf text = {0};
	struct project_list *list;
	struct diags quiet;

	*j = (struct judged){0};
	diags_init(&quiet, x->row);
	put_together(&text, s, sheet_cell(truth, t, "list_id"), sheet_cell(truth, t, "garment"), line,
	    n);
	list = projects_from_list(x->row, x->kb, "<list>", sv(arena_text(x->row, text.p, text.n)),
	    &quiet);
	buf_free(&text);
	if (list == NULL || list->n != 1)
		return false;
	j->project = list->of[0].project;
	j->model = model_expand(x->row, x->kb, j->project, &quiet);
	if (j->model == NULL || quiet.errors > 0)
		return false;
	j->advised = advise(x->row, x->kb, j->model);
	j->judgement = judge(x->row, x->kb, j->model);
	return true;
}

static void
one_list(struct exam *x, const struct sheet *truth, uint32_t t, const struct judged *j,
    const struct sheet *keys, const long line[ROWS_MOST], uint32_t n, struct tally *planted)
{
	struct list wanted = list_split(x->row, sheet_cell(truth, t, "mismatches"), '|');
	struct list lines = list_split(x->row, sheet_cell(truth, t, "line_nos"), '|');
	const char *id = sheet_cell(truth, t, "list_id");
	uint32_t findings = findings_touching(x, j, NULL);

	for (uint32_t k = 0; k < wanted.n; k++) {
		struct list settings = settings_of(x, keys, wanted.item[k]);
		bool found = false;

		for (uint32_t i = 0; i < j->judgement->n_fails && !found; i++) {
			const struct finding *f = &j->judgement->fails[i];

			found = f->degree >= DEGREE_DOUBTFUL && touches_any(x, f, &settings) &&
			    on_line(j->model, f, &lines, line, n);
		}
		found = found && findings <= TOO_MANY * wanted.n;
		planted->of++;
		planted->right += found;
		if (!found) {
			struct buf said = {0};

			findings_list(&said, x, j);
			fell_short(x, planted->part, id, "%s: %s (%u findings)", wanted.item[k], said.p,
			    (unsigned)findings);
			buf_free(&said);
		}
	}
}

void
part_lists(struct exam *x)
{
	struct tally planted = {.part = "lists/planted"}, quiet = {.part = "lists/quiet"};
	struct sheet s, truth, keys;

	if (!exam_sheet(x, "materials_lists.csv", &s) ||
	    !exam_sheet(x, "materials_truth.csv", &truth) ||
	    !exam_sheet(x, "mismatch_keys.csv", &keys))
		return;
	for (uint32_t t = 0; t < truth.n_rows; t++) {
		const char *id = sheet_cell(&truth, t, "list_id");
		long line[ROWS_MOST];
		struct judged j;
		uint32_t n;

		arena_reset(x->row);
		if (!judge_list(x, &s, &truth, t, &j, line, &n)) {
			fell_short(x, "lists", id, "could not be read");
			continue;
		}
		if (strcmp(sheet_cell(&truth, t, "mismatches"), "none") != 0) {
			one_list(x, &truth, t, &j, &keys, line, n, &planted);
			continue;
		}
		quiet.of++;
		quiet.right += findings_touching(x, &j, NULL) == 0;
		if (findings_touching(x, &j, NULL) > 0) {
			struct buf said = {0};

			findings_list(&said, x, &j);
			fell_short(x, quiet.part, id, "%s", said.p);
			buf_free(&said);
		}
	}
	tally_print(&planted);
	tally_print(&quiet);
}
