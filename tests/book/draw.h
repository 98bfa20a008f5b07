/* Entries of books, made and drawn.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef TESTS_BOOK_DRAW_H
#define TESTS_BOOK_DRAW_H

#include "book/book.h"

jl_book_entry entry_of(jl_book_what what, const char *from, const char *into);
jl_book_entry vessel(const char *name, double capacity_l, const char *use);

/* On its own figures, into a vessel; of a gauging, in one. */
jl_book_entry amount(jl_book_what what, const char *into, double volume_l, double pct);

/* volume_l NaN: all. */
jl_book_entry part(jl_book_what what, const char *from, const char *into, double volume_l);

/* Of 0.7 L. */
jl_book_entry bottles(jl_book_what what, const char *from, const char *lot, uint32_t count);

/* The same on every machine. */
uint32_t draw(uint32_t below);
double draw_between(double low, double high);

/* One of any kind about the vessels v0 to v5 and the lots 0 to 3, which a book of then may refuse, at
 * times late. Its texts stand in from, into and lot. */
jl_book_entry drawn_any(const jl_book *book, int64_t now_s, char from[16], char into[16],
                        char lot[16]);

#endif
