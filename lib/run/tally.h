/* What became of the alcohol that was charged; jarline.h has what everyone may call.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_TALLY_H
#define JL_TALLY_H

#include "jarline.h"

/* What the alcoholometer says of a boiler's rest. Within half a division of what it shows in water, or
 * with a few dissolved solids just below, it is water.
 *
 * Returned: *water: it was taken as that; *mass_fraction
 * Errors:   as jl_reading_to_mass_fraction; JL_NO_MIXTURE (further below water)
 * Source:   common practice, no source */
jl_status jl_left_reading(const jl_alcoholometer *instrument, jl_quantity reading, double temp_c,
                          bool *water, double *mass_fraction);
extern const char jl_left_below_water[];

/* Compares what was collected with what the facts state of the charge and of what was left.
 *
 * Given:    facts: charge_l with charge_strength_pct, at 20 °C; left_l with left_strength_pct or
 *           left_reading_pct, at left_temp_c where that is stated (a reading needs it); instrument:
 *           for left_reading_pct; collected: of all jars, foreshots too
 * Returned: *recovery; *fault (may be NULL). Without a charge the figures are NaN
 * Errors:   JL_FORM, JL_AMBIGUOUS, JL_RANGE, JL_NO_MIXTURE; JL_MISSING (a reading without its
 *           temperature); JL_CONFLICT (reading and strength more than 0.2 % vol apart)
 */
jl_status jl_recovery_of(const jl_facts *facts, const jl_alcoholometer *instrument,
                         jl_spirit collected, jl_recovery *recovery, jl_fault *fault);

/* Counts a jar. */
void jl_tally_add(jl_tally *tally, const jl_jar *jar);

#endif
