/* A recorded jar and the run so far, on a screen.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_RECORD_SHOW_H
#define JARLINE_RECORD_SHOW_H

#include "answer/show.h"
#include "jarline.h"

/* The jar before one of the run's, or its last where jar is NULL; NULL: none. */
const jl_jar *jar_before(const jl_run *run, const jl_jar *jar);

/* What was written down, in the units of the log: "250 mL, 66.5 % at 20 °C, head 89.7 °C". */
void write_figures(const jl_run *run, const jl_jar *jar, char *text, size_t size);

/* The run so far: sums, what the forecast has still to come. */
void show_run_so_far(show *s, const jl_run *run);

/* Some jars as a table: from one place, from 0, up to another. */
void show_table_of_jars(show *s, const jl_run *run, size_t from, size_t to);

/* A jar and what was done with it, in three lines: its strength and the sums so far, the next event on
 * the clock, a warning where it or an earlier one does not fit; for programs all figures. jar: NULL
 * where it no longer counts. timed: its moment was typed, and is shown. */
bool show_jar_done(show *s, const jl_run *run, const jl_jar *jar, const char *name,
                   const char *deed, bool timed);

/* What of a jar does not fit, as warnings that say how it is corrected. Returns how many. */
size_t note_slips(show *s, const jl_run *run, const jl_jar *jar);

/* Which jars the rules would make which fraction. */
void show_cut_by_rules(show *s, const jl_run *run);

/* The next command: of a strip run all low wines of its still since the last run with cuts, by the logs
 * beside it; else as show_next_after_run. */
void show_next_of_run(show *s, const char *path, const jl_run *run);

/* What is left in the boiler, as it was written. */
void show_left_done(show *s, const char *path, const jl_run *run, const jl_left *left);

#endif
