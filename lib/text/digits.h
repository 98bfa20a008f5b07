/* Numbers written digit by digit, where that is certain to be what printf would write: in a tenth of
 * its time, which is most of what a long table takes.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_DIGITS_H
#define JL_DIGITS_H

#include <stddef.h>

enum { JL_DIGITS_BYTES = 32 };

/* A finite value with some decimals, in text[JL_DIGITS_BYTES]; no negative zero. Returns its length,
 * or 0 where printf has to decide: beyond 12 digits, and near the middle between two results. */
size_t jl_digits_write(double value, int decimals, char *text);

#endif
