/* An uncertainty budget: named causes, and what they come to for any figures.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Every input is a deviation: its best estimate is 0, and the model adds it wherever it acts. So what
 * several readings share is one input, and nothing needs a matrix of correlations. Monte Carlo always
 * runs beside first order, since curvature cannot be seen without it. */
#ifndef JL_BUDGET_H
#define JL_BUDGET_H

#include "jarline.h"

typedef struct jl_budget jl_budget;

/* NULL: out of memory. */
jl_budget *jl_budget_new(void);
void jl_budget_free(jl_budget *budget);

/* An input of its own. Inputs of one cause share a line of the budget; the text is kept, not copied.
 * Returns its place among the inputs. Where memory is out jl_budget_combine says so. */
size_t jl_budget_input(jl_budget *budget, const char *cause, double width, jl_spread spread);

size_t jl_budget_count(const jl_budget *budget);

typedef struct jl_draws {
    size_t count;
    uint32_t seed;
    jl_progress *progress; /* NULL: none */
    void *with;            /* handed to progress */
} jl_draws;

/* One figure, both ways. */
typedef struct jl_combined {
    jl_uncertainty first_order;
    jl_drawn drawn;
    bool curved;     /* first order is not enough */
    double standard; /* of the one that is to be taken: Monte Carlo where it is curved */
} jl_combined;

typedef struct jl_combination {
    jl_combined *figures;
    const char **causes; /* each once, in the order in which they first came */
    double *shares;      /* of the variance: a row of cause_count for each figure */
    size_t figure_count, cause_count;
} jl_combination;

/* What all inputs together make of a model's figures. Errors: those of jl_first_order and
 * jl_monte_carlo. */
jl_status jl_budget_combine(jl_budget *budget, jl_model *model, void *with, size_t figure_count,
                            const jl_draws *draws, jl_combination *found);
void jl_combination_free(jl_combination *found);

/* The same to first order alone, for a page that has room for no more. */
jl_status jl_budget_first_order(jl_budget *budget, jl_model *model, void *with, size_t figure_count,
                                jl_uncertainty *uncertainties);

#endif
