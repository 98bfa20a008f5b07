/* Jars into a log, with messages: for the one line and for the prompt.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_RECORD_WRITE_H
#define JARLINE_RECORD_WRITE_H

#include "jarline.h"

/* Holds the log and reads it: nobody else can then write what would make the answer wrong. */
int open_log(const char *path, jl_run **run);

/* Writes one jar, whose name *name then is. *run: the log with the change, to be freed. So below. */
int write_jar(const char *path, const jl_entry *entry, jl_run **run, char name[JL_JAR_NAME_BYTES]);

/* Changes a jar's figures, or puts in one that was forgotten. */
int write_corrected(const char *path, const char *name, const jl_entry *entry, jl_run **run,
                    bool *added);

/* Takes a jar back; wanted: NULL for the one that was written last. *name then is its name. */
int write_undone(const char *path, const char *wanted, jl_run **run, char name[JL_JAR_NAME_BYTES]);

/* Adds a fact at the end of the log. */
int write_fact(const char *path, const jl_fact_entry *fact, jl_run **run);

/* States the charge anew, and with it the run that is expected. */
int write_run_charge(const char *path, const char *word, const char *bench, jl_run **run);

/* States what is left in the boiler. */
int write_left(const char *path, const jl_left *left, jl_run **run);

#endif
