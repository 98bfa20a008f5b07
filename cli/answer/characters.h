/* Characters of UTF-8 (RFC 3629): their bytes, and the columns of a screen that they take.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CHARACTERS_H
#define JARLINE_CHARACTERS_H

#include <stdbool.h>
#include <stddef.h>

/* Bytes of the character that begins a text; 0 when it is none. */
size_t utf8_bytes(const char *text);

/* Whether that character, which has so many bytes, steers a screen instead of standing on it: controls
 * (C0, DEL, C1), what turns the direction of writing round, and what ends lines. */
bool utf8_steers(const char *text, size_t bytes);

/* The number of that character in Unicode. */
unsigned utf8_code(const char *text, size_t bytes);

/* Columns of that character, which has so many bytes; below 0 when it cannot be printed. */
int utf8_width(const char *text, size_t bytes);

/* Bytes of the characters at the beginning of a text that fit so many columns; *used: what they take. */
size_t text_within(const char *text, int columns, int *used);

/* Columns of the first bytes of a text, and of all of it. What cannot be printed counts as one here. */
int text_width_to(const char *text, size_t length);
int text_width(const char *text);

#endif
