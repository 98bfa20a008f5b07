/* All bytes of a descriptor, and rows of cells from bytes.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later
 *
 * libcsv is fed at most one line at a time. It calls back at the end of a row, so a line after
 * which it has not called ends inside a quoted cell, and lines need no second count. A carriage
 * return ends a row for libcsv: when more follows in the same line it stood alone, and the file is
 * refused rather than read with lines that no editor shows. */
#include "text/csv.h"
#include "text/letters.h"
#include "text/status.h"

#include <csv.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* ---- bytes ---- */

enum { BLOCK = 65536 };

static jl_status status_of_errno(void) {
    switch (errno) {
    case EISDIR:
    case EBADF:
    case EACCES:
        return JL_INPUT;
    case ENOMEM:
        return JL_MEMORY;
    default:
        return JL_IO;
    }
}

/* How much room is worth having: what is left of a file, and a byte that shows its end. */
static size_t room_for(int fd) {
    struct stat about;
    off_t at = lseek(fd, 0, SEEK_CUR);
    if (at < 0 || fstat(fd, &about) != 0 || !S_ISREG(about.st_mode)) return BLOCK;
    off_t left = about.st_size - at;
    return left > 0 && left < JL_BYTES_MOST ? (size_t)left + 1 : BLOCK;
}

static jl_status take_bytes(int fd, char **bytes, size_t *size) {
    size_t room = room_for(fd);
    if ((*bytes = malloc(room)) == NULL) return JL_MEMORY;
    for (;;) {
        ssize_t n = read(fd, *bytes + *size, room - *size);
        if (n < 0 && errno == EINTR) continue;
        if (n < 0) return status_of_errno();
        if (n == 0) return JL_OK;
        *size += (size_t)n;
        if (*size > JL_BYTES_MOST) return JL_RANGE;
        if (*size < room) continue;
        char *grown = realloc(*bytes, 2 * room);
        if (grown == NULL) return JL_MEMORY;
        *bytes = grown;
        room *= 2;
    }
}

jl_status jl_bytes_read(int fd, char **bytes, size_t *size, jl_fault *fault) {
    char *read = NULL;
    size_t length = 0;
    jl_status status = take_bytes(fd, &read, &length);
    if (status == JL_OK) {
        *bytes = read;
        *size = length;
        return JL_OK;
    }
    free(read);
    return jl_plain_fault(fault, status, status == JL_RANGE ? "a file of at most 64 MiB" : NULL);
}

/* ---- rows ---- */

static const char CELL_LIMIT[] = "cells of at most 64 KiB";
static const char ROW_LIMIT[] = "a row of at most 4096 cells and 256 KiB";

struct jl_rows {
    struct csv_parser parser;
    const char *bytes;
    size_t size;
    char delimiter;
    bool row_done; /* libcsv has called back at the end of the row */
    bool stray;    /* and something followed in the same line */
    bool ended;
    bool torn;
    jl_fault fault; /* the first trouble; JL_OK as long as there is none */

    size_t at;   /* of the next byte */
    size_t line; /* of the next byte, from 1 */

    size_t row_line, row_begin;
    size_t open_line; /* where a quoted cell began that goes on; 0 when there is none */
    size_t count, used;
    size_t count_at_line; /* cells that were whole where the present line began */
    jl_cell cells[JL_ROW_CELLS_MOST];
    char text[JL_ROW_BYTES_MOST];
};

static void fail(jl_rows *r, jl_status status, size_t line, const char *cell, size_t length,
                 const char *expected) {
    if (r->fault.status != JL_OK) return;
    bool has_place = status == JL_FORM || status == JL_TOO_LONG;
    jl_fault_at(&r->fault, status, has_place ? line : 0, has_place ? r->count + 1 : 0, cell, length,
                expected);
}

/* What libcsv holds of the cell that has not ended yet. */
static void fail_in_open_cell(jl_rows *r, jl_status status, size_t line, const char *expected) {
    fail(r, status, line, (const char *)r->parser.entry_buf, r->parser.entry_pos, expected);
}

/* ---- what libcsv calls ---- */

static void on_cell(void *bytes, size_t length, void *with) {
    jl_rows *r = with;
    if (r->row_done || r->fault.status != JL_OK) {
        r->stray = true;
        return;
    }
    if (length > JL_CELL_BYTES_MOST) {
        fail(r, JL_TOO_LONG, r->line, bytes, length, CELL_LIMIT);
        return;
    }
    if (r->count == JL_ROW_CELLS_MOST || length >= sizeof r->text - r->used) {
        fail(r, JL_TOO_LONG, r->line, bytes, length, ROW_LIMIT);
        return;
    }
    char *text = r->text + r->used;
    if (length > 0) memcpy(text, bytes, length);
    text[length] = '\0';
    r->used += length + 1;
    r->cells[r->count++] = (jl_cell){text, length};
}

static void on_row(int end, void *with) {
    jl_rows *r = with;
    (void)end;
    if (r->row_done) r->stray = true;
    r->row_done = true;
}

/* ---- lines ---- */

static void begin_parser(struct csv_parser *parser, char delimiter) {
    csv_init(parser, CSV_STRICT | CSV_STRICT_FINI);
    csv_set_delim(parser, (unsigned char)delimiter);
    csv_set_realloc_func(parser, realloc);
    csv_set_free_func(parser, free);
    csv_set_blk_size(parser, 4096);
}

static void feed(jl_rows *r, const char *bytes, size_t length) {
    if (csv_parse(&r->parser, bytes, length, on_cell, on_row, r) != length) {
        bool went_on = r->open_line > 0 && r->count == r->count_at_line;
        if (csv_error(&r->parser) == CSV_EPARSE && went_on)
            fail_in_open_cell(r, JL_FORM, r->open_line,
                              "a quote that closes the cell, or each quote in it doubled: the one "
                              "that opens it stands in this line");
        else if (csv_error(&r->parser) == CSV_EPARSE)
            fail_in_open_cell(r, JL_FORM, r->line,
                              "no quote inside a cell, or the whole cell in quotes and each quote "
                              "in it doubled");
        else
            fail(r, JL_MEMORY, 0, NULL, 0, NULL);
    } else if (r->parser.entry_pos > JL_CELL_BYTES_MOST)
        fail_in_open_cell(r, JL_TOO_LONG, r->line, CELL_LIMIT);
}

static void refuse_nul(jl_rows *r, const char *bytes, size_t before) {
    feed(r, bytes, before);
    fail_in_open_cell(r, JL_FORM, r->line, "text in UTF-8 without NUL bytes");
    r->at += before;
    bool line_end = memchr(r->bytes + r->at, '\n', r->size - r->at) != NULL;
    r->torn = !line_end && r->row_line == r->line;
}

/* Feeds the rest of the line, of a long one a piece. True when the line has ended. */
static bool feed_line(jl_rows *r) {
    const char *bytes = r->bytes + r->at;
    size_t left = r->size - r->at < BLOCK ? r->size - r->at : BLOCK;
    const char *line_end = memchr(bytes, '\n', left);
    size_t length = line_end != NULL ? (size_t)(line_end - bytes) + 1 : left;
    const char *nul = memchr(bytes, '\0', length);
    if (nul != NULL) {
        refuse_nul(r, bytes, (size_t)(nul - bytes));
        return false;
    }
    feed(r, bytes, length);
    r->at += length;
    /* Nothing but blanks may follow a carriage return that libcsv took for the end of a row. */
    if (r->stray || (r->row_done && r->parser.entry_pos > 0))
        fail(r, JL_FORM, r->line, "\\r", 2, "lines that end with LF or CRLF, no lone CR");
    return line_end != NULL;
}

/* A line has ended without a row: it was blank, or a quoted cell goes on. */
static void after_line(jl_rows *r) {
    bool open = r->count > 0 || r->parser.entry_pos > 0;
    if (!open)
        r->row_line = 0;
    else if (r->open_line == 0 || r->count > r->count_at_line)
        r->open_line = r->line - 1;
}

/* ---- rows ---- */

static void begin_row(jl_rows *r) {
    r->row_done = r->stray = false;
    r->count = r->used = 0;
    r->row_line = r->open_line = 0;
}

/* The bytes have ended: what there is of a row is the last one. */
static jl_status end_rows(jl_rows *r) {
    size_t line = r->open_line > 0 ? r->open_line : r->line;
    if (!r->row_done && csv_fini(&r->parser, on_cell, on_row, r) != 0) {
        /* A line end within the cell means that the rest of the file was swallowed. */
        r->torn = r->row_line == r->line;
        fail_in_open_cell(r, JL_FORM, line, "a quote that closes the cell");
    }
    r->ended = true;
    if (r->fault.status != JL_OK) return r->fault.status;
    return r->row_done ? JL_OK : JL_END;
}

static jl_status read_row(jl_rows *r) {
    begin_row(r);
    for (;;) {
        if (r->at == r->size) return end_rows(r);
        if (r->row_line == 0) {
            r->row_line = r->line;
            r->row_begin = r->at;
        }
        r->count_at_line = r->count;
        bool line_ended = feed_line(r);
        if (r->fault.status != JL_OK) return r->fault.status;
        if (!line_ended) continue;
        r->line++;
        if (r->row_done) return JL_OK;
        after_line(r);
    }
}

jl_status jl_rows_next(jl_rows *r, jl_row *row, jl_fault *fault) {
    jl_status status = r->fault.status;
    if (status == JL_OK) status = r->ended ? JL_END : read_row(r);
    if (status != JL_OK) {
        if (fault != NULL) *fault = r->fault;
        return status;
    }
    *row = (jl_row){.cells = r->cells,
                    .count = r->count,
                    .line = r->row_line,
                    .begin = r->row_begin,
                    .end = r->at,
                    .unended = r->ended};
    return JL_OK;
}

bool jl_rows_torn(const jl_rows *r, size_t *begin) {
    if (!r->torn) return false;
    *begin = r->row_begin;
    return true;
}

jl_status jl_rows_open(const char *bytes, size_t size, char delimiter, jl_rows **rows) {
    /* Most of it is never touched: text and cells are as large as the largest row may be. */
    jl_rows *r = malloc(sizeof *r);
    if (r == NULL) return JL_MEMORY;
    r->bytes = bytes == NULL ? "" : bytes;
    r->size = size;
    begin_parser(&r->parser, delimiter);
    jl_rows_rewind(r, delimiter);
    *rows = r;
    return JL_OK;
}

void jl_rows_rewind(jl_rows *r, char delimiter) {
    csv_free(&r->parser);
    r->delimiter = delimiter;
    begin_parser(&r->parser, delimiter);
    r->ended = r->torn = false;
    r->fault = (jl_fault){.status = JL_OK};
    r->at = r->size >= 3 && memcmp(r->bytes, "\xef\xbb\xbf", 3) == 0 ? 3 : 0;
    r->line = 1;
    begin_row(r);
}

char jl_rows_delimiter(const jl_rows *r) {
    return r->delimiter;
}

jl_comma jl_delimiter_comma(char delimiter) {
    return delimiter == ';' ? JL_COMMA_DECIMAL : JL_COMMA_SAFE;
}

void jl_rows_close(jl_rows *r) {
    if (r == NULL) return;
    csv_free(&r->parser);
    free(r);
}

/* ---- dialects ---- */

/* How well a delimiter fits: the header is known, has so many cells, there is none, an error. */
static jl_status fit(jl_rows *r, bool (*known)(const jl_row *), size_t *points, jl_fault *fault) {
    jl_row row;
    jl_status status;
    do status = jl_rows_next(r, &row, fault);
    while (status == JL_OK && (jl_row_is_fact(&row) || jl_row_is_empty(&row)));
    *points = status == JL_END ? 1 : 0;
    if (status == JL_OK) *points = known(&row) ? SIZE_MAX : 1 + row.count;
    return status == JL_MEMORY ? status : JL_OK;
}

jl_status jl_rows_find_dialect(jl_rows *r, bool (*known)(const jl_row *header), jl_fault *fault) {
    static const char DELIMITERS[] = {',', ';', '\t'};
    char best = ',';
    size_t most = 0;
    for (size_t i = 0; i < sizeof DELIMITERS && most < SIZE_MAX; i++) {
        size_t points;
        jl_rows_rewind(r, DELIMITERS[i]);
        jl_status status = fit(r, known, &points, fault);
        if (status != JL_OK) return status;
        if (points > most) {
            most = points;
            best = DELIMITERS[i];
        }
    }
    jl_rows_rewind(r, best);
    return JL_OK;
}

/* ---- cells ---- */

jl_cell jl_cell_trimmed(jl_cell cell) {
    while (cell.length > 0 && jl_is_blank(cell.text[0])) cell.text++, cell.length--;
    while (cell.length > 0 && jl_is_blank(cell.text[cell.length - 1])) cell.length--;
    return cell;
}

bool jl_cell_is(jl_cell cell, const char *word) {
    for (size_t i = 0; i < cell.length; i++)
        if (word[i] == '\0' || jl_lower(cell.text[i]) != word[i]) return false;
    return word[cell.length] == '\0';
}

bool jl_row_is_fact(const jl_row *row) {
    return row->cells[0].text[0] == '#';
}

size_t jl_row_used(const jl_row *row) {
    size_t used = row->count;
    while (used > 0 && row->cells[used - 1].length == 0) used--;
    return used;
}

bool jl_row_is_empty(const jl_row *row) {
    return jl_row_used(row) == 0;
}

jl_status jl_row_fault(const jl_row *row, size_t column, jl_status status, const char *expected,
                       jl_fault *fault) {
    jl_cell cell = column < row->count ? row->cells[column] : (jl_cell){"", 0};
    return jl_fault_at(fault, status, row->line, column + 1, cell.text, cell.length, expected);
}

/* ---- spans ---- */

typedef struct tally_of_cells {
    size_t cells, rows;
} tally_of_cells;

static void count_cell(void *bytes, size_t length, void *with) {
    (void)bytes;
    (void)length;
    ((tally_of_cells *)with)->cells++;
}

static void count_row(int end, void *with) {
    (void)end;
    ((tally_of_cells *)with)->rows++;
}

/* Fed byte by byte, libcsv calls back exactly at the delimiter. */
static jl_status find_spans(struct csv_parser *parser, const char *raw, size_t length,
                            jl_span *spans, size_t most, size_t *count) {
    tally_of_cells logged = {0, 0};
    size_t begin = 0;
    for (size_t i = 0; i <= length && logged.rows == 0; i++) {
        size_t before = logged.cells;
        bool fed = i < length ? csv_parse(parser, raw + i, 1, count_cell, count_row, &logged) == 1
                              : csv_fini(parser, count_cell, count_row, &logged) == 0;
        if (!fed) return csv_error(parser) == CSV_EPARSE ? JL_FORM : JL_MEMORY;
        if (logged.cells == before) continue;
        if (before == most) return JL_TOO_LONG;
        spans[before] = (jl_span){begin, i};
        begin = i + 1;
    }
    *count = logged.cells;
    return logged.rows == 1 ? JL_OK : JL_FORM;
}

jl_status jl_row_spans(const char *raw, size_t length, char delimiter, jl_span *spans, size_t most,
                       size_t *count) {
    struct csv_parser parser;
    begin_parser(&parser, delimiter);
    jl_status status = find_spans(&parser, raw, length, spans, most, count);
    csv_free(&parser);
    return status;
}
