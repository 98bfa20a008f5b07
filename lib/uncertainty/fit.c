/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The search is GSL's trust region (Levenberg-Marquardt). Bounds and prior knowledge are further
 * residuals, so that the covariance knows of them. */
#include "uncertainty/fit.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_multifit_nlinear.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { STEPS_MOST = 60 };

/* Part of a parameter's scale over which its derivative is taken: far above the rounding of what it
 * acts on, far below where it bends. */
static const double STEP = 0.02;

/* The parameters that are sought, as GSL sees them: in units of their scale, from the start. */
typedef struct search {
    const jl_fit_problem *problem;
    jl_fitted *fitted;
    size_t *sought; /* their places in the problem */
    size_t count;
    double *inside; /* all parameters, within their bounds */
    double *base, *moved;
    jl_status status; /* the last refusal */
} search;

jl_status jl_fitted_alloc(const jl_fit_problem *problem, jl_fitted *fitted) {
    size_t n = problem->parameter_count;
    *fitted = (jl_fitted){
        .values = calloc(n, sizeof(double)),
        .standard = calloc(n, sizeof(double)),
        .covariance = calloc(n * n, sizeof(double)),
        .held = calloc(n, sizeof(bool)),
        .at_edge = calloc(n, sizeof(bool)),
        .residuals = calloc(problem->residual_count, sizeof(double)),
    };
    bool all = fitted->values && fitted->standard && fitted->covariance && fitted->held &&
               fitted->at_edge && fitted->residuals;
    if (!all) jl_fitted_free(fitted);
    return all ? JL_OK : JL_MEMORY;
}

void jl_fitted_free(jl_fitted *fitted) {
    free(fitted->values);
    free(fitted->standard);
    free(fitted->covariance);
    free(fitted->held);
    free(fitted->at_edge);
    free(fitted->residuals);
    *fitted = (jl_fitted){0};
}

/* ---- Residuals and their derivatives ---- */

static const jl_parameter *parameter_of(const search *s, size_t k) {
    return &s->problem->parameters[s->sought[k]];
}

static double within(const jl_parameter *p, double value) {
    return value < p->least ? p->least : value > p->most ? p->most : value;
}

static double placed(const search *s, const gsl_vector *x, size_t k) {
    const jl_parameter *p = parameter_of(s, k);
    return p->value + p->scale * gsl_vector_get(x, k);
}

static void place_all(search *s, const gsl_vector *x) {
    for (size_t i = 0; i < s->problem->parameter_count; i++)
        s->inside[i] = s->problem->parameters[i].value;
    for (size_t k = 0; k < s->count; k++)
        s->inside[s->sought[k]] = within(parameter_of(s, k), placed(s, x, k));
}

static bool all_finite(const double *v, size_t n) {
    for (size_t i = 0; i < n; i++)
        if (!isfinite(v[i])) return false;
    return true;
}

static jl_status ask(search *s, int changed, double *residuals) {
    const jl_fit_problem *p = s->problem;
    jl_status status = p->residuals(s->inside, changed, residuals, p->with);
    if (status == JL_OK && !all_finite(residuals, p->residual_count)) status = JL_NUMERIC;
    if (status != JL_OK && s->status != JL_MEMORY) s->status = status;
    return status;
}

/* How steeply leaving the bounds is punished: a hundredth of a scale outside counts as one standard
 * uncertainty. */
static const double OUTSIDE = 100;

static int residuals_for_gsl(const gsl_vector *x, void *with, gsl_vector *f) {
    search *s = with;
    size_t n = s->problem->residual_count;
    place_all(s, x);
    if (ask(s, JL_ALL_CHANGED, s->base) != JL_OK) return GSL_EDOM;
    for (size_t i = 0; i < n; i++) gsl_vector_set(f, i, s->base[i]);
    for (size_t k = 0; k < s->count; k++) {
        const jl_parameter *p = parameter_of(s, k);
        double value = placed(s, x, k);
        gsl_vector_set(f, n + 2 * k, isfinite(p->prior) ? (value - p->value) / p->prior : 0);
        gsl_vector_set(f, n + 2 * k + 1, OUTSIDE * (value - within(p, value)) / p->scale);
    }
    return GSL_SUCCESS;
}

/* The derivative of all residuals by one parameter, towards the inside at a bound. */
static jl_status column_of(search *s, size_t k, gsl_matrix *jacobian) {
    const jl_parameter *p = parameter_of(s, k);
    size_t n = s->problem->residual_count, place = s->sought[k];
    double kept = s->inside[place];
    double step = kept + STEP * p->scale <= p->most ? STEP : -STEP;
    memcpy(s->moved, s->base, n * sizeof *s->moved);
    s->inside[place] = kept + step * p->scale;
    jl_status status = ask(s, (int)place, s->moved);
    s->inside[place] = kept;
    if (status != JL_OK) return status;
    for (size_t i = 0; i < n; i++)
        gsl_matrix_set(jacobian, i, k, (s->moved[i] - s->base[i]) / step);
    if (isfinite(p->prior)) gsl_matrix_set(jacobian, n + 2 * k, k, p->scale / p->prior);
    return JL_OK;
}

/* Without the bounds, which are no knowledge. */
static jl_status jacobian_inside(search *s, const gsl_vector *x, gsl_matrix *jacobian) {
    place_all(s, x);
    jl_status status = ask(s, JL_ALL_CHANGED, s->base);
    gsl_matrix_set_zero(jacobian);
    for (size_t k = 0; status == JL_OK && k < s->count; k++) status = column_of(s, k, jacobian);
    return status;
}

/* Outside its bounds a parameter only acts on what punishes it. */
static int jacobian_for_gsl(const gsl_vector *x, void *with, gsl_matrix *jacobian) {
    search *s = with;
    size_t n = s->problem->residual_count;
    if (jacobian_inside(s, x, jacobian) != JL_OK) return GSL_EDOM;
    for (size_t k = 0; k < s->count; k++) {
        double value = placed(s, x, k);
        if (value == within(parameter_of(s, k), value)) continue;
        for (size_t i = 0; i < n; i++) gsl_matrix_set(jacobian, i, k, 0);
        gsl_matrix_set(jacobian, n + 2 * k + 1, k, OUTSIDE);
    }
    return GSL_SUCCESS;
}

/* ---- What the data cannot tell ---- */

/* Standard uncertainty of a parameter in units of its scale, from the singular values of the
 * Jacobian; one that nothing tells has a very large one. */
static double standard_from(const gsl_matrix *v, const gsl_vector *size, size_t k) {
    double sum = 0;
    for (size_t j = 0; j < size->size; j++) {
        double part = gsl_matrix_get(v, k, j) / fmax(gsl_vector_get(size, j), 1e-12);
        sum += part * part;
    }
    return sqrt(sum);
}

/* The singular values of a Jacobian and the directions that belong to them. Those of its triangle
 * are the same, and far fewer rows to turn. By Jacobi's method, which needs no memory: GSL's others,
 * and its covariance, fall over where none is left. */
typedef struct singular {
    gsl_matrix *v;
    gsl_vector *size;
} singular;

static void singular_free(singular *a) {
    gsl_matrix_free(a->v);
    gsl_vector_free(a->size);
}

/* The Jacobian, of at least as many rows as columns, is used up. u: room for the triangle. */
static jl_status triangle_of(gsl_matrix *jacobian, gsl_vector *tau, gsl_matrix *u) {
    if (gsl_linalg_QR_decomp(jacobian, tau) != GSL_SUCCESS) return JL_NUMERIC;
    for (size_t i = 0; i < u->size1; i++)
        for (size_t k = 0; k < u->size2; k++)
            gsl_matrix_set(u, i, k, i <= k ? gsl_matrix_get(jacobian, i, k) : 0);
    return JL_OK;
}

static jl_status singular_of(gsl_matrix *jacobian, singular *a) {
    size_t count = jacobian->size2;
    gsl_matrix *u = gsl_matrix_alloc(count, count);
    *a = (singular){gsl_matrix_alloc(count, count), gsl_vector_alloc(count)};
    jl_status status = u == NULL || a->v == NULL || a->size == NULL
                           ? JL_MEMORY
                           : triangle_of(jacobian, a->size, u);
    if (status == JL_OK && gsl_linalg_SV_decomp_jacobi(u, a->v, a->size) != GSL_SUCCESS)
        status = JL_NUMERIC;
    gsl_matrix_free(u);
    if (status != JL_OK) singular_free(a);
    return status;
}

/* Returns the place of the first parameter that may lie a scale off for all the data say, or the
 * number of parameters. */
static size_t find_untold(const search *s, const singular *a) {
    size_t k = 0;
    while (k < s->count &&
           (isfinite(parameter_of(s, k)->prior) || standard_from(a->v, a->size, k) <= 1))
        k++;
    return k;
}

/* ---- The search ---- */

/* In the parameters' own scales: the inverse of the Jacobian's square. */
static double covariance_from(const singular *a, size_t j, size_t k) {
    double sum = 0;
    for (size_t i = 0; i < a->size->size; i++) {
        double size = gsl_vector_get(a->size, i);
        double part = gsl_matrix_get(a->v, j, i) * gsl_matrix_get(a->v, k, i);
        if (size > 0) sum += part / (size * size);
    }
    return sum;
}

static void keep_covariance(search *s, const singular *a) {
    size_t n = s->problem->parameter_count;
    for (size_t j = 0; j < s->count; j++)
        for (size_t k = 0; k < s->count; k++)
            s->fitted->covariance[s->sought[j] * n + s->sought[k]] =
                covariance_from(a, j, k) * parameter_of(s, j)->scale * parameter_of(s, k)->scale;
    for (size_t k = 0; k < s->count; k++)
        s->fitted->standard[s->sought[k]] =
            sqrt(s->fitted->covariance[s->sought[k] * n + s->sought[k]]);
}

static void keep(search *s, const gsl_multifit_nlinear_workspace *w) {
    const jl_fit_problem *p = s->problem;
    jl_fitted *f = s->fitted;
    gsl_vector *residuals = gsl_multifit_nlinear_residual(w);
    place_all(s, gsl_multifit_nlinear_position(w));
    memcpy(f->values, s->inside, p->parameter_count * sizeof *f->values);
    for (size_t i = 0; i < p->residual_count; i++) f->residuals[i] = gsl_vector_get(residuals, i);
    gsl_blas_ddot(residuals, residuals, &f->chi_squared);
    f->freedom = p->residual_count;
    for (size_t k = 0; k < s->count; k++) {
        const jl_parameter *at = parameter_of(s, k);
        double value = placed(s, gsl_multifit_nlinear_position(w), k);
        f->at_edge[s->sought[k]] = value <= at->least || value >= at->most;
        if (!isfinite(at->prior)) f->freedom--;
    }
}

/* At the end of a search: what it found, unless the data do not tell one of the parameters. */
static jl_status conclude(search *s, gsl_multifit_nlinear_workspace *w, size_t *untold) {
    singular a;
    gsl_matrix *jacobian = gsl_multifit_nlinear_jac(w);
    jl_status status = jacobian_inside(s, gsl_multifit_nlinear_position(w), jacobian);
    if (status == JL_OK) status = singular_of(jacobian, &a);
    if (status != JL_OK) return status;
    *untold = find_untold(s, &a);
    if (*untold == s->count) {
        keep(s, w);
        keep_covariance(s, &a);
    }
    singular_free(&a);
    return JL_OK;
}

/* One search for the parameters that are not held. *untold: one that had to be held, or their
 * number. */
static jl_status seek(search *s, gsl_vector *start, size_t *untold) {
    gsl_multifit_nlinear_parameters how = gsl_multifit_nlinear_default_parameters();
    how.solver = gsl_multifit_nlinear_solver_mcholesky; /* a third of the time of the others */
    gsl_multifit_nlinear_fdf fdf = {.f = residuals_for_gsl,
                                    .df = jacobian_for_gsl,
                                    .n = s->problem->residual_count + 2 * s->count,
                                    .p = s->count,
                                    .params = s};
    gsl_multifit_nlinear_workspace *w =
        gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &how, fdf.n, fdf.p);
    int why;
    if (w == NULL) return JL_MEMORY;
    s->status = JL_OK;
    int state = gsl_multifit_nlinear_init(start, &fdf, w);
    if (state == GSL_SUCCESS)
        state = gsl_multifit_nlinear_driver(STEPS_MOST, 1e-4, 1e-6, 1e-8, NULL, NULL, &why, w);
    /* No better step near an end that is good to rounding is an end too. */
    jl_status status = s->status == JL_MEMORY                         ? JL_MEMORY
                       : state == GSL_SUCCESS || state == GSL_ENOPROG ? JL_OK
                       : s->status != JL_OK                           ? s->status
                                                                      : JL_NUMERIC;
    if (status == JL_OK) status = conclude(s, w, untold);
    gsl_multifit_nlinear_free(w);
    return status;
}

static size_t list_sought(search *s) {
    s->count = 0;
    for (size_t i = 0; i < s->problem->parameter_count; i++)
        if (!s->fitted->held[i]) s->sought[s->count++] = i;
    return s->count;
}

/* Nothing is sought: the residuals where they are. */
static jl_status only_look(search *s) {
    const jl_fit_problem *p = s->problem;
    jl_fitted *f = s->fitted;
    for (size_t i = 0; i < p->parameter_count; i++) s->inside[i] = p->parameters[i].value;
    jl_status status = ask(s, JL_ALL_CHANGED, f->residuals);
    if (status != JL_OK) return status;
    memcpy(f->values, s->inside, p->parameter_count * sizeof *f->values);
    f->chi_squared = 0;
    for (size_t i = 0; i < p->residual_count; i++)
        f->chi_squared += f->residuals[i] * f->residuals[i];
    f->freedom = p->residual_count;
    return JL_OK;
}

static jl_status seek_until_told(search *s) {
    for (;;) {
        size_t unknowns = 0, untold;
        if (list_sought(s) == 0) return only_look(s);
        for (size_t k = 0; k < s->count; k++)
            if (!isfinite(parameter_of(s, k)->prior)) unknowns++;
        if (s->problem->residual_count < unknowns) return JL_MISSING;
        gsl_vector *start = gsl_vector_calloc(s->count);
        if (start == NULL) return JL_MEMORY;
        for (size_t k = 0; k < s->count; k++)
            gsl_vector_set(start, k, parameter_of(s, k)->start / parameter_of(s, k)->scale);
        jl_status status = seek(s, start, &untold);
        gsl_vector_free(start);
        if (status != JL_OK || untold == s->count) return status;
        s->fitted->held[s->sought[untold]] = true;
    }
}

jl_status jl_fit(const jl_fit_problem *problem, jl_fitted *fitted) {
    size_t n = problem->parameter_count, m = problem->residual_count;
    for (size_t i = 0; i < n; i++) {
        const jl_parameter *p = &problem->parameters[i];
        if (!(p->value >= p->least && p->value <= p->most && p->scale > 0 && p->prior > 0))
            return JL_RANGE;
        fitted->held[i] = p->held;
        fitted->at_edge[i] = false;
        fitted->standard[i] = 0;
    }
    memset(fitted->covariance, 0, n * n * sizeof *fitted->covariance);
    search s = {.problem = problem,
                .fitted = fitted,
                .sought = calloc(n, sizeof *s.sought),
                .inside = calloc(n + 2 * m, sizeof *s.inside)};
    jl_status status = s.sought == NULL || s.inside == NULL ? JL_MEMORY : JL_OK;
    if (status == JL_OK) {
        s.base = s.inside + n;
        s.moved = s.base + m;
        status = seek_until_told(&s);
        /* Of residuals so large nothing can be said. */
        if (status == JL_OK && !isfinite(fitted->chi_squared)) status = JL_NUMERIC;
    }
    free(s.sought);
    free(s.inside);
    return status;
}
