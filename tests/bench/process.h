/* A command as a whole process: its time and its peak memory.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_PROCESS_H
#define JARLINE_PROCESS_H

#include "bench.h"

#include <fcntl.h>
#include <spawn.h>
#include <sys/resource.h>
#include <sys/wait.h>

extern char **environ;

typedef struct process {
    char **argv;
    long peak_kib; /* the most of any run */
    bool failed;   /* any run */
} process;

/* Runs a process with its output to nowhere; a work for bench_least_s. */
static inline void process_run(void *with) {
    process *p = with;
    pid_t child;
    int status = -1;
    struct rusage usage = {0};
    posix_spawn_file_actions_t quiet;
    posix_spawn_file_actions_init(&quiet);
    posix_spawn_file_actions_addopen(&quiet, 1, "/dev/null", O_WRONLY, 0);
    if (posix_spawn(&child, p->argv[0], &quiet, NULL, p->argv, environ) != 0)
        p->failed = true;
    else if (wait4(child, &status, 0, &usage) != child || status != 0)
        p->failed = true;
    if (usage.ru_maxrss > p->peak_kib) p->peak_kib = usage.ru_maxrss;
    posix_spawn_file_actions_destroy(&quiet);
}

static inline double process_peak_mib(const process *p) {
    return (double)p->peak_kib / 1024;
}

#endif
