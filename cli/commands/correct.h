/* What a reading comes to, for one reading and for a stream of them.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CORRECT_H
#define JARLINE_CORRECT_H

#include "jarline.h"

typedef struct corrected {
    double mass_fraction, strength_pct, proof_us, density_kg_m3;
} corrected;

/* The density is that at temp_c with the thermometer's correction. */
jl_status correct(const jl_alcoholometer *instrument, jl_quantity reading, double temp_c,
                  corrected *c);

/* Answers standard input line by line. usual_temp: for lines without one; may be NULL. Returns the
 * exit status. */
int correct_stream(const jl_alcoholometer *instrument, const char *usual_temp, bool json);

#endif
