/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The program: reads its options, then hands over to a command or, when none
 * is named, to the conversation.
 */
#include "command/command.h"
#include "prompt/prompt.h"

#include <errno.h>
#include <fcntl.h>
#include <unistd.h>

/* A program started with a standard stream closed must not write its answer
 * into the first file it opens. */
static void
hold_streams(void)
{
	for (int fd = 0; fd <= 2; fd++)
		if (fcntl(fd, F_GETFD) == -1 && errno == EBADF &&
		    open("/dev/null", fd == 0 ? O_RDONLY : O_WRONLY) != fd)
			die(EXIT_NOT_RUN, "a standard stream is closed");
}

int
main(int argc, char **argv)
{
	struct arena *a = arena_new();
	struct request ask;
	int status = EXIT_NOT_RUN;

	hold_streams();
	if (request_read(&ask, a, argc, argv))
		status = ask.command != NULL ? command_run(&ask, NULL) : prompt_run(&ask);
	arena_free(a);
	out_close(stdout, "standard output");
	return status;
}
