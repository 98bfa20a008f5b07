/* What a writer needs to know of a log that it reads.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_RUNLOG_H
#define JL_RUNLOG_H

#include "run/jarcells.h"

/* Whether the first row is "#jarline,1", so that a last row without a line end is torn. */
bool jl_log_is_ours(const jl_log *log);

/* At the end of the log: whether its last row was left out, and where that row begins. */
bool jl_log_torn_begin(const jl_log *log, uint64_t *begin);

/* Delimiter and columns; valid as long as the log. */
char jl_log_delimiter(const jl_log *log);
const jl_columns *jl_log_columns(const jl_log *log);

/* The row that was read last: the header after jl_log_open, then that of each jar. Its cells are
 * valid until the next call. */
const jl_row *jl_log_row(const jl_log *log);

/* The highest jar number so far, jars that were undone included; 0 when there is none. */
uint32_t jl_log_highest(const jl_log *log);

/* What the facts state of the instrument. Errors as jl_facts_quantity but JL_MISSING. */
jl_status jl_instrument_read(const jl_facts *facts, jl_alcoholometer *instrument, jl_fault *fault);

/* How far apart a reading and a strength of one liquid may be, % vol at 20 °C. */
#define JL_SAME_STRENGTH_PCT 0.2

#endif
