/* A chart of ten times the jars, against ten times the time: both as whole processes.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * bench_chart JARLINE */
#include "bench.h"

#include <fcntl.h>
#include <spawn.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <unistd.h>

extern char **environ;

typedef struct job {
    char *command, log[64], picture[64];
    bool failed;
} job;

static void write_log(const char *path, int jars) {
    FILE *log = fopen(path, "w");
    if (log == NULL) return;
    fputs("#jarline,1\n#charge_l,20\n#charge_strength_pct,25\n", log);
    fputs("jar,volume_ml,reading_pct,temp_c,head_c,fraction\n", log);
    for (int i = 0; i < jars; i++) {
        double done = i / (double)jars;
        fprintf(log, "%d,%.3f,%.1f,22.0,%.1f,%s\n", i + 1, 8000.0 / jars, 80 - 60 * done * done,
                84 + 14 * done, i % 2 == 0 ? "hearts" : "tails"); /* as many bands as jars */
    }
    fclose(log);
}

static void run(void *with) {
    job *j = with;
    pid_t child;
    int status = -1;
    char *argv[] = {j->command, "chart", j->log, "-o", j->picture, "--force", NULL};
    if (posix_spawn(&child, j->command, NULL, NULL, argv, environ) != 0 ||
        waitpid(child, &status, 0) != child || status != 0)
        j->failed = true;
}

static double time_of(char *command, const char *folder, int jars, bool *failed) {
    job j = {.command = command};
    snprintf(j.log, sizeof j.log, "%s/%d.csv", folder, jars);
    snprintf(j.picture, sizeof j.picture, "%s/%d.svg", folder, jars);
    write_log(j.log, jars);
    double least_s = bench_least_s(run, &j, 21);
    unlink(j.log);
    unlink(j.picture);
    *failed = *failed || j.failed;
    return least_s;
}

int main(int argc, char **argv) {
    char in_memory[] = "/dev/shm/jarline-bench-XXXXXX", on_disk[] = "/tmp/jarline-bench-XXXXXX";
    bool failed = false;
    if (argc != 2) return 2;
    char *folder = mkdtemp(in_memory); /* where fsync takes no time of its own */
    if (folder == NULL) folder = mkdtemp(on_disk);
    if (folder == NULL) return 2;
    double one_s = time_of(argv[1], folder, 1, &failed);
    double few_s = time_of(argv[1], folder, 1000, &failed) - one_s;
    double many_s = time_of(argv[1], folder, 10000, &failed) - one_s;
    rmdir(folder);
    if (failed) return fprintf(stderr, "jarline chart fails\n"), 1;
    bench_head();
    return bench_row("chart of 10000 jars (floor: 10 x 1000 jars)", many_s * 1e3, 10 * few_s * 1e3,
                     "ms", many_s / (10 * few_s), "<= 1.5", many_s <= 15 * few_s);
}
