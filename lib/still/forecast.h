/* The run to expect, jar by jar; jarline.h has what everyone may call.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_FORECAST_H
#define JARLINE_FORECAST_H

#include "still/congener.h"

/* Where the congeners went.
 *
 * Given:    run: its plan with congeners
 * Returned: jar: in the last jar (0 before the first); left: still in the boiler
 */
void jl_forecast_congeners(const jl_forecasting *run, jl_congener_share jar[JL_CONGENER_FAMILIES],
                           jl_congener_share left[JL_CONGENER_FAMILIES]);

/* All jars of a run at once.
 *
 * Given:    as jl_forecast_open
 * Returned: *jars: count of them, to be freed by jl_forecast_jars_free; *sum
 * Errors:   as jl_forecast_open and jl_forecast_next. A run that ends at its first drop has no jars
 *           and is no error: jars->count is 0
 */
typedef struct jl_forecast_jars {
    jl_forecast_jar *jars;
    size_t count;
    jl_forecast sum;
} jl_forecast_jars;

jl_status jl_forecast_all(const jl_still *still, jl_spirit charge, const jl_plan *plan,
                          jl_forecast_jars *all);
void jl_forecast_jars_free(jl_forecast_jars *all);

/* The main figures of a run in one order, for whoever shows or weighs them. */
typedef enum jl_forecast_figure {
    JL_RUN_COLLECTED_L, /* all that is distilled, at 20 °C */
    JL_RUN_COLLECTED_PCT,
    JL_RUN_COLLECTED_PURE_L,
    JL_RUN_HEARTS_L,
    JL_RUN_HEARTS_PCT, /* NaN without hearts */
    JL_RUN_HEARTS_PURE_L,
    JL_RUN_LEFT_L, /* what stays in the boiler */
    JL_RUN_LEFT_PCT,
    JL_RUN_LEFT_PURE_L,
    JL_RUN_FIRST_DROP_S,
    JL_RUN_DURATION_S,
    JL_RUN_DURATION_H,
    JL_RUN_ENERGY_KWH,
    JL_RUN_COOLANT_L,
    JL_RUN_COOLANT_MOST_L_MIN,
    JL_RUN_FIRST_SPOUT_PCT,
    JL_RUN_FIGURES
} jl_forecast_figure;

/* Fills them; NaN where jl_forecast has none. */
void jl_forecast_figures(const jl_forecast *forecast, double figures[JL_RUN_FIGURES]);

/* With a tolerance of the integrator other than JL_TOLERANCE, for the tests. */
jl_status jl_forecast_open_within(const jl_still *still, jl_spirit charge, const jl_plan *plan,
                                  double tolerance, jl_forecasting **run);

#define JL_J_KWH 3.6e6

/* Volume and strength at 20 °C and the pure alcohol of an amount. */
void jl_spirit_figures(jl_spirit spirit, double figures[3]);

#endif
