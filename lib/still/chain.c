/* A strip run in loads, its low wines pooled with feints, and the spirit runs on the pool.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "still/chain.h"

#include <math.h>

double jl_even_loads(double volume_l, double load_l) {
    const double rounding = 1e-9;
    return load_l > 0 ? fmax(ceil(volume_l / load_l * (1 - rounding)), 1) : 1;
}

static bool amount_ok(jl_spirit spirit) {
    return spirit.ethanol_kg >= 0 && spirit.water_kg >= 0;
}

/* As many as were stated, or as few as the load allows. */
static jl_status loads_of(jl_spirit all, size_t stated, double load_l, size_t *loads) {
    double count =
        stated > 0 ? (double)stated : jl_even_loads(jl_volume_l(all, JL_STRENGTH_C), load_l);
    if (!(count <= 1e6)) return JL_RANGE;
    *loads = (size_t)count;
    return JL_OK;
}

/* Low wines go into one vessel, whatever the jars are that the still's settings name. */
static jl_status strip(const jl_still *still, const jl_plan *plan, jl_chain *c) {
    jl_plan whole = *plan;
    whole.jar_l = 1e6;
    jl_status status = jl_forecast_run(still, jl_spirit_times(c->wash, 1 / (double)c->strip_loads),
                                       &whole, &c->strip);
    if (status != JL_OK) return status;
    c->low_wines = jl_spirit_times(c->strip.collected, (double)c->strip_loads);
    c->pool = jl_blend(c->low_wines, c->feints);
    return JL_OK;
}

jl_status jl_chain_strip(const jl_still *still, const jl_plan *plan, const jl_chain_charge *charge,
                         jl_chain *chain) {
    jl_chain c = {.wash = charge->wash,
                  .feints = charge->feints,
                  .strip = JL_FORECAST,
                  .spirit = JL_FORECAST};
    if (!amount_ok(c.wash) || !amount_ok(c.feints) || !(charge->load_l >= 0)) return JL_RANGE;
    jl_status status = loads_of(c.wash, charge->strip_loads, charge->load_l, &c.strip_loads);
    if (status == JL_OK) status = strip(still, plan, &c);
    if (status == JL_OK)
        status = loads_of(c.pool, charge->spirit_loads, charge->load_l, &c.spirit_loads);
    if (status != JL_OK) return status;
    c.spirit_charge = jl_spirit_times(c.pool, 1 / (double)c.spirit_loads);
    *chain = c;
    return JL_OK;
}

/* Of all runs of the chain, from what one of each kind takes. */
static double all_of(const jl_chain *c, double strip, double spirit) {
    return (double)c->strip_loads * strip + (double)c->spirit_loads * spirit;
}

void jl_chain_figures(const jl_chain *c, double figures[JL_CHAIN_FIGURES]) {
    const jl_forecast *strip = &c->strip, *spirit = &c->spirit;
    double runs = (double)c->spirit_loads;
    jl_spirit hearts = jl_spirit_times(spirit->fractions[JL_HEARTS], runs);
    jl_spirit feints =
        jl_spirit_times(jl_blend(spirit->fractions[JL_HEADS], spirit->fractions[JL_TAILS]), runs);
    jl_spirit_figures(c->low_wines, figures + JL_CHAIN_LOW_WINES_L);
    jl_spirit_figures(hearts, figures + JL_CHAIN_HEARTS_L);
    figures[JL_CHAIN_STRIP_RECOVERED_PCT] =
        100 * jl_pure_alcohol_l(strip->collected) / jl_pure_alcohol_l(strip->charge);
    figures[JL_CHAIN_STRIPS_S] = all_of(c, strip->duration_s, 0);
    figures[JL_CHAIN_STRIPS_KWH] = all_of(c, strip->energy_j, 0) / JL_J_KWH;
    figures[JL_CHAIN_STRIPS_COOLANT_L] = all_of(c, strip->coolant_l, 0);
    figures[JL_CHAIN_HEARTS_SHARE_PCT] =
        100 * jl_pure_alcohol_l(hearts) /
        (jl_pure_alcohol_l(c->wash) + jl_pure_alcohol_l(c->feints));
    figures[JL_CHAIN_FEINTS_PURE_L] = jl_pure_alcohol_l(feints);
    figures[JL_CHAIN_DURATION_S] = all_of(c, strip->duration_s, spirit->duration_s);
    figures[JL_CHAIN_DURATION_H] = figures[JL_CHAIN_DURATION_S] / 3600;
    figures[JL_CHAIN_ENERGY_KWH] = all_of(c, strip->energy_j, spirit->energy_j) / JL_J_KWH;
    figures[JL_CHAIN_COOLANT_L] = all_of(c, strip->coolant_l, spirit->coolant_l);
}
