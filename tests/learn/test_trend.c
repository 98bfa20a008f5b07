/* Whether figures of runs move.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "jarline.h"
#include "suites.h"

/* By hand: residuals 0.2, 0, -0.2, -0.4, 0.4, so that s² is 0.4 / 3 and the sum of squares about the
 * middle of the steps is 10. */
static void a_trend_is_told_from_scatter(void) {
    const double rising[] = {1, 2, 3, 4, 6}, scattered[] = {1, 3, 1, 3, 1};
    jl_trend trend;
    CHECK_OK(jl_trend_of(rising, 5, &trend));
    CHECK_NEAR(trend.per_step, 1.2, 1e-12);
    CHECK_NEAR(trend.standard, sqrt(0.4 / 3 / 10), 1e-12);
    CHECK(trend.stands_out);
    CHECK_OK(jl_trend_of(scattered, 5, &trend));
    CHECK_NEAR(trend.per_step, 0, 1e-12);
    CHECK(!trend.stands_out);
    CHECK_STATUS(jl_trend_of(rising, 2, &trend), JL_MISSING);
    const double hole[] = {1, 2, NAN, 4, 5};
    CHECK_STATUS(jl_trend_of(hole, 5, &trend), JL_RANGE);
}

static void a_trend_of_figures_too_large_is_refused(void) {
    const double values[] = {1e300, -1e300, 1e300, -1e300, 1e300};
    jl_trend trend;
    CHECK_STATUS(jl_trend_of(values, 5, &trend), JL_RANGE);
}

CU_TestInfo trend_tests[] = {
    {"a trend is told from scatter", a_trend_is_told_from_scatter},
    {"a trend of figures too large is refused", a_trend_of_figures_too_large_is_refused},
    CU_TEST_INFO_NULL,
};
