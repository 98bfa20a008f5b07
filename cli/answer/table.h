/* The table: built once by a command, then set as aligned text, as JSON or as CSV; a page takes its
 * cells.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_TABLE_H
#define JARLINE_TABLE_H

#include "answer/digits.h"
#include "answer/keep.h"
#include "jarline.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

/* How a column stands in text. */
typedef enum column_kind {
    COLUMN_NUMBERS, /* right */
    COLUMN_WORDS,   /* left; what is wider than the column ends in a mark */
    COLUMN_NOTES    /* left; what is wider goes on in further lines of the row */
} column_kind;

typedef struct column {
    const char *key;   /* in JSON and CSV: letters, digits and _; NULL: only for people */
    const char *title; /* for people, its lines separated by \n; NULL: only for programs */
    const char *unit;  /* below the title; "" for none */
    int width;    /* in text, without the gap: of numbers the least; of words, 0: what they need */
    int decimals; /* of numbers, for people: at the most (answer/digits.h) */
    column_kind kind;
    const char *group; /* above the titles of neighbours that have the same; NULL: none */
    bool difference;   /* of two values of the unit */
} column;

struct table;

/* The columns are copied. */
struct table *table_new(const column *columns, size_t count);
void table_free(struct table *t);

/* The decimals of a column in CSV, where they are others. */
void table_csv_decimals(struct table *t, size_t at, int decimals);

/* ---- Cells, in the order of the columns ---- */

/* What a cell shows. A number that is NaN, and a text that is NULL, is missing. */
typedef struct cell_shown {
    enum {
        OF_NUMBER,
        OF_NUMBER_WITH,
        OF_NUMBER_KNOWN,
        OF_TEXT,
        OF_TRUTH,
        OF_JARS,
        OF_RANGE,
        OF_JAR_RANGE
    } kind;
    int decimals; /* of a number, whatever its unit */
    union {
        double number;
        const char *text;
        const jl_jar *const *jars;
        struct {
            uint32_t first, last;
        };
    };
    size_t count;    /* of jars */
    double standard; /* uncertainty of OF_NUMBER_KNOWN, whose decimals are the most that it has */
} cell_shown;

static inline cell_shown v_number(double number) {
    return (cell_shown){.kind = OF_NUMBER, .number = number};
}

static inline cell_shown v_with(double number, int decimals) {
    return (cell_shown){.kind = OF_NUMBER_WITH, .number = number, .decimals = decimals};
}

static inline cell_shown v_text(const char *text) {
    return (cell_shown){.kind = OF_TEXT, .text = text};
}

/* With the digits that a standard uncertainty leaves; no more than most. */
static inline cell_shown v_known_to(double number, double standard, int most) {
    return (cell_shown){
        .kind = OF_NUMBER_KNOWN, .number = number, .decimals = most, .standard = standard};
}

/* Pure alcohol as a cell, with the digits of its volume and strength. */
static inline cell_shown v_pure(jl_spirit spirit) {
    return v_known_to(jl_pure_alcohol_l(spirit), digits_standards(spirit).pure_alcohol_l, 3);
}

/* "yes" or "no" for people. */
static inline cell_shown v_truth(bool truth) {
    return (cell_shown){.kind = OF_TRUTH, .number = truth};
}

/* Jars of a run, in its order: "1-3, 8a" for people, ["1","2","3","8a"] in JSON. */
static inline cell_shown v_jars(const jl_jar *const *jars, size_t count) {
    return (cell_shown){.kind = OF_JARS, .jars = jars, .count = count};
}

/* Jars that are to come, from first to last; none when last is below first. */
static inline cell_shown v_jar_range(uint32_t first, uint32_t last) {
    return (cell_shown){.kind = OF_JAR_RANGE, .first = first, .last = last};
}

/* Loads: numbers in JSON. */
static inline cell_shown v_range(uint32_t first, uint32_t last) {
    return (cell_shown){.kind = OF_RANGE, .first = first, .last = last};
}

/* Of a truth, a text or a number. */
// clang-format off
#define V(x)                                                                                       \
    _Generic((x), bool: v_truth, char *: v_text, const char *: v_text, default: v_number)(x)
// clang-format on
#define V_MISSING v_text(NULL)

/* table_row(t, CELLS(V(7), V("hearts"))) */
#define CELLS(...)                                                                                 \
    (const cell_shown[]){__VA_ARGS__},                                                             \
        sizeof((const cell_shown[]){__VA_ARGS__}) / sizeof(cell_shown)
void table_row(struct table *t, const cell_shown *cells, size_t count);

void table_add_number(struct table *t, double value);
void table_add_text(struct table *t, const char *text);
void table_add_print(struct table *t, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* "1-3, 8a": a range leaves no jar of the run out. */
void write_jars(bytes *text, const jl_jar *const *jars, size_t count, const char *between);

/* ---- What it holds ---- */

size_t table_rows(const struct table *t); /* whole ones */
bool table_row_whole(const struct table *t);
size_t table_columns(const struct table *t); /* those for people, also below */
const column *table_column(const struct table *t, size_t at);

/* Lines of the head: 0 where no column for people has a title. What a column has in one: its title
 * down to the last but one, its unit in the last; "" for nothing. */
int table_head_lines(const struct table *t);
const char *table_head(const struct table *t, size_t at, int line);

/* What stands above a column and how many from there on share it; "" where it has none or does not begin
 * one. */
const char *table_group(const struct table *t, size_t at, size_t *count);
bool table_has_groups(const struct table *t);

/* A new table of some rows and, behind the first, some columns for people; both ends are cut to what is
 * there. */
struct table *table_cut(const struct table *t, size_t row, size_t rows, size_t from,
                        size_t columns);

/* A cell for people: in buffer, or where it is kept; missing: what stands for a missing one. */
enum { CELL_BYTES = 48 };
const char *table_cell(const struct table *t, size_t row, size_t at, const char *missing,
                       char buffer[CELL_BYTES]);

/* ---- As text, JSON and CSV ---- */

/* Rows below their head, as wide as they need. Rows that come later, after table_forget, go on
 * below. */
void table_text_rows(struct table *t, FILE *to);

/* The same in several blocks below each other where it is too wide for a page; each begins with the
 * first column, and a blank line stands above it. */
void table_text_blocks(struct table *t, FILE *to);

/* Objects, but not the brackets of their array. */
void table_json_rows(struct table *t, FILE *to);

/* With a head, RFC 4180. */
void table_csv(const struct table *t, FILE *to);

/* Lets go of the rows, which are written, so that a stream takes no memory. */
void table_forget(struct table *t);

#endif
