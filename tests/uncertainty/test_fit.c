/* Least squares with bounds, prior knowledge and parameters that the data cannot tell.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "suites.h"
#include "uncertainty/fit.h"

#include <gsl/gsl_fit.h>

enum { POINTS = 8 };

/* A decay towards a level: level + height exp(-rate x), each point known to 0.01. */
typedef struct decay {
    double x[POINTS], y[POINTS];
} decay;

static jl_status decay_residuals(const double *p, int changed, double *residuals, void *with) {
    const decay *d = with;
    (void)changed;
    for (int i = 0; i < POINTS; i++)
        residuals[i] = (p[0] + p[1] * exp(-p[2] * d->x[i]) - d->y[i]) / 0.01;
    return JL_OK;
}

static void make(decay *d, double level, double height, double rate, double span) {
    for (int i = 0; i < POINTS; i++) {
        d->x[i] = span * i / (POINTS - 1);
        d->y[i] = level + height * exp(-rate * d->x[i]);
    }
}

static void parameters_are_found_again(void) {
    decay d;
    make(&d, 0.4, 2, 1.3, 4);
    const jl_parameter parameters[] = {{0, INFINITY, -10, 10, 1, false, 0},
                                       {1, INFINITY, 0, 10, 1, false, 0},
                                       {1, INFINITY, 0, 10, 1, false, 0}};
    const jl_fit_problem problem = {decay_residuals, &d, parameters, 3, POINTS};
    jl_fitted f;
    CHECK_OK(jl_fitted_alloc(&problem, &f));
    CHECK_OK(jl_fit(&problem, &f));
    CHECK_NEAR(f.values[0], 0.4, 1e-4);
    CHECK_NEAR(f.values[1], 2, 1e-4);
    CHECK_NEAR(f.values[2], 1.3, 1e-4);
    CHECK(!f.held[0] && !f.held[1] && !f.held[2] && f.freedom == POINTS - 3);
    CHECK(f.chi_squared < 1e-3);
    jl_fitted_free(&f);
}

/* A straight line by the same means, against GSL's closed form. */
static jl_status line_residuals(const double *p, int changed, double *residuals, void *with) {
    const decay *d = with;
    (void)changed;
    for (int i = 0; i < POINTS; i++) residuals[i] = (p[0] + p[1] * d->x[i] - d->y[i]) / 0.5;
    return JL_OK;
}

static void standard_uncertainties_are_those_of_a_straight_line(void) {
    decay d = {{0, 1, 2, 3, 4, 5, 6, 7}, {0.1, 0.9, 2.3, 2.8, 4.1, 5.2, 5.7, 7.3}};
    double weights[POINTS], c0, c1, cov00, cov01, cov11, chisq;
    for (int i = 0; i < POINTS; i++) weights[i] = 4;
    gsl_fit_wlinear(d.x, 1, weights, 1, d.y, 1, POINTS, &c0, &c1, &cov00, &cov01, &cov11, &chisq);
    const jl_parameter parameters[] = {{1, INFINITY, -10, 10, 1, false, 0},
                                       {0, INFINITY, -10, 10, 1, false, 0}};
    const jl_fit_problem problem = {line_residuals, &d, parameters, 2, POINTS};
    jl_fitted f;
    CHECK_OK(jl_fitted_alloc(&problem, &f));
    CHECK_OK(jl_fit(&problem, &f));
    CHECK_NEAR(f.values[0], c0, 1e-6);
    CHECK_NEAR(f.values[1], c1, 1e-6);
    CHECK_NEAR(f.standard[0], sqrt(cov00), 1e-6);
    CHECK_NEAR(f.covariance[1], cov01, 1e-6);
    CHECK_NEAR(f.standard[1], sqrt(cov11), 1e-6);
    CHECK_NEAR(f.chi_squared, chisq, 1e-6);
    jl_fitted_free(&f);
}

/* Over a span in which the exponential is a straight line, height and rate act only as a product.
 */
static void what_the_data_cannot_tell_is_held(void) {
    decay d;
    make(&d, 0, 1, 0.02, 1);
    const jl_parameter parameters[] = {{0, INFINITY, -10, 10, 1, false, 0},
                                       {1, INFINITY, 0, 10, 1, false, 0},
                                       {0.03, INFINITY, 0, 10, 0.1, false, 0}};
    const jl_fit_problem problem = {decay_residuals, &d, parameters, 3, POINTS};
    jl_fitted f;
    CHECK_OK(jl_fitted_alloc(&problem, &f));
    CHECK_OK(jl_fit(&problem, &f));
    CHECK(f.held[0] && !f.held[1] && !f.held[2]);
    CHECK(f.standard[0] == 0 && f.values[0] == 0);
    CHECK_NEAR(f.values[2], 0.02, 1e-3);
    jl_fitted_free(&f);
}

/* One measurement y = p of u 1 and knowledge before of p = 4 with u 2: the weighted mean. */
static jl_status one_value(const double *p, int changed, double *residuals, void *with) {
    (void)changed;
    residuals[0] = p[0] - *(const double *)with;
    return JL_OK;
}

static void knowledge_before_is_weighed_in(void) {
    double y = 9;
    jl_parameter parameters[] = {{4, 2, -100, 100, 1, false, 0}};
    const jl_fit_problem problem = {one_value, &y, parameters, 1, 1};
    jl_fitted f;
    CHECK_OK(jl_fitted_alloc(&problem, &f));
    CHECK_OK(jl_fit(&problem, &f));
    CHECK_NEAR(f.values[0], (9 + 4 * 0.25) / 1.25, 1e-6);
    CHECK_NEAR(f.standard[0], 1 / sqrt(1.25), 1e-6);
    CHECK(f.freedom == 1);
    parameters[0].most = 5; /* a bound holds against both */
    CHECK_OK(jl_fit(&problem, &f));
    CHECK_NEAR(f.values[0], 5, 1e-9);
    CHECK(f.at_edge[0]);
    parameters[0].most = 100;
    parameters[0].held = true;
    CHECK_OK(jl_fit(&problem, &f));
    CHECK(f.values[0] == 4 && f.standard[0] == 0 && f.chi_squared == 25);
    jl_fitted_free(&f);
}

static jl_status refuse(const double *p, int changed, double *residuals, void *with) {
    (void)p;
    (void)changed;
    (void)residuals;
    (void)with;
    return JL_NO_MIXTURE;
}

static void what_cannot_be_fitted_is_refused(void) {
    double y = 9;
    jl_parameter parameters[] = {{4, INFINITY, -100, 100, 1, false, 0},
                                 {4, INFINITY, -100, 100, 1, false, 0}};
    jl_fit_problem problem = {one_value, &y, parameters, 2, 1};
    jl_fitted f;
    CHECK_OK(jl_fitted_alloc(&problem, &f));
    CHECK_STATUS(jl_fit(&problem, &f), JL_MISSING);
    parameters[0].value = 101;
    CHECK_STATUS(jl_fit(&problem, &f), JL_RANGE);
    parameters[0].value = 4;
    problem.parameter_count = 1;
    problem.residuals = refuse;
    CHECK_STATUS(jl_fit(&problem, &f), JL_NO_MIXTURE);
    jl_fitted_free(&f);
}

CU_TestInfo fit_tests[] = {
    {"parameters are found again", parameters_are_found_again},
    {"standard uncertainties are those of a straight line",
     standard_uncertainties_are_those_of_a_straight_line},
    {"what the data cannot tell is held", what_the_data_cannot_tell_is_held},
    {"knowledge before is weighed in", knowledge_before_is_weighed_in},
    {"what cannot be fitted is refused", what_cannot_be_fitted_is_refused},
    CU_TEST_INFO_NULL,
};
