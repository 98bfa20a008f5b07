/* Learning and uncertainty against the figures that they are made of.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A fit of 20 runs of 20 jars against one forecast of such a run: with the stages held, for each of
 * all its unknowns and for each of the still's own three (reflux, efficiency, the alcoholometer's
 * error); with the stages sought too, which takes several searches, for each of all; 10,000
 * draws of a tally of 20 jars, each reading with errors of its own and of its instruments, against
 * one plain tally. */
#include "bench.h"
#include "jarline.h"

#include <math.h>
#include <stdlib.h>

enum { RUNS = 20, JARS = 20, DRAWS = 10000, OF_STILL = 3, UNKNOWNS = OF_STILL + 2 * RUNS };

static const double CHARGE_L = 24, CHARGE_PCT = 30;

/* ---- The fit ---- */

typedef struct season {
    jl_logged_jar jars[RUNS][JARS];
    jl_logged_run runs[RUNS];
    jl_still still;
    jl_spirit charge;
    jl_plan plan;
    bool stages_held;
    jl_calibration result;
    jl_status status;
} season;

static double noise(double half) {
    return half * (2.0 * rand() / (double)RAND_MAX - 1);
}

static void log_run(season *s, int i) {
    jl_forecasting *run;
    jl_forecast_jar jar = JL_FORECAST_JAR;
    int n = 0;
    if (jl_forecast_open(&s->still, s->charge, &s->plan, &run) != JL_OK) exit(1);
    while (n < JARS && jl_forecast_next(run, &jar) == JL_OK)
        s->jars[i][n++] = (jl_logged_jar){jl_volume_l(jar.spirit, 20) + noise(0.005),
                                          jl_spirit_strength_pct(jar.spirit) + noise(0.25),
                                          0.25 / sqrt(3), jar.elapsed_s + noise(30)};
    jl_forecast_close(run);
    s->runs[i] = (jl_logged_run){s->jars[i], (size_t)n, CHARGE_L, CHARGE_PCT,
                                 2000,       0,         3000,     JL_PRESSURE_KPA};
}

static void fit(void *with) {
    season *s = with;
    const jl_common_uncertainty uncertainty = {0.15, 0.015, 0.3, 30};
    const jl_still_guess guess = {3, 0.3, 0.9, s->stages_held, false};
    jl_run_fit fits[RUNS] = {0};
    s->status = jl_calibrate(s->runs, RUNS, &uncertainty, &guess, NULL, NULL, fits, &s->result);
}

static void forecast(void *with) {
    season *s = with;
    jl_forecast f = JL_FORECAST;
    s->status = jl_forecast_run(&s->still, s->charge, &s->plan, &f);
}

static int show_fit(season *s, const char *what, int unknowns, double forecast_s) {
    double each_s = bench_least_s(fit, s, 3) / unknowns, ratio = each_s / forecast_s;
    if (s->status != JL_OK) return printf("the fit fails\n"), 1;
    return bench_row(what, each_s * 1e3, forecast_s * 1e3, "ms", ratio, "<= 50 forecasts",
                     ratio <= 50);
}

static int bench_fit(void) {
    static season s;
    double p = NAN;
    s.still = JL_STILL;
    s.still.stages = 3;
    s.still.reflux_ratio = 1;
    s.still.efficiency_share = 0.8;
    s.plan = JL_PLAN(CHARGE_PCT);
    s.plan.cuts = (jl_cut_rules){.tails = {JL_CUT_SPOUT_PCT, 20}};
    jl_mass_fraction_from_strength(CHARGE_PCT, 20, &p);
    jl_spirit_from_volume(CHARGE_L, p, 20, &s.charge);
    for (int i = 0; i < RUNS; i++) log_run(&s, i);
    double forecast_s = bench_least_s(forecast, &s, 20);
    s.stages_held = true;
    int bad = show_fit(&s, "a fit of 20 runs, for each of 43 unknowns", UNKNOWNS, forecast_s);
    bad |= show_fit(&s, "  for each of the still's 3", OF_STILL, forecast_s);
    s.stages_held = false;
    return bad | show_fit(&s, "  stages sought, each of 44", UNKNOWNS + 1, forecast_s);
}

/* ---- The draws ---- */

enum { OF_ALL = 3, OF_JAR = 3 }; /* errors of jug, alcoholometer, thermometer: common, and new */

typedef struct log_of_jars {
    double volume_l[JARS], reading[JARS], temp_c[JARS];
    double pure_l;
} log_of_jars;

/* x: NULL for the log as it is. */
static jl_status total(const log_of_jars *log, const double *x, jl_spirit *sum) {
    const jl_alcoholometer instrument = JL_ALCOHOLOMETER;
    static const double none[OF_ALL + JARS * OF_JAR];
    if (x == NULL) x = none;
    *sum = (jl_spirit){0, 0};
    for (int i = 0; i < JARS; i++) {
        const double *own = x + OF_ALL + OF_JAR * i;
        double p, temp_c = log->temp_c[i] + x[2] + own[2];
        jl_spirit spirit;
        jl_quantity reading = {log->reading[i] + x[1] + own[1], JL_UNIT_PCT_VOL};
        jl_status status = jl_reading_to_mass_fraction(&instrument, reading, temp_c, &p);
        if (status == JL_OK)
            status =
                jl_spirit_from_volume(log->volume_l[i] * (1 + x[0]) + own[0], p, temp_c, &spirit);
        if (status != JL_OK) return status;
        *sum = jl_blend(*sum, spirit);
    }
    return JL_OK;
}

static jl_status figures_of(const double *x, double *figures, void *with) {
    jl_spirit sum;
    jl_status status = total(with, x, &sum);
    if (status != JL_OK) return status;
    figures[0] = jl_volume_l(sum, 20);
    figures[1] = jl_spirit_strength_pct(sum);
    figures[2] = jl_pure_alcohol_l(sum);
    return JL_OK;
}

static void draw(void *with) {
    jl_input inputs[OF_ALL + JARS * OF_JAR];
    static const double WIDTHS[] = {0.01, 0.5, 1, 0.005, 0.5, 0.5};
    for (int i = 0; i < OF_ALL + JARS * OF_JAR; i++)
        inputs[i] = (jl_input){0, WIDTHS[i < OF_ALL ? i : OF_ALL + i % OF_JAR], JL_RECTANGULAR};
    const jl_measurement m = {.model = figures_of,
                              .with = with,
                              .inputs = inputs,
                              .input_count = OF_ALL + JARS * OF_JAR,
                              .figure_count = 3};
    jl_drawn drawn[3];
    if (jl_monte_carlo(&m, DRAWS, 1, drawn) != JL_OK) exit(1);
}

static void tally_once(void *with) {
    enum { TIMES = 100 };
    log_of_jars *log = with;
    for (int i = 0; i < TIMES; i++) {
        double figures[3];
        if (figures_of((const double[OF_ALL + JARS *OF_JAR]){0}, figures, log) != JL_OK) exit(1);
        log->pure_l = figures[2];
    }
}

static int bench_draws(void) {
    static log_of_jars log;
    for (int i = 0; i < JARS; i++) {
        log.volume_l[i] = 0.5;
        log.reading[i] = 80 - 2.5 * i;
        log.temp_c[i] = 24;
    }
    double tally_s = bench_least_s(tally_once, &log, 20) / 100;
    double draws_s = bench_least_s(draw, &log, 20);
    return bench_row("10,000 draws of a tally of 20 jars", draws_s * 1e3, tally_s * DRAWS * 1e3,
                     "ms", draws_s / tally_s / DRAWS, "<= 1.5", draws_s / tally_s <= 1.5 * DRAWS);
}

int main(void) {
    jl_quiet();
    srand(1);
    int worst = bench_fit();
    return worst | bench_draws();
}
