/* Cells of a compiled-in file by row and column, for tests and for the fit: short files, no haste.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_REFERENCE_NUMBERS_H
#define JARLINE_REFERENCE_NUMBERS_H

#include "reference.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static inline const char *reference_text(const char *file) {
    for (size_t i = 0; i < REFERENCE_FILES_COUNT; i++)
        if (strcmp(REFERENCE_FILES[i].name, file) == 0) return REFERENCE_FILES[i].text;
    fprintf(stderr, "no reference/%s.csv\n", file);
    abort();
}

/* Rows below the header. */
static inline size_t reference_rows(const char *file) {
    size_t lines = 0;
    for (const char *at = reference_text(file); *at != '\0'; at++) lines += *at == '\n';
    return lines - 1;
}

/* Copies the cell at *at without its quotes and goes behind it; false when the line ended there. */
static inline bool reference_next_cell(const char **at, char *cell, size_t size) {
    size_t length = 0;
    bool quoted = false;
    const char *c = *at;
    for (; *c != '\0' && (quoted || (*c != ',' && *c != '\n')); c++) {
        if (*c == '"')
            quoted = !quoted;
        else if (length + 1 < size)
            cell[length++] = *c;
    }
    cell[length] = '\0';
    bool more = *c == ',';
    *at = *c == '\0' ? c : c + 1;
    return more;
}

static inline void reference_cell_at(const char *line, size_t column, char *cell, size_t size) {
    for (size_t i = 0; i <= column; i++)
        if (!reference_next_cell(&line, cell, size) && i < column) {
            cell[0] = '\0';
            return;
        }
}

static inline size_t reference_column(const char *file, const char *name) {
    const char *at = reference_text(file);
    char cell[128];
    bool more = true;
    for (size_t i = 0; more; i++) {
        more = reference_next_cell(&at, cell, sizeof cell);
        if (strcmp(cell, name) == 0) return i;
    }
    fprintf(stderr, "no column %s in reference/%s.csv\n", name, file);
    abort();
}

/* A cell as text; row counts from 0. */
static inline void reference_cell(const char *file, size_t row, const char *column, char *cell,
                                  size_t size) {
    const char *line = reference_text(file);
    for (size_t i = 0; i <= row; i++) line = strchr(line, '\n') + 1;
    reference_cell_at(line, reference_column(file, column), cell, size);
}

/* A cell as a number, NaN where it is empty. */
static inline double reference_number(const char *file, size_t row, const char *column) {
    char cell[128];
    reference_cell(file, row, column, cell, sizeof cell);
    return cell[0] == '\0' ? NAN : strtod(cell, NULL);
}

#endif
