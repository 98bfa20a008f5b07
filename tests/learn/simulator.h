/* A still that is not the library's, to learn from: its own equilibrium, its own stages and its own
 * integration; and the people and instruments that write down what it does.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Of the library only the density of ethanol and water and the alcoholometer's table are used, which
 * are a standard. */
#ifndef JARLINE_SIMULATOR_H
#define JARLINE_SIMULATOR_H

#include "jarline.h"

#include <gsl/gsl_rng.h>

enum { SIMULATED_JARS_MOST = 60 };

/* What the still truly is. */
typedef struct sim_still {
    double stages;     /* a fraction mixes the distillates of the whole numbers beside it */
    double share;      /* that runs back, R / (R + 1) */
    double spread;     /* of the share from run to run, a standard deviation */
    double shift;      /* of volatility */
    double efficiency; /* of the heating, and its standard deviation in ln from run to run */
    double efficiency_spread;
    double walk; /* the net power's random walk, in ln, a jar */
} sim_still;

/* How far instruments may be off: limits and divisions, from which a bench is drawn. */
typedef struct sim_limits {
    double alcoholometer_pct, alcoholometer_division_pct;
    double thermometer_c, thermometer_division_c;
    double jug, jug_division_l;
    double vessel;      /* the charge's */
    double vessel_read; /* a standard deviation, a share */
    double still_thermometer_c;
    double pressure_kpa;
    double wobble_pct;      /* of a hand, beside the division: a standard deviation */
    double time_division_s; /* to which moments are written down */
} sim_limits;

extern const sim_limits SIM_LIMITS;

/* The instruments of one person: what each shows too much. */
typedef struct sim_bench {
    const sim_limits *limits;
    double alcoholometer_pct, thermometer_c, jug, vessel, boiler_c, head_c;
} sim_bench;

sim_bench sim_bench_of(const sim_limits *limits, gsl_rng *rng);

/* What is to be run. */
typedef struct sim_plan {
    double charge_l, charge_pct; /* as they truly are */
    double jar_l;
    double last_pct; /* jars are taken until the spout has fallen to it */
    double power_w, pressure_kpa;
    size_t jars_most;  /* 0: all */
    size_t lost_after; /* behind so many jars this goes unlogged, in jars */
    double lost_jars;
    size_t pause_after; /* behind so many jars the heat is off for so long */
    double pause_s;
} sim_plan;

/* A run as it truly was, and as it was written down. Litres are those of the jug. */
typedef struct sim_run {
    jl_learning_run logged;
    jl_learning_jar jars[SIMULATED_JARS_MOST];
    double true_pct[SIMULATED_JARS_MOST];
    double true_s[SIMULATED_JARS_MOST], heat_j[SIMULATED_JARS_MOST]; /* behind each jar */
    double share;                                                    /* of this run */
    double so_far_l; /* by the jug's litres, in the jars that were taken */
    double first_drop_s;
    double hearts_l, hearts_pure_l,
        hearts_s; /* from the first drop to 60 % vol at the spout; the moment of that */
    double stop_l, stop_pure_l, stop_s; /* to 20 % */
    double so_far_pure_l, so_far_s;
    double next_pct; /* true strength of a jar more */
} sim_run;

/* Runs a still and writes it down. */
void sim_run_still(const sim_still *still, const sim_plan *plan, const sim_bench *bench,
                   gsl_rng *rng, sim_run *run);

#endif
