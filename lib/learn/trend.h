/* Whether a figure moves from run to run by more than it scatters.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_TREND_H
#define JL_TREND_H

#include "learn/past.h"

typedef enum jl_past_figure {
    JL_PAST_RECOVERY,
    JL_PAST_ENERGY,  /* for a litre */
    JL_PAST_OUTCOME, /* against its forecast */
    JL_PAST_FIGURES
} jl_past_figure;

/* Of runs that are cut, and of strip runs: their figures have nothing to do with each other. A count of
 * 0: there are too few. */
typedef struct jl_trends {
    jl_trend of[JL_PAST_FIGURES][2];
} jl_trends;

/* pasts: in their order. Of all trends together one stands out by chance in at most 5 % of histories.
 * Errors: JL_MEMORY */
jl_status jl_trends_of(const jl_past *const *pasts, size_t count, jl_trends *trends);

#endif
