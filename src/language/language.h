/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * language: the schema of the craft and the small language that speaks of it.
 *
 * A craft is everything compiled: units, kinds of object, their properties,
 * formulas, tables, rules, advice, messages and names.  All of it lies in one
 * position-free block: arrays of plain structs that point at each other by
 * index and at text by offset.  The compiler fills the arrays, the database
 * stores them, and a program that reads them back needs no further work.
 *
 * A model is a set of flat objects whose properties are ranges or sets.  The
 * evaluator runs a compiled program over a model without allocating.
 *
 * Nothing here knows a trade: names and figures come from kb/ and rules/.
 */
#ifndef BODKIN_LANGUAGE_H
#define BODKIN_LANGUAGE_H

#include "measure/measure.h"

#define NONE UINT32_MAX                    /* no index */
#define NO16 UINT16_MAX

typedef uint32_t text_at;                  /* offset into the craft's text; 0 is "" */

/* ---- the schema -------------------------------------------------------- */

enum value_type {
	TYPE_QUANTITY,                     /* a range with a dimension */
	TYPE_WORDS,                        /* a set of possible words; ordered or not */
	TYPE_REF,                          /* another object, or none */
	TYPE_BAND,                         /* all values between two bounds are allowed */
	TYPE_TRUTH,                        /* only as the result of a program */
	TYPE__COUNT
};

struct craft_unit {
	text_at name, plural;
	uint32_t first_spelling, n_spellings;      /* in .spelling */
	dimension dim;
	uint8_t form, before, after, fraction;
	int32_t digits;
	uint32_t numbering;
	double factor, offset;
	uint32_t first_rung, n_rungs;
};

struct word_set {                          /* what a TYPE_WORDS property can be */
	text_at name;
	uint32_t first, n;                 /* in .word; at most 128; set 0 is no, yes */
	uint8_t ordered;                   /* a scale: first is least */
	uint8_t by_name;                   /* in plain words its words count only beside the
	                                    * name of the property ("strong" alone says nothing) */
	uint16_t entries_of;               /* entry kind whose entries are the words, or NO16 */
};
struct word { text_at name; uint32_t entry; };    /* entry NONE for a plain word */
struct role_note {                         /* what is done when nobody said a role */
	uint16_t role, falls_back;         /* words of the set role; falls_back NO16: to none */
	uint8_t advised, pad[3];           /* an assumed component stands in */
};

struct kind {                              /* a kind of object in a model */
	text_at name, plural, says;
	uint32_t first_property, n_properties;     /* in .property, slot order */
	uint8_t singleton;                 /* there is always exactly one */
	uint8_t usual;                     /* brought by a singleton's entry: there by assumption */
	uint8_t on_paper;                  /* facts an entry holds: no object is of this kind */
	uint8_t sizes;                     /* sizes of a construction, worked out and never said */
	uint32_t name_property;            /* property whose value names the object, or NONE */
};

enum property_flag {
	PROPERTY_DERIVED = 1,              /* has a formula */
	PROPERTY_SETTING = 2,              /* stands for a setting */
	PROPERTY_ACT = 4,                  /* something done: not said gives no finding */
	PROPERTY_OWN = 8,                  /* a fact one could tell or measure on a swatch */
	PROPERTY_BY_NAME = 16,             /* a figure is its only beside its name */
	PROPERTY_LATE = 32                 /* derived only where a page of reckonings is wanted */
};

struct property {
	text_at name;                      /* "needle.size": may hold dots */
	text_at label;                     /* in prose: "needle size" */
	text_at ask;                       /* how to find out at home, or "" */
	uint16_t kind, slot;               /* slot within the kind's objects */
	uint8_t type, flags;
	uint16_t ref_kind;                 /* TYPE_REF */
	uint16_t word_set;                 /* TYPE_WORDS */
	uint16_t bare_unit;                /* unit of a bare number, NO16 none */
	uint32_t first_unit, n_units;      /* in .unit_list; the first is shown */
	dimension dim;
	uint16_t role;                     /* TYPE_REF: 1 + role whose component it is unless
	                                    * something else is said; 0 none */
	uint8_t size;                      /* 1 + word of the set "size group": under which heading
	                                    * this worked-out size stands; 0 none */
	uint8_t pad;
	uint32_t roles;                    /* bit n: people tell it of a component with word n of
	                                    * the set "role"; 0: of any */
	uint32_t elsewhere;                /* TYPE_REF with a role: program; where it is true, what is
	                                    * said of that role without a place is not meant. NONE */
	double step;                       /* least difference the trade makes; 0 none */
	double about;                      /* relative half-width of "about" */
	range domain;
	uint32_t formula;                  /* program, or NONE; its one variable is the object */
	uint32_t formula_entry;            /* formula it rests on, for the page; or NONE */
	uint32_t from_default;             /* for basis of the formula: source index */
	text_at classes;                   /* name of class words table, or "" */
	text_at says;                      /* a convention, a caution: shown beside a size */
	uint32_t pad2;                     /* no byte of a block is left to chance */
};

/* ---- programs ---------------------------------------------------------- */

enum op {
#define O(name, text) OP_##name,
#include "language/ops.def"
#undef O
	OP__COUNT
};

struct instr {                             /* 16 bytes */
	uint8_t op, reg;                   /* reg: variable of a load; comparison kind */
	uint16_t a;
	uint32_t b;
	double step;                       /* comparisons */
};

static inline dimension
instr_dimension(const struct instr *i)     /* of a comparison of quantities: that of its sides */
{
	union { uint32_t bits; dimension dim; } u = {i->b};

	return u.dim;
}

struct mask { uint64_t set[2]; };           /* words of a set */
/* properties (at most 1,024) a derived one hangs on */
struct dependence { uint64_t bits[16]; };

struct path { uint8_t n; uint8_t pad; uint16_t root; uint16_t prop[4]; };
	/* Properties followed from a variable's object; all but the last are
	 * references.  Indices into .property.  root: kind of the variable. */
#define VARIABLE_ONE 255                   /* reg: the one object of the path's root kind */

#define VARIABLES_MAX 8                    /* each, other, then loops */

struct program {
	uint32_t first, n;                 /* in .instr */
	uint8_t type;                      /* enum value_type of the result */
	uint8_t stack;                     /* cells needed */
	uint16_t word_set;                 /* result TYPE_WORDS */
	dimension dim;
	uint32_t property;                 /* whose units show the result, or NONE */
	uint32_t variables;                /* how many objects must be bound */
	text_at written;                   /* the expression as its author wrote it */
	uint32_t file, line;               /* text_at of the file; line number */
};

struct table {                             /* piecewise linear, or by word */
	text_at name;
	uint32_t first, n;                 /* in .point */
	uint8_t by_word, result_band, steps, pad;
	uint16_t word_set, pad2;
	dimension from, to;
	uint32_t source;
};
struct point { double x; range y; };       /* x: base units, or the word's number */

struct formula {                           /* callable by name; a work-out */
	text_at name, says, validity_text;
	uint32_t entry;                    /* its entry in the reference */
	uint32_t first_parameter, n_parameters;
	uint32_t body, valid;              /* programs over parameters; valid NONE */
	uint32_t unit;                     /* unit of the result as shown */
	uint32_t source;
};
struct parameter { text_at name; dimension dim; uint32_t unit; };

/* ---- rules, advice, settings, messages ---------------------------------- */

enum degree { DEGREE_MENTION, DEGREE_DOUBTFUL, DEGREE_GRAVE, DEGREE__COUNT };
enum strength { STRENGTH_LEANING, STRENGTH_USUAL, STRENGTH_FIRM, STRENGTH__COUNT };

struct message { uint32_t first, n; };     /* in .part */
struct part { text_at literal; uint32_t program; };
	/* text, then the program's value when program is not NONE */
#define PART_LIMIT (UINT32_MAX - 1)        /* the limit the comparison was held against */

struct rule {
	text_at id, area, why, scrap_test, names_entry;    /* names_entry: why it names one, or "" */
	uint16_t each, other;              /* kinds; other NO16 when not a pair */
	uint32_t when, must;               /* programs; when NONE: always */
	uint8_t degree, n_touches, n_sources, safety;
	uint16_t touches[3];               /* settings */
	uint16_t own;                      /* not of the shipped knowledge: the user's */
	struct message say, settle;        /* settle.n 0: none */
	uint32_t first_source;             /* in .cited */
	uint32_t first_example, n_examples;
	uint32_t file, line;
};

struct advice {
	text_at id, area, scrap_test;
	uint16_t each, setting;
	uint32_t when;                     /* program or NONE */
	uint32_t low, high;                /* programs of a band's bounds, or NONE */
	uint32_t first_choice, n_choices;  /* in .choice: words in order of preference */
	uint32_t best;                     /* program: the value to start from, or NONE */
	uint8_t strength, n_sources;
	uint16_t own;                      /* as of a rule */
	struct message why;
	uint32_t first_source;
	uint32_t first_example, n_examples;
	uint32_t file, line;
};

struct setting {                           /* in the order in which they are settled */
	text_at name, label, scrap_test;
	uint16_t property, chosen;         /* chosen 0: a judgement of the cloth itself, never advised */
	uint32_t stands_out;               /* 1: asked for of no place, meant where one choice is
	                                    * firmly called for */
	uint32_t applies;                  /* program: does this object have it?, or NONE */
	uint32_t first_obtainable, n_obtainable;   /* in .obtainable, for quantities */
	text_at lighter, heavier;          /* words for its neighbours: "finer", "heavier" */
	uint32_t first_also, n_also;       /* in .also: other properties that stand for it */
	uint32_t unplaced;                 /* program: is the object meant when no place is said?,
	                                    * or NONE: all are */
};

/* What has to be done before what, whichever detail brings the two: every object
 * of the kind `operation` for which FIRST holds goes before every one for which
 * THEN holds, each seen as the one variable of its program. */
#define ORDER_SAME_MOST 3
struct order_rule {
	text_at id, why;
	uint32_t first, then;              /* programs */
	uint16_t same[ORDER_SAME_MOST];    /* only where both lead to one object by one of these */
	uint16_t n_same;
	uint32_t own;                      /* as of a rule */
	uint32_t first_source, n_sources;  /* in .cited */
	uint32_t first_example, n_examples;
	uint32_t file, line;
};
/* What is to change as seldom as can be between one step and the next, the
 * dearest change first. */
#define ORDER_CHANGES_MOST 4
#define ORDER_CHANGE_OF_MOST 4
struct order_change {
	text_at name, label;
	uint32_t where;                    /* program: does the step need it at all?, or NONE */
	uint16_t of[ORDER_CHANGE_OF_MOST];     /* properties that tell one from another */
	uint16_t n_of, pad;
};

/* ---- sheets: what a printed page or card holds ------------------------------ */

/* One thing a line shows: the choice made for a setting, or a property. */
struct sheet_item { uint16_t property, setting; };         /* setting NO16: none */
struct sheet_case { uint32_t when; struct message says; }; /* when NONE: always */
enum sheet_line_is {
	SHEET_VALUES,                      /* its items; where it has cases, what they say */
	SHEET_SUITED, SHEET_WHY,           /* how a cloth suits, and the reasons */
	SHEET_NAME,                        /* of what the row is about */
	SHEET_WRITE                        /* left for the reader to fill in */
};
struct sheet_line {
	text_at name, label;
	text_at text;                      /* key of the entry's own text, or "" */
	text_at form;                      /* "{} of {}": where its values stand, or "": commas */
	uint8_t is;                        /* enum sheet_line_is */
	uint8_t ticked;                    /* its text is a list parted by semicolons, to tick off */
	uint16_t kind;                     /* of the object it looks at */
	uint32_t at;                       /* program: which object of the kind; NONE: the cloth
	                                    * itself, or of a setting its main place */
	uint32_t first_item, n_items;      /* in .sheet_item */
	uint32_t first_case, n_cases;      /* in .sheet_case: the first that holds for certain */
	uint32_t source;                   /* its texts rest on it, or NONE */
};
enum sheet_shows {
	SHEET_SUITS, SHEET_TABLE, SHEET_PLACES, SHEET_LINES, SHEET_CAUTIONS, SHEET_EXERCISES,
	SHEET_GLOSSARY, SHEET_SWATCHES, SHEET_SOURCES, SHEET_NOTE, SHEET_BARS, SHEET_DRAWINGS,
	SHEET__COUNT
};
struct sheet_part {
	text_at name, heading, says;
	uint8_t shows;                     /* enum sheet_shows */
	uint8_t once;                      /* on a sheet of cards: after them all */
	uint16_t kind;                     /* of the places, or NO16 */
	uint32_t where;                    /* program: which of the places, or NONE */
	uint32_t most;                     /* at most so many rows; 0: all */
	uint32_t wide, high;               /* mm of paper of a swatch; 0: as is usual */
	uint32_t first_line, n_lines;      /* in .sheet_line */
	uint32_t first_kind, n_kinds;      /* in .sheet_entry: entry kinds it is about */
	uint32_t first_entry, n_entries;   /* in .sheet_entry: the cautions; of a glossary: those
	                                    * that every reader knows */
	uint32_t source;
};
struct sheet_plan {
	text_at name, title, says;
	uint8_t cards, pad[3];             /* one for each cloth, in place of one for all */
	uint32_t on_a_page;                /* cards on one sheet of paper; 0: as many as fit */
	uint32_t first_taken, n_taken;     /* in .choice: settings whose choice counts as said */
	uint32_t first_part, n_parts;      /* in .sheet_part */
	uint32_t first_usual, n_usual;     /* in .sheet_entry: put in where no details are said */
};
struct measures {                          /* units people of one habit go by */
	text_at name;
	uint32_t first, n;                 /* in .unit_list: the first that a property takes shows it */
	uint32_t first_beside, n_beside;   /* and these in brackets beside it */
};
/* What a sheet of instructions says for a step: the first of its entry whose
 * condition holds. */
struct instruction {
	uint32_t entry;                    /* the operation */
	uint32_t when;                     /* program, or NONE: always */
	struct message tell;
	uint32_t file, line;
};
/* What a sheet must not leave out. */
struct proof_check {
	text_at id, why;
	uint16_t each;                     /* kind: once for each such object the sheet names, of which
	                                    * WHEN holds; NO16: once for the sheet */
	uint8_t degree, n_sources;
	uint32_t when;                     /* program, or NONE */
	/* in .proof_text: only if one of these is named; none: always */
	uint32_t first_named, n_named;
	uint32_t first_also, n_also;       /* and one of these, if there are any */
	uint32_t first_wanted, n_wanted;   /* in .proof_text: then one of these must be */
	struct message say;
	uint32_t first_source;
	uint32_t file, line;
};
/* Lines and columns of the papers made from the steps. */
struct work_line {
	text_at head;                      /* of a column */
	uint8_t list, pad;                 /* enum work_list */
	uint16_t each;                     /* WORK_LIST_MATERIALS: kind of object */
	uint32_t when;                     /* program, or NONE */
	uint32_t step;                     /* WORK_LIST_COLUMN: program over the nearest other step of the
	                                    * same place, which then tells; NONE: the seam itself */
	struct message tell;
	uint16_t of, fact;                 /* WORK_LIST_COLUMN: words property, and what is told of the
	                                    * entry it is; else NO16 */
};
enum work_list {
	WORK_LIST_MATERIALS,              /* a line of the list of materials, once if told twice */
	WORK_LIST_SEAMS,                  /* which steps are seams */
	WORK_LIST_COLUMN,                 /* of the seam plan */
	WORK_LIST_BEFORE,                  /* told before the first step of the detail the object is of */
	WORK_LIST_PLACE,                  /* where a step is done, one line inside the other */
	WORK_LIST__COUNT
};
/* Words by which a sheet is read. */
struct proof_word {
	text_at folded;
	uint8_t means, pad;                /* enum proof_means */
	uint16_t role;                     /* PROOF_ROLE_USED, PROOF_ROLE_PLAIN; else NO16 */
	uint16_t region;                   /* PROOF_WORDS_OF; else NO16 */
	uint16_t row;                      /* words of one item mean one thing */
	uint32_t entry;                    /* PROOF_STEP, PROOF_DOING: the operation; else NONE */
};
enum proof_means {
	PROOF_MATERIALS,                   /* heads the list of materials */
	PROOF_TOOLS,                       /* heads a list that is not checked */
	PROOF_STEPS,                       /* heads the work */
	PROOF_JOINS,                       /* may stand between two figures of one measure */
	PROOF_REMARK,                      /* heads a line that is no step: a caution, a note */
	PROOF_NOT_NOW,                     /* what follows in its clause is not done here */
	PROOF_THEN,                        /* says that a description is in order */
	PROOF_STEP,                        /* the step .entry */
	PROOF_DOING,                       /* .entry is done only where one of these stands beside it */
	PROOF_WHOLE,                       /* .entry, done to the thing as a whole */
	PROOF_MEASURED,                    /* has one size on a sheet: "hem allowance" */
	PROOF_MATERIAL_OF,                 /* a material .entry is done with, listed or not */
	PROOF_ANY_TIME,                    /* .entry is never too early */
	PROOF_IS,                          /* may stand between such words and their size */
	PROOF_OTHERWISE,                   /* a measure in that sentence is no statement of a size */
	PROOF_SAME_EVERYWHERE,             /* known in all countries for what it means */
	PROOF_EXTENT,                      /* "wide": says which way a measure goes */
	PROOF_ROLE_USED,                   /* .role is used where this is named */
	PROOF_ROLE_PLAIN,                  /* .role is used throughout, named or not */
	PROOF_WORDS_OF,                    /* the sheet says that it uses the words of .region */
	PROOF__MEANS
};
struct country_word { text_at word, there; uint16_t region, pad; };    /* sorted by neither */

/* What is reckoned up for a project: one line for each object of a kind. */
enum reckon_page { RECKON_AMOUNTS, RECKON_ESTIMATE, RECKON__COUNT };
#define RECKON_SHOWS_MOST 8
struct reckoning {
	text_at name, heading, says;       /* says: what people should know of all its lines, or "" */
	uint16_t each;                     /* kind */
	uint8_t page, n_shows;             /* enum reckon_page */
	uint8_t as_range;                  /* what is bought is asked for as a range: people count first */
	uint8_t pad0;
	uint16_t need, buy, have;          /* quantities of the kind, or NO16: how much is wanted,
	                                    * what is asked for in the shop, what there is */
	uint32_t when;                     /* program, or NONE: all objects */
	uint16_t shows[RECKON_SHOWS_MOST]; /* properties of the kind that are told beside */
	struct message shop;               /* n 0: none */
	uint32_t first_source, n_sources;  /* in .cited */
};
/* Flat pieces laid on something of a width: how much of its length they take. */
struct laying {
	text_at name;
	uint16_t each, onto;               /* kind of the pieces; their reference to what they lie on */
	uint16_t roll, gives;              /* properties of that: its width; where the length goes */
	uint32_t when, across, along, count;       /* programs that see the piece; when NONE: all */
	uint32_t turned;                   /* program: may it lie either way?, or NONE: it may not */
};

/* A drawing to scale of one object: shapes whose coordinates are programs over
 * it. x runs to the right, y downward; lengths of the thing itself. */
enum plan_type { PLAN_LINE, PLAN_AREA, PLAN_CIRCLE, PLAN_ARC, PLAN_TEXT, PLAN_DIMENSION,
    PLAN__COUNT };
struct plan_shape {
	uint8_t type;
	uint8_t pen, fill, anchor;         /* numbers of the words they are written with */
	uint32_t first_number, n_numbers;  /* in .plan_number, programs: x, y of each point, then the
	                                    * radius of a circle, and from and to of an arc */
	uint32_t when;                     /* program, or NONE: always */
	uint32_t repeat, step;             /* programs, or NONE: how often, each so far to the right */
	uint32_t of;                       /* dimension: the property that labels it, or NONE */
	text_at says;                      /* text; dimension without property */
	uint8_t beyond, pad[3];            /* dimension: its line on the other side of the points */
};
struct draft_plan {
	text_at name;
	uint16_t kind, pad;
	uint32_t when;                     /* program, or NONE */
	struct message words;              /* tells all it shows */
	uint32_t first_shape, n_shapes;
};
#define PLAN_POINTS_MOST 64
#define PLAN_REPEAT_MOST 60

enum example_kind { EXAMPLE_FIRES, EXAMPLE_QUIET, EXAMPLE_UNDECIDED, EXAMPLE_GIVES,
    EXAMPLE_GIVES_NOT };
struct example {
	text_at words;                     /* a project in plain words */
	text_at value;                     /* EXAMPLE_GIVES: the value expected */
	uint8_t kind, by_tool;
	uint16_t pad;
	uint32_t line;
};

struct cited_source {                      /* .source; 0: common practice, 1: from memory */
	text_at id, title, body, year, url;
	uint8_t basis;                     /* enum basis */
	uint8_t own;                       /* as of a rule */
	uint8_t pad[2];
};
/* weakest first; OWN: what the user knows of their own things */
enum basis { BASIS_MEMORY, BASIS_OWN, BASIS_PRACTICE, BASIS_PUBLISHED, BASIS__COUNT };

struct user_message { text_at id; struct message text; text_at slots; };
	/* text: one part more than there are slots, programs all NONE; between
	 * part i and part i + 1 stands the value of the i-th name of .slots,
	 * which are parted by single blanks (a slot used twice is named twice) */

/* ---- names: what the plain-words reader and every look-up go by ---------- */

enum name_target {
	NAME_ENTRY, NAME_WORD, NAME_UNIT, NAME_PHRASE, NAME_SETTING, NAME_PROPERTY, NAME_KIND,
	NAME_STOP,                         /* id: enum stop_kind */
	/* an entry, where its kind is understood: "jeans" of a needle */
	NAME_SHORT,
	NAME_ASKING                        /* frames a question and is no part of what it asks */
};
enum stop_kind {
	STOP_PLAIN,
	STOP_PASSED,                       /* may stand anywhere inside a phrase */
	STOP_KINDS
};
struct name {                              /* sorted by folded text, then target */
	text_at folded, written;
	uint8_t target, inflected;         /* inflected: made by the compiler, not written */
	uint16_t region;                   /* word of the set "region", or NO16 */
	uint32_t id;                       /* entry; word; unit; phrase; ... */
};

struct entry {                             /* head of an entry; its values are in the database */
	text_at name, says;
	uint16_t kind;                     /* entry kind */
	uint16_t n_broader;
	uint32_t first_broader;            /* in .broader: entries */
	uint32_t file, line;               /* of a refined one: where the user refined it */
	uint32_t own;                      /* enum whose */
};
/* shipped; shipped, with values of the user's; the user's */
enum whose { ENTRY_SHIPPED, ENTRY_REFINED, ENTRY_OWN };
struct entry_kind {
	text_at name, plural, says, heads;
	text_at after;                     /* words people add to a name of the kind, a line each */
	text_at asked;                     /* words of a question that ask for this kind, a line each */
	uint16_t object_kind, role, fact_kind, pad;
};
	/* object kind its entries become in a model, or NO16; role word or NO16;
	 * kind whose properties they hold as facts: the object kind, or one on
	 * paper, or NO16;
	 * heads: words at the end of a name that go without saying, a line each */

struct phrase {                            /* what a group of words does to a reading */
	text_at words;
	uint8_t does;                      /* enum phrase_does */
	uint8_t negated, pad[2];
	uint16_t property, role;           /* role: word of the set "role" */
	uint32_t pad1;
	uint64_t set[2];
	range quantity;
	uint32_t entry;                    /* PHRASE_ASK: the setting; else NONE */
	uint32_t pad3;
	double fraction_lo, fraction_hi;   /* class words: part of a range */
	uint32_t source;                   /* class words: what `quantity` (their range
	                                    * where no name gives one) rests on, .source */
	uint32_t pad2;
};
enum phrase_does {
	PHRASE_SET,                        /* sets a property of what it stands by (words or quantity) */
	PHRASE_ROLE_BEFORE,                /* "interfaced with X": X takes the role */
	PHRASE_ROLE_AFTER,                 /* "X lining": X takes the role */
	PHRASE_CLASS,                      /* "light": part of the range of a property */
	PHRASE_NOT,                        /* "no", "without", "not": denies what follows */
	PHRASE_COUNT,                      /* "two", "pair of" */
	PHRASE_ABOUT,                      /* "with", "in": joins, changes nothing by itself */
	PHRASE_SCOPE,                      /* "for the hem": what is said nearby belongs there */
	PHRASE_ASK,                        /* asks for a setting: "what needle" */
	PHRASE_MEASURE,                    /* "seam allowance": a quantity beside it is
	                                    * meant for .property */
	PHRASE_CLAUSE,                     /* "and", "but": ends a clause, as a comma does */
	PHRASE_DROP,                       /* "drop", "leave out": takes away what follows */
	PHRASE_ADD,                        /* "add", "another": what follows replaces nothing */
	PHRASE_WITHOUT                     /* "unlined": there is nothing of .role */
};

/* How spreadsheets of materials are headed, and what their cells say. */
struct list_column {
	text_at name;
	uint8_t does, pad;                 /* enum list_column_does */
	uint16_t property;                 /* LIST_PROPERTY: what its cells measure, else NO16 */
};
enum list_column_does {
	LIST_STYLE,                        /* the thing to be sewn: one project for each */
	LIST_PART,                         /* what the row is there for: a role, or a thing's name */
	LIST_WHAT,                         /* a description in plain words */
	LIST_MADE_OF,                      /* fibres and their shares */
	LIST_PROPERTY,                     /* a property of the row's material */
	LIST_SAYS,                         /* phrases of its own (.list_word) */
	LIST_AMOUNT, LIST_UNIT,            /* a number, and what it counts */
	LIST_PASSED_OVER                   /* known, and of no use here: price, supplier */
};
struct list_word {                         /* folded words of a column */
	text_at folded;
	uint16_t column;
	uint8_t does, pad;                 /* enum list_word_does */
	uint16_t property, role;
	uint32_t place;                    /* LIST_ROLE: operation whose role it is, or NONE */
	uint64_t set[2];
	range quantity;
};
enum list_word_does {
	LIST_HEADS,                        /* stands at the head of the column */
	LIST_SETS,                         /* a cell that has it sets .property */
	LIST_MEASURES,                     /* the number behind it is .property */
	LIST_ROLE,                         /* a part so called has .role */
	LIST_NAMES_STYLE                   /* a row whose part is so called names the thing to be sewn */
};

/* ---- the craft ------------------------------------------------------------ */

struct craft {
	/* made from sections.def: one pointer and one count for each row of sections.def */
#define SECTION(type, name) const type *name; uint32_t n_##name;
#include "language/sections.def"
#undef SECTION
	const struct units *units;         /* made on load from .unit, for measure */
	const struct reading_words *range_words;
	struct arena *arena;               /* of the above */
	const uint16_t *beside;            /* NULL, or for each property the unit its values are
	                                    * also shown in, NO16: none */
};

const char *craft_text(const struct craft *, text_at);
strview craft_pack(struct arena *, const struct craft *);          /* the block, with checksum */
bool craft_unpack(struct craft *, struct arena *, strview block, const char **why);
	/* Verified once: magic, version, checksum, every index, every program's
	 * operations, stack depth and jumps.  WHY says what is wrong. BLOCK must
	 * outlive the craft and be 16-byte aligned. */

uint32_t kind_find(const struct craft *, strview name);            /* or NONE */
uint32_t property_find(const struct craft *, uint32_t kind, strview name);
uint32_t setting_find(const struct craft *, strview name);
uint32_t set_find(const struct craft *, strview name);
uint32_t word_find(const struct craft *, uint32_t set, strview name);   /* number within the set */
uint32_t message_find(const struct craft *, const char *id);
bool property_depends(const struct craft *, uint32_t derived, uint32_t on);
	/* Does a derived property hang on another, at any remove? */

/* ---- models ---------------------------------------------------------------- */

enum value_state { VALUE_ABSENT, VALUE_UNKNOWN, VALUE_KNOWN };

typedef struct value {
	union {
		range r;                   /* TYPE_QUANTITY, TYPE_BAND; unknown: the domain */
		uint64_t set[2];           /* TYPE_WORDS: bit n = word n; unknown: all */
		int64_t ref;               /* TYPE_REF: object number, or -1 */
	};
	uint32_t pedigree;                 /* index into the model's pedigrees */
	uint8_t state;
	uint8_t pad[3];
} value;

enum pedigree_kind {
	PEDIGREE_NONE, PEDIGREE_SAID, PEDIGREE_TYPICAL, PEDIGREE_DERIVED, PEDIGREE_ADVISED,
	PEDIGREE_ASSUMED, PEDIGREE_BROUGHT
};
struct pedigree {
	uint8_t kind;
	uint8_t measured;                  /* said as measured, not believed */
	uint16_t property;
	uint32_t entry;                    /* TYPICAL, BROUGHT: which */
	uint32_t source_low, source_high;  /* what each bound rests on (.source) */
	struct place place;                /* SAID: where */
	uint32_t by;                       /* ADVISED: advice; DERIVED: program */
	value seen;                        /* TYPICAL: outermost published; state ABSENT: as usual */
};

enum object_flag {
	OBJECT_SAID = 1, OBJECT_ASSUMED = 2, OBJECT_DENIED = 4,
	OBJECT_MAIN = 8                    /* the one meant when no place is named */
};
struct object {
	uint16_t kind, flags;
	uint32_t slot;                     /* of its first property in .slots */
	uint32_t entry;                    /* or NONE */
	uint32_t parent;                   /* object that brought it, or NONE */
	uint32_t name;                     /* offset in .names: what people call it here */
	uint32_t next;                     /* next object of the kind, or NONE */
	struct place place;                /* where a person named it; .src NULL: nowhere */
};

struct order_pair {                        /* of a bring list: one object is done before another */
	uint32_t first, then;              /* objects */
	uint32_t entry;                    /* that says so */
};

/* a value: copied by model_copy, no pointers inside slots */
struct model {
	const struct craft *craft;
	struct object *objects;
	uint32_t n_objects;
	value *slots;
	uint32_t n_slots;
	uint32_t *first_of_kind;           /* per kind, or NONE */
	struct pedigree *pedigrees;        /* 0 is PEDIGREE_NONE; append only, shared by copies */
	uint32_t n_pedigrees, cap_pedigrees;
	bool late;                         /* PROPERTY_LATE ones are worked out too */
	const char *names;
	struct order_pair *pairs;          /* in the order in which they were met; shared by copies */
	uint32_t n_pairs;
	struct arena *arena;
};
/* slots copied, the rest shared */
struct model *model_copy(struct arena *, const struct model *);
value *model_slot(const struct model *, uint32_t object, uint32_t property);  /* property index */
const char *object_name(const struct model *, uint32_t object);
void model_derive(struct model *, uint32_t changed);
	/* Works out derived properties in order; CHANGED: only what hangs on that
	 * property (all objects), NONE: everything. A said value is kept. */
void model_derive_late(struct model *);
	/* Works out the late properties too, now and from now on. */
uint32_t pedigree_add(struct model *, struct pedigree);
value value_unknown(const struct craft *, uint32_t property);
void model_print(struct buf *, const struct model *);              /* the dump */

/* ---- evaluation -------------------------------------------------------------- */

struct cell {                              /* one value on the stack */
	union { range r; uint64_t set[2]; int64_t ref; tri truth; };
	uint8_t type, state;
};

struct step {                              /* one line of a trace */
	uint32_t instr;                    /* index in .instr */
	struct cell result, left, right;   /* comparisons: both sides */
	uint32_t object;                   /* loads: whose */
};
struct trace { struct step *steps; uint32_t n, cap; };    /* caller's array */

struct fact { uint32_t object, property; };
struct watch {                             /* base facts read */
	struct fact facts[64];
	uint32_t n;
	bool full, all;                    /* all: certain ones too, not only those that leave room */
};

struct binding { uint32_t object[VARIABLES_MAX]; };

struct cell eval(const struct craft *, const struct model *, uint32_t program,
    const struct binding *, struct trace *, struct watch *);
	/* trace and watch may be NULL. Watching goes through derived properties
	 * down to the facts they rest on. */
struct cell eval_value(const value *, uint8_t type);       /* a slot as a cell */
tri eval_truth(const struct craft *, const struct model *, uint32_t program,
    const struct binding *);

struct cell formula_work_out(const struct craft *, uint32_t formula, const range *arguments,
    tri *valid);
	/* A formula with one range for each parameter, in base units. VALID: are
	 * they within what it was made for; where they are not for certain, the
	 * result is unknown. */

/* Derived slots that programs read: only they are worked out again when a fact
 * is moved for a while. Start from zero; reads_add may be called for several. */
#define READS_MAX 64
struct reads { struct fact slot[READS_MAX]; uint32_t n; bool all; };
void reads_add(struct reads *, const struct craft *, const struct model *, uint32_t program,
    const struct binding *);
void reads_derive(const struct reads *, struct model *, uint32_t changed);
	/* CHANGED: the property of the fact that was moved. Put the fact back and
	 * call this again, and the model is as it was. */

/* What programs can see of the object of their first variable: where two objects
 * look the same, the programs give the same, hanging on the same facts. Start
 * from zero; sight_add may be called for several programs. */
#define SIGHT_MAX 96
enum sight_how { SIGHT_VALUE, SIGHT_OBJECT, SIGHT_ENTRY };
struct sight {
	struct { uint32_t path; enum sight_how how; } seen[SIGHT_MAX];
	uint32_t n;
	bool full;
};
void sight_add(struct sight *, const struct craft *, uint32_t program);
uint32_t sight_of(const struct sight *, const struct model *, uint32_t object, uint64_t *out,
    uint32_t cap);
	/* A row of numbers for the object: how many; 0: more than CAP, or more
	 * than can be told. */

/* Exact for one fact: before a truth is given as unknown, the base facts it
 * hangs on (at most three) are cut at their tips and the pieces judged apart,
 * in at most 64 boxes. */
struct tip {
	struct fact fact;
	double at;                         /* quantity: last value on the lower side */
	double next;                       /* the next value, on the upper side */
	uint64_t set_true[2];              /* words: those for which it holds */
	tri below, above;                  /* the truth on either side */
};
struct truth {
	tri is;
	uint32_t n_tips;
	struct tip tips[3];
	uint32_t n_facts;                  /* base facts it hangs on */
	struct fact facts[3];
	bool whole_domain;                 /* all deciding facts are unknown altogether */
};
struct truth decide(const struct craft *, struct model *, uint32_t program,
    const struct binding *);
	/* The model's slots are changed while working and put back. */
struct truth decide_without_tips(const struct craft *, struct model *, uint32_t program,
    const struct binding *);               /* cheaper where it stays undecided */
uint32_t decide_tips(const struct craft *, struct model *, uint32_t program,
    const struct binding *, struct tip tips[3]);
	/* Of a program whose truth is unknown: those of its tips that lie along
	 * quantities; how many. All along quantities whose value is known are among
	 * them. Much cheaper: the truth itself is not decided. */

/* ---- compiling (used by knowledge) --------------------------------------------- */

/* Growable twin of a craft; finish() gives the read-only one. */
struct craft_maker;
struct craft_maker *maker_new(struct arena *, struct diags *);
/* its arrays; a craft viewed from it is gone */
void maker_free(struct craft_maker *);
text_at maker_text(struct craft_maker *, strview);        /* interned */
#define SECTION(type, name) uint32_t maker_add_##name(struct craft_maker *, const type *, \
    uint32_t n);
#include "language/sections.def"
#undef SECTION
#define SECTION(type, name) type *maker_at_##name(struct craft_maker *, uint32_t i);
#include "language/sections.def"
#undef SECTION
/* as it stands now; valid until the next add */
struct craft *maker_view(struct craft_maker *);
	/* .range_word holds six lists, each ended by 0: about, under, over, to,
	 * between, and. A constant is a formula without parameters. Word sets that
	 * list entries must be filled before expressions are compiled. */
/* derivation order and dependence worked out; cycles diagnosed */
struct craft *maker_finish(struct craft_maker *);

/* What names mean inside one expression. */
struct scope {
	uint16_t variable_kind[VARIABLES_MAX];     /* NO16: not bound */
	const char *variable_name[VARIABLES_MAX];  /* the kind's name unless given */
	uint32_t n_variables;
	uint32_t formula;                          /* parameters of this formula, or NONE */
	uint32_t for_property;                     /* bare words are read for this property, or NONE */
	bool bare_properties;                      /* those of the first variable need no path */
};
struct expected { uint8_t type; bool any_dim; dimension dim; uint16_t word_set; };

uint32_t expression_compile(struct craft_maker *, strview text, struct place,
    const struct scope *, const struct expected *);       /* program, or NONE with diagnostics */
bool take_compile(struct craft_maker *, strview text, struct place, const struct scope *,
    uint32_t property, uint32_t *low, uint32_t *high, uint32_t *first_choice, uint32_t *n_choices);
	/* take = sum ".." sum | "at least" sum | "at most" sum | "{" word ("," word)* "}" */
bool message_compile(struct craft_maker *, strview text, struct place, const struct scope *,
    struct message *out);                                 /* "{slot}" is an expression or `limit` */
void expression_dump(struct buf *, const struct craft *, strview text, const char *stage,
    const struct scope *, struct diags *);                /* stage: "lex", "parse", "type" */
void program_print(struct buf *, const struct craft *, uint32_t program);
struct literal {                           /* a number as its author wrote it */
	uint32_t instr;                    /* its OP_CONST */
	double last_digit;                 /* one in its last written digit, base units */
	strview written;                   /* "0.40", "12 mm" */
};
uint32_t program_literals(const struct craft *, uint32_t program, struct literal *, uint32_t max);
	/* Every number written in a program, in order; exponents are none. */

#endif
