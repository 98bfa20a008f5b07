/* The command that follows an answer, written so that a shell takes it as it stands.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_NEXT_H
#define JARLINE_NEXT_H

#include "answer/show.h"
#include "input/settings.h"
#include "jarline.h"

/* {"jarline record"} begins one. */
typedef struct next_command {
    char text[512];
    bool cut_off; /* it does not fit, and is not shown */
} next_command;

/* One more word, quoted where a shell would take it apart. */
void next_word(next_command *n, const char *word);

/* An option and its word; nothing where word is NULL. */
void next_option(next_command *n, const char *name, const char *word);

/* An option that has no word. */
void next_flag(next_command *n, const char *name);

/* All that was given of a still. */
void next_still(next_command *n, const setting_options *o);

/* An amount at 20 °C, as 2.236l@70.28%. */
void next_amount(next_command *n, double volume_l, double strength_pct);

/* A part of a run's log as an amount, "october.csv:hearts"; of standard input, which cannot be read
 * again, the amount itself. */
void next_part(next_command *n, const char *path, const char *part, jl_spirit spirit);

/* The strength wanted where none was said: "40%", "80proof". */
const char *usual_bottling(void);

/* Whether what a run gave is low wines, of which none is decided yet. */
bool gave_low_wines(const jl_tally *t, jl_spirit charge);

/* What follows a run: its low wines to the next run, jars not yet decided to the cut, hearts to the
 * bottle. False: nothing does. */
bool next_after_run(next_command *n, const char *path, const jl_tally *t, jl_spirit charge);

/* The same as the answer's last line, and of low wines what else the next run may take. */
void show_next_after_run(show *s, const char *path, const jl_tally *t, jl_spirit charge);

void show_next_command(show *s, const next_command *n);

#endif
