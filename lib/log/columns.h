/* The columns of a table, found by the names in its header.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Which names there are is said once, in the table of a kind of file: what a column of that name is
 * for (its role), and which numbers it may hold in which unit. One header has one column a role. */
#ifndef JL_COLUMNS_H
#define JL_COLUMNS_H

#include "text/csv.h"
#include "text/quantity.h"

enum { JL_ROLES_MOST = 32, JL_UNKNOWN_MOST = 4, JL_UNKNOWN_BYTES = 32 };

typedef struct jl_column {
    const char *name;            /* in lower case */
    unsigned role;               /* below JL_ROLES_MOST */
    const jl_unit_of_kind *unit; /* of the numbers in its cells; NULL: they hold text */
    double least, most;          /* of the value */
    const char *expected;
} jl_column;

/* A column that the file has, in that unit. */
static inline bool jl_column_is_in(const jl_column *of, const jl_unit_of_kind *unit) {
    return of != NULL && of->unit == unit;
}

typedef struct jl_columns {
    size_t count;                         /* of the header, empty cells at its end left out */
    size_t cells;                         /* those too: a new column stands behind them */
    size_t line;                          /* of the header; 0: not read yet */
    jl_comma comma;                       /* in the cells of this file */
    const jl_column *what[JL_ROLES_MOST]; /* NULL: the file has no such column */
    size_t at[JL_ROLES_MOST];             /* its number, from 0 */
    char unknown[JL_UNKNOWN_MOST]
                [JL_UNKNOWN_BYTES]; /* names that are not in the table, the first ones */
    size_t unknown_count;
} jl_columns;

/* The column of a name in any letter case, blanks around it passed over; NULL when there is none.
 * A table ends with a column without a name. */
const jl_column *jl_column_named(const jl_column *table, const char *name, size_t length);

/* Errors: JL_CONFLICT (two columns of one role) */
jl_status jl_columns_read(const jl_column *table, const jl_row *header, char delimiter,
                          jl_columns *columns, jl_fault *fault);

/* The column at a place of the header; NULL: none that is known. */
const jl_column *jl_columns_at(const jl_columns *columns, size_t place);

/* A column behind the last one. */
void jl_columns_add(jl_columns *columns, const jl_column *column);

/* Whether a row has a cell for each column, and nothing behind them. Errors: JL_MISSING, JL_FORM */
jl_status jl_columns_width(const jl_columns *columns, const jl_row *row, jl_fault *fault);

/* The cell of a role; an empty one where the file has no such column. */
jl_cell jl_columns_cell(const jl_columns *columns, const jl_row *row, unsigned role);

/* The value in the cell of a role, NaN when it is empty. Errors: JL_FORM, JL_AMBIGUOUS, JL_RANGE,
 * JL_MEMORY */
jl_status jl_columns_value(const jl_columns *columns, const jl_row *row, unsigned role,
                           double *value, jl_fault *fault);

/* A fault at the cell of a role; where the file has no such column it names the line alone. */
jl_status jl_columns_fault(const jl_columns *columns, const jl_row *row, unsigned role,
                           jl_status status, const char *expected, jl_fault *fault);

/* The number that stands in a cell for a value; a temperature with the digits that it is written
 * with. */
double jl_column_number(const jl_column *column, double value);

/* Whether a row has a number that shows how the file writes them: with decimal commas or points. */
bool jl_columns_mark(const jl_columns *columns, const jl_row *row, bool *comma);

#endif
