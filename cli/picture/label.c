/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/label.h"
#include "answer/say.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- Where they stand ---- */

static const double SIDE_LEAST = 5 * POINTS_PER_MM, PADDING = 2.5 * POINTS_PER_MM;

bool label_size(const label_stock *stock, double *width, double *height) {
    double rows = (double)stock->rows, columns = (double)stock->columns;
    *width = (stock->width - 2 * stock->margin_side - (columns - 1) * stock->gap_columns) / columns;
    *height = (stock->height - 2 * stock->margin_top - (rows - 1) * stock->gap_rows) / rows;
    return *width >= SIDE_LEAST && *height >= SIDE_LEAST;
}

static size_t on_sheet(const label_stock *stock) {
    return stock->rows * stock->columns;
}

size_t label_sheets(const label_stock *stock, size_t labels) {
    return (stock->used + labels + on_sheet(stock) - 1) / on_sheet(stock);
}

size_t label_sheet(const label_stock *stock, size_t at) {
    return (stock->used + at) / on_sheet(stock);
}

static box box_of(const label_stock *stock, size_t at) {
    size_t slot = (stock->used + at) % on_sheet(stock);
    double row = (double)(slot / stock->columns), column = (double)(slot % stock->columns);
    box b = {0};
    label_size(stock, &b.w, &b.h);
    b.x = stock->margin_side + column * (b.w + stock->gap_columns);
    b.y = stock->margin_top + row * (b.h + stock->gap_rows);
    return b;
}

static box within(box b) {
    double padding = fmin(PADDING, 0.08 * b.h);
    return (box){b.x + PADDING, b.y + padding, b.w - 2 * PADDING, b.h - 2 * padding};
}

/* ---- What they say ---- */

/* The number has so much of the width, and the lines the rest. */
static const double NUMBER_SHARE = 0.3, NUMBER_CLEAR = 8;

static box lines_box(const label *l, box b) {
    if (l->number == NULL) return b;
    double left = NUMBER_SHARE * b.w + NUMBER_CLEAR;
    return (box){b.x + left, b.y, b.w - left, b.h};
}

static bool stands_in(const char *text, double size, bool bold, double width) {
    return text_fits(text, strlen(text), size, bold, 0.98 * width) == strlen(text);
}

/* As many as put_line makes. */
static double line_h(const label_line *line, double type, double width) {
    double size = line->weight * type;
    return (line->wraps ? text_lines(line->text, size, line->bold, width) : 1) * line_height(size);
}

static bool fits(const label *l, double type, box b) {
    double h = 0;
    bool all = true;
    for (size_t i = 0; i < l->count; i++) {
        const label_line *line = &l->lines[i];
        double size = line->weight * type;
        double width = line->end == NULL ? b.w : 0.4 * b.w; /* a blank has the rest */
        h += line_h(line, type, b.w);
        all = all && size >= LABEL_TYPE_LEAST &&
              (line->wraps || stands_in(line->text, size, line->bold, width));
    }
    return all && h <= b.h;
}

double label_type(const label_stock *stock, const label *l) {
    static const double MOST = 28, FINER = 0.98;
    box b = lines_box(l, within(box_of(stock, 0)));
    for (double type = MOST; type >= LABEL_TYPE_LEAST / 2; type *= FINER)
        if (fits(l, type, b)) return type;
    return 0;
}

static void put_number(const char *number, const char *longest, box b, sheet *s) {
    double size = fmin(0.75 * b.h, b.w / text_room(longest, 1.15));
    sheet_text(s, MARK_TITLE, b, ALIGN_CENTRE, size, number)->bold = true;
}

/* From behind the words to before the end's. */
static void put_blank(const label_line *line, double size, box b, sheet *s) {
    double begin = b.x + 0.4 * b.w, end = b.x + b.w - text_room(line->end, size);
    double y = b.y + 0.8 * b.h;
    sheet_straight(s, MARK_RULE, 0.6, TONE_INK, (place){begin, y}, (place){end, y});
    sheet_text(s, MARK_TEXT, (box){end, b.y, b.x + b.w - end, b.h}, ALIGN_RIGHT, size, line->end);
}

/* One after the other of those that a wrapped text needs. */
static double put_line(const label *l, const label_line *line, double type, box b, sheet *s) {
    const char *text = line->text;
    double size = line->weight * type;
    mark_align align = l->number == NULL ? ALIGN_CENTRE : ALIGN_LEFT;
    b.h = line_height(size);
    do {
        size_t length = line->wraps ? text_line(text, size, line->bold, 0.98 * b.w) : strlen(text);
        char *part = need(strndup(text, length));
        sheet_text(s, MARK_TEXT, b, align, size, part)->bold = line->bold;
        free(part);
        text += length;
        text += *text == ' ';
        b.y += b.h;
    } while (*text != '\0');
    return b.y;
}

static void put_lines(const label *l, double type, box b, sheet *s) {
    double h = 0;
    for (size_t i = 0; i < l->count; i++) h += line_h(&l->lines[i], type, b.w);
    b.y += (b.h - h) / 2;
    for (size_t i = 0; i < l->count; i++) {
        const label_line *line = &l->lines[i];
        double end = put_line(l, line, type, b, s);
        b.h = end - b.y;
        if (line->end != NULL) put_blank(line, line->weight * type, b, s);
        b.y = end;
    }
}

void label_put(const label_stock *stock, const label *l, size_t at, double type,
               const char *longest, sheet *s) {
    box whole = box_of(stock, at), b = within(whole);
    if (stock->lines) sheet_box(s, MARK_PANEL, whole, TONE_FAINT, PATTERN_NONE)->size = 0.5;
    if (l->number != NULL)
        put_number(l->number, longest, (box){b.x, b.y, NUMBER_SHARE * b.w, b.h}, s);
    put_lines(l, type, lines_box(l, b), s);
}
