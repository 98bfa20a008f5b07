/* Runs one check over one table.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "checks.h"
#include "reference.h"
#include "text/csv.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

enum { COLUMNS_MOST = 16, NAME_MOST = 48 };

struct table {
    jl_rows *rows;
    jl_row row;
    char columns[COLUMNS_MOST][NAME_MOST];
    size_t columns_count;
    size_t suspect;
    const char *problem; /* static; NULL: none. The first one stays */
    size_t problem_line;
};

static void set_problem(table *t, const char *problem) {
    if (t->problem != NULL) return;
    t->problem = problem;
    t->problem_line = t->row.line;
}

static bool next_row(table *t) {
    jl_fault fault = {0};
    jl_status status = jl_rows_next(t->rows, &t->row, &fault);
    if (status != JL_OK && status != JL_END) set_problem(t, jl_status_text(status));
    return status == JL_OK;
}

static void read_header(table *t) {
    if (!next_row(t)) return;
    if (t->row.count > COLUMNS_MOST) {
        set_problem(t, "more columns than a table of values has");
        return;
    }
    t->columns_count = t->row.count;
    for (size_t i = 0; i < t->row.count; i++) {
        if (t->row.cells[i].length >= NAME_MOST) set_problem(t, "a long column name");
        snprintf(t->columns[i], NAME_MOST, "%s", t->row.cells[i].text);
    }
}

/* The cell in a column; NULL when the table has no such column. */
static const jl_cell *find(const table *t, const char *column) {
    for (size_t i = 0; i < t->columns_count && i < t->row.count; i++)
        if (strcmp(t->columns[i], column) == 0) return &t->row.cells[i];
    return NULL;
}

bool table_next(table *t) {
    while (t->problem == NULL && next_row(t)) {
        if (t->row.count != t->columns_count) set_problem(t, "a row unlike the header");
        const jl_cell *suspect = find(t, "suspect");
        if (suspect == NULL || strcmp(suspect->text, "1") != 0) return t->problem == NULL;
        t->suspect++;
    }
    return false;
}

const char *table_text(table *t, const char *column) {
    const jl_cell *cell = find(t, column);
    if (cell == NULL) set_problem(t, "a column is missing");
    return cell != NULL ? cell->text : "";
}

double table_number(table *t, const char *column) {
    double value;
    const jl_cell *cell = find(t, column);
    if (cell == NULL) set_problem(t, "a column is missing");
    if (cell == NULL || cell->length == 0) return NAN;
    if (jl_decimal_read(cell->text, cell->length, JL_COMMA_NONE, &value) == JL_OK) return value;
    set_problem(t, "a cell is no number");
    return NAN;
}

void check_cell(check *c, const table *t, double got, double want, const char *format, ...) {
    double deviation = fabs(got - want);
    if (isnan(deviation)) deviation = INFINITY;
    if (c->cells++ > 0 && deviation <= c->largest) return;
    c->largest = deviation;
    c->line = t != NULL ? t->row.line : 0;
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(c->at, sizeof c->at, format, arguments);
    va_end(arguments);
}

static void finish(check *c, const table *t) {
    c->suspect = t->suspect;
    c->pass = t->problem == NULL && c->cells > 0 && c->largest <= c->tolerance;
    if (t->problem != NULL) {
        snprintf(c->at, sizeof c->at, "%s", t->problem);
        c->line = t->problem_line;
        c->largest = INFINITY;
    }
}

void check_run_on(check *c, const char *text, size_t length) {
    table t = {0};
    c->cells = 0;
    c->largest = 0;
    c->line = 0;
    c->at[0] = '\0';
    if (jl_rows_open(text, length, ',', &t.rows) != JL_OK) {
        t.problem = jl_status_text(JL_MEMORY);
    } else {
        read_header(&t);
        c->run(&t, c);
        jl_rows_close(t.rows);
    }
    finish(c, &t);
}

void check_run(check *c) {
    for (size_t i = 0; i < REFERENCE_FILES_COUNT; i++)
        if (strcmp(REFERENCE_FILES[i].name, c->file) == 0) {
            check_run_on(c, REFERENCE_FILES[i].text, REFERENCE_FILES[i].length);
            return;
        }
    c->largest = INFINITY;
    snprintf(c->at, sizeof c->at, "no such file is compiled in");
}
