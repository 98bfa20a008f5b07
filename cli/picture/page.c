/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/page.h"
#include "answer/say.h"

#include <math.h>
#include <stdlib.h>

static const double BESIDE = 0.6; /* clear of the text in a column, in heights of the type */

static double column_room(const struct table *t, size_t at, const char *missing) {
    char buffer[CELL_BYTES];
    double room = 0;
    for (int line = 0; line < table_head_lines(t); line++)
        room = fmax(room, text_room(table_head(t, at, line), 1));
    for (size_t row = 0; row < table_rows(t); row++)
        room = fmax(room, text_room(table_cell(t, row, at, missing, buffer), 1));
    return room + BESIDE;
}

double page_table_room(const struct table *t, const char *missing) {
    double room = 0;
    for (size_t i = 0; i < table_columns(t); i++) room += column_room(t, i, missing);
    return room;
}

static double head_height(const struct table *t, const table_style *style) {
    int lines = table_head_lines(t);
    return lines == 0 ? 0 : lines * style->row_h + 2 * style->rule_at;
}

double page_table_height(const struct table *t, const table_style *style) {
    return head_height(t, style) + (double)table_rows(t) * style->row_h;
}

/* Each its share of the width. Returns the widths, to be freed. */
static double *share_out(const struct table *t, const table_style *style, double width) {
    double *widths = need(calloc(table_columns(t), sizeof *widths)), sum = 0;
    size_t widest = 0;
    for (size_t i = 0; i < table_columns(t); i++) {
        widths[i] = column_room(t, i, style->missing);
        sum += widths[i];
        bool words = table_column(t, i)->kind != COLUMN_NUMBERS;
        if (words &&
            (table_column(t, widest)->kind == COLUMN_NUMBERS || widths[i] > widths[widest]))
            widest = i;
    }
    double lacking = fmax(sum - width / style->type, 0);
    widths[widest] -= lacking;
    for (size_t i = 0; i < table_columns(t); i++) widths[i] *= width / (sum - lacking);
    return widths;
}

static mark *put_cell(const struct table *t, const table_style *style, size_t at, box where,
                      mark_kind kind, const char *text, sheet *s) {
    bool left = table_column(t, at)->kind != COLUMN_NUMBERS;
    double gap = style->gap * style->type;
    where.w -= gap;
    if (left && at > 0) where.x += gap; /* clear of the numbers before it */
    return sheet_text(s, kind, where, left ? ALIGN_LEFT : ALIGN_RIGHT, style->type, text);
}

static void put_heads(const struct table *t, const table_style *style, box at, const double *widths,
                      sheet *s) {
    for (size_t i = 0; i < table_columns(t); i++) {
        box where = {at.x, at.y, widths[i], style->row_h};
        for (int line = 0; line < table_head_lines(t); line++, where.y += style->row_h) {
            const char *text = table_head(t, i, line);
            bool unit = text == table_column(t, i)->unit;
            put_cell(t, style, i, where, MARK_HEADING, text, s)->bold = style->bold && !unit;
        }
        at.x += widths[i];
    }
}

static void put_row(const struct table *t, const table_style *style, size_t row, box at,
                    const double *widths, sheet *s) {
    char buffer[CELL_BYTES];
    if (row % 2 == 1) sheet_box(s, MARK_SHADE, at, TONE_SHADE, PATTERN_NONE);
    for (size_t i = 0; i < table_columns(t); i++) {
        box where = {at.x, at.y, widths[i], at.h};
        const char *text = table_cell(t, row, i, style->missing, buffer);
        put_cell(t, style, i, where, MARK_CELL, text, s)->bold =
            style->bold && (i == 0 || row == style->bold_row);
        at.x += widths[i];
    }
}

double page_table(const struct table *t, const table_style *style, box at, sheet *s) {
    double *widths = share_out(t, style, at.w), y = at.y + head_height(t, style);
    if (table_head_lines(t) > 0) {
        double rule = y - style->rule_at;
        put_heads(t, style, at, widths, s);
        sheet_straight(s, MARK_RULE, style->rule, style->rule_tone, (place){at.x, rule},
                       (place){at.x + at.w, rule});
    }
    for (size_t row = 0; row < table_rows(t); row++, y += style->row_h)
        put_row(t, style, row, (box){at.x, y, at.w, style->row_h}, widths, s);
    free(widths);
    return y;
}
