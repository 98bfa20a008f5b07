/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "answer/keep.h"
#include "answer/say.h"

#include <stdalign.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

enum { BLOCK = 4096, ALIGN = alignof(max_align_t) };

typedef struct kept {
    struct kept *before;
    size_t used, size;
    alignas(max_align_t) char room[];
} kept;

/* A text stands right behind the last: in a table of a million rows the gaps would count. */
static char *take(keep *k, size_t size, size_t align) {
    size_t at = k->last == NULL ? 0 : (k->last->used + align - 1) / align * align;
    if (k->last == NULL || k->last->size < at + size) {
        size_t fresh = size > BLOCK ? size : BLOCK;
        kept *more = need(malloc(sizeof *more + fresh));
        *more = (kept){.before = k->last, .size = fresh};
        k->last = more;
        at = 0;
    }
    k->last->used = at + size;
    return k->last->room + at;
}

void *keep_room(keep *k, size_t size) {
    return take(k, size, ALIGN);
}

char *keep_text(keep *k, const char *text) {
    if (text == NULL) return NULL;
    size_t size = strlen(text) + 1;
    return memcpy(take(k, size, 1), text, size);
}

void keep_free(keep *k) {
    for (kept *one = k->last, *before; one != NULL; one = before) {
        before = one->before;
        free(one);
    }
    k->last = NULL;
}

/* ---- A text or a picture that grows ---- */

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
