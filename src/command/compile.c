/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * compile: the folders of knowledge and rules made into a database.
 */
#include "command/command_impl.h"

int
command_compile(struct run *r)
{
	const struct request *ask = r->ask;

	if (ask->n_args != 2 || ask->out == NULL)
		return usage(r, "give the folder of knowledge, the folder of rules, and -o FILE");
	if (!kb_compile(ask->args[0], ask->args[1], ask->out, &r->diags))
		return EXIT_NOT_RUN;
	return EXIT_SOUND;
}
