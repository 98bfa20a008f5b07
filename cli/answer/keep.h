/* What an answer holds until it is shown: many small things that stay where they are and are freed
 * together.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_KEEP_H
#define JARLINE_KEEP_H

#include <stddef.h>

/* {0} holds nothing yet. */
typedef struct keep {
    struct kept *last;
} keep;

/* Room that is good for any type. Ends the process when memory is out. */
void *keep_room(keep *k, size_t size);

/* A copy; NULL stays NULL. */
char *keep_text(keep *k, const char *text);

void keep_free(keep *k);

/* ---- A text or a picture that grows ---- */

typedef struct bytes {
    char *data; /* NUL-terminated once there is any */
    size_t count, room;
} bytes;

void bytes_add(bytes *b, const char *data, size_t length);
void bytes_print(bytes *b, const char *format, ...) __attribute__((format(printf, 2, 3)));
void bytes_free(bytes *b);

#endif
