/* Runs that are over: what each came to, and all of them together.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn/past.h"
#include "run/run.h"
#include "spirit/spirit.h"
#include "still/settings.h"

#include <math.h>

/* More than one jar falls: common practice, no source. */
static const double FAR_PCT = 20;

/* From the start to the last jar, but for jumps; NaN where the log has not both. */
static double hours_of(const jl_run *run, double *jumps_h) {
    jl_time before;
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    double hours = 0;
    *jumps_h = 0;
    if (!jl_run_started(run, &before) || count == 0 || !jars[count - 1].has_time) return NAN;
    for (size_t i = 0; i < count; i++) {
        if (!jars[i].has_time) continue;
        double step_h = ((double)jars[i].time.unix_s - (double)before.unix_s) / 3600;
        *(step_h > JL_JAR_LONGEST_S / 3600 ? jumps_h : &hours) += step_h;
        before = jars[i].time;
    }
    return hours;
}

/* A receiver or two hold the mean of much of a run: how far it went is what a still makes of them. */
static bool is_cut_short(const jl_run *run, const jl_past *p) {
    enum { JARS_LEAST = 3 };
    size_t count;
    jl_outlook o;
    bool planned = p->stop.stated || !isnan(p->expected_pure_l);
    if (!planned || jl_run_recovery(run)->left_stated) return false;
    if (!(p->last_pct > p->stop.strength_pct + FAR_PCT)) return false;
    jl_run_jars(run, &count);
    if (count >= JARS_LEAST) return true;
    return jl_run_rest(run, NULL, 0, NULL, &o) == JL_OK && !o.ahead.stop_past &&
           o.ahead.stop_l.low > 0;
}

static jl_spirit fraction_of(const jl_run *run, unsigned fractions) {
    return jl_tally_sum(jl_run_tally(run), fractions).spirit;
}

void jl_run_past(const jl_run *run, jl_past *p) {
    const jl_settings *s = jl_run_settings(run);
    const jl_recovery *r = jl_run_recovery(run);
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count), *last = count > 0 ? &jars[count - 1] : NULL;
    jl_spout_end hearts;
    double jumps_h;
    *p = (jl_past){
        .decided = jl_run_tally(run)->of[JL_UNDECIDED].jars < count,
        .strip = r->charge_stated &&
                 jl_default_cuts(jl_spirit_strength_pct(r->charge)).hearts.by == JL_CUT_NEVER,
        .charge = r->charge_stated ? r->charge : (jl_spirit){0, 0},
        .collected = fraction_of(run, JL_OF_ALL),
        .hearts = fraction_of(run, 1 << JL_HEARTS),
        .feints = fraction_of(run, JL_OF_FEINTS),
        .charge_pure_l = r->charge_stated ? jl_pure_alcohol_l(r->charge) : NAN,
        .recovery_pct = r->recovery_pct,
        .hours = hours_of(run, &jumps_h),
        .expected_pure_l = jl_run_expected_pure_l(run),
        .last_pct = last != NULL ? jl_spirit_strength_pct(last->spirit) : NAN,
    };
    double pure_l = jl_pure_alcohol_l(p->collected);
    bool powered = jl_is_stated(s, JL_KEY_POWER) && p->hours > 0;
    p->energy_kwh = powered ? jl_settings_to_still(s).power_w * p->hours / 1000 : NAN;
    p->energy_kwh_per_l = p->energy_kwh / pure_l;
    p->apart_pct = 100 * (pure_l / p->expected_pure_l - 1);
    jl_run_ends(run, &hearts, &p->stop);
    p->jumps_h = jumps_h;
    p->cut_short = is_cut_short(run, p);
}

/* Takes what is charged again out of what was collected. Returns the charge's share that it is. */
static double carry(jl_past_sums *sums, jl_spirit charge) {
    double held_kg = sums->feints.ethanol_kg;
    double again_kg = fmin(charge.ethanol_kg, held_kg);
    if (!(again_kg > 0)) return 0;
    jl_spirit again = jl_spirit_times(sums->feints, again_kg / held_kg);
    jl_spirit_add(&sums->feints, again, -1);
    jl_spirit_add(&sums->collected, again, -1);
    jl_spirit_add(&sums->carried, again, 1);
    return again_kg / charge.ethanol_kg;
}

double jl_past_add(jl_past_sums *sums, const jl_past *p) {
    double again = p->strip ? 0 : carry(sums, p->charge);
    jl_spirit_add(&sums->charge, p->charge, 1 - again);
    jl_spirit_add(&sums->collected, p->collected, 1);
    jl_spirit_add(&sums->hearts, p->hearts, 1);
    jl_spirit_add(&sums->feints, p->strip ? p->collected : p->feints, 1);
    return again;
}
