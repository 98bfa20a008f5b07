/* The columns of a table, found by the names in its header.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "log/columns.h"
#include "text/status.h"

#include <math.h>
#include <string.h>

/* ---- the header ---- */

const jl_column *jl_column_named(const jl_column *table, const char *name, size_t length) {
    jl_cell cell = jl_cell_trimmed((jl_cell){name, length});
    for (const jl_column *column = table; column->name != NULL; column++)
        if (jl_cell_is(cell, column->name)) return column;
    return NULL;
}

/* Kept, so that a misspelt name can be told. */
static void pass_over(jl_columns *columns, const jl_cell *cell) {
    if (cell->length == 0 || columns->unknown_count == JL_UNKNOWN_MOST) return;
    char *name = columns->unknown[columns->unknown_count++];
    size_t length = cell->length < JL_UNKNOWN_BYTES ? cell->length : JL_UNKNOWN_BYTES - 1;
    memcpy(name, cell->text, length);
    name[length] = '\0';
}

jl_status jl_columns_read(const jl_column *table, const jl_row *header, char delimiter,
                          jl_columns *columns, jl_fault *fault) {
    *columns = (jl_columns){.count = jl_row_used(header),
                            .cells = header->count,
                            .line = header->line,
                            .comma = jl_delimiter_comma(delimiter)};
    for (size_t i = 0; i < header->count; i++) {
        const jl_cell *cell = &header->cells[i];
        const jl_column *column = jl_column_named(table, cell->text, cell->length);
        if (column == NULL) {
            pass_over(columns, cell);
            continue;
        }
        if (columns->what[column->role] != NULL)
            return jl_row_fault(header, i, JL_CONFLICT,
                                "one column for each figure, in one unit: not temp_c twice, "
                                "not temp_c and temp_f",
                                fault);
        columns->what[column->role] = column;
        columns->at[column->role] = i;
    }
    return JL_OK;
}

const jl_column *jl_columns_at(const jl_columns *columns, size_t place) {
    for (unsigned role = 0; role < JL_ROLES_MOST; role++)
        if (columns->what[role] != NULL && columns->at[role] == place) return columns->what[role];
    return NULL;
}

void jl_columns_add(jl_columns *columns, const jl_column *column) {
    columns->what[column->role] = column;
    columns->at[column->role] = columns->cells++;
    columns->count = columns->cells;
}

/* ---- a row ---- */

jl_status jl_columns_width(const jl_columns *columns, const jl_row *row, jl_fault *fault) {
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

jl_cell jl_columns_cell(const jl_columns *columns, const jl_row *row, unsigned role) {
    bool stands = columns->what[role] != NULL && columns->at[role] < row->count;
    return stands ? row->cells[columns->at[role]] : (jl_cell){"", 0};
}

jl_status jl_columns_fault(const jl_columns *columns, const jl_row *row, unsigned role,
                           jl_status status, const char *expected, jl_fault *fault) {
    if (columns->what[role] == NULL)
        return jl_fault_at(fault, status, row->line, 0, NULL, 0, expected);
    return jl_row_fault(row, columns->at[role], status, expected, fault);
}

jl_status jl_columns_value(const jl_columns *columns, const jl_row *row, unsigned role,
                           double *value, jl_fault *fault) {
    *value = NAN;
    jl_cell cell = jl_columns_cell(columns, row, role);
    if (cell.length == 0) return JL_OK;
    const jl_column *column = columns->what[role];
    double number;
    jl_status status = jl_decimal_read(cell.text, cell.length, columns->comma, &number);
    if (status == JL_OK) {
        double read = jl_from_unit(column->unit, number);
        if (read >= column->least && read <= column->most) {
            *value = read;
            return JL_OK;
        }
        status = JL_RANGE;
    }
    return jl_columns_fault(columns, row, role, status, column->expected, fault);
}

double jl_column_number(const jl_column *column, double value) {
    double number = jl_in_unit(column->unit, value);
    return column->unit->kind == JL_TEMPERATURE ? jl_temperature_written(number) : number;
}

bool jl_columns_mark(const jl_columns *columns, const jl_row *row, bool *comma) {
    for (unsigned role = 0; role < JL_ROLES_MOST; role++) {
        if (columns->what[role] == NULL || columns->what[role]->unit == NULL) continue;
        const char *mark = strpbrk(jl_columns_cell(columns, row, role).text, ".,");
        if (mark == NULL) continue;
        *comma = *mark == ',';
        return true;
    }
    return false;
}
