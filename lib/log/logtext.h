/* Cells of a run log as text to be written.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JL_LOGTEXT_H
#define JL_LOGTEXT_H

#include "jarline.h"

/* How a file writes its rows; what is added to it is written alike. */
typedef struct jl_dialect {
    char delimiter;
    bool comma; /* its numbers have decimal commas */
    bool crlf;
} jl_dialect;

/* Bytes that grow. failed once memory was out; what is added then is passed over. */
typedef struct jl_text {
    char *bytes;
    size_t length, room;
    bool failed;
} jl_text;

void jl_text_add(jl_text *text, const char *bytes, size_t length);
void jl_text_free(jl_text *text);

/* A cell, in quotes where RFC 4180 or a reader's habits ask for them. */
void jl_cell_add(jl_text *text, const jl_dialect *dialect, const char *bytes, size_t length);

/* A number, to nine decimals and no more than it needs. */
void jl_cell_add_number(jl_text *text, const jl_dialect *dialect, double value);

/* Free text. What a spreadsheet would take for a formula (=, +, -, @ in front, with or without
 * spaces) gets one space more in front, which jl_note_skip takes off again. */
void jl_cell_add_note(jl_text *text, const jl_dialect *dialect, const char *bytes, size_t length);

/* Bytes to pass over at the beginning of a note's cell: 0 or 1. */
size_t jl_note_skip(const char *bytes, size_t length);

void jl_delimiter_add(jl_text *text, const jl_dialect *dialect);
void jl_line_end_add(jl_text *text, const jl_dialect *dialect);

#endif
