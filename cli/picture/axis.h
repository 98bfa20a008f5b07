/* An axis with ticks at round numbers.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_AXIS_H
#define JARLINE_AXIS_H

#include <stdbool.h>
#include <stddef.h>

typedef struct axis {
    double low, high; /* of what is shown */
    double step;      /* from tick to tick: 1, 2 or 5 times a power of ten */
} axis;

/* An axis that holds low to high with about most ticks at the most. whole: it begins and ends at a
 * tick; otherwise exactly at low and high. */
axis axis_for(double low, double high, int most, bool whole);

/* The ticks on it, in order. */
size_t axis_ticks(const axis *a);
double axis_tick(const axis *a, size_t i);

/* A tick's number with no more decimals than the step needs. */
void axis_label(const axis *a, double value, char *text, size_t size);

#endif
