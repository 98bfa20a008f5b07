/* Units by their names, and what a number in one of them stands for.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_QUANTITY_H
#define JL_QUANTITY_H

#include "jarline.h"

/* A number stands for (number - offset) * factor in the base unit of its kind. */
typedef struct jl_unit_of_kind {
    jl_kind kind;
    const char *name; /* in lower case */
    double factor, offset;
    jl_unit unit;
    const char *ending; /* of keys and columns whose numbers have it, as "_ml"; NULL: none has */
    const char *shown;  /* as "mL"; NULL: it has no column */
} jl_unit_of_kind;

static inline bool jl_between(double value, double least, double most) {
    return value >= least && value <= most;
}

/* All units; those of columns first. */
extern const jl_unit_of_kind jl_units[];
enum { JL_L, JL_ML, JL_KG, JL_G, JL_PCT, JL_PROOF, JL_C, JL_F, JL_PLAIN };

static inline double jl_from_unit(const jl_unit_of_kind *unit, double number) {
    return (number - unit->offset) * unit->factor;
}

static inline double jl_in_unit(const jl_unit_of_kind *unit, double value) {
    return value / unit->factor + unit->offset;
}

/* Whether a text is the name of a unit, of whatever kind. */
bool jl_is_unit(const char *text);

/* The unit of a key with that ending; of NULL the usual one of its kind. NULL: there is none. */
const jl_unit_of_kind *jl_unit_ending(jl_kind kind, const char *ending);

/* The other unit of a kind that a column may have; NULL: only a model converts to it, or none. */
const jl_unit_of_kind *jl_unit_beside(const jl_unit_of_kind *unit);

/* What 1 % vol is on a scale of strength. */
static inline double jl_per_pct(jl_unit scale) {
    return scale == JL_UNIT_PROOF_US ? 2 : 1;
}

/* In the place of what is JL_AMBIGUOUS. */
extern const char jl_unambiguous_expected[];

/* A temperature as it is written: none of its digits is lost that a thermometer shows, and 72 °F are
 * 22.22 °C. */
double jl_temperature_written(double number);

#define JL_KELVIN 273.15 /* of 0 °C */

/* NIST SP 811; mmHg as jarline.h says. */
#define JL_GALLON_US_L 3.785411784 /* 231 in³ */
#define JL_POUND_KG    0.45359237
#define JL_MMHG_KPA    0.133322387415

#endif
