/* How a wash goes into the boiler: loads, what is left over, what keeps the element covered.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "wash/charge.h"
#include "spirit/spirit.h"
#include "still/forecast.h"
#include "text/quantity.h"

#include <math.h>

/* A volume that fits but for rounding: 24 l at a mark of two thirds of 36. */
static const double ROUNDING = 1e-9;

static bool volume_ok(double volume_l) {
    return jl_between(volume_l, 0, 1e9);
}

/* Of a wash or a boiler; below it a double has no digits left to share out. */
static const double LEAST_L = 1e-9;

static jl_status check(const jl_charge_plan *plan) {
    if (!volume_ok(plan->wash_l) || plan->wash_l < LEAST_L || !volume_ok(plan->sediment_l))
        return JL_RANGE;
    if (!volume_ok(plan->mark_l) || plan->mark_l < LEAST_L || !volume_ok(plan->covered_l))
        return JL_RANGE;
    if (!(plan->strength_pct >= 0 && plan->strength_pct <= 100)) return JL_RANGE;
    if (!(plan->taken_share >= 0 && plan->taken_share < 1) || plan->loads > 1000000)
        return JL_RANGE;
    if (plan->wash_l / plan->mark_l > 1e6) return JL_RANGE;
    return plan->wash_l * (1 - ROUNDING) > plan->sediment_l ? JL_OK : JL_MISSING;
}

static bool stays_covered(const jl_charge_plan *plan, double load_l) {
    return load_l * (1 - plan->taken_share) >= plan->covered_l * (1 - ROUNDING);
}

static jl_status even_loads(const jl_charge_plan *plan, jl_charge *c) {
    c->loads = plan->loads > 0 ? plan->loads : (size_t)jl_even_loads(c->available_l, plan->mark_l);
    c->load_l = c->available_l / (double)c->loads;
    if (c->load_l > plan->mark_l * (1 + ROUNDING)) return JL_CONFLICT;
    return stays_covered(plan, c->load_l) ? JL_OK : JL_NO;
}

static double full_there(const jl_charge_plan *plan, double available_l) {
    return floor(available_l / plan->mark_l * (1 + ROUNDING));
}

static jl_status full_loads(const jl_charge_plan *plan, jl_charge *c) {
    double there = full_there(plan, c->available_l);
    if (there < 1 && plan->loads == 0) return even_loads(plan, c);
    c->load_l = plan->mark_l;
    c->loads = plan->loads > 0 ? plan->loads : (size_t)there;
    if ((double)c->loads > there) return JL_CONFLICT;
    if (!stays_covered(plan, c->load_l)) return JL_NO;
    double last_l = c->available_l - (double)c->loads * c->load_l;
    if (last_l <= ROUNDING * c->available_l) return JL_OK;
    bool run = plan->loads == 0 && stays_covered(plan, last_l);
    *(run ? &c->last_l : &c->left_over_l) = last_l;
    return JL_OK;
}

jl_status jl_charge_loads(const jl_charge_plan *plan, jl_charge *charge) {
    jl_status status = check(plan);
    if (status != JL_OK) return status;
    jl_charge c = {.available_l = plan->wash_l - plan->sediment_l};
    status = plan->full ? full_loads(plan, &c) : even_loads(plan, &c);
    if (status != JL_OK) return status;
    double stays_l = plan->sediment_l + c.left_over_l;
    c.pure_alcohol_l = plan->strength_pct / 100 * (c.available_l - c.left_over_l);
    c.stays_pure_alcohol_l = plan->strength_pct / 100 * stays_l;
    c.ends_at_l = (c.last_l > 0 ? c.last_l : c.load_l) * (1 - plan->taken_share);
    *charge = c;
    return JL_OK;
}

jl_status jl_charge_bounds_of(const jl_charge_plan *plan, jl_charge_bounds *bounds) {
    jl_status status = check(plan);
    if (status != JL_OK) return status;
    double available_l = plan->wash_l - plan->sediment_l;
    double even = jl_even_loads(available_l, plan->mark_l);
    double there = full_there(plan, available_l);
    *bounds = (jl_charge_bounds){.loads = (size_t)(plan->full ? there : even),
                                 .load_l = plan->full && there >= 1
                                               ? plan->mark_l
                                               : available_l /
                                                     (plan->loads > 0 ? (double)plan->loads : even),
                                 .least_load_l = plan->covered_l / (1 - plan->taken_share)};
    return JL_OK;
}

jl_status jl_charge_taken_in(const jl_still *of, const jl_plan *plan, double strength_pct,
                             double *share) {
    const double charge_l = 10;
    jl_still still = *of;
    still.min_liquid_l = 0; /* whether the element stays covered is what is asked */
    jl_forecast run = JL_FORECAST;
    jl_spirit charge;
    jl_status status = jl_spirit_at_20(charge_l, strength_pct, &charge);
    if (status == JL_OK) status = jl_forecast_run(&still, charge, plan, &run);
    if (status == JL_OK) *share = 1 - jl_volume_l(run.left, JL_STRENGTH_C) / charge_l;
    return status;
}

static bool is_none_or(double value, bool good) {
    return isnan(value) || good;
}

jl_status jl_charge_load(const jl_charge_plan *plan, const jl_lifting *lifting, double volume_l,
                         jl_load *load) {
    double mass_fraction, density_kg_m3;
    if (!volume_ok(volume_l) || !is_none_or(lifting->empty_kg, lifting->empty_kg >= 0) ||
        !is_none_or(lifting->carry_l, lifting->carry_l > 0) ||
        !(plan->taken_share >= 0 && plan->taken_share < 1))
        return JL_RANGE;
    jl_status status =
        jl_mass_fraction_from_strength(plan->strength_pct, JL_STRENGTH_C, &mass_fraction);
    if (status == JL_OK) status = jl_density_kg_m3(mass_fraction, JL_STRENGTH_C, &density_kg_m3);
    if (status != JL_OK) return status;
    double kg_l = density_kg_m3 / 1000;
    double carry_l = isnan(lifting->carry_l) ? NAN : fmin(lifting->carry_l, volume_l);
    *load = (jl_load){.volume_l = volume_l,
                      .pure_alcohol_l = plan->strength_pct / 100 * volume_l,
                      .mass_kg = kg_l * volume_l,
                      .boiler_kg = kg_l * volume_l + lifting->empty_kg,
                      .carries = ceil(volume_l / lifting->carry_l * (1 - ROUNDING)),
                      .carry_l = carry_l,
                      .carry_kg = carry_l * kg_l,
                      .ends_at_l = volume_l * (1 - plan->taken_share)};
    return JL_OK;
}
