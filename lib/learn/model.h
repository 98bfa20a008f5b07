/* The one likelihood of a run's jars: what they should have been, what is uncertain, and how far they
 * may lie from it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * For given stages, and a share near the right one, jars depend on everything else that is uncertain
 * almost in straight lines. So a run is made linear about a point, its rows are made independent of
 * each other, and what is left of it is the matrix of their products: whatever is asked of the run
 * afterwards is small linear algebra. */
#ifndef JL_MODEL_H
#define JL_MODEL_H

#include "learn/march.h"

/* ---- What is uncertain ---- */

/* Unknowns of one run on a still of known stages. */
typedef enum jl_unknown {
    JL_UNKNOWN_SHARE,         /* that runs back, in this run */
    JL_UNKNOWN_SHIFT,         /* of volatility */
    JL_UNKNOWN_SCALE,         /* by which the charge is smaller than said, against the jars' jug */
    JL_UNKNOWN_CHARGE_PCT,    /* by which it is weaker, % vol, beside the alcoholometer's part */
    JL_UNKNOWN_ALCOHOLOMETER, /* by which it shows too much, % vol */
    JL_UNKNOWN_THERMOMETER,   /* by which the spirit's shows too much, °C */
    JL_UNKNOWN_BOILER,        /* by which the boiler's does */
    JL_UNKNOWN_HEAD,          /* and the head's */
    JL_UNKNOWN_PRESSURE,      /* by which the air's pressure is above what was said, kPa */
    JL_UNKNOWNS,
    JL_DATA = JL_UNKNOWNS, /* the column of what was read */
    JL_COLUMNS
} jl_unknown;

/* How much more a reading scatters than its division says; a wobbly hand. Each with its prior
 * weight: learnt from simulations, common practice, no source. */
enum { JL_NOISES = 3 };
extern const double JL_NOISE_FACTOR[JL_NOISES], JL_NOISE_WEIGHT[JL_NOISES];

/* ---- Paths about a point ---- */

/* A path, and those of a share and of a shift a little further. */
typedef struct jl_tracks {
    const jl_vapours *vapours; /* of which the tables are, by the last shift */
    double stages, share, shift;
    double share_step, shift_step; /* to the others; share_step 0: it was not marched */
    jl_march base, of_share, of_shift;
    size_t marched; /* paths so far */
} jl_tracks;

/* Room. NULL: out of memory. */
jl_tracks *jl_tracks_new(void);
void jl_tracks_free(jl_tracks *tracks);

void jl_tracks_march(jl_tracks *tracks, const jl_vapours *vapours, const jl_march_of *of,
                     double shift, bool by_share);

/* Each of what is learnt of a still, but the efficiency, as an unknown. */
extern const jl_unknown JL_UNKNOWN_OF[JL_LEARNT_LN_EFFICIENCY];

/* By how much a strength read of the charge is above the truth, for each unknown. */
void jl_charge_read_high(const jl_learning_run *run, double per[JL_UNKNOWNS]);

/* Variances of what is new in each run. */
void jl_own_variance(const jl_learning_run *run, double spread, double variance[JL_UNKNOWNS]);

/* Net heat, in ln: of a guess, from run to run, its walk from jar to jar, and of what the library counts
 * as heat. */
extern const double JL_HEAT_GUESS_U, JL_HEAT_SPREAD, JL_HEAT_WALK, JL_HEAT_MODEL_U;

/* Errors: JL_RANGE; JL_MISSING (fewer jars with a strength than the least) */
jl_status jl_learning_run_check(const jl_learning_run *run, size_t least);
bool jl_learning_widths_ok(const jl_learning_widths *widths);

/* ---- Figures of a run about a point ---- */

/* Figures of a charge on a path. */
typedef void jl_of_batch(const jl_batch *batch, const void *with, double *figures);

typedef struct jl_figures_of {
    jl_of_batch *of;
    const void *with;
    size_t count;
} jl_figures_of;

/* The figures, and how they change with the share, the shift and the charge as it is in truth; what
 * instruments show too much has a part in them only through the charge.
 *
 * unknowns: share and shift must be those of the tracks. values: count; slopes: count rows; other:
 * room for count figures. */
void jl_differentiate(const jl_tracks *tracks, const jl_learning_run *run,
                      const double unknowns[JL_UNKNOWNS], const jl_figures_of *figures,
                      double *values, double (*slopes)[JL_UNKNOWNS], double *other);

/* ---- A run made linear ---- */

typedef enum jl_row_of { JL_ROW_STRENGTH, JL_ROW_BOILER, JL_ROW_HEAD, JL_ROW_KINDS } jl_row_of;

/* A reading. */
typedef struct jl_linear_row {
    jl_row_of of;
    size_t jar;
    double read;
    double per_c;   /* by how much a strength is read too low by a thermometer too high, per °C */
    double reading; /* variance that a wobbly hand widens */
    double fixed;   /* variance that it does not */
    double walk;    /* variance that the jars' sum has gained since the row before, l² */
    double per_l;   /* change of the reading per litre of error in that sum */
    double predicted;          /* at the point */
    double column[JL_COLUMNS]; /* slopes over the unknowns; JL_DATA: what was read, as if the line
                                  held down to unknowns of 0 */
    double gain, narrow;       /* of the filter that makes rows independent */
    double independent[JL_COLUMNS]; /* the columns as it made them, by the last jl_linear_gram */
} jl_linear_row;

/* Products of the columns after the rows were made independent, and -2 ln of what scales the
 * likelihood. */
typedef struct jl_gram {
    double of[JL_COLUMNS][JL_COLUMNS];
    double ln_det;
} jl_gram;

typedef struct jl_linear {
    const jl_learning_run *run;
    size_t count, strengths, heads; /* rows; the first are strengths, from heads on the head's */
    jl_linear_row *rows;            /* kind by kind, each in the order of the jars */
    double *end_l;                  /* the jars' sum behind each jar */
    double *values, *other;         /* room for as many predictions as rows */
    double (*slopes)[JL_UNKNOWNS];
    jl_gram temps; /* of the temperatures, which every noise shares */
} jl_linear;

jl_status jl_linear_open(const jl_learning_run *run, const jl_learning_widths *widths,
                         jl_linear *linear);
void jl_linear_close(jl_linear *linear);

/* A charge as its unknowns make it. */
jl_batch jl_run_batch(const jl_march *march, const jl_learning_run *run,
                      const double unknowns[JL_UNKNOWNS]);

/* What the rows should read on a path when so much had come over before the first jar; without what
 * the instruments show too much. */
void jl_linear_predict(const jl_linear *linear, const jl_batch *batch, double lost_l,
                       double *predicted);

/* Makes the run linear about unknowns. The share and the shift must be those of the tracks. */
void jl_linearise(const jl_tracks *tracks, const double unknowns[JL_UNKNOWNS], jl_linear *linear);

/* ---- Its likelihood ---- */

/* noise: of JL_NOISE_FACTOR. The filter stays in the rows. */
void jl_linear_gram(jl_linear *linear, int noise, jl_gram *gram);

/* Some unknowns, jointly normal. */
typedef struct jl_normal {
    double mean[JL_UNKNOWNS];
    double covariance[JL_UNKNOWNS][JL_UNKNOWNS];
} jl_normal;

/* L of a covariance L L', lower, where some variances may be 0. */
void jl_factor(const jl_normal *normal, double factor[JL_UNKNOWNS][JL_UNKNOWNS]);

/* What data make of what was known: *posterior (it may be the prior itself), and the ln of the
 * evidence, less what no unknown changes. A variance of 0 holds an unknown at its mean. *squares (may
 * be NULL): of the data less what was known, in units of both, as chi squared. */
double jl_condition(const jl_gram *gram, const jl_normal *prior, jl_normal *posterior,
                    double *squares);

/* Covariance of unknowns that only this run has, with a mean of 0 and a variance, once all others are
 * given; the same unknown may be the still's in one part and the run's own in the other. Returns ln
 * of by how much they widen the data. */
double jl_own_covariance(const jl_gram *gram, const double variance[JL_UNKNOWNS],
                         double covariance[JL_UNKNOWNS][JL_UNKNOWNS]);

/* Squares of what is left of the data with the unknowns as given. */
double jl_gram_squares(const jl_gram *gram, const double unknowns[JL_UNKNOWNS]);

/* Makes such unknowns part of the run's noise. */
void jl_integrate_out(jl_gram *gram, const double variance[JL_UNKNOWNS]);

/* Adds a run that counts for so many. */
void jl_gram_add(jl_gram *sum, const jl_gram *gram, double weight);

/* What is known of a run's unknowns before, by its instruments alone; of its share nothing is said:
 * mean and variance 0. */
jl_normal jl_prior_of(const jl_learning_run *run, const jl_learning_widths *widths);

#endif
