/* The rest of a run, forecast from its jars so far.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_AHEAD_H
#define JL_AHEAD_H

#include "learn/nodes.h"

/* A run until its hearts end and it stops, within what jl_run_ahead takes; its jars are still to be
 * planned. */
jl_ahead_plan jl_ahead_to(const jl_spout_end *hearts_end, const jl_spout_end *stop);

/* Errors: JL_RANGE */
jl_status jl_ahead_check(const jl_learning_run *run, const jl_learnt_still *still,
                         const jl_learning_widths *widths, const jl_ahead_plan *plan);

/* As jl_run_ahead, from the points of the still, weighed or not; others take their place.
 * Errors: JL_MEMORY, JL_NUMERIC (they leave the run no weight) */
jl_status jl_look_ahead(jl_look *look, const jl_ahead_plan *plan, jl_points *points,
                        jl_estimate *next_pct, jl_ahead *ahead);

#endif
