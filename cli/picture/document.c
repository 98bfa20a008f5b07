/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/document.h"
#include "answer/say.h"

#include <limits.h>
#include <math.h>
#include <stdarg.h>
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
                                  .stretch = 4,
                                  .missing = ""};

/* ---- Sentences ---- */

static const double SMALL = 7.0;

static double sentence_h(const char *text, double width) {
    return text_lines(text, SMALL, false, width) * 1.2 * SMALL;
}

double page_sentences_h(const page_sentences *in, double width) {
    double h = 0;
    for (size_t i = 0; i < in->count; i++) h += sentence_h(in->text[i], width);
    return h;
}

double page_put_sentences(const page_sentences *in, box at, sheet *s) {
    at.h = 1.2 * SMALL;
    for (size_t i = 0; i < in->count; i++)
        at.y = sheet_lines(s, MARK_TEXT, at, INT_MAX, SMALL, false, in->text[i]);
    return at.y;
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
    double type = fmin(STYLE.type + 0.6, 0.98 * at->w / text_span(words, 1, true));
    sheet_text(s, MARK_HEADING, (box){at->x, at->y, at->w, ROW}, ALIGN_LEFT, type, words)->bold =
        true;
    at->y += ROW;
    at->h -= ROW;
}

double page_put_part(const page_part *part, box at, sheet *s) {
    if (!page_part_any(part)) return at.y;
    put_heading(part, "", &at, s);
    if (page_part_rows(part)) at.y = page_table(part->table, &STYLE, at, s);
    return page_put_sentences(&part->words, at, s);
}

/* Its table from a row on, as far as the height of at goes. Returns the row that is next; at->y:
 * where it ends, at->h: what is left. */
static size_t put_rows(const page_part *part, size_t row, box *at, sheet *s) {
    put_heading(part, row > 0 ? ", continued" : "", at, s);
    return page_table_from(part->table, &STYLE, row, at, s);
}

/* ---- Pages ---- */

static const double FOOT_LINE = 12; /* at the end of every page */

/* Of an A4 page; a narrower one has the same share. Printers leave some 5 mm at an edge white (common
 * practice, no source): on A5 it is 7.7 mm. */
static const double A4_MARGIN = 31;

double page_margin(double width) {
    return A4_MARGIN * fmin(1, width / (210 * POINTS_PER_MM));
}

void pages_free(pages *p) {
    for (size_t i = 0; i < p->count; i++) sheet_free(&p->sheets[i]);
    free(p->sheets);
}

sheet *page_now(pages *p) {
    return &p->sheets[p->count - 1];
}

void page_begin(pages *p) {
    need_room(&p->sheets, p->count, &p->room, sizeof *p->sheets);
    sheet_begin(&p->sheets[p->count++], p->width, p->height);
    p->at = (box){p->margin, p->margin, p->width - 2 * p->margin,
                  p->height - 2 * p->margin - FOOT_LINE};
}

void page_took(pages *p, double h) {
    p->at.y += h;
    p->at.h -= h;
}

enum { LINES_MOST = 8 };

void pages_put_words(pages *p, mark_kind kind, double size, bool bold, const char *text) {
    page_took(p, sheet_paragraph(page_now(p), kind, p->at, LINES_MOST, size, bold, text) - p->at.y);
}

/* Of a text of pieces, those that a line has room for, so that no number stands apart from its unit;
 * of a longer piece its words. */
static size_t pieces_line(const char *text, double size, double width) {
    static const char DOT[] = " · ";
    size_t length = text_line(text, size, false, width), end = 0;
    if (text[length] == '\0') return length;
    for (const char *at = text; (at = strstr(at, DOT)) != NULL; at++) {
        size_t to = (size_t)(at - text) + strlen(DOT) - 1;
        if (to > length) break;
        end = to;
    }
    return end > 0 ? end : length;
}

void pages_put_pieces(pages *p, double size, const char *text) {
    double h = 1.2 * size;
    for (int lines = 1; *text != '\0'; lines++) {
        size_t length = lines < LINES_MOST ? pieces_line(text, size, p->at.w) : strlen(text);
        char *line = need(strndup(text, length));
        sheet_text(page_now(p), MARK_NOTE, (box){p->at.x, p->at.y, p->at.w, h}, ALIGN_LEFT, size,
                   line);
        free(line);
        page_took(p, h);
        text += length + (text[length] == ' ');
    }
}

void page_room(pages *p, double h) {
    if (h > p->at.h) page_begin(p);
}

void pages_put_rows(pages *p, const page_part *part) {
    size_t rows = page_part_rows(part) ? table_rows(part->table) : 0;
    for (size_t row = 0; row < rows;) {
        size_t next = put_rows(part, row, &p->at, page_now(p));
        if (next < rows) page_begin(p);
        row = next > row ? next : row + 1; /* a row that no page has room for */
    }
}

const page_blank PAGE_SIGN[PAGE_SIGN_LINES] = {{"Date", 0, 0.26}, {"Signature", 0.32, 1}};

void pages_put_sign(pages *p) {
    sheet *s = page_now(p);
    double y = p->at.y + PAGES_SIGN_H - 12;
    for (size_t i = 0; i < PAGE_SIGN_LINES; i++) {
        double x = p->at.x + PAGE_SIGN[i].from * p->at.w, to = p->at.x + PAGE_SIGN[i].to * p->at.w;
        sheet_straight(s, MARK_RULE, 0.6, TONE_INK, (place){x, y}, (place){to, y});
        sheet_text(s, MARK_TEXT, (box){x, y + 1, to - x, 10.5}, ALIGN_LEFT, STYLE.type,
                   PAGE_SIGN[i].words)
            ->tone = TONE_GREY;
    }
    page_took(p, PAGES_SIGN_H);
}

void pages_number(pages *p) {
    char words[64];
    double y = p->height - p->margin - FOOT_LINE, w = p->width - 2 * p->margin;
    for (size_t i = 0; i < p->count && p->count > 1; i++) {
        snprintf(words, sizeof words, "page %zu of %zu", i + 1, p->count);
        sheet_text(&p->sheets[i], MARK_NOTE, (box){p->margin, y, 0.8 * w, FOOT_LINE}, ALIGN_LEFT,
                   7.2, p->title);
        sheet_text(&p->sheets[i], MARK_NOTE, (box){p->margin + 0.8 * w, y, 0.2 * w, FOOT_LINE},
                   ALIGN_RIGHT, 7.2, words);
    }
}
