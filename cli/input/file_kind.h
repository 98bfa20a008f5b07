/* What a file of ours is.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_FILE_KIND_H
#define JARLINE_FILE_KIND_H

#include <stddef.h>

typedef enum file_kind { FILE_OTHER, FILE_RUN, FILE_WASH, FILE_BOOK, FILE_SETTINGS } file_kind;

/* By its fact "kind", else by its first row, which a file of the first edition has alone. errno: 0,
 * or why it could not be read. */
file_kind file_kind_of(const char *path);

file_kind file_kind_of_bytes(const char *bytes, size_t size);

/* A descriptor, or -1 with errno; goes on after a signal. */
int open_to_read(const char *path);

/* "a wash log"; NULL of what is none of ours. */
const char *file_kind_name(file_kind kind);

#endif
