/* Heat of a liquid and of its vapour, per mole.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_HEAT_H
#define JARLINE_HEAT_H

#define JL_KELVIN 273.15

/* Heat that one mole of liquid holds above 23 °C, J/mol; x mole fraction of ethanol. A function of
 * state, so that heat put in and heat that comes out can be compared to the last digit. */
double jl_liquid_heat_j_mol(double x, double temp_c);

/* Latent heat of ethanol and of water, J/mol, 0 to 120 °C. */
void jl_latent_j_mol(double temp_c, double *ethanol, double *water);

#endif
