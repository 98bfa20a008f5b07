/* A run log as learning takes it: its jars, its charge, what it says of the still.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_SEEN_H
#define JARLINE_SEEN_H

#include "input/instruments.h"
#include "jarline.h"

/* What a log's facts say of still and plan; what they leave out is JL_STILL's and usual rules'. */
typedef struct seen_still {
    jl_still still;
    bool stages, reflux, power, efficiency; /* whether the log says so */
    bool schedule;                          /* the reflux changed during the run */
    double hearts_end_pct, stop_pct;        /* at the spout */
    bool hearts_end, stop;
    double jar_l;          /* NaN: not said */
    double reflux_share_u; /* standard uncertainty, as earlier runs told; NaN: not said */
} seen_still;

typedef struct seen {
    const char *name;
    char *title; /* NULL: none */
    jl_seen_jar *jars;
    uint32_t *numbers;
    size_t count;
    jl_tally tally;
    jl_recovery recovery;
    seen_still still;
    jl_time started;
    bool has_started;
    double hours;           /* from the start to the last jar; NaN */
    double expected_pure_l; /* of the forecast that the log has, at 20 °C; NaN */
} seen;

/* Reads a log to its end. Returns the exit status, or 0; what is wrong has then been said. A log without
 * any jar is a fault unless it may_be_empty. */
int seen_read(const char *path, const instruments *in, bool may_be_empty, seen *s);
void seen_free(seen *s);

/* What the instruments have in common, for a charge of which the strength was read on them. */
jl_common_doubt seen_doubt(const instruments *in);

/* The run for jl_calibrate; s must outlive it. */
jl_seen_run seen_run(const seen *s);

#endif
