/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "still/curve.h"

#include "still/equilibrium.h"
#include "still/heat.h"

#include <math.h>

/* ---- A curve of the caller's ---- */

static double function_vapour(const jl_curve *curve, double x) {
    const jl_vapour_function *f = curve->with;
    return f->y(x, f->with);
}

static double function_liquid(const jl_curve *curve, double y, double *slope) {
    enum { HALVINGS = 60 };
    double low = 0, high = 1;
    for (int i = 0; i < HALVINGS; i++) {
        double middle = low + (high - low) / 2;
        if (function_vapour(curve, middle) > y)
            high = middle;
        else
            low = middle;
    }
    double step = 1e-6;
    double left = fmax(low - step, 0), right = fmin(low + step, 1);
    *slope =
        (right - left) / fmax(function_vapour(curve, right) - function_vapour(curve, left), 1e-12);
    return low;
}

jl_curve jl_curve_of(const jl_vapour_function *function, double end) {
    return (jl_curve){function_vapour, function_liquid, function, end};
}

/* ---- Ethanol and water ---- */

static const double SPREAD = 0.35; /* c: found by trying; the series then falls fastest */

static double u_of(double x) {
    return x * (1 + SPREAD) / (x + SPREAD);
}

static double x_of(double u) {
    return SPREAD * u / (1 + SPREAD - u);
}

/* Sum of c_k T_k(z), k from 0, by Clenshaw's recurrence. */
static double sum_series(const double (*series)[3], int which, double z) {
    double b1 = 0, b2 = 0;
    for (int k = JL_SERIES_TERMS - 1; k > 0; k--) {
        double b = 2 * z * b1 - b2 + series[k][which];
        b2 = b1;
        b1 = b;
    }
    return z * b1 - b2 + series[0][which];
}

/* Boiling point and latent heat together: their recurrences run side by side. */
static jl_at_boil sum_heats(const double (*series)[3], double z) {
    double b1[2] = {0}, b2[2] = {0};
    for (int k = JL_SERIES_TERMS - 1; k > 0; k--)
        for (int i = 0; i < 2; i++) {
            double b = 2 * z * b1[i] - b2[i] + series[k][i + 1];
            b2[i] = b1[i];
            b1[i] = b;
        }
    return (jl_at_boil){z * b1[0] - b2[0] + series[0][1], z * b1[1] - b2[1] + series[0][2]};
}

static double vapour_of(double volatility, double x) {
    return volatility * x / (1 + (volatility - 1) * x);
}

jl_at_boil jl_table_at(const jl_table *table, double x) {
    return sum_heats(table->series, 2 * u_of(x) - 1);
}

double jl_table_temp_c(const jl_table *table, double x) {
    return sum_series(table->series, 1, 2 * u_of(x) - 1);
}

static double table_vapour(const jl_curve *curve, double x) {
    const jl_table *table = curve->with;
    return vapour_of(sum_series(table->series, 0, 2 * u_of(x) - 1), x);
}

/* The quintic with value, slope and bend given at both ends of a cell. */
static double table_liquid(const jl_curve *curve, double y, double *slope) {
    const jl_table *table = curve->with;
    double place = y * JL_LIQUID_CELLS;
    int cell = place >= JL_LIQUID_CELLS ? JL_LIQUID_CELLS - 1 : place > 0 ? (int)place : 0;
    const double *a = table->liquid[cell], *b = table->liquid[cell + 1];
    double t = place - cell;
    double rise = b[0] - a[0] - a[1] - a[2] / 2;
    double turn = b[1] - a[1] - a[2];
    double bend = b[2] - a[2];
    double c3 = 10 * rise - 4 * turn + bend / 2;
    double c4 = -15 * rise + 7 * turn - bend;
    double c5 = 6 * rise - 3 * turn + bend / 2;
    *slope = (a[1] + t * (a[2] + t * (3 * c3 + t * (4 * c4 + t * 5 * c5)))) * JL_LIQUID_CELLS;
    return a[0] + t * (a[1] + t * (a[2] / 2 + t * (c3 + t * (c4 + t * c5))));
}

/* Values at the Chebyshev nodes, turned into coefficients. */
static jl_status fill_series(jl_table *table, double vapour_off) {
    double value[JL_SERIES_TERMS][3];
    double start_k = 0;
    for (int j = 0; j < JL_SERIES_TERMS; j++) {
        double z = cos(M_PI * (j + 0.5) / JL_SERIES_TERMS);
        double x = x_of((z + 1) / 2);
        double ethanol, water;
        jl_bubble at;
        jl_status status = jl_bubble_at(&JL_NRTL, x, table->pressure_kpa, start_k, &at);
        if (status != JL_OK) return status;
        jl_latent_j_mol(at.temp_k - JL_KELVIN, &ethanol, &water);
        value[j][0] = at.volatility + vapour_off * (at.volatility - 1);
        value[j][1] = at.temp_k - JL_KELVIN;
        double y = vapour_of(value[j][0], x);
        value[j][2] = y * ethanol + (1 - y) * water;
        start_k = at.temp_k;
        double before = 1, now = z; /* T_k(z), k from 0 */
        for (int k = 0; k < JL_SERIES_TERMS; k++) {
            for (int i = 0; i < 3; i++) {
                if (j == 0) table->series[k][i] = 0;
                table->series[k][i] += value[j][i] * before * (k > 0 ? 2 : 1) / JL_SERIES_TERMS;
            }
            double next = 2 * z * now - before;
            before = now;
            now = next;
        }
    }
    return JL_OK;
}

/* y of x with its first and second derivative. */
static void vapour_with_slopes(const jl_table *table, double x, double y[3]) {
    double u = u_of(x);
    double z = 2 * u - 1;
    double before[3] = {1, 0, 0}, now[3] = {z, 1, 0}; /* T_k(z) and its derivatives */
    double a[3] = {table->series[0][0], 0, 0};
    for (int k = 1; k < JL_SERIES_TERMS; k++) {
        double next[3] = {2 * z * now[0] - before[0], 2 * now[0] + 2 * z * now[1] - before[1],
                          4 * now[1] + 2 * z * now[2] - before[2]};
        for (int i = 0; i < 3; i++) {
            a[i] += table->series[k][0] * now[i];
            before[i] = now[i];
            now[i] = next[i];
        }
    }
    double z1 = 2 * SPREAD * (1 + SPREAD) / ((x + SPREAD) * (x + SPREAD));
    double z2 = -2 * z1 / (x + SPREAD);
    double a1 = a[1] * z1;
    double a2 = a[2] * z1 * z1 + a[1] * z2;
    double d = 1 + (a[0] - 1) * x;
    double d1 = a1 * x + a[0] - 1;
    double top = a1 * x * (1 - x) + a[0];
    y[0] = a[0] * x / d;
    y[1] = top / (d * d);
    y[2] = ((a2 * x * (1 - x) + 2 * a1 * (1 - x)) * d - 2 * top * d1) / (d * d * d);
}

static jl_status fill_liquid(jl_table *table) {
    const double cell = 1.0 / JL_LIQUID_CELLS;
    double x = 0, y[3] = {0, 1, 0};
    for (int j = 0; j <= JL_LIQUID_CELLS; j++) {
        enum { STEPS_MOST = 30 };
        double target = j * cell, miss = 1;
        if (j > 0) x += table->liquid[j - 1][1] + table->liquid[j - 1][2] / 2;
        for (int i = 0; i < STEPS_MOST && fabs(miss) > 1e-9; i++) {
            x = fmin(fmax(x, 0), 1);
            vapour_with_slopes(table, x, y);
            miss = y[0] - target;
            x -= miss / y[1];
        }
        if (!(fabs(miss) <= 1e-9)) return JL_NUMERIC;
        if (j == 0 || j == JL_LIQUID_CELLS) x = target; /* pure is pure, to the last bit */
        table->liquid[j][0] = x;
        table->liquid[j][1] = cell / y[1];
        table->liquid[j][2] = -y[2] * cell * cell / (y[1] * y[1] * y[1]);
    }
    return JL_OK;
}

/* Where the series itself has its azeotrope, so that distillate and table agree. */
static double find_end(const jl_table *table) {
    enum { HALVINGS = 52 };
    double low = 0.5, high = 1;
    for (int i = 0; i < HALVINGS; i++) {
        double middle = low + (high - low) / 2;
        if (sum_series(table->series, 0, 2 * u_of(middle) - 1) < 1)
            high = middle;
        else
            low = middle;
    }
    return low;
}

jl_status jl_table_fill(double pressure_kpa, double vapour_off, bool with_liquid, jl_table *table) {
    if (!jl_pressure_ok(pressure_kpa) || !(fabs(vapour_off) <= JL_VAPOUR_OFF_MOST)) return JL_RANGE;
    table->pressure_kpa = pressure_kpa;
    jl_status status = fill_series(table, vapour_off);
    if (status == JL_OK && with_liquid) status = fill_liquid(table);
    if (status != JL_OK) return status;
    table->curve = (jl_curve){table_vapour, table_liquid, table, find_end(table)};
    return JL_OK;
}
