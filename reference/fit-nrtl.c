/* Repeats the fit of the four NRTL parameters in lib/still/equilibrium.c to the published points of this
 * folder.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * fit-nrtl prints the parameters and how far the points lie from them; fit-nrtl --check also
 * compares them with the library's, to six digits.
 *
 * Residuals are w (y - y_obs) / 0.006 and w (T - T_obs) / 0.2 K for every row with 0 < x < 1, and
 * for the azeotropes w (y - x) / 0.0004 and w (T - T_obs) / 0.05 K at their x. The weights of the
 * sets and the scales are a judgement: newer and directly read sets count more, those at a third of
 * an atmosphere less. */
#include "numbers.h"
#include "still/equilibrium.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_multifit_nlinear.h>

enum { PARAMETERS = 4, POINTS_MOST = 256 };

typedef struct point {
    double pressure_kpa, x, y, temp_k;
    double y_scale, temp_scale; /* 1/scale is the weight */
} point;

typedef struct points {
    point at[POINTS_MOST];
    size_t count;
} points;

static void add_set(points *p, const char *file, double weight) {
    for (size_t i = 0; i < reference_rows(file); i++) {
        double x = reference_number(file, i, "x");
        if (!(x > 0 && x < 1)) continue;
        p->at[p->count++] = (point){
            reference_number(file, i, "pressure_kpa"),
            x,
            reference_number(file, i, "y"),
            reference_number(file, i, "temp_c") + JL_KELVIN,
            0.006 / weight,
            0.2 / weight,
        };
    }
}

static void add_azeotropes(points *p) {
    for (size_t i = 0; i < reference_rows("azeotrope"); i++) {
        double weight = reference_number("azeotrope", i, "weight");
        double x = reference_number("azeotrope", i, "x");
        if (isnan(x)) x = jl_mole_fraction(reference_number("azeotrope", i, "mass_fraction"));
        p->at[p->count++] = (point){
            reference_number("azeotrope", i, "pressure_kpa"),
            x,
            x,
            reference_number("azeotrope", i, "temp_c") + JL_KELVIN,
            0.0004 / weight,
            0.05 / weight,
        };
    }
}

static jl_nrtl parameters_of(const gsl_vector *v) {
    return (jl_nrtl){gsl_vector_get(v, 0), 100 * gsl_vector_get(v, 1), gsl_vector_get(v, 2),
                     100 * gsl_vector_get(v, 3)};
}

static int residuals(const gsl_vector *v, void *with, gsl_vector *out) {
    const points *p = with;
    jl_nrtl nrtl = parameters_of(v);
    for (size_t i = 0; i < p->count; i++) {
        const point *at = &p->at[i];
        jl_bubble bubble;
        if (jl_bubble_at(&nrtl, at->x, at->pressure_kpa, at->temp_k, &bubble) != JL_OK)
            return GSL_EDOM;
        gsl_vector_set(out, 2 * i, (bubble.y - at->y) / at->y_scale);
        gsl_vector_set(out, 2 * i + 1, (bubble.temp_k - at->temp_k) / at->temp_scale);
    }
    return GSL_SUCCESS;
}

static bool fit(points *p, jl_nrtl *nrtl, double *sum) {
    /* Where to begin; b in hundreds of kelvin, so that all four are of like size. */
    double start[PARAMETERS] = {-0.8, 2.46, 3.46, -5.86};
    gsl_vector_view begin = gsl_vector_view_array(start, PARAMETERS);
    gsl_multifit_nlinear_parameters how = gsl_multifit_nlinear_default_parameters();
    how.fdtype = GSL_MULTIFIT_NLINEAR_CTRDIFF;
    how.h_df = 1e-5;
    gsl_multifit_nlinear_fdf system = {
        .f = residuals, .n = 2 * p->count, .p = PARAMETERS, .params = p};
    gsl_multifit_nlinear_workspace *w =
        gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &how, system.n, system.p);
    int info = 0;
    if (w == NULL) return false;
    bool settled =
        gsl_multifit_nlinear_init(&begin.vector, &system, w) == GSL_SUCCESS &&
        gsl_multifit_nlinear_driver(200, 1e-10, 1e-10, 0, NULL, NULL, &info, w) == GSL_SUCCESS;
    *nrtl = parameters_of(gsl_multifit_nlinear_position(w));
    gsl_blas_ddot(gsl_multifit_nlinear_residual(w), gsl_multifit_nlinear_residual(w), sum);
    gsl_multifit_nlinear_free(w);
    return settled;
}

/* Both to six significant digits. */
static bool same(const char *name, double ours, double library) {
    char a[32], b[32];
    snprintf(a, sizeof a, "%.5e", ours);
    snprintf(b, sizeof b, "%.5e", library);
    bool good = strcmp(a, b) == 0;
    if (!good) fprintf(stderr, "%s: the fit gives %s, the library has %s\n", name, a, b);
    return good;
}

int main(int argc, char **argv) {
    static points p;
    jl_nrtl nrtl;
    double sum;
    gsl_set_error_handler_off();
    add_set(&p, "vle-carey-lewis-1932", 1.5);
    add_set(&p, "vle-kamihama-2012", 1.5);
    add_set(&p, "vle-kirschbaum-1939-98kpa", 1);
    add_set(&p, "vle-kirschbaum-1939-33kpa", 0.5);
    add_set(&p, "vle-voutsas-2011", 0.5);
    add_azeotropes(&p);
    if (!fit(&p, &nrtl, &sum)) {
        fputs("the fit does not settle\n", stderr);
        return 1;
    }
    printf("a12 %.7f\nb12 %.6f\na21 %.7f\nb21 %.6f\n", nrtl.a12, nrtl.b12, nrtl.a21, nrtl.b21);
    printf("%zu points, sum of squares %.3f\n", p.count, sum);
    if (argc < 2 || strcmp(argv[1], "--check") != 0) return 0;
    bool good = same("a12", nrtl.a12, JL_NRTL.a12);
    good &= same("b12", nrtl.b12, JL_NRTL.b12);
    good &= same("a21", nrtl.a21, JL_NRTL.a21);
    good &= same("b21", nrtl.b21, JL_NRTL.b21);
    return good ? 0 : 1;
}
