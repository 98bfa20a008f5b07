/* Readings one after another.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The jars of a log share an instrument and a scale, and each asks for the same isotherm twice: for
 * its reading and for its volume. */
#ifndef JL_ALCOHOLOMETER_H
#define JL_ALCOHOLOMETER_H

#include "spirit/density.h"

typedef struct jl_kept_isotherm {
    double temp_c; /* NaN: none is kept yet */
    jl_isotherm isotherm;
} jl_kept_isotherm;

typedef struct jl_kept {
    jl_kept_isotherm calibrated; /* of the scale */
    jl_kept_isotherm liquid;     /* of the last reading or volume */
} jl_kept;

void jl_kept_begin(jl_kept *kept);

/* The isotherm of a temperature in range, computed only if it is another than the last one. */
const jl_isotherm *jl_kept_at(jl_kept_isotherm *kept, double temp_c);

/* jl_reading_to_mass_fraction, that keeps its isotherms. */
jl_status jl_reading_solve(const jl_alcoholometer *instrument, jl_quantity reading, double temp_c,
                           jl_kept *kept, double *mass_fraction);

#endif
