/* A log named on the command line: read into its record, its faults said.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_LOGFILE_H
#define JARLINE_LOGFILE_H

#include "book/book_file.h"
#include "jarline.h"

/* Returns 0 when no two paths lead to the same log, which would count twice; otherwise the exit status,
 * after saying which. */
int logfiles_differ(const char *const *paths, size_t count);

/* The paths but for those of files of other kinds, which are named in one line; *count is of those that
 * are left. alone: a path that is the only one is tried all the same. To be freed. */
const char **run_logs_of(const char *const *paths, size_t *count, bool alone);

/* What messages call it: "-" is "standard input". */
const char *log_name(const char *path);

/* The colon behind the longest beginning of text that is a file, whose *path the caller frees; NULL:
 * none is. */
const char *colon_behind_file(const char *text, char **path);

/* The name of a file without its folder. */
const char *base_name(const char *path);

/* What a table with room for so many columns calls a log: its title, or its file where that fits and the
 * title does not. */
const char *log_called(const char *path, const jl_run *run, int room);

/* The whole record of a log. path: a file, or "-" for standard input. Returns the exit status, or 0;
 * what is wrong has then been said. A log without any jar is no fault. */
int run_read_log(const char *path, jl_run **run);

/* The same; a log without any jar is a fault, and a torn last row a warning. */
int run_read_jars(const char *path, jl_run **run);

/* A wash's log with the hydrometer that it was read with; path as above. Returns the exit status, or
 * 0. */
int wash_read_log(const char *path, const jl_hydrometer *hydrometer, jl_wash_log **log);

/* The book of the house. The same. */
int book_open_to_read(const char *path, jl_book_file **f);

/* Says in the answer how times that were typed by hand were read; those above do so. */
void assume_typed_times(const char *path, const jl_typed_times *typed);

/* The same of a run, whose units people see from now on; those above do so. */
void answer_by_log(const char *path, const jl_run *run);

/* A warning where the last row was left out, in that line; 0: none was. */
void say_torn(const char *path, size_t line);

#endif
