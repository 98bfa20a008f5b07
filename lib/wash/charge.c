/* How a wash goes into the boiler: loads, what is left over, what keeps the element covered.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "jarline.h"

#include <math.h>

/* A volume that fits but for rounding: 24 l at a mark of two thirds of 36. */
static const double ROUNDING = 1e-9;

static bool volume_ok(double volume_l, double least_l) {
    return volume_l >= least_l && volume_l <= 1e9;
}

/* Of a wash or a boiler; below it a double has no digits left to share out. */
static const double LEAST_L = 1e-9;

static jl_status check(const jl_charge_plan *plan) {
    if (!volume_ok(plan->wash_l, 0) || plan->wash_l < LEAST_L || !volume_ok(plan->sediment_l, 0))
        return JL_RANGE;
    if (!volume_ok(plan->mark_l, 0) || plan->mark_l < LEAST_L || !volume_ok(plan->covered_l, 0))
        return JL_RANGE;
    if (!(plan->taken >= 0 && plan->taken < 1) || plan->loads > 1000000) return JL_RANGE;
    if (plan->wash_l / plan->mark_l > 1e6) return JL_RANGE;
    return plan->wash_l * (1 - ROUNDING) > plan->sediment_l ? JL_OK : JL_MISSING;
}

static bool stays_covered(const jl_charge_plan *plan, double load_l) {
    return load_l * (1 - plan->taken) >= plan->covered_l * (1 - ROUNDING);
}

static jl_status even_loads(const jl_charge_plan *plan, jl_charge *c) {
    double wanted = ceil(c->available_l / plan->mark_l * (1 - ROUNDING));
    c->loads = plan->loads > 0 ? plan->loads : (size_t)fmax(wanted, 1);
    c->load_l = c->available_l / (double)c->loads;
    if (c->load_l > plan->mark_l * (1 + ROUNDING)) return JL_CONFLICT;
    return stays_covered(plan, c->load_l) ? JL_OK : JL_NO;
}

static jl_status full_loads(const jl_charge_plan *plan, jl_charge *c) {
    double there = floor(c->available_l / plan->mark_l * (1 + ROUNDING));
    if (there < 1 && plan->loads == 0) return even_loads(plan, c);
    c->load_l = plan->mark_l;
    c->loads = plan->loads > 0 ? plan->loads : (size_t)there;
    if ((double)c->loads > there) return JL_CONFLICT;
    if (!stays_covered(plan, c->load_l)) return JL_NO;
    double rest_l = c->available_l - (double)c->loads * c->load_l;
    if (rest_l <= ROUNDING * c->available_l) return JL_OK;
    bool run = plan->loads == 0 && stays_covered(plan, rest_l);
    *(run ? &c->rest_l : &c->left_over_l) = rest_l;
    return JL_OK;
}

jl_status jl_charge_loads(const jl_charge_plan *plan, jl_charge *charge) {
    jl_status status = check(plan);
    if (status != JL_OK) return status;
    jl_charge c = {.available_l = plan->wash_l - plan->sediment_l};
    status = plan->full ? full_loads(plan, &c) : even_loads(plan, &c);
    if (status != JL_OK) return status;
    c.ends_at_l = (c.rest_l > 0 ? c.rest_l : c.load_l) * (1 - plan->taken);
    *charge = c;
    return JL_OK;
}
