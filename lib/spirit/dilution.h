/* What an amount lacks of a strength, with its sign: where inputs are varied it may be either.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_DILUTION_H
#define JL_DILUTION_H

#include "jarline.h"

/* Mass of another liquid that brings an amount to a strength: 0 when it is met already, negative when
 * that much of it is too much, not finite when the other has that strength itself. */
double jl_addition_kg(jl_spirit spirit, double other_mass_fraction, double target_mass_fraction);

/* jl_check_mix with check->too_weak given, whatever was found: the addition may be negative. */
jl_status jl_check_side(const jl_dilution *d, jl_spirit mixed, double found_mass_fraction,
                        jl_check *check);

#endif
