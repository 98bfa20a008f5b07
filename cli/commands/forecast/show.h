/* A forecast as an answer: jars, fractions, sums, congeners; a chain of runs.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_FORECAST_SHOW_H
#define JARLINE_FORECAST_SHOW_H

#include "answer/figures.h"
#include "input/planned.h"
#include "still/chain.h"

/* The library's figures of a run and of a chain. */
enum { WITH_HEARTS = 1, WITH_CLOCK = 2 };
extern const figure RUN_FIGURES[JL_RUN_FIGURES], CHAIN_FIGURES[JL_CHAIN_FIGURES];

/* what: above a charge of which there are so many. */
void show_charge(show *s, const char *what, const planned *p, size_t loads);

/* The jars, the fractions and the sums of a run. */
void show_forecast(show *s, const planned *p, const jl_forecast_jars *all);

/* The strip runs of a chain, and all of it. */
void show_strip(show *s, const jl_chain *c);
void show_chain(show *s, const jl_chain *c);

/* Where the congeners go. Returns the exit status, or 0 when the run could be followed. */
int show_congeners(show *s, const planned *p);

/* What is to be known of such a charge, and of how the run ended. */
void note_run(show *s, const planned *p, const jl_forecast *sum);

#endif
