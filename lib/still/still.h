/* A run as it goes on: what the files of the forecast share.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_STILL_H
#define JARLINE_STILL_H

#include "spirit/density.h"
#include "still/boildown.h"
#include "still/congener.h"

/* A thousandth of the charge, by moles, is as good as dry. */
#define JL_DRY_S 6.907755278982137

struct jl_forecasting {
    jl_still still;
    jl_reflux_step *schedule;
    jl_plan plan;
    jl_spirit charge;
    jl_table table;
    jl_boildown batch;
    jl_isotherm at_20c, measured;
    double moles;        /* charged */
    double charge_l;     /* at 20 °C */
    double net_w;        /* what reaches the liquid and is not lost again */
    double begin_heat_j; /* of liquid and boiler at the first drop, as jl_run_heat_j */
    double first_drop_s;
    size_t heats, traces; /* where these sums stand; JL_SUMS_MOST when they are not kept */

    jl_point at, jar_begin, fraction_begin;
    jl_fraction fraction;
    size_t jars, next_step;
    bool ended;
    jl_forecast sum;
};

/* What the spout and the thermometers show at a point. */
typedef struct jl_shown {
    double distillate, boiler_c, head_c;
} jl_shown;

jl_shown jl_run_shown(jl_forecasting *run, const jl_point *point);

/* What the thermometer in the head shows over a boiler that holds x. */
double jl_head_c(const jl_table *table, const jl_column *column, double x, double distillate);

/* Seconds from heat-on; NaN without power. */
double jl_run_clock_s(const jl_forecasting *run, const jl_point *point);

/* J taken by the cooling water up to a point. */
double jl_run_coolant_j(const jl_forecasting *run, const jl_point *point);

/* What was distilled between two points. */
jl_spirit jl_run_between(const jl_forecasting *run, const jl_point *from, const jl_point *to);

/* With a tolerance of the integrator other than JL_TOLERANCE, for the tests. */
jl_status jl_run_open_within(const jl_still *still, jl_spirit charge, const jl_plan *plan,
                             double tolerance, jl_forecasting **run);

#endif
