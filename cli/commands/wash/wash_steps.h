/* The waits of a wash before the still.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_WASH_STEPS_H
#define JARLINE_WASH_STEPS_H

#include "commands/wash/wash_log.h"

/* How long a wait usually takes; NaN for a step of one's own. Common practice, no source. */
double usual_wait_s(const char *step);

/* What is done, what runs until when, and what usually comes before the charge. */
void wash_steps_show(show *s, const wash_log *log);

/* "2026-09-20 08:00", in the moment's own offset. */
enum { MOMENT_BYTES = 32 };
void write_moment(jl_time time, char text[MOMENT_BYTES]);

#endif
