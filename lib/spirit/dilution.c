/* Water, or another spirit, that brings an amount to a strength; the check after mixing; bottles.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "spirit/dilution.h"
#include "spirit/density.h"
#include "spirit/spirit.h"

#include <math.h>

double jl_addition_kg(jl_spirit spirit, double other_mass_fraction, double target_mass_fraction) {
    double mass_kg = jl_mass_kg(spirit);
    double excess_kg = spirit.ethanol_kg - target_mass_fraction * mass_kg;
    if (fabs(excess_kg) <= 1e-15 * mass_kg) return 0;
    return excess_kg / (target_mass_fraction - other_mass_fraction);
}

jl_status jl_bring_to(jl_spirit spirit, double other_mass_fraction, double target_mass_fraction,
                      jl_spirit *addition) {
    double mass_kg = jl_mass_kg(spirit);
    if (!jl_fraction_ok(other_mass_fraction) || !jl_fraction_ok(target_mass_fraction))
        return JL_RANGE;
    if (!(mass_kg > 0 && isfinite(mass_kg))) return JL_RANGE;
    double added_kg = jl_addition_kg(spirit, other_mass_fraction, target_mass_fraction);
    if (!(added_kg >= 0 && isfinite(added_kg))) return JL_NO;
    *addition = jl_spirit_of_mass(added_kg, other_mass_fraction);
    return JL_OK;
}

jl_status jl_make_up(const jl_dilution *d, double volume_l, jl_spirit *spirit, jl_spirit *other) {
    jl_spirit result;
    double strong = d->strong_mass_fraction, weak = d->other_mass_fraction;
    double target = d->target_mass_fraction;
    if (!jl_fraction_ok(strong) || !jl_fraction_ok(weak)) return JL_RANGE;
    jl_status status = jl_spirit_from_volume(volume_l, target, JL_STRENGTH_C, &result);
    if (status != JL_OK) return status;
    if (!(strong > weak && target >= weak && target <= strong)) return JL_NO;
    double mass_kg = jl_mass_kg(result);
    /* The share first: rounded, it is never above 1, so that no part is below 0. A share that the
     * whole's own rounding hides is none. */
    double share = (target - weak) / (strong - weak);
    double strong_kg = share < 1e-15 ? 0 : mass_kg * share;
    *spirit = jl_spirit_of_mass(strong_kg, strong);
    *other = jl_spirit_of_mass(mass_kg - strong_kg, weak);
    return JL_OK;
}

jl_status jl_check_side(const jl_dilution *d, jl_spirit mixed, double found_mass_fraction,
                        jl_check *check) {
    double more = check->too_weak ? d->strong_mass_fraction : d->other_mass_fraction;
    jl_spirit batch;
    if (!(found_mass_fraction > 0)) return JL_RANGE;
    jl_status status =
        jl_spirit_from_mass(mixed.ethanol_kg / found_mass_fraction, found_mass_fraction, &batch);
    if (status != JL_OK) return status;
    double added_kg = jl_addition_kg(batch, more, d->target_mass_fraction);
    if (!isfinite(added_kg)) return JL_NO;
    check->batch = batch;
    check->addition = jl_spirit_of_mass(added_kg, more);
    check->result = jl_blend(batch, check->addition);
    return JL_OK;
}

jl_status jl_check_mix(const jl_dilution *d, jl_spirit mixed, double found_mass_fraction,
                       jl_check *check) {
    jl_check found = {.too_weak = found_mass_fraction < d->target_mass_fraction};
    if (!jl_fraction_ok(d->strong_mass_fraction) || !jl_fraction_ok(d->other_mass_fraction) ||
        !jl_fraction_ok(d->target_mass_fraction))
        return JL_RANGE;
    if (!(found_mass_fraction > 0 && found_mass_fraction <= 1)) return JL_RANGE;
    if (found_mass_fraction > fmax(d->strong_mass_fraction, d->other_mass_fraction) ||
        found_mass_fraction < fmin(d->strong_mass_fraction, d->other_mass_fraction))
        return JL_NO;
    jl_status status = jl_check_side(d, mixed, found_mass_fraction, &found);
    if (status == JL_OK && jl_mass_kg(found.addition) < 0) status = JL_NO;
    if (status == JL_OK) *check = found;
    return status;
}

jl_bottles jl_fill_bottles(double volume_l, double bottle_l) {
    double full = floor(volume_l / bottle_l + 1e-9); /* 3 l are four bottles of 750 ml */
    double left_over_l = volume_l - full * bottle_l;
    return (jl_bottles){full, left_over_l < 0 ? 0 : left_over_l};
}
