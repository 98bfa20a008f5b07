/* A run's record as learning takes it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn/ahead.h"
#include "learn/learnt.h"
#include "run/run.h"
#include "still/from_settings.h"

#include <math.h>

/* Nothing is known to better than this, or a fit could not be weighed: 0.01 % vol, a thousandth. */
static const double LEAST_PCT = 0.01, LEAST_SHARE = 0.001;

/* What the air's pressure may be off by: on a barometer, on an average day at an altitude, where
 * nothing is said. Common practice, no source. */
static const double BAROMETER_U_KPA = 0.58, DAY_U_KPA = 1, NOWHERE_U_KPA = 3;
/* A share of reflux as people set it: common practice, no source. */
static const double SHARE_SET_U = 0.05;

static double common_u(const jl_instruments *in, jl_instrument which) {
    return sqrt(jl_instrument_variance(in, which, true));
}

static double own_u(const jl_instruments *in, jl_instrument which) {
    return sqrt(jl_instrument_variance(in, which, false));
}

static jl_settings stated_or_usual(const jl_settings *stated) {
    jl_settings usual;
    if (stated != NULL) return *stated;
    jl_settings_begin(&usual);
    return usual;
}

static double stated_or(const jl_settings *s, jl_key_id id, double usual) {
    return s->of[id].has ? jl_setting_value(s, id) : usual;
}

/* The charge is measured by its own vessel, the jars by the jug: they differ by both limits. */
static double scale_u(const jl_instruments *in, jl_instrument charge_by) {
    if (charge_by == JL_BY_JUG) return LEAST_SHARE;
    return fmax(hypot(common_u(in, charge_by), common_u(in, JL_BY_JUG)), LEAST_SHARE);
}

jl_learning_widths jl_run_widths(const jl_run *const *runs, size_t count,
                                 const jl_settings *instruments) {
    const jl_settings s = stated_or_usual(instruments);
    const jl_instruments in = jl_settings_to_instruments(&s);
    jl_learning_widths w = JL_LEARNING_WIDTHS;
    w.alcoholometer_pct = fmax(common_u(&in, JL_BY_ALCOHOLOMETER), LEAST_PCT);
    w.thermometer_c = fmax(common_u(&in, JL_BY_THERMOMETER), LEAST_PCT);
    w.thermometer_read_c = own_u(&in, JL_BY_THERMOMETER);
    w.head_c = stated_or(&s, JL_KEY_HEAD_OFFSET_U, w.head_c);
    w.boiler_c = stated_or(&s, JL_KEY_BOILER_OFFSET_U, w.boiler_c);
    w.scale = LEAST_SHARE;
    for (size_t i = 0; i < count; i++)
        w.scale = fmax(w.scale, scale_u(&in, jl_run_charge_by(runs[i])));
    return w;
}

/* Nothing boils where a thermometer shows less or more. */
static double boiling_c(double shown_c, double offset_c) {
    double temp_c = shown_c - offset_c;
    return temp_c >= 0 && temp_c <= 150 ? temp_c : NAN;
}

/* Jars that were typed one behind the other have the moment of that; only the last of them may have been
 * full then. */
static double full_s(const jl_jar *jars, size_t count, size_t i) {
    const jl_jar *next = i + 1 < count ? &jars[i + 1] : NULL;
    if (!jars[i].has_time) return NAN;
    double s = (double)jars[i].time.unix_s;
    bool at_once = next != NULL && next->has_time && !next->resumed &&
                   fabs((double)next->time.unix_s - s) < JL_JAR_SHORTEST_S;
    return at_once ? NAN : s;
}

static void take_jars(const jl_run *run, const jl_settings *s, const jl_instruments *in,
                      jl_learning_jar *jars) {
    size_t count;
    const jl_jar *read = jl_run_jars(run, &count);
    for (size_t i = 0; i < count; i++)
        jars[i] = (jl_learning_jar){
            .volume_l = read[i].volume_20c_l,
            .volume_u_l = own_u(in, JL_BY_JUG),
            .strength_pct = jl_spirit_strength_pct(read[i].spirit),
            .strength_u_pct = hypot(fmax(own_u(in, JL_BY_ALCOHOLOMETER), LEAST_PCT),
                                    read[i].from_spout ? read[i].curve_u_pct : 0),
            .boiler_c = boiling_c(read[i].boiler_c, stated_or(s, JL_KEY_BOILER_OFFSET, 0)),
            .head_c = boiling_c(read[i].head_c, stated_or(s, JL_KEY_HEAD_OFFSET, 0)),
            .full_s = full_s(read, count, i),
            .paused = read[i].resumed,
        };
}

static double pressure_u_kpa(const jl_settings *s) {
    if (jl_is_stated(s, JL_KEY_PRESSURE)) return BAROMETER_U_KPA;
    return jl_is_stated(s, JL_KEY_ALTITUDE) ? DAY_U_KPA : NOWHERE_U_KPA;
}

jl_status jl_thermometer_check(double shown_c, const jl_settings *settings, double *offset_c,
                               double *standard_c) {
    jl_boiling here = {0}, above = {0};
    const jl_instruments in = jl_settings_to_instruments(settings);
    double kpa = jl_settings_to_still(settings).pressure_kpa;
    if (!jl_is_stated(settings, JL_KEY_PRESSURE) && !jl_is_stated(settings, JL_KEY_ALTITUDE))
        return JL_MISSING;
    /* Water boils at any pressure that can be stated. */
    jl_boil(0, kpa, &here);
    jl_boil(0, kpa + 1, &above);
    if (!(fabs(shown_c - here.temp_c) <= 20)) return JL_RANGE;
    *offset_c = shown_c - here.temp_c;
    *standard_c = hypot(fmax(own_u(&in, JL_BY_THERMOMETER), LEAST_PCT),
                        (above.temp_c - here.temp_c) * pressure_u_kpa(settings));
    return JL_OK;
}

static double charge_share_u(const jl_run *run, const jl_instruments *in, double charge_l) {
    jl_instrument by = jl_run_charge_by(run);
    double own = by == JL_BY_VESSEL ? sqrt(jl_vessel_own_variance(in, charge_l))
                                    : own_u(in, by) / charge_l; /* a litre weighs about 1 kg */
    return fmax(own, LEAST_SHARE);
}

jl_learning_run jl_run_learning(const jl_run *run, const jl_settings *instruments,
                                jl_learning_jar *jars) {
    const jl_settings bench = stated_or_usual(instruments), *s = jl_run_settings(run);
    const jl_instruments in = jl_settings_to_instruments(&bench);
    const jl_recovery *r = jl_run_recovery(run);
    const jl_still still = jl_settings_to_still(s);
    size_t count;
    jl_run_jars(run, &count);
    take_jars(run, &bench, &in, jars);
    double charge_l = r->charge_stated ? jl_volume_l(r->charge, JL_STRENGTH_C) : NAN;
    return (jl_learning_run){
        .jars = jars,
        .count = count,
        .charge_l = charge_l,
        .charge_strength_pct = r->charge_stated ? jl_spirit_strength_pct(r->charge) : NAN,
        .charge_share_u = charge_share_u(run, &in, charge_l),
        .charge_strength_u_pct = fmax(own_u(&in, JL_BY_ALCOHOLOMETER), LEAST_PCT),
        .pressure_kpa = still.pressure_kpa,
        .pressure_u_kpa = pressure_u_kpa(s),
        .power_w = jl_is_stated(s, JL_KEY_POWER) ? still.power_w : NAN,
        .loss_w = still.loss_w,
        .boiler_heat_j_k = still.boiler_heat_j_k};
}

/* ---- The still that a log names ---- */

static jl_status still_said(const jl_settings *s, const jl_learning_widths *widths,
                            jl_learnt_still *still) {
    const jl_still said = jl_settings_to_still(s);
    double share = said.reflux_ratio / (1 + said.reflux_ratio);
    double efficiency_u = jl_setting_value(s, JL_KEY_EFFICIENCY_U);
    if (!jl_is_stated(s, JL_KEY_STAGES))
        return jl_still_unknown(widths, said.efficiency_share, still);
    jl_status status = jl_still_said(said.stages, fmin(share, JL_SHARE_END),
                                     stated_or(s, JL_KEY_REFLUX_SHARE_U, SHARE_SET_U), widths,
                                     said.efficiency_share, still);
    if (status == JL_OK && efficiency_u > 0)
        still->of[0].covariance[JL_LEARNT_LN_EFFICIENCY][JL_LEARNT_LN_EFFICIENCY] =
            pow(efficiency_u / said.efficiency_share, 2);
    return status;
}

jl_status jl_run_still(const jl_run *run, const jl_learning_widths *widths,
                       jl_learnt_still *still) {
    jl_status status = jl_learnt_read(jl_run_facts(run), still, NULL);
    return status == JL_MISSING ? still_said(jl_run_settings(run), widths, still) : status;
}

/* ---- A run that is planned ---- */

jl_status jl_plan_ahead(const jl_settings *settings, jl_spirit charge, const jl_learnt_still *still,
                        const jl_settings *instruments, jl_ahead_plan *plan, jl_ahead *ahead) {
    const jl_instruments in = jl_settings_to_instruments(instruments);
    const jl_still said = jl_settings_to_still(settings);
    const jl_learning_widths widths = jl_run_widths(NULL, 0, instruments);
    double charge_l = jl_volume_l(charge, JL_STRENGTH_C), pct = jl_spirit_strength_pct(charge);
    jl_spout_end hearts, stop;
    jl_settings_ends(settings, pct, &hearts, &stop);
    *plan = jl_ahead_to(&hearts, &stop);
    plan->jar_l = jl_setting_value(settings, JL_KEY_JAR);
    const jl_learning_run run = {
        .charge_l = charge_l,
        .charge_strength_pct = pct,
        .charge_share_u = fmax(sqrt(jl_vessel_own_variance(&in, charge_l)), LEAST_SHARE),
        .charge_strength_u_pct = fmax(own_u(&in, JL_BY_ALCOHOLOMETER), LEAST_PCT),
        .pressure_kpa = said.pressure_kpa,
        .pressure_u_kpa = pressure_u_kpa(settings),
        .power_w = said.power_w,
        .loss_w = said.loss_w,
        .boiler_heat_j_k = said.boiler_heat_j_k};
    return jl_run_ahead(&run, still, &widths, plan, NULL, ahead);
}
