/* A still learnt from its runs.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "course.h"
#include "fit.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* The unknowns: three of the still, one of the alcoholometer, two of each run's charge. */
enum { STAGES, REFLUX, EFFICIENCY, READING, OF_STILL, CHARGE_SHARE = 0, CHARGE_PCT, OF_RUN };
enum { JARS_LEAST = 3 };

static const double REFLUX_MOST = 0.98;
/* How well an efficiency is guessed, as a standard uncertainty: common practice, no source. Without it
 * the share that runs back and the heat that is lost could stand for each other without end. */
static const double EFFICIENCY_U = 0.15;
static const double NORMAL_95 = 1.959964; /* half the width of 95 % in standard uncertainties */

/* Runs at one pressure share a path. */
typedef struct air {
    double pressure_kpa;
    jl_table table;
    jl_path *path, *moved; /* at the last parameters, and at one that differs */
} air;

typedef struct learning {
    const jl_seen_run *runs;
    const size_t *which; /* the runs that have a part, by place */
    size_t count;
    const jl_common_doubt *doubt;
    air *airs;
    size_t air_count;
    double x_top;
    double stages, reflux; /* for which the paths stand */
    double efficiency;     /* as it was guessed */
    jl_progress *progress;
    void *progress_with;
    size_t steps; /* looks at all residuals so far */
} learning;

/* ---- Residuals ---- */

static size_t rows_of(const jl_seen_run *run) {
    return 2 * run->count; /* a strength and a moment for each jar */
}

static air *air_of(const learning *l, const jl_seen_run *run) {
    for (size_t i = 0; i < l->air_count; i++)
        if (l->airs[i].pressure_kpa == run->pressure_kpa) return &l->airs[i];
    return NULL;
}

static jl_status draw_paths(learning *l, double stages, double reflux, bool moved) {
    for (size_t i = 0; i < l->air_count; i++) {
        jl_path **path = moved ? &l->airs[i].moved : &l->airs[i].path;
        jl_path_free(*path);
        *path = NULL;
        jl_status status = jl_path_new(&l->airs[i].table, stages, reflux, l->x_top, path);
        if (status != JL_OK) return status;
    }
    return JL_OK;
}

static bool has_times(const jl_seen_run *run) {
    size_t timed = 0;
    for (size_t i = 0; i < run->count; i++) timed += isfinite(run->jars[i].full_s) ? 1 : 0;
    return timed >= 2 && isfinite(run->power_w);
}

/* When the first jar began is not known: moments count from their mean. */
static void take_mean_off(const jl_seen_run *run, double time_u_s, double *late) {
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

static jl_status run_residuals(const learning *l, const jl_seen_run *run, const jl_path *path,
                               const double *p, const double *own, double *residuals) {
    jl_course course;
    double *late = residuals + run->count;
    bool timed = has_times(run);
    double net_w = fmax(run->power_w * p[EFFICIENCY] - run->loss_w, 1);
    jl_status status =
        jl_course_begin(path, run->charge_l * (1 + own[CHARGE_SHARE]),
                        fmax(run->charge_strength_pct + own[CHARGE_PCT], 0.01), &course);
    if (status != JL_OK) return status;
    jl_place from = course.begin;
    double volume_l = 0;
    for (size_t i = 0; i < run->count; i++) {
        const jl_seen_jar *jar = &run->jars[i];
        volume_l += jar->volume_l;
        jl_place to = jl_course_at(&course, volume_l);
        double pct = jl_course_strength_pct(&course, &from, &to);
        residuals[i] = (pct + p[READING] - jar->strength_pct) / jar->strength_u_pct;
        double boiled_s = jl_course_heat_j(&course, run->boiler_heat_j_k, &to) / net_w;
        late[i] = timed && isfinite(jar->full_s) ? jar->full_s - boiled_s : 0;
        from = to;
    }
    if (timed) take_mean_off(run, l->doubt->time_s, late);
    return JL_OK;
}

static jl_status paths_for(learning *l, const double *p, int changed) {
    bool still = changed == STAGES || changed == REFLUX;
    if (changed != JL_ALL_CHANGED && !still) return JL_OK;
    if (!still && p[STAGES] == l->stages && p[REFLUX] == l->reflux) return JL_OK;
    jl_status status = draw_paths(l, p[STAGES], p[REFLUX], still);
    if (still) return status;
    l->stages = status == JL_OK ? p[STAGES] : NAN;
    l->reflux = p[REFLUX];
    return status;
}

/* How many steps a search will take is not known: what is done nears the whole more and more slowly.
 */
static jl_status tell_progress(learning *l) {
    const double half_way = 60;
    double steps = (double)++l->steps;
    bool on = l->progress == NULL || l->progress(steps / (steps + half_way), l->progress_with);
    return on ? JL_OK : JL_END;
}

static jl_status residuals(const double *p, int changed, double *rows, void *with) {
    learning *l = with;
    jl_status status = changed == JL_ALL_CHANGED ? tell_progress(l) : JL_OK;
    if (status == JL_OK) status = paths_for(l, p, changed);
    for (size_t i = 0; status == JL_OK && i < l->count; i++) {
        const jl_seen_run *run = &l->runs[l->which[i]];
        const air *a = air_of(l, run);
        size_t first = OF_STILL + OF_RUN * i;
        bool other =
            changed >= OF_STILL && ((size_t)changed < first || (size_t)changed >= first + OF_RUN);
        bool moved = changed == STAGES || changed == REFLUX;
        if (!other) status = run_residuals(l, run, moved ? a->moved : a->path, p, p + first, rows);
        rows += rows_of(run);
    }
    return status;
}

/* ---- One fit of some of the runs ---- */

static bool any_times(const learning *l) {
    for (size_t i = 0; i < l->count; i++)
        if (has_times(&l->runs[l->which[i]])) return true;
    return false;
}

static void set_parameters(const learning *l, const jl_still_guess *guess, jl_parameter *p) {
    const jl_common_doubt *d = l->doubt;
    p[STAGES] =
        (jl_parameter){guess->stages, INFINITY, 1, JL_STAGES_MOST, 1, guess->stages_held, 0};
    p[REFLUX] =
        (jl_parameter){guess->reflux_share, INFINITY, 0, REFLUX_MOST, 0.1, guess->reflux_held, 0};
    p[EFFICIENCY] = (jl_parameter){l->efficiency,
                                   EFFICIENCY_U,
                                   0.05,
                                   1,
                                   0.1,
                                   !any_times(l),
                                   guess->efficiency - l->efficiency};
    p[READING] = (jl_parameter){0, d->strength_pct, -20, 20, d->strength_pct, false, 0};
    for (size_t i = 0; i < l->count; i++) {
        jl_parameter *own = p + OF_STILL + OF_RUN * i;
        double pct = l->runs[l->which[i]].charge_strength_pct;
        own[CHARGE_SHARE] = (jl_parameter){0, d->charge_share, -0.9, 9, d->charge_share, false, 0};
        own[CHARGE_PCT] =
            (jl_parameter){0, d->charge_pct, -pct, 6 * d->charge_pct, d->charge_pct, false, 0};
    }
}

/* The results stay in *fitted, which the caller frees when this returns JL_OK. */
static jl_status fit_from(learning *l, const jl_still_guess *guess, jl_fitted *fitted) {
    size_t rows = 0, count = OF_STILL + OF_RUN * l->count;
    for (size_t i = 0; i < l->count; i++) rows += rows_of(&l->runs[l->which[i]]);
    jl_parameter *parameters = calloc(count, sizeof *parameters);
    if (parameters == NULL) return JL_MEMORY;
    set_parameters(l, guess, parameters);
    const jl_fit_problem problem = {residuals, l, parameters, count, rows};
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
    return (jl_still_guess){f->values[STAGES], f->values[REFLUX], f->values[EFFICIENCY], false,
                            false};
}

/* The share is sought with the stages as they are guessed, then at other whole and half numbers:
 * *start becomes the best of these. */
static void seek_start(learning *l, const jl_fitted *guessed, jl_still_guess *start) {
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
static jl_status fit_runs(learning *l, const jl_still_guess *guess, jl_fitted *fitted) {
    const double ENOUGH = 3.84; /* 95 % of chi squared with one degree of freedom */
    if (guess->stages_held || guess->reflux_held) return fit_from(l, guess, fitted);
    jl_still_guess first = *guess, start;
    jl_fitted both;
    first.stages_held = true;
    jl_status status = fit_from(l, &first, fitted);
    if (status != JL_OK || fitted->held[REFLUX] ||
        fitted->values[REFLUX] < 2 * fitted->standard[REFLUX])
        return status;
    seek_start(l, fitted, &start);
    if (fit_from(l, &start, &both) != JL_OK) return JL_OK;
    bool tells =
        !both.held[STAGES] && !both.held[REFLUX] && both.chi_squared < fitted->chi_squared - ENOUGH;
    jl_fitted_free(tells ? fitted : &both);
    if (tells) *fitted = both;
    return JL_OK;
}

/* Measured figures of a run: strengths, and moments less the one they count from. */
static size_t figures_of(const jl_seen_run *run) {
    size_t figures = run->count, timed = 0;
    if (!has_times(run)) return figures;
    for (size_t i = 0; i < run->count; i++) timed += isfinite(run->jars[i].full_s) ? 1 : 0;
    return figures + timed - 1;
}

/* Squares of one run, with what its charge departs from what was said of it. */
static double squares_of(const learning *l, const jl_fitted *f, size_t i) {
    const double *rows = f->residuals, *own = f->values + OF_STILL + OF_RUN * i;
    double share = own[CHARGE_SHARE] / l->doubt->charge_share;
    double pct = own[CHARGE_PCT] / l->doubt->charge_pct;
    double squares = share * share + pct * pct;
    for (size_t k = 0; k < i; k++) rows += rows_of(&l->runs[l->which[k]]);
    for (size_t k = 0; k < rows_of(&l->runs[l->which[i]]); k++) squares += rows[k] * rows[k];
    return squares;
}

static size_t freedom_of(const learning *l, const jl_fitted *f) {
    size_t figures = 0, sought = 0;
    for (size_t i = 0; i < l->count; i++) figures += figures_of(&l->runs[l->which[i]]);
    for (int k = 0; k < READING; k++) sought += f->held[k] ? 0 : 1;
    return figures > sought ? figures - sought : 1;
}

/* ---- A run that does not belong ---- */

/* A chance below this, shared among the runs, is no chance. */
static const double NO_CHANCE = 1e-4;

static size_t worst_of(const learning *l, const jl_fitted *f) {
    size_t worst = 0;
    double most = -1;
    for (size_t i = 0; i < l->count; i++) {
        double each = squares_of(l, f, i) / (double)figures_of(&l->runs[l->which[i]]);
        if (each > most) worst = i;
        most = fmax(each, most);
    }
    return worst;
}

/* Squares of one run on a still as the others tell it; only its charge is sought. */
static jl_status judge(const learning *l, size_t run, const jl_fitted *others, double *squares,
                       jl_fitted *own) {
    learning one = *l;
    one.which = &run;
    one.count = 1;
    jl_common_doubt doubt = *l->doubt;
    one.doubt = &doubt;
    jl_still_guess guess = {others->values[STAGES], others->values[REFLUX],
                            others->values[EFFICIENCY], true, true};
    jl_parameter parameters[OF_STILL + OF_RUN];
    set_parameters(&one, &guess, parameters);
    parameters[EFFICIENCY].value = others->values[EFFICIENCY];
    parameters[EFFICIENCY].held = true;
    parameters[READING].value = others->values[READING];
    parameters[READING].held = true;
    const jl_fit_problem problem = {residuals, &one, parameters, OF_STILL + OF_RUN,
                                    rows_of(&l->runs[run])};
    jl_status status = jl_fitted_alloc(&problem, own);
    if (status != JL_OK) return status;
    one.stages = NAN;
    status = jl_fit(&problem, own);
    if (status == JL_OK) *squares = squares_of(&one, own, 0);
    if (status != JL_OK) jl_fitted_free(own);
    return status;
}

static void leave_out(size_t *which, size_t *count, size_t place) {
    memmove(which + place, which + place + 1, (*count - place - 1) * sizeof *which);
    --*count;
}

/* Takes the worst run out when the others would not have it. *fitted becomes the fit without it.
 * *out: the run, or SIZE_MAX. */
static jl_status try_without_worst(learning *l, size_t *which, const jl_still_guess *guess,
                                   jl_fitted *fitted, size_t *out) {
    jl_fitted others, own;
    size_t kept[1], place = worst_of(l, fitted), before = l->count;
    double squares = 0;
    kept[0] = which[place];
    *out = SIZE_MAX;
    leave_out(which, &l->count, place);
    jl_status status = fit_runs(l, guess, &others);
    if (status == JL_OK) {
        status = judge(l, kept[0], &others, &squares, &own);
        if (status == JL_OK) jl_fitted_free(&own);
        double usual = fmax(1, others.chi_squared / (double)freedom_of(l, &others));
        double most =
            gsl_cdf_chisq_Qinv(NO_CHANCE / (double)before, (double)figures_of(&l->runs[kept[0]]));
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
    return (jl_learnt){value, u, fmax(value - NORMAL_95 * u, least),
                       fmin(value + NORMAL_95 * u, most), true};
}

static void keep_run(const learning *l, const jl_path *path, const jl_fitted *f, size_t i,
                     jl_run_fit *fit) {
    const jl_seen_run *run = &l->runs[l->which[i]];
    const double *own = f->values + OF_STILL + OF_RUN * i;
    jl_course course;
    fit->misfit = sqrt(squares_of(l, f, i) / (double)figures_of(run));
    fit->charge_l = run->charge_l * (1 + own[CHARGE_SHARE]);
    fit->charge_pct = run->charge_strength_pct + own[CHARGE_PCT];
    if (fit->strength_pct == NULL) return;
    for (size_t k = 0; k < run->count; k++) fit->strength_pct[k] = NAN;
    if (jl_course_begin(path, fit->charge_l, fit->charge_pct, &course) != JL_OK) return;
    jl_place from = course.begin;
    double volume_l = 0;
    for (size_t k = 0; k < run->count; k++) {
        volume_l += run->jars[k].volume_l;
        jl_place to = jl_course_at(&course, volume_l);
        fit->strength_pct[k] = jl_course_strength_pct(&course, &from, &to) + f->values[READING];
        from = to;
    }
}

static void keep_still(const learning *l, const jl_fitted *f, jl_calibration *c) {
    size_t freedom = freedom_of(l, f);
    double ratio = f->chi_squared / (double)freedom;
    c->figures = freedom;
    c->misfit = sqrt(ratio);
    c->widened = f->chi_squared > gsl_cdf_chisq_Pinv(0.95, (double)freedom);
    double wider = c->widened ? c->misfit : 1;
    c->stages = learnt_of(f, STAGES, wider, 1, JL_STAGES_MOST);
    c->reflux_share = learnt_of(f, REFLUX, wider, 0, REFLUX_MOST);
    c->efficiency = learnt_of(f, EFFICIENCY, wider, 0.05, 1);
}

/* Each run on the still as it came out; one that was left out too, so that its reader sees why. */
static jl_status keep_all(learning *l, const jl_fitted *f, size_t count, jl_run_fit *fits,
                          jl_calibration *c) {
    keep_still(l, f, c);
    jl_status status = draw_paths(l, f->values[STAGES], f->values[REFLUX], false);
    for (size_t i = 0; i < count; i++) fits[i].left_out = true;
    for (size_t i = 0; status == JL_OK && i < l->count; i++) {
        fits[l->which[i]].left_out = false;
        keep_run(l, air_of(l, &l->runs[l->which[i]])->path, f, i, &fits[l->which[i]]);
    }
    c->runs_left_out = count - l->count;
    for (size_t i = 0; status == JL_OK && i < count; i++) {
        jl_fitted own;
        double squares;
        if (!fits[i].left_out) continue;
        status = judge(l, i, f, &squares, &own);
        if (status != JL_OK) return status;
        learning one = *l;
        one.which = &i;
        one.count = 1;
        keep_run(&one, air_of(l, &l->runs[i])->path, &own, 0, &fits[i]);
        jl_fitted_free(&own);
    }
    return status;
}

/* ---- The whole ---- */

static jl_status check_run(const jl_seen_run *run) {
    if (run->count < JARS_LEAST) return JL_MISSING;
    if (!(run->charge_l > 0 && run->charge_strength_pct > 0 && run->charge_strength_pct < 95))
        return JL_RANGE;
    if (!(run->pressure_kpa >= JL_PRESSURE_MIN_KPA && run->pressure_kpa <= JL_PRESSURE_MAX_KPA))
        return JL_RANGE;
    if (isfinite(run->power_w) && !(run->power_w > 0)) return JL_RANGE;
    if (!(run->loss_w >= 0 && run->boiler_heat_j_k >= 0)) return JL_RANGE;
    for (size_t i = 0; i < run->count; i++) {
        const jl_seen_jar *jar = &run->jars[i];
        if (!(jar->volume_l > 0 && jar->strength_pct >= 0 && jar->strength_pct <= 100 &&
              jar->strength_u_pct > 0 && isfinite(jar->strength_u_pct)))
            return JL_RANGE;
    }
    return JL_OK;
}

static jl_status check_all(const jl_seen_run *runs, size_t count, const jl_common_doubt *doubt,
                           const jl_still_guess *guess) {
    if (count == 0) return JL_MISSING;
    if (!(doubt->strength_pct > 0 && doubt->charge_share > 0 && doubt->charge_pct > 0 &&
          doubt->time_s > 0))
        return JL_RANGE;
    if (!(guess->stages >= 1 && guess->stages <= JL_STAGES_MOST && guess->reflux_share >= 0 &&
          guess->reflux_share <= REFLUX_MOST && guess->efficiency >= 0.05 &&
          guess->efficiency <= 1))
        return JL_RANGE;
    for (size_t i = 0; i < count; i++) {
        jl_status status = check_run(&runs[i]);
        if (status != JL_OK) return status;
    }
    return JL_OK;
}

/* The path begins above the strongest charge that the search may try. */
static jl_status open_airs(learning *l, size_t count) {
    jl_status status = JL_OK;
    l->x_top = 0;
    for (size_t i = 0; i < count; i++) {
        double pct = fmin(l->runs[i].charge_strength_pct + 7 * l->doubt->charge_pct, 96);
        l->x_top = fmax(l->x_top, jl_mole_of_strength(pct));
    }
    for (size_t i = 0; status == JL_OK && i < count; i++) {
        if (air_of(l, &l->runs[i]) != NULL) continue;
        air *a = &l->airs[l->air_count];
        status = jl_table_fill(l->runs[i].pressure_kpa, true, &a->table);
        a->pressure_kpa = l->runs[i].pressure_kpa;
        if (status == JL_OK) l->air_count++;
    }
    return status;
}

static void close_airs(learning *l) {
    for (size_t i = 0; i < l->air_count; i++) {
        jl_path_free(l->airs[i].path);
        jl_path_free(l->airs[i].moved);
    }
    free(l->airs);
}

/* One outlier after another, as long as three or more runs are left to judge by. */
static jl_status fit_what_belongs(learning *l, size_t *which, const jl_still_guess *guess,
                                  jl_fitted *fitted) {
    size_t out = 0;
    jl_status status = fit_runs(l, guess, fitted);
    if (status != JL_OK) return status;
    while (l->count >= 3 && out != SIZE_MAX) {
        status = try_without_worst(l, which, guess, fitted, &out);
        if (status == JL_OK) continue;
        jl_fitted_free(fitted);
        return status;
    }
    return JL_OK;
}

jl_status jl_calibrate(const jl_seen_run *runs, size_t count, const jl_common_doubt *doubt,
                       const jl_still_guess *guess, jl_progress *progress, void *progress_with,
                       jl_run_fit *fits, jl_calibration *calibration) {
    jl_status status = check_all(runs, count, doubt, guess);
    if (status != JL_OK) return status;
    size_t *which = calloc(count, sizeof *which);
    learning l = {.runs = runs,
                  .which = which,
                  .count = count,
                  .doubt = doubt,
                  .efficiency = guess->efficiency,
                  .progress = progress,
                  .progress_with = progress_with};
    jl_fitted fitted;
    l.airs = calloc(count, sizeof *l.airs);
    status = which == NULL || l.airs == NULL ? JL_MEMORY : open_airs(&l, count);
    for (size_t i = 0; status == JL_OK && i < count; i++) which[i] = i;
    if (status == JL_OK) status = fit_what_belongs(&l, which, guess, &fitted);
    if (status == JL_OK) {
        bool told = !fitted.held[STAGES] || !fitted.held[REFLUX] || !fitted.held[EFFICIENCY];
        bool asked = !guess->stages_held || !guess->reflux_held;
        jl_calibration c;
        status = asked && !told ? JL_NO : keep_all(&l, &fitted, count, fits, &c);
        if (status == JL_OK) *calibration = c;
        jl_fitted_free(&fitted);
    }
    close_airs(&l);
    free(which);
    return status;
}
