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

static bool
parts_asked(struct run *r, unsigned *which)
{
	*which = r->ask->n_args == 0 ? AUDIT_ALL : 0;
	for (int a = 0; a < r->ask->n_args; a++) {
		unsigned bit = 0;

		for (size_t i = 0; i < PARTS; i++)
			if (sv_is(sv(r->ask->args[a]), parts[i].name))
				bit = parts[i].bit;
		if (bit == 0) {
			usage(r, "the audit has no part %s; it has examples, pins, sweep, twins, basis; "
			    "or give it suggest",
			    r->ask->args[a]);
			return false;
		}
		*which |= bit;
	}
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
	json_key(&j, "report");
	json_open(&j, '[');
	while (rest.n > 0) {
		size_t n = 0;

		while (n < rest.n && rest.p[n] != '\n')
			n++;
		json_text(&j, (strview){rest.p, n});
		n += n < rest.n;
		rest.p += n;
		rest.n -= n;
	}
	json_close(&j, ']');
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
suggestions(struct run *r)
{
	struct buf b = {0};

	if (!run_knowledge(r))
		return EXIT_NOT_RUN;
	audit_suggestions(&b, r->kb);
	if (b.n > 0)
		page_add(r->page, BLOCK_EXCERPT, NULL, arena_text(r->arena, b.p, b.n));
	buf_free(&b);
	return EXIT_SOUND;
}

int
command_audit(struct run *r)
{
	struct audit a = {.n_parts = 0};
	uint32_t failed = 0;
	unsigned which;

	if (r->ask->n_args == 1 && sv_is(sv(r->ask->args[0]), "suggest"))
		return suggestions(r);
	if (!parts_asked(r, &which) || !run_knowledge(r))
		return EXIT_NOT_RUN;
	audit_run(&a, r->kb, which);
	for (uint32_t i = 0; i < a.n_parts; i++)
		failed += a.parts[i].failed;
	if (r->ask->json)
		audit_json(r, &a);
	else
		audit_page(r, &a);
	audit_free(&a);
	return failed > 0 ? EXIT_FINDINGS : EXIT_SOUND;
}
