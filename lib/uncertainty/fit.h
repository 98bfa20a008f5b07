/* Nonlinear least squares with bounds, prior knowledge, and parameters that the data cannot tell.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_FIT_H
#define JL_FIT_H

#include "jarline.h"

typedef struct jl_parameter {
    double value;       /* where the search begins, the centre of what is known before */
    double prior;       /* standard uncertainty of that; infinite: nothing is known */
    double least, most; /* bounds */
    double scale;       /* a change that matters; a finite difference takes a small part of it */
    bool held;          /* not to be sought */
    double start;       /* added to value: where the search begins when that is elsewhere */
} jl_parameter;

enum { JL_ALL_CHANGED = -1 };

/* Residuals in units of their standard uncertainty. changed: JL_ALL_CHANGED, or the one parameter
 * that differs from the last call with JL_ALL_CHANGED, whose residuals then stand in residuals and
 * may be left where that parameter has no part in them. */
typedef jl_status jl_residuals(const double *parameters, int changed, double *residuals,
                               void *with);

typedef struct jl_fit_problem {
    jl_residuals *residuals;
    void *with;
    const jl_parameter *parameters;
    size_t parameter_count, residual_count;
} jl_fit_problem;

typedef struct jl_fitted {
    double *values, *standard, *covariance; /* standard and covariance are 0 for what is held */
    bool *held;         /* given as held, or found to be one that the data cannot tell */
    bool *at_edge;      /* the search ended on a bound */
    double *residuals;  /* at the end */
    double chi_squared; /* of the residuals and of the departures from what was known */
    size_t freedom;     /* residuals less sought parameters of which nothing was known */
} jl_fitted;

/* Room for the results of a problem; jl_fitted_free releases it. */
jl_status jl_fitted_alloc(const jl_fit_problem *problem, jl_fitted *fitted);
void jl_fitted_free(jl_fitted *fitted);

/* Fits. A parameter without prior knowledge whose standard uncertainty, the others being sought
 * too, would be more than its scale is held where it began and the others are sought again; of
 * several such the first in the list is held.
 *
 * JL_MISSING: fewer residuals than unknowns; JL_NUMERIC: it did not settle; JL_MEMORY; what the
 * residuals say of the starting values. */
jl_status jl_fit(const jl_fit_problem *problem, jl_fitted *fitted);

#endif
