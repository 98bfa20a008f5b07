/* Readings one after another.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The jars of a log share an instrument and a scale, and each asks for the same isotherm twice: for
 * its reading and for its volume. */
#ifndef JL_ALCOHOLOMETER_H
#define JL_ALCOHOLOMETER_H

#include "spirit/density.h"

/* Whether a scale is of 60 °F, which is written as 15.56 or 15.6 °C in records. */
bool jl_is_proof_c(double calibrated_c);

/* Cubic expansion of an instrument's glass per °C. */
bool jl_glass_ok(double glass_per_c);

typedef struct jl_isotherm_slot {
    double temp_c; /* NaN: none is kept yet */
    jl_isotherm isotherm;
} jl_isotherm_slot;

typedef struct jl_isotherm_cache {
    jl_isotherm_slot calibrated; /* of the scale */
    jl_isotherm_slot liquid;     /* of the last reading or volume */
} jl_isotherm_cache;

extern const char jl_proof_expected[], jl_no_mixture_expected[];

void jl_isotherm_cache_begin(jl_isotherm_cache *kept);

/* The isotherm of a temperature in range, computed only if it is another than the last one. */
const jl_isotherm *jl_isotherm_cache_at(jl_isotherm_slot *kept, double temp_c);

/* jl_reading_to_mass_fraction, that keeps its isotherms. */
jl_status jl_reading_solve(const jl_alcoholometer *instrument, jl_quantity reading, double temp_c,
                           jl_isotherm_cache *kept, double *mass_fraction);

#endif
