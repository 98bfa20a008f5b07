/* A still from the records of its runs, with all that is to be said and written down of it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn/calibrate.h"
#include "learn/ahead.h"
#include "learn/learnt.h"
#include "learn/model.h"
#include "run/run.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdlib.h>

enum { JARS_LEAST = 3 };

/* ---- What can be learnt from ---- */

/* Jars no further apart than their own uncertainty have no shape that a still could be read from. */
static bool all_alike(const jl_learning_run *run) {
    double least = INFINITY, most = -INFINITY;
    for (size_t i = 0; i < run->count; i++) {
        least = fmin(least, run->jars[i].strength_pct);
        most = fmax(most, run->jars[i].strength_pct);
    }
    return run->count > 0 && most - least < 3 * run->jars[0].strength_u_pct;
}

static jl_status check(const jl_learning_run *run) {
    if (isnan(run->charge_l) || run->count < JARS_LEAST) return JL_MISSING;
    if (all_alike(run)) return JL_NO;
    return jl_learning_run_check(run, JARS_LEAST);
}

/* ---- Reading ---- */

static jl_status take_run(const jl_calibrating *of, size_t i, jl_learning_run *taken,
                          jl_calibration *c) {
    size_t count;
    jl_run_jars(of->runs[i], &count);
    jl_learning_jar *jars = calloc(count + 1, sizeof *jars);
    c->each[i].strength_pct = calloc(count + 1, sizeof(double));
    if (jars == NULL || c->each[i].strength_pct == NULL) {
        free(jars);
        return JL_MEMORY;
    }
    *taken = jl_run_learning(of->runs[i], of->instruments, jars);
    return check(taken);
}

static void free_taken(const jl_learning_run *taken, size_t count) {
    for (size_t i = 0; i < count; i++) free((void *)taken[i].jars);
}

/* ---- What may be wrong with a run ---- */

/* So many are all looked at closely, of more those whose jars fit worse than this, in units of their
 * uncertainty. */
enum { ALL_LOOKED_AT = 5, JARS_MOST = 200 };
static const double FITS_BADLY = 1.2;

static bool is_looked_at(const jl_calibrating *of, const jl_learning_run *run,
                         const jl_learnt_run *each) {
    if (run->count > JARS_MOST) return false;
    return of->count <= ALL_LOOKED_AT || each->counted_down || each->residual > FITS_BADLY;
}

/* A run that the still was learnt from alone is looked at as one of a still not known. */
static jl_status suspect(const jl_calibrating *of, const jl_learning_run *taken,
                         jl_calibration *c) {
    jl_learnt_still *unknown = malloc(sizeof *unknown);
    jl_status status = unknown == NULL ? JL_MEMORY : JL_OK;
    if (status == JL_OK) status = jl_still_unknown(&c->widths, of->told.efficiency, unknown);
    const jl_learnt_still *still = of->count == 1 ? unknown : &c->still;
    for (size_t i = 0; status == JL_OK && i < of->count; i++)
        if (is_looked_at(of, &taken[i], &c->each[i]))
            status = jl_run_diagnose(&taken[i], still, &c->widths, &c->suspicions[i]);
    free(unknown);
    return status;
}

/* ---- Balances ---- */

/* What a balance leaves of the alcohol charged. */
static double not_recovered(const jl_recovery *r) {
    return r->charge_stated && r->left_stated ? r->missing_l / jl_pure_alcohol_l(r->charge) : NAN;
}

/* Mean of the runs that belong. It is as sure as they scatter, or as they are measured, and as both
 * vessels, which all of them have in common. */
static void balance(const jl_calibrating *of, const jl_learning_run *taken, jl_calibration *c) {
    double sum = 0, squares = 0, own = 0;
    for (size_t i = 0; i < of->count; i++) {
        double share = not_recovered(jl_run_recovery(of->runs[i]));
        if (isnan(share) || c->each[i].counted_down) continue;
        double u = hypot(taken[i].charge_share_u,
                         taken[i].charge_strength_u_pct / taken[i].charge_strength_pct);
        c->balances++;
        sum += share;
        squares += share * share;
        own += u * u;
    }
    double n = (double)c->balances, mean = sum / n;
    double scatter = n > 1 ? fmax(squares - n * mean * mean, 0) / (n - 1) : 0;
    double t = n > 1 ? gsl_cdf_tdist_Pinv(0.975, n - 1) / JL_COVERAGE_K : 1;
    double of_runs = fmax(t * t * scatter, own / n) / n;
    c->not_recovered = (jl_uncertainty){mean, sqrt(of_runs + c->widths.scale * c->widths.scale)};
}

/* ---- The next run ---- */

/* One like the last, on this still and on one of which nothing is known. */
static jl_status look_ahead(const jl_calibrating *of, const jl_learning_run *last,
                            jl_calibration *c) {
    jl_learnt_still unknown;
    jl_learning_run next = *last;
    jl_spout_end hearts, stop;
    next.count = 0;
    jl_run_ends(of->runs[of->count - 1], &hearts, &stop);
    c->next = jl_ahead_to(&hearts, &stop);
    c->next.jar_l = 1;
    jl_status status = jl_run_ahead(&next, &c->still, &c->widths, &c->next, NULL, &c->ahead);
    if (status == JL_OK) status = jl_still_unknown(&c->widths, of->told.efficiency, &unknown);
    if (status == JL_OK)
        status = jl_run_ahead(&next, &unknown, &c->widths, &c->next, NULL, &c->ahead_unknown);
    return status;
}

/* ---- The whole ---- */

static jl_status learn(const jl_calibrating *of, const jl_learning_run *taken, jl_calibration *c) {
    c->widths = jl_run_widths(of->runs, of->count, of->instruments);
    jl_status status = jl_learn_still(taken, of->count, &c->widths, &of->told, of->progress,
                                      of->progress_with, c->each, &c->still);
    if (status == JL_OK) status = jl_learnt_summarize(&c->still, &c->summary);
    if (status == JL_OK) status = look_ahead(of, &taken[of->count - 1], c);
    for (size_t i = 0; i < of->count; i++) c->counted_down += c->each[i].counted_down ? 1 : 0;
    balance(of, taken, c);
    if (status == JL_OK) status = suspect(of, taken, c);
    return status;
}

jl_status jl_calibrate(const jl_calibrating *of, size_t *fault, jl_calibration **calibration) {
    *fault = of->count;
    if (of->count == 0) return JL_MISSING;
    if (of->count > JL_CALIBRATE_RUNS_MOST) return JL_TOO_LONG;
    jl_calibration *c = calloc(1, sizeof *c);
    jl_learning_run *taken = calloc(of->count, sizeof *taken);
    jl_status status = c == NULL || taken == NULL ? JL_MEMORY : JL_OK;
    if (status == JL_OK) {
        c->each = calloc(of->count, sizeof *c->each);
        c->suspicions = calloc(of->count, sizeof *c->suspicions);
        if (c->each == NULL || c->suspicions == NULL) status = JL_MEMORY;
    }
    for (size_t i = 0; status == JL_OK && i < of->count; i++) {
        c->count = i + 1;
        status = take_run(of, i, &taken[i], c);
        if (status != JL_OK) *fault = i;
    }
    if (status == JL_OK) status = learn(of, taken, c);
    if (taken != NULL) free_taken(taken, of->count);
    free(taken);
    if (status == JL_OK)
        *calibration = c;
    else
        jl_calibration_free(c);
    return status;
}

void jl_calibration_free(jl_calibration *c) {
    if (c == NULL) return;
    for (size_t i = 0; i < c->count; i++) free(c->each[i].strength_pct);
    free(c->each);
    free(c->suspicions);
    free(c);
}

/* ---- What the still's file has beside ---- */

/* Of the runs that belong. */
jl_stated jl_runs_state(const jl_calibrating *of, const jl_calibration *c, jl_key_id id) {
    jl_stated all = {0};
    for (size_t i = 0; i < of->count; i++) {
        const jl_settings *s = jl_run_settings(of->runs[i]);
        if (c->each[i].counted_down) continue;
        all.runs++;
        if (!jl_is_stated(s, id)) continue;
        all.stating++;
        if (all.first == NULL) all.first = s;
        all.differ = all.differ || !jl_same_setting(all.first, s, id);
    }
    return all;
}

static bool is_learnt(const jl_calibration *c, jl_key_id id) {
    bool heating = id == JL_KEY_EFFICIENCY || id == JL_KEY_EFFICIENCY_U;
    bool balanced = id == JL_KEY_NOT_RECOVERED || id == JL_KEY_NOT_RECOVERED_U;
    return balanced || id == JL_KEY_STAGES || id == JL_KEY_REFLUX || id == JL_KEY_REFLUX_SHARE_U ||
           (heating && c->summary.efficiency_told);
}

/* One reflux was sought, whatever schedule the logs have. */
bool jl_calibration_carries(const jl_calibration *c, jl_key_id id) {
    return (jl_keys[id].where & JL_IN_STILL) != 0 && (jl_keys[id].where & JL_IN_RUN) != 0 &&
           jl_keys[id].form != JL_AS_TEXT && id != JL_KEY_REFLUX_SCHEDULE && !is_learnt(c, id);
}

static double to_digits(double value, int digits) {
    if (value == 0) return 0;
    double unit = pow(10, digits - 1 - floor(log10(fabs(value))));
    return round(value * unit) / unit;
}

static void put(jl_settings *s, jl_key_id id, double value, int digits) {
    const jl_fact_key *key = &jl_keys[id].fact;
    value = fmin(fmax(to_digits(value, digits), key->least), key->most);
    jl_settings_number(s, id, value, JL_FROM_LOG, NULL);
}

/* The most likely stages with their share, for what follows one still jar by jar. */
static void put_learnt(jl_settings *s, const jl_calibration *c) {
    const jl_learnt_stages *best = jl_learnt_best(&c->still);
    double share = fmin(fmax(best->mean[JL_LEARNT_SHARE], 0), JL_SHARE_END), shift;
    const jl_still_known known = jl_learnt_known(&c->still, &shift);
    double all_u = hypot(known.reflux_share_u, known.share_per_vapour * known.vapour_u);
    put(s, JL_KEY_STAGES, best->stages, 4);
    put(s, JL_KEY_REFLUX, share / (1 - share), 4);
    if (best->stages > 1) put(s, JL_KEY_REFLUX_SHARE_U, all_u, 3);
    if (c->balances > 0) {
        put(s, JL_KEY_NOT_RECOVERED, c->not_recovered.value, 3);
        put(s, JL_KEY_NOT_RECOVERED_U, c->not_recovered.standard, 2);
    }
    if (!c->summary.efficiency_told) return;
    put(s, JL_KEY_EFFICIENCY, c->summary.efficiency.value, 4);
    put(s, JL_KEY_EFFICIENCY_U, known.efficiency_u, 3);
}

void jl_calibration_settings(const jl_calibrating *of, const jl_calibration *c, jl_settings *s) {
    jl_settings_begin(s);
    for (jl_key_id id = 0; id < JL_KEYS; id++) {
        const jl_stated all = jl_runs_state(of, c, id);
        if (jl_calibration_carries(c, id) && all.stating > 0 && !all.differ)
            s->of[id] = all.first->of[id];
    }
    put_learnt(s, c);
}
