/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/card/card.h"
#include "answer/say.h"
#include "answer/show.h"
#include "answer/status.h"
#include "input/args.h"
#include "picture/page.h"

#include <math.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

/* ---- The card itself ---- */

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

/* ---- The page: the largest type that lets it fit ---- */

static const double MARGIN = 36, FOOT_SIZE = 9, SIZE_MOST = 17, TITLE_H = 34, ABOVE_H = 24;

typedef struct card_layout {
    double width, height; /* of the page */
    double inside, feet_h;
    table_style style;
} card_layout;

static double foot_height(const char *text, double inside) {
    return text_lines(text, FOOT_SIZE, inside) * line_height(FOOT_SIZE);
}

static card_layout layout_for(const card *c, double width, double height) {
    card_layout l = {.width = width, .height = height, .inside = width - 2 * MARGIN};
    for (size_t i = 0; i < c->feet_count; i++) l.feet_h += foot_height(c->feet[i], l.inside);
    double table_h = height - 2 * MARGIN - TITLE_H - ABOVE_H - l.feet_h - 12;
    double lines = (double)table_rows(c->table) + table_head_lines(c->table) + 0.3;
    double type = fmin(l.inside / page_table_room(c->table, "-"), table_h / lines / 1.3);
    l.style = (table_style){.type = fmin(type, SIZE_MOST),
                            .gap = 0.3,
                            .rule = 1.2,
                            .rule_tone = TONE_INK,
                            .bold = true,
                            .bold_row = c->bold_row,
                            .missing = "-"};
    l.style.row_h = fmin(table_h / lines, 1.75 * l.style.type);
    l.style.rule_at = 0.15 * l.style.row_h;
    return l;
}

static void put_feet(const card *c, const card_layout *l, sheet *s) {
    double y = l->height - MARGIN - l->feet_h;
    for (size_t i = 0; i < c->feet_count; i++) {
        double h = foot_height(c->feet[i], l->inside);
        sheet_text(s, MARK_TEXT, (box){MARGIN, y, l->inside, h}, ALIGN_LEFT, FOOT_SIZE, c->feet[i])
            ->wraps = true;
        y += h;
    }
}

void card_page(const card *c, double width, double height, sheet *s) {
    card_layout upright = layout_for(c, width, height), across = layout_for(c, height, width);
    const card_layout *l = across.style.type > upright.style.type ? &across : &upright;
    box at = {MARGIN, MARGIN, l->inside, TITLE_H};
    sheet_begin(s, l->width, l->height);
    sheet_text(s, MARK_TITLE, at, ALIGN_LEFT, 20, c->title)->bold = true;
    at.y += TITLE_H;
    at.h = ABOVE_H;
    sheet_text(s, MARK_NOTE, at, ALIGN_LEFT, 12, c->above);
    at.y += ABOVE_H;
    page_table(c->table, &l->style, at, s);
    put_feet(c, l, s);
}

/* ---- Evenly spaced values ---- */

static int read_bound(const char *name, const char *text, jl_unit scale, const char *expected,
                      double *value) {
    jl_quantity strength;
    if (text == NULL) return EXIT_DONE;
    int bad = arg_quantity(name, text, JL_STRENGTH, &strength);
    if (bad != 0) return bad;
    if (strength.unit != scale) return fail_argument(name, text, JL_UNIT, expected);
    *value = strength.value;
    return EXIT_DONE;
}

int card_span_read(const card_span_words *w, jl_unit scale, const char *expected, card_span *span) {
    int bad = read_bound("--low", w->low, scale, expected, &span->low);
    if (bad == 0) bad = read_bound("--high", w->high, scale, expected, &span->high);
    if (bad == 0) bad = read_bound("--step", w->step, scale, expected, &span->step);
    return bad;
}

int card_span_count(card_span *span, const char *what, const char *along, size_t most) {
    double count = floor((span->high - span->low) / span->step + 1e-9) + 1;
    span->count = span->step > 0 && count >= 1 && count <= (double)most ? (size_t)count : 0;
    if (span->count > 0) return EXIT_DONE;
    return fail(EXIT_USAGE,
                "%s from %g to %g by %g do not fit a card; expected 1 to %zu %s: change --low, "
                "--high or --step",
                what, span->low, span->high, span->step, most, along);
}

double card_span_value(const card_span *span, size_t i) {
    return span->low + (double)i * span->step;
}
