/* An answer as one JSON object, written as it comes.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/say.h"
#include "answer/show_kind.h"

#include <inttypes.h>
#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { DIGITS = 12, DEPTH_MOST = 8 };

typedef struct json_state {
    bool begun[DEPTH_MOST]; /* something stands at this depth: a comma comes first */
    int depth;
    const column *columns;
    size_t count;
    bool table;
    bool row; /* a cell of the present row has been written */
} json_state;

void *show_json_open(void) {
    json_state *s = need(calloc(1, sizeof *s));
    fputc('{', stdout);
    return s;
}

static void comma(json_state *s) {
    if (s->begun[s->depth]) fputc(',', stdout);
    s->begun[s->depth] = true;
}

static void put(json_t *value) {
    need(value);
    json_dumpf(value, stdout, JSON_ENCODE_ANY | JSON_COMPACT | JSON_REAL_PRECISION(DIGITS));
    json_decref(value);
}

/* Bytes that are no UTF-8 are replaced by U+FFFD, one for each. */
static json_t *string(const char *text) {
    json_t *value = json_string(text);
    if (value != NULL) return value;
    size_t length = strlen(text), n = 0;
    char *clean = need(malloc(3 * length + 1));
    for (size_t i = 0; i < length;) {
        size_t take = 1;
        json_t *part = NULL;
        for (; take <= 4 && i + take <= length && part == NULL; take++)
            part = json_stringn(text + i, take);
        take--;
        memcpy(clean + n, part != NULL ? text + i : "\xef\xbf\xbd", part != NULL ? take : 3);
        n += part != NULL ? take : 3;
        i += part != NULL ? take : 1;
        json_decref(part);
    }
    value = json_stringn(clean, n);
    free(clean);
    return value;
}

static void put_key(json_state *s, const char *key) {
    comma(s);
    put(string(key));
    fputc(':', stdout);
}

static void put_number(double value) {
    if (!isfinite(value))
        put(json_null());
    else if (value == floor(value) && fabs(value) < 1e15)
        put(json_integer((json_int_t)value));
    else
        put(json_real(value));
}

static void json_heading(void *state, const char *text) {
    (void)state;
    (void)text;
}

static void json_number(void *state, const char *key, const char *label, double value, int decimals,
                        const char *unit) {
    (void)label;
    (void)decimals;
    (void)unit;
    if (key == NULL) return;
    put_key(state, key);
    put_number(value);
}

static void json_text(void *state, const char *key, const char *label, const char *text) {
    (void)label;
    if (key == NULL) return;
    put_key(state, key);
    put(text == NULL ? json_null() : string(text));
}

static void json_truth(void *state, const char *key, bool value) {
    put_key(state, key);
    put(json_boolean(value));
}

static void json_group(void *state, const char *key, const char *heading) {
    json_state *s = state;
    (void)heading;
    put_key(s, key);
    fputc('{', stdout);
    s->begun[++s->depth] = false;
}

static void json_group_end(void *state) {
    json_state *s = state;
    fputc('}', stdout);
    s->depth--;
}

static void json_table(void *state, const char *key, const column *columns, size_t count) {
    json_state *s = state;
    s->table = key != NULL;
    if (key == NULL) return;
    put_key(s, key);
    s->columns = columns;
    s->count = count;
    fputc('[', stdout);
    s->begun[++s->depth] = false;
}

static void put_numbers(const cell *c) {
    const char *between = "";
    fputc('[', stdout);
    for (uint32_t n = 0; (n = c->next(c->with, n)) != 0; between = ",")
        printf("%s%" PRIu32, between, n);
    fputc(']', stdout);
}

static void put_cell(json_state *s, const cell *c, const char *key) {
    if (s->row) fputc(',', stdout);
    s->row = true;
    put(string(key));
    fputc(':', stdout);
    if (c->kind == CELL_NUMBER)
        put_number(c->value);
    else if (c->kind == CELL_TEXT)
        put(c->text == NULL ? json_null() : string(c->text));
    else if (c->kind == CELL_TRUTH)
        put(json_boolean(c->value != 0));
    else
        put_numbers(c);
}

static void json_cell(void *state, const cell *c, size_t index) {
    json_state *s = state;
    if (!s->table) return;
    if (index == 0) {
        comma(s);
        fputs("\n{", stdout);
        s->row = false;
    }
    if (s->columns[index].key != NULL) put_cell(s, c, s->columns[index].key);
    if (index + 1 == s->count) fputc('}', stdout);
}

static void json_table_flush(void *state) {
    (void)state;
    fflush(stdout);
}

static void json_table_end(void *state) {
    json_state *s = state;
    if (!s->table) return;
    fputc(']', stdout);
    s->depth--;
    s->table = false;
}

static void json_sentences(void *state, sentence kind, char *const *sentences, size_t count) {
    static const char *const KEYS[SENTENCE_KINDS] = {"assumptions", "notes", "cautions"};
    json_t *array = need(json_array());
    for (size_t i = 0; i < count; i++) json_array_append_new(array, string(sentences[i]));
    put_key(state, KEYS[kind]);
    put(array);
}

static void json_end(void *state, bool whole) {
    if (whole) fputs("}\n", stdout);
    free(state);
}

const show_kind SHOW_JSON = {
    json_heading, json_number, json_text,        json_truth,     json_group,     json_group_end,
    json_table,   json_cell,   json_table_flush, json_table_end, json_sentences, json_end,
};
