/* A still learnt from its runs.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn/runfit.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { JARS_LEAST = 3 };

/* ---- A run that does not belong ---- */

/* A chance below this, shared among the runs, is no chance. */
static const double NO_CHANCE = 1e-4;

static size_t worst_of(const jl_learning *l, const jl_fitted *f) {
    size_t worst = 0;
    double most = -1;
    for (size_t i = 0; i < l->count; i++) {
        double each = jl_run_squares(l, f, i) / (double)jl_run_figures(&l->runs[l->which[i]]);
        if (each > most) worst = i;
        most = fmax(each, most);
    }
    return worst;
}

/* Squares of one run on a still as the others tell it; only its charge is sought. */
static jl_status judge(const jl_learning *l, size_t run, const jl_fitted *others, double *squares,
                       jl_fitted *own) {
    jl_learning one = *l;
    one.which = &run;
    one.count = 1;
    jl_common_uncertainty uncertainty = *l->uncertainty;
    one.uncertainty = &uncertainty;
    jl_still_guess guess = {others->values[JL_STAGES], others->values[JL_REFLUX],
                            others->values[JL_EFFICIENCY], true, true};
    jl_parameter parameters[JL_OF_STILL + JL_OF_RUN];
    jl_learning_parameters(&one, &guess, parameters);
    parameters[JL_EFFICIENCY].value = others->values[JL_EFFICIENCY];
    parameters[JL_EFFICIENCY].held = true;
    parameters[JL_READING].value = others->values[JL_READING];
    parameters[JL_READING].held = true;
    const jl_fit_problem problem = {jl_learning_residuals, &one, parameters,
                                    JL_OF_STILL + JL_OF_RUN, jl_run_rows(&l->runs[run])};
    jl_status status = jl_fitted_alloc(&problem, own);
    if (status != JL_OK) return status;
    one.stages = NAN;
    status = jl_fit(&problem, own);
    if (status == JL_OK) *squares = jl_run_squares(&one, own, 0);
    if (status != JL_OK) jl_fitted_free(own);
    return status;
}

static void leave_out(size_t *which, size_t *count, size_t place) {
    memmove(which + place, which + place + 1, (*count - place - 1) * sizeof *which);
    --*count;
}

/* Takes the worst run out when the others would not have it. *fitted becomes the fit without it.
 * *out: the run, or SIZE_MAX. */
static jl_status try_without_worst(jl_learning *l, size_t *which, const jl_still_guess *guess,
                                   jl_fitted *fitted, size_t *out) {
    jl_fitted others, own;
    size_t kept[1], place = worst_of(l, fitted), before = l->count;
    double squares = 0;
    kept[0] = which[place];
    *out = SIZE_MAX;
    leave_out(which, &l->count, place);
    jl_status status = jl_fit_runs(l, guess, &others);
    if (status == JL_OK) {
        status = judge(l, kept[0], &others, &squares, &own);
        if (status == JL_OK) jl_fitted_free(&own);
        double usual = fmax(1, others.chi_squared / (double)jl_fit_freedom(l, &others));
        double most = gsl_cdf_chisq_Qinv(NO_CHANCE / (double)before,
                                         (double)jl_run_figures(&l->runs[kept[0]]));
        if (status == JL_OK && squares > most * usual) {
            jl_fitted_free(fitted);
            *fitted = others;
            *out = kept[0];
            return JL_OK;
        }
        jl_fitted_free(&others);
    }
    memmove(which + place + 1, which + place, (l->count - place) * sizeof *which);
    which[place] = kept[0];
    l->count = before;
    return status;
}

/* ---- Results ---- */

static jl_learnt learnt_of(const jl_fitted *f, int k, double wider, double least, double most) {
    double u = f->standard[k] * wider, value = f->values[k];
    if (f->held[k]) return (jl_learnt){value, 0, value, value, false};
    return (jl_learnt){value, u, fmax(value - JL_COVERAGE_K * u, least),
                       fmin(value + JL_COVERAGE_K * u, most), true};
}

static void keep_run(const jl_learning *l, const jl_path *path, const jl_fitted *f, size_t i,
                     jl_run_fit *fit) {
    const jl_logged_run *run = &l->runs[l->which[i]];
    const double *own = f->values + JL_OF_STILL + JL_OF_RUN * i;
    jl_course course;
    fit->residual = sqrt(jl_run_squares(l, f, i) / (double)jl_run_figures(run));
    fit->charge_l = run->charge_l * (1 + own[JL_CHARGE_SHARE]);
    fit->charge_pct = run->charge_strength_pct + own[JL_CHARGE_PCT];
    if (fit->strength_pct == NULL) return;
    for (size_t k = 0; k < run->count; k++) fit->strength_pct[k] = NAN;
    if (jl_course_begin(path, fit->charge_l, fit->charge_pct, &course) != JL_OK) return;
    jl_place from = course.begin;
    double volume_l = 0;
    for (size_t k = 0; k < run->count; k++) {
        volume_l += run->jars[k].volume_l;
        jl_place to = jl_course_at(&course, volume_l);
        fit->strength_pct[k] = jl_course_strength_pct(&course, &from, &to) + f->values[JL_READING];
        from = to;
    }
}

static void keep_still(const jl_learning *l, const jl_fitted *f, jl_calibration *c) {
    size_t freedom = jl_fit_freedom(l, f);
    double ratio = f->chi_squared / (double)freedom;
    c->figures = freedom;
    c->residual = sqrt(ratio);
    c->widened = f->chi_squared > gsl_cdf_chisq_Pinv(0.95, (double)freedom);
    double wider = c->widened ? c->residual : 1;
    c->stages = learnt_of(f, JL_STAGES, wider, 1, JL_STAGES_MOST);
    c->reflux_share = learnt_of(f, JL_REFLUX, wider, 0, JL_REFLUX_SHARE_MOST);
    c->efficiency = learnt_of(f, JL_EFFICIENCY, wider, 0.05, 1);
}

/* Each run on the still as it came out; one that was left out too, so that its reader sees why. */
static jl_status keep_all(jl_learning *l, const jl_fitted *f, size_t count, jl_run_fit *fits,
                          jl_calibration *c) {
    keep_still(l, f, c);
    jl_status status = jl_draw_paths(l, f->values[JL_STAGES], f->values[JL_REFLUX], false);
    for (size_t i = 0; i < count; i++) fits[i].left_out = true;
    for (size_t i = 0; status == JL_OK && i < l->count; i++) {
        fits[l->which[i]].left_out = false;
        keep_run(l, jl_air_of(l, &l->runs[l->which[i]])->path, f, i, &fits[l->which[i]]);
    }
    c->runs_left_out = count - l->count;
    for (size_t i = 0; status == JL_OK && i < count; i++) {
        jl_fitted own;
        double squares;
        if (!fits[i].left_out) continue;
        status = judge(l, i, f, &squares, &own);
        if (status != JL_OK) return status;
        jl_learning one = *l;
        one.which = &i;
        one.count = 1;
        keep_run(&one, jl_air_of(l, &l->runs[i])->path, &own, 0, &fits[i]);
        jl_fitted_free(&own);
    }
    return status;
}

/* ---- The whole ---- */

static jl_status check_run(const jl_logged_run *run) {
    if (run->count < JARS_LEAST) return JL_MISSING;
    if (!(run->charge_l > 0 && run->charge_strength_pct > 0 && run->charge_strength_pct < 95))
        return JL_RANGE;
    if (!(run->pressure_kpa >= JL_PRESSURE_MIN_KPA && run->pressure_kpa <= JL_PRESSURE_MAX_KPA))
        return JL_RANGE;
    if (isfinite(run->power_w) && !(run->power_w > 0)) return JL_RANGE;
    if (!(run->loss_w >= 0 && run->boiler_heat_j_k >= 0)) return JL_RANGE;
    for (size_t i = 0; i < run->count; i++) {
        const jl_logged_jar *jar = &run->jars[i];
        if (!(jar->volume_l > 0 && jar->strength_pct >= 0 && jar->strength_pct <= 100 &&
              jar->strength_u_pct > 0 && isfinite(jar->strength_u_pct)))
            return JL_RANGE;
    }
    return JL_OK;
}

static jl_status check_all(const jl_logged_run *runs, size_t count,
                           const jl_common_uncertainty *uncertainty, const jl_still_guess *guess) {
    if (count == 0) return JL_MISSING;
    if (!(uncertainty->strength_pct > 0 && uncertainty->charge_share > 0 &&
          uncertainty->charge_pct > 0 && uncertainty->time_s > 0))
        return JL_RANGE;
    if (!(guess->stages >= 1 && guess->stages <= JL_STAGES_MOST && guess->reflux_share >= 0 &&
          guess->reflux_share <= JL_REFLUX_SHARE_MOST && guess->efficiency >= 0.05 &&
          guess->efficiency <= 1))
        return JL_RANGE;
    for (size_t i = 0; i < count; i++) {
        jl_status status = check_run(&runs[i]);
        if (status != JL_OK) return status;
    }
    return JL_OK;
}

/* One outlier after another, as long as three or more runs are left to judge by. */
static jl_status fit_what_belongs(jl_learning *l, size_t *which, const jl_still_guess *guess,
                                  jl_fitted *fitted) {
    size_t out = 0;
    jl_status status = jl_fit_runs(l, guess, fitted);
    if (status != JL_OK) return status;
    while (l->count >= 3 && out != SIZE_MAX) {
        status = try_without_worst(l, which, guess, fitted, &out);
        if (status == JL_OK) continue;
        jl_fitted_free(fitted);
        return status;
    }
    return JL_OK;
}

jl_status jl_calibrate(const jl_logged_run *runs, size_t count,
                       const jl_common_uncertainty *uncertainty, const jl_still_guess *guess,
                       jl_progress *progress, void *progress_with, jl_run_fit *fits,
                       jl_calibration *calibration) {
    jl_status status = check_all(runs, count, uncertainty, guess);
    if (status != JL_OK) return status;
    size_t *which = calloc(count, sizeof *which);
    jl_learning l = {.runs = runs,
                     .which = which,
                     .count = count,
                     .uncertainty = uncertainty,
                     .efficiency = guess->efficiency,
                     .progress = progress,
                     .progress_with = progress_with};
    jl_fitted fitted;
    l.airs = calloc(count, sizeof *l.airs);
    status = which == NULL || l.airs == NULL ? JL_MEMORY : jl_open_airs(&l, count);
    for (size_t i = 0; status == JL_OK && i < count; i++) which[i] = i;
    if (status == JL_OK) status = fit_what_belongs(&l, which, guess, &fitted);
    if (status == JL_OK) {
        bool told =
            !fitted.held[JL_STAGES] || !fitted.held[JL_REFLUX] || !fitted.held[JL_EFFICIENCY];
        bool asked = !guess->stages_held || !guess->reflux_held;
        jl_calibration c;
        status = asked && !told ? JL_NO : keep_all(&l, &fitted, count, fits, &c);
        if (status == JL_OK) *calibration = c;
        jl_fitted_free(&fitted);
    }
    jl_close_airs(&l);
    free(which);
    return status;
}
