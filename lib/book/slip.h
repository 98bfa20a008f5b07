/* A gauging that may be a slip of the pen.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_BOOK_SLIP_H
#define JL_BOOK_SLIP_H

#include "book/book.h"

typedef struct jl_book_slip {
    double meant;     /* what was probably meant; NaN: nothing that fits */
    const char *unit; /* "L", "kg", "%", "proof" */
} jl_book_slip;

/* Whether so much more or less was measured than was known that it is seldom true; then what comes to
 * what was known, with one figure's point or one of its digits changed. The entry has been taken. */
bool jl_book_slip_of(const jl_book *book, const jl_book_entry *entry, jl_book_slip *slip);

#endif
