/* What a slip of the pen may have made of a number.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_DIGITS_H
#define JL_DIGITS_H

/* Takes a number that may have been meant. */
typedef void jl_meant(void *with, double number);

/* The same digits with the point at another place. */
void jl_other_points(double typed, jl_meant *meant, void *with);

/* One digit other, more, less, or changed for its neighbour. */
void jl_other_digits(double typed, jl_meant *meant, void *with);

#endif
