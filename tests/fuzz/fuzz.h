/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What the fuzzers share: the knowledge base named by FUZZ_KB, and a net under
 * die().
 *
 * A program that ends in die() ends the fuzzer too, which reports it.  Where
 * the end is what should happen (a damaged file), the call runs in the net and
 * EXIT_NOT_RUN only ends the call; a broken invariant of ours is a fault
 * everywhere.  The linker lets __wrap_die stand in for die.
 */
#ifndef BODKIN_FUZZ_H
#define BODKIN_FUZZ_H

#include "project/project.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#define HOLDS(truth) ((truth) ? (void)0 : fuzz_broken(#truth, __FILE__, __LINE__))
_Noreturn void fuzz_broken(const char *truth, const char *file, int line);

struct knowledge *fuzz_kb(void);           /* opened once, never closed */
bool fuzz_netted(void (*run)(void *), void *arg);      /* false: it ended in die(EXIT_NOT_RUN) */
void fuzz_whole(struct arena *, struct knowledge *, const struct project *, bool sound);
	/* Expand, advise and judge.  SOUND: check what each made; with damaged
	 * knowledge it may be nonsense, but nothing may break. */

/* A source of the fuzzer's bytes, in the arena. */
struct source *fuzz_source(struct arena *, const char *name, const uint8_t *data, size_t size);

#endif
