/* The rows of a run log that are jars.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "run/jars.h"
#include "spirit/spirit.h"
#include "text/letters.h"
#include "text/quantity.h"
#include "text/status.h"
#include "text/timestamp.h"
#include "uncertainty/readings.h"

#include <gsl/gsl_interp.h>
#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- columns ---- */

const char jl_jar_number_expected[] =
    "a jar's number: a whole number from 1 to 999999999, or one with a letter, as 8a";
const char jl_header_expected[] =
    "a header with volume_ml, volume_l or weight_g, and with reading_pct or reading_proof and "
    "temp_c or temp_f, with strength_pct or strength_proof, or with spout_pct";
const char jl_strength_agrees_expected[] =
    "a strength within 0.2 % vol of what the reading gives, or only one of the two";

static const char TIME_EXPECTED[] =
    "a time, as 2026-10-24 09:02, 24.10.2026 09:02, 09:02 or 9:02 pm";
static const char VOLUME_EXPECTED[] = "a volume above 0, as a plain number";
static const char PCT_EXPECTED[] = "0 to 100 % vol, as a plain number";
static const char PROOF_EXPECTED[] = "0 to 200 proof, as a plain number";
static const char LIQUID_C_EXPECTED[] = "-20 to 40 °C, as a plain number; let a hot jar cool";
static const char LIQUID_F_EXPECTED[] = "-4 to 104 °F, as a plain number; let a hot jar cool";
static const char VAPOUR_C_EXPECTED[] = "-20 to 150 °C, as a plain number";
static const char VAPOUR_F_EXPECTED[] = "-4 to 302 °F, as a plain number";
static const char WEIGHT_EXPECTED[] = "a weight above 0, as a plain number";
static const char TAKEN_EXPECTED[] = "a volume of at most what the jar holds";
static const char FRACTION_EXPECTED[] = "foreshots, heads, hearts, tails, undecided or nothing";

#define TEXT      NULL, 0, 0
#define VOLUME_L  1e-12, 1e9, VOLUME_EXPECTED
#define WEIGHT_KG 1e-9, 1e6, WEIGHT_EXPECTED
#define PCT       &jl_units[JL_PCT], 0, 100, PCT_EXPECTED
#define PROOF     &jl_units[JL_PROOF], 0, 200, PROOF_EXPECTED
#define LIQUID    JL_TEMP_MIN_C, JL_TEMP_MAX_C
#define VAPOUR    -20, 150 /* wide enough for any still: a typing error is what it finds */

const jl_column jl_jar_columns[] = {
    {"jar", JL_ROLE_JAR, TEXT, jl_jar_number_expected},
    {"time", JL_ROLE_TIME, TEXT, TIME_EXPECTED},
    {"volume_ml", JL_ROLE_VOLUME, &jl_units[JL_ML], VOLUME_L},
    {"volume_l", JL_ROLE_VOLUME, &jl_units[JL_L], VOLUME_L},
    {"reading_pct", JL_ROLE_READING, PCT},
    {"reading_proof", JL_ROLE_READING, PROOF},
    {"strength_pct", JL_ROLE_STRENGTH, PCT},
    {"strength_proof", JL_ROLE_STRENGTH, PROOF},
    {"temp_c", JL_ROLE_TEMP, &jl_units[JL_C], LIQUID, LIQUID_C_EXPECTED},
    {"temp_f", JL_ROLE_TEMP, &jl_units[JL_F], LIQUID, LIQUID_F_EXPECTED},
    {"head_c", JL_ROLE_HEAD, &jl_units[JL_C], VAPOUR, VAPOUR_C_EXPECTED},
    {"head_f", JL_ROLE_HEAD, &jl_units[JL_F], VAPOUR, VAPOUR_F_EXPECTED},
    {"boiler_c", JL_ROLE_BOILER, &jl_units[JL_C], VAPOUR, VAPOUR_C_EXPECTED},
    {"boiler_f", JL_ROLE_BOILER, &jl_units[JL_F], VAPOUR, VAPOUR_F_EXPECTED},
    {"weight_g", JL_ROLE_WEIGHT, &jl_units[JL_G], WEIGHT_KG},
    {"weight_kg", JL_ROLE_WEIGHT, &jl_units[JL_KG], WEIGHT_KG},
    {"empty_g", JL_ROLE_EMPTY, &jl_units[JL_G], WEIGHT_KG},
    {"empty_kg", JL_ROLE_EMPTY, &jl_units[JL_KG], WEIGHT_KG},
    {"spout_pct", JL_ROLE_SPOUT, PCT},
    {"spout_proof", JL_ROLE_SPOUT, PROOF},
    {"spout_temp_c", JL_ROLE_SPOUT_TEMP, &jl_units[JL_C], LIQUID, LIQUID_C_EXPECTED},
    {"spout_temp_f", JL_ROLE_SPOUT_TEMP, &jl_units[JL_F], LIQUID, LIQUID_F_EXPECTED},
    {"taken_ml", JL_ROLE_TAKEN, &jl_units[JL_ML], 0, 1e9, TAKEN_EXPECTED},
    {"taken_l", JL_ROLE_TAKEN, &jl_units[JL_L], 0, 1e9, TAKEN_EXPECTED},
    {"fraction", JL_ROLE_FRACTION, TEXT, FRACTION_EXPECTED},
    {"note", JL_ROLE_NOTE, TEXT, ""},
    {NULL, 0, TEXT, NULL},
};

bool jl_header_is_known(const jl_row *header) {
    for (size_t i = 0; i < header->count; i++) {
        const jl_column *column =
            jl_column_named(jl_jar_columns, header->cells[i].text, header->cells[i].length);
        if (column != NULL && (column->role == JL_ROLE_VOLUME || column->role == JL_ROLE_WEIGHT))
            return true;
    }
    return false;
}

jl_status jl_jar_columns_read(const jl_row *header, char delimiter, jl_columns *columns,
                              jl_fault *fault) {
    jl_status status = jl_columns_read(jl_jar_columns, header, delimiter, columns, fault);
    if (status != JL_OK) return status;
    const jl_column *const *what = columns->what;
    bool strength = what[JL_ROLE_STRENGTH] != NULL || what[JL_ROLE_SPOUT] != NULL;
    bool reading = what[JL_ROLE_READING] != NULL && what[JL_ROLE_TEMP] != NULL;
    bool volume = what[JL_ROLE_VOLUME] != NULL || what[JL_ROLE_WEIGHT] != NULL;
    if (volume && (strength || reading)) return JL_OK;
    const char *expected = jl_header_expected;
    if (!volume && (strength || reading))
        expected = "a column volume_ml or volume_l too: a volume has its unit in the name";
    else if (volume && what[JL_ROLE_READING] != NULL)
        expected = "a column temp_c or temp_f too: a reading needs its temperature";
    return jl_fault_at(fault, JL_MISSING, header->line, 0, NULL, 0, expected);
}

/* ---- words ---- */

const char *jl_fraction_name(jl_fraction fraction) {
    static const char *const NAMES[JL_FRACTIONS] = {
        [JL_UNDECIDED] = "undecided", [JL_FORESHOTS] = "foreshots", [JL_HEADS] = "heads",
        [JL_HEARTS] = "hearts",       [JL_TAILS] = "tails",
    };
    return (size_t)fraction < JL_FRACTIONS ? NAMES[fraction] : "";
}

jl_status jl_fraction_read(const char *text, size_t length, jl_fraction *fraction) {
    jl_cell cell = jl_cell_trimmed((jl_cell){text, length});
    for (int f = JL_UNDECIDED; f < JL_FRACTIONS; f++) {
        bool nothing = f == JL_UNDECIDED && cell.length == 0;
        if (!nothing && !jl_cell_is(cell, jl_fraction_name((jl_fraction)f))) continue;
        *fraction = (jl_fraction)f;
        return JL_OK;
    }
    return JL_FORM;
}

jl_status jl_jar_name_read(const char *text, size_t length, jl_jar_key *key) {
    jl_cell cell = jl_cell_trimmed((jl_cell){text, length});
    double value;
    char last = cell.length > 1 ? (char)(cell.text[cell.length - 1] | 0x20) : '0';
    bool lettered = last >= 'a' && last <= 'z';
    if (lettered) cell.length--;
    /* "8 a" is none, "8.0" is. */
    if (lettered && (cell.text[cell.length - 1] < '0' || cell.text[cell.length - 1] > '9'))
        return JL_FORM;
    jl_status status = jl_decimal_read(cell.text, cell.length, JL_COMMA_NONE, &value);
    if (status != JL_OK) return status;
    if (!(value >= 1 && value <= JL_JAR_MOST && value == (uint32_t)value)) return JL_RANGE;
    *key = (jl_jar_key)value * JL_JAR_LETTERS + (lettered ? (unsigned)(last - 'a' + 1) : 0);
    return JL_OK;
}

void jl_jar_name_write(jl_jar_key key, char name[JL_JAR_NAME_BYTES]) {
    unsigned number = (unsigned)(key / JL_JAR_LETTERS), letter = (unsigned)(key % JL_JAR_LETTERS);
    if (letter == 0)
        snprintf(name, JL_JAR_NAME_BYTES, "%u", number);
    else
        snprintf(name, JL_JAR_NAME_BYTES, "%u%c", number, 'a' + (int)letter - 1);
}

jl_jar_key jl_jar_key_of(const jl_jar *jar) {
    char last = jar->name[strspn(jar->name, "0123456789")];
    return (jl_jar_key)jar->number * JL_JAR_LETTERS +
           (last >= 'a' ? (unsigned)(last - 'a' + 1) : 0);
}

/* ---- the instrument ---- */

bool jl_is_of_the_instrument(const jl_fact *fact) {
    return jl_key_of(fact, JL_IN_RUN_HEAD) != JL_KEYS;
}

/* A reading in proof needs an instrument of 60 °F. */
static jl_status check_scale(const jl_alcoholometer *instrument, const jl_columns *columns,
                             jl_fault *fault) {
    const jl_column *reading = columns->what[JL_ROLE_READING];
    if (!jl_column_is_in(reading, &jl_units[JL_PROOF])) return JL_OK;
    if (jl_calibrated_c(instrument, JL_UNIT_PROOF_US) == JL_PROOF_C) return JL_OK;
    return jl_fault_at(
        fault, JL_CONFLICT, columns->line, columns->at[JL_ROLE_READING] + 1, reading->name,
        strlen(reading->name),
        "reading_pct: the facts say that the instrument is not calibrated at 60 °F, and proof is");
}

jl_status jl_instrument_read(const jl_facts *facts, const jl_columns *columns,
                             jl_alcoholometer *instrument, double *empty_kg, jl_fault *fault) {
    jl_settings settings;
    jl_settings_begin(&settings);
    jl_status status = jl_settings_take(&settings, facts, JL_IN_RUN_HEAD, JL_FROM_LOG, NULL, fault);
    if (status != JL_OK) return status;
    *instrument = jl_settings_to_alcoholometer(&settings);
    if (empty_kg != NULL) *empty_kg = jl_setting_value(&settings, JL_KEY_EMPTY);
    return check_scale(instrument, columns, fault);
}

/* ---- what a jar comes to ---- */

/* Where a jar's figures are from: a row of a log, or an entry. */
typedef struct origin {
    const jl_columns *columns; /* NULL: an entry */
    const jl_row *row;
} origin;

static const struct {
    size_t jar, entry;
} PLACES[JL_ROLES] = {
#define PLACE(number)                                                                              \
    { offsetof(jl_jar, number), offsetof(jl_entry, number) }
    [JL_ROLE_VOLUME] = PLACE(volume_l),
    [JL_ROLE_READING] = PLACE(reading.value),
    [JL_ROLE_STRENGTH] = PLACE(strength.value),
    [JL_ROLE_TEMP] = PLACE(temp_c),
    [JL_ROLE_HEAD] = PLACE(head_c),
    [JL_ROLE_BOILER] = PLACE(boiler_c),
    [JL_ROLE_WEIGHT] = PLACE(weight_kg),
    [JL_ROLE_EMPTY] = PLACE(empty_kg),
    [JL_ROLE_SPOUT] = PLACE(spout.value),
    [JL_ROLE_SPOUT_TEMP] = PLACE(spout_temp_c),
    [JL_ROLE_TAKEN] = PLACE(taken_l),
};

double *jl_jar_place(jl_jar *jar, jl_role role) {
    size_t at = PLACES[role].jar;
    return at == 0 ? NULL : (double *)(void *)((char *)jar + at);
}

double *jl_entry_place(jl_entry *entry, jl_role role) {
    size_t at = PLACES[role].entry;
    return at == 0 ? NULL : (double *)(void *)((char *)entry + at);
}

double jl_jar_number(const jl_jar *jar, jl_role role) {
    const double *at = jl_jar_place((jl_jar *)jar, role);
    return at == NULL ? NAN : *at;
}

jl_role jl_role_of(jl_jar_figure figure) {
    static const jl_role ROLE_OF[JL_JAR_FIGURES] = {
        [JL_JAR_VOLUME] = JL_ROLE_VOLUME, [JL_JAR_READING] = JL_ROLE_READING,
        [JL_JAR_TEMP] = JL_ROLE_TEMP,     [JL_JAR_HEAD] = JL_ROLE_HEAD,
        [JL_JAR_BOILER] = JL_ROLE_BOILER, [JL_JAR_TIME] = JL_ROLE_TIME,
        [JL_JAR_WEIGHT] = JL_ROLE_WEIGHT, [JL_JAR_EMPTY] = JL_ROLE_EMPTY,
        [JL_JAR_SPOUT] = JL_ROLE_SPOUT,   [JL_JAR_SPOUT_TEMP] = JL_ROLE_SPOUT_TEMP,
    };
    return ROLE_OF[figure];
}

static jl_status fault_in(const origin *from, const jl_jar *jar, jl_role role, jl_status status,
                          const char *expected, jl_fault *fault) {
    char figure[32] = "";
    if (from->columns != NULL)
        return jl_columns_fault(from->columns, from->row, role, status, expected, fault);
    if (!isnan(jl_jar_number(jar, role)))
        snprintf(figure, sizeof figure, "%g", jl_jar_number(jar, role));
    return jl_text_fault(fault, status, figure, expected);
}

static const char *model_expected(jl_status status) {
    return status == JL_NO_MIXTURE ? jl_no_mixture_expected
                                   : "a reading of 0 to 100 % vol and a temperature of -20 to 40 "
                                     "°C, corrections included";
}

void jl_jar_reader_begin(jl_jar_reader *reader) {
    reader->instrument = JL_ALCOHOLOMETER;
    reader->empty_kg = NAN;
    reader->highest = 0;
    jl_isotherm_cache_begin(&reader->isotherms);
    jl_isotherm_at(JL_STRENGTH_C, &reader->at_20c);
}

double jl_jar_volume_20c_l(const jl_jar_reader *reader, jl_spirit spirit) {
    double mass_kg = jl_mass_kg(spirit);
    return mass_kg / jl_isotherm_density(&reader->at_20c, spirit.ethanol_kg / mass_kg) * 1000;
}

static jl_status read_mixture(jl_jar_reader *reader, const origin *from, jl_jar *jar,
                              jl_fault *fault) {
    jl_role role = jar->has_reading  ? JL_ROLE_READING
                   : jar->from_spout ? JL_ROLE_SPOUT
                                     : JL_ROLE_STRENGTH;
    jl_quantity reading = jar->from_spout ? jar->spout : jar->reading;
    double temp_c = jar->from_spout && !isnan(jar->spout_temp_c) ? jar->spout_temp_c : jar->temp_c;
    jl_status status = role == JL_ROLE_STRENGTH
                           ? jl_strength_to_mass_fraction(jar->strength, &jar->mass_fraction)
                           : jl_reading_solve(&reader->instrument, reading, temp_c,
                                              &reader->isotherms, &jar->mass_fraction);
    if (status == JL_OK) return JL_OK;
    return fault_in(from, jar, role, status, model_expected(status), fault);
}

/* How far apart a reading and a strength of one liquid may be. */
static const double SAME_STRENGTH_PCT = 0.2;

jl_status jl_strength_agrees(jl_quantity stated, double mass_fraction) {
    double stated_p, stated_pct, pct;
    jl_status status = jl_strength_to_mass_fraction(stated, &stated_p);
    if (status == JL_OK) status = jl_strength_pct(stated_p, JL_STRENGTH_C, &stated_pct);
    if (status == JL_OK) status = jl_strength_pct(mass_fraction, JL_STRENGTH_C, &pct);
    /* cppcheck-suppress uninitvar ; set where the status says so */
    if (status == JL_OK && fabs(pct - stated_pct) > SAME_STRENGTH_PCT) status = JL_CONFLICT;
    return status;
}

/* A jar's own empty weight, or that of all. */
static double empty_of(const jl_jar_reader *reader, const jl_jar *jar) {
    return isnan(jar->empty_kg) ? reader->empty_kg : jar->empty_kg;
}

/* jl_spirit_from_volume and jl_volume_l, by the isotherms that the reading has left. */
static jl_status measure(jl_jar_reader *reader, const origin *from, jl_jar *jar, jl_fault *fault) {
    if (!jl_temp_ok(jar->liquid_c))
        return fault_in(from, jar, JL_ROLE_TEMP, JL_RANGE, model_expected(JL_RANGE), fault);
    double p = jar->mass_fraction;
    double kg_m3 =
        jl_isotherm_density(jl_isotherm_cache_at(&reader->isotherms.liquid, jar->liquid_c), p);
    if (jar->by_weight)
        jar->volume_l = jl_mass_from_scale_kg(jar->weight_kg - jar->empty_kg, kg_m3) / kg_m3 * 1000;
    double mass_kg = jar->volume_l * kg_m3 / 1000;
    jar->spirit = (jl_spirit){mass_kg * p, mass_kg * (1 - p)};
    jar->volume_20c_l = mass_kg / jl_isotherm_density(&reader->at_20c, p) * 1000;
    if (jar->taken_l > jar->volume_l)
        return fault_in(from, jar, JL_ROLE_TAKEN, JL_RANGE, TAKEN_EXPECTED, fault);
    return JL_OK;
}

jl_status jl_jar_remix(jl_jar_reader *reader, double strength_pct, jl_jar *jar, jl_fault *fault) {
    const origin from = {NULL, NULL};
    jl_status status =
        jl_mass_fraction_from_strength(strength_pct, JL_STRENGTH_C, &jar->mass_fraction);
    if (status == JL_OK) status = measure(reader, &from, jar, fault);
    if (status != JL_OK && fault != NULL) fault->line = jar->line;
    return status;
}

static jl_status check_weight(const jl_jar_reader *reader, const origin *from, const jl_jar *jar,
                              jl_fault *fault) {
    double empty_kg = empty_of(reader, jar);
    if (!jar->by_weight) return JL_OK;
    if (isnan(empty_kg))
        return fault_in(from, jar, JL_ROLE_EMPTY, JL_MISSING,
                        "the empty jar's weight, empty_g, beside it or as a fact of all jars",
                        fault);
    return jar->weight_kg > empty_kg ? JL_OK
                                     : fault_in(from, jar, JL_ROLE_WEIGHT, JL_RANGE,
                                                "a weight above that of the empty jar", fault);
}

static jl_status check_needs(const origin *from, const jl_jar *jar, jl_fault *fault) {
    bool reading = from->columns == NULL || from->columns->what[JL_ROLE_READING] != NULL;
    bool volume = from->columns == NULL || from->columns->what[JL_ROLE_VOLUME] != NULL;
    if (isnan(jar->volume_l) && !jar->by_weight)
        return fault_in(from, jar, volume ? JL_ROLE_VOLUME : JL_ROLE_WEIGHT, JL_MISSING,
                        volume ? VOLUME_EXPECTED : WEIGHT_EXPECTED, fault);
    if (jar->from_spout && isnan(jar->spout_temp_c) && isnan(jar->temp_c))
        return fault_in(from, jar, JL_ROLE_SPOUT_TEMP, JL_MISSING,
                        "the temperature that belongs to the reading", fault);
    if (!jar->has_reading && !jar->has_strength && !jar->from_spout)
        return fault_in(from, jar, reading ? JL_ROLE_READING : JL_ROLE_STRENGTH, JL_MISSING,
                        "a reading or a strength", fault);
    if (jar->has_reading && isnan(jar->temp_c))
        return fault_in(from, jar, JL_ROLE_TEMP, JL_MISSING,
                        "the temperature that belongs to the reading", fault);
    return JL_OK;
}

static jl_status compute(jl_jar_reader *reader, const origin *from, jl_jar *jar, jl_fault *fault) {
    jar->by_weight = isnan(jar->volume_l) && !isnan(jar->weight_kg);
    jar->from_spout = !jar->has_reading && !jar->has_strength && !isnan(jar->spout.value);
    jar->curve_u_pct = jar->from_spout ? 0 : NAN;
    jl_status status = check_needs(from, jar, fault);
    if (status == JL_OK) status = check_weight(reader, from, jar, fault);
    if (status != JL_OK) return status;
    if (jar->by_weight) jar->empty_kg = empty_of(reader, jar);
    jar->at_20c = isnan(jar->temp_c);
    jar->liquid_c =
        jar->at_20c ? JL_STRENGTH_C : jar->temp_c + reader->instrument.thermometer_correction_c;
    status = read_mixture(reader, from, jar, fault);
    if (status != JL_OK) return status;
    if (jar->has_reading && jar->has_strength)
        status = jl_strength_agrees(jar->strength, jar->mass_fraction);
    if (status != JL_OK)
        return fault_in(from, jar, JL_ROLE_STRENGTH, status, jl_strength_agrees_expected, fault);
    return measure(reader, from, jar, fault);
}

/* ---- a row ---- */

static jl_status read_number(jl_jar_reader *reader, const jl_columns *columns, const jl_row *row,
                             jl_jar *jar, jl_fault *fault) {
    jl_cell cell = jl_columns_cell(columns, row, JL_ROLE_JAR);
    jl_jar_key key = ((jl_jar_key)reader->highest + 1) * JL_JAR_LETTERS;
    jl_status status = JL_OK;
    if (cell.length > 0)
        status = jl_jar_name_read(cell.text, cell.length, &key);
    else if (reader->highest == JL_JAR_MOST)
        status = JL_RANGE;
    if (status != JL_OK)
        return jl_columns_fault(columns, row, JL_ROLE_JAR, status, jl_jar_number_expected, fault);
    jar->number = (uint32_t)(key / JL_JAR_LETTERS);
    jl_jar_name_write(key, jar->name);
    if (jar->number > reader->highest) reader->highest = jar->number;
    return JL_OK;
}

/* A moment as people write it. One that cannot be read leaves the jar without; one with two readings is
 * refused. */
static jl_status read_time(jl_jar_reader *reader, const jl_columns *columns, const jl_row *row,
                           jl_jar *jar, jl_fault *fault) {
    jl_cell cell = jl_columns_cell(columns, row, JL_ROLE_TIME);
    jl_fault own;
    jar->has_time = false;
    jar->time = (jl_time){0, 0};
    if (cell.length == 0) return JL_OK;
    jl_status status =
        jl_time_in_cell(cell.text, cell.length, reader->time_known ? &reader->time : NULL,
                        &jar->time, &reader->typed);
    jar->has_time = status == JL_OK;
    if (status == JL_OK) {
        reader->time = jar->time;
        reader->time_known = true;
        return JL_OK;
    }
    jl_columns_fault(columns, row, JL_ROLE_TIME, status, TIME_EXPECTED, &own);
    if (status == JL_AMBIGUOUS) {
        if (fault != NULL) *fault = own;
        return status;
    }
    if (reader->times_unread++ == 0) reader->time_fault = own;
    return JL_OK;
}

static jl_status read_words(const jl_columns *columns, const jl_row *row, jl_jar *jar,
                            jl_fault *fault) {
    jar->resumed = false;
    jl_cell cell = jl_columns_cell(columns, row, JL_ROLE_FRACTION);
    jl_status status = jl_fraction_read(cell.text, cell.length, &jar->fraction);
    if (status != JL_OK)
        return jl_columns_fault(columns, row, JL_ROLE_FRACTION, status, FRACTION_EXPECTED, fault);
    cell = jl_columns_cell(columns, row, JL_ROLE_NOTE);
    size_t skip = jl_note_skip(cell.text, cell.length);
    jar->note = cell.text + skip;
    jar->note_length = cell.length - skip;
    return JL_OK;
}

static bool take_scale(const jl_columns *columns, jl_role role, jl_quantity *quantity) {
    bool has = !isnan(quantity->value);
    quantity->unit = has ? columns->what[role]->unit->unit : JL_UNIT_BASE;
    return has;
}

static jl_status read_figures(const jl_columns *columns, const jl_row *row, jl_jar *jar,
                              jl_fault *fault) {
    for (jl_role role = JL_ROLE_VOLUME; role <= JL_ROLE_TAKEN; role++) {
        jl_status status = jl_columns_value(columns, row, role, jl_jar_place(jar, role), fault);
        if (status != JL_OK) return status;
    }
    jar->has_reading = take_scale(columns, JL_ROLE_READING, &jar->reading);
    jar->has_strength = take_scale(columns, JL_ROLE_STRENGTH, &jar->strength);
    jar->from_spout = take_scale(columns, JL_ROLE_SPOUT, &jar->spout);
    return JL_OK;
}

jl_status jl_jar_read(jl_jar_reader *reader, const jl_columns *columns, const jl_row *row,
                      jl_jar *jar, jl_fault *fault) {
    const origin from = {columns, row};
    jl_status status = jl_columns_width(columns, row, fault);
    jar->size = sizeof *jar;
    jar->line = row->line;
    if (status == JL_OK) status = read_number(reader, columns, row, jar, fault);
    if (status == JL_OK) status = read_time(reader, columns, row, jar, fault);
    if (status == JL_OK) status = read_words(columns, row, jar, fault);
    if (status == JL_OK) status = read_figures(columns, row, jar, fault);
    return status == JL_OK ? compute(reader, &from, jar, fault) : status;
}

/* ---- an entry ---- */

static double number_for(const jl_entry *e, jl_role role) {
    const double *at = jl_entry_place((jl_entry *)e, role);
    return at == NULL ? NAN : *at;
}

static jl_jar jar_of(const jl_entry *e) {
    jl_jar jar = {.size = sizeof jar,
                  .has_reading = !isnan(e->reading.value),
                  .reading = e->reading,
                  .has_strength = !isnan(e->strength.value),
                  .strength = e->strength,
                  .spout = e->spout,
                  .note = ""};
    for (jl_role role = JL_ROLE_VOLUME; role <= JL_ROLE_TAKEN; role++)
        *jl_jar_place(&jar, role) = number_for(e, role);
    return jar;
}

static const char *text_for(const jl_entry *e, jl_role role) {
    return role == JL_ROLE_JAR        ? e->jar
           : role == JL_ROLE_TIME     ? e->time
           : role == JL_ROLE_FRACTION ? e->fraction
           : role == JL_ROLE_NOTE     ? e->note
                                      : NULL;
}

bool jl_entry_gives(const jl_entry *e, jl_role role) {
    return text_for(e, role) != NULL || !isnan(number_for(e, role));
}

/* In °F where one temperature is; without one, where its strengths are in proof. */
static bool is_fahrenheit(const jl_columns *columns) {
    static const jl_role TEMPS[] = {JL_ROLE_TEMP, JL_ROLE_HEAD, JL_ROLE_BOILER, JL_ROLE_SPOUT_TEMP};
    static const jl_role SCALES[] = {JL_ROLE_READING, JL_ROLE_STRENGTH, JL_ROLE_SPOUT};
    bool any = false;
    for (size_t i = 0; i < sizeof TEMPS / sizeof TEMPS[0]; i++) {
        const jl_column *column = columns->what[TEMPS[i]];
        if (jl_column_is_in(column, &jl_units[JL_F])) return true;
        any = any || column != NULL;
    }
    for (size_t i = 0; !any && i < sizeof SCALES / sizeof SCALES[0]; i++) {
        if (jl_column_is_in(columns->what[SCALES[i]], &jl_units[JL_PROOF])) return true;
    }
    return false;
}

const jl_column *jl_column_like(const jl_columns *columns, jl_role role, bool proof) {
    static const char *const NAMES[JL_ROLES][2] = {
        [JL_ROLE_JAR] = {"jar"},
        [JL_ROLE_TIME] = {"time"},
        [JL_ROLE_VOLUME] = {"volume_ml"},
        [JL_ROLE_READING] = {"reading_pct", "reading_proof"},
        [JL_ROLE_STRENGTH] = {"strength_pct", "strength_proof"},
        [JL_ROLE_TEMP] = {"temp_c", "temp_f"},
        [JL_ROLE_HEAD] = {"head_c", "head_f"},
        [JL_ROLE_BOILER] = {"boiler_c", "boiler_f"},
        [JL_ROLE_WEIGHT] = {"weight_g"},
        [JL_ROLE_EMPTY] = {"empty_g"},
        [JL_ROLE_SPOUT] = {"spout_pct", "spout_proof"},
        [JL_ROLE_SPOUT_TEMP] = {"spout_temp_c", "spout_temp_f"},
        [JL_ROLE_TAKEN] = {"taken_ml"},
        [JL_ROLE_FRACTION] = {"fraction"},
        [JL_ROLE_NOTE] = {"note"},
    };
    bool is_scale = role == JL_ROLE_READING || role == JL_ROLE_STRENGTH || role == JL_ROLE_SPOUT;
    bool other = is_scale ? proof : is_fahrenheit(columns);
    const char *name = NAMES[role][other && NAMES[role][1] != NULL];
    return jl_column_named(jl_jar_columns, name, strlen(name));
}

static bool is_in_proof(const jl_entry *e, jl_role role) {
    jl_quantity of = role == JL_ROLE_READING ? e->reading
                     : role == JL_ROLE_SPOUT ? e->spout
                                             : e->strength;
    return of.unit == JL_UNIT_PROOF_US;
}

static jl_status check_figures(const jl_entry *e, const jl_jar *jar, jl_fault *fault) {
    const origin from = {NULL, NULL};
    static const jl_columns none = {0};
    for (jl_role role = JL_ROLE_VOLUME; role <= JL_ROLE_TAKEN; role++) {
        double value = jl_jar_number(jar, role);
        const jl_column *column = jl_column_like(&none, role, is_in_proof(e, role));
        if (!isnan(value) && !(value >= column->least && value <= column->most))
            return fault_in(&from, jar, role, JL_RANGE, column->expected, fault);
    }
    return JL_OK;
}

static bool is_one_line(const char *text) {
    return text == NULL || strpbrk(text, "\r\n") == NULL;
}

jl_status jl_moment_check(const char *text, jl_fault *fault) {
    jl_time time;
    if (text == NULL || text[0] == '\0') return JL_OK;
    jl_status status = jl_time_read(text, strlen(text), &time);
    if (status == JL_OK) return status;
    return jl_text_fault(fault, status, text,
                         "a time with its offset, as 2026-03-07T18:05:00+01:00");
}

jl_status jl_entry_check(const jl_entry *e, jl_fault *fault) {
    const jl_jar jar = jar_of(e);
    jl_status status = jl_moment_check(e->time, fault);
    if (status == JL_OK) status = jl_moment_check(e->now, fault);
    if (status != JL_OK) return status;
    for (jl_role role = JL_ROLE_TIME; role < JL_ROLES; role++)
        if (!is_one_line(text_for(e, role)))
            return jl_fault_at(fault, JL_FORM, 0, 0, text_for(e, role), strlen(text_for(e, role)),
                               "a text in one line");
    if (e->note != NULL && strlen(e->note) >= JL_CELL_BYTES_MOST)
        return jl_text_fault(fault, JL_TOO_LONG, e->note, "a note of at most 64 KiB");
    return check_figures(e, &jar, fault);
}

jl_status jl_entry_jar(jl_jar_reader *reader, const jl_entry *e, jl_jar *jar, jl_fault *fault) {
    const origin from = {NULL, NULL};
    jl_jar made = jar_of(e);
    jl_status status = check_figures(e, &made, fault);
    if (status == JL_OK) status = compute(reader, &from, &made, fault);
    if (status == JL_OK) *jar = made;
    return status;
}

/* A reading beside one of the spout was given with it, and each stands for itself. */
static bool spout_replaces(const jl_entry *e, const jl_jar *jar) {
    return jl_entry_gives(e, JL_ROLE_SPOUT) && isnan(jar->spout.value);
}

bool jl_entry_replaces(const jl_entry *e, const jl_jar *jar, jl_role role) {
    if (jl_entry_gives(e, role)) return false;
    bool reading = jl_entry_gives(e, JL_ROLE_READING),
         strength = jl_entry_gives(e, JL_ROLE_STRENGTH);
    switch (role) {
    case JL_ROLE_VOLUME:
        return jl_entry_gives(e, JL_ROLE_WEIGHT);
    case JL_ROLE_WEIGHT:
    case JL_ROLE_EMPTY:
        return jl_entry_gives(e, JL_ROLE_VOLUME) && !jl_entry_gives(e, JL_ROLE_WEIGHT);
    case JL_ROLE_READING:
        return strength || spout_replaces(e, jar);
    case JL_ROLE_STRENGTH:
        return reading || spout_replaces(e, jar);
    case JL_ROLE_SPOUT:
    case JL_ROLE_SPOUT_TEMP:
        return jar->from_spout && (reading || strength) && !jl_entry_gives(e, JL_ROLE_SPOUT);
    default:
        return false;
    }
}

jl_entry jl_entry_over(const jl_entry *e, const jl_jar *jar) {
    jl_entry whole = *e;
    for (jl_role role = JL_ROLE_VOLUME; role <= JL_ROLE_TAKEN; role++) {
        bool stands = !jl_entry_gives(e, role) && !jl_entry_replaces(e, jar, role);
        if (stands && !(role == JL_ROLE_VOLUME && jar->by_weight)) /* that is computed */
            *jl_entry_place(&whole, role) = jl_jar_number(jar, role);
    }
    if (isnan(e->reading.value)) whole.reading.unit = jar->reading.unit;
    if (isnan(e->strength.value)) whole.strength.unit = jar->strength.unit;
    if (isnan(e->spout.value)) whole.spout.unit = jar->spout.unit;
    return whole;
}

/* Nothing is no reason for a new column. */
static bool needs_column(const jl_entry *e, jl_role role) {
    const char *text = text_for(e, role);
    return text == NULL || *text != 0;
}

jl_status jl_entry_columns(const jl_entry *e, jl_columns *columns, jl_fault *fault) {
    for (jl_role role = 0; role < JL_ROLES; role++) {
        if (!jl_entry_gives(e, role)) continue;
        const jl_column *own = columns->what[role];
        const jl_column *usual = jl_column_like(columns, role, is_in_proof(e, role));
        if (own != NULL && own->unit != NULL && own->unit->unit != usual->unit->unit)
            return jl_text_fault(fault, JL_CONFLICT, usual->name, own->name);
        if (own == NULL && needs_column(e, role)) jl_columns_add(columns, usual);
    }
    return JL_OK;
}

void jl_entry_add_cell(const jl_entry *e, const jl_dialect *dialect, const jl_column *column,
                       jl_text *text) {
    const char *words = text_for(e, column->role);
    if (words == NULL)
        jl_cell_add_number(text, dialect, jl_column_number(column, number_for(e, column->role)));
    else if (column->role == JL_ROLE_NOTE)
        jl_cell_add_note(text, dialect, words, strlen(words));
    else
        jl_cell_add(text, dialect, words, strlen(words));
}

void jl_entry_add_row(const jl_entry *e, jl_jar_key key, const jl_columns *columns,
                      const jl_dialect *dialect, jl_text *text) {
    char name[JL_JAR_NAME_BYTES];
    jl_jar_name_write(key, name);
    for (size_t at = 0; at < columns->cells; at++) {
        const jl_column *column = jl_columns_at(columns, at);
        if (at > 0) jl_delimiter_add(text, dialect);
        if (column == NULL) continue;
        if (column->role == JL_ROLE_JAR)
            jl_cell_add(text, dialect, name, strlen(name));
        else if (jl_entry_gives(e, column->role))
            jl_entry_add_cell(e, dialect, column, text);
    }
    jl_line_end_add(text, dialect);
}

static bool same_time(const char *text, const jl_jar *jar) {
    jl_time time;
    if (*text == '\0') return !jar->has_time;
    return jar->has_time && jl_time_read(text, strlen(text), &time) == JL_OK &&
           time.unix_s == jar->time.unix_s && time.offset_s == jar->time.offset_s;
}

bool jl_entry_same(const jl_entry *e, const jl_column *column, const jl_jar *jar) {
    jl_fraction fraction;
    const jl_role role = (jl_role)column->role;
    if (role == JL_ROLE_TIME) return same_time(e->time, jar);
    if (role == JL_ROLE_NOTE) return strcmp(e->note, jar->note) == 0;
    if (role == JL_ROLE_FRACTION)
        return jl_fraction_read(e->fraction, strlen(e->fraction), &fraction) == JL_OK &&
               fraction == jar->fraction;
    double wanted = jl_column_number(column, number_for(e, role));
    double number = jl_column_number(column, jl_jar_number(jar, role));
    return fabs(number - wanted) <= 1e-9 * fmax(fabs(wanted), 1e-3);
}

/* ---- Jars of which only the running spout was read ---- */

/* Gauss and Legendre's points and weights on -1 to 1, exact for the cubic's squares and more. */
static const double POINTS[] = {-0.9061798459386640, -0.5384693101056831, 0, 0.5384693101056831,
                                0.9061798459386640};
static const double WEIGHTS[] = {0.2369268850561891, 0.4786286704993665, 0.5688888888888889,
                                 0.4786286704993665, 0.2369268850561891};
enum { POINT_COUNT = sizeof POINTS / sizeof POINTS[0] };

static bool in_order(const jl_spout_reading *r, size_t count, double spout_l) {
    if (count == 0 || !(spout_l >= 0) || !(r[0].until_l > spout_l)) return false;
    for (size_t i = 0; i < count; i++) {
        if (!(r[i].strength_pct >= 0 && r[i].strength_pct <= 100)) return false;
        if (i > 0 && !(r[i].until_l > r[i - 1].until_l)) return false;
    }
    return isfinite(r[count - 1].until_l);
}

/* The strength of the first drop where nothing is known of it. */
static double carried_back(const jl_spout_reading *r, size_t count) {
    if (count < 2) return r[0].strength_pct;
    double slope = (r[1].strength_pct - r[0].strength_pct) / (r[1].until_l - r[0].until_l);
    return fmin(fmax(r[0].strength_pct - slope * r[0].until_l, 0), 100);
}

/* What the curve gives at a volume; behind the last reading, in the lag, it goes straight on. */
static double curve_at(const gsl_interp *curve, const double *l, const double *pct, size_t n,
                       double at_l) {
    if (at_l < l[n - 1]) return gsl_interp_eval(curve, l, pct, at_l, NULL);
    double slope = gsl_interp_eval_deriv(curve, l, pct, l[n - 1], NULL);
    return pct[n - 1] + slope * (at_l - l[n - 1]);
}

/* All that ran between two volumes, mixed; a strength of 0 to 100 % has its mixture. */
static double mean_between(const gsl_interp *curve, const double *l, const double *pct, size_t n,
                           double from_l, double to_l) {
    jl_spirit sum = {0, 0}, part = {0, 0};
    for (int i = 0; i < POINT_COUNT; i++) {
        double at_l = from_l + (to_l - from_l) * (1 + POINTS[i]) / 2;
        double at_pct = fmin(fmax(curve_at(curve, l, pct, n, at_l), 0), 100);
        jl_spirit_at_20(WEIGHTS[i], at_pct, &part);
        sum = jl_blend(sum, part);
    }
    return jl_spirit_strength_pct(sum);
}

static void fill_means(const gsl_interp *curve, const double *l, const double *pct,
                       const jl_spout_reading *r, size_t count, jl_spout_mean *means) {
    for (size_t i = 0; i < count; i++) {
        double from_l = i == 0 ? 0 : r[i - 1].until_l;
        double to_l = r[i].until_l;
        double mean_pct = mean_between(curve, l, pct, count + 1, from_l, to_l);
        double straight_pct = (curve_at(curve, l, pct, count + 1, from_l) +
                               curve_at(curve, l, pct, count + 1, to_l)) /
                              2;
        means[i] = (jl_spout_mean){mean_pct, fabs(mean_pct - straight_pct) / 4};
    }
}

jl_status jl_spout_means(const jl_spout_reading *readings, size_t count, double begin_pct,
                         double spout_l, jl_spout_mean *means) {
    if (!in_order(readings, count, spout_l)) return JL_RANGE;
    if (!isnan(begin_pct) && !(begin_pct >= 0 && begin_pct <= 100)) return JL_RANGE;
    double *l = malloc(2 * (count + 1) * sizeof *l);
    const gsl_interp_type *type = count < 2 ? gsl_interp_linear : gsl_interp_steffen;
    gsl_interp *curve = gsl_interp_alloc(type, count + 1);
    jl_status status = l == NULL || curve == NULL ? JL_MEMORY : JL_OK;
    if (status == JL_OK) {
        double *pct = l + count + 1;
        l[0] = 0;
        pct[0] = isnan(begin_pct) ? carried_back(readings, count) : begin_pct;
        for (size_t i = 0; i < count; i++) {
            l[i + 1] = readings[i].until_l - spout_l;
            pct[i + 1] = readings[i].strength_pct;
        }
        gsl_interp_init(curve, l, pct, count + 1);
        fill_means(curve, l, pct, readings, count, means);
    }
    gsl_interp_free(curve);
    free(l);
    return status;
}
