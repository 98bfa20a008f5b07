/* --uncertainty: any figures of a command with their doubt, from named inputs.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A command measures its inputs (doubt_measure, doubt_amount), writes its figures as a function of
 * them, and hands both to doubt_show. An instrument's own error is one input for all that is read
 * with it; its division and repeatability are new with each reading. */
#ifndef JARLINE_UNCERTAINTY_H
#define JARLINE_UNCERTAINTY_H

#include "answer/show.h"
#include "jarline.h"
#include "spirit/instruments.h"

/* The options, shared by every command that can. */
typedef struct uncertainty_options {
    char *draws, *seed;
    int uncertainty;
} uncertainty_options;

#define UNCERTAINTY_OPTIONS(o)                                                                     \
    FLAG("uncertainty", &(o).uncertainty,                                                          \
         "each main figure with its uncertainty and where it is "                                  \
         "from"),                                                                                  \
        OPTION("monte-carlo", &(o).draws, "N",                                                     \
               "the same, with 95 % intervals from N draws, 1000 or more"),                        \
        OPTION("seed", &(o).seed, "N", "of the draws (1)")

typedef struct uncertainty uncertainty;

/* *d is NULL when no uncertainty was asked for. file: of the instruments, may be NULL. Returns the
 * exit status, or 0. */
int uncertainty_open(const uncertainty_options *o, const char *file, uncertainty **d);
void uncertainty_close(uncertainty *d);

/* How many draws are made when the command line does not say. */
void uncertainty_usual_draws(uncertainty *d, size_t draws);

/* An option that beats the file of instruments; before anything is measured. */
void uncertainty_set(uncertainty *d, jl_instrument which, jl_width what, double width);

/* An input of its own; inputs of one cause share a line in the budget. Returns its place. A static
 * text as cause. Every input is a deviation: its best estimate is 0. */
size_t uncertainty_input(uncertainty *d, const char *cause, double width, jl_spread spread);

/* Something read on an instrument. scale: what a deviation of the instrument's own unit makes in
 * value's unit: 2 for proof, 1 otherwise. */
typedef struct measured {
    double value, scale;
    size_t inputs[JL_WIDTHS]; /* place + 1; 0: none */
    bool share;               /* common errors are a share of the value */
} measured;

measured uncertainty_measure(uncertainty *d, jl_instrument which, double value, double scale);
double measured_at(const measured *m, const double *x);

/* An amount or a strength as written; of a strength without a reading, the doubt is that of a
 * reading at 20 °C. */
typedef struct measured_amount {
    jl_amount amount;
    measured size, strength, temp;
} measured_amount;

measured uncertainty_strength(uncertainty *d, jl_quantity strength);
measured_amount uncertainty_amount(uncertainty *d, jl_amount amount);
jl_status measured_amount_at(const measured_amount *m, const jl_alcoholometer *instrument,
                             const double *x, jl_spirit *spirit);

/* What is shown of a figure; brief: above a column of the budget. All texts are kept, not copied.
 */
typedef struct figure {
    const char *key, *label, *brief, *unit;
} figure;

/* The doubt of figures to first order alone, for a page that has room for no more. */
jl_status uncertainty_first_order(const uncertainty *d, jl_model *model, void *with, size_t count,
                                  jl_uncertainty *uncertainties);

/* The figures with their uncertainty, the budget, the assumptions. figures has count entries and
 * the model fills as many. Returns the exit status, or 0; on failure nothing is shown. */
int uncertainty_show(show *s, uncertainty *d, jl_model *model, void *with, const figure *figures,
                     size_t count);

#endif
