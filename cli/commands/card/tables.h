/* The tables of the cards.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CARD_TABLES_H
#define JARLINE_CARD_TABLES_H

#include "commands/card/page.h"
#include "input/settings.h"

/* Texts of --low, --high and --step; NULL when not given. */
typedef struct card_span_words {
    char *low, *high, *step;
} card_span_words;

/* Texts of the options of any card; NULL when not given. */
typedef struct card_words {
    char *temps, *to, *bottle, *water_temp;
    card_span_words span;
    setting_options with; /* the bench file, the instrument, the air */
    int proof;
} card_words;

typedef struct card_kind {
    const char *name;
    unsigned asks; /* which settings, JL_IN_... */
    /* Fills a card. Returns the exit status, or 0. */
    int (*fill)(const card_words *w, const jl_settings *settings, card *c);
} card_kind;

enum { CARD_CORRECTION, CARD_DILUTION, CARD_BOIL, CARD_HEAD, CARDS };
extern const card_kind CARD_KINDS[CARDS];

#endif
