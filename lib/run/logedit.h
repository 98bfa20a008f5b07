/* A copy of a file in which single cells differ.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_LOGEDIT_H
#define JL_LOGEDIT_H

#include "log/durable.h"
#include "log/logtext.h"
#include "text/csv.h"

typedef struct jl_edit {
    const jl_source *source;
    jl_pending_file *pending;
    char delimiter;
    uint64_t at; /* how far the source has been copied or passed over */
} jl_edit;

/* A cell's new bytes, quotes included. */
typedef struct jl_change {
    size_t cell;
    jl_text text;
} jl_change;

/* Copies the source's bytes up to an offset. Errors: JL_INPUT, JL_IO; those of the draft come out
 * when it is committed. */
jl_status jl_edit_copy(jl_edit *edit, uint64_t to);

/* Leaves a row out. */
jl_status jl_edit_drop(jl_edit *edit, const jl_row *row);

/* Copies a row with other bytes for some of its cells, in ascending order; a cell behind its last
 * one is added, with empty ones between. Errors: as jl_edit_copy, JL_FORM, JL_MEMORY */
jl_status jl_edit_row(jl_edit *edit, const jl_row *row, const jl_change *changes, size_t count);

#endif
