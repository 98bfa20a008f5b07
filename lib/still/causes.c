/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "still/causes.h"

#include <math.h>

/* ---- The still ---- */

/* What runs have taught is in a setting's own unit; what nobody has measured is a share of it. */
static jl_input deviation(double known_u, double usual_share) {
    return isnan(known_u) ? (jl_input){0, usual_share, JL_RECTANGULAR}
                          : (jl_input){0, known_u, JL_NORMAL};
}

void jl_still_inputs(const jl_still *still, const jl_still_known *known,
                     jl_input inputs[JL_STILL_INPUTS]) {
    const jl_input none = {0, 0, JL_NORMAL};
    bool reflux = still->reflux_ratio > 0 && still->schedule_count == 0;
    double vapour_u = isnan(known->vapour_u) ? JL_VAPOUR_OFF_U : known->vapour_u;
    inputs[JL_OF_VAPOUR] = (jl_input){0, vapour_u, JL_NORMAL};
    inputs[JL_OF_DILUTE] = (jl_input){0, JL_DILUTE_OFF_U, JL_NORMAL};
    inputs[JL_OF_REFLUX] = reflux ? deviation(known->reflux_share_u, 0.1) : none;
    inputs[JL_OF_EFFICIENCY] = still->power_w > 0 ? deviation(known->efficiency_u, 0.05) : none;
}

static double reflux_deviating(double reflux, const jl_still_known *known, double off) {
    if (isnan(known->reflux_share_u)) return reflux * (1 + off);
    if (reflux == 0) return 0;
    /* Nearly all returned would take for ever: no further than JL_SHARE_END, or where the still is. */
    double own = reflux / (1 + reflux);
    double share = fmin(fmax(own + off, 0), fmax(own, JL_SHARE_END));
    return share == own ? reflux : share / (1 - share);
}

jl_still jl_still_deviating(const jl_still *still, const jl_still_known *known,
                            const double deviations[JL_STILL_INPUTS]) {
    jl_still other = *still;
    double scale = isnan(known->efficiency_u) ? still->efficiency_share : 1;
    double share_off = deviations[JL_OF_REFLUX];
    if (!isnan(known->share_per_vapour))
        share_off += known->share_per_vapour * deviations[JL_OF_VAPOUR];
    other.vapour_off_share += deviations[JL_OF_VAPOUR];
    other.dilute_off_share =
        fmin(fmax(still->dilute_off_share + deviations[JL_OF_DILUTE], -JL_VAPOUR_OFF_MOST),
             JL_VAPOUR_OFF_MOST);
    other.reflux_ratio = reflux_deviating(still->reflux_ratio, known, share_off);
    other.efficiency_share =
        fmin(fmax(still->efficiency_share + scale * deviations[JL_OF_EFFICIENCY], 0.01), 1);
    return other;
}

/* ---- The run ---- */

void jl_causes_measure(jl_causes *c, jl_measuring *by, jl_amount charge,
                       const jl_alcoholometer *instrument) {
    static const char *const NAMES[] = {"published vapours", "reflux", "efficiency of heating",
                                        "vapours of dilute liquid"};
    if (by->budget == NULL) return;
    c->charge = jl_measure_amount_known(by, charge.by_mass ? JL_BY_SCALE : JL_BY_JUG, charge,
                                        instrument, c->charge_u_pct);
    if (jl_mass_kg(c->loads.feints) > 0)
        c->feints = jl_measure_amount(by, jl_amount_at_20(c->loads.feints), instrument);
    jl_still_inputs(c->still, &c->known, c->inputs);
    for (size_t i = 0; i < JL_STILL_INPUTS; i++)
        if (c->inputs[i].width > 0)
            c->places[i] =
                jl_budget_input(by->budget, NAMES[i], c->inputs[i].width, c->inputs[i].spread);
}

static jl_still still_at(const jl_causes *c, const jl_still *still, const double *x) {
    double deviations[JL_STILL_INPUTS];
    for (size_t i = 0; i < JL_STILL_INPUTS; i++)
        deviations[i] = c->inputs[i].width > 0 ? x[c->places[i]] : 0;
    return jl_still_deviating(still, &c->known, deviations);
}

static jl_status run_at(const jl_causes *c, const double *x, jl_spirit charge, jl_forecast *f) {
    const jl_still still = still_at(c, c->still, x);
    return jl_forecast_run(&still, charge, c->plan, f);
}

/* Each load is a little larger or smaller with the wash. */
static jl_status chain_at(const jl_causes *c, const double *x, jl_spirit wash, double *figures) {
    const jl_still still = still_at(c, c->strip_still, x);
    jl_chain_charge charge = c->loads;
    jl_chain chain;
    jl_status status = JL_OK;
    charge.wash = wash;
    if (jl_mass_kg(charge.feints) > 0)
        status = jl_measured_amount_at(&c->feints, x, &charge.feints);
    if (status == JL_OK) status = jl_chain_strip(&still, c->strip_plan, &charge, &chain);
    if (status == JL_OK) status = run_at(c, x, chain.spirit_charge, &chain.spirit);
    if (status == JL_OK) jl_chain_figures(&chain, figures);
    return status;
}

jl_status jl_causes_figures(const double *x, double *figures, void *causes) {
    const jl_causes *c = causes;
    jl_spirit charge;
    jl_forecast f = JL_FORECAST;
    jl_status status = jl_measured_amount_at(&c->charge, x, &charge);
    if (status == JL_OK && c->strip_still != NULL) return chain_at(c, x, charge, figures);
    if (status == JL_OK) status = run_at(c, x, charge, &f);
    if (status == JL_OK) jl_forecast_figures(&f, figures);
    return status;
}
