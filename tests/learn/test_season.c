/* Stills learnt from simulated runs whose truth is known. What intervals cover over many seasons is
 * tests/learn/covers.c.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "learn/learnt.h"
#include "learn/simulator.h"
#include "suites.h"

#include <stdlib.h>

enum { RUNS_MOST = 6 };

typedef struct season {
    sim_run runs[RUNS_MOST];
    jl_learning_run logged[RUNS_MOST];
    jl_learnt_run each[RUNS_MOST];
    jl_learnt_still still;
} season;

static const sim_limits NONE = {0};
#define WIDTHS JL_LEARNING_WIDTHS

static sim_plan plan_of(size_t i) {
    static const double STRENGTHS[] = {27, 30, 35};
    return (sim_plan){.charge_l = 10,
                      .charge_pct = STRENGTHS[i % 3],
                      .jar_l = 0.3,
                      .last_pct = 15,
                      .power_w = 2000,
                      .pressure_kpa = 101.325};
}

/* Instruments that show the truth, of which nobody knows that they do. lower_kpa: by what every second
 * run's air was thinner. */
static void simulate_at(const sim_still *still, const sim_limits *limits, unsigned long seed,
                        size_t count, double lower_kpa, season *s) {
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_taus2);
    if (rng == NULL) abort();
    gsl_rng_set(rng, seed);
    sim_bench bench = sim_bench_of(limits, rng);
    for (size_t i = 0; i < count; i++) {
        sim_plan plan = plan_of(i);
        if (i % 2 == 1) plan.pressure_kpa -= lower_kpa;
        sim_run_still(still, &plan, &bench, rng, &s->runs[i]);
        s->logged[i] = s->runs[i].logged;
        if (limits != &NONE) continue;
        s->logged[i].charge_share_u = 0.005;
        s->logged[i].charge_strength_u_pct = 0.29;
        for (size_t k = 0; k < s->logged[i].count; k++) s->runs[i].jars[k].strength_u_pct = 0.3;
    }
    gsl_rng_free(rng);
}

static void simulate(const sim_still *still, const sim_limits *limits, unsigned long seed,
                     size_t count, season *s) {
    simulate_at(still, limits, seed, count, 0, s);
}

static season *learn(const sim_still *still, const sim_limits *limits, unsigned long seed,
                     size_t count) {
    season *s = calloc(1, sizeof *s);
    const jl_learning_told told = JL_LEARNING_TOLD;
    if (s == NULL) abort();
    simulate(still, limits, seed, count, s);
    CHECK_OK(jl_learn_still(s->logged, count, &WIDTHS, &told, NULL, NULL, s->each, &s->still));
    return s;
}

static double weight_near(const jl_learnt_still *still, double stages, double within) {
    double sum = 0;
    for (size_t i = 0; i < still->count; i++)
        if (fabs(still->of[i].stages - stages) <= within) sum += still->of[i].weight;
    return sum;
}

static const jl_learnt_stages *best_of(const jl_learnt_still *still) {
    const jl_learnt_stages *best = &still->of[0];
    for (size_t i = 1; i < still->count; i++)
        if (still->of[i].weight > best->weight) best = &still->of[i];
    return best;
}

static void a_pot_is_learnt_as_a_pot(void) {
    const sim_still pot = {.stages = 1, .efficiency = 0.8};
    season *s = learn(&pot, &NONE, 1, 3);
    const jl_learnt_stages *best = best_of(&s->still);
    CHECK(best->stages == 1 && best->weight > 0.9);
    CHECK(best->mean[JL_LEARNT_SHARE] == 0);
    CHECK_NEAR(exp(best->mean[JL_LEARNT_LN_EFFICIENCY]), 0.8, 0.03);
    for (int i = 0; i < 3; i++) {
        CHECK(s->each[i].residual < 0.5 && !s->each[i].counted_down);
        CHECK_NEAR(s->each[i].charge_l.value, 10, 0.1);
        CHECK_NEAR(s->each[i].charge_strength_pct.value, plan_of((size_t)i).charge_pct, 0.3);
    }
    free(s);
}

static void stages_and_share_are_learnt_from_three_runs(void) {
    const sim_still still = {.stages = 2, .share = 0.5, .efficiency = 0.8};
    season *s = learn(&still, &NONE, 1, 3);
    const jl_learnt_stages *best = best_of(&s->still);
    CHECK(weight_near(&s->still, 2, 0.25) > 0.9 && weight_near(&s->still, 1, 0) < 1e-6);
    CHECK_NEAR(best->mean[JL_LEARNT_SHARE], 0.5, 0.02);
    CHECK_NEAR(sqrt(best->covariance[JL_LEARNT_SHARE][JL_LEARNT_SHARE]), 0.012, 0.004);
    CHECK_NEAR(best->mean[JL_LEARNT_SCALE], 0, 0.004);
    CHECK_NEAR(s->each[1].share.value, 0.5, 0.02);
    free(s);
}

/* Each run by the vapours of its own pressure: at 70 kPa all boils 10 °C lower. */
static void runs_at_two_pressures_are_of_one_still(void) {
    const sim_still still = {.stages = 2, .share = 0.5, .efficiency = 0.8};
    season *s = calloc(1, sizeof *s);
    const jl_learning_told told = JL_LEARNING_TOLD;
    if (s == NULL) abort();
    simulate_at(&still, &NONE, 1, 3, 31, s);
    CHECK(s->logged[0].pressure_kpa == s->logged[2].pressure_kpa);
    CHECK(s->logged[1].pressure_kpa < 71);
    CHECK_OK(jl_learn_still(s->logged, 3, &WIDTHS, &told, NULL, NULL, s->each, &s->still));
    CHECK_NEAR(best_of(&s->still)->mean[JL_LEARNT_SHARE], 0.5, 0.02);
    for (int i = 0; i < 3; i++) CHECK(s->each[i].residual < 0.6 && !s->each[i].counted_down);
    free(s);
}

static void the_spread_of_runs_is_learnt(void) {
    const sim_still still = {.stages = 2, .share = 0.5, .spread = 0.05, .efficiency = 0.8};
    season *s = learn(&still, &SIM_LIMITS, 5, 6);
    double spread = 0;
    for (int k = 0; k < JL_LEARNT_SPREADS; k++)
        spread += s->still.spread_weight[k] * JL_LEARNT_SPREAD[k];
    CHECK(spread > 0.02 && spread < 0.08);
    for (int i = 0; i < 6; i++) {
        CHECK_NEAR(s->each[i].share.value, s->runs[i].share, 3 * s->each[i].share.standard);
        CHECK(!s->each[i].counted_down); /* a run that varies belongs */
    }
    free(s);
}

static void a_charge_that_is_always_smaller_is_seen(void) {
    const sim_still still = {.stages = 2, .share = 0.5, .efficiency = 0.8};
    season *s = calloc(1, sizeof *s);
    const jl_learning_told told = JL_LEARNING_TOLD;
    if (s == NULL) abort();
    simulate(&still, &NONE, 1, 3, s);
    for (int i = 0; i < 3; i++) s->logged[i].charge_l *= 1.05;
    CHECK_OK(jl_learn_still(s->logged, 3, &WIDTHS, &told, NULL, NULL, s->each, &s->still));
    CHECK_NEAR(best_of(&s->still)->mean[JL_LEARNT_SCALE], 0.048, 0.012);
    free(s);
}

/* For 54 min, of which nobody knows how long the boiler cooled: said, or seen by the clock alone. */
static void a_stop_is_no_heating(void) {
    const sim_still pot = {.stages = 1, .efficiency = 0.8};
    const jl_learning_told told = JL_LEARNING_TOLD;
    jl_learnt_summary sums[3];
    season *s = calloc(1, sizeof *s);
    if (s == NULL) abort();
    for (int way = 0; way < 3; way++) {
        gsl_rng *rng = gsl_rng_alloc(gsl_rng_taus2);
        if (rng == NULL) abort();
        gsl_rng_set(rng, 2);
        sim_bench bench = sim_bench_of(&SIM_LIMITS, rng);
        sim_plan plan = plan_of(0);
        plan.pause_after = 6;
        plan.pause_s = way > 0 ? 54 * 60 : 0;
        sim_run_still(&pot, &plan, &bench, rng, &s->runs[0]);
        gsl_rng_free(rng);
        s->runs[0].jars[6].paused = way == 1;
        s->logged[0] = s->runs[0].logged;
        CHECK_OK(jl_learn_still(s->logged, 1, &WIDTHS, &told, NULL, NULL, s->each, &s->still));
        CHECK_OK(jl_learnt_summarize(&s->still, &sums[way]));
        CHECK(sums[way].efficiency.low < 0.8 && sums[way].efficiency.high > 0.8);
        CHECK(sums[way].efficiency.high - sums[way].efficiency.low < 0.08);
        CHECK_NEAR(sums[way].efficiency.value, sums[0].efficiency.value, 0.01);
    }
    CHECK_NEAR(sums[2].efficiency.value, sums[1].efficiency.value, 1e-12);
    free(s);
}

/* A charge written down a fifth too large is of that run alone. Of two nothing tells which one is off. */
static void a_run_that_does_not_belong_counts_for_less(void) {
    static const size_t RUNS[] = {2, 3, 5};
    const sim_still still = {.stages = 2, .share = 0.5, .efficiency = 0.8};
    season *s = calloc(1, sizeof *s);
    const jl_learning_told told = JL_LEARNING_TOLD;
    if (s == NULL) abort();
    for (int n = 0; n < 3; n++) {
        simulate(&still, &SIM_LIMITS, 3, RUNS[n], s);
        s->logged[RUNS[n] / 2].charge_l *= 1.2;
        CHECK_OK(
            jl_learn_still(s->logged, RUNS[n], &WIDTHS, &told, NULL, NULL, s->each, &s->still));
        for (size_t i = 0; i < RUNS[n]; i++)
            CHECK(s->each[i].counted_down == (n > 0 && i == RUNS[n] / 2));
    }
    CHECK_NEAR(best_of(&s->still)->mean[JL_LEARNT_SHARE], 0.5, 0.05);
    CHECK_NEAR(best_of(&s->still)->mean[JL_LEARNT_SCALE], 0, 0.03);
    free(s);
}

/* What chance does to one run in some dozens does not count it down. */
static void a_run_a_little_off_belongs(void) {
    const sim_still still = {.stages = 2, .share = 0.5, .efficiency = 0.8};
    season *s = calloc(1, sizeof *s);
    const jl_learning_told told = JL_LEARNING_TOLD;
    if (s == NULL) abort();
    simulate(&still, &SIM_LIMITS, 3, 4, s);
    s->logged[2].charge_l *= 1.06;
    CHECK_OK(jl_learn_still(s->logged, 4, &WIDTHS, &told, NULL, NULL, s->each, &s->still));
    for (int i = 0; i < 4; i++) CHECK(!s->each[i].counted_down);
    free(s);
}

static void what_is_told_is_not_learnt(void) {
    const sim_still still = {.stages = 2, .share = 0.5, .efficiency = 0.8};
    season *s = calloc(1, sizeof *s);
    jl_learning_told told = JL_LEARNING_TOLD;
    if (s == NULL) abort();
    simulate(&still, &NONE, 1, 2, s);
    told.stages = 12;
    told.spread = JL_LEARNT_SPREAD[1];
    CHECK_OK(jl_learn_still(s->logged, 2, &WIDTHS, &told, NULL, NULL, s->each, &s->still));
    CHECK(s->still.count == 1 && s->still.of[0].stages == 12 && s->still.of[0].weight == 1);
    CHECK_NEAR(s->still.spread_weight[1], 1, 1e-12);
    /* of a pot's share no run tells by how much it varies */
    told = JL_LEARNING_TOLD;
    told.stages = 1;
    CHECK_OK(jl_learn_still(s->logged, 2, &WIDTHS, &told, NULL, NULL, s->each, &s->still));
    for (int k = 0; k < JL_LEARNT_SPREADS; k++)
        CHECK(s->still.spread_weight[k] == jl_spread_prior(k));
    free(s);
}

static bool never(double done, void *with) {
    (void)done, (void)with;
    return false;
}

static void what_cannot_be_is_refused(void) {
    const sim_still pot = {.stages = 1, .efficiency = 0.8};
    season *s = calloc(1, sizeof *s);
    jl_learning_told told = JL_LEARNING_TOLD;
    jl_learning_widths none = WIDTHS;
    jl_learning_run run;
    if (s == NULL) abort();
    simulate(&pot, &NONE, 1, 1, s);
    none.scale = 0;
    s->still.count = 77;
#define LEARN(runs, count, widths)                                                                 \
    jl_learn_still(runs, count, widths, &told, NULL, NULL, s->each, &s->still)
    CHECK_STATUS(LEARN(s->logged, 0, &WIDTHS), JL_MISSING);
    CHECK_STATUS(LEARN(s->logged, 1, &none), JL_RANGE);
    run = s->logged[0];
    run.count = 2;
    CHECK_STATUS(LEARN(&run, 1, &WIDTHS), JL_MISSING);
    run = s->logged[0];
    run.charge_strength_pct = 96;
    CHECK_STATUS(LEARN(&run, 1, &WIDTHS), JL_RANGE);
    run = s->logged[0];
    run.pressure_kpa = NAN;
    CHECK_STATUS(LEARN(&run, 1, &WIDTHS), JL_RANGE);
    s->runs[0].jars[4].volume_l = NAN;
    CHECK_STATUS(LEARN(s->logged, 1, &WIDTHS), JL_RANGE);
    s->runs[0].jars[4].volume_l = 0.3;
    s->runs[0].jars[4].strength_pct = NAN; /* a jar that nobody read is none of these */
    CHECK_STATUS(jl_learn_still(s->logged, 1, &WIDTHS, &told, never, NULL, s->each, &s->still),
                 JL_END);
    CHECK(s->still.count == 77);
    CHECK_OK(LEARN(s->logged, 1, &WIDTHS));
    told.efficiency = 0;
    CHECK_STATUS(LEARN(s->logged, 1, &WIDTHS), JL_RANGE);
#undef LEARN
    free(s);
}

CU_TestInfo season_tests[] = {
    {"a pot is learnt as a pot", a_pot_is_learnt_as_a_pot},
    {"stages and share are learnt from three runs", stages_and_share_are_learnt_from_three_runs},
    {"runs at two pressures are of one still", runs_at_two_pressures_are_of_one_still},
    {"the spread of runs is learnt", the_spread_of_runs_is_learnt},
    {"a charge that is always smaller is seen", a_charge_that_is_always_smaller_is_seen},
    {"a run that does not belong counts for less", a_run_that_does_not_belong_counts_for_less},
    {"a stop is no heating", a_stop_is_no_heating},
    {"a run a little off belongs", a_run_a_little_off_belongs},
    {"what is told is not learnt", what_is_told_is_not_learnt},
    {"what cannot be is refused", what_cannot_be_is_refused},
    CU_TEST_INFO_NULL,
};
