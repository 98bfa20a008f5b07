/* The rest of a run, forecast anew from its jars so far.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_REST_H
#define JARLINE_REST_H

#include "answer/show.h"
#include "input/logged.h"

/* Whether a log has what it needs: a charge, and three jars. */
bool rest_possible(const logged *run);

/* The most that can still come of a charge, with what it may be more than said. */
typedef struct most_left {
    double volume_l, pure_l;
} most_left;

enum { REST_NEXT = 3 }; /* jars of which the strength is foretold */

typedef struct outlook {
    jl_run_plan plan;
    jl_rest rest;
    jl_uncertainty next[REST_NEXT];
    most_left most;
} outlook;

/* Returns the exit status, or 0; what is missing has then been said. */
int rest_forecast(const logged *run, const jl_instruments *in, outlook *o);

void show_rest(show *s, const logged *run, const outlook *o);

/* After a jar was recorded: the same in few lines, or nothing where the log does not allow it. Never
 * fails, as the jar is on the disk. */
void show_rest_of_run(show *s, const char *path, const jl_run *record);

#endif
