/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Memory: the heap that never says no, and arenas freed as a whole.
 *
 * An arena is a chain of blocks.  Allocation moves a cursor through the block
 * in use; when it is full the next block of the chain is taken if it is large
 * enough, else a new one is linked in.  A reset goes back to the first block
 * and keeps them all, so that the second project read costs no malloc.
 */
#include "base/base.h"

#include <stdlib.h>
#include <string.h>

enum { BLOCK_BYTES = 32 * 1024, ALIGN = 16 };

struct block {
	struct block *next;
	size_t size, used;                 /* of the bytes that follow */
	/* The bytes follow at block_head(). */
};

struct arena {
	struct block *first, *now;
	size_t used;
};

void
die(enum exit_status status, const char *fmt, ...)
{
	va_list ap;
	char text[1024];
	struct buf safe = {0};

	va_start(ap, fmt);
	vsnprintf(text, sizeof text, fmt, ap);
	va_end(ap);
	/* A message may hold a file name; it must not drive the terminal.  The
	 * buffer is small, but if memory is what we lack, print without it. */
	safe.p = malloc(8 * sizeof text);
	if (safe.p != NULL) {
		safe.cap = 8 * sizeof text;
		safe.p[0] = '\0';
		text_safe(&safe, sv(text));
		fprintf(stderr, "bodkin: %s\n", safe.p);
	} else {
		fputs("bodkin: not enough memory\n", stderr);
	}
	fflush(stderr);
	exit((int)status);
}

void *
mem_alloc(size_t n)
{
	void *p = calloc(1, n > 0 ? n : 1);

	if (p == NULL)
		die(EXIT_NOT_RUN, "not enough memory");
	return p;
}

void *
mem_grow(void *p, size_t *cap, size_t want, size_t elem)
{
	size_t n = *cap;

	if (want <= n && p != NULL)
		return p;
	if (n < 16)
		n = 16;
	while (n < want) {
		if (n > SIZE_MAX / 2)
			die(EXIT_NOT_RUN, "not enough memory");
		n *= 2;
	}
	if (elem != 0 && n > SIZE_MAX / elem)
		die(EXIT_NOT_RUN, "not enough memory");
	p = realloc(p, n * elem);
	if (p == NULL)
		die(EXIT_NOT_RUN, "not enough memory");
	*cap = n;
	return p;
}

/* ---- arenas ------------------------------------------------------------ */

static size_t
round_up(size_t n)
{
	if (n > SIZE_MAX / 2)
		die(EXIT_NOT_RUN, "not enough memory");
	return (n + ALIGN - 1) & ~(size_t)(ALIGN - 1);
}

static char *
block_head(struct block *b)
{
	return (char *)b + round_up(sizeof *b);
}

static struct block *
block_new(size_t size)
{
	struct block *b = malloc(round_up(sizeof *b) + size);

	if (b == NULL)
		die(EXIT_NOT_RUN, "not enough memory");
	b->next = NULL;
	b->size = size;
	b->used = 0;
	return b;
}

struct arena *
arena_new(void)
{
	struct arena *a = mem_alloc(sizeof *a);

	a->first = a->now = block_new(BLOCK_BYTES);
	return a;
}

void
arena_free(struct arena *a)
{
	struct block *b, *next;

	if (a == NULL)
		return;
	for (b = a->first; b != NULL; b = next) {
		next = b->next;
		free(b);
	}
	free(a);
}

void
arena_reset(struct arena *a)
{
	for (struct block *b = a->first; b != NULL; b = b->next)
		b->used = 0;
	a->now = a->first;
	a->used = 0;
}

void *
arena_alloc(struct arena *a, size_t n)
{
	struct block *b = a->now;
	char *p;

	n = round_up(n > 0 ? n : 1);
	if (b->size - b->used < n) {
		if (b->next == NULL || b->next->size < n) {
			struct block *fresh = block_new(n > BLOCK_BYTES ? n : BLOCK_BYTES);

			fresh->next = b->next;
			b->next = fresh;
		}
		b = a->now = b->next;
	}
	p = block_head(b) + b->used;
	b->used += n;
	a->used += n;
	memset(p, 0, n);
	return p;
}

char *
arena_text(struct arena *a, const char *p, size_t n)
{
	char *t = arena_alloc(a, n + 1);

	if (n > 0)
		memcpy(t, p, n);
	return t;
}

char *
arena_print(struct arena *a, const char *fmt, ...)
{
	va_list ap, again;
	int n;
	char *t;

	va_start(ap, fmt);
	va_copy(again, ap);
	n = vsnprintf(NULL, 0, fmt, ap);
	va_end(ap);
	if (n < 0)
		die(EXIT_OUR_FAULT, "a format that cannot be printed: %s", fmt);
	t = arena_alloc(a, (size_t)n + 1);
	vsnprintf(t, (size_t)n + 1, fmt, again);
	va_end(again);
	return t;
}

size_t
arena_used(const struct arena *a)
{
	return a->used;
}
