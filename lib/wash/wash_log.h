/* What a wash log knows of its steps beside what jarline.h shows of it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_WASH_LOG_H
#define JL_WASH_LOG_H

#include "jarline.h"
#include "text/timestamp.h"

/* How long a step usually waits; 0 where it takes no time, NaN where nothing is usual. */
double jl_wash_usual_wait_s(const char *step);

/* The steps that have a usual wait, or none, by their place; NULL: behind the last. */
const char *jl_wash_known_step(size_t at);

/* Whether a gravity, or a temperature, is what follows another of a wash; else it may be a slip of
 * the pen. days: between the two; NaN: not known. */
bool jl_wash_sg_follows(double before_sg, double sg, double days);
bool jl_wash_temp_follows(double before_c, double temp_c);

/* The highest gravity that can follow the log's: a slip above the highest that it has, raised by what went in
 * after it, and above what went in. NaN: any, as nothing is known of what the wash began with. */
double jl_wash_log_most_sg(const jl_wash_log *log);

/* The first gravity that lies above what was in by then: more went in than the log says, and what went in
 * is no way to a strength. NULL: none. *most_sg: what that comes to, 1.000 where it is nothing.
 * volume_l: of the wash; NaN: as the log states it */
const jl_wash_reading *jl_wash_log_unaccounted(const jl_wash_log *log, double volume_l,
                                               double *most_sg);

/* Up to what a gravity may have risen by now with all that went in after it; NaN: the volume is not known.
 * Its own where nothing did. */
double jl_wash_log_raised_sg(const jl_wash_log *log, const jl_wash_reading *reading);

/* Whether a reading, by its place, lies above the one before it and what went in between. */
bool jl_wash_log_rises(const jl_wash_log *log, size_t at);

/* The gravities that lie above all that could follow those before them: none of the readings. */
const jl_wash_reading *jl_wash_log_left_out(const jl_wash_log *log, size_t *count);

/* What the log adds to every temperature, as its thermometer's certificate says. */
double jl_wash_log_correction_c(const jl_wash_log *log);

/* Whether the last step was begun while an earlier one of its name still waited; *until: when that ends. */
bool jl_wash_log_waits_twice(const jl_wash_log *log, jl_time *until);

/* Marks the last row as undone, which nobody reads then; it stays in the file. text: what the row says.
 *
 * Errors: JL_MISSING (there is none), as jl_wash_log_write */
enum { JL_WASH_ROW_BYTES = 120 };
jl_status jl_wash_log_undo(jl_wash_log *log, char text[JL_WASH_ROW_BYTES], jl_fault *fault);

/* The last gravity of which the time is known; NULL: there is none. */
const jl_wash_reading *jl_wash_log_last_dated(const jl_wash_log *log);

/* Of its last row that has a time. False: there is none. */
bool jl_wash_log_last_time(const jl_wash_log *log, jl_time *time);

/* The times of its rows that were typed by hand. */
const jl_typed_times *jl_wash_log_typed_times(const jl_wash_log *log);

#endif
