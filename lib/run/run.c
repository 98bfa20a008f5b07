/* The record of a run.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "run/run.h"
#include "run/jars.h"
#include "run/tally.h"
#include "text/array.h"
#include "text/letters.h"
#include "text/quantity.h"
#include "text/status.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* JAR_GONE: it was taken back, and is no longer among the jars. */
typedef enum row_kind { HEADER, FACT, JAR, JAR_UNDONE, JAR_GONE } row_kind;

/* A row that says something. */
typedef struct place {
    uint32_t begin, end; /* its bytes, line end included */
    uint32_t line;
    row_kind kind;
    uint32_t jar; /* its place among the jars, once all are read */
} place;

struct jl_run {
    jl_locked_file lock; /* lock.fd -1: only read */
    jl_file file;
    jl_facts *facts;
    jl_settings settings; /* what they state */
    jl_columns columns;
    jl_jar_reader reader;
    place *places; /* in the order of the file */
    size_t place_count, place_room;
    jl_jar *jars; /* in the order of their numbers */
    size_t count, room;
    jl_tally tally;
    jl_recovery recovery;
    jl_expected *expected;
    size_t expected_count;
    jl_trouble trouble;
};

/* ---- jars that are taken back ---- */

/* "#undone,JAR,TIME" takes back what stands above it under that number, which is free again below. */
typedef struct undo {
    jl_jar_key key;
    size_t place, line;
} undo;

/* A jar or an undo, to be sorted by number and then by place. */
typedef struct event {
    jl_jar_key key;
    bool is_undo;
    size_t place;
    size_t index; /* of the jar, or of the undo */
} event;

typedef struct reading {
    jl_run *run;
    jl_fault *fault;
    bool instrument_read, mark_found;
    bool falls;       /* the numbers of jars do not always go up */
    jl_jar_key above; /* of the jar above */
    undo *undone;
    size_t undone_count, undone_room;
} reading;

static jl_status take_undone(reading *r, const jl_row *row) {
    jl_jar_key key = 0;
    if (row->count < 2 || row->cells[1].length == 0)
        return jl_row_fault(row, 1, JL_MISSING, jl_jar_number_expected, r->fault);
    jl_status status = jl_jar_name_read(row->cells[1].text, row->cells[1].length, &key);
    if (status != JL_OK) return jl_row_fault(row, 1, status, jl_jar_number_expected, r->fault);
    if (!jl_grow(&r->undone, r->undone_count, &r->undone_room, sizeof *r->undone))
        return jl_no_memory(r->fault);
    r->undone[r->undone_count++] = (undo){key, r->run->place_count, row->line};
    return JL_OK;
}

static int compare_events(const void *a, const void *b) {
    const event *x = a, *y = b;
    if (x->key != y->key) return x->key < y->key ? -1 : 1;
    return (x->place > y->place) - (x->place < y->place);
}

static event *sorted_events(const reading *r, size_t *count) {
    const jl_run *run = r->run;
    event *events = malloc((run->count + r->undone_count + 1) * sizeof *events);
    size_t jar = 0;
    *count = 0;
    if (events == NULL) return NULL;
    for (size_t i = 0; i < run->place_count; i++)
        if (run->places[i].kind == JAR) {
            events[(*count)++] = (event){jl_jar_key_of(&run->jars[jar]), false, i, jar};
            jar++;
        }
    for (size_t i = 0; i < r->undone_count; i++)
        events[(*count)++] = (event){r->undone[i].key, true, r->undone[i].place, i};
    qsort(events, *count, sizeof *events, compare_events);
    events[*count] = (event){.key = 0}; /* an end, which is no jar's */
    return events;
}

/* The fault that an editor shows first is told. */
static void conflict(reading *r, jl_status *status, jl_jar_key key, size_t line, size_t column,
                     const char *expected) {
    char name[JL_JAR_NAME_BYTES];
    if (*status != JL_OK && r->fault != NULL && r->fault->line <= line) return;
    jl_jar_name_write(key, name);
    *status = jl_fault_at(r->fault, JL_CONFLICT, line, column, name, strlen(name), expected);
}

/* The events of one number: those before last take back all jars that stand above them. */
static void settle_number(reading *r, const event *events, size_t count, jl_status *status) {
    const jl_run *run = r->run;
    size_t undone = 0; /* of the events, those up to the last undo */
    size_t jars = 0, standing = 0;
    for (size_t i = 0; i < count; i++) {
        jars += !events[i].is_undo;
        if (events[i].is_undo) undone = i;
        if (events[i].is_undo && jars == 0)
            conflict(r, status, events[i].key, r->undone[events[i].index].line, 2,
                     "the number of a jar that stands above");
    }
    for (size_t i = 0; i < count; i++) {
        if (events[i].is_undo) continue;
        if (i < undone)
            run->places[events[i].place].kind = JAR_UNDONE;
        else if (standing++ > 0)
            conflict(r, status, events[i].key, run->jars[events[i].index].line,
                     run->columns.at[JL_ROLE_JAR] + 1, "a number that no jar above has");
    }
}

/* Jars that do not count are no jars of the record; their places stay. */
static void drop_undone(jl_run *run) {
    size_t kept = 0, jar = 0;
    for (size_t i = 0; i < run->place_count; i++) {
        row_kind *kind = &run->places[i].kind;
        if (*kind == JAR) run->jars[kept++] = run->jars[jar++];
        if (*kind != JAR_UNDONE) continue;
        free((char *)run->jars[jar++].note);
        *kind = JAR_GONE;
    }
    run->count = kept;
}

static void find_highest(jl_run *run) {
    run->reader.highest = 0;
    for (size_t i = 0; i < run->count; i++)
        if (run->jars[i].number > run->reader.highest) run->reader.highest = run->jars[i].number;
}

static jl_status settle_numbers(reading *r) {
    jl_status status = JL_OK;
    size_t count, from = 0;
    if (r->undone_count == 0 && !r->falls) return JL_OK;
    event *events = sorted_events(r, &count);
    if (events == NULL) return jl_no_memory(r->fault);
    for (size_t i = 1; i <= count; i++) {
        if (events[i].key == events[from].key) continue;
        settle_number(r, events + from, i - from, &status);
        from = i;
    }
    free(events);
    drop_undone(r->run);
    r->undone_count = 0;
    find_highest(r->run);
    return status;
}

static int compare_lines(const void *a, const void *b) {
    size_t line = *(const size_t *)a;
    const place *row = b;
    return (line > row->line) - (line < row->line);
}

static int compare_jars(const void *a, const void *b) {
    jl_jar_key x = jl_jar_key_of(a), y = jl_jar_key_of(b);
    return (x > y) - (x < y);
}

/* A forgotten jar stands in its place, wherever its row is. */
static void order_jars(reading *r) {
    jl_run *run = r->run;
    if (r->falls) qsort(run->jars, run->count, sizeof *run->jars, compare_jars);
    for (size_t i = 0; i < run->count; i++) {
        place *row = bsearch(&run->jars[i].line, run->places, run->place_count, sizeof *run->places,
                             compare_lines);
        if (row != NULL) row->jar = (uint32_t)i;
    }
}

/* ---- rows ---- */

static jl_status take_instrument(reading *r) {
    if (r->instrument_read) return JL_OK;
    r->instrument_read = true;
    jl_run *run = r->run;
    const char *started = jl_facts_text(run->facts, "started");
    run->reader.time_known =
        started != NULL && jl_time_in_cell(started, strlen(started), NULL, &run->reader.time,
                                           &run->reader.typed) == JL_OK;
    return jl_instrument_read(run->facts, &run->columns, &run->reader.instrument,
                              &run->reader.empty_kg, r->fault);
}

static jl_status take_fact(reading *r, const jl_row *row) {
    const jl_fact *fact;
    jl_run *run = r->run;
    if (jl_row_has_key(row, "undone")) return take_undone(r, row);
    jl_status status = jl_facts_add(run->facts, row, run->file.dialect.delimiter, &fact, r->fault);
    if (status != JL_OK || fact == NULL || !r->instrument_read || !jl_is_of_the_instrument(fact))
        return status;
    return jl_row_fault(
        row, 0, JL_CONFLICT,
        "this fact before the first jar: the readings above were corrected without it", r->fault);
}

/* A note is kept only where there is one. */
static jl_status keep_note(jl_jar *jar) {
    char *note = malloc(jar->note_length + 1);
    if (note == NULL) return JL_MEMORY;
    memcpy(note, jar->note, jar->note_length);
    note[jar->note_length] = '\0';
    jar->note = note;
    return JL_OK;
}

static jl_status take_jar(reading *r, const jl_row *row) {
    jl_run *run = r->run;
    jl_status status = take_instrument(r);
    if (status != JL_OK) return status;
    /* What is taken back has to be known for a jar that the log does not number. */
    if (r->undone_count > 0 && jl_columns_cell(&run->columns, row, JL_ROLE_JAR).length == 0)
        status = settle_numbers(r);
    if (status != JL_OK) return status;
    if (!r->mark_found)
        r->mark_found = jl_columns_mark(&run->columns, row, &run->file.dialect.comma);
    if (!jl_grow(&run->jars, run->count, &run->room, sizeof *run->jars))
        return jl_no_memory(r->fault);
    jl_jar *jar = &run->jars[run->count];
    status = jl_jar_read(&run->reader, &run->columns, row, jar, r->fault);
    if (status != JL_OK) return status;
    if (jl_jar_key_of(jar) <= r->above) r->falls = true;
    r->above = jl_jar_key_of(jar);
    if (jar->note_length == 0)
        jar->note = NULL;
    else if (keep_note(jar) != JL_OK)
        return jl_no_memory(r->fault);
    run->count++;
    return JL_OK;
}

static jl_status take_row(reading *r, const jl_row *row) {
    jl_run *run = r->run;
    if (!jl_grow(&run->places, run->place_count, &run->place_room, sizeof *run->places))
        return jl_no_memory(r->fault);
    row_kind kind = jl_row_is_fact(row) ? FACT : run->columns.line == 0 ? HEADER : JAR;
    jl_status status = kind == FACT  ? take_fact(r, row)
                       : kind == JAR ? take_jar(r, row)
                                     : jl_jar_columns_read(row, run->file.dialect.delimiter,
                                                           &run->columns, r->fault);
    run->places[run->place_count++] =
        (place){(uint32_t)row->begin, (uint32_t)row->end, (uint32_t)row->line, kind, 0};
    return status;
}

static jl_status read_rows(reading *r) {
    jl_run *run = r->run;
    jl_row row;
    jl_status status = jl_file_begin(&run->file, jl_header_is_known, r->fault);
    while (status == JL_OK) {
        status = jl_file_next(&run->file, &row, r->fault);
        if (status == JL_OK) status = take_row(r, &row);
    }
    if (status != JL_END) return status;
    if (run->columns.line == 0) return jl_plain_fault(r->fault, JL_MISSING, jl_header_expected);
    return take_instrument(r);
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

static jl_status read_expected(jl_run *run, jl_fault *fault) {
    const jl_fact *fact;
    bool anew = false;
    size_t room = 0;
    for (size_t i = 0; (fact = jl_facts_at(run->facts, i)) != NULL; i++) {
        if (is_of_the_charge(fact)) anew = true;
        if (strcmp(fact->key, EXPECT) != 0) continue;
        if (anew) run->expected_count = 0;
        anew = false;
        if (!jl_grow(&run->expected, run->expected_count, &room, sizeof *run->expected))
            return jl_no_memory(fault);
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
    for (size_t i = 0; i < run->expected_count && from_l < until_l; i++) {
        const jl_expected *row = &run->expected[i];
        pure_l += (fmin(until_l, row->end_l) - from_l) * row->strength_pct / 100;
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

/* A jar that makes a spirit so many litres, all mixed: mixed it shrinks. */
static void fill_up(jl_spirit *so_far, double end_l, double strength_pct) {
    enum { STEPS = 12 }; /* each leaves a twentieth or less of what is amiss */
    double p = NAN, jar_l = end_l - jl_volume_l(*so_far, JL_STRENGTH_C);
    jl_spirit jar = {0, 0}, all = *so_far;
    if (!(jar_l > 1e-9)) return;
    /* Both were in their range as they were read. */
    jl_mass_fraction_from_strength(strength_pct, JL_STRENGTH_C, &p);
    for (int i = 0; i < STEPS; i++) {
        jl_spirit_from_volume(fmax(jar_l, 1e-9), p, JL_STRENGTH_C, &jar);
        all = jl_blend(*so_far, jar);
        jar_l += end_l - jl_volume_l(all, JL_STRENGTH_C);
    }
    *so_far = all;
}

double jl_run_expected_pure_l(const jl_run *run) {
    jl_spirit so_far = {0, 0};
    for (size_t i = 0; i < run->expected_count; i++)
        fill_up(&so_far, run->expected[i].end_l, run->expected[i].strength_pct);
    return run->expected_count == 0 ? NAN : jl_pure_alcohol_l(so_far);
}

bool jl_run_to_come(const jl_run *run, double *volume_l, double *pure_l) {
    if (run->expected_count == 0 || run->recovery.left_stated) return false;
    double until_l = run->count == 0 ? 0 : run->jars[run->count - 1].until_l;
    *volume_l = run->expected[run->expected_count - 1].end_l - until_l;
    *pure_l = jl_run_expected_pure_l(run) - jl_pure_alcohol_l(run->recovery.collected);
    return *volume_l > 0 && *pure_l > 0;
}

jl_instrument jl_run_charge_by(const jl_run *run) {
    const char *by = jl_facts_text(run->facts, jl_keys[JL_KEY_CHARGE_MEASURED_WITH].name);
    if (by != NULL && jl_same_letters(by, "jug")) return JL_BY_JUG;
    if (by != NULL && jl_same_letters(by, "scale")) return JL_BY_SCALE;
    return JL_BY_VESSEL;
}

/* ---- jars of which only the running spout was read ---- */

/* The strength expected at a moment: straight between the middles of the expected jars. */
static double expected_at_l(const jl_run *run, double at_l) {
    double before_l = NAN, before_pct = NAN, from_l = 0;
    for (size_t i = 0; i < run->expected_count; i++) {
        const jl_expected *row = &run->expected[i];
        double middle_l = (from_l + row->end_l) / 2;
        bool last = i + 1 == run->expected_count;
        if (i > 0 && (at_l <= middle_l || last))
            return before_pct +
                   (row->strength_pct - before_pct) * (at_l - before_l) / (middle_l - before_l);
        before_l = middle_l;
        before_pct = row->strength_pct;
        from_l = row->end_l;
    }
    return NAN;
}

/* What the spout gave as a row of such jars began: by the expected run, shifted to the first reading,
 * or on the line from the mean of the jar before. NaN: not known. */
static double begin_pct(const jl_run *run, size_t first, const jl_spout_reading *first_reading) {
    if (first == 0) {
        double pct = first_reading->strength_pct + expected_at_l(run, 0) -
                     expected_at_l(run, first_reading->until_l);
        return pct >= 0 && pct <= 100 ? pct : NAN;
    }
    const jl_jar *before = &run->jars[first - 1];
    double was_pct = jl_spirit_strength_pct(before->spirit), half_l = before->volume_20c_l / 2;
    return was_pct +
           (first_reading->strength_pct - was_pct) * half_l / (half_l + first_reading->until_l);
}

/* A row of jars that all have a reading of the spout; those that have nothing else get their means. */
static jl_status settle_row(jl_run *run, size_t first, size_t count, jl_spout_reading *readings,
                            jl_spout_mean *means, jl_fault *fault) {
    double until_l = 0, spout_l = jl_setting_value(&run->settings, JL_KEY_SPOUT_VOLUME);
    for (size_t i = 0; i < count; i++)
        readings[i].until_l = until_l += run->jars[first + i].volume_20c_l;
    jl_status status =
        jl_spout_means(readings, count, begin_pct(run, first, readings), spout_l, means);
    if (status == JL_MEMORY) return jl_no_memory(fault);
    if (status != JL_OK)
        return jl_fault_at(fault, status, run->jars[first].line, 0, NULL, 0,
                           "a spout_volume_ml below the volume of the first jar");
    for (size_t i = 0; status == JL_OK && i < count; i++) {
        jl_jar *jar = &run->jars[first + i];
        if (!jar->from_spout) continue;
        jar->curve_u_pct = means[i].curve_u_pct;
        status = jl_jar_remix(&run->reader, means[i].strength_pct, jar, fault);
    }
    return status;
}

static jl_status spout_pct(jl_run *run, const jl_jar *jar, double *pct, jl_fault *fault) {
    double p, temp_c = isnan(jar->spout_temp_c) ? jar->temp_c : jar->spout_temp_c;
    jl_status status = isnan(temp_c) ? JL_MISSING
                                     : jl_reading_solve(&run->reader.instrument, jar->spout, temp_c,
                                                        &run->reader.isotherms, &p);
    if (status == JL_OK) status = jl_strength_pct(p, JL_STRENGTH_C, pct);
    if (status == JL_OK) return status;
    return jl_fault_at(fault, status, jar->line, 0, NULL, 0,
                       "a reading of the spout with its temperature, that some mixture shows");
}

/* Twice, as the volume of a jar that was weighed goes by its strength. */
static jl_status settle_spouts_with(jl_run *run, jl_spout_reading *readings, jl_spout_mean *means,
                                    jl_fault *fault) {
    jl_status status = JL_OK;
    for (size_t first = 0, count; status == JL_OK && first < run->count; first += count + 1) {
        bool any = false;
        for (count = 0; status == JL_OK && first + count < run->count &&
                        !isnan(run->jars[first + count].spout.value);
             count++) {
            const jl_jar *jar = &run->jars[first + count];
            any = any || jar->from_spout;
            status = spout_pct(run, jar, &readings[count].strength_pct, fault);
        }
        for (int pass = 0; any && status == JL_OK && pass < 2; pass++)
            status = settle_row(run, first, count, readings, means, fault);
    }
    return status;
}

static jl_status settle_spouts(jl_run *run, jl_fault *fault) {
    size_t any = 0;
    for (size_t i = 0; i < run->count; i++) any += run->jars[i].from_spout;
    if (any == 0) return JL_OK;
    jl_spout_reading *readings = calloc(run->count, sizeof *readings);
    jl_spout_mean *means = calloc(run->count, sizeof *means);
    jl_status status = readings == NULL || means == NULL
                           ? jl_no_memory(fault)
                           : settle_spouts_with(run, readings, means, fault);
    free(readings);
    free(means);
    return status;
}

/* ---- reading ---- */

bool jl_run_resumed(const jl_run *run, jl_time from, jl_time to, jl_time *when) {
    const jl_fact *fact;
    bool any = false;
    for (size_t i = 0; (fact = jl_facts_at(run->facts, i)) != NULL; i++) {
        jl_time on;
        if (strcmp(fact->key, "resumed") != 0 ||
            jl_time_read(fact->text, strlen(fact->text), &on) != JL_OK || on.unix_s < from.unix_s ||
            on.unix_s > to.unix_s)
            continue;
        if (!any || on.unix_s > when->unix_s) *when = on;
        any = true;
    }
    return any;
}

static void sum_jars(jl_run *run) {
    jl_spirit so_far = {0};
    double before_l = 0;
    jl_time before = {0, 0}, on;
    const bool stops = jl_facts_find(run->facts, "resumed") != NULL;
    for (size_t i = 0; i < run->count; i++) {
        jl_jar *jar = &run->jars[i];
        so_far = jl_blend(so_far, jar->spirit);
        jar->resumed = stops && i > 0 && jl_run_resumed(run, before, jar->time, &on);
        if (jar->has_time) before = jar->time;
        jar->so_far = so_far;
        jar->before_l = before_l;
        jar->until_l = before_l = jl_jar_volume_20c_l(&run->reader, so_far);
        if (jar->note == NULL) jar->note = "";
        jl_tally_add(&run->tally, jar);
    }
}

static jl_status read_all(reading *r) {
    jl_run *run = r->run;
    jl_status status = read_rows(r);
    if (status == JL_OK) status = settle_numbers(r);
    if (status != JL_OK) return status;
    order_jars(r);
    status = read_expected(run, r->fault);
    jl_settings_begin(&run->settings);
    if (status == JL_OK)
        status =
            jl_settings_take(&run->settings, run->facts, JL_IN_RUN, JL_FROM_LOG, NULL, r->fault);
    if (status == JL_OK) status = settle_spouts(run, r->fault);
    if (status != JL_OK) return status;
    sum_jars(run);
    return jl_recovery_of(run->facts, &run->reader.instrument,
                          jl_blend(jl_tally_sum(&run->tally, JL_OF_ALL).spirit, run->tally.taken),
                          &run->recovery, r->fault);
}

/* Takes the file's bytes, whatever it returns. */
static jl_status run_of_file(jl_file *file, jl_run **run, jl_fault *fault) {
    jl_run *made = calloc(1, sizeof *made);
    if (made == NULL) {
        jl_file_free(file);
        return jl_no_memory(fault);
    }
    made->lock.fd = -1;
    made->file = *file;
    jl_jar_reader_begin(&made->reader);
    reading r = {.run = made, .fault = fault};
    jl_status status = jl_facts_new(&made->facts);
    if (status == JL_OK)
        status = read_all(&r);
    else
        jl_no_memory(fault);
    free(r.undone);
    jl_file_end(&made->file);
    if (status == JL_OK)
        *run = made;
    else
        jl_run_free(made);
    return status;
}

jl_status jl_run_read(int fd, jl_run **run, jl_fault *fault) {
    jl_file file;
    jl_status status = jl_file_read(fd, true, &file, fault);
    return status == JL_OK ? run_of_file(&file, run, fault) : status;
}

void jl_run_free(jl_run *run) {
    if (run == NULL) return;
    for (size_t i = 0; i < run->count; i++)
        if (run->jars[i].note_length > 0) free((char *)run->jars[i].note);
    jl_run_release(run);
    jl_file_free(&run->file);
    jl_facts_free(run->facts);
    free(run->places);
    free(run->jars);
    free(run->expected);
    free(run);
}

/* ---- views ---- */

const jl_jar *jl_run_jars(const jl_run *run, size_t *count) {
    *count = run->count;
    return run->jars;
}

const jl_columns *jl_run_columns(const jl_run *run) {
    return &run->columns;
}

const jl_jar *jl_run_last_written(const jl_run *run) {
    const jl_jar *last = run->count == 0 ? NULL : run->jars;
    for (size_t i = 1; i < run->count; i++)
        if (run->jars[i].line > last->line) last = &run->jars[i];
    return last;
}

const jl_jar *jl_run_jar(const jl_run *run, size_t index) {
    return index < run->count ? &run->jars[index] : NULL;
}

const jl_jar *jl_run_jar_named(const jl_run *run, const char *name) {
    jl_jar_key key;
    if (name == NULL || jl_jar_name_read(name, strlen(name), &key) != JL_OK) return NULL;
    for (size_t i = 0; i < run->count; i++)
        if (jl_jar_key_of(&run->jars[i]) == key) return &run->jars[i];
    return NULL;
}

jl_status jl_run_some(const jl_run *run, jl_fault *fault) {
    if (run->count > 0) return JL_OK;
    return jl_fault_at(fault, JL_MISSING, run->columns.line, 0, NULL, 0,
                       "a jar, a row each below the header: none has been recorded yet");
}

const jl_facts *jl_run_facts(const jl_run *run) {
    return run->facts;
}

jl_alcoholometer jl_run_instrument(const jl_run *run) {
    return run->reader.instrument;
}

const jl_tally *jl_run_tally(const jl_run *run) {
    return &run->tally;
}

const jl_recovery *jl_run_recovery(const jl_run *run) {
    return &run->recovery;
}

const jl_settings *jl_run_settings(const jl_run *run) {
    return &run->settings;
}

const char *jl_run_title(const jl_run *run) {
    return jl_facts_text(run->facts, "title");
}

bool jl_run_started(const jl_run *run, jl_time *started) {
    return jl_facts_time(run->facts, "started", started, NULL) == JL_OK;
}

size_t jl_run_unread_times(const jl_run *run, jl_fault *first) {
    *first = run->reader.time_fault;
    return run->reader.times_unread;
}

const jl_typed_times *jl_run_typed_times(const jl_run *run) {
    return &run->reader.typed;
}

size_t jl_run_torn_line(const jl_run *run) {
    return run->file.torn_line;
}

const char *jl_run_unknown_column(const jl_run *run, size_t index) {
    return index < run->columns.unknown_count ? run->columns.unknown[index] : NULL;
}

/* ---- holding a log for writing ---- */

jl_status jl_run_open(const char *path, double wait_s, jl_run **run, jl_fault *fault,
                      jl_trouble *trouble) {
    jl_locked_file lock;
    jl_file file;
    jl_status status = jl_file_hold(path, wait_s, &lock, &file, fault, trouble);
    if (status != JL_OK) return status;
    status = run_of_file(&file, run, fault);
    if (status == JL_OK)
        (*run)->lock = lock;
    else
        jl_locked_file_release(&lock);
    return status;
}

void jl_run_release(jl_run *run) {
    if (run->lock.fd >= 0) jl_locked_file_release(&run->lock);
}

jl_trouble jl_run_trouble(const jl_run *run) {
    return run->trouble;
}

uint32_t jl_run_next_jar(const jl_run *run) {
    return run->reader.highest + 1;
}

/* The record becomes that of what has been written. */
static void take_over(jl_run *run, jl_run *made) {
    jl_run before = *run;
    *run = *made;
    run->lock = before.lock;
    *made = before;
    made->lock.fd = -1;
}

/* What is to be written is read, and only then put in the place of what stands. jars: how many will
 * count. Takes the edit's text. */
static jl_status put(jl_run *run, jl_edit *edit, const jl_text *rows, size_t jars,
                     jl_fault *fault) {
    jl_run *made;
    jl_status status = jl_edit_end(edit, rows);
    if (status != JL_OK) return jl_plain_fault(fault, status, NULL);
    const jl_text text = edit->text;
    jl_file file = {.bytes = text.bytes, .size = text.length};
    status = run_of_file(&file, &made, fault);
    if (status != JL_OK) return status;
    if (made->count == jars)
        status = jl_file_put(&run->file, &run->lock, &text);
    else
        status = JL_CONFLICT;
    run->trouble = run->lock.trouble;
    if (status == JL_OK)
        take_over(run, made);
    else
        jl_plain_fault(fault, status, NULL);
    jl_run_free(made);
    return status;
}

/* Before any change. Errors: JL_EXISTS (the record was only read) */
static jl_status begin(jl_run *run, jl_edit *edit, jl_fault *fault) {
    run->trouble = (jl_trouble){0};
    jl_edit_begin(edit, &run->file);
    if (run->lock.fd >= 0) return JL_OK;
    return jl_plain_fault(fault, JL_EXISTS, "a record that was opened for writing");
}

/* ---- jars written ---- */

static void widen(const jl_run *run, jl_edit *edit, const place *row, const jl_columns *more) {
    if (row->kind != FACT)
        jl_edit_widen(edit, row->begin, row->end, &run->columns, more, row->kind == HEADER);
}

/* Of the first edition: what every caller has. */
enum {
    ENTRY_LEAST = offsetof(jl_entry, note) + sizeof(char *),
    JAR_LEAST = offsetof(jl_jar, until_l) + sizeof(double)
};

static jl_status take_entry(const jl_entry *given, jl_entry *entry, jl_fault *fault) {
    *entry = JL_ENTRY;
    if (jl_sized_take(given, ENTRY_LEAST, entry, sizeof *entry)) return JL_OK;
    return jl_plain_fault(fault, JL_RANGE, "an entry with its size, as JL_ENTRY");
}

/* The key of a new jar: the next one, or of the name that it is given. */
static jl_status new_key(const jl_run *run, const jl_entry *entry, jl_jar_key *key,
                         jl_fault *fault) {
    jl_status status = JL_OK;
    char before[JL_JAR_NAME_BYTES];
    *key = (jl_jar_key)jl_run_next_jar(run) * JL_JAR_LETTERS;
    if (entry->jar == NULL && run->reader.highest < JL_JAR_MOST) return JL_OK;
    const char *name = entry->jar == NULL ? "" : entry->jar;
    status = entry->jar == NULL ? JL_RANGE : jl_jar_name_read(name, strlen(name), key);
    if (status != JL_OK) return jl_text_fault(fault, status, name, jl_jar_number_expected);
    if (jl_run_jar_named(run, name) != NULL)
        return jl_text_fault(fault, JL_CONFLICT, name, "a number that no jar has");
    jl_jar_name_write(*key / JL_JAR_LETTERS * JL_JAR_LETTERS, before);
    bool lettered = *key % JL_JAR_LETTERS != 0;
    if (lettered ? jl_run_jar_named(run, before) != NULL
                 : *key / JL_JAR_LETTERS <= jl_run_next_jar(run))
        return JL_OK;
    return jl_text_fault(
        fault, JL_MISSING, name,
        "a number up to the next one, or one with a letter of a jar that stands: 8a behind jar 8");
}

jl_status jl_run_add_jar(jl_run *run, const jl_entry *given, jl_fault *fault) {
    jl_edit edit;
    jl_text row = {0};
    jl_jar_key key = 0;
    jl_columns more = run->columns;
    jl_entry entry;
    jl_status status = take_entry(given, &entry, fault);
    if (status == JL_OK) status = begin(run, &edit, fault);
    if (status == JL_OK) status = new_key(run, &entry, &key, fault);
    if (status == JL_OK && key == (jl_jar_key)jl_run_next_jar(run) * JL_JAR_LETTERS)
        entry.jar = NULL;
    if (entry.time == NULL && run->columns.what[JL_ROLE_TIME] != NULL) entry.time = entry.now;
    if (status == JL_OK) status = jl_entry_check(&entry, fault);
    if (status == JL_OK) status = jl_entry_columns(&entry, &more, fault);
    if (status != JL_OK) return status;
    jl_entry_add_row(&entry, key, &more, &run->file.dialect, &row);
    for (size_t i = 0; i < run->place_count; i++) widen(run, &edit, &run->places[i], &more);
    status = put(run, &edit, &row, run->count + 1, fault);
    jl_text_free(&row);
    return status;
}

/* Only the cells that must change do. */
static void correct_row(const jl_run *run, jl_edit *edit, const place *row, const jl_jar *jar,
                        const jl_entry *entry, const jl_columns *more) {
    jl_change changes[JL_ROLES];
    size_t count = 0;
    for (size_t at = 0; at < more->cells; at++) {
        const jl_column *column = jl_columns_at(more, at);
        if (column == NULL) continue;
        bool is_new = at >= run->columns.cells; /* for what the entry gives */
        bool gives = is_new || jl_entry_gives(entry, column->role);
        if (!gives && !jl_entry_replaces(entry, jar, column->role)) continue;
        if (gives && !is_new && jl_entry_same(entry, column, jar)) continue;
        changes[count] = (jl_change){.cell = at};
        if (gives) jl_entry_add_cell(entry, &run->file.dialect, column, &changes[count].text);
        count++;
    }
    jl_edit_cells(edit, row->begin, row->end, changes, count);
}

jl_status jl_run_correct_jar(jl_run *run, const char *name, const jl_entry *given,
                             jl_fault *fault) {
    jl_edit edit;
    jl_entry entry;
    jl_columns more = run->columns;
    const jl_jar *jar = jl_run_jar_named(run, name);
    jl_status status = take_entry(given, &entry, fault);
    entry.jar = NULL; /* it keeps its own */
    if (status == JL_OK) status = begin(run, &edit, fault);
    if (status == JL_OK && jar == NULL)
        status = jl_plain_fault(fault, JL_MISSING, "a jar that counts");
    if (status == JL_OK) status = jl_entry_check(&entry, fault);
    if (status == JL_OK) status = jl_entry_columns(&entry, &more, fault);
    if (status != JL_OK) return status;
    for (size_t i = 0; i < run->place_count; i++) {
        const place *row = &run->places[i];
        if (row->line == jar->line)
            correct_row(run, &edit, row, jar, &entry, &more);
        else
            widen(run, &edit, row, &more);
    }
    return put(run, &edit, NULL, run->count, fault);
}

/* A jug and a scale agree within this share: common practice, no source. */
static const double SAME_AMOUNT = 0.05;

bool jl_run_amounts_differ(const jl_run *run, const jl_jar *jar, double *weighed_l) {
    double mass_kg = jl_mass_kg(jar->spirit), kg_m3 = mass_kg / jar->volume_l * 1000;
    double empty_kg = isnan(jar->empty_kg) ? run->reader.empty_kg : jar->empty_kg;
    *weighed_l = jl_mass_from_scale_kg(jar->weight_kg - empty_kg, kg_m3) / kg_m3 * 1000;
    return !jar->by_weight && fabs(*weighed_l / jar->volume_l - 1) > SAME_AMOUNT;
}

/* The last jar that stands before a place. */
static const jl_jar *jar_before_key(const jl_run *run, jl_jar_key key) {
    size_t i = run->count;
    while (i > 0 && jl_jar_key_of(&run->jars[i - 1]) >= key) i--;
    return i > 0 ? &run->jars[i - 1] : NULL;
}

jl_status jl_run_jar_of_entry(const jl_run *run, const char *name, const jl_entry *given,
                              jl_jar *jar, jl_fault *fault) {
    jl_jar_reader reader = run->reader;
    const jl_jar *old = jl_run_jar_named(run, name);
    jl_jar_key key;
    jl_entry entry;
    jl_status status = take_entry(given, &entry, fault);
    if (status == JL_OK && !jl_sized_ok(jar, JAR_LEAST))
        status = jl_plain_fault(fault, JL_RANGE, "a jar with its size");
    if (status == JL_OK && name != NULL && old == NULL)
        status = jl_plain_fault(fault, JL_MISSING, "a jar that counts");
    if (status == JL_OK && old == NULL) status = new_key(run, &entry, &key, fault);
    if (status != JL_OK) return status;
    if (old != NULL) key = jl_jar_key_of(old);
    const jl_jar *before = jar_before_key(run, key);
    jl_entry whole = old != NULL ? jl_entry_over(&entry, old) : entry;
    jl_jar made;
    status = jl_entry_jar(&reader, &whole, &made, fault);
    if (status != JL_OK) return status;
    made.number = (uint32_t)(key / JL_JAR_LETTERS);
    jl_jar_name_write(key, made.name);
    made.before_l = before != NULL ? before->until_l : 0;
    made.so_far = before != NULL ? jl_blend(before->so_far, made.spirit) : made.spirit;
    made.until_l = jl_jar_volume_20c_l(&reader, made.so_far);
    jl_sized_give(&made, sizeof made, jar);
    return JL_OK;
}

jl_status jl_run_mark(jl_run *run, const jl_fraction *fractions, size_t *changed, jl_fault *fault) {
    jl_edit edit;
    jl_columns more = run->columns;
    size_t count = 0;
    jl_status status = begin(run, &edit, fault);
    if (status != JL_OK) return status;
    if (more.what[JL_ROLE_FRACTION] == NULL)
        jl_columns_add(&more, jl_column_named(jl_jar_columns, "fraction", strlen("fraction")));
    for (size_t i = 0; i < run->place_count; i++) {
        jl_change change = {.cell = more.at[JL_ROLE_FRACTION]};
        const place *row = &run->places[i];
        const size_t jar = row->jar;
        bool same = row->kind != JAR || fractions[jar] == run->jars[jar].fraction;
        if (!same && fractions[jar] != JL_UNDECIDED)
            jl_text_add(&change.text, jl_fraction_name(fractions[jar]),
                        strlen(jl_fraction_name(fractions[jar])));
        count += !same;
        if (!same)
            jl_edit_cells(&edit, row->begin, row->end, &change, 1);
        else
            widen(run, &edit, row, &more);
    }
    status = put(run, &edit, NULL, run->count, fault);
    if (status == JL_OK) *changed = count;
    return status;
}

/* ---- facts written ---- */

static jl_status check_facts(const jl_fact_entry *facts, size_t count, jl_fault *fault) {
    for (size_t i = 0; i < count; i++)
        if (!jl_fact_entry_ok(&facts[i]))
            return jl_text_fault(fault, JL_FORM, facts[i].key,
                                 "a key of letters, digits and _, numbers, a text in one line");
    return JL_OK;
}

/* Takes the rows. */
static jl_status add_rows(jl_run *run, jl_text *rows, size_t jars, jl_fault *fault) {
    jl_edit edit;
    jl_status status = begin(run, &edit, fault);
    if (status == JL_OK) status = put(run, &edit, rows, jars, fault);
    jl_text_free(rows);
    return status;
}

jl_status jl_run_add_facts(jl_run *run, const jl_fact_entry *facts, size_t count, jl_fault *fault) {
    jl_text rows = {0};
    jl_status status = check_facts(facts, count, fault);
    if (status != JL_OK) return status;
    for (size_t i = 0; i < count; i++) jl_fact_add(&rows, &run->file.dialect, &facts[i]);
    return add_rows(run, &rows, run->count, fault);
}

jl_status jl_run_undo(jl_run *run, const char *name, const char *time, jl_fault *fault) {
    const jl_fact_entry undone = {.key = "undone", .text = time};
    const jl_dialect *dialect = &run->file.dialect;
    const jl_jar *jar = jl_run_jar_named(run, name);
    jl_text row = {0};
    if (jar == NULL) return jl_plain_fault(fault, JL_MISSING, "a jar that counts");
    jl_status status = jl_moment_check(time, fault);
    if (status == JL_OK) status = check_facts(&undone, 1, fault);
    if (status != JL_OK) return status;
    jl_text_add(&row, "#undone", strlen("#undone"));
    jl_delimiter_add(&row, dialect);
    jl_cell_add(&row, dialect, jar->name, strlen(jar->name));
    jl_delimiter_add(&row, dialect);
    if (time != NULL) jl_cell_add(&row, dialect, time, strlen(time));
    jl_line_end_add(&row, dialect);
    return add_rows(run, &row, run->count - 1, fault);
}

static bool has_value(const jl_fact_entry *fact) {
    return fact->count > 0 || fact->text != NULL;
}

static void set_value(const jl_run *run, jl_edit *edit, const place *row,
                      const jl_fact_entry *fact) {
    jl_change change = {.cell = 1};
    if (fact->text != NULL)
        jl_cell_add_note(&change.text, &run->file.dialect, fact->text, strlen(fact->text));
    else
        jl_cell_add_number(&change.text, &run->file.dialect, fact->values[0]);
    jl_edit_cells(edit, row->begin, row->end, &change, 1);
}

/* Which of the facts to be set stands in a row; count: none. */
static size_t fact_in(const jl_run *run, const place *row, size_t *next, const jl_fact_entry *facts,
                      size_t count) {
    const jl_fact *fact = row->kind == FACT ? jl_facts_at(run->facts, *next) : NULL;
    if (fact == NULL || fact->line != row->line) return count; /* a comment, or an undo */
    ++*next;
    size_t i = 0;
    while (i < count && !jl_same_letters(fact->key, facts[i].key)) i++;
    return i;
}

jl_status jl_run_set_facts(jl_run *run, const jl_fact_entry *facts, size_t count, jl_fault *fault) {
    enum { MOST = 16 };
    bool stands[MOST] = {false};
    jl_edit edit;
    jl_text rows = {0};
    size_t next = 0;
    jl_status status = begin(run, &edit, fault);
    if (status == JL_OK && count > MOST)
        status = jl_plain_fault(fault, JL_RANGE, "at most 16 facts at a time");
    if (status == JL_OK) status = check_facts(facts, count, fault);
    if (status != JL_OK) return status;
    for (size_t i = 0; i < run->place_count; i++) {
        const place *row = &run->places[i];
        size_t set = fact_in(run, row, &next, facts, count);
        if (set == count) continue;
        stands[set] = true;
        if (has_value(&facts[set]))
            set_value(run, &edit, row, &facts[set]);
        else
            jl_edit_drop(&edit, row->begin, row->end);
    }
    for (size_t i = 0; i < count; i++)
        if (!stands[i] && has_value(&facts[i])) jl_fact_add(&rows, &run->file.dialect, &facts[i]);
    status = put(run, &edit, &rows, run->count, fault);
    jl_text_free(&rows);
    return status;
}

/* A reading stands behind its temperature and the volume behind both, so that half of what is
 * appended states nothing. */
jl_status jl_run_set_left(jl_run *run, const jl_left *left, jl_fault *fault) {
    bool proof = left->strength.unit == JL_UNIT_PROOF_US;
    bool reading_proof = left->reading.unit == JL_UNIT_PROOF_US;
    const struct {
        const char *key;
        double value;
    } values[] = {
        {"left_temp_c", jl_temperature_written(left->temp_c)},
        {"left_temp_f", NAN},
        {"left_strength_pct", proof ? NAN : left->strength.value},
        {"left_strength_proof", proof ? left->strength.value : NAN},
        {"left_reading_pct", reading_proof ? NAN : left->reading.value},
        {"left_reading_proof", reading_proof ? left->reading.value : NAN},
        {"left_ml", NAN},
        {"left_l", left->volume_l},
    };
    enum { COUNT = sizeof values / sizeof values[0] };
    jl_fact_entry facts[COUNT];
    for (int i = 0; i < COUNT; i++)
        facts[i] =
            (jl_fact_entry){values[i].key, {values[i].value}, isnan(values[i].value) ? 0 : 1, NULL};
    return jl_run_set_facts(run, facts, COUNT, fault);
}

/* ---- a new log ---- */

static jl_status new_log(const jl_fact_entry *facts, size_t count, jl_log_units units,
                         jl_text *text) {
    static const char *const HEADERS[] = {
        [JL_LOG_PCT_C] = "jar,time,volume_ml,reading_pct,temp_c,head_c,boiler_c,fraction,note\n",
        [JL_LOG_PROOF_F] =
            "jar,time,volume_ml,reading_proof,temp_f,head_f,boiler_f,fraction,note\n",
    };
    const jl_dialect plain = {.delimiter = ','};
    jl_fact_add(text, &plain, &(jl_fact_entry){.key = "jarline", .values = {1}, .count = 1});
    jl_fact_add(text, &plain, &(jl_fact_entry){.key = "kind", .text = "run"});
    for (size_t i = 0; i < count; i++) jl_fact_add(text, &plain, &facts[i]);
    jl_text_add(text, HEADERS[units], strlen(HEADERS[units]));
    return text->failed ? JL_MEMORY : JL_OK;
}

jl_status jl_run_create(const char *path, const jl_fact_entry *facts, size_t count,
                        jl_log_units units, jl_fault *fault, jl_trouble *trouble) {
    jl_text text = {0};
    jl_run *run = NULL;
    if (fault != NULL) *fault = (jl_fault){0};
    if (trouble != NULL) *trouble = (jl_trouble){0};
    jl_status status = check_facts(facts, count, fault);
    if (status != JL_OK) return status;
    status = new_log(facts, count, units, &text);
    if (status != JL_OK) {
        jl_text_free(&text);
        return jl_no_memory(fault);
    }
    jl_file file = {.bytes = text.bytes, .size = text.length};
    status = run_of_file(&file, &run, fault);
    if (status == JL_OK) status = jl_create(path, text.bytes, text.length, trouble);
    jl_run_free(run);
    return status;
}

/* ---- what a jar of it comes to ---- */

/* What was taken out is not in it. */
jl_amount jl_jar_amount(const jl_jar *jar) {
    double left = jl_jar_left_share(jar);
    double size_20c = left * jl_volume_l(jar->spirit, JL_STRENGTH_C);
    if (jar->by_weight && !jar->from_spout)
        return (jl_amount){left * (jar->weight_kg - jar->empty_kg), true, jar->has_reading,
                           jar->has_reading ? jar->reading : jar->strength,
                           jar->has_reading ? jar->temp_c : JL_STRENGTH_C};
    if (jar->has_reading)
        return (jl_amount){left * jar->volume_l, false, true, jar->reading, jar->temp_c};
    /* A strength holds at 20 °C: so does then the volume. */
    const jl_quantity mean = {jl_spirit_strength_pct(jar->spirit), JL_UNIT_PCT_VOL};
    return (jl_amount){size_20c, false, false, jar->from_spout ? mean : jar->strength,
                       JL_STRENGTH_C};
}

double jl_jar_spout_u_pct(const jl_jar *jar, const jl_instruments *by) {
    if (!jar->from_spout) return NAN;
    return hypot(sqrt(jl_instrument_variance(by, JL_BY_ALCOHOLOMETER, false) / 2),
                 jar->curve_u_pct);
}

double jl_jar_minutes(const jl_jar *before, const jl_jar *jar) {
    if (before == NULL || !before->has_time || !jar->has_time || jar->resumed) return NAN;
    double seconds = (double)(jar->time.unix_s - before->time.unix_s);
    return seconds >= JL_JAR_SHORTEST_S ? seconds / 60 : NAN;
}

double jl_jar_rate_ml_min(const jl_jar *before, const jl_jar *jar) {
    return 1000 * jar->volume_l / jl_jar_minutes(before, jar);
}
