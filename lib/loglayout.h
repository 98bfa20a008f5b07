/* What a writer must know of a run log before it adds to it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_LOGLAYOUT_H
#define JL_LOGLAYOUT_H

#include "csvrows.h"
#include "logtext.h"

/* In the order in which new ones are added to a header. */
typedef enum jl_log_column {
    JL_COLUMN_JAR,
    JL_COLUMN_TIME,
    JL_COLUMN_VOLUME_ML,
    JL_COLUMN_VOLUME_L,
    JL_COLUMN_READING_PCT,
    JL_COLUMN_READING_PROOF,
    JL_COLUMN_STRENGTH_PCT,
    JL_COLUMN_STRENGTH_PROOF,
    JL_COLUMN_TEMP_C,
    JL_COLUMN_TEMP_F,
    JL_COLUMN_HEAD_C,
    JL_COLUMN_HEAD_F,
    JL_COLUMN_BOILER_C,
    JL_COLUMN_BOILER_F,
    JL_COLUMN_FRACTION,
    JL_COLUMN_NOTE,
    JL_COLUMNS
} jl_log_column;

#define JL_NO_PLACE SIZE_MAX

typedef struct jl_layout {
    jl_dialect dialect;
    bool ours;    /* begins with #jarline */
    bool unended; /* the last row of a hand-made file has no line end */
    bool torn;    /* the last row of a file of ours was cut off, from torn_at on */
    uint64_t torn_at;
    size_t columns;        /* cells of the header */
    size_t at[JL_COLUMNS]; /* place in the header, or JL_NO_PLACE */
    int64_t next_jar;      /* above every number in the file */
} jl_layout;

const char *jl_log_column_name(jl_log_column column);

/* Errors: JL_MISSING (no header with a volume, a jar without a number), JL_FORM, JL_CONFLICT (a
 * column twice), JL_TOO_LONG, JL_INPUT, JL_IO, JL_MEMORY, with the fault filled */
jl_status jl_layout_read(const jl_source *source, jl_layout *layout, jl_fault *fault);

/* Rows under the layout's delimiter. Errors: JL_MEMORY */
jl_status jl_layout_rows(const jl_source *source, const jl_layout *layout, jl_rows **rows);

/* The number of a jar's row; nth counts the rows from 1. Errors: JL_MISSING, JL_FORM */
jl_status jl_layout_jar(const jl_layout *layout, const jl_row *row, int64_t nth, int64_t *jar,
                        jl_fault *fault);

#endif
