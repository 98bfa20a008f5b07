/* How far what stands in the book may be off, by the instruments that measured it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * An instrument's own error is one for all that was measured with it: where the same one measured a
 * vessel twice, most of it cancels in the difference. What is new in each reading adds up in squares.
 * Bottles are counted, and what a log has is taken as measured at once. */
#ifndef JL_BOOK_SPREAD_H
#define JL_BOOK_SPREAD_H

#include "book/book.h"
#include "uncertainty/readings.h"

/* Of an amount: what each instrument's own error makes of its ethanol (kg) and of its volume (l), signed,
 * and variances and covariance of all that is new. */
typedef struct jl_book_spread {
    double common[JL_INSTRUMENTS], common_l[JL_INSTRUMENTS];
    double variance, covariance, variance_l;
} jl_book_spread;

/* Of the ethanol. */
double jl_book_spread_standard_kg(const jl_book_spread *spread);

/* Adds another, as a sum of amounts does; sign -1: as a difference does. */
void jl_book_spread_add(jl_book_spread *sum, const jl_book_spread *more, double sign);

typedef struct jl_book_spreads {
    const jl_instruments *by;
    jl_alcoholometer instrument;       /* of the book */
    jl_book_spread *vessels, *entries; /* of what a vessel holds; of an entry's change */
    size_t vessel_count, vessel_room, count, room;
} jl_book_spreads;

/* The next entry, before the book takes it. Spreads begin with by and instrument alone. cancelled: the
 * entry that it takes back, which was the one of index at, or NULL.
 * Errors: JL_MEMORY */
jl_status jl_book_spreads_take(jl_book_spreads *spreads, const jl_book *before,
                               const jl_book_entry *entry, const jl_book_entry *cancelled,
                               size_t at);

/* Of what measuring found in an entry that has been taken, the one of index at. */
jl_book_spread jl_book_spread_found(const jl_book_spreads *spreads, const jl_book_entry *entry,
                                    size_t at);

void jl_book_spreads_free(jl_book_spreads *spreads);

#endif
