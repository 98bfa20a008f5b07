/* Rules for cuts, and reflux schedules, as text: the same in options and files.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_CUTS_H
#define JL_CUTS_H

#include "jarline.h"

enum { JL_CUT_BYTES = 40, JL_STEPS_MOST = 16, JL_SCHEDULE_BYTES = 32 * JL_STEPS_MOST };

/* "100ml", "2% of charge", "5% of alcohol", "none"; and unless amount_only "60%", "120proof", "92C
 * head", "96C boiler".
 *
 * Returned: *cut; *fault (may be NULL): the text and what was expected
 * Errors:   those of jl_quantity_read */
jl_status jl_cut_read(const char *text, bool amount_only, jl_cut *cut, jl_fault *fault);
void jl_cut_write(const jl_cut *cut, char text[JL_CUT_BYTES]);

/* "3@1h,5@2L,1@82C": reflux and from when on. The same, with room for JL_STEPS_MOST. */
jl_status jl_schedule_read(const char *text, jl_reflux_step *steps, size_t *count, jl_fault *fault);
void jl_schedule_write(const jl_reflux_step *steps, size_t count, char text[JL_SCHEDULE_BYTES]);

#endif
