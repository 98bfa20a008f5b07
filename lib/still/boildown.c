/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "still/boildown.h"

#include <float.h>
#include <gsl/gsl_errno.h>
#include <math.h>
#include <string.h>

static int rates_at(double s, const double state[], double rate[], void *with) {
    jl_boildown *b = with;
    double x = fmin(fmax(state[0], 0), 1);
    double left = exp(-s);
    jl_distil(&b->setup.column, x, &b->near);
    rate[0] = x - b->near.x;
    rate[1] = b->near.x * left;
    if (b->setup.sums > 0)
        b->setup.rates(b->setup.with, &b->setup.column, left, x, &b->near, rate + 2);
    return isfinite(rate[0]) ? GSL_SUCCESS : GSL_EBADFUNC;
}

/* Puts a point where the next steps begin. */
static void begin_at(jl_boildown *b, const jl_point *point) {
    b->begin = point->s;
    b->half = 0;
    b->state[2][0] = point->x;
    b->state[2][1] = point->out;
    memcpy(b->state[2] + 2, point->sums, b->setup.sums * sizeof *point->sums);
    rates_at(b->begin, b->state[2], b->rate[2], b);
}

jl_status jl_boildown_open(const jl_boildown_setup *setup, jl_boildown *b) {
    size_t size = setup->sums + 2;
    *b = (jl_boildown){.setup = *setup, .next_half = 1e-3};
    b->system = (gsl_odeiv2_system){rates_at, NULL, size, b};
    for (size_t i = 0; i < size; i++)
        b->allowed[i] = setup->tolerance * (i < 2 ? setup->x : setup->scales[i - 2]);
    b->step = gsl_odeiv2_step_alloc(gsl_odeiv2_step_rkf45, size);
    if (b->step == NULL) return JL_MEMORY;
    begin_at(b, &(jl_point){.x = setup->x, .left = 1});
    return JL_OK;
}

void jl_boildown_restart(jl_boildown *b, const jl_point *point, double reflux) {
    b->setup.column.reflux = reflux;
    b->near = (jl_distillate){0};
    gsl_odeiv2_step_reset(b->step);
    begin_at(b, point);
}

/* The usual control of a step's width: by the power of the error that the method's order gives, with
 * nine tenths of it for safety, at most fivefold. GSL's own falls over where memory is out. */
static int advise(const jl_boildown *b, const double *error, double *half) {
    double order = gsl_odeiv2_step_order(b->step), worst = DBL_MIN;
    for (size_t i = 0; i < b->system.dimension; i++)
        worst = fmax(worst, fabs(error[i]) / b->allowed[i]);
    if (worst > 1.1) {
        *half *= fmax(0.9 / pow(worst, 1 / order), 0.2);
        return GSL_ODEIV_HADJ_DEC;
    }
    if (worst >= 0.5) return GSL_ODEIV_HADJ_NIL;
    *half *= fmin(fmax(0.9 / pow(worst, 1 / (order + 1)), 1), 5);
    return GSL_ODEIV_HADJ_INC;
}

/* One step from state k to state k + 1. Returns what the control says of it, and in *next_half what
 * it would have next: of a step into where there are no rates a quarter. */
static int take_step(jl_boildown *b, int k, double half, double *next_half) {
    double error[JL_STATE_MOST];
    size_t size = b->system.dimension;
    memcpy(b->state[k + 1], b->state[k], size * sizeof(double));
    bool failed = gsl_odeiv2_step_apply(b->step, b->begin + k * half, half, b->state[k + 1], error,
                                        b->rate[k], b->rate[k + 1], &b->system) != GSL_SUCCESS;
    *next_half = failed ? half / 4 : half;
    return failed ? GSL_ODEIV_HADJ_DEC : advise(b, error, next_half);
}

jl_status jl_boildown_advance(jl_boildown *b) {
    enum { TRIES_MOST = 60 };
    double half = b->next_half;
    b->begin = jl_boildown_end(b);
    memcpy(b->state[0], b->state[2], sizeof b->state[0]);
    memcpy(b->rate[0], b->rate[2], sizeof b->rate[0]);
    for (int i = 0; i < TRIES_MOST; i++) {
        int advice = GSL_ODEIV_HADJ_NIL;
        for (int k = 0; k < 2 && advice != GSL_ODEIV_HADJ_DEC; k++)
            advice = take_step(b, k, half, &b->next_half);
        if (advice != GSL_ODEIV_HADJ_DEC) {
            b->half = half;
            return JL_OK;
        }
        half = b->next_half;
    }
    return JL_NUMERIC;
}

double jl_boildown_end(const jl_boildown *b) {
    return b->begin + 2 * b->half;
}

/* Hermite's polynomial of fifth degree through values and slopes at three even places. */
void jl_boildown_at(const jl_boildown *b, double s, jl_point *point) {
    double t = b->half > 0 ? (s - b->begin) / b->half - 1 : 1;
    double t2 = t * t, l = (1 - t) * (1 - t), r = (1 + t) * (1 + t), both = l * r;
    double value[3] = {t2 * l * (4 + 3 * t) / 4, both, t2 * r * (4 - 3 * t) / 4};
    double slope[3] = {t2 * l * (t + 1) / 4 * b->half, t * both * b->half,
                       t2 * r * (t - 1) / 4 * b->half};
    double state[JL_STATE_MOST] = {0};
    for (size_t i = 0; i < b->system.dimension; i++)
        for (int k = 0; k < 3; k++)
            state[i] += value[k] * b->state[k][i] + slope[k] * b->rate[k][i];
    point->s = s;
    point->left = exp(-s);
    point->x = fmin(fmax(state[0], 0), 1);
    point->out = state[1];
    memcpy(point->sums, state + 2, b->setup.sums * sizeof *state);
}

void jl_boildown_close(jl_boildown *b) {
    if (b->step != NULL) gsl_odeiv2_step_free(b->step);
    b->step = NULL;
}
