/* Characters of UTF-8 (RFC 3629): their bytes, and the columns of a screen that they take.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CHARACTERS_H
#define JARLINE_CHARACTERS_H

#include <stddef.h>

/* Bytes of the character that begins a text; 0 when it is none. */
size_t utf8_bytes(const char *text);

/* Columns of that character, which has so many bytes; below 0 when it cannot be printed. */
int utf8_width(const char *text, size_t bytes);

/* Bytes of the characters at the beginning of a text that fit so many columns; *used: what they take. */
size_t text_within(const char *text, int columns, int *used);

/* Columns of the first bytes of a text, and of all of it. What cannot be printed counts as one here. */
int text_width_to(const char *text, size_t length);
int text_width(const char *text);

#endif
