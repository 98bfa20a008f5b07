/* Whether a figure moves from run to run by more than it scatters.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_TREND_H
#define JL_TREND_H

#include "jarline.h"

/* One run. What its log does not say is NaN. */
typedef struct jl_past {
    bool decided;     /* a jar at least is in a fraction */
    bool strip;       /* by its charge it is a strip run, which is not cut */
    jl_spirit charge; /* none where it is not stated */
    jl_spirit collected, hearts, feints;
    double charge_pure_l, recovery_pct;
    double hours;            /* from the start to the last jar */
    double jumps_h;          /* without those: more than a day from one moment to the next */
    double stops_h;          /* nor those: from a moment before a stop to where the run went on */
    double energy_kwh;       /* the stated power for that whole time */
    double energy_kwh_per_l; /* of pure alcohol */
    double expected_pure_l;  /* of the forecast in the log */
    double apart_pct;        /* collected above it */
    double last_pct;         /* strength of the last jar */
    jl_spout_end stop;
    bool cut_short; /* the last jar is still far above the stop of a run that was planned */
} jl_past;

void jl_run_past(const jl_run *run, jl_past *past);

/* Of all of them, each litre of alcohol once. Sums begin as {0}. */
typedef struct jl_past_sums {
    jl_spirit charge;    /* what entered from outside the still */
    jl_spirit carried;   /* low wines and feints that were charged again */
    jl_spirit collected; /* and not charged again */
    jl_spirit hearts;
    jl_spirit feints; /* low wines and feints that were not charged again */
} jl_past_sums;

/* The next run, in the order in which they ran. The charge of a spirit run takes what there is of low
 * wines and feints first: no log says where a charge came from. Returns the share of its charge that
 * they are. */
double jl_past_add(jl_past_sums *sums, const jl_past *past);

/* ---- What changes from run to run ---- */

/* How a figure moves from one run to the next. */
typedef struct jl_trend {
    double per_step, standard; /* slope of a straight line, and its standard uncertainty */
    double expanded;           /* half of its 95 % interval */
    size_t count;              /* of figures */
    bool stands_out;           /* less chance of such a slope by scatter alone than was allowed */
} jl_trend;

/* A straight line through finite figures in their order; chance: allowed of scatter alone; who looks at
 * several figures at once shares it among them. Errors: JL_MISSING (fewer than 5), JL_RANGE, JL_MEMORY.
 * Source: least squares; Student's t, two-sided */
jl_status jl_trend_of(const double *values, size_t count, double chance, jl_trend *trend);

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
