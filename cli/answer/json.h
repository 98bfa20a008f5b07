/* Values of JSON (RFC 8259).
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_JSON_H
#define JARLINE_JSON_H

#include <stdbool.h>
#include <stdio.h>

/* Twelve significant digits; null for what is not finite. */
void json_number(FILE *to, double value);

/* null for NULL. Bytes that are no UTF-8 are replaced by U+FFFD, one for each. */
void json_text(FILE *to, const char *text);

void json_truth(FILE *to, bool value);

#endif
