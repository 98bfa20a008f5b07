/* Jars as a person names them: "1-3", "4,6,9-11", "12-", "-3".
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_RANGES_H
#define JARLINE_RANGES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Both ends belong to it; an open end is INT64_MIN or INT64_MAX. */
typedef struct range {
    int64_t first, last;
} range;

typedef struct ranges {
    range *all;
    size_t count;
} ranges;

/* False when the text cannot be read; nothing then has to be freed. */
bool ranges_read(const char *text, ranges *r);
bool ranges_have(const ranges *r, int64_t jar);
void ranges_free(ranges *r);

#endif
