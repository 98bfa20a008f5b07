/* Jars of which only the running spout was read: their means, from the readings in a row.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_SPOUT_H
#define JL_SPOUT_H

#include "jarline.h"

/* A reading in the spout as a jar ends. */
typedef struct jl_spout_reading {
    double until_l;      /* run by then, at 20 °C: rising, above 0 */
    double strength_pct; /* of what the spout gave at that moment, % vol at 20 °C */
} jl_spout_reading;

/* A jar's mean. */
typedef struct jl_spout_mean {
    double strength_pct; /* % vol at 20 °C of all that ran between two readings */
    double curve_u_pct;  /* its standard uncertainty for the curve between them */
} jl_spout_mean;

/* The volume-weighted mean of the run's own curve between the readings: a monotone cubic through
 * strengths over volume, so that it never swings beyond what was read.
 *
 * Given:    readings, count: 1 or more; begin_pct: strength of the first drop, NaN: not known, then
 *           the line through the first two readings is carried back to it; spout_l: what the vessel
 *           of the instrument holds, 0 or more: the reading is as late as that volume
 * Returned: means: count of them
 * Errors:   JL_RANGE (a strength outside 0 to 100 % vol, volumes that do not rise, a lag as large as
 *           the first jar), JL_MEMORY
 * Source:   monotone cubic: Steffen, Astron. Astrophys. 239 (1990) 443 (from memory; GSL's
 *           gsl_interp_steffen). The curve's uncertainty is a quarter of the difference to the mean
 *           of the straight line: common practice, no source */
jl_status jl_spout_means(const jl_spout_reading *readings, size_t count, double begin_pct,
                         double spout_l, jl_spout_mean *means);

#endif
