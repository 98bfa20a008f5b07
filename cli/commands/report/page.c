/* The page on paper.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/report/page.h"
#include "picture/chart.h"
#include "picture/page.h"

#include <math.h>

#define ROW 9.0
static const double MARGIN = 31, GAP = 8, FACTS = 8, CHART_TYPE = 8;

/* ---- Tables ---- */

static const table_style STYLE = {.type = 7.2,
                                  .row_h = ROW,
                                  .gap = 0.5,
                                  .rule = 0.6,
                                  .rule_at = 0.5,
                                  .rule_tone = TONE_GREY,
                                  .missing = ""};

static double table_h(const report_part *part) {
    bool any = part->table != NULL && table_rows(part->table) > 0;
    return any ? ROW + page_table_height(part->table, &STYLE) + 1 : 0;
}

static double put_table(const report_part *part, box at, sheet *s) {
    if (table_h(part) == 0) return at.y;
    sheet_text(s, MARK_HEADING, (box){at.x, at.y, at.w, ROW}, ALIGN_LEFT, STYLE.type + 0.6,
               part->heading)
        ->bold = true;
    at.y += ROW;
    return page_table(part->table, &STYLE, at, s);
}

/* ---- Sentences ---- */

static const double SMALL = 6.6;

static double sentences_h(const report_sentences *in, double width) {
    double h = 0;
    for (size_t i = 0; i < in->count; i++)
        h += text_lines(in->text[i], SMALL, width) * line_height(SMALL) * 0.9;
    return h;
}

static double put_sentences(const report_sentences *in, box at, sheet *s) {
    double y = at.y;
    for (size_t i = 0; i < in->count; i++) {
        double h = text_lines(in->text[i], SMALL, at.w) * line_height(SMALL) * 0.9;
        sheet_text(s, MARK_TEXT, (box){at.x, y, at.w, h}, ALIGN_LEFT, SMALL, in->text[i])->wraps =
            true;
        y += h;
    }
    return y;
}

/* ---- The page ---- */

static double put_head(const report *r, box page, sheet *s) {
    char words[256];
    const run_picture *p = r->run;
    double y = page.y;
    sheet_text(s, MARK_TITLE, (box){page.x, y, page.w, 22}, ALIGN_LEFT, 15, p->title)->bold = true;
    y += 22;
    int lines = text_lines(r->facts == NULL ? "" : r->facts, FACTS, page.w);
    if (lines > 3) lines = 3;
    double h = lines * line_height(FACTS) * 0.9;
    if (lines > 0)
        sheet_text(s, MARK_NOTE, (box){page.x, y, page.w, h}, ALIGN_LEFT, FACTS, r->facts)->wraps =
            true;
    y += h;
    picture_words_collected(p, words, sizeof words);
    sheet_text(s, MARK_NOTE, (box){page.x, y, page.w, 12}, ALIGN_LEFT, FACTS, words)->bold = true;
    return y + 12 + 0.6 * GAP;
}

/* Fractions and how sure at the left, balance and water at the right. */
static double lower_h(const report *r) {
    return fmax(table_h(&r->fractions) + GAP + table_h(&r->uncertainty),
                table_h(&r->balance) + GAP + table_h(&r->dilution));
}

static void put_lower(const report *r, box at, sheet *s) {
    double left = 0.58 * at.w - GAP, x = at.x + 0.58 * at.w + GAP, right = 0.42 * at.w - GAP;
    double y = put_table(&r->fractions, (box){at.x, at.y, left, at.h}, s);
    put_table(&r->uncertainty, (box){at.x, y + GAP, 0.62 * left, at.h}, s);
    y = put_table(&r->balance, (box){x, at.y, right, at.h}, s);
    put_table(&r->dilution, (box){x, y + (y > at.y ? GAP : 0), right, at.h}, s);
}

static double foot_h(const report *r, double width) {
    return sentences_h(&r->notes, width) + sentences_h(&r->cautions, width) +
           sentences_h(&r->sources, width) + 8;
}

static void put_foot(const report *r, box at, sheet *s) {
    sheet_straight(s, MARK_RULE, 0.6, TONE_GREY, (place){at.x, at.y}, (place){at.x + at.w, at.y});
    at.y = put_sentences(&r->notes, (box){at.x, at.y + 4, at.w, at.h}, s);
    at.y = put_sentences(&r->cautions, (box){at.x, at.y + 2, at.w, at.h}, s);
    put_sentences(&r->sources, (box){at.x, at.y + 2, at.w, at.h}, s);
}

void report_page(const report *r, double width, double height, sheet *s) {
    const run_picture *p = r->run;
    chart_axes axes = chart_axes_for(p, 1);
    box page = {MARGIN, MARGIN, width - 2 * MARGIN, height - 2 * MARGIN};
    sheet_begin(s, width, height);
    double y = put_head(r, page, s), bottom = page.y + page.h;
    double foot = foot_h(r, page.w), lower = lower_h(r), jars = table_h(&r->jars);
    double chart = fmin(bottom - y - foot - lower - jars - 3 * GAP, 400);
    chart_run(p, (box){page.x, y, page.w, chart}, CHART_TYPE, &axes, s);
    y += chart + GAP;
    y = put_table(&r->jars, (box){page.x, y, page.w, jars}, s) + GAP;
    put_lower(r, (box){page.x, y, page.w, lower}, s);
    put_foot(r, (box){page.x, bottom - foot, page.w, foot}, s);
}
