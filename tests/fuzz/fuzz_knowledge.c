/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Knowledge as text: the bytes are one file of kb/, beside a schema of its own.
 *
 * What compiles can be opened; what does not says why, and writes nothing.
 */
#include "fuzz.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static char folder[] = "bodkin-fuzz-XXXXXX";
static char kb_folder[64], rules_folder[64], text_path[64], out_path[64];

static void
tidy(void)
{
	unlink(text_path);
	unlink(out_path);
	rmdir(kb_folder);
	rmdir(rules_folder);
	rmdir(folder);
}

static void
begin(void)
{
	if (kb_folder[0] != '\0')
		return;
	if (mkdtemp(folder) == NULL)
		exit(2);
	snprintf(kb_folder, sizeof kb_folder, "%s/kb", folder);
	snprintf(rules_folder, sizeof rules_folder, "%s/rules", folder);
	snprintf(text_path, sizeof text_path, "%s/kb/all.yaml", folder);
	snprintf(out_path, sizeof out_path, "%s/out.db", folder);
	if (mkdir(kb_folder, 0700) != 0 || mkdir(rules_folder, 0700) != 0)
		exit(2);
	atexit(tidy);
}

int
LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	struct arena *a;
	struct diags d;
	struct buf b = {0};
	const char *why = "";
	struct knowledge *kb;
	FILE *f;
	bool fine;

	begin();
	f = fopen(text_path, "wb");
	if (f == NULL || fwrite(data, 1, size, f) != size || fclose(f) != 0)
		exit(2);
	a = arena_new();
	diags_init(&d, a);
	fine = kb_compile(kb_folder, rules_folder, out_path, &d);
	HOLDS(fine == (d.errors == 0));
	HOLDS(fine == (access(out_path, F_OK) == 0));
	diags_print(&b, &d, false);
	if (fine) {
		kb = kb_open(out_path, &why);
		if (kb == NULL)
			fprintf(stderr, "%s\n", why);
		HOLDS(kb != NULL);
		for (uint32_t i = 0; i < kb_craft(kb)->n_entry; i++)
			HOLDS(kb_entry(kb, i) != NULL);
		kb_close(kb);
		unlink(out_path);
	}
	buf_free(&b);
	arena_free(a);
	return 0;
}
