/* Paints marks.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_PAINT_H
#define JARLINE_PAINT_H

#include "picture/marks.h"

#include <cairo.h>

/* White paper, then the marks in order. */
void paint_sheet(cairo_t *on, const sheet *s);

#endif
