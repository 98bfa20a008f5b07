/* A strip run in loads, its low wines pooled with feints, and the spirit runs on the pool.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CHAIN_H
#define JARLINE_CHAIN_H

#include "still/forecast.h"

/* As few as load_l allows, 1 at least, all alike; but for rounding, so that 24 l are one load of
 * two thirds of 36 l. 0 l: no such bound. */
double jl_even_loads(double volume_l, double load_l);

/* What goes into such a chain. */
typedef struct jl_chain_charge {
    jl_spirit wash;                   /* of all strip runs */
    jl_spirit feints;                 /* that join the low wines; 0 and 0: none */
    double load_l;                    /* at 20 °C: what the boiler takes at once; 0: all */
    size_t strip_loads, spirit_loads; /* to 1e6, all alike; 0: as few as load_l allows */
} jl_chain_charge;

typedef struct jl_chain {
    jl_spirit wash, feints;
    size_t strip_loads;
    jl_forecast strip;   /* of one load */
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
