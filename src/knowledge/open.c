/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The handle: the file mapped, the block used as it lies there, entries read
 * when they are asked for, the database opened when something is searched.
 *
 * A file may come from anywhere. It is mapped read-only, its schema is not
 * trusted, only reading is authorised, and every value is held against the
 * craft before it is followed. The compiler replaces a file and never writes
 * into one, so what is mapped stays as it was verified.
 */

#define _DEFAULT_SOURCE                    /* MAP_ANONYMOUS */

#include "knowledge/knowledge_impl.h"

#include <fcntl.h>
#include <sqlite3.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

enum { STEPS_MOST = 20000000, STEPS_AT_ONCE = 1000000 };

/* ---- opening ----------------------------- */

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
	if (st.st_size > STORE_LARGEST)
		return "it is larger than any knowledge can be; name the compiled file";
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

/* The database over the bytes that are mapped already: no other file can come
 * in between. */
static void
open_database(struct knowledge *k)
{
	sqlite3_stmt *st = NULL;

	if (!sqlite3_compileoption_used("ENABLE_FTS5"))
		die(EXIT_NOT_RUN, "this SQLite has no full-text search (FTS5); install one that has");
	if (sqlite3_open_v2(":memory:", &k->db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_MEMORY |
	    SQLITE_OPEN_EXRESCODE, NULL) != SQLITE_OK)
		kb_damaged(k, "its tables");
	/* Read-only, so the bytes are not written to, whatever the type says. */
	if (sqlite3_deserialize(k->db, "main", (unsigned char *)(uintptr_t)k->file,
	    (sqlite3_int64)k->pages, (sqlite3_int64)k->pages, SQLITE_DESERIALIZE_READONLY) !=
	    SQLITE_OK)
		kb_damaged(k, "its tables");
	harden(k);
	if (sqlite3_prepare_v2(k->db, "PRAGMA cell_size_check = ON", -1, &st, NULL) == SQLITE_OK)
		sqlite3_step(st);
	sqlite3_finalize(st);
	sqlite3_set_authorizer(k->db, authorise, NULL);
}

static uint32_t
big_endian(const char *p, int n)
{
	uint32_t x = 0;

	for (int i = 0; i < n; i++)
		x = x << 8 | (unsigned char)p[i];
	return x;
}

/* NULL, or why this is not a file of ours. The numbers stand at fixed places in
 * the head of a SQLite file (https://www.sqlite.org/fileformat.html, 1.3). */
static const char *
identify(struct knowledge *k)
{
	enum { HEAD = 100, PAGE_SIZE = 16, PAGES = 28, USER_VERSION = 60, APPLICATION = 68 };
	uint32_t page;

	if (k->size < HEAD || memcmp(k->file, "SQLite format 3", 16) != 0)
		return "it is no database; compile the knowledge, or name another file with --kb";
	if (big_endian(k->file + APPLICATION, 4) != STORE_APPLICATION)
		return "it is a database of another program; name the compiled knowledge with --kb";
	if (big_endian(k->file + USER_VERSION, 4) != STORE_VERSION)
		return "it is of another version of the program; compile the knowledge again";
	page = big_endian(k->file + PAGE_SIZE, 2);
	if (page == 1)
		page = 65536;
	k->pages = (size_t)page * big_endian(k->file + PAGES, 4);
	return NULL;
}

static bool
records_sound(const struct knowledge *k, uint64_t bytes)
{
	if (k->record_at[0] != 0 || k->record_at[k->craft.n_entry] != bytes)
		return false;
	for (uint32_t i = 0; i < k->craft.n_entry; i++)
		if (k->record_at[i] > k->record_at[i + 1])
			return false;
	return true;
}

/* What lies behind the pages, used as it lies. */
static const char *
load(struct knowledge *k)
{
	static const char damaged[] = "it is damaged; compile the knowledge again";
	const char *why = NULL, *p = k->file + k->pages;
	struct store_tail tail;
	size_t left, places;

	if (k->pages == 0 || k->pages % 16 != 0 || k->pages > k->size ||
	    k->size - k->pages < sizeof tail)
		return damaged;
	memcpy(&tail, p, sizeof tail);
	p += sizeof tail;
	left = k->size - k->pages - sizeof tail;
	if (memcmp(tail.magic, STORE_TAIL, sizeof tail.magic) != 0 ||
	    tail.sum != store_tail_sum(&tail) || tail.block > left ||
	    memchr(tail.content, '\0', sizeof tail.content) == NULL)
		return damaged;
	if (!craft_unpack(&k->craft, k->arena, (strview){p, tail.block}, &why))
		return why != NULL ? why : damaged;
	if (!names_sound(&k->craft))
		return damaged;
	p += tail.block;
	left -= tail.block;
	places = ((size_t)k->craft.n_entry + 1) * sizeof *k->record_at;
	if (left < places || left - places != tail.records)
		return damaged;
	k->record_at = (const uint32_t *)(const void *)p;
	k->record_bytes = p + places;
	if (!records_sound(k, tail.records))
		return damaged;
	memcpy(k->version, tail.content, sizeof k->version);
	k->own_key = tail.own;
	k->records = arena_alloc(k->arena, (k->craft.n_entry + 1) * sizeof *k->records);
	return NULL;
}

static const char *
map(struct knowledge *k, const char *path)
{
	static const char unreadable[] = "it cannot be read; look at its permissions";
	int fd = open(path, O_RDONLY | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK | O_NOCTTY);
	const char *why = unreadable;
	struct stat st;
	void *at;

	if (fd < 0)
		return unreadable;
	/* It may have changed since it was looked at. */
	if (fstat(fd, &st) == 0 && S_ISREG(st.st_mode) && st.st_size > 0 &&
	    st.st_size <= STORE_LARGEST) {
		at = mmap(NULL, (size_t)st.st_size, PROT_READ, MAP_PRIVATE, fd, 0);
		if (at != MAP_FAILED) {
			k->file = at;
			k->size = (size_t)st.st_size;
			why = NULL;
		}
	}
	close(fd);
	return why;
}

/* A place of its own for bytes that lie in no file. */
static const char *
map_bytes(struct knowledge *k, strview bytes)
{
	void *at = mmap(NULL, bytes.n + 1, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);

	if (at == MAP_FAILED)
		return "there is no memory for it";
	memcpy(at, bytes.p, bytes.n);
	k->file = at;
	k->size = bytes.n;
	return NULL;
}

/* PATH, or when it is NULL the bytes. */
static struct knowledge *
open_either(const char *path, strview bytes, const char **why)
{
	struct knowledge *k = mem_alloc(sizeof *k);

	k->arena = arena_new();
	*why = path != NULL ? map(k, path) : map_bytes(k, bytes);
	if (*why == NULL)
		*why = identify(k);
	if (*why == NULL)
		*why = load(k);
	if (*why != NULL) {
		kb_close(k);
		return NULL;
	}
	return k;
}

struct knowledge *
kb_open(const char *path, const char **why)
{
	*why = looked_at(path);
	return *why == NULL ? open_either(path, SV(""), why) : NULL;
}

struct knowledge *
kb_open_bytes(strview bytes, const char **why)
{
	return open_either(NULL, bytes, why);
}

uint64_t
kb_own_key(const struct knowledge *k)
{
	return k->own_key;
}

void
kb_close(struct knowledge *k)
{
	if (k == NULL)
		return;
	sqlite3_finalize(k->search);
	sqlite3_close(k->db);
	if (k->file != NULL)
		munmap((void *)(uintptr_t)k->file, k->size);
	arena_free(k->arena);
	free(k);
}

/* Of a property's units the first that stands in a list. */
static uint16_t
unit_among(const struct craft *c, const struct property *p, uint32_t first, uint32_t n)
{
	for (uint32_t i = 0; i < p->n_units; i++)
		for (uint32_t k = 0; k < n; k++)
			if (c->unit_list[p->first_unit + i] == c->unit_list[first + k])
				return c->unit_list[p->first_unit + i];
	return NO16;
}

bool
kb_show_in(struct knowledge *k, const char *name)
{
	struct craft *c = &k->craft;
	uint16_t *list = arena_alloc(k->arena, (c->n_unit_list + 1) * sizeof *list);
	uint16_t *beside = arena_alloc(k->arena, (c->n_property + 1) * sizeof *beside);
	const struct measures *m = NULL;

	for (uint32_t i = 0; i < c->n_measures && m == NULL; i++)
		if (strcmp(craft_text(c, c->measures[i].name), name) == 0)
			m = &c->measures[i];
	if (m == NULL)
		return false;
	memcpy(list, c->unit_list, c->n_unit_list * sizeof *list);
	for (uint32_t i = 0; i < c->n_property; i++) {
		const struct property *p = &c->property[i];
		uint16_t first = unit_among(c, p, m->first, m->n);

		beside[i] = unit_among(c, p, m->first_beside, m->n_beside);
		if (first == NO16)
			continue;
		if (beside[i] == first)
			beside[i] = NO16;
		for (uint32_t u = p->n_units; u-- > 0;)
			if (list[p->first_unit + u] == first) {
				list[p->first_unit + u] = list[p->first_unit];
				list[p->first_unit] = first;
			}
	}
	c->unit_list = list;
	c->beside = beside;
	return true;
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
	    k->db != NULL ? sqlite3_errmsg(k->db) : "it does not fit its checksum");
}

struct sqlite3_stmt *
kb_prepare(struct knowledge *k, const char *sql)
{
	sqlite3_stmt *st = NULL;

	if (k->db == NULL)
		open_database(k);
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
	blob = (strview){k->record_bytes + k->record_at[entry],
	    k->record_at[entry + 1] - k->record_at[entry]};
	r = record_read(k->arena, &k->craft, blob);
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
