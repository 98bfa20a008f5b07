/* Where a log ends its fractions, as strengths at the spout.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "run/run.h"
#include "still/settings.h"

/* Without a charge stated the usual rules are those of a spirit run. */
static const double CHARGE_USUAL_PCT = 30;

/* Over a boiler as warm as that stands a liquid; under a head as warm as that its vapour. */
jl_status jl_spout_at_rule(const jl_still *still, jl_cut rule, double *strength_pct) {
    jl_boiling boiling;
    if (rule.by == JL_CUT_SPOUT_PCT) {
        *strength_pct = rule.at;
        return JL_OK;
    }
    if (rule.by != JL_CUT_BOILER_C && rule.by != JL_CUT_HEAD_C) return JL_NO;
    jl_status status = jl_boil_at_temp(rule.at, still->pressure_kpa, &boiling);
    if (status == JL_OK && rule.by == JL_CUT_BOILER_C && boiling.liquid_mole_fraction > 0)
        status = jl_first_drop(still, jl_mass_fraction_from_mole(boiling.liquid_mole_fraction),
                               &boiling);
    if (status != JL_OK) return status;
    return jl_strength_pct(jl_mass_fraction_from_mole(boiling.vapour_mole_fraction), JL_STRENGTH_C,
                           strength_pct);
}

static jl_spout_end end_of(const jl_settings *s, const jl_still *still, jl_key_id id, jl_cut rule,
                           double usual_pct) {
    jl_spout_end end = {
        .strength_pct = usual_pct, .rule = rule, .stated = jl_is_stated(s, id), .followed = false};
    end.followed = jl_spout_at_rule(still, rule, &end.strength_pct) == JL_OK;
    return end;
}

void jl_run_ends(const jl_run *run, jl_spout_end *hearts, jl_spout_end *stop) {
    const jl_settings *s = jl_run_settings(run);
    const jl_recovery *r = jl_run_recovery(run);
    double charge_pct = r->charge_stated ? jl_spirit_strength_pct(r->charge) : CHARGE_USUAL_PCT;
    const jl_cut_rules usual = jl_default_cuts(charge_pct),
                       cuts = jl_settings_to_plan(s, charge_pct).cuts;
    const jl_still still = jl_settings_to_still(s);
    bool strip = usual.hearts.by != JL_CUT_SPOUT_PCT;
    *stop = end_of(s, &still, JL_KEY_STOP_AT, cuts.tails, usual.tails.at);
    *hearts = end_of(s, &still, JL_KEY_HEARTS_UNTIL, cuts.hearts,
                     strip ? usual.tails.at : usual.hearts.at);
    if (cuts.hearts.by != JL_CUT_NEVER) return;
    hearts->strength_pct = stop->strength_pct; /* no end of their own */
    hearts->followed = true;
}
