/* Evenly spaced values for the rows and columns of a card.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CARD_RANGE_H
#define JARLINE_CARD_RANGE_H

#include <stddef.h>

typedef struct card_range {
    double low, step;
    size_t count;
} card_range;

/* Values from low to high, at most of them. high is part of it when the step leads there. Returns 0
 * when step is not above 0, high is below low or there are more. */
size_t card_range_count(double low, double high, double step, size_t most);

double card_range_value(const card_range *r, size_t i);

#endif
