/* What the book has of a run, beside the run's own log.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_AGAINST_H
#define JL_AGAINST_H

#include "book/book.h"

/* An entry whose jars hold something else by now than what it collected, or was measured to be when it
 * was. */
typedef struct jl_against_entry {
    jl_book_number number;
    bool measured; /* without what its log had then */
    /* what the log had by the book, or was measured; what it has by now */
    jl_spirit booked, logged;
} jl_against_entry;

typedef struct jl_against {
    const jl_jar **jars; /* those of the log that no entry collected */
    size_t jar_count;
    jl_spirit jars_spirit;
    jl_against_entry *changed;
    size_t changed_count, changed_room;
    jl_spirit charged; /* by the book */
    size_t charged_count;
} jl_against;

/* name: what the book calls the run. Entries that were taken back do not count.
 * Errors: JL_MEMORY; there is nothing to free then */
jl_status jl_book_against(const jl_book *book, const char *name, const jl_run *run,
                          jl_against *against);

void jl_against_free(jl_against *against);

#endif
