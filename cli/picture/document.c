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

#define ROW 9.0

/* ---- Tables ---- */

static const table_style STYLE = {.type = 7.2,
                                  .row_h = ROW,
                                  .gap = 0.5,
                                  .rule = 0.6,
                                  .rule_at = 0.5,
                                  .rule_tone = TONE_GREY,
                                  .missing = ""};

double page_part_h(const page_part *part) {
    bool any = part->table != NULL && table_rows(part->table) > 0;
    return any ? ROW + page_table_height(part->table, &STYLE) + 1 : 0;
}

double page_put_part(const page_part *part, box at, sheet *s) {
    if (page_part_h(part) == 0) return at.y;
    sheet_text(s, MARK_HEADING, (box){at.x, at.y, at.w, ROW}, ALIGN_LEFT, STYLE.type + 0.6,
               part->heading)
        ->bold = true;
    at.y += ROW;
    return page_table(part->table, &STYLE, at, s);
}

/* ---- Sentences ---- */

static const double SMALL = 6.6;

double page_sentences_h(const page_sentences *in, double width) {
    double h = 0;
    for (size_t i = 0; i < in->count; i++)
        h += text_lines(in->text[i], SMALL, width) * line_height(SMALL) * 0.9;
    return h;
}

double page_put_sentences(const page_sentences *in, box at, sheet *s) {
    double y = at.y;
    for (size_t i = 0; i < in->count; i++) {
        double h = text_lines(in->text[i], SMALL, at.w) * line_height(SMALL) * 0.9;
        sheet_text(s, MARK_TEXT, (box){at.x, y, at.w, h}, ALIGN_LEFT, SMALL, in->text[i])->wraps =
            true;
        y += h;
    }
    return y;
}
