/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What everything rests on: the share of bounds that are published, common
 * practice, or from memory, by kind of entry and by property, and the signs of
 * figures written for show.
 */
#include <stdlib.h>

#include "audit/audit_impl.h"

struct tally { uint32_t by[BASIS__COUNT]; };

static void
count_bound(const struct craft *c, uint32_t source, struct tally *a, struct tally *b,
    struct tally *all)
{
	uint8_t basis = source < c->n_source ? c->source[source].basis : BASIS_MEMORY;

	a->by[basis]++;
	b->by[basis]++;
	all->by[basis]++;
}

static void
print_share(struct buf *b, const char *what, const struct tally *t)
{
	static const char *const names[] = {
		[BASIS_PUBLISHED] = "published", [BASIS_PRACTICE] = "common practice",
		[BASIS_MEMORY] = "from memory", [BASIS_OWN] = "your own",
	};
	uint32_t all = 0;

	for (int i = 0; i < BASIS__COUNT; i++)
		all += t->by[i];
	if (all == 0)
		return;
	buf_print(b, "basis %-28s %5u bounds", what, all);
	for (int i = BASIS__COUNT - 1; i >= 0; i--) {
		if (i == BASIS_OWN && t->by[i] == 0)
			continue;              /* of the shipped knowledge nothing is */
		buf_print(b, "  %s ", names[i]);
		buf_number(b, 100.0 * t->by[i] / all, 3);
		buf_str(b, " %");
	}
	buf_char(b, '\n');
}

static bool
very_wide(const struct typical *t)
{
	double usual = t->usual.r.hi - t->usual.r.lo;

	/* The hair keeps what is exactly three times as wide out. */
	return t->seen.state != VALUE_ABSENT && usual > 0 &&
	    t->seen.r.hi - t->seen.r.lo > 3 * usual * (1 + 1e-9);
}

/* Rules and advice rest on something too. */
static void
count_rules(const struct craft *c, struct tally *rules, struct tally *advice)
{
	for (uint32_t i = 0; i < c->n_rule; i++) {
		uint8_t best = BASIS_MEMORY;

		for (uint8_t k = 0; k < c->rule[i].n_sources; k++)
			if (c->source[c->cited[c->rule[i].first_source + k]].basis > best)
				best = c->source[c->cited[c->rule[i].first_source + k]].basis;
		rules->by[best]++;
	}
	for (uint32_t i = 0; i < c->n_advice; i++) {
		uint8_t best = BASIS_MEMORY;

		for (uint8_t k = 0; k < c->advice[i].n_sources; k++)
			if (c->source[c->cited[c->advice[i].first_source + k]].basis > best)
				best = c->source[c->cited[c->advice[i].first_source + k]].basis;
		advice->by[best]++;
	}
}

void
audit_basis(struct audit *out, struct knowledge *kb)
{
	const struct craft *c = kb_craft(kb);
	struct tally *kinds = mem_alloc((c->n_entry_kind + 1) * sizeof *kinds);
	struct tally *properties = mem_alloc((c->n_property + 1) * sizeof *properties);
	struct tally all = {{0}}, rules = {{0}}, advice = {{0}};
	struct audit_part *p = audit_part(out, "signs of decoration");
	struct buf shares = {0};

	for (uint32_t e = 0; e < c->n_entry; e++) {
		const struct entry_record *r = kb_entry(kb, e);

		for (uint32_t i = 0; i < r->n_typicals; i++) {
			const struct typical *t = &r->typicals[i];
			const struct property *q = &c->property[t->property];

			p->tried++;
			count_bound(c, t->basis_low, &kinds[c->entry[e].kind], &properties[t->property], &all);
			if (q->type == TYPE_QUANTITY)
				count_bound(c, t->basis_high, &kinds[c->entry[e].kind], &properties[t->property], &all);
			if (q->type == TYPE_QUANTITY && very_wide(t))
				audit_fail(out, p, "%s:%u: %s: what was seen of its %s is over three times as wide as usual",
				    craft_text(c, c->entry[e].file), c->entry[e].line, craft_text(c, c->entry[e].name),
				    craft_text(c, q->name));
		}
	}
	count_rules(c, &rules, &advice);
	print_share(&shares, "all values", &all);
	for (uint32_t i = 0; i < c->n_entry_kind; i++)
		print_share(&shares, craft_text(c, c->entry_kind[i].plural), &kinds[i]);
	for (uint32_t i = 0; i < c->n_property; i++) {
		char name[128];

		snprintf(name, sizeof name, "%s.%s", craft_text(c, c->kind[c->property[i].kind].name),
		    craft_text(c, c->property[i].name));
		print_share(&shares, name, &properties[i]);
	}
	print_share(&shares, "rules (best source)", &rules);
	print_share(&shares, "advice (best source)", &advice);
	buf_add(&out->report, shares.p, shares.n);
	buf_free(&shares);
	free(kinds);
	free(properties);
}
