/* What is odd in a book, and moments of it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_BOOK_OPEN_H
#define JARLINE_BOOK_OPEN_H

#include "answer/show.h"
#include "book/book_file.h"

/* "2026-31", to the end of the expression. */
typedef struct number_text {
    char text[JL_BOOK_NUMBER_BYTES];
} number_text;
number_text number_in_words(jl_book_number number);
#define ENTRY_NUMBER(number) (number_in_words(number).text)

/* Rows that were changed by hand, and half a row that was left out. */
void warn_of_book(show *s, const jl_book_file *f);

/* "2026-10-01", or with a time. end: a date alone means the end of that day. Returns the exit status, or
 * 0. */
int period_read(const char *name, const char *text, bool end, jl_time *when);

/* Whether entry at, which was written after a period, is of what happened in it: a late one, or one that
 * takes an entry of it back, which is *of then. What was taken back itself says nothing. */
bool was_written_later(const jl_book_entry *all, size_t at, int64_t since_s, int64_t until_s,
                       const jl_book_entry **of);

/* "2026-37 removed 0.057 L, happened 2026-10-12, was written later". */
enum { LATER_BYTES = 256 };
void later_in_words(const jl_book_entry *e, const jl_book_entry *of, double amount, int decimals,
                    const char *unit, char text[LATER_BYTES]);

/* How well it is known when something happened. */
typedef enum known_when {
    WHEN_SAID, /* by a clock */
    WHEN_DAY,  /* only the day, which counts as its noon */
    WHEN_NOW   /* as it is written, which is settled when the book is held */
} known_when;

/* text: NULL is now. */
int event_read(const char *name, const char *text, jl_time *when, known_when *known);

/* On a day of which only that is known the entry follows the last one of that day; now is now. */
void settle_when(const jl_book *book, known_when known, jl_book_entry *e);

/* Of a log, and what the book calls its run. */
#define RUN_KNOWN_AS                                                                               \
    "%s: the book has this run as '%s'; its start was changed since. It is taken for the same "    \
    "run."

#endif
