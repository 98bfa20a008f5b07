/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/html.h"
#include "answer/characters.h"
#include "answer/say.h"
#include "picture/ties.h"

#include <stdlib.h>
#include <string.h>

/* Bytes of a cell up to which its line is not broken, and of a word; letters that a third of a
 * telephone's width has room for. */
enum { SHORT = 24, WORD = 12, THIRD = 11 };

/* ---- The one style ---- */

/* A table whose rows are blocks. */
#define BLOCKS(table)                                                                              \
    table "{width:100%}" table " tbody{display:block}" table " thead{position:absolute;width:1px;" \
          "height:1px;overflow:hidden;clip-path:inset(50%)}" table                                 \
          " thead :is(tr,th,td){display:block;width:1px;overflow:hidden}" table                    \
          " tr{display:grid;grid-template-columns:repeat(auto-fill,minmax(5rem,1fr));"             \
          "gap:.25rem .8rem;align-items:end;padding:.5rem;border-top:1px solid #666}" table        \
          " :is(th,td){text-align:left;padding:0}" table                                           \
          " tbody th{grid-column:1/-1;font-size:1.05rem}" table " .n{grid-column:1/-1}" table      \
          " .m{grid-column:span 2}" table " .e{display:none}" table                                \
          " td[data-h]::before{content:attr(data-h);display:block;"                                \
          "font-size:.75rem;line-height:1.2;color:#44464c}" table                                  \
          " th[data-h]::before{content:attr(data-h) \" \"}"

/* Greys have at least 7 to 1 on the white and on the shade (WCAG 2, contrast). */
static const char STYLE[] =
    "body{font:16px/1.45 system-ui,sans-serif;color:#16161a;background:#fff;max-width:62rem;"
    "margin:1.2rem auto;padding:0 1rem;-webkit-text-size-adjust:100%;text-size-adjust:100%}"
    "h1{font-size:1.5rem;line-height:1.2;margin:0 0 .4rem;overflow-wrap:anywhere}"
    "p{margin:.2rem 0;overflow-wrap:anywhere}"
    "nav ul{display:flex;flex-wrap:wrap;gap:.2rem 1.2rem;list-style:none;margin:.8rem 0;padding:0}"
    "a{color:#0b4a82}a:focus-visible,section:focus-visible{outline:3px solid #0b4a82;"
    "outline-offset:2px}"
    "img{display:block;width:100%;max-width:45rem;height:auto;margin:.6rem 0}"
    "section{margin:1.4rem 0 0}"
    "table{border-collapse:collapse;font-size:.9rem;font-variant-numeric:tabular-nums}"
    "caption{padding:0}h2{font-size:1.05rem;font-weight:700;text-align:left;margin:0;padding:0 0 "
    ".3rem}"
    "th,td{padding:.15rem .5rem;text-align:right;vertical-align:top}"
    "th{font-weight:600}thead th,thead td{border-bottom:1px solid #666;vertical-align:bottom}"
    "thead small{display:block;font-size:.85rem;font-weight:400}"
    ".n,.a{overflow-wrap:anywhere}.l{text-align:left}.n{min-width:min(8rem,30vw)}.s{white-space:"
    "pre}"
    ".k{white-space:nowrap}"
    "tbody tr:nth-child(even){background:#eef0f2}"
    ".pair{display:flex;flex-wrap:wrap;gap:0 2.5rem}"
    ".sign{display:flex;gap:1.5rem;margin-top:3rem}.sign "
    "span{border-top:1px solid #666;font-size:.85rem}"
    "footer{font-size:.85rem;border-top:1px solid #666;margin-top:1.4rem;padding-top:.4rem}"
    "footer h2{font-size:.95rem;padding:.4rem 0 0}"
    "@media screen and (max-width:640px){" BLOCKS(
        ".b") ".s{white-space:pre-wrap}.pair{display:block}}@media print,(min-width:641px){.pair "
              "caption{"
              "white-space:nowrap}}"
              "@media screen and (max-width:1000px){" BLOCKS(
                  ".w") ".w .s{white-space:pre-wrap}}"
                        "@media "
                        "print{body{font-size:9.5pt;line-height:1.3;margin:0;max-width:none;"
                        "padding:0}"
                        "nav{display:none}h1{font-size:15pt}h2,footer "
                        "h2{font-size:10pt}table{font-size:8.5pt}"
                        "th,td{padding:.4mm 1.2mm}thead "
                        "small{font-size:8.5pt}section{margin-top:4mm}"
                        "img{max-width:none}tr,img,footer "
                        "p,.t{break-inside:avoid}caption,h2{break-after:avoid}"
                        "footer{font-size:8.5pt;margin-top:4mm}"
                        "tbody tr{-webkit-print-color-adjust:exact;print-color-adjust:exact}}";

/* A sentence; tied: with what keeps its numbers and units in one line. */
static void put_letters(bytes *b, const char *text, bool tied) {
    char *clean = clean_text(text);
    for (const char *c = clean; *c != '\0'; c++) {
        const char *with = tied && text_ties(clean, (size_t)(c - clean)) ? "&nbsp;"
                           : *c == '&'                                   ? "&amp;"
                           : *c == '<'                                   ? "&lt;"
                           : *c == '>'                                   ? "&gt;"
                           : *c == '"'                                   ? "&quot;"
                           : *c == '\''                                  ? "&#39;"
                                                                         : NULL;
        if (with != NULL)
            bytes_add(b, with, strlen(with));
        else
            bytes_add(b, c, 1);
    }
    free(clean);
}

void html_escaped(bytes *b, const char *text) {
    put_letters(b, text, false);
}

static bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

/* "2026-10-17", "3-11": what a line should not end within. */
static bool is_range(const char *word, size_t length) {
    for (size_t i = 1; i + 1 < length; i++)
        if (word[i] == '-' && is_digit(word[i - 1]) && is_digit(word[i + 1])) return true;
    return false;
}

/* A cell of several lines. */
static void put_words(bytes *b, const char *text) {
    for (size_t length; *text != '\0'; text += length) {
        length = strcspn(text, " ");
        bool whole = length <= SHORT && is_range(text, length);
        char *word = need(strndup(text, length));
        if (whole) bytes_print(b, "<span class=\"k\">");
        put_letters(b, word, false);
        if (whole) bytes_print(b, "</span>");
        free(word);
        if (text[length] == ' ') bytes_print(b, text_ties(text, length) ? "&nbsp;" : " "), length++;
    }
}

/* ---- The whole ---- */

void html_begin(bytes *b, const char *title, double width, double height) {
    html_begin_renewed(b, title, width, height, 0);
}

void html_begin_renewed(bytes *b, const char *title, double width, double height, int seconds) {
    bytes_print(b, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                   "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n");
    if (seconds > 0) bytes_print(b, "<meta http-equiv=\"refresh\" content=\"%d\">\n", seconds);
    bytes_print(b, "<title>");
    html_escaped(b, title);
    bytes_print(b,
                "</title>\n<style>%s@page{size:%.1fmm %.1fmm;margin:11mm 12mm}</style>\n</head>\n"
                "<body>\n<main>\n<h1>",
                STYLE, width / POINTS_PER_MM, height / POINTS_PER_MM);
    html_escaped(b, title);
    bytes_print(b, "</h1>\n");
}

void html_end(bytes *b) {
    bytes_print(b, "</main>\n</body>\n</html>\n");
}

void html_line(bytes *b, const char *text, bool strong) {
    bytes_print(b, strong ? "<p><strong>" : "<p>");
    put_letters(b, text, true);
    bytes_print(b, strong ? "</strong></p>\n" : "</p>\n");
}

static void put_sign(bytes *b) {
    bytes_print(b, "<p class=\"sign\">");
    for (size_t i = 0; i < PAGE_SIGN_LINES; i++)
        bytes_print(b, "<span style=\"flex:%.0f\">%s</span>",
                    100 * (PAGE_SIGN[i].to - PAGE_SIGN[i].from), PAGE_SIGN[i].words);
    bytes_print(b, "</p>\n");
}

void html_foot(bytes *b, const page_sentences *const *parts, size_t count) {
    put_sign(b);
    bytes_print(b, "<footer>\n");
    for (size_t i = 0; i < count; i++) {
        if (parts[i]->count > 0 && parts[i]->heading != NULL)
            bytes_print(b, "<h2>%s</h2>\n", parts[i]->heading);
        for (size_t k = 0; k < parts[i]->count; k++) html_line(b, parts[i]->text[k], false);
    }
    bytes_print(b, "</footer>\n");
}

/* ---- Tables ---- */

/* Where a telephone has not room for its columns beside each other, and where a tablet has not: the
 * class whose rows become blocks there. */
static const char *blocks_of(const struct table *t) {
    return table_columns(t) > 7 ? "w" : table_columns(t) > 3 ? "b" : "";
}

/* A name to link to: the heading's letters up to a comma. */
static void put_name(bytes *b, const char *heading) {
    for (const char *c = heading; *c != '\0' && *c != ','; c++) {
        char lower = *c >= 'A' && *c <= 'Z' ? (char)(*c + ('a' - 'A')) : *c;
        if (lower == ' ') lower = '-';
        if ((lower >= 'a' && lower <= 'z') || lower == '-') bytes_add(b, &lower, 1);
    }
}

void html_contents(bytes *b, const page_part *const *parts, size_t count) {
    size_t there = 0;
    for (size_t i = 0; i < count; i++) there += page_part_any(parts[i]);
    if (there < 3) return;
    bytes_print(b, "<nav aria-label=\"On this page\"><ul>\n");
    for (size_t i = 0; i < count; i++) {
        if (!page_part_any(parts[i])) continue;
        bytes_print(b, "<li><a href=\"#");
        put_name(b, parts[i]->heading);
        bytes_print(b, "\">");
        html_escaped(b, parts[i]->heading);
        bytes_print(b, "</a></li>\n");
    }
    bytes_print(b, "</ul></nav>\n");
}

static bool has_head(const struct table *t, size_t at) {
    for (int line = 0; line < table_head_lines(t); line++)
        if (table_head(t, at, line)[0] != '\0') return true;
    return false;
}

/* A column's head as one line of words, its unit last. */
static void put_head_words(bytes *b, const struct table *t, size_t at) {
    const char *between = "";
    for (int line = 0; line < table_head_lines(t); line++) {
        const char *words = table_head(t, at, line);
        if (words[0] == '\0') continue;
        bool unit = words == table_column(t, at)->unit && between[0] != '\0';
        bytes_print(b, "%s", unit ? ", " : between);
        put_letters(b, words, true);
        between = " ";
    }
}

static void put_head(bytes *b, const struct table *t, size_t at) {
    const column *c = table_column(t, at);
    const char *between = "";
    if (!has_head(t, at)) {
        bytes_print(b, "<td role=\"cell\"></td>");
        return;
    }
    bytes_print(b, "<th scope=\"col\" role=\"columnheader\"%s>",
                c->kind == COLUMN_NUMBERS ? "" : " class=\"l\"");
    for (int line = 0; line < table_head_lines(t); line++) {
        const char *words = table_head(t, at, line);
        if (words[0] == '\0') continue;
        bool unit = words == c->unit;
        bytes_print(b, "%s", unit ? "<small>" : between);
        html_escaped(b, words);
        if (unit) bytes_print(b, "</small>");
        between = " ";
    }
    bytes_print(b, "</th>");
}

static void put_heads(bytes *b, const struct table *t) {
    bytes_print(b, "<thead role=\"rowgroup\"><tr role=\"row\">");
    for (size_t i = 0; i < table_columns(t); i++) put_head(b, t, i);
    bytes_print(b, "</tr></thead>\n");
}

static size_t longest_word(const char *text) {
    size_t longest = 0;
    for (; *text != '\0'; text += *text != '\0') {
        size_t length = strcspn(text, " -");
        longest = length > longest ? length : longest;
        text += length;
    }
    return longest;
}

/* Whether in a block a cell has two thirds of the width; a long note has all of it. */
static bool is_wide(const struct table *t, size_t at, const char *text) {
    bool note = table_column(t, at)->kind == COLUMN_NOTES;
    return at > 0 && (note ? strlen(text) <= SHORT : text_width(text) > THIRD);
}

static void put_cell(bytes *b, const struct table *t, size_t row, size_t at) {
    static const char *const CLASSES[] = {
        [COLUMN_NUMBERS] = "", [COLUMN_WORDS] = "l", [COLUMN_NOTES] = "l n"};
    char buffer[CELL_BYTES];
    const char *text = table_cell(t, row, at, "", buffer), *tag = at == 0 ? "th" : "td";
    const char *length = text[0] == '\0'             ? " e"
                         : longest_word(text) > WORD ? " a"
                         : strlen(text) <= SHORT     ? " s"
                                                     : "";
    bytes_print(b, at == 0 ? "<th scope=\"row\" role=\"rowheader\"" : "<td role=\"cell\"");
    bool wide = is_wide(t, at, text);
    bytes_print(b, " class=\"%s%s%s\"", CLASSES[table_column(t, at)->kind], length,
                wide ? " m" : "");
    if (blocks_of(t)[0] != '\0' && has_head(t, at)) {
        bytes_print(b, " data-h=\"");
        put_head_words(b, t, at);
        bytes_print(b, "\"");
    }
    bytes_print(b, ">");
    length[0] != '\0' && length[1] == 's' ? html_escaped(b, text) : put_words(b, text);
    bytes_print(b, "</%s>", tag);
}

static void put_table(bytes *b, const page_part *part) {
    const struct table *t = part->table;
    const char *blocks = blocks_of(t);
    bytes_print(b,
                *blocks == '\0' ? "<table>\n<caption><h2>" : "<table class=\"%s\">\n<caption><h2>",
                blocks);
    html_escaped(b, part->heading);
    bytes_print(b, "</h2></caption>\n");
    if (table_head_lines(t) > 0) put_heads(b, t);
    bytes_print(b, "<tbody role=\"rowgroup\">\n");
    for (size_t row = 0; row < table_rows(t); row++) {
        bytes_print(b, "<tr role=\"row\">");
        for (size_t i = 0; i < table_columns(t); i++) put_cell(b, t, row, i);
        bytes_print(b, "</tr>\n");
    }
    bytes_print(b, "</tbody>\n</table>\n");
}

void html_part(bytes *b, const page_part *part) {
    if (!page_part_any(part)) return;
    enum { KEPT_ROWS = 12 }; /* no page ends within so few */
    bool kept = part->table == NULL || table_rows(part->table) <= KEPT_ROWS;
    bytes_print(b, kept ? "<section class=\"t\" id=\"" : "<section id=\"");
    put_name(b, part->heading);
    bytes_print(b, "\">\n");
    if (page_part_rows(part))
        put_table(b, part);
    else {
        bytes_print(b, "<h2>");
        html_escaped(b, part->heading);
        bytes_print(b, "</h2>\n");
    }
    for (size_t i = 0; i < part->words.count; i++) html_line(b, part->words.text[i], false);
    bytes_print(b, "</section>\n");
}

/* ---- Pictures ---- */

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

/* A page has a margin of 1 rem at both sides; an A5 sheet is printed as a middling screen. */
static const char *const MEDIA[HTML_WIDTHS - 1] = {
    "screen and (max-width:480px)",
    "screen and (max-width:767px), print and (max-width:560px)",
};
const double HTML_ROOM_PX[HTML_WIDTHS] = {320 - 32, 481 - 32, 720};

static void put_drawing(bytes *b, const bytes *svg) {
    bytes_print(b, "\"data:image/svg+xml;base64,");
    put_base64(b, svg);
    bytes_print(b, "\">\n");
}

void html_picture(bytes *b, const bytes drawn[HTML_WIDTHS], const char *alt) {
    bytes_print(b, "<picture>\n");
    for (int i = 0; i + 1 < HTML_WIDTHS; i++) {
        bytes_print(b, "<source media=\"%s\" srcset=", MEDIA[i]);
        put_drawing(b, &drawn[i]);
    }
    bytes_print(b, "<img alt=\"");
    html_escaped(b, alt);
    bytes_print(b, "\" src=");
    put_drawing(b, &drawn[HTML_WIDTHS - 1]);
    bytes_print(b, "</picture>\n");
}
