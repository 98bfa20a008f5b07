/* What a log holds that was passed over, or that looks like a slip of the pen: said below an answer, so
 * that a misspelt word does not change a figure unseen.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_LOG_NOTES_H
#define JARLINE_LOG_NOTES_H

#include "answer/show.h"
#include "jarline.h"

/* Facts and columns that are not known, facts that stand more than once, and half a charge. The log has
 * been read to its end. */
void note_passed_over(show *s, const jl_log *log);

/* Jars whose volume looks like one in another unit. */
typedef struct odd_jars {
    size_t small;         /* below 5 ml */
    uint32_t small_first; /* its number */
    uint32_t large_first; /* the first that is larger than the charge; 0: none */
} odd_jars;

void odd_jars_see(odd_jars *odd, const jl_jar *jar, double charge_l);
void note_odd_jars(show *s, const odd_jars *odd);

#endif
