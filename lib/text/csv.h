/* All bytes of a descriptor, and rows of cells from bytes, each with its place in the file.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * CSV as RFC 4180 has it, and what spreadsheets make of it: a byte-order mark, LF or CRLF, cells in
 * quotes that hold delimiters, quotes and line ends, blanks around a cell, no line end at the end.
 * Lines are counted as an editor counts them. Memory is bounded whatever the file holds. */
#ifndef JL_CSV_H
#define JL_CSV_H

#include "jarline.h"

/* ---- Bytes ---- */

enum { JL_BYTES_MOST = 64 << 20 };

/* What a descriptor holds from its present position on, allocated. Errors: JL_RANGE (JL_BYTES_MOST),
 * JL_INPUT (a folder), JL_IO, JL_MEMORY */
jl_status jl_bytes_read(int fd, char **bytes, size_t *size, jl_fault *fault);

/* ---- Rows ---- */

enum {
    JL_CELL_BYTES_MOST = 65536,
    JL_ROW_BYTES_MOST = 4 * JL_CELL_BYTES_MOST,
    JL_ROW_CELLS_MOST = 4096
};

typedef struct jl_cell {
    const char *text; /* without quotes; NUL-terminated */
    size_t length;
} jl_cell;

typedef struct jl_row {
    const jl_cell *cells; /* valid until the next row is read */
    size_t count;         /* at least 1 */
    size_t line;          /* where it begins, from 1 */
    size_t begin, end;    /* its bytes, line end included */
    bool unended;         /* the last row, and no line end after it */
} jl_row;

typedef struct jl_rows jl_rows;

/* The bytes must stay as long as the rows. Errors: JL_MEMORY */
jl_status jl_rows_open(const char *bytes, size_t size, char delimiter, jl_rows **rows);

/* The next row that is not blank. After an error every call gives the same error.
 * Errors: JL_END; JL_FORM (NUL, a quote that is not closed or stands inside a cell, a lone carriage
 * return); JL_TOO_LONG (JL_CELL_BYTES_MOST and the other bounds above); JL_MEMORY */
jl_status jl_rows_next(jl_rows *rows, jl_row *row, jl_fault *fault);

/* Whether the error that jl_rows_next gave lies in a last row that has no line end, so that it may
 * be half of a row that was being written. *begin: where that row begins. */
bool jl_rows_torn(const jl_rows *rows, size_t *begin);

/* Back to the first row, under a delimiter that may be another one. */
void jl_rows_rewind(jl_rows *rows, char delimiter);

char jl_rows_delimiter(const jl_rows *rows);

/* Where a decimal comma may stand in the numbers of a file with this delimiter. Under a comma only
 * a cell in quotes can hold one. */
jl_comma jl_delimiter_comma(char delimiter);

/* Finds the delimiter, comma, semicolon or tab, under which the first row that is neither a fact
 * nor empty has a column that the caller knows; where there is none, the one that gives that row
 * the most cells. Leaves the rows before the first one. Errors: JL_MEMORY */
jl_status jl_rows_find_dialect(jl_rows *rows, bool (*known)(const jl_row *header), jl_fault *fault);

void jl_rows_close(jl_rows *rows);

/* A row whose first cell begins with # is a fact or a comment. */
bool jl_row_is_fact(const jl_row *row);

/* A row of nothing but empty cells, as spreadsheets write below a table. */
bool jl_row_is_empty(const jl_row *row);

/* A cell without the blanks around it, which stay where it stands in quotes. */
jl_cell jl_cell_trimmed(jl_cell cell);

/* Whether a cell is a word, which must be in lower case, in any letter case. */
bool jl_cell_is(jl_cell cell, const char *word);

/* Cells of a row up to the last one that is not empty. */
size_t jl_row_used(const jl_row *row);

/* A fault at a cell of a row; column counts from 0 and may lie behind the last cell. */
jl_status jl_row_fault(const jl_row *row, size_t column, jl_status status, const char *expected,
                       jl_fault *fault);

/* ---- Places of cells, for writing ---- */

typedef struct jl_span {
    size_t begin, end; /* quotes and blanks around the cell included */
} jl_span;

/* The spans of a row's cells in its raw bytes.
 *
 * Given:    raw, length: one row that jl_rows_next has read, line end included or not; most: of
 *           spans
 * Returned: *count: cells of the row
 * Errors:   JL_FORM (not one row), JL_TOO_LONG (more cells than most), JL_MEMORY */
jl_status jl_row_spans(const char *raw, size_t length, char delimiter, jl_span *spans, size_t most,
                       size_t *count);

#endif
