/* Means of jars from readings in the spout.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "run/spout.h"

#include <gsl/gsl_interp.h>
#include <math.h>
#include <stdlib.h>

/* Gauss and Legendre's points and weights on -1 to 1, exact for the cubic's squares and more. */
static const double POINTS[] = {-0.9061798459386640, -0.5384693101056831, 0, 0.5384693101056831,
                                0.9061798459386640};
static const double WEIGHTS[] = {0.2369268850561891, 0.4786286704993665, 0.5688888888888889,
                                 0.4786286704993665, 0.2369268850561891};
enum { POINT_COUNT = sizeof POINTS / sizeof POINTS[0] };

static bool in_order(const jl_spout_reading *r, size_t count, double spout_l) {
    if (count == 0 || !(spout_l >= 0) || !(r[0].until_l > spout_l)) return false;
    for (size_t i = 0; i < count; i++) {
        if (!(r[i].strength_pct >= 0 && r[i].strength_pct <= 100)) return false;
        if (i > 0 && !(r[i].until_l > r[i - 1].until_l)) return false;
    }
    return isfinite(r[count - 1].until_l);
}

/* The strength of the first drop where nothing is known of it. */
static double carried_back(const jl_spout_reading *r, size_t count) {
    if (count < 2) return r[0].strength_pct;
    double slope = (r[1].strength_pct - r[0].strength_pct) / (r[1].until_l - r[0].until_l);
    return fmin(fmax(r[0].strength_pct - slope * r[0].until_l, 0), 100);
}

/* What the curve gives at a volume; behind the last reading, in the lag, it goes straight on. */
static double curve_at(const gsl_interp *curve, const double *l, const double *pct, size_t n,
                       double at_l) {
    if (at_l < l[n - 1]) return gsl_interp_eval(curve, l, pct, at_l, NULL);
    double slope = gsl_interp_eval_deriv(curve, l, pct, l[n - 1], NULL);
    return pct[n - 1] + slope * (at_l - l[n - 1]);
}

/* All that ran between two volumes, mixed. */
static jl_status mean_between(const gsl_interp *curve, const double *l, const double *pct, size_t n,
                              double from_l, double to_l, double *mean_pct) {
    jl_spirit sum = {0, 0};
    for (int i = 0; i < POINT_COUNT; i++) {
        double p, at_l = from_l + (to_l - from_l) * (1 + POINTS[i]) / 2;
        jl_spirit part;
        jl_status status = jl_mass_fraction_from_strength(
            fmin(fmax(curve_at(curve, l, pct, n, at_l), 0), 100), JL_STRENGTH_C, &p);
        if (status == JL_OK) status = jl_spirit_from_volume(WEIGHTS[i], p, JL_STRENGTH_C, &part);
        if (status != JL_OK) return status;
        sum = jl_blend(sum, part);
    }
    *mean_pct = jl_spirit_strength_pct(sum);
    return JL_OK;
}

static jl_status fill_means(const gsl_interp *curve, const double *l, const double *pct,
                            const jl_spout_reading *r, size_t count, jl_spout_mean *means) {
    for (size_t i = 0; i < count; i++) {
        double from_l = i == 0 ? 0 : r[i - 1].until_l;
        double to_l = r[i].until_l;
        jl_spout_mean m;
        jl_status status = mean_between(curve, l, pct, count + 1, from_l, to_l, &m.strength_pct);
        if (status != JL_OK) return status;
        double straight_pct = (curve_at(curve, l, pct, count + 1, from_l) +
                               curve_at(curve, l, pct, count + 1, to_l)) /
                              2;
        m.curve_u_pct = fabs(m.strength_pct - straight_pct) / 4;
        means[i] = m;
    }
    return JL_OK;
}

jl_status jl_spout_means(const jl_spout_reading *readings, size_t count, double begin_pct,
                         double spout_l, jl_spout_mean *means) {
    if (!in_order(readings, count, spout_l)) return JL_RANGE;
    if (!isnan(begin_pct) && !(begin_pct >= 0 && begin_pct <= 100)) return JL_RANGE;
    double *l = malloc(2 * (count + 1) * sizeof *l);
    const gsl_interp_type *type = count < 2 ? gsl_interp_linear : gsl_interp_steffen;
    gsl_interp *curve = gsl_interp_alloc(type, count + 1);
    jl_status status = l == NULL || curve == NULL ? JL_MEMORY : JL_OK;
    if (status == JL_OK) {
        double *pct = l + count + 1;
        l[0] = 0;
        pct[0] = isnan(begin_pct) ? carried_back(readings, count) : begin_pct;
        for (size_t i = 0; i < count; i++) {
            l[i + 1] = readings[i].until_l - spout_l;
            pct[i + 1] = readings[i].strength_pct;
        }
        gsl_interp_init(curve, l, pct, count + 1);
        status = fill_means(curve, l, pct, readings, count, means);
    }
    if (curve != NULL) gsl_interp_free(curve);
    free(l);
    return status;
}
