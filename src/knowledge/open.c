/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The handle: the file opened so that nothing in it can do harm, the block
 * read in one go, entries when they are asked for.
 *
 * A file may come from anywhere. It is opened read-only and unchanging, its
 * schema is not trusted, only reading is authorised, and every value is held
 * against the craft before it is followed.
 */
#define _XOPEN_SOURCE 700                  /* realpath */

#include "knowledge/knowledge_impl.h"

#include <sqlite3.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

enum { STEPS_MOST = 20000000, STEPS_AT_ONCE = 1000000 };

/* ---- opening ----------------------------- */

/* "file:" and the path with everything encoded that a URI gives a meaning.
 * Links among the folders are resolved first: only the file itself may not be
 * one. */
static char *
address(const char *path)
{
	static const char plain[] =
	    "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789/._-";
	const char *slash = strrchr(path, '/');
	char *folder, *real, *out;
	struct buf b = {0}, whole = {0};

	folder = mem_alloc(strlen(path) + 2);
	memcpy(folder, slash != NULL ? path : ".", slash != NULL ? (size_t)(slash - path) + 1 : 1);
	real = realpath(folder, NULL);
	free(folder);
	if (real == NULL)
		return NULL;
	buf_print(&whole, "%s/%s", strcmp(real, "/") == 0 ? "" : real, slash != NULL ? slash + 1 :
	    path);
	free(real);
	buf_str(&b, "file:");
	for (size_t i = 0; i < whole.n; i++)
		if (memchr(plain, whole.p[i], sizeof plain - 1) != NULL)
			buf_char(&b, whole.p[i]);
		else
			buf_print(&b, "%%%02X", (unsigned)(unsigned char)whole.p[i]);
	buf_str(&b, "?mode=ro&immutable=1");
	out = b.p;
	buf_free(&whole);
	return out;
}

static const char *
looked_at(const char *path)
{
	struct stat st;

	if (stat(path, &st) != 0)
		return "there is no such file; compile the knowledge, or name the file with --kb";
	if (S_ISDIR(st.st_mode))
		return "it is a folder; name the compiled file inside it";
	if (!S_ISREG(st.st_mode))
		return "it is no regular file; name the compiled file";
	if (lstat(path, &st) == 0 && S_ISLNK(st.st_mode))
		return "it is a link, which is not followed; name the file itself";
	if (st.st_size == 0)
		return "it is empty; compile the knowledge again";
	return NULL;
}

static int
authorise(void *arg, int action, const char *a, const char *b, const char *db, const char *by)
{
	(void)arg;
	(void)b;
	(void)db;
	(void)by;
	switch (action) {
	case SQLITE_SELECT:
	case SQLITE_READ:
	case SQLITE_FUNCTION:
		return SQLITE_OK;
	case SQLITE_UPDATE:
		/* A virtual table declares its columns as if it made a table;
		 * nothing is written, and the file could not be. */
		return a != NULL && strcmp(a, "sqlite_master") == 0 ? SQLITE_OK : SQLITE_DENY;
	case SQLITE_PRAGMA:
		/* Asked by the full-text index itself. */
		return a != NULL && strcmp(a, "data_version") == 0 ? SQLITE_OK : SQLITE_DENY;
	}
	return SQLITE_DENY;
}

/* Called every so many steps of the engine; a query of ours takes a few
 * thousand, so only a file made to hold us up gets here often. */
static int
too_long(void *arg)
{
	int *turns = arg;

	return ++*turns > STEPS_MOST / STEPS_AT_ONCE;
}

static void
harden(struct knowledge *k)
{
	static const struct { int what, on; } config[] = {
		{SQLITE_DBCONFIG_DEFENSIVE, 1}, {SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0},
		{SQLITE_DBCONFIG_ENABLE_TRIGGER, 0}, {SQLITE_DBCONFIG_ENABLE_VIEW, 0},
		{SQLITE_DBCONFIG_DQS_DDL, 0}, {SQLITE_DBCONFIG_DQS_DML, 0},
		{SQLITE_DBCONFIG_ENABLE_FTS3_TOKENIZER, 0}, {SQLITE_DBCONFIG_ENABLE_LOAD_EXTENSION,
		    0},
	};
	static const struct { int what, most; } limits[] = {
		{SQLITE_LIMIT_LENGTH, STORE_LARGEST}, {SQLITE_LIMIT_SQL_LENGTH, 100000},
		{SQLITE_LIMIT_EXPR_DEPTH, 20}, {SQLITE_LIMIT_VDBE_OP, 25000},
		    {SQLITE_LIMIT_COMPOUND_SELECT, 3},
		{SQLITE_LIMIT_FUNCTION_ARG, 8}, {SQLITE_LIMIT_ATTACHED, 0},
		    {SQLITE_LIMIT_LIKE_PATTERN_LENGTH, 50},
		{SQLITE_LIMIT_VARIABLE_NUMBER, 32}, {SQLITE_LIMIT_TRIGGER_DEPTH, 10},
	};

	for (size_t i = 0; i < sizeof config / sizeof *config; i++)
		sqlite3_db_config(k->db, config[i].what, config[i].on, NULL);
	for (size_t i = 0; i < sizeof limits / sizeof *limits; i++)
		sqlite3_limit(k->db, limits[i].what, limits[i].most);
	sqlite3_progress_handler(k->db, STEPS_AT_ONCE, too_long, &k->turns);
}

static int
number_of(struct knowledge *k, const char *pragma, int *out)
{
	sqlite3_stmt *st = NULL;
	int rc = sqlite3_prepare_v2(k->db, pragma, -1, &st, NULL);

	if (rc == SQLITE_OK && (rc = sqlite3_step(st)) == SQLITE_ROW) {
		*out = sqlite3_column_int(st, 0);
		rc = SQLITE_OK;
	}
	sqlite3_finalize(st);
	return rc;
}

/* NULL, or why this is not a file of ours. */
static const char *
identify(struct knowledge *k)
{
	int id = 0, version = 0;

	number_of(k, "PRAGMA cell_size_check = ON", &id);
	number_of(k, "PRAGMA mmap_size = 0", &id);
	if (number_of(k, "PRAGMA application_id", &id) != SQLITE_OK)
		return "it is no database; compile the knowledge, or name another file with --kb";
	if (id != STORE_APPLICATION)
		return "it is a database of another program; name the compiled knowledge with --kb";
	if (number_of(k, "PRAGMA user_version", &version) != SQLITE_OK || version != STORE_VERSION)
		return "it is of another version of the program; compile the knowledge again";
	if (!sqlite3_compileoption_used("ENABLE_FTS5"))
		return "this SQLite has no full-text search (FTS5); install one that has";
	return NULL;
}

static const char *
load(struct knowledge *k)
{
	static const char damaged[] = "it is damaged; compile the knowledge again";
	const char *why = NULL;
	sqlite3_stmt *st = NULL;
	strview block = {"", 0};
	char *copy;

	if (sqlite3_prepare_v2(k->db, "SELECT data FROM block", -1, &st, NULL) != SQLITE_OK ||
	    sqlite3_step(st) != SQLITE_ROW || sqlite3_column_type(st, 0) != SQLITE_BLOB) {
		sqlite3_finalize(st);
		return damaged;
	}
	block.p = sqlite3_column_blob(st, 0);
	block.n = (size_t)sqlite3_column_bytes(st, 0);
	copy = arena_alloc(k->arena, block.n + 1);
	if (block.n > 0 && block.p != NULL)
		memcpy(copy, block.p, block.n);
	block.p = copy;
	sqlite3_finalize(st);
	if (!craft_unpack(&k->craft, k->arena, block, &why))
		return why != NULL ? why : damaged;
	if (!names_sound(&k->craft))
		return damaged;
	st = NULL;
	if (sqlite3_prepare_v2(k->db, "SELECT value FROM meta WHERE key = 'content'", -1, &st,
	    NULL) != SQLITE_OK ||
	    sqlite3_step(st) != SQLITE_ROW || sqlite3_column_bytes(st,
	    0) >= (int)sizeof k->version ||
	    sqlite3_column_text(st, 0) == NULL) {
		sqlite3_finalize(st);
		return damaged;
	}
	snprintf(k->version, sizeof k->version, "%s", (const char *)sqlite3_column_text(st, 0));
	sqlite3_finalize(st);
	k->records = arena_alloc(k->arena, (k->craft.n_entry + 1) * sizeof *k->records);
	return NULL;
}

struct knowledge *
kb_open(const char *path, const char **why)
{
	struct knowledge *k;
	char *uri;

	*why = looked_at(path);
	if (*why != NULL)
		return NULL;
	uri = address(path);
	if (uri == NULL) {
		*why = "its folder cannot be read";
		return NULL;
	}
	k = mem_alloc(sizeof *k);
	k->arena = arena_new();
	if (sqlite3_open_v2(uri, &k->db,
	    SQLITE_OPEN_READONLY | SQLITE_OPEN_URI | SQLITE_OPEN_NOFOLLOW |
	    SQLITE_OPEN_EXRESCODE, NULL) != SQLITE_OK)
		*why = "it cannot be read; look at its permissions";
	free(uri);
	if (*why == NULL) {
		harden(k);
		*why = identify(k);
	}
	if (*why == NULL) {
		sqlite3_set_authorizer(k->db, authorise, NULL);
		*why = load(k);
	}
	if (*why != NULL) {
		kb_close(k);
		return NULL;
	}
	return k;
}

void
kb_close(struct knowledge *k)
{
	if (k == NULL)
		return;
	sqlite3_finalize(k->entry);
	sqlite3_finalize(k->search);
	sqlite3_close(k->db);
	arena_free(k->arena);
	free(k);
}

const struct craft *
kb_craft(const struct knowledge *k)
{
	return &k->craft;
}

const char *
kb_version(const struct knowledge *k)
{
	return k->version;
}

/* ---- what is read later ----------------------------- */

void
kb_damaged(const struct knowledge *k, const char *what)
{
	die(EXIT_NOT_RUN, "the compiled knowledge is damaged (%s: %s); compile it again", what,
	    sqlite3_errmsg(k->db));
}

struct sqlite3_stmt *
kb_prepare(struct knowledge *k, const char *sql)
{
	sqlite3_stmt *st = NULL;

	if (sqlite3_prepare_v3(k->db, sql, -1, SQLITE_PREPARE_PERSISTENT, &st, NULL) != SQLITE_OK)
		kb_damaged(k, "its tables");
	return st;
}

const struct entry_record *
kb_entry(struct knowledge *k, uint32_t entry)
{
	const struct entry_record *r;
	strview blob;

	if (entry >= k->craft.n_entry)
		die(EXIT_OUR_FAULT, "entry %u was asked for, of %u", (unsigned)entry,
		    (unsigned)k->craft.n_entry);
	if (k->records[entry] != NULL)
		return k->records[entry];
	if (k->entry == NULL)
		k->entry = kb_prepare(k, "SELECT record FROM entry WHERE id = ?");
	k->turns = 0;
	sqlite3_bind_int64(k->entry, 1, (sqlite3_int64)entry + 1);
	if (sqlite3_step(k->entry) != SQLITE_ROW)
		kb_damaged(k, "an entry");
	blob.p = sqlite3_column_blob(k->entry, 0);
	blob.n = (size_t)sqlite3_column_bytes(k->entry, 0);
	r = blob.p != NULL ? record_read(k->arena, &k->craft, blob) : NULL;
	sqlite3_reset(k->entry);
	if (r == NULL)
		kb_damaged(k, "an entry's record");
	k->records[entry] = r;
	return r;
}

uint32_t
kb_worked(struct knowledge *k, const struct worked **out)
{
	sqlite3_stmt *st;
	struct worked *list = NULL, *kept_list;
	size_t cap = 0;
	int rc;

	*out = k->worked;
	if (k->worked_read)
		return k->n_worked;
	st = kb_prepare(k,
	    "SELECT formula, source, file, line, given, gives_low, gives_high, within FROM worked"
	    " ORDER BY id");
	k->turns = 0;
	while ((rc = sqlite3_step(st)) == SQLITE_ROW) {
		struct worked w = {.formula = (uint32_t)sqlite3_column_int64(st, 0),
		    .source = (uint32_t)sqlite3_column_int64(st, 1),
		    .file = (text_at)sqlite3_column_int64(st, 2),
		    .line = (uint32_t)sqlite3_column_int64(st, 3),
		    .gives = {sqlite3_column_double(st, 5), sqlite3_column_double(st, 6)},
		    .within = sqlite3_column_double(st, 7)};
		size_t n = (size_t)sqlite3_column_bytes(st, 4);
		range *with;

		if (w.formula >= k->craft.n_formula ||
		    (w.source != NONE && w.source >= k->craft.n_source) ||
		    n != k->craft.formula[w.formula].n_parameters * sizeof(range))
			kb_damaged(k, "a worked example");
		with = arena_alloc(k->arena, n + 1);
		if (n > 0)
			memcpy(with, sqlite3_column_blob(st, 4), n);
		w.with = with;
		list = mem_grow(list, &cap, k->n_worked + 1, sizeof *list);
		list[k->n_worked++] = w;
	}
	if (rc != SQLITE_DONE)
		kb_damaged(k, "its worked examples");
	sqlite3_finalize(st);
	kept_list = arena_alloc(k->arena, (k->n_worked + 1) * sizeof *kept_list);
	if (list != NULL)
		memcpy(kept_list, list, k->n_worked * sizeof *list);
	free(list);
	k->worked_read = true;
	*out = k->worked = kept_list;
	return k->n_worked;
}

static const char *
column_text(struct knowledge *k, sqlite3_stmt *st, int at)
{
	const char *t = (const char *)sqlite3_column_text(st, at);

	return t != NULL ? arena_text(k->arena, t, (size_t)sqlite3_column_bytes(st, at)) : "";
}

uint32_t
kb_loose(struct knowledge *k, const struct loose **out)
{
	sqlite3_stmt *st;
	struct loose *list = NULL, *kept_list;
	size_t cap = 0;
	int rc;

	*out = k->loose;
	if (k->loose_read)
		return k->n_loose;
	st = kb_prepare(k, "SELECT owner, number, why FROM loose ORDER BY id");
	k->turns = 0;
	while ((rc = sqlite3_step(st)) == SQLITE_ROW) {
		list = mem_grow(list, &cap, k->n_loose + 1, sizeof *list);
		list[k->n_loose++] = (struct loose){column_text(k, st, 0), column_text(k, st, 1),
		    column_text(k, st, 2)};
	}
	if (rc != SQLITE_DONE)
		kb_damaged(k, "its loose numbers");
	sqlite3_finalize(st);
	kept_list = arena_alloc(k->arena, (k->n_loose + 1) * sizeof *kept_list);
	if (list != NULL)
		memcpy(kept_list, list, k->n_loose * sizeof *list);
	free(list);
	k->loose_read = true;
	*out = k->loose = kept_list;
	return k->n_loose;
}
