/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "run/jars.h"
#include "suites.h"

#include <math.h>

static void a_straight_line_gives_its_middle(void) {
    const jl_spout_reading r[] = {{1, 70}, {2, 60}, {4, 40}};
    jl_spout_mean m[3];
    CHECK_OK(jl_spout_means(r, 3, 80, 0, m));
    /* the mean of strengths by volume is that of their alcohol; mixing shrinks by a little */
    CHECK_NEAR(m[0].strength_pct, 75, 0.02);
    CHECK_NEAR(m[1].strength_pct, 65, 0.02);
    CHECK_NEAR(m[2].strength_pct, 50, 0.08);
    CHECK(m[2].curve_u_pct < 0.02);
    CHECK_OK(jl_spout_means(r, 3, NAN, 0, m));
    CHECK_NEAR(m[0].strength_pct, 75, 0.02);
    CHECK_OK(jl_spout_means(r, 1, NAN, 0, m));
    CHECK_NEAR(m[0].strength_pct, 70, 1e-6);
}

static void what_cannot_be_is_refused(void) {
    jl_spout_reading r[] = {{1, 70}, {2, 60}};
    jl_spout_mean m[2];
    CHECK_STATUS(jl_spout_means(r, 0, NAN, 0, m), JL_RANGE);
    CHECK_STATUS(jl_spout_means(r, 2, 101, 0, m), JL_RANGE);
    CHECK_STATUS(jl_spout_means(r, 2, -1, 0, m), JL_RANGE);
    CHECK_STATUS(jl_spout_means(r, 2, NAN, 1, m), JL_RANGE);
    CHECK_STATUS(jl_spout_means(r, 2, NAN, -0.1, m), JL_RANGE);
    r[1].until_l = 1;
    CHECK_STATUS(jl_spout_means(r, 2, NAN, 0, m), JL_RANGE);
    static const double BAD[] = {-1, 100.1, NAN};
    for (size_t i = 0; i < sizeof BAD / sizeof BAD[0]; i++) {
        r[1] = (jl_spout_reading){2, BAD[i]};
        CHECK_STATUS(jl_spout_means(r, 2, NAN, 0, m), JL_RANGE);
    }
    r[1] = (jl_spout_reading){INFINITY, 60};
    CHECK_STATUS(jl_spout_means(r, 2, NAN, 0, m), JL_RANGE);
}

/* A forecast's own jars: spout strengths at their ends against their contents. */
static double worst_of_a_run(double stages, double reflux, double jar_share, double lag_l,
                             double *total_gap) {
    jl_still still = JL_STILL;
    jl_plan plan = JL_PLAN(30);
    jl_spirit charge, sum = {0, 0};
    jl_spout_reading r[64];
    double jar_pct[64], jar_l[64], p, begin_pct, worst = 0, pure_l = 0;
    jl_spout_mean m[64];
    size_t n = 0;
    jl_forecasting *run;
    jl_forecast_jar jar = JL_FORECAST_JAR;
    jl_boiling first;
    still.stages = stages;
    still.reflux_ratio = reflux;
    plan.jar_l = jar_share * 10;
    plan.cuts = (jl_cut_rules){.tails = {JL_CUT_SPOUT_PCT, 20}};
    CHECK_OK(jl_mass_fraction_from_strength(30, JL_STRENGTH_C, &p));
    CHECK_OK(jl_spirit_from_volume(10, p, JL_STRENGTH_C, &charge));
    CHECK_OK(jl_first_drop(&still, p, &first));
    CHECK_OK(jl_strength_pct(jl_mass_fraction_from_mole(first.vapour_mole_fraction), JL_STRENGTH_C,
                             &begin_pct));
    CHECK_OK(jl_forecast_open(&still, charge, &plan, &run));
    while (n < 64 && jl_forecast_next(run, &jar) == JL_OK) {
        sum = jl_blend(sum, jar.spirit);
        jar_pct[n] = jl_spirit_strength_pct(jar.spirit);
        jar_l[n] = jl_volume_l(jar.spirit, JL_STRENGTH_C);
        r[n] = (jl_spout_reading){(n == 0 ? 0 : r[n - 1].until_l) + jar_l[n], jar.spout_pct};
        n++;
    }
    jl_forecast_close(run);
    /* A reading that is late by lag_l shows what ran then: read off the curve of the ends. */
    for (size_t i = n; lag_l > 0 && i-- > 0;) {
        double before = i == 0 ? begin_pct : r[i - 1].strength_pct;
        r[i].strength_pct += (before - r[i].strength_pct) * lag_l / jar_l[i];
    }
    CHECK_OK(jl_spout_means(r, n, begin_pct, lag_l, m));
    for (size_t i = 0; i < n; i++) {
        worst = fmax(worst, fabs(m[i].strength_pct - jar_pct[i]));
        pure_l += jar_l[i] * m[i].strength_pct / 100;
    }
    *total_gap = fabs(pure_l / jl_pure_alcohol_l(sum) - 1);
    return worst;
}

static void means_follow_a_runs_own_curve(void) {
    static const struct {
        double stages, reflux, worst_pct;
    } AT[] = {{1, 0, 0.1}, {3, 0.5, 0.3}, {3, 2, 1.0}};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++)
        for (double share = 0.02; share < 0.055; share += 0.01) {
            double total;
            double worst = worst_of_a_run(AT[i].stages, AT[i].reflux, share, 0, &total);
            CHECK_NEAR(worst, 0, AT[i].worst_pct);
            CHECK_NEAR(total, 0, 0.005);
        }
    double total;
    CHECK_NEAR(worst_of_a_run(1, 0, 0.03, 0.05, &total), 0, 0.3);
}

CU_TestInfo spout_tests[] = {
    {"a straight line gives its middle", a_straight_line_gives_its_middle},
    {"what cannot be is refused", what_cannot_be_is_refused},
    {"means follow a run's own curve", means_follow_a_runs_own_curve},
    CU_TEST_INFO_NULL,
};
