/* The cells that an entry gives, under a log's own columns and units.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_ENTRYCELLS_H
#define JL_ENTRYCELLS_H

#include "run/loglayout.h"

/* Whether the entry has anything for a role. */
bool jl_entry_gives(const jl_entry *entry, jl_role role);

/* The column that takes the entry's figure: the log's own, or one of a known name where it has
 * none. Errors: JL_CONFLICT (a reading or a strength on another scale than the log's) */
jl_status jl_entry_column(const jl_entry *entry, const jl_layout *layout, jl_role role,
                          const jl_column **column);

/* Adds the cell's text, quotes included. */
void jl_entry_add(const jl_entry *entry, const jl_dialect *dialect, const jl_column *column,
                  jl_text *text);

/* Whether a cell, which may be NULL, holds the same number or the same text already. */
bool jl_entry_same(const jl_entry *entry, const jl_column *column, const jl_cell *cell,
                   jl_comma comma);

#endif
