/* A run read in other ways than by volume and reading: by weight, and in the running spout alone,
 * against what a forecast's jars hold.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "run/run.h"
#include "run/run_of.h"
#include "still/forecast.h"
#include "suites.h"

#include <stdio.h>
#include <stdlib.h>

enum { RUNS = 60, LOG_BYTES = 16384 };

static double random_share(uint32_t *state) {
    *state = *state * 1664525u + 1013904223u;
    return *state / 4294967296.0;
}

static double rounded_to(double value, double step) {
    return round(value / step) * step;
}

static void forecast_of(double stages, double reflux, uint32_t *seed, jl_forecast_jars *jars) {
    jl_still still = JL_STILL;
    double pct = 20 + 20 * random_share(seed), p;
    jl_plan plan = JL_PLAN(pct);
    jl_spirit charge;
    still.stages = stages;
    still.reflux_ratio = reflux;
    plan.jar_l = (0.02 + 0.03 * random_share(seed)) * 10;
    plan.cuts = (jl_cut_rules){.tails = {JL_CUT_SPOUT_PCT, 20}};
    CHECK_OK(jl_mass_fraction_from_strength(pct, JL_STRENGTH_C, &p));
    CHECK_OK(jl_spirit_from_volume(10, p, JL_STRENGTH_C, &charge));
    CHECK_OK(jl_forecast_all(&still, charge, &plan, jars));
}

/* With the expected run of the log, shifted by what nobody knows beforehand. */
static size_t begin_log(const jl_forecast_jars *jars, double off_pct, char *text) {
    size_t used = 0;
    for (size_t i = 0; i < jars->count; i++) {
        jl_fact_entry row = jl_expected_row(&jars->jars[i]);
        used += (size_t)snprintf(text + used, LOG_BYTES - used, "#expect,%.4f,%.2f\n",
                                 row.values[0], fmin(row.values[1] + off_pct, 97));
    }
    return used;
}

typedef struct outcome {
    int runs_within, jars, jars_covered;
    double worst_total;
} outcome;

/* Readings of the spout to 0.5 % vol as each jar ends, and nothing else. */
static void read_at_the_spout(double stages, double reflux, double within_pct, outcome *o) {
    const double step = 0.5, read_u = step / sqrt(12) / sqrt(2); /* of two readings a jar */
    uint32_t seed = 7;
    char *text = malloc(LOG_BYTES);
    *o = (outcome){0};
    for (int k = 0; k < RUNS; k++) {
        jl_forecast_jars jars;
        double pure_l = 0, truth_l = 0, worst = 0;
        forecast_of(stages, reflux, &seed, &jars);
        size_t used = begin_log(&jars, 4 * random_share(&seed) - 2, text);
        used += (size_t)sprintf(text + used, "volume_l,spout_pct,spout_temp_c\n");
        for (size_t i = 0; i < jars.count; i++)
            used += (size_t)snprintf(text + used, LOG_BYTES - used, "%.6f,%.1f,20\n",
                                     jl_volume_l(jars.jars[i].spirit, JL_STRENGTH_C),
                                     rounded_to(jars.jars[i].spout_pct, step));
        jl_run *run = run_of(text);
        for (size_t i = 0; i < jars.count; i++) {
            const jl_jar *jar = jl_run_jar(run, i);
            double off =
                jl_spirit_strength_pct(jar->spirit) - jl_spirit_strength_pct(jars.jars[i].spirit);
            CHECK(jar->from_spout && jar->curve_u_pct >= 0);
            pure_l += jl_pure_alcohol_l(jar->spirit);
            truth_l += jl_pure_alcohol_l(jars.jars[i].spirit);
            if (i == 0 || jars.jars[i].spout_pct < 60) continue; /* foreshots and tails */
            worst = fmax(worst, fabs(off));
            o->jars++;
            o->jars_covered += fabs(off) <= 2 * hypot(read_u, jar->curve_u_pct);
        }
        o->runs_within += worst <= within_pct;
        o->worst_total = fmax(o->worst_total, fabs(pure_l / truth_l - 1));
        jl_run_free(run);
        jl_forecast_jars_free(&jars);
    }
    free(text);
}

static void readings_of_the_spout_alone_give_the_jars(void) {
    static const struct {
        double stages, reflux, within_pct;
    } AT[] = {{1, 0, 0.6}, {3, 0.5, 0.6}, {3, 2, 1.2}};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        outcome o;
        read_at_the_spout(AT[i].stages, AT[i].reflux, AT[i].within_pct, &o);
        double covered = (double)o.jars_covered / o.jars;
        CHECK(o.runs_within >= 0.95 * RUNS);
        CHECK(covered >= 0.9 && covered <= 0.99);
        CHECK_NEAR(o.worst_total, 0, 0.01);
    }
}

/* A scale of ±0.2 % and 1 g against a jug of ±1 % and 10 mL: the same run both ways. */
static void a_run_by_weight_is_the_run_by_volume(void) {
    uint32_t seed = 3;
    char *log[2] = {malloc(LOG_BYTES), malloc(LOG_BYTES)};
    for (int k = 0; k < RUNS; k++) {
        jl_forecast_jars jars;
        double pure_l[2] = {0, 0};
        const double jug = 1 + 0.01 * (2 * random_share(&seed) - 1),
                     scale = 1 + 0.002 * (2 * random_share(&seed) - 1);
        forecast_of(1, 0, &seed, &jars);
        size_t used[2] = {(size_t)sprintf(log[0], "volume_l,strength_pct\n"),
                          (size_t)sprintf(log[1], "#empty_g,184\nweight_g,strength_pct\n")};
        for (size_t i = 0; i < jars.count; i++) {
            jl_spirit s = jars.jars[i].spirit;
            double volume_l = jl_volume_l(s, JL_STRENGTH_C), pct = jl_spirit_strength_pct(s);
            double net_kg = jl_scale_from_mass_kg(jl_mass_kg(s), jl_mass_kg(s) / volume_l * 1000);
            used[0] += (size_t)sprintf(log[0] + used[0], "%.3f,%.4f\n",
                                       rounded_to(volume_l * jug, 0.01), pct);
            used[1] +=
                (size_t)sprintf(log[1] + used[1], "%.0f,%.4f\n", 1000 * net_kg * scale + 184, pct);
        }
        for (int way = 0; way < 2; way++) {
            jl_run *run = run_of(log[way]);
            pure_l[way] = jl_pure_alcohol_l(jl_run_recovery(run)->collected);
            CHECK(jl_run_jar(run, 0)->by_weight == (way == 1));
            jl_run_free(run);
        }
        /* the jug's and the scale's own error, and half a division in jars that are all alike */
        CHECK_NEAR(pure_l[1] / pure_l[0], 1,
                   0.012 + 0.005 / jl_volume_l(jars.jars[1].spirit, JL_STRENGTH_C));
        jl_forecast_jars_free(&jars);
    }
    free(log[0]);
    free(log[1]);
}

static void what_was_taken_is_recovered_and_not_blended(void) {
    jl_run *run =
        run_of("volume_ml,strength_pct,taken_ml,fraction\n500,70,50,hearts\n500,60,,hearts\n");
    const jl_tally *tally = jl_run_tally(run);
    CHECK_NEAR(jl_pure_alcohol_l(jl_run_recovery(run)->collected), 0.65, 1e-9);
    CHECK_NEAR(jl_pure_alcohol_l(tally->of[JL_HEARTS].spirit), 0.615, 1e-9);
    CHECK_NEAR(jl_pure_alcohol_l(tally->taken), 0.035, 1e-9);
    CHECK_NEAR(tally->of[JL_HEARTS].measured_l, 0.95, 1e-12);
    CHECK_NEAR(jl_run_jar(run, 1)->before_l, 0.5, 1e-9); /* it has run all the same */
    CHECK_NEAR(jl_jar_amount(jl_run_jar(run, 0)).size, 0.45, 1e-9);
    jl_run_free(run);
}

static void jars_of_both_kinds_stand_in_one_run(void) {
    jl_run *run = run_of("volume_ml,reading_pct,temp_c,spout_pct,spout_temp_c\n"
                         "500,70,20,,\n500,,,66,20\n500,,,64,20\n500,62.9,20,61.9,20\n");
    CHECK(!jl_run_jar(run, 0)->from_spout && jl_run_jar(run, 1)->from_spout);
    CHECK_NEAR(jl_spirit_strength_pct(jl_run_jar(run, 1)->spirit), 67.3, 0.4);
    CHECK_NEAR(jl_spirit_strength_pct(jl_run_jar(run, 2)->spirit), 65, 0.1);
    CHECK_NEAR(jl_spirit_strength_pct(jl_run_jar(run, 3)->spirit), 62.9, 1e-6);
    jl_run_free(run);
}

static void a_stop_has_no_rate(void) {
    jl_run *run = run_of("#resumed,2026-03-07T20:00:00Z\njar,time,volume_ml,strength_pct\n"
                         "1,2026-03-07T18:00:00Z,500,70\n2,2026-03-07T20:10:00Z,500,69\n"
                         "3,2026-03-07T20:10:59Z,500,68\n4,2026-03-07T20:12:00Z,500,67\n");
    const jl_jar *jar = jl_run_jar(run, 0);
    CHECK(jar[1].resumed && !jar[2].resumed && isnan(jl_jar_minutes(&jar[0], &jar[1])));
    CHECK(isnan(jl_jar_rate_ml_min(&jar[1], &jar[2]))); /* within a minute */
    CHECK_NEAR(jl_jar_minutes(&jar[2], &jar[3]), 61 / 60.0, 1e-9);
    jl_run_free(run);
}

CU_TestInfo ways_tests[] = {
    {"readings of the spout alone give the jars", readings_of_the_spout_alone_give_the_jars},
    {"a run by weight is the run by volume", a_run_by_weight_is_the_run_by_volume},
    {"what was taken is recovered and not blended", what_was_taken_is_recovered_and_not_blended},
    {"jars of both kinds stand in one run", jars_of_both_kinds_stand_in_one_run},
    {"a stop has no rate", a_stop_has_no_rate},
    CU_TEST_INFO_NULL,
};
