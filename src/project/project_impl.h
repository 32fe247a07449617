/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Shared between the readers of this room only.
 *
 * The names of the formats (garment, component, role ...) are looked up once
 * into struct terms; from there on everything goes by number.
 */
#ifndef BODKIN_PROJECT_IMPL_H
#define BODKIN_PROJECT_IMPL_H

#include "project/project.h"

/* ---- the craft, as the readers see it (terms.c) ------------------------- */

struct terms {
	struct knowledge *kb;
	const struct craft *c;
	uint32_t garment, component, content, feature, operation;   /* kinds, or NONE */
	uint32_t role_set;                 /* word set, or NONE */
	uint32_t share;                    /* property: a content's part of the whole, or NONE */
	uint16_t first_role;               /* role of a nameless cloth, or NO16 */
};

void terms_init(struct terms *, struct knowledge *);
const char *property_title(const struct terms *, uint32_t property);    /* its label or name */
struct reading_for property_reading(const struct terms *, uint32_t property);
bool property_is_said(const struct terms *, uint32_t property);
	/* False of the facts that entries alone hold: no project has them. */
bool property_is_quantity(const struct terms *, uint32_t property);
bool property_takes_role(const struct terms *, uint32_t property, uint16_t role);
bool roles_are_kin(const struct terms *, uint16_t a, uint16_t b);
	/* Told of by some property that is not told of all: a lining can be made
	 * of what a shell is made of, a zip cannot. */
uint16_t falls_back_to(const struct terms *, uint16_t role);
	/* The role whose component does the work where none has this one, or NO16. */
uint16_t entry_object_kind(const struct terms *, uint32_t entry);       /* or NO16 */
uint16_t entry_role(const struct terms *, uint32_t entry);
	/* The role its own values give it, else that of its entry kind. */
uint32_t role_entry(const struct terms *, uint16_t role);
	/* The entry called as the role is, if it plays that role: "button" said
	 * alone is the ordinary one. NONE: there is none. */
bool entry_called(const struct terms *, uint32_t entry, strview folded);
	/* One of its names is this one, or ends in it: "fly-front zip" is called "zip". */
uint32_t word_of_entry(const struct terms *, uint32_t set, uint32_t entry);
	/* Its number within the set, or NONE. */
uint32_t set_of_word(const struct terms *, uint32_t word, uint32_t *within);
	/* The set of the craft's word WORD. */
uint32_t setting_of(const struct terms *, uint32_t property);           /* or NONE */
const char *word_title(const struct terms *, uint32_t set, uint32_t within);
uint16_t role_called(const struct terms *, strview folded);     /* or NO16 */
const char *role_title(const struct terms *, uint16_t role);
const char *entry_title(const struct terms *, uint32_t entry);

void mask_add(uint64_t set[2], uint32_t word);
bool mask_has(const uint64_t set[2], uint32_t word);
bool mask_meets(const uint64_t a[2], const uint64_t b[2]);
bool mask_empty(const uint64_t a[2]);
void mask_other(const struct terms *, uint32_t set, const uint64_t in[2], uint64_t out[2]);

/* ---- building a project (terms.c) ---------------------------------------- */

struct project *project_new(struct arena *, const struct source *);
uint32_t thing_add(struct project *, struct said_thing);
uint32_t value_add(struct project *, struct said_value);
void use_add(struct project *, struct word_use);
void thing_remove(struct project *, uint32_t thing);
	/* With its values and contents; what stands after it moves up. */
struct said_value value_of(uint32_t thing, uint32_t property, struct place);
	/* Nothing known yet, no scope. */
bool values_differ(const struct terms *, const struct said_value *, const struct said_value *);
	/* Same property of the same thing and place, and nothing in common. */
bool same_slot(const struct said_value *, const struct said_value *);
uint32_t setting_twin(const struct terms *, uint32_t property, uint32_t kind);
	/* The property of KIND that follows this one of a component through a
	 * reference (an operation's needle size, a needle's blade), or NONE. */

uint16_t role_for(const struct terms *, uint32_t property);
	/* Role of a nameless component of which only this is said. */
void value_words(struct buf *, const struct terms *, const struct said_value *, bool for_people);
	/* "110-130 g/m2", "soft or fluid", "light": rounded for people, or in
	 * full as a project file has it. */

/* ---- plain words ----------------------------------------------------------- */

struct token {
	struct place place;
	const char *text;                  /* folded; corrected when misspelt */
	uint8_t joined;                    /* no blank before it: a hyphen, a slash */
	bool breaks;                       /* a comma, stop or line end before it */
};

enum item_is { ITEM_UNKNOWN, ITEM_STOP, ITEM_NAME, ITEM_QUANTITY };

enum means {                               /* what an item's names are taken as, strongest first */
	MEANS_PHRASE, MEANS_ROLE, MEANS_THING, MEANS_CONTENT, MEANS_VALUE, MEANS_PROPERTY,
	MEANS_STOP, MEANS_NOTHING
};

struct measured {                          /* what a written quantity can be */
	uint32_t property;
	range value;
	int unit;
};

struct item {
	uint32_t first, n;                 /* tokens */
	enum item_is is;
	enum means means;
	const struct name *names;          /* all meanings; the run of one name */
	uint32_t n_names;
	const struct measured *measured;   /* ITEM_QUANTITY */
	uint32_t n_measured;
	bool bare, whole;                  /* without a unit; a whole number */
	double number;
	enum reading_fault fault;          /* when nothing can be measured so */
	uint32_t clause, part;             /* between commas; between joining words */
	uint32_t entry;                    /* the entry meant, or NONE */
	uint32_t thing;                    /* the thing it made or belongs to, or NONE */
	bool denied, used, told;           /* told: its thing's role was given by words */
	bool dropped, beside;
	bool named;                        /* it named what a value beside it measures */
	const char *meant;
};

struct reader {
	struct terms t;
	struct project *p;
	struct diags *ds;
	const struct source *src;
	struct arena *arena;
	struct token *tokens;
	uint32_t n_tokens;
	struct item *items;
	uint32_t n_items;
	bool change;                       /* reading a change, not a description */
	const struct place *parts;         /* of the text that are read; none: the whole */
	uint32_t n_parts;
	bool parts_join;                   /* one goes on where the other ends, as in a sentence */
};

enum {                                     /* how near a thing is, and how sure a guess */
	REACH_OF_VALUE = 8,                /* items looked over within a clause */
	SCORE_NAMED = 1000,                /* its name stands beside it */
	SCORE_NEAR = 60,                   /* its thing stands in the same clause */
	NEAR_MEANT = 130,                  /* of nothing else, whatever stands round it */
	NEAR_BESIDE = 110,                 /* what it is said of stands beside it */
	SCORE_MADE = 22,                   /* no such thing: one would be made */
	SCORE_PLAIN = 20,                  /* needs no thing */
	MARGIN = 3,                        /* less than this between two: open */
	OUT = -10000,                      /* cannot be meant at all */
};

struct choice {                            /* one property that a word or quantity may mean */
	uint32_t property;
	uint32_t thing;                    /* NONE: of no thing, or of one to be made */
	uint32_t far;                      /* thing that will do if the property is named */
	uint32_t scope;                    /* thing that is its place, or NONE */
	int near, score;
	bool make;
	uint64_t set[2];
	range quantity;
	int unit;
	const struct phrase *phrase;       /* a class word */
};

void words_aim(const struct reader *, uint32_t item, struct choice *);
	/* Fills in thing, scope, near (0: none), score, make. */
uint32_t material_at(const struct reader *, uint32_t item);
	/* The component that stands there, or whose fibre does; not a denied one. */

bool words_tokens(struct reader *);        /* text into tokens; false: nothing there */
void words_items(struct reader *);         /* tokens into names and quantities */
uint32_t words_passing(const struct reader *, struct buf *, uint32_t token, uint32_t least,
    const struct name **names, uint32_t *n_names);
	/* A phrase there with small words inside it that it was not written with: the
	 * tokens it takes, more than LEAST; else 0, and the names are left alone. */
uint32_t words_quantity(const struct reader *, uint32_t token, struct item *);
	/* A quantity there: the tokens it takes, 0 if there is none. */
bool words_beyond(struct reader *, uint32_t item);
	/* Beside the quantity stands the name of a property that cannot be so small
	 * or large: said so, and it measures nothing else. */
bool words_unit_doubtful(const struct reader *, uint32_t item, const struct choice *);
	/* The choice rests on a by-name that is another unit's own name ("mm"), and
	 * either that other dimension is measured near or the cloth is never so. */
void words_things(struct reader *);        /* names into things, roles, contents */
uint32_t words_fibres(struct reader *, uint32_t item);
	/* Reads the fibres from there on; the item after them. */
void words_values(struct reader *);        /* words and quantities into values of things */
void words_question(struct reader *, uint32_t item);       /* if it asks for a setting */
void words_details(struct reader *);       /* the detail a said way of doing it belongs to */
void words_place(struct reader *);         /* the one operation named, where nothing is asked */
void words_scopes(struct reader *);        /* needle and thread of one operation alone */
struct project *words_read(struct arena *, struct knowledge *, const struct source *,
    bool change, struct diags *);
struct project *words_read_parts(struct arena *, struct knowledge *, const struct source *,
    const struct place *parts, uint32_t n, bool join, struct diags *);
	/* These parts of a checked text alone; JOIN: as one sentence, else each a
	 * clause of its own. */

const struct phrase *item_phrase(const struct reader *, const struct item *, int does);
	/* The first of the item's phrases that does this, or NULL. */
bool item_is_share(const struct reader *, const struct item *);
void words_make(struct reader *, uint32_t item);           /* the thing that it names */
void words_role(struct reader *, uint32_t item);           /* the role that it gives, if any */
bool words_role_told(const struct reader *, uint32_t thing);       /* by words, not by its entry */
uint32_t words_component_of(const struct reader *, uint32_t item);
	/* The component it stands for: itself, or the cloth of its fibre; or NONE. */
bool words_garment_at(const struct reader *, uint32_t item);
	/* Does the garment stand there, but for words that may come before it? */
bool item_modifies(const struct reader *, const struct item *);
	/* May it stand between two words that belong together? */
bool thing_is_component(const struct reader *, uint32_t thing);
uint32_t words_thing(struct reader *, struct item *, uint32_t kind, uint16_t role, uint32_t entry);
const char *words_meant(const struct reader *, const char *what, const char *which);
struct place item_place(const struct reader *, uint32_t first_token, uint32_t n);
const char *item_text(const struct reader *, const struct item *);
	/* As written, in the arena. */
void words_near(const struct reader *, strview folded, struct near *);
	/* Names near this one that begin with the same letter: one who slips
	 * seldom slips there, and the lexicon is sorted. */
uint32_t item_after(const struct reader *, uint32_t item);
	/* The next that is not a stop word, or NONE. */
uint32_t item_before(const struct reader *, uint32_t item);
uint32_t item_scope(const struct reader *, uint32_t item, int *how_near);
	/* The operation or feature that is the place of what is said there, or NONE. */

#endif
