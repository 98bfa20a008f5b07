/* A still and a plan of its run. A still's defaults stand in the table of keys, each with its source;
 * the usual rules for cuts, which depend on the charge, stand here.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "still/from_settings.h"
#include "text/array.h"

#include <math.h>

bool jl_makes_strip_run(jl_spirit charge) {
    return jl_mass_kg(charge) > 0 && jl_spirit_strength_pct(charge) < JL_CUTS_FROM_PCT;
}

jl_cut_rules jl_default_cuts(double strength_pct) {
    if (strength_pct < JL_CUTS_FROM_PCT) return (jl_cut_rules){.tails = {JL_CUT_SPOUT_PCT, 10}};
    return (jl_cut_rules){
        .foreshots = {JL_CUT_CHARGE_SHARE, 0.005},
        .heads = {JL_CUT_CHARGE_SHARE, 0.02},
        .hearts = {JL_CUT_SPOUT_PCT, 60},
        .tails = {JL_CUT_SPOUT_PCT, 20},
    };
}

static const struct {
    jl_key_id id;
    size_t place;
} NUMBERS[] = {
    {JL_KEY_STAGES, offsetof(jl_still, stages)},
    {JL_KEY_REFLUX, offsetof(jl_still, reflux_ratio)},
    {JL_KEY_PRESSURE, offsetof(jl_still, pressure_kpa)},
    {JL_KEY_POWER, offsetof(jl_still, power_w)},
    {JL_KEY_EFFICIENCY, offsetof(jl_still, efficiency_share)},
    {JL_KEY_LOSS, offsetof(jl_still, loss_w)},
    {JL_KEY_BOILER_HEAT, offsetof(jl_still, boiler_heat_j_k)},
    {JL_KEY_START, offsetof(jl_still, start_c)},
    {JL_KEY_SPOUT, offsetof(jl_still, spout_c)},
    {JL_KEY_COOLANT_RISE, offsetof(jl_still, coolant_rise_c)},
    {JL_KEY_MIN_LIQUID, offsetof(jl_still, min_liquid_l)},
};

jl_still jl_settings_to_still(const jl_settings *s) {
    jl_still still = JL_STILL;
    still.schedule = s->steps;
    still.schedule_count = s->step_count;
    for (size_t i = 0; i < sizeof NUMBERS / sizeof NUMBERS[0]; i++)
        *(double *)(void *)((char *)&still + NUMBERS[i].place) = jl_setting_value(s, NUMBERS[i].id);
    /* An altitude means the pressure of an average day there; the table's range has one. */
    if (s->of[JL_KEY_ALTITUDE].has)
        jl_pressure_at_altitude_kpa(jl_setting_value(s, JL_KEY_ALTITUDE), &still.pressure_kpa);
    return still;
}

/* Laboratory practice for what foams. */
static const double USUAL_FILL = 2.0 / 3;

double jl_settings_to_mark_l(const jl_settings *s) {
    double mark_l = jl_setting_value(s, JL_KEY_MARK);
    return isnan(mark_l) ? USUAL_FILL * jl_setting_value(s, JL_KEY_BOILER) : mark_l;
}

jl_plan jl_settings_to_plan(const jl_settings *s, double charge_strength_pct) {
    jl_plan plan = JL_PLAN(charge_strength_pct);
    jl_cut *const cuts[] = {&plan.cuts.foreshots, &plan.cuts.heads, &plan.cuts.hearts,
                            &plan.cuts.tails};
    plan.jar_l = jl_setting_value(s, JL_KEY_JAR);
    for (int i = 0; i < 4; i++)
        if (s->of[JL_KEY_FORESHOTS + i].has) *cuts[i] = s->of[JL_KEY_FORESHOTS + i].cut;
    return plan;
}

jl_status jl_settings_still(const jl_settings *settings, jl_still *still) {
    const jl_still stated = jl_settings_to_still(settings);
    if (!jl_sized_ok(still, sizeof still->size)) return JL_RANGE;
    jl_sized_give(&stated, sizeof stated, still);
    return JL_OK;
}

jl_status jl_settings_plan(const jl_settings *settings, double charge_strength_pct, jl_plan *plan) {
    const jl_plan stated = jl_settings_to_plan(settings, charge_strength_pct);
    if (!jl_sized_ok(plan, sizeof plan->size)) return JL_RANGE;
    jl_sized_give(&stated, sizeof stated, plan);
    return JL_OK;
}
