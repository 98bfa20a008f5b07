/* How far a work of more than a second is, on a terminal.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_PROGRESS_H
#define JARLINE_PROGRESS_H

#include <stdbool.h>
#include <time.h>

typedef struct progress {
    struct timespec begun;
    bool shown;
    int percent;
} progress;

void progress_begin(progress *p);

/* A jl_progress; with is the progress. It never ends the work. */
bool progress_step(double done, void *with);

/* Takes the line away again. */
void progress_end(progress *p);

#endif
