/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What cairo leaves out of a PDF: the language of its text, for speech, and the
 * wish that a reader shows the title instead of the file's name.
 *
 * Both belong in the catalog. A PDF may be changed by adding to its end: the
 * new form of the object, a table that tells where it is, and a trailer that
 * names the table before (ISO 32000-1:2008, 7.5.6). A file of another form
 * than cairo's classic one is left as it is.
 */
#include "print/print.h"

#include <string.h>

/* The last NEEDLE in B before END; NULL: none. */
static const char *
last(const struct buf *b, size_t end, const char *needle)
{
	size_t n = strlen(needle);

	for (size_t i = end < n ? 0 : end - n + 1; i-- > 0;)
		if (memcmp(b->p + i, needle, n) == 0)
			return b->p + i;
	return NULL;
}

static bool
number_after(const struct buf *b, const char *at, const char *key, unsigned long *out)
{
	const char *end = b->p + b->n;

	if (at == NULL)
		return false;
	for (at += strlen(key); at < end && (*at == ' ' || *at == '\n' || *at == '\r'); at++)
		continue;
	if (at >= end || *at < '0' || *at > '9')
		return false;
	for (*out = 0; at < end && *at >= '0' && *at <= '9' && *out < 1000000000; at++)
		*out = *out * 10 + (unsigned long)(*at - '0');
	return true;
}

/* BCP 47 needs letters, digits and hyphens only. */
static bool
plain_tag(const char *t)
{
	size_t n = strspn(t, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-");

	return n > 0 && n < 40 && t[n] == '\0';
}

void
pdf_finish(struct buf *b, const char *language)
{
	unsigned long root, size, before, new_at, table_at;
	const char *trailer = last(b, b->n, "trailer"), *start = last(b, b->n, "startxref");
	const char *root_at, *size_at, *info_at, *object, *close;
	unsigned long info = 0;
	char head[48];
	struct buf catalog = {0};

	if (language == NULL || !plain_tag(language) || trailer == NULL || start == NULL)
		return;
	root_at = strstr(trailer, "/Root");
	size_at = strstr(trailer, "/Size");
	info_at = strstr(trailer, "/Info");
	if (!number_after(b, root_at, "/Root", &root) || !number_after(b, size_at, "/Size", &size) ||
	    !number_after(b, start, "startxref", &before))
		return;
	snprintf(head, sizeof head, "\n%lu 0 obj", root);
	object = last(b, b->n, head);
	close = object != NULL ? strstr(object, "endobj") : NULL;
	while (close != NULL && close > object && memcmp(close, ">>", 2) != 0)
		close--;
	if (object == NULL || close == NULL || close == object)
		return;
	buf_add(&catalog, object + 1, (size_t)(close - object - 1));
	buf_print(&catalog, "   /Lang (%s)\n   /ViewerPreferences << /DisplayDocTitle true >>\n"
	    ">>\nendobj\n", language);
	if (info_at != NULL)
		number_after(b, info_at, "/Info", &info);
	new_at = b->n;
	buf_add(b, catalog.p, catalog.n);
	buf_free(&catalog);
	table_at = b->n;
	buf_print(b, "xref\n%lu 1\n%010lu 00000 n \ntrailer\n<< /Size %lu\n   /Root %lu 0 R\n", root,
	    new_at, size, root);
	if (info > 0)
		buf_print(b, "   /Info %lu 0 R\n", info);
	buf_print(b, "   /Prev %lu\n>>\nstartxref\n%lu\n", before, table_at);
	buf_str(b, "%%EOF\n");
}
