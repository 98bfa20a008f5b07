/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/characters.h"

#include <string.h>
#include <wchar.h>

static size_t length_by_first(unsigned char first) {
    if (first < 0x80) return 1;
    if (first < 0xc2 || first >= 0xf5) return 0;
    return first < 0xe0 ? 2 : first < 0xf0 ? 3 : 4;
}

size_t utf8_bytes(const char *text) {
    const unsigned char *c = (const unsigned char *)text;
    size_t length = length_by_first(c[0]);
    for (size_t i = 1; i < length; i++)
        if ((c[i] & 0xc0) != 0x80) return 0;
    bool overlong = (c[0] == 0xe0 && c[1] < 0xa0) || (c[0] == 0xf0 && c[1] < 0x90);
    bool beyond = (c[0] == 0xed && c[1] > 0x9f) || (c[0] == 0xf4 && c[1] > 0x8f);
    return overlong || beyond ? 0 : length;
}

unsigned utf8_code(const char *text, size_t bytes) {
    unsigned char first = (unsigned char)text[0];
    unsigned code = bytes == 1 ? first : first & (0x7fU >> bytes);
    for (size_t i = 1; i < bytes; i++) code = code << 6 | ((unsigned char)text[i] & 0x3f);
    return code;
}

bool utf8_steers(const char *text, size_t bytes) {
    /* Unicode's bidirectional controls (UAX 9), and its separators of lines and paragraphs. */
    static const struct {
        unsigned first, last;
    } STEERING[] = {{0, 0x1f},        {0x7f, 0x9f},     {0x61c, 0x61c},
                    {0x200e, 0x200f}, {0x2028, 0x202e}, {0x2066, 0x2069}};
    unsigned code = utf8_code(text, bytes);
    for (size_t i = 0; i < sizeof STEERING / sizeof STEERING[0]; i++)
        if (code >= STEERING[i].first && code <= STEERING[i].last) return true;
    return false;
}

int utf8_width(const char *text, size_t bytes) {
    if (utf8_steers(text, bytes)) return -1;
    return bytes == 1 ? 1 : wcwidth((wchar_t)utf8_code(text, bytes));
}

/* The character at a text's beginning, which may be none. */
static int columns_at(const char *text, size_t *bytes) {
    size_t found = utf8_bytes(text);
    int columns = found == 0 ? -1 : utf8_width(text, found);
    *bytes = found == 0 ? 1 : found;
    return columns < 0 ? 1 : columns;
}

size_t text_within(const char *text, int columns, int *used) {
    size_t at = 0, bytes;
    *used = 0;
    for (; text[at] != '\0'; at += bytes) {
        int more = columns_at(text + at, &bytes);
        if (*used + more > columns) break;
        *used += more;
    }
    return at;
}

int text_width_to(const char *text, size_t length) {
    int width = 0;
    for (size_t i = 0, bytes; i < length; i += bytes) width += columns_at(text + i, &bytes);
    return width;
}

int text_width(const char *text) {
    return text_width_to(text, strlen(text));
}
