/* What a message says of a plan for the charge that was refused.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_CHARGE_H
#define JL_CHARGE_H

#include "jarline.h"

/* What would have been right, where jl_charge_loads answers JL_CONFLICT or JL_NO. */
typedef struct jl_charge_bounds {
    size_t loads;  /* full: the most that there is wash for; even: the fewest under the mark */
    double load_l; /* what a load was to be */
    double least_load_l; /* that keeps the element covered to the run's end */
} jl_charge_bounds;

/* Given:    plan: as jl_charge_loads refused it
 * Returned: *bounds
 * Errors:   JL_RANGE, JL_MISSING: as jl_charge_loads
 */
jl_status jl_charge_bounds_of(const jl_charge_plan *plan, jl_charge_bounds *bounds);

/* What part of its volume, at 20 °C, a run takes off by the forecast of a still: a quarter at 9 % vol
 * in a plain pot; 0 where it ends with its first drop. strength_pct: above 0, below 97 % vol. Errors:
 * JL_RANGE; JL_NUMERIC, JL_MEMORY */
jl_status jl_charge_taken_in(const jl_still *still, const jl_plan *plan, double strength_pct,
                             double *share);

#endif
