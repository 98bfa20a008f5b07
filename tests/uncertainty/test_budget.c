/* Named causes, and what they come to.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "suites.h"
#include "uncertainty/budget.h"

#include <string.h>

static const jl_draws DRAWS = {.count = 100000, .seed = 1};

/* JCGM 101:2008, 9.3, as deviations from the best estimates. */
static jl_status calibrated_mass(const double *x, double *dm_mg, void *with) {
    (void)with;
    *dm_mg = (100000 + x[0] + 1.234 + x[1]) *
                 (1 + (x[2] + 1.2 - 1.2) * (1 / (8000 + x[3]) - 1 / (8000 + x[4]))) -
             100000;
    return JL_OK;
}

/* JCGM 101:2008, 9.3 (from memory): first order u 0.0539 mg, Monte Carlo u 0.0754 mg. */
static void the_mass_calibration_of_jcgm_101_comes_out(void) {
    jl_budget *b = jl_budget_new();
    jl_combination c;
    jl_budget_input(b, "weights", 0.050, JL_NORMAL);
    jl_budget_input(b, "weights", 0.020, JL_NORMAL);
    jl_budget_input(b, "air", 0.10, JL_RECTANGULAR);
    jl_budget_input(b, "density", 1000, JL_RECTANGULAR);
    jl_budget_input(b, "density", 50, JL_RECTANGULAR);
    CHECK_OK(jl_budget_combine(b, calibrated_mass, NULL, 1, &DRAWS, &c));
    CHECK_NEAR(c.figures[0].first_order.value, 1.234, 1e-9);
    CHECK_NEAR(c.figures[0].first_order.standard, 0.0539, 0.00005);
    CHECK_NEAR(c.figures[0].drawn.standard, 0.0754, 0.001);
    CHECK(c.figures[0].curved && c.figures[0].standard == c.figures[0].drawn.standard);
    CHECK(c.cause_count == 3 && strcmp(c.causes[2], "density") == 0);
    CHECK_NEAR(c.shares[0], 1, 1e-9); /* both weights; the others act at second order alone */
    CHECK_NEAR(c.shares[1] + c.shares[2], 0, 1e-9);
    jl_combination_free(&c);
    jl_budget_free(b);
}

/* Two figures of three inputs: their sum, and the last alone. */
static jl_status sum_and_last(const double *x, double *figures, void *with) {
    (void)with;
    figures[0] = 10 + x[0] + x[1] + x[2];
    figures[1] = 5 + x[2];
    return JL_OK;
}

static void inputs_of_one_cause_share_a_line(void) {
    jl_budget *b = jl_budget_new();
    jl_combination c;
    jl_uncertainty first[2];
    CHECK(jl_budget_input(b, "jug", 0.3, JL_NORMAL) == 0);
    CHECK(jl_budget_input(b, "scale", 0.4, JL_NORMAL) == 1);
    CHECK(jl_budget_input(b, "jug", 0.6, JL_RECTANGULAR) == 2);
    CHECK(jl_budget_count(b) == 3);
    CHECK_OK(jl_budget_combine(b, sum_and_last, NULL, 2, &DRAWS, &c));
    CHECK(c.cause_count == 2 && c.figure_count == 2);
    double variance = 0.09 + 0.16 + 0.36 / 3;
    CHECK_NEAR(c.figures[0].standard, sqrt(variance), 1e-12);
    CHECK(!c.figures[0].curved);
    CHECK_NEAR(c.shares[0], (0.09 + 0.12) / variance, 1e-12);
    CHECK_NEAR(c.shares[1], 0.16 / variance, 1e-12);
    CHECK_NEAR(c.shares[2], 1, 1e-12); /* of the second figure */
    CHECK_NEAR(c.shares[3], 0, 1e-12);
    CHECK_OK(jl_budget_first_order(b, sum_and_last, NULL, 2, first));
    CHECK(first[0].standard == c.figures[0].first_order.standard);
    CHECK_NEAR(first[1].standard, 0.6 / sqrt(3), 1e-12);
    jl_combination_free(&c);
    jl_budget_free(b);
}

static jl_status exact(const double *x, double *figures, void *with) {
    (void)with;
    figures[0] = 7 + x[0];
    return JL_OK;
}

static void what_is_exact_has_its_value_and_no_uncertainty(void) {
    jl_budget *b = jl_budget_new();
    jl_combination c;
    CHECK_OK(jl_budget_combine(b, exact, NULL, 1, &DRAWS, &c));
    CHECK(c.figures[0].first_order.value == 7 && c.figures[0].standard == 0);
    CHECK(c.cause_count == 1 && strcmp(c.causes[0], "nothing") == 0 && c.shares[0] == 0);
    jl_combination_free(&c);
    jl_budget_free(b);
}

static jl_status never(const double *x, double *figures, void *with) {
    (void)x;
    (void)figures;
    (void)with;
    return JL_NO_MIXTURE;
}

static void what_has_no_figures_is_refused(void) {
    jl_budget *b = jl_budget_new();
    jl_combination c = {.cause_count = 99};
    jl_uncertainty first = {3, 3};
    const jl_draws none = {.count = 1};
    jl_budget_input(b, "jug", 0.3, JL_NORMAL);
    CHECK_STATUS(jl_budget_combine(b, never, NULL, 1, &DRAWS, &c), JL_NO_MIXTURE);
    CHECK_STATUS(jl_budget_combine(b, exact, NULL, 1, &none, &c), JL_RANGE);
    for (int i = 1; i <= JL_INPUTS_MOST; i++) jl_budget_input(b, "jug", 0.3, JL_NORMAL);
    CHECK_STATUS(jl_budget_combine(b, exact, NULL, 1, &DRAWS, &c), JL_RANGE);
    CHECK_STATUS(jl_budget_first_order(b, exact, NULL, 1, &first), JL_RANGE);
    CHECK(c.cause_count == 99 && first.standard == 3);
    jl_budget_free(b);
}

CU_TestInfo budget_tests[] = {
    {"the mass calibration of JCGM 101, 9.3, comes out",
     the_mass_calibration_of_jcgm_101_comes_out},
    {"inputs of one cause share a line", inputs_of_one_cause_share_a_line},
    {"what is exact has its value and no uncertainty",
     what_is_exact_has_its_value_and_no_uncertainty},
    {"what has no figures is refused", what_has_no_figures_is_refused},
    CU_TEST_INFO_NULL,
};
