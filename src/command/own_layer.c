/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Which database is opened: the shipped one, or that with the user's own
 * knowledge laid over it.
 *
 * The layered one is compiled when the user's files, the shipped database or
 * the program have changed, and kept in the cache folder; else it is mapped as
 * it lies there, as quickly as the shipped one.  Where the cache cannot be
 * written it is made anew at each start.  A fault in the user's files is told
 * with its place, and the answer rests on the shipped knowledge alone.
 */
#define _XOPEN_SOURCE 700                  /* st_mtim */

#include "command/command_impl.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* Under an XDG folder, or the usual one below the home folder; NULL: neither is
 * known. As the XDG base directory specification has it, a path that is not
 * absolute is passed over. */
static char *
xdg(struct arena *a, const char *variable, const char *usual)
{
	const char *told = getenv(variable), *home = getenv("HOME");

	if (told != NULL && told[0] == '/')
		return arena_print(a, "%s/bodkin", told);
	if (home != NULL && home[0] == '/')
		return arena_print(a, "%s/%s/bodkin", home, usual);
	return NULL;
}

char *
own_path(struct arena *a)
{
	const char *told = getenv("BODKIN_OWN");

	if (told != NULL)
		return *told != '\0' ? arena_text(a, told, strlen(told)) : NULL;
	return xdg(a, "XDG_CONFIG_HOME", ".config");
}

bool
own_make_folder(char *path)
{
	bool there;

	for (char *p = path + 1; *p != '\0'; p++) {
		if (*p != '/')
			continue;
		*p = '\0';
		mkdir(path, 0700);             /* whether it worked shows at the last */
		*p = '/';
	}
	there = mkdir(path, 0700) == 0 || errno == EEXIST;
	return there;
}

static uint64_t
shipped_key(const char *path, uint64_t seed)
{
	int64_t facts[4] = {0};
	struct stat st;

	if (stat(path, &st) == 0) {
		facts[0] = (int64_t)st.st_size;
		facts[1] = (int64_t)st.st_mtim.tv_sec;
		facts[2] = (int64_t)st.st_mtim.tv_nsec;
		facts[3] = (int64_t)st.st_ino;
	}
	return hash_bytes(facts, sizeof facts, seed) | 1;
}

/* One file for each pair of shipped database and folder, so that nothing piles up. */
static char *
cache_path(struct arena *a, const char *shipped, const char *folder)
{
	char *at = xdg(a, "XDG_CACHE_HOME", ".cache");
	uint64_t which;

	if (at == NULL || !own_make_folder(at))
		return NULL;
	which = hash_bytes(shipped, strlen(shipped) + 1, 0);
	which = hash_bytes(folder, strlen(folder), which);
	return arena_print(a, "%s/own-%016llx.db", at, (unsigned long long)which);
}

/* ---- what is told on the way ----------------------------------------------- */

static void
tell(const struct request *ask, struct diags *ds, const struct knowledge *kb, const char *id)
{
	struct buf b = {0};

	if (ds != NULL && ds->n > 0)
		diags_print(&b, ds, look_for(ask, STDERR_FILENO).colour);
	if (kb != NULL && message_find(kb_craft(kb), id) != NONE) {
		buf_str(&b, "bodkin: ");
		user_message(&b, kb_craft(kb), id, (char *)NULL);
		buf_char(&b, '\n');
	}
	if (b.n > 0)
		out_write(stderr, (strview){b.p, b.n}, "standard error");
	buf_free(&b);
}

/* Only what is wrong in the user's files: what could be better in the shipped
 * ones is no affair of theirs. */
static void
keep_theirs(struct diags *ds, bool notes_too)
{
	size_t kept = 0;

	for (size_t i = 0; i < ds->n; i++) {
		const struct source *src = ds->d[i].place.src;

		if (diag_level(ds->d[i].id) == DIAG_ERROR ||
		    (notes_too && src != NULL && src->name[0] == '/'))
			ds->d[kept++] = ds->d[i];
	}
	ds->n = kept;
}

/* ---- opening --------------------------------------------------------------- */

/* What could be better is said where it is asked for, and only there. */
static bool
notes_wanted(const struct request *ask)
{
	return ask->all && ask->command != NULL && ask->command->run == command_own;
}

static struct knowledge *
lay_over(struct arena *a, const struct request *ask, const char *shipped, const char *cache,
    struct own_state *own, bool quiet, const char **why)
{
	struct knowledge *below = kb_open(shipped, why), *kb = NULL;
	struct buf bytes = {0};
	struct diags ds;
	const char *unwritten = NULL;

	if (below == NULL)
		return NULL;
	diags_init(&ds, a);
	ds.limit = 5000;
	if (kb_compile_own(below, &own->folder, &bytes, &ds))
		kb = kb_open_bytes((strview){bytes.p, bytes.n}, why);
	own->errors = ds.errors;
	keep_theirs(&ds, notes_wanted(ask));
	own->is = kb != NULL ? LAYER_LAID : LAYER_FAULTY;
	if (kb != NULL && (cache == NULL ||
	    !file_replace(cache, (strview){bytes.p, bytes.n}, true, &unwritten)))
		own->uncached = true;
	buf_free(&bytes);
	if (!quiet)
		tell(ask, &ds, below, kb == NULL ? "own.left-out" : own->uncached ?
		    "own.not-kept" : "");
	if (kb == NULL)
		return below;
	kb_close(below);
	return kb;
}

struct knowledge *
knowledge_open(struct arena *a, const struct request *ask, struct own_state *own, bool quiet,
    const char **why)
{
	const char *shipped = knowledge_path(a, ask), *cache, *no = NULL;
	/* The audit proves the shipped knowledge; the user's is tried by `own`. */
	const char *folder = ask->kb == NULL && !ask->without_own &&
	    (ask->command == NULL || ask->command->run != command_audit) ? own_path(a) : NULL;
	struct knowledge *kb;

	*own = (struct own_state){.is = LAYER_NONE, .shipped = shipped};
	if (folder == NULL)
		return kb_open(shipped, why);
	own_look(a, folder, &own->folder);
	if (own->folder.n == 0)
		return kb_open(shipped, why);
	own->folder.key = shipped_key(shipped, own->folder.key);
	cache = cache_path(a, shipped, folder);
	kb = cache != NULL && access(cache, R_OK) == 0 ? kb_open(cache, &no) : NULL;
	if (kb != NULL && kb_own_key(kb) == own->folder.key && !notes_wanted(ask)) {
		own->is = LAYER_LAID;
		return kb;
	}
	kb_close(kb);
	return lay_over(a, ask, shipped, cache, own, quiet, why);
}
