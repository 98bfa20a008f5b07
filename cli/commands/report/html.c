/* The page as one HTML file: no script, nothing from outside.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/report/html.h"
#include "picture/marks.h"

#include <stdlib.h>
#include <string.h>

static const char STYLE[] =
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

static void put_escaped(bytes *b, const char *text) {
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

/* RFC 4648. */
static void put_base64(bytes *b, const bytes *in) {
    static const char DIGITS[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    for (size_t i = 0; i < in->count; i += 3) {
        size_t left = in->count - i;
        unsigned bits = (unsigned)(unsigned char)in->data[i] << 16;
        if (left > 1) bits |= (unsigned)(unsigned char)in->data[i + 1] << 8;
        if (left > 2) bits |= (unsigned char)in->data[i + 2];
        const char out[4] = {DIGITS[bits >> 18], DIGITS[bits >> 12 & 63],
                             left > 1 ? DIGITS[bits >> 6 & 63] : '=',
                             left > 2 ? DIGITS[bits & 63] : '='};
        bytes_add(b, out, 4);
    }
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
            put_escaped(b, table_head(t, i, line));
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
        put_escaped(b, table_cell(t, row, i, "", buffer));
        bytes_print(b, "</td>");
    }
    bytes_print(b, "</tr>\n");
}

static void put_table(const report_part *part, bytes *b) {
    const struct table *t = part->table;
    if (t == NULL || table_rows(t) == 0) return;
    bytes_print(b, "<section>\n<h2>");
    put_escaped(b, part->heading);
    bytes_print(b, "</h2>\n<div class=\"wide\"><table>\n");
    if (table_head_lines(t) > 0) put_heads(t, b);
    bytes_print(b, "<tbody>\n");
    for (size_t row = 0; row < table_rows(t); row++) put_row(t, row, b);
    bytes_print(b, "</tbody>\n</table></div>\n</section>\n");
}

static void put_sentences(const report_sentences *in, bytes *b) {
    for (size_t i = 0; i < in->count; i++) {
        bytes_print(b, "<p>");
        put_escaped(b, in->text[i]);
        bytes_print(b, "</p>\n");
    }
}

static void put_chart(const run_picture *p, const bytes *chart, bytes *b) {
    bytes_print(b,
                "<img alt=\"Chart of the run: %zu jars, strength from %.1f to %.1f %% vol at 20 "
                "°C; the figures stand in the table of jars\" src=\"data:image/svg+xml;base64,",
                p->count, p->jars[0].strength_pct, p->jars[p->count - 1].strength_pct);
    put_base64(b, chart);
    bytes_print(b, "\">\n");
}

/* What is left of the sheet for the chart. */
static void put_paper(double width, double height, bytes *b) {
    const double used_mm = 213;
    bytes_print(b, "@page{size:%.1fmm %.1fmm;margin:9mm 12mm}@media print{img{max-height:%.0fmm}}",
                width / 72 * 25.4, height / 72 * 25.4, height / 72 * 25.4 - used_mm);
}

void report_html(const report *r, const bytes *chart, double width, double height, bytes *b) {
    char words[256];
    const run_picture *p = r->run;
    bytes_print(b, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                   "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
                   "<title>");
    put_escaped(b, p->title);
    bytes_print(b, "</title>\n<style>%s", STYLE);
    put_paper(width, height, b);
    bytes_print(b, "</style>\n</head>\n<body>\n<h1>");
    put_escaped(b, p->title);
    bytes_print(b, "</h1>\n<p>");
    put_escaped(b, r->facts == NULL ? "" : r->facts);
    bytes_print(b, "</p>\n<p><strong>");
    picture_words_collected(p, words, sizeof words);
    put_escaped(b, words);
    bytes_print(b, "</strong></p>\n");
    put_chart(p, chart, b);
    put_table(&r->jars, b);
    bytes_print(b, "<div class=\"pair\">\n");
    put_table(&r->fractions, b);
    put_table(&r->balance, b);
    put_table(&r->dilution, b);
    put_table(&r->uncertainty, b);
    bytes_print(b, "</div>\n<footer>\n");
    put_sentences(&r->notes, b);
    put_sentences(&r->cautions, b);
    put_sentences(&r->sources, b);
    bytes_print(b, "</footer>\n</body>\n</html>\n");
}
