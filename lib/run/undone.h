/* Jars that are taken back later in their log.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * "#undone,JAR,TIME" takes back what stands above it under that number; the number may be used
 * again below. So a reader has to know of it before it comes to the jar. */
#ifndef JL_UNDONE_H
#define JL_UNDONE_H

#include "text/csv.h"

typedef struct jl_undone jl_undone;

/* Looks through the rows for such facts; *undone is NULL when there are none. What cannot be read
 * is passed over: it is an error where the log is read. So is a last row without a line end where
 * such a row is left out. Leaves the rows before the first one. Errors: JL_RANGE (more than 65536
 * of them), JL_INPUT, JL_IO, JL_MEMORY */
jl_status jl_undone_find(const jl_source *source, jl_rows *rows, bool unended_left_out,
                         jl_undone **undone, jl_fault *fault);

/* Whether a jar in this line is taken back below. */
bool jl_undone_takes(jl_undone *undone, uint32_t number, size_t line);

/* Checks a row "undone": JL_FORM, JL_RANGE, JL_MISSING (its number or time cannot be read),
 * JL_CONFLICT (no jar above has the number), JL_MEMORY. */
jl_status jl_undone_check(const jl_undone *undone, const jl_row *row, jl_fault *fault);

void jl_undone_free(jl_undone *undone);

#endif
