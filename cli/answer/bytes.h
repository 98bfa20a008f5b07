/* A text or a picture that grows.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_BYTES_H
#define JARLINE_BYTES_H

#include <stddef.h>

typedef struct bytes {
    char *data; /* NUL-terminated once there is any */
    size_t count, room;
} bytes;

void bytes_add(bytes *b, const char *data, size_t length);
void bytes_print(bytes *b, const char *format, ...) __attribute__((format(printf, 2, 3)));
void bytes_free(bytes *b);

#endif
