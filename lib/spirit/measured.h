/* What is read on instruments, with all that may be off in it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * An instrument's own error is one input of the budget for all that is read with it; its division and
 * its repeatability are new with each reading. */
#ifndef JL_MEASURED_H
#define JL_MEASURED_H

#include "spirit/instruments.h"
#include "uncertainty/budget.h"

/* The instruments of one question. Begin with instruments and budget alone. */
typedef struct jl_measuring {
    jl_instruments instruments;
    jl_budget *budget; /* NULL: what is read counts as exact */
    bool used[JL_INSTRUMENTS];
    size_t common[JL_INSTRUMENTS][JL_WIDTHS]; /* place + 1 of an instrument's own error */
} jl_measuring;

/* Something read. scale: what a deviation of the instrument's own unit makes in value's unit: 2 for
 * proof, 1 otherwise. */
typedef struct jl_measured {
    double value, scale;
    size_t inputs[JL_WIDTHS]; /* place + 1; 0: none */
    bool share;               /* common errors are a share of the value */
} jl_measured;

jl_measured jl_measure(jl_measuring *by, jl_instrument which, double value, double scale);

/* x: the inputs of a model; NULL for the best estimates. */
double jl_measured_at(const jl_measured *measured, const double *x);

/* A strength, read or stated: a stated one is as uncertain as a reading at 20 °C. */
jl_measured jl_measure_strength(jl_measuring *by, jl_quantity strength);

/* An amount as it was written, and what its reading was taken with. */
typedef struct jl_measured_amount {
    jl_amount amount;
    jl_alcoholometer instrument;
    jl_measured size, strength, temp;
} jl_measured_amount;

jl_measured_amount jl_measure_amount(jl_measuring *by, jl_amount amount,
                                     const jl_alcoholometer *instrument);
jl_status jl_measured_amount_at(const jl_measured_amount *measured, const double *x,
                                jl_spirit *spirit);

/* Several of them mixed. parts_l: the sum of their volumes at 20 °C. */
jl_status jl_measured_blend_at(const jl_measured_amount *parts, size_t count, const double *x,
                               jl_spirit *all, double *parts_l);

#endif
