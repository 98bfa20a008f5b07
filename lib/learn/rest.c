/* The rest of a record's run, and what may be wrong with it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "run/run.h"

#include <math.h>
#include <stdlib.h>

/* A record as it is looked at. */
typedef struct view {
    jl_learning_run run;
    jl_learning_jar *jars;
    jl_learning_widths widths;
    jl_learnt_still still;
} view;

bool jl_run_rest_possible(const jl_run *run) {
    size_t count;
    const jl_recovery *r = jl_run_recovery(run);
    double pct = r->charge_stated ? jl_spirit_strength_pct(r->charge) : 0;
    jl_run_jars(run, &count);
    return count > 0 && pct > 0.5 && pct < 90 &&
           jl_volume_l(r->collected, JL_STRENGTH_C) < jl_volume_l(r->charge, JL_STRENGTH_C);
}

static void close_view(view *v) {
    if (v != NULL) free(v->jars);
    free(v);
}

static jl_status open_view(const jl_run *run, const jl_settings *instruments, view **result) {
    size_t count;
    if (!jl_run_rest_possible(run)) return JL_MISSING;
    jl_run_jars(run, &count);
    view *v = calloc(1, sizeof *v);
    if (v != NULL) v->jars = calloc(count, sizeof *v->jars);
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

/* ---- What is to come ---- */

static void plan_of(const jl_run *run, const jl_learning_run *logged, size_t next_count,
                    jl_outlook *o) {
    const jl_settings *s = jl_run_settings(run);
    jl_run_ends(run, &o->hearts_end, &o->stop);
    o->plan = (jl_ahead_plan){.hearts_end_pct = fmin(fmax(o->hearts_end.strength_pct, 0.1), 100),
                              .stop_pct = fmin(fmax(o->stop.strength_pct, 0.1), 100),
                              .jar_l = jl_is_stated(s, JL_KEY_JAR)
                                           ? jl_setting_value(s, JL_KEY_JAR)
                                           : logged->jars[logged->count - 1].volume_l,
                              .jar_count = next_count};
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

static void set_clock(const jl_run *run, jl_outlook *o) {
    const jl_ahead *a = &o->ahead;
    const jl_estimate none = {NAN, NAN, NAN};
    size_t count;
    const jl_jar *jars = jl_run_jars(run, &count);
    for (size_t i = 0; i < count; i++)
        if (jars[i].has_time) o->from = jars[i].time;
    o->clock = !isnan(a->from_s) && !isnan(a->stop_s.value);
    o->hearts_end_at = o->clock && !a->hearts_past ? at(a->from_s, a->hearts_s) : none;
    o->stop_at = o->clock && !a->stop_past ? at(a->from_s, a->stop_s) : none;
}

jl_status jl_run_rest(const jl_run *run, const jl_settings *instruments, size_t next_count,
                      jl_estimate *next_pct, jl_outlook *outlook) {
    view *v;
    jl_outlook o = {.clock = false};
    jl_status status = open_view(run, instruments, &v);
    if (status != JL_OK) return status;
    plan_of(run, &v->run, next_count, &o);
    know_from(&v->still, &o);
    status = jl_run_ahead(&v->run, &v->still, &v->widths, &o.plan, next_pct, &o.ahead);
    close_view(v);
    if (status != JL_OK) return status;
    set_clock(run, &o);
    for (size_t i = 0; i < next_count; i++)
        if (!(next_pct[i].value > 0)) next_pct[i] = (jl_estimate){NAN, NAN, NAN};
    *outlook = o;
    return JL_OK;
}

/* ---- What may be wrong ---- */

jl_status jl_run_suspect(const jl_run *run, const jl_settings *instruments,
                         jl_diagnosis *diagnosis) {
    view *v;
    jl_status status = open_view(run, instruments, &v);
    if (status != JL_OK) return status;
    status = jl_run_diagnose(&v->run, &v->still, &v->widths, diagnosis);
    close_view(v);
    return status;
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
