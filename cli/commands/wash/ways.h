/* The answer of the wash command: each way to a strength, how far they are apart, how sure they are.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_WASH_WAYS_H
#define JARLINE_WASH_WAYS_H

#include "answer/figures.h"

typedef enum wash_kind { KIND_UNSTATED, KIND_MALT, KIND_SUGAR } wash_kind;

/* What was known, and what every way makes of it. */
typedef struct wash_answer {
    jl_wash wash;
    bool original_temp_stated, final_temp_stated;
    wash_kind kind;
    jl_wash_ways ways;
} wash_answer;

/* The best strength that is known; NaN when only a bound is. *way, which may be NULL, is the way in
 * words. */
double wash_strength(const wash_answer *w, const char **way);

/* All figures, and what is to be known of them; the strengths with their uncertainty where that is
 * wanted. Returns the exit status, or 0. */
int wash_show(show *s, const wash_answer *w, uncertainty *u);

#endif
