/* A gravity log: has the wash finished, and what else must come before the charge.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_WASH_LOG_H
#define JARLINE_WASH_LOG_H

#include "commands/wash/wash.h"

/* A wait before the still. */
typedef struct wash_step {
    char *name;
    jl_time begins;
    double duration_s;
    bool usual; /* the duration is the default */
} wash_step;

typedef struct wash_log {
    jl_wash_row *gravities; /* in order; the texts are gone */
    size_t count;
    wash_step *steps;
    size_t step_count;
    jl_finish_rule rule;
    bool expected_stated;
    jl_ferment ferment;
    jl_time now;
    bool now_stated;
} wash_log;

/* Reads the log that words name, judges it, and puts its first and last gravity into *w. Returns
 * the exit status, or 0; the log has to be freed either way. */
int wash_log_read(const wash_words *words, wash *w, wash_log *log);

void wash_log_show(show *s, const wash_log *log);

void wash_log_free(wash_log *log);

#endif
