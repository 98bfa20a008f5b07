/* The book on the disk: one row an entry, never changed and never removed.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_BOOK_FILE_H
#define JL_BOOK_FILE_H

#include "book/book.h"
#include "text/timestamp.h"

typedef struct jl_book_file jl_book_file;

/* An entry whose measured values do not come to the ethanol and water that stand beside them: they were
 * changed by hand. */
typedef struct jl_book_odd {
    size_t line;
    jl_book_number number;
    jl_spirit stated, measured;
} jl_book_odd;

enum { JL_BOOK_ODD_MOST = 16 };

/* Reads a book. While it reads, it holds a shared lock on the file.
 *
 * Errors: JL_MISSING (no header, a column or a cell that is needed), JL_FORM, JL_AMBIGUOUS, JL_RANGE,
 * JL_TOO_LONG, JL_CONFLICT (a file of another kind; numbers that do not go up; what the book's own
 * state does not allow), JL_INPUT, JL_IO, JL_MEMORY; *fault (may be NULL) */
jl_status jl_book_read(int fd, jl_book_file **file, jl_fault *fault);

/* The same, held locked against other writers, for whom it waits up to wait_s.
 * Errors: as jl_book_read, and JL_BUSY, JL_EXISTS (read-only); *trouble (may be NULL) */
jl_status jl_book_open(const char *path, double wait_s, jl_book_file **file, jl_fault *fault,
                       jl_trouble *trouble);

/* A new book with its first entry, which is settled: it is there whole or not at all.
 * Errors: JL_EXISTS, JL_IO, JL_MEMORY (*trouble); as jl_book_settle (*refusal); JL_FORM, JL_TOO_LONG (a
 * text of more than one line) */
jl_status jl_book_create(const char *path, const char *title, jl_book_entry *first,
                         jl_book_refusal *refusal, jl_fault *fault, jl_trouble *trouble);

void jl_book_close(jl_book_file *file);

const jl_book *jl_book_in(const jl_book_file *file);
const jl_facts *jl_book_facts(const jl_book_file *file);
/* The times of its entries that were typed by hand. */
const jl_typed_times *jl_book_typed_times(const jl_book_file *file);

jl_alcoholometer jl_book_instrument(const jl_book_file *file);

/* Rows whose measured values were changed; *count, of which the first JL_BOOK_ODD_MOST are kept. */
const jl_book_odd *jl_book_odd_rows(const jl_book_file *file, size_t *count);

/* The line of a last row that was not written to its end and left out; 0: none. */
size_t jl_book_torn_line(const jl_book_file *file);

/* Settles an entry and appends it: number and amount are then filled. It is on the disk when this
 * returns JL_OK, and nothing has changed otherwise, unless jl_book_trouble says uncertain. What is
 * written is read before it is put in place.
 * Errors: as jl_book_settle (*refusal); JL_FORM, JL_TOO_LONG (a text; *fault, may be NULL); JL_EXISTS
 * (only read; a header that lacks a column), JL_BUSY, JL_IO, JL_MEMORY */
jl_status jl_book_write(jl_book_file *file, jl_book_entry *entry, jl_book_refusal *refusal,
                        jl_fault *fault);

jl_trouble jl_book_trouble(const jl_book_file *file);

#endif
