/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn/model.h"
#include "text/quantity.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

const double JL_NOISE_FACTOR[JL_NOISES] = {1, 1.5, 2.5};
const double JL_NOISE_WEIGHT[JL_NOISES] = {0.6, 0.3, 0.1};

/* What a strength departs from any equilibrium stages by, % vol: common practice, no source. */
static const double STRENGTH_FLOOR_PCT = 0.05;

const jl_unknown JL_UNKNOWN_OF[JL_LEARNT_LN_EFFICIENCY] = {
    [JL_LEARNT_SHARE] = JL_UNKNOWN_SHARE,
    [JL_LEARNT_SHIFT] = JL_UNKNOWN_SHIFT,
    [JL_LEARNT_SCALE] = JL_UNKNOWN_SCALE,
    [JL_LEARNT_ALCOHOLOMETER] = JL_UNKNOWN_ALCOHOLOMETER,
    [JL_LEARNT_THERMOMETER] = JL_UNKNOWN_THERMOMETER,
    [JL_LEARNT_BOILER] = JL_UNKNOWN_BOILER,
    [JL_LEARNT_HEAD] = JL_UNKNOWN_HEAD,
};

/* Common practice, no source. The spread is that of a whole run's mean, its walk counted in; of the
 * model latent heats hold within 1 %, and heat of mixing is not counted. */
const double JL_HEAT_GUESS_U = 0.12, JL_HEAT_SPREAD = 0.015, JL_HEAT_WALK = 0.01,
             JL_HEAT_MODEL_U = 0.01;

/* Steps of the differences: small against the uncertainty of each. */
static const double SHARE_STEP = 2e-3, SHIFT_STEP = 5e-3, SCALE_STEP = 4e-3, CHARGE_STEP_PCT = 0.1;

/* ---- Paths ---- */

jl_tracks *jl_tracks_new(void) {
    return calloc(1, sizeof(jl_tracks));
}

void jl_tracks_free(jl_tracks *tracks) {
    free(tracks);
}

/* Away from the bound. */
static double step_within(double at, double step, double most) {
    return at + step > most ? -step : step;
}

void jl_tracks_march(jl_tracks *t, const jl_vapours *vapours, const jl_march_of *of, double shift,
                     bool by_share) {
    jl_march_of other = *of;
    double at = fmin(fmax(shift, -JL_SHIFT_MOST), JL_SHIFT_MOST);
    bool known = t->marched > 0 && t->shift == at && t->vapours == vapours;
    t->vapours = vapours;
    t->stages = of->stages;
    t->share = of->share;
    t->shift = at;
    t->share_step = by_share ? step_within(of->share, SHARE_STEP, JL_SHARE_MOST) : 0;
    t->shift_step = step_within(t->shift, SHIFT_STEP, JL_SHIFT_MOST);
    if (!known) jl_vapours_shifted(vapours, t->shift, &t->base.table);
    if (!known) jl_vapours_shifted(vapours, t->shift + t->shift_step, &t->of_shift.table);
    jl_march_through(vapours, &t->base.table, of, &t->base);
    other.share += t->share_step;
    if (by_share) jl_march_through(vapours, &t->base.table, &other, &t->of_share);
    jl_march_through(vapours, &t->of_shift.table, of, &t->of_shift);
    t->marched += by_share ? 3 : 2;
}

/* ---- A run ---- */

/* By how much a strength comes out too low when the thermometer shows 1 °C too much. */
static double per_c_of(double strength_pct) {
    const jl_alcoholometer glass = JL_ALCOHOLOMETER;
    jl_quantity reading = {fmin(fmax(strength_pct, 3), 97), JL_UNIT_PCT_VOL};
    double cold = 0, warm = 0, cold_pct = 0, warm_pct = 0;
    /* Some mixture shows each of these. */
    jl_reading_to_mass_fraction(&glass, reading, JL_STRENGTH_C - 1, &cold);
    jl_reading_to_mass_fraction(&glass, reading, JL_STRENGTH_C + 1, &warm);
    jl_strength_pct(cold, JL_STRENGTH_C, &cold_pct);
    jl_strength_pct(warm, JL_STRENGTH_C, &warm_pct);
    return (cold_pct - warm_pct) / 2;
}

static void add_row(jl_linear *l, jl_row_of of, size_t jar, double read, double reading_u,
                    double fixed_u) {
    l->rows[l->count++] = (jl_linear_row){.of = of,
                                          .jar = jar,
                                          .read = read,
                                          .reading = reading_u * reading_u,
                                          .fixed = fixed_u * fixed_u};
}

static void add_strengths(jl_linear *l, const jl_learning_widths *widths) {
    double walk = 0;
    for (size_t k = 0; k < l->run->count; k++) {
        const jl_learning_jar *jar = &l->run->jars[k];
        walk += jar->volume_u_l * jar->volume_u_l;
        if (isnan(jar->strength_pct)) continue;
        double per_c = per_c_of(jar->strength_pct);
        add_row(l, JL_ROW_STRENGTH, k, jar->strength_pct, jar->strength_u_pct,
                hypot(STRENGTH_FLOOR_PCT, per_c * widths->thermometer_read_c));
        l->rows[l->count - 1].per_c = per_c;
        l->rows[l->count - 1].walk = walk;
        walk = 0;
    }
}

/* More of them than this tell nothing new, as what is off in all of them is learnt from a few: one in
 * so many then stands for its neighbours, as exact as their mean. */
enum { TEMPS_MOST = 30 };

static size_t temps_of(const jl_learning_run *run, jl_row_of of) {
    size_t count = 0;
    for (size_t k = 0; k < run->count; k++)
        count += isnan(of == JL_ROW_BOILER ? run->jars[k].boiler_c : run->jars[k].head_c) ? 0 : 1;
    return count;
}

static void add_temps(jl_linear *l, jl_row_of of, const jl_learning_widths *widths) {
    size_t every = (temps_of(l->run, of) + TEMPS_MOST - 1) / TEMPS_MOST, seen = 0;
    for (size_t k = 0; k < l->run->count; k++) {
        const jl_learning_jar *jar = &l->run->jars[k];
        double temp_c = of == JL_ROW_BOILER ? jar->boiler_c : jar->head_c;
        if (isnan(temp_c) || seen++ % every != every / 2) continue;
        add_row(l, of, k, temp_c, 0, widths->still_read_c / sqrt((double)every));
    }
}

jl_status jl_linear_open(const jl_learning_run *run, const jl_learning_widths *widths,
                         jl_linear *l) {
    *l = (jl_linear){.run = run};
    l->rows = calloc(3 * run->count, sizeof *l->rows);
    l->end_l = calloc(run->count, sizeof *l->end_l);
    l->values = calloc(3 * run->count, sizeof *l->values);
    l->other = calloc(3 * run->count, sizeof *l->other);
    l->slopes = calloc(3 * run->count, sizeof *l->slopes);
    if (l->rows == NULL || l->end_l == NULL || l->values == NULL || l->other == NULL ||
        l->slopes == NULL) {
        jl_linear_close(l);
        return JL_MEMORY;
    }
    double sum_l = 0;
    for (size_t k = 0; k < run->count; k++) l->end_l[k] = sum_l += run->jars[k].volume_l;
    add_strengths(l, widths);
    l->strengths = l->count;
    add_temps(l, JL_ROW_BOILER, widths);
    l->heads = l->count;
    add_temps(l, JL_ROW_HEAD, widths);
    return JL_OK;
}

void jl_linear_close(jl_linear *l) {
    free(l->rows);
    free(l->end_l);
    free(l->values);
    free(l->other);
    free(l->slopes);
    *l = (jl_linear){0};
}

/* ---- Figures about a point ---- */

static jl_batch batch_of(const jl_march *march, const jl_learning_run *run, double scale,
                         double weaker_pct) {
    double charge_l = run->charge_l * fmax(1 - scale, 0.05);
    return jl_batch_on(march, charge_l, fmax(run->charge_strength_pct - weaker_pct, 0.1));
}

void jl_charge_read_high(const jl_learning_run *run, double per[JL_UNKNOWNS]) {
    memset(per, 0, JL_UNKNOWNS * sizeof *per);
    per[JL_UNKNOWN_CHARGE_PCT] = 1;
    if (run->other_instrument) return;
    per[JL_UNKNOWN_ALCOHOLOMETER] = 1;
    if (run->charge_at_other_temp)
        per[JL_UNKNOWN_THERMOMETER] = -per_c_of(run->charge_strength_pct);
}

jl_batch jl_run_batch(const jl_march *march, const jl_learning_run *run,
                      const double unknowns[JL_UNKNOWNS]) {
    double per[JL_UNKNOWNS], weaker = 0;
    jl_charge_read_high(run, per);
    for (int k = 0; k < JL_UNKNOWNS; k++) weaker += per[k] * unknowns[k];
    return batch_of(march, run, unknowns[JL_UNKNOWN_SCALE], weaker);
}

static void take_slopes(const jl_batch *batch, const jl_figures_of *f, const double *values,
                        double step, jl_unknown which, double (*slopes)[JL_UNKNOWNS],
                        double *other) {
    f->of(batch, f->with, other);
    for (size_t i = 0; i < f->count; i++) slopes[i][which] = (other[i] - values[i]) / step;
}

void jl_differentiate(const jl_tracks *t, const jl_learning_run *run,
                      const double unknowns[JL_UNKNOWNS], const jl_figures_of *f, double *values,
                      double (*slopes)[JL_UNKNOWNS], double *other) {
    double scale = unknowns[JL_UNKNOWN_SCALE], per[JL_UNKNOWNS], weaker = 0;
    jl_charge_read_high(run, per);
    for (int k = 0; k < JL_UNKNOWNS; k++) weaker += per[k] * unknowns[k];
    memset(slopes, 0, f->count * sizeof *slopes);
    jl_batch batch = batch_of(&t->base, run, scale, weaker);
    f->of(&batch, f->with, values);
    if (t->share_step != 0) {
        batch = batch_of(&t->of_share, run, scale, weaker);
        take_slopes(&batch, f, values, t->share_step, JL_UNKNOWN_SHARE, slopes, other);
    }
    batch = batch_of(&t->of_shift, run, scale, weaker);
    take_slopes(&batch, f, values, t->shift_step, JL_UNKNOWN_SHIFT, slopes, other);
    batch = batch_of(&t->base, run, scale + SCALE_STEP, weaker);
    take_slopes(&batch, f, values, SCALE_STEP, JL_UNKNOWN_SCALE, slopes, other);
    batch = batch_of(&t->base, run, scale, weaker + CHARGE_STEP_PCT);
    take_slopes(&batch, f, values, CHARGE_STEP_PCT, JL_UNKNOWN_CHARGE_PCT, slopes, other);
    for (size_t i = 0; i < f->count; i++)
        for (int k = JL_UNKNOWN_CHARGE_PCT + 1; k < JL_UNKNOWNS; k++)
            slopes[i][k] = per[k] * slopes[i][JL_UNKNOWN_CHARGE_PCT];
}

/* ---- What a run should have read ---- */

static double predicted_of(jl_row_of of, const jl_march *march, const jl_waypoint *from,
                           const jl_waypoint *to) {
    if (of == JL_ROW_BOILER) return jl_boiler_c(march, to);
    return of == JL_ROW_HEAD ? jl_march_head_c(march, to) : jl_between_pct(from, to);
}

void jl_linear_predict(const jl_linear *l, const jl_batch *batch, double lost_l,
                       double *predicted) {
    size_t next[JL_ROW_KINDS] = {0, l->strengths, l->heads};
    const size_t end[JL_ROW_KINDS] = {l->strengths, l->heads, l->count};
    size_t milestone = 0;
    jl_waypoint from = jl_batch_on_to(batch, lost_l, &milestone);
    for (size_t k = 0; k < l->run->count; k++) {
        jl_waypoint to = jl_batch_on_to(batch, lost_l + l->end_l[k], &milestone);
        for (int of = 0; of < JL_ROW_KINDS; of++)
            if (next[of] < end[of] && l->rows[next[of]].jar == k)
                predicted[next[of]++] = predicted_of((jl_row_of)of, batch->march, &from, &to);
        from = to;
    }
}

static void predict(const jl_batch *batch, const void *with, double *predicted) {
    jl_linear_predict(with, batch, 0, predicted);
}

/* How strengths fall over the run, from each row's neighbours. */
static void find_slopes(jl_linear *l) {
    for (size_t i = 0; i < l->strengths; i++) {
        const jl_linear_row *a = &l->rows[i > 0 ? i - 1 : i];
        const jl_linear_row *b = &l->rows[i + 1 < l->strengths ? i + 1 : i];
        double apart_l = l->end_l[b->jar] - l->run->jars[b->jar].volume_l / 2 -
                         (l->end_l[a->jar] - l->run->jars[a->jar].volume_l / 2);
        l->rows[i].per_l = apart_l > 0 ? (b->predicted - a->predicted) / apart_l : 0;
    }
}

static void add_instruments(const jl_linear *l, double c_per_kpa) {
    for (size_t i = 0; i < l->count; i++) {
        jl_linear_row *row = &l->rows[i];
        bool strength = row->of == JL_ROW_STRENGTH;
        row->column[JL_UNKNOWN_ALCOHOLOMETER] += strength ? 1 : 0;
        row->column[JL_UNKNOWN_THERMOMETER] -= strength ? row->per_c : 0;
        row->column[JL_UNKNOWN_BOILER] += row->of == JL_ROW_BOILER ? 1 : 0;
        row->column[JL_UNKNOWN_HEAD] += row->of == JL_ROW_HEAD ? 1 : 0;
        row->column[JL_UNKNOWN_PRESSURE] += strength ? 0 : c_per_kpa;
    }
}

/* ---- Its likelihood ---- */

/* Errors of the jars' volumes add up from jar to jar, a random walk that every later strength shows
 * by its slope: a scalar Kalman filter takes out of each row what the rows before say of it. */
static double find_filter(jl_linear_row *rows, size_t count, int noise) {
    const double large = 1e100; /* far from what a double holds */
    double known = 0;           /* variance of the sum, given the rows before */
    double ln_det = 0, det = 1; /* a log a row would cost more than all else */
    double factor = JL_NOISE_FACTOR[noise] * JL_NOISE_FACTOR[noise];
    for (size_t i = 0; i < count; i++) {
        jl_linear_row *row = &rows[i];
        known += row->walk;
        double of_row = factor * row->reading + row->fixed;
        double variance = row->per_l * row->per_l * known + of_row;
        row->gain = known * row->per_l / variance;
        row->narrow = 1 / sqrt(variance);
        known *= of_row / variance;
        det *= variance;
        if (det > large || det < 1 / large) {
            ln_det += log(det);
            det = 1;
        }
    }
    return ln_det + log(det);
}

static void add_rows(jl_linear_row *rows, size_t count, int noise, jl_gram *gram) {
    double walked[JL_COLUMNS] = {0};
    gram->ln_det += find_filter(rows, count, noise);
    for (size_t i = 0; i < count; i++) {
        jl_linear_row *row = &rows[i];
        double independent[JL_COLUMNS];
        for (int k = 0; k < JL_COLUMNS; k++) {
            double news = row->column[k] - row->per_l * walked[k];
            walked[k] += row->gain * news;
            independent[k] = news * row->narrow;
        }
        memcpy(row->independent, independent, sizeof independent);
        for (int k = 0; k < JL_COLUMNS; k++) {
            if (independent[k] == 0) continue; /* most unknowns play no part in most rows */
            for (int j = 0; j < JL_COLUMNS; j++) gram->of[k][j] += independent[k] * independent[j];
        }
    }
}

/* A thermometer of the still shows no error of the jars' sum, and no hand wobbles. */
static void sum_temps(jl_linear *l) {
    l->temps = (jl_gram){.ln_det = 0};
    add_rows(l->rows + l->strengths, l->count - l->strengths, 0, &l->temps);
}

void jl_linearise(const jl_tracks *t, const double unknowns[JL_UNKNOWNS], jl_linear *l) {
    const jl_figures_of rows = {predict, l, l->count};
    jl_differentiate(t, l->run, unknowns, &rows, l->values, l->slopes, l->other);
    for (size_t i = 0; i < l->count; i++) {
        jl_linear_row *row = &l->rows[i];
        row->predicted = l->values[i];
        row->column[JL_DATA] = row->read - row->predicted;
        for (int k = 0; k < JL_UNKNOWNS; k++) {
            row->column[k] = l->slopes[i][k];
            row->column[JL_DATA] += row->column[k] * unknowns[k];
        }
    }
    find_slopes(l);
    add_instruments(l, t->base.vapours->c_per_kpa);
    sum_temps(l);
}

void jl_linear_gram(jl_linear *l, int noise, jl_gram *gram) {
    *gram = l->temps;
    add_rows(l->rows, l->strengths, noise, gram);
}

/* ---- What can be given ---- */

static bool jar_ok(const jl_learning_jar *jar) {
    bool strength = isnan(jar->strength_pct) || (jl_between(jar->strength_pct, 0, 100) &&
                                                 jl_between(jar->strength_u_pct, 1e-3, 50));
    bool temps = (isnan(jar->boiler_c) || jl_between(jar->boiler_c, 0, 150)) &&
                 (isnan(jar->head_c) || jl_between(jar->head_c, 0, 150));
    return strength && temps && jl_between(jar->volume_l, 1e-6, 1e6) &&
           jl_between(jar->volume_u_l, 0, 1e6) && !isinf(jar->full_s);
}

jl_status jl_learning_run_check(const jl_learning_run *run, size_t least) {
    size_t strengths = 0;
    bool good = jl_between(run->charge_l, 1e-6, 1e9) &&
                jl_between(run->charge_strength_pct, 0.5, 95) &&
                jl_between(run->charge_share_u, 1e-6, 1) &&
                jl_between(run->charge_strength_u_pct, 1e-3, 50) &&
                jl_between(run->readings_u_pct, 0, 50) && jl_pressure_ok(run->pressure_kpa) &&
                jl_between(run->pressure_u_kpa, 0, 20) && jl_between(run->loss_w, 0, 1e6) &&
                jl_between(run->boiler_heat_j_k, 0, 1e7) &&
                (isnan(run->power_w) || jl_between(run->power_w, 1e-3, 1e6));
    for (size_t k = 0; good && k < run->count; k++) {
        good = jar_ok(&run->jars[k]);
        strengths += isnan(run->jars[k].strength_pct) ? 0 : 1;
    }
    if (!good) return JL_RANGE;
    return strengths < least ? JL_MISSING : JL_OK;
}

bool jl_learning_widths_ok(const jl_learning_widths *w) {
    return jl_between(w->alcoholometer_pct, 1e-3, 20) && jl_between(w->thermometer_c, 1e-3, 20) &&
           jl_between(w->thermometer_read_c, 0, 20) && jl_between(w->scale, 1e-6, 1) &&
           jl_between(w->boiler_c, 1e-3, 20) && jl_between(w->head_c, 1e-3, 20) &&
           jl_between(w->still_read_c, 1e-3, 20) && jl_between(w->time_s, 1e-3, 1e6) &&
           jl_between(w->shift, 1e-6, JL_SHIFT_MOST);
}

/* ---- What is known ---- */

void jl_own_variance(const jl_learning_run *run, double spread, double variance[JL_UNKNOWNS]) {
    memset(variance, 0, JL_UNKNOWNS * sizeof *variance);
    variance[JL_UNKNOWN_SHARE] = spread * spread;
    variance[JL_UNKNOWN_SCALE] = run->charge_share_u * run->charge_share_u;
    variance[JL_UNKNOWN_CHARGE_PCT] = run->charge_strength_u_pct * run->charge_strength_u_pct;
    variance[JL_UNKNOWN_ALCOHOLOMETER] = run->readings_u_pct * run->readings_u_pct;
    variance[JL_UNKNOWN_PRESSURE] = run->pressure_u_kpa * run->pressure_u_kpa;
}

jl_normal jl_prior_of(const jl_learning_run *run, const jl_learning_widths *w) {
    jl_normal prior = {{0}, {{0}}};
    const double width[JL_UNKNOWNS] = {
        [JL_UNKNOWN_SHIFT] = w->shift,
        [JL_UNKNOWN_SCALE] = hypot(w->scale, run->charge_share_u),
        [JL_UNKNOWN_CHARGE_PCT] = run->charge_strength_u_pct,
        [JL_UNKNOWN_ALCOHOLOMETER] = hypot(w->alcoholometer_pct, run->readings_u_pct),
        [JL_UNKNOWN_THERMOMETER] = w->thermometer_c,
        [JL_UNKNOWN_BOILER] = w->boiler_c,
        [JL_UNKNOWN_HEAD] = w->head_c,
        [JL_UNKNOWN_PRESSURE] = run->pressure_u_kpa,
    };
    for (int k = 0; k < JL_UNKNOWNS; k++) prior.covariance[k][k] = width[k] * width[k];
    return prior;
}

void jl_factor(const jl_normal *normal, double factor[JL_UNKNOWNS][JL_UNKNOWNS]) {
    const double least = 1e-14; /* of a variance: below it lies rounding */
    for (int k = 0; k < JL_UNKNOWNS; k++)
        for (int j = 0; j < JL_UNKNOWNS; j++) {
            double left = normal->covariance[j][k];
            for (int i = 0; i < k; i++) left -= factor[j][i] * factor[k][i];
            if (j < k || (j == k && left <= least * normal->covariance[k][k])) left = 0;
            if (j == k) factor[k][k] = sqrt(left);
            if (j > k) factor[j][k] = factor[k][k] > 0 ? left / factor[k][k] : 0;
            if (j < k) factor[j][k] = 0;
        }
}

/* P (1 + G P)^-1 of a prior's covariance P and the products G: what the data leave of P. By the factor
 * of P it is the inverse of 1 + L' G L, whose eigenvalues are 1 or more whatever P is. Returns
 * ln |1 + G P|. */
static double leave(const jl_gram *gram, const jl_normal *prior,
                    double left[JL_UNKNOWNS][JL_UNKNOWNS]) {
    double factor[JL_UNKNOWNS][JL_UNKNOWNS], half[JL_UNKNOWNS][JL_UNKNOWNS];
    double inner[JL_UNKNOWNS][JL_UNKNOWNS], ln_det = 0;
    int shown = JL_UNKNOWNS; /* behind them, often the still's thermometers, G is 0 */
    while (shown > 1 && gram->of[shown - 1][shown - 1] == 0) shown--;
    int first = 0; /* before them, mostly the share, P is 0 */
    while (first + 1 < shown && prior->covariance[first][first] == 0) first++;
    jl_factor(prior, factor);
    for (int k = first; k < shown; k++)
        for (int j = first; j < shown; j++) {
            half[k][j] = 0;
            for (int i = j; i < shown; i++) half[k][j] += gram->of[k][i] * factor[i][j];
        }
    for (int k = first; k < shown; k++)
        for (int j = first; j <= k; j++) {
            inner[k][j] = k == j ? 1 : 0;
            for (int i = k; i < shown; i++) inner[k][j] += factor[i][k] * half[i][j];
        }
    const size_t rows = (size_t)(shown - first);
    gsl_matrix_view m =
        gsl_matrix_view_array_with_tda(&inner[first][first], rows, rows, JL_UNKNOWNS);
    gsl_linalg_cholesky_decomp1(&m.matrix);
    for (int k = first; k < shown; k++) ln_det += 2 * log(inner[k][k]);
    for (int k = first; k < JL_UNKNOWNS; k++)
        for (int j = 0; j < JL_UNKNOWNS; j++) half[k][j] = factor[j][k];
    gsl_matrix_view b = gsl_matrix_view_array(&half[first][0], rows, JL_UNKNOWNS);
    gsl_blas_dtrsm(CblasLeft, CblasLower, CblasNoTrans, CblasNonUnit, 1, &m.matrix, &b.matrix);
    for (int k = 0; k < JL_UNKNOWNS; k++)
        for (int j = 0; j <= k; j++) {
            left[k][j] = 0;
            for (int i = first; i < JL_UNKNOWNS; i++) left[k][j] += half[i][k] * half[i][j];
            left[j][k] = left[k][j];
        }
    return ln_det;
}

double jl_condition(const jl_gram *gram, const jl_normal *prior, jl_normal *posterior,
                    double *squares) {
    const jl_normal p = *prior;
    jl_normal after;
    double pull[JL_UNKNOWNS], squared = gram->of[JL_DATA][JL_DATA], gained = 0;
    for (int k = 0; k < JL_UNKNOWNS; k++) {
        double of_means = 0;
        for (int j = 0; j < JL_UNKNOWNS; j++) of_means += gram->of[k][j] * p.mean[j];
        squared += p.mean[k] * (of_means - 2 * gram->of[k][JL_DATA]);
        pull[k] = gram->of[k][JL_DATA] - of_means;
    }
    double ln_wider = leave(gram, &p, after.covariance);
    for (int k = 0; k < JL_UNKNOWNS; k++) {
        double moved = 0;
        /* cppcheck-suppress uninitvar ; leave() fills it */
        for (int j = 0; j < JL_UNKNOWNS; j++) moved += after.covariance[k][j] * pull[j];
        after.mean[k] = p.mean[k] + moved;
        gained += pull[k] * moved;
    }
    *posterior = after;
    if (squares != NULL) *squares = squared - gained;
    return -(gram->ln_det + ln_wider + squared - gained) / 2;
}

double jl_own_covariance(const jl_gram *gram, const double variance[JL_UNKNOWNS],
                         double covariance[JL_UNKNOWNS][JL_UNKNOWNS]) {
    jl_normal prior = {{0}, {{0}}};
    for (int k = 0; k < JL_UNKNOWNS; k++) prior.covariance[k][k] = variance[k];
    return leave(gram, &prior, covariance);
}

double jl_gram_squares(const jl_gram *gram, const double unknowns[JL_UNKNOWNS]) {
    double squares = gram->of[JL_DATA][JL_DATA];
    for (int k = 0; k < JL_UNKNOWNS; k++) {
        double of_them = 0;
        for (int j = 0; j < JL_UNKNOWNS; j++) of_them += gram->of[k][j] * unknowns[j];
        squares += unknowns[k] * (of_them - 2 * gram->of[k][JL_DATA]);
    }
    return squares;
}

void jl_integrate_out(jl_gram *gram, const double variance[JL_UNKNOWNS]) {
    double left[JL_UNKNOWNS][JL_UNKNOWNS], half[JL_COLUMNS][JL_UNKNOWNS];
    gram->ln_det += jl_own_covariance(gram, variance, left);
    for (int k = 0; k < JL_COLUMNS; k++)
        for (int j = 0; j < JL_UNKNOWNS; j++) {
            half[k][j] = 0;
            for (int i = 0; i < JL_UNKNOWNS; i++) half[k][j] += gram->of[k][i] * left[i][j];
        }
    jl_gram before = *gram;
    for (int k = 0; k < JL_COLUMNS; k++)
        for (int j = 0; j < JL_COLUMNS; j++)
            for (int i = 0; i < JL_UNKNOWNS; i++) gram->of[k][j] -= half[k][i] * before.of[i][j];
}

void jl_gram_add(jl_gram *sum, const jl_gram *gram, double weight) {
    for (int k = 0; k < JL_COLUMNS; k++)
        for (int j = 0; j < JL_COLUMNS; j++) sum->of[k][j] += weight * gram->of[k][j];
    sum->ln_det += gram->ln_det;
}
