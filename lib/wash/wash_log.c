/* Wash logs: dated gravities of a fermentation and the waits before the still.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "wash/wash_log.h"
#include "keys/facts.h"
#include "keys/keys.h"
#include "log/columns.h"
#include "log/file.h"
#include "text/array.h"
#include "text/letters.h"
#include "text/quantity.h"
#include "text/status.h"
#include "text/timestamp.h"
#include "wash/gravity.h"
#include "wash/recipe.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef enum role { TIME, GRAVITY, TEMP, STEP, DURATION, ADD, NOTE, ROLES } role;

static const char TIME_EXPECTED[] =
    "a date and time, as 2026-09-20 08:00, 20.09.2026 08:00 or 2026-09-20T08:00:00+02:00";
static const char TEMP_EXPECTED[] = "a temperature of " JL_WASH_TEMP_FORMS ", without its unit";
static const char DURATION_EXPECTED[] = "how long the step takes, as 24h or 2d";
static const char COLUMNS_EXPECTED[] = "the columns time and gravity, and of temp_c or temp_f, "
                                       "step, duration, add, note what is needed";

#define TEXT NULL, 0, 0

static const jl_column COLUMNS[] = {
    {"time", TIME, TEXT, TIME_EXPECTED},
    {"gravity", GRAVITY, TEXT, JL_GRAVITY_FORMS},
    {"temp_c", TEMP, &jl_units[JL_C], 0, 40, TEMP_EXPECTED},
    {"temp_f", TEMP, &jl_units[JL_F], 0, 40, TEMP_EXPECTED},
    {"step", STEP, TEXT, ""},
    {"duration", DURATION, TEXT, DURATION_EXPECTED},
    {"add", ADD, TEXT, JL_INGREDIENT_FORMS},
    {"note", NOTE, TEXT, ""},
    {NULL, 0, TEXT, NULL},
};

typedef struct place {
    size_t begin, end;
} place;

struct jl_wash_log {
    jl_file file;
    jl_locked_file lock; /* fd below 0: it was only read */
    jl_columns columns;
    jl_hydrometer instrument;
    double correction_c; /* of the thermometer, added to every temperature */
    jl_facts *facts;
    double volume_l;
    jl_trouble trouble;
    jl_wash_added *added;
    jl_ingredient *ingredients; /* of the same */
    size_t added_count, added_room, ingredient_room;
    jl_wash_reading *readings;
    size_t reading_count, reading_room;
    jl_wash_reading *left_out; /* that cannot be */
    size_t left_out_count, left_out_room;
    jl_wash_step *steps;
    size_t step_count, step_room;
    bool any_before;
    jl_time before; /* of the last row that has one */
    size_t times_unread;
    jl_fault time_fault; /* of the first of them */
    jl_typed_times typed;
    place *rows; /* the header, then each row: where it lies in the file */
    size_t row_count, row_room;
};

/* A row as it stands there: a gravity, a step, or what went in. */
typedef struct entry {
    jl_wash_reading gravity; /* of a step its line and time hold too */
    jl_cell step, add;       /* both empty: a gravity */
    jl_ingredient in;
    jl_cell note;
    double duration_s; /* NaN: not given */
} entry;

/* ---- waits ---- */

const jl_usual_wait *jl_usual_waits(size_t *count) {
    /* In their usual order. Common practice, no source. */
    static const jl_usual_wait WAITS[] = {
        {"degas", JL_DAY_S, "let carbon dioxide out, which foams in the boiler"},
        {"clear", JL_DAY_S, "a clearing agent, if you use one"},
        {"settle", 2 * JL_DAY_S, "let the lees sink, which scorch"},
    };
    *count = sizeof WAITS / sizeof WAITS[0];
    return WAITS;
}

/* What people write for them; and what takes no time, NULL. */
static const struct {
    const char *written, *wait;
} OTHER_WORDS[] = {{"degassed", "degas"}, {"cleared", "clear"}, {"settled", "settle"},
                   {"stirred", NULL},     {"racked", NULL},     {"pitched", NULL}};

enum { OTHER_WORDS_COUNT = sizeof OTHER_WORDS / sizeof OTHER_WORDS[0] };

static double usual_wait_s(jl_cell step) {
    size_t count;
    const jl_usual_wait *waits = jl_usual_waits(&count);
    for (size_t i = 0; i < OTHER_WORDS_COUNT; i++)
        if (jl_cell_is(step, OTHER_WORDS[i].written)) {
            if (OTHER_WORDS[i].wait == NULL) return 0;
            step = (jl_cell){.text = OTHER_WORDS[i].wait, .length = strlen(OTHER_WORDS[i].wait)};
        }
    for (size_t i = 0; i < count; i++)
        if (jl_cell_is(step, waits[i].name)) return waits[i].duration_s;
    return NAN;
}

/* So far a gravity may be off that was read in haste. Common practice, no source. */
static const double SLIP_SG = 0.015;

/* No fermentation raises it by more. Common practice, no source. */
static const double RISE_SG = 0.003;

/* Common practice, no source: nor is it faster. */
bool jl_wash_sg_follows(double before_sg, double sg, double days) {
    const double fall_sg_day = 0.045;
    double fall_sg = SLIP_SG + fall_sg_day * (isnan(days) ? 1 : fmax(days, 0));
    return jl_between(sg, before_sg - fall_sg, before_sg + RISE_SG);
}

bool jl_wash_temp_follows(double before_c, double temp_c) {
    const double step_c = 12;
    return !(fabs(temp_c - before_c) > step_c); /* nor where there was none */
}

double jl_wash_usual_wait_s(const char *step) {
    return usual_wait_s((jl_cell){.text = step, .length = strlen(step)});
}

const char *jl_wash_known_step(size_t at) {
    size_t count;
    const jl_usual_wait *waits = jl_usual_waits(&count);
    if (at < count) return waits[at].name;
    return at - count < OTHER_WORDS_COUNT ? OTHER_WORDS[at - count].written : NULL;
}

static bool is_step(const char *written, const char *name) {
    for (size_t i = 0; i < OTHER_WORDS_COUNT; i++)
        if (OTHER_WORDS[i].wait != NULL && jl_same_letters(written, OTHER_WORDS[i].written))
            written = OTHER_WORDS[i].wait;
    return jl_same_letters(written, name);
}

bool jl_wash_has_step(const jl_wash_log *log, const char *name) {
    for (size_t i = 0; i < log->step_count; i++)
        if (is_step(log->steps[i].name, name)) return true;
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

static bool has_gravity(const jl_row *header) {
    for (size_t i = 0; i < header->count; i++)
        if (jl_cell_is(jl_cell_trimmed(header->cells[i]), COLUMNS[GRAVITY].name)) return true;
    return false;
}

/* A name that is not known is refused: what is measured beside a gravity would be read as nothing. */
static jl_status read_header(jl_wash_log *log, const jl_row *row, jl_fault *fault) {
    jl_columns *columns = &log->columns;
    jl_status status = jl_columns_read(COLUMNS, row, log->file.dialect.delimiter, columns, fault);
    if (status != JL_OK) return status;
    for (size_t i = 0; i < columns->count; i++)
        if (jl_cell_trimmed(row->cells[i]).length > 0 && jl_columns_at(columns, i) == NULL)
            return jl_row_fault(row, i, JL_FORM, COLUMNS_EXPECTED, fault);
    if (columns->what[TIME] != NULL && columns->what[GRAVITY] != NULL) return JL_OK;
    return jl_fault_at(fault, JL_MISSING, row->line, 0, NULL, 0, COLUMNS_EXPECTED);
}

static jl_status take_fact(jl_wash_log *log, const jl_row *row, jl_fault *fault) {
    const jl_fact *fact;
    jl_status status = jl_facts_add(log->facts, row, log->file.dialect.delimiter, &fact, fault);
    if (status != JL_OK || fact == NULL || strcmp(fact->key, "kind") != 0) return status;
    if (jl_same_letters(fact->text, "wash")) return JL_OK;
    return jl_row_fault(row, 1, JL_CONFLICT, "a wash log: #kind,wash", fault);
}

/* The next row that is neither a fact nor a comment. */
static jl_status next_row(jl_wash_log *log, jl_row *row, jl_fault *fault) {
    jl_status status = jl_file_next(&log->file, row, fault);
    while (status == JL_OK && jl_row_is_fact(row)) {
        status = take_fact(log, row, fault);
        if (status == JL_OK) status = jl_file_next(&log->file, row, fault);
    }
    return status;
}

static jl_status keep_place(jl_wash_log *log, const jl_row *row, jl_fault *fault) {
    if (!jl_grow(&log->rows, log->row_count, &log->row_room, sizeof *log->rows))
        return jl_no_memory(fault);
    log->rows[log->row_count++] = (place){row->begin, row->end};
    return JL_OK;
}

/* It stands above the header; 0 where it does not. */
static jl_status read_correction(jl_wash_log *log, jl_fault *fault) {
    jl_quantity stated = {0, JL_UNIT_BASE};
    const jl_key *key = &jl_keys[JL_KEY_THERMOMETER_CORRECTION];
    jl_status status = jl_facts_quantity(log->facts, &key->fact, &stated, fault);
    log->correction_c = stated.value;
    return status == JL_MISSING ? JL_OK : status;
}

static double true_c(const jl_wash_log *log, double temp_c) {
    return isnan(temp_c) ? log->instrument.calibrated_c : temp_c + log->correction_c;
}

static jl_status begin(jl_wash_log *log, jl_fault *fault) {
    jl_row header;
    jl_status status = jl_file_begin(&log->file, has_gravity, fault);
    if (status == JL_OK) status = next_row(log, &header, fault);
    if (status == JL_END)
        return jl_plain_fault(fault, JL_MISSING,
                              "a header with the columns time and gravity, and rows below it");
    if (status == JL_OK) status = read_header(log, &header, fault);
    if (status == JL_OK) status = read_correction(log, fault);
    return status == JL_OK ? keep_place(log, &header, fault) : status;
}

/* ---- a row ---- */

/* A cell's text without blanks around it; false when it is empty or not there. */
static bool cell_of(const jl_wash_log *log, const jl_row *row, role which, jl_cell *cell) {
    *cell = jl_cell_trimmed(jl_columns_cell(&log->columns, row, which));
    return cell->length > 0;
}

static jl_status fault_in(const jl_wash_log *log, const jl_row *row, role which, jl_status status,
                          const char *expected, jl_fault *fault) {
    return jl_columns_fault(&log->columns, row, which, status, expected, fault);
}

/* One that cannot be read leaves the row without; one with two readings is refused. */
static jl_status pass_over_time(jl_wash_log *log, const jl_row *row, jl_status status,
                                jl_fault *fault) {
    jl_fault own;
    fault_in(log, row, TIME, status, TIME_EXPECTED, &own);
    if (status == JL_AMBIGUOUS) {
        if (fault != NULL) *fault = own;
        return status;
    }
    if (log->times_unread++ == 0) log->time_fault = own;
    return JL_OK;
}

const jl_wash_reading *jl_wash_log_last_dated(const jl_wash_log *log) {
    size_t i = log->reading_count;
    while (i > 0 && !log->readings[i - 1].has_time) i--;
    return i == 0 ? NULL : &log->readings[i - 1];
}

static jl_status read_time(jl_wash_log *log, const jl_row *row, entry *out, jl_fault *fault) {
    jl_time *time = &out->gravity.time;
    jl_cell cell;
    if (!cell_of(log, row, TIME, &cell))
        return fault_in(log, row, TIME, JL_MISSING, TIME_EXPECTED, fault);
    jl_status status = jl_time_in_cell(cell.text, cell.length,
                                       log->any_before ? &log->before : NULL, time, &log->typed);
    out->gravity.has_time = status == JL_OK;
    if (status != JL_OK) {
        *time = (jl_time){0, 0};
        return pass_over_time(log, row, status, fault);
    }
    if (log->any_before && time->unix_s < log->before.unix_s)
        return fault_in(log, row, TIME, JL_CONFLICT, "a time not before that of the row above",
                        fault);
    const jl_wash_reading *last = jl_wash_log_last_dated(log);
    if (out->step.length == 0 && out->add.length == 0 && last != NULL &&
        time->unix_s <= last->time.unix_s)
        return fault_in(log, row, TIME, JL_CONFLICT, "a time after that of the gravity before it",
                        fault);
    return JL_OK;
}

static jl_status read_gravity(const jl_wash_log *log, const jl_row *row, entry *out,
                              jl_fault *fault) {
    jl_wash_reading *g = &out->gravity;
    const char *text = jl_columns_cell(&log->columns, row, GRAVITY).text;
    const char *expected = JL_GRAVITY_FORMS;
    if (out->step.length > 0 || out->add.length > 0) return JL_OK;
    jl_status status = jl_quantity_read(text, JL_GRAVITY, &g->reading);
    if (status != JL_OK) return fault_in(log, row, GRAVITY, status, expected, fault);
    status = jl_gravity_at_20(&log->instrument, g->reading, true_c(log, g->temp_c), &g->sg);
    /* An unquoted decimal comma splits a cell and leaves a bare 1, which would pass for 1.000. */
    if (status == JL_OK && jl_gravity_is_bare(text)) {
        status = JL_FORM;
        expected = "a gravity with three decimals, as 1.000; one with a decimal comma stands in "
                   "quotes";
    }
    return status == JL_OK ? JL_OK : fault_in(log, row, GRAVITY, status, expected, fault);
}

static jl_status read_duration(const jl_wash_log *log, const jl_row *row, entry *out,
                               jl_fault *fault) {
    jl_cell cell;
    jl_quantity duration;
    out->duration_s = NAN;
    if (!cell_of(log, row, DURATION, &cell)) return JL_OK;
    if (out->step.length == 0)
        return fault_in(log, row, DURATION, JL_CONFLICT, "a duration only beside a step", fault);
    jl_status status = jl_quantity_read(cell.text, JL_DURATION, &duration);
    if (status != JL_OK) return fault_in(log, row, DURATION, status, DURATION_EXPECTED, fault);
    out->duration_s = duration.value;
    return JL_OK;
}

static jl_status read_added(const jl_wash_log *log, const jl_row *row, entry *out,
                            jl_fault *fault) {
    if (out->add.length == 0) return JL_OK;
    jl_status status = jl_ingredient_read(out->add.text, out->add.length, &out->in);
    return status == JL_OK ? JL_OK : fault_in(log, row, ADD, status, JL_INGREDIENT_FORMS, fault);
}

/* A row's cells outside the header's columns would be read as nothing: one cell too many is a
 * comma too many. */
static jl_status check_width(const jl_wash_log *log, const jl_row *row, jl_fault *fault) {
    if (jl_row_used(row) <= log->columns.count) return JL_OK;
    return jl_row_fault(row, log->columns.count, JL_FORM,
                        "no more cells than the header has; text with a comma stands in quotes",
                        fault);
}

static jl_status read_entry(jl_wash_log *log, const jl_row *row, entry *out, jl_fault *fault) {
    jl_cell gravity;
    jl_status status = check_width(log, row, fault);
    if (status != JL_OK) return status;
    bool measured = cell_of(log, row, GRAVITY, &gravity);
    bool is_step = cell_of(log, row, STEP, &out->step);
    cell_of(log, row, NOTE, &out->note);
    bool went_in = cell_of(log, row, ADD, &out->add);
    if (measured && is_step)
        return fault_in(log, row, STEP, JL_CONFLICT, "a gravity or a step in a row, not both",
                        fault);
    if (went_in && (measured || is_step))
        return fault_in(log, row, ADD, JL_CONFLICT,
                        "what went in on a row of its own, without a gravity or a step", fault);
    if (!measured && !is_step && !went_in)
        return fault_in(log, row, GRAVITY, JL_MISSING,
                        "a gravity, as 1.062, a step, or what went in (add)", fault);
    out->gravity.line = row->line;
    status = read_time(log, row, out, fault);
    if (status == JL_OK)
        status = jl_columns_value(&log->columns, row, TEMP, &out->gravity.temp_c, fault);
    if (status == JL_OK) status = read_duration(log, row, out, fault);
    if (status == JL_OK) status = read_added(log, row, out, fault);
    return status == JL_OK ? read_gravity(log, row, out, fault) : status;
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
static jl_status take_step(jl_wash_log *log, const jl_row *row, const entry *e, jl_fault *fault) {
    bool usual = isnan(e->duration_s);
    double duration_s = usual ? usual_wait_s(e->step) : e->duration_s;
    jl_time begins = e->gravity.time;
    if (isnan(duration_s))
        return fault_in(log, row, STEP, JL_MISSING,
                        "a duration beside it, as 24h or 2d: only degas, clear and settle have a "
                        "usual one, and stirred, racked and pitched none",
                        fault);
    jl_time ends = {begins.unix_s + (int64_t)llround(duration_s), begins.offset_s};
    return keep_step(log, (jl_wash_step){row->line, NULL, begins, ends, duration_s, usual}, e->step,
                     fault);
}

static jl_status keep_added(jl_wash_log *log, const entry *e, jl_fault *fault) {
    if (!jl_grow(&log->added, log->added_count, &log->added_room, sizeof *log->added) ||
        !jl_grow(&log->ingredients, log->added_count, &log->ingredient_room,
                 sizeof *log->ingredients))
        return jl_no_memory(fault);
    log->ingredients[log->added_count] = e->in;
    log->added[log->added_count++] =
        (jl_wash_added){e->gravity.line, e->gravity.time, e->in, e->gravity.has_time};
    return JL_OK;
}

/* A step without its time waits for nothing that could be said. */
static jl_status keep(jl_wash_log *log, const jl_row *row, const entry *e, jl_fault *fault) {
    if (e->add.length > 0) return keep_added(log, e, fault);
    if (e->step.length > 0) return e->gravity.has_time ? take_step(log, row, e, fault) : JL_OK;
    return keep_gravity(log, e->gravity, e->note, fault);
}

static jl_status read_rows(jl_wash_log *log, jl_fault *fault) {
    jl_row row;
    jl_status status;
    while ((status = next_row(log, &row, fault)) == JL_OK) {
        entry e = {.duration_s = NAN};
        status = read_entry(log, &row, &e, fault);
        if (status == JL_OK) status = keep(log, &row, &e, fault);
        if (status == JL_OK) status = keep_place(log, &row, fault);
        if (status != JL_OK) return status;
        if (e.gravity.has_time) log->before = e.gravity.time;
        log->any_before = log->any_before || e.gravity.has_time;
    }
    return status == JL_END ? JL_OK : status;
}

/* NaN where it is not stated. */
static jl_status read_volume(jl_wash_log *log, jl_fault *fault) {
    jl_quantity stated = {NAN, JL_UNIT_BASE};
    jl_status status = jl_facts_quantity(log->facts, &jl_keys[JL_KEY_WASH].fact, &stated, fault);
    log->volume_l = stated.value;
    return status == JL_MISSING ? JL_OK : status;
}

/* ---- what went in beside the gravities ---- */

/* By their rows where one of them has no time: a log is in order of time. */
static bool is_after(const jl_wash_added *in, const jl_wash_reading *reading) {
    if (!in->has_time || !reading->has_time) return in->line > reading->line;
    return in->time.unix_s > reading->time.unix_s;
}

/* What was in by a reading; NULL: all. */
static jl_status recipe_in(const jl_wash_log *log, double volume_l, const jl_wash_reading *by,
                           jl_recipe *recipe) {
    size_t count = log->added_count;
    while (by != NULL && count > 0 && is_after(&log->added[count - 1], by)) count--;
    return jl_recipe_of(log->ingredients, count, volume_l, recipe);
}

/* Of what went in between two readings; until NULL: to the end. */
static double solids_between_kg(const jl_wash_log *log, const jl_wash_reading *after,
                                const jl_wash_reading *until) {
    double kg = 0;
    for (size_t i = 0; i < log->added_count; i++) {
        const jl_wash_added *a = &log->added[i];
        if (a->in.sugar_kg > 0 && is_after(a, after) && (until == NULL || !is_after(a, until)))
            kg += a->in.sugar_kg + a->in.solids_kg;
    }
    return kg;
}

/* Up to what a gravity may have risen with what went in after it. */
static double raised_by(const jl_wash_log *log, const jl_wash_reading *reading,
                        const jl_wash_reading *until) {
    double raised_sg = NAN, kg = solids_between_kg(log, reading, until);
    if (kg == 0) return reading->sg;
    if (log->volume_l > 0) jl_gravity_raise(reading->sg, kg / log->volume_l, &raised_sg);
    return raised_sg;
}

double jl_wash_log_raised_sg(const jl_wash_log *log, const jl_wash_reading *reading) {
    return raised_by(log, reading, NULL);
}

bool jl_wash_log_rises(const jl_wash_log *log, size_t at) {
    const jl_wash_reading *r = &log->readings[at];
    return at > 0 && r->sg > raised_by(log, r - 1, r) + RISE_SG;
}

/* The highest that can follow the first of its readings, by what was in by then; until NULL: by all. */
static double most_behind(const jl_wash_log *log, size_t count, const jl_wash_reading *until) {
    jl_recipe recipe;
    bool known = recipe_in(log, log->volume_l, until, &recipe) == JL_OK;
    double most_sg = known ? recipe.original_sg : NAN;
    for (size_t i = 0; i < count; i++) {
        double raised_sg = raised_by(log, &log->readings[i], until);
        if (isnan(raised_sg)) return NAN;
        most_sg = fmax(most_sg, raised_sg);
    }
    return count == 0 ? NAN : most_sg + SLIP_SG;
}

double jl_wash_log_most_sg(const jl_wash_log *log) {
    return most_behind(log, log->reading_count, NULL);
}

/* A gravity above all that this wash can have is one of another, or a slip of the pen. */
static jl_status leave_out(jl_wash_log *log, jl_fault *fault) {
    size_t kept = 0;
    for (size_t i = 0; i < log->reading_count; i++) {
        jl_wash_reading r = log->readings[i];
        bool out = r.sg > most_behind(log, kept, &r);
        if (!out)
            log->readings[kept++] = r;
        else if (jl_grow(&log->left_out, log->left_out_count, &log->left_out_room,
                         sizeof *log->left_out))
            log->left_out[log->left_out_count++] = r;
        else
            return jl_no_memory(fault);
    }
    log->reading_count = kept;
    return JL_OK;
}

const jl_wash_reading *jl_wash_log_left_out(const jl_wash_log *log, size_t *count) {
    *count = log->left_out_count;
    return log->left_out;
}

/* Takes the file's bytes, whatever it returns. */
static jl_status log_of_file(jl_file *file, const jl_hydrometer *instrument, jl_wash_log **made,
                             jl_fault *fault) {
    jl_wash_log *log = calloc(1, sizeof *log);
    if (log == NULL) {
        jl_file_free(file);
        return jl_no_memory(fault);
    }
    *log = (jl_wash_log){.file = *file, .lock.fd = -1, .instrument = *instrument};
    jl_status status = jl_facts_new(&log->facts);
    if (status != JL_OK) jl_plain_fault(fault, status, NULL);
    if (status == JL_OK) status = begin(log, fault);
    if (status == JL_OK) status = read_rows(log, fault);
    if (status == JL_OK) status = read_volume(log, fault);
    if (status == JL_OK) status = leave_out(log, fault);
    jl_file_end(&log->file);
    if (status == JL_OK)
        *made = log;
    else
        jl_wash_log_free(log);
    return status;
}

jl_status jl_wash_log_read(int fd, const jl_hydrometer *instrument, jl_wash_log **log,
                           jl_fault *fault) {
    jl_file file;
    if (!jl_hydrometer_ok(instrument)) return jl_plain_fault(fault, JL_RANGE, NULL);
    jl_status status = jl_file_read(fd, true, &file, fault);
    return status == JL_OK ? log_of_file(&file, instrument, log, fault) : status;
}

void jl_wash_log_free(jl_wash_log *log) {
    if (log == NULL) return;
    if (log->lock.fd >= 0) jl_locked_file_release(&log->lock);
    for (size_t i = 0; i < log->step_count; i++) free((char *)log->steps[i].name);
    for (size_t i = 0; i < log->reading_count; i++) free((char *)log->readings[i].note);
    free(log->steps);
    for (size_t i = 0; i < log->left_out_count; i++) free((char *)log->left_out[i].note);
    free(log->readings);
    free(log->left_out);
    free(log->added);
    free(log->ingredients);
    free(log->rows);
    jl_facts_free(log->facts);
    jl_file_free(&log->file);
    free(log);
}

const jl_facts *jl_wash_log_facts(const jl_wash_log *log) {
    return log->facts;
}

const jl_wash_added *jl_wash_log_added(const jl_wash_log *log, size_t *count) {
    *count = log->added_count;
    return log->added;
}

const jl_wash_reading *jl_wash_log_readings(const jl_wash_log *log, size_t *count) {
    *count = log->reading_count;
    return log->readings;
}

const jl_wash_step *jl_wash_log_steps(const jl_wash_log *log, size_t *count) {
    *count = log->step_count;
    return log->steps;
}

double jl_wash_log_correction_c(const jl_wash_log *log) {
    return log->correction_c;
}

bool jl_wash_log_waits_twice(const jl_wash_log *log, jl_time *until) {
    if (log->step_count == 0) return false;
    const jl_wash_step *last = &log->steps[log->step_count - 1];
    for (const jl_wash_step *s = log->steps; s < last; s++)
        if (s->ends.unix_s > last->begins.unix_s && jl_same_letters(s->name, last->name)) {
            *until = s->ends;
            return true;
        }
    return false;
}

bool jl_wash_log_last_time(const jl_wash_log *log, jl_time *time) {
    if (log->any_before) *time = log->before;
    return log->any_before;
}

const jl_typed_times *jl_wash_log_typed_times(const jl_wash_log *log) {
    return &log->typed;
}

size_t jl_wash_log_unread_times(const jl_wash_log *log, jl_fault *first) {
    *first = log->time_fault;
    return log->times_unread;
}

size_t jl_wash_log_torn_line(const jl_wash_log *log) {
    return log->file.torn_line;
}

/* Half width of the volume of a wash, as a share of it. Common practice, no source. */
static const double VOLUME_SHARE = 0.1;

/* A gravity is read to a division. */
static bool can_give(const jl_wash_log *log, double volume_l, const jl_wash_reading *reading,
                     double *most_sg) {
    jl_recipe r = {.original_sg = 1, .strength_pct = 1};
    jl_status status = recipe_in(log, volume_l, reading, &r);
    double u_share = hypot(r.strength_u_pct / r.strength_pct, VOLUME_SHARE / sqrt(3));
    double u_sg = (r.original_sg - 1) * u_share;
    *most_sg = r.original_sg;
    return (status != JL_OK && status != JL_MISSING) ||
           reading->sg <=
               *most_sg + JL_COVERAGE_K * hypot(u_sg, log->instrument.division_sg / sqrt(3));
}

const jl_wash_reading *jl_wash_log_unaccounted(const jl_wash_log *log, double volume_l,
                                               double *most_sg) {
    jl_recipe all;
    if (isnan(volume_l)) volume_l = log->volume_l;
    if (recipe_in(log, volume_l, NULL, &all) != JL_OK) return NULL;
    for (size_t i = 0; i < log->reading_count; i++)
        if (!can_give(log, volume_l, &log->readings[i], most_sg)) return &log->readings[i];
    return NULL;
}

bool jl_wash_log_rule(const jl_wash_log *log, jl_finish_rule *rule) {
    jl_recipe recipe;
    *rule = JL_FINISH_RULE;
    rule->division_sg = log->instrument.division_sg;
    double most_sg;
    if (recipe_in(log, log->volume_l, NULL, &recipe) != JL_OK) return false;
    rule->expected_sg = jl_recipe_end_sg(&recipe);
    rule->expected_within_sg = JL_COVERAGE_K * recipe.expected_final_u_sg;
    return jl_wash_log_unaccounted(log, log->volume_l, &most_sg) == NULL;
}

jl_status jl_wash_log_recipe(const jl_wash_log *log, jl_recipe *recipe) {
    double most_sg;
    jl_recipe all;
    jl_status status = recipe_in(log, log->volume_l, NULL, &all);
    if (status == JL_OK && jl_wash_log_unaccounted(log, log->volume_l, &most_sg) != NULL)
        status = JL_CONFLICT;
    if (status == JL_OK) *recipe = all;
    return status;
}

static jl_wash_gravity gravity_of(const jl_wash_log *log, const jl_wash_reading *r) {
    return (jl_wash_gravity){true, r->reading, true_c(log, r->temp_c)};
}

/* What went in stands for an original gravity that was not read; where it gives no more than the last one,
 * nothing has fermented, and it is all still to come. */
static void take_recipe(const jl_wash_log *log, bool later, jl_wash *w) {
    jl_recipe by_then = {.original_sg = 0};
    const jl_wash_reading *last = &log->readings[log->reading_count - 1];
    bool any = recipe_in(log, w->volume_l, last, &by_then) == JL_OK;
    if (log->reading_count == 1 || later) w->original.known = false;
    if (any && (w->original.known || last->sg < by_then.original_sg))
        w->recipe = by_then;
    else
        w->original.known = w->final.known = false;
}

/* The gravities alone: what went in between them raises the first. */
static void take_gravities(const jl_wash_log *log, double later_kg, jl_wash *w) {
    double raised_sg;
    double later_kg_l = w->volume_l > 0 ? later_kg / w->volume_l : 0;
    w->original.known =
        log->reading_count > 1 && jl_gravity_raise(log->readings[0].sg, later_kg_l, &raised_sg);
    w->later_kg_l = w->original.known ? later_kg_l : 0;
}

static void take_readings(const jl_wash_log *log, jl_wash *w) {
    const jl_wash_reading *first = &log->readings[0], *last = first + log->reading_count - 1;
    double later_kg = solids_between_kg(log, first, last);
    w->original = gravity_of(log, first);
    w->final = gravity_of(log, last);
    if (w->has_recipe)
        take_recipe(log, later_kg > 0, w);
    else
        take_gravities(log, later_kg, w);
}

jl_status jl_wash_log_wash(const jl_wash_log *log, jl_wash *wash) {
    jl_wash w = *wash;
    double most_sg;
    if (wash->size != sizeof *wash) return JL_RANGE;
    if (isnan(w.volume_l)) w.volume_l = log->volume_l;
    w.hydrometer = log->instrument;
    w.has_recipe = recipe_in(log, w.volume_l, NULL, &w.recipe) == JL_OK &&
                   jl_wash_log_unaccounted(log, w.volume_l, &most_sg) == NULL;
    if (w.has_recipe) w.kind = w.recipe.kind;
    if (log->reading_count > 0) take_readings(log, &w);
    *wash = w;
    return JL_OK;
}

/* How many of the last readings with a time have all the sugar in them. */
static size_t since_sugar(const jl_wash_log *log) {
    size_t count = 0;
    for (size_t i = log->reading_count; i-- > 0;) {
        if (solids_between_kg(log, &log->readings[i], NULL) > 0) break;
        count += log->readings[i].has_time;
    }
    return count;
}

/* Sugar went in, and what it does is still to be seen. */
static jl_ferment just_fed(const jl_dated_gravity *last) {
    return (jl_ferment){
        .state = JL_WORKING, .still_since_s = last->time_s, .finishes_s = NAN, .left_s = NAN};
}

jl_status jl_wash_log_judge(const jl_wash_log *log, const jl_finish_rule *rule,
                            jl_ferment *ferment) {
    jl_dated_gravity *dated = calloc(log->reading_count + 1, sizeof *dated);
    if (dated == NULL) return JL_MEMORY;
    size_t count = 0, since = since_sugar(log);
    for (size_t i = 0; i < log->reading_count; i++)
        if (log->readings[i].has_time)
            dated[count++] =
                (jl_dated_gravity){(double)log->readings[i].time.unix_s, log->readings[i].sg};
    jl_status status = jl_ferment_judge(dated, count, rule, ferment);
    if (status == JL_OK && since < 2)
        *ferment = just_fed(&dated[count - 1]);
    else if (status == JL_OK && since < count)
        status = jl_ferment_judge(dated + count - since, since, rule, ferment);
    free(dated);
    return status;
}

/* ---- writing ---- */

static const jl_dialect NEW_DIALECT = {',', false, false};
static const char NEW_HEADER[] = "time,gravity,temp_c,step,duration,add,note\n";

static void add_word(jl_text *text, const jl_dialect *dialect, const char *word) {
    if (word != NULL) jl_cell_add(text, dialect, word, strlen(word));
}

/* In the digits that were read, with this file's decimal sign. */
static void add_gravity(jl_text *text, const jl_dialect *dialect, const char *gravity) {
    char digits[32];
    size_t n = 0;
    for (; gravity[n] != '\0' && n + 1 < sizeof digits; n++)
        digits[n] = dialect->comma && gravity[n] == '.' ? ',' : gravity[n];
    digits[n] = '\0';
    add_word(text, dialect, digits);
}

static void add_cell(jl_text *text, const jl_dialect *dialect, const jl_column *column,
                     const jl_wash_entry *e, const char *moment) {
    switch ((role)column->role) {
    case TIME:
        add_word(text, dialect, moment);
        break;
    case GRAVITY:
        if (e->gravity != NULL) add_gravity(text, dialect, e->gravity);
        break;
    case TEMP:
        if (!isnan(e->temp_c))
            jl_cell_add_number(text, dialect, jl_column_number(column, e->temp_c));
        break;
    case STEP:
        add_word(text, dialect, e->step);
        break;
    case DURATION:
        add_word(text, dialect, e->duration);
        break;
    case ADD:
        add_word(text, dialect, e->add);
        break;
    default:
        if (e->note != NULL) jl_cell_add_note(text, dialect, e->note, strlen(e->note));
        break;
    }
}

/* With columns for all that an entry has. */
static void columns_for(const jl_wash_entry *e, jl_columns *columns) {
    const bool has[ROLES] = {
        [GRAVITY] = e->gravity != NULL, [TEMP] = !isnan(e->temp_c),       [STEP] = e->step != NULL,
        [ADD] = e->add != NULL,         [DURATION] = e->duration != NULL, [NOTE] = e->note != NULL};
    for (const jl_column *c = COLUMNS; c->name != NULL; c++)
        if (has[c->role] && columns->what[c->role] == NULL) jl_columns_add(columns, c);
}

static void widen(const jl_wash_log *log, const jl_columns *more, jl_edit *edit) {
    for (size_t row = 0; row < log->row_count; row++)
        jl_edit_widen(edit, log->rows[row].begin, log->rows[row].end, &log->columns, more,
                      row == 0);
}

static jl_status add_row(const jl_columns *columns, const jl_dialect *dialect,
                         const jl_wash_entry *e, jl_text *row) {
    char moment[JL_TIME_BYTES];
    jl_status status = jl_time_write(e->time, moment, sizeof moment);
    if (status != JL_OK) return status;
    for (size_t at = 0; at < columns->cells; at++) {
        const jl_column *column = jl_columns_at(columns, at);
        if (at > 0) jl_delimiter_add(row, dialect);
        if (column != NULL) add_cell(row, dialect, column, e, moment);
    }
    jl_line_end_add(row, dialect);
    return row->failed ? JL_MEMORY : JL_OK;
}

static jl_status columns_of_new(jl_columns *columns) {
    jl_rows *rows;
    jl_row header;
    jl_status status = jl_rows_open(NEW_HEADER, sizeof NEW_HEADER - 1, ',', &rows);
    if (status != JL_OK) return status;
    status = jl_rows_next(rows, &header, NULL);
    if (status == JL_OK) status = jl_columns_read(COLUMNS, &header, ',', columns, NULL);
    jl_rows_close(rows);
    return status;
}

/* Reads what is about to be written, so that nothing is written that cannot be read. */
static jl_status check_text(const jl_text *text, const jl_hydrometer *instrument,
                            jl_wash_log **made, jl_fault *fault) {
    jl_file file;
    if (jl_file_of_text(text, &file) != JL_OK) return jl_no_memory(fault);
    return log_of_file(&file, instrument, made, fault);
}

jl_status jl_wash_log_create(const char *path, const jl_fact_entry *facts, size_t fact_count,
                             const jl_wash_entry *entries, size_t count, jl_fault *fault,
                             jl_trouble *trouble) {
    static const jl_fact_entry FIRST[] = {{.key = "jarline", .values = {1}, .count = 1},
                                          {.key = "kind", .text = "wash"}};
    jl_columns columns = {0};
    jl_text text = {0};
    jl_wash_log *made;
    const jl_hydrometer instrument = JL_HYDROMETER;
    jl_status status = columns_of_new(&columns);
    for (size_t i = 0; i < 2; i++) jl_fact_add(&text, &NEW_DIALECT, &FIRST[i]);
    for (size_t i = 0; i < fact_count && status == JL_OK; i++) {
        status = jl_fact_entry_ok(&facts[i]) ? JL_OK : JL_FORM;
        jl_fact_add(&text, &NEW_DIALECT, &facts[i]);
    }
    jl_text_add(&text, NEW_HEADER, sizeof NEW_HEADER - 1);
    for (size_t i = 0; i < count && status == JL_OK; i++)
        status = add_row(&columns, &NEW_DIALECT, &entries[i], &text);
    if (status != JL_OK) jl_plain_fault(fault, status, "text in one line");
    if (status == JL_OK) status = check_text(&text, &instrument, &made, fault);
    if (status == JL_OK) {
        jl_wash_log_free(made);
        status = jl_create(path, text.bytes, text.length, trouble);
        if (status != JL_OK) jl_plain_fault(fault, status, NULL);
    }
    jl_text_free(&text);
    return status;
}

jl_status jl_wash_log_open(const char *path, double wait_s, const jl_hydrometer *instrument,
                           jl_wash_log **log, jl_fault *fault, jl_trouble *trouble) {
    jl_locked_file lock;
    jl_file file;
    if (!jl_hydrometer_ok(instrument)) return jl_plain_fault(fault, JL_RANGE, NULL);
    jl_status status = jl_file_hold(path, wait_s, &lock, &file, fault, trouble);
    if (status != JL_OK) return status;
    status = log_of_file(&file, instrument, log, fault);
    if (status == JL_OK)
        (*log)->lock = lock;
    else
        jl_locked_file_release(&lock);
    return status;
}

/* The log has become what was made of it, and is held as before. */
static void take_over(jl_wash_log *log, jl_wash_log *made) {
    jl_wash_log old = *log;
    *log = *made;
    log->lock = old.lock;
    *made = old;
    made->lock.fd = -1;
}

/* row: at the end; NULL: none. */
static jl_status put(jl_wash_log *log, jl_edit *edit, const jl_text *row, jl_fault *fault) {
    jl_wash_log *made;
    jl_status status = jl_edit_end(edit, row);
    if (status != JL_OK) return jl_plain_fault(fault, status, NULL);
    status = check_text(&edit->text, &log->instrument, &made, fault);
    if (status == JL_OK) {
        status = jl_file_put(&log->file, &log->lock, &edit->text);
        log->trouble = log->lock.trouble;
        if (status == JL_OK)
            take_over(log, made);
        else
            jl_plain_fault(fault, status, NULL);
        jl_wash_log_free(made);
    }
    jl_text_free(&edit->text);
    return status;
}

static jl_status put_row(jl_wash_log *log, const jl_columns *more, const jl_text *row,
                         jl_fault *fault) {
    jl_edit edit;
    jl_edit_begin(&edit, &log->file);
    widen(log, more, &edit);
    return put(log, &edit, row, fault);
}

jl_status jl_wash_log_write(jl_wash_log *log, const jl_wash_entry *given, jl_fault *fault) {
    jl_text row = {0};
    jl_columns more = log->columns;
    if (log->lock.fd < 0)
        return jl_plain_fault(fault, JL_EXISTS, "a log that was opened for writing");
    columns_for(given, &more);
    jl_status status = add_row(&more, &log->file.dialect, given, &row);
    if (status == JL_OK)
        status = put_row(log, &more, &row, fault);
    else
        jl_plain_fault(fault, status, NULL);
    jl_text_free(&row);
    return status;
}

jl_status jl_wash_log_undo(jl_wash_log *log, char text[JL_WASH_ROW_BYTES], jl_fault *fault) {
    static const char MARK[] = "#undone";
    jl_edit edit;
    const place *last = &log->rows[log->row_count - 1];
    if (log->lock.fd < 0)
        return jl_plain_fault(fault, JL_EXISTS, "a log that was opened for writing");
    if (log->row_count < 2) return jl_plain_fault(fault, JL_MISSING, "a row to undo");
    size_t length = last->end - last->begin, used = 0;
    for (size_t i = 0; i < length && used + 1 < JL_WASH_ROW_BYTES; i++) {
        char c = log->file.bytes[last->begin + i];
        if (c != '\r' && c != '\n') text[used++] = c;
    }
    while (used > 0 && text[used - 1] == log->file.dialect.delimiter) used--;
    text[used] = '\0';
    jl_edit_begin(&edit, &log->file);
    jl_edit_drop(&edit, last->begin, last->begin);
    jl_text_add(&edit.text, MARK, sizeof MARK - 1);
    jl_delimiter_add(&edit.text, &log->file.dialect);
    return put(log, &edit, NULL, fault);
}

jl_trouble jl_wash_log_trouble(const jl_wash_log *log) {
    return log->trouble;
}
