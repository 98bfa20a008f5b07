/* What every vessel and lot holds.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_BOOK_STOCK_H
#define JARLINE_BOOK_STOCK_H

#include "answer/show.h"
#include "book/book.h"

void show_stock(show *s, const jl_book *book);

#endif
