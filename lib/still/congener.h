/* Traces that follow the main run.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CONGENER_H
#define JARLINE_CONGENER_H

#include "still/stages.h"

enum { JL_CONGENERS = 11 };

/* What a trace's mole fraction in the distillate is to that in the boiler, for every congener. */
void jl_congener_ratios(const jl_column *column, double x, const jl_distillate *d,
                        double ratios[JL_CONGENERS]);

/* Least and most of each family, of one number for each congener. */
void jl_congener_ranges(const double of_each[JL_CONGENERS],
                        jl_congener_share ranges[JL_CONGENER_FAMILIES]);

#endif
