/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The database written.
 *
 * Built in memory and handed to file_replace as bytes, so that a reader sees
 * the old file or the new one and never a half. Nothing in it depends on the
 * time, the place or the order in which memory was given out: the same text
 * makes the same bytes. What a run always needs lies behind the last page of the
 * database, which says itself how many pages it has and ends there.
 */
#include "knowledge/knowledge_impl.h"

#include <sqlite3.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

static const char schema[] =
	"CREATE TABLE entry (id INTEGER PRIMARY KEY, kind TEXT NOT NULL, name TEXT NOT NULL)"
	" STRICT;"
	"CREATE TABLE worked (id INTEGER PRIMARY KEY, formula INTEGER NOT NULL,"
	" source INTEGER NOT NULL, file INTEGER NOT NULL, line INTEGER NOT NULL,"
	" given BLOB NOT NULL, gives_low REAL NOT NULL, gives_high REAL NOT NULL,"
	" within REAL NOT NULL) STRICT;"
	"CREATE TABLE loose (id INTEGER PRIMARY KEY, owner TEXT NOT NULL, number TEXT NOT NULL,"
	" why TEXT NOT NULL) STRICT;"
	"CREATE TABLE source_text (id INTEGER PRIMARY KEY, name TEXT NOT NULL,"
	" rules INTEGER NOT NULL, text BLOB NOT NULL) STRICT;"
	"CREATE TABLE meta (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;"
	"CREATE VIRTUAL TABLE search USING fts5(name, also, says, body, content='',"
	" tokenize='porter unicode61 remove_diacritics 2', prefix='2 3');";

struct store {
	sqlite3 *db;
	struct compiler *c;
	const struct craft *craft;
	bool failed;
};

static void
run(struct store *s, const char *sql)
{
	if (!s->failed && sqlite3_exec(s->db, sql, NULL, NULL, NULL) != SQLITE_OK)
		s->failed = true;
}

static sqlite3_stmt *
prepared(struct store *s, const char *sql)
{
	sqlite3_stmt *st = NULL;

	if (!s->failed && sqlite3_prepare_v2(s->db, sql, -1, &st, NULL) != SQLITE_OK)
		s->failed = true;
	return st;
}

static void
step(struct store *s, sqlite3_stmt *st)
{
	if (s->failed)
		return;
	if (sqlite3_step(st) != SQLITE_DONE || sqlite3_reset(st) != SQLITE_OK)
		s->failed = true;
}

static void
bind_text(sqlite3_stmt *st, int at, const char *t)
{
	sqlite3_bind_text(st, at, t, -1, SQLITE_TRANSIENT);
}

static void
store_entries(struct store *s)
{
	sqlite3_stmt *put = prepared(s, "INSERT INTO entry VALUES (?, ?, ?)");
	sqlite3_stmt *index = prepared(s,
	    "INSERT INTO search (rowid, name, also, says, body) VALUES (?, ?, ?, ?, ?)");

	for (uint32_t i = 0; i < s->c->n_drafts && !s->failed; i++) {
		const struct entry_draft *d = &s->c->drafts[i];
		const struct entry *e = &s->craft->entry[i];

		sqlite3_bind_int64(put, 1, (sqlite3_int64)i + 1);
		bind_text(put, 2, craft_text(s->craft, s->craft->entry_kind[e->kind].name));
		bind_text(put, 3, d->name);
		step(s, put);
		sqlite3_bind_int64(index, 1, (sqlite3_int64)i + 1);
		bind_text(index, 2, d->name);
		bind_text(index, 3, d->also.p != NULL ? d->also.p : "");
		bind_text(index, 4, craft_text(s->craft, e->says));
		bind_text(index, 5, d->body.p != NULL ? d->body.p : "");
		step(s, index);
	}
	sqlite3_finalize(put);
	sqlite3_finalize(index);
	run(s, "INSERT INTO search (search) VALUES ('optimize')");
}

static void
store_worked(struct store *s)
{
	sqlite3_stmt *st = prepared(s, "INSERT INTO worked VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)");

	for (uint32_t i = 0; i < s->c->n_worked && !s->failed; i++) {
		const struct worked *w = &s->c->worked[i];
		uint32_t n = s->craft->formula[w->formula].n_parameters;

		sqlite3_bind_int64(st, 1, (sqlite3_int64)i + 1);
		sqlite3_bind_int64(st, 2, w->formula);
		sqlite3_bind_int64(st, 3, w->source);
		sqlite3_bind_int64(st, 4, w->file);
		sqlite3_bind_int64(st, 5, w->line);
		sqlite3_bind_blob64(st, 6, n > 0 ? (const void *)w->with : "", n * sizeof *w->with,
		    SQLITE_STATIC);
		sqlite3_bind_double(st, 7, w->gives.lo);
		sqlite3_bind_double(st, 8, w->gives.hi);
		sqlite3_bind_double(st, 9, w->within);
		step(s, st);
	}
	sqlite3_finalize(st);
}

static void
store_loose(struct store *s)
{
	sqlite3_stmt *st = prepared(s, "INSERT INTO loose VALUES (?, ?, ?, ?)");

	for (uint32_t i = 0; i < s->c->n_loose && !s->failed; i++) {
		sqlite3_bind_int64(st, 1, (sqlite3_int64)i + 1);
		bind_text(st, 2, s->c->loose[i].owner);
		bind_text(st, 3, s->c->loose[i].number);
		bind_text(st, 4, s->c->loose[i].why);
		step(s, st);
	}
	sqlite3_finalize(st);
}

/* The text itself goes with what was made of it, so that a user's own can be laid
 * over it wherever the one file has been carried. */
static void
store_text(struct store *s)
{
	sqlite3_stmt *st = prepared(s, "INSERT INTO source_text VALUES (?, ?, ?, ?)");

	for (uint32_t i = 0; i < s->c->n_files && s->c->n_own == 0 && !s->failed; i++) {
		const struct kb_file *f = &s->c->files[i];

		sqlite3_bind_int64(st, 1, (sqlite3_int64)i + 1);
		bind_text(st, 2, f->src->name);
		sqlite3_bind_int(st, 3, f->rules);
		sqlite3_bind_blob64(st, 4, f->src->text.p, f->src->text.n, SQLITE_STATIC);
		step(s, st);
	}
	sqlite3_finalize(st);
}

static void
store_meta(struct store *s)
{
	sqlite3_stmt *st = prepared(s, "INSERT INTO meta VALUES (?, ?)");

	if (s->failed)
		return;
	bind_text(st, 1, "content");
	bind_text(st, 2, s->c->content);
	step(s, st);
	sqlite3_finalize(st);
}

uint64_t
store_tail_sum(const struct store_tail *t)
{
	size_t from = offsetof(struct store_tail, content);

	return hash_bytes((const char *)t + from, sizeof *t - from, 0);
}

/* Behind the pages: what is used as it lies in the file. */
static void
add_tail(struct buf *b, struct compiler *c, const struct craft *craft)
{
	strview block = craft_pack(c->arena, craft);
	uint32_t *at = arena_alloc(c->arena, (craft->n_entry + 1) * sizeof *at);
	struct store_tail tail = {.block = block.n};
	struct buf records = {0};

	for (uint32_t i = 0; i < craft->n_entry; i++) {
		strview record = record_write(c->arena, &c->drafts[i].record);

		at[i] = (uint32_t)records.n;
		buf_add(&records, record.p, record.n);
	}
	at[craft->n_entry] = (uint32_t)records.n;
	memcpy(tail.magic, STORE_TAIL, sizeof tail.magic);
	memcpy(tail.content, c->content, sizeof tail.content);
	tail.records = records.n;
	tail.own = c->own_key;
	tail.sum = store_tail_sum(&tail);
	buf_add(b, (const char *)&tail, sizeof tail);
	buf_add(b, block.p, block.n);
	buf_add(b, (const char *)at, (craft->n_entry + 1) * sizeof *at);
	buf_add(b, records.p, records.n);
	buf_free(&records);
}

bool
store_bytes(struct compiler *c, const struct craft *craft, struct buf *out)
{
	struct store s = {.c = c, .craft = craft};
	unsigned char *bytes = NULL;
	sqlite3_int64 n = 0;

	if (sqlite3_open(":memory:", &s.db) != SQLITE_OK)
		s.failed = true;
	run(&s, "PRAGMA page_size = 16384");
	run(&s, arena_print(c->arena, "PRAGMA application_id = %d; PRAGMA user_version = %d",
	    STORE_APPLICATION, STORE_VERSION));
	run(&s, "BEGIN");
	run(&s, schema);
	store_entries(&s);
	store_worked(&s);
	store_loose(&s);
	store_text(&s);
	store_meta(&s);
	run(&s, "COMMIT");
	run(&s, "VACUUM");
	if (!s.failed)
		bytes = sqlite3_serialize(s.db, "main", &n, 0);
	if (bytes == NULL) {
		diag(c->ds, (struct place){0}, D_DATABASE_FAILED, s.db != NULL ?
		    kept(c, sv(sqlite3_errmsg(s.db))) : "no memory");
		sqlite3_close(s.db);
		return false;
	}
	buf_add(out, (const char *)bytes, (size_t)n);
	add_tail(out, c, craft);
	sqlite3_free(bytes);
	sqlite3_close(s.db);
	return true;
}
