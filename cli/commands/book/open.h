/* A book opened to be looked at, and periods of it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_BOOK_OPEN_H
#define JARLINE_BOOK_OPEN_H

#include "answer/show.h"
#include "book/book_file.h"

/* Returns the exit status, or 0; what is wrong has then been said. */
int book_open_to_read(const char *path, jl_book_file **f);

/* Rows that were changed by hand, and half a row that was left out. */
void warn_of_book(show *s, const jl_book_file *f);

/* "2026-10-01", or with a time. end: a date alone means the end of that day. Returns the exit status, or
 * 0. */
int period_read(const char *name, const char *text, bool end, jl_time *when);

/* When something happened. *day_alone: only the day was said, which counts as its noon. */
int event_read(const char *name, const char *text, jl_time *when, bool *day_alone);

/* On a day of which only that is known the entry follows the last one of that day. */
void follow_last_of_day(const jl_book *book, jl_book_entry *e);

#endif
