/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/document.h"
#include "answer/say.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct table *page_part_table(page_part *part, const char *heading, const column *columns,
                              size_t count) {
    part->heading = heading;
    return part->table = table_new(columns, count);
}

void page_sentence(page_sentences *s, const char *format, ...) {
    va_list list;
    if (s->count == PAGE_SENTENCES_MOST) return;
    va_start(list, format);
    if (vasprintf(&s->text[s->count++], format, list) < 0) need(NULL);
    va_end(list);
}

void page_sentences_free(page_sentences *s) {
    for (size_t i = 0; i < s->count; i++) free(s->text[i]);
}

#define ROW 9.2

static const table_style STYLE = {.type = 7.4,
                                  .row_h = ROW,
                                  .gap = 0.5,
                                  .rule = 0.6,
                                  .rule_at = 0.5,
                                  .rule_tone = TONE_GREY,
                                  .missing = ""};

/* ---- Sentences ---- */

static const double SMALL = 7.0;

double page_sentences_h(const page_sentences *in, double width) {
    double h = 0;
    for (size_t i = 0; i < in->count; i++) h += text_lines(in->text[i], SMALL, width) * 1.2 * SMALL;
    return h;
}

double page_put_sentences(const page_sentences *in, box at, sheet *s) {
    double y = at.y;
    for (size_t i = 0; i < in->count; i++) {
        double h = text_lines(in->text[i], SMALL, at.w) * 1.2 * SMALL;
        sheet_text(s, MARK_TEXT, (box){at.x, y, at.w, h}, ALIGN_LEFT, SMALL, in->text[i])->wraps =
            true;
        y += h;
    }
    return y;
}

/* ---- A part ---- */

bool page_part_rows(const page_part *part) {
    return part->table != NULL && table_rows(part->table) > 0;
}

bool page_part_any(const page_part *part) {
    return page_part_rows(part) || part->words.count > 0;
}

void page_part_free(page_part *part) {
    table_free(part->table);
    page_sentences_free(&part->words);
}

static double table_h(const page_part *part, double width) {
    return page_part_rows(part) ? page_table_height(part->table, &STYLE, width) : 0;
}

double page_part_h(const page_part *part, double width) {
    if (!page_part_any(part)) return 0;
    return ROW + table_h(part, width) + page_sentences_h(&part->words, width) + 1;
}

static void put_heading(const page_part *part, const char *more, box *at, sheet *s) {
    char words[128];
    snprintf(words, sizeof words, "%s%s", part->heading, more);
    sheet_text(s, MARK_HEADING, (box){at->x, at->y, at->w, ROW}, ALIGN_LEFT, STYLE.type + 0.6,
               words)
        ->bold = true;
    at->y += ROW;
    at->h -= ROW;
}

double page_put_part(const page_part *part, box at, sheet *s) {
    if (!page_part_any(part)) return at.y;
    put_heading(part, "", &at, s);
    if (page_part_rows(part)) at.y = page_table(part->table, &STYLE, at, s);
    return page_put_sentences(&part->words, at, s);
}

size_t page_put_rows(const page_part *part, size_t row, box *at, sheet *s) {
    put_heading(part, row > 0 ? ", continued" : "", at, s);
    return page_table_from(part->table, &STYLE, row, at, s);
}
