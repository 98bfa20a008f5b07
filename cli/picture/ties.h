/* Where a line of a paragraph must not end.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_TIES_H
#define JARLINE_TIES_H

#include <stdbool.h>
#include <stddef.h>

/* Whether the byte at a place is the space between a number and its unit, or within a unit. */
bool text_ties(const char *text, size_t at);

#endif
