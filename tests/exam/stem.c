/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Words brought to their stems by the stemmer of the full-text search, which
 * the program's own search uses too: one row in a table that lives in memory,
 * read back through its vocabulary.  What has been stemmed once is kept: the
 * controls hold the same few phrases against every entry there is.
 */
#include "exam.h"

#include <sqlite3.h>
#include <stdlib.h>

enum { BUCKETS = 4096 };

struct stemmed {
	strview text;
	struct list stems;
	struct stemmed *next;
};
struct stemmer {
	sqlite3 *db;
	sqlite3_stmt *put, *get, *wipe;
	struct arena *arena;               /* of what is kept */
	struct stemmed *kept[BUCKETS];
};

static void
must(const struct stemmer *s, int result)
{
	if (result != SQLITE_OK && result != SQLITE_DONE && result != SQLITE_ROW)
		die(EXIT_NOT_RUN, "cannot stem words: %s", sqlite3_errmsg(s->db));
}

struct stemmer *
stemmer_new(void)
{
	struct stemmer *s = mem_alloc(sizeof *s);

	s->arena = arena_new();
	must(s, sqlite3_open(":memory:", &s->db));
	must(s, sqlite3_exec(s->db,
	    "CREATE VIRTUAL TABLE said USING fts5(words,"
	    " tokenize='porter unicode61 remove_diacritics 2');"
	    "CREATE VIRTUAL TABLE stems USING fts5vocab(said, row);", NULL, NULL, NULL));
	must(s, sqlite3_prepare_v2(s->db, "INSERT INTO said(rowid, words) VALUES(1, ?)", -1,
	    &s->put, NULL));
	must(s, sqlite3_prepare_v2(s->db, "SELECT term FROM stems ORDER BY term", -1,
	    &s->get, NULL));
	must(s, sqlite3_prepare_v2(s->db, "DELETE FROM said", -1, &s->wipe, NULL));
	return s;
}

void
stemmer_free(struct stemmer *s)
{
	sqlite3_finalize(s->put);
	sqlite3_finalize(s->get);
	sqlite3_finalize(s->wipe);
	sqlite3_close(s->db);
	arena_free(s->arena);
	free(s);
}

static struct list
stemmed(struct stemmer *s, strview text)
{
	struct list l = {.item = arena_alloc(s->arena, (text.n + 1) * sizeof *l.item)};

	must(s, sqlite3_bind_text(s->put, 1, text.p, (int)text.n, SQLITE_TRANSIENT));
	must(s, sqlite3_step(s->put));
	must(s, sqlite3_reset(s->put));
	while (sqlite3_step(s->get) == SQLITE_ROW)
		l.item[l.n++] = arena_text(s->arena, (const char *)sqlite3_column_text(s->get, 0),
		    (size_t)sqlite3_column_bytes(s->get, 0));
	must(s, sqlite3_reset(s->get));
	must(s, sqlite3_step(s->wipe));
	must(s, sqlite3_reset(s->wipe));
	return l;
}

struct list
stems_of(struct stemmer *s, strview text)
{
	struct stemmed **bucket = &s->kept[hash_bytes(text.p, text.n, 0) % BUCKETS], *k;

	for (k = *bucket; k != NULL; k = k->next)
		if (sv_eq(k->text, text))
			return k->stems;
	k = arena_alloc(s->arena, sizeof *k);
	k->text = (strview){arena_text(s->arena, text.p, text.n), text.n};
	k->stems = stemmed(s, text);
	k->next = *bucket;
	*bucket = k;
	return k->stems;
}

bool
stems_equal(struct list a, struct list b)
{
	if (a.n != b.n || a.n == 0)
		return false;
	for (uint32_t i = 0; i < a.n; i++)
		if (!sv_eq(sv(a.item[i]), sv(b.item[i])))
			return false;
	return true;
}
