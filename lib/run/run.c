/* The record of a run.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "keys/facts.h"
#include "run/runlog.h"
#include "text/status.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <time.h>

struct jl_run {
    jl_log *log;
    jl_jar *jars; /* in the order of the file */
    size_t count, room;
    jl_tally tally;
    jl_recovery recovery;
    jl_expected *expected;
    size_t expected_count;
};

static jl_status no_memory(jl_fault *fault) {
    return jl_fault_at(fault, JL_MEMORY, 0, 0, NULL, 0, NULL);
}

/* ---- jars ---- */

static char *copy_of(const char *text, size_t length) {
    char *copy = malloc(length + 1);
    if (copy == NULL) return NULL;
    memcpy(copy, text, length);
    copy[length] = '\0';
    return copy;
}

static jl_status keep_jar(jl_run *run, jl_jar jar) {
    if (run->count == run->room) {
        size_t room = run->room == 0 ? 32 : 2 * run->room;
        jl_jar *jars = realloc(run->jars, room * sizeof *jars);
        if (jars == NULL) return JL_MEMORY;
        run->jars = jars;
        run->room = room;
    }
    jar.note = copy_of(jar.note, jar.note_length);
    if (jar.note == NULL) return JL_MEMORY;
    const jl_jar *before = run->count > 0 ? &run->jars[run->count - 1] : NULL;
    jar.before_l = before != NULL ? before->until_l : 0;
    jar.so_far = before != NULL ? jl_blend(before->so_far, jar.spirit) : jar.spirit;
    jar.until_l = jl_volume_l(jar.so_far, JL_STRENGTH_C);
    run->jars[run->count++] = jar;
    jl_tally_add(&run->tally, &jar);
    return JL_OK;
}

static jl_status read_jars(jl_run *run, jl_fault *fault) {
    jl_jar jar;
    jl_status status;
    while ((status = jl_log_next(run->log, &jar, fault)) == JL_OK)
        if (keep_jar(run, jar) != JL_OK) return no_memory(fault);
    return status == JL_END ? JL_OK : status;
}

/* ---- the expected run ---- */

static const char EXPECT[] = "expect";
static const char EXPECTED[] = "expect, litres so far, % vol, °C at the head; litres go up";

static jl_status read_expected_row(const jl_fact *fact, double from_l, jl_expected *row,
                                   jl_fault *fault) {
    row->head_c = NAN;
    jl_status status = jl_fact_number(fact, 0, from_l, 1e9, EXPECTED, &row->end_l, fault);
    if (status == JL_OK)
        status = jl_fact_number(fact, 1, 0, 100, EXPECTED, &row->strength_pct, fault);
    if (status == JL_OK && fact->count > 2 && fact->values[2][0] != '\0')
        status = jl_fact_number(fact, 2, -20, 150, EXPECTED, &row->head_c, fault);
    return status;
}

static double rounded(double value, double step) {
    return round(value / step) * step;
}

jl_fact_entry jl_expected_row(const jl_forecast_jar *jar) {
    return (jl_fact_entry){.key = EXPECT,
                           .values = {rounded(jl_volume_l(jar->so_far, JL_STRENGTH_C), 1e-4),
                                      rounded(jl_spirit_strength_pct(jar->spirit), 1e-2),
                                      rounded(jar->head_c, 1e-2)},
                           .count = 3};
}

static bool is_of_the_charge(const jl_fact *fact) {
    return strncmp(fact->key, "charge", strlen("charge")) == 0;
}

/* How many such rows there are, so that they are allocated once. */
static size_t count_expected(const jl_facts *facts) {
    size_t count = 0;
    const jl_fact *fact;
    for (size_t i = 0; (fact = jl_facts_at(facts, i)) != NULL; i++)
        if (strcmp(fact->key, EXPECT) == 0) count++;
    return count;
}

static jl_status read_expected(jl_run *run, jl_fault *fault) {
    const jl_facts *facts = jl_log_facts(run->log);
    const jl_fact *fact;
    bool anew = false;
    run->expected = calloc(count_expected(facts) + 1, sizeof *run->expected);
    if (run->expected == NULL) return no_memory(fault);
    for (size_t i = 0; (fact = jl_facts_at(facts, i)) != NULL; i++) {
        if (is_of_the_charge(fact)) anew = true;
        if (strcmp(fact->key, EXPECT) != 0) continue;
        if (anew) run->expected_count = 0;
        anew = false;
        jl_expected *row = &run->expected[run->expected_count];
        double from_l = run->expected_count > 0 ? row[-1].end_l : 0;
        jl_status status = read_expected_row(fact, from_l, row, fault);
        if (status != JL_OK) return status;
        run->expected_count++;
    }
    return JL_OK;
}

/* Pure alcohol that was to have run with so many litres: linear within a jar. */
static double expected_until_l(const jl_run *run, double until_l) {
    double from_l = 0, pure_l = 0;
    for (size_t i = 0; i < run->expected_count; i++) {
        const jl_expected *row = &run->expected[i];
        double part_l = fmin(until_l, row->end_l) - from_l;
        if (part_l <= 0 && until_l <= from_l) break;
        pure_l += part_l * row->strength_pct / 100;
        from_l = row->end_l;
    }
    return pure_l;
}

const jl_expected *jl_run_expected(const jl_run *run, size_t *count) {
    *count = run->expected_count;
    return run->expected;
}

double jl_run_expected_pct(const jl_run *run, double from_l, double to_l) {
    if (run->expected_count == 0 || !(to_l > from_l) ||
        !(to_l <= run->expected[run->expected_count - 1].end_l))
        return NAN;
    return 100 * (expected_until_l(run, to_l) - expected_until_l(run, from_l)) / (to_l - from_l);
}

double jl_run_expected_pure_l(const jl_run *run) {
    return run->expected_count == 0 ? NAN : expected_until_l(run, INFINITY);
}

/* ---- reading ---- */

/* A writer holds the log for milliseconds. */
static void lock_shared(int fd) {
    const struct timespec pause = {0, 2000000};
    for (int tries = 0; tries < 500 && flock(fd, LOCK_SH | LOCK_NB) != 0; tries++) {
        if (errno != EWOULDBLOCK && errno != EINTR) break;
        nanosleep(&pause, NULL);
    }
}

static jl_status read_all(jl_run *run, int fd, jl_fault *fault) {
    jl_status status = jl_log_open(fd, &run->log, fault);
    if (status == JL_OK) status = read_jars(run, fault);
    if (status == JL_OK) status = read_expected(run, fault);
    if (status != JL_OK) return status;
    jl_alcoholometer instrument = jl_log_instrument(run->log);
    return jl_recovery_of(jl_log_facts(run->log), &instrument,
                          jl_tally_sum(&run->tally, JL_OF_ALL).spirit, &run->recovery, fault);
}

jl_status jl_run_read(int fd, jl_run **run, jl_fault *fault) {
    jl_run *made = calloc(1, sizeof *made);
    if (made == NULL) return no_memory(fault);
    lock_shared(fd);
    jl_status status = read_all(made, fd, fault);
    flock(fd, LOCK_UN);
    if (status == JL_OK)
        *run = made;
    else
        jl_run_free(made);
    return status;
}

void jl_run_free(jl_run *run) {
    if (run == NULL) return;
    for (size_t i = 0; i < run->count; i++) free((char *)run->jars[i].note);
    free(run->jars);
    free(run->expected);
    jl_log_close(run->log);
    free(run);
}

/* ---- views ---- */

const jl_jar *jl_run_jars(const jl_run *run, size_t *count) {
    *count = run->count;
    return run->jars;
}

const jl_jar *jl_run_jar_by_number(const jl_run *run, uint32_t number) {
    for (size_t i = 0; i < run->count; i++)
        if (run->jars[i].number == number) return &run->jars[i];
    return NULL;
}

jl_status jl_run_some(const jl_run *run, jl_fault *fault) {
    return jl_log_some(run->log, fault);
}

const jl_facts *jl_run_facts(const jl_run *run) {
    return jl_log_facts(run->log);
}

jl_alcoholometer jl_run_instrument(const jl_run *run) {
    return jl_log_instrument(run->log);
}

const jl_tally *jl_run_tally(const jl_run *run) {
    return &run->tally;
}

const jl_recovery *jl_run_recovery(const jl_run *run) {
    return &run->recovery;
}

const char *jl_run_title(const jl_run *run) {
    return jl_facts_text(jl_run_facts(run), "title");
}

bool jl_run_started(const jl_run *run, jl_time *started) {
    return jl_facts_time(jl_run_facts(run), "started", started, NULL) == JL_OK;
}

size_t jl_run_torn_line(const jl_run *run) {
    return jl_log_torn_line(run->log);
}

const char *jl_run_unknown_column(const jl_run *run, size_t index) {
    return jl_log_unknown_column(run->log, index);
}
