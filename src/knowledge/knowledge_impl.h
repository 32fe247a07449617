/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Shared between the files of knowledge/ only: the compiler on its way through
 * the folders, the form of a stored entry, and the handle.
 *
 * The compiler walks the same trees several times, one top key after another,
 * in the order in which one thing needs another.  Every pass reads its keys
 * once, so that no complaint is made twice.
 */
#ifndef BODKIN_KNOWLEDGE_IMPL_H
#define BODKIN_KNOWLEDGE_IMPL_H

#include "knowledge/knowledge.h"

/* ---- the file ------------------------------------------------------------ */

#define STORE_APPLICATION 0x626f646b       /* "bodk" */
#define STORE_VERSION 4                    /* of tables and records; older files are refused */
#define STORE_LARGEST (64 * 1024 * 1024)   /* bytes of one value, or of the file */
#define STORE_TAIL "bodkin\x1a\x02"

/* What lies behind the last page of the database, so that it can be used as it
 * lies in the file: this head, the block, where each record begins (entries + 1
 * offsets of four bytes), the records. Pages are whole multiples of 16 bytes. */
struct store_tail {
	char magic[8];
	uint64_t sum;                      /* of what follows in this head */
	char content[48];                  /* hash of what it was compiled from */
	uint64_t block, records;           /* bytes of the block; of the records alone */
	uint64_t own, pad;                 /* key of the user's own text in it, or 0 */
};
uint64_t store_tail_sum(const struct store_tail *);

/* ---- names on their way --------------------------------------------------- */

struct symbol {
	const char *text;                  /* in the compiler's arena */
	uint32_t id;
	uint32_t next;                     /* next of the same bucket, or NONE */
	struct place place;
	uint16_t region;                   /* entries: of a synonym; NO16 everywhere */
};
struct symbols {                           /* a name may stand for several things */
	struct symbol *s;                  /* heap */
	uint32_t n;
	size_t cap;
	uint32_t *bucket;                  /* heap */
	uint32_t n_buckets;
};
void symbols_free(struct symbols *);
void symbols_add(struct symbols *, const char *text, uint32_t id, struct place);
const struct symbol *symbols_find(const struct symbols *, strview text, const struct symbol *after);
	/* The first, or the next after one found; NULL when there is no more. */
void symbols_near(const struct symbols *, strview text, struct near *);

/* ---- records --------------------------------------------------------------- */

/* Written and read in one order; see record.c. */
struct record {                            /* an entry as it stands while compiled */
	struct typical *typicals;   uint32_t n_typicals;    size_t cap_typicals;
	struct figure *figures;     uint32_t n_figures;     size_t cap_figures;
	struct bring *brings;       uint32_t n_brings;      size_t cap_brings;
	struct typical *bring_values; uint32_t n_bring_values; size_t cap_bring_values;
	struct entry_text *texts;   uint32_t n_texts;       size_t cap_texts;
	struct entry_link *links;   uint32_t n_links;       size_t cap_links;
	uint32_t when;                     /* program, or NONE */
	uint16_t each;
	uint32_t basis_low, basis_high;    /* or NONE */
};                                         /* its arrays are heap: record_free */
void record_free(struct record *);
strview record_write(struct arena *, const struct record *);
const struct entry_record *record_read(struct arena *, const struct craft *, strview blob);
	/* NULL: damaged. Every index in it is within the craft. */

/* ---- the compiler ----------------------------------------------------------- */

struct kb_file {
	const struct source *src;
	const struct node *root;           /* a map, or NULL: not readable */
	bool rules;                        /* came with the rules */
	bool own;                          /* the user's */
};

struct entry_draft {
	const struct node *item;
	uint16_t kind;                     /* entry kind */
	const char *name;
	struct place place;                /* of the name */
	struct record record;
	struct buf also, body;             /* for the full-text search */
	const uint32_t *broader;
	uint32_t n_broader;
	uint32_t own;                      /* enum whose */
	const struct node *added;          /* ENTRY_REFINED: the user's item; what of it is not
	                                    * merged into .item is read from here */
	const struct node *model;          /* what it is `like`, or NULL */
	struct place own_place;            /* where the user names it */
};

struct name_draft {
	const char *folded, *written;
	uint8_t target, inflected;
	uint16_t region;
	uint32_t id;
	bool own;                          /* the user wrote it */
};

/* A rule's or an advice's program and where it stands, kept for the checks
 * that need the finished craft. */
struct judged {
	struct place id, start, area_at;
	const char *area;
	bool advice, names_entry, broken;  /* broken: one of its programs would not compile */
	uint32_t index;                    /* in .rule or .advice */
	uint32_t program[6], n_programs;
};

struct compiler {
	struct arena *arena;
	struct diags *ds;
	struct craft_maker *m;
	struct kb_file *files;             /* arena; the user's own last */
	uint32_t n_files, n_own;
	uint64_t hash;
	uint64_t own_key;
	char content[48];                  /* what the file says it was made from */
	bool own_naming;                   /* names of the user's are being read */
	uint32_t own_source;               /* NONE: nothing of the user's is compiled */

	struct units units;                /* arena; as read so far */
	struct reading_words range_words;
	struct symbols unit_names, sets, kinds, properties, entry_kinds, settings, sources;
	struct symbols callables, entries, rules, advices, messages, order_rules, order_changes;
	struct symbols sheets, measures;
	struct symbols reckonings, layings;

	struct entry_draft *drafts;  uint32_t n_drafts;  size_t cap_drafts;
	struct name_draft *names;    uint32_t n_names;   size_t cap_names;
	struct worked *worked;       uint32_t n_worked;  size_t cap_worked;
	struct loose *loose;         uint32_t n_loose;   size_t cap_loose;
	struct judged *judged;       uint32_t n_judged;  size_t cap_judged;
	uint32_t role_set, region_set;     /* NONE when the schema lacks them */
	uint32_t n_unshown;                /* pieces of advice without an example */
	struct place unshown;              /* the first of them */
	size_t errors_before;
	bool schema_sound;                 /* no error up to the formulas of properties */
};

/* read_node.c: nodes into texts, numbers, values */
const char *kept(struct compiler *, strview);              /* a copy in the arena */
struct place text_place(const struct node *, size_t at, size_t n);
	/* Part of a text node in its file; the whole node where quoting or
	 * folding has moved the bytes. */
void each_item(struct compiler *, const char *top_key, void (*)(struct compiler *,
    const struct node *));
	/* Every item of every list under that top key, files in order. */
bool keys_known(struct compiler *, const struct node *map, const char *what,
    const char *const *keys);
	/* KEYS ends with NULL; "!name" must be there. False when one is missing. */
bool is_text(struct compiler *, const struct node *, const char *what);
strview get_text(struct compiler *, const struct node *map,
    const char *key);    /* "" when it is not there */
text_at get_text_at(struct compiler *, const struct node *map, const char *key);
bool get_yes(struct compiler *, const struct node *map, const char *key, bool unsaid);
struct texts { const struct node **node; uint32_t n; };
struct texts get_texts(struct compiler *, const struct node *map, const char *key);
	/* A single text counts as a list of one. */
bool get_number(struct compiler *, const struct node *, strview,
    double *);      /* "12", "0.4", "5/9", "-3" */

struct wanted {                            /* what a value is read for */
	const char *name;                  /* in complaints */
	struct reading_for f;
	bool exact;                        /* a range will not do */
	bool difference;                   /* a step or a tolerance: offsets left out */
};
struct wanted wanted_dimension(struct compiler *, const char *name, dimension);
struct wanted wanted_property(struct compiler *, const char *name, uint32_t property);
struct wanted wanted_unit(struct compiler *, const char *name, uint16_t unit);
bool get_range(struct compiler *, const struct node *, const struct wanted *, range *);
bool get_range_of(struct compiler *, const struct node *, strview text, size_t at,
    const struct wanted *, range *);
bool get_words(struct compiler *, const struct node *, strview text, size_t at, uint32_t set,
    uint64_t out[2]);
bool get_value(struct compiler *, const struct node *, uint32_t property, value *);
	/* A text, or a list of words, read for a property that is no reference. */

/* read_schema.c */
void read_units(struct compiler *);
void read_word_sets(struct compiler *);
void fill_word_sets(struct compiler *);    /* those made of entries */
void read_kinds(struct compiler *);
void read_entry_kinds(struct compiler *);
void read_sources(struct compiler *);
void read_settings(struct compiler *);
void read_roles(struct compiler *);
void read_derived(struct compiler *);      /* formulas of properties, `applies` of settings */
uint32_t find_set(struct compiler *, const struct node *, strview);
uint32_t find_kind(struct compiler *, const struct node *, strview);
uint32_t find_property(struct compiler *, const struct node *, uint32_t kind, strview);
uint32_t find_path_property(struct compiler *, const struct node *, strview kind_dot_property,
    size_t at);
uint32_t find_setting(struct compiler *, const struct node *, strview);
uint32_t find_source(struct compiler *, const struct node *, strview);
uint32_t find_unit(struct compiler *, const struct node *);    /* among those declared */
uint32_t find_role(struct compiler *, const struct node *, strview);
bool get_basis(struct compiler *, const struct node *, uint32_t *low, uint32_t *high);
bool new_name(struct compiler *, struct symbols *, const char *what, const struct node *, strview,
    uint32_t id);

/* read_figures.c: constants, tables, formulas */
void declare_figures(struct compiler *);
void read_figures(struct compiler *);
void check_formula_circles(struct compiler *, const struct craft *);
void note_loose(struct compiler *, const struct node *item, const char *owner);

extern const char *const entry_text_keys[], *const entry_link_keys[];
/* own.c: what is the user's, and how it meets what is shipped */
bool is_own(const struct compiler *, struct place);
bool own_may_hold(struct compiler *, const struct node *top_key);
	/* May a file of the user's hold such a list?  Else it is told. */
const struct node *own_refines(struct compiler *, const struct entry_draft *shipped,
    const struct node *item);
	/* The shipped item with the values and links of the user's. */
const struct node *own_like(struct compiler *, const struct entry_draft *model,
    const struct node *item);
	/* The user's item with what it does not say itself taken from another. */
void own_names_check(struct compiler *);
	/* No name of the user's may change how words of the shipped knowledge are
	 * read. Before the names are sorted. */

/* read_entries.c, read_brings.c */
void declare_entries(struct compiler *);
void read_entries(struct compiler *);
void read_brings(struct compiler *, uint32_t draft, const struct node *, bool has_basis,
    uint32_t low, uint32_t high);
uint32_t find_entry(struct compiler *, const struct node *, strview, uint32_t prefer_kind);
	/* Any of its names; of several that of the preferred entry kind. */
bool read_typical(struct compiler *, const struct node *key, uint32_t property, bool has_basis,
    uint32_t low,
    uint32_t high, struct record *, struct typical *);

/* read_rules.c */
void read_rules(struct compiler *);
void read_messages(struct compiler *);
void check_judged(struct compiler *, const struct craft *);
uint8_t read_cited(struct compiler *, const struct node *item, uint32_t *first);
	/* The list `source`: how many, and the first of them in .cited. */
unsigned read_examples(struct compiler *, const struct node *item, bool advice, uint32_t *first,
    uint32_t *n);
	/* Bit k of the answer: a person thought out an example of kind k. */
uint32_t compile_expression(struct compiler *, const struct node *, size_t at, const struct scope *,
    const struct expected *);

/* read_drawings.c */
void read_drawings(struct compiler *);

/* read_order.c */
void read_order(struct compiler *);

/* read_sheets.c */
void read_sheets(struct compiler *);
/* read_instructions.c */
void read_instructions(struct compiler *);
/* read_reckonings.c */
void read_reckonings(struct compiler *);

/* read_words.c */
void read_phrases(struct compiler *);
bool phrase_sets(struct compiler *, const struct node *, struct phrase *);
	/* KIND.PROPERTY = VALUE into property, set, quantity; false with a message. */
void read_lists(struct compiler *);
void read_same_words(struct compiler *);   /* more names, made from those written */
void write_lexicon(struct compiler *);
void add_name(struct compiler *, strview written, enum name_target, uint32_t id, uint16_t region);
void phrase_forms(struct compiler *, const struct node *written, uint32_t phrase);
	/* Adds as names of the phrase all forms that the text stands for, one for each
	 * choice of the parts in its brackets: "(edge|edges) left (raw|)". */

/* alike.c */
uint32_t names_alike(const struct craft *, const char *folded, uint32_t *out, uint32_t max);
	/* Entries whose name differs in spelling and small words only; how many. */

/* store.c */
bool store_bytes(struct compiler *, const struct craft *, struct buf *);

/* ---- the handle ---------------------------------------------------------------- */

struct sqlite3;
struct sqlite3_stmt;
struct knowledge {
	const char *file;                  /* the whole file, mapped */
	size_t size, pages;                /* its bytes; those that are the database */
	const uint32_t *record_at;         /* per entry and one more, within .record_bytes */
	const char *record_bytes;
	struct sqlite3 *db;                /* opened when first wanted, over the same bytes */
	struct sqlite3_stmt *search;
	struct arena *arena;
	struct craft craft;
	char version[48];
	uint64_t own_key;
	int turns;                         /* millions of steps of the engine in this query */
	const struct entry_record **records;       /* by entry, NULL: not yet read */
	const struct worked *worked;  uint32_t n_worked;  bool worked_read;
	const struct loose *loose;    uint32_t n_loose;   bool loose_read;
};
bool names_sound(const struct craft *);    /* are names, phrases, words, formulas within bounds? */
/* opens the database on first use */
struct sqlite3_stmt *kb_prepare(struct knowledge *,
    const char *sql);   /* dies: the file is damaged */
_Noreturn void kb_damaged(const struct knowledge *, const char *what);

#endif
