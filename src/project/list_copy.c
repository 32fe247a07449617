/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A list of materials copied, with what was found beside its rows.
 *
 * The bytes of the input are copied as they are; only at the end of a record
 * something is put in: the missing cells of a short row, and the added columns,
 * in the list's own separator, encoding and manner of quoting.  So every cell
 * that was there stays what it was, byte for byte.
 */
#include "project/list_impl.h"

#include <string.h>

struct record { size_t from, end; uint32_t cells; bool blank; };    /* end: before the line end */

struct copier {
	strview bytes, text;               /* as it came; as UTF-8 */
	const char *was;                   /* NULL: UTF-8 */
	size_t mark;                       /* bytes of a mark before UTF-8 */
	char separator;
	bool quote_all;
	struct buf *out;
	size_t text_at, byte_at;           /* the same place in both */
	size_t copied;                     /* bytes already written */
};

/* ---- records ------------------------------------------------------------------ */

/* The record that begins at FROM, cut as list_cells() cuts it; where the next begins. */
static size_t
record_at(const struct copier *k, size_t from, struct record *r)
{
	strview t = k->text;
	size_t i = from;

	*r = (struct record){.from = from, .cells = 1, .blank = true};
	for (;;) {
		size_t start = i;

		while (start < t.n && t.p[start] == ' ')
			start++;
		if (start < t.n && t.p[start] == '"') {
			i = start + 1;
			while (i < t.n && !(t.p[i] == '"' && (i + 1 == t.n || t.p[i + 1] != '"')))
				i += t.p[i] == '"' ? 2 : 1;
			r->blank = false;
		}
		while (i < t.n && t.p[i] != k->separator && t.p[i] != '\n' && t.p[i] != '\r') {
			r->blank = r->blank && (t.p[i] == ' ' || t.p[i] == '\t');
			i++;
		}
		if (i >= t.n || t.p[i] != k->separator)
			break;
		r->cells++;
		i++;
	}
	r->end = i < t.n ? i : t.n;
	i = r->end;
	if (i < t.n && t.p[i] == '\r')
		i++;
	if (i < t.n && t.p[i] == '\n')
		i++;
	return i;
}

/* ---- bytes ------------------------------------------------------------------------ */

/* Forward to a place of the text, and to the same place of the bytes. */
static void
go_to(struct copier *k, size_t at)
{
	while (k->text_at < at && k->text_at < k->text.n) {
		size_t n = utf8_step(k->text, k->text_at);

		k->text_at += n;
		k->byte_at += k->was == NULL ? n : strcmp(k->was, "UTF-16") == 0 ?
		    (n == 4 ? 4 : 2) : 1;
	}
}

static void
copy_to(struct copier *k, size_t at)
{
	go_to(k, at);
	if (k->byte_at > k->bytes.n)
		k->byte_at = k->bytes.n;
	buf_add(k->out, k->bytes.p + k->copied, k->byte_at - k->copied);
	k->copied = k->byte_at;
}

static void
put_unit(struct copier *k, uint32_t unit)
{
	bool little = k->bytes.p[0] == '\xff';

	buf_char(k->out, (char)(unsigned char)(little ? unit & 0xff : unit >> 8));
	buf_char(k->out, (char)(unsigned char)(little ? unit >> 8 : unit & 0xff));
}

/* Text of ours in the encoding of the list. */
static void
put(struct copier *k, strview s)
{
	for (size_t i = 0; i < s.n; ) {
		size_t n = utf8_step(s, i);
		uint32_t c = (unsigned char)s.p[i];

		if (n > 1)
			c &= (uint32_t)0x7f >> n;
		for (size_t x = 1; x < n && i + x < s.n; x++)
			c = c << 6 | ((unsigned char)s.p[i + x] & 0x3f);
		if (k->was == NULL) {
			buf_add(k->out, s.p + i, n);
		} else if (strcmp(k->was, "UTF-16") != 0) {
			buf_char(k->out, (char)list_western(c));
		} else if (c >= 0x10000) {
			put_unit(k, 0xd800 + ((c - 0x10000) >> 10));
			put_unit(k, 0xdc00 + ((c - 0x10000) & 0x3ff));
		} else {
			put_unit(k, c);
		}
		i += n;
	}
}

/* A cell that begins like a sum would be worked out by a spreadsheet; none of ours
 * does, but for words of the list that are told again in it. */
static void
put_cell(struct copier *k, const char *s)
{
	const char one[2] = {k->separator, '\0'};
	bool sum = *s != '\0' && strchr("=+-@", *s) != NULL;
	bool quoted = k->quote_all || sum || strpbrk(s, "\"\r\n") != NULL || strstr(s, one) != NULL ||
	    *s == ' ';

	put(k, sv(one));
	if (!quoted) {
		put(k, sv(s));
		return;
	}
	put(k, sum ? SV("\"'") : SV("\""));
	for (; *s != '\0'; ) {
		size_t n = strcspn(s, "\"");

		put(k, (strview){s, n});
		if (s[n] == '"')
			put(k, SV("\"\""));
		s += n + (s[n] == '"');
	}
	put(k, SV("\""));
}

/* ---- remarks of a record ------------------------------------------------------------- */

enum { LIST_ADDED = LIST_COPY_COLUMNS };

static const char *
of_record(struct arena *a, const struct record *r, size_t next, const struct list_remark *m,
    uint32_t n, int column)
{
	struct buf b = {0};
	const char *t;

	for (uint32_t i = 0; i < n; i++) {
		if (m[i].at < r->from || m[i].at >= (next > r->from ? next : r->from + 1))
			continue;
		if (b.n > 0)
			buf_str(&b, " | ");
		buf_str(&b, m[i].cell[column]);
	}
	t = arena_text(a, b.p != NULL ? b.p : "", b.n);
	buf_free(&b);
	return t;
}

bool
list_copy(struct arena *a, struct knowledge *kb, const char *name, strview bytes,
    const char *const heads[LIST_COPY_COLUMNS], const struct list_remark *m, uint32_t n,
    struct buf *out, struct diags *ds)
{
	struct copier k = {.bytes = bytes, .out = out};
	struct list_table table;
	struct list_head head;
	struct record r;
	struct terms t;
	uint32_t widest = 0;
	size_t at, from;

	terms_init(&t, kb);
	if (!list_cells(a, name, bytes, &table, ds) || !list_head(a, &t, &table, &head, ds))
		return false;
	k.text = list_utf8(a, bytes, &k.was);
	k.separator = table.separator;
	k.byte_at = k.was != NULL ? (strcmp(k.was, "UTF-16") == 0 ? 2 : 0) : bytes.n - k.text.n;
	from = table.rows[head.row].cells[0].place.at;
	/* Back to the beginning of the record of headings. */
	for (at = 0; at < k.text.n; ) {
		size_t next = record_at(&k, at, &r);

		if (next > from || next <= at)
			break;
		at = next;
	}
	from = at;
	k.quote_all = k.text.n > from && k.text.p[from] == '"';
	for (at = from; at < k.text.n; at = record_at(&k, at, &r)) {
		record_at(&k, at, &r);
		widest = r.cells > widest ? r.cells : widest;
	}
	for (at = from; at < k.text.n; ) {
		size_t next = record_at(&k, at, &r);
		bool empty = r.blank && r.cells == 1;    /* a line with nothing on it */

		copy_to(&k, r.end);
		for (uint32_t i = r.cells; i < widest && !empty; i++) {
			const char one[2] = {k.separator, '\0'};

			put(&k, sv(one));
		}
		for (int c = 0; c < LIST_ADDED && !empty; c++)
			put_cell(&k, at == from ? heads[c] : of_record(a, &r, next, m, n, c));
		at = next;
	}
	buf_add(out, bytes.p + k.copied, bytes.n - k.copied);
	return true;
}
