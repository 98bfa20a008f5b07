/* A strip run, its low wines with feints, and the spirit runs on them.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "still/forecast.h"
#include "suites.h"

static jl_spirit amount(double volume_l, double strength_pct) {
    double w = NAN;
    jl_spirit spirit = {NAN, NAN};
    CHECK_OK(jl_mass_fraction_from_strength(strength_pct, 20, &w));
    CHECK_OK(jl_spirit_from_volume(volume_l, w, 20, &spirit));
    return spirit;
}

static jl_chain strip(const jl_chain_charge *charge) {
    const jl_still still = JL_STILL;
    const jl_plan plan = JL_PLAN(0);
    jl_chain chain = {.strip_loads = 0};
    CHECK_OK(jl_chain_strip(&still, &plan, charge, &chain));
    return chain;
}

static void loads_are_as_few_as_fit(void) {
    CHECK(jl_even_loads(60, 20) == 3);
    CHECK(jl_even_loads(60.001, 20) == 4);
    CHECK(jl_even_loads(0.3, 0.1) == 3);
    CHECK(jl_even_loads(24, 36 * (2.0 / 3)) == 1);
    CHECK(jl_even_loads(5, 20) == 1);
    CHECK(jl_even_loads(60, 0) == 1);
}

static void nothing_is_lost_between_the_runs(void) {
    jl_chain_charge charge = {.wash = amount(60, 9), .feints = amount(1.5, 45), .load_l = 25};
    jl_chain c = strip(&charge);
    CHECK(c.strip_loads == 3);
    CHECK_NEAR(c.strip.charge.ethanol_kg * 3, charge.wash.ethanol_kg, 1e-12);
    jl_spirit left = {c.strip.left.ethanol_kg * 3, c.strip.left.water_kg * 3};
    jl_spirit back = jl_blend(c.low_wines, left);
    CHECK_NEAR(back.ethanol_kg, charge.wash.ethanol_kg, 1e-9 * charge.wash.ethanol_kg);
    CHECK_NEAR(back.water_kg, charge.wash.water_kg, 1e-9 * charge.wash.water_kg);
    CHECK_NEAR(c.pool.ethanol_kg, c.low_wines.ethanol_kg + charge.feints.ethanol_kg, 1e-12);
    CHECK(c.spirit_loads == 1);
    CHECK_NEAR(c.spirit_charge.water_kg, c.pool.water_kg, 1e-12);
}

static void one_load_is_the_run_itself(void) {
    const jl_still still = JL_STILL;
    const jl_plan plan = JL_PLAN(0);
    jl_chain_charge charge = {.wash = amount(20, 12)};
    jl_chain c = strip(&charge);
    jl_forecast run = JL_FORECAST;
    CHECK_OK(jl_forecast_run(&still, charge.wash, &plan, &run));
    CHECK(c.strip_loads == 1 && c.spirit_loads == 1);
    CHECK_NEAR(c.low_wines.ethanol_kg, run.collected.ethanol_kg, 1e-10);
    CHECK_NEAR(c.strip.duration_s, run.duration_s, 1e-6);
}

static void so_many_loads_as_are_stated(void) {
    jl_chain_charge charge = {.wash = amount(60, 9), .load_l = 25};
    charge.strip_loads = 2;
    charge.spirit_loads = 4;
    jl_chain c = strip(&charge);
    CHECK(c.strip_loads == 2 && c.spirit_loads == 4);
    CHECK_NEAR(c.spirit_charge.ethanol_kg * 4, c.pool.ethanol_kg, 1e-12);
}

static void figures_are_of_all_loads(void) {
    const jl_still still = JL_STILL;
    const jl_plan plan = JL_PLAN(30);
    jl_chain_charge charge = {.wash = amount(60, 9), .feints = amount(1.5, 45), .load_l = 10};
    jl_chain c = strip(&charge);
    double f[JL_CHAIN_FIGURES], one[JL_RUN_FIGURES], stripped[JL_RUN_FIGURES];
    CHECK(c.strip_loads == 6 && c.spirit_loads == 2);
    CHECK_OK(jl_forecast_run(&still, c.spirit_charge, &plan, &c.spirit));
    jl_chain_figures(&c, f);
    jl_forecast_figures(&c.spirit, one);
    jl_forecast_figures(&c.strip, stripped);
    CHECK_NEAR(f[JL_CHAIN_LOW_WINES_L], 6 * stripped[JL_RUN_COLLECTED_L], 1e-9);
    CHECK_NEAR(f[JL_CHAIN_LOW_WINES_PCT], stripped[JL_RUN_COLLECTED_PCT], 1e-9);
    CHECK_NEAR(f[JL_CHAIN_HEARTS_L], 2 * one[JL_RUN_HEARTS_L], 1e-9);
    CHECK_NEAR(f[JL_CHAIN_HEARTS_PURE_L], 2 * one[JL_RUN_HEARTS_PURE_L], 1e-9);
    CHECK_NEAR(f[JL_CHAIN_STRIPS_S], 6 * stripped[JL_RUN_DURATION_S], 1e-6);
    CHECK_NEAR(f[JL_CHAIN_DURATION_S], 6 * stripped[JL_RUN_DURATION_S] + 2 * one[JL_RUN_DURATION_S],
               1e-6);
    CHECK_NEAR(f[JL_CHAIN_DURATION_H], f[JL_CHAIN_DURATION_S] / 3600, 1e-12);
    CHECK_NEAR(f[JL_CHAIN_ENERGY_KWH], 6 * stripped[JL_RUN_ENERGY_KWH] + 2 * one[JL_RUN_ENERGY_KWH],
               1e-9);
    CHECK_NEAR(f[JL_CHAIN_COOLANT_L], 6 * stripped[JL_RUN_COOLANT_L] + 2 * one[JL_RUN_COOLANT_L],
               1e-9);
    double charged_l = jl_pure_alcohol_l(charge.wash) + jl_pure_alcohol_l(charge.feints);
    CHECK_NEAR(f[JL_CHAIN_HEARTS_SHARE_PCT], 100 * f[JL_CHAIN_HEARTS_PURE_L] / charged_l, 1e-9);
    CHECK_NEAR(f[JL_CHAIN_STRIP_RECOVERED_PCT],
               600 * stripped[JL_RUN_COLLECTED_PURE_L] / jl_pure_alcohol_l(charge.wash), 1e-9);
    double out_l = f[JL_CHAIN_HEARTS_PURE_L] + f[JL_CHAIN_FEINTS_PURE_L] +
                   2 * (jl_pure_alcohol_l(c.spirit.left) +
                        jl_pure_alcohol_l(c.spirit.fractions[JL_FORESHOTS]));
    CHECK_NEAR(out_l, jl_pure_alcohol_l(c.pool), 1e-8);
}

static void a_smaller_last_load_is_a_run_of_its_own(void) {
    const jl_still still = JL_STILL;
    jl_plan plan = JL_PLAN(0);
    jl_chain_charge charge = {
        .wash = amount(60, 9), .load_l = 25, .strip_loads = 3, .last_share = 10 / 60.0};
    jl_chain c = strip(&charge);
    double f[JL_CHAIN_FIGURES], full[JL_RUN_FIGURES], last[JL_RUN_FIGURES];
    jl_forecast own = JL_FORECAST;
    plan.jar_l = 1e6;
    CHECK_OK(jl_forecast_run(&still, amount(10, 9), &plan, &own));
    CHECK_NEAR(jl_volume_l(c.strip.charge, JL_STRENGTH_C), 25, 1e-9);
    CHECK_NEAR(jl_volume_l(c.last.charge, JL_STRENGTH_C), 10, 1e-9);
    jl_forecast_figures(&c.strip, full);
    jl_forecast_figures(&c.last, last);
    CHECK_NEAR(last[JL_RUN_COLLECTED_PURE_L], jl_pure_alcohol_l(own.collected), 1e-9);
    jl_chain_figures(&c, f);
    CHECK_NEAR(f[JL_CHAIN_LOW_WINES_PURE_L],
               2 * full[JL_RUN_COLLECTED_PURE_L] + last[JL_RUN_COLLECTED_PURE_L], 1e-9);
    CHECK_NEAR(f[JL_CHAIN_STRIPS_S], 2 * full[JL_RUN_DURATION_S] + last[JL_RUN_DURATION_S], 1e-6);
    CHECK_NEAR(f[JL_CHAIN_STRIPS_KWH], 2 * full[JL_RUN_ENERGY_KWH] + last[JL_RUN_ENERGY_KWH], 1e-9);
    CHECK_NEAR(f[JL_CHAIN_STRIPS_COOLANT_L], 2 * full[JL_RUN_COOLANT_L] + last[JL_RUN_COOLANT_L],
               1e-9);
    /* a pot that is warmed less long: not what three even ones take */
    charge.last_share = 0;
    c = strip(&charge);
    CHECK_NEAR(c.last.duration_s, c.strip.duration_s, 0);
    CHECK_NEAR(jl_volume_l(c.last.charge, JL_STRENGTH_C), 20, 1e-9);
}

static void a_strip_that_stops_at_once_has_no_low_wines(void) {
    const jl_still still = JL_STILL;
    jl_plan plan = JL_PLAN(0);
    jl_chain_charge charge = {.wash = amount(20, 12)};
    jl_chain chain;
    plan.cuts.tails = (jl_cut){JL_CUT_SPOUT_PCT, 95};
    CHECK_OK(jl_chain_strip(&still, &plan, &charge, &chain));
    CHECK(jl_mass_kg(chain.low_wines) == 0 && jl_mass_kg(chain.pool) == 0);
}

static void what_cannot_be_charged_is_refused(void) {
    const jl_still still = JL_STILL;
    const jl_plan plan = JL_PLAN(0);
    jl_chain chain = {.strip_loads = 77};
    const jl_spirit wash = amount(20, 12);
    const jl_chain_charge bad[] = {
        {.wash = {0, 0}},
        {.wash = {1, 0}},
        {.wash = {NAN, 1}},
        {.wash = wash, .feints = {-1, 0}},
        {.wash = wash, .load_l = -1},
        {.wash = wash, .load_l = NAN},
        {.wash = wash, .load_l = 1e-9},
        {.wash = wash, .strip_loads = 2000000},
        {.wash = wash, .spirit_loads = 2000000},
        {.wash = wash, .strip_loads = 1, .last_share = 0.5},
        {.wash = wash, .last_share = 0.5},
        {.wash = wash, .strip_loads = 2, .last_share = 1},
        {.wash = wash, .strip_loads = 2, .last_share = -0.1},
        {.wash = wash, .strip_loads = 2, .last_share = NAN},
    };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        CHECK_STATUS(jl_chain_strip(&still, &plan, &bad[i], &chain), JL_RANGE);
    jl_still cold = JL_STILL;
    cold.loss_w = 5000;
    CHECK_STATUS(jl_chain_strip(&cold, &plan, &(jl_chain_charge){.wash = wash}, &chain), JL_NO);
    CHECK(chain.strip_loads == 77);
}

CU_TestInfo chain_tests[] = {
    {"a smaller last load is a run of its own", a_smaller_last_load_is_a_run_of_its_own},
    {"loads are as few as fit", loads_are_as_few_as_fit},
    {"nothing is lost between the runs", nothing_is_lost_between_the_runs},
    {"one load is the run itself", one_load_is_the_run_itself},
    {"so many loads as are stated", so_many_loads_as_are_stated},
    {"figures are of all loads", figures_are_of_all_loads},
    {"a strip that stops at once has no low wines", a_strip_that_stops_at_once_has_no_low_wines},
    {"what cannot be charged is refused", what_cannot_be_charged_is_refused},
    CU_TEST_INFO_NULL,
};
