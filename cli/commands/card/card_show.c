/* A card as text of 80 columns, as CSV and as JSON.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/say.h"
#include "answer/show.h"
#include "answer/status.h"
#include "commands/card/card.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { TEXT_COLUMNS = 78, GAP = 2 };

/* ---- The card itself ---- */

void card_foot(card *c, const char *format, ...) {
    va_list list;
    va_start(list, format);
    if (vasprintf(&c->feet[c->feet_count++], format, list) < 0) need(NULL);
    va_end(list);
}

card_column *card_add_column(card *c) {
    card_column *added = &c->columns[c->columns_count++];
    *added = (card_column){0};
    return added;
}

void card_free(card *c) {
    for (size_t i = 0; i < c->feet_count; i++) free(c->feet[i]);
}

void card_cell_text(const card *c, size_t row, size_t at, char *text, size_t size) {
    if (jl_decimal_write(c->cells[row][at], c->columns[at].decimals, text, size) != JL_OK)
        snprintf(text, size, "-");
}

/* ---- Text ---- */

static int columns_of(const char *text) {
    int width = 0;
    for (; *text != '\0'; text++) width += ((unsigned char)*text & 0xc0) != 0x80;
    return width;
}

static int wider(int a, int b) {
    return a > b ? a : b;
}

static int column_width(const card *c, size_t at) {
    char text[32];
    int width = wider(columns_of(c->columns[at].head), columns_of(c->columns[at].unit));
    for (size_t row = 0; row < c->rows_count; row++) {
        card_cell_text(c, row, at, text, sizeof text);
        width = wider(width, columns_of(text));
    }
    return width;
}

static void put_right(bytes *b, int width, const char *text) {
    bytes_print(b, "%*s%s", width - columns_of(text), "", text);
}

static bool has_units(const card *c) {
    for (size_t i = 0; i < c->columns_count; i++)
        if (c->columns[i].unit[0] != '\0') return true;
    return false;
}

typedef enum text_row { ROW_HEADS = -2, ROW_UNITS = -1 } text_row;

/* The first column and some others. */
static void put_row(const card *c, int row, size_t first, size_t end, const int *widths, bytes *b) {
    char text[32];
    for (size_t i = 0; i < end; i = i == 0 ? first : i + 1) {
        if (row == ROW_HEADS) snprintf(text, sizeof text, "%s", c->columns[i].head);
        if (row == ROW_UNITS) snprintf(text, sizeof text, "%s", c->columns[i].unit);
        if (row >= 0) card_cell_text(c, (size_t)row, i, text, sizeof text);
        put_right(b, widths[i] + (i == 0 ? 0 : GAP), text);
    }
    bytes_print(b, "\n");
}

static void put_block(const card *c, size_t first, size_t end, const int *widths, bytes *b) {
    bytes_print(b, "\n");
    put_row(c, ROW_HEADS, first, end, widths, b);
    if (has_units(c)) put_row(c, ROW_UNITS, first, end, widths, b);
    for (size_t row = 0; row < c->rows_count; row++) put_row(c, (int)row, first, end, widths, b);
}

/* Words over lines; further lines are indented. */
static void put_wrapped(bytes *b, const char *text) {
    int used = 0;
    while (*text != '\0') {
        int length = (int)strcspn(text, " ");
        char *word = need(strndup(text, (size_t)length));
        int width = columns_of(word);
        if (used > 0 && used + 1 + width > TEXT_COLUMNS) {
            bytes_print(b, "\n  ");
            used = 2;
        } else if (used > 0) {
            bytes_print(b, " ");
            used++;
        }
        bytes_print(b, "%s", word);
        used += width;
        free(word);
        text += length + (text[length] == ' ');
    }
    bytes_print(b, "\n");
}

void card_text(const card *c, bytes *b) {
    int widths[CARD_COLUMNS_MOST];
    for (size_t i = 0; i < c->columns_count; i++) widths[i] = column_width(c, i);
    bytes_print(b, "%s\n", c->title);
    put_wrapped(b, c->above);
    for (size_t first = 1; first < c->columns_count;) {
        size_t end = first;
        int used = widths[0];
        while (end < c->columns_count && used + GAP + widths[end] <= TEXT_COLUMNS)
            used += GAP + widths[end++];
        put_block(c, first, end, widths, b);
        first = end;
    }
    bytes_print(b, "\n");
    for (size_t i = 0; i < c->feet_count; i++) put_wrapped(b, c->feet[i]);
}

/* ---- CSV (RFC 4180) and JSON ---- */

void card_csv(const card *c, bytes *b) {
    char text[32];
    for (size_t i = 0; i < c->columns_count; i++)
        bytes_print(b, "%s%s", i > 0 ? "," : "", c->columns[i].key);
    bytes_print(b, "\r\n");
    for (size_t row = 0; row < c->rows_count; row++) {
        for (size_t i = 0; i < c->columns_count; i++) {
            int decimals = c->columns[i].csv_decimals;
            bool some = jl_decimal_write(c->cells[row][i], decimals, text, sizeof text) == JL_OK;
            bytes_print(b, "%s%s", i > 0 ? "," : "", some ? text : "");
        }
        bytes_print(b, "\r\n");
    }
}

int card_json(const card *c) {
    column columns[CARD_COLUMNS_MOST];
    show *s = show_open(true);
    for (size_t i = 0; i < c->columns_count; i++) columns[i] = (column){.key = c->columns[i].key};
    show_text(s, "title", NULL, c->title);
    show_table(s, "rows", columns, c->columns_count);
    for (size_t row = 0; row < c->rows_count; row++)
        for (size_t i = 0; i < c->columns_count; i++) show_cell(s, c->cells[row][i]);
    show_table_end(s);
    for (size_t i = 0; i < c->feet_count; i++) show_note(s, "%s", c->feet[i]);
    return show_close(s, EXIT_DONE);
}
