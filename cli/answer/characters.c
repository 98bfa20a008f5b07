/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/characters.h"

#include <stdbool.h>
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

int utf8_width(const char *text, size_t bytes) {
    unsigned char first = (unsigned char)text[0];
    if (bytes == 1) return first >= ' ' && first < 0x7f ? 1 : -1;
    unsigned code = first & (0x7fU >> bytes);
    for (size_t i = 1; i < bytes; i++) code = code << 6 | ((unsigned char)text[i] & 0x3f);
    return wcwidth((wchar_t)code);
}

int text_width_to(const char *text, size_t length) {
    int width = 0;
    for (size_t i = 0; i < length;) {
        size_t bytes = utf8_bytes(text + i);
        int columns = bytes == 0 ? -1 : utf8_width(text + i, bytes);
        width += columns < 0 ? 1 : columns;
        i += bytes == 0 ? 1 : bytes;
    }
    return width;
}

int text_width(const char *text) {
    return text_width_to(text, strlen(text));
}
