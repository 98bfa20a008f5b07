/* A generated year of 300 runs, 15,000 jars, through the commands that look at many logs, each as a
 * whole process; the floor reads the same files, with cat.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * bench_year JARLINE */
#include "process.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { RUNS = 300, JARS = 50, PATH_MOST = 64, WORDS = RUNS + 8 };

typedef struct year {
    char *jarline, folder[32];
    char logs[RUNS][PATH_MOST];
    long peak_kib;
    bool failed;
} year;

static const char *fraction_of(int jar) {
    return jar == 1 ? "foreshots" : jar <= 4 ? "heads" : jar <= 30 ? "hearts" : "tails";
}

/* A run of a morning: ten minutes a jar, weaker as it goes, no two runs alike. */
static bool write_run(const char *path, int run) {
    FILE *log = fopen(path, "w");
    if (log == NULL) return false;
    int day = 1 + run % 25, month = 1 + run / 25;
    double charged = 28 + run % 7 * 0.5, first = 76 + run % 5;
    fprintf(log, "#jarline,1\n#title,Run %d (generated)\n#started,2026-%02d-%02dT06:30:00+00:00\n",
            run + 1, month, day);
    fprintf(log, "#charge_l,20\n#charge_strength_pct,%.1f\n#power_w,2000\n", charged);
    fputs("jar,time,volume_ml,reading_pct,temp_c,head_c,fraction,note\n", log);
    for (int jar = 1; jar <= JARS; jar++) {
        double done = jar / (double)JARS;
        fprintf(log, "%d,2026-%02d-%02dT%02d:%02d:00+00:00,205,%.1f,%.1f,%.1f,%s,%s\n", jar, month,
                day, 7 + jar / 6, jar % 6 * 10, first - 64 * done * done, 18 + run % 9 * 0.5,
                79 + 19 * done, fraction_of(jar), jar == 4 ? "clean" : "");
    }
    return fclose(log) == 0;
}

/* One call with options first and logs after. */
static void call(year *y, char *const options[], int first_log, int logs) {
    char *argv[WORDS] = {0};
    int words = 0;
    for (; options[words] != NULL; words++) argv[words] = options[words];
    for (int i = 0; i < logs; i++) argv[words + i] = y->logs[first_log + i];
    process p = {.argv = argv};
    process_run(&p);
    if (p.failed) fprintf(stderr, "%s %s fails\n", argv[0], argv[1]);
    if (p.peak_kib > y->peak_kib) y->peak_kib = p.peak_kib;
    y->failed = y->failed || p.failed;
}

static void read_all(void *with) {
    call(with, (char *[]){"/bin/cat", NULL}, 0, RUNS);
}

static void read_each(void *with) {
    for (int i = 0; i < RUNS; i++) call(with, (char *[]){"/bin/cat", NULL}, i, 1);
}

static void tally(void *with) {
    year *y = with;
    call(y, (char *[]){y->jarline, "tally", NULL}, 0, RUNS);
}

static void history(void *with) {
    year *y = with;
    call(y, (char *[]){y->jarline, "history", NULL}, 0, RUNS);
}

static void chart(void *with) {
    year *y = with;
    char picture[PATH_MOST];
    snprintf(picture, sizeof picture, "%s/run.svg", y->folder);
    for (int i = 0; i < RUNS; i++)
        call(y, (char *[]){y->jarline, "chart", "--force", "-o", picture, NULL}, i, 1);
    unlink(picture);
}

/* Every other time another cut, so that each call writes its log anew. */
static void cut(void *with) {
    static int round;
    year *y = with;
    char *hearts = round++ % 2 == 0 ? "5-28" : "5-30", *tails = round % 2 == 0 ? "31-" : "29-";
    for (int i = 0; i < RUNS; i++)
        call(y, (char *[]){y->jarline, "cut", "--hearts", hearts, "--tails", tails, "--save", NULL},
             i, 1);
}

static int row(const char *figure, year *y, void (*ours)(void *), void (*floor_of)(void *),
               double most, double bar_mib) {
    char bar[32];
    y->peak_kib = 0;
    double floor_s = bench_least_s(floor_of, y, 3), floor_mib = (double)y->peak_kib / 1024;
    y->peak_kib = 0;
    double ours_s = bench_least_s(ours, y, 3), mib = (double)y->peak_kib / 1024;
    snprintf(bar, sizeof bar, "<= %g x", most);
    int worst = bench_row(figure, ours_s * 1e3, floor_s * 1e3, "ms", ours_s / floor_s, bar,
                          ours_s / floor_s <= most);
    snprintf(bar, sizeof bar, "< %g MiB", bar_mib);
    return worst |
           bench_row("  peak memory", mib, floor_mib, "Mi", mib / floor_mib, bar, mib < bar_mib);
}

int main(int argc, char **argv) {
    static year y;
    if (argc != 2) return 2;
    y.jarline = argv[1];
    strcpy(y.folder, "/dev/shm/jarline-year-XXXXXX"); /* where fsync takes no time of its own */
    if (mkdtemp(y.folder) == NULL && mkdtemp(strcpy(y.folder, "/tmp/jarline-year-XXXXXX")) == NULL)
        return 2;
    for (int i = 0; i < RUNS; i++) {
        snprintf(y.logs[i], PATH_MOST, "%s/%03d.csv", y.folder, i + 1);
        y.failed = y.failed || !write_run(y.logs[i], i);
    }
    /* The bars have no outside reason: they guard against change. A row of tally has the uncertainty
     * of its run's balance, 300 inputs each: 26 x on two cores. The others only read what stands
     * there: history 4.7 to 5.1 x. */
    int worst = row("a year of 300 runs: tally (floor: cat)", &y, tally, read_all, 40, 16);
    worst |= row("a year of 300 runs: history (floor: cat)", &y, history, read_all, 6, 16);
    worst |= row("  chart, each run (floor: cat)", &y, chart, read_each, 30, 16);
    worst |= row("  cut --save, each run (floor: cat)", &y, cut, read_each, 5, 16);
    for (int i = 0; i < RUNS; i++) unlink(y.logs[i]);
    rmdir(y.folder);
    return y.failed ? 1 : worst;
}
