/* What may be wrong with a run.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Each cause is a hypothesis whose evidence has a closed form at every node of what the still may
 * be, so that all are weighed on the paths of one look. */
#ifndef JL_DIAGNOSE_H
#define JL_DIAGNOSE_H

#include "learn/nodes.h"

/* As jl_run_diagnose, from the points of the still, which are weighed by it. unknown, others: room for a
 * still of which nothing is known and its points; weighed, where the run might be another still's, else
 * none. Errors: JL_MEMORY, JL_NUMERIC */
jl_status jl_look_diagnose(jl_look *look, const jl_points *points, jl_learnt_still *unknown,
                           jl_points *others, jl_diagnosis *diagnosis);

#endif
