/* A sheet as SVG (W3C, SVG 1.1): text stays text, and a title and a description stand for those who
 * cannot see it.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_SVG_H
#define JARLINE_SVG_H

#include "answer/keep.h"
#include "picture/marks.h"

void svg_write(const sheet *s, const char *title, bytes *b);

#endif
