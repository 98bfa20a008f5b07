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

/* ---- In HTML ---- */

static const char HTML_STYLE[] =
    "body{font:16px/1.45 system-ui,sans-serif;color:#16161a;background:#fff;max-width:60rem;"
    "margin:1.2rem auto;padding:0 1rem}"
    "h1{font-size:1.5rem;line-height:1.2;margin:0 0 .4rem;overflow-wrap:anywhere}"
    "h2{font-size:1.05rem;margin:1.4rem 0 .3rem}"
    "p{margin:.2rem 0;overflow-wrap:anywhere}img{width:100%;max-width:40rem;height:auto}"
    ".wide{overflow-x:auto}"
    "table{border-collapse:collapse;font-size:.9rem;font-variant-numeric:tabular-nums}"
    "th,td{padding:.15rem .5rem;text-align:right;white-space:nowrap;vertical-align:top}"
    "th{font-weight:600;border-bottom:1px solid #777}"
    ".l{text-align:left}td.n{white-space:normal;min-width:20rem;overflow-wrap:anywhere}"
    "tbody tr:nth-child(even){background:#eef0f2}"
    ".pair{display:flex;flex-wrap:wrap;gap:0 2.5rem}"
    "footer{font-size:.85rem;border-top:1px solid #777;margin-top:1.4rem;padding-top:.4rem}"
    "@media print{body{font-size:8pt;line-height:1.25;margin:0;max-width:none;padding:0}"
    "h1{font-size:14pt}h2{font-size:9pt;margin:6pt 0 1pt}table{font-size:7pt}"
    "th,td{padding:0 3pt}td.n{min-width:0;max-width:58mm;white-space:nowrap;overflow:hidden;"
    "text-overflow:ellipsis}img{width:auto}"
    "footer{font-size:6.5pt;margin-top:6pt}.wide{overflow:visible}"
    "tbody tr{-webkit-print-color-adjust:exact;print-color-adjust:exact}}";

void html_escaped(bytes *b, const char *text) {
    char *clean = clean_text(text);
    for (const char *c = clean; *c != '\0'; c++) {
        const char *with = *c == '&'    ? "&amp;"
                           : *c == '<'  ? "&lt;"
                           : *c == '>'  ? "&gt;"
                           : *c == '"'  ? "&quot;"
                           : *c == '\'' ? "&#39;"
                                        : NULL;
        if (with != NULL)
            bytes_add(b, with, strlen(with));
        else
            bytes_add(b, c, 1);
    }
    free(clean);
}

static void put_heads(const struct table *t, bytes *b) {
    bytes_print(b, "<thead><tr>");
    for (size_t i = 0; i < table_columns(t); i++) {
        const column *c = table_column(t, i);
        bytes_print(b, "<th scope=\"col\"%s>", c->kind == COLUMN_NUMBERS ? "" : " class=\"l\"");
        const char *between = "";
        for (int line = 0; line < table_head_lines(t); line++) {
            if (table_head(t, i, line)[0] == '\0') continue;
            bytes_print(b, "%s", between);
            html_escaped(b, table_head(t, i, line));
            between = "<br>";
        }
        bytes_print(b, "</th>");
    }
    bytes_print(b, "</tr></thead>\n");
}

static void put_row(const struct table *t, size_t row, bytes *b) {
    static const char *const CLASSES[] = {
        [COLUMN_NUMBERS] = "", [COLUMN_WORDS] = " class=\"l\"", [COLUMN_NOTES] = " class=\"l n\""};
    char buffer[CELL_BYTES];
    bytes_print(b, "<tr>");
    for (size_t i = 0; i < table_columns(t); i++) {
        bytes_print(b, "<td%s>", CLASSES[table_column(t, i)->kind]);
        html_escaped(b, table_cell(t, row, i, "", buffer));
        bytes_print(b, "</td>");
    }
    bytes_print(b, "</tr>\n");
}

void html_part(const page_part *part, bytes *b) {
    const struct table *t = part->table;
    if (t == NULL || table_rows(t) == 0) return;
    bytes_print(b, "<section>\n<h2>");
    html_escaped(b, part->heading);
    bytes_print(b, "</h2>\n<div class=\"wide\"><table>\n");
    if (table_head_lines(t) > 0) put_heads(t, b);
    bytes_print(b, "<tbody>\n");
    for (size_t row = 0; row < table_rows(t); row++) put_row(t, row, b);
    bytes_print(b, "</tbody>\n</table></div>\n</section>\n");
}

void html_sentences(const page_sentences *in, bytes *b) {
    for (size_t i = 0; i < in->count; i++) {
        bytes_print(b, "<p>");
        html_escaped(b, in->text[i]);
        bytes_print(b, "</p>\n");
    }
}

void html_begin(bytes *b, const char *title, double width, double height, const char *style) {
    bytes_print(b, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                   "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
                   "<title>");
    html_escaped(b, title);
    bytes_print(b,
                "</title>\n<style>%s@page{size:%.1fmm %.1fmm;margin:9mm 12mm}%s</style>\n</head>\n"
                "<body>\n<h1>",
                HTML_STYLE, width / 72 * 25.4, height / 72 * 25.4, style);
    html_escaped(b, title);
    bytes_print(b, "</h1>\n");
}

void html_end(bytes *b) {
    bytes_print(b, "</body>\n</html>\n");
}
