/* A CSV file of ours in memory.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "log/file.h"
#include "keys/facts.h"
#include "text/letters.h"
#include "text/status.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <time.h>
#include <unistd.h>

/* ---- reading ---- */

/* A writer holds a file for milliseconds. */
static void lock_shared(int fd) {
    const struct timespec pause = {0, 2000000};
    for (int tries = 0; tries < 500 && flock(fd, LOCK_SH | LOCK_NB) != 0; tries++) {
        if (errno != EWOULDBLOCK && errno != EINTR) break;
        nanosleep(&pause, NULL);
    }
}

jl_status jl_file_read(int fd, bool lock, jl_file *file, jl_fault *fault) {
    jl_file read = {.bytes = NULL};
    if (lock) lock_shared(fd);
    jl_status status = jl_bytes_read(fd, &read.bytes, &read.size, fault);
    if (lock) flock(fd, LOCK_UN);
    if (status == JL_OK) *file = read;
    return status;
}

jl_status jl_file_hold(const char *path, double wait_s, jl_locked_file *lock, jl_file *file,
                       jl_fault *fault, jl_trouble *trouble) {
    jl_status status = jl_locked_file_open(path, wait_s, lock);
    if (trouble != NULL) *trouble = lock->trouble;
    if (status != JL_OK) return jl_plain_fault(fault, status, NULL);
    status = jl_file_read(lock->fd, false, file, fault);
    if (status != JL_OK) jl_locked_file_release(lock);
    return status;
}

/* Whose the file is, and how it ends its rows, by the first row that says something. */
static jl_status find_whose(jl_file *file, jl_fault *fault) {
    jl_row row;
    jl_status status;
    do status = jl_rows_next(file->rows, &row, fault);
    while (status == JL_OK && jl_row_is_empty(&row));
    file->ours = status == JL_OK && jl_row_has_key(&row, "jarline");
    file->dialect.crlf =
        status == JL_OK && row.end - row.begin > 1 && file->bytes[row.end - 2] == '\r';
    jl_rows_rewind(file->rows, file->dialect.delimiter);
    return status == JL_MEMORY ? status : JL_OK;
}

jl_status jl_file_begin(jl_file *file, bool (*known)(const jl_row *header), jl_fault *fault) {
    file->end = file->size;
    jl_status status = jl_rows_open(file->bytes, file->size, ',', &file->rows);
    if (status != JL_OK) return jl_plain_fault(fault, status, NULL);
    status = jl_rows_find_dialect(file->rows, known, fault);
    if (status != JL_OK) return status;
    file->dialect = (jl_dialect){.delimiter = jl_rows_delimiter(file->rows)};
    file->dialect.comma = file->dialect.delimiter == ';';
    return find_whose(file, fault);
}

/* What stands behind the last line end of a file of ours was not written to its end, whatever it
 * is: a row, empty cells, blanks. */
static bool is_torn(jl_file *file, jl_status status, const jl_row *row, const jl_fault *fault) {
    size_t begin;
    if (!file->ours) return false;
    if (status == JL_OK && row->unended) {
        file->end = row->begin;
        file->torn_line = row->line;
        return true;
    }
    if (status == JL_FORM && jl_rows_torn(file->rows, &begin)) {
        file->end = begin;
        file->torn_line = fault->line;
        return true;
    }
    if (status == JL_END && file->torn_line == 0)
        while (file->end > 0 && file->bytes[file->end - 1] != '\n') file->end--;
    return false;
}

jl_status jl_file_next(jl_file *file, jl_row *row, jl_fault *fault) {
    jl_fault own = {0};
    for (;;) {
        jl_status status = jl_rows_next(file->rows, row, &own);
        if (is_torn(file, status, row, &own)) return JL_END;
        if (status == JL_OK && jl_row_is_empty(row)) continue;
        if (status != JL_OK && fault != NULL) *fault = own;
        return status;
    }
}

void jl_file_end(jl_file *file) {
    jl_rows_close(file->rows);
    file->rows = NULL;
}

void jl_file_free(jl_file *file) {
    jl_file_end(file);
    free(file->bytes);
    *file = (jl_file){0};
}

/* ---- text ---- */

void jl_text_add(jl_text *text, const char *bytes, size_t length) {
    if (text->failed || length == 0) return;
    if (length > text->room - text->length) {
        size_t room = 2 * (text->length + length) + 64;
        char *grown = realloc(text->bytes, room);
        text->failed = grown == NULL;
        if (grown == NULL) return;
        text->bytes = grown;
        text->room = room;
    }
    memcpy(text->bytes + text->length, bytes, length);
    text->length += length;
}

void jl_text_free(jl_text *text) {
    free(text->bytes);
    *text = (jl_text){0};
}

jl_status jl_file_of_text(const jl_text *text, jl_file *file) {
    char *bytes = text->failed ? NULL : malloc(text->length + 1);
    if (bytes == NULL) return JL_MEMORY;
    memcpy(bytes, text->bytes, text->length);
    bytes[text->length] = '\0';
    *file = (jl_file){.bytes = bytes, .size = text->length};
    return JL_OK;
}

/* RFC 4180 asks for quotes around delimiters, quotes and line ends. A leading # would make a fact
 * of a row, and readers take off white space that is not quoted. */
static bool needs_quotes(const jl_dialect *dialect, const char *bytes, size_t length) {
    if (length == 0) return false;
    if (bytes[0] == '#' || jl_is_blank(bytes[0]) || jl_is_blank(bytes[length - 1])) return true;
    for (size_t i = 0; i < length; i++)
        if (bytes[i] == dialect->delimiter || strchr("\"\r\n", bytes[i]) != NULL) return true;
    return false;
}

void jl_cell_add(jl_text *text, const jl_dialect *dialect, const char *bytes, size_t length) {
    if (!needs_quotes(dialect, bytes, length)) {
        jl_text_add(text, bytes, length);
        return;
    }
    jl_text_add(text, "\"", 1);
    for (size_t i = 0; i < length; i++) {
        if (bytes[i] == '"') jl_text_add(text, "\"", 1);
        jl_text_add(text, &bytes[i], 1);
    }
    jl_text_add(text, "\"", 1);
}

void jl_cell_add_number(jl_text *text, const jl_dialect *dialect, double value) {
    enum { DECIMALS = 9 };
    char number[64];
    if (jl_decimal_write(value, DECIMALS, number, sizeof number) != JL_OK) return;
    size_t length = strlen(number);
    while (number[length - 1] == '0') length--;
    if (number[length - 1] == '.') length--;
    char *point = memchr(number, '.', length);
    if (point != NULL && dialect->comma) {
        *point = ',';
        /* Three digits behind a comma could be thousands. */
        bool thousands = length - (size_t)(point - number) == 4 && dialect->delimiter != ';';
        if (thousands) number[length++] = '0';
    }
    jl_cell_add(text, dialect, number, length);
}

static size_t blanks_before_formula(const char *bytes, size_t length) {
    size_t blanks = 0;
    while (blanks < length && jl_is_blank(bytes[blanks])) blanks++;
    bool formula = blanks < length && strchr("=+-@", bytes[blanks]) != NULL;
    return formula ? blanks + 1 : 0;
}

void jl_cell_add_note(jl_text *text, const jl_dialect *dialect, const char *bytes, size_t length) {
    if (blanks_before_formula(bytes, length) == 0) {
        jl_cell_add(text, dialect, bytes, length);
        return;
    }
    jl_text spaced = {0};
    jl_text_add(&spaced, " ", 1);
    jl_text_add(&spaced, bytes, length);
    jl_cell_add(text, dialect, spaced.bytes, spaced.length);
    text->failed = text->failed || spaced.failed;
    jl_text_free(&spaced);
}

size_t jl_note_skip(const char *bytes, size_t length) {
    return blanks_before_formula(bytes, length) > 1 && bytes[0] == ' ' ? 1 : 0;
}

void jl_delimiter_add(jl_text *text, const jl_dialect *dialect) {
    jl_text_add(text, &dialect->delimiter, 1);
}

void jl_line_end_add(jl_text *text, const jl_dialect *dialect) {
    jl_text_add(text, dialect->crlf ? "\r\n" : "\n", dialect->crlf ? 2 : 1);
}

void jl_fact_add(jl_text *text, const jl_dialect *dialect, const jl_fact_entry *fact) {
    jl_text_add(text, "#", 1);
    jl_text_add(text, fact->key, strlen(fact->key));
    for (int i = 0; i < fact->count; i++) {
        jl_delimiter_add(text, dialect);
        jl_cell_add_number(text, dialect, fact->values[i]);
    }
    if (fact->text != NULL) {
        jl_delimiter_add(text, dialect);
        jl_cell_add_note(text, dialect, fact->text, strlen(fact->text));
    }
    jl_line_end_add(text, dialect);
}

bool jl_fact_entry_ok(const jl_fact_entry *fact) {
    for (int i = 0; i < fact->count; i++)
        if (!isfinite(fact->values[i])) return false;
    return jl_is_key(fact->key) && (fact->text == NULL || strpbrk(fact->text, "\r\n") == NULL);
}

/* ---- changing ---- */

void jl_edit_begin(jl_edit *edit, const jl_file *file) {
    *edit = (jl_edit){.file = file, .status = JL_OK};
}

static void copy_to(jl_edit *edit, size_t to) {
    if (to > edit->at) jl_text_add(&edit->text, edit->file->bytes + edit->at, to - edit->at);
    edit->at = to;
}

void jl_edit_widen(jl_edit *edit, size_t begin, size_t end, const jl_columns *columns,
                   const jl_columns *more, bool header) {
    jl_change changes[JL_ROLES_MOST];
    size_t count = 0;
    for (size_t at = columns->cells; at < more->cells; at++) {
        const char *name = jl_columns_at(more, at)->name;
        jl_change *change = &changes[count++];
        *change = (jl_change){.cell = at};
        if (header) jl_text_add(&change->text, name, strlen(name));
    }
    if (count > 0) jl_edit_cells(edit, begin, end, changes, count);
}

void jl_edit_drop(jl_edit *edit, size_t begin, size_t end) {
    copy_to(edit, begin);
    edit->at = end;
}

/* spans of a row at begin. */
static void put_cells(jl_edit *edit, size_t begin, const jl_span *spans, size_t count,
                      const jl_change *changes, size_t changed) {
    size_t cells = count;
    for (size_t i = 0; i < changed; i++) {
        const jl_change *change = &changes[i];
        bool stands = change->cell < count;
        copy_to(edit, begin + (stands ? spans[change->cell].begin : spans[count - 1].end));
        for (; !stands && cells <= change->cell; cells++)
            jl_delimiter_add(&edit->text, &edit->file->dialect);
        jl_text_add(&edit->text, change->text.bytes, change->text.length);
        edit->text.failed = edit->text.failed || change->text.failed;
        if (stands) edit->at = begin + spans[change->cell].end;
    }
}

/* Delimiters are as many as a row has cells, or more. */
static size_t cells_most(const char *raw, size_t length, char delimiter) {
    size_t most = 1;
    for (size_t i = 0; i < length; i++) most += raw[i] == delimiter;
    return most;
}

void jl_edit_cells(jl_edit *edit, size_t begin, size_t end, jl_change *changes, size_t count) {
    const char *raw = edit->file->bytes + begin;
    char delimiter = edit->file->dialect.delimiter;
    size_t cells, length = end - begin, most = cells_most(raw, length, delimiter);
    jl_span *spans = count == 0 || edit->status != JL_OK ? NULL : malloc(most * sizeof *spans);
    if (spans != NULL)
        edit->status = jl_row_spans(raw, length, delimiter, spans, most, &cells);
    else if (count > 0 && edit->status == JL_OK)
        edit->status = JL_MEMORY;
    if (count > 0 && edit->status == JL_OK) put_cells(edit, begin, spans, cells, changes, count);
    for (size_t i = 0; i < count; i++) jl_text_free(&changes[i].text);
    free(spans);
}

jl_status jl_edit_end(jl_edit *edit, const jl_text *rows) {
    const jl_file *file = edit->file;
    copy_to(edit, file->end);
    if (rows != NULL && rows->length > 0 && file->end > 0 && file->bytes[file->end - 1] != '\n')
        jl_line_end_add(&edit->text, &file->dialect);
    if (rows != NULL) jl_text_add(&edit->text, rows->bytes, rows->length);
    if (edit->status == JL_OK && (edit->text.failed || (rows != NULL && rows->failed)))
        edit->status = JL_MEMORY;
    if (edit->status != JL_OK) jl_text_free(&edit->text);
    return edit->status;
}

static jl_status replace(jl_locked_file *lock, const jl_text *text) {
    jl_pending_file *pending = malloc(sizeof *pending);
    if (pending == NULL) return JL_MEMORY;
    jl_status status = jl_pending_file_open(lock->path, JL_PENDING_REPLACE, pending);
    if (status == JL_OK) {
        jl_pending_file_write(pending, text->bytes, text->length);
        status = jl_locked_file_replace(lock, pending);
    } else {
        lock->trouble = pending->trouble;
        lock->trouble.beside = true;
    }
    free(pending);
    return status;
}

jl_status jl_file_put(const jl_file *file, jl_locked_file *lock, const jl_text *text) {
    bool torn = (uint64_t)lock->length > file->end;
    bool longer = text->length >= file->end &&
                  (file->end == 0 || memcmp(text->bytes, file->bytes, file->end) == 0);
    jl_status status = torn ? jl_locked_file_set_aside(lock, (off_t)file->end) : JL_OK;
    if (status != JL_OK || (longer && text->length == file->end)) return status;
    if (longer && file->ours)
        return jl_locked_file_append(lock, text->bytes + file->end, text->length - file->end);
    return replace(lock, text);
}
