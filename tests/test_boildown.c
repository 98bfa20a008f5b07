/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Textbook examples: reference/worked-batch-examples.csv, whose rows name the curve, the published
 * answer, the tolerance and how sure it is. */
#include "boildown.h"
#include "check.h"
#include "numbers.h"
#include "suites.h"

#include <gsl/gsl_spline.h>
#include <stdlib.h>

enum { CURVE_MOST = 32 };

/* Where the boiler's composition falls to x, or the moles left to left. */
static jl_point boil_to(const jl_curve *curve, double stages, double reflux, double charge,
                        double x, double left) {
    jl_boildown_setup setup = {
        .column = {curve, stages, reflux}, .x = charge, .tolerance = JL_TOLERANCE};
    jl_boildown b;
    jl_point point = {.x = charge, .left = 1};
    CHECK_OK(jl_boildown_open(&setup, &b));
    while (point.x > x && point.left > left && b.begin < 20) {
        CHECK_OK(jl_boildown_advance(&b));
        jl_boildown_at(&b, jl_boildown_end(&b), &point);
    }
    double low = b.begin, high = jl_boildown_end(&b);
    for (int i = 0; i < 60; i++) {
        double middle = low + (high - low) / 2;
        jl_boildown_at(&b, middle, &point);
        if (point.x > x && point.left > left)
            low = middle;
        else
            high = middle;
    }
    jl_boildown_close(&b);
    /* What is out and what is left are the charge. */
    CHECK_NEAR(point.x * point.left + point.out, charge, 1e-9 * charge);
    return point;
}

static double distillate_over(const jl_curve *curve, double stages, double reflux, double x) {
    jl_column column = {curve, stages, reflux};
    jl_distillate d = {0};
    jl_distil(&column, x, &d);
    return d.x;
}

static double constant_volatility(double x, void *with) {
    double volatility = *(double *)with;
    return volatility * x / (1 + (volatility - 1) * x);
}

/* ln(W/W0) for a constant relative volatility a, in closed form. */
static double ln_left(double a, double x0, double x) {
    return (log(x / x0) + a * log((1 - x0) / (1 - x))) / (a - 1);
}

static void constant_volatility_2_9(void) {
    double a = 2.9;
    jl_vapour_function function = {constant_volatility, &a};
    jl_curve curve = jl_curve_of(&function, 1);
    jl_point end = boil_to(&curve, 1, 0, 0.6, 0.1, 0);
    double want = exp(ln_left(a, 0.6, 0.1));
    CHECK_NEAR(end.left, want, 1e-6 * want);
    CHECK_NEAR(100 * end.left, 11.3, 0.05);
    CHECK_NEAR(end.out / (1 - end.left), 0.664, 0.0005);
}

static void constant_volatility_2_5(void) {
    double a = 2.5;
    jl_vapour_function function = {constant_volatility, &a};
    jl_curve curve = jl_curve_of(&function, 1);
    jl_point end = boil_to(&curve, 1, 0, 0.7, 0, 2.0 / 3);
    CHECK_NEAR(ln_left(a, 0.7, end.x), log(2.0 / 3), 1e-6);
    CHECK_NEAR(end.x, 0.6326, 0.00005);
}

/* Antoine, mmHg and °C, as the row gives it. */
static double benzene_mmhg(double t) {
    return pow(10, 6.90565 - 1211.033 / (t + 220.79));
}

static double toluene_mmhg(double t) {
    return pow(10, 6.95464 - 1344.8 / (t + 219.482));
}

static const double EXAMPLE_MMHG = 121.59 / 0.133322387415;

static double boil_benzene(double x) {
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
    return x * benzene_mmhg(boil_benzene(x)) / EXAMPLE_MMHG;
}

static void benzene_and_toluene_by_raoult(void) {
    jl_vapour_function function = {benzene_vapour, NULL};
    jl_curve curve = jl_curve_of(&function, 1);
    CHECK_NEAR(boil_benzene(0.6), 95.585, 0.0005);
    jl_point end = boil_to(&curve, 1, 0, 0.6, 0.2, 0); /* benzene from 0.60 to 0.20 */
    CHECK_NEAR(100 * end.left, 14.0417, 14.0417e-4);
}

/* A curve through the points of a file. */
typedef struct file_curve {
    double x[CURVE_MOST], y[CURVE_MOST];
    gsl_spline *spline;
    jl_vapour_function function;
} file_curve;

static double of_spline(double x, void *with) {
    return gsl_spline_eval(with, x, NULL);
}

static jl_curve read_curve(file_curve *c, const char *file, const char *x, const char *y,
                           const gsl_interp_type *kind, double end) {
    size_t rows = reference_rows(file);
    for (size_t i = 0; i < rows; i++) {
        c->x[i] = reference_number(file, i, x);
        c->y[i] = reference_number(file, i, y);
    }
    if (c->x[rows - 1] < 1) { /* beyond the azeotrope the printed curve ends */
        c->x[rows] = c->y[rows] = 1;
        rows++;
    }
    c->spline = gsl_spline_alloc(kind, rows);
    gsl_spline_init(c->spline, c->x, c->y, rows);
    c->function = (jl_vapour_function){of_spline, c->spline};
    return jl_curve_of(&c->function, end);
}

static void perry_pot_run_of_ethanol(void) {
    file_curve c;
    jl_curve curve = read_curve(&c, "vle-carey-lewis-1932", "x", "y", gsl_interp_linear, 0.8943);
    jl_point end = boil_to(&curve, 1, 0, 0.18, 0.06, 0);
    CHECK_NEAR(end.s, 0.358, 0.001);
    CHECK_NEAR(100 * end.left, 70.0, 0.1);
    CHECK_NEAR(end.out / (1 - end.left), 0.46, 0.002);
    gsl_spline_free(c.spline);

    /* The row: our own model of the vapour lies within 1 % in moles and 0.01 in x. */
    static jl_table table;
    CHECK_OK(jl_table_fill(101.325, false, &table));
    end = boil_to(&table.curve, 1, 0, 0.18, 0.06, 0);
    CHECK_NEAR(100 * end.left, 70.0, 0.7);
    CHECK_NEAR(end.out / (1 - end.left), 0.46, 0.01);
}

static void pentane_and_heptane(void) {
    file_curve c;
    jl_curve curve = read_curve(&c, "vle-pentane-heptane", "x_pentane_molfrac", "y_pentane_molfrac",
                                gsl_interp_cspline, 1);
    jl_point end = boil_to(&curve, 1, 0, 0.5, 0, 0.6);
    CHECK_NEAR(end.x, 0.277, 0.002);
    CHECK_NEAR(end.out / 0.4, 0.835, 0.004);
    gsl_spline_free(c.spline);
}

/* Monotone cubic of Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300 (from memory): the
 * slope at a point is a weighted harmonic mean of the slopes beside it. */
typedef struct monotone {
    double x[CURVE_MOST], y[CURVE_MOST], slope[CURVE_MOST];
    size_t count;
    jl_vapour_function function;
} monotone;

static double chord(const monotone *m, size_t i) {
    return (m->y[i + 1] - m->y[i]) / (m->x[i + 1] - m->x[i]);
}

static double of_monotone(double x, void *with) {
    const monotone *m = with;
    size_t i = 0;
    while (i + 2 < m->count && x > m->x[i + 1]) i++;
    double h = m->x[i + 1] - m->x[i];
    double t = (x - m->x[i]) / h;
    double bend = 3 * chord(m, i) - 2 * m->slope[i] - m->slope[i + 1];
    double twist = m->slope[i] + m->slope[i + 1] - 2 * chord(m, i);
    return m->y[i] + t * h * (m->slope[i] + t * (bend + t * twist));
}

static jl_curve read_monotone(monotone *m) {
    const char *file = "vle-carey-lewis-1932";
    m->count = reference_rows(file) + 1;
    for (size_t i = 0; i + 1 < m->count; i++) {
        m->x[i] = reference_number(file, i, "x");
        m->y[i] = reference_number(file, i, "y");
    }
    m->x[m->count - 1] = m->y[m->count - 1] = 1; /* the printed curve ends at the azeotrope */
    for (size_t i = 1; i + 1 < m->count; i++) {
        double before = m->x[i] - m->x[i - 1], after = m->x[i + 1] - m->x[i];
        double w1 = 2 * after + before, w2 = after + 2 * before;
        m->slope[i] = (w1 + w2) / (w1 / chord(m, i - 1) + w2 / chord(m, i));
    }
    m->slope[0] = chord(m, 0);
    m->slope[m->count - 1] = chord(m, m->count - 2);
    m->function = (jl_vapour_function){of_monotone, m};
    return jl_curve_of(&m->function, 0.8943);
}

/* Reflux that gives a distillate from a boiler composition: it rises with the reflux. */
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

static void column_at_constant_distillate(void) {
    monotone m;
    jl_curve curve = read_monotone(&m);
    CHECK_NEAR(reflux_for(&curve, 5, 0.55, 0.75), 0.85, 0.005);
    double low = 0.01, high = 0.55; /* boiler composition at which the reflux ratio is 4 */
    for (int i = 0; i < 40; i++) {
        double middle = (low + high) / 2;
        if (reflux_for(&curve, 5, middle, 0.75) > 4)
            low = middle;
        else
            high = middle;
    }
    CHECK_NEAR(100 * (0.55 - low) / (0.75 - low), 71.4, 0.15);
}

static void column_at_constant_reflux(void) {
    monotone m;
    jl_curve curve = read_monotone(&m);
    CHECK_NEAR(distillate_over(&curve, 5, 2.1, 0.55), 0.78, 0.005);
    CHECK_NEAR(distillate_over(&curve, 5, 2.1, 0.105), 0.74, 0.005);
    jl_point end = boil_to(&curve, 5, 2.1, 0.55, 0.105, 0);
    CHECK(end.out / (1 - end.left) > 0.74 && end.out / (1 - end.left) < 0.785);
}

static void every_worked_example_has_a_test(void) {
    static const char *const TESTED[] = {"perry-ethanol",   "alpha-2.9",       "alpha-2.5",
                                         "benzene-toluene", "pentane-heptane", "cr-11-12",
                                         "cr-11-13"};
    size_t rows = reference_rows("worked-batch-examples");
    CHECK(rows == sizeof TESTED / sizeof TESTED[0]);
    for (size_t i = 0; i < rows; i++) {
        char id[64];
        bool found = false;
        reference_cell("worked-batch-examples", i, "id", id, sizeof id);
        for (size_t k = 0; k < sizeof TESTED / sizeof TESTED[0]; k++)
            found = found || strcmp(id, TESTED[k]) == 0;
        CHECK(found);
    }
}

static double random_between(double a, double b) {
    return a + (b - a) * rand() / RAND_MAX;
}

static void more_stages_never_weaken_and_more_reflux_never_weakens(void) {
    static jl_table table;
    CHECK_OK(jl_table_fill(101.325, true, &table));
    for (double reflux = 0.1; reflux <= 50; reflux *= 1.6)
        for (double x = 1e-5; x < table.curve.end; x *= 1.3) {
            double before = 0;
            for (double stages = 1; stages <= 30; stages += 0.5) {
                double d = distillate_over(&table.curve, stages, reflux, x);
                double more = distillate_over(&table.curve, stages, 1.6 * reflux, x);
                CHECK(d >= before - 1e-9);
                CHECK(more >= d - 1e-9);
                CHECK(d <= table.curve.end + 1e-9);
                before = d;
            }
        }
}

/* The solution steps down to the liquid it is for. */
static void the_distillate_steps_down_to_its_liquid(void) {
    static jl_table table;
    CHECK_OK(jl_table_fill(90, true, &table));
    srand(3);
    for (int i = 0; i < 20000; i++) {
        int stages = 2 + rand() % 29;
        double reflux = pow(10, random_between(-2, 1.7));
        double x = i % 2 ? random_between(0, 1) : pow(10, random_between(-6, 0));
        double slope, liquid[JL_STAGES_MOST];
        double d = distillate_over(&table.curve, stages, reflux, x);
        double back = jl_step_down(&table.curve, stages, reflux, d, &slope, liquid);
        CHECK(liquid[stages - 1] == back);
        /* What a last bit of the distillate can move, and the table's own grain. */
        CHECK_NEAR(back, x, 1e-9 * x + 4e-15 * slope);
    }
}

static void one_stage_or_no_reflux_is_the_pot(void) {
    static jl_table table;
    CHECK_OK(jl_table_fill(101.325, true, &table));
    for (int i = 0; i <= 100; i++) {
        double x = i / 100.0;
        double pot = table.curve.vapour(&table.curve, x);
        CHECK(distillate_over(&table.curve, 1, 7, x) == pot);
        CHECK(distillate_over(&table.curve, 8, 0, x) == pot);
        CHECK_NEAR(distillate_over(&table.curve, 1 + 1e-9, 7, x), pot, 2e-9);
        CHECK_NEAR(distillate_over(&table.curve, 8, 1e-9, x), pot, 1e-7);
        for (int n = 2; n < 10; n++) {
            double at = distillate_over(&table.curve, n, 3, x);
            CHECK_NEAR(distillate_over(&table.curve, n - 1e-9, 3, x), at, 2e-9);
            CHECK_NEAR(distillate_over(&table.curve, n + 1e-9, 3, x), at, 2e-9);
        }
    }
}

CU_TestInfo boildown_tests[] = {
    {"every worked example has a test", every_worked_example_has_a_test},
    {"one stage, constant volatility 2.9", constant_volatility_2_9},
    {"one stage, constant volatility 2.5", constant_volatility_2_5},
    {"one stage, benzene and toluene", benzene_and_toluene_by_raoult},
    {"one stage, Perry's example with ethanol", perry_pot_run_of_ethanol},
    {"one stage, pentane and heptane", pentane_and_heptane},
    {"five stages at constant distillate", column_at_constant_distillate},
    {"five stages at constant reflux", column_at_constant_reflux},
    {"more stages or reflux never weaken", more_stages_never_weaken_and_more_reflux_never_weakens},
    {"the distillate steps down to its liquid", the_distillate_steps_down_to_its_liquid},
    {"one stage or no reflux is the pot", one_stage_or_no_reflux_is_the_pot},
    CU_TEST_INFO_NULL,
};
