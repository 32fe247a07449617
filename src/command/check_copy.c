/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The checked copy of a list of materials: what was found, beside the rows it
 * hangs on.
 */
#include "command/command_impl.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

/* Where the finding comes from, as far as the person wrote it: a value they
 * said before a thing they named. */
struct place
finding_place(const struct model *m, const struct finding *f)
{
	struct place nowhere = {0};

	for (int said = 1; said >= 0; said--)
		for (uint32_t i = 0; i < f->n_origins; i++) {
			struct place at = origin_place(m, &f->origins[i]);

			if (at.src != NULL &&
			    (m->pedigrees[f->origins[i].pedigree].kind == PEDIGREE_SAID) == said)
				return at;
		}
	return nowhere;
}

static const char *
filled(struct run *r, struct buf *b)
{
	for (size_t i = 0; i < b->n; i++)
		if (b->p[i] == '\n')
			b->p[i] = ' ';
	return run_kept(r, b);
}

static void
take(struct run *r, struct check_copy *k, const struct checked *c, const struct finding *f,
    struct place style, const char *degree)
{
	const struct rule *u = &r->craft->rule[f->rule];
	struct place at = finding_place(c->model, f);
	struct buf says = {0}, settle = {0};
	struct list_remark *m;

	if (!place_in_file(at))
		at = style;                    /* it hangs on nothing that was written */
	k->m = mem_grow(k->m, &k->cap, k->n + 1, sizeof *k->m);
	m = &k->m[k->n++];
	finding_says(&says, r->kb, c->model, f);
	if (u->settle.n > 0)
		message_fill(&settle, r->craft, c->model, &u->settle, &f->binding, &f->limit,
		    f->limit_property);
	*m = (struct list_remark){at.at, {degree, filled(r, &says), filled(r, &settle),
	    rule_name(r, f->rule)}};
}

void
check_copy_take(struct run *r, struct check_copy *k, const struct checked *c, struct place style)
{
	const struct judgement *j = c->judgement;

	for (uint32_t i = 0; i < j->n_fails; i++)
		take(r, k, c, &j->fails[i], style, degree_names[j->fails[i].degree]);
	for (uint32_t i = 0; i < j->n_undecided; i++)
		take(r, k, c, &j->undecided[i], style, "undecided");
}

/* Is this file such a copy?  Then it may be made anew; every other stays. */
static bool
is_copy(struct run *r, const char *path)
{
	const char *mark = SAY(r, "list.copy.degree");
	struct diags quiet;
	strview bytes;
	char *plain;
	size_t n = 0;

	diags_init(&quiet, r->arena);
	if (!file_read(r->arena, path, (size_t)32 << 20, &bytes, &quiet))
		return false;
	plain = arena_alloc(r->arena, bytes.n + 1);
	for (size_t i = 0; i < bytes.n; i++)
		if (bytes.p[i] != '\0')        /* every other byte of UTF-16 */
			plain[n++] = bytes.p[i];
	return strstr(plain, mark) != NULL;
}

bool
check_copy_allowed(struct run *r, const char *path)
{
	struct stat list, copy;
	bool there = stat(path, &copy) == 0;

	if (there && stat(r->ask->args[0], &list) == 0 && list.st_dev == copy.st_dev &&
	    list.st_ino == copy.st_ino) {
		usage(r, "the copy would lie over the list itself; give it another name");
		return false;
	}
	if (there && !is_copy(r, path)) {
		usage(r, "%s exists and is no checked copy; give the copy another name", path);
		return false;
	}
	return true;
}

bool
check_copy_write(struct run *r, struct check_copy *k, strview bytes)
{
	const char *const heads[LIST_COPY_COLUMNS] = {SAY(r, "list.copy.degree"),
	    SAY(r, "list.copy.finding"), SAY(r, "list.copy.suggestion"), SAY(r, "list.copy.rule")};
	const char *path = r->ask->copy, *why = NULL;
	struct buf out = {0};
	struct diags quiet;
	bool good;

	diags_init(&quiet, r->arena);          /* all of it was said when the list was read */
	good = list_copy(r->arena, r->kb, r->ask->args[0], bytes, heads, k->m, k->n, &out, &quiet);
	free(k->m);
	if (good)
		good = file_replace(path, (strview){out.p, out.n}, true, &why);
	if (!good)
		usage(r, "%s cannot be written: %s", path, why != NULL ? why : "the list is not read");
	buf_free(&out);
	return good;
}
