/* A run log as learning takes it: its jars, its charge, what it says of the still.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_LOGGED_H
#define JARLINE_LOGGED_H

#include "input/instruments.h"
#include "jarline.h"

/* What a log's facts say of still and plan; what they leave out is JL_STILL's and usual rules'. */
typedef struct logged_still {
    jl_still still;
    bool stages, reflux, power, efficiency; /* whether the log says so */
    bool schedule;                          /* the reflux changed during the run */
    double hearts_end_pct, stop_pct;        /* at the spout */
    bool hearts_end, stop;
    double jar_l;          /* NaN: not said */
    double reflux_share_u; /* standard uncertainty, as earlier runs told; NaN: not said */
} logged_still;

typedef struct logged {
    const char *name;
    char *title; /* NULL: none */
    jl_logged_jar *jars;
    uint32_t *numbers;
    size_t count;
    jl_tally tally;
    jl_recovery recovery;
    logged_still still;
    jl_time started;
    bool has_started;
    double hours;           /* from the start to the last jar; NaN */
    double expected_pure_l; /* of the forecast that the log has, at 20 °C; NaN */
} logged;

/* Reads a log to its end. Returns the exit status, or 0; what is wrong has then been said. A log without
 * any jar is a fault unless it may_be_empty. */
int logged_read(const char *path, const instruments *in, bool may_be_empty, logged *s);
void logged_free(logged *s);

/* The same of a record; path, its name in messages, must outlive s. */
int logged_of_run(const char *path, const jl_run *run, const instruments *in, logged *s);

/* What the instruments have in common, for a charge of which the strength was read on them. */
jl_common_uncertainty logged_uncertainty(const instruments *in);

/* The run for jl_calibrate; s must outlive it. */
jl_logged_run logged_run(const logged *s);

#endif
