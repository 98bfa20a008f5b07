/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/run_read.h"
#include "answer/say.h"
#include "answer/status.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static void keep_row(run_record *r, const jl_jar *jar) {
    size_t i = r->picture.count;
    if (i == r->room) {
        r->room = r->room == 0 ? 32 : 2 * r->room;
        r->rows = need(realloc(r->rows, r->room * sizeof *r->rows));
    }
    r->rows[i] = (run_row){*jar, NULL};
    if (jar->note_length > 0) r->rows[i].note = need(strdup(jar->note));
    r->rows[i].jar.note = NULL;
}

static jl_status read_jars(run_record *r, bool rows, jl_fault *fault) {
    jl_jar jar;
    jl_status status;
    while ((status = jl_log_next(r->file.log, &jar, fault)) == JL_OK) {
        if (rows) keep_row(r, &jar);
        jl_tally_add(&r->tally, &jar);
        picture_add_jar(&r->picture, jar.number, jar.fraction, jar.spirit, jar.head_c);
    }
    return status == JL_END ? JL_OK : status;
}

/* expect,CUMULATIVE_L,STRENGTH_PCT,HEAD_C; the head's temperature may be left out. */
static jl_status read_expected(const jl_fact *fact, picture_expected *e, jl_fault *fault) {
    jl_status status = jl_fact_number(fact, 0, 0, 1e9, "a volume in litres: #expect,1.25,76,84.5",
                                      &e->end_l, fault);
    if (status == JL_OK)
        status = jl_fact_number(fact, 1, 0, 100, "a strength in % vol: #expect,1.25,76,84.5",
                                &e->strength_pct, fault);
    e->head_c = NAN;
    if (status == JL_OK && fact->count > 2 && fact->values[2][0] != '\0')
        status = jl_fact_number(fact, 2, -50, 200, "a temperature in °C: #expect,1.25,76,84.5",
                                &e->head_c, fault);
    return status;
}

static jl_status read_forecast(run_record *r, jl_fault *fault) {
    const jl_facts *facts = jl_log_facts(r->file.log);
    const jl_fact *fact;
    jl_status status = JL_OK;
    for (size_t i = 0; status == JL_OK && (fact = jl_facts_at(facts, i)) != NULL; i++) {
        picture_expected e;
        if (strcmp(fact->key, "expect") != 0) continue;
        status = read_expected(fact, &e, fault);
        if (status == JL_OK) picture_add_expected(&r->picture, e);
    }
    return status;
}

static jl_status read_charge(run_record *r, jl_fault *fault) {
    jl_alcoholometer instrument = jl_log_instrument(r->file.log);
    jl_spirit collected = jl_tally_sum(&r->tally, JL_OF_ALL).spirit;
    jl_status status =
        jl_recovery_of(jl_log_facts(r->file.log), &instrument, collected, &r->recovery, fault);
    if (status != JL_OK || !r->recovery.charge_stated) return status;
    r->picture.charge_l = jl_volume_l(r->recovery.charge, JL_STRENGTH_C);
    r->picture.charge_strength_pct = jl_spirit_strength_pct(r->recovery.charge);
    r->picture.charge_pure_l = jl_pure_alcohol_l(r->recovery.charge);
    return JL_OK;
}

static char *copy_of(const char *text) {
    return text == NULL || *text == '\0' ? NULL : need(strdup(text));
}

static void read_words(const char *path, run_record *r) {
    const jl_facts *facts = jl_log_facts(r->file.log);
    const char *slash = strrchr(path, '/');
    r->picture.title = copy_of(jl_facts_text(facts, "title"));
    if (r->picture.title == NULL)
        r->picture.title = need(strdup(strcmp(path, "-") == 0 ? "Run"
                                       : slash != NULL        ? slash + 1
                                                              : path));
    r->picture.started = copy_of(jl_facts_text(facts, "started"));
}

static jl_status read_all(const char *path, bool rows, run_record *r, jl_fault *fault) {
    jl_status status = read_jars(r, rows, fault);
    if (status == JL_OK) status = read_forecast(r, fault);
    if (status == JL_OK) status = read_charge(r, fault);
    if (status == JL_OK && r->picture.count + r->picture.expected_count == 0)
        status = jl_log_some(r->file.log, fault);
    if (status == JL_OK) read_words(path, r);
    return status;
}

int run_read(const char *path, bool rows, run_record *r) {
    jl_fault fault = {0};
    *r = (run_record){.rows = NULL};
    picture_begin(&r->picture);
    int bad = logfile_open(&r->file, path);
    if (bad != 0) return bad;
    jl_status status = read_all(path, rows, r, &fault);
    if (status != JL_OK) {
        bad = fail_fault(r->file.name, &fault);
        run_free(r);
        return bad;
    }
    size_t torn = jl_log_torn_line(r->file.log);
    if (torn > 0)
        say("%s:%zu: the last row has no line end: it was not written to its end and is left out",
            r->file.name, torn);
    return EXIT_DONE;
}

void run_free(run_record *r) {
    for (size_t i = 0; r->rows != NULL && i < r->picture.count; i++) free(r->rows[i].note);
    free(r->rows);
    r->rows = NULL;
    picture_free(&r->picture);
    logfile_close(&r->file);
}
