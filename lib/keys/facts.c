/* Facts: rows of a key and its values.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "keys/facts.h"
#include "text/array.h"
#include "text/letters.h"
#include "text/quantity.h"
#include "text/status.h"
#include "text/timestamp.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FACTS_BYTES_MOST = 4 << 20 };

/* One allocation: the fact, then its value pointers, then all texts. */
typedef struct entry {
    jl_fact fact;
    const char *values[];
} entry;

struct jl_facts {
    entry **entries;
    size_t count, room;
    size_t bytes;
};

/* ---- keys ---- */

/* The key in a cell, in lower case. False when the cell holds anything else. */
static bool read_key(jl_cell cell, char key[JL_KEY_BYTES]) {
    cell = jl_cell_trimmed(cell);
    if (cell.length == 0 || cell.length >= JL_KEY_BYTES) return false;
    for (size_t i = 0; i < cell.length; i++) {
        char c = key[i] = jl_lower(cell.text[i]);
        bool letter = c >= 'a' && c <= 'z';
        if (!letter && (i == 0 || !(c == '_' || (c >= '0' && c <= '9')))) return false;
    }
    key[cell.length] = '\0';
    return true;
}

static bool read_marked_key(const jl_row *row, char key[JL_KEY_BYTES]) {
    if (!jl_row_is_fact(row)) return false;
    jl_cell cell = row->cells[0];
    return read_key((jl_cell){cell.text + 1, cell.length - 1}, key);
}

bool jl_is_key(const char *text) {
    char key[JL_KEY_BYTES];
    size_t length = strlen(text);
    return read_key((jl_cell){text, length}, key) && strlen(key) == length;
}

bool jl_row_has_key(const jl_row *row, const char *key) {
    char own[JL_KEY_BYTES];
    return read_marked_key(row, own) && strcmp(own, key) == 0;
}

/* ---- collecting ---- */

jl_status jl_facts_new(jl_facts **facts) {
    *facts = calloc(1, sizeof **facts);
    return *facts == NULL ? JL_MEMORY : JL_OK;
}

void jl_facts_free(jl_facts *facts) {
    if (facts == NULL) return;
    for (size_t i = 0; i < facts->count; i++) free(facts->entries[i]);
    free(facts->entries);
    free(facts);
}

static char *put_text(char *at, const char *text, size_t length) {
    memcpy(at, text, length);
    at[length] = '\0';
    return at + length + 1;
}

/* Each value twice: alone, and in the text that joins them. */
static size_t texts_size(const jl_row *row, size_t used, size_t key_length) {
    size_t size = key_length + 2;
    for (size_t i = 1; i < used; i++) size += 2 * row->cells[i].length + 3;
    return size;
}

static void put_texts(entry *e, const jl_row *row, const char *key) {
    char *at = (char *)(e->values + e->fact.count);
    e->fact.key = at;
    at = put_text(at, key, strlen(key));
    for (size_t i = 0; i < e->fact.count; i++) {
        jl_cell cell = jl_cell_trimmed(row->cells[i + 1]);
        e->values[i] = at;
        at = put_text(at, cell.text, cell.length);
    }
    e->fact.text = at;
    *at = '\0';
    for (size_t i = 0; i < e->fact.count; i++) {
        if (i > 0) at = put_text(at, ", ", 2) - 1;
        at = put_text(at, e->values[i], strlen(e->values[i])) - 1;
    }
}

static jl_status add(jl_facts *facts, const jl_row *row, const char *key, char delimiter,
                     const jl_fact **fact, jl_fault *fault) {
    size_t used = jl_row_used(row);
    size_t count = used - 1;
    size_t size = sizeof(entry) + count * sizeof(char *) + texts_size(row, used, strlen(key));
    if (size > FACTS_BYTES_MOST - facts->bytes)
        return jl_row_fault(row, 0, JL_RANGE, "facts of at most 4 MiB in all", fault);
    bool grown = jl_grow(&facts->entries, facts->count, &facts->room, sizeof(entry *));
    entry *e = grown ? malloc(size) : NULL;
    if (e == NULL) return jl_no_memory(fault);
    e->fact = (jl_fact){.values = e->values,
                        .count = count,
                        .line = row->line,
                        .comma = jl_delimiter_comma(delimiter)};
    put_texts(e, row, key);
    facts->entries[facts->count++] = e;
    facts->bytes += size;
    if (fact != NULL) *fact = &e->fact;
    return JL_OK;
}

static jl_status check_version(const jl_row *row, const char *key, jl_fault *fault) {
    if (strcmp(key, "jarline") != 0) return JL_OK;
    jl_cell version = row->count > 1 ? jl_cell_trimmed(row->cells[1]) : (jl_cell){"", 0};
    if (version.length == 1 && version.text[0] == '1') return JL_OK;
    return jl_row_fault(row, 1, JL_RANGE,
                        "jarline,1: another number means a file of a newer version", fault);
}

jl_status jl_facts_add(jl_facts *facts, const jl_row *row, char delimiter, const jl_fact **fact,
                       jl_fault *fault) {
    char key[JL_KEY_BYTES];
    *fact = NULL;
    if (!read_marked_key(row, key)) return JL_OK;
    jl_status status = check_version(row, key, fault);
    return status == JL_OK ? add(facts, row, key, delimiter, fact, fault) : status;
}

/* ---- a file of facts ---- */

/* In a file of its own a fact needs no #; with one, a blank after it makes a comment. */
static bool is_comment(const jl_row *row) {
    char key[JL_KEY_BYTES];
    if (!jl_row_is_fact(row)) return false;
    return jl_is_blank(row->cells[0].text[1]) || !read_marked_key(row, key) || row->count < 2;
}

static bool read_row_key(const jl_row *row, char key[JL_KEY_BYTES]) {
    return jl_row_is_fact(row) ? read_marked_key(row, key) : read_key(row->cells[0], key);
}

/* The first delimiter under which there is a key with a value. */
jl_status jl_fact_rows_begin(jl_rows *rows, jl_fault *fault) {
    static const char DELIMITERS[] = {',', ';', '\t'};
    char key[JL_KEY_BYTES];
    jl_row row;
    for (size_t i = 0; i < sizeof DELIMITERS; i++) {
        jl_rows_rewind(rows, DELIMITERS[i]);
        jl_status status;
        while ((status = jl_rows_next(rows, &row, fault)) == JL_OK)
            if (!is_comment(&row) && row.count > 1 && read_row_key(&row, key)) {
                jl_rows_rewind(rows, DELIMITERS[i]);
                return JL_OK;
            }
        if (status == JL_MEMORY) return status;
    }
    jl_rows_rewind(rows, ',');
    return JL_OK;
}

bool jl_row_read_key(const jl_row *row, char key[JL_KEY_BYTES]) {
    return !is_comment(row) && row->count > 1 && read_row_key(row, key);
}

static jl_status read_rows(jl_rows *rows, jl_facts *facts, jl_fault *fault) {
    jl_status status = jl_fact_rows_begin(rows, fault);
    char key[JL_KEY_BYTES];
    jl_row row;
    while (status == JL_OK && (status = jl_rows_next(rows, &row, fault)) == JL_OK) {
        if (jl_row_is_empty(&row) || is_comment(&row)) continue;
        if (!read_row_key(&row, key) || row.count < 2)
            return jl_row_fault(&row, 0, JL_FORM, "a key and its value, as charge_l,24", fault);
        status = check_version(&row, key, fault);
        if (status == JL_OK) status = add(facts, &row, key, jl_rows_delimiter(rows), NULL, fault);
    }
    return status == JL_END ? JL_OK : status;
}

static jl_status read_bytes(const char *bytes, size_t size, jl_facts *facts, jl_fault *fault) {
    jl_rows *rows;
    if (jl_rows_open(bytes, size, ',', &rows) != JL_OK) return jl_no_memory(fault);
    jl_status status = read_rows(rows, facts, fault);
    jl_rows_close(rows);
    return status;
}

jl_status jl_facts_of_bytes(const char *bytes, size_t size, jl_facts **facts, jl_fault *fault) {
    jl_facts *made;
    if (jl_facts_new(&made) != JL_OK) return jl_no_memory(fault);
    jl_status status = read_bytes(bytes, size, made, fault);
    if (status == JL_OK)
        *facts = made;
    else
        jl_facts_free(made);
    return status;
}

jl_status jl_facts_read(int fd, jl_facts **facts, jl_fault *fault) {
    char *bytes;
    size_t size;
    jl_status status = jl_bytes_read(fd, &bytes, &size, fault);
    if (status != JL_OK) return status;
    status = jl_facts_of_bytes(bytes, size, facts, fault);
    free(bytes);
    return status;
}

/* ---- asking ---- */

static const jl_unit_of_kind *unit_of(const char *key, const char *stem, jl_kind kind) {
    size_t length = strlen(stem);
    return strncmp(key, stem, length) == 0 ? jl_unit_ending(kind, key + length) : NULL;
}

bool jl_fact_is(const jl_fact *fact, const char *stem, jl_kind kind) {
    return unit_of(fact->key, stem, kind) != NULL;
}

const jl_fact *jl_facts_at(const jl_facts *facts, size_t index) {
    return index < facts->count ? &facts->entries[index]->fact : NULL;
}

static const jl_fact *last_with(const jl_facts *facts, const char *stem, jl_kind kind,
                                const jl_unit_of_kind **u) {
    for (size_t i = facts->count; i-- > 0;) {
        const jl_fact *fact = &facts->entries[i]->fact;
        *u = unit_of(fact->key, stem, kind);
        if (*u != NULL) return fact;
    }
    return NULL;
}

const jl_fact *jl_facts_last(const jl_facts *facts, const char *stem, jl_kind kind) {
    const jl_unit_of_kind *u;
    return last_with(facts, stem, kind, &u);
}

const jl_fact *jl_facts_find(const jl_facts *facts, const char *key) {
    return jl_facts_last(facts, key, JL_NUMBER);
}

jl_status jl_fact_fault(const jl_fact *fact, size_t index, jl_status status, const char *expected,
                        jl_fault *fault) {
    const char *text = index < fact->count ? fact->values[index] : "";
    return jl_fault_at(fault, status, fact->line, index + 2, text, strlen(text), expected);
}

static jl_status fault_no_fact(const char *stem, jl_kind kind, const char *expected,
                               jl_fault *fault) {
    char key[JL_KEY_BYTES];
    snprintf(key, sizeof key, "%s%s", stem, jl_unit_ending(kind, NULL)->ending);
    return jl_text_fault(fault, JL_MISSING, key, expected);
}

static jl_status read_value(const jl_fact *fact, size_t index, jl_comma comma, const char *expected,
                            double *value, jl_fault *fault) {
    if (index >= fact->count || fact->values[index][0] == '\0')
        return jl_fact_fault(fact, index, JL_MISSING, expected, fault);
    const char *text = fact->values[index];
    jl_status status = jl_decimal_read(text, strlen(text), comma, value);
    return status == JL_OK ? JL_OK : jl_fact_fault(fact, index, status, expected, fault);
}

static jl_status read_quantity(const jl_fact *fact, const jl_unit_of_kind *u,
                               const jl_fact_key *key, jl_quantity *quantity, jl_fault *fault) {
    double number;
    jl_comma comma = key->kind == JL_GRAVITY ? JL_COMMA_DECIMAL : fact->comma;
    jl_status status = read_value(fact, 0, comma, key->expected, &number, fault);
    if (status != JL_OK) return status;
    if (fact->count > 1)
        return jl_fact_fault(fact, 1, JL_FORM,
                             "one value; a number with a decimal comma stands in quotes", fault);
    double value = jl_from_unit(u, number);
    double scale = jl_per_pct(u->unit);
    if (!(value >= scale * key->least && value <= scale * key->most))
        return jl_fact_fault(fact, 0, JL_RANGE, key->expected, fault);
    *quantity = (jl_quantity){value, u->unit};
    return JL_OK;
}

jl_status jl_fact_quantity(const jl_fact *fact, const jl_fact_key *key, jl_quantity *quantity,
                           jl_fault *fault) {
    return read_quantity(fact, unit_of(fact->key, key->stem, key->kind), key, quantity, fault);
}

jl_status jl_facts_quantity(const jl_facts *facts, const jl_fact_key *key, jl_quantity *quantity,
                            jl_fault *fault) {
    const jl_unit_of_kind *u;
    const jl_fact *fact = last_with(facts, key->stem, key->kind, &u);
    if (fact == NULL) return fault_no_fact(key->stem, key->kind, key->expected, fault);
    return read_quantity(fact, u, key, quantity, fault);
}

double jl_fact_value(const char *name, const jl_fact_key *key, double value) {
    const jl_unit_of_kind *u = unit_of(name, key->stem, key->kind);
    return u == NULL ? value : jl_in_unit(u, value);
}

const char *jl_facts_text(const jl_facts *facts, const char *key) {
    const jl_fact *fact = jl_facts_find(facts, key);
    return fact != NULL && fact->text[0] != '\0' ? fact->text : NULL;
}

jl_status jl_facts_time(const jl_facts *facts, const char *key, jl_time *time, jl_fault *fault) {
    static const char EXPECTED[] =
        "a date and time, as 2026-03-07 18:05 or 2026-03-07T18:05:00+01:00";
    const jl_fact *fact = jl_facts_find(facts, key);
    if (fact == NULL) return fault_no_fact(key, JL_NUMBER, EXPECTED, fault);
    if (fact->count == 0) return jl_fact_fault(fact, 0, JL_MISSING, EXPECTED, fault);
    jl_status status = jl_time_in_cell(fact->text, strlen(fact->text), NULL, time, NULL);
    return status == JL_OK ? JL_OK : jl_fact_fault(fact, 0, status, EXPECTED, fault);
}

jl_status jl_fact_number(const jl_fact *fact, size_t index, double least, double most,
                         const char *expected, double *value, jl_fault *fault) {
    double number;
    jl_status status = read_value(fact, index, fact->comma, expected, &number, fault);
    if (status != JL_OK) return status;
    if (!(number >= least && number <= most))
        return jl_fact_fault(fact, index, JL_RANGE, expected, fault);
    *value = number;
    return JL_OK;
}
