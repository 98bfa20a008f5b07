/* The record of a log of 100,000 jars, against a bare libcsv pass with strtod over its four
 * columns of numbers; and what it takes of memory. A row becomes a jar with its name, moment, words and
 * place in the file, corrected and added up: two passes beside the one that reads it (common
 * practice, no source).
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "bench.h"
#include "jarline.h"

#include <csv.h>
#include <math.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <unistd.h>

enum { JARS = 100000, COLUMNS = 7 };

typedef struct job {
    FILE *log;
    double pure_l; /* by jarline */
    size_t jars;
    double numbers[COLUMNS]; /* by libcsv: the columns' sums */
    size_t column;
    bool failed;
} job;

static double random_between(double low, double high) {
    return low + (high - low) * rand() / (double)RAND_MAX;
}

/* Every temperature differs from the one before, as good as always. */
static FILE *generate(size_t jars) {
    static const char *const fractions[] = {"heads", "hearts", "Tails", ""};
    FILE *log = tmpfile();
    if (log == NULL) return NULL;
    fprintf(log, "#jarline,1\n#title,generated\n#charge_l,1000000\n#charge_strength_pct,30\n"
                 "jar,time,volume_ml,reading_pct,temp_c,fraction,note\n");
    for (size_t i = 0; i < jars; i++)
        fprintf(log, "%zu,2026-03-%02zuT%02zu:%02zu:00+01:00,%.1f,%.1f,%.1f,%s,%s\n", i + 1,
                1 + i % 31, i / 60 % 24, i % 60, random_between(450, 550), random_between(20, 85),
                random_between(15, 30), fractions[i % 4], i % 10 == 0 ? "smells of apples" : "");
    fflush(log);
    return log;
}

static void by_jarline(void *with) {
    job *j = with;
    jl_run *run;
    lseek(fileno(j->log), 0, SEEK_SET);
    if (jl_run_read(fileno(j->log), &run, NULL) != JL_OK) {
        j->failed = true;
        return;
    }
    jl_total all = jl_tally_sum(jl_run_tally(run), JL_OF_ALL);
    j->pure_l = jl_pure_alcohol_l(all.spirit);
    j->jars = all.jars;
    jl_run_free(run);
}

static void on_cell(void *text, size_t length, void *with) {
    job *j = with;
    (void)length;
    bool is_number = j->column == 0 || (j->column >= 2 && j->column <= 4);
    if (is_number) j->numbers[j->column] += strtod(text, NULL);
    j->column++;
}

static void on_row(int end, void *with) {
    (void)end;
    ((job *)with)->column = 0;
}

static void by_libcsv(void *with) {
    static char block[65536];
    job *j = with;
    struct csv_parser parser;
    j->column = 0;
    for (int i = 0; i < COLUMNS; i++) j->numbers[i] = 0;
    csv_init(&parser, CSV_STRICT | CSV_STRICT_FINI | CSV_APPEND_NULL);
    lseek(fileno(j->log), 0, SEEK_SET);
    ssize_t n;
    while ((n = read(fileno(j->log), block, sizeof block)) > 0)
        if (csv_parse(&parser, block, (size_t)n, on_cell, on_row, j) != (size_t)n) j->failed = true;
    csv_fini(&parser, on_cell, on_row, j);
    csv_free(&parser);
}

static double peak_mib(void) {
    struct rusage usage;
    getrusage(RUSAGE_SELF, &usage);
    return (double)usage.ru_maxrss / 1024;
}

int main(void) {
    enum { ROUNDS = 7 };
    jl_quiet();
    srand(1);
    job small = {.log = generate(1)}, large = {.log = generate(JARS)};
    if (small.log == NULL || large.log == NULL) return fprintf(stderr, "no temporary file\n"), 1;
    by_jarline(&small);
    double before_mib = peak_mib();
    double ours_s = 1e300, floor_s = 1e300, after_mib = before_mib;
    /* In turns, so that what disturbs the machine disturbs both. */
    for (int i = 0; i < ROUNDS; i++) {
        ours_s = fmin(ours_s, bench_least_s(by_jarline, &large, 1));
        if (i == 0) after_mib = peak_mib();
        floor_s = fmin(floor_s, bench_least_s(by_libcsv, &large, 1));
    }
    if (large.failed || large.jars != JARS || !(large.pure_l > 0))
        return fprintf(stderr, "the log is not read to its end\n"), 1;
    int worst = bench_row("totals of 100000 jars (floor: libcsv, strtod)", ours_s * 1e3,
                          floor_s * 1e3, "ms", ours_s / floor_s, "<= 3", ours_s / floor_s <= 3);
    return worst | bench_row("  peak memory (floor: one jar)", after_mib, before_mib, "Mi",
                             after_mib / before_mib, "<= 64 MiB", after_mib <= 64);
}
