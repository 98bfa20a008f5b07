/* How sure the totals of run logs are.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_TALLY_DOUBT_H
#define JARLINE_TALLY_DOUBT_H

#include "answer/doubt.h"

typedef struct tally_doubt tally_doubt;

/* NULL when d is: the functions below then do nothing. d stays the caller's. */
tally_doubt *tally_doubt_open(doubt *d);
void tally_doubt_close(tally_doubt *t);

/* A jar, and at a log's end what it states of charge and rest. */
void tally_doubt_jar(tally_doubt *t, const jl_jar *jar, const jl_alcoholometer *instrument);
void tally_doubt_log(tally_doubt *t, const jl_recovery *recovery);

/* Returns the exit status, or 0; on failure nothing is shown. */
int tally_doubt_show(tally_doubt *t, show *s);

#endif
