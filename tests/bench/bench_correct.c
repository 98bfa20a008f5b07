/* A reading corrected in bulk, against two plain GSL root solves with the same density function.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "bench.h"
#include "jarline.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_roots.h>
#include <math.h>
#include <stdlib.h>

enum { READINGS = 20000 };

typedef struct batch {
    double reading[READINGS], temp_c[READINGS], ours[READINGS], floor[READINGS];
} batch;

typedef struct target {
    double temp_c, value;
    int power;
} target;

static double miss(double p, void *with) {
    const target *t = with;
    double density_kg_m3 = NAN;
    jl_density_kg_m3(p, t->temp_c, &density_kg_m3);
    return (t->power == 0 ? 1 : p) * density_kg_m3 - t->value;
}

static double solve(gsl_root_fsolver *solver, target t) {
    gsl_function f = {miss, &t};
    gsl_root_fsolver_set(solver, &f, 0, 1);
    int status = GSL_CONTINUE;
    while (status == GSL_CONTINUE) {
        gsl_root_fsolver_iterate(solver);
        status = gsl_root_test_interval(gsl_root_fsolver_x_lower(solver),
                                        gsl_root_fsolver_x_upper(solver), 1e-10, 0);
    }
    return gsl_root_fsolver_root(solver);
}

static void by_brent(void *with) {
    batch *b = with;
    gsl_root_fsolver *solver = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);
    double pure = NAN, density_kg_m3 = NAN;
    jl_density_kg_m3(1, 20, &pure);
    for (int i = 0; i < READINGS; i++) {
        double p = solve(solver, (target){20, b->reading[i] / 100 * pure, 1});
        jl_density_kg_m3(p, 20, &density_kg_m3);
        double floating = density_kg_m3 * (1 - 25e-6 * (b->temp_c[i] - 20));
        p = solve(solver, (target){b->temp_c[i], floating, 0});
        jl_density_kg_m3(p, 20, &density_kg_m3);
        b->floor[i] = 100 * p * density_kg_m3 / pure;
    }
    gsl_root_fsolver_free(solver);
}

static void by_jarline(void *with) {
    batch *b = with;
    jl_alcoholometer instrument = JL_ALCOHOLOMETER;
    for (int i = 0; i < READINGS; i++) {
        double p = NAN;
        jl_quantity reading = {b->reading[i], JL_UNIT_PCT_VOL};
        jl_reading_to_mass_fraction(&instrument, reading, b->temp_c[i], &p);
        jl_strength_pct(p, 20, &b->ours[i]);
    }
}

int main(void) {
    static batch b;
    jl_quiet();
    srand(1);
    for (int i = 0; i < READINGS; i++) {
        b.reading[i] = 8 + 84.0 * rand() / (double)RAND_MAX;
        b.temp_c[i] = 5 + 30.0 * rand() / (double)RAND_MAX;
    }
    double floor_s = bench_least_s(by_brent, &b, 5) / READINGS;
    double ours_s = bench_least_s(by_jarline, &b, 15) / READINGS;
    double apart = 0;
    for (int i = 0; i < READINGS; i++) apart = fmax(apart, fabs(b.ours[i] - b.floor[i]));
    int worst = bench_row("a reading corrected (floor: 2 Brent solves)", ours_s * 1e9,
                          floor_s * 1e9, "ns", floor_s / ours_s, ">= 6 x", floor_s / ours_s >= 6);
    worst |=
        bench_row("  largest difference", apart, 1e-7, "%", apart / 1e-7, "<= 1", apart <= 1e-7);
    return worst;
}
