/* A figure whose law is a mixture of normals.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_MIXTURE_H
#define JL_MIXTURE_H

#include <stddef.h>

typedef struct jl_part {
    double weight; /* of any sum */
    double mean, standard;
} jl_part;

/* Weights of things whose logarithms are given, so that they add to 1; those of none that is finite
 * stay 0. Returns the ln of their sum. In place. */
double jl_weigh(double *ln_weights, size_t count);

typedef struct jl_mixed {
    double mean, standard;
    double low, high; /* 95 %, as much probability below as above */
} jl_mixed;

/* NaN where the weights add to nothing. */
jl_mixed jl_mix(const jl_part *parts, size_t count);

/* Probability that it lies at or below a value. */
double jl_mixture_below(const jl_part *parts, size_t count, double value);

#endif
