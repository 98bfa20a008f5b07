/* Units by their names, and what a number in one of them stands for.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_QUANTITY_H
#define JL_QUANTITY_H

#include "jarline.h"

/* A number stands for (number - offset) * factor in the base unit of its kind. */
typedef struct jl_unit_of_kind {
    const char *name; /* in lower case */
    double factor, offset;
    jl_unit unit;
} jl_unit_of_kind;

/* NULL: the kind has no such unit. */
const jl_unit_of_kind *jl_unit_named(jl_kind kind, const char *name);

/* What 1 % vol is on a scale of strength. */
static inline double jl_per_pct(jl_unit scale) {
    return scale == JL_UNIT_PROOF_US ? 2 : 1;
}

/* Factor and offset of a temperature in °F, as tables of units and of columns have them. */
#define JL_FAHRENHEIT 5.0 / 9, 32

static inline double jl_fahrenheit(double temp_c) {
    return temp_c * 9 / 5 + 32;
}

static inline double jl_celsius(double temp_f) {
    return (temp_f - 32) * 5 / 9;
}

/* A temperature as it is written: none of its digits is lost that a thermometer shows, and 72 °F are
 * 22.22 °C. */
double jl_temperature_written(double number);

/* NIST SP 811; mmHg as jarline.h says. */
#define JL_GALLON_US_L 3.785411784 /* 231 in³ */
#define JL_POUND_KG    0.45359237
#define JL_MMHG_KPA    0.133322387415

#endif
