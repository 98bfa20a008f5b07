/* A run as a chart of letters, 80 columns wide.
 *
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JARLINE_CHART_TEXT_H
#define JARLINE_CHART_TEXT_H

#include "answer/keep.h"
#include "picture/chart.h"
#include "picture/compare.h"

void chart_text(const run_picture *r, double volume_l, bytes *b);

/* One to COMPARE_RUNS_MOST runs on the same axes, each with a letter of its own and a line that says what it
 * came to. */
void chart_text_together(const run_picture *runs, size_t count, compare_over over, double volume_l,
                         bytes *b);

#endif
