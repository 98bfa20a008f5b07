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

/* ---- A strip run in loads, its low wines pooled with feints, and the spirit runs on the pool ---- */

/* As few as load_l allows, 1 at least, all alike; but for rounding, so that 24 l are one load of
 * two thirds of 36 l. 0 l: no such bound. */
double jl_even_loads(double volume_l, double load_l);

/* What goes into such a chain. */
typedef struct jl_chain_charge {
    jl_spirit wash;                   /* of all strip runs */
    jl_spirit feints;                 /* that join the low wines; 0 and 0: none */
    double load_l;                    /* at 20 °C: what the boiler takes at once; 0: all */
    size_t strip_loads, spirit_loads; /* to 1e6, all alike; 0: as few as load_l allows */
    double
        last_share; /* of the wash, below 1, in the last of two or more strip_loads; 0: it is like the
                          others */
} jl_chain_charge;

/* One of its strip runs but the last, of so many. */
jl_spirit jl_chain_load(const jl_chain_charge *charge, size_t strip_loads);

typedef struct jl_chain {
    jl_spirit wash, feints;
    size_t strip_loads;
    jl_forecast strip;   /* of one load */
    jl_forecast last;    /* of the last one */
    jl_spirit low_wines; /* of all loads */
    jl_spirit pool;      /* low wines and feints */
    size_t spirit_loads;
    jl_spirit spirit_charge; /* one load of the pool */
    jl_forecast spirit;      /* of one load; the caller puts it here */
} jl_chain;

/* The strip runs, and the charge of the spirit runs. The spirit run itself is a run as any other: its
 * cuts may depend on the strength of that charge.
 *
 * Given:    still, plan: of the strip run; the size of its jars plays no part; charge
 * Returned: *chain without its spirit run. Without low wines where the rule to stop is met by the
 *           first drop
 * Errors:   as jl_forecast_run, of one load; JL_RANGE also for the charge
 */
jl_status jl_chain_strip(const jl_still *still, const jl_plan *plan, const jl_chain_charge *charge,
                         jl_chain *chain);

/* The main figures of a chain in one order; of all loads, but for those of which one is like the
 * other. */
typedef enum jl_chain_figure {
    JL_CHAIN_STRIP_RECOVERED_PCT, /* pure alcohol in the low wines, of that in the wash */
    JL_CHAIN_STRIPS_S,            /* the strip runs one after the other */
    JL_CHAIN_STRIPS_KWH,
    JL_CHAIN_STRIPS_COOLANT_L,
    JL_CHAIN_LOW_WINES_L, /* at 20 °C */
    JL_CHAIN_LOW_WINES_PCT,
    JL_CHAIN_LOW_WINES_PURE_L,
    JL_CHAIN_HEARTS_L,
    JL_CHAIN_HEARTS_PCT,
    JL_CHAIN_HEARTS_PURE_L,
    JL_CHAIN_HEARTS_SHARE_PCT, /* their pure alcohol, of that in wash and feints */
    JL_CHAIN_FEINTS_PURE_L,    /* in heads and tails of the spirit runs */
    JL_CHAIN_DURATION_S,       /* all runs */
    JL_CHAIN_DURATION_H,
    JL_CHAIN_ENERGY_KWH,
    JL_CHAIN_COOLANT_L,
    JL_CHAIN_FIGURES
} jl_chain_figure;

/* Fills them; NaN where jl_forecast has none. */
void jl_chain_figures(const jl_chain *chain, double figures[JL_CHAIN_FIGURES]);

#endif
