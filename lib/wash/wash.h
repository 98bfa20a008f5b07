/* Balling's rule the other way round, and a wash measured on instruments that may be off.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_WASH_H
#define JL_WASH_H

#include "uncertainty/readings.h"

/* The original extract that belongs to an alcohol content and a real extract (Balling).
 *
 * Given:    alcohol_mass_pct: 0 to 30; real_extract_pct: -10 to 50
 * Returned: *original_extract_pct: °P
 * Errors:   JL_RANGE
 */
jl_status jl_original_extract_pct(double alcohol_mass_pct, double real_extract_pct,
                                  double *original_extract_pct);

/* The hydrometer of a bench file or of options. */
jl_hydrometer jl_settings_to_hydrometer(const jl_settings *settings);

typedef struct jl_measured_wash {
    jl_wash wash;
    jl_measured original, original_c, final, final_c;
    jl_measured sugar, volume;
    jl_measured reading, reading_c, sample_l, made_up_l;
    /* Places of deviations + 1; 0: none. */
    size_t yield, recipe, later, rule, bias, attenuation, expansion, disagreement;
    double weight[JL_WAYS]; /* of jl_measured_use */
} jl_measured_wash;

/* kg/kmol, from the conventional atomic weights 12.011, 1.008 and 15.999. */
#define JL_GLUCOSE_KG_KMOL 180.156

/* Half widths: of a yield, of a share of sugar that is stated, of a mass and of the share that has
 * fermented, as shares of them (common practice, no source); of Balling's rule in % mass of alcohol
 * (reference/beer-analyses.csv). */
#define JL_YIELD_SHARE       0.05
#define JL_STATED_SHARE      0.03
#define JL_MASS_SHARE        0.01
#define JL_ATTENUATION_SHARE 0.03
#define JL_REMAINDER_SHARE   0.2
#define JL_RULE_MASS_PCT     0.12

/* A wash does not expand as water does, in SG for each °C away from 20 °C: 0.0006 at 12 % vol ten
 * degrees away (OIML R 22). */
#define JL_EXPANSION_SG_C 0.00006

/* Of a rule of malt the known bias on what was fermented, as a share of the value; half_width: how far
 * it is known. */
double jl_wash_bias_share(jl_wash_kind kind, double *half_width);

/* What gives a strength: two gravities, the sugar with its yield, a distilled sample. The divisions of
 * both instruments are those of the wash. */
jl_measured_wash jl_measure_wash(jl_measuring *by, const jl_wash *wash);

/* It counts as one strength with these weights; what their ways disagree by joins the budget of by. */
void jl_measured_use(jl_measured_wash *measured, jl_measuring *by,
                     const jl_wash_strength *strength);

/* By how much the original gravity was read above what the sugar or the recipe gives, SG.
 *
 * Given:    wash: both known; instruments: NULL: the usual ones
 * Returned: *difference, with its standard uncertainty
 * Errors:   as jl_wash_by_all_ways; JL_NO (one of the two is not known); JL_MEMORY
 */
jl_status jl_wash_original_difference(const jl_wash *wash, const jl_settings *instruments,
                                      jl_uncertainty *difference);

/* The wash with every measured value where the inputs of a model put it, a yield at 1 at the most.
 * Without deviations, x NULL, it is the wash; with them no lower bound is asked for, which has half a
 * division taken off in its place. */
jl_wash jl_measured_wash_at(const jl_measured_wash *measured, const double *x);

/* All ways where the inputs of a model put them; NULL: as measured. */
jl_status jl_measured_ways_at(const jl_measured_wash *measured, const double *x,
                              jl_wash_ways *ways);

/* The one strength out of them, by the weights of jl_measured_use. */
double jl_measured_strength(const jl_measured_wash *measured, const double *x,
                            const jl_wash_ways *ways);

#endif
