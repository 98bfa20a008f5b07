/* The drawing module: a sheet of marks as PNG or PDF. The only user of cairo and pango; loaded
 * by the commands that draw, because these libraries would cost every other start.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_DRAWING_H
#define JARLINE_DRAWING_H

#include "picture/marks.h"

typedef enum drawing_format { DRAWING_PNG, DRAWING_PDF } drawing_format;

/* What the module exports as "jarline_draw". Bytes come piece by piece through take, which says
 * whether it could keep them. Sheets of one size; more than one as the
 * pages of a PDF. title: for its properties.
 *
 * Returns NULL, or why it failed as a static text. Nothing in the output depends on the clock. */
typedef bool drawing_take(void *with, const unsigned char *bytes, size_t length);
typedef const char *drawing_draw(const sheet *sheets, size_t count, drawing_format format,
                                 const char *title, drawing_take *take, void *with);

drawing_draw jarline_draw;

#endif
