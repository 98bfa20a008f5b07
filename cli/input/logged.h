/* A run log as learning takes it: its jars, its charge, what it says of the still.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_LOGGED_H
#define JARLINE_LOGGED_H

#include "jarline.h"
#include "spirit/measured.h"

/* Where a fraction ends, as a strength at the spout. */
typedef struct logged_end {
    double pct;
    jl_cut rule;
    bool stated;   /* by the log */
    bool followed; /* false: pct is the usual one, as the rule is no strength at the spout */
} logged_end;

typedef struct logged {
    const char *name;
    char *title; /* NULL: none */
    jl_logged_jar *jars;
    uint32_t *numbers;
    size_t count;
    jl_tally tally;
    jl_recovery recovery;
    jl_settings *settings; /* what its facts state, and defaults */
    jl_still still;
    logged_end hearts_end, stop;
    jl_time started;
    bool has_started;
    double hours;           /* from the start to the last jar; NaN */
    double expected_pure_l; /* of the forecast that the log has, at 20 °C; NaN */
} logged;

/* Reads a log to its end. Returns the exit status, or 0; what is wrong has then been said. A log without
 * any jar is a fault unless it may_be_empty. */
int logged_read(const char *path, const jl_instruments *in, bool may_be_empty, logged *s);
void logged_free(logged *s);

/* The same of a record; path, its name in messages, must outlive s. */
void logged_of_run(const char *path, const jl_run *run, const jl_instruments *in, logged *s);

/* What the instruments have in common, for a charge of which the strength was read on them. */
jl_common_uncertainty logged_uncertainty(const jl_instruments *in);

/* The run for jl_calibrate; s must outlive it. */
jl_logged_run logged_run(const logged *s);

#endif
