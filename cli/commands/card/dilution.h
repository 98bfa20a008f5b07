/* A card of the water to a strength, for every strength in hand.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CARD_DILUTION_H
#define JARLINE_CARD_DILUTION_H

#include "commands/card/card.h"

/* Texts of its options; NULL when not given. */
typedef struct dilution_words {
    char *to; /* strength */
    card_span_words strengths;
    char *bottle, *water_temp;
} dilution_words;

/* Fills a card. Returns the exit status, or 0. */
int card_dilution(const dilution_words *w, card *c);

#endif
