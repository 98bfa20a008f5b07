/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/card/page.h"
#include "answer/say.h"
#include "answer/show.h"
#include "answer/status.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void card_foot(card *c, const char *format, ...) {
    char *text;
    va_list list;
    va_start(list, format);
    if (vasprintf(&text, format, list) < 0) need(NULL);
    va_end(list);
    c->feet[c->feet_count++] = keep_text(&c->kept, text);
    free(text);
}

void card_free(card *c) {
    table_free(c->table);
    keep_free(&c->kept);
}

/* ---- Text and JSON ---- */

static void put_words(card *c, const char *text, FILE *to) {
    size_t size = ON_SCREEN_BYTES(strlen(text));
    put_sentence(to, "", "  ", on_screen(text, keep_room(&c->kept, size), size));
}

void card_text(card *c, FILE *to) {
    put_words(c, c->title, to);
    put_words(c, c->above, to);
    table_text_blocks(c->table, to);
    fputc('\n', to);
    for (size_t i = 0; i < c->feet_count; i++) put_words(c, c->feet[i], to);
}

int card_json(card *c) {
    show *s = show_open(true);
    show_text(s, "title", NULL, c->title);
    show_whole_table(s, "rows", c->table);
    c->table = NULL;
    for (size_t i = 0; i < c->feet_count; i++) show_note(s, "%s", c->feet[i]);
    return show_close(s, EXIT_DONE);
}

/* ---- The sheets ---- */

/* Of an A4 sheet; a smaller one has them in proportion, but no text below FOOT_LEAST. */
static const double A4_WIDTH = 595, MARGIN = 36, FOOT_SIZE = 9, FOOT_LEAST = 7, TITLE_SIZE = 20;
static const double SIZE_MOST = 22, SIZE_LEAST = 9; /* of the table */
static const double BETWEEN = 1.5;                  /* blocks, in heights of the type */

typedef struct card_layout {
    double width, height; /* of the page */
    double scale, margin, inside, title_h, above_h, foot_size, feet_h;
    size_t blocks;  /* of rows, beside each other */
    size_t columns; /* behind the first, on each page */
    table_style style;
} card_layout;

static double foot_height(const card_layout *l, const char *text) {
    return text_lines(text, l->foot_size, false, l->inside) * line_height(l->foot_size);
}

static card_layout page_of(const card *c, double width, double height) {
    double scale = fmin(fmin(width, height) / A4_WIDTH, 1);
    card_layout l = {.width = width, .height = height, .scale = scale, .margin = scale * MARGIN};
    l.inside = width - 2 * l.margin;
    l.title_h = scale * 34;
    l.above_h = scale * 24;
    l.foot_size = fmax(scale * FOOT_SIZE, FOOT_LEAST);
    for (size_t i = 0; i < c->feet_count; i++) l.feet_h += foot_height(&l, c->feet[i]);
    return l;
}

/* The type in which so many blocks of a part's rows fit. */
static void fit_table(const card *c, const struct table *part, size_t blocks, card_layout *l) {
    double table_h =
        l->height - 2 * l->margin - l->title_h - l->above_h - l->feet_h - l->scale * 12;
    size_t rows = (table_rows(part) + blocks - 1) / blocks;
    double lines = (double)rows + table_head_lines(part) + (table_has_groups(part) ? 1 : 0) + 0.3;
    double ems = (double)blocks * page_table_room(part, "-") + (double)(blocks - 1) * BETWEEN;
    l->blocks = blocks;
    l->columns = table_columns(part) - 1;
    l->style = (table_style){.type = fmin(fmin(l->inside / ems, table_h / lines / 1.3), SIZE_MOST),
                             .gap = 0.3,
                             .rule = 1.2,
                             .rule_tone = TONE_INK,
                             .bold = true,
                             .bold_row = c->bold_row,
                             .missing = "-"};
    l->style.row_h = fmin(table_h / lines, 1.75 * l->style.type);
    l->style.rule_at = 0.15 * l->style.row_h;
}

/* The largest type for a part, upright or across, in one block or in several. */
static card_layout best_for(const card *c, const struct table *part, double width, double height) {
    const card_layout ways[] = {page_of(c, width, height), page_of(c, height, width)};
    card_layout best = ways[0];
    best.style.type = 0;
    for (int i = 0; i < 2; i++)
        for (size_t blocks = 1; blocks <= 4; blocks++) {
            card_layout l = ways[i];
            fit_table(c, part, blocks, &l);
            if (l.style.type > best.style.type * 1.001) best = l;
        }
    return best;
}

static card_layout layout_for(const card *c, double width, double height) {
    size_t all = table_columns(c->table) - 1;
    card_layout l = {0};
    for (size_t pages = 1; pages <= CARD_PAGES_MOST && pages <= all; pages++) {
        struct table *part =
            table_cut(c->table, 0, table_rows(c->table), 1, (all + pages - 1) / pages);
        l = best_for(c, part, width, height);
        table_free(part);
        if (l.style.type >= l.scale * SIZE_LEAST) break;
    }
    return l;
}

static void put_feet(const card *c, const card_layout *l, sheet *s) {
    double y = l->height - l->margin - l->feet_h;
    for (size_t i = 0; i < c->feet_count; i++) {
        double h = foot_height(l, c->feet[i]);
        box at = {l->margin, y, l->inside, h};
        sheet_text(s, MARK_TEXT, at, ALIGN_LEFT, l->foot_size, c->feet[i])->wraps = true;
        y += h;
    }
}

static void put_blocks(const card *c, const card_layout *l, size_t from, box at, sheet *s) {
    size_t rows = (table_rows(c->table) + l->blocks - 1) / l->blocks;
    double between = BETWEEN * l->style.type;
    at.w = (at.w - (double)(l->blocks - 1) * between) / (double)l->blocks;
    for (size_t row = 0; row < table_rows(c->table); row += rows) {
        struct table *part = table_cut(c->table, row, rows, from, l->columns);
        table_style style = l->style;
        style.bold_row = c->bold_row >= row ? c->bold_row - row : rows;
        page_table(part, &style, at, s);
        table_free(part);
        at.x += at.w + between;
    }
}

static void put_page(const card *c, const card_layout *l, size_t from, sheet *s) {
    box at = {l->margin, l->margin, l->inside, l->title_h};
    double title = fmin(l->scale * TITLE_SIZE, l->inside / text_room(c->title, 1));
    sheet_begin(s, l->width, l->height);
    s->on_paper = true;
    sheet_text(s, MARK_TITLE, at, ALIGN_LEFT, title, c->title)->bold = true;
    at.y += l->title_h;
    at.h = l->above_h;
    double above = fmin(l->scale * 12, l->inside / text_room(c->above, 1));
    sheet_text(s, MARK_NOTE, at, ALIGN_LEFT, above, c->above);
    at.y += l->above_h;
    put_blocks(c, l, from, at, s);
    put_feet(c, l, s);
}

size_t card_pages(const card *c, double width, double height, sheet pages[CARD_PAGES_MOST]) {
    card_layout l = layout_for(c, width, height);
    size_t count = 0;
    for (size_t from = 1; from < table_columns(c->table); from += l.columns)
        put_page(c, &l, from, &pages[count++]);
    return count;
}
