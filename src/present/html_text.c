/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Text that can do no harm in HTML or SVG: what means something there is
 * escaped, and what would not be seen is made visible, as on a terminal.
 */
#include "present/present_impl.h"

#include <string.h>

static void
escaped(struct buf *b, const char *p, size_t n)
{
	for (size_t i = 0; i < n; i++) {
		switch (p[i]) {
		case '&': buf_str(b, "&amp;"); break;
		case '<': buf_str(b, "&lt;"); break;
		case '>': buf_str(b, "&gt;"); break;
		case '"': buf_str(b, "&quot;"); break;
		default: buf_char(b, p[i]);
		}
	}
}

void
html_text(struct buf *b, const char *text)
{
	struct buf safe = {0};

	while (*text != '\0') {
		size_t n = strcspn(text, "\n");

		buf_clear(&safe);
		text_safe(&safe, (strview){text, n});
		escaped(b, safe.p != NULL ? safe.p : "", safe.n);
		text += n;
		if (*text == '\n') {
			buf_char(b, '\n');
			text++;
		}
	}
	buf_free(&safe);
}
