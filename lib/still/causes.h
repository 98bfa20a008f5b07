/* What a forecast depends on, and its figures as a function of that.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CAUSES_H
#define JARLINE_CAUSES_H

#include "still/forecast.h"
#include "uncertainty/readings.h"

/* What a forecast depends on beside its charge, as deviations from the still's settings. */
typedef enum jl_still_input {
    JL_OF_VAPOUR,     /* published vapours about the model, as jl_still.vapour_off_share */
    JL_OF_REFLUX,     /* of its value, or of the share that runs back where that was learnt */
    JL_OF_EFFICIENCY, /* of its value, or of the efficiency itself where that was learnt */
    JL_OF_DILUTE,     /* the same of dilute liquid, as jl_still.dilute_off_share */
    JL_STILL_INPUTS
} jl_still_input;

/* How well runs have taught a still's settings: standard uncertainties, NaN where they have not. */
typedef struct jl_still_known {
    double reflux_share_u; /* of R / (R + 1) */
    double efficiency_u;
    double vapour_u; /* what is left of JL_VAPOUR_OFF_U */
    double
        share_per_vapour; /* by how much the share goes with it: the share's own uncertainty is then
                                beside that; NaN: not at all */
} jl_still_known;

/* The deviations, all 0 at best.
 *
 * Given:    still; known
 * Returned: inputs: width 0 where a setting plays no part: no reflux, or a schedule of it; no power
 * Source:   vapour: JL_VAPOUR_OFF_U, JL_DILUTE_OFF_U; ±10 % of a reflux and ±5 % of an efficiency that
 *           nothing was learnt of: common practice, no source
 */
void jl_still_inputs(const jl_still *still, const jl_still_known *known,
                     jl_input inputs[JL_STILL_INPUTS]);

/* A still with its deviations, kept to what a still can be. */
jl_still jl_still_deviating(const jl_still *still, const jl_still_known *known,
                            const double deviations[JL_STILL_INPUTS]);

/* A run, or a chain of runs. Fill what stands above the line. */
typedef struct jl_causes {
    const jl_still *still; /* of the run; of a chain's spirit run */
    const jl_plan *plan;
    const jl_still *strip_still; /* of a chain's strip run; NULL: one run */
    const jl_plan *strip_plan;
    jl_chain_charge loads; /* of a chain, with so many as were planned; its wash plays no part */
    jl_still_known known;
    double
        charge_u_pct; /* standard uncertainty of the charge's strength, where a wash's was found so;
                            0 or NaN: it is as uncertain as a reading */
    /* -- */
    jl_measured_amount charge, feints;
    jl_input inputs[JL_STILL_INPUTS];
    size_t places[JL_STILL_INPUTS]; /* of the deviations whose width is not 0 */
} jl_causes;

/* Puts all of it into the budget of by. charge: as it was written; the feints together count as one
 * amount that was measured so. Nothing where there is no budget. */
void jl_causes_measure(jl_causes *causes, jl_measuring *by, jl_amount charge,
                       const jl_alcoholometer *instrument);

/* A jl_model with causes: fills JL_RUN_FIGURES figures, of a chain JL_CHAIN_FIGURES. */
jl_status jl_causes_figures(const double *x, double *figures, void *causes);

#endif
