/* Vapour over a boiling mixture of ethanol and water, in the units of the models: kelvin, kPa, mole
 * fractions; and as a table, since runs ask for it hundreds of thousands of times.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_EQUILIBRIUM_H
#define JARLINE_EQUILIBRIUM_H

#include "text/quantity.h"

/* Heat that one mole of liquid holds above 23 °C, J/mol; x mole fraction of ethanol. A function of
 * state, so that heat put in and heat that comes out can be compared to the last digit. */
double jl_liquid_heat_j_mol(double x, double temp_c);

/* Latent heat of ethanol and of water, J/mol, 0 to 120 °C. */
void jl_latent_j_mol(double temp_c, double *ethanol, double *water);

/* τ₁₂ = a12 + b12/T and τ₂₁ of NRTL with α 0.3; 1 is ethanol, 2 is water. */
typedef struct jl_nrtl {
    double a12, b12, a21, b21;
} jl_nrtl;

/* What reference/fit-nrtl prints. */
extern const jl_nrtl JL_NRTL;

typedef struct jl_bubble {
    double temp_k;
    double y;          /* of ethanol in the vapour */
    double volatility; /* of ethanol against water, y(1-x)/(x(1-y)); finite at both ends */
} jl_bubble;

/* Vapour pressure of ethanol and of water, kPa. */
void jl_saturation_kpa(double temp_k, double *ethanol, double *water);

/* x in 0 to 1, pressure in 30 to 110 kPa, neither checked. start_k: a guess, or 0.
 * JL_NUMERIC when it does not settle. */
jl_status jl_bubble_at(const jl_nrtl *nrtl, double x, double pressure_kpa, double start_k,
                       jl_bubble *bubble);

bool jl_pressure_ok(double pressure_kpa);

/* ---- As a curve and a table ---- */

/* An equilibrium curve: vapour from liquid and back, of any two substances. */
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

/* vapour_off_share, dilute_off_share: as in jl_still. with_liquid: whether the liquid of a vapour
 * will be asked for. Errors: JL_RANGE, JL_NUMERIC */
jl_status jl_table_fill(double pressure_kpa, double vapour_off_share, double dilute_off_share,
                        bool with_liquid, jl_table *table);

/* A table between others of the same pressure, as their sum with weights that add to 1: for vapours
 * that lie between theirs. table may not be one of them. */
void jl_table_between(const jl_table *tables, const double *weights, size_t count, jl_table *table);

/* What a boiling liquid does. */
typedef struct jl_at_boil {
    double temp_c, latent_j_mol;
} jl_at_boil;

jl_at_boil jl_table_at(const jl_table *table, double x);
double jl_table_temp_c(const jl_table *table, double x);

#endif
