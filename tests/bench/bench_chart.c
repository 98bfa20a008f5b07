/* A chart of four times the jars, against four times the time: both as whole processes.
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
    /* What is left says that the run is over: nothing is to come of any of them. */
    fputs("#jarline,1\n#charge_l,20\n#charge_strength_pct,25\n#left_l,10\n#left_strength_pct,1\n",
          log);
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
    char *argv[] = {j->command, "chart", j->log, "-o", j->picture, "--force", "-q", NULL};
    if (posix_spawn(&child, j->command, NULL, NULL, argv, environ) != 0 ||
        waitpid(child, &status, 0) != child || status != 0)
        j->failed = true;
}

static void prepare(job *j, char *command, const char *folder, int jars) {
    *j = (job){.command = command};
    snprintf(j->log, sizeof j->log, "%s/%d.csv", folder, jars);
    snprintf(j->picture, sizeof j->picture, "%s/%d.svg", folder, jars);
    write_log(j->log, jars);
}

int main(int argc, char **argv) {
    enum { ONE, FEW, MANY, SIZES, ROUNDS = 31, TIMES = 4 };
    static const int JARS[SIZES] = {1, 10000 / TIMES, 10000};
    char in_memory[] = "/dev/shm/jarline-bench-XXXXXX", on_disk[] = "/tmp/jarline-bench-XXXXXX";
    job jobs[SIZES];
    double least_s[SIZES] = {1e300, 1e300, 1e300};
    bool failed = false;
    if (argc != 2) return 2;
    char *folder = mkdtemp(in_memory); /* where fsync takes no time of its own */
    if (folder == NULL) folder = mkdtemp(on_disk);
    if (folder == NULL) return 2;
    for (int i = 0; i < SIZES; i++) prepare(&jobs[i], argv[1], folder, JARS[i]);
    for (int round = 0; round < ROUNDS; round++) /* in turn: a busy machine is so for all */
        for (int i = 0; i < SIZES; i++) {
            double taken_s = bench_least_s(run, &jobs[i], 1);
            if (taken_s < least_s[i]) least_s[i] = taken_s;
        }
    for (int i = 0; i < SIZES; i++) {
        failed = failed || jobs[i].failed;
        unlink(jobs[i].log);
        unlink(jobs[i].picture);
    }
    rmdir(folder);
    if (failed) return fprintf(stderr, "jarline chart fails\n"), 1;
    double few_s = TIMES * (least_s[FEW] - least_s[ONE]), many_s = least_s[MANY] - least_s[ONE];
    return bench_row("chart of 10000 jars (floor: 4 x 2500 jars)", many_s * 1e3, few_s * 1e3, "ms",
                     many_s / few_s, "<= 1.5", many_s <= 1.5 * few_s);
}
