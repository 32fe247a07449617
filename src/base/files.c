/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Files read whole and replaced whole.
 *
 * Reading opens without blocking and looks before it reads, so that a pipe or
 * a device named by mistake cannot hold the program up.  Writing goes to a
 * temporary beside the target, is forced to disk, then takes its name: a
 * reader sees the old text or the new, never half.
 */
#define _XOPEN_SOURCE 700                  /* realpath */

#include "base/base.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* In our own words: strerror speaks the locale's tongue. */
static const char *
why_not(int err)
{
	switch (err) {
	case ENOENT: return "no such file or folder";
	case EACCES: case EPERM: return "not permitted";
	case EROFS: return "the disk is read-only";
	case ENOSPC: return "the disk is full";
	case EDQUOT: return "your share of the disk is full";
	case EISDIR: return "it is a folder";
	case ENOTDIR: return "a part of the path is not a folder";
	case ELOOP: return "too many links";
	case ENAMETOOLONG: return "the name is too long";
	case EEXIST: return "it exists already";
	case EMFILE: case ENFILE: return "too many open files";
	case EFBIG: return "the file would be too large";
	case EPIPE: return "nobody reads any more";
	case EIO: return "the disk failed";
	}
	return "the system refused";
}

/* ---- reading ----------------------------------------------------------- */

static bool
whole(int fd, size_t limit, struct buf *b, int *err)
{
	char t[16384];

	buf_add(b, "", 0);
	for (;;) {
		ssize_t n = read(fd, t, sizeof t);

		if (n < 0 && errno == EINTR)
			continue;
		if (n < 0) {
			*err = errno;
			return false;
		}
		if (n == 0)
			return true;
		buf_add(b, t, (size_t)n);
		if (b->n > limit)
			return true;           /* the caller sees that it is too large */
	}
}

bool
file_read(struct arena *a, const char *path, size_t limit, strview *out, struct diags *ds)
{
	struct place nowhere = {0};
	bool standard = strcmp(path, "-") == 0;
	const char *name = standard ? "standard input" : path;
	struct buf b = {0};
	struct stat st;
	int fd = STDIN_FILENO, err = 0;
	bool good = false;
	char digits[32];

	*out = (strview){"", 0};
	snprintf(digits, sizeof digits, "%zu", limit);
	if (!standard) {
		fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY);
		if (fd < 0) {
			if (errno == ENOENT)
				diag(ds, nowhere, D_FILE_MISSING, name);
			else
				diag(ds, nowhere, D_FILE_UNREADABLE, name, why_not(errno));
			return false;
		}
	}
	if (fstat(fd, &st) != 0)
		diag(ds, nowhere, D_FILE_UNREADABLE, name, why_not(errno));
	else if (S_ISDIR(st.st_mode))
		diag(ds, nowhere, D_FILE_DIRECTORY, name);
	else if (!standard && !S_ISREG(st.st_mode))
		diag(ds, nowhere, D_FILE_NOT_REGULAR, name);
	else if (S_ISREG(st.st_mode) && st.st_size > 0 && (uintmax_t)st.st_size > limit)
		diag(ds, nowhere, D_FILE_TOO_LARGE, name, digits);
	else if (!whole(fd, limit, &b, &err))
		diag(ds, nowhere, D_FILE_UNREADABLE, name, why_not(err));
	else if (b.n > limit)
		diag(ds, nowhere, D_FILE_TOO_LARGE, name, digits);
	else if (b.n == 0)
		diag(ds, nowhere, D_FILE_EMPTY, name);
	else
		good = true;
	if (good)
		*out = (strview){arena_text(a, b.p, b.n), b.n};
	if (!standard)
		close(fd);
	buf_free(&b);
	return good;
}

/* ---- writing ----------------------------------------------------------- */

static bool
write_all(int fd, strview v)
{
	while (v.n > 0) {
		ssize_t n = write(fd, v.p, v.n);

		if (n < 0 && errno == EINTR)
			continue;
		if (n < 0)
			return false;
		v.p += n;
		v.n -= (size_t)n;
	}
	return true;
}

/* Length of the folder part of PATH, its slash included. */
static size_t
folder_length(const char *path)
{
	const char *slash = strrchr(path, '/');

	return slash != NULL ? (size_t)(slash - path) + 1 : 0;
}

static void
sync_folder(const char *path)
{
	struct buf d = {0};
	int fd;

	buf_add(&d, path, folder_length(path));
	if (d.n == 0)
		buf_char(&d, '.');
	fd = open(d.p, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
	if (fd >= 0) {
		fsync(fd);                     /* best effort: some file systems refuse */
		close(fd);
	}
	buf_free(&d);
}

/* Give the finished temporary its name. */
static bool
take_name(const char *temp, const char *target, bool may_exist)
{
	struct stat st;

	if (may_exist)
		return rename(temp, target) == 0;
	/* A link fails when the name exists, with no moment between looking
	 * and taking; a file system without links gets the next best. */
	if (link(temp, target) == 0) {
		unlink(temp);
		return true;
	}
	if (errno == EEXIST)
		return false;
	if (lstat(target, &st) == 0) {
		errno = EEXIST;
		return false;
	}
	return rename(temp, target) == 0;
}

bool
file_replace(const char *path, strview content, bool may_exist, const char **why)
{
	struct buf temp = {0};
	char *real = may_exist ? realpath(path, NULL) : NULL;      /* follow the user's link */
	const char *target = real != NULL ? real : path;
	size_t folder = folder_length(target);
	struct stat st;
	bool there = lstat(target, &st) == 0, good = false;
	int fd = -1, err = 0;

	*why = "";
	if (there && !may_exist) {
		*why = why_not(EEXIST);
		return false;
	}
	if (there && !S_ISREG(st.st_mode)) {
		*why = S_ISDIR(st.st_mode) ? why_not(EISDIR) : "it is not a regular file";
		free(real);
		return false;
	}
	for (int i = 0; i < 100 && fd < 0; i++) {
		buf_clear(&temp);
		buf_add(&temp, target, folder);
		buf_print(&temp, ".bodkin-%ld-%d", (long)getpid(), i);
		fd = open(temp.p, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW,
		    there ? 0600 : 0666);
		if (fd < 0 && errno != EEXIST)
			break;
	}
	if (fd < 0) {
		err = errno;
	} else {
		good = (!there || fchmod(fd, st.st_mode & 07777) == 0) &&
		    write_all(fd, content) && fsync(fd) == 0;
		if (!good)
			err = errno;
		if (close(fd) != 0 && good) {
			good = false;
			err = errno;
		}
		if (good && !take_name(temp.p, target, may_exist)) {
			good = false;
			err = errno;
		}
		if (!good)
			unlink(temp.p);
		else
			sync_folder(target);
	}
	if (!good)
		*why = why_not(err);
	buf_free(&temp);
	free(real);
	return good;
}

void
out_write(FILE *f, strview text, const char *what)
{
	errno = 0;
	if (text.n > 0 && fwrite(text.p, 1, text.n, f) < text.n)
		die(EXIT_NOT_RUN, "cannot write %s: %s", what, why_not(errno));
}

void
out_close(FILE *f, const char *what)
{
	bool bad = ferror(f) != 0;
	int err = 0;

	if (fflush(f) != 0) {
		bad = true;
		err = errno;
	}
	if (fclose(f) != 0 && !bad) {
		bad = true;
		err = errno;
	}
	if (bad)
		die(EXIT_NOT_RUN, "cannot write %s: %s", what, why_not(err));
}
