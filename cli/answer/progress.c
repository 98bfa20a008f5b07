/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/progress.h"

#include <stdio.h>
#include <unistd.h>

void progress_begin(progress *p) {
    *p = (progress){.percent = -1};
    clock_gettime(CLOCK_MONOTONIC, &p->begun);
}

static double since_s(const progress *p) {
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)(now.tv_sec - p->begun.tv_sec) + 1e-9 * (double)(now.tv_nsec - p->begun.tv_nsec);
}

bool progress_step(double done, void *with) {
    progress *p = with;
    int percent = (int)(100 * done);
    if (percent == p->percent || since_s(p) < 1 || !isatty(STDERR_FILENO)) return true;
    fprintf(stderr, "\r%3d %% done", percent);
    fflush(stderr);
    p->percent = percent;
    p->shown = true;
    return true;
}

void progress_end(progress *p) {
    if (p->shown) fputs("\r          \r", stderr);
    p->shown = false;
}
