/* What show.c and its two kinds of output share.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_SHOW_KIND_H
#define JARLINE_SHOW_KIND_H

#include "answer/show.h"

enum { SENTENCE_KINDS = 3 };
typedef enum sentence { ASSUMPTION, NOTE, CAUTION } sentence;

/* A cell as the two kinds take it. */
typedef struct cell {
    enum { CELL_NUMBER, CELL_TEXT, CELL_TRUTH, CELL_NUMBERS } kind;
    double value; /* of a truth: 0 or 1 */
    const char *text;
    numbers_next *next;
    const void *with;
} cell;

typedef struct show_kind {
    void (*heading)(void *state, const char *text);
    void (*number)(void *state, const char *key, const char *label, double value, int decimals,
                   const char *unit);
    void (*text)(void *state, const char *key, const char *label, const char *text);
    void (*truth)(void *state, const char *key, bool value);
    void (*group)(void *state, const char *key, const char *heading);
    void (*group_end)(void *state);
    void (*table)(void *state, const char *key, const column *columns, size_t count);
    void (*cell)(void *state, const cell *c, size_t index);
    void (*table_flush)(void *state);
    void (*table_end)(void *state);
    void (*sentences)(void *state, sentence kind, char *const *sentences, size_t count);
    void (*end)(void *state, bool whole);
} show_kind;

void *show_text_open(void);
void *show_json_open(void);
extern const show_kind SHOW_TEXT, SHOW_JSON;

#endif
