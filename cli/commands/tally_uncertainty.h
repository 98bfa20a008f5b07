/* How sure the totals of run logs are.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_TALLY_UNCERTAINTY_H
#define JARLINE_TALLY_UNCERTAINTY_H

#include "answer/uncertain.h"

typedef struct tally_uncertainty tally_uncertainty;

/* NULL when d is: the functions below then do nothing. d stays the caller's. */
tally_uncertainty *tally_uncertainty_open(uncertainty *d);
void tally_uncertainty_close(tally_uncertainty *t);

/* A jar, and at a log's end what it states of charge and rest. */
void tally_uncertainty_jar(tally_uncertainty *t, const jl_jar *jar,
                           const jl_alcoholometer *instrument);
void tally_uncertainty_log(tally_uncertainty *t, const jl_recovery *recovery);

/* Returns the exit status, or 0; on failure nothing is shown. */
int tally_uncertainty_show(tally_uncertainty *t, show *s);

#endif
