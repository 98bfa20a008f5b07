/* What every vessel and lot holds.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_BOOK_STOCK_H
#define JARLINE_BOOK_STOCK_H

#include "answer/show.h"
#include "book/book.h"

/* The vessels that are not retired; the lots of which bottles are left. */
struct table *stock_table(const jl_book *book);
struct table *lots_table(const jl_book *book);

void show_stock(show *s, const jl_book *book);

#endif
