/* Jars into a log, with messages: for the one line and for the prompt.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_RECORD_WRITE_H
#define JARLINE_RECORD_WRITE_H

#include "jarline.h"

/* What an entry would be as a jar; number: 0, or of the jar that it corrects. Returns the exit
 * status, or 0, as the following ones do. */
int jar_of_entry(const jl_run *run, uint32_t number, const jl_entry *entry, jl_jar *jar);

/* Holds the log and reads it: nobody else can then write what would make the answer wrong. */
int open_log(const char *path, jl_run **run);

/* Writes one jar, the last one then of *run: the log with the change, to be freed. So below. */
int write_jar(const char *path, const jl_entry *entry, jl_run **run);

/* Changes a jar's figures. */
int write_corrected(const char *path, uint32_t number, const jl_entry *entry, jl_run **run);

/* Takes the newest jar back, whose number *number then is. known: the only one that is meant; 0: any. */
int write_undone(const char *path, uint32_t known, jl_run **run, uint32_t *number);

/* States what is left in the boiler. */
int write_left(const char *path, const jl_left *left, jl_run **run);

#endif
