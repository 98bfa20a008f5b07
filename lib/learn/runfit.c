/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn/runfit.h"

#include <math.h>
#include <stdlib.h>

/* How well an efficiency is guessed, as a standard uncertainty: common practice, no source. Without
 * it the share that runs back and the heat that is lost could stand for each other without end. */
static const double EFFICIENCY_U = 0.15;

/* ---- Paths ---- */

/* The place of a pressure's air, or of the next air where it has none. */
static size_t place_of_air(const jl_learning *l, double pressure_kpa) {
    size_t at = 0;
    while (at < l->air_count && l->airs[at].pressure_kpa != pressure_kpa) at++;
    return at;
}

/* The path begins above the strongest charge that the search may try. */
jl_status jl_open_airs(jl_learning *l, size_t count) {
    jl_status status = JL_OK;
    l->x_top = 0;
    for (size_t i = 0; i < count; i++) {
        double pct = fmin(l->runs[i].charge_strength_pct + 7 * l->uncertainty->charge_pct, 96);
        l->x_top = fmax(l->x_top, jl_mole_of_strength(pct));
    }
    for (size_t i = 0; status == JL_OK && i < count; i++) {
        size_t at = place_of_air(l, l->runs[i].pressure_kpa);
        if (at < l->air_count) continue;
        jl_air *a = &l->airs[at];
        status = jl_table_fill(l->runs[i].pressure_kpa, 0, true, &a->table);
        a->pressure_kpa = l->runs[i].pressure_kpa;
        if (status == JL_OK) l->air_count++;
    }
    return status;
}

void jl_close_airs(jl_learning *l) {
    for (size_t i = 0; i < l->air_count; i++) {
        jl_path_free(l->airs[i].path);
        jl_path_free(l->airs[i].moved);
    }
    free(l->airs);
}

/* ---- Residuals ---- */

size_t jl_run_rows(const jl_logged_run *run) {
    return 2 * run->count; /* a strength and a moment for each jar */
}

jl_air *jl_air_of(const jl_learning *l, const jl_logged_run *run) {
    return &l->airs[place_of_air(l, run->pressure_kpa)];
}

jl_status jl_draw_paths(jl_learning *l, double stages, double reflux, bool moved) {
    for (size_t i = 0; i < l->air_count; i++) {
        jl_path **path = moved ? &l->airs[i].moved : &l->airs[i].path;
        jl_path_free(*path);
        *path = NULL;
        jl_status status = jl_path_new(&l->airs[i].table, stages, reflux, l->x_top, path);
        if (status != JL_OK) return status;
    }
    return JL_OK;
}

static bool has_times(const jl_logged_run *run) {
    size_t timed = 0;
    for (size_t i = 0; i < run->count; i++) timed += isfinite(run->jars[i].full_s) ? 1 : 0;
    return timed >= 2 && isfinite(run->power_w);
}

/* When the first jar began is not known: moments count from their mean. */
static void take_mean_off(const jl_logged_run *run, double time_u_s, double *late) {
    double sum = 0;
    size_t timed = 0;
    for (size_t i = 0; i < run->count; i++)
        if (isfinite(run->jars[i].full_s)) {
            sum += late[i];
            timed++;
        }
    for (size_t i = 0; i < run->count; i++)
        late[i] = isfinite(run->jars[i].full_s) ? (late[i] - sum / (double)timed) / time_u_s : 0;
}

static jl_status run_residuals(const jl_learning *l, const jl_logged_run *run, const jl_path *path,
                               const double *p, const double *own, double *residuals) {
    jl_course course;
    double *late = residuals + run->count;
    bool timed = has_times(run);
    double net_w = fmax(run->power_w * p[JL_EFFICIENCY] - run->loss_w, 1);
    jl_status status =
        jl_course_begin(path, run->charge_l * (1 + own[JL_CHARGE_SHARE]),
                        fmax(run->charge_strength_pct + own[JL_CHARGE_PCT], 0.01), &course);
    if (status != JL_OK) return status;
    jl_place from = course.begin;
    double volume_l = 0;
    for (size_t i = 0; i < run->count; i++) {
        const jl_logged_jar *jar = &run->jars[i];
        volume_l += jar->volume_l;
        jl_place to = jl_course_at(&course, volume_l);
        double pct = jl_course_strength_pct(&course, &from, &to);
        residuals[i] = (pct + p[JL_READING] - jar->strength_pct) / jar->strength_u_pct;
        double boiled_s = jl_course_heat_j(&course, run->boiler_heat_j_k, &to) / net_w;
        late[i] = timed && isfinite(jar->full_s) ? jar->full_s - boiled_s : 0;
        from = to;
    }
    if (timed) take_mean_off(run, l->uncertainty->time_s, late);
    return JL_OK;
}

static jl_status paths_for(jl_learning *l, const double *p, int changed) {
    bool still = changed == JL_STAGES || changed == JL_REFLUX;
    if (changed != JL_ALL_CHANGED && !still) return JL_OK;
    if (!still && p[JL_STAGES] == l->stages && p[JL_REFLUX] == l->reflux) return JL_OK;
    jl_status status = jl_draw_paths(l, p[JL_STAGES], p[JL_REFLUX], still);
    if (still) return status;
    l->stages = status == JL_OK ? p[JL_STAGES] : NAN;
    l->reflux = p[JL_REFLUX];
    return status;
}

/* How many steps a search will take is not known: what is done nears the whole more and more slowly.
 */
static jl_status tell_progress(jl_learning *l) {
    const double half_way = 60;
    double steps = (double)++l->steps;
    bool on = l->progress == NULL || l->progress(steps / (steps + half_way), l->progress_with);
    return on ? JL_OK : JL_END;
}

jl_status jl_learning_residuals(const double *p, int changed, double *rows, void *with) {
    jl_learning *l = with;
    jl_status status = changed == JL_ALL_CHANGED ? tell_progress(l) : JL_OK;
    if (status == JL_OK) status = paths_for(l, p, changed);
    for (size_t i = 0; status == JL_OK && i < l->count; i++) {
        const jl_logged_run *run = &l->runs[l->which[i]];
        const jl_air *a = jl_air_of(l, run);
        size_t first = JL_OF_STILL + JL_OF_RUN * i;
        bool other = changed >= JL_OF_STILL &&
                     ((size_t)changed < first || (size_t)changed >= first + JL_OF_RUN);
        bool moved = changed == JL_STAGES || changed == JL_REFLUX;
        if (!other) status = run_residuals(l, run, moved ? a->moved : a->path, p, p + first, rows);
        rows += jl_run_rows(run);
    }
    return status;
}

/* ---- One fit of some of the runs ---- */

static bool any_times(const jl_learning *l) {
    for (size_t i = 0; i < l->count; i++)
        if (has_times(&l->runs[l->which[i]])) return true;
    return false;
}

void jl_learning_parameters(const jl_learning *l, const jl_still_guess *guess, jl_parameter *p) {
    const jl_common_uncertainty *d = l->uncertainty;
    p[JL_STAGES] =
        (jl_parameter){guess->stages, INFINITY, 1, JL_STAGES_MOST, 1, guess->stages_held, 0};
    p[JL_REFLUX] = (jl_parameter){guess->reflux_share, INFINITY, 0, JL_REFLUX_SHARE_MOST, 0.1,
                                  guess->reflux_held,  0};
    p[JL_EFFICIENCY] = (jl_parameter){l->efficiency,
                                      EFFICIENCY_U,
                                      0.05,
                                      1,
                                      0.1,
                                      !any_times(l),
                                      guess->efficiency - l->efficiency};
    p[JL_READING] = (jl_parameter){0, d->strength_pct, -20, 20, d->strength_pct, false, 0};
    for (size_t i = 0; i < l->count; i++) {
        jl_parameter *own = p + JL_OF_STILL + JL_OF_RUN * i;
        double pct = l->runs[l->which[i]].charge_strength_pct;
        own[JL_CHARGE_SHARE] =
            (jl_parameter){0, d->charge_share, -0.9, 9, d->charge_share, false, 0};
        own[JL_CHARGE_PCT] =
            (jl_parameter){0, d->charge_pct, -pct, 6 * d->charge_pct, d->charge_pct, false, 0};
    }
}

/* The results stay in *fitted, which the caller frees when this returns JL_OK. */
static jl_status fit_from(jl_learning *l, const jl_still_guess *guess, jl_fitted *fitted) {
    size_t rows = 0, count = JL_OF_STILL + JL_OF_RUN * l->count;
    for (size_t i = 0; i < l->count; i++) rows += jl_run_rows(&l->runs[l->which[i]]);
    jl_parameter *parameters = calloc(count, sizeof *parameters);
    if (parameters == NULL) return JL_MEMORY;
    jl_learning_parameters(l, guess, parameters);
    const jl_fit_problem problem = {jl_learning_residuals, l, parameters, count, rows};
    jl_status status = jl_fitted_alloc(&problem, fitted);
    if (status == JL_OK) {
        l->stages = NAN;
        status = jl_fit(&problem, fitted);
        if (status != JL_OK) jl_fitted_free(fitted);
    }
    free(parameters);
    return status;
}

static jl_still_guess guess_of(const jl_fitted *f) {
    return (jl_still_guess){f->values[JL_STAGES], f->values[JL_REFLUX], f->values[JL_EFFICIENCY],
                            false, false};
}

/* The share is sought with the stages as they are guessed, then at other whole and half numbers:
 * *start becomes the best of these. */
static void seek_start(jl_learning *l, const jl_fitted *guessed, jl_still_guess *start) {
    static const double OTHERS[] = {1.5, 2.5, 8};
    double least = guessed->chi_squared;
    *start = guess_of(guessed);
    for (size_t i = 0; i < sizeof OTHERS / sizeof OTHERS[0]; i++) {
        jl_fitted other;
        jl_still_guess held = *start;
        held.stages = OTHERS[i];
        held.stages_held = true;
        if (fit_from(l, &held, &other) != JL_OK) continue;
        if (other.chi_squared < least) *start = guess_of(&other);
        least = fmin(least, other.chi_squared);
        jl_fitted_free(&other);
    }
}

/* Stages and reflux share trade off, and without reflux or beyond a few stages one of them has no
 * effect at all. So the stages are held first, and both are sought only from the best place found so;
 * both are taken when that fits the jars better by more than chance. */
jl_status jl_fit_runs(jl_learning *l, const jl_still_guess *guess, jl_fitted *fitted) {
    const double ENOUGH = 3.84; /* 95 % of chi squared with one degree of freedom */
    if (guess->stages_held || guess->reflux_held) return fit_from(l, guess, fitted);
    jl_still_guess first = *guess, start;
    jl_fitted both;
    first.stages_held = true;
    jl_status status = fit_from(l, &first, fitted);
    if (status != JL_OK || fitted->held[JL_REFLUX] ||
        fitted->values[JL_REFLUX] < 2 * fitted->standard[JL_REFLUX])
        return status;
    seek_start(l, fitted, &start);
    if (fit_from(l, &start, &both) != JL_OK) return JL_OK;
    bool tells = !both.held[JL_STAGES] && !both.held[JL_REFLUX] &&
                 both.chi_squared < fitted->chi_squared - ENOUGH;
    jl_fitted_free(tells ? fitted : &both);
    if (tells) *fitted = both;
    return JL_OK;
}

/* Measured figures of a run: strengths, and moments less the one they count from. */
size_t jl_run_figures(const jl_logged_run *run) {
    size_t figures = run->count, timed = 0;
    if (!has_times(run)) return figures;
    for (size_t i = 0; i < run->count; i++) timed += isfinite(run->jars[i].full_s) ? 1 : 0;
    return figures + timed - 1;
}

/* Squares of one run, with what its charge departs from what was said of it. */
double jl_run_squares(const jl_learning *l, const jl_fitted *f, size_t i) {
    const double *rows = f->residuals, *own = f->values + JL_OF_STILL + JL_OF_RUN * i;
    double share = own[JL_CHARGE_SHARE] / l->uncertainty->charge_share;
    double pct = own[JL_CHARGE_PCT] / l->uncertainty->charge_pct;
    double squares = share * share + pct * pct;
    for (size_t k = 0; k < i; k++) rows += jl_run_rows(&l->runs[l->which[k]]);
    for (size_t k = 0; k < jl_run_rows(&l->runs[l->which[i]]); k++) squares += rows[k] * rows[k];
    return squares;
}

size_t jl_fit_freedom(const jl_learning *l, const jl_fitted *f) {
    size_t figures = 0, sought = 0;
    for (size_t i = 0; i < l->count; i++) figures += jl_run_figures(&l->runs[l->which[i]]);
    for (int k = 0; k < JL_READING; k++) sought += f->held[k] ? 0 : 1;
    return figures > sought ? figures - sought : 1;
}
