/* A book of entries that it takes, a minute after one another.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef TESTS_BOOK_OF_H
#define TESTS_BOOK_OF_H

#include "book/draw.h"
#include "check.h"

static inline jl_time moment_of(size_t i) {
    return (jl_time){1790000000 + 60 * (int64_t)i, 0};
}

static inline jl_book *book_of(const jl_book_entry *entries, size_t count) {
    const jl_alcoholometer instrument = JL_ALCOHOLOMETER;
    jl_book *book;
    jl_book_refusal r;
    CHECK_OK(jl_book_new(&book));
    for (size_t i = 0; i < count; i++) {
        jl_book_entry e = entries[i];
        e.time = e.written = moment_of(i);
        e.number = jl_book_next(book, e.written);
        if (e.what == JL_BOOK_CANCELLED) e.cancelled.year = e.number.year;
        CHECK_OK(jl_book_settle(book, &instrument, &e, &r));
        CHECK_OK(jl_book_take(book, &e, &r));
    }
    return book;
}

#endif
