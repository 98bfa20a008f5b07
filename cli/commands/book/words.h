/* An entry of the book out of the words of a command line.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_BOOK_WORDS_H
#define JARLINE_BOOK_WORDS_H

#include "book/book.h"
#include "input/part.h"
#include "keys/settings.h"

/* The options; NULL where one was not given. */
typedef struct book_options {
    char *into, *receiver, *sender, *kind, *lot, *run, *solids, *distilled, *because, *note, *time;
    int late;
} book_options;

/* What the entry's texts stand in, beside the words themselves. */
typedef struct book_words {
    jl_book_entry entry;
    file_part part; /* of "collected october.csv:hearts" */
    char *from;     /* NULL, or a text that was made */
    char *run;
    char *note;
} book_words;

/* The entry that a word means, also as people say it: "broken", "gave". */
bool book_what_of(const char *text, jl_book_what *what);

/* "glass", "steel", "wood" or "other"; NULL: none of them. */
const char *book_use_of(const char *word);

/* What stands behind the times of "3x20ml"; *times is 1 where there are none. */
const char *book_times(const char *text, double *times);

/* A whole number of bottles: "6", "6 bottles". */
bool book_count_read(const char *text, uint32_t *count);

/* "2026-31"; "31" has the year 0, see settle_cancelled. */
bool book_number_read(const char *text, jl_book_number *number);

/* "40x700mL", or "40" where the bench says how large a bottle is. unit: of a size without one. */
bool book_bottles_read(const char *text, const char *unit, const jl_settings *bench,
                       uint32_t *count, double *bottle_l);

/* An amount, as what was measured. */
void book_amount_take(const jl_amount *amount, jl_book_measure *m);

/* words: what stands behind the book's name, at least one, count of them. Its moments are not read.
 * bench: whose bottles are meant where no size is said. Returns the exit status, or 0; free it in any
 * case. */
int book_words_read(const char *const *words, size_t count, const book_options *o,
                    const jl_settings *bench, book_words *w);
void book_words_free(book_words *w);

#endif
