/* The rest of a run, forecast anew from its jars so far.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_REST_H
#define JARLINE_REST_H

#include "answer/show.h"
#include "jarline.h"

enum { REST_NEXT = 3 }; /* jars of which the strength is forecast */

typedef struct outlook {
    jl_outlook of;
    jl_estimate next[REST_NEXT];
} outlook;

/* name: of the log, in messages. Returns the exit status, or 0; what is missing has then been said. */
int rest_forecast(const char *name, const jl_run *run, const jl_settings *instruments, outlook *o);

void show_rest(show *s, const jl_run *run, const outlook *o);

/* After a jar was recorded: the same in few lines, or nothing where the log does not allow it. Never
 * fails, as the jar is on the disk. */
void show_rest_below_jar(show *s, const jl_run *run);

#endif
