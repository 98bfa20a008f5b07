/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "numbers.h"
#include "still/congener.h"
#include "still/forecast.h"
#include "suites.h"

#include <string.h>

static const char *const FILE_NAME = "congener-volatility-predicted";

static void volatilities_are_those_of_the_table(void) {
    static const char *const COLUMNS[] = {"c0", "c1", "c2", "c3", "c4"};
    CHECK(reference_rows(FILE_NAME) == JL_CONGENERS);
    CHECK(jl_congener_at(JL_CONGENERS) == NULL);
    for (size_t i = 0; i < JL_CONGENERS; i++) {
        char compound[64], method[64];
        const jl_congener *congener = jl_congener_at(i);
        reference_cell(FILE_NAME, i, "compound", compound, sizeof compound);
        reference_cell(FILE_NAME, i, "method", method, sizeof method);
        CHECK(strcmp(congener->name, compound) == 0 && strcmp(congener->method, method) == 0);
        for (double x = 0; x <= 1; x += 0.125) {
            double want = 0;
            for (int k = 4; k >= 0; k--)
                want = want * x + reference_number(FILE_NAME, i, COLUMNS[k]);
            CHECK_NEAR(log(jl_congener_volatility(i, x)), want, 1e-12);
        }
    }
    CHECK(isnan(jl_congener_volatility(JL_CONGENERS, 0.5)));
    CHECK(isnan(jl_congener_volatility(0, -0.1)) && isnan(jl_congener_volatility(0, NAN)));
    CHECK(isnan(jl_congener_volatility(0, 1.1)));
}

/* Below about 0.17 to 0.24 mole fraction methanol is less volatile than ethanol. */
static void methanol_does_not_come_first_from_a_dilute_boiler(void) {
    for (size_t i = 0; i < 2; i++) {
        CHECK(jl_congener_volatility(i, 0.16) < 1);
        CHECK(jl_congener_volatility(i, 0.25) > 1);
    }
}

static jl_spirit charge_of(double volume_l, double strength_pct) {
    double w = NAN;
    jl_spirit charge = {NAN, NAN};
    CHECK_OK(jl_mass_fraction_from_strength(strength_pct, 20, &w));
    CHECK_OK(jl_spirit_from_volume(volume_l, w, 20, &charge));
    return charge;
}

static void run_with(const jl_still *still, double strength_pct, double left[JL_CONGENERS],
                     double *ethanol_left) {
    jl_plan plan = JL_PLAN(strength_pct);
    jl_forecasting *run = NULL;
    jl_forecast_jar jar = JL_FORECAST_JAR;
    jl_forecast sum = JL_FORECAST;
    double before[JL_CONGENERS];
    plan.congeners = true;
    CHECK_OK(jl_forecast_open(still, charge_of(20, strength_pct), &plan, &run));
    for (size_t i = 0; i < JL_CONGENERS; i++) before[i] = jl_forecast_congener(run, i);
    CHECK(before[0] == 1 && before[JL_CONGENERS - 1] == 1);
    while (jl_forecast_next(run, &jar) == JL_OK)
        for (size_t i = 0; i < JL_CONGENERS; i++) {
            double now = jl_forecast_congener(run, i);
            CHECK(now < before[i] && now >= 0);
            before[i] = now;
        }
    jl_forecast_sum(run, &sum);
    for (size_t i = 0; i < JL_CONGENERS; i++) left[i] = before[i];
    *ethanol_left = sum.left.ethanol_kg / sum.charge.ethanol_kg;
    CHECK(isnan(jl_forecast_congener(run, JL_CONGENERS)));
    jl_forecast_close(run);
}

/* ln(trace left) is the integral of its ratio: here by a plain sum over the pot's own course. */
static void a_pot_keeps_what_its_volatility_says(void) {
    jl_still still = JL_STILL;
    static jl_table table;
    double left[JL_CONGENERS], ethanol_left;
    run_with(&still, 30, left, &ethanol_left);
    CHECK_OK(jl_table_fill(still.pressure_kpa, 0, 0, false, &table));
    double w = NAN;
    CHECK_OK(jl_mass_fraction_from_strength(30, 20, &w));
    double start = jl_mole_fraction(w), x = start, s = 0, sum[JL_CONGENERS] = {0};
    const double step = 1e-5;
    while (x * exp(-s) > ethanol_left * start) {
        double y = table.curve.vapour(&table.curve, x);
        double middle = x - step / 2 * (y - x);
        double over = table.curve.vapour(&table.curve, middle);
        for (size_t i = 0; i < JL_CONGENERS; i++)
            sum[i] += step * jl_congener_volatility(i, middle) * over / middle;
        x -= step * (over - middle);
        s += step;
    }
    for (size_t i = 0; i < JL_CONGENERS; i++) CHECK_NEAR(left[i], exp(-sum[i]), 3e-4);
}

/* A trace that is as volatile as ethanol would go with it; one that is more volatile goes sooner.
 */
static void order_of_leaving_follows_volatility(void) {
    jl_still still = JL_STILL;
    double left[JL_CONGENERS], ethanol_left;
    for (still.stages = 1; still.stages < 6; still.stages += 1.5) {
        still.reflux_ratio = 2;
        run_with(&still, 12, left, &ethanol_left);
        CHECK(left[0] > ethanol_left && left[1] > ethanol_left); /* methanol, dilute boiler */
        CHECK(left[2] < ethanol_left);                           /* acetaldehyde */
        CHECK(left[3] < left[4] && left[4] < ethanol_left);      /* ethyl acetate, two methods */
    }
}

static void stages_are_continuous_for_traces_too(void) {
    jl_still still = JL_STILL;
    double a[JL_CONGENERS], b[JL_CONGENERS], ethanol_left;
    still.reflux_ratio = 3;
    for (double stages = 1; stages < 5; stages++) {
        still.stages = stages;
        run_with(&still, 30, a, &ethanol_left);
        still.stages = stages + 1e-7;
        run_with(&still, 30, b, &ethanol_left);
        for (size_t i = 0; i < JL_CONGENERS; i++) CHECK_NEAR(a[i], b[i], 1e-5);
    }
}

/* In every jar and in the boiler, and all of them together, nothing of a family is lost. */
static void shares_of_a_family_are_a_range_over_its_methods(void) {
    static const size_t FIRST[] = {0, 2, 3, 5, 6, 8, JL_CONGENERS};
    jl_still still = JL_STILL;
    jl_plan plan = JL_PLAN(30);
    jl_forecasting *run = NULL;
    jl_forecast_jar jar = JL_FORECAST_JAR;
    jl_congener_share in_jar[JL_CONGENER_FAMILIES], left[JL_CONGENER_FAMILIES];
    double before[JL_CONGENERS], sum = 0;
    plan.congeners = true;
    for (size_t i = 0; i < JL_CONGENERS; i++) before[i] = 1;
    CHECK_OK(jl_forecast_open(&still, charge_of(10, 30), &plan, &run));
    jl_forecast_congeners(run, in_jar, left);
    CHECK(in_jar[0].most == 0 && left[0].least == 1);
    while (jl_forecast_next(run, &jar) == JL_OK) {
        jl_forecast_congeners(run, in_jar, left);
        for (size_t f = 0; f < JL_CONGENER_FAMILIES; f++) {
            double least = INFINITY, most = 0, most_left = 0;
            for (size_t i = FIRST[f]; i < FIRST[f + 1]; i++) {
                double now = jl_forecast_congener(run, i);
                least = fmin(least, before[i] - now);
                most = fmax(most, before[i] - now);
                most_left = fmax(most_left, now);
                before[i] = now;
            }
            CHECK_NEAR(in_jar[f].least, least, 1e-15);
            CHECK_NEAR(in_jar[f].most, most, 1e-15);
            CHECK_NEAR(left[f].most, most_left, 1e-15);
        }
        sum += in_jar[1].most; /* acetaldehyde: one method */
    }
    CHECK_NEAR(sum + left[1].most, 1, 1e-12);
    jl_forecast_close(run);
}

static void every_family_has_its_name(void) {
    CHECK(strcmp(jl_congener_family(0), jl_congener_at(0)->name) == 0);
    CHECK(strcmp(jl_congener_family(2), jl_congener_at(3)->name) == 0);
    CHECK(strcmp(jl_congener_family(3), jl_congener_at(5)->name) == 0);
    CHECK(strcmp(jl_congener_family(4), jl_congener_at(6)->name) == 0);
    CHECK(strcmp(jl_congener_family(5), "isoamyl alcohols") == 0);
    CHECK(jl_congener_family(JL_CONGENER_FAMILIES) == NULL);
}

static void without_congeners_there_are_none(void) {
    jl_still still = JL_STILL;
    jl_plan plan = JL_PLAN(30);
    jl_forecasting *run = NULL;
    CHECK_OK(jl_forecast_open(&still, charge_of(10, 30), &plan, &run));
    jl_congener_share jar[JL_CONGENER_FAMILIES], left[JL_CONGENER_FAMILIES];
    CHECK(isnan(jl_forecast_congener(run, 0)));
    jl_forecast_congeners(run, jar, left);
    CHECK(isnan(jar[0].most) && isnan(left[5].least));
    jl_forecast_close(run);
}

/* Without ethanol its own volatility has a limit, and the trace's ratio with it. */
static void water_alone_has_ratios_too(void) {
    static jl_table table;
    double none[JL_CONGENERS], hardly[JL_CONGENERS];
    CHECK_OK(jl_table_fill(101.325, 0, 0, true, &table));
    const jl_rectifier column = {&table.curve, 1, 0};
    jl_distillate d = {0};
    jl_distil(&column, 0, &d);
    jl_congener_ratios(&column, 0, &d, none);
    jl_distil(&column, 1e-9, &d);
    jl_congener_ratios(&column, 1e-9, &d, hardly);
    for (size_t i = 0; i < JL_CONGENERS; i++) {
        double slope = table.curve.vapour(&table.curve, 1e-9) / 1e-9;
        CHECK_NEAR(none[i] / hardly[i], 1, 1e-6);
        CHECK_NEAR(none[i], slope * jl_congener_volatility(i, 0), 1e-6 * none[i]);
    }
}

/* The heat says when, not what. */
static void traces_leave_alike_without_a_power(void) {
    jl_still still = JL_STILL;
    double with[JL_CONGENERS], without[JL_CONGENERS], left;
    run_with(&still, 30, with, &left);
    still.power_w = 0;
    run_with(&still, 30, without, &left);
    for (size_t i = 0; i < JL_CONGENERS; i++) CHECK_NEAR(without[i], with[i], 1e-8);
}

CU_TestInfo congener_tests[] = {
    {"water alone has ratios too", water_alone_has_ratios_too},
    {"traces leave alike without a power", traces_leave_alike_without_a_power},
    {"volatilities are those of the table", volatilities_are_those_of_the_table},
    {"methanol does not come first from a dilute boiler",
     methanol_does_not_come_first_from_a_dilute_boiler},
    {"a pot keeps what its volatility says", a_pot_keeps_what_its_volatility_says},
    {"order of leaving follows volatility", order_of_leaving_follows_volatility},
    {"stages are continuous for traces too", stages_are_continuous_for_traces_too},
    {"shares of a family are a range over its methods",
     shares_of_a_family_are_a_range_over_its_methods},
    {"every family has its name", every_family_has_its_name},
    {"without congeners there are none", without_congeners_there_are_none},
    CU_TEST_INFO_NULL,
};
