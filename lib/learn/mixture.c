/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn/mixture.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdbool.h>

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

/* And how much of it there is at the value itself, in parts that are no points. */
static double below_at(const jl_part *parts, size_t count, double value, double *density) {
    double below = 0, all = 0;
    *density = 0;
    for (size_t i = 0; i < count; i++) {
        const jl_part *p = &parts[i];
        all += p->weight;
        if (!(p->standard > 0)) {
            below += value >= p->mean ? p->weight : 0;
            continue;
        }
        double off = (value - p->mean) / p->standard;
        below += p->weight * gsl_cdf_ugaussian_P(off);
        *density += p->weight * gsl_ran_ugaussian_pdf(off) / p->standard;
    }
    *density /= all;
    return below / all;
}

double jl_mixture_below(const jl_part *parts, size_t count, double value) {
    double density;
    return below_at(parts, count, value, &density);
}

/* Newton's steps from a guess, halvings where they leave the bracket or hardly narrow it. */
static double quantile(const jl_part *parts, size_t count, double share, double guess) {
    enum { STEPS = 60 };
    const double far = 9; /* standard deviations that no 95 % lies beyond */
    double low = INFINITY, high = -INFINITY, at = guess, step = INFINITY, density;
    for (size_t i = 0; i < count; i++) {
        if (!(parts[i].weight > 0)) continue;
        low = fmin(low, parts[i].mean - far * parts[i].standard);
        high = fmax(high, parts[i].mean + far * parts[i].standard);
    }
    double close = 1e-7 * (fabs(low) + fabs(high));
    for (int i = 0; i < STEPS && high - low > close; i++) {
        double off = below_at(parts, count, at, &density) - share, before = fabs(step);
        *(off < 0 ? &low : &high) = at;
        step = off / density;
        bool newton = fabs(step) < before / 2 && at - step > low && at - step < high;
        if (!newton) step = at - (low + (high - low) / 2);
        at -= step;
        if (newton && fabs(step) < close) break;
    }
    return at;
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
    double standard = sqrt(variance);
    double low = quantile(parts, count, 0.025, mean - 2 * standard);
    double high = quantile(parts, count, 0.975, mean + 2 * standard);
    /* Where nearly all is at one point both are that point, each to within its last step. */
    return (jl_mixed){mean, standard, fmin(low, high), fmax(low, high)};
}
