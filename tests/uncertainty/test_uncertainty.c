/* Uncertainty to first order and by Monte Carlo.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "jarline.h"
#include "suites.h"

/* JCGM 101:2008, 9.3: deviation of a mass from 100 g when calibrated against another in air, mg. */
static jl_status calibrated_mass(const double *x, double *dm_mg, void *with) {
    (void)with;
    *dm_mg = (x[0] + x[1]) * (1 + (x[2] - 1.2) * (1 / x[3] - 1 / x[4])) - 100000;
    return JL_OK;
}

static const jl_input MASS_INPUTS[] = {
    {100000, 0.050, JL_NORMAL},   {1.234, 0.020, JL_NORMAL},  {1.20, 0.10, JL_RECTANGULAR},
    {8000, 1000, JL_RECTANGULAR}, {8000, 50, JL_RECTANGULAR},
};

/* JCGM 101:2008, 9.3 (from memory): first order u 0.0539 mg, Monte Carlo u 0.0754 mg, shortest 95 %
 * interval 1.0834 to 1.3825 mg. */
static void the_mass_calibration_of_jcgm_101_comes_out(void) {
    const jl_measurement m = {
        .model = calibrated_mass, .inputs = MASS_INPUTS, .input_count = 5, .figure_count = 1};
    jl_uncertainty uncertainty = {NAN, NAN};
    jl_drawn drawn = {.standard = NAN};
    double shares[5];
    CHECK_OK(jl_first_order(&m, shares, &uncertainty));
    CHECK_NEAR(uncertainty.value, 1.234, 1e-9);
    CHECK_NEAR(uncertainty.standard, 0.0539, 0.00005);
    CHECK_NEAR(shares[0], 0.0025 / 0.0029, 1e-6);
    CHECK_NEAR(shares[0] + shares[1] + shares[2] + shares[3] + shares[4], 1, 1e-12);
    CHECK_OK(jl_monte_carlo(&m, 500000, 1, &drawn));
    CHECK_NEAR(drawn.mean, 1.234, 0.0005);
    CHECK_NEAR(drawn.standard, 0.0754, 0.0005);
    CHECK_NEAR(drawn.shortest_low, 1.0834, 0.002);
    CHECK_NEAR(drawn.shortest_high, 1.3825, 0.002);
    CHECK(drawn.refused == 0);
    CHECK(jl_is_curved(uncertainty, drawn));
}

/* with: weights of a sum. */
static jl_status weighted_sum(const double *x, double *sum, void *with) {
    const double *weights = with;
    *sum = weights[0] * x[0] + weights[1] * x[1] + weights[2] * x[2];
    return JL_OK;
}

/* GUM 5.2.2, note 1: wholly correlated uncertainties add as they are, with their signs. */
static void correlated_inputs_add_linearly(void) {
    double weights[] = {1, 1, 1};
    const jl_input inputs[] = {{5, 0.3, JL_NORMAL}, {7, 0.4, JL_NORMAL}, {1, 0.6, JL_RECTANGULAR}};
    double correlation[] = {1, 1, 0, 1, 1, 0, 0, 0, 1};
    jl_measurement m = {.model = weighted_sum,
                        .with = weights,
                        .inputs = inputs,
                        .input_count = 3,
                        .figure_count = 1,
                        .correlation = correlation};
    jl_uncertainty uncertainty;
    jl_drawn drawn;
    double shares[3];
    double want = sqrt(0.7 * 0.7 + 0.36 / 3);
    CHECK_OK(jl_first_order(&m, shares, &uncertainty));
    CHECK_NEAR(uncertainty.standard, want, 1e-12);
    CHECK_NEAR(shares[0], 0.3 * 0.7 / (want * want), 1e-12);
    CHECK_OK(jl_monte_carlo(&m, 200000, 7, &drawn));
    CHECK_NEAR(drawn.standard / want, 1, 0.01); /* six standard errors of 200,000 draws */
    CHECK_NEAR(drawn.mean, 13, 6 * want / sqrt(200000));
    weights[1] = -1;
    CHECK_OK(jl_first_order(&m, shares, &uncertainty));
    want = sqrt(0.01 + 0.36 / 3);
    CHECK_NEAR(uncertainty.standard, want, 1e-12);
    CHECK_OK(jl_monte_carlo(&m, 200000, 7, &drawn));
    CHECK_NEAR(drawn.standard / want, 1, 0.01);
    correlation[1] = correlation[3] = 0.5;
    CHECK_OK(jl_first_order(&m, shares, &uncertainty));
    CHECK_NEAR(uncertainty.standard, sqrt(0.09 + 0.16 - 0.12 + 0.36 / 3), 1e-12);
}

/* A cause shared as one input is the same as two inputs wholly correlated. */
static void a_shared_cause_is_full_correlation(void) {
    double weights[] = {2, 3, 0}, shared_weights[] = {5, 0, 0};
    const jl_input two[] = {{0, 0.2, JL_NORMAL}, {0, 0.2, JL_NORMAL}, {0, 0, JL_NORMAL}};
    double correlation[] = {1, 1, 0, 1, 1, 0, 0, 0, 1};
    jl_measurement m = {.model = weighted_sum,
                        .with = weights,
                        .inputs = two,
                        .input_count = 3,
                        .figure_count = 1,
                        .correlation = correlation};
    jl_uncertainty apart, shared;
    CHECK_OK(jl_first_order(&m, NULL, &apart));
    m.with = shared_weights;
    m.correlation = NULL;
    CHECK_OK(jl_first_order(&m, NULL, &shared));
    CHECK_NEAR(apart.standard, shared.standard, 1e-12);
}

/* The square of a number, refused below 0. */
static jl_status square_from_0(const double *x, double *y, void *with) {
    (void)with;
    if (!(x[0] >= 0)) return JL_NO_MIXTURE;
    *y = x[0] * x[0];
    return JL_OK;
}

static jl_status square_to_0(const double *x, double *y, void *with) {
    const double mirrored = -x[0];
    return square_from_0(&mirrored, y, with);
}

static void an_edge_is_taken_from_the_inner_side(void) {
    jl_input inputs[] = {{1, 2, JL_NORMAL}};
    const jl_measurement m = {
        .model = square_from_0, .inputs = inputs, .input_count = 1, .figure_count = 1};
    jl_uncertainty uncertainty;
    jl_drawn drawn;
    CHECK_OK(jl_first_order(&m, NULL, &uncertainty));
    CHECK_NEAR(uncertainty.standard, 4, 1e-12); /* slope 2 at 1, times 2 */
    const jl_measurement below = {
        .model = square_to_0, .inputs = inputs, .input_count = 1, .figure_count = 1};
    inputs[0].value = -1;
    CHECK_OK(jl_first_order(&below, NULL, &uncertainty));
    CHECK_NEAR(uncertainty.standard, 4, 1e-12);
    inputs[0].value = 1;
    inputs[0].width = 0.5;
    CHECK_OK(jl_monte_carlo(&m, 20000, 3, &drawn));
    /* P(x < 0) = 0.02275 for a mean of two standard deviations above 0; 6 standard errors */
    CHECK_NEAR((double)drawn.refused / 20000, 0.02275, 0.0064);
    inputs[0].value = -1;
    CHECK_STATUS(jl_first_order(&m, NULL, &uncertainty), JL_NO_MIXTURE);
    CHECK_STATUS(jl_monte_carlo(&m, 1000, 3, &drawn), JL_NO_MIXTURE);
}

static jl_status first_input(const double *x, double *y, void *with) {
    (void)with;
    *y = x[0];
    return JL_OK;
}

/* A rectangular distribution of ±1 has 95 % of itself within ±0.95. */
static void a_seed_repeats_its_draws(void) {
    const jl_input inputs[] = {{10, 1, JL_RECTANGULAR}};
    const jl_measurement m = {
        .model = first_input, .inputs = inputs, .input_count = 1, .figure_count = 1};
    jl_drawn a, b, c;
    CHECK_OK(jl_monte_carlo(&m, 100000, 5, &a));
    CHECK_OK(jl_monte_carlo(&m, 100000, 5, &b));
    CHECK_OK(jl_monte_carlo(&m, 100000, 6, &c));
    CHECK(a.mean == b.mean && a.high == b.high && a.mean != c.mean);
    CHECK_NEAR(a.standard, 1 / sqrt(3), 0.005);
    CHECK_NEAR(a.low, 9.05, 0.01);
    CHECK_NEAR(a.high, 10.95, 0.01);
    CHECK(a.shortest_high - a.shortest_low <= a.high - a.low);
}

static bool stop_at_half(double done, void *with) {
    *(double *)with = done;
    return done < 0.5;
}

static void a_long_calculation_can_be_stopped(void) {
    const jl_input inputs[] = {{10, 1, JL_RECTANGULAR}};
    double done = NAN;
    const jl_measurement m = {.model = first_input,
                              .inputs = inputs,
                              .input_count = 1,
                              .figure_count = 1,
                              .progress = stop_at_half,
                              .progress_with = &done};
    jl_drawn drawn;
    CHECK_STATUS(jl_monte_carlo(&m, 1000, 5, &drawn), JL_END);
    CHECK_NEAR(done, 0.5, 0.011);
}

static jl_status no_number(const double *x, double *y, void *with) {
    (void)with;
    *y = NAN * x[0];
    return JL_OK;
}

static void what_cannot_be_propagated_is_refused(void) {
    jl_input inputs[] = {{10, 1, JL_RECTANGULAR}, {1, 1, JL_NORMAL}};
    double correlation[] = {1, 0.5, 0.5, 1};
    jl_measurement m = {
        .model = first_input, .inputs = inputs, .input_count = 2, .figure_count = 1};
    jl_uncertainty uncertainty = {7, 7};
    jl_drawn drawn = {.mean = 7};
    CHECK_STATUS(jl_monte_carlo(&m, 99, 1, &drawn), JL_RANGE);
    m.correlation = correlation;
    CHECK_OK(jl_first_order(&m, NULL, &uncertainty));
    CHECK_STATUS(jl_monte_carlo(&m, 1000, 1, &drawn), JL_RANGE); /* correlated and rectangular */
    correlation[1] = 0.4;
    CHECK_STATUS(jl_first_order(&m, NULL, &uncertainty), JL_RANGE);
    correlation[1] = correlation[2] = 1.1;
    CHECK_STATUS(jl_first_order(&m, NULL, &uncertainty), JL_RANGE);
    correlation[1] = correlation[2] = 0;
    correlation[3] = 0.9;
    CHECK_STATUS(jl_first_order(&m, NULL, &uncertainty), JL_RANGE);
    m.correlation = NULL;
    uncertainty.value = 7;
    inputs[0].width = -1;
    CHECK_STATUS(jl_first_order(&m, NULL, &uncertainty), JL_RANGE);
    inputs[0].width = NAN;
    CHECK_STATUS(jl_monte_carlo(&m, 1000, 1, &drawn), JL_RANGE);
    inputs[0].width = INFINITY;
    CHECK_STATUS(jl_first_order(&m, NULL, &uncertainty), JL_RANGE);
    inputs[0] = (jl_input){1, 1, (jl_spread)(JL_RECTANGULAR + 1)};
    CHECK_STATUS(jl_first_order(&m, NULL, &uncertainty), JL_RANGE);
    inputs[0] = (jl_input){NAN, 1, JL_NORMAL};
    CHECK_STATUS(jl_first_order(&m, NULL, &uncertainty), JL_RANGE);
    inputs[0].value = 1;
    m.input_count = 0;
    CHECK_STATUS(jl_first_order(&m, NULL, &uncertainty), JL_RANGE);
    m.input_count = JL_INPUTS_MOST + 1;
    CHECK_STATUS(jl_first_order(&m, NULL, &uncertainty), JL_RANGE);
    m.input_count = 1;
    m.figure_count = 0;
    CHECK_STATUS(jl_first_order(&m, NULL, &uncertainty), JL_RANGE);
    m.figure_count = 1001;
    CHECK_STATUS(jl_first_order(&m, NULL, &uncertainty), JL_RANGE);
    m.figure_count = 1;
    CHECK_STATUS(jl_monte_carlo(&m, 100000001, 1, &drawn), JL_RANGE);
    m.model = no_number;
    CHECK_STATUS(jl_first_order(&m, NULL, &uncertainty), JL_NUMERIC);
    CHECK_STATUS(jl_monte_carlo(&m, 1000, 1, &drawn), JL_NUMERIC);
    CHECK(uncertainty.value == 7 && drawn.mean == 7);
}

/* A square that no double holds is no uncertainty, and what stood in the answer stays. */
static void a_uncertainty_beyond_every_number_is_refused(void) {
    double weights[] = {1, 1, 1};
    const jl_input inputs[] = {{0, 1e200, JL_NORMAL}, {0, 1, JL_NORMAL}, {0, 1, JL_NORMAL}};
    const jl_measurement m = {.model = weighted_sum,
                              .with = weights,
                              .inputs = inputs,
                              .input_count = 3,
                              .figure_count = 1};
    jl_uncertainty uncertainty = {7, 8};
    jl_drawn drawn = {.standard = 9};
    CHECK_STATUS(jl_first_order(&m, NULL, &uncertainty), JL_NUMERIC);
    CHECK_STATUS(jl_monte_carlo(&m, 1000, 1, &drawn), JL_NUMERIC);
    CHECK(uncertainty.value == 7 && uncertainty.standard == 8 && drawn.standard == 9);
}

/* Three inputs cannot each be the opposite of both others: the sum would vary by less than nothing. */
static void what_is_no_matrix_of_correlations_has_no_draws(void) {
    double weights[] = {1, 1, 1};
    const jl_input inputs[] = {{0, 1, JL_NORMAL}, {0, 1, JL_NORMAL}, {0, 1, JL_NORMAL}};
    const double correlation[] = {1, -1, -1, -1, 1, -1, -1, -1, 1};
    const jl_measurement m = {.model = weighted_sum,
                              .with = weights,
                              .inputs = inputs,
                              .input_count = 3,
                              .figure_count = 1,
                              .correlation = correlation};
    jl_uncertainty uncertainty;
    jl_drawn drawn = {.mean = 7};
    double shares[3];
    CHECK_OK(jl_first_order(&m, shares, &uncertainty));
    CHECK(uncertainty.standard == 0 && shares[0] == 0 && shares[2] == 0);
    CHECK_STATUS(jl_monte_carlo(&m, 1000, 1, &drawn), JL_RANGE);
    CHECK(drawn.mean == 7);
}

/* Refused but at the estimate and one step above: the slope is that of the one step. */
static jl_status square_near_1(const double *x, double *y, void *with) {
    if (x[0] > 1.6) return JL_NO_MIXTURE;
    if (x[0] < 1) return *(jl_status *)with;
    *y = x[0] * x[0];
    return JL_OK;
}

static void a_slope_may_have_one_step_alone(void) {
    const jl_input inputs[] = {{1, 0.5, JL_NORMAL}};
    jl_status below = JL_RANGE;
    const jl_measurement m = {.model = square_near_1,
                              .with = &below,
                              .inputs = inputs,
                              .input_count = 1,
                              .figure_count = 1};
    jl_uncertainty uncertainty = {7, 7};
    jl_drawn drawn;
    CHECK_OK(jl_first_order(&m, NULL, &uncertainty));
    CHECK_NEAR(uncertainty.standard, 1.5 * 1.5 - 1, 1e-12);
    below = JL_MEMORY; /* and where memory is out no draw is passed over */
    CHECK_STATUS(jl_monte_carlo(&m, 1000, 1, &drawn), JL_MEMORY);
}

static jl_status only_at_1(const double *x, double *y, void *with) {
    *y = 1;
    return x[0] == 1 ? JL_OK : *(jl_status *)with;
}

static void a_figure_that_only_its_estimate_has_is_refused(void) {
    const jl_input inputs[] = {{1, 0.5, JL_NORMAL}};
    jl_status beside = JL_NO_MIXTURE;
    const jl_measurement m = {
        .model = only_at_1, .with = &beside, .inputs = inputs, .input_count = 1, .figure_count = 1};
    jl_uncertainty uncertainty = {7, 7};
    CHECK_STATUS(jl_first_order(&m, NULL, &uncertainty), JL_NO_MIXTURE);
    CHECK(uncertainty.value == 7);
}

CU_TestInfo uncertainty_tests[] = {
    {"what is no matrix of correlations has no draws",
     what_is_no_matrix_of_correlations_has_no_draws},
    {"a slope may have one step alone", a_slope_may_have_one_step_alone},
    {"a figure that only its estimate has is refused",
     a_figure_that_only_its_estimate_has_is_refused},
    {"the mass calibration of JCGM 101, 9.3, comes out",
     the_mass_calibration_of_jcgm_101_comes_out},
    {"correlated inputs add linearly", correlated_inputs_add_linearly},
    {"a shared cause is full correlation", a_shared_cause_is_full_correlation},
    {"an edge is taken from the inner side", an_edge_is_taken_from_the_inner_side},
    {"a seed repeats its draws", a_seed_repeats_its_draws},
    {"a long calculation can be stopped", a_long_calculation_can_be_stopped},
    {"a doubt beyond every number is refused", a_uncertainty_beyond_every_number_is_refused},
    {"what cannot be propagated is refused", what_cannot_be_propagated_is_refused},
    CU_TEST_INFO_NULL,
};
