/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "learn/trend.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_fit.h>
#include <math.h>
#include <stdlib.h>

enum { VALUES_LEAST = 5 };

jl_status jl_trend_of(const double *values, size_t count, double chance, jl_trend *trend) {
    double c0, c1, cov00, cov01, cov11, squares;
    if (!(chance > 0 && chance < 1)) return JL_RANGE;
    if (count < VALUES_LEAST) return JL_MISSING;
    for (size_t i = 0; i < count; i++)
        if (!isfinite(values[i])) return JL_RANGE;
    double *step = calloc(count, sizeof *step);
    if (step == NULL) return JL_MEMORY;
    for (size_t i = 0; i < count; i++) step[i] = (double)i;
    gsl_fit_linear(step, 1, values, 1, count, &c0, &c1, &cov00, &cov01, &cov11, &squares);
    free(step);
    double standard = sqrt(cov11), freedom = (double)count - 2;
    if (!isfinite(c1) || !isfinite(standard)) return JL_RANGE;
    *trend = (jl_trend){
        .per_step = c1,
        .standard = standard,
        .expanded = gsl_cdf_tdist_Pinv(0.975, freedom) * standard,
        .count = count,
        .stands_out = fabs(c1) > gsl_cdf_tdist_Qinv(chance / 2, freedom) * standard,
    };
    return JL_OK;
}

/* ---- Of runs ---- */

/* Of all trends of a history together: that chance alone makes one stand out. */
static const double CHANCE = 0.05;

static double figure_of(const jl_past *past, jl_past_figure figure) {
    if (figure == JL_PAST_RECOVERY) return past->recovery_pct;
    return figure == JL_PAST_ENERGY ? past->energy_kwh_per_l : past->apart_pct;
}

static size_t gather(const jl_past *const *pasts, size_t count, jl_past_figure figure, bool strip,
                     double *values) {
    size_t n = 0;
    for (size_t i = 0; i < count; i++)
        if (pasts[i]->strip == strip && isfinite(figure_of(pasts[i], figure)))
            values[n++] = figure_of(pasts[i], figure);
    return n;
}

jl_status jl_trends_of(const jl_past *const *pasts, size_t count, jl_trends *trends) {
    double *values = calloc(count + 1, sizeof *values);
    size_t looked_at = 0;
    jl_status status = values == NULL ? JL_MEMORY : JL_OK;
    *trends = (jl_trends){{{{0}}}};
    for (int f = 0; status == JL_OK && f < JL_PAST_FIGURES; f++)
        for (int strip = 0; strip < 2; strip++)
            looked_at += gather(pasts, count, (jl_past_figure)f, strip, values) >= VALUES_LEAST;
    for (int f = 0; looked_at > 0 && f < JL_PAST_FIGURES; f++)
        for (int strip = 0; strip < 2; strip++) {
            size_t n = gather(pasts, count, (jl_past_figure)f, strip, values);
            jl_trend *trend = &trends->of[f][strip];
            jl_status of_one = jl_trend_of(values, n, CHANCE / (double)looked_at, trend);
            if (of_one == JL_MEMORY) status = JL_MEMORY;
        }
    free(values);
    return status;
}
