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

#include "knowledge/knowledge_impl.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum where { FILE_BYTES, BLOCK_BYTES, RECORD_BYTES, WHERE__COUNT };
enum { HEAD = 32, SUM_AT = 24 };           /* of the block; see src/language/craft.c */

static char path[] = "bodkin-fuzz-XXXXXX";
static char *base;
static size_t base_n, block, block_n, records;     /* where the block and the records lie */
static const uint32_t *record_at;
static uint32_t n_records;

static void
tidy(void)
{
	unlink(path);
}

/* As in src/language/craft.c; `begin` holds it against a sound block. */
static uint64_t
sum_step(uint64_t h, uint64_t w)
{
	return (h ^ w) * 0xff51afd7ed558ccdu;
}

static uint64_t
block_sum(const char *p, size_t n)
{
	uint64_t lane[4] = {0x9e3779b97f4a7c15u, 1, 2, 3}, w, h = 0;
	size_t whole = n / 32 * 32;

	for (size_t i = 0; i + sizeof w <= n; i += sizeof w) {
		uint64_t *l = &lane[i < whole ? i / 8 % 4 : 0];

		memcpy(&w, p + i, sizeof w);
		*l = sum_step(*l, w);
	}
	for (int k = 0; k < 4; k++)
		h = sum_step(h ^ h >> 32, lane[k]);
	return h;
}

static void
mend(char *p, size_t n)
{
	uint64_t sum = block_sum(p + HEAD, n - HEAD);

	memcpy(p + SUM_AT, &sum, sizeof sum);
}

static void
write_file(const char *p, size_t n)
{
	FILE *f = fopen(path, "wb");

	if (f == NULL || fwrite(p, 1, n, f) != n || fclose(f) != 0)
		exit(2);
}

static void
begin(void)
{
	const char *from = getenv("FUZZ_KB");
	struct arena *a;
	struct diags d;
	struct store_tail tail;
	struct knowledge *kb;
	const char *why;
	strview file;
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
	kb = kb_open(path, &why);          /* sound, and never closed */
	if (kb == NULL)
		exit(2);
	memcpy(&tail, base + kb->pages, sizeof tail);
	block = kb->pages + sizeof tail;
	block_n = tail.block;
	record_at = kb->record_at;
	n_records = kb->craft.n_entry;
	records = (size_t)(kb->record_bytes - kb->file);
	memcpy(&sum, base + block + SUM_AT, sizeof sum);
	HOLDS(block_sum(base + block + HEAD, block_n - HEAD) == sum);
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
	char *p = mem_alloc(base_n);

	memcpy(p, base, base_n);
	switch ((enum where)(data[0] % WHERE__COUNT)) {
	case FILE_BYTES:
		patch(p, base_n, data + 1, size - 1);
		break;
	case BLOCK_BYTES:
		/* The heads of the sections are tried too, the block's own rarely. */
		patch(p + block + HEAD, block_n - HEAD, data + 1, size - 1);
		mend(p + block, block_n);
		break;
	case RECORD_BYTES: {
		uint32_t i = data[1] % n_records;
		char *record = p + records + record_at[i];
		size_t n = record_at[i + 1] - record_at[i];
		uint64_t sum;

		patch(record + 8, n - 8, data + 2, size - 2);
		sum = hash_bytes(record + 8, n - 8, 0);
		for (size_t k = 0; k < 8; k++)
			record[k] = (char)(sum >> 8 * k);
		break;
	}
	case WHERE__COUNT:
		break;
	}
	/* a new file: the one that is mapped keeps its bytes */
	unlink(path);
	write_file(p, base_n);
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
