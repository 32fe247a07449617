/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * audit: runs the proofs of the knowledge and reports what failed.
 */
#include "audit/audit.h"
#include "command/command_impl.h"

enum { PARTS = 5, COLUMNS = 3 };

static const struct { const char *name; unsigned bit; } parts[PARTS] = {
	{"examples", AUDIT_EXAMPLES}, {"pins", AUDIT_PINS}, {"sweep", AUDIT_SWEEP},
	{"twins", AUDIT_TWINS}, {"basis", AUDIT_BASIS},
};

/* Parts by their names; every other word is the id of a rule or of advice to
 * keep to. */
static bool
parts_asked(struct run *r, unsigned *which, const char **only, uint32_t *n_only)
{
	struct near near = {0};

	*which = 0;
	*n_only = 0;
	for (int a = 0; a < r->ask->n_args; a++) {
		strview word = sv(r->ask->args[a]);
		unsigned bit = 0;
		bool known = sv_is(word, "suggest");

		for (size_t i = 0; i < PARTS; i++) {
			if (sv_is(word, parts[i].name))
				bit = parts[i].bit;
			near_offer(&near, word, parts[i].name);
		}
		for (uint32_t i = 0; i < r->craft->n_rule && !known; i++)
			known = sv_is(word, craft_text(r->craft, r->craft->rule[i].id));
		for (uint32_t i = 0; i < r->craft->n_advice && !known; i++)
			known = sv_is(word, craft_text(r->craft, r->craft->advice[i].id));
		for (uint32_t i = 0; i < r->craft->n_order_rule && !known; i++)
			known = sv_is(word, craft_text(r->craft, r->craft->order_rule[i].id));
		if (bit == 0 && !known) {
			usage(r, "%s is neither a part of the audit (examples, pins, sweep, twins, basis, suggest) "
			    "nor a rule or advice%s%s", r->ask->args[a], near.n > 0 ? "; did you mean " : "",
			    near.n > 0 ? near.name[0] : "");
			return false;
		}
		*which |= bit;
		if (bit == 0 && !sv_is(word, "suggest"))
			only[(*n_only)++] = r->ask->args[a];
	}
	if (*which == 0)
		*which = *n_only > 0 ? AUDIT_EXAMPLES | AUDIT_PINS : AUDIT_ALL;
	return true;
}

static void
audit_json(struct run *r, const struct audit *a)
{
	struct json j;
	strview rest = {a->report.n > 0 ? a->report.p : "", a->report.n};

	json_begin(r, &j);
	json_key(&j, "parts");
	json_open(&j, '[');
	for (uint32_t i = 0; i < a->n_parts; i++) {
		json_open(&j, '{');
		json_key(&j, "name");
		json_str(&j, a->parts[i].name);
		json_key(&j, "tried");
		json_number(&j, a->parts[i].tried);
		json_key(&j, "failed");
		json_number(&j, a->parts[i].failed);
		json_close(&j, '}');
	}
	json_close(&j, ']');
	json_lines(&j, "report", rest);
	json_end(r, &j);
}

static void
audit_page(struct run *r, const struct audit *a)
{
	const char **cells = arena_alloc(r->arena, (a->n_parts + 1) * COLUMNS * sizeof *cells);

	if (a->report.n > 0)
		page_add(r->page, BLOCK_EXCERPT, NULL, a->report.p);
	cells[0] = SAY(r, "audit.part");
	cells[1] = SAY(r, "audit.tried");
	cells[2] = SAY(r, "audit.failed");
	for (uint32_t i = 0; i < a->n_parts; i++) {
		cells[(i + 1) * COLUMNS] = a->parts[i].name;
		cells[(i + 1) * COLUMNS + 1] = arena_print(r->arena, "%u", (unsigned)a->parts[i].tried);
		cells[(i + 1) * COLUMNS + 2] = arena_print(r->arena, "%u", (unsigned)a->parts[i].failed);
	}
	page_table(r->page, a->n_parts + 1, COLUMNS, cells);
}

/* Examples to put under the rules whose numbers nothing pins. */
static int
suggestions(struct run *r, const char *const *only, uint32_t n_only)
{
	struct buf b = {0};

	audit_suggestions(&b, r->kb, only, n_only);
	if (b.n > 0)
		page_add(r->page, BLOCK_EXCERPT, NULL, arena_text(r->arena, b.p, b.n));
	buf_free(&b);
	return EXIT_SOUND;
}

int
command_audit(struct run *r)
{
	struct audit a = {.n_parts = 0};
	uint32_t failed = 0, n_only;
	const char **only;
	unsigned which;

	if (!run_knowledge(r))
		return EXIT_NOT_RUN;
	only = arena_alloc(r->arena, ((size_t)r->ask->n_args + 1) * sizeof *only);
	if (!parts_asked(r, &which, only, &n_only))
		return EXIT_NOT_RUN;
	for (int i = 0; i < r->ask->n_args; i++)
		if (sv_is(sv(r->ask->args[i]), "suggest"))
			return suggestions(r, only, n_only);
	audit_run(&a, r->kb, which, only, n_only);
	for (uint32_t i = 0; i < a.n_parts; i++)
		failed += a.parts[i].failed;
	if (r->ask->json)
		audit_json(r, &a);
	else
		audit_page(r, &a);
	audit_free(&a);
	return failed > 0 ? EXIT_FINDINGS : EXIT_SOUND;
}
