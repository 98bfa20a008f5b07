/* A CSV file of ours in memory: its bytes, how it writes its rows, what to put in its place.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A row goes into a file of ours by one append: half of one shows at its missing line end. In a
 * hand-made file, whose last row may lack it, half a row would pass for a whole one; there, and for
 * every other change, a new file is made of the bytes of the old one, but for what had to change. */
#ifndef JL_FILE_H
#define JL_FILE_H

#include "log/columns.h"
#include "log/durable.h"

/* ---- Reading ---- */

/* How a file writes its rows; what is added to it is written alike. */
typedef struct jl_dialect {
    char delimiter;
    bool comma; /* its numbers have decimal commas */
    bool crlf;
} jl_dialect;

typedef struct jl_file {
    char *bytes;
    size_t size;
    size_t end;    /* of the rows that count: what is behind was not written to its end */
    jl_rows *rows; /* while it is read */
    jl_dialect dialect;
    bool ours;        /* begins with #jarline: a last row without a line end is torn */
    size_t torn_line; /* of a last row that was left out; 0: none */
} jl_file;

/* All bytes of a descriptor from its present position on; it stays the caller's. While they are
 * read a shared lock is held, if the caller asks for one: after a second of waiting, or where there
 * are no locks, they are read all the same. Errors: as jl_bytes_read; nothing then has to be freed */
jl_status jl_file_read(int fd, bool lock, jl_file *file, jl_fault *fault);

/* The same of a file that is held for writing. Errors: as jl_locked_file_open, too; the lock is let
 * go of then */
jl_status jl_file_hold(const char *path, double wait_s, jl_locked_file *lock, jl_file *file,
                       jl_fault *fault, jl_trouble *trouble);

/* Before the first row is asked for: finds the dialect, by a header that the caller knows, and whose
 * the file is. bytes and size have been set, and the bytes, allocated, are the file's. Errors:
 * JL_MEMORY */
jl_status jl_file_begin(jl_file *file, bool (*known)(const jl_row *header), jl_fault *fault);

/* The next row that says something: blank ones and rows of empty cells are passed over, one that is
 * torn is left out. Errors: as jl_rows_next */
jl_status jl_file_next(jl_file *file, jl_row *row, jl_fault *fault);

/* Lets go of what only reading needs. */
void jl_file_end(jl_file *file);

void jl_file_free(jl_file *file);

/* ---- Text ---- */

/* Bytes that grow. failed once memory was out; what is added then is passed over. */
typedef struct jl_text {
    char *bytes;
    size_t length, room;
    bool failed;
} jl_text;

void jl_text_add(jl_text *text, const char *bytes, size_t length);
void jl_text_free(jl_text *text);

/* A file of the bytes of a text, which stays the caller's: what is about to be written is read
 * before. Errors: JL_MEMORY, also where the text failed */
jl_status jl_file_of_text(const jl_text *text, jl_file *file);

/* A cell, in quotes where RFC 4180 or a reader's habits ask for them. */
void jl_cell_add(jl_text *text, const jl_dialect *dialect, const char *bytes, size_t length);

/* A number, to nine decimals and no more than it needs. */
void jl_cell_add_number(jl_text *text, const jl_dialect *dialect, double value);

/* Free text. What a spreadsheet would take for a formula (=, +, -, @ in front, with or without
 * blanks) gets one space more in front, which jl_note_skip takes off again. */
void jl_cell_add_note(jl_text *text, const jl_dialect *dialect, const char *bytes, size_t length);

/* Bytes to pass over at the beginning of a note's cell: 0 or 1. */
size_t jl_note_skip(const char *bytes, size_t length);

void jl_delimiter_add(jl_text *text, const jl_dialect *dialect);
void jl_line_end_add(jl_text *text, const jl_dialect *dialect);

/* "#key,1,2,text" with its line end. */
void jl_fact_add(jl_text *text, const jl_dialect *dialect, const jl_fact_entry *fact);

/* Whether a fact can be read again: a key of letters, digits and _, finite numbers, a text in one
 * line. */
bool jl_fact_entry_ok(const jl_fact_entry *fact);

/* ---- Changing ---- */

/* The bytes of a file once more, but for some cells. Rows are changed in the order of the file. */
typedef struct jl_edit {
    const jl_file *file;
    size_t at; /* how far it has been copied or passed over */
    jl_text text;
    jl_status status; /* of the first change that failed */
} jl_edit;

/* A cell's new bytes, quotes included. */
typedef struct jl_change {
    size_t cell;
    jl_text text;
} jl_change;

void jl_edit_begin(jl_edit *edit, const jl_file *file);

/* Other bytes for some cells of the row from begin to end, in ascending order; a cell behind its
 * last one is added, with empty ones between. Takes the changes' texts. */
void jl_edit_cells(jl_edit *edit, size_t begin, size_t end, jl_change *changes, size_t count);

/* Gives the row from begin to end the cells of columns that are new in more: their names where it is the
 * header, nothing elsewhere. */
void jl_edit_widen(jl_edit *edit, size_t begin, size_t end, const jl_columns *columns,
                   const jl_columns *more, bool header);

/* Leaves a row out. */
void jl_edit_drop(jl_edit *edit, size_t begin, size_t end);

/* The rest of the file, and rows behind it, NULL for none. Errors: JL_FORM, JL_MEMORY */
jl_status jl_edit_end(jl_edit *edit, const jl_text *rows);

/* Puts a text in the place of the file that is locked: by one append where that is enough and the
 * file is one of ours, else as a new file. What is torn is set aside before. Errors: as
 * jl_locked_file_append, jl_locked_file_set_aside and jl_locked_file_replace */
jl_status jl_file_put(const jl_file *file, jl_locked_file *lock, const jl_text *text);

#endif
