/* Which jar numbers have been seen, each with a mark.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Half a byte for each number, in pieces that are allocated where there are numbers: half a MiB for
 * a million jars in whatever order, 16 MiB at the very most. */
#ifndef JL_JARNUMBERS_H
#define JL_JARNUMBERS_H

#include "jarline.h"

typedef struct jl_numbers jl_numbers;

enum { JL_MARK_NONE = 0, JL_MARK_MOST = 15 };

jl_status jl_numbers_new(jl_numbers **numbers);
void jl_numbers_free(jl_numbers *numbers);

/* Marks a number from 1 to JL_JAR_MOST. Errors: JL_CONFLICT (marked already), JL_RANGE (numbers too
 * many or too far apart for the memory above), JL_MEMORY */
jl_status jl_numbers_mark(jl_numbers *numbers, uint32_t number, unsigned mark);

/* The least number above another that has a mark; 0 when there is none. */
uint32_t jl_numbers_next(const jl_numbers *numbers, unsigned mark, uint32_t after);

#endif
