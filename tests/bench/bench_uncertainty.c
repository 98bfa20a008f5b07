/* 10,000 draws of a tally of 20 jars, each reading with errors of its own and of its instruments,
 * against one plain tally.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "bench.h"
#include "jarline.h"

#include <math.h>
#include <stdlib.h>

enum { JARS = 20, DRAWS = 10000 };

/* ---- The draws ---- */

enum { OF_ALL = 3, OF_JAR = 3 }; /* errors of jug, alcoholometer, thermometer: common, and new */

typedef struct log_of_jars {
    double volume_l[JARS], reading[JARS], temp_c[JARS];
    double pure_l;
} log_of_jars;

/* x: NULL for the log as it is. */
static jl_status total(const log_of_jars *log, const double *x, jl_spirit *sum) {
    const jl_alcoholometer instrument = JL_ALCOHOLOMETER;
    static const double none[OF_ALL + JARS * OF_JAR];
    if (x == NULL) x = none;
    *sum = (jl_spirit){0, 0};
    for (int i = 0; i < JARS; i++) {
        const double *own = x + OF_ALL + OF_JAR * i;
        double p, temp_c = log->temp_c[i] + x[2] + own[2];
        jl_spirit spirit;
        jl_quantity reading = {log->reading[i] + x[1] + own[1], JL_UNIT_PCT_VOL};
        jl_status status = jl_reading_to_mass_fraction(&instrument, reading, temp_c, &p);
        if (status == JL_OK)
            status =
                jl_spirit_from_volume(log->volume_l[i] * (1 + x[0]) + own[0], p, temp_c, &spirit);
        if (status != JL_OK) return status;
        *sum = jl_blend(*sum, spirit);
    }
    return JL_OK;
}

static jl_status figures_of(const double *x, double *figures, void *with) {
    jl_spirit sum;
    jl_status status = total(with, x, &sum);
    if (status != JL_OK) return status;
    figures[0] = jl_volume_l(sum, 20);
    figures[1] = jl_spirit_strength_pct(sum);
    figures[2] = jl_pure_alcohol_l(sum);
    return JL_OK;
}

static void draw(void *with) {
    jl_input inputs[OF_ALL + JARS * OF_JAR];
    static const double WIDTHS[] = {0.01, 0.5, 1, 0.005, 0.5, 0.5};
    for (int i = 0; i < OF_ALL + JARS * OF_JAR; i++)
        inputs[i] = (jl_input){0, WIDTHS[i < OF_ALL ? i : OF_ALL + i % OF_JAR], JL_RECTANGULAR};
    const jl_measurement m = {.model = figures_of,
                              .with = with,
                              .inputs = inputs,
                              .input_count = OF_ALL + JARS * OF_JAR,
                              .figure_count = 3};
    jl_drawn drawn[3];
    if (jl_monte_carlo(&m, DRAWS, 1, drawn) != JL_OK) exit(1);
}

static void tally_once(void *with) {
    enum { TIMES = 100 };
    log_of_jars *log = with;
    for (int i = 0; i < TIMES; i++) {
        double figures[3];
        if (figures_of((const double[OF_ALL + JARS *OF_JAR]){0}, figures, log) != JL_OK) exit(1);
        log->pure_l = figures[2];
    }
}

static int bench_draws(void) {
    static log_of_jars log;
    for (int i = 0; i < JARS; i++) {
        log.volume_l[i] = 0.5;
        log.reading[i] = 80 - 2.5 * i;
        log.temp_c[i] = 24;
    }
    double tally_s = bench_least_s(tally_once, &log, 20) / 100;
    double draws_s = bench_least_s(draw, &log, 20);
    return bench_row("10,000 draws of a tally of 20 jars", draws_s * 1e3, tally_s * DRAWS * 1e3,
                     "ms", draws_s / tally_s / DRAWS, "<= 1.5", draws_s / tally_s <= 1.5 * DRAWS);
}

int main(void) {
    jl_quiet();
    return bench_draws();
}
