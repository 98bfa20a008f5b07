/* A run log read for a picture or a page.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_RUN_READ_H
#define JARLINE_RUN_READ_H

#include "input/logfile.h"
#include "picture/run_picture.h"

/* A jar as it was written down. */
typedef struct run_row {
    jl_jar jar; /* without its note */
    char *note; /* NULL: none */
} run_row;

typedef struct run_record {
    run_picture picture;
    logfile file; /* open, read to its end: its facts and its instrument */
    jl_tally tally;
    jl_recovery recovery;
    run_row *rows; /* as many as the picture has jars; NULL when they were not asked for */
    size_t room;
} run_record;

/* path: "-" is standard input. rows: keep the jars as written. A torn last row is said on standard
 * error. Returns the exit status, or 0; free the record only then. */
int run_read(const char *path, bool rows, run_record *r);
void run_free(run_record *r);

#endif
