/* What a writer must know of a run log before it adds to it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_LOGLAYOUT_H
#define JL_LOGLAYOUT_H

#include "log/logtext.h"
#include "run/jarcells.h"

typedef struct jl_layout {
    jl_dialect dialect;
    jl_columns columns;
    size_t header_cells; /* empty ones at its end too: new columns stand behind them */
    bool ours;           /* begins with #jarline: a last row without a line end is torn */
    bool unended;        /* the last row of a hand-made file has no line end */
    bool torn;           /* the last row of a file of ours was cut off, from torn_at on */
    uint64_t torn_at;
    uint32_t highest; /* jar number in the file, 0 when there is none */
} jl_layout;

/* Errors: those of jl_columns_read, jl_number_read and jl_rows_next, with the fault filled */
jl_status jl_layout_read(const jl_source *source, jl_layout *layout, jl_fault *fault);

/* Rows under the layout's delimiter. Errors: JL_MEMORY */
jl_status jl_layout_rows(const jl_source *source, const jl_layout *layout, jl_rows **rows);

/* The number of a jar's row, given the highest above it, which it raises. Errors: JL_FORM, JL_RANGE
 */
jl_status jl_layout_jar(const jl_layout *layout, const jl_row *row, uint32_t *highest,
                        uint32_t *number, jl_fault *fault);

/* The cell of a row for a column; NULL when it has none, or an empty one. */
const jl_cell *jl_layout_cell(const jl_layout *layout, const jl_row *row, jl_role role);

#endif
