/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * proof: a sheet of instructions read for slips, each told at its place.
 */
#include "command/command_impl.h"

#include <string.h>

#include "work/proof.h"

struct totals { uint32_t of[DEGREE__COUNT]; };

static struct totals
totals_of(const struct proof *p)
{
	struct totals n = {{0}};

	for (uint32_t i = 0; i < p->n; i++)
		n.of[p->f[i].degree]++;
	return n;
}

static void
people(struct run *r, const struct proof *p, const char *name)
{
	struct totals n = totals_of(p);
	const char *steps = number_text(r, p->steps, 9), *measures = number_text(r, p->measures, 9);

	page_add(r->page, BLOCK_TITLE, NULL, SAY(r, "proof.title", "file", name));
	for (uint32_t i = 0; i < p->n; i++) {
		const struct proof_finding *f = &p->f[i];

		page_item(r->page, 1, degree_tone(f->degree), arena_print(r->arena, "%u. %s",
		    (unsigned)(i + 1), degree_text(r, f->degree)), f->says);
		page_add(r->page, BLOCK_EXCERPT, NULL, excerpt_text(r, f->place));
		if (f->remedy != NULL && *f->remedy != '\0')
			page_item(r->page, 2, TONE_PLAIN, SAY(r, strcmp(f->check, "measure") == 0 ||
			    strcmp(f->check, "two-meanings") == 0 ? "proof.helps" : "proof.why"), f->remedy);
	}
	page_add(r->page, BLOCK_PARAGRAPH, NULL, p->n == 0
	    ? SAY(r, "proof.sound", "steps", steps, "measures", measures)
	    : SAY(r, "proof.counts", "doubtful", number_text(r, n.of[DEGREE_DOUBTFUL], 9), "mention",
	        number_text(r, n.of[DEGREE_MENTION], 9), "steps", steps, "measures", measures));
}

static void
programs(struct run *r, const struct proof *p, const char *name)
{
	struct totals n = totals_of(p);
	struct json j;

	json_begin(r, &j);
	json_key(&j, "file");
	json_str(&j, name);
	json_key(&j, "findings");
	json_open(&j, '[');
	for (uint32_t i = 0; i < p->n; i++) {
		const struct proof_finding *f = &p->f[i];

		json_open(&j, '{');
		json_key(&j, "check");
		json_str(&j, f->check);
		json_key(&j, "degree");
		json_str(&j, degree_names[f->degree]);
		json_key(&j, "place");
		json_place(&j, f->place);
		json_key(&j, "says");
		json_str(&j, f->says);
		json_key(&j, "remedy");
		json_str(&j, f->remedy != NULL && *f->remedy != '\0' ? f->remedy : NULL);
		json_close(&j, '}');
	}
	json_close(&j, ']');
	json_key(&j, "counts");
	json_open(&j, '{');
	json_key(&j, "doubtful");
	json_number(&j, n.of[DEGREE_DOUBTFUL]);
	json_key(&j, "mention");
	json_number(&j, n.of[DEGREE_MENTION]);
	json_key(&j, "steps");
	json_number(&j, p->steps);
	json_key(&j, "measures");
	json_number(&j, p->measures);
	json_close(&j, '}');
	json_end(r, &j);
}

int
command_proof(struct run *r)
{
	const struct source *src;
	struct proof *p;
	strview text;
	const char *path;

	if (r->ask->n_args != 1)
		return usage(r, "proof takes one file of text, or - for what is typed or piped in");
	if (!run_knowledge(r))
		return EXIT_NOT_RUN;
	path = r->ask->args[0];
	if (!file_read(r->arena, path, PROOF_LARGEST, &text, &r->diags))
		return EXIT_NOT_RUN;
	src = source_new(r->arena, strcmp(path, "-") == 0 ? "<input>" : path, text);
	if (wants_stage(r->ask, "tokens")) {
		proof_tokens(&r->out, r->arena, r->kb, src, &r->diags);
		return r->diags.errors > 0 ? EXIT_NOT_RUN : EXIT_SOUND;
	}
	p = proof_sheet(r->arena, r->kb, src, &r->diags);
	if (p == NULL || r->diags.errors > 0)
		return EXIT_NOT_RUN;
	if (r->ask->json)
		programs(r, p, src->name);
	else
		people(r, p, src->name);
	return totals_of(p).of[DEGREE_DOUBTFUL] > 0 ? EXIT_FINDINGS : EXIT_SOUND;
}
