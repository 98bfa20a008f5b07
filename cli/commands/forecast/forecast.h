/* What the files of forecast share.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_FORECAST_H
#define JARLINE_FORECAST_H

#include "answer/show.h"
#include "answer/uncertain.h"
#include "input/still_options.h"

/* A run that is to be shown. */
typedef struct planned {
    jl_spirit charge;
    still_settings settings;
    size_t times; /* runs like this one, one after the other */
} planned;

/* The message for a run that jl_forecast_open refused. Returns the exit status. */
int fail_run(const planned *p, jl_status status);

/* Goes as far as the first jar, before anything is shown. Returns 0, or the exit status after saying
 * why there is no such run; nothing is to be closed then. */
int begin_run(const planned *p, jl_forecasting **run, jl_forecast_jar *first);

/* The jars, the fractions and the rest of a run, which is closed. Returns 0, or the exit status after
 * saying why; then the answer is to be abandoned. */
int show_forecast(show *s, const planned *p, jl_forecasting *run, jl_forecast_jar first,
                  jl_forecast *sum);

/* The main figures with their uncertainty; nothing when d is NULL. charge: as it was measured; sum:
 * of the run as it is. Returns as show_forecast. */
int forecast_uncertainty(show *s, uncertainty *d, const planned *p, const jl_amount *charge,
                         const jl_alcoholometer *instrument, const jl_forecast *sum);

/* What the model leaves out, and where its figures are from. */
void assume_model(show *s);

/* What is to be known of such a charge, and of how the run ended. */
void note_run(show *s, const planned *p, const jl_forecast *sum);

/* Volume, strength and pure alcohol of an amount, as a group. */
void show_amount(show *s, const char *key, const char *heading, jl_spirit spirit);

/* Columns that the numbers of the jars need. */
int jar_width(const planned *p);

/* "2 h 05 min". */
void duration_text(double seconds, char *text, size_t size);

/* Where the congeners go. Returns as show_forecast. */
int show_congeners(show *s, const planned *p);

/* A strip run in loads, and the spirit run on what they gave with the feints. */
typedef struct chain {
    planned strip, spirit;
    double load_l; /* 0: all at once */
    jl_spirit wash, feints;
    bool has_feints;
    jl_forecast stripped;
} chain;

/* Divides the wash into loads and runs one of them: fills stripped, times and the spirit run's
 * charge. Returns 0, or the exit status after saying why. */
int chain_strip(chain *c);

void show_strip(show *s, const chain *c);
void show_chain(show *s, const chain *c, const jl_forecast *spirit_run);

/* As forecast_doubt, of both runs; wash: as it was measured. */
int chain_uncertainty(show *s, uncertainty *d, const chain *c, const jl_amount *wash,
                      const jl_alcoholometer *instrument);

#endif
