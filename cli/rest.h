/* The rest of a run, forecast anew from its jars so far.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_REST_H
#define JARLINE_REST_H

#include "seen.h"
#include "show.h"

/* Whether a log has what it needs: a charge, and three jars. */
bool rest_possible(const seen *run);

/* Shows it. Returns the exit status, or 0; on failure nothing is shown. */
int show_rest(show *s, const seen *run, const instruments *in);

/* After a jar was recorded: the same in few lines, or nothing where the log does not allow it. Never
 * fails, as the jar is on the disk. */
void show_rest_of_log(show *s, const char *path);

#endif
