/* A card of the boiling point and vapour of a liquid at one air pressure.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CARD_BOIL_H
#define JARLINE_CARD_BOIL_H

#include "commands/card/card.h"

/* Texts of its options; NULL when not given. */
typedef struct boil_words {
    card_span_words strengths;
    char *altitude, *pressure;
} boil_words;

/* Fills a card. Returns the exit status, or 0. */
int card_boil(const boil_words *w, card *c);

#endif
