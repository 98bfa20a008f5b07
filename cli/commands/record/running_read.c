/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/say.h"
#include "answer/status.h"
#include "commands/record/running.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static past_jar jar_of_row(const jl_jar *row) {
    return (past_jar){
        .number = row->number,
        .spirit = row->spirit,
        .measured_l = row->volume_l,
        .strength_pct = jl_spirit_strength_pct(row->spirit),
        .reading = row->has_reading ? row->reading : (jl_quantity){NAN, JL_UNIT_PCT_VOL},
        .stated = row->has_strength ? row->strength : (jl_quantity){NAN, JL_UNIT_PCT_VOL},
        .temp_c = row->temp_c,
        .head_c = row->head_c,
        .boiler_c = row->boiler_c,
        .timed = row->has_time,
        .time = row->time};
}

static jl_status read_jars(jl_log *log, int64_t sought, running *run, jl_fault *fault) {
    jl_jar row;
    jl_status status;
    while ((status = jl_log_next(log, &row, fault)) == JL_OK) {
        running_add(run, jar_of_row(&row));
        if (row.number != sought) continue;
        run->sought = *running_newest(run);
        run->found = true;
    }
    return status == JL_END ? JL_OK : status;
}

/* expect,CUMULATIVE_L,STRENGTH_PCT,HEAD_C: volumes go up. */
static jl_status read_expected(const jl_facts *facts, running *run, jl_fault *fault) {
    static const char EXPECTED[] = "expect, litres so far, % vol, °C at the head; litres go up";
    const jl_fact *fact;
    double until_l = 0;
    for (size_t i = 0; (fact = jl_facts_at(facts, i)) != NULL; i++) {
        if (strcmp(fact->key, "expect") != 0) continue;
        run->expect = need(realloc(run->expect, (run->expected + 1) * sizeof *run->expect));
        double *row = run->expect[run->expected];
        jl_status status = jl_fact_number(fact, 0, until_l, 1e9, EXPECTED, &row[0], fault);
        if (status == JL_OK) status = jl_fact_number(fact, 1, 0, 100, EXPECTED, &row[1], fault);
        if (status == JL_OK && fact->count > 2)
            status = jl_fact_number(fact, 2, -20, 150, EXPECTED, &row[2], fault);
        else
            row[2] = NAN;
        if (status != JL_OK) return status;
        until_l = row[0];
        run->expected++;
    }
    return JL_OK;
}

static jl_status read_log(jl_log *log, int64_t sought, running *run, jl_fault *fault) {
    jl_recovery recovery;
    run->instrument = jl_log_instrument(log);
    jl_status status = read_expected(jl_log_facts(log), run, fault);
    if (status == JL_OK) status = read_jars(log, sought, run, fault);
    if (status == JL_OK)
        status = jl_recovery_of(jl_log_facts(log), &run->instrument, run->total, &recovery, fault);
    if (status != JL_OK) return status;
    run->torn_line = jl_log_torn_line(log);
    run->recovery = recovery;
    return JL_OK;
}

int running_read(const char *path, int fd, int64_t sought, running *run) {
    jl_log *log;
    jl_fault fault;
    *run = (running){0};
    if (lseek(fd, 0, SEEK_SET) < 0) return fail(EXIT_INPUT, "%s: no file to go back in", path);
    jl_status status = jl_log_open(fd, &log, &fault);
    if (status == JL_OK) {
        status = read_log(log, sought, run, &fault);
        jl_log_close(log);
    }
    if (status == JL_OK) return EXIT_DONE;
    running_free(run);
    return fail_fault(path, &fault);
}

void running_free(running *run) {
    free(run->expect);
    run->expect = NULL;
    run->expected = 0;
}
