/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * compile: the folders of knowledge and rules made into a database.
 */
#include "command/command_impl.h"

/* What could be better is for the author, who asks with --all; the build only
 * wants to hear what is wrong. */
static void
leave_notes_out(struct diags *ds)
{
	size_t kept = 0;

	for (size_t i = 0; i < ds->n; i++)
		if (diag_level(ds->d[i].id) != DIAG_NOTE || ds->d[i].id == D_AREA_ALONE)
			ds->d[kept++] = ds->d[i];
	ds->n = kept;
}

int
command_compile(struct run *r)
{
	const struct request *ask = r->ask;
	bool good;

	if (ask->n_args != 2 || ask->out == NULL)
		return usage(r, "give the folder of knowledge, the folder of rules, and -o FILE");
	r->diags.limit = 5000;                 /* notes must not crowd out what is wrong */
	good = kb_compile(ask->args[0], ask->args[1], ask->out, &r->diags);
	if (!ask->all)
		leave_notes_out(&r->diags);
	return good ? EXIT_SOUND : EXIT_NOT_RUN;
}
