/* The cells that an entry gives, under a log's own columns and units.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_ENTRYCELLS_H
#define JL_ENTRYCELLS_H

#include "loglayout.h"

/* The cell of a row for a column; NULL when it has none, or an empty one, or there is no row. */
const jl_cell *jl_entry_cell(const jl_layout *layout, const jl_row *row, jl_log_column column);

/* Whether the entry goes into this column; row: the jar's, or NULL for a new one. Of two columns
 * that can both take a figure it is the one there is, then the one the jar already uses. */
bool jl_entry_gives(const jl_layout *layout, const jl_row *row, const jl_entry *entry,
                    jl_log_column column);

/* Adds the cell's text, quotes included. */
void jl_entry_add(const jl_layout *layout, const jl_entry *entry, jl_log_column column,
                  jl_text *text);

/* Whether a cell holds the same number or the same text already; cell: may be NULL. */
bool jl_entry_same(const jl_layout *layout, const jl_cell *cell, const jl_entry *entry,
                   jl_log_column column);

/* Whether a cell of the row is to be emptied, because the entry gives its figure in another unit.
 */
bool jl_entry_outdates(const jl_layout *layout, const jl_row *row, const jl_entry *entry,
                       jl_log_column column);

#endif
