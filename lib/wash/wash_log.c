/* Wash logs: dated gravities of a fermentation and the waits before the still.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "log/columns.h"
#include "log/file.h"
#include "text/array.h"
#include "text/letters.h"
#include "text/status.h"
#include "wash/gravity.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef enum role { TIME, GRAVITY, TEMP, STEP, DURATION, NOTE } role;

static const char TIME_EXPECTED[] = "a time with its offset, as 2026-09-20T08:00:00+02:00";
static const char TEMP_EXPECTED[] = "a temperature of 0 to 40 °C (32 to 104 °F), without its unit";
static const char GRAVITY_EXPECTED[] = "a gravity from 0.970 to 1.180, as 1.062, or 15.2P";
static const char DURATION_EXPECTED[] = "how long the step takes, as 24h or 2d";
static const char COLUMNS_EXPECTED[] =
    "the columns time and gravity, and of temp_c or temp_f, step, duration, note what is needed";

#define TEXT 0, 0, JL_UNIT_BASE, 0, 0

static const jl_column COLUMNS[] = {
    {"time", TIME, TEXT, TIME_EXPECTED},
    {"gravity", GRAVITY, TEXT, GRAVITY_EXPECTED},
    {"temp_c", TEMP, 1, 0, JL_UNIT_BASE, 0, 40, TEMP_EXPECTED},
    {"temp_f", TEMP, 5.0 / 9, 32, JL_UNIT_BASE, 0, 40, TEMP_EXPECTED},
    {"step", STEP, TEXT, ""},
    {"duration", DURATION, TEXT, DURATION_EXPECTED},
    {"note", NOTE, TEXT, ""},
    {NULL, 0, TEXT, NULL},
};

struct jl_wash_log {
    jl_wash_reading *readings;
    size_t reading_count, reading_room;
    jl_wash_step *steps;
    size_t step_count, step_room;
    size_t torn_line;
};

/* The file, as long as it is read. */
typedef struct reader {
    jl_file file;
    jl_columns columns;
    jl_hydrometer instrument;
    int64_t last_s; /* of the row before */
    jl_wash_log *log;
} reader;

/* A row as it stands there: a gravity, or a step. */
typedef struct entry {
    jl_wash_reading gravity; /* of a step its line and time hold too */
    jl_cell step;            /* empty: a gravity */
    jl_cell note;
    double duration_s; /* NaN: not given */
} entry;

/* ---- waits ---- */

const jl_usual_wait *jl_usual_waits(size_t *count) {
    /* In their usual order. Common practice, no source. */
    static const jl_usual_wait WAITS[] = {
        {"degas", 86400, "let carbon dioxide out, which foams in the boiler"},
        {"clear", 86400, "a clearing agent, if you use one"},
        {"settle", 2 * 86400, "let the lees sink, which scorch"},
    };
    *count = sizeof WAITS / sizeof WAITS[0];
    return WAITS;
}

static double usual_wait_s(jl_cell step) {
    size_t count;
    const jl_usual_wait *waits = jl_usual_waits(&count);
    for (size_t i = 0; i < count; i++)
        if (jl_cell_is(step, waits[i].name)) return waits[i].duration_s;
    return NAN;
}

bool jl_wash_has_step(const jl_wash_log *log, const char *name) {
    for (size_t i = 0; i < log->step_count; i++)
        if (jl_same_letters(log->steps[i].name, name)) return true;
    return false;
}

jl_wait_state jl_wash_step_state(const jl_wash_step *step, jl_time now) {
    if (step->begins.unix_s > now.unix_s) return JL_WAIT_AHEAD;
    return step->ends.unix_s > now.unix_s ? JL_WAIT_RUNS : JL_WAIT_DONE;
}

jl_time jl_wash_waits_end(const jl_wash_log *log, jl_time now) {
    jl_time end = now;
    for (size_t i = 0; i < log->step_count; i++)
        if (log->steps[i].ends.unix_s > end.unix_s) end = log->steps[i].ends;
    return end;
}

/* ---- the header ---- */

static bool has_gravity(const jl_row *header, void *with) {
    (void)with;
    for (size_t i = 0; i < header->count; i++)
        if (jl_cell_is(jl_cell_trimmed(header->cells[i]), COLUMNS[GRAVITY].name)) return true;
    return false;
}

/* A name that is not known is refused: what is measured beside a gravity would be read as nothing. */
static jl_status read_header(reader *r, const jl_row *row, jl_fault *fault) {
    jl_columns *columns = &r->columns;
    jl_status status = jl_columns_read(COLUMNS, row, r->file.dialect.delimiter, columns, fault);
    if (status != JL_OK) return status;
    for (size_t i = 0; i < columns->count; i++)
        if (jl_cell_trimmed(row->cells[i]).length > 0 && jl_columns_at(columns, i) == NULL)
            return jl_row_fault(row, i, JL_FORM, COLUMNS_EXPECTED, fault);
    if (columns->what[TIME] != NULL && columns->what[GRAVITY] != NULL) return JL_OK;
    return jl_fault_at(fault, JL_MISSING, row->line, 0, NULL, 0, COLUMNS_EXPECTED);
}

/* The next row that is neither a fact nor a comment. */
static jl_status next_row(reader *r, jl_row *row, jl_fault *fault) {
    jl_status status;
    do status = jl_file_next(&r->file, row, fault);
    while (status == JL_OK && jl_row_is_fact(row));
    return status;
}

static jl_status begin(reader *r, jl_fault *fault) {
    jl_row header;
    jl_status status = jl_file_begin(&r->file, has_gravity, NULL, fault);
    if (status == JL_OK) status = next_row(r, &header, fault);
    if (status == JL_END)
        return jl_fault_at(fault, JL_MISSING, 0, 0, NULL, 0,
                           "a header with the columns time and gravity, and rows below it");
    return status == JL_OK ? read_header(r, &header, fault) : status;
}

/* ---- a row ---- */

/* A cell's text without blanks around it; false when it is empty or not there. */
static bool cell_of(const reader *r, const jl_row *row, role which, jl_cell *cell) {
    *cell = jl_cell_trimmed(jl_columns_cell(&r->columns, row, which));
    return cell->length > 0;
}

static jl_status fault_in(const reader *r, const jl_row *row, role which, jl_status status,
                          const char *expected, jl_fault *fault) {
    return jl_columns_fault(&r->columns, row, which, status, expected, fault);
}

static jl_status read_time(const reader *r, const jl_row *row, entry *out, jl_fault *fault) {
    const jl_wash_log *log = r->log;
    jl_time *time = &out->gravity.time;
    jl_cell cell;
    if (!cell_of(r, row, TIME, &cell))
        return fault_in(r, row, TIME, JL_MISSING, TIME_EXPECTED, fault);
    jl_status status = jl_time_read(cell.text, cell.length, time);
    if (status != JL_OK) return fault_in(r, row, TIME, status, TIME_EXPECTED, fault);
    if (time->unix_s < r->last_s)
        return fault_in(r, row, TIME, JL_CONFLICT, "a time not before that of the row above",
                        fault);
    if (out->step.length == 0 && log->reading_count > 0 &&
        time->unix_s <= log->readings[log->reading_count - 1].time.unix_s)
        return fault_in(r, row, TIME, JL_CONFLICT, "a time after that of the gravity before it",
                        fault);
    return JL_OK;
}

/* An unquoted decimal comma splits a cell and leaves a bare 1, which would pass for 1.000. */
static bool is_bare(const char *text) {
    return strpbrk(text, ".,Pp") == NULL;
}

static jl_status read_gravity(const reader *r, const jl_row *row, entry *out, jl_fault *fault) {
    jl_wash_reading *g = &out->gravity;
    const char *text = jl_columns_cell(&r->columns, row, GRAVITY).text;
    const char *expected = GRAVITY_EXPECTED;
    if (out->step.length > 0) return JL_OK;
    jl_status status = jl_quantity_read(text, JL_GRAVITY, &g->reading);
    if (status != JL_OK) return fault_in(r, row, GRAVITY, status, expected, fault);
    double at_c = isnan(g->temp_c) ? r->instrument.calibrated_c : g->temp_c;
    status = jl_gravity_at_20(&r->instrument, g->reading, at_c, &g->sg);
    bool points =
        g->reading.unit == JL_UNIT_SG && g->reading.value >= 900 && g->reading.value <= 1200;
    if (points) expected = "a gravity with its point, as 1.080: perhaps that was meant";
    if (status == JL_OK && is_bare(text)) {
        status = JL_FORM;
        expected = "a gravity with three decimals, as 1.000; one with a decimal comma stands in "
                   "quotes";
    }
    return status == JL_OK ? JL_OK : fault_in(r, row, GRAVITY, status, expected, fault);
}

static jl_status read_duration(const reader *r, const jl_row *row, entry *out, jl_fault *fault) {
    jl_cell cell;
    jl_quantity duration;
    out->duration_s = NAN;
    if (!cell_of(r, row, DURATION, &cell)) return JL_OK;
    if (out->step.length == 0)
        return fault_in(r, row, DURATION, JL_CONFLICT, "a duration only beside a step", fault);
    jl_status status = jl_quantity_read(cell.text, JL_DURATION, &duration);
    if (status != JL_OK) return fault_in(r, row, DURATION, status, DURATION_EXPECTED, fault);
    out->duration_s = duration.value;
    return JL_OK;
}

/* A row's cells outside the header's columns would be read as nothing: one cell too many is a
 * comma too many. */
static jl_status check_width(const reader *r, const jl_row *row, jl_fault *fault) {
    if (jl_row_used(row) <= r->columns.count) return JL_OK;
    return jl_row_fault(row, r->columns.count, JL_FORM,
                        "no more cells than the header has; text with a comma stands in quotes",
                        fault);
}

static jl_status read_entry(const reader *r, const jl_row *row, entry *out, jl_fault *fault) {
    jl_cell gravity;
    jl_status status = check_width(r, row, fault);
    if (status != JL_OK) return status;
    bool measured = cell_of(r, row, GRAVITY, &gravity);
    bool is_step = cell_of(r, row, STEP, &out->step);
    cell_of(r, row, NOTE, &out->note);
    if (measured && is_step)
        return fault_in(r, row, STEP, JL_CONFLICT, "a gravity or a step in a row, not both", fault);
    if (!measured && !is_step)
        return fault_in(r, row, GRAVITY, JL_MISSING, "a gravity, as 1.062, or a step", fault);
    out->gravity.line = row->line;
    status = read_time(r, row, out, fault);
    if (status == JL_OK)
        status = jl_columns_value(&r->columns, row, TEMP, &out->gravity.temp_c, fault);
    if (status == JL_OK) status = read_duration(r, row, out, fault);
    return status == JL_OK ? read_gravity(r, row, out, fault) : status;
}

/* ---- the record ---- */

static jl_status keep_gravity(jl_wash_log *log, jl_wash_reading g, jl_cell note, jl_fault *fault) {
    if (!jl_grow(&log->readings, log->reading_count, &log->reading_room, sizeof *log->readings))
        return jl_no_memory(fault);
    g.note = strndup(note.text, note.length);
    if (g.note == NULL) return jl_no_memory(fault);
    log->readings[log->reading_count++] = g;
    return JL_OK;
}

static jl_status keep_step(jl_wash_log *log, jl_wash_step step, jl_cell name, jl_fault *fault) {
    if (!jl_grow(&log->steps, log->step_count, &log->step_room, sizeof *log->steps))
        return jl_no_memory(fault);
    step.name = strndup(name.text, name.length);
    if (step.name == NULL) return jl_no_memory(fault);
    log->steps[log->step_count++] = step;
    return JL_OK;
}

/* A step that has no duration takes the usual one; one's own has none. */
static jl_status take_step(const reader *r, const jl_row *row, const entry *e, jl_fault *fault) {
    bool usual = isnan(e->duration_s);
    double duration_s = usual ? usual_wait_s(e->step) : e->duration_s;
    jl_time begins = e->gravity.time;
    if (isnan(duration_s))
        return fault_in(r, row, STEP, JL_MISSING,
                        "a duration beside it, as 24h or 2d: only degas, clear and settle have a "
                        "usual one",
                        fault);
    jl_time ends = {begins.unix_s + (int64_t)llround(duration_s), begins.offset_s};
    return keep_step(r->log, (jl_wash_step){row->line, NULL, begins, ends, duration_s, usual},
                     e->step, fault);
}

static jl_status read_rows(reader *r, jl_fault *fault) {
    jl_row row;
    jl_status status;
    r->last_s = INT64_MIN;
    while ((status = next_row(r, &row, fault)) == JL_OK) {
        entry e = {.duration_s = NAN};
        status = read_entry(r, &row, &e, fault);
        if (status == JL_OK)
            status = e.step.length > 0 ? take_step(r, &row, &e, fault)
                                       : keep_gravity(r->log, e.gravity, e.note, fault);
        if (status != JL_OK) return status;
        r->last_s = e.gravity.time.unix_s;
    }
    return status == JL_END ? JL_OK : status;
}

jl_status jl_wash_log_read(int fd, const jl_hydrometer *instrument, jl_wash_log **log,
                           jl_fault *fault) {
    if (!jl_hydrometer_ok(instrument)) return jl_fault_at(fault, JL_RANGE, 0, 0, NULL, 0, NULL);
    reader r = {.instrument = *instrument, .log = calloc(1, sizeof *r.log)};
    if (r.log == NULL) return jl_no_memory(fault);
    jl_status status = jl_file_read(fd, true, &r.file, fault);
    if (status == JL_OK) status = begin(&r, fault);
    if (status == JL_OK) status = read_rows(&r, fault);
    r.log->torn_line = r.file.torn_line;
    jl_file_free(&r.file);
    if (status == JL_OK)
        *log = r.log;
    else
        jl_wash_log_free(r.log);
    return status;
}

void jl_wash_log_free(jl_wash_log *log) {
    if (log == NULL) return;
    for (size_t i = 0; i < log->step_count; i++) free((char *)log->steps[i].name);
    for (size_t i = 0; i < log->reading_count; i++) free((char *)log->readings[i].note);
    free(log->steps);
    free(log->readings);
    free(log);
}

const jl_wash_reading *jl_wash_log_readings(const jl_wash_log *log, size_t *count) {
    *count = log->reading_count;
    return log->readings;
}

const jl_wash_step *jl_wash_log_steps(const jl_wash_log *log, size_t *count) {
    *count = log->step_count;
    return log->steps;
}

size_t jl_wash_log_torn_line(const jl_wash_log *log) {
    return log->torn_line;
}

jl_status jl_wash_log_judge(const jl_wash_log *log, const jl_finish_rule *rule,
                            jl_ferment *ferment) {
    jl_dated_gravity *dated = calloc(log->reading_count + 1, sizeof *dated);
    if (dated == NULL) return JL_MEMORY;
    for (size_t i = 0; i < log->reading_count; i++)
        dated[i] = (jl_dated_gravity){(double)log->readings[i].time.unix_s, log->readings[i].sg};
    jl_status status = jl_ferment_judge(dated, log->reading_count, rule, ferment);
    free(dated);
    return status;
}
