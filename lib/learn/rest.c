/* The rest of a record's run, and what may be wrong with it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn/ahead.h"
#include "learn/diagnose.h"
#include "learn/learnt.h"
#include "run/run.h"
#include "still/from_settings.h"

#include <math.h>
#include <stdlib.h>

/* A record as it is looked at. */
typedef struct view {
    jl_learning_run run;
    jl_learning_jar *jars;
    jl_learning_widths widths;
    jl_learnt_still still;
} view;

static bool has_charge(const jl_run *run) {
    const jl_recovery *r = jl_run_recovery(run);
    double pct = r->charge_stated ? jl_spirit_strength_pct(r->charge) : 0;
    return pct > JL_REST_LEAST_PCT && pct < JL_REST_MOST_PCT;
}

bool jl_run_rest_possible(const jl_run *run) {
    size_t count;
    const jl_recovery *r = jl_run_recovery(run);
    jl_run_jars(run, &count);
    return count > 0 && has_charge(run) &&
           jl_volume_l(r->collected, JL_STRENGTH_C) < jl_volume_l(r->charge, JL_STRENGTH_C);
}

static void close_view(view *v) {
    if (v != NULL) free(v->jars);
    free(v);
}

static jl_status open_view(const jl_run *run, const jl_settings *instruments, view **result) {
    size_t count;
    jl_run_jars(run, &count);
    view *v = calloc(1, sizeof *v);
    if (v != NULL) v->jars = calloc(count + 1, sizeof *v->jars); /* one may be missing */
    jl_status status = v == NULL || v->jars == NULL ? JL_MEMORY : JL_OK;
    if (status == JL_OK) {
        v->run = jl_run_learning(run, instruments, v->jars);
        v->widths = jl_run_widths(&run, 1, instruments);
        status = jl_run_still(run, &v->widths, &v->still);
    }
    if (status == JL_OK)
        *result = v;
    else
        close_view(v);
    return status;
}

/* ---- What may be wrong ---- */

/* A jar that was not written down, in its place. */
static void put_in(view *v, size_t place, double volume_l) {
    jl_learning_jar *jars = v->jars;
    for (size_t k = v->run.count++; k > place; k--) jars[k] = jars[k - 1];
    jars[place] = (jl_learning_jar){.volume_l = volume_l,
                                    .volume_u_l = volume_l / 4,
                                    .strength_pct = NAN,
                                    .boiler_c = NAN,
                                    .head_c = NAN,
                                    .full_s = NAN};
}

static double mean_jar_l(const jl_learning_run *run) {
    double sum = 0;
    for (size_t k = 0; k < run->count; k++) sum += run->jars[k].volume_l;
    return sum / (double)run->count;
}

/* As if that were right. *again: whether the jars are others than were looked at. */
static void amend(view *v, const jl_diagnosis *d, bool *again) {
    const jl_suspicion *of = &d->of[d->cause];
    jl_learning_run *run = &v->run;
    bool slip = d->cause == JL_CAUSE_SLIP && of->jar_told;
    bool missing = d->cause == JL_CAUSE_MISSING && of->jar_told;
    bool charge = d->cause == JL_CAUSE_CHARGE, readings = d->cause == JL_CAUSE_READINGS;
    if (slip) v->jars[of->jar].strength_pct = NAN;
    if (missing) put_in(v, of->jar, d->missing_jars * mean_jar_l(run));
    if (d->cause == JL_CAUSE_PAUSE && of->jar_told) v->jars[of->jar].paused = true;
    if (charge) {
        run->charge_share_u = hypot(run->charge_share_u, JL_CHARGE_WRONG_U);
        run->charge_strength_u_pct =
            hypot(run->charge_strength_u_pct, JL_CHARGE_WRONG_U * run->charge_strength_pct);
    }
    if (readings) run->readings_u_pct = JL_READINGS_WRONG_U_PCT;
    if (readings) run->other_instrument = true; /* the charge's is not off */
    *again = slip || missing || charge || readings;
}

jl_status jl_run_suspect(const jl_run *run, const jl_settings *instruments,
                         jl_diagnosis *diagnosis) {
    view *v;
    if (!jl_run_rest_possible(run)) return JL_MISSING;
    jl_status status = open_view(run, instruments, &v);
    if (status != JL_OK) return status;
    status = jl_run_diagnose(&v->run, &v->still, &v->widths, diagnosis);
    close_view(v);
    return status;
}

/* ---- What is to come ---- */

static void plan_of(const jl_run *run, const jl_learning_run *logged, size_t next_count,
                    jl_outlook *o) {
    const jl_settings *s = jl_run_settings(run);
    jl_run_ends(run, &o->hearts_end, &o->stop);
    o->plan = jl_ahead_to(&o->hearts_end, &o->stop);
    o->plan.jar_l = jl_is_stated(s, JL_KEY_JAR) ? jl_setting_value(s, JL_KEY_JAR)
                                                : logged->jars[logged->count - 1].volume_l;
    o->plan.jar_count = next_count;
}

static void know_from(const jl_learnt_still *still, jl_outlook *o) {
    o->still_from = JL_STILL_SAID;
    if (still->any_share) o->still_from = JL_STILL_UNKNOWN;
    if (still->runs > 0) o->still_from = JL_STILL_LEARNT;
    o->share_said_u = o->still_from == JL_STILL_SAID
                          ? sqrt(still->of[0].covariance[JL_LEARNT_SHARE][JL_LEARNT_SHARE])
                          : NAN;
}

static jl_estimate at(double from_s, jl_estimate s) {
    return (jl_estimate){from_s + s.value, from_s + s.low, from_s + s.high};
}

/* On from the last moment, or from when the run went on after a stop behind it. */
static void set_clock(const jl_run *run, jl_outlook *o) {
    const jl_ahead *a = &o->ahead;
    const jl_time any = {INT64_MAX, 0};
    double from_s = a->from_s;
    const jl_estimate none = {NAN, NAN, NAN};
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    for (size_t i = 0; i < count; i++)
        if (jars[i].has_time) o->from = jars[i].time;
    if (!isnan(from_s) && jl_run_resumed(run, o->from, any, &o->from))
        from_s = (double)o->from.unix_s;
    o->clock = !isnan(a->from_s) && !isnan(a->stop_s.value);
    o->hearts_end_at = o->clock && !a->hearts_past ? at(from_s, a->hearts_s) : none;
    o->stop_at = o->clock && !a->stop_past ? at(from_s, a->stop_s) : none;
}

/* What was found wrong is not built upon; the rest comes from the same look, if it still holds. */
static jl_status look_on(view *v, jl_look *look, jl_points *points, jl_points *others,
                         jl_estimate *next_pct, jl_outlook *o) {
    const jl_diagnosis *d = &o->diagnosis;
    /* A charge that may be off is one of which a first jar is missing, too. */
    bool wrong = d->cause != JL_CAUSE_NONE && (!d->alike || d->cause == JL_CAUSE_CHARGE);
    bool again = false;
    jl_status status = JL_OK;
    if (wrong) amend(v, d, &again);
    if (again) {
        jl_points_free(points);
        status = jl_look_again(look);
        if (status == JL_OK) status = jl_points_of(&v->still, look, points);
    }
    if (status != JL_OK) return status;
    bool other = wrong && d->cause == JL_CAUSE_STILL;
    return jl_look_ahead(look, &o->plan, other ? others : points, next_pct, &o->ahead);
}

static jl_status look_at(view *v, jl_estimate *next_pct, jl_outlook *o) {
    jl_look *look = NULL;
    jl_learnt_still unknown;
    jl_points points = {&v->still, NULL, 0}, others = {&unknown, NULL, 0};
    jl_status status = jl_ahead_check(&v->run, &v->still, &v->widths, &o->plan);
    if (status == JL_OK) status = jl_look_open(&v->run, &v->widths, &look);
    if (status == JL_OK) status = jl_points_of(&v->still, look, &points);
    if (status == JL_OK) status = jl_look_diagnose(look, &points, &unknown, &others, &o->diagnosis);
    if (status == JL_OK) status = look_on(v, look, &points, &others, next_pct, o);
    jl_points_free(&points);
    jl_points_free(&others);
    jl_look_close(look);
    return status;
}

jl_status jl_run_rest(const jl_run *run, const jl_settings *instruments, size_t next_count,
                      jl_estimate *next_pct, jl_outlook *outlook) {
    view *v;
    jl_outlook o = {.clock = false};
    if (!jl_run_rest_possible(run)) return JL_MISSING;
    jl_status status = open_view(run, instruments, &v);
    if (status != JL_OK) return status;
    plan_of(run, &v->run, next_count, &o);
    know_from(&v->still, &o);
    status = look_at(v, next_pct, &o);
    close_view(v);
    if (status != JL_OK) return status;
    set_clock(run, &o);
    for (size_t i = 0; i < next_count; i++)
        if (!(next_pct[i].value > 0)) next_pct[i] = (jl_estimate){NAN, NAN, NAN};
    *outlook = o;
    return JL_OK;
}

static bool is_other_still(const view *v, size_t jars) {
    jl_diagnosis d;
    jl_learning_run first = v->run;
    first.count = jars;
    return jl_run_diagnose(&first, &v->still, &v->widths, &d) == JL_OK && d.flagged &&
           d.cause == JL_CAUSE_STILL;
}

/* More jars tell more: the fewest are found by halving. */
jl_status jl_run_other_still(const jl_run *run, const jl_settings *instruments, size_t *place) {
    view *v;
    if (!jl_run_rest_possible(run)) return JL_MISSING;
    jl_status status = open_view(run, instruments, &v);
    if (status != JL_OK) return status;
    size_t low = 0, high = v->run.count;
    bool other = is_other_still(v, high);
    while (other && high - low > 1) {
        size_t middle = (low + high) / 2;
        *(is_other_still(v, middle) ? &high : &low) = middle;
    }
    if (other) *place = high - 1;
    close_view(v);
    return other ? JL_OK : JL_NO;
}

/* ---- What was to be expected before the first jar ---- */

/* A still of which nothing is said has the usual stages, as in every forecast. */
static jl_status take_usual_still(const jl_run *run, view *v) {
    const jl_still usual = jl_settings_to_still(jl_run_settings(run));
    if (!v->still.any_share || v->still.runs > 0) return JL_OK;
    return jl_still_said(usual.stages, 0, 0, &v->widths, usual.efficiency_share, &v->still);
}

jl_status jl_run_expected_slices(const jl_run *run, const jl_settings *instruments, size_t count,
                                 jl_estimate *pct, double *slice_l) {
    view *v;
    jl_spout_end hearts_end, stop;
    jl_ahead ahead;
    if (!has_charge(run)) return JL_MISSING;
    jl_status status = open_view(run, instruments, &v);
    if (status != JL_OK) return status;
    v->run.count = 0;
    jl_run_ends(run, &hearts_end, &stop);
    jl_ahead_plan plan = jl_ahead_to(&hearts_end, &stop);
    plan.jar_l = 1;
    status = take_usual_still(run, v);
    if (status == JL_OK) status = jl_run_ahead(&v->run, &v->still, &v->widths, &plan, NULL, &ahead);
    if (status == JL_OK && !(ahead.stop_l.value > 0)) status = JL_NO;
    if (status == JL_OK) {
        plan.jar_l = ahead.stop_l.value / (double)count;
        plan.jar_count = count;
        status = jl_run_ahead(&v->run, &v->still, &v->widths, &plan, pct, &ahead);
    }
    if (status == JL_OK) *slice_l = plan.jar_l;
    close_view(v);
    return status;
}
