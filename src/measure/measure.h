/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * measure: arithmetic of quantities that are not known exactly.
 *
 * A range is one value of which we know only that it lies between two bounds.
 * Units, numberings and their words are handed down in a table (they stand in
 * kb/units.yaml); this room knows only how to compute with them.  Everything
 * is held in base units: metre, kilogram, second, kelvin, and plain numbers.
 */
#ifndef BODKIN_MEASURE_H
#define BODKIN_MEASURE_H

#include "base/base.h"

/* ---- dimensions ------------------------------------------------------- */

/* Exponents of length, mass, time and temperature, in sixths, so that square
 * and cube roots stay exact. A plain number is all zero. */
typedef struct dimension {
	int8_t length, mass, time, temperature;
} dimension;

bool dim_eq(dimension, dimension);
bool dim_none(dimension);
bool dim_mul(dimension, dimension, dimension *out);          /* false: exponent too large */
bool dim_div(dimension, dimension, dimension *out);
bool dim_pow(dimension, int num, int den, dimension *out);   /* false: not in sixths */
/* "length", "mass/length^2", "number" */
void dim_print(struct buf *, dimension);
bool dim_read(strview, dimension *out);                      /* the same notation, read */

/* ---- tri-state truth --------------------------------------------------- */

/* Absent is not unknown: the thing asked about is not there at all.
 *   not absent = absent;  x and absent = false if x is false, else absent;
 *   x or absent = x. */
typedef enum tri { TRI_FALSE, TRI_UNKNOWN, TRI_TRUE, TRI_ABSENT, TRI__COUNT } tri;
tri tri_and(tri, tri);
tri tri_or(tri, tri);
tri tri_not(tri);
const char *tri_name(tri);

/* ---- ranges ----------------------------------------------------------- */

typedef struct range {                     /* lo <= hi; bounds may be infinite */
	double lo, hi;
} range;

range range_exact(double);
range range_all(void);
bool range_is_exact(range);
range range_add(range, range);
range range_sub(range, range);
range range_mul(range, range);
range range_div(range, range);             /* divisor holding 0: as wide as it must be */
range range_neg(range);
range range_abs(range);
range range_least(range, range);
range range_greatest(range, range);
range range_hull(range, range);
bool range_meet(range, range, range *out); /* false: nothing in common */
/* den 1, 2, 3 or 6; even roots of negatives: as if from 0 */
range range_pow(range, int num, int den);
range range_round(range, range step);
range range_floor(range, range step);
range range_ceil(range, range step);

/* Comparisons with a step: a difference below half the step counts as equal.
 * `a < b` means less by at least that.  STEP 0: exact. */
tri range_lt(range a, range b, double step);
tri range_le(range a, range b, double step);
tri range_eq(range a, range b, double step);
tri range_in(range a, range band, double step);

/* ---- units and numberings --------------------------------------------- */

/* How a written number becomes base units. x is the number written.
 *   SCALE    base = x * factor + offset          (mm, g/m2, degrees C)
 *   INVERSE  base = factor / x                   (cotton count, stitches per inch)
 *   LADDER   base = the ladder's value for x     (old needle numbers, iron dots)
 */
enum unit_form { UNIT_SCALE, UNIT_INVERSE, UNIT_LADDER };

struct rung { double written, base; };

struct unit {
	const char *name;                  /* "mm", "g/m2", "Ne", "needle-number": one spelling */
	const char *plural;                /* in prose, after a number other than 1 */
	const char *const *spellings;      /* other ways people write it, folded; NULL-ended */
	dimension dim;
	enum unit_form form;
	double factor, offset;
	bool before;                       /* written before its number: "tex 40", "no. 12" */
	bool after;                        /* written after it: "40 tex" */
	uint32_t numbering;                /* 0: a plain unit; else the scheme's number: never
	                                    * mixed up with another scheme of one dimension.
	                                    * A SCALE and a LADDER of one scheme (or a LADDER
	                                    * whose rungs are whole numbers of the SCALE) are
	                                    * a pair, read and shown together: "80/12" */
	const struct rung *ladder;
	uint32_t n_ladder;
	int digits;                        /* decimals when shown */
	bool fraction;                     /* shown as inch fractions */
};

struct units {                             /* the whole table */
	const struct unit *u;
	uint32_t n;
};

bool unit_to_base(const struct unit *, double written, double *base);
	/* False: outside a ladder, a count of 0, or not finite.  Between two
	 * rungs of a ladder the value lies between theirs, in proportion. */
bool unit_from_base(const struct unit *, double base, double *written);
range unit_range_to_base(const struct unit *, range written, bool *ok);
	/* An infinite bound stays open; of a count, 0 becomes infinity. */
range unit_range_from_base(const struct unit *, range base, bool *ok);
/* index or -1; exact spelling, then folded */
int unit_find(const struct units *, strview spelling);
int unit_near(const struct units *, strview spelling, struct near *);

/* ---- readings --------------------------------------------------------- */

/* What a written quantity is read for: it decides what a bare number and an
 * ambiguous spelling mean ("mm" is also momme, "Nm" also a yarn count). */
struct reading_for {
	dimension dim;
	const uint16_t *units;             /* units the property takes, best first */
	uint32_t n_units;
	int bare;                          /* unit of a bare number, or -1: none */
	range domain;                      /* values that can be at all, base units */
	double about;                      /* relative half-width of "about" */
	struct units_met *met;             /* NULL, or what serves several readings of one text */
};

/* Units that stand at some places of a text, found once. Start from zero, keep for
 * readings of the same text with the same units. */
enum { MET_PLACES = 4, MET_UNITS = 12 };
struct units_met {
	struct {
		const char *at;            /* NULL: free */
		bool before;
		uint32_t n;
		struct { int unit; size_t used; bool exact; } u[MET_UNITS];
	} place[MET_PLACES];
};

enum reading_fault {
	READ_FINE, READ_NOTHING, READ_NO_UNIT, READ_UNKNOWN_UNIT, READ_WRONG_DIMENSION,
	READ_NOT_TAKEN,                    /* right dimension, but not a unit of this property */
	READ_OUT_OF_DOMAIN, READ_LOW_ABOVE_HIGH, READ_BAD_NUMBER, READ_TRAILING, READ__COUNT
};

struct reading {
	range value;                       /* base units */
	int unit;                          /* as written; -1 never when fine */
	bool about, open_low, open_high;   /* "about"; "under 150"; "over 150" */
	size_t used;                       /* bytes taken */
	size_t fault_at, fault_n;          /* span of the trouble within the text */
	enum reading_fault fault;
};

/* Words of the reader's tongue for ranges; from kb/units.yaml, NULL-ended. */
struct reading_words {
	const char *const *about, *const *under, *const *over, *const *to, *const *between, *const *and_;
};

struct reading reading_of(const struct units *, const struct reading_words *,
    const struct reading_for *, strview text, bool whole);
	/* "1 3/8 in", "110-130 g/m²", "about tex 40", "80/12", "under 150 g/m2",
	 * "5/8\"", "2.5 to 3 mm". WHOLE: the text must be used up (files);
	 * otherwise reads what stands at its start (plain words) and sets used. */
	/* Half-open readings end at the domain.  open_low and open_high speak of
	 * base units: "under 30" of a count that falls as the yarn thickens has
	 * open_high.  A decimal comma is read where it cannot part thousands
	 * ("2,5"), else READ_BAD_NUMBER ("1,500").  A bare number that the bare
	 * unit cannot mean is tried as the property's numberings, best first;
	 * a number of a pair's scale that cannot be, as its ladder ("size 14"). */
const char *reading_fault_name(enum reading_fault);

/* ---- showing ---------------------------------------------------------- */

void range_print(struct buf *, const struct units *, int unit, range base, double step);
	/* "110-130 g/m²", "1 3/8 in", "80/12", "under 150 g/m²", "at least 3 mm".
	 * Rounded to half a step where that loses nothing a person would see. */

#endif
