/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * prompt: the conversation.
 *
 * One project is talked about: words describe it or change it, questions are
 * answered about it, and every change can be taken back.  On a terminal lines
 * are edited with completion and history; a pipe is read as it comes.
 */
#ifndef BODKIN_PROMPT_H
#define BODKIN_PROMPT_H

#include "command/command.h"

int prompt_run(const struct request *);    /* until the end of input; an exit status */

#endif
