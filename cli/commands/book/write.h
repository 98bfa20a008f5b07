/* An entry written into a book, and what it made of its vessels.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_BOOK_WRITE_H
#define JARLINE_BOOK_WRITE_H

#include "answer/show.h"
#include "commands/book/open.h"

/* The moment of an entry, of --time or NULL. Returns the exit status, or 0; what is wrong has then been
 * said. So do all below. */
int entry_moment(const char *time, bool late, jl_book_entry *e, known_when *known);

/* Held locked. */
int book_open_to_write(const char *path, jl_book_file **f);

/* Whether a moment lies in the future and over a year behind the last entry: the book, which goes by its
 * order and loses no row, would take no other entry until then. */
bool entry_too_far(const jl_book *book, const jl_book_entry *e);
#define ENTRY_TOO_FAR                                                                              \
    "in the future, and over a year behind the last entry; expected when it happened"

/* What a reading is read off that is typed today: the bench's instruments, but for what the book
 * itself states of its own. */
jl_alcoholometer book_instrument(const jl_book_file *f, const jl_settings *bench);

int book_write(const char *path, jl_book_file *f, jl_book_entry *e);

/* "lot:2026-7" of 2026-7 where the book has such a lot and no vessel of that name, to be freed; NULL: it
 * names no lot. */
char *book_lot_meant(const jl_book *book, const char *from);

/* Both, with the answer; a book that is not there begins with a vessel, and is made only for one that it
 * takes: nothing is left of a refusal. log: of the run that it names; NULL: none. feints_l: of the plan that
 * was charged; NaN: none. bench: whose instruments measured. */
int book_enter(const char *path, jl_book_entry *e, known_when known, const char *log,
               double feints_l, const jl_settings *bench, bool json);

/* A number without its year is one of the last entry's year. */
void settle_cancelled(const jl_book *book, jl_book_entry *e);

/* Why the book does not take it, as a sentence without its end. Returns the exit status that belongs to
 * it. */
int refusal_text(const jl_book_entry *e, const jl_book_refusal *r, char *text, size_t size);

/* What the vessels and the lot of the last entry hold now. */
void show_last_entry(show *s, const jl_book_file *f, const jl_settings *bench);

/* "1.200 L of pure alcohol was measured where 2.085 L was known: ...", of an entry that is settled.
 * found: as jl_book_slip_of. False: nothing is unlikely. */
enum { SLIP_OF_BOOK_BYTES = 200 };
bool write_book_slip(const jl_book *book, const jl_book_entry *e, jl_spirit found,
                     jl_book_slip *slip, char text[SLIP_OF_BOOK_BYTES]);

/* Ends the answer. */
int close_entry(show *s, const char *path, const jl_book_file *f);

#endif
