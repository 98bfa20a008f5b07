/* The likelihood of a run by small linear algebra, against the whole matrices that it stands for; and
 * mixtures of normals.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "learn/mixture.h"
#include "learn/model.h"
#include "suites.h"

#include <gsl/gsl_linalg.h>
#include <stdlib.h>

enum { JARS = 6, ROWS = JARS + 2 };

static const jl_learning_jar LOGGED[JARS] = {
    {0.5, 0.003, 80, 0.3, NAN, NAN, NAN}, {0.5, 0.003, 76, 0.3, NAN, NAN, NAN},
    {0.6, 0.004, 70, 0.4, NAN, NAN, NAN}, {0.5, 0.003, NAN, NAN, NAN, NAN, NAN},
    {0.5, 0.003, 50, 0.3, 95.1, 90, NAN}, {0.5, 0.003, 35, 0.3, NAN, NAN, NAN},
};

static jl_learning_run run_of(const jl_learning_jar *jars, size_t count) {
    return (jl_learning_run){.jars = jars,
                             .count = count,
                             .charge_l = 10,
                             .charge_strength_pct = 30,
                             .charge_share_u = 0.005,
                             .charge_strength_u_pct = 0.29,
                             .pressure_kpa = 101.325,
                             .pressure_u_kpa = 0.5,
                             .power_w = NAN};
}

#define WIDTHS JL_LEARNING_WIDTHS

typedef struct given {
    jl_learning_run run;
    jl_vapours vapours;
    jl_tracks *tracks;
    jl_linear linear;
    double unknowns[JL_UNKNOWNS];
} given;

static given *about_jars(const jl_learning_jar *jars, size_t count, double stages, double share,
                         const double unknowns[JL_UNKNOWNS]) {
    given *g = calloc(1, sizeof *g);
    if (g == NULL || (g->tracks = jl_tracks_new()) == NULL) abort();
    for (int k = 0; k < JL_UNKNOWNS; k++) g->unknowns[k] = unknowns[k];
    g->unknowns[JL_UNKNOWN_SHARE] = share;
    g->run = run_of(jars, count);
    CHECK_OK(jl_vapours_fill(g->run.pressure_kpa, &g->vapours));
    const jl_march_of of = {stages, share, jl_mole_of_pct(40), false};
    jl_tracks_march(g->tracks, &g->vapours, &of, unknowns[JL_UNKNOWN_SHIFT], true);
    CHECK_OK(jl_linear_open(&g->run, &WIDTHS, &g->linear));
    jl_linearise(g->tracks, g->unknowns, &g->linear);
    return g;
}

static given *about(double stages, double share, const double unknowns[JL_UNKNOWNS]) {
    return about_jars(LOGGED, JARS, stages, share, unknowns);
}

static void discard(given *g) {
    jl_linear_close(&g->linear);
    jl_tracks_free(g->tracks);
    free(g);
}

static const double ZERO[JL_UNKNOWNS] = {0};

/* Noise of the rows, with the walk of the jars' sum, as one matrix. */
static gsl_matrix *noise_of(const jl_linear *l, double factor) {
    gsl_matrix *noise = gsl_matrix_calloc(l->count, l->count);
    double walked_i = 0;
    for (size_t i = 0; i < l->count; i++) {
        walked_i += l->rows[i].walk;
        double walked_j = 0;
        for (size_t j = 0; j < l->count; j++) {
            walked_j += l->rows[j].walk;
            gsl_matrix_set(noise, i, j,
                           l->rows[i].per_l * l->rows[j].per_l * fmin(walked_i, walked_j));
        }
        *gsl_matrix_ptr(noise, i, i) += factor * factor * l->rows[i].reading + l->rows[i].fixed;
    }
    return noise;
}

/* ln of |m| and a' m^-1 b. */
static double ln_det_of(gsl_matrix *m) {
    gsl_matrix *copy = gsl_matrix_alloc(m->size1, m->size1);
    double sum = 0;
    gsl_matrix_memcpy(copy, m);
    gsl_linalg_cholesky_decomp1(copy);
    for (size_t i = 0; i < m->size1; i++) sum += 2 * log(gsl_matrix_get(copy, i, i));
    gsl_matrix_free(copy);
    return sum;
}

static double product_of(gsl_matrix *m, const double *a, const double *b) {
    gsl_matrix *copy = gsl_matrix_alloc(m->size1, m->size1);
    double solved[ROWS], sum = 0;
    gsl_matrix_memcpy(copy, m);
    gsl_linalg_cholesky_decomp1(copy);
    gsl_vector_const_view rhs = gsl_vector_const_view_array(b, m->size1);
    gsl_vector_view x = gsl_vector_view_array(solved, m->size1);
    gsl_linalg_cholesky_solve(copy, &rhs.vector, &x.vector);
    for (size_t i = 0; i < m->size1; i++) sum += a[i] * solved[i];
    gsl_matrix_free(copy);
    return sum;
}

static void column_of(const jl_linear *l, int k, double *column) {
    for (size_t i = 0; i < l->count; i++) column[i] = l->rows[i].column[k];
}

static void products_are_those_of_the_whole_noise(void) {
    given *g = about(2, 0.4, ZERO);
    CHECK(g->linear.count == 7); /* five strengths, two temperatures */
    for (int noise = 0; noise < JL_NOISES; noise++) {
        jl_gram gram;
        double a[ROWS], b[ROWS];
        gsl_matrix *whole = noise_of(&g->linear, JL_NOISE_FACTOR[noise]);
        jl_linear_gram(&g->linear, noise, &gram);
        CHECK_NEAR(gram.ln_det, ln_det_of(whole), 1e-9);
        for (int k = 0; k < JL_COLUMNS; k++)
            for (int j = 0; j < JL_COLUMNS; j++) {
                column_of(&g->linear, k, a);
                column_of(&g->linear, j, b);
                double want = product_of(whole, a, b);
                CHECK_NEAR(gram.of[k][j], want, 1e-8 * (1 + fabs(want)));
            }
        double sum = 0;
        for (size_t i = 0; i < g->linear.count; i++)
            sum += g->linear.rows[i].independent[JL_DATA] * g->linear.rows[i].independent[JL_DATA];
        CHECK_NEAR(sum, gram.of[JL_DATA][JL_DATA], 1e-8 * sum);
        gsl_matrix_free(whole);
    }
    discard(g);
}

/* Their determinant is far below or above what a double holds. */
static void many_jars_have_a_determinant(void) {
    enum { MANY = 400 };
    const double u_pct[] = {0.02, 40};
    for (int i = 0; i < 2; i++) {
        jl_learning_jar jars[MANY];
        for (int k = 0; k < MANY; k++)
            jars[k] = (jl_learning_jar){0.01, 1e-4, 80 - k / 10.0, u_pct[i], NAN, NAN, NAN};
        given *g = about_jars(jars, MANY, 2, 0.4, ZERO);
        jl_gram gram;
        gsl_matrix *whole = noise_of(&g->linear, JL_NOISE_FACTOR[0]);
        jl_linear_gram(&g->linear, 0, &gram);
        double want = ln_det_of(whole);
        CHECK(fabs(want) > 750); /* of a double, at most 745 */
        CHECK_NEAR(gram.ln_det, want, 1e-9 * fabs(want));
        gsl_matrix_free(whole);
        discard(g);
    }
}

/* The evidence is the density of the data under noise and prior together. */
static void evidence_is_the_density_of_the_data(void) {
    given *g = about(2, 0.4, ZERO);
    jl_gram gram;
    jl_normal prior = jl_prior_of(&g->run, &WIDTHS), after;
    prior.mean[JL_UNKNOWN_SHARE] = 0.4;
    prior.mean[JL_UNKNOWN_SHIFT] = 0.01;
    prior.covariance[JL_UNKNOWN_SHIFT][JL_UNKNOWN_SCALE] = 1e-4;
    prior.covariance[JL_UNKNOWN_SCALE][JL_UNKNOWN_SHIFT] = 1e-4;
    jl_linear_gram(&g->linear, 0, &gram);
    gsl_matrix *whole = noise_of(&g->linear, 1);
    double left[ROWS];
    column_of(&g->linear, JL_DATA, left);
    for (size_t i = 0; i < g->linear.count; i++) {
        const double *a = g->linear.rows[i].column;
        for (int k = 0; k < JL_UNKNOWNS; k++) left[i] -= a[k] * prior.mean[k];
        for (size_t j = 0; j < g->linear.count; j++)
            for (int k = 0; k < JL_UNKNOWNS; k++)
                for (int n = 0; n < JL_UNKNOWNS; n++)
                    *gsl_matrix_ptr(whole, i, j) +=
                        a[k] * prior.covariance[k][n] * g->linear.rows[j].column[n];
    }
    double squares, want = product_of(whole, left, left);
    double evidence = jl_condition(&gram, &prior, &after, &squares);
    CHECK_NEAR(squares, want, 1e-6 * want);
    CHECK_NEAR(evidence, -(want + ln_det_of(whole)) / 2, 1e-6 * want);
    for (int k = 1; k < JL_UNKNOWNS; k++)
        CHECK(after.covariance[k][k] > 0 && after.covariance[k][k] <= prior.covariance[k][k]);
    CHECK_NEAR(after.mean[JL_UNKNOWN_SHARE], 0.4, 1e-12);
    CHECK_NEAR(after.covariance[JL_UNKNOWN_SHARE][JL_UNKNOWN_SHARE], 0, 1e-18);
    gsl_matrix_free(whole);
    discard(g);
}

/* A prior in two parts, the still's and the run's own, is the prior of their sum. */
static void own_unknowns_are_noise_of_the_run(void) {
    given *g = about(2, 0.4, ZERO);
    jl_gram gram, other;
    jl_normal whole = jl_prior_of(&g->run, &WIDTHS), part = whole;
    double own[JL_UNKNOWNS];
    whole.mean[JL_UNKNOWN_SHARE] = part.mean[JL_UNKNOWN_SHARE] = 0.4;
    for (int k = 0; k < JL_UNKNOWNS; k++) {
        own[k] = 0.3 * whole.covariance[k][k];
        part.covariance[k][k] -= own[k];
    }
    jl_linear_gram(&g->linear, 0, &gram);
    other = gram;
    jl_integrate_out(&other, own);
    CHECK_NEAR(jl_condition(&other, &part, &part, NULL), jl_condition(&gram, &whole, &whole, NULL),
               1e-6);
    discard(g);
}

/* Lines about one point say at another what the other says itself. */
static void lines_hold_between_two_points(void) {
    double moved[JL_UNKNOWNS] = {0};
    moved[JL_UNKNOWN_SHIFT] = 0.01;
    moved[JL_UNKNOWN_SCALE] = 0.01;
    moved[JL_UNKNOWN_CHARGE_PCT] = 0.2;
    moved[JL_UNKNOWN_ALCOHOLOMETER] = 0.2;
    given *a = about(2, 0.4, ZERO), *b = about(2, 0.41, moved);
    for (size_t i = 0; i < a->linear.count; i++) {
        double by_line = a->linear.rows[i].predicted;
        for (int k = 0; k < JL_UNKNOWN_THERMOMETER; k++)
            by_line += a->linear.rows[i].column[k] * (b->unknowns[k] - a->unknowns[k]);
        bool strength = a->linear.rows[i].of == JL_ROW_STRENGTH;
        by_line -= strength ? moved[JL_UNKNOWN_ALCOHOLOMETER] : 0;
        CHECK_NEAR(by_line, b->linear.rows[i].predicted, strength ? 0.1 : 0.05);
    }
    discard(a);
    discard(b);
}

static void a_mixture_has_the_quantiles_of_its_parts(void) {
    jl_part one = {2, 3, 0.5}, two[] = {{0.5, -10, 1}, {0.5, 10, 1}}, fixed = {1, 4, 0};
    jl_mixed m = jl_mix(&one, 1);
    CHECK_NEAR(m.low, 3 - 1.959964 * 0.5, 1e-6);
    CHECK_NEAR(m.high, 3 + 1.959964 * 0.5, 1e-6);
    CHECK_NEAR(m.standard, 0.5, 1e-12);
    m = jl_mix(two, 2);
    CHECK_NEAR(m.mean, 0, 1e-12);
    CHECK_NEAR(m.standard, sqrt(101), 1e-9);
    CHECK_NEAR(m.high, 10 + 1.644854, 1e-5); /* 5 % of the right part lie above */
    CHECK_NEAR(jl_mixture_below(two, 2, 0), 0.5, 1e-12);
    m = jl_mix(&fixed, 1);
    CHECK(m.low == 4 && m.high == 4 && m.mean == 4);
    CHECK(isnan(jl_mix(two, 0).mean));
    const jl_part beside[] = {{0, 1e6, 1e3}, {2, 3, 0.5}}; /* without weight it widens nothing */
    m = jl_mix(beside, 2);
    CHECK_NEAR(m.low, 3 - 1.959964 * 0.5, 1e-6);
    CHECK_NEAR(m.standard, 0.5, 1e-12);
    double weights[] = {-1000, -1000 + log(3), -INFINITY};
    CHECK_NEAR(jl_weigh(weights, 3), -1000 + log(4), 1e-9);
    CHECK_NEAR(weights[1], 0.75, 1e-12);
    CHECK(weights[2] == 0);
}

CU_TestInfo model_tests[] = {
    {"products are those of the whole noise", products_are_those_of_the_whole_noise},
    {"many jars have a determinant", many_jars_have_a_determinant},
    {"evidence is the density of the data", evidence_is_the_density_of_the_data},
    {"own unknowns are noise of the run", own_unknowns_are_noise_of_the_run},
    {"lines hold between two points", lines_hold_between_two_points},
    {"a mixture has the quantiles of its parts", a_mixture_has_the_quantiles_of_its_parts},
    CU_TEST_INFO_NULL,
};
