/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn/trend.h"
#include "run/run.h"
#include "spirit/spirit.h"
#include "still/from_settings.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_fit.h>
#include <math.h>
#include <stdlib.h>

/* ---- What each run came to ---- */

/* More than one jar falls: common practice, no source. */
static const double FAR_PCT = 20;

static double hours_between(jl_time from, jl_time to) {
    return ((double)to.unix_s - (double)from.unix_s) / 3600;
}

/* From the start to the last jar, but for jumps and stops; NaN where the log has not both. */
static double hours_of(const jl_run *run, double *jumps_h, double *stops_h) {
    jl_time before, on;
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    double hours = 0;
    *jumps_h = *stops_h = 0;
    if (!jl_run_started(run, &before) || count == 0 || !jars[count - 1].has_time) return NAN;
    for (size_t i = 0; i < count; i++) {
        if (!jars[i].has_time) continue;
        if (jl_run_resumed(run, before, jars[i].time, &on)) {
            *stops_h += hours_between(before, on);
            before = on;
        }
        double step_h = hours_between(before, jars[i].time);
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
    double jumps_h, stops_h;
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
        .hours = hours_of(run, &jumps_h, &stops_h),
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
    p->stops_h = stops_h;
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

/* ---- What changes from run to run ---- */

enum { VALUES_LEAST = 5 };

jl_status jl_trend_of(const double *values, size_t count, double chance, jl_trend *trend) {
    double c0, c1, cov00, cov01, cov11, squares;
    if (!(chance > 0 && chance < 1)) return JL_RANGE;
    if (count < VALUES_LEAST) return JL_MISSING;
    for (size_t i = 0; i < count; i++)
        if (!isfinite(values[i])) return JL_RANGE;
    double *step = calloc(count, sizeof *step);
    if (step == NULL) return JL_MEMORY;
    for (size_t i = 0; i < count; i++) step[i] = (double)i;
    gsl_fit_linear(step, 1, values, 1, count, &c0, &c1, &cov00, &cov01, &cov11, &squares);
    free(step);
    double standard = sqrt(cov11), freedom = (double)count - 2;
    if (!isfinite(c1) || !isfinite(standard)) return JL_RANGE;
    *trend = (jl_trend){
        .per_step = c1,
        .standard = standard,
        .expanded = gsl_cdf_tdist_Pinv(0.975, freedom) * standard,
        .count = count,
        .stands_out = fabs(c1) > gsl_cdf_tdist_Qinv(chance / 2, freedom) * standard,
    };
    return JL_OK;
}

/* ---- Of runs ---- */

/* Of all trends of a history together: that chance alone makes one stand out. */
static const double CHANCE = 0.05;

static double figure_of(const jl_past *past, jl_past_figure figure) {
    if (figure == JL_PAST_RECOVERY) return past->recovery_pct;
    return figure == JL_PAST_ENERGY ? past->energy_kwh_per_l : past->apart_pct;
}

static size_t gather(const jl_past *const *pasts, size_t count, jl_past_figure figure, bool strip,
                     double *values) {
    size_t n = 0;
    for (size_t i = 0; i < count; i++)
        if (pasts[i]->strip == strip && isfinite(figure_of(pasts[i], figure)))
            values[n++] = figure_of(pasts[i], figure);
    return n;
}

jl_status jl_trends_of(const jl_past *const *pasts, size_t count, jl_trends *trends) {
    double *values = calloc(count + 1, sizeof *values);
    size_t looked_at = 0;
    jl_status status = values == NULL ? JL_MEMORY : JL_OK;
    *trends = (jl_trends){{{{0}}}};
    for (int f = 0; status == JL_OK && f < JL_PAST_FIGURES; f++)
        for (int strip = 0; strip < 2; strip++)
            looked_at += gather(pasts, count, (jl_past_figure)f, strip, values) >= VALUES_LEAST;
    for (int f = 0; looked_at > 0 && f < JL_PAST_FIGURES; f++)
        for (int strip = 0; strip < 2; strip++) {
            size_t n = gather(pasts, count, (jl_past_figure)f, strip, values);
            jl_trend *trend = &trends->of[f][strip];
            jl_status of_one = jl_trend_of(values, n, CHANCE / (double)looked_at, trend);
            if (of_one == JL_MEMORY) status = JL_MEMORY;
        }
    free(values);
    return status;
}
