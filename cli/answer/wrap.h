/* Sentences filled into lines.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_WRAP_H
#define JARLINE_WRAP_H

#include <stdio.h>

/* Width of a page that leaves a terminal of 80 columns some air. */
enum { PAGE = 78 };

/* Characters of a UTF-8 text. */
int text_width(const char *text);

/* The text behind its lead, in lines of the page's width; those after the first are set in as far. A
 * word that is longer stays whole. */
void print_wrapped(FILE *to, const char *lead, const char *text);

#endif
