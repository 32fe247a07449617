/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The audit as a whole: its parts, their counts and their failures.
 */
#include "audit/audit_impl.h"

struct audit_part *
audit_part(struct audit *a, const char *name)
{
	struct audit_part *p = &a->parts[a->n_parts++];

	p->name = name;
	return p;
}

void
audit_fail(struct audit *a, struct audit_part *p, const char *fmt, ...)
{
	char line[2048];
	va_list ap;

	p->failed++;
	va_start(ap, fmt);
	vsnprintf(line, sizeof line, fmt, ap);
	va_end(ap);
	buf_str(&a->report, p->name);
	buf_str(&a->report, ": ");
	text_safe(&a->report, sv(line));
	buf_char(&a->report, '\n');
}

bool
audit_wanted(const struct audit *a, const char *id)
{
	for (uint32_t i = 0; i < a->n_only; i++)
		if (strcmp(a->only[i], id) == 0)
			return true;
	return a->n_only == 0;
}

void
audit_run(struct audit *a, struct knowledge *kb, unsigned which,
    const char *const *only, uint32_t n_only)
{
	*a = (struct audit){.only = only, .n_only = n_only};
	if (which & AUDIT_EXAMPLES)
		audit_examples(a, kb);
	if (which & AUDIT_PINS)
		audit_pins(a, kb, NULL);
	if (which & AUDIT_SWEEP)
		audit_sweep(a, kb);
	if (which & AUDIT_TWINS)
		audit_twins(a, kb);
	if (which & AUDIT_BASIS)
		audit_basis(a, kb);
}

void
audit_suggestions(struct buf *b, struct knowledge *kb, const char *const *only, uint32_t n_only)
{
	struct audit a = {.only = only, .n_only = n_only};

	audit_pins(&a, kb, b);
	audit_free(&a);
}

void
audit_free(struct audit *a)
{
	buf_free(&a->report);
}

uint32_t
audit_kind(const struct craft *c, const char *entry_kind)
{
	for (uint32_t i = 0; i < c->n_entry_kind; i++)
		if (strcmp(craft_text(c, c->entry_kind[i].name), entry_kind) == 0)
			return i;
	return NONE;
}
