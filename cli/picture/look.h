/* How tones and dashes look, for every form that a sheet is written in.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_LOOK_H
#define JARLINE_LOOK_H

#include "picture/marks.h"

/* Red, green and blue of 0 to 255. */
typedef struct look_colour {
    unsigned char red, green, blue;
} look_colour;

look_colour look_tone(mark_tone tone);

/* Of a surface: 1 hides what is behind it. */
double look_opacity(mark_tone tone);

/* Lines of a pattern. */
extern const look_colour LOOK_PATTERN;

/* Lengths drawn and left out by turns; returns how many, 0 for a line without gaps. */
size_t look_dash(mark_pattern pattern, const double **lengths);

#endif
