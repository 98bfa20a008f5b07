/* Equilibrium stages with reflux: constant molar overflow, total condenser, nothing held up.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_STAGES_H
#define JARLINE_STAGES_H

#include "still/equilibrium.h"

/* The boiler is the lowest stage and is counted. */
#define JL_STAGES_MOST       100
#define JL_REFLUX_MOST       1000.0
#define JL_SHARE_END         0.98 /* what of a still's share that runs back can be uncertain */
#define JL_REFLUX_SHARE_MOST (JL_REFLUX_MOST / (JL_REFLUX_MOST + 1))

typedef struct jl_rectifier {
    const jl_curve *curve;
    double stages; /* 1 to JL_STAGES_MOST; distillates of whole stages are mixed in between */
    double reflux; /* returned to taken off, 0 or more */
} jl_rectifier;

/* A solution, and how it moves with the liquid: where the next one nearby begins. */
typedef struct jl_solved {
    double distillate, per_x;
} jl_solved;

/* Distillates of the whole numbers of stages on both sides of column->stages, and their mean. */
typedef struct jl_distillate {
    double liquid;          /* what they are over */
    jl_solved below, above; /* alike when the number is whole */
    double x;
} jl_distillate;

/* The distillate over a boiling liquid.
 *
 * x: of the liquid, 0 to 1; *d: what it was for a liquid nearby, to begin with, or zeros. */
void jl_distil(const jl_rectifier *column, double x, jl_distillate *d);

/* The liquid on the lowest of a whole number of stages, stepping down from the distillate. *slope:
 * how it moves with the distillate. liquid (may be NULL): all stages from the top down. */
double jl_step_down(const jl_curve *curve, int stages, double reflux, double distillate,
                    double *slope, double *liquid);

/* What the thermometer in the head shows over a boiler that holds x. */
double jl_head_c(const jl_table *table, const jl_rectifier *column, double x, double distillate);

#endif
