/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Plain words: phrases with small words inside them.
 *
 * "the curves were not all clipped" says what the phrase "curves not clipped"
 * says. Words that the knowledge lists as passed over may stand anywhere
 * inside a phrase, but neither begin it nor end it.
 */
#include "project/project_impl.h"

#include <string.h>

/* in tokens, the last in bytes */
enum { LONGEST_RUN = 11, LONGEST_PHRASE = 8, LONGEST_NAME = 6, LONGEST_WORD = 48 };

static bool
passed_over(const struct reader *r, const char *word)
{
	const struct name *names;
	uint32_t n = kb_names(r->t.c, sv(word), &names);

	for (uint32_t i = 0; i < n; i++)
		if (names[i].target == NAME_STOP && names[i].id == STOP_PASSED)
			return true;
	return false;
}

static bool
is_phrase(const struct name *names, uint32_t n)
{
	for (uint32_t i = 0; i < n; i++)
		if (names[i].target == NAME_PHRASE)
			return true;
	return false;
}

uint32_t
words_passing(const struct reader *r, struct buf *b, uint32_t at, uint32_t least,
    const struct name **names, uint32_t *n_names)
{
	uint32_t best = 0, told = 0;
	bool passing = false;

	buf_clear(b);
	for (uint32_t n = 0; n < LONGEST_RUN && told < LONGEST_PHRASE && at + n < r->n_tokens; n++) {
		const struct token *k = &r->tokens[at + n];
		const struct name *found;
		uint32_t n_found;

		if ((n > 0 && k->breaks) || strlen(k->text) > LONGEST_WORD)
			break;
		if (passed_over(r, k->text)) {
			if (n == 0)
				return 0;
			passing = true;
			continue;
		}
		if (told++ > 0)
			buf_str(b, " ");
		buf_str(b, k->text);
		if ((!passing && told <= LONGEST_NAME) || told < 2 || n + 1 <= least)
			continue;
		n_found = kb_names(r->t.c, (strview){b->p, b->n}, &found);
		if (is_phrase(found, n_found)) {
			best = n + 1;
			*names = found;
			*n_names = n_found;
		}
	}
	return best;
}
