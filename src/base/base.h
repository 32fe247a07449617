/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * base: what every other room stands on.
 *
 * Arenas, text views and buffers, source texts with line tables, diagnostics,
 * files, YAML read into nodes that know their place, JSON written out, and the
 * few Unicode services the program needs.  Nothing here knows a unit, a rule
 * or a piece of cloth.
 *
 * Allocation never returns NULL: a lack of memory ends the program in die().
 */
#ifndef BODKIN_BASE_H
#define BODKIN_BASE_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

/* ---- breakdowns ------------------------------------------------------- */

enum exit_status { EXIT_SOUND = 0, EXIT_FINDINGS = 1, EXIT_NOT_RUN = 2, EXIT_OUR_FAULT = 3 };

/* Print "bodkin: MESSAGE" on stderr and end with STATUS.  For breakdowns only
 * (no memory, full disk: EXIT_NOT_RUN; a broken invariant: EXIT_OUR_FAULT). */
_Noreturn void die(enum exit_status status, const char *fmt, ...)
    __attribute__((format(printf, 2, 3)));

/* ---- memory ----------------------------------------------------------- */

void *mem_alloc(size_t n);                 /* zeroed heap; ends with free() */
void *mem_grow(void *p, size_t *cap, size_t want, size_t elem);

struct arena;                              /* one lifetime; freed as a whole */
struct arena *arena_new(void);
void arena_free(struct arena *);
void arena_reset(struct arena *);          /* keeps its memory, forgets its contents */
void *arena_alloc(struct arena *, size_t n);        /* zeroed, 16-byte aligned */
char *arena_text(struct arena *, const char *p, size_t n);   /* copy, NUL added */
char *arena_print(struct arena *, const char *fmt, ...)
    __attribute__((format(printf, 2, 3)));
size_t arena_used(const struct arena *);

/* ---- text ------------------------------------------------------------- */

typedef struct strview {                   /* bytes somewhere else; not NUL-ended */
	const char *p;
	size_t n;
} strview;

#define SV(lit) ((strview){(lit), sizeof(lit) - 1})
strview sv(const char *s);                 /* NULL gives an empty view */
bool sv_eq(strview a, strview b);
bool sv_is(strview a, const char *s);
int sv_cmp(strview a, strview b);          /* bytewise order */
strview sv_trim(strview);                  /* ASCII blanks off both ends */
bool sv_starts(strview, const char *prefix);

struct buf {                               /* growable text, always NUL-ended once touched */
	char *p;                           /* owned: buf_free */
	size_t n, cap;
};
void buf_free(struct buf *);
void buf_clear(struct buf *);
void buf_add(struct buf *, const char *p, size_t n);
void buf_str(struct buf *, const char *s);
void buf_sv(struct buf *, strview);
void buf_char(struct buf *, char c);
void buf_print(struct buf *, const char *fmt, ...) __attribute__((format(printf, 2, 3)));
void buf_number(struct buf *, double x, int significant);
	/* Shortest plain decimal of x rounded to that many significant digits
	 * (at most 15): "0.85", "1200", "-3.5", never an exponent, never a
	 * locale's comma; "unbounded" for an infinity. */
bool number_read(strview, size_t *used, double *out);
	/* Decimal number at the start of the view ("12", "0.40", "2,5" no:
	 * the comma is the caller's affair); no sign, no exponent, no hex.
	 * False when there is none or it does not fit. */

/* ---- Unicode (through utf8proc) --------------------------------------- */

bool utf8_valid(strview, size_t *bad_at);
char *text_fold(struct arena *, strview);
	/* For matching: lower case, no accents, compatibility forms undone,
	 * curly quotes and dashes made plain, runs of blanks made one, none at
	 * the ends; a fraction character after a digit stands apart: "1 3/8". */
void buf_fold(struct buf *, strview);      /* the same, at the end of a buffer */
size_t text_cells(strview);                /* terminal cells; controls count as shown */
size_t utf8_step(strview, size_t at);      /* bytes of the character at AT (>= 1) */
void text_safe(struct buf *, strview);
	/* For people: C0, DEL, C1, bidi controls, U+2028/9 and broken UTF-8
	 * are shown as \xNN or \u{...}; the rest unchanged. */
void text_wrap(struct buf *, const char *s, int indent, int width);
	/* Words of S wrapped into lines of WIDTH cells, INDENT blanks before
	 * each line but the first; no newline at the end. WIDTH 0: no wrapping. */

/* ---- a section drawn in words ----------------------------------------- */

enum { SKETCH_POINTS = 16 };
struct sketch_mark {
	enum sketch_does {
		SKETCH_LINE,               /* a layer along its bends: "line 0,0 30,0 30,1 12,1" */
		SKETCH_CROSS,              /* a thread through: "cross 10", or "cross 10 0 2" from 0 to 2 */
		SKETCH_WRAP,               /* threads round an edge: "wrap 30 0 1" */
		/* of a shape seen from one side, not of a section; LINE as well */
		SKETCH_THIN,               /* an edge or a fold: "thin 0,0 30,0" */
		SKETCH_UNDER,              /* what lies underneath: "under 0,0 3,0" */
		SKETCH_FILL,               /* a solid part, by its corners */
		SKETCH_DOT,                /* a hole or a knot: "dot 3,0" */
		SKETCH_EVERY,              /* all marks once more each so many mm: "every 2.5" */
		SKETCH_TELL                /* words for all of it: "tell ..." */
	} does;
	double x[SKETCH_POINTS], y[SKETCH_POINTS]; /* of CROSS and WRAP: x[0], y[0] to y[1] */
	uint32_t n;                        /* points; 0 for a CROSS through everything */
	strview says;                      /* of TELL, in the text it was read from */
};
bool sketch_read(strview, struct sketch_mark *);
	/* One mark of a section: x runs along the cloth in mm, y counts layers
	 * upward. False when it is none. */
bool shape_mark_read(strview, struct sketch_mark *);
	/* One mark of a shape: x to the right and y upward in mm. */

/* ---- near names ------------------------------------------------------- */

int edit_distance(strview a, strview b, int limit);
	/* Optimal string alignment over bytes of folded text (neighbouring
	 * letters exchanged count one); limit + 1 when it is more. */
int edit_allowance(size_t letters);        /* 1 up to 4 letters, 2 up to 8, 3 above */
struct near {                              /* the best three, best first */
	const char *name[3];
	int distance[3];
	int n;
};
void near_offer(struct near *, strview wanted, const char *candidate);

/* ---- sources and diagnostics ------------------------------------------ */

struct source {                            /* a text a person wrote, kept whole */
	const char *name;                  /* as the user gave it; "<words>" and the like */
	strview text;
	const uint32_t *line;              /* byte offset of each line */
	uint32_t n_lines;
};
struct source *source_new(struct arena *, const char *name, strview text);
	/* The name is copied, the text is not: it must live as long. */

struct place {                             /* a span of a source; .src NULL: nowhere */
	const struct source *src;
	uint32_t at, n;                    /* byte offset and length */
};
/* from 1; column in characters */
void place_line_column(struct place, uint32_t *line, uint32_t *column);
void place_name(struct buf *, struct place);     /* "file:3:14", or "" */
void place_excerpt(struct buf *, struct place);  /* the line with its number, and a caret below */

enum diag_level { DIAG_ERROR, DIAG_REPAIRED, DIAG_NOTE, DIAG__LEVELS };
enum diag_id {
#define D(id, level, text, remedy) D_##id,
#include "base/diagnostics.def"
#undef D
	D__COUNT
};

struct diagnostic {
	enum diag_id id;
	struct place place;
	const char *message;               /* catalogue text, filled in */
	const char *remedy;                /* "" when there is none */
	const char *near;                  /* "did you mean ...", or "" */
};
struct diags {                             /* all complaints about one input */
	struct arena *arena;
	struct diagnostic *d;              /* in the arena */
	size_t n, cap;
	size_t errors;
	size_t limit;                      /* stop storing after so many (0: 200) */
	size_t dropped;                    /* counted but not stored */
};
void diags_init(struct diags *, struct arena *);
void diag(struct diags *, struct place, enum diag_id, ...);
	/* Each {} of the catalogue's text takes one const char *, in order;
	 * the remedy's {} go on from there. */
void diag_near(struct diags *, const struct near *);
	/* Adds the near names to the diagnostic just made. */
enum diag_level diag_level(enum diag_id);
const char *diag_name(enum diag_id);       /* "unknown-key": stable, for people and JSON */
bool source_check(const struct source *, struct diags *);
	/* Complains of broken UTF-8 and of control characters (all but tab and
	 * line ends); false when there was any.  yaml_read does it itself. */
void diags_lines(struct buf *, const struct diags *, const char *unplaced);
	/* file:line:column: error: message [name], one line each, for editors;
	 * UNPLACED: the file that is named where there is no place. */
void diags_print(struct buf *, const struct diags *, bool colour);
	/* file:line:column: error: message [name], the line, a caret measured
	 * in terminal cells, the remedy and near names. */

/* ---- files ------------------------------------------------------------ */

bool file_read(struct arena *, const char *path, size_t limit, strview *out, struct diags *);
	/* A regular file or "-" (standard input), whole; a diagnostic when it
	 * is missing, a directory, too large, unreadable or empty. */
bool file_replace(const char *path, strview content, bool may_exist, const char **why);
	/* Atomic: temporary in the same folder, fsync, rename.  Refuses an
	 * existing file unless may_exist.  WHY names the fault. */
void out_write(FILE *, strview, const char *what);
	/* Writes all of it, or ends in die(EXIT_NOT_RUN) with the reason. */
void out_close(FILE *, const char *what);
	/* Flush and close; a full disk or broken pipe ends in die(EXIT_NOT_RUN). */

/* ---- YAML ------------------------------------------------------------- */

enum node_type { NODE_TEXT, NODE_LIST, NODE_MAP };
struct node {
	enum node_type type;
	struct place place;                /* of the value */
	strview text;                      /* NODE_TEXT; also the key's text in a pair */
	bool quoted;
	struct node *first, *next;         /* list: items; map: keys, each key's .value its value */
	struct node *value;
	uint32_t n;                        /* children */
};
struct yaml_limits { size_t depth, events, bytes; };
extern const struct yaml_limits yaml_project_limits;     /* depth 64, 10,000 events, 256 KiB */
extern const struct yaml_limits yaml_knowledge_limits;   /* depth 64, 1,000,000 events, 16 MiB */
struct node *yaml_read(struct arena *, const struct source *, struct yaml_limits, struct diags *);
	/* One document as nodes, or NULL with diagnostics: libyaml's words
	 * made plain with a corrected example, duplicate keys (both places),
	 * anchors, aliases, tags, control characters, too deep, too many. */
struct node *node_get(const struct node *map, const char *key);     /* value or NULL */
struct node *node_key(const struct node *map, const char *key);     /* the key node or NULL */

/* ---- JSON out --------------------------------------------------------- */

struct json {                              /* streaming; commas and nesting looked after */
	struct buf *out;
	uint32_t depth;
	bool first[64];
	bool after_key;
};
void json_open(struct json *, char bracket);     /* '{' or '[' */
void json_close(struct json *, char bracket);    /* '}' or ']' */
void json_key(struct json *, const char *);
void json_text(struct json *, strview);          /* escaped; broken UTF-8 becomes U+FFFD */
void json_str(struct json *, const char *);      /* NULL writes null */
void json_number(struct json *, double);         /* an infinity writes null */
void json_bool(struct json *, bool);

/* ---- log -------------------------------------------------------------- */

/* FNV-1a, for checksums of our own blocks */
uint64_t hash_bytes(const void *, size_t, uint64_t seed);

#endif
