/* What a record of a run has beside what jarline.h shows of it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_RUN_H
#define JL_RUN_H

#include "keys/settings.h"
#include "text/timestamp.h"
#include "uncertainty/readings.h"

/* Nobody fills a jar for longer than a day: common practice, no source. */
#define JL_JAR_LONGEST_S 86400.0

/* Nor in less than a minute: such jars were typed one behind the other. Common practice, no source. */
#define JL_JAR_SHORTEST_S 60.0

/* A jar of less is in another unit, or nearly nothing. Common practice, no source. */
#define JL_JAR_SMALL_L 0.005

/* The jars that count, in the order of their numbers: the first of them, and how many. */
const jl_jar *jl_run_jars(const jl_run *run, size_t *count);

/* The jar whose row was written last: a forgotten one stands elsewhere. NULL: there is none. */
const jl_jar *jl_run_last_written(const jl_run *run);

/* Whether a jar has a volume, which counts, and a weight that comes to another; *weighed_l: that. */
bool jl_run_amounts_differ(const jl_run *run, const jl_jar *jar, double *weighed_l);

/* What was expected beyond its jars: volume and pure alcohol at 20 °C. False where nothing is, or the
 * run has ended. */
bool jl_run_to_come(const jl_run *run, double *volume_l, double *pure_l);

/* Whether the log says that the run went on after a stop between two moments; *when: the last time. */
bool jl_run_resumed(const jl_run *run, jl_time from, jl_time to, jl_time *when);

/* Whether a jar has all figures of the one before it, and its moment to the minute. */
bool jl_run_same_jar(const jl_jar *before, const jl_jar *jar);

/* The columns that its header has. */
const struct jl_columns *jl_run_columns(const jl_run *run);

/* By what the charge's volume was measured: a vessel of its own unless the log says the jug or the
 * scale. */
jl_instrument jl_run_charge_by(const jl_run *run);

/* Of a jar that is known by the running spout alone: the standard uncertainty of its mean beside what
 * the instrument's own error gives to all, % vol; NaN: another jar. Two readings a jar, each to half a
 * division of the bench's alcoholometer: common practice, no source. */
double jl_jar_spout_u_pct(const jl_jar *jar, const jl_instruments *by);

/* The start and the times of jars that were typed by hand. */
const jl_typed_times *jl_run_typed_times(const jl_run *run);

/* Pure alcohol of all that was expected; NaN: nothing was. */
double jl_run_expected_pure_l(const jl_run *run);

#endif
