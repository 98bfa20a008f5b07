/* The rest of a run, what can be said of a still, and stills of which nothing was learnt. What the
 * intervals cover is tests/learn/covers.c.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "given.h"
#include "learn/learnt.h"
#include "learn/simulator.h"
#include "log/file.h"
#include "suites.h"

#include <stdlib.h>
#include <string.h>

#define WIDTHS JL_LEARNING_WIDTHS

static const sim_limits NONE = {0};
static const jl_ahead_plan PLAN = {60, 20, 0.3, 2};

/* A run on true instruments. */
static sim_run *simulate_on(const sim_still *still, const sim_plan *plan) {
    sim_run *run = calloc(1, sizeof *run);
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_taus2);
    if (run == NULL || rng == NULL) abort();
    const sim_bench bench = sim_bench_of(&NONE, rng);
    sim_run_still(still, plan, &bench, rng, run);
    gsl_rng_free(rng);
    run->logged.charge_share_u = 0.005;
    run->logged.charge_strength_u_pct = 0.29;
    for (size_t k = 0; k < run->logged.count; k++) {
        run->jars[k].strength_u_pct = 0.3;
        run->jars[k].boiler_c = run->jars[k].head_c = NAN;
    }
    return run;
}

/* As far as so many jars. */
static sim_plan plan_of(double jar_l, size_t jars) {
    return (sim_plan){.charge_l = 10,
                      .charge_pct = 30,
                      .jar_l = jar_l,
                      .last_pct = 1,
                      .power_w = 2000,
                      .pressure_kpa = 101.325,
                      .jars_most = jars};
}

static sim_run *simulate(double stages, double share, size_t jars) {
    const sim_still still = {.stages = stages, .share = share, .efficiency = 0.8};
    const sim_plan plan = plan_of(0.3, jars);
    return simulate_on(&still, &plan);
}

static bool inside(jl_estimate e, double truth) {
    return e.low <= truth && truth <= e.high && e.low <= e.value && e.value <= e.high;
}

static void the_rest_of_a_run_is_forecast_on_a_known_still(void) {
    sim_run *run = simulate(2, 0.5, 5);
    jl_learnt_still still;
    jl_estimate next[2];
    jl_ahead ahead;
    CHECK_OK(jl_still_said(2, 0.5, 0.02, &WIDTHS, 0.8, &still));
    CHECK_OK(jl_run_ahead(&run->logged, &still, &WIDTHS, &PLAN, next, &ahead));
    CHECK(!ahead.hearts_past && !ahead.stop_past);
    CHECK_NEAR(next[0].value, run->next_pct, 0.3);
    CHECK(inside(next[0], run->next_pct) && next[0].high - next[0].low < 2);
    CHECK(next[1].value < next[0].value);
    CHECK(inside(ahead.hearts_l, run->hearts_l - run->so_far_l));
    CHECK(inside(ahead.hearts_pure_l, run->hearts_pure_l - run->so_far_pure_l));
    CHECK(inside(ahead.stop_l, run->stop_l - run->so_far_l));
    CHECK(inside(ahead.stop_pure_l, run->stop_pure_l - run->so_far_pure_l));
    CHECK(inside(ahead.hearts_s, run->hearts_s - ahead.from_s));
    CHECK(inside(ahead.stop_s, run->stop_s - ahead.from_s));
    CHECK_NEAR(ahead.stop_pure_l.value, run->stop_pure_l - run->so_far_pure_l, 0.03);
    CHECK(ahead.from_s == run->jars[4].full_s);
    CHECK(inside(ahead.charge_l, 10) && inside(ahead.charge_strength_pct, 30));
    CHECK(inside(ahead.share, 0.5) && ahead.pot_weight == 0);
    free(run);
}

/* Jars that fill in a minute, their moments off by as much: those in the wrong order count as well,
 * or the pace would be too slow. */
static void moments_in_the_wrong_order_do_not_change_the_pace(void) {
    const sim_plan plan = plan_of(0.06, 30);
    const sim_still pot = {.stages = 1, .efficiency = 0.8};
    const jl_ahead_plan small = {60, 20, 0.06, 0};
    jl_learnt_still still;
    jl_ahead before, after;
    sim_run *run = simulate_on(&pot, &plan);
    CHECK_OK(jl_still_unknown(&WIDTHS, 0.8, &still));
    CHECK_OK(jl_run_ahead(&run->logged, &still, &WIDTHS, &small, NULL, &before));
    for (size_t k = 0; k + 1 < run->logged.count; k++) run->jars[k].full_s += k % 2 ? -30 : 30;
    CHECK(run->jars[5].full_s < run->jars[4].full_s);
    CHECK_OK(jl_run_ahead(&run->logged, &still, &WIDTHS, &small, NULL, &after));
    CHECK_NEAR(after.hearts_s.value, before.hearts_s.value, 0.04 * before.hearts_s.value);
    CHECK(inside(after.hearts_s, run->hearts_s - after.from_s));
    free(run);
}

static void nothing_known_of_the_still_is_wider(void) {
    sim_run *run = simulate(2, 0.5, 5);
    jl_learnt_still any, said;
    jl_estimate next[2];
    jl_ahead wide, narrow;
    CHECK_OK(jl_still_unknown(&WIDTHS, 0.85, &any));
    CHECK_OK(jl_still_said(2, 0.5, 0.02, &WIDTHS, 0.85, &said));
    CHECK_OK(jl_run_ahead(&run->logged, &any, &WIDTHS, &PLAN, next, &wide));
    CHECK_OK(jl_run_ahead(&run->logged, &said, &WIDTHS, &PLAN, next, &narrow));
    CHECK(wide.stop_l.high - wide.stop_l.low > 1.1 * (narrow.stop_l.high - narrow.stop_l.low));
    CHECK(inside(wide.stop_l, run->stop_l - run->so_far_l));
    CHECK(wide.pot_weight < 1e-3);
    free(run);
    run = simulate(1, 0, 8);
    CHECK_OK(jl_run_ahead(&run->logged, &any, &WIDTHS, &PLAN, next, &wide));
    CHECK(wide.pot_weight > 0.5);
    free(run);
}

/* Without a jar it is the forecast of the whole run. */
static void a_run_before_its_first_jar_is_forecast_whole(void) {
    sim_run *run = simulate(2, 0.5, 5);
    jl_learnt_still still;
    jl_estimate next[2];
    jl_ahead ahead;
    jl_learning_run none = run->logged;
    none.count = 0;
    CHECK_OK(jl_still_said(2, 0.5, 0.001, &WIDTHS, 0.8, &still));
    CHECK_OK(jl_run_ahead(&none, &still, &WIDTHS, &PLAN, next, &ahead));
    CHECK_NEAR(ahead.hearts_pure_l.value, run->hearts_pure_l, 0.02);
    CHECK_NEAR(ahead.stop_l.value, run->stop_l, 0.03);
    CHECK_NEAR(ahead.stop_s.value, run->stop_s - run->first_drop_s, 0.02 * run->stop_s);
    CHECK_NEAR(next[0].value, run->true_pct[0], 0.3);
    CHECK(isnan(ahead.from_s));
    none.power_w = NAN;
    CHECK_OK(jl_run_ahead(&none, &still, &WIDTHS, &PLAN, next, &ahead));
    CHECK(isnan(ahead.stop_s.value) && isnan(ahead.hearts_s.low));
    free(run);
}

static void what_is_past_is_past(void) {
    sim_run *run = simulate(2, 0.5, 12); /* 3.6 l: hearts end at 3.3 */
    jl_learnt_still still;
    jl_estimate next[2];
    jl_ahead ahead;
    jl_ahead_plan plan = PLAN;
    CHECK_OK(jl_still_said(2, 0.5, 0.02, &WIDTHS, 0.8, &still));
    CHECK_OK(jl_run_ahead(&run->logged, &still, &WIDTHS, &plan, next, &ahead));
    CHECK(ahead.hearts_past && !ahead.stop_past);
    CHECK(ahead.hearts_l.value < 0.01 && ahead.hearts_l.low == 0 && ahead.hearts_s.low == 0);
    plan.jar_l = 40; /* more than the boiler holds */
    CHECK_OK(jl_run_ahead(&run->logged, &still, &WIDTHS, &plan, next, &ahead));
    CHECK(next[0].value > 0 && next[1].value == 0);
    free(run);
}

static void clocks_and_thermometers_may_be_missing(void) {
    sim_run *run = simulate(1, 0, 6);
    jl_learnt_still still;
    jl_estimate next[2];
    jl_ahead ahead;
    for (int k = 0; k < 6; k++) run->jars[k].full_s = NAN;
    CHECK_OK(jl_still_said(1, 0, 0, &WIDTHS, 0.8, &still));
    CHECK_OK(jl_run_ahead(&run->logged, &still, &WIDTHS, &PLAN, next, &ahead));
    CHECK(isnan(ahead.from_s));
    CHECK(ahead.stop_s.value > 3000); /* from the first drop on */
    run->jars[3].strength_pct = NAN;
    run->jars[2].boiler_c = 88;
    CHECK_OK(jl_run_ahead(&run->logged, &still, &WIDTHS, &PLAN, next, &ahead));
    CHECK(inside(ahead.stop_l, run->stop_l - run->so_far_l));
    free(run);
}

static void what_cannot_be_is_refused(void) {
    sim_run *run = simulate(1, 0, 3);
    jl_learnt_still still, none;
    jl_estimate next[2];
    jl_ahead ahead = {.from_s = 77};
    jl_ahead_plan plan = PLAN;
    CHECK_STATUS(jl_still_said(0.5, 0, 0, &WIDTHS, 0.8, &still), JL_RANGE);
    CHECK_STATUS(jl_still_said(2, 0.99, 0, &WIDTHS, 0.8, &still), JL_RANGE);
    CHECK_STATUS(jl_still_unknown(&WIDTHS, 0, &still), JL_RANGE);
    CHECK_OK(jl_still_said(2, 0.5, 0, &WIDTHS, 0.8, &still));
    none = still;
    none.count = 0;
    CHECK_STATUS(jl_run_ahead(&run->logged, &none, &WIDTHS, &plan, next, &ahead), JL_RANGE);
    none = still;
    none.of[0].covariance[1][1] = -1;
    CHECK_STATUS(jl_run_ahead(&run->logged, &none, &WIDTHS, &plan, next, &ahead), JL_RANGE);
    plan.jar_l = 0;
    CHECK_STATUS(jl_run_ahead(&run->logged, &still, &WIDTHS, &plan, next, &ahead), JL_RANGE);
    run->jars[1].strength_pct = 101;
    CHECK_STATUS(jl_run_ahead(&run->logged, &still, &WIDTHS, &PLAN, next, &ahead), JL_RANGE);
    CHECK(ahead.from_s == 77);
    free(run);
}

static void intervals_shrink_as_jars_come(void) {
    double before = INFINITY;
    for (size_t jars = 1; jars <= 13; jars += 3) {
        sim_run *run = simulate(2, 0.5, jars);
        jl_learnt_still still;
        jl_estimate next[2];
        jl_ahead ahead;
        CHECK_OK(jl_still_said(2, 0.5, 0.05, &WIDTHS, 0.8, &still));
        CHECK_OK(jl_run_ahead(&run->logged, &still, &WIDTHS, &PLAN, next, &ahead));
        double width = ahead.stop_pure_l.high - ahead.stop_pure_l.low;
        CHECK(width < before);
        before = width;
        free(run);
    }
}

/* ---- A run that others measured ---- */

/* A student laboratory, 2024 (signed sheets of a course, values only): 200 ml of ethanol of 98.8 % mas
 * and 400 ml of water in a flask; 47.4, 84 and 64 ml at 30.5 °C of 76.5, 75.5 and 66.6 % vol,
 * calculated from density, each taken as uncertain by 1 % vol (common practice, no source). */
static void two_fractions_of_a_students_batch_predict_the_third(void) {
    const double volume_ml[] = {47.4, 84, 64}, strength_pct[] = {76.5, 75.5, 66.6};
    jl_spirit ethanol, water, fraction;
    jl_learning_jar jars[3];
    jl_learnt_still pot;
    jl_estimate third;
    jl_ahead ahead;
    CHECK_OK(jl_spirit_from_volume(0.2, 0.988, 20, &ethanol));
    CHECK_OK(jl_spirit_from_volume(0.4, 0, 20, &water));
    const jl_spirit charge = jl_blend(ethanol, water);
    for (int i = 0; i < 3; i++) {
        double p;
        CHECK_OK(jl_mass_fraction_from_strength(strength_pct[i], 20, &p));
        CHECK_OK(jl_spirit_from_volume(volume_ml[i] / 1000, p, 30.5, &fraction));
        jars[i] =
            (jl_learning_jar){jl_volume_l(fraction, 20), 1e-4, strength_pct[i], 1, NAN, NAN, NAN};
    }
    const jl_learning_run run = {.jars = jars,
                                 .count = 2,
                                 .charge_l = jl_volume_l(charge, 20),
                                 .charge_strength_pct = jl_spirit_strength_pct(charge),
                                 .charge_share_u = 0.005,
                                 .charge_strength_u_pct = 0.29,
                                 .pressure_kpa = JL_PRESSURE_KPA,
                                 .power_w = NAN};
    const jl_ahead_plan plan = {60, 20, jars[2].volume_l, 1};
    CHECK_OK(jl_still_said(1, 0, 0, &WIDTHS, 0.9, &pot));
    CHECK_OK(jl_run_ahead(&run, &pot, &WIDTHS, &plan, &third, &ahead));
    double half = (third.high - third.low) / 2;
    CHECK_NEAR(third.value, strength_pct[2], hypot(half, 2));
    CHECK(half < 1.3);
    CHECK(inside(ahead.charge_strength_pct, run.charge_strength_pct));
}

/* ---- What a still may be ---- */

static void chances_add_to_one_and_a_place_more_changes_nothing(void) {
    double refined[] = {1, 1.5, 1.75, 2, 2.25, 2.5, 3, 3.5, 4, 5, 6, 8}, sum = 0, more = 0,
           near = 0;
    for (size_t i = 0; i < JL_STAGES_TRIED; i++)
        sum += jl_stages_prior(JL_STAGES_FIRST, JL_STAGES_TRIED, i);
    for (size_t i = 0; i < 12; i++) more += jl_stages_prior(refined, 12, i);
    for (size_t i = 2; i < 5; i++) near += jl_stages_prior(refined, 12, i);
    CHECK_NEAR(sum, 1, 1e-9);
    CHECK_NEAR(more, 1, 1e-9);
    CHECK_NEAR(near, 0.75 / 9 * (0.25 + 0.25 + 0.25) / 0.5, 1e-9);
    /* The last stands for as much beyond it as there is on this side, 7 to 9: for a part from 7.75 on. */
    const double ends[] = {1, 6, 7.5, 8};
    CHECK_NEAR(jl_stages_prior(ends, 4, 3), 0.75 / 9 * 1.25 / 2, 1e-9);
    sum = 0;
    for (int k = 0; k < JL_LEARNT_SPREADS; k++) sum += jl_spread_prior(k);
    CHECK_NEAR(sum, 1, 1e-9);
}

static jl_learnt_stages stages_of(double stages, double weight, double share, double share_u) {
    jl_learnt_stages s = {.stages = stages, .weight = weight};
    for (int k = 0; k < JL_LEARNT_COUNT; k++) s.covariance[k][k] = 1e-4;
    s.mean[JL_LEARNT_SHARE] = share;
    s.covariance[JL_LEARNT_SHARE][JL_LEARNT_SHARE] = share_u * share_u;
    return s;
}

static jl_learnt_still still_of(jl_learnt_stages a, jl_learnt_stages b, jl_learnt_stages c) {
    jl_learnt_still still = {.runs = 3, .count = 3, .of = {a, b, c}};
    still.spread_weight[1] = 1;
    return still;
}

static void only_what_runs_tell_is_told(void) {
    jl_learnt_summary s;
    jl_learnt_still still =
        still_of(stages_of(1.75, 0.04, 0.5, 0.02), stages_of(2, 0.66, 0.5, 0.02),
                 stages_of(2.25, 0.3, 0.52, 0.02));
    CHECK_OK(jl_learnt_summarize(&still, &s));
    CHECK(s.stages_told && s.stages == 2 && !s.pot && s.share_told && s.spread_told);
    CHECK(s.share.low > 0.45 && s.share.high < 0.57 && s.share.low < 0.5);
    CHECK(!s.scale_told && s.efficiency_told);
    still.of[1].mean[JL_LEARNT_SCALE] = still.of[0].mean[JL_LEARNT_SCALE] = 0.045;
    still.of[2].mean[JL_LEARNT_SCALE] = 0.046;
    still.runs = 2;
    CHECK_OK(jl_learnt_summarize(&still, &s));
    CHECK(s.scale_told && !s.spread_told);
    CHECK_NEAR(s.scale.value, 0.0453, 1e-4);
    /* Neighbours on either side hold enough together, though each of them has more alone. */
    still = still_of(stages_of(1.75, 0.35, 0.5, 0.02), stages_of(2, 0.25, 0.5, 0.02),
                     stages_of(2.25, 0.4, 0.5, 0.02));
    CHECK_OK(jl_learnt_summarize(&still, &s));
    CHECK(s.stages_told && s.stages == 2);
    still.of[2].weight = 0.35; /* of two that are as likely the one of fewer stages */
    CHECK(jl_learnt_best(&still) == &still.of[0]);
    /* A pot has no share, and a little share no stages. */
    still = still_of(stages_of(1, 0.95, 0, 0), stages_of(2, 0.03, 0.01, 0.03),
                     stages_of(4, 0.02, 0.01, 0.03));
    CHECK_OK(jl_learnt_summarize(&still, &s));
    CHECK(s.pot && s.stages_told && s.stages == 1 && !s.share_told);
    CHECK(s.share.low >= 0);
    still = still_of(stages_of(1.5, 0.2, 0.25, 0.05), stages_of(2, 0.3, 0.14, 0.03),
                     stages_of(4, 0.5, 0.12, 0.03));
    CHECK_OK(jl_learnt_summarize(&still, &s));
    CHECK(!s.pot && !s.stages_told && !s.share_told);
    still.of[0].weight = 7;
    CHECK_STATUS(jl_learnt_summarize(&still, &s), JL_RANGE);
}

/* ---- Written down ---- */

static const jl_dialect DIALECT = {',', false, false};

static jl_status read_text(const char *text, jl_learnt_still *still, jl_fault *fault) {
    jl_facts *facts;
    int fd = given(text);
    CHECK_OK(jl_facts_read(fd, &facts, NULL));
    close(fd);
    jl_status status = jl_learnt_read(facts, still, fault);
    jl_facts_free(facts);
    return status;
}

static char *text_of(const jl_learnt_still *still) {
    static jl_learnt_rows rows;
    jl_text text = {0};
    CHECK_OK(jl_learnt_write(still, &rows));
    for (size_t i = 0; i < rows.count; i++) jl_fact_add(&text, &DIALECT, &rows.rows[i]);
    jl_text_add(&text, "", 1);
    return text.bytes;
}

static void a_learnt_still_is_read_as_it_was_written(void) {
    jl_learnt_still still = still_of(stages_of(1, 0.25, 0, 0), stages_of(2, 0.5, -0.0123, 0.02),
                                     stages_of(8, 0.25, 0.9, 0.001)),
                    again;
    still.of[1].covariance[JL_LEARNT_SHARE][JL_LEARNT_SHIFT] = -1.99e-4;
    still.of[1].covariance[JL_LEARNT_SHIFT][JL_LEARNT_SHARE] = -1.99e-4;
    char *text = text_of(&still);
    CHECK_OK(read_text(text, &again, NULL));
    CHECK(again.count == 3 && again.runs == 3 && !again.any_share);
    CHECK_NEAR(again.spread_weight[1], 1, 1e-9);
    for (size_t i = 0; i < 3; i++) {
        CHECK(again.of[i].stages == still.of[i].stages);
        for (int k = 0; k < JL_LEARNT_COUNT; k++) {
            CHECK_NEAR(again.of[i].mean[k], still.of[i].mean[k], 1e-9);
            for (int j = 0; j < JL_LEARNT_COUNT; j++)
                CHECK_NEAR(again.of[i].covariance[k][j], still.of[i].covariance[k][j], 1e-9);
        }
    }
    free(text);
}

static void rows_that_are_no_still_are_refused(void) {
    static const char RUNS[] = "#learnt_runs,3,1 0 0 0 0\n";
    const struct {
        const char *rows;
        jl_status want;
        size_t line, column;
    } cases[] = {
        {"#title,x\n", JL_MISSING, 0, 0},
        {"#learnt_runs,3\n", JL_MISSING, 1, 3},
        {"#learnt_runs,-1,1 0 0 0 0\n", JL_RANGE, 1, 2},
        {"#learnt_runs,3,1 0 0 0\n", JL_FORM, 1, 3},
        {"#learnt_runs,3,1 0 0 0 0 0\n", JL_FORM, 1, 3},
        {"#learnt_runs,3,1 0 0 x 0\n", JL_FORM, 1, 3},
        {"#learnt_runs,3,1 0 0 0 0,x\n", JL_FORM, 1, 3},
        {"#learnt_runs,3,1 0 0 0 0\n#learnt_stages,0.5,1,1\n", JL_RANGE, 2, 2},
        {RUNS, JL_RANGE, 1, 2}, /* no stages */
        {"#learnt_stages,2,1,1\n", JL_FORM, 1, 2},
    };
    jl_learnt_still still = {.runs = 77};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        jl_fault fault;
        CHECK_STATUS(read_text(cases[i].rows, &still, &fault), cases[i].want);
        CHECK(fault.line == cases[i].line && fault.column == cases[i].column);
    }
    CHECK(still.runs == 77);
    still = still_of(stages_of(1, 0.3, 0, 0), stages_of(2, 0.5, 0.1, 0.02),
                     stages_of(8, 0.2, 0.9, 0.001));
    char *text = text_of(&still), *twice = strdup(strstr(text, "#learnt_stages"));
    char both[4000], *many = malloc(100000);
    if (many == NULL) abort();
    snprintf(both, sizeof both, "%s%s", text, twice); /* each stages twice, and two as many */
    CHECK_STATUS(read_text(both, &still, NULL), JL_RANGE);
    CHECK_STATUS(jl_learnt_write(&(jl_learnt_still){0}, &(jl_learnt_rows){0}), JL_RANGE);
    /* one place more than there is room for, each of them good */
    const char *row = strstr(text, "#learnt_stages"), *figures = strchr(strchr(row, ',') + 1, ',');
    size_t used = (size_t)sprintf(many, "#learnt_runs,3,1 0 0 0 0\n");
    for (int i = 0; i <= JL_LEARNT_STAGES_MOST; i++)
        used += (size_t)sprintf(many + used, "#learnt_stages,%d%.*s\n", i + 1,
                                (int)strcspn(figures, "\n"), figures);
    jl_fault fault;
    CHECK_STATUS(read_text(many, &still, &fault), JL_RANGE);
    CHECK(fault.line == JL_LEARNT_STAGES_MOST + 2);
    free(many);
    free(text);
    free(twice);
}

/* A jar that took a third longer than most, and more, is not of the still's pace: the heat was off. */
static void a_pause_is_not_of_the_pace(void) {
    sim_plan plan = plan_of(0.3, 8);
    const sim_still pot = {.stages = 1, .efficiency = 0.8};
    jl_learnt_still still;
    jl_ahead paced, paused;
    jl_estimate next[2];
    CHECK_OK(jl_still_unknown(&WIDTHS, 0.8, &still));
    sim_run *run = simulate_on(&pot, &plan);
    CHECK_OK(jl_run_ahead(&run->logged, &still, &WIDTHS, &PLAN, next, &paced));
    for (size_t k = 4; k < 8; k++) run->jars[k].full_s += 1200;
    CHECK_OK(jl_run_ahead(&run->logged, &still, &WIDTHS, &PLAN, next, &paused));
    CHECK_NEAR(paused.stop_s.value, paced.stop_s.value, 0.01 * paced.stop_s.value);
    free(run);
}

/* A pot that heats well, or one of 1.25 stages without reflux, which is none, that heats badly: only
 * the clock can tell. What a still of the first alone says is what both say then. */
static void the_clock_tells_which_still_it_is(void) {
    sim_run *run = simulate(1, 0, 6);
    jl_learnt_stages well = stages_of(1, 0.5, 0, 0), badly = stages_of(1.25, 0.5, 0, 0);
    well.mean[JL_LEARNT_LN_EFFICIENCY] = log(0.8);
    badly.mean[JL_LEARNT_LN_EFFICIENCY] = log(0.5);
    jl_learnt_still both = {.runs = 3, .count = 2, .of = {well, badly}, .spread_weight = {1}};
    jl_learnt_still one = {.runs = 3, .count = 1, .of = {well}, .spread_weight = {1}};
    jl_ahead told, alone;
    jl_estimate next[2];
    one.of[0].weight = 1;
    CHECK_OK(jl_run_ahead(&run->logged, &both, &WIDTHS, &PLAN, next, &told));
    CHECK_OK(jl_run_ahead(&run->logged, &one, &WIDTHS, &PLAN, next, &alone));
    CHECK_NEAR(told.stop_s.value, alone.stop_s.value, 0.01 * alone.stop_s.value);
    CHECK_NEAR(told.stop_s.high, alone.stop_s.high, 0.02 * alone.stop_s.value);
    free(run);
}

CU_TestInfo ahead_tests[] = {
    {"a pause is not of the pace", a_pause_is_not_of_the_pace},
    {"the clock tells which still it is", the_clock_tells_which_still_it_is},
    {"the rest of a run is forecast on a known still",
     the_rest_of_a_run_is_forecast_on_a_known_still},
    {"moments in the wrong order do not change the pace",
     moments_in_the_wrong_order_do_not_change_the_pace},
    {"nothing known of the still is wider", nothing_known_of_the_still_is_wider},
    {"a run before its first jar is forecast whole", a_run_before_its_first_jar_is_forecast_whole},
    {"what is past is past", what_is_past_is_past},
    {"clocks and thermometers may be missing", clocks_and_thermometers_may_be_missing},
    {"what cannot be is refused", what_cannot_be_is_refused},
    {"intervals shrink as jars come", intervals_shrink_as_jars_come},
    {"two fractions of a student's batch predict the third",
     two_fractions_of_a_students_batch_predict_the_third},
    {"chances add to one and a place more changes nothing",
     chances_add_to_one_and_a_place_more_changes_nothing},
    {"only what runs tell is told", only_what_runs_tell_is_told},
    {"a learnt still is read as it was written", a_learnt_still_is_read_as_it_was_written},
    {"rows that are no still are refused", rows_that_are_no_still_are_refused},
    CU_TEST_INFO_NULL,
};
