/* Whether a figure moves from run to run by more than it scatters.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "jarline.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_fit.h>
#include <math.h>
#include <stdlib.h>

enum { VALUES_LEAST = 5 };

jl_status jl_trend_of(const double *values, size_t count, jl_trend *trend) {
    double c0, c1, cov00, cov01, cov11, squares;
    if (count < VALUES_LEAST) return JL_MISSING;
    for (size_t i = 0; i < count; i++)
        if (!isfinite(values[i])) return JL_RANGE;
    double *step = calloc(count, sizeof *step);
    if (step == NULL) return JL_MEMORY;
    for (size_t i = 0; i < count; i++) step[i] = (double)i;
    gsl_fit_linear(step, 1, values, 1, count, &c0, &c1, &cov00, &cov01, &cov11, &squares);
    free(step);
    double standard = sqrt(cov11);
    if (!isfinite(c1) || !isfinite(standard)) return JL_RANGE;
    double most = gsl_cdf_tdist_Pinv(0.975, (double)count - 2);
    *trend = (jl_trend){c1, standard, fabs(c1) > most * standard};
    return JL_OK;
}
