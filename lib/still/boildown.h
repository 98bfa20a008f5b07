/* A batch boiled down through a column: the composition of boiler and distillate, and any sums over
 * the distillate, at every point of the run.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The run is followed over s = -ln(moles left / moles charged): dx/ds = x - x_distillate
 * (Rayleigh). Unlike x or time, s has no singular point, neither at the azeotrope nor at the end.
 * All amounts are for one mole charged. */
#ifndef JARLINE_BOILDOWN_H
#define JARLINE_BOILDOWN_H

#include "still/stages.h"

#include <gsl/gsl_odeiv2.h>

enum { JL_SUMS_MOST = 14, JL_STATE_MOST = JL_SUMS_MOST + 2 };

/* How the sums rise with s while the boiler holds x and left moles. */
typedef void jl_rates(void *with, const jl_rectifier *column, double left, double x,
                      const jl_distillate *d, double *rate);

typedef struct jl_boildown_setup {
    jl_rectifier column;
    double x;         /* of the charge, above 0 */
    double tolerance; /* of a step, relative to what was charged or to a sum's scale */
    size_t sums;
    double scales[JL_SUMS_MOST];
    jl_rates *rates;
    void *with;
} jl_boildown_setup;

#define JL_TOLERANCE 1e-10

typedef struct jl_point {
    double s, left; /* moles left: exp(-s) */
    double x;       /* in the boiler */
    double out;     /* moles of the first substance distilled so far */
    double sums[JL_SUMS_MOST];
} jl_point;

typedef struct jl_boildown {
    jl_boildown_setup setup;
    gsl_odeiv2_system system;
    gsl_odeiv2_step *step;
    double allowed[JL_STATE_MOST]; /* error of each part of the state in a step */
    jl_distillate near;            /* where the next solution for the stages begins */
    double begin, half, next_half;
    double state[3][JL_STATE_MOST]; /* at the ends and the middle of two equal steps */
    double rate[3][JL_STATE_MOST];
} jl_boildown;

/* Errors: JL_MEMORY. Close it also after an error. */
jl_status jl_boildown_open(const jl_boildown_setup *setup, jl_boildown *b);

/* Two equal steps further. The run is then known from b->begin to jl_boildown_end. JL_NUMERIC */
jl_status jl_boildown_advance(jl_boildown *b);

double jl_boildown_end(const jl_boildown *b);

/* Anywhere between the two, by the polynomial through both steps. */
void jl_boildown_at(const jl_boildown *b, double s, jl_point *point);

/* Goes on from a point with another reflux. */
void jl_boildown_restart(jl_boildown *b, const jl_point *point, double reflux);

void jl_boildown_close(jl_boildown *b);

#endif
