/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/svg.h"
#include "answer/characters.h"
#include "answer/say.h"
#include "picture/html.h"
#include "picture/look.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- Numbers and attributes ---- */

/* Two decimals of a px are enough. */
static double two_decimals(double value) {
    return round(value * 100) / 100 + 0.0; /* no -0 */
}

static void put_attribute(bytes *b, const char *name, double value) {
    bytes_print(b, " %s=\"%.9g\"", name, two_decimals(value));
}

static void put_colour(bytes *b, const char *name, look_colour c) {
    bytes_print(b, " %s=\"#%02x%02x%02x\"", name, c.red, c.green, c.blue);
}

/* ---- Text ---- */

/* Advances of the characters from space to ~ in hundredths of the type's height: DejaVu Sans 2.37, as
 * wide a font as a screen has for "sans-serif"; its bold is a little wider. */
static const unsigned char ADVANCES[] = {
    32, 40, 46, 84, 64, 95, 78, 27, 39,  39, 50, 84, 32, 36, 32, 34, 64, 64, 64, 64, 64, 64, 64, 64,
    64, 64, 34, 34, 84, 84, 84, 53, 100, 68, 69, 70, 77, 63, 58, 77, 75, 29, 29, 66, 56, 86, 75, 79,
    60, 79, 69, 63, 61, 73, 68, 99, 69,  61, 69, 39, 34, 39, 84, 50, 50, 61, 63, 55, 63, 62, 35, 63,
    63, 28, 28, 58, 28, 97, 63, 61, 63,  63, 41, 52, 39, 63, 59, 82, 59, 59, 52, 64, 34, 64, 84};
static const double BOLD_WIDER = 1.13, OTHER = 0.75, WIDE = 1.0, MARK_W = 1.0;

static double advance(const char *text, size_t length, bool bold) {
    if (length == 1 && *text >= ' ' && *text <= '~')
        return ADVANCES[*text - ' '] / 100.0 * (bold ? BOLD_WIDER : 1);
    return utf8_width(text, length) == 2 ? WIDE : OTHER;
}

/* Bytes of the characters at the beginning that fit a width in heights of the type. */
static size_t bytes_within(const char *text, size_t length, bool bold, double width) {
    size_t at = 0;
    double used = 0;
    while (at < length) {
        size_t next = utf8_bytes(text + at); /* never 0: the text was made clean */
        used += advance(text + at, next, bold);
        if (used > width + 1e-9) break;
        at += next;
    }
    return at;
}

static void put_escaped(bytes *b, const char *text, size_t length) {
    char *part = need(strndup(text, length));
    html_escaped(b, part);
    free(part);
}

/* A line that is too long ends in a mark. */
static void put_line(bytes *b, const mark *m, const char *text, size_t length, bool more) {
    double width = m->box.w / m->size;
    bool whole = !more && bytes_within(text, length, m->bold, width) == length;
    if (!whole) length = bytes_within(text, length, m->bold, width - MARK_W);
    put_escaped(b, text, length);
    if (!whole) bytes_print(b, "…");
}

/* What of a paragraph stands in its next line: up to a space where there is one. */
static size_t line_of(const mark *m, const char *text) {
    size_t length = strlen(text), fits = bytes_within(text, length, m->bold, m->box.w / m->size);
    if (fits == length) return length;
    for (size_t at = fits; at > 0; at--)
        if (text[at] == ' ') return at;
    return fits > 0 ? fits : utf8_bytes(text);
}

/* Of the height of the type: from a line's middle down to where its letters stand. */
static const double DOWN = 0.35, LINE_H = 1.17;

static double text_x(const mark *m) {
    return m->box.x + (m->align == ALIGN_LEFT ? 0 : m->align == ALIGN_CENTRE ? 0.5 : 1) * m->box.w;
}

static void put_lines(bytes *b, const mark *m) {
    double y = m->box.y + (LINE_H / 2 + DOWN) * m->size, bottom = m->box.y + m->box.h;
    for (const char *text = m->text; *text != '\0'; y += LINE_H * m->size) {
        size_t length = line_of(m, text);
        bool last = y + LINE_H * m->size > bottom;
        bytes_print(b, "<tspan");
        put_attribute(b, "x", text_x(m));
        put_attribute(b, "y", y);
        bytes_print(b, ">");
        put_line(b, m, text, length, last && text[length] != '\0');
        bytes_print(b, "</tspan>");
        if (last) return;
        text += length;
        text += *text == ' ';
    }
}

static void put_text(bytes *b, const mark *m) {
    static const char *const ANCHORS[] = {[ALIGN_LEFT] = "",
                                          [ALIGN_CENTRE] = " text-anchor=\"middle\"",
                                          [ALIGN_RIGHT] = " text-anchor=\"end\""};
    if (m->text[0] == '\0' || m->box.w <= 0) return;
    bytes_print(b, "<text%s%s", ANCHORS[m->align], m->bold ? " font-weight=\"bold\"" : "");
    put_attribute(b, "font-size", m->size);
    if (m->tone != TONE_INK) put_colour(b, "fill", look_tone(m->tone));
    if (!m->wraps) {
        put_attribute(b, "x", text_x(m));
        put_attribute(b, "y", m->box.y + m->box.h / 2 + DOWN * m->size);
    }
    bytes_print(b, ">");
    if (m->wraps)
        put_lines(b, m);
    else
        put_line(b, m, m->text, strlen(m->text), false);
    bytes_print(b, "</text>\n");
}

/* ---- Lines, boxes, dots ---- */

static void put_dash(bytes *b, mark_pattern pattern) {
    const double *lengths;
    size_t count = look_dash(pattern, &lengths);
    for (size_t i = 0; i < count; i++)
        bytes_print(b, "%s%g%s", i == 0 ? " stroke-dasharray=\"" : " ", lengths[i],
                    i + 1 == count ? "\"" : "");
}

static void put_places(bytes *b, const place *p, size_t count) {
    double x = two_decimals(p[0].x), y = two_decimals(p[0].y);
    bytes_print(b, " d=\"M%.9g %.9g", x, y);
    for (size_t i = 1; i < count; i++) {
        double next_x = two_decimals(p[i].x), next_y = two_decimals(p[i].y);
        if (next_y == y)
            bytes_print(b, "H%.9g", next_x);
        else if (next_x == x)
            bytes_print(b, "V%.9g", next_y);
        else
            bytes_print(b, "L%.9g %.9g", next_x, next_y);
        x = next_x;
        y = next_y;
    }
    bytes_print(b, "\"");
}

static void put_path(bytes *b, const sheet *s, const mark *m) {
    if (m->count == 0) return;
    bytes_print(b, "<path fill=\"none\"");
    put_colour(b, "stroke", look_tone(m->tone));
    put_attribute(b, "stroke-width", m->size);
    put_dash(b, m->pattern);
    put_places(b, s->places + m->first, m->count);
    bytes_print(b, "/>\n");
}

static void put_rectangle(bytes *b, box at) {
    bytes_print(b, "<rect");
    put_attribute(b, "x", at.x);
    put_attribute(b, "y", at.y);
    put_attribute(b, "width", at.w);
    put_attribute(b, "height", at.h);
}

/* Tiles of 7 px stand where their multiples are, so that neighbours of one kind go on. */
#define RISING  "M-1 1L1-1M0 7L7 0M6 8L8 6"
#define FALLING "M-1 6L1 8M0 0L7 7M6-1L8 1"

static const struct {
    const char *name, *path;
    double width, size; /* of its lines, of its tile */
} PATTERNS[] = {
    [PATTERN_CROSSED] = {"crossed", RISING FALLING, 0.6, 7},
    [PATTERN_RISING] = {"rising", RISING, 0.6, 7},
    [PATTERN_FALLING] = {"falling", FALLING, 0.6, 7},
    [PATTERN_DOTTED] = {"dotted", "M2 2h0M11 2h0M6.5 11h0", 1.6, 18},
};

static bool has_tile(const mark *m) {
    return m->shape == SHAPE_BOX && m->size <= 0 && m->pattern != PATTERN_NONE && m->box.w >= 1;
}

static void put_box(bytes *b, const mark *m) {
    put_rectangle(b, m->box);
    if (m->size > 0) { /* a frame */
        bytes_print(b, " fill=\"none\"");
        put_colour(b, "stroke", look_tone(m->tone));
        put_attribute(b, "stroke-width", m->size);
    } else
        put_colour(b, "fill", look_tone(m->tone));
    bytes_print(b, "/>\n");
    if (!has_tile(m)) return;
    put_rectangle(b, m->box);
    bytes_print(b, " fill=\"url(#%s)\"/>\n", PATTERNS[m->pattern].name);
}

static void put_dot(bytes *b, const mark *m) {
    bytes_print(b, "<circle");
    put_attribute(b, "cx", m->box.x + m->size / 2);
    put_attribute(b, "cy", m->box.y + m->size / 2);
    put_attribute(b, "r", m->size / 2);
    put_colour(b, "fill", look_tone(m->tone));
    bytes_print(b, "/>\n");
}

/* ---- The whole ---- */

static void put_tiles(bytes *b, const sheet *s) {
    bool used[sizeof PATTERNS / sizeof PATTERNS[0]] = {false};
    for (size_t i = 0; i < s->count; i++)
        if (has_tile(&s->marks[i])) used[s->marks[i].pattern] = true;
    for (size_t i = 0; i < sizeof PATTERNS / sizeof PATTERNS[0]; i++) {
        if (!used[i]) continue;
        double size = PATTERNS[i].size;
        bytes_print(b,
                    "<pattern id=\"%s\" width=\"%g\" height=\"%g\" patternUnits=\"userSpaceOnUse\">"
                    "<path fill=\"none\" stroke-linecap=\"%s\" d=\"%s\"",
                    PATTERNS[i].name, size, size, i == PATTERN_DOTTED ? "round" : "butt",
                    PATTERNS[i].path);
        put_attribute(b, "stroke-width", PATTERNS[i].width);
        put_colour(b, "stroke", LOOK_PATTERN);
        bytes_print(b, "/></pattern>\n");
    }
}

static void put_beginning(bytes *b, const sheet *s, const char *title) {
    bytes_print(b, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                   "<svg xmlns=\"http://www.w3.org/2000/svg\"");
    put_attribute(b, "width", s->width);
    put_attribute(b, "height", s->height);
    bytes_print(b, " viewBox=\"0 0 %.9g %.9g\" role=\"img\" font-family=\"sans-serif\"",
                two_decimals(s->width), two_decimals(s->height));
    put_colour(b, "fill", look_tone(TONE_INK));
    bytes_print(b, " aria-labelledby=\"title desc\">\n<title id=\"title\">");
    html_escaped(b, title);
    bytes_print(b, "</title>\n<desc id=\"desc\">");
    html_escaped(b, s->describes == NULL ? title : s->describes);
    bytes_print(b, "</desc>\n");
}

void svg_write(const sheet *s, const char *title, bytes *b) {
    put_beginning(b, s, title);
    put_tiles(b, s);
    bytes_print(b, "<rect width=\"100%%\" height=\"100%%\" fill=\"#fff\"/>\n");
    for (size_t i = 0; i < s->count; i++) {
        const mark *m = &s->marks[i];
        if (m->shape == SHAPE_TEXT) put_text(b, m);
        if (m->shape == SHAPE_LINE) put_path(b, s, m);
        if (m->shape == SHAPE_BOX) put_box(b, m);
        if (m->shape == SHAPE_DOT) put_dot(b, m);
    }
    bytes_print(b, "</svg>\n");
}
