/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A damaged database: refused when opened, or ended with a message when the
 * damage is met; never more than that.
 *
 * The first byte says where the rest strikes:
 *   0 the bytes of the file;
 *   1 the block, its checksum mended, so that the verifier is what stands
 *     between it and the evaluator;
 *   2 the record of an entry, its checksum mended too.
 * The rest is a list of patches of six bytes: where (4), what to do, with what.
 */
#include "fuzz.h"

#include <sqlite3.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum where { FILE_BYTES, BLOCK_BYTES, RECORD_BYTES, WHERE__COUNT };
enum { HEAD = 32, SUM_AT = 24 };           /* of the block; see src/language/craft.c */

static char path[] = "bodkin-fuzz-XXXXXX";
static char *base, *block;
static size_t base_n, block_n;

static void
tidy(void)
{
	unlink(path);
}

/* As in src/language/craft.c; `begin` holds it against a sound block. */
static uint64_t
block_sum(const char *p, size_t n)
{
	uint64_t h = 0x9e3779b97f4a7c15u, w;

	for (size_t i = 0; i + sizeof w <= n; i += sizeof w) {
		memcpy(&w, p + i, sizeof w);
		h = (h ^ w) * 0xff51afd7ed558ccdu;
		h ^= h >> 32;
	}
	return h;
}

static void
mend(char *p, size_t n)
{
	uint64_t sum = block_sum(p + HEAD, n - HEAD);

	memcpy(p + SUM_AT, &sum, sizeof sum);
}

static sqlite3 *
writable(void)
{
	sqlite3 *db;

	if (sqlite3_open_v2(path, &db, SQLITE_OPEN_READWRITE, NULL) != SQLITE_OK)
		exit(2);
	sqlite3_exec(db, "PRAGMA journal_mode = OFF; PRAGMA synchronous = OFF", NULL, NULL, NULL);
	return db;
}

static void
write_file(const char *p, size_t n)
{
	FILE *f = fopen(path, "wb");

	if (f == NULL || fwrite(p, 1, n, f) != n || fclose(f) != 0)
		exit(2);
}

static char *
blob(sqlite3 *db, const char *sql, int64_t id, size_t *n)
{
	sqlite3_stmt *st;
	char *copy = NULL;

	if (sqlite3_prepare_v2(db, sql, -1, &st, NULL) != SQLITE_OK)
		exit(2);
	sqlite3_bind_int64(st, 1, id);
	if (sqlite3_step(st) == SQLITE_ROW) {
		*n = (size_t)sqlite3_column_bytes(st, 0);
		copy = mem_alloc(*n + 1);
		memcpy(copy, sqlite3_column_blob(st, 0), *n);
	}
	sqlite3_finalize(st);
	return copy;
}

static void
put(sqlite3 *db, const char *sql, int64_t id, const char *p, size_t n)
{
	sqlite3_stmt *st;

	if (sqlite3_prepare_v2(db, sql, -1, &st, NULL) != SQLITE_OK)
		exit(2);
	sqlite3_bind_blob(st, 1, p, (int)n, SQLITE_STATIC);
	sqlite3_bind_int64(st, 2, id);
	if (sqlite3_step(st) != SQLITE_DONE)
		exit(2);
	sqlite3_finalize(st);
}

static void
begin(void)
{
	const char *from = getenv("FUZZ_KB");
	struct arena *a;
	struct diags d;
	strview file;
	sqlite3 *db;
	uint64_t sum;
	int fd;

	if (base != NULL)
		return;
	a = arena_new();
	diags_init(&d, a);
	fd = mkstemp(path);
	if (fd < 0 || close(fd) != 0 || !file_read(a, from != NULL ? from : "build/bodkin.db",
	    1 << 26, &file, &d))
		exit(2);
	atexit(tidy);
	base_n = file.n;
	base = mem_alloc(base_n);
	memcpy(base, file.p, base_n);
	arena_free(a);
	write_file(base, base_n);
	db = writable();
	block = blob(db, "SELECT data FROM block WHERE ? IS NOT NULL", 0, &block_n);
	sqlite3_close(db);
	memcpy(&sum, block + SUM_AT, sizeof sum);
	HOLDS(block_sum(block + HEAD, block_n - HEAD) == sum);
}

static void
patch(char *p, size_t n, const uint8_t *data, size_t size)
{
	for (; size >= 6; data += 6, size -= 6) {
		uint32_t at;

		memcpy(&at, data, sizeof at);
		at %= (uint32_t)n;
		switch (data[4] % 4) {
		case 0: p[at] = (char)data[5]; break;
		case 1: p[at] = (char)(p[at] ^ (1 << data[5] % 8)); break;
		case 2: p[at] = (char)(p[at] + (int8_t)data[5]); break;
		case 3: memset(p + at, data[5], n - at < 4 ? n - at : 4); break;
		}
	}
}

static void
make(const uint8_t *data, size_t size)
{
	enum where where = (enum where)(data[0] % WHERE__COUNT);
	size_t n = where == FILE_BYTES ? base_n : block_n;
	char *p = mem_alloc(n);
	sqlite3 *db;

	memcpy(p, where == FILE_BYTES ? base : block, n);
	if (where == FILE_BYTES) {
		patch(p, n, data + 1, size - 1);
		write_file(p, n);
		free(p);
		return;
	}
	write_file(base, base_n);
	db = writable();
	if (where == BLOCK_BYTES) {
		/* The heads of the sections are tried too, the block's own rarely. */
		patch(p + HEAD, n - HEAD, data + 1, size - 1);
		mend(p, n);
		put(db, "UPDATE block SET data = ?1 WHERE ?2 IS NOT NULL", 0, p, n);
	} else if (size > 1) {
		size_t length;
		char *record = blob(db, "SELECT record FROM entry WHERE id = ?", data[1], &length);

		if (record != NULL) {
			uint64_t sum;

			patch(record + 8, length - 8, data + 2, size - 2);
			sum = hash_bytes(record + 8, length - 8, 0);
			for (size_t i = 0; i < 8; i++)
				record[i] = (char)(sum >> 8 * i);
			put(db, "UPDATE entry SET record = ?1 WHERE id = ?2", data[1], record, length);
			free(record);
		}
	}
	sqlite3_close(db);
	free(p);
}

static struct knowledge *open_kb;          /* across the net, to be closed */
static struct arena *arena;

static void
use(void *arg)
{
	static const char words[] =
	    "lock-keeper's coat in sailcloth, 90 needle, twine, horn button, topstitch";
	struct knowledge *kb = arg;
	const struct craft *c = kb_craft(kb);
	const struct worked *worked;
	const struct loose *loose;
	struct hit hit[5];
	struct near near = {{NULL}, {0}, 0};
	struct diags d;
	struct buf b = {0};

	kb_worked(kb, &worked);
	kb_loose(kb, &loose);
	for (uint32_t i = 0; i < c->n_entry; i++)
		kb_entry(kb, i);
	for (uint32_t i = 0; i < c->n_unit; i++) {
		range_print(&b, c->units, (int)i, (range){0.1, 3}, 0);
		buf_clear(&b);
	}
	buf_free(&b);
	kb_search(kb, arena, SV("stiff cloth"), NULL, hit, 5);
	kb_names_near(c, SV("sailcloht"), &near);
	kb_entry_find(c, SV("mist"), NULL);
	diags_init(&d, arena);
	fuzz_whole(arena, kb, project_from_words(arena, kb, fuzz_source(arena, "<words>",
	    (const uint8_t *)words, sizeof words - 1), &d), false);
}

int
LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	const char *why = "";

	if (size < 2)
		return 0;
	begin();
	make(data, size);
	open_kb = kb_open(path, &why);
	if (open_kb == NULL) {
		HOLDS(why[0] != '\0');
		return 0;
	}
	arena = arena_new();
	fuzz_netted(use, open_kb);
	arena_free(arena);
	kb_close(open_kb);
	return 0;
}
