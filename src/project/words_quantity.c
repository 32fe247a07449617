/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Plain words: a written quantity, with everything that it can measure.
 *
 * The reading is tried for each property of the schema; those for which most
 * of the text makes sense are kept, and which is meant is decided later, by
 * what stands near.
 */
#include "project/project_impl.h"

#include <string.h>

enum { LONGEST_QUANTITY = 120 };           /* bytes */

static bool
digit(char c)
{
	return c >= '0' && c <= '9';
}

static bool
figure(const char *text)
{
	return digit(text[0]) || (text[0] == '.' && digit(text[1])) ||
	    (strchr("~<>=-", text[0]) != NULL && text[0] != '\0' && digit(text[1]));
}

static bool
same_reading(const struct property *a, const struct property *b)
{
	return dim_eq(a->dim, b->dim) && a->first_unit == b->first_unit &&
	    a->n_units == b->n_units &&
	    a->bare_unit == b->bare_unit && a->domain.lo == b->domain.lo &&
	    a->domain.hi == b->domain.hi && a->about == b->about;
}

/* How far a quantity reaches whose value cannot be, with its unit. */
static void
beyond(const struct reader *r, uint32_t property, strview text, size_t *reach)
{
	struct reading_for f = property_reading(&r->t, property);
	struct reading again;

	f.domain = range_all();
	again = reading_of(r->t.c->units, r->t.c->range_words, &f, text, false);
	if (again.fault == READ_FINE && again.used > *reach)
		*reach = again.used;
}

/* A quantity at token AT, with all it can measure; its tokens, 0 if none. */
uint32_t
words_quantity(const struct reader *r, uint32_t at, struct item *item)
{
	const struct craft *c = r->t.c;
	size_t from = r->tokens[at].place.at, used = 0, too_far = 0;
	strview text = {r->src->text.p + from, r->src->text.n - from};
	struct measured *m = NULL;
	struct reading last = {0};
	uint32_t n = 0, last_of = NONE, tokens = 0;
	bool near_figure = false;

	for (uint32_t i = 0; i < 4 && at + i < r->n_tokens; i++)
		near_figure = near_figure || (figure(r->tokens[at + i].text) &&
		    (i == 0 || !r->tokens[at + i].breaks));
	if (!near_figure)
		return 0;
	if (text.n > LONGEST_QUANTITY) {
		text.n = LONGEST_QUANTITY;
		while (text.n > 0 && ((unsigned char)text.p[text.n] & 0xc0) == 0x80)
			text.n--;
	}
	item->fault = READ_NOTHING;
	for (uint32_t i = 0; i < c->n_property; i++) {
		if (!property_is_quantity(&r->t, i))
			continue;
		/* Neighbours in the schema are often read alike. */
		if (last_of == NONE || !same_reading(&c->property[last_of], &c->property[i])) {
			struct reading_for f = property_reading(&r->t, i);

			last = reading_of(c->units, c->range_words, &f, text, false);
			last_of = i;
		}
		if (last.fault == READ_OUT_OF_DOMAIN && last_of == i)
			beyond(r, i, text, &too_far);
		if (last.fault != READ_FINE) {
			if (item->fault == READ_NOTHING)
				item->fault = last.fault;
			continue;
		}
		if (last.used == 0 || last.used < used)
			continue;
		if (last.used > used)
			n = 0;
		used = last.used;
		if (m == NULL)
			m = arena_alloc(r->arena, c->n_property * sizeof *m);
		m[n++] = (struct measured){i, last.value, last.unit};
	}
	if (n == 0 && too_far > 0) {
		used = too_far;
		item->fault = READ_OUT_OF_DOMAIN;
	} else if (n == 0 && figure(r->tokens[at].text)) {
		used = r->tokens[at].place.n;
	}
	if (used == 0)
		return 0;
	while (at + tokens < r->n_tokens && r->tokens[at + tokens].place.at < from + used)
		tokens++;
	item->measured = m;
	item->n_measured = n;
	item->bare = item->whole = true;
	for (size_t i = 0; i < used; i++) {
		item->whole = item->whole && digit(text.p[i]);
		item->bare = item->bare && strchr("0123456789., ", text.p[i]) != NULL;
	}
	/* "2-piece" is no quantity of two, but "90-110 g/m2" is one of both. */
	if (item->whole && !number_read((strview){text.p, used}, NULL, &item->number))
		item->whole = false;
	return tokens;
}
