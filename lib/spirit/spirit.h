/* What an amount lacks of a strength, with its sign.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_SPIRIT_H
#define JL_SPIRIT_H

#include "jarline.h"

/* Mass of another liquid that brings an amount to a strength; negative when that much of it is
 * already too much, not finite when the other has that strength itself. */
double jl_addition_kg(jl_spirit spirit, double other_mass_fraction, double target_mass_fraction);

#endif
