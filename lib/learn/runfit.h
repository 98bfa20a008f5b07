/* One fit of some runs of a still.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_RUNFIT_H
#define JL_RUNFIT_H

#include "learn/course.h"
#include "uncertainty/fit.h"

/* The unknowns: three of the still, one of the alcoholometer, two of each run's charge. */
enum {
    JL_STAGES,
    JL_REFLUX,
    JL_EFFICIENCY,
    JL_READING,
    JL_OF_STILL,
    JL_CHARGE_SHARE = 0,
    JL_CHARGE_PCT,
    JL_OF_RUN
};

/* Runs at one pressure share a path. */
typedef struct jl_air {
    double pressure_kpa;
    jl_table table;
    jl_path *path, *moved; /* at the last parameters, and at one that differs */
} jl_air;

typedef struct jl_learning {
    const jl_logged_run *runs;
    const size_t *which; /* the runs that have a part, by place */
    size_t count;
    const jl_common_uncertainty *uncertainty;
    jl_air *airs;
    size_t air_count;
    double x_top;
    double stages, reflux; /* for which the paths stand */
    double efficiency;     /* as it was guessed */
    jl_progress *progress;
    void *progress_with;
    size_t steps; /* looks at all residuals so far */
} jl_learning;

/* Tables for the pressures of count runs; airs has room for as many. */
jl_status jl_open_airs(jl_learning *l, size_t count);
void jl_close_airs(jl_learning *l);
jl_air *jl_air_of(const jl_learning *l, const jl_logged_run *run);
jl_status jl_draw_paths(jl_learning *l, double stages, double reflux_share, bool moved);

/* A jl_residuals of a learning: for each run its strengths, then its moments. */
jl_status jl_learning_residuals(const double *p, int changed, double *rows, void *with);
size_t jl_run_rows(const jl_logged_run *run);
void jl_learning_parameters(const jl_learning *l, const jl_still_guess *guess, jl_parameter *p);

/* Fits the runs that have a part. The results stay in *fitted, which the caller frees when this
 * returns JL_OK. */
jl_status jl_fit_runs(jl_learning *l, const jl_still_guess *guess, jl_fitted *fitted);

/* Measured figures of a run: strengths, and moments less the one they count from. */
size_t jl_run_figures(const jl_logged_run *run);

/* Squares of one run, with what its charge departs from what was said of it. */
double jl_run_squares(const jl_learning *l, const jl_fitted *f, size_t i);

/* Measured figures of all runs that have a part, less what was sought of the still. */
size_t jl_fit_freedom(const jl_learning *l, const jl_fitted *f);

#endif
