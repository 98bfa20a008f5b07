/* A wash log: has the wash finished, and what else must come before the charge.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_WASH_LOG_H
#define JARLINE_WASH_LOG_H

#include "answer/show.h"
#include "jarline.h"

/* The words of the command line. */
typedef struct wash_log_words {
    char *span, *expect_fg, *time;
} wash_log_words;

/* A log, read and judged. */
typedef struct judged_log {
    jl_wash_log *log;
    const jl_wash_reading *readings; /* in order, at least one */
    size_t count;
    jl_finish_rule rule;
    bool expected_stated, expected_of_recipe;
    jl_ferment ferment;
    jl_time now;
} judged_log;

/* Reads and judges the log; malt: it has no usual final gravity. Returns the exit status, or 0; the
 * log has to be freed either way. */
int wash_log_read(const char *file, const wash_log_words *words, const jl_hydrometer *hydrometer,
                  bool malt, judged_log *log);

/* volume_l: of the wash; NaN: not known. */
void wash_log_show(show *s, const judged_log *log, double volume_l);

/* What the log's rows contradict each other in; but_last: of the last gravity it has been said. */
void wash_log_warn(show *s, const jl_wash_log *log, double volume_l, bool but_last);

/* That a thermometer's correction is added; 0: nothing. */
void wash_assume_correction(show *s, double correction_c);

/* Whether a log has finished by now, and what it waits for, in a few lines. True: it has. */
bool wash_log_show_by_now(show *s, const jl_wash_log *log, jl_time now);

void wash_log_free(judged_log *log);

#endif
