/* A command as a whole process, against /bin/true: time and peak memory.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * bench_process FIGURE BAR_MS BAR_MIB COMMAND [ARGUMENT ...]; 0: the time, or the memory, is not judged. */
#include "process.h"

#include <stdlib.h>

int main(int argc, char **argv) {
    enum { ROUNDS = 41 };
    if (argc < 5) return 2;
    char *nothing[] = {"/bin/true", NULL};
    process floor_job = {nothing, 0, false}, ours = {argv + 4, 0, false};
    double floor_s = bench_least_s(process_run, &floor_job, ROUNDS);
    double ours_s = bench_least_s(process_run, &ours, ROUNDS);
    if (floor_job.failed || ours.failed) return fprintf(stderr, "%s fails\n", argv[4]), 1;
    double bar_ms = strtod(argv[2], NULL), bar_mib = strtod(argv[3], NULL);
    double more_ms = (ours_s - floor_s) * 1e3, peak_mib = process_peak_mib(&ours);
    char bar[48];
    snprintf(bar, sizeof bar, "<= %g ms more", bar_ms);
    int worst = bar_ms <= 0 ? 0
                            : bench_row(argv[1], ours_s * 1e3, floor_s * 1e3, "ms",
                                        ours_s / floor_s, bar, more_ms <= bar_ms);
    if (bar_mib <= 0) return worst;
    const char *figure = bar_ms > 0 ? "  peak memory" : argv[1];
    snprintf(bar, sizeof bar, "< %g MiB", bar_mib);
    return worst | bench_row(figure, peak_mib, process_peak_mib(&floor_job), "Mi",
                             (double)ours.peak_kib / (double)floor_job.peak_kib, bar,
                             peak_mib < bar_mib);
}
