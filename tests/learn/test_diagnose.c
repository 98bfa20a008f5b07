/* What is wrong with a run is found, and nothing where nothing is. How often is tests/learn/covers.c.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "learn/simulator.h"
#include "suites.h"

#include <stdlib.h>

#define WIDTHS JL_LEARNING_WIDTHS

static const sim_still POT = {.stages = 1, .efficiency = 0.8, .walk = 0.005};
static const sim_still TWO = {.stages = 2, .share = 0.5, .efficiency = 0.8, .walk = 0.005};

static sim_plan plan_of(void) {
    return (sim_plan){.charge_l = 10,
                      .charge_pct = 30,
                      .jar_l = 0.3,
                      .last_pct = 15,
                      .power_w = 2000,
                      .pressure_kpa = 101.325};
}

static sim_run *simulate(const sim_still *still, const sim_plan *plan) {
    sim_run *run = calloc(1, sizeof *run);
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_taus2);
    if (run == NULL || rng == NULL) abort();
    gsl_rng_set(rng, 7);
    const sim_bench bench = sim_bench_of(&SIM_LIMITS, rng);
    sim_run_still(still, plan, &bench, rng, run);
    gsl_rng_free(rng);
    for (size_t k = 0; k < run->logged.count; k++)
        run->jars[k].boiler_c = run->jars[k].head_c = NAN;
    return run;
}

static void no_clock(sim_run *run) {
    for (size_t k = 0; k < run->logged.count; k++) run->jars[k].full_s = NAN;
}

static jl_diagnosis diagnose(const sim_run *run, double stages, double share) {
    jl_learnt_still still;
    jl_diagnosis d = {0};
    CHECK_OK(jl_still_said(stages, share, 0.02, &WIDTHS, 0.8, &still));
    still.of[0].covariance[JL_LEARNT_LN_EFFICIENCY][JL_LEARNT_LN_EFFICIENCY] = 0.02 * 0.02;
    CHECK_OK(jl_run_diagnose(&run->logged, &still, &WIDTHS, &d));
    return d;
}

static void a_run_without_fault_is_not_flagged(void) {
    const sim_plan plan = plan_of();
    sim_run *run = simulate(&TWO, &plan);
    jl_diagnosis d = diagnose(run, 2, 0.5);
    double sum = 0;
    CHECK(!d.flagged && d.cause == JL_CAUSE_NONE && d.odds < 1 && d.odds > 0);
    for (int k = JL_CAUSE_SLIP; k < JL_CAUSES; k++) sum += d.of[k].share;
    CHECK_NEAR(sum, 1, 1e-9);
    free(run);
}

/* Flagged is what more likely is a fault than none: at 1.7 % vol the odds are 3 to 4, at 2 % vol 4 to
 * 1. */
static void what_is_less_likely_than_not_is_not_flagged(void) {
    const sim_plan plan = plan_of();
    sim_run *run = simulate(&TWO, &plan);
    run->jars[8].strength_pct += 1.7;
    jl_diagnosis d = diagnose(run, 2, 0.5);
    CHECK(d.odds > 0.5 && d.odds < 1 && !d.flagged);
    run->jars[8].strength_pct += 0.3;
    d = diagnose(run, 2, 0.5);
    CHECK(d.odds > 2 && d.odds < 6 && d.flagged && d.cause == JL_CAUSE_SLIP);
    free(run);
}

/* 53.5 for 73.5, as in a log that was taken for one of a weak charge. */
static void a_slip_of_the_pen_is_found_with_its_jar(void) {
    const sim_plan plan = plan_of();
    sim_run *run = simulate(&TWO, &plan);
    double right = run->jars[8].strength_pct;
    run->jars[8].strength_pct -= 20;
    jl_diagnosis d = diagnose(run, 2, 0.5);
    CHECK(d.flagged && d.cause == JL_CAUSE_SLIP);
    CHECK(d.of[JL_CAUSE_SLIP].jar == 8 && d.of[JL_CAUSE_SLIP].jar_told);
    CHECK_NEAR(d.strength_pct, right, 1.5);
    no_clock(run);
    run->jars[8].strength_pct = right + 4;
    d = diagnose(run, 2, 0.5);
    CHECK(d.cause == JL_CAUSE_SLIP && d.of[JL_CAUSE_SLIP].jar == 8);
    free(run);
}

/* Jars that fill in a minute, their moments off by as much: some stand in the wrong order. */
static void small_jars_are_no_fault_and_hide_no_pause(void) {
    sim_plan plan = plan_of();
    plan.jar_l = 0.06;
    for (int pause = 0; pause < 2; pause++) {
        plan.pause_after = 20;
        plan.pause_s = pause * 600;
        sim_run *run = simulate(&POT, &plan);
        size_t reversed = 0;
        for (size_t k = 0; k < run->logged.count; k++) {
            run->jars[k].full_s += k % 2 ? -30 : 30;
            reversed += k > 0 && run->jars[k].full_s <= run->jars[k - 1].full_s;
        }
        jl_diagnosis d = diagnose(run, 1, 0);
        CHECK(reversed > 10);
        CHECK(d.flagged == (pause > 0) && d.cause == (pause ? JL_CAUSE_PAUSE : JL_CAUSE_NONE));
        CHECK(!pause || d.of[JL_CAUSE_PAUSE].jar == 20);
        free(run);
    }
}

static void a_missing_jar_is_found_by_strengths_and_by_the_clock(void) {
    sim_plan plan = plan_of();
    plan.lost_after = 8;
    plan.lost_jars = 1;
    sim_run *run = simulate(&POT, &plan);
    jl_diagnosis d = diagnose(run, 1, 0);
    CHECK(d.cause == JL_CAUSE_MISSING && d.of[JL_CAUSE_MISSING].jar == 8);
    CHECK(d.of[JL_CAUSE_MISSING].jar_told && !d.alike);
    CHECK_NEAR(d.missing_jars, 1, 0.2);
    no_clock(run);
    d = diagnose(run, 1, 0);
    CHECK(d.cause == JL_CAUSE_MISSING && d.of[JL_CAUSE_MISSING].jar == 8);
    free(run);
    plan.lost_after = 5; /* where a still with reflux is level, only the clock shows the place */
    run = simulate(&TWO, &plan);
    d = diagnose(run, 2, 0.5);
    CHECK(d.cause == JL_CAUSE_MISSING && d.of[JL_CAUSE_MISSING].jar == 5);
    free(run);
}

static void a_pause_is_no_missing_jar(void) {
    sim_plan plan = plan_of();
    plan.pause_after = 6;
    plan.pause_s = 600;
    sim_run *run = simulate(&TWO, &plan);
    jl_diagnosis d = diagnose(run, 2, 0.5);
    CHECK(d.cause == JL_CAUSE_PAUSE && d.of[JL_CAUSE_PAUSE].jar == 6);
    CHECK(d.of[JL_CAUSE_PAUSE].jar_told);
    free(run);
}

static void a_wrong_charge_is_not_told_from_an_early_jar(void) {
    const sim_plan plan = plan_of();
    sim_run *run = simulate(&POT, &plan);
    run->logged.charge_l *= 1.12;
    jl_diagnosis d = diagnose(run, 1, 0);
    CHECK(d.flagged);
    CHECK(d.cause == JL_CAUSE_CHARGE || d.alike);
    CHECK_NEAR(d.charge_l, 10, 0.6);
    free(run);
}

static void readings_that_are_all_off_are_no_charge_and_no_still(void) {
    const sim_plan plan = plan_of();
    for (int in_proportion = 0; in_proportion < 2; in_proportion++) {
        sim_run *run = simulate(&TWO, &plan);
        for (size_t k = 0; k < run->logged.count; k++)
            run->jars[k].strength_pct -= in_proportion ? 0.05 * run->jars[k].strength_pct : 4;
        jl_diagnosis d = diagnose(run, 2, 0.5);
        CHECK(d.flagged && d.cause == JL_CAUSE_READINGS && !d.alike);
        /* What is found of 4 and of 5 % of each, drawn in by what is usual: a guard against change. */
        CHECK_NEAR(d.readings_high_pct, -3.3, 0.3);
        free(run);
    }
}

static void a_still_that_is_not_as_said_is_found(void) {
    const sim_plan plan = plan_of();
    sim_run *run = simulate(&TWO, &plan);
    jl_diagnosis d = diagnose(run, 1, 0);
    CHECK(d.flagged && d.cause == JL_CAUSE_STILL);
    free(run);
    run = simulate(&POT, &plan);
    d = diagnose(run, 2, 0.5);
    CHECK(d.flagged && d.cause == JL_CAUSE_STILL);
    /* Of a still of which nothing is said nothing can be wrong. */
    jl_learnt_still any;
    CHECK_OK(jl_still_unknown(&WIDTHS, 0.85, &any));
    CHECK_OK(jl_run_diagnose(&run->logged, &any, &WIDTHS, &d));
    CHECK(!d.flagged && d.of[JL_CAUSE_STILL].share == 0);
    free(run);
}

/* What another still could say better is weighed, also where all jars are off by as much; what is as said
 * is not. */
static void another_still_is_weighed_where_it_could_say_it_better(void) {
    const sim_plan plan = plan_of();
    for (int off_pct = 0; off_pct < 2; off_pct++) {
        sim_run *run = simulate(&TWO, &plan);
        for (size_t k = 0; k < run->logged.count; k++) run->jars[k].strength_pct += off_pct;
        CHECK((diagnose(run, 2, 0.5).of[JL_CAUSE_STILL].share > 0) == (off_pct > 0));
        free(run);
    }
}

static void little_is_found_wrong_with_a_jar_or_two(void) {
    sim_plan plan = plan_of();
    plan.jars_most = 1;
    sim_run *run = simulate(&TWO, &plan);
    jl_diagnosis d = diagnose(run, 2, 0.5), before;
    CHECK(!d.flagged);
    before = d;
    run->jars[0].strength_pct = NAN;
    jl_learnt_still still;
    CHECK_OK(jl_still_said(2, 0.5, 0.02, &WIDTHS, 0.8, &still));
    CHECK_STATUS(jl_run_diagnose(&run->logged, &still, &WIDTHS, &d), JL_MISSING);
    run->logged.count = 0;
    CHECK_STATUS(jl_run_diagnose(&run->logged, &still, &WIDTHS, &d), JL_MISSING);
    still.of[0].stages = NAN;
    run->logged.count = 1;
    CHECK_STATUS(jl_run_diagnose(&run->logged, &still, &WIDTHS, &d), JL_RANGE);
    CHECK(d.odds == before.odds);
    free(run);
}

/* Two drops in which nothing can show: that a jar is missing before either is as likely as it was
 * before, 0.005 each, whatever is missing. */
static void drops_leave_a_missing_jar_as_likely_as_it_was(void) {
    sim_plan plan = plan_of();
    plan.jars_most = 2;
    sim_run *run = simulate(&TWO, &plan);
    no_clock(run);
    for (size_t k = 0; k < 2; k++) run->jars[k].volume_l = 1e-5, run->jars[k].volume_u_l = 1e-8;
    jl_diagnosis d = diagnose(run, 2, 0.5);
    CHECK(run->logged.count == 2);
    CHECK_NEAR(d.odds * d.of[JL_CAUSE_MISSING].share, 2 * 0.005, 1e-6);
    free(run);
}

CU_TestInfo diagnose_tests[] = {
    {"a run without fault is not flagged", a_run_without_fault_is_not_flagged},
    {"what is less likely than not is not flagged", what_is_less_likely_than_not_is_not_flagged},
    {"a slip of the pen is found with its jar", a_slip_of_the_pen_is_found_with_its_jar},
    {"small jars are no fault and hide no pause", small_jars_are_no_fault_and_hide_no_pause},
    {"a missing jar is found by strengths and by the clock",
     a_missing_jar_is_found_by_strengths_and_by_the_clock},
    {"a pause is no missing jar", a_pause_is_no_missing_jar},
    {"a wrong charge is not told from an early jar", a_wrong_charge_is_not_told_from_an_early_jar},
    {"readings that are all off are no charge and no still",
     readings_that_are_all_off_are_no_charge_and_no_still},
    {"a still that is not as said is found", a_still_that_is_not_as_said_is_found},
    {"another still is weighed where it could say it better",
     another_still_is_weighed_where_it_could_say_it_better},
    {"drops leave a missing jar as likely as it was",
     drops_leave_a_missing_jar_as_likely_as_it_was},
    {"little is found wrong with a jar or two", little_is_found_wrong_with_a_jar_or_two},
    CU_TEST_INFO_NULL,
};
