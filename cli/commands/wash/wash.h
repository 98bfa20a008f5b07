/* What the files of the wash command share.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_WASH_H
#define JARLINE_WASH_H

#include "answer/show.h"
#include "answer/uncertain.h"
#include "input/args.h"
#include "jarline.h"

/* The words of the command line. */
typedef struct wash_words {
    char *og, *fg, *og_temp, *fg_temp, *temp, *kind, *volume;
    char *calibrated, *glass, *division;
    char *sugar, *sugar_kind, *yield;
    char *distilled, *made_up_to, *reading, *at, *reading_division;
    instrument_options alcoholometer;
    char *log, *span, *expect_fg, *now;
    char *write, *title;
    char *instrument;
    uncertainty_options uncertainties;
    int json;
} wash_words;

typedef enum wash_kind { KIND_UNSTATED, KIND_MALT, KIND_SUGAR } wash_kind;

/* A gravity as read, and brought to 20 °C. */
typedef struct gravity {
    bool known;
    bool from_log;
    jl_quantity reading;
    double temp_c;
    bool temp_stated;
    double sg; /* 20/20 */
} gravity;

/* Everything that was given, and what each way makes of it. */
typedef struct wash {
    wash_kind kind;
    double volume_l; /* NaN: not given */
    jl_hydrometer hydrometer;
    gravity original, final;

    bool by_gravity, original_from_sugar;
    jl_fermented fermented;

    bool by_sugar;
    jl_sugar sugar;
    double sugar_kg, yield;
    jl_sugared sugared;
    double sugar_now_pct; /* what has fermented of it; NaN without a final gravity */

    bool by_distilled;
    jl_alcoholometer alcoholometer;
    jl_quantity reading;
    double reading_c, reading_division_pct, sample_l, made_up_l;
    jl_distilled distilled;

    bool by_bound;
    jl_least least;
} wash;

/* Reads the words; a gravity that a log gives already stands in *w. Returns the exit status, or 0.
 */
int wash_read_hydrometer(const wash_words *words, wash *w);
int wash_read(const wash_words *words, wash *w);

/* A gravity that is none, with what was probably meant. Returns the exit status. */
int fail_gravity(const char *name, const char *text, jl_status status);

/* The best strength that is known, by the way nearest to a measurement; NaN when only a bound is.
 * *way, which may be NULL, is the way in words. */
double wash_strength(const wash *w, const char **way);

void wash_show(show *s, const wash *w);

/* The strengths with their uncertainty; nothing when with is NULL. Returns the exit status, or 0; on
 * failure nothing is shown. */
int wash_uncertainty(show *s, uncertainty *with, const wash *w, bool division_stated);

#endif
