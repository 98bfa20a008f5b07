/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "picture/marks.h"
#include "answer/characters.h"
#include "answer/say.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

void sheet_begin(sheet *s, double width, double height) {
    *s = (sheet){.width = width, .height = height};
}

void sheet_free(sheet *s) {
    for (size_t i = 0; i < s->count; i++) free(s->marks[i].text);
    free(s->marks);
    free(s->places);
    *s = (sheet){0};
}

mark *sheet_mark(sheet *s, mark_kind kind, mark_shape shape) {
    need_room(&s->marks, s->count, &s->marks_room, sizeof *s->marks);
    mark *m = &s->marks[s->count++];
    *m = (mark){.kind = kind, .shape = shape};
    return m;
}

char *clean_text(const char *text) {
    const unsigned char *from = (const unsigned char *)text;
    char *clean = need(malloc(3 * strlen(text) + 1)), *to = clean;
    while (*from != '\0') {
        size_t length = utf8_bytes((const char *)from);
        if (length == 0) {
            memcpy(to, "\xef\xbf\xbd", 3); /* U+FFFD */
            to += 3;
            from++;
            continue;
        }
        if (utf8_steers((const char *)from, length))
            *to++ = ' ';
        else {
            memcpy(to, from, length);
            to += length;
        }
        from += length;
    }
    *to = '\0';
    return clean;
}

mark *sheet_text(sheet *s, mark_kind kind, box where, mark_align align, double size,
                 const char *text) {
    mark *m = sheet_mark(s, kind, SHAPE_TEXT);
    m->box = where;
    m->align = align;
    m->size = size;
    m->text = clean_text(text);
    return m;
}

mark *sheet_box(sheet *s, mark_kind kind, box where, mark_tone tone, mark_pattern pattern) {
    mark *m = sheet_mark(s, kind, SHAPE_BOX);
    m->box = where;
    m->tone = tone;
    m->pattern = pattern;
    return m;
}

mark *sheet_dot(sheet *s, mark_kind kind, place at, double diameter, mark_tone tone) {
    mark *m = sheet_mark(s, kind, SHAPE_DOT);
    m->box = (box){at.x - diameter / 2, at.y - diameter / 2, diameter, diameter};
    m->size = diameter;
    m->tone = tone;
    return m;
}

mark *sheet_line(sheet *s, mark_kind kind, double width, mark_tone tone) {
    mark *m = sheet_mark(s, kind, SHAPE_LINE);
    m->first = s->places_count;
    m->size = width;
    m->tone = tone;
    return m;
}

void sheet_place(sheet *s, place at) {
    need_room(&s->places, s->places_count, &s->places_room, sizeof *s->places);
    s->places[s->places_count++] = at;
    s->marks[s->count - 1].count++;
}

mark *sheet_straight(sheet *s, mark_kind kind, double width, mark_tone tone, place from, place to) {
    mark *m = sheet_line(s, kind, width, tone);
    sheet_place(s, from);
    sheet_place(s, to);
    return m;
}

static size_t characters(const char *text) {
    size_t count = 0;
    for (; *text != '\0'; text++) count += ((unsigned char)*text & 0xc0) != 0x80;
    return count;
}

double text_room(const char *text, double size) {
    return ((double)characters(text) * 0.66 + 0.3) * size;
}

int text_lines(const char *text, double size, double width) {
    double per_line = floor(width / (0.56 * size));
    return (int)ceil((double)characters(text) / fmax(per_line - 6, 1)); /* a word's end is lost */
}

double line_height(double size) {
    return 1.4 * size;
}
