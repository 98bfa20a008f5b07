/* Learning, against the paths that it may take: a still of 20 runs against 6000 of two stages, the
 * rest of a run and its diagnosis against 500.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "bench.h"
#include "learn/march.h"
#include "learn/simulator.h"

#include <gsl/gsl_errno.h>
#include <stdlib.h>

enum { RUNS = 20, PATHS_SEASON = 6000, PATHS_RUN = 500, JARS_REST = 8 };

typedef struct work {
    sim_run runs[RUNS];
    jl_learning_run logged[RUNS], rest;
    jl_learnt_run each[RUNS];
    jl_learnt_still still, unknown;
    jl_vapours vapours;
    jl_table table;
    jl_march march;
    int paths;
    bool failed;
} work;

static void march_paths(void *with) {
    work *w = with;
    const jl_march_of of = {2, 0.5, jl_mole_of_pct(45), true};
    for (int i = 0; i < w->paths; i++) jl_march_through(&w->vapours, &w->table, &of, &w->march);
}

static void learn(void *with) {
    work *w = with;
    const jl_learning_told told = JL_LEARNING_TOLD;
    w->failed |= jl_learn_still(w->logged, RUNS, &JL_LEARNING_WIDTHS, &told, NULL, NULL, w->each,
                                &w->still) != JL_OK;
}

static void look_ahead(work *w, const jl_learnt_still *still) {
    const jl_ahead_plan plan = {60, 20, 0.3, 3};
    jl_estimate next[3];
    jl_ahead ahead;
    w->failed |= jl_run_ahead(&w->rest, still, &JL_LEARNING_WIDTHS, &plan, next, &ahead) != JL_OK;
}

static void rest_unknown(void *with) {
    work *w = with;
    look_ahead(w, &w->unknown);
}

static void rest_learnt(void *with) {
    work *w = with;
    look_ahead(w, &w->still);
}

static void diagnose(void *with) {
    work *w = with;
    jl_diagnosis d;
    w->failed |= jl_run_diagnose(&w->logged[0], &w->still, &JL_LEARNING_WIDTHS, &d) != JL_OK;
}

static int figure(work *w, const char *name, void (*call)(void *), int paths, double most,
                  double most_ms) {
    w->paths = paths;
    double floor_ms = 1e3 * bench_least_s(march_paths, w, 5);
    double ms = 1e3 * bench_least_s(call, w, 5), ratio = ms / floor_ms;
    char bar[40];
    snprintf(bar, sizeof bar, "<= %g, %g ms", most, most_ms);
    return bench_row(name, ms, floor_ms, "ms", ratio, bar, ratio <= most && ms <= most_ms);
}

static void simulate(work *w) {
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_taus2);
    const sim_still still = {.stages = 2, .share = 0.5, .spread = 0.02, .efficiency = 0.8};
    const sim_bench bench = sim_bench_of(&SIM_LIMITS, rng);
    for (int i = 0; i < RUNS; i++) {
        const sim_plan plan = {.charge_l = 10,
                               .charge_pct = 27 + i % 3 * 4,
                               .jar_l = 0.3,
                               .last_pct = 15,
                               .power_w = 2000,
                               .pressure_kpa = 101.325};
        sim_run_still(&still, &plan, &bench, rng, &w->runs[i]);
        w->logged[i] = w->runs[i].logged;
    }
    w->rest = w->logged[0];
    w->rest.count = JARS_REST;
    gsl_rng_free(rng);
}

int main(void) {
    work *w = calloc(1, sizeof *w);
    int worst = 0;
    if (w == NULL) return 2;
    gsl_set_error_handler_off();
    simulate(w);
    w->failed = jl_vapours_fill(101.325, &w->vapours) != JL_OK ||
                jl_still_unknown(&JL_LEARNING_WIDTHS, 0.85, &w->unknown) != JL_OK;
    jl_vapours_shifted(&w->vapours, 0, &w->table);
    worst |= figure(w, "a still of 20 runs (floor: 6000 paths)", learn, PATHS_SEASON, 3, 500);
    worst |= figure(w, "rest, still unknown (floor: 500 paths)", rest_unknown, PATHS_RUN, 3, 50);
    worst |= figure(w, "rest, still learnt (floor: 500 paths)", rest_learnt, PATHS_RUN, 1, 50);
    worst |= figure(w, "diagnosis of a run (floor: 500 paths)", diagnose, PATHS_RUN, 6, 50);
    if (w->failed) worst = 2;
    free(w);
    return worst;
}
