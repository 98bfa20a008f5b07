/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/wrap.h"

#include <stdbool.h>
#include <string.h>

static int width_of_bytes(const char *text, size_t length) {
    int width = 0;
    for (size_t i = 0; i < length; i++) width += ((unsigned char)text[i] & 0xc0) != 0x80;
    return width;
}

int text_width(const char *text) {
    return width_of_bytes(text, strlen(text));
}

void print_wrapped(FILE *to, const char *lead, const char *text) {
    const int inset = text_width(lead);
    int at = inset;
    fputs(lead, to);
    for (bool first = true; *text != '\0'; first = false) {
        size_t length = strcspn(text, " ");
        int width = width_of_bytes(text, length);
        if (!first && at + 1 + width > PAGE) {
            fprintf(to, "\n%*s", inset, "");
            at = inset;
        } else if (!first)
            at += fputc(' ', to) == ' ' ? 1 : 0;
        fwrite(text, 1, length, to);
        at += width;
        text += length;
        text += strspn(text, " ");
    }
    fputc('\n', to);
}
