/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/marks.h"
#include "answer/characters.h"
#include "answer/say.h"
#include "answer/table.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

void sheet_begin(sheet *s, double width, double height) {
    *s = (sheet){.width = width, .height = height};
}

void sheet_free(sheet *s) {
    for (size_t i = 0; i < s->count; i++) free(s->marks[i].text);
    free(s->marks);
    free(s->places);
    free(s->describes);
    *s = (sheet){0};
}

void sheet_describe(sheet *s, const char *words) {
    free(s->describes);
    s->describes = clean_text(words);
}

mark *sheet_mark(sheet *s, mark_kind kind, mark_shape shape) {
    need_room(&s->marks, s->count, &s->marks_room, sizeof *s->marks);
    mark *m = &s->marks[s->count++];
    *m = (mark){.kind = kind, .shape = shape};
    return m;
}

/* U+FFFE and U+FFFF, which a file of XML may not hold. */
static bool no_character(const unsigned char *at, size_t length) {
    return length == 3 && utf8_code((const char *)at, length) >= 0xfffe;
}

char *clean_text(const char *text) {
    const unsigned char *from = (const unsigned char *)text;
    char *clean = need(malloc(3 * strlen(text) + 1)), *to = clean;
    while (*from != '\0') {
        size_t length = utf8_bytes((const char *)from);
        if (length == 0 || no_character(from, length)) {
            memcpy(to, "\xef\xbf\xbd", 3); /* U+FFFD */
            to += 3;
            from += length == 0 ? 1 : length;
            continue;
        }
        if (utf8_steers((const char *)from, length))
            *to++ = ' ';
        else {
            memcpy(to, from, length);
            to += length;
        }
        from += length;
    }
    *to = '\0';
    return clean;
}

mark *sheet_text(sheet *s, mark_kind kind, box where, mark_align align, double size,
                 const char *text) {
    mark *m = sheet_mark(s, kind, SHAPE_TEXT);
    m->box = where;
    m->align = align;
    m->size = size;
    m->text = clean_text(text);
    return m;
}

mark *sheet_box(sheet *s, mark_kind kind, box where, mark_tone tone, mark_pattern pattern) {
    mark *m = sheet_mark(s, kind, SHAPE_BOX);
    m->box = where;
    m->tone = tone;
    m->pattern = pattern;
    return m;
}

mark *sheet_dot(sheet *s, mark_kind kind, place at, double diameter, mark_tone tone) {
    mark *m = sheet_mark(s, kind, SHAPE_DOT);
    m->box = (box){at.x - diameter / 2, at.y - diameter / 2, diameter, diameter};
    m->size = diameter;
    m->tone = tone;
    return m;
}

mark *sheet_line(sheet *s, mark_kind kind, double width, mark_tone tone) {
    mark *m = sheet_mark(s, kind, SHAPE_LINE);
    m->first = s->places_count;
    m->size = width;
    m->tone = tone;
    return m;
}

void sheet_place(sheet *s, place at) {
    need_room(&s->places, s->places_count, &s->places_room, sizeof *s->places);
    s->places[s->places_count++] = at;
    s->marks[s->count - 1].count++;
}

mark *sheet_straight(sheet *s, mark_kind kind, double width, mark_tone tone, place from, place to) {
    mark *m = sheet_line(s, kind, width, tone);
    sheet_place(s, from);
    sheet_place(s, to);
    return m;
}

static size_t characters(const char *text) {
    size_t count = 0;
    for (; *text != '\0'; text++) count += ((unsigned char)*text & 0xc0) != 0x80;
    return count;
}

double text_room(const char *text, double size) {
    return ((double)characters(text) * 0.66 + 0.3) * size;
}

int text_lines(const char *text, double size, double width) {
    double per_line = floor(width / (0.56 * size));
    return (int)ceil((double)characters(text) / fmax(per_line - 6, 1)); /* a word's end is lost */
}

double line_height(double size) {
    return 1.4 * size;
}

/* ---- Tables: cells of the one table model, in type of any size ---- */

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
