/* Trends from run to run.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "learn/trend.h"
#include "run/run_of.h"
#include "suites.h"

#include <gsl/gsl_randist.h>
#include <math.h>

enum { HISTORIES = 1000, RUNS = 16 };

/* Strip runs and spirit runs by turns, whose figures differ and scatter. */
static void noise(gsl_rng *rng, jl_past *past) {
    bool strip = gsl_rng_uniform(rng) < 0.5;
    *past = (jl_past){.strip = strip,
                      .recovery_pct = (strip ? 95 : 80) + gsl_ran_gaussian(rng, 2),
                      .energy_kwh_per_l = (strip ? 6 : 3) + gsl_ran_gaussian(rng, 0.3),
                      .apart_pct = gsl_ran_gaussian(rng, 3)};
}

static void scatter_is_a_trend_in_one_history_of_twenty_at_most(void) {
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_taus2);
    int with_trend = 0;
    for (int i = 0; i < HISTORIES; i++) {
        jl_past pasts[RUNS];
        const jl_past *at[RUNS];
        jl_trends trends;
        bool any = false;
        for (int k = 0; k < RUNS; k++) noise(rng, &pasts[k]);
        for (int k = 0; k < RUNS; k++) at[k] = &pasts[k];
        CHECK_OK(jl_trends_of(at, RUNS, &trends));
        for (int f = 0; f < JL_PAST_FIGURES; f++)
            any = any || trends.of[f][0].stands_out || trends.of[f][1].stands_out;
        with_trend += any;
    }
    CHECK(with_trend <= 0.05 * HISTORIES + 2 * sqrt(0.05 * 0.95 * HISTORIES));
    CHECK(with_trend > 0); /* nor is the test deaf */
    gsl_rng_free(rng);
}

/* NIST's Norris data would do as well; these are small enough to follow: the slope of 1, 2, 3, 4, 6 is
 * 1.2 with residuals .2, 0, -.2, -.4, .4, so s = sqrt(.4 / 3), and t(.975; 3) is 3.182. */
static void the_interval_is_students(void) {
    const double values[] = {1, 2, 3, 4, 6};
    jl_trend t;
    CHECK_OK(jl_trend_of(values, 5, 0.05, &t));
    CHECK_NEAR(t.per_step, 1.2, 1e-12);
    CHECK_NEAR(t.standard, sqrt(0.4 / 3 / 10), 1e-12);
    CHECK_NEAR(t.expanded / t.standard, 3.182446, 1e-6);
    CHECK(t.stands_out && t.count == 5);
    CHECK_OK(jl_trend_of(values, 5, 1e-6, &t));
    CHECK(!t.stands_out);
}

static void what_gives_no_line_is_refused(void) {
    const double large[] = {1e300, -1e300, 1e300, -1e300, 1e300};
    const double few[] = {1, 2, 3, 4, 5};
    jl_trend trend;
    CHECK_STATUS(jl_trend_of(large, 5, 0.05, &trend), JL_RANGE);
    CHECK_STATUS(jl_trend_of(few, 4, 0.05, &trend), JL_MISSING);
    const double gap[] = {1, 2, NAN, 4, 5};
    CHECK_STATUS(jl_trend_of(gap, 5, 0.05, &trend), JL_RANGE);
    CHECK_STATUS(jl_trend_of(few, 5, 0, &trend), JL_RANGE);
    CHECK_STATUS(jl_trend_of(few, 5, 1, &trend), JL_RANGE);
}

/* A day between two jars is one of the run's; a second more, and the still stood, or a clock was set. */
static void hours_leave_out_what_is_longer_than_a_day(void) {
    static const struct {
        const char *after;
        double hours;
    } AT[] = {{"2026-10-02T08:00:00Z", 24}, {"2026-10-02T08:00:01Z", 0}};
    for (size_t i = 0; i < sizeof AT / sizeof AT[0]; i++) {
        char text[300];
        jl_past past;
        snprintf(text, sizeof text,
                 "#jarline,1\n#started,2026-10-01T08:00:00Z\njar,time,volume_ml,strength_pct\n"
                 "1,2026-10-01T08:00:00Z,500,70\n2,%s,500,60\n",
                 AT[i].after);
        jl_run *run = run_of(text);
        jl_run_past(run, &past);
        CHECK_NEAR(past.hours, AT[i].hours, 1e-9);
        jl_run_free(run);
    }
}

CU_TestInfo trend_tests[] = {
    {"hours leave out what is longer than a day", hours_leave_out_what_is_longer_than_a_day},
    {"scatter is a trend in one history of twenty at most",
     scatter_is_a_trend_in_one_history_of_twenty_at_most},
    {"the interval is Student's", the_interval_is_students},
    {"what gives no line is refused", what_gives_no_line_is_refused},
    CU_TEST_INFO_NULL,
};
