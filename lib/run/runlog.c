/* The run log, read jar by jar.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "run/runlog.h"
#include "keys/facts.h"
#include "run/jarnumbers.h"
#include "run/undone.h"
#include "spirit/alcoholometer.h"
#include "spirit/instruments.h"
#include "text/status.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Marks of jar numbers: a jar that counts has the mark of its fraction. */
enum { MARK_FIRST = 1 };

struct jl_log {
    jl_source source;
    jl_rows *rows;
    jl_facts *facts;
    jl_undone *undone; /* NULL: nothing is */
    jl_numbers *numbers;
    jl_columns columns;
    jl_alcoholometer instrument;
    jl_isotherm_cache isotherms;
    jl_isotherm at_20c;
    jl_row row;
    bool ours;
    bool jars_begun;
    bool torn;
    uint64_t torn_begin;
    size_t torn_line;
    size_t jars;
    uint32_t highest;
    jl_fault fault; /* the error that ended reading */
};

static jl_status fail(jl_log *log, jl_status status) {
    return jl_fault_at(&log->fault, status, 0, 0, NULL, 0, NULL);
}

/* ---- the instrument ---- */

jl_status jl_instrument_read(const jl_facts *facts, jl_alcoholometer *instrument, jl_fault *fault) {
    jl_settings settings;
    jl_settings_begin(&settings);
    jl_status status = jl_settings_take(&settings, facts, JL_IN_RUN_HEAD, JL_FROM_LOG, NULL, fault);
    if (status == JL_OK) *instrument = jl_settings_to_alcoholometer(&settings);
    return status;
}

/* A reading in proof needs an instrument of 60 °F. */
static jl_status settle_instrument(jl_log *log) {
    jl_status status = jl_instrument_read(log->facts, &log->instrument, &log->fault);
    const jl_column *reading = log->columns.what[JL_ROLE_READING];
    if (status != JL_OK || reading == NULL || reading->unit != JL_UNIT_PROOF_US) return status;
    double calibrated_c = jl_calibrated_c(&log->instrument, JL_UNIT_PROOF_US);
    if (calibrated_c == JL_PROOF_C) return JL_OK;
    return jl_fault_at(&log->fault, JL_CONFLICT, log->columns.line,
                       log->columns.at[JL_ROLE_READING] + 1, reading->name, strlen(reading->name),
                       "reading_pct: the facts say that the instrument is not calibrated at 60 °F, "
                       "and proof is");
}

/* ---- rows ---- */

static void leave_out(jl_log *log, uint64_t begin, size_t line) {
    log->torn = true;
    log->torn_begin = begin;
    log->torn_line = line;
}

/* The next row that says something, without one that is torn. */
static jl_status next_row(jl_log *log) {
    jl_status status;
    do status = jl_rows_next(log->rows, &log->row, &log->fault);
    while (status == JL_OK && jl_row_is_empty(&log->row));
    uint64_t begin;
    if (log->ours && status == JL_OK && log->row.unended) {
        leave_out(log, log->row.begin, log->row.line);
        return JL_END;
    }
    if (log->ours && status == JL_FORM && jl_rows_torn(log->rows, &begin)) {
        leave_out(log, begin, log->fault.line);
        return JL_END;
    }
    return status;
}

static jl_status take_fact(jl_log *log) {
    if (jl_row_has_key(&log->row, "undone"))
        return jl_undone_check(log->undone, &log->row, &log->fault);
    const jl_fact *fact;
    char delimiter = jl_rows_delimiter(log->rows);
    jl_status status = jl_facts_add(log->facts, &log->row, delimiter, &fact, &log->fault);
    if (status != JL_OK || fact == NULL || jl_key_of(fact, JL_IN_RUN_HEAD) == JL_KEYS)
        return status;
    if (log->jars_begun)
        return jl_row_fault(&log->row, 0, JL_CONFLICT,
                            "this fact before the first jar: the readings above were corrected "
                            "without it",
                            &log->fault);
    return log->columns.line > 0 ? settle_instrument(log) : JL_OK;
}

/* ---- opening ---- */

static jl_status find_whose(jl_log *log) {
    jl_status status;
    do status = jl_rows_next(log->rows, &log->row, &log->fault);
    while (status == JL_OK && jl_row_is_empty(&log->row));
    log->ours = status == JL_OK && jl_row_has_key(&log->row, "jarline");
    jl_rows_rewind(log->rows, jl_rows_delimiter(log->rows));
    return status == JL_INPUT || status == JL_IO || status == JL_MEMORY ? status : JL_OK;
}

static jl_status read_head(jl_log *log) {
    jl_status status;
    while ((status = next_row(log)) == JL_OK) {
        if (!jl_row_is_fact(&log->row)) break;
        status = take_fact(log);
        if (status != JL_OK) return status;
    }
    if (status == JL_END)
        return jl_fault_at(&log->fault, JL_MISSING, 0, 0, NULL, 0, jl_header_expected);
    if (status == JL_OK)
        status =
            jl_columns_read(&log->row, jl_rows_delimiter(log->rows), &log->columns, &log->fault);
    return status == JL_OK ? settle_instrument(log) : status;
}

static jl_status open_log(jl_log *log, int fd) {
    jl_isotherm_cache_begin(&log->isotherms);
    jl_isotherm_at(JL_STRENGTH_C, &log->at_20c);
    jl_status status = jl_source_fd(fd, &log->source);
    if (status != JL_OK) {
        log->source = jl_source_memory(NULL, 0);
        return fail(log, status);
    }
    if (jl_rows_open(&log->source, ',', &log->rows) != JL_OK) return fail(log, JL_MEMORY);
    if (jl_facts_new(&log->facts) != JL_OK) return fail(log, JL_MEMORY);
    if (jl_numbers_new(&log->numbers) != JL_OK) return fail(log, JL_MEMORY);
    status = jl_rows_find_dialect(log->rows, jl_header_is_known, NULL, &log->fault);
    if (status == JL_OK) status = find_whose(log);
    if (status == JL_OK)
        status = jl_undone_find(&log->source, log->rows, log->ours, &log->undone, &log->fault);
    return status == JL_OK ? read_head(log) : status;
}

jl_status jl_log_open(int fd, jl_log **log, jl_fault *fault) {
    jl_log *made = calloc(1, sizeof *made);
    if (made == NULL) return jl_fault_at(fault, JL_MEMORY, 0, 0, NULL, 0, NULL);
    jl_status status = open_log(made, fd);
    if (status == JL_OK) {
        made->fault = (jl_fault){.status = JL_OK};
        *log = made;
        return JL_OK;
    }
    if (fault != NULL) *fault = made->fault;
    jl_log_close(made);
    return status;
}

const char *jl_log_unknown_column(const jl_log *log, size_t index) {
    return index < log->columns.unknown_count ? log->columns.unknown[index] : NULL;
}

void jl_log_close(jl_log *log) {
    if (log == NULL) return;
    jl_undone_free(log->undone);
    jl_numbers_free(log->numbers);
    jl_facts_free(log->facts);
    jl_rows_close(log->rows);
    jl_source_close(&log->source);
    free(log);
}

/* ---- jars ---- */

static jl_status number_jar(jl_log *log, jl_jar *jar) {
    if (jar->number == 0) {
        if (log->highest == JL_JAR_MOST)
            return jl_columns_fault(&log->columns, &log->row, JL_ROLE_JAR, JL_RANGE,
                                    jl_number_expected, &log->fault);
        jar->number = log->highest + 1;
    }
    if (jar->number > log->highest) log->highest = jar->number;
    return JL_OK;
}

static jl_status count_jar(jl_log *log, const jl_jar *jar) {
    jl_status status =
        jl_numbers_mark(log->numbers, jar->number, MARK_FIRST + (unsigned)jar->fraction);
    if (status == JL_OK) log->jars++;
    if (status == JL_OK || status == JL_MEMORY) return status == JL_OK ? status : fail(log, status);
    const char *expected = status == JL_CONFLICT
                               ? "a number that no jar above has"
                               : "numbers that lie closer together, or fewer jars";
    return jl_columns_fault(&log->columns, &log->row, JL_ROLE_JAR, status, expected, &log->fault);
}

static const char *model_expected(jl_status status) {
    return status == JL_NO_MIXTURE
               ? "a reading that some mixture of ethanol and water shows at that temperature"
               : "a reading of 0 to 100 % vol and a temperature of -20 to 40 °C, corrections "
                 "included";
}

static jl_status read_mixture(jl_log *log, jl_jar *jar) {
    jl_role role = jar->has_reading ? JL_ROLE_READING : JL_ROLE_STRENGTH;
    jl_status status = jar->has_reading
                           ? jl_reading_solve(&log->instrument, jar->reading, jar->temp_c,
                                              &log->isotherms, &jar->mass_fraction)
                           : jl_strength_to_mass_fraction(jar->strength, &jar->mass_fraction);
    if (status == JL_OK) return JL_OK;
    return jl_columns_fault(&log->columns, &log->row, role, status, model_expected(status),
                            &log->fault);
}

/* A reading beside a strength checks it. */
static jl_status compare_strength(jl_log *log, const jl_jar *jar) {
    double stated, from_reading_pct, stated_pct;
    jl_status status = jl_strength_to_mass_fraction(jar->strength, &stated);
    if (status == JL_OK)
        status = jl_strength_pct(jar->mass_fraction, JL_STRENGTH_C, &from_reading_pct);
    if (status == JL_OK) status = jl_strength_pct(stated, JL_STRENGTH_C, &stated_pct);
    /* cppcheck-suppress uninitvar ; set where the status says so */
    if (status == JL_OK && fabs(from_reading_pct - stated_pct) <= JL_SAME_STRENGTH_PCT)
        return JL_OK;
    return jl_columns_fault(&log->columns, &log->row, JL_ROLE_STRENGTH,
                            status == JL_OK ? JL_CONFLICT : status,
                            "a strength within 0.2 % vol of what the reading gives, or only one of "
                            "the two",
                            &log->fault);
}

/* jl_spirit_from_volume and jl_volume_l, by the isotherms that the reading has left. */
static jl_status measure(jl_log *log, jl_jar *jar) {
    if (!jl_temp_ok(jar->liquid_c))
        return jl_columns_fault(&log->columns, &log->row, JL_ROLE_TEMP, JL_RANGE,
                                model_expected(JL_RANGE), &log->fault);
    double p = jar->mass_fraction;
    double kg_m3 =
        jl_isotherm_density(jl_isotherm_cache_at(&log->isotherms.liquid, jar->liquid_c), p);
    double mass_kg = jar->volume_l * kg_m3 / 1000;
    jar->spirit = (jl_spirit){mass_kg * p, mass_kg * (1 - p)};
    jar->volume_20c_l = mass_kg / jl_isotherm_density(&log->at_20c, p) * 1000;
    return JL_OK;
}

static jl_status compute(jl_log *log, jl_jar *jar) {
    jar->at_20c = isnan(jar->temp_c);
    jar->liquid_c =
        jar->at_20c ? JL_STRENGTH_C : jar->temp_c + log->instrument.thermometer_correction_c;
    jl_status status = read_mixture(log, jar);
    if (status != JL_OK) return status;
    if (jar->has_reading && jar->has_strength) status = compare_strength(log, jar);
    if (status != JL_OK) return status;
    return measure(log, jar);
}

/* JL_NO: the row is a jar that does not count, or a fact. */
static jl_status take_row(jl_log *log, jl_jar *jar) {
    jl_status status = next_row(log);
    if (status != JL_OK) return status;
    if (jl_row_is_fact(&log->row)) {
        status = take_fact(log);
        return status == JL_OK ? JL_NO : status;
    }
    log->jars_begun = true;
    status = jl_columns_jar(&log->columns, &log->row, jar, &log->fault);
    if (status == JL_OK) status = number_jar(log, jar);
    if (status == JL_OK) status = compute(log, jar);
    if (status != JL_OK) return status;
    if (log->undone != NULL && jl_undone_takes(log->undone, jar->number, jar->line)) return JL_NO;
    return count_jar(log, jar);
}

jl_status jl_log_next(jl_log *log, jl_jar *jar, jl_fault *fault) {
    jl_jar read;
    jl_status status = log->fault.status;
    if (status == JL_OK) {
        do status = take_row(log, &read);
        while (status == JL_NO);
        if (status != JL_OK) log->fault.status = status;
    }
    if (status == JL_OK)
        *jar = read;
    else if (fault != NULL)
        *fault = log->fault;
    return status;
}

jl_status jl_log_some(const jl_log *log, jl_fault *fault) {
    if (log->jars > 0) return JL_OK;
    return jl_fault_at(fault, JL_MISSING, log->columns.line, 0, NULL, 0,
                       "a jar, a row each below the header: none has been recorded yet");
}

/* ---- views ---- */

const jl_facts *jl_log_facts(const jl_log *log) {
    return log->facts;
}

jl_alcoholometer jl_log_instrument(const jl_log *log) {
    return log->instrument;
}

size_t jl_log_torn_line(const jl_log *log) {
    return log->torn ? log->torn_line : 0;
}

uint32_t jl_log_number(const jl_log *log, jl_fraction fraction, uint32_t after) {
    return jl_numbers_next(log->numbers, MARK_FIRST + (unsigned)fraction, after);
}

bool jl_log_is_ours(const jl_log *log) {
    return log->ours;
}

bool jl_log_torn_begin(const jl_log *log, uint64_t *begin) {
    if (log->torn) *begin = log->torn_begin;
    return log->torn;
}

char jl_log_delimiter(const jl_log *log) {
    return jl_rows_delimiter(log->rows);
}

const jl_columns *jl_log_columns(const jl_log *log) {
    return &log->columns;
}

const jl_row *jl_log_row(const jl_log *log) {
    return &log->row;
}

uint32_t jl_log_highest(const jl_log *log) {
    return log->highest;
}
