/* How far a misspelt word is from one that is known.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_NEAREST_H
#define JL_NEAREST_H

#include <stddef.h>

/* Letters to be changed, added, left out, or exchanged with their neighbour, those of either case alike:
 * the optimal string alignment distance. Of words of more than 63 bytes: SIZE_MAX. */
size_t jl_letters_apart(const char *a, const char *b);

/* How far a word may be from what was meant: a third of its letters, one at the least. */
size_t jl_letters_apart_most(const char *word);

#endif
