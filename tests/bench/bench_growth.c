/* Logs of ten thousand to a million jars: each takes ten times as long as the one before, and ten
 * times the memory at the most. So does a charge ten times as large, jar by small jar, and a still
 * learnt from ten times as many logs.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * bench_growth JARLINE */
#include "process.h"

#include <math.h>
#include <stdlib.h>
#include <unistd.h>

static bool write_log(const char *path, long jars) {
    static const char *const fractions[] = {"heads", "hearts", "tails", ""};
    FILE *log = fopen(path, "w");
    if (log == NULL) return false;
    fputs("#jarline,1\n#charge_l,100000000\n#charge_strength_pct,30\n"
          "jar,volume_ml,reading_pct,temp_c,fraction,note\n",
          log);
    for (long i = 0; i < jars; i++)
        fprintf(log, "%ld,500,%ld.%ld,%ld.%ld,%s,\n", i + 1, 20 + i * 7 % 65, i % 10,
                15 + i * 3 % 15, i * 7 % 10, fractions[i % 4]);
    return fclose(log) == 0;
}

/* A call over a log, and over one with a tenth of the jars. */
typedef struct pair {
    process many, few;
    char *many_log, *few_log;
} pair;

/* In turns, so that what disturbs the machine disturbs both. NaN when a log cannot be written. */
static void measure(pair *p, long jars, double *many_s, double *few_s) {
    int rounds = jars <= 100000 ? 15 : jars <= 1000000 ? 5 : 2;
    *many_s = *few_s = NAN;
    p->many.peak_kib = 0;
    if (!write_log(p->many_log, jars) || !write_log(p->few_log, jars / 10)) return;
    for (int i = 0; i < rounds; i++) {
        *many_s = fmin(*many_s, bench_least_s(process_run, &p->many, 1));
        *few_s = fmin(*few_s, bench_least_s(process_run, &p->few, 1));
    }
}

/* To so many jars; the worst status of the rows. */
static int grow(const char *figure, pair *p, long most) {
    int worst = 0;
    double many_s, few_s, one_s, base_mib = 0;
    measure(p, 10, &one_s, &few_s);
    for (long jars = 100000; jars <= most; jars *= 10) {
        char name[64];
        measure(p, jars, &many_s, &few_s);
        if (base_mib == 0) base_mib = process_peak_mib(&p->few);
        double ratio = (many_s - one_s) / (10 * (few_s - one_s)), mib = process_peak_mib(&p->many);
        snprintf(name, sizeof name, "%s of %ld jars (floor: 10 x a tenth)", figure, jars);
        worst |= bench_row(name, (many_s - one_s) * 1e3, 10 * (few_s - one_s) * 1e3, "ms", ratio,
                           "<= 1.5", ratio <= 1.5);
        /* A jar's record, and as much again for its row of the table. */
        worst |= bench_row("  peak memory (floor: of 10000)", mib, base_mib, "Mi", mib / base_mib,
                           "<= 0.75 KiB a jar", (mib - base_mib) * 1024 <= 0.75 * (double)jars);
    }
    return worst;
}

/* Beside a tenth of the work. */
static int beside_a_tenth(const char *figure, char **many, char **few) {
    process large = {.argv = many}, small = {.argv = few};
    double large_s = INFINITY, small_s = INFINITY;
    for (int i = 0; i < 5; i++) {
        large_s = fmin(large_s, bench_least_s(process_run, &large, 1));
        small_s = fmin(small_s, bench_least_s(process_run, &small, 1));
    }
    double ratio = large_s / (10 * small_s);
    if (large.failed || small.failed) return fprintf(stderr, "%s fails\n", figure), 1;
    return bench_row(figure, large_s * 1e3, 10 * small_s * 1e3, "ms", ratio, "<= 1.5",
                     ratio <= 1.5);
}

enum { LOGS = 150 };

static bool write_run(const char *path, int shift) {
    FILE *log = fopen(path, "w");
    if (log == NULL) return false;
    fputs("#charge_l,10\n#charge_strength_pct,30\njar,volume_ml,reading_pct,temp_c\n", log);
    for (int i = 0; i < 8; i++)
        fprintf(log, "%d,400,%d.%d,20\n", i + 1, 77 - 2 * i, (shift + i) % 4);
    return fclose(log) == 0;
}

/* Runs of one still, in a folder of their own. */
static int many_runs(char *jarline) {
    char folder[] = "/tmp/jarline-runs-XXXXXX", paths[LOGS][40];
    char *many[LOGS + 3] = {jarline, "calibrate"}, *few[LOGS / 10 + 3] = {jarline, "calibrate"};
    bool written = mkdtemp(folder) != NULL;
    for (int i = 0; written && i < LOGS; i++) {
        snprintf(paths[i], sizeof paths[i], "%s/%d.csv", folder, i);
        many[2 + i] = paths[i];
        if (i < LOGS / 10) few[2 + i] = paths[i];
        written = write_run(paths[i], i);
    }
    int bad = written ? beside_a_tenth("a still from 150 runs (floor: 10 x 15)", many, few) : 2;
    for (int i = 0; written && i < LOGS; i++) unlink(paths[i]);
    rmdir(folder);
    return bad;
}

static int many_jars(char *jarline) {
    char *large[] = {jarline, "forecast", "1000L@30%", "--jar-size", "5mL", NULL};
    char *small[] = {jarline, "forecast", "100L@30%", "--jar-size", "5mL", NULL};
    return beside_a_tenth("a forecast of 96,000 jars (floor: 10 x a tenth)", large, small);
}

static bool scratch(char *path) {
    int fd = mkstemp(path);
    return fd >= 0 && close(fd) == 0;
}

int main(int argc, char **argv) {
    static const struct {
        const char *figure;
        char *command, *option;
        long most;
    } ways[] = {{"totals", "tally", "--totals", 1000000},
                {"table", "tally", NULL, 1000000},
                {"JSON", "tally", "--json", 1000000},
                {"a cut", "cut", "--hearts=1-", 100000}};
    char many[] = "/tmp/jarline-growth-XXXXXX", few[] = "/tmp/jarline-growth-XXXXXX";
    int worst = 0;
    bool failed = false;
    if (argc != 2 || !scratch(many) || !scratch(few)) return 2;
    for (size_t i = 0; i < sizeof ways / sizeof ways[0]; i++) {
        pair p = {
            .many = {.argv = (char *[]){argv[1], ways[i].command, many, ways[i].option, NULL}},
            .few = {.argv = (char *[]){argv[1], ways[i].command, few, ways[i].option, NULL}},
            .many_log = many,
            .few_log = few};
        worst |= grow(ways[i].figure, &p, ways[i].most);
        failed = failed || p.many.failed || p.few.failed;
    }
    unlink(many);
    unlink(few);
    if (failed) return fprintf(stderr, "jarline tally or cut fails\n"), 1;
    worst |= many_jars(argv[1]);
    return worst | many_runs(argv[1]);
}
