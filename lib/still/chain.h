/* Loads that are alike; jarline.h has the chain of runs itself.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CHAIN_H
#define JARLINE_CHAIN_H

/* As few as load_l allows, 1 at least, all alike; but for rounding, so that 24 l are one load of
 * two thirds of 36 l. 0 l: no such bound. */
double jl_even_loads(double volume_l, double load_l);

#endif
