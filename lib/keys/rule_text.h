/* Reflux schedules as text, the same in options and files; jarline.h has the rules for cuts.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_RULE_TEXT_H
#define JL_RULE_TEXT_H

#include "jarline.h"

enum { JL_STEPS_MOST = 16, JL_SCHEDULE_BYTES = 32 * JL_STEPS_MOST };

/* Where a rule ends that can lie anywhere from 0 on; not of JL_CUT_NEVER. */
double jl_cut_most(jl_cut_by by);

/* "3@1h,5@2L,1@82C": reflux and from when on. The same, with room for JL_STEPS_MOST. */
jl_status jl_schedule_read(const char *text, jl_reflux_step *steps, size_t *count, jl_fault *fault);
void jl_schedule_write(const jl_reflux_step *steps, size_t count, char text[JL_SCHEDULE_BYTES]);

#endif
