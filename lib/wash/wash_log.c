/* Gravity logs: dated readings of a fermentation and the waits before the still.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "text/csv.h"
#include "text/letters.h"
#include "text/status.h"
#include "wash/gravity.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef enum col { TIME, GRAVITY, TEMP_C, TEMP_F, STEP, DURATION, NOTE, COLS } col;

static const char *const NAMES[COLS] = {"time", "gravity",  "temp_c", "temp_f",
                                        "step", "duration", "note"};

static const char COLUMNS_EXPECTED[] =
    "the columns time and gravity, and of temp_c or temp_f, step, duration, note what is needed";

struct jl_wash_log {
    jl_source source;
    jl_rows *rows;
    jl_hydrometer instrument;
    size_t at[COLS]; /* place of a column, SIZE_MAX: not there */
    size_t width;    /* cells of the header that are not empty at its end */
    bool begun, measured;
    int64_t last_s, last_gravity_s;
};

/* ---- the header ---- */

static jl_cell trimmed(const jl_cell *cell) {
    jl_cell c = *cell;
    while (c.length > 0 && (c.text[0] == ' ' || c.text[0] == '\t')) c.text++, c.length--;
    while (c.length > 0 && (c.text[c.length - 1] == ' ' || c.text[c.length - 1] == '\t'))
        c.length--;
    return c;
}

static col column_of(const jl_cell *cell) {
    jl_cell c = trimmed(cell);
    int i = 0;
    while (i < COLS &&
           !(strlen(NAMES[i]) == c.length && jl_same_letters_to(NAMES[i], c.text, c.length)))
        i++;
    return (col)i;
}

static bool has_gravity(const jl_row *header, void *with) {
    (void)with;
    for (size_t i = 0; i < header->count; i++)
        if (column_of(&header->cells[i]) == GRAVITY) return true;
    return false;
}

static jl_status missing_column(const jl_row *row, const char *expected, jl_fault *fault) {
    return jl_fault_at(fault, JL_MISSING, row->line, 0, NULL, 0, expected);
}

static jl_status read_header(jl_wash_log *log, const jl_row *row, jl_fault *fault) {
    for (int i = 0; i < COLS; i++) log->at[i] = SIZE_MAX;
    log->width = jl_row_used(row);
    for (size_t i = 0; i < log->width; i++) {
        col which = column_of(&row->cells[i]);
        if (which == COLS && trimmed(&row->cells[i]).length == 0) continue;
        if (which == COLS) return jl_row_fault(row, i, JL_FORM, COLUMNS_EXPECTED, fault);
        if (log->at[which] != SIZE_MAX)
            return jl_row_fault(row, i, JL_CONFLICT, "each column once", fault);
        log->at[which] = i;
    }
    if (log->at[TIME] == SIZE_MAX || log->at[GRAVITY] == SIZE_MAX)
        return missing_column(row, COLUMNS_EXPECTED, fault);
    if (log->at[TEMP_C] != SIZE_MAX && log->at[TEMP_F] != SIZE_MAX)
        return jl_row_fault(row, log->at[TEMP_F], JL_CONFLICT, "temp_c or temp_f, not both", fault);
    return JL_OK;
}

/* The next row that is neither a fact, a comment nor empty. */
static jl_status next_row(jl_wash_log *log, jl_row *row, jl_fault *fault) {
    jl_status status;
    do status = jl_rows_next(log->rows, row, fault);
    while (status == JL_OK && (jl_row_is_fact(row) || jl_row_is_empty(row)));
    return status;
}

static jl_status begin(jl_wash_log *log, jl_fault *fault) {
    jl_row header;
    jl_status status = jl_rows_find_dialect(log->rows, has_gravity, NULL, fault);
    if (status == JL_OK) status = next_row(log, &header, fault);
    if (status == JL_END)
        return jl_fault_at(fault, JL_MISSING, 0, 0, NULL, 0,
                           "a header with the columns time and gravity, and rows below it");
    return status == JL_OK ? read_header(log, &header, fault) : status;
}

jl_status jl_wash_log_open(int fd, const jl_hydrometer *instrument, jl_wash_log **log,
                           jl_fault *fault) {
    if (!jl_hydrometer_ok(instrument)) return jl_fault_at(fault, JL_RANGE, 0, 0, NULL, 0, NULL);
    jl_wash_log *made = calloc(1, sizeof *made);
    if (made == NULL) return jl_fault_at(fault, JL_MEMORY, 0, 0, NULL, 0, NULL);
    made->instrument = *instrument;
    jl_status status = jl_source_fd(fd, &made->source);
    if (status != JL_OK) {
        free(made);
        return jl_fault_at(fault, status, 0, 0, NULL, 0, NULL);
    }
    status = jl_rows_open(&made->source, ',', &made->rows);
    if (status != JL_OK)
        jl_fault_at(fault, status, 0, 0, NULL, 0, NULL);
    else
        status = begin(made, fault);
    if (status == JL_OK)
        *log = made;
    else
        jl_wash_log_close(made);
    return status;
}

void jl_wash_log_close(jl_wash_log *log) {
    if (log == NULL) return;
    jl_rows_close(log->rows);
    jl_source_close(&log->source);
    free(log);
}

/* ---- a row ---- */

/* A cell's text without blanks around it; false when it is empty or not there. */
static bool cell_of(const jl_wash_log *log, const jl_row *row, col which, jl_cell *cell) {
    *cell = (jl_cell){"", 0};
    if (log->at[which] < row->count) *cell = trimmed(&row->cells[log->at[which]]);
    return cell->length > 0;
}

/* A quantity is read from the cell as it stands: NUL-terminated, blanks are passed over. */
static const char *text_of(const jl_wash_log *log, const jl_row *row, col which) {
    return row->cells[log->at[which]].text;
}

static jl_status fault_in(const jl_wash_log *log, const jl_row *row, col which, jl_status status,
                          const char *expected, jl_fault *fault) {
    return jl_row_fault(row, log->at[which], status, expected, fault);
}

static jl_status read_time(jl_wash_log *log, const jl_row *row, jl_wash_row *out, jl_fault *fault) {
    static const char EXPECTED[] = "a time with its offset, as 2026-09-20T08:00:00+02:00";
    jl_cell cell;
    if (!cell_of(log, row, TIME, &cell))
        return fault_in(log, row, TIME, JL_MISSING, EXPECTED, fault);
    jl_status status = jl_time_read(cell.text, cell.length, &out->time);
    if (status != JL_OK) return fault_in(log, row, TIME, status, EXPECTED, fault);
    if (log->begun && out->time.unix_s < log->last_s)
        return fault_in(log, row, TIME, JL_CONFLICT, "a time not before that of the row above",
                        fault);
    if (log->measured && !out->is_step && out->time.unix_s <= log->last_gravity_s)
        return fault_in(log, row, TIME, JL_CONFLICT, "a time after that of the gravity before it",
                        fault);
    return JL_OK;
}

/* 60 °F and the like: only the number stands in the cell. */
static jl_status read_temp(const jl_wash_log *log, const jl_row *row, jl_wash_row *out,
                           jl_fault *fault) {
    static const char EXPECTED[] = "a temperature of 0 to 40 °C (32 to 104 °F), without its unit";
    col which = log->at[TEMP_F] != SIZE_MAX ? TEMP_F : TEMP_C;
    jl_cell cell;
    double number;
    out->temp_c = NAN;
    if (!cell_of(log, row, which, &cell)) return JL_OK;
    jl_comma comma = jl_delimiter_comma(jl_rows_delimiter(log->rows));
    jl_status status = jl_decimal_read(cell.text, cell.length, comma, &number);
    if (status != JL_OK) return fault_in(log, row, which, status, EXPECTED, fault);
    if (which == TEMP_F) number = (number - 32) / 1.8;
    if (!(number >= 0 && number <= 40)) return fault_in(log, row, which, JL_RANGE, EXPECTED, fault);
    out->temp_c = number;
    return JL_OK;
}

/* An unquoted decimal comma splits a cell and leaves a bare 1, which would pass for 1.000. */
static bool is_bare(const char *text) {
    return strpbrk(text, ".,Pp") == NULL;
}

static jl_status read_gravity(const jl_wash_log *log, const jl_row *row, jl_wash_row *out,
                              jl_fault *fault) {
    const char *text = text_of(log, row, GRAVITY);
    const char *expected = "a gravity from 0.970 to 1.180, as 1.062, or 15.2P";
    jl_status status = jl_quantity_read(text, JL_GRAVITY, &out->reading);
    if (status != JL_OK) return fault_in(log, row, GRAVITY, status, expected, fault);
    double at_c = isnan(out->temp_c) ? log->instrument.calibrated_c : out->temp_c;
    status = jl_gravity_at_20(&log->instrument, out->reading, at_c, &out->sg);
    bool points =
        out->reading.unit == JL_UNIT_SG && out->reading.value >= 900 && out->reading.value <= 1200;
    if (points) expected = "a gravity with its point, as 1.080: perhaps that was meant";
    if (status == JL_OK && is_bare(text)) {
        status = JL_FORM;
        expected = "a gravity with three decimals, as 1.000; one with a decimal comma stands in "
                   "quotes";
    }
    return status == JL_OK ? JL_OK : fault_in(log, row, GRAVITY, status, expected, fault);
}

static jl_status read_step(const jl_wash_log *log, const jl_row *row, jl_wash_row *out,
                           jl_fault *fault) {
    static const char EXPECTED[] = "how long the step takes, as 24h or 2d";
    jl_cell cell;
    jl_quantity duration;
    out->duration_s = NAN;
    if (!cell_of(log, row, DURATION, &cell)) return JL_OK;
    if (!out->is_step)
        return fault_in(log, row, DURATION, JL_CONFLICT, "a duration only beside a step", fault);
    jl_status status = jl_quantity_read(text_of(log, row, DURATION), JL_DURATION, &duration);
    if (status != JL_OK) return fault_in(log, row, DURATION, status, EXPECTED, fault);
    out->duration_s = duration.value;
    return JL_OK;
}

/* A row's cells outside the header's columns would be read as nothing: one cell too many is a
 * comma too many. */
static jl_status check_width(const jl_wash_log *log, const jl_row *row, jl_fault *fault) {
    if (jl_row_used(row) <= log->width) return JL_OK;
    return jl_row_fault(row, log->width, JL_FORM,
                        "no more cells than the header has; text with a comma stands in quotes",
                        fault);
}

jl_status jl_wash_log_next(jl_wash_log *log, jl_wash_row *out, jl_fault *fault) {
    jl_row row;
    jl_cell gravity, step, note;
    jl_wash_row r = {.temp_c = NAN, .sg = NAN, .duration_s = NAN};
    jl_status status = next_row(log, &row, fault);
    if (status == JL_OK) status = check_width(log, &row, fault);
    if (status != JL_OK) return status;
    bool measured = cell_of(log, &row, GRAVITY, &gravity);
    r.is_step = cell_of(log, &row, STEP, &step);
    cell_of(log, &row, NOTE, &note);
    if (measured && r.is_step)
        return fault_in(log, &row, STEP, JL_CONFLICT, "a gravity or a step in a row, not both",
                        fault);
    if (!measured && !r.is_step)
        return fault_in(log, &row, GRAVITY, JL_MISSING, "a gravity, as 1.062, or a step", fault);
    status = read_time(log, &row, &r, fault);
    if (status == JL_OK) status = read_temp(log, &row, &r, fault);
    if (status == JL_OK) status = read_step(log, &row, &r, fault);
    if (status == JL_OK && measured) status = read_gravity(log, &row, &r, fault);
    if (status != JL_OK) return status;
    r.line = row.line;
    r.step = step.text;
    r.note = note.text;
    log->begun = true;
    log->last_s = r.time.unix_s;
    if (measured) {
        log->measured = true;
        log->last_gravity_s = r.time.unix_s;
    }
    *out = r;
    return JL_OK;
}
