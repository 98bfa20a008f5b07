/* The columns of a run log, and one row's cells as figures.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_JARCELLS_H
#define JL_JARCELLS_H

#include "text/csv.h"

typedef enum jl_role {
    JL_ROLE_JAR,
    JL_ROLE_TIME,
    JL_ROLE_VOLUME,
    JL_ROLE_READING,
    JL_ROLE_STRENGTH,
    JL_ROLE_TEMP,
    JL_ROLE_HEAD,
    JL_ROLE_BOILER,
    JL_ROLE_FRACTION,
    JL_ROLE_NOTE,
    JL_ROLES
} jl_role;

/* What a column of a known name holds: (number - offset) * factor in the role's unit, l or °C. */
typedef struct jl_column {
    const char *name;
    jl_role role;
    double factor, offset;
    jl_unit unit;
    double least, most; /* of the value */
    const char *expected;
} jl_column;

enum { JL_UNKNOWN_MOST = 4, JL_UNKNOWN_BYTES = 32 };

typedef struct jl_columns {
    size_t count;                    /* of the header, empty cells at its end left out */
    size_t line;                     /* of the header */
    jl_comma comma;                  /* in the cells of this file */
    const jl_column *what[JL_ROLES]; /* NULL: the log has no such column */
    size_t at[JL_ROLES];             /* its number, from 0 */
    char unknown[JL_UNKNOWN_MOST]
                [JL_UNKNOWN_BYTES]; /* names that were passed over, the first ones */
    size_t unknown_count;
} jl_columns;

/* The known column of a name in lower case; NULL when there is none. */
const jl_column *jl_column_named(const char *name);

/* Whether a header has a volume column: by it the dialect is known. */
bool jl_header_is_known(const jl_row *header, void *unused);

/* Errors: JL_MISSING, JL_CONFLICT */
jl_status jl_columns_read(const jl_row *header, char delimiter, jl_columns *columns,
                          jl_fault *fault);

/* Reads the cells of a jar row. A number that stands in no cell is NaN, or 0 for the jar's number;
 * what a jar must have is checked, what is computed from it is left alone.
 * Errors: JL_MISSING, JL_FORM, JL_AMBIGUOUS, JL_RANGE, JL_MEMORY */
jl_status jl_columns_jar(const jl_columns *columns, const jl_row *row, jl_jar *jar,
                         jl_fault *fault);

/* A fault at the cell of a role; where the log has no such column it names the line alone. */
jl_status jl_columns_fault(const jl_columns *columns, const jl_row *row, jl_role role,
                           jl_status status, const char *expected, jl_fault *fault);

/* A jar's number in a cell. Errors: JL_FORM, JL_RANGE, JL_MEMORY */
jl_status jl_number_read(const char *text, size_t length, uint32_t *number);

extern const char jl_number_expected[];
extern const char jl_header_expected[];

#endif
