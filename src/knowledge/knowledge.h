/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * knowledge: the text of kb/ and rules/ made into one read-only database, and
 * the handle through which everyone reads it.
 *
 * Write side: kb_compile reads the folders, checks everything that can be
 * checked without running an example, and writes the file.  Read side:
 * kb_open maps the file and uses it as it lies; entries are read when asked
 * for and kept.  A handle is immutable once open; several can be open.
 */
#ifndef BODKIN_KNOWLEDGE_H
#define BODKIN_KNOWLEDGE_H

#include "language/language.h"

struct knowledge;

bool kb_compile(const char *kb_folder, const char *rules_folder, const char *out_path,
    struct diags *);
	/* False with diagnostics when anything is wrong; then nothing is written. */

/* ---- the user's own text ------------------------------------------------------- */

struct own_file {
	const char *path;
	strview text;                      /* empty until read */
	bool bare;                         /* nothing but blanks and remarks: passed over */
};
struct own_folder {
	const char *path;
	struct own_file *files;            /* in the arena, sorted by path */
	uint32_t n;
	uint64_t key;                      /* of names, sizes and times of change */
	bool more;                         /* there are more files than can be taken */
};
void own_look(struct arena *, const char *folder, struct own_folder *);
	/* What lies there, subfolders too; nothing is read. */
bool own_read(struct arena *, struct own_folder *, struct diags *);
	/* Reads all of it. */

bool kb_compile_own(struct knowledge *shipped, struct own_folder *, struct buf *bytes,
    struct diags *);
	/* The user's own text laid over that of SHIPPED, compiled as strictly; the
	 * bytes are those of a database, with the folder's key in it. False with
	 * diagnostics, all of places in the user's files. */

/* ---- the handle ------------------------------------------------------------------ */

struct knowledge *kb_open_bytes(strview bytes, const char **why);     /* copies them */
uint64_t kb_own_key(const struct knowledge *);
	/* Of what was laid over the shipped knowledge; 0: nothing. */
struct knowledge *kb_open(const char *path, const char **why);
	/* NULL: WHY says what is wrong (missing, not a bodkin database, damaged,
	 * of another version) and what to do, and lives as long as the program. */
void kb_close(struct knowledge *);
const struct craft *kb_craft(const struct knowledge *);
const char *kb_version(const struct knowledge *);      /* hash of what it was compiled from */

bool kb_show_in(struct knowledge *, const char *measures);
	/* From now on values are shown in the units of that list of `measures`,
	 * those beside it included; false: there is no such. Before it, values are
	 * shown in the unit that stands first with their property. Not to be called
	 * while anyone reads values: what is read may mean something else after it. */

/* ---- entries ---------------------------------------------------------------- */

struct typical {                           /* one value of an entry */
	uint32_t property;
	uint32_t basis_low, basis_high;    /* .source */
	uint32_t pad;
	value usual, seen;                 /* seen.state VALUE_ABSENT: as usual */
	uint32_t first_figure, n_figures;  /* in .figures */
	const char *note;
};
struct figure { uint32_t source; value value; };

enum bring_how { BRING_VALUE, BRING_PROGRAM, BRING_LOCAL, BRING_ROLE };
struct bring_set {                         /* one property of a brought object */
	uint32_t property;
	uint8_t how;
	uint32_t typical;                  /* BRING_VALUE: in .typicals of the brings */
	uint32_t program;                  /* BRING_PROGRAM */
	uint32_t local;                    /* BRING_LOCAL: number of the bring item */
	uint16_t role;                     /* BRING_ROLE: word of the set role; several
	                                    * for one property: the first that is there */
};
struct bring {                             /* one object an entry adds */
	uint16_t kind;
	bool main;
	uint32_t entry;                    /* or NONE */
	const char *name;                  /* what people call it */
	uint32_t when;                     /* program or NONE */
	uint32_t parent;                   /* bring item it is a child of, or NONE */
	uint32_t parent_property;          /* property that refers to the parent, or NONE */
	const struct bring_set *set;
	uint32_t n_set;
	const uint32_t *after;             /* bring items that must come before */
	uint32_t n_after;
};
struct entry_text { const char *key, *text; };             /* "says", "handling", ... */
struct entry_link { const char *how; uint32_t entry; };
	/* "kin", "suits", "suits not", "see", "causes" ...; of one sort in the order written */
struct entry_record {
	const struct typical *typicals;  uint32_t n_typicals;
	const struct figure *figures;    uint32_t n_figures;
	const struct bring *brings;      uint32_t n_brings;
	const struct typical *bring_values; uint32_t n_bring_values;
	const struct entry_text *texts;  uint32_t n_texts;
	const struct entry_link *links;  uint32_t n_links;
	uint32_t when;                     /* program: is there a reason for it in a model?, or NONE */
	uint16_t each;                     /* kind of object it looks at, or NO16 */
	uint32_t basis_low, basis_high;    /* .source: what its texts rest on, or NONE */
};
const struct entry_record *kb_entry(struct knowledge *, uint32_t entry);
	/* Read when first asked for, then kept; lives as long as the handle.
	 * Never NULL: a damaged record ends the program in die(). */

/* ---- what the audit needs besides the craft ------------------------------------ */

struct worked {                            /* a worked example of a formula */
	uint32_t formula;
	uint32_t source, line;
	text_at file;
	const range *with;                 /* one for each parameter, in their order */
	range gives;                       /* base units, as everything */
	double within;
};
uint32_t kb_worked(struct knowledge *, const struct worked **);
struct loose {                             /* a number that no example needs to pin */
	const char *owner;                 /* "rule ID", "advice ID", "formula NAME" ... */
	const char *number, *why;          /* as written */
};
uint32_t kb_loose(struct knowledge *, const struct loose **);

/* ---- names ------------------------------------------------------------------- */

uint32_t kb_names(const struct craft *, strview folded, const struct name **first);
	/* All meanings of a name, exact or inflected: count and first of the run.
	 * Hyphens count as blanks. A form made by the compiler is there only where
	 * nobody wrote that name for anything. Words of a set that is made of
	 * entries have no names of their own: those of the entry stand for them. */
char *name_key(struct arena *, strview written);
	/* A key of the lexicon: folded, and hyphens as blanks, so that people may
	 * write either. In the arena. */
uint32_t kb_names_near(const struct craft *, strview folded, struct near *);
	/* Names of anything but stop words, within the usual distance: how many. */
uint32_t kb_word_of(const struct craft *, uint32_t set, uint32_t entry);
	/* Number within the set of the word that is this entry, or NONE. */
uint32_t kb_word_set(const struct craft *, uint32_t word, uint32_t *number);
	/* NAME_WORD's id is an index into .word: its set, and its number there. */
uint32_t kb_entry_find(const struct craft *, strview written, const char *kind);
	/* By any of its names; KIND: an entry kind, its plural, or the kind of
	 * object it becomes; NULL: any. NONE if none or ambiguous. A name as
	 * written goes before an inflected one, an entry's own name before a
	 * synonym of another. */
uint32_t kb_names_loose(const struct craft *, strview written, const char *kind, uint32_t *out,
    uint32_t max);
	/* Entries meant by words that are no name as they stand: names parted or
	 * joined otherwise, a name with a word people add to names of its kind
	 * (a needle's, and "needles" behind it), a name short of such a word, a name
	 * spelt otherwise or with "of" in it (see alike.c). How many. */
bool kb_entry_is(const struct craft *, uint32_t entry, uint32_t broader);
	/* The same entry, or a kind of it at any remove. */

/* ---- search -------------------------------------------------------------------- */

struct hit {
	uint32_t entry;
	double score;
	bool all;                          /* every word that does not only ask stands in it, or
	                                    * is a name of it */
};
uint32_t kb_search(struct knowledge *, struct arena *, strview words, const char *kind,
    struct hit *, uint32_t max);
	/* What the words name as a whole, then by what each word is worth (see
	 * search.c), then near spellings; best first, scores falling.
	 * KIND: an entry kind or its plural; NULL: all. WORDS is plain
	 * text: whatever stands in it is looked for and never understood as a
	 * query. */

#endif
