/* Isotherms of OIML R 22: the density at one temperature as a polynomial in the mass fraction.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Solving for a mass fraction asks for many densities at one temperature. Summing the temperature
 * terms once leaves twelve coefficients, so that a step of a solution costs a few short Horner
 * chains. */
#ifndef JL_DENSITY_H
#define JL_DENSITY_H

#include "jarline.h"

enum { JL_ISOTHERM_TERMS = 12 };

typedef struct jl_isotherm {
    double c[JL_ISOTHERM_TERMS]; /* kg/m³, of p^0 to p^11 */
    double ethanol;              /* kg/m³, at p = 1 */
} jl_isotherm;

/* temp_c must be within JL_TEMP_MIN_C to JL_TEMP_MAX_C. */
void jl_isotherm_at(double temp_c, jl_isotherm *isotherm);

double jl_isotherm_density(const jl_isotherm *isotherm, double mass_fraction);

/* Solves p^power ρ(p) = target for p in [0, 1], power 0 (a density) or 1 (ethanol per volume), from
 * a starting value that need not be good. JL_NO_MIXTURE when the target lies outside the end values
 * by more than rounding. */
jl_status jl_isotherm_solve(const jl_isotherm *isotherm, int power, double target, double start,
                            double *mass_fraction);

/* The mixture of a strength in % vol (0 to 100) at the isotherm's own temperature. */
jl_status jl_isotherm_from_strength(const jl_isotherm *isotherm, double strength_pct,
                                    double *mass_fraction);

bool jl_temp_ok(double temp_c);
bool jl_fraction_ok(double mass_fraction);

/* kg/mol, from the standard atomic weights (CIAAW, from memory). */
#define JL_ETHANOL_KG_MOL 0.046069
#define JL_WATER_KG_MOL   0.018015

/* Mass of a mole of a mixture. */
double jl_kg_mol(double mole_fraction);

#endif
