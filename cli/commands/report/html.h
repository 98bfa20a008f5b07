/* The page of a run as one HTML file.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_REPORT_HTML_H
#define JARLINE_REPORT_HTML_H

#include "answer/bytes.h"
#include "commands/report/contents.h"

/* chart: a picture as SVG; width and height in points, for printing. */
void report_html(const report *r, const bytes *chart, double width, double height, bytes *b);

#endif
