/* One row of the benchmark table: a figure, its floor measured in the same run, their ratio, the
 * bar.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_BENCH_H
#define JARLINE_BENCH_H

#include <malloc.h>
#include <stdbool.h>
#include <stdio.h>
#include <time.h>

static inline double bench_now_s(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* What is freed is kept for the next round: what a page costs when it is first touched is the machine's,
 * and differs fortyfold between them. */
__attribute__((constructor)) static inline void bench_keep_memory(void) {
    mallopt(M_MMAP_MAX, 0);
    mallopt(M_TRIM_THRESHOLD, -1);
}

/* The least of some rounds: what disturbs a round only adds to it. */
static inline double bench_least_s(void (*work)(void *), void *with, int rounds) {
    double least = 1e300;
    for (int i = 0; i < rounds; i++) {
        double begin = bench_now_s();
        work(with);
        double taken = bench_now_s() - begin;
        if (taken < least) least = taken;
    }
    return least;
}

/* The same in time of the processor: a busy machine makes it no longer, but its memory is shared. */
static inline double bench_least_processor_s(void (*work)(void *), void *with, int rounds) {
    double least = 1e300;
    for (int i = 0; i < rounds; i++) {
        clock_t begin = clock();
        work(with);
        double taken = (double)(clock() - begin) / CLOCKS_PER_SEC;
        if (taken < least) least = taken;
    }
    return least;
}

/* bar: how the ratio is judged, as "<= 1.6". met: whether it is. Returns the exit status. */
static inline int bench_row(const char *figure, double measured, double floor_value,
                            const char *unit, double ratio, const char *bar, bool met) {
    printf("%-46s %9.4g %-2s %9.4g %-2s %8.2f  %s %s\n", figure, measured, unit, floor_value, unit,
           ratio, bar, met ? "met" : "NOT MET");
    return met ? 0 : 1;
}

#endif
