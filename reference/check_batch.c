/* Check of the batch integrator against textbook examples, each on the curve that its row names.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The figures that a row publishes stand here beside their tolerance, as the row has them in words.
 * Deviations are counted in tolerances. */
#include "checks.h"
#include "numbers.h"
#include "still/boildown.h"

#include <gsl/gsl_spline.h>

enum { POINTS_MOST = 32 };

/* One published figure of a row. */
static void figure(check *c, const table *t, const char *id, const char *what, double got,
                   double want, double tolerance) {
    check_cell(c, t, got / tolerance, want / tolerance, "%s, %s", id, what);
}

/* ---- Runs ---- */

/* Boils a charge down until the boiler holds x or so many moles are left, whichever comes first. */
static jl_point boil_to(const jl_curve *curve, double stages, double reflux, double charge,
                        double x, double left) {
    enum { HALVINGS = 60, ADVANCES_MOST = 10000 };
    const double dry = 20;
    jl_boildown_setup setup = {
        .column = {curve, stages, reflux}, .x = charge, .tolerance = JL_TOLERANCE};
    jl_boildown b;
    jl_point point = {.x = charge, .left = 1};
    jl_status status = jl_boildown_open(&setup, &b);
    for (int i = 0; status == JL_OK && point.x > x && point.left > left; i++) {
        status = i < ADVANCES_MOST && b.begin < dry ? jl_boildown_advance(&b) : JL_NUMERIC;
        if (status == JL_OK) jl_boildown_at(&b, jl_boildown_end(&b), &point);
    }
    double low = b.begin, high = jl_boildown_end(&b);
    for (int i = 0; status == JL_OK && i < HALVINGS; i++) {
        double middle = low + (high - low) / 2;
        jl_boildown_at(&b, middle, &point);
        if (point.x > x && point.left > left)
            low = middle;
        else
            high = middle;
    }
    jl_boildown_close(&b);
    return status == JL_OK ? point : (jl_point){NAN, NAN, NAN, NAN, {0}};
}

static double distillate_over(const jl_curve *curve, double stages, double reflux, double x) {
    jl_rectifier column = {curve, stages, reflux};
    jl_distillate d = {0};
    jl_distil(&column, x, &d);
    return d.x;
}

static double mean_distillate(const jl_point *end) {
    return end->out / (1 - end->left);
}

/* ---- Curves ---- */

static double constant_volatility(double x, void *with) {
    double volatility = *(double *)with;
    return volatility * x / (1 + (volatility - 1) * x);
}

/* Antoine, mmHg and °C, as the row gives it. */
static double benzene_mmhg(double t) {
    return pow(10, 6.90565 - 1211.033 / (t + 220.79));
}

static double toluene_mmhg(double t) {
    return pow(10, 6.95464 - 1344.8 / (t + 219.482));
}

static const double EXAMPLE_MMHG = 121.59 / 0.133322387415;

static double boil_benzene_c(double x) {
    double low = 70, high = 130;
    for (int i = 0; i < 60; i++) {
        double t = (low + high) / 2;
        if (x * benzene_mmhg(t) + (1 - x) * toluene_mmhg(t) > EXAMPLE_MMHG)
            high = t;
        else
            low = t;
    }
    return low;
}

static double benzene_vapour(double x, void *with) {
    (void)with;
    return x * benzene_mmhg(boil_benzene_c(x)) / EXAMPLE_MMHG;
}

/* Through the points of a file: straight, by GSL's natural cubic, or by a monotone cubic. */
typedef struct points {
    double x[POINTS_MOST], y[POINTS_MOST], slope[POINTS_MOST];
    size_t count;
} points;

static void read_points(points *p, const char *file, const char *x, const char *y) {
    p->count = reference_rows(file);
    for (size_t i = 0; i < p->count; i++) {
        p->x[i] = reference_number(file, i, x);
        p->y[i] = reference_number(file, i, y);
    }
    if (p->x[p->count - 1] < 1) /* the printed curve ends at the azeotrope */
        p->x[p->count] = p->y[p->count] = 1, p->count++;
}

static size_t cell_of(const points *p, double x) {
    size_t i = 0;
    while (i + 2 < p->count && x > p->x[i + 1]) i++;
    return i;
}

static double chord(const points *p, size_t i) {
    return (p->y[i + 1] - p->y[i]) / (p->x[i + 1] - p->x[i]);
}

static double straight(double x, void *with) {
    const points *p = with;
    size_t i = cell_of(p, x);
    return p->y[i] + chord(p, i) * (x - p->x[i]);
}

/* Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300 (from memory): the slope at a point
 * is a weighted harmonic mean of the slopes beside it. */
static void monotone_slopes(points *p) {
    for (size_t i = 1; i + 1 < p->count; i++) {
        double before = p->x[i] - p->x[i - 1], after = p->x[i + 1] - p->x[i];
        double w1 = 2 * after + before, w2 = after + 2 * before;
        p->slope[i] = (w1 + w2) / (w1 / chord(p, i - 1) + w2 / chord(p, i));
    }
    p->slope[0] = chord(p, 0);
    p->slope[p->count - 1] = chord(p, p->count - 2);
}

static double monotone(double x, void *with) {
    const points *p = with;
    size_t i = cell_of(p, x);
    double h = p->x[i + 1] - p->x[i];
    double t = (x - p->x[i]) / h;
    double bend = 3 * chord(p, i) - 2 * p->slope[i] - p->slope[i + 1];
    double twist = p->slope[i] + p->slope[i + 1] - 2 * chord(p, i);
    return p->y[i] + t * h * (p->slope[i] + t * (bend + t * twist));
}

static double natural_cubic(double x, void *with) {
    return gsl_spline_eval(with, x, NULL);
}

static void read_carey_lewis(points *p) {
    read_points(p, "vle-carey-lewis-1932", "x", "y");
    monotone_slopes(p);
}

/* ---- The examples ---- */

static void perry_ethanol(check *c, const table *t, const char *id) {
    points p;
    read_carey_lewis(&p);
    jl_vapour_function function = {straight, &p};
    jl_curve curve = jl_curve_of(&function, 0.8943);
    jl_point end = boil_to(&curve, 1, 0, 0.18, 0.06, 0);
    figure(c, t, id, "integral", end.s, 0.358, 0.001);
    figure(c, t, id, "moles left", 100 * end.left, 70.0, 0.1);
    figure(c, t, id, "distillate x", mean_distillate(&end), 0.46, 0.002);
    jl_table model; /* the row: our own vapour lies within 1 % in moles and 0.01 in x */
    if (jl_table_fill(101.325, 0, 0, false, &model) != JL_OK) return;
    end = boil_to(&model.curve, 1, 0, 0.18, 0.06, 0);
    figure(c, t, id, "moles left, by our vapour", 100 * end.left, 70.0, 0.7);
    figure(c, t, id, "distillate x, by our vapour", mean_distillate(&end), 0.46, 0.01);
}

/* ln(moles left) for a constant relative volatility, in closed form. */
static double ln_left(double a, double x0, double x) {
    return (log(x / x0) + a * log((1 - x0) / (1 - x))) / (a - 1);
}

static void alpha_2_9(check *c, const table *t, const char *id) {
    double a = 2.9;
    jl_vapour_function function = {constant_volatility, &a};
    jl_curve curve = jl_curve_of(&function, 1);
    jl_point end = boil_to(&curve, 1, 0, 0.6, 0.1, 0);
    double closed = exp(ln_left(a, 0.6, 0.1));
    figure(c, t, id, "moles left, closed form", end.left, closed, 1e-6 * closed);
    figure(c, t, id, "moles left, as printed", 100 * end.left, 11.3, 0.05);
    figure(c, t, id, "receiver x, as printed", mean_distillate(&end), 0.664, 0.0005);
}

static void alpha_2_5(check *c, const table *t, const char *id) {
    double a = 2.5;
    jl_vapour_function function = {constant_volatility, &a};
    jl_curve curve = jl_curve_of(&function, 1);
    jl_point end = boil_to(&curve, 1, 0, 0.7, 0, 2.0 / 3);
    figure(c, t, id, "closed form", exp(ln_left(a, 0.7, end.x)), 2.0 / 3, 1e-6 * 2 / 3);
    figure(c, t, id, "x left, as printed", end.x, 0.6326, 0.00005);
}

static void benzene_toluene(check *c, const table *t, const char *id) {
    jl_vapour_function function = {benzene_vapour, NULL};
    jl_curve curve = jl_curve_of(&function, 1);
    jl_point end = boil_to(&curve, 1, 0, 0.6, 0.2, 0); /* benzene, where the row has toluene */
    figure(c, t, id, "start", boil_benzene_c(0.6), 95.585, 0.0005);
    figure(c, t, id, "moles left", 100 * end.left, 14.0417, 14.0417e-4);
}

static void pentane_heptane(check *c, const table *t, const char *id) {
    points p;
    read_points(&p, "vle-pentane-heptane", "x_pentane_molfrac", "y_pentane_molfrac");
    gsl_spline *spline = gsl_spline_alloc(gsl_interp_cspline, p.count);
    if (spline == NULL) return;
    gsl_spline_init(spline, p.x, p.y, p.count);
    jl_vapour_function function = {natural_cubic, spline};
    jl_curve curve = jl_curve_of(&function, 1);
    jl_point end = boil_to(&curve, 1, 0, 0.5, 0, 0.6);
    figure(c, t, id, "x left", end.x, 0.277, 0.002);
    figure(c, t, id, "mean y", mean_distillate(&end), 0.835, 0.004);
    gsl_spline_free(spline);
}

/* Reflux that gives a distillate over a liquid: the distillate rises with it. */
static double reflux_for(const jl_curve *curve, double stages, double x, double distillate) {
    double low = 0, high = 100;
    for (int i = 0; i < 60; i++) {
        double middle = (low + high) / 2;
        if (distillate_over(curve, stages, middle, x) < distillate)
            low = middle;
        else
            high = middle;
    }
    return low;
}

static void constant_distillate(check *c, const table *t, const char *id) {
    points p;
    read_carey_lewis(&p);
    jl_vapour_function function = {monotone, &p};
    jl_curve curve = jl_curve_of(&function, 0.8943);
    double low = 0.01, high = 0.55; /* the boiler's x at which the reflux ratio has become 4 */
    for (int i = 0; i < 40; i++) {
        double middle = (low + high) / 2;
        if (reflux_for(&curve, 5, middle, 0.75) > 4)
            low = middle;
        else
            high = middle;
    }
    figure(c, t, id, "reflux at the start", reflux_for(&curve, 5, 0.55, 0.75), 0.85, 0.005);
    figure(c, t, id, "kmol distilled", 100 * (0.55 - low) / (0.75 - low), 71.4, 0.15);
}

static void constant_reflux(check *c, const table *t, const char *id) {
    points p;
    read_carey_lewis(&p);
    jl_vapour_function function = {monotone, &p};
    jl_curve curve = jl_curve_of(&function, 0.8943);
    figure(c, t, id, "distillate at the start", distillate_over(&curve, 5, 2.1, 0.55), 0.78, 0.005);
    figure(c, t, id, "distillate at the end", distillate_over(&curve, 5, 2.1, 0.105), 0.74, 0.005);
}

void check_batch(table *t, check *c) {
    static const struct {
        const char *id;
        void (*run)(check *c, const table *t, const char *id);
    } EXAMPLES[] = {
        {"perry-ethanol", perry_ethanol},
        {"alpha-2.9", alpha_2_9},
        {"alpha-2.5", alpha_2_5},
        {"benzene-toluene", benzene_toluene},
        {"pentane-heptane", pentane_heptane},
        {"cr-11-12", constant_distillate},
        {"cr-11-13", constant_reflux},
    };
    while (table_next(t)) {
        const char *id = table_text(t, "id");
        size_t before = c->cells;
        for (size_t i = 0; i < sizeof EXAMPLES / sizeof EXAMPLES[0]; i++)
            if (strcmp(id, EXAMPLES[i].id) == 0) EXAMPLES[i].run(c, t, EXAMPLES[i].id);
        if (c->cells == before) check_cell(c, t, NAN, 0, "%.40s is not known here", id);
    }
}

/* Predicted volatilities of the congeners, as the library has them, at a few compositions. */
void check_congeners(table *t, check *c) {
    static const char *const COLUMNS[] = {"c0", "c1", "c2", "c3", "c4"};
    for (size_t i = 0; table_next(t); i++)
        for (double x = 0; x <= 1; x += 0.25) {
            double want = 0;
            for (int k = 4; k >= 0; k--) want = want * x + table_number(t, COLUMNS[k]);
            check_cell(c, t, log(jl_congener_volatility(i, x)), want, "x %.2f", x);
        }
}
