/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/svg.h"
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

static void put_tone(bytes *b, const char *name, mark_tone tone) {
    double opacity = look_opacity(tone);
    put_colour(b, name, look_tone(tone));
    if (opacity < 1) bytes_print(b, " %s-opacity=\"%g\"", name, opacity);
}

/* ---- Text ---- */

static void put_escaped(bytes *b, const char *text, size_t length) {
    char *part = need(strndup(text, length));
    html_escaped(b, part);
    free(part);
}

/* A line that is too long ends in a mark. */
static void put_line(bytes *b, const mark *m, const char *text, size_t length, bool more) {
    bool whole = !more && text_fits(text, length, m->size, m->bold, m->box.w) == length;
    if (!whole) length = text_fits(text, length, m->size, m->bold, m->box.w - m->size);
    put_escaped(b, text, length);
    if (!whole) bytes_print(b, "…");
}

/* Of the height of the type: from a line's middle down to where its letters stand. */
static const double DOWN = 0.35, LINE_H = 1.17;

static double text_x(const mark *m) {
    return m->box.x + (m->align == ALIGN_LEFT ? 0 : m->align == ALIGN_CENTRE ? 0.5 : 1) * m->box.w;
}

static void put_lines(bytes *b, const mark *m) {
    double y = m->box.y + (LINE_H / 2 + DOWN) * m->size, bottom = m->box.y + m->box.h;
    for (const char *text = m->text; *text != '\0'; y += LINE_H * m->size) {
        size_t length = text_line(text, m->size, m->bold, m->box.w);
        bool last = y + LINE_H * m->size > bottom;
        bytes_print(b, "<tspan");
        put_attribute(b, "x", text_x(m));
        put_attribute(b, "y", y);
        bytes_print(b, ">");
        put_line(b, m, text, length, last && text[length] != '\0');
        bytes_print(b, "%s</tspan>", !last && text[length] == ' ' ? " " : "");
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
    if (m->tone != TONE_INK) put_tone(b, "fill", m->tone);
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
    put_tone(b, "stroke", m->tone);
    put_attribute(b, "stroke-width", m->size);
    put_dash(b, m->pattern);
    put_places(b, s->places + m->first, m->count);
    bytes_print(b, "/>\n");
}

static void put_area(bytes *b, const sheet *s, const mark *m) {
    if (m->count == 0) return;
    bytes_print(b, "<path");
    put_tone(b, "fill", m->tone);
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
    [PATTERN_DOTTED] = {"dotted", "M2 2h0M11 2h0M6.5 11h0M15.5 11h0", 1.6, 18},
};

static bool has_tile(const mark *m) {
    return m->shape == SHAPE_BOX && m->size <= 0 && m->pattern != PATTERN_NONE && m->box.w >= 1;
}

static void put_box(bytes *b, const mark *m) {
    put_rectangle(b, m->box);
    if (m->size > 0) { /* a frame */
        bytes_print(b, " fill=\"none\"");
        put_tone(b, "stroke", m->tone);
        put_attribute(b, "stroke-width", m->size);
    } else
        put_tone(b, "fill", m->tone);
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
    put_tone(b, "fill", m->tone);
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
    const char *unit = s->on_paper ? "pt" : "";
    bytes_print(b, " width=\"%.9g%s\" height=\"%.9g%s\"", two_decimals(s->width), unit,
                two_decimals(s->height), unit);
    bytes_print(b, " viewBox=\"0 0 %.9g %.9g\" role=\"img\" font-family=\"sans-serif\"",
                two_decimals(s->width), two_decimals(s->height));
    put_tone(b, "fill", TONE_INK);
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
        if (m->shape == SHAPE_AREA) put_area(b, s, m);
        if (m->shape == SHAPE_BOX) put_box(b, m);
        if (m->shape == SHAPE_DOT) put_dot(b, m);
    }
    bytes_print(b, "</svg>\n");
}
