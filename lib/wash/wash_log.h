/* What a wash log knows of its steps beside what jarline.h shows of it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_WASH_LOG_H
#define JL_WASH_LOG_H

#include "jarline.h"
#include "text/timestamp.h"

/* How long a step usually waits; 0 where it takes no time, NaN where nothing is usual. */
double jl_wash_usual_wait_s(const char *step);

/* Whether a gravity, or a temperature, is what follows another of a wash; else it may be a slip of
 * the pen. */
bool jl_wash_sg_follows(double before_sg, double sg);
bool jl_wash_temp_follows(double before_c, double temp_c);

/* The last gravity of which the time is known; NULL: there is none. */
const jl_wash_reading *jl_wash_log_last_dated(const jl_wash_log *log);

/* Of its last row that has a time. False: there is none. */
bool jl_wash_log_last_time(const jl_wash_log *log, jl_time *time);

/* The times of its rows that were typed by hand. */
const jl_typed_times *jl_wash_log_typed_times(const jl_wash_log *log);

#endif
