/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The folder of the user's own files: which there are, whether any has changed,
 * and what stands in them.
 *
 * Whether something changed is told without reading: by name, size and time of
 * change of each file, which a start in a few milliseconds can afford.
 */
#define _XOPEN_SOURCE 700                  /* st_mtim */

#include "knowledge/knowledge.h"

#include <dirent.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

enum { DEEPEST = 4, FILES_MOST = 500, FILE_BYTES_MOST = 1 << 20 };

struct finder {
	struct arena *arena;
	struct own_file *files;            /* heap while it grows */
	size_t cap;
	uint32_t n;
	bool more;
};

static bool
is_yaml(const char *name)
{
	size_t n = strlen(name);

	return name[0] != '.' && ((n > 5 && strcmp(name + n - 5, ".yaml") == 0) ||
	    (n > 4 && strcmp(name + n - 4, ".yml") == 0));
}

static void
find(struct finder *f, const char *folder, int depth)
{
	DIR *d = opendir(folder);
	const struct dirent *e;
	struct stat st;

	while (d != NULL && (e = readdir(d)) != NULL) {
		const char *path;

		if (e->d_name[0] == '.')
			continue;
		path = arena_print(f->arena, "%s/%s", folder, e->d_name);
		if (stat(path, &st) != 0)
			continue;
		if (S_ISDIR(st.st_mode) && depth > 0)
			find(f, path, depth - 1);
		if (!S_ISREG(st.st_mode) || !is_yaml(e->d_name))
			continue;
		if (f->n == FILES_MOST) {
			f->more = true;
			continue;
		}
		f->files = mem_grow(f->files, &f->cap, f->n + 1, sizeof *f->files);
		f->files[f->n++] = (struct own_file){.path = path, .text = {"", 0}};
	}
	if (d != NULL)
		closedir(d);
}

static int
by_path(const void *a, const void *b)
{
	return strcmp(((const struct own_file *)a)->path, ((const struct own_file *)b)->path);
}

void
own_look(struct arena *a, const char *folder, struct own_folder *own)
{
	struct finder f = {.arena = a};
	size_t n = strlen(folder);
	struct stat st;

	while (n > 1 && folder[n - 1] == '/')
		n--;
	*own = (struct own_folder){.path = arena_text(a, folder, n)};
	find(&f, own->path, DEEPEST);
	own->n = f.n;
	own->more = f.more;
	own->files = arena_alloc(a, (f.n + 1) * sizeof *own->files);
	if (f.n > 0) {
		memcpy(own->files, f.files, f.n * sizeof *f.files);
		qsort(own->files, f.n, sizeof *own->files, by_path);
	}
	free(f.files);
	for (uint32_t i = 0; i < own->n; i++) {
		const char *path = own->files[i].path;
		int64_t facts[4] = {0};

		if (stat(path, &st) == 0) {
			facts[0] = (int64_t)st.st_size;
			facts[1] = (int64_t)st.st_mtim.tv_sec;
			facts[2] = (int64_t)st.st_mtim.tv_nsec;
			facts[3] = (int64_t)st.st_ino;
		}
		own->key = hash_bytes(path, strlen(path) + 1, own->key);
		own->key = hash_bytes(facts, sizeof facts, own->key);
	}
	own->key |= 1;                         /* 0 means nothing at all */
}

/* Only blanks and remarks: a file kept as a reminder, such as the example. */
static bool
is_bare(strview t)
{
	bool begins = true;

	for (size_t i = 0; i < t.n; i++) {
		if (t.p[i] == '\n' || t.p[i] == '\r') {
			begins = true;
		} else if (begins && t.p[i] == '#') {
			while (i + 1 < t.n && t.p[i + 1] != '\n')
				i++;
		} else if (t.p[i] != ' ') {
			return false;
		}
	}
	return true;
}

bool
own_read(struct arena *a, struct own_folder *own, struct diags *ds)
{
	size_t before = ds->errors;
	char most[16];

	snprintf(most, sizeof most, "%d", FILES_MOST);
	if (own->more)
		diag(ds, (struct place){0}, D_OWN_TOO_MANY, own->path, most);
	for (uint32_t i = 0; i < own->n; i++) {
		struct diags quiet;
		struct own_file *f = &own->files[i];

		diags_init(&quiet, a);
		if (!file_read(a, f->path, FILE_BYTES_MOST, &f->text, &quiet)) {
			f->bare = true;
			/* An empty file is a bare one. */
			if (quiet.n > 0 && quiet.d[0].id != D_FILE_EMPTY)
				file_read(a, f->path, FILE_BYTES_MOST, &f->text, ds);
		} else {
			f->bare = is_bare(f->text);
		}
	}
	return ds->errors == before;
}
