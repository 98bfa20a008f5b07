/* What may be wrong with a run.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Each cause is a hypothesis whose evidence has a closed form at every node of what the still may
 * be, so that all are weighed on the paths of one look. */
#ifndef JL_DIAGNOSE_H
#define JL_DIAGNOSE_H

#include "learn/nodes.h"

/* As jl_run_diagnose, from the points of the still, which are weighed by it.
 * Errors: JL_MEMORY, JL_NUMERIC */
jl_status jl_look_diagnose(jl_look *look, const jl_learnt_still *still,
                           const jl_learning_widths *widths, jl_node *nodes, size_t count,
                           jl_diagnosis *diagnosis);

#endif
