/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Names met while compiling, each with where it stands and what it is.
 *
 * An open list of symbols with hash buckets over it. One name may stand for
 * several things (an entry of two kinds); whether that is allowed is the
 * caller's affair.
 */
#include "knowledge/knowledge_impl.h"

#include <stdlib.h>
#include <string.h>

static uint32_t
bucket_of(const struct symbols *s, strview text)
{
	return (uint32_t)hash_bytes(text.p, text.n, 0) & (s->n_buckets - 1);
}

void
symbols_free(struct symbols *s)
{
	free(s->s);
	free(s->bucket);
	*s = (struct symbols){0};
}

static void
chain(struct symbols *s, uint32_t i)
{
	uint32_t *at = &s->bucket[bucket_of(s, sv(s->s[i].text))];

	/* At the end, so that the first written is the first found. */
	while (*at != NONE)
		at = &s->s[*at].next;
	s->s[i].next = NONE;
	*at = i;
}

void
symbols_add(struct symbols *s, const char *text, uint32_t id, struct place place)
{
	s->s = mem_grow(s->s, &s->cap, s->n + 1, sizeof *s->s);
	s->s[s->n] = (struct symbol){.text = text, .id = id, .next = NONE, .place = place,
	    .region = NO16};
	s->n++;
	if (s->n > s->n_buckets) {
		free(s->bucket);
		s->n_buckets = s->n_buckets > 0 ? s->n_buckets * 4 : 64;
		s->bucket = mem_alloc(s->n_buckets * sizeof *s->bucket);
		memset(s->bucket, 0xff, s->n_buckets * sizeof *s->bucket);
		for (uint32_t i = 0; i < s->n; i++)
			chain(s, i);
	} else {
		chain(s, s->n - 1);
	}
}

const struct symbol *
symbols_find(const struct symbols *s, strview text, const struct symbol *after)
{
	uint32_t i;

	if (s->n == 0)
		return NULL;
	i = after != NULL ? after->next : s->bucket[bucket_of(s, text)];
	for (; i != NONE; i = s->s[i].next)
		if (sv_is(text, s->s[i].text))
			return &s->s[i];
	return NULL;
}

void
symbols_near(const struct symbols *s, strview text, struct near *near)
{
	for (uint32_t i = 0; i < s->n; i++)
		near_offer(near, text, s->s[i].text);
}

char *
name_key(struct arena *a, strview written)
{
	char *key = text_fold(a, written), *out = key;
	bool blank = true;                 /* none at the start */

	for (const char *p = key; *p != '\0'; p++) {
		bool is = *p == ' ' || *p == '-';

		if (!is)
			*out++ = *p;
		else if (!blank)
			*out++ = ' ';
		blank = is;
	}
	/* A name of hyphens alone stays as it is. */
	if (out == key)
		return key;
	if (out[-1] == ' ')
		out--;
	*out = '\0';
	return key;
}
