/* A card as a page: the largest type that lets it fit.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/card/card.h"

#include <math.h>
#include <string.h>

static const double MARGIN = 36, FOOT_SIZE = 9, SIZE_MOST = 17;

typedef struct card_layout {
    double width, height; /* of the page */
    double size;          /* of the type in the table */
    double row_h, head_h, title_h, above_h, feet_h, column_w[CARD_COLUMNS_MOST];
} card_layout;

static double longer(double a, const char *text) {
    return fmax(a, text_room(text, 1));
}

/* Widths in units of the type's height, all columns but the first alike where they are alike. */
static double widths_for(const card *c, double *widths) {
    char text[32];
    double sum = 0;
    for (size_t i = 0; i < c->columns_count; i++) {
        widths[i] = longer(longer(0, c->columns[i].head), c->columns[i].unit);
        for (size_t row = 0; row < c->rows_count; row++) {
            card_cell_text(c, row, i, text, sizeof text);
            widths[i] = longer(widths[i], text);
        }
        widths[i] += 0.6;
        sum += widths[i];
    }
    return sum;
}

static int head_lines(const card *c) {
    for (size_t i = 0; i < c->columns_count; i++)
        if (c->columns[i].unit[0] != '\0') return 2;
    return 1;
}

static card_layout layout_for(const card *c, double width, double height) {
    card_layout l = {.width = width, .height = height};
    double inside = width - 2 * MARGIN;
    double widths[CARD_COLUMNS_MOST];
    double sum = widths_for(c, widths);
    for (size_t i = 0; i < c->feet_count; i++)
        l.feet_h += text_lines(c->feet[i], FOOT_SIZE, inside) * line_height(FOOT_SIZE);
    l.title_h = 34;
    l.above_h = 24;
    double table_h = height - 2 * MARGIN - l.title_h - l.above_h - l.feet_h - 12;
    double lines = (double)c->rows_count + head_lines(c) + 0.3;
    l.size = fmin(fmin(inside / sum, table_h / lines / 1.3), SIZE_MOST);
    l.row_h = fmin(table_h / lines, 1.75 * l.size);
    l.head_h = l.row_h * (head_lines(c) + 0.3);
    for (size_t i = 0; i < c->columns_count; i++) l.column_w[i] = inside * widths[i] / sum;
    return l;
}

static void put_heads(const card *c, const card_layout *l, double top, sheet *s) {
    double x = MARGIN;
    for (size_t i = 0; i < c->columns_count; i++) {
        box where = {x, top, l->column_w[i] - 0.3 * l->size, l->row_h};
        sheet_text(s, MARK_HEADING, where, ALIGN_RIGHT, l->size, c->columns[i].head)->bold = true;
        where.y += l->row_h;
        if (head_lines(c) > 1)
            sheet_text(s, MARK_HEADING, where, ALIGN_RIGHT, l->size, c->columns[i].unit);
        x += l->column_w[i];
    }
    double y = top + l->head_h - 0.15 * l->row_h;
    sheet_straight(s, MARK_RULE, 1.2, TONE_INK, (place){MARGIN, y}, (place){l->width - MARGIN, y});
}

static void put_row(const card *c, const card_layout *l, size_t row, double y, sheet *s) {
    char text[32];
    double x = MARGIN;
    if (row % 2 == 1)
        sheet_box(s, MARK_SHADE, (box){MARGIN, y, l->width - 2 * MARGIN, l->row_h}, TONE_SHADE,
                  PATTERN_NONE);
    for (size_t i = 0; i < c->columns_count; i++) {
        card_cell_text(c, row, i, text, sizeof text);
        box where = {x, y, l->column_w[i] - 0.3 * l->size, l->row_h};
        mark *m = sheet_text(s, MARK_CELL, where, ALIGN_RIGHT, l->size, text);
        m->bold = i == 0 || row == c->strong_row;
        x += l->column_w[i];
    }
}

static void put_feet(const card *c, const card_layout *l, sheet *s) {
    double inside = l->width - 2 * MARGIN;
    double y = l->height - MARGIN - l->feet_h;
    for (size_t i = 0; i < c->feet_count; i++) {
        double h = text_lines(c->feet[i], FOOT_SIZE, inside) * line_height(FOOT_SIZE);
        mark *m = sheet_text(s, MARK_TEXT, (box){MARGIN, y, inside, h}, ALIGN_LEFT, FOOT_SIZE,
                             c->feet[i]);
        m->wraps = true;
        y += h;
    }
}

void card_page(const card *c, double width, double height, sheet *s) {
    card_layout upright = layout_for(c, width, height), across = layout_for(c, height, width);
    const card_layout *l = across.size > upright.size ? &across : &upright;
    double inside = l->width - 2 * MARGIN, y = MARGIN;
    sheet_begin(s, l->width, l->height);
    sheet_text(s, MARK_TITLE, (box){MARGIN, y, inside, l->title_h}, ALIGN_LEFT, 20, c->title)
        ->bold = true;
    y += l->title_h;
    sheet_text(s, MARK_NOTE, (box){MARGIN, y, inside, l->above_h}, ALIGN_LEFT, 12, c->above);
    y += l->above_h;
    put_heads(c, l, y, s);
    y += l->head_h;
    for (size_t row = 0; row < c->rows_count; row++, y += l->row_h) put_row(c, l, row, y, s);
    put_feet(c, l, s);
}
