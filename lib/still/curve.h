/* An equilibrium curve: vapour from liquid and back, of any two substances.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * x and y are mole fractions of one substance in liquid and vapour. Runs ask for them hundreds of
 * thousands of times, so those of ethanol and water are put into a table once for a pressure. */
#ifndef JARLINE_CURVE_H
#define JARLINE_CURVE_H

#include "jarline.h"

typedef struct jl_curve {
    double (*vapour)(const struct jl_curve *curve, double x);
    /* *slope: dx/dy there */
    double (*liquid)(const struct jl_curve *curve, double y, double *slope);
    const void *with;
    double end; /* where vapour and liquid are alike: the azeotrope, or 1 */
} jl_curve;

/* A curve of the caller's: *function gives y of x, rising from 0 at 0 to 1 at 1. end as above. */
typedef struct jl_vapour_function {
    double (*y)(double x, void *with);
    void *with;
} jl_vapour_function;

jl_curve jl_curve_of(const jl_vapour_function *function, double end);

/* Ethanol and water at one pressure. y, boiling point and latent heat are Chebyshev series in
 * u = x (1 + c)/(x + c), which spreads the steep beginning of the curve; they lie within 1e-9 of
 * what they stand for. The liquid of a vapour is piecewise: value, slope and bend at even steps. */
enum { JL_SERIES_TERMS = 28, JL_LIQUID_CELLS = 128 };

typedef struct jl_table {
    double pressure_kpa;
    double series[JL_SERIES_TERMS][3]; /* relative volatility, °C, J/mol of vapour */
    double liquid[JL_LIQUID_CELLS + 1][3];
    jl_curve curve; /* its with is the table: do not copy a table */
} jl_table;

/* vapour_off: as in jl_still. with_liquid: whether the liquid of a vapour will be asked for.
 * Errors: JL_RANGE, JL_NUMERIC */
jl_status jl_table_fill(double pressure_kpa, double vapour_off, bool with_liquid, jl_table *table);

/* What a boiling liquid does. */
typedef struct jl_at_boil {
    double temp_c, latent_j_mol;
} jl_at_boil;

jl_at_boil jl_table_at(const jl_table *table, double x);
double jl_table_temp_c(const jl_table *table, double x);

#endif
