/* Mixing, and what to add to reach a strength.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "jarline.h"

#include <math.h>

jl_spirit jl_blend(jl_spirit a, jl_spirit b) {
    return (jl_spirit){a.ethanol_kg + b.ethanol_kg, a.water_kg + b.water_kg};
}

double jl_contraction_l(double parts_l, jl_spirit result) {
    return parts_l - jl_volume_l(result, JL_STRENGTH_C);
}

static bool fraction_ok(double p) {
    return p >= 0 && p <= 1;
}

jl_status jl_bring_to(jl_spirit spirit, double other, double target, jl_spirit *addition) {
    double mass_kg = jl_mass_kg(spirit);
    if (!fraction_ok(other) || !fraction_ok(target)) return JL_RANGE;
    if (!(mass_kg > 0 && isfinite(mass_kg))) return JL_RANGE;
    double excess_kg = spirit.ethanol_kg - target * mass_kg; /* ethanol too much for the target */
    if (fabs(excess_kg) <= 1e-15 * mass_kg) {
        *addition = (jl_spirit){0, 0};
        return JL_OK;
    }
    double added_kg = excess_kg / (target - other);
    if (!(added_kg > 0 && isfinite(added_kg))) return JL_NO;
    *addition = (jl_spirit){added_kg * other, added_kg * (1 - other)};
    return JL_OK;
}

jl_status jl_make_up(double strong, double weak, double target, double volume_l, jl_spirit *spirit,
                     jl_spirit *other) {
    jl_spirit result;
    if (!fraction_ok(strong) || !fraction_ok(weak)) return JL_RANGE;
    jl_status status = jl_spirit_from_volume(volume_l, target, JL_STRENGTH_C, &result);
    if (status != JL_OK) return status;
    if (!(strong > weak && target >= weak && target <= strong)) return JL_NO;
    double mass_kg = jl_mass_kg(result);
    /* The share first: rounded, it is never above 1, so that no part is below 0. A share that the
     * whole's own rounding hides is none. */
    double share = (target - weak) / (strong - weak);
    double strong_kg = share < 1e-15 ? 0 : mass_kg * share;
    *spirit = (jl_spirit){strong_kg * strong, strong_kg * (1 - strong)};
    *other = (jl_spirit){(mass_kg - strong_kg) * weak, (mass_kg - strong_kg) * (1 - weak)};
    return JL_OK;
}
