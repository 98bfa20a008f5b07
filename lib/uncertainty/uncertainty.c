/* Uncertainty of any figure: to first order, and by Monte Carlo.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * JCGM 100:2008 (GUM), section 5; JCGM 101:2008, sections 5 and 7. */
#define HAVE_INLINE /* GSL then hands out random numbers without a call */

#include "jarline.h"

#include <gsl/gsl_eigen.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { FIGURES_MOST = 1000, DRAWS_LEAST = 100, DRAWS_MOST = 100000000 };

static bool correlation_ok(const jl_measurement *m) {
    size_t n = m->input_count;
    if (m->correlation == NULL) return true;
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < n; k++) {
            double r = m->correlation[i * n + k];
            if (!(fabs(r) <= 1) || fabs(r - m->correlation[k * n + i]) > 1e-12) return false;
            if (i == k && r != 1) return false;
        }
    return true;
}

static jl_status check(const jl_measurement *m) {
    if (!(m->input_count >= 1 && m->input_count <= JL_INPUTS_MOST)) return JL_RANGE;
    if (!(m->figure_count >= 1 && m->figure_count <= FIGURES_MOST)) return JL_RANGE;
    for (size_t i = 0; i < m->input_count; i++) {
        const jl_input *input = &m->inputs[i];
        if (!isfinite(input->value) || !(input->width >= 0 && isfinite(input->width)))
            return JL_RANGE;
        if (input->spread != JL_NORMAL && input->spread != JL_RECTANGULAR) return JL_RANGE;
    }
    return correlation_ok(m) ? JL_OK : JL_RANGE;
}

static double standard_of(const jl_input *input) {
    return input->spread == JL_RECTANGULAR ? input->width / sqrt(3) : input->width;
}

static jl_status ask(const jl_measurement *m, const double *x, double *figures) {
    jl_status status = m->model(x, figures, m->with);
    for (size_t k = 0; status == JL_OK && k < m->figure_count; k++)
        if (!isfinite(figures[k])) status = JL_NUMERIC;
    return status;
}

/* ---- First order ---- */

/* Room for one calculation: the inputs, the figures at the estimates and at two other places, and
 * for every figure and input the derivative times the input's standard uncertainty. */
typedef struct workspace {
    double *x, *at, *up, *down, *effect;
    double *all;
} workspace;

static jl_status workspace_open(workspace *d, size_t inputs, size_t figures) {
    d->all = calloc(inputs + 3 * figures + inputs * figures, sizeof *d->all);
    if (d->all == NULL) return JL_MEMORY;
    d->x = d->all;
    d->at = d->x + inputs;
    d->up = d->at + figures;
    d->down = d->up + figures;
    d->effect = d->down + figures;
    return JL_OK;
}

static jl_status ask_at(const jl_measurement *m, workspace *d, size_t i, double value,
                        double *figures) {
    double kept = d->x[i];
    d->x[i] = value;
    jl_status status = ask(m, d->x, figures);
    d->x[i] = kept;
    return status;
}

/* Where one side is refused the other side alone gives the slope: with a second point, exact for a
 * parabola. step points to the side that is taken, whose figures are near. */
static void one_sided(const jl_measurement *m, workspace *d, size_t i, double step,
                      const double *near, double *far) {
    bool second = ask_at(m, d, i, d->x[i] + 2 * step, far) == JL_OK;
    double sign = step > 0 ? 1 : -1;
    for (size_t k = 0; k < m->figure_count; k++) {
        double once = near[k] - d->at[k];
        d->effect[k * m->input_count + i] =
            sign * (second ? 2 * once - (far[k] - d->at[k]) / 2 : once);
    }
}

static jl_status effect_of(const jl_measurement *m, workspace *d, size_t i) {
    double value = d->x[i], step = standard_of(&m->inputs[i]);
    if (step == 0) return JL_OK;
    jl_status below = ask_at(m, d, i, value - step, d->down);
    jl_status above = ask_at(m, d, i, value + step, d->up);
    if (below != JL_OK && above != JL_OK) return below;
    if (below != JL_OK)
        one_sided(m, d, i, step, d->up, d->down);
    else if (above != JL_OK)
        one_sided(m, d, i, -step, d->down, d->up);
    else
        for (size_t k = 0; k < m->figure_count; k++)
            d->effect[k * m->input_count + i] = (d->up[k] - d->down[k]) / 2;
    return JL_OK;
}

/* GUM 5.2.2: the variance is the sum over all pairs of effects times their correlation. An input's
 * part is its row of that sum. */
static double combine(const jl_measurement *m, const double *effect, double *shares) {
    size_t n = m->input_count;
    double variance = 0;
    for (size_t i = 0; i < n; i++) {
        double sum = effect[i];
        if (m->correlation != NULL) {
            sum = 0;
            for (size_t k = 0; k < n; k++) sum += m->correlation[i * n + k] * effect[k];
        }
        variance += effect[i] * sum;
        if (shares != NULL) shares[i] = effect[i] * sum;
    }
    if (variance < 0) variance = 0; /* rounding, or a matrix that is no matrix of correlations */
    if (shares != NULL)
        for (size_t i = 0; i < n; i++) shares[i] = variance > 0 ? shares[i] / variance : 0;
    return sqrt(variance);
}

jl_status jl_first_order(const jl_measurement *m, double *shares, jl_uncertainty *uncertainties) {
    workspace d;
    jl_status status = check(m);
    if (status == JL_OK) status = workspace_open(&d, m->input_count, m->figure_count);
    if (status != JL_OK) return status;
    for (size_t i = 0; i < m->input_count; i++) d.x[i] = m->inputs[i].value;
    status = ask(m, d.x, d.at);
    for (size_t i = 0; status == JL_OK && i < m->input_count; i++) status = effect_of(m, &d, i);
    for (size_t k = 0; status == JL_OK && k < m->figure_count; k++)
        if (!isfinite(combine(m, d.effect + k * m->input_count, NULL))) status = JL_NUMERIC;
    for (size_t k = 0; status == JL_OK && k < m->figure_count; k++) {
        size_t row = k * m->input_count;
        uncertainties[k].value = d.at[k];
        uncertainties[k].standard =
            combine(m, d.effect + row, shares == NULL ? NULL : shares + row);
    }
    free(d.all);
    return status;
}

/* ---- Monte Carlo ---- */

/* A square root of the correlation matrix by its eigenvectors, which also takes inputs that are
 * wholly correlated, where a Cholesky decomposition breaks down. */
static jl_status root_of(const jl_measurement *m, double *root) {
    size_t n = m->input_count;
    gsl_matrix *a = gsl_matrix_alloc(n, n), *vectors = gsl_matrix_alloc(n, n);
    gsl_vector *values = gsl_vector_alloc(n);
    gsl_eigen_symmv_workspace *work = gsl_eigen_symmv_alloc(n);
    jl_status status = JL_MEMORY;
    if (a != NULL && vectors != NULL && values != NULL && work != NULL) {
        for (size_t i = 0; i < n * n; i++) gsl_matrix_set(a, i / n, i % n, m->correlation[i]);
        status = gsl_eigen_symmv(a, values, vectors, work) == 0 ? JL_OK : JL_NUMERIC;
        for (size_t k = 0; status == JL_OK && k < n; k++) {
            double value = gsl_vector_get(values, k);
            if (value < -1e-9) status = JL_RANGE;
            for (size_t i = 0; i < n; i++)
                root[i * n + k] = gsl_matrix_get(vectors, i, k) * sqrt(fmax(value, 0));
        }
    }
    gsl_eigen_symmv_free(work);
    gsl_vector_free(values);
    gsl_matrix_free(vectors);
    gsl_matrix_free(a);
    return status;
}

/* What one calculation draws from and where it keeps what the model answers. */
typedef struct monte_carlo {
    gsl_rng *rng;
    double *x, *free_normal, *figures;
    double *root;    /* NULL: nothing is correlated */
    double *answers; /* for each figure, one for each draw that was not refused */
    jl_drawn *made;
    size_t kept, refused;
    jl_status last_refusal;
} monte_carlo;

static void monte_carlo_close(monte_carlo *l) {
    if (l->rng != NULL) gsl_rng_free(l->rng);
    free(l->x);
    free(l->root);
    free(l->answers);
    free(l->made);
}

static jl_status correlated_are_normal(const jl_measurement *m) {
    size_t n = m->input_count;
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < n; k++)
            if (i != k && m->correlation[i * n + k] != 0 && m->inputs[i].spread != JL_NORMAL)
                return JL_RANGE;
    return JL_OK;
}

static jl_status monte_carlo_open(monte_carlo *l, const jl_measurement *m, size_t draws,
                                  uint32_t seed) {
    size_t n = m->input_count;
    *l = (monte_carlo){.rng = gsl_rng_alloc(gsl_rng_taus2),
                       .x = calloc(2 * n + m->figure_count, sizeof(double)),
                       .answers = calloc(draws, m->figure_count * sizeof(double)),
                       .made = calloc(m->figure_count, sizeof *l->made)};
    if (l->rng == NULL || l->x == NULL || l->answers == NULL || l->made == NULL) return JL_MEMORY;
    l->free_normal = l->x + n;
    l->figures = l->free_normal + n;
    gsl_rng_set(l->rng, seed);
    if (m->correlation == NULL) return JL_OK;
    jl_status status = correlated_are_normal(m);
    if (status != JL_OK) return status;
    l->root = calloc(n, n * sizeof(double));
    return l->root == NULL ? JL_MEMORY : root_of(m, l->root);
}

/* Deviates of a correlated set are mixed from as many that are free. */
static double correlated_deviate(const monte_carlo *l, size_t i, size_t n) {
    double deviate = 0;
    for (size_t k = 0; k < n; k++) deviate += l->root[i * n + k] * l->free_normal[k];
    return deviate;
}

static void draw_inputs(monte_carlo *l, const jl_measurement *m) {
    size_t n = m->input_count;
    if (l->root != NULL)
        for (size_t i = 0; i < n; i++) l->free_normal[i] = gsl_ran_gaussian_ziggurat(l->rng, 1);
    for (size_t i = 0; i < n; i++) {
        const jl_input *input = &m->inputs[i];
        double deviate = input->spread == JL_RECTANGULAR ? 2 * gsl_rng_uniform(l->rng) - 1
                         : l->root != NULL               ? correlated_deviate(l, i, n)
                                                         : gsl_ran_gaussian_ziggurat(l->rng, 1);
        l->x[i] = input->value + input->width * deviate;
    }
}

static jl_status draw_all(monte_carlo *l, const jl_measurement *m, size_t draws) {
    const size_t hundredth = draws / 100;
    for (size_t done = 0; done < draws; done++) {
        if (m->progress != NULL && done % hundredth == 0 &&
            !m->progress((double)done / (double)draws, m->progress_with))
            return JL_END;
        draw_inputs(l, m);
        jl_status status = ask(m, l->x, l->figures);
        if (status == JL_MEMORY) return status;
        if (status != JL_OK) {
            l->last_refusal = status;
            l->refused++;
            continue;
        }
        for (size_t k = 0; k < m->figure_count; k++)
            l->answers[k * draws + l->kept] = l->figures[k];
        l->kept++;
    }
    return l->kept < l->refused ? l->last_refusal : JL_OK;
}

static int ascending(const void *a, const void *b) {
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* JCGM 101, 7.5.1 and 7.7: of M sorted values an interval of 95 % spans q = 0.95 M of them. */
static void summarise(double *answers, size_t count, jl_drawn *drawn) {
    double mean = 0, squares = 0;
    for (size_t i = 0; i < count; i++) {
        double off = answers[i] - mean;
        mean += off / (double)(i + 1);
        squares += off * (answers[i] - mean);
    }
    qsort(answers, count, sizeof *answers, ascending);
    size_t q = (size_t)(0.95 * (double)count + 0.5);
    size_t r = (count - q) / 2, shortest = 0;
    for (size_t i = 0; i + q < count; i++)
        if (answers[i + q] - answers[i] < answers[shortest + q] - answers[shortest]) shortest = i;
    *drawn = (jl_drawn){.mean = mean,
                        .standard = sqrt(squares / (double)(count - 1)),
                        .low = answers[r],
                        .high = answers[r + q],
                        .shortest_low = answers[shortest],
                        .shortest_high = answers[shortest + q]};
}

jl_status jl_monte_carlo(const jl_measurement *m, size_t draws, uint32_t seed, jl_drawn *drawn) {
    monte_carlo l;
    jl_status status = check(m);
    if (status != JL_OK) return status;
    if (!(draws >= DRAWS_LEAST && draws <= DRAWS_MOST)) return JL_RANGE;
    status = monte_carlo_open(&l, m, draws, seed);
    if (status == JL_OK) status = draw_all(&l, m, draws);
    for (size_t k = 0; status == JL_OK && k < m->figure_count; k++) {
        summarise(l.answers + k * draws, l.kept, &l.made[k]);
        l.made[k].refused = l.refused;
        if (!isfinite(l.made[k].standard)) status = JL_NUMERIC;
    }
    if (status == JL_OK) memcpy(drawn, l.made, m->figure_count * sizeof *drawn);
    monte_carlo_close(&l);
    return status;
}

bool jl_is_curved(jl_uncertainty first_order, jl_drawn drawn) {
    return fabs(drawn.standard - first_order.standard) > 0.05 * first_order.standard;
}
