/* A log named on the command line: opened, read jar by jar, its faults said.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_LOGFILE_H
#define JARLINE_LOGFILE_H

#include "jarline.h"

typedef struct logfile {
    const char *name; /* as messages call it */
    int fd;
    jl_log *log;
    bool may_be_empty; /* set after opening: a log without any jar is no fault */
} logfile;

/* Returns 0 when no two paths lead to the same log, which would count twice; otherwise the exit status,
 * after saying which. */
int logfiles_differ(const char *const *paths, size_t count);

/* path: a file, or "-" for standard input. Returns the exit status, or 0; what is wrong has then been
 * said and nothing has to be closed. */
int logfile_open(logfile *f, const char *path);

/* Returns 0 with a jar, or with *more false at the end; otherwise the exit status, after saying why. A
 * log without any jar is a fault; a torn last row is a warning. */
int logfile_next(logfile *f, jl_jar *jar, bool *more);

/* The whole record of a log; path as above. Returns the exit status, or 0. A log without any jar is no
 * fault. */
int run_read_log(const char *path, jl_run **run);

/* What messages call it: "-" is "standard input". */
const char *log_name(const char *path);

/* Opens any log for reading; path as above. Returns the exit status, or 0. */
int log_open(const char *path, int *fd);

/* A warning where the last row was left out, in that line; 0: none was. */
void say_torn(const char *path, size_t line);

/* A jar as an amount that was measured. */
jl_amount amount_of_jar(const jl_jar *jar);

void logfile_close(logfile *f);

#endif
