/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/bytes.h"
#include "answer/say.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void bytes_add(bytes *b, const char *data, size_t length) {
    if (b->count + length + 1 > b->room) {
        b->room = 2 * (b->count + length) + 256;
        b->data = need(realloc(b->data, b->room));
    }
    memcpy(b->data + b->count, data, length);
    b->count += length;
    b->data[b->count] = '\0';
}

void bytes_print(bytes *b, const char *format, ...) {
    char *text;
    va_list list;
    va_start(list, format);
    int length = vasprintf(&text, format, list);
    va_end(list);
    if (length < 0) need(NULL);
    bytes_add(b, text, (size_t)length);
    free(text);
}

void bytes_free(bytes *b) {
    free(b->data);
    *b = (bytes){0};
}
