/* A run's chart in an HTML page.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CHART_HTML_H
#define JARLINE_CHART_HTML_H

#include "answer/keep.h"
#include "picture/chart.h"

/* For wide screens and for narrow ones, with what it shows in words; also: what follows these words. */
void chart_html(bytes *b, const run_picture *r, double volume_l, const char *also);

#endif
