/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn/mixture.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

double jl_weigh(double *ln_weights, size_t count) {
    double most = -INFINITY, sum = 0;
    for (size_t i = 0; i < count; i++)
        if (ln_weights[i] > most) most = ln_weights[i];
    for (size_t i = 0; i < count; i++) {
        double above = ln_weights[i] - most; /* NaN where there is no evidence at all */
        ln_weights[i] = above <= 0 ? exp(above) : 0;
        sum += ln_weights[i];
    }
    for (size_t i = 0; sum > 0 && i < count; i++) ln_weights[i] /= sum;
    /* cppcheck-suppress invalidFunctionArg ; log(0) is -INFINITY: no evidence at all */
    return most + log(sum);
}

double jl_mixture_below(const jl_part *parts, size_t count, double value) {
    double below = 0, all = 0;
    for (size_t i = 0; i < count; i++) {
        const jl_part *p = &parts[i];
        all += p->weight;
        if (p->standard > 0)
            below += p->weight * gsl_cdf_ugaussian_P((value - p->mean) / p->standard);
        else
            below += value >= p->mean ? p->weight : 0;
    }
    return below / all;
}

static double quantile(const jl_part *parts, size_t count, double share) {
    enum { HALVINGS = 50 };
    const double far = 9; /* standard deviations that no 95 % lies beyond */
    double low = INFINITY, high = -INFINITY;
    for (size_t i = 0; i < count; i++) {
        if (!(parts[i].weight > 0)) continue;
        low = fmin(low, parts[i].mean - far * parts[i].standard);
        high = fmax(high, parts[i].mean + far * parts[i].standard);
    }
    for (int i = 0; i < HALVINGS && high - low > 1e-7 * (fabs(low) + fabs(high)); i++) {
        double middle = low + (high - low) / 2;
        if (jl_mixture_below(parts, count, middle) < share)
            low = middle;
        else
            high = middle;
    }
    return low + (high - low) / 2;
}

jl_mixed jl_mix(const jl_part *parts, size_t count) {
    double all = 0, mean = 0, variance = 0;
    for (size_t i = 0; i < count; i++) {
        all += parts[i].weight;
        mean += parts[i].weight * parts[i].mean;
    }
    if (!(all > 0)) return (jl_mixed){NAN, NAN, NAN, NAN};
    mean /= all;
    for (size_t i = 0; i < count; i++) {
        const jl_part *p = &parts[i];
        variance +=
            p->weight / all * (p->standard * p->standard + (p->mean - mean) * (p->mean - mean));
    }
    return (jl_mixed){mean, sqrt(variance), quantile(parts, count, 0.025),
                      quantile(parts, count, 0.975)};
}
