/* Vapour over a boiling mixture of ethanol and water, in the units of the models: kelvin, kPa, mole
 * fractions.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_EQUILIBRIUM_H
#define JARLINE_EQUILIBRIUM_H

#include "jarline.h"

#define JL_KELVIN 273.15

/* kg/mol, from the standard atomic weights (CIAAW, from memory). */
#define JL_ETHANOL_KG_MOL 0.046069
#define JL_WATER_KG_MOL   0.018015

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

/* Partial pressures over a liquid, kPa, and the relative volatility. */
double jl_pressure_over(const jl_nrtl *nrtl, double x, double temp_k, double *ethanol_kpa,
                        double *volatility);

/* x in 0 to 1, pressure in 30 to 110 kPa, neither checked. start_k: a guess, or 0.
 * JL_NUMERIC when it does not settle. */
jl_status jl_bubble_at(const jl_nrtl *nrtl, double x, double pressure_kpa, double start_k,
                       jl_bubble *bubble);

bool jl_pressure_ok(double pressure_kpa);

#endif
