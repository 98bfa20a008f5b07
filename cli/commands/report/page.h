/* The page of a run on paper.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_REPORT_PAGE_H
#define JARLINE_REPORT_PAGE_H

#include "commands/report/contents.h"
#include "picture/marks.h"

/* Rows of jars that a page has room for. */
enum { REPORT_PAGE_JARS = 24 };

/* One page; width and height in points. */
void report_page(const report *r, double width, double height, sheet *s);

#endif
