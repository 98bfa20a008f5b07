/* The columns of a run log, and one row's cells as figures.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "run/jarcells.h"
#include "log/logtext.h"
#include "text/letters.h"
#include "text/status.h"

#include <math.h>
#include <string.h>

const char jl_number_expected[] = "a jar's number: a whole number from 1 to 999999999";
const char jl_header_expected[] =
    "a header with volume_ml or volume_l, and with reading_pct or reading_proof and temp_c or "
    "temp_f, or with strength_pct or strength_proof";

static const char TIME_EXPECTED[] = "a time with its offset, as 2026-03-07T18:05:00+01:00";
static const char VOLUME_EXPECTED[] = "a volume above 0, as a plain number";
static const char PCT_EXPECTED[] = "0 to 100 % vol, as a plain number";
static const char PROOF_EXPECTED[] = "0 to 200 proof, as a plain number";
static const char LIQUID_C_EXPECTED[] = "-20 to 40 °C, as a plain number; let a hot jar cool";
static const char LIQUID_F_EXPECTED[] = "-4 to 104 °F, as a plain number; let a hot jar cool";
static const char VAPOUR_C_EXPECTED[] = "-20 to 150 °C, as a plain number";
static const char VAPOUR_F_EXPECTED[] = "-4 to 302 °F, as a plain number";
static const char FRACTION_EXPECTED[] = "foreshots, heads, hearts, tails, undecided or nothing";

#define VOLUME_L 1e-12, 1e9, VOLUME_EXPECTED
#define PCT      0, 100, PCT_EXPECTED
#define PROOF    0, 200, PROOF_EXPECTED
#define LIQUID   JL_TEMP_MIN_C, JL_TEMP_MAX_C
#define VAPOUR   -20, 150 /* wide enough for any still: a typing error is what it finds */

static const jl_column COLUMNS[] = {
    {"jar", JL_ROLE_JAR, 1, 0, JL_UNIT_BASE, 1, JL_JAR_MOST, jl_number_expected},
    {"time", JL_ROLE_TIME, 1, 0, JL_UNIT_BASE, 0, 0, TIME_EXPECTED},
    {"volume_ml", JL_ROLE_VOLUME, 1e-3, 0, JL_UNIT_BASE, VOLUME_L},
    {"volume_l", JL_ROLE_VOLUME, 1, 0, JL_UNIT_BASE, VOLUME_L},
    {"reading_pct", JL_ROLE_READING, 1, 0, JL_UNIT_PCT_VOL, PCT},
    {"reading_proof", JL_ROLE_READING, 1, 0, JL_UNIT_PROOF_US, PROOF},
    {"strength_pct", JL_ROLE_STRENGTH, 1, 0, JL_UNIT_PCT_VOL, PCT},
    {"strength_proof", JL_ROLE_STRENGTH, 1, 0, JL_UNIT_PROOF_US, PROOF},
    {"temp_c", JL_ROLE_TEMP, 1, 0, JL_UNIT_BASE, LIQUID, LIQUID_C_EXPECTED},
    {"temp_f", JL_ROLE_TEMP, 5.0 / 9, 32, JL_UNIT_BASE, LIQUID, LIQUID_F_EXPECTED},
    {"head_c", JL_ROLE_HEAD, 1, 0, JL_UNIT_BASE, VAPOUR, VAPOUR_C_EXPECTED},
    {"head_f", JL_ROLE_HEAD, 5.0 / 9, 32, JL_UNIT_BASE, VAPOUR, VAPOUR_F_EXPECTED},
    {"boiler_c", JL_ROLE_BOILER, 1, 0, JL_UNIT_BASE, VAPOUR, VAPOUR_C_EXPECTED},
    {"boiler_f", JL_ROLE_BOILER, 5.0 / 9, 32, JL_UNIT_BASE, VAPOUR, VAPOUR_F_EXPECTED},
    {"fraction", JL_ROLE_FRACTION, 1, 0, JL_UNIT_BASE, 0, 0, FRACTION_EXPECTED},
    {"note", JL_ROLE_NOTE, 1, 0, JL_UNIT_BASE, 0, 0, ""},
};
enum { COLUMNS_KNOWN = sizeof COLUMNS / sizeof COLUMNS[0] };

/* ---- text ---- */

static bool is_blank(char c) {
    return c == ' ' || c == '\t';
}

/* In any letter case, white space around passed over; name is in lower case. */
static bool is_name(const char *text, size_t length, const char *name) {
    while (length > 0 && is_blank(text[0])) text++, length--;
    while (length > 0 && is_blank(text[length - 1])) length--;
    for (size_t i = 0; i < length; i++)
        if (name[i] == '\0' || jl_lower(text[i]) != name[i]) return false;
    return name[length] == '\0';
}

const char *jl_fraction_name(jl_fraction fraction) {
    static const char *const NAMES[JL_FRACTIONS] = {
        [JL_UNDECIDED] = "undecided", [JL_FORESHOTS] = "foreshots", [JL_HEADS] = "heads",
        [JL_HEARTS] = "hearts",       [JL_TAILS] = "tails",
    };
    return (size_t)fraction < JL_FRACTIONS ? NAMES[fraction] : "";
}

jl_status jl_fraction_read(const char *text, size_t length, jl_fraction *fraction) {
    if (is_name(text, length, "")) {
        *fraction = JL_UNDECIDED;
        return JL_OK;
    }
    for (int f = JL_UNDECIDED; f <= JL_TAILS; f++)
        if (is_name(text, length, jl_fraction_name((jl_fraction)f))) {
            *fraction = (jl_fraction)f;
            return JL_OK;
        }
    return JL_FORM;
}

jl_status jl_number_read(const char *text, size_t length, uint32_t *number) {
    double value;
    jl_status status = jl_decimal_read(text, length, JL_COMMA_NONE, &value);
    if (status != JL_OK) return status;
    if (!(value >= 1 && value <= JL_JAR_MOST && value == (uint32_t)value)) return JL_RANGE;
    *number = (uint32_t)value;
    return JL_OK;
}

/* ---- header ---- */

const jl_column *jl_column_named(const char *name) {
    for (size_t i = 0; i < COLUMNS_KNOWN; i++)
        if (strcmp(COLUMNS[i].name, name) == 0) return &COLUMNS[i];
    return NULL;
}

static const jl_column *known_column(jl_cell cell) {
    for (size_t i = 0; i < COLUMNS_KNOWN; i++)
        if (is_name(cell.text, cell.length, COLUMNS[i].name)) return &COLUMNS[i];
    return NULL;
}

bool jl_header_is_known(const jl_row *header, void *unused) {
    (void)unused;
    for (size_t i = 0; i < header->count; i++) {
        const jl_column *column = known_column(header->cells[i]);
        if (column != NULL && column->role == JL_ROLE_VOLUME) return true;
    }
    return false;
}

static jl_status check_header(const jl_columns *columns, const jl_row *header, jl_fault *fault) {
    const jl_column *const *what = columns->what;
    bool strength = what[JL_ROLE_STRENGTH] != NULL;
    bool reading = what[JL_ROLE_READING] != NULL && what[JL_ROLE_TEMP] != NULL;
    bool volume = what[JL_ROLE_VOLUME] != NULL;
    if (volume && (strength || reading)) return JL_OK;
    const char *expected = jl_header_expected;
    if (!volume && (strength || reading))
        expected = "a column volume_ml or volume_l too: a volume has its unit in the name";
    else if (volume && what[JL_ROLE_READING] != NULL)
        expected = "a column temp_c or temp_f too: a reading needs its temperature";
    return jl_fault_at(fault, JL_MISSING, header->line, 0, NULL, 0, expected);
}

/* Kept, so that a misspelt name can be told. */
static void pass_over(jl_columns *columns, const jl_cell *cell) {
    if (cell->length == 0 || columns->unknown_count == JL_UNKNOWN_MOST) return;
    char *name = columns->unknown[columns->unknown_count++];
    size_t length = cell->length < JL_UNKNOWN_BYTES ? cell->length : JL_UNKNOWN_BYTES - 1;
    memcpy(name, cell->text, length);
    name[length] = '\0';
}

jl_status jl_columns_read(const jl_row *header, char delimiter, jl_columns *columns,
                          jl_fault *fault) {
    *columns = (jl_columns){
        .count = jl_row_used(header), .line = header->line, .comma = jl_delimiter_comma(delimiter)};
    for (size_t i = 0; i < header->count; i++) {
        const jl_column *column = known_column(header->cells[i]);
        if (column == NULL) {
            pass_over(columns, &header->cells[i]);
            continue;
        }
        if (columns->what[column->role] != NULL)
            return jl_row_fault(header, i, JL_CONFLICT,
                                "one column for each figure, in one unit: not volume_ml and "
                                "volume_l, not temp_c twice",
                                fault);
        columns->what[column->role] = column;
        columns->at[column->role] = i;
    }
    return check_header(columns, header, fault);
}

/* ---- a jar ---- */

jl_status jl_columns_fault(const jl_columns *columns, const jl_row *row, jl_role role,
                           jl_status status, const char *expected, jl_fault *fault) {
    if (columns->what[role] == NULL)
        return jl_fault_at(fault, status, row->line, 0, NULL, 0, expected);
    return jl_row_fault(row, columns->at[role], status, expected, fault);
}

/* The cell of a role; an empty one where the log has no such column. */
static jl_cell cell_of(const jl_columns *columns, const jl_row *row, jl_role role) {
    return columns->what[role] == NULL ? (jl_cell){"", 0} : row->cells[columns->at[role]];
}

/* NaN when there is no number. */
static jl_status read_figure(const jl_columns *columns, const jl_row *row, jl_role role,
                             double *figure, jl_fault *fault) {
    *figure = NAN;
    jl_cell cell = cell_of(columns, row, role);
    if (cell.length == 0) return JL_OK;
    const jl_column *column = columns->what[role];
    double number;
    jl_status status = jl_decimal_read(cell.text, cell.length, columns->comma, &number);
    if (status == JL_OK) {
        double value = (number - column->offset) * column->factor;
        if (value >= column->least && value <= column->most) {
            *figure = value;
            return JL_OK;
        }
        status = JL_RANGE;
    }
    return jl_columns_fault(columns, row, role, status, column->expected, fault);
}

static jl_status read_scale(const jl_columns *columns, const jl_row *row, jl_role role, bool *has,
                            jl_quantity *quantity, jl_fault *fault) {
    jl_status status = read_figure(columns, row, role, &quantity->value, fault);
    if (status != JL_OK) return status;
    *has = !isnan(quantity->value);
    quantity->unit = *has ? columns->what[role]->unit : JL_UNIT_BASE;
    return JL_OK;
}

static jl_status read_words(const jl_columns *columns, const jl_row *row, jl_jar *jar,
                            jl_fault *fault) {
    jl_status status = JL_OK;
    jl_cell cell = cell_of(columns, row, JL_ROLE_JAR);
    jar->number = 0;
    if (cell.length > 0) status = jl_number_read(cell.text, cell.length, &jar->number);
    if (status != JL_OK)
        return jl_columns_fault(columns, row, JL_ROLE_JAR, status, jl_number_expected, fault);
    cell = cell_of(columns, row, JL_ROLE_TIME);
    jar->has_time = cell.length > 0;
    jar->time = (jl_time){0, 0};
    if (jar->has_time) status = jl_time_read(cell.text, cell.length, &jar->time);
    if (status != JL_OK)
        return jl_columns_fault(columns, row, JL_ROLE_TIME, status, TIME_EXPECTED, fault);
    cell = cell_of(columns, row, JL_ROLE_FRACTION);
    status = jl_fraction_read(cell.text, cell.length, &jar->fraction);
    if (status != JL_OK)
        return jl_columns_fault(columns, row, JL_ROLE_FRACTION, status, FRACTION_EXPECTED, fault);
    cell = cell_of(columns, row, JL_ROLE_NOTE);
    size_t skip = jl_note_skip(cell.text, cell.length);
    jar->note = cell.text + skip;
    jar->note_length = cell.length - skip;
    return JL_OK;
}

static jl_status check_width(const jl_columns *columns, const jl_row *row, jl_fault *fault) {
    if (row->count < columns->count)
        return jl_row_fault(row, row->count, JL_MISSING,
                            "as many cells as the header has, empty ones too", fault);
    for (size_t i = columns->count; i < row->count; i++)
        if (row->cells[i].length > 0)
            return jl_row_fault(row, i, JL_FORM,
                                "nothing here: the header has no such column. A cell "
                                "that holds the delimiter itself stands in quotes",
                                fault);
    return JL_OK;
}

static jl_status check_needs(const jl_columns *columns, const jl_row *row, const jl_jar *jar,
                             jl_fault *fault) {
    if (isnan(jar->volume_l))
        return jl_columns_fault(columns, row, JL_ROLE_VOLUME, JL_MISSING, VOLUME_EXPECTED, fault);
    if (!jar->has_reading && !jar->has_strength) {
        jl_role role = columns->what[JL_ROLE_READING] != NULL ? JL_ROLE_READING : JL_ROLE_STRENGTH;
        return jl_columns_fault(columns, row, role, JL_MISSING, "a reading or a strength", fault);
    }
    if (jar->has_reading && isnan(jar->temp_c))
        return jl_columns_fault(columns, row, JL_ROLE_TEMP, JL_MISSING,
                                "the temperature that belongs to the reading", fault);
    return JL_OK;
}

jl_status jl_columns_jar(const jl_columns *columns, const jl_row *row, jl_jar *jar,
                         jl_fault *fault) {
    jl_status status = check_width(columns, row, fault);
    jar->line = row->line;
    if (status == JL_OK) status = read_words(columns, row, jar, fault);
    if (status == JL_OK) status = read_figure(columns, row, JL_ROLE_VOLUME, &jar->volume_l, fault);
    if (status == JL_OK)
        status = read_scale(columns, row, JL_ROLE_READING, &jar->has_reading, &jar->reading, fault);
    if (status == JL_OK)
        status =
            read_scale(columns, row, JL_ROLE_STRENGTH, &jar->has_strength, &jar->strength, fault);
    if (status == JL_OK) status = read_figure(columns, row, JL_ROLE_TEMP, &jar->temp_c, fault);
    if (status == JL_OK) status = read_figure(columns, row, JL_ROLE_HEAD, &jar->head_c, fault);
    if (status == JL_OK) status = read_figure(columns, row, JL_ROLE_BOILER, &jar->boiler_c, fault);
    return status == JL_OK ? check_needs(columns, row, jar, fault) : status;
}
