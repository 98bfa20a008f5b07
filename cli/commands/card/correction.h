/* A card of readings at temperatures, as strength.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CARD_CORRECTION_H
#define JARLINE_CARD_CORRECTION_H

#include "commands/card/card.h"
#include "input/settings.h"

/* Texts of its options; NULL when not given. */
typedef struct correction_words {
    char *from, *to; /* temperatures */
    card_span_words readings;
    setting_options instrument;
} correction_words;

/* Fills a card. Returns the exit status, or 0. */
int card_correction(const correction_words *w, card *c);

#endif
