/* Traces that follow the main run.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CONGENER_H
#define JARLINE_CONGENER_H

#include "still/stages.h"

enum { JL_CONGENERS = 11 };

/* Congeners whose shares are shown together: one compound by all its methods, or isomers. */
enum { JL_CONGENER_FAMILIES = 6 };

/* The name of a family.
 *
 * Given:    index: from 0
 * Returned: "methanol", "isoamyl alcohols"; NULL behind the last
 */
const char *jl_congener_family(size_t index);

/* What part of the charge's amount of a family's congeners is somewhere, by the method that gives
 * the least and by the one that gives the most: 0 to 1, NaN without congeners. */
typedef struct jl_congener_share {
    double least, most;
} jl_congener_share;

/* What a trace's mole fraction in the distillate is to that in the boiler, for every congener. */
void jl_congener_ratios(const jl_rectifier *column, double x, const jl_distillate *d,
                        double ratios[JL_CONGENERS]);

/* Least and most of each family, of one number for each congener. */
void jl_congener_ranges(const double of_each[JL_CONGENERS],
                        jl_congener_share ranges[JL_CONGENER_FAMILIES]);

#endif
