/* Cells of a run log as text to be written.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "log/logtext.h"

#include <stdlib.h>
#include <string.h>

void jl_text_add(jl_text *text, const char *bytes, size_t length) {
    if (text->failed || length == 0) return;
    if (text->length + length > text->room) {
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

static bool is_blank(char c) {
    return c == ' ' || c == '\t';
}

/* RFC 4180 asks for quotes around delimiters, quotes and line ends. A leading # would make a fact
 * of a row, and readers take off white space that is not quoted. */
static bool needs_quotes(const jl_dialect *dialect, const char *bytes, size_t length) {
    if (length == 0) return false;
    if (bytes[0] == '#' || is_blank(bytes[0]) || is_blank(bytes[length - 1])) return true;
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
    while (blanks < length && bytes[blanks] == ' ') blanks++;
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
    return blanks_before_formula(bytes, length) > 1 ? 1 : 0;
}

void jl_delimiter_add(jl_text *text, const jl_dialect *dialect) {
    jl_text_add(text, &dialect->delimiter, 1);
}

void jl_line_end_add(jl_text *text, const jl_dialect *dialect) {
    jl_text_add(text, dialect->crlf ? "\r\n" : "\n", dialect->crlf ? 2 : 1);
}
