/* Sums of amounts, and what solids hide of their strength.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_SPIRIT_H
#define JL_SPIRIT_H

#include "jarline.h"

/* So much of a mixture, of any size: neither is checked. */
jl_spirit jl_spirit_of_mass(double mass_kg, double mass_fraction);

/* A volume of a strength, both at 20 °C. Errors: JL_RANGE */
jl_status jl_spirit_at_20(double volume_l, double strength_pct, jl_spirit *spirit);

/* A strength in % vol at 20 °C on a scale: as it is, or US proof at 60 °F; NaN: there is no such strength. */
double jl_strength_on(jl_unit scale, double pct);

/* Adds an amount so many times; below 0 it is taken away. */
void jl_spirit_add(jl_spirit *sum, jl_spirit spirit, double times);

/* The mixture of alcohol and water behind solids that hide some of its proof: *mass_fraction as the
 * instrument shows it, then the true one. NaN: no solids. Errors: as jl_obscured_proof */
jl_status jl_mixture_behind_solids(double solids_g_100ml, double *mass_fraction);

/* A spirit with more solids than a rule allows for, whose true strength is that of a distilled
 * sample. How much liquid there is follows from what the instrument shows: a mixture's mass fraction
 * (apparent), or above the density of water its specific gravity at 60 °F. A litre of it has the true
 * strength.
 * Errors: JL_RANGE. Source: 27 CFR 30.41 */
jl_status jl_obscured_by_weight(double weight_kg, double apparent, double true_mass_fraction,
                                jl_spirit *spirit);
jl_status jl_obscured_by_gravity(double weight_kg, double sg_60f, double true_mass_fraction,
                                 jl_spirit *spirit);
jl_status jl_obscured_by_volume(double volume_l, double temp_c, double apparent,
                                double true_mass_fraction, jl_spirit *spirit);

/* Gallons as a return has them: a second decimal below 0.05 is dropped, 0.05 and more raised.
 * Source: 27 CFR 30.64 */
double jl_rounded_gallons(double gallons);

#define JL_SOLIDS_COUNT_G 0.4 /* in 100 mL; fewer need not be counted, and are not */

/* The true proof of a spirit in which dissolved solids hide some: 0.1 g in 100 mL hides 0.4 proof;
 * less than 0.4 g need not be counted, and is not. apparent_proof: corrected for temperature. Errors:
 * JL_RANGE; JL_NO (more than 0.6 g, or 0.4 g and more outside 80 to 100 proof: a sample has to be
 * distilled).
 * Source: 27 CFR 30.31, 30.32 and 30.71 */
jl_status jl_obscured_proof(double apparent_proof, double solids_g_100ml, double *true_proof);

#endif
